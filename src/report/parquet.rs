//! The plain table as Parquet. The only file of this room that names polars.

use super::Run;
use super::flat::{ColumnKind, Plain, columns_of};
use super::record::records;
use polars::prelude::{DataFrame, DataType, Field, IntoColumn, NamedFrom, ParquetWriter, PolarsError, Schema, Series};
use std::io::Write;

/// Sites a row group: large enough to compress, small enough to hold.
const ROW_GROUP: usize = 10_000;

/// The values of one column in a row group.
enum Values {
    Text(Vec<Option<String>>),
    Number(Vec<Option<f64>>),
    Whole(Vec<Option<i64>>),
    YesNo(Vec<Option<bool>>),
}

impl Values {
    fn new(kind: ColumnKind) -> Self {
        match kind {
            ColumnKind::Text => Values::Text(Vec::new()),
            ColumnKind::Number => Values::Number(Vec::new()),
            ColumnKind::Whole => Values::Whole(Vec::new()),
            ColumnKind::YesNo => Values::YesNo(Vec::new()),
        }
    }

    /// Takes a value; one that is not of the column's kind (a test holds that there is none) is left out.
    fn push(&mut self, value: Plain<'_>) {
        match (self, value) {
            (Values::Text(list), Plain::Text(text)) => list.push(Some(text.into_owned())),
            (Values::Number(list), Plain::Number(number)) => list.push(Some(number)),
            (Values::Whole(list), Plain::Whole(number)) => list.push(Some(number)),
            (Values::YesNo(list), Plain::YesNo(yes)) => list.push(Some(yes)),
            (Values::Text(list), _) => list.push(None),
            (Values::Number(list), _) => list.push(None),
            (Values::Whole(list), _) => list.push(None),
            (Values::YesNo(list), _) => list.push(None),
        }
    }

    fn series(self, name: &str) -> Series {
        let name = name.into();
        match self {
            Values::Text(list) => Series::new(name, list),
            Values::Number(list) => Series::new(name, list),
            Values::Whole(list) => Series::new(name, list),
            Values::YesNo(list) => Series::new(name, list),
        }
    }
}

/// Writes the plain table of `run`, one row a site.
///
/// # Errors
/// When the writer fails.
pub fn write_parquet(run: &Run<'_>, writer: impl Write + Send) -> Result<(), PolarsError> {
    let columns = columns_of(run);
    let schema = Schema::from_iter(columns.iter().map(|column| Field::new(column.name.into(), kind(column.kind))));
    let mut file = ParquetWriter::new(writer).with_row_group_size(Some(ROW_GROUP)).batched(&schema)?;
    let mut records = records(run).peekable();
    while records.peek().is_some() {
        let mut group: Vec<Values> = columns.iter().map(|column| Values::new(column.kind)).collect();
        let mut rows = 0;
        for record in records.by_ref().take(ROW_GROUP) {
            rows += 1;
            for (values, column) in group.iter_mut().zip(&columns) {
                values.push((column.value)(&record));
            }
        }
        let series = group.into_iter().zip(&columns).map(|(values, column)| values.series(column.name).into_column());
        file.write_batch(&DataFrame::new(rows, series.collect())?)?;
    }
    file.finish()?;
    Ok(())
}

fn kind(kind: ColumnKind) -> DataType {
    match kind {
        ColumnKind::Text => DataType::String,
        ColumnKind::Number => DataType::Float64,
        ColumnKind::Whole => DataType::Int64,
        ColumnKind::YesNo => DataType::Boolean,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::fixture::Fixture;
    use polars::prelude::{ParquetReader, SerReader};
    use std::io::Cursor;

    #[test]
    fn it_reads_back_with_every_site_and_the_same_bytes_twice() {
        let fixture = Fixture::new(24);
        let run = fixture.run();
        let write = || {
            let mut bytes = Vec::new();
            write_parquet(&run, &mut bytes).expect("a table");
            bytes
        };
        let bytes = write();
        assert!(bytes == write(), "the bytes differ");
        let frame = ParquetReader::new(Cursor::new(bytes)).finish().expect("it opens again");
        assert_eq!(frame.height(), 24);
        let names: Vec<String> = frame.get_column_names().iter().map(|name| name.to_string()).collect();
        let wanted: Vec<_> = columns_of(&run).iter().map(|column| column.name.to_owned()).collect();
        assert_eq!(names, wanted);
        let ready = frame.column("verdict").expect("a column").str().expect("text").iter();
        assert_eq!(
            ready.flatten().filter(|word| *word == "ready").count(),
            run.portfolio.sites.iter().filter(|site| site.judgement.verdict.word() == "ready").count()
        );
    }

    #[test]
    fn an_empty_run_makes_an_empty_table() {
        let fixture = Fixture::new(0);
        let mut bytes = Vec::new();
        write_parquet(&fixture.run(), &mut bytes).expect("a table");
        let frame = ParquetReader::new(Cursor::new(bytes)).finish().expect("it opens again");
        assert_eq!((frame.height(), frame.width()), (0, columns_of(&fixture.run()).len()));
    }
}
