//! The inflated casing as a membrane of revolution of inextensible cords.
//!
//! rho radius, rho_m where the meridian is widest, rho_c crown, phi the angle between meridian and radial direction, alpha the cord
//! angle from the hoop direction. Axial balance of an annulus: N_phi rho sin phi = p (rho^2 - rho_m^2) / 2. With the cords' pantograph
//! law cos alpha / rho = const the hoop resultant is N_phi cot^2 alpha and
//! sin phi = (rho^2 - rho_m^2) sin alpha / ((rho_c^2 - rho_m^2) sin alpha_c); radial cords are the case alpha = 90 degrees.
//! The meridian follows from z(rho) = int tan phi drho and its length int drho / cos phi, with rho = rho_c - u^2 at the crown.
//! Sources: R. S. Rivlin, Arch. Ration. Mech. Anal. 2 (1959) 447; J. F. Purdy, Mathematics Underlying the Design of Pneumatic Tires
//! (1963): both not read, the formulas are derived here.

/// A solved membrane; pressures divide out, so forces are per MPa.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Netting {
    /// Radius of the beads, mm.
    pub bead_radius: f64,
    /// Radius at the crown, mm.
    pub crown: f64,
    /// Radius at the widest point, mm.
    pub widest: f64,
    /// Crown cord angle, rad.
    pub angle: f64,
    /// Largest width, mm.
    pub width: f64,
    /// Area between the meridian and the line of the beads, mm^2.
    pub area: f64,
    /// Angle between meridian and radial direction at the bead, rad, positive when it leans outward.
    pub lean: f64,
    /// Bead tension over pressure, N/MPa.
    pub tension: f64,
    /// Meridian tension at the bead over pressure, per radian, N/MPa.
    pub meridian: f64,
    /// Axial push on one wall over pressure, per radian, N/MPa.
    pub push: f64,
    /// Integral of the hoop resultant along the meridian over pressure, N/MPa.
    pub hoop: f64,
}

/// Why a membrane has no shape.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum NettingError {
    /// The meridian is shorter than the distance of the beads.
    #[error("the casing is too short: {length:.1} mm between beads {spacing:.1} mm apart")]
    TooShort {
        /// Meridian length, mm.
        length: f64,
        /// Bead spacing, mm.
        spacing: f64,
    },
    /// No shape was found.
    #[error("no inflated membrane shape was found for these dimensions")]
    NoShape,
}

/// Sixteen-point Gauss-Legendre rule, positive half: (abscissa, weight). Abramowitz and Stegun, table 25.4 (from memory, checked by test).
const GAUSS_16: [(f64, f64); 8] = [
    (0.095_012_509_837_637_44, 0.189_450_610_455_068_5),
    (0.281_603_550_779_258_9, 0.182_603_415_044_923_6),
    (0.458_016_777_657_227_4, 0.169_156_519_395_002_5),
    (0.617_876_244_402_643_7, 0.149_595_988_816_576_7),
    (0.755_404_408_355_003, 0.124_628_971_255_533_9),
    (0.865_631_202_387_831_7, 0.095_158_511_682_492_8),
    (0.944_575_023_073_232_6, 0.062_253_523_938_647_9),
    (0.989_400_934_991_649_9, 0.027_152_459_411_754_1),
];

/// Integrals over [0, b] by the sixteen-point rule on four panels.
fn integral<const N: usize>(b: f64, f: impl Fn(f64) -> [f64; N]) -> [f64; N] {
    let half = b / 8.0;
    let mut sums = [0.0; N];
    for panel in 0..4 {
        let middle = half * f64::from(2 * panel + 1);
        for (x, w) in GAUSS_16 {
            let (below, above) = (f(middle - half * x), f(middle + half * x));
            for k in 0..N {
                sums[k] += half * w * (below[k] + above[k]);
            }
        }
    }
    sums
}

/// A trial shape.
#[derive(Clone, Copy)]
struct Shape {
    crown: f64,
    widest: f64,
    angle: f64,
}

impl Shape {
    fn sin_alpha(&self, rho: f64) -> f64 {
        let cos = rho * self.angle.cos() / self.crown;
        (1.0 - cos * cos).sqrt()
    }

    fn sin_phi(&self, rho: f64) -> f64 {
        let (c, m) = (self.crown, self.widest);
        (rho * rho - m * m) / (c * c - m * m) * self.sin_alpha(rho) / self.angle.sin()
    }

