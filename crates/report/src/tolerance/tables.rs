//! What a study of tolerances says: sentences and tables, as they stand in the text and on the page.

use hoopwright_case::units::number;
use hoopwright_study::tolerance::distribution::{Distribution, QUANTILES};
use hoopwright_study::tolerance::learn::NEGLIGIBLE;
use hoopwright_study::tolerance::probability::{FEWEST_CHECKS, Probability};
use hoopwright_study::tolerance::sample::Purpose;
use hoopwright_study::tolerance::settle::first_order;
use hoopwright_study::tolerance::sizing::Outcome as Sized;
use hoopwright_study::tolerance::worst::{ENDS, Range};

use super::{Outcome, Reported, at_most, chance, condition, left_out, limit_words, one_of, service, short, spread};
use crate::words;

/// A design point whose limit is passed less often than this has no part in the answer.
const RARE: f64 = 1e-12;
/// What all the probabilities are.
pub(crate) const REMARK: &str =
    "These probabilities are those of the model for spreads as stated; they know no fault in the model, no damage and no misuse.";

/// A table: first column words, the others numbers.
pub(crate) struct Table {
    pub(crate) heads: Vec<String>,
    pub(crate) rows: Vec<Vec<String>>,
    /// How to read it.
    pub(crate) remarks: Vec<String>,
    /// What else there is to say.
    pub(crate) lines: Vec<String>,
}

impl Table {
    fn new(heads: &[&str], rows: Vec<Vec<String>>) -> Self {
        Self { heads: heads.iter().map(|h| (*h).to_owned()).collect(), rows, remarks: Vec::new(), lines: Vec::new() }
    }
}

/// The answer in sentences; the first is the title.
pub(crate) fn answer(r: &Reported<'_>) -> Vec<String> {
    let mut lines = vec![r.tolerance.case.title.clone()];
    let Some(any) = r.any() else {
        if let Some(any) = r.answered() {
            lines.push(not_known(r, any));
            lines.extend(condition(r.tolerance));
            return lines;
        }
        lines.push(
            "No answer: no equilibrium was found at the centre of all spreads, or for most samples. That is no release and no hold.".to_owned(),
        );
        return lines;
    };
    let share = one_of(any.value).map_or(String::new(), |words| format!(", {words}"));
    let (value, interval) = match any.is_bound() {
        true => (at_most(any.high), "upper end of the 95 % interval".to_owned()),
        false => (format!("of {}", chance(any.value)), format!("95 % interval {} to {}", chance(any.low), chance(any.high))),
    };
    let share = if any.is_bound() { String::new() } else { share };
    lines.push(format!("Of all pairs that scatter so, a share {value} may release or overload the rim{share} ({interval})."));
    let target = r.plan.target.map_or(String::new(), chance);
    lines.extend(match r.outcome() {
        Outcome::Met => Some(format!("The target of {target} is met: the whole interval lies below it.")),
        Outcome::Missed => Some(format!("The target of {target} is missed: the whole interval lies above it.")),
        Outcome::NotShown => Some(format!("The target of {target} is not shown to be met: it lies within the interval.")),
        Outcome::NoTarget | Outcome::NotKnown | Outcome::NoAnswer => None,
    });
    if any.unanswered > 0 {
        lines.push(format!(
            "{} of the samples behind it have no answer: they count as failures in the upper end and as none in the lower.",
            any.unanswered
        ));
    }
    lines.extend(condition(r.tolerance));
    if !r.findings.narrow {
        let wanted = 100.0 * r.plan.interval;
        let most = r.plan.most_solves;
        let why = match any.by_stand_in >= NEGLIGIBLE {
            true => format!("most_solves = {most} is used up; raise it for a narrower one"),
            false => format!(
                "the stand-in puts the share at {}, and what it puts below {} is checked by {FEWEST_CHECKS} samples only, which show no more than \
                 that it lies {}",
                chance(any.by_stand_in),
                chance(NEGLIGIBLE),
                at_most(any.high)
            ),
        };
        lines.push(format!("The interval is wider than the +- {wanted:.0} % asked for: {why}."));
    }
    lines
}

/// That nothing is known of the probability, and what to do.
fn not_known(r: &Reported<'_>, any: &Probability) -> String {
    let (most, solved) = (r.plan.most_solves, r.findings.record.solved.len());
    format!(
        "How often a pair may release or overload the rim is not known: of most_solves = {most} only {} were left to check what was learnt, and fewer \
         than {FEWEST_CHECKS} tell neither a small share nor a large one. Raise most_solves to {} or more.",
        any.checks,
        2 * solved.max(most)
    )
}

