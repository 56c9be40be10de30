//! How is a table written for an engine?
//!
//! Apache Parquet, version 1 pages, Snappy, every column optional. Groups of rows are cut by number alone, so that the
//! same rows make the same bytes.

use crate::column::{Cell, Column, Kind};
use parquet::basic::{Compression, LogicalType, Repetition, Type as Physical};
use parquet::column::writer::ColumnWriter;
use parquet::data_type::ByteArray;
use parquet::errors::{ParquetError, Result};
use parquet::file::properties::WriterProperties;
use parquet::file::writer::SerializedFileWriter;
use parquet::schema::types::Type;
use std::io::Write;
use std::sync::Arc;

const ROWS_IN_A_GROUP: usize = 16_384;

/// Writes the named columns of the rows; `places` are the columns' places in a row.
///
/// # Errors
/// A writer that takes no more, or a cell of another type than its column.
pub fn write<W: Write + Send>(
    out: W,
    name: &str,
    columns: &[&Column],
    places: &[usize],
    rows: &[&[Cell]],
) -> Result<()> {
    let fields = columns
        .iter()
        .map(|c| field(c).map(Arc::new))
        .collect::<Result<Vec<_>>>()?;
    let schema = Type::group_type_builder(name).with_fields(fields).build()?;
    let properties = WriterProperties::builder()
        .set_compression(Compression::SNAPPY)
        .set_created_by("Tiebeam".into())
        .build();
    let mut file = SerializedFileWriter::new(out, Arc::new(schema), Arc::new(properties))?;
    for group in rows.chunks(ROWS_IN_A_GROUP) {
        let mut writer = file.next_row_group()?;
        for place in places {
            let Some(mut column) = writer.next_column()? else {
                return Err(ParquetError::General(
                    "fewer columns than the table has".into(),
                ));
            };
            let cells: Vec<&Cell> = group.iter().filter_map(|row| row.get(*place)).collect();
            put(column.untyped(), &cells)?;
            column.close()?;
        }
        writer.close()?;
    }
    file.close()?;
    Ok(())
}

fn field(column: &Column) -> Result<Type> {
    let (physical, logical) = match column.kind {
        Kind::Text => (Physical::BYTE_ARRAY, Some(LogicalType::String)),
        Kind::Whole => (Physical::INT64, None),
        Kind::Number => (Physical::DOUBLE, None),
        Kind::Truth => (Physical::BOOLEAN, None),
    };
    Type::primitive_type_builder(&column.name, physical)
        .with_repetition(Repetition::OPTIONAL)
        .with_logical_type(logical)
        .build()
}

/// Values that are there, and for each row whether one is.
fn there<T>(cells: &[&Cell], take: impl Fn(&Cell) -> Option<T>) -> Result<(Vec<T>, Vec<i16>)> {
    let (mut values, mut levels) = (Vec::new(), Vec::with_capacity(cells.len()));
    for cell in cells {
        match (take(cell), cell) {
            (Some(value), _) => {
                values.push(value);
                levels.push(1);
            }
            (None, Cell::Missing) => levels.push(0),
            (None, _) => {
                return Err(ParquetError::General(
                    "found a cell of another type than its column; expected the column's".into(),
                ));
            }
        }
    }
    Ok((values, levels))
}

fn put(column: &mut ColumnWriter<'_>, cells: &[&Cell]) -> Result<()> {
    match column {
        ColumnWriter::ByteArrayColumnWriter(w) => {
            let (values, levels) = there(cells, |c| match c {
                Cell::Text(text) => Some(ByteArray::from(text.as_str())),
                _ => None,
            })?;
            w.write_batch(&values, Some(&levels), None)?;
        }
        ColumnWriter::Int64ColumnWriter(w) => {
            let (values, levels) = there(cells, |c| match c {
                Cell::Whole(n) => Some(*n),
                _ => None,
            })?;
            w.write_batch(&values, Some(&levels), None)?;
        }
        ColumnWriter::DoubleColumnWriter(w) => {
            let (values, levels) = there(cells, |c| match c {
                Cell::Number(x) => Some(*x),
                _ => None,
            })?;
            w.write_batch(&values, Some(&levels), None)?;
        }
        ColumnWriter::BoolColumnWriter(w) => {
            let (values, levels) = there(cells, |c| match c {
                Cell::Truth(t) => Some(*t),
                _ => None,
            })?;
            w.write_batch(&values, Some(&levels), None)?;
        }
        _ => {
            return Err(ParquetError::General(
                "found a column of a type that no table here has".into(),
            ));
        }
    }
    Ok(())
}
