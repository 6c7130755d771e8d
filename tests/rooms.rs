//! Data flow one way: no crate names one above it, and no rooms (modules directly under a crate's root) name each other in a circle.
//!
//! What a file names is read from its text: every path that begins with `crate::`, or with as many `super::` as lead to the root. A name
//! that the root re-exports counts as the room that it comes from. Tests are left out: they may look at what their room is used for.

use super::house_rules::{none, project, texts};
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Component, Path};

/// The crates from below upward, and all that each may name in `[dependencies]`: numbers below, formats and arguments above.
const CRATES: [(&str, &[&str]); 12] = [
    ("profile", &["thiserror"]),
    ("statistics", &["statrs"]),
    ("drawing", &["spade", "thiserror"]),
    ("case", &["csv", "hoopwright-drawing", "hoopwright-profile", "sha2", "thiserror", "toml"]),
    ("fem", &["faer", "hoopwright-profile", "nalgebra", "sprs", "thiserror"]),
    ("solver", &["hoopwright-case", "hoopwright-drawing", "hoopwright-fem", "hoopwright-profile", "nalgebra", "thiserror"]),
    ("bench", &["hoopwright-case", "hoopwright-statistics", "nalgebra", "statrs", "thiserror"]),
    (
        "validation",
        &[
            "hoopwright-case",
            "hoopwright-drawing",
            "hoopwright-fem",
            "hoopwright-profile",
            "hoopwright-solver",
            "serde_json",
            "thiserror",
            "toml",
        ],
    ),
    (
        "study",
        &[
            "bytes",
            "calamine",
            "csv",
            "hoopwright-case",
            "hoopwright-solver",
            "hoopwright-statistics",
            "nalgebra",
            "parquet",
            "rand_pcg",
            "sha2",
            "sobol_burley",
            "thiserror",
        ],
    ),
    (
        "report",
        &[
            "csv",
            "flate2",
            "hoopwright-bench",
            "hoopwright-case",
            "hoopwright-solver",
            "hoopwright-study",
            "maud",
            "parquet",
            "rust_xlsxwriter",
            "serde",
            "serde_json",
            "sha2",
            "thiserror",
            "vtkio",
        ],
    ),
    (
        "page",
        &[
            "base64",
            "flate2",
            "hoopwright-case",
            "hoopwright-report",
            "hoopwright-solver",
            "hoopwright-study",
            "serde",
            "serde_json",
            "thiserror",
        ],
    ),
    (
        "cli",
        &[
            "clap",
            "clap_complete",
            "clap_mangen",
            "glob",
            "hoopwright-bench",
            "hoopwright-case",
            "hoopwright-report",
            "hoopwright-solver",
            "hoopwright-study",
            "hoopwright-validation",
            "indicatif",
            "thiserror",
        ],
    ),
];

/// Circles that are left: the crate, the arrow that closes one (from, to), and why it is still there.
const KNOWN: [(&str, &str, &str, &str); 2] = [("solver", "result", "law", BOTH), ("solver", "result", "ring", BOTH)];
const BOTH: &str = "a run holds its local release with the law that it goes by, and the law is traced along runs";

#[test]
fn no_crate_names_one_above_it() {
    let mut breaches = Vec::new();
    for (place, (name, allowed)) in CRATES.iter().enumerate() {
        let text = fs::read_to_string(project().join("crates").join(name).join("Cargo.toml")).unwrap();
        let manifest = toml::de::DeTable::parse(&text).unwrap();
        let named = |table: &str| -> Vec<String> {
            let table = manifest.get_ref().get(table).and_then(|table| table.get_ref().as_table());
            table.map_or_else(Vec::new, |table| table.keys().map(|key| key.get_ref().to_string()).collect())
        };
        let direct = named("dependencies");
        breaches.extend(direct.iter().filter(|d| !allowed.contains(&d.as_str())).map(|d| format!("{name} names {d}")));
        let below: Vec<String> = CRATES[..place].iter().map(|(below, _)| format!("hoopwright-{below}")).collect();
        let own = |d: &String| d.starts_with("hoopwright-") && !below.contains(d);
        let upward = direct.into_iter().chain(named("dev-dependencies")).filter(own);
        breaches.extend(upward.map(|d| format!("{name} names {d}, which does not stand below it")));
    }
    none(&breaches);
}

#[test]
fn no_rooms_name_each_other_in_a_circle() {
    let mut breaches = Vec::new();
    for (name, _) in CRATES {
        let mut house = House::of(name);
        breaches.append(&mut house.strangers);
        for (_, from, to, _) in KNOWN.iter().filter(|known| known.0 == name) {
            if !house.in_a_circle(from, to) {
                breaches.push(format!("{name}: {from} -> {to} closes no circle any more: take it out of the list"));
            }
        }
        for (_, from, to, _) in KNOWN.iter().filter(|known| known.0 == name) {
            house.arrows.remove(&(from.to_string(), to.to_string()));
        }
        let circles = house.arrows.iter().filter(|((from, to), _)| house.in_a_circle(from, to));
        breaches.extend(circles.map(|((from, to), file)| format!("{name}: {from} -> {to} by {file} lies on a circle")));
    }
    none(&breaches);
}

/// The rooms of a crate.
struct House {
    /// Who names whom, with a file that does.
    arrows: BTreeMap<(String, String), String>,
    /// Names of no room.
    strangers: Vec<String>,
}

