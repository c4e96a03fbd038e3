//! From a programme file and ranked sites to a plan: which sites are tasks, from when on, by when, with which work, and
//! where they stand. What is worth doing it does not decide.

use super::among::Among;
use super::asked::{Asked, ProgrammeError};
use super::holidays::bank_holidays;
use super::types::{Crew, LeastShare, Period, Place, Plan, Task, Work};
use super::worth::{Worth, cost, crew_days, lead_weeks, worth};
use crate::estimate::PriceBook;
use crate::portfolio::Ranked;
use crate::quantity::Pence;
use crate::rules::Rules;
use crate::site::{Site, Verdict};
use jiff::ToSpan;
use jiff::civil::Date;
use std::collections::{BTreeMap, BTreeSet};

/// Names told of those that do not exist.
const TOLD: usize = 10;

/// Crews of one kind, and the labour rates whose work they do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Trade {
    /// Codes in the price book.
    pub rates: Vec<String>,
}

/// Why a site is no task at all.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Beyond {
    /// The programme file says that it must not be done.
    MustNot,
    /// It counts as blocked.
    Blocked,
    /// It counts as marginal, and the rules leave such sites out.
    Marginal,
    /// Nothing was designed and priced for it.
    NotPriced,
}

/// A plan, and which site each of its tasks is.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Planned {
    /// What the programme is made from.
    pub plan: Plan,
    /// Place in the ranking of each task.
    pub sites: Vec<usize>,
    /// What each task is worth, part by part.
    pub worths: Vec<Worth>,
    /// The last day of each task and why, where the programme file sets one.
    pub last_days: Vec<Option<(Date, String)>>,
    /// Kinds of crew, by number.
    pub trades: Vec<Trade>,
    /// What each least share is of, in words.
    pub shares: Vec<String>,
    /// Sites that are no task, by their place in the ranking.
    pub beyond: Vec<(usize, Beyond)>,
}

/// What a plan is made with, beside the programme file and the sites.
#[derive(Clone, Copy)]
pub struct With<'a> {
    /// The policy.
    pub rules: &'a Rules,
    /// Names the labour rates.
    pub prices: &'a PriceBook,
    /// Date of the run.
    pub as_of: Date,
}

