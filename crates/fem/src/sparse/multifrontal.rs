//! Multifrontal LU of a matrix of structurally symmetric pattern, with pivoting inside the pivot block of each front.
//!
//! Where everything goes is computed once for a pattern; the numeric phase only adds and multiplies. A front takes its entries of the
//! matrix and the updates of its children from one stack, eliminates its pivots and leaves its own update on another.
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
    /// (entry of the matrix, place in the front's factors).
    entries: Vec<(u32, u32)>,
    /// For each child, newest first: where its rest lies in this front.
    children: Vec<Child>,
    /// Stack that the front's update is left on; its children's lie on the other.
    stack: usize,
    /// Where the front's factors begin: L by columns of p + u with the pivot block's U on top of it, then p x u of U by columns.
    factors: usize,
}

/// Where a child's rest lies among the pivots and the rest of its parent.
struct Child {
    /// Length of the rest.
    n: usize,
    runs: Vec<Run>,
}

/// Neighbours in the child that are neighbours among the parent's pivots, or in its rest.
#[derive(Clone, Copy)]
struct Run {
    /// First place in the child's rest.
    from: usize,
    /// Its place among the parent's pivots and rest.
    to: usize,
    length: usize,
}

impl Child {
    /// `places` of the child's rest in a parent with `p` pivots.
    fn new(places: impl Iterator<Item = usize>, p: usize) -> Self {
        let (mut n, mut runs) = (0, Vec::<Run>::new());
        for place in places {
            match runs.last_mut() {
                Some(run) if run.to + run.length == place && place != p => run.length += 1,
                _ => runs.push(Run { from: n, to: place, length: 1 }),
            }
            n += 1;
        }
        Self { n, runs }
    }
}

impl Layout {
    /// Length of L, with the pivot block.
    fn lower(&self) -> usize {
        (self.p + self.rest.len()) * self.p
    }

    /// Where the front's factors lie.
    fn range(&self) -> std::ops::Range<usize> {
        self.factors..self.factors + self.lower() + self.rest.len() * self.p
    }
}