/// The worst case of each margin and load.
pub(crate) fn worst_case(r: &Reported<'_>) -> Table {
    let limits = r.limits.len();
    let name = |k: usize| match k.checked_sub(limits) {
        None => format!("margin of {}, {}", r.limits.column(k).meaning, r.limits.column(k).unit),
        Some(load) => {
            let loads = r.limits.loads();
            format!("{}, {}", loads[load].meaning, loads[load].unit)
        }
    };
    let cell = |value: Option<f64>| value.map_or("-".to_owned(), |v| number((v * 1e4).round() / 1e4));
    let row = |(k, range): (usize, &Range)| {
        let [least, greatest] = range.extremes.map_or([None, None], |e| e.map(Some));
        vec![name(k), cell(range.centre), cell(least), cell(greatest)]
    };
    let rows = r.findings.ranges.iter().enumerate().map(row).collect();
    let mut table = Table::new(&["Worst case, solved", "centre", "least", "greatest"], rows);
    table.remarks.push(format!(
        "corners of the tolerances by signs of solved differences, and every other sample within; a normal spread ends at {ENDS} deviations"
    ));
    let (paths, units) = (r.paths(), r.units());
    for (k, range) in r.findings.ranges.iter().enumerate().take(limits) {
        let at = |i: usize, v: f64| format!("{} {} {}", paths[i], number(v), units[i]).trim_end_matches(" -").to_owned();
        let place = match &range.corners {
            Some([(worst, _), _]) => worst.iter().enumerate().map(|(i, v)| at(i, *v)).collect::<Vec<_>>().join(", "),
            None => "not known: no two solved samples show how this margin changes".to_owned(),
        };
        table.lines.push(format!("worst corner, {}: {place}", words::finding(r.limits.finding(k))));
        if let (Some(sample), Some([least, _])) = (range.below_corners, range.extremes) {
            table.lines.push(format!(
                "note: sample {} lies within the tolerances and has less than that corner: {}",
                sample + 1,
                cell(Some(least))
            ));
        }
        for i in &range.bent {
            table.lines.push(format!(
                "note: over {} this margin does not only rise or fall: its least value need not lie at a corner",
                paths[*i]
            ));
        }
    }
    table
}

/// The probability of each failure.
pub(crate) fn probabilities(r: &Reported<'_>) -> Table {
    let events = (0..r.limits.len()).map(|k| words::finding(r.limits.finding(k)).to_owned());
    let rows: Vec<Vec<String>> = events
        .chain(["any of them".to_owned()])
        .zip(&r.findings.probabilities)
        .enumerate()
        .map(|(k, (name, p))| {
            let nearest = r.findings.design_points.get(k).and_then(|points| points.first());
            let first = nearest.map_or("-".to_owned(), |point| chance(first_order(point.index)));
            let dash = || "-".to_owned();
            let [value, low, high] = match p.is_known() {
                false => ["not known".to_owned(), dash(), dash()],
                true if p.is_bound() => [at_most(p.high), dash(), chance(p.high)],
                true => [p.value, p.low, p.high].map(chance),
            };
            vec![name, value, low, high, first]
        })
        .collect();
    let mut table = Table::new(&["Probability", "share", "from", "to (95 %)", "first order"], rows);
    table.remarks.extend((0..r.limits.len()).map(|k| limit_words(r.limits.finding(k), r.limits.column(k))));
    if r.findings.probabilities.iter().any(|p| p.is_known() && p.is_bound()) {
        table.remarks.push(
            "a share without a lower end is an upper bound: it is too rare beside the others to be refined, or not known better"
                .to_owned(),
        );
    }
    table
        .remarks
        .push("first order: the normal tail beyond the nearest design point of the stand-in, as a comparison".to_owned());
    table
}

/// The distribution of each margin.
pub(crate) fn margins(r: &Reported<'_>) -> Table {
    let row = |(k, d): (usize, &Option<Distribution>)| {
        let column = r.limits.column(k);
        let thousandths = |v: f64| number((v * 1e3).round() / 1e3);
        let numbers = match d {
            Some(d) => [d.mean, d.deviation].iter().chain(&d.quantiles).map(|v| thousandths(*v)).collect(),
            None => vec!["-".to_owned(); 2 + QUANTILES.len()],
        };
        [vec![format!("{}, {}", column.meaning, column.unit)], numbers].concat()
    };
    let heads: Vec<String> = QUANTILES.iter().map(|p| format!("{} %", number(100.0 * p))).collect();
    let mut all = vec!["Margin to the limit", "mean", "deviation"];
    all.extend(heads.iter().map(String::as_str));
    let mut table = Table::new(&all, r.findings.distributions.iter().enumerate().map(row).collect());
    for (k, _) in r.findings.distributions.iter().enumerate().filter(|(_, d)| d.is_none()) {
        table.remarks.push(format!(
            "{}: no sample shows how far it lies from its limit; if it is kept up to the end of every path, raise pressure.cap",
            r.limits.column(k).meaning
        ));
    }
    for (k, held) in r.findings.held_out.iter().enumerate() {
        let Some(h) = held else { continue };
        let column = r.limits.column(k);
        let (rms, largest) = (short(h.rms), short(h.largest));
        table.remarks.push(format!(
            "stand-in of {}: missed {rms} {} rms, {largest} {} at most, at {} samples it had not seen",
            column.meaning, column.unit, column.unit, h.count
        ));
    }
    table
}

