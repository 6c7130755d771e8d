//! Tables as CSV: RFC 4180, a head with units, lines ended by a line feed.

use hoopwright_study::rows::{Head, record};

use super::Table;

impl Table {
    /// The file.
    pub fn csv(&self) -> Vec<u8> {
        let head = self.heads.iter().map(Head::label).collect();
        std::iter::once(&head).chain(&self.rows).flat_map(|cells: &Vec<String>| record(cells)).collect()
    }
}
