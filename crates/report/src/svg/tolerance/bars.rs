//! What matters: for each input its importance at the design point and its shares of the margin's variance, as bars.

use hoopwright_study::tolerance::settle::first_order;

use crate::svg::{Canvas, DEEP, GRID, INK, METAL, MUTED};
use crate::tolerance::{Reported, limit_words};
use crate::words;

/// Height of one bar, of one input, and where the bars begin and end.
const BAR: f64 = 11.0;
const INPUT: f64 = 52.0;
const LEFT: f64 = 190.0;
const RIGHT: f64 = 690.0;
const TOP: f64 = 112.0;
/// Design points that lie farther have no bars.
const RARE: f64 = 1e-12;

/// Kinds of bars: what they show, and how they look.
const KINDS: [(&str, &str, f64); 3] = [
    ("importance at the design point: what makes the failure", DEEP, 0.0),
    ("share of the margin's variance, alone", METAL, 1.0),
    ("share of the margin's variance, with all that it acts with", "#ffffff", 1.0),
];

/// The picture of limit `k`; none where nothing of it varies.
pub(super) fn picture(r: &Reported<'_>, k: usize) -> Option<String> {
    let point = r.findings.design_points.get(k).and_then(|points| points.first()).filter(|p| first_order(p.index) > RARE);
    let importance = point.map(|p| r.plan.joint.importance(&p.direction));
    let shares = r.findings.shares.get(k).and_then(|s| s.as_ref());
    let names: Vec<String> = r.tolerance.inputs.iter().map(|u| words::input(u.input)).collect();
    let values = |i: usize| [importance.as_ref().map(|w| w[i]), shares.map(|s| s[i].first), shares.map(|s| s[i].total)];
    if values(0).iter().all(Option::is_none) {
        return None;
    }
    // The input that matters most stands at the top.
    let mut order: Vec<usize> = (0..names.len()).collect();
    let weight = |i: usize| values(i).into_iter().flatten().next().unwrap_or(0.0);
    order.sort_by(|a, b| weight(*b).total_cmp(&weight(*a)));
    let bottom = TOP + INPUT * names.len() as f64;
    let mut canvas = Canvas::new(760.0, bottom + 108.0);
    let title = &r.tolerance.case.title;
    canvas.text([20.0, 26.0], "start", 16.0, title);
    let heading = format!("What matters; {}", limit_words(r.limits.finding(k), r.limits.column(k)));
    let (first, second) = heading.split_once(": ").unwrap_or((&heading, ""));
    canvas.text([20.0, 48.0], "start", 13.0, first);
    canvas.text([20.0, 66.0], "start", 12.0, second);
    if let Some(point) = point {
        let text = format!("design point {:.2} standard deviations away", point.index);
        canvas.text([RIGHT + 50.0, 48.0], "end", 12.0, &text);
    }
    let most = order.iter().flat_map(|i| values(*i)).flatten().fold(0.1, f64::max).min(1.2);
    let top = (most * 10.0).ceil() / 10.0;
    let x = |share: f64| LEFT + (RIGHT - LEFT) * share.clamp(0.0, top) / top;
    for percent in (0..=12).map(|k| 10 * k).filter(|p| f64::from(*p) <= 100.0 * top + 1e-9 && (top <= 0.6 || p % 20 == 0)) {
        let at = x(f64::from(percent) / 100.0);
        canvas.line([at, TOP - 8.0], [at, bottom], &format!("stroke=\"{GRID}\""));
        canvas.text([at, TOP - 14.0], "middle", 12.0, &format!("{percent} %"));
    }
    for (row, i) in order.iter().enumerate() {
        let y = TOP + INPUT * row as f64;
        canvas.text([LEFT - 10.0, y + 1.5 * BAR + 6.0], "end", 13.0, &names[*i]);
        for (kind, value) in values(*i).into_iter().enumerate() {
            let Some(value) = value else { continue };
            bar(&mut canvas, kind, y + (BAR + 2.0) * kind as f64, x(value));
            canvas.text([x(value) + 5.0, y + (BAR + 2.0) * kind as f64 + 9.5], "start", 10.0, &format!("{:.1} %", 100.0 * value));
        }
    }
    for (kind, (text, _, _)) in KINDS.iter().enumerate() {
        let y = bottom + 14.0 + 20.0 * kind as f64;
        bar(&mut canvas, kind, y, LEFT + 34.0);
        canvas.text([LEFT + 42.0, y + 10.0], "start", 12.0, text);
    }
    if r.plan.joint.is_correlated() {
        let text = "With correlation an input tells of others too: shares alone may exceed those in all.";
        canvas.text([LEFT, bottom + 88.0], "start", 12.0, text);
    }
    Some(canvas.finish(&format!("{heading}: {title}"), "Bars for each input, the one that matters most at the top."))
}

fn bar(canvas: &mut Canvas, kind: usize, y: f64, to: f64) {
    let (_, fill, outline) = KINDS[kind];
    let stroke = if outline > 0.0 { INK } else { fill };
    let dash = if kind == 2 { " stroke-dasharray=\"3 2\"" } else { "" };
    let corners = [[LEFT, y], [to.max(LEFT + 0.6), y], [to.max(LEFT + 0.6), y + BAR], [LEFT, y + BAR]];
    canvas.polygon(&corners, &format!("fill=\"{fill}\" stroke=\"{stroke}\" stroke-width=\"0.9\"{dash}"));
    canvas.line([LEFT, y - 2.0], [LEFT, y + BAR + 2.0], &format!("stroke=\"{MUTED}\""));
}
