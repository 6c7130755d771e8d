//! `hoopwright assess` with a rider's load on the tread.

use std::fs;

use crate::common::{Folder, project};
use serde_json::Value;

/// The first example with lines in the table of the local release.
fn road(lines: &str) -> String {
    fs::read_to_string(project().join("examples/01_road_holds.toml")).unwrap() + "\n[local]\n" + lines
}

/// Both answers are told, the lower one counts.
#[test]
fn a_load_is_told_beside_the_answer_without_it() {
    let folder = Folder::new("ridden");
    folder.write("ridden.toml", road("radial_load = \"700 N\"\nlateral_load = \"300 N\"\n"));
    folder.expect(0, &["assess", "ridden.toml", "--out", "out"]);
    let read = |name: &str| fs::read_to_string(folder.0.join("out").join(name)).unwrap();
    let result: Value = serde_json::from_str(&read("result.json")).unwrap();
    let report = read("report.html");
    for (retention, friction) in [("retention", "0.3"), ("retention_frictionless", "0")] {
        let retention = &result[retention];
        let (local, load) = (&retention["local"], &retention["local"]["with_load"]);
        let number = |key: &str| load[key].as_f64().unwrap();
        let [with, without] = ["local_release_mpa", "without_load_mpa"].map(number);
        assert!(with < 0.95 * without, "{with} {without}");
        assert_eq!(retention["local_release_mpa"], load["local_release_mpa"]);
        assert_eq!((local["cause"].as_str(), number("radial_n"), number("lateral_n")), (Some("load"), 700.0, 300.0));
        assert!(load["local_release_above_mpa"].is_null() && load["without_load_above_mpa"].is_null());
        assert!((80.0..100.0).contains(&number("patch_length_mm")) && (0.05..0.25).contains(&number("tread_sinks")));
        let sentence =
            format!("it goes at {:.2} bar, without at {:.2} bar: the load brings it down", 10.0 * with, 10.0 * without);
        assert!(report.contains(&sentence), "{friction}: {sentence}");
    }
    assert!(report.contains("the load that the case states") && !report.contains("without side load"));
}

/// A load that road or tyre do not carry is a fault with its place.
#[test]
fn a_load_that_nothing_carries_is_refused() {
    let folder = Folder::new("overloaded");
    folder.write("case.toml", road("radial_load = \"100 N\"\nlateral_load = \"300 N\"\npatch_length = \"3 m\"\n"));
    let (_, faults) = folder.expect(2, &["review", "case.toml"]);
    for words in
        ["more than 1.5 times the radial load of 100 N", "longer than the tread round the wheel", "case.toml, line 34, column 16"]
    {
        assert!(faults.contains(words), "{words}: {faults}");
    }
}
