//! Delimited text as rows of cells: which encoding, which delimiter, which row. It knows no survey field.

use super::raw::{RawCell, RawRow};
use std::borrow::Cow;
use std::cell::Cell;
use std::io::Read;
use std::ops::ControlFlow;

/// A field of several lines that is longer than this (UTF-16 units, as many as a cell of a spreadsheet holds) is a
/// quotation mark that was never closed. On one line it may be as long as it likes.
const LONGEST_FIELD: usize = 32_767;
/// Columns of any sheet.
const MOST_COLUMNS: usize = 16_384;
/// Rows of any sheet.
const MOST_ROWS: u64 = 1_048_576;
/// Lines looked at to find the delimiter.
const LINES_FOR_DELIMITER: usize = 40;
/// Bytes looked at: a line without end must not be cut up four times.
const BYTES_FOR_DELIMITER: usize = 1 << 18;

/// Bytes of the longest row.
const LONGEST_ROW: usize = 16 << 20;

/// Text that is handed out up to an allowance, so that a row without end is given up and not kept whole.
struct Allowed<'a> {
    rest: &'a [u8],
    left: &'a Cell<usize>,
}

impl Read for Allowed<'_> {
    fn read(&mut self, buffer: &mut [u8]) -> std::io::Result<usize> {
        if self.left.get() == 0 && !self.rest.is_empty() {
            return Err(std::io::Error::other("a row without end"));
        }
        let most = buffer.len().min(self.left.get());
        let length = self.rest.read(buffer.get_mut(..most).unwrap_or_default())?;
        self.left.set(self.left.get() - length);
        Ok(length)
    }
}

/// Decoded text and how to cut it.
pub(super) struct Delimited<'a> {
    text: Cow<'a, str>,
    delimiter: u8,
    /// Lines before the first record (a `sep=` line).
    lines_skipped: u64,
    /// The encoding, when it had to be guessed.
    pub guessed_encoding: Option<&'static str>,
}

/// Whether every other byte of the beginning is nought, as in UTF-16 text without a mark.
pub(super) fn looks_like_utf16(bytes: &[u8]) -> bool {
    utf16_order(bytes).is_some()
}

fn utf16_order(bytes: &[u8]) -> Option<&'static encoding_rs::Encoding> {
    let sample = bytes.get(..512).unwrap_or(bytes);
    if sample.len() < 8 {
        return None;
    }
    let noughts = |parity: usize| sample.iter().skip(parity).step_by(2).filter(|byte| **byte == 0).count();
    let (even, odd) = (noughts(0), noughts(1));
    let most = sample.len() / 2 * 7 / 10;
    match (even >= most && odd == 0, odd >= most && even == 0) {
        (true, _) => Some(encoding_rs::UTF_16BE),
        (_, true) => Some(encoding_rs::UTF_16LE),
        _ => None,
    }
}

impl<'a> Delimited<'a> {
    /// Decodes the bytes and finds the delimiter. A mark at the beginning settles the encoding; without one, text that
    /// is sound UTF-8 is UTF-8, and anything else is taken as Windows-1252, in which every byte is some letter.
    pub fn open(bytes: &'a [u8]) -> Self {
        let (text, guessed_encoding) = match encoding_rs::Encoding::for_bom(bytes) {
            Some((encoding, mark)) => {
                (encoding.decode_without_bom_handling(bytes.get(mark..).unwrap_or_default()).0, None)
            }
            None => match (utf16_order(bytes), std::str::from_utf8(bytes)) {
                (Some(encoding), _) => (encoding.decode_without_bom_handling(bytes).0, Some(encoding.name())),
                (None, Ok(text)) => (Cow::Borrowed(text), None),
                (None, Err(_)) => {
                    (encoding_rs::WINDOWS_1252.decode_without_bom_handling(bytes).0, Some("Windows-1252"))
                }
            },
        };
        // Lines that end with a carriage return alone are lines all the same.
        let text =
            if text.contains('\r') && !text.contains('\n') { Cow::Owned(text.replace('\r', "\n")) } else { text };
        let mut told = None;
        let mut lines_skipped = 0;
        let mut cut = 0;
        let first = text.lines().next().unwrap_or_default();
        if let Some(&[mark]) = first.strip_prefix("sep=").map(str::as_bytes) {
            told = Some(mark);
            lines_skipped = 1;
            cut = text.find('\n').map_or(text.len(), |at| at + 1);
        }
        let text = match (cut, text) {
            (0, text) => text,
            (cut, Cow::Borrowed(text)) => Cow::Borrowed(text.get(cut..).unwrap_or_default()),
            (cut, Cow::Owned(text)) => Cow::Owned(text.get(cut..).unwrap_or_default().to_owned()),
        };
        let delimiter = told.unwrap_or_else(|| delimiter_of(&text));
        Self { text, delimiter, lines_skipped, guessed_encoding }
    }

