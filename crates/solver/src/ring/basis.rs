//! Harmonics round the wheel, and the stations where forces are summed up.

use nalgebra::{DMatrix, DVector};
use std::f64::consts::PI;

/// Highest number of waves: a wave of 15 degrees.
pub const WAVES: usize = 24;

/// What an unknown is the amplitude of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shape {
    /// Lift, cos n t.
    LiftCos(usize),
    /// Lift, sin n t.
    LiftSin(usize),
    /// Shift along the circumference, sin n t.
    ShiftSin(usize),
    /// Shift along the circumference, cos n t.
    ShiftCos(usize),
}

/// Harmonics at stations. Rows are stations, columns unknowns; the first unknown is the mean lift.
#[derive(Clone, Debug)]
pub struct Basis {
    /// Unknowns.
    pub shapes: Vec<Shape>,
    /// Angles of the stations, rad.
    pub angles: Vec<f64>,
    /// Weights of the stations: a sum with them is the integral over the circumference, 2 pi for 1.
    pub weights: DVector<f64>,
    /// Lift.
    pub lift: DMatrix<f64>,
    /// Its derivative by the angle.
    pub slope: DMatrix<f64>,
    /// Shift along the circumference.
    pub shift: DMatrix<f64>,
    /// Its derivative by the angle.
    pub stretch: DMatrix<f64>,
}

impl Basis {
    /// For what is symmetric about the station at angle 0: half the circumference.
    pub fn symmetric() -> Self {
        Self::symmetric_of(WAVES, 2 * WAVES)
    }

    /// Likewise, of so many waves and steps from station to station; twice as many steps as waves make products of two harmonics exact.
    pub fn symmetric_of(waves: usize, steps: usize) -> Self {
        let lifts = (0..=waves).map(Shape::LiftCos);
        let shapes = lifts.chain((1..=waves).map(Shape::ShiftSin)).collect();
        // Trapezoids on half the circumference stand for twice as many stations.
        let n = steps;
        let weight = |i: usize| if i == 0 || i == n { PI / n as f64 } else { 2.0 * PI / n as f64 };
        Self::new(shapes, (0..=n).map(|i| PI * i as f64 / n as f64).collect(), (0..=n).map(weight).collect())
    }

    /// For what has no symmetry.
    pub fn full() -> Self {
        let lifts = (0..=WAVES).map(Shape::LiftCos).chain((1..=WAVES).map(Shape::LiftSin));
        let shapes = lifts.chain((1..=WAVES).flat_map(|n| [Shape::ShiftSin(n), Shape::ShiftCos(n)])).collect();
        let n = 4 * WAVES;
        Self::new(shapes, (0..n).map(|i| 2.0 * PI * i as f64 / n as f64).collect(), vec![2.0 * PI / n as f64; n])
    }

    /// Whether it is for what is symmetric about the station at angle 0.
    pub fn is_symmetric(&self) -> bool {
        !self.shapes.contains(&Shape::LiftSin(1))
    }

    fn new(shapes: Vec<Shape>, angles: Vec<f64>, weights: Vec<f64>) -> Self {
        let fill = |of: fn(Shape, f64) -> f64| DMatrix::from_fn(angles.len(), shapes.len(), |i, j| of(shapes[j], angles[i]));
        Self {
            lift: fill(|shape, t| match shape {
                Shape::LiftCos(n) => (n as f64 * t).cos(),
                Shape::LiftSin(n) => (n as f64 * t).sin(),
                _ => 0.0,
            }),
            slope: fill(|shape, t| match shape {
                Shape::LiftCos(n) => -(n as f64) * (n as f64 * t).sin(),
                Shape::LiftSin(n) => n as f64 * (n as f64 * t).cos(),
                _ => 0.0,
            }),
            shift: fill(|shape, t| match shape {
                Shape::ShiftSin(n) => (n as f64 * t).sin(),
                Shape::ShiftCos(n) => (n as f64 * t).cos(),
                _ => 0.0,
            }),
            stretch: fill(|shape, t| match shape {
                Shape::ShiftSin(n) => n as f64 * (n as f64 * t).cos(),
                Shape::ShiftCos(n) => -(n as f64) * (n as f64 * t).sin(),
                _ => 0.0,
            }),
            weights: DVector::from_vec(weights),
            shapes,
            angles,
        }
    }

    /// Amplitudes of a lift given at the stations, with the shift that keeps the bundle's strain even where it can: v_n = -w_n / n.
    pub fn amplitudes(&self, lift: &[f64]) -> DVector<f64> {
        let project = |shape: Shape, column: usize| {
            let norm = if shape == Shape::LiftCos(0) { 2.0 * PI } else { PI };
            (0..lift.len()).map(|i| self.weights[i] * self.lift[(i, column)] * lift[i]).sum::<f64>() / norm
        };
        let lifts: Vec<f64> = self.shapes.iter().enumerate().map(|(j, shape)| project(*shape, j)).collect();
        let of = |wanted: Shape| self.shapes.iter().position(|s| *s == wanted).map_or(0.0, |j| lifts[j]);
        DVector::from_iterator(
            lifts.len(),
            self.shapes.iter().enumerate().map(|(j, shape)| match *shape {
                Shape::LiftCos(_) | Shape::LiftSin(_) => lifts[j],
                Shape::ShiftSin(n) => -of(Shape::LiftCos(n)) / n as f64,
                Shape::ShiftCos(n) => of(Shape::LiftSin(n)) / n as f64,
            }),
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bump_comes_back_from_its_amplitudes_at_an_even_strain() {
        for (basis, at) in [(Basis::symmetric(), 0.0), (Basis::full(), 1.1)] {
            let bump = |t: f64| {
                let away = (t - at + PI).rem_euclid(2.0 * PI) - PI;
                0.3 + if away.abs() < PI / 4.0 { 0.5 + 0.5 * (4.0 * away).cos() } else { 0.0 }
            };
            let lift: Vec<f64> = basis.angles.iter().map(|t| bump(*t)).collect();
            let x = basis.amplitudes(&lift);
            let (back, stretch) = (&basis.lift * &x, &basis.stretch * &x);
            assert!((basis.weights.sum() - 2.0 * PI).abs() < 1e-12);
            for (i, expected) in lift.iter().enumerate() {
                assert!((back[i] - expected).abs() < 2e-3, "{} {expected}", back[i]);
                assert!((back[i] - x[0] + stretch[i]).abs() < 1e-12, "even strain");
            }
        }
    }
}
