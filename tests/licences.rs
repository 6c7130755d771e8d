//! Licences of everything that the program is built from: those that ask for no more than their text, found without a network.
//!
//! What is built for another system only, and therefore not fetched here, is not looked at.

use std::process::Command;

use serde_json::Value;

/// Licences (SPDX) that a program under MIT or Apache-2.0 may be built from.
const ALLOWED: [&str; 11] = [
    "0BSD",
    "Apache-2.0",
    "Apache-2.0 WITH LLVM-exception",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "BSL-1.0",
    "CC0-1.0",
    "MIT",
    "Unicode-3.0",
    "Unlicense",
    "Zlib",
];

/// Whether an expression of SPDX (specification 2.3, annex D; a slash is an older OR) can be met by allowed licences alone.
fn is_allowed(expression: &str) -> bool {
    let spaced = expression.replace('/', " OR ").replace('(', " ( ").replace(')', " ) ");
    let words: Vec<&str> = spaced.split_whitespace().collect();
    let mut at = 0;
    any_of(&words, &mut at) && at == words.len()
}

/// Alternatives; AND binds closer than OR.
fn any_of(words: &[&str], at: &mut usize) -> bool {
    let mut allowed = all_of(words, at);
    while words.get(*at) == Some(&"OR") {
        *at += 1;
        allowed |= all_of(words, at);
    }
    allowed
}

fn all_of(words: &[&str], at: &mut usize) -> bool {
    let mut allowed = one(words, at);
    while words.get(*at) == Some(&"AND") {
        *at += 1;
        allowed &= one(words, at);
    }
    allowed
}

fn one(words: &[&str], at: &mut usize) -> bool {
    let word = words.get(*at).copied().unwrap_or("");
    *at += 1;
    if word == "(" {
        let allowed = any_of(words, at);
        let closed = words.get(*at) == Some(&")");
        *at += 1;
        return allowed && closed;
    }
    if words.get(*at) == Some(&"WITH") {
        let whole = format!("{word} WITH {}", words.get(*at + 1).unwrap_or(&""));
        *at += 2;
        return ALLOWED.contains(&whole.as_str());
    }
    ALLOWED.contains(&word)
}

/// What the program is built from on this system, its tests included.
fn packages() -> Vec<Value> {
    let cargo = std::env::var("CARGO").unwrap_or_else(|_| "cargo".to_owned());
    let version = Command::new(&cargo).arg("-vV").output().unwrap();
    let version = String::from_utf8(version.stdout).unwrap();
    let host = version.lines().find_map(|line| line.strip_prefix("host: ")).unwrap();
    let args = ["metadata", "--format-version", "1", "--offline", "--locked", "--filter-platform", host];
    let output = Command::new(cargo).args(args).current_dir(env!("CARGO_MANIFEST_DIR")).output().unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let metadata: Value = serde_json::from_slice(&output.stdout).unwrap();
    metadata["packages"].as_array().unwrap().clone()
}

#[test]
fn every_package_has_a_licence_that_may_be_built_from() {
    let packages = packages();
    assert!(packages.len() > 100, "{}", packages.len());
    let refused = packages.iter().filter(|package| !package["license"].as_str().is_some_and(is_allowed));
    let refused: Vec<String> = refused.map(|p| format!("{} {}: {}", p["name"], p["version"], p["license"])).collect();
    assert!(refused.is_empty(), "\n{}", refused.join("\n"));
}

#[test]
fn every_package_comes_from_the_registry_or_the_project() {
    let foreign = |package: &&Value| package["source"].as_str().is_some_and(|source| !source.starts_with("registry+"));
    let packages = packages();
    let foreign: Vec<&Value> = packages.iter().filter(foreign).map(|package| &package["name"]).collect();
    assert!(foreign.is_empty(), "{foreign:?}");
}

#[test]
fn expressions_are_read() {
    for allowed in
        ["MIT", "MIT OR GPL-3.0-only", "MIT/Apache-2.0", "(MIT OR Apache-2.0) AND Unicode-3.0", "GPL-2.0-only OR MIT AND Zlib"]
    {
        assert!(is_allowed(allowed), "{allowed}");
    }
    let apart = [
        "",
        "GPL-3.0-only",
        "MIT AND GPL-3.0-only",
        "(MIT",
        "MIT)",
        "GPL-2.0-only WITH Classpath-exception-2.0",
        "MIT OR",
        "MIT WITH x",
    ];
    for refused in apart {
        assert!(!is_allowed(refused), "{refused}");
    }
}