    /// Integrals of g(rho, sin phi) / cos phi drho from `from` to the crown.
    fn along<const N: usize>(&self, from: f64, g: impl Fn(f64, f64) -> [f64; N]) -> [f64; N] {
        if from >= self.crown {
            return [0.0; N];
        }
        integral((self.crown - from).sqrt(), |u| {
            let rho = self.crown - u * u;
            let sin = self.sin_phi(rho);
            let step = 2.0 * u / (1.0 - sin * sin).sqrt();
            g(rho, sin).map(|value| value * step)
        })
    }
}

impl Netting {
    /// Solves the membrane between beads of radius `bead_radius` a distance `spacing` apart, of meridian length `length` (mm), with the
    /// cord angle `angle` at the crown, rad.
    ///
    /// # Errors
    /// [`NettingError`] when there is no such shape.
    pub fn new(bead_radius: f64, spacing: f64, length: f64, angle: f64) -> Result<Self, NettingError> {
        if length <= 1.02 * spacing {
            return Err(NettingError::TooShort { length, spacing });
        }
        let misfit = |crown: f64, widest: f64| {
            let shape = Shape { crown, widest, angle };
            let [across, along] = shape.along(bead_radius, |_, sin| [sin, 1.0]);
            [2.0 * across - spacing, 2.0 * along - length]
        };
        let [mut crown, mut widest] = circle(bead_radius, spacing, length);
        let mut r = misfit(crown, widest);
        for _ in 0..60 {
            if !r[0].is_finite() || !r[1].is_finite() {
                return Err(NettingError::NoShape);
            }
            if r[0].abs() + r[1].abs() < 1e-10 * length {
                return Ok(Self::of(Shape { crown, widest, angle }, bead_radius));
            }
            let h = 1e-5;
            let (a, b) = (misfit(crown + h, widest), misfit(crown - h, widest));
            let (c, d) = (misfit(crown, widest + h), misfit(crown, widest - h));
            let j =
                [[(a[0] - b[0]) / (2.0 * h), (c[0] - d[0]) / (2.0 * h)], [(a[1] - b[1]) / (2.0 * h), (c[1] - d[1]) / (2.0 * h)]];
            let det = j[0][0] * j[1][1] - j[0][1] * j[1][0];
            let step = [(-r[0] * j[1][1] + r[1] * j[0][1]) / det, (-r[1] * j[0][0] + r[0] * j[1][0]) / det];
            let mut factor = 1.0;
            loop {
                let (x, y) = (crown + factor * step[0], widest + factor * step[1]);
                let next = misfit(x, y);
                let admissible = y < x && y > 0.0 && next[0].is_finite() && next[1].is_finite();
                if admissible && next[0].hypot(next[1]) < r[0].hypot(r[1]) {
                    (crown, widest, r) = (x, y, next);
                    break;
                }
                factor *= 0.5;
                if factor < 1e-6 {
                    return Err(NettingError::NoShape);
                }
            }
        }
        Err(NettingError::NoShape)
    }

    fn of(shape: Shape, bead_radius: f64) -> Self {
        let (c, m) = (shape.crown, shape.widest);
        let sin_b = shape.sin_phi(bead_radius);
        let push = 0.5 * (m * m - bead_radius * bead_radius);
        // N_phi / p has no pole at the widest point when written without sin phi.
        let meridian = |rho: f64| 0.5 * (c * c - m * m) * shape.angle.sin() / (rho * shape.sin_alpha(rho));
        let cot2 = |rho: f64| 1.0 / shape.sin_alpha(rho).powi(2) - 1.0;
        let [half_width] = shape.along(m, |_, sin| [sin]);
        let [area, hoop] = shape.along(bead_radius, |rho, sin| [(rho - bead_radius) * sin, meridian(rho) * cot2(rho)]);
        Self {
            bead_radius,
            crown: c,
            widest: m,
            angle: shape.angle,
            width: 2.0 * half_width,
            area: 2.0 * area,
            lean: -sin_b.asin(),
            tension: bead_radius * meridian(bead_radius) * (1.0 - sin_b * sin_b).sqrt(),
            meridian: bead_radius * meridian(bead_radius),
            push,
            hoop: 2.0 * hoop,
        }
    }

    /// Points (r, z) of the meridian from the bead to the crown, `n` + 1 of them, and the meridian length up to each, mm.
    pub fn meridian(&self, n: usize) -> Vec<([f64; 2], f64)> {
        let shape = Shape { crown: self.crown, widest: self.widest, angle: self.angle };
        let end = (self.crown - self.bead_radius).sqrt();
        let [whole] = shape.along(self.bead_radius, |_, _| [1.0]);
        (0..=n)
            .map(|k| {
                let u = end * (1.0 - k as f64 / n as f64);
                let rho = self.crown - u * u;
                let [across, beyond] = shape.along(rho, |_, sin| [sin, 1.0]);
                ([rho, across], whole - beyond)
            })
            .collect()
    }
}

