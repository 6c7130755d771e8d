//! `hoopwright assess` on odd cases: each gets a clear answer or a clear error, and the exit code that goes with it.

use std::fs;

use crate::common::{Folder, project};
use serde_json::Value;

/// The first example with lines replaced: each (beginning of a line, lines in its place).
fn write_case(folder: &Folder, edits: &[(&str, &str)]) {
    let text = fs::read_to_string(project().join("examples/01_road_holds.toml")).unwrap();
    let mut lines: Vec<&str> = text.lines().collect();
    for (beginning, replacement) in edits {
        let at = lines.iter().position(|l| l.starts_with(beginning)).unwrap();
        lines[at] = replacement;
    }
    folder.write("case.toml", lines.join("\n"));
}

/// Assesses an edited case; returns result.json and the table is checked for the verdict.
fn assess(name: &str, code: i32, edits: &[(&str, &str)]) -> Value {
    let folder = Folder::new(name);
    write_case(&folder, edits);
    let (out, err) = folder.expect(code, &["assess", "--json", "-q", "case.toml"]);
    assert!(err.is_empty(), "{err}");
    serde_json::from_str(&out).unwrap()
}

fn retention<'a>(json: &'a Value, key: &str) -> [&'a Value; 2] {
    let block = &json["retention"];
    [&block[format!("{key}_mpa")], &block[format!("{key}_above_mpa")]]
}

#[test]
fn without_friction_both_answers_are_one() {
    let json = assess("no_friction", 1, &[("[pressure]", "[contact]\nfriction = 0\n\n[pressure]")]);
    assert_eq!(json["retention"], json["retention_frictionless"]);
    assert_eq!(json["path"], json["path_frictionless"]);
    assert_eq!(json["checks"][0]["what"], "local release without friction");
}

/// A cap just over the required pressure: nothing releases, and nothing is claimed beyond it.
#[test]
fn a_stiff_bead_is_not_released_below_the_cap() {
    let edits = [
        ("diameter", "diameter = \"619.5 mm\""),
        ("stiffness = \"400", "stiffness = \"2000 kN\""),
        ("rated", "rated = \"5 bar\"\ncap = \"7.6 bar\"\n[limits]\nspoke_loss = \"90 %\""),
    ];
    let json = assess("stiff", 0, &edits);
    for key in ["first_lift", "off_centre_release", "uniform_blow_off"] {
        let [at, above] = retention(&json, key);
        assert!(at.is_null() && (above.as_f64().unwrap() - 0.76).abs() < 1e-9, "{key}: {at} {above}");
    }
    assert_eq!(json["retention"]["end"], "the pressure cap was reached without release");
}

#[test]
fn a_bead_larger_than_the_seat_lifts_at_no_pressure() {
    let json = assess("loose", 1, &[("diameter", "diameter = \"623.5 mm\"")]);
    assert_eq!(retention(&json, "first_lift")[0], 0.0);
    assert!(json["fit"]["rim"]["seat_load_n_per_mm"].as_f64().unwrap().abs() < 1e-9);
    let notes = json["notes"].to_string();
    assert!(notes.contains("larger than the seat"), "{notes}");
}

/// A dry bead sticks and slips: the fall of the pressure is told as the uncertainty that it is.
#[test]
fn grips_that_slip_are_told() {
    let edits = [
        ("stiffness = \"400", "stiffness = \"600 kN\""),
        ("[pressure]", "[contact]\nfriction = 0.6\n\n[limits]\ncriterion = \"off-centre release\"\n\n[pressure]"),
    ];
    let json = assess("slips", 0, &edits);
    let notes = json["notes"].to_string();
    assert!(
        notes.contains("At friction 0.6 parts of the bead stick and slip") && notes.contains("Lean on those without"),
        "{notes}"
    );
}

