//! A case as its inputs with their values: the one list that the listing and a case's identity come from.
//!
//! Each part of a case is taken apart whole, so that a field added to it is not left out of the list.

use crate::case::{
    Bead, Case, Casing, Changes, Dip, Drawing, Heights, HoopLaw, Limits, Maxima, Pressure, RiderLoad, Rim, Rubber, Seating,
    Section, SectionShape, Spokes, Stands, TurnUp,
};
use crate::inputs::{self as i, Input};

/// An input with the value that it has in a case.
pub type Settled<'c> = (&'static Input, Value<'c>);

/// A value in the inner units.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Value<'c> {
    /// A number.
    Number(f64),
    /// A number that is not stated and has no default.
    NotStated,
    /// A whole number.
    Whole(usize),
    /// Yes or no.
    Flag(bool),
    /// A word or a text.
    Word(&'c str),
    /// (strain, force in N) points.
    Curve(&'c [(f64, f64)]),
    /// Heights, mm, at equal angles from this angle on, rad.
    Stations(f64, &'c [f64]),
    /// A file, of which everything that was read of it is told by its bytes.
    Drawing(&'c Drawing),
}

/// Every input of a case as it stands, defaults and derived values filled in, in the order of the case file.
///
/// Of alternatives only the one that the solver works with is listed: hoop stiffness, spoke stiffness, cord stiffness with
/// ends, and bead-to-bead length. Hoop stiffness and centroid diameter are left out where they follow from a section.
pub fn settled(case: &Case) -> Vec<Settled<'_>> {
    let Case { title, rim, section, spokes, bead, casing, rubber, friction, pressure, limits, local, refinement } = case;
    let mut all = vec![(&i::TITLE as &'static Input, Value::Word(title))];
    of_rim(rim, section.is_none(), &mut all);
    section.iter().for_each(|section| of_section(section, &mut all));
    of_spokes(spokes, &mut all);
    of_bead(bead, &mut all);
    of_casing(casing, &mut all);
    of_rubber(rubber, &mut all);
    all.push((&i::CONTACT_FRICTION, Value::Number(*friction)));
    of_pressure(pressure, &mut all);
    of_limits(limits, &mut all);
    of_seating(local, &mut all);
    all.push((&i::MESH_REFINEMENT, Value::Whole(*refinement)));
    all
}

/// Appends numbers.
fn numbers<'c, const N: usize>(all: &mut Vec<Settled<'c>>, list: [(&'static Input, f64); N]) {
    all.extend(list.map(|(input, number)| (input, Value::Number(number))));
}

fn stated<'c>(number: Option<f64>) -> Value<'c> {
    number.map_or(Value::NotStated, Value::Number)
}

fn of_rim(rim: &Rim, is_ring: bool, all: &mut Vec<Settled<'_>>) {
    let Rim {
        seat_diameter,
        inner_width,
        seat_width,
        seat_angle,
        flange_height,
        wall_thickness,
        crest_radius,
        corner_radius,
        hump_height,
        hump_width,
        well_depth,
        well_width,
        hoop_stiffness,
        centroid_diameter,
    } = *rim;
    numbers(
        all,
        [
            (&i::RIM_SEAT_DIAMETER, seat_diameter),
            (&i::RIM_INNER_WIDTH, inner_width),
            (&i::RIM_SEAT_WIDTH, seat_width),
            (&i::RIM_SEAT_ANGLE, seat_angle),
            (&i::RIM_FLANGE_HEIGHT, flange_height),
            (&i::RIM_WALL_THICKNESS, wall_thickness),
            (&i::RIM_CREST_RADIUS, crest_radius),
            (&i::RIM_CORNER_RADIUS, corner_radius),
            (&i::RIM_HUMP_HEIGHT, hump_height),
            (&i::RIM_HUMP_WIDTH, hump_width),
            (&i::RIM_WELL_DEPTH, well_depth),
            (&i::RIM_WELL_WIDTH, well_width),
        ],
    );
    if is_ring {
        numbers(all, [(&i::RIM_HOOP_STIFFNESS, hoop_stiffness), (&i::RIM_CENTROID_DIAMETER, centroid_diameter)]);
    }
}

fn of_section<'c>(section: &'c Section, all: &mut Vec<Settled<'c>>) {
    let Section {
        shape,
        bed_thickness,
        spoke_bed_width,
        modulus,
        hoop_modulus,
        poisson,
        hoop_poisson,
        density,
        strength,
        hoop_strength,
        element_size,
    } = section;
    let name = |word| (&i::SECTION_SHAPE as &'static Input, Value::Word(word));
    let bed = [(&i::SECTION_BED_THICKNESS as &'static Input, *bed_thickness)];
    match shape {
        SectionShape::SingleWall => {
            all.push(name("single wall"));
            numbers(all, bed);
        }
        // A drawing tells the bed's thickness.
        SectionShape::Drawing(drawing) => all.extend([name("drawing"), (&i::SECTION_DRAWING, Value::Drawing(drawing))]),
        SectionShape::Box { depth, side_thickness, spoke_bed_thickness } => {
            all.push(name("box"));
            let of_box = [
                (&i::SECTION_DEPTH as &'static Input, *depth),
                (&i::SECTION_SIDE_THICKNESS, *side_thickness),
                (&i::SECTION_SPOKE_BED_THICKNESS, *spoke_bed_thickness),
            ];
            numbers(all, of_box);
            numbers(all, bed);
        }
    }
    numbers(
        all,
        [
            (&i::SECTION_SPOKE_BED_WIDTH, *spoke_bed_width),
            (&i::SECTION_MODULUS, *modulus),
            (&i::SECTION_HOOP_MODULUS, *hoop_modulus),
            (&i::SECTION_POISSON, *poisson),
            (&i::SECTION_HOOP_POISSON, *hoop_poisson),
            (&i::SECTION_DENSITY, *density),
        ],
    );
    all.extend([
        (&i::SECTION_STRENGTH as &'static Input, stated(*strength)),
        (&i::SECTION_HOOP_STRENGTH, stated(*hoop_strength)),
    ]);
    numbers(all, [(&i::SECTION_ELEMENT_SIZE, *element_size)]);
}

fn of_spokes(spokes: &Spokes, all: &mut Vec<Settled<'_>>) {
    let Spokes { count, stiffness, length, pretension, bracing } = *spokes;
    all.push((&i::SPOKES_COUNT, Value::Whole(count)));
    numbers(
        all,
        [
            (&i::SPOKES_STIFFNESS, stiffness),
            (&i::SPOKES_LENGTH, length),
            (&i::SPOKES_PRETENSION, pretension),
            (&i::SPOKES_BRACING, bracing),
        ],
    );
}

fn of_bead<'c>(bead: &'c Bead, all: &mut Vec<Settled<'c>>) {
    let Bead { diameter, law, breaking_force, bundle_size, bundle_height, width, filler_height, heel_radius, toe_radius } = bead;
    numbers(all, [(&i::BEAD_DIAMETER, *diameter)]);
    all.push(match law {
        HoopLaw::Linear(stiffness) => (&i::BEAD_STIFFNESS, Value::Number(*stiffness)),
        HoopLaw::Table(points) => (&i::BEAD_CURVE, Value::Curve(points)),
    });
    all.push((&i::BEAD_BREAKING_FORCE, stated(*breaking_force)));
    numbers(
        all,
        [
            (&i::BEAD_BUNDLE_SIZE, *bundle_size),
            (&i::BEAD_BUNDLE_HEIGHT, *bundle_height),
            (&i::BEAD_WIDTH, *width),
            (&i::BEAD_FILLER_HEIGHT, *filler_height),
            (&i::BEAD_HEEL_RADIUS, *heel_radius),
            (&i::BEAD_TOE_RADIUS, *toe_radius),
        ],
    );
}

fn of_casing(casing: &Casing, all: &mut Vec<Settled<'_>>) {
    let Casing {
        plies,
        turn_up,
        cord_stiffness,
        ends,
        cord_breaking_force,
        angle,
        bead_to_bead,
        sidewall_thickness,
        tread_thickness,
        tread_width,
    } = casing;
    let turn_up = match turn_up {
        TurnUp::Overlap => Value::Word("overlap"),
        TurnUp::Height(height) => Value::Number(*height),
    };
    all.extend([(&i::CASING_PLIES as &'static Input, Value::Whole(*plies)), (&i::CASING_TURN_UP, turn_up)]);
    numbers(all, [(&i::CASING_CORD_STIFFNESS, *cord_stiffness), (&i::CASING_ENDS, *ends)]);
    all.push((&i::CASING_CORD_BREAKING_FORCE, stated(*cord_breaking_force)));
    numbers(
        all,
        [
            (&i::CASING_ANGLE, *angle),
            (&i::CASING_BEAD_TO_BEAD, *bead_to_bead),
            (&i::CASING_SIDEWALL_THICKNESS, *sidewall_thickness),
            (&i::CASING_TREAD_THICKNESS, *tread_thickness),
            (&i::CASING_TREAD_WIDTH, *tread_width),
        ],
    );
}

fn of_rubber(rubber: &Rubber, all: &mut Vec<Settled<'_>>) {
    let Rubber { bead, casing, tread, bundle, bulk } = *rubber;
    numbers(
        all,
        [
            (&i::RUBBER_BEAD, bead),
            (&i::RUBBER_CASING, casing),
            (&i::RUBBER_TREAD, tread),
            (&i::RUBBER_BUNDLE, bundle),
            (&i::RUBBER_BULK, bulk),
        ],
    );
}

fn of_pressure(pressure: &Pressure, all: &mut Vec<Settled<'_>>) {
    let Pressure { rated, test_factor, cap } = *pressure;
    numbers(all, [(&i::PRESSURE_RATED, rated), (&i::PRESSURE_TEST_FACTOR, test_factor), (&i::PRESSURE_CAP, cap)]);
}

fn of_limits(limits: &Limits, all: &mut Vec<Settled<'_>>) {
    let Limits { criterion, without_friction, spoke_loss, mounting_force, maxima } = *limits;
    all.push((&i::LIMITS_CRITERION, Value::Word(criterion.name())));
    all.push((&i::LIMITS_WITHOUT_FRICTION, Value::Flag(without_friction)));
    all.push((&i::LIMITS_SPOKE_LOSS, Value::Number(spoke_loss)));
    all.push((&i::LIMITS_MOUNTING_FORCE, stated(mounting_force)));
    let Maxima { tyre, rim, law } = maxima;
    all.push((&i::LIMITS_TYRE_PRESSURE, stated(tyre)));
    all.push((&i::LIMITS_RIM_PRESSURE, stated(rim)));
    all.push((&i::LIMITS_LAW_PRESSURE, stated(law)));
}

fn of_seating<'c>(seating: &'c Seating, all: &mut Vec<Settled<'c>>) {
    let Seating { stands, dip, rider, changes } = seating;
    match stands {
        Stands::Arc { height, length } => numbers(all, [(&i::LOCAL_UNEVENNESS, *height), (&i::LOCAL_ARC, *length)]),
        // The name of the file changes no answer.
        Stands::Measured(Heights { left, right, first, seen_at, file: _ }) => {
            all.push((&i::LOCAL_HEIGHTS_LEFT, Value::Stations(*first, left)));
            all.push((&i::LOCAL_HEIGHTS_RIGHT, Value::Stations(*first, right)));
            numbers(all, [(&i::LOCAL_SEEN_AT, *seen_at)]);
        }
    }
    if let Some(Dip { depth, length, station }) = *dip {
        numbers(all, [(&i::LOCAL_DIP, depth), (&i::LOCAL_DIP_ARC, length)]);
        all.extend(station.map(|station| (&i::LOCAL_DIP_STATION as &'static Input, Value::Number(station))));
    }
    if let Some(RiderLoad { radial, lateral, length, station }) = *rider {
        numbers(all, [(&i::LOCAL_RADIAL_LOAD, radial), (&i::LOCAL_LATERAL_LOAD, lateral)]);
        all.extend(length.map(|length| (&i::LOCAL_PATCH_LENGTH as &'static Input, Value::Number(length))));
        all.extend(station.map(|station| (&i::LOCAL_PATCH_STATION as &'static Input, Value::Number(station))));
    }
    let Changes { crest_radius, bead_width, filler_height, bead_rubber } = *changes;
    numbers(
        all,
        [
            (&i::LOCAL_CREST_RADIUS_CHANGE, crest_radius),
            (&i::LOCAL_BEAD_WIDTH_CHANGE, bead_width),
            (&i::LOCAL_FILLER_HEIGHT_CHANGE, filler_height),
            (&i::LOCAL_BEAD_RUBBER_CHANGE, bead_rubber),
        ],
    );
}
