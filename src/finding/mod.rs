//! What a check found: the check, the figures, the effect on the verdict. Sentences are made from it at the end.
//!
//! Three tables sit beside this file and are embedded: `effects.csv` (which finding does what to a verdict, how many
//! weeks, which operator route), `reasons.csv` (the words for each reason) and `checks.csv` (title, clause, source and
//! formula of each check). This room knows no survey, no design and no price.

mod check;
mod effect;

pub use check::{Check, check, checks};
pub use effect::{Effect, Reason, Route, WaitsFor, Weeks, reason, reasons};

/// How a check came out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Outcome {
    /// Within its limit.
    Pass,
    /// Outside its limit.
    Fail,
    /// Could not be decided because a fact is missing.
    Unknown,
    /// Something to know; no limit is involved.
    Noted,
}

/// The outcome of one check on one arrangement or on the site itself.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// Which check.
    pub check: &'static Check,
    /// The reason it gives for a verdict, when it gives one.
    pub reason: Option<&'static Reason>,
    /// What it does to the verdict (the reason's effect, unless the rules tightened or softened it).
    pub effect: Effect,
    /// How it came out.
    pub outcome: Outcome,
    /// The figure found, in the check's unit.
    pub value: Option<f64>,
    /// The limit it was held against, in the check's unit.
    pub limit: Option<f64>,
    /// The numbers that go into the check's formula, in its order.
    pub terms: [f64; 6],
    /// What the formula is about: a cable, a device, a document (fixed words only).
    pub subject: &'static str,
}

impl Finding {
    /// A finding of `check_name` that gives no reason: a pass, or a figure to show.
    ///
    /// # Panics
    /// Never in a released build: a test holds that every name used stands in `checks.csv`; an unknown name falls back
    /// to the first row.
    pub fn new(check_name: &str) -> Self {
        Self {
            check: check(check_name),
            reason: None,
            effect: Effect::None,
            outcome: Outcome::Noted,
            value: None,
            limit: None,
            terms: [0.0; 6],
            subject: "",
        }
    }

    /// The same finding giving the reason with this code of `effects.csv`, and taking its effect.
    pub fn because(mut self, code: &str) -> Self {
        let reason = reason(code);
        self.effect = reason.effect;
        self.reason = Some(reason);
        self.outcome = match reason.effect {
            Effect::Stops => Outcome::Fail,
            Effect::Holds if reason.waits_for == Some(WaitsFor::Fact) => Outcome::Unknown,
            Effect::Holds => Outcome::Fail,
            Effect::Step | Effect::Note => Outcome::Noted,
            Effect::None => Outcome::Pass,
        };
        self
    }

    /// The same finding with the figure found and the limit it must not exceed; sets the outcome when no reason does.
    pub fn at_most(mut self, value: f64, limit: f64) -> Self {
        self.value = Some(value);
        self.limit = Some(limit);
        if self.reason.is_none() {
            self.outcome = if value <= limit { Outcome::Pass } else { Outcome::Fail };
        }
        self
    }

    /// The same finding with the figure found and the limit it must reach; sets the outcome when no reason does.
    pub fn at_least(mut self, value: f64, limit: f64) -> Self {
        self.value = Some(value);
        self.limit = Some(limit);
        if self.reason.is_none() {
            self.outcome = if value >= limit { Outcome::Pass } else { Outcome::Fail };
        }
        self
    }

    /// The same finding as something to know: its figure and limit are shown, nothing rests on them.
    pub fn noted(mut self) -> Self {
        self.outcome = Outcome::Noted;
        self
    }

    /// The same finding with a figure and no limit.
    pub fn value(mut self, value: f64) -> Self {
        self.value = Some(value);
        self
    }

    /// The same finding with the numbers of its formula (at most six).
    pub fn terms(mut self, terms: &[f64]) -> Self {
        for (slot, term) in self.terms.iter_mut().zip(terms) {
            *slot = *term;
        }
        self
    }

    /// The same finding with its subject.
    pub fn subject(mut self, subject: &'static str) -> Self {
        self.subject = subject;
        self
    }

    /// Room left: positive inside the limit, whichever way the limit bites.
    pub fn margin(&self) -> Option<f64> {
        let (value, limit) = (self.value?, self.limit?);
        Some(if self.check.limit_is_least { value - limit } else { limit - value })
    }

    /// The code of the reason, when there is one.
    pub fn code(&self) -> Option<&'static str> {
        self.reason.map(|reason| reason.code)
    }

    /// The check's formula with the numbers of this finding put in; empty where the check has none.
    pub fn working(&self) -> String {
        self.check.fill_formula(self)
    }
}