/// A bead of next to no stiffness and no friction: whatever the solver says, it is not "holds", and a failed solve is not read as a release.
#[test]
fn no_equilibrium_is_no_answer() {
    let folder = Folder::new("no_answer");
    write_case(
        &folder,
        &[("stiffness = \"400", "stiffness = \"5 kN\""), ("[pressure]", "[contact]\nfriction = 0\n\n[pressure]")],
    );
    fs::create_dir(folder.0.join("out")).unwrap();
    folder.write("out/section_rated.svg", "an earlier run's");
    let list = "{\"schema\":\"hoopwright/contents/1.0\",\"version\":\"0.1.0\",\"command\":\"assess\",\"of\":\"case.toml\",\"question\":null,\"complete\":true,\"files\":{\"section_rated.svg\":\"\"}}";
    folder.write("out/contents.json", list);
    let (out, err) = folder.expect(3, &["assess", "case.toml", "--out", "out", "-v"]);
    assert!(!folder.0.join("out/section_rated.svg").exists(), "an earlier run's picture of a state that this one did not reach");
    assert!(out.contains("Verdict: NO ANSWER") && !out.contains("NOT KEPT"), "{out}");
    assert!(out.contains("uniform blow-off          > ") && out.contains("this is no"), "{out}");
    assert!(out.contains("The rated pressure was not reached."), "{out}");
    // Newton's residuals, which shrink from first to last where it converges.
    let solves: Vec<&str> = err.lines().filter(|l| l.starts_with("  Newton to ")).collect();
    let residuals = |line: &str| -> Vec<f64> {
        let list = line.split_once("relative residuals ").unwrap().1;
        list.split_whitespace().map_while(|r| r.parse().ok()).collect()
    };
    assert!(solves.len() > 5, "{err}");
    let converged = solves.iter().filter(|l| residuals(l).last().is_some_and(|r| *r < 1e-8)).count();
    assert!(converged >= 3 && solves.iter().any(|l| l.contains("(no convergence")), "{err}");
    assert!(err.contains("Fit: 0.000 bar, lift "), "{err}");
    let json: Value = serde_json::from_slice(&fs::read(folder.0.join("out/result.json")).unwrap()).unwrap();
    assert_eq!(json["verdict"][0], "no answer");
    assert!(retention(&json, "uniform_blow_off")[0].is_null());
    assert!(json["checks"][0]["kept"].is_null() && json["checks"][0]["lower_bound"] == true, "{}", json["checks"][0]);
    assert!(retention(&json, "first_lift")[0].is_null() && retention(&json, "off_centre_release")[0].is_null());
    // A reader finds the same keys whatever was reached.
    for key in ["bead", "rim", "tyre", "balance"] {
        assert!(json.get(key).is_some_and(Value::is_null), "{key}");
    }
}

/// Replaced line, replacement, place, sentence, remedy. The example's header and tables are counted by hand: a moved line shows.
#[rustfmt::skip]
const REFUSED: &[(&str, &str, &str, &str, &str)] = &[
    ("rated", "rated = \"0 bar\"", "30:9", "0 bar is out of range", "give 0.1 bar to 20 bar"),
    ("rated", "rated = \"5 kN\"", "30:9", "\"kN\" is the unit of a force, but a pressure is needed", "use one of MPa, bar, psi"),
    ("rated", "rated = 5", "30:9", "bare number 5", "as in \"5 bar\""),
    ("rated", "ratd = \"5 bar\"", "30:1", "unknown key `ratd` in [pressure]", "did you mean `rated`?"),
    ("rated", "", "29:2", "`pressure.rated` is missing", "add it, as in rated = "),
    ("rated", "rated = \"5 bar\"\ncap = \"6 bar\"", "31:7", "the search stops at 6 bar", "cap of at least test_factor x rated"),
    ("diameter", "diameter = \"650 mm\"", "21:12", "mismatch strain of -4.3", "check both diameters"),
    ("stiffness = \"400", "stiffness = \"400 kN\"\nwidth = \"11 mm\"", "23:9", "the two beads together are 22 mm wide, the rim only 21 mm", "a wider rim"),
    ("inner_width", "inner_width = \"10 mm\"", "10:15", "two beads and the well take 16 mm, more than the rim's inner width of 10 mm", "a wider rim"),
    ("stiffness = \"400", "stiffness = \"1e300 kN\"", "22:13", "out of range", "give 5 kN to 5000 kN"),
    ("stiffness = \"400", "stiffness = \"nan kN\"", "22:13", "not a finite number", "write a finite number"),
];

#[test]
fn refused_cases_name_place_and_remedy() {
    let folder = Folder::new("refused");
    for (line, replacement, place, sentence, remedy) in REFUSED {
        let (number, column) = place.split_once(':').unwrap();
        write_case(&folder, &[(line, replacement)]);
        let (out, err) = folder.expect(2, &["assess", "case.toml", "--out", "out"]);
        assert!(out.is_empty() && !folder.0.join("out").exists(), "nothing is written for a refused case");
        assert!(err.contains(sentence), "{replacement}\n{err}");
        assert!(err.contains(&format!("Where   case.toml, line {number}, column {column}\n")), "{replacement}\n{err}");
        assert!(err.lines().any(|l| l.starts_with("Remedy  ") && l.contains(remedy)), "{replacement}\n{err}");
    }
}

#[test]
fn wrong_arguments_and_folders_end_with_2() {
    let folder = Folder::new("assess_arguments");
    write_case(&folder, &[]);
    folder.write("file", "");
    for (args, sentence) in [
        (&["assess", "--colour", "case.toml"][..], "unexpected argument '--colour'"),
        (&["assess"], "required"),
        (&["assess", "case.toml", "--out"], "a value is required"),
        (&["assess", "-q", "-v", "case.toml"], "cannot be used with"),
        (&["assess", "absent.toml"], "cannot read absent.toml"),
        (&["assess", "case.toml", "--out", "file"], "cannot make the folder file"),
    ] {
        let (out, err) = folder.expect(2, args);
        assert!(out.is_empty() && err.contains(sentence), "{args:?}\n{err}");
    }
}
