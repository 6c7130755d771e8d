//! A case as text again: every value with its unit, defaults filled in.

use super::inputs::{self as i, Input, Kind};
use super::{Bead, Case, Casing, Criterion, HoopLaw, Limits, Rim, Seating, Section, SectionShape, Stands, TurnUp};
use crate::units::{KN, MM, MPA, PERCENT};

/// Table, key and value with its unit, of one input.
pub type Row = (&'static str, &'static str, String);

/// Every input of a case as it stands, defaults and derived values filled in, in the order of the case file.
///
/// Of alternatives only the one that the solver works with is listed: hoop stiffness, spoke stiffness, cord stiffness with
/// ends, and bead-to-bead length. Hoop stiffness and centroid diameter are left out where they follow from a section.
pub fn resolved(case: &Case) -> Vec<Row> {
    let mut rows = vec![text(&i::TITLE, &case.title)];
    rows.extend(rim(&case.rim));
    if case.section.is_none() {
        rows.push(value(&i::RIM_HOOP_STIFFNESS, case.rim.hoop_stiffness));
        rows.push(value(&i::RIM_CENTROID_DIAMETER, case.rim.centroid_diameter));
    }
    rows.extend(case.section.iter().flat_map(section));
    rows.extend([
        text(&i::SPOKES_COUNT, &case.spokes.count.to_string()),
        value(&i::SPOKES_STIFFNESS, case.spokes.stiffness),
        value(&i::SPOKES_LENGTH, case.spokes.length),
        value(&i::SPOKES_PRETENSION, case.spokes.pretension),
        value(&i::SPOKES_BRACING, case.spokes.bracing),
    ]);
    rows.extend(bead(&case.bead));
    rows.extend(casing(&case.casing));
    rows.extend([
        value(&i::RUBBER_BEAD, case.rubber.bead),
        value(&i::RUBBER_CASING, case.rubber.casing),
        value(&i::RUBBER_TREAD, case.rubber.tread),
        value(&i::RUBBER_BUNDLE, case.rubber.bundle),
        value(&i::RUBBER_BULK, case.rubber.bulk),
        value(&i::CONTACT_FRICTION, case.friction),
        value(&i::PRESSURE_RATED, case.pressure.rated),
        value(&i::PRESSURE_TEST_FACTOR, case.pressure.test_factor),
        value(&i::PRESSURE_CAP, case.pressure.cap),
    ]);
    rows.extend(limits(&case.limits));
    rows.extend(local(&case.local));
    let changes = &case.local.changes;
    rows.extend([
        value(&i::LOCAL_CREST_RADIUS_CHANGE, changes.crest_radius),
        value(&i::LOCAL_BEAD_WIDTH_CHANGE, changes.bead_width),
        value(&i::LOCAL_FILLER_HEIGHT_CHANGE, changes.filler_height),
        value(&i::LOCAL_BEAD_RUBBER_CHANGE, changes.bead_rubber),
    ]);
    rows.push(text(&i::MESH_REFINEMENT, &case.refinement.to_string()));
    rows
}

fn rim(rim: &Rim) -> [Row; 12] {
    [
        value(&i::RIM_SEAT_DIAMETER, rim.seat_diameter),
        value(&i::RIM_INNER_WIDTH, rim.inner_width),
        value(&i::RIM_SEAT_WIDTH, rim.seat_width),
        value(&i::RIM_SEAT_ANGLE, rim.seat_angle),
        value(&i::RIM_FLANGE_HEIGHT, rim.flange_height),
        value(&i::RIM_WALL_THICKNESS, rim.wall_thickness),
        value(&i::RIM_CREST_RADIUS, rim.crest_radius),
        value(&i::RIM_CORNER_RADIUS, rim.corner_radius),
        value(&i::RIM_HUMP_HEIGHT, rim.hump_height),
        value(&i::RIM_HUMP_WIDTH, rim.hump_width),
        value(&i::RIM_WELL_DEPTH, rim.well_depth),
        value(&i::RIM_WELL_WIDTH, rim.well_width),
    ]
}

fn section(section: &Section) -> Vec<Row> {
    let (name, shape_rows) = match &section.shape {
        SectionShape::SingleWall => ("single wall", Vec::new()),
        SectionShape::Drawing(drawing) => ("drawing", vec![text(&i::SECTION_DRAWING, &drawing.name)]),
        SectionShape::Box { depth, side_thickness, spoke_bed_thickness } => (
            "box",
            vec![
                value(&i::SECTION_DEPTH, *depth),
                value(&i::SECTION_SIDE_THICKNESS, *side_thickness),
                value(&i::SECTION_SPOKE_BED_THICKNESS, *spoke_bed_thickness),
            ],
        ),
    };
    let mut rows = vec![text(&i::SECTION_SHAPE, name)];
    rows.extend(shape_rows);
    if !matches!(section.shape, SectionShape::Drawing(_)) {
        rows.push(value(&i::SECTION_BED_THICKNESS, section.bed_thickness));
    }
    rows.extend([
        value(&i::SECTION_SPOKE_BED_WIDTH, section.spoke_bed_width),
        value(&i::SECTION_MODULUS, section.modulus),
        value(&i::SECTION_HOOP_MODULUS, section.hoop_modulus),
        value(&i::SECTION_POISSON, section.poisson),
        value(&i::SECTION_HOOP_POISSON, section.hoop_poisson),
        value(&i::SECTION_DENSITY, section.density),
        optional(&i::SECTION_STRENGTH, section.strength),
        optional(&i::SECTION_HOOP_STRENGTH, section.hoop_strength),
        value(&i::SECTION_ELEMENT_SIZE, section.element_size),
    ]);
    rows
}

