//! Good and bad tables of values behind the starter case.

#![allow(clippy::unwrap_used, clippy::panic, clippy::float_cmp)]

use super::*;
use crate::check::read;
use crate::starter::starter;

fn with(block: &str) -> String {
    format!("{}\n[vary]\n{block}\n", starter())
}

fn good(block: &str) -> Vary {
    variants(&with(block), Attached::new()).unwrap().unwrap()
}

#[test]
fn no_table_no_variants() {
    assert!(variants(&starter(), Attached::new()).unwrap().is_none());
}

#[test]
fn a_grid_takes_every_value_with_every_other_the_last_input_fastest() {
    let vary =
        good("\"rim.seat_diameter\" = [\"621.5 mm\", \"622 mm\"]\n\"bead.diameter\" = [\"620 mm\", \"620.4 mm\", \"620.8 mm\"]");
    assert_eq!(vary.combine, Combine::Grid);
    let values: Vec<&[f64]> = vary.variants.iter().map(|v| v.values.as_slice()).collect();
    let expected = [[621.5, 620.0], [621.5, 620.4], [621.5, 620.8], [622.0, 620.0], [622.0, 620.4], [622.0, 620.8]];
    assert_eq!(values, expected);
    for variant in &vary.variants {
        assert_eq!([variant.case.rim.seat_diameter, variant.case.bead.diameter], *variant.values);
        // What follows from a varied input follows from its value.
        assert_eq!(variant.case.rim.centroid_diameter, variant.values[0] - 14.0);
    }
}

#[test]
fn a_list_takes_the_values_together() {
    let vary = good("combine = \"list\"\n\"pressure.rated\" = [\"5 bar\", \"72.5 psi\"]\n\"contact.friction\" = [0.3, \"10 %\"]");
    let values: Vec<&[f64]> = vary.variants.iter().map(|v| v.values.as_slice()).collect();
    assert_eq!(values[0], [5.0, 0.3]);
    assert!((values[1][0] - 4.998_7).abs() < 1e-4 && values[1][1] == 0.1, "{values:?}");
}

#[test]
fn a_variant_is_the_case_with_that_value_typed() {
    let typed = starter().replacen("flange_height = \"5.5 mm\"", "flange_height = \"6.25 mm\"", 1);
    let vary = good("\"rim.flange_height\" = { from = \"5.5 mm\", to = \"7 mm\", count = 3 }");
    assert_eq!(vary.variants[1].case, read(&typed).unwrap().0);
    assert_eq!(vary.variants[1].notes, read(&typed).unwrap().1);
    assert_eq!(vary.variants[0].case, read(&starter()).unwrap().0);
}

#[test]
fn ranges_end_at_their_ends() {
    let of = |block: &str| good(block).inputs[0].values.clone();
    assert_eq!(of("\"rim.flange_height\" = { from = \"5 mm\", to = \"6.5 mm\", count = 4 }"), [5.0, 5.5, 6.0, 6.5]);
    assert_eq!(of("\"spokes.count\" = { from = 32, to = 20, count = 4 }"), [32.0, 28.0, 24.0, 20.0]);
    assert_eq!(of("\"contact.friction\" = { from = 0, to = 0.3, count = 4 }"), [0.0, 0.1, 0.2, 0.3]);
    assert_eq!(of("\"rubber.bead\" = { from = \"10 MPa\", to = \"20 MPa\", count = 2 }"), [10.0, 20.0]);
    assert_eq!(of("\"casing.turn_up\" = [\"12 mm\"]"), [12.0]);
    let angles = of("\"casing.angle\" = { from = \"45 deg\", to = \"90 deg\", count = 46 }");
    assert!(angles.iter().all(|a| a.fract() == 0.0), "{angles:?}");
}

#[test]
fn the_case_itself_does_not_look_at_the_table() {
    let base = read(&starter()).unwrap();
    assert_eq!(read(&with("\"rim.seat_diameter\" = [\"622 mm\"]")).unwrap(), base);
    assert_eq!(read(&with("nonsense = 3")).unwrap(), base);
}

