//! What was said about cells and rows in sentences, without what is personal in the cells they quote. Sentences that are
//! made from data are made again from what is left of it; in the others, what was left out of their row is struck out.

use super::columns::keep_of;
use super::marks::{LEFT_OUT, without_marks};
use super::word_list::{all_known, is_ordinary};
use super::{group_shared, key_shared};
use crate::intake::aside::{Cause, SamePlace};
use crate::intake::layer::LayerKind;
use crate::intake::types::{CellNote, Intake};
use std::collections::{BTreeMap, BTreeSet};

/// Least letters of a cell that is struck out of sentences.
const LEAST_PHRASE: usize = 3;

/// What was left out, by row: to be struck out wherever it is quoted.
#[derive(Default)]
pub(super) struct Secrets {
    of_row: BTreeMap<(u16, u32), Vec<String>>,
    /// Words that are no words of the trade and are written like names.
    names: BTreeSet<String>,
    /// What may be quoted all the same: headings and names of sheets.
    quotable: BTreeSet<String>,
}

/// What stands for a sentence whose quotes cannot be told apart.
const SENTENCE_LEFT_OUT: &str = "A remark is left out for sharing.";

impl Secrets {
    /// A heading or the name of a sheet.
    pub(super) fn may_quote(&mut self, text: &str) {
        self.quotable.insert(text.split_whitespace().collect::<Vec<_>>().join(" "));
    }

    /// The text without what it quotes, but for headings, names of sheets and words of the trade.
    fn without_quotes(&self, text: &str) -> String {
        let parts: Vec<&str> = text.split('"').collect();
        if parts.len().is_multiple_of(2) {
            return SENTENCE_LEFT_OUT.to_owned();
        }
        let shown = |(at, part): (usize, &&str)| {
            let quoted = at % 2 == 1;
            let known = || self.quotable.contains(&part.split_whitespace().collect::<Vec<_>>().join(" "));
            if quoted && !all_known(part) && !known() { LEFT_OUT.to_owned() } else { (*part).to_owned() }
        };
        parts.iter().enumerate().map(shown).collect::<Vec<_>>().join("\"")
    }

    /// A cell that was left out of a row.
    pub(super) fn add(&mut self, sheet: u16, row: u32, cell: &str) {
        let cell = cell.trim();
        if cell.chars().count() < LEAST_PHRASE {
            return;
        }
        self.of_row.entry((sheet, row)).or_default().push(cell.to_owned());
        let like_a_name = |word: &&str| {
            let first = word.chars().next().is_some_and(|first| first.is_uppercase() || first.is_numeric());
            first && word.chars().count() >= LEAST_PHRASE && !is_ordinary(word)
        };
        self.names.extend(words(cell).filter(like_a_name).map(str::to_owned));
    }

    /// The text without what was left out of its row, and without names of any row.
    fn struck(&self, text: &str, place: (u16, u32)) -> String {
        let mut text = self.without_quotes(text);
        let mut phrases: Vec<&String> = self.of_row.get(&place).into_iter().flatten().collect();
        phrases.sort_by_key(|phrase| std::cmp::Reverse(phrase.len()));
        for phrase in phrases {
            if text.contains(phrase.as_str()) {
                text = text.replace(phrase.as_str(), LEFT_OUT);
            }
        }
        self.without_names(&text)
    }

    /// The text without anything that was left out of any row: for the few sentences about a sheet as a whole.
    fn struck_everywhere(&self, text: &str) -> String {
        let mut text = self.without_quotes(text);
        for phrase in self.of_row.values().flatten().filter(|phrase| !all_known(phrase)) {
            if text.contains(phrase.as_str()) {
                text = text.replace(phrase.as_str(), LEFT_OUT);
            }
        }
        self.without_names(&text)
    }

    /// The text without names of any row.
    fn without_names(&self, text: &str) -> String {
        let text = without_marks(text);
        let mut out = String::with_capacity(text.len());
        let mut done = 0;
        for word in words(&text) {
            let from = word.as_ptr() as usize - text.as_ptr() as usize;
            if self.names.contains(word) {
                out.push_str(text.get(done..from).unwrap_or_default());
                out.push_str(LEFT_OUT);
                done = from + word.len();
            }
        }
        out.push_str(text.get(done..).unwrap_or_default());
        out
    }
}

/// The words of a text.
fn words(text: &str) -> impl Iterator<Item = &str> {
    text.split(|character: char| !character.is_alphanumeric()).filter(|word| !word.is_empty())
}

/// Whether a row set aside is a place all the same, so that its address is one.
pub(super) fn is_a_place(cause: &Cause) -> bool {
    matches!(cause, Cause::SamePlace(_))
}

