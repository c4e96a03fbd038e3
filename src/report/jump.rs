//! A jump to a row of this workbook, on a cell that shows a text of the user's: whatever it holds, the file stays whole.
//! The library writes the text into an attribute as well and escapes there less than it does in a cell.

use rust_xlsxwriter::{Format, Url, Worksheet, XlsxError};
use std::borrow::Cow;

/// Whether an attribute of the file's markup can hold a character.
pub(in crate::report) fn attribute_holds(character: char) -> bool {
    !character.is_control() && !matches!(character, '\u{FFFE}' | '\u{FFFF}')
}

/// A jump to a row (counted from 1) of a sheet.
pub(super) fn to(sheet: &str, row: u32) -> Url {
    Url::new(format!("internal:'{sheet}'!A{row}"))
}

/// Writes `text` with a jump to a row (counted from 1) of a sheet.
///
/// # Errors
/// When the library refuses the text or the target.
pub(super) fn write(
    worksheet: &mut Worksheet,
    (row, column): (u32, u16),
    text: &str,
    (sheet, target): (&str, u32),
    format: &Format,
) -> Result<(), XlsxError> {
    let said = in_attribute(text);
    let url = to(sheet, target).set_text(said.as_ref());
    worksheet.write_url_with_format(row, column, url, format)?;
    if said != text {
        // The text as it is takes the place of the one that the attribute could hold; the jump stays.
        worksheet.write_string_with_format(row, column, text, format)?;
    }
    Ok(())
}

/// The text with a mark in place of what an attribute cannot hold.
fn in_attribute(text: &str) -> Cow<'_, str> {
    if text.chars().all(attribute_holds) {
        return Cow::Borrowed(text);
    }
    Cow::Owned(text.chars().map(|c| if attribute_holds(c) { c } else { char::REPLACEMENT_CHARACTER }).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::Read;

    #[test]
    fn a_character_that_markup_cannot_hold_leaves_the_sheet_whole_and_the_text_as_it_is() {
        let mut workbook = rust_xlsxwriter::Workbook::new();
        let mut worksheet = workbook.new_worksheet_with_constant_memory().expect("a worksheet");
        for (row, text) in (0..).zip(["H\u{1}1", "H\u{FFFF}2", "H<3>\n", "H4"]) {
            write(&mut worksheet, (row, 0), text, ("Ranking", 7), &Format::new()).expect("written");
        }
        worksheet.set_name("Ranking").expect("a name");
        workbook.push_worksheet(worksheet);
        let bytes = workbook.save_to_buffer().expect("a workbook");
        let mut archive = zip::ZipArchive::new(std::io::Cursor::new(bytes)).expect("a package");
        let mut text = String::new();
        archive.by_name("xl/worksheets/sheet1.xml").expect("a sheet").read_to_string(&mut text).expect("text");
        assert!(!text.contains(['\u{1}', '\u{FFFF}']), "{text}");
        for shown in [">H_x0001_1<", ">H_xFFFF_2<", ">H&lt;3&gt;\n<", ">H4<"] {
            assert_eq!(text.matches(shown).count(), 1, "{shown} in {text}");
        }
        assert_eq!(text.matches("location=\"'Ranking'!A7\"").count(), 4, "{text}");
    }
}
