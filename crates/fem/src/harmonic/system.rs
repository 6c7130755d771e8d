//! The harmonic tangent of a model: numbered and laid out once, assembled at any equilibrium for any number of waves.

use super::condensed::Response;
use super::waves::Waves;
use super::{Component, Friction, Harmonic, LocalTangent, Numbering, Wave};
use crate::assembly::{Item, pattern, scatter_map};
use crate::error::SolveError;
use crate::sparse::Factorisation;
use crate::state::{Load, State};
use sprs::CsMat;
use std::sync::Arc;

/// What the numbering of a model needs to know.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Layout {
    /// Number of nodes.
    pub n_nodes: usize,
    /// Number of axisymmetric unknowns, extra ones included.
    pub n_dofs: usize,
    /// Nodes on the mirror plane across the axis, if there is one.
    pub mirror: Vec<usize>,
    /// Harmonic unknowns that supports hold for every n.
    pub held: Vec<usize>,
}

/// How the two sides of the mirror plane move.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Middle {
    /// Alike: W = 0 in the plane.
    Mirror,
    /// Oppositely: U = V = 0 in the plane.
    AntiMirror,
}

/// What a factorisation is for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Setting {
    /// Number of waves round the circumference.
    pub n: usize,
    /// Movement of the mirror plane.
    pub middle: Middle,
    /// Tangential stiffness of the contact.
    pub friction: Friction,
    /// Places in the list of contributions whose stiffness is left out.
    pub left_out: Vec<usize>,
}

/// Contributions, numbering and pattern.
pub struct HarmonicSystem {
    contributions: Vec<Arc<dyn Harmonic>>,
    layout: Layout,
    items: Vec<Item>,
    /// Place in the matrix values of each local entry of all items, by columns.
    scatter: Vec<u32>,
    /// Harmonic unknowns without an uneven counterpart.
    even_only: Vec<usize>,
    /// Unknowns that no contribution has: they are held.
    idle: Vec<usize>,
    pub(super) matrix: CsMat<f64>,
    pub(super) factorisation: Factorisation,
}

impl HarmonicSystem {
    /// Numbers the harmonic unknowns and lays out the tangent. The contributions are those of the axisymmetric system in the same order,
    /// by which the condensed unknowns of a state are found.
    ///
    /// # Errors
    /// [`SolveError::Singular`] when the pattern cannot be ordered.
    pub fn new(layout: Layout, contributions: Vec<Arc<dyn Harmonic>>) -> Result<Self, SolveError> {
        let numbering = Numbering { n_nodes: layout.n_nodes };
        let n = numbering.of_even(layout.n_dofs);
        let (items, unknowns) = list_items(&contributions, numbering);
        let mut idle = vec![true; n];
        unknowns.iter().for_each(|unknown| idle[*unknown] = false);
        let idle: Vec<usize> = (0..n).filter(|unknown| idle[*unknown]).collect();
        let every: Vec<usize> = (0..n).collect();
        // A unit on the diagonal of an idle unknown needs its place in the pattern.
        let singles = idle.iter().enumerate().map(|(k, _)| single(unknowns.len() + k));
        let with_idle: Vec<Item> = items.iter().copied().chain(singles).collect();
        let matrix = pattern(&with_idle, &[unknowns.as_slice(), idle.as_slice()].concat(), &every, n);
        let scatter = scatter_map(&items, &unknowns, &every, &matrix);
        let (mut pairs, mut even_only) = (Vec::new(), Vec::new());
        for c in &contributions {
            c.multipliers(&mut pairs);
            c.even_only(&mut even_only);
        }
        let even_only = even_only.into_iter().map(|dof| numbering.of_even(dof)).collect();
        let companions: Vec<_> = pairs.into_iter().map(|(a, b)| (numbering.of_even(a), numbering.of_even(b))).collect();
        let factorisation = Factorisation::new(&matrix, &companions)?;
        Ok(Self { contributions, layout, items, scatter, even_only, idle, matrix, factorisation })
    }

    /// Number of harmonic unknowns.
    pub fn n_unknowns(&self) -> usize {
        self.matrix.cols()
    }

    pub(super) fn n_nodes(&self) -> usize {
        self.layout.n_nodes
    }

