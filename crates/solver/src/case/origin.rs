//! Where each value of a resolved case comes from: typed, read off a drawing, or a default with its source.

use super::drawing::MEASURES;
use super::file::CaseFile;
use super::inputs::{self as i, Input, Kind, Need};
use super::resolved::Row;

/// Where a value comes from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Origin {
    /// It stands in the case file.
    Typed,
    /// Other keys of its table that stand in its place.
    From(Vec<&'static str>),
    /// The drawing of the rim.
    Drawn,
    /// Its default, with the source of that.
    Default {
        /// Where the default comes from.
        source: &'static str,
    },
    /// It follows from other inputs.
    Derived {
        /// The rule, as a phrase.
        rule: &'static str,
        /// Where the rule comes from.
        source: &'static str,
    },
    /// It may be left out and was.
    LeftOut,
}

/// Where the value of a row of [`super::resolved`] comes from, for the case of this file; nothing for a row of no input.
pub fn origin(file: &CaseFile<'_>, row: &Row) -> Option<Origin> {
    let input = i::INPUTS.iter().copied().find(|input| (input.section, input.key) == (row.0, row.1))?;
    if file.get(input).is_some() {
        return Some(Origin::Typed);
    }
    let instead = in_its_place(file, input);
    if !instead.is_empty() {
        return Some(Origin::From(instead));
    }
    if file.get(&i::SECTION_DRAWING).is_some() && MEASURES.iter().any(|measure| std::ptr::eq(*measure, input)) {
        return Some(Origin::Drawn);
    }
    Some(match input.need {
        Need::Default { .. } => Origin::Default { source: input.source },
        Need::Derived { rule, .. } => Origin::Derived { rule, source: input.source },
        Need::Required { .. } | Need::OneOf { .. } | Need::Instead { .. } | Need::Optional { .. } => Origin::LeftOut,
    })
}

/// Keys of the file that stand in the place of an input: those that replace it, the one that it would replace, or a file that replaces the
/// same one.
fn in_its_place(file: &CaseFile<'_>, input: &Input) -> Vec<&'static str> {
    let of = |other: &Input| if let Need::Instead { of, .. } = other.need { Some(of) } else { None };
    let stands = |other: &&&'static Input| {
        let same = of(input).is_some() && of(other) == of(input) && matches!(other.kind, Kind::Text);
        let related = of(other) == Some(input.key) || of(input) == Some(other.key) || same;
        other.section == input.section && related && file.get(other).is_some()
    };
    i::INPUTS.iter().filter(stands).map(|other| other.key).collect()
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::case::{read, resolved};

    const CASE: &str = include_str!("../../../../examples/01_road_holds.toml");

    /// Where the value of `table.key` comes from in a case of this text.
    fn of(text: &str, table: &str, key: &str) -> Origin {
        let (case, _) = read(text).unwrap();
        let (file, _) = CaseFile::parse(text).unwrap();
        let rows = resolved(&case);
        // Every row is one of an input.
        assert!(rows.iter().all(|row| origin(&file, row).is_some()));
        origin(&file, rows.iter().find(|row| (row.0, row.1) == (table, key)).unwrap()).unwrap()
    }

    #[test]
    fn typed_values_defaults_and_replaced_keys_are_told_apart() {
        assert_eq!(of(CASE, "rim", "seat_diameter"), Origin::Typed);
        assert!(matches!(of(CASE, "mesh", "refinement"), Origin::Default { .. }));
        let hoop = CASE.lines().find(|line| line.starts_with("hoop_stiffness")).unwrap();
        let by_area = CASE.replace(hoop, "area = \"104 mm2\"\nmodulus = \"69 GPa\"");
        assert_eq!(of(&by_area, "rim", "hoop_stiffness"), Origin::From(vec!["area", "modulus"]));
    }
}
