//! `hoopwright pairs`: every finding against `assess` of the pair, tables in every format and with faults, files, threads.

use std::fs;

use crate::common::page::{check_with_scripts, hash};
use crate::common::{Folder, off_centre_road, project};
use serde_json::Value;

/// The first example without its tyre, judged by its off-centre release; with a rated pressure and further limits.
fn rim(more: &str) -> String {
    let text = off_centre_road();
    let [from, to] = ["[bead]", "[pressure]"].map(|head| text.find(head).unwrap());
    text[..from].to_owned() + &text[to..] + more
}

const HEAD: &str = "id;size;diameter [mm];stiffness [kN];casing plies;casing ply stiffness [N/mm];maximum pressure [bar]\n";

/// Diameter, stiffness and maximum pressure of some tyres: from one that is far too soft to one that overloads its rim.
const TYRES: [[&str; 3]; 4] = [["620,4", "400", "5"], ["620,9", "150", "6"], ["620,6", "300", "4,5"], ["619,2", "900", "5"]];

fn table(tyres: &[[String; 3]]) -> String {
    let row = |(i, [d, k, p]): (usize, &[String; 3])| format!("t{i};28-622;{d};{k};1;145;{p}\n");
    HEAD.to_owned() + &tyres.iter().enumerate().map(row).collect::<String>()
}

fn parsed(text: &str) -> Value {
    serde_json::from_str(text).unwrap()
}

/// The case that a person would write for a pair.
fn case_of(rim: &str, [d, k, _]: [&str; 3], rated: f64) -> String {
    let tyre = format!(
        "[bead]\ndiameter = \"{} mm\"\nstiffness = \"{k} kN\"\n\n[casing]\nsize = \"28-622\"\nplies = 1\nply_stiffness = \"145 N/mm\"\n\n[pressure]\n",
        d.replace(',', ".")
    );
    rim.replacen("[pressure]\n", &tyre, 1).replacen("rated = \"5 bar\"", &format!("rated = \"{rated} bar\""), 1)
}

fn assessed(folder: &Folder, text: &str) -> Value {
    folder.write("pair.toml", text);
    let output = folder.run(&["assess", "-q", "--json", "pair.toml"]);
    parsed(&String::from_utf8(output.stdout).unwrap())
}

#[test]
fn every_finding_is_that_of_assess_on_the_pair() {
    let folder = Folder::new("pairs_assess");
    let rims = [rim("rim_pressure = \"5 bar\"\n"), rim("").replacen("inner_width = \"21 mm\"", "inner_width = \"23 mm\"", 1)];
    let tyres: Vec<[String; 3]> = TYRES.iter().map(|tyre| tyre.map(str::to_owned)).collect();
    let words = compared(&folder, &tyres, &rims, false);
    // The same bytes for any number of threads.
    folder.expect(1, &["pairs", "tyres.csv", "rims", "--out", "other", "--threads", "1", "-q"]);
    for name in ["pairs.csv", "pairs.xlsx", "pairs.parquet", "register.csv", "report.html"] {
        let read = |out: &str| fs::read(folder.0.join(out).join(name)).unwrap();
        assert!(read("list") == read("other"), "{name}");
    }
    assert!(words.contains(&"fits".to_owned()) && words.contains(&"fits up to".to_owned()), "{words:?}");
}

/// As above with sixty pairs, one of the rims judged by the local release; each assessed at its allowed pressure too, and at 2 % more.
/// 20 minutes of processor time: `cargo test --release -p hoopwright --test program sixty -- --ignored`
#[test]
#[ignore = "takes 20 minutes of processor time"]
fn sixty_findings_are_those_of_assess_on_the_pairs() {
    let folder = Folder::new("pairs_sixty");
    let local = rim("").replacen("criterion = \"off-centre release\"\n", "", 1);
    let rims = [
        rim("rim_pressure = \"5 bar\"\n"),
        rim("spoke_loss = \"15 %\"\n").replacen("inner_width = \"21 mm\"", "inner_width = \"23 mm\"", 1),
        local,
    ];
    // Golden steps spread over the plane of diameter and stiffness.
    let step = |i: u32, of: f64| (f64::from(i) * of).fract();
    let tyre = |i: u32| {
        let diameter = 619.4 + 2.2 * step(i, 0.618_034);
        let stiffness = 130.0 + 520.0 * step(i, 0.414_214);
        let number = |x: f64, decimals: usize| format!("{x:.decimals$}").replace('.', ",");
        [number(diameter, 2), number(stiffness, 0), number(3.5 + 0.5 * f64::from(i % 6), 1)]
    };
    let tyres: Vec<[String; 3]> = (0..20).map(tyre).collect();
    let words = compared(&folder, &tyres, &rims, true);
    assert_eq!(words.len(), 60);
    assert!(["fits", "fits up to", "test first"].iter().all(|word| words.iter().any(|other| other == word)), "{words:?}");
}

