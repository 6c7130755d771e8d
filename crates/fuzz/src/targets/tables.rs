//! Measured tyres, and measured values of an input.

use hoopwright_case::Spread;
use hoopwright_case::inputs::{BEAD_DIAMETER, CONTACT_FRICTION};
use hoopwright_study::map::tyres;
use hoopwright_study::tolerance::marginal::Marginal;
use hoopwright_study::tolerance::measured;

use super::{stored, told};

pub(super) fn tyre_seeds() -> Vec<Vec<u8>> {
    let other = "stiffness [kN],note,ID,tested_release_pressure [psi],diameter [in]\n300,good,a,72.5,24.43\n0.31e3,,b,,24.5\n";
    vec![stored("examples/07_tyres.csv"), other.as_bytes().to_vec()]
}

pub(super) fn measured_seeds() -> Vec<Vec<u8>> {
    let other = "id,Bead_diameter [in],friction\nA,24.4,0.2\nB,24.41,0.25\nC,,0.3\nD,24.42,0.22\nE,24.43,0.21\nF,24.44,0.24\n";
    vec![stored("examples/12_friction.csv"), other.as_bytes().to_vec()]
}

pub(super) fn run_tyres(bytes: &[u8]) -> bool {
    let read = tyres::read(bytes).inspect_err(told);
    let Ok(read) = read else { return false };
    let finite = |value: f64| value.is_finite() && value > 0.0;
    assert!(read.iter().all(|tyre| finite(tyre.diameter) && finite(tyre.stiffness) && tyre.tested.is_none_or(finite)));
    true
}

pub(super) fn run_measured(bytes: &[u8]) -> bool {
    let mut taken = false;
    for (column, input) in [("friction", &CONTACT_FRICTION), ("bead diameter", &BEAD_DIAMETER)] {
        let read = measured::read(bytes, column, input).inspect_err(told);
        let Ok(values) = read else { continue };
        assert!(values.iter().all(|value| value.is_finite()));
        // Others make no case, and are refused before their spread is looked at.
        if values.iter().any(|value| !(0.0..2000.0).contains(value)) {
            continue;
        }
        let spread = Spread::Measured { file: String::new(), column: column.to_owned() };
        if let Some(marginal) = Marginal::of(&spread, &values) {
            for z in [-6.0, -1.0, 0.0, 1.0, 6.0] {
                assert!(marginal.at(z).is_finite(), "{values:?} at {z}");
            }
            taken = true;
        }
    }
    taken
}
