//! Checks of joining, crossing, symmetry and the half section.

#![allow(clippy::unwrap_used, clippy::float_cmp)]

use super::*;
use approx::assert_relative_eq;

/// Closed path of corners.
fn path(corners: &[[f64; 2]]) -> Vec<Span> {
    let n = corners.len();
    (0..n).map(|i| Span::new(corners[i], corners[(i + 1) % n], 0.0)).collect()
}

fn rectangle([x0, y0, x1, y1]: [f64; 4]) -> Vec<Span> {
    path(&[[x0, y0], [x1, y0], [x1, y1], [x0, y1]])
}

fn plate() -> Vec<Span> {
    rectangle([0.0, 300.0, 10.0, 310.0])
}

fn failure(parts: &[Vec<Span>]) -> DrawingError {
    section(&parts.concat()).unwrap_err()
}

#[test]
fn a_gap_is_named_with_both_ends_and_small_ones_are_closed() {
    let mut spans = plate();
    spans[1].b = [10.0, 309.5];
    let expected =
        DrawingError::Gap { from: Place([10.0, 309.5]), to: Place([10.0, 310.0]), distance: 0.5, tolerance: TOLERANCE };
    assert_eq!(section(&spans).unwrap_err(), expected);
    let sentence = "gap of 0.500 mm between x = 10.000 mm, y = 309.500 mm and x = 10.000 mm, y = 310.000 mm: join the ends";
    assert!(expected.to_string().starts_with(sentence), "{expected}");
    spans[1].b = [10.0, 309.991];
    assert_relative_eq!(section(&spans).unwrap().0.area(), 100.0, max_relative = 1e-3);
    spans[1].b = [10.0, 309.989];
    assert!(section(&spans).is_err());
}

#[test]
fn lines_in_any_order_and_sense_are_joined() {
    let mut spans = plate();
    spans.swap(0, 2);
    spans[1] = spans[1].reversed();
    let (section, full) = section(&spans).unwrap();
    assert_relative_eq!(section.outer.area(), 100.0, max_relative = 1e-12);
    assert!(!full);
}

#[test]
fn leftovers_shorter_than_the_tolerance_do_not_count() {
    let mut spans = plate();
    spans[1].b = [10.0, 309.995];
    spans.push(Span::new([10.0, 309.995], [10.0, 310.0], 0.0));
    assert_eq!(section(&spans).unwrap().0.outer.pieces.len(), 4);
}

#[test]
fn branches_are_named() {
    let twice = [plate(), vec![Span::new([0.0, 300.0], [10.0, 300.0], 0.0)]];
    assert!(matches!(failure(&twice), DrawingError::Branch { place: Place([_, 300.0]) }));
}

#[test]
fn crossing_touching_and_folded_lines_are_named() {
    let bow = path(&[[0.0, 300.0], [10.0, 310.0], [10.0, 300.0], [0.0, 310.0]]);
    assert_eq!(failure(&[bow]), DrawingError::Crossing { place: Place([5.0, 305.0]) });
    // A hole that reaches beyond the outer side, round and square.
    let round = vec![Span::new([9.0, 303.0], [9.0, 307.0], 1.0), Span::new([9.0, 307.0], [9.0, 303.0], 1.0)];
    let crossing = failure(&[plate(), round]);
    assert!(matches!(crossing, DrawingError::Crossing { place: Place([x, _]) } if (x - 10.0).abs() < 1e-9), "{crossing}");
    let circles = |x: f64| vec![Span::new([x, 303.0], [x, 307.0], 1.0), Span::new([x, 307.0], [x, 303.0], 1.0)];
    assert!(matches!(failure(&[plate(), circles(4.0), circles(5.0)]), DrawingError::Crossing { .. }));
    // Touching from inside counts; so does lying on the mid-plane's line.
    let touching = vec![Span::new([8.0, 303.0], [8.0, 307.0], 1.0), Span::new([8.0, 307.0], [8.0, 303.0], 1.0)];
    assert_eq!(failure(&[plate(), touching]), DrawingError::Crossing { place: Place([10.0, 305.0]) });
    let beside = rectangle([0.0, 303.0, 4.0, 306.0]);
    assert!(matches!(failure(&[plate(), beside]), DrawingError::Crossing { place: Place([0.0, _]) }));
    let folded = path(&[[0.0, 300.0], [10.0, 300.0], [5.0, 300.0], [5.0, 310.0], [0.0, 310.0]]);
    assert_eq!(failure(&[folded]), DrawingError::Crossing { place: Place([10.0, 300.0]) });
}

#[test]
fn second_outlines_and_islands_are_named() {
    let beside = rectangle([12.0, 300.0, 14.0, 302.0]);
    assert_eq!(failure(&[plate(), beside]), DrawingError::Separate { place: Place([12.0, 300.0]) });
    let (hole, island) = (rectangle([2.0, 302.0, 8.0, 308.0]), rectangle([4.0, 304.0, 6.0, 306.0]));
    assert_eq!(failure(&[plate(), hole.clone(), island]), DrawingError::Island { place: Place([4.0, 304.0]) });
    let (section, _) = section(&[plate(), hole].concat()).unwrap();
    assert_relative_eq!(section.area(), 64.0, max_relative = 1e-12);
}

