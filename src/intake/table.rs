//! Where the table is: which row heads it, under which titles, and which columns hold parts of the address.

use super::figures::quantities;
use super::head_words::{all_of, of_kind};
use super::heading_units::spaced;
use super::headings::{Heading, Match, fields_named, fields_spoken_of, match_headings};
use super::layout::Layout;
use super::phases::{PHASES, three_phases};
use super::raw::{RawCell, RawRow, folded, words_of};
use super::references::write_out;
use super::shortened::spelt_out;
use super::stated_facts::StatedFact;
use super::two_facts::Shared;
use super::units::unit_named;
use crate::site::{Field, fields};

/// Filled rows looked at to find the headings.
pub(super) const LOOKED_AT: usize = 60;
/// Fields that a row of headings must name to be one.
const FEWEST_FIELDS: usize = 2;
/// Longest text that is a heading and not a note.
const LONGEST_HEADING: usize = 300;

/// The head of a table.
#[derive(Debug)]
pub(super) struct TableHead {
    /// Row of the headings, from 1.
    pub row: u32,
    /// Last row of the head: that of the units, where they have a line of their own.
    pub last: u32,
    /// The row of other headings further up, with rows under them.
    pub another_above: Option<u32>,
    /// The headings, by column.
    pub headings: Vec<Heading>,
    /// What each was matched to.
    pub matches: Vec<Option<Match>>,
    /// Fields that several columns claim alike.
    pub contested: Vec<(&'static Field, Vec<usize>)>,
    /// Columns (positions in `headings`) that make up the address, in order; one when a column holds it whole.
    pub address: Vec<usize>,
    /// Columns with several facts each.
    pub shared: Vec<Shared>,
    /// The columns of the three phases of a demand; none when it has one column.
    pub phases: Vec<usize>,
    /// What a heading states of its whole column.
    pub stated: Option<StatedFact>,
}

impl TableHead {
    /// How many fields it names.
    pub fn fields(&self) -> usize {
        self.matches.iter().flatten().count()
    }

    /// How many fields it names, and how plainly. A heading that could stand under any title ("Type") says nothing here
    /// for or against the titles above it.
    fn weight(&self) -> (usize, u32) {
        let says = |(heading, _): &(&Heading, &Match)| {
            !heading.group.is_empty() || !all_of(&words_of(&heading.text), &["generic"])
        };
        let found =
            self.headings.iter().zip(&self.matches).filter_map(|(heading, found)| Some((heading, found.as_ref()?)));
        let strengths = || found.clone().filter(says).map(|(_, found)| u32::from(found.strength));
        // The phases of a demand are columns that are named only together.
        let phases = if three_phases(&self.headings).is_some() { PHASES } else { 0 };
        (strengths().count() + phases, strengths().sum())
    }

    /// Whether a field has a column.
    pub fn has(&self, name: &str) -> bool {
        let shared = self.shared.iter().flat_map(|shared| &shared.matches);
        self.matches.iter().flatten().chain(shared).any(|found| found.field.name == name)
    }
}

/// How the row above is taken.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Above {
    /// Not at all.
    Aside,
    /// As titles of groups of columns.
    Titles,
    /// As the first half of each heading.
    FirstHalves,
}

