//! Colours of a map's fields: a ramp of even perceptual steps that falls in lightness all along, so that it reads in grey and for
//! colour-blind eyes.
//!
//! Oklab and its conversion: B. Ottosson, "A perceptual color space for image processing", 2020 (matrices from memory).

/// Lightness, chroma and hue (deg) of the ramp's stations: sand, green, deep blue.
const STATIONS: [[f64; 3]; 3] = [[0.94, 0.045, 95.0], [0.66, 0.085, 190.0], [0.32, 0.095, 262.0]];
/// Pieces of the ramp between which lengths are measured.
const PIECES: usize = 256;

/// Colour `k` of `n`, from pale for the smallest values to dark.
pub(in crate::svg) fn colour(k: usize, n: usize) -> String {
    let [r, g, b] = srgb(lab(k, n)).map(|c| (255.0 * c.clamp(0.0, 1.0)).round() as u8);
    format!("#{r:02x}{g:02x}{b:02x}")
}

/// Oklab coordinates of colour `k` of `n`: at even distance along the ramp.
fn lab(k: usize, n: usize) -> [f64; 3] {
    let path: Vec<[f64; 3]> = (0..=PIECES).map(|i| along(i as f64 / PIECES as f64)).collect();
    let mut lengths = vec![0.0];
    for pair in path.windows(2) {
        lengths.push(lengths[lengths.len() - 1] + distance(pair[0], pair[1]));
    }
    let wanted = lengths[PIECES] * k as f64 / (n.max(2) - 1) as f64;
    let i = lengths.iter().position(|l| *l >= wanted).unwrap_or(PIECES).max(1);
    let share = (wanted - lengths[i - 1]) / (lengths[i] - lengths[i - 1]);
    std::array::from_fn(|c| path[i - 1][c] + share * (path[i][c] - path[i - 1][c]))
}

/// The ramp before it is evened: lightness, chroma and hue straight between the stations.
fn along(t: f64) -> [f64; 3] {
    let (i, s) = if t < 0.5 { (0, 2.0 * t) } else { (1, 2.0 * t - 1.0) };
    let [l, c, h]: [f64; 3] = std::array::from_fn(|k| STATIONS[i][k] + s * (STATIONS[i + 1][k] - STATIONS[i][k]));
    let hue = h.to_radians();
    [l, c * hue.cos(), c * hue.sin()]
}

fn distance(a: [f64; 3], b: [f64; 3]) -> f64 {
    (0..3).map(|k| (a[k] - b[k]).powi(2)).sum::<f64>().sqrt()
}

/// sRGB from Oklab, 0 to 1 inside the gamut.
fn srgb([l, a, b]: [f64; 3]) -> [f64; 3] {
    let cone = [
        l + 0.396_337_777_4 * a + 0.215_803_757_3 * b,
        l - 0.105_561_345_8 * a - 0.063_854_172_8 * b,
        l - 0.089_484_177_5 * a - 1.291_485_548 * b,
    ];
    let [l, m, s] = cone.map(|c| c.powi(3));
    let linear = [
        4.076_741_662_1 * l - 3.307_711_591_3 * m + 0.230_969_929_2 * s,
        -1.268_438_004_6 * l + 2.609_757_401_1 * m - 0.341_319_396_5 * s,
        -0.004_196_086_3 * l - 0.703_418_614_7 * m + 1.707_614_701 * s,
    ];
    linear.map(|c| if c <= 0.003_130_8 { 12.92 * c } else { 1.055 * c.powf(1.0 / 2.4) - 0.055 })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_are_even_fall_in_lightness_and_can_be_shown() {
        for n in [2, 6, 9] {
            let colours: Vec<[f64; 3]> = (0..n).map(|k| lab(k, n)).collect();
            let steps: Vec<f64> = colours.windows(2).map(|pair| distance(pair[0], pair[1])).collect();
            assert!(steps.iter().all(|step| (step / steps[0] - 1.0).abs() < 0.02), "{steps:?}");
            assert!(colours.windows(2).all(|pair| pair[1][0] < pair[0][0] - 0.4 * steps[0]), "{colours:?}");
            assert!(colours.iter().all(|c| srgb(*c).iter().all(|v| (0.0..=1.0).contains(v))), "{colours:?}");
        }
    }

    #[test]
    fn white_and_grey_are_what_they_are() {
        assert!(srgb([1.0, 0.0, 0.0]).iter().all(|c| (c - 1.0).abs() < 1e-3));
        // Mid grey: linear 0.125 is sRGB 0.3885.
        assert!(srgb([0.5, 0.0, 0.0]).iter().all(|c| (c - 0.388_5).abs() < 1e-3));
    }
}
