//! A case assessed by finite elements, with everything that the page shows of it.

use crate::read::{estimate_rows, with_missing};
use crate::request::{DeskError, Listener, Shown};
use hoopwright_case::{self as case, Attached};
use hoopwright_report::html::{self, Given, Source};
use hoopwright_report::svg::scale::{self, Row, Scale};
use hoopwright_report::{json, svg};
use hoopwright_solver::assess::{Paths, assess};
use hoopwright_solver::result::{Assessment, Moment, Stage};
use hoopwright_solver::stages::News;
use hoopwright_study::rows::Key;
use serde_json::{Value, json};

/// An assessment with the text that it is of.
pub(crate) struct Assessed {
    given: Given,
    assessment: Assessment,
}

impl Assessed {
    /// Runs the two paths one after the other; the listener hears each point.
    pub(crate) fn new(text: String, files: &Attached, listener: Listener<'_>) -> Result<Self, DeskError> {
        let files = with_missing(&text, files);
        let (case, notes) = case::read_with(&text, files.clone())?;
        let mut last = None;
        let mut path = 0;
        let mut heard = |news: News<'_>| {
            if let News::Point(point) = news {
                // The second path begins with a fit as the first did.
                path += usize::from(point.stage == Stage::Fit && last != Some(Stage::Fit));
                last = Some(point.stage);
                let line =
                    json!({ "path": path, "stage": stage(point.stage), "pressure_mpa": point.pressure, "lift_mm": point.lift });
                listener(&line.to_string());
            }
        };
        let assessment = assess(&case, notes.clone(), Paths::InTurn, &mut heard)?;
        let drawing = case::drawing_named(&text);
        let kind = |name: &String| if drawing.as_ref() == Some(name) { "drawing" } else { "heights" };
        let others =
            files.iter().filter_map(|(name, bytes)| Some(Source::new(format!("{} {name}", kind(name)), bytes.as_ref().ok()?)));
        let given = Given { case, notes, others: others.collect(), text };
        Ok(Self { given, assessment })
    }

    /// `result.json` as text, so that no digit is lost on the way, and what the pictures are of.
    pub(crate) fn answer(&self) -> Result<Value, DeskError> {
        let a = &self.assessment;
        let run = &a.given;
        let moments: Vec<Option<usize>> = Moment::ALL.into_iter().map(|moment| run.index(moment)).collect();
        let states: Vec<Value> =
            run.path.iter().map(|point| json!({ "pressure_mpa": point.pressure, "lift_mm": point.lift })).collect();
        Ok(json!({
            "key": Key::of(&a.case).to_string(),
            "result": String::from_utf8_lossy(&json::assessment(a)?),
            "states": states,
            "fit": run.fit,
            "moments": { "fitted": moments[0], "rated": moments[1], "highest": moments[2] },
            "path": svg::path::picture(a),
            "ring": svg::ring::picture(a),
            "law": svg::law::picture(a),
        }))
    }

    pub(crate) fn section(&self, point: usize) -> Value {
        let picture = self.assessment.given.path.get(point).and_then(|point| svg::section::picture(&self.assessment, point));
        json!({ "point": point, "picture": picture })
    }

    /// The pressures by finite elements, those of the closed form below them.
    pub(crate) fn scale(&self, unit: Shown, width: f64) -> Value {
        let a = &self.assessment;
        let row = |name: String, retention| Row { name, retention };
        let mut rows = vec![row(format!("elements, {}", a.given.friction), a.given.retention)];
        rows.push(row("elements, 0".to_owned(), a.frictionless.retention));
        rows.extend(a.estimate.iter().flat_map(|closed| estimate_rows(a.case.friction, closed)));
        let (rated, required) = (a.case.pressure.rated, a.case.required_pressure());
        json!({ "picture": scale::picture(&Scale { rated, required, rows: &rows, unit: unit.unit(), width }) })
    }

    pub(crate) fn report(&self) -> Value {
        json!({ "html": html::assessment(&self.given, &self.assessment) })
    }
}

fn stage(stage: Stage) -> &'static str {
    match stage {
        Stage::Fit => "fit",
        Stage::Inflate => "inflate",
        Stage::BlowOff => "blow-off",
    }
}
