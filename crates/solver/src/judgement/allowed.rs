//! The allowed pressure as it was found.

/// What is known of the allowed pressure.
#[derive(Clone, Debug, PartialEq)]
pub enum Allowed {
    /// Every limit is kept up to a pressure.
    UpTo(UpTo),
    /// At no pressure that a case may state; why, as a phrase.
    Never(String),
    /// It is not known; why, as a phrase.
    Unknown(String),
}

/// An allowed pressure.
#[derive(Clone, Debug, PartialEq)]
pub struct UpTo {
    /// Rated pressure, MPa, rounded down to 0.01 bar (0.1 bar from 10 bar on, 0.001 bar below 1 bar).
    pub pressure: f64,
    /// Whether it is a lower bound only: the limit was not reached.
    pub lower_bound: bool,
    /// The limit that decides.
    pub decides: String,
}

impl Allowed {
    /// The pressure, MPa, and whether it is a lower bound only; none where there is none.
    pub fn pressure(&self) -> Option<(f64, bool)> {
        match self {
            Self::UpTo(found) => Some((found.pressure, found.lower_bound)),
            Self::Never(_) | Self::Unknown(_) => None,
        }
    }

    /// The limit that decides, or why there is no pressure, as a phrase.
    pub fn decides(&self) -> &str {
        match self {
            Self::UpTo(found) => &found.decides,
            Self::Never(reason) | Self::Unknown(reason) => reason,
        }
    }
}
