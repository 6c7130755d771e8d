//! `hoopwright tolerance`: answer, files and pictures of a study; its samples against `assess`; stopped and gone on with; wrong input.
//!
//! A case without friction, so that one path is solved, of two inputs: few samples settle it.

#![allow(clippy::unwrap_used, clippy::panic, clippy::float_cmp)]

use std::collections::BTreeMap;
use std::fs;
use std::io::{BufRead, BufReader};
use std::process::Stdio;
use std::sync::OnceLock;

use crate::common::table::{cells, files, of};
use crate::common::{Folder, off_centre_road};
use serde_json::Value;

const BLOCK: &str = "\
target = 0.01
most_solves = 90
choose = \"bead.stiffness\"
\"bead.stiffness\" = { mean = \"440 kN\", deviation = \"10 kN\" }
\"rim.seat_circumference\" = { values = \"tape.csv\", column = \"circumference\" }
";
/// Seats of diameters from 621.7 to 622.1 mm, as a tape tells them.
const TAPE: &str = "rim,circumference [mm]\nA,1953.13\nB,1953.60\nC,1953.82\nD,1953.92\nE,1954.05\nF,1954.39\n";

fn case(block: &str) -> String {
    let text = off_centre_road();
    let text = text.replacen("rated = \"5 bar\"", "rated = \"4.6 bar\"", 1);
    text.replacen("[rim]", &format!("[tolerance]\n{block}\n[contact]\nfriction = 0\n\n[rim]"), 1)
}

fn folder(name: &str, block: &str) -> Folder {
    let folder = Folder::new(name);
    folder.write("case.toml", case(block));
    folder.write("tape.csv", TAPE);
    folder
}

struct Run {
    /// What is printed, sentences on one line each.
    text: String,
    files: BTreeMap<String, Vec<u8>>,
}

/// The study on two threads, run once.
fn whole() -> &'static Run {
    static RUN: OnceLock<Run> = OnceLock::new();
    RUN.get_or_init(|| {
        let folder = folder("tolerance_whole", BLOCK);
        let (text, talk) = folder.expect(0, &["tolerance", "case.toml", "--out", "out", "--threads", "2"]);
        assert!(talk.contains("2 inputs scatter; up to 90 samples") && talk.contains("results written to out"), "{talk}");
        assert!(text.lines().all(|line| line.chars().count() <= 80), "{text}");
        Run { text: text.replace("\n  ", " "), files: files(&folder, "out") }
    })
}

fn json() -> Value {
    serde_json::from_slice(&whole().files["tolerance.json"]).unwrap()
}

/// Every line of the text stands in the page, but for the tables' rows; the probability and its interval in both.
#[test]
fn the_report_stands_alone_and_says_what_the_text_says() {
    let text = std::str::from_utf8(&whole().files["report.html"]).unwrap();
    crate::common::page::check(text, whole().files.keys().filter(|name| name.ends_with(".svg")).count());
    assert!(text.contains("Verdict: the target of 0.01 is met"), "{text:.2000}");
    for line in whole().text.lines().skip(1).take(2) {
        assert!(text.replace('\u{a0}', " ").contains(line), "{line}");
    }
    let remarks = whole().text.lines().filter_map(|line| line.strip_prefix('(')?.strip_suffix(')'));
    let folded = text.to_lowercase();
    for remark in remarks {
        assert!(folded.contains(&remark.to_lowercase()), "{remark}");
    }
    for part in ["as measured in tape.csv, column circumference", "most_solves = 90"] {
        assert!(text.contains(part), "{part}");
    }
    crate::common::page::hash(text, "case file", case(BLOCK).as_bytes());
    crate::common::page::hash(text, "values tape.csv", TAPE.as_bytes());
    let rows = |cells: &[&str]| cells.iter().map(|cell| format!("<td class=\"n\">{cell}</td>")).collect::<String>();
    let line = whole().text.lines().find(|line| line.starts_with("any of them")).unwrap();
    let cells: Vec<&str> = line["any of them".len()..].split("  ").map(str::trim).filter(|cell| !cell.is_empty()).collect();
    assert!(text.contains(&rows(&cells)), "{cells:?}");
}

