//! The rows of a stretching log as force and travel from closed, and what may be wrong with them as a whole.

use crate::fixture::{Fixture, FixtureKind};
use hoopwright_case::units::{Dimension, UNITS, Unit};

use super::geometry::Geometry;
use super::{Fault, Note};
use crate::log::{self, DIAMETER, FORCE, LogError, TIME, TRAVEL};
use crate::plausible::{STRETCH, check_diameters};
use crate::spikes::{range, spikes};

/// A head as it may be.
const EXAMPLE: &str = "time [s],force [N],travel [mm]";
/// Fewest rows of a log.
const FEWEST_ROWS: usize = 60;
/// A sensor at its end reads the same number while the travel goes on by such a share of its range, over so many rows.
const STUCK: (f64, usize) = (0.02, 8);
/// Stretch of a bead's path that a guess of the unit is best near, the slack among it.
const USUAL_STRETCH: f64 = 0.02;
/// Share of the sensor's limit that counts as reached.
const LIMIT: f64 = 0.999;

/// Rows in the order of time, spikes left out.
#[derive(Clone, Debug, PartialEq)]
pub struct Readings {
    /// Time, s, or the number of the row where the log has none.
    pub time: Vec<f64>,
    /// Whether there is a time.
    pub timed: bool,
    /// Force, N, positive in tension.
    pub force: Vec<f64>,
    /// Travel from closed, mm, rising as the bead is stretched.
    pub travel: Vec<f64>,
    /// Unit of the travel or diameter in the log's head.
    pub way_unit: Unit,
    /// Line of the file of each row.
    pub lines: Vec<u32>,
    /// What is to be said of the rows.
    pub notes: Vec<Note>,
}

/// Reads a log; its head has force and travel, or force and diameter, and time if known.
///
/// # Errors
/// The log cannot be read.
pub fn read(bytes: &[u8], fixture: &Fixture) -> Result<Readings, LogError> {
    let way = if log::has(bytes, &[TRAVEL, DIAMETER])? == Some(1) { DIAMETER } else { TRAVEL };
    let timed = log::has(bytes, &[TIME])?.is_some();
    let wanted = if timed { vec![FORCE, way, TIME] } else { vec![FORCE, way] };
    let mut log = log::read(bytes, &wanted, EXAMPLE)?;
    if way.names == DIAMETER.names {
        check_diameters(&log, 1, &way, &log.columns[1])?;
    }
    let way_unit = log.units[1];
    let time = if timed { log.columns.swap_remove(2) } else { log.lines.iter().map(|line| f64::from(*line)).collect() };
    let travel = log.columns.swap_remove(1);
    let force = log.columns.swap_remove(0);
    let notes = if log.missing > 0 { vec![Note::Missing { rows: log.missing }] } else { Vec::new() };
    let from_diameter = way.names == DIAMETER.names;
    let travel = travel.iter().map(|value| from_closed(*value, from_diameter, fixture)).collect();
    let sign = if fixture.reverse_force { -1.0 } else { 1.0 };
    let force = force.iter().map(|value| sign * value).collect();
    Ok(Readings { time, timed, force, travel, way_unit, lines: log.lines, notes })
}

/// Travel from closed, mm, of a travel or diameter as logged.
fn from_closed(value: f64, diameter: bool, fixture: &Fixture) -> f64 {
    if diameter {
        let growth = value - fixture.diameter;
        return if fixture.kind == FixtureKind::HalfDiscs { growth } else { 0.5 * growth };
    }
    fixture.gap + if fixture.reverse_travel { -value } else { value }
}

impl Readings {
    /// Number of rows.
    pub fn len(&self) -> usize {
        self.force.len()
    }

    /// Whether there are no rows.
    pub fn is_empty(&self) -> bool {
        self.force.is_empty()
    }

