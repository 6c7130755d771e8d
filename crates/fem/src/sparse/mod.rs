//! Direct solution of sparse systems of fixed pattern; the only module that names the linear-algebra crate's factorisations.
//!
//! The fast way is a multifrontal LU on a minimum-degree ordering, with pivoting inside each front; where its backward error stays too
//! large, an LU with partial pivoting over the whole matrix takes on.

mod dense;
mod fronts;
mod multifrontal;
mod pivoting;

use crate::error::SolveError;
use multifrontal::Multifrontal;
use pivoting::PivotingLu;
use sprs::CsMat;

/// Largest backward error taken as a solution.
const ACCURACY: f64 = 1e-10;
/// Backward error above which a solution is refined.
const REFINE: f64 = 1e-11;

/// Refinements by the factors of an earlier matrix before they are given up.
const MOST_REFINEMENTS: usize = 6;

/// Right-hand sides or solutions.
pub type Columns<const N: usize> = [Vec<f64>; N];

/// Factorisation of a square matrix of fixed, structurally symmetric pattern.
pub struct Factorisation {
    fronts: Multifrontal,
    pivoting: Option<PivotingLu>,
    /// Whether the fronts hold the factors of an earlier matrix.
    kept: bool,
}

impl Factorisation {
    /// Analyses the pattern of a compressed-column matrix. Each of `companions` is an unknown whose diagonal may vanish, with one
    /// that it is eliminated together with, so that pivoting inside a front finds a pivot.
    ///
    /// # Errors
    /// [`SolveError::Singular`] when an unknown is connected to nothing, itself included.
    pub fn new(matrix: &CsMat<f64>, companions: &[(usize, usize)]) -> Result<Self, SolveError> {
        if matrix.outer_iterator().any(|column| column.nnz() == 0) {
            return Err(SolveError::Singular);
        }
        Ok(Self { fronts: Multifrontal::new(matrix, companions)?, pivoting: None, kept: false })
    }

    /// Factorises `matrix` (of the analysed pattern) and solves for `N` right-hand sides: to a small backward error, or so that no more
    /// than the share `enough` of each is left.
    ///
    /// # Errors
    /// [`SolveError::Singular`] or [`SolveError::Inaccurate`].
    pub fn solve<const N: usize>(
        &mut self,
        matrix: &CsMat<f64>,
        rhs: &Columns<N>,
        enough: f64,
    ) -> Result<Columns<N>, SolveError> {
        self.fronts.factorise(matrix);
        let by_fronts = checked(matrix, rhs, enough, |x| self.fronts.substitute(x));
        self.kept = by_fronts.is_ok();
        if self.kept {
            return by_fronts;
        }
        let lu = match &mut self.pivoting {
            Some(lu) => lu,
            none => none.insert(PivotingLu::new(matrix)?),
        };
        lu.factorise(matrix)?;
        checked(matrix, rhs, enough, |x| x.iter_mut().for_each(|x| lu.substitute(x)))
    }

    /// Solves for `N` further right-hand sides with the factors of the last [`Self::solve`], of the same matrix, to a small backward error.
    ///
    /// # Errors
    /// [`SolveError::Singular`] where nothing was factorised, or [`SolveError::Inaccurate`].
    pub fn solve_again<const N: usize>(&mut self, matrix: &CsMat<f64>, rhs: &Columns<N>) -> Result<Columns<N>, SolveError> {
        if self.kept {
            return checked(matrix, rhs, 0.0, |x| self.fronts.substitute(x));
        }
        let lu = self.pivoting.as_mut().ok_or(SolveError::Singular)?;
        checked(matrix, rhs, 0.0, |x| x.iter_mut().for_each(|x| lu.substitute(x)))
    }

    /// Solves for `N` right-hand sides with the factors of an earlier, nearby matrix, by refinement down to a residual of its share
    /// of each right-hand side; `None` where that does not succeed.
    pub fn solve_with_kept<const N: usize>(&self, matrix: &CsMat<f64>, rhs: &Columns<N>, shares: [f64; N]) -> Option<Columns<N>> {
        if !self.kept {
            return None;
        }
        let wanted: [f64; N] = std::array::from_fn(|i| shares[i] * largest(&rhs[i]));
        let (mut x, mut residual) = (rhs.each_ref().map(|b| vec![0.0; b.len()]), rhs.clone());
        let mut left: [f64; N] = std::array::from_fn(|i| largest(&rhs[i]));
        for refinement in 1..=MOST_REFINEMENTS {
            self.fronts.substitute(&mut residual);
            add(&mut x, &residual);
            residual = residuals(matrix, &x, rhs);
            let now: [f64; N] = std::array::from_fn(|i| largest(&residual[i]));
            if now.iter().zip(wanted).all(|(now, wanted)| *now <= wanted) {
                return Some(x);
            }
            let more = (MOST_REFINEMENTS - refinement) as i32;
            // At this rate the rest will not do.
            let hopeless = |i: usize| now[i].is_nan() || now[i] > wanted[i] && now[i] * (now[i] / left[i]).powi(more) > wanted[i];
            if (0..N).any(hopeless) {
                return None;
            }
            left = now;
        }
        None
    }
}

