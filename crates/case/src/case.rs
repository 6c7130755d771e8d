//! A checked case and its parts.

use std::f64::consts::PI;
use std::sync::Arc;

use hoopwright_drawing::features::Features;
use hoopwright_drawing::msh::SectionMesh;

/// A checked case.
#[derive(Clone, Debug, PartialEq)]
pub struct Case {
    /// Title for tables and reports.
    pub title: String,
    /// The straight-wall rim section, held by its spokes.
    pub rim: Rim,
    /// The rim as an elastic body, if its section is given; a ring otherwise.
    pub section: Option<Section>,
    /// Spokes.
    pub spokes: Spokes,
    /// The bead and its bundle.
    pub bead: Bead,
    /// Casing, sidewall and tread.
    pub casing: Casing,
    /// Rubber of bead, casing and tread.
    pub rubber: Rubber,
    /// Coulomb friction coefficient of bead on rim.
    pub friction: f64,
    /// Pressures and the test factor.
    pub pressure: Pressure,
    /// Limits that the verdict holds the results against.
    pub limits: Limits,
    /// How unevenly the bead stands round the wheel.
    pub local: Seating,
    /// Mesh refinement: 1 is the coarsest; element sizes go with 1/refinement.
    pub refinement: usize,
}

/// Straight-wall rim section, symmetric about the mid-plane z = 0, and the rim as a ring.
///
/// From the mid-plane outward: well bottom, well side, hump, bead seat, corner fillet, straight wall, crest.
#[derive(Clone, Debug, PartialEq)]
pub struct Rim {
    /// Diameter of the bead seat at the middle of the seat width, mm.
    pub seat_diameter: f64,
    /// Distance between the two straight walls, mm.
    pub inner_width: f64,
    /// Width of one bead seat, from the wall to the foot of the hump (or to the well), mm.
    pub seat_width: f64,
    /// Seat taper: the seat's radius grows towards the wall by tan(angle), rad.
    pub seat_angle: f64,
    /// Height of the crest of the wall above the seat line at the wall, mm.
    pub flange_height: f64,
    /// Thickness of the wall, mm.
    pub wall_thickness: f64,
    /// Radius of the wall's inner upper edge, mm.
    pub crest_radius: f64,
    /// Fillet between seat and wall, mm.
    pub corner_radius: f64,
    /// Height of the hump above the seat's inner end, mm; 0 for none.
    pub hump_height: f64,
    /// Width of the hump, mm.
    pub hump_width: f64,
    /// Depth of the well below the seat line, mm.
    pub well_depth: f64,
    /// Full width of the well's flat bottom, mm.
    pub well_width: f64,
    /// Hoop stiffness E A of the whole rim section, N.
    pub hoop_stiffness: f64,
    /// Diameter of the section's centroid, mm.
    pub centroid_diameter: f64,
}

/// Spokes as an elastic foundation of the rim.
#[derive(Clone, Debug, PartialEq)]
pub struct Spokes {
    /// Number of spokes.
    pub count: usize,
    /// Axial stiffness E A of one spoke, N.
    pub stiffness: f64,
    /// Length, mm.
    pub length: f64,
    /// Mean tension without the tyre, N.
    pub pretension: f64,
    /// Angle between a spoke and the wheel's plane, rad.
    pub bracing: f64,
}

/// The rim's section below its bead seats, and what it is made of.
#[derive(Clone, Debug, PartialEq)]
pub struct Section {
    /// Its shape.
    pub shape: SectionShape,
    /// Thickness of the bed under seats and well, mm.
    pub bed_thickness: f64,
    /// Width of the spoke bed that the spokes' forces are spread over, mm.
    pub spoke_bed_width: f64,
    /// Young's modulus in the section, MPa.
    pub modulus: f64,
    /// Young's modulus in hoop direction, MPa.
    pub hoop_modulus: f64,
    /// Poisson's ratio within the section.
    pub poisson: f64,
    /// Poisson's ratio of contraction in the section under hoop stress.
    pub hoop_poisson: f64,
    /// Density, g/mm3.
    pub density: f64,
    /// Yield strength, or the laminate's strength in the section, MPa.
    pub strength: Option<f64>,
    /// The laminate's strength in hoop direction, MPa.
    pub hoop_strength: Option<f64>,
    /// Side of the section's finite elements, mm.
    pub element_size: f64,
}

