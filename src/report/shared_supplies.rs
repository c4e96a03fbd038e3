//! Sheets Shared supplies and Vehicles: whether every vehicle of a car park is full by morning, what control saves, how
//! few points would do, how the phases share them, and when the supply is full. How anything was found it does not know.

use super::Run;
use super::extent::Extent;
use super::figures::plain;
use super::grid::{Cell, Form, Heading, Paper, Row, Rows, Sheet, folded, heading, names};
use super::stands;
use crate::design::{Arrangement, Control, GroupDay, Runway, Shared, SupplyPlan};
use crate::portfolio::Ranked;

/// The sites that share a supply, with what is told of them, in rank order.
fn shared_sites<'a>(run: &'a Run<'a>, extent: Extent) -> impl Iterator<Item = Site<'a>> + Clone + 'a {
    let detailed = run.portfolio.sites.iter().take(extent.detailed);
    detailed.filter_map(|ranked| {
        let judgement = &ranked.judgement;
        let (chosen, plan) = (judgement.chosen.as_ref()?, judgement.supply_plan.as_deref()?);
        Some(Site { ranked, chosen, shared: chosen.shared?, plan })
    })
}

/// One of them.
struct Site<'a> {
    ranked: &'a Ranked,
    chosen: &'a Arrangement,
    shared: Shared,
    plan: &'a SupplyPlan,
}

/// Whether any site shares a supply.
pub(super) fn any(run: &Run<'_>) -> bool {
    run.portfolio.sites.iter().any(|ranked| ranked.judgement.supply_plan.is_some())
}

/// The sheet of the supplies.
pub(super) fn sheet<'a>(run: &'a Run<'a>, extent: Extent) -> Sheet<'a> {
    let headings = headings();
    let in_sight = headings.iter().filter(|heading| !heading.folds).count();
    Sheet {
        name: names::SHARED_SUPPLIES,
        subject: "Shared supplies: who is charged, what control saves, when it is full",
        headings,
        frozen: 2,
        printed: u16::try_from(in_sight).ok(),
        paper: Paper::A3,
        rows: Rows::of(shared_sites(run, extent), |site| of_supply(&site)),
    }
}

fn headings() -> Vec<Heading<'static>> {
    use Form::{Ordinal, Tenths, Text, Whole, Wrapped};
    vec![
        heading("Rank", 6.0, Ordinal),
        heading("Site", 11.0, Text),
        heading("Verdict", 14.0, Text),
        heading("Points", 7.0, Whole),
        heading("Vehicles", 8.0, Whole),
        heading("Charged on a mean day", 34.0, Wrapped),
        heading("Charged on a high day", 34.0, Wrapped),
        heading("Group limit, A", 8.0, Tenths),
        heading("Least limit, mean day, A", 9.5, Tenths),
        heading("Least limit, high day, A", 9.5, Tenths),
        heading("Fewest points, each keeps its own", 10.0, Whole),
        heading("Fewest points, changing places", 10.0, Whole),
        heading("Supply, kW", 8.0, Tenths),
        heading("Load now, kW", 8.0, Tenths),
        heading("Peak uncontrolled, kW", 11.5, Tenths),
        heading("Peak at a night tariff, kW", 11.0, Tenths),
        heading("Peak controlled, kW", 10.0, Tenths),
        heading("What control changes", 34.0, Wrapped),
        heading("Full in", 9.0, Text),
        heading("What runs out, and the next step", 40.0, Wrapped),
        folded("Points on L1, L2, L3", 14.0, Text),
        folded("Neutral, all at once, A", 10.0, Tenths),
        folded("Group limit short from", 10.0, Text),
        folded("Sub-mains short from", 10.0, Text),
        folded("Load by half-hour from", 24.0, Wrapped),
    ]
}

