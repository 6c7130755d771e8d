//! The file that a study goes on from: lines of an earlier run, and everything that is made of them without a solve.

use std::collections::HashMap;
use std::sync::LazyLock;

use hoopwright_report::html::{self, Given};
use hoopwright_report::map::{self as report, Summary};
use hoopwright_report::study::{self, Line, Sheet};
use hoopwright_report::svg;
use hoopwright_solver::case::{self, Attached, CaseErrors, Vary};
use hoopwright_solver::result::{End, Finding};
use hoopwright_study::column::{COLUMNS, Number};
use hoopwright_study::map::field::{fields, limits};
use hoopwright_study::map::interpolate::estimates;
use hoopwright_study::map::refine::Scheme;
use hoopwright_study::map::{Grid, Solved, tyres};
use hoopwright_study::vary::{Ends, Row, Scope};

use super::{sound, stored, stored_text};

/// A study whose lines are read: a small map, whose points are also variants.
struct Studied {
    given: Given,
    grid: Vary,
    sheet: Sheet,
    hashes: Vec<String>,
    lines: Vec<Line>,
}

static STUDIED: LazyLock<Studied> = LazyLock::new(|| {
    let text = stored_text("examples/07_bead_map.toml").replace("count = 20", "count = 5");
    let (case, notes) = got(case::read(&text));
    let grid = got(case::map(&text, Attached::new())).map(|map| map.grid).unwrap_or_else(|| panic!("the example has a map"));
    let sheet = Sheet::new(&grid, Scope::Deciding);
    let hashes: Vec<String> = grid.variants.iter().map(|variant| sheet.hash(&variant.case)).collect();
    let line = |(i, hash): (usize, &String)| sheet.line(i, hash, &grid.variants[i].values, &row(i));
    let lines = hashes.iter().enumerate().map(line).collect();
    Studied { given: Given { case, notes, text, others: Vec::new() }, grid, sheet, hashes, lines }
});

fn got<T>(read: Result<T, CaseErrors>) -> T {
    read.unwrap_or_else(|errors| panic!("{errors:?}"))
}

/// A made-up answer: some numbers, some bounds, some missing, some points without an answer.
pub(super) fn row(i: usize) -> Row {
    if i % 9 == 5 {
        return Row::unanswered(format!("a reason, {i}"));
    }
    let number = |k: usize| {
        let value = 7.5 + 0.3 * (i % 5) as f64 - 0.2 * (i / 5) as f64 + 0.01 * k as f64;
        Some(if (i + k) % 6 == 1 && COLUMNS[k].bounded { Number::Above(value) } else { Number::Found(value) })
            .filter(|_| (i + k) % 11 != 3)
    };
    let findings = [vec![Finding::Holds], vec![Finding::MayRelease], vec![Finding::MayRelease, Finding::OverloadsRim]];
    let ends = Ends::Paths([End::LimitPoint, End::Cap][i % 2].clone(), Some(End::CoreClearsCrest).filter(|_| i.is_multiple_of(3)));
    Row { numbers: (0..COLUMNS.len()).map(number).collect(), findings: findings[i % 3].clone(), ends }
}

pub(super) fn seeds() -> Vec<Vec<u8>> {
    let all = &STUDIED.lines;
    let torn = [STUDIED.sheet.file(&all[..3]), b"4,torn".to_vec()].concat();
    vec![STUDIED.sheet.file(&all[..6]), STUDIED.sheet.file(all), torn]
}

pub(super) fn run(bytes: &[u8]) -> bool {
    let s = &*STUDIED;
    let known: HashMap<String, Line> = match s.sheet.lines(&String::from_utf8_lossy(bytes), &s.hashes) {
        Ok(known) => known,
        Err(refusal) => {
            super::told(&refusal);
            return false;
        }
    };
    let line = |(i, hash): (usize, &String)| {
        known.get(hash).map_or_else(|| s.lines[i].clone(), |line| line.clone().renumbered(i, &s.grid.variants[i].values))
    };
    let lines: Vec<Line> = s.hashes.iter().enumerate().map(line).collect();
    study::table(&s.grid, &s.sheet, &lines);
    study::document(&s.grid, &s.sheet, &lines);
    for (_, picture) in svg::family::pictures(&s.grid, &s.sheet, &lines) {
        sound(&picture);
    }
    mapped(s, &lines);
    true
}

/// The map of some lines.
fn mapped(s: &Studied, lines: &[Line]) {
    let case = &s.grid.variants[0].case;
    let fields = fields(case);
    let limits = limits(case, &fields);
    let values = s.grid.variants.iter().map(|variant| limits.iter().map(|limit| limit.value(&variant.case)).collect()).collect();
    let mut scheme = Scheme::new(Grid::of(&s.grid), (fields.clone(), limits), values, estimates(&s.grid, &fields));
    let mut solved: Vec<Option<Solved>> = vec![None; lines.len()];
    loop {
        let wanted = scheme.next(&solved);
        if wanted.is_empty() {
            break;
        }
        for number in wanted {
            solved[number] = Some(report::solved(&s.sheet, &lines[number], &fields));
        }
    }
    let map = scheme.finish(&solved);
    let measured = tyres::read(&stored("examples/07_tyres.csv")).unwrap_or_default();
    let placed = tyres::place(&measured, &s.grid, &map);
    report::text(&s.grid, &map, &Summary::of(&map, &placed));
    report::document(&s.grid, &map, &placed);
    report::file(&s.grid, &map);
    let _written = report::image(&map, "map");
    for (_, picture) in svg::map::pictures(&s.grid, &map, &placed) {
        sound(&picture);
    }
    html::map(&s.given, &s.grid, &map, &placed);
}
