//! Sheet Ranking: one row a site, from which a manager can act; technical columns fold away to the right.

use super::extent::Extent;
use super::grid::{Cell, Form, Heading, Paper, Row, Rows, Sheet, folded, heading, names};
use super::stands;
use super::{Run, circuit, cluster_words, sentence, weights};
use crate::portfolio::Ranked;
use crate::quantity::CostBand;
use crate::site::Verdict;
use crate::verdict::{Judgement, Remedy, RemedyKind};
use std::sync::OnceLock;

/// Columns that are always in sight and printed.
const PRINTED: u16 = 26;

/// The sheet.
pub(super) fn sheet<'a>(run: &'a Run<'a>, extent: Extent) -> Sheet<'a> {
    let rows = run.portfolio.sites.iter().enumerate().take(extent.ranked);
    let elsewhere = Elsewhere { as_read: as_read_rows(run, extent), lines: stands::Lines::of(run, extent) };
    Sheet {
        name: names::RANKING,
        subject: "Ranking: one row a site, best first; costs before VAT",
        headings: headings(),
        frozen: 3,
        printed: Some(PRINTED),
        paper: Paper::A3,
        rows: Rows::of(rows, move |(index, ranked)| row(run, ranked, (index, extent), &elsewhere)),
    }
}

/// Where sites stand on other sheets.
struct Elsewhere {
    as_read: AsRead,
    lines: stands::Lines,
}

/// Where each row of the user's stands on As read: its sheet and number, row of As read; in the order of the former.
type AsRead = Vec<((u16, u32), u32)>;

fn as_read_rows(run: &Run<'_>, extent: Extent) -> AsRead {
    let rows = run.intake.rows.iter().take(extent.as_read).zip(2..);
    let mut rows: AsRead = rows.map(|(row, shown)| ((row.sheet, row.row), shown)).collect();
    rows.sort_unstable();
    rows
}

fn headings() -> Vec<Heading<'static>> {
    use Form::{Free, Hundredths, Ordinal, Percent, Pounds, Tenths, Text, Thousandths, Whole, Wrapped};
    let mut headings = vec![
        heading("Rank", 5.5, Ordinal),
        heading("Site", 9.5, Text),
        heading("Verdict", 14.0, Text),
        heading("Address", 22.0, Wrapped),
        heading("Postcode", 8.5, Text),
        heading("Lot", 10.0, Wrapped),
        heading("Why", 52.0, Wrapped),
        heading("Waits for", 8.5, Wrapped),
        heading("Weeks, likely", 7.0, Whole),
        heading("Next step", 36.0, Wrapped),
        heading("Who pays", 10.0, Wrapped),
        heading("Network operator", 13.5, Wrapped),
        heading("Set at, A a phase", 7.5, Free),
        heading("Phases", 7.0, Whole),
        heading("Control", 13.5, Wrapped),
        heading("Cable", 23.0, Wrapped),
        heading("Demand with charging, A", 10.5, Tenths),
        heading("Supply limit, A", 7.5, Tenths),
        heading("Cost, low £", 8.5, Pounds),
        heading("Cost, likely £", 8.5, Pounds),
        heading("Cost, high £", 8.5, Pounds),
        heading("Hours, low", 7.0, Tenths),
        heading("Hours, likely", 7.0, Tenths),
        heading("Hours, high", 7.0, Tenths),
        heading("Chance of ready", 7.5, Percent),
        heading("Survey behind it", 9.0, Text),
        folded("Labour", 14.0, Text),
        folded("Crew-days, low", 9.5, Hundredths),
        folded("Crew-days, likely", 9.5, Hundredths),
        folded("Crew-days, high", 9.5, Hundredths),
        folded("Points", 7.0, Whole),
        folded("Weeks, low", 7.0, Whole),
        folded("Weeks, high", 7.0, Whole),
        folded("Score", 7.0, Thousandths),
        folded("Score: odds", 7.0, Thousandths),
        folded("Score: cost", 7.0, Thousandths),
        folded("Score: wait", 7.0, Thousandths),
        folded("Score: priority", 8.0, Thousandths),
        folded("Score: points", 7.0, Thousandths),
        folded(weights::COST_A_POINT, 8.5, Pounds),
        folded(weights::VERDICT_NUMBER, 8.0, Ordinal),
        folded(weights::YOUR_SCORE, 8.5, Thousandths),
        folded(weights::YOUR_RANK, 8.0, Ordinal),
        folded("Cheapest way out", 36.0, Wrapped),
        folded("Cheapest, likely £", 9.0, Pounds),
        folded("Quickest way out", 36.0, Wrapped),
        folded("Quickest, likely £", 9.0, Pounds),
        folded("Reason codes", 30.0, Wrapped),
        folded("Answers that decide", 22.0, Wrapped),
        folded("Confirm before booking", 26.0, Wrapped),
        folded("Computed verdict", 10.0, Text),
        folded("Ready under commit", 10.0, Text),
        folded("Row as read", 7.0, Ordinal),
        folded("Premises", 10.0, Text),
        folded("Tenure", 11.0, Text),
        folded("Feeder", 10.0, Text),
        folded("Cluster", 10.0, Text),
        folded("With neighbours", 14.0, Text),
        folded("Shared car park", 26.0, Wrapped),
        folded("Existing demand, low A", 9.0, Tenths),
        folded("Existing demand, likely A", 9.0, Tenths),
        folded("Existing demand, high A", 9.0, Tenths),
        folded("Device, A", 8.0, Free),
        folded("Curve", 7.0, Text),
        folded("Conductor, mm²", 9.5, Free),
        folded("Method", 8.0, Text),
        folded("Length, m", 8.0, Tenths),
        folded("Carries, A", 8.5, Tenths),
        folded("Drop, V", 7.5, Hundredths),
        folded("Drop, %", 7.5, Hundredths),
        folded("Zs, Ω", 8.0, Thousandths),
        folded("Zs limit, Ω", 10.0, Thousandths),
        folded("Fault current, A", 8.0, Whole),
        folded("Earthing", 26.0, Wrapped),
    ];
    let at = usize::from(PRINTED);
    headings.splice(at..at, stands::Lines::headings());
    headings
}