fn of_supply<'a>(site: &Site<'a>) -> Row<'a> {
    let Site { ranked, chosen, shared, plan } = site;
    let judgement = &ranked.judgement;
    let amps = |amps: Option<f64>| amps.map_or(Cell::Blank, Cell::from);
    let count = |count: Option<u32>| count.map_or(Cell::Blank, Cell::from);
    let kw = |kw: f64| Cell::Number(crate::quantity::round_to(kw, 1));
    let vehicles: u32 = plan.groups.iter().map(|day| day.group.vehicles).sum();
    let ways = &plan.ways;
    let [one, two, three] = plan.phase_points;
    vec![
        ranked.rank.into(),
        stands::on_ranking(ranked),
        Cell::Verdict(judgement.counted_verdict(), judgement.brief.override_verdict.is_some()),
        chosen.points.into(),
        vehicles.into(),
        day_words(plan, shared.energy_needed_kwh, shared.energy_unserved_kwh, |day| day.short_mean_kwh).into(),
        day_words(plan, shared.energy_needed_high_kwh, shared.energy_unserved_high_kwh, |day| day.short_high_kwh)
            .into(),
        shared.group_limit_a.into(),
        amps(shared.least_group_limit_a),
        amps(shared.least_group_limit_high_a),
        count(plan.fewest.staying),
        count(plan.fewest.swapping),
        kw(ways.limit_kw),
        kw(ways.existing_kw),
        kw(ways.as_they_come_kw),
        kw(ways.at_tariff_start_kw),
        kw(ways.controlled_kw),
        control_words(plan, chosen).into(),
        full_words(&plan.runway).into(),
        next_words(plan, chosen).into(),
        if chosen.supply_phases == 3 { format!("{one}, {two}, {three}") } else { one.to_string() }.into(),
        plan.neutral_a.into(),
        year(plan.runway.group, plan.runway.until).into(),
        year(plan.runway.submain, plan.runway.until).into(),
        if plan.own_half_hours { "its own half-hours" } else { "assumed: usual run of the day" }.into(),
    ]
}

/// Who is charged on a day, in a sentence.
pub(super) fn day_words(plan: &SupplyPlan, needed_kwh: f64, short_kwh: f64, of: fn(&GroupDay) -> f64) -> String {
    if short_kwh <= 0.0 {
        return format!("All: {} kWh.", plain(needed_kwh, 0));
    }
    let (needed, short) = (plain(needed_kwh, 0), plain(short_kwh, 1));
    let names: Vec<String> =
        plan.short(of).iter().filter(|name| !name.is_empty()).map(|name| name.to_string()).collect();
    if names.is_empty() {
        format!("{short} of {needed} kWh are missing.")
    } else {
        format!("{short} of {needed} kWh are missing: {}.", names.join(", "))
    }
}

/// What control changes, in a sentence.
pub(super) fn control_words(plan: &SupplyPlan, chosen: &Arrangement) -> String {
    let ways = &plan.ways;
    let over = |kw: f64| kw > ways.limit_kw;
    let at = |kw: f64| format!("{} kW", plain(kw, 0));
    let tariff = if ways.at_tariff_start_kw > ways.as_they_come_kw {
        format!(" A night tariff alone would make it {}.", at(ways.at_tariff_start_kw))
    } else {
        String::new()
    };
    let follows = matches!(chosen.control, Control::Group { setpoint_a: Some(_), .. });
    let held = match chosen.control {
        Control::None => format!("It fits without control, at {}.", at(ways.as_they_come_kw)),
        _ if over(ways.as_they_come_kw) => format!(
            "Uncontrolled it would reach {} of {}; {} it stays at {}.",
            at(ways.as_they_come_kw),
            at(ways.limit_kw),
            if follows { "following the load" } else { "shared" },
            at(ways.controlled_kw)
        ),
        _ if ways.controlled_kw > 0.99 * ways.as_they_come_kw => format!(
            "Uncontrolled it would reach {} of {}; the limit guards each phase.",
            at(ways.as_they_come_kw),
            at(ways.limit_kw)
        ),
        _ => format!(
            "Control keeps it at {} of {}, {} uncontrolled.",
            at(ways.controlled_kw),
            at(ways.limit_kw),
            at(ways.as_they_come_kw)
        ),
    };
    held + &tariff
}

fn year(found: Option<i16>, until: i16) -> String {
    found.map_or_else(|| format!("after {until}"), |year| year.to_string())
}

/// The year in which the supply no longer serves the vehicles.
fn full_words(runway: &Runway) -> String {
    year(runway.supply, runway.until)
}