/// Lists tyres on rims and holds every pair against `assess` of it, at its allowed pressure too where that is asked for; the findings.
fn compared(folder: &Folder, tyres: &[[String; 3]], rims: &[String], at_allowed: bool) -> Vec<String> {
    fs::create_dir_all(folder.0.join("rims")).unwrap();
    for (name, text) in ["a", "b", "c"].iter().zip(rims) {
        folder.write(&format!("rims/{name}.toml"), text);
    }
    folder.write("tyres.csv", table(tyres));
    let (out, _) = folder.expect(1, &["pairs", "tyres.csv", "rims", "--out", "list", "--json", "-q"]);
    let list = parsed(&out);
    let pairs = list["pairs"].as_array().unwrap();
    assert_eq!((pairs.len(), &list["schema"]), (tyres.len() * rims.len(), &Value::from("hoopwright/pairs/1.0")));
    let one = |(i, pair): (usize, &Value)| {
        let (tyre, rim) = (&tyres[i / rims.len()], &rims[i % rims.len()]);
        let tyre = [&*tyre[0], &*tyre[1], &*tyre[2]];
        same_as_assess(folder, pair, (rim, tyre));
        if at_allowed {
            is_the_highest(folder, pair, (rim, tyre));
        }
        pair["finding"].as_str().unwrap().to_owned()
    };
    pairs.iter().enumerate().map(one).collect()
}

fn same_as_assess(folder: &Folder, pair: &Value, (rim, tyre): (&str, [&str; 3])) {
    let maximum: f64 = tyre[2].replace(',', ".").parse().unwrap();
    let listed = pair["listed_pressure"].as_f64().unwrap();
    assert!((listed - maximum.min(5.0)).abs() < 1e-9, "{pair}");
    let limits = format!("tyre_pressure = \"{maximum} bar\"\n");
    let alone = assessed(folder, &(case_of(rim, tyre, listed) + &limits));
    // The same number to its last digit, and no higher than any maximum.
    let allowed = alone["allowed_pressure_mpa"].as_f64().map(|p| 10.0 * p);
    assert_eq!(allowed.is_some(), pair["allowed_pressure"].is_f64(), "{pair}\n{alone}");
    if let Some(allowed) = allowed {
        assert!((pair["allowed_pressure"].as_f64().unwrap() - allowed).abs() < 1e-9 && allowed <= maximum + 1e-9, "{pair}");
        assert_eq!(pair["reason"], alone["allowed_pressure"]["decides"], "{pair}");
    }
    let holds = alone["verdict"][0] == "holds";
    assert!(
        match pair["finding"].as_str().unwrap() {
            "fits" => holds,
            "fits up to" => !holds && allowed.is_some(),
            "does not fit" => !holds,
            "test first" => true,
            _ => false,
        },
        "{pair}\n{}",
        alone["verdict"]
    );
}

/// Rated for what it is allowed every limit of a pair is kept, and for 2 % more it is not.
fn is_the_highest(folder: &Folder, pair: &Value, (rim, tyre): (&str, [&str; 3])) {
    let Some(allowed) = pair["allowed_pressure"].as_f64() else { return };
    let limits = format!("tyre_pressure = \"{} bar\"\n", tyre[2].replace(',', "."));
    for (share, kept) in [(1.0, true), (1.02, false)] {
        let alone = assessed(folder, &(case_of(rim, tyre, share * allowed) + &limits));
        assert_eq!(alone["verdict"][0] == "holds", kept, "{share}: {pair}\n{}", alone["verdict"]);
    }
}

