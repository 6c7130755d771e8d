//! A stretching log: the strands' tension over the diameter with the fitted branches and the line without friction, and what lies off.

use hoopwright_bench::stretch::geometry::Branch;
use hoopwright_bench::stretch::{CycleFit, CycleResult, Law, Stretch};
use hoopwright_case::units::{KN, MM, NEWTON};

use super::{axes, cross, dot, thinned};
use crate::rig::error_text;
use crate::svg::frame::{Frame, range};
use crate::svg::{Canvas, DEEP, INK, MUTED, WARM};

/// Diameter, tension or what lies off it, branch.
type Mark = (f64, f64, Branch);

/// The picture.
pub fn picture(log: &str, s: &Stretch) -> String {
    let mut canvas = Canvas::new(860.0, 760.0);
    canvas.text([20.0, 26.0], "start", 16.0, &format!("{log}: bead stretched on its fixture"));
    canvas.text([20.0, 48.0], "start", 13.0, &summary(s));
    let diameter = |row: usize| s.geometry.diameter(s.length[row]);
    let all = range((0..s.length.len()).map(diameter), 0.02);
    let tensions = range(s.tension.iter().copied().chain([0.0]), 0.05);
    let upper = Frame { x: [84.0, 620.0], y: [430.0, 100.0], x_range: all, y_range: tensions };
    axes(&mut canvas, &upper, ["diameter at the bead's base, mm", "hoop tension between the parts of the fixture, N"]);
    for (x, y) in thinned(&(0..s.length.len()).map(|row| (diameter(row), s.tension[row])).collect::<Vec<_>>()) {
        dot(&mut canvas, upper.at(x, y), MUTED);
    }
    let fits = fits(s);
    lines(&mut canvas, &upper, s, &fits);
    let off = off(s, &fits);
    let spread = range(off.iter().map(|mark| mark.1), 0.08);
    let largest = spread[0].abs().max(spread[1].abs());
    let lower = Frame { x: upper.x, y: [690.0, 520.0], x_range: all, y_range: [-largest, largest] };
    axes(&mut canvas, &lower, ["diameter at the bead's base, mm", "tension less straight fit, N (fitted rows)"]);
    for branch in [Branch::Loading, Branch::Unloading] {
        for (x, y, _) in thinned(&off.iter().filter(|mark| mark.2 == branch).copied().collect::<Vec<_>>()) {
            let at = lower.at(x, y);
            if branch == Branch::Loading { dot(&mut canvas, at, DEEP) } else { cross(&mut canvas, at, WARM) }
        }
    }
    canvas.line(lower.at(all[0], 0.0), lower.at(all[1], 0.0), &format!("stroke=\"{INK}\""));
    legend(&mut canvas);
    canvas.finish(
        &format!("Stretching log: {log}"),
        "Hoop tension over diameter: readings, fitted loading and unloading, the line without friction; below, readings less fit.",
    )
}

fn summary(s: &Stretch) -> String {
    let friction = s.friction.map_or("friction given".to_owned(), |f| {
        format!("friction {:.3} +/- {}", f.value, error_text(f.half_width(), f.value, 3))
    });
    let unstretched = if let Law::Curve { unstretched, .. } = &s.law { unstretched } else { &s.unstretched };
    format!(
        "unstretched {:.3} +/- {} mm, E A {:.2} +/- {} kN, {friction} (95 %); {:.3} mm at {}",
        MM.value_of(unstretched.value),
        error_text(unstretched.half_width(), unstretched.value, 3),
        KN.value_of(s.stiffness.value),
        error_text(KN.value_of(s.stiffness.half_width()), KN.value_of(s.stiffness.value), 2),
        s.diameter.value,
        NEWTON.format(s.reference_force),
    )
}

/// The fitted cycles with their numbers.
fn fits(s: &Stretch) -> Vec<(usize, &CycleFit)> {
    let mut fits = Vec::new();
    for (i, cycle) in s.cycles.iter().enumerate() {
        if let CycleResult::Fitted(fit) = cycle {
            fits.push((i, &**fit));
        }
    }
    fits
}

