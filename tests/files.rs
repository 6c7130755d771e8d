//! What is written: whole or not at all, whatever kills a run or fills a disk; under any name; never over another question's results.

#![allow(clippy::unwrap_used, clippy::panic, clippy::print_stdout)]

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::process::{Command, Output, Stdio};
use std::time::{Duration, Instant};

use crate::common::{Folder, project};
use serde_json::Value;
use sha2::{Digest, Sha256};

/// Logs of the batch, each with a picture and a table.
const LOGS: usize = 12;
/// Runs that are killed.
const KILLS: u32 = 25;

fn example(name: &str) -> String {
    project().join("examples").join(name).to_str().unwrap().to_owned()
}

/// A folder with short logs, and the arguments of a run that writes two files for each.
fn batch(test: &str) -> (Folder, Vec<String>) {
    let folder = Folder::new(test);
    fs::create_dir(folder.0.join("logs")).unwrap();
    let log = fs::read_to_string(example("09_stretch_half_discs.csv")).unwrap();
    let mut lines = log.lines().filter(|line| !line.starts_with('#'));
    let head = lines.next().unwrap();
    let short = format!("{head}\n{}\n", lines.step_by(4).collect::<Vec<_>>().join("\n"));
    for k in 0..LOGS {
        folder.write(&format!("logs/{k:02}.csv"), &short);
    }
    let fixture = example("09_fixture_half_discs.toml");
    let args = ["rig", "stretch", "logs", "--fixture", &fixture, "--out", "out", "-q"];
    (folder, args.map(str::to_owned).to_vec())
}

/// The files of a folder by their names, without those of folders in it.
fn files(folder: &Folder, name: &str) -> BTreeMap<String, Vec<u8>> {
    let entries = fs::read_dir(folder.0.join(name)).unwrap().map(Result::unwrap);
    entries.map(|e| (e.file_name().into_string().unwrap(), fs::read(e.path()).unwrap())).collect()
}

fn borrowed(args: &[String]) -> Vec<&str> {
    args.iter().map(String::as_str).collect()
}

/// The list of a folder, whose every file is there with the hash that it says.
fn complete(folder: &Path) -> Value {
    let list: Value = serde_json::from_slice(&fs::read(folder.join("contents.json")).unwrap()).unwrap();
    assert_eq!((&list["schema"], &list["complete"]), (&"hoopwright/contents/1.0".into(), &true.into()));
    for (name, hash) in list["files"].as_object().unwrap() {
        let found: String =
            Sha256::digest(fs::read(folder.join(name)).unwrap()).iter().map(|byte| format!("{byte:02x}")).collect();
        assert_eq!(hash, &found, "{name}");
    }
    list
}

#[test]
fn a_killed_run_leaves_whole_files_only() {
    let (folder, args) = batch("files_killed");
    let args = borrowed(&args);
    let start = Instant::now();
    folder.expect(0, &args);
    let time = start.elapsed();
    let whole = files(&folder, "out");
    // Of every log a picture and a table in two formats; of all the report, the answer, the list and a table in two formats.
    assert_eq!(whole.len(), 3 * LOGS + 5, "{:?}", whole.keys());
    complete(&folder.0.join("out"));
    let (mut partial, mut replaced) = (0, 0);
    for kill in 0..KILLS {
        // Every other time into the folder as the last run left it.
        // None is there where the runs before were killed before they made it.
        if kill % 2 == 0 && folder.0.join("out").exists() {
            fs::remove_dir_all(folder.0.join("out")).unwrap();
        }
        let mut run = folder.command(&args).stdout(Stdio::null()).stderr(Stdio::null()).spawn().unwrap();
        let share = f64::from(kill) / f64::from(KILLS);
        if kill % 2 == 0 {
            // Times differ from run to run; that some are killed while they write must not be left to them.
            let wanted = (share * whole.len() as f64) as usize;
            let written = || fs::read_dir(folder.0.join("out")).map_or(0, Iterator::count);
            while written() < wanted && run.try_wait().unwrap().is_none() {
                std::thread::sleep(Duration::from_micros(100));
            }
        } else {
            std::thread::sleep(time.mul_f64(share));
        }
        run.kill().unwrap();
        run.wait().unwrap();
        if !folder.0.join("out").exists() {
            continue;
        }
        let mut found = files(&folder, "out");
        // What was under way has a name that no reader looks for.
        found.retain(|name, _| !(name.starts_with('.') && name.ends_with(".tmp")));
        let list: Option<Value> = found.remove("contents.json").map(|bytes| serde_json::from_slice(&bytes).unwrap());
        for (name, bytes) in &found {
            assert!(whole[name] == *bytes, "{name} is not what it is after a whole run");
        }
        let done = list.as_ref().is_some_and(|list| list["complete"] == true);
        assert!(!done || found.len() == whole.len() - 1);
        assert!(found.is_empty() || list.is_some(), "files that no list tells of");
        partial += u32::from(!found.is_empty() && !done);
        replaced += u32::from(done);
    }
    assert!(partial + replaced > 0, "no run was killed while it wrote");
    // As a run leaves it that is killed while it writes that file.
    fs::create_dir_all(folder.0.join("out")).unwrap();
    folder.write("out/.00_stretch.svg.4711.tmp", "half of");
    folder.expect(0, &args);
    assert_eq!(complete(&folder.0.join("out"))["files"].as_object().unwrap().len(), whole.len() - 1);
    let left = files(&folder, "out");
    assert!(left.keys().all(|name| whole.contains_key(name)), "{:?}", left.keys());
}

