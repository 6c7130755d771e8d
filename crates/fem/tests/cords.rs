//! A closed tube of cords at +/- an angle: which way it goes under pressure.
//!
//! With b the cord angle from the axis, cords that keep their length turn to b' as hoop and axial stretch obey lt sin b = sin b' and
//! lz cos b = cos b'. A closed thin tube asks for twice as much force round as along, which cords alone give at tan^2 b' = 2, the neutral
//! angle of 54.74 degrees. So a tube laid at b goes to lt = sin b' / sin b, lz = cos b' / cos b, and one laid at the neutral angle stays.
//! Source: A. C. Pipkin, "Stress analysis for fiber-reinforced materials", Adv. Appl. Mech. 19 (1979) 1 (from memory); derived here.
#![allow(clippy::unwrap_used, clippy::print_stdout)]

mod common;

use approx::assert_relative_eq;
use common::{Grid, edges, settings};
use hoopwright_fem::assembly::System;
use hoopwright_fem::contribution::mixed::Mixed;
use hoopwright_fem::contribution::ply::{Ply, PlySegment};
use hoopwright_fem::contribution::pressure::{Pressure, PressureEdge};
use hoopwright_fem::contribution::{Contribution, LocalSystem};
use hoopwright_fem::error::SolveError;
use hoopwright_fem::material::cord::Cord;
use hoopwright_fem::material::neo_hookean::NeoHookean;
use hoopwright_fem::newton::{self, Control, Cost};
use hoopwright_fem::state::{Load, State};
use std::f64::consts::PI;
use std::sync::Arc;

const RADIUS: f64 = 50.0;
/// So thin that the rubber, stiff enough not to be squeezed out by the gas, takes a thousandth of the load.
const WALL: f64 = 0.02;

/// The gas on the lid of the tube: p pi r^2 on the end's three nodes.
struct Lid {
    nodes: [usize; 3],
}

impl Contribution for Lid {
    fn name(&self) -> &'static str {
        "lid"
    }

    fn n_items(&self) -> usize {
        1
    }

    fn dofs(&self, _item: usize, out: &mut Vec<usize>) {
        out.extend(self.nodes.map(|n| 2 * n + 1));
        out.push(2 * self.nodes[0]);
    }

    fn evaluate(&self, _: usize, state: &State, _: &[f64], load: &Load, out: &mut LocalSystem) -> Result<(), SolveError> {
        // The inner radius is the gas's.
        let r = RADIUS - 0.5 * WALL + state.u[2 * self.nodes[0]];
        for (i, share) in [1.0 / 6.0, 4.0 / 6.0, 1.0 / 6.0].into_iter().enumerate() {
            out.residual[i] = -share * load.pressure * PI * r * r;
            out.by_pressure[i] = -share * PI * r * r;
            out.add(i, 3, -share * load.pressure * 2.0 * PI * r);
        }
        Ok(())
    }
}

/// Stiff springs that keep the tube a cylinder: a net under pressure has other shapes of revolution as well. They carry nothing in the
/// closed form's state.
struct Cylinder {
    /// Radial unknowns of neighbouring stations.
    pairs: Vec<[usize; 2]>,
}

impl Contribution for Cylinder {
    fn name(&self) -> &'static str {
        "cylinder"
    }

    fn n_items(&self) -> usize {
        self.pairs.len()
    }

    fn dofs(&self, item: usize, out: &mut Vec<usize>) {
        out.extend(self.pairs[item]);
    }

    fn evaluate(&self, item: usize, state: &State, _: &[f64], _: &Load, out: &mut LocalSystem) -> Result<(), SolveError> {
        let [a, b] = self.pairs[item];
        let stiffness = 1e5;
        let force = stiffness * (state.u[b] - state.u[a]);
        for (i, sign) in [-1.0, 1.0].into_iter().enumerate() {
            out.residual[i] = sign * force;
            out.add(i, i, stiffness);
            out.add(i, 1 - i, -stiffness);
        }
        Ok(())
    }
}

