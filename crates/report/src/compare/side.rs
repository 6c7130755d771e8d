//! One side of a comparison: a `result.json` as read.

use hoopwright_case::units::BAR;
use hoopwright_solver::allowed::{Allowed, UpTo};
use serde_json::Value;

use crate::allowed;
use crate::json::SCHEMA;
use crate::lines::number;
use crate::version::is_readable_as;

/// A result of `assess`.
#[derive(Clone, Debug)]
pub struct Side {
    name: String,
    document: Value,
}

/// Why a file is no result that can be compared.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum SideError {
    /// It is no JSON.
    #[error("it is no JSON: {0}")]
    NotJson(String),
    /// It names no schema.
    #[error("it is no result of `hoopwright assess`: it names no schema")]
    NoSchema,
    /// It is of another schema.
    #[error("it is of the schema {0}, not of {SCHEMA}")]
    OtherSchema(String),
    /// What a result must hold is not there.
    #[error("it holds no `{0}`: an earlier version of the program wrote it, or it was changed")]
    Incomplete(&'static str),
}

/// Keys that every result has.
const KEYS: [&str; 7] = ["title", "verdict", "checks", "inputs", "allowed_pressure", "retention", "path"];

impl Side {
    /// Of the bytes of a result; `name` is what the file is called.
    ///
    /// # Errors
    /// [`SideError`] where they are no result.
    pub fn read(name: &str, bytes: &[u8]) -> Result<Self, SideError> {
        let document: Value = serde_json::from_slice(bytes).map_err(|error| SideError::NotJson(error.to_string()))?;
        match document["schema"].as_str() {
            None => return Err(SideError::NoSchema),
            Some(schema) if is_readable_as(schema, SCHEMA) => {}
            Some(other) => return Err(SideError::OtherSchema(other.to_owned())),
        }
        match KEYS.into_iter().find(|key| document.get(key).is_none()) {
            Some(key) => Err(SideError::Incomplete(key)),
            None => Ok(Self { name: name.to_owned(), document }),
        }
    }

    /// What its file is called.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Title of its case.
    pub fn title(&self) -> &str {
        self.document["title"].as_str().unwrap_or_default()
    }

    /// Whether its case has no answer.
    pub fn is_unanswered(&self) -> bool {
        self.document["verdict"].as_array().is_some_and(|words| words.iter().any(|word| word == "no answer"))
    }

    /// Findings in words.
    pub(crate) fn verdict(&self) -> String {
        let words = self.document["verdict"].as_array().map(Vec::as_slice).unwrap_or_default();
        words.iter().filter_map(Value::as_str).collect::<Vec<_>>().join("; ")
    }

    /// The allowed pressure in words.
    pub(crate) fn allowed(&self) -> String {
        let beside = &self.document["allowed_pressure"];
        let words = |key: &str| beside[key].as_str().unwrap_or_default().to_owned();
        allowed::words(&match self.number("/allowed_pressure_mpa") {
            Some(pressure) => {
                Allowed::UpTo(UpTo { pressure, lower_bound: beside["lower_bound"] == true, decides: words("decides") })
            }
            None if beside["known"] == true => Allowed::Never(words("reason")),
            None => Allowed::Unknown(words("reason")),
        })
    }

    /// Limits that are not kept, with their numbers.
    pub(crate) fn not_kept(&self) -> Vec<String> {
        let checks = self.document["checks"].as_array().map(Vec::as_slice).unwrap_or_default();
        let phrase = |check: &Value| {
            let (unit, scale) = if check["unit"] == "MPa" { ("bar", 10.0) } else { (check["unit"].as_str()?, 1.0) };
            let [value, limit] = ["value", "limit"].map(|key| check[key].as_f64().map_or("-".to_owned(), |x| number(scale * x)));
            Some(format!("{}: {value} {unit}, limit {limit} {unit}", check["what"].as_str()?))
        };
        checks.iter().filter(|check| check["kept"] == false).filter_map(phrase).collect()
    }

    /// Every input with its value and unit.
    pub(crate) fn inputs(&self) -> Vec<(String, String)> {
        let inputs = self.document["inputs"].as_array().map(Vec::as_slice).unwrap_or_default();
        let pair = |input: &Value| Some((input["input"].as_str()?.to_owned(), input["value"].as_str()?.to_owned()));
        inputs.iter().filter_map(pair).collect()
    }

    /// A number by its JSON pointer.
    pub(crate) fn number(&self, pointer: &str) -> Option<f64> {
        self.document.pointer(pointer)?.as_f64().filter(|x| x.is_finite())
    }

    /// A retention pressure of a block, bar, and whether it was not reached up to there; none where it is not known.
    pub(crate) fn release(&self, block: &str, name: &str) -> Option<(f64, bool)> {
        let at = |ending: &str| self.number(&format!("/{block}/{name}{ending}")).map(|pressure| BAR.value_of(pressure));
        at("_mpa").map(|pressure| (pressure, false)).or_else(|| at("_above_mpa").map(|pressure| (pressure, true)))
    }

    /// A flag by its JSON pointer; false where there is none.
    pub(crate) fn flag(&self, pointer: &str) -> bool {
        self.document.pointer(pointer).and_then(Value::as_bool).unwrap_or(false)
    }

    /// Points of a path from the end of the fit on: pressure, bar, and another quantity; empty where there is none.
    pub(crate) fn path(&self, path: &str, quantity: &str) -> Vec<[f64; 2]> {
        let path = &self.document[path];
        let of = |key: &str| path[key].as_array().map(|list| list.iter().filter_map(Value::as_f64).collect::<Vec<_>>());
        let (Some(pressure), Some(other)) = (of("pressure_mpa"), of(quantity)) else { return Vec::new() };
        let fit = path["fit_index"].as_u64().unwrap_or(0) as usize;
        pressure.into_iter().zip(other).skip(fit).map(|(p, x)| [BAR.value_of(p), x]).collect()
    }
}
