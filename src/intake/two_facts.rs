//! One column that holds several facts: "Phases / fuse" over "1ph 80A", "Earthing and Ze" over "TNS 0.4"; and one that
//! holds either of two ("amps or kW" over "41A" and "8.7kW"). Each cell is parted so that every part reads plainly as
//! its own field; a cell that parts in no way, or in several that say different things, is reported and not read.

use super::evidence::{FEWEST, Samples, capital, field_named};
use super::head_words::stands_for;
use super::heading_units::cut;
use super::headings::{Heading, Match, alone, column_said, in_words};
use super::mapping::settled;
use super::numbers::figure;
use super::raw::{RawCell, words_of};
use super::slots::{Slot, slot};
use super::table::TableHead;
use super::units::unit_named;
use super::values::{ColumnPlan, Remark, put};
use super::words::{lexicon, under_heading, why_unknown};
use crate::site::{Answer, Field, FieldKind, Reading, Site, WhyUnknown};

/// Share of the cells that must part or say one of the facts, and share that must say more than one.
const READS: f64 = 0.75;
const SAYS_BOTH: f64 = 0.1;
/// Most facts in one column.
const MOST_FACTS: usize = 3;
/// Longest cell that is parted.
const LONGEST_CELL: usize = 80;

/// A column (its position in the list of headings) with several facts.
#[derive(Clone, Debug)]
pub(super) struct Shared {
    pub at: usize,
    /// What it holds, in the order of the heading.
    pub matches: Vec<Match>,
    /// Whether a cell holds one of them, told by its unit.
    pub either: bool,
}

/// How such a column is read.
pub(super) struct SharedPlan {
    pub index: u16,
    pub plans: Vec<ColumnPlan>,
    either: bool,
}

