//! Stiffness of a body of revolution against displacements that are uneven round the circumference.
//!
//! At an equilibrium of revolution (state, load) the body is displaced by `u = (U cos n t, V sin n t, W cos n t)`: radial,
//! circumferential and axial components along the directions at the reference angle t, U, V and W over the section by the shape
//! functions of the axisymmetric elements. Reflection makes harmonics of different n and parity independent, so that the
//! three-dimensional tangent falls apart into one of the section for each n, with three unknowns a node.
//!
//! Conventions:
//! - Harmonic unknowns: `3 i`, `3 i + 1`, `3 i + 2` are U, V, W of node `i` ([`Numbering::of`]); the extra unknowns follow in their order
//!   after all nodes. Contact multipliers go with cos n t.
//! - Per radian: forces are amplitudes per radian, `f cos n t` (radial and axial) and `f sin n t` (circumferential), so the tangent, N/mm
//!   per radian, is the second variation over pi for n >= 1 and over 2 pi for n = 0. With n = 0 the (U, W) block times 2 pi is the
//!   axisymmetric tangent. A force for each length of a circumference of radius r is the force per radian over r.
//! - For n = 0 U and W are an even displacement; V is an even turn about the axis, which is not coupled with them and which
//!   [`HarmonicSystem`] holds.
//! - Amplitudes of a carrying body (its modes) exist for n = 0 only.
//!
//! The deformation gradient is linear in u, as the directions are those at the reference angle. Its variation has the components
//! {rR, rZ, zR, zZ, theta Theta} with cos n t, the last being (U + n V) / R, and {r Theta, theta R, theta Z, z Theta} =
//! {-(n U + V) / R, V_R, V_Z, -n W / R} with sin n t; a state without torsion does not couple the two.
//! Source: semi-analytical (Fourier) elements, Zienkiewicz and Taylor, The Finite Element Method, volume 1 (from memory), here about a
//! stressed state.

mod blocked;
mod condensed;
mod contact;
mod hoop;
mod local;
mod mixed;
mod ply;
mod pressure;
mod solid;
mod spring;
mod strain;
mod surface;
mod system;
#[cfg(test)]
mod trial;
mod waves;

pub use blocked::Blocked;
pub use condensed::Response;
/// Dense matrix of the linear-algebra crate, in which condensed results come.
pub use nalgebra::DMatrix;

pub use local::{LocalTangent, MAX_INNER, MAX_UNKNOWNS};
pub use system::{HarmonicSystem, Layout, Middle, Setting};
pub use waves::Waves;

use crate::contribution::Contribution;
use crate::error::SolveError;
use crate::state::{Load, State};

/// Component of a node's displacement.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Component {
    /// U, with cos n t.
    Radial,
    /// V, with sin n t.
    Circumferential,
    /// W, with cos n t.
    Axial,
}

/// Tangential stiffness of the contact.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Friction {
    /// Points that stick keep the tangential penalty along the profile and round the circumference; a point that slips keeps across its
    /// slip what the return to the friction cone leaves of it.
    Stuck,
    /// No tangential stiffness; the tractions that act keep their size. The bound without friction.
    Free,
}

/// What is asked of a contribution.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Wave {
    /// Number of waves round the circumference.
    pub n: usize,
    /// Tangential stiffness of the contact.
    pub friction: Friction,
}

impl Wave {
    /// The number of waves as a factor.
    pub(crate) fn order(&self) -> f64 {
        self.n as f64
    }
}

/// Numbers of the harmonic unknowns.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Numbering {
    /// Number of nodes.
    pub n_nodes: usize,
}

impl Numbering {
    /// The harmonic unknown of a node's component.
    pub fn of(node: usize, component: Component) -> usize {
        3 * node + component as usize
    }

    /// The harmonic unknown that an axisymmetric unknown becomes.
    pub fn of_even(&self, dof: usize) -> usize {
        match dof.checked_sub(2 * self.n_nodes) {
            Some(extra) => 3 * self.n_nodes + extra,
            None => 3 * (dof / 2) + 2 * (dof % 2),
        }
    }

    /// The harmonic unknowns of an item with the axisymmetric unknowns given, in their order: both unknowns of a node become its three.
    pub fn of_item(&self, dofs: &[usize], out: &mut Vec<usize>) {
        for (k, &dof) in dofs.iter().enumerate() {
            out.push(self.of_even(dof));
            let both = dof < 2 * self.n_nodes && dof % 2 == 0 && dofs.get(k + 1) == Some(&(dof + 1));
            out.extend(both.then_some(3 * (dof / 2) + 1));
        }
    }
}

/// A contribution that knows its stiffness against uneven displacements.
pub trait Harmonic: Contribution {
    /// Number of unknowns of each item that are condensed in its harmonic tangent.
    fn n_inner(&self) -> usize {
        0
    }

    /// Appends the axisymmetric unknowns that have no uneven counterpart.
    fn even_only(&self, _out: &mut Vec<usize>) {}

    /// Adds one item's harmonic tangent to `out` (already reset), N/mm per radian, rows and columns in the order of
    /// [`Numbering::of_item`]. `internal` are the item's condensed unknowns in the state of revolution.
    ///
    /// # Errors
    /// [`SolveError::Inverted`] when the deformation of the item is not invertible.
    fn tangent(
        &self,
        item: usize,
        state: &State,
        internal: &[f64],
        load: &Load,
        wave: &Wave,
        out: &mut LocalTangent,
    ) -> Result<(), SolveError>;
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_unknowns_of_a_node_become_three_and_single_ones_one() {
        let numbering = Numbering { n_nodes: 10 };
        let mut out = Vec::new();
        numbering.of_item(&[4, 5, 18, 19, 21, 23], &mut out);
        assert_eq!(out, [6, 7, 8, 27, 28, 29, 31, 33]);
        out.clear();
        numbering.of_item(&[6, 9], &mut out);
        assert_eq!(out, [9, 14]);
        assert_eq!(Numbering::of(3, Component::Axial), 11);
    }
}
