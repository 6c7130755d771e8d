//! Reads a rim section from a DXF drawing.
//!
//! Drawing x is the axial coordinate from the mid-plane, drawing y the radius from the wheel's axis. Either the full section (both
//! signs of x; it must be symmetric) or one half (x >= 0, or x <= 0). Lines, arcs, circles, polylines with bulges, ellipses and splines
//! count on every layer except those that are off or frozen, those whose name begins with `construction` or `defpoints` (any case of letters), and
//! paper space. Texts, dimensions, points and hatches are passed over.

mod curve;
mod entities;
mod pairs;
#[cfg(test)]
mod tests;

use crate::error::{DrawingError, Place};
use crate::loops;
use crate::section::Section;
use crate::span::Span;

/// Most bytes read.
pub const MOST_BYTES: usize = 16 << 20;
/// Smallest radius taken for one of a rim, mm.
pub(crate) const LEAST_RADIUS: f64 = 50.0;
/// Largest radius taken for one of a rim, mm.
pub(crate) const MOST_RADIUS: f64 = 2000.0;

/// Unit of a drawing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unit {
    /// Millimetre.
    Millimetre,
    /// Centimetre.
    Centimetre,
    /// Metre.
    Metre,
    /// Inch, 25.4 mm.
    Inch,
}

impl Unit {
    /// Its length, mm.
    pub fn in_mm(self) -> f64 {
        match self {
            Self::Millimetre => 1.0,
            Self::Centimetre => 10.0,
            Self::Metre => 1000.0,
            Self::Inch => 25.4,
        }
    }

    /// From the value of $INSUNITS; none when it is 0.
    fn from_code(code: i16) -> Result<Option<Self>, DrawingError> {
        match code {
            0 => Ok(None),
            1 => Ok(Some(Self::Inch)),
            4 => Ok(Some(Self::Millimetre)),
            5 => Ok(Some(Self::Centimetre)),
            6 => Ok(Some(Self::Metre)),
            _ => Err(DrawingError::UnknownUnit { code }),
        }
    }
}

/// How to read a drawing.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Options {
    /// Unit of the drawing; goes before the one it states itself. Needed when it states none.
    pub unit: Option<Unit>,
}

/// Entities left out of the section.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Skipped {
    /// Entity type.
    pub kind: String,
    /// Layer.
    pub layer: String,
    /// How many.
    pub count: usize,
}

/// A section as drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct Drawn {
    /// The half section; its outer loop begins at the mid-plane's largest radius and goes outward along the tyre side.
    pub section: Section,
    /// Unit the drawing was read in.
    pub unit: Unit,
    /// Whether both halves were drawn.
    pub full: bool,
    /// Annotation and entities on hidden layers, by type and layer.
    pub skipped: Vec<Skipped>,
}

/// Reads a section.
///
/// # Errors
/// [`DrawingError`], with the place in drawing coordinates, mm.
pub fn read(bytes: &[u8], options: &Options) -> Result<Drawn, DrawingError> {
    if bytes.len() > MOST_BYTES {
        return Err(DrawingError::TooLarge { bytes: bytes.len(), limit: MOST_BYTES });
    }
    if bytes.contains(&0) {
        return Err(DrawingError::Binary { format: "DXF" });
    }
    let text = pairs::decode(bytes);
    let found = pairs::find(&text)?;
    let stated = if options.unit.is_some() { None } else { found.unit.map(Unit::from_code).transpose()?.flatten() };
    let unit = options.unit.or(stated).ok_or(DrawingError::NoUnit)?;
    let spans = entities::spans(&found.entities, unit.in_mm())?;
    if spans.is_empty() {
        return Err(DrawingError::Empty);
    }
    check_radii(spans.iter().flat_map(|span| [span.a, span.b]))?;
    let (section, full) = loops::section(&spans)?;
    Ok(Drawn { section, unit, full, skipped: found.skipped })
}

/// Refuses coordinates that are no radii of a wheel: the extreme y is named.
pub(crate) fn check_radii(points: impl Iterator<Item = [f64; 2]>) -> Result<(), DrawingError> {
    let wrong = |p: &[f64; 2]| !(LEAST_RADIUS..=MOST_RADIUS).contains(&p[1]) || p[0].abs() > MOST_RADIUS;
    match points.filter(wrong).max_by(|p, q| p[1].abs().total_cmp(&q[1].abs())) {
        Some(p) => Err(DrawingError::NotRadii { place: Place(p), least: LEAST_RADIUS, most: MOST_RADIUS }),
        None => Ok(()),
    }
}

/// The spans of an arc or a bulge of any sweep, none longer than half a turn.
fn halved(span: Span) -> Vec<Span> {
    if span.bulge.abs() > 1.0 { vec![span.part(0.0, 0.5), span.part(0.5, 1.0)] } else { vec![span] }
}
