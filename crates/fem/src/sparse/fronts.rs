//! Fill-reducing elimination order of a structurally symmetric matrix, and the fronts in which it is eliminated.
//!
//! Unknowns with the same neighbours (the displacements of a node) are one vertex of the graph. The order is approximate minimum
//! degree; each vertex's front is its pivots and the later unknowns that they fill; a front is merged into its parent where that adds few
//! zeros. Sources: Amestoy, Davis and Duff, SIAM J. Matrix Anal. Appl. 17 (1996) 886; Liu, SIAM Review 34 (1992) 82 (both from memory).

use crate::error::SolveError;
use faer::dyn_stack::{MemBuffer, MemStack};
use faer::sparse::SymbolicSparseColMat;
use faer::sparse::linalg::amd;
use sprs::CsMat;
use std::collections::HashMap;

/// Merged fronts of at most so many pivots may hold that share of zeros.
const MERGE: [(usize, f64); 4] = [(8, 1.0), (32, 0.15), (64, 0.03), (usize::MAX, 0.0)];

/// A dense piece of the elimination.
#[derive(Clone, Debug, Default)]
pub(super) struct Front {
    /// Unknowns eliminated here, in order.
    pub(super) pivots: Vec<usize>,
    /// Unknowns eliminated later that these pivots touch, in order of their elimination.
    pub(super) rest: Vec<usize>,
    /// Front that takes up the update of this one: the one that eliminates the first of `rest`.
    pub(super) parent: Option<usize>,
}

/// Fronts in an order in which children come before their parents, and the children of one parent on top of a stack.
///
/// # Errors
/// [`SolveError::Singular`] when the pattern cannot be ordered.
pub(super) fn fronts(matrix: &CsMat<f64>, companions: &[(usize, usize)]) -> Result<Vec<Front>, SolveError> {
    let groups = groups(matrix, companions);
    let graph = group_graph(matrix, &groups);
    let order = minimum_degree(&graph)?;
    let tree = Tree::new(&graph, &order, &groups);
    Ok(unknowns(&tree, &groups, &order))
}

/// Row numbers of a column.
pub(super) fn rows(matrix: &CsMat<f64>, column: usize) -> &[usize] {
    let pointers = matrix.indptr();
    let pointers = pointers.raw_storage();
    &matrix.indices()[pointers[column]..pointers[column + 1]]
}

/// Unknowns with equal columns, each a clique as every column holds its diagonal, and with each of them its companions.
fn groups(matrix: &CsMat<f64>, companions: &[(usize, usize)]) -> Vec<Vec<usize>> {
    let lead: HashMap<usize, usize> = companions.iter().copied().collect();
    let mut by_pattern: HashMap<&[usize], usize> = HashMap::new();
    let mut groups: Vec<Vec<usize>> = Vec::new();
    for column in (0..matrix.cols()).filter(|column| !lead.contains_key(column)) {
        let pattern = rows(matrix, column);
        // Without its own diagonal an unknown is no part of the clique.
        if pattern.binary_search(&column).is_err() {
            groups.push(vec![column]);
            continue;
        }
        let group = *by_pattern.entry(pattern).or_insert(groups.len());
        if group == groups.len() {
            groups.push(Vec::new());
        }
        groups[group].push(column);
    }
    for (companion, with) in companions {
        if let Some(group) = groups.iter_mut().find(|group| group.contains(with)) {
            group.push(*companion);
        }
    }
    groups
}

/// Neighbours of each group, itself excepted, sorted.
fn group_graph(matrix: &CsMat<f64>, groups: &[Vec<usize>]) -> Vec<Vec<usize>> {
    let mut group_of = vec![0; matrix.cols()];
    for (g, unknown) in groups.iter().enumerate().flat_map(|(g, group)| group.iter().map(move |u| (g, *u))) {
        group_of[unknown] = g;
    }
    let neighbours = |g: usize| {
        let touched = groups[g].iter().flat_map(|unknown| rows(matrix, *unknown));
        let mut list: Vec<usize> = touched.map(|r| group_of[*r]).filter(|h| *h != g).collect();
        list.sort_unstable();
        list.dedup();
        list
    };
    (0..groups.len()).map(neighbours).collect()
}

/// Groups in order of elimination.
fn minimum_degree(graph: &[Vec<usize>]) -> Result<Vec<usize>, SolveError> {
    let n = graph.len();
    let mut pointers = vec![0];
    pointers.extend(graph.iter().scan(0, |sum, list| {
        *sum += list.len();
        Some(*sum)
    }));
    let pattern = SymbolicSparseColMat::new_checked(n, n, pointers, None, graph.concat());
    let (mut order, mut inverse) = (vec![0; n], vec![0; n]);
    let mut memory = MemBuffer::new(amd::order_scratch::<usize>(n, pattern.compute_nnz()));
    let stack = MemStack::new(&mut memory);
    amd::order(&mut order, &mut inverse, pattern.as_ref(), amd::Control::default(), stack).map_err(|_| SolveError::Singular)?;
    Ok(order)
}

