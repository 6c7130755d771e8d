//! The file that a study goes on from: rows of an earlier run, and everything that is made of them without a solve.

use std::sync::LazyLock;

use hoopwright_case::{self as case, Attached, CaseErrors, Vary};
use hoopwright_report::html::{self, Given};
use hoopwright_report::map::{self as report, Summary};
use hoopwright_report::study;
use hoopwright_report::svg;
use hoopwright_solver::result::{End, Finding};
use hoopwright_study::column::{COLUMNS, Number};
use hoopwright_study::map::field::{fields, limits};
use hoopwright_study::map::interpolate::estimates;
use hoopwright_study::map::refine::Scheme;
use hoopwright_study::map::{Grid, Solved, tyres};
use hoopwright_study::rows::Scope;
use hoopwright_study::rows::{Ends, Key, Layout, NoPath, Row, RowStore};

use super::{sound, stored, stored_text};

/// A study whose rows are read: a small map, whose points are also variants.
struct Studied {
    given: Given,
    grid: Vary,
    layout: Layout,
    rows: Vec<Row>,
}

static STUDIED: LazyLock<Studied> = LazyLock::new(|| {
    let text = stored_text("examples/07_bead_map.toml").replace("count = 20", "count = 5");
    let (case, notes) = got(case::read(&text));
    let grid = got(case::map(&text, Attached::new())).map(|map| map.grid).unwrap_or_else(|| panic!("the example has a map"));
    let of_variant = |(i, variant): (usize, &case::Variant)| Row {
        inputs: grid.variants[i].values.clone(),
        ..row(i, Key::of_variant(variant))
    };
    let rows = grid.variants.iter().enumerate().map(of_variant).collect();
    let layout = Layout::of(&grid, Scope::Deciding);
    Studied { given: Given { case, notes, text, others: Vec::new() }, grid, layout, rows }
});

fn got<T>(read: Result<T, CaseErrors>) -> T {
    read.unwrap_or_else(|errors| panic!("{errors:?}"))
}

/// A made-up answer: some numbers, some bounds, some missing, some points without an answer.
pub(super) fn row(i: usize, key: Key) -> Row {
    if i % 9 == 5 {
        return Row::without_path(key, Vec::new(), NoPath::NoModel, &format!("a reason, {i}"));
    }
    let number = |k: usize| {
        let value = 7.5 + 0.3 * (i % 5) as f64 - 0.2 * (i / 5) as f64 + 0.01 * k as f64;
        Some(if (i + k) % 6 == 1 && COLUMNS[k].bounded { Number::Above(value) } else { Number::Found(value) })
            .filter(|_| (i + k) % 11 != 3)
    };
    let findings = [vec![Finding::Holds], vec![Finding::MayRelease], vec![Finding::MayRelease, Finding::OverloadsRim]];
    let ends =
        Ends::Paths([End::LimitPoint, End::Cap][i % 2].clone(), Some(End::CoreClearsCrest).filter(|_| i.is_multiple_of(3)));
    let numbers = (0..COLUMNS.len()).map(number).collect();
    Row { key, labels: Vec::new(), inputs: Vec::new(), numbers, findings: findings[i % 3].clone(), ends }
}

pub(super) fn seeds() -> Vec<Vec<u8>> {
    let s = &*STUDIED;
    let file = |n: usize| s.layout.file(s.rows[..n].iter().enumerate());
    vec![file(6), file(s.rows.len()), [file(3), b"4,torn".to_vec()].concat()]
}

pub(super) fn run(bytes: &[u8]) -> bool {
    let s = &*STUDIED;
    let mut known = RowStore::new(s.layout.clone());
    if let Err(refusal) = known.take_over(bytes, &|row| s.rows.iter().any(|own| own.key == row.key)) {
        super::told(&refusal);
        return false;
    }
    let row = |own: &Row| known.get(own.key).map_or_else(|| own.clone(), |row| Row { inputs: own.inputs.clone(), ..row.clone() });
    let rows: Vec<Row> = s.rows.iter().map(row).collect();
    study::table(&s.grid, &rows);
    study::document(&s.grid, &rows);
    study::data(&s.layout, rows.iter().enumerate()).csv();
    for (_, picture) in svg::family::pictures(&s.grid, &rows) {
        sound(&picture);
    }
    mapped(s, &rows);
    true
}

/// The map of some rows.
fn mapped(s: &Studied, rows: &[Row]) {
    let case = &s.grid.variants[0].case;
    let fields = fields(case);
    let limits = limits(case, &fields);
    let values = s.grid.variants.iter().map(|variant| limits.iter().map(|limit| limit.value(&variant.case)).collect()).collect();
    let mut scheme = Scheme::new(Grid::of(&s.grid), (fields.clone(), limits), values, estimates(&s.grid, &fields));
    let mut solved: Vec<Option<Solved>> = vec![None; rows.len()];
    loop {
        let wanted = scheme.next(&solved);
        if wanted.is_empty() {
            break;
        }
        for number in wanted {
            solved[number] = Some(Solved::of(&rows[number], &fields));
        }
    }
    let map = scheme.finish(&solved);
    let measured = tyres::read(&stored("examples/07_tyres.csv")).unwrap_or_default();
    let placed = tyres::place(&measured, &s.grid, &map);
    report::text(&s.grid, &map, &Summary::of(&map, &placed));
    report::document(&s.grid, &map, &placed);
    report::data(&s.grid, &map).csv();
    let _written = report::image(&map, "map");
    for (_, picture) in svg::map::pictures(&s.grid, &map, &placed) {
        sound(&picture);
    }
    html::map(&s.given, &s.grid, &map, &placed);
}
