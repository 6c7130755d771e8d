//! Tables as Parquet (Apache Parquet Format 2): columns with a type, nulls for empty cells, what the answer rests on in the footer.
//!
//! | kind | stored as |
//! |---|---|
//! | words | `BYTE_ARRAY`, UTF-8 |
//! | whole number | `INT64` |
//! | number | `DOUBLE`, the very number that the CSV says |
//! | yes or no | `BOOLEAN` |
//!
//! Names of columns are those of the CSV, units in square brackets. In the footer: `program`, `version`, `schema`
//! (`hoopwright/table/1.0`), `units` (a JSON object by column) and the SHA-256 of every file that the table rests on. Nothing is
//! compressed; no time, no chance: the same table gives the same bytes.

use std::collections::BTreeMap;
use std::sync::Arc;

use parquet::basic::{LogicalType, Repetition, Type as Stored};
use parquet::data_type::{BoolType, ByteArray, ByteArrayType, DataType, DoubleType, Int64Type};
use parquet::errors::ParquetError;
use parquet::file::metadata::KeyValue;
use parquet::file::properties::WriterProperties;
use parquet::file::writer::{SerializedColumnWriter, SerializedFileWriter};
use parquet::schema::types::{Type, TypePtr};
use serde_json::json;

use super::{DataError, Head, Kind, NO, Table, YES};
use crate::source::Source;

impl Table {
    /// The file; `sources` are the files that the table rests on.
    ///
    /// # Errors
    /// The writer refuses the table.
    pub fn parquet(&self, sources: &[Source]) -> Result<Vec<u8>, DataError> {
        let mut bytes = Vec::new();
        let properties = WriterProperties::builder().set_key_value_metadata(Some(self.footer(sources))).build();
        let mut writer = SerializedFileWriter::new(&mut bytes, self.schema()?, Arc::new(properties))?;
        if !self.rows.is_empty() {
            let mut group = writer.next_row_group()?;
            let mut i = 0;
            while let Some(mut column) = group.next_column()? {
                put(&mut column, self.heads[i].kind, self.rows.iter().map(|row| row[i].as_str()))?;
                column.close()?;
                i += 1;
            }
            group.close()?;
        }
        writer.close()?;
        Ok(bytes)
    }

    fn schema(&self) -> Result<TypePtr, ParquetError> {
        let fields = self.heads.iter().map(|head| field(head).map(Arc::new)).collect::<Result<_, _>>()?;
        Type::group_type_builder("table").with_fields(fields).build().map(Arc::new)
    }

    fn footer(&self, sources: &[Source]) -> Vec<KeyValue> {
        let pair = |key: &str, value: String| KeyValue::new(key.to_owned(), value);
        let units: BTreeMap<String, &str> = self.heads.iter().filter_map(|head| Some((head.label(), head.unit?))).collect();
        let about = [
            pair("program", "hoopwright".to_owned()),
            pair("version", env!("CARGO_PKG_VERSION").to_owned()),
            pair("schema", "hoopwright/table/1.0".to_owned()),
            pair("units", json!(units).to_string()),
        ];
        about.into_iter().chain(sources.iter().map(|source| pair(&source.label(), source.hash.clone()))).collect()
    }
}

/// A column's name and type.
fn field(head: &Head) -> Result<Type, ParquetError> {
    let (stored, logical) = match head.kind {
        Kind::Text => (Stored::BYTE_ARRAY, Some(LogicalType::String)),
        Kind::Whole => (Stored::INT64, None),
        Kind::Number => (Stored::DOUBLE, None),
        Kind::Flag => (Stored::BOOLEAN, None),
    };
    let label = head.label();
    let field = Type::primitive_type_builder(&label, stored).with_logical_type(logical);
    field.with_repetition(Repetition::OPTIONAL).build()
}

/// Writes the cells of a column. What is no value of its kind is none, as everywhere.
fn put<'c>(
    column: &mut SerializedColumnWriter<'_>,
    kind: Kind,
    cells: impl Iterator<Item = &'c str>,
) -> Result<(), ParquetError> {
    match kind {
        Kind::Text => typed::<ByteArrayType>(column, cells.map(|cell| (!cell.is_empty()).then(|| ByteArray::from(cell)))),
        Kind::Whole => typed::<Int64Type>(column, cells.map(|cell| cell.parse().ok())),
        Kind::Number => typed::<DoubleType>(column, cells.map(|cell| cell.parse().ok().filter(|x: &f64| x.is_finite()))),
        Kind::Flag => {
            typed::<BoolType>(column, cells.map(|cell| [NO, YES].iter().position(|word| *word == cell).map(|k| k == 1)))
        }
    }
}

