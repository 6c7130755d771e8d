//! Harmonic tangent of the gas pressure, which follows the deformed surface.

use super::surface::SurfacePoint;
use super::{Harmonic, LocalTangent, Wave};
use crate::contribution::pressure::Pressure;
use crate::error::SolveError;
use crate::quadrature::GAUSS_3;
use crate::state::{Load, State};

impl Harmonic for Pressure {
    fn tangent(
        &self,
        item: usize,
        state: &State,
        _internal: &[f64],
        load: &Load,
        wave: &Wave,
        out: &mut LocalTangent,
    ) -> Result<(), SolveError> {
        let x = self.positions(item, state);
        for at in GAUSS_3 {
            let point = SurfacePoint::new(&x, at);
            point.add_even_pressure(load.pressure, out);
            point.add_uneven_pressure(load.pressure, wave.order(), out);
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::super::Friction;
    use super::super::surface::trial::residual;
    use super::super::trial::{check_even, check_residual, check_rigid, wave};
    use super::*;
    use crate::contribution::tests::distorted;

    #[test]
    fn agrees_with_the_force_in_three_dimensions() {
        let (mesh, state) = distorted();
        let (gas, load) = (Pressure::new(&mesh, vec![[0, 1, 4]]), Load { pressure: 0.7, ..Load::default() });
        let x = gas.positions(0, &state);
        for n in [1, 3] {
            check_residual(&gas, &state, &load, &wave(n), |a| {
                residual(&x, &GAUSS_3, a, n, |sheet, _| sheet.normal * load.pressure)
            });
        }
        check_even(&gas, &state, &load, Friction::Free);
        check_rigid(&gas, &state, &load, &mesh.nodes);
    }
}
