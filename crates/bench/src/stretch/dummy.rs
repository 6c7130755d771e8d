//! What fixture and machine take up of the travel, from the log of a dummy that does not stretch.

use crate::fixture::Fixture;
use nalgebra::Vector2;

use super::Fault;
use super::readings::Readings;
use crate::regression;
use crate::spikes::range;

/// Travel over force, mm/N, and its standard uncertainty.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Compliance {
    /// mm/N.
    pub value: f64,
    /// mm/N.
    pub error: f64,
}

impl Compliance {
    /// Of a stiffness, N/mm, with its standard uncertainty as a share.
    pub fn of_stiffness(stiffness: f64, share: f64) -> Self {
        Self { value: 1.0 / stiffness, error: share / stiffness }
    }
}

/// Most rows that the line is fitted to; longer logs are thinned.
const MOST_ROWS: usize = 20_000;

/// The line of travel over force between the fixture's two shares of the largest force, all branches together.
///
/// # Errors
/// The log cannot be used, or its travel does not rise with the force.
pub fn compliance(readings: Readings, fixture: &Fixture) -> Result<Compliance, Fault> {
    let readings = readings.checked(fixture)?;
    let [low, high] = range(&readings.force);
    let ends = fixture.range.map(|share| low.max(0.0) + share * (high - low.max(0.0)));
    let inside: Vec<usize> = (0..readings.len()).filter(|k| (ends[0]..=ends[1]).contains(&readings.force[*k])).collect();
    let stride = inside.len().div_ceil(MOST_ROWS).max(1);
    let rows: Vec<usize> = inside.into_iter().step_by(stride).collect();
    let time: Vec<f64> = rows.iter().map(|k| readings.time[*k]).collect();
    let lines: Vec<Vector2<f64>> = rows.iter().map(|k| Vector2::new(1.0, readings.force[*k] / high)).collect();
    let travel: Vec<f64> = rows.iter().map(|k| readings.travel[*k]).collect();
    let fit = regression::fit(&time, &lines, &travel).ok_or(Fault::NoChange)?;
    let (value, error) = (fit.coefficients[1] / high, fit.error_of(&Vector2::new(0.0, 1.0)) / high);
    if value > 0.0 { Ok(Compliance { value, error }) } else { Err(Fault::Reversed) }
}
