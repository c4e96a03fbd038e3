//! The topic `circuit`: a whole arrangement for a surveyed site, and every figure of it by name.

use super::case::{Figure, Figures, Inputs, number};
use super::survey;
use baywright::design::{Arrangement, Control, RunRole, arrangements, facts, supply_limit_a, worst_effect};
use baywright::estimate::{Place, PriceBook};
use baywright::rules::{Rules, load_rules};
use std::io::Write;

/// The default rules with the case's lines over them, read the way a user's file is: unsafe lines are refused.
fn rules_with(lines: &toml::Table) -> Result<Rules, String> {
    let mut file = tempfile::NamedTempFile::new().map_err(|fault| fault.to_string())?;
    file.write_all(lines.to_string().as_bytes()).map_err(|fault| fault.to_string())?;
    load_rules(file.path()).map_err(|fault| fault.to_string())
}

fn is_picked(arrangement: &Arrangement, pick: &toml::Table) -> Result<bool, String> {
    let run = arrangement.final_run();
    for (key, wanted) in pick {
        let matches = match key.as_str() {
            "setting_a" => number(wanted) == Some(arrangement.setting_a),
            "phases" => number(wanted) == Some(f64::from(arrangement.phases)),
            "cores" => run.is_some_and(|run| number(wanted) == Some(f64::from(run.cable.cores))),
            "family" => run.is_some_and(|run| wanted.as_str() == Some(run.cable.family.word())),
            "runs" => number(wanted) == Some(arrangement.runs.len() as f64),
            _ => {
                return Err(format!("pick: {key} is not something an arrangement is picked by"));
            }
        };
        if !matches {
            return Ok(false);
        }
    }
    Ok(true)
}

pub fn figures(inputs: &Inputs<'_>, rules: &toml::Table, pick: &toml::Table) -> Result<Figures, String> {
    let rules = rules_with(rules)?;
    let site = survey::site(inputs)?;
    let (facts, _) = facts(&site, &rules);
    let built = arrangements(&facts, &rules);
    let mut figures = Figures::new();
    put(&mut figures, "built", built.len() as f64);
    put(&mut figures, "supply_limit_a", supply_limit_a(&facts));
    // As the choice goes: least effect first, then the highest current.
    let best =
        built.iter().min_by(|a, b| worst_effect(a).cmp(&worst_effect(b)).then(b.setting_a.total_cmp(&a.setting_a)));
    if let Some(best) = best {
        put(&mut figures, "best_setting_a", best.setting_a);
        say(&mut figures, "best_effect", worst_effect(best).word());
    }
    for arrangement in &built {
        if is_picked(arrangement, pick)? {
            of_arrangement(arrangement, &mut figures);
            return Ok(figures);
        }
    }
    if pick.is_empty() && built.is_empty() {
        return Ok(figures);
    }
    Err(format!("none of the {} arrangements is {pick}", built.len()))
}

/// The arrangement that a take-off is of, and its place.
pub fn picked(inputs: &Inputs<'_>, rules: &toml::Table, pick: &toml::Table) -> Result<(Arrangement, Place), String> {
    let rules = rules_with(rules)?;
    let site = survey::site(inputs)?;
    let (facts, _) = facts(&site, &rules);
    let place = Place::of(&site, &facts, &rules, PriceBook::default_book());
    let mut built = arrangements(&facts, &rules);
    for (at, arrangement) in built.iter().enumerate() {
        if is_picked(arrangement, pick)? {
            return Ok((built.swap_remove(at), place));
        }
    }
    Err(format!("none of the {} arrangements is {pick}", built.len()))
}

fn put(figures: &mut Figures, name: &str, value: f64) {
    figures.insert(name.into(), Figure::Number(value));
}

fn say(figures: &mut Figures, name: &str, word: &str) {
    figures.insert(name.into(), Figure::Word(word.into()));
}

fn of_arrangement(arrangement: &Arrangement, figures: &mut Figures) {
    for (name, value) in [
        ("setting_a", arrangement.setting_a),
        ("phases", f64::from(arrangement.phases)),
        ("points", f64::from(arrangement.points)),
        ("device_a", arrangement.device.rating_a),
        ("breaking_ka", arrangement.device.breaking_ka),
        ("poles", f64::from(arrangement.device.poles)),
        ("maximum_demand_a", arrangement.maximum_demand_a.likely),
        ("maximum_demand_high_a", arrangement.maximum_demand_a.high),
        ("current_capacity_a", arrangement.current_capacity_a),
        ("voltage_drop_v", arrangement.voltage_drop_v),
        ("voltage_drop_percent", arrangement.voltage_drop_percent),
        ("zs_ohm", arrangement.zs_ohm),
        ("zs_limit_ohm", arrangement.zs_limit_ohm),
        ("fault_current_a", arrangement.fault_current_a),
        ("runs", arrangement.runs.len() as f64),
        ("length_m", arrangement.length_m()),
    ] {
        put(figures, name, value);
    }
    say(figures, "curve", arrangement.device.curve.word());
    say(figures, "control", arrangement.control.word());
    say(figures, "feed", arrangement.feed.word());
    say(figures, "earthing", arrangement.earthing.word());
    say(figures, "effect", worst_effect(arrangement).word());
    match arrangement.control {
        Control::Local { setpoint_a } => put(figures, "setpoint_a", setpoint_a),
        Control::Group { limit_a, .. } => put(figures, "group_limit_a", limit_a),
        Control::None => {}
    }
    if let Some(run) = arrangement.final_run() {
        say(figures, "family", run.cable.family.word());
        say(figures, "method", run.method.word());
        put(figures, "csa_mm2", run.cable.csa_mm2);
        put(figures, "cores", f64::from(run.cable.cores));
    }
    if let Some(run) = arrangement.runs.iter().find(|run| run.role == RunRole::SubMain) {
        put(figures, "submain_csa_mm2", run.cable.csa_mm2);
        put(figures, "submain_count", f64::from(run.count));
    }
    if let Some(device) = arrangement.submain_device {
        put(figures, "submain_device_a", device.rating_a);
    }
    if let Some(shared) = arrangement.shared {
        put(figures, "points_at_once", f64::from(shared.points_at_once));
        put(figures, "points_served", f64::from(shared.points_served));
        put(figures, "energy_needed_kwh", shared.energy_needed_kwh);
        put(figures, "energy_unserved_kwh", shared.energy_unserved_kwh);
        put(figures, "least_group_limit_a", shared.least_group_limit_a.unwrap_or(f64::INFINITY));
    }
    let codes = arrangement.findings.iter().filter_map(|finding| finding.code());
    figures.insert("codes".into(), Figure::List(codes.map(str::to_owned).collect()));
    for finding in &arrangement.findings {
        let name = finding.check.name;
        for (part, value) in [("value", finding.value), ("limit", finding.limit)] {
            if let Some(value) = value {
                put(figures, &format!("{name}.{part}"), value);
            }
        }
        if !finding.subject.is_empty() {
            say(figures, &format!("{name}.subject"), finding.subject);
        }
        for (index, term) in finding.terms.iter().enumerate() {
            put(figures, &format!("{name}.term{index}"), *term);
        }
    }
}
