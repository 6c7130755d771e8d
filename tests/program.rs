//! Whole-program tests: files in, text and exit code out.

use std::fs;
use std::io::Write;
use std::process::Stdio;
use std::time::Duration;

use crate::common::{Folder, project};
use hoopwright_case::SIZE_LIMIT;

impl Folder {
    /// A new starter case in which the first line that begins with `line` behind the table's header is replaced.
    fn edited(&self, section: &str, line: &str, replacement: &str) -> usize {
        self.expect(0, &["draft", "--force", "case.toml"]);
        let text = fs::read_to_string(self.0.join("case.toml")).unwrap();
        let header = text.lines().position(|l| l == format!("[{section}]")).unwrap();
        let at = header + text.lines().skip(header).position(|l| l.starts_with(line)).unwrap();
        let lines: Vec<&str> = text.lines().enumerate().map(|(i, l)| if i == at { replacement } else { l }).collect();
        self.write("case.toml", lines.join("\n"));
        at + 1
    }
}

#[test]
fn new_then_check() {
    let folder = Folder::new("new_then_check");
    let (out, err) = folder.expect(0, &["draft", "case.toml"]);
    assert!(out.is_empty() && err.contains("hoopwright review case.toml"), "{err}");
    let names: Vec<_> = fs::read_dir(&folder.0).unwrap().map(|e| e.unwrap().file_name()).collect();
    assert_eq!(names, ["case.toml"], "no temporary file may stay");
    let (out, err) = folder.expect(0, &["review", "case.toml"]);
    assert!(err.is_empty(), "{err}");
    let row = |key: &str| out.lines().find(|l| l.contains(key)).unwrap().split_whitespace().collect::<Vec<_>>();
    assert_eq!(row("seat_diameter"), ["rim", "seat_diameter", "621.95", "mm"]);
    assert_eq!(row("seat_angle"), ["seat_angle", "2", "deg"]);
    assert_eq!(row("rated"), ["pressure", "rated", "5", "bar"]);
    assert!(!out.contains("Note:"), "{out}");
}

/// Files that tables name are read too; what is wrong with them is told where they are named, all at once.
#[test]
fn check_reads_the_tables_of_data_that_a_case_names() {
    let folder = Folder::new("check_reads_tables");
    folder.expect(0, &["draft", "case.toml"]);
    let text = fs::read_to_string(folder.0.join("case.toml")).unwrap();
    let first = text.lines().count();
    let tables = "[map]\ntyres = \"x.csv\"\n[tolerance]\n\"bead.diameter\" = { values = \"nope.csv\", column = \"diameter\" }\n";
    folder.write("case.toml", text + tables);
    let (out, err) = folder.expect(2, &["review", "case.toml"]);
    assert!(out.is_empty(), "{out}");
    for (sentence, line, column, remedy) in
        [("cannot read x.csv", 2, 9, "drop the key `tyres`"), ("cannot read nope.csv", 4, 30, "relative to the case file")]
    {
        let place = format!("Where   case.toml, line {}, column {column}\n", first + line);
        assert!(err.contains(sentence) && err.contains(&place) && err.contains(remedy), "{sentence} {place}\n{err}");
    }
    folder.write("x.csv", "id,diameter [mm],stiffness [kN]\nA,620,x\n");
    folder.write("nope.csv", "id,diameter [mm]\nA,620.1\nB,620.2\nC,620.3\nD,620.4\nE,680\n");
    let (_, err) = folder.expect(2, &["review", "case.toml"]);
    assert!(err.contains("its line 2 has \"x\" for stiffness") && err.contains("which makes no case"), "{err}");
    folder.write("x.csv", "id,diameter [mm],stiffness [kN]\nA,620,320\n");
    folder.write("nope.csv", "id,diameter [mm]\nA,620.1\nB,620.2\nC,620.3\nD,620.4\nE,620.5\n");
    folder.expect(0, &["review", "case.toml"]);
}

