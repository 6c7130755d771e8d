//! The axes of a map, from the table `[map]`: two inputs in equal steps, every value with every other.

use std::ops::Range;

use super::{Block, MISMATCH, NamedFile, Vary, sound};
use crate::case::{Case, HoopLaw};
use crate::check::case_of;
use crate::error::{CaseError, CaseErrors, Problem};
use crate::file::Attached;
use crate::file::{CaseFile, Entry, MAP, Named, Typed};
use crate::inputs::BEAD_STIFFNESS;

/// Key of the file with measured tyres.
const TYRES: &str = "tyres";
/// Values of each axis where the table names none.
const DEFAULT_COUNT: i64 = 20;
/// Default range of the bead stiffness as shares of the case's, and of the mismatch about the case's, mm.
const DEFAULT_STIFFNESS: [f64; 2] = [0.5, 1.5];
const DEFAULT_MISMATCH: [f64; 2] = [-0.8, 0.8];
/// Largest unevenness of an axis as a share of its step.
const UNEVEN: f64 = 1e-6;

/// A map of a case over two of its inputs.
#[derive(Clone, Debug)]
pub struct Map {
    /// The points as a grid of two inputs, each rising in equal steps: the first lies along the map, the second upward. Points are
    /// numbered with the second fastest.
    pub grid: Vary,
    /// File with measured tyres.
    pub tyres: Option<NamedFile>,
}

/// Reads the map of a case from its text; none if the file has no table `[map]`. Axes that are not named are the bead stiffness and the
/// mismatch about the case's own. `attached` are the files that the case names.
///
/// # Errors
/// Every fault found in the case and in the table; where there is none, every fault of the points, a fault that many share once.
pub fn map(text: &str, attached: Attached) -> Result<Option<Map>, CaseErrors> {
    let (file, structural) = CaseFile::parse(text)?;
    let file = file.with_attached(attached);
    let (case, mut errors) = match case_of(&file, structural) {
        Ok((case, _)) => (Some(case), Vec::new()),
        Err(errors) => (None, errors.0),
    };
    let Some((header, entries)) = &file.map else { return sound(errors).map(|()| None) };
    let (mut axes, mut tyres) = (Vec::new(), None);
    for named in entries {
        match (named.name.as_str(), &named.entry.value) {
            (TYRES, Typed::Text(name)) => {
                let (key, span) = (format!("{MAP}.{TYRES}"), named.entry.span.clone());
                tyres = Some(NamedFile { name: name.clone(), key, span });
            }
            (TYRES, other) => {
                let line = format!("{TYRES} = \"tyres.csv\"");
                let problem = Problem::WrongType { found: other.type_name(), wanted: "a file name in quotes", line };
                errors.push(CaseError::at(&file.text, format!("{MAP}.{TYRES}"), named.entry.span.clone(), problem));
            }
            _ => axes.push(named.clone()),
        }
    }
    if let (true, Some(case)) = (axes.is_empty(), &case) {
        if let HoopLaw::Table(_) = case.bead.law {
            errors.push(CaseError::at(&file.text, MAP.to_owned(), header.clone(), no_stiffness()));
            return sound(errors).map(|()| None);
        }
        axes = default_axes(case, header);
    }
    let before = errors.len();
    let block = Block::read(&file.text, (MAP, header.clone()), &axes, &mut errors);
    if errors.len() == before
        && let Err((span, problem)) = check_axes(&block, &axes, header)
    {
        errors.push(CaseError::at(&file.text, MAP.to_owned(), span, problem));
    }
    sound(errors)?;
    block.build(&file).map(|grid| Some(Map { grid, tyres }))
}

/// Why a bead given by a curve has no default axes.
fn no_stiffness() -> Problem {
    let remedy = "name two axes, as in mismatch = { from = \"0.4 mm\", to = \"2.8 mm\", count = 20 } and \
                  \"contact.friction\" = { from = 0.1, to = 0.5, count = 9 }";
    let sentence = "the bead is given by a curve and has no stiffness to vary, which is an axis unless others are named";
    Problem::Vary { sentence: sentence.to_owned(), remedy: remedy.to_owned() }
}

/// Bead stiffness and mismatch about those of the case.
fn default_axes(case: &Case, header: &Range<usize>) -> Vec<Named> {
    let kilonewton = case.bead.law.initial_stiffness() / 1e3;
    let mismatch = case.diameter_mismatch();
    let axis = |name: String, ends: [f64; 2], unit: &str| {
        let value = |typed| Entry { value: typed, span: header.clone() };
        let key = |name: &str, typed| Named { name: name.to_owned(), key: header.clone(), entry: value(typed) };
        let [from, to] = ends.map(|end| Typed::Text(format!("{end:.3} {unit}")));
        let range = vec![key("from", from), key("to", to), key("count", Typed::Integer(DEFAULT_COUNT))];
        Named { name, key: header.clone(), entry: value(Typed::Table(range)) }
    };
    vec![
        axis(BEAD_STIFFNESS.path(), DEFAULT_STIFFNESS.map(|share| share * kilonewton), "kN"),
        axis(MISMATCH.path(), DEFAULT_MISMATCH.map(|offset| mismatch + offset), "mm"),
    ]
}

/// Two axes, each rising in equal steps.
fn check_axes(block: &Block, axes: &[Named], header: &Range<usize>) -> Result<(), (Range<usize>, Problem)> {
    let fault = |span: &Range<usize>, sentence: String, remedy: &str| {
        Err((span.clone(), Problem::Vary { sentence, remedy: remedy.to_owned() }))
    };
    if block.inputs.len() != 2 {
        let sentence = format!("[{MAP}] names {} inputs where it needs two axes", block.inputs.len());
        return fault(header, sentence, "name two inputs, or none for bead.stiffness and mismatch");
    }
    for ((input, values), named) in block.inputs.iter().zip(axes) {
        let numbers: Vec<f64> = values.iter().map(|value| value.number).collect();
        let (first, last) = (numbers[0], numbers[numbers.len() - 1]);
        let step = (last - first) / (numbers.len().max(2) - 1) as f64;
        let even = numbers.iter().enumerate().all(|(k, x)| (x - first - k as f64 * step).abs() <= UNEVEN * step.abs());
        if numbers.len() < 2 || step <= 0.0 || !even {
            let sentence = format!("the values of {} do not rise in equal steps", input.path());
            return fault(&named.entry.span, sentence, "write a range with `from` below `to` and a `count` of 2 or more");
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::starter::starter;

    /// A starter case whose bead is given by a curve, with a map.
    fn with_curve(axes: &str) -> Result<Option<Map>, CaseErrors> {
        let curve = "\ncurve = [[\"0 %\", \"0 N\"], [\"1 %\", \"4 kN\"]]\n";
        let bead =
            starter().split_once("[bead]").unwrap().1.lines().find(|line| line.starts_with("stiffness = ")).unwrap().to_owned();
        let text = starter().replacen(&format!("\n{bead}\n"), curve, 1);
        map(&format!("{text}\n[map]\n{axes}"), Attached::new())
    }

    #[test]
    fn a_bead_given_by_a_curve_needs_named_axes() {
        let errors = with_curve("").unwrap_err();
        let error = &errors.0[0];
        assert_eq!((errors.0.len(), error.key.as_str()), (1, MAP));
        assert!(error.message().contains("has no stiffness to vary") && error.remedy().starts_with("name two axes"), "{errors}");
        let named = "mismatch = [\"1 mm\", \"2 mm\"]\n\"contact.friction\" = [0.1, 0.2]";
        assert_eq!(with_curve(named).unwrap().unwrap().grid.variants.len(), 4);
    }
}
