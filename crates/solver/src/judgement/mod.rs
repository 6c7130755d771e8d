//! What the results are found to be, held against the limits of the case.

mod allowed;

use hoopwright_case::Criterion;

pub use allowed::{Allowed, UpTo};

/// Verdict words.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Finding {
    /// Every stated limit is kept.
    Holds,
    /// Even the uniform blow-off, the upper bound, lies under the required pressure.
    Releases,
    /// The deciding retention pressure lies under the required pressure.
    MayRelease,
    /// A limit is kept by the number found, but not whatever its numerical error.
    TooClose,
    /// Spoke tension loss beyond its limit.
    OverloadsRim,
    /// Mounting force beyond its limit.
    HardToMount,
    /// Rated pressure beyond a maximum pressure.
    OverMaximum,
    /// No equilibrium was found: no answer.
    NoAnswer,
}

/// What a limit is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Judged {
    /// The retention pressure that decides.
    Release,
    /// The mean loss of spoke tension.
    SpokeLoss,
    /// The hoop force that mounting asks of the bead.
    Mounting,
    /// The rated pressure against a maximum pressure.
    RatedPressure,
}

impl Judged {
    /// Unit of its number and of its limit.
    pub fn unit(self) -> &'static str {
        match self {
            Self::Release | Self::RatedPressure => "MPa",
            Self::SpokeLoss => "% of pretension",
            Self::Mounting => "N",
        }
    }
}

/// One limit and how the case stands to it.
#[derive(Clone, Debug)]
pub struct Check {
    /// What is compared, with the unit of the numbers.
    pub what: String,
    /// The number found (the best bound where it was not reached), in the unit of what is judged.
    pub value: f64,
    /// Whether the number is only a lower bound.
    pub lower_bound: bool,
    /// Numerical error of the number found, in its unit; none of what is stated or has a closed form.
    pub error: Option<f64>,
    /// The limit, in the unit of what is judged.
    pub limit: f64,
    /// What they measure.
    pub judged: Judged,
    /// Whether it is kept, whatever the numerical error.
    pub kept: bool,
    /// The finding if it is not kept.
    pub finding: Finding,
}

/// The verdict: findings in order of danger, with the checks behind them.
#[derive(Clone, Debug)]
pub struct Verdict {
    /// The first finding decides the headline.
    pub findings: Vec<Finding>,
    /// All checks made.
    pub checks: Vec<Check>,
    /// The retention pressure that decided.
    pub criterion: Criterion,
    /// Highest rated pressure at which every limit is kept.
    pub allowed: Allowed,
}

impl Verdict {
    /// Whether one of the checks is kept; none where that is not known: a solve that failed is no release.
    pub fn kept(&self, check: &Check) -> Option<bool> {
        let unknown = self.findings.contains(&Finding::NoAnswer) && check.judged == Judged::Release;
        if check.kept || !unknown { Some(check.kept) } else { None }
    }
}

impl Check {
    /// The number found, in the unit of what is judged; none where it is a bound that bounds nothing.
    pub fn found(&self) -> Option<f64> {
        (!self.lower_bound || self.value > 0.0).then_some(self.value)
    }
}
