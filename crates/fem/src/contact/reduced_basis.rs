//! How a profile moves with the body that carries it: a few modes, each a displacement field along the profile.
//!
//! u(s) = sum_k q_k phi_k(s) over the arc length s, the amplitudes q_k being unknowns of the system. Between knots the modes are cubic
//! with continuous slope, so that the carried profile is as smooth as the profile. Displacements are small: a point of the profile is
//! told by its arc length at rest, and pressure on the body acts on its shape at rest.

use crate::contribution::MAX_DOFS;
use crate::quadrature::GAUSS_4;
use hoopwright_profile::Profile;
use std::f64::consts::PI;

/// Largest number of modes: what the unknowns of one contact edge leave room for.
pub const MAX_MODES: usize = MAX_DOFS - 9;
/// Longest interval between knots, mm.
const INTERVAL: f64 = 0.2;

/// One value for each mode: (r, z).
pub type PerMode = [[f64; 2]; MAX_MODES];

/// Modes of a profile.
#[derive(Clone, Debug, PartialEq)]
pub struct ReducedBasis {
    first_dof: usize,
    n: usize,
    /// Whether every mode moves all points alike.
    uniform: bool,
    knots: Vec<Knot>,
}

/// The modes at one arc length.
#[derive(Clone, Debug, PartialEq)]
struct Knot {
    arc: f64,
    value: PerMode,
    slope: PerMode,
    /// int phi_k . n 2 pi r ds from the start of the profile to here, mm^2.
    lifted: [f64; MAX_MODES],
}

impl ReducedBasis {
    /// A profile that does not move.
    pub fn fixed() -> Self {
        Self { first_dof: 0, n: 0, uniform: true, knots: Vec::new() }
    }

    /// A profile that moves radially as a whole by the unknown `dof`.
    pub fn rigid(profile: &Profile, dof: usize) -> Self {
        let mut basis = Self::new(profile, dof, &[&|_| [1.0, 0.0]]);
        basis.uniform = true;
        basis
    }

    /// Modes given as displacements (r, z) by arc length; their amplitudes are the unknowns from `first_dof` on. Modes beyond
    /// [`MAX_MODES`] are left out.
    pub fn new(profile: &Profile, first_dof: usize, modes: &[&dyn Fn(f64) -> [f64; 2]]) -> Self {
        let n = modes.len().min(MAX_MODES);
        let at = |arc: f64| {
            let mut value = PerMode::default();
            value.iter_mut().zip(modes).for_each(|(v, mode)| *v = mode(arc));
            Knot { arc, value, slope: PerMode::default(), lifted: [0.0; MAX_MODES] }
        };
        let mut basis = Self { first_dof, n, uniform: false, knots: arcs(profile).into_iter().map(at).collect() };
        basis.find_slopes();
        basis.find_lifted(profile);
        basis
    }

    /// Number of modes.
    pub fn n_modes(&self) -> usize {
        self.n
    }

    /// The unknowns of the amplitudes.
    pub fn dofs(&self) -> std::ops::Range<usize> {
        self.first_dof..self.first_dof + self.n
    }

    /// Whether every mode moves all points alike.
    pub fn is_uniform(&self) -> bool {
        self.uniform
    }

    /// Displacement at an arc length under the unknowns `u`, mm, and its derivative by arc length. Beyond the ends that of the end.
    pub fn displacement(&self, arc: f64, u: &[f64]) -> ([f64; 2], [f64; 2]) {
        let (mut shift, mut slope) = ([0.0; 2], [0.0; 2]);
        if self.n == 0 {
            return (shift, slope);
        }
        let (value, by_arc) = self.modes(arc);
        for (k, q) in u[self.dofs()].iter().enumerate() {
            for i in 0..2 {
                shift[i] += q * value[k][i];
                slope[i] += q * by_arc[k][i];
            }
        }
        (shift, slope)
    }

    /// All modes at an arc length, and their derivatives by it.
    pub fn modes(&self, arc: f64) -> (PerMode, PerMode) {
        let (mut value, mut by_arc) = (PerMode::default(), PerMode::default());
        let (Some(first), Some(last)) = (self.knots.first(), self.knots.last()) else { return (value, by_arc) };
        if self.uniform || arc <= first.arc || arc >= last.arc {
            return (if arc >= last.arc { last.value } else { first.value }, by_arc);
        }
        let (a, b) = self.interval(arc);
        let h = b.arc - a.arc;
        let x = (arc - a.arc) / h;
        // Cubic Hermite functions and their derivatives.
        let f = [
            (1.0 + 2.0 * x) * (1.0 - x) * (1.0 - x),
            h * x * (1.0 - x) * (1.0 - x),
            x * x * (3.0 - 2.0 * x),
            h * x * x * (x - 1.0),
        ];
        let bend = 6.0 * x * (x - 1.0) / h;
        let d = [bend, (1.0 - x) * (1.0 - 3.0 * x), -bend, x * (3.0 * x - 2.0)];
        for k in 0..self.n {
            for i in 0..2 {
                let c = [a.value[k][i], a.slope[k][i], b.value[k][i], b.slope[k][i]];
                value[k][i] = f[0] * c[0] + f[1] * c[1] + f[2] * c[2] + f[3] * c[3];
                by_arc[k][i] = d[0] * c[0] + d[1] * c[1] + d[2] * c[2] + d[3] * c[3];
            }
        }
        (value, by_arc)
    }

