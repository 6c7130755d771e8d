//! `hoopwright vary`: rows, files and pictures of a study; stopped and gone on with; wrong input.
//!
//! The cases have no friction, so that one path is solved instead of two.

use std::collections::BTreeMap;
use std::fs;
use std::io::{BufRead, BufReader};
use std::process::Stdio;
use std::sync::OnceLock;

use crate::common::table::{cells, column, files, of};
use crate::common::{Folder, off_centre_road, project};
use serde_json::Value;

/// A case, with a table of values behind its first line.
fn case(block: &str) -> String {
    let text = off_centre_road();
    text.replacen("[rim]", &format!("[vary]\n{block}\n\n[contact]\nfriction = 0\n\n[rim]"), 1)
}

const GRID: &str = "\"rim.seat_diameter\" = [\"621.5 mm\", \"621.95 mm\"]\n\"bead.stiffness\" = { from = \"300 kN\", to = \"400 kN\", count = 2 }";

struct Run {
    folder: Folder,
    table: String,
    files: BTreeMap<String, Vec<u8>>,
}

/// The grid on two threads, solved once.
fn grid() -> &'static Run {
    static RUN: OnceLock<Run> = OnceLock::new();
    RUN.get_or_init(|| {
        let folder = Folder::new("vary_grid");
        folder.write("case.toml", case(GRID));
        let (table, talk) = folder.expect(1, &["vary", "case.toml", "--out", "out", "--threads", "2"]);
        assert!(talk.contains("4 variants, up to 2 at a time") && talk.contains("results written to out"), "{talk}");
        let files = files(&folder, "out");
        Run { folder, table, files }
    })
}

#[test]
fn a_grid_has_a_row_for_every_pair_with_units() {
    let rows = cells(&grid().files["vary.csv"]);
    let of = |name: &str| of(&rows, name);
    assert_eq!(of("variant"), ["1", "2", "3", "4"]);
    assert_eq!(of("rim.seat_diameter [mm]"), ["621.5", "621.5", "621.95", "621.95"]);
    assert_eq!(of("bead.stiffness [kN]"), ["300", "400", "300", "400"]);
    assert_eq!(of("off_centre_release_reached"), ["yes"; 4]);
    assert_eq!(of("verdict"), ["releases", "may release", "releases", "may release"]);
    let numbers: Vec<f64> = of("off_centre_release [bar]").iter().map(|text| text.parse().unwrap()).collect();
    assert!(numbers[0] < numbers[1] && numbers[1] < numbers[3] && numbers[0] < numbers[2], "{numbers:?}");
    for (i, line) in grid().table.lines().skip(3).take(4).enumerate() {
        let words: Vec<&str> = line.split_whitespace().collect();
        assert_eq!(words[..3], [(i + 1).to_string().as_str(), &of("rim.seat_diameter [mm]")[i], &of("bead.stiffness [kN]")[i]]);
        assert!(line.ends_with(&format!("  {}", of("verdict")[i])), "{line}");
    }
    assert!(grid().table.lines().nth(2).unwrap().contains("mm") && grid().table.lines().nth(2).unwrap().contains("bar"));
}

/// A row says what `assess` says of the case with its values typed in.
#[test]
fn a_row_is_the_answer_to_its_case() {
    let folder = Folder::new("vary_row");
    let typed =
        case("\"spokes.count\" = [28]").replacen("\"621.95 mm\"", "\"621.5 mm\"", 1).replacen("\"400 kN\"", "\"300 kN\"", 1);
    folder.write("case.toml", typed);
    let (out, _) = folder.expect(1, &["assess", "--json", "case.toml"]);
    let json: Value = serde_json::from_str(&out).unwrap();
    let rows = cells(&grid().files["vary.csv"]);
    for (name, pointer, scale) in [
        ("first_lift [bar]", "/retention/first_lift_mpa", 10.0),
        ("off_centre_release [bar]", "/retention/off_centre_release_mpa", 10.0),
        ("uniform_blow_off_frictionless [bar]", "/retention_frictionless/uniform_blow_off_mpa", 10.0),
        ("allowed_pressure [bar]", "/allowed_pressure_mpa", 10.0),
        ("bead_tension_fitted [N]", "/fit/bead/tension_n", 1.0),
        ("bead_tension_rated [N]", "/bead/tension_n", 1.0),
        ("seat_load_fitted [N/mm]", "/fit/rim/seat_load_n_per_mm", 1.0),
        ("seat_load_rated [N/mm]", "/rim/seat_load_n_per_mm", 1.0),
        ("rim_hoop_force [N]", "/rim/hoop_force_n", 1.0),
        ("rim_radial_displacement [mm]", "/rim/radial_displacement_mm", 1.0),
        ("spoke_tension_loss [N]", "/rim/spoke_tension_loss_n", 1.0),
        ("spoke_tension_loss_share [%]", "/rim/spoke_tension_loss_share", 100.0),
        ("inflated_width [mm]", "/tyre/width_mm", 1.0),
        ("mounting_force [N]", "/estimate/mounting_force_limp_n", 1.0),
    ] {
        let found: f64 = rows[1][column(&rows, name)].parse().unwrap();
        let expected = scale * json.pointer(pointer).unwrap().as_f64().unwrap();
        assert!((found - expected).abs() <= 1e-5 * expected.abs(), "{name}: {found}, {expected}");
    }
}

