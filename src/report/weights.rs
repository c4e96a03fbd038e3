//! Sheet Weights: the weights of the score, yours beside those of the rules; the sheet Ranking reckons score and rank
//! with those that count. It ranks nothing itself.

use super::extent::Extent;
use super::grid::{Cell, names};
use super::named::{define, letters};
use super::try_site::Styles;
use super::writer::PageMarks;
use super::{Run, ranking};
use crate::portfolio::Ranked;
use crate::site::Verdict;
use rust_xlsxwriter::{DataValidation, DataValidationRule, Formula, Workbook, Worksheet, XlsxError};

/// A weight: its name in formulas, what it weighs, and the figure of the rules.
fn weights(run: &Run<'_>) -> [(&'static str, &'static str, f64); 6] {
    let ranking = &run.rules.ranking;
    [
        ("odds", "Chance that the site proves ready", ranking.odds),
        ("cost", "Cheap for a charging point", ranking.cost),
        ("wait", "Soon: no wait for anybody", ranking.wait),
        ("priority", "The priority given to the site", ranking.priority),
        ("points", "Points served", ranking.points),
        ("typical_gbp", "Cost of a point that scores half on cost, £", ranking.typical_cost_gbp),
    ]
}

/// The sheet, with its names and those of the columns of Ranking defined in the workbook.
pub(super) fn sheet(
    run: &Run<'_>,
    extent: Extent,
    workbook: &mut Workbook,
    marks: &PageMarks,
) -> Result<Worksheet, XlsxError> {
    let (mut worksheet, styles) = (Worksheet::new(), Styles::new());
    worksheet.set_name(names::WEIGHTS)?;
    for (column, width) in (0..).zip([44.0, 12.0, 12.0, 12.0]) {
        worksheet.set_column_width(column, width)?;
    }
    worksheet.write_string_with_format(0, 0, "Weights", &styles.title)?;
    worksheet.set_row_height(0, 24.0)?;
    let words = format!(
        "Write a weight of yours into a bordered cell; an empty one counts as in the rules. Ranking, with its columns \
         unfolded, reckons the score with your weights and the rank that follows from it, for the first {} sites. The \
         verdict always comes first, and the order of the rows stays that of the run.",
        extent.live
    );
    worksheet.merge_range(1, 0, 1, 3, &words, &styles.sentence)?;
    worksheet.set_row_height(1, 50.0)?;
    for (column, head) in (0..).zip(["Part of the score, each 0 to 1", "Rules", "Your weight", "Counts"]) {
        worksheet.write_string_with_format(
            2,
            column,
            head,
            if column == 0 { &styles.head } else { &styles.head_right },
        )?;
    }
    for (row, (name, words, figure)) in (3..).zip(weights(run)) {
        let look = styles.figure(None);
        worksheet.write_string_with_format(row, 0, words, &styles.label)?;
        worksheet.write_number_with_format(row, 1, figure, &look)?;
        worksheet.write_blank(row, 2, &styles.open(None))?;
        let rule = DataValidation::new().allow_decimal_number(DataValidationRule::GreaterThanOrEqualTo(0.0));
        worksheet.add_data_validation(row, 2, row, 2, &rule)?;
        let counts = format!("=IF(your_weight_{name}=\"\",found_weight_{name},your_weight_{name})");
        let counts = Formula::new(counts).set_result(figure.to_string());
        worksheet.write_formula_with_format(row, 3, counts, &look)?;
        for (stem, column) in [("found_weight", 1), ("your_weight", 2), ("weight", 3)] {
            define(workbook, &format!("{stem}_{name}"), names::WEIGHTS, (row, column), (row, column))?;
        }
    }
    let last = u32::try_from(extent.live).unwrap_or(u32::MAX);
    let columns = [("ranked_places", "Rank"), ("ranked_verdicts", VERDICT_NUMBER), ("ranked_scores", YOUR_SCORE)];
    for (name, title) in columns {
        let column = ranking::column_of(title);
        define(workbook, name, names::RANKING, (1, column), (last, column))?;
    }
    worksheet.set_screen_gridlines(false);
    worksheet.set_portrait();
    worksheet.set_paper_size(9);
    worksheet.set_print_area(0, 0, 2 + weights(run).len() as u32, 3)?;
    worksheet.set_print_fit_to_pages(1, 0);
    worksheet.set_header(marks.header("Weights: what the score of the ranking weighs"));
    worksheet.set_footer(marks.footer());
    Ok(worksheet)
}

/// Headings of the columns of Ranking that follow the weights.
pub(super) const COST_A_POINT: &str = "Likely £ a point";
/// See `COST_A_POINT`.
pub(super) const VERDICT_NUMBER: &str = "Verdict, as a number";
/// See `COST_A_POINT`.
pub(super) const YOUR_SCORE: &str = "Score with your weights";
/// See `COST_A_POINT`.
pub(super) const YOUR_RANK: &str = "Rank with your weights";

/// The cells of a site under those headings; blank beyond the sites that the workbook reckons itself.
pub(super) fn cells(ranked: &Ranked, index: usize, extent: Extent) -> [Cell<'static>; 4] {
    if index >= extent.live {
        return [Cell::Blank, Cell::Blank, Cell::Blank, Cell::Blank];
    }
    let row = index + 2;
    let at = |title: &str| format!("{}{row}", letters(ranking::column_of(title)));
    let [rank, verdict, own, cost] = ["Rank", VERDICT_NUMBER, YOUR_SCORE, COST_A_POINT].map(at);
    let [odds, wait, priority, points] = ["Score: odds", "Score: wait", "Score: priority", "Score: points"].map(at);
    let score = format!(
        "weight_odds*{odds}+weight_cost*IF(ISNUMBER({cost}),weight_typical_gbp/MAX(weight_typical_gbp+{cost},1/10^9),0)\
         +weight_wait*{wait}+weight_priority*{priority}+weight_points*{points}"
    );
    let place = format!(
        "1+SUMPRODUCT((ranked_verdicts<{verdict})+(ranked_verdicts={verdict})*((ranked_scores>{own})\
         +(ranked_scores={own})*(ranked_places<{rank})))"
    );
    let number = match ranked.judgement.counted_verdict() {
        Verdict::Ready => 1,
        Verdict::Marginal => 2,
        Verdict::Blocked => 3,
    };
    [
        ranked.cost_a_point_gbp().into(),
        Cell::Int(number),
        Cell::Formula { text: score, shown: ranked.score.score },
        Cell::Formula { text: place, shown: f64::from(ranked.rank) },
    ]
}