/// The column of a heading, from 0.
pub(super) fn column_of(title: &str) -> u16 {
    static COLUMNS: OnceLock<Vec<String>> = OnceLock::new();
    let columns = COLUMNS.get_or_init(|| headings().into_iter().map(|heading| heading.title.into_owned()).collect());
    columns.iter().position(|each| each == title).and_then(|at| u16::try_from(at).ok()).unwrap_or_default()
}

fn row<'a>(run: &'a Run<'a>, ranked: &'a Ranked, (index, extent): (usize, Extent), elsewhere: &Elsewhere) -> Row<'a> {
    let judgement = &ranked.judgement;
    let brief = &judgement.brief;
    let mut cells = Vec::with_capacity(77);
    cells.push(Cell::from(ranked.rank));
    cells.push(match u32::try_from(index + 2) {
        // Design holds the best ranked in the same order, so a site stands in the same row of both.
        Ok(row) if index < extent.detailed => {
            Cell::Link { text: brief.site_id.as_str().into(), sheet: names::DESIGN, row }
        }
        _ => Cell::from(brief.site_id.as_str()),
    });
    cells.push(Cell::Verdict(judgement.counted_verdict(), brief.override_verdict.is_some()));
    cells.extend([
        Cell::from(brief.address.as_str()),
        brief.postcode.as_str().into(),
        brief.lot.as_str().into(),
        sentence::why(judgement).into(),
        Cell::Text(sentence::waits(judgement)),
    ]);
    cells.push(judgement.weeks.map_or(Cell::Blank, |weeks| weeks.likely.into()));
    cells.extend([
        next_step(run, ranked),
        sentence::payer(judgement).into(),
        sentence::operator_words(judgement.operator_route).into(),
    ]);
    charging(&mut cells, judgement);
    effort(&mut cells, judgement, elsewhere.lines.cells(index));
    score(&mut cells, ranked);
    cells.extend(weights::cells(ranked, index, extent));
    ways_out(&mut cells, judgement);
    origin(&mut cells, run, ranked, &elsewhere.as_read);
    technical(&mut cells, judgement);
    cells
}

/// The next step of the site alone, and what its neighbours or a car park nearby add to it.
fn next_step<'a>(run: &Run<'_>, ranked: &'a Ranked) -> Cell<'a> {
    let alone = ranked.judgement.next_step.as_str();
    match cluster_words::beside_words(run, ranked) {
        words if words.is_empty() => alone.into(),
        words => format!("{alone} {words}").trim().to_owned().into(),
    }
}

fn charging<'a>(cells: &mut Row<'a>, judgement: &'a Judgement) {
    match &judgement.chosen {
        Some(chosen) => cells.extend([
            Cell::from(chosen.setting_a),
            chosen.phases.into(),
            circuit::control(chosen.control).into(),
            circuit::cable(chosen).into(),
            chosen.maximum_demand_a.likely.into(),
        ]),
        None => blanks(cells, 5),
    }
    cells.push(judgement.supply_limit_a.into());
}

fn effort<'a>(cells: &mut Row<'a>, judgement: &'a Judgement, lines: [Cell<'a>; 3]) {
    let estimate = judgement.estimate.as_ref().filter(|_| judgement.verdict != Verdict::Blocked);
    cells.extend(Cell::cost(estimate.map(|estimate| estimate.cost)));
    match estimate {
        Some(estimate) => {
            cells.extend([estimate.hours.low, estimate.hours.likely, estimate.hours.high].map(Cell::from));
        }
        None => blanks(cells, 3),
    }
    cells.extend([
        judgement.odds.map_or(Cell::Blank, |odds| Cell::Percent(odds.ready)),
        Cell::from(judgement.confidence.word()),
    ]);
    cells.extend(lines);
    cells.extend([Cell::from(estimate.map_or("", |estimate| estimate.labour_band.word()))]);
    match estimate.map(|estimate| estimate.crew_days) {
        Some(days) => cells.extend([days.low, days.likely, days.high].map(Cell::from)),
        None => blanks(cells, 3),
    }
    cells.extend([
        judgement.chosen.as_ref().map_or(Cell::Blank, |chosen| chosen.points.into()),
        judgement.weeks.map_or(Cell::Blank, |weeks| weeks.low.into()),
        judgement.weeks.map_or(Cell::Blank, |weeks| weeks.high.into()),
    ]);
}