    /// Assembles and factorises the tangent at an equilibrium of revolution for one number of waves. The state is the one that the
    /// equilibrium was found with, contact history from before the step included, as that tells which points slip.
    ///
    /// # Errors
    /// What an item reports, [`SolveError::Singular`] or [`SolveError::Inaccurate`].
    pub fn factorise(&mut self, state: &State, load: &Load, setting: &Setting) -> Result<Response<'_>, SolveError> {
        self.assemble(state, load, setting)?;
        self.hold_and_factorise(setting.n, setting.middle)
    }

    /// The tangent at an equilibrium for all numbers of waves and both movements of the mirror plane; those of the setting play no part.
    ///
    /// # Errors
    /// What an item reports.
    pub fn waves(&mut self, state: &State, load: &Load, setting: &Setting) -> Result<Waves<'_>, SolveError> {
        Waves::new(self, state, load, setting)
    }

    /// Holds what is held in the assembled tangent and factorises it.
    pub(super) fn hold_and_factorise(&mut self, n: usize, middle: Middle) -> Result<Response<'_>, SolveError> {
        let held = self.held(n, middle);
        self.hold(&held);
        Response::new(self, &held)
    }

    /// Sums the items' tangents, N/mm per radian; nothing is held yet.
    ///
    /// # Errors
    /// What an item reports.
    pub fn assemble(&mut self, state: &State, load: &Load, setting: &Setting) -> Result<&CsMat<f64>, SolveError> {
        let wave = Wave { n: setting.n, friction: setting.friction };
        let mut local = LocalTangent::default();
        let values = self.matrix.data_mut();
        values.fill(0.0);
        for item in self.items.iter().filter(|item| !setting.left_out.contains(&item.contribution)) {
            let contribution = &self.contributions[item.contribution];
            let internal = &state.internal[item.first_internal..item.first_internal + item.n_internal];
            local.reset(item.n);
            contribution.tangent(item.index, state, internal, load, &wave, &mut local)?;
            if contribution.n_inner() > 0 {
                local.condense(contribution.n_inner())?;
            }
            let places = &self.scatter[item.first_scatter..item.first_scatter + item.n * item.n];
            for (j, places) in places.chunks_exact(item.n).enumerate() {
                for (i, place) in places.iter().enumerate() {
                    values[*place as usize] += local.at(i, j);
                }
            }
        }
        Ok(&self.matrix)
    }

    /// Forces for each radian on the harmonic unknowns that displacements ask of the contributions not left out by the setting; what they act
    /// with on the body is the opposite. What is held plays no part.
    ///
    /// # Errors
    /// What an item reports.
    pub fn forces(
        &mut self,
        state: &State,
        load: &Load,
        setting: &Setting,
        displacement: &[f64],
    ) -> Result<Vec<f64>, SolveError> {
        let matrix = self.assemble(state, load, setting)?;
        let mut forces = vec![0.0; displacement.len()];
        for (column, u) in matrix.outer_iterator().zip(displacement) {
            column.iter().for_each(|(row, value)| forces[row] += value * u);
        }
        Ok(forces)
    }

    /// Whether each unknown is held.
    fn held(&self, n: usize, middle: Middle) -> Vec<bool> {
        let mut held = vec![false; self.n_unknowns()];
        let mut hold = |unknown: usize| held[unknown] = true;
        self.layout.held.iter().chain(&self.idle).for_each(|unknown| hold(*unknown));
        let fixed: &[Component] = match middle {
            Middle::Mirror => &[Component::Axial],
            Middle::AntiMirror => &[Component::Radial, Component::Circumferential],
        };
        for node in &self.layout.mirror {
            fixed.iter().for_each(|component| hold(Numbering::of(*node, *component)));
        }
        if n == 0 {
            // The circumferential displacement has no even part.
            (0..self.layout.n_nodes).for_each(|node| hold(Numbering::of(node, Component::Circumferential)));
        } else {
            self.even_only.iter().for_each(|unknown| hold(*unknown));
        }
        held
    }

    /// Makes the equation of each held unknown say that it is zero, and takes it out of the others.
    fn hold(&mut self, held: &[bool]) {
        let pointers = self.matrix.indptr().raw_storage().to_vec();
        let (rows, values) = (self.matrix.indices().to_vec(), self.matrix.data_mut());
        for column in 0..held.len() {
            for k in pointers[column]..pointers[column + 1] {
                if held[column] || held[rows[k]] {
                    values[k] = if rows[k] == column { 1.0 } else { 0.0 };
                }
            }
        }
    }
}

/// An item of one unknown at a place in the list of unknowns.
fn single(first_dof: usize) -> Item {
    Item { contribution: 0, index: 0, first_dof, n: 1, first_scatter: 0, first_internal: 0, n_internal: 0 }
}

fn list_items(contributions: &[Arc<dyn Harmonic>], numbering: Numbering) -> (Vec<Item>, Vec<usize>) {
    let (mut items, mut unknowns, mut dofs) = (Vec::new(), Vec::new(), Vec::new());
    let (mut first_internal, mut first_scatter) = (0, 0);
    for (contribution, c) in contributions.iter().enumerate() {
        for index in 0..c.n_items() {
            dofs.clear();
            c.dofs(index, &mut dofs);
            let first_dof = unknowns.len();
            numbering.of_item(&dofs, &mut unknowns);
            let n = unknowns.len() - first_dof;
            items.push(Item { contribution, index, first_dof, n, first_scatter, first_internal, n_internal: c.n_internal() });
            first_internal += c.n_internal();
            first_scatter += n * n;
        }
    }
    (items, unknowns)
}