    /// Hands every row with a filled cell to `visit`, until it breaks off. Rows are numbered as a spreadsheet program
    /// shows them: empty lines count, a line end within quotation marks does not.
    pub fn stream(&self, visit: &mut dyn FnMut(RawRow) -> ControlFlow<()>) -> Result<(), String> {
        let left = Cell::new(LONGEST_ROW);
        let mut reader = csv::ReaderBuilder::new()
            .has_headers(false)
            .flexible(true)
            .delimiter(self.delimiter)
            .from_reader(Allowed { rest: self.text.as_bytes(), left: &left });
        let mut record = csv::StringRecord::new();
        let mut line_ends_within = 0_u64;
        loop {
            left.set(LONGEST_ROW);
            match reader.read_record(&mut record) {
                Ok(true) => {}
                Ok(false) => return Ok(()),
                Err(error) if error.is_io_error() => {
                    return Err(format!(
                        "it has a row of more than {} MB after row {}; a quotation mark may be opened and never closed",
                        LONGEST_ROW >> 20,
                        record.position().map_or(0, csv::Position::line)
                    ));
                }
                Err(error) => return Err(format!("{error}; open it in a spreadsheet program and save it again")),
            }
            // The position of a record is that of the empty lines before it.
            let line = record.position().map_or(0, |position| {
                let rest = self.text.as_bytes().get(position.byte() as usize..).unwrap_or_default();
                let empty = rest.iter().take_while(|byte| matches!(byte, b'\n' | b'\r')).filter(|b| **b == b'\n');
                position.line() + empty.count() as u64
            });
            let row = line.saturating_sub(line_ends_within).saturating_add(self.lines_skipped);
            if row > MOST_ROWS {
                return Err(format!("it has more than {MOST_ROWS} rows; split it into several files"));
            }
            // A quotation mark that is never closed swallows all that follows: the last field then runs to the end.
            if record.iter().next_back().is_some_and(|field| field.contains('\n')) {
                let (from, to) = (record.position().map_or(0, csv::Position::byte), reader.position().byte());
                let whole = self.text.as_bytes().get(from as usize..to as usize).unwrap_or_default();
                let marks = whole.iter().filter(|byte| **byte == b'"').count();
                if to >= self.text.len() as u64 && marks % 2 == 1 {
                    return Err(format!(
                        "row {row}: a quotation mark is opened and never closed; close it and save again"
                    ));
                }
            }
            let mut raw = RawRow { row: row as u32, cells: Vec::with_capacity(record.len().min(MOST_COLUMNS)) };
            for (column, field) in record.iter().enumerate() {
                if field.len() > LONGEST_FIELD && field.contains('\n') && field.encode_utf16().count() > LONGEST_FIELD {
                    return Err(format!(
                        "row {row}, column {}: a quotation mark is opened and never closed, or a text of several lines \
                         has more than {LONGEST_FIELD} characters; close or shorten it and save again",
                        column + 1
                    ));
                }
                if column >= MOST_COLUMNS {
                    return Err(format!("row {row} has more than {MOST_COLUMNS} columns; is the delimiter right?"));
                }
                line_ends_within += field.bytes().filter(|byte| *byte == b'\n').count() as u64;
                if !field.trim().is_empty() {
                    raw.cells.push((column as u16, RawCell::Text(field.to_owned())));
                }
            }
            if !raw.cells.is_empty() && visit(raw).is_break() {
                return Ok(());
            }
        }
    }
}

