//! Which points of a map are asked for, how well its lines are known, and how places between its points are judged.

#![allow(clippy::unwrap_used)]
use super::refine::{SHARP, Scheme};
use super::{Finished, Grid, Origin, Solved};
use crate::column::Number;
use crate::map::State;
use crate::map::field::{fields, limits};
use crate::map::standing::{Place, Standing};
use hoopwright_case as case;

const N: usize = 20;

/// Release pressure, bar, like that of a map: the line of 7.5 bar is curved.
fn release(x: f64, y: f64) -> f64 {
    0.02 * x * (0.75 + 0.2 * y) + 0.3 * y.powi(2) + 1.0
}

/// Runs the scheme over a map whose fields are 1 but for those of its first limits; what it asked for, in order, and the map, with
/// `all` its points solved.
fn run_over(functions: &[fn(f64, f64) -> f64], values: &[f64], all: bool) -> (Vec<usize>, Finished) {
    let axis = |from: f64, to: f64| (0..N).map(|k| from + (to - from) * k as f64 / (N - 1) as f64).collect::<Vec<_>>();
    let grid = Grid { x: axis(150.0, 550.0), y: axis(0.4, 2.8) };
    let case = case::read(&case::starter()).unwrap().0;
    let fields = fields(&case);
    let mut limits = limits(&case, &fields);
    // What decides, then what may not be passed.
    limits.sort_by_key(|limit| !limit.at_least);
    limits.dedup_by_key(|limit| limit.at_least);
    limits.truncate(functions.len());
    let number_at = |number: usize, field: usize| {
        let (x, y) = (grid.x[number / N], grid.y[number % N]);
        limits.iter().position(|limit| limit.field == field).map_or(1.0, |k| functions[k](x, y))
    };
    let answer = |number: usize| {
        let numbers = (0..fields.len()).map(|field| Some(Number::Found(number_at(number, field)))).collect();
        Some(Solved { numbers, answered: true })
    };
    let none = vec![vec![None; fields.len()]; grid.len()];
    let at = vec![values.iter().copied().map(Some).collect(); grid.len()];
    let mut scheme = Scheme::new(grid.clone(), (fields.clone(), limits.clone()), at, none);
    let (mut solved, mut asked) = (vec![None; grid.len()], Vec::new());
    loop {
        let next = scheme.next(&solved);
        if next.is_empty() {
            (0..grid.len()).filter(|_| all).for_each(|number| solved[number] = answer(number));
            return (asked, scheme.finish(&solved));
        }
        next.iter().for_each(|number| solved[*number] = answer(*number));
        asked.extend(next);
    }
}

fn run() -> (Vec<usize>, Finished) {
    run_over(&[release], &[7.5], false)
}

/// A limit that is passed in steps only where another fails anyway costs nothing, and its line is not told of.
#[test]
fn only_the_edge_of_what_holds_is_sharpened() {
    fn loss(x: f64, y: f64) -> f64 {
        if x < 170.0 && y > 1.2 && y < 1.6 { 30.0 } else { 10.0 }
    }
    let (alone, _) = run();
    let (asked, map) = run_over(&[release, loss], &[7.5, 20.0], false);
    assert!(!map.limits[1].at_least && map.points.iter().any(|point| point.margins[1].unwrap() < 0.0));
    assert!(asked.len() <= alone.len() + 2, "{} for {}", asked.len(), alone.len());
    assert_eq!(map.sharpness[1], None);
    assert!(map.sharpness[0].unwrap() <= SHARP);
}

