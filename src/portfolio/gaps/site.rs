//! What answers would settle at one site: alone, after others, and in which order they are best asked there. It knows
//! no other site, so that no other row changes anything here.

use super::table::{Asking, askings};
use crate::portfolio::Ranked;
use crate::verdict::{Answers, Ways};
use std::borrow::Cow;

/// Ways that are kept apart; where answers leave more, some are drawn to stand for all.
const MOST_WAYS: usize = 512;
const DRAWN_WAYS: usize = 64;
/// Chances closer than this are one.
const HAIR: f64 = 1e-9;

/// A site that is not settled, with what can be asked there.
pub(super) struct Unsettled<'a> {
    /// Place among the ranked sites.
    pub(super) at: usize,
    /// Whether it is a home.
    pub(super) home: bool,
    answers: Answers<'a>,
    all: Ways,
    share: f64,
    /// Where draws begin: by its own name alone.
    draws: u64,
    /// By asking, in the order of the table: places of its open facts; empty where it would change nothing.
    places: Vec<Vec<usize>>,
    /// By asking: the fields on which the verdict turns.
    fields: Vec<Vec<&'static str>>,
}

/// How far answers settle a site.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Settling {
    /// Chance that one verdict has the share that counts as settled.
    pub(super) settled: f64,
    /// Expected share of the leading verdict.
    pub(super) leading: f64,
}

/// Whether a site is settled: by an engineer, or because one verdict has at least `share` of its odds. `None` where
/// there are no odds.
pub(super) fn is_settled(site: &Ranked, share: f64) -> Option<bool> {
    let odds = site.judgement.odds?;
    let leading = odds.ready.max(odds.marginal).max(odds.blocked);
    Some(site.judgement.brief.override_verdict.is_some() || leading >= share - HAIR)
}

impl<'a> Unsettled<'a> {
    /// The site at this place; `None` where it is settled or has no outlook.
    pub(super) fn of(at: usize, site: &'a Ranked, share: f64) -> Option<Self> {
        let outlook = site.judgement.outlook.as_ref().filter(|_| is_settled(site, share) == Some(false))?;
        let brief = &site.judgement.brief;
        let home = brief.premises.is_none_or(|premises| premises.is_home());
        let answers = Answers::of(outlook);
        let facts = outlook.open_facts();
        let year = (facts.len(), "year_built");
        let open: Vec<(usize, &'static str)> =
            facts.iter().enumerate().map(|(place, fact)| (place, fact.field)).chain([year]).collect();
        let (mut places, mut fields) = (Vec::new(), Vec::new());
        for asking in askings() {
            let asked = |field: &str| asking.fields.iter().any(|asked| asked.field == field && asked.is_asked(home));
            let here: Vec<_> = open.iter().filter(|(_, field)| asked(field)).collect();
            let bears = |field: &str| here.iter().any(|(place, of)| *of == field && answers.bears(*place));
            let of_ask: Vec<&'static str> =
                asking.fields.iter().map(|asked| asked.field).filter(|field| bears(field)).collect();
            // What decides nothing here is not asked for its own sake, but tells the age where it is answered too.
            let tells = here.iter().filter(|(place, _)| answers.tells(*place) && !of_ask.is_empty());
            places.push(tells.map(|(place, _)| *place).collect());
            fields.push(of_ask);
        }
        let all = answers.all();
        Some(Self { at, home, answers, all, share, draws: name_of_draws(&brief.site_id), places, fields })
    }

    /// The fields that an asking answers here and on which the verdict turns.
    pub(super) fn fields(&self, ask: usize) -> &[&'static str] {
        self.fields.get(ask).map_or(&[], Vec::as_slice)
    }

    /// Whether the verdict turns on what an asking answers.
    pub(super) fn asks(&self, ask: usize) -> bool {
        !self.fields(ask).is_empty()
    }

    /// How far these askings settle it, one after the other: where an answer settles it nobody asks on, and what comes
    /// in one answer is heard together.
    pub(super) fn after(&self, asked: &[usize]) -> Settling {
        let asked: Vec<&[usize]> = asked.iter().filter_map(|ask| Some(self.places.get(*ask)?.as_slice())).collect();
        let mut left = vec![self.answers.told_apart_by(&self.all, &asked.concat())];
        let mut settling = Settling::default();
        for places in asked.into_iter().filter(|places| !places.is_empty()) {
            for place in places {
                // Ways of one verdict stay so whatever else is answered.
                let (one_verdict, open): (Vec<Ways>, Vec<Ways>) =
                    left.into_iter().partition(|ways| ways.leading() >= ways.chance() - HAIR * HAIR);
                settling.hear(&one_verdict);
                left = open.iter().flat_map(|ways| self.answers.asked(ways, *place)).collect();
                if left.len() > MOST_WAYS {
                    left = drawn(&left, self.draws);
                }
            }
            let (settled, open): (Vec<Ways>, Vec<Ways>) =
                left.into_iter().partition(|ways| ways.leading() >= (self.share - HAIR) * ways.chance());
            settling.hear(&settled);
            left = open;
        }
        settling.leading += left.iter().map(Ways::leading).sum::<f64>();
        settling
    }

    /// The order in which questions are best put here, by what each costs (pounds, by asking): the one first that
    /// settles most a pound, or where none settles the site with a chance of `least`, the one that moves its odds most
    /// a pound; with how far the site is settled alone by each, and by all up to it.
    pub(super) fn in_order(&self, costs: &[f64], least: f64) -> Vec<(usize, f64, f64)> {
        let mut asked: Vec<usize> = Vec::new();
        let mut order = Vec::new();
        let mut now = self.after(&[]);
        // What is left unsettled bounds what any answer can still settle or move.
        while now.settled <= 1.0 - least {
            let mut best: Option<(bool, f64, usize, Settling)> = None;
            for (ask, cost) in costs.iter().enumerate().filter(|(ask, _)| self.asks(*ask) && !asked.contains(ask)) {
                let then = self.after(&with(&asked, ask));
                let (settles, moves) = (then.settled - now.settled, then.leading - now.leading);
                let worth = if settles >= least { settles } else { moves } / cost.max(0.01);
                let found = (settles >= least, worth, ask, then);
                let beats = best.as_ref().is_none_or(|(settles, most, ..)| {
                    (found.0 && !settles) || (found.0 == *settles && worth > most * (1.0 + HAIR))
                });
                if beats && (settles >= least || moves >= least) {
                    best = Some(found);
                }
            }
            let Some((_, _, ask, then)) = best else { break };
            order.push((ask, self.after(&[ask]).settled, then.settled));
            asked.push(ask);
            now = then;
        }
        order
    }

    /// The questions of an asking here, in one text.
    pub(super) fn question(&self, ask: usize, asking: &Asking) -> Cow<'static, str> {
        let fields = self.fields(ask);
        let asked = asking.fields.iter().filter(|asked| asked.is_asked(self.home) && fields.contains(&asked.field));
        let mut words = asked.map(|asked| asked.question(self.home));
        match (words.next(), words.next()) {
            (Some(one), None) => Cow::Borrowed(one),
            (one, two) => Cow::Owned(one.into_iter().chain(two).chain(words).collect::<Vec<_>>().join(" ")),
        }
    }
}

