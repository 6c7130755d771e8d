//! The commented starter case, written from the table of inputs.

use crate::inputs::{CASE, Form, Input, Need};

/// Text width of the comments, characters.
const WIDTH: usize = 100;

/// A case file to start from: required inputs with example values, all others as comments at their defaults.
///
/// It reads back without error; its numbers are invented unless their comment gives a source.
pub fn starter() -> String {
    let mut text = String::from(
        "# A tyre on a straight-wall rim. Starter case: replace the example values by measured ones.\n\
         # Every quantity is a text with its unit, as in \"5 bar\", \"72.5 psi\", \"24.5 in\". Pressures are gauge.\n\
         # A line that begins with \"#key\" shows a default or an alternative: remove the # to use it.\n\n",
    );
    text.push_str(&commented(&CASE));
    text.push_str(STUDY);
    text
}

/// The tables of a form as they stand in a file to start from.
pub fn commented(form: &Form) -> String {
    let mut text = String::new();
    for input in form.inputs.iter().filter(|i| i.section.is_empty()) {
        describe(&mut text, input);
    }
    for (section, meaning) in form.sections {
        text.push('\n');
        comment(&mut text, meaning);
        text.push_str(&format!("[{section}]\n"));
        for input in form.inputs.iter().filter(|i| i.section == *section) {
            describe(&mut text, input);
        }
    }
    text
}

/// What stands at the end of the starter case. Its lines are no defaults and no alternatives.
const STUDY: &str = "
# Values of inputs to run the case over by `hoopwright vary`; without this table there is one case.
# Lists or ranges; every value with every other, or with combine = \"list\" the n-th values together:
# [vary]
# \"rim.seat_diameter\" = [\"621.5 mm\", \"622.4 mm\"]
# \"rim.flange_height\" = { from = \"5 mm\", to = \"6 mm\", count = 3 }
#
# Two axes of `hoopwright map`; without keys bead stiffness and mismatch about the case's own:
# [map]
# \"bead.stiffness\" = { from = \"150 kN\", to = \"550 kN\", count = 20 }
# mismatch = { from = \"0.4 mm\", to = \"2.8 mm\", count = 20 }
#
# Rims and pressures of `hoopwright sizes`, and the room in the frame:
# [sizes]
# \"rim.inner_width\" = [\"19 mm\", \"21 mm\", \"23 mm\"]
# \"pressure.rated\" = [\"3 bar\", \"4 bar\", \"5 bar\"]
# clear_width = \"38 mm\"
# clear_radius = \"352 mm\"
# clearance = \"4 mm\"
#
# Time under load and heat for `hoopwright service`; every key has a default:
# [service]
# life = \"1000 d\"
# bead_creep = \"0.008 %\"
# creep_tension = \"1500 N\"
# hot_rim = \"100 degC\"
# hot_air = \"35 degC\"
# rim_expansion = \"23.6e-6 /K\"
";

fn describe(text: &mut String, input: &Input) {
    let source = input.source;
    let need = match input.need {
        Need::Required { .. } => format!("Required; example: {source}"),
        Need::OneOf { or, .. } => format!("Required unless {or} is given; example: {source}"),
        Need::Instead { of, .. } => format!("In place of {of}; example: {source}"),
        Need::Default { .. } => format!("Default: {source}"),
        Need::Derived { rule, .. } => format!("Default {rule}: {source}"),
        Need::Optional { absent, .. } => {
            format!("Optional; without it, {absent}; example: {source}")
        }
    };
    let range = input.range().map_or(String::new(), |range| format!(" ({range})"));
    comment(text, &format!("{}{range}. {need}.", input.meaning));
    let active = matches!(input.need, Need::Required { .. } | Need::OneOf { .. });
    text.push_str(if active { "" } else { "#" });
    text.push_str(&input.line());
    text.push('\n');
}

/// Appends a comment, broken between words.
fn comment(text: &mut String, sentence: &str) {
    let mut line = String::from("#");
    for word in sentence.split(' ') {
        if line.chars().count() + 1 + word.chars().count() > WIDTH {
            text.push_str(&line);
            text.push('\n');
            line = String::from("#  ");
        }
        line.push(' ');
        line.push_str(word);
    }
    text.push_str(&line);
    text.push('\n');
}

/// The starter case with the rim as a box instead of a ring.
#[cfg(test)]
pub(crate) fn starter_with_section() -> String {
    starter().replace("\n#shape =", "\nshape =").replace("\nhoop_stiffness", "\n#hoop_stiffness")
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::float_cmp)]
    use super::*;
    use crate::check::read;
    use crate::inputs::INPUTS;

    /// A starter case with the inputs uncommented for which `wanted` holds.
    fn uncommented(start: String, wanted: impl Fn(&Input) -> bool) -> String {
        INPUTS.iter().filter(|i| wanted(i)).fold(start, |text, input| {
            let section = text.find(&format!("[{}]\n", input.section)).unwrap_or(0);
            let (before, after) = text.split_at(section);
            let line = format!("\n#{}\n", input.line());
            assert!(after.contains(&line), "{}", input.path());
            format!("{before}{}", after.replacen(&line, &format!("\n{}\n", input.line()), 1))
        })
    }

    #[test]
    fn reads_back_without_errors_or_notes() {
        let (case, notes) = read(&starter()).unwrap();
        assert_eq!(notes, Vec::<String>::new());
        assert_eq!(case.rim.seat_diameter, 621.95);
    }

    #[test]
    fn the_defaults_shown_are_the_defaults_used() {
        let shown = |i: &Input| matches!(i.need, Need::Default { .. } | Need::Derived { .. });
        let ring = |i: &Input| i.section != "section" && i.path() != "spokes.modulus";
        let elastic = |i: &Input| i.path() != "rim.centroid_diameter" && i.path() != "spokes.modulus";
        for (start, wanted) in [(starter(), &ring as &dyn Fn(&Input) -> bool), (starter_with_section(), &elastic)] {
            let text = uncommented(start.clone(), |i| shown(i) && wanted(i));
            let (explicit, implicit) = (read(&text).unwrap().0, read(&start).unwrap().0);
            let rounded = |case: &crate::case::Case| crate::resolved::resolved(case);
            assert_eq!(rounded(&explicit), rounded(&implicit));
            assert_eq!(text.matches("\n#title").count(), 0);
        }
    }

    #[test]
    fn optional_inputs_read_as_shown() {
        let shown = |i: &Input| {
            matches!(i.need, Need::Optional { .. }) && !["section.shape", "section.drawing"].contains(&i.path().as_str())
        };
        let text = uncommented(starter_with_section(), shown);
        let case = read(&text).unwrap().0;
        assert_eq!(case.bead.breaking_force, Some(8000.0));
        assert_eq!(case.casing.cord_breaking_force, Some(5.0));
        assert_eq!(case.limits.mounting_force, Some(1500.0));
        assert_eq!(case.section.unwrap().hoop_strength, Some(400.0));
    }

    #[test]
    fn no_comment_is_wider_than_the_page() {
        for line in starter().lines().filter(|line| line.starts_with("# ")) {
            assert!(line.chars().count() <= WIDTH, "{line}");
        }
    }
}
