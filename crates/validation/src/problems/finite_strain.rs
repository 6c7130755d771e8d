//! Rubber at large stretch: thick cylinder and sphere by stretch control, and a balloon past its limit point.

use super::value;
use crate::error::{ValidationError, Value};
use crate::grid::{Grid, Parts, axially, radially, solve};
use hoopwright_fem::assembly::System;
use hoopwright_fem::continuation::{Effort, Equilibrium, Path, PathSettings, Target};
use hoopwright_fem::material::Material;
use hoopwright_fem::material::mooney_rivlin::MooneyRivlin;
use hoopwright_fem::material::neo_hookean::NeoHookean;
use hoopwright_fem::newton::Settings;
use std::f64::consts::PI;

/// Bulk modulus, MPa, beside shear moduli of 1 MPa.
const KAPPA: f64 = 2e4;
/// Inner stretches.
const STRETCHES: [f64; 5] = [1.1, 1.2, 1.5, 2.0, 3.0];

/// Steps of 0.005 in stretch: a face moved much further than that turns its elements inside out before the first iteration.
fn steps(stretch: f64) -> usize {
    ((stretch - 1.0) / 0.005).ceil() as usize
}

/// Radii 1 and 2 mm, no axial stretch, pressure over the shear modulus of 1 MPa.
pub(super) fn rubber_cylinder() -> Result<Vec<Value>, ValidationError> {
    let mut values = Vec::new();
    for la in STRETCHES {
        values.push(value(format!("neo-Hooke, stretch {la}"), cylinder(NeoHookean { mu: 1.0 }, la)?));
    }
    for la in [1.5, 2.0] {
        values.push(value(format!("Mooney, stretch {la}"), cylinder(MooneyRivlin { c1: 0.4, c2: 0.1 }, la)?));
    }
    Ok(values)
}

fn cylinder(law: impl Material + 'static, la: f64) -> Result<f64, ValidationError> {
    let height = 0.2;
    let grid = Grid::new(8, 1, |x, y| [1.0 + x, height * y]);
    let inner = grid.left();
    let mut fixed = axially(&[grid.bottom(), grid.top()].concat());
    fixed.extend(inner.iter().map(|i| (2 * i, la - 1.0)));
    let (system, _) = solve(&grid, &fixed, vec![grid.rubber(law, KAPPA)?], 0.0, (steps(la), 1e-8))?;
    let reaction: f64 = inner.iter().map(|i| system.residual()[2 * i]).sum();
    Ok(reaction / (2.0 * PI * la * height))
}

/// Radii 1 and 2 mm, pressure over the shear modulus of 1 MPa.
pub(super) fn rubber_sphere() -> Result<Vec<Value>, ValidationError> {
    let mut values = Vec::new();
    for la in STRETCHES {
        values.push(value(format!("neo-Hooke, stretch {la}"), sphere(NeoHookean { mu: 1.0 }, la)?));
    }
    for la in [1.5, 2.0] {
        values.push(value(format!("Mooney, stretch {la}"), sphere(MooneyRivlin { c1: 0.4, c2: 0.1 }, la)?));
    }
    Ok(values)
}

fn sphere(law: impl Material + 'static, la: f64) -> Result<f64, ValidationError> {
    let grid = Grid::sphere(8, 12, 1.0, 2.0);
    let inner = grid.left();
    let mut fixed = [axially(&grid.bottom()[1..]), radially(&grid.top()[1..])].concat();
    for i in &inner {
        let x = grid.mesh.nodes[*i];
        fixed.extend([(2 * i, (la - 1.0) * x[0]), (2 * i + 1, (la - 1.0) * x[1])]);
    }
    let (system, _) = solve(&grid, &fixed, vec![grid.rubber(law, KAPPA)?], 0.0, (steps(la), 1e-8))?;
    // Work of the reactions on a radial displacement of 1 over the half sphere's face.
    let work: f64 = inner
        .iter()
        .map(|i| {
            let (x, r) = (grid.mesh.nodes[*i], system.residual());
            r[2 * i] * x[0] + r[2 * i + 1] * x[1]
        })
        .sum();
    Ok(work / (2.0 * PI * la * la))
}

/// Mean radius 10 mm, thickness 0.05 mm: p R / (mu t) at given stretches, and its maximum.
pub(super) fn balloon() -> Result<Vec<Value>, ValidationError> {
    let (radius, t) = (10.0, 0.05);
    let points = inflate(radius, t)?;
    let curve: Vec<(f64, f64)> = points.iter().map(|p| (1.0 + p.functional / radius, p.load.pressure * radius / t)).collect();
    let (stretch, peak) = maximum(&curve);
    let mut values = vec![value("stretch at the limit point", stretch), value("pressure at the limit point", peak)];
    for wanted in [1.1, 1.2, 1.5, 2.0] {
        let at = curve.iter().min_by(|a, b| (a.0 - wanted).abs().total_cmp(&(b.0 - wanted).abs()));
        values.push(value(format!("pressure at stretch {wanted}"), at.map_or(f64::NAN, |c| c.1)));
    }
    Ok(values)
}

fn inflate(radius: f64, t: f64) -> Result<Vec<Equilibrium>, ValidationError> {
    let grid = Grid::sphere(1, 12, radius - 0.5 * t, radius + 0.5 * t);
    let fixed: Vec<usize> = [axially(&grid.bottom()), radially(&grid.top())].concat().iter().map(|f| f.0).collect();
    let parts: Parts = vec![grid.rubber(NeoHookean { mu: 1.0 }, 1e4)?, grid.gas(&grid.left())];
    let newton = Settings { tolerance: 5e-7, ..Settings::default() };
    let mut path = Path {
        system: System::new(2 * grid.mesh.nodes.len(), &fixed, parts)?,
        contact: None,
        functional: vec![(2 * grid.node(1, 0), 1.0)],
        settings: PathSettings { newton, ..PathSettings::default() },
        effort: Effort::default(),
    };
    let mut points = vec![path.rest()];
    for k in 1..=50 {
        path.extend(&mut points, Target::Functional(0.02 * radius * f64::from(k)), &mut |_, _, _| {})?;
    }
    Ok(points)
}

/// Top of the parabola through the highest point and its neighbours.
fn maximum(curve: &[(f64, f64)]) -> (f64, f64) {
    let top = (0..curve.len()).max_by(|a, b| curve[*a].1.total_cmp(&curve[*b].1)).unwrap_or(0);
    if top == 0 || top + 1 == curve.len() {
        return curve.get(top).copied().unwrap_or((f64::NAN, f64::NAN));
    }
    let [(x0, y0), (x1, y1), (x2, y2)] = [curve[top - 1], curve[top], curve[top + 1]];
    let (d1, d2) = ((y1 - y0) / (x1 - x0), (y2 - y1) / (x2 - x1));
    let second = (d2 - d1) / (x2 - x0);
    let x = 0.5 * (x0 + x1) - 0.5 * d1 / second;
    (x, y0 + d1 * (x - x0) + second * (x - x0) * (x - x1))
}
