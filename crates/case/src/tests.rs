//! Bad and good case texts, made from the starter case by replacing one line.

#![allow(clippy::unwrap_used, clippy::panic, clippy::float_cmp)]

use super::*;
use crate::starter::starter_with_section;
use crate::units::modulus_of_shore_a;
use approx::assert_relative_eq;

/// The starter case with the first line that begins with `line` after the header of `section` replaced.
fn edited(section: &str, line: &str, replacement: &str) -> String {
    let text = starter();
    let start = if section.is_empty() { 0 } else { text.find(&format!("[{section}]\n")).unwrap() };
    let at = start + text[start..].find(&format!("\n{line}")).unwrap() + 1;
    let end = at + text[at..].find('\n').unwrap();
    format!("{}{replacement}{}", &text[..at], &text[end..])
}

struct Fault {
    section: &'static str,
    line: &'static str,
    replacement: &'static str,
    key: &'static str,
    points_at: &'static str,
    sentence: &'static str,
    remedy: &'static str,
}

macro_rules! faults {
    ($($section:literal, $line:literal => $replacement:literal : $key:literal, $at:literal, $sentence:literal, $remedy:literal;)*) => {
        &[$(Fault {
            section: $section, line: $line, replacement: $replacement,
            key: $key, points_at: $at, sentence: $sentence, remedy: $remedy,
        }),*]
    };
}

