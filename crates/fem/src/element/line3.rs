//! Three-node quadratic line on [-1, 1]; nodes at -1, +1, 0 (ends first, then the middle).

/// Shape functions at `xi`.
pub fn shape(xi: f64) -> [f64; 3] {
    [0.5 * xi * (xi - 1.0), 0.5 * xi * (xi + 1.0), 1.0 - xi * xi]
}

/// Derivatives of the shape functions at `xi`.
pub fn derivative(xi: f64) -> [f64; 3] {
    [xi - 0.5, xi + 0.5, -2.0 * xi]
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn shape_functions_are_one_at_their_node_and_zero_at_the_others() {
        for (i, xi) in [-1.0, 1.0, 0.0].into_iter().enumerate() {
            for (j, n) in shape(xi).into_iter().enumerate() {
                assert_relative_eq!(n, f64::from(u8::from(i == j)));
            }
        }
    }

    #[test]
    fn derivatives_agree_with_differences() {
        let (xi, h) = (0.3, 1e-6);
        for i in 0..3 {
            let difference = (shape(xi + h)[i] - shape(xi - h)[i]) / (2.0 * h);
            assert_relative_eq!(derivative(xi)[i], difference, epsilon = 1e-9);
        }
    }
}