#[test]
fn the_line_is_sharp_at_a_quarter_of_the_solves() {
    let (asked, map) = run();
    let mut unique = asked.clone();
    unique.sort_unstable();
    unique.dedup();
    assert_eq!(unique.len(), asked.len(), "no point is asked for twice");
    // A cell in which the line is known well enough by its middle is not divided.
    assert!(asked.len() <= 53, "{}", asked.len());
    assert!(map.sharpness[0].unwrap() <= SHARP, "{:?}", map.sharpness);
    // Along each row the line lies where the function has it, to 1 % of the range.
    for (j, y) in map.grid.y.iter().enumerate() {
        let value = |i: usize| map.points[map.grid.number(i, j)].numbers[map.deciding()].unwrap().value();
        let Some(i) = (1..N).find(|i| value(*i) >= 7.5 && value(i - 1) < 7.5) else { continue };
        let share = (7.5 - value(i - 1)) / (value(i) - value(i - 1));
        let found = map.grid.x[i - 1] + share * (map.grid.x[i] - map.grid.x[i - 1]);
        let exact = (7.5 - 1.0 - 0.3 * y.powi(2)) / (0.02 * (0.75 + 0.2 * y));
        assert!((found - exact).abs() <= 0.01 * 400.0, "{found} for {exact} at {y}");
    }
}

#[test]
fn a_line_among_solved_points_alone_has_no_error() {
    assert_eq!(run_over(&[release], &[7.5], true).1.sharpness, [None]);
}

/// Places all over a map: what is far from the line is what the function says, what is near is told as near, and nothing far is.
#[test]
fn a_place_is_judged_from_what_is_interpolated_there() {
    let (_, map) = run();
    let mut counts = [0, 0, 0];
    for k in 0..2000_u32 {
        // A lattice that no grid shares (golden ratio).
        let share = |factor: f64| (f64::from(k) * factor).fract();
        let [x, y] = [150.0 + 400.0 * share(0.618_033_988_7), 0.4 + 2.4 * share(0.754_877_666_2)];
        let place = Place::of(&map.grid, [x, y]).unwrap();
        let (found, exact) = (map.at(map.deciding(), &place).unwrap(), release(x, y));
        let error = map.error(map.deciding(), &place).unwrap();
        assert!((found - exact).abs() < error, "{x} {y}: {found} for {exact}, told {error}");
        let expected = if exact < 7.5 { Standing::Fails(0) } else { Standing::Holds };
        match map.standing(&place) {
            Standing::Near(0) => {
                assert!((found - 7.5).abs() <= error, "{x} {y}: {found}");
                counts[0] += 1;
            }
            told => {
                assert_eq!(told, expected, "{x} {y}: {found} for {exact}");
                counts[if told == Standing::Holds { 1 } else { 2 }] += 1;
            }
        }
    }
    assert!(counts[0] > 5 && counts[0] < 100 && counts[1] > 500 && counts[2] > 500, "{counts:?}");
}

/// Where no point is held out nothing is known of the error, and of a limit no more than where it probably lies.
#[test]
fn without_a_held_out_point_every_place_is_near_a_limit() {
    let (_, mut map) = run();
    map.cell_errors.iter_mut().for_each(|errors| errors.fill(None));
    for place in [[170.0, 0.5], [540.0, 2.7]] {
        let place = Place::of(&map.grid, place).unwrap();
        assert_eq!(map.standing(&place), Standing::Near(0));
        assert_eq!(map.error(map.deciding(), &place), None);
    }
}

#[test]
fn errors_of_interpolated_numbers_are_told_and_cover_them() {
    let (_, map) = run();
    let field = map.deciding();
    let mut covered = (0, 0);
    for (n, point) in map.points.iter().enumerate().filter(|(_, point)| point.origin == Origin::Interpolated) {
        let error = (point.numbers[field].unwrap().value() - release(map.grid.x[n / N], map.grid.y[n % N])).abs();
        covered.1 += 1;
        covered.0 += usize::from(error <= point.errors[field].unwrap() + 1e-12);
    }
    assert!(covered.1 >= 300 && covered.0 * 100 >= 95 * covered.1, "{covered:?}");
    assert!(map.held_out.iter().any(|held| held.field == field));
    assert!(map.points.iter().any(|point| point.state() == State::Holds));
    assert!(map.points.iter().any(|point| point.state() == State::Fails(0)));
}
