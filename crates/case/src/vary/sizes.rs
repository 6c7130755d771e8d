//! What sizes are asked for, from the table `[sizes]`: rim inner widths, pressures, and the room that the frame leaves.

use std::ops::Range;

use super::{Block, Combine, Vary, sound, unquoted};
use crate::case::Case;
use crate::check::case_of;
use crate::error::{CaseError, CaseErrors, Problem};
use crate::file::Attached;
use crate::file::{CaseFile, Entry, Named, SIZES, Typed};
use crate::inputs::{CASING_SIZE, INPUTS, Input, Kind, Need, PRESSURE_RATED, RIM_INNER_WIDTH};
use crate::size::{SizeLabel, size_of};
use crate::text::Text;
use crate::typed::quantity_of;
use crate::units::MM;

/// Inner widths where the table names none: the case's own and these, mm.
const DEFAULT_WIDTHS: [f64; 3] = [-2.0, 0.0, 2.0];
/// Pressures where the table names none, as shares of the rated one.
const DEFAULT_PRESSURES: [f64; 4] = [0.4, 0.6, 0.8, 1.0];

/// Change of a tyre's width over that of the rim's inner width, mm per mm: from memory a rule of ISO 5775-1, not found in a stored text.
/// A membrane with a circular section has 0.385 to 0.47 for rims of 60 to 80 % of its width.
pub const WIDTH_RULE: f64 = 0.4;

const fn room(
    key: &'static str,
    (min, max): (f64, f64),
    (absent, example): (&'static str, &'static str),
    meaning: &'static str,
) -> Input {
    let (kind, need) = (Kind::Quantity { unit: MM, min, max }, Need::Optional { absent, example });
    Input { section: SIZES, key, kind, need, meaning, source: "invented" }
}

/// What may stand in the table beside the two axes.
pub static SIZE_SETTINGS: [Input; 3] = [
    room(
        "clear_width",
        (10.0, 300.0),
        ("the room beside the tyre is not given", "38 mm"),
        "Width between stays or fork blades where the tyre is widest",
    ),
    room(
        "clear_radius",
        (100.0, 600.0),
        ("the room over the tyre is not given", "352 mm"),
        "Distance from the axle to the part of frame or fork nearest to the tread",
    ),
    room("clearance", (0.0, 50.0), ("the room need only not be negative", "4 mm"), "Least room wanted beside and over the tyre"),
];

/// The sizes asked of a case.
#[derive(Clone, Debug)]
pub struct Sizes {
    /// Inner widths and rated pressures, every one with every other, the pressures fastest.
    pub grid: Vary,
    /// Labelled width and the rim width on which that is measured, mm; none where the case names no labelled size.
    pub labelled: Option<[f64; 2]>,
    /// Width between stays or fork blades, mm.
    pub clear_width: Option<f64>,
    /// Distance from the axle to the nearest part over the tread, mm.
    pub clear_radius: Option<f64>,
    /// Least room wanted beside and over the tyre, mm.
    pub clearance: f64,
}

impl Sizes {
    /// Width of the tyre on a rim of an inner width by the published rule ([`WIDTH_RULE`]), mm: the labelled width on its measuring rim.
    pub fn width_by_rule(&self, inner_width: f64) -> Option<f64> {
        self.labelled.map(|[width, measuring]| width + WIDTH_RULE * (inner_width - measuring))
    }
}

