//! A study of tolerances for a terminal: words first.

use std::fmt::Write;

use hoopwright_solver::units::number;
use hoopwright_study::tolerance::distribution::QUANTILES;
use hoopwright_study::tolerance::sample::Purpose;
use hoopwright_study::tolerance::settle::first_order;
use hoopwright_study::tolerance::sizing::Outcome as Sized;
use hoopwright_study::tolerance::worst::ENDS;

use super::{Outcome, Reported, chance, limit_words, one_of, short, spread};
use crate::words;

/// A design point whose limit is passed less often than this has no part in the answer.
const RARE: f64 = 1e-12;

/// Writing to a String cannot fail.
macro_rules! line {
    ($out:expr, $($arg:tt)*) => { let _ = writeln!($out, $($arg)*); };
}

/// The table.
pub fn text(r: &Reported<'_>) -> String {
    let mut out = String::new();
    answer(&mut out, r);
    out.push('\n');
    worst_case(&mut out, r);
    if !r.findings.probabilities.is_empty() {
        out.push('\n');
        probabilities(&mut out, r);
        out.push('\n');
        margins(&mut out, r);
        (0..r.limits.len()).for_each(|k| matters(&mut out, r, k));
        sizing(&mut out, r);
    }
    out.push('\n');
    solved(&mut out, r);
    out.push('\n');
    for caution in words::cautions() {
        line!(out, "{caution}");
    }
    out
}

fn answer(out: &mut String, r: &Reported<'_>) {
    line!(out, "{}", r.tolerance.case.title);
    let Some(any) = r.any() else {
        line!(
            out,
            "No answer: no equilibrium was found at the centre of all spreads, or for most samples. That is no release and no hold."
        );
        return;
    };
    let share = one_of(any.value).map_or(String::new(), |words| format!(", {words}"));
    let interval = format!("95 % interval {} to {}", chance(any.low), chance(any.high));
    line!(
        out,
        "Of all pairs that scatter so, a share of {} may release or overload the rim{share} ({interval}).",
        chance(any.value)
    );
    let target = r.plan.target.map_or(String::new(), chance);
    match r.outcome() {
        Outcome::Met => {
            line!(out, "The target of {target} is met: the whole interval lies below it.");
        }
        Outcome::Missed => {
            line!(out, "The target of {target} is missed: the whole interval lies above it.");
        }
        Outcome::NotShown => {
            line!(out, "The target of {target} is not shown to be met: it lies within the interval.");
        }
        Outcome::NoTarget | Outcome::NoAnswer => {}
    }
    if any.unanswered > 0 {
        line!(
            out,
            "{} of the samples behind it have no answer: they count as failures in the upper end and as none in the lower.",
            any.unanswered
        );
    }
    if !r.findings.narrow {
        let wanted = 100.0 * r.plan.interval;
        line!(out, "The interval is wider than the +- {wanted:.0} % asked for: raise most_solves, or it is too rare to matter.");
    }
}

/// Rows of cells under heads, the first column to the left, the others to the right.
fn table(out: &mut String, heads: &[&str], rows: &[Vec<String>]) {
    let width = |k: usize| rows.iter().map(|row| row[k].chars().count()).chain([heads[k].chars().count()]).max().unwrap_or(0);
    let widths: Vec<usize> = (0..heads.len()).map(width).collect();
    let mut put = |cells: &[String]| {
        let mut text = String::new();
        for (k, (cell, width)) in cells.iter().zip(&widths).enumerate() {
            let _ = if k == 0 { write!(text, "{cell:<width$}") } else { write!(text, "  {cell:>width$}") };
        }
        line!(out, "{}", text.trim_end());
    };
    put(&heads.iter().map(|h| (*h).to_owned()).collect::<Vec<_>>());
    rows.iter().for_each(|row| put(row));
}

