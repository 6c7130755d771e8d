//! The tyre side of a mesh as lines and arcs.

use super::{SectionMesh, TYRE};
use crate::biarc;
use crate::error::{DrawingError, Place};
use crate::section::Piece;
use crate::span::distance;
use std::collections::{HashMap, HashSet};

/// A side is curved when its middle node is this far from half way, as a share of its length.
const CURVED: f64 = 1e-6;

/// Lines and arcs through the nodes of the group `tyre`, from the mid-plane outward, and where they end (r, z), mm.
///
/// Nodes in a row become lines; arcs go through the others with one direction at each node. Corners between two lines stay.
///
/// # Errors
/// [`DrawingError::NoGroup`], [`DrawingError::NoChain`].
pub fn profile(mesh: &SectionMesh) -> Result<(Vec<Piece>, [f64; 2]), DrawingError> {
    let edges = ordered(mesh)?;
    let node = |i: usize| mesh.nodes[i];
    // Middle nodes made half way say nothing of the curve.
    let off = |e: &[usize; 3]| {
        let (a, b, m) = (node(e[0]), node(e[1]), node(e[2]));
        distance([0.5 * (a[0] + b[0]), 0.5 * (a[1] + b[1])], m) > CURVED * distance(a, b)
    };
    let curved = edges.iter().any(off);
    let mut points = vec![node(edges[0][0])];
    for edge in &edges {
        points.extend(curved.then(|| node(edge[2])));
        points.push(node(edge[1]));
    }
    let spans = biarc::through(&points);
    let end = spans.last().map_or(points[0], |s| s.b);
    Ok((spans.iter().map(|s| Piece { start: s.a, bulge: s.bulge }).collect(), end))
}

/// The edges in order, each as (first, last, middle) on the way outward.
fn ordered(mesh: &SectionMesh) -> Result<Vec<[usize; 3]>, DrawingError> {
    let edges = mesh.group(TYRE)?;
    let broken = |node: usize| DrawingError::NoChain { name: TYRE, place: Place::of_section(mesh.nodes[node]) };
    let mut at: HashMap<usize, Vec<usize>> = HashMap::new();
    for (i, edge) in edges.iter().enumerate() {
        for node in &edge[..2] {
            at.entry(*node).or_default().push(i);
        }
    }
    if let Some((node, _)) = at.iter().find(|(_, edges)| edges.len() > 2) {
        return Err(broken(*node));
    }
    let mut ends: Vec<usize> = at.iter().filter(|(_, edges)| edges.len() == 1).map(|(node, _)| *node).collect();
    // From the mid-plane, and from its larger radius should both ends lie on it.
    ends.sort_by(|a, b| {
        (mesh.nodes[*a][1], -mesh.nodes[*a][0])
            .partial_cmp(&(mesh.nodes[*b][1], -mesh.nodes[*b][0]))
            .unwrap_or(std::cmp::Ordering::Equal)
    });
    let Some(&(mut node)) = ends.first() else { return Err(broken(edges[0][0])) };
    if mesh.nodes[node][1] != 0.0 {
        return Err(broken(node));
    }
    let (mut chain, mut last) = (Vec::new(), usize::MAX);
    while let Some(&next) = at[&node].iter().find(|e| **e != last) {
        let [a, b, middle] = edges[next];
        chain.push(if a == node { [a, b, middle] } else { [b, a, middle] });
        node = if a == node { b } else { a };
        last = next;
    }
    // What the walk did not meet is a second chain or a ring.
    let walked: HashSet<usize> = chain.iter().map(|edge| edge[2]).collect();
    match edges.iter().find(|edge| !walked.contains(&edge[2])) {
        Some(edge) => Err(broken(edge[0])),
        None => Ok(chain),
    }
}
