//! Which answers to chase: what each asking would settle over the portfolio, alone and after those already asked, what
//! it costs, and the questions of each site in the order in which they are best put there.
//!
//! A site counts as settled when one verdict has a share of its odds that the rules name, or an engineer has decided.
//! An answer is taken to be right and whole; what homes of one street share is left to `streets`.

mod site;
mod table;
#[cfg(test)]
mod tests;

pub use table::{AskedField, Asking, askings};

use super::Ranked;
use crate::estimate::PriceBook;
use crate::quantity::Pence;
use crate::rules::Rules;
use site::{Unsettled, is_settled, with};

/// What the portfolio lacks.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Gaps {
    /// Share of its odds that one verdict must have for a site to count as settled.
    pub settled_share: f64,
    /// Sites that have odds.
    pub sites: u32,
    /// Of them, those that are settled as it is.
    pub settled: u32,
    /// What can be asked, in the order of value.
    pub asks: Vec<AskSum>,
    /// The sites that are not settled and have a question, in the order of the ranking.
    pub of_sites: Vec<SiteQuestions>,
}

/// One asking over the portfolio.
#[derive(Clone, Debug, PartialEq)]
pub struct AskSum {
    /// What is asked.
    pub asking: &'static Asking,
    /// Survey fields that it answers and on which a verdict turns somewhere, in the order of the table.
    pub fields: Vec<&'static str>,
    /// Sites, not settled, where the verdict turns on what it answers.
    pub sites: u32,
    /// Sites that it would be expected to settle by itself.
    pub alone: f64,
    /// Sites that it would be expected to settle once everything above it is answered.
    pub after: f64,
    /// Likely cost of asking at one site, before tax.
    pub cost_each: Pence,
    /// The same for all those sites.
    pub cost: Pence,
}

/// The questions of one site.
#[derive(Clone, Debug, PartialEq)]
pub struct SiteQuestions {
    /// Its place among the ranked sites.
    pub at: usize,
    /// In the order in which they are best put.
    pub questions: Vec<SiteQuestion>,
}

/// One asking at one site.
#[derive(Clone, Debug, PartialEq)]
pub struct SiteQuestion {
    /// What is asked.
    pub asking: &'static Asking,
    /// Survey fields that it answers and on which the verdict turns here.
    pub fields: Vec<&'static str>,
    /// In plain words.
    pub question: std::borrow::Cow<'static, str>,
    /// Chance that it settles the site by itself.
    pub alone: f64,
    /// Chance that the site is settled once it and those before it are answered.
    pub settled: f64,
}

impl Gaps {
    /// Sites expected to be settled once everything in the list is answered.
    pub fn settled_in_the_end(&self) -> f64 {
        f64::from(self.settled) + self.asks.iter().map(|ask| ask.after).sum::<f64>()
    }
}

/// What is worth asking at ranked sites; `None` where no site has odds.
pub fn gaps(sites: &[Ranked], rules: &Rules, prices: &PriceBook) -> Option<Gaps> {
    let share = rules.survey.settled_share;
    let known: Vec<bool> = sites.iter().filter_map(|site| is_settled(site, share)).collect();
    if known.is_empty() {
        return None;
    }
    let places = sites.iter().enumerate();
    let open: Vec<Unsettled<'_>> = places.filter_map(|(at, site)| Unsettled::of(at, site, share)).collect();
    let costs: Vec<Pence> = askings().iter().map(|asking| cost_of(asking, prices)).collect();
    let count = |sites: usize| u32::try_from(sites).unwrap_or(u32::MAX);
    Some(Gaps {
        settled_share: share,
        sites: count(known.len()),
        settled: count(known.iter().filter(|settled| **settled).count()),
        asks: in_order(&open, &costs),
        of_sites: open.iter().filter_map(|site| questions(site, &costs, rules.survey.least_gain)).collect(),
    })
}

/// Likely cost of an asking at one site, labour included.
fn cost_of(asking: &Asking, prices: &PriceBook) -> Pence {
    let item = prices.by_code(asking.item);
    let pounds = item.map_or(0.0, |item| prices.figures_of(item).map(|(_, figure)| figure.likely).product());
    Pence::from_pounds(pounds)
}