impl Settling {
    /// Ways that one verdict has settled.
    fn hear(&mut self, settled: &[Ways]) {
        self.settled += settled.iter().map(Ways::chance).sum::<f64>();
        self.leading += settled.iter().map(Ways::leading).sum::<f64>();
    }
}

/// What was asked, and one more.
pub(super) fn with(asked: &[usize], ask: usize) -> Vec<usize> {
    asked.iter().copied().chain([ask]).collect()
}

/// A splitmix64 step (public domain).
fn mixed(state: u64) -> u64 {
    let mut mixed = state.wrapping_add(0x9e37_79b9_7f4a_7c15);
    mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    mixed ^ (mixed >> 31)
}

/// Where the draws of a site begin, from the bytes of its name.
fn name_of_draws(site_id: &str) -> u64 {
    site_id.bytes().fold(0, |state, byte| mixed(state ^ u64::from(byte)))
}

/// A few ways that stand for all of them, each as likely to be drawn as it is likely, all of the same weight.
fn drawn(ways: &[Ways], draws: u64) -> Vec<Ways> {
    let whole: f64 = ways.iter().map(Ways::chance).sum();
    let step = whole / DRAWN_WAYS as f64;
    let first = (mixed(draws) >> 11) as f64 / (1_u64 << 53) as f64;
    let (mut passed, mut next) = (0.0, first * step);
    let mut drawn = Vec::with_capacity(DRAWN_WAYS);
    for ways in ways {
        passed += ways.chance();
        let mut times = 0_u32;
        while next < passed && drawn.len() < DRAWN_WAYS && times < DRAWN_WAYS as u32 {
            times += 1;
            next += step;
        }
        if times > 0 {
            drawn.push(ways.weighing(f64::from(times) * step));
        }
    }
    drawn
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn draws_hang_on_the_name_alone() {
        assert_eq!(name_of_draws("H-0012"), name_of_draws("H-0012"));
        assert_ne!(name_of_draws("H-0012"), name_of_draws("H-0021"));
        assert_ne!(name_of_draws(""), name_of_draws("0"));
    }
}
