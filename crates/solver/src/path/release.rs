//! Retention pressures.

/// A retention pressure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Release {
    /// Reached at this pressure, MPa.
    At(f64),
    /// Not reached up to this pressure, MPa.
    Above(f64),
}

impl Release {
    /// The pressure, MPa, and whether it is a lower bound only; none where nothing is known of it: no pressure at all bounds nothing.
    pub fn known(self) -> Option<(f64, bool)> {
        match self {
            Self::At(pressure) => Some((pressure, false)),
            Self::Above(pressure) => (pressure > 0.0).then_some((pressure, true)),
        }
    }
}

/// The retention pressures of one path.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Retention {
    /// The bead leaves its seat: its seat load falls to zero without friction, it has risen as far with friction.
    pub first_lift: Release,
    /// Twice the mean lift clears the crest: a bodily shift. No bound of the others.
    pub off_centre_release: Release,
    /// An arc that stands unevenly runs away over the crest.
    pub local_release: Release,
    /// Maximum of the axisymmetric path. Upper bound.
    pub uniform_blow_off: Release,
}

impl Retention {
    /// All four, each mostly below the next: first lift, local release, off-centre release, uniform blow-off.
    pub fn from_below(&self) -> [Release; 4] {
        [self.first_lift, self.local_release, self.off_centre_release, self.uniform_blow_off]
    }

    /// The lower of local and off-centre release; not known where one of them is not.
    pub fn lower_release(&self) -> Release {
        let (local, off_centre) = (self.local_release, self.off_centre_release);
        let (Some((a, _)), Some((b, _))) = (local.known(), off_centre.known()) else {
            // A bead that is free at no pressure is known to be.
            return if off_centre == Release::At(0.0) { off_centre } else { Release::Above(0.0) };
        };
        if a <= b { local } else { off_centre }
    }
}

/// One pressure by every measure, for tests.
#[cfg(test)]
pub(crate) fn alike(release: Release) -> Retention {
    Retention { first_lift: release, off_centre_release: release, local_release: release, uniform_blow_off: release }
}
