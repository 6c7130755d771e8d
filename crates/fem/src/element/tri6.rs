//! Six-node triangle on the reference triangle (0, 0), (1, 0), (0, 1); corners first, then the mid-sides 01, 12, 20.

/// Reference coordinates of the nodes.
pub const NODES: [(f64, f64); 6] = [(0.0, 0.0), (1.0, 0.0), (0.0, 1.0), (0.5, 0.0), (0.5, 0.5), (0.0, 0.5)];

/// Shape functions at (xi, eta).
pub fn shape(xi: f64, eta: f64) -> [f64; 6] {
    let l = 1.0 - xi - eta;
    [l * (2.0 * l - 1.0), xi * (2.0 * xi - 1.0), eta * (2.0 * eta - 1.0), 4.0 * l * xi, 4.0 * xi * eta, 4.0 * eta * l]
}

/// Derivatives by (xi, eta).
pub fn derivatives(xi: f64, eta: f64) -> [[f64; 2]; 6] {
    let l = 1.0 - xi - eta;
    [
        [1.0 - 4.0 * l, 1.0 - 4.0 * l],
        [4.0 * xi - 1.0, 0.0],
        [0.0, 4.0 * eta - 1.0],
        [4.0 * (l - xi), -4.0 * xi],
        [4.0 * eta, 4.0 * xi],
        [-4.0 * eta, 4.0 * (l - eta)],
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn shape_functions_are_one_at_their_node_and_zero_at_the_others() {
        for (i, (xi, eta)) in NODES.into_iter().enumerate() {
            for (j, n) in shape(xi, eta).into_iter().enumerate() {
                assert_relative_eq!(n, f64::from(u8::from(i == j)));
            }
        }
    }

    #[test]
    fn derivatives_agree_with_differences() {
        let (xi, eta, h) = (0.3, 0.25, 1e-6);
        for i in 0..6 {
            let by_xi = (shape(xi + h, eta)[i] - shape(xi - h, eta)[i]) / (2.0 * h);
            let by_eta = (shape(xi, eta + h)[i] - shape(xi, eta - h)[i]) / (2.0 * h);
            assert_relative_eq!(derivatives(xi, eta)[i][0], by_xi, epsilon = 1e-9);
            assert_relative_eq!(derivatives(xi, eta)[i][1], by_eta, epsilon = 1e-9);
        }
    }
}
