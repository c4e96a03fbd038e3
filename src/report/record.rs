//! One site as an object for programs: the field names of the contract, in its order, rounded once here. A field that
//! was not computed is null, never zero.

use super::clusters_record::SharedWithRecord;
use super::materials::PriceIndex;
use super::operators_record::OperatorScheduleRecord;
use super::record_parts::{AssumedRecord, BillRecord, CrewRecord, FindingRecord, OddsRecord, RemedyRecord, TaskRecord};
use super::shared_supply_record::SharedSupplyRecord;
use super::{Run, sentence};
use crate::design::Control;
use crate::intake::Intake;
use crate::portfolio::{Ranked, over_capacity};
use crate::quantity::{
    Pence, round_current_a, round_impedance_ohm, round_length_m, round_percent, round_to, round_volts,
};
use crate::site::Verdict;
use schemars::JsonSchema;
use serde::Serialize;

/// What is said of one site.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct SiteRecord<'a> {
    /// The user's own key, or one made from the row.
    pub site_id: &'a str,
    /// Row in the user's sheet, counted from 1.
    pub row: u32,
    /// Sheet of that row; only where several are read together.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(default)]
    pub sheet: Option<&'a str>,
    /// Computed verdict of the site alone.
    #[schemars(extend("enum" = ["ready", "marginal", "blocked"]))]
    pub verdict: &'static str,
    /// Place among all sites, 1 for the best.
    pub rank: u32,
    /// Chance that the site proves ready once its unknowns are settled, 0 to 1.
    pub probability_ready: Option<f64>,
    /// How much of the survey stands behind the result.
    #[schemars(extend("enum" = ["surveyed", "partly", "desk"]))]
    pub confidence: &'static str,
    /// What a marginal site waits for (fact, operator, consent, works), the governing wait first.
    pub waits_for: Vec<&'static str>,
    /// Weeks until everything is settled, low end; null when nothing takes time.
    pub weeks_low: Option<u16>,
    /// Weeks until everything is settled, likely.
    pub weeks_likely: Option<u16>,
    /// Weeks until everything is settled, high end.
    pub weeks_high: Option<u16>,
    /// Verdict when the sites ranked before it on the same feeder are served first; null where that is not computed.
    #[schemars(extend("enum" = ["ready", "marginal", "blocked", null]))]
    pub verdict_with_neighbours: Option<&'static str>,
    /// Cluster of neighbours.
    pub cluster_id: Option<&'a str>,
    /// Codes of stops, holds and steps, most decisive first.
    pub reasons: Vec<&'static str>,
    /// Verdict set by an engineer; counts and rank follow it.
    #[schemars(extend("enum" = ["ready", "marginal", "blocked", null]))]
    pub override_verdict: Option<&'static str>,
    /// Who set it.
    pub override_by: Option<&'a str>,
    /// When.
    pub override_date: Option<&'a str>,
    /// Why.
    pub override_why: Option<&'a str>,
    /// The next step, as a sentence.
    pub next_step: Option<&'a str>,
    /// How the network operator is dealt with.
    #[schemars(extend("enum" = ["notify", "apply", "none"]))]
    pub operator_route: &'static str,
    /// Current set at each point, amperes a phase.
    pub charging_current_a: Option<f64>,
    /// Phases of each point.
    pub point_phases: Option<u8>,
    /// How the current is kept within the supply.
    #[schemars(extend("enum" = ["none", "local", "group", null]))]
    pub control: Option<&'static str>,
    /// Current a phase at which a limiter holds the incomer, amperes.
    pub load_limit_setpoint_a: Option<f64>,
    /// Existing demand on the worst phase, likely, amperes.
    pub existing_demand_a: Option<f64>,
    /// Demand on the worst phase with the charging, likely, amperes.
    pub maximum_demand_a: Option<f64>,
    /// The least of cut-out, tails and agreed capacity, amperes a phase.
    pub supply_limit_a: Option<f64>,
    /// Rated current of the final circuit's device, amperes.
    pub device_rating_a: Option<f64>,
    /// Its tripping characteristic.
    #[schemars(extend("enum" = ["B", "C", "D", null]))]
    pub device_curve: Option<&'static str>,
    /// Make-up of the cable that reaches the point.
    #[schemars(extend("enum" = ["twin-and-earth", "armoured-xlpe", "armoured-pvc", "singles", null]))]
    pub cable_type: Option<&'static str>,
    /// Its line conductor, square millimetres.
    pub cable_csa_mm2: Option<f64>,
    /// Its reference method of installation.
    pub installation_method: Option<&'static str>,
    /// Electrical length from the origin to the farthest point: route, rises and ends, no waste; metres.
    pub cable_length_m: Option<f64>,
    /// Current-carrying capacity after factors, amperes.
    pub current_capacity_a: Option<f64>,
    /// Voltage drop from the origin, tails included, volts.
    pub voltage_drop_v: Option<f64>,
    /// The same in percent of the nominal voltage.
    pub voltage_drop_percent: Option<f64>,
    /// Earth-fault loop impedance at the point, ohms.
    pub zs_ohm: Option<f64>,
    /// Limit of the device relied on, ohms.
    pub zs_limit_ohm: Option<f64>,
    /// Earth-fault current at the point, amperes.
    pub fault_current_a: Option<f64>,
    /// How the point is earthed, in words.
    pub earthing_path: Option<&'static str>,
    /// Charge points.
    pub points: Option<u32>,
    /// Cost before tax, low end, pounds; null for a blocked site.
    pub cost_low_gbp: Option<f64>,
    /// Cost before tax, likely, pounds.
    pub cost_likely_gbp: Option<f64>,
    /// Cost before tax, high end, pounds.
    pub cost_high_gbp: Option<f64>,
    /// Person-hours, low end.
    pub labour_hours_low: Option<f64>,
    /// Person-hours, likely.
    pub labour_hours_likely: Option<f64>,
    /// Person-hours, high end.
    pub labour_hours_high: Option<f64>,
    /// How long a crew is on site, in words.
    pub labour_band: Option<&'static str>,
    /// Survey fields whose answer decides.
    pub decisive_unknowns: &'a [&'static str],
    /// Ways out.
    pub remedies: Vec<RemedyRecord<'a>>,
    /// Every check, in working order.
    pub findings: Vec<FindingRecord>,
    /// Values that are not from the user's sheet.
    pub assumed: Vec<AssumedRecord<'a>>,
    /// Materials and bought services.
    pub bill: Vec<BillRecord<'a>>,
    /// Tasks.
    pub tasks: Vec<TaskRecord>,
    /// The chance of each verdict once the unknowns are settled.
    pub odds: OddsRecord,
    /// Current a phase that the points together may take, amperes.
    pub group_limit_a: Option<f64>,
    /// Points that can charge at once.
    pub points_at_once: Option<u32>,
    /// Points whose daily need can be delivered.
    pub points_served: Option<u32>,
    /// Energy needed a day, mean, kilowatt-hours.
    pub energy_needed_kwh_mean: Option<f64>,
    /// Energy needed on a day on which every vehicle has its high mileage, kilowatt-hours.
    pub energy_needed_kwh_high: Option<f64>,
    /// Part of the mean need that cannot be delivered, kilowatt-hours.
    pub energy_unserved_kwh_mean: Option<f64>,
    /// Part of the high need that cannot be delivered, kilowatt-hours.
    pub energy_unserved_kwh_high: Option<f64>,
    /// Smallest group limit that would deliver it all on a mean day, amperes a phase; null where none does.
    pub least_group_limit_a: Option<f64>,
    /// Year from which the supply no longer serves the vehicles at the growth of the rules; null for one point and beyond
    /// the look ahead.
    pub supply_full_year: Option<u16>,
    /// Address as read.
    pub address: Option<&'a str>,
    /// Postcode as read.
    pub postcode: Option<&'a str>,
    /// Lot.
    pub lot: Option<&'a str>,
    /// Why, in sentences.
    pub why: String,
    /// What must be confirmed before the van is booked: survey fields.
    pub confirm_first: &'a [&'static str],
    /// Whether the site is ready if everything that nobody asked is held.
    pub ready_if_committed: bool,
    /// Score within the verdict, by which it is ranked.
    pub score: Option<f64>,
    /// Cost before tax that is exceeded one time in two, pounds.
    pub cost_p50_gbp: Option<f64>,
    /// Cost before tax that is exceeded one time in five, pounds.
    pub cost_p80_gbp: Option<f64>,
    /// Share of the likely cost that rests on illustrative prices (any of a line's price, hours or labour rate), 0 to 1.
    pub illustrative_share: Option<f64>,
    /// Days of all crews on site, travel left out, low end.
    pub crew_days_low: Option<f64>,
    /// Days of all crews on site, likely.
    pub crew_days_likely: Option<f64>,
    /// Days of all crews on site, high end.
    pub crew_days_high: Option<f64>,
    /// The same crew by crew.
    pub crews: Vec<CrewRecord>,
    /// What of the facts would have to be otherwise where a site that is not ready has no way out, as a sentence.
    pub would_have_to_give: Option<&'a str>,
    /// Vehicles, control, phases and years of several points on one supply; null for one point.
    pub shared_supply: Option<SharedSupplyRecord>,
    /// Code of the reason why it does not fit once the sites of its cluster that are ranked before it are served.
    pub neighbours_reason: Option<&'static str>,
    /// For a home without a space of its own: the nearest shared car park of the portfolio that has a point left.
    pub shared_with: Option<SharedWithRecord<'a>>,
    /// Unique property reference number, where it is stated.
    pub uprn: Option<&'a str>,
    /// What its network operator must hear of it, and when; null where no operator need.
    pub operator_schedule: Option<OperatorScheduleRecord<'a>>,
}

