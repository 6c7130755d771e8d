//! A rubber balloon past its limit point: pressure as an unknown, driven by a displacement.
#![allow(clippy::unwrap_used)]

mod common;

use approx::assert_relative_eq;
use common::{Grid, edges, settings};
use hoopwright_fem::assembly::System;
use hoopwright_fem::continuation::{Effort, Path, PathSettings, Target};
use hoopwright_fem::contribution::Contribution;
use hoopwright_fem::contribution::mixed::Mixed;
use hoopwright_fem::contribution::pressure::Pressure;
use hoopwright_fem::material::neo_hookean::NeoHookean;
use std::sync::Arc;

/// Thin neo-Hookean sphere: p = 2 mu (t / R) (1 / l - 1 / l^7), largest at l = 7^(1/6) where p R / (mu t) = 1.2394629.
/// Source: Rivlin (1952) by way of textbooks, from memory; derived here.
#[test]
fn limit_point_of_a_thin_balloon() {
    let (radius, thickness, mu) = (10.0, 0.02, 1.0);
    let half_pi = std::f64::consts::FRAC_PI_2;
    let grid = Grid::new(1, 12, |x, y| {
        let r = radius + thickness * (x - 0.5);
        [r * (half_pi * y).cos(), r * (half_pi * y).sin()]
    });
    let mut fixed: Vec<usize> = grid.bottom().into_iter().map(|i| 2 * i + 1).collect();
    fixed.extend(grid.top().into_iter().map(|i| 2 * i));
    let rubber = Mixed::new(&grid.mesh, &grid.all_quads(), Box::new(NeoHookean { mu }), 1e4).unwrap();
    let contributions: Vec<Arc<dyn Contribution>> =
        vec![Arc::new(rubber), Arc::new(Pressure::new(&grid.mesh, edges(&grid.left())))];
    let system = System::new(2 * grid.mesh.nodes.len(), &fixed, contributions).unwrap();
    // Functional: radial displacement of the equator's middle.
    let functional = vec![(2 * grid.node(1, 0), 1.0)];
    // Displacements of 5 mm are stored to within 4e-16 mm, which the bulk modulus over the thickness turns into 2e-10 MPa, a 10^-7th of the
    // air's pressure: whether a residual falls below that is chance.
    let tolerance = 1e-6;
    let mut path = Path {
        system,
        contact: None,
        functional,
        settings: PathSettings { newton: settings(tolerance), ..PathSettings::default() },
        effort: Effort::default(),
    };
    let mut points = vec![path.rest()];
    for k in 1..=60 {
        let target = Target::Functional(radius * 0.01 * f64::from(k));
        path.extend(&mut points, target, &mut |_, _, _| {}).unwrap();
    }
    let peak = points.iter().max_by(|a, b| a.load.pressure.total_cmp(&b.load.pressure)).unwrap();
    let stretch = 7.0_f64.powf(1.0 / 6.0);
    assert_relative_eq!(1.0 + peak.functional / radius, stretch, max_relative = 6e-3);
    assert_relative_eq!(peak.load.pressure * radius / (mu * thickness), 1.239_462_9, max_relative = 2e-3);
    // The path goes on beyond the maximum and falls.
    let last = points.last().unwrap();
    let l = 1.0 + last.functional / radius;
    assert!(last.load.pressure < 0.99 * peak.load.pressure);
    assert_relative_eq!(last.load.pressure * radius / (mu * thickness), 2.0 * (1.0 / l - l.powi(-7)), max_relative = 2e-3);
}
