//! Many logs at once: a table of them, whatever is wrong with one; names of tyres and rims.

use std::fs;

use crate::common::Folder;
use crate::rig::{example, inflation, json, let_down, report};
use serde_json::Value;

#[test]
fn a_folder_of_logs_gives_tyres_for_a_map() {
    let folder = Folder::new("rig_batch");
    fs::create_dir(folder.0.join("logs")).unwrap();
    let log = fs::read_to_string(example("09_stretch_half_discs.csv")).unwrap();
    folder.write("logs/A.csv", &log);
    folder.write("logs/B.csv", log.lines().take(1300).collect::<Vec<_>>().join("\n"));
    folder.write("logs/C.csv", log.lines().take(40).collect::<Vec<_>>().join("\n"));
    folder.write("logs/D.csv", log.replacen(",0.5,", ",half,", 1).replacen("time [s]", "time", 1));
    let fixture = example("09_fixture_half_discs.toml");
    // A log that cannot be used is wrong input; by a pattern, which nothing but the program expands, as by the folder.
    let (text, _) = folder.expect(2, &["rig", "stretch", "logs", "--fixture", &fixture, "--out", "out"]);
    assert_eq!(text, folder.expect(2, &["rig", "stretch", "logs/*.csv", "--fixture", &fixture]).0);
    assert!(text.lines().all(|line| line.chars().count() <= 80), "{text}");
    assert!(text.contains("4 logs, 2 with an answer, 2 without"), "{text}");
    assert!(text.contains("C    no answer: it has 36 rows, 60 are needed"), "{text}");
    assert!(text.contains("D    no answer: the unit of column `time` in its head cannot be used"), "{text}");
    let page = report(&folder);
    crate::common::page::check(&page, 2);
    assert!(
        page.contains("Found: 2 of 4 logs have an answer") && page.contains("C.csv: no answer: it has 36 rows, 60 are needed")
    );
    let tyres = fs::read_to_string(folder.0.join("out/tyres.csv")).unwrap();
    assert!(tyres.starts_with("id,diameter [mm],stiffness [kN],") && tyres.lines().count() == 3, "{tyres}");

    let case = fs::read_to_string(example("01_road_holds.toml")).unwrap();
    let map = "[map]\ntyres = \"out/tyres.csv\"\n\"bead.stiffness\" = { from = \"300 kN\", to = \"340 kN\", count = 2 }\n\
               mismatch = { from = \"1.5 mm\", to = \"1.6 mm\", count = 2 }\n\n[contact]\nfriction = 0\n\n[rim]";
    folder.write("case.toml", case.replacen("[rim]", map, 1));
    folder.expect(1, &["map", "case.toml", "--out", "mapped", "-q"]);
    let mapped: Value = serde_json::from_slice(&fs::read(folder.0.join("mapped/map.json")).unwrap()).unwrap();
    let text = mapped.to_string();
    assert!(text.contains("\"A\"") && text.contains("\"B\""), "{mapped:#}");
}