/// Branches of every fitted cycle over their ranges, and the line without friction from no tension to the top.
fn lines(canvas: &mut Canvas, frame: &Frame, s: &Stretch, fits: &[(usize, &CycleFit)]) {
    let path = |from: f64, to: f64, tension: &dyn Fn(f64) -> f64| -> Vec<[f64; 2]> {
        let at = |k: u32| from + (to - from) * f64::from(k) / 30.0;
        (0..=30).map(at).map(|length| frame.at(s.geometry.diameter(length), tension(length))).collect()
    };
    for (_, fit) in fits {
        let zero = fit.zero.unwrap_or(0.0);
        for (branch, window) in [(Branch::Loading, fit.windows[0]), (Branch::Unloading, fit.windows[1])] {
            let style = match branch {
                Branch::Loading => format!("stroke=\"{DEEP}\" stroke-width=\"1.6\""),
                Branch::Unloading => format!("stroke=\"{WARM}\" stroke-width=\"1.6\" stroke-dasharray=\"6 3\""),
            };
            let tension = |length: f64| zero + fit.line.strands(&s.geometry, length, branch);
            canvas.polyline(&path(window[0], window[1], &tension), &style);
        }
        let tension = |length: f64| fit.line.mean(length);
        let from = fit.line.length(0.0);
        canvas.polyline(&path(from, fit.windows[0][1], &tension), &format!("stroke=\"{INK}\" stroke-width=\"1.4\""));
    }
}

/// What lies off the fit.
fn off(s: &Stretch, fits: &[(usize, &CycleFit)]) -> Vec<Mark> {
    let mut marks = Vec::new();
    for (i, fit) in fits {
        let Some(part) = s.parts.get(*i) else { continue };
        let zero = fit.zero.unwrap_or(0.0);
        for (branch, rows, window) in
            [(Branch::Loading, part.loading.clone(), fit.windows[0]), (Branch::Unloading, part.unloading.clone(), fit.windows[1])]
        {
            for row in rows.filter(|row| (window[0]..=window[1]).contains(&s.length[*row])) {
                let off = s.tension[row] - zero - fit.line.strands(&s.geometry, s.length[row], branch);
                // Outliers would hide the rest.
                if off.abs() <= 6.0 * fit.deviation {
                    marks.push((s.geometry.diameter(s.length[row]), off, branch));
                }
            }
        }
    }
    marks
}

fn legend(canvas: &mut Canvas) {
    let x = 640.0;
    dot(canvas, [x + 14.0, 112.0], MUTED);
    canvas.text([x + 36.0, 116.0], "start", 12.0, "readings");
    canvas.line([x, 134.0], [x + 28.0, 134.0], &format!("stroke=\"{DEEP}\" stroke-width=\"1.6\""));
    canvas.text([x + 36.0, 138.0], "start", 12.0, "fit, loading");
    canvas.line([x, 156.0], [x + 28.0, 156.0], &format!("stroke=\"{WARM}\" stroke-width=\"1.6\" stroke-dasharray=\"6 3\""));
    canvas.text([x + 36.0, 160.0], "start", 12.0, "fit, unloading");
    canvas.line([x, 178.0], [x + 28.0, 178.0], &format!("stroke=\"{INK}\" stroke-width=\"1.4\""));
    canvas.text([x + 36.0, 182.0], "start", 12.0, "without friction: mean tension");
    canvas.text([x + 36.0, 198.0], "start", 12.0, "over the hoop");
    dot(canvas, [x + 14.0, 532.0], DEEP);
    canvas.text([x + 36.0, 536.0], "start", 12.0, "loading");
    cross(canvas, [x + 14.0, 554.0], WARM);
    canvas.text([x + 36.0, 558.0], "start", 12.0, "unloading");
}
