//! Block-tridiagonal LU over the levels of the matrix graph, with dense kernels and pivoting inside the diagonal blocks.
//!
//! Breadth-first levels from an end of the graph couple only to their neighbours, so the matrix is block tridiagonal with blocks D_k on
//! the diagonal, E_k to the right and F_k below: D_{k+1} <- D_{k+1} - F_k D_k^-1 E_k. Unknowns coupled to far more others than the rest
//! (a rim that every contact point touches) would make one big level; they are bordered instead, as the last rows and columns.
//! On a long thin mesh the levels are short and the work is all in dense products. Source: Golub and Van Loan, Matrix Computations,
//! section 4.5 (from memory); levels as in the first half of the Cuthill-McKee ordering.

use faer::linalg::solvers::{PartialPivLu, Solve};
use faer::{Mat, MatRef};
use sprs::CsMat;

/// An unknown coupled to this many times the median number of others is bordered.
const DENSE: usize = 3;

/// Where an entry of the matrix goes: block and place in it.
#[derive(Clone, Copy)]
struct Place {
    block: u32,
    row: u32,
    column: u32,
}

/// The factorisation; places are computed once for a pattern.
pub(super) struct BlockTridiagonal {
    /// Unknowns of each level; the last level holds the bordered ones.
    levels: Vec<Vec<usize>>,
    places: Vec<Place>,
    /// Blocks by kind: D_k at 3 k, E_k at 3 k + 1, F_k at 3 k + 2; then right border, lower border, corner.
    blocks: Vec<Mat<f64>>,
    factors: Vec<PartialPivLu<f64>>,
    /// D_k^-1 E_k.
    eliminated: Vec<Mat<f64>>,
    /// A^-1 B of the right border, and the factorised Schur complement of the corner.
    border: Option<(Mat<f64>, PartialPivLu<f64>)>,
}

impl BlockTridiagonal {
    /// Lays out the levels and blocks of a compressed-column matrix of structurally symmetric pattern.
    pub(super) fn new(matrix: &CsMat<f64>) -> Self {
        let n = matrix.cols();
        let adjacency: Vec<&[usize]> = (0..n).map(|c| neighbours(matrix, c)).collect();
        let bordered = bordered(&adjacency);
        let mut levels = levels(&adjacency, &bordered);
        let n_levels = levels.len();
        levels.push((0..n).filter(|i| bordered[*i]).collect());
        let mut position = vec![(0, 0); n];
        for (k, level) in levels.iter().enumerate() {
            for (i, unknown) in level.iter().enumerate() {
                position[*unknown] = (k, i);
            }
        }
        let starts = level_starts(&levels[..n_levels]);
        let places = places(matrix, &position, &starts, n_levels);
        let blocks = empty_blocks(&levels, n_levels);
        Self { levels, places, blocks, factors: Vec::new(), eliminated: Vec::new(), border: None }
    }

    /// Factorises a matrix of the pattern. A singular block gives factors that are not finite; the caller checks the solution.
    pub(super) fn factorise(&mut self, matrix: &CsMat<f64>) {
        for block in &mut self.blocks {
            block.fill(0.0);
        }
        for (place, value) in self.places.iter().zip(matrix.data()) {
            self.blocks[place.block as usize][(place.row as usize, place.column as usize)] += value;
        }
        let n = self.n_levels();
        self.factors.clear();
        self.eliminated.clear();
        for k in 0..n {
            let lu = self.blocks[3 * k].partial_piv_lu();
            if k + 1 < n {
                let x = lu.solve(&self.blocks[3 * k + 1]);
                let update = &self.blocks[3 * k + 2] * &x;
                self.blocks[3 * k + 3] -= update;
                self.eliminated.push(x);
            }
            self.factors.push(lu);
        }
        self.border = None;
        let corner = &self.blocks[3 * n + 2];
        if corner.nrows() > 0 {
            let mut x = self.blocks[3 * n].clone();
            self.inner_substitute(&mut x);
            let schur = corner - &self.blocks[3 * n + 1] * &x;
            self.border = Some((x, schur.partial_piv_lu()));
        }
    }

    /// Solves in place with the last factorisation.
    pub(super) fn substitute(&self, rhs: &mut [Vec<f64>]) {
        let n = self.n_levels();
        let inner: Vec<usize> = self.levels[..n].concat();
        let mut x = Mat::from_fn(inner.len(), rhs.len(), |i, j| rhs[j][inner[i]]);
        self.inner_substitute(&mut x);
        let outer = &self.levels[n];
        if let Some((of_border, schur)) = &self.border {
            let b = Mat::from_fn(outer.len(), rhs.len(), |i, j| rhs[j][outer[i]]);
            let y = schur.solve(b - &self.blocks[3 * n + 1] * &x);
            x -= of_border * &y;
            spread(&y, outer, rhs);
        }
        spread(&x, &inner, rhs);
    }

    fn n_levels(&self) -> usize {
        self.levels.len() - 1
    }