fn worst_case(out: &mut String, r: &Reported<'_>) {
    let limits = r.limits.len();
    let name = |k: usize| match k.checked_sub(limits) {
        None => format!("margin of {}, {}", r.limits.column(k).meaning, r.limits.column(k).unit),
        Some(load) => {
            let loads = r.limits.loads();
            format!("{}, {}", loads[load].meaning, loads[load].unit)
        }
    };
    let cell = |value: Option<f64>| value.map_or("-".to_owned(), |v| number((v * 1e4).round() / 1e4));
    let row = |(k, range): (usize, &hoopwright_study::tolerance::worst::Range)| {
        let [least, greatest] = range.extremes.map_or([None, None], |e| e.map(Some));
        vec![name(k), cell(range.centre), cell(least), cell(greatest)]
    };
    table(
        out,
        &["Worst case, solved", "centre", "least", "greatest"],
        &r.findings.ranges.iter().enumerate().map(row).collect::<Vec<_>>(),
    );
    line!(
        out,
        "(corners of the tolerances by signs of solved differences, and every other sample within; a normal spread ends at {ENDS} deviations)"
    );
    let (paths, units) = (r.paths(), r.units());
    for (k, range) in r.findings.ranges.iter().enumerate().take(limits) {
        let [(worst, _), _] = &range.corners;
        let at = |i: usize| format!("{} {}", number(worst[i]), units[i]).trim_end_matches(" -").to_owned();
        let each: Vec<String> = paths.iter().enumerate().map(|(i, path)| format!("{path} {}", at(i))).collect();
        line!(out, "worst corner, {}: {}", words::finding(r.limits.finding(k)), each.join(", "));
        if let (Some(sample), Some([least, _])) = (range.below_corners, range.extremes) {
            line!(
                out,
                "note: sample {} lies within the tolerances and has less than that corner: {}",
                sample + 1,
                cell(Some(least))
            );
        }
        for i in &range.bent {
            line!(
                out,
                "note: over {} this margin does not only rise or fall: its least value need not lie at a corner",
                paths[*i]
            );
        }
    }
}

fn probabilities(out: &mut String, r: &Reported<'_>) {
    let events = (0..r.limits.len()).map(|k| words::finding(r.limits.finding(k)).to_owned());
    let rows: Vec<Vec<String>> = events
        .chain(["any of them".to_owned()])
        .zip(&r.findings.probabilities)
        .enumerate()
        .map(|(k, (name, p))| {
            let nearest = r.findings.design_points.get(k).and_then(|points| points.first());
            let first = nearest.map_or("-".to_owned(), |point| chance(first_order(point.index)));
            vec![name, chance(p.value), chance(p.low), chance(p.high), first]
        })
        .collect();
    table(out, &["Probability", "share", "from", "to (95 %)", "first order"], &rows);
    for k in 0..r.limits.len() {
        line!(out, "({})", limit_words(r.limits.finding(k), r.limits.column(k)));
    }
    line!(out, "(first order: the normal tail beyond the nearest design point of the stand-in, as a comparison)");
}

fn margins(out: &mut String, r: &Reported<'_>) {
    let row = |(k, d): (usize, &hoopwright_study::tolerance::distribution::Distribution)| {
        let column = r.limits.column(k);
        let thousandths = |v: f64| number((v * 1e3).round() / 1e3);
        let mut cells = vec![format!("{}, {}", column.meaning, column.unit), thousandths(d.mean), thousandths(d.deviation)];
        cells.extend(d.quantiles.iter().map(|q| thousandths(*q)));
        cells
    };
    let heads: Vec<String> = QUANTILES.iter().map(|p| format!("{} %", number(100.0 * p))).collect();
    let mut all = vec!["Margin to the limit", "mean", "deviation"];
    all.extend(heads.iter().map(String::as_str));
    table(out, &all, &r.findings.distributions.iter().enumerate().map(row).collect::<Vec<_>>());
    for (k, held) in r.findings.held_out.iter().enumerate() {
        let Some(h) = held else { continue };
        let column = r.limits.column(k);
        let (rms, largest) = (short(h.rms), short(h.largest));
        line!(
            out,
            "(stand-in of {}: missed {rms} {} rms, {largest} {} at most, at {} samples it had not seen)",
            column.meaning,
            column.unit,
            column.unit,
            h.count
        );
    }
}

