//! What a load on a patch of the tread does to a bead that keeps its place, from the stiffness of casing, bead body, gas and contact against
//! displacements that are uneven round the wheel.
//!
//! Waves of the load, cos n t from the middle of the patch, act on the tread while the bundle's mean radial and circumferential displacement are
//! held at zero. What holds it is what the ring has to hold: the rest of the ring's balance, law and stiffness, tells what its motion adds.
//! A radial load is the same on both sides of the wheel's middle plane, a lateral one opposite.

use crate::model::Model;
use hoopwright_fem::continuation::Equilibrium;
use hoopwright_fem::error::SolveError;
use hoopwright_fem::harmonic::{Blocked, Component, Friction, HarmonicSystem, Middle, Numbering, Setting};
use hoopwright_fem::newton::{Functional, functional};

/// Direction of a load on the tread.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Direction {
    /// To the axle.
    Radial,
    /// Along the axle, towards the bead that is looked at.
    Lateral,
}

/// What reaches one bead of a wave of load, as a share of the wave: forces for each radian over the load for each radian, on both halves of the
/// tyre together.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Passed {
    /// Outward on the bundle, cos n t.
    pub outward: f64,
    /// Along the circumference on the bundle, sin n t.
    pub along: f64,
    /// Press of the bead on its wall, cos n t.
    pub wall: f64,
    /// Displacement of the tread along the load, mm for each N per radian, cos n t.
    pub yielding: f64,
}

/// A model's tread and bead.
pub struct Tread {
    system: HarmonicSystem,
    /// Means of the bundle's radial and circumferential displacement.
    bundle: [Functional; 2],
    /// Nodes of the patch across the tread, and their shares.
    patch: Vec<(usize, f64)>,
    n_nodes: usize,
    /// Contributions that are no contact.
    no_contact: Vec<usize>,
}

impl Tread {
    /// For a model; the load is spread over the tread as far as `half_width`, mm, from the middle plane.
    ///
    /// # Errors
    /// [`SolveError`] when the system cannot be laid out.
    pub fn new(model: &Model, half_width: f64) -> Result<Self, SolveError> {
        let mean = |component: Component| {
            model.hoop.weights().into_iter().map(|(node, w)| (Numbering::of(node, component), w)).collect::<Functional>()
        };
        let bundle = [mean(Component::Radial), mean(Component::Circumferential)];
        Ok(Self {
            system: model.harmonic()?,
            bundle,
            patch: patch(model, half_width),
            n_nodes: model.tyre.mesh.nodes.len(),
            no_contact: model.no_contact(),
        })
    }

    /// What reaches the bead at a state of n waves of load, with a contact without friction.
    ///
    /// # Errors
    /// [`SolveError`] where the tyre is not held.
    pub fn passed(&mut self, at: &Equilibrium, n: usize, direction: Direction) -> Result<Passed, SolveError> {
        let (answer, contact) = self.answer(at, n, direction)?;
        let axial = contact.iter().skip(2).step_by(3).take(self.n_nodes).sum::<f64>();
        Ok(Passed {
            outward: -0.5 * answer.holding[0],
            along: answer.holding.get(1).map_or(0.0, |force| -0.5 * force),
            wall: 0.5 * axial,
            yielding: 0.5 * functional(&self.load(direction), &answer.displacement),
        })
    }

    /// Displacements under a unit of load on this half, with what holds the bundle, and the forces that they ask of the contact.
    fn answer(&mut self, at: &Equilibrium, n: usize, direction: Direction) -> Result<(Blocked, Vec<f64>), SolveError> {
        let middle = match direction {
            Direction::Radial => Middle::Mirror,
            Direction::Lateral => Middle::AntiMirror,
        };
        let setting = Setting { n, middle, friction: Friction::Free, left_out: Vec::new() };
        let (held, load) = (if n == 0 { &self.bundle[..1] } else { &self.bundle[..] }, self.load(direction));
        let answer = self.system.factorise(&at.state, &at.load, &setting)?.blocked(held, &load)?;
        let contact = Setting { left_out: self.no_contact.clone(), ..setting };
        let forces = self.system.forces(&at.state, &at.load, &contact, &answer.displacement)?;
        Ok((answer, forces))
    }

    fn load(&self, direction: Direction) -> Functional {
        let (component, sign) = match direction {
            Direction::Radial => (Component::Radial, -1.0),
            Direction::Lateral => (Component::Axial, 1.0),
        };
        self.patch.iter().map(|(node, share)| (Numbering::of(*node, component), sign * share)).collect()
    }
}

