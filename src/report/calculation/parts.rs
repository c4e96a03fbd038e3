//! What stands around the lines of a calculation, in words: which site, what was chosen, why the runner-up lost, what it
//! costs, what it rests on. Terminal and paper share it.

use crate::design::{Arrangement, Control, SupplyPlan};
use crate::finding::Route;
use crate::quantity::Pence;
use crate::report::figures::{plain, pounds, weeks};
use crate::report::{circuit, design, sentence, shared_supplies};
use crate::site::Verdict;
use crate::verdict::{Judgement, SiteBrief};

/// Address and postcode.
pub(in crate::report) fn place(brief: &SiteBrief) -> String {
    let parts = [brief.address.as_str(), brief.postcode.as_str()];
    parts.iter().filter(|part| !part.is_empty()).copied().collect::<Vec<_>>().join(", ")
}

/// Verdict, current and what the operator must be told: "READY at 32 A, tell the operator within 28 days".
pub(in crate::report) fn heading(judgement: &Judgement) -> String {
    let mut words = judgement.verdict.word().to_uppercase();
    if let Some(chosen) = judgement.chosen.as_ref().filter(|_| judgement.verdict != Verdict::Blocked) {
        let phases = if chosen.phases > 1 { format!("{} × ", chosen.phases) } else { String::new() };
        words.push_str(&format!(" at {phases}{} A", plain(chosen.setting_a, 1)));
        if let Control::Group { limit_a, .. } = chosen.control {
            let points = chosen.points;
            words.push_str(&format!(", {points} points sharing {} A a phase", plain(limit_a, 1)));
        }
    }
    match judgement.operator_route {
        Route::None => {}
        Route::Notify => words.push_str(", tell the operator within 28 days"),
        Route::Apply => words.push_str(", apply to the operator first"),
    }
    words
}

/// Next step and time, each a line; none that would be empty.
pub(in crate::report) fn next(judgement: &Judgement) -> Vec<String> {
    let mut lines = Vec::new();
    if !judgement.next_step.is_empty() {
        lines.push(format!("Next: {}", judgement.next_step));
    }
    if let Some(time) = judgement.weeks.filter(|time| time.high > 0) {
        let waits = sentence::waits(judgement);
        let what = if waits.is_empty() { String::new() } else { format!(" Waits for: {waits}.") };
        lines.push(format!("Time: {}, likely {}.{what}", weeks(time.low, time.high), time.likely));
    }
    lines
}

/// A tilde before a figure that rests on an assumed value of one of `fields`.
fn mark(judgement: &Judgement, fields: &[&str]) -> &'static str {
    let assumed = judgement.assumed.iter().any(|assumed| fields.contains(&assumed.field));
    if assumed { super::ASSUMED } else { "" }
}

/// Existing demand and what the supply gives.
pub(in crate::report) fn demand(judgement: &Judgement) -> String {
    let demand = judgement.existing_demand_a;
    let mut text = format!(
        "Existing demand {}{} A ({} to {})",
        mark(judgement, &["existing_demand_a", "existing_demand_kw", "recorded_peak_kva"]),
        plain(demand.likely, 1),
        plain(demand.low, 1),
        plain(demand.high, 1)
    );
    if let Some(limit) = judgement.supply_limit_a {
        let tilde = mark(judgement, &["cutout_rating_a", "agreed_capacity_kva", "tails_mm2"]);
        text.push_str(&format!("; the supply gives {tilde}{} A a phase", plain(limit, 1)));
    }
    text.push('.');
    text
}