/// Runs the program by a shell.
fn shell(folder: &Folder, words: &[&str], script: &str, args: &[&str]) -> Output {
    let (first, rest) = words.split_first().unwrap();
    let mut command = Command::new(first);
    command.args(rest).args(["-c", script, "sh", env!("CARGO_BIN_EXE_hoopwright")]).args(args);
    command.current_dir(&folder.0).stdin(Stdio::null()).output().unwrap()
}

/// Asserts a failed write that says what to do; returns what was said.
fn refused(output: &Output, sentence: &str, remedy: &str) {
    let err = String::from_utf8_lossy(&output.stderr).replace("\n        ", " ");
    assert_eq!(output.status.code(), Some(2), "{err}");
    assert!(err.contains(sentence) && err.contains(remedy) && !err.contains("panicked"), "{err}");
}

/// In a file system of its own of 24 kB, and of which nothing may be written; where the system lets a test mount one.
#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_and_a_read_only_one_are_told() {
    let (folder, args) = batch("files_full");
    let args = borrowed(&args);
    fs::create_dir(folder.0.join("out")).unwrap();
    let script =
        |options: &str| format!("mount -t tmpfs -o {options} tmpfs out || exit 99; \"$@\"; code=$?; ls -A out; exit $code");
    let run = |options: &str| shell(&folder, &["unshare", "-rm", "sh"], &script(options), &args);
    if !Command::new("unshare").args(["-rm", "true"]).status().is_ok_and(|status| status.success()) {
        println!("left out: this system lets no test mount a file system");
        return;
    }
    let full = run("size=24k");
    if full.status.code() == Some(99) {
        println!("left out: this system lets no test mount a file system");
        return;
    }
    refused(&full, "cannot write out/", "make room, then run the same command again");
    let left = String::from_utf8_lossy(&full.stdout);
    assert!(!left.contains(".tmp"), "what could not be written is removed: {left}");
    let closed = run("ro");
    refused(
        &closed,
        "cannot write out/contents.json: Read-only file system",
        "give a file name in a folder that exists and can be written",
    );
}

/// Killed in the middle of a file for certain: the limit on the size of files does it, 4 kB into the first file that is larger.
#[cfg(unix)]
#[test]
fn a_run_killed_within_a_file_leaves_no_part_of_it() {
    use std::os::unix::process::ExitStatusExt;
    let (folder, args) = batch("files_within");
    let args = borrowed(&args);
    folder.expect(0, &args);
    let whole = files(&folder, "out");
    fs::remove_dir_all(folder.0.join("out")).unwrap();
    let output = shell(&folder, &["bash"], "ulimit -f 4; exec \"$@\"", &args);
    assert!(output.status.signal().is_some(), "{}", String::from_utf8_lossy(&output.stderr));
    let mut found = files(&folder, "out");
    let begun = found.keys().filter(|name| name.ends_with(".tmp")).count();
    found.retain(|name, _| !name.ends_with(".tmp"));
    let list: Value = serde_json::from_slice(&found.remove("contents.json").unwrap()).unwrap();
    // Eight are written at once.
    assert!((1..=8).contains(&begun) && list["complete"] == false, "{begun} {list}");
    assert!(found.iter().all(|(name, bytes)| whole[name] == *bytes), "{:?}", found.keys());
}