/// A supernode under construction, in positions of groups.
#[derive(Clone, Debug, Default)]
struct Node {
    /// Positions eliminated.
    pivots: Vec<usize>,
    /// Later positions touched, sorted.
    rest: Vec<usize>,
    children: Vec<usize>,
    n_pivots: usize,
    n_rest: usize,
}

/// Supernodal elimination tree on positions in the order of groups.
struct Tree {
    nodes: Vec<Node>,
    roots: Vec<usize>,
}

impl Tree {
    fn new(graph: &[Vec<usize>], order: &[usize], groups: &[Vec<usize>]) -> Self {
        let n = order.len();
        let mut position = vec![0; n];
        for (at, group) in order.iter().enumerate() {
            position[*group] = at;
        }
        let size: Vec<usize> = order.iter().map(|g| groups[*g].len()).collect();
        let mut tree = Self { nodes: vec![Node::default(); n], roots: Vec::new() };
        let mut mark = vec![usize::MAX; n];
        for at in 0..n {
            mark[at] = at;
            let mut rest = Vec::new();
            let own = graph[order[at]].iter().map(|g| position[*g]);
            let children = std::mem::take(&mut tree.nodes[at].children);
            let inherited = children.iter().flat_map(|c| tree.nodes[*c].rest.iter().copied());
            for other in own.chain(inherited) {
                if other > at && mark[other] != at {
                    mark[other] = at;
                    rest.push(other);
                }
            }
            rest.sort_unstable();
            match rest.first() {
                Some(parent) => tree.nodes[*parent].children.push(at),
                None => tree.roots.push(at),
            }
            let n_rest = rest.iter().map(|r| size[*r]).sum();
            tree.nodes[at] = Node { pivots: vec![at], rest, children, n_pivots: size[at], n_rest };
            tree.absorb(at);
        }
        tree
    }

    /// Merges children into a node while that adds few zeros, the cheapest first.
    fn absorb(&mut self, at: usize) {
        let zeros = |tree: &Self, c: usize| {
            let (parent, child) = (&tree.nodes[at], &tree.nodes[c]);
            child.n_pivots * (parent.n_pivots + parent.n_rest - child.n_rest)
        };
        let mut total = 0;
        while let Some(child) = self.nodes[at].children.iter().copied().min_by_key(|c| zeros(self, *c)) {
            let added = total + zeros(self, child);
            let pivots = self.nodes[at].n_pivots + self.nodes[child].n_pivots;
            let entries = pivots * (pivots + self.nodes[at].n_rest);
            let share = MERGE.iter().find(|(p, _)| pivots <= *p).map_or(0.0, |(_, share)| *share);
            if added as f64 > share * entries as f64 {
                return;
            }
            total = added;
            let taken = std::mem::take(&mut self.nodes[child]);
            let node = &mut self.nodes[at];
            node.children.retain(|c| *c != child);
            node.children.extend(taken.children);
            node.pivots.splice(0..0, taken.pivots);
            node.n_pivots = pivots;
        }
    }

    /// Nodes with children before their parents.
    fn postorder(&self) -> Vec<usize> {
        let mut order = Vec::new();
        let mut stack: Vec<usize> = self.roots.clone();
        // Parents first, then turned round.
        while let Some(at) = stack.pop() {
            order.push(at);
            stack.extend(&self.nodes[at].children);
        }
        order.reverse();
        order
    }
}

/// The tree in terms of unknowns.
fn unknowns(tree: &Tree, groups: &[Vec<usize>], order: &[usize]) -> Vec<Front> {
    let sequence = tree.postorder();
    let of = |positions: &[usize]| positions.iter().flat_map(|at| groups[order[*at]].iter().copied()).collect::<Vec<usize>>();
    let mut fronts: Vec<Front> = Vec::new();
    let mut number = vec![0; tree.nodes.len()];
    let mut rank = vec![0; groups.iter().map(Vec::len).sum()];
    let mut next = 0;
    for (k, at) in sequence.iter().enumerate() {
        number[*at] = k;
        let pivots = of(&tree.nodes[*at].pivots);
        for unknown in &pivots {
            rank[*unknown] = next;
            next += 1;
        }
        fronts.push(Front { pivots, rest: of(&tree.nodes[*at].rest), parent: None });
    }
    for at in &sequence {
        for child in &tree.nodes[*at].children {
            fronts[number[*child]].parent = Some(number[*at]);
        }
    }
    for front in &mut fronts {
        front.rest.sort_unstable_by_key(|unknown| rank[*unknown]);
    }
    fronts
}
