//! By which rules of the operators' common process a site is notified, asked about or applied for.
//!
//! `grounds.csv` says what each reason of a judgement means for the operator, whatever the user's rules make of it for
//! the verdict; beside it stand the tests that need no reason: what nobody was asked is not known, and is no pass.

use super::supply::{cutout_is_known, has_cutout};
use super::types::{Route, SupplyRow, Who};
use crate::design::Facts;
use crate::finding::{Finding, Route as JudgedRoute};
use crate::portfolio::{Ranked, over_capacity};
use crate::rules::Rules;
use crate::site::Site;
use crate::table::Table;
use std::sync::OnceLock;

/// What is known of a site when it is asked how its operator is dealt with.
pub(super) struct Known<'a> {
    pub(super) ranked: &'a Ranked,
    pub(super) site: &'a Site,
    pub(super) facts: &'a Facts,
    pub(super) supply: &'a SupplyRow,
    pub(super) who: &'a Who,
    pub(super) rules: &'a Rules,
    pub(super) in_early_cluster: bool,
}

/// How the operator is dealt with.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Told {
    pub(super) route: Route,
    pub(super) engage_early: bool,
    pub(super) rules: Vec<&'static str>,
}

/// What a reason means for the operator.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Means {
    /// Apply first.
    Apply,
    /// Ask first.
    Ask,
    /// An early word.
    Early,
    /// Goes beside any route.
    Beside,
}

/// One row of `grounds.csv`.
pub(super) struct Ground {
    pub(super) reason: &'static str,
    /// Survey field that the finding must be about; empty for any.
    pub(super) field: &'static str,
    pub(super) rule: &'static str,
    pub(super) means: Means,
}

/// The table, in its order.
pub(super) fn grounds() -> &'static [Ground] {
    static TABLE: OnceLock<Vec<Ground>> = OnceLock::new();
    TABLE.get_or_init(|| {
        Table::of(include_str!("grounds.csv"))
            .rows()
            .map(|row| Ground {
                reason: row.kept("reason"),
                field: row.kept("field"),
                rule: row.kept("rule"),
                means: match row.text("route") {
                    "ask" => Means::Ask,
                    "early" => Means::Early,
                    "beside" => Means::Beside,
                    // The safe side of a word that nobody knows.
                    _ => Means::Apply,
                },
            })
            .collect()
    })
}

/// The number of a rule: R4 is 4.
fn number(rule: &str) -> u32 {
    rule.get(1..).and_then(|digits| digits.parse().ok()).unwrap_or(u32::MAX)
}

/// Puts a rule in its place among others, once.
pub(super) fn add(rules: &mut Vec<&'static str>, rule: &'static str) {
    if !rules.contains(&rule) {
        let at = rules.partition_point(|other| number(other) < number(rule));
        rules.insert(at, rule);
    }
}

impl Told {
    fn because(&mut self, rule: &'static str, means: Means) {
        add(&mut self.rules, rule);
        match means {
            Means::Apply => self.route = Route::Apply,
            Means::Ask => self.route = self.route.max(Route::AskFirst),
            Means::Early => self.engage_early = true,
            Means::Beside => {}
        }
    }

    fn finding(&mut self, finding: &Finding) {
        let Some(code) = finding.code() else { return };
        for ground in grounds().iter().filter(|ground| ground.reason == code) {
            if ground.field.is_empty() || ground.field == finding.subject {
                self.because(ground.rule, ground.means);
            }
        }
    }
}

/// How the operator of a site is dealt with, and by which rules. Never laxer than the judgement.
pub(super) fn told(known: &Known<'_>) -> Told {
    let Known { ranked, site, facts, supply, who, rules, in_early_cluster } = *known;
    let judgement = &ranked.judgement;
    let mut told = Told { route: Route::Notify, engage_early: false, rules: Vec::new() };
    judgement.findings.iter().for_each(|finding| told.finding(finding));
    if facts.ct_metered {
        told.because("R15", Means::Apply);
    }
    if has_cutout(site, facts) {
        if !cutout_is_known(site) {
            told.because("R4", Means::Ask);
        }
        if supply.looped.is_none() {
            told.because("R5", Means::Ask);
        }
    }
    let home = facts.premises.is_home();
    match supply.with_charging_a {
        Some(demand_a) => {
            if home && demand_a > rules.supply.home_threshold_a {
                told.because("R2", Means::Apply);
            }
            if demand_a > supply.cutout_a {
                told.because("R3", Means::Apply);
            }
        }
        // Without a design nobody knows the new demand.
        None => told.because("R3", Means::Ask),
    }
    if judgement.operator_route == JudgedRoute::Apply {
        told.route = Route::Apply;
    }
    if told.route == Route::Notify {
        add(&mut told.rules, "R1");
    }
    if in_early_cluster {
        told.because("R10", Means::Early);
    }
    if ranked.over_capacity {
        grounds().iter().filter(|ground| ground.reason == over_capacity().code).for_each(|ground| {
            told.because(ground.rule, ground.means);
        });
    }
    if super::is_three_phase_home(facts) {
        told.because("R16", Means::Beside);
    }
    if who.operator.is_independent() {
        told.because("R17", Means::Beside);
    }
    told
}
