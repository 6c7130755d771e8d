//! Keys of cases; rows that go through their file and back; files that are not this study's.

#![allow(clippy::unwrap_used, clippy::panic)]

use std::collections::{BTreeMap, HashSet};

use hoopwright_case::inputs::{BEAD_STIFFNESS, INPUTS, Input, Need, SPOKES_COUNT};
use hoopwright_case::{self as case, Attached, Case, starter};
use hoopwright_solver::result::{End, Finding};
use hoopwright_study::column::{COLUMNS, Number, index};
use hoopwright_study::rows::Scope;
use hoopwright_study::rows::{Ends, FORMAT, Key, KeyMaker, Layout, NoPath, Outcome, Row, RowStore, RowsError};
use rand_pcg::Pcg64;
use rand_pcg::rand_core::{Rng, SeedableRng};

fn read(text: &str) -> Case {
    case::read(text).unwrap_or_else(|errors| panic!("{errors}\n{text}")).0
}

/// SHA-256 of the bytes put together by hand, by `hashlib` of Python: 'w', 1 as eight bytes, 't', "a", 'n', the bits of 1.0.
#[test]
fn a_key_is_the_hash_of_words_and_bits() {
    let made = KeyMaker::default().word("a").number(1.0).key();
    assert_eq!(made.to_string(), "39638b6fd7ece8cea115a41981bae25f");
    assert_eq!("39638b6fd7ece8cea115a41981bae25f".parse(), Ok(made));
    for wrong in ["", "39638b6fd7ece8cea115a41981bae25", "+9638b6fd7ece8cea115a41981bae25f", "39638B6fd7ece8cea115a41981bae25f"] {
        assert_eq!(wrong.parse::<Key>(), Err(()), "{wrong}");
    }
}

/// The starter case with an input's number multiplied; none where that makes no case.
fn changed(input: &'static Input, factor: f64) -> Option<Case> {
    let unit = input.unit()?;
    let path = input.path();
    let value: f64 = input.example().split(' ').next()?.parse().ok()?;
    let value = if unit.symbol.is_empty() && value.fract() == 0.0 { value + factor.signum() } else { value * factor };
    let text = format!("{}\n[vary]\n\"{path}\" = [\"{value} {}\"]\n", starter(), unit.symbol);
    let text = if unit.symbol.is_empty() { text.replace(&format!("\"{value} \""), &value.to_string()) } else { text };
    let vary = case::variants(&text, BTreeMap::new()).ok()??;
    vary.variants.into_iter().next().map(|variant| variant.case)
}

/// A hundredth more or less of an input is another case, of whichever input.
#[test]
fn every_input_tells_cases_apart() {
    let own = Key::of(&read(&starter()));
    let (mut keys, mut tried) = (HashSet::from([own]), 0);
    for input in INPUTS.iter().filter(|input| !matches!(input.need, Need::Instead { .. })) {
        let Some(case) = [0.99, 1.01].into_iter().find_map(|factor| changed(input, factor)) else { continue };
        tried += 1;
        assert!(keys.insert(Key::of(&case)), "{} plays no part in the key", input.path());
    }
    assert!(tried >= 40, "{tried}");
    let worded = |from: &str, to: &str| {
        let text = starter();
        assert!(text.contains(from), "{from}");
        read(&text.replacen(from, to, 1))
    };
    for (from, to) in [
        ("#criterion = \"lower release\"", "criterion = \"first lift\""),
        ("#without_friction = false", "without_friction = true"),
    ] {
        assert!(keys.insert(Key::of(&worded(from, to))), "{to}");
    }
    assert_eq!(Key::of(&worded("title = \"", "title = \"Again: ")), own, "a title changes no number");
}

/// The same inputs in other words are the same case: units, and a rim's numbers typed to the digit.
#[test]
fn the_same_numbers_are_the_same_case() {
    let diameter = |text: &str| {
        let line = starter().lines().find(|line| line.starts_with("seat_diameter")).unwrap().to_owned();
        Key::of(&read(&starter().replacen(&line, &format!("seat_diameter = \"{text}\""), 1)))
    };
    assert_eq!(diameter("621.95 mm"), diameter("62.195 cm"));
    assert_ne!(diameter("621.95 mm"), diameter("621.950000000001 mm"));
}