/// Table, start of the line, its replacement: key path, text pointed at, part of the sentence, part of the remedy.
#[rustfmt::skip]
const FAULTS: &[Fault] = faults! {
    // Quantities.
    "rim", "seat_diameter" => "seat_diameter = 621.95": "rim.seat_diameter", "621.95", "bare number 621.95", "\"621.95 mm\"";
    "rim", "seat_diameter" => "seat_diameter = \"621.95\"": "rim.seat_diameter", "\"621.95\"", "bare number", "add the unit";
    "rim", "seat_diameter" => "seat_diameter = \"621.95 bar\"": "rim.seat_diameter", "\"621.95 bar\"", "unit of a pressure, but a length", "mm, cm";
    "rim", "seat_diameter" => "seat_diameter = \"621.95 mn\"": "rim.seat_diameter", "\"621.95 mn\"", "unknown unit", "\"mm\"";
    "rim", "seat_diameter" => "seat_diameter = \"nan mm\"": "rim.seat_diameter", "\"nan mm\"", "not a finite", "finite";
    "contact", "#friction" => "friction = inf": "contact.friction", "inf", "not a finite", "finite";
    "rim", "seat_diameter" => "seat_diameter = true": "rim.seat_diameter", "true", "true or false where a quantity", "seat_diameter = \"621.95 mm\"";
    "rim", "seat_diameter" => "seat_diameter = [\"1 mm\"]": "rim.seat_diameter", "[\"1 mm\"]", "an array where", "\"621.95 mm\"";
    "rubber", "#bead" => "bead = \"97 Shore A\"": "rubber.bead", "\"97 Shore A\"", "97 Shore A lies outside 20 to 95", "Young's modulus";
    // Units that the rest of the file has, or in which the number lies within its range.
    "pressure", "rated" => "rated = \"65\"": "pressure.rated", "\"65\"", "bare number 65 where a pressure", "\"65 psi\", for instance";
    "pressure", "#cap" => "cap = \"12\"": "pressure.cap", "\"12\"", "bare number 12", "\"12 bar\", a unit that the file uses elsewhere";
    "spokes", "pretension" => "pretension = 1000": "spokes.pretension", "1000", "bare number 1000 where a force", "\"1000 N\"";
    "bead", "stiffness" => "stiffness = 320": "bead.stiffness", "320", "bare number 320 where a force", "\"320 kN\", a unit";
    "rubber", "#bead" => "bead = \"75\"\ncasing = \"62 Shore A\"": "rubber.bead", "\"75\"", "bare number 75", "\"75 Shore A\", a unit";
    "rim", "seat_diameter" => "seat_diameter = \"24.48\"": "rim.seat_diameter", "\"24.48\"", "bare number 24.48", "\"24.48 cm\"";
    // Circumferences.
    "bead", "diameter" => "diameter = \"1949.4 mm\"": "bead.diameter", "\"1949.4 mm\"", "1949.4 mm is out of range for a diameter, and the circumference of one of 620.513 mm", "diameter = \"620.513 mm\"";
    "rim", "seat_diameter" => "seat_diameter = \"76.925 in\"": "rim.seat_diameter", "\"76.925 in\"", "circumference of one of 621.944 mm", "seat_diameter = ";
    "bead", "diameter" => "diameter = \"3300 mm\"": "bead.diameter", "\"3300 mm\"", "3300 mm is out of range", "100 mm to 1000 mm";
    // Ranges.
    "pressure", "rated" => "rated = \"0 bar\"": "pressure.rated", "\"0 bar\"", "0 bar is out of range", "0.1 bar to 20 bar";
    "pressure", "rated" => "rated = \"-5 bar\"": "pressure.rated", "\"-5 bar\"", "-5 bar is out of range", "0.1 bar to 20 bar";
    "casing", "#angle" => "angle = \"19 deg\"": "casing.angle", "\"19 deg\"", "19 deg is out of range", "20 deg to 90 deg";
    "casing", "#angle" => "angle = \"91 deg\"": "casing.angle", "\"91 deg\"", "out of range", "20 deg to 90 deg";
    "casing", "#sidewall_thickness" => "sidewall_thickness = \"-1 mm\"": "casing.sidewall_thickness", "\"-1 mm\"", "-1 mm is out of range", "0.2 mm to 6 mm";
    "contact", "#friction" => "friction = -0.1": "contact.friction", "-0.1", "-0.1 is out of range", "0 to 2";
    "spokes", "count" => "count = 7": "spokes.count", "7", "7 is out of range", "8 to 72";
    "spokes", "count" => "count = -9223372036854775808": "spokes.count", "-9223372036854775808", "out of range", "8 to 72";
    "mesh", "#refinement" => "refinement = 9": "mesh.refinement", "9", "9 is out of range", "1 to 8";
    // Other types.
    "spokes", "count" => "count = \"28\"": "spokes.count", "\"28\"", "a text where a whole number", "count = 28";
    "spokes", "count" => "count = 28.0": "spokes.count", "28.0", "a number where a whole number", "count = 28";
    "limits", "#without_friction" => "without_friction = \"no\"": "limits.without_friction", "\"no\"", "a text where true or false", "= false";
    "limits", "#criterion" => "criterion = \"off-center release\"": "limits.criterion", "\"off-center release\"", "not one of the words", "\"off-centre release\"";
    "limits", "#criterion" => "criterion = \"safe\"": "limits.criterion", "\"safe\"", "not one of the words", "\"first lift\", \"lower release\"";
    "", "#title" => "title = 5": "title", "5", "a whole number where a text", "title = ";
    "", "#title" => "title = \" \"": "title", "\" \"", "the title is out of range", "1 to 120 characters";
    "", "#title" => "title = \"a\\u001bb\"": "title", "\"a\\u001bb\"", "the title is out of range", "without control";
    "casing", "#turn_up" => "turn_up = \"overlapped\"": "casing.turn_up", "\"overlapped\"", "does not begin with a number", "number first";
    // Structure.
    "rim", "#seat_width" => "seat_widht = \"4 mm\"": "rim.seat_widht", "seat_widht", "unknown key `seat_widht` in [rim]", "`seat_width`";
    "rim", "#seat_width" => "rated = \"5 bar\"": "rim.rated", "rated", "unknown key", "move `rated` to [pressure]";
    "rim", "#seat_width" => "title = \"x\"": "rim.title", "title", "unknown key", "above the first table";
    "rim", "#seat_width" => "colour = \"red\"": "rim.colour", "colour", "unknown key", "starter case";
    "mesh", "#refinement" => "[spoke]\ncount = 3": "spoke", "spoke", "unknown table [spoke]", "[spokes]";
    "rim", "flange_height" => "flange_hieght = \"5.5 mm\"": "rim.flange_hieght", "flange_hieght", "unknown key", "`flange_height`";
    "rim", "hoop_stiffness" => "hoop_stifness = \"7 MN\"": "rim.hoop_stifness", "hoop_stifness", "unknown key", "`hoop_stiffness`";
    "rim", "flange_height" => "": "rim.flange_height", "rim", "`rim.flange_height` is missing", "flange_height = \"5.5 mm\"";
    "spokes", "count" => "": "spokes.count", "spokes", "`spokes.count` is missing", "count = 28";
    // Alternatives.
    "rim", "hoop_stiffness" => "": "rim.hoop_stiffness", "rim", "neither `hoop_stiffness` nor `area`", "hoop_stiffness = \"7 MN\"";
    "rim", "#area" => "area = \"104 mm2\"\nmodulus = \"69 GPa\"": "rim.area", "\"104 mm2\"", "`hoop_stiffness` and `area` are both given", "drop one";
    "rim", "hoop_stiffness" => "area = \"104 mm2\"": "rim.area", "\"104 mm2\"", "`area` has no use without `modulus`", "add `modulus`";
    "rim", "#modulus" => "modulus = \"69 GPa\"": "rim.modulus", "\"69 GPa\"", "`modulus` has no use without `area`", "drop `modulus`";
    "spokes", "#diameter" => "diameter = \"1.8 mm\"": "spokes.diameter", "\"1.8 mm\"", "both given", "drop one";
    "spokes", "stiffness" => "": "spokes.stiffness", "spokes", "neither", "stiffness = \"522 kN\"";
    "bead", "#curve" => "curve = [[\"0 %\", \"0 N\"], [\"1 %\", \"1 kN\"]]": "bead.curve", "[[\"0 %\", \"0 N\"], [\"1 %\", \"1 kN\"]]", "both given", "drop one";
    "bead", "stiffness" => "": "bead.stiffness", "bead", "neither `stiffness` nor `curve`", "add one";
    "casing", "#cord_stiffness" => "cord_stiffness = \"31 N\"\nends = \"4.7 /mm\"": "casing.cord_stiffness", "\"31 N\"", "both given", "drop one";
    "casing", "ply_stiffness" => "cord_stiffness = \"31 N\"": "casing.cord_stiffness", "\"31 N\"", "no use without `ends`", "add `ends`";
    "casing", "#size" => "size = \"28-622\"": "casing.size", "\"28-622\"", "both given", "drop one";
    // Hoop law.
    "bead", "stiffness" => "curve = [[\"0 %\", \"0 N\"]]": "bead.curve", "[[\"0 %\", \"0 N\"]]", "2 to 500 points, but 1", "rising";
    "bead", "stiffness" => "curve = [[\"0 %\", \"1 N\"], [\"1 %\", \"2 N\"]]": "bead.curve", "[\"0 %\", \"1 N\"]", "begins at 0 %, 0.001 kN", "from zero";
    "bead", "stiffness" => "curve = [[0, \"0 N\"], [\"1 %\", \"1 kN\"], [\"1 %\", \"2 kN\"]]": "bead.curve", "[\"1 %\", \"2 kN\"]", "does not rise from point 2 to point 3", "rising";
    "bead", "stiffness" => "curve = [[0, \"0 N\"], [\"1 %\", \"1 kN\"], [\"2 %\", \"1 kN\"]]": "bead.curve", "[\"2 %\", \"1 kN\"]", "does not rise from point 2 to point 3", "rising";
    "bead", "stiffness" => "curve = [[0, \"0 N\"], [\"1 %\"]]": "bead.curve", "[\"1 %\"]", "point 2 of the hoop law is an array of length 1", "pairs";
    "bead", "stiffness" => "curve = [[0, \"0 N\"], \"1 %\"]": "bead.curve", "\"1 %\"", "point 2 of the hoop law is a text", "pairs";
    "bead", "stiffness" => "curve = [[0, \"0 N\"], [\"30 %\", \"1 kN\"]]": "bead.curve", "[\"30 %\", \"1 kN\"]", "point 2 of the hoop law lies beyond 20 %", "pairs";
    "bead", "stiffness" => "curve = [[0, \"0 N\"], [\"1 %\", 5]]": "bead.curve", "5", "bare number 5 where a force", "5 kN";
    "bead", "stiffness" => "curve = \"280 kN\"": "bead.curve", "\"280 kN\"", "a text where an array", "curve = [[";
    // Sizes.
    "casing", "bead_to_bead" => "size = \"28x622\"": "casing.size", "\"28x622\"", "no tyre size", "\"28-622\"";
    "casing", "bead_to_bead" => "size = \"622-28\"": "casing.size", "\"622-28\"", "no tyre size", "\"28-622\"";
    "casing", "bead_to_bead" => "size = 28": "casing.size", "28", "a whole number where a text", "size = \"28-622\"";
    "casing", "bead_to_bead" => "size = \"28-584\"": "casing.size", "\"28-584\"", "labelled for rim code 584 with a bead seat of 583.9 mm, but the rim's seat has 621.95 mm", "killed people";
    // Rules.
    "bead", "#width" => "width = \"11 mm\"": "bead.width", "\"11 mm\"", "two beads together are 22 mm wide, the rim only 21 mm", "wider rim";
    "rim", "#well_width" => "well_width = \"13.5 mm\"": "rim.well_width", "\"13.5 mm\"", "two beads and the well take 21.5 mm", "narrower well";
    "bead", "#width" => "width = \"4.1 mm\"": "bead.width", "\"4.1 mm\"", "the bead is 4.1 mm wide, its seat only 4 mm", "seat_width";
    "rim", "#well_width" => "well_width = \"10.6 mm\"": "rim.well_width", "\"10.6 mm\"", "take 10.5 mm of the rim's half width of 10.5 mm", "narrower well";
    "rim", "#hump_height" => "hump_height = \"0.7 mm\"": "rim.hump_height", "\"0.7 mm\"", "the hump is 0.7 mm high on a width of 1.2 mm", "twice hump_height";
    "rim", "#corner_radius" => "corner_radius = \"1.1 mm\"": "rim.corner_radius", "\"1.1 mm\"", "the heel would bind", "heel_radius of at least";
    "rim", "#crest_radius" => "crest_radius = \"1.1 mm\"": "rim.crest_radius", "\"1.1 mm\"", "more than half the wall thickness", "at most half";
    "rim", "flange_height" => "flange_height = \"1.3 mm\"": "rim.flange_height", "\"1.3 mm\"", "corner and crest radius take 1.6 mm", "higher flange";
    "rim", "#centroid_diameter" => "centroid_diameter = \"304 mm\"": "rim.centroid_diameter", "\"304 mm\"", "centroid diameter of 304 mm", "not the radius";
    "bead", "diameter" => "diameter = \"602 mm\"": "bead.diameter", "\"602 mm\"", "mismatch strain of 3.31395 %", "check both diameters";
    "bead", "diameter" => "diameter = \"642 mm\"": "bead.diameter", "\"642 mm\"", "mismatch strain of -3.12305 %", "check both diameters";
    "bead", "#bundle_size" => "bundle_size = \"3.5 mm\"\nbundle_height = \"3 mm\"": "bead.bundle_size", "\"3.5 mm\"", "less than 0.3 mm of rubber on each side", "smaller bundle_size";
    "bead", "#bundle_height" => "bundle_height = \"1.2 mm\"": "bead.bundle_height", "\"1.2 mm\"", "less than 0.3 mm of rubber below", "larger bundle_height";
    "bead", "#heel_radius" => "heel_radius = \"3.3 mm\"": "bead.heel_radius", "\"3.3 mm\"", "heel and toe radius take 4.1 mm", "smaller radii";
    "casing", "bead_to_bead" => "bead_to_bead = \"20.4 mm\"": "casing.bead_to_bead", "\"20.4 mm\"", "too short for bundles 17 mm apart", "20 % longer";
    "casing", "#tread_width" => "tread_width = \"61 mm\"": "casing.tread_width", "\"61 mm\"", "take 71 mm", "narrower tread";
    "casing", "#turn_up" => "turn_up = \"36 mm\"": "casing.turn_up", "\"36 mm\"", "past the crown", "shorter turn_up";
    "casing", "#sidewall_thickness" => "sidewall_thickness = \"4.1 mm\"": "casing.sidewall_thickness", "\"4.1 mm\"", "thicker than the bead", "thinner sidewall";
    "rubber", "#bead" => "bead = \"90 MPa\"\nbulk = \"800 MPa\"": "rubber.bulk", "\"800 MPa\"", "less than ten times", "larger bulk";
    "rubber", "#bundle" => "bundle = \"200 MPa\"\nbulk = \"150 MPa\"": "rubber.bundle", "\"200 MPa\"", "across its turns is stiffer", "smaller `bundle`";
    "pressure", "#cap" => "cap = \"7 bar\"": "pressure.cap", "\"7 bar\"", "stops at 7 bar, below the required pressure of 7.5 bar", "cap of at least";
};