/// Rated for what it is allowed every limit is kept, and for 2 % more it is not.
#[test]
fn the_allowed_pressure_is_the_highest_one() {
    let folder = Folder::new("pairs_allowed");
    folder.write("rim.toml", rim(""));
    folder.write("tyres.csv", HEAD.to_owned() + "soft;28-622;620,9;150;1;145;6\n");
    let (out, _) = folder.expect(1, &["pairs", "tyres.csv", "rim.toml", "--out", "list", "--json", "-q"]);
    let list = parsed(&out);
    let pair = &list["pairs"][0];
    assert!(pair["finding"] == "fits up to" && pair["reason"].as_str().unwrap().starts_with("off-centre release"), "{pair}");
    is_the_highest(&folder, pair, (&rim(""), ["620,9", "150", "6"]));
}

/// One row wrong in each way, in both tables: all told at once, with file, row, column and remedy, and nothing is solved.
#[test]
fn all_faults_of_both_tables_are_told_at_once() {
    let folder = Folder::new("pairs_faults");
    folder.write(
        "tyres.csv",
        "id;size;diameter [mm];stiffness [kN];casing plies;casing ply stiffness [N/mm];maker;stiffnes\n\
         a;28-622;620,4;300;1;145;x;\nb;28;620,4;300;1;145;x;\nb;28-622;1.620,4;300;1;145;x;\nc;28-622;620,4;-3;1;145;x;\n\
         d;28-622;584;300;1;145;x;\n;28-622;620,4;300;1;145;x;\ne;28-622;;300;1;145;x;\n",
    );
    folder.write("rims.csv", "id,seat diameter [mm],inner width [mm],flange height [bar]\nr,621.95,21,5.5\n");
    let (out, told) = folder.expect(2, &["pairs", "tyres.csv", "rims.csv", "--out", "list"]);
    assert!(out.is_empty());
    for words in [
        "tyres.csv, column \"maker\"",
        "--note \"maker\"",
        "did you mean `stiffness`",
        "tyres.csv, row 3, column \"size\"",
        "tyres.csv, row 4, column \"diameter [mm]\"",
        "the id \"b\" stands in row 3 too",
        "tyres.csv, row 5, column \"stiffness [kN]\"",
        "is none of the rim code 622",
        "tyres.csv, row 7",
        "it has no id",
        "it has no diameter",
        "rims.csv, column \"flange height [bar]\"",
    ] {
        assert!(told.contains(words), "{words}\n{told}");
    }
    assert!(!folder.0.join("list").exists());
}

/// What only shows when a tyre is put into a rim is a fault of the tables as well.
#[test]
fn what_no_table_gives_is_told_once() {
    let folder = Folder::new("pairs_missing");
    folder.write("rim.toml", rim(""));
    let rows: String = (0..5000).map(|i| format!("t{i};28-622;620,4;300\n")).collect();
    folder.write("tyres.csv", "id;size;diameter [mm];stiffness [kN]\n".to_owned() + &rows);
    let (_, told, taken) = folder.timed(2, &["pairs", "tyres.csv", "rim.toml", "--out", "list"]);
    assert!(told.matches("Fault").count() == 2 && told.contains("add a column `casing plies`"), "{told}");
    // 5000 tyres are read, checked and put into a rim.
    assert!(taken.as_secs_f64() < 1.0, "{taken:?}");
}

#[test]
fn sizes_that_do_not_go_together_have_a_reason_and_are_not_solved() {
    let folder = Folder::new("pairs_sizes");
    folder.write("rim.toml", rim("").replacen("inner_width = \"21 mm\"", "inner_width = \"25 mm\"", 1));
    folder.write("tyres.csv", HEAD.to_owned() + "mtb;55-584;582,4;300;1;145;5\nroad;28-622;620,4;300;1;145;5\n");
    let (out, _) = folder.expect(0, &["pairs", "tyres.csv", "rim.toml", "--out", "list"]);
    assert!(out.starts_with("0 of 2 tyres fit rim rim.\n") && out.lines().all(|line| line.chars().count() <= 80), "{out}");
    let csv = fs::read_to_string(folder.0.join("list/pairs.csv")).unwrap();
    assert!(csv.contains("labelled for rim code 584, the seat has 621.95 mm") && csv.contains("asks for 30 mm or more"), "{csv}");
}

