//! Checks of the DXF reader: area by hand, units, layers, and every refusal with its place.

#![allow(clippy::unwrap_used, clippy::float_cmp)]

use super::*;
use approx::assert_relative_eq;
use std::f64::consts::PI;

const MM: Options = Options { unit: Some(Unit::Millimetre) };

/// A drawing with a unit (as a header pair), a frozen and an off layer, and entities.
fn drawing(header: &str, entities: &str) -> Vec<u8> {
    let layer = |name: &str, flags: i32, colour: i32| format!("0\nLAYER\n2\n{name}\n70\n{flags}\n62\n{colour}\n");
    let layers = layer("Frozen", 1, 7) + &layer("off", 0, -7) + &layer("plain", 0, 7);
    format!(
        "0\nSECTION\n2\nHEADER\n{header}0\nENDSEC\n0\nSECTION\n2\nTABLES\n0\nTABLE\n2\nLAYER\n{layers}0\nENDTAB\n0\nENDSEC\n\
         0\nSECTION\n2\nENTITIES\n{entities}0\nENDSEC\n0\nEOF\n"
    )
    .into_bytes()
}

/// An entity on a layer with its codes.
fn entity(kind: &str, layer: &str, codes: &[(i32, f64)]) -> String {
    let codes: String = codes.iter().map(|(code, value)| format!("{code}\n{value}\n")).collect();
    format!("0\n{kind}\n8\n{layer}\n{codes}")
}

fn line(layer: &str, a: [f64; 2], b: [f64; 2]) -> String {
    entity("LINE", layer, &[(10, a[0]), (20, a[1]), (11, b[0]), (21, b[1])])
}

/// A rectangle from (x0, y0) to (x1, y1) as a closed polyline.
fn rectangle(layer: &str, [x0, y0, x1, y1]: [f64; 4]) -> String {
    let corners = [(10, x0), (20, y0), (10, x1), (20, y0), (10, x1), (20, y1), (10, x0), (20, y1)];
    entity("LWPOLYLINE", layer, &[&[(90, 4.0), (70, 1.0)], &corners[..]].concat())
}

const PLATE: [f64; 4] = [0.0, 300.0, 10.0, 310.0];

fn failure(entities: &str) -> DrawingError {
    read(&drawing("", entities), &MM).unwrap_err()
}

fn example(name: &str) -> Drawn {
    let path = format!("{}/../../meshes/{name}.dxf", env!("CARGO_MANIFEST_DIR"));
    read(&std::fs::read(path).unwrap(), &Options::default()).unwrap()
}

#[test]
fn area_of_a_plate_with_a_round_hole_is_that_by_hand() {
    let hole = entity("CIRCLE", "plain", &[(10, 5.0), (20, 305.0), (40, 2.0)]);
    let drawn = read(&drawing("", &(rectangle("plain", PLATE) + &hole)), &MM).unwrap();
    assert_relative_eq!(drawn.section.area(), 100.0 - 4.0 * PI, max_relative = 1e-12);
    assert_eq!((drawn.section.cavities.len(), drawn.full), (1, false));
    assert!(drawn.section.outer.area() > 0.0 && drawn.section.cavities[0].area() < 0.0);
    // An arc of a whole turn is a circle.
    let turn = entity("ARC", "plain", &[(10, 5.0), (20, 305.0), (40, 2.0), (50, 0.0), (51, 360.0)]);
    let drawn = read(&drawing("", &(rectangle("plain", PLATE) + &turn)), &MM).unwrap();
    assert_relative_eq!(drawn.section.area(), 100.0 - 4.0 * PI, max_relative = 1e-12);
    // A full plate with a hole on the mid-plane: the hole's half becomes part of the outline.
    let hole = entity("CIRCLE", "plain", &[(10, 0.0), (20, 305.0), (40, 2.0)]);
    let full = read(&drawing("", &(rectangle("plain", [-10.0, 300.0, 10.0, 310.0]) + &hole)), &MM).unwrap();
    assert_relative_eq!(full.section.area(), 100.0 - 2.0 * PI, max_relative = 1e-12);
    assert_eq!((full.section.cavities.len(), full.full), (0, true));
}