/// A file in inches and psi, in which one number lost its unit.
#[test]
fn a_bare_number_is_taken_for_the_unit_of_the_others() {
    let example = include_str!("../../../examples/04_inch_units.toml");
    for (section, line, unit) in [("pressure", "rated", "psi"), ("rim", "seat_diameter", "in"), ("spokes", "length", "in")] {
        let start = example.find(&format!("[{section}]")).unwrap();
        let at = start + example[start..].find(&format!("\n{line} = \"")).unwrap() + line.len() + 5;
        let end = at + example[at..].find('"').unwrap();
        let number = example[at..end].split(' ').next().unwrap();
        let errors = read(&format!("{}{number}{}", &example[..at], &example[end..])).unwrap_err();
        assert!(errors.0.len() == 1 && errors.0[0].remedy().contains(&format!("\"{number} {unit}\"")), "{errors}");
    }
}

#[test]
fn each_fault_is_found_at_its_place_with_its_remedy() {
    for fault in FAULTS {
        let text = edited(fault.section, fault.line, fault.replacement);
        let Err(CaseErrors(errors)) = read(&text) else { panic!("accepted: {}", fault.replacement) };
        let about: Vec<&CaseError> = errors.iter().filter(|e| e.message().contains(fault.sentence)).collect();
        let [error] = about.as_slice() else { panic!("{}: {errors:?}", fault.replacement) };
        assert_eq!(error.key, fault.key);
        assert_eq!(&text[error.span.clone()], fault.points_at, "{}", fault.replacement);
        assert!(error.remedy().contains(fault.remedy), "{}: {}", fault.replacement, error.remedy());
        // One bad value may break several rules, but nothing else is complained of.
        let same_place = errors.iter().all(|other| other.span == error.span);
        assert!(same_place, "{}: {errors:?}", fault.replacement);
    }
}