/// A test below what is calculated is told as such, and its pressure stands.
#[test]
fn a_test_that_disagrees_is_flagged_and_never_averaged() {
    let folder = Folder::new("pairs_tests");
    folder.write("rim.toml", rim(""));
    folder.write(
        "tyres.csv",
        "id,size,diameter [mm],stiffness [kN],casing plies,casing ply stiffness [N/mm],tested release pressure [bar]\n\
         t,28-622,620.4,400,1,145,6\n",
    );
    let (out, _) = folder.expect(1, &["pairs", "tyres.csv", "rim.toml", "--out", "list", "--json", "-q"]);
    let list = parsed(&out);
    let pair = &list["pairs"][0];
    assert_eq!(pair["tests"][0]["against_calculation"], "came off below");
    assert_eq!((&pair["finding"], &pair["reason"]), (&Value::from("fits up to"), &Value::from("release in a test")));
    // 6 bar over 1.5.
    assert!((pair["allowed_pressure"].as_f64().unwrap() - 4.0).abs() < 1e-9);
    let text = folder.expect(1, &["pairs", "tyres.csv", "rim.toml", "--out", "list", "-q"]).0;
    assert!(text.contains("Test and calculation disagree:\n  t on rim: came off at 6 bar"), "{text}");
    // The same test out of the bench's table of verdicts, and one on a rim that is none of the list.
    folder.write(
        "bare.csv",
        "id,size,diameter [mm],stiffness [kN],casing plies,casing ply stiffness [N/mm]\nt,28-622,620.4,400,1,145\n",
    );
    folder.write(
        "verdicts.csv",
        "id,tested on,hold,tested hold pressure [bar],tested release pressure [bar],hold log\nt,rim,released,,6,t.csv\n\
         t,other,held,9,,u.csv\n",
    );
    let args = ["pairs", "bare.csv", "rim.toml", "--join", "verdicts.csv", "--out", "list", "--json"];
    let (out, told) = folder.expect(1, &args);
    let joined = &parsed(&out)["pairs"][0];
    assert_eq!([&joined["finding"], &joined["allowed_pressure"]], [&pair["finding"], &pair["allowed_pressure"]]);
    assert_eq!((joined["tests"].as_array().unwrap().len(), &joined["tests"][0]["from"]), (1, &Value::from("t.csv")));
    assert!(told.contains("0 cases solved") && told.contains("tests on \"other\" count for no pair"), "{told}");
    assert_eq!(joined["carried"]["hold"], "released; held");
}

/// The tables of the examples, and a page that is whole and alone.
#[test]
fn the_example_has_its_answer() {
    let folder = Folder::new("pairs_example");
    for name in ["16_tyres.csv", "16_rims.csv"] {
        folder.write(name, fs::read(project().join("examples").join(name)).unwrap());
    }
    let text = folder.expect(1, &["pairs", "16_tyres.csv", "16_rims.csv", "--out", "list", "--date", "so", "-q"]).0;
    assert!(text.starts_with("1 of 5 tyres fits both rims.\n"), "{text}");
    let page = fs::read_to_string(folder.0.join("list/report.html")).unwrap();
    check_with_scripts(&page, 2, 1);
    hash(&page, "table of tyres 16_tyres.csv", &fs::read(folder.0.join("16_tyres.csv")).unwrap());
    assert!(page.contains("@top-right { content: \"so\"; }") && page.contains("A list approves nothing"));
}

