//! Halving a bracket.

/// Halvings of a bracket: to the last digit.
const HALVINGS: usize = 80;

/// A bracket of two places on different sides of something, halved until nothing is left between: the first place lies on the side of the
/// first one given.
pub(crate) fn bracket([mut a, mut b]: [f64; 2], side: impl Fn(f64) -> bool) -> [f64; 2] {
    let first = side(a);
    for _ in 0..HALVINGS {
        let middle = 0.5 * (a + b);
        if side(middle) == first { a = middle } else { b = middle }
    }
    [a, b]
}

/// Root of a rising function between two bounds (the nearer bound if it has none).
pub(crate) fn bisect(low: f64, high: f64, f: impl Fn(f64) -> f64) -> f64 {
    if f(low) >= 0.0 {
        return low;
    }
    let [a, b] = bracket([low, high], |x| f(x) < 0.0);
    0.5 * (a + b)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn a_root_is_found_from_either_side() {
        assert_relative_eq!(bisect(0.0, 2.0, |x| x * x - 2.0), 2.0_f64.sqrt(), max_relative = 1e-15);
        assert_relative_eq!(bisect(1.0, 2.0, |x| x), 1.0, max_relative = 1e-15);
        let [kept, beyond] = bracket([3.0, 1.0], |x| x > 2.0_f64.sqrt());
        assert!(kept > 2.0_f64.sqrt() && beyond <= 2.0_f64.sqrt() && kept - beyond < 1e-15);
    }
}