/// The plan of a programme file for ranked sites. `survey` gives the row of a site, for the miles that it serves.
///
/// # Errors
/// When it names a site or a labour rate that does not exist, or the calendar ends before its last period.
pub fn planned<'a>(
    asked: &Asked,
    sites: &[Ranked],
    survey: &dyn Fn(&Ranked) -> Option<&'a Site>,
    with: With<'_>,
) -> Result<Planned, ProgrammeError> {
    let refused = |why: String| ProgrammeError { file: asked.file.clone(), why };
    let by_id: BTreeMap<&str, usize> = sites.iter().enumerate().rev().map(|(at, site)| (id(site), at)).collect();
    let must = named(&asked.must, "must", &by_id).map_err(refused)?;
    let must_not = named(&asked.must_not, "must_not", &by_id).map_err(refused)?;
    let periods = periods(asked, asked.begins.unwrap_or(with.as_of)).map_err(refused)?;
    let (first, last) = ends(&periods);
    let (mut trades, crews) = crews(asked, (first, last), with.prices).map_err(refused)?;
    let mut found =
        Planned { shares: asked.least.iter().map(|share| share.among.words()).collect(), ..Planned::default() };
    let mut places = Places::default();
    for (at, site) in sites.iter().enumerate() {
        let verdict = site.judgement.counted_verdict();
        let beyond = match () {
            () if must_not.contains(&at) => Some(Beyond::MustNot),
            () if verdict == Verdict::Blocked => Some(Beyond::Blocked),
            () if verdict == Verdict::Marginal && !with.rules.programme.marginal_sites => Some(Beyond::Marginal),
            () => None,
        };
        let priced = || Some((worth(site, survey(site), with.rules)?, cost(site)?));
        let (beyond, priced) = match beyond {
            Some(beyond) => (Some(beyond), None),
            None => (Some(Beyond::NotPriced), priced()),
        };
        let Some((worth, cost)) = priced else {
            found.beyond.extend(beyond.map(|beyond| (at, beyond)));
            continue;
        };
        let weeks = i32::from(lead_weeks(site, with.rules));
        let settled = with.as_of.checked_add(weeks.weeks()).unwrap_or(Date::MAX);
        let brief = &site.judgement.brief;
        let last_day = asked.finish_by.iter().filter(|own| own.among.holds(&brief.lot, &brief.postcode));
        let last_day = last_day.min_by_key(|own| own.date).map(|own| (own.date, own.why.clone()));
        found.plan.tasks.push(Task {
            worth: worth.worth,
            cost,
            points: worth.points,
            work: work(site, &mut trades),
            not_before: settled.max(first),
            finish_by: last_day.as_ref().map(|(day, _)| *day),
            place: places.of(site),
            must: must.contains(&at),
        });
        found.sites.push(at);
        found.worths.push(worth);
        found.last_days.push(last_day);
    }
    let least = asked.least.iter().map(|share| LeastShare {
        name: share.among.words(),
        share: share.percent / 100.0,
        tasks: tasks_among(&share.among, &found.sites, sites),
    });
    let least: Vec<LeastShare> = least.collect();
    // A share of nothing is reached by doing nothing at all: nobody wants that programme.
    let possible = |number: &usize| {
        let task = found.plan.tasks.get(*number);
        task.is_some_and(|task| {
            let crewed = |work: &Work| crews.iter().any(|crew| crew.trade == work.trade);
            let in_time = task.not_before <= last && task.finish_by.is_none_or(|day| day >= first);
            task.points > 0 && in_time && task.work.iter().all(crewed)
        })
    };
    if let Some(empty) = least.iter().find(|share| share.share > 0.0 && !share.tasks.iter().any(possible)) {
        return Err(refused(format!(
            "no site of {} can be done by these crews in these periods, and it is to give {} % of the points: change the \
             share, the periods or the crews.",
            empty.name,
            empty.share * 100.0
        )));
    }
    found.plan = Plan {
        places: places.all,
        unspent: asked.unspent,
        crews,
        closed: closed(asked, first, last),
        usable_share: with.rules.programme.usable_percent / 100.0,
        later_share: 1.0 - with.rules.programme.later_percent / 100.0,
        least,
        periods,
        tasks: found.plan.tasks,
    };
    found.trades = trades;
    Ok(found)
}

fn id(site: &Ranked) -> &str {
    site.judgement.brief.site_id.as_str()
}

/// Places in the ranking of sites that the file names.
fn named(names: &[String], key: &str, by_id: &BTreeMap<&str, usize>) -> Result<BTreeSet<usize>, String> {
    let mut missing = Vec::new();
    let mut found = BTreeSet::new();
    for name in names {
        match by_id.get(name.trim()) {
            Some(at) => {
                found.insert(*at);
            }
            None => missing.push(format!("{name:?}")),
        }
    }
    if missing.is_empty() {
        return Ok(found);
    }
    let more = missing.len().saturating_sub(TOLD);
    missing.truncate(TOLD);
    let more = if more > 0 { format!(" and {more} more") } else { String::new() };
    Err(format!(
        "{key} names sites that were not judged: {}{more}. Each is to be a site_id as the sheet Ranking has it.",
        missing.join(", ")
    ))
}

/// The periods, one after the other.
fn periods(asked: &Asked, begins: Date) -> Result<Vec<Period>, String> {
    let ends_beyond = |_| format!("begins = {begins}: the last period ends beyond the calendar.");
    let months = i32::from(asked.period_months);
    let mut periods = Vec::new();
    for (number, budget_gbp) in (0..).zip(&asked.budgets_gbp) {
        // Counted from the first day, so that periods from the 31st do not wander.
        let from = begins.checked_add((months * number).months()).map_err(ends_beyond)?;
        let next = begins.checked_add((months * (number + 1)).months()).map_err(ends_beyond)?;
        let to = next.yesterday().map_err(ends_beyond)?;
        periods.push(Period { from, to, budget: Pence::from_pounds(*budget_gbp) });
    }
    Ok(periods)
}

/// First and last day of the periods; a file that was read has at least one.
fn ends(periods: &[Period]) -> (Date, Date) {
    let first = periods.first().map_or(Date::MIN, |period| period.from);
    (first, periods.last().map_or(first, |period| period.to))
}

