//! A ply of cords at +/-alpha on a meridian line inside nine-node elements.
//!
//! The line runs through each element at constant eta, from xi = -1 to 1, and moves with the element. With alpha the angle from
//! the hoop direction in the reference state, meridian stretch ls and hoop stretch lt, a cord stretches by
//! l = sqrt(lt^2 cos^2 alpha + ls^2 sin^2 alpha); the +/-alpha families carry equal force, so no torsion arises.
//! The cords deform with the rubber, which is the pantograph law: cos alpha / r stays what it is when the cords keep their length.
//! Mixed form: the cord force F at each of a segment's three points is an unknown of its own, condensed in the segment:
//! Pi = int e (F (l - 1) - w*(F)) 2 pi R dS with e the cords per length across the cords and w*' = the cord's strain at F.
//! With the force an unknown, Newton's geometric stiffness does not run away when stiff cords turn, so that it takes steps an order
//! longer. Source of the idea: Magisano, Leonetti and Garcea, Comput. Methods Appl. Mech. Eng. 313 (2017) 986, on mixed integration
//! points (from memory).

use super::{Contribution, LocalSystem, MAX_DOFS};
use crate::element::quad9;
use crate::error::SolveError;
use crate::material::cord::Cord;
use crate::mesh::Mesh;
use crate::quadrature::GAUSS_3;
use crate::state::{Load, State};
use std::f64::consts::PI;

/// Where a ply crosses one element, and how its cords lie there.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlySegment {
    /// Element of the mesh.
    pub quad: usize,
    /// Height of the line in the element.
    pub eta: f64,
}

/// One quadrature point of a ply line in the reference configuration.
#[derive(Clone, Debug)]
pub(crate) struct LinePoint {
    /// Shape functions over the reference radius, 1/mm.
    pub(crate) hoop: [f64; 9],
    /// Derivative of the shape functions by reference meridian length, 1/mm.
    pub(crate) slope: [f64; 9],
    /// cos^2 and sin^2 of the reference cord angle.
    pub(crate) cos2: f64,
    pub(crate) sin2: f64,
    /// Cord length belonging to the point: e 2 pi R dS w, mm.
    pub(crate) length: f64,
    /// Reference radius R, mm.
    radius: f64,
}

/// A ply.
pub struct Ply {
    pub(crate) quads: Vec<[usize; 9]>,
    pub(crate) points: Vec<[LinePoint; 3]>,
    nodes: Vec<[[f64; 2]; 9]>,
    pub(crate) cord: Cord,
}

impl Ply {
    /// A ply on `segments` of a mesh. `lay` gives, at a reference radius (mm), the cord angle from the hoop direction (rad) and
    /// the cords per length across the cords (1/mm).
    pub fn new(mesh: &Mesh, segments: &[PlySegment], cord: Cord, lay: impl Fn(f64) -> (f64, f64)) -> Self {
        let nodes: Vec<_> = segments.iter().map(|s| mesh.corners(s.quad)).collect();
        let points = segments
            .iter()
            .zip(&nodes)
            .map(|(s, x)| GAUSS_3.map(|(xi, weight)| line_point(x, xi, s.eta, weight, &lay)))
            .collect();
        Self { quads: segments.iter().map(|s| mesh.quads[s.quad]).collect(), points, nodes, cord }
    }

    /// Number of segments.
    pub fn n_segments(&self) -> usize {
        self.quads.len()
    }

    /// Element nodes of a segment.
    pub fn nodes(&self, item: usize) -> &[usize; 9] {
        &self.quads[item]
    }

    /// Largest cord force of a segment, N, over its quadrature points.
    pub fn cord_force(&self, item: usize, state: &State) -> f64 {
        let u = state.gather(&self.quads[item]);
        self.points[item].iter().map(|p| self.cord.force(self.stretch(item, p, &u).stretch)).fold(0.0, f64::max)
    }

    /// Hoop force of a segment through a cut by the axle, N: int e F cos^2(angle) l_t / l dS over the line at rest, with the cord's angle
    /// from the hoop at rest, the hoop stretch l_t and the cord's stretch l. A unit of hoop stretch more lengthens a cord by cos^2 l_t / l
    /// of its length, of which there is e 2 pi R dS (virtual work over 2 pi R).
    pub fn hoop_force(&self, item: usize, state: &State) -> f64 {
        let u = state.gather(&self.quads[item]);
        self.points[item]
            .iter()
            .map(|p| {
                let s = self.stretch(item, p, &u);
                self.cord.force(s.stretch) * p.cos2 * s.hoop / s.stretch * p.length / (2.0 * PI * p.radius)
            })
            .sum()
    }