/// A limit on the size of files, whose signal is ignored, stands for a full disk where nothing can be mounted.
#[cfg(unix)]
#[test]
fn a_file_that_may_not_grow_is_told_and_leaves_nothing() {
    let (folder, args) = batch("files_limit");
    let output = shell(&folder, &["bash"], "trap '' XFSZ; ulimit -f 4; exec \"$@\"", &borrowed(&args));
    refused(&output, "cannot write out/", "make room, then run the same command again");
    let list: Value = serde_json::from_slice(&fs::read(folder.0.join("out/contents.json")).unwrap()).unwrap();
    assert_eq!(list["complete"], false);
    assert!(files(&folder, "out").keys().all(|name| !name.ends_with(".tmp")));
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_standard_output_is_told() {
    let folder = Folder::new("files_stdout");
    for args in [&["inputs"][..], &["schema"], &["review", &example("01_road_holds.toml")]] {
        let full = fs::OpenOptions::new().write(true).open("/dev/full").unwrap();
        let output = folder.command(args).stdout(full).stderr(Stdio::piped()).output().unwrap();
        refused(&output, "cannot write the output: No space left on device", "check the disk");
    }
}

/// A study whose disk is full keeps whole lines only, and goes on from them.
#[cfg(unix)]
#[test]
fn a_study_that_ran_out_of_room_goes_on() {
    let folder = Folder::new("files_study");
    let case = fs::read_to_string(example("01_road_holds.toml")).unwrap();
    let block = "[vary]\n\"rim.seat_diameter\" = [\"621.8 mm\", \"621.9 mm\", \"622 mm\", \"622.1 mm\"]\n\n[contact]\nfriction = 0\n\n[rim]";
    folder.write("case.toml", case.replacen("[rim]", block, 1));
    let args = ["vary", "case.toml", "--out", "out", "--threads", "1"];
    // Blocks of 512 bytes in a POSIX shell: head and two lines, no third.
    let output = shell(&folder, &["sh"], "trap '' XFSZ; ulimit -f 3; exec \"$@\"", &args);
    refused(&output, "cannot write out/vary.csv.unfinished", "what a study has solved so far is kept");
    let left = files(&folder, "out");
    assert_eq!(left.keys().collect::<Vec<_>>(), ["vary.csv.unfinished"], "no file has the name of a whole one");
    let text = std::str::from_utf8(&left["vary.csv.unfinished"]).unwrap();
    assert!(text.ends_with('\n') && (2..5).contains(&text.lines().count()), "{text}");
    let (_, talk) = folder.expect(1, &args);
    assert!(talk.contains(&format!("{} of them kept from", text.lines().count() - 1)), "{talk}");
    assert_eq!(complete(&folder.0.join("out"))["command"], "vary");
    assert!(!folder.0.join("out/vary.csv.unfinished").exists());
}

#[test]
fn a_folder_below_a_file_is_told() {
    let (folder, mut args) = batch("files_below");
    folder.write("file", "");
    args[6] = "file/out".to_owned();
    let output = folder.run(&borrowed(&args));
    refused(&output, "cannot make the folder file/out: ", "give a folder, not a file: one that exists, or a new one");
}

#[test]
fn names_with_blanks_and_beyond_ascii() {
    let folder = Folder::new("files Größe и 名");
    fs::create_dir_all(folder.0.join("mes fichiers é")).unwrap();
    let place = |name: &str| format!("mes fichiers é/{name}");
    let drawing = fs::read(project().join("meshes/box_half.dxf")).unwrap();
    folder.write(&place("Zeichnung ß 1.dxf"), drawing);
    let drawn = fs::read_to_string(example("08_drawn_rim.toml")).unwrap();
    folder.write(&place("cas 1 ø.toml"), drawn.replace("../meshes/box_full.dxf", "Zeichnung ß 1.dxf"));
    let (out, _) = folder.expect(0, &["review", &place("cas 1 ø.toml")]);
    assert!(out.contains("Zeichnung ß 1.dxf"), "{out}");

    fs::copy(example("09_stretch_half_discs.csv"), folder.0.join(place("Wulst №1.csv"))).unwrap();
    fs::copy(example("09_fixture_half_discs.toml"), folder.0.join(place("Prüfstand 2.toml"))).unwrap();
    let (log, fixture, results) = (place("Wulst №1.csv"), place("Prüfstand 2.toml"), place("Ergebnis 結果/a b"));
    let (_, talk) = folder.expect(0, &["rig", "stretch", &log, "--fixture", &fixture, "--out", &results]);
    assert!(talk.contains(&format!("results written to {results}")), "{talk}");
    assert_eq!(complete(&folder.0.join(&results))["of"], "Wulst №1.csv");
    let tyres = fs::read_to_string(folder.0.join(&results).join("tyres.csv")).unwrap();
    assert!(tyres.lines().nth(1).unwrap().starts_with("Wulst №1,"), "{tyres}");

    folder.write(&place("pneus mesurés.csv"), tyres);
    let case = fs::read_to_string(example("01_road_holds.toml")).unwrap();
    let map = "[map]\ntyres = \"pneus mesurés.csv\"\n\"bead.stiffness\" = { from = \"300 kN\", to = \"340 kN\", count = 2 }\n\
               mismatch = { from = \"1.5 mm\", to = \"1.6 mm\", count = 2 }\n\n[contact]\nfriction = 0\n\n[rim]";
    folder.write(&place("carte.toml"), case.replacen("[rim]", map, 1));
    folder.expect(1, &["map", &place("carte.toml"), "--out", &place("carte 1"), "-q"]);
    let mapped = fs::read_to_string(folder.0.join(place("carte 1/map.json"))).unwrap();
    assert!(mapped.contains("\"Wulst №1\""), "{mapped}");
    complete(&folder.0.join(place("carte 1")));
}

/// A name that is no text at all is read, and shown as far as it can be.
#[cfg(unix)]
#[test]
fn a_name_that_is_no_utf8() {
    use std::ffi::OsStr;
    use std::os::unix::ffi::OsStrExt;
    let folder = Folder::new("files_bytes");
    let log = OsStr::from_bytes(b"log \xff.csv");
    if fs::copy(example("11_hold.csv"), folder.0.join(log)).is_err() {
        println!("left out: this file system has no such names");
        return;
    }
    let mut command = folder.command(&["rig", "hold", "--rated", "5 bar", "--out", "out"]);
    let output = command.arg(log).output().unwrap();
    assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
    assert_eq!(complete(&folder.0.join("out"))["of"], "log \u{fffd}.csv");
}

#[test]
fn results_of_another_question_are_not_overwritten() {
    let folder = Folder::new("files_other");
    fs::copy(example("11_hold.csv"), folder.0.join("hold.csv")).unwrap();
    fs::copy(example("11_release.csv"), folder.0.join("release.csv")).unwrap();
    let hold = ["rig", "hold", "hold.csv", "--rated", "5 bar", "--out", "out"];
    folder.expect(0, &hold);
    let first = files(&folder, "out");
    assert_eq!(complete(&folder.0.join("out"))["command"], "rig hold");
    // Another log, another setting, another command.
    let fixture = example("09_fixture_half_discs.toml");
    let stretch = example("09_stretch_half_discs.csv");
    let release = ["rig", "hold", "release.csv", "--rated", "5 bar", "--out", "out"];
    for other in [
        &release[..],
        &["rig", "hold", "hold.csv", "--rated", "4 bar", "--out", "out"],
        &["rig", "stretch", &stretch, "--fixture", &fixture, "--out", "out"],
        &["service", &example("14_service.toml"), "--out", "out"],
        &["vary", &example("05_seat_sizing.toml"), "--out", "out"],
        &["tolerance", &example("12_tolerance.toml"), "--out", "out"],
    ] {
        let (out, err) = folder.expect(2, other);
        assert!(out.is_empty() && err.contains("out holds the results of `rig hold` of hold.csv"), "{err}");
        assert!(
            err.contains("Remedy  they are not overwritten: give another folder by --out, or --force to replace them"),
            "{err}"
        );
        assert_eq!(files(&folder, "out"), first);
    }
    // The same again, and another by force: nothing of the first is left.
    folder.expect(0, &hold);
    assert_eq!(files(&folder, "out"), first);
    let stretch = ["rig", "stretch", &stretch, "--fixture", &fixture, "--out", "out", "--force"];
    folder.expect(0, &stretch);
    let list = complete(&folder.0.join("out"));
    let mut names: Vec<&String> = list["files"].as_object().unwrap().keys().collect();
    names.sort();
    let expected = ["cycles.csv", "cycles.parquet", "report.html", "stretch.json", "stretch.svg", "tyres.csv", "tyres.parquet"];
    assert_eq!(names, expected);
    assert_eq!(files(&folder, "out").len(), names.len() + 1);
}

/// It is what logs and fixture hold that makes the question, not where they lie nor what is noted beside it.
#[test]
fn other_logs_of_the_same_names_are_another_question() {
    let (folder, mut args) = batch("files_contents");
    fs::copy(&args[4], folder.0.join("fixture.toml")).unwrap();
    args[4] = "fixture.toml".to_owned();
    folder.expect(0, &borrowed(&args));
    let first = files(&folder, "out");
    let fixture = fs::read_to_string(folder.0.join("fixture.toml")).unwrap();
    let noted = format!("# On the left bench.\n{}", fixture.replacen("600 mm", "60 cm", 1));
    assert!(noted.contains("60 cm"), "{noted}");
    folder.write("fixture.toml", &noted);
    let again = |logs: &str| ["rig", "stretch", logs, "--fixture", "fixture.toml", "--out", "out", "-q"].map(str::to_owned);
    for logs in ["logs", "./logs"] {
        folder.expect(0, &borrowed(&again(logs)));
    }
    let list = |folder: &Folder| complete(&folder.0.join("out"))["question"].clone();
    let question = list(&folder);
    let kept = files(&folder, "out");
    folder.write("logs/02.csv", fs::read(example("09_stretch_half_discs.csv")).unwrap());
    let (_, err) = folder.expect(2, &borrowed(&again("logs")));
    assert!(err.contains("out holds the results of `rig stretch` of logs"), "{err}");
    assert_eq!(files(&folder, "out"), kept);
    folder.expect(0, &[&borrowed(&again("logs"))[..], &["--force"]].concat());
    assert!(list(&folder) != question && files(&folder, "out") != first);
    // Another setting of the fixture.
    folder.write("fixture.toml", noted.replacen("60 cm", "60.1 cm", 1));
    folder.expect(2, &borrowed(&again("logs")));
    // One log, beside a fixture with a note or without.
    let one = ["rig", "stretch", "logs/03.csv", "--fixture", "fixture.toml", "--out", "one", "-q"];
    for text in [fixture.clone(), noted] {
        folder.write("fixture.toml", text);
        folder.expect(0, &one);
    }
}

#[test]
fn files_of_one_s_own_are_not_overwritten() {
    let folder = Folder::new("files_own");
    fs::create_dir(folder.0.join("out")).unwrap();
    let log = example("11_hold.csv");
    let hold = ["rig", "hold", &log, "--rated", "5 bar", "--out", "out"];
    for (name, text) in [("report.html", "mine"), ("contents.json", "mine"), ("contents.json", "{\"schema\":\"other\"}")] {
        folder.write(&format!("out/{name}"), text);
        let (_, err) = folder.expect(2, &hold);
        assert!(err.contains(&format!("out/{name} exists, and contents.json does not list it there")), "{err}");
        assert_eq!(files(&folder, "out"), BTreeMap::from([(name.to_owned(), text.as_bytes().to_vec())]));
        fs::remove_file(folder.0.join("out").join(name)).unwrap();
    }
    // A list that leads out of the folder is no list: what it names stays.
    folder.write("case.toml", "mine");
    folder.write("out/contents.json", lists("rig hold", "../case.toml"));
    folder.expect(2, &hold);
    let forced = [&hold[..], &["--force"]].concat();
    folder.expect(0, &forced);
    assert_eq!(fs::read_to_string(folder.0.join("case.toml")).unwrap(), "mine");
}

/// A list of an earlier run of a command with one file.
fn lists(command: &str, name: &str) -> String {
    format!(
        "{{\"schema\":\"hoopwright/contents/1.0\",\"version\":\"0.1.0\",\"command\":\"{command}\",\"of\":\"case.toml\",\"question\":null,\"complete\":false,\"files\":{{\"{name}\":\"\"}}}}"
    )
}

/// A longer path of an earlier run has more states than this one: none of them is left to be mistaken for one of this run's.
#[test]
fn states_of_an_earlier_run_are_gone() {
    let folder = Folder::new("files_stale");
    let case = fs::read_to_string(example("01_road_holds.toml")).unwrap();
    folder.write("case.toml", case.replacen("[rim]", "[contact]\nfriction = 0\n\n[rim]", 1));
    fs::create_dir_all(folder.0.join("out/vtk")).unwrap();
    folder.write("out/vtk/section_0999.vtu", "an earlier run's");
    folder.write("out/vtk/mine.vtu", "not the program's");
    folder.write("out/contents.json", lists("assess", "vtk/section_0999.vtu"));
    folder.expect(1, &["assess", "case.toml", "--out", "out", "-q"]);
    assert!(!folder.0.join("out/vtk/section_0999.vtu").exists() && folder.0.join("out/vtk/mine.vtu").exists());
    let list = complete(&folder.0.join("out"));
    let listed = list["files"].as_object().unwrap().keys().filter(|name| name.starts_with("vtk/")).count();
    assert_eq!(fs::read_dir(folder.0.join("out/vtk")).unwrap().count(), listed + 1);
    // Another case is refused before its solve.
    folder.write("other.toml", case.replacen("400 kN", "401 kN", 1));
    let (_, err, passed) = folder.timed(2, &["assess", "other.toml", "--out", "out"]);
    assert!(err.contains("out holds the results of `assess` of case.toml"), "{err}");
    assert!(passed < Duration::from_secs(1), "{passed:?}");
}
