//! Which sheets are read, and which of their rows heads the table.

use super::evidence::{Weighed, weigh};
use super::layout::Layout;
use super::other_sheets::is_known;
use super::raw::RawRow;
use super::source::Rows;
use super::survey_sheets::filled_in;
use super::table::{LOOKED_AT, find_head};
use super::types::{IntakeError, ReadOptions};
use super::workbook::SheetName;

/// A sheet to read: its name, its head, and its first rows.
pub(super) struct Chosen {
    pub name: String,
    pub weighed: Weighed,
    pub beginning: Vec<RawRow>,
}

/// The sheets to read with their heads: those that were named, else those of our own template that are filled in, else
/// the one whose headings name most fields. Visible sheets go before hidden ones; two alike are never settled by their
/// order.
pub(super) fn choose(
    rows: &mut Rows<'_>,
    file: &str,
    options: &ReadOptions,
    warnings: &mut Vec<String>,
) -> Result<Vec<Chosen>, IntakeError> {
    let failed = |problem: String| IntakeError::File { file: file.to_owned(), problem };
    let sheets = rows.sheets();
    let by_name = !options.sheets.is_empty() && rows.has_sheets();
    let candidates: Vec<SheetName> = if by_name {
        named(&sheets, &options.sheets).map_err(failed)?
    } else {
        let is_candidate =
            |sheet: &&SheetName| !(options.skip.contains(&sheet.name) || sheets.len() > 1 && is_known(&sheet.name));
        sheets.iter().filter(is_candidate).cloned().collect()
    };
    let several_named = by_name && candidates.len() > 1;
    let mut heads: Vec<Headed> = Vec::new();
    let (mut filled, mut blank) = (Vec::new(), Vec::new());
    let mut first_problem = None;
    let mut fullest: Option<(usize, &SheetName, u32)> = None;
    for sheet in &candidates {
        let beginning = match rows.beginning(&sheet.name) {
            Ok(beginning) => beginning,
            Err(problem) => {
                first_problem.get_or_insert(IntakeError::Sheet {
                    file: file.to_owned(),
                    sheet: sheet.name.clone(),
                    problem,
                });
                continue;
            }
        };
        let first = beginning.get(..LOOKED_AT).unwrap_or(&beginning);
        for row in first {
            if fullest.is_none_or(|(most, _, _)| row.cells.len() > most) {
                fullest = Some((row.cells.len(), sheet, row.row));
            }
        }
        let settled = options.settled_on(&sheet.name);
        if let Some(head) = find_head(first, &settled, &Layout::default()) {
            match filled_in(&sheet.name, &head, &beginning) {
                Some(true) => filled.push(sheet.clone()),
                Some(false) => blank.push(&sheet.name),
                None => {}
            }
            let weighed = weigh(head, &beginning, &settled);
            let chosen = Chosen { name: sheet.name.clone(), weighed, beginning };
            heads.push(Headed { rank: (!sheet.hidden, chosen.weighed.head.fields()), sheet: sheet.clone(), chosen });
        } else if several_named {
            let problem = format!("no row of headings was found among the first {LOOKED_AT} rows");
            return Err(IntakeError::Sheet { file: file.to_owned(), sheet: sheet.name.clone(), problem });
        }
    }
    if let Some(problem) = first_problem.take_if(|_| several_named) {
        return Err(problem);
    }
    let several_filled = !by_name && filled.len() > 1;
    if several_filled {
        heads.retain(|headed| filled.contains(&headed.sheet));
    } else if !filled.is_empty() && !by_name {
        heads.retain(|headed| !blank.contains(&&headed.sheet.name));
    }
    let Some(best) = heads.iter().map(|headed| headed.rank).max() else {
        if let Some(problem) = first_problem {
            return Err(problem);
        }
        let wanted = "a row that names at least address, cutout_rating_a, existing_demand_a and parking_distance_m";
        let found = match fullest {
            Some((_, sheet, row)) if !sheet.name.is_empty() => {
                format!("the fullest row is row {row} of sheet \"{}\"", sheet.name)
            }
            Some((_, _, row)) => format!("the fullest row is row {row}"),
            None if names(&candidates).len() > 2 => format!("there is nothing on {}", names(&candidates)),
            None => "there is nothing in it".to_owned(),
        };
        return Err(failed(format!(
            "no row of headings was found among the first {LOOKED_AT} rows ({found}); {wanted} is wanted"
        )));
    };
    if !several_named && !several_filled {
        heads.retain(|headed| headed.rank == best);
        if heads.len() > 1 {
            let alike: Vec<SheetName> = heads.iter().map(|headed| headed.sheet.clone()).collect();
            return Err(failed(format!(
                "the sheets {} look alike and each could be the survey; say which with --sheet (several may be given)",
                names(&alike)
            )));
        }
    }
    let unread = |sheet: &&SheetName| {
        let said_elsewhere = is_known(&sheet.name) || options.skip.contains(&sheet.name);
        !said_elsewhere && !heads.iter().any(|headed| headed.sheet.name == sheet.name)
    };
    let others: Vec<SheetName> = sheets.iter().filter(unread).cloned().collect();
    if !others.is_empty() {
        warnings.push(format!("Not read: the other sheets ({}).", names(&others)));
    }
    for headed in heads.iter().filter(|headed| headed.sheet.hidden) {
        warnings.push(format!("The sheet \"{}\" is hidden in the workbook.", headed.sheet.name));
    }
    Ok(heads.into_iter().map(|headed| headed.chosen).collect())
}

