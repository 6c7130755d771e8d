//! Case file to case: every value read, then the rules that tie values to each other.

use std::collections::HashMap;
use std::f64::consts::PI;

use crate::case::{
    Bead, Case, Casing, Criterion, HoopLaw, Limits, Maxima, Pressure, Rim, Rubber, Section, SectionShape, Spokes, TurnUp,
};
use crate::curve::curve_of;
use crate::drawing;
use crate::error::{CaseError, CaseErrors, Problem};
use crate::file::Attached;
use crate::file::{CaseFile, Typed};
use crate::geometry;
use crate::inputs::service::SERVICE_TABLE;
use crate::inputs::{self as i, Input, Kind};
use crate::reader::Reader;
use crate::seating::seating;
use crate::service::{Service, service_of};
use crate::size::{SizeLabel, check_against_rim, size_of};
use crate::typed::{quantity_of, text_of};
use crate::units;
use crate::{notes, rules};

/// Cords per mm in a ply whose stiffness is given without them.
const DEFAULT_ENDS: f64 = 120.0 / 25.4;
/// Young's modulus of steel spokes, MPa; from memory.
const SPOKE_MODULUS: f64 = 200e3;

/// Longest title, characters: it must fit tables and file headings.
const LONGEST_TITLE: usize = 120;

/// Reads a case from its text. Returns it with notes: whole sentences on inputs outside common practice.
///
/// # Errors
/// Every fault found, in the order of the text.
pub fn read(text: &str) -> Result<(Case, Vec<String>), CaseErrors> {
    read_with(text, Attached::new())
}

/// As [`read`], with the files that the case names.
///
/// # Errors
/// As [`read`]; a drawing that cannot be used among them.
pub fn read_with(text: &str, attached: Attached) -> Result<(Case, Vec<String>), CaseErrors> {
    let (file, structural) = CaseFile::parse(text)?;
    let file = file.with_attached(attached);
    case_of(&file, structural).map_err(|errors| with_service(&file, errors))
}

/// The faults of a case together with those of its table of service, if it has one: of that the case itself reads the keys only.
fn with_service(file: &CaseFile<'_>, errors: CaseErrors) -> CaseErrors {
    if file.has(SERVICE_TABLE.0) { service_of(file, errors.0.clone()).err().unwrap_or(errors) } else { errors }
}

/// The service of a case that has a table `[service]`.
///
/// # Errors
/// As [`service`].
pub fn stated_service(text: &str, attached: Attached) -> Result<Option<Service>, CaseErrors> {
    let (file, _) = CaseFile::parse(text)?;
    file.has(SERVICE_TABLE.0).then(|| service(text, attached)).transpose()
}

/// Reads the service of a case from its text; every default stands where the table `[service]` says nothing or is missing.
///
/// # Errors
/// Every fault found in the case and in the table.
pub fn service(text: &str, attached: Attached) -> Result<Service, CaseErrors> {
    let (file, structural) = CaseFile::parse(text)?;
    let file = file.with_attached(attached);
    let faults = case_of(&file, structural).err().map_or_else(Vec::new, |errors| errors.0);
    service_of(&file, faults)
}

/// The case of a file and its notes; `structural` are faults found in the file before.
///
/// # Errors
/// Every fault found, in the order of the text.
pub(super) fn case_of(file: &CaseFile<'_>, structural: Vec<CaseError>) -> Result<(Case, Vec<String>), CaseErrors> {
    let mut reader = Reader { file, errors: structural };
    if file.get(&i::SECTION_DRAWING).is_some() {
        // A drawing tells what the table of the rim would.
        reader.errors.retain(|e| !matches!(e.problem, Problem::MissingTable { section: "rim", .. }));
    }
    let mut drawn = Vec::new();
    let (case, label) = build(&mut reader, &mut drawn);
    rules::check(&case, &mut reader);
    if let Some(label) = label {
        check_against_rim(label, &case, &mut reader);
    }
    let mut errors = reader.errors;
    if errors.is_empty() {
        drawn.extend(notes::notes(&case, label));
        Ok((case, drawn))
    } else {
        let ranks: HashMap<String, usize> = i::INPUTS.iter().enumerate().map(|(rank, input)| (input.path(), rank)).collect();
        errors.sort_by_key(|error| (error.span.start, ranks.get(&error.key).copied()));
        Err(CaseErrors(errors))
    }
}