#[test]
fn a_point_between_arc_and_chord_is_inside() {
    // Half a disc to the right of x = 2; a hole beyond the chord, and one beside the arc.
    let disc = vec![Span::new([2.0, 300.0], [2.0, 310.0], 1.0), Span::new([2.0, 310.0], [2.0, 300.0], 0.0)];
    assert!(winds_around(&disc, [6.0, 305.0]) && winds_around(&disc, [2.5, 301.0]));
    assert!(!winds_around(&disc, [6.5, 300.5]) && !winds_around(&disc, [1.0, 305.0]));
    // A square with half a disc taken out of its right side.
    let mut bitten = plate();
    bitten[1].bulge = -1.0;
    assert!(winds_around(&bitten, [2.0, 305.0]) && winds_around(&bitten, [6.0, 300.5]) && !winds_around(&bitten, [8.0, 305.0]));
    let backward: Vec<Span> = disc.iter().rev().map(Span::reversed).collect();
    assert!(winds_around(&backward, [6.0, 305.0]) && !winds_around(&backward, [1.0, 305.0]));
}

#[test]
fn an_unsymmetric_section_is_refused_where_it_deviates_most() {
    let lopsided =
        |off: f64| path(&[[-10.0, 300.0], [10.0, 300.0], [10.0, 305.0], [10.0 + off, 306.0], [10.0, 310.0], [-10.0, 310.0]]);
    assert!(section(&lopsided(0.019)).is_ok());
    let error = section(&lopsided(0.5)).unwrap_err();
    let DrawingError::NotSymmetric { place, deviation, .. } = error else { unreachable!("{error}") };
    assert_eq!(place, Place([10.5, 306.0]));
    assert_relative_eq!(deviation, 0.5, max_relative = 1e-12);
    assert!(error.to_string().contains("the model is symmetric"), "{error}");
}

#[test]
fn a_box_cut_at_the_mid_plane_has_its_cavity_in_the_outline() {
    let parts = [rectangle([-10.0, 300.0, 10.0, 310.0]), rectangle([-6.0, 302.0, 6.0, 308.0])];
    let (half, full) = section(&parts.concat()).unwrap();
    assert!(full && half.cavities.is_empty());
    assert_relative_eq!(half.area(), 64.0, max_relative = 1e-12);
    assert_eq!(half.outer.pieces[0].start, [310.0, 0.0]);
    assert_eq!(half.outer.pieces.len(), 8);
    assert_relative_eq!(half.outer.length(), 10.0 + 10.0 + 10.0 + 2.0 + 6.0 + 6.0 + 6.0 + 2.0, max_relative = 1e-12);
}

#[test]
fn cavities_one_above_the_other_join_the_outline_in_any_order() {
    let (low, high) = (rectangle([-3.0, 302.0, 3.0, 304.0]), rectangle([-4.0, 306.0, 4.0, 308.0]));
    let square = rectangle([-3.0, 306.0, 3.0, 308.0]);
    for cavities in [[low.clone(), high.clone()], [high, low.clone()], [square.clone(), low.clone()], [low, square]] {
        let hollow: f64 = cavities.iter().map(|c| area(c)).sum();
        let (half, _) = section(&[rectangle([-10.0, 300.0, 10.0, 310.0]), cavities.concat()].concat()).unwrap();
        assert_relative_eq!(half.area(), 100.0 - 0.5 * hollow, max_relative = 1e-12);
        assert_eq!((half.outer.pieces.len(), half.cavities.len()), (12, 0));
    }
}

#[test]
fn cavities_beside_the_mid_plane_stay_loops() {
    let hole = |x: f64| rectangle([x, 302.0, x + 2.0, 304.0]);
    let parts = [rectangle([-10.0, 300.0, 10.0, 310.0]), hole(4.0), hole(-6.0)];
    let (half, _) = section(&parts.concat()).unwrap();
    assert_eq!(half.cavities.len(), 1);
    assert_relative_eq!(half.cavities[0].area(), -4.0, max_relative = 1e-12);
}

#[test]
fn a_section_apart_from_the_mid_plane_is_refused() {
    let apart = rectangle([1.0, 300.0, 10.0, 310.0]);
    assert!(matches!(failure(&[apart]), DrawingError::NoMidPlane { place: Place([1.0, _]) }));
    assert!(section(&rectangle([0.009, 300.0, 10.0, 310.0])).is_ok());
}

#[test]
fn too_many_loops_are_refused() {
    let many: Vec<Span> = (0..501).flat_map(|i| rectangle([1.0, 300.0 + f64::from(i), 1.5, 300.5 + f64::from(i)])).collect();
    assert_eq!(section(&many).unwrap_err(), DrawingError::TooMany { what: "closed loops", limit: 500 });
}
