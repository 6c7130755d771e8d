//! `hoopwright calibrate`: known friction and factor come back from finite-element predictions; resume, block, wrong input.

use std::fs;

use crate::common::{Folder, off_centre_road};
use serde_json::Value;

const HEAD: &str = "id,diameter [mm],stiffness [kN],tested release pressure [bar]\n";
const BEADS: [&str; 4] = ["A,620.4,300", "B,620.1,380", "C,620.8,420", "D,619.9,340"];

fn tyres(tests: &[f64]) -> String {
    let lines: Vec<String> = BEADS.iter().zip(tests).map(|(bead, test)| format!("{bead},{test}\n")).collect();
    HEAD.to_owned() + &lines.concat() + "E,620.5,350,\n"
}

fn json(out: &str) -> Value {
    serde_json::from_str(out).unwrap()
}

#[test]
fn a_known_friction_and_factor_come_back() {
    let folder = Folder::new("calibrate");
    folder.write("case.toml", off_centre_road());
    folder.write("tyres.csv", tyres(&[7.0, 8.0, 9.0, 8.5]));
    let command = ["calibrate", "case.toml", "tyres.csv", "--out", "out", "--json"];
    let (out, talk) = folder.expect(0, &command);
    assert!(talk.contains("4 tested tyres at 5 frictions: 20 cases, 0 of them kept from"), "{talk}");
    let first = json(&out);
    // These tests leave the friction open, which the table says too.
    let ends = &first["both"]["friction"]["ends"];
    assert!(ends[0] == 0.0 || ends[1] == 0.5, "{ends}");
    let (table, _) = folder.expect(0, &command[..5]);
    assert!(
        table.contains("The interval of the friction is open: it ends where no further friction was solved, at 0 or 0.5."),
        "{table}"
    );
    let predicted = |tyre: usize, k: usize| first["tyres"][tyre]["predicted_bar"][k].as_f64().unwrap();
    // More friction holds more, and a tyre without a test is left alone.
    assert_eq!(first["tyres"].as_array().unwrap().len(), 4);
    assert!((0..4).all(|tyre| (1..5).all(|k| predicted(tyre, k) > predicted(tyre, k - 1))), "{first}");

    // Tests made of nine tenths of the predictions at friction 0.375: nothing is solved again, and both numbers come back. Written to
    // six digits, the tests leave the friction open by little.
    let tests: Vec<f64> = (0..4).map(|tyre| 0.9 * predicted(tyre, 3)).collect();
    folder.write("tyres.csv", tyres(&tests));
    let (out, talk) = folder.expect(0, &command);
    assert!(talk.contains("20 of them kept from"), "{talk}");
    let found = json(&out);
    let number = |pointer: &str| found.pointer(pointer).unwrap().as_f64().unwrap();
    assert!((number("/both/friction/value") - 0.375).abs() < 1e-3, "{found}");
    assert!((number("/both/factor/value") - 0.9).abs() < 1e-3, "{found}");
    assert_eq!(found["both"]["told_apart"], true);
    let (table, _) = folder.expect(0, &command[..5]);
    assert!(!table.contains("open"), "{table}");
    // At the case's friction of 0.3 the factor takes over what the friction would have given.
    assert!(number("/factor_at_friction/factor/value") > 0.93, "{found}");
    assert!(number("/factor_at_friction/exceeded_by_95_of_100") < number("/factor_at_friction/factor/value"));

    // The block asks for more of the prediction, and is taken by a case.
    let (_, _) = folder.expect(0, &["calibrate", "case.toml", "tyres.csv", "--out", "out", "-q", "--block", "block.toml"]);
    let block = fs::read_to_string(folder.0.join("block.toml")).unwrap();
    let asked: f64 = block.lines().find_map(|line| line.strip_prefix("test_factor = ")).unwrap().parse().unwrap();
    let expected = 1.5 / number("/factor_at_friction/exceeded_by_95_of_100");
    assert!((asked - expected).abs() < 1e-3, "{block}: {expected}");
    let case = fs::read_to_string(folder.0.join("case.toml")).unwrap();
    folder.write("with.toml", case.replacen("[pressure]\n", &block, 1));
    folder.expect(0, &["review", "with.toml"]);
    let (_, err) = folder.expect(2, &["calibrate", "case.toml", "tyres.csv", "--out", "out", "-q", "--block", "block.toml"]);
    assert!(err.contains("block.toml exists already"), "{err}");
    let csv = fs::read_to_string(folder.0.join("out/calibrate.csv")).unwrap();
    assert!(csv.starts_with("id,tested [bar],predicted_at_friction_0 [bar],") && csv.lines().count() == 5, "{csv}");
    for name in ["points.parquet", "calibrate.parquet"] {
        assert!(fs::read(folder.0.join("out").join(name)).unwrap().starts_with(b"PAR1"), "{name}");
    }

    let report = fs::read_to_string(folder.0.join("out/report.html")).unwrap();
    crate::common::page::check(&report, 2);
    for (file, what) in [("case.toml", "case file"), ("tyres.csv", "tyres tyres.csv")] {
        crate::common::page::hash(&report, what, &fs::read(folder.0.join(file)).unwrap());
    }
    let factor = number("/factor_at_friction/factor/value");
    assert!(
        report.contains(&format!("Verdict: the tests reach {factor:.3} ("))
            && report.contains("; they tell friction and factor apart")
    );
    for (i, bead) in BEADS.iter().enumerate() {
        let row = report.split_once(&format!("<tr><td>{}</td>", &bead[..1])).unwrap().1;
        assert!(row.starts_with(&format!("<td class=\"n\">{:.2}</td>", tests[i])), "{bead}: {row:.80}");
    }
}