/// The case of a file of which a part is left open, with its faults: what is not there is NaN, and breaks no rule. It is no valid case.
pub(super) fn part_of(file: &CaseFile<'_>) -> (Case, Vec<CaseError>) {
    let mut reader = Reader { file, errors: Vec::new() };
    let (case, _) = build(&mut reader, &mut Vec::new());
    rules::check(&case, &mut reader);
    (case, reader.errors)
}

/// `notes` take what was found out on the way.
fn build(r: &mut Reader<'_>, notes: &mut Vec<String>) -> (Case, Option<SizeLabel>) {
    let section = section(r, notes);
    let mut rim = match section.as_ref().map(|s| &s.shape) {
        Some(SectionShape::Drawing(drawn)) => {
            told_by_section(r);
            drawing::rim(r, drawn)
        }
        _ => rim(r, r.given(&i::SECTION_SHAPE)),
    };
    if let Some(section) = &section {
        follow_section(r, &mut rim, section);
    }
    let bead = bead(r);
    let label = r.given(&i::CASING_SIZE).then(|| r.value(&i::CASING_SIZE, size_of)).flatten();
    let casing = casing(r, label, bead.width);
    let case = Case {
        title: r.value(&i::TITLE, title_of).unwrap_or_default(),
        section,
        spokes: spokes(r),
        rubber: rubber(r),
        friction: r.quantity(&i::CONTACT_FRICTION),
        pressure: pressure(r),
        limits: limits(r),
        local: seating(r),
        refinement: r.count(&i::MESH_REFINEMENT),
        rim,
        bead,
        casing,
    };
    (case, label)
}

fn title_of(input: &Input, value: &Typed) -> Result<String, Problem> {
    let title = text_of(input, value)?.trim();
    let length = title.chars().count();
    if (1..=LONGEST_TITLE).contains(&length) && !title.contains(char::is_control) {
        return Ok(title.to_owned());
    }
    let given = "the title".to_owned();
    let range = format!("one line of 1 to {LONGEST_TITLE} characters without control characters");
    Err(Problem::OutOfRange { given, range })
}

/// Keys of the section that need its shape.
static SECTION_KEYS: &[&Input] = &[
    &i::SECTION_DRAWING,
    &i::SECTION_DRAWING_UNIT,
    &i::SECTION_DEPTH,
    &i::SECTION_BED_THICKNESS,
    &i::SECTION_SIDE_THICKNESS,
    &i::SECTION_SPOKE_BED_THICKNESS,
    &i::SECTION_SPOKE_BED_WIDTH,
    &i::SECTION_MODULUS,
    &i::SECTION_HOOP_MODULUS,
    &i::SECTION_POISSON,
    &i::SECTION_HOOP_POISSON,
    &i::SECTION_DENSITY,
    &i::SECTION_STRENGTH,
    &i::SECTION_HOOP_STRENGTH,
    &i::SECTION_ELEMENT_SIZE,
];

