//! Pictures of a calibration: tests against predictions, and which frictions go with which factors.

use hoopwright_study::calibrate::FRICTIONS;

use super::frame::{Frame, range};
use super::{Canvas, DEEP, INK, MUTED, WARM, ticks};
use crate::calibrate::Calibration;

/// File name and picture.
pub fn pictures(title: &str, c: &Calibration) -> Vec<(String, String)> {
    vec![("calibrate_tests.svg".to_owned(), tests(title, c)), ("calibrate_plausible.svg".to_owned(), plausible(title, c))]
}

/// Tested over predicted pressure at the known friction, one mark a tyre, with the factor and what 95 of 100 further tyres exceed.
fn tests(title: &str, c: &Calibration) -> String {
    let friction = c.factor.friction;
    let points: Vec<[f64; 2]> = c.pairs.iter().map(|pair| [pair.at(friction), pair.tested]).collect();
    let both = range(points.iter().flatten().copied(), 0.08);
    let frame = Frame { x: [84.0, 560.0], y: [560.0, 92.0], x_range: both, y_range: both };
    let mut canvas = Canvas::new(760.0, 640.0);
    canvas.text([20.0, 26.0], "start", 16.0, title);
    let heading = format!("Tested against predicted release pressure at friction {}", crate::lines::short(friction));
    canvas.text([20.0, 48.0], "start", 13.0, &heading);
    let marks = ticks(both[0], both[1], 6.0);
    frame.axes(&mut canvas, [&marks, &marks], ["predicted release pressure, bar", "tested release pressure, bar"], true);
    let factor = c.factor.factor.value;
    for (slope, style) in [
        (1.0, format!("stroke=\"{MUTED}\" stroke-dasharray=\"2 4\"")),
        (factor, format!("stroke=\"{INK}\" stroke-width=\"1.6\"")),
        (c.factor.lower, format!("stroke=\"{WARM}\" stroke-width=\"1.6\" stroke-dasharray=\"8 4\"")),
    ] {
        // Through the origin, within the frame.
        let from = (both[0] / slope).max(both[0]);
        let to = (both[1] / slope).min(both[1]);
        if from < to {
            canvas.line(frame.at(from, slope * from), frame.at(to, slope * to), &style);
        }
    }
    for [x, y] in points.iter().map(|[x, y]| frame.at(*x, *y)) {
        canvas.raw(format_args!(
            "<circle cx=\"{x:.2}\" cy=\"{y:.2}\" r=\"4\" fill=\"{DEEP}\" fill-opacity=\"0.55\" stroke=\"{DEEP}\" stroke-width=\"0.8\"/>"
        ));
    }
    let lines = [
        format!("{} tyres", c.pairs.len()),
        String::new(),
        "dotted: test = prediction".to_owned(),
        format!("full: factor {factor:.3}"),
        format!("dashed: {:.3}, which 95 of", c.factor.lower),
        "100 further tyres exceed".to_owned(),
    ];
    for (i, line) in lines.iter().enumerate() {
        canvas.text([frame.x[1] + 16.0, frame.y[1] + 16.0 + 18.0 * i as f64], "start", 12.0, line);
    }
    canvas.finish(
        &format!("{heading}: {title}"),
        "Tested over predicted release pressure, one mark a tyre, with the fitted factor.",
    )
}

