//! A study of tolerances for a terminal: words first.

use std::fmt::Write;

use super::Reported;
use super::tables::{self, REMARK, Table};
use crate::lines::{WIDTH, with_cells, within, wrapped};
use crate::words;

/// The table.
pub fn text(r: &Reported<'_>) -> String {
    let mut out = String::new();
    lines(&mut out, tables::answer(r));
    out.push('\n');
    table(&mut out, tables::worst_case(r));
    if !r.findings.probabilities.is_empty() {
        let matters = (0..r.limits.len()).filter_map(|k| tables::matters(r, k));
        for each in [tables::probabilities(r), tables::margins(r)].into_iter().chain(matters) {
            out.push('\n');
            table(&mut out, each);
        }
        let sizing = tables::sizing(r);
        if !sizing.is_empty() {
            out.push('\n');
            lines(&mut out, sizing);
        }
    }
    out.push('\n');
    lines(&mut out, tables::solved(r));
    lines(&mut out, [REMARK.to_owned()]);
    out.push('\n');
    lines(&mut out, words::cautions().map(str::to_owned));
    out
}

/// Least width of a column of labels.
const LEAST_LABEL: usize = 16;

fn lines(out: &mut String, lines: impl IntoIterator<Item = String>) {
    for line in lines {
        // Writing to a String cannot fail.
        let _ = writeln!(out, "{}", wrapped("", 2, &line));
    }
}

/// Rows of cells under heads, the first column to the left, the others to the right; below it what there is to say of it. A label that leaves
/// no room for its cells takes further lines, the cells the last one.
fn table(out: &mut String, table: Table) {
    let all: Vec<&Vec<String>> = [&table.heads].into_iter().chain(&table.rows).collect();
    let width = |k: usize| all.iter().map(|row| row[k].chars().count()).max().unwrap_or(0);
    let widths: Vec<usize> = (1..table.heads.len()).map(width).collect();
    let word = all.iter().flat_map(|row| row[0].split(' ')).map(|word| word.chars().count()).max().unwrap_or(0);
    let left = |gap: usize| WIDTH.saturating_sub(widths.iter().map(|width| width + gap).sum());
    // The columns move together where a name without spaces, such as an input's, would not fit.
    let gap = if left(2) >= word { 2 } else { 1 };
    let most = left(gap).max(LEAST_LABEL);
    let labels: Vec<String> = all.iter().map(|row| within(most, "", 2, &row[0])).collect();
    let width = labels.iter().flat_map(|label| label.lines()).map(|line| line.chars().count()).max().unwrap_or(0);
    for (row, label) in all.iter().zip(&labels) {
        let cells: String = row[1..].iter().zip(&widths).map(|(cell, width)| format!("{:gap$}{cell:>width$}", "")).collect();
        let _ = writeln!(out, "{}", with_cells(label, width, &cells));
    }
    lines(out, table.remarks.iter().map(|remark| format!("({remark})")));
    lines(out, table.lines);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_labels_leave_room_for_their_cells() {
        let cells =
            |first: &str| [first, "1.743", "0.286", "1.069", "1.273", "1.743", "2.211", "2.399"].map(str::to_owned).to_vec();
        let heads = cells("Margin to the limit");
        let rows = vec![cells("mean spoke tension loss at rated pressure over the pretension, %"), cells("rim.seat_diameter")];
        let mut text = String::new();
        table(&mut text, Table { heads, rows, remarks: vec!["word ".repeat(30)], lines: Vec::new() });
        assert!(text.lines().all(|line| line.chars().count() <= WIDTH), "{text}");
        let last = text.lines().find(|line| line.contains("pretension, %")).unwrap_or_default();
        assert!(last.starts_with("  ") && last.ends_with("2.399"), "{text}");
        assert!(text.lines().any(|line| line.starts_with("rim.seat_diameter ")), "{text}");
    }
}
