//! One site's whole calculation on the terminal, in the order in which a designer works. Every figure can be followed:
//! formula, numbers, result, limit, margin, clause, source and its status.

use super::figures::{plain, pounds, weeks};
use super::materials::PriceIndex;
use super::{Run, circuit, design, sentence};
use crate::design::{Arrangement, Control, EarthingPath};
use crate::finding::{Effect, Finding, Outcome, Route};
use crate::quantity::round_to;
use crate::site::Verdict;
use crate::verdict::Judgement;

/// Tests on site and when each is needed.
const SITE_TESTS: &str = include_str!("site-tests.csv");
/// Columns before a margin and a clause are set.
const WORKING_COLUMNS: usize = 84;
const TITLE_COLUMNS: usize = 40;

/// The calculation of `judgement`, a site of `run`.
pub fn explain(run: &Run<'_>, judgement: &Judgement) -> String {
    let mut text = String::new();
    head(&mut text, judgement);
    facts(&mut text, judgement);
    block(&mut text, "Checks, in working order");
    for (number, finding) in (1..).zip(&judgement.findings) {
        text.push_str(&finding_lines(number, finding));
    }
    if let Some(chosen) = &judgement.chosen {
        arrangement(&mut text, chosen);
    }
    for (title, other) in [("Runner-up", &judgement.runner_up), ("With an application", &judgement.with_application)] {
        if let Some(other) = other {
            text.push_str(&format!("  {title}: {}\n", design::other_words(other)));
        }
    }
    estimate(&mut text, run, judgement);
    ways_out(&mut text, judgement);
    assumed(&mut text, judgement);
    on_site(&mut text, judgement);
    text.push_str("\nA desk-top screen: a qualified designer verifies the site before work.\n");
    text
}

fn block(text: &mut String, title: &str) {
    text.push_str(&format!("\n{title}\n"));
}

fn head(text: &mut String, judgement: &Judgement) {
    let brief = &judgement.brief;
    let place = [brief.address.as_str(), brief.postcode.as_str()]
        .iter()
        .filter(|part| !part.is_empty())
        .copied()
        .collect::<Vec<_>>()
        .join(", ");
    let mut verdict = judgement.verdict.word().to_uppercase();
    if let Some(chosen) = judgement.chosen.as_ref().filter(|_| judgement.verdict != Verdict::Blocked) {
        let phases = if chosen.phases > 1 { format!("{} × ", chosen.phases) } else { String::new() };
        verdict.push_str(&format!(" at {phases}{} A", plain(chosen.setting_a, 1)));
    }
    match judgement.operator_route {
        Route::None => {}
        Route::Notify => verdict.push_str(", tell the operator within 28 days"),
        Route::Apply => verdict.push_str(", apply to the operator first"),
    }
    text.push_str(format!("{}  {place}    {verdict}", brief.site_id).trim_end());
    text.push('\n');
    text.push_str(&format!("  {}\n", sentence::why(judgement)));
    if !judgement.next_step.is_empty() {
        text.push_str(&format!("  Next: {}\n", judgement.next_step));
    }
    if let Some(time) = judgement.weeks.filter(|time| time.high > 0) {
        let waits = sentence::waits(judgement);
        let what = if waits.is_empty() { String::new() } else { format!(" Waits for: {waits}.") };
        text.push_str(&format!("  Time: {}, likely {}.{what}\n", weeks(time.low, time.high), time.likely));
    }
    let odds = judgement.odds;
    text.push_str(&format!(
        "  Odds once its unknowns are settled: ready {} %, marginal {} %, blocked {} %. Survey behind it: {}.\n",
        plain(odds.ready * 100.0, 0),
        plain(odds.marginal * 100.0, 0),
        plain(odds.blocked * 100.0, 0),
        judgement.confidence.word()
    ));
}

/// A tilde before a figure that rests on an assumed value of one of `fields`.
fn mark(judgement: &Judgement, fields: &[&str]) -> &'static str {
    if judgement.assumed.iter().any(|assumed| fields.contains(&assumed.field)) { "~" } else { "" }
}

fn facts(text: &mut String, judgement: &Judgement) {
    let demand = judgement.existing_demand_a;
    let tilde = mark(judgement, &["existing_demand_a", "existing_demand_kw", "recorded_peak_kva"]);
    text.push_str(&format!(
        "  Existing demand {tilde}{} A ({} to {})",
        plain(demand.likely, 1),
        plain(demand.low, 1),
        plain(demand.high, 1)
    ));
    if let Some(limit) = judgement.supply_limit_a {
        let tilde = mark(judgement, &["cutout_rating_a", "agreed_capacity_kva", "tails_mm2"]);
        text.push_str(&format!("; the supply gives {tilde}{} A a phase", plain(limit, 1)));
    }
    text.push_str(".\n");
}