fn add<const N: usize>(x: &mut Columns<N>, correction: &Columns<N>) {
    for (x, d) in x.iter_mut().flatten().zip(correction.iter().flatten()) {
        *x += d;
    }
}

/// b - A x. The matrix is read once for all.
fn residuals<const N: usize>(matrix: &CsMat<f64>, x: &Columns<N>, rhs: &Columns<N>) -> Columns<N> {
    let mut residuals = rhs.clone();
    for (i, column) in matrix.outer_iterator().enumerate() {
        let x: [f64; N] = std::array::from_fn(|k| x[k][i]);
        for (row, value) in column.iter() {
            for (residual, x) in residuals.iter_mut().zip(x) {
                residual[row] -= value * x;
            }
        }
    }
    residuals
}

/// Largest size of a vector's entries; not a number if one is not.
fn largest(v: &[f64]) -> f64 {
    v.iter().fold(0.0_f64, |m, v| if v.is_nan() || m.is_nan() { f64::NAN } else { m.max(v.abs()) })
}

/// Solutions by `substitute`; unless they leave no more than `enough` of the right-hand sides, refined once where it helps and refused
/// where the backward error is too large.
fn checked<const N: usize>(
    matrix: &CsMat<f64>,
    rhs: &Columns<N>,
    enough: f64,
    mut substitute: impl FnMut(&mut Columns<N>),
) -> Result<Columns<N>, SolveError> {
    let mut x = rhs.clone();
    substitute(&mut x);
    let mut left = residuals(matrix, &x, rhs);
    if left.iter().zip(rhs).all(|(left, b)| largest(left) <= enough * largest(b)) {
        return Ok(x);
    }
    let mut error = backward_error(matrix, &x, rhs, &left);
    if error > REFINE {
        substitute(&mut left);
        add(&mut x, &left);
        error = backward_error(matrix, &x, rhs, &residuals(matrix, &x, rhs));
    }
    if error.is_nan() || error > ACCURACY { Err(SolveError::Inaccurate { backward_error: error }) } else { Ok(x) }
}

