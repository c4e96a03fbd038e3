//! Which network operator must hear of which sites, by which rule of the operators' common process, with what on the row
//! and by when: a table for each operator.
//!
//! It states what the survey states and what was judged, and lists what a complete row lacks; it invents nothing. It
//! judges no site, and no route here is laxer than that of the judgement. It knows no file and no sheet.

mod dates;
mod lacks;
mod route;
#[cfg(test)]
mod rules_tests;
mod supply;
#[cfg(test)]
mod tests;
mod types;
mod who;

pub use types::{
    Already, Dates, Device, Entry, KnownBy, Limitation, Operator, Route, Schedules, SupplyRow, Table, Who,
};

use crate::design::{Control, Facts, facts};
use crate::finding::{Effect, Route as JudgedRoute};
use crate::portfolio::{Cluster, Portfolio, Ranked};
use crate::rules::Rules;
use crate::site::{Site, SurveyMethod, Verdict, by_row};
use crate::verdict::Judgement;
use jiff::civil::Date;
use std::collections::BTreeMap;

/// What every row is made with.
struct Made<'a> {
    rules: &'a Rules,
    as_of: Date,
    planned: &'a dyn Fn(usize) -> Option<Date>,
    /// The cluster of which the operator wants to know early, by its place, for each of its sites.
    early: BTreeMap<usize, usize>,
    /// Sites by supply number, in rank order.
    by_number: BTreeMap<&'a str, Vec<&'a str>>,
}

/// The schedules for the operators of every site that gets charging, and of those whose way out is the operator's.
/// `planned` gives the day on which a programme installs a site, by its place in the ranking.
pub fn schedules(
    portfolio: &Portfolio,
    sites: &[Site],
    rules: &Rules,
    as_of: Date,
    planned: &dyn Fn(usize) -> Option<Date>,
) -> Schedules {
    let surveys = by_row(sites);
    let survey = |ranked: &Ranked| surveys.get(&(ranked.judgement.brief.sheet, ranked.judgement.brief.row)).copied();
    let told: Vec<(usize, &Ranked, &Site)> = (portfolio.sites.iter().enumerate())
        .filter(|(_, ranked)| is_told(&ranked.judgement))
        .filter_map(|(place, ranked)| Some((place, ranked, survey(ranked)?)))
        .collect();
    let mut by_number: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
    for (_, _, site) in &told {
        if let Some(number) = site.supply.mpan.likely() {
            by_number.entry(number).or_default().push(&site.site_id);
        }
    }
    let made = Made { rules, as_of, planned, early: early(&portfolio.clusters), by_number };
    let mut tables: BTreeMap<Operator, Vec<Entry>> = BTreeMap::new();
    for (place, ranked, site) in told {
        let entry = made.entry(place, ranked, site);
        tables.entry(entry.who.operator).or_default().push(entry);
    }
    let tables = tables.into_iter().map(|(operator, entries)| table(operator, entries)).collect();
    Schedules::new(tables, portfolio.sites.len())
}

/// Whether the operator must hear of a site: it gets charging, or nothing but the operator can unblock it.
fn is_told(judgement: &Judgement) -> bool {
    let designed = judgement.chosen.as_ref().is_some_and(|chosen| !chosen.runs.is_empty());
    match judgement.counted_verdict() {
        Verdict::Ready => true,
        Verdict::Marginal => designed || judgement.operator_route == JudgedRoute::Apply,
        Verdict::Blocked => {
            let mut stops = judgement.findings.iter().filter(|finding| finding.effect == Effect::Stops).peekable();
            stops.peek().is_some()
                && stops.all(|stop| stop.reason.is_some_and(|reason| reason.route == JudgedRoute::Apply))
        }
    }
}

/// For each site of a cluster that is to be told early: which cluster.
fn early(clusters: &[Cluster]) -> BTreeMap<usize, usize> {
    let due = clusters.iter().enumerate().filter(|(_, cluster)| cluster.early.due());
    due.flat_map(|(at, cluster)| cluster.sites.iter().map(move |place| (*place, at))).collect()
}

