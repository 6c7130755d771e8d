//! The same question gives the same bytes: from run to run, on any number of processors; and nearly the same numbers however the program
//! was optimised.

#![allow(clippy::unwrap_used, clippy::panic, clippy::print_stdout)]

use std::collections::BTreeMap;
use std::ffi::OsString;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use crate::common::{Folder, project};
use serde_json::Value;

/// Largest difference of a number between two builds, as a share of the largest number of its array or of itself.
const BUILDS: f64 = 1e-9;
/// Smallest number that counts as one: forces and pressures below are rounding.
const LEAST: f64 = 1e-6;

/// The files of a folder by their names, without those of folders in it.
fn files(folder: &Folder, name: &str) -> BTreeMap<OsString, Vec<u8>> {
    let entries = fs::read_dir(folder.0.join(name)).unwrap().map(Result::unwrap).filter(|entry| entry.path().is_file());
    entries.map(|entry| (entry.file_name(), fs::read(entry.path()).unwrap())).collect()
}

fn example(name: &str) -> String {
    project().join("examples").join(name).to_str().unwrap().to_owned()
}

#[test]
fn logs_give_the_same_files_twice() {
    let folder = Folder::new("bytes_logs");
    let fixture = example("09_fixture_half_discs.toml");
    let (pull, night, test) = (example("09_stretch_half_discs.csv"), example("10_growth.csv"), example("11_hold.csv"));
    let commands = [
        &["rig", "stretch", &pull, "--fixture", &fixture][..],
        &["rig", "growth", &night, "--until", "1000 h"],
        &["rig", "hold", &test, "--rated", "5 bar"],
    ];
    for (i, command) in commands.into_iter().enumerate() {
        let run = |folder_name: &str| {
            let (out, _) = folder.expect([0, 1, 0][i], &[command, &["--out", folder_name]].concat());
            (out, files(&folder, folder_name))
        };
        let (first, second) = (run(&format!("a{i}")), run(&format!("b{i}")));
        assert!(first.1.len() >= 4 && first == second, "{command:?}");
    }
}

/// On one processor and on all of them, where the system lets a test choose.
#[cfg(target_os = "linux")]
#[test]
fn one_processor_gives_the_same_files_as_all() {
    let folder = Folder::new("bytes_processors");
    let case = fs::read_to_string(example("01_road_holds.toml")).unwrap();
    folder.write("case.toml", case.replacen("[rim]", "[contact]\nfriction = 0\n\n[rim]", 1));
    let all = folder.run(&["assess", "case.toml", "--out", "all"]);
    let mut command = Command::new("taskset");
    command.args(["-c", "0", env!("CARGO_BIN_EXE_hoopwright"), "assess", "case.toml", "--out", "one"]).stdin(Stdio::null());
    let Ok(one) = command.current_dir(&folder.0).output() else {
        println!("left out: no taskset");
        return;
    };
    assert_eq!(all.status.code(), Some(1), "{}", String::from_utf8_lossy(&all.stderr));
    assert_eq!((one.status, one.stdout), (all.status, all.stdout));
    for below in ["", "/vtk"] {
        let of = |name: &str| files(&folder, &format!("{name}{below}"));
        assert!(of("one") == of("all"), "{below}");
    }
}

/// Largest relative difference of the numbers of two documents; texts and shapes must be the same.
fn apart(a: &Value, b: &Value, place: &str, found: &mut (f64, String)) {
    match (a, b) {
        (Value::Number(x), Value::Number(y)) => {
            let (x, y) = (x.as_f64().unwrap(), y.as_f64().unwrap());
            note(x, y, x.abs().max(y.abs()), place, found);
        }
        (Value::Array(x), Value::Array(y)) if x.iter().all(Value::is_number) => {
            assert_eq!(x.len(), y.len(), "{place}: a path of another length");
            let numbers = |list: &[Value]| list.iter().map(|v| v.as_f64().unwrap()).collect::<Vec<_>>();
            let (x, y) = (numbers(x), numbers(y));
            let scale = x.iter().fold(0.0, |m: f64, v| m.max(v.abs()));
            x.iter().zip(&y).for_each(|(x, y)| note(*x, *y, scale, place, found));
        }
        (Value::Array(x), Value::Array(y)) => {
            assert_eq!(x.len(), y.len(), "{place}");
            x.iter().zip(y).enumerate().for_each(|(i, (x, y))| apart(x, y, &format!("{place}.{i}"), found));
        }
        (Value::Object(x), Value::Object(y)) => {
            assert_eq!(x.keys().collect::<Vec<_>>(), y.keys().collect::<Vec<_>>(), "{place}");
            // Balances are residuals, all of them rounding.
            let compared = x.iter().filter(|(key, _)| *key != "balance" && !key.contains("balance"));
            compared.for_each(|(key, x)| apart(x, &y[key], &format!("{place}.{key}"), found));
        }
        _ => assert_eq!(a, b, "{place}"),
    }
}

fn note(x: f64, y: f64, scale: f64, place: &str, found: &mut (f64, String)) {
    let difference = if scale < LEAST { 0.0 } else { (x - y).abs() / scale };
    if difference > found.0 {
        *found = (difference, format!("{place}: {x} and {y}"));
    }
}

/// `OTHER_BUILD` names the same program built otherwise, as by `CARGO_PROFILE_RELEASE_OPT_LEVEL=1 cargo build --release --target-dir DIR`.
#[test]
#[ignore = "needs a second build, named by OTHER_BUILD"]
fn another_build_gives_nearly_the_same_numbers() {
    let other = PathBuf::from(std::env::var_os("OTHER_BUILD").expect("OTHER_BUILD names a build"));
    let folder = Folder::new("bytes_builds");
    let mut worst = (0.0, String::new());
    for case in [
        "01_road_holds.toml",
        "02_soft_bead.toml",
        "03_rim_overload.toml",
        "04_inch_units.toml",
        "06_elastic_rim.toml",
        "08_drawn_rim.toml",
    ] {
        let answer = |program: &Path| -> Value {
            let output =
                Command::new(program).args(["assess", "-q", "--json", &example(case)]).current_dir(&folder.0).output().unwrap();
            serde_json::from_slice(&output.stdout).unwrap()
        };
        let mut found = (0.0, String::new());
        apart(&answer(env!("CARGO_BIN_EXE_hoopwright").as_ref()), &answer(&other), "", &mut found);
        println!("{case}: {:.1e} {}", found.0, found.1);
        worst = if found.0 > worst.0 { found } else { worst };
    }
    let pull =
        ["rig", "stretch", &example("09_stretch_half_discs.csv"), "--fixture", &example("09_fixture_half_discs.toml"), "--json"];
    let answer =
        |program: &Path| -> Value { serde_json::from_slice(&Command::new(program).args(pull).output().unwrap().stdout).unwrap() };
    apart(&answer(env!("CARGO_BIN_EXE_hoopwright").as_ref()), &answer(&other), "stretch", &mut worst);
    println!("largest difference: {:.1e}, {}", worst.0, worst.1);
    assert!(worst.0 < BUILDS, "{worst:?}");
}
