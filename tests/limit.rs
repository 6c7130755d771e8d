//! Whole-program tests of the search for the value of one input that just keeps every limit.

use std::fs;

use crate::common::{Folder, off_centre_road};
use serde_json::Value;

/// Without friction, which takes one path a value; rated for 4 bar.
fn case() -> String {
    off_centre_road().replacen("[rim]", "[contact]\nfriction = 0\n\n[rim]", 1).replacen(
        "rated = \"5 bar\"",
        "rated = \"4 bar\"",
        1,
    )
}

fn folder(name: &str) -> Folder {
    let folder = Folder::new(name);
    folder.write("case.toml", case());
    folder
}

const SEARCH: [&str; 10] =
    ["limit", "case.toml", "bead.diameter", "--from", "620 mm", "--to", "622 mm", "--within", "0.02 mm", "--scan"];

fn search<'a>(more: &[&'a str]) -> Vec<&'a str> {
    SEARCH.iter().copied().chain(["3"]).chain(more.iter().copied()).collect()
}

/// The value found keeps the limits, the one beyond does not; a stopped run is gone on with to the same bytes.
#[test]
fn the_value_found_keeps_the_limits_and_the_one_beyond_does_not() {
    let folder = folder("limit_diameter");
    let (out, talk) = folder.expect(0, &search(&["--out", "out", "--json"]));
    let found: Value = serde_json::from_str(&out).unwrap();
    assert_eq!((&found["schema"], &found["unit"]), (&"hoopwright/limit/1.0".into(), &"mm".into()));
    let edges = found["edges"].as_array().unwrap();
    assert_eq!(edges.len(), 1, "{out}");
    let edge = &edges[0];
    assert_eq!([&edge["decides"], &edge["verdict"], &edge["kept_side"]], ["off_centre_release", "may release", "below"]);
    let [kept, beyond] = ["kept", "beyond"].map(|key| edge[key].as_f64().unwrap());
    assert!(620.0 < kept && kept < beyond && beyond - kept <= 0.020_001, "{edge}");
    for (value, code) in [(kept, 0), (beyond, 1)] {
        folder.write("at.toml", case().replacen("620.4 mm", &format!("{value} mm"), 1));
        folder.expect(code, &["assess", "--quiet", "at.toml"]);
    }
    assert!(talk.lines().filter(|line| line.starts_with("bead.diameter = ")).count() >= 4, "progress: {talk}");
    let csv = fs::read_to_string(folder.0.join("out/limit.csv")).unwrap();
    assert_eq!(csv.lines().count(), 1 + found["values"].as_array().unwrap().len());
    let report = fs::read_to_string(folder.0.join("out/report.html")).unwrap();
    assert!(report.contains("Every limit is kept with bead.diameter from 620") && report.contains("Nobody may take this report"));
    assert!(!folder.0.join("out/limit.csv.unfinished").exists());
    // As a run leaves it that was killed in the middle of its fourth line.
    fs::remove_dir_all(folder.0.join("out")).unwrap();
    fs::create_dir(folder.0.join("out")).unwrap();
    let torn: String = csv.lines().take(4).map(|line| format!("{line}\n")).collect();
    folder.write("out/limit.csv.unfinished", torn + "4,12ab");
    let (again, talk) = folder.expect(0, &search(&["--out", "out", "--json"]));
    assert_eq!((again, fs::read_to_string(folder.0.join("out/limit.csv")).unwrap()), (out, csv));
    assert!(
        talk.lines().filter(|line| line.starts_with("bead.diameter = ")).count() + 3 == found["values"].as_array().unwrap().len()
    );
    let (_, talk) = folder.expect(0, &search(&["--out", "out", "--json"]));
    assert!(!talk.contains("solved)"), "all is taken over: {talk}");
}

#[test]
fn a_range_without_an_edge_is_told_by_its_ends_within_80_columns() {
    let folder = folder("limit_none");
    let asked = ["limit", "--quiet", "case.toml", "mismatch", "--from=-1 mm", "--to", "0 mm", "--scan", "2"];
    let (out, _) = folder.expect(1, &asked);
    assert!(out.starts_with("No value of mismatch that was solved from -1 to 0 mm keeps every limit."), "{out}");
    for end in ["At -1 mm a limit is passed by ", "At 0 mm a limit is passed by "] {
        assert!(out.contains(end), "{out}");
    }
    assert!(out.lines().all(|line| line.chars().count() <= 80) && out.contains("Caution: "), "{out}");
}

#[test]
fn wrong_input_ends_with_2_before_anything_is_solved() {
    let folder = folder("limit_wrong");
    for (input, from, to, told, remedy) in [
        ("bead.diametre", "620 mm", "622 mm", "INPUT: ", "did you mean \"bead.diameter\"?"),
        ("limits.criterion", "1", "2", "is no number and cannot be varied", "vary a quantity"),
        ("bead.diameter", "620", "622 mm", "--from: ", "620 mm"),
        ("bead.diameter", "620 mm", "622 kN", "--to: ", "length"),
        ("bead.diameter", "622 mm", "620 mm", "the range holds no value", "give --to a larger value than --from"),
        ("rim.flange_height", "1 mm", "5 mm", "with rim.flange_height = 1 mm", ""),
    ] {
        let (out, talk) = folder.expect(2, &["limit", "case.toml", input, "--from", from, "--to", to]);
        assert!(
            out.is_empty() && talk.contains(told) && talk.contains(remedy) && talk.contains("Remedy"),
            "{input} {from}: {talk}"
        );
    }
    let width = ["limit", "case.toml", "bead.diameter", "--from", "620 mm", "--to", "622 mm", "--within", "5 kN"];
    let (_, talk) = folder.expect(2, &width);
    assert!(talk.contains("--within: ") && talk.contains("Remedy"), "{talk}");
}