/// Shape of a rim's section.
#[derive(Clone, Debug, PartialEq)]
pub enum SectionShape {
    /// A hollow box under the bed.
    Box {
        /// From the bead seat to the spoke bed's inner side, mm.
        depth: f64,
        /// Thickness of the box's sides, mm.
        side_thickness: f64,
        /// Thickness of the spoke bed, mm.
        spoke_bed_thickness: f64,
    },
    /// The bed alone between solid flanges; the spokes pull at the well's underside.
    SingleWall,
    /// As drawn.
    Drawing(Arc<Drawing>),
}

/// A drawn or meshed half section and what was read off it.
#[derive(Clone, Debug, PartialEq)]
pub struct Drawing {
    /// Name of the file, as the case gives it.
    pub name: String,
    /// SHA-256 of the file's bytes and of how they are read: tells the outline from every other without walking over it.
    pub digest: [u8; 32],
    /// The section.
    pub outline: DrawnOutline,
    /// Its area, mm^2.
    pub area: f64,
    /// Radius of its centroid, mm.
    pub centroid: f64,
    /// The tyre side and its measures.
    pub features: Features,
}

/// A section as it stands in its file.
#[derive(Clone, Debug, PartialEq)]
pub enum DrawnOutline {
    /// Closed loops.
    Loops(hoopwright_drawing::section::Section),
    /// A mesh.
    Mesh(SectionMesh),
}

/// Hoop force law of one bead bundle.
#[derive(Clone, Debug, PartialEq)]
pub enum HoopLaw {
    /// Force = stiffness x strain, stiffness in N.
    Linear(f64),
    /// (strain, force in N) points, strictly increasing, first point (0, 0); straight between and beyond the points.
    Table(Vec<(f64, f64)>),
}

/// The bead: a bundle in rubber with a base that sits on the seat.
#[derive(Clone, Debug, PartialEq)]
pub struct Bead {
    /// Unstretched diameter at the bead base's middle, mm.
    pub diameter: f64,
    /// Hoop law of the bundle.
    pub law: HoopLaw,
    /// Hoop force at which the bundle breaks, N.
    pub breaking_force: Option<f64>,
    /// Side of the (square) bundle section, mm.
    pub bundle_size: f64,
    /// Height of the bundle's centre above the bead base, mm.
    pub bundle_height: f64,
    /// Width of the bead at the bundle, mm.
    pub width: f64,
    /// Height over which the bead tapers into the sidewall above the bundle, mm.
    pub filler_height: f64,
    /// Radius of the outer lower edge (heel), mm.
    pub heel_radius: f64,
    /// Radius of the inner lower edge (toe), mm.
    pub toe_radius: f64,
}

/// Where the plies turned up round the bundle end.
#[derive(Clone, Debug, PartialEq)]
pub enum TurnUp {
    /// Under the tread: the turned-up plies overlap there.
    Overlap,
    /// At this meridian length above the bundle, mm.
    Height(f64),
}

/// Casing, sidewall and tread.
#[derive(Clone, Debug, PartialEq)]
pub struct Casing {
    /// Number of main plies from bead to bead; each is turned up round the bundle.
    pub plies: usize,
    /// End of the turn-up.
    pub turn_up: TurnUp,
    /// Axial stiffness of one cord, N.
    pub cord_stiffness: f64,
    /// Cords per length across the cords in one ply at the crown, 1/mm.
    pub ends: f64,
    /// Breaking force of one cord, N.
    pub cord_breaking_force: Option<f64>,
    /// Cord angle at the crown from the circumferential direction, rad (pi/2: radial).
    pub angle: f64,
    /// Meridian length from bundle centre to bundle centre along the casing, mm.
    pub bead_to_bead: f64,
    /// Thickness of the sidewall, plies and rubber, mm.
    pub sidewall_thickness: f64,
    /// Rubber added on the sidewall thickness at the crown, mm.
    pub tread_thickness: f64,
    /// Full arc width of the tread, mm.
    pub tread_width: f64,
}

