//! What outcomes tell, written as a JSON document for programs.

use super::LearnedRun;
use super::record::{
    BinRecord, ConfusionRecord, FoundRecord, LearnedDocument, NotUsedRecord, OutcomeRecord, RivalRecord, ShareRecord,
    SpreadRecord, TaskFactorRecord, VerdictsRecord, WeightRecord, WeightValueRecord,
};
use super::words::CAUTIONS;
use crate::learn::{Confusion, FoundFact, Group, LearnedWeight, Proved, SideBySide, TaskFactor, Verdicts};
use crate::quantity::{Pence, round_to};
use crate::site::Verdict;
use std::io::{self, Write};

/// Writes the document of what outcomes tell.
///
/// # Errors
/// When the writer fails.
pub fn write_learned_json(run: &LearnedRun<'_>, mut writer: impl Write) -> io::Result<()> {
    serde_json::to_writer_pretty(&mut writer, &document(run)).map_err(io::Error::from)?;
    writer.write_all(b"\n")?;
    writer.flush()
}

fn document<'a>(run: &LearnedRun<'a>) -> LearnedDocument<'a> {
    let learned = run.learned;
    LearnedDocument {
        baywright: env!("CARGO_PKG_VERSION"),
        inputs: run.inputs,
        outcomes: run.outcomes,
        stance: run.stance,
        as_of: run.as_of.to_string(),
        sites_judged: run.judged,
        rows_read: run.rows_read,
        verdicts: verdicts(&learned.verdicts),
        cost: learned.cost.iter().map(spread).collect(),
        hours: learned.hours.iter().map(spread).collect(),
        hours_noise_share: learned.tasks.noise.map(share),
        tasks: learned.tasks.tasks.iter().map(task).collect(),
        weights: learned.weights.all.iter().map(weight).collect(),
        verdicts_unexplained: learned.weights.unexplained,
        verdicts_otherwise: learned.weights.otherwise,
        sites: learned.sites.iter().map(site).collect(),
        not_used: run
            .not_used
            .iter()
            .map(|one| NotUsedRecord {
                file: &one.file,
                row: (one.row > 0).then_some(one.row),
                cell: Some(one.cell.as_str()).filter(|cell| !cell.is_empty()),
                column: Some(one.field).filter(|field| !field.is_empty()),
                found: &one.found,
                why: &one.why,
            })
            .collect(),
        cautions: &CAUTIONS,
    }
}

fn share(share: f64) -> f64 {
    round_to(share, 4)
}

fn verdicts(all: &Verdicts) -> VerdictsRecord<'_> {
    VerdictsRecord {
        counted: confusion(&all.counted),
        computed: confusion(&all.computed),
        sites: all.counted.sites(),
        right: all.counted.right(),
        computed_right: all.computed.right(),
        not_ready: &all.not_ready,
        brier: all.brier.map(|score| round_to(score, 6)),
        brier_of_base: all.brier_of_base.map(|score| round_to(score, 6)),
        calibration: all
            .bins
            .iter()
            .map(|bin| BinRecord { sites: bin.sites, said: share(bin.said), found: share(bin.ready) })
            .collect(),
        groups: all
            .groups
            .iter()
            .map(|group| ShareRecord {
                by: group.by,
                name: &group.name,
                sites: group.sites,
                right: group.right,
                said_ready: group.said_ready,
                found_ready: group.found_ready,
            })
            .collect(),
    }
}

fn confusion(counts: &Confusion) -> Vec<ConfusionRecord> {
    let words = [Verdict::Ready, Verdict::Marginal, Verdict::Blocked].map(Verdict::word);
    let lines = words.into_iter().zip(&counts.0);
    lines
        .flat_map(|(said, line)| words.into_iter().zip(line).map(move |(found, sites)| (said, found, *sites)))
        .map(|(said, found, sites)| ConfusionRecord { said, found, sites })
        .collect()
}

fn spread(group: &Group) -> SpreadRecord<'_> {
    let spread = group.spread;
    SpreadRecord {
        by: group.by,
        name: &group.name,
        sites: spread.sites,
        said: round_to(spread.said, 2),
        found: round_to(spread.found, 2),
        bias: share(spread.bias),
        bias_error: spread.bias_error.map(share),
        median: share(spread.median),
        ratio_p10: share(spread.low),
        ratio_p90: share(spread.high),
        within: spread.within,
    }
}

fn task(own: &TaskFactor) -> TaskFactorRecord<'_> {
    TaskFactorRecord {
        task: own.task,
        sites: own.sites,
        said_h: round_to(own.said_h, 2),
        factor: share(own.factor),
        error: share(own.error),
        proposed: own.proposed.map(share),
        clamped: own.clamped,
        why_not: own.why_not,
    }
}

fn weight(own: &LearnedWeight) -> WeightRecord<'_> {
    let value = |(place, value): (usize, &&'static str)| {
        let of = |list: &[f64]| share(list.get(place).copied().unwrap_or_default());
        let proposed = own.proposed.as_ref().and_then(|parts| parts.get(place));
        WeightValueRecord {
            value,
            before: of(&own.before),
            after: of(&own.after),
            error: of(&own.error),
            proposed: proposed.map(|part| f64::from(*part) / 10_000.0),
        }
    };
    WeightRecord {
        field: own.field,
        condition: own.when,
        values: own.values.iter().enumerate().map(value).collect(),
        seen: round_to(own.seen, 2),
        by_verdict: round_to(own.by_verdict, 2),
        worth: round_to(own.worth, 2),
        rival: own.rival.map(|rival| RivalRecord {
            field: rival.field,
            condition: rival.when,
            correlation: share(rival.correlation),
        }),
        why_not: own.why_not,
    }
}

fn site(own: &SideBySide) -> OutcomeRecord<'_> {
    let cost = |pick: fn(&crate::quantity::CostBand) -> Pence| own.cost_said.as_ref().map(|cost| pick(cost).pounds());
    OutcomeRecord {
        site_id: &own.site_id,
        file: &own.from.0,
        row: own.from.1,
        verdict: own.said.word(),
        computed_verdict: own.computed.word(),
        probability_ready: own.probability_ready.map(share),
        verdict_on_site: own.found.map(Verdict::word),
        cost_low_gbp: cost(|cost| cost.low),
        cost_likely_gbp: cost(|cost| cost.likely),
        cost_high_gbp: cost(|cost| cost.high),
        installed_cost_gbp: own.cost_found.map(Pence::pounds),
        crew_hours_likely: own.hours_said.map(|hours| round_to(hours.likely, 2)),
        hours: own.hours_found.map(|hours| round_to(hours, 2)),
        facts: own.facts.iter().map(fact).collect(),
        verdict_not_learned_from: own.verdict_unused,
    }
}

fn fact(own: &FoundFact) -> FoundRecord<'_> {
    let (proved, value, surveyed) = match &own.proved {
        Proved::Alternative(_, value) => ("alternative", Some(*value), None),
        Proved::None(_) => ("none of them", None, None),
        Proved::AsSurveyed => ("as surveyed", None, None),
        Proved::Otherwise(surveyed) => ("otherwise than surveyed", None, Some(surveyed.as_str())),
        Proved::NotLearned => ("not learned", None, None),
    };
    FoundRecord { field: own.field, found: &own.value, proved, value, surveyed }
}
