//! Shore A hardness to Young's modulus.

/// Hardness range in which the conversion is accepted, Shore A points. Near 0 and 100 the scale says nothing about stiffness.
pub const SHORE_A_RANGE: (f64, f64) = (20.0, 95.0);

/// Small-strain Young's modulus, MPa, of a rubber of the given Shore A hardness S by Gent's relation:
///
/// `E = 0.0981 (56 + 7.62336 S) / [0.137505 (254 - 2.54 S)]`.
///
/// `None` outside [`SHORE_A_RANGE`]. Handbook values for filled natural rubber lie about 30 % higher, so E is known to
/// about +/-30 %. Source: A. N. Gent, "On the relation between indentation hardness and Young's modulus" (1958), in the
/// form found in open programs; title from memory.
pub fn modulus_of_shore_a(hardness: f64) -> Option<f64> {
    let (low, high) = SHORE_A_RANGE;
    (low..=high).contains(&hardness).then(|| 0.0981 * (56.0 + 7.623_36 * hardness) / (0.137_505 * (254.0 - 2.54 * hardness)))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::float_cmp)]
    use super::*;

    #[test]
    fn gents_relation_at_tabulated_hardnesses() {
        for (hardness, modulus) in [(50.0, 2.46), (60.0, 3.61), (70.0, 5.52), (75.0, 7.05), (85.0, 13.2), (90.0, 20.8)] {
            let found = modulus_of_shore_a(hardness).unwrap();
            assert!((found / modulus - 1.0).abs() < 3e-3, "{hardness}: {found}");
        }
    }

    #[test]
    fn refuses_the_ends_of_the_scale() {
        for hardness in [19.9, 95.1, 100.0, -5.0, f64::NAN] {
            assert_eq!(modulus_of_shore_a(hardness), None);
        }
    }
}
