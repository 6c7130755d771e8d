//! Sums contributions into one residual and one sparse tangent of fixed pattern.

use crate::contribution::{Contribution, LocalSystem, MAX_DOFS, MAX_INTERNAL};
use crate::error::SolveError;
use crate::sparse::{Columns, Factorisation};
use crate::state::{Load, State};
use sprs::CsMat;
use std::sync::Arc;

/// Number in place of an equation for a fixed unknown.
const FIXED: usize = usize::MAX;

/// Share of the load that may be left over of du / dp when factors are kept.
const KEPT_BY_PRESSURE: f64 = 1e-2;

/// Share of a residual that an increment may leave without further ado: the next iteration sees it.
const ENOUGH: f64 = 1e-9;

/// Contributions, numbering and the assembled system.
pub struct System {
    contributions: Vec<Arc<dyn Contribution>>,
    /// Equation of each unknown, [`FIXED`] if it has none.
    equation: Vec<usize>,
    n_equations: usize,
    items: Vec<Item>,
    /// Unknowns of all items, one after the other.
    dofs: Vec<usize>,
    /// Place in the matrix values of each local entry of all items, by columns; beyond the last for what belongs nowhere.
    scatter: Vec<u32>,
    n_internal: usize,
    matrix: CsMat<f64>,
    factorisation: Factorisation,
    residual: Vec<f64>,
    by_pressure: Vec<f64>,
    /// One for each item that has condensed unknowns.
    condensed: Vec<Condensed>,
    force_scale: f64,
    local: LocalSystem,
    /// Unknowns that anchors hold, with their diagonal entries in the matrix values.
    anchored: Vec<(usize, usize)>,
}

/// Where an item's data lie.
#[derive(Clone, Copy)]
pub(crate) struct Item {
    pub(crate) contribution: usize,
    pub(crate) index: usize,
    pub(crate) first_dof: usize,
    pub(crate) n: usize,
    pub(crate) first_scatter: usize,
    pub(crate) first_internal: usize,
    pub(crate) n_internal: usize,
}

/// What is needed to recover condensed unknowns: K_qq^-1, K_qq^-1 r_q and K_qq^-1 K_qu.
#[derive(Clone)]
struct Condensed {
    item: usize,
    inverse: [[f64; MAX_INTERNAL]; MAX_INTERNAL],
    solution: [f64; MAX_INTERNAL],
    coupling: [[f64; MAX_DOFS]; MAX_INTERNAL],
}

impl Condensed {
    fn of(item: usize) -> Self {
        let inverse = [[0.0; MAX_INTERNAL]; MAX_INTERNAL];
        Self { item, inverse, solution: [0.0; MAX_INTERNAL], coupling: [[0.0; MAX_DOFS]; MAX_INTERNAL] }
    }

    /// Eliminates the `m` condensed unknowns of a local system by the Schur complement.
    fn eliminate(&mut self, m: usize, local: &mut LocalSystem) -> Result<(), SolveError> {
        self.inverse = invert(&local.internal.tangent, m).ok_or(SolveError::Singular)?;
        let to_q = &local.internal.coupling;
        for k in 0..MAX_INTERNAL {
            let [a, b, c] = self.inverse[k];
            for (coupled, q) in self.coupling[k].iter_mut().zip(to_q) {
                *coupled = a * q[0] + b * q[1] + c * q[2];
            }
        }
        let [x, y, z] = &self.coupling;
        for (i, row) in local.tangent.chunks_exact_mut(MAX_DOFS).take(local.n).enumerate() {
            let [a, b, c] = to_q[i];
            for j in 0..MAX_DOFS {
                row[j] -= a * x[j] + b * y[j] + c * z[j];
            }
        }
        self.reduce(m, local);
        Ok(())
    }