/// Reads the sizes asked of a case from its text; without a table `[sizes]` those about the case's own rim and pressure.
///
/// # Errors
/// Every fault found in the case and in the table; where there is none, every fault of the pairs, a fault that many share once.
pub fn sizes(text: &str, attached: Attached) -> Result<Sizes, CaseErrors> {
    let (file, structural) = CaseFile::parse(text)?;
    let file = file.with_attached(attached);
    let (case, mut errors) = match case_of(&file, structural) {
        Ok((case, _)) => (Some(case), Vec::new()),
        Err(errors) => (None, errors.0),
    };
    let end = text.len();
    let (header, entries) = file.sizes.clone().unwrap_or((end..end, Vec::new()));
    let (settings, mut axes): (Vec<Named>, Vec<Named>) =
        entries.into_iter().partition(|named| SIZE_SETTINGS.iter().any(|input| input.key == named.name));
    if let Some(case) = &case {
        add_defaults(&mut axes, case, &header);
    }
    let paths = [RIM_INNER_WIDTH.path(), PRESSURE_RATED.path()];
    let (mut axes, unknown): (Vec<Named>, Vec<Named>) = axes.into_iter().partition(|named| paths.contains(&named.name));
    for named in &unknown {
        let sentence = format!("[{SIZES}] has no key `{}`", named.name);
        let remedy =
            "use \"rim.inner_width\", \"pressure.rated\", clear_width, clear_radius or clearance; [vary] takes any input";
        let no_key = || Problem::Vary { sentence, remedy: remedy.to_owned() };
        let problem = unquoted(named, INPUTS).unwrap_or_else(no_key);
        errors.push(CaseError::at(&file.text, format!("{SIZES}.{}", named.name), named.key.clone(), problem));
    }
    axes.sort_by_key(|named| named.name == PRESSURE_RATED.path());
    let mut of_axes = Vec::new();
    let block = Block::read(&file.text, (SIZES, header), &axes, &mut of_axes);
    // A case with faults has no default axes: that none are named is then no fault of the table.
    if !axes.is_empty() {
        errors.extend(of_axes);
    }
    let mut room =
        SIZE_SETTINGS.iter().map(|input| setting(&file.text, input, &settings, &mut errors)).collect::<Vec<_>>().into_iter();
    let [clear_width, clear_radius, clearance] = [(); 3].map(|()| room.next().flatten());
    sound(errors)?;
    debug_assert!(block.combine == Combine::Grid);
    let grid = block.build(&file)?;
    let label = file.get(&CASING_SIZE).and_then(|entry| size_of(&CASING_SIZE, &entry.value).ok());
    let labelled = label.map(|label: SizeLabel| [label.width, label.measuring_rim()]);
    Ok(Sizes { grid, labelled, clear_width, clear_radius, clearance: clearance.unwrap_or(0.0) })
}

/// The sizes asked of a case that has a table `[sizes]`.
///
/// # Errors
/// As [`sizes`].
pub fn stated_sizes(text: &str, attached: Attached) -> Result<Option<Sizes>, CaseErrors> {
    let (file, _) = CaseFile::parse(text)?;
    file.sizes.is_some().then(|| sizes(text, attached)).transpose()
}

/// The room that a frame leaves, mm.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Room {
    /// Width between stays or fork blades.
    pub clear_width: Option<f64>,
    /// Distance from the axle to the nearest part over the tread.
    pub clear_radius: Option<f64>,
    /// Least room wanted beside and over the tyre.
    pub clearance: f64,
}

/// The room that a file states in its table `[sizes]`; none of it where it has no such table.
pub(crate) fn room_of(file: &CaseFile<'_>) -> Result<Room, CaseErrors> {
    let (mut errors, entries) = (Vec::new(), file.sizes.as_ref().map_or(&[][..], |(_, entries)| entries));
    let mut room =
        SIZE_SETTINGS.iter().map(|input| setting(&file.text, input, entries, &mut errors)).collect::<Vec<_>>().into_iter();
    let [clear_width, clear_radius, clearance] = [(); 3].map(|()| room.next().flatten());
    sound(errors)?;
    Ok(Room { clear_width, clear_radius, clearance: clearance.unwrap_or(0.0) })
}

fn setting(text: &Text<'_>, input: &'static Input, settings: &[Named], errors: &mut Vec<CaseError>) -> Option<f64> {
    let named = settings.iter().find(|named| named.name == input.key)?;
    let fault = |problem| errors.push(CaseError::at(text, input.path(), named.entry.span.clone(), problem));
    quantity_of(input, &named.entry.value).map_err(fault).ok()
}

