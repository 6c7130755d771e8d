//! Radial springs spread over edges of a body: an elastic foundation.

use super::{Contribution, LocalSystem};
use crate::element::line3;
use crate::error::SolveError;
use crate::mesh::line_point;
use crate::quadrature::GAUSS_3;
use crate::state::{Load, State};
use std::f64::consts::PI;

/// Springs of one stiffness for each area over quadratic edges (first, last, mid node).
#[derive(Clone, Debug)]
pub struct WinklerBed {
    edges: Vec<[usize; 3]>,
    /// int N_a 2 pi R ds and int N_a N_b 2 pi R ds of every edge, mm^2.
    shares: Vec<([f64; 3], [[f64; 3]; 3])>,
    /// Area 2 pi R L, mm^2.
    area: f64,
    /// Stiffness of all springs together, N/mm.
    stiffness: f64,
}

impl WinklerBed {
    /// Springs of the stiffness `stiffness` in all, N/mm, spread evenly over the edges.
    pub fn new(nodes: &[[f64; 2]], edges: &[[usize; 3]], stiffness: f64) -> Self {
        let shares: Vec<_> = edges.iter().map(|e| shares(&e.map(|n| nodes[n]))).collect();
        let area = shares.iter().flat_map(|s| s.0).sum();
        Self { edges: edges.to_vec(), shares, area, stiffness }
    }

    /// The edges.
    pub fn edges(&self) -> &[[usize; 3]] {
        &self.edges
    }

    /// Radial displacement averaged over the area, mm.
    pub fn mean(&self, u: &[f64]) -> f64 {
        let of = |(edge, (w, _)): (&[usize; 3], &([f64; 3], _))| (0..3).map(|a| w[a] * u[2 * edge[a]]).sum::<f64>();
        self.edges.iter().zip(&self.shares).map(of).sum::<f64>() / self.area
    }
}

fn shares(x: &[[f64; 2]; 3]) -> ([f64; 3], [[f64; 3]; 3]) {
    let (mut single, mut double) = ([0.0; 3], [[0.0; 3]; 3]);
    for (xi, w) in GAUSS_3 {
        let (position, along) = line_point(x, xi);
        let (n, weight) = (line3::shape(xi), 2.0 * PI * w * position[0] * along[0].hypot(along[1]));
        for a in 0..3 {
            single[a] += weight * n[a];
            for b in 0..3 {
                double[a][b] += weight * n[a] * n[b];
            }
        }
    }
    (single, double)
}

impl Contribution for WinklerBed {
    fn name(&self) -> &'static str {
        "winkler bed"
    }

    fn n_items(&self) -> usize {
        self.edges.len()
    }

    fn dofs(&self, item: usize, out: &mut Vec<usize>) {
        out.extend(self.edges[item].map(|n| 2 * n));
    }

    fn evaluate(
        &self,
        item: usize,
        state: &State,
        _internal: &[f64],
        _load: &Load,
        out: &mut LocalSystem,
    ) -> Result<(), SolveError> {
        let modulus = self.stiffness / self.area;
        for a in 0..3 {
            for b in 0..3 {
                let k = modulus * self.shares[item].1[a][b];
                out.residual[a] += k * state.u[2 * self.edges[item][b]];
                out.add(a, b, k);
            }
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn tangent_agrees_with_differences_and_a_uniform_shift_meets_the_whole_stiffness() {
        let nodes = [[300.0, 0.0], [300.5, 2.0], [300.2, 1.0]];
        let bed = WinklerBed::new(&nodes, &[[0, 1, 2]], 70.0);
        let state = State { u: vec![0.1; 6], ..State::default() };
        crate::contribution::tests::check_tangent(&bed, &state, &Load::default());
        assert_relative_eq!(bed.mean(&state.u), 0.1, max_relative = 1e-12);
        let mut out = LocalSystem::default();
        out.reset(3);
        assert!(bed.evaluate(0, &state, &[], &Load::default(), &mut out).is_ok());
        assert_relative_eq!(out.residual[..3].iter().sum::<f64>(), 7.0, max_relative = 1e-12);
    }
}
