//! Reads a meshed half section from a Gmsh MSH file (4.1 or 2.2, ASCII) as six-node triangles.
//!
//! Coordinates in mm; x is the axial coordinate from the mid-plane, y the radius from the wheel's axis, as in a drawing. Half the
//! section, x >= 0 or x <= 0. The boundary lines of the tyre side must form the physical group `tyre`, those of the spoke bed the
//! group `spokes`. Triangles and quadrilaterals of order 1 and 2 (types 2, 9, 3, 10, 16), lines of order 1 and 2 (types 1, 8).

mod parse;
mod profile;
#[cfg(test)]
mod tests;
mod triangles;

pub use profile::profile;

use crate::dxf::{MOST_BYTES, check_radii};
use crate::error::{DrawingError, Place};
use crate::meshing::MOST_TRIANGLES;
use std::collections::{HashMap, HashSet};

/// Group of the tyre side.
pub const TYRE: &str = "tyre";
/// Group of the spoke bed.
pub const SPOKES: &str = "spokes";
/// Nodes closer to the mid-plane lie on it; and the plane of the mesh is z = 0 within it, mm.
const ON_PLANE: f64 = 1e-3;

/// Name and boundary edges (first, last, middle) of a physical group; material to the left from first to last.
pub type Group = (String, Vec<[usize; 3]>);

/// A meshed half section, z >= 0.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SectionMesh {
    /// Nodes (r, z), mm.
    pub nodes: Vec<[f64; 2]>,
    /// Corners, counter-clockwise in the (r, z) plane, then the nodes on sides 01, 12 and 20.
    pub triangles: Vec<[usize; 6]>,
    /// Boundary edges by physical name.
    pub groups: Vec<Group>,
}

impl SectionMesh {
    /// Edges of a group.
    ///
    /// # Errors
    /// [`DrawingError::NoGroup`].
    pub fn group(&self, name: &'static str) -> Result<&[[usize; 3]], DrawingError> {
        let group = self.groups.iter().find(|(n, edges)| n == name && !edges.is_empty());
        group.map(|(_, edges)| edges.as_slice()).ok_or_else(|| {
            let names: Vec<String> = self.groups.iter().map(|(n, _)| format!("{n:?}")).collect();
            DrawingError::NoGroup { name, found: if names.is_empty() { "none".to_owned() } else { names.join(", ") } }
        })
    }
}

/// Most named groups of a mesh: each is looked for among all elements.
const MOST_NAMES: usize = 200;

/// Reads a mesh.
///
/// # Errors
/// [`DrawingError`], with the line or the place in mm.
pub fn read(bytes: &[u8]) -> Result<SectionMesh, DrawingError> {
    if bytes.len() > MOST_BYTES {
        return Err(DrawingError::TooLarge { bytes: bytes.len(), limit: MOST_BYTES });
    }
    let file = parse::parse(&String::from_utf8_lossy(bytes))?;
    let (mut mesh, tags) = flattened(&file)?;
    triangles::build(&file, &tags, &mut mesh)?;
    if mesh.triangles.len() > MOST_TRIANGLES {
        return Err(DrawingError::TooFine { limit: MOST_TRIANGLES });
    }
    mesh.groups = groups(&file, &tags, &mesh)?;
    mesh.group(TYRE)?;
    mesh.group(SPOKES)?;
    Ok(mesh)
}

/// The nodes that surface elements use, in the half plane z >= 0, and their numbers by tag.
fn flattened(file: &parse::File) -> Result<(SectionMesh, HashMap<i64, usize>), DrawingError> {
    let (mut points, mut tags) = (Vec::new(), HashMap::new());
    for element in file.elements.iter().filter(|e| triangles::is_surface(e.kind)) {
        for &node in &element.nodes {
            let Some(point) = file.nodes.get(&node) else { return Err(DrawingError::NoNode { line: element.line, node }) };
            tags.entry(node).or_insert_with(|| {
                points.push(*point);
                points.len() - 1
            });
        }
    }
    if points.is_empty() {
        return Err(DrawingError::Empty);
    }
    if let Some(p) = points.iter().find(|p| p[2].abs() > ON_PLANE) {
        return Err(DrawingError::NotPlane { kind: "a node", place: Place([p[0], p[1]]) });
    }
    check_radii(points.iter().map(|p| [p[0], p[1]]))?;
    let farthest = |sign: f64| points.iter().max_by(|a, b| (sign * a[0]).total_cmp(&(sign * b[0]))).map_or([0.0; 3], |p| *p);
    let (left, right) = (farthest(-1.0), farthest(1.0));
    let side = if right[0] > -left[0] { 1.0 } else { -1.0 };
    let other = if side > 0.0 { left } else { right };
    if side * other[0] < -ON_PLANE {
        return Err(DrawingError::FullMesh { place: Place([other[0], other[1]]) });
    }
    if side * other[0] > ON_PLANE {
        return Err(DrawingError::NoMidPlane { place: Place([other[0], other[1]]) });
    }
    let axial = |x: f64| if x.abs() <= ON_PLANE { 0.0 } else { side * x };
    let nodes = points.iter().map(|p| [p[1], axial(p[0])]).collect();
    Ok((SectionMesh { nodes, ..SectionMesh::default() }, tags))
}

/// Boundary edges by physical name, in the order of the names.
fn groups(file: &parse::File, tags: &HashMap<i64, usize>, mesh: &SectionMesh) -> Result<Vec<Group>, DrawingError> {
    let sides = triangles::sides(mesh);
    if file.names.len() > MOST_NAMES {
        return Err(DrawingError::TooMany { what: "named groups", limit: MOST_NAMES });
    }
    let mut names: Vec<_> = file.names.iter().filter(|((dimension, _), _)| *dimension == 1).collect();
    names.sort();
    let mut groups = Vec::new();
    for ((_, tag), name) in names {
        let mut seen = HashSet::new();
        let mut edges = Vec::new();
        for line in file.elements.iter().filter(|e| matches!(e.kind, 1 | 8) && e.groups.contains(tag)) {
            let node = |i: usize| line.nodes.get(i).and_then(|tag| tags.get(tag)).copied();
            let first = line.nodes.first().and_then(|tag| file.nodes.get(tag)).map_or([0.0; 2], |p| [p[0], p[1]]);
            let edge = node(0).zip(node(1)).and_then(|(a, b)| sides.get(&(a.min(b), a.max(b))));
            match edge {
                Some((edge, 1)) if line.kind == 1 || node(2) == Some(edge[2]) => {
                    if seen.insert(*edge) {
                        edges.push(*edge);
                    }
                }
                _ => return Err(DrawingError::NoSide { line: line.line, place: Place(first) }),
            }
        }
        groups.push((name.clone(), edges));
    }
    Ok(groups)
}