#[test]
fn pictures_have_axes_with_units_and_the_limit() {
    let pictures: Vec<_> = grid().files.iter().filter(|(name, _)| name.ends_with(".svg")).collect();
    assert_eq!(pictures.len(), 21, "{:?}", grid().files.keys());
    for (name, bytes) in pictures {
        let text = std::str::from_utf8(bytes).unwrap();
        assert!(name.starts_with("vary_") && text.ends_with("</svg>\n") && !text.contains("NaN"), "{name}");
        assert!(text.contains(">rim seat diameter, mm<") && text.contains(">bead stiffness<"), "{name}");
        assert!(text.contains(">300 kN<") && text.contains(">400 kN<") && text.contains(">621.95<"), "{name}");
    }
    let of = |name: &str| std::str::from_utf8(&grid().files[name]).unwrap();
    assert!(of("vary_off_centre_release.svg").contains(">required 7.5 bar<"));
    assert!(of("vary_allowed_pressure.svg").contains(">rated 5 bar<"));
    assert!(of("vary_spoke_tension_loss_share.svg").contains(">limit 25 %<"));
    assert!(!of("vary_inflated_width.svg").contains(">limit"));
}

/// The page says how many variants hold and shows every row and every picture; the data lie beside the file of rows.
#[test]
fn the_report_stands_alone_and_shows_every_variant() {
    let files = &grid().files;
    let text = std::str::from_utf8(&files["report.html"]).unwrap();
    crate::common::page::check(text, 21);
    crate::common::page::hash(text, "case file", case(GRID).as_bytes());
    assert!(text.contains("Verdict: no variant of 4 keeps every stated limit"));
    assert!(text.contains("<p>2 of 4: releases.</p>") && text.contains("<p>2 of 4: may release.</p>"));
    assert!(text.contains("<td>300, 400 kN</td>") && text.contains("<td>621.5, 621.95 mm</td>"), "what was varied");
    // The row of each variant, as in the text, where it goes on in a second block.
    let rows = cells(&files["vary.csv"]);
    let numbers =
        |line: &str| line.split_whitespace().filter(|w| w.parse::<f64>().is_ok()).map(str::to_owned).collect::<Vec<_>>();
    for (k, verdict) in (1..=4).zip(of(&rows, "verdict")) {
        let lines: Vec<_> = grid().table.lines().map(numbers).filter(|words| words.first() == Some(&k.to_string())).collect();
        let words = lines[0].iter().chain(&lines[1][1..]);
        let cells: Vec<String> = words.map(|word| format!("<td class=\"n\">{word}</td>")).collect();
        assert_eq!((lines.len(), cells.len()), (2, 9), "{lines:?}");
        assert!(text.contains(&format!("<tr>{}<td>{verdict}</td></tr>", cells.concat())), "{lines:?}");
    }
    let names: Vec<&str> = files.keys().filter(|name| !name.ends_with(".svg")).map(String::as_str).collect();
    assert_eq!(names, ["contents.json", "report.html", "vary.csv", "vary.parquet"]);
    assert!(files["vary.parquet"].starts_with(b"PAR1") && files["vary.parquet"].ends_with(b"PAR1"));
}

