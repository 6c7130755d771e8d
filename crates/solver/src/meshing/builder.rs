//! Numbers nodes when first asked for, and makes elements of them.

use super::shape::Shape;
use std::collections::HashMap;

/// Name of a node on the grid of half elements before it has a number.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(super) enum Key {
    /// Row, column.
    Tongue(usize, usize),
    /// Place, layer.
    Band(usize, usize),
}

/// Nodes and elements so far.
pub(super) struct Builder<'a> {
    shape: &'a Shape<'a>,
    pub(super) nodes: Vec<[f64; 2]>,
    pub(super) quads: Vec<[usize; 9]>,
    numbers: HashMap<Key, usize>,
}

impl<'a> Builder<'a> {
    pub(super) fn new(shape: &'a Shape<'a>) -> Self {
        Self { shape, nodes: Vec::new(), quads: Vec::new(), numbers: HashMap::new() }
    }

    /// Number of a node. The band's innermost layer is the tongue's edge.
    pub(super) fn number(&mut self, key: Key) -> usize {
        let key = match key {
            Key::Band(p, 0) => {
                let (i, j) = self.shape.under(p);
                Key::Tongue(i, j)
            }
            key => key,
        };
        *self.numbers.entry(key).or_insert_with(|| {
            self.nodes.push(match key {
                Key::Tongue(i, j) => self.shape.tongue(i, j),
                Key::Band(p, l) => self.shape.band(p, l),
            });
            self.nodes.len() - 1
        })
    }

    /// An element of nodes named by half elements along (0 to 2) and across (0 to 2).
    pub(super) fn plain(&mut self, key: impl Fn(usize, usize) -> Key) {
        let places = [(0, 0), (2, 0), (2, 2), (0, 2), (1, 0), (2, 1), (1, 2), (0, 1), (1, 1)];
        let quad = places.map(|(a, b)| self.number(key(a, b)));
        self.quads.push(quad);
    }

    /// Four elements that lead from three across to one: names by half elements along (0 fine to 2 coarse) and across (0 to 6).
    pub(super) fn three_to_one(&mut self, key: impl Fn(usize, usize) -> Key) {
        let on_grid = |builder: &mut Self, places: &[(usize, usize)]| -> Vec<usize> {
            places.iter().map(|(a, b)| builder.number(key(*a, *b))).collect()
        };
        let fine = on_grid(self, &[(0, 0), (0, 1), (0, 2), (0, 3), (0, 4), (0, 5), (0, 6)]);
        let coarse = on_grid(self, &[(2, 0), (2, 3), (2, 6)]);
        let sides = on_grid(self, &[(1, 0), (1, 6)]);
        let inside = on_grid(self, &[(1, 2), (1, 3), (1, 4)]);
        // Edges inside that lie on no line of the grid.
        let left = [self.between(&[fine[2], inside[0]]), self.between(&[inside[0], coarse[0]])];
        let right = [self.between(&[fine[4], inside[2]]), self.between(&[inside[2], coarse[2]])];
        let corners_and_edges = [
            ([fine[0], coarse[0], inside[0], fine[2]], [sides[0], left[1], left[0], fine[1]]),
            ([fine[2], inside[0], inside[2], fine[4]], [left[0], inside[1], right[0], fine[3]]),
            ([fine[4], inside[2], coarse[2], fine[6]], [right[0], right[1], sides[1], fine[5]]),
            ([inside[0], coarse[0], coarse[2], inside[2]], [left[1], coarse[1], right[1], inside[1]]),
        ];
        for (c, e) in corners_and_edges {
            let centre = self.between(&e);
            self.quads.push([c[0], c[1], c[2], c[3], e[0], e[1], e[2], e[3], centre]);
        }
    }

    /// A new node in the middle of others.
    fn between(&mut self, others: &[usize]) -> usize {
        let mean = |i: usize| others.iter().map(|n| self.nodes[*n][i]).sum::<f64>() / others.len() as f64;
        self.nodes.push([mean(0), mean(1)]);
        self.nodes.len() - 1
    }
}