fn section(r: &mut Reader<'_>, notes: &mut Vec<String>) -> Option<Section> {
    if !r.given(&i::SECTION_SHAPE) {
        for key in SECTION_KEYS {
            r.needs(key, &i::SECTION_SHAPE);
        }
        return None;
    }
    let shape = match r.choice(&i::SECTION_SHAPE) {
        0 => SectionShape::Box {
            depth: r.quantity(&i::SECTION_DEPTH),
            side_thickness: r.quantity(&i::SECTION_SIDE_THICKNESS),
            spoke_bed_thickness: r.quantity(&i::SECTION_SPOKE_BED_THICKNESS),
        },
        1 => SectionShape::SingleWall,
        _ => SectionShape::Drawing(drawing::drawing(r, notes)?),
    };
    if !matches!(shape, SectionShape::Drawing(_)) && r.given(&i::SECTION_DRAWING) {
        let sentence = "a drawing is named, and another shape given".to_owned();
        r.report(
            &i::SECTION_DRAWING,
            Problem::Inconsistent { sentence, remedy: "give the shape \"drawing\", or remove this line" },
        );
    }
    r.needs(&i::SECTION_HOOP_STRENGTH, &i::SECTION_STRENGTH);
    let (modulus, poisson) = (r.quantity(&i::SECTION_MODULUS), r.quantity(&i::SECTION_POISSON));
    Some(Section {
        shape,
        bed_thickness: r.quantity(&i::SECTION_BED_THICKNESS),
        spoke_bed_width: r.quantity(&i::SECTION_SPOKE_BED_WIDTH),
        modulus,
        hoop_modulus: r.quantity_or(&i::SECTION_HOOP_MODULUS, modulus),
        poisson,
        hoop_poisson: r.quantity_or(&i::SECTION_HOOP_POISSON, poisson),
        density: r.quantity(&i::SECTION_DENSITY),
        strength: r.optional(&i::SECTION_STRENGTH),
        hoop_strength: r.optional(&i::SECTION_HOOP_STRENGTH),
        element_size: r.quantity(&i::SECTION_ELEMENT_SIZE),
    })
}

/// Hoop stiffness and centroid of the rim from its section.
fn follow_section(r: &mut Reader<'_>, rim: &mut Rim, section: &Section) {
    if !r.errors.is_empty() {
        // What cannot be read is reported; a section drawn with it would only say so again.
        return;
    }
    match geometry::section::area_and_centroid(rim, section) {
        Ok((area, centroid)) => {
            rim.hoop_stiffness = 2.0 * area * section.hoop_modulus;
            rim.centroid_diameter = 2.0 * centroid;
        }
        Err(fault) => {
            let remedy = "change the section's thicknesses, its depth or the rim's measures so that they fit together";
            r.report(&i::SECTION_SHAPE, Problem::Inconsistent { sentence: fault.to_string(), remedy });
        }
    }
}

/// Reports what a section tells by itself.
fn told_by_section(r: &mut Reader<'_>) {
    for key in [&i::RIM_HOOP_STIFFNESS, &i::RIM_AREA, &i::RIM_MODULUS, &i::RIM_CENTROID_DIAMETER] {
        if r.given(key) {
            let sentence = format!("the rim's section is given, and {} follows from it", key.key);
            r.report(key, Problem::Inconsistent { sentence, remedy: "remove this line, or the [section] table" });
        }
    }
}

fn rim(r: &mut Reader<'_>, by_section: bool) -> Rim {
    let seat_diameter = r.quantity(&i::RIM_SEAT_DIAMETER);
    r.needs(&i::RIM_AREA, &i::RIM_MODULUS);
    r.needs(&i::RIM_MODULUS, &i::RIM_AREA);
    let hoop_stiffness = if by_section {
        told_by_section(r);
        f64::NAN
    } else if r.first_of(&i::RIM_HOOP_STIFFNESS, &i::RIM_AREA) {
        r.quantity_or(&i::RIM_HOOP_STIFFNESS, f64::NAN)
    } else {
        let area = r.quantity(&i::RIM_AREA);
        area * r.quantity_or(&i::RIM_MODULUS, f64::NAN)
    };
    Rim {
        seat_diameter,
        inner_width: r.quantity(&i::RIM_INNER_WIDTH),
        seat_width: r.quantity(&i::RIM_SEAT_WIDTH),
        seat_angle: r.quantity(&i::RIM_SEAT_ANGLE),
        flange_height: r.quantity(&i::RIM_FLANGE_HEIGHT),
        wall_thickness: r.quantity(&i::RIM_WALL_THICKNESS),
        crest_radius: r.quantity(&i::RIM_CREST_RADIUS),
        corner_radius: r.quantity(&i::RIM_CORNER_RADIUS),
        hump_height: r.quantity(&i::RIM_HUMP_HEIGHT),
        hump_width: r.quantity(&i::RIM_HUMP_WIDTH),
        well_depth: r.quantity(&i::RIM_WELL_DEPTH),
        well_width: r.quantity(&i::RIM_WELL_WIDTH),
        hoop_stiffness,
        centroid_diameter: r.quantity_or(&i::RIM_CENTROID_DIAMETER, seat_diameter - 14.0),
    }
}

