//! Which sheet is read, and which of its rows heads the table.

use super::evidence::{Weighed, weigh};
use super::layout::Layout;
use super::other_sheets::is_known;
use super::source::Rows;
use super::survey_sheets::filled_in;
use super::table::{LOOKED_AT, find_head};
use super::types::{IntakeError, ReadOptions};
use super::workbook::SheetName;

/// The sheet to read and its head: the one that was named, else the one whose headings name most fields. Visible
/// sheets go before hidden ones; two alike are never settled by their order.
pub(super) fn choose(
    rows: &mut Rows<'_>,
    file: &str,
    options: &ReadOptions,
    warnings: &mut Vec<String>,
) -> Result<(String, Weighed), IntakeError> {
    let failed = |problem: String| IntakeError::File { file: file.to_owned(), problem };
    let sheets = rows.sheets();
    let names =
        |sheets: &[SheetName]| sheets.iter().map(|sheet| format!("\"{}\"", sheet.name)).collect::<Vec<_>>().join(", ");
    let candidates: Vec<SheetName> = match &options.sheet {
        Some(wanted) if rows.has_sheets() => {
            let found = sheets
                .iter()
                .find(|sheet| sheet.name == *wanted)
                .or_else(|| sheets.iter().find(|sheet| sheet.name.trim().eq_ignore_ascii_case(wanted.trim())))
                .or_else(|| {
                    let number: usize = wanted.trim().parse().ok()?;
                    number.checked_sub(1).and_then(|at| sheets.get(at))
                });
            let Some(found) = found else {
                return Err(failed(format!("it has no sheet \"{wanted}\"; its sheets are {}", names(&sheets))));
            };
            vec![found.clone()]
        }
        _ => sheets
            .iter()
            .filter(|sheet| !(options.skip.contains(&sheet.name) || sheets.len() > 1 && is_known(&sheet.name)))
            .cloned()
            .collect(),
    };
    let mut heads: Vec<(usize, bool, &SheetName, Weighed)> = Vec::new();
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
        if let Some(head) = find_head(first, &options.mapping, &Layout::default()) {
            match filled_in(&sheet.name, &head, &beginning) {
                Some(true) => filled.push(sheet.clone()),
                Some(false) => blank.push(&sheet.name),
                None => {}
            }
            let weighed = weigh(head, &beginning, &options.mapping);
            heads.push((weighed.head.fields(), !sheet.hidden, sheet, weighed));
        }
    }
    if filled.len() > 1 {
        return Err(failed(format!(
            "the sheets {} are both filled in, and each is assessed by itself; say which with --sheet",
            names(&filled)
        )));
    }
    if !filled.is_empty() {
        heads.retain(|(_, _, sheet, _)| !blank.contains(&&sheet.name));
    }
    let Some(best) = heads.iter().map(|(fields, visible, _, _)| (*visible, *fields)).max() else {
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
    let alike: Vec<SheetName> = heads
        .iter()
        .filter(|(fields, visible, _, _)| (*visible, *fields) == best)
        .map(|(_, _, sheet, _)| (*sheet).clone())
        .collect();
    if alike.len() > 1 {
        return Err(failed(format!(
            "the sheets {} look alike and each could be the survey; say which with --sheet",
            names(&alike)
        )));
    }
    let Some(chosen) = heads.into_iter().find(|(fields, visible, _, _)| (*visible, *fields) == best) else {
        return Err(failed("no sheet was found".to_owned()));
    };
    let said_elsewhere = |name: &String| is_known(name) || options.skip.contains(name);
    let others: Vec<SheetName> =
        sheets.iter().filter(|sheet| sheet.name != chosen.2.name && !said_elsewhere(&sheet.name)).cloned().collect();
    if !others.is_empty() {
        warnings.push(format!("Not read: the other sheets ({}).", names(&others)));
    }
    if chosen.2.hidden {
        warnings.push(format!("The sheet \"{}\" is hidden in the workbook.", chosen.2.name));
    }
    Ok((chosen.2.name.clone(), chosen.3))
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
    let again = weigh(find_head(first, &options.mapping, layout)?, &beginning, &options.mapping);
    let fields = |weighed: &Weighed| -> Vec<(u16, String, Option<&str>)> {
        let head = &weighed.head;
        let names = head.matches.iter().map(|found| found.as_ref().map(|found| found.field.name));
        head.headings.iter().zip(names).map(|(heading, name)| (heading.index, heading.text.clone(), name)).collect()
    };
    (again.head.row != head || fields(&again) != fields(before)).then_some(again)
}