/// Changes that touch the limit of a rule and are admissible.
#[test]
fn the_ends_of_ranges_and_rules_are_inside() {
    for (section, line, replacement) in [
        ("pressure", "rated", "rated = \"20 bar\""),
        ("pressure", "rated", "rated = \"0.1 bar\""),
        ("pressure", "#cap", "cap = \"7.5 bar\""),
        ("casing", "#angle", "angle = \"20 deg\""),
        ("casing", "#angle", "angle = \"90 deg\""),
        ("contact", "#friction", "friction = 0"),
        ("contact", "#friction", "friction = \"30 %\""),
        ("rim", "#hump_height", "hump_height = \"0 mm\"\nwell_width = \"12.8 mm\""),
        ("rim", "#corner_radius", "corner_radius = \"1 mm\""),
        ("rim", "#crest_radius", "crest_radius = \"1 mm\""),
        ("bead", "#bundle_height", "bundle_height = \"1.3 mm\""),
        ("casing", "#turn_up", "turn_up = \"35 mm\""),
    ] {
        let result = read(&edited(section, line, replacement));
        assert!(result.is_ok(), "{replacement}: {result:?}");
    }
}

#[test]
fn all_faults_are_reported_at_once_in_the_order_of_the_text() {
    let text = "title = 5\n[rim]\nseat_diameter = 622\ninner_wide = \"21 mm\"\n[bead]\ndiameter = \"620 bar\"\n";
    let CaseErrors(errors) = read(text).unwrap_err();
    let places: Vec<(usize, usize, &str)> = errors.iter().map(|e| (e.line, e.column, e.key.as_str())).collect();
    assert_eq!(
        places,
        [
            (1, 9, "title"),
            (2, 2, "rim.flange_height"),
            (2, 2, "rim.hoop_stiffness"),
            (3, 17, "rim.seat_diameter"),
            (4, 1, "rim.inner_wide"),
            (5, 2, "bead.stiffness"),
            (6, 12, "bead.diameter"),
            (7, 1, "spokes"),
            (7, 1, "casing"),
            (7, 1, "pressure"),
        ]
    );
}

