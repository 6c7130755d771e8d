//! The half section of the rim below its bead seats, as closed loops of lines and arcs.
//!
//! A box: bed, sides that slope to the spoke bed, spoke bed, round a cavity. A single wall: the bed alone. The flanges stand solid on
//! the seats' outer ends. Fillets that the case does not state are as large as fits, up to 1 mm inside and 2 mm outside.

use super::OutlineError;
use super::rim::{ease, label, tyre_side};
use crate::case::{DrawnOutline, Rim, Section, SectionShape};
use hoopwright_drawing::msh::SectionMesh;
use hoopwright_drawing::section::{self as drawn, Loop, Piece};
use hoopwright_profile::{Corner, Profile};

/// Largest fillets that the case does not state, inside the cavity and outside, mm.
const INSIDE: f64 = 1.0;
const OUTSIDE: f64 = 2.0;
/// Least height of a cavity, mm.
const CAVITY: f64 = 1.0;

/// The outline of a section that is drawn or meshed.
pub fn drawn_outline(section: &Section) -> Option<&DrawnOutline> {
    match &section.shape {
        SectionShape::Drawing(drawing) => Some(&drawing.outline),
        _ => None,
    }
}

/// Area, mm^2, and radius of the centroid, mm, of the half section.
///
/// # Errors
/// [`OutlineError`] saying what does not fit.
pub fn area_and_centroid(rim: &Rim, section: &Section) -> Result<(f64, f64), OutlineError> {
    if let SectionShape::Drawing(drawing) = &section.shape {
        return Ok((drawing.area, drawing.centroid));
    }
    let drawn = draw(rim, section)?;
    Ok((drawn.area(), drawn.centroid()))
}

/// The same of a drawn outline.
pub(crate) fn of_outline(outline: &DrawnOutline) -> (f64, f64) {
    match outline {
        DrawnOutline::Loops(drawn) => (drawn.area(), drawn.centroid()),
        DrawnOutline::Mesh(mesh) => meshed_area_and_centroid(mesh),
    }
}

/// Each quadratic triangle as four straight ones.
fn meshed_area_and_centroid(mesh: &SectionMesh) -> (f64, f64) {
    let (mut area, mut moment) = (0.0, 0.0);
    for t in &mesh.triangles {
        for part in [[0, 3, 5], [3, 1, 4], [5, 4, 2], [3, 4, 5]] {
            let [a, b, c] = part.map(|k| mesh.nodes[t[k]]);
            let own = 0.5 * ((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]));
            area += own;
            moment += own * (a[0] + b[0] + c[0]) / 3.0;
        }
    }
    (area, moment / area)
}

/// Draws the half section.
///
/// # Errors
/// [`OutlineError`] saying what does not fit.
pub fn draw(rim: &Rim, section: &Section) -> Result<drawn::Section, OutlineError> {
    if let Some(DrawnOutline::Loops(drawn)) = drawn_outline(section) {
        return Ok(drawn.clone());
    }
    let under = Underside::new(rim, section);
    let mut outside = tyre_side(rim);
    let shoulder = corner(under.seat, under.outside, OUTSIDE);
    outside.push(shoulder);
    match section.shape {
        SectionShape::SingleWall | SectionShape::Drawing(_) => {
            outside.extend(under.corners().into_iter().rev());
            Ok(drawn::Section { outer: Loop { pieces: pieces(outside)? }, cavities: Vec::new() })
        }
        SectionShape::Box { depth, side_thickness, spoke_bed_thickness } => {
            let bottom = 0.5 * rim.seat_diameter - depth;
            let ceiling = bottom + spoke_bed_thickness;
            if under.well - ceiling < CAVITY {
                let room = rim.well_depth + section.bed_thickness + spoke_bed_thickness + CAVITY;
                return Err(OutlineError::Shallow { depth, least: room });
            }
            let side = [shoulder.position, [bottom, 0.5 * section.spoke_bed_width]];
            outside.extend([corner(side[1][0], side[1][1], OUTSIDE), corner(bottom, 0.0, 0.0)]);
            let inner = |r: f64| offset(&side, side_thickness, r);
            let top = inner(under.seat);
            if top < under.foot + 0.1 || inner(ceiling) < 0.1 {
                return Err(OutlineError::NoCavity { thickness: side_thickness });
            }
            let mut inside =
                vec![corner(ceiling, 0.0, 0.0), corner(ceiling, inner(ceiling), INSIDE), corner(under.seat, top, INSIDE)];
            inside.extend(under.corners().into_iter().rev());
            let mut outer = pieces(outside)?;
            outer.extend(pieces(inside)?);
            Ok(drawn::Section { outer: Loop { pieces: outer }, cavities: Vec::new() })
        }
    }
}

