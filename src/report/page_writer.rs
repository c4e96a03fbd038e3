//! From a page as data to a worksheet that prints on one or a few sheets of paper, with its chart. It knows no site.

use super::formats::{HAIR, INK, LINK, QUIET, chart_face, chart_title, number_format, shade, text, tint};
use super::grid::{Cell, Form, verdict_word};
use super::jump;
use super::letters::{TEXT_PT, lines};
use super::page::{Chart as ChartPlace, Look, Page, Span};
use super::page_curve;
use super::writer::{PageMarks, serial};
use crate::site::Verdict;
use rust_xlsxwriter::{
    Chart, ChartDataLabel, ChartFormat, ChartLegendPosition, ChartLine, ChartPatternFill, ChartPatternFillType,
    ChartPoint, ChartSolidFill, ChartType, Color, Format, FormatAlign, FormatBorder, IgnoreError, Worksheet, XlsxError,
};

/// Height of a gap, points.
const GAP_PT: f64 = 7.0;
/// Screen pixels a point, at which the file format counts.
const PIXELS_A_POINT: f64 = 96.0 / 72.0;
/// Pixels by which a chart keeps below the rule of its heading.
pub(super) const BELOW_RULE_PIXELS: u32 = 3;
/// Height of a line with room to sign on, points.
const SIGN_PT: f64 = 18.75;

/// What a sheet of A4 takes within the margins, points, less what programs make of it: some draw narrow columns 6 %
/// wider than the file says, some round the heights of lines.
const USABLE_WIDTH_PT: f64 = 530.0 * 0.93;
const USABLE_HEIGHT_PT: f64 = 756.0;

/// Height that a line may have, points.
const GREATEST_PT: f64 = 409.0;

/// How a page goes on paper.
pub(super) struct Print<'p> {
    /// What it holds, for the head of the paper.
    pub(super) subject: &'p str,
    /// Sheets of paper that it may take.
    pub(super) sheets: Sheets,
}

/// Sheets of paper that a page may take.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Sheets {
    /// One, whatever it takes.
    One,
    /// Two at most.
    Two,
    /// As many as it needs.
    Any,
}

/// Pixels of a column of a page's grid.
fn column_pixels(page: &Page<'_>) -> f64 {
    page.width_pixels / f64::from(page.columns)
}

fn format(look: Look) -> Format {
    let text = text();
    let head =
        || text.clone().set_font_color(QUIET).set_border_bottom(FormatBorder::Hair).set_border_bottom_color(HAIR);
    let wrapped = || text.clone().set_text_wrap();
    match look {
        Look::Title => text.set_font_size(17).set_bold().set_font_color(INK),
        Look::Subtitle => wrapped().set_font_color(QUIET),
        Look::Section => text
            .set_font_size(10)
            .set_bold()
            .set_font_color(INK)
            .set_border_bottom(FormatBorder::Thin)
            .set_border_bottom_color(INK),
        Look::Head => head(),
        Look::HeadRight => head().set_align(FormatAlign::Right),
        Look::Plain => wrapped(),
        Look::Strong => wrapped().set_bold(),
        Look::Whole => text.set_num_format("#,##0"),
        Look::Share => text.set_num_format("0%").set_font_color(QUIET),
        Look::Pounds => text.set_num_format("\"£\"#,##0"),
        Look::StrongPounds => text.set_num_format("\"£\"#,##0").set_bold(),
        Look::StrongWhole => text.set_num_format("#,##0").set_bold(),
        Look::Quiet => wrapped().set_font_color(QUIET).set_font_size(8),
        Look::Caution => wrapped().set_bold().set_font_size(8.5),
        Look::Room | Look::Sign => wrapped().set_border_bottom(FormatBorder::Thin).set_border_bottom_color(QUIET),
    }
}

/// Size of a look's letters, points.
fn size_pt(look: Look) -> f64 {
    match look {
        Look::Title => 17.0,
        Look::Section => 10.0,
        Look::Quiet => 8.0,
        Look::Caution => 8.5,
        _ => TEXT_PT,
    }
}

/// How much wider the letters of a look run than plain ones.
fn boldness(look: Look) -> f64 {
    match look {
        Look::Title | Look::Section | Look::Strong | Look::Caution => 1.03,
        _ => 1.0,
    }
}

