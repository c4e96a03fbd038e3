//! The engine's answer for an arrangement that is held, under the names of the sheet's cells.

use baywright::design::{Feed, Held};
use baywright::finding::{Effect, Finding, reason};
use baywright::rules::Rules;
use baywright::verdict::Judgement;

/// A line of checks: its name on the sheet, the checks of the engine, and whether it has a figure, a limit and a reason.
const LINES: [(&str, &[&str], bool, bool, bool); 37] = [
    ("demand", &["demand-limit"], true, true, true),
    ("threshold", &["home-threshold"], true, true, true),
    ("near", &["near-cutout"], true, true, true),
    ("current", &["charging-current"], true, true, true),
    ("setpoint", &["limiter-setpoint"], true, true, true),
    ("energy", &["limiter-energy"], true, true, false),
    ("share", &["capacity-share"], true, true, true),
    ("submain", &["existing-submain"], true, true, true),
    ("switch", &["main-switch"], true, true, true),
    ("tails", &["tails"], true, true, true),
    ("isolator", &["isolator"], false, false, true),
    ("level", &["prospective-current"], true, false, false),
    ("breaking", &["breaking-capacity"], true, true, true),
    ("breaking_last", &["breaking-final"], true, true, true),
    ("before", &["before-the-circuit"], true, false, false),
    ("length", &["route-as-designed"], true, false, false),
    ("device", &["device-rating"], true, true, false),
    ("hours", &["continuous-duty"], true, true, true),
    ("capacity", &["current-capacity"], true, true, false),
    ("drop", &["voltage-drop"], true, true, false),
    ("loop", &["disconnection", "disconnection-by-rcd"], true, true, true),
    ("protective", &["protective-conductor-by-table", "protective-conductor-by-energy"], true, true, false),
    ("protective_second", &["protective-conductor-by-table", "protective-conductor-by-energy"], true, true, false),
    ("lines", &["live-conductors-by-energy", "live-conductors-by-overload"], true, true, false),
    ("lines_second", &["live-conductors-by-energy", "live-conductors-by-overload"], true, true, false),
    ("terminal", &["terminal"], true, true, true),
    ("cable", &["cable-length"], false, false, true),
    ("joint", &["cable-family"], false, false, true),
    ("external", &["external-impedance"], true, true, true),
    ("system", &["earthing-path"], false, false, true),
    ("path", &["earthing-path"], false, false, true),
    ("electrode", &["electrode"], true, true, true),
    ("rods", &["electrode-design"], true, true, true),
    ("apart", &["earth-separation"], false, false, true),
    ("monitoring", &["open-pen-voltage"], true, true, true),
    ("bonding", &["bonding"], true, true, true),
    ("conductor", &["earthing-conductor"], true, true, true),
];

/// Figures of the arrangement itself.
const FIGURES: [&str; 10] = [
    "demand_with_low_a",
    "demand_with_a",
    "demand_with_high_a",
    "cable_a",
    "drop_v",
    "zs_ohm",
    "device_a",
    "fitted_ka",
    "cable_outcome",
    "worst_rank",
];

/// Names of the answers, in their order.
pub fn columns() -> Vec<String> {
    let mut columns: Vec<String> = Vec::new();
    for (key, _, value, limit, code) in LINES {
        for (part, there) in [("value", value), ("limit", limit), ("code", code)] {
            if there {
                columns.push(format!("{key}_{part}"));
            }
        }
    }
    columns.extend(FIGURES.map(str::to_owned));
    columns
}

/// Reasons of the earthing of the supply, told apart from that of the point.
const OF_SUPPLY: [&str; 2] = ["earthing-unknown", "tn-s-taken-as-pme"];

fn belongs(key: &str, checks: &[&str], finding: &Finding) -> bool {
    let code = finding.code().unwrap_or_default();
    checks.contains(&finding.check.name)
        && match key {
            "system" => OF_SUPPLY.contains(&code),
            "path" => !OF_SUPPLY.contains(&code),
            "current" => code != "over-32-a-a-phase",
            _ => true,
        }
}

fn is_reckoned(finding: &Finding) -> bool {
    LINES.iter().any(|(key, checks, ..)| belongs(key, checks, finding))
}

fn figure(value: Option<f64>) -> String {
    match value {
        Some(value) if value >= 1e15 => "no bound".to_owned(),
        Some(value) => value.to_string(),
        None => String::new(),
    }
}

/// The answers, `-` for what the engine says nothing of.
pub fn answer(held: &Held, judgement: &Judgement, rules: &Rules) -> Vec<String> {
    let arrangement = &held.arrangement;
    let mut answers = Vec::new();
    let goes_round = arrangement.feed == Feed::SpareWay
        && arrangement.findings.iter().any(|finding| finding.code() == Some("added-board"));
    for (key, checks, value, limit, code) in LINES {
        let second = usize::from(key.ends_with("_second"));
        let finding = arrangement.findings.iter().filter(|finding| belongs(key, checks, finding)).nth(second);
        let silent = if second == 1 { String::new() } else { "-".to_owned() };
        if value {
            answers.push(finding.map_or(silent.clone(), |finding| figure(finding.value)));
        }
        if limit {
            answers.push(finding.map_or(silent, |finding| figure(finding.limit)));
        }
        if code {
            let said = finding.and_then(Finding::code).unwrap_or_default();
            answers.push(match key {
                "cable" if !held.cable_serves => "no-cable-fits".to_owned(),
                "switch" if goes_round => "added-board".to_owned(),
                // A home over its threshold is told that alone.
                "demand" if finding.is_none() => "-".to_owned(),
                _ => said.to_owned(),
            });
        }
    }
    let demand = arrangement.maximum_demand_a;
    answers.extend(
        [
            demand.low,
            demand.likely,
            demand.high,
            arrangement.current_capacity_a,
            arrangement.voltage_drop_v,
            arrangement.zs_ohm,
            arrangement.device.rating_a,
            arrangement.device.breaking_ka,
        ]
        .map(|figure| figure.to_string()),
    );
    answers.push(if held.cable_serves { "pass" } else { "fail" }.to_owned());
    let reckoned = arrangement.findings.iter().filter(|finding| is_reckoned(finding));
    let kept = judgement.findings.iter().filter(|finding| !is_reckoned(finding));
    let mut worst = reckoned.chain(kept).map(|finding| finding.effect).max().unwrap_or(Effect::None);
    if !held.cable_serves {
        worst = worst.max(rules.effect_of(reason("no-cable-fits")));
    }
    if goes_round {
        worst = worst.max(rules.effect_of(reason("added-board")));
    }
    answers.push((worst as u8).to_string());
    answers
}
