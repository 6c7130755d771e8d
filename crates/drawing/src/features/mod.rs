//! The tyre side of a rim section: seat, wall, crest, hump and well with their measures, as a smooth chain of lines and arcs.
//!
//! The chain begins at the mid-plane on the bed, goes outward over hump and seat, up the straight wall, over the crest and down
//! the flange's outer side. A corner between two lines is rounded; every other kink is refused. Measures are those of the drawing
//! before rounding. Definitions: see [`Features`]; common practice, no source.

mod find;
mod measure;
mod smooth;
#[cfg(test)]
mod tests;

use crate::error::{DrawingError, Place};
use crate::section::{Piece, Section};
use crate::span::Span;

/// Radius of the fillets that sharp corners get, mm.
pub const FILLET: f64 = 0.1;
/// The same at the top of the wall, over which the tyre rolls, where the lines leave room for it: a sharper edge passes between the
/// places at which a tyre's face is followed, and no wall that a tyre lies on is made sharper.
pub const CREST_FILLET: f64 = 0.5;
/// How far below the crest the flange's outer side is followed, mm.
pub const OUTER_SIDE: f64 = 8.0;

/// Part of the rim that a piece of the chain belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Part {
    /// Bed and well.
    Bed,
    /// Hump.
    Hump,
    /// Bead seat.
    Seat,
    /// Fillet between seat and wall.
    Corner,
    /// Straight wall.
    Wall,
    /// Crest of the flange and its outer side.
    Crest,
}

/// The tyre side and its measures, mm and rad.
#[derive(Clone, Debug, PartialEq)]
pub struct Features {
    /// Pieces (r, z) from the mid-plane to `end`, without kinks over half a degree.
    pub chain: Vec<(Piece, Part)>,
    /// Where the last piece ends (r, z), mm: 8 mm below the crest, or where the outer side turns away.
    pub end: [f64; 2],
    /// Corners between lines that got a fillet.
    pub rounded: usize,
    /// Whether the crest is one of them: its radius is then that of its fillet.
    pub crest_rounded: bool,
    /// Twice the seat line's radius at the middle of the seat's width, mm.
    pub seat_diameter: f64,
    /// Distance between the straight walls, at the wall lines' middle, mm.
    pub inner_width: f64,
    /// From the wall to the seat line's inner end, along the axis, mm.
    pub seat_width: f64,
    /// From the axial direction to the seat line, rad, positive when it rises toward the wall.
    pub seat_angle: f64,
    /// From the seat line, continued to the wall, to the crest, radially, mm.
    pub flange_height: f64,
    /// From the wall to the flange's outer side at half the flange's height, along the axis, mm.
    pub wall_thickness: f64,
    /// Radius of the arc at the wall's top, mm.
    pub crest_radius: f64,
    /// Smallest radius of the arcs between seat and wall, mm.
    pub corner_radius: f64,
    /// Top of the hump above the seat line's inner end, mm; 0 for none.
    pub hump_height: f64,
    /// From the seat line's inner end to where the hump's inner flank comes back to that radius (or to the bed), along the axis, mm.
    pub hump_width: f64,
    /// Half the seat diameter minus the smallest radius inward of the seat, mm.
    pub well_depth: f64,
    /// Twice the axial position at which the flat bottom at the mid-plane ends, mm; 0 for a bottom that is not flat.
    pub well_width: f64,
}

/// Analyses the tyre side of a half section.
///
/// # Errors
/// [`DrawingError`] with the place, when there is no straight wall, no seat, no outer side, or a kink.
pub fn features(section: &Section) -> Result<Features, DrawingError> {
    let mut spans: Vec<Span> = section.outer.spans().map(|(a, b, bulge)| Span::new(a, b, bulge)).collect();
    let on_plane = (0..spans.len()).filter(|i| spans[*i].a[1].abs() < 1e-9);
    let Some(first) = on_plane.max_by(|i, j| spans[*i].a[0].total_cmp(&spans[*j].a[0])) else {
        let nearest = spans.iter().map(|s| s.a).min_by(|a, b| a[1].total_cmp(&b[1])).unwrap_or_default();
        return Err(DrawingError::NoMidPlane { place: Place::of_section(nearest) });
    };
    spans.rotate_left(first);
    of_spans(&spans)
}

/// Analyses an open chain (r, z) from the mid-plane outward, for instance the profile of a mesh.
///
/// # Errors
/// As [`features`].
pub fn chain_features(pieces: &[Piece], end: [f64; 2]) -> Result<Features, DrawingError> {
    let ends = pieces.iter().skip(1).map(|p| p.start).chain([end]);
    let spans: Vec<Span> = pieces.iter().zip(ends).map(|(p, b)| Span::new(p.start, b, p.bulge)).collect();
    match spans.first() {
        Some(first) if first.a[1].abs() < 1e-9 => of_spans(&spans),
        first => Err(DrawingError::NoMidPlane { place: Place::of_section(first.map_or(end, |s| s.a)) }),
    }
}

/// Analyses spans that begin at the mid-plane.
fn of_spans(spans: &[Span]) -> Result<Features, DrawingError> {
    let marks = find::marks(spans)?;
    let mut features = measure::measure(spans, &marks)?;
    let labelled = find::labelled(spans, &marks, features.hump_width)?;
    smooth::smooth(&labelled, &mut features)?;
    Ok(features)
}