#[test]
fn a_finished_study_is_not_solved_again() {
    let folder = Folder::new("vary_finished");
    folder.write("case.toml", case(GRID));
    fs::create_dir(folder.0.join("out")).unwrap();
    folder.write("out/vary.csv", &grid().files["vary.csv"]);
    let (table, talk) = folder.expect(1, &["vary", "case.toml", "--out", "out", "-v"]);
    assert!(talk.contains("4 of them kept from") && !talk.contains("finished"), "{talk}");
    assert_eq!((files(&folder, "out"), table.as_str()), (grid().files.clone(), grid().table.as_str()));
    let (out, talk) = folder.expect(1, &["vary", "case.toml", "--out", "out", "--json", "--quiet"]);
    assert!(talk.is_empty(), "{talk}");
    let json: Value = serde_json::from_str(&out).unwrap();
    assert_eq!(json["rows"].as_array().unwrap().len(), 4);
    assert_eq!(json["rows"][3]["inputs"]["bead.stiffness"], 400.0);
    assert_eq!(json["units"]["off_centre_release"], "bar");
}

/// Killed after the first row, with half a row behind it as a full disk leaves one; on one thread, where the grid was solved on two.
#[test]
fn a_killed_run_is_gone_on_with_to_the_same_bytes_whatever_the_threads() {
    let folder = Folder::new("vary_killed");
    folder.write("case.toml", case(GRID));
    let arguments = ["vary", "case.toml", "--out", "out", "--threads", "1", "-v"];
    let mut child = folder.command(&arguments).stdout(Stdio::null()).stderr(Stdio::piped()).spawn().unwrap();
    let lines = BufReader::new(child.stderr.take().unwrap()).lines().map(Result::unwrap);
    assert!(lines.into_iter().any(|line| line.contains(" finished")), "no row was finished");
    child.kill().unwrap();
    child.wait().unwrap();
    assert!(!folder.0.join("out/vary.csv").exists(), "a study under way has no file that reads as whole");
    let path = folder.0.join("out/vary.csv.unfinished");
    let kept = fs::read_to_string(&path).unwrap();
    let rows = kept.lines().count() - 1;
    assert!((1..4).contains(&rows) && kept.ends_with('\n'), "{kept}");
    fs::write(&path, format!("{kept}3,\"half a r")).unwrap();
    let (_, talk) = folder.expect(1, &arguments);
    assert!(talk.contains(&format!("{rows} of them kept from an earlier run;")), "{talk}");
    assert_eq!(talk.matches(" finished").count(), 4 - rows, "{talk}");
    assert_eq!(files(&folder, "out"), grid().files);
}

/// The rows of some parts are those of the whole study, the part that is missing is told and solved, and by itself it solves its row only.
#[test]
fn parts_are_joined_and_a_missing_one_is_told() {
    let folder = Folder::new("vary_parts");
    folder.write("case.toml", case(GRID));
    let whole = String::from_utf8(grid().files["vary.csv"].clone()).unwrap();
    let lines: Vec<&str> = whole.split_inclusive('\n').collect();
    let of_part = |k: usize| lines[0].to_owned() + &lines[1..].iter().skip(k - 1).step_by(3).copied().collect::<String>();
    fs::create_dir(folder.0.join("out")).unwrap();
    for k in [1, 2] {
        folder.write(&format!("out/vary_{k}_of_3.csv"), of_part(k));
    }
    let (table, talk) = folder.expect(1, &["vary", "case.toml", "--out", "out"]);
    assert!(talk.contains("part 3/3 not there") && talk.contains("4 variants, 3 of them kept"), "{talk}");
    let mut joined = files(&folder, "out");
    joined.retain(|name, _| !name.contains("_of_"));
    assert_eq!((&joined, &table), (&grid().files, &grid().table));
    let (_, talk) = folder.expect(0, &["vary", "case.toml", "--out", "apart", "--part", "3/3"]);
    assert!(talk.contains("1 variants solved in"), "{talk}");
    let apart = files(&folder, "apart");
    assert_eq!(apart.keys().collect::<Vec<_>>(), ["vary_3_of_3.csv"]);
    assert_eq!(String::from_utf8(apart["vary_3_of_3.csv"].clone()).unwrap(), of_part(3));
}

