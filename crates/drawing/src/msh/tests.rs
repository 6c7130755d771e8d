//! Checks of the mesh reader and of the profile through the tyre side's nodes.

#![allow(clippy::unwrap_used, clippy::float_cmp)]

use super::*;
use crate::biarc;
use crate::features::chain_features;
use crate::section::Arc;
use approx::assert_relative_eq;

/// A block of the mid-plane's half: corners of a square of 2 mm, its mid-sides and its centre (tags 1 to 9), and one node apart.
const NODES: [[f64; 2]; 9] = [
    [0.0, 300.0],
    [2.0, 300.0],
    [2.0, 302.0],
    [0.0, 302.0],
    [1.0, 300.0],
    [2.0, 301.0],
    [1.0, 302.0],
    [0.0, 301.0],
    [1.1, 301.0],
];
/// Lines of groups 1 (tyre side, the top) and 2 (spokes, the bottom), order 1.
const LINES: &str = "1 1 2 1 1 4 3\n2 1 2 2 2 1 2\n";

/// A file of version 2.2 from nodes, and elements without their count.
fn old(nodes: &[[f64; 2]], elements: &str) -> Vec<u8> {
    let rows: String = nodes.iter().enumerate().map(|(i, p)| format!("{} {} {} 0\n", i + 1, p[0], p[1])).collect();
    format!(
        "$MeshFormat\n2.2 0 8\n$EndMeshFormat\n$PhysicalNames\n2\n1 1 \"tyre\"\n1 2 \"spokes\"\n$EndPhysicalNames\n\
         $Nodes\n{}\n{rows}$EndNodes\n$Elements\n{}\n{elements}$EndElements\n",
        nodes.len(),
        elements.lines().count()
    )
    .into_bytes()
}

fn block(surface: &str) -> Vec<u8> {
    old(&NODES, &format!("{LINES}{surface}"))
}

fn area(mesh: &SectionMesh) -> f64 {
    let corner = |t: &[usize; 6], i: usize| mesh.nodes[t[i]];
    let minus = crate::span::minus;
    let twice = |t: &[usize; 6]| crate::span::cross(minus(corner(t, 1), corner(t, 0)), minus(corner(t, 2), corner(t, 0)));
    mesh.triangles.iter().map(|t| 0.5 * twice(t)).sum()
}

fn example() -> SectionMesh {
    read(&std::fs::read(format!("{}/../../meshes/box.msh", env!("CARGO_MANIFEST_DIR"))).unwrap()).unwrap()
}

#[test]
fn every_element_type_becomes_triangles_with_the_same_area() {
    let surfaces = [
        "3 2 2 3 1 1 2 3\n4 2 2 3 1 1 3 4\n",
        "3 3 2 3 1 1 2 3 4\n",
        "3 3 2 3 1 4 3 2 1\n",
        "3 16 2 3 1 1 2 3 4 5 6 7 8\n",
        "3 10 2 3 1 1 2 3 4 5 6 7 8 9\n",
        "3 9 2 3 1 1 2 3 5 6 9\n4 9 2 3 1 1 3 4 9 7 8\n",
    ];
    for surface in surfaces {
        let mesh = read(&block(surface)).unwrap();
        assert_eq!(mesh.triangles.len(), 2, "{surface}");
        assert_relative_eq!(area(&mesh), 4.0, max_relative = 1e-12);
        let tyre = mesh.group(TYRE).unwrap();
        assert_eq!(tyre.len(), 1);
        // The top runs inward with material to its left in the (r, z) plane; its middle node is half way.
        let [a, b, m] = tyre[0].map(|i| mesh.nodes[i]);
        assert_eq!((a, b, m), ([302.0, 0.0], [302.0, 2.0], [302.0, 1.0]), "{surface}");
    }
}

