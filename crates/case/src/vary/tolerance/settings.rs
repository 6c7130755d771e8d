//! What is asked of the inputs that scatter, and how they go together.

use super::{Fault, Uncertain};
use crate::error::Problem;
use crate::file::{Entry, Named, Typed};
use crate::nearest::nearest;
use crate::service::Condition;
use crate::units::{Dimension, parse};

const KEYS: [&str; 7] = ["target", "seed", "interval", "most_solves", "choose", "correlation", CONDITION];
/// Key of the condition in service that is judged.
const CONDITION: &str = "condition";
const INTERVAL: f64 = 0.2;
const MOST_SOLVES: usize = 600;

/// Whether a key of the table is no input.
pub(super) fn is_setting(key: &str) -> bool {
    KEYS.contains(&key)
}

/// The condition in service that is judged, [`Condition::New`] where none is given; faults are reported by key.
pub(super) fn condition(entries: &[Named], report: &mut impl FnMut(&str, Fault)) -> Condition {
    let Some(named) = entries.iter().find(|named| named.name == CONDITION) else { return Condition::New };
    let problem = match &named.entry.value {
        Typed::Text(word) => match Condition::ALL.into_iter().find(|condition| condition.name() == word) {
            Some(condition) => return condition,
            None => Problem::NotAChoice {
                given: word.clone(),
                range: Condition::WORDS.map(|word| format!("\"{word}\"")).join(" or "),
                nearest: nearest(word, Condition::WORDS.into_iter()),
            },
        },
        other => Problem::WrongType {
            found: other.type_name(),
            wanted: "a condition in quotes",
            line: format!("{CONDITION} = \"{}\"", Condition::HotNew.name()),
        },
    };
    report(CONDITION, (named.entry.span.clone(), problem));
    Condition::New
}

/// The inputs that scatter.
pub(super) struct Known<'a> {
    pub(super) inputs: &'a [Uncertain],
    /// Whether every spread of the table is among them. One that was refused is no fault of what names it.
    pub(super) all: bool,
}

/// The settings.
pub(super) struct Settings {
    pub(super) target: Option<f64>,
    pub(super) seed: u32,
    pub(super) interval: f64,
    pub(super) most_solves: usize,
    pub(super) chosen: Option<usize>,
    pub(super) correlation: Vec<(usize, usize, f64)>,
}

impl Settings {
    /// Reads them; faults are reported by key.
    pub(super) fn read(entries: &[Named], known: &Known<'_>, report: &mut impl FnMut(&str, Fault)) -> Self {
        let mut settings =
            Self { target: None, seed: 1, interval: INTERVAL, most_solves: MOST_SOLVES, chosen: None, correlation: Vec::new() };
        for named in entries.iter().filter(|named| is_setting(&named.name)) {
            if let Err(fault) = settings.take(named, known) {
                report(&named.name, fault);
            }
        }
        if settings.chosen.is_some() && settings.target.is_none() {
            let key = entries.iter().find(|named| named.name == "choose").map_or(0..0, |named| named.key.clone());
            report(
                "choose",
                (key, fault("a spread is to be sized, and no target is given", "add target = 1e-5, or drop `choose`")),
            );
        }
        settings
    }

    fn take(&mut self, named: &Named, known: &Known<'_>) -> Result<(), Fault> {
        let here = |problem: Problem| (named.entry.span.clone(), problem);
        match named.name.as_str() {
            "target" => self.target = Some(share(&named.entry, (1e-12, 0.5), "1e-12 to 0.5", "target = 1e-5").map_err(here)?),
            "interval" => {
                self.interval = share(&named.entry, (0.02, 1.0), "2 % to 100 %", "interval = \"20 %\"").map_err(here)?;
            }
            "seed" => self.seed = whole(&named.entry, 0, i64::from(u32::MAX), "seed = 1").map_err(here)? as u32,
            "most_solves" => self.most_solves = whole(&named.entry, 50, 100_000, "most_solves = 600").map_err(here)? as usize,
            "choose" => self.chosen = input(&named.entry, known)?,
            CONDITION => (),
            _ => self.correlation = correlation(&named.entry, known)?,
        }
        Ok(())
    }
}

fn fault(sentence: impl Into<String>, remedy: impl Into<String>) -> Problem {
    Problem::Vary { sentence: sentence.into(), remedy: remedy.into() }
}