/// What was understood of a cell, with the field it is of.
type Said = (&'static str, Remark);

/// The plan of one field at a column.
pub(super) fn plan_for(heading: &Heading, found: &Match) -> Option<ColumnPlan> {
    Some(ColumnPlan {
        index: heading.index,
        field: found.field,
        slot: slot(found.field.name)?,
        unit: found.unit,
        lexicon: lexicon(found.field),
        under: under_heading(found.field.name, &words_of(&heading.text)),
    })
}

/// Leaves a field not understood.
pub(super) fn refuse(plan: &ColumnPlan, site: &mut Site) {
    let column = Some(plan.index);
    let why = WhyUnknown::NotUnderstood;
    match plan.slot {
        Slot::SiteId => {}
        Slot::Text(place) => *place(site) = Reading { answer: Answer::Unknown(why), column },
        Slot::Number(place) => *place(site) = Reading { answer: Answer::Unknown(why), column },
        Slot::YesNo(place) => *place(site) = Reading { answer: Answer::Unknown(why), column },
        Slot::Day(place) => *place(site) = Reading { answer: Answer::Unknown(why), column },
        Slot::Word(put) => put(site, Answer::Unknown(why), plan.index),
    }
}

impl SharedPlan {
    pub fn of(heading: &Heading, shared: &Shared) -> Option<Self> {
        let plans: Option<Vec<ColumnPlan>> = shared.matches.iter().map(|found| plan_for(heading, found)).collect();
        Some(Self { index: heading.index, plans: plans?, either: shared.either })
    }

    fn names(&self) -> String {
        let names: Vec<&str> = self.plans.iter().map(|plan| plan.field.name).collect();
        names.join(if self.either { " or " } else { " and " })
    }

    /// Reads a cell into every field it speaks of.
    pub fn put(&self, cell: Option<&RawCell>, site: &mut Site) -> Vec<Said> {
        let mut said = Vec::new();
        let mut one = |plan: &ColumnPlan, cell: Option<&RawCell>, site: &mut Site| {
            said.extend(put(plan, cell, site).map(|remark| (plan.field.name, remark)));
        };
        let Some(written) = cell.filter(|cell| why_unknown(&words_of(&cell.shown())).is_none()) else {
            let asked = if self.either { 1 } else { self.plans.len() };
            self.plans.iter().take(asked).for_each(|plan| one(plan, cell, site));
            return said;
        };
        if let Some(parts) = self.part(written) {
            for (plan, part) in self.plans.iter().zip(parts) {
                match part {
                    Some(text) => one(plan, Some(&RawCell::Text(text)), site),
                    None if self.either => {}
                    None => one(plan, None, site),
                }
            }
            return said;
        }
        let message = match self.either {
            true => format!("The column holds {}, and no unit says which this is.", self.names()),
            false => format!("The column holds {}, and which part of the cell is which is not plain.", self.names()),
        };
        for plan in self.plans.iter().take(if self.either { 1 } else { self.plans.len() }) {
            refuse(plan, site);
            said.push((plan.field.name, Remark { understood: "not known".to_owned(), message: message.clone() }));
        }
        said
    }

    /// The parts of a cell by field; `None` where it parts in no way or in several that say different things.
    pub fn part(&self, cell: &RawCell) -> Option<Vec<Option<String>>> {
        let text = cell.shown();
        let text = text.trim();
        if text.is_empty() || text.len() > LONGEST_CELL {
            return None;
        }
        if self.either {
            let unit = figure(text, &["current", "power", "apparent"])?.unit?;
            let current = unit.quantity == "current";
            let takes = |plan: &ColumnPlan| (plan.field.unit == "A") == current;
            let parts = self.plans.iter().map(|plan| takes(plan).then(|| text.to_owned()));
            return Some(parts.collect::<Vec<_>>()).filter(|parts| parts.iter().flatten().count() == 1);
        }
        let mut orders: Vec<Vec<usize>> = vec![(0..self.plans.len()).collect()];
        orders.push((0..self.plans.len()).rev().collect());
        let mut found: Vec<Parting> = Vec::new();
        for order in &orders {
            self.partings(text, order, &mut vec![None; self.plans.len()], &mut found);
        }
        // The most facts win; then the fewest doubts. What is left must say the same.
        let best = found.iter().map(|parting| (parting.facts, parting.plain)).max()?;
        let mut best = found.into_iter().filter(|parting| (parting.facts, parting.plain) == best);
        let first = best.next()?;
        best.all(|other| other.says == first.says).then_some(first.parts)
    }

    /// Every way to part a text among the fields of an order, in that order, some perhaps left out.
    fn partings(&self, text: &str, order: &[usize], parts: &mut Vec<Option<String>>, found: &mut Vec<Parting>) {
        let Some((first, rest)) = order.split_first() else { return };
        let Some(plan) = self.plans.get(*first) else { return };
        if rest.is_empty() || parts.iter().all(Option::is_none) {
            // All that is left is this field's.
            if reads(plan, text).is_some() {
                let mut whole = parts.clone();
                if let Some(slot) = whole.get_mut(*first) {
                    *slot = Some(text.to_owned());
                }
                found.extend(self.parting(whole));
            }
        }
        if rest.is_empty() {
            return;
        }
        for (left, right) in cuts(text) {
            if reads(plan, left).is_none() {
                continue;
            }
            if let Some(slot) = parts.get_mut(*first) {
                *slot = Some(left.to_owned());
            }
            self.partings(right, rest, parts, found);
            if let Some(slot) = parts.get_mut(*first) {
                *slot = None;
            }
        }
        // This field may be left out.
        self.partings(text, rest, parts, found);
    }

    fn parting(&self, parts: Vec<Option<String>>) -> Option<Parting> {
        let mut says = Vec::new();
        let (mut facts, mut plain) = (0, 0);
        for (plan, part) in self.plans.iter().zip(&parts) {
            let read = match part {
                Some(text) => Some(reads(plan, text)?),
                None => None,
            };
            facts += usize::from(read.is_some());
            plain += usize::from(read.as_ref().is_some_and(|read| read.plain));
            says.push(read.map(|read| read.value).unwrap_or_default());
        }
        Some(Parting { parts, says, facts, plain })
    }
}

struct Parting {
    parts: Vec<Option<String>>,
    says: Vec<String>,
    facts: usize,
    plain: usize,
}

/// How a text reads in a field by itself.
struct Read {
    value: String,
    plain: bool,
}

fn reads(plan: &ColumnPlan, text: &str) -> Option<Read> {
    let mut site = Site::default();
    let unknown = text.trim_matches(['-', '\u{2013}', '?', ' ']).is_empty() || why_unknown(&words_of(text)).is_some();
    let remark = put(plan, Some(&RawCell::Text(text.to_owned())), &mut site);
    let unused = remark.is_some_and(|remark| remark.message.contains("not used"));
    let (known, plain, value) = match plan.slot {
        // "3/3" is two figures, whatever the first of them is.
        Slot::Number(_) if text.contains(['/', ';', '|']) => (false, false, String::new()),
        Slot::Number(place) => outcome(place(&mut site)),
        Slot::YesNo(place) => outcome(place(&mut site)),
        Slot::Day(place) => outcome(place(&mut site)),
        Slot::Text(place) => outcome(place(&mut site)),
        Slot::SiteId => return None,
        Slot::Word(_) => match plan.lexicon.read(text) {
            super::words::Word::Plain { word, partly: false } => (true, true, word.to_owned()),
            super::words::Word::Doubtful { word, other } => (true, false, format!("{word} or {other}")),
            super::words::Word::Mended(word) => (true, false, word.to_owned()),
            _ => (false, false, String::new()),
        },
    };
    match (known && !unused, unknown) {
        (true, _) => Some(Read { value, plain }),
        (false, true) => Some(Read { value: String::new(), plain: false }),
        (false, false) => None,
    }
}

fn outcome<T: std::fmt::Debug>(reading: &Reading<T>) -> (bool, bool, String) {
    let plain = matches!(reading.answer, Answer::Stated(_));
    let known = plain || matches!(reading.answer, Answer::Doubtful { .. });
    (known, plain, if known { format!("{:?}", reading.answer) } else { String::new() })
}

/// Where a text may be cut in two: at a mark between the parts, or at a blank.
fn cuts(text: &str) -> Vec<(&str, &str)> {
    let marks = |c: char| matches!(c, '/' | ',' | ';' | '&' | '+' | '|' | '@' | '\n') || c.is_whitespace();
    let mut found = Vec::new();
    for (at, mark) in text.char_indices().filter(|(_, c)| marks(*c)) {
        let left = text.get(..at).unwrap_or_default();
        let right = text.get(at + mark.len_utf8()..).unwrap_or_default();
        let outer = |c: char| marks(c) || matches!(c, ':' | '\u{2013}');
        let left = left.trim_end_matches(outer).trim_end_matches(" -");
        let right = right.trim_start_matches(outer).trim_start_matches("- ");
        if !left.trim().is_empty() && !right.trim().is_empty() {
            found.push((left.trim(), right.trim()));
        }
    }
    found
}

/// The parts of a heading that joins several: "Phases / fuse", "Earthing & Ze", "Tails and isolator".
fn parts_of(text: &str) -> Vec<String> {
    let mut text = format!(" {text} ");
    for mark in ["/", "&", "+", ",", " and ", " with "] {
        text = text.replace(mark, "\u{1}");
    }
    text.split('\u{1}').map(|part| part.trim().to_owned()).filter(|part| !part.is_empty()).collect()
}

/// What a part of a heading is, by itself, after the first word of the whole, or in company (`half` words).
fn part_said(part: &str, first: &str, heading: &Heading) -> Option<Match> {
    let is_fact = |found: &Match| !matches!(found.field.kind, FieldKind::Text | FieldKind::Identifier);
    let said = |text: String| {
        alone(&Heading { index: heading.index, text, group: heading.group.clone(), ..Heading::default() }, &[])
            .filter(is_fact)
    };
    let owner = first.split(' ').next().unwrap_or_default();
    let rest = || part.strip_prefix(owner).map(str::trim).filter(|rest| !owner.is_empty() && !rest.is_empty());
    let half = |text: &str| {
        let field = field_named(stands_for("half", &words_of(&cut(text).base))?)?;
        let (field, unit) = super::heading_units::by_unit(field, cut(text).unit.as_deref())?;
        Some(Match { unit, ..Match::by_values(field, super::evidence::BY_VALUES_SURE, String::new()) })
    };
    half(part)
        .or_else(|| rest().and_then(half))
        .or_else(|| said(part.to_owned()))
        .or_else(|| said(format!("{owner} {part}")).filter(|_| part != first))
}

/// The units of which a heading names two: "(amps or kW)", "kW/A".
fn either_unit(heading: &Heading) -> Option<(String, [Match; 2])> {
    let folded = super::raw::folded(&heading.text);
    let spaced = folded.replace(['(', ')', '[', ']', ','], " ").replace('/', " / ");
    let words: Vec<&str> = spaced.split_whitespace().collect();
    let of = |word: &str, quantity| unit_named(word, &[quantity]).is_some_and(|unit| unit.quantity == quantity);
    let at = (0..words.len()).find(|at| {
        let (Some(one), Some(or), Some(other)) = (words.get(*at), words.get(at + 1), words.get(at + 2)) else {
            return false;
        };
        matches!(*or, "or" | "/")
            && (of(one, "current") && of(other, "power") || of(one, "power") && of(other, "current"))
    })?;
    let rest: Vec<&str> =
        words.iter().enumerate().filter(|(n, _)| !(at..at + 3).contains(n)).map(|(_, w)| *w).collect();
    let bare =
        Heading { index: heading.index, text: rest.join(" "), group: heading.group.clone(), ..Heading::default() };
    let found = alone(&bare, &[]).or_else(|| in_words(&bare))?;
    let (amps, kw) = (field_named("existing_demand_a")?, field_named("existing_demand_kw")?);
    let of_field = |field: &'static Field| Match { unit: None, field, ..found.clone() };
    matches!(found.field.name, "existing_demand_a" | "existing_demand_kw")
        .then(|| (bare.text, [of_field(amps), of_field(kw)]))
}

/// Finds the columns with several facts among those that nothing names.
pub(super) fn find_shared(
    head: &mut TableHead,
    samples: &Samples<'_>,
    mapping: &[(String, String)],
    warnings: &mut Vec<String>,
) {
    for at in 0..head.headings.len() {
        let Some(heading) = head.headings.get(at).cloned() else { continue };
        let contested = head.contested.iter().any(|(_, claims)| claims.contains(&at));
        if settled(&heading, mapping).is_some() || contested {
            continue;
        }
        let open = head.matches.get(at).is_some_and(Option::is_none);
        let either = either_unit(&heading).filter(|_| {
            let own = |found: &Match| found.field.name.starts_with("existing_demand");
            open || head.matches.get(at).is_some_and(|found| found.as_ref().is_some_and(own))
        });
        let (matches, either) = match either {
            Some((_, matches)) => (matches.to_vec(), true),
            None if open => {
                let parts = parts_of(&super::raw::folded(&heading.text));
                if !(2..=MOST_FACTS).contains(&parts.len()) {
                    continue;
                }
                let first = parts.first().cloned().unwrap_or_default();
                let found: Option<Vec<Match>> = parts.iter().map(|part| part_said(part, &first, &heading)).collect();
                match found {
                    Some(found) => (found, false),
                    None => continue,
                }
            }
            None => continue,
        };
        let taken = |name: &str| {
            head.matches
                .iter()
                .enumerate()
                .any(|(other, found)| other != at && found.as_ref().is_some_and(|found| found.field.name == name))
                || head.shared.iter().any(|shared| shared.matches.iter().any(|found| found.field.name == name))
        };
        let mut names: Vec<&str> = matches.iter().map(|found| found.field.name).collect();
        names.sort_unstable();
        names.dedup();
        if names.len() != matches.len() || names.iter().any(|name| taken(name)) {
            continue;
        }
        let shared = Shared { at, matches, either };
        let Some(plan) = SharedPlan::of(&heading, &shared) else { continue };
        let cells = samples.get(&heading.index).map_or(&[][..], Vec::as_slice);
        let parted: Vec<usize> =
            cells.iter().filter_map(|cell| plan.part(cell)).map(|parts| parts.iter().flatten().count()).collect();
        let several = parted.iter().filter(|facts| **facts > 1).count();
        let enough = cells.len() >= FEWEST
            && parted.len() as f64 >= READS * cells.len() as f64
            && (either || several as f64 >= SAYS_BOTH * cells.len() as f64);
        if !enough {
            continue;
        }
        let said = capital(&column_said(&heading));
        warnings.push(match either {
            true => {
                format!("{said} is read as {}, by the unit of each cell; a cell without one is not read.", plan.names())
            }
            false => format!(
                "{said} is read as {}, each cell parted where both parts read as theirs; if it is not, say so in a \
                 mapping.",
                plan.names()
            ),
        });
        if let Some((slot, first)) = head.matches.get_mut(at).zip(shared.matches.first()) {
            let how = format!("holds {}", plan.names());
            let evidence = format!("{} of the first {} values part so", parted.len(), cells.len());
            *slot = Some(Match { how, evidence, ..first.clone() });
        }
        head.shared.push(shared);
    }
}
