//! Which answers to chase, as the JSON document holds it.

use super::Run;
use super::record::share;
use crate::portfolio::{AskSum, Gaps, SiteQuestions};
use crate::quantity::round_to;
use schemars::JsonSchema;
use serde::Serialize;

/// Which answers to chase. A site counts as settled when one verdict has `settled_share` of its odds, or an engineer has
/// decided; answers are taken to be right and whole.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct GapsRecord<'a> {
    /// Share of its odds that one verdict must have.
    pub settled_share: f64,
    /// Sites that have odds.
    pub sites: u32,
    /// Of them, those settled as it is.
    pub settled: u32,
    /// Sites expected to be settled once everything is answered.
    pub settled_in_the_end: f64,
    /// What can be asked, in the order of value.
    pub asks: Vec<AskRecord<'a>>,
    /// The questions of each site that is not settled, in the order of the ranking.
    pub questions: Vec<SiteQuestionsRecord<'a>>,
}

/// One asking over the portfolio; costs before tax.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct AskRecord<'a> {
    /// Its name.
    pub ask: &'a str,
    /// What it is, in a few words.
    pub said: &'a str,
    /// How it is asked.
    pub how: &'a str,
    /// Who can answer.
    pub who: &'a str,
    /// Survey fields that it answers and on which a verdict turns somewhere.
    pub fields: &'a [&'static str],
    /// Sites, not settled, where the verdict turns on what it answers.
    pub sites: u32,
    /// Sites that it would be expected to settle by itself.
    pub settles_alone: f64,
    /// Sites that it would be expected to settle once everything above it is answered.
    pub settles_after: f64,
    /// Likely cost at one site.
    pub cost_each_gbp: f64,
    /// The same for all those sites.
    pub cost_gbp: f64,
}

/// The questions of one site, in the order in which they are best put there.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct SiteQuestionsRecord<'a> {
    /// Which site.
    pub site_id: &'a str,
    /// The questions.
    pub questions: Vec<AskedRecord<'a>>,
}

/// One asking at one site.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct AskedRecord<'a> {
    /// Name of the asking.
    pub ask: &'a str,
    /// Survey fields that it answers and on which the verdict turns.
    pub fields: &'a [&'static str],
    /// In plain words.
    pub question: &'a str,
    /// What to photograph or send; null where nothing.
    pub photograph: Option<&'a str>,
    /// Chance that it settles the site by itself.
    pub settles_alone: Option<f64>,
    /// Chance that the site is settled once it and those before it are answered.
    pub settled: Option<f64>,
}

/// The record of a run; `None` where the odds were not asked for.
pub(super) fn record<'a>(run: &Run<'a>) -> Option<GapsRecord<'a>> {
    let gaps: &'a Gaps = run.gaps?;
    Some(GapsRecord {
        settled_share: gaps.settled_share,
        sites: gaps.sites,
        settled: gaps.settled,
        settled_in_the_end: round_to(gaps.settled_in_the_end(), 3),
        asks: gaps.asks.iter().map(ask).collect(),
        questions: gaps.of_sites.iter().filter_map(|site| questions(run, site)).collect(),
    })
}

fn ask(ask: &AskSum) -> AskRecord<'_> {
    AskRecord {
        ask: ask.asking.ask,
        said: ask.asking.said,
        how: ask.asking.how,
        who: ask.asking.who,
        fields: &ask.fields,
        sites: ask.sites,
        settles_alone: round_to(ask.alone, 3),
        settles_after: round_to(ask.after, 3),
        cost_each_gbp: ask.cost_each.pounds(),
        cost_gbp: ask.cost.pounds(),
    }
}

fn questions<'a>(run: &Run<'a>, site: &'a SiteQuestions) -> Option<SiteQuestionsRecord<'a>> {
    let questions = site.questions.iter().map(|question| AskedRecord {
        ask: question.asking.ask,
        fields: &question.fields,
        question: &question.question,
        photograph: Some(question.asking.photograph).filter(|text| !text.is_empty()),
        settles_alone: share(question.alone),
        settled: share(question.settled),
    });
    let site_id = run.portfolio.sites.get(site.at)?.judgement.brief.site_id.as_str();
    Some(SiteQuestionsRecord { site_id, questions: questions.collect() })
}
