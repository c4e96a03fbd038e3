//! What kind of file it is, by its bytes and never by its name, and whether it is safe to open.
//!
//! A workbook is a zip archive of other people's making: declared sizes are checked before anything is unpacked, since
//! a file of two kilobytes can otherwise ask for more memory than there is, which ends the process without a word.

use super::compound::Compound;
use std::collections::BTreeSet;
use std::io::{BufReader, Cursor, Read};
use std::path::Path;

/// Bytes of the largest file that is read.
const LARGEST_FILE: u64 = 1 << 30;
/// Bytes of all parts of a workbook together, unpacked, as it declares them (the unpacker holds it to that).
const LARGEST_UNPACKED: u64 = 2 << 30;
/// Bytes of the table of shared texts, unpacked; it is held in memory whole.
const LARGEST_TEXTS: u64 = 256 << 20;
/// A part larger than this and packed more tightly than written tables ever are is a trap. Written tables pack ten- to
/// fortyfold, and at most a thousandfold is possible (design rule).
const LARGE_PART: u64 = 24 << 20;
const TIGHTEST: u64 = 150;
/// Bytes of the formats of a workbook, unpacked: spreadsheet programs stop at some ten thousands of them.
const LARGEST_FORMATS: u64 = 32 << 20;
/// The same for shared texts, which hardly repeat.
const LARGE_TEXTS: u64 = 16 << 20;
const TIGHTEST_TEXTS: u64 = 60;
/// Parts of a workbook.
const MOST_PARTS: usize = 10_000;
/// Bytes within which the table of shared texts must begin.
const TEXTS_BEGIN_WITHIN: u64 = 64 << 10;
/// Bytes of the shortest shared text, `<si/>`.
const SHORTEST_TEXT: u64 = 5;
/// Bytes within which the names in a container of old office files are looked for when its tables are damaged.
const NAMES_WITHIN: usize = 1 << 16;

/// What can be read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum FileKind {
    /// An .xlsx or .xlsm workbook.
    Workbook,
    /// A binary .xlsb workbook.
    Binary,
    /// An old .xls workbook.
    Legacy,
    /// An OpenDocument spreadsheet.
    OpenDocument,
    /// A Parquet table.
    Parquet,
    /// Delimited text.
    Delimited,
}

/// The whole file, or a sentence that says why not. One read serves digest and parsing, so both see the same bytes.
pub(super) fn load(path: &Path) -> Result<Vec<u8>, String> {
    if path.file_name().is_some_and(|name| name.to_string_lossy().starts_with("~$")) {
        return Err("it is the lock file of a spreadsheet program; name the workbook itself".to_owned());
    }
    let sentence = |error: std::io::Error| match error.kind() {
        std::io::ErrorKind::NotFound => "there is no such file; check the name and the folder".to_owned(),
        std::io::ErrorKind::PermissionDenied => {
            "it may not be read; close it in the spreadsheet program, or ask for the right to read it".to_owned()
        }
        _ => format!("{error}; copy it to a local folder and try again"),
    };
    let about = std::fs::metadata(path).map_err(sentence)?;
    if about.is_dir() {
        return Err("it is a folder; name the spreadsheet in it".to_owned());
    }
    if about.len() > LARGEST_FILE {
        return Err(format!("it is larger than {} MB; split it into several files", LARGEST_FILE >> 20));
    }
    let mut bytes = Vec::new();
    let file = std::fs::File::open(path).map_err(sentence)?;
    file.take(LARGEST_FILE + 1).read_to_end(&mut bytes).map_err(sentence)?;
    if bytes.len() as u64 > LARGEST_FILE {
        return Err(format!("it is larger than {} MB; split it into several files", LARGEST_FILE >> 20));
    }
    Ok(bytes)
}

