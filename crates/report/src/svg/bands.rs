//! Filled bands of a field that is straight over small triangles.

use std::fmt::Write;

/// A corner of a triangle: place on the canvas, value.
pub(crate) type Corner = ([f64; 2], f64);

/// Colours of the bands, light to dark: their order is that of lightness, so that it survives grey print and colour-blind eyes.
pub(crate) const RAMP: [&str; 8] = ["#f6f2e9", "#eedfbe", "#e3c48d", "#d4a35f", "#c07f3f", "#a35a2c", "#7d3a22", "#541f1a"];

/// Bands of equal width between 0 and `top`; the last is open upward.
pub(crate) struct Bands {
    top: f64,
    paths: [String; RAMP.len()],
}

impl Bands {
    pub(crate) fn new(top: f64) -> Self {
        Self { top: top.max(1e-12), paths: Default::default() }
    }

    /// Lower end of a band.
    pub(crate) fn from(&self, band: usize) -> f64 {
        self.top * band as f64 / RAMP.len() as f64
    }

    /// Adds a triangle, cut where its values pass from band to band.
    pub(crate) fn add(&mut self, triangle: [Corner; 3]) {
        for band in 0..RAMP.len() {
            let low = if band == 0 { f64::NEG_INFINITY } else { self.from(band) };
            let high = if band + 1 == RAMP.len() { f64::INFINITY } else { self.from(band + 1) };
            if triangle.iter().all(|c| c.1 <= low) || triangle.iter().all(|c| c.1 > high) {
                continue;
            }
            let cut = clip(&clip(&triangle, |v| v - low), |v| high - v);
            if cut.len() < 3 {
                continue;
            }
            for (i, (at, _)) in cut.iter().enumerate() {
                let step = if i == 0 { 'M' } else { 'L' };
                // Writing to a String cannot fail.
                let _ = write!(self.paths[band], "{step}{:.1} {:.1}", at[0], at[1]);
            }
            self.paths[band].push('Z');
        }
    }

    /// One path for each band that is not empty, stroked with its own colour against hairline seams.
    pub(crate) fn markup(&self) -> String {
        let mut out = String::new();
        for (path, colour) in self.paths.iter().zip(RAMP).filter(|(path, _)| !path.is_empty()) {
            let _ = writeln!(out, "<path d=\"{path}\" fill=\"{colour}\" stroke=\"{colour}\" stroke-width=\"0.4\"/>");
        }
        out
    }
}

/// The part of a polygon where `inside` of the value is not negative (Sutherland and Hodgman, from memory).
fn clip(polygon: &[Corner], inside: impl Fn(f64) -> f64) -> Vec<Corner> {
    let mut kept = Vec::with_capacity(polygon.len() + 1);
    for i in 0..polygon.len() {
        let (a, b) = (polygon[i], polygon[(i + 1) % polygon.len()]);
        let (da, db) = (inside(a.1), inside(b.1));
        if da >= 0.0 {
            kept.push(a);
        }
        if (da >= 0.0) != (db >= 0.0) && da.is_finite() && db.is_finite() {
            let share = da / (da - db);
            let mix = |x: f64, y: f64| x + share * (y - x);
            kept.push(([mix(a.0[0], b.0[0]), mix(a.0[1], b.0[1])], mix(a.1, b.1)));
        }
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_triangle_over_two_bands_is_cut_between_them() {
        let mut bands = Bands::new(8.0);
        bands.add([([0.0, 0.0], 0.0), ([10.0, 0.0], 2.0), ([0.0, 10.0], 0.0)]);
        assert_eq!(bands.paths[0], "M0.0 0.0L5.0 0.0L5.0 5.0L0.0 10.0Z");
        assert_eq!(bands.paths[1], "M5.0 0.0L10.0 0.0L5.0 5.0Z");
        assert!(bands.paths[2].is_empty());
    }

    #[test]
    fn values_beyond_the_top_fall_into_the_last_band() {
        let mut bands = Bands::new(8.0);
        bands.add([([0.0, 0.0], 9.0), ([10.0, 0.0], 9.0), ([0.0, 10.0], 9.0)]);
        assert!(bands.markup().contains(RAMP[7]));
    }
}