#[test]
fn the_centre_of_a_nine_node_element_lies_on_the_cut() {
    let mesh = read(&block("3 10 2 3 1 1 2 3 4 5 6 7 8 9\n")).unwrap();
    assert!(mesh.triangles.iter().all(|t| mesh.nodes[t[5]] == [301.0, 1.1] || mesh.nodes[t[3]] == [301.0, 1.1]));
    // The cut is the shorter diagonal.
    let mut skew = NODES;
    skew[0] = [0.0, 299.0];
    let mesh = read(&old(&skew, &format!("{LINES}3 3 2 3 1 1 2 3 4\n"))).unwrap();
    let ends = [[300.0, 2.0], [302.0, 0.0]];
    assert!(mesh.triangles.iter().all(|t| ends.iter().all(|e| t[..3].iter().any(|i| mesh.nodes[*i] == *e))));
}

#[test]
fn a_left_half_is_mirrored_and_an_element_listed_twice_counts_once() {
    let left: Vec<_> = NODES.iter().map(|p| [-p[0], p[1]]).collect();
    let mesh = read(&old(&left, &format!("{LINES}3 3 2 3 1 1 2 3 4\n4 3 2 4 1 1 2 3 4\n"))).unwrap();
    assert_relative_eq!(area(&mesh), 4.0, max_relative = 1e-12);
    assert!(mesh.nodes.iter().all(|n| n[1] >= 0.0 && n[1].is_sign_positive()));
}

#[test]
fn the_meshed_box_has_the_area_of_the_drawn_one() {
    let bytes = std::fs::read(format!("{}/../../meshes/box_half.dxf", env!("CARGO_MANIFEST_DIR"))).unwrap();
    let drawn = crate::dxf::read(&bytes, &crate::dxf::Options::default()).unwrap().section.area();
    // Straight triangles cut off the outer fillets' segments and fill the inner ones'.
    assert_relative_eq!(area(&example()), drawn, max_relative = 2e-3);
}

#[test]
fn the_profile_of_the_meshed_box_has_the_numbers_it_was_drawn_from() {
    let (pieces, end) = profile(&example()).unwrap();
    let f = chain_features(&pieces, end).unwrap();
    assert_eq!((pieces.len(), f.rounded), (15, 0));
    let pairs = [
        (f.seat_diameter, 621.95),
        (f.inner_width, 21.0),
        (f.seat_width, 4.0),
        (f.seat_angle, 2.0_f64.to_radians()),
        (f.flange_height, 5.5),
        (f.wall_thickness, 2.0),
        (f.crest_radius, 0.8),
        (f.corner_radius, 0.6),
        (f.hump_height, 0.3),
        (f.hump_width, 1.2),
        (f.well_depth, 3.0),
        (f.well_width, 8.0),
    ];
    for (found, drawn) in pairs {
        assert_relative_eq!(found, drawn, epsilon = 1e-8);
    }
}

#[test]
fn biarcs_go_through_points_of_a_circle_and_keep_their_direction_elsewhere() {
    let point = |i: u32| [300.0 + 5.0 * (0.2 * f64::from(i)).cos(), 5.0 * (0.2 * f64::from(i)).sin()];
    let points: Vec<_> = (0..8).map(point).collect();
    let spans = biarc::through(&points);
    assert_eq!(spans.len(), 1);
    let arc = Arc::new(spans[0].a, spans[0].b, spans[0].bulge);
    assert_relative_eq!(arc.radius, 5.0, max_relative = 1e-9);
    assert_relative_eq!(arc.sweep, 1.4, max_relative = 1e-9);
    // A wave: arcs of both senses that meet without a kink and pass through every point.
    let wave: Vec<_> = (0..12).map(|i| [300.0 + (0.7 * f64::from(i)).sin(), f64::from(i)]).collect();
    let spans = biarc::through(&wave);
    for pair in spans.windows(2) {
        assert!(crate::span::turn(pair[0].direction(1.0), pair[1].direction(0.0)).abs() < 2e-3, "{pair:?}");
    }
    assert!(wave.iter().all(|p| spans.iter().any(|s| s.distance(*p) < 2e-3)));
}

