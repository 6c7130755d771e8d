//! The sides of a section's mesh that make up its tyre side, each with the part of the profile that it stands for.
//!
//! They are found by walking along the boundary from the mid-plane outward, so that none is missed: where a drawing has a sharp corner
//! the profile has a fillet, and the nodes there lie beside it. On such a side the profile's arc length is spread evenly over the side;
//! what presses on the profile is carried over at equal arc length.

use super::error::SectionError;
use hoopwright_drawing::meshing::Triangles;
use hoopwright_profile::{ClosestPoint, Profile};
use std::collections::HashMap;

/// How near a node must lie to the profile to be on it, mm.
const ON_PROFILE: f64 = 1e-4;
/// How far a node may lie beside the profile, mm: at a corner of 90 degrees it is 0.04 mm from its fillet of 0.1 mm, at one of 150
/// degrees 0.29 mm; half way along a straight side that stands for an arc less.
const BESIDE: f64 = 0.3;

/// A side of the mesh, from one arc length of the profile to another, mm.
#[derive(Clone, Copy, Debug)]
pub(super) struct ProfileEdge {
    /// First, last, mid node.
    pub(super) nodes: [usize; 3],
    pub(super) from: f64,
    pub(super) to: f64,
    /// Whether all its nodes lie on the profile.
    pub(super) on_profile: bool,
}

impl ProfileEdge {
    /// Place in the side, -1 to 1, of an arc length.
    pub(super) fn place(&self, arc: f64) -> f64 {
        2.0 * (arc - self.from) / (self.to - self.from) - 1.0
    }
}

/// Sides of the mesh along the profile from the mid-plane past the crest, each beginning where the one before ends. On the outer side
/// they end with the profile or where the section turns away from it.
///
/// # Errors
/// [`SectionError::OffProfile`] where the boundary leaves the profile before its crest.
pub(super) fn along(mesh: &Triangles, profile: &Profile) -> Result<Vec<ProfileEdge>, SectionError> {
    let mut after: HashMap<usize, Vec<[usize; 3]>> = HashMap::new();
    for side in &mesh.boundary {
        after.entry(side.nodes[0]).or_default().push(side.nodes);
    }
    let start = profile.point(0.0);
    let distance = |n: usize| (mesh.nodes[n][0] - start[0]).hypot(mesh.nodes[n][1] - start[1]);
    let first = mesh.boundary.iter().map(|side| side.nodes[0]).min_by(|a, b| distance(*a).total_cmp(&distance(*b)));
    let off = |n: usize| SectionError::OffProfile { r: mesh.nodes[n][0], z: mesh.nodes[n][1] };
    let crest = crest(profile);
    let mut node = first.ok_or(SectionError::OffProfile { r: start[0], z: start[1] })?;
    let mut arc = profile.closest_point(mesh.nodes[node]).arc;
    let mut edges: Vec<ProfileEdge> = Vec::new();
    if distance(node) > BESIDE {
        return Err(off(node));
    }
    while edges.len() < mesh.boundary.len() {
        let sides = after.get(&node).map_or(&[][..], Vec::as_slice);
        let feet = |side: &[usize; 3]| side.map(|n| profile.closest_point(mesh.nodes[n]));
        if let Some(edge) = sides.iter().find_map(|side| edge(*side, arc, profile.length(), feet(side))) {
            (node, arc) = (edge.nodes[1], edge.to);
            edges.push(edge);
        } else if arc >= crest {
            // Where the section turns away its sides lie near the profile for a while.
            let last = edges.iter().rposition(|edge| edge.on_profile || edge.from < crest);
            edges.truncate(last.map_or(0, |last| last + 1));
            return Ok(edges);
        } else {
            return Err(off(node));
        }
    }
    Err(off(node))
}

/// Arc length of the profile's highest joint, mm.
fn crest(profile: &Profile) -> f64 {
    let joints = profile.breaks().into_iter().map(|arc| (arc, profile.point(arc)[0]));
    joints.fold((0.0, 0.0), |best, joint| if joint.1 > best.1 + ON_PROFILE { joint } else { best }).0
}

/// A side whose first node is at an arc length, if it goes on along the profile up to its end; `feet` are those of its nodes.
fn edge(nodes: [usize; 3], from: f64, end: f64, feet: [ClosestPoint; 3]) -> Option<ProfileEdge> {
    let [_, last, middle] = feet;
    let beside = feet.iter().any(|foot| foot.gap.abs() > BESIDE);
    let onward = from < last.arc && (from..=last.arc).contains(&middle.arc);
    // Beyond its end the profile's last line goes on.
    let past = last.arc >= end + ON_PROFILE || (last.arc >= end - ON_PROFILE && last.gap.abs() >= ON_PROFILE);
    let on_profile = feet.iter().all(|foot| foot.gap.abs() < ON_PROFILE);
    (!beside && onward && !past).then_some(ProfileEdge { nodes, from, to: last.arc, on_profile })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use approx::assert_relative_eq;
    use hoopwright_drawing::meshing::triangulate;
    use hoopwright_drawing::section::{Loop, Piece, Section};
    use hoopwright_profile::Corner;

    /// A flat strip with a sharp step up, under a profile that rounds the step.
    fn strip(step: f64) -> (Triangles, Profile) {
        let corners = [[300.0, 0.0], [300.0, 6.0], [300.0 + step, 6.0], [300.0 + step, 10.0]];
        let below = [[297.0, 10.0], [297.0, 0.0]];
        let piece = |start: &[f64; 2]| Piece { start: *start, bulge: 0.0 };
        let outer = Loop { pieces: corners.iter().chain(&below).map(piece).collect() };
        let mesh = triangulate(&Section { outer, cavities: Vec::new() }, 0.7).unwrap();
        let rounded = corners.map(|position| Corner { position, radius: 0.1, label: 0, fillet_label: 0 });
        (mesh, Profile::new(&rounded).unwrap())
    }

    #[test]
    fn the_sides_follow_one_another_past_sharp_corners() {
        let (mesh, profile) = strip(2.0);
        let edges = along(&mesh, &profile).unwrap();
        assert!(edges[0].from.abs() < 1e-9 && edges.windows(2).all(|w| w[0].nodes[1] == w[1].nodes[0]));
        assert!(edges.windows(2).all(|w| w[0].to.to_bits() == w[1].from.to_bits()));
        assert_relative_eq!(edges.last().unwrap().to, profile.length(), epsilon = 1e-9);
        assert_eq!(edges.iter().filter(|e| !e.on_profile).count(), 4, "two sides at each corner");
    }

    #[test]
    fn a_boundary_that_leaves_the_profile_is_told() {
        let (mesh, _) = strip(2.0);
        let (_, elsewhere) = strip(3.0);
        let fault = along(&mesh, &elsewhere).unwrap_err();
        assert!(matches!(fault, SectionError::OffProfile { z, .. } if (z - 6.0).abs() < 1e-9), "{fault}");
    }
}
