//! Six-node triangles in a section, by Delaunay refinement: smallest angle 25 degrees, sides of arcs curved.
//!
//! Triangles rather than quadrilaterals, as any closed section with cavities can be filled with well-shaped ones; with quadratic
//! displacements one row of them bends as a thin wall should. Source: Ruppert, J. Algorithms 18 (1995) 548 (from memory).

use crate::section::{Arc, Section};
use spade::{AngleLimit, ConstrainedDelaunayTriangulation, Point2, RefinementParameters, Triangulation};
use std::collections::HashMap;

/// Smallest angle of a triangle, degrees.
const SMALLEST_ANGLE: f64 = 25.0;
/// Angle by which an arc turns at most along one side, rad.
const LARGEST_TURN: f64 = 0.2;
/// Most corners that refinement may add: about twice as many triangles, whose solution takes about 1 GB of memory.
const MOST_CORNERS: usize = 20_000;
/// Most triangles of a section.
pub const MOST_TRIANGLES: usize = 2 * MOST_CORNERS;
/// Most sides of the outlines.
const MOST_SIDES: usize = 50_000;

/// A side of a triangle on the section's boundary, material to its left in the (r, z) plane.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct BoundaryEdge {
    /// First, last, mid node.
    pub nodes: [usize; 3],
    /// Loop (0 the outer one, then the cavities) and piece that it is part of.
    pub piece: (usize, usize),
}

/// A meshed section.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Triangles {
    /// Nodes (r, z), mm.
    pub nodes: Vec<[f64; 2]>,
    /// Corners counter-clockwise, then mid-sides 01, 12, 20.
    pub triangles: Vec<[usize; 6]>,
    /// Sides on the boundary.
    pub boundary: Vec<BoundaryEdge>,
}

/// Why a section cannot be meshed.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum MeshingError {
    /// Two pieces cross.
    #[error("the outline crosses itself near r = {r:.2} mm, z = {z:.2} mm")]
    Crossing {
        /// Radius of the place, mm.
        r: f64,
        /// Axial position of the place, mm.
        z: f64,
    },
    /// A coordinate is no number, or far too large.
    #[error("a corner of the outline is no place at all")]
    Place,
    /// The element size is too small for the section.
    #[error("an element size of {size:.3} mm asks for too many elements")]
    TooFine {
        /// Element size, mm.
        size: f64,
    },
    /// Nothing lies inside the outline.
    #[error("the outline encloses no material")]
    Empty,
}

/// A straight side of the outline before refinement.
struct Side {
    ends: [[f64; 2]; 2],
    piece: (usize, usize),
}

type Delaunay = ConstrainedDelaunayTriangulation<Point2<f64>>;

/// Fills a section with triangles whose sides are about `size` long, mm.
///
/// # Errors
/// [`MeshingError`] saying what is wrong with the outline.
pub fn triangulate(section: &Section, size: f64) -> Result<Triangles, MeshingError> {
    let sides = sides(section, size)?;
    let mut delaunay = load(&sides)?;
    // An equilateral triangle of that side.
    let parameters = RefinementParameters::new()
        .with_angle_limit(AngleLimit::from_deg(SMALLEST_ANGLE))
        .with_max_allowed_area(0.25 * 3.0_f64.sqrt() * size * size)
        .with_max_additional_vertices(MOST_CORNERS)
        .exclude_outer_faces(true);
    let refined = delaunay.refine(parameters);
    if !refined.refinement_complete {
        return Err(MeshingError::TooFine { size });
    }
    let outside: std::collections::HashSet<_> = refined.excluded_faces.into_iter().collect();
    let mut builder = Builder { section, sides, mesh: Triangles::default(), corners: HashMap::new(), middles: HashMap::new() };
    for face in delaunay.inner_faces().filter(|f| !outside.contains(&f.fix())) {
        let corners = face.vertices().map(|v| (v.fix().index(), v.position()));
        let inner = face.adjacent_edges().map(|e| !e.is_constraint_edge());
        builder.add(corners, inner);
    }
    if builder.mesh.triangles.is_empty() { Err(MeshingError::Empty) } else { Ok(builder.mesh) }
}