/// A drawing tells cases apart by its bytes and its unit, not by its name.
#[test]
fn a_drawing_goes_into_the_key_by_its_bytes() {
    let text = |name: &str, more: &str| {
        let starter = starter().replace("#shape =", "shape =").replace("\nhoop_stiffness", "\n#hoop_stiffness");
        let starter = starter.replace("\nshape = \"box\"", &format!("\nshape = \"drawing\"\ndrawing = \"{name}\"{more}"));
        let (head, tail) = starter.split_once("[rim]").unwrap();
        format!("{head}{}", &tail[tail.find("[section]").unwrap()..])
    };
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../meshes/box_half.dxf");
    let bytes = std::fs::read(path).unwrap();
    let key = |name: &str, more: &str, bytes: &[u8]| {
        let attached = Attached::from([(name.to_owned(), Ok(bytes.to_vec()))]);
        let read = case::read_with(&text(name, more), attached);
        Key::of(&read.unwrap_or_else(|errors| panic!("{errors}")).0)
    };
    let own = key("a.dxf", "", &bytes);
    assert_eq!(key("b.dxf", "", &bytes), own);
    let remarked = [b"999\na remark\n".as_slice(), &bytes].concat();
    assert_ne!(key("a.dxf", "", &remarked), own, "other bytes");
    assert_ne!(key("a.dxf", "\ndrawing_unit = \"mm\"", &bytes), own, "read otherwise");
}

fn layout() -> Layout {
    Layout::new("variant", [&BEAD_STIFFNESS, &SPOKES_COUNT], Scope::Whole)
}

/// A made-up row with numbers of any bits.
fn row(i: usize, random: &mut Pcg64) -> Row {
    let mut any = || loop {
        let number = f64::from_bits(random.next_u64());
        if number.is_finite() {
            return number;
        }
    };
    let inputs = vec![any(), 28.0];
    let number = |(k, column): (usize, &hoopwright_study::column::Column)| {
        let value = any();
        Some(if (i + k).is_multiple_of(3) && column.bounded { Number::Above(value) } else { Number::Found(value) })
            .filter(|_| !(i + k).is_multiple_of(5))
    };
    let numbers = COLUMNS.iter().enumerate().map(number).collect();
    let findings = [vec![Finding::Holds], vec![Finding::Releases, Finding::OverloadsRim], vec![Finding::NoAnswer]];
    let all = [
        End::LimitPoint,
        End::CoreClearsCrest,
        End::BundleBreaks,
        End::CordBreaks,
        End::Cap,
        End::Failed("a: \"b\", c".to_owned()),
    ];
    let ends = match i % 8 {
        0 => Ends::None([NoPath::NoCase, NoPath::NoModel, NoPath::NoCreep][i / 8 % 3], "no, \"none\"; at: all".to_owned()),
        k => Ends::Paths(all[k % 6].clone(), Some(all[(k + i) % 6].clone()).filter(|_| k > 3)),
    };
    let key = KeyMaker::default().whole(i).key();
    Row { key, labels: Vec::new(), inputs, numbers, findings: findings[i % 3].clone(), ends }
}

fn rows(n: usize) -> Vec<Row> {
    let mut random = Pcg64::seed_from_u64(7);
    (0..n).map(|i| row(i, &mut random)).collect()
}

fn taken(bytes: &[u8]) -> Result<RowStore, RowsError> {
    let mut store = RowStore::new(layout());
    store.take_over(bytes, &|_| true).map(|()| store)
}

