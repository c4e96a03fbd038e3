//! One row under the headings: a site, or the reason why it is none. Each row is read by itself, so that adding a row
//! changes no other; what rows have to do with each other is for `duplicates`.

use super::aside::Cause;
use super::figures::quantities;
use super::identifiers::postcode_at_end;
use super::legend::{Decoded, Legend, legend_of};
use super::phases::PhasesPlan;
use super::raw::{RawCell, RawRow, words_of};
use super::stated_facts::StatedFact;
use super::table::TableHead;
use super::template::EXAMPLE;
use super::two_facts::{SharedPlan, plan_for, refuse};
use super::types::CellNote;
use super::units::unit_named;
use super::values::{ColumnPlan, Remark, put};
use super::words::why_unknown;
use super::{contradictions, ditto, hearsay};
use crate::site::{Answer, FieldKind, Reading, Site, WhyUnknown};
use std::collections::BTreeMap;

/// How the rows of a table are read, worked out once.
pub(super) struct Plan {
    /// Columns with a field, words before numbers: what a number means can hang on a word.
    columns: Vec<ColumnPlan>,
    /// Columns of the address, when it is made of several.
    address: Vec<u16>,
    /// Normalised headings, to know them again further down.
    headings: Vec<(u16, String)>,
    /// Whether a row with nothing to judge by is kept waiting for another file.
    pub part: bool,
    /// Columns whose headings explain their codes.
    legends: Vec<(u16, Legend)>,
    /// Columns with several facts each.
    shared: Vec<SharedPlan>,
    /// A demand in three columns.
    phases: Option<PhasesPlan>,
    /// What a heading states of its whole column.
    stated: Option<StatedFact>,
    /// Columns with a field and its name.
    fields: Vec<(u16, &'static str)>,
}

/// One row as it was read; its site goes beside it, so that thousands of sites are laid down once and not moved.
pub(super) struct RowRead {
    /// The sheet, by its place among those read; given when all are read.
    pub sheet: u16,
    pub row: u32,
    /// One text a heading, as a person would see it.
    pub cells: Vec<String>,
    /// Filled cells in columns that have no heading.
    pub beyond: Vec<(u16, String)>,
    /// Why it is no site, or no longer one.
    pub why: Option<Cause>,
    pub notes: Vec<CellNote>,
    /// The row as it came, where a cell of it repeats the one above.
    pub repeats: Option<Box<RawRow>>,
}

impl Plan {
    /// From the head of the table and the units that number formats show, by column.
    pub fn of(head: &TableHead, formats: &BTreeMap<u16, String>) -> Self {
        let several = head.address.len() > 1;
        let shared: Vec<SharedPlan> =
            head.shared.iter().filter_map(|shared| SharedPlan::of(head.headings.get(shared.at)?, shared)).collect();
        let phases = PhasesPlan::of(head);
        // Read in ways of their own.
        let phased = head.phases.iter().filter_map(|at| head.headings.get(*at)).map(|heading| heading.index);
        let own: Vec<u16> = shared.iter().map(|shared| shared.index).chain(phased).collect();
        let mut columns: Vec<ColumnPlan> = head
            .headings
            .iter()
            .zip(&head.matches)
            .filter_map(|(heading, found)| Some((heading, found.as_ref()?)))
            .filter(|(_, found)| !(several && found.field.name == "address"))
            .filter(|(heading, _)| !own.contains(&heading.index))
            .filter_map(|(heading, found)| {
                let plan = plan_for(heading, found)?;
                let shown = || unit_named(formats.get(&heading.index)?, quantities(found.field));
                Some(ColumnPlan { unit: plan.unit.or_else(shown), ..plan })
            })
            .collect();
        columns.sort_by_key(late);
        let address = if several {
            head.address.iter().filter_map(|at| head.headings.get(*at)).map(|heading| heading.index).collect()
        } else {
            Vec::new()
        };
        let headings = head.headings.iter().map(|heading| (heading.index, words_of(&heading.text))).collect();
        let of_shared = shared.iter().flat_map(|shared| &shared.plans).map(|plan| (plan.index, plan.field.name));
        let fields = columns.iter().map(|plan| (plan.index, plan.field.name)).chain(of_shared).collect();
        let suits = |index: u16| columns.iter().any(|plan| plan.index == index && Legend::suits(plan.field));
        let legends = head
            .headings
            .iter()
            .filter(|heading| suits(heading.index))
            .filter_map(|heading| Some((heading.index, legend_of(&heading.text)?.1)))
            .collect();
        Self { columns, address, headings, part: false, legends, shared, phases, stated: head.stated, fields }
    }

