//! The bead as a ring that runs round the wheel: a string of the bundle's hoop law, pushed outward at every station by the law of the bead
//! at that pressure, held together by the casing's stiffness against unevenness, and by friction with its history.
//!
//! Unknowns are the lift w and the shift v along the circumference, by harmonics. With the bundle's tension T(eps),
//! eps = e + (w - mean w + v') / R + (w' - v)^2 / (2 R^2), e the strain of an even bead at the mean lift, the virtual work round the wheel is
//!
//! `int { T [dw + dv' + (w' - v)(dw' - dv) / R] - (Q(w) + P - f) dw + (g - H) dv } dt + work of the casing's stiffness = 0`,
//!
//! Q the law's hoop force, f and g friction's, P and H a load's from outside (all N, for each radian). An even ring is in equilibrium where T = Q - f: on the axisymmetric
//! path. The casing's stiffness K_n is that for n waves less the one against an even lift, which Q has already, so that the sum is exact
//! for an even lift of any size and for a small unevenness of any shape. The law's nonlinearity (crest, contact) is local, what joins the
//! stations (shear of the casing) is linear.
//! The string's terms are those of a curved string displaced from its circle (moderate rotations); with T = Q they give
//! T/R (n^2-1)^2/n^2 of a floating ring.

pub mod basis;
#[cfg(test)]
mod known;
pub mod local;
pub mod outside;
mod profile;
mod settle;
pub mod standing;
mod start;
#[cfg(test)]
mod tests;

pub use profile::RingProfile;
pub use settle::{Outcome, settle};

use crate::law::interpolation::Curve;
use basis::{Basis, Shape};
use hoopwright_case::HoopLaw;
use nalgebra::{DMatrix, DVector};

/// Lift from which on the seat pushes no more, mm.
const FLOATS: f64 = 0.2;

/// Stiffness that joins the stations, for n waves, N/mm per radian: radial, mixed and circumferential.
pub type Joining = [f64; 3];

/// What acts on the ring at one pressure. Lifts in mm since the fit, forces in N for each radian.
#[derive(Clone, Debug)]
pub struct Section {
    /// Hoop force that holds an even bead at a lift, without friction.
    pub law: Curve,
    /// Strain of an even bundle over the lift.
    pub strain: Curve,
    /// Largest friction against rising and sinking, over the lift; none without friction.
    pub friction: Option<Friction>,
    /// Stiffness of the casing for n waves, n = 0 on, less that of the law.
    pub joining: Vec<Joining>,
}

/// Friction of a station.
#[derive(Clone, Debug)]
pub struct Friction {
    /// Largest against rising and sinking, over the lift.
    pub radial: Curve,
    /// Largest along the circumference, over the lift.
    pub circumferential: Curve,
    /// Stiffness while it holds, N/mm for each radian.
    pub stiffness: f64,
}

/// The ring of a bundle.
#[derive(Clone, Debug)]
pub struct Ring<'a> {
    /// Hoop law of the bundle.
    pub hoop: &'a HoopLaw,
    /// Radius of the bundle, mm.
    pub radius: f64,
    /// Harmonics.
    pub basis: &'a Basis,
    /// What acts on it.
    pub section: &'a Section,
    /// How much lower the crest lies at the stations, mm.
    pub lowered: &'a [f64],
    /// What a load from outside does at the stations; empty where there is none.
    pub pushes: &'a [Push],
}

/// What a load from outside does at a station, for each radian.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Push {
    /// Force outward, N.
    pub outward: f64,
    /// Force along the circumference, towards larger angles, N.
    pub along: f64,
    /// What the largest friction gains, N.
    pub friction: f64,
}

/// Amplitudes and the history of friction.
#[derive(Clone, Debug)]
pub struct State {
    /// Amplitudes of the basis, mm.
    pub x: DVector<f64>,
    /// Friction on each station (against rising, along the circumference), N per radian, as it was when the station stood at `held`.
    pub friction: Vec<[f64; 2]>,
    /// Lift and shift of each station then, mm.
    pub held: Vec<[f64; 2]>,
}

/// Virtual work by the amplitudes, N mm per mm, and its derivatives.
pub struct Balance {
    /// Residual: what is left of the virtual work.
    pub residual: DVector<f64>,
    /// Tangent.
    pub tangent: DMatrix<f64>,
}

/// Friction of a station with its derivatives by lift and shift.
struct Grip {
    force: [f64; 2],
    by: [[f64; 2]; 2],
}

