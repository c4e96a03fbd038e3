//! What an .xlsx sheet hides and merges. Hidden rows are read like any other; the user is told, because many take a
//! hidden row for a deleted one. The cell reader says none of this, so the sheet's own text is searched.

use super::layout::{Layout, Region};
use std::io::{BufReader, Cursor, Read};

/// Bytes searched at a time.
const CHUNK: usize = 1 << 16;
/// Longest tag that is looked into.
const LONGEST_TAG: usize = 1024;
/// Columns of any sheet.
const MOST_COLUMNS: u32 = 16_384;

/// What a sheet hides and merges. Whatever goes wrong counts as none: this is a courtesy, and the reader of the cells
/// reports what is damaged.
pub(super) fn layout_of(bytes: &[u8], sheet: &str) -> Layout {
    let mut found = Layout::default();
    let Ok(mut archive) = zip::ZipArchive::new(Cursor::new(bytes)) else { return found };
    let Some(path) = part_of_sheet(&mut archive, sheet) else { return found };
    let Ok(mut part) = archive.by_name(&path) else { return found };
    let mut window: Vec<u8> = Vec::with_capacity(CHUNK + LONGEST_TAG);
    let mut chunk = vec![0; CHUNK];
    while let Ok(length) = part.read(&mut chunk) {
        if length == 0 {
            break;
        }
        window.extend_from_slice(chunk.get(..length).unwrap_or_default());
        let searched = search(&window, &mut found);
        window.drain(..searched);
    }
    found
}

/// Notes what `window` hides and merges; the number of bytes that need not be looked at again.
fn search(window: &[u8], found: &mut Layout) -> usize {
    const ROW: &[u8] = b"<row ";
    const COLUMN: &[u8] = b"<col ";
    const MERGED: &[u8] = b"<mergeCell ";
    let mut from = 0;
    loop {
        let rest = window.get(from..).unwrap_or_default();
        let Some(at) = rest.iter().position(|byte| *byte == b'<') else { return window.len() };
        let tag = rest.get(at..).unwrap_or_default();
        // Most tags are cells and values, told by their second or third letter.
        let sought = match tag.get(1) {
            Some(b'r') => ROW,
            Some(b'm') => MERGED,
            Some(b'c') if tag.get(2).is_none_or(|third| *third == b'o') => COLUMN,
            None => return from + at,
            _ => {
                from += at + 1;
                continue;
            }
        };
        if !tag.starts_with(sought) {
            if tag.len() < sought.len() && sought.starts_with(tag) {
                return from + at;
            }
            from += at + 1;
            continue;
        }
        let Some(end) = tag.iter().take(LONGEST_TAG).position(|byte| *byte == b'>') else {
            if tag.len() < LONGEST_TAG {
                return from + at;
            }
            from += at + sought.len();
            continue;
        };
        let tag = tag.get(..end).unwrap_or_default();
        match sought {
            ROW => {
                if is_hidden(tag) {
                    let row = number_of(tag, b" r=\"");
                    found.hide_rows(row, row);
                }
            }
            COLUMN => {
                let (first, last) = (number_of(tag, b" min=\""), number_of(tag, b" max=\""));
                if is_hidden(tag) && (1..=MOST_COLUMNS).contains(&first) && first <= last {
                    // Both within MOST_COLUMNS.
                    found.hide_columns((first - 1) as u16, (last.min(MOST_COLUMNS) - 1) as u16);
                }
            }
            _ => {
                if let Some(region) = position(tag, b"ref=\"").and_then(|at| tag.get(at + 5..)).and_then(region) {
                    found.merge(region);
                }
            }
        }
        from += at + end;
    }
}

fn is_hidden(tag: &[u8]) -> bool {
    position(tag, b"hidden=\"1\"").is_some() || position(tag, b"hidden=\"true\"").is_some()
}

fn number_of(tag: &[u8], attribute: &[u8]) -> u32 {
    position(tag, attribute).map_or(0, |at| {
        let digits = tag.iter().skip(at + attribute.len()).take_while(|byte| byte.is_ascii_digit());
        digits.fold(0_u32, |sum, byte| sum.saturating_mul(10).saturating_add(u32::from(byte - b'0')))
    })
}