    /// Reads one row.
    pub fn read(&self, raw: RawRow) -> (RowRead, Option<Site>) {
        let row = raw.row;
        let repeats = ditto::any(&raw).then(|| Box::new(raw.clone()));
        let mut notes = Vec::new();
        let outcome = if self.is_heading_again(&raw) { Err(Cause::HeadingsAgain) } else { self.site(&raw, &mut notes) };
        let mut cells = vec![String::new(); self.headings.len()];
        let mut beyond = Vec::new();
        let mut from = 0;
        for (column, cell) in raw.cells {
            // Both lists ascend: the search goes on where it stopped.
            while self.headings.get(from).is_some_and(|(at, _)| *at < column) {
                from += 1;
            }
            match (self.headings.get(from), cells.get_mut(from)) {
                (Some((at, _)), Some(slot)) if *at == column => *slot = shown(cell),
                _ => beyond.push((column, shown(cell))),
            }
        }
        let (why, site) = match outcome {
            Ok(site) => {
                let why = nothing_to_judge_by(&site);
                let kept = why.is_none() || self.part;
                (why, kept.then_some(site))
            }
            Err(why) => (Some(why), None),
        };
        (RowRead { sheet: 0, row, cells, beyond, why, notes, repeats }, site)
    }

    /// Columns that are read as fields.
    pub fn columns(&self) -> &[ColumnPlan] {
        &self.columns
    }

    /// The place of a column among the cells of a row read.
    pub fn place(&self, column: u16) -> Option<usize> {
        self.headings.binary_search_by_key(&column, |(at, _)| *at).ok()
    }

    /// The heading of a column, its words only.
    pub fn heading(&self, column: u16) -> &str {
        self.place(column).and_then(|at| self.headings.get(at)).map_or("", |(_, heading)| heading.as_str())
    }

    /// Whether a column is one part of an address among several.
    pub fn is_part_of_address(&self, column: u16) -> bool {
        self.address.contains(&column)
    }

    /// Whether at least half of the filled cells, and two of them, repeat the headings of their columns.
    fn is_heading_again(&self, raw: &RawRow) -> bool {
        let mut again = 0;
        for (column, cell) in &raw.cells {
            let RawCell::Text(text) = cell else { continue };
            let heading = self.headings.binary_search_by_key(column, |(at, _)| *at).ok();
            let heading = heading.and_then(|at| self.headings.get(at)).map_or("", |(_, heading)| heading.as_str());
            // Most cells differ in their first letter already.
            let alike = text.len() >= heading.len()
                && text.chars().next().zip(heading.chars().next()).is_some_and(|(a, b)| a.eq_ignore_ascii_case(&b));
            if alike && words_of(text) == heading {
                again += 1;
            }
        }
        again >= 2 && again * 2 >= raw.cells.len()
    }

    /// Reads the cell of one column; a code says what the heading explains.
    fn put(&self, plan: &ColumnPlan, raw: &RawRow, site: &mut Site) -> Option<Remark> {
        let cell = raw.cell(plan.index);
        let legend = self.legends.iter().find(|(index, _)| *index == plan.index).zip(cell);
        match legend.map(|((_, legend), cell)| legend.decode(plan.field, cell)) {
            None | Some(Decoded::AsWritten) => put(plan, cell, site),
            Some(Decoded::Means(cell)) => put(plan, Some(&cell), site),
            Some(Decoded::NotInLegend) => {
                refuse(plan, site);
                Some(Remark {
                    understood: "not known".to_owned(),
                    message: "The heading explains its codes, and this is none of them.".to_owned(),
                })
            }
        }
    }

    /// Whether a column's codes are explained by its heading.
    pub fn has_legend(&self, column: u16) -> bool {
        self.legends.iter().any(|(index, _)| *index == column)
    }

    fn site(&self, raw: &RawRow, notes: &mut Vec<CellNote>) -> Result<Site, Cause> {
        let mut site = Site { row: raw.row, ..Site::default() };
        let mut note = |index: u16, field: &'static str, remark: Remark| {
            notes.push(CellNote {
                row: raw.row,
                column: index,
                field,
                raw: raw.cell(index).map(RawCell::shown).unwrap_or_default(),
                understood: remark.understood,
                message: remark.message,
                ..CellNote::default()
            });
        };
        let words = self.columns.partition_point(|plan| !is_late(plan));
        let (before, after) = self.columns.split_at(words);
        for plan in before {
            self.put(plan, raw, &mut site).into_iter().for_each(|remark| note(plan.index, plan.field.name, remark));
        }
        for shared in &self.shared {
            let said = shared.put(raw.cell(shared.index), &mut site);
            said.into_iter().for_each(|(field, remark)| note(shared.index, field, remark));
        }
        for plan in after {
            self.put(plan, raw, &mut site).into_iter().for_each(|remark| note(plan.index, plan.field.name, remark));
        }
        if let Some(phases) = &self.phases {
            phases.put(raw, &mut site, notes);
        }
        if let Some(stated) = self.stated {
            stated.put(&mut site);
        }
        if let Some(first) = self.address.first() {
            site.identity.address = Reading { answer: self.address_of(raw), column: Some(*first) };
        }
        self.postcode_from_address(&mut site);
        if site.site_id == EXAMPLE {
            return Err(Cause::Example);
        }
        hearsay::widen(raw, &mut site, notes);
        contradictions::within(raw, &self.fields, &mut site, notes);
        notes.sort_by_key(|note| note.column);
        if let Some(why) = is_sum(raw, &site) {
            return Err(why);
        }
        if site.identity.address.likely().is_none() && site.site_id.is_empty() && site.identity.uprn.likely().is_none()
        {
            return Err(Cause::NoPlace);
        }
        Ok(site)
    }