/// Hoop and axial stretch of a tube laid at an angle from its axis, and its cord force, N, under the pressure given.
fn inflate(from_axis: f64, pressure: f64) -> (f64, f64, f64) {
    let length = 20.0;
    let tube = Grid::new(1, 4, |x, y| [RADIUS + WALL * (x - 0.5), length * y]);
    let rubber = Arc::new(Mixed::new(&tube.mesh, &tube.all_quads(), Box::new(NeoHookean { mu: 0.5 }), 250.0).unwrap());
    // A ply line runs along xi of its elements: number those so that xi is axial.
    let turned = [3, 0, 1, 2, 7, 4, 5, 6, 8];
    let mut along = tube.mesh.clone();
    for quad in &mut along.quads {
        *quad = turned.map(|i| quad[i]);
    }
    let segments: Vec<PlySegment> = tube.all_quads().iter().map(|q| PlySegment { quad: *q, eta: 0.0 }).collect();
    let ply = Arc::new(Ply::new(&along, &segments, Cord { stiffness: 5e4 }, |_| (0.5 * PI - from_axis, 1.0)));
    let inside = edges(&tube.left()).into_iter().map(|nodes| PressureEdge { nodes, contact: None }).collect();
    let gas = Arc::new(Pressure::new(&tube.mesh, inside, None));
    let end: [usize; 3] = tube.top().try_into().unwrap();
    let fixed: Vec<usize> = tube.bottom().iter().map(|n| 2 * n + 1).collect();
    let pairs = (0..8).map(|j| [2 * tube.node(1, j), 2 * tube.node(1, j + 1)]).collect();
    let contributions: Vec<Arc<dyn Contribution>> =
        vec![rubber, ply.clone(), gas, Arc::new(Lid { nodes: end }), Arc::new(Cylinder { pairs })];
    let mut system = System::new(2 * tube.mesh.nodes.len(), &fixed, contributions).unwrap();
    let mut state = system.rest();
    let settings = newton::Settings { max_iterations: 100, max_change: 0.2, ..settings(1e-8) };
    for step in 0..=24 {
        let mut load = Load { pressure: pressure * 0.7_f64.powi(24 - step), ..Load::default() };
        newton::solve(&mut system, &mut state, &mut load, Control::Load, &settings, &mut Cost::default()).unwrap();
    }
    let middle = end[1];
    (1.0 + state.u[2 * middle] / RADIUS, 1.0 + state.u[2 * middle + 1] / length, ply.cord_force(0, &state))
}

#[test]
fn a_closed_tube_goes_to_the_neutral_angle() {
    let neutral = 2.0_f64.sqrt().atan();
    for degrees in [50.0_f64, 53.0, neutral.to_degrees(), 57.0, 60.0] {
        let laid = degrees.to_radians();
        let (hoop, axial, force) = inflate(laid, 0.2);
        println!("{degrees:.2} deg: hoop {hoop:.5}, axial {axial:.5}, cord {force:.4} N");
        assert_relative_eq!(hoop, neutral.sin() / laid.sin(), max_relative = 1e-3);
        assert_relative_eq!(axial, neutral.cos() / laid.cos(), max_relative = 1e-3);
        // Along the axis the lid pulls with p r / 2 per length of circumference; both families together are one cord per length laid.
        let along = force * laid.cos() * neutral.cos() / hoop;
        assert_relative_eq!(along, 0.5 * 0.2 * RADIUS * hoop, max_relative = 2e-2);
    }
}

#[test]
fn a_tube_at_the_neutral_angle_keeps_its_length_to_first_order() {
    let neutral = 2.0_f64.sqrt().atan();
    let axial = |laid: f64| inflate(laid, 0.2).1 - 1.0;
    let change = axial(neutral);
    // A degree to either side moves it ten times as much, in opposite senses.
    let (less, more) = (axial(neutral - 0.0175), axial(neutral + 0.0175));
    println!("{less:.5} {change:.6} {more:.5}");
    assert!(change.abs() < 5e-4 && less < -0.015 && more > 0.015);
}