/// An axis that is not named stands about the case's own value.
fn add_defaults(axes: &mut Vec<Named>, case: &Case, header: &Range<usize>) {
    let bar = 10.0 * case.pressure.rated;
    let widths = DEFAULT_WIDTHS.map(|offset| format!("{:.3} mm", case.rim.inner_width + offset));
    let pressures = DEFAULT_PRESSURES.map(|share| format!("{:.4} bar", share * bar));
    for (path, values) in [(RIM_INNER_WIDTH.path(), widths.to_vec()), (PRESSURE_RATED.path(), pressures.to_vec())] {
        if axes.iter().all(|named| named.name != path) {
            let entry = |value| Entry { value, span: header.clone() };
            let list = values.into_iter().map(|text| entry(Typed::Text(text))).collect();
            axes.push(Named { name: path, key: header.clone(), entry: entry(Typed::List(list)) });
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::float_cmp)]
    use super::*;
    use crate::starter::starter;

    fn read(block: &str) -> Result<Sizes, CaseErrors> {
        sizes(&starter().replacen("[rim]", &format!("{block}\n[rim]"), 1), Attached::new())
    }

    #[test]
    fn without_a_table_sizes_stand_about_the_case() {
        let sizes = read("").unwrap();
        assert_eq!(sizes.grid.inputs[0].values, [19.0, 21.0, 23.0]);
        assert_eq!(sizes.grid.inputs[1].values, [2.0, 3.0, 4.0, 5.0]);
        assert_eq!((sizes.grid.variants.len(), sizes.clearance, sizes.labelled), (12, 0.0, None));
    }

    #[test]
    fn lists_ranges_and_room_are_read_in_any_order_and_unit() {
        let sizes = read("[sizes]\nclearance = \"4 mm\"\n\"pressure.rated\" = [\"500 kPa\"]\nclear_width = \"1.5 in\"\n\"rim.inner_width\" = { from = \"19 mm\", to = \"23 mm\", count = 3 }\n").unwrap();
        assert_eq!(sizes.grid.inputs[0].values, [19.0, 21.0, 23.0]);
        assert_eq!(sizes.grid.inputs[1].values, [5.0]);
        assert_eq!(
            (sizes.clear_width.map(|w| (1e6 * w).round()), sizes.clear_radius, sizes.clearance),
            (Some(38.1e6), None, 4.0)
        );
    }

    /// A 28 mm tyre is measured on 65 % of 28 mm = 18.2 mm; 2 mm more of rim are 0.8 mm more of tyre.
    #[test]
    fn the_width_rule_starts_at_the_measuring_rim() {
        let text = starter().replacen("bead_to_bead = \"70 mm\"", "size = \"28-622\"", 1);
        let sizes = sizes(&text, Attached::new()).unwrap();
        assert!((sizes.width_by_rule(20.2).unwrap() - 28.8).abs() < 1e-12);
    }

    #[test]
    fn all_faults_of_the_table_are_told_at_once() {
        let block = "[sizes]\nclear_widht = \"38 mm\"\nclear_radius = \"352\"\n\"rim.inner_width\" = [\"19 bar\"]\n";
        let keys = |text: &str| {
            let errors = sizes(text, Attached::new()).unwrap_err();
            errors.0.into_iter().map(|error| error.key).collect::<Vec<_>>()
        };
        let text = starter().replacen("[rim]", &format!("{block}\n[rim]"), 1);
        assert_eq!(keys(&text), ["sizes.clear_widht", "sizes.clear_radius", "sizes.rim.inner_width"]);
        let text = (starter() + "[sizes]\nclear_radius = \"352\"\n").replacen("rated = \"5 bar\"", "rated = 5", 1);
        assert_eq!(keys(&text), ["pressure.rated", "sizes.clear_radius"]);
    }

    #[test]
    fn faults_name_their_place() {
        for (block, place, word) in [
            ("[sizes]\nclear_width = \"38\"\n", "sizes.clear_width", "unit"),
            ("[sizes]\n\"bead.diameter\" = [\"620 mm\"]\n", "sizes.bead.diameter", "no key"),
            ("[sizes]\n\"rim.inner_width\" = []\n", "sizes.rim.inner_width", "listed"),
            ("[sizes]\nrim.inner_width = [\"19 mm\"]\n", "sizes.rim", "write \"rim.inner_width\" in quotes"),
        ] {
            let errors = read(block).unwrap_err();
            let error = &errors.0[0];
            assert_eq!(error.key, place, "{errors}");
            assert!(errors.to_string().contains(word), "{errors}");
        }
    }
}
