//! Rim and spokes under the tyre.

use super::value;
use crate::error::{ValidationError, Value};
use hoopwright_case::{self as case, Case};
use hoopwright_solver::estimate::netting::Netting;
use std::f64::consts::PI;

fn starter() -> Result<Case, ValidationError> {
    Ok(case::read(&case::starter()).map_err(|e| ValidationError::Case(e.to_string()))?.0)
}

/// Rim of 304 mm, 69 GPa, 104 mm^2; 36 spokes of 522 kN and 276 mm.
pub(super) fn ring_on_spokes() -> Result<Vec<Value>, ValidationError> {
    let mut case = starter()?;
    case.rim.hoop_stiffness = 69e3 * 104.0;
    case.rim.centroid_diameter = 608.0;
    case.spokes.count = 36;
    case.spokes.stiffness = 522e3;
    case.spokes.length = 276.0;
    case.spokes.bracing = 0.0;
    let per_length = 2.0 * PI * 304.0;
    let mut values = vec![
        value("foundation of the spokes per length", case.spokes.radial_stiffness() / per_length),
        value("share carried by the spokes", case.spokes.radial_stiffness() / case.rim_stiffness()),
    ];
    for compression in [1000.0, 3000.0] {
        // A hoop force F is held by F / R per length, 2 pi F in all.
        let inward = 2.0 * PI * compression / case.rim_stiffness();
        values.push(value(format!("inward displacement at {compression} N"), inward));
        values.push(value(format!("spoke force at {compression} N"), case.spokes.loss(inward)));
    }
    let drop = 2.0 * PI * 3300.0 / case.rim_stiffness() * case.spokes.stiffness / case.spokes.length;
    values.push(value("tension lost by a spoke of 1000 N at 3300 N", drop / 1000.0));
    Ok(values)
}

/// Cut through the axle: what rim and beads together, and the rim alone, gain of compression.
pub(super) fn rim_compression() -> Result<Vec<Value>, ValidationError> {
    // A tube of radius 12.5 mm at 115 psi, so large a hoop that it is straight, all but closed at the rim.
    let tube = Netting::new(1e5, 0.01, 25.0 * PI - 0.01, PI / 4.0)?;
    let mut values = vec![value("round 45 degree tube, rim and beads together", 0.7929 * (tube.hoop - tube.area))];
    for width in [19.0, 21.0, 23.0, 25.0] {
        let n = Netting::new(311.0, width, 67.0817, PI / 4.0)?;
        let rim = 0.5 * (2.0 * n.tension + n.hoop - n.area);
        values.push(value(format!("floating bead, rim alone, {width} mm"), rim));
    }
    Ok(values)
}