fn bead(bead: &Bead) -> [Row; 9] {
    let law = match &bead.law {
        HoopLaw::Linear(stiffness) => value(&i::BEAD_STIFFNESS, *stiffness),
        HoopLaw::Table(points) => text(&i::BEAD_CURVE, &curve(points)),
    };
    [
        value(&i::BEAD_DIAMETER, bead.diameter),
        law,
        optional(&i::BEAD_BREAKING_FORCE, bead.breaking_force),
        value(&i::BEAD_BUNDLE_SIZE, bead.bundle_size),
        value(&i::BEAD_BUNDLE_HEIGHT, bead.bundle_height),
        value(&i::BEAD_WIDTH, bead.width),
        value(&i::BEAD_FILLER_HEIGHT, bead.filler_height),
        value(&i::BEAD_HEEL_RADIUS, bead.heel_radius),
        value(&i::BEAD_TOE_RADIUS, bead.toe_radius),
    ]
}

fn casing(casing: &Casing) -> [Row; 10] {
    let turn_up = match casing.turn_up {
        TurnUp::Overlap => text(&i::CASING_TURN_UP, "overlap"),
        TurnUp::Height(height) => value(&i::CASING_TURN_UP, height),
    };
    [
        text(&i::CASING_PLIES, &casing.plies.to_string()),
        turn_up,
        value(&i::CASING_CORD_STIFFNESS, casing.cord_stiffness),
        value(&i::CASING_ENDS, casing.ends),
        optional(&i::CASING_CORD_BREAKING_FORCE, casing.cord_breaking_force),
        value(&i::CASING_ANGLE, casing.angle),
        value(&i::CASING_BEAD_TO_BEAD, casing.bead_to_bead),
        value(&i::CASING_SIDEWALL_THICKNESS, casing.sidewall_thickness),
        value(&i::CASING_TREAD_THICKNESS, casing.tread_thickness),
        value(&i::CASING_TREAD_WIDTH, casing.tread_width),
    ]
}

fn limits(limits: &Limits) -> [Row; 4] {
    [
        text(&i::LIMITS_CRITERION, limits.criterion.name()),
        text(&i::LIMITS_WITHOUT_FRICTION, &limits.without_friction.to_string()),
        value(&i::LIMITS_SPOKE_LOSS, limits.spoke_loss),
        optional(&i::LIMITS_MOUNTING_FORCE, limits.mounting_force),
    ]
}

impl Criterion {
    /// The word for it in a case file.
    pub fn name(self) -> &'static str {
        match self {
            Self::FirstLift => "first lift",
            Self::Lower => "lower release",
            Self::Local => "local release",
            Self::OffCentre => "off-centre release",
            Self::Uniform => "uniform blow-off",
        }
    }
}

fn local(local: &Seating) -> Vec<Row> {
    let list = |heights: &[f64]| heights.iter().map(|h| MM.format(*h)).collect::<Vec<_>>().join(", ");
    let mut rows = match &local.stands {
        Stands::Arc { height, length } => vec![value(&i::LOCAL_UNEVENNESS, *height), value(&i::LOCAL_ARC, *length)],
        Stands::Measured(heights) => vec![
            text(&i::LOCAL_HEIGHTS_LEFT, &list(&heights.left)),
            text(&i::LOCAL_HEIGHTS_RIGHT, &list(&heights.right)),
            value(&i::LOCAL_SEEN_AT, heights.seen_at),
        ],
    };
    if let Some(dip) = &local.dip {
        rows.extend([value(&i::LOCAL_DIP, dip.depth), value(&i::LOCAL_DIP_ARC, dip.length)]);
        rows.extend(dip.station.map(|station| value(&i::LOCAL_DIP_STATION, station)));
    }
    rows
}

fn text(input: &Input, text: &str) -> Row {
    (input.section, input.key, text.to_owned())
}

fn value(input: &Input, inner: f64) -> Row {
    let shown = match input.kind {
        Kind::Quantity { unit, .. } | Kind::WordOr { unit, .. } => unit.format(inner),
        Kind::Modulus { .. } => MPA.format(inner),
        Kind::Count { .. } | Kind::Flag | Kind::Text | Kind::Choice(_) | Kind::Curve | Kind::Quantities { .. } | Kind::Size => {
            crate::units::number(inner)
        }
    };
    text(input, &shown)
}

fn optional(input: &Input, inner: Option<f64>) -> Row {
    inner.map_or_else(|| text(input, "not stated"), |inner| value(input, inner))
}

fn curve(points: &[(f64, f64)]) -> String {
    let shown: Vec<String> =
        points.iter().map(|(strain, force)| format!("{} {}", PERCENT.format(*strain), KN.format(*force))).collect();
    shown.join(", ")
}
