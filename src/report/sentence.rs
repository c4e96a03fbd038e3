//! From findings to sentences that read like a person's. Sentences are made here, at the end, and nowhere before.

use super::figures::{plain, weeks};
use crate::design::Control;
use crate::finding::{Effect, Finding, Reason, Route};
use crate::site::Verdict;
use crate::verdict::{Judgement, Remedy};
use std::borrow::Cow;

/// Reasons told in full in `why`; the rest are counted.
const REASONS_TOLD: usize = 3;

/// The sentence of a finding's reason with its figures put in; empty where the finding gives no reason.
pub(super) fn of_finding(finding: &Finding) -> Cow<'static, str> {
    match finding.reason {
        Some(reason) => of_reason(reason, Some(finding)),
        None => Cow::Borrowed(""),
    }
}

/// The sentence of a reason. A figure that is missing makes the sentence fall back on the plain condition, so that no
/// gap is ever shown to a person.
pub(super) fn of_reason(reason: &'static Reason, finding: Option<&Finding>) -> Cow<'static, str> {
    if !reason.sentence.contains('{') && !reason.sentence.is_empty() {
        return Cow::Borrowed(reason.sentence);
    }
    let filled = finding.map(|finding| fill(reason.sentence, finding)).unwrap_or_default();
    if filled.is_empty() || filled.contains('{') {
        // The table's own words for the condition; a remark after the colon is for readers of the table.
        return Cow::Owned(as_sentence(reason.when.split(": ").next().unwrap_or(reason.when)));
    }
    Cow::Owned(filled)
}

/// A template with the figures of a finding put in; what has no figure is left as it stands.
fn fill(template: &str, finding: &Finding) -> String {
    let mut text = template.to_owned();
    for (mark, number) in [("{value}", finding.value), ("{limit}", finding.limit), ("{margin}", finding.margin())] {
        if let Some(number) = number.filter(|number| number.is_finite()) {
            text = text.replace(mark, &plain(number, finding.check.places));
        }
    }
    for (index, term) in finding.terms.iter().enumerate().filter(|(_, term)| term.is_finite()) {
        text = text.replace(&format!("{{{index}}}"), &plain(*term, 4));
    }
    if !finding.subject.is_empty() {
        text = text.replace("{subject}", finding.subject);
    }
    text
}

/// The words with a capital at the start and a stop at the end.
pub(super) fn as_sentence(words: &str) -> String {
    let words = words.trim();
    let mut characters = words.chars();
    let Some(first) = characters.next() else { return String::new() };
    let mut text: String = first.to_uppercase().chain(characters).collect();
    if !text.ends_with(['.', '!', '?']) {
        text.push('.');
    }
    text
}

/// Why the site stands where it stands, in a few sentences: the reasons, most decisive first; for a site that nothing
/// stops, what fits into what.
pub fn why(judgement: &Judgement) -> String {
    why_with_rest(judgement, ": sheet Findings.")
}

/// The same where every finding stands below.
pub(super) fn why_above_findings(judgement: &Judgement) -> String {
    why_with_rest(judgement, " below.")
}

/// The same; `rest` says where the reasons that are only counted are found.
fn why_with_rest(judgement: &Judgement, rest: &str) -> String {
    let mut parts: Vec<Cow<'_, str>> = Vec::new();
    if let Some(verdict) = judgement.brief.override_verdict {
        parts.push(Cow::Owned(overridden(judgement, verdict)));
    }
    let mut told = 0;
    for reason in &judgement.reasons {
        if told == REASONS_TOLD {
            break;
        }
        // Steps are work to do, not why a site waits: they are told only where nothing graver is.
        if judgement.verdict != Verdict::Ready && effect_here(judgement, reason) < Effect::Holds && told > 0 {
            break;
        }
        let finding = judgement.findings.iter().find(|finding| finding.code() == Some(reason.code));
        let sentence = of_reason(reason, finding);
        if !sentence.is_empty() {
            parts.push(sentence);
            told += 1;
        }
    }
    // A reason that tells its own figures has said it already.
    let has_figures = judgement.reasons.iter().take(told).any(|reason| reason.sentence.contains('{'));
    if let Some(fit) = fit(judgement).filter(|_| !has_figures) {
        parts.push(Cow::Owned(fit));
    }
    let more = judgement.reasons.len().saturating_sub(told);
    if more > 0 && told > 0 {
        let noun = if more == 1 { "reason or step" } else { "reasons and steps" };
        parts.push(Cow::Owned(format!("{more} more {noun}{rest}")));
    }
    parts.join(" ")
}

/// The effect that a reason has at this site (rules may have moved it).
fn effect_here(judgement: &Judgement, reason: &Reason) -> Effect {
    judgement
        .findings
        .iter()
        .filter(|finding| finding.code() == Some(reason.code))
        .map(|finding| finding.effect)
        .max()
        .unwrap_or(reason.effect)
}

fn overridden(judgement: &Judgement, verdict: Verdict) -> String {
    let brief = &judgement.brief;
    let by = if brief.override_by.is_empty() { "the engineer" } else { &brief.override_by };
    let mut text = format!("Set to {verdict} by {by}");
    if !brief.override_date.is_empty() {
        text.push_str(&format!(" on {}", brief.override_date));
    }
    if !brief.override_why.is_empty() {
        text.push_str(&format!(": {}", brief.override_why.trim_end_matches('.')));
    }
    text.push_str(&format!(" (computed: {}).", judgement.verdict));
    text
}

/// What the charging takes and what the supply gives, where an arrangement stands.
fn fit(judgement: &Judgement) -> Option<String> {
    let chosen = judgement.chosen.as_ref().filter(|_| judgement.verdict != Verdict::Blocked)?;
    let setting = plain(chosen.setting_a, 1);
    let demand = plain(judgement.existing_demand_a.likely, 1);
    let total = plain(chosen.maximum_demand_a.likely, 1);
    let phase = if chosen.supply_phases > 1 { " a phase" } else { "" };
    let what = if chosen.points == 1 {
        format!("a {setting} A point")
    } else {
        format!("{} points at {setting} A", chosen.points)
    };
    let limit = judgement
        .supply_limit_a
        .filter(|limit| limit.is_finite())
        .map_or_else(|| "a supply limit not known".to_owned(), |limit| format!("a limit of {} A", plain(limit, 1)));
    Some(match chosen.control {
        Control::None => {
            format!("{demand} A there now and {what} make {total} A{phase} against {limit}.")
        }
        Control::Local { setpoint_a } => format!(
            "{demand} A there now and {what}, held at {} A{phase} in all by a limiter, against {limit}.",
            plain(setpoint_a, 1)
        ),
        Control::Group { limit_a, setpoint_a: Some(setpoint_a) } => format!(
            "{demand} A there now; {what} share what that leaves, {} A{phase} at most, all held at {} A, against {limit}.",
            plain(limit_a, 1),
            plain(setpoint_a, 1)
        ),
        Control::Group { limit_a, .. } => {
            format!("{demand} A there now; {what} share {} A{phase}, against {limit}.", plain(limit_a, 1))
        }
    })
}

/// What happens with the operator, in a few words.
pub(super) fn operator_words(route: Route) -> &'static str {
    match route {
        Route::None => "",
        Route::Notify => "tell within 28 days",
        Route::Apply => "apply first",
    }
}