/// The tables grow by a tyre, a test and a rim's other limit: what is known is not solved again, and the history says what changed and why.
#[test]
fn a_list_goes_on_from_the_last_one() {
    let folder = Folder::new("pairs_register");
    folder.write("rim.toml", rim(""));
    let tyre = |id: &str, diameter: &str, tested: &str| format!("{id},28-622,{diameter},400,1,145,{tested}\n");
    let head = "id,size,diameter [mm],stiffness [kN],casing plies,casing ply stiffness [N/mm],tested release pressure [bar]\n";
    let args = ["pairs", "tyres.csv", "rim.toml", "--out", "list", "--threads", "1"];
    let read = |name: &str| fs::read_to_string(folder.0.join("list").join(name)).unwrap();
    folder.write("tyres.csv", head.to_owned() + &tyre("a", "620.4", "") + &tyre("b", "620.5", ""));
    let (_, told) = folder.expect(0, &args);
    assert!(told.contains("2 cases solved") && read("history.csv").lines().count() == 1, "{told}");
    let files = ["pairs.csv", "pairs.json", "pairs.parquet", "register.csv", "history.csv"]
        .map(|name| (name, fs::read(folder.0.join("list").join(name)).unwrap()));
    let (_, told) = folder.expect(0, &args);
    assert!(told.contains("0 cases solved"), "{told}");
    for (name, bytes) in &files {
        assert!(*bytes == fs::read(folder.0.join("list").join(name)).unwrap(), "{name}");
    }
    folder.write("tyres.csv", head.to_owned() + &tyre("b", "620.5", "6") + &tyre("c", "620.4", ""));
    let (_, told) = folder.expect(1, &args);
    // The new tyre is measured as the one that is no more there.
    assert!(told.contains("0 cases solved"), "{told}");
    let history = read("history.csv");
    for line in ["2,,b,rim,fits,fits up to 4 bar,tests", "2,,c,rim,,fits,new on the list", "2,,a,rim,fits,,no more in the tables"]
    {
        assert!(history.lines().any(|other| other == line), "{line}\n{history}");
    }
    folder.write("tyres.csv", head.to_owned() + &tyre("b", "620.5", "6") + &tyre("c", "620.6", ""));
    let (_, told) = folder.expect(1, &[&args[..], &["--date", "1 March"]].concat());
    assert!(told.contains("1 cases solved"), "{told}");
}

/// A run that was killed while its file grew: what is whole is taken over, what is torn is solved again, and the end is the same.
#[test]
fn a_killed_run_goes_on() {
    let folder = Folder::new("pairs_killed");
    folder.write("rim.toml", rim(""));
    folder.write("tyres.csv", HEAD.to_owned() + "a;28-622;620,4;400;1;145;5\nb;28-622;620,5;400;1;145;5\n");
    folder.expect(0, &["pairs", "tyres.csv", "rim.toml", "--out", "whole", "-q"]);
    let register = fs::read_to_string(folder.0.join("whole/register.csv")).unwrap();
    let lines: Vec<&str> = register.split_inclusive('\n').collect();
    fs::create_dir_all(folder.0.join("killed")).unwrap();
    folder.write("killed/register.csv.unfinished", lines[0].to_owned() + lines[1] + &lines[2][..40]);
    let (_, told) = folder.expect(0, &["pairs", "tyres.csv", "rim.toml", "--out", "killed"]);
    assert!(told.contains("1 cases solved"), "{told}");
    for name in ["pairs.csv", "pairs.json", "register.csv"] {
        let read = |out: &str| fs::read(folder.0.join(out).join(name)).unwrap();
        assert_eq!(read("whole"), read("killed"), "{name}");
    }
    assert!(!folder.0.join("killed/register.csv.unfinished").exists());
}

/// Cut off twice while it ran, by a kill and by Ctrl-C, a list goes on and ends in the bytes of one that nothing disturbed.
#[test]
fn a_list_that_is_cut_off_ends_the_same() {
    let folder = Folder::new("pairs_cut");
    folder.write("rim.toml", rim(""));
    let rows: String = (0..5).map(|i| format!("t{i};28-622;620,{i};400;1;145;5\n")).collect();
    folder.write("tyres.csv", HEAD.to_owned() + &rows);
    folder.expect(0, &["pairs", "tyres.csv", "rim.toml", "--out", "whole", "-q"]);
    let file = folder.0.join("cut/register.csv.unfinished");
    let known = || fs::read_to_string(&file).map_or(0, |text| text.lines().count().saturating_sub(1));
    // A shell that runs the tests in the background lets its children ignore the signal of Ctrl-C, which ends the program as this one does.
    for (signal, rows) in [("-KILL", 1), ("-TERM", 2)] {
        let mut child =
            folder.command(&["pairs", "tyres.csv", "rim.toml", "--out", "cut", "--threads", "1", "-q"]).spawn().unwrap();
        while known() < rows {
            assert!(child.try_wait().unwrap().is_none(), "it ended before it was cut off");
            std::thread::sleep(std::time::Duration::from_millis(5));
        }
        std::process::Command::new("kill").args([signal, &child.id().to_string()]).status().unwrap();
        assert!(!child.wait().unwrap().success());
        assert!(known() >= rows && !folder.0.join("cut/pairs.csv").exists());
    }
    let before = known();
    let (_, told) = folder.expect(0, &["pairs", "tyres.csv", "rim.toml", "--out", "cut"]);
    assert!(told.contains(&format!("{} cases solved", 5 - before)), "{before} were known\n{told}");
    let [whole, cut] = ["whole", "cut"].map(|name| crate::common::table::files(&folder, name));
    assert!(whole == cut, "{:?} {:?}", whole.keys(), cut.keys());
}

