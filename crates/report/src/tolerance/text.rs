//! A study of tolerances for a terminal: words first.

use std::fmt::Write;

use super::Reported;
use super::tables::{self, REMARK, Table};
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

fn lines(out: &mut String, lines: impl IntoIterator<Item = String>) {
    for line in lines {
        // Writing to a String cannot fail.
        let _ = writeln!(out, "{line}");
    }
}

/// Rows of cells under heads, the first column to the left, the others to the right; below it what there is to say of it.
fn table(out: &mut String, table: Table) {
    let all: Vec<&Vec<String>> = [&table.heads].into_iter().chain(&table.rows).collect();
    let width = |k: usize| all.iter().map(|row| row[k].chars().count()).max().unwrap_or(0);
    let widths: Vec<usize> = (0..table.heads.len()).map(width).collect();
    for row in &all {
        let cell = |(k, (cell, width)): (usize, (&String, &usize))| {
            if k == 0 { format!("{cell:<width$}") } else { format!("  {cell:>width$}") }
        };
        let text: String = row.iter().zip(&widths).enumerate().map(cell).collect();
        let _ = writeln!(out, "{}", text.trim_end());
    }
    lines(out, table.remarks.iter().map(|remark| format!("({remark})")));
    lines(out, table.lines);
}
