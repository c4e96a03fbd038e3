//! A sheet as the bytes of a file: delimited text of every usual kind, or a workbook.

use crate::draws::Draws;
use crate::values::Written;
use rust_xlsxwriter::{Format, Workbook};

/// A format of file.
#[derive(Clone, Copy, Debug)]
pub enum File {
    Text { delimiter: char, encoding: Encoding, told: bool, windows_ends: bool, quoted: bool },
    Workbook,
}

/// How letters are written as bytes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Encoding {
    Utf8,
    Utf8WithMark,
    Utf16Little,
    Utf16Big,
    Windows1252,
}

/// The plainest file.
pub const PLAIN: File =
    File::Text { delimiter: ',', encoding: Encoding::Utf8, told: false, windows_ends: false, quoted: false };

pub fn file(draws: &mut Draws) -> File {
    if draws.chance(40) {
        return File::Workbook;
    }
    use Encoding::{Utf8, Utf8WithMark, Utf16Big, Utf16Little, Windows1252};
    File::Text {
        delimiter: *draws.one(&[',', ',', ';', '\t', '|']),
        encoding: *draws.one(&[Utf8, Utf8WithMark, Utf16Little, Utf16Big, Windows1252]),
        told: draws.chance(10),
        windows_ends: draws.chance(50),
        quoted: draws.chance(30),
    }
}

impl File {
    /// Lines before the first row of the sheet.
    pub fn lines_before(self) -> usize {
        usize::from(matches!(self, File::Text { told: true, .. }))
    }

    /// The name that such a file would have.
    pub fn name(self) -> &'static str {
        match self {
            File::Text { .. } => "Returns.csv",
            File::Workbook => "Returns.xlsx",
        }
    }

    pub fn bytes(self, grid: &[Vec<Written>]) -> Vec<u8> {
        match self {
            File::Workbook => workbook(grid),
            File::Text { delimiter, encoding, told, windows_ends, quoted } => {
                let end = if windows_ends { "\r\n" } else { "\n" };
                let mut text = if told { format!("sep={delimiter}{end}") } else { String::new() };
                for row in grid {
                    let cells: Vec<String> = row.iter().map(|cell| shown(cell, delimiter, quoted)).collect();
                    text.push_str(&cells.join(&delimiter.to_string()));
                    text.push_str(end);
                }
                encoded(&text, encoding)
            }
        }
    }
}

fn encoded(text: &str, encoding: Encoding) -> Vec<u8> {
    let wide = |big: bool| -> Vec<u8> {
        let units = std::iter::once(0xFEFF).chain(text.encode_utf16());
        units.flat_map(|unit| if big { unit.to_be_bytes() } else { unit.to_le_bytes() }).collect()
    };
    match encoding {
        Encoding::Utf8 => text.as_bytes().to_vec(),
        Encoding::Utf8WithMark => [b"\xEF\xBB\xBF", text.as_bytes()].concat(),
        Encoding::Utf16Little => wide(false),
        Encoding::Utf16Big => wide(true),
        Encoding::Windows1252 => match encoding_rs::WINDOWS_1252.encode(text) {
            (bytes, _, false) => bytes.into_owned(),
            // A letter that it does not have: whoever wrote this had another.
            _ => encoded(text, Encoding::Utf8WithMark),
        },
    }
}

fn shown(cell: &Written, delimiter: char, quoted: bool) -> String {
    let text = match cell {
        Written::Nothing => return String::new(),
        Written::Text(text) => text.clone(),
        Written::Number(number) => number.to_string(),
        Written::Truth(truth) => if *truth { "TRUE" } else { "FALSE" }.to_owned(),
        Written::Day(serial) => {
            let first = jiff::civil::date(1899, 12, 30);
            first.checked_add(jiff::Span::new().days(*serial as i64)).unwrap().strftime("%d/%m/%Y").to_string()
        }
        Written::Time(part) => {
            let minutes = (part * 1440.0).round() as u32;
            format!("{:02}:{:02}", minutes / 60, minutes % 60)
        }
    };
    if quoted || text.contains([delimiter, '"', '\n', '\r']) {
        format!("\"{}\"", text.replace('"', "\"\""))
    } else {
        text
    }
}

fn workbook(grid: &[Vec<Written>]) -> Vec<u8> {
    let mut book = Workbook::new();
    let sheet = book.add_worksheet();
    let day = Format::new().set_num_format("dd/mm/yyyy");
    let clock = Format::new().set_num_format("hh:mm");
    for (row, cells) in grid.iter().enumerate() {
        for (column, cell) in cells.iter().enumerate() {
            let (row, column) = (row as u32, column as u16);
            match cell {
                Written::Nothing => continue,
                Written::Text(text) => sheet.write_string(row, column, text.as_str()),
                Written::Number(number) => sheet.write_number(row, column, *number),
                Written::Truth(truth) => sheet.write_boolean(row, column, *truth),
                Written::Day(serial) => sheet.write_number_with_format(row, column, *serial, &day),
                Written::Time(part) => sheet.write_number_with_format(row, column, *part, &clock),
            }
            .unwrap();
        }
    }
    book.save_to_buffer().unwrap()
}
