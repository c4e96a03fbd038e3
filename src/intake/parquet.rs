//! A Parquet table as rows of cells; the only file of this room that names polars, which stands behind the feature
//! `parquet`. The names of its columns are row 1. It knows no survey field.
//!
//! The reader panics on some damaged tables; that is taken for damage. Columns are read one by one, so that one of a
//! type that is not read costs no other.

use super::raw::RawRow;
use std::ops::ControlFlow;

/// Without the feature there is no table.
#[cfg(not(feature = "parquet"))]
pub(super) enum Parquet {}

#[cfg(not(feature = "parquet"))]
impl Parquet {
    /// Says what to do instead.
    pub fn open(_bytes: &[u8]) -> Result<Self, String> {
        Err("it is a Parquet table, which this build of the program does not read; save it as .csv or .xlsx".to_owned())
    }

    /// Nothing, since there is no table.
    pub fn stream(&self, _visit: &mut dyn FnMut(RawRow) -> ControlFlow<()>) -> Result<(), String> {
        match *self {}
    }

    /// Nothing, since there is no table.
    pub fn size(&self) -> usize {
        match *self {}
    }

    /// Nothing, since there is no table.
    pub fn unread(&self) -> &[String] {
        match *self {}
    }
}

#[cfg(feature = "parquet")]
pub(super) use with_polars::Parquet;

#[cfg(feature = "parquet")]
mod with_polars {
    use super::{ControlFlow, RawRow};
    use crate::intake::guarded::unwound;
    use crate::intake::parquet_pages::claims;
    use crate::intake::raw::RawCell;
    use polars::prelude::{
        BooleanChunked, ChunkApply, DataType, Float64Chunked, ParquetReader, PolarsError, SerReader, Series,
        StringChunked,
    };
    use std::io::Cursor;

    /// Rows of any sheet, its heading among them.
    const MOST_ROWS: usize = 1_048_575;
    const MOST_COLUMNS: usize = 16_384;
    /// Bytes of the table, unpacked, as it declares them.
    const LARGEST_UNPACKED: u64 = 2 << 30;
    /// Columns that unpack to more than this and are packed more tightly than written tables are, are a trap (design
    /// rule, as for the parts of a workbook).
    const LARGE: u64 = 64 << 20;
    const TIGHTEST: u64 = 150;
    /// Cells that are read whatever the size of the file, and how many more a byte of it may stand for: columns that
    /// are blank throughout take hardly a byte, but a table is not made of them (design rule).
    const MANY_CELLS: u64 = 8 << 20;
    const CELLS_A_BYTE: u64 = 20;
    /// Whole numbers beyond this lose digits as floating-point numbers (IEEE 754, 53 bits).
    const LARGEST_EXACT: i64 = 1 << 53;
    /// Days from 1899-12-30 to 1970-01-01.
    const DAYS_TO_1970: f64 = 25_569.0;

    /// An open table.
    pub(in crate::intake) struct Parquet {
        columns: Vec<(String, Values)>,
        height: usize,
        unread: Vec<String>,
        size: usize,
    }

    enum Values {
        Text(StringChunked),
        Number(Float64Chunked),
        Truth(BooleanChunked),
        /// Days since 1899-12-30.
        Moment(Float64Chunked),
    }

    impl Values {
        fn len(&self) -> usize {
            match self {
                Values::Text(list) => list.len(),
                Values::Number(list) | Values::Moment(list) => list.len(),
                Values::Truth(list) => list.len(),
            }
        }
    }