#[test]
fn lines_arcs_and_both_polylines_make_the_same_section() {
    // A plate with half a circle of radius 5 on its outer side.
    let arc = entity("ARC", "0", &[(10, 10.0), (20, 305.0), (40, 5.0), (50, 270.0), (51, 90.0)]);
    let loose = line("0", [0.0, 300.0], [10.0, 300.0])
        + &arc
        + &line("0", [0.0, 310.0], [10.0, 310.0])
        + &line("0", [0.0, 310.0], [0.0, 300.0]);
    let corners = [[0.0, 300.0, 0.0], [10.0, 300.0, 1.0], [10.0, 310.0, 0.0], [0.0, 310.0, 0.0]];
    let light: Vec<_> = corners.iter().flat_map(|c| [(10, c[0]), (20, c[1]), (42, c[2])]).collect();
    let light = entity("LWPOLYLINE", "0", &[&[(70, 1.0)], &light[..]].concat());
    let vertex = |c: &[f64; 3]| entity("VERTEX", "0", &[(10, c[0]), (20, c[1]), (42, c[2])]);
    let old = entity("POLYLINE", "0", &[(66, 1.0), (70, 1.0)]) + &corners.iter().map(vertex).collect::<String>() + "0\nSEQEND\n";
    // From behind: x and the turning sense change their signs.
    let behind: Vec<_> = corners.iter().flat_map(|c| [(10, -c[0]), (20, c[1]), (42, -c[2])]).collect();
    let behind = entity("LWPOLYLINE", "0", &[&[(70, 1.0), (210, 0.0), (220, 0.0), (230, -1.0)], &behind[..]].concat());
    for entities in [loose, light, old, behind] {
        let section = read(&drawing("", &entities), &MM).unwrap().section;
        assert_relative_eq!(section.area(), 100.0 + 12.5 * PI, max_relative = 1e-12);
        assert_eq!(section.outer.pieces.len(), 4);
        assert_eq!(section.outer.pieces[0].start, [310.0, 0.0]);
    }
}

#[test]
fn half_and_full_give_the_same_section() {
    let (half, full) = (example("box_half"), example("box_full"));
    assert_eq!((half.full, full.full), (false, true));
    assert_eq!((half.unit, full.unit), (Unit::Millimetre, Unit::Inch));
    assert_relative_eq!(half.section.area(), full.section.area(), max_relative = 1e-9);
    assert_eq!(half.section.outer.pieces.len(), full.section.outer.pieces.len());
    for (a, b) in half.section.outer.pieces.iter().zip(&full.section.outer.pieces) {
        assert!(distance(a.start, b.start) < 1e-9 && (a.bulge - b.bulge).abs() < 1e-9, "{a:?} {b:?}");
    }
}

fn distance(a: [f64; 2], b: [f64; 2]) -> f64 {
    (a[0] - b[0]).hypot(a[1] - b[1])
}

#[test]
fn a_left_half_is_mirrored() {
    let left = read(&drawing("", &rectangle("0", [-10.0, 300.0, 0.0, 310.0])), &MM).unwrap();
    let right = read(&drawing("", &rectangle("0", PLATE)), &MM).unwrap();
    assert_eq!(left.section.outer.pieces[0].start, right.section.outer.pieces[0].start);
    assert_relative_eq!(left.section.outer.area(), 100.0, max_relative = 1e-12);
}