fn score(cells: &mut Row<'_>, ranked: &Ranked) {
    let parts = &ranked.score;
    cells.extend([parts.score, parts.odds, parts.cost, parts.wait, parts.priority, parts.points].map(Cell::from));
}

fn ways_out<'a>(cells: &mut Row<'a>, judgement: &'a Judgement) {
    for kind in [RemedyKind::Cheapest, RemedyKind::Quickest] {
        let remedy: Option<&Remedy> = judgement.remedies.iter().find(|remedy| remedy.kind == kind);
        // Without a way out its column says what would have to give.
        let none = if kind == RemedyKind::Cheapest { judgement.would_have_to_give.as_str() } else { "" };
        cells.push(remedy.map_or(Cell::from(none), |remedy| sentence::remedy_words(remedy).into()));
        cells.push(remedy.map_or(Cell::Blank, |remedy| likely(remedy.cost)));
    }
    let codes = judgement.reasons.iter().map(|reason| reason.code).collect::<Vec<_>>().join("; ");
    cells.extend([
        Cell::from(codes),
        judgement.decisive_unknowns.join("; ").into(),
        judgement.confirm_first.join("; ").into(),
        judgement.verdict.word().into(),
        if judgement.ready_if_committed { "yes" } else { "no" }.into(),
    ]);
}

fn origin<'a>(cells: &mut Row<'a>, run: &Run<'a>, ranked: &'a Ranked, as_read: &AsRead) {
    let brief = &ranked.judgement.brief;
    let (named, several) = (run.intake.row_named(brief.sheet, brief.row), run.intake.sheets.len() > 1);
    let found = as_read.binary_search_by_key(&(brief.sheet, brief.row), |(row, _)| *row).ok();
    cells.push(match found.and_then(|index| as_read.get(index)) {
        Some((_, shown)) => Cell::Link { text: named.into(), sheet: names::AS_READ, row: *shown },
        None if several => named.into(),
        None => brief.row.into(),
    });
    cells.extend([
        Cell::from(brief.premises.map_or("", |premises| premises.word())),
        brief.tenure.into(),
        brief.feeder_id.as_str().into(),
        ranked.cluster_id.as_deref().unwrap_or_default().into(),
        ranked.with_neighbours.map_or(Cell::Blank, |verdict| Cell::Verdict(verdict, false)),
        cluster_words::shared_words(run, ranked).into(),
    ]);
}

fn technical<'a>(cells: &mut Row<'a>, judgement: &'a Judgement) {
    let demand = judgement.existing_demand_a;
    cells.extend([demand.low, demand.likely, demand.high].map(Cell::from));
    let Some(chosen) = &judgement.chosen else { return };
    let last = chosen.final_run();
    cells.extend([
        Cell::from(chosen.device.rating_a),
        chosen.device.curve.word().into(),
        last.map(|run| run.cable.csa_mm2).into(),
        last.map_or("", |run| run.method.word()).into(),
        chosen.length_m().into(),
        chosen.current_capacity_a.into(),
        chosen.voltage_drop_v.into(),
        chosen.voltage_drop_percent.into(),
        chosen.zs_ohm.into(),
        chosen.zs_limit_ohm.into(),
        chosen.fault_current_a.into(),
        chosen.earthing.word().into(),
    ]);
}

fn likely(cost: CostBand) -> Cell<'static> {
    Cell::Money(cost.likely)
}

fn blanks(cells: &mut Row<'_>, count: usize) {
    cells.extend(std::iter::repeat_n(Cell::Blank, count));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::fixture;

    #[test]
    fn a_row_has_a_cell_for_every_heading_and_jumps_to_its_design() {
        let fixture = fixture::Fixture::new(12);
        let run = fixture.run();
        let sheet = sheet(&run, Extent::of(&run));
        let titles: Vec<String> = sheet.headings.iter().map(|heading| heading.title.to_string()).collect();
        let columns = titles.len();
        assert_eq!(titles.get(usize::from(PRINTED)).map(String::as_str), Some("Findings, lines"));
        for (index, row) in sheet.rows.enumerate() {
            assert!(row.len() == columns || row.len() == columns - 12, "{} cells", row.len());
            assert!(matches!(&row[1], Cell::Link { sheet: "Design", row, .. } if *row as usize == index + 2));
            let blocked = matches!(row[2], Cell::Verdict(Verdict::Blocked, false));
            assert!(!blocked || row[19] == Cell::Blank, "a blocked site has no cost");
            let at = |title: &str| titles.iter().position(|each| each == title).expect("a heading");
            assert!(matches!(row[at("Row as read")], Cell::Link { sheet: "As read", .. }));
        }
    }
}
