//! Elements of a mesh file as six-node triangles.

use super::SectionMesh;
use super::parse::File;
use crate::error::{DrawingError, Place};
use crate::span::{cross, distance, minus};
use std::collections::{HashMap, HashSet};

/// Whether an element type is a triangle or a quadrilateral that is read.
pub(super) fn is_surface(kind: i64) -> bool {
    shape(kind).is_some()
}

/// Corners, and all nodes, of a surface element type.
fn shape(kind: i64) -> Option<(usize, usize)> {
    match kind {
        2 => Some((3, 3)),
        9 => Some((3, 6)),
        3 => Some((4, 4)),
        16 => Some((4, 8)),
        10 => Some((4, 9)),
        _ => None,
    }
}

/// Fills in the triangles; adds nodes on sides and diagonals where the file has none.
pub(super) fn build(file: &File, tags: &HashMap<i64, usize>, mesh: &mut SectionMesh) -> Result<(), DrawingError> {
    let (mut middles, mut seen) = (HashMap::new(), HashSet::new());
    for element in &file.elements {
        let Some((corners, all)) = shape(element.kind) else {
            // Points and lines carry no area.
            if matches!(element.kind, 1 | 8 | 15) {
                continue;
            }
            return Err(DrawingError::ElementType { line: element.line, kind: element.kind });
        };
        let nodes: Vec<usize> = element.nodes.iter().filter_map(|tag| tags.get(tag).copied()).collect();
        if nodes.len() != all {
            let found = format!("{} nodes", element.nodes.len());
            return Err(DrawingError::Syntax {
                format: "MSH",
                line: element.line,
                expected: "the nodes of the element type",
                found,
            });
        }
        // A file of version 2.2 lists an element once for each of its groups.
        let mut key = nodes[..corners].to_vec();
        key.sort_unstable();
        if !seen.insert(key) {
            continue;
        }
        for triangle in split(&nodes, corners, mesh, &mut middles) {
            let folded = DrawingError::Folded { line: element.line, place: Place::of_section(mesh.nodes[triangle[0]]) };
            mesh.triangles.push(counter_clockwise(triangle, &mesh.nodes).ok_or(folded)?);
        }
    }
    Ok(())
}

/// One or two triangles, quadrilaterals cut along the shorter diagonal.
fn split(
    nodes: &[usize],
    corners: usize,
    mesh: &mut SectionMesh,
    middles: &mut HashMap<(usize, usize), usize>,
) -> Vec<[usize; 6]> {
    let mut side = |i: usize, mesh: &mut SectionMesh| {
        let (a, b) = (nodes[i], nodes[(i + 1) % corners]);
        nodes.get(corners + i).copied().unwrap_or_else(|| middle(a, b, mesh, middles))
    };
    let sides: Vec<usize> = (0..corners).map(|i| side(i, mesh)).collect();
    if corners == 3 {
        return vec![[nodes[0], nodes[1], nodes[2], sides[0], sides[1], sides[2]]];
    }
    let diagonal = |i: usize| distance(mesh.nodes[nodes[i]], mesh.nodes[nodes[i + 2]]);
    let i = usize::from(diagonal(1) < diagonal(0));
    let [a, b, c, d] = [i, i + 1, i + 2, (i + 3) % 4];
    let across = nodes.get(8).copied().unwrap_or_else(|| middle(nodes[a], nodes[c], mesh, middles));
    vec![[nodes[a], nodes[b], nodes[c], sides[a], sides[b], across], [nodes[a], nodes[c], nodes[d], across, sides[c], sides[d]]]
}

/// The node half way between two others, made once.
fn middle(a: usize, b: usize, mesh: &mut SectionMesh, middles: &mut HashMap<(usize, usize), usize>) -> usize {
    *middles.entry((a.min(b), a.max(b))).or_insert_with(|| {
        let (p, q) = (mesh.nodes[a], mesh.nodes[b]);
        mesh.nodes.push([0.5 * (p[0] + q[0]), 0.5 * (p[1] + q[1])]);
        mesh.nodes.len() - 1
    })
}

/// The triangle with its corners counter-clockwise; none when the map from the reference triangle folds or has no area.
fn counter_clockwise(t: [usize; 6], nodes: &[[f64; 2]]) -> Option<[usize; 6]> {
    let p = t.map(|i| nodes[i]);
    let area = cross(minus(p[1], p[0]), minus(p[2], p[0]));
    let t = if area < 0.0 { [t[0], t[2], t[1], t[5], t[4], t[3]] } else { t };
    let p = t.map(|i| nodes[i]);
    let places = [[0.0, 0.0], [1.0, 0.0], [0.0, 1.0], [0.5, 0.0], [0.5, 0.5], [0.0, 0.5]];
    places.iter().all(|at| jacobian(&p, *at) > 1e-6 * area.abs()).then_some(t)
}

/// Determinant of the map from the reference triangle (Zienkiewicz, Taylor and Zhu, The Finite Element Method, six-node triangle;
/// from memory).
fn jacobian(p: &[[f64; 2]; 6], [x, y]: [f64; 2]) -> f64 {
    let s = 4.0 * (x + y) - 3.0;
    let along = [s, 4.0 * x - 1.0, 0.0, 4.0 * (1.0 - 2.0 * x - y), 4.0 * y, -4.0 * y];
    let up = [s, 0.0, 4.0 * y - 1.0, -4.0 * x, 4.0 * x, 4.0 * (1.0 - x - 2.0 * y)];
    let sum = |weights: [f64; 6]| weights.iter().zip(p).fold([0.0; 2], |sum, (w, p)| [sum[0] + w * p[0], sum[1] + w * p[1]]);
    cross(sum(along), sum(up))
}

/// Sides by their ends (smaller number first): first, last and middle node as the triangle runs, and how many triangles have it.
pub(super) fn sides(mesh: &SectionMesh) -> HashMap<(usize, usize), ([usize; 3], usize)> {
    let mut sides = HashMap::new();
    for t in &mesh.triangles {
        for [a, b, middle] in [[t[0], t[1], t[3]], [t[1], t[2], t[4]], [t[2], t[0], t[5]]] {
            sides.entry((a.min(b), a.max(b))).or_insert(([a, b, middle], 0)).1 += 1;
        }
    }
    sides
}
