//! The bars of the sheet Clusters: load with all planned charging against capacity. It knows rows and columns and no
//! cluster.

use super::formats::{HAIR, INK, PALE, chart_face, chart_title};
use super::grid::{Heading, names};
use rust_xlsxwriter::{
    Chart, ChartFormat, ChartLegendPosition, ChartLine, ChartPatternFill, ChartPatternFillType, ChartSolidFill,
    ChartType, Worksheet, XlsxError,
};

/// Rows up to which the bars stand below the table; of a longer one they stand at the right of its head.
const BELOW_UP_TO: u32 = 30;
/// Size, screen pixels, and the rows that it covers.
const WIDTH: u32 = 900;
const HEIGHT_A_BAR: u32 = 44;
const HEIGHT_LEAST: u32 = 230;
const PIXELS_A_ROW: u32 = 20;

/// Draws the first `drawn` rows under the headings of a table of `rows` rows: names, load and capacity stand in
/// `columns`.
///
/// # Errors
/// When the library refuses the chart.
pub(super) fn draw(
    worksheet: &mut Worksheet,
    headings: &[Heading<'_>],
    (drawn, rows): (u32, u32),
    columns: [u16; 3],
) -> Result<(), XlsxError> {
    let [called, load, capacity] = columns;
    let face = chart_face();
    let mut chart = Chart::new(ChartType::Bar);
    for (column, mut look) in [(load, filled()), (capacity, striped())] {
        let title = headings.get(usize::from(column)).map_or("", |heading| heading.title.as_ref());
        chart
            .add_series()
            .set_name(title)
            .set_categories((names::CLUSTERS, 1, called, drawn, called))
            .set_values((names::CLUSTERS, 1, column, drawn, column))
            .set_format(&mut look)
            .set_gap(60);
    }
    // In a bar chart the library's second axis is the one that bears the names: reversed, the first stands on top.
    chart.y_axis().set_font(&face).set_reverse();
    chart.x_axis().set_font(&face).set_major_gridlines_line(ChartLine::new().set_color(HAIR).set_width(0.5));
    chart.x_axis().set_name("kVA").set_name_font(&face).set_num_format("#,##0").set_min(0);
    chart
        .title()
        .set_name("Load with all planned charging against capacity, kVA: the greatest loads")
        .set_font(&chart_title(10));
    chart.legend().set_position(ChartLegendPosition::Bottom).set_font(&face);
    chart.chart_area().set_format(ChartFormat::new().set_border(ChartLine::new().set_color(HAIR)));
    chart.set_alt_text(
        "Two bars a cluster, in kVA: the load with all planned charging, dark, and the capacity, striped.",
    );
    let height = HEIGHT_LEAST.max(drawn.saturating_mul(HEIGHT_A_BAR) + HEIGHT_LEAST / 2);
    chart.set_width(WIDTH).set_height(height);
    let across = u16::try_from(headings.len()).unwrap_or(u16::MAX);
    if rows > BELOW_UP_TO {
        worksheet.insert_chart(1, across.saturating_add(1), &chart)?;
        return Ok(());
    }
    // On a page of its own, beside the column that every page repeats.
    worksheet.insert_chart(rows + 2, 1, &chart)?;
    worksheet.set_page_breaks(&[rows + 2])?;
    let in_sight = headings.iter().filter(|heading| !heading.folds).count();
    let last = u16::try_from(in_sight.saturating_sub(1)).unwrap_or(u16::MAX);
    worksheet.set_print_area(0, 0, rows + 3 + height / PIXELS_A_ROW, last)?;
    Ok(())
}

/// Dark and full: the load.
fn filled() -> ChartFormat {
    let mut format = ChartFormat::new();
    format
        .set_solid_fill(ChartSolidFill::new().set_color(INK))
        .set_border(ChartLine::new().set_color(INK).set_width(0.5));
    format
}

/// Pale and striped: what it may not pass.
fn striped() -> ChartFormat {
    let mut format = ChartFormat::new();
    format.set_border(ChartLine::new().set_color(INK).set_width(0.5)).set_pattern_fill(
        ChartPatternFill::new()
            .set_pattern(ChartPatternFillType::DiagonalStripesWideUpwards)
            .set_foreground_color(INK)
            .set_background_color(PALE),
    );
    format
}
