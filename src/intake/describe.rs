//! The page on the terminal: what an inspection says, in lines of bounded width and number, the rest counted.
//!
//! It only tells; what there is to tell is made in `inspection`.

use super::alike::{Example, Group};
use super::answer::Word;
use super::describe_columns::columns;
use super::inspection::{Inspection, inspection, one_line};
use super::types::{Intake, NOT_KNOWN};
use std::fmt::Write;

/// Characters across the page.
const WIDE: usize = 118;
/// Lines of each list that are shown before "and so many more".
const LOST_SHOWN: usize = 4;
const DOUBTFUL_SHOWN: usize = 2;
const CONTRADICTIONS_SHOWN: usize = 3;
/// Cases shown of a contradiction.
const CASES_SHOWN: usize = 2;
const REASONS_SHOWN: usize = 5;
const WARNINGS_SHOWN: usize = 5;
const ROWS_NAMED: usize = 6;
const COUNTS_SHOWN: usize = 5;
/// Characters of a cell or heading that are shown.
const WIDEST: usize = 34;
/// Characters of an example, of which three stand in a line.
const WIDEST_EXAMPLE: usize = 22;
/// Characters of a contradiction that is given as an example.
const WIDEST_CASE: usize = 76;

/// The whole page, lines ending in line ends.
pub fn describe(intake: &Intake) -> String {
    let seen = inspection(intake);
    let mut out = String::new();
    head(&seen, &mut out);
    columns(&seen, &mut out);
    values(&seen, &mut out);
    rows(&seen, &mut out);
    missing(&seen, &mut out);
    out
}

fn head(seen: &Inspection, out: &mut String) {
    line(out, &seen.place);
    line(out, "");
    line(out, "Can this be assessed?");
    for part in seen.answer.sentence.lines() {
        wrapped(out, "  ", "  ", part.trim());
    }
    for warning in seen.warnings.iter().take(WARNINGS_SHOWN) {
        wrapped(out, "  ", "    ", &one_line(warning));
    }
    more(out, seen.warnings.len(), WARNINGS_SHOWN, "remarks on the sheet");
}

fn values(seen: &Inspection, out: &mut String) {
    let count = |groups: &[Group]| groups.iter().map(|group| group.count).sum::<usize>();
    let (lost, doubtful) = (count(&seen.lost), count(&seen.doubtful));
    if lost + doubtful > 0 {
        line(out, "");
        let verb = if lost == 1 { "is" } else { "are" };
        line(
            out,
            &format!("Values: {} need a word; {lost} of them {verb} read as {NOT_KNOWN}", cells(lost + doubtful)),
        );
    }
    kinds(out, &seen.lost, LOST_SHOWN, "trouble");
    if seen.lost_by_field.len() > 1 {
        let counts: Vec<String> = seen.lost_by_field.iter().map(|(field, count)| format!("{field} {count}")).collect();
        wrapped(out, "  ", "    ", &format!("not known by column: {}", listed(&counts, COUNTS_SHOWN)));
    }
    if doubtful > 0 {
        line(out, "  Understood, with a doubt or a remark");
        kinds(out, &seen.doubtful, DOUBTFUL_SHOWN, "remarks");
    }
    if !seen.contradictions.is_empty() {
        line(out, "");
        let all: usize = seen.contradictions.iter().map(|clash| clash.cases.len()).sum();
        line(out, &format!("Contradictions: {all}"));
        for clash in seen.contradictions.iter().take(CONTRADICTIONS_SHOWN) {
            let cases = clash.cases.iter().take(CASES_SHOWN).map(|case| cut_to(case, WIDEST_CASE));
            let text = format!("{} {}", clash.kind, cases.collect::<Vec<_>>().join("; "));
            wrapped(out, &format!("  {:>5}  ", clash.cases.len()), "         ", &text);
        }
        more(out, seen.contradictions.len(), CONTRADICTIONS_SHOWN, "kinds of contradiction");
    }
}

