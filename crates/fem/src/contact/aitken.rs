//! Relaxation of a vector fixed-point iteration from its last two residuals.
//!
//! Augmentation leaves a few stiff spots that shrink by the same factor each time; the step that would have removed their change is
//! w <- -w r0 . (r1 - r0) / |r1 - r0|^2. Source: Irons and Tuck, Int. J. Numer. Methods Eng. 1 (1969) 275 (from memory).

/// Factor on the first correction: the iteration converges for factors under 2, and the stiff places that set its pace nearly twice as
/// fast as with 1.
pub const FIRST: f64 = 1.7;
/// Largest factor: beyond it the residuals are noise.
const LARGEST: f64 = 12.0;

/// The iteration so far.
#[derive(Clone, Debug, Default)]
pub struct Aitken {
    last: Option<(Vec<f64>, f64)>,
}

impl Aitken {
    /// Factor for the correction by the residual now at hand.
    pub fn relaxation(&mut self, residual: Vec<f64>) -> f64 {
        let factor = match &self.last {
            None => FIRST,
            Some((before, factor)) => {
                let (mut along, mut size) = (0.0, 0.0);
                for (r0, r1) in before.iter().zip(&residual) {
                    along += r0 * (r1 - r0);
                    size += (r1 - r0) * (r1 - r0);
                }
                if size > 0.0 { (-factor * along / size).clamp(1.0, LARGEST) } else { FIRST }
            }
        };
        self.last = Some((residual, factor));
        factor
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Fixed-point iteration x <- x - w (x - 3) k on modes of stiffness k.
    fn iterate(count: usize, accelerated: bool) -> f64 {
        let stiffness = [1.0, 0.2];
        let mut x = [0.0; 2];
        let mut aitken = Aitken::default();
        for _ in 0..count {
            let residual: Vec<f64> = (0..2).map(|i| stiffness[i] * (x[i] - 3.0)).collect();
            let factor = aitken.relaxation(residual.clone());
            for i in 0..2 {
                x[i] -= if accelerated { factor } else { FIRST } * residual[i];
            }
        }
        (x[0] - 3.0).hypot(x[1] - 3.0)
    }

    #[test]
    fn a_slow_mode_is_caught() {
        assert!(iterate(8, true) < 0.1 * iterate(8, false), "{} {}", iterate(8, true), iterate(8, false));
    }
}
