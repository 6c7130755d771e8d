//! The tutorials, typed command by command: what comes out is what they say, and so are their pictures.
//!
//! A block ```` ```console ```` holds commands behind `$ `; the block ```` ```output ```` behind it what they print, `...` for lines left
//! out. Words are compared exactly, numbers within [`TOLERANCE`], white space by its presence. The title of an image names the file it is
//! a copy of.

#![cfg(unix)]

use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};

use crate::common::{Folder, project};
use crate::nearly::{lines_differ, same_picture};

/// Relative deviation of a number that is let pass: solvers may differ a little between machines and versions.
const TOLERANCE: f64 = 0.02;
/// What the reader is told first.
const CAUTION: &str = "> **A bead that lets go under pressure injures people.** This is a calculation with invented data, no approval. \
    Local codes, the standards for tyres and rims, the makers' limits and licensed practice decide, and a physical retention test. \
    Burst tests are done with water, not air, behind a shield, by people trained for it.";

/// Fenced blocks of a Markdown text: language, line of the fence from 1, lines within.
fn blocks(text: &str) -> Vec<(String, usize, Vec<String>)> {
    let mut found: Vec<(String, usize, Vec<String>)> = Vec::new();
    let mut open = false;
    for (i, line) in text.lines().enumerate() {
        match line.strip_prefix("```") {
            Some("") if open => open = false,
            Some(language) => {
                found.push((language.to_owned(), i + 1, Vec::new()));
                open = true;
            }
            None if open => found.last_mut().unwrap().2.push(line.to_owned()),
            None => {}
        }
    }
    assert!(!open, "a block is left open");
    found
}

/// Runs the commands of a block, each by a shell in the folder; what they print, warnings among it.
fn typed(folder: &Path, commands: &[String]) -> String {
    let program = Path::new(env!("CARGO_BIN_EXE_hoopwright")).parent().unwrap();
    let path = format!("{}:{}", program.display(), std::env::var("PATH").unwrap());
    let run = |line: &String| {
        let command = line.strip_prefix("$ ").unwrap_or_else(|| panic!("no command: {line}"));
        let mut shell = Command::new("sh");
        shell.args(["-c", &format!("exec 2>&1\n{command}")]).current_dir(folder).env("PATH", &path).stdin(Stdio::null());
        let output = shell.output().unwrap();
        let text = String::from_utf8(output.stdout).unwrap();
        assert!(
            output.status.success(),
            "{command}: ends with {:?}: show it by echo \"exit code $?\"\n{text}",
            output.status.code()
        );
        text
    };
    commands.iter().map(run).collect()
}

/// Targets of the images of a Markdown text with the files they are copies of.
fn images(text: &str) -> Vec<(&str, &str)> {
    let targets = text.split("](").skip(1).filter_map(|rest| rest.split_once(')')).map(|(target, _)| target);
    targets.filter_map(|target| target.strip_suffix('"')?.split_once(" \"")).collect()
}

