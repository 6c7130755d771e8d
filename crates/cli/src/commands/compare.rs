//! `compare`: two cases or results side by side.

use std::path::{Path, PathBuf};

use hoopwright_report::compare::{Side, document, text};
use hoopwright_report::contents::question;
use hoopwright_report::html::Source;
use hoopwright_report::{html, json, svg};
use hoopwright_solver::assess::{Paths, assess};

use crate::case_file::CaseFile;
use crate::exit::Exit;
use crate::failure::Failure;
use crate::files::{self, REPORT};
use crate::out_folder::{Asked, OutFolder};
use crate::output::{self, Talk};

const EXAMPLES: &str = "\
Examples:
  hoopwright compare old.toml new.toml                 two cases, solved first
  hoopwright compare old/result.json new/result.json   two results of `hoopwright assess --out`
  hoopwright compare old new.toml --out out            a folder with a result and a case
A name that ends in .json, and a folder, is a result. Exit code 0 whatever the verdicts are, 3
if one of the two has no answer.";

/// Ending of the name of a result.
const RESULT: &str = "json";
/// Name of the result in the folder of an assessment.
const IN_FOLDER: &str = "result.json";
/// Largest result that is read, bytes.
const LARGEST: usize = 1 << 26;

/// Set two cases, or two results of assess, side by side: inputs that differ, numbers with their change, verdicts, pictures.
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub(crate) struct CompareArgs {
    /// Case file, result.json, or the folder of an assessment.
    #[arg(value_name = "A")]
    a: PathBuf,
    /// What it is compared with.
    #[arg(value_name = "B")]
    b: PathBuf,
    /// Folder for report.html, comparison.json and the pictures; made if it does not exist.
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// Replace results of another comparison in the folder.
    #[arg(long)]
    force: bool,
    /// Print comparison.json in place of the table.
    #[arg(long)]
    json: bool,
}

/// Files that it surely writes.
const MAIN: [&str; 2] = ["comparison.json", REPORT];

/// Reads or solves both, prints and writes the comparison.
pub(crate) fn run(args: &CompareArgs, talk: &Talk) -> Result<Exit, Failure> {
    let read = [Given::read(&args.a)?, Given::read(&args.b)?];
    let hashes = read.each_ref().map(|given| given.source.clone());
    let of = Asked { command: "compare", of: &args.a, question: Some(question(&hashes)), main: &MAIN, force: args.force };
    let folder = args.out.as_deref().map(|path| OutFolder::open(path, &of)).transpose()?;
    let [a, b] = read;
    let (a, b) = (a.side(talk)?, b.side(talk)?);
    if let Some(mut folder) = folder {
        let list = [
            ("compare_path.svg", svg::compare::paths(&a, &b)),
            ("compare_scale.svg", svg::compare::scale(&a, &b)),
            (MAIN[0], document(&a, &b)),
            (REPORT, html::comparison(&a, &b, &hashes)),
        ];
        folder.write(&list.map(|(name, text)| (name.to_owned(), text.into_bytes())), talk)?;
    }
    output::print(&if args.json { document(&a, &b) } else { text(&a, &b) })?;
    Ok(if a.is_unanswered() || b.is_unanswered() { Exit::NoEquilibrium } else { Exit::Done })
}

/// One side as given: a result, or a case that is to be solved.
struct Given {
    path: PathBuf,
    source: Source,
    what: What,
}

enum What {
    Result(Side),
    Case(Box<CaseFile>),
}

impl Given {
    fn read(path: &Path) -> Result<Self, Failure> {
        let path = if path.is_dir() { path.join(IN_FOLDER) } else { path.to_owned() };
        let name = path.display().to_string();
        if path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case(RESULT)) {
            let bytes =
                files::read_limited(&path, LARGEST).map_err(|source| Failure::ReadResult { path: path.clone(), source })?;
            let side = Side::read(&name, &bytes).map_err(|source| Failure::NoResult { path: path.clone(), source })?;
            return Ok(Self { source: Source::new(format!("result {name}"), &bytes), what: What::Result(side), path });
        }
        let file = CaseFile::open(&path)?;
        let given = file.given()?;
        let source = Source::new(format!("case file {name}"), given.text.as_bytes());
        Ok(Self { source, what: What::Case(Box::new(file)), path })
    }

    /// The result; a case is solved for it.
    fn side(self, talk: &Talk) -> Result<Side, Failure> {
        let file = match self.what {
            What::Result(side) => return Ok(side),
            What::Case(file) => file,
        };
        let (name, given) = (self.path.display().to_string(), file.given()?);
        talk.say(&format!("solving {name}"));
        let found = assess(&given.case, given.notes.clone(), Paths::SideBySide, &mut |_| ());
        let assessment = found.map_err(|source| Failure::Model { path: self.path.clone(), source })?;
        Side::read(&name, &json::assessment(&assessment)?).map_err(|source| Failure::NoResult { path: self.path, source })
    }
}