/// Every sentence of what was read.
pub(super) fn share(intake: &mut Intake, secrets: &Secrets, kinds: &[Option<&'static str>]) {
    let gone: BTreeSet<(u16, u16)> = intake
        .columns
        .iter()
        .zip(kinds)
        .filter(|(_, kind)| kind.is_some())
        .map(|(column, _)| (column.sheet, column.index))
        .collect();
    intake.notes.retain(|note| !gone.contains(&(note.sheet, note.column)));
    intake.notes.iter_mut().for_each(|note| note_shared(note, secrets));
    let by_heading: BTreeMap<String, &'static str> = intake
        .columns
        .iter()
        .zip(kinds)
        .map(|(column, _)| {
            let heading = column.heading.split_whitespace().collect::<Vec<_>>().join(" ");
            (heading, column.field.map_or("", |field| field.name))
        })
        .collect();
    for aside in &mut intake.set_aside {
        match &mut aside.cause {
            Cause::Total(label) if !all_known(label) => LEFT_OUT.clone_into(label),
            Cause::SamePlace(same) => same_place_shared(same, &by_heading),
            _ => {}
        }
        aside.why = secrets.struck(&aside.cause.said(), (aside.sheet, aside.row));
    }
    for warning in &mut intake.warnings {
        *warning = secrets.struck_everywhere(warning);
    }
    layers_shared(intake, secrets);
}

fn note_shared(note: &mut CellNote, secrets: &Secrets) {
    let place = (note.sheet, note.row);
    let shown = keep_of(note.field).tidy(&note.raw);
    if shown != note.raw {
        // What is written in the cell may come again in the words about it, whole or in part.
        note.message = strike_all(&note.message, &note.raw);
        note.understood = strike_all(&note.understood, &note.raw);
    }
    note.raw = shown;
    note.understood = secrets.struck(&note.understood, place);
    note.message = match note.contradiction {
        Some("surveys-differ") => "Another row, for the same place, says otherwise.".to_owned(),
        _ => secrets.struck(&note.message, place),
    };
    if note.field == "site_id" {
        note.understood = without_marks(&note.understood).into_owned();
    }
}

/// A sentence without a cell's text and without the words of it that are none of the trade.
fn strike_all(text: &str, cell: &str) -> String {
    let cell = cell.trim();
    let text = if cell.is_empty() { text.to_owned() } else { text.replace(cell, LEFT_OUT) };
    let unknown: BTreeSet<&str> = words(cell).filter(|word| !is_ordinary(word)).collect();
    let strange = |word: &&str| unknown.contains(*word);
    if words(&text).any(|word| strange(&word)) { String::new() } else { text }
}

fn same_place_shared(same: &mut SamePlace, by_heading: &BTreeMap<String, &'static str>) {
    same.differences.retain_mut(|one| {
        let Some(field) = by_heading.get(&one.heading).filter(|field| !field.is_empty()) else { return false };
        let keep = keep_of(field);
        one.here = keep.tidy(&one.here);
        one.there = one.there.take().map(|there| keep.tidy(&there));
        !matches!(keep, super::Keep::Nothing(_))
    });
}

/// What is said of files laid over the portfolio.
fn layers_shared(intake: &mut Intake, secrets: &Secrets) {
    // Lines about vehicles name their group: those that go get their number, as the site's own list has it.
    let mut groups: BTreeMap<String, String> = BTreeMap::new();
    for site in &intake.sites {
        for (number, group) in (1..).zip(&site.fleet) {
            groups.insert(group.name.clone(), group_shared(&group.name, number));
        }
    }
    for layer in &mut intake.layers {
        layer.read = Vec::new();
        for text in layer.warnings.iter_mut().chain(&mut layer.columns) {
            *text = secrets.struck_everywhere(text);
        }
        let of_meters = layer.kind == LayerKind::HalfHours;
        for line in &mut layer.lines {
            let place = (line.site_sheet, line.site_row);
            let keep = match (line.field, of_meters) {
                ("", true) => super::Keep::Nothing("supply number"),
                ("", false) => super::Keep::Key,
                (field, _) => keep_of(field),
            };
            for text in [&mut line.value, &mut line.against] {
                let shown = keep.tidy(text);
                if shown != *text {
                    line.remark = strike_all(&line.remark, text);
                }
                *text = shown;
            }
            if layer.kind == LayerKind::Fleet {
                for (name, shown) in groups.iter().filter(|(name, shown)| name != shown) {
                    line.remark = line.remark.replace(name.as_str(), shown);
                }
            }
            line.remark = secrets.struck(&line.remark, place);
            line.site_id = key_shared(&line.site_id, line.site_sheet, line.site_row);
        }
    }
}