/// Every example is read, checked and estimated in closed form in less than 50 ms of processor time, at its best of ten runs.
#[test]
fn check_answers_at_once() {
    let folder = Folder::new("check_at_once");
    folder.expect(0, &["draft", "starter.toml"]);
    let examples = project().join("examples");
    let named = |name: &str| examples.join(name).to_str().unwrap().to_owned();
    let cases =
        ["01_road_holds.toml", "05_seat_sizing.toml", "07_bead_map.toml", "08_drawn_rim.toml", "12_tolerance.toml"].map(named);
    for case in cases.iter().map(String::as_str).chain(["starter.toml"]) {
        let timed = |_| {
            let (out, _, passed) = folder.timed(0, &["review", case]);
            assert!(
                out.contains("seat_diameter")
                    && out.contains("off-centre release, bar")
                    && out.contains("local release (one arc), bar"),
                "{out}"
            );
            passed
        };
        let best = (0..10).map(timed).min().unwrap();
        assert!(best < Duration::from_millis(50), "{case}: {best:?}");
    }
}

#[test]
fn new_does_not_overwrite_unless_forced() {
    let folder = Folder::new("overwrite");
    folder.write("case.toml", "mine");
    let (_, err) = folder.expect(2, &["draft", "case.toml"]);
    assert!(err.contains("case.toml exists already") && err.contains("Remedy  give another name, or --force"), "{err}");
    assert_eq!(fs::read_to_string(folder.0.join("case.toml")).unwrap(), "mine");
    let (_, err) = folder.expect(0, &["draft", "--force", "--quiet", "case.toml"]);
    assert!(err.is_empty(), "{err}");
    assert!(fs::read_to_string(folder.0.join("case.toml")).unwrap().contains("[rim]"));
}

/// Table, line, replacement, column, sentence, remedy.
#[rustfmt::skip]
const BAD: &[(&str, &str, &str, usize, &str, &str)] = &[
    ("pressure", "rated", "rated = 5", 9, "bare number 5 where a pressure with its unit is needed", "as in \"5 bar\""),
    ("pressure", "rated", "rated = \"5 mm\"", 9, "\"mm\" is the unit of a length, but a pressure is needed", "use one of MPa, bar, psi"),
    ("pressure", "rated", "rated = \"5 bra\"", 9, "unknown unit \"bra\"", "did you mean \"bar\"?"),
    ("pressure", "rated", "rated = \"inf bar\"", 9, "\"inf bar\" is not a finite number", "write a finite number"),
    ("pressure", "rated", "rated = \"0 bar\"", 9, "0 bar is out of range", "give 0.1 bar to 20 bar"),
    ("pressure", "rated", "rated = \"-1 bar\"", 9, "-1 bar is out of range", "give 0.1 bar to 20 bar"),
    ("pressure", "rated", "rated = ", 9, "string values must be quoted", "write one `key = \"value\"` a line"),
    ("pressure", "#test_factor", "test_facter = 1.5", 1, "unknown key `test_facter` in [pressure]", "did you mean `test_factor`?"),
    ("pressure", "#test_factor", "friction = 0.3", 1, "unknown key `friction` in [pressure]", "move `friction` to [contact]"),
    ("limits", "#criterion", "criterion = \"offcentre\"", 13, "not one of the words", "write \"first lift\""),
    ("spokes", "count", "count = \"many\"", 9, "a text where a whole number", "write, for instance, count = 28"),
    ("mesh", "#refinement", "refinement = 0", 14, "0 is out of range", "give 1 to 8"),
    ("casing", "#angle", "angle = \"10 deg\"", 9, "10 deg is out of range", "give 20 deg to 90 deg"),
    ("casing", "#sidewall_thickness", "sidewall_thickness = \"-1 mm\"", 22, "-1 mm is out of range", "give 0.2 mm to 6 mm"),
    ("casing", "bead_to_bead", "size = \"28-584\"", 8, "labelled for rim code 584", "never mount a tyre on a rim of another nominal size"),
    ("casing", "bead_to_bead", "bead_to_bead = \"20 mm\"", 16, "too short for bundles 17 mm apart", "more than 20 % longer"),
    ("casing", "#cord_stiffness", "cord_stiffness = \"30 N\"", 18, "`ply_stiffness` and `cord_stiffness` are both given", "drop one of them"),
    ("bead", "diameter", "diameter = \"311 mm\"", 12, "a mismatch strain of 99.9839 %", "check both diameters"),
    ("bead", "#width", "width = \"11 mm\"", 9, "two beads together are 22 mm wide", "a wider rim"),
    ("bead", "#width", "width = \"5 mm\"", 9, "the bead is 5 mm wide, its seat only 4 mm", "give a wider seat"),
    ("bead", "#heel_radius", "heel_radius = \"0.5 mm\"", 15, "the heel would bind", "at least the rim's corner_radius"),
    ("bead", "#bundle_size", "bundle_size = \"3.5 mm\"", 15, "less than 0.3 mm of rubber", "smaller bundle_size"),
    ("bead", "stiffness", "curve = [[\"0 %\", \"0 N\"], [\"1 %\", \"-1 N\"]]", 26, "does not rise from point 1 to point 2", "write rising"),
    ("rim", "#crest_radius", "crest_radius = \"1.5 mm\"", 16, "more than half the wall thickness", "at most half wall_thickness"),
    ("rim", "inner_width", "inner_width = \"15 mm\"", 15, "two beads and the well take 16 mm", "a narrower well"),
    ("rim", "#hump_width", "hump_width = \"3 mm\"", 14, "leaves no room for the well's side", "a narrower well"),
    ("rubber", "#bead", "bead = \"99 Shore A\"", 8, "99 Shore A lies outside 20 to 95 Shore A", "Young's modulus"),
];

