//! Every input of a case in one place: table, key, unit, range, default, meaning, source.
//!
//! The reader, the starter case and the listing of a resolved case all come from [`INPUTS`].

pub mod service;
mod table;

pub use table::*;

use crate::units::Unit;

/// What may stand in a kind of file: its inputs and its tables.
#[derive(Debug)]
pub struct Form {
    /// The inputs in the order of the file.
    pub inputs: &'static [&'static Input],
    /// The tables in order, each with a phrase saying what it holds.
    pub sections: &'static [(&'static str, &'static str)],
    /// Whether tables may stand beside that say what the file is run over.
    pub studied: bool,
    /// Inputs of a table that may stand beside and says nothing of the case itself.
    pub beside: &'static [&'static Input],
}

/// The form of a case file.
pub static CASE: Form = Form { inputs: INPUTS, sections: SECTIONS, studied: true, beside: service::SERVICE_INPUTS };

/// One input of a case.
#[derive(Debug)]
pub struct Input {
    /// Table of the case file; empty for keys above the first table.
    pub section: &'static str,
    /// Key in that table.
    pub key: &'static str,
    /// How it is typed, with its range.
    pub kind: Kind,
    /// Whether it must be given, and what stands for it if not.
    pub need: Need,
    /// What it means, as a phrase.
    pub meaning: &'static str,
    /// Where the default, or the example where there is no default, comes from.
    pub source: &'static str,
}

/// How an input is typed.
#[derive(Clone, Copy, Debug)]
pub enum Kind {
    /// Number with a unit; the range is in that unit, ends included.
    Quantity {
        /// Unit of the range and of listings; any unit of its dimension may be typed.
        unit: Unit,
        /// Smallest value.
        min: f64,
        /// Largest value.
        max: f64,
    },
    /// Young's modulus as a stress or as a Shore A hardness; the range is in MPa, ends included.
    Modulus {
        /// Smallest value, MPa.
        min: f64,
        /// Largest value, MPa.
        max: f64,
    },
    /// Whole number without unit, ends included.
    Count {
        /// Smallest value.
        min: i64,
        /// Largest value.
        max: i64,
    },
    /// `true` or `false`.
    Flag,
    /// Free text.
    Text,
    /// One of these words.
    Choice(&'static [&'static str]),
    /// A word, or else a quantity as in [`Kind::Quantity`].
    WordOr {
        /// The word.
        word: &'static str,
        /// Unit of the range.
        unit: Unit,
        /// Smallest value.
        min: f64,
        /// Largest value.
        max: f64,
    },
    /// Array of [strain, force] pairs.
    Curve,
    /// Array of quantities as in [`Kind::Quantity`].
    Quantities {
        /// Unit of the range.
        unit: Unit,
        /// Smallest value.
        min: f64,
        /// Largest value.
        max: f64,
        /// Least number of values.
        least: usize,
    },
    /// Tyre size, labelled width and rim code, as `"28-622"`.
    Size,
}

/// Whether an input must be given. Values are as typed, without quotes.
#[derive(Clone, Copy, Debug)]
pub enum Need {
    /// Must be given.
    Required {
        /// Value in the starter case.
        example: &'static str,
    },
    /// Must be given unless its alternative is.
    OneOf {
        /// Value in the starter case.
        example: &'static str,
        /// Key of the alternative.
        or: &'static str,
    },
    /// May replace another key, or goes with one that does; left out of the starter case.
    Instead {
        /// Value shown in the starter case.
        example: &'static str,
        /// Key that it replaces.
        of: &'static str,
    },
    /// Stands at this value if not given.
    Default {
        /// The default.
        value: &'static str,
    },
    /// Follows from other inputs if not given.
    Derived {
        /// The rule, as a phrase.
        rule: &'static str,
        /// Value shown in the starter case.
        example: &'static str,
    },
    /// Not used if not given.
    Optional {
        /// What is then left out, as a phrase.
        absent: &'static str,
        /// Value shown in the starter case.
        example: &'static str,
    },
}

impl Input {
    /// `section.key`, or the key alone above the first table.
    pub fn path(&self) -> String {
        if self.section.is_empty() { self.key.to_owned() } else { format!("{}.{}", self.section, self.key) }
    }

