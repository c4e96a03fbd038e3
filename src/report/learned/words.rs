//! What outcomes tell, in sentences that the terminal and page one share.

use super::LearnedRun;
use crate::learn::{Group, LearnedWeight, TaskFactor, Verdicts};
use crate::report::figures::{count, plain};
use crate::site::NotLearned;

/// Names of a list that are told.
const NAMED: usize = 6;

/// What proposals and figures do not say.
pub(super) const CAUTIONS: [&str; 4] = [
    "A few sites prove little: look at the standard errors. What is learned is a proposal, yours to use or not; nothing \
     uses it by itself.",
    "Sites that came back are those that were visited, mostly those that could be done: verdicts of sites never visited \
     are not in it, and what holds sites may be more frequent than is learned here.",
    "Safety is never learned: outcomes move weights and hours, and no check, limit or effect of the rules.",
    "The weights of the age of a building, and the bands of demand and distance, stay as they are.",
];

/// A list with the first few named.
pub(super) fn named(all: &[String]) -> String {
    let some = all.iter().take(NAMED).map(String::as_str).collect::<Vec<_>>().join(", ");
    match all.len().saturating_sub(NAMED) {
        0 => some,
        more => format!("{some} and {more} more"),
    }
}

pub(super) fn matched(run: &LearnedRun<'_>) -> String {
    let files = run.outcomes.iter().map(|file| file.name.as_str()).collect::<Vec<_>>().join(", ");
    format!(
        "{}: {} read, {} of {} judged have an outcome.",
        files,
        count(run.rows_read, "row"),
        count(run.learned.sites.len(), "site"),
        run.judged
    )
}

pub(super) fn rests_on(run: &LearnedRun<'_>) -> String {
    format!(
        "Judged again as before the work: {}, rules {}, prices {}, stance {}, as of {}.",
        run.inputs.portfolio.name, run.inputs.rules.name, run.inputs.price_book.name, run.stance, run.as_of
    )
}

fn percent(part: u32, whole: u32) -> String {
    if whole == 0 { "none".to_owned() } else { format!("{} %", plain(f64::from(part) * 100.0 / f64::from(whole), 0)) }
}

pub(super) fn right(verdicts: &Verdicts) -> String {
    let (counted, computed) = (verdicts.counted, verdicts.computed);
    if counted.sites() == 0 {
        return "No site has a verdict on site.".to_owned();
    }
    format!(
        "{} of {} found as they were said ({}); by the computed verdicts {} ({}).",
        counted.right(),
        count(counted.sites() as usize, "site"),
        percent(counted.right(), counted.sites()),
        computed.right(),
        percent(computed.right(), computed.sites())
    )
}

pub(super) fn not_ready(verdicts: &Verdicts) -> Option<String> {
    let all = &verdicts.not_ready;
    (!all.is_empty()).then(|| format!("Said ready and found otherwise, {}: {}.", count(all.len(), "site"), named(all)))
}

pub(super) fn brier(verdicts: &Verdicts) -> Option<String> {
    let (own, base) = (verdicts.brier?, verdicts.brier_of_base?);
    Some(format!(
        "Chance of ready: Brier score {own:.3}; {base:.3} for whoever gives every site the share found ready. Less is \
         better."
    ))
}

pub(super) fn bins(verdicts: &Verdicts) -> Option<String> {
    let of = |bin: &crate::learn::Bin| {
        format!("{:.0} % said, {:.0} % found ({})", bin.said * 100.0, bin.ready * 100.0, bin.sites)
    };
    let all: Vec<String> = verdicts.bins.iter().map(of).collect();
    (!all.is_empty()).then(|| format!("By what was said (sites): {}.", all.join("; ")))
}

/// How groups did: by lot, by premises.
pub(super) fn shares(verdicts: &Verdicts, by: &str) -> Option<String> {
    let own = verdicts.groups.iter().filter(|group| group.by == by);
    let all: Vec<String> = own.map(|group| format!("{} {} of {}", group.name, group.right, group.sites)).collect();
    (!all.is_empty()).then(|| format!("Right by {by}: {}.", named(&all)))
}

/// A group of costs or hours, as it is named.
pub(super) fn group(group: &Group) -> String {
    match group.by {
        "all" => "all sites".to_owned(),
        "said" => format!("said {}", group.name),
        _ => group.name.clone(),
    }
}

/// "0.94 +- 0.03".
pub(super) fn bias(group: &Group) -> String {
    match group.spread.bias_error {
        Some(error) => format!("{:.2} ± {error:.2}", group.spread.bias),
        None => format!("{:.2}", group.spread.bias),
    }
}

pub(super) fn within(group: &Group) -> String {
    percent(group.spread.within, group.spread.sites)
}

/// A task in words.
pub(super) fn task<'a>(run: &LearnedRun<'a>, code: &'a str) -> &'a str {
    let note = run.prices.iter().find(|note| note.item == code);
    note.map_or(code, |note| note.description.as_str())
}

pub(super) fn factor(run: &LearnedRun<'_>, factor: &TaskFactor) -> String {
    let bound = match factor.proposed {
        Some(proposed) if factor.clamped => format!(", brought to {proposed} by the rules"),
        _ => String::new(),
    };
    format!(
        "{}: {:.2} ± {:.2} times the hours said{bound}; {}",
        task(run, factor.task),
        factor.factor,
        factor.error,
        count(factor.sites as usize, "site")
    )
}