/// A tyre that comes off below the listed pressure has its pressure in service all the same.
#[test]
fn a_soft_tyre_has_an_answer_in_service() {
    let folder = Folder::new("pairs_service");
    let text = fs::read_to_string(project().join("examples/14_service.toml")).unwrap();
    let [from, to] = ["[bead]", "[pressure]"].map(|head| text.find(head).unwrap());
    folder.write("warm.toml", text[..from].to_owned() + &text[to..]);
    folder.write("tyres.csv", HEAD.to_owned() + "soft;28-622;620,9;110;1;145;6\n");
    let args = ["pairs", "tyres.csv", "warm.toml", "--least", "1 bar", "--out", "list", "--json", "-q"];
    let list = parsed(&folder.expect(1, &args).0);
    let pair = &list["pairs"][0];
    assert_eq!((&pair["finding"], &pair["numbers"]["bead_tension_rated"]), (&Value::from("fits up to"), &Value::Null), "{pair}");
    assert!(pair["reason"].as_str().unwrap().starts_with("when aged and hot: off-centre release"), "{pair}");
    // Required is what the tyre is allowed when new, not what is listed: it is solved where it has an equilibrium.
    let (new, hot) = (pair["numbers"]["allowed_pressure"].as_f64().unwrap(), &pair["service"][2]);
    assert_eq!((&hot["condition"], &hot["allowed_cold_pressure"]), (&Value::from("aged and hot"), &pair["allowed_pressure"]));
    let required = 1.5 * ((new + 1.013_25) * 313.15 / 293.15 - 1.013_25);
    assert!((hot["required_release"].as_f64().unwrap() - required).abs() < 1e-3 && pair["allowed_pressure"].as_f64() < Some(new));
}

/// What the bench measured is a table of tyres as it is, in CSV and in Parquet.
#[test]
fn measured_beads_are_a_table_of_tyres() {
    let folder = Folder::new("pairs_bench");
    fs::create_dir(folder.0.join("logs")).unwrap();
    folder.write("logs/A.csv", fs::read(project().join("examples/09_stretch_half_discs.csv")).unwrap());
    let fixture = project().join("examples/09_fixture_half_discs.toml").display().to_string();
    folder.expect(0, &["rig", "stretch", "logs", "--fixture", &fixture, "--out", "beads", "-q"]);
    folder.write("rim.toml", off_centre_road());
    let list = |args: &[&str]| {
        let all = [&["pairs"], args, &["rim.toml", "--out", "list", "--json"]].concat();
        let (out, told) = folder.expect(1, &all);
        (parsed(&out)["pairs"][0].clone(), told)
    };
    let notes = ["--note", "friction", "--note", "cycles"];
    let (csv, _) = list(&[&["beads/tyres.csv"], &notes[..]].concat());
    // Both errors of the measurement are told, and so is a probability.
    assert!(csv["probability_of_failing"].is_f64() && csv["tyre"] == "A", "{csv}");
    let (parquet, told) = list(&[&["beads/tyres.parquet"], &notes[..]].concat());
    assert!(told.contains("0 cases solved") && parquet["hash"] == csv["hash"], "{told}\n{csv}\n{parquet}");
    folder.write("names.csv", "id,note\nA,dry\n");
    let (joined, told) = list(&["names.csv", "--join", "beads/tyres.parquet"]);
    assert!(told.contains("0 cases solved") && joined["probability_of_failing"] == csv["probability_of_failing"], "{told}");
}
