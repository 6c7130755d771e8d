//! Random rim sections, drawn, written as DXF text and read back: air and bead load all of the tyre side, the modes that carry the
//! tyre answer as the section does, and a section given by measures answers as its drawing.
//!
//! Closed form of the air's load: the cut of the whole rim through its axle carries the pressure times the area int r dz of the drawn
//! tyre side from the mid-plane to where the air ends (statics). Sections are invented and drawn evenly from the ranges of [`section`].
#![allow(clippy::unwrap_used, clippy::panic, clippy::print_stdout)]

mod common;

use common::{Draw, Vertex, dxf, filleted};
use hoopwright_case::geometry::section::draw;
use hoopwright_case::{self as case, Attached, Case};
use hoopwright_solver::assess::{Paths, assess};
use hoopwright_solver::rim::RimModel;
use hoopwright_solver::rim::agreement::{Answer, difference};
use std::f64::consts::PI;

/// Sections of each family.
const EACH: u64 = 25;

/// A drawn half section.
struct Drawn {
    outline: Vec<Vertex>,
    whole: bool,
    /// mm.
    seat_diameter: f64,
}

/// A section with a bed that is flat, shallow or deep, with hump or without, a cavity or none; corners sharp or round.
fn section(draw: &mut Draw) -> Drawn {
    let round = if draw.chance(0.4) { 1.0 } else { 0.0 };
    let (middle, wall, seat_width) = (draw.between(200.0, 311.0), draw.between(9.0, 15.0), draw.between(3.8, 4.6));
    let slope = if draw.chance(0.2) { 0.0 } else { draw.between(0.5_f64, 4.0).to_radians().tan() };
    let seat = |z: f64| middle + slope * (z - wall + 0.5 * seat_width);
    let foot = wall - seat_width;
    let (flange, thickness) = (draw.between(5.0, 7.5), draw.between(1.8, 2.8));
    let depth = match draw.between(0.0, 3.0) as u8 {
        0 => 0.0,
        1 => draw.between(0.4, 1.0),
        _ => draw.between(2.5, 4.5),
    };
    let half_well = draw.between(2.0, 3.0);
    let bed = draw.between(1.5, 2.2);
    // Tyre side, from the mid-plane.
    let mut corners = vec![[seat(foot) - depth, 0.0, 0.0]];
    if depth > 0.0 {
        corners.push([seat(foot) - depth, half_well, round]);
    }
    if draw.chance(0.5) {
        let (height, inner) = (draw.between(0.15, 0.45), foot - draw.between(1.2, 1.6));
        let width = foot - inner;
        if depth == 0.0 {
            corners.push([seat(foot), inner, 0.4 * round]);
        }
        corners.push([seat(foot) + height, inner + 0.35 * width, 0.4 * round]);
        corners.push([seat(foot) + height, foot - 0.35 * width, 0.4 * round]);
        corners.push([seat(foot), foot, 0.4 * round]);
    } else if depth > 0.0 {
        corners.push([seat(foot), foot, 0.8 * round]);
    } else if slope > 0.0 {
        corners.push([seat(foot), foot, 0.0]);
    }
    let crest = seat(wall) + flange;
    let outside = wall + thickness;
    corners.push([seat(wall), wall, if draw.chance(0.5) { draw.between(0.3, 0.8) } else { 0.0 }]);
    let crest_radius = if draw.chance(0.7) { draw.between(0.3, 0.8) } else { 0.0 };
    corners.extend([[crest, wall, crest_radius], [crest, outside, crest_radius]]);
    // Other side, to the mid-plane: parallel to the bed.
    let under = [seat(foot) - bed, seat(foot) - depth - bed];
    let well_side = half_well.max(foot - 3.0 - bed);
    let underside = |corners: &mut Vec<[f64; 3]>| {
        if depth > 0.0 {
            corners.extend([[under[0], foot, round], [under[1], well_side.min(foot - 0.5), round]]);
        }
        corners.push([under[1], 0.0, 0.0]);
    };
    if draw.chance(0.3) {
        corners.push([under[0], outside, 0.0]);
        underside(&mut corners);
    } else {
        let bottom = under[1] - draw.between(6.0, 20.0);
        corners.extend([[under[0], outside, 2.0 * round], [bottom, 5.0, 2.0 * round], [bottom - 0.5, 0.0, 0.0]]);
        let mut cavity = Vec::new();
        underside(&mut cavity);
        cavity.insert(0, [under[0], outside - 1.8, round]);
        cavity.push([bottom + 1.8, 0.0, 0.0]);
        cavity.push([bottom + 2.0, 3.5, round]);
        // As seen from inside, from the spoke bed up.
        cavity.rotate_right(2);
        corners.extend(cavity);
    }
    Drawn { outline: filleted(&corners), whole: draw.chance(0.5), seat_diameter: 2.0 * middle }
}

