//! Which sites are meant, as the command line says it: for a bid and an order by a word, a lot or a list in a file, for
//! a calculation by name, for a programme by its file. It reads the files; what is done with the sites it does not know.

use crate::digest::sha256_of;
use crate::intake::Intake;
use crate::portfolio::{Choice, NoSuch, ids_of_list};
use crate::programme::{self, Asked, ProgrammeError};
use crate::report::InputFile;
use crate::settings::RunError;
use crate::site::Site;
use std::path::Path;

/// Longest list that is read, bytes: a line of a hundred for each of a million sites.
const LONGEST_LIST: u64 = 100_000_000;
/// Names told of those that do not exist.
const TOLD: usize = 10;

/// The choice, and the file that makes it, if one does.
///
/// # Errors
/// When the file cannot be read or names no site.
pub(crate) fn choice(word: Option<&str>) -> Result<(Choice, Option<InputFile>), RunError> {
    let Some(word) = word else { return Ok((Choice::default(), None)) };
    if let Some(choice) = Choice::of_word(word) {
        return Ok((choice, None));
    }
    let refused = |why: String| RunError::OrderList { file: word.to_owned(), why };
    let path = Path::new(word);
    let size = std::fs::metadata(path).map_err(|fault| refused(fault.to_string()))?.len();
    if size > LONGEST_LIST {
        return Err(refused("it is larger than any list of sites".to_owned()));
    }
    let bytes = std::fs::read(path).map_err(|fault| refused(fault.to_string()))?;
    let text = std::str::from_utf8(&bytes).map_err(|_| refused("it is not text in UTF-8".to_owned()))?;
    let sites = ids_of_list(text);
    if sites.is_empty() {
        return Err(refused("it names no site".to_owned()));
    }
    let list = path.file_name().map_or_else(|| word.to_owned(), |name| name.to_string_lossy().into_owned());
    Ok((Choice::Named { list: list.clone(), sites }, Some(InputFile { name: list, sha256: sha256_of(&bytes) })))
}

/// Largest programme file that is read, bytes.
const LARGEST_PROGRAMME: u64 = 1 << 20;

/// What a programme file asks, and the file; neither where none is given.
///
/// # Errors
/// When the file cannot be read or asks what makes no sense.
pub(crate) fn programme(path: Option<&Path>) -> Result<(Option<Asked>, Option<InputFile>), RunError> {
    let Some(path) = path else { return Ok((None, None)) };
    let name = path.file_name().map_or_else(|| path.display().to_string(), |name| name.to_string_lossy().into_owned());
    let refused = |why: String| ProgrammeError { file: path.display().to_string(), why };
    let unread = |fault: std::io::Error| refused(format!("it cannot be read: {fault}."));
    if std::fs::metadata(path).map_err(unread)?.len() > LARGEST_PROGRAMME {
        return Err(refused("it is too large to be a programme file.".to_owned()).into());
    }
    let bytes = std::fs::read(path).map_err(unread)?;
    let text = std::str::from_utf8(&bytes).map_err(|_| refused("it is not text in UTF-8: save it so.".to_owned()))?;
    let asked = programme::read(text, &name)?;
    Ok((Some(asked), Some(InputFile { name, sha256: sha256_of(&bytes) })))
}

/// The file of a choice, where it is one: it is never written to.
pub(crate) fn file(word: Option<&str>) -> Option<&Path> {
    word.filter(|word| Choice::of_word(word).is_none()).map(Path::new)
}

/// The sites named, each once, in the order in which they were named.
pub(crate) fn named<'a>(intake: &'a Intake, wanted: &[String]) -> Result<Vec<&'a Site>, RunError> {
    let sites = || intake.sites.iter();
    let mut found: Vec<&Site> = Vec::new();
    let mut missing = Vec::new();
    for name in wanted.iter().map(|name| name.trim()) {
        let site = sites()
            .find(|site| site.site_id == name)
            .or_else(|| sites().find(|site| site.site_id.eq_ignore_ascii_case(name)))
            .or_else(|| sites().find(|site| site.identity.uprn.likely().is_some_and(|uprn| uprn == name)))
            .or_else(|| sites().find(|site| intake.row_named(site.sheet, site.row).eq_ignore_ascii_case(name)));
        match site {
            Some(site) if found.iter().any(|other| (other.sheet, other.row) == (site.sheet, site.row)) => {}
            Some(site) => found.push(site),
            None => missing.push(format!("{name:?}")),
        }
    }
    if missing.is_empty() {
        Ok(found)
    } else {
        Err(RunError::NoSuchSite { file: intake.source.name.clone(), sites: missing.join(", ") })
    }
}

/// Why a choice cannot be obeyed, as the error of a run.
pub(crate) fn refused(choice: &Choice, why: NoSuch) -> RunError {
    match why {
        NoSuch::Lot(lots) => {
            let lot = if let Choice::Lot(lot) = choice { lot.clone() } else { String::new() };
            let lots = if lots.is_empty() {
                "No site stands in a lot".to_owned()
            } else {
                format!("The lots are: {}", some_of(&lots))
            };
            RunError::NoSuchLot { lot, lots }
        }
        NoSuch::Sites(sites) => {
            let list = if let Choice::Named { list, .. } = choice { list.clone() } else { String::new() };
            RunError::NotSites { list, sites: some_of(&sites) }
        }
    }
}

fn some_of(names: &[String]) -> String {
    let told = names.iter().take(TOLD).map(|name| format!("{name:?}")).collect::<Vec<_>>().join(", ");
    if names.len() > TOLD { format!("{told} and {} more", names.len() - TOLD) } else { told }
}
