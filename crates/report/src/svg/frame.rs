//! The frame of a picture over two axes: its place, its ranges, its axes.

use super::{Canvas, GRID, INK};

/// Place on the canvas and ranges: the first of each pair belongs to the smaller value.
pub(super) struct Frame {
    pub(super) x: [f64; 2],
    pub(super) y: [f64; 2],
    pub(super) x_range: [f64; 2],
    pub(super) y_range: [f64; 2],
}

impl Frame {
    /// Where a point lies on the canvas.
    pub(super) fn at(&self, x: f64, y: f64) -> [f64; 2] {
        let along =
            |to: [f64; 2], range: [f64; 2], value: f64| to[0] + (to[1] - to[0]) * (value - range[0]) / (range[1] - range[0]);
        [along(self.x, self.x_range, x), along(self.y, self.y_range, y)]
    }

    /// Grid, axes, numbers and titles. The grid may be left out where an area fills the frame.
    pub(super) fn axes(&self, canvas: &mut Canvas, [columns, rows]: [&[f64]; 2], [x_title, y_title]: [&str; 2], grid: bool) {
        for (t, text) in columns.iter().zip(written(columns)) {
            let x = self.at(*t, self.y_range[0])[0];
            let (end, style) = if grid { (self.y[1], GRID) } else { (self.y[0] + 4.0, INK) };
            canvas.line([x, self.y[0]], [x, end], &format!("stroke=\"{style}\""));
            canvas.text([x, self.y[0] + 18.0], "middle", 12.0, &text);
        }
        for (t, text) in rows.iter().zip(written(rows)) {
            let y = self.at(self.x_range[0], *t)[1];
            let (end, style) = if grid { (self.x[1], GRID) } else { (self.x[0] - 4.0, INK) };
            canvas.line([self.x[0], y], [end, y], &format!("stroke=\"{style}\""));
            canvas.text([self.x[0] - 8.0, y + 4.0], "end", 12.0, &text);
        }
        canvas.line([self.x[0], self.y[0]], [self.x[1], self.y[0]], &format!("stroke=\"{INK}\""));
        canvas.line([self.x[0], self.y[0]], [self.x[0], self.y[1]], &format!("stroke=\"{INK}\""));
        canvas.text([0.5 * (self.x[0] + self.x[1]), self.y[0] + 42.0], "middle", 13.0, x_title);
        canvas.text([20.0, self.y[1] - 20.0], "start", 13.0, y_title);
    }
}

/// The range of some values with room at both ends; some range where there are none or all are equal.
pub(super) fn range(values: impl Iterator<Item = f64>, room: f64) -> [f64; 2] {
    let [low, high] = values.fold([f64::INFINITY, f64::NEG_INFINITY], |[low, high], v| [low.min(v), high.max(v)]);
    if low > high {
        return [0.0, 1.0];
    }
    let size = high - low;
    let half = if size > 1e-9 * high.abs().max(low.abs()) { room * size } else { (0.05 * high.abs()).max(0.5) };
    [low - half, high + half]
}

/// Numbers with as many decimals as their shortest needs, up to six.
fn written(ticks: &[f64]) -> Vec<String> {
    let exact = |decimals: &usize| {
        ticks.iter().all(|t| (format!("{t:.decimals$}").parse::<f64>().unwrap_or(0.0) - t).abs() <= 1e-9 * t.abs().max(1e-3))
    };
    let decimals = (0..6).find(exact).unwrap_or(6);
    ticks.iter().map(|t| format!("{:.decimals$}", if t.abs() < 1e-12 { 0.0 } else { *t })).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ticks_are_written_alike_and_in_full() {
        assert_eq!(written(&[621.5, 621.95, 622.4]), ["621.50", "621.95", "622.40"]);
        assert_eq!(written(&[-0.0, 5.0, 10.0]), ["0", "5", "10"]);
        assert_eq!(written(&[0.1, 0.1 + 0.2]), ["0.1", "0.3"]);
    }

    #[test]
    fn equal_values_have_a_range_round_them() {
        for value in [0.0, 30.0, -3.0] {
            let [low, high] = range([value, value].into_iter(), 0.1);
            assert!(low < value && value < high && (low + high - 2.0 * value).abs() < 1e-9);
        }
        assert!(range(std::iter::empty(), 0.1)[1] > 0.0);
    }
}
