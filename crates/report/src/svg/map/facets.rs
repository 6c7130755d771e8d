//! The map cut into triangles over which every number is straight: areas and lines between given values.

use std::collections::HashMap;

use hoopwright_study::map::Grid;

/// A place with the values of some functions there.
pub(super) type Corner = ([f64; 2], Vec<f64>);

/// Triangles over a grid, four round the middle of each cell, so that no diagonal is preferred.
pub(super) struct Facets {
    nodes: Vec<[f64; 2]>,
    triangles: Vec<[usize; 3]>,
    /// For each node the grid points whose mean it has.
    of: Vec<Vec<usize>>,
}

impl Facets {
    pub(super) fn over(grid: &Grid) -> Self {
        let at = |i: usize, j: usize| [grid.x[i], grid.y[j]];
        let mut nodes: Vec<[f64; 2]> = (0..grid.len()).map(|n| at(n / grid.y.len(), n % grid.y.len())).collect();
        let mut of: Vec<Vec<usize>> = (0..nodes.len()).map(|n| vec![n]).collect();
        let mut triangles = Vec::new();
        for i in 1..grid.x.len() {
            for j in 1..grid.y.len() {
                let ring = [(i - 1, j - 1), (i, j - 1), (i, j), (i - 1, j)].map(|(i, j)| grid.number(i, j));
                let [a, b] = [at(i - 1, j - 1), at(i, j)];
                triangles.extend((0..4).map(|k| [ring[k], ring[(k + 1) % 4], nodes.len()]));
                nodes.push([0.5 * (a[0] + b[0]), 0.5 * (a[1] + b[1])]);
                of.push(ring.to_vec());
            }
        }
        Self { nodes, triangles, of }
    }

    /// A function on every node from its values at the grid points; none where one that it needs is none.
    pub(super) fn nodal(&self, values: &[Option<f64>]) -> Vec<Option<f64>> {
        let mean = |of: &Vec<usize>| {
            let all: Option<Vec<f64>> = of.iter().map(|n| values[*n]).collect();
            all.map(|all| all.iter().sum::<f64>() / all.len() as f64)
        };
        self.of.iter().map(mean).collect()
    }

    /// The triangles where all of some functions have values.
    pub(super) fn with<'a>(&'a self, functions: &'a [Vec<Option<f64>>]) -> impl Iterator<Item = Vec<Corner>> + 'a {
        let corner = |n: usize| {
            let values: Option<Vec<f64>> = functions.iter().map(|function| function[n]).collect();
            Some((self.nodes[n], values?))
        };
        self.triangles.iter().filter_map(move |triangle| triangle.iter().map(|n| corner(*n)).collect())
    }

    /// The lines on which a function has a value, each as a chain of places.
    pub(super) fn lines(&self, function: &[Option<f64>], value: f64) -> Vec<Vec<[f64; 2]>> {
        let mut links: HashMap<[usize; 2], Vec<[usize; 2]>> = HashMap::new();
        let (mut places, mut order) = (HashMap::new(), Vec::new());
        for triangle in &self.triangles {
            let Some(heights) = triangle.iter().map(|n| function[*n].map(|v| v - value)).collect::<Option<Vec<f64>>>() else {
                continue;
            };
            let mut ends = Vec::new();
            for (a, b) in [(0, 1), (1, 2), (2, 0)] {
                if (heights[a] < 0.0) != (heights[b] < 0.0) {
                    let (m, n) = (triangle[a].min(triangle[b]), triangle[a].max(triangle[b]));
                    let (low, high) = if m == triangle[a] { (heights[a], heights[b]) } else { (heights[b], heights[a]) };
                    places.insert([m, n], between(self.nodes[m], self.nodes[n], low / (low - high)));
                    ends.push([m, n]);
                }
            }
            if let [a, b] = ends[..] {
                for (from, to) in [(a, b), (b, a)] {
                    links.entry(from).or_default().push(to);
                    order.push(from);
                }
            }
        }
        chains(&mut links, &order).into_iter().map(|chain| chain.iter().map(|edge| places[edge]).collect()).collect()
    }
}

/// Chains of linked edges: open ones from their ends first, then closed ones. `order` makes the result the same every time.
fn chains(links: &mut HashMap<[usize; 2], Vec<[usize; 2]>>, order: &[[usize; 2]]) -> Vec<Vec<[usize; 2]>> {
    let mut chains = Vec::new();
    for most in [1, 2] {
        for start in order {
            if links.get(start).is_none_or(|next| next.is_empty() || next.len() > most) {
                continue;
            }
            let (mut chain, mut at) = (vec![*start], *start);
            while let Some(next) = links.get_mut(&at).and_then(Vec::pop) {
                if let Some(back) = links.get_mut(&next) {
                    back.retain(|edge| *edge != at);
                }
                chain.push(next);
                at = next;
            }
            chains.push(chain);
        }
    }
    chains
}

