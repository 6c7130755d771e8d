//! The straight-wall section as a smooth profile of lines and arcs, from the mid-plane to the outer side of the wall.

use super::OutlineError;
use crate::case::{Rim, Section, SectionShape};
use hoopwright_drawing::features::Part;
use hoopwright_profile::{Corner, Profile};

/// Labels of the profile's pieces.
pub mod label {
    /// Bed and well.
    pub const BED: usize = 0;
    /// Hump.
    pub const HUMP: usize = 1;
    /// Bead seat.
    pub const SEAT: usize = 2;
    /// Fillet between seat and wall.
    pub const CORNER: usize = 3;
    /// Straight wall.
    pub const WALL: usize = 4;
    /// Crest of the wall and its outer side.
    pub const CREST: usize = 5;
}

/// How far the outer side of the wall is drawn below the crest, mm.
const OUTER_SIDE: f64 = 8.0;

impl Rim {
    /// Axial position of the straight wall, mm.
    pub fn wall(&self) -> f64 {
        0.5 * self.inner_width
    }

    /// Radius of the seat line at axial position z, mm.
    pub fn seat_radius(&self, z: f64) -> f64 {
        0.5 * self.seat_diameter + self.seat_angle.tan() * (z - self.wall() + 0.5 * self.seat_width)
    }

    /// Radius of the crest, mm.
    pub fn crest_radius_from_axis(&self) -> f64 {
        self.seat_radius(self.wall()) + self.flange_height
    }
}

/// The profile of half the rim: as drawn, where the section is, or else by its measures.
///
/// # Errors
/// [`OutlineError::Fillets`] when lines and fillets do not fit.
pub fn profile(rim: &Rim, section: Option<&Section>) -> Result<Profile, OutlineError> {
    match section.map(|s| &s.shape) {
        Some(SectionShape::Drawing(drawing)) => {
            let pieces = drawing.features.chain.iter().map(|(piece, part)| (piece.start, piece.bulge, label_of(*part)));
            Ok(Profile::of_pieces(&pieces.collect::<Vec<_>>(), drawing.features.end)?)
        }
        _ => by_measures(rim),
    }
}

fn label_of(part: Part) -> usize {
    match part {
        Part::Bed => label::BED,
        Part::Hump => label::HUMP,
        Part::Seat => label::SEAT,
        Part::Corner => label::CORNER,
        Part::Wall => label::WALL,
        Part::Crest => label::CREST,
    }
}

fn by_measures(rim: &Rim) -> Result<Profile, OutlineError> {
    let mut corners = tyre_side(rim);
    let outside = rim.wall() + rim.wall_thickness;
    corners.push(corner(rim.crest_radius_from_axis() - OUTER_SIDE, outside, 0.0, label::CREST, label::CREST));
    ease(&mut corners);
    Ok(Profile::new(&corners)?)
}

fn corner(r: f64, z: f64, radius: f64, label: usize, fillet_label: usize) -> Corner {
    Corner { position: [r, z], radius, label, fillet_label }
}

/// Corners from the mid-plane to the crest's outer edge.
pub(super) fn tyre_side(rim: &Rim) -> Vec<Corner> {
    let wall = rim.wall();
    let foot = wall - rim.seat_width;
    let foot_radius = rim.seat_radius(foot);
    let well = 0.5 * rim.seat_diameter - rim.well_depth;
    let half_well = 0.5 * rim.well_width;
    let mut corners = vec![corner(well, 0.0, 0.0, label::BED, label::BED), corner(well, half_well, 1.0, label::BED, label::BED)];
    if rim.hump_height > 0.0 {
        let (top, inner) = (foot_radius + rim.hump_height, foot - rim.hump_width);
        corners.push(corner(top, inner + 0.35 * rim.hump_width, 0.8, label::HUMP, label::HUMP));
        corners.push(corner(top, foot - 0.35 * rim.hump_width, 0.8, label::HUMP, label::HUMP));
        corners.push(corner(foot_radius, foot, 0.8, label::SEAT, label::HUMP));
    } else {
        corners.push(corner(foot_radius, foot, 0.8, label::SEAT, label::BED));
    }
    let crest = rim.crest_radius_from_axis();
    let outside = wall + rim.wall_thickness;
    corners.push(corner(rim.seat_radius(wall), wall, rim.corner_radius, label::WALL, label::CORNER));
    corners.push(corner(crest, wall, rim.crest_radius, label::CREST, label::CREST));
    corners.push(corner(crest, outside, rim.crest_radius, label::CREST, label::CREST));
    corners
}

/// Shortens the fillets of bed and hump, which the case does not state, so that they fit their lines.
pub(super) fn ease(corners: &mut [Corner]) {
    for i in 1..corners.len() - 1 {
        if corners[i].fillet_label > label::HUMP {
            continue;
        }
        let leg = |a: [f64; 2], b: [f64; 2]| [b[0] - a[0], b[1] - a[1]];
        let (a, b) = (leg(corners[i - 1].position, corners[i].position), leg(corners[i].position, corners[i + 1].position));
        let turn = (a[0] * b[1] - a[1] * b[0]).atan2(a[0] * b[0] + a[1] * b[1]).abs();
        let shorter = a[0].hypot(a[1]).min(b[0].hypot(b[1]));
        corners[i].radius = corners[i].radius.min(0.45 * shorter / (0.5 * turn).tan().max(1e-9));
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use approx::assert_relative_eq;

    fn rim() -> Rim {
        Rim {
            seat_diameter: 621.95,
            inner_width: 21.0,
            seat_width: 4.0,
            seat_angle: 2.0_f64.to_radians(),
            flange_height: 5.5,
            wall_thickness: 2.0,
            crest_radius: 0.8,
            corner_radius: 0.6,
            hump_height: 0.3,
            hump_width: 1.2,
            well_depth: 3.0,
            well_width: 8.0,
            hoop_stiffness: 7e6,
            centroid_diameter: 608.0,
        }
    }

    #[test]
    fn seat_wall_and_crest_lie_where_the_case_says() {
        let (rim, profile) = (rim(), profile(&rim(), None).unwrap());
        let seat = profile.closest_point([311.5, 8.5]);
        assert_eq!(seat.label, label::SEAT);
        assert_relative_eq!(seat.gap, (311.5 - 310.975) * rim.seat_angle.cos(), max_relative = 1e-12);
        let wall = profile.closest_point([314.0, 10.0]);
        assert_eq!(wall.label, label::WALL);
        assert_relative_eq!(wall.gap, 0.5, max_relative = 1e-12);
        assert_relative_eq!(profile.closest_point([400.0, 11.5]).gap, 400.0 - rim.crest_radius_from_axis(), max_relative = 1e-12);
    }

    #[test]
    fn a_section_without_hump_is_smooth_too() {
        let rim = Rim { hump_height: 0.0, ..rim() };
        assert!(profile(&rim, None).is_ok());
    }
}