/// More values: the rows that there are serve the larger study. Another bead: they do not.
#[test]
fn rows_are_taken_over_by_their_cases_and_no_other_file_is_touched() {
    let folder = Folder::new("vary_other");
    let (name, mine) = ("out/vary.csv", &grid().files["vary.csv"]);
    fs::create_dir(folder.0.join("out")).unwrap();
    let stiffer = GRID.replace("to = \"400 kN\"", "to = \"310 kN\"");
    let other_head = GRID.replace("bead.stiffness", "bead.breaking_force").replace("300 kN", "30 kN").replace("400 kN", "40 kN");
    for (file, text, sentence) in [
        (mine.clone(), case(&stiffer), "its line 3 is of another case"),
        (mine.clone(), case(GRID).replacen("plies = 1", "plies = 2", 1), "its line 2 is of another case"),
        (mine.clone(), case(&other_head), "its first line is not the head"),
        (b"mine\n".to_vec(), case(GRID), "its first line is not the head"),
        (b"\xff\xfe\x00".to_vec(), case(GRID), "its first line is not the head"),
        (b"variant,case_hash\n".to_vec(), case(GRID), "of six digits, which this version of the program does not go on from"),
    ] {
        folder.write("case.toml", text);
        folder.write(name, &file);
        let (out, err) = folder.expect(2, &["vary", "case.toml", "--out", "out"]);
        assert!(out.is_empty() && err.contains("vary.csv is not the file of this study") && err.contains(sentence), "{err}");
        assert!(err.contains("Remedy  give another folder by --out"), "{err}");
        assert_eq!(files(&folder, "out"), BTreeMap::from([("vary.csv".to_owned(), file)]));
    }
    // Another title changes no number; a new value stands before the old ones.
    let larger = GRID
        .replacen("[\"621.5 mm\"", "[\"621.2 mm\", \"621.5 mm\"", 1)
        .replace("from = \"300 kN\", to = \"400 kN\", count = 2", "from = \"400 kN\", to = \"300 kN\", count = 2");
    folder.write("case.toml", case(&larger).replacen("title = \"", "title = \"Again: ", 1));
    folder.write(name, mine);
    let (_, talk) = folder.expect(1, &["vary", "case.toml", "--out", "out", "-v"]);
    assert!(talk.contains("6 variants, 4 of them kept from") && talk.matches(" finished").count() == 2, "{talk}");
    let rows = cells(&files(&folder, "out")["vary.csv"]);
    let of = |name: &str| of(&rows, name);
    assert_eq!(of("variant"), ["1", "2", "3", "4", "5", "6"]);
    assert_eq!(of("rim.seat_diameter [mm]"), ["621.2", "621.2", "621.5", "621.5", "621.95", "621.95"]);
    assert_eq!(of("bead.stiffness [kN]"), ["400", "300", "400", "300", "400", "300"]);
    let old = cells(mine);
    assert_eq!(rows[3][4..], old[2][4..], "the row of 621.5 mm and 400 kN");
}

/// A bead of next to no stiffness, for which no equilibrium is found, and one that is not released.
#[test]
fn a_failed_solve_is_a_row_with_its_reason_and_no_release() {
    let folder = Folder::new("vary_failed");
    let block = "combine = \"list\"\n\"bead.stiffness\" = [\"5 kN\", \"2000 kN\"]\n\"bead.diameter\" = [\"620.4 mm\", \"619.5 mm\"]\n\"pressure.cap\" = [\"20 bar\", \"7.6 bar\"]";
    folder.write("case.toml", case(block));
    let (table, _) = folder.expect(3, &["vary", "case.toml", "--out", "out"]);
    let rows = cells(&files(&folder, "out")["vary.csv"]);
    let cell = |row: usize, name: &str| rows[row][column(&rows, name)].as_str();
    assert_eq!((cell(1, "verdict"), cell(1, "uniform_blow_off_reached")), ("no answer", "no"));
    assert!(cell(1, "end").starts_with("failed: "), "{rows:?}");
    assert!(table.contains("variant 1: no answer: no equilibrium was found further on"), "{table}");
    assert_eq!((cell(2, "off_centre_release [bar]"), cell(2, "off_centre_release_reached")), ("7.6", "no"));
    assert_eq!((cell(2, "verdict"), cell(2, "end")), ("overloads the rim", "cap"));
    assert!(table.lines().nth(4).unwrap().contains("> 7.600"), "{table}");
    let picture = String::from_utf8(files(&folder, "out")["vary_off_centre_release.svg"].clone()).unwrap();
    let key = "hollow with arrow: not reached up to there; cross: no answer, or no such number";
    assert!(picture.contains(key) && picture.contains(">variant "), "{picture}");
    assert_eq!(picture.matches("<circle").count(), 1, "no mark for a variant without an answer");
}

