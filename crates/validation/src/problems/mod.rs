//! What the program computes for each problem: one file a group.

mod contact;
mod finite_strain;
mod fits;
mod friction;
pub(crate) mod half_torus;
mod neutral;
mod orders;
mod outside;
pub(crate) mod rim;
mod shells;
mod solids;
mod standards;
mod two_beads;
mod tyre;
mod wheel;

use crate::error::{ValidationError, Value};

/// Computes the values of one problem.
type Values = fn() -> Result<Vec<Value>, ValidationError>;

/// Folder, text of its `problem.toml`, and the function that computes the values.
macro_rules! problem {
    ($folder:literal, $values:expr) => {
        ($folder, include_str!(concat!("../../../../validation/", $folder, "/problem.toml")), $values as Values)
    };
}

/// All problems in the order of the tables.
pub(crate) const ALL: &[(&str, &str, Values)] = &[
    problem!("thick_cylinder", solids::thick_cylinder),
    problem!("thick_sphere", solids::thick_sphere),
    problem!("thin_shells", shells::thin_shells),
    problem!("edge_loaded_cylinder", shells::edge_loaded_cylinder),
    problem!("torus_membrane", shells::torus_membrane),
    problem!("cylinder_hemisphere", shells::cylinder_hemisphere),
    problem!("shrink_fit", fits::shrink_fit),
    problem!("rubber_cylinder", finite_strain::rubber_cylinder),
    problem!("rubber_sphere", finite_strain::rubber_sphere),
    problem!("balloon", finite_strain::balloon),
    problem!("neutral_angle", neutral::neutral_angle),
    problem!("rubber_torus", outside::rubber_torus),
    problem!("half_torus", half_torus::half_torus),
    problem!("rim_section", outside::rim_section),
    problem!("rings_on_seats", contact::rings_on_seats),
    problem!("hertz", contact::hertz),
    problem!("mandrel", orders::mandrel),
    problem!("sliding_ring", friction::sliding_ring),
    problem!("partial_slip", friction::partial_slip),
    problem!("netting_tyre", tyre::netting_tyre),
    problem!("bead_tension", tyre::bead_tension),
    problem!("first_order_lift", tyre::first_order_lift),
    problem!("two_beads", two_beads::two_beads),
    problem!("width_rule", tyre::width_rule),
    problem!("ring_on_spokes", wheel::ring_on_spokes),
    problem!("rim_compression", wheel::rim_compression),
    problem!("elastic_rings", rim::elastic_rings),
    problem!("rim_body", rim::rim_body),
    problem!("rim_standard", standards::rim_standard),
];

/// A value of a name put together.
fn value(name: impl Into<String>, value: f64) -> Value {
    (name.into(), value)
}
