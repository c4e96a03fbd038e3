//! Sheet Design: one row a site with every figure of the circuit. In rank order, so that a site stands in the same row
//! as on Ranking.

use super::extent::Extent;
use super::grid::{Cell, Form, Heading, Paper, Row, Rows, Sheet, heading, names};
use super::stands;
use super::{Run, circuit};
use crate::design::{Arrangement, Control, RunRole};
use crate::portfolio::Ranked;
use crate::quantity::charging_kw;
use crate::verdict::{Judgement, RunnerUp};

/// Cells of a row that need an arrangement.
const CIRCUIT_CELLS: usize = 41;

/// The sheet.
pub(super) fn sheet<'a>(run: &'a Run<'a>, extent: Extent) -> Sheet<'a> {
    Sheet {
        name: names::DESIGN,
        subject: "Design: the circuit of each site, in rank order",
        headings: headings(),
        frozen: 3,
        printed: None,
        paper: Paper::A3,
        rows: Rows::of(run.portfolio.sites.iter().take(extent.detailed), row),
    }
}

fn headings() -> Vec<Heading<'static>> {
    use Form::{Free, Hundredths, Ordinal, Tenths, Text, Thousandths, Whole, Wrapped};
    vec![
        heading("Rank", 5.5, Ordinal),
        heading("Site", 11.0, Text),
        heading("Verdict", 14.0, Text),
        heading("Operator", 8.5, Text),
        heading("Supply limit, A", 7.0, Tenths),
        heading("Demand now, low A", 7.5, Tenths),
        heading("Demand now, likely A", 7.5, Tenths),
        heading("Demand now, high A", 7.5, Tenths),
        heading("With charging, low A", 8.0, Tenths),
        heading("With charging, likely A", 8.0, Tenths),
        heading("With charging, high A", 8.0, Tenths),
        heading("Points", 6.0, Whole),
        heading("Set at, A a phase", 7.0, Free),
        heading("Phases of point", 6.5, Whole),
        heading("Phases of supply", 6.5, Whole),
        heading("Power a point, kW", 7.0, Hundredths),
        heading("Control", 8.0, Text),
        heading("Limiter set at, A", 7.5, Tenths),
        heading("Group limit, A", 7.0, Tenths),
        heading("Fed from", 15.0, Wrapped),
        heading("Device, A", 7.0, Free),
        heading("Curve", 6.0, Text),
        heading("Poles", 6.0, Whole),
        heading("Residual current", 11.5, Wrapped),
        heading("Breaking, kA", 8.0, Free),
        heading("Sub-main device", 18.0, Wrapped),
        heading("Cable runs from the origin", 34.0, Wrapped),
        heading("Final cable", 14.0, Wrapped),
        heading("Cores", 6.0, Whole),
        heading("Conductor, mm²", 9.5, Free),
        heading("Method", 7.0, Text),
        heading("Indoors, m", 7.5, Tenths),
        heading("On surface, m", 7.5, Tenths),
        heading("In ground, m", 7.0, Tenths),
        heading("Rises and ends, m", 7.5, Tenths),
        heading("Length, m", 7.0, Tenths),
        heading("Carries Iz, A", 7.5, Tenths),
        heading("Drop, V", 6.5, Hundredths),
        heading("Drop, %", 6.5, Hundredths),
        heading("Zs, Ω", 7.0, Thousandths),
        heading("Zs limit, Ω", 9.0, Thousandths),
        heading("Fault current, A", 8.0, Whole),
        heading("Earthing", 22.0, Wrapped),
        heading("Works with it", 34.0, Wrapped),
        heading("Points at once", 7.0, Whole),
        heading("Points served", 7.0, Whole),
        heading("Energy needed, kWh a day", 8.5, Tenths),
        heading("Energy not delivered, kWh a day", 9.5, Tenths),
        heading("Least group limit, A", 8.0, Tenths),
        heading("Runner-up, and why it lost", 40.0, Wrapped),
        heading("With an application", 36.0, Wrapped),
    ]
}

fn row(ranked: &Ranked) -> Row<'_> {
    let judgement = &ranked.judgement;
    let mut cells = Vec::with_capacity(51);
    cells.push(Cell::from(ranked.rank));
    cells.push(stands::on_ranking(ranked));
    cells.push(Cell::Verdict(judgement.counted_verdict(), judgement.brief.override_verdict.is_some()));
    cells.push(judgement.operator_route.word().into());
    cells.push(judgement.supply_limit_a.into());
    let demand = judgement.existing_demand_a;
    cells.extend([demand.low, demand.likely, demand.high].map(Cell::from));
    match &judgement.chosen {
        Some(chosen) => circuit_cells(&mut cells, chosen),
        None => cells.extend(std::iter::repeat_n(Cell::Blank, CIRCUIT_CELLS)),
    }
    others(&mut cells, judgement);
    cells
}