/// The row among the first ones that names most fields; the earlier of equals. `None` when none names enough. Where
/// it is known which cells are merged, a title stands over just those columns.
pub(super) fn find_head(rows: &[RawRow], mapping: &[(String, String)], layout: &Layout) -> Option<TableHead> {
    let named = |at: usize, form: Above| {
        let row = rows.get(at)?;
        let headings = headings_of(row, (form != Above::Aside).then(|| above(rows, at)).flatten(), form, layout);
        (headings.len() >= FEWEST_FIELDS).then(|| fields_named(&headings, mapping))
    };
    // What whole sentences speak of, beside what is named outright.
    let spoken = |at: usize| {
        let row = rows.get(at)?;
        Some(fields_spoken_of(&headings_of(row, None, Above::Aside, layout), mapping))
    };
    let mut best: Option<(usize, usize)> = None;
    for at in 0..rows.len() {
        let forms = [Above::Aside, Above::Titles, Above::FirstHalves];
        let wordy = rows.get(at).is_some_and(mostly_words);
        let used = if wordy { 3 } else { 1 };
        let outright = forms.into_iter().take(used).filter_map(|form| named(at, form)).max().unwrap_or_default();
        let spoken = if wordy { spoken(at).unwrap_or_default() } else { 0 };
        let heads = outright >= FEWEST_FIELDS || outright + spoken > FEWEST_FIELDS;
        // A field that is named outright counts twice.
        let most = if heads { 2 * outright + spoken } else { 0 };
        if most > 0 && best.is_none_or(|(most_yet, _)| most > most_yet) {
            best = Some((most, at));
        }
    }
    let (at, misspelt) = match best {
        Some((_, at)) => (at, false),
        None => (nearly_head(rows, mapping, layout)?, true),
    };
    let row = rows.get(at)?;
    let mut head = head_of(row, None, Above::Aside, mapping, layout);
    if !misspelt && let Some(above) = above(rows, at) {
        for form in [Above::Titles, Above::FirstHalves] {
            let other = head_of(row, Some(above), form, mapping, layout);
            if other.weight() > head.weight() {
                head = other;
            }
        }
    }
    if let Some(units) = rows.get(at + 1).and_then(|below| units_below(row, below)) {
        let with_units: Vec<Heading> = head
            .headings
            .iter()
            .map(|heading| match units.iter().find(|(column, _)| *column == heading.index) {
                Some((_, unit)) if !heading.text.contains(['(', '[']) => {
                    Heading { text: format!("{} ({unit})", heading.text), ..heading.clone() }
                }
                _ => heading.clone(),
            })
            .collect();
        head = TableHead { last: row.row + 1, ..matched(row.row, with_units, mapping) };
    }
    let mut headings = head.headings.clone();
    write_out(&mut headings, above(rows, at));
    if headings != head.headings {
        head = TableHead { last: head.last, ..matched(row.row, headings, mapping) };
    }
    head.another_above = (0..at)
        .filter(|other| named(*other, Above::Aside).is_some_and(|named| named > FEWEST_FIELDS))
        .find_map(|other| rows.get(other).filter(|other| other.row + 1 < row.row))
        .map(|other| other.row);
    Some(head)
}

/// Whether most cells of a row are text without a digit, as headings are and values seldom.
fn mostly_words(row: &RawRow) -> bool {
    let words = row.cells.iter().filter(|(_, cell)| match cell {
        RawCell::Text(text) => !text.bytes().any(|byte| byte.is_ascii_digit()),
        _ => false,
    });
    words.count() * 2 > row.cells.len()
}

/// The row right above another, when there is one.
fn above(rows: &[RawRow], at: usize) -> Option<&RawRow> {
    let row = rows.get(at)?;
    at.checked_sub(1).and_then(|above| rows.get(above)).filter(|above| above.row + 1 == row.row)
}

/// The row of which most headings are spelt nearly like fields, where no row names any outright.
fn nearly_head(rows: &[RawRow], mapping: &[(String, String)], layout: &Layout) -> Option<usize> {
    let mut best: Option<(usize, usize)> = None;
    for (at, row) in rows.iter().enumerate() {
        let texts = headings_of(row, None, Above::Aside, layout);
        // Matching nearly is slow and rows of values are many: a row of headings is all text.
        if texts.len() <= FEWEST_FIELDS || texts.len() < row.cells.len() || !mostly_words(row) {
            continue;
        }
        let short = |head: &TableHead| {
            let open = head.headings.iter().zip(&head.matches).filter(|(_, found)| found.is_none());
            open.filter(|(heading, _)| !spelt_out(heading).is_empty()).count()
        };
        let head = matched(row.row, texts, mapping);
        let fields = head.fields() + short(&head);
        if fields > FEWEST_FIELDS && best.is_none_or(|(most, _)| fields > most) {
            best = Some((fields, at));
        }
    }
    best.map(|(_, at)| at)
}

/// What stands for "no unit" in a line of units.
const NO_UNITS: &[&str] = &["-", "n/a", "text", "y/n", "yes/no", "dd/mm/yyyy", "date", "number", "no."];

/// The units that a row of nothing but units gives to the headings above it, by column.
fn units_below(row: &RawRow, below: &RawRow) -> Option<Vec<(u16, String)>> {
    if below.row != row.row + 1 || below.cells.len() < FEWEST_FIELDS {
        return None;
    }
    let mut units = Vec::new();
    for (column, cell) in &below.cells {
        let RawCell::Text(text) = cell else { return None };
        let unit = folded(text);
        let unit = unit.trim_matches(['(', ')', '[', ']', ' ']);
        if fields().iter().any(|field| unit_named(unit, quantities(field)).is_some()) {
            units.push((*column, unit.to_owned()));
        } else if !NO_UNITS.contains(&unit) {
            return None;
        }
    }
    (!units.is_empty()).then_some(units)
}

fn head_of(
    row: &RawRow,
    above: Option<&RawRow>,
    form: Above,
    mapping: &[(String, String)],
    layout: &Layout,
) -> TableHead {
    matched(row.row, headings_of(row, above, form, layout), mapping)
}

