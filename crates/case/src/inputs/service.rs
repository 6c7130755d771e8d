//! The inputs of the table `[service]`: time under load and heat.

use super::Kind;
use super::Need::{Default, Derived, Optional};
use crate::units::{BAR, CELSIUS, DAY, HOUR, NEWTON, ONE, PER_KELVIN, PERCENT, Unit};

/// Its name and what it holds.
pub const SERVICE_TABLE: (&str, &str) =
    ("service", "Time under load and heat, for `hoopwright service`. Nothing of it changes the case itself.");

const fn quantity(unit: Unit, min: f64, max: f64) -> Kind {
    Kind::Quantity { unit, min, max }
}

const ALONG_ARAMID: &str = "published creep of para-aramid at 1830 MPa (Walton and Majumdar, J. Mater. Sci. 18, 1983): 13 % of the elastic strain after 1000 days by a power law that gives 14.6 % after 4000, so 1.7 % a decade from an hour on";

crate::inputs! {
    /// What may stand in the table `[service]`, in order.
    SERVICE_INPUTS;

    HOLD: "service" "hold", quantity(HOUR, 0.01, 1e6), Default { value: "24 h" },
        "Time inflated before the tyre counts as stretched", "24 h at the highest pressure is common practice, no source";

    LIFE: "service" "life", quantity(DAY, 1.0, 1e5), Default { value: "1000 d" },
        "Time inflated at the end of its life", "as long as the published creep test of para-aramid ran";

    REFERENCE_TIME: "service" "reference_time", quantity(HOUR, 1e-4, 1000.0), Default { value: "1 h" },
        "Time from which decades of creep are counted", "assumption: a measurement of the new bead is done within it";

    BEAD_CREEP: "service" "bead_creep", quantity(PERCENT, 0.0, 2.0), Derived { rule: "1.7 % of the elastic strain", example: "0.008 %" },
        "Growth of the bead's strain in a decade of time under creep_tension", ALONG_ARAMID;

    CREEP_TENSION: "service" "creep_tension", quantity(NEWTON, 1.0, 50_000.0), Default { value: "1500 N" },
        "Hoop force under which bead_creep was found; creep is in proportion to the force", "invented";

    MEASURED_AFTER: "service" "measured_after", quantity(HOUR, 0.01, 1e6),
        Optional { absent: "the bead was measured before any pre-stretch", example: "24 h" },
        "Time under tension after which the bead's diameter and stiffness were measured; its creep counts on from there", "24 h of pre-stretch on a bench is common practice, no source";

    MEASURED_TENSION: "service" "measured_tension", quantity(NEWTON, 1.0, 50_000.0),
        Derived { rule: "the new bead's tension at the rated pressure", example: "1500 N" },
        "Hoop force of that pre-stretch, with measured_after; a larger one counts no more than the tyre's own", "invented";

    CASING_CREEP: "service" "casing_creep", quantity(PERCENT, 0.0, 2.0), Default { value: "0 %" },
        "Growth of the casing's cords in a decade of time at the rated pressure", "no published value read: measure it";

    COLD: "service" "cold", quantity(CELSIUS, -50.0, 60.0), Default { value: "20 degC" },
        "Temperature at which tyre and rim were measured and the tyre is filled", "common practice, no source";

    HOT_RIM: "service" "hot_rim", quantity(CELSIUS, -50.0, 250.0), Default { value: "100 degC" },
        "Temperature of the hot rim", "rims pass 100 degC under long braking (common practice, no source)";

    HOT_BEAD: "service" "hot_bead", quantity(CELSIUS, -50.0, 250.0), Derived { rule: "hot_rim", example: "90 degC" },
        "Temperature of the hot bead and casing", "assumption: the bead lies on the rim";

    HOT_AIR: "service" "hot_air", quantity(CELSIUS, -50.0, 150.0), Default { value: "35 degC" },
        "Temperature of the air in the hot tyre", "the same test: the pressure rose by 5 % only, which is 33 degC of air";

    ATMOSPHERE: "service" "atmosphere", quantity(BAR, 0.3, 1.2), Default { value: "1.013 bar" },
        "Pressure of the surrounding air", "standard atmosphere";

    RIM_EXPANSION: "service" "rim_expansion", quantity(PER_KELVIN, -1e-5, 1e-4), Default { value: "23.6e-6 /K" },
        "Thermal expansion of the rim around the hoop; near 0 for a laminate", "from memory: 6061 aluminium";

    BEAD_EXPANSION: "service" "bead_expansion", quantity(PER_KELVIN, -1e-5, 1e-4), Default { value: "-2e-6 /K" },
        "Thermal expansion of the bead's bundle; steel 12e-6 /K", "published table of para-aramid fibres: -1.5 to -2.3e-6 /K along the fibre";

    SOFTENING: "service" "softening", quantity(PER_KELVIN, 0.0, 0.02), Default { value: "0.0012 /K" },
        "Share of the bead's stiffness, and of its breaking force, lost per kelvin", "from memory: para-aramid loses a fifth at 180 degC";

    CASING_SOFTENING: "service" "casing_softening", quantity(PER_KELVIN, 0.0, 0.02), Default { value: "0.005 /K" },
        "Share of the cords' stiffness, and of their breaking force, lost per kelvin", "from memory: nylon cords lose a third or more up to 80 degC";

    HOT_FRICTION: "service" "hot_friction", quantity(ONE, 0.0, 2.0), Optional { absent: "the case's friction stands", example: "0.2" },
        "Coulomb friction coefficient of the hot bead on the rim", "no published value read";
}
