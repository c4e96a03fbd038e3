//! Sound small files of every format, to be damaged: those of the corpus, the house styles, and a table of our own.

use crate::mutation;
use std::fs;
use std::path::{Path, PathBuf};

/// Bytes of the largest file that is damaged; larger ones take time and teach nothing more.
const LARGEST: u64 = 40_000;

/// A format, by what is done to its files.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Format {
    Xlsx,
    Xlsb,
    Xls,
    Ods,
    Text,
    Parquet,
}

/// A sound file.
pub struct Seed {
    pub name: String,
    pub bytes: Vec<u8>,
    /// Its parts, where it is an archive that opens.
    pub parts: Vec<(String, Vec<u8>)>,
}

fn endings(format: Format) -> &'static [&'static str] {
    match format {
        Format::Xlsx => &["xlsx", "xlsm"],
        Format::Xlsb => &["xlsb"],
        Format::Xls => &["xls"],
        Format::Ods => &["ods"],
        Format::Text => &["csv", "tsv", "txt"],
        Format::Parquet => &["parquet"],
    }
}

/// The files of a format, by name.
pub fn seeds(format: Format) -> Vec<Seed> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests");
    let mut paths: Vec<PathBuf> = ["corpus/troubles", "corpus/read", "corpus/either", "reading/styles"]
        .iter()
        .flat_map(|folder| fs::read_dir(root.join(folder)).unwrap())
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|ending| endings(format).iter().any(|known| ending == *known)))
        .filter(|path| fs::metadata(path).unwrap().len() <= LARGEST)
        .collect();
    paths.sort();
    let archive = matches!(format, Format::Xlsx | Format::Xlsb | Format::Ods);
    let mut seeds: Vec<Seed> = paths
        .into_iter()
        .map(|path| {
            let bytes = fs::read(&path).unwrap();
            let opens = archive && zip::ZipArchive::new(std::io::Cursor::new(&bytes)).is_ok();
            let name = path.file_name().unwrap().to_string_lossy().into_owned();
            let parts = if opens { mutation::unpacked(&bytes) } else { Vec::new() };
            Seed { name, bytes, parts }
        })
        .filter(|seed| !archive || !seed.parts.is_empty())
        // A file that unpacks to much more than it is belongs to the bombs.
        .filter(|seed| seed.parts.iter().map(|(_, data)| data.len()).sum::<usize>() < 1 << 20)
        .collect();
    #[cfg(feature = "parquet")]
    if format == Format::Parquet {
        for packed in [true, false] {
            seeds.push(Seed { name: "table.parquet".to_owned(), bytes: table(packed), parts: Vec::new() });
        }
    }
    assert!(!seeds.is_empty() || format == Format::Parquet, "nothing of {format:?} to damage");
    seeds.shrink_to_fit();
    seeds
}

/// A table with every type that is read, its pages packed or as they are: damage reaches the values of the latter.
#[cfg(feature = "parquet")]
fn table(packed: bool) -> Vec<u8> {
    use polars::prelude::{DataFrame, IntoColumn, NamedFrom, ParquetCompression, ParquetWriter, Series};
    let places = ["7 Fennel Row, Tarnholt, QX4 7LP", "8 Fennel Row, Tarnholt, QX4 7LP", "9 Fennel Row, Tarnholt"];
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
    let writer = ParquetWriter::new(&mut bytes);
    let writer = if packed { writer } else { writer.with_compression(ParquetCompression::Uncompressed) };
    writer.finish(&mut frame).unwrap();
    bytes
}