    pub(crate) fn stretch(&self, item: usize, p: &LinePoint, u: &[[f64; 2]; 9]) -> Stretch {
        let x = &self.nodes[item];
        let (mut radius_ratio, mut tangent) = (0.0, [0.0; 2]);
        for a in 0..9 {
            radius_ratio += p.hoop[a] * (x[a][0] + u[a][0]);
            for i in 0..2 {
                tangent[i] += p.slope[a] * (x[a][i] + u[a][i]);
            }
        }
        let ls2 = tangent[0] * tangent[0] + tangent[1] * tangent[1];
        let stretch = (p.cos2 * radius_ratio * radius_ratio + p.sin2 * ls2).sqrt();
        Stretch { hoop: radius_ratio, tangent, stretch }
    }
}

/// Stretches at one point.
pub(crate) struct Stretch {
    pub(crate) hoop: f64,
    pub(crate) tangent: [f64; 2],
    pub(crate) stretch: f64,
}

fn line_point(x: &[[f64; 2]; 9], xi: f64, eta: f64, weight: f64, lay: &impl Fn(f64) -> (f64, f64)) -> LinePoint {
    let n = quad9::shape(xi, eta);
    let d = quad9::derivatives(xi, eta);
    let mut position = [0.0; 2];
    let mut tangent = [0.0; 2];
    for a in 0..9 {
        for i in 0..2 {
            position[i] += n[a] * x[a][i];
            tangent[i] += d[a][0] * x[a][i];
        }
    }
    let length = tangent[0].hypot(tangent[1]);
    let (angle, ends) = lay(position[0]);
    let (sin, cos) = angle.sin_cos();
    LinePoint {
        hoop: n.map(|v| v / position[0]),
        slope: d.map(|v| v[0] / length),
        cos2: cos * cos,
        sin2: sin * sin,
        length: ends * 2.0 * PI * position[0] * length * weight,
        radius: position[0],
    }
}

impl Contribution for Ply {
    fn name(&self) -> &'static str {
        "ply"
    }

    fn n_items(&self) -> usize {
        self.quads.len()
    }

    fn dofs(&self, item: usize, out: &mut Vec<usize>) {
        out.extend(Mesh::dofs(self.quads[item]));
    }

    fn n_internal(&self) -> usize {
        3
    }

    fn evaluate(
        &self,
        item: usize,
        state: &State,
        forces: &[f64],
        _load: &Load,
        out: &mut LocalSystem,
    ) -> Result<(), SolveError> {
        out.internal = super::Internal::default();
        let u = state.gather(&self.quads[item]);
        for (q, p) in self.points[item].iter().enumerate() {
            let s = self.stretch(item, p, &u);
            let (strain, compliance) = self.cord.strain(forces[q]);
            out.internal.residual[q] = p.length * (s.stretch - 1.0 - strain);
            out.internal.tangent[q][q] = -p.length * compliance;
            add_cord(p, &s, forces[q], q, out);
        }
        Ok(())
    }
}

/// Adds force x dl and its derivatives: with m = (l^2)' / 2, dl = m / l and ddl = (m' - m m / l^2) / l.
fn add_cord(p: &LinePoint, s: &Stretch, force: f64, q: usize, out: &mut LocalSystem) {
    let l = s.stretch;
    let mut m = [0.0; MAX_DOFS];
    for a in 0..9 {
        m[2 * a] = p.cos2 * s.hoop * p.hoop[a] + p.sin2 * s.tangent[0] * p.slope[a];
        m[2 * a + 1] = p.sin2 * s.tangent[1] * p.slope[a];
    }
    let geometric = p.length * force / l;
    for i in 0..MAX_DOFS {
        out.residual[i] += geometric * m[i];
        out.internal.coupling[i][q] = p.length * m[i] / l;
        for j in 0..MAX_DOFS {
            out.tangent[i * MAX_DOFS + j] -= geometric / (l * l) * m[i] * m[j];
        }
    }
    for a in 0..9 {
        for b in 0..9 {
            let meridian = geometric * p.sin2 * p.slope[a] * p.slope[b];
            out.add(2 * a, 2 * b, meridian + geometric * p.cos2 * p.hoop[a] * p.hoop[b]);
            out.add(2 * a + 1, 2 * b + 1, meridian);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tangent_agrees_with_differences() {
        let (mesh, mut state) = super::super::tests::distorted();
        // Pull it so that the cords are taut.
        for a in 0..9 {
            state.u[2 * a] += 2.0;
            state.u[2 * a + 1] += 0.3 * mesh.nodes[a][1];
        }
        state.internal = vec![0.4, 0.05, 0.9];
        let ply = Ply::new(&mesh, &[PlySegment { quad: 0, eta: 0.4 }], Cord { stiffness: 20.0 }, |r| (0.9 - 0.01 * r, 4.0));
        super::super::tests::check_tangent(&ply, &state, &Load::default());
        assert!(ply.cord_force(0, &state) > 0.1);
    }
}
