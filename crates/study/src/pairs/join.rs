//! Tables that join that of the tyres by the tyres' names: what a bench told of them, or what another hand measured.

use std::collections::HashMap;

use super::columns::{Meaning, Side, columns};
use super::fault::{Fault, Faults, Place};
use super::row::Row;
use super::tyres::tests;
use crate::cells::Cells;

/// A table that joins.
#[derive(Clone, Debug)]
pub struct Joined {
    /// Its name, for messages.
    pub file: String,
    /// Its cells.
    pub cells: Cells,
}

/// Heads of the bench's tables that are for people, without their units.
const OF_A_BENCH: [&str; 14] = [
    "hold",
    "required pressure",
    "highest pressure",
    "held for",
    "hold log",
    "hold fault",
    "growth",
    "growth per decade",
    "growth to come",
    "growth to come at most",
    "growth allowed",
    "growth log",
    "growth fault",
    "cycles",
];
/// The bench's friction, between bead and fixture, which is none of the joint.
const FRICTION: &str = "friction";
/// Head of the log's name of a test.
const LOG: &str = "hold log";

/// Puts what a table says into the rows of its names; what is wrong with it.
pub(super) fn join(rows: &mut [Row], joined: &Joined, notes: &[String]) -> Vec<Fault> {
    let mut faults = Faults::of(&joined.file);
    let known = OF_A_BENCH.into_iter().chain([FRICTION]).map(str::to_owned);
    let notes: Vec<String> = notes.iter().cloned().chain(known).collect();
    let columns = columns(&joined.cells, Side::Tyres, &notes, &mut faults);
    let places: HashMap<String, usize> = rows.iter().enumerate().map(|(i, row)| (row.id.clone(), i)).collect();
    for i in 0..joined.cells.rows.len() {
        let other = Row::read(&joined.cells, i, &columns, &mut faults);
        if let Some(at) = places.get(&other.id) {
            put(&mut rows[*at], other, joined, &mut faults);
        } else if !other.id.is_empty() {
            let sentence = format!("no tyre of the list is called \"{}\"", other.id);
            faults.add(Place::Row(other.number), sentence, "give it the id of its tyre, or take the row out");
        }
    }
    for column in columns.iter().filter(|column| matches!(column.meaning, Meaning::Curve)) {
        let remedy = "name files with curves in the table of the tyres";
        faults.add(Place::Head(column.head.clone()), "curves are not joined", remedy);
    }
    faults.into_list()
}

/// Puts what a row says into that of its tyre. What is measured may be told once only; tests may be many.
fn put(row: &mut Row, other: Row, joined: &Joined, faults: &mut Faults) {
    let log = other.notes.iter().find(|(head, _)| head == LOG).map(|(_, log)| log.clone());
    row.tests.extend(tests(&other, &log.unwrap_or_else(|| joined.file.clone())));
    for (input, value) in other.put {
        if row.put.iter().any(|(known, _)| known.path() == input.path()) {
            let sentence = format!("row {} of the tyres tells its {} too", row.number, input.path().replace(['.', '_'], " "));
            faults.add(Place::Row(other.number), sentence, "tell it in one place only");
        } else {
            row.put.push((input, value));
        }
    }
    for (number, value) in other.numbers.into_iter().filter(|(number, _)| !number.is_of_test()) {
        if row.number_of(number).is_none() {
            row.numbers.push((number, value));
        } else {
            let sentence = format!("row {} of the tyres tells its standard error too", row.number);
            faults.add(Place::Row(other.number), sentence, "tell it in one place only");
        }
    }
    row.measured = row.measured.take().or(other.measured);
    row.notes.extend(other.notes);
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::Joined;
    use crate::cells;
    use crate::pairs::tyres::{Curves, Outcome, read};

    fn joined(file: &str, text: &str) -> Joined {
        Joined { file: file.to_owned(), cells: cells::read(text.as_bytes()).unwrap() }
    }

    const TYRES: &[u8] = b"id,size\na,28-622\nb,28-622\n";
    const STRETCH: &str = "id,diameter [mm],stiffness [kN],diameter standard error [mm],friction,cycles\na,620.4,400,0.05,0.11,6\nb,620.6,380,,0.12,6\n";

    #[test]
    fn measurements_and_tests_join_by_name() {
        let hold = "id,tested on,hold,tested hold pressure [bar],tested release pressure [bar],hold log\n\
                    a,r,held,7.5,,one.csv\na,s,released,,5,two.csv\nb,r,no answer,,,three.csv\n";
        let others = [joined("tyres.csv", STRETCH), joined("verdicts.csv", hold)];
        let tyres = read("t", &cells::read(TYRES).unwrap(), &[], &Curves::new(), &others).unwrap();
        assert_eq!((tyres[0].diameter, tyres[1].stiffness, tyres[0].errors), (620.4, 380e3, [Some(0.05), None]));
        let told: Vec<_> = tyres[0].tests.iter().map(|test| (test.rim.as_deref(), test.outcome, test.from.as_str())).collect();
        assert_eq!(told, [(Some("r"), Outcome::Held(0.75), "one.csv"), (Some("s"), Outcome::Released(0.5), "two.csv")]);
        assert!(tyres[1].tests.is_empty() && tyres[1].notes.contains(&("hold".to_owned(), "no answer".to_owned())));
    }

    #[test]
    fn what_joins_nothing_or_stands_twice_is_a_fault() {
        let tyres = b"id,size,stiffness [kN]\na,28-622,400\n";
        let faults = read("t", &cells::read(tyres).unwrap(), &[], &Curves::new(), &[joined("s.csv", STRETCH)]).unwrap_err();
        let told: Vec<String> = faults.iter().map(ToString::to_string).collect();
        assert_eq!(told.len(), 2, "{told:?}");
        assert!(told[0].starts_with("s.csv, row 2: row 2 of the tyres tells its bead stiffness too"), "{told:?}");
        assert!(told[1].starts_with("s.csv, row 3: no tyre of the list is called \"b\""), "{told:?}");
    }
}
