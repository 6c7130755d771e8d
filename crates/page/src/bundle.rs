//! The page as one file: the module, packed, and the sources in `static/` in their places.

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use flate2::Compression;
use flate2::write::GzEncoder;
use std::io::{self, Write};

const PAGE: &str = include_str!("../static/page.html");
const STYLE: &str = include_str!("../static/style.css");
const LABELS: &str = include_str!("../static/labels.json");
/// What runs in the worker; on the page it stands as text, from which the worker is made.
const WORKER: [&str; 2] = [include_str!("../static/engine.js"), include_str!("../static/worker.js")];
/// What runs beside the form, each after what it needs.
const SCRIPTS: [&str; 9] = [
    include_str!("../static/engine.js"),
    include_str!("../static/labels.js"),
    include_str!("../static/units.js"),
    include_str!("../static/history.js"),
    include_str!("../static/form.js"),
    include_str!("../static/elements.js"),
    include_str!("../static/answers.js"),
    include_str!("../static/files.js"),
    include_str!("../static/main.js"),
];

/// The page with a module.
///
/// # Errors
/// The module cannot be packed.
pub fn page(module: &[u8]) -> io::Result<String> {
    let mut packed = GzEncoder::new(Vec::new(), Compression::best());
    packed.write_all(module)?;
    let module = STANDARD.encode(packed.finish()?);
    let pieces = [
        ("{{style}}", STYLE),
        ("{{labels}}", LABELS),
        ("{{worker}}", &WORKER.concat()),
        ("{{scripts}}", &SCRIPTS.concat()),
        ("{{module}}", &module),
    ];
    Ok(pieces.into_iter().fold(PAGE.to_owned(), |page, (place, piece)| page.replacen(place, piece, 1)))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use serde_json::Value;
    use std::collections::BTreeSet;

    #[test]
    fn every_piece_has_its_place_and_ends_none_of_the_page() {
        let page = page(b"module").unwrap();
        assert!(!page.contains("{{"), "{}", page.split("{{").nth(1).unwrap_or_default());
        let of = |tag: &str| (page.matches(&format!("<{tag}")).count(), page.matches(&format!("</{tag}>")).count());
        assert_eq!((of("script"), of("style")), ((4, 4), (1, 1)));
        assert!(page.contains("H4sI"), "packed by gzip");
        for from in ["http:", "https:"] {
            assert!(!page.contains(&format!("\"{from}//")) && !page.contains(&format!("({from}//")), "the page asks the network");
        }
    }

    /// A language that lacks a label would show none, or another language's.
    #[test]
    fn every_language_has_every_label_that_the_sources_use_and_no_other() {
        let labels: Value = serde_json::from_str(LABELS).unwrap();
        let languages = labels.as_object().unwrap();
        let keys = |name: &str| languages[name].as_object().unwrap().keys().cloned().collect::<BTreeSet<_>>();
        assert!(languages.len() >= 2);
        for name in languages.keys() {
            assert_eq!(keys(name), keys("en"), "{name}");
            for (key, label) in languages[name].as_object().unwrap() {
                assert!(!label.as_str().unwrap().is_empty(), "{name}: {key}");
            }
        }
        let sources = [PAGE].into_iter().chain(SCRIPTS).collect::<String>();
        let unused: Vec<_> =
            keys("en").into_iter().filter(|key| !key.contains('/') && !sources.contains(&format!("\"{key}\""))).collect();
        assert_eq!(unused, Vec::<String>::new());
        let asked = sources.split("label(\"").skip(1).chain(sources.split("data-label=\"").skip(1));
        let unknown: Vec<_> = asked.filter_map(|rest| rest.split('"').next()).filter(|key| !keys("en").contains(*key)).collect();
        assert_eq!(unknown, Vec::<&str>::new());
    }
}
