//! One loading path with what was found on it.

use super::Local;
use crate::path::{Effort, End, PathPoint, Retention};
use crate::slip::Slip;

/// The points of a path that results are quoted at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Moment {
    /// End of the fit, no pressure.
    Fitted,
    /// Rated pressure.
    Rated,
    /// Highest pressure of the path.
    Highest,
}

impl Moment {
    /// All of them in the order of loading.
    pub const ALL: [Self; 3] = [Self::Fitted, Self::Rated, Self::Highest];
}

/// One loading path from the unloaded fit on.
#[derive(Clone, Debug)]
pub struct Run {
    /// Coulomb friction coefficient.
    pub friction: f64,
    /// Converged points in order.
    pub path: Vec<PathPoint>,
    /// Index in `path` of the end of the fit stage (no pressure); 0, the state at rest, where the fit was not reached.
    pub fit: usize,
    /// Index in `path` of the rated pressure; none if the bead was released before.
    pub rated: Option<usize>,
    /// The retention pressures.
    pub retention: Retention,
    /// What is known of the local release, where it was asked for.
    pub local: Option<Local>,
    /// The largest slip of a grip on the way, if it is worth telling; none without friction.
    pub slip: Option<Slip>,
    /// How the path ended.
    pub end: End,
    /// Solver effort.
    pub effort: Effort,
}

impl Run {
    /// Index in `path` of a moment; none where it was not reached.
    pub fn index(&self, moment: Moment) -> Option<usize> {
        let highest = || (0..self.path.len()).max_by(|i, j| self.path[*i].pressure.total_cmp(&self.path[*j].pressure));
        match moment {
            Moment::Fitted => Some(self.fit).filter(|fit| *fit > 0),
            Moment::Rated => self.rated,
            Moment::Highest => highest(),
        }
    }

    /// The points on the way up from the fit: each at a higher pressure than all before it.
    pub fn rising(&self) -> impl Iterator<Item = &PathPoint> {
        let mut highest = f64::NEG_INFINITY;
        self.path.iter().skip(self.fit).filter(move |p| {
            let higher = p.pressure > highest + 1e-9;
            highest = highest.max(p.pressure);
            higher
        })
    }

    /// The point of a moment; none where it was not reached.
    pub fn at(&self, moment: Moment) -> Option<&PathPoint> {
        self.path.get(self.index(moment)?)
    }
}

/// A path for tests, fitted at its second point, that ended past its maximum.
#[cfg(test)]
pub(crate) fn ran(friction: f64, path: Vec<PathPoint>, retention: Retention) -> Run {
    Run {
        friction,
        path,
        fit: 1,
        rated: None,
        retention,
        local: None,
        slip: None,
        end: End::LimitPoint,
        effort: Effort::default(),
    }
}
