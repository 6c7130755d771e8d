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

/// Where nodes lie that are on no line of the grid.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Inside {
    /// Half way between others.
    Straight,
    /// Where the grid's lines would put them: in a thin wall that bends they keep their distance from its faces.
    Bent,
}

/// Nodes and elements so far.
pub(super) struct Builder<'a> {
    shape: &'a Shape<'a>,
    pub(super) nodes: Vec<[f64; 2]>,
    pub(super) quads: Vec<[usize; 9]>,
    numbers: HashMap<Key, usize>,
    inside: Inside,
}

impl<'a> Builder<'a> {
    pub(super) fn new(shape: &'a Shape<'a>, inside: Inside) -> Self {
        Self { shape, nodes: Vec::new(), quads: Vec::new(), numbers: HashMap::new(), inside }
    }

    /// Number of a node. The band's innermost layer is the tongue's edge.
    pub(super) fn number(&mut self, key: Key) -> usize {
        let key = match key {
            Key::Band(p, 0) => {
                let (i, j) = self.shape.under(p as f64);
                Key::Tongue(i as usize, j as usize)
            }
            key => key,
        };
        *self.numbers.entry(key).or_insert_with(|| {
            self.nodes.push(match key {
                Key::Tongue(i, j) => self.shape.tongue(i as f64, j as f64),
                Key::Band(p, l) => self.shape.band(p as f64, l as f64),
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
        let place = self.places_of([key(0, 0), key(1, 0), key(0, 1)]);
        // Edges inside that lie on no line of the grid.
        let left = [self.between(&[fine[2], inside[0]], place(0.5, 2.0)), self.between(&[inside[0], coarse[0]], place(1.5, 1.0))];
        let right =
            [self.between(&[fine[4], inside[2]], place(0.5, 4.0)), self.between(&[inside[2], coarse[2]], place(1.5, 5.0))];
        let corners_and_edges = [
            ([fine[0], coarse[0], inside[0], fine[2]], [sides[0], left[1], left[0], fine[1]]),
            ([fine[2], inside[0], inside[2], fine[4]], [left[0], inside[1], right[0], fine[3]]),
            ([fine[4], inside[2], coarse[2], fine[6]], [right[0], right[1], sides[1], fine[5]]),
            ([inside[0], coarse[0], coarse[2], inside[2]], [left[1], coarse[1], right[1], inside[1]]),
        ];
        let centres = [place(0.75, 1.0), place(0.5, 3.0), place(0.75, 5.0), place(1.5, 3.0)];
        for ((c, e), place) in corners_and_edges.into_iter().zip(centres) {
            let centre = self.between(&e, place);
            self.quads.push([c[0], c[1], c[2], c[3], e[0], e[1], e[2], e[3], centre]);
        }
    }

    /// Places of the grid between its lines, by half elements along and across, from the names at (0, 0), (1, 0) and (0, 1).
    fn places_of(&self, [origin, along, across]: [Key; 3]) -> impl Fn(f64, f64) -> [f64; 2] + use<'a> {
        let shape = self.shape;
        let numbers = |key: Key| match key {
            Key::Tongue(i, j) | Key::Band(i, j) => [i as f64, j as f64],
        };
        let in_tongue = matches!(origin, Key::Tongue(..));
        let [origin, along, across] = [origin, along, across].map(numbers);
        move |a: f64, b: f64| {
            let at = |i: usize| origin[i] + a * (along[i] - origin[i]) + b * (across[i] - origin[i]);
            if in_tongue { shape.tongue(at(0), at(1)) } else { shape.band(at(0), at(1)) }
        }
    }

    /// A new node in the middle of others, or at a place of the grid.
    fn between(&mut self, others: &[usize], place: [f64; 2]) -> usize {
        let mean = |i: usize| others.iter().map(|n| self.nodes[*n][i]).sum::<f64>() / others.len() as f64;
        self.nodes.push(match self.inside {
            Inside::Straight => [mean(0), mean(1)],
            Inside::Bent => place,
        });
        self.nodes.len() - 1
    }
}