fn spokes(r: &mut Reader<'_>) -> Spokes {
    r.needs(&i::SPOKES_MODULUS, &i::SPOKES_DIAMETER);
    let stiffness = if r.first_of(&i::SPOKES_STIFFNESS, &i::SPOKES_DIAMETER) {
        r.quantity_or(&i::SPOKES_STIFFNESS, f64::NAN)
    } else {
        let diameter = r.quantity(&i::SPOKES_DIAMETER);
        r.quantity_or(&i::SPOKES_MODULUS, SPOKE_MODULUS) * PI * diameter * diameter / 4.0
    };
    Spokes {
        count: r.count(&i::SPOKES_COUNT),
        stiffness,
        length: r.quantity(&i::SPOKES_LENGTH),
        pretension: r.quantity(&i::SPOKES_PRETENSION),
        bracing: r.quantity(&i::SPOKES_BRACING),
    }
}

fn bead(r: &mut Reader<'_>) -> Bead {
    let law = if r.first_of(&i::BEAD_STIFFNESS, &i::BEAD_CURVE) {
        HoopLaw::Linear(r.quantity_or(&i::BEAD_STIFFNESS, f64::NAN))
    } else {
        hoop_curve(r)
    };
    Bead {
        diameter: r.quantity(&i::BEAD_DIAMETER),
        law,
        breaking_force: r.optional(&i::BEAD_BREAKING_FORCE),
        bundle_size: r.quantity(&i::BEAD_BUNDLE_SIZE),
        bundle_height: r.quantity(&i::BEAD_BUNDLE_HEIGHT),
        width: r.quantity(&i::BEAD_WIDTH),
        filler_height: r.quantity(&i::BEAD_FILLER_HEIGHT),
        heel_radius: r.quantity(&i::BEAD_HEEL_RADIUS),
        toe_radius: r.quantity(&i::BEAD_TOE_RADIUS),
    }
}

fn hoop_curve(r: &mut Reader<'_>) -> HoopLaw {
    match r.file.get(&i::BEAD_CURVE).map(|entry| curve_of(&i::BEAD_CURVE, entry)) {
        Some(Ok(points)) => return HoopLaw::Table(points),
        Some(Err((span, problem))) => r.report_at(&i::BEAD_CURVE, span, problem),
        None => {}
    }
    HoopLaw::Linear(f64::NAN)
}

fn casing(r: &mut Reader<'_>, label: Option<SizeLabel>, bead_width: f64) -> Casing {
    let (cord_stiffness, ends) = cords(r);
    let bead_to_bead = bead_to_bead(r, label, bead_width);
    let turn_up = r.value(&i::CASING_TURN_UP, turn_up_of).unwrap_or(TurnUp::Overlap);
    Casing {
        plies: r.count(&i::CASING_PLIES),
        turn_up,
        cord_stiffness,
        ends,
        cord_breaking_force: r.optional(&i::CASING_CORD_BREAKING_FORCE),
        angle: r.quantity(&i::CASING_ANGLE),
        bead_to_bead,
        sidewall_thickness: r.quantity(&i::CASING_SIDEWALL_THICKNESS),
        tread_thickness: r.quantity(&i::CASING_TREAD_THICKNESS),
        tread_width: r.quantity_or(&i::CASING_TREAD_WIDTH, 0.4 * bead_to_bead),
    }
}

