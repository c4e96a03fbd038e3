//! What a site is worth to a programme, what it costs it and what work it is: points, homes, miles and need by the
//! weights of the rules, times the chance that it proves ready. It knows one site and no calendar.

use crate::portfolio::{Ranked, points_served};
use crate::quantity::Pence;
use crate::rules::{Lead, Rules};
use crate::site::{Premises, Site, Verdict};
use crate::verdict::RemedyKind;

/// Weeks of a year.
const WEEKS_A_YEAR: f64 = 52.0;

/// What a site is worth, part by part.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Worth {
    /// Points that serve their vehicles.
    pub points: u32,
    /// Homes that get charging.
    pub homes: u32,
    /// Miles a year driven on it.
    pub miles_a_year: f64,
    /// 1 for the most urgent, half for priority 2, and so on; 0 where no priority is given.
    pub need: f64,
    /// Chance that the site proves ready.
    pub chance: f64,
    /// The weighted sum times the chance.
    pub worth: f64,
}

/// What a site is worth; `None` where nothing was designed for it. `survey` is its row, where it is still at hand.
pub fn worth(site: &Ranked, survey: Option<&Site>, rules: &Rules) -> Option<Worth> {
    let judgement = &site.judgement;
    let chosen = judgement.chosen.as_ref()?;
    let points = points_served(chosen);
    let premises = judgement.brief.premises.unwrap_or(Premises::House);
    let homes = match premises {
        Premises::House | Premises::Flat => points.min(1),
        Premises::Block => points,
        Premises::Workplace | Premises::Depot => 0,
    };
    let served = f64::from(points) / f64::from(chosen.points.max(1));
    let miles_a_year = survey.map_or(0.0, |survey| miles_a_year(survey, premises, chosen.points, rules)) * served;
    let need = judgement.brief.priority.filter(|priority| *priority >= 1.0).map_or(0.0, |priority| 1.0 / priority);
    // An engineer who says ready has looked.
    let chance = match judgement.brief.override_verdict {
        Some(_) => 1.0,
        None => judgement.odds.map_or(1.0, |odds| odds.ready),
    };
    let own = &rules.programme;
    let whole = own.worth_point * f64::from(points)
        + own.worth_home * f64::from(homes)
        + own.worth_thousand_miles * miles_a_year / 1000.0
        + own.worth_need * need;
    Some(Worth { points, homes, miles_a_year, need, chance, worth: whole * chance })
}

/// Miles that the vehicles of a site drive in a year, as its fleet sheet, its row or the rules say.
fn miles_a_year(survey: &Site, premises: Premises, points: u32, rules: &Rules) -> f64 {
    let own = &rules.programme;
    let works = matches!(premises, Premises::Workplace | Premises::Depot);
    let usual_days = if works { own.workplace_days_a_week } else { own.home_days_a_week };
    let usual_miles = if premises == Premises::Depot { rules.energy.van_daily_miles } else { rules.energy.daily_miles };
    let usual_miles = survey.wanted.daily_miles.value().filter(|miles| *miles >= 0.0).unwrap_or(usual_miles);
    let a_week = if survey.fleet.is_empty() {
        let vehicles = survey.wanted.vehicles.value().filter(|count| *count >= 0.0).unwrap_or(f64::from(points));
        vehicles * usual_miles * usual_days
    } else {
        let of = |group: &crate::site::VehicleGroup| {
            let miles = group.daily_miles_mean.unwrap_or(usual_miles);
            f64::from(group.count) * miles * group.days_a_week.unwrap_or(usual_days)
        };
        survey.fleet.iter().map(of).sum()
    };
    a_week * WEEKS_A_YEAR
}

/// What a site costs a programme: the installation's likely cost, and for a marginal site what the programme pays of
/// the cheapest way out; before tax. `None` without an estimate.
pub fn cost(site: &Ranked) -> Option<Pence> {
    let judgement = &site.judgement;
    let installation = judgement.estimate.as_ref()?.cost.likely;
    let way_out = judgement.remedies.iter().find(|remedy| remedy.kind == RemedyKind::Cheapest);
    let own: Pence = match (judgement.counted_verdict(), way_out) {
        (Verdict::Marginal, Some(remedy)) => {
            remedy.each.iter().filter(|each| each.payer == "programme").map(|each| each.cost).sum()
        }
        _ => Pence(0),
    };
    Some(installation + own)
}

/// Weeks until work can begin, from the date of the run.
pub fn lead_weeks(site: &Ranked, rules: &Rules) -> u16 {
    let judgement = &site.judgement;
    let of = |weeks: crate::finding::Weeks| match rules.programme.lead_weeks {
        Lead::Low => weeks.low,
        Lead::Likely => weeks.likely,
        Lead::High => weeks.high,
    };
    let settled = judgement.weeks.map_or(0, of);
    let way_out = match judgement.counted_verdict() {
        Verdict::Marginal => {
            let cheapest = judgement.remedies.iter().find(|remedy| remedy.kind == RemedyKind::Cheapest);
            cheapest.map_or(0, |remedy| of(remedy.weeks))
        }
        _ => 0,
    };
    settled.max(way_out)
}

/// Crew-days on site by labour rate of the price book, likely.
pub fn crew_days(site: &Ranked) -> impl Iterator<Item = (&'static str, f64)> + '_ {
    site.judgement.estimate.iter().flat_map(|estimate| estimate.crews.iter().map(|crew| (crew.rate, crew.days.likely)))
}
