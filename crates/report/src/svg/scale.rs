//! Retention pressures on one scale with the rated and the required pressure.

use super::{Canvas, DEEP, GRID, INK, MUTED, WARM, ticks};
use hoopwright_case::units::{BAR, Unit};
use hoopwright_solver::result::{Assessment, Release, Retention, Run};

use crate::meant::errors;

const WIDTH: f64 = 900.0;
/// Width under which the names of the rows stand above their marks and no longer beside them.
const NARROW: f64 = 600.0;
/// Room on the left for the names of the rows, and without them; on the right.
const LEFT: [f64; 2] = [130.0, 12.0];
const RIGHT: f64 = 30.0;
/// Height of the first row, and from row to row, with the names beside and above.
const FIRST: [f64; 2] = [85.0, 104.0];
const STEP: [f64; 2] = [70.0, 96.0];

/// A row of marks.
#[derive(Clone, Debug)]
pub struct Row {
    /// What it is.
    pub name: String,
    /// Its pressures, MPa.
    pub retention: Retention,
    /// Their numerical errors, MPa, from the first lift up; none where a pressure has none.
    pub errors: [Option<f64>; 4],
}

impl Row {
    /// Of a path.
    pub fn of(name: String, run: &Run) -> Self {
        Self { name, retention: run.retention, errors: errors(run) }
    }
}

/// What stands on a scale, and how wide it is.
#[derive(Clone, Copy, Debug)]
pub struct Scale<'a> {
    /// Rated pressure, MPa.
    pub rated: f64,
    /// Required pressure, MPa.
    pub required: f64,
    /// The rows from above.
    pub rows: &'a [Row],
    /// Unit of the axis.
    pub unit: &'a Unit,
    /// Width, px.
    pub width: f64,
}

/// Two rows, at the given friction and without, each with its four pressures.
pub(crate) fn of_assessment(a: &Assessment) -> String {
    let with = Row::of(format!("friction {}", a.given.friction), &a.given);
    let without = Row::of("no friction".to_owned(), &a.frictionless);
    picture(&Scale {
        rated: a.case.pressure.rated,
        required: a.case.required_pressure(),
        rows: &[with, without],
        unit: &BAR,
        width: WIDTH,
    })
}

/// The rows with their marks; upright lines at the rated and required pressure.
pub fn picture(scale: &Scale<'_>) -> String {
    let Scale { rated, required, rows, unit, width } = *scale;
    let narrow = usize::from(width < NARROW);
    let (left, right) = (LEFT[narrow], width - RIGHT);
    let axis = FIRST[narrow] + STEP[narrow] * rows.len() as f64 - 10.0;
    let releases = rows.iter().map(|row| &row.retention).flat_map(Retention::from_below);
    let end = 1.08 * releases.filter_map(Release::known).map(|known| known.0).fold(required, f64::max);
    let x = |p: f64| left + (right - left) * p / end;
    let mut canvas = Canvas::new(width, axis + 43.0);
    for tick in ticks(0.0, unit.value_of(end), if narrow == 1 { 4.0 } else { 8.0 }) {
        let at = x(unit.inner_of(tick));
        canvas.line([at, 50.0], [at, axis], &format!("stroke=\"{GRID}\""));
        canvas.text([at, axis + 16.0], "middle", 12.0, &crate::lines::short(tick));
    }
    canvas.text([0.5 * (left + right), axis + 32.0], "middle", 12.0, &format!("gauge pressure, {unit}"));
    canvas.line([left, axis], [right, axis], &format!("stroke=\"{INK}\""));
    uprights(scale, &x, axis, &mut canvas);
    for (k, row) in rows.iter().enumerate() {
        let y = FIRST[narrow] + STEP[narrow] * k as f64;
        if narrow == 1 {
            canvas.text_over([left, y - 42.0], "start", 13.0, &row.name);
        } else {
            canvas.text([left - 12.0, y + 4.0], "end", 13.0, &row.name);
        }
        marks(row, y, &Along { x: &x, lines: [x(rated), x(required)], unit, width }, &mut canvas);
    }
    canvas.finish(
        "Retention pressures on a scale",
        "Square: first lift. Diamond: local release. Triangle: off-centre release. Circle: uniform blow-off. Open: not reached up to there. Whiskers: numerical error.",
    )
}

