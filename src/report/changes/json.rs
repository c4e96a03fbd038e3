//! What changed between two results, written as a JSON document for programs.

use super::record::{
    AloneRecord, ChangedRecord, ChangesDocument, CheckRecord, CostItemRecord, CostPartRecord, FactRecord, FigureRecord,
    InputRecord, ItemRecord, MoveCountRecord, ReasonCountRecord, RespeltRecord, SideRecord,
};
use super::sheets::respelt;
use super::words::{Words, cause, stated, what, why};
use crate::compare::{
    Became, Changed, Comparison, Fact, ItemChange, MoneyWhy, Plain, ResultRead, SiteRead, VERDICTS, cost,
};
use crate::quantity::{Pence, round_to};
use crate::report::PriceNote;
use std::io::{self, Write};

/// Writes the document of what changed; `prices` gives items their words.
///
/// # Errors
/// When the writer fails.
pub fn write_changes_json(found: &Comparison<'_>, prices: &[PriceNote], mut writer: impl Write) -> io::Result<()> {
    let words = Words::of(prices);
    serde_json::to_writer_pretty(&mut writer, &document(found, &words)).map_err(io::Error::from)?;
    writer.write_all(b"\n")?;
    writer.flush()
}

fn side<'a>(document: &'a ResultRead) -> SideRecord<'a> {
    SideRecord {
        file: &document.file,
        baywright: &document.version,
        stance: document.summary.stance.value().map(String::as_str),
        as_of: document.summary.as_of.value().map(String::as_str),
        sites: document.sites.len(),
        lacks: &document.lacks,
    }
}

fn alone<'a>(site: &&'a SiteRead) -> AloneRecord<'a> {
    AloneRecord {
        site_id: &site.site_id,
        address: site.address.value().map(String::as_str),
        postcode: site.postcode.value().map(String::as_str),
        verdict: site.counted().word(),
        rank: site.rank.value().copied(),
        cost_likely_gbp: cost(site).map(Pence::pounds),
    }
}

fn part_word(why: MoneyWhy) -> &'static str {
    match why {
        MoneyWhy::Prices => "prices",
        MoneyWhy::Design => "design",
        MoneyWhy::NotTold => "not told",
        MoneyWhy::NowPriced => "now priced",
        MoneyWhy::NoLongerPriced => "no longer priced",
        MoneyWhy::Came => "came",
        MoneyWhy::Went => "went",
    }
}

fn document<'a>(found: &'a Comparison<'a>, words: &Words<'_>) -> ChangesDocument<'a> {
    let verdict = |at: usize| VERDICTS.get(at).map(|verdict| verdict.word());
    let moves = found.moves.iter().enumerate().flat_map(|(before, line)| {
        line.iter().enumerate().filter(|(_, sites)| **sites > 0).map(move |(after, sites)| MoveCountRecord {
            before: verdict(before),
            after: verdict(after),
            sites: *sites,
        })
    });
    ChangesDocument {
        baywright: env!("CARGO_PKG_VERSION"),
        before: side(found.before),
        after: side(found.after),
        inputs: found
            .inputs
            .iter()
            .map(|input| InputRecord {
                input: input.input.word(),
                changed: match input.became {
                    Became::Same => Some(false),
                    Became::Other => Some(true),
                    Became::NotTold => None,
                },
                before: &input.before,
                after: &input.after,
            })
            .collect(),
        sites_in_both: found.pairs.len(),
        moves: moves.collect(),
        cost_before_gbp: found.cost.0.pounds(),
        cost_after_gbp: found.cost.1.pounds(),
        cost_parts: found
            .money
            .iter()
            .map(|part| CostPartRecord { why: part_word(part.why), sites: part.sites, more_gbp: part.more.pounds() })
            .collect(),
        cost_items: found.items.iter().map(|(item, more)| CostItemRecord { item, more_gbp: more.pounds() }).collect(),
        reasons: found
            .reasons
            .iter()
            .map(|(reason, counts)| ReasonCountRecord { reason, came: counts.came, went: counts.went })
            .collect(),
        ranks_moved: found.ranks.moved,
        ranks_not_listed: found.ranks.not_listed,
        ranks_greatest: found.ranks.greatest,
        changed: found.changed.iter().map(|changed| changed_record(found, words, changed)).collect(),
        came: found.came.iter().map(alone).collect(),
        went: found.went.iter().map(alone).collect(),
        respelt: respelt(found)
            .map(|(pair, before, after)| RespeltRecord {
                site_id_before: &before.site_id,
                site_id_after: &after.site_id,
                address_before: before.address.text(),
                address_after: after.address.text(),
                postcode_before: before.postcode.text(),
                postcode_after: after.postcode.text(),
                found_by: pair.by.word(),
                likeness: pair.likeness.map(|likeness| round_to(likeness, 2)),
            })
            .collect(),
    }
}

