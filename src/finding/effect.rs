//! `effects.csv` and `reasons.csv`: what each reason does, for how long, and the words for it.

use crate::table::{Named, Table};
use serde::Serialize;
use std::sync::OnceLock;

/// What a finding does to the verdict, worst last.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Effect {
    /// Nothing.
    None,
    /// Something to know.
    Note,
    /// To be done before or with the work by ordinary means; the verdict stays.
    Step,
    /// Compliant, but waits for a fact, the operator, a consent or works.
    Holds,
    /// No compliant arrangement until somebody outside the programme changes something.
    Stops,
}

impl Effect {
    /// The word of the contract.
    pub fn word(self) -> &'static str {
        match self {
            Effect::None => "none",
            Effect::Note => "note",
            Effect::Step => "step",
            Effect::Holds => "holds",
            Effect::Stops => "stops",
        }
    }

    /// The effect of a word of `effects.csv` or of the rules file.
    pub fn from_word(word: &str) -> Option<Self> {
        [Effect::None, Effect::Note, Effect::Step, Effect::Holds, Effect::Stops]
            .into_iter()
            .find(|effect| effect.word() == word)
    }
}

/// What a marginal site waits for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum WaitsFor {
    /// A fact that somebody has to find out.
    Fact,
    /// The network operator's answer.
    Operator,
    /// A consent.
    Consent,
    /// Works outside an ordinary visit.
    Works,
}

impl WaitsFor {
    /// In the order of the contract.
    pub const ALL: [WaitsFor; 4] = [WaitsFor::Fact, WaitsFor::Operator, WaitsFor::Consent, WaitsFor::Works];

    /// The word of the contract.
    pub fn word(self) -> &'static str {
        match self {
            WaitsFor::Fact => "fact",
            WaitsFor::Operator => "operator",
            WaitsFor::Consent => "consent",
            WaitsFor::Works => "works",
        }
    }
}

/// How the network operator is dealt with.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Route {
    /// Nothing to tell.
    None,
    /// Install, then notify within 28 days.
    Notify,
    /// Apply before connecting.
    Apply,
}

impl Route {
    /// The word of the contract.
    pub fn word(self) -> &'static str {
        match self {
            Route::None => "none",
            Route::Notify => "notify",
            Route::Apply => "apply",
        }
    }
}

/// Weeks until a reason is settled.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Weeks {
    /// Low end.
    pub low: u16,
    /// Most likely.
    pub likely: u16,
    /// High end.
    pub high: u16,
}

impl Weeks {
    /// Two waits that run side by side: the longer of each point.
    pub fn beside(self, other: Weeks) -> Weeks {
        Weeks { low: self.low.max(other.low), likely: self.likely.max(other.likely), high: self.high.max(other.high) }
    }
}

/// One row of `effects.csv` with its words from `reasons.csv`.
#[derive(Debug, PartialEq)]
pub struct Reason {
    /// Code, as it stands in results.
    pub code: &'static str,
    /// The condition, in words.
    pub when: &'static str,
    /// What it does to the verdict.
    pub effect: Effect,
    /// What a hold waits for.
    pub waits_for: Option<WaitsFor>,
    /// How long, where the effect takes time.
    pub weeks: Weeks,
    /// What it means for the operator route.
    pub route: Route,
    /// Whether it guards safety: rules may then only tighten it.
    pub safety: bool,
    /// Where the effect comes from.
    pub source: &'static str,
    /// How well that source is known: print, second-hand, derived, memory, design rule, common practice.
    pub status: &'static str,
    /// Position in the table: the order in which reasons of one effect are shown when weeks tie.
    pub position: usize,
    /// A few words for a column or a count: "looped service".
    pub title: &'static str,
    /// The reason as a sentence; `{value}`, `{limit}` are filled from the finding.
    pub sentence: &'static str,
    /// What to do next, as a sentence.
    pub next_step: &'static str,
    /// Who usually pays for it.
    pub payer: &'static str,
}

fn table() -> &'static Named<Reason> {
    static TABLE: OnceLock<Named<Reason>> = OnceLock::new();
    TABLE.get_or_init(|| {
        let words = Table::of(include_str!("reasons.csv"));
        let effects = Table::of(include_str!("effects.csv"));
        let reasons = effects.rows().enumerate().map(|(position, row)| {
            let code = row.kept("code");
            let word = |column: &str| {
                words.rows().find(|words| words.text("code") == code).map_or("", |words| words.kept(column))
            };
            let weeks = |column: &str| row.number(column).map_or(0, |weeks| weeks as u16);
            let reason = Reason {
                code,
                when: row.kept("when"),
                effect: Effect::from_word(row.text("effect")).unwrap_or(Effect::Stops),
                waits_for: WaitsFor::ALL.into_iter().find(|wait| wait.word() == row.text("waits_for")),
                weeks: Weeks { low: weeks("weeks_low"), likely: weeks("weeks_likely"), high: weeks("weeks_high") },
                route: match row.text("route") {
                    "apply" => Route::Apply,
                    "notify" => Route::Notify,
                    _ => Route::None,
                },
                safety: row.text("safety") == "yes",
                source: row.kept("source"),
                status: row.kept("status"),
                position,
                title: word("title"),
                sentence: word("sentence"),
                next_step: word("next_step"),
                payer: word("payer"),
            };
            (code, reason)
        });
        reasons.collect()
    })
}

/// Every reason, in the order of `effects.csv`.
pub fn reasons() -> Vec<&'static Reason> {
    let mut all: Vec<_> = table().values().collect();
    all.sort_by_key(|reason| reason.position);
    all
}

/// The reason with this code. A code that is not in the table (a fault of ours that a test catches) is answered by
/// `unsettled-fact`, which holds the site: the safe side.
pub fn reason(code: &str) -> &'static Reason {
    let table = table();
    // A test holds that the table has the reason of a missing fact.
    table.get(code).or_else(|| table.get("unsettled-fact")).expect("a reason of a missing fact")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_reason_has_words_and_every_hold_says_what_it_waits_for() {
        for reason in reasons() {
            assert!(!reason.sentence.is_empty(), "{} has no sentence in reasons.csv", reason.code);
            assert_eq!(reason.effect == Effect::Holds, reason.waits_for.is_some(), "{}", reason.code);
            if matches!(reason.effect, Effect::Holds | Effect::Stops | Effect::Step) {
                assert!(!reason.next_step.is_empty(), "{} has no next step", reason.code);
            }
        }
        assert_eq!(reason("loop-yes").effect, Effect::Stops);
        assert_eq!(reason("no-such-code").code, "unsettled-fact");
    }
}