    /// int phi_k . n 2 pi r ds from the start of the profile to an arc length, mm^2: minus the work of a unit pressure on the profile
    /// by each mode. And the integrands there, mm.
    pub fn lifted(&self, profile: &Profile, arc: f64) -> ([f64; MAX_MODES], [f64; MAX_MODES]) {
        let (Some(first), Some(last)) = (self.knots.first(), self.knots.last()) else { return Default::default() };
        let end = arc.clamp(first.arc, last.arc);
        let a = self.interval(end).0;
        let mut sum = a.lifted;
        self.add_lifted(profile, a.arc, end, &mut sum);
        (sum, self.integrand(profile, end))
    }

    /// The knots on both sides of an arc length inside the range.
    fn interval(&self, arc: f64) -> (&Knot, &Knot) {
        let after = self.knots.partition_point(|k| k.arc <= arc).clamp(1, self.knots.len() - 1);
        (&self.knots[after - 1], &self.knots[after])
    }

    /// Slopes of the parabolas through each knot and its neighbours.
    fn find_slopes(&mut self) {
        let last = self.knots.len() - 1;
        for j in 0..=last {
            let middle = j.clamp(1, last.max(2) - 1);
            let [a, b, c] = [middle - 1, middle, middle + 1].map(|i| &self.knots[i.min(last)]);
            let (h, g, x) = (b.arc - a.arc, c.arc - b.arc, self.knots[j].arc);
            let mut slope = PerMode::default();
            for k in 0..self.n {
                for i in 0..2 {
                    let (before, after) = ((b.value[k][i] - a.value[k][i]) / h, (c.value[k][i] - b.value[k][i]) / g);
                    slope[k][i] = before + (after - before) / (h + g) * (2.0 * x - a.arc - b.arc);
                }
            }
            self.knots[j].slope = slope;
        }
    }

    fn find_lifted(&mut self, profile: &Profile) {
        let mut sum = [0.0; MAX_MODES];
        for j in 1..self.knots.len() {
            let (from, to) = (self.knots[j - 1].arc, self.knots[j].arc);
            self.add_lifted(profile, from, to, &mut sum);
            self.knots[j].lifted = sum;
        }
    }

    fn add_lifted(&self, profile: &Profile, from: f64, to: f64, sum: &mut [f64; MAX_MODES]) {
        for (xi, w) in GAUSS_4 {
            let at = self.integrand(profile, 0.5 * (from + to) + 0.5 * (to - from) * xi);
            for k in 0..self.n {
                sum[k] += 0.5 * (to - from) * w * at[k];
            }
        }
    }

    /// phi_k . n 2 pi r at an arc length, mm.
    fn integrand(&self, profile: &Profile, arc: f64) -> [f64; MAX_MODES] {
        let ([r, _], [tr, tz]) = (profile.point(arc), profile.tangent(arc));
        self.modes(arc).0.map(|[a, b]| 2.0 * PI * r * (a * tz - b * tr))
    }
}

/// Arc lengths of the knots: where the profile's pieces meet, and points between no further apart than the interval.
fn arcs(profile: &Profile) -> Vec<f64> {
    let mut arcs = vec![0.0];
    for pair in profile.breaks().windows(2) {
        let n = ((pair[1] - pair[0]) / INTERVAL).ceil().max(1.0) as usize;
        arcs.extend((1..=n).map(|i| pair[0] + (pair[1] - pair[0]) * i as f64 / n as f64));
    }
    arcs
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use approx::assert_relative_eq;
    use hoopwright_profile::Corner;

    fn profile() -> Profile {
        let corner = |r: f64, z: f64, radius: f64| Corner { position: [r, z], radius, label: 0, fillet_label: 0 };
        Profile::new(&[corner(300.0, 0.0, 0.0), corner(300.0, 10.0, 1.0), corner(306.0, 10.0, 0.8), corner(306.0, 12.0, 0.0)])
            .unwrap()
    }

    #[test]
    fn a_parabola_is_met_with_its_slope_between_the_knots_and_kept_beyond_the_ends() {
        let profile = profile();
        let basis = ReducedBasis::new(&profile, 1, &[&|s| [0.1 * s * s, 0.3 * s], &|_| [0.0, 1.0]]);
        let (shift, slope) = basis.displacement(3.33, &[9.0, 2.0, 0.5]);
        assert_relative_eq!(shift[0], 0.2 * 3.33 * 3.33, max_relative = 1e-12);
        assert_relative_eq!(shift[1], 0.6 * 3.33 + 0.5, max_relative = 1e-12);
        assert_relative_eq!(slope[0], 0.4 * 3.33, max_relative = 1e-12);
        assert_relative_eq!(slope[1], 0.6, max_relative = 1e-12);
        let end = profile.length();
        assert_relative_eq!(basis.displacement(end + 1.0, &[0.0, 1.0, 0.0]).0[0], 0.1 * end * end, max_relative = 1e-12);
    }

    #[test]
    fn pressure_on_a_radial_mode_raises_the_area_of_revolution() {
        let profile = profile();
        let basis = ReducedBasis::rigid(&profile, 0);
        for arc in [4.2, 9.3, 9.9, 12.0] {
            let (lifted, slope) = basis.lifted(&profile, arc);
            assert_relative_eq!(lifted[0], 2.0 * PI * profile.moment(arc), max_relative = 1e-12);
            assert_relative_eq!(slope[0], 2.0 * PI * profile.point(arc)[0] * profile.tangent(arc)[1], max_relative = 1e-9);
        }
    }
}