fn questions(site: &Unsettled<'_>, costs: &[Pence], least: f64) -> Option<SiteQuestions> {
    let pounds: Vec<f64> = costs.iter().map(|cost| cost.pounds()).collect();
    let order = site.in_order(&pounds, least).into_iter();
    let questions: Vec<SiteQuestion> = order
        .filter_map(|(ask, alone, settled)| {
            let asking = askings().get(ask)?;
            let (fields, question) = (site.fields(ask).to_vec(), site.question(ask, asking));
            Some(SiteQuestion { asking, fields, question, alone, settled })
        })
        .collect();
    (!questions.is_empty()).then_some(SiteQuestions { at: site.at, questions })
}

/// One asking while the list is made: at each of its sites what it would settle, and move, after those above.
struct Candidate {
    ask: usize,
    alone: f64,
    /// By open site, in their order; zeros where it is not asked.
    gains: Vec<(f64, f64)>,
    sites: u32,
    cost: Pence,
}

impl Candidate {
    fn settles(&self) -> f64 {
        self.gains.iter().map(|(settles, _)| settles).sum()
    }

    fn moves(&self) -> f64 {
        self.gains.iter().map(|(_, moves)| moves).sum()
    }
}

/// The askings in the order of value: the one first that settles most a pound; once none settles anything, the one that
/// moves the odds most a pound; of equals in the order of the table.
fn in_order(open: &[Unsettled<'_>], costs: &[Pence]) -> Vec<AskSum> {
    const NOTHING: f64 = 1e-6;
    let mut asked: Vec<usize> = Vec::new();
    let mut now: Vec<site::Settling> = open.iter().map(|site| site.after(&[])).collect();
    let gain = |site: &Unsettled<'_>, now: &site::Settling, asked: &[usize], ask: usize| {
        // Where every way is settled nobody asks on.
        if !site.asks(ask) || now.settled >= 1.0 - 1e-12 {
            return (0.0, 0.0);
        }
        let then = site.after(&with(asked, ask));
        (then.settled - now.settled, then.leading - now.leading)
    };
    let mut waiting: Vec<Candidate> = Vec::new();
    for (ask, cost) in costs.iter().enumerate() {
        let sites = open.iter().filter(|site| site.asks(ask)).count() as u32;
        let gains: Vec<(f64, f64)> = open.iter().zip(&now).map(|(site, now)| gain(site, now, &[], ask)).collect();
        let alone = gains.iter().map(|(settles, _)| settles).sum();
        if sites > 0 {
            waiting.push(Candidate { ask, alone, gains, sites, cost: Pence(cost.0 * i64::from(sites)) });
        }
    }
    let mut sums = Vec::with_capacity(waiting.len());
    while !waiting.is_empty() {
        let worth = |candidate: &Candidate| {
            let pounds = candidate.cost.pounds().max(0.01);
            let settles = candidate.settles();
            let settling = settles > NOTHING;
            (settling, if settling { settles } else { candidate.moves() } / pounds)
        };
        let mut best = (0, (false, f64::NEG_INFINITY));
        for (place, candidate) in waiting.iter().enumerate() {
            let found = worth(candidate);
            if (found.0 && !best.1.0) || (found.0 == best.1.0 && found.1 > best.1.1 + 1e-12) {
                best = (place, found);
            }
        }
        let chosen = waiting.remove(best.0);
        let Some(asking) = askings().get(chosen.ask) else { continue };
        let here = |field: &str| open.iter().any(|site| site.fields(chosen.ask).contains(&field));
        sums.push(AskSum {
            asking,
            fields: asking.fields.iter().map(|asked| asked.field).filter(|field| here(field)).collect(),
            sites: chosen.sites,
            alone: chosen.alone,
            after: chosen.settles().max(0.0),
            cost_each: costs.get(chosen.ask).copied().unwrap_or_default(),
            cost: chosen.cost,
        });
        asked.push(chosen.ask);
        for (at, (site, now)) in open.iter().zip(now.iter_mut()).enumerate() {
            if !site.asks(chosen.ask) {
                continue;
            }
            *now = site.after(&asked);
            for candidate in &mut waiting {
                if let Some(slot) = candidate.gains.get_mut(at) {
                    *slot = gain(site, now, &asked, candidate.ask);
                }
            }
        }
    }
    sums
}
