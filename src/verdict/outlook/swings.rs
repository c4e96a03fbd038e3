//! How verdict and cost move with each open fact, everything else at its most likely value.

use super::split::{moved, verdict_at, world_at};
use super::{Judged, Outlook};
use crate::design::{Facts, facts};
use crate::estimate::{Place, estimate};
use crate::finding::Effect;
use crate::quantity::Pence;
use crate::reference::PLAUSIBLE;
use crate::site::{Site, Verdict};
use crate::verdict::judge::{Context, ranked};

/// A site where one open fact proves to be so.
#[derive(Clone, Debug, PartialEq)]
pub struct SwingEnd {
    /// What it proves to be, in words.
    pub said: String,
    /// The verdict then.
    pub verdict: Verdict,
    /// Likely cost of the installation then, before tax; `None` where nothing can be built or the site is blocked.
    pub cost: Option<Pence>,
    /// Chance that the site is ready then, whatever else is open.
    pub ready: f64,
}

/// One open fact from its better to its worse plausible end.
#[derive(Clone, Debug, PartialEq)]
pub struct Swing {
    /// Survey field.
    pub field: &'static str,
    /// The better end.
    pub better: SwingEnd,
    /// The worse end.
    pub worse: SwingEnd,
}

impl Swing {
    /// Whether the fact alone turns the verdict.
    pub fn decides(&self) -> bool {
        self.better.verdict != self.worse.verdict
    }

    /// How far the cost moves.
    pub fn cost_range(&self) -> Pence {
        match (self.better.cost, self.worse.cost) {
            (Some(better), Some(worse)) => Pence((worse.0 - better.0).abs()),
            _ => Pence(0),
        }
    }
}

impl Outlook {
    /// For each fact its likeliest alternative.
    fn likeliest(&self) -> Vec<u8> {
        let facts = self.open.facts.iter().enumerate();
        facts
            .map(|(place, fact)| {
                if fact.is_band() {
                    return fact.count() / 2;
                }
                let likelier = |best: u8, index: u8| {
                    if self.chance(place, index) > self.chance(place, best) { index } else { best }
                };
                (0..fact.count()).fold(0, likelier)
            })
            .collect()
    }

    /// Alternatives of a fact that are plausible; of a band its ends.
    fn plausible(&self, place: usize) -> Vec<u8> {
        let Some(fact) = self.open.facts.get(place) else { return Vec::new() };
        if fact.is_band() {
            // Cells next to the 5 and the 95 % point.
            return vec![1, fact.count().saturating_sub(2)];
        }
        (0..fact.count()).filter(|index| self.chance(place, *index) >= PLAUSIBLE).collect()
    }

    fn verdict_of(&self, point: &[u8]) -> Option<Verdict> {
        let holds =
            |leaf: &&super::Leaf| leaf.ranges.iter().zip(point).all(|((from, to), index)| (*from..*to).contains(index));
        self.leaves.iter().find(holds).map(|leaf| leaf.verdict)
    }

    /// Survey fields of which a plausible value alone turns the verdict, everything else at its likeliest.
    pub fn deciding(&self) -> Vec<&'static str> {
        let likeliest = self.likeliest();
        let mut fields = Vec::new();
        for (place, fact) in self.open.facts.iter().enumerate() {
            let mut verdicts =
                self.plausible(place).into_iter().map(|index| self.verdict_of(&moved(&likeliest, place, index)));
            let first = verdicts.next();
            let field = survey_field(fact.field);
            if verdicts.any(|verdict| Some(verdict) != first) && !fields.contains(&field) {
                fields.push(field);
            }
        }
        fields
    }
}

/// The survey field that stands behind an open fact.
fn survey_field(field: &'static str) -> &'static str {
    match field {
        "copied_demand" => "existing_demand_a",
        "copied_distance" => "parking_distance_m",
        field => field,
    }
}

/// How verdict and cost of a site move with each of its open facts: those that turn the verdict first, then by how far
/// the cost moves. Facts that move neither are left out.
pub(in crate::verdict) fn swings(site: &Site, context: &Context<'_>, outlook: &Outlook, floor: Effect) -> Vec<Swing> {
    let Context { rules, as_of, .. } = *context;
    let judged = Judged { site, rules, as_of, floor };
    let likely = facts(site, rules).0;
    let likeliest = outlook.likeliest();
    let mut swings: Vec<Swing> = Vec::new();
    for (place, fact) in outlook.open.facts.iter().enumerate() {
        let mut ends: Vec<SwingEnd> = outlook
            .plausible(place)
            .into_iter()
            .map(|index| {
                let point = moved(&likeliest, place, index);
                let said = if fact.is_band() { None } else { Some(fact.value(index).to_owned()) };
                end_at(&judged, context, &likely, outlook, &point, (place, index), said)
            })
            .collect();
        ends.sort_by(|a, b| a.verdict.cmp(&b.verdict).then(a.cost.cmp(&b.cost)).then(b.ready.total_cmp(&a.ready)));
        let worse = ends.pop();
        if let Some((better, worse)) = ends.into_iter().next().zip(worse) {
            let swing = Swing { field: survey_field(fact.field), better, worse };
            if swing.decides() || swing.cost_range().0 > 0 {
                swings.push(swing);
            }
        }
    }
    swings.sort_by(|a, b| b.decides().cmp(&a.decides()).then(b.cost_range().cmp(&a.cost_range())));
    swings
}

fn end_at(
    judged: &Judged<'_>,
    context: &Context<'_>,
    likely: &Facts,
    outlook: &Outlook,
    point: &[u8],
    known: (usize, u8),
    said: Option<String>,
) -> SwingEnd {
    let Context { rules, prices, .. } = *context;
    let verdict = verdict_at(judged, likely, &outlook.open, point);
    let world = world_at(judged, likely, &outlook.open, point);
    let facts = world.facts(rules);
    let field = outlook.open.facts.get(known.0).map_or("", |fact| fact.field);
    let said = said.unwrap_or_else(|| match field {
        "parking_distance_m" => format!("{:.0} m", facts.distance_m.likely),
        _ => format!("{:.0} A", facts.demand.band_a.likely),
    });
    let place = Place::of(&world.site, &facts, rules, prices);
    let chosen = ranked(&facts, &place, rules, prices).into_iter().next().map(|candidate| candidate.arrangement);
    let cost = chosen
        .filter(|chosen| verdict != Verdict::Blocked && crate::verdict::judge::is_design(chosen))
        .map(|chosen| estimate(&chosen, &place, prices).cost.likely);
    SwingEnd { said, verdict, cost, ready: outlook.odds_where(&[known]).ready }
}