fn words<'s>(span: &'s Span<'_>) -> &'s str {
    match &span.cell {
        Cell::Text(text) | Cell::Link { text, .. } => text,
        _ => "",
    }
}

/// Height of a line, points: merged cells do not grow by themselves.
fn height(line: &[Span<'_>], page: &Page<'_>) -> f64 {
    line.iter()
        .filter(|span| !matches!(span.look, Look::Head | Look::HeadRight | Look::Section))
        .map(|span| {
            let wide = f64::from(span.last - span.first + 1) * column_pixels(page) / boldness(span.look);
            let tall = match span.look {
                Look::Title => 24.0,
                Look::Sign => SIGN_PT,
                look => page.line_pt * (size_pt(look) / TEXT_PT).max(0.85),
            };
            (tall * f64::from(lines(words(span), size_pt(span.look), wide))).min(GREATEST_PT)
        })
        .fold(if line.is_empty() { GAP_PT } else { page.line_pt }, f64::max)
}

/// How a page of several sheets of paper is laid on them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Paper {
    /// At this many percent of its size, ending before this line, if at all.
    Scaled {
        /// Percent of full size.
        percent: u16,
        /// Line that begins the second sheet.
        second: Option<usize>,
    },
    /// As small as it takes.
    Shrunk,
}

/// Least percent at which a page of several sheets is tried; below it nobody could read it.
const LEAST_PERCENT: u16 = 60;

/// How `page` is laid on two sheets: as large as its width allows and as both parts fit, ending at the best place for
/// that size.
pub(super) fn on_two_sheets(page: &Page<'_>) -> Paper {
    let widest = (100.0 * USABLE_WIDTH_PT / (page.width_pixels / PIXELS_A_POINT)).floor().clamp(10.0, 100.0) as u16;
    let heights: Vec<f64> = page.lines.iter().map(|line| height(line, page)).collect();
    let at_percent = |percent: u16| {
        let room = USABLE_HEIGHT_PT * 100.0 / f64::from(percent);
        let fits = |part: Option<&[f64]>| part.is_some_and(|part| part.iter().sum::<f64>() <= room);
        if fits(Some(&heights)) {
            return Some(Paper::Scaled { percent, second: None });
        }
        let second = page.breaks.iter().copied().find(|at| fits(heights.get(..*at)) && fits(heights.get(*at..)))?;
        Some(Paper::Scaled { percent, second: Some(second) })
    };
    (LEAST_PERCENT..=widest).rev().find_map(at_percent).unwrap_or(Paper::Shrunk)
}

/// Percent of its size at which `page` goes on one sheet of paper.
pub(super) fn on_one_sheet(page: &Page<'_>) -> u16 {
    let wide = 100.0 * USABLE_WIDTH_PT / (page.width_pixels / PIXELS_A_POINT);
    let tall: f64 = page.lines.iter().map(|line| height(line, page)).sum();
    wide.min(100.0 * USABLE_HEIGHT_PT / tall.max(1.0)).floor().clamp(10.0, 100.0) as u16
}

/// Writes `page` on `worksheet` (one that keeps its cells, for the chart's sake).
///
/// # Errors
/// When the library refuses a cell.
pub(super) fn fill(
    worksheet: &mut Worksheet,
    name: &str,
    page: &Page<'_>,
    print: &Print<'_>,
    marks: &PageMarks,
) -> Result<(), XlsxError> {
    worksheet.set_name(name)?;
    // The file format counts widths in digits of 7 pixels, with 5 around them.
    worksheet.set_column_range_width(0, page.columns - 1, (column_pixels(page) - 5.0) / 7.0)?;
    let formats: Vec<Format> = Look::ALL.iter().map(|look| format(*look)).collect();
    let format_of = |look: Look| Look::ALL.iter().position(|each| *each == look).and_then(|index| formats.get(index));
    for (row, line) in (0..).zip(&page.lines) {
        worksheet.set_row_height(row, height(line, page))?;
        for span in line {
            if let Some(format) = format_of(span.look) {
                put(worksheet, row, span, format)?;
            }
        }
    }
    if let Some(place) = &page.chart {
        insert(worksheet, name, page, place)?;
    }
    if let Some(curve) = &page.curve {
        page_curve::draw(worksheet, name, page, curve)?;
    }
    worksheet.set_screen_gridlines(false);
    worksheet.set_portrait();
    worksheet.set_paper_size(9);
    worksheet.set_margins(0.45, 0.45, 0.5, 0.5, 0.25, 0.25);
    match print.sheets {
        Sheets::One => {
            worksheet.set_print_fit_to_pages(1, 1);
        }
        Sheets::Any => {
            worksheet.set_print_fit_to_pages(1, 0);
        }
        Sheets::Two => lay_on_two(worksheet, page)?,
    }
    worksheet.set_print_center_horizontally(true);
    let last = u32::try_from(page.lines.len()).unwrap_or(u32::MAX).saturating_sub(1);
    worksheet.set_print_area(0, 0, last, page.columns - 1)?;
    // Numbers of lines in a row are texts on purpose: no warning marks on them.
    worksheet.ignore_error_range(0, 0, last, page.columns - 1, IgnoreError::NumberStoredAsText)?;
    worksheet.set_header(marks.header(print.subject));
    worksheet.set_footer(marks.footer());
    Ok(())
}

