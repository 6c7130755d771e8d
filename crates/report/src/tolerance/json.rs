//! A study of tolerances as JSON: schema `hoopwright/tolerance/1.0`.
//!
//! | key | holds |
//! |---|---|
//! | `inputs` | for each input that scatters its `input`, `unit`, `spread` in words, `mean`, `deviation` |
//! | `condition` | in service that is judged; `new` is the case as typed |
//! | `correlation` | triples of two inputs and a number |
//! | `seed`, `target`, `outcome` | `met`, `missed`, `not shown`, `no target`, `not known` or `no answer` |
//! | `probabilities` | for each limit, then for `any`: `value`, `low` (0 where no more than an upper bound is known), `high` (95 %), `by_stand_in`, `checks`, `unanswered`; the first three null where too few samples check them; empty without an answer |
//! | `limits` | for each limit `verdict`, `number`, `unit`, `margin` (`mean`, `deviation`, `quantiles`), `stand_in` (what it missed at unseen samples), `design_points` (`index`, `first_order`, `values`, `importance`), `variance` (`alone`, `in_all`, by input) |
//! | `worst_case` | for each margin and load `number`, `unit`, `margin`, `centre`, `least`, `greatest`, `least_corner`, `greatest_corner` (null where no two samples told a slope), `sample_below_corners`, `slopes` for one standard deviation, `bent` inputs |
//! | `sized` | null, or `input`, `outcome` (`meets`, `never`, `always`, `not shown`, `not known`), `safe` and `middle` multiples of the stated spread, `curve` of multiple and probability |
//! | `samples`, `unanswered` | number of solved samples; number and reason of those without an answer |

use hoopwright_case::Condition;
use hoopwright_study::tolerance::distribution::QUANTILES;
use hoopwright_study::tolerance::probability::Probability;
use hoopwright_study::tolerance::settle::first_order;
use hoopwright_study::tolerance::sizing::Outcome as Sized;
use serde_json::{Map, Value, json};

use super::{Outcome, Reported, spread};
use crate::words;

/// The document as text.
pub fn document(r: &Reported<'_>) -> String {
    let document = json!({
        "schema": "hoopwright/tolerance/1.0",
        "program": "hoopwright",
        "version": env!("CARGO_PKG_VERSION"),
        "title": r.tolerance.case.title,
        "inputs": inputs(r),
        "condition": r.tolerance.in_service.as_ref().map_or(Condition::New, |service| service.condition).name(),
        "correlation": r.tolerance.correlation.iter().map(|(a, b, rho)| json!([r.paths()[*a], r.paths()[*b], rho])).collect::<Vec<_>>(),
        "seed": r.plan.seed,
        "target": r.plan.target,
        "outcome": outcome(r.outcome()),
        "interval_as_narrow_as_asked": r.findings.narrow,
        "probabilities": probabilities(r),
        "limits": (0..r.limits.len()).map(|k| limit(r, k)).collect::<Vec<_>>(),
        "worst_case": worst_case(r),
        "sized": sized(r),
        "samples": r.findings.record.solved.len(),
        "unanswered": r.unanswered.iter().map(|(n, reason)| json!({ "sample": n, "reason": reason })).collect::<Vec<_>>(),
        "cautions": words::cautions(),
    });
    format!("{document:#}\n")
}

fn outcome(outcome: Outcome) -> &'static str {
    match outcome {
        Outcome::Met => "met",
        Outcome::Missed => "missed",
        Outcome::NotShown => "not shown",
        Outcome::NoTarget => "no target",
        Outcome::NotKnown => "not known",
        Outcome::NoAnswer => "no answer",
    }
}

fn inputs(r: &Reported<'_>) -> Vec<Value> {
    let units = r.units();
    let each = r.tolerance.inputs.iter().zip(r.plan.joint.marginals()).zip(units);
    each.map(|((u, marginal), unit)| {
        let [mean, deviation] = marginal.moments();
        json!({ "input": u.input.path(), "unit": unit, "spread": spread(u), "mean": mean, "deviation": deviation })
    })
    .collect()
}

fn probability(p: &Probability) -> Value {
    let known = |value: f64| p.is_known().then_some(value);
    json!({
        "value": known(p.value),
        "low": known(p.low),
        "high": known(p.high),
        "by_stand_in": p.by_stand_in,
        "checks": p.checks,
        "unanswered": p.unanswered,
    })
}

