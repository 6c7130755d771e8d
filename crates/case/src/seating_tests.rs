//! Cases that state how bead and crest stand round the wheel.

#![allow(clippy::unwrap_used, clippy::panic, clippy::float_cmp)]

use super::*;
use crate::units::BAR;

/// The starter case with other lines in the table of the local release.
fn text(lines: &str) -> String {
    let starter = starter();
    let at = starter.find("[local]\n").unwrap() + "[local]\n".len();
    format!("{}{lines}\n{}", &starter[..at], &starter[at..])
}

fn list(key: &str, heights: &[&str]) -> String {
    let quoted: Vec<String> = heights.iter().map(|h| format!("\"{h}\"")).collect();
    format!("{key} = [{}]\n", quoted.join(", "))
}

const EIGHT: [&str; 8] = ["3 mm", "3.1 mm", "4 mm", "3.2 mm", "3 mm", "3 mm", "0.31 cm", "3 mm"];

fn file(text: &str) -> Attached {
    [("heights.csv".to_owned(), Ok(text.as_bytes().to_vec()))].into()
}

#[test]
fn heights_are_read_typed_and_from_a_file() {
    let typed = text(&(list("heights_left", &EIGHT) + &list("heights_right", &["3 mm"; 8]) + "seen_at = \"2 bar\""));
    let Stands::Measured(heights) = read(&typed).unwrap().0.local.stands else { panic!() };
    assert_eq!((heights.left[2], heights.left[6], heights.right[0], heights.first), (4.0, 3.1, 3.0, 0.0));
    assert!((heights.seen_at - BAR.inner_of(2.0)).abs() < 1e-12 && heights.file.is_none());
    let rows: Vec<String> = (0..8).map(|k| format!("{};{},5;3\n", 10 + 45 * k, k % 3)).collect();
    let csv = format!("angle [deg];left [mm];right [mm]\n{}", rows.concat());
    assert_eq!(heights_named(&text("heights = \"heights.csv\"")).as_deref(), Some("heights.csv"));
    let (case, _) =
        read_with(&text("heights = \"heights.csv\"\ndip = \"0.4 mm\"\ndip_station = \"90 deg\""), file(&csv)).unwrap();
    let Stands::Measured(heights) = &case.local.stands else { panic!() };
    assert_eq!((heights.left[1], heights.seen_at, heights.file.as_deref()), (1.5, 0.0, Some("heights.csv")));
    assert!((heights.first.to_degrees() - 10.0).abs() < 1e-9);
    let dip = case.local.dip.unwrap();
    assert!((dip.depth - 0.4).abs() < 1e-12 && (dip.length.to_degrees() - 20.0).abs() < 1e-9);
    let told = resolved(&case);
    assert!(told.iter().any(|(_, key, value)| *key == "heights_left" && value.starts_with("0.5 mm, 1.5 mm")), "{told:?}");
    assert!(told.iter().any(|(_, key, value)| *key == "dip_station" && value == "90 deg"), "{told:?}");
}

