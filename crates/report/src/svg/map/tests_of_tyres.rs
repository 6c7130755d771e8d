//! Predicted against tested release pressure of measured tyres.

use hoopwright_study::map::Finished;
use hoopwright_study::map::tyres::{Placed, against_tests};

use crate::svg::frame::{Frame, range};
use crate::svg::{Canvas, DEEP, INK, ticks};

/// The picture; none without tested tyres on the map.
pub(super) fn picture(map: &Finished, title: &str, tyres: &[Placed]) -> Option<String> {
    let comparison = against_tests(tyres)?;
    let pairs: Vec<(f64, f64)> = tyres.iter().filter_map(|tyre| Some((tyre.tested?, tyre.predicted?))).collect();
    let both = range(pairs.iter().flat_map(|(tested, predicted)| [*tested, *predicted]), 0.06);
    let frame = Frame { x: [84.0, 560.0], y: [560.0, 92.0], x_range: both, y_range: both };
    let mut canvas = Canvas::new(760.0, 640.0);
    canvas.text([20.0, 26.0], "start", 16.0, title);
    canvas.text([20.0, 48.0], "start", 13.0, "Measured tyres: prediction of the map against test");
    let marks = ticks(both[0], both[1], 6.0);
    let deciding = map.fields[map.deciding()].column;
    let y_title = format!("predicted {}, bar", deciding.meaning);
    frame.axes(&mut canvas, [&marks, &marks], ["tested release pressure, bar", &y_title], true);
    canvas.line(frame.at(both[0], both[0]), frame.at(both[1], both[1]), &format!("stroke=\"{INK}\" stroke-dasharray=\"2 4\""));
    let (low, high) = (both[0].max(both[0] - comparison.bias), both[1].min(both[1] - comparison.bias));
    canvas.line(frame.at(low, low + comparison.bias), frame.at(high, high + comparison.bias), &format!("stroke=\"{INK}\""));
    for (tested, predicted) in &pairs {
        let [x, y] = frame.at(*tested, *predicted);
        canvas.raw(format_args!(
            "<circle cx=\"{x:.2}\" cy=\"{y:.2}\" r=\"3.4\" fill=\"{DEEP}\" fill-opacity=\"0.45\" stroke=\"{DEEP}\" stroke-width=\"0.7\"/>"
        ));
    }
    let left = frame.x[1] + 20.0;
    let or = |value: Option<f64>, unit: &str| value.map_or("-".to_owned(), |v| format!("{v:.3}{unit}"));
    let lines = [
        format!("{} tyres", comparison.count),
        "prediction less test:".to_owned(),
        format!("bias {:.3} bar", comparison.bias),
        format!("scatter {}", or(comparison.scatter, " bar")),
        format!("rank correlation {}", or(comparison.rank_correlation, "")),
        String::new(),
        "dotted: prediction = test".to_owned(),
        "full: shifted by the bias".to_owned(),
    ];
    for (i, line) in lines.iter().enumerate() {
        canvas.text([left, frame.y[1] + 16.0 + 18.0 * i as f64], "start", 12.0, line);
    }
    Some(canvas.finish(&format!("Tests: {title}"), "Predicted over tested release pressure, one mark a tyre."))
}