    /// Leaves out spikes, then refuses what cannot be read as a bead being stretched.
    ///
    /// # Errors
    /// Too few rows, no change, reversed signs, a sensor at its end, a gap that cannot be.
    pub fn checked(mut self, fixture: &Fixture) -> Result<Self, Fault> {
        if self.len() < FEWEST_ROWS {
            return Err(Fault::TooFewRows { rows: self.len(), needed: FEWEST_ROWS });
        }
        self.drop_spikes();
        let (force, travel) = (range(&self.force), range(&self.travel));
        if force[1] - force[0] <= 0.0 || travel[1] - travel[0] <= 0.0 {
            return Err(Fault::NoChange);
        }
        self.check_way(fixture, force[1] - force[0], travel[1] - travel[0])?;
        if correlation_sign(&self.force, &self.travel) < 0.0 {
            return Err(Fault::Reversed);
        }
        self.check_saturation(fixture, force[1], travel[1] - travel[0])?;
        if travel[1] <= 0.0 {
            return Err(Fault::NotOpen { largest: travel[1] });
        }
        Ok(self)
    }

    /// Refuses a travel that stretches no bead: far too long, as where force and travel are exchanged or the unit is wrong, or far too short.
    fn check_way(&self, fixture: &Fixture, force: f64, travel: f64) -> Result<(), Fault> {
        let geometry = Geometry::of(fixture);
        let stretch = |travel: f64| geometry.strands_per_travel * travel / geometry.arcs;
        let is_one = |travel: f64| (STRETCH[0]..=STRETCH[1]).contains(&stretch(travel));
        if is_one(travel) {
            return Ok(());
        }
        let exchanged = stretch(travel) > STRETCH[1] && is_one(force);
        let in_unit = |unit: &Unit| unit.inner_of(self.way_unit.value_of(travel));
        let lengths = UNITS.iter().filter(|unit| unit.dimension == Dimension::Length);
        // A wrong unit leaves a stretch as it is measured: some thousandths, with the slack a few hundredths.
        let off = |unit: &Unit| (stretch(in_unit(unit)) / USUAL_STRETCH).ln().abs();
        let unit = lengths.filter(|unit| is_one(in_unit(unit))).min_by(|a, b| off(a).total_cmp(&off(b))).map(|unit| unit.symbol);
        Err(Fault::Way { travel, force, stretch: stretch(travel), exchanged, unit })
    }

    fn drop_spikes(&mut self) {
        let (force, travel) = (spikes(&self.force), spikes(&self.travel));
        let keep: Vec<bool> = force.iter().zip(&travel).map(|(a, b)| !a && !b).collect();
        let rows = keep.iter().filter(|k| !**k).count();
        if rows == 0 {
            return;
        }
        self.notes.push(Note::Spikes { rows });
        let kept = |values: &[f64]| values.iter().zip(&keep).filter(|(_, k)| **k).map(|(v, _)| *v).collect();
        (self.time, self.force, self.travel) = (kept(&self.time), kept(&self.force), kept(&self.travel));
        self.lines = self.lines.iter().zip(&keep).filter(|(_, k)| **k).map(|(v, _)| *v).collect();
    }

    /// A force at the sensor's end, told from its limit or from equal readings while the travel goes on.
    fn check_saturation(&self, fixture: &Fixture, largest: f64, whole_travel: f64) -> Result<(), Fault> {
        if let Some(limit) = fixture.force_limit
            && let Some(row) = self.force.iter().position(|f| f.abs() >= LIMIT * limit)
        {
            let rows = self.force.iter().filter(|f| f.abs() >= LIMIT * limit).count();
            return Err(Fault::Saturated { line: self.lines[row], rows, force: self.force[row] });
        }
        let mut start = None;
        for row in 0..=self.len() {
            let at_end = row < self.len() && self.force[row] >= largest - 1e-9 * largest.abs();
            match (start, at_end) {
                (None, true) => start = Some(row),
                (Some(first), false) => {
                    let moved = range(&self.travel[first..row]);
                    if row - first >= STUCK.1 && moved[1] - moved[0] > STUCK.0 * whole_travel {
                        return Err(Fault::Saturated { line: self.lines[first], rows: row - first, force: largest });
                    }
                    start = None;
                }
                _ => {}
            }
        }
        Ok(())
    }
}

/// Sign of the correlation of two columns.
fn correlation_sign(a: &[f64], b: &[f64]) -> f64 {
    let mean = |values: &[f64]| values.iter().sum::<f64>() / values.len() as f64;
    let (ma, mb) = (mean(a), mean(b));
    a.iter().zip(b).map(|(x, y)| (x - ma) * (y - mb)).sum()
}