/// What runs out first and what comes next.
pub(super) fn next_words(plan: &SupplyPlan, chosen: &Arrangement) -> String {
    let runway = &plan.runway;
    let first = [runway.group, runway.submain, runway.supply].into_iter().flatten().min();
    if plan.points_short {
        let few = |points: Option<u32>| points.map_or_else(|| "more".to_owned(), |points| points.to_string());
        return format!(
            "Now: the points. Next: {} instead of {}, or {} where vehicles change places.",
            few(plan.fewest.staying),
            chosen.points,
            few(plan.fewest.swapping)
        );
    }
    let Some(first) = first else {
        return format!("Nothing runs out up to {} at the growth of the rules.", runway.until);
    };
    let follows = matches!(chosen.control, Control::Group { setpoint_a: Some(_), .. });
    if runway.supply == Some(first) {
        let step = if plan.may_follow && !follows {
            "a limit that follows the load, then more agreed capacity"
        } else {
            "more agreed capacity, a flexible connection, or a battery beside it"
        };
        return format!("{first}: the supply. Next: {step}.");
    }
    if runway.submain == Some(first) {
        return format!(
            "{first}: the sub-mains. Next: a further sub-main; the supply is full in {}.",
            full_words(runway)
        );
    }
    let (what, step) = match chosen.control {
        Control::None => ("the points", "further points under a group limit"),
        Control::Local { .. } | Control::Group { .. } => ("the group limit", "set it higher"),
    };
    let lasts = runway.supply.map_or_else(|| format!("beyond {}", runway.until), |year| format!("until {year}"));
    format!("{first}: {what}. Next: {step}; the supply lasts {lasts}.")
}

/// The sheet of the vehicle groups.
pub(super) fn vehicles_sheet<'a>(run: &'a Run<'a>, extent: Extent) -> Sheet<'a> {
    let rows = shared_sites(run, extent).flat_map(|site| {
        let Site { ranked, plan, .. } = site;
        plan.groups.iter().enumerate().map(move |(line, day)| (ranked, line, day))
    });
    Sheet {
        name: names::VEHICLES,
        subject: "Vehicles: what each group needs and what it goes short",
        headings: vehicle_headings(),
        frozen: 3,
        printed: None,
        paper: Paper::A3,
        rows: Rows::of(rows, |(ranked, line, day)| of_group((ranked, line), day)),
    }
}

fn vehicle_headings() -> Vec<Heading<'static>> {
    use Form::{Ordinal, Tenths, Text, Whole};
    vec![
        heading("Rank", 6.0, Ordinal),
        heading("Site", 11.0, Text),
        heading("Vehicle group", 26.0, Text),
        heading("Vehicles", 8.0, Whole),
        heading("Points for them", 8.0, Whole),
        heading("Come at", 8.0, Text),
        heading("Leave at", 8.0, Text),
        heading("Most current, A", 9.0, Tenths),
        heading("Phases", 7.5, Whole),
        heading("Needed on a mean day, kWh", 10.5, Tenths),
        heading("Missing on a mean day, kWh", 10.5, Tenths),
        heading("Needed on a high day, kWh", 10.5, Tenths),
        heading("Missing on a high day, kWh", 10.5, Tenths),
    ]
}

fn of_group<'a>((ranked, line): (&'a Ranked, usize), day: &'a GroupDay) -> Row<'a> {
    let group = &day.group;
    let all = f64::from(group.points);
    let name: &str = if group.name.is_empty() { "as the survey says" } else { &group.name };
    vec![
        ranked.rank.into(),
        stands::on_ranking_once(ranked, line),
        name.into(),
        group.vehicles.into(),
        group.points.into(),
        clock(group.arrive_h).into(),
        clock(group.depart_h).into(),
        day.max_a.into(),
        u32::from(day.phases).into(),
        (group.mean_kwh * all).into(),
        day.short_mean_kwh.into(),
        (group.high_kwh * all).into(),
        day.short_high_kwh.into(),
    ]
}

/// Hours after midnight as a time of day.
pub(super) fn clock(hours: f64) -> String {
    let minutes = (hours.rem_euclid(24.0) * 60.0).round() as u32 % 1440;
    format!("{:02}:{:02}", minutes / 60, minutes % 60)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hours_are_told_as_times_of_day() {
        assert_eq!((clock(7.5), clock(24.0), clock(17.999_9)), ("07:30".into(), "00:00".into(), "18:00".into()));
    }
}