    /// Takes the `m` condensed unknowns out of the residual of a local system, by the derivatives of the last elimination.
    fn reduce(&mut self, m: usize, local: &mut LocalSystem) {
        let from_q = &local.internal.residual;
        for (solution, row) in self.solution.iter_mut().zip(&self.inverse) {
            *solution = row.iter().zip(from_q).take(m).map(|(inverse, r)| inverse * r).sum();
        }
        let [x, y, z] = &self.coupling;
        for (i, residual) in local.residual.iter_mut().enumerate().take(local.n) {
            *residual -= x[i] * from_q[0] + y[i] * from_q[1] + z[i] * from_q[2];
        }
    }
}

impl System {
    /// Numbers the `n_dofs` unknowns of the contributions, `fixed` ones excepted, and lays out the tangent.
    ///
    /// # Errors
    /// [`SolveError::Singular`] when the pattern alone is singular (an unknown that nothing contributes to).
    pub fn new(n_dofs: usize, fixed: &[usize], contributions: Vec<Arc<dyn Contribution>>) -> Result<Self, SolveError> {
        let mut equation = vec![0; n_dofs];
        for &dof in fixed {
            equation[dof] = FIXED;
        }
        let mut n_equations = 0;
        for e in equation.iter_mut().filter(|e| **e != FIXED) {
            *e = n_equations;
            n_equations += 1;
        }
        let (items, dofs, n_internal) = list_items(&contributions);
        let matrix = pattern(&items, &dofs, &equation, n_equations);
        let scatter = scatter_map(&items, &dofs, &equation, &matrix);
        let companions = companions(&contributions, &equation);
        let factorisation = Factorisation::new(&matrix, &companions)?;
        let condensed = items.iter().enumerate().filter(|(_, item)| item.n_internal > 0).map(|(k, _)| Condensed::of(k)).collect();
        let anchored = anchored(&matrix, &equation, &companions);
        Ok(Self {
            contributions,
            equation,
            n_equations,
            items,
            dofs,
            scatter,
            n_internal,
            matrix,
            factorisation,
            residual: vec![0.0; n_dofs],
            by_pressure: vec![0.0; n_dofs],
            condensed,
            force_scale: 0.0,
            local: LocalSystem::default(),
            anchored,
        })
    }

    /// Number of equations.
    pub fn n_equations(&self) -> usize {
        self.n_equations
    }

    /// A state at rest: no displacement, no element pressure, no contact history.
    pub fn rest(&self) -> State {
        State { u: vec![0.0; self.equation.len()], internal: vec![0.0; self.n_internal], ..State::default() }
    }

    /// Residual of every unknown, N: internal minus external force; at a fixed unknown the reaction of the support.
    pub fn residual(&self) -> &[f64] {
        &self.residual
    }

    /// The assembled tangent of the equations.
    pub fn tangent(&self) -> &CsMat<f64> {
        &self.matrix
    }

    /// Euclidean norm of the residual of the equations over the force scale: the norm of the items' forces before they cancel,
    /// and `floor` (N) at least, below which forces count as nothing.
    pub fn relative_residual(&self, floor: f64) -> f64 {
        let free = self.residual.iter().zip(&self.equation).filter(|(_, e)| **e != FIXED);
        let norm = free.map(|(r, _)| r * r).sum::<f64>().sqrt();
        if norm == 0.0 { 0.0 } else { norm / self.force_scale.max(floor) }
    }

    /// Relative residual that may be left because unknowns are told to their last digit only: |J| |u| times the unit round-off, over the
    /// force scale. Newton's method cannot be relied on to go lower (F. Tisseur, SIAM J. Matrix Anal. Appl. 22 (2001) 1038, on its limiting
    /// residual, from memory). The tangent is that of the last whole assembly.
    pub fn round_off(&self, state: &State, floor: f64) -> f64 {
        let mut sizes = vec![0.0; self.n_equations];
        let unknowns = state.u.iter().zip(&self.equation).filter(|(_, e)| **e != FIXED).map(|(u, _)| u.abs());
        for (column, u) in self.matrix.outer_iterator().zip(unknowns) {
            column.iter().for_each(|(row, value)| sizes[row] += value.abs() * u);
        }
        let norm = sizes.iter().map(|s| s * s).sum::<f64>().sqrt();
        0.5 * f64::EPSILON * norm / self.force_scale.max(floor)
    }

