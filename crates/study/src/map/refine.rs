//! Which points of a map are solved: a coarse lattice, then cells in which what holds may end, until that edge is known well enough or a
//! quarter of the points is solved. The middle of a cell is held out first: what is interpolated is compared with it, and only a cell in
//! which a line is not known well enough by that is divided.
//!
//! The order of asking depends on the numbers alone, so it is the same for any number of threads and after a resume.

use super::field::{Field, Limit};
use super::interpolate::{Cell, between};
use super::{Finished, Grid, Origin, Point, Solved, margins};

/// Columns (rows) of the coarse lattice as a share of all, in tenths.
const COARSE: usize = 3;
/// Largest share of the points that is solved for the sake of the lines: one of so many.
const BUDGET: usize = 4;
/// A limit line is known well enough within this share of the map's range.
pub const SHARP: f64 = 0.01;
/// Error of a quarter of a cell as a share of the whole cell's: a bilinear rest falls to a quarter, ripples of the path do not fall.
const HALVED: f64 = 0.5;

/// A point compared with what would have been interpolated there.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HeldOut {
    /// Number of the point.
    pub number: usize,
    /// Number of the field.
    pub field: usize,
    /// As solved.
    pub solved: f64,
    /// As interpolated.
    pub interpolated: f64,
}

/// A cell that is not divided.
#[derive(Clone, Debug)]
struct Leaf {
    cell: Cell,
    /// Estimated error of each field in it.
    errors: Vec<Option<f64>>,
    /// Whether its middle is solved and compared.
    probed: bool,
}

/// What the answers last asked for are wanted for.
#[derive(Clone, Debug)]
enum Asked {
    Nothing,
    Lattice,
    /// Leaves to be divided, and leaves whose middle is held out.
    Cells {
        divided: Vec<usize>,
        probed: Vec<usize>,
    },
    Finished,
}

/// The refinement of one map.
#[derive(Clone, Debug)]
pub struct Scheme {
    grid: Grid,
    fields: Vec<Field>,
    limits: Vec<Limit>,
    limit_values: Vec<Vec<Option<f64>>>,
    estimates: Vec<Vec<Option<f64>>>,
    leaves: Vec<Leaf>,
    held_out: Vec<HeldOut>,
    /// Points asked for so far.
    wanted: Vec<bool>,
    asked: Asked,
}

type Points<'a> = &'a [Option<Solved>];

impl Scheme {
    /// Before anything is solved. `limit_values` and `estimates` are given point by point.
    pub fn new(
        grid: Grid,
        (fields, limits): (Vec<Field>, Vec<Limit>),
        limit_values: Vec<Vec<Option<f64>>>,
        estimates: Vec<Vec<Option<f64>>>,
    ) -> Self {
        let wanted = vec![false; grid.len()];
        let (leaves, held_out, asked) = (Vec::new(), Vec::new(), Asked::Nothing);
        Self { grid, fields, limits, limit_values, estimates, leaves, held_out, wanted, asked }
    }

    /// The points to be solved next, given what is solved; empty when the map is ready. All points asked for before must be solved.
    pub fn next(&mut self, solved: Points<'_>) -> Vec<usize> {
        loop {
            let next = match std::mem::replace(&mut self.asked, Asked::Finished) {
                Asked::Nothing => {
                    self.asked = Asked::Lattice;
                    self.lattice()
                }
                Asked::Lattice => self.first_cells(solved),
                Asked::Cells { divided, probed } => {
                    self.take(solved, &divided, &probed);
                    self.further_cells(solved)
                }
                Asked::Finished => return Vec::new(),
            };
            let open: Vec<usize> = next.into_iter().filter(|n| !std::mem::replace(&mut self.wanted[*n], true)).collect();
            if !open.is_empty() {
                return open;
            }
        }
    }

    /// How many points at most are asked for; on a small map twice the lattice, so that some can be held out.
    pub fn budget(&self) -> usize {
        let lattice = lines(self.grid.x.len()).len() * lines(self.grid.y.len()).len();
        (self.grid.len() / BUDGET).max(2 * lattice).min(self.grid.len())
    }