#[test]
fn hidden_layers_and_annotation_are_left_out_and_listed() {
    let stray = |layer: &str| line(layer, [0.0, 200.0], [1.0, 200.0]);
    let text = entity("TEXT", "plain", &[(10, 0.0), (20, 0.0), (40, 1.0)]);
    let on_paper = entity("LINE", "plain", &[(67, 1.0), (10, 0.0), (20, 0.0), (11, 1.0), (21, 1.0)]);
    let strays = stray("frozen") + &stray("off") + &stray("Construction lines") + &text + &on_paper;
    let drawn = read(&drawing("", &(strays + &rectangle("plain", PLATE))), &MM).unwrap();
    assert_relative_eq!(drawn.section.area(), 100.0, max_relative = 1e-12);
    let left_out: Vec<_> = drawn.skipped.iter().map(|s| (s.kind.as_str(), s.layer.as_str())).collect();
    assert_eq!(
        left_out,
        [("LINE", "Construction lines"), ("LINE", "frozen"), ("LINE", "off"), ("LINE", "plain"), ("TEXT", "plain")]
    );
    assert!(matches!(failure(&stray("plain")), DrawingError::Gap { .. }));
    assert_eq!(failure(&stray("off")), DrawingError::Empty);
}

#[test]
fn the_unit_is_stated_or_an_error() {
    let plate = rectangle("0", PLATE.map(|c| c / 25.4));
    let with = |code: i32| drawing(&format!("9\n$INSUNITS\n70\n{code}\n"), &plate);
    let read_in = |bytes: &[u8], unit| read(bytes, &Options { unit });
    assert_relative_eq!(read_in(&with(1), None).unwrap().section.area(), 100.0, max_relative = 1e-12);
    assert_eq!(read_in(&with(0), None).unwrap_err(), DrawingError::NoUnit);
    assert_eq!(read_in(&drawing("", &plate), None).unwrap_err(), DrawingError::NoUnit);
    assert!(DrawingError::NoUnit.to_string().contains("state the unit"));
    assert_eq!(read_in(&with(2), None).unwrap_err(), DrawingError::UnknownUnit { code: 2 });
    // A stated unit goes first; in mm the plate is too small for a rim.
    assert!(read_in(&with(2), Some(Unit::Inch)).is_ok());
    assert!(matches!(read_in(&with(1), Some(Unit::Millimetre)), Err(DrawingError::NotRadii { .. })));
    assert!(read_in(&with(5), None).is_ok() && read_in(&with(6), None).is_err());
}

#[test]
fn radii_that_are_none_are_named() {
    let about_zero = failure(&rectangle("0", [0.0, -10.0, 10.0, 10.0]));
    assert!(matches!(about_zero, DrawingError::NotRadii { place: Place([_, y]), .. } if y.abs() == 10.0), "{about_zero}");
    assert!(about_zero.to_string().contains("y must be the radius from the wheel's axis"));
}

/// A plate whose outer side is half an ellipse, of half axes 5 along y and 3 along x, seen from the front and from behind.
#[test]
fn an_ellipse_closes_a_plate() {
    let plate = |side: f64| {
        let line = |a: [f64; 2], b: [f64; 2]| line("0", a, b);
        let behind = [(210, 0.0), (220, 0.0), (230, side)];
        // From the lower end (0, -5) of the major axis counter-clockwise as seen from where its normal points.
        let [from, to] = if side > 0.0 { [0.0, PI] } else { [PI, 2.0 * PI] };
        let curve = [(10, 10.0), (20, 305.0), (11, 0.0), (21, -5.0), (40, 0.6), (41, from), (42, to)];
        line([0.0, 300.0], [10.0, 300.0])
            + &entity("ELLIPSE", "0", &[&curve[..], &behind].concat())
            + &line([10.0, 310.0], [0.0, 310.0])
            + &line([0.0, 310.0], [0.0, 300.0])
    };
    for side in [1.0, -1.0] {
        let section = read(&drawing("", &plate(side)), &MM).unwrap().section;
        assert_relative_eq!(section.area(), 100.0 + 7.5 * PI, max_relative = 1e-5);
    }
}

