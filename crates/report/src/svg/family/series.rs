//! Which variants make a line: one input along the axis, the values of the others as lines.

use hoopwright_case::units::number;
use hoopwright_case::{Combine, Varied, Vary};

use crate::words;

/// Beyond so many lines none can be told from another; the variants then stand in their order.
const MOST_SERIES: usize = 12;

/// Lines of one picture.
pub(super) struct Family {
    /// What stands along the axis, with its unit.
    pub(super) x_title: String,
    /// Whether it is the number of the variant.
    pub(super) by_number: bool,
    /// The inputs that tell the lines apart; empty for a single line.
    pub(super) legend: Vec<String>,
    /// The lines.
    pub(super) series: Vec<Series>,
}

/// One line.
pub(super) struct Series {
    /// Values of the other inputs; empty for a single line.
    pub(super) label: String,
    /// Place along the axis and number of the variant from 0, from left to right.
    pub(super) points: Vec<(f64, usize)>,
}

impl Family {
    /// The lines of a study: a grid over its first input that takes several values, a list over the number of the variant.
    pub(super) fn of(vary: &Vary) -> Self {
        let several = vary.inputs.iter().position(|input| input.values.len() > 1);
        let grid = vary.combine == Combine::Grid || vary.inputs.len() == 1;
        several.filter(|_| grid).and_then(|x| Self::over(vary, x)).unwrap_or_else(|| Self::in_order(vary))
    }

    fn over(vary: &Vary, x: usize) -> Option<Self> {
        let others: Vec<usize> = (0..vary.inputs.len()).filter(|i| *i != x && vary.inputs[*i].values.len() > 1).collect();
        let mut series: Vec<Series> = Vec::new();
        for (i, variant) in vary.variants.iter().enumerate() {
            let values: Vec<String> = others.iter().map(|o| shown(&vary.inputs[*o], variant.values[*o])).collect();
            let (label, point) = (values.join(", "), (variant.values[x], i));
            match series.iter_mut().find(|series| series.label == label) {
                Some(series) => series.points.push(point),
                None => series.push(Series { label, points: vec![point] }),
            }
        }
        for series in &mut series {
            series.points.sort_by(|a, b| a.0.total_cmp(&b.0));
        }
        let legend = others.iter().map(|o| words::input(vary.inputs[*o].input)).collect();
        let fits = series.len() <= MOST_SERIES;
        fits.then(|| Self { x_title: axis(&vary.inputs[x]), by_number: false, legend, series })
    }

    fn in_order(vary: &Vary) -> Self {
        let points = (0..vary.variants.len()).map(|i| ((i + 1) as f64, i)).collect();
        let series = vec![Series { label: String::new(), points }];
        Self { x_title: "variant (its values stand in vary.csv)".to_owned(), by_number: true, legend: Vec::new(), series }
    }
}

/// Name in words and unit of an input, for an axis.
pub(crate) fn axis(varied: &Varied) -> String {
    let name = words::input(varied.input);
    match varied.input.unit().map_or("", |unit| unit.symbol) {
        "" => name,
        symbol => format!("{name}, {symbol}"),
    }
}

fn shown(varied: &Varied, value: f64) -> String {
    varied.input.unit().map_or_else(|| number(value), |unit| unit.show(value))
}
