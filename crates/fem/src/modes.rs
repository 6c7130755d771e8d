//! A few modes in place of a linear elastic body: what it does under any mixture of given loads.
//!
//! The responses U = K^-1 F to all loads F have the flexibility A = F^T U. Its eigenvectors combine the responses to modes that are
//! orthogonal in energy, in order of the energy that they take under loads alike in size; the first few hold nearly all of it. The field
//! of a rigid shift is put first, so that the equilibrium of the whole body is kept exactly. Amplitudes then feel one spring each.
//! Source: static condensation to load-dependent (Ritz) vectors, Wilson, Yuan and Dickens, Earthq. Eng. Struct. Dyn. 10 (1982) 813
//! (from memory).

use crate::assembly::System;
use crate::error::SolveError;
use crate::state::Load;
use nalgebra::{DMatrix, SymmetricEigen};

/// Modes of a body.
#[derive(Clone, Debug, PartialEq)]
pub struct Modes {
    /// Displacements of all unknowns in each mode, mm; the largest component of each is 1.
    pub fields: Vec<Vec<f64>>,
    /// Stiffness of each mode, N/mm.
    pub stiffness: Vec<f64>,
    /// Share of the energy under the loads that the modes leave out.
    pub left_out: f64,
}

/// Finds the rigid shift and at most `most` - 1 modes of a linear system under `loads` (each on all unknowns, N); fewer where the rest
/// takes less than `share` of the energy.
///
/// # Errors
/// [`SolveError`] when the body is not held.
pub fn modes(system: &mut System, rigid: &[f64], loads: &[Vec<f64>], most: usize, share: f64) -> Result<Modes, SolveError> {
    let mut state = system.rest();
    state.u.copy_from_slice(rigid);
    system.assemble(&state, &Load::default())?;
    let against: Vec<f64> = system.residual().to_vec();
    let rigid_stiffness = dot(&against, rigid);
    if rigid_stiffness <= 0.0 {
        return Err(SolveError::Singular);
    }
    let mut responses = system.respond(loads)?;
    // Without their share of the rigid shift.
    for (response, load) in responses.iter_mut().zip(loads) {
        let shift = dot(load, rigid) / rigid_stiffness;
        response.iter_mut().zip(rigid).for_each(|(u, r)| *u -= shift * r);
    }
    let n = loads.len();
    let flexibility = DMatrix::from_fn(n, n, |i, j| dot(&loads[i], &responses[j]));
    let eigen = SymmetricEigen::new(0.5 * (&flexibility + flexibility.transpose()));
    let mut order: Vec<usize> = (0..n).collect();
    order.sort_by(|a, b| eigen.eigenvalues[*b].total_cmp(&eigen.eigenvalues[*a]));
    let whole: f64 = eigen.eigenvalues.iter().map(|e| e.max(0.0)).sum();
    let mut modes = Modes { fields: vec![rigid.to_vec()], stiffness: vec![rigid_stiffness], left_out: 1.0 };
    let mut rest = whole;
    for k in order {
        let energy = eigen.eigenvalues[k];
        if modes.fields.len() >= most || rest <= share * whole || energy <= 0.0 {
            break;
        }
        rest -= energy;
        let mut field = vec![0.0; rigid.len()];
        for (response, weight) in responses.iter().zip(eigen.eigenvectors.column(k).iter()) {
            field.iter_mut().zip(response).for_each(|(f, u)| *f += weight * u);
        }
        let largest = field.iter().fold(0.0_f64, |m, v| m.max(v.abs()));
        field.iter_mut().for_each(|v| *v /= largest);
        modes.fields.push(field);
        // field^T K field = q^T A q / largest^2, q being a unit eigenvector.
        modes.stiffness.push(energy / (largest * largest));
    }
    modes.left_out = if whole > 0.0 { rest.max(0.0) / whole } else { 0.0 };
    Ok(modes)
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::contribution::Contribution;
    use crate::contribution::spring::Spring;
    use approx::assert_relative_eq;
    use std::sync::Arc;

    /// Springs on four unknowns, the first on a soft one.
    fn springs() -> System {
        let parts = [3.0, 50.0, 70.0, 90.0].iter().enumerate();
        let parts = parts.map(|(dof, k)| Arc::new(Spring { dof, stiffness: *k, temporary: false }) as Arc<dyn Contribution>);
        System::new(4, &[], parts.collect()).unwrap()
    }

    #[test]
    fn modes_of_all_loads_give_the_body_s_own_answer() {
        let mut system = springs();
        let rigid = [1.0; 4];
        let loads: Vec<Vec<f64>> = (0..4).map(|i| (0..4).map(|j| f64::from(u8::from(i == j))).collect()).collect();
        let modes = modes(&mut system, &rigid, &loads, 12, 1e-12).unwrap();
        assert_relative_eq!(modes.stiffness[0], 213.0, max_relative = 1e-12);
        assert_eq!(modes.fields.len(), 4);
        let load = [0.7, -20.0, 3.0, 40.0];
        let mut u = [0.0; 4];
        for (field, k) in modes.fields.iter().zip(&modes.stiffness) {
            let q = dot(field, &load) / k;
            u.iter_mut().zip(field).for_each(|(u, f)| *u += q * f);
        }
        for (u, (p, k)) in u.iter().zip(load.iter().zip([3.0, 50.0, 70.0, 90.0])) {
            assert_relative_eq!(*u, p / k, max_relative = 1e-9);
        }
        assert!(modes.left_out < 1e-12);
    }

    #[test]
    fn fewer_modes_leave_out_a_known_share() {
        let mut system = springs();
        let loads = vec![vec![1.0, 0.0, 0.0, 0.0], vec![0.0, 1.0, 0.0, 0.0]];
        let two = modes(&mut system, &[1.0; 4], &loads, 2, 0.0).unwrap();
        assert_eq!(two.fields.len(), 2);
        assert!(two.left_out > 1e-3 && two.left_out < 0.2, "{}", two.left_out);
    }
}
