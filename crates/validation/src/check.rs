//! Checks: a computed value beside its reference.

use crate::problem::{Problem, Reference, Tolerance};
use crate::problems;
use hoopwright_fem::error::SolveError;
use hoopwright_solver::estimate::netting::NettingError;

/// A value of the program, named as in its problem.
pub(crate) type Value = (String, f64);

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
            Tolerance::Relative(r) => (r * reference.value.abs(), format!("{} %", crate::table::short(100.0 * r))),
            Tolerance::Absolute(a) => (a, format!("{} {}", crate::table::short(a), reference.unit).trim_end().to_owned()),
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

/// Why the checks cannot be made. Each is a fault of the program.
#[derive(Debug, thiserror::Error)]
pub enum ValidationError {
    /// A problem's file cannot be used.
    #[error("validation/{problem}/problem.toml: {fault}")]
    Problem {
        /// Folder.
        problem: String,
        /// What is wrong with it.
        fault: String,
    },
    /// A reference which nothing computes, or a value without a reference.
    #[error("{problem}: {names} stand on one side only")]
    Unmatched {
        /// Folder.
        problem: String,
        /// The names.
        names: String,
    },
    /// A mesh with an inverted element.
    #[error("a validation mesh has an inverted element")]
    Mesh,
    /// No equilibrium.
    #[error(transparent)]
    Solve(#[from] SolveError),
    /// No membrane.
    #[error(transparent)]
    Netting(#[from] NettingError),
    /// The starter case does not read.
    #[error("the starter case cannot be used: {0}")]
    Case(String),
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