fn typed<T: DataType>(
    column: &mut SerializedColumnWriter<'_>,
    values: impl Iterator<Item = Option<T::T>>,
) -> Result<(), ParquetError> {
    let all: Vec<Option<T::T>> = values.collect();
    let there: Vec<i16> = all.iter().map(|value| i16::from(value.is_some())).collect();
    let values: Vec<T::T> = all.into_iter().flatten().collect();
    column.typed::<T>().write_batch(&values, Some(&there), None).map(|_| ())
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::data::{Columns, decimals, flag};
    use hoopwright_study::column::Number;
    use parquet::file::reader::{FileReader, SerializedFileReader};
    use parquet::record::Field;

    /// Two rows: one full, one empty but for its number.
    fn table() -> Table {
        type Row = (usize, Option<f64>, &'static str);
        Columns::<Row>::new()
            .whole("row", |row| Some(row.0))
            .number("diameter", "mm", decimals::<2>, |row| row.1)
            .bounded("release", "bar", decimals::<1>, |row| row.1.map(Number::Above))
            .filled(Head::bare("friction"), decimals::<3>, |row| row.1.map(|x| x * f64::NAN))
            .text("word", |row| row.2.to_owned())
            .of([(1, Some(621.954), "\u{d8} \"so\", so"), (2, None, "")])
    }

    fn read(bytes: Vec<u8>) -> SerializedFileReader<bytes::Bytes> {
        SerializedFileReader::new(bytes::Bytes::from(bytes)).unwrap()
    }

    #[test]
    fn cells_come_back_with_their_types_and_what_is_empty_is_none() {
        let reader = read(table().parquet(&[]).unwrap());
        let rows: Vec<Vec<(String, Field)>> = reader.get_row_iter(None).unwrap().map(|row| row.unwrap().into_columns()).collect();
        let named = |values: [Field; 6]| -> Vec<(String, Field)> {
            let names = ["row", "diameter [mm]", "release [bar]", "release_reached", "friction", "word"];
            names.into_iter().map(str::to_owned).zip(values).collect()
        };
        // The numbers are those that the CSV says, 621.95 for 621.954.
        let full = [
            Field::Long(1),
            Field::Double(621.95),
            Field::Double(622.0),
            Field::Bool(false),
            Field::Null,
            Field::Str("\u{d8} \"so\", so".to_owned()),
        ];
        let [a, b, c, d, e] = [(); 5].map(|()| Field::Null);
        assert_eq!(rows, [named(full), named([Field::Long(2), a, b, c, d, e])]);
        let csv = "row,diameter [mm],release [bar],release_reached,friction,word\n1,621.95,622.0,no,,\"\u{d8} \"\"so\"\", so\"\n2,,,,,\n";
        assert_eq!(String::from_utf8(table().csv()).unwrap(), csv);
    }

    #[test]
    fn the_footer_says_units_version_and_sources() {
        let sources = [Source::new("case file", b"abc")];
        let reader = read(table().parquet(&sources).unwrap());
        let pairs = reader.metadata().file_metadata().key_value_metadata().unwrap().clone();
        let of = |key: &str| pairs.iter().find(|pair| pair.key == key).and_then(|pair| pair.value.clone()).unwrap();
        assert_eq!(of("version"), env!("CARGO_PKG_VERSION"));
        assert_eq!(of("units"), "{\"diameter [mm]\":\"mm\",\"release [bar]\":\"bar\"}");
        assert_eq!(of("SHA-256 of the case file"), sources[0].hash);
        assert_eq!(table().parquet(&sources).unwrap(), table().parquet(&sources).unwrap());
    }

    #[test]
    fn a_table_without_rows_has_its_columns() {
        let reader = read(Table::new(vec![Head::text("id"), Head::number("diameter", "mm")], []).parquet(&[]).unwrap());
        assert_eq!(reader.metadata().file_metadata().num_rows(), 0);
        let columns = reader.metadata().file_metadata().schema_descr();
        assert_eq!((columns.num_columns(), columns.column(1).name()), (2, "diameter [mm]"));
    }

    /// A cell of a file that somebody changed by hand is no number, no flag.
    #[test]
    fn what_is_no_value_of_its_kind_is_none() {
        let heads = vec![Head::number("a", "mm"), Head::flag("b"), Head::whole("c", None)];
        let rows = [["so", "ja", "1.5"], ["inf", &flag(Some(true)), "7"]].map(|row| row.map(str::to_owned).to_vec());
        let reader = read(Table::new(heads, rows).parquet(&[]).unwrap());
        let rows: Vec<String> = reader.get_row_iter(None).unwrap().map(|row| row.unwrap().to_string()).collect();
        assert_eq!(rows, ["{a [mm]: null, b: null, c: null}", "{a [mm]: null, b: true, c: 7}"]);
    }
}
