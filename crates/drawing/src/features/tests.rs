//! Checks of the tyre side's measures against the numbers the examples were drawn from, and of every refusal.

#![allow(clippy::unwrap_used, clippy::float_cmp)]

use super::*;
use crate::dxf::{Options, read};
use crate::section::Loop;
use approx::assert_relative_eq;

fn example(name: &str) -> Section {
    let path = format!("{}/../../meshes/{name}.dxf", env!("CARGO_MANIFEST_DIR"));
    read(&std::fs::read(path).unwrap(), &Options::default()).unwrap().section
}

/// A section of straight lines through corners (z, r), as one draws it, from the mid-plane's top outward.
fn section(corners: &[[f64; 2]]) -> Section {
    bulged(&corners.iter().map(|c| [c[0], c[1], 0.0]).collect::<Vec<_>>())
}

/// The same with bulges in the (r, z) plane.
fn bulged(corners: &[[f64; 3]]) -> Section {
    let pieces = corners.iter().map(|c| Piece { start: [c[1], c[0]], bulge: c[2] }).collect();
    Section { outer: Loop { pieces }, cavities: vec![] }
}

/// A plain rim: bed 310 mm, wall 10 mm from the mid-plane, crest 316 mm, all corners sharp.
const PLAIN: [[f64; 2]; 7] =
    [[0.0, 309.0], [4.0, 309.0], [5.0, 310.0], [10.0, 310.0], [10.0, 316.0], [12.0, 316.0], [12.0, 300.0]];

fn plain() -> Vec<[f64; 2]> {
    [&PLAIN[..], &[[0.0, 300.0]]].concat()
}

fn close(found: f64, drawn: f64) {
    assert_relative_eq!(found, drawn, epsilon = 1e-8);
}

#[test]
fn the_box_rim_has_the_numbers_it_was_drawn_from() {
    for name in ["box_half", "box_full"] {
        let f = features(&example(name)).unwrap();
        close(f.seat_diameter, 621.95);
        close(f.inner_width, 21.0);
        close(f.seat_width, 4.0);
        close(f.seat_angle, 2.0_f64.to_radians());
        close(f.flange_height, 5.5);
        close(f.wall_thickness, 2.0);
        close(f.crest_radius, 0.8);
        close(f.corner_radius, 0.6);
        close(f.hump_height, 0.3);
        close(f.hump_width, 1.2);
        close(f.well_depth, 3.0);
        close(f.well_width, 8.0);
        assert_eq!(f.rounded, 0);
        let crest = 310.975 + 2.0 * 2.0_f64.to_radians().tan() + 5.5;
        close(f.end[0], crest - OUTER_SIDE);
        close(f.end[1], 12.5);
    }
}

#[test]
fn parts_follow_each_other_outward() {
    let mut parts: Vec<Part> = features(&example("box_half")).unwrap().chain.iter().map(|c| c.1).collect();
    parts.dedup();
    assert_eq!(parts, [Part::Bed, Part::Hump, Part::Seat, Part::Corner, Part::Wall, Part::Crest]);
    let mut parts: Vec<Part> = features(&example("shallow_solid")).unwrap().chain.iter().map(|c| c.1).collect();
    parts.dedup();
    assert_eq!(parts, [Part::Bed, Part::Seat, Part::Corner, Part::Wall, Part::Crest]);
}

#[test]
fn the_solid_rim_ends_where_its_outer_side_turns_away_and_gets_its_corners_rounded() {
    let f = features(&example("shallow_solid")).unwrap();
    close(f.seat_diameter, 622.0);
    close(f.inner_width, 24.0);
    close(f.seat_width, 5.5);
    close(f.seat_angle, 0.0);
    close(f.flange_height, 6.0);
    close(f.wall_thickness, 3.0);
    close(f.crest_radius, 1.5);
    close(f.corner_radius, FILLET);
    close(f.well_depth, 1.5);
    close(f.well_width, 10.0);
    assert_eq!((f.rounded, f.hump_height, f.hump_width), (3, 0.0, 0.0));
    assert!(f.end[0] > 317.0 - OUTER_SIDE && f.end[0] < 310.0, "{:?}", f.end);
}

