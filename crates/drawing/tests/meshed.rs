//! Drawn sections are meshed: the triangles fill the section.

#![allow(clippy::unwrap_used)]

use approx::assert_relative_eq;
use hoopwright_drawing::dxf::{Options, read};
use hoopwright_drawing::meshing::triangulate;

/// Area of half the box rim, mm^2.
const BOX: f64 = 70.653_090_676;
/// Area of half the solid rim, mm^2.
const SOLID: f64 = 68.328_023_23;

#[test]
fn drawn_sections_are_filled_with_triangles() {
    // Areas of the paths in meshes/generate.py by a sum over chords, 20 000 to an arc, mm^2.
    for (name, drawn) in [("box_half", BOX), ("box_full", BOX), ("shallow_solid", SOLID)] {
        let bytes = std::fs::read(format!("{}/../../meshes/{name}.dxf", env!("CARGO_MANIFEST_DIR"))).unwrap();
        let section = read(&bytes, &Options::default()).unwrap().section;
        assert_relative_eq!(section.area(), drawn, max_relative = 1e-8);
        let mesh = triangulate(&section, 0.8).unwrap();
        let area: f64 = mesh
            .triangles
            .iter()
            .map(|t| {
                let [a, b, c] = [0, 1, 2].map(|i| mesh.nodes[t[i]]);
                0.5 * ((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]))
            })
            .sum();
        // Straight sides cut the fillets' segments.
        assert_relative_eq!(area, section.area(), max_relative = 5e-3);
    }
}
