//! The example scripts, run.

#![cfg(unix)]

use std::fs;
use std::process::{Command, Stdio};

use crate::common::{Folder, project};

/// Runs the script on case files in the folder: exit code, standard output, standard error.
fn verdict(folder: &Folder, cases: &[&str]) -> (Option<i32>, String, String) {
    let output = Command::new("sh")
        .arg(project().join("examples/scripts/verdict.sh"))
        .args(cases)
        .current_dir(&folder.0)
        .env("HOOPWRIGHT", env!("CARGO_BIN_EXE_hoopwright"))
        .stdin(Stdio::null())
        .output()
        .unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    (output.status.code(), text(output.stdout), text(output.stderr))
}

/// One case for each exit code: an example that holds, one that does not, a wrong unit, a bead of next to no stiffness without friction.
#[test]
fn a_script_tells_the_exit_codes_apart() {
    let folder = Folder::new("scripts_verdict");
    let example = |name: &str| fs::read_to_string(project().join("examples").join(name)).unwrap();
    let holds = example("01_road_holds.toml");
    folder.write("holds.toml", &holds);
    folder.write("soft.toml", example("02_soft_bead.toml"));
    folder.write("wrong.toml", holds.replacen("\"5 bar\"", "\"5 bra\"", 1));
    folder.write("limp.toml", format!("{}\n[contact]\nfriction = 0\n", holds.replacen("\"400 kN\"", "\"5 kN\"", 1)));
    let (code, out, err) = verdict(&folder, &["holds.toml", "soft.toml", "wrong.toml", "limp.toml"]);
    let rows: Vec<Vec<&str>> = out.lines().map(|line| line.split('\t').collect()).collect();
    let codes: Vec<(&str, &str)> = rows.iter().map(|row| (row[0], row[1])).collect();
    assert_eq!(codes, [("0", "holds.toml"), ("1", "soft.toml"), ("2", "wrong.toml"), ("3", "limp.toml")], "{err}");
    assert_eq!(code, Some(3));
    assert!(rows[0][2].starts_with("kept") && rows[1][2].starts_with("NOT kept") && rows[3][2].starts_with("no answer"), "{out}");
    let (_, said) = folder.expect(2, &["assess", "wrong.toml"]);
    assert!(said.contains("did you mean \"bar\"?") && err.contains(&said), "what went wrong stays to be read\n{err}");
    let (code, out, err) = verdict(&folder, &[]);
    assert!(code == Some(2) && out.is_empty() && err.contains("usage"), "{err}");
}