/// The kind of file, or a sentence that says why it is not read.
pub(super) fn examine(bytes: &[u8]) -> Result<FileKind, String> {
    let refuse = |sentence: &str| Err(sentence.to_owned());
    let begins = |mark: &[u8]| bytes.starts_with(mark);
    if bytes.iter().all(|byte| byte.is_ascii_whitespace() || *byte == 0) {
        return refuse("it is empty; export it again from where it came");
    }
    if begins(b"PK\x03\x04") || begins(b"PK\x05\x06") || begins(b"PK\x07\x08") {
        return examine_archive(bytes);
    }
    if begins(&[0xD0, 0xCF, 0x11, 0xE0]) {
        let name: Vec<u8> = "EncryptedPackage".encode_utf16().flat_map(u16::to_le_bytes).collect();
        let beginning = bytes.get(..NAMES_WITHIN).unwrap_or(bytes);
        let named = beginning.windows(name.len()).any(|window| window == name);
        return if named || Compound::open(bytes).is_some_and(|file| file.has("EncryptedPackage")) {
            Err(protected())
        } else {
            Ok(FileKind::Legacy)
        };
    }
    if begins(b"PAR1") {
        return Ok(FileKind::Parquet);
    }
    for (mark, what) in [
        (&b"%PDF"[..], "a PDF document"),
        (b"\x89PNG", "a picture"),
        (b"\xFF\xD8\xFF", "a picture"),
        (b"GIF8", "a picture"),
        (b"\x1F\x8B", "a compressed file"),
        (b"7z\xBC\xAF", "a compressed file"),
        (b"Rar!", "a compressed file"),
        (b"BM", "a picture"),
        (b"II*\0", "a picture"),
        (b"MM\0*", "a picture"),
        (b"{\\rtf", "a text document"),
    ] {
        if begins(mark) {
            return Err(format!("it is {what}, not a spreadsheet; an .xlsx workbook or a .csv file is wanted"));
        }
    }
    let head = String::from_utf8_lossy(bytes.get(..1024).unwrap_or(bytes)).to_ascii_lowercase();
    let head = head.trim_start_matches(|c: char| c == '\u{FEFF}' || c.is_whitespace());
    if head.starts_with("<?xml") && (head.contains("office:spreadsheet") || head.contains("<office:document")) {
        return refuse("it is a workbook written out as plain XML; open it and save it as .xlsx or .csv");
    }
    if ["<!doctype", "<html", "<table", "<?xml", "<head", "<body"].iter().any(|mark| head.starts_with(mark)) {
        return refuse("it is a web page under a spreadsheet's name; open it and save it as .xlsx or .csv");
    }
    let wide = begins(&[0xFF, 0xFE]) || begins(&[0xFE, 0xFF]) || super::delimited::looks_like_utf16(bytes);
    let sample = bytes.get(..65_536).unwrap_or(bytes);
    let odd = sample.iter().filter(|byte| **byte < 9 || (14..32).contains(*byte)).count();
    if !wide && odd * 100 > sample.len() {
        return refuse("it is not a spreadsheet; an .xlsx workbook or a .csv file is wanted");
    }
    Ok(FileKind::Delimited)
}

