//! `--part K/N`: a share of a study's cases, solved into a file of its own, and the files of such shares that the whole study takes over.

use std::path::{Path, PathBuf};

use hoopwright_study::rows::Part;

use crate::failure::Failure;
use crate::files;
use crate::growing::{UNFINISHED, unfinished};
use crate::output::Talk;

/// Which share of a study is solved.
#[derive(Clone, Copy, Debug, clap::Args)]
pub(crate) struct Share {
    /// Solve every N-th case only, from the K-th on, into a file of its own; the same command without --part joins the files of the parts.
    #[arg(long, value_name = "K/N")]
    pub(crate) part: Option<Part>,
}

/// The parts whose files lie beside that of a whole study.
pub(crate) struct Parts {
    /// Each part that has a file, and whether it is finished.
    found: Vec<(Part, bool)>,
    /// The name of the whole file.
    whole: PathBuf,
}

/// The file of a part.
pub(crate) fn file_of(whole: &Path, part: Part) -> PathBuf {
    whole.with_file_name(part.file(&files::name(whole)))
}

impl Parts {
    /// Looks for them.
    ///
    /// # Errors
    /// The folder cannot be read.
    pub(crate) fn beside(whole: &Path) -> Result<Self, Failure> {
        let (folder, name) = (whole.parent().unwrap_or(Path::new("")), files::name(whole));
        let failed = |source| Failure::ReadOutput { path: folder.to_owned(), source };
        let mut found: Vec<(Part, bool)> = Vec::new();
        for entry in std::fs::read_dir(folder).map_err(failed)? {
            let other = entry.map_err(failed)?.file_name().to_string_lossy().into_owned();
            let under_way = other.strip_suffix(UNFINISHED);
            let Some(part) = Part::of_file(&name, under_way.unwrap_or(&other)) else { continue };
            found.push((part, under_way.is_none()));
        }
        // Of a part that is solved further both files are there: what is under way comes first.
        found.sort();
        found.dedup_by_key(|(part, _)| *part);
        Ok(Self { found, whole: whole.to_owned() })
    }

    /// Their files, finished and under way, whether they are there or not.
    pub(crate) fn files(&self) -> Vec<PathBuf> {
        let both = |path: PathBuf| [unfinished(&path), path];
        self.found.iter().flat_map(|(part, _)| both(file_of(&self.whole, *part))).collect()
    }

    /// Says which parts are missing or not finished where so many cases have no row yet: they are solved here.
    pub(crate) fn tell(&self, open: usize, talk: &Talk) {
        let parts: Vec<Part> = self.found.iter().map(|(part, _)| *part).collect();
        let under_way = self.found.iter().filter(|(_, finished)| !finished).map(|(part, _)| *part);
        let lists = [("not there", Part::missing(&parts)), ("not finished", under_way.collect())];
        let told: Vec<String> =
            lists.iter().filter(|(_, parts)| !parts.is_empty()).map(|(what, parts)| list(what, parts)).collect();
        if open > 0 && !told.is_empty() {
            let what =
                "what only they would have solved is solved here; to solve it elsewhere, stop this run and run those parts";
            talk.note(&format!("{}: {what}", told.join(", ")));
        }
    }
}

/// Most parts that are named one by one.
const MOST_NAMED: usize = 8;

fn list(what: &str, parts: &[Part]) -> String {
    let named: Vec<String> = parts.iter().take(MOST_NAMED).map(Part::to_string).collect();
    let more = parts.len().saturating_sub(MOST_NAMED);
    let others = if more > 0 { format!(" and {more} more") } else { String::new() };
    format!("{} {}{others} {what}", if parts.len() == 1 { "part" } else { "parts" }, named.join(", "))
}