fn matters(out: &mut String, r: &Reported<'_>, k: usize) {
    let point = r.findings.design_points.get(k).and_then(|points| points.first()).filter(|p| first_order(p.index) > RARE);
    let shares = r.findings.shares.get(k).and_then(|s| s.as_ref());
    if point.is_none() && shares.is_none() {
        return;
    }
    let x = point.map(|p| r.plan.joint.at(&p.u));
    let importance = point.map(|p| r.plan.joint.importance(&p.direction));
    let percent = |share: f64| format!("{:.1} %", 100.0 * share);
    let units = r.units();
    let rows: Vec<Vec<String>> = r
        .tolerance
        .inputs
        .iter()
        .enumerate()
        .map(|(i, u)| {
            let at =
                x.as_ref().map_or("-".to_owned(), |x| format!("{} {}", number(x[i]), units[i]).trim_end_matches(" -").to_owned());
            let weight = importance.as_ref().map_or("-".to_owned(), |w| percent(w[i]));
            let share = shares.map_or(["-".to_owned(), "-".to_owned()], |s| [percent(s[i].first), percent(s[i].total)]);
            let [first, total] = share;
            vec![u.input.path(), at, weight, first, total]
        })
        .collect();
    out.push('\n');
    let head = format!("What matters: {}", words::finding(r.limits.finding(k)));
    table(out, &[&head, "design point", "importance", "variance, alone", "variance, in all"], &rows);
    let others = r.findings.design_points.get(k).map_or(0, |points| points.len().saturating_sub(1));
    if let Some(point) = point {
        let index = format!("{:.2}", point.index);
        let more = if others > 0 { format!("; {others} more within {} of it", 1.5) } else { String::new() };
        line!(
            out,
            "(importance: share in the distance of the design point, {index} standard deviations{more}; variance: share of the margin's)"
        );
    }
    if r.plan.joint.is_correlated() {
        line!(out, "(with correlation an input tells of others too: shares alone may exceed those in all, and do not add up)");
    }
}

fn sizing(out: &mut String, r: &Reported<'_>) {
    let Some(sizing) = &r.findings.sizing else { return };
    let uncertain = &r.tolerance.inputs[sizing.input];
    let (path, target) = (uncertain.input.path(), r.plan.target.map_or(String::new(), chance));
    out.push('\n');
    let scaled = |multiple: f64| {
        let [_, deviation] = r.plan.joint.marginals()[sizing.input].moments();
        let unit = r.units()[sizing.input];
        format!("{:.2} x, a standard deviation of {} {unit}", multiple, short(multiple * deviation))
            .trim_end_matches(" -")
            .to_owned()
    };
    line!(out, "Sized: {path} (stated: {})", spread(uncertain));
    match sizing.outcome {
        Sized::Meets { safe, middle } => {
            line!(out, "its spread may be up to {} for the target of {target} to be met", scaled(safe));
            line!(out, "(by the middle of the interval up to {})", scaled(middle));
        }
        Sized::Never => {
            line!(out, "no spread of it meets the target of {target}: the others miss it by themselves");
        }
        Sized::Always { widest } => {
            line!(out, "every spread of it up to {} meets the target of {target}", scaled(widest));
        }
    }
    if let Some(check) = &sizing.check {
        line!(out, "(checked by {} solved samples)", check.checks);
    }
}

fn solved(out: &mut String, r: &Reported<'_>) {
    let all = &r.findings.record.solved;
    let purposes = [
        Purpose::Centre,
        Purpose::Gradient,
        Purpose::Corner,
        Purpose::Learning,
        Purpose::DesignPoint,
        Purpose::Check,
        Purpose::SizedCheck,
    ];
    let count = |purpose: Purpose| all.iter().filter(|s| s.purpose == purpose).count();
    let each: Vec<String> =
        purposes.into_iter().map(|p| (p, count(p))).filter(|(_, n)| *n > 0).map(|(p, n)| format!("{} {n}", p.name())).collect();
    line!(out, "{} samples solved: {}; {} without an answer", all.len(), each.join(", "), r.unanswered.len());
    for (number, reason) in r.unanswered {
        line!(out, "sample {number}: no answer: {reason}");
    }
    for u in &r.tolerance.inputs {
        line!(out, "{}: {}", u.input.path(), spread(u));
    }
    let paths = r.paths();
    for (a, b, rho) in &r.tolerance.correlation {
        line!(out, "correlation of {} and {}: {rho}", paths[*a], paths[*b]);
    }
    line!(
        out,
        "These probabilities are those of the model for spreads as stated; they know no fault in the model, no damage and no misuse."
    );
}
