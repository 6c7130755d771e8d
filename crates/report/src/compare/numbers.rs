//! The numbers that two results are compared by.

use serde_json::{Value, json};

use super::Side;
use crate::lines::number;

/// A number of a result: label, unit, place in `result.json`, factor to the unit.
type Place = (&'static str, &'static str, &'static str, f64);

/// Retention pressures: a key with `_mpa`, or with `_above_mpa` for a bound.
const RETENTION: [(&str, &str); 4] = [
    ("first lift", "first_lift"),
    ("local release", "local_release"),
    ("off-centre release", "off_centre_release"),
    ("uniform blow-off", "uniform_blow_off"),
];

const PRESSURES: [Place; 3] = [
    ("allowed pressure", "bar", "/allowed_pressure_mpa", 10.0),
    ("rated pressure", "bar", "/rated_pressure_mpa", 10.0),
    ("required pressure", "bar", "/required_pressure_mpa", 10.0),
];

const STATES: [Place; 18] = [
    ("bead tension, fitted", "N", "/fit/bead/tension_n", 1.0),
    ("seat load, fitted", "N/mm", "/fit/rim/seat_load_n_per_mm", 1.0),
    ("spoke tension loss, fitted", "N", "/fit/rim/spoke_tension_loss_n", 1.0),
    ("bead tension, rated", "N", "/bead/tension_n", 1.0),
    ("bead lift, rated", "mm", "/bead/lift_mm", 1.0),
    ("bead tension over breaking force, rated", "%", "/bead/utilisation", 100.0),
    ("seat load, rated", "N/mm", "/rim/seat_load_n_per_mm", 1.0),
    ("wall load, rated", "N/mm", "/rim/flange_load_n_per_mm", 1.0),
    ("rim hoop force, rated", "N", "/rim/hoop_force_n", 1.0),
    ("rim displacement, rated", "mm", "/rim/radial_displacement_mm", 1.0),
    ("spoke tension loss, rated", "% pret.", "/rim/spoke_tension_loss_share", 100.0),
    ("seal margin, rated", "-", "/rim/seal_margin", 1.0),
    ("tyre width, rated", "mm", "/tyre/width_mm", 1.0),
    ("outer diameter, rated", "mm", "/tyre/outer_diameter_mm", 1.0),
    ("largest cord force, rated", "N", "/tyre/largest_cord_force_n", 1.0),
    ("hoop force to mount, limp strip", "N", "/estimate/mounting_force_limp_n", 1.0),
    ("closed form: off-centre release", "bar", "/estimate/with_friction/off_centre_release_mpa", 10.0),
    ("closed form: the same, no friction", "bar", "/estimate/frictionless/off_centre_release_mpa", 10.0),
];

/// A number that may be a lower bound.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Known {
    value: f64,
    lower_bound: bool,
}

/// A number of both sides.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct NumberRow {
    name: String,
    unit: &'static str,
    sides: [Option<Known>; 2],
}

/// Every number that one of the sides has.
pub(crate) fn number_rows(a: &Side, b: &Side) -> Vec<NumberRow> {
    let plain = |(name, unit, pointer, factor): &Place| {
        let bound = *pointer == "/allowed_pressure_mpa";
        let of = |side: &Side| {
            let lower_bound = bound && side.flag("/allowed_pressure/lower_bound");
            side.number(pointer).map(|x| Known { value: factor * x, lower_bound })
        };
        NumberRow { name: (*name).to_owned(), unit, sides: [of(a), of(b)] }
    };
    let retention = [("retention", ""), ("retention_frictionless", ", no friction")].into_iter().flat_map(|(block, without)| {
        RETENTION.map(|(name, key)| {
            let of = |side: &Side| side.release(block, key).map(|(value, lower_bound)| Known { value, lower_bound });
            NumberRow { name: format!("{name}{without}"), unit: "bar", sides: [of(a), of(b)] }
        })
    });
    let all = PRESSURES.iter().map(plain).chain(retention).chain(STATES.iter().map(plain));
    all.filter(|row| row.sides.iter().any(Option::is_some)).collect()
}

impl NumberRow {
    /// Name and unit.
    pub(crate) fn label(&self) -> String {
        format!("{}, {}", self.name, self.unit)
    }

    /// Change from the first to the second, percent; none where one is a bound or not known.
    fn change(&self) -> Option<f64> {
        let [Some(a), Some(b)] = self.sides else { return None };
        (!a.lower_bound && !b.lower_bound && a.value.abs() > 1e-9).then(|| 100.0 * (b.value - a.value) / a.value.abs())
    }

    /// Both numbers and the change as shown.
    pub(crate) fn cells(&self) -> [String; 3] {
        let shown = |known: Option<Known>| match known {
            None => "-".to_owned(),
            Some(Known { value, lower_bound }) => format!("{}{}", if lower_bound { "> " } else { "" }, number(value)),
        };
        let change = self.change().map_or("-".to_owned(), |percent| format!("{percent:+.2} %"));
        [shown(self.sides[0]), shown(self.sides[1]), change]
    }

    pub(crate) fn json(&self) -> Value {
        let [a, b] = self.sides;
        let bound = |known: Option<Known>| known.is_some_and(|known| known.lower_bound);
        json!({
            "name": self.name,
            "unit": self.unit,
            "a": a.map(|known| known.value),
            "b": b.map(|known| known.value),
            "a_lower_bound": bound(a),
            "b_lower_bound": bound(b),
            "change_percent": self.change(),
        })
    }
}
