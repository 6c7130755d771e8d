//! The quantities of an equilibrium on a path: one list, with the name, the unit and the meaning of each and how it is read off a point.
//!
//! JSON's arrays, the columns of studies and the table of states come from it. To add a quantity, add it to [`PathPoint`] and to
//! [`QUANTITIES`].

use crate::path::PathPoint;

/// A number of every point of a path.
#[derive(Debug)]
pub struct Quantity {
    /// Name in files without its unit, in lower case with underscores.
    pub name: &'static str,
    /// Unit of [`Quantity::value`]; `-` for pure numbers.
    pub unit: &'static str,
    /// What it is, as a phrase.
    pub meaning: &'static str,
    /// The unit in which people read it, and how many of that are in one of [`Quantity::unit`].
    pub shown: (&'static str, f64),
    /// Its value at a point.
    pub value: fn(&PathPoint) -> f64,
}

impl Quantity {
    /// Name with the unit behind it, as in `seat_load_n_per_mm`.
    pub fn key(&self) -> String {
        match self.unit {
            "-" => self.name.to_owned(),
            unit => format!("{}_{}", self.name, unit.to_lowercase().replace('/', "_per_")),
        }
    }
}

/// Statics of quantities and the list of them; what people read is in the same unit unless another one stands behind it.
macro_rules! quantities {
    ($(#[$about:meta])* $list:ident; $($name:ident: $key:literal, $unit:literal $(as $shown:literal $scale:expr)?, $meaning:literal, $value:expr;)*) => {
        $(
            #[doc = concat!("`", $key, "`, ", $unit, ": ", $meaning, ".")]
            pub static $name: Quantity = Quantity {
                name: $key, unit: $unit, meaning: $meaning, shown: quantities!(@shown $unit $(, $shown, $scale)?), value: $value,
            };
        )*
        $(#[$about])*
        pub static $list: &[&Quantity] = &[$(&$name),*];
    };
    (@shown $unit:literal) => { ($unit, 1.0) };
    (@shown $unit:literal, $shown:literal, $scale:expr) => { ($shown, $scale) };
}

quantities! {
    /// All of them, in the order of files.
    QUANTITIES;

    PRESSURE: "pressure", "MPa" as "bar" 10.0, "pressure", |p| p.pressure;
    LIFT: "lift", "mm", "bead lift since the fit", |p| p.lift;
    BEAD_TENSION: "bead_tension", "N", "bead tension", |p| p.bead_tension;
    BEAD_STRAIN: "bead_strain", "-" as "%" 100.0, "bead strain", |p| p.bead_strain;
    BUNDLE_ROTATION: "bundle_rotation", "rad" as "deg" 1_f64.to_degrees(), "bundle rotation", |p| p.bundle_rotation;
    SEAT_LOAD: "seat_load", "N/mm", "seat load", |p| p.seat_load;
    FLANGE_LOAD: "flange_load", "N/mm", "wall load (axial)", |p| p.flange_load;
    RADIAL_REACTION: "radial_reaction", "N/mm", "radial reaction of the rim on one bead", |p| p.radial_reaction;
    RIM_HOOP_FORCE: "rim_hoop_force", "N", "rim hoop force", |p| p.rim_hoop_force;
    RIM_DISPLACEMENT: "rim_displacement", "mm", "radial displacement of the rim", |p| p.rim_displacement;
    FLANGE_SPREAD: "flange_spread", "mm", "flange spread", |p| p.flange_spread;
    SPOKE_TENSION_LOSS: "spoke_tension_loss", "N", "mean spoke tension loss", |p| p.spoke_loss;
    WIDTH: "width", "mm", "tyre width", |p| p.width;
    OUTER_DIAMETER: "outer_diameter", "mm", "outer diameter", |p| 2.0 * p.crown_radius;
    CORD_FORCE: "cord_force", "N", "largest cord force", |p| p.cord_force;
    BALANCE_AXLE_CUT: "balance_axle_cut", "-", "balance, cut through the axle", |p| p.balance.axle_cut;
    BALANCE_AXIAL: "balance_axial", "-", "balance, axial", |p| p.balance.axial;
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::path::point;

    #[test]
    fn keys_are_unique_and_end_with_their_units() {
        let keys: Vec<String> = QUANTITIES.iter().map(|quantity| quantity.key()).collect();
        for (i, key) in keys.iter().enumerate() {
            assert!(key.chars().all(|c| c.is_ascii_lowercase() || c == '_') && !keys[..i].contains(key), "{key}");
        }
        assert_eq!([PRESSURE.key(), SEAT_LOAD.key(), BEAD_STRAIN.key()], ["pressure_mpa", "seat_load_n_per_mm", "bead_strain"]);
    }

    #[test]
    fn what_people_read_is_the_same_number_in_their_unit() {
        let point = point(0.5, 0.25, 3.0);
        let shown = |quantity: &Quantity| (quantity.shown.1 * (quantity.value)(&point), quantity.shown.0);
        assert_eq!([shown(&PRESSURE), shown(&LIFT), shown(&SEAT_LOAD)], [(5.0, "bar"), (0.25, "mm"), (3.0, "N/mm")]);
        assert!((BUNDLE_ROTATION.shown.1 * std::f64::consts::PI - 180.0).abs() < 1e-12);
    }
}