fn lay_on_two(worksheet: &mut Worksheet, page: &Page<'_>) -> Result<(), XlsxError> {
    match on_two_sheets(page) {
        Paper::Shrunk => {
            worksheet.set_print_fit_to_pages(1, 2);
        }
        Paper::Scaled { percent, second } => {
            worksheet.set_print_scale(percent);
            if let Some(row) = second.and_then(|line| u32::try_from(line).ok()) {
                worksheet.set_page_breaks(&[row])?;
            }
        }
    }
    Ok(())
}

fn put(worksheet: &mut Worksheet, row: u32, span: &Span<'_>, format: &Format) -> Result<(), XlsxError> {
    let tinted;
    let format = match span.cell {
        Cell::Verdict(verdict, _) => {
            tinted = format.clone().set_background_color(tint(verdict));
            &tinted
        }
        _ => format,
    };
    if span.last > span.first {
        worksheet.merge_range(row, span.first, row, span.last, "", format)?;
    }
    match &span.cell {
        Cell::Blank => worksheet.write_blank(row, span.first, format)?,
        Cell::Link { text, sheet, row: target } => {
            let format = format.clone().set_font_color(LINK);
            return jump::write(worksheet, (row, span.first), text, (sheet, *target), &format);
        }
        Cell::Text(text) => worksheet.write_string_with_format(row, span.first, text.as_ref(), format)?,
        Cell::Number(number) | Cell::Percent(number) | Cell::Formula { shown: number, .. } if number.is_finite() => {
            worksheet.write_number_with_format(row, span.first, *number, format)?
        }
        Cell::Number(_) | Cell::Percent(_) | Cell::Formula { .. } => worksheet.write_blank(row, span.first, format)?,
        Cell::Lines { lines, .. } => worksheet.write_number_with_format(row, span.first, *lines, format)?,
        Cell::Int(number) => worksheet.write_number_with_format(row, span.first, *number as f64, format)?,
        Cell::Money(pence) => worksheet.write_number_with_format(row, span.first, pence.pounds(), format)?,
        Cell::Date(date) => {
            let dated = format.clone().set_num_format(number_format(Form::Date)).set_align(FormatAlign::Left);
            match serial(*date) {
                Some(days) => worksheet.write_number_with_format(row, span.first, days, &dated)?,
                None => worksheet.write_string_with_format(row, span.first, date.to_string(), &dated)?,
            }
        }
        Cell::Verdict(verdict, marked) => {
            worksheet.write_string_with_format(row, span.first, verdict_word(*verdict, *marked), format)?
        }
    };
    Ok(())
}

/// Width and height of what a chart covers, screen pixels.
pub(super) fn covered_pixels(page: &Page<'_>, line: usize, lines: usize, columns: u16) -> (u32, u32) {
    let covered = page.lines.iter().skip(line).take(lines);
    let tall: f64 = covered.map(|line| height(line, page) * PIXELS_A_POINT).sum();
    ((f64::from(columns) * column_pixels(page) - 8.0) as u32, tall as u32)
}