    fn lattice(&mut self) -> Vec<usize> {
        let (columns, rows) = (lines(self.grid.x.len()), lines(self.grid.y.len()));
        for x in columns.windows(2) {
            for y in rows.windows(2) {
                let cell = Cell { x: [x[0], x[1]], y: [y[0], y[1]] };
                self.leaves.push(Leaf { cell, errors: vec![None; self.fields.len()], probed: false });
            }
        }
        columns.iter().flat_map(|i| rows.iter().map(|j| self.grid.number(*i, *j))).collect()
    }

    /// Holds out the middle of the cells of the lattice that a line crosses, and of every other one of the rest.
    fn first_cells(&mut self, solved: Points<'_>) -> Vec<usize> {
        let crossed = self.open(solved);
        let rest = (0..self.leaves.len()).filter(|k| !crossed.contains(k) && divisible(&self.leaves[*k].cell));
        let probed = crossed.iter().copied().chain(rest.step_by(2)).collect();
        self.ask(probed, Vec::new())
    }

    /// Holds out the middle of the cells in which a line is not known well enough, or divides them where that is done; the worst first.
    fn further_cells(&mut self, solved: Points<'_>) -> Vec<usize> {
        let (divided, probed) = self.open(solved).into_iter().partition(|leaf| self.leaves[*leaf].probed);
        self.ask(probed, divided)
    }

    /// Cells that can be divided and in which a line is not known well enough, the worst first.
    fn open(&self, solved: Points<'_>) -> Vec<usize> {
        let mut open: Vec<(usize, f64)> = self.crossed(solved).into_iter().filter(|(_, error)| *error > SHARP).collect();
        open.sort_by(|a, b| b.1.total_cmp(&a.1));
        open.into_iter().map(|(leaf, _)| leaf).collect()
    }

    /// Asks for the points of these cells as far as the budget goes.
    fn ask(&mut self, to_probe: Vec<usize>, to_divide: Vec<usize>) -> Vec<usize> {
        let (mut points, mut divided, mut probed) = (Vec::new(), Vec::new(), Vec::new());
        let room = self.budget().saturating_sub(self.wanted.iter().filter(|wanted| **wanted).count());
        let wanted = to_probe.into_iter().map(|leaf| (leaf, false)).chain(to_divide.into_iter().map(|leaf| (leaf, true)));
        for (leaf, divide) in wanted {
            let cell = &self.leaves[leaf].cell;
            let places = if divide { inner(cell) } else { vec![cell.middle()] };
            let mut more: Vec<usize> = places.iter().map(|[i, j]| self.grid.number(*i, *j)).collect();
            more.retain(|n| !self.wanted[*n] && !points.contains(n));
            if points.len() + more.len() <= room {
                points.extend(more);
                if divide { &mut divided } else { &mut probed }.push(leaf);
            }
        }
        if !(divided.is_empty() && probed.is_empty()) {
            self.asked = Asked::Cells { divided, probed };
        }
        points
    }

    /// Compares the new points with what was interpolated and puts quarters in the place of divided cells.
    fn take(&mut self, solved: Points<'_>, divided: &[usize], probed: &[usize]) {
        for leaf in probed {
            let cell = self.leaves[*leaf].cell;
            self.leaves[*leaf].errors = self.compare(solved, &cell, &[cell.middle()]);
            self.leaves[*leaf].probed = true;
        }
        let mut quarters = Vec::new();
        for leaf in divided {
            let cell = self.leaves[*leaf].cell;
            let errors = self.compare(solved, &cell, &inner(&cell));
            let errors: Vec<Option<f64>> = errors.into_iter().map(|e| e.map(|e| HALVED * e)).collect();
            quarters.extend(parts(&cell).into_iter().map(|cell| Leaf { cell, errors: errors.clone(), probed: false }));
        }
        let mut number = 0;
        self.leaves.retain(|_| {
            number += 1;
            !divided.contains(&(number - 1))
        });
        self.leaves.extend(quarters);
    }

