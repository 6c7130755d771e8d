//! Which readings are no pressure: below a vacuum, the same again and again, spikes, and a signal that is away and at once back.
//!
//! Less than -1 bar of gauge pressure is less than no air at all. A gauge that scatters and then reads the same number for long is frozen,
//! or at its end where that number is the largest. What leaves and comes back within a step or two is a spike; a signal that at once goes far
//! off and at once comes back was away, however long, as no pump fills a tyre in a moment.

use super::series::Series;
use crate::spikes::{range, spikes};

/// Less than this is no gauge pressure, MPa.
pub(super) const VACUUM: f64 = -0.1;
/// A reading nearer to zero than such a share of the required pressure may stay the same: the tyre is empty.
const EMPTY: f64 = 0.05;
/// Readings scatter if by so many of the gauge's steps.
const SCATTERS: f64 = 1.5;
/// Chance, for the whole log, of as many equal readings in a row as are taken for a frozen signal; and so many usual runs.
const BY_CHANCE: f64 = 1e-6;
const USUAL_RUNS: usize = 5;
/// A signal that goes away goes by such a share of the pressure before, and by so many falls that are sudden.
const AWAY: (f64, f64) = (0.5, 10.0);
/// One that goes up comes back to the same pressure, up to such a share, or within so many seconds.
const SAME_LEVEL: f64 = 0.2;
const BRIEF: f64 = 5.0;

/// Why there is no pressure for a while.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Why {
    /// There are no rows, or rows without a number.
    NoReadings,
    /// Readings below -1 bar.
    Vacuum,
    /// The same reading again and again.
    Frozen,
    /// The same again and again, the largest there is.
    AtEnd,
    /// Far off, and at once back.
    Away,
}

/// Marks frozen readings and spikes: what needs no scale of time.
pub(super) fn plainly_wrong(series: &Series, required: f64) -> Vec<Option<Why>> {
    let mut why = frozen(series, required);
    for (row, spike) in spikes(&series.pressure).into_iter().enumerate() {
        if spike && why[row].is_none() {
            why[row] = Some(Why::Away);
        }
    }
    why
}

/// Runs of equal readings too long for a gauge that scatters.
fn frozen(series: &Series, required: f64) -> Vec<Option<Why>> {
    let p = &series.pressure;
    let mut why = vec![None; p.len()];
    let (noise, step) = (series.scatter(), series.resolution());
    if noise <= SCATTERS * step || step <= 0.0 {
        return why;
    }
    let [_, highest] = range(p);
    let same = |a: &f64, b: &f64| (a - b).abs() <= 1e-9 * highest.abs();
    let runs: Vec<usize> = p.chunk_by(same).map(<[f64]>::len).collect();
    // Two readings of a normal scatter fall on the same step with this chance.
    let chance = step / (2.0 * std::f64::consts::PI.sqrt() * noise);
    let by_chance = 1.0 + (BY_CHANCE / p.len() as f64).ln() / chance.ln();
    let mut usual = runs.clone();
    usual.sort_unstable();
    let longest = (by_chance.ceil() as usize).max(USUAL_RUNS * usual[usual.len() / 2]);
    let mut row = 0;
    for run in runs {
        if run >= longest && p[row].abs() > EMPTY * required {
            let what = if same(&p[row], &highest) { Why::AtEnd } else { Why::Frozen };
            why[row..row + run].fill(Some(what));
        }
        row += run;
    }
    why
}

/// Marks rows read while the signal was away. `sudden`: a fall larger than that within a second is sudden, MPa.
pub(super) fn mark_away(series: &Series, why: &mut [Option<Why>], required: f64, sudden: f64) {
    let p = &series.pressure;
    let kept: Vec<usize> = (0..p.len()).filter(|row| why[*row].is_none()).collect();
    let mut k = 1;
    while k < kept.len() {
        let (before, at) = (p[kept[k - 1]], p[kept[k]]);
        let far = (AWAY.0 * before.abs()).max(AWAY.1 * sudden);
        let goes = (before - at > far && before > EMPTY * required) || at - before > far;
        let Some(j) = goes.then(|| back(series, &kept, k, far)).flatten() else {
            k += 1;
            continue;
        };
        kept[k..j].iter().for_each(|row| why[*row] = Some(Why::Away));
        k = j + 1;
    }
}

/// The place among the kept rows at which a signal that went away at `k` is at once back; none where it comes back slowly, or never, or where a
/// fast pump may have been what went up.
fn back(series: &Series, kept: &[usize], k: usize, far: f64) -> Option<usize> {
    let p = |j: usize| series.pressure[kept[j]];
    let before = p(k - 1);
    let down = p(k) < before;
    let away = |j: usize| if down { before - p(j) } else { p(j) - before };
    let j = (k..kept.len()).find(|j| away(*j) <= far)?;
    let farthest = (k..j).map(away).fold(0.0, f64::max);
    // Within two steps, as the middle of readings on both sides may lie between.
    let left = (k..j.min(k + 2)).map(away).fold(0.0, f64::max);
    let returned = (j.saturating_sub(2).max(k - 1)..j).map(|i| away(i) - away(j)).fold(0.0, f64::max);
    let at_once = left > 0.5 * farthest && returned > 0.5 * farthest;
    let brief = series.time[kept[j]] - series.time[kept[k]] <= BRIEF;
    let level = (p(j) - before).abs() <= SAME_LEVEL * before;
    (at_once && (down || brief || level)).then_some(j)
}
