//! Gauss-Legendre points on [-1, 1].
//!
//! Source: Abramowitz and Stegun, Handbook of Mathematical Functions, table 25.4 (from memory, checked by the tests).

/// Abscissa of the outer points of the three-point Gauss rule, sqrt(3/5).
const G3: f64 = 0.774_596_669_241_483_4;

/// Three-point Gauss rule, exact to degree 5: (abscissa, weight).
pub const GAUSS_3: [(f64, f64); 3] = [(-G3, 5.0 / 9.0), (0.0, 8.0 / 9.0), (G3, 5.0 / 9.0)];

/// Four-point Gauss rule, exact to degree 7: (abscissa, weight).
pub const GAUSS_4: [(f64, f64); 4] = [
    (-0.861_136_311_594_052_6, 0.347_854_845_137_453_85),
    (-0.339_981_043_584_856_26, 0.652_145_154_862_546_2),
    (0.339_981_043_584_856_26, 0.652_145_154_862_546_2),
    (0.861_136_311_594_052_6, 0.347_854_845_137_453_85),
];

/// Corner and mid-side groups of [`TRIANGLE_6`]: coordinate and weight over the reference triangle's area of 1/2.
const T6A: (f64, f64) = (0.445_948_490_915_965, 0.111_690_794_839_005_7);
const T6B: (f64, f64) = (0.091_576_213_509_771, 0.054_975_871_827_661);

/// Six points on the triangle (0, 0), (1, 0), (0, 1), exact to degree 4: (xi, eta, weight).
/// Source: Dunavant, Int. J. Numer. Methods Eng. 21 (1985) 1129 (from memory, checked by the tests).
pub const TRIANGLE_6: [(f64, f64, f64); 6] = [
    (T6A.0, T6A.0, T6A.1),
    (1.0 - 2.0 * T6A.0, T6A.0, T6A.1),
    (T6A.0, 1.0 - 2.0 * T6A.0, T6A.1),
    (T6B.0, T6B.0, T6B.1),
    (1.0 - 2.0 * T6B.0, T6B.0, T6B.1),
    (T6B.0, 1.0 - 2.0 * T6B.0, T6B.1),
];

/// The 3 x 3 Gauss rule on [-1, 1]^2: (xi, eta, weight), xi fastest.
pub fn gauss_3x3() -> [(f64, f64, f64); 9] {
    std::array::from_fn(|q| {
        let ((xi, a), (eta, b)) = (GAUSS_3[q % 3], GAUSS_3[q / 3]);
        (xi, eta, a * b)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn integral(rule: &[(f64, f64)], degree: i32) -> f64 {
        rule.iter().map(|(x, w)| w * x.powi(degree)).sum()
    }

    #[test]
    fn monomials_are_exact_to_the_stated_degree() {
        for degree in 0..=7 {
            let exact = if degree % 2 == 0 { 2.0 / f64::from(degree + 1) } else { 0.0 };
            assert_relative_eq!(integral(&GAUSS_4, degree), exact, epsilon = 1e-15);
            if degree <= 5 {
                assert_relative_eq!(integral(&GAUSS_3, degree), exact, epsilon = 1e-15);
            }
        }
    }

    #[test]
    fn the_triangle_rule_is_exact_to_degree_four() {
        let factorial = |n: i32| (1..=n).map(f64::from).product::<f64>();
        for a in 0..=4 {
            for b in 0..=4 - a {
                let sum: f64 = TRIANGLE_6.iter().map(|(xi, eta, w)| w * xi.powi(a) * eta.powi(b)).sum();
                // int xi^a eta^b over the triangle = a! b! / (a + b + 2)!
                assert_relative_eq!(sum, factorial(a) * factorial(b) / factorial(a + b + 2), max_relative = 1e-13);
            }
        }
    }
}