#[test]
fn every_digit_comes_back() {
    let mut rows = rows(200);
    for (k, value) in
        [0.1 + 0.2, f64::MIN_POSITIVE, 5e-324, f64::MAX, 1e15, 1e-5, -1.0 / 3.0, 123_456_789.0].into_iter().enumerate()
    {
        rows[1].numbers[2 * k] = Some(Number::Found(value));
    }
    let file = layout().file(rows.iter().enumerate());
    let store = taken(&file).unwrap();
    assert_eq!(store.len(), rows.len());
    let bits = |row: &Row| row.numbers.iter().flatten().map(|number| number.value().to_bits()).collect::<Vec<_>>();
    for row in &rows {
        let read = store.get(row.key).unwrap();
        assert_eq!(read, row);
        assert_eq!(bits(read), bits(row));
    }
    let again: Vec<&Row> = rows.iter().map(|row| store.get(row.key).unwrap()).collect();
    assert!(layout().file(again.into_iter().enumerate()) == file, "what is read is written alike");
}

/// Cut anywhere, the file has the rows of its whole lines.
#[test]
fn a_torn_last_line_is_left_out() {
    let file = layout().file(rows(4).iter().enumerate());
    for end in 0..file.len() {
        let lines = file[..end].iter().filter(|byte| **byte == b'\n').count();
        assert_eq!(taken(&file[..end]).unwrap().len(), lines.saturating_sub(1), "{end}");
    }
}

#[test]
fn a_file_that_is_not_this_studys_is_refused_with_its_reason() {
    let file = String::from_utf8(layout().file(rows(3).iter().enumerate())).unwrap();
    let told = |text: &str| taken(text.as_bytes()).unwrap_err().to_string();
    let swapped = |from: &str, to: &str| {
        assert!(file.contains(from), "{from} in {file}");
        told(&file.replacen(from, to, 1))
    };
    assert_eq!(told("mine\n"), "its first line is not the head of this study");
    assert_eq!(told("\u{fffd}"), "its first line is not the head of this study");
    assert!(swapped("bead.stiffness", "bead.breaking_force").contains("is not the head"));
    let old = told("variant,case_hash,bead.stiffness [kN]\n1,0123,3\n");
    assert!(old.contains("an earlier version's, of six digits") && old.contains(FORMAT), "{old}");
    assert!(swapped("[rows/2]", "[rows/3]").contains("its rows are rows/3"));
    assert!(swapped("hoopwright 0", "hoopwright 99").starts_with("its line 2 was solved by hoopwright 99"));
    let deciding = Layout::new("variant", [&BEAD_STIFFNESS, &SPOKES_COUNT], Scope::Deciding).file(rows(3).iter().enumerate());
    assert!(taken(&deciding).unwrap_err().to_string().contains("and this is hoopwright"), "a row with less in it");
    assert_eq!(swapped("releases; overloads the rim", "relases"), "its line 3 has \"relases\" for verdict");
    assert_eq!(swapped(",yes,", ",ja,"), "its line 2 has \"ja\" for off_centre_release_reached");
    assert_eq!(told(&(file.clone() + "4,half\n")), "its line 5 is no row of this study");
    assert_eq!(told(&file.replace(",28,", ",NaN,")), "its line 2 has \"NaN\" for spokes.count [-]");
    let key = rows(3)[1].key;
    let refused = RowStore::new(layout()).take_over(file.as_bytes(), &|row| row.key != key);
    assert_eq!(refused, Err(RowsError::Other(3)));
}

#[test]
fn how_a_row_came_out_is_told_by_its_findings() {
    let mut row = rows(2).remove(1);
    for (findings, outcome) in [
        (vec![Finding::Holds], Outcome::Holds),
        (vec![], Outcome::NoAnswer),
        (vec![Finding::OverloadsRim, Finding::NoAnswer], Outcome::NoAnswer),
        (vec![Finding::HardToMount], Outcome::LimitNotKept),
    ] {
        row.findings = findings;
        assert_eq!(row.outcome(), outcome);
    }
    let none = Row::without_path(row.key, vec![1.0, 28.0], NoPath::NoModel, "two\nlines");
    assert_eq!((none.outcome(), none.ends), (Outcome::NoAnswer, Ends::None(NoPath::NoModel, "two lines".to_owned())));
    row.numbers[index("first_lift").unwrap()] = Some(Number::Above(3.0));
    assert_eq!((row.number("first_lift"), row.number("second_lift")), (Some(Number::Above(3.0)), None));
}
