//! The table of a list: a row a pair.

use hoopwright_case::units::{BAR, number as plain};
use hoopwright_case::{Case, Condition};
use hoopwright_study::column::{COLUMNS, Number};
use hoopwright_study::pairs::list::{Answered, Entry, List};
use hoopwright_study::pairs::solve::{CONDITIONS, Hot};

use super::history::rests_on;
use super::words;
use crate::data::{Columns, Table};

/// Columns of every study that a list shows as they are, in its order.
const SHOWN: [&str; 20] = [
    "first_lift",
    "local_release",
    "off_centre_release",
    "lower_release",
    "uniform_blow_off",
    "first_lift_frictionless",
    "local_release_frictionless",
    "off_centre_release_frictionless",
    "lower_release_frictionless",
    "uniform_blow_off_frictionless",
    "bead_tension_fitted",
    "bead_tension_rated",
    "seat_load_fitted",
    "seat_load_rated",
    "rim_hoop_force",
    "rim_radial_displacement",
    "spoke_tension_loss",
    "spoke_tension_loss_share",
    "inflated_width",
    "mounting_force",
];

type Row<'l> = &'l Entry;

fn case<'l>(entry: Row<'l>) -> Option<&'l Case> {
    entry.pair.made.as_ref().ok().map(|made| &made.case)
}

fn answer<'l>(entry: Row<'l>) -> Option<&'l Answered> {
    entry.answer.as_ref()
}

fn hot<'l>(entry: Row<'l>, condition: Condition) -> Option<&'l Hot> {
    answer(entry)?.solved.service.iter().flatten().find(|hot| hot.condition == condition)
}

/// The table. `hashes` are those of what each pair rests on, in the order of the pairs.
pub fn data(list: &List<'_>, hashes: &[String]) -> Table {
    let tyre = |row: &(usize, Row<'_>)| &list.tyres[row.1.pair.tyre];
    let any_service =
        list.entries.iter().filter_map(answer).any(|answer| answer.solved.service.iter().flatten().next().is_some());
    let mut columns = Columns::<(usize, Row<'_>)>::new()
        .text("tyre", move |row| tyre(row).id.clone())
        .text("rim", |row| list.rims[row.1.pair.rim].id.clone())
        .text("finding", |row| words::kind(row.1.finding()).to_owned())
        .number("listed_pressure", "bar", plain, |row| Some(BAR.value_of(case(row.1)?.pressure.rated)))
        .number("allowed_pressure", "bar", plain, |row| Some(BAR.value_of(answer(row.1)?.judged.allowed?)))
        .text("decides", |row| words::reason(row.1))
        .text("size", move |row| tyre(row).label.clone().unwrap_or_default())
        .number("diameter", "mm", plain, move |row| Some(tyre(row).diameter))
        .number("mismatch", "mm", plain, |row| Some(case(row.1)?.diameter_mismatch()))
        .number("stiffness", "kN", plain, move |row| Some(1e-3 * tyre(row).stiffness))
        .number("required_release", "bar", plain, |row| Some(BAR.value_of(case(row.1)?.required_pressure())))
        .bounded("deciding_release", "bar", plain, |row| answer(row.1)?.solved.new.release(case(row.1)?))
        .number("margin", "%", plain, |row| Some(100.0 * answer(row.1)?.judged.margin?));
    for column in COLUMNS.iter().filter(|column| SHOWN.contains(&column.name)) {
        let value = move |row: &(usize, Row<'_>)| answer(row.1)?.solved.new.number(column.name);
        columns = if column.bounded {
            columns.bounded(column.name, column.unit, plain, value)
        } else {
            columns.number(column.name, column.unit, plain, move |row| value(row).map(Number::value))
        };
    }
    columns = columns
        .number("outer_diameter", "mm", plain, |row| answer(row.1)?.solved.new.outer_diameter)
        .number("room_beside", "mm", plain, |row| answer(row.1)?.room_beside)
        .number("room_over", "mm", plain, |row| answer(row.1)?.room_over);
    for condition in CONDITIONS.into_iter().filter(|_| any_service) {
        let name = condition.name().replace(' ', "_");
        columns = columns
            .bounded(&format!("release_{name}"), "bar", plain, move |row| hot(row.1, condition)?.release)
            .number(format!("required_{name}"), "bar", plain, move |row| Some(hot(row.1, condition)?.required))
            .number(format!("allowed_cold_{name}"), "bar", plain, move |row| {
                hot(row.1, condition)?.allowed.map(|pressure| BAR.value_of(pressure))
            });
    }
    columns
        .number("probability_of_failing", "%", plain, |row| Some(100.0 * answer(row.1)?.failing?))
        .text("tests", |row| tests(row.1, words::tested))
        .text("test_and_calculation", |row| tests(row.1, |tested| words::against(tested.against).to_owned()))
        .text("notes", |row| notes(list, row.1))
        .text("in_words", |row| words::finding(row.1.finding()))
        .text("rests_on", |row| rests_on(list, row.1))
        .text("hash", |row| hashes.get(row.0).cloned().unwrap_or_default())
        .of(list.entries.iter().enumerate())
}

fn tests(entry: Row<'_>, told: impl Fn(&hoopwright_study::pairs::judge::Tested) -> String) -> String {
    let all: Vec<String> = answer(entry).iter().flat_map(|answer| &answer.judged.tests).map(told).collect();
    all.join("; ")
}

/// What the tables carry along, and what is to be said of the pair's inputs.
fn notes(list: &List<'_>, entry: Row<'_>) -> String {
    let [tyre, rim] = [&list.tyres[entry.pair.tyre].notes, &list.rims[entry.pair.rim].notes];
    let carried = tyre.iter().chain(rim).map(|(head, words)| format!("{head}: {words}"));
    let made = entry.pair.made.as_ref().map_or(&[][..], |made| &made.notes);
    carried.chain(made.iter().cloned()).collect::<Vec<_>>().join("; ")
}