    impl Parquet {
        /// Reads the whole table.
        pub fn open(bytes: &[u8]) -> Result<Self, String> {
            if !bytes.ends_with(b"PAR1") {
                return Err("it is a Parquet table that is cut short; fetch it again from where it came".to_owned());
            }
            // The head of the table stands at its end, with its length.
            let length = bytes.len().checked_sub(8).and_then(|at| bytes.get(at..at + 4)?.try_into().ok());
            let length = length.map_or(usize::MAX, |length| u32::from_le_bytes(length) as usize);
            if length.saturating_add(12) > bytes.len() {
                return Err(damaged(&"its head is longer than the file"));
            }
            let reader = || ParquetReader::new(Cursor::new(bytes));
            let (names, height, size, unpacked) = polite(|| {
                let mut reader = reader();
                let about = reader.get_metadata()?.clone();
                let size: u64 = about.row_groups.iter().map(|group| group.total_byte_size() as u64).sum();
                let names: Vec<String> = reader.schema()?.iter_names().map(|name| name.to_string()).collect();
                // Bytes that each column takes, unpacked; none where a page of it cannot be.
                let unpacked = names.iter().map(|name| {
                    let chunks = about.row_groups.iter().map(|group| {
                        let mut chunks = group.columns_under_root_iter(name)?;
                        chunks.try_fold(0_u64, |sum, chunk| {
                            let range = chunk.byte_range();
                            let pages =
                                bytes.get(usize::try_from(range.start).ok()?..usize::try_from(range.end).ok()?)?;
                            let found = claims(pages).filter(|found| found.values <= MOST_ROWS as u64)?;
                            sum.checked_add(found.unpacked)
                        })
                    });
                    chunks.sum::<Option<u64>>()
                });
                let unpacked: Vec<Option<u64>> = unpacked.collect();
                Ok((names, about.num_rows, size, unpacked))
            })?;
            if height > MOST_ROWS || size > LARGEST_UNPACKED || names.len() > MOST_COLUMNS {
                return Err(format!("it has more than {MOST_ROWS} rows or is too large; split it into several files"));
            }
            let packed = bytes.len() as u64;
            let whole = unpacked.iter().flatten().fold(0_u64, |sum, size| sum.saturating_add(*size));
            let cells = height as u64 * names.len() as u64; // both bounded above
            if whole > LARGEST_UNPACKED
                || (whole > LARGE && whole / TIGHTEST > packed)
                || (cells > MANY_CELLS && cells / CELLS_A_BYTE > packed)
            {
                return Err(format!(
                    "it claims {cells} cells and unpacks to {} MB out of {} kB, as no written table does; write it again \
                     with the columns and rows that are filled",
                    whole >> 20,
                    packed >> 10
                ));
            }
            let mut table = Self { columns: Vec::new(), height, unread: Vec::new(), size: bytes.len() };
            for (at, (name, unpacked)) in names.into_iter().zip(unpacked).enumerate() {
                if unpacked.is_none() {
                    table.unread.push(name);
                    continue;
                }
                let read = polite(|| {
                    let frame = reader().with_projection(Some(vec![at])).finish()?;
                    let series = frame.columns().first().map(|column| column.as_materialized_series().clone());
                    series.map(|series| values(&series)).transpose()
                });
                match read {
                    // A damaged column may hold fewer values than the table claims rows.
                    Ok(Some(values)) if values.len() == height => table.columns.push((name, values)),
                    _ => table.unread.push(name),
                }
            }
            if table.columns.is_empty() {
                return Err(damaged(&"no column of it can be read"));
            }
            Ok(table)
        }

        /// Bytes of the file.
        pub fn size(&self) -> usize {
            self.size
        }

        /// Columns of a type that is not read.
        pub fn unread(&self) -> &[String] {
            &self.unread
        }

        /// Hands the names and every row with a filled cell to `visit`, until it breaks off.
        pub fn stream(&self, visit: &mut dyn FnMut(RawRow) -> ControlFlow<()>) -> Result<(), String> {
            let text = |text: &str| (!text.trim().is_empty()).then(|| RawCell::Text(text.to_owned()));
            let filled = |cells: Vec<Option<RawCell>>| {
                // At most MOST_COLUMNS.
                (0_u16..).zip(cells).filter_map(|(column, cell)| Some((column, cell?))).collect::<Vec<_>>()
            };
            let names = self.columns.iter().map(|(name, _)| text(name)).collect();
            if visit(RawRow { row: 1, cells: filled(names) }).is_break() {
                return Ok(());
            }
            let finite = |number: f64, cell: fn(f64) -> RawCell| {
                if number.is_finite() { cell(number) } else { RawCell::Fault("not a number") }
            };
            for at in 0..self.height {
                let cells = self.columns.iter().map(|(_, values)| match values {
                    Values::Text(list) => list.get(at).and_then(text),
                    Values::Number(list) => list.get(at).map(|number| finite(number, RawCell::Number)),
                    Values::Truth(list) => list.get(at).map(RawCell::Bool),
                    Values::Moment(list) => list.get(at).map(|number| finite(number, RawCell::Moment)),
                });
                let cells = filled(cells.collect());
                // At most MOST_ROWS.
                if !cells.is_empty() && visit(RawRow { row: at as u32 + 2, cells }).is_break() {
                    return Ok(());
                }
            }
            Ok(())
        }
    }

