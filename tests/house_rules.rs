//! House rules that hold for every file: headers, lengths and no traces of one machine.

use std::fs;
use std::path::{Path, PathBuf};

/// Most lines of a source file.
const MOST_LINES: usize = 500;
/// Folders that hold no source of the project.
const SKIPPED: [&str; 2] = ["target", ".git"];

pub(crate) fn project() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..").canonicalize().unwrap()
}

/// Files of the project with one of the extensions, and their texts.
pub(crate) fn texts(extensions: &[&str]) -> Vec<(PathBuf, String)> {
    let (root, mut found) = (project(), Vec::new());
    let mut folders = vec![root.clone()];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            let name = path.file_name().unwrap().to_str().unwrap();
            if path.is_dir() {
                folders.extend((!SKIPPED.contains(&name)).then_some(path));
            } else if extensions.iter().any(|e| path.extension().is_some_and(|x| x == *e)) {
                let text = fs::read_to_string(&path).unwrap();
                found.push((path.strip_prefix(&root).unwrap().to_owned(), text));
            }
        }
    }
    found.sort();
    found
}

/// Asserts that a list of breaches is empty.
pub(crate) fn none(breaches: &[String]) {
    assert!(breaches.is_empty(), "\n{}", breaches.join("\n"));
}

#[test]
fn every_source_file_says_what_it_is() {
    let sources = texts(&["rs"]);
    assert!(sources.len() > 80, "{}", sources.len());
    let silent = sources.iter().filter(|(_, text)| !text.starts_with("//! "));
    none(&silent.map(|(path, _)| format!("{}: no `//!` in the first line", path.display())).collect::<Vec<_>>());
}

#[test]
fn no_source_file_is_long() {
    let long = texts(&["rs", "py", "sh"]).into_iter().filter(|(_, text)| text.lines().count() > MOST_LINES);
    none(&long.map(|(path, text)| format!("{}: {} lines", path.display(), text.lines().count())).collect::<Vec<_>>());
}

/// The finite elements know nothing of the thing that is modelled: what they need of it has a general term there.
#[test]
fn finite_elements_know_no_tyre() {
    const WORDS: [&str; 16] = [
        "bead", "bundle", "casing", "crest", "flange", "guide", "hump", "lift", "mismatch", "rider", "rim", "seat", "spoke",
        "tread", "tyre", "wheel",
    ];
    let known = |word: &str| WORDS.iter().any(|w| word == *w || word.strip_suffix('s') == Some(w));
    let mut breaches = Vec::new();
    for (path, text) in texts(&["rs"]).into_iter().filter(|(path, _)| path.starts_with("crates/fem/src")) {
        for (number, line) in text.lines().enumerate() {
            let words = line.split(|c: char| !c.is_ascii_alphabetic()).map(str::to_lowercase).filter(|word| known(word));
            breaches.extend(words.map(|word| format!("{}:{}: {word}", path.display(), number + 1)));
        }
    }
    none(&breaches);
}

/// The words are put together here so that this file does not hold them.
#[test]
fn no_traces_of_a_machine_and_nothing_left_undone() {
    let folders = ["work", "home", "root", "Users"].map(|name| format!("/{name}/"));
    let registries =
        [["crates", ".io"], ["pypi", ".org"], ["pythonhosted", ".org"], ["deb.debian", ".org"]].map(|part| part.concat());
    let undone = [["TO", "DO"], ["FIX", "ME"]].map(|part| part.concat());
    let mut breaches = Vec::new();
    for (path, text) in texts(&["rs", "toml", "md", "py", "sh", "txt", "yml"]) {
        for (number, line) in text.lines().enumerate() {
            let words = folders.iter().chain(&registries).chain(&undone);
            breaches.extend(words.filter(|w| line.contains(*w)).map(|w| format!("{}:{}: {w}", path.display(), number + 1)));
        }
    }
    none(&breaches);
}

/// `.cargo/audit.toml` sets advisories aside because they are about reading XML, which the program does not do with the library at hand.
#[test]
fn vtk_files_are_written_and_never_read() {
    let library = ["vtkio", "::"].concat();
    let users: Vec<_> = texts(&["rs"]).into_iter().filter(|(_, text)| text.contains(&library)).collect();
    assert!(!users.is_empty());
    let readers = users.iter().filter(|(_, text)| text.contains("import") || text.contains("parse_"));
    none(&readers.map(|(path, _)| format!("{}: reads VTK files", path.display())).collect::<Vec<_>>());
}

#[test]
fn every_example_says_what_it_asks_and_answers() {
    let examples: Vec<_> = texts(&["toml"]).into_iter().filter(|(path, _)| path.starts_with("examples")).collect();
    assert!(examples.len() >= 4);
    for (path, text) in examples {
        let header: Vec<&str> = text.lines().take(4).collect();
        assert_eq!(header[0], "# Invented data: no real tyre or rim.", "{}", path.display());
        assert!(header[1].starts_with("# Question: ") && header[1].ends_with('?'), "{}", header[1]);
        let path = path.display();
        if text.contains("\n[fixture]\n") {
            let log = path.to_string().replace("_fixture_", "_stretch_").replace(".toml", ".csv");
            assert_eq!(header[2], format!("# Run: hoopwright rig stretch {log} --fixture {path} --out out"));
            assert!(header[3].starts_with("# Answer: ") && header[3].contains(" mm"), "{path}");
            continue;
        }
        // A case with the table of a study is run by that study's command; what service does may be one of tolerances.
        let study =
            ["vary", "map", "sizes", "tolerance", "service"].into_iter().find(|table| text.contains(&format!("\n[{table}]\n")));
        let run = study.map_or(format!("assess {path}"), |command| format!("{command} {path} --out out"));
        assert_eq!(header[2], format!("# Run: hoopwright {run}"));
        let answer = header[3].strip_prefix("# Answer: ").unwrap();
        assert!(answer.contains(" bar") && answer.ends_with('.'), "{path}: an answer has a number: {answer}");
    }
}
