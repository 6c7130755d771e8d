//! Notes: inputs that are admissible but outside common practice.

use crate::case::{Case, Criterion};
use crate::size::{SizeLabel, is_of_code};
use crate::units::{BAR, MM, number};
use hoopwright_drawing::features::CREST_FILLET;

/// Highest rated pressure for straight-wall road rims, MPa (two published pages after ETRTO).
const STRAIGHT_WALL_CAP: f64 = 0.5;
/// Tolerance of the seat diameter and of the flange height, mm (ETRTO Standards Manual 2019, quoted second hand).
const TOLERANCE: f64 = 0.5;
/// The rim's inner width stays this far below the labelled width, mm (width rule of 2023, cycling magazine of 15 June 2023).
pub const WIDTH_GAP: f64 = 5.0;
/// Least radius of a crest that the default mesh follows, mm: that of a crest drawn sharp. Against a mesh twice as fine the local release
/// with friction is 8 % too high at 0.3 mm and 11 % at 0.1 mm, and within 1.5 % from 0.6 mm on (example 1).
const FOLLOWED: f64 = CREST_FILLET;
/// Least test pressure over rated pressure (16 CFR 1512.10; ISO 4210-2, from memory).
const RETENTION_TEST: f64 = 1.1;
/// Slack for comparisons at the ends of tolerances, mm and MPa: far below any measurement.
const SLACK: f64 = 1e-9;

/// Whole sentences on the case, in the order of danger.
pub(super) fn notes(case: &Case, label: Option<SizeLabel>) -> Vec<String> {
    let notes = [
        crest(case),
        sharp(case),
        looser(case),
        width(case, label),
        pressure(case),
        test(case),
        criterion(case),
        seat(case, label),
        flange(case),
    ];
    notes.into_iter().flatten().collect()
}

fn crest(case: &Case) -> Option<String> {
    let crest = 2.0 * case.rim.crest_radius_from_axis();
    (case.bead.diameter >= crest).then(|| {
        format!(
            "The unstretched bead of {} passes over the crest of the wall, {}, unstretched: nothing holds it but the rest of the tyre.",
            MM.format(case.bead.diameter),
            MM.format(crest)
        )
    })
}

fn sharp(case: &Case) -> Option<String> {
    let followed = FOLLOWED / case.refinement as f64;
    (case.rim.crest_radius < followed - SLACK).then(|| {
        format!(
            "The crest's radius of {} is finer than the tyre's mesh follows, {}: the local release found may be a tenth too high. A larger \
             mesh.refinement follows it at a greater cost.",
            MM.format(case.rim.crest_radius),
            MM.format(followed)
        )
    })
}

fn looser(case: &Case) -> Option<String> {
    (case.diameter_mismatch() < -SLACK && crest(case).is_none()).then(|| {
        format!(
            "The unstretched bead of {} is larger than its seat of {}: it lies on the seat without a grip of its own.",
            MM.format(case.bead.diameter),
            MM.format(case.rim.seat_diameter)
        )
    })
}

fn criterion(case: &Case) -> Option<String> {
    let note = match case.limits.criterion {
        Criterion::FirstLift | Criterion::Lower | Criterion::Local => return None,
        Criterion::OffCentre => {
            "The off-centre release decides, a shift of the whole bead. It bounds nothing from below: one arc may run away well before. The lower \
             release (limits.criterion) takes that into account."
        }
        Criterion::Uniform => "The uniform blow-off decides, an upper bound: real release starts at one arc, below it.",
    };
    Some(note.to_owned())
}

fn pressure(case: &Case) -> Option<String> {
    (case.pressure.rated > STRAIGHT_WALL_CAP + SLACK).then(|| {
        format!(
            "The rated pressure of {} is above {}, the cap for straight-wall road rims (two published pages after ETRTO).",
            BAR.format(case.pressure.rated),
            BAR.format(STRAIGHT_WALL_CAP)
        )
    })
}

fn test(case: &Case) -> Option<String> {
    (case.pressure.test_factor < RETENTION_TEST - SLACK).then(|| {
        format!(
            "The test factor of {} is below {}: the retention test asks for 110 % of the recommended pressure (16 CFR 1512.10; \
             ISO 4210-2, from memory).",
            number(case.pressure.test_factor),
            number(RETENTION_TEST)
        )
    })
}

