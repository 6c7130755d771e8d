//! The register: every case that was ever solved for a list, a line each, with all digits, so that a list with new tyres, rims or tests solves
//! only what is new.
//!
//! | column | holds |
//! |---|---|
//! | `case_hash` | key of the case, by the bits of its numbers, and of the program's version |
//! | `first_lift [bar]`, ... | the numbers of every study, the fewest digits that tell each from every other; empty where there is none |
//! | `first_lift_reached`, ... | behind a number that may be a lower bound only: `yes`, or `no` for a bound |
//! | `outer_diameter [mm]` | over the tread at the rated pressure |
//! | `verdict` | findings in order of danger |
//! | `allowed`, `allowed_pressure [MPa]`, `allowed_because` | `up to`, `at least`, `never` or `unknown`; the pressure; what decides, or the reason |
//!
//! Lines are only ever added while a list is under way: a last line that was torn is left out.

use std::collections::HashMap;

use hoopwright_case::Case;
use hoopwright_solver::allowed::{Allowed, UpTo};
use hoopwright_study::column::{COLUMNS, Number};
use hoopwright_study::pairs::solve::CaseAnswer;
use hoopwright_study::rows::{KeyMaker, findings, of_findings, record};

use crate::data::{Head, NO, YES, flag, reached};

/// Cells behind the numbers.
const BEHIND: usize = 5;
/// Words for what is known of the allowed pressure.
const ALLOWED: [&str; 4] = ["up to", "at least", "never", "unknown"];

/// Answers by the hashes of their cases.
pub type Known = HashMap<String, CaseAnswer>;

/// A file that is no register of this program.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum RegisterError {
    /// The head is another one.
    #[error("its first line is not the head of a register of this version of the program")]
    Head,
    /// A line cannot be read.
    #[error("its line {0} is none of a register")]
    Line(usize),
}

/// The hash of a case. The title, which changes no number, is left out.
pub fn hash(case: &Case) -> String {
    KeyMaker::default().word(env!("CARGO_PKG_VERSION")).case(case).key().to_string()
}

/// The first line.
pub fn head() -> Vec<u8> {
    let mut heads = vec![Head::text("case_hash")];
    for column in COLUMNS {
        heads.push(Head::number(column.name, column.unit));
        heads.extend(column.bounded.then(|| Head::reached(column.name)));
    }
    heads.push(Head::number("outer_diameter", "mm"));
    heads.extend(["verdict", "allowed"].map(Head::text));
    heads.push(Head::number("allowed_pressure", "MPa"));
    heads.push(Head::text("allowed_because"));
    record(&heads.iter().map(Head::label).collect::<Vec<_>>())
}

/// The line of an answer.
pub fn line(hash: &str, answer: &CaseAnswer) -> Vec<u8> {
    let mut cells = vec![hash.to_owned()];
    for (column, number) in COLUMNS.iter().zip(&answer.numbers) {
        cells.push(digits(number.map(Number::value)));
        cells.extend(column.bounded.then(|| flag(reached(*number))));
    }
    cells.push(digits(answer.outer_diameter));
    cells.push(of_findings(&answer.findings));
    let (word, pressure, because) = match &answer.allowed {
        Allowed::UpTo(found) => (ALLOWED[usize::from(found.lower_bound)], Some(found.pressure), &found.decides),
        Allowed::Never(reason) => (ALLOWED[2], None, reason),
        Allowed::Unknown(reason) => (ALLOWED[3], None, reason),
    };
    cells.extend([word.to_owned(), digits(pressure), because.replace(['\n', '\r'], " ")]);
    record(&cells)
}

/// The whole file in the order of the hashes.
pub fn bytes(known: &Known) -> Vec<u8> {
    let mut all: Vec<(&String, &CaseAnswer)> = known.iter().collect();
    all.sort_by_key(|(hash, _)| hash.as_str());
    std::iter::once(head()).chain(all.into_iter().map(|(hash, answer)| line(hash, answer))).flatten().collect()
}

