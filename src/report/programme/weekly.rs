//! Sheet Points and spend: week by week what is finished and spent, added up; and the two lines that the page draws.

use super::super::formats::{HAIR, INK, QUIET, chart_face, chart_title};
use super::super::grid::{Cell, Form, Heading, Paper, Row, Rows, Sheet, heading, names};
use super::super::page::WIDTH_PIXELS;
use crate::programme::{Programme, Week, weeks};
use rust_xlsxwriter::{
    Chart, ChartFormat, ChartLegendPosition, ChartLine, ChartLineDashType, ChartType, Worksheet, XlsxError,
};

/// Columns of the weeks, of the points and of the cost so far.
const WEEK: u16 = 0;
const POINTS_SO_FAR: u16 = 4;
const COST_SO_FAR: u16 = 5;
/// Size of the drawing, screen pixels.
const HEIGHT: u32 = 290;

/// The sheet.
pub(in crate::report) fn sheet<'a>(programme: &'a Programme) -> Sheet<'a> {
    let plan = &programme.planned.plan;
    let crews = plan.crews.len();
    let row = move |week: Week| -> Row<'a> {
        let mut cells: Row<'a> = vec![
            Cell::Date(week.monday),
            week.sites.into(),
            week.points.into(),
            Cell::Money(week.cost),
            week.points_so_far.into(),
            Cell::Money(week.cost_so_far),
        ];
        cells.extend(week.quarters.iter().take(crews).map(|quarters| Cell::Number(f64::from(*quarters) / 4.0)));
        cells
    };
    let mut headings: Vec<Heading<'a>> = vec![
        heading("Week from", 11.5, Form::Date),
        heading("Sites finished", 9.0, Form::Whole),
        heading("Points", 8.0, Form::Whole),
        heading("Spent £", 10.0, Form::Pounds),
        heading("Points so far", 9.0, Form::Whole),
        heading("Spent so far £", 11.0, Form::Pounds),
    ];
    let days = |name: &str| heading(format!("{name}, days"), 10.0, Form::Hundredths);
    headings.extend(plan.crews.iter().map(|crew| days(&crew.name)));
    Sheet {
        name: names::POINTS_AND_SPEND,
        subject: "Points and spend, week by week, and the days of each crew",
        headings,
        frozen: 1,
        printed: None,
        paper: Paper::A4,
        rows: Rows::few(weeks(plan, &programme.laid).into_iter().map(row)),
    }
}

/// Draws points and spend so far, as the sheet has them, on the page at this line.
///
/// # Errors
/// When the library refuses the chart.
pub(in crate::report) fn draw(worksheet: &mut Worksheet, programme: &Programme, line: usize) -> Result<(), XlsxError> {
    let plan = &programme.planned.plan;
    let rows = u32::try_from(weeks(plan, &programme.laid).len()).unwrap_or(0);
    if rows == 0 {
        return Ok(());
    }
    let face = chart_face();
    let mut chart = Chart::new(ChartType::Line);
    let sheet = names::POINTS_AND_SPEND;
    chart
        .add_series()
        .set_name("Points so far (left)")
        .set_categories((sheet, 1, WEEK, rows, WEEK))
        .set_values((sheet, 1, POINTS_SO_FAR, rows, POINTS_SO_FAR))
        .set_format(ChartFormat::new().set_line(ChartLine::new().set_color(INK).set_width(2.25)));
    let mut dashed = ChartLine::new();
    dashed.set_color(QUIET).set_width(2.25).set_dash_type(ChartLineDashType::Dash);
    chart
        .add_series()
        .set_name("Spent so far, £ (right)")
        .set_categories((sheet, 1, WEEK, rows, WEEK))
        .set_values((sheet, 1, COST_SO_FAR, rows, COST_SO_FAR))
        .set_secondary_axis(true)
        .set_format(ChartFormat::new().set_line(&dashed));
    chart.x_axis().set_font(&face).set_num_format("d mmm yy").set_name("Week from").set_name_font(&face);
    let grid = ChartLine::new().set_color(HAIR).set_width(0.5).clone();
    chart.y_axis().set_font(&face).set_num_format("#,##0").set_min(0).set_major_gridlines_line(&grid);
    chart.y_axis().set_name("Points").set_name_font(&face);
    chart.y2_axis().set_font(&face).set_num_format("\"£\"#,##0").set_min(0).set_name("Spent, £").set_name_font(&face);
    chart.title().set_name("Points finished and pounds spent so far, by week").set_font(&chart_title(8));
    chart.legend().set_position(ChartLegendPosition::Bottom).set_font(&face);
    chart.chart_area().set_format(ChartFormat::new().set_no_border());
    chart.set_alt_text("Two lines over the weeks: points finished so far, full, and pounds spent so far, dashed.");
    chart.set_width((WIDTH_PIXELS - 8.0) as u32).set_height(HEIGHT);
    worksheet.insert_chart(u32::try_from(line).unwrap_or(0), 0, &chart)?;
    Ok(())
}