/// The rows of one operator: clusters that want an early word first, then what is applied for, then by rank. Several
/// rows are one schedule (R11).
fn table(operator: Operator, mut entries: Vec<Entry>) -> Table {
    let mut first: BTreeMap<usize, usize> = BTreeMap::new();
    for entry in &entries {
        if let Some(cluster) = entry.cluster {
            let place = first.entry(cluster).or_insert(entry.place);
            *place = entry.place.min(*place);
        }
    }
    let cluster = |entry: &Entry| entry.cluster.and_then(|cluster| first.get(&cluster).copied()).unwrap_or(usize::MAX);
    entries.sort_by_key(|entry| (cluster(entry), std::cmp::Reverse(entry.route), entry.place));
    if entries.len() > 1 {
        entries.iter_mut().for_each(|entry| route::add(&mut entry.rules, "R11"));
    }
    Table { operator, entries }
}

impl Made<'_> {
    fn entry(&self, place: usize, ranked: &Ranked, site: &Site) -> Entry {
        let judgement = &ranked.judgement;
        let (facts, _) = facts(site, self.rules);
        let who = who::who(site);
        let cluster = self.early.get(&place).copied();
        let device = device(judgement, self.rules);
        let supply = supply::supply_row(site, &facts, judgement);
        let told = route::told(&route::Known {
            ranked,
            site,
            facts: &facts,
            supply: &supply,
            who: &who,
            rules: self.rules,
            in_early_cluster: cluster.is_some(),
        });
        let asked = dates::asked(site, &facts, &told);
        let planned = (self.planned)(place);
        let dates = dates::dates(self.as_of, planned, judgement, &told, asked, self.rules);
        let of_number = site.supply.mpan.likely().and_then(|number| self.by_number.get(number.as_str()));
        let missing = lacks::lacks(&lacks::Row {
            site,
            facts: &facts,
            supply: &supply,
            device: device.as_ref(),
            who: &who,
            of_number: of_number.map(Vec::as_slice).unwrap_or_default(),
            dates: &dates,
            judgement,
        });
        Entry {
            place,
            who,
            route: told.route,
            engage_early: told.engage_early,
            rules: told.rules,
            cluster,
            supply,
            device,
            already: already(site),
            photographs: site.identity.survey_method.is(SurveyMethod::Photo).then_some(true),
            dates,
            missing,
        }
    }
}

/// The charge points of a design; `None` where there is none.
fn device(judgement: &Judgement, rules: &Rules) -> Option<Device> {
    let chosen = judgement.chosen.as_ref().filter(|chosen| !chosen.runs.is_empty())?;
    let point = rules.charge_point(chosen.phases)?;
    let (limitation, setpoint_a) = match chosen.control {
        Control::None => (Limitation::None, None),
        Control::Local { setpoint_a } => (Limitation::Local, Some(setpoint_a)),
        Control::Group { setpoint_a: Some(setpoint_a), .. } => (Limitation::GroupFollowing, Some(setpoint_a)),
        Control::Group { limit_a, setpoint_a: None } => (Limitation::GroupFixed, Some(limit_a)),
    };
    Some(Device {
        name: point.name.clone(),
        exports: point.exports,
        declared: point.declared_harmonics,
        quantity: chosen.points,
        current_a: chosen.setting_a,
        phases: chosen.phases,
        limitation,
        setpoint_a,
    })
}

/// What is stated of charging, heating and generation that is there.
fn already(site: &Site) -> Already {
    Already {
        charge_points: site.load.existing_charge_points.value(),
        heat_pump_kw: site.load.heat_pump_kw.value(),
        solar_kw: site.load.solar_kw.value(),
        battery_kw: site.load.battery_kw.value(),
    }
}

/// Whether the operator's test for homes is asked phase by phase.
fn is_three_phase_home(facts: &Facts) -> bool {
    facts.premises.is_home() && facts.supply_phases == 3
}