/// Table, text pointed at, part of the sentence, part of the remedy.
#[rustfmt::skip]
const FAULTS: &[(&str, &str, &str, &str)] = &[
    ("\"rim.seat_diamter\" = [\"622 mm\"]", "\"rim.seat_diamter\"", "`rim.seat_diamter` is no input", "did you mean \"rim.seat_diameter\"?"),
    ("seat_diameter = [\"622 mm\"]", "seat_diameter", "`seat_diameter` is no input", "did you mean \"rim.seat_diameter\"?"),
    ("rim.seat_diameter = [\"622 mm\"]", "rim", "`rim` is no input", "write \"rim.seat_diameter\" in quotes"),
    ("bead.stiffness = [\"320 kN\"]\nbead.diameter = [\"620 mm\"]", "bead", "`bead` is no input", "write \"bead.stiffness\" and \"bead.diameter\" in quotes"),
    ("bead = [\"320 kN\"]", "bead", "`bead` is no input", "write \"bead.diameter\" in quotes"),
    ("\"limits.criterion\" = [\"first lift\"]", "\"limits.criterion\"", "no number and cannot be varied", "vary a quantity"),
    ("\"casing.size\" = [\"28-622\"]", "\"casing.size\"", "no number and cannot be varied", "vary a quantity"),
    ("\"rim.seat_diameter\" = \"622 mm\"", "\"622 mm\"", "a text where an array of values or a range", "\"rim.seat_diameter\" = [\"621.95 mm\"]"),
    ("\"rim.seat_diameter\" = [622]", "622", "bare number 622 where a length", "\"622 mm\""),
    ("\"rim.seat_diameter\" = [\"621 mm\", \"622 bar\"]", "\"622 bar\"", "unit of a pressure", "mm"),
    ("\"rim.seat_diameter\" = [\"9 mm\"]", "\"9 mm\"", "9 mm is out of range", "100 mm to 1000 mm"),
    ("\"rim.seat_diameter\" = []", "[]", "0 values are listed", "write, for instance"),
    ("\"spokes.count\" = [28.5]", "28.5", "a number where a whole number", "count = 28"),
    ("\"casing.turn_up\" = [\"overlap\"]", "\"overlap\"", "does not begin with a number", "number first"),
    ("\"rim.flange_height\" = { from = \"5 mm\", to = \"6 mm\" }", "{ from = \"5 mm\", to = \"6 mm\" }", "`count` is missing", "count = 4"),
    ("\"rim.flange_height\" = { from = \"5 mm\", to = \"6 mm\", count = 1 }", "1", "1 is out of range", "2 to 10000"),
    ("\"rim.flange_height\" = { from = \"5 mm\", to = \"6 mm\", count = \"3\" }", "\"3\"", "a text where the number of values", "count = 4"),
    ("\"rim.flange_height\" = { from = \"5 mm\", to = \"6 bar\", count = 3 }", "\"6 bar\"", "unit of a pressure", "mm"),
    ("\"rim.flange_height\" = { from = \"5 mm\", to = \"6 mm\", count = 3, step = 1 }", "step", "no key `step`", "count = 4"),
    ("\"rim.flange_height\" = { from = \"5 mm\", to = \"5 mm\", count = 3 }", "{ from = \"5 mm\", to = \"5 mm\", count = 3 }", "ends where it begins", "list of values"),
    ("\"spokes.count\" = { from = 20, to = 25, count = 3 }", "{ from = 20, to = 25, count = 3 }", "no whole numbers", "from = 28"),
    ("combine = \"lists\"\n\"spokes.count\" = [20]", "\"lists\"", "not one of the words", "did you mean \"list\"?"),
    ("combine = 1\n\"spokes.count\" = [20]", "1", "a whole number where a text", "combine = \"grid\""),
    ("", "vary", "[vary] names no input", "rim.seat_diameter"),
    ("combine = \"list\"\n\"spokes.count\" = [20]\n\"pressure.rated\" = [\"4 bar\", \"5 bar\"]", "vary", "spokes.count has 1 values and pressure.rated has 2", "same number"),
    ("\"rim.seat_diameter\" = { from = \"621 mm\", to = \"622 mm\", count = 101 }\n\"bead.diameter\" = { from = \"620 mm\", to = \"621 mm\", count = 100 }", "vary", "more than 10000 variants", "fewer values"),
    // Rules between inputs.
    ("\"rim.flange_height\" = [\"5.5 mm\", \"1.3 mm\"]", "\"1.3 mm\"", "with rim.flange_height = 1.3 mm: corner and crest radius take 1.6 mm", "higher flange"),
    ("\"bead.width\" = { from = \"3.8 mm\", to = \"4.1 mm\", count = 4 }", "{ from = \"3.8 mm\", to = \"4.1 mm\", count = 4 }", "with bead.width = 4.1 mm: the bead is 4.1 mm wide, its seat only 4 mm", "seat_width"),
    ("\"rim.seat_diameter\" = [\"640 mm\"]", "\"640 mm\"", "with rim.seat_diameter = 640 mm: a bead of 620.4 mm on a seat of 640 mm", "check both diameters"),
    ("\"rim.area\" = [\"100 mm2\"]", "\"100 mm2\"", "`hoop_stiffness` and `area` are both given", "drop one"),
];

#[test]
fn each_fault_is_found_at_its_place_with_its_remedy() {
    for (block, points_at, sentence, remedy) in FAULTS {
        let text = with(block);
        let CaseErrors(errors) = variants(&text, Attached::new()).unwrap_err();
        let about: Vec<&CaseError> = errors.iter().filter(|e| e.message().contains(sentence)).collect();
        let [error] = about.as_slice() else { panic!("{block}: {errors:?}") };
        assert_eq!(&text[error.span.clone()], *points_at, "{block}");
        assert!(error.remedy().contains(remedy), "{block}: {}", error.remedy());
        assert!(error.span.start > starter().len(), "{block}");
    }
}

#[test]
fn all_faults_at_once_those_of_the_case_among_them() {
    let text =
        with("\"rim.seat_diamter\" = [\"622 mm\"]\n\"spokes.count\" = [1, 28, 99]").replacen("rated = \"5 bar\"", "rated = 5", 1);
    let CaseErrors(errors) = variants(&text, Attached::new()).unwrap_err();
    let places: Vec<&str> = errors.iter().map(|e| &text[e.span.clone()]).collect();
    assert_eq!(places, ["5", "\"rim.seat_diamter\"", "1", "99"]);
}

#[test]
fn a_fault_that_many_variants_share_is_told_once() {
    let block = "\"rim.flange_height\" = [\"1.3 mm\", \"5.5 mm\"]\n\"contact.friction\" = [0.1, 0.2, 0.3]";
    let CaseErrors(errors) = variants(&with(block), Attached::new()).unwrap_err();
    assert_eq!(errors.len(), 1, "{errors:?}");
    assert!(
        errors[0].message().starts_with("with rim.flange_height = 1.3 mm, contact.friction = 0.1: "),
        "{}",
        errors[0].message()
    );
}

#[test]
fn a_misspelt_table_is_told() {
    let CaseErrors(errors) = read(&format!("{}\n[varry]\n", starter())).unwrap_err();
    assert_eq!(errors[0].remedy(), "did you mean [vary]?");
}
