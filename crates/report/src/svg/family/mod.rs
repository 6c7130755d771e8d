//! Pictures of a study: one for each number, over one varied input, the other inputs' values as a family of lines.

pub(super) mod mark;
mod place;
pub(crate) mod series;

use hoopwright_case::{Case, Vary};
use hoopwright_study::column::{COLUMNS, Number};

use self::mark::{Label, Look};
use self::place::{HEIGHT, WIDTH};
use self::series::{Family, Series};
use super::frame::Frame;
use super::{Canvas, INK, MUTED, WARM};
use hoopwright_case::units::number;
use hoopwright_study::rows::Row;

/// Beyond so many points a line has no marks.
const MOST_MARKS: usize = 60;

/// A line to hold a number against: its name and its value for a case.
pub(super) type Against<'a> = (&'a str, &'a dyn Fn(&Case) -> Option<f64>);

/// What one picture shows.
pub(super) struct Plot<'a> {
    /// The number, as a phrase.
    pub(super) meaning: &'a str,
    /// Its unit.
    pub(super) unit: &'a str,
    /// The line to hold it against.
    pub(super) limit: Option<Against<'a>>,
    /// File that says why a number is missing.
    pub(super) file: &'a str,
}

/// The picture of one number of every variant.
pub(super) fn plot(vary: &Vary, look: &Plot<'_>, numbers: &[Option<Number>]) -> String {
    picture(vary, &Family::of(vary), look, numbers)
}

/// File name and picture of every number that some variant has.
pub fn pictures(vary: &Vary, rows: &[Row]) -> Vec<(String, String)> {
    of("vary", vary, rows, &|_| true)
}

/// As [`pictures`], for another command, which its file is named by, of some columns.
pub(crate) fn of(command: &str, vary: &Vary, rows: &[Row], wanted: &dyn Fn(&str) -> bool) -> Vec<(String, String)> {
    let family = Family::of(vary);
    COLUMNS
        .iter()
        .enumerate()
        .filter(|(_, column)| wanted(column.name))
        .filter_map(|(k, column)| {
            let numbers: Vec<Option<Number>> = rows.iter().map(|row| shown(row, k)).collect();
            let any = numbers.iter().any(Option::is_some);
            let limit = column.limit.as_ref().map(|limit| (limit.name, &limit.value as &dyn Fn(&Case) -> Option<f64>));
            let look = Plot { meaning: column.meaning, unit: column.unit, limit, file: &format!("{command}.csv") };
            any.then(|| (format!("{command}_{}.svg", column.name), picture(vary, &family, &look, &numbers)))
        })
        .collect()
}

/// The number of a column; of a variant without an answer no pressure that a look might take for its release.
fn shown(row: &Row, column: usize) -> Option<Number> {
    row.numbers[column].filter(|_| !COLUMNS[column].bounded || row.is_answered())
}

fn picture(vary: &Vary, family: &Family, look: &Plot<'_>, numbers: &[Option<Number>]) -> String {
    let mut canvas = Canvas::new(WIDTH, HEIGHT);
    let title = vary.variants.first().map_or("", |variant| variant.case.title.as_str());
    canvas.text([20.0, 26.0], "start", 16.0, title);
    let limits = limit_lines(vary, family, look);
    let values = numbers.iter().flatten().map(|n| n.value()).chain(limits.iter().flat_map(|l| l.iter().map(|p| p[1])));
    let frame = place::around(family, values);
    let [columns, rows] = place::both_ticks(&frame, family);
    frame.axes(&mut canvas, [&columns, &rows], [&family.x_title, &format!("{}, {}", look.meaning, look.unit)], true);
    let mut labels = Vec::new();
    if let Some((name, _)) = look.limit {
        labels.extend(limits.iter().filter_map(|line| draw_limit(&mut canvas, &frame, (name, look.unit), line)));
    }
    for (i, series) in family.series.iter().enumerate() {
        labels.extend(draw_series(&mut canvas, &frame, series, Look::of(i), numbers));
    }
    mark::place(&mut canvas, &frame, labels, &family.legend);
    keys(&mut canvas, look.file, numbers);
    let description = format!("{} over {}, one line for each value of the other inputs.", look.meaning, family.x_title);
    canvas.finish(&format!("{}: {title}", look.meaning), &description)
}

