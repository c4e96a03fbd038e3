//! What was left out of a result that is to be shared, as sentences and as records. It leaves nothing out itself.

use super::Run;
use crate::intake::{Intake, LeftOut};
use schemars::JsonSchema;
use serde::Serialize;

/// What stays, and what a reader has to look at before the result leaves the house.
const STAYS: &str = "Addresses, postcodes, property numbers, coordinates and what was surveyed at each site stay: they are \
                     the sites. Look at the addresses and at the names of files and sheets before you pass it on.";

/// Something of the sheet that is not in this result, because it may be of a person.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct SharedWithoutRecord<'a> {
    /// Sheet of the column; only where several are read.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(default)]
    pub sheet: Option<&'a str>,
    /// Its heading as written; empty where it has none.
    pub column: &'a str,
    /// Its letter in the sheet.
    pub letter: String,
    /// What it may say of a person: name, telephone, mail, access, birth, health, money, notes, supply number, number, text.
    pub what: &'a str,
    /// Cells of a column that stays; null where the whole column is left out.
    pub cells: Option<u32>,
}

/// The list of a run; `None` where nothing was to be left out.
pub(super) fn records<'a>(run: &Run<'a>) -> Option<Vec<SharedWithoutRecord<'a>>> {
    let intake = run.intake;
    let record = |one: &'a LeftOut| SharedWithoutRecord {
        sheet: intake.sheet_name(one.sheet),
        column: &one.heading,
        letter: one.letter(),
        what: one.what,
        cells: (one.cells > 0).then_some(one.cells),
    };
    Some(intake.left_out.as_ref()?.iter().map(record).collect())
}

/// A column as it is named.
fn named(intake: &Intake, one: &LeftOut) -> String {
    let column = match one.heading.as_str() {
        "" => format!("column {}", one.letter()),
        heading => heading.to_owned(),
    };
    intake.sheet_name(one.sheet).map_or_else(|| column.clone(), |sheet| format!("{sheet}: {column}"))
}

/// The line of page one; `None` where nothing was to be left out.
pub(super) fn sentence(run: &Run<'_>) -> Option<String> {
    let left = run.intake.left_out.as_ref()?;
    let columns: Vec<String> = left.iter().filter(|one| one.cells == 0).map(|one| named(run.intake, one)).collect();
    let cells: u32 = left.iter().map(|one| one.cells).sum();
    let mut parts = Vec::new();
    if !columns.is_empty() {
        parts.push(format!("the columns {}", columns.join(", ")));
    }
    match cells {
        0 => {}
        1 => parts.push("1 cell of another column".to_owned()),
        many => parts.push(format!("{many} cells of other columns")),
    }
    let left = if parts.is_empty() { "nothing had to be".to_owned() } else { parts.join(" and ") };
    Some(format!("Left out for sharing, as it may be of a person: {left}. {STAYS}"))
}

/// What is left out, a line each: heading, what it may be of, and how much of it.
pub(super) fn lines(intake: &Intake) -> impl Iterator<Item = (String, &'static str, String)> {
    intake.left_out.iter().flatten().map(move |one| {
        let much = match one.cells {
            0 => "The whole column is left out.".to_owned(),
            1 => "1 cell is left out.".to_owned(),
            many => format!("{many} cells are left out."),
        };
        (named(intake, one), one.what, much)
    })
}