/// The answers of a file. A last line that was not written to its end is left out.
///
/// # Errors
/// It is no register.
pub fn read(file: &[u8]) -> Result<Known, RegisterError> {
    let head = head();
    let whole = file.iter().rposition(|byte| *byte == b'\n').map_or(&[][..], |end| &file[..=end]);
    if whole.is_empty() {
        return if head.starts_with(file) { Ok(Known::new()) } else { Err(RegisterError::Head) };
    }
    let body = whole.strip_prefix(head.as_slice()).ok_or(RegisterError::Head)?;
    let mut reader = csv::ReaderBuilder::new().has_headers(false).flexible(true).from_reader(body);
    let mut known = Known::new();
    for (i, record) in reader.records().enumerate() {
        let fault = RegisterError::Line(i + 2);
        let cells: Vec<String> = record.map_err(|_| fault)?.iter().map(str::to_owned).collect();
        let (hash, answer) = answer_of(&cells).ok_or(fault)?;
        known.insert(hash, answer);
    }
    Ok(known)
}

fn digits(number: Option<f64>) -> String {
    number.map_or(String::new(), |number| number.to_string())
}

/// A number, or none where the cell is empty; an outer none where it is neither.
fn number(cell: &str) -> Option<Option<f64>> {
    if cell.is_empty() { Some(None) } else { cell.parse().ok().filter(|x: &f64| x.is_finite()).map(Some) }
}

fn answer_of(cells: &[String]) -> Option<(String, CaseAnswer)> {
    let (hash, mut rest) = cells.split_first()?;
    let mut numbers = Vec::with_capacity(COLUMNS.len());
    for column in COLUMNS {
        let (cell, mut after) = rest.split_first()?;
        let value = number(cell)?;
        let mut bound = false;
        if column.bounded {
            let (reached, next) = after.split_first()?;
            (bound, after) = (reached == NO, next);
            let told = [YES, NO].contains(&reached.as_str());
            if told != value.is_some() {
                return None;
            }
        }
        numbers.push(value.map(|value| if bound { Number::Above(value) } else { Number::Found(value) }));
        rest = after;
    }
    let [outer, verdict, allowed, pressure, because] = rest else { return None };
    debug_assert!(rest.len() == BEHIND);
    let findings = findings(verdict);
    let allowed = match (ALLOWED.iter().position(|word| word == allowed)?, number(pressure)?) {
        (k @ (0 | 1), Some(pressure)) => Allowed::UpTo(UpTo { pressure, lower_bound: k == 1, decides: because.clone() }),
        (2, None) => Allowed::Never(because.clone()),
        (3, None) => Allowed::Unknown(because.clone()),
        _ => return None,
    };
    Some((hash.clone(), CaseAnswer { numbers, findings: findings?, allowed, outer_diameter: number(outer)? }))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use hoopwright_solver::result::Finding;

    fn answer(first: Option<Number>, allowed: Allowed) -> CaseAnswer {
        let mut numbers = vec![None; COLUMNS.len()];
        numbers[0] = first;
        CaseAnswer {
            numbers,
            findings: vec![Finding::MayRelease, Finding::OverMaximum],
            allowed,
            outer_diameter: Some(0.1 + 0.2),
        }
    }

    #[test]
    fn answers_come_back_to_the_last_digit() {
        let decides = "local \"release\", so".to_owned();
        let known: Known = [
            ("a", answer(Some(Number::Above(1.0 / 3.0)), Allowed::UpTo(UpTo { pressure: 0.523, lower_bound: true, decides }))),
            ("b", answer(Some(Number::Found(1e-17)), Allowed::Never("so".to_owned()))),
            ("c", answer(None, Allowed::Unknown("not\nfound".to_owned()))),
        ]
        .map(|(hash, answer)| (hash.to_owned(), answer))
        .into();
        let file = bytes(&known);
        let mut back = read(&file).unwrap();
        assert_eq!(bytes(&back), file);
        assert_eq!(back.remove("c").unwrap().allowed, Allowed::Unknown("not found".to_owned()));
        assert_eq!(back["a"], known["a"]);
        assert_eq!(back["b"], known["b"]);
    }

    #[test]
    fn a_torn_last_line_is_left_out_and_another_file_is_refused() {
        let known: Known = [("a".to_owned(), answer(None, Allowed::Never(String::new())))].into();
        let file = bytes(&known);
        let torn: Vec<u8> = [&file[..], b"b,1.5"].concat();
        assert_eq!(read(&torn).unwrap(), known);
        assert!(read(b"").unwrap().is_empty());
        assert_eq!(read(b"id,diameter [mm]\n"), Err(RegisterError::Head));
        let broken = String::from_utf8(file).unwrap().replace("may release", "may");
        assert_eq!(read(broken.as_bytes()), Err(RegisterError::Line(2)));
    }
}