/// A case on a section by its text and DXF text.
fn on_drawing(seat_diameter: f64, dxf: String) -> Case {
    let text = format!("[section]\nshape = \"drawing\"\ndrawing = \"rim.dxf\"\n{}", rest(seat_diameter));
    let attached = Attached::from([("rim.dxf".to_owned(), Ok(dxf.into_bytes()))]);
    case::read_with(&text, attached).unwrap_or_else(|e| panic!("{e:?}\n{text}")).0
}

fn rest(seat_diameter: f64) -> String {
    format!(
        "[spokes]\ncount = 28\nstiffness = \"522 kN\"\nlength = \"{:.0} mm\"\npretension = \"1000 N\"\n[bead]\nwidth = \"3.3 mm\"\ndiameter = \"{:.2} mm\"\n\
         stiffness = \"300 kN\"\n[casing]\nbead_to_bead = \"110 mm\"\nplies = 1\nply_stiffness = \"145 N/mm\"\n[pressure]\nrated = \"3 bar\"\n",
        0.5 * seat_diameter - 40.0,
        seat_diameter - 1.0
    )
}

/// A box rim by its measures.
fn by_measures(draw: &mut Draw) -> String {
    let seat = draw.between(400.0, 622.0).round();
    format!(
        "[rim]\nseat_diameter = \"{seat} mm\"\ninner_width = \"{:.1} mm\"\nseat_angle = \"{:.2} deg\"\nflange_height = \"{:.2} mm\"\n\
         hump_height = \"{:.2} mm\"\nwell_depth = \"{:.2} mm\"\nwell_width = \"{:.2} mm\"\ncrest_radius = \"{:.2} mm\"\n\
         corner_radius = \"{:.2} mm\"\n[section]\nshape = \"{}\"\n{}",
        draw.between(19.0, 28.0),
        draw.between(0.0, 4.0),
        draw.between(5.0, 7.0),
        if draw.chance(0.5) { 0.0 } else { draw.between(0.1, 0.4) },
        draw.between(1.0, 4.0),
        draw.between(5.0, 7.0),
        draw.between(0.4, 0.9),
        draw.between(0.3, 0.8),
        if draw.chance(0.7) { "box\"\ndepth = \"20 mm" } else { "single wall" },
        rest(seat)
    )
}

/// What a rim does under air and under a bead; by its section and by the modes.
struct Answers {
    section: [Answer; 2],
    /// Largest difference of the modes' answers.
    modes: f64,
    /// Cut through the axle over the closed form, less one; of the air alone.
    cut: f64,
}

fn answers(case: &Case, outline: &[Vertex]) -> Answers {
    let rim = RimModel::new(case).unwrap_or_else(|e| panic!("{e}\n{outline:?}"));
    let body = rim.body.as_ref().unwrap();
    let (forces, end) = rim.trial_loads();
    let solved = body.respond(&[(&[], 1.0, end), (&forces, 0.0, 0.0)]).unwrap();
    let section = [0, 1].map(|i| rim.section_answer(body, &solved[i]));
    let spokes = 0.5 * case.spokes.radial_stiffness() * section[0].spoke_bed / (2.0 * PI);
    let closed = -area_under(outline, rim.profile.point(end)[1]);
    let cut = (section[0].hoop + spokes) / closed - 1.0;
    Answers { section, modes: rim.agrees(0.5 * case.spokes.radial_stiffness()).unwrap(), cut }
}

/// int r dz, mm^2, of a drawn tyre side from its first vertex to an axial position on one of its lines.
fn area_under(outline: &[Vertex], end: f64) -> f64 {
    let mut area = 0.0;
    for pair in outline.windows(2) {
        let [(a, bulge), (b, _)] = [pair[0], pair[1]];
        let share = if b[1] > end { (end - a[1]) / (b[1] - a[1]) } else { 1.0 };
        let r = a[0] + share * (b[0] - a[0]);
        area += 0.5 * (a[0] + r) * share * (b[1] - a[1]);
        if bulge != 0.0 {
            let sweep = 4.0 * bulge.atan();
            let radius = 0.5 * (b[0] - a[0]).hypot(b[1] - a[1]) / (0.5 * sweep).sin().abs();
            area += 0.5 * radius * radius * (sweep - sweep.sin());
        }
        if share < 1.0 {
            break;
        }
    }
    area
}

