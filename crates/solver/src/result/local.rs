//! The local release of one path.

use crate::law::Law;
use crate::path::Release;
use crate::ring::RingProfile;
use std::sync::Arc;

/// The local release of one path.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Local {
    /// Whether one bead alone goes at the lowest pressure; both alike otherwise.
    pub one_bead: bool,
    /// Length of the arc that stands higher than half its peak as it reaches the crest, rad; none where it stays.
    pub arc: Option<f64>,
    /// What makes it go; none where it stays as far as was looked.
    pub cause: Option<Cause>,
    /// Angle of the station that goes over the crest, rad, as measured heights are counted, or from the middle of a typed arc; none where it
    /// stays.
    pub station: Option<f64>,
    /// The bead whose heights give the lower release; none where none were measured.
    pub side: Option<Side>,
    /// The local releases of left and right bead, each by itself, where heights were measured.
    pub beads: Option<[Release; 2]>,
    /// Share of the heights' unevenness that friction holds at the pressure at which they were seen; none where they were not seen, or without
    /// friction.
    pub held: Option<f64>,
    /// Why there is no number, in words, if there is none.
    pub failure: Option<String>,
    /// Pressure from which on the even ring is not stable by itself, MPa, and the number of waves it falls into; none where it was not
    /// found, or where friction holds it.
    pub evenness: Option<Evenness>,
    /// Why it is not known whether the even ring is stable by itself, in words, if it is not.
    pub evenness_failure: Option<String>,
    /// The law that the answer goes by, which the paths of one case share; none where it was not found.
    pub law: Option<Arc<Law>>,
    /// What a rider's load does; none without one.
    pub loaded: Option<Loaded>,
    /// The ring at the highest pressure at which it was found to stay, round the wheel; none where it was found at none.
    pub last: Option<RingProfile>,
    /// The ring on its way off, as it reaches the crest at the release pressure, which is no equilibrium; none where it stays.
    pub leaving: Option<RingProfile>,
}

/// Local release with a rider's load beside the one without, of which the lower counts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Loaded {
    /// Without the load.
    pub without: Release,
    /// With the load at the place given, or where it does most harm of those that were tried.
    pub with: Release,
    /// Angle of the patch's middle, rad, counted as a station's.
    pub place: f64,
    /// Length of the patch, mm.
    pub length: f64,
    /// How far the load presses the tread in at the pressure where it counts, linearly, as a share of the crown's height over the wall.
    pub sinking: f64,
}

/// What makes a bead go locally.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cause {
    /// The ring with its unevenness is in equilibrium no more, and an arc runs away.
    EvennessLost,
    /// The unevenness is over the crest as it was let go, or rises to it in equilibrium.
    ReachesCrest,
    /// No arc goes before the whole bead.
    WholeBead,
    /// A rider's load, without which it would stay longer.
    Load,
}

/// One of the two beads.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// The left one of a measurement.
    Left,
    /// The right one.
    Right,
}

/// Where an even ring stops being stable.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Evenness {
    /// Gas pressure, MPa.
    pub pressure: f64,
    /// Number of waves round the wheel; 1 is a shift sideways.
    pub waves: usize,
}