/// Table, line within it, column, sentence, remedy.
#[rustfmt::skip]
const BAD: &[(&str, usize, usize, &str, &str)] = &[
    ("\"rim.seat_diamter\" = [\"622 mm\"]", 1, 1, "`rim.seat_diamter` is no input of a case", "did you mean \"rim.seat_diameter\"?"),
    ("combine = \"grid\"\n\"rim.seat_diameter\" = [\"622 mm\", \"622 bar\"]", 2, 34, "\"bar\" is the unit of a pressure", "use one of mm"),
    ("\"rim.flange_height\" = { from = \"5 mm\", to = \"30 mm\", count = 4 }", 1, 45, "30 mm is out of range", "give 1 mm to 20 mm"),
    ("\"rim.flange_height\" = [\"5.5 mm\", \"1.2 mm\"]", 1, 34, "with rim.flange_height = 1.2 mm: corner and crest radius take 1.6 mm", "a higher flange"),
    ("combine = \"grit\"", 1, 11, "\"grit\" is not one of the words", "did you mean \"grid\"?"),
];

#[test]
fn wrong_values_end_with_2_before_anything_is_solved() {
    let folder = Folder::new("vary_wrong");
    for (block, line, column, sentence, remedy) in BAD {
        let text = case(block);
        let header = text.lines().position(|l| l == "[vary]").unwrap() + 1;
        folder.write("case.toml", &text);
        for command in [&["vary", "case.toml", "--out", "out"][..], &["review", "case.toml"][..]] {
            let (out, err) = folder.expect(2, command);
            assert!(out.is_empty() && err.contains(sentence), "{block}\n{err}");
            assert!(err.contains(&format!("Where   case.toml, line {}, column {column}\n", header + line)), "{block}\n{err}");
            assert!(err.lines().any(|l| l.starts_with("Remedy  ") && l.contains(remedy)), "{block}\n{err}");
        }
        assert!(!folder.0.join("out").exists(), "{block}");
    }
    folder.write("case.toml", off_centre_road());
    let (_, err) = folder.expect(2, &["vary", "case.toml", "--out", "out"]);
    assert!(
        err.contains("case.toml names no values to run the case over") && err.contains("Remedy  add a table [vary]"),
        "{err}"
    );
    let (_, err) = folder.expect(2, &["vary", "case.toml", "--out", "out", "--threads", "0"]);
    assert!(err.contains("--threads"), "{err}");
}

/// The example, solved in full: the walls and seats that hold, and the number in its answer.
#[test]
fn the_answer_in_the_example_is_true() {
    let folder = Folder::new("vary_example");
    let text = fs::read_to_string(project().join("examples/05_seat_sizing.toml")).unwrap();
    folder.write("case.toml", &text);
    folder.expect(1, &["vary", "case.toml", "--out", "out", "--quiet"]);
    let rows = cells(&files(&folder, "out")["vary.csv"]);
    let of = |name: &str| of(&rows, name);
    assert_eq!(of("rim.flange_height [mm]"), ["5", "5.5", "6"].repeat(3));
    let [no, close, yes] = ["may release", "too close to tell", "holds"];
    assert_eq!(of("verdict"), [no, no, yes, no, close, yes, no, yes, yes]);
    let answer = text.lines().find(|l| l.starts_with("# Answer: ")).unwrap();
    let stated: f64 = answer.split_once("near ").unwrap().1.split_whitespace().next().unwrap().parse().unwrap();
    let found: f64 = of("off_centre_release [bar]")[4].parse().unwrap();
    assert!((stated / found - 1.0).abs() < 0.02, "{answer}: {found}");
}

#[test]
fn check_tells_how_many_variants_there_are() {
    let (out, err) = grid().folder.expect(0, &["review", "case.toml"]);
    let line = "Variants for `hoopwright vary`: 4, a grid of rim.seat_diameter with 2 values, bead.stiffness with 2 values";
    assert!(err.is_empty() && out.replace("\n  ", " ").lines().any(|l| l == line), "{out}");
}