/// Crown and widest radius of the circle through the beads with the meridian length given: the start of the search.
fn circle(bead_radius: f64, spacing: f64, length: f64) -> [f64; 2] {
    // Width W >= spacing with W (pi - asin(spacing / W)) = length, or a flatter arc taken as a half circle.
    let (mut low, mut high) = (spacing, length);
    for _ in 0..60 {
        let w = 0.5 * (low + high);
        if w * (std::f64::consts::PI - (spacing / w).asin()) < length { low = w } else { high = w }
    }
    let radius = 0.5 * low;
    let rise = (radius * radius - 0.25 * spacing * spacing).max(0.04 * radius * radius).sqrt();
    [bead_radius + rise + radius, bead_radius + rise]
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use approx::assert_relative_eq;

    /// Meridian length of a circle of radius 14 mm on beads 19 mm apart.
    const LENGTH: f64 = 67.0817;

    #[test]
    fn the_rule_is_exact_to_degree_31() {
        for degree in [0, 7, 30, 31] {
            assert_relative_eq!(
                integral(2.0, |x| [x.powi(degree)])[0],
                2.0_f64.powi(degree + 1) / f64::from(degree + 1),
                max_relative = 1e-13
            );
        }
    }

    /// Reference rows: an independent evaluation of the same formulas in another language (values derived, not published).
    #[test]
    fn reference_membranes() {
        let check =
            |angle: f64, spacing: f64, crown: f64, widest: f64, width: f64, area: f64, lean: f64, tension: f64, hoop: f64| {
                let n = Netting::new(311.0, spacing, LENGTH, angle.to_radians()).unwrap();
                assert_relative_eq!(n.crown, crown, max_relative = 1e-6);
                assert_relative_eq!(n.widest, widest, max_relative = 1e-6);
                assert_relative_eq!(n.width, width, max_relative = 1e-5);
                assert_relative_eq!(n.area, area, max_relative = 2e-5);
                assert_relative_eq!(n.lean.to_degrees(), lean, max_relative = 2e-5);
                assert_relative_eq!(0.5 * n.tension, tension, max_relative = 1e-5);
                assert_relative_eq!(0.5 * n.hoop, hoop, epsilon = 5e-3);
            };
        check(90.0, 19.0, 335.4582, 321.4036, 27.7695, 567.19, 45.452, 1619.05, 0.0);
        check(45.0, 19.0, 335.1301, 321.1908, 28.1957, 567.21, 48.720, 1413.98, 410.15);
        check(45.0, 25.0, 335.0735, 319.8428, 30.8384, 625.01, 36.636, 1875.37, 449.26);
    }

    #[test]
    fn twice_the_tension_and_the_hoop_forces_balance_the_pressure_on_the_section() {
        for (spacing, length, angle, radius) in [(17.0, 67.0, 0.8, 313.0), (40.0, 140.0, 1.2, 280.0), (12.0, 50.0, 0.6, 200.0)] {
            let n = Netting::new(radius, spacing, length, angle).unwrap();
            assert_relative_eq!(2.0 * n.tension + n.hoop, n.area + radius * spacing, max_relative = 1e-8);
        }
    }

    #[test]
    fn a_wider_rim_widens_the_tyre_by_the_membrane_formula() {
        // dW/dw = 1 / (sin psi + (pi - psi) cos psi), sin psi = w / W, for a circular section (derived; the trade's "0.4 rule").
        let width = |w: f64| Netting::new(311.0, w, LENGTH, std::f64::consts::FRAC_PI_2).unwrap().width;
        let psi = (20.0 / width(20.0)).asin();
        let expected = 1.0 / (psi.sin() + (std::f64::consts::PI - psi) * psi.cos());
        assert_relative_eq!((width(20.5) - width(19.5)) / 1.0, expected, max_relative = 0.05);
    }

    #[test]
    fn plausible_dimensions_all_have_a_shape_and_a_short_casing_is_refused() {
        let mut count = 0;
        for radius in [190.0, 280.0, 330.0] {
            for spacing in [10.0, 25.0, 45.0] {
                for ratio in [2.2, 2.8, 3.6] {
                    for angle in [35.0_f64, 45.0, 60.0, 90.0] {
                        let n = Netting::new(radius, spacing, ratio * spacing, angle.to_radians()).unwrap();
                        assert!(n.tension > 0.0 && n.width > spacing * 0.99, "{radius} {spacing} {ratio} {angle}");
                        count += 1;
                    }
                }
            }
        }
        assert_eq!(count, 108);
        assert!(matches!(Netting::new(311.0, 60.0, 50.0, 1.0), Err(NettingError::TooShort { .. })));
    }
}