fn width(case: &Case, label: Option<SizeLabel>) -> Option<String> {
    let label = label?;
    (label.width < case.rim.inner_width + WIDTH_GAP - SLACK).then(|| {
        format!(
            "The labelled width of {} is less than {} above the rim's inner width of {}: such pairs are excluded by the width rule \
             of 2023 (cycling magazine, 15 June 2023), since a 28 mm tyre came off a 25 mm rim.",
            MM.show(label.width),
            MM.show(WIDTH_GAP),
            MM.show(case.rim.inner_width)
        )
    })
}

fn seat(case: &Case, label: Option<SizeLabel>) -> Option<String> {
    let code_622 = SizeLabel { width: 28.0, code: 622.0 };
    let specified = match label {
        Some(label) => label.seat_diameter(),
        None if is_of_code(&case.rim, code_622) => code_622.seat_diameter(),
        None => return None,
    };
    ((case.rim.seat_diameter - specified).abs() > TOLERANCE + SLACK).then(|| {
        format!(
            "The seat diameter of {} lies outside {} +/- {}, the tolerance of its rim code (ETRTO Standards Manual 2019, quoted second hand; \
             other codes than 622 from memory).",
            MM.show(case.rim.seat_diameter),
            number(specified),
            MM.show(TOLERANCE)
        )
    })
}

fn flange(case: &Case) -> Option<String> {
    ((case.rim.flange_height - 5.5).abs() > TOLERANCE + SLACK).then(|| {
        format!(
            "The flange height of {} lies outside 5.5 +/- {} (ETRTO Standards Manual 2019, quoted second hand).",
            MM.show(case.rim.flange_height),
            MM.show(TOLERANCE)
        )
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::float_cmp)]
    use crate::check::read;
    use crate::starter::starter;

    /// Replaced line of the starter case, its replacement, and what the notes must and must not say.
    #[test]
    fn each_note_appears_beyond_its_limit_and_not_at_it() {
        for (line, good, bad, word) in [
            ("rated = \"5 bar\"", "rated = \"5 bar\"", "rated = \"5.1 bar\"", "rated pressure"),
            ("rated = \"5 bar\"", "rated = \"5 bar\"\ntest_factor = 1.1", "rated = \"5 bar\"\ntest_factor = 1.09", "test factor"),
            ("bead_to_bead = \"70 mm\"", "size = \"26-622\"", "size = \"25-622\"", "labelled width"),
            ("diameter = \"621.95 mm\"", "diameter = \"622.45 mm\"", "diameter = \"621.4 mm\"", "seat diameter"),
            (
                "#criterion = \"lower release\"",
                "criterion = \"local release\"",
                "criterion = \"uniform blow-off\"",
                "uniform blow-off decides",
            ),
            (
                "#criterion = \"lower release\"",
                "criterion = \"first lift\"",
                "criterion = \"off-centre release\"",
                "one arc may run away well before",
            ),
            ("diameter = \"620.4 mm\"", "diameter = \"621.95 mm\"", "diameter = \"622 mm\"", "larger than its seat of 621.95 mm"),
            ("diameter = \"620.4 mm\"", "diameter = \"620.4 mm\"", "diameter = \"633.1 mm\"", "passes over the crest"),
            ("flange_height = \"5.5 mm\"", "flange_height = \"6 mm\"", "flange_height = \"6.1 mm\"", "flange height"),
            (
                "#crest_radius = \"1 mm\"",
                "crest_radius = \"0.5 mm\"",
                "crest_radius = \"0.49 mm\"",
                "finer than the tyre's mesh follows",
            ),
        ] {
            let notes_with = |replacement: &str| {
                let text = starter();
                assert!(text.contains(line), "{line}");
                read(&text.replacen(line, replacement, 1)).unwrap().1
            };
            assert_eq!(notes_with(good), Vec::<String>::new(), "{good}");
            let notes = notes_with(bad);
            assert!(notes.len() == 1 && notes[0].contains(word), "{bad}: {notes:?}");
        }
    }
}