/// The records of a run, in rank order, made as they are taken.
pub fn records<'a>(run: &Run<'a>) -> impl Iterator<Item = SiteRecord<'a>> + use<'a> {
    let prices = PriceIndex::of(run.prices);
    let (intake, sites) = (run.intake, run.portfolio.sites.as_slice());
    let schedules = run.schedules;
    sites.iter().enumerate().map(move |(place, ranked)| SiteRecord {
        operator_schedule: schedules.and_then(|schedules| schedules.of(place)).map(OperatorScheduleRecord::new),
        ..SiteRecord::new(ranked, (intake, sites), &prices)
    })
}

/// A figure rounded by its rule; none that is no number.
fn figure(value: f64, round: fn(f64) -> f64) -> Option<f64> {
    value.is_finite().then(|| round(value))
}

pub(super) fn share(value: f64) -> Option<f64> {
    // A share of one to a hundredth of a percent.
    figure(value, |value| round_to(value, 4))
}

pub(super) fn hundredths(value: f64) -> Option<f64> {
    figure(value, |value| round_to(value, 2))
}

fn stated(text: &str) -> Option<&str> {
    (!text.is_empty()).then_some(text)
}

impl<'a> SiteRecord<'a> {
    fn new(ranked: &'a Ranked, (intake, sites): (&'a Intake, &'a [Ranked]), prices: &PriceIndex<'a>) -> Self {
        let judgement = &ranked.judgement;
        let brief = &judgement.brief;
        let chosen = judgement.chosen.as_ref();
        let last = chosen.and_then(|chosen| chosen.final_run());
        let estimate = judgement.estimate.as_ref().filter(|_| judgement.verdict != Verdict::Blocked);
        let shared = chosen.and_then(|chosen| chosen.shared);
        let plan = judgement.supply_plan.as_deref();
        let group_limit = match chosen.map(|chosen| chosen.control) {
            Some(Control::Group { limit_a, .. }) => Some(limit_a),
            _ => shared.map(|shared| shared.group_limit_a),
        };
        let of_chosen = |value: fn(&crate::design::Arrangement) -> f64, round| {
            chosen.and_then(|chosen| figure(value(chosen), round))
        };
        let levels = estimate.map(|estimate| estimate.doubt.levels());
        let pounds =
            |point: fn(&crate::quantity::CostBand) -> Pence| estimate.map(|estimate| point(&estimate.cost).pounds());
        let hours =
            |point: fn(&crate::quantity::Band) -> f64| estimate.and_then(|estimate| hundredths(point(&estimate.hours)));
        let crew_days = |point: fn(&crate::quantity::Band) -> f64| {
            estimate.and_then(|estimate| hundredths(point(&estimate.crew_days)))
        };
        Self {
            site_id: &brief.site_id,
            row: brief.row,
            sheet: intake.sheet_name(brief.sheet),
            verdict: judgement.verdict.word(),
            rank: ranked.rank,
            probability_ready: judgement.odds.and_then(|odds| share(odds.ready)),
            confidence: judgement.confidence.word(),
            waits_for: judgement.waits_for.iter().map(|wait| wait.word()).collect(),
            weeks_low: judgement.weeks.map(|weeks| weeks.low),
            weeks_likely: judgement.weeks.map(|weeks| weeks.likely),
            weeks_high: judgement.weeks.map(|weeks| weeks.high),
            verdict_with_neighbours: ranked.with_neighbours.map(Verdict::word),
            cluster_id: ranked.cluster_id.as_deref(),
            reasons: judgement.reasons.iter().map(|reason| reason.code).collect(),
            override_verdict: brief.override_verdict.map(Verdict::word),
            override_by: stated(&brief.override_by),
            override_date: stated(&brief.override_date),
            override_why: stated(&brief.override_why),
            next_step: stated(&judgement.next_step),
            operator_route: judgement.operator_route.word(),
            charging_current_a: of_chosen(|chosen| chosen.setting_a, round_current_a),
            point_phases: chosen.map(|chosen| chosen.phases),
            control: chosen.map(|chosen| chosen.control.word()),
            load_limit_setpoint_a: match chosen.map(|chosen| chosen.control) {
                Some(Control::Local { setpoint_a } | Control::Group { setpoint_a: Some(setpoint_a), .. }) => {
                    figure(setpoint_a, round_current_a)
                }
                _ => None,
            },
            existing_demand_a: figure(judgement.existing_demand_a.likely, round_current_a),
            maximum_demand_a: of_chosen(|chosen| chosen.maximum_demand_a.likely, round_current_a),
            supply_limit_a: judgement.supply_limit_a.and_then(|limit| figure(limit, round_current_a)),
            device_rating_a: of_chosen(|chosen| chosen.device.rating_a, round_current_a),
            device_curve: chosen.map(|chosen| chosen.device.curve.word()),
            cable_type: last.map(|run| run.cable.family.word()),
            cable_csa_mm2: last.and_then(|run| hundredths(run.cable.csa_mm2)),
            installation_method: last.map(|run| run.method.word()),
            cable_length_m: of_chosen(|chosen| chosen.length_m(), round_length_m),
            current_capacity_a: of_chosen(|chosen| chosen.current_capacity_a, round_current_a),
            voltage_drop_v: of_chosen(|chosen| chosen.voltage_drop_v, round_volts),
            voltage_drop_percent: of_chosen(|chosen| chosen.voltage_drop_percent, round_percent),
            zs_ohm: of_chosen(|chosen| chosen.zs_ohm, round_impedance_ohm),
            zs_limit_ohm: of_chosen(|chosen| chosen.zs_limit_ohm, round_impedance_ohm),
            fault_current_a: of_chosen(|chosen| chosen.fault_current_a, round_current_a),
            earthing_path: chosen.map(|chosen| chosen.earthing.word()),
            points: chosen.map(|chosen| chosen.points),
            cost_low_gbp: pounds(|cost| cost.low),
            cost_likely_gbp: pounds(|cost| cost.likely),
            cost_high_gbp: pounds(|cost| cost.high),
            cost_p50_gbp: levels.map(|levels| levels.p50.pounds()),
            cost_p80_gbp: levels.map(|levels| levels.p80.pounds()),
            labour_hours_low: hours(|hours| hours.low),
            labour_hours_likely: hours(|hours| hours.likely),
            labour_hours_high: hours(|hours| hours.high),
            labour_band: estimate.map(|estimate| estimate.labour_band.word()),
            decisive_unknowns: &judgement.decisive_unknowns,
            remedies: judgement.remedies.iter().map(RemedyRecord::new).collect(),
            findings: judgement.findings.iter().map(FindingRecord::new).collect(),
            assumed: judgement.assumed.iter().map(AssumedRecord::new).collect(),
            bill: estimate
                .iter()
                .flat_map(|estimate| &estimate.bill)
                .map(|line| BillRecord::new(line, prices))
                .collect(),
            tasks: estimate.iter().flat_map(|estimate| &estimate.tasks).map(TaskRecord::new).collect(),
            odds: OddsRecord::new(judgement.odds),
            group_limit_a: group_limit.and_then(|limit| figure(limit, round_current_a)),
            points_at_once: shared.map(|shared| shared.points_at_once),
            points_served: shared.map(|shared| shared.points_served),
            energy_needed_kwh_mean: shared.and_then(|shared| hundredths(shared.energy_needed_kwh)),
            energy_needed_kwh_high: shared.and_then(|shared| hundredths(shared.energy_needed_high_kwh)),
            energy_unserved_kwh_mean: shared.and_then(|shared| hundredths(shared.energy_unserved_kwh)),
            energy_unserved_kwh_high: shared.and_then(|shared| hundredths(shared.energy_unserved_high_kwh)),
            least_group_limit_a: shared.and_then(|shared| figure(shared.least_group_limit_a?, round_current_a)),
            supply_full_year: plan.and_then(|plan| u16::try_from(plan.runway.supply?).ok()),
            address: stated(&brief.address),
            postcode: stated(&brief.postcode),
            lot: stated(&brief.lot),
            why: sentence::why(judgement),
            confirm_first: &judgement.confirm_first,
            ready_if_committed: judgement.ready_if_committed,
            score: share(ranked.score.score),
            illustrative_share: estimate.and_then(|estimate| share(estimate.rests_on.illustrative_share()?)),
            crew_days_low: crew_days(|days| days.low),
            crew_days_likely: crew_days(|days| days.likely),
            crew_days_high: crew_days(|days| days.high),
            crews: estimate.iter().flat_map(|estimate| &estimate.crews).map(CrewRecord::new).collect(),
            would_have_to_give: stated(&judgement.would_have_to_give),
            shared_supply: plan.map(SharedSupplyRecord::new),
            neighbours_reason: ranked.over_capacity.then(|| over_capacity().code),
            shared_with: ranked.shared_with.and_then(|shared| SharedWithRecord::new(shared, sites)),
            uprn: stated(&brief.uprn),
            operator_schedule: None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::fixture::Fixture;

    #[test]
    fn what_was_not_computed_is_null_and_never_zero() {
        let fixture = Fixture::new(24);
        let run = fixture.run();
        for (record, ranked) in records(&run).zip(&run.portfolio.sites) {
            let judgement = &ranked.judgement;
            let has_cost = judgement.estimate.is_some() && judgement.verdict != Verdict::Blocked;
            assert_eq!(record.cost_likely_gbp.is_some(), has_cost);
            assert_eq!(record.zs_ohm.is_some(), ranked.judgement.chosen.is_some());
            assert!(record.verdict_with_neighbours.is_none());
            assert_eq!(record.supply_full_year.is_some(), judgement.supply_plan.is_some());
            assert_eq!(record.shared_supply.is_some(), judgement.supply_plan.is_some());
            assert!(record.verdict != "blocked" || record.cost_low_gbp.is_none());
        }
    }

    #[test]
    fn figures_are_rounded_once_by_their_rule() {
        assert_eq!(figure(41.45, round_current_a), Some(41.5));
        assert_eq!(figure(f64::INFINITY, round_current_a), None);
        assert_eq!(share(0.123456), Some(0.1235));
    }
}
