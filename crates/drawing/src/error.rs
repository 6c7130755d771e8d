//! Why a drawing or mesh could not be used: each sentence says the place and the remedy.

use std::fmt;
use thiserror::Error;

/// A place in drawing coordinates: x along the wheel's axis, y the radius from it, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place(pub [f64; 2]);

impl Place {
    /// The place of a section's point (r, z), mm.
    pub fn of_section(point: [f64; 2]) -> Self {
        Self([point[1], point[0]])
    }
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        // Adding zero turns -0 into 0.
        write!(f, "x = {:.3} mm, y = {:.3} mm", self.0[0] + 0.0, self.0[1] + 0.0)
    }
}

/// Reason for which bytes gave no section, no profile or no mesh.
#[derive(Clone, Debug, Error, PartialEq)]
pub enum DrawingError {
    /// More bytes than are read.
    #[error("the file has {bytes} bytes, at most {limit} are read: save only the rim section")]
    TooLarge {
        /// Bytes given.
        bytes: usize,
        /// Most bytes read.
        limit: usize,
    },
    /// More items than are read.
    #[error("more than {limit} {what}: save only the rim section")]
    TooMany {
        /// What there is too much of.
        what: &'static str,
        /// Most items read.
        limit: usize,
    },
    /// A mesh of more triangles than are solved.
    #[error("more than {limit} triangles: mesh the section more coarsely")]
    TooFine {
        /// Most triangles.
        limit: usize,
    },
    /// A binary file.
    #[error("the file is in binary form: save it as ASCII (text) {format}")]
    Binary {
        /// Name of the format.
        format: &'static str,
    },
    /// A line that does not belong where it stands.
    #[error("line {line}: {expected} expected, {found:?} found: save the file again as ASCII {format}")]
    Syntax {
        /// Name of the format.
        format: &'static str,
        /// Line number from 1.
        line: usize,
        /// What should stand there.
        expected: &'static str,
        /// What stands there, shortened.
        found: String,
    },
    /// A drawing without a unit.
    #[error("the drawing has no unit ($INSUNITS is absent or 0): set it in the drawing, or state the unit (mm, cm, m or in)")]
    NoUnit,
    /// A unit other than mm, cm, m and inch.
    #[error("the drawing's unit ($INSUNITS = {code}) is not mm (4), cm (5), m (6) or inch (1): save it in one of these")]
    UnknownUnit {
        /// Value of $INSUNITS.
        code: i16,
    },
    /// A curve in a form that is not read.
    #[error("{kind} at {place}: convert it to lines and arcs, or to a spline with control points and knots")]
    Curve {
        /// Entity type.
        kind: String,
        /// First point.
        place: Place,
    },
    /// An entity of another kind.
    #[error("{kind} at {place}: explode it to lines and arcs, or move it to a hidden layer")]
    Entity {
        /// Entity type.
        kind: String,
        /// First point.
        place: Place,
    },
    /// An entity that does not lie in the drawing plane.
    #[error("{kind} at {place} does not lie in the drawing plane: draw the section flat, in x and y only")]
    NotPlane {
        /// Kind of item.
        kind: &'static str,
        /// Its place.
        place: Place,
    },
    /// Nothing to read.
    #[error(
        "no lines or arcs on a visible layer: draw the section there (layers hidden, frozen or named construction are left out)"
    )]
    Empty,
    /// Coordinates that cannot be radii of a wheel.
    #[error(
        "{place}: this y is no radius of a rim; y must be the radius from the wheel's axis, between {least} mm and {most} mm, and \
         x the axial coordinate from the mid-plane: move the section there, and check its unit"
    )]
    NotRadii {
        /// Where.
        place: Place,
        /// Smallest radius taken.
        least: f64,
        /// Largest radius taken.
        most: f64,
    },
    /// Two ends that should meet.
    #[error("gap of {distance:.3} mm between {from} and {to}: join the ends (those within {tolerance} mm count as joined)")]
    Gap {
        /// An open end.
        from: Place,
        /// The nearest other open end.
        to: Place,
        /// Their distance, mm.
        distance: f64,
        /// Largest distance bridged, mm.
        tolerance: f64,
    },
    /// More than two ends at a place.
    #[error("more than two ends meet at {place}: delete lines drawn twice and lines that divide the section")]
    Branch {
        /// Where.
        place: Place,
    },
    /// Two pieces that cross, touch or lie on each other.
    #[error(
        "lines cross, touch or overlap at {place}: trim them there (in a half section a cavity that reaches the mid-plane belongs \
         to the outline)"
    )]
    Crossing {
        /// Where.
        place: Place,
    },
    /// A second outline beside the first.
    #[error("a second outline, apart from the first, begins at {place}: draw one section in one piece")]
    Separate {
        /// A point of it.
        place: Place,
    },
    /// A loop in a cavity.
    #[error("a loop inside a cavity, at {place}: delete it, or join it to the section")]
    Island {
        /// A point of it.
        place: Place,
    },
    /// A full section whose sides differ.
    #[error(
        "the section is not symmetric about x = 0: its mirror image is {deviation:.3} mm away at {place} (at most {tolerance} mm); \
         the model is symmetric: make the sides equal, or give half the section"
    )]
    NotSymmetric {
        /// Where the deviation is largest.
        place: Place,
        /// Distance to the mirror image, mm.
        deviation: f64,
        /// Largest distance taken, mm.
        tolerance: f64,
    },
    /// A half section that does not reach the mid-plane.
    #[error("the section does not reach the mid-plane x = 0, the nearest point is {place}: cut it there, or move it to x = 0")]
    NoMidPlane {
        /// Nearest point.
        place: Place,
    },
    /// No straight wall below the crest.
    #[error(
        "no straight wall below the flange's crest at {place}: a line within 3 degrees of x = const and at least 2 mm long is needed \
         there, hookless rims only"
    )]
    NoWall {
        /// Crest.
        place: Place,
    },
    /// The flange leans over the wall.
    #[error("the flange reaches {overhang:.3} mm over the wall at {place}: a hooked rim is not modelled, draw the wall straight")]
    Hooked {
        /// Where it is largest.
        place: Place,
        /// How far it reaches inward of the wall, mm.
        overhang: f64,
    },
    /// No seat beside the wall.
    #[error(
        "no seat line at {place}: next to the fillet at the wall's foot a line within 20 degrees of the axial direction is needed"
    )]
    NoSeat {
        /// Where it was looked for.
        place: Place,
    },
    /// The flange has no outer side at the height where its thickness is measured.
    #[error("the flange has no outer side at mid height, looked for from {place}: draw the section on to there")]
    NoOuterSide {
        /// Where the profile ends.
        place: Place,
    },
    /// A jump of the direction that is not rounded by itself.
    #[error(
        "kink of {degrees:.1} degrees at {place}: draw a fillet there (only corners between two lines are rounded by themselves)"
    )]
    Kink {
        /// Where.
        place: Place,
        /// Jump of the direction, degrees.
        degrees: f64,
    },
    /// A corner between lines too short for its fillet.
    #[error(
        "the corner of {degrees:.1} degrees at {place} has no room for a fillet of {radius} mm: draw it smoother, or lengthen its lines"
    )]
    NoRoom {
        /// Where.
        place: Place,
        /// Jump of the direction, degrees.
        degrees: f64,
        /// Fillet's radius, mm.
        radius: f64,
    },
    /// A mesh format version that is not read.
    #[error("MSH version {found:?} is not read: save as version 4.1 or 2.2 ASCII")]
    MeshVersion {
        /// What the header says.
        found: String,
    },
    /// An element type that is not read.
    #[error(
        "line {line}: element type {kind} is not read: use triangles or quadrilaterals of order 1 or 2 with lines at the boundary"
    )]
    ElementType {
        /// Line number from 1.
        line: usize,
        /// Type number of the format.
        kind: i64,
    },
    /// An element names a node that the mesh lacks.
    #[error("line {line}: node {node} does not exist: save the mesh again")]
    NoNode {
        /// Line number from 1.
        line: usize,
        /// Node tag.
        node: i64,
    },
    /// An element without area, or turned inside out.
    #[error("line {line}: the element at {place} has no area or is folded: mesh again with a finer size there")]
    Folded {
        /// Line number from 1.
        line: usize,
        /// A corner of it.
        place: Place,
    },
    /// A mesh with both sides.
    #[error("the mesh has nodes on both sides of x = 0, one at {place}: give half of it, the model is symmetric")]
    FullMesh {
        /// Node farthest on the lesser side.
        place: Place,
    },
    /// No physical group of that name.
    #[error(
        "the mesh has no boundary group {name:?} (has: {found}): name the boundary lines of the tyre side \"tyre\", of the spoke bed \"spokes\""
    )]
    NoGroup {
        /// Name looked for.
        name: &'static str,
        /// Names found.
        found: String,
    },
    /// A line of a group that is no side of an element.
    #[error("line {line}: the boundary line at {place} is no side of one element: mesh surface and boundary together")]
    NoSide {
        /// Line number from 1.
        line: usize,
        /// Its first end.
        place: Place,
    },
    /// Lines of a group that do not form one chain from the mid-plane.
    #[error(
        "group {name:?} is not one chain of lines from the mid-plane outward, see {place}: name each line of it, and no other"
    )]
    NoChain {
        /// Name of the group.
        name: &'static str,
        /// Where it breaks.
        place: Place,
    },
}