    /// Assembles residual, tangent and pressure derivative at a state.
    ///
    /// # Errors
    /// Whatever an item reports, [`SolveError::Inverted`] above all.
    pub fn assemble(&mut self, state: &State, load: &Load) -> Result<(), SolveError> {
        self.by_pressure.fill(0.0);
        self.matrix.data_mut().fill(0.0);
        self.pass(state, load, false)
    }

    /// Assembles the residual alone at a state; tangent and pressure derivative stay those of the last whole assembly, and so do the
    /// derivatives by which condensed unknowns are taken out of it.
    ///
    /// # Errors
    /// As [`Self::assemble`].
    pub fn assemble_residual(&mut self, state: &State, load: &Load) -> Result<(), SolveError> {
        self.pass(state, load, true)
    }

    /// One pass over all items.
    fn pass(&mut self, state: &State, load: &Load, residual_only: bool) -> Result<(), SolveError> {
        self.residual.fill(0.0);
        let values = self.matrix.data_mut();
        let (local, mut condensed) = (&mut self.local, self.condensed.iter_mut());
        local.residual_only = residual_only;
        let mut scale = 0.0;
        for item in &self.items {
            let internal = &state.internal[item.first_internal..item.first_internal + item.n_internal];
            local.reset(item.n);
            let contribution = &self.contributions[item.contribution];
            contribution.evaluate(item.index, state, internal, load, local)?;
            scale += local.residual[..item.n].iter().map(|r| r * r).sum::<f64>();
            if let Some(condensed) = (item.n_internal > 0).then(|| condensed.next()).flatten() {
                if residual_only {
                    condensed.reduce(item.n_internal, local);
                } else {
                    condensed.eliminate(item.n_internal, local)?;
                }
            }
            let dofs = &self.dofs[item.first_dof..item.first_dof + item.n];
            for (dof, value) in dofs.iter().zip(&local.residual) {
                self.residual[*dof] += value;
            }
            if residual_only {
                continue;
            }
            if contribution.driven_by() == load.unknown {
                for (dof, value) in dofs.iter().zip(&local.by_pressure) {
                    self.by_pressure[*dof] += value;
                }
            }
            let places = &self.scatter[item.first_scatter..item.first_scatter + item.n * item.n];
            for (j, places) in places.chunks_exact(item.n).enumerate() {
                for (place, row) in places.iter().zip(local.tangent.chunks_exact(MAX_DOFS)) {
                    if let Some(value) = values.get_mut(*place as usize) {
                        *value += row[j];
                    }
                }
            }
        }
        self.force_scale = scale.sqrt();
        Ok(())
    }

    /// Adds springs of stiffness `stiffness`, N/mm, that hold every free displacement at `anchor` to the assembled system.
    pub fn anchor(&mut self, state: &State, anchor: &[f64], stiffness: f64) {
        for (dof, place) in &self.anchored {
            self.matrix.data_mut()[*place] += stiffness;
            self.residual[*dof] += stiffness * (state.u[*dof] - anchor[*dof]);
        }
    }

    /// Solves the assembled system: the Newton increment du of all unknowns at fixed pressure and, if wanted, du / dp.
    /// With `kept` the factors of the last tangent may do if they leave no more than that share of the residual.
    ///
    /// # Errors
    /// [`SolveError::Singular`] or [`SolveError::Inaccurate`].
    pub fn solve(&mut self, by_pressure: bool, kept: Option<f64>) -> Result<(Vec<f64>, Option<Vec<f64>>), SolveError> {
        let residual = self.gather(&self.residual);
        if by_pressure {
            let [x, p] = self.solve_columns(&[residual, self.gather(&self.by_pressure)], kept)?;
            Ok((self.spread(&x), Some(self.spread(&p))))
        } else {
            let [x] = self.solve_columns(&[residual], kept)?;
            Ok((self.spread(&x), None))
        }
    }

