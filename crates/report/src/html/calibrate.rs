//! The page of a calibration: the factor at the known friction, friction and factor together, every tyre.

use super::frame::{self, Given};
use crate::calibrate::{Calibration, REMARKS, open, ranged, verdict};
use crate::svg;
use crate::words;
use hoopwright_case::units::number as plain;
use hoopwright_study::calibrate::{FRICTIONS, root_mean_square};
use maud::{Markup, html};

/// Most tyres in the table; all are in the files.
const MOST_ROWS: usize = 200;

/// The page.
pub fn page(given: &Given, c: &Calibration) -> String {
    let case = &given.case;
    let title = &case.title;
    let factor = &c.factor;
    let answer = format!(
        "Verdict: the tests reach {} of the prediction at friction {}; {} tell friction and factor apart",
        ranged(&factor.factor),
        plain(factor.friction),
        if c.both.told_apart { "they" } else { "they do not" }
    );
    let mut sentences = vec![
        format!(
            "Compared with the {} of {} tested tyres. In brackets: 95 % intervals. Scatter of a tyre {:.1} %; 95 of 100 further tyres exceed {:.3} of the prediction.",
            words::criterion(case.limits.criterion),
            c.pairs.len(),
            100.0 * factor.scatter,
            factor.lower
        ),
        verdict(&c.both).to_owned(),
    ];
    sentences.extend((case.friction > factor.friction).then(|| {
        format!(
            "The case's friction of {} lies beyond the frictions that are solved: {} is used in its place.",
            plain(case.friction),
            plain(factor.friction)
        )
    }));
    let pictures = svg::calibrate::pictures(title, c);
    let captions = [
        "Tested over predicted release pressure, a mark for each tyre.",
        "Frictions and factors that fit the tests together. A long slope: what one takes, the other gives.",
    ];
    let solved = format!(
        "{} tyres at the frictions {}, refinement {}",
        c.pairs.len() + c.left_out.len(),
        FRICTIONS.map(plain).join(", "),
        case.refinement
    );
    frame::page(
        &format!("{title}: calibration"),
        &given.sources(),
        &html! {
            (frame::headline(title, c.both.told_apart, &answer, &sentences))
            h2 { "Fits" }
            (fits(c))
            @for ((file, picture), caption) in pictures.iter().zip(captions) { (frame::picture(file.trim_end_matches(".svg"), picture, caption)) }
            h2 { "Tyres" }
            (tyres(c))
            (frame::notes(&given.notes))
            (frame::validity(case, &REMARKS))
            (frame::inputs(given, "Diameter and stiffness of the bead are those of each tyre, the friction that of each fit."))
            (frame::record_of_case(given, &[("solved", solved)], ""))
        },
    )
}

fn fits(c: &Calibration) -> Markup {
    let (factor, both) = (&c.factor, &c.both);
    let percent = |share: f64| format!("{:.1}", 100.0 * share);
    let row = |name: &str, friction: String, r: String, scatter: f64, left_out: &[f64]| {
        frame::row(name, [friction, r, percent(scatter), percent(root_mean_square(left_out))])
    };
    let rows = [
        row(
            "factor alone",
            format!("{}, as given", plain(factor.friction)),
            ranged(&factor.factor),
            factor.scatter,
            &factor.left_out,
        ),
        row("both together", ranged(&both.friction), ranged(&both.factor), both.scatter, &both.left_out),
    ];
    let heads = [
        "fitted",
        "friction",
        "factor: tested over predicted",
        "scatter of a tyre, %",
        "each tyre from the others, off by, % rms",
    ];
    html! {
        (frame::table("Fits", "ttnnn", &heads, &rows))
        @if let Some(sentence) = open(both) { p { (sentence) } }
    }
}

fn tyres(c: &Calibration) -> Markup {
    let row = |i: usize| {
        let pair = &c.pairs[i];
        let bar = |value: f64| format!("{value:.2}");
        let percent = |share: f64| format!("{:+.1}", 100.0 * share);
        let numbers = [bar(pair.tested), bar(pair.at(c.factor.friction)), bar(c.fitted(i)), percent(c.factor.left_out[i])];
        frame::row(&pair.id, numbers.into_iter().chain([bar(c.both_fitted(i)), percent(c.both.left_out[i])]))
    };
    let rows: Vec<_> = (0..c.pairs.len().min(MOST_ROWS)).map(row).collect();
    let heads = [
        "tyre",
        "tested, bar",
        "predicted, bar",
        "factor x prediction, bar",
        "test over what the others say, %",
        "both fitted, bar",
        "test over what the others say, %",
    ];
    html! {
        (frame::table("Tyres", "tn", &heads, &rows))
        @if c.pairs.len() > MOST_ROWS { p { "The first " (MOST_ROWS) " of " (c.pairs.len()) "; all are in calibrate.csv and calibrate.parquet." } }
        @if !c.left_out.is_empty() {
            h3 { "Left out" }
            ul { @for (id, reason) in &c.left_out { li { (id) ": " (reason) "." } } }
        }
    }
}