/// Few solves all go to the probability: the spread to be sized gets none and is told as not known, and what the interval is too wide for is told
/// with its reason, without comfort.
#[test]
fn few_solves_are_told_as_such() {
    let folder = folder("tolerance_few", &BLOCK.replace("most_solves = 90", "most_solves = 50\ninterval = \"2 %\""));
    let out = folder.run(&["tolerance", "case.toml", "-q", "--out", "out"]);
    let text = String::from_utf8(out.stdout).unwrap().replace("\n  ", " ");
    let json: Value = serde_json::from_slice(&fs::read(folder.0.join("out/tolerance.json")).unwrap()).unwrap();
    // A place may be drawn again, which is no further solve.
    assert!((45..=50).contains(&json["samples"].as_u64().unwrap()) && json["sized"]["outcome"] == "not known", "{text}");
    assert!(json["sized"]["safe"].is_null() && json["probabilities"]["any"]["checks"].as_u64().unwrap() >= 16, "{json:#}");
    for words in [
        "most_solves = 50 is used up; raise it for a narrower one",
        "how wide it may be is not known: the probability comes first",
    ] {
        assert!(text.contains(words), "{words}\n{text}");
    }
    assert!(!text.contains("too rare to matter") && !folder.0.join("out/tolerance_width.svg").exists(), "{text}");
}

fn number(value: &Value, pointer: &str) -> f64 {
    value.pointer(pointer).and_then(Value::as_f64).unwrap_or_else(|| panic!("{pointer} in {value:#}"))
}

#[test]
fn the_answer_is_told_in_words_first_with_interval_target_and_cautions() {
    let text = &whole().text;
    let lines: Vec<&str> = text.lines().collect();
    assert!(lines[1].starts_with("Of all pairs that scatter so, a share of ") && lines[1].contains("95 % interval"), "{text}");
    assert!(lines[2].starts_with("The target of 0.01 is met"), "{text}");
    for word in [
        "Worst case, solved",
        "margin of off-centre release at the given friction, bar",
        "worst corner, may release: bead.stiffness 410 kN, rim.seat_circumference 1953.13 mm",
        "What matters: may release",
        "Sized: bead.stiffness (stated: normal, 440 kN +- 10 kN)",
        "rim.seat_circumference: as measured in tape.csv, column circumference",
        "0 without an answer",
        "A bead that lets go under pressure injures people",
    ] {
        assert!(text.contains(word), "{word}\n{text}");
    }
}

/// The margin is nearly linear here, so what the solved differences say of a normal sum is nearly the probability: to a factor of two.
#[test]
fn the_probability_is_near_that_of_the_differences() {
    let json = json();
    let p = |name: &str| number(&json, &format!("/probabilities/any/{name}"));
    assert!(p("low") < p("value") && p("value") < p("high") && p("high") <= 0.01, "{json:#}");
    let worst = &json["worst_case"][0];
    assert_eq!(worst["number"], "off_centre_release");
    let slopes: Vec<f64> = worst["slopes"].as_object().unwrap().values().map(|v| v.as_f64().unwrap()).collect();
    let index = number(worst, "/centre") / slopes.iter().map(|s| s * s).sum::<f64>().sqrt();
    let told = number(&json, "/limits/0/design_points/0/index");
    assert!((told / index - 1.0).abs() < 0.15, "design point {told}, by differences {index}");
    let shares = &json["limits"][0]["variance"]["in_all"];
    assert!((number(shares, "/bead.stiffness") + number(shares, "/rim.seat_circumference") - 1.0).abs() < 0.05, "{shares}");
    assert!(number(worst, "/least") < number(worst, "/centre") && number(worst, "/centre") < number(worst, "/greatest"));
    assert_eq!(json["sized"]["input"], "bead.stiffness");
    assert!(number(&json, "/sized/safe") > 1.0, "the target is met with room");
}