/// The factorisation.
pub(super) struct Multifrontal {
    /// Unknowns in the order of elimination.
    sequence: Vec<usize>,
    layouts: Vec<Layout>,
    factors: Vec<f64>,
    /// Row interchanges of all fronts' pivot blocks.
    order: Vec<usize>,
    /// Updates waiting for their parents: those of fronts at even depths of the tree and those at odd ones, so that a front's own finds its
    /// place while its children's still have theirs.
    stacks: [Vec<f64>; 2],
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
        let factors = vec![0.0; layouts.last().map_or(0, |f| f.range().end)];
        let stacks = stack_sizes(&layouts).map(|size| vec![0.0; size]);
        Ok(Self { sequence, layouts, factors, order: vec![0; matrix.cols()], stacks })
    }

    /// Factorises a matrix of the analysed pattern. A zero pivot leaves infinities, which the caller's check of the solution finds.
    pub(super) fn factorise(&mut self, matrix: &CsMat<f64>) {
        let mut tops = [0; 2];
        for layout in &self.layouts {
            let (p, u) = (layout.p, layout.rest.len());
            let factors = &mut self.factors[layout.range()];
            factors.fill(0.0);
            for (entry, place) in &layout.entries {
                factors[*place as usize] = matrix.data()[*entry as usize];
            }
            let (lower, upper) = factors.split_at_mut(layout.lower());
            let [even, odd] = &mut self.stacks;
            let (own, waiting) = if layout.stack == 0 { (even, odd) } else { (odd, even) };
            let update = &mut own[tops[layout.stack]..][..u * u];
            update.fill(0.0);
            for child in &layout.children {
                let top = &mut tops[1 - layout.stack];
                *top -= child.n * child.n;
                extend_add(&waiting[*top..], child, &mut Block { p, u, lower, upper, update });
            }
            let order = &mut self.order[layout.first..layout.first + p];
            Dense { p, u, lower, upper, update, order }.eliminate();
            tops[layout.stack] += u * u;
        }
    }

    /// Solves in place with the last factorisation. Each front is read once for all right-hand sides.
    pub(super) fn substitute<const N: usize>(&self, rhs: &mut [Vec<f64>; N]) {
        let ordered = |rhs: &Vec<f64>| self.sequence.iter().map(|unknown| rhs[*unknown]).collect();
        let mut x: [Vec<f64>; N] = rhs.each_ref().map(ordered);
        let longest = |length: fn(&Layout) -> usize| self.layouts.iter().map(length).max().unwrap_or(0);
        let (mut own, mut rest) = (vec![0.0; longest(|f| f.p)], vec![0.0; longest(|f| f.rest.len())]);
        for f in &self.layouts {
            x.iter_mut().for_each(|x| self.forward(f, x, &mut own, &mut rest));
        }
        for f in self.layouts.iter().rev() {
            x.iter_mut().for_each(|x| self.backward(f, x, &mut rest));
        }
        for (rhs, x) in rhs.iter_mut().zip(&x) {
            self.sequence.iter().zip(x).for_each(|(unknown, value)| rhs[*unknown] = *value);
        }
    }

    /// Solves with the front's L and takes its pivots' part from the later unknowns; `own` and `rest` are room to work in.
    fn forward(&self, f: &Layout, x: &mut [f64], own: &mut [f64], rest: &mut [f64]) {
        let (p, u) = (f.p, f.rest.len());
        let (own, rest) = (&mut own[..p], &mut rest[..u]);
        let lower = &self.factors[f.factors..f.factors + f.lower()];
        let (x, later) = x[f.first..].split_at_mut(p);
        own.copy_from_slice(x);
        for (x, from) in x.iter_mut().zip(&self.order[f.first..f.first + p]) {
            *x = own[*from];
        }
        for (k, column) in lower.chunks_exact(p + u).enumerate() {
            let value = x[k];
            subtract(&mut x[k + 1..], &column[k + 1..p], value);
        }
        for (rest, place) in rest.iter_mut().zip(&f.rest) {
            *rest = later[*place as usize - f.first - p];
        }
        subtract_product(rest, &lower[p..], p + u, x);
        for (rest, place) in rest.iter().zip(&f.rest) {
            later[*place as usize - f.first - p] = *rest;
        }
    }

    /// Solves for the front's pivots with its U, the later unknowns being known.
    fn backward(&self, f: &Layout, x: &mut [f64], rest: &mut [f64]) {
        let (p, m) = (f.p, f.p + f.rest.len());
        let (lower, upper) = self.factors[f.range()].split_at(f.lower());
        let (x, later) = x[f.first..].split_at_mut(p);
        let rest = &mut rest[..f.rest.len()];
        for (rest, place) in rest.iter_mut().zip(&f.rest) {
            *rest = later[*place as usize - f.first - p];
        }
        subtract_product(x, upper, p, rest);
        for k in (0..p).rev() {
            let column = &lower[k * m..k * m + p];
            x[k] /= column[k];
            let value = x[k];
            subtract(&mut x[..k], &column[..k], value);
        }
    }
}

/// y <- y - A x, the columns of A `stride` apart. Four columns at a time, so that y is read and written a quarter as often.
fn subtract_product(y: &mut [f64], a: &[f64], stride: usize, x: &[f64]) {
    let n = y.len();
    let column = |k: usize| &a[k * stride..k * stride + n];
    let (by_four, left) = x.as_chunks::<4>();
    for (i, [x0, x1, x2, x3]) in by_four.iter().enumerate() {
        let [c0, c1, c2, c3] = [0, 1, 2, 3].map(|k| column(4 * i + k));
        for j in 0..n {
            y[j] -= c0[j] * x0 + c1[j] * x1 + (c2[j] * x2 + c3[j] * x3);
        }
    }
    for (k, x) in left.iter().enumerate() {
        subtract(y, column(4 * by_four.len() + k), *x);
    }
}