fn between(a: [f64; 2], b: [f64; 2], share: f64) -> [f64; 2] {
    [a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])]
}

/// The part of a convex polygon (or of a line with two ends) where a function straight over it is not negative.
pub(super) fn clip(polygon: &[Corner], of: impl Fn(&[f64]) -> f64) -> Vec<Corner> {
    let mut kept = Vec::new();
    for (i, from) in polygon.iter().enumerate() {
        let to = &polygon[(i + 1) % polygon.len()];
        let (a, b) = (of(&from.1), of(&to.1));
        if a >= 0.0 {
            kept.push(from.clone());
        }
        if (a >= 0.0) != (b >= 0.0) && (polygon.len() > 2 || i == 0) {
            let share = a / (a - b);
            let values = from.1.iter().zip(&to.1).map(|(a, b)| a + share * (b - a)).collect();
            kept.push((between(from.0, to.0, share), values));
        }
    }
    kept
}

/// The line across a triangle on which a function is zero: two places, or none.
pub(super) fn zero_line(triangle: &[Corner], of: impl Fn(&[f64]) -> f64) -> Vec<Corner> {
    let mut line = Vec::new();
    for (i, from) in triangle.iter().enumerate() {
        let to = &triangle[(i + 1) % triangle.len()];
        let (a, b) = (of(&from.1), of(&to.1));
        if (a >= 0.0) != (b >= 0.0) {
            let share = a / (a - b);
            let values = from.1.iter().zip(&to.1).map(|(a, b)| a + share * (b - a)).collect();
            line.push((between(from.0, to.0, share), values));
        }
    }
    line
}

#[cfg(test)]
mod tests {
    use super::*;

    fn grid() -> Grid {
        Grid { x: vec![0.0, 1.0, 2.0, 3.0], y: vec![0.0, 1.0, 2.0] }
    }

    fn plane(f: impl Fn(f64, f64) -> f64) -> Vec<Option<f64>> {
        let grid = grid();
        grid.x.iter().flat_map(|x| grid.y.iter().map(|y| Some(f(*x, *y)))).collect()
    }

    #[test]
    fn the_line_of_a_plane_is_one_straight_chain() {
        let facets = Facets::over(&grid());
        let function = facets.nodal(&plane(|x, y| x + 0.5 * y));
        let lines = facets.lines(&function, 1.3);
        assert_eq!(lines.len(), 1);
        assert!(lines[0].iter().all(|p| (p[0] + 0.5 * p[1] - 1.3).abs() < 1e-12), "{lines:?}");
        let ends = [lines[0][0], lines[0][lines[0].len() - 1]];
        assert!(ends.iter().all(|p| p[1].abs().min((p[1] - 2.0).abs()) < 1e-12), "{ends:?}");
    }

    #[test]
    fn a_hole_has_no_line_and_a_hill_a_closed_one() {
        let facets = Facets::over(&grid());
        let mut values = plane(|x, y| (x - 1.5).powi(2) + (y - 1.0).powi(2));
        let closed = facets.lines(&facets.nodal(&values), 1.0);
        assert_eq!(closed.len(), 1);
        assert_eq!(closed[0].first(), closed[0].last());
        values[4] = None;
        assert!(facets.lines(&facets.nodal(&values), 1.0).iter().all(|line| line.first() != line.last()));
    }

    #[test]
    fn clipped_areas_add_up() {
        let area = |polygon: &[Corner]| {
            let n = polygon.len();
            let cross = |i: usize| {
                let (a, b) = (polygon[i].0, polygon[(i + 1) % n].0);
                a[0] * b[1] - a[1] * b[0]
            };
            0.5 * (0..n).map(cross).sum::<f64>().abs()
        };
        let facets = Facets::over(&grid());
        let functions = [facets.nodal(&plane(|x, y| x - y * 0.7 - 0.9))];
        let (mut above, mut below) = (0.0, 0.0);
        for triangle in facets.with(&functions) {
            above += area(&clip(&triangle, |v| v[0]));
            below += area(&clip(&triangle, |v| -v[0]));
        }
        // Between x = 0.9 + 0.7 y and the left border over y from 0 to 2: 1.8 + 1.4.
        assert!((below - 3.2).abs() < 1e-12 && (above - 2.8).abs() < 1e-12, "{above} {below}");
    }
}