/// A pure number in a range.
fn share(entry: &Entry, (min, max): (f64, f64), range: &str, line: &str) -> Result<f64, Problem> {
    let value = match &entry.value {
        Typed::Float(x) => *x,
        Typed::Integer(n) => *n as f64,
        Typed::Text(text) => parse(text, Dimension::Number)?,
        other => {
            return Err(Problem::WrongType { found: other.type_name(), wanted: "a number", line: line.to_owned() });
        }
    };
    let inside = (min..=max).contains(&value);
    if inside { Ok(value) } else { Err(Problem::OutOfRange { given: value.to_string(), range: range.to_owned() }) }
}

fn whole(entry: &Entry, min: i64, max: i64, line: &str) -> Result<i64, Problem> {
    match entry.value {
        Typed::Integer(n) if (min..=max).contains(&n) => Ok(n),
        Typed::Integer(n) => Err(Problem::OutOfRange { given: n.to_string(), range: format!("{min} to {max}") }),
        ref other => Err(Problem::WrongType { found: other.type_name(), wanted: "a whole number", line: line.to_owned() }),
    }
}

/// The number of an input by its path; none where its spread may be one that was refused.
fn input(entry: &Entry, known: &Known<'_>) -> Result<Option<usize>, Fault> {
    let paths: Vec<String> = known.inputs.iter().map(|u| u.input.path()).collect();
    let Typed::Text(path) = &entry.value else {
        let line = "\"bead.diameter\"".to_owned();
        return Err((
            entry.span.clone(),
            Problem::WrongType { found: entry.value.type_name(), wanted: "an input in quotes", line },
        ));
    };
    let found = paths.iter().position(|known| known == path);
    if found.is_some() || !known.all {
        return Ok(found);
    }
    let near = nearest(path, paths.iter().map(String::as_str));
    let remedy = near.map_or_else(|| format!("write one of {}", paths.join(", ")), |near| format!("did you mean \"{near}\"?"));
    Err((entry.span.clone(), fault(format!("`{path}` has no spread in this table"), remedy)))
}

/// Triples of two inputs and the correlation of their values.
fn correlation(entry: &Entry, known: &Known<'_>) -> Result<Vec<(usize, usize, f64)>, Fault> {
    const REMEDY: &str = "write, for instance, correlation = [[\"bead.diameter\", \"bead.stiffness\", 0.3]]";
    let Typed::List(list) = &entry.value else {
        return Err((
            entry.span.clone(),
            fault(format!("{} where a list of triples is needed", entry.value.type_name()), REMEDY),
        ));
    };
    let mut pairs: Vec<(usize, usize, f64)> = Vec::new();
    for item in list {
        let say = |sentence: String| (item.span.clone(), fault(sentence, REMEDY));
        let triple = if let Typed::List(triple) = &item.value { &triple[..] } else { &[] };
        let [a, b, rho] = triple else {
            return Err(say("two inputs and their correlation are needed".to_owned()));
        };
        let (a, b) = (input(a, known)?, input(b, known)?);
        let rho = match rho.value {
            Typed::Float(x) => x,
            Typed::Integer(n) => n as f64,
            _ => return Err(say(format!("{} where a correlation is needed", rho.value.type_name()))),
        };
        let (Some(a), Some(b)) = (a, b) else { continue };
        if a == b {
            return Err(say("an input is correlated with itself".to_owned()));
        }
        if rho.is_nan() || rho.abs() >= 1.0 {
            return Err(say(format!("a correlation of {rho} does not lie between -1 and 1")));
        }
        if pairs.iter().any(|(c, d, _)| (*c, *d) == (a, b) || (*c, *d) == (b, a)) {
            return Err(say("this pair of inputs is named twice".to_owned()));
        }
        pairs.push((a, b, rho));
    }
    if positive_definite(&pairs, known.inputs.len()) {
        return Ok(pairs);
    }
    let sentence = "these correlations cannot all hold at once: their matrix is not positive definite";
    Err((entry.span.clone(), fault(sentence, "bring them closer to zero")))
}

/// Whether a Cholesky decomposition of the correlation matrix exists.
fn positive_definite(pairs: &[(usize, usize, f64)], n: usize) -> bool {
    let mut l = vec![vec![0.0; n]; n];
    let entry = |i: usize, j: usize| {
        let found = pairs.iter().find(|(a, b, _)| (*a, *b) == (i, j) || (*a, *b) == (j, i));
        if i == j { 1.0 } else { found.map_or(0.0, |p| p.2) }
    };
    for i in 0..n {
        for j in 0..=i {
            let rest: f64 = entry(i, j) - (0..j).map(|k| l[i][k] * l[j][k]).sum::<f64>();
            if i == j && rest <= 1e-9 {
                return false;
            }
            l[i][j] = if i == j { rest.sqrt() } else { rest / l[j][j] };
        }
    }
    true
}