fn follow(name: &str) {
    let folder = Folder::new(&format!("tutorial_{name}"));
    let tutorials = project().join("examples/tutorials");
    fs::create_dir_all(folder.0.join("examples/tutorials")).unwrap();
    folder.write(&format!("examples/tutorials/{name}.toml"), fs::read(tutorials.join(format!("{name}.toml"))).unwrap());
    // What was measured, for a case that names it.
    if let Ok(measured) = fs::read(tutorials.join(format!("{name}.csv"))) {
        folder.write(&format!("examples/tutorials/{name}.csv"), measured);
    }
    let text = fs::read_to_string(tutorials.join(format!("{name}.md"))).unwrap();
    copy_named(&folder, &text);
    let (checked, _) = folder.expect(0, &["review", &format!("examples/tutorials/{name}.toml")]);
    let unwrapped = |text: &str| text.replace("\n  ", " ");
    let (shown, checked) = (unwrapped(&text), unwrapped(&checked));
    let known = |note: &str| note.starts_with("Note: The off-centre release decides") || shown.contains(note);
    assert!(
        checked.lines().filter(|line| line.starts_with("Note:")).all(known),
        "a note that the tutorial does not show:\n{checked}"
    );
    assert!(text.lines().nth(2) == Some(CAUTION), "{name}.md does not begin with the caution:\n{CAUTION}");
    let (mut commands, mut printed) = (0, String::new());
    for (language, line, block) in blocks(&text) {
        match language.as_str() {
            "console" => {
                printed = typed(&folder.0, &block);
                commands += block.len();
            }
            "output" => {
                let differs = lines_differ(&block, &printed, TOLERANCE);
                assert!(differs.is_none(), "{name}.md:{}: {}\nprinted:\n{printed}", line, differs.unwrap());
            }
            "toml" => shown_in_the_case(name, &folder, &block),
            other => panic!("{name}.md:{line}: a block in {other}"),
        }
    }
    assert!(commands >= 4, "{name}.md has {commands} commands");
    let images = images(&text);
    assert!(!images.is_empty(), "{name}.md has no picture");
    for (picture, made) in images {
        let stored = fs::read_to_string(tutorials.join(picture)).unwrap_or_default();
        let fresh = fs::read_to_string(folder.0.join(made)).unwrap();
        assert!(
            same_picture(&stored, &fresh),
            "{picture} is stale: follow {name}.md and then: cp {made} {}",
            picture.replace("..", "examples")
        );
    }
}

/// Copies the drawings and the examples that a text names, and the drawings that these name.
fn copy_named(folder: &Folder, text: &str) {
    let stored = |word: &&str| {
        (word.starts_with("meshes/") || word.starts_with("examples/"))
            && project().join(word).is_file()
            && !folder.0.join(word).exists()
    };
    let words = text.split(|c: char| !(c.is_alphanumeric() || "/_.".contains(c)));
    for word in words.map(|word| word.trim_start_matches("../").trim_end_matches('.')).filter(stored) {
        let bytes = fs::read(project().join(word)).unwrap();
        fs::create_dir_all(folder.0.join(word).parent().unwrap()).unwrap();
        folder.write(word, &bytes);
        if word.ends_with(".toml") {
            copy_named(folder, &String::from_utf8(bytes).unwrap());
        }
    }
}

/// Lines of a case shown in the text stand in its file, in that order.
fn shown_in_the_case(name: &str, folder: &Folder, block: &[String]) {
    let case = fs::read_to_string(folder.0.join(format!("examples/tutorials/{name}.toml"))).unwrap();
    for line in block.iter().filter(|line| !line.is_empty()) {
        assert!(case.lines().any(|l| l == line), "{name}.md shows a line that {name}.toml does not hold: {line}");
    }
}

#[test]
fn a_bead_seat_for_a_box_rim() {
    follow("seat");
}

#[test]
fn a_bead_on_the_bench() {
    follow("bead");
}

#[test]
fn diameters_at_the_ends_of_their_tolerances() {
    follow("tolerance");
}

#[test]
fn heights_of_the_moulded_line_round_the_wheel() {
    follow("uneven");
}

#[test]
fn a_rim_from_a_drawing() {
    follow("drawing");
}

#[test]
fn from_logs_to_a_list() {
    follow("list");
}

#[test]
fn every_tutorial_is_followed_and_listed() {
    let folder = project().join("examples/tutorials");
    let list = fs::read_to_string(folder.join("README.md")).unwrap();
    let this = include_str!("tutorials.rs");
    let mut count = 0;
    for entry in fs::read_dir(folder).unwrap() {
        let name = entry.unwrap().file_name().into_string().unwrap();
        let Some(tutorial) = name.strip_suffix(".md").filter(|name| *name != "README") else { continue };
        assert!(list.contains(&format!("({name})")), "{name} is not in the list");
        assert!(this.contains(&format!("follow(\"{tutorial}\")")), "{name} is not followed");
        count += 1;
    }
    assert_eq!(count, 6);
}