fn kinds(out: &mut String, groups: &[Group], most: usize, what: &str) {
    for group in groups.iter().take(most) {
        wrapped(out, &format!("  {:>5}  ", group.count), "         ", &one_line(&group.message));
        let mut told = "";
        let mut examples = String::new();
        for example in &group.examples {
            // A field is named once for the cells that follow each other in it.
            let field = if example.field == told { "" } else { example.field };
            told = example.field;
            let between = if examples.is_empty() { "" } else { "; " };
            examples.push_str(&format!("{between}{}", shown(example, field)));
        }
        wrapped(out, "         ", "         ", &examples);
    }
    let rest: usize = groups.iter().skip(most).map(|group| group.count).sum();
    if rest > 0 {
        line(out, &format!("  and {rest} more cells with other {what}"));
    }
}

fn shown(example: &Example, field: &str) -> String {
    let gap = if field.is_empty() { "" } else { " " };
    let raw = format!("{field}{gap}{} \"{}\"", example.cell, cut_to(&example.raw, WIDEST_EXAMPLE));
    // What was understood as it stands needs no second saying.
    if example.lost || example.understood == example.raw {
        raw
    } else {
        format!("{raw} = {}", cut_to(&example.understood, WIDEST_EXAMPLE))
    }
}

fn rows(seen: &Inspection, out: &mut String) {
    let [read, judged, aside] = seen.rows;
    line(out, "");
    let can = if seen.answer.word == Word::No { "could be judged when that is put right" } else { "can be judged" };
    let rows = if read == 1 { "1 row" } else { &format!("{read} rows") };
    line(out, &format!("Rows: {rows} read: {judged} {can}, {aside} set aside"));
    for reason in seen.aside.iter().take(REASONS_SHOWN) {
        let (count, numbers) = (reason.rows.len(), row_numbers(&reason.rows));
        let text = if count == 1 { reason.first.clone() } else { reason.why.clone() };
        wrapped(
            out,
            &format!("  {count:>5}  "),
            "         ",
            &one_line(&format!("{} ({numbers})", text.trim_end_matches('.'))),
        );
    }
    more(out, seen.aside.len(), REASONS_SHOWN, "reasons");
}

fn cells(count: usize) -> String {
    if count == 1 { "1 cell".to_owned() } else { format!("{count} cells") }
}

fn row_numbers(rows: &[String]) -> String {
    let word = if rows.len() == 1 { "row" } else { "rows" };
    format!("{word} {}", listed(rows, ROWS_NAMED))
}

fn missing(seen: &Inspection, out: &mut String) {
    line(out, "");
    if seen.missing.is_empty() {
        line(out, "Missing: no column of weight.");
        return;
    }
    line(out, "Missing: no column asks for these; what is taken instead, and what that costs");
    let name = seen.missing.iter().map(|worth| worth.field.len()).max().unwrap_or(0);
    let assumed = seen.missing.iter().map(|worth| worth.assumed.chars().count()).max().unwrap_or(0);
    for worth in &seen.missing {
        let pad = " ".repeat(assumed.saturating_sub(worth.assumed.chars().count()));
        line(out, &format!("  {:<name$}  {}{pad}  {}", worth.field, worth.assumed, worth.costs));
    }
    let others = seen.not_asked - seen.missing.len();
    line(
        out,
        &format!("  and {others} more columns that each sharpen the answer a little: `baywright template` has all."),
    );
}

pub(super) fn line(out: &mut String, text: &str) {
    // Writing to a string cannot fail.
    let _ = writeln!(out, "{}", text.trim_end());
}

/// A text over as many lines as it takes, each within the page.
pub(super) fn wrapped(out: &mut String, first: &str, rest: &str, text: &str) {
    let mut current = first.to_owned();
    let mut empty = true;
    for word in text.split(' ') {
        if !empty && current.chars().count() + 1 + word.chars().count() > WIDE {
            line(out, &current);
            current = rest.to_owned();
            empty = true;
        }
        if !empty {
            current.push(' ');
        }
        current.push_str(word);
        empty = false;
    }
    line(out, &current);
}