    /// Largest difference of each field at some points of a cell.
    fn compare(&mut self, solved: Points<'_>, cell: &Cell, at: &[[usize; 2]]) -> Vec<Option<f64>> {
        let mut errors = vec![None; self.fields.len()];
        for [i, j] in at {
            let number = self.grid.number(*i, *j);
            for (field, error) in errors.iter_mut().enumerate() {
                // A failed solve is no number to be missed by.
                let found = solved[number].as_ref().filter(|point| point.answered).and_then(|point| point.numbers[field]);
                let between = between(&self.grid, cell, (solved, &self.estimates), field, [*i, *j]);
                let (Some(found), Some(between)) = (found, between) else { continue };
                let (solved, interpolated) = (found.value(), between.value());
                *error = Some(error.unwrap_or(0.0_f64).max((solved - interpolated).abs()));
                self.held_out.push(HeldOut { number, field, solved, interpolated });
            }
        }
        errors
    }

    /// Leaves that can be divided and that a limit line crosses, or may within their error, with how badly the line is known.
    fn crossed(&self, solved: Points<'_>) -> Vec<(usize, f64)> {
        let error = |leaf: &Leaf| {
            self.line_errors(solved, leaf).into_iter().flatten().fold(None, |a: Option<f64>, b| Some(a.map_or(b, |a| a.max(b))))
        };
        let each = self.leaves.iter().enumerate().filter(|(_, leaf)| divisible(&leaf.cell));
        each.filter_map(|(k, leaf)| Some((k, error(leaf)?))).collect()
    }

    /// For each limit how far its line may lie from where it is put within a leaf, as a share of the map's range; none where it does not
    /// cross the leaf, or another limit fails there anyway.
    fn line_errors(&self, solved: Points<'_>, leaf: &Leaf) -> Vec<Option<f64>> {
        let size = self.size(&leaf.cell);
        let answered = leaf.cell.corners().map(|[i, j]| solved[self.grid.number(i, j)].as_ref().is_some_and(|p| p.answered));
        if answered.contains(&false) {
            // The edge of what has an answer is a line too.
            return vec![answered.contains(&true).then_some(0.5 * size[0].max(size[1])); self.limits.len()];
        }
        let failing: Vec<bool> = (0..self.limits.len()).map(|k| self.fails_throughout(solved, leaf, k)).collect();
        let line_error = |(k, limit): (usize, &Limit)| {
            if failing.iter().enumerate().any(|(other, fails)| *fails && other != k) {
                return None;
            }
            let difference = |[i, j]: [usize; 2]| {
                let number = between(&self.grid, &leaf.cell, (solved, &self.estimates), limit.field, [i, j])?;
                Some(number.value() - self.limit_values[self.grid.number(i, j)][k]?)
            };
            let values: Vec<f64> = leaf.cell.points().filter_map(difference).collect();
            let [low, high] = values.iter().fold([f64::INFINITY, f64::NEG_INFINITY], |[l, h], v| [l.min(*v), h.max(*v)]);
            let error = leaf.errors[limit.field];
            let slack = error.unwrap_or(0.0);
            if low - slack >= 0.0 || high + slack < 0.0 {
                return None;
            }
            let corner = leaf.cell.corners().map(difference);
            let [a, b, c, d] = [corner[0]?, corner[1]?, corner[2]?, corner[3]?];
            let slope = [0.5 * (b - a + d - c) / size[0], 0.5 * (c - a + d - b) / size[1]];
            let distance = error.map_or(f64::INFINITY, |error| error / slope[0].hypot(slope[1]));
            Some(distance.min(size[0].hypot(size[1])))
        };
        self.limits.iter().enumerate().map(line_error).collect()
    }

