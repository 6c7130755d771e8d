//! How one input scatters, as typed.

use super::Fault;
use crate::error::Problem;
use crate::file::{Entry, Named, Typed};
use crate::inputs::{Input, Kind};
use crate::typed::parse;
use crate::units::{Dimension, ONE};
use crate::vary::values::{number, tidy};

/// Keys of a spread.
const KEYS: [&str; 7] = ["mean", "deviation", "within", "between", "mode", "values", "column"];

/// How an input scatters, in its unit.
#[derive(Clone, Debug, PartialEq)]
pub enum Spread {
    /// Normal, cut off where ends are given.
    Normal {
        /// Mean before it is cut off.
        mean: f64,
        /// Standard deviation before it is cut off.
        deviation: f64,
        /// Ends.
        within: Option<[f64; 2]>,
    },
    /// Every value between two ends alike.
    Uniform([f64; 2]),
    /// Rising straight from one end to the most frequent value and falling straight to the other.
    Triangular {
        /// Ends.
        ends: [f64; 2],
        /// Most frequent value, between them or at one of them.
        mode: f64,
    },
    /// As measured.
    Measured {
        /// File as named in the table, relative to the case file.
        file: String,
        /// Name of its column without unit.
        column: String,
    },
}

impl Spread {
    /// Mean of a normal spread, middle of a uniform one, mode of a triangular one; none of measured values.
    pub fn middle(&self) -> Option<f64> {
        match self {
            Self::Normal { mean, .. } => Some(*mean),
            Self::Uniform([a, b]) => Some(0.5 * (a + b)),
            Self::Triangular { mode, .. } => Some(*mode),
            Self::Measured { .. } => None,
        }
    }

    /// The ends; so many deviations about the mean where there are none. None of measured values.
    pub fn reach(&self, deviations: f64) -> Option<[f64; 2]> {
        match self {
            Self::Normal { within: Some(ends), .. } | Self::Uniform(ends) | Self::Triangular { ends, .. } => Some(*ends),
            Self::Normal { mean, deviation, .. } => Some([mean - deviations * deviation, mean + deviations * deviation]),
            Self::Measured { .. } => None,
        }
    }
}

/// Reads the spread of an input; `own` is the case's value of it.
///
/// # Errors
/// Every fault, with its place.
pub(super) fn read(input: &'static Input, own: Option<f64>, entry: &Entry) -> Result<Spread, Vec<Fault>> {
    let Typed::Table(keys) = &entry.value else {
        let wanted = "a table that tells how it scatters";
        let line = format!("\"{}\" = {}", input.path(), examples(input));
        return Err(vec![(entry.span.clone(), Problem::WrongType { found: entry.value.type_name(), wanted, line })]);
    };
    let mut reading = Reading { input, entry, keys, faults: Vec::new() };
    for named in keys.iter().filter(|named| !KEYS.contains(&named.name.as_str())) {
        reading.say(named.key.clone(), format!("a spread has no key `{}`", named.name));
    }
    let spread = reading.spread(own);
    match spread {
        Some(spread) if reading.faults.is_empty() => Ok(spread),
        _ => Err(reading.faults),
    }
}

/// Bytes of the name of the file of measured values in a spread.
pub(super) fn place_of_file(entry: &Entry) -> Option<std::ops::Range<usize>> {
    let Typed::Table(keys) = &entry.value else { return None };
    keys.iter().find(|named| named.name == "values").map(|named| named.entry.span.clone())
}

/// Forms of a spread.
fn examples(input: &Input) -> String {
    let value = input.line().replacen(&format!("{} = ", input.key), "", 1);
    let symbol = input.unit().unwrap_or(ONE).symbol;
    let symbol = if symbol.is_empty() { "\"...\"".to_owned() } else { format!("\"... {symbol}\"") };
    format!(
        "{{ deviation = {symbol} }}, {{ between = [{value}, ...] }} or {{ values = \"measured.csv\", column = \"{}\" }}",
        input.key
    )
}

struct Reading<'a> {
    input: &'static Input,
    entry: &'a Entry,
    keys: &'a [Named],
    faults: Vec<Fault>,
}

impl<'a> Reading<'a> {
    fn say(&mut self, span: std::ops::Range<usize>, sentence: String) {
        let remedy = format!("write \"{}\" = {}", self.input.path(), examples(self.input));
        self.faults.push((span, Problem::Vary { sentence, remedy }));
    }

