//! A stretched bead: from force and travel to diameter, stiffness and friction, each with its error.
//!
//! 1. [`readings`]: rows, spikes left out; what cannot be read is refused.
//! 2. [`cycles`]: where the travel turns.
//! 3. `fit`: of each cycle the line without friction and the friction ([`geometry`] derives both); the force's zero is that of the slack bead.
//! 4. `summary`: means over the cycles; the errors are those of repeats, so that correlated errors within a cycle do no harm. Of
//!    fewer than three cycles the errors come from the residuals and their correlation in time ([`super::regression`]).

pub mod cycles;
pub mod dummy;
mod errors;
mod fit;
pub mod geometry;
pub mod readings;
mod summary;
pub mod words;

pub use fit::Line;

use std::ops::Range;

use crate::fixture::Fixture;

use super::measured::Measured;
use cycles::Cycle;
use dummy::Compliance;
use geometry::Geometry;
use readings::Readings;

/// Why a log gives no answer.
#[derive(Clone, Debug, PartialEq)]
pub enum Fault {
    /// Too few rows.
    TooFewRows {
        /// Rows there are.
        rows: usize,
        /// Rows needed.
        needed: usize,
    },
    /// Force or travel is the same all along.
    NoChange,
    /// The force falls as the travel rises.
    Reversed,
    /// The travel stretches no bead.
    Way {
        /// From the least to the greatest travel, mm.
        travel: f64,
        /// From the least to the greatest force, N.
        force: f64,
        /// Stretch of the bead's path, share of its length.
        stretch: f64,
        /// Whether force and travel are probably exchanged.
        exchanged: bool,
        /// The travel's likely unit.
        unit: Option<&'static str>,
    },
    /// The force stays at its end while the travel goes on.
    Saturated {
        /// Line of the file where it begins.
        line: u32,
        /// Rows.
        rows: usize,
        /// Force there, N.
        force: f64,
    },
    /// The parts never open.
    NotOpen {
        /// Largest travel from closed, mm.
        largest: f64,
    },
    /// The travel does not rise from a turn to another.
    NoCycle,
    /// No branch of unloading, and the friction is not given.
    NoUnloading,
    /// No cycle is left behind those that settle the bead.
    OnlyConditioning {
        /// Cycles found.
        found: usize,
        /// Cycles that are not fitted.
        conditioning: usize,
    },
    /// No cycle can be fitted.
    NoFit(CycleFault),
}

impl Fault {
    /// Whether the log's head is wrong, and not what was logged.
    pub fn is_of_head(&self) -> bool {
        matches!(self, Self::Way { .. })
    }
}

/// Why a cycle gives no answer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CycleFault {
    /// Too few rows in the fitted range.
    TooFewRows,
    /// No range is left in which all of the bead slides.
    NoRange,
    /// The force does not rise with the travel as a bead's does.
    NotRising,
    /// The line without friction leads to no bead: none that lies on the fixture, or none as soft or stiff.
    NoBead,
    /// Its residuals determine no standard errors, and there are no repeats.
    NoErrors,
}

