//! Design points: the places of a limit that lie nearest to the origin of independent standard normal coordinates, by the improved method
//! of Hasofer, Lind, Rackwitz and Fiessler (Y. Zhang and A. Der Kiureghian, Two improved algorithms for reliability analysis, IFIP 1995;
//! A. Der Kiureghian, Structural and System Reliability, 2022, ch. 5.2; both from memory).

/// Step of the differences that give a gradient.
const STEP: f64 = 1e-4;
const MOST_STEPS: usize = 100;
/// A point is found when the limit is met to this share of its value at the origin and the direction to this angle.
const CLOSE: f64 = 1e-4;
/// Beyond so many standard deviations nothing is looked for.
pub const FARTHEST: f64 = 12.0;
/// Two design points closer than this are one.
const APART: f64 = 0.5;
/// A design point that lies so much farther than the nearest adds nothing.
const NEARLY: f64 = 1.5;

/// A place of a limit with the least distance from the origin round about.
#[derive(Clone, Debug, PartialEq)]
pub struct DesignPoint {
    /// Independent standard normal coordinates.
    pub u: Vec<f64>,
    /// Distance from the origin; negative where the origin itself does not keep the limit.
    pub index: f64,
    /// Unit vector along which the limit is approached.
    pub direction: Vec<f64>,
}

/// The design points of a limit `g` (kept above zero), nearest first, found from the origin and from `starts`; none where it is met
/// nowhere within reach.
pub fn design_points(g: &dyn Fn(&[f64]) -> f64, dimensions: usize, starts: &[Vec<f64>]) -> Vec<DesignPoint> {
    let origin = vec![0.0; dimensions];
    let scale = g(&origin);
    let mut found: Vec<DesignPoint> = Vec::new();
    for start in std::iter::once(&origin).chain(starts) {
        let Some(point) = search(g, start, scale) else { continue };
        if found.iter().all(|other| distance(&other.u, &point.u) > APART) {
            found.push(point);
        }
    }
    found.sort_by(|a, b| a.index.abs().total_cmp(&b.index.abs()));
    let nearest = found.first().map_or(0.0, |point| point.index.abs());
    found.retain(|point| point.index.abs() <= nearest + NEARLY);
    found
}

fn search(g: &dyn Fn(&[f64]) -> f64, start: &[f64], at_origin: f64) -> Option<DesignPoint> {
    let scale = at_origin.abs().max(f64::MIN_POSITIVE);
    let mut u = start.to_vec();
    let mut value = g(&u);
    for _ in 0..MOST_STEPS {
        let gradient = gradient(g, &u);
        let steepness = norm(&gradient);
        if !(steepness.is_finite() && steepness > 1e-12 * scale && value.is_finite()) {
            return None;
        }
        let direction: Vec<f64> = gradient.iter().map(|x| -x / steepness).collect();
        let along = dot(&direction, &u);
        let aside = u.iter().zip(&direction).map(|(x, a)| (x - along * a).powi(2)).sum::<f64>().sqrt();
        if value.abs() <= CLOSE * scale && aside <= 1e-3 * norm(&u).max(1.0) {
            return (norm(&u) <= FARTHEST).then_some(DesignPoint { index: along, direction, u });
        }
        // Towards the nearest point of the limit made straight here.
        let wanted = along_to(&direction, along + value / steepness);
        let step: Vec<f64> = wanted.iter().zip(&u).map(|(w, x)| w - x).collect();
        let weight = 2.0 * (norm(&u) / steepness).max(norm(&wanted).powi(2) / (2.0 * value.abs().max(CLOSE * scale))) + 1e-9;
        (u, value) = step_down(g, &u, value, &step, weight);
    }
    None
}

/// The longest step, halved as often as needed, that lowers u^2 / 2 + weight |g|.
fn step_down(g: &dyn Fn(&[f64]) -> f64, u: &[f64], value: f64, step: &[f64], weight: f64) -> (Vec<f64>, f64) {
    let merit = |u: &[f64], value: f64| 0.5 * dot(u, u) + weight * value.abs();
    let before = merit(u, value);
    let mut share = 1.0;
    loop {
        let next: Vec<f64> = u.iter().zip(step).map(|(x, d)| x + share * d).collect();
        let there = g(&next);
        if merit(&next, there) < before || share < 1e-3 {
            return (next, there);
        }
        share *= 0.5;
    }
}