/// A sheet that has headings; of two, one that is visible goes first, then the one that names more fields.
struct Headed {
    rank: (bool, usize),
    sheet: SheetName,
    chosen: Chosen,
}

fn names(sheets: &[SheetName]) -> String {
    sheets.iter().map(|sheet| format!("\"{}\"", sheet.name)).collect::<Vec<_>>().join(", ")
}

/// The sheets that are meant, by name or number, each once and in the order of their tabs.
fn named(sheets: &[SheetName], wanted: &[String]) -> Result<Vec<SheetName>, String> {
    let mut meant = Vec::new();
    for wanted in wanted {
        let at = sheets
            .iter()
            .position(|sheet| sheet.name == *wanted)
            .or_else(|| sheets.iter().position(|sheet| sheet.name.trim().eq_ignore_ascii_case(wanted.trim())))
            .or_else(|| wanted.trim().parse().ok().and_then(|number: usize| number.checked_sub(1)))
            .filter(|at| *at < sheets.len());
        let Some(at) = at else {
            return Err(format!("it has no sheet \"{wanted}\"; its sheets are {}", names(sheets)));
        };
        meant.push(at);
    }
    meant.sort_unstable();
    meant.dedup();
    Ok(meant.into_iter().filter_map(|at| sheets.get(at).cloned()).collect())
}

/// The head of a sheet again, now that it is known which cells are merged; `None` when that changes nothing.
pub(super) fn weigh_again(
    rows: &mut Rows<'_>,
    sheet: &str,
    options: &ReadOptions,
    layout: &Layout,
    before: &Weighed,
) -> Option<Weighed> {
    let head = before.head.row;
    if !layout.merged.iter().any(|region| region.top <= head && region.bottom + 1 >= head) {
        return None;
    }
    let beginning = rows.beginning(sheet).ok()?;
    let first = beginning.get(..LOOKED_AT).unwrap_or(&beginning);
    let settled = options.settled_on(sheet);
    let again = weigh(find_head(first, &settled, layout)?, &beginning, &settled);
    let fields = |weighed: &Weighed| -> Vec<(u16, String, Option<&str>)> {
        let head = &weighed.head;
        let names = head.matches.iter().map(|found| found.as_ref().map(|found| found.field.name));
        head.headings.iter().zip(names).map(|(heading, name)| (heading.index, heading.text.clone(), name)).collect()
    };
    (again.head.row != head || fields(&again) != fields(before)).then_some(again)
}
