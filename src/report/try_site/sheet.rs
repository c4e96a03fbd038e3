//! The sheet "Try a site" on paper: a site to choose, its facts beside cells to change, the checks, and how they are
//! reckoned. It reckons nothing itself.

use super::book::Book;
use super::evaluate::{Names, Value};
use super::lines::{CheckLine, Fact, checks, facts, works};
use super::styles::Styles;
use crate::report::formats::INK;
use crate::report::grid::names;
use crate::report::letters::{BOLD, TEXT_PT, column_pixels, lines};
use crate::report::writer::PageMarks;
use rust_xlsxwriter::{
    ConditionalFormatCell, ConditionalFormatCellRule, DataValidation, DataValidationErrorStyle, DataValidationRule,
    Format, Formula, Worksheet, XlsxError,
};

/// Last column of the sheet.
const LAST: u16 = 11;
/// Widths of its columns, characters.
const WIDTHS: [f64; 12] = [40.0, 16.0, 16.0, 16.0, 9.0, 9.0, 8.0, 25.0, 11.0, 11.0, 25.0, 6.0];
/// Usual height of a row, points, and that of a row whose words take three lines.
const ROW_PT: f64 = 12.75;
const WORDS_PT: f64 = 38.0;
/// Column that holds the effect as a number.
const RANK: u16 = 11;