/// One that held, one that came off, one with a wrong head, one that ends at once: a row each, and none hides the others.
#[test]
fn many_inflation_tests_give_one_table_of_verdicts() {
    let folder = Folder::new("rig_holds");
    fs::create_dir(folder.0.join("logs")).unwrap();
    let [held, off] = ["11_hold.csv", "11_release.csv"].map(|name| fs::read_to_string(example(name)).unwrap());
    folder.write("logs/T1.csv", &held);
    folder.write("logs/T2.csv", &off);
    folder.write("logs/T3.csv", held.replacen("pressure [bar]", "pressure", 1));
    folder.write("logs/T4.csv", held.lines().take(12).collect::<Vec<_>>().join("\n"));
    let ask = |code: i32, logs: &[&str], more: &[&str]| {
        folder.expect(code, &[&["rig", "hold"], logs, &["--rated", "5 bar"], more].concat()).0
    };
    let text = ask(2, &["logs/*.csv"], &["--rim", "r", "--out", "out"]);
    assert!(text.lines().all(|line| line.chars().count() <= 80), "{text}");
    for words in ["T1   held  ", "T2   released  ", "T3   no answer: the unit of column `pressure`", "4 logs, 2 with an answer"] {
        assert!(text.contains(words), "{words}\n{text}");
    }
    assert_eq!(text, ask(2, &["logs"], &[]));
    let csv = fs::read_to_string(folder.0.join("out/verdicts.csv")).unwrap();
    assert!(csv.starts_with("id,tested on,hold,tested hold pressure [bar],tested release pressure [bar],"), "{csv}");
    assert!(
        csv.contains("\nT1,r,held,7.500,,7.500,")
            && csv.contains("\nT2,r,released,,")
            && csv.contains("\nT4,r,no answer,,,,,,T4.csv,"),
        "{csv}"
    );
    crate::common::page::check(&report(&folder), 2);
    let document = json(&folder, 2, &["hold", "logs", "--rated", "5 bar"]);
    assert_eq!((&document["failed"], &document["logs"][1]["answer"]["verdict"]), (&Value::from(2), &Value::from("released")));
    // Without what is wrong the verdicts count, and without a test that came off all is well.
    ask(3, &["logs/T[124].csv"], &[]);
    ask(1, &["logs/T[12].csv"], &[]);
    ask(0, &["logs/T1*"], &[]);
    let (_, told) = folder.expect(2, &["rig", "hold", "logs/U*.csv", "--rated", "5 bar"]);
    assert!(told.contains("logs/U*.csv holds no log: no file has such a name"), "{told}");
    let (_, told) = folder.expect(2, &["rig", "hold", "logs", "--rated", "5 bar", "--block", "b.toml"]);
    assert!(told.contains("a block is made of one log"), "{told}");
}

/// Names of tyres and rims out of the logs; a log that names two tyres tells of neither.
#[test]
fn logs_name_their_tyres() {
    let folder = Folder::new("rig_names");
    let named = |id: &str, last: &str| {
        let log = inflation("bar", 1.0, let_down(|_| 0.0));
        let rows: Vec<&str> = log.lines().skip(1).collect();
        let row = |(i, row): (usize, &&str)| format!("{row},{},r7\n", if i + 1 == rows.len() { last } else { id });
        "time (s),pressure (bar),Specimen,rim\n".to_owned() + &rows.iter().enumerate().map(row).collect::<String>()
    };
    folder.write("a.csv", named("A-101", "A-101"));
    folder.write("b.csv", named("A-102", "A-103"));
    let args = ["hold", "a.csv", "b.csv", "--rated", "5 bar", "--id-column", "specimen", "--rim-column", "rim"];
    let document = json(&folder, 2, &args);
    let [first, second] = [0, 1].map(|k| document["logs"][k].clone());
    assert_eq!([&first["id"], &first["tested_on"], &first["answer"]["verdict"]], ["A-101", "r7", "held"]);
    assert!(
        second["reason"].as_str().unwrap().contains("has \"A-103\" in column `specimen`, and \"A-102\" stands before"),
        "{second}"
    );
}

#[test]
fn many_logs_of_growth_give_one_table_of_verdicts() {
    let folder = Folder::new("rig_growths");
    fs::create_dir(folder.0.join("nights")).unwrap();
    let log = fs::read_to_string(example("10_growth.csv")).unwrap();
    folder.write("nights/A.csv", &log);
    folder.write("nights/B.csv", log.lines().take(15).collect::<Vec<_>>().join("\n"));
    let args = ["rig", "growth", "nights/*.csv", "--start", "0 h", "--out", "out"];
    let (text, _) = folder.expect(3, &args);
    assert!(text.lines().all(|line| line.chars().count() <= 80) && text.contains("B    no answer: "), "{text}");
    let csv = fs::read_to_string(folder.0.join("out/verdicts.csv")).unwrap();
    assert!(csv.starts_with("id,growth,growth per decade [mm],") && csv.contains("\nB,no answer,,,,,B.csv,"), "{csv}");
    crate::common::page::check(&report(&folder), 1);
}
