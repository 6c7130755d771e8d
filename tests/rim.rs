//! `hoopwright assess` of a tyre on an elastic rim section: numbers, balances, files, wrong input.

use crate::common::{Folder, project};
use serde_json::Value;
use std::fs;
use std::sync::OnceLock;

const EXAMPLE: &str = "06_elastic_rim.toml";

/// The example's text, table and folder of files, solved once.
fn solved() -> &'static (String, Value, Folder) {
    static SOLVED: OnceLock<(String, Value, Folder)> = OnceLock::new();
    SOLVED.get_or_init(|| {
        let folder = Folder::new("rim");
        folder.write("case.toml", text());
        let (table, _) = folder.expect(0, &["assess", "-q", "case.toml", "--out", "out"]);
        let result = serde_json::from_slice(&fs::read(folder.0.join("out/result.json")).unwrap()).unwrap();
        (table, result, folder)
    })
}

fn text() -> String {
    fs::read_to_string(project().join("examples").join(EXAMPLE)).unwrap()
}

fn number(v: &Value, path: &str) -> f64 {
    let found = path.split('.').fold(v, |v, key| key.parse::<usize>().map_or(&v[key], |i| &v[i]));
    found.as_f64().unwrap_or_else(|| panic!("{path}: {found}"))
}

#[test]
fn the_section_answers_the_designer() {
    let (_, result, _) = solved();
    let rim = &result["rim_section"];
    // Shares by which a number may differ. At half the element sizes of tyre and section every number here moves by less.
    for (path, expected, share) in [
        ("area_mm2", 127.7, 0.002),
        ("mass_g", 662.0, 0.002),
        ("states.1.both.flange_spread_mm", 0.1234, 0.01),
        ("states.1.both.seat_displacement_mm", -0.0656, 0.01),
        ("states.1.both.spoke_tension_loss_n", 156.4, 0.02),
        ("states.1.both.spoke_tension_loss_all_n", 28.0 * 156.4, 0.02),
        ("states.1.both.hoop_force_n", -2049.0, 0.01),
        ("states.1.both.seat_corner.von_mises_mpa", 73.8, 0.03),
        ("states.1.both.anywhere.von_mises_mpa", 95.1, 0.03),
        ("states.1.both.anywhere.utilisation", 0.345, 0.03),
        ("states.1.both.flange_root.von_mises_mpa", 36.3, 0.03),
        ("states.0.both.spoke_tension_loss_n", 86.1, 0.02),
    ] {
        let found = number(rim, path);
        assert!((found / expected - 1.0).abs() < share, "{path}: {found}, expected {expected}");
    }
    assert!((number(result, "retention.off_centre_release_mpa") / 0.993 - 1.0).abs() < 0.02);
}

#[test]
fn air_and_bead_add_up_and_the_cut_through_the_axle_balances() {
    let (_, result, _) = solved();
    let rim = &result["rim_section"];
    for state in 0..3 {
        for key in ["hoop_force_n", "seat_displacement_mm", "spoke_tension_loss_n", "flange_spread_mm"] {
            let of = |part: &str| number(rim, &format!("states.{state}.{part}.{key}"));
            let (sum, both) = (of("air") + of("bead"), of("both"));
            assert!((sum - both).abs() <= 1e-9 * both.abs().max(1e-3), "{state} {key}: {sum} {both}");
        }
        // The section alone, under the loads found; and the modes in its place in the tyre's equations.
        assert!(number(rim, &format!("states.{state}.balance")).abs() < 1e-6);
        assert!(number(rim, &format!("states.{state}.modes_error_mm")) < 0.9e-3);
    }
    let cuts = result["path"]["balance_axle_cut"].as_array().unwrap();
    assert!(cuts.len() > 30 && cuts.iter().all(|b| b.as_f64().unwrap().abs() < 1e-6));
    let rated = number(rim, "states.1.both.hoop_force_n");
    assert!((number(result, "rim.hoop_force_n") / rated - 1.0).abs() < 1e-3);
}

#[test]
fn the_air_presses_the_rim_in_and_the_bead_spreads_the_flanges() {
    let (_, result, _) = solved();
    let rated = &result["rim_section"]["states"][1];
    assert!(number(rated, "air.hoop_force_n") < -2000.0);
    assert!(number(rated, "bead.flange_spread_mm") > 0.1);
    assert_eq!(number(&result["rim_section"]["states"][0], "air.hoop_force_n").abs().to_bits(), 0.0_f64.to_bits());
}

