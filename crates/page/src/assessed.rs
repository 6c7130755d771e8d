//! A case assessed by finite elements, with everything that the page shows of it.

use crate::read::{estimate_rows, with_missing};
use crate::request::{DeskError, Listener, Shown};
use hoopwright_case::{self as case, Attached, Case};
use hoopwright_report::html::{self, Given, Source};
use hoopwright_report::svg::scale::{self, Row, Scale};
use hoopwright_report::{json, svg};
use hoopwright_solver::assess::{Paths, assess_with_states};
use hoopwright_solver::beside::{Beside, KeyStates, beside};
use hoopwright_solver::result::{Assessment, Moment, PathPoint, Run, Stage};
use hoopwright_solver::stages::News;
use hoopwright_study::rows::Key;
use serde_json::{Value, json};

/// An assessment with the text that it is of.
pub(crate) struct Assessed {
    given: Given,
    assessment: Assessment,
    states: Option<KeyStates>,
    /// As the assessment, without its paths: on which sections of other cases are drawn.
    stage: Assessment,
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
        let (assessment, states) = assess_with_states(&case, notes.clone(), Paths::InTurn, &mut heard)?;
        let drawing = case::drawing_named(&text);
        let kind = |name: &String| if drawing.as_ref() == Some(name) { "drawing" } else { "heights" };
        let others =
            files.iter().filter_map(|(name, bytes)| Some(Source::new(format!("{} {name}", kind(name)), bytes.as_ref().ok()?)));
        let given = Given { case, notes, others: others.collect(), text };
        let mut stage = assessment.clone();
        for run in [&mut stage.given, &mut stage.frictionless] {
            *run = Run { path: Vec::new(), local: None, ..run.clone() };
        }
        Ok(Self { given, assessment, states, stage })
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

    /// Key states of another case, reached from those of this one: the numbers that they tell, in the shape of `result.json`, and the section.
    pub(crate) fn beside(&self, text: &str, files: &Attached) -> Result<Value, DeskError> {
        let (case, _) = case::read_with(text, with_missing(text, files))?;
        let from = self.states.as_ref().ok_or(DeskError::Nothing)?;
        let reached = beside(&case, from)?;
        let number = |key: fn(&PathPoint) -> f64| reached.rated.as_ref().map(key);
        Ok(json!({
            "section": reached.rated.as_ref().and_then(|point| self.drawn(&case, &reached, point)),
            "retention": {
                "off_centre_release_mpa": reached.off_centre_release,
                "uniform_blow_off_mpa": reached.uniform_blow_off,
            },
            "bead": { "tension_n": number(|p| p.bead_tension), "lift_mm": number(|p| p.lift) },
            "rim": {
                "seat_load_n_per_mm": number(|p| p.seat_load),
                "spoke_tension_loss_share": number(|p| p.spoke_loss).map(|loss| loss / case.spokes.pretension),
            },
            "tyre": { "width_mm": number(|p| p.width), "outer_diameter_mm": number(|p| 2.0 * p.crown_radius) },
            "fit": {
                "bead": { "tension_n": reached.fitted.bead_tension },
                "rim": { "seat_load_n_per_mm": reached.fitted.seat_load },
            },
        }))
    }

    /// The section of another case at a state of it; none where the rim is meshed, whose sections this assessment has of its own case alone.
    fn drawn(&self, case: &Case, reached: &Beside, point: &PathPoint) -> Option<String> {
        if case.section.is_some() {
            return None;
        }
        let mut stage = self.stage.clone();
        stage.case = case.clone();
        stage.mesh = reached.mesh.clone();
        stage.rim_outline = reached.rim_outline.clone();
        stage.rim_section = None;
        stage.given.friction = case.friction;
        svg::section::picture(&stage, point)
    }

    pub(crate) fn section(&self, point: usize) -> Value {
        let picture = self.assessment.given.path.get(point).and_then(|point| svg::section::picture(&self.assessment, point));
        json!({ "point": point, "picture": picture })
    }

    /// The pressures by finite elements, those of the closed form below them.
    pub(crate) fn scale(&self, unit: Shown, width: f64) -> Value {
        let a = &self.assessment;
        let mut rows = vec![Row::of(format!("elements, {}", a.given.friction), &a.given)];
        rows.push(Row::of("elements, 0".to_owned(), &a.frictionless));
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
