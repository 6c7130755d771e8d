//! Cases beside a case: one input at a time is changed by what is plausible for it, as the table `[local]` says. They tell how much of the
//! local release hangs on inputs that are seldom known well. A rounder crest asks for as thick a wall as it needs, a wider bead for as wide a
//! seat: where the case has no such room it is made, as those are the sides on which the bead lets go earlier.

use crate::case::{Case, Changes};
use crate::check::case_of;
use crate::error::CaseErrors;
use crate::file::Attached;
use crate::file::{CaseFile, Entry, Typed};
use crate::inputs::{BEAD_FILLER_HEIGHT, BEAD_WIDTH, Input, RIM_CREST_RADIUS, RIM_SEAT_WIDTH, RIM_WALL_THICKNESS, RUBBER_BEAD};
use crate::units::ONE;

/// A case beside another.
#[derive(Clone, Debug)]
pub struct Neighbour {
    /// The input that is changed.
    pub input: &'static Input,
    /// Its value in the case and beside it, in [`Input::unit`].
    pub values: [f64; 2],
    /// What makes room for it, as `input = value`, where the case has none.
    pub room: Option<String>,
    /// The case with it; why there is none otherwise.
    pub case: Result<Case, String>,
}

/// An input that is changed, its value in a case, and the same a step further down or up.
struct Step {
    input: &'static Input,
    value: fn(&Case) -> f64,
    step: fn(f64, &Changes, f64) -> f64,
    /// What must be no less than so much, of the changed value, and how much it is in a case.
    room: Option<Room>,
}

/// Input, what is needed of it for a changed value, and what a case has.
type Room = (&'static Input, fn(f64) -> f64, fn(&Case) -> f64);

/// What is changed.
const STEPS: [Step; 4] = [
    Step {
        input: &RIM_CREST_RADIUS,
        value: |case| case.rim.crest_radius,
        step: |x, by, sign| x + sign * by.crest_radius,
        room: Some((&RIM_WALL_THICKNESS, |radius| 2.0 * radius, |case| case.rim.wall_thickness)),
    },
    Step {
        input: &BEAD_WIDTH,
        value: |case| case.bead.width,
        step: |x, by, sign| x + sign * by.bead_width,
        room: Some((&RIM_SEAT_WIDTH, |width| width, |case| case.rim.seat_width)),
    },
    Step {
        input: &BEAD_FILLER_HEIGHT,
        value: |case| case.bead.filler_height,
        step: |x, by, sign| x + sign * by.filler_height,
        room: None,
    },
    Step {
        input: &RUBBER_BEAD,
        value: |case| case.rubber.bead,
        step: |x, by, sign| x * (1.0 + sign * by.bead_rubber),
        room: None,
    },
];

/// The cases beside that of a text, each input down and up. What breaks a rule has no case, but a reason.
///
/// # Errors
/// Every fault of the case itself.
pub fn neighbours(text: &str, attached: Attached) -> Result<Vec<Neighbour>, CaseErrors> {
    let (file, structural) = CaseFile::parse(text)?;
    let file = file.with_attached(attached);
    let (case, _) = case_of(&file, structural)?;
    let entry = |input: &'static Input, value: f64| {
        let unit = input.unit().unwrap_or(ONE);
        // To the last digit: what is shown has fewer.
        let text = format!("{} {}", unit.value_of(value), unit.symbol);
        (input, Entry { value: Typed::Text(text), span: file.span_of(input) })
    };
    let of = |step: &Step, sign: f64| {
        let unit = step.input.unit().unwrap_or(ONE);
        let from = (step.value)(&case);
        let to = (step.step)(from, &case.local.changes, sign);
        let missing = step.room.filter(|(_, needed, has)| needed(to) > has(&case));
        let room = missing.map(|(input, needed, _)| entry(input, needed(to)));
        let told =
            missing.map(|(input, needed, _)| format!("{} = {}", input.path(), input.unit().unwrap_or(ONE).format(needed(to))));
        let changed = case_of(&file.with([entry(step.input, to)].into_iter().chain(room)), Vec::new());
        let reason = |errors: CaseErrors| errors.0.first().map_or_else(String::new, super::CaseError::message);
        Neighbour {
            input: step.input,
            values: [from, to].map(|inner| unit.value_of(inner)),
            room: told,
            case: changed.map(|(case, _)| case).map_err(reason),
        }
    };
    Ok(STEPS.iter().flat_map(|step| [-1.0, 1.0].map(|sign| of(step, sign))).collect())
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::check::read;
    use crate::starter::starter;
    use approx::assert_relative_eq;

    #[test]
    fn one_input_at_a_time_goes_down_and_up_by_what_the_case_says() {
        let text = starter().replace("#crest_radius_change = \"0.2 mm\"", "crest_radius_change = \"0.4 mm\"");
        let (base, _) = read(&text).unwrap();
        let found = neighbours(&text, Attached::new()).unwrap();
        let names: Vec<String> = found.iter().map(|n| n.input.path()).collect();
        assert_eq!(names.len(), 8);
        for (pair, name) in names.chunks(2).zip(["rim.crest_radius", "bead.width", "bead.filler_height", "rubber.bead"]) {
            assert_eq!(pair, [name, name]);
        }
        let case = |i: usize| found[i].case.clone().unwrap();
        for (i, sign) in [(0, -1.0), (1, 1.0)] {
            assert_relative_eq!(case(i).rim.crest_radius, base.rim.crest_radius + sign * 0.4, max_relative = 1e-12);
            assert_relative_eq!(case(i + 2).bead.width, base.bead.width + sign * 0.3, max_relative = 1e-12);
            assert_relative_eq!(case(i + 4).bead.filler_height, base.bead.filler_height + sign, max_relative = 1e-12);
            assert_relative_eq!(case(i + 6).rubber.bead, base.rubber.bead * (1.0 + sign * 0.3), max_relative = 1e-6);
            assert_relative_eq!(case(i + 2).rim.crest_radius, base.rim.crest_radius, max_relative = 1e-12);
        }
        assert_relative_eq!(found[1].values[1], found[1].values[0] + 0.4, max_relative = 1e-12);
        // A crest of 1.4 mm needs a wall of twice as much, a bead of 4.3 mm as wide a seat.
        assert_eq!([&found[0].room, &found[6].room], [&None, &None]);
        assert_relative_eq!(case(1).rim.wall_thickness, 2.8, max_relative = 1e-12);
        assert_relative_eq!(case(3).rim.seat_width, 4.3, max_relative = 1e-12);
        assert_eq!(found[1].room.as_deref(), Some("rim.wall_thickness = 2.8 mm"));
    }

    #[test]
    fn what_breaks_a_rule_has_a_reason_in_place_of_a_case() {
        let text = starter().replace("#crest_radius_change = \"0.2 mm\"", "crest_radius_change = \"2 mm\"");
        let found = neighbours(&text, Attached::new()).unwrap();
        assert_eq!(found[0].room, None);
        assert!(found[0].case.as_ref().unwrap_err().contains("out of range"), "{:?}", found[0].case);
    }
}