#[test]
fn bad_inputs_end_with_2_and_name_place_and_remedy() {
    let folder = Folder::new("bad_inputs");
    for (section, line, replacement, column, sentence, remedy) in BAD {
        let number = folder.edited(section, line, replacement);
        let (out, err) = folder.expect(2, &["review", "case.toml"]);
        assert!(out.is_empty(), "{out}");
        assert!(err.contains(sentence), "{replacement}\n{err}");
        assert!(err.contains(&format!("Where   case.toml, line {number}, column {column}\n")), "{replacement}\n{err}");
        assert!(err.lines().any(|l| l.starts_with("Remedy  ") && l.contains(remedy)), "{replacement}\n{err}");
        assert!(!err.contains('\u{1b}'), "no colours where no terminal is\n{err}");
    }
}

#[test]
fn a_missing_key_points_at_its_table() {
    let folder = Folder::new("missing_key");
    let number = folder.edited("bead", "diameter", "");
    let (_, err) = folder.expect(2, &["review", "case.toml"]);
    assert!(err.contains("`bead.diameter` is missing"), "{err}");
    let text = fs::read_to_string(folder.0.join("case.toml")).unwrap();
    let header = text.lines().position(|l| l == "[bead]").unwrap() + 1;
    assert!(header < number && err.contains(&format!("case.toml, line {header}, column 2")), "{err}");
}

#[test]
fn files_that_are_no_cases() {
    let folder = Folder::new("no_cases");
    folder.write("latin.toml", b"title = \"x\"\n# caf\xe9\n");
    folder.write("large.toml", vec![b'#'; (1 << 20) + 1]);
    folder.write("deep.toml", format!("title = {}", "[".repeat(200_000)));
    folder.write("escape.toml", "\"\\u001b[31m\" = 1\n");
    folder.write("empty.toml", "");
    for (file, sentence, place) in [
        ("latin.toml", "not UTF-8", "latin.toml, line 2, column 6"),
        ("large.toml", "more than 1048576 bytes", "large.toml, line 1, column 1"),
        ("deep.toml", "Fault   ", "deep.toml, line 1, "),
        ("escape.toml", "unknown key", "escape.toml, line 1, column 1"),
        ("empty.toml", "table [rim] is missing", "empty.toml, line 1, column 1"),
        ("absent.toml", "cannot read absent.toml", "absent.toml"),
        (".", "cannot read .", "."),
    ] {
        let (out, err) = folder.expect(2, &["review", file]);
        assert!(out.is_empty() && err.contains(sentence) && err.contains(place), "{file}: {err:.2000}");
        assert!(err.contains("Remedy  ") && !err.contains("panicked") && !err.contains('\u{1b}'), "{file}: {err:.2000}");
    }
}

