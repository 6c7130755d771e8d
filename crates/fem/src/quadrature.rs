//! Gauss-Legendre and Lobatto points on [-1, 1].
//!
//! Source: Abramowitz and Stegun, Handbook of Mathematical Functions, tables 25.4 and 25.6 (from memory, checked by the tests).

/// Abscissa of the outer points of the three-point Gauss rule, sqrt(3/5).
const G3: f64 = 0.774_596_669_241_483_4;

/// Three-point Gauss rule, exact to degree 5: (abscissa, weight).
pub const GAUSS_3: [(f64, f64); 3] = [(-G3, 5.0 / 9.0), (0.0, 8.0 / 9.0), (G3, 5.0 / 9.0)];

/// Three-point Lobatto rule (Simpson), exact to degree 3, points at the nodes of a quadratic line: (abscissa, weight).
pub const LOBATTO_3: [(f64, f64); 3] = [(-1.0, 1.0 / 3.0), (0.0, 4.0 / 3.0), (1.0, 1.0 / 3.0)];

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
        for degree in 0..=5 {
            let exact = if degree % 2 == 0 { 2.0 / f64::from(degree + 1) } else { 0.0 };
            assert_relative_eq!(integral(&GAUSS_3, degree), exact, epsilon = 1e-15);
            if degree <= 3 {
                assert_relative_eq!(integral(&LOBATTO_3, degree), exact, epsilon = 1e-15);
            }
        }
    }
}