/// Which workbook a zip archive is, provided that its declared sizes can be borne.
fn examine_archive(bytes: &[u8]) -> Result<FileKind, String> {
    let damaged = |_| "it is damaged or cut short; fetch it again from where it came".to_owned();
    let mut archive = zip::ZipArchive::new(Cursor::new(bytes)).map_err(damaged)?;
    if archive.len() > MOST_PARTS {
        return Err(format!("it has more than {MOST_PARTS} parts; open it and save it again"));
    }
    let mut names = BTreeSet::new();
    let mut unpacked: u64 = 0;
    let mut texts = Vec::new();
    for index in 0..archive.len() {
        let part = archive.by_index_raw(index).map_err(damaged)?;
        let name = part.name().map_err(damaged)?.replace('\\', "/").to_ascii_lowercase();
        if part.encrypted() {
            return Err(protected());
        }
        let tight = |large: u64, tightest: u64| part.size() > large && part.size() / tightest > part.compressed_size();
        if tight(LARGE_PART, TIGHTEST) || (name.contains("sharedstrings.") && tight(LARGE_TEXTS, TIGHTEST_TEXTS)) {
            return Err(format!(
                "its part {name} unpacks to {} MB out of {} kB, as no written table does; open it and save it again",
                part.size() >> 20,
                part.compressed_size() >> 10
            ));
        }
        if name.contains("styles.") && part.size() > LARGEST_FORMATS {
            return Err(format!(
                "its formats would take {} MB; copy its values into a new workbook",
                part.size() >> 20
            ));
        }
        unpacked = unpacked.saturating_add(part.size());
        if name.ends_with("sharedstrings.xml") {
            texts.push((index, part.size()));
        }
        if !names.insert(name) {
            return Err("two of its parts have one name; open it and save it again".to_owned());
        }
    }
    let holds = |start: &str| names.iter().any(|name| name.starts_with(start));
    let binary = names.contains("xl/workbook.bin");
    let document = names.contains("content.xml") && names.contains("mimetype");
    if document && !is_open_spreadsheet(&mut archive)? {
        return Err("it is an OpenDocument file, but not a spreadsheet; copy its table into a workbook".to_owned());
    }
    if holds("word/") || holds("ppt/") {
        return Err("it is a text document or a presentation, not a spreadsheet; copy its table into a workbook".into());
    }
    let workbook = names.contains("[content_types].xml") && names.iter().any(|name| name.contains("workbook"));
    if !document && !workbook {
        return Err("it is a zip archive, not a spreadsheet; unpack it and name the workbook inside".to_owned());
    }
    if unpacked > LARGEST_UNPACKED {
        return Err(format!("unpacked it would take more than {} MB; split it", LARGEST_UNPACKED >> 20));
    }
    for (index, size) in texts {
        let part = archive.by_index(index).map_err(damaged)?;
        examine_texts(part, size)?;
    }
    Ok(match (binary, document) {
        (true, _) => FileKind::Binary,
        (_, true) => FileKind::OpenDocument,
        _ => FileKind::Workbook,
    })
}

/// Whether an OpenDocument file says that it is a spreadsheet; a sentence when it is protected.
fn is_open_spreadsheet(archive: &mut zip::ZipArchive<Cursor<&[u8]>>) -> Result<bool, String> {
    let mut beginning = |name: &str, most: u64| {
        let mut text = Vec::new();
        if let Ok(part) = archive.by_name(name) {
            // What cannot be read is not what is sought.
            let _ = part.take(most).read_to_end(&mut text);
        }
        String::from_utf8_lossy(&text).into_owned()
    };
    if beginning("META-INF/manifest.xml", 1 << 20).contains("encryption-data") {
        return Err(protected());
    }
    Ok(beginning("mimetype", 200).starts_with("application/vnd.oasis.opendocument.spreadsheet"))
}

fn protected() -> String {
    "it is protected with a password; open it, take the password off and save it again".to_owned()
}

/// Whether the table of shared texts claims no more texts than its bytes could hold.
fn examine_texts(part: impl Read, size: u64) -> Result<(), String> {
    if size > LARGEST_TEXTS {
        return Err(format!("its texts would take more than {} MB; split it", LARGEST_TEXTS >> 20));
    }
    let damaged = || "its table of texts is damaged; open it and save it again".to_owned();
    let mut reader = quick_xml::Reader::from_reader(BufReader::new(part.take(TEXTS_BEGIN_WITHIN)));
    let mut buffer = Vec::new();
    loop {
        buffer.clear();
        match reader.read_event_into(&mut buffer) {
            Ok(quick_xml::events::Event::Start(start) | quick_xml::events::Event::Empty(start))
                if start.local_name().as_ref() == "sst" =>
            {
                let claimed = start
                    .attributes_raw()
                    .split_once("uniqueCount")
                    .map(|(_, rest)| rest.chars().skip_while(|c| !c.is_ascii_digit()))
                    .map(|digits| {
                        digits
                            .map_while(|c| c.to_digit(10))
                            .fold(0_u64, |sum, digit| sum.saturating_mul(10).saturating_add(u64::from(digit)))
                    });
                return match claimed {
                    Some(claimed) if claimed > size / SHORTEST_TEXT => Err(format!(
                        "it claims {claimed} texts in {size} bytes, which cannot be; open it and save it again"
                    )),
                    _ => Ok(()),
                };
            }
            Ok(quick_xml::events::Event::Eof) | Err(_) => return Err(damaged()),
            Ok(_) => {}
        }
    }
}