/// Kinds of crew in the order of the file, and the crews.
fn crews(asked: &Asked, (first, last): (Date, Date), prices: &PriceBook) -> Result<(Vec<Trade>, Vec<Crew>), String> {
    let mut trades: Vec<Trade> = Vec::new();
    let mut crews = Vec::new();
    for crew in &asked.crews {
        let known = |rate: &str| prices.crew_rates().any(|(code, _)| code == rate);
        if let Some(unknown) = crew.does.iter().find(|rate| !known(rate)) {
            let known: Vec<&str> = prices.crew_rates().map(|(code, _)| code).collect();
            return Err(format!(
                "crew {:?} does {unknown:?}, which is no labour rate of a crew in the price book. There are: {}.",
                crew.name,
                known.join(", ")
            ));
        }
        let trade = trades.iter().position(|trade| trade.rates == crew.does).unwrap_or_else(|| {
            trades.push(Trade { rates: crew.does.clone() });
            trades.len() - 1
        });
        let (from, to) = (crew.from.unwrap_or(first).max(first), crew.to.unwrap_or(last).min(last));
        crews.push(Crew { name: crew.name.clone(), trade, from, to });
    }
    Ok((trades, crews))
}

/// The work of a site: one entry a trade, in the order in which the trades stand in the file. Work that no crew of the
/// file does becomes a trade without a crew.
fn work(site: &Ranked, trades: &mut Vec<Trade>) -> Vec<Work> {
    let mut days: BTreeMap<usize, f64> = BTreeMap::new();
    for (rate, own) in crew_days(site).filter(|(_, days)| *days > 0.0) {
        let trade =
            trades.iter().position(|trade| trade.rates.iter().any(|known| known == rate)).unwrap_or_else(|| {
                trades.push(Trade { rates: vec![rate.to_owned()] });
                trades.len() - 1
            });
        *days.entry(trade).or_default() += own;
    }
    let quarters = |days: f64| ((4.0 * days - 1e-9).ceil() as u32).max(1);
    days.into_iter().map(|(trade, days)| Work { trade, quarters: quarters(days) }).collect()
}

fn tasks_among(among: &Among, tasks: &[usize], sites: &[Ranked]) -> Vec<usize> {
    let holds = |at: &usize| {
        sites.get(*at).is_some_and(|site| among.holds(&site.judgement.brief.lot, &site.judgement.brief.postcode))
    };
    tasks.iter().enumerate().filter(|(_, at)| holds(at)).map(|(task, _)| task).collect()
}

/// Days that are not worked, Saturdays and Sundays aside.
fn closed(asked: &Asked, first: Date, last: Date) -> Vec<Date> {
    let holidays = asked
        .bank_holidays
        .into_iter()
        .flat_map(|nation| (first.year()..=last.year()).flat_map(move |year| bank_holidays(nation, year)));
    let days: BTreeSet<Date> = holidays.chain(asked.closed.iter().copied()).collect();
    days.into_iter().filter(|day| (first..=last).contains(day)).collect()
}

/// Sites that stand together: of one postcode sector, else of one lot.
#[derive(Default)]
struct Places {
    all: Vec<Place>,
    /// Number, sites with coordinates and the sums of these, by name.
    by_name: BTreeMap<String, (usize, f64, f64, f64)>,
}

impl Places {
    fn of(&mut self, site: &Ranked) -> usize {
        let brief = &site.judgement.brief;
        let name = sector(&brief.postcode).unwrap_or_else(|| match brief.lot.as_str() {
            "" => "no postcode".to_owned(),
            lot => format!("lot {lot}"),
        });
        let next = self.all.len();
        let own = self.by_name.entry(name.clone()).or_insert((next, 0.0, 0.0, 0.0));
        if own.0 == next {
            self.all.push(Place { name, spot: None });
        }
        if let Some((latitude, longitude)) = brief.latitude.zip(brief.longitude) {
            own.1 += 1.0;
            own.2 += latitude;
            own.3 += longitude;
            if let Some(place) = self.all.get_mut(own.0) {
                place.spot = Some((own.2 / own.1, own.3 / own.1));
            }
        }
        own.0
    }
}

/// The sector of a postcode: all but its last two letters.
fn sector(postcode: &str) -> Option<String> {
    let (outward, inward) = postcode.trim().split_once(' ')?;
    let digit = inward.chars().next().filter(char::is_ascii_digit)?;
    Some(format!("{outward} {digit}"))
}