    fn address_of(&self, raw: &RawRow) -> Answer<String> {
        let mut address = String::new();
        for part in self.address.iter().filter_map(|column| raw.cell(*column)) {
            let text = part.shown();
            if matches!(part, RawCell::Fault(_)) || why_unknown(&words_of(&text)).is_some() {
                continue;
            }
            // "7" and "Fennel Row" are one line, "Fennel Row" and "Tarnholt" are two.
            let number_before = address
                .rsplit(", ")
                .next()
                .is_some_and(|last| last.len() <= 5 && last.bytes().next().is_some_and(|byte| byte.is_ascii_digit()));
            if !address.is_empty() {
                address.push_str(if number_before { " " } else { ", " });
            }
            address.push_str(text.trim_end_matches(','));
        }
        if address.is_empty() { Answer::Unknown(WhyUnknown::Missing) } else { Answer::Stated(address) }
    }

    /// A postcode that ends the address counts as stated there.
    fn postcode_from_address(&self, site: &mut Site) {
        if site.identity.postcode.likely().is_some() {
            return;
        }
        if let Some(code) = site.identity.address.likely().and_then(|address| postcode_at_end(address)) {
            site.identity.postcode = Reading { answer: Answer::Stated(code), column: site.identity.address.column };
        }
    }
}

/// What a column waits for: words come first, since what a number means can hang on a word.
fn late(plan: &ColumnPlan) -> u8 {
    match plan.field.name {
        "supply_phases" => 1,
        "agreed_capacity_kva" | "points_wanted" => 2,
        _ if matches!(plan.field.kind, FieldKind::Number | FieldKind::Count) => 3,
        _ => 0,
    }
}

fn is_late(plan: &ColumnPlan) -> bool {
    late(plan) > 0
}

/// A cell as a person would see it, without a copy where it is text already.
fn shown(cell: RawCell) -> String {
    match cell {
        RawCell::Text(text) if text.trim().len() == text.len() => text,
        other => other.shown(),
    }
}

/// Whether the row is a total of others: it says so, and has none of the marks of one place.
fn is_sum(raw: &RawRow, site: &Site) -> Option<Cause> {
    let identified =
        site.identity.uprn.is_stated() || site.supply.mpan.is_stated() || site.identity.postcode.is_stated();
    if identified {
        return None;
    }
    let mut texts = raw.cells.iter().filter_map(|(_, cell)| match cell {
        RawCell::Text(text) if text.bytes().any(|byte| byte.is_ascii_alphabetic()) => Some(text),
        _ => None,
    });
    let first = texts.next()?;
    if texts.count() > 1 || first.len() > 80 || first.contains(',') {
        return None;
    }
    let plain = words_of(first);
    let begins = ["total", "sub total", "subtotal", "grand total", "sum", "average", "mean", "count of", "totals"];
    let sums = begins.iter().any(|mark| plain == *mark || plain.starts_with(&format!("{mark} ")))
        || [" total", " totals", " subtotal", " sub total"].iter().any(|mark| plain.ends_with(mark));
    sums.then(|| Cause::Total(first.trim().to_owned()))
}

/// Why a row gives nothing to judge by: neither rating, capacity, demand nor distance, and none of them said to be
/// found elsewhere, not seen or written in a way that is not understood. An engineer's own verdict is enough.
pub(super) fn nothing_to_judge_by(site: &Site) -> Option<Cause> {
    let supply = &site.supply;
    let core = [
        &supply.cutout_rating_a,
        &supply.agreed_capacity_kva,
        &supply.recorded_peak_kva,
        &site.load.existing_demand_a,
        &site.load.existing_demand_kw,
        &site.parking.parking_distance_m,
        &site.parking.route_indoor_m,
        &site.parking.route_surface_m,
        &site.parking.route_buried_m,
    ];
    let said =
        |reading: &&Reading<f64>| !matches!(reading.answer, Answer::NotAsked | Answer::Unknown(WhyUnknown::Missing));
    if core.iter().any(said) || site.identity.override_verdict.is_stated() {
        return None;
    }
    Some(Cause::NothingToJudgeBy)
}
