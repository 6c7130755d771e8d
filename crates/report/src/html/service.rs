//! The page of a case in service: its margins new, after a hold, after a life, and hot.

use super::frame::{self, Given};
use crate::service::{REMARKS, remarks, rows, verdict};
use hoopwright_case::inputs::Input;
use hoopwright_case::units::ONE;
use hoopwright_case::{CaseFile, Service};
use hoopwright_solver::result::Finding;
use hoopwright_study::service::{Answered, Condition};
use maud::html;

/// The page.
pub fn page(given: &Given, service: &Service, answers: &[Answered]) -> String {
    let title = &given.case.title;
    let holds = |a: &&Answered| a.row.findings.iter().all(|finding| *finding == Finding::Holds);
    let (held, all) = (answers.iter().filter(holds).count(), Condition::ALL.len());
    let mut rows = rows(service, answers);
    let heads = if rows.is_empty() { Vec::new() } else { rows.remove(0) };
    let failing: Vec<String> = answers
        .iter()
        .zip(heads.iter().skip(1))
        .filter(|(a, _)| !holds(a))
        .map(|(a, name)| format!("{name}: {}.", verdict(a)))
        .collect();
    let answer = format!("Verdict: every stated limit is kept in {held} of {all} conditions");
    frame::page(
        &format!("{title}: in service"),
        &given.sources(),
        &html! {
            (frame::headline(title, held == all, &answer, &failing))
            h2 { "Margins" }
            (frame::table("Margins", "tn", &heads, &rows))
            @for line in remarks(service, answers) { p { (line) } }
            h2 { "Coefficients as resolved, and where they come from" }
            (frame::table("Coefficients", "t", &["key", "value", "meaning", "source"], &coefficients(given, service)))
            (frame::notes(&given.notes))
            (frame::validity(&given.case, &REMARKS))
            (frame::inputs(given, "New and cold; the other conditions change what the table above shows."))
            (frame::record_of_case(given, &[("conditions", format!("{} solved of {all}, refinement {}", answers.len(), given.case.refinement))], ""))
        },
    )
}

/// Key, value as resolved, meaning and source of every coefficient: the case where it states it, else that of the default.
fn coefficients(given: &Given, s: &Service) -> Vec<[String; 4]> {
    let file = CaseFile::parse(&given.text).ok();
    let stated = |input: &Input| file.as_ref().is_some_and(|(file, _)| file.get(input).is_some());
    let row = |(input, value): (&Input, Option<f64>)| {
        let unit = input.unit().unwrap_or(ONE);
        let shown = value.map_or("not given".to_owned(), |v| unit.format(v));
        let source = if stated(input) { "given in the case" } else { input.source };
        [input.key.to_owned(), shown, input.meaning.to_owned(), source.to_owned()]
    };
    s.resolved().into_iter().map(row).collect()
}
