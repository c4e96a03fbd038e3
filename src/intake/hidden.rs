//! Rows that are hidden or filtered out in a sheet. They are read like any other; the user is told, because many take
//! a hidden row for a deleted one. The cell reader does not say which they are, so the sheet's own text is searched.

use std::io::{BufReader, Cursor, Read};

/// How many rows are hidden, and the first of them.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct HiddenRows {
    /// Hidden rows under the headings.
    pub count: u32,
    /// The first of them, from 1.
    pub first: u32,
}

/// Bytes searched at a time.
const CHUNK: usize = 1 << 16;
/// Longest opening tag of a row that is looked into.
const LONGEST_TAG: usize = 1024;

/// The hidden rows of a sheet under `heading_row`. Whatever goes wrong counts as none: this is a courtesy, and the
/// reader of the cells reports what is damaged.
pub(super) fn hidden_rows(bytes: &[u8], sheet: &str, heading_row: u32) -> HiddenRows {
    let mut found = HiddenRows::default();
    let Ok(mut archive) = zip::ZipArchive::new(Cursor::new(bytes)) else { return found };
    let Some(path) = part_of(&mut archive, sheet) else { return found };
    let Ok(mut part) = archive.by_name(&path) else { return found };
    let mut window: Vec<u8> = Vec::with_capacity(CHUNK + LONGEST_TAG);
    let mut chunk = vec![0; CHUNK];
    while let Ok(length) = part.read(&mut chunk) {
        if length == 0 {
            break;
        }
        window.extend_from_slice(chunk.get(..length).unwrap_or_default());
        let searched = search(&window, heading_row, &mut found);
        window.drain(..searched);
    }
    found
}

/// Counts the hidden rows in `window`; the number of bytes that need not be looked at again.
fn search(window: &[u8], heading_row: u32, found: &mut HiddenRows) -> usize {
    const OPENS: &[u8] = b"<row ";
    let mut from = 0;
    loop {
        let rest = window.get(from..).unwrap_or_default();
        let Some(at) = position(rest, OPENS) else { return window.len().saturating_sub(OPENS.len() - 1).max(from) };
        let tag = rest.get(at..).unwrap_or_default();
        let Some(end) = tag.iter().take(LONGEST_TAG).position(|byte| *byte == b'>') else {
            if tag.len() < LONGEST_TAG {
                return from + at;
            }
            from += at + OPENS.len();
            continue;
        };
        let tag = tag.get(..end).unwrap_or_default();
        if position(tag, b"hidden=\"1\"").is_some() || position(tag, b"hidden=\"true\"").is_some() {
            let number = position(tag, b" r=\"").map_or(0, |r| {
                let digits = tag.iter().skip(r + 4).take_while(|byte| byte.is_ascii_digit());
                digits.fold(0_u32, |sum, byte| sum.saturating_mul(10).saturating_add(u32::from(byte - b'0')))
            });
            if number > heading_row {
                found.count += 1;
                if found.first == 0 {
                    found.first = number;
                }
            }
        }
        from += at + end;
    }
}

/// Where `sought` begins. Its first byte is found first, which is all that most places need.
fn position(text: &[u8], sought: &[u8]) -> Option<usize> {
    let first = *sought.first()?;
    let mut from = 0;
    loop {
        let at = from + text.get(from..)?.iter().position(|byte| *byte == first)?;
        if text.get(at..at + sought.len())? == sought {
            return Some(at);
        }
        from = at + 1;
    }
}

/// The part that holds a sheet: its name leads to a relation, the relation to a part.
fn part_of(archive: &mut zip::ZipArchive<Cursor<&[u8]>>, sheet: &str) -> Option<String> {
    let mut id = None;
    each_element(archive, "xl/workbook.xml", &mut |element| {
        if attribute(element, "name").as_deref() == Some(sheet) && element.local_name().as_ref() == "sheet" {
            id = attribute(element, "id");
        }
    })?;
    let id = id?;
    let mut target = None;
    each_element(archive, "xl/_rels/workbook.xml.rels", &mut |element| {
        if attribute(element, "Id").as_ref() == Some(&id) {
            target = attribute(element, "Target");
        }
    })?;
    let target = target?;
    Some(match target.strip_prefix('/') {
        Some(absolute) => absolute.to_owned(),
        None => format!("xl/{target}"),
    })
}

fn each_element(
    archive: &mut zip::ZipArchive<Cursor<&[u8]>>,
    part: &str,
    visit: &mut dyn FnMut(&quick_xml::events::BytesStart<'_>),
) -> Option<()> {
    use quick_xml::events::Event;
    let part = archive.by_name(part).ok()?;
    let mut reader = quick_xml::Reader::from_reader(BufReader::new(part.take(CHUNK as u64 * 16)));
    let mut buffer = Vec::new();
    loop {
        buffer.clear();
        match reader.read_event_into(&mut buffer).ok()? {
            Event::Start(element) | Event::Empty(element) => visit(&element),
            Event::Eof => return Some(()),
            _ => {}
        }
    }
}

/// The value of an attribute, whatever its prefix.
fn attribute(element: &quick_xml::events::BytesStart<'_>, name: &str) -> Option<String> {
    let found = element.attributes().flatten().find(|attribute| attribute.key.local_name().as_ref() == name)?;
    found.normalized_value(quick_xml::XmlVersion::default()).ok().map(|value| value.into_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hidden_rows_are_counted_and_the_first_is_named() {
        let mut book = rust_xlsxwriter::Workbook::new();
        book.add_worksheet().set_name("Cover").unwrap();
        let sheet = book.add_worksheet().set_name("A & B").unwrap();
        for row in 0..5000 {
            sheet.write(row, 0, format!("{row} Fennel Row")).unwrap();
            if row == 0 || row % 1000 == 7 {
                sheet.set_row_hidden(row).unwrap();
            }
        }
        let bytes = book.save_to_buffer().unwrap();
        assert_eq!(hidden_rows(&bytes, "A & B", 1), HiddenRows { count: 5, first: 8 });
        assert_eq!(hidden_rows(&bytes, "Cover", 1), HiddenRows::default());
        assert_eq!(hidden_rows(b"nothing", "Cover", 1), HiddenRows::default());
    }

    #[test]
    fn a_tag_cut_in_two_is_put_together() {
        let text = b"<row r=\"2\"><c/></row><row r=\"3\" hidden=\"1\"><c/></row>";
        for cut in 0..text.len() {
            let mut found = HiddenRows::default();
            let mut window = text[..cut].to_vec();
            let searched = search(&window, 1, &mut found);
            window.drain(..searched);
            window.extend_from_slice(&text[cut..]);
            search(&window, 1, &mut found);
            assert_eq!(found, HiddenRows { count: 1, first: 3 }, "cut at {cut}");
        }
    }
}