/// Pairs of friction and factor that fit, the best pair, and the factor at the known friction with its interval.
fn plausible(title: &str, c: &Calibration) -> String {
    let known = &c.factor;
    let factors = c.both.plausible.iter().flat_map(|pair| [pair[1], pair[2]]);
    let y_range = range(factors.chain(known.factor.ends).chain([c.both.factor.value, 1.0]), 0.08);
    let x_range = [FRICTIONS[0], FRICTIONS[FRICTIONS.len() - 1]];
    let frame = Frame { x: [84.0, 560.0], y: [440.0, 92.0], x_range, y_range };
    let mut canvas = Canvas::new(760.0, 510.0);
    canvas.text([20.0, 26.0], "start", 16.0, title);
    let heading = "Which friction goes with which knock-down factor";
    canvas.text([20.0, 48.0], "start", 13.0, heading);
    for part in parts(&c.both.plausible) {
        let below = part.iter().map(|pair| frame.at(pair[0], pair[1]));
        let above = part.iter().rev().map(|pair| frame.at(pair[0], pair[2]));
        let outline: Vec<[f64; 2]> = below.chain(above).collect();
        canvas.polygon(&outline, &format!("fill=\"{DEEP}\" fill-opacity=\"0.18\" stroke=\"{DEEP}\" stroke-width=\"1.4\""));
    }
    let (columns, rows) = (ticks(x_range[0], x_range[1], 6.0), ticks(y_range[0], y_range[1], 6.0));
    frame.axes(&mut canvas, [&columns, &rows], ["friction", "tested over predicted pressure"], true);
    let [x, low] = frame.at(known.friction, known.factor.ends[0]);
    let high = frame.at(known.friction, known.factor.ends[1])[1];
    let style = format!("stroke=\"{WARM}\" stroke-width=\"1.8\"");
    canvas.line([x, low], [x, high], &style);
    for y in [low, high] {
        canvas.line([x - 6.0, y], [x + 6.0, y], &style);
    }
    let [x, y] = frame.at(known.friction, known.factor.value);
    canvas.polygon(&[[x, y - 6.0], [x + 6.0, y], [x, y + 6.0], [x - 6.0, y]], &format!("fill=\"{WARM}\""));
    let [x, y] = frame.at(c.both.friction.value, c.both.factor.value);
    canvas.raw(format_args!(
        "<circle cx=\"{x:.2}\" cy=\"{y:.2}\" r=\"5\" fill=\"{DEEP}\" stroke=\"#ffffff\" stroke-width=\"1.2\"/>"
    ));
    let lines = [
        "area: pairs that fit; its ends".to_owned(),
        "are the 95 % intervals".to_owned(),
        format!("circle: best, {:.3} at {:.3}", c.both.factor.value, c.both.friction.value),
        "diamond, bar: friction taken".to_owned(),
        format!("as known, {:.3} at {}", known.factor.value, crate::lines::short(known.friction)),
    ];
    for (i, line) in lines.iter().enumerate() {
        canvas.text([frame.x[1] + 16.0, frame.y[1] + 16.0 + 18.0 * i as f64], "start", 12.0, line);
    }
    canvas.finish(
        &format!("{heading}: {title}"),
        "Factors over frictions that fit the tests, with the best pair and the factor at the known friction.",
    )
}

/// Runs of neighbouring frictions, thinned to a few hundred pairs, ends kept.
fn parts(plausible: &[[f64; 3]]) -> Vec<Vec<[f64; 3]>> {
    let step = plausible.windows(2).map(|two| two[1][0] - two[0][0]).fold(f64::INFINITY, f64::min);
    let mut parts: Vec<Vec<[f64; 3]>> = Vec::new();
    for pair in plausible {
        match parts.last_mut() {
            Some(part) if part.last().is_some_and(|last| pair[0] - last[0] < 1.5 * step) => part.push(*pair),
            _ => parts.push(vec![*pair]),
        }
    }
    let thin = |part: Vec<[f64; 3]>| {
        let last = part.len() - 1;
        part.into_iter().enumerate().filter(|(i, _)| i % 6 == 0 || *i == last).map(|(_, pair)| pair).collect()
    };
    parts.into_iter().map(thin).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_gap_parts_what_fits() {
        let pair = |i: u32| [f64::from(i) / 1200.0, 0.9, 1.0];
        let all: Vec<[f64; 3]> = (0..20).chain(40..50).map(pair).collect();
        let found = parts(&all);
        assert_eq!(found.iter().map(Vec::len).collect::<Vec<_>>(), [5, 3]);
        assert!((found[1][2][0] - 49.0 / 1200.0).abs() < 1e-12 && parts(&[]).is_empty());
    }
}