#[test]
fn a_misspelt_table_is_not_also_missing() {
    let CaseErrors(errors) = read(&starter().replace("[pressure]", "[presure]")).unwrap_err();
    assert_eq!(errors.len(), 1, "{errors:?}");
    assert!(errors[0].remedy().contains("[pressure]"));
}

#[test]
fn a_value_where_a_table_belongs() {
    let CaseErrors(errors) = read("pressure = \"5 bar\"\n").unwrap_err();
    assert_eq!((errors[0].key.as_str(), errors[0].line, errors[0].column), ("pressure", 1, 1));
    assert_eq!(errors[0].message(), "a text where a table is needed");
    assert!(errors[0].remedy().contains("[pressure] once"));
}

#[test]
fn alternatives_give_the_same_quantities() {
    let case = |section, line, replacement| read(&edited(section, line, replacement)).unwrap().0;
    let rim = case("rim", "hoop_stiffness", "area = \"104 mm2\"\nmodulus = \"69 GPa\"");
    assert_relative_eq!(rim.rim.hoop_stiffness, 104.0 * 69e3, max_relative = 1e-12);
    let spokes = case("spokes", "stiffness", "diameter = \"2 mm\"");
    assert_relative_eq!(spokes.spokes.stiffness, 200e3 * std::f64::consts::PI, max_relative = 1e-12);
    let softer = case("spokes", "stiffness", "diameter = \"2 mm\"\nmodulus = \"100 GPa\"");
    assert_relative_eq!(softer.spokes.stiffness, 100e3 * std::f64::consts::PI, max_relative = 1e-12);
    let by_ply = case("casing", "#ends", "ends = \"60 /in\"");
    assert_relative_eq!(by_ply.casing.cord_stiffness, 145.0 * 25.4 / 60.0, max_relative = 1e-12);
    let by_cord = case("casing", "ply_stiffness", "cord_stiffness = \"31 N\"\nends = \"120 /in\"");
    assert_eq!(by_cord.casing.cord_stiffness, 31.0);
    assert_relative_eq!(by_cord.casing.ends, 120.0 / 25.4, max_relative = 1e-12);
    let by_size = case("casing", "bead_to_bead", "size = \"28-622\"");
    let circle = 28.0 * (std::f64::consts::PI - (14.2_f64 / 28.0).asin());
    assert_relative_eq!(by_size.casing.bead_to_bead, circle, max_relative = 1e-12);
    assert_relative_eq!(by_size.casing.tread_width, 0.4 * circle, max_relative = 1e-12);
    let curve = case("bead", "stiffness", "curve = [[\"0 %\", \"0 N\"], [\"0.5 %\", \"1.1 kN\"], [0.02, \"5 kN\"]]");
    assert_eq!(curve.bead.law, HoopLaw::Table(vec![(0.0, 0.0), (0.005, 1100.0), (0.02, 5000.0)]));
    assert_eq!(curve.bead.law.force(0.005).0, 1100.0);
    let height = case("casing", "#turn_up", "turn_up = \"12 mm\"");
    assert_eq!(height.casing.turn_up, TurnUp::Height(12.0));
}