/// A wall drawn with sharp edges: its crest is as round as a tyre's face can follow, or as the lines leave room for.
#[test]
fn a_sharp_crest_gets_a_radius_that_the_tyre_can_roll_over() {
    for (wall, radius) in [(2.0, CREST_FILLET), (0.8, 0.45 * 0.8)] {
        let outer = 10.5 + wall;
        let bed = [
            [0.0, 308.0],
            [4.0, 308.0],
            [6.5, 311.0],
            [10.5, 311.0],
            [10.5, 316.5],
            [outer, 316.5],
            [outer, 300.0],
            [0.0, 300.0],
        ];
        let f = features(&section(&bed)).unwrap();
        close(f.crest_radius, radius);
        close(f.flange_height, 5.5);
    }
}

#[test]
fn the_chain_is_smooth_and_starts_at_the_mid_plane() {
    for name in ["box_half", "shallow_solid"] {
        let f = features(&example(name)).unwrap();
        assert_eq!(f.chain[0].0.start[1], 0.0);
        let ends = f.chain.iter().skip(1).map(|c| c.0.start).chain([f.end]);
        let spans: Vec<Span> = f.chain.iter().zip(ends).map(|(c, b)| Span::new(c.0.start, b, c.0.bulge)).collect();
        for pair in spans.windows(2) {
            assert!(find::kink(&pair[0], &pair[1]).abs() < find::SMOOTH, "{pair:?}");
        }
    }
}

#[test]
fn a_sharp_corner_gets_a_fillet_of_a_tenth() {
    let f = features(&section(&plain())).unwrap();
    assert_eq!(f.rounded, 5);
    let (corner, part) =
        f.chain.iter().zip(f.chain.iter().skip(1)).find(|(c, _)| c.1 == Part::Corner).map(|(c, n)| ((c.0, n.0), c.1)).unwrap();
    let arc = crate::section::Arc::new(corner.0.start, corner.1.start, corner.0.bulge);
    close(arc.radius, 0.1);
    close(arc.centre[0], 310.1);
    close(arc.centre[1], 9.9);
    assert_eq!(part, Part::Corner);
    close(f.wall_thickness, 2.0);
    close(f.seat_width, 5.0);
}

#[test]
fn an_inclined_seat_is_measured_at_its_middle_and_at_the_wall() {
    let mut corners = plain();
    corners[3][1] = 310.2;
    let f = features(&section(&corners)).unwrap();
    close(f.seat_angle, (0.2_f64 / 5.0).atan());
    close(f.seat_diameter, 620.2);
    close(f.flange_height, 5.8);
    close(f.well_depth, 1.1);
}

#[test]
fn a_hump_ends_where_its_flank_first_comes_down() {
    // The flank is an arc that dips by 0.4 mm over a chord of 4 mm, radius 5.2 mm, below the seat and up again to a high bed.
    let dip = -0.2;
    let flank = [[0.0, 310.2, 0.0], [2.0, 310.2, dip], [6.0, 310.2, 0.0], [7.0, 310.5, 0.0], [8.0, 310.0, 0.0]];
    let rest: Vec<_> = plain()[3..].iter().map(|c| [c[0], c[1], 0.0]).collect();
    let spans: Vec<Span> =
        bulged(&[&flank[..], &rest].concat()).outer.spans().map(|(a, b, bulge)| Span::new(a, b, bulge)).collect();
    let f = measure::measure(&spans, &find::marks(&spans).unwrap()).unwrap();
    close(f.hump_height, 0.5);
    close(f.hump_width, 8.0 - 4.0 - (5.2_f64 * 5.2 - 25.0).sqrt());
    close(f.well_depth, 0.2);
}

#[test]
fn a_bed_above_the_seat_is_no_hump() {
    let mut corners = plain();
    (corners[0][1], corners[1][1]) = (310.5, 310.5);
    let f = features(&section(&corners)).unwrap();
    assert_eq!((f.hump_height, f.hump_width), (0.0, 0.0));
    close(f.well_depth, 0.0);
}

