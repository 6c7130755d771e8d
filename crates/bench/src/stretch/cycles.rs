//! Where a log's travel turns: its cycles and their branches.

use std::ops::Range;

use crate::measured::median;

/// A turn counts where the travel then goes back by such a share of its whole range.
const TURN: f64 = 0.2;
/// Rows whose median stands for the travel while turns are looked for.
const SMOOTHED: usize = 5;

/// A loading branch and the unloading branch behind it, as rows.
#[derive(Clone, Debug, PartialEq)]
pub struct Cycle {
    /// Rows of the loading branch.
    pub loading: Range<usize>,
    /// Rows of the unloading branch; empty where the log ends at the top.
    pub unloading: Range<usize>,
}

impl Cycle {
    /// Rows of both branches; the last is the first of the next cycle.
    pub fn rows(&self) -> Range<usize> {
        self.loading.start..self.unloading.end.max(self.loading.end)
    }

    /// Whether there is an unloading branch.
    pub fn is_whole(&self) -> bool {
        !self.unloading.is_empty()
    }
}

/// The cycles of a travel. An unloading branch that the log begins with belongs to none.
pub fn find(travel: &[f64]) -> Vec<Cycle> {
    let smooth = smoothed(travel);
    let turns = turns(&smooth);
    let mut cycles = Vec::new();
    let rising = |pair: &[usize]| smooth[pair[1]] > smooth[pair[0]];
    let mut branches = turns.windows(2).peekable();
    while let Some(branch) = branches.next() {
        if !rising(branch) {
            continue;
        }
        let unloading = branches.next_if(|next| !rising(next)).map_or(branch[1]..branch[1], |next| next[0]..next[1] + 1);
        cycles.push(Cycle { loading: branch[0]..branch[1], unloading });
    }
    cycles
}

fn smoothed(travel: &[f64]) -> Vec<f64> {
    let half = SMOOTHED / 2;
    let at = |k: usize| {
        let (from, to) = (k.saturating_sub(half), (k + half + 1).min(travel.len()));
        let mut window = [0.0; SMOOTHED];
        let window = &mut window[..to - from];
        window.copy_from_slice(&travel[from..to]);
        median(window)
    };
    (0..travel.len()).map(at).collect()
}

/// Rows at which the travel turns, the first and the last extreme among them.
fn turns(travel: &[f64]) -> Vec<usize> {
    let [low, high] = crate::spikes::range(travel);
    let least = TURN * (high - low);
    let (mut lowest, mut highest) = (0, 0);
    let (mut turns, mut rising) = (Vec::new(), None);
    for (k, value) in travel.iter().enumerate() {
        if *value > travel[highest] {
            highest = k;
        }
        if *value <= travel[lowest] {
            lowest = k;
        }
        match rising {
            Some(true) | None if travel[highest] - value > least => {
                turns.push(highest);
                (rising, lowest) = (Some(false), k);
            }
            Some(false) | None if value - travel[lowest] > least => {
                turns.push(lowest);
                (rising, highest) = (Some(true), k);
            }
            _ => {}
        }
    }
    turns.extend(rising.map(|up| if up { highest } else { lowest }));
    turns.dedup();
    turns
}

#[cfg(test)]
mod tests {
    use super::*;

    fn wave(periods: f64, rows: usize, phase: f64) -> Vec<f64> {
        let at = |k: usize| -10.0 * (std::f64::consts::TAU * periods * k as f64 / rows as f64 + phase).cos();
        (0..rows).map(at).collect()
    }

    #[test]
    fn cycles_of_a_wave() {
        let cycles = find(&wave(3.0, 3000, 0.0));
        assert_eq!(cycles.len(), 3);
        assert!(cycles.iter().all(Cycle::is_whole));
        for (k, cycle) in cycles.iter().enumerate() {
            assert!(cycle.loading.start.abs_diff(1000 * k) < 4 && cycle.loading.end.abs_diff(1000 * k + 500) < 4, "{cycle:?}");
            assert!(cycle.unloading.end.abs_diff(1000 * (k + 1)) < 4, "{cycle:?}");
        }
    }

    #[test]
    fn a_log_that_begins_or_ends_half_way() {
        let cycles = find(&wave(2.5, 2500, std::f64::consts::PI));
        // Down, up, down, up, down from the top: two cycles, the first branch in none.
        assert_eq!((cycles.len(), cycles.iter().filter(|c| c.is_whole()).count()), (2, 2));
        let single = find(&wave(0.5, 500, 0.0));
        assert!(single.len() == 1 && !single[0].is_whole());
        assert!(find(&[1.0; 100]).is_empty() && find(&[]).is_empty());
    }

    #[test]
    fn noise_and_steps_make_no_turns() {
        let noisy: Vec<f64> =
            wave(4.0, 8000, 0.0).iter().enumerate().map(|(k, v)| (v + ((k * 7919) % 13) as f64 * 0.1).round()).collect();
        assert_eq!(find(&noisy).len(), 4);
    }
}
