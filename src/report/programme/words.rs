//! What a programme is told in: why a site is left out, what one more of something adds, what was missed, and the line
//! on the terminal.

use super::super::Run;
use super::super::figures::{count, date, plain, pounds, short, thousands};
use crate::programme::{Beyond, Gain, More, Programme, Why, spent};
use crate::quantity::Pence;

/// Who does the work of a trade, in the words of the price book.
pub(super) fn trade_words(run: &Run<'_>, programme: &Programme, trade: usize) -> String {
    let Some(trade) = programme.planned.trades.get(trade) else { return String::new() };
    let rates = trade.rates.iter().map(|rate| {
        let note = run.prices.iter().find(|note| note.item == *rate);
        // The words after the comma say what the rate includes.
        note.map_or(rate.as_str(), |note| note.description.split(',').next().unwrap_or(rate)).to_owned()
    });
    rates.collect::<Vec<_>>().join(" or ")
}

/// Why a task is not done, in a few words.
pub(super) fn why_words(run: &Run<'_>, programme: &Programme, why: Why) -> String {
    match why {
        Why::TooLate => "it cannot be finished in time".to_owned(),
        Why::NoCrew { trade } => format!("no crew for it: {}", trade_words(run, programme, trade)),
        Why::TooDear => "it costs more than a period may spend".to_owned(),
        Why::WorthLess => "money and crews are worth more elsewhere".to_owned(),
        Why::NoRoom => "chosen, but no crew has room for it on the calendar".to_owned(),
    }
}

/// Why a site is no task at all, in a few words.
pub(super) fn beyond_words(beyond: Beyond) -> &'static str {
    match beyond {
        Beyond::MustNot => "the programme file leaves it out",
        Beyond::Blocked => "blocked: its way out comes first",
        Beyond::Marginal => "marginal, and the rules leave such sites out",
        Beyond::NotPriced => "nothing was designed and priced for it",
    }
}

/// What there is more of.
pub(super) fn more_words(run: &Run<'_>, programme: &Programme, more: &More) -> String {
    match more {
        More::Crew { trade } => format!("One more crew: {}", trade_words(run, programme, *trade)),
        More::Money(money) => format!("{} more to spend", pounds(*money)),
    }
}

/// What it adds: "12 sites, 15 points for £14,200", or that it adds nothing.
pub(super) fn gain_words(gain: &Gain) -> String {
    if gain.worth <= 1e-6 {
        return "nothing: it is not what the programme is short of".to_owned();
    }
    if gain.sites == 0 && gain.points == 0 {
        return format!("no further site; sites come earlier, or better ones (worth {} more)", plain(gain.worth, 1));
    }
    let signed = |number: i64, thing: &str| {
        let all = count(usize::try_from(number.unsigned_abs()).unwrap_or(usize::MAX), thing);
        if number < 0 { format!("{all} fewer") } else { all }
    };
    let money = if gain.cost.0 < 0 { format!("{} less", pounds(Pence(-gain.cost.0))) } else { pounds(gain.cost) };
    let sites = if gain.sites == 0 { "no further site".to_owned() } else { signed(gain.sites, "site") };
    format!("{sites}, {} for {money}", signed(gain.points, "point"))
}

/// How near it comes to the most that can be proven: one sentence.
pub(super) fn gap_words(programme: &Programme) -> String {
    let (worth, bound) = (programme.laid.worth, programme.laid.bound.max(programme.laid.worth));
    let gap = if bound > 0.0 { (bound - worth) / bound } else { 0.0 };
    let gap =
        if gap < 5e-5 { "nothing better is possible".to_owned() } else { format!("{} % below", plain(gap * 100.0, 2)) };
    format!(
        "Worth {} by the rules' weights; no programme within these budgets, crew-days and dates can be worth more than {}: \
         {gap}.",
        plain(worth, 1),
        plain(bound, 1)
    )
}

/// Points of the tasks done, and what they cost.
pub(super) fn totals(programme: &Programme) -> (u32, Pence) {
    let periods = spent(&programme.planned.plan, &programme.laid);
    (periods.iter().map(|period| period.points).sum(), periods.iter().map(|period| period.cost).sum())
}

/// The line on the terminal.
pub(in crate::report) fn line(run: &Run<'_>) -> String {
    let Some(programme) = run.programme else { return String::new() };
    let done = &programme.laid.done;
    let (points, cost) = totals(programme);
    let end = done.iter().map(|done| done.finish).max();
    let by = end.map(|end| format!(" by {}", date(end))).unwrap_or_default();
    let missed = match programme.laid.musts_missed.len() {
        0 => String::new(),
        missed => {
            format!("; {} that must be done {} not", count(missed, "site"), if missed == 1 { "is" } else { "are" })
        }
    };
    format!(
        "Programme: {} of {}, {} for {}{by}{missed}\n",
        thousands(done.len() as u64),
        count(run.portfolio.sites.len(), "site"),
        count(points as usize, "point"),
        short(cost),
    )
}
