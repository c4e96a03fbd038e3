//! Headings that point at another one by its number: "Evidence for B5", where B5 is "Cut-out fuse rating". The numbers
//! stand in a line above the headings or before each of them. It knows headings as text, no fields.

use super::head_words::without_number;
use super::heading_units::cut;
use super::headings::Heading;
use super::raw::{RawRow, folded, words_of};
use std::collections::BTreeMap;

/// Fewer numbers above are no line of numbers.
const FEWEST: usize = 3;

/// Whether a text is the number of a question that others can point at: a letter and figures, as "B5" or "Q12".
fn is_number(text: &str) -> bool {
    let rest = text.trim_start_matches(|c: char| c.is_ascii_lowercase());
    let letters = text.len() - rest.len();
    (1..=1).contains(&letters) && (1..=3).contains(&rest.len()) && rest.bytes().all(|byte| byte.is_ascii_digit())
}

/// Writes out what each heading points at, where it does.
pub(super) fn write_out(headings: &mut [Heading], above: Option<&RawRow>) {
    let mut numbered: BTreeMap<String, String> = BTreeMap::new();
    let line: Vec<(u16, String)> = above
        .map_or(&[][..], |row| &row.cells)
        .iter()
        .map(|(column, cell)| (*column, words_of(&cell.shown())))
        .filter(|(_, text)| is_number(text))
        .collect();
    for heading in headings.iter() {
        let base = cut(&heading.text).base;
        let number = line
            .iter()
            .find(|(column, _)| *column == heading.index && line.len() >= FEWEST)
            .map(|(_, number)| number.clone())
            .or_else(|| own_number(&heading.text));
        if let Some(number) = number {
            numbered.insert(number, base);
        }
    }
    if numbered.len() < FEWEST {
        return;
    }
    for heading in headings {
        let text = folded(&without_number(&heading.text));
        let own = own_number(&heading.text);
        let mut pointed = false;
        let words: Vec<String> = text
            .split(' ')
            .map(|word| {
                let plain = words_of(word);
                match numbered.get(&plain).filter(|_| own.as_ref() != Some(&plain)) {
                    Some(other) if !other.split(' ').any(|word| numbered.contains_key(word)) => {
                        pointed = true;
                        other.clone()
                    }
                    _ => word.to_owned(),
                }
            })
            .collect();
        if pointed {
            heading.meant = words.join(" ");
        }
    }
}

/// The number that a heading begins with: "B5. Cut-out rating", "Q5: Cut-out rating".
fn own_number(text: &str) -> Option<String> {
    let folded = folded(text);
    let rest = without_number(text);
    let number = words_of(folded.strip_suffix(&rest)?);
    is_number(&number).then_some(number)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::intake::raw::RawCell;

    #[test]
    fn what_is_pointed_at_is_written_out() {
        let heading = |index: u16, text: &str| Heading { index, text: text.to_owned(), ..Heading::default() };
        let mut above = RawRow { row: 4, ..RawRow::default() };
        above.cells =
            ["B4", "B5", "B6"].iter().enumerate().map(|(at, n)| (at as u16, RawCell::Text((*n).to_owned()))).collect();
        let mut headings = vec![
            heading(0, "Address"),
            heading(1, "Cut-out fuse rating (A)"),
            heading(2, "Evidence for B5 (F = fuse, L = label)"),
        ];
        write_out(&mut headings, Some(&above));
        assert_eq!(headings[1].meant, "");
        assert!(headings[2].meant.starts_with("evidence for cut out fuse rating"), "{}", headings[2].meant);
        let mut headings =
            vec![heading(0, "Q1. Address"), heading(1, "Q2. Main fuse (A)"), heading(2, "Q3. How was Q2 found?")];
        write_out(&mut headings, None);
        assert_eq!(headings[2].meant, "how was main fuse found?");
    }
}
