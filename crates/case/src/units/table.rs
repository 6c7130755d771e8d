//! The units that are read and printed.
//!
//! Inch 25.4 mm, pound-force 4.4482216152605 N, kilogram-force 9.80665 N: exact by definition.

use super::Dimension::{
    Angle, Area, Density, Force, ForcePerLength, Hardness, Length, Number, PerLength, PerTemperature, Pressure, Temperature, Time,
};
use super::{Dimension, Unit};

const LBF_N: f64 = 4.448_221_615_260_5;

const fn unit(symbol: &'static str, dimension: Dimension, factor: f64) -> Unit {
    Unit { symbol, aliases: &[], dimension, factor, offset: 0.0 }
}

const fn aliased(symbol: &'static str, aliases: &'static [&'static str], dimension: Dimension, factor: f64) -> Unit {
    Unit { symbol, aliases, dimension, factor, offset: 0.0 }
}

const fn temperature(symbol: &'static str, aliases: &'static [&'static str], factor: f64, offset: f64) -> Unit {
    Unit { symbol, aliases, dimension: Temperature, factor, offset }
}

/// Megapascal, the inner unit of pressure.
pub const MPA: Unit = unit("MPa", Pressure, 1.0);
/// Bar.
pub const BAR: Unit = unit("bar", Pressure, 0.1);
/// Gigapascal.
pub const GPA: Unit = unit("GPa", Pressure, 1e3);
/// Millimetre, the inner unit of length.
pub const MM: Unit = unit("mm", Length, 1.0);
/// Square millimetre, the inner unit of area.
pub const MM2: Unit = aliased("mm2", &["mm^2", "mm²"], Area, 1.0);
/// Newton, the inner unit of force.
pub const NEWTON: Unit = unit("N", Force, 1.0);
/// Kilonewton.
pub const KN: Unit = unit("kN", Force, 1e3);
/// Meganewton.
pub const MN: Unit = unit("MN", Force, 1e6);
/// Newton per millimetre, the inner unit of force per length.
pub const N_PER_MM: Unit = unit("N/mm", ForcePerLength, 1.0);
/// Second, the inner unit of time.
pub const SECOND: Unit = unit("s", Time, 1.0);
/// Minute.
pub const MINUTE: Unit = unit("min", Time, 60.0);
/// Hour.
pub const HOUR: Unit = unit("h", Time, 3600.0);
/// Kilonewton per millimetre.
pub const KN_PER_MM: Unit = unit("kN/mm", ForcePerLength, 1e3);
/// Degree of arc.
pub const DEG: Unit = aliased("deg", &["°"], Angle, std::f64::consts::PI / 180.0);
/// Nothing: a pure number.
pub const ONE: Unit = unit("", Number, 1.0);
/// Per cent.
pub const PERCENT: Unit = unit("%", Number, 0.01);
/// Per millimetre, the inner unit of counts per length.
pub const PER_MM: Unit = aliased("/mm", &["1/mm"], PerLength, 1.0);
/// Kilogram per cubic metre.
pub const KG_PER_M3: Unit = aliased("kg/m3", &["kg/m^3", "kg/m³"], Density, 1e-6);
/// Degree Celsius.
pub const CELSIUS: Unit = temperature("degC", &["°C"], 1.0, 273.15);
/// Day.
pub const DAY: Unit = unit("d", Time, 86_400.0);
/// Per kelvin, the inner unit of shares per temperature.
pub const PER_KELVIN: Unit = aliased("/K", &["1/K"], PerTemperature, 1.0);
/// Shore A hardness.
pub const SHORE_A: Unit = unit("Shore A", Hardness, 1.0);

/// All units.
pub static UNITS: &[Unit] = &[
    MPA,
    BAR,
    unit("psi", Pressure, LBF_N / (25.4 * 25.4)),
    unit("kPa", Pressure, 1e-3),
    unit("Pa", Pressure, 1e-6),
    GPA,
    MM,
    unit("cm", Length, 10.0),
    unit("m", Length, 1e3),
    aliased("in", &["inch"], Length, 25.4),
    aliased("um", &["µm", "μm"], Length, 1e-3),
    MM2,
    aliased("cm2", &["cm^2", "cm²"], Area, 100.0),
    aliased("in2", &["in^2", "in²"], Area, 25.4 * 25.4),
    NEWTON,
    KN,
    MN,
    unit("lbf", Force, LBF_N),
    unit("kgf", Force, 9.806_65),
    N_PER_MM,
    KN_PER_MM,
    unit("N/m", ForcePerLength, 1e-3),
    unit("kN/m", ForcePerLength, 1.0),
    unit("lbf/in", ForcePerLength, LBF_N / 25.4),
    DEG,
    unit("rad", Angle, 1.0),
    temperature("K", &[], 1.0, 0.0),
    CELSIUS,
    temperature("degF", &["°F"], 5.0 / 9.0, 459.67),
    ONE,
    PERCENT,
    PER_MM,
    aliased("/cm", &["1/cm"], PerLength, 0.1),
    aliased("/in", &["1/in", "/inch"], PerLength, 1.0 / 25.4),
    KG_PER_M3,
    aliased("g/cm3", &["g/cm^3", "g/cm³"], Density, 1e-3),
    SHORE_A,
    SECOND,
    unit("ms", Time, 1e-3),
    MINUTE,
    HOUR,
    DAY,
    PER_KELVIN,
    aliased("ppm/K", &["um/m/K"], PerTemperature, 1e-6),
    aliased("%/K", &["% /K"], PerTemperature, 0.01),
];
