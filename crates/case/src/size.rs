//! The labelled size: width and rim code.

use std::f64::consts::PI;

use crate::case::{Case, Rim};
use crate::error::Problem;
use crate::file::{CaseFile, Typed};
use crate::inputs::{self, Input};
use crate::reader::Reader;
use crate::typed::text_of;
use crate::units::MM;

/// A seat within this of the code's specified diameter belongs to that code, mm. The next codes lie further apart.
const SAME_CODE: f64 = 2.0;

/// The labelled size that a case states; none where it states none.
pub fn size_named(text: &str) -> Option<String> {
    let (file, _) = CaseFile::parse(text).ok()?;
    match &file.get(&inputs::CASING_SIZE)?.value {
        Typed::Text(size) => Some(size.clone()),
        _ => None,
    }
}

/// Width and rim code of a tyre as labelled, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct SizeLabel {
    /// Nominal section width, mm.
    pub(super) width: f64,
    /// Nominal rim diameter, mm.
    pub(super) code: f64,
}

impl SizeLabel {
    /// Bead seat diameter specified for the rim code, mm.
    ///
    /// 622: 621.95 (ETRTO Standards Manual 2019, quoted second hand). 584 and 559: 583.9 and 558.8, from memory. Others: the code,
    /// which published rim tables meet within 0.5 mm.
    pub(super) fn seat_diameter(self) -> f64 {
        [(622.0, 621.95), (584.0, 583.9), (559.0, 558.8)]
            .into_iter()
            .find(|(code, _): &(f64, f64)| (code - self.code).abs() < 0.5)
            .map_or(self.code, |(_, diameter)| diameter)
    }

    /// Whether a seat, mm, is one of its code.
    pub(super) fn has_seat(self, diameter: f64) -> bool {
        (diameter - self.seat_diameter()).abs() <= SAME_CODE
    }

    /// Width of the rim on which the labelled width is measured, mm: 65 % of widths under 30 mm, 55 % from there on
    /// (older text of ISO 5775 as read in an encyclopedia copy).
    pub(super) fn measuring_rim(self) -> f64 {
        if self.width < 30.0 { 0.65 * self.width } else { 0.55 * self.width }
    }

    /// Length, mm, of the circle of diameter W through the two bundle centres, w apart: `L = W (pi - asin(w / W))`.
    ///
    /// w is the measuring rim's width less one bead width. None where nothing is left of it.
    pub(super) fn bead_to_bead(self, bead_width: f64) -> Option<f64> {
        let spacing = self.measuring_rim() - bead_width;
        // A bead width that could not be read gives NaN, which is not refused here again.
        (spacing > 0.0 || spacing.is_nan()).then(|| self.width * (PI - (spacing / self.width).asin()))
    }
}

/// Reads `"28-622"`.
pub(super) fn size_of(input: &Input, value: &Typed) -> Result<SizeLabel, Problem> {
    let text = text_of(input, value)?;
    let whole = |part: &str| part.trim().parse::<u16>().ok().map(f64::from);
    text.split_once('-')
        .and_then(|(width, code)| Some(SizeLabel { width: whole(width)?, code: whole(code)? }))
        .filter(|label| (15.0..=130.0).contains(&label.width) && (150.0..=800.0).contains(&label.code))
        .ok_or_else(|| Problem::NotASize { given: text.to_owned() })
}

/// Whether a rim's seat belongs to a code.
pub(super) fn is_of_code(rim: &Rim, label: SizeLabel) -> bool {
    label.has_seat(rim.seat_diameter)
}

/// Reports a tyre and a rim of different nominal sizes.
pub(super) fn check_against_rim(label: SizeLabel, case: &Case, reader: &mut Reader<'_>) {
    if case.rim.seat_diameter.is_nan() || is_of_code(&case.rim, label) {
        return;
    }
    let sentence = format!(
        "the tyre is labelled for rim code {} with a bead seat of {}, but the rim's seat has {}",
        label.code,
        MM.show(label.seat_diameter()),
        MM.show(case.rim.seat_diameter)
    );
    let remedy = "never mount a tyre on a rim of another nominal size: such pairs have killed people (OSHA bulletin SHIB 04-29-2004); \
                  correct `size` or `seat_diameter`";
    reader.report(&inputs::CASING_SIZE, Problem::Inconsistent { sentence, remedy });
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::float_cmp)]
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn circle_through_the_bundles() {
        // W = 28 mm: measuring rim 18.2 mm, spacing 14.2 mm, half the missing arc asin(14.2/28) = 0.53187 rad.
        let label = SizeLabel { width: 28.0, code: 622.0 };
        assert_relative_eq!(label.bead_to_bead(4.0).unwrap(), 28.0 * (PI - 0.531_87), max_relative = 1e-5);
        // From 30 mm on the measuring rim is 55 %: 38 mm -> 20.9 mm.
        let wide = SizeLabel { width: 38.0, code: 584.0 };
        assert_relative_eq!(wide.bead_to_bead(4.0).unwrap(), 38.0 * (PI - (16.9_f64 / 38.0).asin()), max_relative = 1e-12);
        assert_eq!(SizeLabel { width: 18.0, code: 622.0 }.bead_to_bead(12.0), None);
    }

    #[test]
    fn specified_diameters() {
        for (code, diameter) in [(622.0, 621.95), (584.0, 583.9), (559.0, 558.8), (406.0, 406.0)] {
            assert_eq!(SizeLabel { width: 28.0, code }.seat_diameter(), diameter);
        }
    }
}