fn circuit_cells<'a>(cells: &mut Row<'a>, chosen: &'a Arrangement) {
    let total = chosen.maximum_demand_a;
    cells.extend([total.low, total.likely, total.high].map(Cell::from));
    let (setpoint, group) = match chosen.control {
        Control::None => (None, None),
        Control::Local { setpoint_a } => (Some(setpoint_a), None),
        Control::Group { limit_a, setpoint_a } => (setpoint_a, Some(limit_a)),
    };
    let device = &chosen.device;
    cells.extend([
        Cell::from(chosen.points),
        chosen.setting_a.into(),
        chosen.phases.into(),
        chosen.supply_phases.into(),
        charging_kw(chosen.setting_a, chosen.phases).into(),
        chosen.control.word().into(),
        setpoint.into(),
        group.into(),
        chosen.feed.word().into(),
        device.rating_a.into(),
        device.curve.word().into(),
        device.poles.into(),
        device.residual.map_or("", circuit::residual_words).into(),
        device.breaking_ka.into(),
        chosen.submain_device.as_ref().map_or(Cell::Blank, |device| circuit::device(device).into()),
        circuit::runs(chosen).into(),
    ]);
    // The final circuit may be two runs jointed; the figures are those of the run that reaches the point, the metres
    // those of all its runs.
    let last = chosen.final_run();
    let metres = |part: fn(&crate::design::Run) -> f64| -> Cell<'static> {
        let finals = chosen.runs.iter().filter(|run| run.role == RunRole::Final);
        if chosen.runs.is_empty() { Cell::Blank } else { Cell::Number(finals.map(part).sum()) }
    };
    cells.extend([
        Cell::from(last.map_or("", |run| run.cable.family.word())),
        last.map_or(Cell::Blank, |run| run.cable.cores.into()),
        last.map(|run| run.cable.csa_mm2).into(),
        last.map_or("", |run| run.method.word()).into(),
        metres(|run| run.indoor_m),
        metres(|run| run.surface_m),
        metres(|run| run.buried_m),
        metres(|run| run.rises_m),
        chosen.length_m().into(),
        chosen.current_capacity_a.into(),
        chosen.voltage_drop_v.into(),
        chosen.voltage_drop_percent.into(),
        chosen.zs_ohm.into(),
        chosen.zs_limit_ohm.into(),
        chosen.fault_current_a.into(),
        chosen.earthing.word().into(),
        circuit::works(chosen).into(),
    ]);
    match chosen.shared {
        Some(shared) => cells.extend([
            Cell::from(shared.points_at_once),
            shared.points_served.into(),
            shared.energy_needed_kwh.into(),
            shared.energy_unserved_kwh.into(),
            shared.least_group_limit_a.map_or(Cell::Blank, Cell::from),
        ]),
        None => cells.extend(std::iter::repeat_n(Cell::Blank, 5)),
    }
}

fn others<'a>(cells: &mut Row<'a>, judgement: &'a Judgement) {
    for other in [&judgement.runner_up, &judgement.with_application] {
        cells.push(other.as_ref().map_or(Cell::Blank, |other| other_words(other).into()));
    }
}

/// Another arrangement in one line.
pub(super) fn other_words(other: &RunnerUp) -> String {
    let phases = if other.phases > 1 { format!("{} × ", other.phases) } else { String::new() };
    let mut text = format!("{phases}{} A", super::figures::plain(other.setting_a, 1));
    if other.control != Control::None {
        text.push_str(&format!(", {}", circuit::control(other.control)));
    }
    if !other.cable.is_empty() {
        text.push_str(&format!(", {}", other.cable));
    }
    if !other.why_lost.is_empty() {
        let is_sentence = other.why_lost.starts_with(char::is_uppercase);
        text.push_str(if is_sentence { ". " } else { ": " });
        text.push_str(&other.why_lost);
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::fixture;

    #[test]
    fn every_row_has_a_cell_for_every_heading_and_jumps_back() {
        let fixture = fixture::Fixture::new(12);
        let run = fixture.run();
        let sheet = sheet(&run, Extent::of(&run));
        let columns = sheet.headings.len();
        let zs = sheet.headings.iter().position(|heading| heading.title == "Zs, Ω").expect("a heading");
        for (index, row) in sheet.rows.enumerate() {
            assert_eq!(row.len(), columns);
            assert!(matches!(&row[1], Cell::Link { sheet: "Ranking", row, .. } if *row as usize == index + 2));
            let designed = run.portfolio.sites[index].judgement.chosen.is_some();
            assert_eq!(row[zs] != Cell::Blank, designed);
        }
    }
}
