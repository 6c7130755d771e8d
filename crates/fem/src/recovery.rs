//! Nodal fields from element results, for pictures.

use crate::contribution::mixed::Mixed;
use crate::element::quad9;
use crate::kinematics::{cauchy, deformation_gradient, jacobian};
use crate::mesh::{Mesh, quad_point};
use crate::state::State;

/// Stress at nodes, averaged over the elements that meet there.
#[derive(Clone, Debug, Default)]
pub struct NodalStress {
    /// Cauchy stress (rr, zz, theta theta, rz), MPa.
    pub cauchy: Vec<[f64; 4]>,
    /// Mean stress of the solid with opposite sign (positive in compression), MPa.
    pub pressure: Vec<f64>,
    /// Hoop stretch.
    pub hoop_stretch: Vec<f64>,
}

/// Evaluates the stress of mixed solids at their nodes and averages. `offsets` are the places of each solid's condensed
/// unknowns in the state.
pub fn nodal_stress(mesh: &Mesh, solids: &[(&Mixed, usize)], state: &State) -> NodalStress {
    let n = mesh.nodes.len();
    let mut field = NodalStress { cauchy: vec![[0.0; 4]; n], pressure: vec![0.0; n], hoop_stretch: vec![0.0; n] };
    let mut count = vec![0.0; n];
    for (solid, offset) in solids {
        for item in 0..solid.len() {
            let nodes = solid.nodes(item);
            let (x, u) = (nodes.map(|i| mesh.nodes[i]), state.gather(nodes));
            let q = &state.internal[offset + 3 * item..offset + 3 * item + 3];
            for (node, (xi, eta)) in nodes.iter().zip(quad9::NODES) {
                let Some(point) = quad_point(&x, xi, eta, 1.0) else { continue };
                let f = deformation_gradient(&point, &u);
                if jacobian(&f) <= 0.0 {
                    continue;
                }
                let sigma = cauchy(&solid.stress(item, &f, q, point.position), &f);
                for (sum, s) in field.cauchy[*node].iter_mut().zip(sigma) {
                    *sum += s;
                }
                field.pressure[*node] -= (sigma[0] + sigma[1] + sigma[2]) / 3.0;
                field.hoop_stretch[*node] += f[4];
                count[*node] += 1.0;
            }
        }
    }
    for i in (0..n).filter(|i| count[*i] > 0.0) {
        field.cauchy[i] = field.cauchy[i].map(|s| s / count[i]);
        field.pressure[i] /= count[i];
        field.hoop_stretch[i] /= count[i];
    }
    field
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::material::neo_hookean::NeoHookean;
    use approx::assert_relative_eq;

    /// Two elements stretched alike by `stretch` around the axis and along r, thinned along z so that the volume stays: the deviator is that
    /// of the law, the mean stress what the elements' pressures say, positive in compression.
    #[test]
    fn a_uniform_stretch_under_pressure_has_its_stress_at_every_node() {
        let nodes: Vec<[f64; 2]> = (0..3).flat_map(|j| (0..5).map(move |i| [300.0 + f64::from(i), f64::from(j)])).collect();
        let quads = [0, 2].map(|a| [0, 2, 12, 10, 1, 7, 11, 5, 6].map(|n: usize| n + a)).to_vec();
        let mesh = Mesh { nodes, quads };
        let (mu, stretch, tension): (f64, f64, f64) = (1.3, 1.02, -0.4);
        let solid = Mixed::new(&mesh, &[0, 1], Box::new(NeoHookean { mu }), 2000.0).unwrap();
        let thinning = stretch.powi(-2);
        let u = mesh.nodes.iter().flat_map(|x| [(stretch - 1.0) * x[0], (thinning - 1.0) * x[1]]).collect();
        let state = State { u, internal: [tension, 0.0, 0.0].repeat(2), ..State::default() };
        let field = nodal_stress(&mesh, &[(&solid, 0)], &state);
        let deviator = mu * (stretch * stretch - thinning * thinning) / 3.0;
        for n in 0..mesh.nodes.len() {
            for (found, expected) in
                field.cauchy[n].iter().zip([tension + deviator, tension - 2.0 * deviator, tension + deviator, 0.0])
            {
                assert_relative_eq!(*found, expected, epsilon = 1e-9);
            }
            assert_relative_eq!(field.pressure[n], -tension, epsilon = 1e-9);
            assert_relative_eq!(field.hoop_stretch[n], stretch, epsilon = 1e-12);
        }
    }
}
