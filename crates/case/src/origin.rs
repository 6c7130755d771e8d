//! Where each value of a resolved case comes from: typed, read off a drawing, or a default with its source.

use crate::drawing::MEASURES;
use crate::file::CaseFile;
use crate::inputs::{self as i, Input, Kind, Need};

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

/// Where the value of an input comes from, for the case of this file.
pub fn origin(file: &CaseFile<'_>, input: &Input) -> Origin {
    if file.get(input).is_some() {
        return Origin::Typed;
    }
    let instead = in_its_place(file, input);
    if !instead.is_empty() {
        return Origin::From(instead);
    }
    if file.get(&i::SECTION_DRAWING).is_some() && MEASURES.iter().any(|measure| std::ptr::eq(*measure, input)) {
        return Origin::Drawn;
    }
    match input.need {
        Need::Default { .. } => Origin::Default { source: input.source },
        Need::Derived { rule, .. } => Origin::Derived { rule, source: input.source },
        Need::Required { .. } | Need::OneOf { .. } | Need::Instead { .. } | Need::Optional { .. } => Origin::LeftOut,
    }
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

    const ROAD: &str = include_str!("../../../examples/01_road_holds.toml");
    const DRAWN: &str = include_str!("../../../examples/08_drawn_rim.toml");

    fn of(text: &str, input: &Input) -> Origin {
        origin(&CaseFile::parse(text).unwrap().0, input)
    }

    #[test]
    fn typed_values_defaults_and_replaced_keys_are_told_apart() {
        assert_eq!(of(ROAD, &i::RIM_SEAT_DIAMETER), Origin::Typed);
        assert!(matches!(of(ROAD, &i::MESH_REFINEMENT), Origin::Default { .. }));
        assert!(matches!(of(ROAD, &i::RIM_CENTROID_DIAMETER), Origin::Derived { .. }));
        assert_eq!(of(ROAD, &i::LIMITS_MOUNTING_FORCE), Origin::LeftOut);
        assert_eq!(of(ROAD, &i::CASING_CORD_STIFFNESS), Origin::From(vec!["ply_stiffness"]));
        assert_eq!(of(DRAWN, &i::RIM_SEAT_DIAMETER), Origin::Drawn);
        let hoop = ROAD.lines().find(|line| line.starts_with("hoop_stiffness")).unwrap();
        let by_area = ROAD.replace(hoop, "area = \"104 mm2\"\nmodulus = \"69 GPa\"");
        assert_eq!(of(&by_area, &i::RIM_HOOP_STIFFNESS), Origin::From(vec!["area", "modulus"]));
    }
}