/// What is to be said of a log that gives an answer.
#[derive(Clone, Debug, PartialEq)]
pub enum Note {
    /// Rows without a reading.
    Missing {
        /// Rows.
        rows: usize,
    },
    /// Rows far off their neighbours, left out.
    Spikes {
        /// Rows.
        rows: usize,
    },
    /// Rows off the fit, left out: many.
    Outliers {
        /// Rows.
        rows: usize,
        /// Share of the fitted rows.
        share: f64,
    },
    /// Fewer cycles than there should be.
    FewerCycles {
        /// Cycles found.
        found: usize,
        /// Cycles that should be there.
        wanted: usize,
    },
    /// Too few cycles for errors from repeats.
    FewRepeats {
        /// Cycles fitted.
        cycles: usize,
    },
    /// Cycles that could not be fitted.
    FailedCycles {
        /// Their number.
        cycles: usize,
        /// Why the first failed.
        fault: CycleFault,
    },
    /// The fixture file states no uncertainty of diameter and gap, or of the force's scale.
    ScatterOnly {
        /// None of diameter and gap, on which the diameters rest.
        diameters: bool,
        /// None of the force's scale, on which the stiffness rests.
        stiffness: bool,
    },
    /// The bead is never slack: the force's zero is taken as it is.
    NeverSlack {
        /// By how much a zero off by 1 N moves the diameter, mm.
        per_newton: f64,
    },
    /// The force's zero moves from cycle to cycle.
    ZeroMoves {
        /// Hoop force, N: least and greatest.
        zeros: [f64; 2],
    },
    /// The diameter goes up or down from cycle to cycle.
    Drift {
        /// mm a cycle.
        per_cycle: f64,
        /// Probability of as much by chance.
        chance: f64,
    },
    /// The bead is not straight in the fitted range.
    Curved {
        /// Change of the stiffness over the fitted range, share of it.
        change: f64,
    },
    /// Loading lies below unloading.
    NegativeFriction,
    /// More friction than a bead has.
    HighFriction {
        /// The coefficient found.
        friction: f64,
    },
    /// Errors are correlated over much of the log.
    Wandering,
}

/// How the errors were found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Method {
    /// From the scatter of so many cycles.
    Repeats(usize),
    /// From the residuals of so many cycles and their correlation in time.
    Residuals(usize),
}

/// What became of a cycle.
#[derive(Clone, Debug, PartialEq)]
pub enum CycleResult {
    /// It settles the bead and is not fitted.
    Conditioning,
    /// Fitted.
    Fitted(Box<CycleFit>),
    /// It cannot be fitted.
    Failed(CycleFault),
}

/// The numbers of a cycle.
#[derive(Clone, Debug, PartialEq)]
pub struct CycleFit {
    /// Diameter at the reference force, mm.
    pub diameter: f64,
    /// Diameter where the line has no tension, mm.
    pub unstretched: f64,
    /// Both diameters by the parabola; none where one cannot be fitted.
    pub by_curve: Option<[f64; 2]>,
    /// Stiffness E A, N.
    pub stiffness: f64,
    /// Friction coefficient, found or given.
    pub friction: f64,
    /// Share of the work of loading that unloading does not give back; none without unloading.
    pub loss: Option<f64>,
    /// Change of the stiffness over the fitted range, as a share; none where a parabola cannot be fitted.
    pub change: Option<f64>,
    /// Hoop force read while slack, N; none where it is never slack.
    pub zero: Option<f64>,
    /// Largest tension of the strands, N.
    pub peak: f64,
    /// Standard deviation of a row about the line, as hoop force, N.
    pub deviation: f64,
    /// Rows fitted, and rows left out as outliers.
    pub rows: [usize; 2],
    /// Lengths between which loading and unloading are fitted, mm.
    pub windows: [[f64; 2]; 2],
    /// The line.
    pub line: Line,
}

/// The hoop law that the case should have.
#[derive(Clone, Debug, PartialEq)]
pub enum Law {
    /// Straight enough: the stiffness.
    Line,
    /// A parabola.
    Curve {
        /// (strain, hoop force N) points from zero.
        points: Vec<(f64, f64)>,
        /// Diameter, mm, at the bead's base that the strains count from.
        unstretched: Measured,
    },
}

/// What a log tells.
#[derive(Clone, Debug, PartialEq)]
pub struct Stretch {
    /// Diameter at the bead's base at the reference force, mm; by the curve if there is one.
    pub diameter: Measured,
    /// The same where the fitted line has no tension, mm.
    pub unstretched: Measured,
    /// Stiffness E A in the fitted range, N.
    pub stiffness: Measured,
    /// Friction of bead on fixture; none where it was given or there is no unloading.
    pub friction: Option<Measured>,
    /// Share of the work of loading that unloading does not give back, and its standard error where there are repeats.
    pub loss: Option<(f64, Option<f64>)>,
    /// Change of the stiffness over the fitted range, share of it, and its standard error where there are repeats.
    pub change: Option<(f64, Option<f64>)>,
    /// The law for the case.
    pub law: Law,
    /// Hoop force at which the diameter is quoted, N.
    pub reference_force: f64,
    /// Hoop forces, N, between which the lines are fitted on loading.
    pub range: [f64; 2],
    /// How the errors were found.
    pub method: Method,
    /// Every cycle.
    pub cycles: Vec<CycleResult>,
    /// Rows of each cycle.
    pub parts: Vec<Cycle>,
    /// What is to be said.
    pub notes: Vec<Note>,
    /// What the fixture gives.
    pub compliance: Compliance,
    /// The fixture's geometry.
    pub geometry: Geometry,
    /// Hoop tension of the strands, N, of every row.
    pub tension: Vec<f64>,
    /// Length of the bundle, mm, of every row, the fixture's own give taken off.
    pub length: Vec<f64>,
}

