//! Tables as CSV: RFC 4180, a head with units, lines ended by a line feed.

use super::Table;

impl Table {
    /// The file.
    pub fn csv(&self) -> Vec<u8> {
        let mut bytes = record(&self.heads.iter().map(super::Head::label).collect::<Vec<_>>());
        for row in &self.rows {
            bytes.extend(record(row));
        }
        bytes
    }
}

/// One line.
fn record(cells: &[String]) -> Vec<u8> {
    let mut writer = csv::WriterBuilder::new().from_writer(Vec::new());
    // Writing to memory cannot fail.
    let _ = writer.write_record(cells);
    writer.into_inner().unwrap_or_default()
}
