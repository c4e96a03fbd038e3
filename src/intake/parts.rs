//! What a further file holds: sheets of half-hours, sheets that are known for later, and the survey, each told
//! by its shape before anybody takes it for something else. It joins nothing.

use super::door::read_bytes;
use super::half_hours;
use super::other_sheets::known_as;
use super::side_sheets;
use super::source::Rows;
use super::types::{Intake, IntakeError, ReadOptions, SourceFile};
use crate::digest::sha256_of;

/// One sheet of one further file, read.
pub(super) struct Part {
    pub source: SourceFile,
    pub of_portfolio: bool,
    pub what: What,
}

/// What it was taken for.
pub(super) enum What {
    /// A survey like the portfolio.
    Survey(Box<Intake>),
    /// Half-hours by meter.
    HalfHours(half_hours::Read),
    /// Vehicle groups by site.
    Fleet(side_sheets::Read),
    /// Feeders.
    Feeders(side_sheets::Read),
    /// Known for later: its name and how many rows it has.
    Later(&'static str, usize),
}

/// The parts of a file: sheets of half-hours, sheets known for later, and the survey, a part a sheet. Of the portfolio itself
/// only the sheets that are known by name.
pub(super) fn parts_of(
    bytes: &[u8],
    file: &str,
    only: Option<&[String]>,
    options: &ReadOptions,
) -> Result<Vec<Part>, IntakeError> {
    let failed = |problem: String| IntakeError::File { file: file.to_owned(), problem };
    let source = |sheet: &str, heading_row: u32| SourceFile {
        name: file.to_owned(),
        sha256: sha256_of(bytes),
        sheet: sheet.to_owned(),
        heading_row,
    };
    let of_portfolio = only.is_some();
    let (mut rows, _) = Rows::open(bytes).map_err(failed)?;
    let stem = file.rsplit_once('.').map_or(file, |(stem, _)| stem);
    let (mut parts, mut taken, mut others) = (Vec::new(), Vec::new(), 0);
    for sheet in rows.sheets() {
        if only.is_some_and(|only| !only.contains(&sheet.name)) {
            continue;
        }
        // A damaged or empty sheet is the survey reader's to refuse, with its own sentence.
        let beginning = rows.beginning(&sheet.name).unwrap_or_default();
        let fault = |problem: String| match sheet.name.as_str() {
            "" => IntakeError::File { file: file.to_owned(), problem },
            name => IntakeError::Sheet { file: file.to_owned(), sheet: name.to_owned(), problem },
        };
        // A sheet of the template that nobody has filled in is as if it were not there.
        if of_portfolio && beginning.len() <= 1 {
            continue;
        }
        let name = if sheet.name.is_empty() { stem } else { sheet.name.as_str() };
        if let Some(layout) = half_hours::layout(&beginning, stem, &sheet.name) {
            let heading_row = layout.heading_row;
            let mut reader = half_hours::Reader::of(layout);
            rows.stream(&sheet.name, &mut |row| reader.take(row)).map_err(fault)?;
            let what = What::HalfHours(reader.done());
            parts.push(Part { source: source(&sheet.name, heading_row), of_portfolio, what });
            taken.push(sheet.name);
        } else if let Some(known) = known_as(name, &beginning).filter(|known| matches!(*known, "fleet" | "feeders")) {
            let mut reader = side_sheets::Reader::of(known, &beginning);
            rows.stream(&sheet.name, &mut |row| reader.take(row)).map_err(fault)?;
            let read = reader.done();
            let heading_row = read.heading_row.max(1);
            let what = if known == "fleet" { What::Fleet(read) } else { What::Feeders(read) };
            parts.push(Part { source: source(&sheet.name, heading_row), of_portfolio, what });
            taken.push(sheet.name);
        } else if let Some(known) = known_as(name, &beginning) {
            let mut count = 0_usize;
            rows.stream(&sheet.name, &mut |_| {
                count += 1;
                std::ops::ControlFlow::Continue(())
            })
            .map_err(fault)?;
            let what = What::Later(known, count.saturating_sub(1));
            parts.push(Part { source: source(&sheet.name, 1), of_portfolio, what });
            taken.push(sheet.name);
        } else if of_portfolio {
            let what = What::Later("profiles, which are not understood as half-hours by day", 0);
            parts.push(Part { source: source(&sheet.name, 1), of_portfolio, what });
        } else {
            others += 1;
        }
    }
    if others > 0 && only.is_none() {
        let settled = options.mapping_by_file.iter().filter(|(name, _)| name == file);
        let mapping = settled.flat_map(|(_, entries)| entries).cloned().collect();
        let options = ReadOptions {
            part: true,
            skip: taken,
            mapping,
            as_of: options.as_of,
            current_until: options.current_until,
            ..ReadOptions::default()
        };
        match read_bytes(bytes, file, &options) {
            Ok(read) => {
                parts.extend(read.by_sheet().into_iter().map(|read| {
                    let source = read.source.clone();
                    Part { source, of_portfolio, what: What::Survey(Box::new(read)) }
                }));
            }
            // Notes beside the sheets that were read are no reason to refuse the file.
            Err(_) if !parts.is_empty() => {}
            Err(error) => return Err(error),
        }
    }
    Ok(parts)
}
