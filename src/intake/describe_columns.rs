//! The columns on the terminal's page: how each was understood and how surely, which could be something and are asked
//! about, and the user's own. A narrow sheet is told one column a line, a wide one in running text with what is worth a
//! look in lines of its own.

use super::describe::{cut, line, listed, more, wrapped};
use super::grounds::{Grounds, Sure};
use super::inspection::{ColumnLine, Inspection, SheetColumns};

/// Columns that are told one a line; a wider sheet is told in running text.
const COLUMNS_A_LINE: usize = 14;
/// Lines of each list that are shown before "and so many more".
const CHECKS_SHOWN: usize = 6;
const ASKED_SHOWN: usize = 6;
const OWN_SHOWN: usize = 12;
/// Names that are listed of each of several sheets.
const NAMES_OF_SEVERAL: usize = 16;

/// Tells the columns of every sheet.
pub(super) fn columns(seen: &Inspection, out: &mut String) {
    for sheet in &seen.sheets {
        of_sheet(sheet, out);
    }
}

fn of_sheet(sheet: &SheetColumns, out: &mut String) {
    let read = sheet.read.len();
    let all = read + sheet.asked.len() + sheet.own.len();
    let of = if sheet.name.is_empty() { String::new() } else { format!(" of {}", sheet.name) };
    line(out, "");
    line(out, &format!("Columns{of}: {read} of {all} are read as survey fields"));
    if read <= COLUMNS_A_LINE {
        one_a_line(&sheet.read, out);
    } else {
        running(sheet, out);
    }
    for column in sheet.asked.iter().take(ASKED_SHOWN) {
        let text = format!("{}: {}", named(column), column.how);
        wrapped(out, "  not understood: ", "    ", &text);
    }
    more(out, sheet.asked.len(), ASKED_SHOWN, "columns that could be survey fields");
    if !sheet.own.is_empty() {
        let own: Vec<String> = sheet.own.iter().map(|heading| cut(heading)).collect();
        wrapped(out, "  ", "    ", &format!("your own, kept and given back: {}", listed(&own, OWN_SHOWN)));
    }
}

/// A column that is not read: its heading where it has one, and what it could be.
fn named(column: &ColumnLine) -> String {
    let heading = if column.heading.is_empty() { String::new() } else { format!(" \"{}\"", cut(&column.heading)) };
    format!("{}{heading} (could be {}?)", column.letters, column.field.name)
}

fn one_a_line(columns: &[ColumnLine], out: &mut String) {
    let widest = |text: &dyn Fn(&ColumnLine) -> usize| columns.iter().map(text).max().unwrap_or(0);
    let width = widest(&|column| cut(&column.heading).chars().count());
    let fields = widest(&|column| column.field_said().chars().count());
    let sure = widest(&|column| column.sure.word().len());
    for column in columns {
        let heading = cut(&column.heading);
        let pad = " ".repeat(width.saturating_sub(heading.chars().count()));
        let (letters, field, word) = (&column.letters, column.field_said(), column.sure.word());
        let first = format!("  {letters:>3}  {heading}{pad}  {field:<fields$}  {word:<sure$}  ");
        let rest = " ".repeat(first.chars().count().min(60));
        wrapped(out, &first, &rest, &column.grounds_said());
    }
}

fn running(sheet: &SheetColumns, out: &mut String) {
    let most = if sheet.name.is_empty() { usize::MAX } else { NAMES_OF_SEVERAL };
    let of = |sure: Sure| sheet.read.iter().filter(move |column| column.sure == sure);
    let equals = |column: &ColumnLine| format!("{} = {}", cut(&column.heading), column.field.name);
    let (settled, certain): (Vec<_>, Vec<_>) = of(Sure::Certain).partition(|column| column.grounds == Grounds::Settled);
    if !certain.is_empty() {
        let names: Vec<String> = certain.iter().map(|column| column.field.name.to_owned()).collect();
        let text = format!("certain, by their own names ({}): {}", names.len(), listed(&names, most));
        wrapped(out, "  ", "    ", &text);
    }
    if !settled.is_empty() {
        let said: Vec<String> = settled.iter().map(|column| equals(column)).collect();
        wrapped(out, "  ", "    ", &format!("certain, as you said ({}): {}", said.len(), said.join("; ")));
    }
    let known: Vec<String> = of(Sure::Known).map(equals).collect();
    if !known.is_empty() {
        let text = format!("sure, by headings that people use ({}): {}", known.len(), known.join("; "));
        wrapped(out, "  ", "    ", &text);
    }
    let check: Vec<&ColumnLine> = of(Sure::Check).collect();
    for column in check.iter().take(CHECKS_SHOWN) {
        let (letters, heading, how) = (&column.letters, cut(&column.heading), column.grounds_said());
        let text = format!("{letters} \"{heading}\" is read as {} ({how})", column.field_said());
        wrapped(out, "  check this: ", "    ", &text);
    }
    more(out, check.len(), CHECKS_SHOWN, "columns to check");
}