#[test]
fn windows_line_ends_do_not_show() {
    let folder = Folder::new("line_ends");
    folder.write("case.toml", "title = \"x\"\r\nseat = 1\r\n");
    let (_, err) = folder.expect(2, &["review", "case.toml"]);
    assert!(err.contains("case.toml, line 2, column 1\n") && err.contains("Text    seat = 1\n"), "{err}");
}

#[test]
fn many_faults_are_cut_short() {
    let folder = Folder::new("many_faults");
    let keys: String = (0..500).map(|i| format!("zz{i} = 1\n")).collect();
    folder.write("case.toml", keys);
    let (_, err) = folder.expect(2, &["review", "case.toml"]);
    assert!(err.contains("more faults are not shown") && err.matches("Fault   ").count() == 50, "{err:.2000}");
}

/// The largest files that may be given, full of what no case has: a fault each, in time that goes with the size of the file. Found 0.2
/// to 0.7 s each; the bound leaves room for a busy machine.
#[test]
fn a_large_file_of_faults_is_read_at_once() {
    let folder = Folder::new("large_faults");
    let lines = |line: &dyn Fn(usize) -> String, parted: &str| {
        let all: Vec<String> = (0..SIZE_LIMIT).map(line).collect();
        let lengths = all.iter().scan(0, |sum, line| {
            *sum += line.len() + parted.len();
            Some(*sum)
        });
        let count = lengths.take_while(|sum| *sum < 900_000).count();
        (all[..count].join(parted), count)
    };
    let inline = lines(&|i| format!("k{i} = 0"), ", ");
    let starter = fs::read_to_string({
        folder.expect(0, &["draft", "new.toml"]);
        folder.0.join("new.toml")
    })
    .unwrap();
    let within = |header: &str, (keys, count): (String, usize)| (format!("{starter}\n[{header}]\n{keys}\n"), count);
    for (what, (text, count)) in [
        ("keys", lines(&|i| format!("k{i} = 0"), "\n")),
        ("tables", lines(&|i| format!("[t{i}]"), "\n")),
        ("keys on one line", (format!("rim = {{ {} }}\n", inline.0), inline.1)),
        ("keys nearly right", (format!("[rim]\n{}\n", lines(&|i| format!("seat_diamete{i} = 0"), "\n").0), 1)),
        ("service", within("service", lines(&|i| format!("hot_rim{i} = 0"), "\n"))),
        ("vary", within("vary", lines(&|i| format!("\"rim.seat_diamete{i}\" = 0"), "\n"))),
        ("tolerance", within("tolerance", lines(&|i| format!("\"service.hot_ri{i}\" = 0"), "\n"))),
        ("sizes", within("sizes", lines(&|i| format!("\"rim.inner_widt{i}\" = 0"), "\n"))),
    ] {
        folder.write("case.toml", text);
        let (_, err, passed) = folder.timed(2, &["review", "case.toml"]);
        assert!(passed < Duration::from_secs(5), "{what}: {passed:?}");
        let told = err.lines().last().unwrap().split_whitespace().next().and_then(|n| n.parse::<usize>().ok());
        assert!(err.matches("Fault   ").count() == 50, "{what}: {err:.500}");
        assert!(told.is_some_and(|more| more + 50 >= count), "{what}: {told:?} and 50 shown of {count}");
    }
}

