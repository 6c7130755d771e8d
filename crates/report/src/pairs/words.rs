//! Findings of pairs in words: the same in every output.

use hoopwright_case::units::{BAR, Unit};
use hoopwright_study::pairs::judge::{Against, Finding, Tested};
use hoopwright_study::pairs::list::Entry;
use hoopwright_study::pairs::tyres::Outcome;

use crate::lines::number;
use crate::study::shown;

/// The word for sizes that do not go together.
pub(crate) const APART: &str = "other size";

/// A finding in words, with its pressure.
pub(crate) fn finding(finding: Option<Finding>) -> String {
    match finding {
        Some(Finding::FitsUpTo(pressure)) => format!("fits up to {} bar", bar_down(pressure)),
        other => kind(other).to_owned(),
    }
}

/// A finding without its pressure.
pub(crate) fn kind(finding: Option<Finding>) -> &'static str {
    match finding {
        Some(Finding::Fits) => "fits",
        Some(Finding::FitsUpTo(_)) => "fits up to",
        Some(Finding::TestFirst) => "test first",
        Some(Finding::DoesNotFit) => "does not fit",
        Some(Finding::NoAnswer) => "no answer",
        None => APART,
    }
}

/// A pressure, MPa, in bar, rounded down as allowed pressures are, without zeros at its end.
pub(crate) fn bar_down(pressure: f64) -> String {
    let text = crate::allowed::bar(pressure);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// What decides a pair, or why there is none, as a phrase.
pub(crate) fn reason(entry: &Entry) -> String {
    match (&entry.answer, &entry.pair.made) {
        (Some(answer), _) => answer.judged.decides.clone(),
        (None, Err(apart)) => apart.to_string(),
        (None, Ok(_)) => String::new(),
    }
}

/// What a pair lies by within the error of the model, as a phrase.
pub(crate) fn near(entry: &Entry) -> String {
    let (Some(answer), Ok(made)) = (&entry.answer, &entry.pair.made) else { return reason(entry) };
    let (new, required) = (&answer.solved.new, BAR.value_of(made.case.required_pressure()));
    let release = new.release(&made.case).map_or_else(|| "-".to_owned(), |release| shown(Some(release)));
    let spokes = new.number("spoke_tension_loss_share").map_or_else(|| "-".to_owned(), |share| number(share.value()));
    let limit = number(100.0 * made.case.limits.spoke_loss);
    let new = format!(
        "release {release} bar of the {} bar required; spokes lose {spokes} % of the {limit} % allowed",
        number(required)
    );
    let hot = answer.solved.service.iter().flatten().filter_map(|hot| Some((hot, hot.margin()?)));
    let worst = hot.min_by(|a, b| a.1.total_cmp(&b.1)).map(|(hot, _)| {
        let (name, release) = (hot.condition.name(), shown(hot.release));
        format!("; when {name}, release {release} bar of {} bar", number(hot.required))
    });
    new + &worst.unwrap_or_default()
}

/// A test beside the calculation, as a phrase.
pub(crate) fn tested(tested: &Tested) -> String {
    let shown = |unit: Unit, pressure: f64| unit.format(pressure);
    let outcome = match tested.test.outcome {
        Outcome::Released(pressure) => format!("came off at {}", shown(BAR, pressure)),
        Outcome::Held(pressure) => format!("held {}", shown(BAR, pressure)),
    };
    format!("{outcome} in a test ({})", tested.test.from)
}

/// How a test stands to the calculation.
pub(crate) fn against(against: Against) -> &'static str {
    match against {
        Against::Agrees => "agrees",
        Against::CameOffBelow => "DISAGREES: came off below what is calculated",
        Against::StayedBeyond => "DISAGREES: stayed on beyond what is calculated",
        Against::Unknown => "nothing to compare",
    }
}

/// What every list says of itself.
pub(crate) const CAUTION: &str = "A list approves nothing: the very pair must be tested. \
Local codes, standards and licensed practice decide.";

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_pressure_is_never_told_higher_than_it_is() {
        assert_eq!([0.566, 0.5, 0.098_76, 0.499_87].map(bar_down), ["5.66", "5", "0.987", "4.99"]);
        assert_eq!(finding(Some(Finding::FitsUpTo(0.42))), "fits up to 4.2 bar");
    }
}
