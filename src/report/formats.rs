//! The looks of the workbook in one place: one restrained palette, number formats, the tints of the verdicts.
//! Formats are made once and registered in a fixed order, so that the same run gives the same bytes.

use super::grid::Form;
use crate::site::Verdict;
use rust_xlsxwriter::{ChartFont, Color, Format, FormatAlign, FormatBorder, Workbook};

/// Ink of headings and rules.
pub(super) const INK: Color = Color::RGB(0x2B3A42);
/// Ink of what stands back.
pub(super) const QUIET: Color = Color::RGB(0x66737A);
/// Hair lines.
pub(super) const HAIR: Color = Color::RGB(0xC9D0D3);
/// Ground of headings.
pub(super) const PALE: Color = Color::RGB(0xEEF1F2);
/// Ink of a link.
pub(super) const LINK: Color = Color::RGB(0x1F4E79);
/// Face of all text.
pub(super) const FACE: &str = "Calibri";

/// Tint of a verdict: all three stay apart in grey as well.
pub(super) fn tint(verdict: Verdict) -> Color {
    match verdict {
        Verdict::Ready => Color::RGB(0xD8ECD6),
        Verdict::Marginal => Color::RGB(0xFBE3B5),
        Verdict::Blocked => Color::RGB(0xF3C9C4),
    }
}

/// Strong shade of a verdict, for chart bars.
pub(super) fn shade(verdict: Verdict) -> Color {
    match verdict {
        Verdict::Ready => Color::RGB(0x4F8A5B),
        Verdict::Marginal => Color::RGB(0xC98A1B),
        Verdict::Blocked => Color::RGB(0xA8433A),
    }
}

/// The number format of a form; empty where there is none.
pub(super) fn number_format(form: Form) -> &'static str {
    match form {
        Form::Text | Form::Wrapped => "",
        Form::Whole => "#,##0",
        Form::Ordinal => "0",
        Form::Tenths => "#,##0.0",
        Form::Hundredths => "#,##0.00",
        Form::Thousandths => "#,##0.000",
        Form::Free => "General",
        Form::Percent => "0%",
        Form::Pounds => "\"£\"#,##0",
        Form::Pence => "\"£\"#,##0.00",
        Form::Date => "d mmm yyyy",
    }
}

/// Letters of a chart.
pub(super) fn chart_face() -> ChartFont {
    let mut face = ChartFont::new();
    face.set_name(FACE).set_size(8);
    face
}

/// Letters of the title of a chart.
pub(super) fn chart_title(size_pt: u8) -> ChartFont {
    let mut title = ChartFont::new();
    title.set_name(FACE).set_size(size_pt).set_bold().set_color(INK);
    title
}

/// Text of the workbook's size.
pub(super) fn text() -> Format {
    Format::new().set_font_name(FACE).set_font_size(9).set_align(FormatAlign::Top)
}

/// A heading over a column: bold on pale ground with a line below.
pub(super) fn heading() -> Format {
    text()
        .set_bold()
        .set_font_color(INK)
        .set_background_color(PALE)
        .set_text_wrap()
        .set_border_bottom(FormatBorder::Thin)
        .set_border_bottom_color(INK)
}

/// Every format of the long sheets.
pub(super) struct Formats {
    columns: Vec<Format>,
    headings: [Format; 4],
    /// A jump to another sheet.
    pub(super) link: Format,
    /// A number that is one.
    pub(super) linked_number: Format,
    verdicts: [Format; 3],
}

impl Formats {
    /// The formats, registered with `workbook` in a fixed order.
    pub(super) fn register(workbook: &mut Workbook) -> Self {
        let columns = Form::ALL
            .iter()
            .map(|form| {
                let format = text();
                let format = match form {
                    Form::Wrapped => format.set_text_wrap(),
                    Form::Text | Form::Date => format.set_align(FormatAlign::Left),
                    // The indent keeps a number off the text of the next column.
                    _ => format.set_align(FormatAlign::Right).set_indent(1),
                };
                match number_format(*form) {
                    "" => format,
                    number => format.set_num_format(number),
                }
            })
            .collect();
        // At the top: the buttons of the filters stand at the bottom, on a line of their own.
        let head = || heading().set_align(FormatAlign::Top);
        let quiet = || head().set_font_color(QUIET);
        let formats = Self {
            columns,
            headings: [
                head(),
                head().set_align(FormatAlign::Right).set_indent(1),
                quiet(),
                quiet().set_align(FormatAlign::Right).set_indent(1),
            ],
            link: text().set_font_color(LINK),
            linked_number: text()
                .set_font_color(LINK)
                .set_align(FormatAlign::Right)
                .set_indent(1)
                .set_num_format(number_format(Form::Whole)),
            verdicts: [Verdict::Ready, Verdict::Marginal, Verdict::Blocked].map(|verdict| {
                // A white hair between tints keeps rows apart where many of one verdict follow each other.
                text()
                    .set_background_color(tint(verdict))
                    .set_border_bottom(FormatBorder::Thin)
                    .set_border_bottom_color(Color::White)
            }),
        };
        let links = [&formats.link, &formats.linked_number];
        for format in formats.columns.iter().chain(&formats.headings).chain(links).chain(&formats.verdicts) {
            workbook.register_format(format);
        }
        formats
    }

    /// The format of a column.
    pub(super) fn column(&self, form: Form) -> &Format {
        let index = Form::ALL.iter().position(|each| *each == form).unwrap_or(0);
        &self.columns[index] // one format for each of Form::ALL
    }

    /// The format of a heading.
    pub(super) fn heading(&self, form: Form, folds: bool) -> &Format {
        &self.headings[usize::from(form.is_number()) + 2 * usize::from(folds)] // at most 3
    }

    /// The tint of a verdict.
    pub(super) fn verdict(&self, verdict: Verdict) -> &Format {
        match verdict {
            Verdict::Ready => &self.verdicts[0],
            Verdict::Marginal => &self.verdicts[1],
            Verdict::Blocked => &self.verdicts[2],
        }
    }
}