    /// Default or example, as typed but without quotes.
    pub fn example(&self) -> &'static str {
        match self.need {
            Need::Required { example }
            | Need::OneOf { example, .. }
            | Need::Instead { example, .. }
            | Need::Derived { example, .. }
            | Need::Optional { example, .. } => example,
            Need::Default { value } => value,
        }
    }

    /// Line of a case file that sets this input to its default or example.
    pub fn line(&self) -> String {
        let value = self.example();
        let bare = matches!(self.kind, Kind::Count { .. } | Kind::Flag | Kind::Curve | Kind::Quantities { .. })
            || value.parse::<f64>().is_ok();
        if bare { format!("{} = {value}", self.key) } else { format!("{} = \"{value}\"", self.key) }
    }

    /// Unit of listings of an input that is a number (1 for a count); none for flags, texts, choices, hoop laws and sizes.
    pub fn unit(&self) -> Option<Unit> {
        match self.kind {
            Kind::Quantity { unit, .. } | Kind::WordOr { unit, .. } => Some(unit),
            Kind::Modulus { .. } => Some(crate::units::MPA),
            Kind::Count { .. } => Some(crate::units::ONE),
            Kind::Flag | Kind::Text | Kind::Choice(_) | Kind::Curve | Kind::Quantities { .. } | Kind::Size => None,
        }
    }

    /// Range or set of admissible values, as a phrase; none for free text.
    pub fn range(&self) -> Option<String> {
        match self.kind {
            Kind::Quantity { unit, min, max } => Some(span_of(&unit, min, max)),
            Kind::Modulus { min, max } => Some(format!("{}, or Shore A", span_of(&crate::units::MPA, min, max))),
            Kind::Count { min, max } => Some(format!("{min} to {max}")),
            Kind::Flag => Some("true or false".to_owned()),
            Kind::Choice(words) => Some(words.iter().map(|w| format!("\"{w}\"")).collect::<Vec<_>>().join(", ")),
            Kind::WordOr { word, unit, min, max } => Some(format!("\"{word}\", or {}", span_of(&unit, min, max))),
            Kind::Quantities { unit, min, max, least } => Some(format!("{least} values or more, {}", span_of(&unit, min, max))),
            Kind::Curve | Kind::Size | Kind::Text => None,
        }
    }
}

fn span_of(unit: &Unit, min: f64, max: f64) -> String {
    format!("{} to {}", unit.show(min), unit.show(max))
}

/// Tables of a case file in order, each with a phrase saying what it holds.
pub static SECTIONS: &[(&str, &str)] = &[
    ("rim", "The straight-wall rim: section and hoop. From the middle outward: well, hump, seat, corner, wall, crest."),
    (
        "section",
        "The rim's section below its seats, meshed and elastic; used where `shape` is given, and then instead of hoop stiffness and \
      centroid diameter.",
    ),
    ("spokes", "The spokes that hold the rim."),
    ("bead", "The bead: a bundle in rubber whose base sits on the seat."),
    ("casing", "Casing, sidewall and tread."),
    ("rubber", "Young's moduli at small strain. A modulus found from a hardness is good to about 30 %."),
    ("contact", "Contact of bead and rim."),
    ("pressure", "Gauge pressures."),
    ("limits", "What the verdict holds the results against."),
    (
        "local",
        "How unevenly the bead stands round the wheel, a dip of the rim's crest and a rider's load on the tread, on which the local release \
      depends; and by how much inputs that it hangs on may be otherwise.",
    ),
    ("mesh", "Finite elements."),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_input_has_a_known_table_a_meaning_and_a_source() {
        for input in INPUTS {
            assert!(input.section.is_empty() || SECTIONS.iter().any(|(name, _)| *name == input.section), "{}", input.path());
            assert!(!input.meaning.is_empty() && !input.source.is_empty(), "{}", input.path());
            assert!(!input.meaning.ends_with('.') && !input.source.ends_with('.'), "{}", input.path());
        }
    }

    #[test]
    fn no_key_stands_twice() {
        let mut paths: Vec<String> = INPUTS.iter().map(|i| i.path()).collect();
        paths.sort();
        paths.dedup();
        assert_eq!(paths.len(), INPUTS.len());
    }
}
