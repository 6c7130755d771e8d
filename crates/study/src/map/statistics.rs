//! Statistics of pairs of numbers.

/// How predictions compare with measurements.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Comparison {
    /// Number of pairs.
    pub count: usize,
    /// Mean of prediction less measurement.
    pub bias: f64,
    /// Standard deviation of prediction less measurement about its mean (n - 1); none for a single pair.
    pub scatter: Option<f64>,
    /// Rank correlation after Spearman, ties sharing their mean rank; none where all of one side are equal.
    pub rank_correlation: Option<f64>,
}

/// Compares pairs (prediction, measurement); none where there is no pair.
///
/// Rank correlation: the correlation of the ranks (C. Spearman, 1904; common practice).
pub fn compare(pairs: &[(f64, f64)]) -> Option<Comparison> {
    let n = pairs.len() as f64;
    let differences: Vec<f64> = pairs.iter().map(|(predicted, measured)| predicted - measured).collect();
    let bias = mean(&differences)?;
    let squares: f64 = differences.iter().map(|d| (d - bias).powi(2)).sum();
    let ranked = |of: fn(&(f64, f64)) -> f64| ranks(&pairs.iter().map(of).collect::<Vec<_>>());
    Some(Comparison {
        count: pairs.len(),
        bias,
        scatter: (pairs.len() > 1).then(|| (squares / (n - 1.0)).sqrt()),
        rank_correlation: correlation(&ranked(|p| p.0), &ranked(|p| p.1)),
    })
}

fn mean(values: &[f64]) -> Option<f64> {
    (!values.is_empty()).then(|| values.iter().sum::<f64>() / values.len() as f64)
}

/// Correlation after Pearson; none where one side does not vary.
fn correlation(a: &[f64], b: &[f64]) -> Option<f64> {
    let (ma, mb) = (mean(a)?, mean(b)?);
    let sum = |f: &dyn Fn(f64, f64) -> f64| a.iter().zip(b).map(|(x, y)| f(x - ma, y - mb)).sum::<f64>();
    let spread = (sum(&|x, _| x * x) * sum(&|_, y| y * y)).sqrt();
    (spread > 0.0).then(|| sum(&|x, y| x * y) / spread)
}

/// Ranks from 1; equal values share their mean rank.
fn ranks(values: &[f64]) -> Vec<f64> {
    let mut order: Vec<usize> = (0..values.len()).collect();
    order.sort_by(|a, b| values[*a].total_cmp(&values[*b]));
    let (mut ranks, mut before) = (vec![0.0; values.len()], 0.0);
    for tied in order.chunk_by(|a, b| values[*a].total_cmp(&values[*b]).is_eq()) {
        let size = tied.len() as f64;
        tied.iter().for_each(|k| ranks[*k] = before + 0.5 * (size + 1.0));
        before += size;
    }
    ranks
}

/// Smallest value, middle value (mean of the two middle ones) and largest; none where there is none.
pub fn spread(values: &[f64]) -> Option<[f64; 3]> {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let (first, last) = (*sorted.first()?, *sorted.last()?);
    let half = sorted.len() / 2;
    let middle = if sorted.len() % 2 == 1 { sorted[half] } else { 0.5 * (sorted[half - 1] + sorted[half]) };
    Some([first, middle, last])
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::float_cmp)]
    use super::*;

    #[test]
    fn bias_scatter_and_rank_correlation_of_a_known_set() {
        // Differences 1, 1, 4: mean 2, deviations 1, 1, 4 over 2. Ranks (1, 2.5, 2.5) and (1, 2, 3): 1.5 / sqrt(1.5 x 2).
        let c = compare(&[(2.0, 1.0), (7.0, 6.0), (11.0, 7.0)]).unwrap();
        assert_eq!((c.count, c.bias, c.scatter), (3, 2.0, Some(3.0_f64.sqrt())));
        assert_eq!(c.rank_correlation, Some(1.0));
        // Ranks (1, 2.5, 2.5, 4) and (1, 2, 3, 4): 4.5 / sqrt(4.5 x 5).
        let tied = compare(&[(1.0, 1.0), (2.0, 2.0), (2.0, 3.0), (3.0, 4.0)]).unwrap().rank_correlation.unwrap();
        assert!((tied - 0.9_f64.sqrt()).abs() < 1e-12, "{tied}");
        assert_eq!(compare(&[(3.0, 1.0), (2.0, 2.0)]).unwrap().rank_correlation, Some(-1.0));
    }

    #[test]
    fn where_nothing_can_be_said_nothing_is() {
        assert_eq!(compare(&[]), None);
        let one = compare(&[(2.0, 1.0)]).unwrap();
        assert_eq!((one.bias, one.scatter, one.rank_correlation), (1.0, None, None));
        assert_eq!(spread(&[]), None);
        assert_eq!(spread(&[3.0, 1.0, 2.0, 9.0]), Some([1.0, 2.5, 9.0]));
    }
}
