//! One site from its survey to its judgement: the order of the steps, nothing else.

use super::choice::{Candidate, rank, runner_up, verdict_of, with_application};
use super::outlook::{Judged, Outlook, swings};
use super::remedy::{Situation, ways_out, would_have_to_give};
use super::types::{Confidence, Judgement, SiteBrief};
use super::unknowns::{doubtful_answers, fields_behind, unanswered, unsettled};
use crate::design::{
    Arrangement, Basis, Evidence, Facts, Work, arrangements, facts, fuse_policy_a, place_findings, service_findings,
    supply_limit_a, supply_plan,
};
use crate::estimate::{Estimate, Place, PriceBook, estimate, likely_cost};
use crate::finding::{Effect, Finding, Reason, Route, WaitsFor, Weeks};
use crate::rules::{Rules, Stance};
use crate::site::{CutoutEvidence, DemandMethod, Heating, Premises, Reading, Site, Tenure, Verdict};
use jiff::civil::Date;

/// What every site of a run is judged with.
#[derive(Clone, Copy)]
pub struct Context<'a> {
    /// The policy.
    pub rules: &'a Rules,
    /// The prices.
    pub prices: &'a PriceBook,
    /// How facts that nobody was asked are treated.
    pub stance: Stance,
    /// Date of the run.
    pub as_of: Date,
    /// Whether the chance of each verdict is worked out.
    pub odds: bool,
}

/// Judges one site.
pub fn judge(site: &Site, context: &Context<'_>) -> Judgement {
    let Context { rules, prices, stance, as_of, odds } = *context;
    let (mut facts, mut assumed) = facts(site, rules);
    assumed.shrink_to_fit(); // kept for every site
    let widest = facts.clone();
    let doubtful = doubtful_answers(site, &mut facts, rules);
    let evidence = Evidence { site, facts: &facts, rules, stance, as_of };
    let (open_fields, mut site_findings) = site_findings(&evidence, &doubtful);
    let (committed_fields, committed_findings) = if stance == Stance::Commit {
        (open_fields.clone(), site_findings.clone())
    } else {
        self::site_findings(&Evidence { stance: Stance::Commit, ..evidence }, &doubtful)
    };
    let place = Place::of(site, &facts, rules, prices);
    let ranked = ranked(&facts, &place, rules, prices);
    let (runner_up, with_application) = (runner_up(&ranked), with_application(&ranked));
    let mut chosen = ranked.into_iter().next().map(|candidate| candidate.arrangement);
    // Where the site waits for the operator, the application is part of the way out and priced there.
    let formality = site_findings.iter().any(|finding| finding.effect == Effect::Step && applies(finding));
    if let Some(chosen) = chosen.as_mut().filter(|chosen| formality && !chosen.works.contains(&Work::Application)) {
        chosen.works.push(Work::Application);
    }
    let priced: Option<Estimate> =
        chosen.as_ref().filter(|chosen| is_design(chosen)).map(|chosen| estimate(chosen, &place, prices));
    let consulted = ruled(consultation(site, &facts, priced.as_ref(), rules), rules);
    site_findings.extend(consulted.iter().cloned());
    let arrangement_worst = chosen.as_ref().map_or(Effect::None, crate::design::worst_effect);
    // Moved, not copied: of many thousand sites the findings are the bulk.
    let of_arrangement = chosen.as_mut().map(|chosen| std::mem::take(&mut chosen.findings)).unwrap_or_default();
    let of_site = site_findings.len();
    let findings: Vec<Finding> = site_findings.into_iter().chain(of_arrangement).collect();
    let verdict = verdict_of(worst(&findings));
    let ready_if_committed =
        verdict == Verdict::Ready && worst(&committed_findings).max(arrangement_worst) <= Effect::Step;
    let behind = |findings: &[Finding], open: &[&'static str]| {
        let mut fields = fields_behind(findings, site);
        for field in open {
            if !fields.contains(field) {
                fields.push(field);
            }
        }
        fields
    };
    let decisive_unknowns = behind(&findings, &open_fields);
    let mut confirm_first = behind(&committed_findings, &committed_fields);
    confirm_first.retain(|field| !decisive_unknowns.contains(field));
    // The price of a likely design stands for that of all: whether leaseholders have to be consulted hangs on it.
    let floor = consulted.iter().map(|finding| finding.effect).max().unwrap_or(Effect::None);
    let outlook = odds.then(|| Outlook::of(&Judged { site, rules, as_of, floor }, &widest));
    // Whatever else turns the verdict within what is plausible is worth a word before the van is booked.
    let deciding = outlook.as_ref().map(Outlook::deciding).unwrap_or_default();
    for field in deciding {
        if !decisive_unknowns.contains(&field) && !confirm_first.contains(&field) {
            confirm_first.push(field);
        }
    }
    let plan = chosen.as_ref().filter(|chosen| is_design(chosen));
    let plan = plan.and_then(|chosen| supply_plan(&facts, rules, chosen, as_of.year()));
    let reasons = reasons(&findings);
    let situation = Situation {
        evidence,
        doubtful: &doubtful,
        consulted: &consulted,
        prices,
        place: &place,
        fuse_policy_a: fuse_policy_a(site),
    };
    let (found_of_site, found_of_design) = findings.split_at(of_site.min(findings.len()));
    let remedies = ways_out(found_of_site, found_of_design, &situation);
    let no_way_out = verdict != Verdict::Ready && remedies.is_empty();
    let would_have_to_give = match no_way_out {
        true => would_have_to_give(found_of_site, found_of_design, &situation),
        false => String::new(),
    };
    let (waits_for, weeks) = (waits_for(&findings), weeks(&findings));
    let governing_demand = chosen.as_ref().map_or(facts.demand.band_a, |_| crate::design::governing_demand(&facts));
    let operator_route = findings.iter().filter_map(route).max().unwrap_or(Route::None);
    let supply_known = site.supply.cutout_rating_a.is_stated() || site.supply.agreed_capacity_kva.is_stated();
    Judgement {
        next_step: next_step(verdict, &reasons, operator_route),
        brief: brief(site),
        verdict,
        waits_for,
        weeks,
        remedies,
        would_have_to_give,
        reasons,
        findings,
        estimate: priced.filter(|_| verdict != Verdict::Blocked),
        supply_plan: plan.map(Box::new),
        runner_up,
        with_application,
        basis: chosen.as_ref().and_then(|chosen| Basis::of(site, &facts, chosen)).map(Box::new),
        existing_demand_a: governing_demand,
        supply_limit_a: supply_known.then(|| supply_limit_a(&facts)),
        operator_route,
        confidence: confidence(site),
        odds: outlook.as_ref().map(Outlook::odds),
        outlook,
        swings: Vec::new(),
        decisive_unknowns,
        confirm_first,
        assumed,
        ready_if_committed,
        chosen,
    }
}

