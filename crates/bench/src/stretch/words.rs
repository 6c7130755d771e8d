//! Faults and notes of a stretching log in words, with the remedy.

use std::fmt;

use hoopwright_case::units::{MM, NEWTON, PERCENT};

use crate::log::rows_of;

use super::summary::HIGHEST_FRICTION;
use super::{CycleFault, Fault, Note};

impl fmt::Display for CycleFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::TooFewRows => "too few rows lie in the fitted range",
            Self::NoRange => "no range is left in which all of the bead slides; lower the friction, or stretch further",
            Self::NoErrors => "its residuals determine no standard errors; log more cycles",
            Self::NoBead => {
                "its line without friction leads to no bead (of the fixture's size, and of 5 kN to 5000 kN); check columns, units and diameter"
            }
            Self::NotRising => "the force does not rise with the travel as a bead's does",
        })
    }
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooFewRows { rows, needed } => write!(f, "it has {rows} rows, {needed} are needed; log more often"),
            Self::NoChange => f.write_str("force or travel is the same all along; check the sensors"),
            Self::Reversed => {
                f.write_str("the force falls as the travel rises; set reverse_force or reverse_travel in the fixture file")
            }
            Self::Way { travel, force, stretch, exchanged, unit } => {
                let (travel, force, stretch) = (MM.format(*travel), NEWTON.format(*force), PERCENT.format(*stretch));
                write!(
                    f,
                    "the travel runs over {travel} and the force over {force}: the bead's path would become {stretch} longer, "
                )?;
                write!(f, "which cannot be that of a bead; {}", way_remedy(*exchanged, *unit))
            }
            Self::Saturated { line, rows, force } => write!(
                f,
                "from line {line} on the force stays at {force:.1} N over {rows} rows, the sensor's end; use a larger sensor, or stretch less"
            ),
            Self::NotOpen { largest } => write!(
                f,
                "the parts of the fixture are never open: the largest travel from closed is {largest:.3} mm; check gap and diameter in the \
                 fixture file"
            ),
            Self::NoCycle => f.write_str("the travel never rises from one turn to another; log a whole cycle"),
            Self::NoUnloading => f.write_str(
                "it has no unloading, so the friction cannot be found; log whole cycles, or give friction in the fixture file",
            ),
            Self::OnlyConditioning { found, conditioning } => write!(
                f,
                "it has {found} whole cycles and the first {conditioning} only settle the bead; log more, or lower conditioning in the \
                 fixture file"
            ),
            Self::NoFit(fault) => write!(f, "no cycle can be fitted: {fault}"),
        }
    }
}

/// What to do about a travel that stretches no bead.
fn way_remedy(exchanged: bool, unit: Option<&str>) -> String {
    match unit {
        _ if exchanged => "likely force and travel are exchanged: exchange the two names in the head".to_owned(),
        Some(unit) => format!("likely the travel is in {unit}: write its unit in the head"),
        None => "check the columns, their units, and the fixture's diameter".to_owned(),
    }
}

impl std::error::Error for Fault {}

impl fmt::Display for Note {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Missing { rows } => write!(f, "left out: {} without a reading", rows_of(*rows)),
            Self::Spikes { rows } => write!(f, "left out as spikes: {} far off their neighbours", rows_of(*rows)),
            Self::Outliers { rows, share } => {
                write!(f, "left out: {} far off the fit ({:.1} % of them); look at the picture", rows_of(*rows), 100.0 * share)
            }
            Self::FewerCycles { found, wanted } => write!(f, "{found} whole cycles were found, {wanted} should be there"),
            Self::FewRepeats { cycles } => write!(
                f,
                "only {cycles} fitted {}: errors come from the residuals and say nothing of how well the test repeats; log five or more \
                 cycles",
                if *cycles == 1 { "cycle" } else { "cycles" }
            ),
            Self::FailedCycles { cycles, fault } => write!(f, "cycles without an answer: {cycles}; the first: {fault}"),
            Self::ScatterOnly { diameters, stiffness } => f.write_str(scatter_only(*diameters, *stiffness)),
            Self::NeverSlack { per_newton } => write!(
                f,
                "the bead is never slack, so the force's zero is taken as logged; a zero off by 1 N moves the diameter by {per_newton:.4} mm"
            ),
            Self::ZeroMoves { zeros } => write!(
                f,
                "the force's zero moves between {:.1} N and {:.1} N of hoop force; it was taken off cycle by cycle",
                zeros[0], zeros[1]
            ),
            Self::Drift { per_cycle, chance } => write!(
                f,
                "the diameter moves by {per_cycle:+.4} mm a cycle (chance alone: {:.2} %): the bead still settles or a sensor drifts",
                100.0 * chance
            ),
            Self::Curved { change } => write!(
                f,
                "the stiffness changes by {:+.0} % over the fitted range: the case is better given the curve than one stiffness",
                100.0 * change
            ),
            Self::NegativeFriction => f.write_str(
                "loading lies below unloading, which friction cannot do; check that travel and force are logged at the same time",
            ),
            Self::HighFriction { friction } => write!(
                f,
                "a friction of {friction:.2} is more than beads have ({HIGHEST_FRICTION} at most: common practice, no source): rather the \
                 kind or the diameter in the fixture file is wrong, and the stiffness with it"
            ),
            Self::Wandering => f.write_str(
                "the errors are correlated over much of a cycle, so the standard errors are doubtful: log more cycles",
            ),
        }
    }
}

/// What a fixture file without uncertainties leaves open.
fn scatter_only(diameters: bool, stiffness: bool) -> &'static str {
    match (diameters, stiffness) {
        (true, false) => {
            "only the scatter of the cycles is known of the diameters: the fixture file states no uncertainty of its diameter and gap, which may \
             be larger than the standard errors; give diameter_error"
        }
        (false, _) => {
            "only the scatter of the cycles is known of the stiffness: the fixture file states no uncertainty of the force's scale, which may be \
             larger than the standard error; give force_error"
        }
        (true, true) => {
            "only the scatter of the cycles is known of the diameters and of the stiffness: no fixture file states the uncertainties of diameter \
             and gap and of the force's scale, which may be larger than the standard errors; give diameter_error and force_error in one"
        }
    }
}