/// A plate whose outer side is Bezier's cubic: 3/5 of the rectangle that its control points make.
#[test]
fn a_spline_closes_a_plate() {
    let knots = [0.0, 0.0, 0.0, 0.0, 1.0, 1.0, 1.0, 1.0].map(|knot| (40, knot));
    let points = [[10.0, 300.0], [14.0, 300.0], [14.0, 310.0], [10.0, 310.0]].map(|[x, y]| [(10, x), (20, y)]).concat();
    let spline = entity("SPLINE", "0", &[&[(70, 8.0), (71, 3.0)], &knots[..], &points].concat());
    let rest =
        line("0", [0.0, 300.0], [10.0, 300.0]) + &line("0", [10.0, 310.0], [0.0, 310.0]) + &line("0", [0.0, 310.0], [0.0, 300.0]);
    let section = read(&drawing("", &(spline + &rest)), &MM).unwrap().section;
    assert_relative_eq!(section.area(), 100.0 + 24.0, max_relative = 1e-5);
}

#[test]
fn unread_curves_blocks_and_tilted_entities_are_named_with_their_place() {
    let at = [(10, 1.0), (20, 302.0)];
    // A spline by points to be passed through has no knots and no control points.
    let error = failure(&entity("SPLINE", "0", &at));
    assert_eq!(error, DrawingError::Curve { kind: "SPLINE".to_owned(), place: Place([1.0, 302.0]) });
    assert_eq!(
        error.to_string().split(':').nth(1).unwrap().trim(),
        "convert it to lines and arcs, or to a spline with control points and knots"
    );
    assert_eq!(
        failure(&entity("INSERT", "0", &at)),
        DrawingError::Entity { kind: "INSERT".to_owned(), place: Place([1.0, 302.0]) }
    );
    let spatial = entity("POLYLINE", "0", &[(10, 1.0), (20, 302.0), (70, 8.0)]);
    assert!(matches!(failure(&spatial), DrawingError::Entity { .. }));
    let tilted = entity("ARC", "0", &[(10, 1.0), (20, 302.0), (40, 1.0), (210, 1.0), (220, 0.0), (230, 0.0)]);
    assert_eq!(failure(&tilted), DrawingError::NotPlane { kind: "ARC", place: Place([1.0, 302.0]) });
    let rising = entity("LINE", "0", &[(10, 1.0), (20, 302.0), (11, 2.0), (21, 303.0), (31, 1.0)]);
    assert_eq!(failure(&rising), DrawingError::NotPlane { kind: "LINE", place: Place([1.0, 302.0]) });
}

#[test]
fn what_is_no_text_drawing_is_refused_with_its_line() {
    let binary = b"AutoCAD Binary DXF\r\n\x1a\0".as_slice();
    assert_eq!(read(binary, &MM).unwrap_err(), DrawingError::Binary { format: "DXF" });
    for bytes in [b"".as_slice(), b"hello", b"0\nLINE\n", b"\xff\xfe", b"0"] {
        assert!(matches!(read(bytes, &MM), Err(DrawingError::Syntax { .. })), "{bytes:?}");
    }
    let error = read(b"0\nSECTION\n2\nENTITIES\n0\nLINE\n10\nwide\n", &MM).unwrap_err();
    let expected = DrawingError::Syntax { format: "DXF", line: 8, expected: "a number", found: "wide".to_owned() };
    assert_eq!(error, expected);
    assert!(matches!(read(b"0\nSECTION\n2\nENTITIES\n0\nLINE\n10\nnan\n", &MM), Err(DrawingError::Syntax { line: 8, .. })));
}

#[test]
fn size_and_number_of_entities_are_limited() {
    let big = vec![b' '; MOST_BYTES + 1];
    assert_eq!(read(&big, &MM).unwrap_err(), DrawingError::TooLarge { bytes: MOST_BYTES + 1, limit: MOST_BYTES });
    let many: String = (0..20_001).map(|i| line("0", [0.0, 300.0 + f64::from(i)], [1.0, 300.0])).collect();
    assert_eq!(failure(&many), DrawingError::TooMany { what: "entities", limit: 20_000 });
    let long: Vec<_> = (0..20_002).flat_map(|i| [(10, f64::from(i)), (20, 300.0)]).collect();
    assert_eq!(failure(&entity("LWPOLYLINE", "0", &long)), DrawingError::TooMany { what: "lines and arcs", limit: 20_000 });
}
