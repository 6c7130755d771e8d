//! Words and numbers of a study of tolerances.

use hoopwright_case::inputs::Input;
use hoopwright_case::units::{BAR, Dimension, ONE, number};
use hoopwright_case::{Spread, Tolerance, Uncertain};
use hoopwright_solver::result::Finding;
use hoopwright_study::column::Column;
use hoopwright_study::tolerance::probability::Probability;

use crate::service::REMARKS;
use crate::words;

/// A probability to three digits.
pub(crate) fn chance(p: f64) -> String {
    if p < 1e-12 {
        "under 1e-12".to_owned()
    } else if p >= 1e-3 {
        format!("{}", format!("{p:.2e}").parse::<f64>().unwrap_or(p))
    } else {
        let text = format!("{p:.2e}");
        let (digits, power) = text.split_once('e').unwrap_or((&text, "0"));
        format!("{}e{power}", digits.trim_end_matches('0').trim_end_matches('.'))
    }
}

/// An upper bound of a probability.
pub(crate) fn at_most(p: f64) -> String {
    let text = chance(p);
    if text.starts_with("under") { text } else { format!("below {text}") }
}

/// A probability with its interval; its upper bound where no more is known.
pub(crate) fn with_interval(p: &Probability) -> String {
    match p.is_bound() {
        _ if !p.is_known() => "not known".to_owned(),
        true => at_most(p.high),
        false => format!("{} ({} to {})", chance(p.value), chance(p.low), chance(p.high)),
    }
}

/// A number to three digits, where more would say nothing.
pub(crate) fn short(value: f64) -> String {
    number(format!("{value:.2e}").parse().unwrap_or(value))
}

/// A probability as one of so many, to two digits with blanks between thousands; none where it is no rare one.
pub(crate) fn one_of(p: f64) -> Option<String> {
    if !(1e-12..0.5).contains(&p) {
        return None;
    }
    let rounded: f64 = format!("{:.1e}", 1.0 / p).parse().ok()?;
    let digits = format!("{rounded:.0}");
    let groups: Vec<&str> = digits.as_bytes().rchunks(3).rev().filter_map(|g| std::str::from_utf8(g).ok()).collect();
    Some(format!("one of {}", groups.join(" ")))
}

/// A limit that is not kept, in words: verdict, number and side.
pub(crate) fn limit_words(finding: Finding, column: &Column) -> String {
    let side = if finding == Finding::MayRelease { "less than required of" } else { "more than allowed of" };
    format!("{}: {side} {}", words::finding(finding), column.meaning)
}

/// How an input scatters, in words with units.
pub(crate) fn spread(uncertain: &Uncertain) -> String {
    let unit = uncertain.input.unit().unwrap_or(ONE);
    let show = |value: f64| unit.show(value);
    // A difference of temperatures is told in kelvins, which have no offset.
    let aside = |value: f64| if unit.dimension == Dimension::Temperature { format!("{} K", number(value)) } else { show(value) };
    match &uncertain.spread {
        Spread::Normal { mean, deviation, within: None } => format!("normal, {} +- {}", show(*mean), aside(*deviation)),
        Spread::Normal { mean, deviation, within: Some([a, b]) } => {
            format!("normal, {} +- {}, within {} and {}", show(*mean), aside(*deviation), show(*a), show(*b))
        }
        Spread::Uniform([a, b]) => format!("uniform, {} to {}", show(*a), show(*b)),
        Spread::Triangular { ends: [a, b], mode } => {
            format!("triangular, {} to {}, most often {}", show(*a), show(*b), show(*mode))
        }
        Spread::Measured { file, column } => format!("as measured in {file}, column {column}"),
    }
}

/// What the model of service leaves out under the condition that is judged.
pub(crate) fn left_out(tolerance: &Tolerance) -> Vec<String> {
    let Some(condition) = tolerance.in_service.as_ref().map(|service| service.condition) else { return Vec::new() };
    let [creep, heat, coefficients] = REMARKS;
    let told = [(creep, condition.has_crept()), (heat, condition.is_hot()), (coefficients, true)];
    told.into_iter().filter(|(_, applies)| *applies).map(|(remark, _)| remark.to_owned()).collect()
}

/// Under which condition of service pairs are judged, and at which pressures; none where that is as typed.
pub(crate) fn condition(tolerance: &Tolerance) -> Option<String> {
    let service = tolerance.in_service.as_ref()?;
    let case = tolerance.judged();
    let [working, required] = [case.pressure.rated, case.required_pressure()].map(|p| short(BAR.value_of(p)));
    Some(format!(
        "Judged {}, as the table [service] says: with every input as typed {working} bar is then the working pressure and {required} bar is \
         required.",
        service.condition.name()
    ))
}

/// What the service says of the condition, but for inputs that scatter.
pub(crate) fn service(tolerance: &Tolerance) -> Option<String> {
    let in_service = tolerance.in_service.as_ref()?;
    let open = |input: &Input| !tolerance.inputs.iter().any(|u| u.input.path() == input.path());
    let each = in_service.service.resolved().into_iter().filter(|(input, _)| in_service.condition.takes(input) && open(input));
    let told = |(input, value): (&Input, Option<f64>)| Some(format!("{} {}", input.key, input.unit()?.format(value?)));
    Some(format!("service: {}", each.filter_map(told).collect::<Vec<_>>().join(", ")))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn probabilities_are_short_and_readable() {
        for (p, text) in
            [(9.6512e-6, "9.65e-6"), (1e-5, "1e-5"), (0.021_25, "0.0213"), (0.0, "under 1e-12"), (1e-20, "under 1e-12")]
        {
            assert_eq!(chance(p), text);
        }
        assert_eq!((at_most(3.2e-9), at_most(0.0)), ("below 3.2e-9".to_owned(), "under 1e-12".to_owned()));
        assert_eq!((short(0.098_657_8), short(-3.0)), ("0.0987".to_owned(), "-3".to_owned()));
        assert_eq!((one_of(9.65e-6).unwrap(), one_of(0.04).unwrap()), ("one of 100 000".into(), "one of 25".into()));
        assert_eq!((one_of(0.9), one_of(0.0)), (None, None));
    }
}
