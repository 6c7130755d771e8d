//! The bead's outline as drawn: outer face, heel, base, toe, inner face; the base lies on the seat, the outer face on the wall.

use super::GeometryError;
use hoopwright_case::geometry::bundle_centre;
use hoopwright_case::{Bead, Rim};
use hoopwright_profile::{Corner, Profile};
use std::f64::consts::FRAC_PI_2;

/// Outline from the inner face at the level of the bundle's top, round toe, base and heel, to the outer face at that level.
#[derive(Clone, Debug)]
pub struct Outline {
    chain: Profile,
    toe: f64,
    heel: f64,
}

impl Outline {
    /// Draws the outline of a bead on a rim.
    ///
    /// # Errors
    /// [`GeometryError::Bead`] when the radii do not fit.
    pub fn new(rim: &Rim, bead: &Bead) -> Result<Self, GeometryError> {
        let (outer, inner) = (rim.wall(), rim.wall() - bead.width);
        let top = bundle_centre(rim, bead)[0] + 0.5 * bead.bundle_size;
        let corner = |r: f64, z: f64, radius: f64| Corner { position: [r, z], radius, label: 0, fillet_label: 0 };
        let (toe, heel) = (rim.seat_radius(inner), rim.seat_radius(outer));
        let corners = [
            corner(top, inner, 0.0),
            corner(toe, inner, bead.toe_radius),
            corner(heel, outer, bead.heel_radius),
            corner(top, outer, 0.0),
        ];
        let chain = Profile::new(&corners).map_err(GeometryError::Bead)?;
        // From the inner face (downward) to the base (rising by the seat angle) the chain turns by pi/2 + angle, from there to the
        // outer face (upward) by pi/2 - angle.
        let half_way = |leg: f64, radius: f64, turn: f64| leg - radius * (0.5 * turn).tan() + 0.5 * radius * turn;
        let (toe_turn, heel_turn) = (FRAC_PI_2 + rim.seat_angle, FRAC_PI_2 - rim.seat_angle);
        let toe_arc = half_way(top - toe, bead.toe_radius, toe_turn);
        let heel_arc = chain.length() - half_way(top - heel, bead.heel_radius, heel_turn);
        Ok(Self { chain, toe: toe_arc, heel: heel_arc })
    }

    /// Point of the inner face and toe: share 0 at the top, 1 half way round the toe.
    pub fn inner(&self, share: f64) -> [f64; 2] {
        self.chain.point(share * self.toe)
    }

    /// Point of the base: share 0 half way round the toe, 1 half way round the heel.
    pub fn base(&self, share: f64) -> [f64; 2] {
        self.chain.point(self.toe + share * (self.heel - self.toe))
    }

    /// Point of heel and outer face: share 0 half way round the heel, 1 at the top.
    pub fn outer(&self, share: f64) -> [f64; 2] {
        self.chain.point(self.heel + share * (self.chain.length() - self.heel))
    }
}

/// Diameter of the bead base's middle as drawn, mm.
pub fn drawn_diameter(rim: &Rim, bead: &Bead) -> f64 {
    2.0 * rim.seat_radius(rim.wall() - 0.5 * bead.width)
}