/// Nodes of the outer face as drawn no farther from the middle plane than a width, with their shares of it; the one in the middle at least.
fn patch(model: &Model, half_width: f64) -> Vec<(usize, f64)> {
    let z = |node: usize| model.tyre.mesh.nodes[node][1];
    let mut nodes: Vec<usize> = model.tyre.outer_edges.iter().rev().flat_map(|e| [e[1], e[2], e[0]]).collect();
    nodes.dedup();
    let within = nodes.iter().take_while(|node| z(**node) <= half_width).count().max(1);
    let nodes = &nodes[..within];
    if nodes.len() == 1 {
        return vec![(nodes[0], 1.0)];
    }
    // Trapezoids.
    let last = nodes.len() - 1;
    let width = z(nodes[last]) - z(nodes[0]);
    let share = |k: usize| 0.5 * (z(nodes[(k + 1).min(last)]) - z(nodes[k.saturating_sub(1)])) / width;
    (0..nodes.len()).map(|k| (nodes[k], share(k))).collect()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::model::Model;
    use crate::rim::RimModel;
    use crate::stages::{self, Keep, Ran};
    use approx::assert_relative_eq;
    use hoopwright_fem::continuation::Target;
    use std::sync::{Arc, LazyLock};

    static ROAD: LazyLock<Ran> = LazyLock::new(|| {
        let (case, _) = hoopwright_case::read(include_str!("../../../../examples/01_road_holds.toml")).unwrap();
        let rim = Arc::new(RimModel::new(&case).unwrap());
        stages::run(&case, &rim, 0.0, Keep::Numbers, &mut |_| ()).unwrap()
    });

    /// Seated, and lifted on the crest; in equilibrium to the last digits, so that only the waves are left to balance.
    static STATES: LazyLock<[Equilibrium; 2]> = LazyLock::new(|| {
        let (case, _) = hoopwright_case::read(include_str!("../../../../examples/01_road_holds.toml")).unwrap();
        let mut model = Model::new(&case, &Arc::new(RimModel::new(&case).unwrap()), 0.0).unwrap();
        model.path.settings.newton.tolerance = 1e-12;
        let highest = ROAD.run.path.iter().map(|p| p.pressure).fold(0.0, f64::max);
        [0.2, 0.9].map(|share| {
            let near = &ROAD.states[ROAD.run.path.iter().position(|p| p.pressure >= share * highest).unwrap()];
            model.path.step(None, near, Target::Pressure(near.load.pressure), &mut |_, _, _| ()).unwrap()
        })
    });

    fn states() -> [&'static Equilibrium; 2] {
        STATES.each_ref()
    }

    /// Forces on the body for each radian that a displacement asks of the gas.
    fn of_gas(tread: &mut Tread, at: &Equilibrium, n: usize, middle: Middle, displacement: &[f64]) -> Vec<f64> {
        let gas = ROAD.model.solids.len() + ROAD.model.plies.len() + 1;
        let left_out = (0..=tread.no_contact.len()).filter(|place| *place != gas).collect();
        let setting = Setting { n, middle, friction: Friction::Free, left_out };
        tread.system.forces(&at.state, &at.load, &setting, displacement).unwrap()
    }

    /// Sum over the nodes of forces along the direction at angle 0 (n = 1), or along the axle (n = 0), for each radian.
    fn resultant(tread: &Tread, forces: &[f64], n: usize) -> f64 {
        let of = |f: &[f64]| if n == 1 { f[0] - f[1] } else { f[2] };
        forces.chunks_exact(3).take(tread.n_nodes).map(of).sum()
    }

    /// What round-off leaves of a load of one: solutions are taken at a backward error of 1e-11, and soft bundle and stiff seat meet in one
    /// matrix, the worse the thinner the elements (1.0e-9 and 1.9e-9 found, whatever the equilibrium's own residual).
    const ROUNDED: f64 = 5e-9;

    /// What holds bundle and bead, rim and gas included, balances the load: a radial one with one wave, a lateral one with none.
    #[test]
    fn bundle_rim_and_gas_balance_the_load() {
        let mut tread = Tread::new(&ROAD.model, 9.0).unwrap();
        for at in states() {
            let (radial, contact) = tread.answer(at, 1, Direction::Radial).unwrap();
            let gas = of_gas(&mut tread, at, 1, Middle::Mirror, &radial.displacement);
            let rim = -resultant(&tread, &contact, 1) - resultant(&tread, &gas, 1);
            assert_relative_eq!(radial.holding[0] - radial.holding[1] + rim, 1.0, epsilon = ROUNDED);
            let (lateral, contact) = tread.answer(at, 0, Direction::Lateral).unwrap();
            let gas = of_gas(&mut tread, at, 0, Middle::AntiMirror, &lateral.displacement);
            assert_relative_eq!(resultant(&tread, &contact, 0) + resultant(&tread, &gas, 0), 1.0, epsilon = ROUNDED);
            // The wall takes nearly all of it, as far as the seat is flat.
            let wall = tread.passed(at, 0, Direction::Lateral).unwrap().wall;
            assert!((0.4..0.6).contains(&wall), "{wall}");
        }
    }

    /// A radial load takes the casing's pull off both beads, a lateral one presses a bead on the wall that it leans to and in; the shorter the wave
    /// the less of the radial load goes out that way, and the tread gives way less.
    #[test]
    fn a_load_reaches_the_bead_as_it_should() {
        let mut tread = Tread::new(&ROAD.model, 9.0).unwrap();
        let mut of = |at, direction| [0, 2, 6, 12].map(|n| tread.passed(at, n, direction).unwrap());
        for at in states() {
            let (radial, lateral) = (of(at, Direction::Radial), of(at, Direction::Lateral));
            assert!(radial[0].outward < -0.15 && lateral[0].outward < 0.0 && lateral[0].wall > 0.0);
            assert!(
                radial.windows(2).all(|w| w[1].outward > w[0].outward && w[1].yielding < w[0].yielding && w[1].yielding > 0.0)
            );
            assert!(lateral.windows(2).all(|w| w[1].yielding < w[0].yielding && w[1].yielding > 0.0));
        }
    }

    /// Where the load stands on the tread across it is of little account for the bead.
    #[test]
    fn the_width_of_the_patch_hardly_counts() {
        let [mut narrow, mut wide] = [0.0, 9.0].map(|width| Tread::new(&ROAD.model, width).unwrap());
        assert!(narrow.patch.len() == 1 && wide.patch.len() >= 3);
        assert_relative_eq!(wide.patch.iter().map(|(_, share)| share).sum::<f64>(), 1.0, max_relative = 1e-12);
        let [a, b] = [&mut narrow, &mut wide].map(|tread| tread.passed(states()[0], 2, Direction::Radial).unwrap());
        assert_relative_eq!(a.outward, b.outward, max_relative = 0.1);
    }
}