pub(super) fn more(out: &mut String, all: usize, shown: usize, what: &str) {
    if all > shown {
        line(out, &format!("  and {} more {what}", all - shown));
    }
}

pub(super) fn listed(items: &[String], most: usize) -> String {
    let shown = items.iter().take(most).cloned().collect::<Vec<_>>().join(", ");
    if items.len() > most { format!("{shown} and {} more", items.len() - most) } else { shown }
}

/// A text in one line of bounded width.
pub(super) fn cut(text: &str) -> String {
    cut_to(text, WIDEST)
}

fn cut_to(text: &str, widest: usize) -> String {
    let plain = one_line(text);
    if plain.chars().count() <= widest {
        return plain;
    }
    plain.chars().take(widest.saturating_sub(1)).chain(['\u{2026}']).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::intake::{ReadOptions, read_bytes};

    #[test]
    fn it_says_what_is_read_what_is_not_and_what_is_missing() {
        let text = "Address,Main fuse,Max demand,Cable run,Bin day\n\
            1 Mill Lane,see photo,35,approx 12,Tue\nTotal,,,35,\n";
        let intake = read_bytes(text.as_bytes(), "Returns.csv", &ReadOptions::default()).unwrap();
        let said = describe(&intake);
        for part in [
            "Returns.csv, headings in row 1",
            "Yes, 1 of 2 rows can be judged, but the supply rating of 1",
            "4 of 5 are read",
            "cutout_rating_a (A)",
            "Bin day",
            "2 rows read: 1 can be judged, 1 set aside",
            "(row 3)",
            "cutout_rating_a B2 \"see photo\"",
            "12 m, 9 to 15",
            "looped_service",
        ] {
            assert!(said.contains(part), "{part} is not in\n{said}");
        }
        assert!(said.lines().all(|line| !line.ends_with(' ')));
    }

    #[test]
    fn how_sure_each_column_is_stands_beside_it_with_its_grounds() {
        let text = "address,Adress 2nd,Cut out fuze ratng,Max demand,Cable run,Elec no. 2,Tails,Column9\n\
            1 Mill Lane,x,80,35,12,1012345678903,16,1\n2 Mill Lane,x,100,30,9,1112345678908,16,2\n\
            3 Mill Lane,x,60,30,9,1212345678902,25,3\n";
        let mapping = vec![("Column9".to_owned(), "bedrooms".to_owned())];
        let options = ReadOptions { mapping, ..ReadOptions::default() };
        let intake = read_bytes(text.as_bytes(), "Returns.csv", &options).unwrap();
        let said = describe(&intake);
        let flat = said.split_whitespace().collect::<Vec<_>>().join(" ");
        for part in [
            "A address address certain exact",
            "existing_demand_a (A) sure a known heading",
            "cutout_rating_a (A) check this near \"cut out fuse rating\" 0.89; 3 of the first 3 values read as it",
            "mpan check this by its values, 0.80: supply numbers with a right check digit",
            "bedrooms certain as you said",
            "Contradictions: 1 1 cutout_rating_a against tails_mm2: tails of 16",
            "C3 \"100\" against G3 \"16\"",
        ] {
            assert!(flat.contains(part), "{part} is not in\n{said}");
        }
    }

    #[test]
    fn a_page_stays_a_page_whatever_is_in_the_sheet() {
        let headings: Vec<&str> = crate::site::fields().iter().map(|field| field.name).collect();
        let mut text = headings.join(",") + "\n";
        for row in 0..300 {
            let cells: Vec<String> = headings.iter().map(|_| format!("what {} is this {row}?", row * 7)).collect();
            text += &(cells.join(",") + "\n");
        }
        let intake = read_bytes(text.as_bytes(), "Returns.csv", &ReadOptions::default()).unwrap();
        let said = describe(&intake);
        assert!(said.lines().count() <= 70, "{said}");
        assert!(said.lines().all(|line| line.chars().count() <= 120), "{said}");
    }
}