/// A finding on one line, its source on a second where there is one.
fn finding_lines(number: u32, finding: &Finding) -> String {
    let check = finding.check;
    let mut working = if check.formula.is_empty() {
        match (finding.value, finding.limit) {
            (Some(value), Some(limit)) => format!(
                "{} {} {} {}",
                plain(value, check.places),
                if check.limit_is_least { "≥" } else { "≤" },
                plain(limit, check.places),
                check.unit
            ),
            (Some(value), None) => format!("{} {}", plain(value, check.places), check.unit),
            _ => finding.subject.to_owned(),
        }
    } else {
        finding.working()
    };
    if finding.outcome == Outcome::Fail {
        working.push_str("  ✗");
    }
    let margin = finding.margin().filter(|margin| margin.is_finite()).map_or_else(String::new, |margin| {
        format!("margin {} {}", plain(round_to(margin, check.places), check.places), check.unit)
    });
    let origin = [check.clause, check.source].iter().filter(|part| !part.is_empty()).copied().collect::<Vec<_>>();
    let status = if check.status.is_empty() { String::new() } else { format!(" ({})", check.status) };
    let mut line = format!(
        "{number:>3}  {}  {}  {:<16}  {}{status}",
        padded(check.title, TITLE_COLUMNS),
        padded(&working, WORKING_COLUMNS),
        margin,
        origin.join("; ")
    )
    .trim_end()
    .to_owned();
    line.push('\n');
    let words = sentence::of_finding(finding);
    if !words.is_empty() {
        let code = finding.code().unwrap_or_default();
        let effect = match finding.effect {
            Effect::None => String::new(),
            effect => format!("{}: ", effect.word()),
        };
        line.push_str(&format!("     → {effect}{words} ({code})\n"));
    }
    line
}

/// The text filled up with blanks to a width counted in characters.
fn padded(text: &str, width: usize) -> String {
    let mut padded = text.to_owned();
    padded.extend(std::iter::repeat_n(' ', width.saturating_sub(text.chars().count())));
    padded
}

fn arrangement(text: &mut String, chosen: &Arrangement) {
    block(text, "Arrangement");
    text.push_str(&format!(
        "  {} at {} A on {} phase{}, from a {}\n",
        if chosen.points == 1 { "1 point".to_owned() } else { format!("{} points", chosen.points) },
        plain(chosen.setting_a, 1),
        chosen.phases,
        if chosen.phases == 1 { "" } else { "s" },
        chosen.feed.word()
    ));
    text.push_str(&format!("  Control: {}\n", circuit::control(chosen.control)));
    text.push_str(&format!("  Device: {}\n", circuit::device(&chosen.device)));
    if let Some(device) = &chosen.submain_device {
        text.push_str(&format!("  Sub-main device: {}\n", circuit::device(device)));
    }
    text.push_str(&format!("  Cable: {}\n  Earthing: {}\n", circuit::runs(chosen), chosen.earthing.word()));
    let works = circuit::works(chosen);
    if !works.is_empty() {
        text.push_str(&format!("  Works: {works}\n"));
    }
    if let Some(shared) = chosen.shared {
        text.push_str(&format!(
            "  Shared: {} A a phase for all, {} points at once, {} served a day; {} kWh needed, {} not delivered\n",
            plain(shared.group_limit_a, 1),
            shared.points_at_once,
            shared.points_served,
            plain(shared.energy_needed_kwh, 1),
            plain(shared.energy_unserved_kwh, 1)
        ));
    }
}

fn estimate(text: &mut String, run: &Run<'_>, judgement: &Judgement) {
    let Some(estimate) = judgement.estimate.as_ref().filter(|_| judgement.verdict != Verdict::Blocked) else { return };
    let prices = PriceIndex::of(run.prices);
    let items = estimate.bill.iter().map(|line| line.item).chain(estimate.tasks.iter().map(|line| line.task));
    let width = items.map(|item| prices.words(item).0.chars().count()).max().unwrap_or(0);
    block(text, "Materials and bought services (likely, before VAT)");
    for line in &estimate.bill {
        let (description, unit) = prices.words(line.item);
        let quantity = format!("{} {unit}", plain(line.quantity.likely, 1));
        text.push_str(&format!(
            "  {}  {:>12}  {:>9}  {}\n",
            padded(description, width),
            quantity.trim_end(),
            pounds(line.cost.likely),
            line.because
        ));
    }
    block(text, "Labour (likely)");
    for line in &estimate.tasks {
        let (description, _) = prices.words(line.task);
        text.push_str(&format!(
            "  {}  {:>10} h  {:>9}  {}\n",
            padded(description, width),
            plain(line.hours.likely, 2),
            pounds(line.cost.likely),
            line.because
        ));
    }
    let (cost, hours) = (estimate.cost, estimate.hours);
    text.push_str(&format!(
        "  In all {} ({} to {}) before VAT; {} hours ({} to {}), {}.\n",
        pounds(cost.likely),
        pounds(cost.low),
        pounds(cost.high),
        plain(hours.likely, 1),
        plain(hours.low, 1),
        plain(hours.high, 1),
        estimate.labour_band.word()
    ));
}

