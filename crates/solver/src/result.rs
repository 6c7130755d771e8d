//! What an assessment returns. Units in the names' comments: N, mm, MPa, radians; gauge pressures.

use crate::band::Band;
use crate::estimate::Estimate;
use crate::law::Law;
use crate::meshing::Region;
use crate::rim::stress::RimState;
use crate::ring::RingProfile;
use hoopwright_case::Case;
use hoopwright_drawing::meshing::Triangles;
use hoopwright_profile::Profile;
use std::sync::Arc;

pub use crate::judgement::{Check, Finding, Judged, Verdict};

/// Everything that `assess` finds out about one case.
#[derive(Clone, Debug)]
pub struct Assessment {
    /// The case as resolved.
    pub case: Case,
    /// Mesh in the reference configuration (half section, z >= 0).
    pub mesh: SectionMesh,
    /// The rim's profile as a polyline (r, z), mm, unloaded, from the mid-plane outward.
    pub rim_outline: Vec<[f64; 2]>,
    /// The rim's profile at rest.
    pub rim_profile: Profile,
    /// The rim's meshed section, if it has one.
    pub rim_section: Option<RimSection>,
    /// The path at the case's friction.
    pub given: Run,
    /// The path without friction.
    pub frictionless: Run,
    /// The closed-form answers, where the casing has a membrane shape.
    pub estimate: Option<Estimate>,
    /// Verdict.
    pub verdict: Verdict,
    /// The local release beside this case, where it was asked for.
    pub band: Option<Band>,
    /// Things the user should know, whole sentences.
    pub notes: Vec<String>,
}

/// The meshed section of the rim and what happens to it.
#[derive(Clone, Debug)]
pub struct RimSection {
    /// Mesh of the half section (z >= 0).
    pub mesh: Triangles,
    /// Area of the whole section, mm^2.
    pub area: f64,
    /// Mass of the rim without spokes, g.
    pub mass: f64,
    /// Number of modes that carry the profile.
    pub modes: usize,
    /// The section fitted, at rated pressure and at the highest pressure, as far as they were reached; in this order.
    pub states: Vec<(Moment, RimState)>,
}

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

/// The meshed half section.
#[derive(Clone, Debug)]
pub struct SectionMesh {
    /// Node positions (r, z), mm.
    pub nodes: Vec<[f64; 2]>,
    /// Nine-node quadrilaterals: 4 corners counter-clockwise, 4 mid-sides, centre.
    pub quads: Vec<[usize; 9]>,
    /// Region of each quadrilateral.
    pub regions: Vec<Region>,
    /// Nodes of the outer face in order from the bead's inner side, round toe and heel, up the sidewall to the crown.
    pub outer_face: Vec<usize>,
    /// Nodes of the inner face in order from the crown down to where the outer face begins.
    pub inner_face: Vec<usize>,
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

/// The stage that a path point belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stage {
    /// Mismatch ramped from zero, no pressure.
    Fit,
    /// Up to the rated pressure.
    Inflate,
    /// Beyond the rated pressure, until release.
    BlowOff,
}

/// One converged equilibrium.
#[derive(Clone, Debug)]
pub struct PathPoint {
    /// Stage.
    pub stage: Stage,
    /// Gauge pressure, MPa.
    pub pressure: f64,
    /// Lift: radial displacement of the bundle's centre relative to the rim since the end of the fit, mm.
    pub lift: f64,
    /// Bundle hoop force, N.
    pub bead_tension: f64,
    /// Bundle hoop strain.
    pub bead_strain: f64,
    /// Rotation of the bundle, rad, positive when its top turns outward.
    pub bundle_rotation: f64,
    /// Radial contact load on seat, hump and lower half of the corner, per seat circumference, N/mm, positive pressing the rim inward.
    pub seat_load: f64,
    /// Axial contact load on the wall per seat circumference, N/mm, positive pushing the wall outward.
    pub flange_load: f64,
    /// Sum of the normal contact forces on one bead per seat circumference, N/mm, wherever they press.
    pub pressing: f64,
    /// Radial component of all contact tractions on one bead per seat circumference, N/mm, positive when the rim pushes the bead outward.
    pub radial_reaction: f64,
    /// Rim hoop force (compression negative), N.
    pub rim_hoop_force: f64,
    /// Radial displacement of the rim, mm, negative when it shrinks.
    pub rim_displacement: f64,
    /// Growth of the distance between the walls at their upper ends, mm; 0 for a rim that keeps its section.
    pub flange_spread: f64,
    /// Mean spoke tension loss, N.
    pub spoke_loss: f64,
    /// Peak seat-side contact pressure divided by gas pressure at the seal; none without pressure.
    pub seal_margin: Option<f64>,
    /// Whether gas passes the whole contact: no point presses harder than the gas.
    pub leaks: bool,
    /// Largest width of the tyre, mm.
    pub width: f64,
    /// Radius of the outer face at the crown, mm.
    pub crown_radius: f64,
    /// Largest cord force, N per cord.
    pub cord_force: f64,
    /// Global balances.
    pub balance: Balance,
    /// Fields for pictures, kept on some points.
    pub fields: Option<Box<Fields>>,
}