#[test]
fn notes_are_no_errors() {
    let folder = Folder::new("notes");
    folder.edited("pressure", "rated", "rated = \"80 psi\"");
    let (out, _) = folder.expect(0, &["review", "case.toml"]);
    assert!(out.lines().any(|l| l.starts_with("Note: The rated pressure of 5.51581 bar")), "{out}");
}

#[test]
fn inch_units_are_resolved() {
    let folder = Folder::new("inch_units");
    let example = project().join("examples/04_inch_units.toml");
    let (out, _) = folder.expect(0, &["review", example.to_str().unwrap()]);
    let value = |key: &str| out.lines().find_map(|l| l.split_once(key)).unwrap().1.trim().to_owned();
    // 22.988 in x 25.4; 44 psi x 0.0689476 bar; 830 lbf/in is 145.355 N/mm, by 60 cords to the inch 61.5337 N.
    assert_eq!(value("seat_diameter"), "583.895 mm");
    assert_eq!(value("rated"), "3.03369 bar");
    assert_eq!(value("cord_stiffness"), "61.5337 N");
    assert!(!out.contains("Note:"), "{out}");
}

#[test]
fn every_example_is_marked_invented_and_checks_without_notes() {
    let folder = Folder::new("examples");
    let mut count = 0;
    for entry in fs::read_dir(project().join("examples")).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_none_or(|e| e != "toml") {
            continue;
        }
        let text = fs::read_to_string(&path).unwrap();
        for word in ["# Invented data", "# Question: ", "# Run: hoopwright ", "# Answer: "] {
            assert!(text.contains(word), "{}: {word}", path.display());
        }
        if text.contains("\n[fixture]\n") {
            continue;
        }
        let (out, _) = folder.expect(0, &["review", path.to_str().unwrap()]);
        let notes = out.matches("Note:").count();
        assert!(notes == out.matches("Note: The off-centre release decides").count(), "{}: {out}", path.display());
        count += 1;
    }
    assert!(count >= 4);
}

#[test]
fn wrong_arguments_end_with_2_and_help_with_0() {
    let folder = Folder::new("arguments");
    for args in [
        &[][..],
        &["reveiw"],
        &["review"],
        &["review", "a", "b"],
        &["draft"],
        &["review", "--colour", "a"],
        &["-q", "-v", "review", "a"],
    ] {
        let (out, err) = folder.expect(2, args);
        assert!(out.is_empty() && !err.is_empty(), "{args:?}");
    }
    for args in [&["--help"][..], &["-h"], &["help", "review"], &["draft", "--help"], &["--version"]] {
        let (out, err) = folder.expect(0, args);
        assert!(!out.is_empty() && err.is_empty(), "{args:?}");
    }
    let (out, _) = folder.expect(0, &["--help"]);
    for line in ["0  done, every stated limit is kept", "3  no equilibrium was found", "hoopwright review tyre.toml"] {
        assert!(out.contains(line), "{line}\n{out}");
    }
}

#[test]
fn arguments_that_are_none_say_what_to_give() {
    let folder = Folder::new("arguments_help");
    folder.expect(0, &["draft", "case.toml"]);
    fs::create_dir(folder.0.join("folder")).unwrap();
    for command in ["map", "vary", "tolerance", "service", "sizes"] {
        for number in ["0", "many", "1.5"] {
            let (_, err) = folder.expect(2, &[command, "case.toml", "--out", "out", "--threads", number]);
            assert!(err.contains(&format!("'{number}' for '--threads <N>': give a whole number from 1")), "{err}");
        }
    }
    for (args, sentence, help) in [
        (&["assess", "case.toml", "--out", "case.toml"][..], "cannot make the folder case.toml: ", "give a folder, not a file"),
        (&["draft", "folder"], "folder is a folder", "give the name of a file"),
        (&["draft", "--force", "folder"], "folder is a folder", "give the name of a file"),
    ] {
        let (_, err) = folder.expect(2, args);
        assert!(err.contains(sentence) && err.contains(&format!("Remedy  {help}")) && !err.contains("overwrite"), "{err}");
    }
}

