//! The pictures of `README.md` and of the pages of commands are those that their own commands draw: the title of an image names the
//! file it is a copy of.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use crate::common::{Folder, project};

/// Commands that solve for minutes.
const SLOW: [&str; 2] = ["map", "tolerance"];

/// Pictures of the page by the folder of the command that draws them: stored file and name of the copied one.
fn pictures(page: &str) -> BTreeMap<String, Vec<(String, String)>> {
    let mut found = BTreeMap::<_, Vec<_>>::new();
    for image in page.split("![").skip(1) {
        let target = image.split_once("](").unwrap().1.split_once(')').unwrap().0;
        let Some((stored, title)) = target.split_once(" \"") else { panic!("{target} does not say what it is a copy of") };
        let (folder, name) = title.strip_suffix('"').unwrap().rsplit_once('/').unwrap();
        found.entry(folder.to_owned()).or_default().push((stored.to_owned(), name.to_owned()));
    }
    found
}

/// The page's command that writes to a folder, as arguments.
fn command<'a>(page: &'a str, out: &str) -> Vec<&'a str> {
    let lines = page.lines().filter_map(|line| line.strip_prefix("    cargo run --release -- "));
    let mut found = lines.map(|line| line.split(' ').collect::<Vec<_>>()).filter(|words| words.ends_with(&["--out", out]));
    found.next().unwrap_or_else(|| panic!("no command writes to {out}"))
}

/// The front page and one page a command, as paths from the project's folder.
fn pages() -> Vec<PathBuf> {
    let folder = fs::read_dir(project().join("examples/commands")).unwrap();
    let mut pages: Vec<PathBuf> = folder.map(|entry| Path::new("examples/commands").join(entry.unwrap().file_name())).collect();
    pages.push("README.md".into());
    pages.sort();
    pages
}

fn drawn_as_stored(slow: bool) {
    let folder = Folder::new(if slow { "front_page_slow" } else { "front_page" });
    let compared: usize = pages().iter().map(|page| page_as_stored(page, slow, &folder)).sum();
    assert!(compared > 1, "{compared} pictures");
}

/// Runs the commands of a page that draw its pictures; the number of pictures compared.
fn page_as_stored(path: &Path, slow: bool, folder: &Folder) -> usize {
    let page = fs::read_to_string(project().join(path)).unwrap();
    let examples = project().join("examples");
    let mut compared = 0;
    for (out, copies) in pictures(&page) {
        let words = command(&page, &out);
        if SLOW.contains(&words[0]) != slow {
            continue;
        }
        let here = |word: &&str| match word.strip_prefix("examples/") {
            Some(name) => examples.join(name).display().to_string(),
            None => (*word).to_owned(),
        };
        let words: Vec<String> = words.iter().map(here).collect();
        let output = folder.run(&words.iter().map(String::as_str).collect::<Vec<_>>());
        assert!(matches!(output.status.code(), Some(0 | 1)), "{words:?}: {}", String::from_utf8_lossy(&output.stderr));
        for (stored, name) in copies {
            let fresh = fs::read_to_string(folder.0.join(&out).join(&name)).unwrap();
            let stored = project().join(path).parent().unwrap().join(stored).canonicalize().unwrap();
            let same = crate::nearly::same_picture(&fs::read_to_string(&stored).unwrap(), &fresh);
            let stored = stored.display();
            assert!(same, "{stored} is stale: run the page's command and then: cp {out}/{name} {stored}");
            compared += 1;
        }
    }
    compared
}

#[test]
fn pictures_are_those_that_the_commands_draw() {
    drawn_as_stored(false);
}

#[test]
#[ignore = "solves for some minutes"]
fn pictures_of_long_studies_are_those_that_the_commands_draw() {
    drawn_as_stored(true);
}
