//! `hoopwright service`: the example's answer, files, threads, wrong input.

use std::fs;

use crate::common::{Folder, off_centre_road, project};
use serde_json::Value;

fn example() -> String {
    fs::read_to_string(project().join("examples/14_service.toml")).unwrap()
}

/// What the head of the example says, and what follows by hand from its inputs.
#[test]
fn the_example_has_its_margins() {
    let folder = Folder::new("service_example");
    folder.write("case.toml", example());
    let (out, _) = folder.expect(1, &["service", "case.toml", "--json", "-q", "--out", "out"]);
    let json: Value = serde_json::from_str(&out).unwrap();
    let rows = json["conditions"].as_array().unwrap();
    let names: Vec<&str> = rows.iter().map(|row| row["condition"].as_str().unwrap()).collect();
    assert_eq!(names, ["new, cold", "after 24 h, cold", "after 1000 d, cold", "new, hot", "after 1000 d, hot"]);
    let number = |row: usize, key: &str| rows[row]["numbers"][key].as_f64().unwrap();
    for (row, expected) in [(0, 8.76), (2, 7.88), (3, 7.21), (4, 6.53)] {
        let found = number(row, "off_centre_release");
        assert!((found - expected).abs() < 0.02, "row {row}: {found}");
    }
    let verdicts: Vec<&str> = rows.iter().map(|row| row["verdict"][0].as_str().unwrap()).collect();
    assert_eq!(verdicts, ["holds", "holds", "holds", "may release", "may release"]);
    // (5 + 1.013) x 313.15 / 293.15 - 1.013 bar, and 1.5 times it.
    assert!((number(4, "working_pressure") - 5.4102).abs() < 1e-4);
    assert!((number(4, "required_pressure") - 1.5 * 5.4102).abs() < 2e-4);
    // What releases below its required pressure is allowed less than its working pressure; a crept bead is told no more than that.
    for row in 0..5 {
        let [allowed, working] = ["allowed_pressure", "working_pressure"].map(|key| number(row, key));
        let told_as_bound = rows[row]["only_exceeded"].as_array().unwrap().iter().any(|name| name == "allowed_pressure");
        assert_eq!(allowed < working - 0.01, verdicts[row] != "holds", "row {row}: {allowed} {working}");
        assert_eq!(told_as_bound, [1, 2].contains(&row), "row {row}");
    }
    // 0.02 % a decade at 1300 N, under the new bead's tension, for log10(24000) and log10(24) decades.
    let creep = 2e-4 * number(0, "bead_tension_rated") / 1300.0;
    for (row, hours) in [(1, 24.0_f64), (2, 24_000.0)] {
        let expected = 620.4 * (1.0 + hours.log10() * creep);
        assert!((number(row, "bead_diameter") - expected).abs() < 1e-6, "row {row}: {}", number(row, "bead_diameter"));
    }
    // Measured after the day of pre-stretch that a bench gives it, the bead has log10(24) of those decades behind it.
    assert_eq!(json["measured"], "before any pre-stretch");
    assert!(json["measured_otherwise"].as_str().unwrap().starts_with("after 24 h under the new bead's tension"));
    let other = &rows[2]["measured_otherwise"];
    let expected = 620.4 * (1.0 + 1001_f64.log10() * creep);
    assert!((other["bead_diameter_mm"].as_f64().unwrap() - expected).abs() < 1e-6, "{other}");
    let higher = other["off_centre_release_change_bar"].as_f64().unwrap();
    let by_solves =
        (number(0, "off_centre_release") - number(2, "off_centre_release")) * (1.0 - 1001_f64.log10() / 24_000_f64.log10());
    assert!((0.5..2.0).contains(&(higher / by_solves)), "{higher} {by_solves}");
    assert!(rows[0]["measured_otherwise"].is_null() && rows[3]["measured_otherwise"].is_null());
    assert!((number(3, "bead_stiffness") / number(0, "bead_stiffness") - (1.0 - 0.0012 * 70.0)).abs() < 1e-9);
    assert!(number(3, "friction") < number(2, "friction"));
    let report = fs::read_to_string(folder.0.join("out/report.html")).unwrap();
    crate::common::page::check(&report, 0);
    crate::common::page::hash(&report, "case file", example().as_bytes());
    for words in [
        "kept in 3 of 5 conditions",
        "after 1000 d, hot: may release.",
        "air 40 degC",
        "Coefficients with a source",
        "hot_friction",
        "Had they been measured after 24 h",
    ] {
        assert!(report.contains(words), "{words}");
    }
    // The source of a default stands beside no value of the case's own.
    let source = |key: &str| {
        let row = report.split("<tr>").find(|row| row.starts_with(&format!("<td>{key}</td>"))).unwrap();
        row.split("<td>").last().unwrap().split('<').next().unwrap().to_owned()
    };
    assert_eq!(source("rim_expansion"), "given in the case");
    assert_eq!(source("bead_expansion").split(':').next(), Some("published table of para-aramid fibres"));
    let csv = fs::read_to_string(folder.0.join("out/service.csv")).unwrap();
    assert_eq!(csv.lines().count(), 6);
    assert!(
        csv.starts_with("condition,bead_diameter [mm],")
            && csv.contains("off_centre_release_reached")
            && csv.contains(",local_release [bar],local_release_reached,"),
        "{csv}"
    );
}