/// Judges one site, and says how verdict and cost move with each fact that is open.
pub fn judge_closely(site: &Site, context: &Context<'_>) -> Judgement {
    let mut judgement = judge(site, context);
    let consultation = judgement.findings.iter().filter(|finding| finding.check.name == "consultation");
    let floor = consultation.map(|finding| finding.effect).max().unwrap_or(Effect::None);
    if let Some(outlook) = &judgement.outlook {
        judgement.swings = swings(site, context, outlook, floor);
    }
    judgement
}

/// Everything that could be built for these facts, best first.
pub(super) fn ranked(facts: &Facts, place: &Place, rules: &Rules, prices: &PriceBook) -> Vec<Candidate> {
    let built = arrangements(facts, rules).into_iter().map(|arrangement| {
        let cost = likely_cost(&arrangement, place, prices);
        Candidate::new(arrangement, cost)
    });
    rank(built.collect())
}

/// Whether an arrangement is a design that has a price: where not one session of several points fits, what stands there
/// is none of them all.
pub(super) fn is_design(chosen: &Arrangement) -> bool {
    !chosen.runs.is_empty() && (chosen.points <= 1 || chosen.shared.is_some())
}

/// Findings of the service, the place and the open questions under the rules, and the fields of the open questions.
pub(super) fn site_findings(evidence: &Evidence<'_>, doubtful: &[&'static str]) -> (Vec<&'static str>, Vec<Finding>) {
    let mut fields = doubtful.to_vec();
    fields.extend(unanswered(evidence));
    let mut findings = service_findings(evidence);
    findings.extend(place_findings(evidence));
    findings.extend(unsettled(&fields));
    (fields, ruled(findings, evidence.rules))
}

/// The same findings with the effects that the rules give them.
fn ruled(mut findings: Vec<Finding>, rules: &Rules) -> Vec<Finding> {
    for finding in &mut findings {
        if let Some(reason) = finding.reason {
            finding.effect = rules.effect_of(reason);
        }
    }
    findings
}

fn worst(findings: &[Finding]) -> Effect {
    findings.iter().map(|finding| finding.effect).max().unwrap_or(Effect::None)
}

/// What a finding means for the operator: its reason's route, unless it is only a note.
fn route(finding: &Finding) -> Option<Route> {
    finding.reason.filter(|_| finding.effect != Effect::Note).map(|reason| reason.route)
}

fn applies(finding: &Finding) -> bool {
    route(finding) == Some(Route::Apply)
}

/// Leaseholders of a block would bear more than the threshold each (one bay a leaseholder, where bays are stated).
fn consultation(site: &Site, facts: &Facts, priced: Option<&Estimate>, rules: &Rules) -> Vec<Finding> {
    let leasehold = matches!(site.identity.tenure.value(), Some(Tenure::Leasehold | Tenure::Shared));
    let (Premises::Block, true, Some(priced)) = (facts.premises, leasehold, priced) else { return Vec::new() };
    let leaseholders = site.parking.bays.value().unwrap_or(f64::from(facts.wanted.points)).max(1.0);
    let each_gbp = priced.cost.likely.pounds() / leaseholders;
    let limit_gbp = rules.policy.consultation_threshold_gbp;
    if each_gbp <= limit_gbp {
        return Vec::new();
    }
    vec![Finding::new("consultation").because("leaseholder-consultation").at_most(each_gbp, limit_gbp)]
}

