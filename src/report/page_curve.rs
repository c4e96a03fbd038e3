//! The curve of a page: two lines over one axis, told apart without colour, with their figures beside the printed page. It
//! knows no site.

use super::formats::{HAIR, INK, QUIET, chart_face, chart_title, text};
use super::page::{Curve, Page};
use super::page_writer::{BELOW_RULE_PIXELS, covered_pixels};
use rust_xlsxwriter::{
    Chart, ChartFormat, ChartLayout, ChartLegendPosition, ChartLine, ChartLineDashType, ChartMarker, ChartType,
    Worksheet, XlsxError,
};

/// Where lines and legend stand, as shares of the chart: left, top, width, height.
const PLOT: [f64; 4] = [0.23, 0.24, 0.72, 0.53];
const LEGEND: [f64; 4] = [0.12, 0.12, 0.86, 0.09];
/// Width of a column of figures, characters.
const FIGURES_WIDTH: f64 = 11.0;

/// Writes the figures to the right of the grid and draws the curve from them.
///
/// # Errors
/// When the library refuses a cell or the chart.
pub(super) fn draw(worksheet: &mut Worksheet, name: &str, page: &Page<'_>, curve: &Curve) -> Result<(), XlsxError> {
    let first = Curve::figures_at(page.columns);
    let column = |at: usize| first.saturating_add(u16::try_from(at).unwrap_or(u16::MAX));
    let heading = text().set_text_wrap().set_font_color(QUIET);
    for (at, words) in curve.headings.iter().enumerate() {
        worksheet.set_column_width(column(at), FIGURES_WIDTH)?;
        worksheet.write_string_with_format(0, column(at), *words, &heading)?;
    }
    let (share, figure) = (text().set_num_format("0.0%"), text().set_num_format("#,##0"));
    let mut last = 0;
    for (row, figures) in (1..).zip(&curve.figures) {
        last = row;
        for (at, number) in figures.iter().enumerate().filter(|(_, number)| number.is_finite()) {
            worksheet.write_number_with_format(row, column(at), *number, if at == 0 { &share } else { &figure })?;
        }
    }
    let face = chart_face();
    let mut chart = Chart::new(ChartType::ScatterStraight);
    let mut full = ChartFormat::new();
    full.set_line(ChartLine::new().set_color(INK).set_width(2.25));
    let mut dashed = ChartFormat::new();
    dashed.set_line(ChartLine::new().set_color(INK).set_width(1.0).set_dash_type(ChartLineDashType::Dash));
    for (at, mut look) in [(1, full), (2, dashed)] {
        let mut marker = ChartMarker::new();
        marker.set_none();
        chart
            .add_series()
            .set_name((name, 0, column(at)))
            .set_categories((name, 1, first, last, first))
            .set_values((name, 1, column(at), last, column(at)))
            .set_format(&mut look)
            .set_marker(&marker);
    }
    let [along, up] = curve.axes;
    let hair = ChartLine::new().set_color(HAIR).set_width(0.5).clone();
    chart.x_axis().set_name(along).set_name_font(&face).set_font(&face).set_num_format("0%").set_min(0);
    chart.x_axis().set_major_unit(0.2);
    chart.x_axis().set_major_gridlines(false);
    chart.y_axis().set_name(up).set_name_font(&face).set_font(&face).set_num_format("\"£\"#,##0").set_min(0);
    chart.y_axis().set_major_gridlines_line(&hair);
    chart.title().set_name(curve.title).set_font(&chart_title(9));
    let layout = |[x, y, wide, tall]: [f64; 4]| ChartLayout::new().set_offset(x, y).set_dimensions(wide, tall);
    chart.plot_area().set_layout(&layout(PLOT));
    chart.legend().set_position(ChartLegendPosition::Top).set_font(&face).set_layout(&layout(LEGEND));
    chart.chart_area().set_format(ChartFormat::new().set_no_border());
    chart.set_alt_text(&curve.words);
    let (wide, tall) = covered_pixels(page, curve.line, curve.lines, curve.columns);
    // Some programs draw a chart a little taller than the lines that it covers.
    chart.set_width(wide).set_height(tall.saturating_sub(8));
    let row = u32::try_from(curve.line).unwrap_or(u32::MAX);
    worksheet.insert_chart_with_offset(row, 0, &chart, 0, BELOW_RULE_PIXELS)?;
    Ok(())
}