/// The mark among comma, semicolon, tab and bar under which most of the first lines belong to rows of one and the same
/// number of cells; the larger number of cells among equals. Lines are counted and not rows, since a mark that is none
/// cuts a cell of several lines into as many rows.
fn delimiter_of(text: &str) -> u8 {
    let end = (0..=BYTES_FOR_DELIMITER.min(text.len())).rev().find(|at| text.is_char_boundary(*at)).unwrap_or(0);
    let text = text.get(..end).unwrap_or(text);
    let mut best = (0_usize, b',');
    for mark in [b',', b';', b'\t', b'|'] {
        let mut reader =
            csv::ReaderBuilder::new().has_headers(false).flexible(true).delimiter(mark).from_reader(text.as_bytes());
        // Cells and lines of each row.
        let mut rows: Vec<(usize, usize)> = Vec::new();
        let mut seen = 0;
        for record in reader.records().map_while(Result::ok) {
            let lines = 1 + record.iter().map(|cell| cell.bytes().filter(|byte| *byte == b'\n').count()).sum::<usize>();
            rows.push((record.len(), lines));
            seen += lines;
            if seen >= LINES_FOR_DELIMITER {
                break;
            }
        }
        let of_width = |width: usize| rows.iter().filter(move |(cells, _)| *cells == width);
        let lines_of = |width: usize| of_width(width).map(|(_, lines)| lines).sum::<usize>();
        let usual = rows.iter().map(|(cells, _)| *cells).filter(|cells| *cells > 1);
        let Some((lines, usual)) = usual.map(|cells| (lines_of(cells), cells)).max() else { continue };
        let score = lines * 1000 + usual.min(999);
        if score > best.0 {
            best = (score, mark);
        }
    }
    best.1
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rows(bytes: &[u8]) -> Vec<(u32, Vec<String>)> {
        let mut out = Vec::new();
        Delimited::open(bytes)
            .stream(&mut |row| {
                out.push((row.row, row.cells.iter().map(|(_, cell)| cell.shown()).collect()));
                ControlFlow::Continue(())
            })
            .unwrap();
        out
    }

    #[test]
    fn the_same_table_in_every_encoding_and_delimiter() {
        let plain = "address,fuse\n7 Fennel Row – café,60\n";
        let expected = rows(plain.as_bytes());
        assert_eq!(expected[1].1, ["7 Fennel Row – café", "60"]);
        let mut marked = vec![0xEF, 0xBB, 0xBF];
        marked.extend(plain.bytes());
        assert_eq!(rows(&marked), expected);
        for big in [false, true] {
            let wide: Vec<u8> = plain
                .encode_utf16()
                .flat_map(|unit| if big { unit.to_be_bytes() } else { unit.to_le_bytes() })
                .collect();
            assert_eq!(rows(&wide), expected);
            let mut marked = if big { vec![0xFE, 0xFF] } else { vec![0xFF, 0xFE] };
            marked.extend(&wide);
            assert_eq!(rows(&marked), expected);
        }
        let western = encoding_rs::WINDOWS_1252.encode(plain).0.into_owned();
        assert_eq!(rows(&western), expected);
        assert_eq!(rows(plain.replace(',', ";").as_bytes()), expected);
        assert_eq!(rows(plain.replace(',', "\t").as_bytes()), expected);
        let told: Vec<_> = rows(format!("sep=;\n{}", plain.replace(',', ";")).as_bytes());
        assert_eq!(told[1], (3, expected[1].1.clone()));
    }

    #[test]
    fn rows_are_numbered_as_a_spreadsheet_shows_them() {
        let text = "address,fuse\n\n\"7 Fennel Row\nTarnholt\",60\n8 Fennel Row,80\n";
        let numbers: Vec<_> = rows(text.as_bytes()).into_iter().map(|(row, _)| row).collect();
        assert_eq!(numbers, [1, 3, 4]);
    }

    #[test]
    fn a_long_text_on_one_line_is_no_quotation_mark_left_open() {
        let table = |text: &str| format!("address,notes\n7 Fennel Row,\"{text}\"\n8 Fennel Row,gate\n");
        let long = "é".repeat(40_000);
        let read = rows(table(&long).as_bytes());
        assert_eq!((read.len(), read[1].1[1] == long), (3, true));
        // Of several lines, as much as a cell of a spreadsheet holds.
        let lines = "é\n".repeat(16_383);
        assert_eq!(rows(table(&lines).as_bytes()).len(), 3);
        let refused =
            Delimited::open(table(&"é\n".repeat(16_384)).as_bytes()).stream(&mut |_| ControlFlow::Continue(()));
        let said = refused.expect_err("too long to be meant");
        assert!(said.starts_with("row 2, column 2: a quotation mark is opened and never closed, or"), "{said}");
    }

    #[test]
    fn commas_within_addresses_do_not_hide_the_semicolon() {
        let text = "address;fuse\n7 Fennel Row, Tarnholt;60\n8 Fennel Row, Tarnholt;80\n9 Fennel Row, Tarnholt;80\n";
        assert_eq!(rows(text.as_bytes())[1].1.len(), 2);
    }

    #[test]
    fn commas_and_lines_within_a_cell_do_not_hide_the_bar() {
        let row = |number: u8| format!("{number} Fennel Row, Tarnholt|\"gate, then steps\nmind the rail\"|60\n");
        let text = format!("address|notes|fuse\n{}{}{}", row(7), row(8), row(9));
        assert!(rows(text.as_bytes()).iter().all(|(_, cells)| cells.len() == 3));
    }

    #[test]
    fn an_open_quotation_mark_is_said_and_not_swallowed() {
        let text = format!("address,fuse\n\"7 Fennel Row,60\n{}", "8 Fennel Row,80\n".repeat(5000));
        let answer = Delimited::open(text.as_bytes()).stream(&mut |_| ControlFlow::Continue(()));
        assert!(answer.unwrap_err().contains("row 2"));
        let short = "address,fuse\n7 Fennel Row,\"60\n8 Fennel Row,80\n";
        let answer = Delimited::open(short.as_bytes()).stream(&mut |_| ControlFlow::Continue(()));
        assert!(answer.unwrap_err().contains("row 2"));
        assert_eq!(rows(b"address,length\n\"7 Fennel\nRow\",12' 6\"\n").len(), 2, "an inch mark opens nothing");
    }
}
