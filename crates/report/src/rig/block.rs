//! Blocks of a case from measurements, with where their numbers come from.

use hoopwright_bench::growth::Growth;
use hoopwright_bench::hold::Hold;
use hoopwright_bench::measured::Measured;
use hoopwright_bench::stretch::{Law, Method, Stretch};
use hoopwright_case::units::{BAR, KN, MM, NEWTON};

use super::batch::{Row, spread};
use super::hold::hold_verdict;
use super::pressure::Both;
use super::{error_text, time};

/// Head of every block.
const HEAD: &str =
    "# Measured; paste into a case in place of the keys below. It approves no tyre: see the cautions of the report.\n";

/// A text that keeps to its line of a comment.
fn plain(text: &str) -> String {
    text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect()
}

/// The table of tolerances that goes with a bead, as a comment.
fn tolerance(diameter: f64, stiffness: Option<f64>, what: &str) -> String {
    let stiffness = stiffness
        .map_or(String::new(), |s| format!("# \"bead.stiffness\" = {{ deviation = \"{:.3} kN\" }}\n", KN.value_of(s).max(1e-3)));
    format!(
        "# {what}; for the command `tolerance` the lines below may be uncommented and put at the end of the case.\n# [tolerance]\n# \"bead.diameter\" = {{ deviation = \
         \"{:.4} mm\" }}\n{stiffness}",
        diameter.max(1e-4)
    )
}

/// Of one stretched bead.
pub fn stretch_block(log: &str, s: &Stretch) -> String {
    let errors = match s.method {
        Method::Repeats(n) => format!("scatter of {n} cycles"),
        Method::Residuals(n) => format!("residuals of {n} cycle(s), correlated in time"),
    };
    let mut text = format!("{HEAD}# From `hoopwright rig stretch`, log {}; standard errors: {errors}.\n[bead]\n", plain(log));
    let reference = NEWTON.format(s.reference_force);
    let diameter = |m: &Measured, of: &str| {
        format!(
            "# Where the {of} without friction has no tension; standard error {} mm. At {reference} hoop force {:.3} mm.\ndiameter = \"{:.3} mm\"\n",
            error_text(m.total(), m.value, 4),
            s.diameter.value,
            m.value
        )
    };
    let [from, to] = s.range.map(|force| format!("{force:.0} N"));
    match &s.law {
        Law::Line => {
            text += &diameter(&s.unstretched, "line");
            text += &format!(
                "# Between {from} and {to} of hoop force; standard error {} kN.\nstiffness = \"{:.3} kN\"\n",
                error_text(KN.value_of(s.stiffness.total()), KN.value_of(s.stiffness.value), 3),
                KN.value_of(s.stiffness.value)
            );
            text += &tolerance(s.unstretched.total(), Some(s.stiffness.total()), "Standard errors of this measurement");
        }
        Law::Curve { points, unstretched } => {
            let list: Vec<String> =
                points.iter().map(|(strain, force)| format!("[\"{:.5} %\", \"{force:.2} N\"]", 100.0 * strain)).collect();
            text += &diameter(unstretched, "parabola");
            text += &format!(
                "# Not straight between {from} and {to} of hoop force: parabola, mean of the cycles; carried on from {from} down to none.\n\
                 curve = [{}]\n",
                list.join(", ")
            );
            text += &tolerance(unstretched.total(), None, "Standard error of this measurement");
        }
    }
    text
}

/// Of many stretched beads: mean and scatter between them; none of fewer than two.
pub fn batch_block(rows: &[Row]) -> Option<String> {
    let [(diameter, d), (stiffness, s)] = spread(rows)?;
    let n = rows.iter().filter(|row| row.found.is_ok()).count();
    let mut text = format!("{HEAD}# From `hoopwright rig stretch`, mean of {n} logs.\n[bead]\n");
    text += &format!("diameter = \"{diameter:.3} mm\"\nstiffness = \"{:.3} kN\"\n", KN.value_of(stiffness));
    Some(text + &tolerance(d, Some(s), "Standard deviations between tyres"))
}

/// Of growth under tension: an unstretched diameter, mm, measured before, and what it grows by from the reference time to that extrapolated to.
pub fn growth_block(log: &str, g: &Growth, unstretched: f64) -> String {
    let word = if g.settled { "settled" } else { "NOT settled" };
    let grown = g.creep.scaled((g.until / g.times[0]).log10());
    let [reference, end, until] = [g.times[0], g.times[1], g.until].map(time);
    format!(
        "{HEAD}# From `hoopwright rig growth`, log {}: {word}; creep {:.4} % in a decade of time.\n[bead]\n# {} and growth from {reference} to {until} \
         under the tension of the log, by extrapolation from {end}; standard error of the growth {} mm.\ndiameter = \"{:.3} mm\"\n{}",
        plain(log),
        100.0 * g.creep.value,
        MM.format(unstretched),
        error_text(unstretched * grown.total(), unstretched, 4),
        unstretched * (1.0 + grown.value),
        tolerance(unstretched * grown.total(), None, "Standard error of the growth alone")
    )
}

/// Of an inflation test: the pressures it was held against.
pub fn hold_block(log: &str, hold: &Hold) -> String {
    let both = Both::of(hold);
    let released = hold.released.map_or(String::new(), |p| format!("; all went at once from {}", both.show(p, 3)));
    format!(
        "{HEAD}# From `hoopwright rig hold`, log {}: {}; highest pressure {}{released}.\n[pressure]\nrated = \"{}\"\ntest_factor = {}\n",
        plain(log),
        hold_verdict(hold.verdict),
        both.show(hold.highest, 3),
        BAR.format(hold.question.rated),
        hold.question.factor
    )
}