    /// Responses of the assembled system to loads on all unknowns, N: for linear systems the displacements under each load, mm.
    ///
    /// # Errors
    /// [`SolveError::Singular`] or [`SolveError::Inaccurate`].
    pub fn respond(&mut self, loads: &[Vec<f64>]) -> Result<Vec<Vec<f64>>, SolveError> {
        const AT_ONCE: usize = 8;
        let mut responses = Vec::with_capacity(loads.len());
        for batch in loads.chunks(AT_ONCE) {
            let rhs: Columns<AT_ONCE> = std::array::from_fn(|i| match batch.get(i) {
                Some(load) => self.gather(load).into_iter().map(|v| -v).collect(),
                None => vec![0.0; self.n_equations],
            });
            let kept = (!responses.is_empty()).then(|| self.factorisation.solve_with_kept(&self.matrix, &rhs, [1e-13; AT_ONCE]));
            let solved = match kept.flatten() {
                Some(x) => x,
                None => self.factorisation.solve(&self.matrix, &rhs, 0.0)?,
            };
            responses.extend(solved.iter().take(batch.len()).map(|x| self.spread(x)));
        }
        Ok(responses)
    }

    fn solve_columns<const N: usize>(&mut self, rhs: &Columns<N>, kept: Option<f64>) -> Result<Columns<N>, SolveError> {
        // The pressure changes by little where factors are kept: du / dp need not be as close.
        let shares = |share: f64| std::array::from_fn(|i| if i == 0 { share } else { share.max(KEPT_BY_PRESSURE) });
        match kept.and_then(|share| self.factorisation.solve_with_kept(&self.matrix, rhs, shares(share))) {
            Some(x) => Ok(x),
            None => self.factorisation.solve(&self.matrix, rhs, ENOUGH),
        }
    }

    /// Minus the entries of a vector of all unknowns that have an equation.
    fn gather(&self, v: &[f64]) -> Vec<f64> {
        v.iter().zip(&self.equation).filter(|(_, e)| **e != FIXED).map(|(v, _)| -v).collect()
    }

    /// A vector of all unknowns from one of the equations, zero where an unknown is fixed.
    fn spread(&self, x: &[f64]) -> Vec<f64> {
        self.equation.iter().map(|e| if *e == FIXED { 0.0 } else { x[*e] }).collect()
    }

    /// Adds an increment of the unknowns to a state and recovers the condensed unknowns from the last assembly.
    pub fn update(&self, state: &mut State, du: &[f64], factor: f64) {
        for (u, d) in state.u.iter_mut().zip(du) {
            *u += factor * d;
        }
        for c in &self.condensed {
            let item = self.items[c.item];
            let dofs = &self.dofs[item.first_dof..item.first_dof + item.n];
            for k in 0..item.n_internal {
                let coupled: f64 = dofs.iter().enumerate().map(|(i, dof)| c.coupling[k][i] * du[*dof]).sum();
                state.internal[item.first_internal + k] -= factor * (c.solution[k] + coupled);
            }
        }
    }
}

fn list_items(contributions: &[Arc<dyn Contribution>]) -> (Vec<Item>, Vec<usize>, usize) {
    let (mut items, mut dofs) = (Vec::new(), Vec::new());
    let (mut first_internal, mut first_scatter) = (0, 0);
    for (contribution, c) in contributions.iter().enumerate() {
        for index in 0..c.n_items() {
            let first_dof = dofs.len();
            c.dofs(index, &mut dofs);
            let n = dofs.len() - first_dof;
            items.push(Item { contribution, index, first_dof, n, first_scatter, first_internal, n_internal: c.n_internal() });
            first_internal += c.n_internal();
            first_scatter += n * n;
        }
    }
    (items, dofs, first_internal)
}

