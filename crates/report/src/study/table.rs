//! The short table of a study for a terminal: the varied inputs, the numbers that decide, the verdict.

use hoopwright_solver::case::Vary;
use hoopwright_study::column::{self as study, COLUMNS, Number, decides_briefly};
use hoopwright_study::rows::Row;

use crate::words;

/// Three lines of a column's head, and its cells.
struct Column {
    head: [String; 3],
    cells: Vec<String>,
}

/// The table. Below it, why variants have no answer.
pub fn table(vary: &Vary, rows: &[Row]) -> String {
    let head = ["", "variant", ""].map(str::to_owned);
    let mut columns = vec![Column { head, cells: (1..=rows.len()).map(|number| number.to_string()).collect() }];
    for (i, varied) in vary.inputs.iter().enumerate() {
        let unit = varied.input.unit().map_or("", |unit| unit.symbol);
        let head = [varied.input.section, varied.input.key, if unit.is_empty() { "-" } else { unit }].map(str::to_owned);
        columns.push(Column { head, cells: rows.iter().map(|row| row.inputs[i].to_string()).collect() });
    }
    for (k, column) in COLUMNS.iter().enumerate() {
        let Some([above, below]) = self::head(vary, column) else { continue };
        let cells = rows.iter().map(|row| shown(row.numbers[k])).collect();
        columns.push(Column { head: [above, below, column.unit].map(str::to_owned), cells });
    }
    let mut text = printed(&columns, &rows.iter().map(|row| words::findings(&row.findings)).collect::<Vec<_>>());
    text.push_str(&format!("({}; >: not reached up to there; all else at the given friction)\n", legend(vary)));
    for (i, row) in rows.iter().enumerate().filter(|(_, row)| !row.is_answered()) {
        let mut ends: Vec<String> = words::ends(&row.ends).into_iter().filter(|end| !end.is_empty()).collect();
        ends.dedup();
        text.push_str(&format!("variant {}: no answer: {}\n", i + 1, ends.join("; without friction: ")));
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

fn printed(columns: &[Column], verdicts: &[String]) -> String {
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