/// Where a name stands: first row, first column, last row, last column of a sheet.
pub(super) type Place = (&'static str, u32, u16, u32, u16);

/// The sheet while it is written.
struct Page<'p, 'b> {
    worksheet: Worksheet,
    book: &'p Book<'b>,
    reckoned: &'p dyn Names,
    styles: Styles,
    row: u32,
    places: Vec<(String, Place)>,
}

/// The sheet, and what its names stand for.
pub(super) fn sheet(
    book: &Book<'_>,
    reckoned: &dyn Names,
    (sites, of): (usize, usize),
    marks: &PageMarks,
) -> Result<(Worksheet, Vec<(String, Place)>), XlsxError> {
    let mut worksheet = Worksheet::new();
    worksheet.set_name(names::TRY_SITE)?;
    // A formula may come to an empty text: the library's own default is a zero.
    worksheet.set_formula_result_default("");
    for (column, width) in (0..).zip(WIDTHS) {
        worksheet.set_column_width(column, width)?;
    }
    worksheet.set_default_row_height(ROW_PT);
    let mut page = Page { worksheet, book, reckoned, styles: Styles::new(), row: 0, places: Vec::new() };
    page.head(sites, of)?;
    page.facts("Facts", &["supply", "earthing", "route", "design"])?;
    let second_sheet = page.row;
    page.checks()?;
    let third_sheet = page.row;
    page.facts("Facts that the checks also take, as found", &["fixed"])?;
    page.works()?;
    let Page { mut worksheet, row: last, places, .. } = page;
    worksheet.set_page_breaks(&[second_sheet, third_sheet])?;
    let failed = ConditionalFormatCell::new().set_rule(ConditionalFormatCellRule::EqualTo("fail".to_owned()));
    let failed = failed.set_format(Format::new().set_bold().set_font_color(INK));
    worksheet.add_conditional_format(second_sheet, 5, third_sheet, 5, &failed)?;
    worksheet.set_screen_gridlines(false);
    worksheet.set_freeze_panes(10, 0)?;
    worksheet.set_landscape();
    worksheet.set_paper_size(9);
    worksheet.set_margins(0.45, 0.45, 0.5, 0.5, 0.25, 0.25);
    worksheet.set_print_fit_to_pages(1, 0);
    worksheet.set_print_area(0, 0, last, LAST - 1)?;
    worksheet.set_header(marks.header("Try a site: the checks of one point, reckoned again by the workbook"));
    worksheet.set_footer(marks.footer());
    Ok((worksheet, places))
}

impl Page<'_, '_> {
    fn text(&mut self, column: u16, text: &str, format: &Format) -> Result<(), XlsxError> {
        self.worksheet.write_string_with_format(self.row, column, text, format).map(drop)
    }

    fn sentence(&mut self, text: &str, format: &Format, lines: f64) -> Result<(), XlsxError> {
        self.worksheet.merge_range(self.row, 0, self.row, LAST - 1, text, format)?;
        self.worksheet.set_row_height(self.row, 12.0 * lines + 1.0)?;
        self.row += 1;
        Ok(())
    }

    fn name(&mut self, name: &str, column: u16) {
        self.places.push((name.to_owned(), (names::TRY_SITE, self.row, column, self.row, column)));
    }

    /// A named formula with its result; nothing where there is none.
    fn formula(&mut self, name: &str, column: u16, format: &Format) -> Result<(), XlsxError> {
        let Some(text) = self.book.formula(name) else { return Ok(()) };
        let shown = match self.reckoned.value(name) {
            Value::Number(number) => number.to_string(),
            Value::Text(text) => text.to_string(),
            Value::Truth(truth) => if truth { "TRUE" } else { "FALSE" }.to_owned(),
            Value::Blank | Value::Fault | Value::Grid(_) => "#N/A".to_owned(),
        };
        let formula = Formula::new(format!("={text}")).set_result(shown);
        self.worksheet.write_formula_with_format(self.row, column, formula, format)?;
        self.name(name, column);
        Ok(())
    }

    fn head(&mut self, sites: usize, of: usize) -> Result<(), XlsxError> {
        let (title, sentence, caution) =
            (self.styles.title.clone(), self.styles.sentence.clone(), self.styles.caution.clone());
        self.text(0, "Try a site", &title)?;
        self.worksheet.set_row_height(self.row, 24.0)?;
        self.row += 1;
        self.sentence(
            "Choose a site and write into the bordered cells what you would change; a cell left empty counts as found. \
             Every figure is reckoned by formulas of this workbook, from the sheets Try data and Try tables: a second \
             calculation beside Baywright's own.",
            &sentence,
            2.0,
        )?;
        self.sentence(
            "It checks the design that was chosen, with your changes, and looks for no other one: a cable that no longer \
             serves is told, not exchanged. Figures taken for facts that nobody surveyed follow your changes by the same \
             rules. A desk-top screen: a qualified designer verifies each site before work; local rules come first.",
            &caution,
            2.0,
        )?;
        let words = format!(
            "{sites} of {of} sites can be tried: those with one point, a cable, an identifier that can be looked up and a \
             place among the first ranked. What is not listed below (service, consents, the charge point's own devices) stays as found, whatever is changed."
        );
        self.sentence(&words, &sentence, 2.0)?;
        self.row += 1;
        let (label, strong, quiet) = (self.styles.label.clone(), self.styles.strong.clone(), self.styles.quiet.clone());
        self.text(0, "Site", &strong)?;
        let open = self.styles.open_word();
        let first = self.book.sites.first().map_or("", |site| site.id());
        self.worksheet.merge_range(self.row, 1, self.row, 2, first, &open)?;
        self.name("your_site", 1);
        self.validate(1, &DataValidation::new().allow_list_formula(Formula::new("=site_names")))?;
        self.formula("site_row", RANK, &quiet)?;
        self.row += 1;
        self.text(0, "Verdict with your values, before any engineer's override", &label)?;
        self.formula("verdict_now", 1, &strong)?;
        self.text(3, "as found", &label)?;
        self.formula("verdict_found", 4, &strong)?;
        self.formula("worst_rank", RANK, &quiet)?;
        self.row += 1;
        self.text(0, "Cells changed", &label)?;
        self.formula("changed_facts", 1, &strong)?;
        self.row += 1;
        self.text(0, "Holds or stops it and stays as found", &label)?;
        self.worksheet.merge_range(self.row, 1, self.row, LAST - 1, "", &self.styles.sentence)?;
        self.worksheet.set_row_height(self.row, 25.0)?;
        self.formula("rest_found", 1, &sentence)?;
        self.row += 1;
        self.text(0, "What your values ask beyond this sheet", &label)?;
        self.worksheet.merge_range(self.row, 1, self.row, LAST - 1, "", &self.styles.caution)?;
        self.worksheet.set_row_height(self.row, 25.0)?;
        self.formula("outside_words", 1, &caution)?;
        self.row += 1;
        Ok(())
    }

    fn validate(&mut self, column: u16, validation: &DataValidation) -> Result<(), XlsxError> {
        self.worksheet.add_data_validation(self.row, column, self.row, column, validation).map(drop)
    }

    fn heads(&mut self, heads: &[(u16, &str, bool)]) -> Result<(), XlsxError> {
        let (left, right) = (self.styles.head.clone(), self.styles.head_right.clone());
        for column in 0..LAST {
            self.worksheet.write_blank(self.row, column, &left)?;
        }
        let mut tall = 1;
        for (column, text, is_number) in heads {
            self.text(*column, text, if *is_number { &right } else { &left })?;
            let width = WIDTHS.get(usize::from(*column)).copied().unwrap_or_default();
            tall = tall.max(lines(text, TEXT_PT, column_pixels(width) / BOLD));
        }
        if tall > 1 {
            self.worksheet.set_row_height(self.row, 12.0 * f64::from(tall) + 1.0)?;
        }
        self.row += 1;
        Ok(())
    }

    fn facts(&mut self, title: &str, blocks: &[&str]) -> Result<(), XlsxError> {
        let open = blocks != ["fixed"];
        self.heads(&[
            (0, title, false),
            (1, "As found", true),
            (2, if open { "Your value" } else { "" }, true),
            (3, "Counts", true),
            (4, "Unit", false),
        ])?;
        let strong = self.styles.strong.clone();
        for block in blocks {
            if open {
                let (first, rest) = block.split_at(1);
                self.text(0, &(first.to_uppercase() + rest), &strong)?;
                self.row += 1;
            }
            for fact in facts().iter().filter(|fact| fact.block == *block) {
                self.fact(fact)?;
            }
        }
        self.row += 1;
        Ok(())
    }

    fn fact(&mut self, fact: &Fact) -> Result<(), XlsxError> {
        let (label, unit, quiet) = (self.styles.label.clone(), self.styles.unit.clone(), self.styles.quiet.clone());
        let is_word = fact.input.ends_with("_words") || fact.name == "feed";
        let figure = if is_word { self.styles.wrapped() } else { self.styles.figure(fact.places) };
        if matches!(fact.name, "path" | "cable") {
            self.worksheet.set_row_height(self.row, WORDS_PT)?;
        }
        self.text(0, fact.title, &label)?;
        self.formula(&format!("found_{}", fact.name), 1, &figure)?;
        if fact.is_input() {
            let open = if is_word { self.styles.open_word() } else { self.styles.open(fact.places) };
            self.worksheet.write_blank(self.row, 2, &open)?;
            self.name(&format!("your_{}", fact.name), 2);
            let validation = match fact.input {
                "number" => DataValidation::new()
                    .allow_decimal_number(DataValidationRule::GreaterThanOrEqualTo(0.0))
                    .set_error_message("A number, zero or more; empty for the value as found.")?,
                list => DataValidation::new().allow_list_formula(Formula::new(format!("={list}"))).set_error_style(
                    if is_word { DataValidationErrorStyle::Stop } else { DataValidationErrorStyle::Warning },
                ),
            };
            self.validate(2, &validation)?;
        }
        self.formula(fact.name, 3, &figure)?;
        self.text(4, fact.unit, &unit)?;
        self.text(5, fact.note, &quiet)?;
        self.row += 1;
        Ok(())
    }

    fn checks(&mut self) -> Result<(), XlsxError> {
        self.heads(&[
            (0, "Checks", false),
            (1, "Found", true),
            (2, "Limit", true),
            (3, "Margin", true),
            (4, "Unit", false),
            (5, "Outcome", false),
            (6, "Effect", false),
            (7, "Reason code", false),
            (8, "As found: value", true),
            (9, "limit", true),
            (10, "reason", false),
        ])?;
        for line in checks() {
            self.check(line)?;
        }
        self.row += 1;
        Ok(())
    }

    fn check(&mut self, line: &CheckLine) -> Result<(), XlsxError> {
        let (label, quiet) = (self.styles.label.clone(), self.styles.quiet.clone());
        let places = if line.unit.is_empty() { line.check.places } else { 1 };
        let (figure, word) = (self.styles.figure(Some(places)), self.styles.word());
        let key = line.key;
        for column in 1..LAST {
            self.worksheet.write_blank(self.row, column, &word)?;
        }
        self.text(0, line.title, &label)?;
        for (part, column, format) in [
            ("value", 1, &figure),
            ("limit", 2, &figure),
            ("margin", 3, &figure),
            ("unit", 4, &word),
            ("outcome", 5, &word),
            ("effect", 6, &word),
            ("code", 7, &word),
            ("rank", RANK, &quiet),
        ] {
            self.formula(&format!("{key}_{part}"), column, format)?;
        }
        if line.unit.is_empty() {
            let unit = if line.value.is_empty() { "" } else { line.check.unit };
            self.text(4, unit, &word)?;
        }
        self.formula(&format!("seen_{key}_value"), 8, &figure)?;
        self.formula(&format!("seen_{key}_limit"), 9, &figure)?;
        self.formula(&format!("seen_{key}_code"), 10, &word)?;
        self.row += 1;
        Ok(())
    }

    fn works(&mut self) -> Result<(), XlsxError> {
        self.heads(&[
            (0, "How it is reckoned", false),
            (1, "Comes to", true),
            (4, "Unit", false),
            (5, "Name in formulas", false),
        ])?;
        let (label, unit, quiet) = (self.styles.label.clone(), self.styles.unit.clone(), self.styles.quiet.clone());
        for work in works().iter().filter(|work| work.name != "outside_words") {
            let places = match work.unit {
                "" => None,
                "A²s" => Some(0),
                _ => Some(3),
            };
            self.text(0, work.title, &label)?;
            self.formula(work.name, 1, &self.styles.figure(places))?;
            self.text(4, work.unit, &unit)?;
            self.text(5, work.name, &quiet)?;
            self.row += 1;
        }
        Ok(())
    }
}
