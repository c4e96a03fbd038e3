//! The ten lines after a run: how many, how much, what is waited for, what would move most, where the file is.

use super::Run;
use super::figures::{share, short_band, thousands, weeks};
use super::summary::title_of;
use crate::finding::Reason;
use crate::portfolio::Group;
use crate::quantity::CostBand;

/// Moves and reasons told.
const TOLD: usize = 3;

/// The lines for the terminal after a run; `written` are the files that were written, as the user knows them.
pub fn lines(run: &Run<'_>, written: &[String]) -> String {
    let summary = &run.portfolio.summary;
    let judged = run.portfolio.sites.len();
    let aside = run.intake.set_aside.len();
    let mut text = format!(
        "{} rows read: {} judged, {} set aside{}\n",
        thousands(run.intake.rows.len() as u64),
        thousands(judged as u64),
        thousands(aside as u64),
        if aside > 0 { " (sheet As read says why)" } else { "" }
    );
    text.push_str(&super::joined_files::lines(run));
    text.extend(super::sharing::sentence(run).map(|words| words + "\n"));
    text.push('\n');
    let all = summary.ready.count + summary.marginal.count + summary.blocked.count;
    let waits: Vec<String> = summary
        .waiting
        .iter()
        .filter(|(_, sites)| *sites > 0)
        .enumerate()
        .map(|(index, (wait, sites))| {
            let word = match wait.word() {
                "fact" => "a fact",
                "operator" => "the operator",
                "consent" => "a consent",
                other => other,
            };
            if index == 0 { format!("waiting for {word} {sites}") } else { format!("{word} {sites}") }
        })
        .collect();
    let committed = format!("{} if everything unasked is held", thousands(summary.ready_if_committed.into()));
    let rows = [
        ("ready", &summary.ready, committed),
        ("marginal", &summary.marginal, waits.join(", ")),
        ("blocked", &summary.blocked, with_other(&summary.blocked_by)),
    ];
    let width = rows.iter().map(|(_, group, _)| money(group).chars().count()).max().unwrap_or(0);
    let digits = rows.iter().map(|(_, group, _)| thousands(group.count.into()).len()).max().unwrap_or(1);
    for (word, group, note) in rows {
        let line = format!(
            "{word:<9} {:>digits$}  {:>5}   {:<width$}   {note}",
            thousands(group.count.into()),
            share(group.count, all),
            money(group)
        );
        text.push_str(line.trim_end());
        text.push('\n');
    }
    if summary.blocked.count > 0 && summary.blocked.cost.high.0 > 0 {
        text.push_str("(before VAT; for blocked sites the cheapest ways out alone)\n");
    }
    moves(&mut text, run);
    text.push('\n');
    text.push_str(&super::scenarios::lines(run));
    text.push_str(&super::programme::line(run));
    text.push_str(&super::order::line(run));
    if let Some((last, others)) = written.split_last() {
        let names = if others.is_empty() { last.clone() } else { format!("{} and {last}", others.join(", ")) };
        text.push_str(&format!("{names} written. "));
    }
    text.push_str("A desk-top screen: a qualified designer verifies each site before work.\n");
    text
}

fn money(group: &Group) -> String {
    if group.cost.high.0 == 0 {
        return String::new();
    }
    let levels = group.doubt.levels();
    let likely = group.cost.likely;
    let known = group.doubt.mean() > 0.0;
    let ends = CostBand { low: levels.p10.min(likely), likely, high: levels.p90.max(likely) };
    short_band(if known { ends } else { group.cost })
}

/// "looped service 31, no parking 24, demand over the fuse 14".
fn first_few(reasons: &[(&'static Reason, u32)]) -> String {
    let parts: Vec<String> =
        reasons.iter().take(TOLD).map(|(reason, sites)| format!("{} {sites}", title_of(reason))).collect();
    parts.join(", ")
}

/// The same with the rest added up, where every site is counted once.
fn with_other(reasons: &[(&'static Reason, u32)]) -> String {
    match reasons.iter().skip(TOLD).map(|(_, sites)| sites).sum::<u32>() {
        0 => first_few(reasons),
        other => format!("{}, other {other}", first_few(reasons)),
    }
}

fn moves(text: &mut String, run: &Run<'_>) {
    let summary = &run.portfolio.summary;
    let common = first_few(&summary.reasons);
    if !common.is_empty() {
        text.push_str(&format!("\nMost often in the way: {common}\n"));
    }
    if summary.moves.is_empty() {
        return;
    }
    text.push_str("\nWhat would move most\n");
    for step in summary.moves.iter().take(TOLD) {
        let reason = step.reason;
        let mut about = weeks(reason.weeks.low, reason.weeks.high);
        if !reason.payer.is_empty() {
            about = format!("{} pays, {about}", reason.payer);
        }
        let noun = if step.sites == 1 { "site" } else { "sites" };
        text.push_str(&format!(
            "  {} at {} {noun} ({about}): {} become{} ready\n",
            title_of(reason),
            thousands(step.sites.into()),
            thousands(step.readies.into()),
            if step.readies == 1 { "s" } else { "" }
        ));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::fixture::Fixture;

    #[test]
    fn a_person_can_act_on_a_few_lines() {
        let fixture = Fixture::new(40);
        let run = fixture.run();
        let text = lines(&run, &["portfolio-assessed.xlsx".into()]);
        assert!(text.starts_with(&format!("{} rows read: 40 judged, ", run.intake.rows.len())), "{text}");
        for words in
            ["ready", "marginal", "blocked", "waiting for", "What would move most", "portfolio-assessed.xlsx written."]
        {
            assert!(text.contains(words), "no {words} in\n{text}");
        }
        let count = text.lines().filter(|line| !line.is_empty()).count();
        assert!((8..=13).contains(&count), "{count} lines\n{text}");
        assert!(text.lines().all(|line| line.trim_end() == line));
    }

    #[test]
    fn an_empty_run_has_lines_too() {
        let fixture = Fixture::new(0);
        let text = lines(&fixture.run(), &["a.json".into(), "a.xlsx".into()]);
        assert!(text.contains("a.json and a.xlsx written."), "{text}");
        assert!(!text.contains("NaN"), "{text}");
    }
}
