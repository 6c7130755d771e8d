//! A rim's section from a drawing or mesh that the case names.
//!
//! This crate opens no file: who reads a case asks [`drawing_named`] which file it wants and attaches its bytes.

use std::sync::Arc;

use hoopwright_drawing::dxf::{self, MOST_BYTES, Options, Unit};
use hoopwright_drawing::features::{FILLET, chain_features, features};
use hoopwright_drawing::{DrawingError, msh};
use sha2::{Digest, Sha256};

use crate::case::{Drawing, DrawnOutline, Rim};
use crate::error::Problem;
use crate::file::{CaseFile, Typed};
use crate::geometry;
use crate::inputs::{self as i, Input};
use crate::reader::Reader;
use crate::typed::text_of;
use crate::units::MM;

/// Largest drawing, bytes.
pub const LARGEST_DRAWING: usize = MOST_BYTES;

/// The name of the drawing that a case's text asks for, if it reads so far.
pub fn drawing_named(text: &str) -> Option<String> {
    let (file, _) = CaseFile::parse(text).ok()?;
    match &file.get(&i::SECTION_DRAWING)?.value {
        Typed::Text(name) => Some(name.clone()),
        _ => None,
    }
}

/// Reads the drawing that a case names; reports what is wrong with it. `notes` take what was left out or changed.
pub(super) fn drawing(r: &mut Reader<'_>, notes: &mut Vec<String>) -> Option<Arc<Drawing>> {
    if !r.given(&i::SECTION_DRAWING) {
        r.report(&i::SECTION_SHAPE, Problem::Alone { key: "shape", partner: i::SECTION_DRAWING.key });
        return None;
    }
    let name = r.value(&i::SECTION_DRAWING, name_of)?;
    let (file, unit) = (r.file, unit(r));
    let read = || match file.attached.get(&name) {
        None => Err("no file is at hand: drawings are found beside a case that is read from a file".to_owned()),
        Some(Err(reason)) => Err(reason.clone()),
        Some(Ok(bytes)) => {
            let mut notes = Vec::new();
            let drawing = read(unit, &name, bytes, &mut notes).map_err(|fault| told(&fault))?;
            Ok((Arc::new(drawing), notes))
        }
    };
    match file.drawn.get_or_init(read) {
        Ok((drawing, told)) => {
            notes.extend(told.iter().cloned());
            Some(drawing.clone())
        }
        Err(sentence) => {
            r.report(&i::SECTION_DRAWING, Problem::Drawing { name, sentence: sentence.clone() });
            None
        }
    }
}

fn name_of(input: &Input, value: &Typed) -> Result<String, Problem> {
    text_of(input, value).map(str::to_owned)
}

/// What is wrong with a drawing, and the key that helps where one does.
fn told(fault: &DrawingError) -> String {
    match fault {
        DrawingError::NoUnit => {
            let key = &i::SECTION_DRAWING_UNIT;
            format!("{fault} by the key `{}`, as in {} = \"mm\" in the table {}", key.key, key.key, key.section)
        }
        _ => fault.to_string(),
    }
}

fn read(unit: Option<Unit>, name: &str, bytes: &[u8], notes: &mut Vec<String>) -> Result<Drawing, DrawingError> {
    let name = name.to_owned();
    let is_mesh = name.to_lowercase().ends_with(".msh");
    let (outline, features) = if is_mesh {
        let mesh = msh::read(bytes)?;
        let (pieces, end) = msh::profile(&mesh)?;
        let features = chain_features(&pieces, end)?;
        (DrawnOutline::Mesh(mesh), features)
    } else {
        let drawn = dxf::read(bytes, &Options { unit })?;
        let left_out = drawn.skipped.iter().map(|s| format!("{} {} on layer {}", s.count, s.kind, s.layer));
        let left_out: Vec<String> = left_out.collect();
        if !left_out.is_empty() {
            notes.push(format!("Of the drawing {name} these were left out: {}.", left_out.join(", ")));
        }
        let features = features(&drawn.section)?;
        (DrawnOutline::Loops(drawn.section), features)
    };
    if features.rounded > 0 {
        let crest =
            if features.crest_rounded { format!(", of {} on the crest", MM.show(features.crest_radius)) } else { String::new() };
        notes.push(format!(
            "The drawing {name} has {} sharp corner(s) on the tyre side: the tyre meets a fillet of {} there{crest}; draw the radii that the \
             rim has. The stress in a sharp corner grows as the elements get smaller.",
            features.rounded,
            MM.show(FILLET)
        ));
    }
    let (area, centroid) = geometry::section::of_outline(&outline);
    Ok(Drawing { name, digest: digest(is_mesh, unit, bytes), outline, area, centroid, features })
}

/// Of everything that the outline is read from.
fn digest(is_mesh: bool, unit: Option<Unit>, bytes: &[u8]) -> [u8; 32] {
    let unit = match unit {
        None => 0,
        Some(Unit::Millimetre) => 1,
        Some(Unit::Centimetre) => 2,
        Some(Unit::Metre) => 3,
        Some(Unit::Inch) => 4,
    };
    Sha256::new().chain_update([u8::from(is_mesh), unit]).chain_update(bytes).finalize().into()
}

fn unit(r: &mut Reader<'_>) -> Option<Unit> {
    match r.choice(&i::SECTION_DRAWING_UNIT) {
        1 => Some(Unit::Millimetre),
        2 => Some(Unit::Centimetre),
        3 => Some(Unit::Metre),
        4 => Some(Unit::Inch),
        _ => None,
    }
}

/// Measures of the rim that a drawing tells.
pub(super) static MEASURES: &[&Input] = &[
    &i::RIM_SEAT_DIAMETER,
    &i::RIM_INNER_WIDTH,
    &i::RIM_SEAT_WIDTH,
    &i::RIM_SEAT_ANGLE,
    &i::RIM_FLANGE_HEIGHT,
    &i::RIM_WALL_THICKNESS,
    &i::RIM_CREST_RADIUS,
    &i::RIM_CORNER_RADIUS,
    &i::RIM_HUMP_HEIGHT,
    &i::RIM_HUMP_WIDTH,
    &i::RIM_WELL_DEPTH,
    &i::RIM_WELL_WIDTH,
];

/// The rim as a drawing tells it, without hoop stiffness and centroid; reports measures that the case gives as well.
pub(super) fn rim(r: &mut Reader<'_>, drawing: &Drawing) -> Rim {
    for key in MEASURES.iter().filter(|key| r.given(key)).collect::<Vec<_>>() {
        let sentence = format!("the rim is drawn, and {} is read off the drawing", key.key);
        r.report(key, Problem::Inconsistent { sentence, remedy: "remove this line, or give the section another shape" });
    }
    let f = &drawing.features;
    Rim {
        seat_diameter: f.seat_diameter,
        inner_width: f.inner_width,
        seat_width: f.seat_width,
        seat_angle: f.seat_angle,
        flange_height: f.flange_height,
        wall_thickness: f.wall_thickness,
        crest_radius: f.crest_radius,
        corner_radius: f.corner_radius,
        hump_height: f.hump_height,
        hump_width: f.hump_width,
        well_depth: f.well_depth,
        well_width: f.well_width,
        hoop_stiffness: f64::NAN,
        centroid_diameter: f64::NAN,
    }
}
