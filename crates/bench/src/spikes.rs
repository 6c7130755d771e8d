//! Readings far off their neighbours.

use super::measured::{median, robust_deviation};

/// Rows whose middle one is held against their median, to find spikes.
const NEIGHBOURS: usize = 5;
/// A spike lies so many robust standard deviations off the median, and such a share of the column's range.
const SPIKE: (f64, f64) = (12.0, 0.02);

/// And so many steps of its neighbours.
const STEPS: f64 = 4.0;

/// Least and greatest of some numbers.
pub(crate) fn range(values: &[f64]) -> [f64; 2] {
    values.iter().fold([f64::INFINITY, f64::NEG_INFINITY], |[low, high], v| [low.min(*v), high.max(*v)])
}

/// Which numbers lie far off the median of their neighbours.
pub(crate) fn spikes(values: &[f64]) -> Vec<bool> {
    let half = NEIGHBOURS / 2;
    if values.len() < NEIGHBOURS {
        return vec![false; values.len()];
    }
    let (mut off, mut sharp) = (vec![0.0; values.len()], vec![false; values.len()]);
    for k in half..values.len().saturating_sub(half) {
        let mut window: [f64; NEIGHBOURS] = std::array::from_fn(|j| values[k + j - half]);
        off[k] = values[k] - median(&mut window);
        window.sort_by(f64::total_cmp);
        // Steps on both sides of the middle: where it is as steep as that, a turn is no spike.
        let steep = (window[half] - window[half - 1]).min(window[half + 1] - window[half]);
        sharp[k] = off[k].abs() > STEPS * steep;
    }
    let mut sorted = values.to_vec();
    let n = sorted.len();
    // The range that all but a hundredth of the rows lie in, so that spikes do not stretch it.
    let (low, high) = (n / 200, n - 1 - n / 200);
    let high_value = *sorted.select_nth_unstable_by(high, f64::total_cmp).1;
    let low_value = *sorted.select_nth_unstable_by(low, f64::total_cmp).1;
    let limit = (SPIKE.0 * robust_deviation(off.iter().copied())).max(SPIKE.1 * (high_value - low_value));
    off.iter().zip(sharp).map(|(o, sharp)| sharp && o.abs() > limit).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn spikes_are_told_from_turns_and_noise() {
        let mut values: Vec<f64> =
            (0..2000).map(|k| 100.0 * (f64::from(k) * 0.02).sin() + f64::from(k * 7919 % 11) * 0.05).collect();
        assert!(!spikes(&values).contains(&true));
        (values[700], values[1300], values[1301]) = (1e4, -500.0, -500.0);
        let found: Vec<usize> = spikes(&values).iter().enumerate().filter(|(_, s)| **s).map(|(k, _)| k).collect();
        assert_eq!(found, [700, 1300, 1301]);
        assert!(spikes(&[1.0, 2.0]) == [false, false]);
        // A turn with a steep fall behind it, as friction makes it: no spike.
        let turn: Vec<f64> = (0..600).map(|k| f64::from(k).min(f64::from(599 - k) * 4.0 - 1200.0)).collect();
        assert!(!spikes(&turn).contains(&true));
    }
}
