//! Solid of revolution in pure displacement form, for compressible laws.

use super::blocks::{Blocks, Gradients};
use super::{Contribution, LocalSystem};
use crate::error::SolveError;
use crate::kinematics::{deformation_gradient, jacobian};
use crate::material::Material;
use crate::mesh::{Mesh, QuadPoint};
use crate::state::{Load, State};

/// Elements of one material.
pub struct Solid {
    pub(crate) quads: Vec<[usize; 9]>,
    pub(crate) points: Vec<[QuadPoint; 9]>,
    pub(crate) material: Box<dyn Material>,
}

impl Solid {
    /// The elements `quads` of a mesh; `None` if one of them is inverted.
    pub fn new(mesh: &Mesh, quads: &[usize], material: Box<dyn Material>) -> Option<Self> {
        let points = quads.iter().map(|&q| mesh.quad_points(q)).collect::<Option<Vec<_>>>()?;
        Some(Self { quads: quads.iter().map(|&q| mesh.quads[q]).collect(), points, material })
    }
}

impl Contribution for Solid {
    fn name(&self) -> &'static str {
        "solid"
    }

    fn n_items(&self) -> usize {
        self.quads.len()
    }

    fn dofs(&self, item: usize, out: &mut Vec<usize>) {
        out.extend(Mesh::dofs(self.quads[item]));
    }

    fn evaluate(
        &self,
        item: usize,
        state: &State,
        _internal: &[f64],
        _load: &Load,
        out: &mut LocalSystem,
    ) -> Result<(), SolveError> {
        let u = state.gather(&self.quads[item]);
        let mut blocks = Blocks::default();
        for point in &self.points[item] {
            let f = deformation_gradient(point, &u);
            let j = jacobian(&f);
            if j <= 0.0 || f[4] <= 0.0 {
                return Err(SolveError::Inverted { contribution: self.name(), item, place: point.position, jacobian: j });
            }
            let gradients = Gradients::new(point);
            if out.residual_only {
                blocks.add_stress(&gradients, point.volume, &self.material.stress(&f));
                continue;
            }
            let response = self.material.evaluate(&f);
            blocks.add_stress(&gradients, point.volume, &response.stress);
            blocks.add_tangent(&gradients, point.volume, &response.tangent);
        }
        blocks.store(out);
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::material::{compressible::Compressible, neo_hookean::NeoHookean};

    #[test]
    fn tangent_agrees_with_differences() {
        let (mesh, state) = super::super::tests::distorted();
        let material = Compressible { isochoric: NeoHookean { mu: 1.3 }, kappa: 4.0 };
        let solid = Solid::new(&mesh, &[0], Box::new(material)).unwrap();
        super::super::tests::check_tangent(&solid, &state, &Load::default());
    }
}
