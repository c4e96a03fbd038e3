//! The looks of the sheets that reckon: cells to change have a border and a light ground, everything else is plain.

use crate::report::formats::{HAIR, INK, PALE, QUIET, heading, text};
use rust_xlsxwriter::{Color, Format, FormatAlign, FormatBorder};

/// Ground of a cell to change; the border tells it in grey print.
const OPEN: Color = Color::RGB(0xFFF8E1);

/// The formats of the sheets that reckon.
pub(in crate::report) struct Styles {
    pub(in crate::report) title: Format,
    pub(in crate::report) sentence: Format,
    pub(in crate::report) caution: Format,
    pub(in crate::report) section: Format,
    pub(in crate::report) head: Format,
    pub(in crate::report) head_right: Format,
    pub(in crate::report) label: Format,
    pub(in crate::report) strong: Format,
    pub(in crate::report) quiet: Format,
    pub(in crate::report) unit: Format,
}

impl Styles {
    pub(in crate::report) fn new() -> Self {
        let head = || heading().set_align(FormatAlign::Bottom);
        Self {
            title: text().set_font_size(17).set_bold().set_font_color(INK),
            sentence: text().set_text_wrap().set_font_color(QUIET),
            caution: text().set_text_wrap().set_bold(),
            section: text()
                .set_font_size(10)
                .set_bold()
                .set_font_color(INK)
                .set_border_bottom(FormatBorder::Thin)
                .set_border_bottom_color(INK),
            head: head(),
            head_right: head().set_align(FormatAlign::Right),
            label: text(),
            strong: text().set_bold().set_align(FormatAlign::Left),
            quiet: text().set_font_color(QUIET).set_font_size(8),
            unit: text().set_font_color(QUIET).set_align(FormatAlign::Left).set_indent(1),
        }
    }

    /// A figure that a formula gives, or a word in its place.
    pub(in crate::report) fn figure(&self, places: Option<u32>) -> Format {
        let shown = number(places);
        text()
            .set_align(FormatAlign::Right)
            .set_border_bottom(FormatBorder::Hair)
            .set_border_bottom_color(HAIR)
            .set_num_format(shown)
    }

    /// A word that a formula gives.
    pub(in crate::report) fn word(&self) -> Format {
        text()
            .set_align(FormatAlign::Left)
            .set_indent(1)
            .set_border_bottom(FormatBorder::Hair)
            .set_border_bottom_color(HAIR)
    }

    /// A word that may take several lines.
    pub(in crate::report) fn wrapped(&self) -> Format {
        self.word().set_text_wrap()
    }

    /// A cell to change.
    pub(in crate::report) fn open(&self, places: Option<u32>) -> Format {
        text()
            .set_align(FormatAlign::Right)
            .set_background_color(OPEN)
            .set_border(FormatBorder::Thin)
            .set_border_color(INK)
            .set_num_format(number(places))
    }

    /// A cell to change that holds a word: what is chosen stays as it is written.
    pub(in crate::report) fn open_word(&self) -> Format {
        self.open(None).set_align(FormatAlign::Left).set_text_wrap().set_num_format("@")
    }

    /// A cell of a table.
    pub(in crate::report) fn cell(&self) -> Format {
        text().set_border_bottom(FormatBorder::Hair).set_border_bottom_color(PALE)
    }
}

/// The number format of so many places.
fn number(places: Option<u32>) -> String {
    match places {
        None => "General".to_owned(),
        Some(0) => "#,##0".to_owned(),
        Some(places) => format!("#,##0.{}", "0".repeat(places as usize)),
    }
}