/// A region written as "A2:A9".
fn region(written: &[u8]) -> Option<Region> {
    let mut corners = written.split(|byte| *byte == b'"').next()?.split(|byte| *byte == b':').map(corner);
    let (left, top) = corners.next()??;
    let (right, bottom) = corners.next()??;
    Some(Region { top, bottom, left, right })
}

/// Column (from 0) and row (from 1) of a cell written as "B7".
fn corner(written: &[u8]) -> Option<(u16, u32)> {
    let (mut column, mut row) = (0_u32, 0_u32);
    for byte in written.iter().filter(|byte| **byte != b'$') {
        match byte {
            b'A'..=b'Z' if row == 0 => column = column.checked_mul(26)?.checked_add(u32::from(byte - b'A') + 1)?,
            b'0'..=b'9' => row = row.checked_mul(10)?.checked_add(u32::from(byte - b'0'))?,
            _ => return None,
        }
    }
    // Within MOST_COLUMNS.
    (row > 0 && (1..=MOST_COLUMNS).contains(&column)).then(|| ((column - 1) as u16, row))
}

/// Where `sought` begins.
fn position(text: &[u8], sought: &[u8]) -> Option<usize> {
    text.windows(sought.len()).position(|window| window == sought)
}

/// The part that holds a sheet of an .xlsx workbook: its name leads to a relation, the relation to a part.
fn part_of_sheet(archive: &mut zip::ZipArchive<Cursor<&[u8]>>, sheet: &str) -> Option<String> {
    let mut id = None;
    each_element(archive, "xl/workbook.xml", &mut |element| {
        if attribute(element, "name").as_deref() == Some(sheet) && element.local_name().as_ref() == "sheet" {
            id = attribute(element, "id");
        }
    })?;
    part_of(archive, "xl/_rels/workbook.xml.rels", &id?)
}

/// The part that a relation leads to.
pub(super) fn part_of(archive: &mut zip::ZipArchive<Cursor<&[u8]>>, relations: &str, id: &str) -> Option<String> {
    let mut target = None;
    each_element(archive, relations, &mut |element| {
        if attribute(element, "Id").as_deref() == Some(id) {
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
    fn what_is_hidden_and_merged_is_found() {
        let mut book = rust_xlsxwriter::Workbook::new();
        book.add_worksheet().set_name("Cover").unwrap();
        let sheet = book.add_worksheet().set_name("A & B").unwrap();
        for row in 0..5000 {
            sheet.write(row, 0, format!("{row} Fennel Row")).unwrap();
            if row == 0 || row % 1000 == 7 {
                sheet.set_row_hidden(row).unwrap();
            }
        }
        sheet.set_column_hidden(2).unwrap();
        sheet.set_column_hidden(3).unwrap();
        sheet.merge_range(9, 27, 19, 27, "Weir House", &rust_xlsxwriter::Format::new()).unwrap();
        let bytes = book.save_to_buffer().unwrap();
        let layout = layout_of(&bytes, "A & B");
        assert_eq!(layout.hidden_rows, [(1, 1), (8, 8), (1008, 1008), (2008, 2008), (3008, 3008), (4008, 4008)]);
        assert!(layout.hides_column(2) && layout.hides_column(3) && !layout.hides_column(4));
        assert_eq!(layout.merged, [Region { top: 10, bottom: 20, left: 27, right: 27 }]);
        assert_eq!(layout_of(&bytes, "Cover"), Layout::default());
        assert_eq!(layout_of(b"nothing", "Cover"), Layout::default());
    }

    #[test]
    fn a_tag_cut_in_two_is_put_together() {
        let text = b"<cols><col min=\"2\" max=\"3\" hidden=\"1\"/></cols><row r=\"2\"><c/></row><row r=\"3\" hidden=\"1\"><c/></row><mergeCell ref=\"B2:B3\"/>";
        let mut whole = Layout::default();
        search(text, &mut whole);
        assert_eq!((whole.hidden_rows.len(), whole.hidden_columns.len(), whole.merged.len()), (1, 1, 1));
        for cut in 0..text.len() {
            let mut found = Layout::default();
            let mut window = text[..cut].to_vec();
            let searched = search(&window, &mut found);
            window.drain(..searched);
            window.extend_from_slice(&text[cut..]);
            search(&window, &mut found);
            assert_eq!(found, whole, "cut at {cut}");
        }
    }
}