fn matched(row: u32, headings: Vec<Heading>, mapping: &[(String, String)]) -> TableHead {
    let matched = match_headings(&headings, mapping);
    let mut matches = matched.matches;
    let address = address_parts(&headings, &matches);
    if let Some(field) = fields().iter().find(|field| field.name == "address") {
        for at in &address {
            if let Some(slot @ None) = matches.get_mut(*at) {
                *slot = Some(Match::part_of_address(field));
            }
        }
    }
    TableHead {
        row,
        last: row,
        another_above: None,
        headings,
        matches,
        contested: matched.contested,
        address,
        shared: Vec::new(),
        phases: Vec::new(),
        stated: None,
    }
}

/// The texts of a row as headings, each with what stands above it: the title of its group, or its own first half. A
/// heading whose cell is merged downwards stands in the row above alone.
fn headings_of(row: &RawRow, above: Option<&RawRow>, form: Above, layout: &Layout) -> Vec<Heading> {
    let any = above
        .is_some_and(|above| layout.merged.iter().any(|region| region.top == above.row && region.left < region.right));
    let over = |column: u16| {
        let above = above?;
        let (at, cell) = above.cells.iter().rev().find(|(at, _)| *at <= column)?;
        let covers = match layout.region_of(above.row, *at) {
            Some(region) => region.holds(above.row, column),
            // Titles over several columns are merged on this sheet: one that is not stands over its own column.
            None => *at == column || !any,
        };
        let taken = if form == Above::FirstHalves { *at == column || (covers && any) } else { covers };
        taken.then(|| cell.shown())
    };
    let text_of = |cell: &RawCell| match cell {
        RawCell::Text(text) if text.len() <= LONGEST_HEADING => Some(text.trim().to_owned()),
        _ => None,
    };
    let mut headings: Vec<Heading> = row
        .cells
        .iter()
        .filter_map(|(index, cell)| {
            let text = text_of(cell)?;
            let over = over(*index).unwrap_or_default();
            Some(match form {
                Above::FirstHalves if !over.is_empty() => {
                    Heading { index: *index, text: format!("{over} {text}"), ..Heading::default() }
                }
                Above::FirstHalves => Heading { index: *index, text, ..Heading::default() },
                _ => Heading { index: *index, text, group: over, ..Heading::default() },
            })
        })
        .collect();
    for (index, cell) in above.map_or(&[][..], |above| &above.cells) {
        let Some(text) = text_of(cell).filter(|_| row.cell(*index).is_none()) else { continue };
        let heading = Heading { index: *index, text, ..Heading::default() };
        let downwards = above
            .and_then(|above| layout.region_of(above.row, *index))
            .is_some_and(|region| region.left == region.right && region.bottom >= row.row);
        if downwards || fields_named(std::slice::from_ref(&heading), &[]) > 0 {
            headings.push(heading);
        }
    }
    headings.sort_by_key(|heading| heading.index);
    headings
}

/// A heading as a part of an address: its words without the place they are said of ("Site address line 1").
fn part_words(heading: &Heading) -> Option<String> {
    let mut words = words_of(&spaced(&heading.text));
    // "AddrLine1".
    if words.ends_with(|c: char| c.is_ascii_digit()) && words.trim_end_matches(char::is_numeric).ends_with("line") {
        words.insert(words.trim_end_matches(char::is_numeric).len(), ' ');
    }
    let parts = of_kind("address-part");
    if parts.contains(&words) {
        return Some(words);
    }
    let (owner, rest) = words.split_once(' ')?;
    (of_kind("address-owner").contains(owner) && parts.contains(rest)).then(|| rest.to_owned())
}

/// Whether a heading is that of a number in a street, and of nothing else.
pub(super) fn is_number_in_street(heading: &Heading) -> bool {
    let words = words_of(&heading.text);
    of_kind("address-number").contains(&words) && !all_of(&words, &["key"])
}

/// The columns that make up the address. A column that holds it whole is enough; without one, the parts are put
/// together in the order of the sheet, provided that a street is among them.
pub(super) fn address_parts(headings: &[Heading], matches: &[Option<Match>]) -> Vec<usize> {
    let whole: Vec<usize> = matches
        .iter()
        .enumerate()
        .filter(|(_, found)| found.as_ref().is_some_and(|found| found.field.name == "address"))
        .map(|(at, _)| at)
        .collect();
    if !whole.is_empty() {
        return whole;
    }
    let parts: Vec<usize> = headings
        .iter()
        .enumerate()
        .zip(matches)
        .filter(|((_, heading), found)| found.is_none() && part_words(heading).is_some())
        .map(|((at, _), _)| at)
        .collect();
    let carries = parts
        .iter()
        .filter_map(|at| headings.get(*at).and_then(part_words))
        .any(|part| of_kind("address-carrier").contains(&part));
    if carries { parts } else { Vec::new() }
}