/// Lines, the key that is faulty, the text pointed at, part of the sentence, part of the remedy.
#[test]
fn faults_name_their_place_and_remedy() {
    let both = list("heights_left", &EIGHT) + &list("heights_right", &["3 mm"; 8]);
    let over = list("heights_left", &EIGHT)
        + &list("heights_right", &["3 mm", "3 mm", "3 mm", "3 mm", "3 mm", "6.9 mm", "3 mm", "3 mm"]);
    let seven = list("heights_left", &EIGHT) + &list("heights_right", &["3 mm"; 7]);
    for (lines, key, at, sentence, remedy) in [
        (seven.clone(), "heights_right", "[\"3 mm\"", "7 heights are given, at least 8", "12 to 24 stations"),
        (
            list("heights_left", &EIGHT) + &list("heights_right", &["3 mm"; 9]),
            "heights_right",
            "[\"3 mm\"",
            "left bead has 8 heights, the right one 9",
            "same stations",
        ),
        (list("heights_left", &EIGHT), "heights_left", "[\"3 mm\"", "no use without `heights_right`", "add `heights_right`"),
        (
            both.clone() + "unevenness = \"1 mm\"",
            "unevenness",
            "\"1 mm\"",
            "`heights_left` and `unevenness` are both given",
            "drop one",
        ),
        (
            both.clone() + "heights = \"heights.csv\"",
            "heights_left",
            "[\"3 mm\"",
            "`heights` and `heights_left` are both given",
            "drop one",
        ),
        (
            over,
            "heights_right",
            "\"6.9 mm\"",
            "right bead stands 3.9 mm over its lowest place at station 6 (225 deg)",
            "mounted anew",
        ),
        (both.replace("\"4 mm\"", "\"four\""), "heights_left", "\"four\"", "", "write the number first"),
        (both.replace("\"4 mm\"", "\"40 mm\""), "heights_left", "\"40 mm\"", "40 mm is out of range", "-30 mm to 30 mm"),
        (both.replace("\"4 mm\"", "4"), "heights_left", "4", "bare number 4", "\"4 mm\""),
        (
            "heights_left = 3\nheights_right = [3]".into(),
            "heights_left",
            "3",
            "a whole number where an array of heights",
            "heights_left = [",
        ),
        ("seen_at = \"2 bar\"".into(), "seen_at", "\"2 bar\"", "no use without `heights`", "add `heights`"),
        ("dip_arc = \"30 deg\"".into(), "dip_arc", "\"30 deg\"", "no use without `dip`", "add `dip`"),
        ("dip = \"5.6 mm\"".into(), "dip", "\"5.6 mm\"", "deeper than the wall of 5.5 mm", "such a dip"),
        ("dip = \"4 mm\"".into(), "dip", "\"4 mm\"", "crest below the bundle", "such a dip"),
        (
            "dip = \"0.4 mm\"\ndip_arc = \"400 deg\"".into(),
            "dip_arc",
            "\"400 deg\"",
            "400 deg is out of range",
            "4 deg to 360 deg",
        ),
        ("lateral_load = \"300 N\"".into(), "lateral_load", "\"300 N\"", "no use without `radial_load`", "add `radial_load`"),
        ("patch_length = \"90 mm\"".into(), "patch_length", "\"90 mm\"", "no use without `radial_load`", "add `radial_load`"),
        (
            "radial_load = \"700 N\"\nlateral_load = \"1100 N\"".into(),
            "lateral_load",
            "\"1100 N\"",
            "1100 N is more than 1.5 times the radial load of 700 N",
            "raise the radial one",
        ),
        (
            "radial_load = \"700 N\"\npatch_length = \"2200 mm\"".into(),
            "patch_length",
            "\"2200 mm\"",
            "a patch of 2200 mm is longer than the tread round the wheel, 21",
            "measure the print",
        ),
        (
            "radial_load = \"700 N\"\npatch_length = \"-90 mm\"".into(),
            "patch_length",
            "\"-90 mm\"",
            "-90 mm is out of range",
            "5 mm to",
        ),
        ("radial_load = \"-700 N\"".into(), "radial_load", "\"-700 N\"", "-700 N is out of range", "1 N to 5000 N"),
        ("radial_load = 700".into(), "radial_load", "700", "bare number 700", "\"700 N\""),
        (
            "radial_load = \"5000 N\"".into(),
            "radial_load",
            "\"5000 N\"",
            "press the tread down to the rim",
            "a rated pressure that carries it",
        ),
        ("heights = \"heights.csv\"".into(), "heights", "\"heights.csv\"", "no file is at hand", "relative to the case file"),
    ] {
        let text = text(&lines);
        let CaseErrors(errors) = read(&text).unwrap_err();
        let error = errors.iter().find(|e| e.key == format!("local.{key}") && e.message().contains(sentence));
        let error = error.unwrap_or_else(|| panic!("{lines}: {errors:?}"));
        assert!(text[error.span.clone()].starts_with(at), "{lines}: {}", &text[error.span.clone()]);
        assert!(error.remedy().contains(remedy) && error.line > 0 && error.column > 0, "{lines}: {}", error.remedy());
    }
}

#[test]
fn faults_of_a_file_point_at_its_name_and_tell_its_line() {
    let rows = |fifth: &str| (1..9).map(|k| if k == 5 { fifth.to_owned() } else { format!("{k},3,3.1\n") }).collect::<String>();
    for (csv, words) in [
        (format!("station,left [mm],right [mm]\n{}", rows("6,3,3\n")), ["heights.csv: its line 6", "station 5 comes next"]),
        (format!("station,left [mm],right [mm]\n{}", rows("5,7,3\n")), ["heights.csv: the left bead", "at station 5 (180 deg)"]),
        ("station,left [mm],right [mm]\n1,3,3\n".to_owned(), ["heights.csv: it has 1 stations", "at least 8"]),
    ] {
        let text = text("heights = \"heights.csv\"");
        let CaseErrors(errors) = read_with(&text, file(&csv)).unwrap_err();
        let [error] = errors.as_slice() else { panic!("{errors:?}") };
        assert_eq!((error.key.as_str(), &text[error.span.clone()]), ("local.heights", "\"heights.csv\""));
        words.iter().for_each(|word| assert!(error.message().contains(word), "{}", error.message()));
    }
}
