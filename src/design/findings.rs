//! Where the checks of an arrangement put what they find: whole findings and works, or only the worst effect among them.
//!
//! Odds and doubts ask many times for a verdict and never for a sentence: the same checks then only weigh. It knows no
//! survey and decides nothing.

use super::Work;
use crate::finding::{Effect, Finding, reason};
use crate::rules::Rules;

/// What the checks of one arrangement have found so far.
pub(super) struct Findings<'a> {
    rules: &'a Rules,
    worst: Effect,
    kept: Option<(Vec<Finding>, Vec<Work>)>,
}

impl<'a> Findings<'a> {
    /// Keeps every finding and every work.
    pub(super) fn kept(rules: &'a Rules) -> Self {
        Self { rules, worst: Effect::None, kept: Some((Vec::with_capacity(40), Vec::with_capacity(8))) }
    }

    /// Only weighs: the worst effect is all that is remembered.
    pub(super) fn weighed(rules: &'a Rules) -> Self {
        Self { rules, worst: Effect::None, kept: None }
    }

    /// A finding of `check` that gives the reason with this code; `fill` puts its figures in.
    pub(super) fn say(&mut self, check: &str, code: &str, fill: impl FnOnce(Finding) -> Finding) {
        let effect = self.rules.effect_of(reason(code));
        self.worst = self.worst.max(effect);
        if let Some((findings, _)) = &mut self.kept {
            let mut finding = fill(Finding::new(check).because(code));
            finding.effect = effect;
            findings.push(finding);
        }
    }

    /// Whether saying this reason would make any difference: a remark is not worth working out where only the worst
    /// effect is remembered.
    pub(super) fn matters(&self, code: &str) -> bool {
        self.kept.is_some() || self.rules.effect_of(reason(code)) > Effect::Note
    }

    /// A finding of `check` that gives no reason: a pass, or a figure to show.
    pub(super) fn show(&mut self, check: &str, fill: impl FnOnce(Finding) -> Finding) {
        if let Some((findings, _)) = &mut self.kept {
            findings.push(fill(Finding::new(check)));
        }
    }

    /// Something that has to be done with the installation.
    pub(super) fn work(&mut self, work: Work) {
        if let Some((_, works)) = &mut self.kept {
            works.push(work);
        }
    }

    /// The policy that the checks are held by.
    pub(super) fn rules(&self) -> &'a Rules {
        self.rules
    }

    /// The worst effect said.
    pub(super) fn worst(&self) -> Effect {
        self.worst
    }

    /// Whether a kept finding fulfils `wanted`; `false` where findings are only weighed.
    pub(super) fn any(&self, wanted: impl Fn(&Finding) -> bool) -> bool {
        self.kept.as_ref().is_some_and(|(findings, _)| findings.iter().any(wanted))
    }

    /// The findings and works; empty where they were only weighed.
    pub(super) fn into_parts(self) -> (Vec<Finding>, Vec<Work>) {
        self.kept.unwrap_or_default()
    }
}