/// Stiffness of one cord, N, and cords per mm.
fn cords(r: &mut Reader<'_>) -> (f64, f64) {
    let by_ply = r.first_of(&i::CASING_PLY_STIFFNESS, &i::CASING_CORD_STIFFNESS);
    if by_ply {
        let ends = r.quantity_or(&i::CASING_ENDS, DEFAULT_ENDS);
        (r.quantity_or(&i::CASING_PLY_STIFFNESS, f64::NAN) / ends, ends)
    } else {
        r.needs(&i::CASING_CORD_STIFFNESS, &i::CASING_ENDS);
        (r.quantity(&i::CASING_CORD_STIFFNESS), r.quantity_or(&i::CASING_ENDS, f64::NAN))
    }
}

fn bead_to_bead(r: &mut Reader<'_>, label: Option<SizeLabel>, bead_width: f64) -> f64 {
    if r.first_of(&i::CASING_BEAD_TO_BEAD, &i::CASING_SIZE) {
        return r.quantity_or(&i::CASING_BEAD_TO_BEAD, f64::NAN);
    }
    let Some(label) = label else { return f64::NAN };
    label.bead_to_bead(bead_width).unwrap_or_else(|| {
        let sentence = format!(
            "a tyre labelled {} has no room between two beads {} wide on its measuring rim",
            units::MM.show(label.width),
            units::MM.show(bead_width)
        );
        let remedy = "check `size` and [bead] width, or give bead_to_bead instead of size";
        r.report(&i::CASING_SIZE, Problem::Inconsistent { sentence, remedy });
        f64::NAN
    })
}

fn turn_up_of(input: &Input, value: &Typed) -> Result<TurnUp, Problem> {
    match (value, input.kind) {
        (Typed::Text(text), Kind::WordOr { word, .. }) if text == word => Ok(TurnUp::Overlap),
        _ => quantity_of(input, value).map(TurnUp::Height),
    }
}

fn rubber(r: &mut Reader<'_>) -> Rubber {
    Rubber {
        bead: r.quantity(&i::RUBBER_BEAD),
        casing: r.quantity(&i::RUBBER_CASING),
        tread: r.quantity(&i::RUBBER_TREAD),
        bundle: r.quantity(&i::RUBBER_BUNDLE),
        bulk: r.quantity(&i::RUBBER_BULK),
    }
}

fn pressure(r: &mut Reader<'_>) -> Pressure {
    let rated = r.quantity(&i::PRESSURE_RATED);
    Pressure { rated, test_factor: r.quantity(&i::PRESSURE_TEST_FACTOR), cap: r.quantity_or(&i::PRESSURE_CAP, 4.0 * rated) }
}

fn limits(r: &mut Reader<'_>) -> Limits {
    let criterion = match r.choice(&i::LIMITS_CRITERION) {
        0 => Criterion::FirstLift,
        1 => Criterion::Lower,
        2 => Criterion::Local,
        3 => Criterion::OffCentre,
        _ => Criterion::Uniform,
    };
    Limits {
        criterion,
        without_friction: r.flag(&i::LIMITS_WITHOUT_FRICTION),
        spoke_loss: r.quantity(&i::LIMITS_SPOKE_LOSS),
        mounting_force: r.optional(&i::LIMITS_MOUNTING_FORCE),
        maxima: Maxima {
            tyre: r.optional(&i::LIMITS_TYRE_PRESSURE),
            rim: r.optional(&i::LIMITS_RIM_PRESSURE),
            law: r.optional(&i::LIMITS_LAW_PRESSURE),
        },
    }
}