fn ways_out(text: &mut String, judgement: &Judgement) {
    if judgement.remedies.is_empty() {
        return;
    }
    block(text, "Ways out");
    for remedy in &judgement.remedies {
        let payer = if remedy.payer.is_empty() {
            String::new()
        } else {
            format!("; {} {}", remedy.payer, if remedy.payer.contains(" and ") { "pay" } else { "pays" })
        };
        text.push_str(&format!(
            "  {}: {}; {} ({} to {}){payer}\n",
            remedy.kind.word(),
            sentence::remedy_words(remedy),
            pounds(remedy.cost.likely),
            pounds(remedy.cost.low),
            pounds(remedy.cost.high)
        ));
    }
}

fn assumed(text: &mut String, judgement: &Judgement) {
    for (title, fields) in [
        ("Answers that would decide", &judgement.decisive_unknowns),
        ("Confirm before booking", &judgement.confirm_first),
    ] {
        if !fields.is_empty() {
            text.push_str(&format!("\n{title}: {}\n", fields.join(", ")));
        }
    }
    if judgement.assumed.is_empty() {
        return;
    }
    block(text, "Assumed, not from your sheet");
    for assumed in &judgement.assumed {
        text.push_str(&format!("  ~ {} = {}: {}\n", assumed.field, assumed.value, assumed.source));
    }
}

/// The tests that the arrangement calls for.
fn on_site(text: &mut String, judgement: &Judgement) {
    let Some(chosen) = &judgement.chosen else { return };
    block(text, "On site, before energising");
    for record in csv::Reader::from_reader(SITE_TESTS.as_bytes()).records().flatten() {
        let cell = |index: usize| record.get(index).unwrap_or_default();
        if is_needed(cell(1), chosen) {
            text.push_str(&format!("  [ ] {}  {} ({})\n", padded(cell(0), 74), cell(2), cell(3)));
        }
    }
}

fn is_needed(when: &str, chosen: &Arrangement) -> bool {
    match when {
        "supply-earth" => chosen.earthing != EarthingPath::Electrode,
        "electrode" => chosen.earthing == EarthingPath::Electrode,
        "open-pen" => {
            matches!(chosen.earthing, EarthingPath::SupplyEarthOpenPen | EarthingPath::SupplyEarthOpenPenDevice)
        }
        "three-phase" => chosen.phases == 3,
        "limiter" => matches!(chosen.control, Control::Local { .. }),
        "group" => matches!(chosen.control, Control::Group { .. }),
        _ => true,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::fixture::Fixture;

    #[test]
    fn a_ready_site_is_told_from_demand_to_tests() {
        let fixture = Fixture::new(24);
        let run = fixture.run();
        let ranked = run.portfolio.sites.iter().find(|site| site.judgement.verdict == Verdict::Ready).expect("one");
        let text = explain(&run, &ranked.judgement);
        let at = |words: &str| text.find(words).unwrap_or_else(|| panic!("no {words} in\n{text}"));
        let order = [
            "READY at",
            "Checks, in working order",
            "Voltage drop",
            "Arrangement",
            "Materials",
            "Labour",
            "Assumed, not from your sheet",
            "On site, before energising",
            "A desk-top screen",
        ];
        assert!(order.windows(2).all(|pair| at(pair[0]) < at(pair[1])), "{text}");
        assert!(text.contains("margin "), "{text}");
        assert!(!text.contains("{0}"), "{text}");
    }

    #[test]
    fn every_site_can_be_told() {
        let fixture = Fixture::new(24);
        let run = fixture.run();
        for ranked in &run.portfolio.sites {
            let text = explain(&run, &ranked.judgement);
            assert!(text.starts_with(&ranked.judgement.brief.site_id));
            assert_eq!(text.contains("On site, before energising"), ranked.judgement.chosen.is_some());
        }
    }
}
