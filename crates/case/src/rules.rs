//! Rules that tie inputs to each other.
//!
//! Each rule is broken by a definite comparison, so that a value that could not be read (NaN) breaks none.

use crate::case::{Case, SectionShape, TurnUp};
use crate::error::Problem;
use crate::inputs::{self as i, Input};
use crate::reader::Reader;
use crate::seating;
use crate::units::{BAR, MM, MPA, PERCENT};

/// Rubber around the bundle needs at least this thickness, mm, to be meshed.
const COVER: f64 = 0.3;
/// What reading a drawing leaves of a round number, mm.
const ROUNDING: f64 = 1e-6;
/// Width kept for the side of the well, mm.
const WELL_SIDE: f64 = 0.1;
/// Mismatch strain beyond which a diameter is probably mistyped. Bundles break at 2 to 4 %.
const LARGEST_MISMATCH: f64 = 0.03;

/// One rule.
struct Rule {
    /// Inputs that it ties together; the first one varied, or else the first one given, is pointed at.
    keys: &'static [&'static Input],
    /// Whether the case breaks it.
    broken: fn(&Case) -> bool,
    /// The fault with its numbers.
    sentence: fn(&Case) -> String,
    /// What to do.
    remedy: &'static str,
}

/// Reports every broken rule.
pub(super) fn check(case: &Case, reader: &mut Reader<'_>) {
    seating::check(case, reader);
    for rule in RULES.iter().filter(|rule| (rule.broken)(case)) {
        let varied = rule.keys.iter().find(|key| reader.file.is_replaced(key));
        let given = rule.keys.iter().find(|key| reader.given(key));
        if let Some(key) = varied.or(given).or(rule.keys.first()) {
            let problem = Problem::Inconsistent { sentence: (rule.sentence)(case), remedy: rule.remedy };
            reader.report(key, problem);
        }
    }
}

/// Whether the rim's profile is drawn from its measures: one that is drawn by hand needs no room for what joins them.
fn by_measures(case: &Case) -> bool {
    !case.section.as_ref().is_some_and(|s| matches!(s.shape, SectionShape::Drawing(_)))
}

/// Half the rim's inner width that seat, hump and well take up, mm.
fn half_floor(case: &Case) -> f64 {
    let rim = &case.rim;
    let hump = if rim.hump_height > 0.0 { rim.hump_width } else { 0.0 };
    rim.seat_width + hump + rim.well_width / 2.0
}

/// Straight distance between the bundle centres of the seated beads, mm.
fn bundle_spacing(case: &Case) -> f64 {
    case.rim.inner_width - case.bead.width
}

fn mismatch_strain(case: &Case) -> f64 {
    case.diameter_mismatch() / case.bead.diameter
}

fn stiffest_rubber(case: &Case) -> f64 {
    case.rubber.bead.max(case.rubber.casing).max(case.rubber.tread)
}

