//! Multifrontal LU of a matrix of structurally symmetric pattern, with pivoting inside the pivot block of each front.
//!
//! Where everything goes is computed once for a pattern; the numeric phase only adds and multiplies. A front takes its entries of the
//! matrix and the updates of its children from a stack, eliminates its pivots and leaves its own update on the stack.
//! Source: Duff and Reid, ACM Trans. Math. Softw. 9 (1983) 302; Liu, SIAM Review 34 (1992) 82 (both from memory).

use super::dense::Dense;
use super::fronts::{Front, fronts, rows};
use crate::error::SolveError;
use sprs::CsMat;

/// Where one front's data lie.
struct Layout {
    /// Place of the first pivot in the order of elimination, and their number.
    first: usize,
    p: usize,
    /// Places of the rest in the order of elimination.
    rest: Vec<u32>,
    /// (entry of the matrix, place in `lower` then `upper`).
    entries: Vec<(u32, u32)>,
    /// For each child, newest first: the places of its rest among the pivots and the rest of this front.
    children: Vec<Vec<u32>>,
    lower: usize,
    upper: usize,
}

/// The factorisation.
pub(super) struct Multifrontal {
    /// Unknowns in the order of elimination.
    sequence: Vec<usize>,
    layouts: Vec<Layout>,
    lower: Vec<f64>,
    upper: Vec<f64>,
    /// Row interchanges of all fronts' pivot blocks.
    order: Vec<usize>,
    /// Updates waiting for their parents.
    stack: Vec<f64>,
}

impl Multifrontal {
    /// Lays out the factorisation of a compressed-column matrix.
    ///
    /// # Errors
    /// [`SolveError::Singular`] when the pattern cannot be ordered.
    pub(super) fn new(matrix: &CsMat<f64>, companions: &[(usize, usize)]) -> Result<Self, SolveError> {
        let fronts = fronts(matrix, companions)?;
        let layouts = lay_out(matrix, &fronts);
        let sequence: Vec<usize> = fronts.iter().flat_map(|f| f.pivots.iter().copied()).collect();
        let size = |f: &Layout| (f.p, f.rest.len());
        let lower = layouts.iter().map(size).map(|(p, u)| (p + u) * p).sum();
        let upper = layouts.iter().map(size).map(|(p, u)| u * p).sum();
        let stack = vec![0.0; stack_size(&layouts)];
        Ok(Self { sequence, layouts, lower: vec![0.0; lower], upper: vec![0.0; upper], order: vec![0; matrix.cols()], stack })
    }

    /// Factorises a matrix of the analysed pattern. A zero pivot leaves infinities, which the caller's check of the solution finds.
    pub(super) fn factorise(&mut self, matrix: &CsMat<f64>) {
        self.lower.fill(0.0);
        self.upper.fill(0.0);
        let mut top = 0;
        for layout in &self.layouts {
            let (p, u) = (layout.p, layout.rest.len());
            let lower = &mut self.lower[layout.lower..layout.lower + (p + u) * p];
            let upper = &mut self.upper[layout.upper..layout.upper + u * p];
            for (entry, place) in &layout.entries {
                let place = *place as usize;
                let value = matrix.data()[*entry as usize];
                match place.checked_sub(lower.len()) {
                    None => lower[place] = value,
                    Some(place) => upper[place] = value,
                }
            }
            let (waiting, free) = self.stack.split_at_mut(top);
            let update = &mut free[..u * u];
            update.fill(0.0);
            for places in &layout.children {
                top -= places.len() * places.len();
                extend_add(&waiting[top..], places, &mut Block { p, u, lower, upper, update });
            }
            let end = waiting.len();
            let order = &mut self.order[layout.first..layout.first + p];
            Dense { p, u, lower, upper, update, order }.eliminate();
            self.stack.copy_within(end..end + u * u, top);
            top += u * u;
        }
    }

    /// Solves in place with the last factorisation, for `N` right-hand sides at once: the factors are read once for all.
    pub(super) fn substitute<const N: usize>(&self, rhs: &mut [Vec<f64>; N]) {
        let mut x: Vec<[f64; N]> = self.sequence.iter().map(|unknown| std::array::from_fn(|r| rhs[r][*unknown])).collect();
        let mut own = vec![[0.0; N]; self.layouts.iter().map(|f| f.p).max().unwrap_or(0)];
        for f in &self.layouts {
            let (p, m) = (f.p, f.p + f.rest.len());
            let (x, later) = x[f.first..].split_at_mut(p);
            for (own, from) in own.iter_mut().zip(&self.order[f.first..f.first + p]) {
                *own = x[*from];
            }
            x.copy_from_slice(&own[..p]);
            for (k, column) in self.lower[f.lower..f.lower + m * p].chunks_exact(m).enumerate() {
                let value = x[k];
                subtract_all(&mut x[k + 1..], &column[k + 1..p], value);
                for (place, l) in f.rest.iter().zip(&column[p..]) {
                    let target = &mut later[*place as usize - f.first - p];
                    (0..N).for_each(|r| target[r] -= l * value[r]);
                }
            }
        }
        for f in self.layouts.iter().rev() {
            let (p, u, m) = (f.p, f.rest.len(), f.p + f.rest.len());
            let lower = &self.lower[f.lower..f.lower + m * p];
            let (x, later) = x[f.first..].split_at_mut(p);
            for (column, place) in self.upper[f.upper..f.upper + u * p].chunks_exact(p).zip(&f.rest) {
                subtract_all(x, column, later[*place as usize - f.first - p]);
            }
            for k in (0..p).rev() {
                let column = &lower[k * m..k * m + p];
                let value = x[k].map(|v| v / column[k]);
                x[k] = value;
                subtract_all(&mut x[..k], &column[..k], value);
            }
        }
        for (unknown, value) in self.sequence.iter().zip(x) {
            (0..N).for_each(|r| rhs[r][*unknown] = value[r]);
        }
    }
}