/// Small-strain Young's moduli of the rubbers and their bulk modulus, MPa.
#[derive(Clone, Debug, PartialEq)]
pub struct Rubber {
    /// Bead rubber and chafer.
    pub bead: f64,
    /// Casing rubber between the cords and the sidewall.
    pub casing: f64,
    /// Tread.
    pub tread: f64,
    /// Bundle across its turns (the hoop stiffness comes on top).
    pub bundle: f64,
    /// Bulk modulus of all rubbers.
    pub bulk: f64,
}

/// Gauge pressures.
#[derive(Clone, Debug, PartialEq)]
pub struct Pressure {
    /// Rated pressure, MPa.
    pub rated: f64,
    /// Required pressure = test factor x rated pressure.
    pub test_factor: f64,
    /// The blow-off stage stops here, MPa.
    pub cap: f64,
}

/// How unevenly bead and crest stand round the wheel.
#[derive(Clone, Debug, PartialEq)]
pub struct Seating {
    /// The bead.
    pub stands: Stands,
    /// A dip of the crest.
    pub dip: Option<Dip>,
    /// A rider's load on the tread.
    pub rider: Option<RiderLoad>,
    /// By how much inputs may plausibly be otherwise.
    pub changes: Changes,
}

/// How unevenly the bead stands round the wheel.
#[derive(Clone, Debug, PartialEq)]
pub enum Stands {
    /// One arc of it higher than the rest: an attempt, of which friction keeps what it can.
    Arc {
        /// Height of the arc's middle over the even place, mm.
        height: f64,
        /// Length of the arc, rad.
        length: f64,
    },
    /// As measured.
    Measured(Heights),
}

/// Measured heights of the moulded line over the rim's edge, at equal angles round the wheel.
#[derive(Clone, Debug, PartialEq)]
pub struct Heights {
    /// Of the left bead, mm.
    pub left: Vec<f64>,
    /// Of the right bead at the same stations, mm.
    pub right: Vec<f64>,
    /// Angle of the first station, rad.
    pub first: f64,
    /// Gauge pressure at which they were measured, MPa.
    pub seen_at: f64,
    /// The file that they come from.
    pub file: Option<String>,
}

/// A dip of the wall's crest.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Dip {
    /// Depth in its middle, mm.
    pub depth: f64,
    /// Length along the wheel, rad.
    pub length: f64,
    /// Angle of its middle, rad; where the bead stands highest if none is given.
    pub station: Option<f64>,
}

/// A rider's load on a patch of the tread.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RiderLoad {
    /// Radial, to the axle, N.
    pub radial: f64,
    /// Lateral, to either side, N.
    pub lateral: f64,
    /// Length of the patch along the wheel, mm; derived from load and pressure where it is not given.
    pub length: Option<f64>,
    /// Angle of the patch's middle, rad; the worst one where none is given.
    pub station: Option<f64>,
}

/// By how much inputs that the local release hangs on may plausibly be otherwise, down and up; they change no answer by themselves.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Changes {
    /// Of the crest's radius, mm.
    pub crest_radius: f64,
    /// Of the bead's width at the bundle, mm.
    pub bead_width: f64,
    /// Of the filler's height, mm.
    pub filler_height: f64,
    /// Of the modulus of the bead's rubber, as a share of it.
    pub bead_rubber: f64,
}

/// Which retention pressure is held against the required pressure.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Criterion {
    /// The bead leaves its seat.
    FirstLift,
    /// The lower of local and off-centre release.
    Lower,
    /// An arc that stands unevenly runs away.
    Local,
    /// Twice the mean lift clears the crest.
    OffCentre,
    /// Maximum of the axisymmetric path.
    Uniform,
}

/// Limits stated by the case.
#[derive(Clone, Debug, PartialEq)]
pub struct Limits {
    /// The retention pressure that decides.
    pub criterion: Criterion,
    /// Whether the frictionless value decides instead of the one at the given friction.
    pub without_friction: bool,
    /// Largest mean spoke tension loss as a share of the pretension.
    pub spoke_loss: f64,
    /// Largest hoop force that mounting may ask of the bead, N.
    pub mounting_force: Option<f64>,
    /// Pressures that no rated pressure may exceed.
    pub maxima: Maxima,
}