/// Who pays, from the most decisive reason that says so, else from the first way out.
pub(super) fn payer(judgement: &Judgement) -> &str {
    judgement
        .reasons
        .iter()
        .map(|reason| reason.payer)
        .find(|payer| !payer.is_empty())
        .or_else(|| judgement.remedies.first().map(|remedy| remedy.payer.as_str()))
        .unwrap_or_default()
}

/// What a marginal site waits for, the governing wait first.
pub(super) fn waits(judgement: &Judgement) -> Cow<'static, str> {
    match judgement.waits_for.as_slice() {
        [] => Cow::Borrowed(""),
        [one] => Cow::Borrowed(one.word()),
        many => Cow::Owned(many.iter().map(|wait| wait.word()).collect::<Vec<_>>().join(", ")),
    }
}

/// A way out in one line: what is done, how long it takes, how sure it is.
pub(super) fn remedy_words(remedy: &Remedy) -> String {
    let mut text = remedy.set.join(", then ");
    if remedy.weeks.high > 0 {
        text.push_str(&format!("; {}", weeks(remedy.weeks.low, remedy.weeks.high)));
    }
    if remedy.chance < 1.0 {
        text.push_str(&format!("; chance {} %", plain(remedy.chance * 100.0, 0)));
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::fixture;

    #[test]
    fn every_reason_yields_a_sentence_without_gaps() {
        for reason in crate::finding::reasons() {
            let sentence = of_reason(reason, None);
            assert!(!sentence.is_empty() && !sentence.contains('{'), "{}: {sentence}", reason.code);
            assert!(sentence.ends_with(['.', '!', '?', ')']), "{}: {sentence}", reason.code);
        }
    }

    #[test]
    fn figures_go_into_the_sentence() {
        let finding = fixture::finding("voltage-drop", None).at_most(11.126, 11.5).terms(&[7.9, 32.0]);
        assert_eq!(fill("{value} V of {limit} V at {1} A", &finding), "11.13 V of 11.5 V at 32 A");
    }

    #[test]
    fn why_tells_the_override_first_and_the_figures_last() {
        let portfolio = fixture::portfolio(12);
        let overridden = portfolio.sites.iter().find(|ranked| ranked.judgement.brief.override_verdict.is_some());
        let text = why(&overridden.expect("the fixture has one").judgement);
        assert!(text.starts_with("Set to ready by"), "{text}");
        let ready = portfolio.sites.iter().find(|ranked| ranked.judgement.verdict == Verdict::Ready);
        let text = why(&ready.expect("the fixture has one").judgement);
        assert!(text.ends_with(" A."), "{text}");
    }

    #[test]
    fn words_become_sentences() {
        assert_eq!(as_sentence("looped service"), "Looped service.");
        assert_eq!(as_sentence("  "), "");
        assert_eq!(as_sentence("Is it?"), "Is it?");
    }
}