/// Upright lines at the rated and the required pressure, down to the axis.
fn uprights(scale: &Scale<'_>, x: &dyn Fn(f64) -> f64, axis: f64, canvas: &mut Canvas) {
    let Scale { rated, required, unit, .. } = *scale;
    for (p, name, style) in [
        (rated, "rated", format!("stroke=\"{MUTED}\" stroke-dasharray=\"3 4\"")),
        (required, "required", format!("stroke=\"{WARM}\" stroke-width=\"2\"")),
    ] {
        canvas.line([x(p), 40.0], [x(p), axis], &style);
        // Two that would meet stand to either side of their lines.
        let (side, aside) = match name {
            _ if x(required) - x(rated) > 2.0 * HALF_LABEL => ("middle", 0.0),
            "rated" => ("end", -3.0),
            _ => ("start", 3.0),
        };
        canvas.text([x(p) + aside, 32.0], side, 12.0, &format!("{name} {:.2}", unit.value_of(p)));
    }
}

/// Half the width of a label, with some room.
const HALF_LABEL: f64 = 44.0;
/// Width of a letter of a label, with some room.
const LETTER: f64 = 6.6;
/// Room that a label leaves at the edges of the picture.
const EDGE: f64 = 3.0;
/// Height of a line of labels.
const LINE: f64 = 14.0;

/// Side to which a label at `at` is set so that the upright `lines` pass it by: to the left or the right of its mark where a line would
/// cross one half of it only.
fn anchor(at: f64, lines: [f64; 2]) -> &'static str {
    let crossed = |from: f64, to: f64| lines.iter().any(|line| from < *line && *line < to);
    match (crossed(at - HALF_LABEL, at), crossed(at, at + HALF_LABEL)) {
        (true, false) => "start",
        (false, true) => "end",
        _ => "middle",
    }
}

/// Where a label begins and ends along the scale.
type Extent = [f64; 2];

/// Of a label set at `start` to a side.
fn extent(start: f64, side: &str, label: &str) -> Extent {
    let width = LETTER * label.chars().count() as f64;
    match side {
        "start" => [start, start + width],
        "end" => [start - width, start],
        _ => [start - 0.5 * width, start + 0.5 * width],
    }
}

fn meet(a: Extent, b: Extent) -> bool {
    a[0] < b[1] && b[0] < a[1]
}

/// The scale along which marks stand.
struct Along<'a> {
    /// Place of a pressure, MPa.
    x: &'a dyn Fn(f64) -> f64,
    /// Where upright lines stand.
    lines: [f64; 2],
    unit: &'a Unit,
    /// Width of the picture.
    width: f64,
}

/// Half the height of the end of a whisker.
const TICK: f64 = 11.0;

/// The numerical error of a mark, from one end to the other.
fn whisker(ends: [f64; 2], y: f64, canvas: &mut Canvas) {
    let style = format!("stroke=\"{DEEP}\" stroke-width=\"1.2\"");
    canvas.line([ends[0], y], [ends[1], y], &style);
    for end in ends {
        canvas.line([end, y - TICK], [end, y + TICK], &style);
    }
}