#[test]
fn defaults_are_those_of_the_table() {
    let case = read(&starter()).unwrap().0;
    assert_eq!(case.rubber.bead, modulus_of_shore_a(80.0).unwrap());
    assert_eq!(case.limits.criterion, Criterion::Lower);
    assert_eq!(case.casing.turn_up, TurnUp::Overlap);
    assert_relative_eq!(case.rim.centroid_diameter, 607.95, max_relative = 1e-12);
    assert_relative_eq!(case.required_pressure(), 0.75, max_relative = 1e-12);
    assert_relative_eq!(case.pressure.cap, 2.0, max_relative = 1e-12);
    assert_relative_eq!(case.casing.ends, 120.0 / 25.4, max_relative = 1e-12);
}

#[test]
fn braced_spokes_are_softer_radially() {
    let case = read(&starter()).unwrap().0;
    let spokes = Spokes { bracing: 60.0_f64.to_radians(), ..case.spokes };
    let single = spokes.stiffness / spokes.length;
    // Half of the radial displacement runs along the spoke, and half of its force pulls radially.
    assert_relative_eq!(spokes.loss(-0.1), 0.05 * single, max_relative = 1e-12);
    assert_relative_eq!(spokes.radial_stiffness(), 0.25 * single * spokes.count as f64, max_relative = 1e-12);
}

