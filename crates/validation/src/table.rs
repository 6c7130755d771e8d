//! The checks as text, Markdown and JSON.

use crate::check::{Check, short};
use serde_json::{Value, json};
use std::fmt::Write;

fn cells(check: &Check) -> [String; 6] {
    let unit = |x: f64| format!("{} {}", short(x), check.unit).trim_end().to_owned();
    let verdict = if check.passes() { "yes" } else { "NO" };
    let difference = if check.reference == 0.0 {
        unit(check.difference())
    } else {
        // Rounded first, and no negative zero: the table shall not depend on the last bit.
        let percent = (1e5 * check.difference() / check.reference.abs()).round() / 1e3;
        format!("{:+.3} %", percent + 0.0)
    };
    [check.name.clone(), unit(check.value), unit(check.reference), difference, check.stated.clone(), verdict.to_owned()]
}

const HEADER: [&str; 6] = ["check", "value", "reference", "difference", "tolerance", "within"];

/// The checks as a table for a terminal, a group at a time, the sources below each.
pub fn text(checks: &[Check]) -> String {
    let rows: Vec<[String; 6]> = checks.iter().map(cells).collect();
    let width = |k: usize| rows.iter().map(|r| r[k].chars().count()).chain([HEADER[k].len()]).max().unwrap_or(0);
    let line = |row: [&str; 6]| {
        let padded: Vec<String> = row
            .iter()
            .enumerate()
            .map(|(k, cell)| if k == 0 { format!("{cell:<w$}", w = width(k)) } else { format!("{cell:>w$}", w = width(k)) })
            .collect();
        padded.join("  ").trim_end().to_owned()
    };
    let mut out = String::new();
    let mut group = "";
    for (check, row) in checks.iter().zip(&rows) {
        if check.group != group {
            group = &check.group;
            let _ = write!(out, "\n{group}\n{}  source\n", line(HEADER));
        }
        let _ = writeln!(out, "{}  {}", line(std::array::from_fn(|k| row[k].as_str())), check.source);
    }
    let kept = checks.iter().filter(|c| c.passes()).count();
    let _ = writeln!(out, "\n{kept} of {} checks within their tolerance", checks.len());
    out
}

/// The checks as a Markdown table.
pub fn markdown(checks: &[Check]) -> String {
    let mut out =
        "| group | check | value | reference | difference | tolerance | within | source |\n|---|---|---|---|---|---|---|---|\n"
            .to_owned();
    for check in checks {
        let _ = writeln!(out, "| {} | {} | {} |", check.group, cells(check).join(" | "), check.source.replace('|', "/"));
    }
    out
}

/// One line a problem for the front page: its group, how many checks it holds, whether all are within their tolerance, and the widest.
pub fn summary(checks: &[Check]) -> String {
    let problem = |c: &Check| c.name.split('/').next().unwrap_or_default().to_owned();
    let mut out = "| group | problem | checks | all within | tolerance |\n|---|---|---|---|---|\n".to_owned();
    for part in checks.chunk_by(|a, b| problem(a) == problem(b)) {
        let within = if part.iter().all(Check::passes) { "yes" } else { "NO" };
        let mut stated: Vec<&str> = part.iter().map(|c| c.stated.as_str()).collect();
        stated.sort_unstable();
        stated.dedup();
        let name = problem(&part[0]).replace('_', " ");
        let _ = writeln!(out, "| {} | {name} | {} | {within} | {} |", part[0].group, part.len(), stated.join(", "));
    }
    out
}

/// The checks as JSON: `{"checks": [{name, value, reference, difference, tolerance, source, pass, ...}]}`.
pub fn json(checks: &[Check]) -> String {
    let list: Vec<Value> = checks
        .iter()
        .map(|c| {
            json!({
                "group": c.group, "name": c.name, "unit": c.unit, "value": c.value, "reference": c.reference,
                "difference": c.difference(), "tolerance": c.tolerance, "source": c.source, "pass": c.passes(),
            })
        })
        .collect();
    format!("{:#}\n", json!({ "checks": list }))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_short_and_keep_six_digits() {
        assert_eq!(
            [0.2, 123_456.7, 0.005, 1e-9, 0.0, -25.86, 400.0].map(short),
            ["0.2", "123457", "0.005", "1e-9", "0", "-25.86", "400"]
        );
    }
}