/// Points (x, limit) of each line that a limit makes, each line once: one across the frame where it is the same for all variants.
fn limit_lines(vary: &Vary, family: &Family, look: &Plot<'_>) -> Vec<Vec<[f64; 2]>> {
    let Some((_, value_of)) = look.limit else { return Vec::new() };
    let value = |variant: usize| vary.variants.get(variant).and_then(|v| value_of(&v.case));
    let mut lines: Vec<Vec<[f64; 2]>> = Vec::new();
    for series in &family.series {
        let line: Vec<[f64; 2]> = series.points.iter().filter_map(|(x, variant)| Some([*x, value(*variant)?])).collect();
        if !line.is_empty() && !lines.contains(&line) {
            lines.push(line);
        }
    }
    let first = lines.first().and_then(|line| line.first()).map_or(0.0, |point| point[1]);
    if lines.iter().flatten().all(|point| (point[1] - first).abs() <= 1e-9 * first.abs()) {
        lines.truncate(1);
    }
    lines
}

fn draw_limit(canvas: &mut Canvas, frame: &Frame, (name, unit): (&str, &str), line: &[[f64; 2]]) -> Option<Label> {
    let (first, last) = (line.first()?, line.last()?);
    let same = line.iter().all(|point| (point[1] - first[1]).abs() <= 1e-9 * first[1].abs());
    let mut points: Vec<[f64; 2]> = line.iter().map(|p| frame.at(p[0], p[1])).collect();
    if same {
        points = vec![[frame.x[0], points[0][1]], [frame.x[1], points[0][1]]];
    }
    canvas.polyline(&points, &format!("stroke=\"{INK}\" stroke-dasharray=\"2 4\" stroke-width=\"1.6\""));
    let text = if same { format!("{name} {} {unit}", number(last[1])) } else { name.to_owned() };
    Some(Label { from: *points.last()?, text, look: None })
}

fn draw_series(canvas: &mut Canvas, frame: &Frame, series: &Series, look: Look, numbers: &[Option<Number>]) -> Option<Label> {
    let found = |variant: usize| numbers.get(variant).copied().flatten();
    // A line ends where a number is missing and begins anew behind it.
    let mut run: Vec<[f64; 2]> = Vec::new();
    let mut last = None;
    for (x, variant) in &series.points {
        match found(*variant) {
            Some(number) => run.push(frame.at(*x, number.value())),
            None => {
                canvas.polyline(&run, &look.line());
                run.clear();
                mark::missing(canvas, [frame.at(*x, 0.0)[0], frame.y[0]]);
            }
        }
        last = run.last().copied().or(last);
    }
    canvas.polyline(&run, &look.line());
    if series.points.len() <= MOST_MARKS {
        for (x, variant) in &series.points {
            match found(*variant) {
                Some(Number::Found(value)) => look.mark(canvas, frame.at(*x, value), true),
                Some(Number::Above(value)) => mark::above(canvas, look, frame.at(*x, value)),
                None => {}
            }
        }
    }
    let text = series.label.clone();
    (!text.is_empty()).then(|| Label { from: last.unwrap_or([frame.x[1], frame.y[0]]), text, look: Some(look) })
}

/// What the special marks mean, where there are any.
fn keys(canvas: &mut Canvas, file: &str, numbers: &[Option<Number>]) {
    let mut said: Vec<String> = Vec::new();
    if numbers.iter().any(|number| matches!(number, Some(Number::Above(_)))) {
        said.push("hollow with arrow: not reached up to there".to_owned());
    }
    if numbers.iter().any(Option::is_none) {
        said.push(format!("cross: no answer, or no such number: see {file}"));
    }
    canvas.raw(format_args!(
        "<text x=\"20\" y=\"46\" font-size=\"12\" fill=\"{}\">{}</text>",
        if said.is_empty() { MUTED } else { WARM },
        said.join("; ")
    ));
}