fn changed_record<'a>(found: &'a Comparison<'a>, words: &Words<'_>, changed: &Changed<'a>) -> ChangedRecord<'a> {
    let change = &changed.change;
    let (before, after) = change.verdicts();
    let surveyed = stated(found, change);
    let pounds = |cost: Option<Pence>| cost.map(Pence::pounds);
    let plain = |value: &Plain| match value {
        Plain::Nothing => serde_json::Value::Null,
        Plain::Number(number) => (*number).into(),
        Plain::Word(word) => word.as_str().into(),
    };
    ChangedRecord {
        site_id: &change.after.site_id,
        site_id_before: &change.before.site_id,
        found_by: change.by.word(),
        what: what(change),
        verdict_before: before.word(),
        verdict_after: after.word(),
        rank_before: change.before.rank.value().copied(),
        rank_after: change.after.rank.value().copied(),
        places_risen: change.rose(),
        reasons_went: change.reasons_went.clone(),
        reasons_came: change.reasons_came.clone(),
        facts: change.facts.iter().map(|fact| fact_record(fact, words.fact(fact, surveyed))).collect(),
        figures: change
            .figures
            .iter()
            .map(|figure| FigureRecord {
                field: figure.field,
                before: plain(&figure.before),
                after: plain(&figure.after),
            })
            .collect(),
        checks: change.checks.iter().map(check_record).collect(),
        cost_before_gbp: pounds(change.money.before),
        cost_after_gbp: pounds(change.money.after),
        cost_more_gbp: pounds(change.money.more()),
        cost_moved_by: change.money.kind.word(),
        items: change.money.items.iter().map(item_record).collect(),
        cause: changed.cause.inputs.iter().map(|input| input.word()).collect(),
        cause_is_sure: changed.cause.sure,
        cause_said: cause(&changed.cause),
        why: why(words, found, changed),
    }
}

fn check_record(check: &crate::compare::CheckChange) -> CheckRecord {
    let (before, after) = (check.before.as_ref(), check.after.as_ref());
    CheckRecord {
        check: check.check.clone(),
        value_before: before.and_then(|finding| finding.value),
        limit_before: before.and_then(|finding| finding.limit),
        outcome_before: before.map(|finding| finding.outcome.clone()),
        value_after: after.and_then(|finding| finding.value),
        limit_after: after.and_then(|finding| finding.limit),
        outcome_after: after.map(|finding| finding.outcome.clone()),
    }
}

fn item_record(item: &ItemChange) -> ItemRecord {
    ItemRecord {
        item: item.item.clone(),
        unit: item.unit.clone(),
        quantity_before: item.quantity_before,
        quantity_after: item.quantity_after,
        cost_before_gbp: item.cost_before.pounds(),
        cost_after_gbp: item.cost_after.pounds(),
    }
}

fn fact_record(fact: &Fact, said: String) -> FactRecord {
    let (became, before, after) = match fact {
        Fact::NoLongerAssumed(_, value) => ("no longer assumed", Some(value), None),
        Fact::NowAssumed(_, value) => ("now assumed", None, Some(value)),
        Fact::AssumedOtherwise(_, before, after) => ("assumed otherwise", Some(before), Some(after)),
        Fact::Settled(_) => ("no longer decides", None, None),
        Fact::NowDecides(_) => ("decides now", None, None),
    };
    FactRecord { field: fact.field().to_owned(), became, before: before.cloned(), after: after.cloned(), said }
}
