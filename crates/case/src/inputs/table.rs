//! The table of inputs.

use super::Kind;
use super::Kind::{Choice, Count, Curve, Flag, Modulus, Size, Text};
use super::Need::{Default, Derived, Instead, OneOf, Optional, Required};
use crate::units::{BAR, DEG, GPA, KG_PER_M3, KN, MM, MM2, MN, MPA, N_PER_MM, NEWTON, ONE, PER_MM, PERCENT, Unit};

const fn quantity(unit: Unit, min: f64, max: f64) -> Kind {
    Kind::Quantity { unit, min, max }
}

const HEIGHTS: Kind = Kind::Quantities { unit: MM, min: -30.0, max: 30.0, least: 8 };
const RUBBER: Kind = Modulus { min: 0.3, max: 100.0 };
const GENT: &str = "from memory: bead filler 70 to 95, chafer 65 to 75 Shore A";

/// Statics of inputs and the list of them.
#[macro_export]
macro_rules! inputs {
    ($(#[$about:meta])* $list:ident; $($name:ident: $section:literal $key:literal, $kind:expr, $need:expr, $meaning:expr, $source:expr;)*) => {
        $(
            #[doc = concat!("`", $section, ".", $key, "`: ", $meaning, ".")]
            pub static $name: $crate::inputs::Input = $crate::inputs::Input {
                section: $section, key: $key, kind: $kind, need: $need, meaning: $meaning, source: $source,
            };
        )*
        $(#[$about])*
        pub static $list: &[&$crate::inputs::Input] = &[$(&$name),*];
    };
}

inputs! {
    /// All inputs in the order of the case file.
    INPUTS;

    TITLE: "" "title", Text, Default { value: "Untitled case" },
        "Title for tables and reports", "a placeholder";

    RIM_SEAT_DIAMETER: "rim" "seat_diameter", quantity(MM, 100.0, 1000.0), Required { example: "621.95 mm" },
        "Diameter of the bead seat at the middle of its width (tape length / pi)",
        "code 622: 621.95 +/- 0.5 mm, upper half for tubeless (ETRTO Standards Manual 2019, quoted second hand)";
    RIM_INNER_WIDTH: "rim" "inner_width", quantity(MM, 10.0, 100.0), Required { example: "21 mm" },
        "Distance between the two straight walls", "invented";
    RIM_SEAT_WIDTH: "rim" "seat_width", quantity(MM, 1.5, 20.0), Default { value: "4 mm" },
        "Width of one bead seat, from the wall to the foot of the hump", "assumption: no published value read";
    RIM_SEAT_ANGLE: "rim" "seat_angle", quantity(DEG, 0.0, 10.0), Default { value: "2 deg" },
        "Taper of the seat, its radius growing towards the wall", "from memory: 0 to 5 deg";
    RIM_FLANGE_HEIGHT: "rim" "flange_height", quantity(MM, 1.0, 20.0), Required { example: "5.5 mm" },
        "Height of the wall's crest above the seat", "code 622: 5.5 +/- 0.5 mm (ETRTO Standards Manual 2019, quoted second hand)";
    RIM_WALL_THICKNESS: "rim" "wall_thickness", quantity(MM, 0.5, 10.0), Default { value: "2 mm" },
        "Thickness of the wall", "assumption: no published value read";
    RIM_CREST_RADIUS: "rim" "crest_radius", quantity(MM, 0.1, 5.0), Default { value: "1 mm" },
        "Radius of the wall's inner upper edge", "assumption: no published value read";
    RIM_CORNER_RADIUS: "rim" "corner_radius", quantity(MM, 0.1, 5.0), Default { value: "0.6 mm" },
        "Fillet between seat and wall", "assumption: no published value read";
    RIM_HUMP_HEIGHT: "rim" "hump_height", quantity(MM, 0.0, 2.0), Default { value: "0.3 mm" },
        "Height of the hump above the seat's inner end; 0 mm for none", "from memory: 0.2 to 0.5 mm";
    RIM_HUMP_WIDTH: "rim" "hump_width", quantity(MM, 0.2, 6.0), Default { value: "1.2 mm" },
        "Width of the hump, not used without a hump", "assumption: no published value read";
    RIM_WELL_DEPTH: "rim" "well_depth", quantity(MM, 0.5, 15.0), Default { value: "3 mm" },
        "Depth of the well below the seat", "2.6 to 3.4 mm (ETRTO Standards Manual 2019, quoted second hand)";
    RIM_WELL_WIDTH: "rim" "well_width", quantity(MM, 1.0, 60.0), Default { value: "8 mm" },
        "Full width of the well's flat bottom", "7 mm or more (ETRTO Standards Manual 2019, quoted second hand)";
    RIM_HOOP_STIFFNESS: "rim" "hoop_stiffness", quantity(MN, 0.1, 100.0), OneOf { example: "7 MN", or: "area" },
        "Hoop stiffness E A of the whole rim section",
        "6.1 to 7.9 MN: seven aluminium rims by their mass (M. Ford, Reinventing the Wheel, 2018)";
    RIM_AREA: "rim" "area", quantity(MM2, 5.0, 2000.0), Instead { example: "104 mm2", of: "hoop_stiffness" },
        "Area of the rim section, with modulus", "M. Ford, Reinventing the Wheel, 2018: standard wheel";
    RIM_MODULUS: "rim" "modulus", quantity(GPA, 1.0, 500.0), Instead { example: "69 GPa", of: "hoop_stiffness" },
        "Young's modulus of the rim in hoop direction, with area",
        "aluminium 6061-T6: from memory; carbon laminates 40 to 80 GPa: from memory";
    RIM_CENTROID_DIAMETER: "rim" "centroid_diameter", quantity(MM, 50.0, 1000.0),
        Derived { rule: "seat_diameter - 14 mm", example: "607.95 mm" },
        "Diameter of the rim section's centroid", "assumption: a rim of medium depth";

    SECTION_SHAPE: "section" "shape", Choice(&["box", "single wall", "drawing"]),
        Optional { absent: "the rim is a ring of the stated hoop stiffness that keeps its section", example: "box" },
        "Shape below the seats: a hollow box, or the bed alone between solid flanges, or all of the rim as drawn",
        "two common kinds, from memory";
    SECTION_DRAWING: "section" "drawing", Text, Optional { absent: "the rim is described by its measures", example: "rim.dxf" },
        "Drawing (DXF) or mesh (MSH) of the half or whole section, beside the case file; its measures take the place of those of the table rim",
        "a name";
    SECTION_DRAWING_UNIT: "section" "drawing_unit", Choice(&["file", "mm", "cm", "m", "in"]), Default { value: "file" },
        "Unit of a DXF drawing; goes before the one that the file states", "most files state theirs";
    SECTION_DEPTH: "section" "depth", quantity(MM, 5.0, 120.0), Default { value: "18 mm" },
        "Depth of a box from the bead seat to the spoke bed's inner side", "assumption: a rim of medium depth";
    SECTION_BED_THICKNESS: "section" "bed_thickness", quantity(MM, 0.4, 8.0), Default { value: "1.6 mm" },
        "Thickness of the bed under seats and well", "assumption: no published value read";
    SECTION_SIDE_THICKNESS: "section" "side_thickness", quantity(MM, 0.4, 8.0), Default { value: "1.2 mm" },
        "Thickness of the sides of a box", "assumption: no published value read";
    SECTION_SPOKE_BED_THICKNESS: "section" "spoke_bed_thickness", quantity(MM, 0.4, 10.0), Default { value: "2 mm" },
        "Thickness of the spoke bed of a box", "assumption: no published value read";
    SECTION_SPOKE_BED_WIDTH: "section" "spoke_bed_width", quantity(MM, 1.0, 60.0), Default { value: "8 mm" },
        "Width of the spoke bed's flat, over which the spokes' forces are spread", "assumption: no published value read";
    SECTION_MODULUS: "section" "modulus", quantity(GPA, 1.0, 500.0), Default { value: "69 GPa" },
        "Young's modulus of the rim in its section", "aluminium 6061-T6: from memory; laminates across the hoop 20 to 50 GPa: from memory";
    SECTION_HOOP_MODULUS: "section" "hoop_modulus", quantity(GPA, 1.0, 500.0),
        Derived { rule: "modulus", example: "69 GPa" },
        "Young's modulus in hoop direction", "the same in all directions: metal; carbon laminates 40 to 80 GPa: from memory";
    SECTION_POISSON: "section" "poisson", quantity(ONE, 0.0, 0.49), Default { value: "0.33" },
        "Poisson's ratio within the section", "aluminium 6061-T6: from memory";
    SECTION_HOOP_POISSON: "section" "hoop_poisson", quantity(ONE, 0.0, 0.9), Derived { rule: "poisson", example: "0.33" },
        "Contraction in the section under a stress in hoop direction", "the same in all directions: metal";
    SECTION_DENSITY: "section" "density", quantity(KG_PER_M3, 500.0, 9000.0), Default { value: "2700 kg/m3" },
        "Density of the rim", "aluminium (M. Ford, Reinventing the Wheel, 2018)";
    SECTION_STRENGTH: "section" "strength", quantity(MPA, 1.0, 3000.0),
        Optional { absent: "stresses are reported without a utilisation", example: "276 MPa" },
        "Yield strength of a metal, or strength of a laminate within the section", "yield of aluminium 6061-T6: from memory";
    SECTION_HOOP_STRENGTH: "section" "hoop_strength", quantity(MPA, 1.0, 3000.0),
        Optional { absent: "the equivalent stress after von Mises is compared with `strength`", example: "400 MPa" },
        "Strength of a laminate in hoop direction; with it the largest stress in each direction counts", "invented";
    SECTION_ELEMENT_SIZE: "section" "element_size", quantity(MM, 0.1, 3.0), Default { value: "0.6 mm" },
        "Side of the section's finite elements", "a choice between speed and detail";

    SPOKES_COUNT: "spokes" "count", Count { min: 8, max: 72 }, Required { example: "28" },
        "Number of spokes", "invented";
    SPOKES_STIFFNESS: "spokes" "stiffness", quantity(KN, 50.0, 2000.0), OneOf { example: "522 kN", or: "diameter" },
        "Axial stiffness E A of one spoke", "M. Ford, Reinventing the Wheel, 2018: standard wheel";
    SPOKES_DIAMETER: "spokes" "diameter", quantity(MM, 0.8, 4.0), Instead { example: "1.8 mm", of: "stiffness" },
        "Diameter of a round spoke", "a common gauge, from memory";
    SPOKES_MODULUS: "spokes" "modulus", quantity(GPA, 1.0, 400.0),
        Derived { rule: "200 GPa where diameter is given", example: "200 GPa" },
        "Young's modulus of the spokes, with diameter only", "steel wire: from memory";
    SPOKES_LENGTH: "spokes" "length", quantity(MM, 50.0, 400.0), Required { example: "280 mm" },
        "Length of a spoke", "invented";
    SPOKES_PRETENSION: "spokes" "pretension", quantity(NEWTON, 50.0, 5000.0), Required { example: "1000 N" },
        "Mean spoke tension without the tyre", "invented; about 100 kgf is common practice, no source";

    SPOKES_BRACING: "spokes" "bracing", quantity(DEG, 0.0, 30.0), Default { value: "5 deg" },
        "Angle between a spoke and the wheel's plane", "from memory: 4 to 8 deg";

    BEAD_DIAMETER: "bead" "diameter", quantity(MM, 100.0, 1000.0), Required { example: "620.4 mm" },
        "Unstretched diameter at the bead base's middle", "invented";
    BEAD_STIFFNESS: "bead" "stiffness", quantity(KN, 5.0, 5000.0), OneOf { example: "320 kN", or: "curve" },
        "Hoop stiffness E A of the bundle: force per unit hoop strain",
        "invented; 60 to 400 kN by the sections of aramid and steel bundles, no published value found";
    BEAD_CURVE: "bead" "curve", Curve,
        Instead { example: r#"[["0 %", "0 N"], ["0.5 %", "1.1 kN"], ["1.5 %", "4.1 kN"]]"#, of: "stiffness" },
        "Hoop law of the bundle as [strain, force] points, the first at zero, both increasing", "invented";
    BEAD_BREAKING_FORCE: "bead" "breaking_force", quantity(KN, 0.1, 200.0),
        Optional { absent: "the bundle does not break", example: "8 kN" },
        "Hoop force at which the bundle breaks", "invented";
    BEAD_BUNDLE_SIZE: "bead" "bundle_size", quantity(MM, 0.5, 6.0), Default { value: "2 mm" },
        "Side of the square bundle section", "assumption: no published value read";
    BEAD_BUNDLE_HEIGHT: "bead" "bundle_height", quantity(MM, 0.6, 8.0), Default { value: "2 mm" },
        "Height of the bundle's centre above the bead base", "assumption: no published value read";
    BEAD_WIDTH: "bead" "width", quantity(MM, 1.5, 12.0), Default { value: "4 mm" },
        "Width of the bead at the bundle", "assumption: no published value read";
    BEAD_FILLER_HEIGHT: "bead" "filler_height", quantity(MM, 0.5, 30.0), Default { value: "5 mm" },
        "Height above the bundle over which the bead tapers into the sidewall", "assumption: no published value read";
    BEAD_HEEL_RADIUS: "bead" "heel_radius", quantity(MM, 0.1, 4.0), Default { value: "1 mm" },
        "Radius of the outer lower edge", "assumption: no published value read";
    BEAD_TOE_RADIUS: "bead" "toe_radius", quantity(MM, 0.1, 4.0), Default { value: "0.8 mm" },
        "Radius of the inner lower edge", "assumption: no published value read";

    CASING_PLIES: "casing" "plies", Count { min: 1, max: 6 }, Required { example: "1" },
        "Number of main plies from bead to bead, each turned up round the bundle",
        "one ply folded to two or three layers is common (a tyre designer's text)";
    CASING_TURN_UP: "casing" "turn_up", Kind::WordOr { word: "overlap", unit: MM, min: 1.0, max: 150.0 },
        Default { value: "overlap" },
        "End of the turn-up: under the tread, or at this length above the bundle", "common practice, no source";
    CASING_PLY_STIFFNESS: "casing" "ply_stiffness", quantity(N_PER_MM, 1.0, 5000.0),
        OneOf { example: "145 N/mm", or: "cord_stiffness" },
        "Stiffness of one ply along its cords, per width across the cords",
        "computed: nylon at 3 GPa, 120 cords of 105 D or 60 cords of 210 D to the inch";
    CASING_CORD_STIFFNESS: "casing" "cord_stiffness", quantity(NEWTON, 0.5, 50_000.0),
        Instead { example: "31 N", of: "ply_stiffness" },
        "Axial stiffness E A of one cord, with ends", "computed: nylon of 105 D at 3 GPa";
    CASING_ENDS: "casing" "ends", quantity(PER_MM, 0.1, 40.0),
        Derived { rule: "120 /in where ply_stiffness is given", example: "120 /in" },
        "Cords per length across the cords in one ply at the crown; printed counts may add up all layers",
        "the finest nylon (a tyre designer's text)";
    CASING_CORD_BREAKING_FORCE: "casing" "cord_breaking_force", quantity(NEWTON, 0.1, 5000.0),
        Optional { absent: "no cord breaks", example: "5 N" },
        "Breaking force of one cord", "105 D nylon: at least 0.5 kgf (a cord table)";
    CASING_ANGLE: "casing" "angle", quantity(DEG, 20.0, 90.0), Default { value: "45 deg" },
        "Cord angle at the crown from the hoop direction; 90 deg is radial", "about 45 deg (a tyre designer's text)";
    CASING_BEAD_TO_BEAD: "casing" "bead_to_bead", quantity(MM, 20.0, 300.0), OneOf { example: "70 mm", or: "size" },
        "Length along the casing from bundle centre to bundle centre", "invented";
    CASING_SIZE: "casing" "size", Size, Instead { example: "28-622", of: "bead_to_bead" },
        "Labelled size; gives bead_to_bead by the circle of that width on its measuring rim, and is checked against the rim",
        "measuring rim 65 % of widths under 30 mm, 55 % from there on (older text of ISO 5775 as read in an encyclopedia copy)";
    CASING_SIDEWALL_THICKNESS: "casing" "sidewall_thickness", quantity(MM, 0.2, 6.0), Default { value: "1 mm" },
        "Thickness of the sidewall, plies and rubber", "from memory: casings 0.6 to 1.5 mm";
    CASING_TREAD_THICKNESS: "casing" "tread_thickness", quantity(MM, 0.0, 12.0), Default { value: "1.5 mm" },
        "Rubber added on the sidewall thickness at the crown", "assumption: no published value read";
    CASING_TREAD_WIDTH: "casing" "tread_width", quantity(MM, 2.0, 200.0),
        Derived { rule: "40 % of bead_to_bead", example: "28 mm" },
        "Full arc width of the tread", "assumption: no published value read";

    RUBBER_BEAD: "rubber" "bead", RUBBER, Default { value: "80 Shore A" }, "Bead rubber and chafer", GENT;
    RUBBER_CASING: "rubber" "casing", RUBBER, Default { value: "60 Shore A" },
        "Rubber of casing and sidewall", "assumption: no published value read";
    RUBBER_TREAD: "rubber" "tread", RUBBER, Default { value: "65 Shore A" },
        "Tread", "assumption: no published value read";
    RUBBER_BUNDLE: "rubber" "bundle", quantity(MPA, 1.0, 2000.0), Default { value: "60 MPa" },
        "Bundle across its turns; its hoop stiffness comes on top", "assumption: no published value read";
    RUBBER_BULK: "rubber" "bulk", quantity(MPA, 100.0, 10_000.0), Default { value: "2000 MPa" },
        "Bulk modulus of all rubbers", "from memory";

    CONTACT_FRICTION: "contact" "friction", quantity(ONE, 0.0, 2.0), Default { value: "0.3" },
        "Coulomb friction coefficient of bead on rim",
        "from memory: 0.3 to 0.5 in tyre and rim models, soap 0.1 to 0.3; no measured value found";

    PRESSURE_RATED: "pressure" "rated", quantity(BAR, 0.1, 20.0), Required { example: "5 bar" },
        "Rated pressure", "5 bar: cap for straight-wall road rims (two published pages after ETRTO)";
    PRESSURE_TEST_FACTOR: "pressure" "test_factor", quantity(ONE, 1.0, 3.0), Default { value: "1.5" },
        "Required pressure = test factor x rated pressure",
        "common practice, no source; law and standards ask 1.1 (16 CFR 1512.10)";
    PRESSURE_CAP: "pressure" "cap", quantity(BAR, 0.1, 80.0), Derived { rule: "4 x rated", example: "20 bar" },
        "Pressure at which the search for the release stops", "assumption: far beyond any requirement";

    LIMITS_CRITERION: "limits" "criterion",
        Choice(&["first lift", "lower release", "local release", "off-centre release", "uniform blow-off"]),
        Default { value: "lower release" },
        "Retention pressure that is compared with the required pressure; the lower release is the lower of local and off-centre release",
        "one arc runs away before the whole bead does, so that all others but the first lift flatter";
    LIMITS_WITHOUT_FRICTION: "limits" "without_friction", Flag, Default { value: "false" },
        "Whether the frictionless value decides", "both values are reported either way";
    LIMITS_SPOKE_LOSS: "limits" "spoke_loss", quantity(PERCENT, 0.1, 100.0), Default { value: "25 %" },
        "Largest mean loss of spoke tension as a share of the pretension",
        "assumption: 10 to 20 % is common, up to 30 % reported (magazine, wheel builders)";
    LIMITS_MOUNTING_FORCE: "limits" "mounting_force", quantity(NEWTON, 1.0, 50_000.0),
        Optional { absent: "mounting is not judged", example: "1500 N" },
        "Largest hoop force that mounting may ask of the bead", "invented";
    LIMITS_TYRE_PRESSURE: "limits" "tyre_pressure", quantity(BAR, 0.1, 20.0),
        Optional { absent: "no maximum of the tyre bounds the pressure", example: "6 bar" },
        "Maximum pressure of the tyre, as marked on it, by the gauge and cold", "invented";
    LIMITS_RIM_PRESSURE: "limits" "rim_pressure", quantity(BAR, 0.1, 20.0),
        Optional { absent: "no maximum of the rim bounds the pressure", example: "5 bar" },
        "Maximum pressure of the rim, as marked on it, by the gauge and cold", "invented";
    LIMITS_LAW_PRESSURE: "limits" "law_pressure", quantity(BAR, 0.1, 20.0),
        Optional { absent: "no maximum of a law or standard bounds the pressure", example: "5 bar" },
        "Maximum pressure by law or standard, by the gauge and cold",
        "5 bar: cap for straight-wall road rims (two published pages after ETRTO)";

    LOCAL_UNEVENNESS: "local" "unevenness", quantity(MM, 0.01, 10.0), Default { value: "1 mm" },
        "Height of one arc of the bead over its even place",
        "assumption: measure the moulded line's height over the rim's edge at 12 to 24 stations";
    LOCAL_ARC: "local" "arc", quantity(DEG, 20.0, 180.0), Default { value: "90 deg" },
        "Length of that arc along the wheel", "assumption";
    LOCAL_HEIGHTS: "local" "heights", Text, Instead { example: "heights.csv", of: "unevenness" },
        "Measured heights of the moulded line over the rim's edge, a CSV file beside the case with the columns station (1 on) or angle, left \
         and right, with units in the head",
        "common practice, no source: 12 to 24 stations at equal angles, to 0.1 mm";
    LOCAL_HEIGHTS_LEFT: "local" "heights_left", HEIGHTS,
        Instead { example: "[\"3.1 mm\", \"3.2 mm\", \"4 mm\", \"3.3 mm\", \"3.1 mm\", \"3 mm\", \"3.1 mm\", \"3.1 mm\"]", of: "unevenness" },
        "The heights of the left bead, typed: equal angles round the wheel from station 1 on", "invented";
    LOCAL_HEIGHTS_RIGHT: "local" "heights_right", HEIGHTS,
        Instead { example: "[\"3 mm\", \"3.1 mm\", \"3.2 mm\", \"3.1 mm\", \"3 mm\", \"3 mm\", \"3.1 mm\", \"3 mm\"]", of: "unevenness" },
        "The heights of the right bead at the same stations", "invented";
    LOCAL_SEEN_AT: "local" "seen_at", quantity(BAR, 0.0, 20.0), Instead { example: "2 bar", of: "unevenness" },
        "Pressure at which the heights were measured: they have crept to an equilibrium there; without it they stand for how the bead was left \
         without pressure",
        "invented";
    LOCAL_DIP: "local" "dip", quantity(MM, 0.01, 20.0), Optional { absent: "the crest is even", example: "0.5 mm" },
        "Depth of a dip of the crest, as of a dent or a joint", "invented; lay a straight edge over the place";
    LOCAL_DIP_ARC: "local" "dip_arc", quantity(DEG, 4.0, 360.0), Optional { absent: "a dip is 20 deg long", example: "20 deg" },
        "Length of the dip along the wheel", "assumption";
    LOCAL_DIP_STATION: "local" "dip_station", quantity(DEG, 0.0, 360.0),
        Optional { absent: "the dip lies where the bead stands highest", example: "90 deg" },
        "Angle of the dip's middle as the heights are counted (station 1 at 0 deg), or from the middle of the arc that stands higher", "invented";
    LOCAL_RADIAL_LOAD: "local" "radial_load", quantity(NEWTON, 1.0, 5000.0),
        Optional { absent: "no load stands on the tread", example: "700 N" },
        "Radial load of a rider on a patch of the tread, to the axle: what one wheel carries",
        "invented; common practice, no source: 40 to 70 % of rider and bicycle, more when braking";
    LOCAL_LATERAL_LOAD: "local" "lateral_load", quantity(NEWTON, 0.0, 5000.0),
        Optional { absent: "the load is radial", example: "300 N" },
        "Lateral load on that patch, along the axle, to either side: the bead that it makes worse counts",
        "invented; no more than 1.5 times the radial load, as rubber grips on a road (from memory)";
    LOCAL_PATCH_LENGTH: "local" "patch_length", quantity(MM, 5.0, 10000.0),
        Optional { absent: "the length of an ellipse on which the rated pressure carries the radial load", example: "90 mm" },
        "Length of that patch along the wheel", "assumption: the crown of a membrane that a flat road cuts off";
    LOCAL_PATCH_STATION: "local" "patch_station", quantity(DEG, 0.0, 360.0),
        Optional { absent: "the patch lies where it does most harm", example: "90 deg" },
        "Angle of the patch's middle as the heights are counted (station 1 at 0 deg), or from the middle of the arc that stands higher", "invented";
    LOCAL_CREST_RADIUS_CHANGE: "local" "crest_radius_change", quantity(MM, 0.01, 2.0), Default { value: "0.2 mm" },
        "Plausible change of rim.crest_radius, down and up, for `assess --band`; it changes no other answer", "assumption";
    LOCAL_BEAD_WIDTH_CHANGE: "local" "bead_width_change", quantity(MM, 0.01, 3.0), Default { value: "0.3 mm" },
        "The same of bead.width, the thickness beside the bundle", "assumption";
    LOCAL_FILLER_HEIGHT_CHANGE: "local" "filler_height_change", quantity(MM, 0.01, 10.0), Default { value: "1 mm" },
        "The same of bead.filler_height, over which the bead tapers", "assumption";
    LOCAL_BEAD_RUBBER_CHANGE: "local" "bead_rubber_change", quantity(PERCENT, 1.0, 60.0), Default { value: "30 %" },
        "The same of the modulus rubber.bead", "from memory: a modulus told from a hardness is good to about 30 %";

    MESH_REFINEMENT: "mesh" "refinement", Count { min: 1, max: 8 }, Default { value: "1" },
        "Element sizes go with 1 / refinement", "a choice between speed and detail";
}