/// The underside of the bed: parallel to well, well side and seats at the bed's thickness.
struct Underside {
    /// Radius under the well and under the seats, mm.
    well: f64,
    seat: f64,
    /// Where the slope between them begins and ends, mm from the mid-plane.
    half_well: f64,
    foot: f64,
    /// Outer side of the flange, mm from the mid-plane.
    outside: f64,
}

impl Underside {
    fn new(rim: &Rim, section: &Section) -> Self {
        let (half_well, foot) = (0.5 * rim.well_width, rim.wall() - rim.seat_width);
        let well = 0.5 * rim.seat_diameter - rim.well_depth;
        let rise = rim.seat_radius(foot) - well;
        let t = section.bed_thickness;
        // Corners of a parallel line move by the thickness times the tangent of half the turn.
        let shift = t * (0.5 * rise.atan2(foot - half_well)).tan();
        Self {
            well: well - t,
            seat: well + rise - t,
            half_well: half_well + shift,
            foot: foot + shift,
            outside: rim.wall() + rim.wall_thickness,
        }
    }

    /// From the mid-plane outward.
    fn corners(&self) -> [Corner; 3] {
        [corner(self.well, 0.0, 0.0), corner(self.well, self.half_well, INSIDE), corner(self.seat, self.foot, INSIDE)]
    }
}

/// Axial position at radius `r` of the line parallel to a side at a distance towards the mid-plane.
fn offset([a, b]: &[[f64; 2]; 2], distance: f64, r: f64) -> f64 {
    let (dr, dz) = (b[0] - a[0], b[1] - a[1]);
    let at = a[1] + (r - a[0]) * dz / dr;
    at - distance * dr.hypot(dz) / dr.abs()
}

fn corner(r: f64, z: f64, radius: f64) -> Corner {
    Corner { position: [r, z], radius, label: label::BED, fillet_label: label::BED }
}

/// Pieces of an open chain with its last point, the line from there to the next chain.
fn pieces(mut corners: Vec<Corner>) -> Result<Vec<Piece>, OutlineError> {
    ease(&mut corners);
    let chain = Profile::new(&corners)?;
    let mut pieces: Vec<Piece> = chain.pieces().into_iter().map(|(start, bulge)| Piece { start, bulge }).collect();
    pieces.push(Piece { start: chain.point(chain.length()), bulge: 0.0 });
    Ok(pieces)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::check::read;
    use crate::starter::starter;
    use approx::assert_relative_eq;

    pub(crate) fn section(shape: SectionShape) -> (Rim, Section) {
        let text = starter().replace("#shape =", "shape =").replace("\nhoop_stiffness", "\n#hoop_stiffness");
        let case = read(&text).unwrap().0;
        let section = Section { shape, ..case.section.unwrap() };
        (case.rim, section)
    }

    const BOX: SectionShape = SectionShape::Box { depth: 18.0, side_thickness: 1.2, spoke_bed_thickness: 2.0 };

    #[test]
    fn a_box_has_about_the_area_of_its_walls() {
        let (rim, section) = section(BOX);
        let drawn = draw(&rim, &section).unwrap();
        // Bed 12.5 x 1.6, well side, flange 2 x 7.1, side about 18 x 1.2, spoke bed 4 x 2.
        assert!((55.0..75.0).contains(&drawn.area()), "{}", drawn.area());
    }

    #[test]
    fn a_single_wall_is_its_bed_and_flange() {
        let (rim, section) = section(SectionShape::SingleWall);
        let drawn = draw(&rim, &section).unwrap();
        let (half, t) = (rim.wall() + rim.wall_thickness, section.bed_thickness);
        let rough = half * t + rim.wall_thickness * rim.flange_height;
        assert_relative_eq!(drawn.area(), rough, max_relative = 0.1);
    }

    #[test]
    fn a_box_without_room_is_refused() {
        let (rim, section) = section(SectionShape::Box { depth: 7.0, side_thickness: 1.2, spoke_bed_thickness: 2.0 });
        assert!(matches!(draw(&rim, &section), Err(OutlineError::Shallow { .. })));
        let thick =
            Section { shape: SectionShape::Box { depth: 18.0, side_thickness: 7.9, spoke_bed_thickness: 2.0 }, ..section };
        assert!(matches!(draw(&rim, &thick), Err(OutlineError::NoCavity { .. })));
    }
}