#[test]
fn the_outer_side_ends_before_a_bead_that_stands_out() {
    // From 313 mm down a quarter circle stands out from the outer side: it starts across the way down and ends along it.
    let mut corners: Vec<[f64; 3]> = plain().iter().map(|c| [c[0], c[1], 0.0]).collect();
    let quarter = (0.125 * std::f64::consts::PI).tan();
    corners.splice(6..7, [[12.0, 313.0, quarter], [13.0, 312.0, 0.0], [13.0, 300.0, 0.0]]);
    let f = features(&bulged(&corners)).unwrap();
    assert_eq!(f.end, [313.0, 12.0]);
}

fn failure(corners: &[[f64; 2]]) -> DrawingError {
    features(&section(corners)).unwrap_err()
}

#[test]
fn a_missing_wall_is_named_at_the_crest() {
    let mut leaning = plain();
    leaning[4][0] = 10.4;
    assert_eq!(failure(&leaning), DrawingError::NoWall { place: Place([10.4, 316.0]) });
    let mut low = plain();
    (low[4][1], low[5][1]) = (311.9, 311.9);
    assert_eq!(failure(&low), DrawingError::NoWall { place: Place([10.0, 311.9]) });
    // The radial side of a deep well is no wall.
    leaning[1] = [5.0, 305.0];
    leaning[0][1] = 305.0;
    assert_eq!(failure(&leaning), DrawingError::NoWall { place: Place([10.4, 316.0]) });
    assert!(failure(&leaning).to_string().contains("hookless rims only"));
}

#[test]
fn a_hooked_rim_is_named() {
    let mut corners = plain();
    corners.splice(4..5, [[10.0, 313.0], [9.5, 314.0], [9.5, 315.0], [10.5, 316.0]]);
    let error = failure(&corners);
    assert_eq!(error, DrawingError::Hooked { place: Place([9.5, 314.0]), overhang: 0.5 });
    assert!(error.to_string().contains("a hooked rim is not modelled"));
}

#[test]
fn a_missing_seat_is_named() {
    let mut corners = plain();
    corners.splice(3..4, [[9.0, 310.0], [10.0, 311.0]]);
    assert_eq!(failure(&corners), DrawingError::NoSeat { place: Place([10.0, 311.0]) });
}

#[test]
fn kinks_at_arcs_and_corners_without_room_are_named() {
    let mut corners: Vec<[f64; 3]> = plain().iter().map(|c| [c[0], c[1], 0.0]).collect();
    corners[1][2] = 0.3;
    let error = features(&bulged(&corners)).unwrap_err();
    assert!(matches!(error, DrawingError::Kink { place: Place([4.0, 309.0]), .. }), "{error}");
    assert!(error.to_string().contains("draw a fillet there"), "{error}");
    let mut corners = plain();
    corners.splice(1..2, [[4.0, 309.0], [4.05, 309.0]]);
    corners.splice(3..3, [[4.06, 309.2]]);
    let error = failure(&corners);
    assert!(matches!(error, DrawingError::NoRoom { place: Place([4.05, 309.0]), radius: FILLET, .. }), "{error}");
}

#[test]
fn sections_and_chains_must_start_at_the_mid_plane_and_reach_the_outer_side() {
    let apart: Vec<_> = plain().iter().map(|c| [c[0] + 1.0, c[1]]).collect();
    assert!(matches!(failure(&apart), DrawingError::NoMidPlane { place: Place([1.0, _]) }));
    assert!(matches!(features(&Section::default()), Err(DrawingError::NoMidPlane { .. })));
    let chain: Vec<Piece> = PLAIN.iter().map(|c| Piece { start: [c[1], c[0]], bulge: 0.0 }).collect();
    assert!(chain_features(&chain[..6], [300.0, 12.0]).is_ok());
    let short = chain_features(&chain[..6], [315.0, 12.0]);
    assert_eq!(short, Err(DrawingError::NoOuterSide { place: Place([12.0, 315.0]) }));
    assert!(chain_features(&chain[..5], [316.0, 12.0]).is_err());
    assert!(matches!(chain_features(&chain[1..], [300.0, 0.0]), Err(DrawingError::NoMidPlane { .. })));
    assert!(matches!(chain_features(&[], [300.0, 0.0]), Err(DrawingError::NoMidPlane { .. })));
}
