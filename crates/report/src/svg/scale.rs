//! The retention pressures on one scale with the rated and the required pressure.

use crate::svg::{Canvas, DEEP, GRID, INK, MUTED, WARM, ticks};
use hoopwright_solver::result::{Assessment, Release, Retention};

const WIDTH: f64 = 900.0;
const HEIGHT: f64 = 258.0;
const LEFT: f64 = 130.0;
const RIGHT: f64 = 870.0;
/// Heights of the axis and of the two rows.
const AXIS: f64 = 215.0;
const ROWS: [f64; 2] = [85.0, 155.0];
const BAR: f64 = 10.0;

/// Two rows, at the given friction and without, each with its four pressures; vertical lines at the rated and required ones.
pub(super) fn picture(a: &Assessment) -> String {
    let (rated, required) = (a.case.pressure.rated, a.case.required_pressure());
    let rows =
        [(format!("friction {}", a.given.friction), &a.given.retention), ("no friction".to_owned(), &a.frictionless.retention)];
    let releases = rows.iter().flat_map(|(_, r)| [r.first_lift, r.local_release, r.off_centre_release, r.uniform_blow_off]);
    let end = 1.08 * releases.filter_map(Release::known).map(|known| known.0).fold(required, f64::max);
    let x = |p: f64| LEFT + (RIGHT - LEFT) * p / end;
    let mut canvas = Canvas::new(WIDTH, HEIGHT);
    for tick in ticks(0.0, BAR * end, 8.0) {
        let at = x(tick / BAR);
        canvas.line([at, 50.0], [at, AXIS], &format!("stroke=\"{GRID}\""));
        canvas.text([at, AXIS + 16.0], "middle", 12.0, &crate::text::short(tick));
    }
    canvas.text([0.5 * (LEFT + RIGHT), AXIS + 32.0], "middle", 12.0, "gauge pressure, bar");
    canvas.line([LEFT, AXIS], [RIGHT, AXIS], &format!("stroke=\"{INK}\""));
    for (p, name, style) in [
        (rated, "rated", format!("stroke=\"{MUTED}\" stroke-dasharray=\"3 4\"")),
        (required, "required", format!("stroke=\"{WARM}\" stroke-width=\"2\"")),
    ] {
        canvas.line([x(p), 40.0], [x(p), AXIS], &style);
        // Two that would meet stand to either side of their lines.
        let (side, aside) = match name {
            _ if x(required) - x(rated) > 2.0 * HALF_LABEL => ("middle", 0.0),
            "rated" => ("end", -3.0),
            _ => ("start", 3.0),
        };
        canvas.text([x(p) + aside, 32.0], side, 12.0, &format!("{name} {:.2}", BAR * p));
    }
    for ((name, retention), y) in rows.iter().zip(ROWS) {
        canvas.text([LEFT - 12.0, y + 4.0], "end", 13.0, name);
        row(retention, y, &x, [x(rated), x(required)], &mut canvas);
    }
    canvas.finish(
        "Retention pressures on a scale",
        "Square: first lift. Diamond: local release. Triangle: off-centre release. Circle: uniform blow-off. Open: not reached up to there.",
    )
}

/// Half the width of a label, with some room.
const HALF_LABEL: f64 = 44.0;
/// Width of a letter of a label, with some room.
const LETTER: f64 = 6.6;
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

/// One row of marks; `lines` are where upright lines stand.
fn row(retention: &Retention, y: f64, x: &impl Fn(f64) -> f64, lines: [f64; 2], canvas: &mut Canvas) {
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
        canvas.raw(format_args!(
            "<text x=\"{at:.2}\" y=\"{:.2}\" text-anchor=\"middle\" font-size=\"18\" fill=\"{DEEP}\" paint-order=\"stroke\" stroke=\"#ffffff\" stroke-width=\"2\">{shape}</text>",
            y + 6.0
        ));
        let sign = if bound { "> " } else { "" };
        let label = format!("{name} {sign}{:.2}", BAR * p);
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
    use super::*;

    /// Places of the labels of a row that begin so, first lift and blow-off so far apart.
    fn labels_of(first: f64, last: f64) -> Vec<String> {
        let retention = Retention {
            first_lift: Release::At(first),
            local_release: Release::At(first),
            off_centre_release: Release::At(last),
            uniform_blow_off: Release::At(if last - first > 0.5 { last - 0.3 } else { last }),
        };
        let mut canvas = Canvas::new(WIDTH, HEIGHT);
        row(&retention, 85.0, &|p| 200.0 + 500.0 * p, [0.0, 0.0], &mut canvas);
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
    fn labels_stand_beside_lines_that_would_cross_them() {
        assert_eq!(anchor(300.0, [500.0, 320.0]), "end");
        assert_eq!(anchor(300.0, [500.0, 280.0]), "start");
        assert_eq!(anchor(300.0, [100.0, 500.0]), "middle");
        assert_eq!(anchor(300.0, [280.0, 320.0]), "middle", "there is no room on either side");
    }
}