/// y -= factor x.
fn subtract(y: &mut [f64], x: &[f64], factor: f64) {
    for (y, x) in y.iter_mut().zip(x) {
        *y -= factor * x;
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

/// Adds a child's update to its parent's front.
fn extend_add(update: &[f64], child: &Child, to: &mut Block<'_>) {
    let (p, u) = (to.p, to.u);
    let columns = child.runs.iter().flat_map(|run| run.to..run.to + run.length);
    // Places rise, so the child's pivots of the parent come first.
    let (inner, outer) = child.runs.split_at(child.runs.partition_point(|run| run.to < p));
    for (column, values) in columns.zip(update.chunks_exact(child.n)) {
        if column < p {
            let target = &mut to.lower[column * (p + u)..(column + 1) * (p + u)];
            child.runs.iter().for_each(|run| add(&mut target[run.to..], values, run));
            continue;
        }
        let target = &mut to.upper[(column - p) * p..(column - p + 1) * p];
        inner.iter().for_each(|run| add(&mut target[run.to..], values, run));
        let target = &mut to.update[(column - p) * u..(column - p + 1) * u];
        outer.iter().for_each(|run| add(&mut target[run.to - p..], values, run));
    }
}

/// Adds a run of a child's column to the head of a target.
fn add(target: &mut [f64], values: &[f64], run: &Run) {
    for (target, value) in target[..run.length].iter_mut().zip(&values[run.from..run.from + run.length]) {
        *target += value;
    }
}

fn lay_out(matrix: &CsMat<f64>, fronts: &[Front]) -> Vec<Layout> {
    let (mut home, mut rank) = (vec![0; matrix.cols()], vec![0; matrix.cols()]);
    for (at, (k, unknown)) in fronts.iter().enumerate().flat_map(|(k, f)| f.pivots.iter().map(move |u| (k, *u))).enumerate() {
        home[unknown] = k;
        rank[unknown] = at as u32;
    }
    let mut layouts: Vec<Layout> = Vec::new();
    let (mut factors, mut first) = (0, 0);
    for front in fronts {
        let (p, u) = (front.pivots.len(), front.rest.len());
        let rest = front.rest.iter().map(|unknown| rank[*unknown]).collect();
        layouts.push(Layout { first, p, rest, entries: Vec::new(), children: Vec::new(), stack: 0, factors });
        factors += (p + 2 * u) * p;
        first += p;
    }
    let mut place = vec![u32::MAX; matrix.cols()];
    let mut children: Vec<Vec<usize>> = vec![Vec::new(); fronts.len()];
    for (k, front) in fronts.iter().enumerate() {
        let p = front.pivots.len();
        let number = |(i, unknown): (usize, &usize), place: &mut Vec<u32>| place[*unknown] = i as u32;
        front.pivots.iter().chain(&front.rest).enumerate().for_each(|x| number(x, &mut place));
        layouts[k].entries = entries(matrix, front, &home, k, &place);
        // Newest first: the order in which they lie on the stack.
        let of_child = |c: &usize| Child::new(fronts[*c].rest.iter().map(|unknown| place[*unknown] as usize), p);
        layouts[k].children = children[k].iter().rev().map(of_child).collect();
        if let Some(parent) = front.parent {
            children[parent].push(k);
        }
    }
    // Parents come after their children.
    for (k, front) in fronts.iter().enumerate().rev() {
        layouts[k].stack = front.parent.map_or(0, |parent| 1 - layouts[parent].stack);
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

/// Largest heights of the stacks.
fn stack_sizes(layouts: &[Layout]) -> [usize; 2] {
    let (mut tops, mut highest) = ([0; 2], [0; 2]);
    for f in layouts {
        tops[f.stack] += f.rest.len() * f.rest.len();
        highest[f.stack] = highest[f.stack].max(tops[f.stack]);
        tops[1 - f.stack] -= f.children.iter().map(|c| c.n * c.n).sum::<usize>();
    }
    highest
}