/// Global balances of one equilibrium, each relative to its largest term, or to [`crate::model::force_worth_resolving`] where all are
/// smaller.
#[derive(Clone, Copy, Debug, Default)]
pub struct Balance {
    /// Cut through the axle: hoop forces of tyre, beads, rim and spokes against pressure on the cavity section.
    pub axle_cut: f64,
    /// Axial equilibrium of the half tyre: crown pull, gas, wall.
    pub axial: f64,
}

/// Nodal and surface fields of one equilibrium.
#[derive(Clone, Debug)]
pub struct Fields {
    /// Displacement (r, z) of every node, mm.
    pub displacement: Vec<[f64; 2]>,
    /// Cauchy stress (rr, zz, theta theta, rz) of the solid at every node, averaged over elements, MPa.
    pub cauchy: Vec<[f64; 4]>,
    /// Pressure of the rubber (positive in compression) at every node, MPa.
    pub rubber_pressure: Vec<f64>,
    /// Hoop stretch at every node.
    pub hoop_stretch: Vec<f64>,
    /// Cord stress resultant at every node a ply passes: largest cord force, N per cord; 0 elsewhere.
    pub cord_force: Vec<f64>,
    /// Contact pressure at every node of `outer_face`, MPa (total normal traction where the gas is sealed out).
    pub contact_pressure: Vec<f64>,
    /// Gap to the rim at every node of `outer_face`, mm.
    pub gap: Vec<f64>,
    /// Whether gas wets each node of `outer_face`.
    pub wetted: Vec<bool>,
    /// Place on the rim's profile at rest, by arc length, that each node of `outer_face` is nearest to, mm.
    pub foot: Vec<f64>,
    /// The rim's profile as carried: the points of the assessment's `rim_outline`, displaced (r, z), mm.
    pub rim_outline: Vec<[f64; 2]>,
    /// What presses on the half rim.
    pub rim_loads: RimLoads,
}

/// What presses on the half rim, and how far its modes move.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct RimLoads {
    /// Loads by the bead at the contact's points.
    pub points: Vec<RimLoad>,
    /// Arc length up to which gas presses on the profile, mm.
    pub gas_end: f64,
    /// Amplitudes of the modes, mm.
    pub amplitudes: Vec<f64>,
}

/// Load by the bead on the rim at one place of its profile: pressure beyond the gas, and friction.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RimLoad {
    /// Arc length, mm.
    pub arc: f64,
    /// Force (r, z), N over the circumference.
    pub force: [f64; 2],
}

/// A fall of the pressure that a later rise makes up for: parts of the bead that stuck let go at once, and others take hold.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Slip {
    /// Largest pressure before, MPa.
    pub before: f64,
    /// Lowest pressure of the fall, MPa.
    pub after: f64,
    /// Lift there, mm.
    pub lift: f64,
}

impl Slip {
    /// The fall as a share of the pressure before.
    pub fn share(&self) -> f64 {
        1.0 - self.after / self.before
    }
}

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

/// How a path ended.
#[derive(Clone, Debug, PartialEq)]
pub enum End {
    /// The pressure passed its maximum and fell.
    LimitPoint,
    /// The bundle's centre rose over the crest before a maximum was passed.
    CoreClearsCrest,
    /// The bundle reached its breaking force.
    BundleBreaks,
    /// A cord reached its breaking force.
    CordBreaks,
    /// The stated cap was reached.
    Cap,
    /// No equilibrium was found further on; the reason. Never a release.
    Failed(String),
}

/// Solver effort of one path.
#[derive(Clone, Copy, Debug, Default)]
pub struct Effort {
    /// Unknowns.
    pub dofs: usize,
    /// Converged steps.
    pub steps: usize,
    /// Newton iterations, failed steps included.
    pub iterations: usize,
    /// Those of them that took a tangent of their own.
    pub tangents: usize,
    /// Steps that had to be cut.
    pub cuts: usize,
    /// Seconds in assembly.
    pub assembly_s: f64,
    /// Seconds in factorisation and solve.
    pub solve_s: f64,
    /// Seconds in all.
    pub total_s: f64,
}

/// A point of a path for tests: pressure, MPa, lift, mm, seat load, N/mm.
#[cfg(test)]
pub(crate) fn point(pressure: f64, lift: f64, seat_load: f64) -> PathPoint {
    PathPoint {
        stage: Stage::Fit,
        pressure,
        lift,
        bead_tension: 0.0,
        bead_strain: 0.0,
        bundle_rotation: 0.0,
        seat_load,
        flange_load: 0.0,
        pressing: 0.0,
        radial_reaction: 0.0,
        rim_hoop_force: 0.0,
        rim_displacement: 0.0,
        flange_spread: 0.0,
        spoke_loss: 0.0,
        seal_margin: None,
        leaks: false,
        width: 28.0,
        crown_radius: 340.0,
        cord_force: 0.0,
        balance: Balance::default(),
        fields: None,
    }
}