/// The first column is the answer that `assess` gives, and the same comes out on one thread.
#[test]
fn new_and_cold_is_the_case_itself_for_any_number_of_threads() {
    let folder = Folder::new("service_new");
    folder.write("case.toml", example());
    let (one, _) = folder.expect(1, &["service", "case.toml", "-q", "--threads", "1"]);
    let (two, _) = folder.expect(1, &["service", "case.toml", "-q", "--threads", "2"]);
    assert_eq!(one, two);
    let words = one.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains("local codes") && words.contains("upper bound"), "{one}");
    let widest = one.lines().max_by_key(|line| line.chars().count()).unwrap();
    assert!(widest.chars().count() <= 80, "{widest}");
    let (out, _) = folder.expect(0, &["assess", "case.toml", "--json", "-q"]);
    let json: Value = serde_json::from_str(&out).unwrap();
    let release = 10.0 * json["retention"]["off_centre_release_mpa"].as_f64().unwrap();
    let line = one.lines().find(|line| line.starts_with("off-centre release, bar")).unwrap();
    let first: f64 = line.split_whitespace().nth(3).unwrap().parse().unwrap();
    assert!((first - release).abs() < 5e-3, "{line}: {release}");
}

/// The table is listed where it is given, with its defaults; each of its keys is among the inputs that are listed.
#[test]
fn check_and_inputs_know_the_table() {
    let folder = Folder::new("service_listed");
    folder.write("case.toml", example());
    let (out, _) = folder.expect(0, &["review", "case.toml"]);
    let words = |line: &str| line.split_whitespace().map(str::to_owned).collect::<Vec<_>>();
    for row in ["service hold 24 h", "life 1000 d", "rim_expansion 0.000001 /K", "atmosphere 1.013 bar"] {
        assert!(out.lines().any(|line| words(line) == words(row)), "{row}\n{out}");
    }
    folder.write("case.toml", off_centre_road());
    assert!(!folder.expect(0, &["review", "case.toml"]).0.contains("atmosphere"));
    let (out, _) = folder.expect(0, &["inputs", "service"]);
    assert!(out.starts_with("[service] ") && out.contains("  service.hot_air: Temperature of the air in the hot tyre"), "{out}");
    folder.expect(0, &["draft", "new.toml"]);
    assert!(fs::read_to_string(folder.0.join("new.toml")).unwrap().contains("\n# [service]\n# life = \"1000 d\"\n"));
}

#[test]
fn wrong_input_has_its_place() {
    let folder = Folder::new("service_wrong");
    for (from, to, words) in [
        ("hot_rim = \"110 degC\"", "hot_rim = \"110\"", ["case.toml, line 12, ", "degC"]),
        ("hot_rim", "hot_rimm", ["case.toml, line 12, ", "hot_rim"]),
        ("hot_air = \"40 degC\"", "hot_air = \"4 degC\"", ["case.toml, line 14, ", "below the 20 degC"]),
        ("life = \"1000 d\"", "life = \"1 d\"\nhold = \"48 h\"", ["case.toml, line 9, ", "shorter"]),
    ] {
        folder.write("case.toml", example().replacen(from, to, 1));
        for command in ["service", "review"] {
            let (_, err) = folder.expect(2, &[command, "case.toml"]);
            assert!(words.iter().all(|word| err.contains(word)), "{command}: {err}");
        }
    }
}