    /// Whether a limit is passed at every point of a leaf by more than the leaf's error: no other limit's line bounds what holds there.
    fn fails_throughout(&self, solved: Points<'_>, leaf: &Leaf, k: usize) -> bool {
        let limit = &self.limits[k];
        let error = leaf.errors[limit.field].unwrap_or(0.0);
        leaf.cell.points().all(|[i, j]| {
            let number = between(&self.grid, &leaf.cell, (solved, &self.estimates), limit.field, [i, j]);
            let passed =
                |number: f64, value: f64| limit.margin(number - error, value).max(limit.margin(number + error, value)) < 0.0;
            number.zip(self.limit_values[self.grid.number(i, j)][k]).is_some_and(|(number, value)| passed(number.value(), value))
        })
    }

    /// Width and height of a cell as shares of the map's.
    fn size(&self, cell: &Cell) -> [f64; 2] {
        let share = |[first, last]: [usize; 2], all: usize| (last - first) as f64 / (all.max(2) - 1) as f64;
        [share(cell.x, self.grid.x.len()), share(cell.y, self.grid.y.len())]
    }

    /// The finished map: solved points as they are, the others interpolated.
    pub fn finish(self, solved: Points<'_>) -> Finished {
        let mut points: Vec<Option<Point>> = vec![None; self.grid.len()];
        let judge = |number: usize, numbers: &[_]| margins(numbers, &self.limits, &self.limit_values[number]);
        for (number, found) in solved.iter().enumerate() {
            points[number] = found.as_ref().map(|found| Point {
                origin: Origin::Solved,
                numbers: found.numbers.clone(),
                errors: vec![None; self.fields.len()],
                margins: judge(number, &found.numbers),
                answered: found.answered,
            });
        }
        let leaves = self.told_leaves();
        for leaf in &leaves {
            for [i, j] in leaf.cell.points() {
                let number = self.grid.number(i, j);
                if points[number].is_some() {
                    continue;
                }
                let between = |field| between(&self.grid, &leaf.cell, (solved, &self.estimates), field, [i, j]);
                let numbers: Vec<_> = (0..self.fields.len()).map(between).collect();
                let errors = leaf.errors.iter().zip(&numbers);
                points[number] = Some(Point {
                    origin: Origin::Interpolated,
                    errors: errors.map(|(error, number)| number.and(*error)).collect(),
                    margins: judge(number, &numbers),
                    answered: self.limits.first().is_some_and(|limit| numbers[limit.field].is_some()),
                    numbers,
                });
            }
        }
        let sharpness = self.sharpness(solved, &leaves);
        let unknown = Point {
            origin: Origin::Interpolated,
            numbers: vec![None; self.fields.len()],
            errors: vec![None; self.fields.len()],
            margins: vec![None; self.limits.len()],
            answered: false,
        };
        let cell_errors = self.cell_errors(&leaves, solved);
        Finished {
            cell_errors,
            points: points.into_iter().map(|point| point.unwrap_or_else(|| unknown.clone())).collect(),
            grid: self.grid,
            fields: self.fields,
            limits: self.limits,
            limit_values: self.limit_values,
            estimates: self.estimates,
            held_out: self.held_out,
            sharpness,
        }
    }

    /// The leaves with an error each: one of which no held-out point tells has the largest error of those that touch it, else of all.
    fn told_leaves(&self) -> Vec<Leaf> {
        let largest = |field: usize, counts: &dyn Fn(&Leaf) -> bool| {
            self.leaves.iter().filter(|leaf| counts(leaf)).filter_map(|leaf| leaf.errors[field]).max_by(f64::total_cmp)
        };
        let told = |leaf: &Leaf| {
            let error = |(field, own): (usize, &Option<f64>)| {
                own.or_else(|| largest(field, &|other| touch(&leaf.cell, &other.cell)).or_else(|| largest(field, &|_| true)))
            };
            Leaf { errors: leaf.errors.iter().enumerate().map(error).collect(), ..leaf.clone() }
        };
        self.leaves.iter().map(told).collect()
    }