#[test]
fn samples_have_units_purposes_and_the_answer_to_their_cases() {
    let rows = cells(&whole().files["samples.csv"]);
    let numbers: Vec<String> = (1..rows.len()).map(|n| n.to_string()).collect();
    assert_eq!(of(&rows, "sample"), numbers);
    let purposes = of(&rows, "purpose");
    for purpose in ["centre", "gradient", "corner", "learning", "check"] {
        assert!(purposes.iter().any(|p| p == purpose), "{purpose} in {purposes:?}");
    }
    assert_eq!(of(&rows, "bead.stiffness [kN]")[0], "440");
    // A tape of 1953.818 mm is a diameter of 621.919 mm: the mean of the six.
    let tape: f64 = of(&rows, "rim.seat_circumference [mm]")[0].parse().unwrap();
    let folder = Folder::new("tolerance_centre");
    let typed = case("").replacen("[tolerance]\n", "", 1).replacen("\"400 kN\"", "\"440 kN\"", 1);
    folder.write("case.toml", typed.replacen("\"621.95 mm\"", &format!("\"{} mm\"", tape / std::f64::consts::PI), 1));
    let (out, _) = folder.expect(0, &["assess", "--json", "case.toml"]);
    let assessed: Value = serde_json::from_str(&out).unwrap();
    for (name, pointer, scale) in [
        ("off_centre_release [bar]", "/retention/off_centre_release_mpa", 10.0),
        ("spoke_tension_loss_share [%]", "/rim/spoke_tension_loss_share", 100.0),
    ] {
        let (found, expected): (f64, f64) = (of(&rows, name)[0].parse().unwrap(), scale * number(&assessed, pointer));
        assert!((found - expected).abs() <= 1e-5 * expected, "{name}: {found}, {expected}");
    }
}

#[test]
fn pictures_name_axes_limit_and_inputs() {
    let text = |name: &str| std::str::from_utf8(&whole().files[name]).unwrap();
    let margin = text("tolerance_margin_off_centre_release.svg");
    for word in [">kept<", ">least solved<", ">probability of less<", ">margin, bar<", "target 0.01"] {
        assert!(margin.contains(word), "{word}");
    }
    let bars = text("tolerance_importance_off_centre_release.svg");
    for word in [">bead stiffness<", ">rim seat circumference<", "importance at the design point"] {
        assert!(bars.contains(word), "{word}");
    }
    assert!(text("tolerance_width.svg").contains("spread as a multiple of the stated one"));
    for (name, bytes) in whole().files.iter().filter(|(name, _)| name.ends_with(".svg")) {
        let text = std::str::from_utf8(bytes).unwrap();
        assert!(text.ends_with("</svg>\n") && !text.contains("NaN") && !text.contains("inf"), "{name}");
    }
}

/// A run that is killed by force, with a line torn, goes on on one thread and gives the bytes of one run on two.
#[test]
fn a_killed_run_goes_on_to_the_same_bytes() {
    let folder = folder("tolerance_killed", BLOCK);
    fs::create_dir_all(folder.0.join("out")).unwrap();
    // What a run left after most of its samples.
    let text = String::from_utf8(whole().files["samples.csv"].clone()).unwrap();
    let lines: Vec<&str> = text.split_inclusive('\n').collect();
    let kept = lines.len() - 8;
    folder.write("out/samples.csv", lines[..kept].concat() + &lines[kept][..20]);
    let mut run = folder.command(&["tolerance", "case.toml", "--out", "out", "--threads", "1", "-v"]);
    let mut child = run.stdout(Stdio::null()).stderr(Stdio::piped()).spawn().unwrap();
    let talk = BufReader::new(child.stderr.take().unwrap()).lines();
    let finished = talk.map(Result::unwrap).filter(|line| line.contains(" finished (")).take(2).count();
    child.kill().unwrap();
    child.wait().unwrap();
    assert_eq!(finished, 2);
    let left = fs::read_to_string(folder.0.join("out/samples.csv.unfinished")).unwrap();
    assert!(left.lines().count() >= kept + 2 && left.lines().count() < lines.len(), "{left}");
    let (out, talk) = folder.expect(0, &["tolerance", "case.toml", "--out", "out", "--threads", "1"]);
    assert!(talk.contains("kept from an earlier run"), "{talk}");
    assert_eq!(out.replace("\n  ", " "), whole().text);
    let (found, expected) = (files(&folder, "out"), &whole().files);
    assert_eq!(found.keys().collect::<Vec<_>>(), expected.keys().collect::<Vec<_>>());
    for (name, bytes) in expected {
        assert_eq!(String::from_utf8_lossy(&found[name]), String::from_utf8_lossy(bytes), "{name}");
    }
    // Once more, and as JSON: nothing is left to solve.
    let (out, talk) = folder.expect(0, &["tolerance", "case.toml", "--out", "out", "--json"]);
    assert!(talk.contains(", 0 solved in this run"), "{talk}");
    assert_eq!(out.as_bytes(), whole().files["tolerance.json"]);
    // Another seed is another study: its file is not touched.
    folder.write("case.toml", case(&format!("seed = 2\n{BLOCK}")));
    let (_, err) = folder.expect(2, &["tolerance", "case.toml", "--out", "out"]);
    assert!(err.contains("is not the file of this study") && err.contains("give another folder"), "{err}");
    assert_eq!(fs::read(folder.0.join("out/samples.csv")).unwrap(), whole().files["samples.csv"]);
}

