//! Whole-program tests of two cases or results side by side.

use std::fs;

use crate::common::{Folder, off_centre_road};
use serde_json::Value;

/// Two cases without friction that differ in the bead's stiffness and in their titles.
fn folder(name: &str) -> Folder {
    let folder = Folder::new(name);
    let first = off_centre_road().replacen("[rim]", "[contact]\nfriction = 0\n\n[rim]", 1);
    let second = first.replacen("400 kN", "300 kN", 1).replacen("Road tyre", "Another tyre", 1);
    folder.write("first.toml", &first);
    folder.write("second.toml", second);
    folder
}

#[test]
fn a_result_and_a_case_side_by_side() {
    let folder = folder("compare_two");
    folder.expect(1, &["assess", "--quiet", "first.toml", "--out", "first"]);
    let (text, _) = folder.expect(0, &["compare", "--quiet", "first", "second.toml", "--out", "out"]);
    assert!(text.lines().all(|line| line.chars().count() <= 80), "{text}");
    for part in
        ["Verdict: may release", "Allowed pressure: ", "Not kept: off-centre release without friction: ", "Caution: A bead"]
    {
        assert!(text.contains(part), "{part}\n{text}");
    }
    let inputs: Vec<&str> =
        text.lines().skip_while(|l| !l.starts_with("Input that differs")).skip(1).take_while(|l| !l.is_empty()).collect();
    assert!(inputs.len() == 1 && inputs[0].split_whitespace().eq(["bead.stiffness", "400", "kN", "300", "kN"]), "{inputs:?}");
    let result: Value = serde_json::from_slice(&fs::read(folder.0.join("first/result.json")).unwrap()).unwrap();
    let compared: Value = serde_json::from_slice(&fs::read(folder.0.join("out/comparison.json")).unwrap()).unwrap();
    let numbers = compared["numbers"].as_array().unwrap();
    let row = |name: &str| numbers.iter().find(|row| row["name"] == name).unwrap();
    let tension = row("bead tension, rated");
    assert_eq!(tension["a"], result["bead"]["tension_n"]);
    let [a, b, change] = ["a", "b", "change_percent"].map(|key| tension[key].as_f64().unwrap());
    assert!((change - 100.0 * (b / a - 1.0)).abs() < 1e-9, "{tension}");
    let allowed = row("allowed pressure");
    assert!((allowed["a"].as_f64().unwrap() - 10.0 * result["allowed_pressure_mpa"].as_f64().unwrap()).abs() < 1e-12);
    assert!(allowed["b"].as_f64() < allowed["a"].as_f64(), "{allowed}");
    let report = fs::read_to_string(folder.0.join("out/report.html")).unwrap();
    assert!(report.matches("<svg").count() == 2 && report.contains("Inputs that differ") && report.contains("Another tyre"));
    for picture in ["compare_path.svg", "compare_scale.svg"] {
        let svg = fs::read_to_string(folder.0.join("out").join(picture)).unwrap();
        assert!(svg.contains("A, no friction") && svg.contains("B, no friction"), "{picture}");
    }
    let (same, _) = folder.expect(0, &["compare", "first/result.json", "first"]);
    assert!(
        same.contains("No input differs.") && !same.lines().any(|line| line.ends_with('%') && !line.ends_with("+0.00 %")),
        "{same}"
    );
}

#[test]
fn files_that_are_no_results_end_with_2_and_the_remedy() {
    let folder = folder("compare_wrong");
    folder.write("torn.json", "{\"schema\": ");
    folder.write("none.json", "{}");
    folder.write("other.json", "{\"schema\": \"hoopwright/vary/1\"}");
    folder.write("old.json", "{\"schema\": \"hoopwright/assessment/1\", \"title\": \"\", \"verdict\": [], \"checks\": []}");
    fs::create_dir(folder.0.join("empty")).unwrap();
    for (name, told, remedy) in [
        ("torn.json", "torn.json cannot be compared: it is no JSON", "give a result.json that `hoopwright assess"),
        ("none.json", "it names no schema", "or the case file itself"),
        ("other.json", "it is of the schema hoopwright/vary/1, not of hoopwright/assessment/1.0", "give a result.json"),
        ("old.json", "it holds no `inputs`", "give a result.json"),
        ("empty", "cannot read empty/result.json", "give a case file, or a result.json"),
        ("gone.toml", "cannot read gone.toml", "give the name of a case file"),
    ] {
        let (out, talk) = folder.expect(2, &["compare", "first.toml", name]);
        assert!(out.is_empty() && talk.contains(told) && talk.contains(remedy), "{name}: {talk}");
    }
}