/// x <- x - column * value for each right-hand side.
fn subtract_all<const N: usize>(x: &mut [[f64; N]], column: &[f64], value: [f64; N]) {
    for (x, c) in x.iter_mut().zip(column) {
        (0..N).for_each(|r| x[r] -= c * value[r]);
    }
}

/// The parts of a front that a child's update is added to.
struct Block<'a> {
    p: usize,
    u: usize,
    lower: &'a mut [f64],
    upper: &'a mut [f64],
    update: &'a mut [f64],
}

/// Adds a child's update to its parent's front. `places` rise, so the child's pivots of the parent come first.
fn extend_add(child: &[f64], places: &[u32], to: &mut Block<'_>) {
    let n = places.len();
    let (p, u) = (to.p, to.u);
    let inner = places.partition_point(|place| (*place as usize) < p);
    for (column, values) in places.iter().map(|c| *c as usize).zip(child.chunks_exact(n)) {
        if column < p {
            let target = &mut to.lower[column * (p + u)..(column + 1) * (p + u)];
            places.iter().zip(values).for_each(|(row, value)| target[*row as usize] += value);
            continue;
        }
        let target = &mut to.upper[(column - p) * p..(column - p + 1) * p];
        places[..inner].iter().zip(values).for_each(|(row, value)| target[*row as usize] += value);
        let target = &mut to.update[(column - p) * u..(column - p + 1) * u];
        places[inner..].iter().zip(&values[inner..]).for_each(|(row, value)| target[*row as usize - p] += value);
    }
}

fn lay_out(matrix: &CsMat<f64>, fronts: &[Front]) -> Vec<Layout> {
    let (mut home, mut rank) = (vec![0; matrix.cols()], vec![0; matrix.cols()]);
    for (at, (k, unknown)) in fronts.iter().enumerate().flat_map(|(k, f)| f.pivots.iter().map(move |u| (k, *u))).enumerate() {
        home[unknown] = k;
        rank[unknown] = at as u32;
    }
    let mut layouts: Vec<Layout> = Vec::new();
    let (mut lower, mut upper, mut first) = (0, 0, 0);
    for front in fronts {
        let (p, u) = (front.pivots.len(), front.rest.len());
        let rest = front.rest.iter().map(|unknown| rank[*unknown]).collect();
        layouts.push(Layout { first, p, rest, entries: Vec::new(), children: Vec::new(), lower, upper });
        lower += (p + u) * p;
        upper += u * p;
        first += p;
    }
    let mut place = vec![u32::MAX; matrix.cols()];
    let mut children: Vec<Vec<usize>> = vec![Vec::new(); fronts.len()];
    for (k, front) in fronts.iter().enumerate() {
        let number = |(i, unknown): (usize, &usize), place: &mut Vec<u32>| place[*unknown] = i as u32;
        front.pivots.iter().chain(&front.rest).enumerate().for_each(|x| number(x, &mut place));
        layouts[k].entries = entries(matrix, front, &home, k, &place);
        // Newest first: the order in which they lie on the stack.
        let of_child = |c: &usize| fronts[*c].rest.iter().map(|unknown| place[*unknown]).collect();
        layouts[k].children = children[k].iter().rev().map(of_child).collect();
        if let Some(parent) = front.parent {
            children[parent].push(k);
        }
    }
    layouts
}

/// Entries of the matrix whose row or column is first eliminated in front `k`.
fn entries(matrix: &CsMat<f64>, front: &Front, home: &[usize], k: usize, place: &[u32]) -> Vec<(u32, u32)> {
    let (p, m) = (front.pivots.len(), front.pivots.len() + front.rest.len());
    let pointers = matrix.indptr();
    let starts = pointers.raw_storage();
    let mut list = Vec::new();
    for (column, unknown) in front.pivots.iter().enumerate() {
        for (i, row) in rows(matrix, *unknown).iter().enumerate() {
            if home[*row] >= k {
                list.push(((starts[*unknown] + i) as u32, (column * m + place[*row] as usize) as u32));
            }
        }
    }
    for (column, unknown) in front.rest.iter().enumerate() {
        for (i, row) in rows(matrix, *unknown).iter().enumerate() {
            if home[*row] == k {
                list.push(((starts[*unknown] + i) as u32, (m * p + column * p + place[*row] as usize) as u32));
            }
        }
    }
    list
}

/// Largest height of the stack, a front's own update included.
fn stack_size(layouts: &[Layout]) -> usize {
    let (mut top, mut highest) = (0, 0);
    for f in layouts {
        let own = f.rest.len() * f.rest.len();
        highest = highest.max(top + own);
        top = top + own - f.children.iter().map(|c| c.len() * c.len()).sum::<usize>();
    }
    highest
}
