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
}
