//! A text as the reader takes it: faults with their places, values, and the closed form at once.

use crate::request::{DeskError, Shown};
use hoopwright_case::edit::given;
use hoopwright_case::{self as case, Attached, Case, CaseError, CaseFile, Origin, Value as Settled};
use hoopwright_report::json::of_estimate;
use hoopwright_report::svg::scale::{self, Row, Scale};
use hoopwright_solver::estimate::{Estimate, Pressures, estimate};
use hoopwright_solver::result::{Release, Retention};
use hoopwright_study::rows::Key;
use serde_json::{Map, Value, json};

/// Everything that is known of a text without finite elements. `unit` and `width` are those of the scale.
pub(crate) fn read(text: &str, files: &Attached, unit: Shown, width: f64) -> Result<Value, DeskError> {
    let parsed = CaseFile::parse(text).ok().map(|(file, _)| file);
    let typed: Map<String, Value> =
        parsed.iter().flat_map(given).map(|(input, typed)| (input.path(), Value::from(typed))).collect();
    let files = with_missing(text, files);
    let wanted: Vec<&String> = files.iter().filter(|(_, bytes)| bytes.is_err()).map(|(name, _)| name).collect();
    let (faults, case) = match case::read_with(text, files.clone()) {
        Ok((case, notes)) => (Vec::new(), Some(resolved(&case, &notes, parsed.as_ref(), unit, width)?)),
        Err(errors) => (errors.0.iter().map(|fault| of_fault(text, fault)).collect(), None),
    };
    Ok(json!({ "readable": parsed.is_some(), "given": typed, "wanted": wanted, "faults": faults, "case": case }))
}

/// The files at hand that the case names, and why the others are not there.
pub(crate) fn with_missing(text: &str, files: &Attached) -> Attached {
    let named = case::drawing_named(text).into_iter().chain(case::heights_named(text));
    let file = |name: String| {
        let missing = || Err("is not at hand: drop the file onto the page".to_owned());
        let bytes = files.get(&name).cloned().unwrap_or_else(missing);
        (name, bytes)
    };
    named.map(file).collect()
}

/// A fault; places count as JavaScript counts them, in UTF-16 units.
fn of_fault(text: &str, fault: &CaseError) -> Value {
    let place = |byte: usize| text.get(..byte.min(text.len())).map_or(0, |before| before.encode_utf16().count());
    json!({
        "key": fault.key,
        "line": fault.line,
        "column": fault.column,
        "start": place(fault.span.start),
        "end": place(fault.span.end),
        "message": fault.message(),
        "remedy": fault.remedy(),
    })
}

fn resolved(case: &Case, notes: &[String], file: Option<&CaseFile<'_>>, unit: Shown, width: f64) -> Result<Value, DeskError> {
    let rows = case::resolved(case).into_iter().zip(case::settled(case));
    let values = rows.map(|((_, _, shown), (input, value))| {
        let from = file.map(|file| of_origin(&case::origin(file, input)));
        (input.path(), json!({ "shown": shown, "number": number(value), "from": from }))
    });
    let values: Map<String, Value> = values.collect();
    let closed = estimate(case);
    Ok(json!({
        "key": Key::of(case).to_string(),
        "title": case.title,
        "friction": case.friction,
        "rated_mpa": case.pressure.rated,
        "required_mpa": case.required_pressure(),
        "pretension_n": case.spokes.pretension,
        "criterion": case.limits.criterion.name(),
        "values": values,
        "notes": notes,
        "estimate": closed.as_ref().ok().map(of_estimate).transpose()?,
        "estimate_fault": closed.as_ref().err().map(ToString::to_string),
        "scale": closed.as_ref().ok().map(|closed| scale_of(case, closed, unit, width)),
    }))
}

fn number(value: Settled<'_>) -> Option<f64> {
    match value {
        Settled::Number(number) => Some(number),
        Settled::Whole(count) => Some(count as f64),
        _ => None,
    }
}

fn of_origin(origin: &Origin) -> Value {
    match origin {
        Origin::Typed => json!({ "kind": "typed" }),
        Origin::From(keys) => json!({ "kind": "from", "keys": keys }),
        Origin::Drawn => json!({ "kind": "drawn" }),
        Origin::Default { source } => json!({ "kind": "default", "source": source }),
        Origin::Derived { rule, source } => json!({ "kind": "derived", "rule": rule, "source": source }),
        Origin::LeftOut => json!({ "kind": "left out" }),
    }
}

/// Rows of the closed form for a scale, marked as such.
pub(crate) fn estimate_rows(friction: f64, closed: &Estimate) -> [Row; 2] {
    let row = |name: String, p: &Pressures| {
        let retention = Retention {
            first_lift: Release::At(p.first_lift),
            off_centre_release: Release::At(p.off_centre_release),
            local_release: Release::At(p.local_release),
            uniform_blow_off: Release::At(p.uniform_blow_off),
        };
        Row { name, retention, errors: [None; 4] }
    };
    [row(format!("estimate, {friction}"), &closed.given), row("estimate, 0".to_owned(), &closed.frictionless)]
}

fn scale_of(case: &Case, closed: &Estimate, unit: Shown, width: f64) -> String {
    let rows = estimate_rows(case.friction, closed);
    let (rated, required) = (case.pressure.rated, case.required_pressure());
    scale::picture(&Scale { rated, required, rows: &rows, unit: unit.unit(), width })
}