/// The outlines cut into straight sides no longer than about `size`, arcs finely enough.
fn sides(section: &Section, size: f64) -> Result<Vec<Side>, MeshingError> {
    let mut sides = Vec::new();
    for (number, outline) in std::iter::once(&section.outer).chain(&section.cavities).enumerate() {
        let mut points: Vec<([f64; 2], usize)> = Vec::new();
        for (k, (a, b, bulge)) in outline.spans().enumerate() {
            let length = crate::section::length(a, b, bulge);
            let turns = if bulge == 0.0 { 0.0 } else { 4.0 * bulge.abs().atan() / LARGEST_TURN };
            let n = (length / size).max(turns).ceil().max(1.0);
            if !n.is_finite() || points.len() as f64 + n > MOST_SIDES as f64 {
                return Err(if n.is_finite() { MeshingError::TooFine { size } } else { MeshingError::Place });
            }
            let at = |share: f64| {
                if bulge == 0.0 {
                    [a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])]
                } else {
                    Arc::new(a, b, bulge).point(share)
                }
            };
            points.push((a, k));
            points.extend((1..n as usize).map(|i| (at(i as f64 / n), k)));
        }
        let n = points.len();
        let side = |i: usize| Side { ends: [points[i].0, points[(i + 1) % n].0], piece: (number, points[i].1) };
        sides.extend((0..n).map(side).filter(|s| s.ends[0].map(f64::to_bits) != s.ends[1].map(f64::to_bits)));
    }
    Ok(sides)
}

fn load(sides: &[Side]) -> Result<Delaunay, MeshingError> {
    let mut numbers: HashMap<[u64; 2], usize> = HashMap::new();
    let mut corners: Vec<Point2<f64>> = Vec::new();
    let mut number = |[r, z]: [f64; 2]| {
        *numbers.entry([r.to_bits(), z.to_bits()]).or_insert_with(|| {
            corners.push(Point2::new(r, z));
            corners.len() - 1
        })
    };
    let edges: Vec<[usize; 2]> = sides.iter().map(|s| s.ends.map(&mut number)).collect();
    let mut crossing = None;
    let places = corners.clone();
    let loaded = Delaunay::try_bulk_load_cdt(corners, edges, |[a, _]| crossing = crossing.or(Some(places[a])));
    match (loaded, crossing) {
        (_, Some(at)) => Err(MeshingError::Crossing { r: at.x, z: at.y }),
        (Err(_), None) => Err(MeshingError::Place),
        (Ok(delaunay), None) => Ok(delaunay),
    }
}

/// Numbers nodes when first met.
struct Builder<'a> {
    section: &'a Section,
    sides: Vec<Side>,
    mesh: Triangles,
    corners: HashMap<usize, usize>,
    middles: HashMap<[usize; 2], usize>,
}

impl Builder<'_> {
    /// Adds a triangle by its corners (number and place) and whether each of its sides 01, 12, 20 lies inside.
    fn add(&mut self, corners: [(usize, Point2<f64>); 3], inner: [bool; 3]) {
        let nodes = corners.map(|(key, place)| {
            *self.corners.entry(key).or_insert_with(|| {
                self.mesh.nodes.push([place.x, place.y]);
                self.mesh.nodes.len() - 1
            })
        });
        let mut triangle = [nodes[0], nodes[1], nodes[2], 0, 0, 0];
        for side in 0..3 {
            let ends = [nodes[side], nodes[(side + 1) % 3]];
            let key = [ends[0].min(ends[1]), ends[0].max(ends[1])];
            triangle[3 + side] = match self.middles.get(&key) {
                Some(node) => *node,
                None => self.add_middle(key),
            };
            if !inner[side] {
                self.add_boundary([ends[0], ends[1], triangle[3 + side]]);
            }
        }
        self.mesh.triangles.push(triangle);
    }

    fn add_middle(&mut self, key: [usize; 2]) -> usize {
        let [a, b] = key.map(|n| self.mesh.nodes[n]);
        self.mesh.nodes.push([0.5 * (a[0] + b[0]), 0.5 * (a[1] + b[1])]);
        self.middles.insert(key, self.mesh.nodes.len() - 1);
        self.mesh.nodes.len() - 1
    }

    /// Notes a side on the boundary and puts its nodes on the arc that it belongs to.
    fn add_boundary(&mut self, nodes: [usize; 3]) {
        let middle = self.mesh.nodes[nodes[2]];
        let nearest = self.sides.iter().min_by(|a, b| distance(middle, &a.ends).total_cmp(&distance(middle, &b.ends)));
        let Some(piece) = nearest.map(|s| s.piece) else { return };
        let outline = if piece.0 == 0 { &self.section.outer } else { &self.section.cavities[piece.0 - 1] };
        if let Some((a, b, bulge)) = outline.spans().nth(piece.1).filter(|s| s.2 != 0.0) {
            let arc = Arc::new(a, b, bulge);
            for node in nodes {
                let x = self.mesh.nodes[node];
                let arm = [x[0] - arc.centre[0], x[1] - arc.centre[1]];
                let stretch = arc.radius / arm[0].hypot(arm[1]);
                self.mesh.nodes[node] = [arc.centre[0] + stretch * arm[0], arc.centre[1] + stretch * arm[1]];
            }
        }
        self.mesh.boundary.push(BoundaryEdge { nodes, piece });
    }
}