fn along_to(direction: &[f64], length: f64) -> Vec<f64> {
    direction.iter().map(|a| length * a).collect()
}

/// Central differences.
fn gradient(g: &dyn Fn(&[f64]) -> f64, u: &[f64]) -> Vec<f64> {
    let mut place = u.to_vec();
    (0..u.len())
        .map(|i| {
            place[i] = u[i] + STEP;
            let above = g(&place);
            place[i] = u[i] - STEP;
            let below = g(&place);
            place[i] = u[i];
            (above - below) / (2.0 * STEP)
        })
        .collect()
}

pub(super) fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(x, y)| x * y).sum()
}

pub(super) fn norm(a: &[f64]) -> f64 {
    dot(a, a).sqrt()
}

pub(super) fn distance(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(x, y)| (x - y).powi(2)).sum::<f64>().sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_straight_limit_gives_its_distance_and_direction_at_once() {
        let g = |u: &[f64]| 8.0 - 1.2 * u[0] - 1.6 * u[1];
        let found = design_points(&g, 2, &[vec![3.0, -3.0]]);
        assert_eq!(found.len(), 1);
        assert!((found[0].index - 4.0).abs() < 1e-4, "{found:?}");
        assert!((found[0].direction[0] - 0.6).abs() < 1e-6 && (found[0].direction[1] - 0.8).abs() < 1e-6);
    }

    #[test]
    fn an_origin_that_fails_has_a_negative_index() {
        let found = design_points(&|u: &[f64]| -1.0 - 0.5 * u[0], 1, &[]);
        assert!((found[0].index + 2.0).abs() < 1e-6, "{found:?}");
    }

    /// Strength times section less moment, 38 x 54 (deviations 3.8 and 2.7) against 1140, a common exercise: the least distance is that of
    /// a scan of the hyperbola.
    #[test]
    fn strength_times_section_against_a_moment_has_the_least_distance() {
        let g = |u: &[f64]| (38.0 + 3.8 * u[0]) * (54.0 + 2.7 * u[1]) - 1140.0;
        let found = design_points(&g, 2, &[]);
        let scanned = (0..200_000)
            .map(|k| {
                let u = -8.0 + 8.0 * f64::from(k) / 2e5;
                let section = 1140.0 / (38.0 + 3.8 * u);
                u.hypot((section - 54.0) / 2.7)
            })
            .fold(f64::INFINITY, f64::min);
        assert!((found[0].index - scanned).abs() < 2e-4, "{found:?} {scanned}");
    }

    /// Two branches of a series system (P. Waarts, Structural Reliability Using Finite Element Methods, Delft 2000; from memory): the
    /// parabolas' vertices lie at distance 3, the lines' at 7 / 2.
    #[test]
    fn several_starts_find_several_points() {
        let g = |u: &[f64]| {
            let (sum, less) = ((u[0] + u[1]) / 2.0_f64.sqrt(), u[0] - u[1]);
            let curved = 3.0 + 0.1 * less * less - sum.abs();
            let straight = 7.0 / 2.0_f64.sqrt() - less.abs();
            curved.min(straight)
        };
        let starts: Vec<Vec<f64>> = [[3.0, 3.0], [-3.0, -3.0], [3.0, -3.0], [-3.0, 3.0]].map(|s| s.to_vec()).to_vec();
        let found = design_points(&g, 2, &starts);
        let indices: Vec<f64> = found.iter().map(|p| p.index).collect();
        assert_eq!(found.len(), 4, "{indices:?}");
        assert!((indices[0] - 3.0).abs() < 1e-3 && (indices[3] - 3.5).abs() < 1e-3, "{indices:?}");
    }

    #[test]
    fn a_limit_that_is_never_met_has_none() {
        assert!(design_points(&|u: &[f64]| 5.0 + u[0] * u[0], 1, &[vec![2.0]]).is_empty());
        assert!(design_points(&|_: &[f64]| 5.0, 1, &[]).is_empty());
        assert!(design_points(&|u: &[f64]| 50.0 - u[0], 1, &[]).is_empty(), "beyond reach");
    }
}