/// Largest backward error of the solutions, |b - A x| / (|A| |x| + |b|) in infinity norms (Higham, Accuracy and Stability of Numerical
/// Algorithms, theorem 7.1, from memory); `left` are the residuals b - A x. The matrix is read once for all solutions.
fn backward_error<const N: usize>(matrix: &CsMat<f64>, x: &Columns<N>, rhs: &Columns<N>, left: &Columns<N>) -> f64 {
    let mut sizes: Columns<N> = rhs.each_ref().map(|b| b.iter().map(|v| v.abs()).collect());
    for (i, column) in matrix.outer_iterator().enumerate() {
        let x: [f64; N] = std::array::from_fn(|k| x[k][i]);
        for (row, value) in column.iter() {
            for (sizes, x) in sizes.iter_mut().zip(x) {
                sizes[row] += (value * x).abs();
            }
        }
    }
    let error = |k: usize| {
        let (num, den) = (largest(&left[k]), largest(&sizes[k]));
        if den > 0.0 { num / den } else { num }
    };
    largest(&std::array::from_fn::<f64, N, _>(error))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use approx::assert_relative_eq;

    /// A strip of `rows` x 4 unknowns, each coupled to its neighbours, unsymmetric, with one unknown coupled to all.
    fn strip(rows: usize, shift: f64) -> CsMat<f64> {
        let n = 4 * rows + 1;
        let mut triplets = sprs::TriMat::new((n, n));
        for i in 0..n - 1 {
            for j in i.saturating_sub(5)..(i + 6).min(n - 1) {
                let value = if i == j { 3.0 - shift } else { 0.3 * ((i * 7 + j * 3) % 11) as f64 - 1.4 };
                triplets.add_triplet(i, j, value);
            }
            triplets.add_triplet(i, n - 1, 0.1 * (i % 5) as f64);
            triplets.add_triplet(n - 1, i, -0.2 * (i % 3) as f64);
        }
        triplets.add_triplet(n - 1, n - 1, 5.0);
        triplets.to_csc()
    }

    fn multiply(matrix: &CsMat<f64>, x: &[f64]) -> Vec<f64> {
        let [r] = residuals(matrix, &[x.to_vec()], &[vec![0.0; x.len()]]);
        r.iter().map(|v| -v).collect()
    }

    #[test]
    fn solves_unsymmetric_and_indefinite_strips_with_one_analysis() {
        let mut lu = Factorisation::new(&strip(40, 0.0), &[]).unwrap();
        for shift in [0.0, 2.5, 6.0] {
            let matrix = strip(40, shift);
            let x: Vec<f64> = (0..161).map(|i| f64::from(i % 13) - 6.0).collect();
            let solved = lu.solve(&matrix, &[multiply(&matrix, &x), vec![1.0; 161]], 0.0).unwrap();
            for (a, b) in solved[0].iter().zip(&x) {
                assert_relative_eq!(a, b, epsilon = 1e-9);
            }
            assert!(lu.pivoting.is_none(), "the fast way must do");
            assert_eq!(lu.solve_again(&matrix, &[vec![1.0; 161]]).unwrap()[0], solved[1]);
        }
    }

    #[test]
    fn factors_of_a_nearby_matrix_do_and_those_of_a_far_one_do_not() {
        let mut lu = Factorisation::new(&strip(40, 0.0), &[]).unwrap();
        let b = [vec![1.0; 161], (0..161).map(f64::from).collect()];
        assert!(lu.solve_with_kept(&strip(40, 0.0), &b, [1e-6; 2]).is_none(), "there are no factors yet");
        lu.solve(&strip(40, 0.0), &b, 0.0).unwrap();
        let near = strip(40, 1e-3);
        let x = lu.solve_with_kept(&near, &b, [1e-6; 2]).unwrap();
        for (x, b) in x.iter().zip(&b) {
            let error = largest(&multiply(&near, x).iter().zip(b).map(|(a, b)| a - b).collect::<Vec<_>>());
            assert!(error <= 1e-6 * largest(b), "{error}");
        }
        assert!(lu.solve_with_kept(&strip(40, 6.0), &b, [1e-6; 2]).is_none());
    }

    #[test]
    fn falls_back_on_pivoting_where_a_block_is_singular() {
        // [0 1 0; 1 0 1; 0 1 1]-like chain whose first level has a zero diagonal.
        let matrix = CsMat::new_csc((3, 3), vec![0, 2, 5, 7], vec![0, 1, 0, 1, 2, 1, 2], vec![0.0, 1.0, 1.0, 0.0, 1.0, 1.0, 2.0]);
        let mut lu = Factorisation::new(&matrix, &[]).unwrap();
        let x = [1.0, 2.0, 3.0];
        let solved = lu.solve(&matrix, &[multiply(&matrix, &x)], 0.0).unwrap();
        let again = lu.solve_again(&matrix, &[multiply(&matrix, &x)]).unwrap();
        for ((a, b), again) in solved[0].iter().zip(x).zip(&again[0]) {
            assert_relative_eq!(*a, b, max_relative = 1e-12);
            assert_relative_eq!(*again, b, max_relative = 1e-12);
        }
    }

    #[test]
    fn a_solution_that_leaves_too_much_is_refused() {
        let matrix = CsMat::new_csc((2, 2), vec![0, 1, 2], vec![0, 1], vec![2.0, 4.0]);
        let divided = |by: f64| move |x: &mut Columns<1>| x[0].iter_mut().zip([2.0, 4.0]).for_each(|(x, d)| *x /= d * by);
        let solved = |by: f64, enough: f64| checked(&matrix, &[vec![1.0, 1.0]], enough, divided(by));
        assert_eq!(solved(1.0, 1e-9).unwrap()[0], [0.5, 0.25]);
        // A first and a second time a tenth too small: a hundredth is left.
        assert!(matches!(solved(1.1, 1e-9), Err(SolveError::Inaccurate { .. })));
        assert!(solved(1.1, 0.1).is_ok(), "for one who is content with less");
    }

    #[test]
    fn a_singular_matrix_is_an_error_not_a_solution() {
        let matrix = CsMat::new_csc((2, 2), vec![0, 2, 4], vec![0, 1, 0, 1], vec![1.0, 2.0, 2.0, 4.0]);
        let mut lu = Factorisation::new(&matrix, &[]).unwrap();
        for enough in [0.0, 1e-9] {
            assert!(lu.solve(&matrix, &[vec![1.0, 1.0]], enough).is_err());
        }
    }
}
