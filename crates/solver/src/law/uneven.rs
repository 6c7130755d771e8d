//! Stiffness of casing, bead body and contact, as the bundle feels it, against a lift that is uneven round the wheel.

use crate::model::Model;
use hoopwright_fem::continuation::Equilibrium;
use hoopwright_fem::contribution::hoop::Hoop;
use hoopwright_fem::error::SolveError;
use hoopwright_fem::harmonic::{Component, Friction, HarmonicSystem, Middle, Numbering, Setting, Waves};
use hoopwright_fem::newton::Functional;
use std::sync::Arc;

/// Stiffness for one number of waves, N/mm for each radian of the circumference: forces on the bundle that take a unit of its displacement,
/// rows and columns radial (cos n t) and circumferential (sin n t).
pub type Pair = [[f64; 2]; 2];

/// The bundle's mean displacement and the system that its stiffness is condensed from.
pub struct Uneven {
    system: HarmonicSystem,
    bundle: [Functional; 2],
    hoop: Arc<Hoop>,
}

impl Uneven {
    /// For a model.
    ///
    /// # Errors
    /// [`SolveError`] when the system cannot be laid out.
    pub fn new(model: &Model) -> Result<Self, SolveError> {
        let mean = |component: Component| {
            model.hoop.weights().into_iter().map(|(node, w)| (Numbering::of(node, component), w)).collect::<Functional>()
        };
        let bundle = [mean(Component::Radial), mean(Component::Circumferential)];
        Ok(Self { system: model.harmonic()?, bundle, hoop: model.hoop.clone() })
    }

    /// The stiffness at a state, without friction, for any number of waves.
    ///
    /// # Errors
    /// [`SolveError`] where an item of the tangent has none.
    pub fn at<'a>(&'a mut self, at: &'a Equilibrium) -> Result<UnevenAt<'a>, SolveError> {
        let setting = Setting { n: 0, middle: Middle::Mirror, friction: Friction::Free, left_out: Vec::new() };
        let waves = self.system.waves(&at.state, &at.load, &setting)?;
        Ok(UnevenAt { waves, at, bundle: &self.bundle, hoop: &self.hoop })
    }
}

/// The stiffness at a state.
pub struct UnevenAt<'a> {
    waves: Waves<'a>,
    at: &'a Equilibrium,
    bundle: &'a [Functional; 2],
    hoop: &'a Hoop,
}

impl UnevenAt<'_> {
    /// Stiffness less that of the bundle as a string, N/mm per radian; 0 round the circumference for n = 0.
    /// The bundle takes part in it, as its section resists being turned by its hoop force; what it does as one string is taken off.
    ///
    /// # Errors
    /// [`SolveError`] where the tangent is singular.
    pub fn stiffness(&mut self, n: usize, middle: Middle) -> Result<Pair, SolveError> {
        let string = self.hoop.string_stiffness(&self.at.state, &self.at.load, n);
        let mut response = self.waves.factorise(n, middle)?;
        if n == 0 {
            let k = response.stiffness(&self.bundle[..1])?;
            return Ok([[k[(0, 0)] - string[(0, 0)], 0.0], [0.0, 0.0]]);
        }
        let k = response.stiffness(self.bundle)?;
        let own = |i: usize, j: usize| k[(i, j)] - string[(i, j)];
        Ok([[own(0, 0), own(0, 1)], [own(1, 0), own(1, 1)]])
    }
}
