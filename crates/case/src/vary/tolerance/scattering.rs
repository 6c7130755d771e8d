//! Which inputs may scatter: those of the case that are numbers, and those of the service that play a part in what is judged.

use super::Uncertain;
use crate::error::Problem;
use crate::file::{CaseFile, Named};
use crate::inputs::service::{HOT_FRICTION, SERVICE_INPUTS};
use crate::inputs::{CONTACT_FRICTION, INPUTS, Input, Kind};
use crate::nearest::nearest;
use crate::service::Condition;
use crate::vary;

/// The input of a key's path, if it may scatter where a condition is judged.
pub(super) fn input_of(named: &Named, condition: Condition) -> Result<&'static Input, Problem> {
    let path = named.name.as_str();
    if let Some(problem) = vary::unquoted(named, INPUTS).or_else(|| vary::unquoted(named, SERVICE_INPUTS)) {
        return Err(problem);
    }
    if let Some(input) = SERVICE_INPUTS.iter().copied().find(|input| input.path() == path) {
        return if condition.takes(input) { Ok(input) } else { Err(no_part(input, condition)) };
    }
    if path.starts_with("service.") {
        let paths: Vec<String> = SERVICE_INPUTS.iter().map(|input| input.path()).collect();
        let nearest = nearest(path, paths.iter().map(String::as_str)).map(str::to_owned);
        return Err(Problem::UnknownPath { path: path.to_owned(), nearest });
    }
    vary::input_of(path).and_then(no_count)
}

/// An input of the service whose value changes nothing.
fn no_part(input: &Input, condition: Condition) -> Problem {
    let taking =
        Condition::ALL.into_iter().filter(|other| other.takes(input)).map(|other| format!("condition = \"{}\"", other.name()));
    Problem::Vary {
        sentence: format!("{} plays no part in the condition \"{}\", which is judged", input.path(), condition.name()),
        remedy: format!("write {}, or drop its spread", taking.collect::<Vec<_>>().join(" or ")),
    }
}

fn no_count(input: &'static Input) -> Result<&'static Input, Problem> {
    if !matches!(input.kind, Kind::Count { .. }) {
        return Ok(input);
    }
    let sentence = format!("`{}` is a count and does not scatter", input.path());
    Err(Problem::Vary { sentence, remedy: "vary it by a table [vary], or give a case for each".to_owned() })
}

/// Refuses a friction that scatters where another one takes its place.
pub(super) fn check(file: &CaseFile<'_>, condition: Condition, inputs: &[Uncertain]) -> Result<(), Problem> {
    let scatters = |input: &Input| inputs.iter().any(|u| u.input.path() == input.path());
    if !(condition.is_hot() && scatters(&CONTACT_FRICTION) && (file.get(&HOT_FRICTION).is_some() || scatters(&HOT_FRICTION))) {
        return Ok(());
    }
    Err(Problem::Vary {
        sentence: format!("{} plays no part when hot: {} takes its place", CONTACT_FRICTION.path(), HOT_FRICTION.path()),
        remedy: format!("let {} scatter in its place, or drop that", HOT_FRICTION.path()),
    })
}