/// Stops, holds and steps, each once: worst first, then the longest wait, then the order of the table.
fn reasons(findings: &[Finding]) -> Vec<&'static Reason> {
    let mut reasons: Vec<(Effect, &'static Reason)> = Vec::new();
    for finding in findings.iter().filter(|finding| finding.effect >= Effect::Step) {
        if let Some(reason) =
            finding.reason.filter(|reason| !reasons.iter().any(|(_, other)| other.code == reason.code))
        {
            reasons.push((finding.effect, reason));
        }
    }
    reasons.sort_by(|(effect_a, a), (effect_b, b)| {
        effect_b
            .cmp(effect_a)
            .then_with(|| b.weeks.likely.cmp(&a.weeks.likely))
            .then_with(|| a.position.cmp(&b.position))
    });
    reasons.into_iter().map(|(_, reason)| reason).collect()
}

/// What the holds wait for: the longest wait first, each once.
fn waits_for(findings: &[Finding]) -> Vec<WaitsFor> {
    if worst(findings) != Effect::Holds {
        return Vec::new();
    }
    let mut holds: Vec<&'static Reason> = findings
        .iter()
        .filter(|finding| finding.effect == Effect::Holds)
        .filter_map(|finding| finding.reason)
        .collect();
    holds.sort_by(|a, b| b.weeks.likely.cmp(&a.weeks.likely).then_with(|| a.position.cmp(&b.position)));
    let mut waits = Vec::new();
    // A reason that the rules raised to a hold says nothing of what it waits for: it waits for a fact.
    for wait in holds.iter().map(|reason| reason.waits_for.unwrap_or(WaitsFor::Fact)) {
        if !waits.contains(&wait) {
            waits.push(wait);
        }
    }
    waits
}

/// Weeks until everything that stops, holds or must be done first is settled: the waits run side by side.
fn weeks(findings: &[Finding]) -> Option<Weeks> {
    let all = findings
        .iter()
        .filter(|finding| finding.effect >= Effect::Step)
        .filter_map(|finding| finding.reason)
        .map(|reason| reason.weeks)
        .fold(Weeks::default(), Weeks::beside);
    (all.high > 0).then_some(all)
}

fn next_step(verdict: Verdict, reasons: &[&'static Reason], route: Route) -> String {
    match (verdict, reasons.first(), route) {
        (Verdict::Ready, Some(first), Route::Notify) if first.weeks.likely > 0 => {
            format!("{} Then book the work and notify the operator within 28 days of it.", first.next_step)
        }
        (Verdict::Ready, _, Route::Apply) => "Send the application, a formality here, then book the work.".to_owned(),
        (Verdict::Ready, ..) => "Book the work and notify the operator within 28 days of it.".to_owned(),
        (_, Some(first), _) => first.next_step.to_owned(),
        (_, None, _) => String::new(),
    }
}

/// `surveyed` when cut-out evidence, loop and measured demand are all stated, `desk` when none is; an assumption is no
/// evidence. One step less where an answer was copied down a street or a sheet.
fn confidence(site: &Site) -> Confidence {
    let stated = [
        site.supply.cutout_evidence.value().is_some_and(|evidence| evidence != CutoutEvidence::Assumed),
        site.supply.looped_service.is_stated(),
        site.load.demand_method.is(DemandMethod::Measured) || site.supply.recorded_peak_kva.is_stated(),
    ];
    let copied = !site.copied_down.is_empty();
    match stated.iter().filter(|stated| **stated).count() {
        3 if copied => Confidence::Partly,
        _ if copied => Confidence::Desk,
        3 => Confidence::Surveyed,
        0 => Confidence::Desk,
        _ => Confidence::Partly,
    }
}

fn brief(site: &Site) -> SiteBrief {
    let text = |reading: &Reading<String>| reading.likely().cloned().unwrap_or_default();
    let identity = &site.identity;
    SiteBrief {
        sheet: site.sheet,
        row: site.row,
        site_id: site.site_id.clone(),
        uprn: text(&identity.uprn),
        address: text(&identity.address),
        postcode: text(&identity.postcode),
        lot: text(&identity.lot),
        premises: Some(site.premises()),
        premises_stated: identity.premises_type.is_stated(),
        tenure: identity.tenure.value().map_or("", |tenure| tenure.word()),
        priority: identity.priority.value(),
        feeder_id: text(&site.supply.feeder_id),
        latitude: identity.latitude.value(),
        longitude: identity.longitude.value(),
        heating: site.load.heating.value(),
        heat_pump: site.load.heating.is(Heating::HeatPump) || site.load.heat_pump_kw.value().is_some_and(|kw| kw > 0.0),
        bedrooms: site.load.bedrooms.value(),
        supply_phases: site.supply.supply_phases.value(),
        existing_charge_points: site.load.existing_charge_points.value(),
        parking_type: site.parking.parking_type.value(),
        override_verdict: identity.override_verdict.value(),
        override_by: text(&identity.override_by),
        override_date: identity.override_date.value().map_or_else(String::new, |date| date.to_string()),
        override_why: text(&identity.override_why),
    }
}
