//! Sizes of an inflated tyre: text, table of data, JSON.

use std::fmt::Write;

use hoopwright_case::units::number as plain;
use hoopwright_case::{Case, Sizes, WIDTH_RULE};
use hoopwright_study::sizes::{Found, Size};
use serde_json::{Map, Value, json};

use crate::data::{Columns, Table, decimals};
use crate::lines::{number, paragraph};

/// MPa in bar.
const BAR: f64 = 10.0;

/// One number of a size.
pub(crate) struct Column {
    /// Name in files.
    pub(crate) name: &'static str,
    /// Unit.
    pub(crate) unit: &'static str,
    /// What it is, as a phrase.
    pub(crate) meaning: &'static str,
    /// Head in the table, over two lines.
    head: [&'static str; 2],
    /// Takes it out of a size; none where there is no such number.
    pub(crate) value: fn(&Size) -> Option<f64>,
}

/// The numbers of a size in order.
pub(crate) const COLUMNS: [Column; 6] = [
    Column { name: "width", unit: "mm", meaning: "largest width of the tyre", head: ["", "width"], value: |s| Some(s.width) },
    Column {
        name: "width_by_rule",
        unit: "mm",
        meaning: "width from the labelled size by the published rule",
        head: ["width", "by rule"],
        value: |s| s.width_by_rule,
    },
    Column { name: "height", unit: "mm", meaning: "height over the bead seat", head: ["", "height"], value: |s| Some(s.height) },
    Column {
        name: "outer_diameter",
        unit: "mm",
        meaning: "outer diameter",
        head: ["outer", "diameter"],
        value: |s| Some(s.outer_diameter),
    },
    Column { name: "room_beside", unit: "mm", meaning: "room on each side", head: ["room", "beside"], value: |s| s.room_beside },
    Column { name: "room_over", unit: "mm", meaning: "room over the tread", head: ["room", "over"], value: |s| s.room_over },
];

/// What the numbers do not tell.
pub(crate) const REMARKS: [&str; 2] = [
    "The tyre is new: casings grow over the first day and with use; standards measure after 24 h at the highest pressure allowed (common practice, no source). Mud, a wheel out of true and a bending frame take room too.",
    "Whether a tyre may be mounted on a rim is for both makers and the standards to say; this table does not say that it stays on: `hoopwright assess` does.",
];

/// The columns that some pair has.
pub(crate) fn shown(found: &[Found]) -> Vec<&'static Column> {
    let any = |column: &&Column| found.iter().flatten().any(|size| (column.value)(size).is_some());
    COLUMNS.iter().filter(any).collect()
}

/// The table for a terminal.
pub fn table(sizes: &Sizes, found: &[Found]) -> String {
    let columns = shown(found);
    let head = |k: usize| -> Vec<String> { columns.iter().map(|c| [c.head[0], c.head[1], c.unit][k].to_owned()).collect() };
    let lead = [["rim inner", "width", "mm"], ["", "pressure", "bar"]];
    let mut rows: Vec<Vec<String>> = (0..3).map(|k| lead.iter().map(|l| l[k].to_owned()).chain(head(k)).collect()).collect();
    for (variant, found) in sizes.grid.variants.iter().zip(found) {
        let case = &variant.case;
        let cells = columns.iter().map(|column| {
            let value = found.as_ref().ok().and_then(column.value);
            value.map_or("-".to_owned(), |x| format!("{x:.1}"))
        });
        rows.push([number(case.rim.inner_width), number(BAR * case.pressure.rated)].into_iter().chain(cells).collect());
    }
    let widths: Vec<usize> =
        (0..rows[0].len()).map(|i| rows.iter().map(|row| row[i].chars().count()).max().unwrap_or(0)).collect();
    let mut text = sizes.grid.variants.first().map_or(String::new(), |v| format!("{}\n", v.case.title));
    for (i, row) in rows.iter().enumerate() {
        let cells: Vec<String> = row.iter().zip(&widths).map(|(cell, width)| format!("{cell:>width$}")).collect();
        let narrow = i.checked_sub(3).and_then(|k| found[k].as_ref().ok()).is_some_and(|size| !size.clears(sizes));
        let _ = writeln!(text, "{}{}", cells.join("  ").trim_end(), if narrow { "  too little room" } else { "" });
    }
    for line in remarks(sizes, found).iter().map(String::as_str).chain(REMARKS) {
        paragraph("", line, &mut text);
    }
    text
}

