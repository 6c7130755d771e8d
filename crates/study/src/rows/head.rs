//! Heads of columns: a name, a unit, and what the cells are.

use crate::column::Number;

/// What the cells of a column are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Words.
    Text,
    /// Whole numbers.
    Whole,
    /// Numbers.
    Number,
    /// [`YES`] or [`NO`].
    Flag,
}

/// The word for true.
pub const YES: &str = "yes";
/// The word for false.
pub const NO: &str = "no";

/// The head of a column.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Head {
    /// Its name, in lower case with underscores.
    pub name: String,
    /// Unit of its cells; none for words and for what is counted.
    pub unit: Option<&'static str>,
    /// What its cells are.
    pub kind: Kind,
}

impl Head {
    /// Of words.
    pub fn text(name: impl Into<String>) -> Self {
        Self { name: name.into(), unit: None, kind: Kind::Text }
    }

    /// Of whole numbers, counted in a unit if one is named.
    pub fn whole(name: impl Into<String>, unit: Option<&'static str>) -> Self {
        Self { name: name.into(), unit, kind: Kind::Whole }
    }

    /// Of numbers in a unit.
    pub fn number(name: impl Into<String>, unit: &'static str) -> Self {
        Self { name: name.into(), unit: Some(unit), kind: Kind::Number }
    }

    /// Of numbers under a name alone, which tables in use already have so.
    pub fn bare(name: impl Into<String>) -> Self {
        Self { name: name.into(), unit: None, kind: Kind::Number }
    }

    /// Of yes and no.
    pub fn flag(name: impl Into<String>) -> Self {
        Self { name: name.into(), unit: None, kind: Kind::Flag }
    }

    /// Whether the number beside it was reached or is a lower bound.
    pub fn reached(name: &str) -> Self {
        Self::flag(format!("{name}_reached"))
    }

    /// Path and unit of an input.
    pub fn of_input(input: &hoopwright_case::inputs::Input) -> Self {
        use hoopwright_case::inputs::Kind;
        let unit = input.unit().map_or("", |unit| unit.symbol);
        let unit = if unit.is_empty() { "-" } else { unit };
        match input.kind {
            Kind::Count { .. } => Self::whole(input.path(), Some(unit)),
            _ => Self::number(input.path(), unit),
        }
    }

    /// Name and unit, as in `diameter [mm]`.
    pub fn label(&self) -> String {
        self.unit.map_or_else(|| self.name.clone(), |unit| format!("{} [{unit}]", self.name))
    }
}

/// The cell of a yes or no; empty where there is none.
pub fn flag(value: Option<bool>) -> String {
    value.map_or("", |yes| if yes { YES } else { NO }).to_owned()
}

/// Whether a number was reached; none where there is none.
pub fn reached(number: Option<Number>) -> Option<bool> {
    number.map(|number| matches!(number, Number::Found(_)))
}
