//! Nine-node biquadratic quadrilateral on [-1, 1]^2.
//!
//! Node order: corners (-1,-1), (1,-1), (1,1), (-1,1); mid-sides bottom, right, top, left; centre.

/// Reference coordinates (xi, eta) of the nodes.
pub const NODES: [(f64, f64); 9] =
    [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0), (0.0, -1.0), (1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, 0.0)];

/// Index of the one-dimensional factor (0: node at -1, 1: node at 0, 2: node at +1) in xi and eta of each node.
const FACTORS: [(usize, usize); 9] = [(0, 0), (2, 0), (2, 2), (0, 2), (1, 0), (2, 1), (1, 2), (0, 1), (1, 1)];

fn lagrange(x: f64) -> [f64; 3] {
    [0.5 * x * (x - 1.0), 1.0 - x * x, 0.5 * x * (x + 1.0)]
}

fn lagrange_derivative(x: f64) -> [f64; 3] {
    [x - 0.5, -2.0 * x, x + 0.5]
}

/// Shape functions at (xi, eta).
pub fn shape(xi: f64, eta: f64) -> [f64; 9] {
    let (a, b) = (lagrange(xi), lagrange(eta));
    FACTORS.map(|(i, j)| a[i] * b[j])
}

/// Derivatives (d/dxi, d/deta) of the shape functions at (xi, eta).
pub fn derivatives(xi: f64, eta: f64) -> [[f64; 2]; 9] {
    let (a, b) = (lagrange(xi), lagrange(eta));
    let (da, db) = (lagrange_derivative(xi), lagrange_derivative(eta));
    FACTORS.map(|(i, j)| [da[i] * b[j], a[i] * db[j]])
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
    fn derivatives_agree_with_differences_and_sum_to_zero() {
        let (xi, eta, h) = (0.3, -0.7, 1e-6);
        let d = derivatives(xi, eta);
        for i in 0..9 {
            assert_relative_eq!(d[i][0], (shape(xi + h, eta)[i] - shape(xi - h, eta)[i]) / (2.0 * h), epsilon = 1e-9);
            assert_relative_eq!(d[i][1], (shape(xi, eta + h)[i] - shape(xi, eta - h)[i]) / (2.0 * h), epsilon = 1e-9);
        }
        assert_relative_eq!(d.iter().map(|g| g[0]).sum::<f64>(), 0.0, epsilon = 1e-14);
        assert_relative_eq!(d.iter().map(|g| g[1]).sum::<f64>(), 0.0, epsilon = 1e-14);
    }
}