/// One row of marks.
fn marks(row: &Row, y: f64, along: &Along<'_>, canvas: &mut Canvas) {
    let retention = &row.retention;
    let Along { x, lines, unit, .. } = *along;
    if let [Some((from, _)), Some((to, _))] = [retention.first_lift, retention.uniform_blow_off].map(Release::known) {
        canvas.line([x(from), y], [x(to), y], &format!("stroke=\"{DEEP}\" stroke-width=\"3\""));
    }
    // The shapes of the other picture: square, triangle, circle; open where not reached.
    let marks: [(Release, [&str; 2], &str); 4] = [
        (retention.first_lift, ["\u{25a0}", "\u{25a1}"], "first lift"),
        (retention.local_release, ["\u{25c6}", "\u{25c7}"], "local"),
        (retention.off_centre_release, ["\u{25b2}", "\u{25b3}"], "off-centre"),
        (retention.uniform_blow_off, ["\u{25cf}", "\u{25cb}"], "blow-off"),
    ];
    // Labels stand above and below in turn, farther out where they would meet an earlier one.
    let mut placed: [Vec<(f64, Extent)>; 2] = [Vec::new(), Vec::new()];
    for (k, (release, shapes, name)) in marks.into_iter().enumerate() {
        let Some((p, bound)) = release.known() else { continue };
        let (at, shape) = (x(p), shapes[usize::from(bound)]);
        if let Some(error) = row.errors[k] {
            whisker([x(p - error), x(p + error)], y, canvas);
        }
        canvas.raw(format_args!(
            "<text x=\"{at:.2}\" y=\"{:.2}\" text-anchor=\"middle\" font-size=\"18\" fill=\"{DEEP}\" paint-order=\"stroke\" stroke=\"#ffffff\" stroke-width=\"2\">{shape}</text>",
            y + 6.0
        ));
        let sign = if bound { "> " } else { "" };
        let label = format!("{name} {sign}{:.2}", unit.value_of(p));
        // A pale rim keeps the label legible across a line.
        canvas.raw(format_args!("<g paint-order=\"stroke\" stroke=\"#ffffff\" stroke-width=\"4\">"));
        let side = anchor(at, lines);
        let start = at
            + match side {
                "start" => -6.0,
                "end" => 6.0,
                _ => 0.0,
            };
        let extent = extent(start, side, &label);
        // What would leave the picture is moved into it.
        let moved = (EDGE - extent[0]).max(0.0) - (extent[1] - (along.width - EDGE)).max(0.0);
        let (start, extent) = (start + moved, extent.map(|x| x + moved));
        let (first, step) = if k % 2 == 0 { (-13.0, -LINE) } else { (24.0, LINE) };
        let free = |dy: &f64| placed[k % 2].iter().all(|(at, other)| (at - dy).abs() > 0.5 || !meet(*other, extent));
        let dy = (0..4).map(|n| first + step * f64::from(n)).find(free).unwrap_or(first);
        placed[k % 2].push((dy, extent));
        canvas.text([start, y + dy], side, 12.0, &label);
        canvas.raw(format_args!("</g>"));
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    /// Places of the labels of a row that begin so, first lift and blow-off so far apart.
    fn labels_of(first: f64, last: f64) -> Vec<String> {
        let retention = Retention {
            first_lift: Release::At(first),
            local_release: Release::At(first),
            off_centre_release: Release::At(last),
            uniform_blow_off: Release::At(if last - first > 0.5 { last - 0.3 } else { last }),
        };
        let mut canvas = Canvas::new(WIDTH, 258.0);
        let along = Along { x: &|p| 200.0 + 500.0 * p, lines: [0.0, 0.0], unit: &BAR, width: WIDTH };
        marks(&Row { name: String::new(), retention, errors: [None; 4] }, 85.0, &along, &mut canvas);
        let picture = canvas.finish("", "");
        let of = |name: &str| {
            let before = picture.split(&format!(">{name}")).next().unwrap_or("");
            before.rsplit(" y=\"").next().and_then(|rest| rest.split('"').next()).unwrap_or("").to_owned()
        };
        ["first lift", "local", "off-centre", "blow-off"].map(of).to_vec()
    }

    #[test]
    fn labels_that_would_meet_stand_one_above_the_other() {
        assert_eq!(labels_of(0.1, 0.9), ["72.00", "109.00", "72.00", "109.00"]);
        assert_eq!(labels_of(0.85, 0.9), ["72.00", "109.00", "58.00", "123.00"]);
    }

    #[test]
    fn no_label_leaves_a_narrow_picture() {
        let known = Retention {
            first_lift: Release::At(0.01),
            local_release: Release::At(0.02),
            off_centre_release: Release::At(0.9),
            uniform_blow_off: Release::Above(1.0),
        };
        let rows = [Row { name: "a".to_owned(), retention: known, errors: [None; 4] }];
        let drawn = picture(&Scale { rated: 0.3, required: 0.45, rows: &rows, unit: &BAR, width: 320.0 });
        for name in ["first lift", "local", "off-centre", "blow-off"] {
            let label = drawn.lines().find(|line| line.contains(&format!(">{name}"))).unwrap();
            let of = |key: &str| label.split(&format!("{key}=\"")).nth(1).unwrap().split('"').next().unwrap().to_owned();
            let text = label.split('>').nth(1).unwrap().split('<').next().unwrap().replace("&gt;", ">");
            let [from, to] = extent(of(" x").parse().unwrap(), &of("text-anchor"), &text);
            assert!(from >= 0.0 && to <= 320.0, "{label}: {from} to {to}");
        }
    }

    #[test]
    fn labels_stand_beside_lines_that_would_cross_them() {
        assert_eq!(anchor(300.0, [500.0, 320.0]), "end");
        assert_eq!(anchor(300.0, [500.0, 280.0]), "start");
        assert_eq!(anchor(300.0, [100.0, 500.0]), "middle");
        assert_eq!(anchor(300.0, [280.0, 320.0]), "middle", "there is no room on either side");
    }
}