    /// The values of a column in the few kinds that cells have.
    fn values(series: &Series) -> Result<Values, PolarsError> {
        let series = &series.rechunk();
        let text = |series: &Series| Ok(Values::Text(series.cast(&DataType::String)?.str()?.clone()));
        match series.dtype() {
            DataType::Boolean => Ok(Values::Truth(series.bool()?.clone())),
            DataType::Date => Ok(Values::Moment(days(series, 1.0)?)),
            DataType::Datetime(unit, _) => {
                let a_day = match unit {
                    polars::prelude::TimeUnit::Nanoseconds => 86.4e12,
                    polars::prelude::TimeUnit::Microseconds => 86.4e9,
                    polars::prelude::TimeUnit::Milliseconds => 86.4e6,
                };
                Ok(Values::Moment(days(series, a_day)?))
            }
            DataType::Int64 | DataType::UInt64 => {
                let beyond = |number: i64| number.unsigned_abs() > LARGEST_EXACT.unsigned_abs();
                let long = match series.cast(&DataType::Int64)?.i64() {
                    Ok(list) => list.iter().flatten().any(beyond),
                    Err(_) => true,
                };
                if long { text(series) } else { number(series) }
            }
            kind if kind.is_primitive_numeric() => number(series),
            _ => text(series),
        }
    }

    fn number(series: &Series) -> Result<Values, PolarsError> {
        Ok(Values::Number(series.cast(&DataType::Float64)?.f64()?.clone()))
    }

    fn days(series: &Series, a_day: f64) -> Result<Float64Chunked, PolarsError> {
        let counted = series.to_physical_repr().cast(&DataType::Float64)?;
        Ok(counted.f64()?.apply_values(|count| count / a_day + DAYS_TO_1970))
    }

    /// What the reader says, with a panic of it taken for damage.
    fn polite<T>(read: impl FnOnce() -> Result<T, PolarsError>) -> Result<T, String> {
        match unwound(read) {
            Some(Ok(found)) => Ok(found),
            Some(Err(error)) => Err(damaged(&error.to_string().lines().next().unwrap_or_default())),
            None => Err(damaged(&"the reader gave it up")),
        }
    }

    fn damaged(what: &dyn std::fmt::Display) -> String {
        format!("it is a Parquet table that is damaged ({what}); write it again, or save it as .csv")
    }
}

#[cfg(test)]
mod tests {
    use crate::intake::{ReadOptions, read_bytes};

    #[cfg(not(feature = "parquet"))]
    #[test]
    fn without_the_feature_a_sentence_says_what_to_do() {
        let said = read_bytes(b"PAR1....PAR1", "Returns.parquet", &ReadOptions::default()).unwrap_err().to_string();
        assert!(said.contains("save it as .csv or .xlsx"), "{said}");
    }

    #[cfg(feature = "parquet")]
    fn table() -> Vec<u8> {
        use polars::prelude::{DataFrame, IntoColumn, NamedFrom, ParquetWriter, Series};
        let places = ["7 Fennel Row, Tarnholt, QX4 7LP", "8 Fennel Row, Tarnholt, QX4 7LP", ""];
        let mut frame = DataFrame::new(
            3,
            vec![
                Series::new("address".into(), places).into_column(),
                Series::new("cutout_rating_a".into(), [80_i64, 60, 100]).into_column(),
                Series::new("existing_demand_a".into(), [Some(35.5), None, Some(f64::NAN)]).into_column(),
                Series::new("parking_distance_m".into(), ["12", "approx 18m", "9"]).into_column(),
                Series::new("looped_service".into(), [true, false, false]).into_column(),
                Series::new("mpan".into(), [i64::MAX, 7, 7]).into_column(),
            ],
        )
        .unwrap();
        let mut bytes = Vec::new();
        ParquetWriter::new(&mut bytes).finish(&mut frame).unwrap();
        bytes
    }

    #[cfg(feature = "parquet")]
    #[test]
    fn a_table_is_read_like_a_sheet() {
        let intake = read_bytes(&table(), "Returns", &ReadOptions::default()).unwrap();
        assert_eq!((intake.sites.len(), intake.set_aside.len(), intake.rows.len()), (2, 1, 3));
        let site = &intake.sites[0];
        assert_eq!((site.row, site.supply.cutout_rating_a.value()), (2, Some(80.0)));
        assert_eq!(site.load.existing_demand_a.value(), Some(35.5));
        assert_eq!(site.supply.looped_service.value(), Some(true));
        assert!(intake.sites[1].load.existing_demand_a.value().is_none());
        assert_eq!(intake.sites[1].parking.parking_distance_m.likely(), Some(&18.0));
        assert_eq!(intake.rows[0].cells[5], i64::MAX.to_string(), "no digit of a long number is lost");
    }

    #[cfg(feature = "parquet")]
    #[test]
    fn a_damaged_table_gets_a_sentence_or_is_read_and_never_panics() {
        let sound = table();
        for at in (0..sound.len()).step_by(7) {
            let mut hurt = sound.clone();
            hurt[at] ^= 0x5A;
            if let Err(error) = read_bytes(&hurt, "Returns", &ReadOptions::default()) {
                assert!(error.to_string().starts_with("cannot "), "{error}");
            }
            assert!(read_bytes(&sound[..at], "Returns", &ReadOptions::default()).is_err());
        }
    }
}
