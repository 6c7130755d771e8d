//! Drawings and meshes of a rim: reading, finding the rim in them, meshing them, building the profile that the tyre meets.

use std::sync::LazyLock;

use hoopwright_case as case;
use hoopwright_drawing::dxf::{self, Options, Unit};
use hoopwright_drawing::features::{Features, chain_features, features};
use hoopwright_drawing::meshing::triangulate;
use hoopwright_drawing::{DrawingError, msh};

use super::{stored, stored_text, told};

/// Side of the elements, mm: coarse, so that what takes long is the reading and not the mesh.
const ELEMENT: f64 = 2.0;

/// A case that draws its rim.
static CASE: LazyLock<String> = LazyLock::new(|| stored_text("examples/08_drawn_rim.toml"));

pub(super) fn dxf_seeds() -> Vec<Vec<u8>> {
    ["box_half", "box_full", "shallow_solid"].map(|name| stored(&format!("meshes/{name}.dxf"))).to_vec()
}

pub(super) fn msh_seeds() -> Vec<Vec<u8>> {
    vec![stored("meshes/box.msh")]
}

fn refused(error: &DrawingError) -> bool {
    told(error);
    false
}

fn finite(f: &Features) {
    for number in [f.seat_diameter, f.inner_width, f.seat_width, f.seat_angle, f.flange_height, f.crest_radius, f.well_depth] {
        assert!(number.is_finite(), "{f:?}");
    }
}

/// A case with the file in place of its drawing: read, and its rim built as far as no equation is solved.
fn in_a_case(name: &str, bytes: &[u8]) -> bool {
    let text = CASE.replace("../meshes/box_full.dxf", name);
    match case::read_with(&text, [(name.to_owned(), Ok(bytes.to_vec()))].into()) {
        Ok((case, _)) => {
            // A profile that cannot be made is told as a sentence.
            let _told = hoopwright_case::geometry::rim::profile(&case.rim, case.section.as_ref()).map_err(|e| told(&e));
            true
        }
        Err(errors) => {
            errors.0.iter().for_each(|error| told(&error.message()));
            false
        }
    }
}

pub(super) fn run_dxf(bytes: &[u8]) -> bool {
    let drawn = dxf::read(bytes, &Options::default());
    let drawn = match drawn.or_else(|_| dxf::read(bytes, &Options { unit: Some(Unit::Millimetre) })) {
        Ok(drawn) => drawn,
        Err(error) => return refused(&error),
    };
    assert!(drawn.section.area().is_finite());
    match features(&drawn.section) {
        Ok(found) => finite(&found),
        Err(error) => return refused(&error),
    }
    match triangulate(&drawn.section, ELEMENT) {
        Ok(mesh) => assert!(mesh.nodes.iter().flatten().all(|x| x.is_finite())),
        Err(error) => told(&error),
    }
    in_a_case("rim.dxf", bytes)
}

pub(super) fn run_msh(bytes: &[u8]) -> bool {
    let mesh = match msh::read(bytes) {
        Ok(mesh) => mesh,
        Err(error) => return refused(&error),
    };
    assert!(mesh.triangles.iter().flatten().all(|node| *node < mesh.nodes.len()));
    match msh::profile(&mesh).and_then(|(pieces, end)| chain_features(&pieces, end)) {
        Ok(found) => finite(&found),
        Err(error) => return refused(&error),
    }
    in_a_case("rim.msh", bytes)
}
