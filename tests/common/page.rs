//! What must hold of every page: whole, alone, every picture with a title, nothing twice.

use std::collections::BTreeSet;

use sha2::{Digest, Sha256};

/// Values of an attribute, as in `id="..."`.
fn attributes<'a>(page: &'a str, name: &str) -> Vec<&'a str> {
    page.split(&format!(" {name}=\"")).skip(1).filter_map(|rest| rest.split('"').next()).collect()
}

/// Asserts that a page is whole and needs nothing else, has so many pictures, each with a title, no script, and what belongs on every page.
pub(crate) fn check(page: &str, pictures: usize) {
    check_with_scripts(page, pictures, 0);
}

/// As [`check`], with so many scripts in it.
pub(crate) fn check_with_scripts(page: &str, pictures: usize, scripts: usize) {
    assert_eq!(page.matches("<script").count(), scripts);
    assert!(page.starts_with("<!DOCTYPE html>") && page.ends_with("</html>"), "not whole");
    for outside in ["http:", "https:", "src=", "href=", "@import", "<link", "NaN"] {
        assert!(!page.contains(outside), "{outside}");
    }
    // A figure has one picture, which may have others within it.
    let figures = page.split("<figure").skip(1).filter_map(|rest| rest.split("</figure>").next());
    let found: Vec<&str> = figures.filter_map(|figure| figure.split_once("<svg ").map(|(_, picture)| picture)).collect();
    assert_eq!([found.len(), page.matches("role=\"img\"").count()], [pictures; 2]);
    for picture in found {
        let title = picture.split_once("<title>").and_then(|(_, rest)| rest.split_once("</title>"));
        assert!(picture.contains("role=\"img\"") && title.is_some_and(|(title, _)| !title.trim().is_empty()), "{picture:.200}");
    }
    assert_eq!(page.matches("<figcaption>").count(), pictures, "a picture without words below it");
    let ids = attributes(page, "id");
    assert_eq!(ids.len(), ids.iter().collect::<BTreeSet<_>>().len(), "an id twice: {ids:?}");
    for used in page.split("url(").skip(1).filter_map(|rest| rest.split(')').next()) {
        assert!(used.strip_prefix('#').is_some_and(|id| ids.contains(&id)), "url({used}) is nowhere");
    }
    for part in ["class=\"verdict", "local codes", "water, not air", "Nobody may take this report", "calculated by", "checked by"]
    {
        assert!(page.contains(part), "{part}");
    }
    assert!(page.contains(concat!("hoopwright ", env!("CARGO_PKG_VERSION"))), "no version");
}

/// Asserts that a page names the hash of a file.
pub(crate) fn hash(page: &str, what: &str, bytes: &[u8]) {
    let sum: String = Sha256::digest(bytes).iter().map(|byte| format!("{byte:02x}")).collect();
    let row = page.split_once(&format!("SHA-256 of the {what}</td>")).unwrap_or_else(|| panic!("no {what}")).1;
    assert!(row.split("</tr>").next().is_some_and(|cells| cells.contains(&sum)), "{what}: {row:.120}");
}