/// Equations of the multipliers, each with the one that it is eliminated with.
fn companions(contributions: &[Arc<dyn Contribution>], equation: &[usize]) -> Vec<(usize, usize)> {
    let mut pairs = Vec::new();
    contributions.iter().for_each(|c| c.multipliers(&mut pairs));
    let equations = pairs.into_iter().map(|(multiplier, with)| (equation[multiplier], equation[with]));
    equations.filter(|(multiplier, with)| *multiplier != FIXED && *with != FIXED).collect()
}

/// Free displacements with their diagonal entries in the matrix values.
fn anchored(matrix: &CsMat<f64>, equation: &[usize], companions: &[(usize, usize)]) -> Vec<(usize, usize)> {
    let mut held = equation.to_vec();
    let multipliers: std::collections::HashSet<usize> = companions.iter().map(|(multiplier, _)| *multiplier).collect();
    held.iter_mut().filter(|e| multipliers.contains(e)).for_each(|e| *e = FIXED);
    let pointers = matrix.indptr();
    let starts = pointers.raw_storage();
    let diagonal = |e: usize| matrix.indices()[starts[e]..starts[e + 1]].binary_search(&e).ok().map(|k| starts[e] + k);
    let free = held.iter().enumerate().filter(|(_, e)| **e != FIXED);
    free.filter_map(|(dof, e)| Some((dof, diagonal(*e)?))).collect()
}

/// Compressed-column pattern of the union of the items' cliques, rows sorted, values zero.
pub(crate) fn pattern(items: &[Item], dofs: &[usize], equation: &[usize], n: usize) -> CsMat<f64> {
    let mut columns: Vec<Vec<usize>> = vec![Vec::new(); n];
    for item in items {
        let equations: Vec<usize> =
            dofs[item.first_dof..item.first_dof + item.n].iter().map(|d| equation[*d]).filter(|e| *e != FIXED).collect();
        for &column in &equations {
            columns[column].extend(&equations);
        }
    }
    let mut pointers = vec![0];
    let mut rows = Vec::new();
    for column in &mut columns {
        column.sort_unstable();
        column.dedup();
        rows.extend_from_slice(column);
        pointers.push(rows.len());
    }
    let values = vec![0.0; rows.len()];
    CsMat::new_csc((n, n), pointers, rows, values)
}

pub(crate) fn scatter_map(items: &[Item], dofs: &[usize], equation: &[usize], matrix: &CsMat<f64>) -> Vec<u32> {
    let pointers = matrix.indptr();
    let starts = pointers.raw_storage();
    let nowhere = matrix.nnz() as u32;
    let mut map = Vec::new();
    for item in items {
        let equations: Vec<usize> = dofs[item.first_dof..item.first_dof + item.n].iter().map(|d| equation[*d]).collect();
        for &column in &equations {
            for &row in &equations {
                map.push(if row == FIXED || column == FIXED {
                    nowhere
                } else {
                    let range = starts[column]..starts[column + 1];
                    matrix.indices()[range.clone()].binary_search(&row).map_or(nowhere, |k| (range.start + k) as u32)
                });
            }
        }
    }
    map
}

/// Inverse of the leading m x m block, zero beyond it, by Gauss-Jordan elimination (the blocks are definite: no pivoting).
fn invert(a: &[[f64; MAX_INTERNAL]; MAX_INTERNAL], m: usize) -> Option<[[f64; MAX_INTERNAL]; MAX_INTERNAL]> {
    let mut a = *a;
    let mut inverse = [[0.0; MAX_INTERNAL]; MAX_INTERNAL];
    for (k, row) in inverse.iter_mut().enumerate().take(m) {
        row[k] = 1.0;
    }
    for k in 0..m {
        let pivot = a[k][k];
        if pivot == 0.0 || !pivot.is_finite() {
            return None;
        }
        for j in 0..m {
            a[k][j] /= pivot;
            inverse[k][j] /= pivot;
        }
        for i in (0..m).filter(|i| *i != k) {
            let factor = a[i][k];
            for j in 0..m {
                a[i][j] -= factor * a[k][j];
                inverse[i][j] -= factor * inverse[k][j];
            }
        }
    }
    Some(inverse)
}
