//! A closed tube of cords at +/- an angle goes to the neutral angle under pressure.

use super::value;
use crate::error::{ValidationError, Value};
use crate::grid::{Grid, Parts};
use hoopwright_fem::assembly::System;
use hoopwright_fem::contribution::ply::{Ply, PlySegment};
use hoopwright_fem::contribution::{Contribution, LocalSystem};
use hoopwright_fem::error::SolveError;
use hoopwright_fem::material::cord::Cord;
use hoopwright_fem::material::neo_hookean::NeoHookean;
use hoopwright_fem::newton::{self, Control, Cost, Settings};
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

/// Gas pressure, MPa.
const PRESSURE: f64 = 0.2;
/// Angles from the axis at which the cords are laid, degrees; none stands for the neutral angle itself.
const LAID: [Option<f64>; 5] = [Some(50.0), Some(53.0), None, Some(57.0), Some(60.0)];

/// Stretches of the tube for each angle.
pub(super) fn neutral_angle() -> Result<Vec<Value>, ValidationError> {
    let mut values = Vec::new();
    for laid in LAID {
        let name = laid.map_or("the neutral angle".to_owned(), |degrees| format!("{degrees} deg"));
        let neutral = 2.0_f64.sqrt().atan();
        let from_axis = laid.map_or(neutral, f64::to_radians);
        let (hoop, axial, force) = inflate(from_axis)?;
        values.push(value(format!("hoop stretch, laid at {name}"), hoop));
        values.push(value(format!("axial stretch, laid at {name}"), axial));
        // Both families together are one cord per length laid; the lid pulls with p r / 2 per length of circumference.
        let pull = force * from_axis.cos() * neutral.cos() / hoop;
        values.push(value(
            format!("axial pull of the cords over the lid's, laid at {name}"),
            pull / (0.5 * PRESSURE * RADIUS * hoop),
        ));
    }
    Ok(values)
}

/// Hoop and axial stretch of a tube laid at an angle from its axis, and its cord force, N.
fn inflate(from_axis: f64) -> Result<(f64, f64, f64), ValidationError> {
    let (length, rows) = (20.0, 4);
    let tube = Grid::new(1, rows, |x, y| [RADIUS + WALL * (x - 0.5), length * y]);
    let ply = Arc::new(cords(&tube, from_axis));
    let top = tube.top();
    let end = [top[0], top[1], top[2]];
    let fixed: Vec<usize> = tube.bottom().iter().map(|n| 2 * n + 1).collect();
    let pairs = (0..2 * rows).map(|j| [2 * tube.node(1, j), 2 * tube.node(1, j + 1)]).collect();
    let parts: Parts = vec![
        tube.rubber(NeoHookean { mu: 0.5 }, 250.0)?,
        ply.clone(),
        tube.gas(&tube.left()),
        Arc::new(Lid { nodes: end }),
        Arc::new(Cylinder { pairs }),
    ];
    let mut system = System::new(2 * tube.mesh.nodes.len(), &fixed, parts)?;
    let mut state = system.rest();
    let settings = Settings { tolerance: 1e-8, max_iterations: 100, max_change: 0.2, ..Settings::default() };
    for step in 0..=24 {
        let mut load = Load { pressure: PRESSURE * 0.7_f64.powi(24 - step), ..Load::default() };
        newton::solve(&mut system, &mut state, &mut load, Control::Load, &settings, &mut Cost::default())?;
    }
    Ok((1.0 + state.u[2 * end[1]] / RADIUS, 1.0 + state.u[2 * end[1] + 1] / length, ply.cord_force(0, &state)))
}

/// Cords of 50 kN at 1 per mm along the middle of the wall.
fn cords(tube: &Grid, from_axis: f64) -> Ply {
    let segments: Vec<PlySegment> = tube.all().iter().map(|q| PlySegment { quad: *q, eta: 0.0 }).collect();
    Ply::new(&tube.turned(), &segments, Cord { stiffness: 5e4 }, |_| (0.5 * PI - from_axis, 1.0))
}