impl House {
    fn of(name: &str) -> Self {
        let source = Path::new("crates").join(name).join("src");
        let files = texts(&["rs"]).into_iter().filter_map(|(path, text)| {
            let under = path.strip_prefix(&source).ok()?;
            let parts: Vec<String> = under.with_extension("").components().map(part).collect();
            Some((under.display().to_string(), parts, code(&text)))
        });
        let files: Vec<(String, Vec<String>, String)> = files.collect();
        let is_root = |parts: &[String]| parts.len() == 1 && ["lib", "main"].contains(&parts[0].as_str());
        let root = &files.iter().find(|(_, parts, _)| is_root(parts)).unwrap().2;
        let rooms = rooms(root);
        let mut house = Self { arrows: BTreeMap::new(), strangers: Vec::new() };
        for (file, mut parts, text) in files.iter().cloned() {
            if parts.last().is_some_and(|last| last == "mod") {
                parts.pop();
            }
            if is_root(&parts) || parts.iter().any(|part| part.ends_with("tests")) {
                continue;
            }
            for word in named(&text, parts.len()) {
                match rooms.get(&word) {
                    None => house.strangers.push(format!("{name}/{file}: `{word}` of the root is no room")),
                    Some(room) if *room == parts[0] => {}
                    Some(room) => {
                        house.arrows.entry((parts[0].clone(), room.clone())).or_insert_with(|| file.clone());
                    }
                }
            }
        }
        house
    }

    /// Whether an arrow is there and a way leads back.
    fn in_a_circle(&self, from: &str, to: &str) -> bool {
        let (mut seen, mut next) = (BTreeSet::new(), vec![to]);
        while let Some(room) = next.pop() {
            if seen.insert(room) {
                next.extend(self.arrows.keys().filter(|(a, _)| a == room).map(|(_, b)| b.as_str()));
            }
        }
        self.arrows.contains_key(&(from.to_owned(), to.to_owned())) && seen.contains(from)
    }
}

fn part(part: Component<'_>) -> String {
    part.as_os_str().to_str().unwrap().to_owned()
}

/// A file's text without comments and without its tests.
fn code(text: &str) -> String {
    const TEST: &str = "\n#[cfg(test)]\n";
    let tests = |at: &usize| text[at + TEST.len()..].lines().take(2).any(|line| line.contains("mod ") && line.ends_with('{'));
    let until = text.match_indices(TEST).map(|(at, _)| at).find(tests).unwrap_or(text.len());
    text[..until].lines().map(|line| line.split("//").next().unwrap_or("")).collect::<Vec<_>>().join("\n")
}

/// What may follow `crate::`, and the room that it is of: the rooms, and what the root re-exports from them.
fn rooms(root: &str) -> BTreeMap<String, String> {
    let mut rooms = BTreeMap::new();
    for statement in root.split(';') {
        if let Some((_, name)) = statement.rsplit_once("mod ").filter(|(_, name)| name.chars().all(is_of_word)) {
            rooms.insert(name.to_owned(), name.to_owned());
        }
        let Some((_, path)) = statement.split_once("pub use ").or(statement.split_once("pub(crate) use ")) else { continue };
        let room = path.split("::").next().unwrap_or("").to_owned();
        for name in path.split(|c| !is_of_word(c)).filter(|name| !name.is_empty() && *name != room) {
            rooms.entry(name.to_owned()).or_insert_with(|| room.clone());
        }
    }
    rooms
}

/// The words that follow the root's name in a file so many modules deep.
fn named(text: &str, depth: usize) -> Vec<String> {
    let ways = ["crate::".to_owned(), "super::".repeat(depth)];
    let mut words = Vec::new();
    for way in ways {
        for (at, _) in text.match_indices(&way) {
            // Not the end of another word, nor of a longer way.
            if text[..at].chars().next_back().is_none_or(|c| !is_of_word(c) && c != ':') {
                words.extend(firsts(&text[at + way.len()..]).into_iter().filter(|word| !word.is_empty() && word != "super"));
            }
        }
    }
    words
}

/// The first word of a path, or of each path of a group in braces.
fn firsts(path: &str) -> Vec<String> {
    let word = |path: &str| path.trim_start().chars().take_while(|c| is_of_word(*c)).collect::<String>();
    let Some(group) = path.strip_prefix('{') else { return vec![word(path)] };
    let (mut found, mut depth) = (vec![word(group)], 0);
    for (at, c) in group.char_indices() {
        match c {
            '{' => depth += 1,
            '}' if depth == 0 => break,
            '}' => depth -= 1,
            ',' if depth == 0 => found.push(word(&group[at + 1..])),
            _ => {}
        }
    }
    found.into_iter().filter(|word| !word.is_empty()).collect()
}

fn is_of_word(c: char) -> bool {
    c.is_alphanumeric() || c == '_'
}

#[test]
fn the_words_of_a_text_are_found() {
    let text = "use crate::{alpha, beta::{gamma, delta}, epsilon};\nuse super::super::zeta::eta;\nlet x = crate::theta::iota(); my_crate::kappa";
    assert_eq!(named(text, 2), ["alpha", "beta", "epsilon", "theta", "zeta"]);
    let rooms = rooms("mod one;\npub mod two;\npub use one::{First, second};\n");
    assert_eq!(
        rooms.iter().map(|(name, room)| format!("{name}:{room}")).collect::<Vec<_>>(),
        ["First:one", "one:one", "second:one", "two:two"]
    );
}