#[test]
fn air_and_bead_load_all_of_a_drawn_tyre_side() {
    let (mut cut, mut modes) = (0.0_f64, 0.0_f64);
    for number in 0..EACH {
        let drawn = section(&mut Draw(7000 + number));
        let case = on_drawing(drawn.seat_diameter, dxf(&drawn.outline, drawn.whole));
        let found = answers(&case, &drawn.outline);
        println!("{number}: cut {:.1e}, modes {:.1e}, {:?}", found.cut, found.modes, found.section);
        (cut, modes) = (cut.max(found.cut.abs()), modes.max(found.modes));
    }
    assert!(cut < 1e-7 && modes < 5e-3, "cut {cut:.1e}, modes {modes:.1e}");
}

#[test]
fn a_section_by_measures_answers_as_its_drawing() {
    let (mut cut, mut modes, mut twins) = (0.0_f64, 0.0_f64, 0.0_f64);
    for number in 0..EACH {
        let mut numbers = Draw(8000 + number);
        let text = by_measures(&mut numbers);
        let measured = case::read(&text).unwrap_or_else(|e| panic!("{number}: {e:?}\n{text}")).0;
        let outer = draw(&measured.rim, measured.section.as_ref().unwrap()).unwrap().outer;
        let outline: Vec<Vertex> = outer.pieces.iter().map(|p| (p.start, p.bulge)).collect();
        let drawn = on_drawing(measured.rim.seat_diameter, dxf(&outline, numbers.chance(0.5)));
        let [by_drawing, by_measures] = [&drawn, &measured].map(|case| answers(case, &outline));
        let ([air, bead], twin) = (&by_drawing.section, &by_measures.section);
        let apart = difference(air, &twin[0], air, bead).max(difference(bead, &twin[1], air, bead));
        println!("{number}: cut {:.1e}, modes {:.1e}, twins {apart:.1e}", by_drawing.cut, by_drawing.modes);
        cut = cut.max(by_drawing.cut.abs()).max(by_measures.cut.abs());
        (modes, twins) = (modes.max(by_drawing.modes).max(by_measures.modes), twins.max(apart));
    }
    assert!(cut < 1e-7 && modes < 5e-3 && twins < 1e-6, "cut {cut:.1e}, modes {modes:.1e}, twins {twins:.1e}");
}

/// The stored drawings of one rim in mm and in inches and its mesh. The stiffest modes tell of the mesh, the softest of the section.
#[test]
fn a_drawing_in_mm_one_in_inches_and_a_mesh_have_the_same_soft_modes() {
    let modes = |file: &str| {
        let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../meshes").join(file);
        let starter = case::starter().replace("\n#shape = \"box\"", &format!("\nshape = \"drawing\"\ndrawing = \"{file}\""));
        let (head, tail) = starter.split_once("[rim]").unwrap();
        let text = format!("{head}{}", &tail[tail.find("[section]").unwrap()..]);
        let attached: Attached = [(file.to_owned(), Ok(std::fs::read(path).unwrap()))].into();
        RimModel::new(&case::read_with(&text, attached).unwrap().0).unwrap().modes
    };
    let half = modes("box_half.dxf");
    for file in ["box_full.dxf", "box.msh"] {
        for (a, b) in half.iter().zip(modes(file)).take(4) {
            assert!((b.stiffness / a.stiffness - 1.0).abs() < 0.02, "{file}: {} {}", a.stiffness, b.stiffness);
        }
    }
}

/// One number for one thing: the section's own table and the table of states. A difference of 1 % is refused.
#[test]
fn a_whole_run_on_a_drawn_rim_has_one_answer() {
    for number in [1, 4] {
        let drawn = section(&mut Draw(7000 + number));
        let case = on_drawing(drawn.seat_diameter, dxf(&drawn.outline, drawn.whole));
        // Without friction one path is both.
        let case = Case { friction: 0.0, ..case };
        let run = assess(&case, Vec::new(), Paths::InTurn, &mut |_| ()).unwrap();
        let states = &run.rim_section.as_ref().unwrap().states;
        assert!(states.len() >= 2);
        for (moment, state) in states {
            let point = run.given.at(*moment).unwrap();
            let p = &state.both;
            for (of_state, of_rim, scale) in [
                (point.rim_hoop_force, p.hoop_force, state.air.hoop_force.abs() + state.bead.hoop_force.abs()),
                (point.spoke_loss, p.spoke_loss, state.air.spoke_loss.abs() + state.bead.spoke_loss.abs()),
                (point.rim_displacement, p.seat_displacement, 0.01),
                (point.flange_spread, p.flange_spread, 0.01),
            ] {
                assert!((of_state - of_rim).abs() < 1e-6 * scale, "{number} {moment:?}: {of_state} {of_rim}");
            }
            println!("{number} {moment:?}: {:.1e}, balance {:.1e}", state.difference, state.balance);
            assert!(state.difference < 5e-3 && state.balance.abs() < 1e-7, "{number} {moment:?}");
            assert!(p.root.von_mises > 0.0 && p.corner.von_mises > 0.0, "{number} {moment:?}");
        }
    }
}
