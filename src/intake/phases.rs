//! One demand in three columns: L1, L2 and L3 of a supply. What counts is the worst phase, so the largest is read, and a
//! row that does not say all of the phases it has is not read, since the missing one may be the largest.

use super::evidence::{Samples, capital, share};
use super::head_words::stands_for;
use super::headings::{Heading, Match, alone, column_said, in_words};
use super::mapping::settled;
use super::raw::{RawCell, RawRow, words_of};
use super::signs::reads_as;
use super::table::TableHead;
use super::two_facts::{plan_for, refuse};
use super::types::CellNote;
use super::values::{ColumnPlan, put};
use super::words::why_unknown;
use crate::site::Site;

/// Share of the values that must read as currents.
const READS: f64 = 0.9;
/// Phases of a supply.
pub(super) const PHASES: usize = 3;

/// How the phases of a demand are read.
pub(super) struct PhasesPlan {
    /// One for each phase, all of the same field.
    plans: Vec<ColumnPlan>,
}

/// Which phase a heading is of, and the heading without that.
fn phase_of(heading: &Heading) -> Option<(String, Heading)> {
    let words = words_of(&heading.text);
    let words: Vec<&str> = words.split(' ').collect();
    for length in [2, 1] {
        for start in 0..words.len() {
            let Some(run) = words.get(start..start + length) else { continue };
            let mark = run.join(" ");
            if stands_for("phase", &mark).is_none() {
                continue;
            }
            let rest: Vec<&str> = words
                .iter()
                .enumerate()
                .filter(|(at, _)| !(start..start + length).contains(at))
                .map(|(_, w)| *w)
                .collect();
            let unit =
                super::heading_units::cut(&heading.text).unit.map(|unit| format!(" ({unit})")).unwrap_or_default();
            let rest = words_of(&rest.join(" "));
            // Its unit stands in brackets again, so that it is not taken for a word.
            let plain_unit = words_of(&unit);
            let bare = rest.strip_suffix(&plain_unit).unwrap_or(&rest).trim();
            let text = format!("{bare}{unit}");
            let rest = match words_of(bare).is_empty() {
                // "L1 (A)" under "Maximum demand".
                true => Heading { text: format!("{}{unit}", heading.group), group: String::new(), ..heading.clone() },
                false => Heading { text, ..heading.clone() },
            };
            return Some((mark, rest));
        }
    }
    None
}

/// The first of three columns that are the phases of a demand by their headings, and what the demand is.
pub(super) fn three_phases(headings: &[Heading]) -> Option<(usize, Match)> {
    let marks: Vec<Option<(&'static str, &'static str, Heading)>> = headings
        .iter()
        .map(|heading| {
            let (mark, rest) = phase_of(heading)?;
            // The number of the phase and the manner of naming it.
            let (number, manner) = stands_for("phase", &mark)?.split_once(' ')?;
            Some((number, manner, rest))
        })
        .collect();
    (0..headings.len()).find_map(|at| {
        let three: Vec<&(&str, &str, Heading)> =
            (at..at + PHASES).map_while(|at| marks.get(at).and_then(Option::as_ref)).collect();
        let (_, manner, rest) = three.first().filter(|_| three.len() == PHASES)?;
        let in_order = three.iter().enumerate().all(|(n, (number, ..))| *number == (n + 1).to_string());
        let alike = |(_, own, other): &&(&str, &str, Heading)| {
            own == manner && other.text == rest.text && other.group == rest.group
        };
        if !in_order || !three.iter().all(alike) {
            return None;
        }
        let found = alone(rest, &[]).or_else(|| in_words(rest))?;
        (found.field.name == "existing_demand_a").then_some((at, found))
    })
}

/// Finds the three columns, where no other column is the demand.
pub(super) fn find_phases(
    head: &mut TableHead,
    samples: &Samples<'_>,
    mapping: &[(String, String)],
    warnings: &mut Vec<String>,
) {
    let Some((first, found)) = three_phases(&head.headings) else { return };
    let columns: Vec<usize> = (first..first + PHASES).collect();
    let taken = head.matches.iter().enumerate().any(|(other, found)| {
        !columns.contains(&other) && found.as_ref().is_some_and(|found| found.field.name == "existing_demand_a")
    });
    let headings: Vec<&Heading> = columns.iter().filter_map(|at| head.headings.get(*at)).collect();
    let currents = |heading: &&Heading| {
        let cells = samples.get(&heading.index).map_or(&[][..], Vec::as_slice);
        cells.is_empty() || share(cells.iter().filter(|cell| reads_as(found.field, cell)).count(), cells) >= READS
    };
    if taken || !headings.iter().all(currents) || headings.iter().any(|heading| settled(heading, mapping).is_some()) {
        return;
    }
    let said: Vec<String> = headings.into_iter().map(column_said).collect();
    warnings.push(format!(
        "{} are read as the three phases of existing_demand_a: the largest of a row counts.",
        capital(&said.join(", "))
    ));
    head.contested.retain(|(_, claims)| !claims.iter().any(|at| columns.contains(at)));
    for at in &columns {
        if let Some(slot) = head.matches.get_mut(*at) {
            let (how, evidence) = ("one phase of three".to_owned(), "the largest counts".to_owned());
            *slot = Some(Match { how, evidence, ..found.clone() });
        }
    }
    head.phases = columns;
}

impl PhasesPlan {
    pub fn of(head: &TableHead) -> Option<Self> {
        let plans: Option<Vec<ColumnPlan>> =
            head.phases.iter().map(|at| plan_for(head.headings.get(*at)?, head.matches.get(*at)?.as_ref()?)).collect();
        plans.filter(|plans| plans.len() == PHASES).map(|plans| Self { plans })
    }

    /// Reads the phases of a row; the number of phases of the supply is read already.
    pub fn put(&self, raw: &RawRow, site: &mut Site, notes: &mut Vec<CellNote>) {
        let written: Vec<Option<&RawCell>> = self
            .plans
            .iter()
            .map(|plan| raw.cell(plan.index).filter(|cell| why_unknown(&words_of(&cell.shown())).is_none()))
            .collect();
        let stated = written.iter().flatten().count();
        let Some(first) = self.plans.first() else { return };
        if stated == 0 {
            let _ = put(first, raw.cell(first.index), site);
            return;
        }
        let single = site.supply.supply_phases.likely().is_some_and(|phases| *phases < 2.0);
        let mut worst: Option<(f64, &ColumnPlan, &RawCell)> = None;
        let mut missing = stated < PHASES && !(single && stated == 1);
        for (plan, cell) in self.plans.iter().zip(&written) {
            let Some(cell) = cell else { continue };
            let _ = put(plan, Some(cell), site);
            match site.load.existing_demand_a.likely() {
                Some(value) if worst.is_none_or(|(most, ..)| *value > most) => worst = Some((*value, plan, cell)),
                Some(_) => {}
                None => missing = true,
            }
        }
        let mut note = |plan: &ColumnPlan, understood: String, message: String| {
            notes.push(CellNote {
                row: raw.row,
                column: plan.index,
                field: plan.field.name,
                raw: raw.cell(plan.index).map(RawCell::shown).unwrap_or_default(),
                understood,
                message,
                ..CellNote::default()
            });
        };
        match worst.filter(|_| !missing) {
            Some((_, plan, cell)) => {
                if let Some(remark) = put(plan, Some(cell), site) {
                    note(plan, remark.understood, remark.message);
                }
            }
            None => {
                refuse(first, site);
                note(
                    first,
                    "not known".to_owned(),
                    "Not every phase is stated, and the one that is not may be the largest.".to_owned(),
                );
            }
        }
    }
}