/// Pairs without a size, the rule, notes: one a line.
pub(crate) fn remarks(sizes: &Sizes, found: &[Found]) -> Vec<String> {
    let mut lines = Vec::new();
    for (variant, reason) in sizes.grid.variants.iter().zip(found).filter_map(|(v, f)| f.as_ref().err().map(|reason| (v, reason)))
    {
        let case = &variant.case;
        let (width, bar) = (number(case.rim.inner_width), number(BAR * case.pressure.rated));
        lines.push(format!("no size at {width} mm and {bar} bar: {reason}"));
    }
    if let Some([label, measuring]) = sizes.labelled {
        lines.push(format!(
            "By rule: labelled {} mm on a rim of {} mm, {WIDTH_RULE} mm more for each mm of rim (from memory of ISO 5775-1; a circular membrane gives 0.385 to 0.47).",
            number(label),
            number(measuring)
        ));
    }
    for note in sizes.grid.variants.iter().flat_map(|variant| &variant.notes) {
        let line = format!("Note: {note}");
        if !lines.contains(&line) {
            lines.push(line);
        }
    }
    lines
}

/// The sizes as a table of data; a pair without a size has its reason in the last column.
pub fn data(sizes: &Sizes, found: &[Found]) -> Table {
    let mut columns = Columns::new()
        .number("rim.inner_width", "mm", plain, |(case, _): &(&Case, &Found)| Some(case.rim.inner_width))
        .number("pressure", "bar", plain, |(case, _)| Some(BAR * case.pressure.rated));
    for column in &COLUMNS {
        columns =
            columns.number(column.name, column.unit, decimals::<4>, |(_, found)| found.as_ref().ok().and_then(column.value));
    }
    let columns = columns.text("no_size", |(_, found)| found.as_ref().err().cloned().unwrap_or_default());
    columns.of(sizes.grid.variants.iter().map(|variant| &variant.case).zip(found))
}

/// The sizes as JSON: schema `hoopwright/sizes/1.0`. `units` by name; one object a pair in `rows`, `no_size` with the reason where there
/// is none, `clears` whether the room wanted is there.
pub fn document(sizes: &Sizes, found: &[Found]) -> String {
    let mut units: Map<String, Value> = COLUMNS.iter().map(|column| (column.name.to_owned(), json!(column.unit))).collect();
    units.insert("rim.inner_width".to_owned(), json!("mm"));
    units.insert("pressure".to_owned(), json!("bar"));
    let row = |(variant, found): (&hoopwright_case::Variant, &Found)| {
        let size = found.as_ref().ok();
        let mut row: Map<String, Value> =
            COLUMNS.iter().map(|column| (column.name.to_owned(), json!(size.and_then(column.value)))).collect();
        row.insert("rim.inner_width".to_owned(), json!(variant.case.rim.inner_width));
        row.insert("pressure".to_owned(), json!(BAR * variant.case.pressure.rated));
        row.insert("clears".to_owned(), json!(size.map(|size| size.clears(sizes))));
        row.insert("no_size".to_owned(), json!(found.as_ref().err()));
        row
    };
    let document = json!({
        "schema": "hoopwright/sizes/1.0",
        "program": "hoopwright",
        "version": env!("CARGO_PKG_VERSION"),
        "units": units,
        "clearance": sizes.clearance,
        "rows": sizes.grid.variants.iter().zip(found).map(row).collect::<Vec<_>>(),
        "remarks": REMARKS,
    });
    format!("{document:#}\n")
}