/// Block, exit code, what is said, remedy.
const WRONG: &[(&str, &str, &str)] = &[
    ("\"bead.stiffness\" = { deviation = \"12 mm\" }", "is the unit of a length", "use one of"),
    ("\"contact.friction\" = { deviation = \"0.1\" }", "the spread reaches contact.friction = -0.6", "cut it off"),
    ("\"rim.seat_circumference\" = { values = \"none.csv\" }", "cannot read none.csv", "name it in the table [tolerance]"),
    ("\"rim.seat_circumference\" = { values = \"tape.csv\", column = \"width\" }", "has no column `width`", "correct that file"),
    ("\"bead.diameter\" = { values = \"bad.csv\", column = \"diameter\" }", "its line 4 has \"62O.4\"", "correct that file"),
    (
        "\"bead.diameter\" = { values = \"far.csv\", column = \"diameter\" }",
        "which makes no case",
        "correct or remove that value",
    ),
    (
        "\"bead.stiffness\" = { deviation = \"12 kN\" }\n\"rim.flange_height\" = { between = [\"5 mm\", \"6 mm\"] }\ncorrelation = [[\"bead.stiffness\", \"rim.flange_height\", 0.99]]",
        "bead.stiffness and rim.flange_height cannot have a correlation of 0.99",
        "closer to zero",
    ),
];

#[test]
fn wrong_input_is_told_before_anything_is_solved() {
    let folder = Folder::new("tolerance_wrong");
    folder.write("tape.csv", TAPE);
    folder.write("bad.csv", "id,diameter [mm]\nA,620.1\nB,620.2\nC,62O.4\n");
    folder.write("far.csv", "id,diameter [mm]\nA,620.1\nB,620.2\nC,620.3\nD,620.4\nE,680\n");
    for (block, sentence, remedy) in WRONG {
        folder.write("case.toml", case(block));
        let (out, err) = folder.expect(2, &["tolerance", "case.toml", "--out", "out"]);
        assert!(out.is_empty() && err.contains(sentence) && err.contains(remedy), "{block}\n{err}");
    }
    folder.write("case.toml", case("").replacen("[tolerance]\n", "", 1));
    let (_, err) = folder.expect(2, &["tolerance", "case.toml"]);
    assert!(err.contains("does not say how the case's inputs scatter") && err.contains("add a table [tolerance]"), "{err}");
    // What is wrong in the table is told by its place.
    folder.write("case.toml", case("\"bead.stiffness\" = { deviation = \"12 mm\" }"));
    let (_, err) = folder.expect(2, &["review", "case.toml"]);
    assert!(err.contains("case.toml, line 9, ") || err.contains("case.toml, line 8, "), "{err}");
}

#[test]
fn check_lists_what_scatters() {
    let folder = folder("tolerance_check", BLOCK);
    let (out, _) = folder.expect(0, &["review", "case.toml"]);
    let flowing = out.replace("\n  ", " ");
    assert!(
        flowing.contains("Tolerances for `hoopwright tolerance`: bead.stiffness (normal, 440 kN +- 10 kN); rim.seat"),
        "{out}"
    );
}
