//! Cases whose rim is drawn or meshed.

#![allow(clippy::unwrap_used, clippy::panic)]

use super::*;
use crate::starter::starter_with_section;
use approx::assert_relative_eq;
use std::sync::Arc;

/// The starter case with its rim from a stored drawing; the table of the rim is gone.
fn text(file: &str) -> String {
    let starter = starter_with_section().replace("\nshape = \"box\"", &format!("\nshape = \"drawing\"\ndrawing = \"{file}\""));
    let (head, tail) = starter.split_once("[rim]").unwrap();
    let section = tail.find("[section]").unwrap();
    format!("{head}{}", &tail[section..])
}

fn stored(file: &str) -> Attached {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../meshes").join(file);
    [(file.to_owned(), std::fs::read(path).map_err(|e| e.to_string()))].into()
}

fn drawn(file: &str) -> (Case, Vec<String>) {
    read_with(&text(file), stored(file)).unwrap()
}

#[test]
fn a_drawing_in_mm_one_in_inches_and_a_mesh_are_the_same_rim() {
    let (half, notes) = drawn("box_half.dxf");
    assert!(notes[0].contains("1 TEXT on layer section"), "{notes:?}");
    for file in ["box_full.dxf", "box.msh"] {
        let (other, _) = drawn(file);
        assert_relative_eq!(other.rim.seat_diameter, 621.95, max_relative = 1e-7);
        assert_relative_eq!(other.rim.flange_height, half.rim.flange_height, max_relative = 1e-6);
        assert_relative_eq!(other.rim.hoop_stiffness, half.rim.hoop_stiffness, max_relative = 1e-4);
        assert_relative_eq!(other.rim.centroid_diameter, half.rim.centroid_diameter, max_relative = 1e-5);
    }
}

#[test]
fn sharp_corners_are_noted() {
    let (case, notes) = drawn("shallow_solid.dxf");
    assert_relative_eq!(case.rim.inner_width, 24.0, max_relative = 1e-9);
    assert!(notes.iter().any(|n| n.contains("a fillet of 0.1 mm there; draw")), "its crest is round: {notes:?}");
    let sharp = text("sharp_corners.dxf").replace("[section]\n", "[section]\ndrawing_unit = \"mm\"\n");
    let (case, notes) = read_with(&sharp, stored("sharp_corners.dxf")).unwrap();
    assert_relative_eq!(case.rim.crest_radius, 0.5, max_relative = 1e-9);
    assert!(notes.iter().any(|n| n.contains("a fillet of 0.1 mm there, of 0.5 mm on the crest")), "{notes:?}");
    assert!(!notes.iter().any(|n| n.contains("finer than the tyre's mesh follows")), "{notes:?}");
}

#[test]
fn faults_of_a_drawing_point_at_its_name() {
    let fault = |text: &str, attached: Attached| {
        let CaseErrors(errors) = read_with(text, attached).unwrap_err();
        (errors[0].key.clone(), errors[0].problem.to_string() + " | " + &errors[0].problem.remedy())
    };
    let half = text("box_half.dxf");
    for (text, attached, key, part) in [
        (half.clone(), Attached::new(), "section.drawing", "no file is at hand"),
        (half.clone(), [("box_half.dxf".to_owned(), Err("it is gone".to_owned()))].into(), "section.drawing", "it is gone"),
        (half.clone(), [("box_half.dxf".to_owned(), Ok(b"no drawing".to_vec()))].into(), "section.drawing", "mend the drawing"),
        (half.replace("drawing = \"box_half.dxf\"\n", ""), Attached::new(), "section.shape", "drawing"),
        (half.replace("shape = \"drawing\"", "shape = \"box\""), stored("box_half.dxf"), "section.drawing", "another shape"),
        (
            half.replace("[section]", "[rim]\nflange_height = \"6 mm\"\n[section]"),
            stored("box_half.dxf"),
            "rim.flange_height",
            "read off",
        ),
        (
            half.replace("[section]", "[rim]\nhoop_stiffness = \"6 MN\"\n[section]"),
            stored("box_half.dxf"),
            "rim.hoop_stiffness",
            "follows",
        ),
    ] {
        let (found, sentence) = fault(&text, attached);
        assert_eq!(found, key, "{sentence}");
        assert!(sentence.contains(part), "{sentence}");
    }
}

#[test]
fn a_drawing_without_a_unit_is_told_the_key() {
    let name = "box_half.dxf";
    let bytes = stored(name)[name].clone().unwrap();
    let drawing = String::from_utf8(bytes).unwrap();
    let (before, after) = drawing.split_once("$INSUNITS").unwrap();
    let attached: Attached = [(name.to_owned(), Ok(format!("{before}$NOUNITS{after}").into_bytes()))].into();
    let CaseErrors(errors) = read_with(&text(name), attached.clone()).unwrap_err();
    assert!(errors[0].message().contains("drawing_unit = \"mm\" in the table section"), "{errors:?}");
    read_with(&text(name).replace("shape =", "drawing_unit = \"mm\"\nshape ="), attached).unwrap();
}

#[test]
fn a_stated_unit_goes_before_the_file_s() {
    let text = text("box_full.dxf").replace("shape =", "drawing_unit = \"mm\"\nshape =");
    let CaseErrors(errors) = read_with(&text, stored("box_full.dxf")).unwrap_err();
    assert!(errors[0].problem.to_string().contains("mm"), "{}", errors[0].problem);
}

/// Ten thousand variants hold one drawing, which is read once: read for each, a small one would take seconds, a large one the memory.
#[test]
fn variants_share_one_drawing() {
    let block = "\n[vary]\n\"bead.diameter\" = { from = \"620 mm\", to = \"621 mm\", count = 3 }\n";
    let vary = variants(&(text("box_full.dxf") + block), stored("box_full.dxf")).unwrap().unwrap();
    let drawing = |variant: &Variant| match &variant.case.section.as_ref().unwrap().shape {
        SectionShape::Drawing(drawing) => drawing.clone(),
        other => panic!("{other:?}"),
    };
    assert_eq!(vary.variants.len(), 3);
    assert!(vary.variants.iter().all(|variant| Arc::ptr_eq(&drawing(variant), &drawing(&vary.variants[0]))));
    assert!(vary.variants.iter().all(|variant| variant.notes == drawn("box_full.dxf").1));
}
