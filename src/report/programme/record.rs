//! The programme as an object for programs.

use super::super::Run;
use super::words::{beyond_words, more_words, why_words};
use crate::programme::{Programme, spent, stays, weeks};
use crate::quantity::round_to;
use schemars::JsonSchema;
use serde::Serialize;

/// A programme.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct ProgrammeRecord<'a> {
    /// What it is worth by the weights of the rules.
    pub worth: f64,
    /// No programme within these budgets, crew-days and dates is worth more.
    pub bound: f64,
    /// Times that a crew goes from one place to another.
    pub moves: u32,
    /// Periods with what is spent in them.
    pub periods: Vec<PeriodRecord>,
    /// Sites done, in the order in which they are finished.
    pub done: Vec<DoneRecord<'a>>,
    /// Sites left out, in rank order.
    pub left_out: Vec<LeftOutRecord<'a>>,
    /// Sites that must be done and are not.
    pub musts_missed: Vec<&'a str>,
    /// Least shares of the points, and whether they are reached.
    pub least_shares: Vec<ShareRecord<'a>>,
    /// What one more crew or a little more money would add to the selection.
    pub gains: Vec<GainRecord>,
    /// Where each crew is, by crew and time.
    pub stays: Vec<StayRecord<'a>>,
    /// Week by week.
    pub weeks: Vec<WeekRecord>,
}

/// A period.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[allow(missing_docs)] // each name says what it is
pub struct PeriodRecord {
    pub from: String,
    pub to: String,
    pub budget_gbp: f64,
    pub spent_gbp: f64,
    pub sites: usize,
    pub points: u32,
}

/// A site done.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct DoneRecord<'a> {
    /// The user's key.
    pub site_id: &'a str,
    /// The period that pays for it, from 1.
    pub period: usize,
    /// Day on which work begins; null where it needs no crew.
    pub begins: Option<String>,
    /// Day on which it is finished.
    pub finished: String,
    /// Crews, in the order of their work.
    pub crews: Vec<&'a str>,
    /// What it costs the programme, pounds before tax.
    pub cost_gbp: f64,
    /// Points that serve their vehicles.
    pub points: u32,
    /// What it is worth.
    pub worth: f64,
}

/// A site left out.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[allow(missing_docs)]
pub struct LeftOutRecord<'a> {
    pub site_id: &'a str,
    pub why: String,
}

/// A least share.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[allow(missing_docs)]
pub struct ShareRecord<'a> {
    pub of: &'a str,
    pub share: f64,
    pub reached: bool,
}

/// What a little more adds.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[allow(missing_docs)]
pub struct GainRecord {
    pub more: String,
    pub worth: f64,
    pub sites: i64,
    pub points: i64,
    pub cost_gbp: f64,
}

/// A crew at a place.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[allow(missing_docs)]
pub struct StayRecord<'a> {
    pub crew: &'a str,
    pub place: &'a str,
    pub from: String,
    pub to: String,
    pub visits: u32,
    pub days: f64,
}

/// A week.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[allow(missing_docs)]
pub struct WeekRecord {
    pub from: String,
    pub sites: u32,
    pub points: u32,
    pub spent_gbp: f64,
    pub points_so_far: u32,
    pub spent_so_far_gbp: f64,
}

/// The programme of a run.
pub(in crate::report) fn record<'a>(run: &Run<'a>) -> Option<ProgrammeRecord<'a>> {
    let programme: &'a Programme = run.programme?;
    let (planned, laid) = (&programme.planned, &programme.laid);
    let plan = &planned.plan;
    let sites = &run.portfolio.sites;
    let id_at = |at: usize| sites.get(at).map(|site| site.judgement.brief.site_id.as_str());
    let id = |task: usize| id_at(*planned.sites.get(task)?);
    let periods = plan.periods.iter().zip(spent(plan, laid)).map(|(period, spent)| PeriodRecord {
        from: period.from.to_string(),
        to: period.to.to_string(),
        budget_gbp: period.budget.pounds(),
        spent_gbp: spent.cost.pounds(),
        sites: spent.sites as usize,
        points: spent.points,
    });
    let mut in_order: Vec<_> = laid.done.iter().collect();
    in_order.sort_by_key(|done| (done.finish, done.task));
    let done = in_order.into_iter().filter_map(|done| {
        let task = plan.tasks.get(done.task)?;
        let mut visits: Vec<_> = laid.visits.iter().filter(|visit| visit.task == done.task).collect();
        visits.sort_by_key(|visit| visit.work);
        let crews = visits.iter().filter_map(|visit| plan.crews.get(visit.crew)).map(|crew| crew.name.as_str());
        Some(DoneRecord {
            site_id: id(done.task)?,
            period: done.period + 1,
            begins: visits.iter().map(|visit| visit.first.date).min().map(|day| day.to_string()),
            finished: done.finish.to_string(),
            crews: crews.collect(),
            cost_gbp: task.cost.pounds(),
            points: task.points,
            worth: round_to(task.worth, 4),
        })
    });
    let tasks = laid
        .left_out
        .iter()
        .filter_map(|(task, why)| Some((*planned.sites.get(*task)?, why_words(run, programme, *why))));
    let beyond = planned.beyond.iter().map(|(at, beyond)| (*at, beyond_words(*beyond).to_owned()));
    let mut left_out: Vec<(usize, String)> = tasks.chain(beyond).collect();
    left_out.sort_by_key(|(at, _)| *at);
    let shares = plan.least.iter().enumerate().map(|(number, share)| ShareRecord {
        of: share.name.as_str(),
        share: share.share,
        reached: !laid.shares_missed.contains(&number),
    });
    let gains = programme.gains.iter().map(|gain| GainRecord {
        more: more_words(run, programme, &gain.more),
        worth: round_to(gain.worth, 4),
        sites: gain.sites,
        points: gain.points,
        cost_gbp: gain.cost.pounds(),
    });
    let stays = stays(plan, laid).into_iter().filter_map(|stay| {
        Some(StayRecord {
            crew: plan.crews.get(stay.crew)?.name.as_str(),
            place: plan.places.get(stay.place)?.name.as_str(),
            from: stay.first.to_string(),
            to: stay.last.to_string(),
            visits: stay.visits,
            days: f64::from(stay.quarters.values().sum::<u32>()) / 4.0,
        })
    });
    let weeks = weeks(plan, laid).into_iter().map(|week| WeekRecord {
        from: week.monday.to_string(),
        sites: week.sites,
        points: week.points,
        spent_gbp: week.cost.pounds(),
        points_so_far: week.points_so_far,
        spent_so_far_gbp: week.cost_so_far.pounds(),
    });
    Some(ProgrammeRecord {
        worth: round_to(laid.worth, 4),
        bound: round_to(laid.bound, 4),
        moves: laid.moves,
        periods: periods.collect(),
        done: done.collect(),
        left_out: left_out
            .into_iter()
            .filter_map(|(at, why)| Some(LeftOutRecord { site_id: id_at(at)?, why }))
            .collect(),
        musts_missed: laid.musts_missed.iter().filter_map(|task| id(*task)).collect(),
        least_shares: shares.collect(),
        gains: gains.collect(),
        stays: stays.collect(),
        weeks: weeks.collect(),
    })
}
