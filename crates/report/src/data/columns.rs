//! Columns of a table by what they say of a row: each head stands beside what fills its cells.

use hoopwright_study::column::Number;

use super::{Head, Table, flag, reached};

/// How a number is written.
pub(crate) type Written = fn(f64) -> String;

/// So many decimals.
pub(crate) fn decimals<const N: usize>(value: f64) -> String {
    format!("{value:.N$}")
}

/// What a column says of a row.
type Cell<'a, R> = Box<dyn Fn(&R) -> String + 'a>;

/// Columns in order, over rows of some kind.
pub(crate) struct Columns<'a, R> {
    columns: Vec<(Head, Cell<'a, R>)>,
}

impl<'a, R> Columns<'a, R> {
    /// None yet.
    pub(crate) fn new() -> Self {
        Self { columns: Vec::new() }
    }

    fn with(mut self, head: Head, cell: impl Fn(&R) -> String + 'a) -> Self {
        self.columns.push((head, Box::new(cell)));
        self
    }

    /// One more, of words.
    pub(crate) fn text(self, name: impl Into<String>, cell: impl Fn(&R) -> String + 'a) -> Self {
        self.with(Head::text(name), cell)
    }

    /// One more, of whole numbers without a unit.
    pub(crate) fn whole(self, name: impl Into<String>, value: impl Fn(&R) -> Option<usize> + 'a) -> Self {
        self.with(Head::whole(name, None), move |row| value(row).map_or(String::new(), |n| n.to_string()))
    }

    /// One more, of numbers in a unit. A number that is not finite is none.
    pub(crate) fn number(
        self,
        name: impl Into<String>,
        unit: &'static str,
        written: Written,
        value: impl Fn(&R) -> Option<f64> + 'a,
    ) -> Self {
        self.filled(Head::number(name, unit), written, value)
    }

    /// One more, of numbers under a head made elsewhere.
    pub(crate) fn filled(self, head: Head, written: Written, value: impl Fn(&R) -> Option<f64> + 'a) -> Self {
        self.with(head, move |row| value(row).filter(|v| v.is_finite()).map_or(String::new(), written))
    }

    /// Two more: numbers that may be lower bounds, and whether they were reached.
    pub(crate) fn bounded(
        self,
        name: &str,
        unit: &'static str,
        written: Written,
        value: impl Fn(&R) -> Option<Number> + Clone + 'a,
    ) -> Self {
        let number = value.clone();
        self.number(name, unit, written, move |row| number(row).map(Number::value))
            .with(Head::reached(name), move |row| flag(reached(value(row))))
    }

    /// The table of some rows.
    pub(crate) fn of(self, rows: impl IntoIterator<Item = R>) -> Table {
        let cells = |row: R| self.columns.iter().map(|(_, cell)| cell(&row)).collect();
        let rows: Vec<Vec<String>> = rows.into_iter().map(cells).collect();
        Table::new(self.columns.into_iter().map(|(head, _)| head).collect(), rows)
    }
}
