//! From a page as data to a worksheet that prints on one sheet of paper, with its chart. It knows no site.

use super::formats::{FACE, HAIR, INK, QUIET, shade, text, tint};
use super::grid::{Cell, verdict_word};
use super::page::{COLUMN_WIDTH, Chart as ChartPlace, Look, Page, Span};
use super::writer::{PageMarks, wrapped_lines};
use crate::site::Verdict;
use rust_xlsxwriter::{
    Chart, ChartDataLabel, ChartFont, ChartFormat, ChartLegendPosition, ChartLine, ChartPatternFill,
    ChartPatternFillType, ChartPoint, ChartSolidFill, ChartType, Color, Format, FormatAlign, FormatBorder, Worksheet,
    XlsxError,
};

/// Height of a line of text, points.
const LINE_PT: f64 = 13.0;
/// Height of a gap, points.
const GAP_PT: f64 = 7.0;
/// Screen pixels a point, at which the file format counts.
const PIXELS_A_POINT: f64 = 96.0 / 72.0;
/// Pixels of a column of the page's grid.
const COLUMN_PIXELS: f64 = COLUMN_WIDTH * 7.0 + 5.0;

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
    }
}

/// Size of a look's letters as a share of the page's usual size.
fn size(look: Look) -> f64 {
    match look {
        Look::Title => 1.9,
        Look::Section => 1.1,
        Look::Quiet => 0.9,
        Look::Strong | Look::Caution => 1.04,
        _ => 1.0,
    }
}

/// Characters of 9 point text that go into a span.
fn characters(span: &Span<'_>) -> f64 {
    f64::from(span.last - span.first + 1) * COLUMN_PIXELS / 5.1
}

fn words<'s>(span: &'s Span<'_>) -> &'s str {
    match &span.cell {
        Cell::Text(text) | Cell::Link { text, .. } => text,
        _ => "",
    }
}

/// Height of a line, points: merged cells do not grow by themselves.
fn height(line: &[Span<'_>]) -> f64 {
    line.iter()
        .filter(|span| !matches!(span.look, Look::Head | Look::HeadRight | Look::Section))
        .map(|span| {
            let lines = wrapped_lines(words(span), characters(span) / size(span.look));
            let tall = if span.look == Look::Title { 24.0 } else { LINE_PT * size(span.look).max(0.85) };
            tall * f64::from(lines)
        })
        .fold(if line.is_empty() { GAP_PT } else { LINE_PT }, f64::max)
}

/// Writes `page` on `worksheet` (one that keeps its cells, for the chart's sake).
///
/// # Errors
/// When the library refuses a cell.
pub(super) fn fill(worksheet: &mut Worksheet, name: &str, page: &Page<'_>, marks: &PageMarks) -> Result<(), XlsxError> {
    worksheet.set_name(name)?;
    worksheet.set_column_range_width(0, super::page::COLUMNS - 1, COLUMN_WIDTH)?;
    let formats: Vec<Format> = Look::ALL.iter().map(|look| format(*look)).collect();
    let format_of = |look: Look| Look::ALL.iter().position(|each| *each == look).and_then(|index| formats.get(index));
    for (row, line) in (0..).zip(&page.lines) {
        worksheet.set_row_height(row, height(line))?;
        for span in line {
            if let Some(format) = format_of(span.look) {
                put(worksheet, row, span, format)?;
            }
        }
    }
    if let Some(place) = &page.chart {
        insert(worksheet, name, page, place)?;
    }
    worksheet.set_screen_gridlines(false);
    worksheet.set_portrait();
    worksheet.set_paper_size(9);
    worksheet.set_margins(0.45, 0.45, 0.55, 0.55, 0.25, 0.25);
    worksheet.set_print_fit_to_pages(1, 1);
    worksheet.set_print_center_horizontally(true);
    let last = u32::try_from(page.lines.len()).unwrap_or(u32::MAX).saturating_sub(1);
    worksheet.set_print_area(0, 0, last, super::page::COLUMNS - 1)?;
    worksheet.set_header(marks.header("Summary"));
    worksheet.set_footer(marks.footer());
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
        Cell::Text(text) | Cell::Link { text, .. } => {
            worksheet.write_string_with_format(row, span.first, text.as_ref(), format)?
        }
        Cell::Number(number) | Cell::Percent(number) if number.is_finite() => {
            worksheet.write_number_with_format(row, span.first, *number, format)?
        }
        Cell::Number(_) | Cell::Percent(_) => worksheet.write_blank(row, span.first, format)?,
        Cell::Int(number) => worksheet.write_number_with_format(row, span.first, *number as f64, format)?,
        Cell::Money(pence) => worksheet.write_number_with_format(row, span.first, pence.pounds(), format)?,
        Cell::Date(date) => worksheet.write_string_with_format(row, span.first, date.to_string(), format)?,
        Cell::Verdict(verdict, marked) => {
            worksheet.write_string_with_format(row, span.first, verdict_word(*verdict, *marked), format)?
        }
    };
    Ok(())
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
    let mut face = ChartFont::new();
    face.set_name(FACE).set_size(8);
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
    chart.title().set_hidden();
    if stacked {
        chart.legend().set_position(ChartLegendPosition::Bottom).set_font(&face);
    } else {
        chart.legend().set_hidden();
    }
    chart.chart_area().set_format(ChartFormat::new().set_no_border());
    chart.set_alt_text(&place.words);
    let covered = page.lines.iter().skip(place.line).take(place.lines);
    let tall: f64 = covered.map(|line| height(line) * PIXELS_A_POINT).sum();
    chart.set_width((f64::from(place.columns) * COLUMN_PIXELS - 8.0) as u32).set_height(tall as u32);
    worksheet.insert_chart(row(place.line), 0, &chart)?;
    Ok(())
}