#[test]
fn a_closed_pipe_ends_quietly() {
    let folder = Folder::new("closed_pipe");
    folder.expect(0, &["draft", "case.toml"]);
    let (reader, writer) = std::io::pipe().unwrap();
    drop(reader);
    let output = folder
        .command(&["review", "-v", "case.toml"])
        .stdout(writer)
        .stderr(Stdio::piped())
        .spawn()
        .unwrap()
        .wait_with_output()
        .unwrap();
    assert_eq!(output.status.code(), Some(0));
    assert!(output.stderr.is_empty());
}

/// Every table of a study in one case.
const STUDIES: &str = "[vary]\n\"rim.seat_diameter\" = [\"621.9 mm\", \"622 mm\"]\n[map]\n[tolerance]\n\"bead.stiffness\" = { deviation = \"12 kN\" }\n\
     [sizes]\n\"rim.inner_width\" = [\"21 mm\"]\n\"pressure.rated\" = [\"3 bar\"]\n[service]\n[contact]\nfriction = 0\n[rim]";

/// A pipe gives its text only once, whatever number of a command's views of the case there are.
#[cfg(target_os = "linux")]
#[test]
fn a_case_comes_through_a_pipe() {
    let folder = Folder::new("pipe");
    let road = fs::read_to_string(project().join("examples/01_road_holds.toml")).unwrap();
    let case = road.replacen("[rim]", STUDIES, 1);
    folder.write("case.toml", &case);
    for (code, args) in [
        (0, &["review", "CASE"][..]),
        (1, &["vary", "CASE", "--out", "out", "--force"]),
        (0, &["sizes", "CASE", "--out", "sizes", "--force"]),
    ] {
        let with = |case: &str| args.iter().map(|word| word.replace("CASE", case)).collect::<Vec<_>>();
        let named = with("case.toml");
        let (from_file, _) = folder.expect(code, &named.iter().map(String::as_str).collect::<Vec<_>>());
        let piped = with("/dev/stdin");
        let mut command = folder.command(&piped.iter().map(String::as_str).collect::<Vec<_>>());
        let mut run = command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
        run.stdin.take().unwrap().write_all(case.as_bytes()).unwrap();
        let output = run.wait_with_output().unwrap();
        assert_eq!(output.status.code(), Some(code), "{args:?}\n{}", String::from_utf8_lossy(&output.stderr));
        assert_eq!(String::from_utf8(output.stdout).unwrap(), from_file, "{args:?}");
    }
}

/// Start-up, reading and printing take under 20 ms of processor time, at the best of some runs.
#[test]
fn check_starts_at_once() {
    let folder = Folder::new("check_time");
    let case = project().join("examples/01_road_holds.toml");
    let time = |_| folder.timed(0, &["review", case.to_str().unwrap()]).2;
    let best = (0..40).map(time).min().unwrap();
    assert!(best < Duration::from_millis(20), "{best:?}");
}

#[test]
fn meanings_on_demand() {
    let folder = Folder::new("meanings");
    folder.expect(0, &["draft", "case.toml"]);
    let (plain, _) = folder.expect(0, &["review", "case.toml"]);
    let (verbose, _) = folder.expect(0, &["review", "case.toml", "-v"]);
    assert!(!plain.contains("Number of spokes") && verbose.contains("Number of spokes"), "{verbose}");
}

#[test]
fn completions_know_every_command_and_refuse_an_unknown_shell() {
    let folder = Folder::new("completions");
    for shell in ["bash", "zsh", "fish", "elvish", "powershell"] {
        let (script, _) = folder.expect(0, &["completions", shell]);
        for command in ["draft", "review", "assess", "validate", "schema", "completions"] {
            assert!(script.contains(command), "{shell}: no {command}");
        }
    }
    let (_, talk) = folder.expect(2, &["completions", "abacus"]);
    assert!(talk.contains("possible values"), "{talk}");
}
