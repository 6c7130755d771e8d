//! The mesh of a rim's half section, and where the spokes pull at it.

use super::error::{RimError, SectionError};
use hoopwright_case::geometry::section::{draw, drawn_outline};
use hoopwright_case::{DrawnOutline, Rim, Section};
use hoopwright_drawing::meshing::{BoundaryEdge, Triangles, triangulate};
use hoopwright_drawing::msh::SPOKES;
use std::collections::HashMap;

/// Meshes the half section; a meshed one is taken as it is.
///
/// # Errors
/// [`RimError`] saying what does not fit.
pub(super) fn mesh(rim: &Rim, section: &Section) -> Result<Triangles, RimError> {
    if let Some(DrawnOutline::Mesh(mesh)) = drawn_outline(section) {
        let (nodes, triangles) = (mesh.nodes.clone(), mesh.triangles.clone());
        return Ok(Triangles { boundary: boundary(&triangles), nodes, triangles });
    }
    Ok(triangulate(&draw(rim, section)?, section.element_size).map_err(SectionError::from)?)
}

/// Sides that belong to one triangle only, material to their left.
fn boundary(triangles: &[[usize; 6]]) -> Vec<BoundaryEdge> {
    let sides = |t: &[usize; 6]| [[t[0], t[1], t[3]], [t[1], t[2], t[4]], [t[2], t[0], t[5]]];
    let mut count: HashMap<usize, usize> = HashMap::new();
    for side in triangles.iter().flat_map(sides) {
        *count.entry(side[2]).or_default() += 1;
    }
    let outer = triangles.iter().flat_map(sides).filter(|side| count[&side[2]] == 1);
    outer.map(|nodes| BoundaryEdge { nodes, piece: (0, 0) }).collect()
}

/// Half the width of the spoke bed, mm: all of it where a mesh names it.
pub(super) fn half_spoke_bed(section: &Section) -> f64 {
    match drawn_outline(section) {
        Some(DrawnOutline::Mesh(mesh)) => {
            let nodes = mesh.group(SPOKES).unwrap_or_default().iter().flatten();
            nodes.map(|n| mesh.nodes[*n][1]).fold(0.0, f64::max)
        }
        _ => 0.5 * section.spoke_bed_width,
    }
}
