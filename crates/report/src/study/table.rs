//! The short table of a study for a terminal: the varied inputs, the numbers that decide, the verdict.

use hoopwright_case::Vary;
use hoopwright_study::column::{self as study, COLUMNS, Number, decides_briefly};
use hoopwright_study::rows::Row;

use crate::{lines, words};

/// Three lines of a column's head, and its cells.
struct Column {
    head: [String; 3],
    cells: Vec<String>,
}

impl Column {
    fn width(&self) -> usize {
        self.head.iter().chain(&self.cells).map(|text| text.chars().count()).max().unwrap_or(0)
    }
}

/// Space between two columns.
const GAP: usize = 2;

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
    let below = format!("({}; >: not reached up to there; all else at the given friction)", legend(vary));
    lines::paragraph("", &below, &mut text);
    for (i, row) in rows.iter().enumerate().filter(|(_, row)| !row.is_answered()) {
        let mut ends: Vec<String> = words::ends(&row.ends).into_iter().filter(|end| !end.is_empty()).collect();
        ends.dedup();
        lines::paragraph(&format!("variant {}: no answer: ", i + 1), &ends.join("; without friction: "), &mut text);
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

/// The columns within [`lines::WIDTH`], the verdicts behind the first ones: what does not fit goes on in a block below, by the variant again.
fn printed(columns: &[Column], verdicts: &[String]) -> String {
    let [first, rest @ ..] = columns else { return String::new() };
    let verdict = "verdict".chars().count().max(verdicts.iter().map(|v| v.chars().count()).max().unwrap_or(0));
    let mut blocks: Vec<Vec<&Column>> = vec![vec![first]];
    for column in rest {
        let behind = if blocks.len() == 1 { GAP + verdict } else { 0 };
        let wide = |block: &[&Column]| block.iter().map(|column| column.width() + GAP).sum::<usize>() + column.width() + behind;
        match blocks.last_mut() {
            Some(block) if block.len() == 1 || wide(block) <= lines::WIDTH => block.push(column),
            _ => blocks.push(vec![first, column]),
        }
    }
    let none = vec![String::new(); verdicts.len()];
    let block = |(i, columns): (usize, &Vec<&Column>)| match i {
        0 => block_of(columns, "verdict", verdicts),
        _ => block_of(columns, "", &none),
    };
    blocks.iter().enumerate().map(block).collect::<Vec<_>>().join("\n")
}

/// One block: three lines of heads and the rows, with a text behind each.
fn block_of(columns: &[&Column], head: &str, behind: &[String]) -> String {
    let row = |cells: Vec<&str>, behind: &str| {
        let cell = |(column, cell): (&&Column, &str)| format!("{cell:>0$}{1}", column.width(), " ".repeat(GAP));
        let line: String = columns.iter().zip(cells).map(cell).collect();
        format!("{line}{behind}").trim_end().to_owned() + "\n"
    };
    let heads = (0..3).map(|k| row(columns.iter().map(|c| c.head[k].as_str()).collect(), if k == 1 { head } else { "" }));
    let body = behind.iter().enumerate().map(|(i, text)| row(columns.iter().map(|c| c.cells[i].as_str()).collect(), text));
    heads.chain(body).collect()
}

/// A number for people, a lower bound with its sign; a dash where there is none.
pub(crate) fn shown(number: Option<Number>) -> String {
    match number {
        None => "-".to_owned(),
        Some(Number::Found(x)) => lines::number(x),
        Some(Number::Above(x)) => format!("> {}", lines::number(x)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_wide_table_goes_on_below_by_the_variant() {
        let column = |name: &str| Column { head: ["rim", name, "mm"].map(str::to_owned), cells: vec!["620.25".to_owned(); 2] };
        let mut columns =
            vec![Column { head: ["", "variant", ""].map(str::to_owned), cells: vec!["1".to_owned(), "2".to_owned()] }];
        columns.extend((0..9).map(|_| column("seat_diameter")));
        let shown = printed(&columns, &["holds", "may release; overloads the rim"].map(str::to_owned));
        assert!(shown.lines().all(|line| line.chars().count() <= lines::WIDTH), "{shown}");
        assert_eq!(
            (shown.matches("variant").count(), shown.matches("620.25").count(), shown.matches("holds").count()),
            (3, 18, 1)
        );
        let narrow = printed(&columns[..3], &["holds", "holds"].map(str::to_owned));
        assert_eq!(narrow.lines().count(), 5, "{narrow}");
    }
}