impl Ring<'_> {
    /// Lift at the stations, mm.
    pub fn lift(&self, state: &State) -> DVector<f64> {
        &self.basis.lift * &state.x
    }

    /// Tension of the bundle at the stations, N.
    pub fn tension(&self, x: &DVector<f64>) -> Vec<f64> {
        let (strain, _) = self.strain(x);
        strain.into_iter().map(|e| self.hoop.force(e).0).collect()
    }

    /// Strain and rotation w' - v of the stations.
    fn strain(&self, x: &DVector<f64>) -> (Vec<f64>, Vec<f64>) {
        let b = self.basis;
        let (lift, slope, shift, stretch) = (&b.lift * x, &b.slope * x, &b.shift * x, &b.stretch * x);
        let (even, r) = (self.section.strain.at(x[0]).0, self.radius);
        let rotation: Vec<f64> = (0..lift.len()).map(|i| slope[i] - shift[i]).collect();
        let strain = (0..lift.len()).map(|i| even + (lift[i] - x[0] + stretch[i]) / r + 0.5 * (rotation[i] / r).powi(2));
        (strain.collect(), rotation)
    }

    /// The balance at a state.
    pub fn balance(&self, state: &State) -> Balance {
        let (b, r, n) = (self.basis, self.radius, self.basis.shapes.len());
        let (lift, shift) = (self.lift(state), &b.shift * &state.x);
        let (strain, rotation) = self.strain(&state.x);
        let even_slope = self.section.strain.at(state.x[0]).1;
        let mut residual = DVector::zeros(n);
        let mut tangent = DMatrix::zeros(n, n);
        for i in 0..lift.len() {
            let weight = b.weights[i];
            let (tension, stiffness) = self.hoop.force(strain[i]);
            let (law, law_slope) = self.pull(i, lift[i]);
            let grip = self.grip(state, i, [lift[i], shift[i]]);
            let turn = b.slope.row(i) - b.shift.row(i);
            // R times the strain's derivative; by the mean lift it is the even bead's.
            let along = b.lift.row(i) + b.stretch.row(i) + &turn * (rotation[i] / r);
            let mut strained = &along / r;
            strained[0] += even_slope - 1.0 / r;
            let push = self.push(i);
            let (radial, around) = (grip.force[0] - law - push.outward, grip.force[1] - push.along);
            residual +=
                (along.transpose() * tension + b.lift.row(i).transpose() * radial + b.shift.row(i).transpose() * around) * weight;
            tangent.ger(weight * stiffness, &along.transpose(), &strained.transpose(), 1.0);
            tangent.ger(weight * tension / r, &turn.transpose(), &turn.transpose(), 1.0);
            let (w, v) = (b.lift.row(i).transpose(), b.shift.row(i).transpose());
            tangent.ger(weight * (grip.by[0][0] - law_slope), &w, &w, 1.0);
            if grip.by != [[0.0; 2]; 2] {
                tangent.ger(weight * grip.by[0][1], &w, &v, 1.0);
                tangent.ger(weight * grip.by[1][0], &v, &w, 1.0);
                tangent.ger(weight * grip.by[1][1], &v, &v, 1.0);
            }
        }
        self.add_joining(&state.x, &mut residual, &mut tangent);
        Balance { residual, tangent }
    }

    /// What the load from outside does at a station.
    fn push(&self, i: usize) -> Push {
        self.pushes.get(i).copied().unwrap_or_default()
    }

    /// Law of a station and its slope. Where the crest lies lower, what floats pulls as it does so much higher beside an even crest, since the
    /// straight wall below is the same at every height; the seat lies where it is. Where that would be less, it is not counted on.
    fn pull(&self, i: usize, lift: f64) -> (f64, f64) {
        let (law, (force, slope)) = (&self.section.law, self.section.law.at(lift));
        let lowered = self.lowered[i];
        if lowered <= 0.0 {
            return (force, slope);
        }
        let floating = |lift: f64| if lift > FLOATS { law.at(lift) } else { (law.at(FLOATS).0, 0.0) };
        let (higher, here) = (floating(lift + lowered), floating(lift));
        if higher.0 > here.0 { (force + higher.0 - here.0, slope + higher.1 - here.1) } else { (force, slope) }
    }

    /// Largest friction of a station against rising and along the circumference, with its slopes: where the crest lies lower, as so much higher
    /// beside an even one, where less of the wall is left to press on; and as the load from outside presses the bead on the wall or off it.
    fn most_friction(&self, friction: &Friction, i: usize, lift: f64) -> [(f64, f64); 2] {
        let gained = self.push(i).friction;
        let at = |most: &Curve| {
            let (here, higher) = (most.at(lift), most.at(lift + self.lowered[i]));
            let (most, slope) = if higher.0 < here.0 { higher } else { here };
            (most + gained, slope)
        };
        [at(&friction.radial), at(&friction.circumferential)]
    }

    /// Adds the casing's stiffness. A wave with sin n t in the lift is one with cos n t turned by a quarter of a wave, which turns
    /// sin n t in the shift into -cos n t.
    fn add_joining(&self, x: &DVector<f64>, residual: &mut DVector<f64>, tangent: &mut DMatrix<f64>) {
        let shapes = &self.basis.shapes;
        let place = |wanted: Shape| shapes.iter().position(|s| *s == wanted);
        let mut add = |i: usize, j: usize, k: f64| {
            tangent[(i, j)] += k;
            residual[i] += k * x[j];
        };
        for (i, shape) in shapes.iter().enumerate() {
            let (n, other, sign, lift) = match *shape {
                Shape::LiftCos(n) => (n, Shape::ShiftSin(n), 1.0, true),
                Shape::LiftSin(n) => (n, Shape::ShiftCos(n), -1.0, true),
                Shape::ShiftSin(n) => (n, Shape::LiftCos(n), 1.0, false),
                Shape::ShiftCos(n) => (n, Shape::LiftSin(n), -1.0, false),
            };
            let Some([radial, mixed, circumferential]) = self.section.joining.get(n) else { continue };
            let norm = std::f64::consts::PI * if n == 0 { 2.0 } else { 1.0 };
            add(i, i, norm * if lift { radial } else { circumferential });
            if let Some(j) = place(other) {
                add(i, j, norm * sign * mixed);
            }
        }
    }

    /// Friction of a station now: it holds up to its largest, then slips, in the direction of what would hold; radial and circumferential
    /// shares of their largest are a circle (return to it along the radius).
    fn grip(&self, state: &State, i: usize, now: [f64; 2]) -> Grip {
        let none = Grip { force: [0.0; 2], by: [[0.0; 2]; 2] };
        let Some(friction) = &self.section.friction else { return none };
        let [(radial, radial_slope), (along, along_slope)] = self.most_friction(friction, i, now[0]);
        let most = [radial.max(0.0), along.max(0.0)];
        if most[0] <= 0.0 || most[1] <= 0.0 {
            return none;
        }
        let k = friction.stiffness;
        let trial: [f64; 2] = std::array::from_fn(|a| (state.friction[i][a] + k * (now[a] - state.held[i][a])) / most[a]);
        let size = trial[0].hypot(trial[1]);
        if size <= 1.0 {
            return Grip { force: [trial[0] * most[0], trial[1] * most[1]], by: [[k, 0.0], [0.0, k]] };
        }
        let unit = [trial[0] / size, trial[1] / size];
        let slopes = [radial_slope, along_slope];
        let by = std::array::from_fn(|a| {
            std::array::from_fn(|c| {
                let across = (if a == c { 1.0 } else { 0.0 }) - unit[a] * unit[c];
                let growth = if c == 0 { slopes[a] * unit[a] } else { 0.0 };
                most[a] / size * across * k / most[c] + growth
            })
        });
        Grip { force: [unit[0] * most[0], unit[1] * most[1]], by }
    }

    /// Friction at the stations as a share of the largest there, as it was last taken over; 0 without friction.
    pub fn friction_shares(&self, state: &State) -> Vec<f64> {
        let Some(friction) = &self.section.friction else { return vec![0.0; state.friction.len()] };
        let share = |(i, (force, held)): (usize, (&[f64; 2], &[f64; 2]))| {
            let most = self.most_friction(friction, i, held[0]).map(|(most, _)| most);
            let of = |a: usize| if most[a] > 0.0 { force[a] / most[a] } else { 0.0 };
            of(0).hypot(of(1)).min(1.0)
        };
        state.friction.iter().zip(&state.held).enumerate().map(share).collect()
    }

    /// Friction against rising at a station as a share of the largest there, as it was last taken over; 0 without friction.
    fn rising_share(&self, state: &State, i: usize) -> f64 {
        let Some(friction) = &self.section.friction else { return 0.0 };
        let [(most, _), _] = self.most_friction(friction, i, state.held[i][0]);
        if most > 0.0 { state.friction[i][0] / most } else { 0.0 }
    }

    /// Takes over the friction that acts now.
    pub fn accept(&self, state: &mut State) {
        if self.section.friction.is_none() {
            return;
        }
        let (lift, shift) = (self.lift(state), &self.basis.shift * &state.x);
        for i in 0..lift.len() {
            let now = [lift[i], shift[i]];
            state.friction[i] = self.grip(state, i, now).force;
            state.held[i] = now;
        }
    }
}
