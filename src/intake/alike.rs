//! Notes on cells gathered by kind of trouble: the same message, whatever figures stand in it, is one kind.
//!
//! It only groups; what a note says was said where the cell was read.

use super::types::{CellNote, Intake};
use std::collections::BTreeMap;

/// Cells that are shown of a kind.
pub const EXAMPLES: usize = 3;

/// Cells with one kind of trouble.
#[derive(Clone, Debug, PartialEq)]
pub struct Group {
    /// What is said of them; the first cell's own words.
    pub message: String,
    /// How many cells.
    pub count: usize,
    /// The first of them, at most [`EXAMPLES`], no text twice while others are left.
    pub examples: Vec<Example>,
}

/// One cell.
#[derive(Clone, Debug, PartialEq)]
pub struct Example {
    /// Where ("R5").
    pub cell: String,
    /// Survey field.
    pub field: &'static str,
    /// As written.
    pub raw: String,
    /// As understood.
    pub understood: String,
    /// Whether nothing is.
    pub lost: bool,
}

/// The kinds among notes, the most frequent first, equals in the order of the sheet.
pub(super) fn groups<'a>(intake: &Intake, notes: impl Iterator<Item = &'a CellNote>) -> Vec<Group> {
    let mut place: BTreeMap<String, usize> = BTreeMap::new();
    let mut groups: Vec<(Group, Vec<&CellNote>)> = Vec::new();
    for note in notes {
        let next = groups.len();
        let at = *place.entry(kind(&note.message)).or_insert(next);
        if at == next {
            groups.push((Group { message: note.message.clone(), count: 0, examples: Vec::new() }, Vec::new()));
        }
        let Some((group, spare)) = groups.get_mut(at) else { continue };
        group.count += 1;
        if group.examples.len() >= EXAMPLES {
            continue;
        }
        if group.examples.iter().any(|example| example.raw == note.raw) {
            if spare.len() < EXAMPLES {
                spare.push(note);
            }
        } else {
            group.examples.push(example(intake, note));
        }
    }
    let mut groups: Vec<Group> = groups
        .into_iter()
        .map(|(mut group, spare)| {
            let room = EXAMPLES.saturating_sub(group.examples.len());
            group.examples.extend(spare.into_iter().take(room).map(|note| example(intake, note)));
            group
        })
        .collect();
    groups.sort_by_key(|group| std::cmp::Reverse(group.count));
    groups
}

fn example(intake: &Intake, note: &CellNote) -> Example {
    Example {
        cell: intake.cell_named(note.sheet, note.row, note.column),
        field: note.field,
        raw: note.raw.clone(),
        understood: note.understood.clone(),
        lost: note.is_lost(),
    }
}

/// The message without its figures and quoted texts, which differ from cell to cell.
fn kind(message: &str) -> String {
    let mut kind = String::with_capacity(message.len());
    let mut quoted = false;
    for character in message.chars() {
        match character {
            '"' => quoted = !quoted,
            _ if quoted => {}
            '0'..='9' | '.' => {
                if !kind.ends_with('#') {
                    kind.push('#');
                }
            }
            other => kind.push(other),
        }
    }
    kind
}

#[cfg(test)]
mod tests {
    use super::*;

    fn note(row: u32, raw: &str, message: &str) -> CellNote {
        CellNote {
            row,
            column: 1,
            field: "cutout_rating_a",
            raw: raw.into(),
            understood: "not known".into(),
            message: message.into(),
            ..CellNote::default()
        }
    }

    #[test]
    fn figures_and_quoted_texts_make_no_other_kind() {
        let notes = [
            note(2, "1-2", "Read as 1 to 2."),
            note(3, "3-4.5", "Read as 3 to 4.5."),
            note(4, "a", "It may be \"a\" or \"b\"."),
            note(5, "1-2", "Read as 1 to 2."),
            note(6, "c", "It may be \"c\" or \"d\"."),
            note(7, "8-9", "Read as 8 to 9."),
        ];
        let groups = groups(&Intake::default(), notes.iter());
        assert_eq!(groups.iter().map(|group| group.count).collect::<Vec<_>>(), [4, 2]);
        // A text that stands twice leaves room for another.
        let cells: Vec<&str> = groups[0].examples.iter().map(|example| example.cell.as_str()).collect();
        assert_eq!(cells, ["B2", "B3", "B7"]);
    }

    #[test]
    fn alike_texts_fill_the_room_that_is_left() {
        let notes: Vec<CellNote> = (2..9).map(|row| note(row, "see photo", "It is elsewhere.")).collect();
        let groups = groups(&Intake::default(), notes.iter());
        assert_eq!((groups[0].count, groups[0].examples.len()), (7, 3));
    }
}
