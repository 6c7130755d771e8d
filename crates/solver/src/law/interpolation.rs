//! Cubic interpolation that makes no extremes of its own between given points.

/// A curve through points, once differentiable, monotonic wherever the points are; straight beyond its ends.
/// Slopes after Fritsch and Butland, SIAM J. Sci. Stat. Comput. 5 (1984) 300 (from memory).
#[derive(Clone, Debug, PartialEq)]
pub struct Curve {
    x: Vec<f64>,
    y: Vec<f64>,
    slopes: Vec<f64>,
}

impl Curve {
    /// Through points of rising `x`; at least two, else none.
    pub fn new(x: Vec<f64>, y: Vec<f64>) -> Option<Self> {
        if x.len() < 2 || x.len() != y.len() || x.windows(2).any(|w| w[1] <= w[0]) {
            return None;
        }
        let chords: Vec<f64> = (1..x.len()).map(|i| (y[i] - y[i - 1]) / (x[i] - x[i - 1])).collect();
        let inner = |i: usize| {
            let (a, b) = (chords[i - 1], chords[i]);
            let (before, after) = (x[i] - x[i - 1], x[i + 1] - x[i]);
            let share = (before + 2.0 * after) / (3.0 * (before + after));
            if a * b > 0.0 { a * b / (share * b + (1.0 - share) * a) } else { 0.0 }
        };
        let last = chords.len() - 1;
        let slopes = (0..x.len())
            .map(|i| {
                if i == 0 {
                    chords[0]
                } else if i > last {
                    chords[last]
                } else {
                    inner(i)
                }
            })
            .collect();
        Some(Self { x, y, slopes })
    }

    /// Value and derivative.
    pub fn at(&self, x: f64) -> (f64, f64) {
        let last = self.x.len() - 1;
        if x <= self.x[0] {
            return (self.y[0] + self.slopes[0] * (x - self.x[0]), self.slopes[0]);
        }
        if x >= self.x[last] {
            return (self.y[last] + self.slopes[last] * (x - self.x[last]), self.slopes[last]);
        }
        let i = self.x.partition_point(|k| *k <= x) - 1;
        let h = self.x[i + 1] - self.x[i];
        let t = (x - self.x[i]) / h;
        let (a, b, p, q) = (self.y[i], self.y[i + 1], h * self.slopes[i], h * self.slopes[i + 1]);
        // y = a + p t + c t^2 + d t^3.
        let (c, d) = (3.0 * (b - a) - 2.0 * p - q, 2.0 * (a - b) + p + q);
        (a + t * (p + t * (c + t * d)), (p + t * (2.0 * c + 3.0 * t * d)) / h)
    }

    /// Value and derivative where the points are; the end's value beyond.
    pub fn held(&self, x: f64) -> (f64, f64) {
        let [from, to] = self.range();
        if (from..=to).contains(&x) { self.at(x) } else { (self.at(x.clamp(from, to)).0, 0.0) }
    }

    /// The curve times a factor.
    #[must_use]
    pub fn scaled(&self, factor: f64) -> Self {
        let times = |values: &[f64]| values.iter().map(|v| factor * v).collect();
        Self { x: self.x.clone(), y: times(&self.y), slopes: times(&self.slopes) }
    }

    /// Where the points begin and end.
    pub fn range(&self) -> [f64; 2] {
        [self.x[0], self.x[self.x.len() - 1]]
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn a_curve_meets_its_points_and_stays_between_them() {
        let (x, y) = (vec![0.0, 0.1, 0.5, 1.0, 2.0], vec![20.0, 4.0, 1.0, 1.0, 3.0]);
        let curve = Curve::new(x.clone(), y.clone()).unwrap();
        x.iter().zip(&y).for_each(|(x, y)| assert_relative_eq!(curve.at(*x).0, *y, max_relative = 1e-14));
        for k in 0..=200 {
            let (value, slope) = curve.at(0.01 * f64::from(k));
            assert!((1.0 - 1e-12..=20.0).contains(&value), "{value}");
            let h = 1e-7;
            let difference = (curve.at(0.01 * f64::from(k) + h).0 - curve.at(0.01 * f64::from(k) - h).0) / (2.0 * h);
            assert!((slope - difference).abs() < 1e-4 * (1.0 + slope.abs()), "{slope} {difference}");
        }
        assert_relative_eq!(curve.at(3.0).0, 5.0, max_relative = 1e-12);
        assert!(Curve::new(vec![0.0, 0.0], vec![1.0, 2.0]).is_none() && Curve::new(vec![0.0], vec![1.0]).is_none());
    }
}
