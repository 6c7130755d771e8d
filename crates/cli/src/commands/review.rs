//! `review`: the case as resolved.

use std::path::{Path, PathBuf};

use hoopwright_case::inputs::INPUTS;
use hoopwright_case::{self as case, CaseErrors, Map, NamedFile, Row, SERVICE_INPUTS, Tolerance};
use hoopwright_report::html::Given;
use hoopwright_report::text;
use hoopwright_solver::estimate::estimate;

use super::map::read_tyres;
use super::tolerance::read_measured;
use crate::case_file::CaseFile;
use crate::exit::Exit;
use crate::failure::Failure;
use crate::output::{self, Talk};

const EXAMPLES: &str = "\
Examples:
  hoopwright review tyre.toml
  hoopwright review -v tyre.toml    with the meaning of each input
A case file may have 1 MB and 10 000 variants or points, a drawing or mesh 16 MB and 40 000
triangles, a table of measured tyres or values 16 MB and 100 000 rows.";

/// Width of the value column, characters; longer values (titles, hoop laws) stick out.
const WIDEST_VALUE: usize = 20;

/// Read a case without solving it: faults, all defaults, closed-form estimate; print it with its units, all defaults filled in.
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub(crate) struct ReviewArgs {
    /// Case file.
    #[arg(value_name = "CASE")]
    case: PathBuf,
}

/// Reads, checks and prints the case.
pub(crate) fn run(args: &ReviewArgs, talk: &Talk) -> Result<Exit, Failure> {
    let file = CaseFile::open(&args.case)?;
    let Given { case, mut notes, text: typed, .. } = file.given()?;
    let estimate = match estimate(&case) {
        Ok(estimate) => text::estimate(&estimate),
        Err(reason) => note(&format!("no closed-form estimate: {reason}")),
    };
    let variants = file.variants()?.map_or(String::new(), |vary| text::variants(&vary));
    let (map, tolerance) = (file.map()?, file.tolerance()?);
    notes.extend(read_named(&args.case, typed, (map.as_ref(), tolerance.as_ref()))?);
    let map = map.map_or(String::new(), |map| text::map(&map));
    let tolerance = tolerance.map_or(String::new(), |tolerance| text::tolerance(&tolerance));
    let sizes = file.stated_sizes()?.map_or(String::new(), |sizes| text::sizes(&sizes));
    let service = file.stated_service()?.map_or(Vec::new(), |service| service.rows());
    let rows: Vec<Row> = case::resolved(&case).into_iter().chain(service).collect();
    let sections = [inputs(&rows, talk.is_verbose()), estimate, variants, map, tolerance, sizes, notes_of(&notes)];
    let printed: Vec<String> = sections.into_iter().filter(|section| !section.is_empty()).collect();
    output::print(&printed.join("\n"))?;
    Ok(Exit::Done)
}

/// Reads the tables of data that the case, whose `text` is given, names; a sentence on each of which columns are not used.
///
/// # Errors
/// Every file that cannot be used, at the place where it is named.
fn read_named(path: &Path, text: String, (map, tolerance): (Option<&Map>, Option<&Tolerance>)) -> Result<Vec<String>, Failure> {
    let fault = |file: &NamedFile, failure: &Failure| file.fault(&text, failure.to_string(), failure.remedy());
    let (mut faults, mut notes) = (Vec::new(), Vec::new());
    if let Some((map, file)) = map.and_then(|map| Some((map, map.tyres.as_ref()?))) {
        match read_tyres(path, &text, map) {
            Ok(tyres) => notes.extend(tyres.into_iter().flat_map(|tyres| tyres.notes)),
            Err(failure) => faults.push(fault(file, &failure)),
        }
    }
    for uncertain in tolerance.iter().flat_map(|tolerance| &tolerance.inputs) {
        let (Some(tolerance), Some(file)) = (tolerance, uncertain.measured()) else { continue };
        let read = read_measured(path, tolerance, uncertain, &mut Vec::new());
        faults.extend(read.err().map(|failure| fault(&file, &failure)));
    }
    faults.sort_by_key(|fault| fault.span.start);
    if faults.is_empty() { Ok(notes) } else { Err(Failure::Case { path: path.to_owned(), text, errors: CaseErrors(faults) }) }
}

/// The resolved inputs in aligned columns: table, key, value with unit, and the meaning if wanted.
fn inputs(rows: &[Row], with_meaning: bool) -> String {
    let width = |column: fn(&Row) -> &str| rows.iter().map(|row| column(row).chars().count()).max().unwrap_or(0);
    let (table_width, key_width) = (width(|row| row.0), width(|row| row.1));
    let value_width = width(|row| &row.2).min(WIDEST_VALUE);
    let mut text = String::new();
    let mut previous = "";
    for (table, key, value) in rows {
        let shown = if *table == previous { "" } else { table };
        previous = table;
        let meaning = if with_meaning { meaning_of(table, key) } else { "" };
        let line = format!("{shown:table_width$}  {key:key_width$}  {value:value_width$}  {meaning}");
        text.push_str(line.trim_end());
        text.push('\n');
    }
    text
}

fn meaning_of(table: &str, key: &str) -> &'static str {
    INPUTS.iter().chain(SERVICE_INPUTS).find(|input| input.section == table && input.key == key).map_or("", |input| input.meaning)
}

/// The notes, one after the other.
fn notes_of(notes: &[String]) -> String {
    notes.iter().map(|sentence| note(sentence)).collect()
}

fn note(sentence: &str) -> String {
    text::wrapped("Note:", 2, sentence) + "\n"
}