/// The fill of a verdict's bars: colour and pattern, so that they stay apart in black and white.
fn bars(verdict: Verdict) -> ChartFormat {
    let mut format = ChartFormat::new();
    format.set_border(ChartLine::new().set_color(INK).set_width(0.5));
    match verdict {
        Verdict::Ready => format.set_solid_fill(ChartSolidFill::new().set_color(shade(verdict))),
        Verdict::Marginal => format.set_pattern_fill(
            ChartPatternFill::new()
                .set_pattern(ChartPatternFillType::DiagonalStripesWideUpwards)
                .set_foreground_color(shade(verdict))
                .set_background_color(tint(verdict)),
        ),
        Verdict::Blocked => format.set_pattern_fill(
            ChartPatternFill::new()
                .set_pattern(ChartPatternFillType::LargeGrid)
                .set_foreground_color(shade(verdict))
                .set_background_color(Color::White),
        ),
    };
    format
}

fn insert(worksheet: &mut Worksheet, name: &str, page: &Page<'_>, place: &ChartPlace) -> Result<(), XlsxError> {
    let verdicts = [Verdict::Ready, Verdict::Marginal, Verdict::Blocked];
    let row = |line: usize| u32::try_from(line).unwrap_or(u32::MAX);
    let (first, last) = (row(place.first), row(place.last));
    let stacked = place.series.len() > 1;
    let mut chart = Chart::new(if stacked { ChartType::BarStacked } else { ChartType::Bar });
    let face = chart_face();
    for (column, verdict) in place.series.iter().zip(verdicts) {
        let series = chart.add_series();
        series
            .set_categories((name, first, place.names, last, place.names))
            .set_values((name, first, *column, last, *column))
            .set_gap(45);
        if stacked {
            series.set_name(verdict.word()).set_format(&mut bars(verdict)).set_overlap(100);
        } else {
            let points: Vec<ChartPoint> =
                verdicts.iter().map(|verdict| ChartPoint::new().set_format(&mut bars(*verdict))).collect();
            series.set_points(&points).set_data_label(ChartDataLabel::new().show_value().set_font(&face));
        }
    }
    // In a bar chart the library's second axis is the one that bears the names: reversed, the first stands on top.
    chart.y_axis().set_font(&face).set_reverse();
    chart.x_axis().set_font(&face).set_major_gridlines_line(ChartLine::new().set_color(HAIR).set_width(0.5));
    chart.x_axis().set_num_format("#,##0");
    chart.title().set_name(place.title).set_font(&chart_title(8));
    if stacked {
        chart.legend().set_position(ChartLegendPosition::Bottom).set_font(&face);
    } else {
        chart.legend().set_hidden();
    }
    chart.chart_area().set_format(ChartFormat::new().set_no_border());
    chart.set_alt_text(&place.words);
    let (wide, tall) = covered_pixels(page, place.line, place.lines, place.columns);
    chart.set_width(wide).set_height(tall.saturating_sub(BELOW_RULE_PIXELS));
    worksheet.insert_chart_with_offset(row(place.line), 0, &chart, 0, BELOW_RULE_PIXELS)?;
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::page::span;

    fn page(lines: usize, breaks: Vec<usize>) -> Page<'static> {
        let lines = (0..lines).map(|_| vec![span(0, 13, "words", Look::Plain)]).collect();
        Page { lines, breaks, ..Page::default() }
    }

    #[test]
    fn the_paper_ends_at_the_best_place_where_both_parts_fit() {
        // A sheet takes 61 lines of 13 points at 95 percent.
        let scaled = |second| Paper::Scaled { percent: 95, second };
        assert_eq!(on_two_sheets(&page(50, vec![20])), scaled(None));
        assert_eq!(on_two_sheets(&page(80, vec![70, 40, 30])), scaled(Some(40)));
        // Where no place serves at that size, the page is printed smaller: 70 lines of 13 points take 83 percent.
        assert_eq!(on_two_sheets(&page(100, vec![70])), Paper::Scaled { percent: 83, second: Some(70) });
        assert_eq!(on_two_sheets(&page(130, vec![40, 60, 65])), Paper::Scaled { percent: 89, second: Some(65) });
        assert_eq!(on_two_sheets(&page(300, vec![150])), Paper::Shrunk, "too long for two sheets");
        let wide = Page { width_pixels: 728.0, ..page(62, vec![]) };
        assert_eq!(on_two_sheets(&wide), Paper::Scaled { percent: 90, second: None });
    }
}