/// What matters to a limit; none where nothing does.
pub(crate) fn matters(r: &Reported<'_>, k: usize) -> Option<Table> {
    let point = r.findings.design_points.get(k).and_then(|points| points.first()).filter(|p| first_order(p.index) > RARE);
    let shares = r.findings.shares.get(k).and_then(|s| s.as_ref());
    if point.is_none() && shares.is_none() {
        return None;
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
    let head = format!("What matters: {}", words::finding(r.limits.finding(k)));
    let mut table = Table::new(&[&head, "design point", "importance", "variance, alone", "variance, in all"], rows);
    let others = r.findings.design_points.get(k).map_or(0, |points| points.len().saturating_sub(1));
    if let Some(point) = point {
        let index = format!("{:.2}", point.index);
        let more = if others > 0 { format!("; {others} more within {} of it", 1.5) } else { String::new() };
        table.remarks.push(format!(
            "importance: share in the distance of the design point, {index} standard deviations{more}; variance: share of the margin's"
        ));
    }
    if r.plan.joint.is_correlated() {
        let sentence = "with correlation an input tells of others too: shares alone may exceed those in all, and do not add up";
        table.remarks.push(sentence.to_owned());
    }
    Some(table)
}

/// How wide the chosen spread may be, and how that was checked; nothing where none was chosen.
pub(crate) fn sizing(r: &Reported<'_>) -> Vec<String> {
    let Some(sizing) = &r.findings.sizing else { return Vec::new() };
    let uncertain = &r.tolerance.inputs[sizing.input];
    let (path, target) = (uncertain.input.path(), r.plan.target.map_or(String::new(), chance));
    let scaled = |multiple: f64| {
        let [_, deviation] = r.plan.joint.marginals()[sizing.input].moments();
        let unit = r.units()[sizing.input];
        format!("{:.2} x, a standard deviation of {} {unit}", multiple, short(multiple * deviation))
            .trim_end_matches(" -")
            .to_owned()
    };
    let mut lines = vec![format!("Sized: {path} (stated: {})", spread(uncertain))];
    match sizing.outcome {
        Sized::Meets { safe, middle } => lines.extend([
            format!("its spread may be up to {} for the target of {target} to be met", scaled(safe)),
            format!("(by the middle of the interval up to {})", scaled(middle)),
        ]),
        Sized::Never => lines.push(format!("no spread of it meets the target of {target}: the others miss it by themselves")),
        Sized::Always { widest } => {
            lines.push(format!("every spread of it up to {} meets the target of {target}", scaled(widest)));
        }
        Sized::NotShown { middle } => {
            lines.push(format!("no spread of it is shown to meet the target of {target}: the interval is too wide for that"));
            lines.push(match middle {
                Some(middle) => format!("(by the middle of the interval up to {})", scaled(middle)),
                None => "(by the middle of the interval none does)".to_owned(),
            });
        }
        Sized::NotKnown => lines.push(format!(
            "how wide it may be is not known: the probability comes first, and of most_solves = {} fewer than {FEWEST_CHECKS} are left; raise it",
            r.plan.most_solves
        )),
    }
    lines.extend(sizing.check.as_ref().map(|check| format!("(checked by {} solved samples)", check.checks)));
    lines
}

/// What was solved, and how the inputs scatter.
pub(crate) fn solved(r: &Reported<'_>) -> Vec<String> {
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
    let mut lines = vec![format!("{} samples solved: {}; {} without an answer", all.len(), each.join(", "), r.unanswered.len())];
    lines.extend(r.unanswered.iter().map(|(number, reason)| format!("sample {number}: no answer: {reason}")));
    lines.extend(r.tolerance.inputs.iter().map(|u| format!("{}: {}", u.input.path(), spread(u))));
    let paths = r.paths();
    lines.extend(
        r.tolerance.correlation.iter().map(|(a, b, rho)| format!("correlation of {} and {}: {rho}", paths[*a], paths[*b])),
    );
    lines.extend(service(r.tolerance));
    lines.extend(left_out(r.tolerance));
    lines
}
