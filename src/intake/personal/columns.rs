//! What of a column may be shared: by the survey field it is read as, or, for a column of the user's own, by its heading
//! and its cells. Where neither shows that it says nothing of a person, it is not shared.

use super::marks::{LEFT_OUT, heading_without_marks, is_marked, without_marks};
use super::word_list::{all_known, names_an_area, of_a_person};
use crate::site::{Field, FieldKind, fields};

/// Digits in one that may be a telephone, an account or a code.
const DIGITS_OF_A_PERSON: usize = 6;
/// Digits in one of a survey column's cell, whose figures are those of the place.
const DIGITS_OF_A_PLACE: usize = 9;
/// The last year of a date that may be somebody's birth.
const BIRTHS_UNTIL: u32 = 2012;

/// What of the cells of a survey column may be shared.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Keep {
    /// Nothing, because of what it says of a person.
    Nothing(&'static str),
    /// A text of the place, without what gives a person away.
    Text,
    /// A key, likewise.
    Key,
    /// A cell that is made of words of the trade and figures.
    Known,
}

impl Keep {
    /// The cell as it may be shared.
    pub(super) fn tidy(self, cell: &str) -> String {
        match self {
            Keep::Nothing(_) if cell.trim().is_empty() => String::new(),
            Keep::Nothing(_) => LEFT_OUT.to_owned(),
            Keep::Text | Keep::Key => without_marks(cell).into_owned(),
            Keep::Known if all_known(cell) && !is_marked(cell) && longest_digits(cell) < DIGITS_OF_A_PLACE => {
                cell.to_owned()
            }
            Keep::Known => LEFT_OUT.to_owned(),
        }
    }
}

/// What of a field's cells may be shared.
pub(super) fn keep_of_field(field: &'static Field) -> Keep {
    match (field.personal, field.name, field.kind) {
        (true, "mpan", _) => Keep::Nothing("supply number"),
        (true, "override_by", _) => Keep::Nothing("name"),
        (true, ..) => Keep::Nothing("notes"),
        (false, "address" | "lot", _) => Keep::Text,
        (false, _, FieldKind::Identifier) => Keep::Key,
        _ => Keep::Known,
    }
}

/// The same by its name; a column that is no survey field may be anything.
pub(super) fn keep_of(field: &str) -> Keep {
    fields().iter().find(|known| known.name == field).map_or(Keep::Known, keep_of_field)
}

/// Why a column of the user's own is not shared; `None` where it says nothing of a person.
pub(super) fn own_column_kind<'a>(heading: &str, cells: impl Iterator<Item = &'a String>) -> Option<&'static str> {
    if let Some(kind) = of_a_person(heading) {
        return Some(kind);
    }
    let area = names_an_area(heading);
    if heading.trim().is_empty() || heading_without_marks(heading).contains(LEFT_OUT) || !(area || all_known(heading)) {
        return Some("text");
    }
    let mut why = None;
    for cell in cells.filter(|cell| !cell.trim().is_empty()) {
        let found = if is_marked(cell) {
            "telephone"
        } else if longest_digits(cell) >= DIGITS_OF_A_PERSON && !is_a_day(cell) {
            "number"
        } else if is_a_day(cell) && year_of(cell) <= BIRTHS_UNTIL {
            "birth"
        } else if !area && !all_known(cell) {
            "text"
        } else {
            continue;
        };
        // A mark says most; the others stand as they are met.
        if found == "telephone" {
            return Some(found);
        }
        why.get_or_insert(found);
    }
    why
}

/// The longest run of digits.
fn longest_digits(text: &str) -> usize {
    let runs = text.split(|character: char| !character.is_numeric());
    runs.map(|run| run.chars().count()).max().unwrap_or_default()
}

/// Whether a cell is a day: three runs of figures, one of them a year.
fn is_a_day(cell: &str) -> bool {
    let runs: Vec<&str> =
        cell.split(|character: char| !character.is_ascii_digit()).filter(|run| !run.is_empty()).collect();
    let parted = cell.contains(['-', '/', '.']);
    parted && runs.len() >= 3 && runs.iter().all(|run| run.len() <= 4)
}

/// The year of a day; of two figures the later century only where that is past.
fn year_of(cell: &str) -> u32 {
    let runs = || cell.split(|character: char| !character.is_ascii_digit()).filter(|run| !run.is_empty());
    let four = runs().find(|run| run.len() == 4).and_then(|run| run.parse().ok());
    // Two figures may be of either century: the earlier is the safe one.
    four.unwrap_or(0)
}