#[test]
fn too_little_is_no_answer() {
    let folder = Folder::new("calibrate_wrong");
    folder.write("case.toml", off_centre_road());
    folder.write("tyres.csv", HEAD.to_owned() + "A,620.4,300,\n");
    let (_, err) = folder.expect(3, &["calibrate", "case.toml", "tyres.csv", "--out", "out"]);
    assert!(err.contains("no tyre has a tested release pressure") && err.contains("give more tested tyres"), "{err}");
    for (tests, words) in [(&[7.0][..], "it has 1 tyre with"), (&[7.0, 8.0, 9.0], "it has 3 tyres with")] {
        folder.write("tyres.csv", tyres(tests));
        let (_, err) = folder.expect(3, &["calibrate", "case.toml", "tyres.csv", "--out", "out"]);
        assert!(err.contains(&format!("{words} a tested release pressure, 4 or more are needed")), "{err}");
        assert!(!folder.0.join("out").exists(), "nothing is solved that is too little");
    }
    folder.write("tyres.csv", HEAD.to_owned() + "A,620.4,x,8\n");
    let (_, err) = folder.expect(2, &["calibrate", "case.toml", "tyres.csv", "--out", "out"]);
    assert!(err.contains("line 2") && err.contains("stiffness") && err.contains("its head is id,diameter [mm]"), "{err}");
    let (_, err) = folder.expect(2, &["calibrate", "case.toml", "none.csv", "--out", "out"]);
    assert!(err.contains("cannot read none.csv") && err.contains("Remedy  give the name of a file of tested tyres"), "{err}");
    assert!(!err.contains("[map]"), "{err}");
}

/// A factor at the highest friction that is solved would ask too little of a case with more.
#[test]
fn a_block_is_refused_beyond_the_frictions_solved() {
    let folder = Folder::new("calibrate_beyond");
    let case = off_centre_road();
    assert!(!case.contains("[contact]"));
    folder.write("case.toml", case.replacen("[rim]", "[contact]\nfriction = 0.6\n\n[rim]", 1));
    folder.write("tyres.csv", tyres(&[7.0, 8.0, 9.0, 8.5]));
    let (_, err) = folder.expect(2, &["calibrate", "case.toml", "tyres.csv", "--out", "out", "--block", "block.toml"]);
    assert!(err.contains("case.toml: a friction of 0.6 lies beyond 0.5") && err.contains("Remedy  leave out --block"), "{err}");
    assert!(!folder.0.join("out").exists() && !folder.0.join("block.toml").exists());
}
