//! Checks: a computed value beside its reference.

use crate::error::{ValidationError, Value};
use crate::problem::{Problem, Reference, Tolerance};
use crate::problems;

/// A computed value held against its reference.
#[derive(Clone, Debug, PartialEq)]
pub struct Check {
    /// Heading under which the problem stands.
    pub group: String,
    /// Problem (its folder) and quantity: `problem/quantity`.
    pub name: String,
    /// Unit of value and reference.
    pub unit: String,
    /// What the program computes.
    pub value: f64,
    /// What it is held against.
    pub reference: f64,
    /// Largest difference accepted, in the same unit.
    pub tolerance: f64,
    /// The tolerance as stated: "0.2 %" or with the unit.
    pub stated: String,
    /// Where the reference comes from.
    pub source: String,
}

impl Check {
    fn new(problem: &Problem, reference: &Reference, value: f64) -> Self {
        let (tolerance, stated) = match reference.tolerance {
            Tolerance::Relative(r) => (r * reference.value.abs(), format!("{} %", short(100.0 * r))),
            Tolerance::Absolute(a) => (a, format!("{} {}", short(a), reference.unit).trim_end().to_owned()),
        };
        Self {
            group: problem.group.clone(),
            name: format!("{}/{}", problem.name, reference.name),
            unit: reference.unit.clone(),
            value,
            reference: reference.value,
            tolerance,
            stated,
            source: reference.source.clone(),
        }
    }

    /// Value less reference.
    pub fn difference(&self) -> f64 {
        self.value - self.reference
    }

    /// Whether the difference is within the tolerance; a value that is no number is not.
    pub fn passes(&self) -> bool {
        self.difference().abs() <= self.tolerance
    }
}

/// Makes all checks, in the order of the groups.
///
/// # Errors
/// [`ValidationError`] where a value cannot be computed or has no reference.
pub fn run() -> Result<Vec<Check>, ValidationError> {
    let mut checks = Vec::new();
    for (name, text, values) in problems::ALL {
        checks.extend(pair(&Problem::read(name, text)?, &values()?)?);
    }
    Ok(checks)
}

/// Pairs values and references by name.
fn pair(problem: &Problem, values: &[Value]) -> Result<Vec<Check>, ValidationError> {
    let value_of = |name: &str| values.iter().find(|v| v.0 == name).map(|v| v.1);
    let missing = problem.references.iter().map(|r| &r.name).filter(|n| value_of(n).is_none());
    let extra = values.iter().map(|v| &v.0).filter(|n| !problem.references.iter().any(|r| r.name == **n));
    let names: Vec<&str> = missing.chain(extra).map(String::as_str).collect();
    if !names.is_empty() {
        return Err(ValidationError::Unmatched { problem: problem.name.clone(), names: names.join(", ") });
    }
    Ok(problem.references.iter().filter_map(|r| Some(Check::new(problem, r, value_of(&r.name)?))).collect())
}

/// A number with six significant digits, or five and an exponent, without zeros at its end.
pub(crate) fn short(x: f64) -> String {
    let size = x.abs();
    if x == 0.0 {
        "0".to_owned()
    } else if (1e-3..1e6).contains(&size) {
        let digits = (5 - size.log10().floor() as i32).max(0) as usize;
        let text = format!("{x:.digits$}");
        if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
    } else {
        let text = format!("{x:.4e}");
        let (mantissa, exponent) = text.split_once('e').unwrap_or((&text, "0"));
        format!("{}e{exponent}", mantissa.trim_end_matches('0').trim_end_matches('.'))
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic)]
    use super::*;

    const TEXT: &str =
        "group = \"g\"\nsource = \"s\"\nrelative = 0.01\n[[check]]\nname = \"a\"\nunit = \"mm\"\nreference = 2.0\n";

    #[test]
    fn names_on_one_side_only_are_refused() {
        let problem = Problem::read("p", TEXT).unwrap();
        let names = |values: &[Value]| match pair(&problem, values) {
            Err(ValidationError::Unmatched { names, .. }) => names,
            other => panic!("{other:?}"),
        };
        assert_eq!(names(&[]), "a");
        assert_eq!(names(&[("a".to_owned(), 2.0), ("b".to_owned(), 2.0)]), "b");
    }

    #[test]
    fn the_tolerance_is_kept_to() {
        let problem = Problem::read("p", TEXT).unwrap();
        let passes = |value: f64| pair(&problem, &[("a".to_owned(), value)]).unwrap()[0].passes();
        assert!(passes(2.019) && passes(1.981));
        assert!(!passes(2.021) && !passes(1.979) && !passes(f64::NAN));
    }

    #[test]
    fn every_check_passes_and_there_are_forty_at_least() {
        let checks = run().unwrap();
        let failing: Vec<_> = checks.iter().filter(|c| !c.passes()).map(|c| (&c.name, c.value, c.reference)).collect();
        assert!(failing.is_empty(), "{failing:#?}");
        assert!(checks.len() >= 40, "{}", checks.len());
        let stored = fixed(include_str!("../../../validation/README.md"));
        let fresh = crate::table::markdown(&checks);
        assert!(fixed(&fresh).iter().all(|row| stored.contains(row)), "validation/README.md is stale:\n{fresh}");
        let summary = crate::table::summary(&checks);
        assert!(include_str!("../../../validation/README.md").contains(&summary), "validation/README.md is stale:\n{summary}");
    }

    /// The rows of a table without what may differ in a last digit from machine to machine: value and difference.
    fn fixed(table: &str) -> Vec<Vec<&str>> {
        table
            .lines()
            .map(|line| line.split(" | ").enumerate().filter(|(k, _)| *k != 2 && *k != 4).map(|(_, c)| c).collect())
            .collect()
    }
}
