//! The shell of a comparison: two results are read, compared, and what changed is printed and, where asked for, written.

use crate::compare;
use crate::estimate::PriceBook;
use crate::loaded::NO_DATE;
use crate::report::{self, Outputs};
use crate::settings::{RunError, must_be_workbook};
use jiff::civil::Date;
use std::path::{Path, PathBuf};

/// Endings of what stands beside the JSON document of a result.
const BESIDE: [&str; 4] = ["xlsx", "csv", "parquet", "geojson"];

/// What is to be compared.
#[derive(Clone, Debug, Default)]
pub struct Compared {
    /// The earlier result: its JSON document, or what stands beside it.
    pub before: PathBuf,
    /// The later one.
    pub after: PathBuf,
    /// The workbook to write, if any.
    pub output: Option<PathBuf>,
    /// Write the changes as JSON beside the workbook.
    pub json: bool,
    /// Overwrite what is there.
    pub force: bool,
}

/// What changed between two results, as a page of text; with an output named also as a workbook, and as JSON.
///
/// # Errors
/// When a file is no result, or a place cannot be written; nothing is then left behind.
pub fn compare(asked: &Compared) -> Result<String, RunError> {
    let (before, after) = (document_of(&asked.before)?, document_of(&asked.after)?);
    let given = [&asked.before, &asked.after, &before, &after].map(Clone::clone);
    let mut outputs = Outputs::new(asked.force, &given);
    let json = asked.output.as_ref().filter(|_| asked.json).map(|workbook| workbook.with_extension("json"));
    if let Some(output) = &asked.output {
        must_be_workbook(output)?;
        for place in [Some(output), json.as_ref()].into_iter().flatten() {
            outputs.check(place)?;
        }
    }
    let (before, after) = (read(&before)?, read(&after)?);
    let found = compare::compare(&before, &after);
    // The words of items only: what they cost stands in the results.
    let words = report::price_notes(PriceBook::default_book());
    let mut page = report::changes_page(&found, &words);
    if let Some(output) = &asked.output {
        let dated = after.summary.as_of.value().and_then(|day| day.parse::<Date>().ok());
        if let Some(json) = &json {
            outputs.stage(json, |writer| report::write_changes_json(&found, &words, writer))?;
        }
        outputs.stage(output, |writer| report::write_changes(&found, &words, dated.unwrap_or(NO_DATE), writer))?;
        let written = outputs.publish()?;
        let shown: Vec<String> = written.iter().map(|path| path.display().to_string()).collect();
        page.push_str(&format!("\n{} written.\n", shown.join(" and ")));
    }
    Ok(page)
}

/// The JSON document that is meant: the file itself, or that of the same name beside a workbook or table.
fn document_of(given: &Path) -> Result<PathBuf, RunError> {
    let ending = given.extension().map(|ending| ending.to_string_lossy().to_ascii_lowercase()).unwrap_or_default();
    if !BESIDE.contains(&ending.as_str()) {
        return Ok(given.to_owned());
    }
    let document = given.with_extension("json");
    if document.is_file() {
        return Ok(document);
    }
    Err(RunError::NoJsonBeside { file: given.display().to_string(), wanted: document.display().to_string() })
}

fn read(path: &Path) -> Result<compare::ResultRead, RunError> {
    let file = path.display().to_string();
    let bytes =
        std::fs::read(path).map_err(|fault| RunError::NoResult { file: file.clone(), why: fault.to_string() })?;
    let mut document = compare::read(&file, &bytes)?;
    // What is written names files without their folders, as results do.
    if let Some(name) = path.file_name() {
        document.file = name.to_string_lossy().into_owned();
    }
    Ok(document)
}