#[test]
fn inch_units_give_the_same_case() {
    let case = |replacement| read(&edited("rim", "seat_diameter", replacement)).unwrap().0;
    assert_relative_eq!(
        case("seat_diameter = \"24.5 in\"").rim.seat_diameter,
        case("seat_diameter = \"622.3 mm\"").rim.seat_diameter,
        max_relative = 1e-12
    );
}

#[test]
fn the_resolved_listing_reads_back_as_the_same_case() {
    let case = read(&edited("casing", "bead_to_bead", "size = \"28-622\"")).unwrap().0;
    let mut text = String::new();
    let mut section = "";
    for (table, key, value) in resolved(&case) {
        if table != section {
            section = table;
            text.push_str(&format!("[{table}]\n"));
        }
        let bare = matches!(key, "count" | "plies" | "without_friction" | "refinement");
        match value.as_str() {
            "not stated" => {}
            _ if bare => text.push_str(&format!("{key} = {value}\n")),
            _ => text.push_str(&format!("{key} = \"{value}\"\n")),
        }
    }
    assert_eq!(resolved(&read(&text).unwrap().0), resolved(&case));
}

#[test]
fn every_input_is_listed_once_or_stands_for_one_that_is() {
    let (ring, elastic) = (resolved(&read(&starter()).unwrap().0), resolved(&read(&starter_with_section()).unwrap().0));
    for input in inputs::INPUTS {
        let rows = if input.section == "section" { &elastic } else { &ring };
        let listed = rows.iter().filter(|row| row.0 == input.section && row.1 == input.key).count();
        let replaced =
            ["rim.area", "rim.modulus", "section.drawing", "section.drawing_unit", "spokes.diameter", "spokes.modulus"]
                .contains(&input.path().as_str())
                || ["curve", "ply_stiffness", "size"].contains(&input.key)
                || (input.section == "local" && !["unevenness", "arc"].contains(&input.key) && !input.key.ends_with("_change"));
        assert_eq!(listed, usize::from(!replaced), "{}", input.path());
    }
}

/// Rows that may change with an input besides its own.
fn followers(input: &inputs::Input) -> &'static [&'static str] {
    match (input.section, input.key) {
        ("rim", "seat_diameter") => &["centroid_diameter"],
        ("casing", "bead_to_bead") => &["tread_width"],
        ("casing", "ply_stiffness" | "ends") => &["cord_stiffness"],
        ("pressure", "rated") => &["cap"],
        _ => &[],
    }
}

#[test]
fn each_input_reaches_its_own_place_and_no_other() {
    let before = resolved(&read(&starter()).unwrap().0);
    // Alternatives have their own test.
    let alone = |i: &&&inputs::Input| !matches!(i.need, inputs::Need::Instead { .. });
    let listed = |i: &&&inputs::Input| before.iter().any(|row| row.0 == i.section && row.1 == i.key);
    for input in inputs::INPUTS.iter().filter(alone).filter(listed) {
        // Some inputs stand at the limit of a rule: those can be changed one way only.
        let changed = [0.99, 1.01].map(|factor| read(&changed_by(input, factor)));
        let (case, _) = changed.into_iter().find_map(Result::ok).unwrap_or_else(|| panic!("{}", input.path()));
        let after = resolved(&case);
        let changed = before.iter().zip(&after).filter(|(b, a)| b != a).map(|(b, _)| b.1);
        let (own, others): (Vec<&str>, Vec<&str>) = changed.partition(|key| *key == input.key);
        assert_eq!(own, [input.key]);
        assert_eq!(others, followers(input), "{}", input.path());
    }
}