/// The chosen arrangement, a heading and its words a line.
pub(in crate::report) fn arrangement(chosen: &Arrangement, plan: Option<&SupplyPlan>) -> Vec<(&'static str, String)> {
    let mut lines = vec![
        (
            "Charging",
            format!(
                "{} at {} A on {} phase{}, from a {}",
                if chosen.points == 1 { "1 point".to_owned() } else { format!("{} points", chosen.points) },
                plain(chosen.setting_a, 1),
                chosen.phases,
                if chosen.phases == 1 { "" } else { "s" },
                chosen.feed.word()
            ),
        ),
        ("Control", circuit::control(chosen.control)),
        ("Device", circuit::device(&chosen.device)),
    ];
    if let Some(device) = &chosen.submain_device {
        lines.push(("Sub-main device", circuit::device(device)));
    }
    lines.push(("Cable", circuit::runs(chosen)));
    lines.push(("Earthing", chosen.earthing.word().to_owned()));
    let works = circuit::works(chosen);
    if !works.is_empty() {
        lines.push(("Works", works));
    }
    if let Some(shared) = chosen.shared {
        lines.push((
            "Shared",
            format!(
                "{} A a phase for all, {} points at once, {} served a day; {} kWh needed, {} not delivered; on a high day \
                 {} and {}",
                plain(shared.group_limit_a, 1),
                shared.points_at_once,
                shared.points_served,
                plain(shared.energy_needed_kwh, 1),
                plain(shared.energy_unserved_kwh, 1),
                plain(shared.energy_needed_high_kwh, 1),
                plain(shared.energy_unserved_high_kwh, 1)
            ),
        ));
    }
    if let Some(plan) = plan {
        lines.push(("Demand", shared_supplies::control_words(plan, chosen)));
        lines.push(("Years", shared_supplies::next_words(plan, chosen)));
    }
    lines
}

/// The arrangements that lost, each with why.
pub(in crate::report) fn others(judgement: &Judgement) -> Vec<(&'static str, String)> {
    [("Runner-up", &judgement.runner_up), ("With an application", &judgement.with_application)]
        .into_iter()
        .filter_map(|(title, other)| other.as_ref().map(|other| (title, design::other_words(other))))
        .collect()
}

/// Cost and hours with their bands: "£1,495 (£1,126 to £2,354) before VAT; 9.6 hours (7.2 to 14.2), a day." `None` where
/// nothing was priced.
pub(in crate::report) fn cost(judgement: &Judgement) -> Option<String> {
    let estimate = judgement.estimate.as_ref().filter(|_| judgement.verdict != Verdict::Blocked)?;
    let (cost, hours) = (estimate.cost, estimate.hours);
    Some(format!(
        "{} ({} to {}) before VAT; {} hours ({} to {}), {}.",
        pounds(cost.likely),
        pounds(cost.low),
        pounds(cost.high),
        plain(hours.likely, 1),
        plain(hours.low, 1),
        plain(hours.high, 1),
        estimate.labour_band.word()
    ))
}

/// The likely sum of materials and bought services; `None` where nothing was priced.
pub(in crate::report) fn materials(judgement: &Judgement) -> Option<String> {
    let estimate = judgement.estimate.as_ref().filter(|_| judgement.verdict != Verdict::Blocked)?;
    let sum: Pence = estimate.bill.iter().map(|line| line.cost.likely).sum();
    Some(format!("Materials and bought services {}", pounds(sum)))
}

/// Ways out, a line each; where there is none, what would have to give.
pub(in crate::report) fn ways_out(judgement: &Judgement) -> Vec<String> {
    let payer = |payer: &str| match payer {
        "" => String::new(),
        several if several.contains(" and ") => format!("; {several} pay"),
        one => format!("; {one} pays"),
    };
    judgement
        .remedies
        .iter()
        .map(|remedy| {
            format!(
                "{}: {}; {} ({} to {}){}",
                remedy.kind.word(),
                sentence::remedy_words(remedy),
                pounds(remedy.cost.likely),
                pounds(remedy.cost.low),
                pounds(remedy.cost.high),
                payer(&remedy.payer)
            )
        })
        .chain(Some(judgement.would_have_to_give.clone()).filter(|words| !words.is_empty()))
        .collect()
}

/// Survey fields to be answered, each list under its heading.
pub(in crate::report) fn questions(judgement: &Judgement) -> Vec<String> {
    [("Answers that would decide", &judgement.decisive_unknowns), ("Confirm before booking", &judgement.confirm_first)]
        .into_iter()
        .filter(|(_, fields)| !fields.is_empty())
        .map(|(title, fields)| format!("{title}: {}", fields.join(", ")))
        .collect()
}

/// Assumed values, a line each.
pub(in crate::report) fn assumed(judgement: &Judgement) -> Vec<String> {
    let line = |assumed: &crate::verdict::Assumed| {
        format!("{} {} = {}: {}", super::ASSUMED, assumed.field, assumed.value, assumed.source)
    };
    judgement.assumed.iter().map(line).collect()
}