/// Maximum pressures, MPa, as far as they are stated.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Maxima {
    /// Of the tyre.
    pub tyre: Option<f64>,
    /// Of the rim.
    pub rim: Option<f64>,
    /// By law or standard.
    pub law: Option<f64>,
}

/// Whose maximum pressure it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MaximumOf {
    /// The tyre's.
    Tyre,
    /// The rim's.
    Rim,
    /// That of a law or standard.
    Law,
}

impl Maxima {
    /// The lowest one, MPa, and whose it is; of equal ones the first. None where none is stated.
    pub fn lowest(&self) -> Option<(MaximumOf, f64)> {
        let all = [(MaximumOf::Tyre, self.tyre), (MaximumOf::Rim, self.rim), (MaximumOf::Law, self.law)];
        let stated = all.into_iter().filter_map(|(of, pressure)| Some((of, pressure?)));
        stated.min_by(|a, b| a.1.total_cmp(&b.1))
    }

    /// All of them changed alike.
    #[must_use]
    pub fn map(self, change: impl Fn(f64) -> f64) -> Self {
        let [tyre, rim, law] = [self.tyre, self.rim, self.law].map(|pressure| pressure.map(&change));
        Self { tyre, rim, law }
    }
}

impl HoopLaw {
    /// Hoop force, N, and its derivative by strain, N. Straight beyond the last point; the first segment's slope below zero strain.
    pub fn force(&self, strain: f64) -> (f64, f64) {
        match self {
            Self::Linear(ea) => (ea * strain, *ea),
            Self::Table(points) => {
                let last = points.len() - 1;
                let i = points[1..last].iter().take_while(|p| p.0 <= strain).count();
                let (a, b) = (points[i], points[i + 1]);
                let slope = (b.1 - a.1) / (b.0 - a.0);
                (a.1 + slope * (strain - a.0), slope)
            }
        }
    }

    /// Strain under a hoop force, N; the force rises with the strain.
    pub fn strain(&self, force: f64) -> f64 {
        let at = match self {
            Self::Linear(_) => 0.0,
            Self::Table(points) => points[1..].iter().rfind(|p| p.1 < force).map_or(0.0, |p| p.0),
        };
        let (from, slope) = self.force(at);
        at + (force - from) / slope
    }

    /// Stiffness E A at zero strain, N.
    pub fn initial_stiffness(&self) -> f64 {
        self.force(0.0).1
    }
}

impl Spokes {
    /// Radial stiffness of all spokes, N/mm: each lies at the bracing angle to the radius.
    pub fn radial_stiffness(&self) -> f64 {
        self.count as f64 * self.stiffness / self.length * self.bracing.cos().powi(2)
    }

    /// Loss of tension of each spoke, N, where the spoke bed moves radially by `displacement`, mm (inward negative).
    pub fn loss(&self, displacement: f64) -> f64 {
        -self.stiffness / self.length * self.bracing.cos() * displacement
    }
}

impl Case {
    /// Radial stiffness of the whole rim as a ring over its circumference, N/mm: the ring 2 pi E A / R and the spokes n E A / l.
    ///
    /// Source: Pippard and Francis, Phil. Mag. 11 (1931) 233 on spokes as an elastic foundation (from memory); ring: any text on
    /// strength of materials.
    pub fn rim_stiffness(&self) -> f64 {
        4.0 * PI * self.rim.hoop_stiffness / self.rim.centroid_diameter + self.spokes.radial_stiffness()
    }

    /// Seat diameter minus unstretched bead diameter, mm; positive when the bead is smaller.
    pub fn diameter_mismatch(&self) -> f64 {
        self.rim.seat_diameter - self.bead.diameter
    }

    /// Required pressure, MPa.
    pub fn required_pressure(&self) -> f64 {
        self.pressure.test_factor * self.pressure.rated
    }
}