/// The starter case with one input changed: a quantity by the factor, anything else to another admissible value.
fn changed_by(input: &inputs::Input, factor: f64) -> String {
    let (number, unit) = input.example().split_once(' ').unwrap_or((input.example(), ""));
    let value = match (input.kind, number.parse::<f64>()) {
        (inputs::Kind::Count { .. }, Ok(n)) => format!("{}", n + 1.0),
        (_, Ok(x)) => format!("\"{} {unit}\"", factor * x),
        (inputs::Kind::Flag, _) => "true".to_owned(),
        (inputs::Kind::Choice(words), _) => format!("\"{}\"", words[0]),
        (inputs::Kind::WordOr { .. }, _) => "\"9 mm\"".to_owned(),
        _ => "\"other\"".to_owned(),
    };
    let active = matches!(input.need, inputs::Need::Required { .. } | inputs::Need::OneOf { .. });
    let line = if active { input.line() } else { format!("#{}", input.line()) };
    edited(input.section, &line, &format!("{} = {value}", input.key))
}

/// The starter case with characters replaced, dropped or doubled by a fixed linear congruential sequence (Knuth, TAOCP 2).
#[test]
fn scrambled_cases_neither_panic_nor_slip_through_as_nan() {
    let base: Vec<char> = starter().lines().filter(|l| !l.starts_with("# ")).flat_map(|l| l.chars().chain(['\n'])).collect();
    let alphabet: Vec<char> = "0159.-+eE#\"'[]{}=,/% \n\r\tNnmµ°é\u{1F6B2}\u{0}".chars().collect();
    let mut state: u64 = 1;
    let mut next = |n: usize| {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        usize::try_from(state >> 33).unwrap() % n
    };
    let (mut accepted, mut refused) = (0, 0);
    for _ in 0..4000 {
        let mut letters = base.clone();
        for _ in 0..=next(3) {
            let at = next(letters.len());
            match next(3) {
                0 => letters[at] = alphabet[next(alphabet.len())],
                1 => drop(letters.remove(at)),
                _ => letters.insert(at, alphabet[next(alphabet.len())]),
            }
        }
        let text: String = letters.into_iter().collect();
        match read(&text) {
            Ok((case, _)) => {
                assert!(resolved(&case).iter().all(|row| !row.2.contains("NaN") && !row.2.contains("inf")), "{text}");
                accepted += 1;
            }
            Err(CaseErrors(errors)) => {
                assert!(!errors.is_empty() && errors.iter().all(|e| text.get(e.span.clone()).is_some()), "{text}");
                refused += 1;
            }
        }
    }
    assert!(accepted > 400 && refused > 400, "{accepted} accepted, {refused} refused");
}

#[test]
fn bytes_are_decoded_or_refused_at_their_place() {
    assert_eq!(decode("é\n".as_bytes()).unwrap(), "é\n");
    let CaseErrors(errors) = decode(b"a\n\xc3\xa9\xff").unwrap_err();
    assert_eq!((errors[0].line, errors[0].column, &errors[0].problem), (2, 2, &Problem::NotUtf8));
    let CaseErrors(errors) = decode(&vec![b'#'; SIZE_LIMIT + 1]).unwrap_err();
    assert_eq!(errors[0].problem, Problem::TooLarge { limit: SIZE_LIMIT });
}

#[test]
fn hostile_texts_are_refused_with_a_place() {
    let deep = format!("title = {}{}", "[".repeat(100_000), "]".repeat(100_000));
    let large = "#".repeat(SIZE_LIMIT + 1);
    for (text, line) in [
        ("", 1),
        ("[rim\n", 1),
        ("[rim]\nseat_diameter = \n", 2),
        ("[rim]\nseat_diameter = \"1 mm\"\nseat_diameter = \"1 mm\"\n", 3),
        ("[[rim]]\n[[rim]]\n", 1),
        ("[rim]\nseat_diameter = 99999999999999999999\n", 1),
        ("\u{0}", 1),
        (deep.as_str(), 1),
        (large.as_str(), 1),
    ] {
        let CaseErrors(errors) = read(text).unwrap_err();
        assert_eq!(errors[0].line, line, "{:.40}: {}", text, errors[0].message());
        assert!(!errors[0].remedy().is_empty());
    }
}