#[test]
fn nodes_in_a_row_are_lines_and_their_corners_stay() {
    let points = [[300.0, 0.0], [300.0, 1.0], [300.0, 2.0], [301.0, 2.0], [302.0, 2.0]];
    let spans = biarc::through(&points);
    assert_eq!(
        spans.iter().map(|s| (s.a, s.b, s.bulge)).collect::<Vec<_>>(),
        [([300.0, 0.0], [300.0, 2.0], 0.0), ([300.0, 2.0], [302.0, 2.0], 0.0)]
    );
}

#[test]
fn files_that_are_no_text_meshes_are_refused_with_their_line() {
    assert!(matches!(read(b"hello"), Err(DrawingError::Syntax { line: 1, .. })));
    assert_eq!(read(b"$MeshFormat\n4.1 1 8\n"), Err(DrawingError::Binary { format: "MSH" }));
    assert_eq!(read(b"$MeshFormat\n3.0 0 8\n"), Err(DrawingError::MeshVersion { found: "3.0 0 8".to_owned() }));
    let text = String::from_utf8(block("3 3 2 3 1 1 2 3 4\n")).unwrap();
    let broken = text.replace("3 2 302 0", "3 2 high 0");
    let expected = DrawingError::Syntax {
        format: "MSH",
        line: 13,
        expected: "a node: tag and three coordinates",
        found: "3 2 high 0".to_owned(),
    };
    assert_eq!(read(broken.as_bytes()), Err(expected));
    assert!(matches!(read(&text.as_bytes()[..text.len() - 20]), Err(DrawingError::Syntax { .. })));
    assert_eq!(read(&vec![b' '; MOST_BYTES + 1]), Err(DrawingError::TooLarge { bytes: MOST_BYTES + 1, limit: MOST_BYTES }));
    assert_eq!(read(b"$MeshFormat\n2.2 0 8\n$EndMeshFormat\n"), Err(DrawingError::Empty));
}

#[test]
fn elements_that_cannot_be_read_are_refused_with_their_line() {
    // Nodes are lines 11 to 19 of the file, boundary lines 23 and 24, surface elements from 25 on.
    let failure = |surface: &str| read(&block(surface)).unwrap_err();
    assert_eq!(failure("3 4 2 3 1 1 2 3 4\n3 3 2 3 1 1 2 3 4\n"), DrawingError::ElementType { line: 25, kind: 4 });
    assert_eq!(failure("3 3 2 3 1 1 2 3 77\n"), DrawingError::NoNode { line: 25, node: 77 });
    assert!(matches!(failure("3 3 2 3 1 1 2 3\n"), DrawingError::Syntax { line: 25, .. }));
    assert!(matches!(failure("3 3 9 3 1 1 2 3\n"), DrawingError::Syntax { line: 25, .. }));
    assert_eq!(failure("3 2 2 3 1 1 5 2\n"), DrawingError::Folded { line: 25, place: Place([0.0, 300.0]) });
    // The top's line is no side of the lower triangle.
    assert_eq!(failure("3 2 2 3 1 1 2 3\n"), DrawingError::NoSide { line: 23, place: Place([0.0, 302.0]) });
    // Nor is the cut between two triangles, nor a line with another middle node than the element's.
    let two = "2 2 2 3 1 1 2 3\n3 2 2 3 1 1 3 4\n";
    let cut = read(&old(&NODES, &format!("1 1 2 1 1 1 3\n{two}"))).unwrap_err();
    assert_eq!(cut, DrawingError::NoSide { line: 23, place: Place([0.0, 300.0]) });
    let other = read(&old(&NODES, "1 8 2 1 1 4 3 9\n3 10 2 3 1 1 2 3 4 5 6 7 8 9\n")).unwrap_err();
    assert_eq!(other, DrawingError::NoSide { line: 23, place: Place([0.0, 302.0]) });
    // A middle node pulled over: the map folds.
    let mut folded = NODES;
    folded[4] = [2.1, 300.0];
    let surface = format!("{LINES}3 16 2 3 1 1 2 3 4 5 6 7 8\n");
    assert!(matches!(read(&old(&folded, &surface)), Err(DrawingError::Folded { line: 25, .. })));
}