/// Distance of a point from a straight side, mm.
fn distance(x: [f64; 2], [a, b]: &[[f64; 2]; 2]) -> f64 {
    let (along, to) = ([b[0] - a[0], b[1] - a[1]], [x[0] - a[0], x[1] - a[1]]);
    let share = (to[0] * along[0] + to[1] * along[1]) / (along[0] * along[0] + along[1] * along[1]);
    let share = share.clamp(0.0, 1.0);
    (to[0] - share * along[0]).hypot(to[1] - share * along[1])
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::section::{Loop, Piece};
    use approx::assert_relative_eq;

    fn outline(pieces: &[(f64, f64, f64)]) -> Loop {
        Loop { pieces: pieces.iter().map(|(r, z, bulge)| Piece { start: [*r, *z], bulge: *bulge }).collect() }
    }

    /// A rounded plate with a round hole.
    fn plate() -> Section {
        Section {
            outer: outline(&[(300.0, 0.0, 0.0), (306.0, 0.0, 0.0), (306.0, 4.0, 1.0), (300.0, 4.0, 0.0)]),
            cavities: vec![outline(&[(304.5, 2.0, -1.0), (302.5, 2.0, -1.0)])],
        }
    }

    /// Area of quadratic triangles by their boundary: int r dz.
    fn area(mesh: &Triangles) -> f64 {
        let of = |e: &BoundaryEdge| {
            let [a, b, m] = e.nodes.map(|n| mesh.nodes[n]);
            // Simpson on r dz/dxi of a quadratic side.
            let slope = |xi: f64| a[1] * (xi - 0.5) + b[1] * (xi + 0.5) - 2.0 * xi * m[1];
            (a[0] * slope(-1.0) + 4.0 * m[0] * slope(0.0) + b[0] * slope(1.0)) / 3.0
        };
        mesh.boundary.iter().map(of).sum()
    }

    #[test]
    fn triangles_fill_the_section_with_curved_sides_and_no_sharp_angle() {
        let section = plate();
        let mesh = triangulate(&section, 0.5).unwrap();
        assert_relative_eq!(area(&mesh), section.area(), max_relative = 1e-4);
        let mut smallest = f64::INFINITY;
        for t in &mesh.triangles {
            let x = [0, 1, 2].map(|i| mesh.nodes[t[i]]);
            for i in 0..3 {
                let to = |j: usize| [x[j % 3][0] - x[i][0], x[j % 3][1] - x[i][1]];
                let (a, b) = (to(i + 1), to(i + 2));
                let angle = (a[0] * b[1] - a[1] * b[0]).atan2(a[0] * b[0] + a[1] * b[1]);
                smallest = smallest.min(angle.to_degrees());
            }
        }
        assert!(smallest > 22.0, "{smallest}");
        assert!(mesh.boundary.iter().any(|e| e.piece == (1, 1)) && mesh.boundary.iter().any(|e| e.piece == (0, 2)));
    }

    #[test]
    fn a_finer_size_gives_more_triangles() {
        let coarse = triangulate(&plate(), 1.0).unwrap().triangles.len();
        let fine = triangulate(&plate(), 0.25).unwrap().triangles.len();
        assert!(fine > 8 * coarse, "{coarse} {fine}");
    }

    #[test]
    fn bad_outlines_are_refused() {
        let crossed = Section {
            outer: outline(&[(300.0, 0.0, 0.0), (306.0, 4.0, 0.0), (306.0, 0.0, 0.0), (300.0, 4.0, 0.0)]),
            cavities: vec![],
        };
        assert!(matches!(triangulate(&crossed, 0.5), Err(MeshingError::Crossing { .. })));
        let nowhere = Section { outer: outline(&[(f64::NAN, 0.0, 0.0), (306.0, 4.0, 0.0), (306.0, 0.0, 0.0)]), cavities: vec![] };
        assert_eq!(triangulate(&nowhere, 0.5), Err(MeshingError::Place));
        assert!(matches!(triangulate(&plate(), 1e-6), Err(MeshingError::TooFine { .. })));
    }
}
