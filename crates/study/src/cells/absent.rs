//! In place of the readers of other formats within a browser, where their libraries do not compile.

/// Of spreadsheets.
pub(super) mod xlsx {
    use crate::cells::{Cells, CellsError};

    pub(in crate::cells) fn read(_bytes: &[u8]) -> Result<Cells, CellsError> {
        Err(CellsError::Damaged("XLSX", "no spreadsheet is read in a browser: give CSV".to_owned()))
    }
}

/// Of Apache Parquet.
pub(super) mod parquet {
    use crate::cells::{Cells, CellsError};

    pub(in crate::cells) fn read(_bytes: &[u8]) -> Result<Cells, CellsError> {
        Err(CellsError::Damaged("Parquet", "no Parquet file is read in a browser: give CSV".to_owned()))
    }
}