impl Stretch {
    /// Number of cycles fitted.
    pub fn fitted(&self) -> usize {
        match self.method {
            Method::Repeats(n) | Method::Residuals(n) => n,
        }
    }
}

/// The rows that the fits see.
#[derive(Clone, Copy)]
pub(super) struct Data<'a> {
    time: &'a [f64],
    tension: &'a [f64],
    length: &'a [f64],
    /// Length that the fixture's own give takes up per tension, mm/N.
    give: f64,
    geometry: &'a Geometry,
    friction: Option<f64>,
    range: [f64; 2],
}

/// What a log tells, the fixture's own give as found before.
///
/// # Errors
/// Why there is no answer.
pub fn analyse(readings: Readings, fixture: &Fixture, compliance: Compliance) -> Result<Stretch, Fault> {
    let readings = readings.checked(fixture)?;
    let geometry = Geometry::of(fixture);
    let parts = cycles::find(&readings.travel);
    if parts.is_empty() {
        return Err(Fault::NoCycle);
    }
    let whole: Vec<Cycle> = parts.iter().filter(|cycle| cycle.is_whole() || fixture.friction.is_some()).cloned().collect();
    if whole.is_empty() {
        return Err(Fault::NoUnloading);
    }
    if whole.len() <= fixture.conditioning {
        return Err(Fault::OnlyConditioning { found: whole.len(), conditioning: fixture.conditioning });
    }
    let tension: Vec<f64> = readings.force.iter().map(|force| force / geometry.force_per_tension).collect();
    let own = |zero: f64, rows: Range<usize>| {
        let way =
            |row: usize| readings.travel[row] - compliance.value * (readings.force[row] - zero * geometry.force_per_tension);
        rows.map(|row| geometry.length(way(row))).collect::<Vec<f64>>()
    };
    let data = Data {
        time: &readings.time,
        tension: &tension,
        length: &own(0.0, 0..readings.len()),
        give: geometry.strands_per_travel * geometry.force_per_tension * compliance.value,
        geometry: &geometry,
        friction: fixture.friction,
        range: fixture.range,
    };
    let fitted = |data: &Data<'_>| -> Vec<Result<fit::Fitted, CycleFault>> {
        whole.iter().skip(fixture.conditioning).map(|cycle| fit::cycle(data, cycle)).collect()
    };
    let fits = fitted(&data);
    // The fixture gives with the true force, known only now that the zero of each cycle is.
    let mut length = data.length.to_vec();
    for (cycle, fit) in whole.iter().skip(fixture.conditioning).zip(&fits) {
        let zero = fit.as_ref().ok().and_then(|fit| fit.zero).unwrap_or(0.0);
        let rows = cycle.rows();
        length.splice(rows.clone(), own(zero, rows));
    }
    let data = Data { length: &length, ..data };
    let fits = if data.give > 0.0 { fitted(&data) } else { fits };
    let found = summary::Found { data: &data, fixture, compliance, cycles: &whole, fits: &fits };
    let mut stretch = summary::stretch(&found)?;
    stretch.notes.splice(0..0, readings.notes);
    if let Some(wanted) = fixture.cycles.filter(|wanted| whole.len() < *wanted) {
        stretch.notes.push(Note::FewerCycles { found: whole.len(), wanted });
    }
    (stretch.tension, stretch.length, stretch.parts) = (tension, length, whole);
    Ok(stretch)
}