#[test]
fn table_and_files_tell_of_the_section() {
    let (table, _, folder) = solved();
    for part in ["Rim section: area 127.7 mm2", "flange spread (both walls", "Rim at 5.00 bar, rated pressure", "air alone"] {
        assert!(table.contains(part), "{part}\n{table}");
    }
    for file in ["rim_fit.svg", "rim_rated.svg", "rim_highest_pressure.svg"] {
        let picture = fs::read_to_string(folder.0.join("out").join(file)).unwrap();
        assert!(picture.contains("stress after von Mises, MPa") && !picture.contains("NaN"), "{file}");
    }
    let report = fs::read_to_string(folder.0.join("out/report.html")).unwrap();
    assert!(report.contains("<h2>Rim section</h2>") && report.contains("linear elastic body of revolution"));
    assert!(folder.0.join("out/vtk/rim_section_rated.vtu").exists());
}

#[test]
fn what_follows_from_the_section_is_not_given_twice() {
    let folder = Folder::new("rim-twice");
    folder.write("case.toml", text().replace("flange_height", "hoop_stiffness = \"7 MN\"\nflange_height"));
    let (_, err) = folder.expect(2, &["review", "case.toml"]);
    assert!(err.contains("hoop_stiffness follows from it") && err.contains("case.toml, line 11, "), "{err}");
}

#[test]
fn a_section_that_does_not_fit_is_refused_with_its_line() {
    let folder = Folder::new("rim-shallow");
    folder.write("case.toml", text().replace("depth = \"18 mm\"", "depth = \"7 mm\""));
    let (_, err) = folder.expect(2, &["review", "case.toml"]);
    assert!(err.contains("no room for a cavity") && err.contains("case.toml, line 14, "), "{err}");
    let lonely = text().replace("shape = \"box\"\n", "");
    folder.write("case.toml", lonely);
    let (_, err) = folder.expect(2, &["review", "case.toml"]);
    assert!(err.contains("`depth`") && err.contains("`shape`"), "{err}");
}

#[test]
fn a_drawing_stands_for_the_section() {
    let folder = Folder::new("rim-drawn");
    let text = fs::read_to_string(project().join("examples/08_drawn_rim.toml")).unwrap();
    folder.write("case.toml", text.replace("../meshes/", "").replace("\"276 MPa\"", "\"50 MPa\""));
    folder.write("box_full.dxf", fs::read(project().join("meshes/box_full.dxf")).unwrap());
    let (out, _) = folder.expect(0, &["assess", "-q", "--json", "case.toml"]);
    let result: Value = serde_json::from_str(&out).unwrap();
    let notes = result["notes"].to_string();
    assert!(notes.contains("At 5.00 bar the rim's stress is 168 %"), "{notes}");
    for (path, expected, share) in [
        ("rim_section.area_mm2", 141.306, 1e-4),
        ("rim_section.states.1.both.flange_spread_mm", 0.125, 0.03),
        ("rim.spoke_tension_loss_n", 146.0, 0.02),
        ("retention.off_centre_release_mpa", 1.002, 0.02),
    ] {
        let found = number(&result, path);
        assert!((found / expected - 1.0).abs() < share, "{path}: {found}, expected {expected}");
    }
}

#[test]
fn a_missing_or_broken_drawing_is_an_input_error_with_its_line() {
    let folder = Folder::new("rim-missing");
    let text = fs::read_to_string(project().join("examples/08_drawn_rim.toml")).unwrap();
    folder.write("case.toml", text.replace("../meshes/box_full.dxf", "gone.dxf"));
    let (_, err) = folder.expect(2, &["review", "case.toml"]);
    assert!(err.contains("gone.dxf: cannot be read at gone.dxf") && err.contains("case.toml, line 10, column 11\n"), "{err}");
    let drawing = fs::read_to_string(project().join("meshes/box_half.dxf")).unwrap();
    folder.write("gone.dxf", &drawing[..drawing.len() / 2]);
    let (_, err) = folder.expect(2, &["review", "case.toml"]);
    assert!(err.contains("gone.dxf: ") && err.contains("case.toml, line 10, column 11\n"), "{err}");
}