    /// Error of each field within each cell of the grid: its leaf's, no less than the root mean square of all that was held out; of a cell
    /// between solved points its leaf's halved once for each division that leads to it.
    fn cell_errors(&self, leaves: &[Leaf], solved: Points<'_>) -> Vec<Vec<Option<f64>>> {
        let rows = self.grid.y.len().saturating_sub(1);
        let usual: Vec<f64> = (0..self.fields.len()).map(|field| self.usual_error(field)).collect();
        let mut errors = vec![Vec::new(); self.grid.x.len().saturating_sub(1) * rows];
        for leaf in leaves {
            let Cell { x, y } = leaf.cell;
            let divisions = (x[1] - x[0]).max(y[1] - y[0]).next_power_of_two().trailing_zeros();
            for (i, j) in (x[0]..x[1]).flat_map(|i| (y[0]..y[1]).map(move |j| (i, j))) {
                let corners = Cell { x: [i, i + 1], y: [j, j + 1] }.corners();
                let all = corners.iter().all(|[i, j]| solved[self.grid.number(*i, *j)].is_some());
                let told = |(error, usual): (&Option<f64>, &f64)| {
                    error.map(|error| if all { HALVED.powi(divisions as i32) * error } else { error.max(*usual) })
                };
                errors[i * rows + j] = leaf.errors.iter().zip(&usual).map(told).collect();
            }
        }
        errors
    }

    /// Root mean square of what is missed of a field at held-out points.
    fn usual_error(&self, field: usize) -> f64 {
        let of_field = self.held_out.iter().filter(|held| held.field == field);
        let squares: Vec<f64> = of_field.map(|held| (held.interpolated - held.solved).powi(2)).collect();
        (squares.iter().sum::<f64>() / squares.len().max(1) as f64).sqrt()
    }

    /// How well each limit's line is known; nothing is to be told where no point is interpolated.
    fn sharpness(&self, solved: Points<'_>, leaves: &[Leaf]) -> Vec<Option<f64>> {
        if solved.iter().all(Option::is_some) {
            return vec![None; self.limits.len()];
        }
        let each: Vec<Vec<Option<f64>>> = leaves.iter().map(|leaf| self.line_errors(solved, leaf)).collect();
        (0..self.limits.len()).map(|k| each.iter().filter_map(|errors| errors[k]).max_by(f64::total_cmp)).collect()
    }
}

/// Whether two cells have a point in common.
fn touch(a: &Cell, b: &Cell) -> bool {
    let overlap = |a: [usize; 2], b: [usize; 2]| a[0] <= b[1] && b[0] <= a[1];
    overlap(a.x, b.x) && overlap(a.y, b.y)
}

/// Columns (or rows) of the coarse lattice among `n`, first and last among them.
fn lines(n: usize) -> Vec<usize> {
    let count = (COARSE * n).div_ceil(10).max(2).min(n);
    (0..count).map(|k| (k * (n - 1) + (count - 1) / 2) / (count - 1).max(1)).collect()
}

fn divisible(cell: &Cell) -> bool {
    cell.x[1] - cell.x[0] > 1 || cell.y[1] - cell.y[0] > 1
}

/// The quarters of a cell; halves where it is one step wide or high.
fn parts(cell: &Cell) -> Vec<Cell> {
    let split = |[first, last]: [usize; 2], middle: usize| {
        if middle > first && middle < last { vec![[first, middle], [middle, last]] } else { vec![[first, last]] }
    };
    let [i, j] = cell.middle();
    let rows = split(cell.y, j);
    split(cell.x, i).into_iter().flat_map(|x| rows.iter().map(move |y| Cell { x, y: *y })).collect()
}

/// Corners of the parts that are none of the cell's own.
fn inner(cell: &Cell) -> Vec<[usize; 2]> {
    let own = cell.corners();
    let mut points: Vec<[usize; 2]> = Vec::new();
    for corner in parts(cell).iter().flat_map(Cell::corners) {
        if !own.contains(&corner) && !points.contains(&corner) {
            points.push(corner);
        }
    }
    points
}