static RULES: &[Rule] = &[
    Rule {
        keys: &[&i::BEAD_WIDTH, &i::RIM_INNER_WIDTH],
        broken: |c| 2.0 * c.bead.width > c.rim.inner_width,
        sentence: |c| {
            let (beads, rim) = (MM.show(2.0 * c.bead.width), MM.show(c.rim.inner_width));
            format!("the two beads together are {beads} wide, the rim only {rim}")
        },
        remedy: "give a smaller bead width or a wider rim",
    },
    Rule {
        keys: &[&i::RIM_WELL_WIDTH, &i::BEAD_WIDTH, &i::RIM_INNER_WIDTH],
        broken: |c| 2.0 * c.bead.width <= c.rim.inner_width && 2.0 * c.bead.width + c.rim.well_width > c.rim.inner_width,
        sentence: |c| {
            let (sum, rim) = (MM.show(2.0 * c.bead.width + c.rim.well_width), MM.show(c.rim.inner_width));
            format!("two beads and the well take {sum}, more than the rim's inner width of {rim}")
        },
        remedy: "give a narrower well (well_width), narrower beads or a wider rim (inner_width)",
    },
    Rule {
        keys: &[&i::BEAD_WIDTH, &i::RIM_SEAT_WIDTH],
        broken: |c| c.bead.width > c.rim.seat_width + ROUNDING,
        sentence: |c| format!("the bead is {} wide, its seat only {}", MM.show(c.bead.width), MM.show(c.rim.seat_width)),
        remedy: "give a wider seat ([rim] seat_width) or a narrower bead ([bead] width)",
    },
    Rule {
        keys: &[&i::RIM_WELL_WIDTH, &i::RIM_SEAT_WIDTH, &i::RIM_HUMP_WIDTH, &i::RIM_INNER_WIDTH],
        broken: |c| by_measures(c) && half_floor(c) + WELL_SIDE > c.rim.inner_width / 2.0,
        sentence: |c| {
            let (floor, half) = (MM.show(half_floor(c)), MM.show(c.rim.inner_width / 2.0));
            format!(
                "seat, hump and half the well take {floor} of the rim's half width of {half}, which leaves no room for the well's side"
            )
        },
        remedy: "give a narrower well (well_width), hump (hump_width) or seat (seat_width), or a wider rim (inner_width)",
    },
    Rule {
        keys: &[&i::RIM_HUMP_HEIGHT, &i::RIM_HUMP_WIDTH],
        broken: |c| by_measures(c) && c.rim.hump_height > c.rim.hump_width / 2.0,
        sentence: |c| format!("the hump is {} high on a width of {}", MM.show(c.rim.hump_height), MM.show(c.rim.hump_width)),
        remedy: "give a hump_width of at least twice hump_height",
    },
    Rule {
        keys: &[&i::BEAD_HEEL_RADIUS, &i::RIM_CORNER_RADIUS],
        broken: |c| c.bead.heel_radius < c.rim.corner_radius,
        sentence: |c| {
            let (heel, corner) = (MM.show(c.bead.heel_radius), MM.show(c.rim.corner_radius));
            format!(
                "the heel radius of {heel} is smaller than the rim's corner radius of {corner}: the heel would bind in the corner"
            )
        },
        remedy: "give a heel_radius of at least the rim's corner_radius",
    },
    Rule {
        keys: &[&i::RIM_CREST_RADIUS, &i::RIM_WALL_THICKNESS],
        broken: |c| c.rim.crest_radius > c.rim.wall_thickness / 2.0 + ROUNDING,
        sentence: |c| {
            let (crest, wall) = (MM.show(c.rim.crest_radius), MM.show(c.rim.wall_thickness));
            format!("a crest radius of {crest} is more than half the wall thickness of {wall}")
        },
        remedy: "give a crest_radius of at most half wall_thickness",
    },
    Rule {
        keys: &[&i::RIM_FLANGE_HEIGHT, &i::RIM_CREST_RADIUS, &i::RIM_CORNER_RADIUS],
        broken: |c| c.rim.crest_radius + c.rim.corner_radius > c.rim.flange_height,
        sentence: |c| {
            let (radii, height) = (c.rim.crest_radius + c.rim.corner_radius, c.rim.flange_height);
            format!("corner and crest radius take {}, the flange is only {} high", MM.show(radii), MM.show(height))
        },
        remedy: "give smaller radii (corner_radius, crest_radius) or a higher flange (flange_height)",
    },
    Rule {
        keys: &[&i::RIM_CENTROID_DIAMETER, &i::RIM_SEAT_DIAMETER],
        broken: |c| {
            let inward = c.rim.seat_diameter - c.rim.centroid_diameter;
            !(-10.0..=200.0).contains(&inward) && !inward.is_nan()
        },
        sentence: |c| {
            let (centroid, seat) = (MM.show(c.rim.centroid_diameter), MM.show(c.rim.seat_diameter));
            format!("a centroid diameter of {centroid} does not go with a seat diameter of {seat}")
        },
        remedy: "give the diameter (not the radius) of the rim section's centroid, 0 to 200 mm less than seat_diameter",
    },
    Rule {
        keys: &[&i::BEAD_DIAMETER, &i::RIM_SEAT_DIAMETER],
        broken: |c| mismatch_strain(c).abs() > LARGEST_MISMATCH,
        sentence: |c| {
            let (bead, seat) = (MM.show(c.bead.diameter), MM.show(c.rim.seat_diameter));
            let strain = PERCENT.format(mismatch_strain(c));
            format!(
                "a bead of {bead} on a seat of {seat} is a mismatch strain of {strain}, beyond +/-3 %: probably a typing error"
            )
        },
        remedy: "check both diameters: they are diameters, not circumferences or radii, and of the same nominal size",
    },
    Rule {
        keys: &[&i::BEAD_BUNDLE_SIZE, &i::BEAD_WIDTH],
        broken: |c| c.bead.bundle_size > c.bead.width - 2.0 * COVER,
        sentence: |c| {
            let (bundle, width) = (MM.show(c.bead.bundle_size), MM.show(c.bead.width));
            format!("a bundle of {bundle} leaves less than {} of rubber on each side in a bead of {width}", MM.show(COVER))
        },
        remedy: "give a smaller bundle_size or a wider bead (width)",
    },
    Rule {
        keys: &[&i::BEAD_BUNDLE_HEIGHT, &i::BEAD_BUNDLE_SIZE],
        broken: |c| c.bead.bundle_height - c.bead.bundle_size / 2.0 < COVER,
        sentence: |c| {
            let (height, size) = (MM.show(c.bead.bundle_height), MM.show(c.bead.bundle_size));
            format!("a bundle of {size} at a height of {height} leaves less than {} of rubber below it", MM.show(COVER))
        },
        remedy: "give a larger bundle_height or a smaller bundle_size",
    },
    Rule {
        keys: &[&i::BEAD_HEEL_RADIUS, &i::BEAD_TOE_RADIUS, &i::BEAD_WIDTH],
        broken: |c| c.bead.heel_radius + c.bead.toe_radius > c.bead.width,
        sentence: |c| {
            let (radii, width) = (c.bead.heel_radius + c.bead.toe_radius, c.bead.width);
            format!("heel and toe radius take {}, the bead is only {} wide", MM.show(radii), MM.show(width))
        },
        remedy: "give smaller radii (heel_radius, toe_radius) or a wider bead (width)",
    },
    Rule {
        keys: &[&i::CASING_BEAD_TO_BEAD, &i::CASING_SIZE, &i::RIM_INNER_WIDTH],
        broken: |c| c.casing.bead_to_bead <= 1.2 * bundle_spacing(c),
        sentence: |c| {
            let (length, spacing) = (MM.show(c.casing.bead_to_bead), MM.show(bundle_spacing(c)));
            format!("a casing of {length} from bead to bead is too short for bundles {spacing} apart")
        },
        remedy: "give a bead_to_bead more than 20 % longer than inner_width - bead width; it runs along the casing, not straight",
    },
    Rule {
        keys: &[&i::CASING_TREAD_WIDTH, &i::BEAD_FILLER_HEIGHT, &i::CASING_BEAD_TO_BEAD, &i::CASING_SIZE],
        broken: |c| c.casing.tread_width + 2.0 * c.bead.filler_height > c.casing.bead_to_bead,
        sentence: |c| {
            let taken = c.casing.tread_width + 2.0 * c.bead.filler_height;
            format!(
                "the tread and the two fillers take {}, the casing has only {} from bead to bead",
                MM.show(taken),
                MM.show(c.casing.bead_to_bead)
            )
        },
        remedy: "give a narrower tread (tread_width) or a lower filler (filler_height)",
    },
    Rule {
        keys: &[&i::CASING_TURN_UP],
        broken: |c| matches!(c.casing.turn_up, TurnUp::Height(h) if h > c.casing.bead_to_bead / 2.0),
        sentence: |c| {
            format!("the turn-up reaches past the crown: half of bead_to_bead is {}", MM.show(c.casing.bead_to_bead / 2.0))
        },
        remedy: "give a shorter turn_up, or \"overlap\"",
    },
    Rule {
        keys: &[&i::CASING_SIDEWALL_THICKNESS, &i::BEAD_WIDTH],
        broken: |c| c.casing.sidewall_thickness > c.bead.width,
        sentence: |c| {
            let (wall, bead) = (MM.show(c.casing.sidewall_thickness), MM.show(c.bead.width));
            format!("a sidewall of {wall} is thicker than the bead of {bead} that it tapers from")
        },
        remedy: "give a thinner sidewall (sidewall_thickness) or a wider bead ([bead] width)",
    },
    Rule {
        keys: &[&i::RUBBER_BULK, &i::RUBBER_BEAD, &i::RUBBER_CASING, &i::RUBBER_TREAD],
        broken: |c| c.rubber.bulk < 10.0 * stiffest_rubber(c),
        sentence: |c| {
            let (bulk, young) = (MPA.show(c.rubber.bulk), MPA.show(stiffest_rubber(c)));
            format!(
                "a bulk modulus of {bulk} is less than ten times the stiffest rubber's {young}: rubber is nearly incompressible"
            )
        },
        remedy: "give a larger bulk modulus (about 2000 MPa) or softer rubber",
    },
    Rule {
        keys: &[&i::RUBBER_BUNDLE, &i::RUBBER_BULK],
        broken: |c| c.rubber.bundle > c.rubber.bulk,
        sentence: |c| {
            let (bundle, bulk) = (MPA.show(c.rubber.bundle), MPA.show(c.rubber.bulk));
            format!("a bundle of {bundle} across its turns is stiffer than the bulk modulus of {bulk} allows")
        },
        remedy: "give a smaller `bundle` modulus: it is the stiffness across the turns, not along them",
    },
    Rule {
        keys: &[&i::PRESSURE_CAP, &i::PRESSURE_TEST_FACTOR, &i::PRESSURE_RATED],
        broken: |c| c.pressure.cap < c.required_pressure(),
        sentence: |c| {
            let (cap, required) = (BAR.format(c.pressure.cap), BAR.format(c.required_pressure()));
            format!("the search stops at {cap}, below the required pressure of {required}")
        },
        remedy: "give a cap of at least test_factor x rated",
    },
];