    /// Forward and backward substitution on the levels, all right-hand sides at once.
    fn inner_substitute(&self, x: &mut Mat<f64>) {
        let n = self.n_levels();
        let sizes: Vec<usize> = self.levels[..n].iter().map(Vec::len).collect();
        let mut start = 0;
        for k in 0..n {
            let solved = self.factors[k].solve(rows(x.as_ref(), start, sizes[k]));
            x.as_mut().subrows_mut(start, sizes[k]).copy_from(&solved);
            if k + 1 < n {
                let update = &self.blocks[3 * k + 2] * &solved;
                let mut next = x.as_mut().subrows_mut(start + sizes[k], sizes[k + 1]);
                next -= update;
            }
            start += sizes[k];
        }
        for k in (0..n.saturating_sub(1)).rev() {
            start -= sizes[k + 1];
            let update = &self.eliminated[k] * rows(x.as_ref(), start, sizes[k + 1]);
            let mut own = x.as_mut().subrows_mut(start - sizes[k], sizes[k]);
            own -= update;
        }
    }
}

fn rows(x: MatRef<'_, f64>, start: usize, n: usize) -> MatRef<'_, f64> {
    x.subrows(start, n)
}

fn spread(x: &Mat<f64>, unknowns: &[usize], rhs: &mut [Vec<f64>]) {
    for (j, b) in rhs.iter_mut().enumerate() {
        for (i, unknown) in unknowns.iter().enumerate() {
            b[*unknown] = x[(i, j)];
        }
    }
}

fn neighbours(matrix: &CsMat<f64>, column: usize) -> &[usize] {
    let pointers = matrix.indptr();
    let range = pointers.raw_storage()[column]..pointers.raw_storage()[column + 1];
    &matrix.indices()[range]
}

/// Which unknowns are coupled to far more others than the median one.
fn bordered(adjacency: &[&[usize]]) -> Vec<bool> {
    let mut degrees: Vec<usize> = adjacency.iter().map(|a| a.len()).collect();
    degrees.sort_unstable();
    let limit = DENSE * degrees.get(degrees.len() / 2).copied().unwrap_or(0).max(8);
    adjacency.iter().map(|a| a.len() > limit).collect()
}

/// Breadth-first levels from an end of each connected part.
fn levels(adjacency: &[&[usize]], bordered: &[bool]) -> Vec<Vec<usize>> {
    let mut done = bordered.to_vec();
    let mut all = Vec::new();
    while let Some(first) = done.iter().position(|d| !d) {
        // Twice from the far end of the last search: a pseudo-peripheral start (George and Liu).
        let mut start = first;
        for _ in 0..2 {
            let search = breadth_first(adjacency, &done, start);
            let end = search.last().and_then(|level| level.iter().min_by_key(|i| adjacency[**i].len()));
            start = end.copied().unwrap_or(start);
        }
        let found = breadth_first(adjacency, &done, start);
        for unknown in found.iter().flatten() {
            done[*unknown] = true;
        }
        all.extend(found);
    }
    all
}

fn breadth_first(adjacency: &[&[usize]], done: &[bool], start: usize) -> Vec<Vec<usize>> {
    let mut seen = done.to_vec();
    seen[start] = true;
    let mut levels = vec![vec![start]];
    while let Some(last) = levels.last() {
        let mut next = Vec::new();
        for &unknown in last {
            for &other in adjacency[unknown] {
                if !seen[other] {
                    seen[other] = true;
                    next.push(other);
                }
            }
        }
        if next.is_empty() {
            break;
        }
        levels.push(next);
    }
    levels
}

/// First row of each level in the ordering by levels.
fn level_starts(levels: &[Vec<usize>]) -> Vec<usize> {
    let mut start = 0;
    levels
        .iter()
        .map(|level| {
            start += level.len();
            start - level.len()
        })
        .collect()
}

fn places(matrix: &CsMat<f64>, position: &[(usize, usize)], starts: &[usize], n: usize) -> Vec<Place> {
    let mut places = Vec::with_capacity(matrix.nnz());
    for column in 0..matrix.cols() {
        let (level_c, c) = position[column];
        for &row in neighbours(matrix, column) {
            let (level_r, r) = position[row];
            let (block, row, column) = match (level_r == n, level_c == n) {
                (true, true) => (3 * n + 2, r, c),
                (true, false) => (3 * n + 1, r, starts[level_c] + c),
                (false, true) => (3 * n, starts[level_r] + r, c),
                (false, false) if level_r == level_c => (3 * level_r, r, c),
                (false, false) if level_r < level_c => (3 * level_r + 1, r, c),
                (false, false) => (3 * level_c + 2, r, c),
            };
            places.push(Place { block: block as u32, row: row as u32, column: column as u32 });
        }
    }
    places
}

fn empty_blocks(levels: &[Vec<usize>], n: usize) -> Vec<Mat<f64>> {
    let size = |k: usize| levels.get(k).filter(|_| k < n).map_or(0, Vec::len);
    let mut blocks = Vec::new();
    for k in 0..n {
        blocks.push(Mat::zeros(size(k), size(k)));
        blocks.push(Mat::zeros(size(k), size(k + 1)));
        blocks.push(Mat::zeros(size(k + 1), size(k)));
    }
    let (inner, outer) = (levels[..n].iter().map(Vec::len).sum(), levels[n].len());
    blocks.push(Mat::zeros(inner, outer));
    blocks.push(Mat::zeros(outer, inner));
    blocks.push(Mat::zeros(outer, outer));
    blocks
}