/// Tasks of which nothing is proposed, counted by why.
pub(super) fn tasks_left(run: &LearnedRun<'_>) -> Option<String> {
    let left = |why: &str| run.learned.tasks.tasks.iter().filter(|task| task.why_not == why).count();
    let (few, same) = (left("too few sites"), left("not told from 1"));
    (few + same > 0).then(|| {
        format!(
            "{} not told from the hours said by {} or more; {} with fewer than {}.",
            count(same, "task"),
            errors(run),
            count(few, "task"),
            count(run.least_sites as usize, "site")
        )
    })
}

fn errors(run: &LearnedRun<'_>) -> String {
    if run.told_by_errors == 1.0 {
        "a standard error".to_owned()
    } else {
        format!("{} standard errors", plain(run.told_by_errors, 2))
    }
}

/// "looped_service, built before 1945: no 0.80 to 0.55, yes 0.20 to 0.45 ± 0.06; 69 seen".
pub(super) fn weight(weight: &LearnedWeight) -> String {
    let of = weight.values.iter().zip(weight.before.iter().zip(&weight.after)).zip(&weight.error);
    // Of two weights the one is told by the other.
    let shown = of.skip(usize::from(weight.values.len() == 2));
    let all: Vec<String> = shown
        .map(|((value, (before, after)), error)| format!("{value} {before:.2} to {after:.2} ± {error:.2}"))
        .collect();
    format!("{}, {}: {}; {}", weight.field, weight.when, all.join(", "), told_by(weight))
}

/// Who told: "69 seen", "72 by their verdict alone, worth 17 seen".
pub(super) fn told_by(weight: &LearnedWeight) -> String {
    let mut parts = Vec::new();
    if weight.seen >= 0.5 {
        parts.push(format!("{} seen", plain(weight.seen, 0)));
    }
    if weight.by_verdict >= 0.5 {
        parts.push(format!("{} by their verdict alone", plain(weight.by_verdict, 0)));
        parts.push(format!("in all worth {} seen", plain(weight.worth, 0)));
    }
    parts.join(", ")
}

pub(super) fn rival(weight: &LearnedWeight) -> Option<String> {
    let rival = weight.rival?;
    Some(format!(
        "{} ({}) is hard to tell from {} ({}): both explain the same verdicts; have one of them looked at.",
        weight.field, weight.when, rival.field, rival.when
    ))
}

pub(super) fn weights_left(run: &LearnedRun<'_>) -> Option<String> {
    let left = |why: &str| run.learned.weights.all.iter().filter(|weight| weight.why_not == why).count();
    let (few, same) = (left("too few sites"), left("not told from what is stated"));
    let holds = match left("would take a hold from sites") {
        0 => String::new(),
        some => format!("; {} would take a hold from sites, which is for people to decide", count(some, "condition")),
    };
    (few + same > 0 || !holds.is_empty()).then(|| {
        format!(
            "{} not told from what is stated by {} or more; {} with fewer than {}{holds}.",
            count(same, "condition"),
            errors(run),
            count(few, "condition"),
            count(run.least_sites as usize, "site")
        )
    })
}

/// By chance alone some of what is proposed moved so far.
pub(super) fn by_chance(run: &LearnedRun<'_>) -> Option<&'static str> {
    (run.told_by_errors <= 1.0).then_some(
        "At one standard error about a third of what is right as it stands is moved by chance; it is then moved by little.",
    )
}

/// Verdicts and facts that taught nothing, a sentence each.
pub(super) fn left_out(run: &LearnedRun<'_>) -> Vec<String> {
    let weights = &run.learned.weights;
    let mut all = Vec::new();
    if weights.unexplained > 0 {
        all.push(format!(
            "{} on site that nothing left open explains: not learned from. Look at the survey, or at what the checks do \
             not know.",
            count(weights.unexplained as usize, "verdict")
        ));
    }
    if weights.otherwise > 0 {
        all.push(format!(
            "{} left out because facts on site were not as surveyed (sheet Sites).",
            count(weights.otherwise as usize, "verdict")
        ));
    }
    let none = &weights.none_of_them;
    if !none.is_empty() {
        let each: Vec<String> = none.iter().map(|(field, when, sites)| format!("{field} ({when}) {sites}")).collect();
        all.push(format!("Found as none of the values that have a weight, by sites: {}.", named(&each)));
    }
    all
}

/// Where something that could not be used stands, what it is and why.
pub(super) fn not_used(one: &NotLearned) -> String {
    let place = match (one.cell.as_str(), one.row) {
        ("", 0) => one.file.clone(),
        ("", row) => format!("{}, row {row}", one.file),
        (cell, _) => format!("{}, {cell}", one.file),
    };
    let field = if one.field.is_empty() { String::new() } else { format!(" {}", one.field) };
    format!("{place}:{field} \"{}\". {}", short(&one.found), one.why)
}

fn short(text: &str) -> String {
    const LONGEST: usize = 60;
    if text.chars().count() <= LONGEST {
        return text.to_owned();
    }
    text.chars().take(LONGEST).chain(['…']).collect()
}
