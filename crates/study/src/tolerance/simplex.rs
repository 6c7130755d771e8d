//! The least value of a function of several numbers without derivatives: the simplex method of J. Nelder and R. Mead (The Computer
//! Journal 7 (1965) 308).

/// Relative size of the simplex at which the search ends.
const SMALL: f64 = 1e-3;

/// The place of the least value found from `start`, with first steps of `step` along each axis and at most `evaluations` evaluations.
pub(super) fn least(f: &dyn Fn(&[f64]) -> f64, start: &[f64], step: f64, evaluations: usize) -> Vec<f64> {
    let n = start.len();
    let mut simplex: Vec<(f64, Vec<f64>)> = vec![(f(start), start.to_vec())];
    for i in 0..n {
        let mut corner = start.to_vec();
        corner[i] += step;
        simplex.push((f(&corner), corner));
    }
    let mut left = evaluations.saturating_sub(n + 1);
    while left > 0 {
        simplex.sort_by(|a, b| a.0.total_cmp(&b.0));
        let size = (0..n).map(|k| (simplex[n].1[k] - simplex[0].1[k]).abs()).fold(0.0, f64::max);
        if size < SMALL {
            break;
        }
        let centre: Vec<f64> = (0..n).map(|k| simplex[..n].iter().map(|(_, x)| x[k]).sum::<f64>() / n as f64).collect();
        let towards = |share: f64| -> (f64, Vec<f64>) {
            let place: Vec<f64> = centre.iter().zip(&simplex[n].1).map(|(c, w)| c + share * (w - c)).collect();
            (f(&place), place)
        };
        let reflected = towards(-1.0);
        left = left.saturating_sub(2);
        let better = if reflected.0 < simplex[0].0 {
            let expanded = towards(-2.0);
            Some(if expanded.0 < reflected.0 { expanded } else { reflected })
        } else if reflected.0 < simplex[n - 1].0 {
            Some(reflected)
        } else {
            let contracted = if reflected.0 < simplex[n].0 { towards(-0.5) } else { towards(0.5) };
            (contracted.0 < simplex[n].0.min(reflected.0)).then_some(contracted)
        };
        if let Some(better) = better {
            simplex[n] = better;
            continue;
        }
        let best = simplex[0].1.clone();
        for (value, place) in &mut simplex[1..] {
            place.iter_mut().zip(&best).for_each(|(x, b)| *x = b + 0.5 * (*x - b));
            *value = f(place);
        }
        left = left.saturating_sub(n);
    }
    simplex.sort_by(|a, b| a.0.total_cmp(&b.0));
    simplex.swap_remove(0).1
}

#[cfg(test)]
mod tests {
    use super::*;

    /// H. Rosenbrock's valley (The Computer Journal 3 (1960) 175): least at (1, 1).
    #[test]
    fn the_bottom_of_a_curved_valley_is_found() {
        let valley = |x: &[f64]| 100.0 * (x[1] - x[0] * x[0]).powi(2) + (1.0 - x[0]).powi(2);
        let found = least(&valley, &[-1.2, 1.0], 0.5, 600);
        assert!((found[0] - 1.0).abs() < 0.02 && (found[1] - 1.0).abs() < 0.02, "{found:?}");
    }

    #[test]
    fn values_that_are_not_there_are_left() {
        let f = |x: &[f64]| if x[0] < 0.0 { f64::INFINITY } else { (x[0] - 0.5).powi(2) };
        assert!((least(&f, &[3.0], 1.0, 200)[0] - 0.5).abs() < 1e-2);
    }
}
