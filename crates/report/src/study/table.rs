//! The short table of a study for a terminal: the varied inputs, the numbers that decide, the verdict.

use hoopwright_solver::case::Vary;
use hoopwright_study::column::{self as study, COLUMNS, Number, decides_briefly};

use crate::words;

use super::sheet::{Line, Outcome, Sheet};

/// Three lines of a column's head, and its cells.
struct Column {
    head: [String; 3],
    cells: Vec<String>,
}

/// The table. Below it, why variants have no answer.
pub fn table(vary: &Vary, sheet: &Sheet, lines: &[Line]) -> String {
    let mut columns = vec![Column {
        head: ["", "variant", ""].map(str::to_owned),
        cells: lines.iter().map(|line| line.variant().to_owned()).collect(),
    }];
    for (i, varied) in vary.inputs.iter().enumerate() {
        let unit = varied.input.unit().map_or("", |unit| unit.symbol);
        let head = [varied.input.section, varied.input.key, if unit.is_empty() { "-" } else { unit }].map(str::to_owned);
        columns.push(Column { head, cells: lines.iter().map(|line| sheet.input(line, i).to_owned()).collect() });
    }
    for (k, column) in COLUMNS.iter().enumerate() {
        let Some([above, below]) = head(vary, column) else { continue };
        let cells = lines.iter().map(|line| shown(sheet.number(line, k))).collect();
        columns.push(Column { head: [above, below, column.unit].map(str::to_owned), cells });
    }
    let mut text = printed(&columns, &lines.iter().map(|line| sheet.verdict(line)).collect::<Vec<_>>());
    text.push_str(&format!("({}; >: not reached up to there; all else at the given friction)\n", legend(vary)));
    for line in lines.iter().filter(|line| sheet.outcome(line) == Outcome::NoAnswer) {
        let mut ends: Vec<&str> = sheet.ends(line).into_iter().filter(|end| !end.is_empty()).collect();
        ends.dedup();
        text.push_str(&format!("variant {}: no answer: {}\n", line.variant(), ends.join("; without friction: ")));
    }
    text
}

/// The head of a column in the short table, over two lines; none where it is left out there. No study varies what decides.
pub(crate) fn head(vary: &Vary, column: &study::Column) -> Option<[&'static str; 2]> {
    vary.variants.first().map_or(column.brief, |variant| column.head(&variant.case))
}

/// What the columns of the retention pressure are.
pub(crate) fn legend(vary: &Vary) -> String {
    let Some(variant) = vary.variants.first() else { return String::new() };
    let criterion = variant.case.limits.criterion;
    format!("{}: {} with the given friction and with none", decides_briefly(criterion), words::criterion(criterion))
}

fn printed(columns: &[Column], verdicts: &[&str]) -> String {
    let width = |column: &Column| column.head.iter().chain(&column.cells).map(|text| text.chars().count()).max().unwrap_or(0);
    let widths: Vec<usize> = columns.iter().map(width).collect();
    let row = |cells: Vec<&str>, last: &str| {
        let line: String = cells.iter().zip(&widths).map(|(cell, width)| format!("{cell:>width$}  ")).collect();
        format!("{line}{last}").trim_end().to_owned() + "\n"
    };
    let heads = (0..3).map(|k| row(columns.iter().map(|c| c.head[k].as_str()).collect(), if k == 1 { "verdict" } else { "" }));
    let body =
        verdicts.iter().enumerate().map(|(i, verdict)| row(columns.iter().map(|c| c.cells[i].as_str()).collect(), verdict));
    heads.chain(body).collect()
}

/// A number for people, a lower bound with its sign; a dash where there is none.
pub(crate) fn shown(number: Option<Number>) -> String {
    match number {
        None => "-".to_owned(),
        Some(Number::Found(x)) => crate::text::number(x),
        Some(Number::Above(x)) => format!("> {}", crate::text::number(x)),
    }
}
