//! Lines of text: numbers and pressures as people read them, words wrapped to a width. What every room that says something names.

/// MPa in bar and in pound-force per square inch (lbf = 4.4482216152605 N, inch = 25.4 mm: exact by definition).
pub(crate) const BAR: f64 = 10.0;
pub(crate) const PSI: f64 = 1.0 / (4.448_221_615_260_5 / (25.4 * 25.4));

/// Widest line.
pub(crate) const WIDTH: usize = 80;

/// Cells beside the last line of a label of a column's width.
pub(crate) fn with_cells(label: &str, width: usize, cells: &str) -> String {
    let (before, last) = label.rsplit_once('\n').map_or(("", label), |(before, last)| (before, last));
    let end = if before.is_empty() { "" } else { "\n" };
    format!("{before}{end}{}", format!("{last:<width$}{cells}").trim_end())
}

/// A pressure in bar with MPa and psi.
pub(crate) fn pressure(p: f64) -> String {
    format!("{:.2} bar ({:.3} MPa, {:.1} psi)", p * BAR, p, p * PSI)
}

/// A number to four significant digits or so; a dash where there is none.
pub(crate) fn number(x: f64) -> String {
    let size = x.abs();
    if x.is_nan() {
        "-".into()
    } else if size == 0.0 {
        "0".into()
    } else if size < 1e-3 {
        format!("{x:.1e}")
    } else if size < 10.0 {
        format!("{x:.3}")
    } else if size < 1000.0 {
        format!("{x:.1}")
    } else {
        format!("{x:.0}")
    }
}

/// A number as short as it reads back.
pub(crate) fn short(x: f64) -> String {
    format!("{}", (1e6 * x).round() / 1e6)
}

/// A paragraph wrapped to the width, with a label on its first line.
pub(crate) fn paragraph(label: &str, text: &str, out: &mut String) {
    out.push_str(&wrapped(label, 2, text));
    out.push('\n');
}

/// Words wrapped to the width, with a label on the first line and an indent on the others; no line break at the end. A word that is longer
/// than a line has one of its own.
pub fn wrapped(label: &str, indent: usize, text: &str) -> String {
    within(WIDTH, label, indent, text)
}

/// The same to a width of one's own.
pub(crate) fn within(width: usize, label: &str, indent: usize, text: &str) -> String {
    let (mut lines, mut row) = (Vec::new(), label.to_owned());
    for word in text.split_whitespace() {
        if row.chars().count() + 1 + word.chars().count() > width && !row.trim().is_empty() {
            lines.push(row.trim_end().to_owned());
            row = " ".repeat(indent);
        }
        if !row.is_empty() && !row.ends_with(' ') {
            row.push(' ');
        }
        row.push_str(word);
    }
    lines.push(row.trim_end().to_owned());
    lines.join("\n")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pressures_carry_three_units() {
        // 5 bar = 72.519 psi (72.5 psi in the trade).
        assert_eq!(pressure(0.5), "5.00 bar (0.500 MPa, 72.5 psi)");
    }

    #[test]
    fn a_paragraph_keeps_to_the_width() {
        let mut out = String::new();
        for caution in crate::words::cautions() {
            paragraph("Caution: ", caution, &mut out);
        }
        assert!(out.lines().all(|line| line.chars().count() <= WIDTH));
        assert!(out.contains("water"));
    }
}