#[test]
fn full_apart_and_spatial_meshes_are_refused_with_their_place() {
    let moved = |x: f64| NODES.map(|p| [p[0] + x, p[1]]);
    let failure = |nodes: &[[f64; 2]]| read(&old(nodes, &format!("{LINES}3 3 2 3 1 1 2 3 4\n"))).unwrap_err();
    let full = failure(&moved(-0.5));
    assert!(matches!(full, DrawingError::FullMesh { place: Place([-0.5, _]) }), "{full}");
    assert!(full.to_string().contains("give half of it"));
    assert!(matches!(failure(&moved(0.5)), DrawingError::NoMidPlane { place: Place([0.5, _]) }));
    assert!(matches!(failure(&NODES.map(|p| [p[0], p[1] / 10.0])), DrawingError::NotRadii { .. }));
    let text = String::from_utf8(block("3 3 2 3 1 1 2 3 4\n")).unwrap().replace("3 2 302 0", "3 2 302 1");
    assert_eq!(read(text.as_bytes()), Err(DrawingError::NotPlane { kind: "a node", place: Place([2.0, 302.0]) }));
}

#[test]
fn groups_must_have_their_names_and_form_a_chain() {
    let text = String::from_utf8(block("3 3 2 3 1 1 2 3 4\n")).unwrap();
    let renamed = text.replace("\"spokes\"", "\"nipples\"");
    let expected = DrawingError::NoGroup { name: SPOKES, found: "\"tyre\", \"nipples\"".to_owned() };
    assert_eq!(read(renamed.as_bytes()), Err(expected));
    // The outer side alone does not begin at the mid-plane; top and bottom are two chains.
    for lines in ["1 1 2 1 1 2 3\n2 1 2 2 2 1 2\n", "1 1 2 1 1 4 3\n1 1 2 1 1 1 2\n2 1 2 2 2 1 2\n"] {
        let mesh = read(&old(&NODES, &format!("{lines}3 3 2 3 1 1 2 3 4\n"))).unwrap();
        assert!(matches!(profile(&mesh), Err(DrawingError::NoChain { name: TYRE, .. })), "{lines}");
    }
}

/// A square of as many squares a side.
fn fine(n: usize) -> Vec<u8> {
    let node = |k: usize| [2.0 * (k % (n + 1)) as f64 / n as f64, 300.0 + 2.0 * (k / (n + 1)) as f64 / n as f64];
    let nodes: Vec<[f64; 2]> = (0..(n + 1) * (n + 1)).map(node).collect();
    let square = |k: usize| {
        let first = k / n * (n + 1) + k % n + 1;
        format!("{} 3 2 3 1 {} {} {} {}\n", k + 3, first, first + 1, first + n + 2, first + n + 1)
    };
    let top = n * (n + 1) + 1;
    let lines = format!("1 1 2 1 1 {} {top}\n2 1 2 2 2 1 2\n", top + 1);
    old(&nodes, &(lines + &(0..n * n).map(square).collect::<String>()))
}

#[test]
fn a_mesh_that_would_take_too_long_is_refused() {
    assert_eq!(read(&fine(3)).unwrap().triangles.len(), 18);
    let error = read(&fine(142)).unwrap_err();
    assert_eq!(error, DrawingError::TooFine { limit: MOST_TRIANGLES });
    assert_eq!(error.to_string(), "more than 40000 triangles: mesh the section more coarsely");
    let names: String = (1..=MOST_NAMES + 1).map(|k| format!("1 {k} \"group {k}\"\n")).collect();
    let text = String::from_utf8(block("3 3 2 3 1 1 2 3 4\n")).unwrap();
    let many = text.replace("2\n1 1 \"tyre\"\n1 2 \"spokes\"\n", &format!("{}\n{names}", MOST_NAMES + 1));
    assert_eq!(read(many.as_bytes()), Err(DrawingError::TooMany { what: "named groups", limit: MOST_NAMES }));
}
