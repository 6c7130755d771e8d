//! Blocks of a case from measurements, with where their numbers come from.

use hoopwright_solver::units::{BAR, HOUR, KN, MM, NEWTON};
use hoopwright_study::rig::growth::Growth;
use hoopwright_study::rig::hold::Hold;
use hoopwright_study::rig::stretch::{Law, Method, Stretch};

use super::batch::{Row, spread};
use super::hold::hold_verdict;

/// Head of every block.
const HEAD: &str =
    "# Measured; paste into a case in place of the keys below. It approves no tyre: see the cautions of the report.\n";

/// A text that keeps to its line of a comment.
fn plain(text: &str) -> String {
    text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect()
}

/// The table of tolerances that goes with a bead, as a comment.
fn tolerance(diameter: f64, stiffness: f64, what: &str) -> String {
    format!(
        "# {what}; to let these inputs scatter by as much, remove the # below:\n# [tolerance]\n# \"bead.diameter\" = {{ deviation = \"{:.4} mm\" }}\n# \"bead.stiffness\" = \
         {{ deviation = \"{:.3} kN\" }}\n",
        diameter.max(1e-4),
        KN.value_of(stiffness).max(1e-3)
    )
}

/// Of one stretched bead.
pub fn stretch_block(log: &str, s: &Stretch) -> String {
    let errors = match s.method {
        Method::Repeats(n) => format!("scatter of {n} cycles"),
        Method::Residuals(n) => format!("residuals of {n} cycle(s), correlated in time"),
    };
    let mut text = format!("{HEAD}# From `hoopwright rig stretch`, log {}; standard errors: {errors}.\n[bead]\n", plain(log));
    text += &format!(
        "# Where the line without friction has no tension; standard error {:.4} mm. At {} hoop force {:.3} mm.\ndiameter = \"{:.3} mm\"\n",
        s.unstretched.total(),
        NEWTON.format(s.reference_force),
        s.diameter.value,
        s.unstretched.value
    );
    let [from, to] = s.range.map(|force| format!("{force:.0} N"));
    match &s.law {
        Law::Line => {
            text += &format!(
                "# Between {from} and {to} of hoop force; standard error {:.3} kN.\nstiffness = \"{:.3} kN\"\n",
                KN.value_of(s.stiffness.total()),
                KN.value_of(s.stiffness.value)
            );
            text += &tolerance(s.unstretched.total(), s.stiffness.total(), "Standard errors of this measurement");
        }
        Law::Curve(points) => {
            let list: Vec<String> =
                points.iter().map(|(strain, force)| format!("[\"{:.5} %\", \"{force:.2} N\"]", 100.0 * strain)).collect();
            text += &format!(
                "# Not straight between {from} and {to} of hoop force: parabola, mean of the cycles; carried on from {from} down to none.\n\
                 curve = [{}]\n",
                list.join(", ")
            );
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
    Some(text + &tolerance(d, s, "Standard deviations between tyres"))
}

/// Of growth under tension: the diameter after the time extrapolated to.
pub fn growth_block(log: &str, g: &Growth) -> String {
    let word = if g.settled { "settled" } else { "NOT settled" };
    format!(
        "{HEAD}# From `hoopwright rig growth`, log {}: {word}; creep {:.4} % in a decade of time.\n[bead]\n# After {} under the tension of the log, by \
         extrapolation from {}; standard error {:.4} mm.\n# The tension stretches the bead: take off T / EA of it where the case wants the \
         unstretched diameter.\ndiameter = \"{:.3} mm\"\n# [tolerance]\n# \"bead.diameter\" = {{ deviation = \"{:.4} mm\" }}\n",
        plain(log),
        100.0 * g.creep.value,
        HOUR.format(g.until),
        HOUR.format(g.times[1]),
        g.predicted.total(),
        MM.value_of(g.predicted.value),
        g.predicted.total().max(1e-4)
    )
}

/// Of an inflation test: the pressures it was held against.
pub fn hold_block(log: &str, hold: &Hold) -> String {
    let released = hold.released.map_or(String::new(), |p| format!("; the pressure fell from {:.3} bar", BAR.value_of(p)));
    format!(
        "{HEAD}# From `hoopwright rig hold`, log {}: {}; highest pressure {:.3} bar{released}.\n[pressure]\nrated = \"{}\"\ntest_factor = {}\n",
        plain(log),
        hold_verdict(hold.verdict),
        BAR.value_of(hold.highest),
        BAR.format(hold.question.rated),
        hold.question.factor
    )
}