    fn get(&self, name: &str) -> Option<&'a Entry> {
        self.keys.iter().find(|named| named.name == name).map(|named| &named.entry)
    }

    /// Refuses keys that say nothing beside `form`.
    fn only(&mut self, form: &str, with: &[&str]) {
        let (keys, mut faults) = (self.keys, Vec::new());
        for named in keys.iter().filter(|n| KEYS.contains(&n.name.as_str()) && n.name != form && !with.contains(&n.name.as_str()))
        {
            faults.push((named.key.clone(), format!("`{}` says nothing beside `{form}`", named.name)));
        }
        faults.into_iter().for_each(|(span, sentence)| self.say(span, sentence));
    }

    fn spread(&mut self, own: Option<f64>) -> Option<Spread> {
        if let Some(deviation) = self.get("deviation") {
            self.only("deviation", &["mean", "within"]);
            return self.normal(own, deviation);
        }
        if let Some(ends) = self.get("between") {
            self.only("between", &["mode"]);
            return self.between(ends);
        }
        if let Some(file) = self.get("values") {
            self.only("values", &["column"]);
            return self.measured(file);
        }
        // A key that was refused may be one of them, misspelt.
        if self.faults.is_empty() {
            self.say(self.entry.span.clone(), "it has neither `deviation`, `between` nor `values`".to_owned());
        }
        None
    }

    fn normal(&mut self, own: Option<f64>, typed: &'a Entry) -> Option<Spread> {
        let deviation = self.difference(typed);
        let mean = match (self.get("mean"), own) {
            (Some(mean), _) => self.number(mean),
            (None, Some(own)) => Some(own),
            (None, None) => {
                let sentence = format!("`mean` is missing: the case gives no value of {}", self.input.path());
                self.say(self.entry.span.clone(), sentence);
                None
            }
        };
        let within = match self.get("within") {
            Some(entry) => Some((self.ends(entry)?, entry)),
            None => None,
        };
        let (mean, deviation) = (mean?, deviation?);
        if let Some(([a, b], entry)) = within
            && (mean < a || mean > b)
        {
            let unit = self.input.unit().unwrap_or(ONE);
            let sentence = format!("the mean, {}, does not lie within {} and {}", unit.show(mean), unit.show(a), unit.show(b));
            self.say(entry.span.clone(), sentence);
        }
        Some(Spread::Normal { mean, deviation, within: within.map(|(ends, _)| ends) })
    }

    fn between(&mut self, entry: &'a Entry) -> Option<Spread> {
        let ends = self.ends(entry);
        let Some(typed) = self.get("mode") else { return ends.map(Spread::Uniform) };
        let (mode, ends) = (self.number(typed)?, ends?);
        if mode < ends[0] || mode > ends[1] {
            self.say(typed.span.clone(), "the mode does not lie between the ends".to_owned());
        }
        Some(Spread::Triangular { ends, mode })
    }

    fn measured(&mut self, entry: &'a Entry) -> Option<Spread> {
        let (column, key) = (self.get("column"), self.input.key);
        let mut text = |entry: &'a Entry, wanted: &str| match &entry.value {
            Typed::Text(text) => Some(text.clone()),
            other => {
                self.say(entry.span.clone(), format!("{} where {wanted} in quotes is needed", other.type_name()));
                None
            }
        };
        let file = text(entry, "the name of a file");
        let column = match column {
            Some(column) => text(column, "the name of a column"),
            None => Some(key.to_owned()),
        };
        Some(Spread::Measured { file: file?, column: column? })
    }

    fn number(&mut self, entry: &Entry) -> Option<f64> {
        number(self.input, &entry.value).map_err(|problem| self.faults.push((entry.span.clone(), problem))).ok()
    }

    /// Two rising values.
    fn ends(&mut self, entry: &'a Entry) -> Option<[f64; 2]> {
        let Typed::List(list) = &entry.value else {
            self.say(entry.span.clone(), format!("{} where two ends in brackets are needed", entry.value.type_name()));
            return None;
        };
        let [a, b] = &list[..] else {
            self.say(entry.span.clone(), format!("{} values where two ends are needed", list.len()));
            return None;
        };
        let (a, b) = (self.number(a), self.number(b));
        let (a, b) = (a?, b?);
        if a >= b {
            self.say(entry.span.clone(), "the ends do not rise".to_owned());
        }
        Some([a, b])
    }

    /// A positive difference of two values, in the input's unit.
    fn difference(&mut self, entry: &Entry) -> Option<f64> {
        let unit = self.input.unit().unwrap_or(ONE);
        let dimension = if matches!(self.input.kind, Kind::Modulus { .. }) { Dimension::Pressure } else { unit.dimension };
        let inner = match parse(self.input, &entry.value, dimension) {
            Ok(inner) => inner,
            Err(problem) => {
                self.faults.push((entry.span.clone(), problem));
                return None;
            }
        };
        // A difference of temperatures is told in kelvins, which have no offset.
        let kelvin = matches!(&entry.value, Typed::Text(text) if text.trim_end().ends_with('K'));
        if dimension == Dimension::Temperature && !kelvin {
            self.say(entry.span.clone(), "a deviation of a temperature needs the unit K".to_owned());
            return None;
        }
        let value = tidy(inner / unit.factor);
        if value <= 0.0 {
            self.say(entry.span.clone(), "the deviation is not above zero".to_owned());
        }
        Some(value)
    }
}
