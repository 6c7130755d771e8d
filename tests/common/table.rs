//! Files of an output folder, and their tables.

use std::collections::BTreeMap;
use std::fs;

use crate::common::Folder;

/// Files of a folder by their names.
pub(crate) fn files(folder: &Folder, name: &str) -> BTreeMap<String, Vec<u8>> {
    let entries = fs::read_dir(folder.0.join(name)).unwrap().map(Result::unwrap);
    entries.map(|e| (e.file_name().into_string().unwrap(), fs::read(e.path()).unwrap())).collect()
}

/// Cells of a CSV file without quotes.
pub(crate) fn cells(csv: &[u8]) -> Vec<Vec<String>> {
    String::from_utf8(csv.to_vec()).unwrap().lines().map(|line| line.split(',').map(str::to_owned).collect()).collect()
}

/// Number of a column by its head.
pub(crate) fn column(rows: &[Vec<String>], name: &str) -> usize {
    rows[0].iter().position(|head| head == name).unwrap_or_else(|| panic!("{name} in {:?}", rows[0]))
}

/// A column by its head, without the head.
pub(crate) fn of(rows: &[Vec<String>], name: &str) -> Vec<String> {
    let column = column(rows, name);
    rows[1..].iter().map(|row| row[column].clone()).collect()
}
