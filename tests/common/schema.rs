//! Every JSON document that a test prints has the keys that its schema's version is known for.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::sync::LazyLock;

use serde_json::Value;

use super::project;

/// The keys at the top of a document, by its schema.
static KNOWN: LazyLock<BTreeMap<String, BTreeSet<String>>> = LazyLock::new(|| {
    let text = fs::read_to_string(project().join("tests/data/schemas.txt")).unwrap();
    let lines = text.lines().filter(|line| !line.starts_with('#')).map(|line| line.split_once(": ").unwrap());
    lines.map(|(schema, keys)| (schema.to_owned(), keys.split(' ').map(str::to_owned).collect())).collect()
});

/// Holds a document against the list; what names no schema is none of the program's.
pub(crate) fn check(text: &str) {
    let Ok(Value::Object(document)) = serde_json::from_str(text) else { return };
    let Some(schema) = document.get("schema").and_then(Value::as_str) else { return };
    let keys: BTreeSet<String> = document.keys().cloned().collect();
    let known = KNOWN.get(schema).unwrap_or_else(|| panic!("tests/data/schemas.txt does not hold {schema}"));
    let (new, gone): (Vec<_>, Vec<_>) = (keys.difference(known).collect(), known.difference(&keys).collect());
    assert!(
        new.is_empty() && gone.is_empty(),
        "{schema} has {new:?} more and {gone:?} less than its version: raise it as crates/report/src/version.rs says"
    );
}