fn probabilities(r: &Reported<'_>) -> Value {
    let names = (0..r.limits.len()).map(|k| words::finding(r.limits.finding(k)).to_owned()).chain(["any".to_owned()]);
    Value::Object(names.zip(&r.findings.probabilities).map(|(name, p)| (name, probability(p))).collect())
}

/// Values by the paths of the inputs.
fn by_input<T: Into<Value> + Copy>(r: &Reported<'_>, values: &[T]) -> Value {
    Value::Object(r.paths().into_iter().zip(values).map(|(path, value)| (path, (*value).into())).collect::<Map<_, _>>())
}

fn limit(r: &Reported<'_>, k: usize) -> Value {
    let column = r.limits.column(k);
    let margin = r.findings.distributions.get(k).and_then(Option::as_ref).map(|d| {
        let quantiles: Vec<Value> =
            QUANTILES.iter().zip(d.quantiles).map(|(p, value)| json!({ "probability": p, "value": value })).collect();
        json!({ "mean": d.mean, "deviation": d.deviation, "quantiles": quantiles })
    });
    let stand_in = r
        .findings
        .held_out
        .get(k)
        .copied()
        .flatten()
        .map(|h| json!({ "samples": h.count, "rms": h.rms, "largest": h.largest, "within_two_deviations": h.within_two }));
    let points = r.findings.design_points.get(k).into_iter().flatten().map(|p| {
        json!({
            "index": p.index,
            "first_order": first_order(p.index),
            "values": by_input(r, &r.plan.joint.at(&p.u)),
            "importance": by_input(r, &r.plan.joint.importance(&p.direction)),
        })
    });
    let variance = r.findings.shares.get(k).and_then(|s| s.as_ref()).map(|shares| {
        let alone: Vec<f64> = shares.iter().map(|s| s.first).collect();
        let in_all: Vec<f64> = shares.iter().map(|s| s.total).collect();
        json!({ "alone": by_input(r, &alone), "in_all": by_input(r, &in_all) })
    });
    json!({
        "verdict": words::finding(r.limits.finding(k)),
        "number": column.name,
        "unit": column.unit,
        "limit_of_the_case": r.limits.value(k, &r.tolerance.judged()),
        "margin": margin,
        "stand_in": stand_in,
        "design_points": points.collect::<Vec<_>>(),
        "variance": variance,
    })
}

fn worst_case(r: &Reported<'_>) -> Vec<Value> {
    let limits = r.limits.len();
    let loads = r.limits.loads();
    let each = r.findings.ranges.iter().enumerate().map(|(k, range)| {
        let column = if k < limits { r.limits.column(k) } else { loads[k - limits] };
        let paths = r.paths();
        json!({
            "number": column.name,
            "unit": column.unit,
            "margin": k < limits,
            "centre": range.centre,
            "least": range.extremes.map(|e| e[0]),
            "greatest": range.extremes.map(|e| e[1]),
            "least_corner": range.corners.as_ref().map(|[(least, _), _]| by_input(r, least)),
            "greatest_corner": range.corners.as_ref().map(|[_, (greatest, _)]| by_input(r, greatest)),
            "sample_below_corners": range.below_corners.map(|k| k + 1),
            "slopes": Value::Object(paths.iter().cloned().zip(range.slopes.iter().map(|s| json!(s))).collect()),
            "bent": range.bent.iter().map(|i| paths[*i].clone()).collect::<Vec<_>>(),
        })
    });
    each.collect()
}

fn sized(r: &Reported<'_>) -> Value {
    let Some(sizing) = &r.findings.sizing else { return Value::Null };
    let (word, safe, middle) = match sizing.outcome {
        Sized::Meets { safe, middle } => ("meets", Some(safe), Some(middle)),
        Sized::Never => ("never", None, None),
        Sized::Always { widest } => ("always", Some(widest), Some(widest)),
        Sized::NotShown { middle } => ("not shown", None, middle),
        Sized::NotKnown => ("not known", None, None),
    };
    json!({
        "input": r.paths()[sizing.input],
        "outcome": word,
        "safe": safe,
        "middle": middle,
        "check": sizing.check.as_ref().map(probability),
        "curve": sizing.curve.iter().map(|(multiple, p)| json!({ "multiple": multiple, "probability": p })).collect::<Vec<_>>(),
    })
}
