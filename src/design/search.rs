//! What is tried of each charging current: every feed, earthing path and cable worth it.
//!
//! It builds whole arrangements for the choice, or only weighs them for odds and doubts; both walk the same ways.

use super::assemble::Parts;
use super::board::feed;
use super::charging::{Charging, Fit, too_slow};
use super::circuit::{Cables, Circuits, Task};
use super::currents::{Given, charging_currents, settings};
use super::earthing::{Earthing, paths};
use super::facts::Facts;
use super::findings::Findings;
use super::{Arrangement, EarthingPath, Feed, worst_effect};
use crate::finding::Effect;
use crate::rules::{ChargePoint, Rules};

/// Everything that could be built, and where nothing useful fits the best of what is not worth having.
pub(super) fn build_all(facts: &Facts, rules: &Rules) -> Vec<Arrangement> {
    let (mut built, mut tried) = (Vec::with_capacity(8), Vec::new());
    let any = charging_currents(facts, rules, |charging| {
        if let Some(given) = Given::of(charging).filter(|_| !tried.is_empty()) {
            let effect = weigh(facts, rules, charging);
            if tried.iter().any(|tried| given.loses_to(effect, tried)) {
                return effect;
            }
        }
        let before = built.len();
        build(facts, rules, charging, &mut built);
        let effect = built.iter().skip(before).map(worst_effect).min().unwrap_or(Effect::Stops);
        tried.extend(Given::of(charging).map(|given| (effect, given)));
        effect
    });
    if !any && facts.wanted.points <= 1 {
        let (_, useful_a) = settings(facts, rules, 1);
        let lower = rules.charging.runner_up_steps_a.iter().filter(|step| **step < useful_a);
        let slow = lower.filter_map(|step| too_slow(facts, rules, *step, useful_a)).next();
        if let Some(charging) = slow {
            build(facts, rules, &charging, &mut built);
        }
    }
    built
}

/// The worst effect of the best arrangement worth having, without putting any together.
pub(super) fn weigh_all(facts: &Facts, rules: &Rules) -> Effect {
    let mut best = Effect::Stops;
    charging_currents(facts, rules, |charging| {
        let effect = weigh(facts, rules, charging);
        best = best.min(effect);
        effect
    });
    best
}

/// A feed and an earthing path.
#[derive(Clone, Copy)]
struct Way {
    feed: Feed,
    earth: Earthing,
}

impl Way {
    fn task<'a>(&'a self, facts: &'a Facts, rules: &'a Rules, charging: &'a Charging) -> Task<'a> {
        Task { facts, rules, charging, earth: &self.earth, feed: self.feed }
    }
}

/// The feeds worth trying: a spare way before a board at the intake, which costs more and can only help where the way
/// from the intake to the existing board is a sub-main.
fn feeds(facts: &Facts, charging: &Charging, point: &ChargePoint) -> impl Iterator<Item = Feed> + use<> {
    let first = feed(facts, charging, point);
    let second = (first == Feed::SpareWay && facts.submain.is_some()).then_some(Feed::AddedBoard);
    std::iter::once(first).chain(second)
}

/// Every way of one charging current, the cheapest of each kind first.
fn ways<'a>(
    facts: &'a Facts,
    charging: &Charging,
    point: &'a ChargePoint,
    rules: &'a Rules,
) -> impl Iterator<Item = Way> + 'a {
    feeds(facts, charging, point).flat_map(move |feed| paths(facts, point, rules).map(move |earth| Way { feed, earth }))
}

/// Which ways are worth following once what was found on the way before is known.
///
/// Where the point answers an open PEN by itself nothing is bought for its earthing: a device or an electrode beside it
/// can only help where the first way needs more than steps that the supply does not ask for anyhow.
struct Followed {
    floor: Effect,
    own_answer_serves: Option<Feed>,
}

impl Followed {
    fn new(floor: Effect) -> Self {
        Self { floor: floor.max(Effect::Step), own_answer_serves: None }
    }

    fn follows(&self, way: &Way) -> bool {
        self.own_answer_serves != Some(way.feed)
    }

    /// The best effect found on a way, and the least that the prospective current says whatever the earthing.
    fn found(&mut self, way: &Way, best: Option<Effect>, by_level: Option<Effect>) {
        let own = way.earth.path == EarthingPath::SupplyEarthOpenPen;
        let floor = by_level.map_or(self.floor, |by_level| self.floor.max(by_level));
        if own && best.is_some_and(|best| best <= floor) {
            self.own_answer_serves = Some(way.feed);
        }
    }
}

/// The worst that the supply says of a charging current: no way can be better.
fn floor(facts: &Facts, rules: &Rules, charging: &Charging) -> Effect {
    let mut out = Findings::weighed(rules);
    charging.say(facts, rules, &mut out);
    out.worst()
}

/// How far a visitor of circuits has seen enough.
enum Seen {
    More,
    /// Of this way.
    NextWay,
    /// Of all ways.
    Enough,
}

/// Shows `visit` every circuit of every way that is worth following, cheapest kind first, with the worst that is said of
/// it and the worst that is said of its way whatever the cables.
fn walk(
    facts: &Facts,
    rules: &Rules,
    charging: &Charging,
    point: &ChargePoint,
    floor: Effect,
    mut visit: impl FnMut(&Parts<'_>, &Circuits, Effect, Effect) -> Seen,
) {
    let mut followed = Followed::new(floor);
    for way in ways(facts, charging, point, rules) {
        if !followed.follows(&way) {
            continue;
        }
        let task = way.task(facts, rules, charging);
        let parts = Parts::of(task, point);
        let rest = rest(&parts, floor, rules);
        let (mut best, mut by_level) = (None, None);
        for (circuits, effect) in task.cables().flat_map(|cables| worthwhile(&task, &parts, cables, rest)) {
            best = lesser(best, effect);
            by_level = lesser(by_level, by_level_of(&parts, &circuits, rules));
            match visit(&parts, &circuits, effect, rest) {
                Seen::More => {}
                Seen::NextWay => break,
                Seen::Enough => return,
            }
        }
        followed.found(&way, best, by_level);
    }
}

/// Every cable of every way of one charging current, put together and pushed; or one arrangement that says no cable
/// fits.
fn build(facts: &Facts, rules: &Rules, charging: &Charging, built: &mut Vec<Arrangement>) {
    let Some(point) = rules.charge_point(charging.phases) else {
        return;
    };
    let shared = match &charging.fit {
        Fit::Group(group) => Some(group.shared(facts, rules)),
        _ => None,
    };
    let distance_m = facts.distance_m.high;
    let before = built.len();
    walk(facts, rules, charging, point, floor(facts, rules, charging), |parts, circuits, _, _| {
        built.push(parts.assemble(Some(circuits), None, shared));
        Seen::More
    });
    if built.len() > before {
        return;
    }
    let Some((way, nearer)) = nearest_way(facts, rules, charging, point) else {
        return;
    };
    let task = way.task(facts, rules, charging);
    let parts = Parts::of(task, point);
    built.push(match nearer {
        Some((metres, circuits)) => {
            parts.assemble(Some(&circuits), Some(("no-cable-fits", distance_m, metres)), shared)
        }
        None => parts.assemble(None, Some(("no-cable-fits-anywhere", distance_m, 0.0)), shared),
    });
}

/// The distance that stands for "anywhere", metres (effects table).
pub(super) const NEAREST_M: f64 = 3.0;

fn fits_at(task: &Task<'_>, metres: f64) -> Option<Circuits> {
    task.cables().find_map(|cables| task.circuits(cables, metres).next())
}

/// Where nothing fits over the whole route: how near the point would have to stand, and its circuits there.
fn nearest(task: &Task<'_>, distance_m: f64) -> Option<(f64, Circuits)> {
    let (mut low, mut high, mut best) = (NEAREST_M, distance_m, (NEAREST_M, fits_at(task, NEAREST_M)?));
    for _ in 0..12 {
        let middle = (low + high) / 2.0;
        match fits_at(task, middle) {
            Some(circuits) => (low, best) = (middle, (middle, circuits)),
            None => high = middle,
        }
    }
    Some(best)
}

/// The first way that would serve a nearer point, and how near; where none does, the first way.
fn nearest_way(
    facts: &Facts,
    rules: &Rules,
    charging: &Charging,
    point: &ChargePoint,
) -> Option<(Way, Option<(f64, Circuits)>)> {
    let serves = |way: Way| {
        let task = way.task(facts, rules, charging);
        nearest(&task, facts.distance_m.high).map(|nearer| (way, Some(nearer)))
    };
    let all = || ways(facts, charging, point, rules);
    all().find_map(serves).or_else(|| all().next().map(|way| (way, None)))
}

/// The best effect that `build` would give one charging current.
fn weigh(facts: &Facts, rules: &Rules, charging: &Charging) -> Effect {
    let Some(point) = rules.charge_point(charging.phases) else {
        return Effect::Stops;
    };
    let floor = floor(facts, rules, charging);
    let mut best = None;
    walk(facts, rules, charging, point, floor, |_, _, effect, rest| {
        best = lesser(best, effect);
        // No way is better than what the supply says, no cable better than what is said of its way.
        match effect {
            effect if effect <= floor => Seen::Enough,
            effect if effect <= rest => Seen::NextWay,
            _ => Seen::More,
        }
    });
    best.unwrap_or_else(|| weigh_nearest(facts, rules, charging, point, floor))
}

/// What the prospective current at the final device says, which no earthing changes.
fn by_level_of(parts: &Parts<'_>, circuits: &Circuits, rules: &Rules) -> Effect {
    let mut out = Findings::weighed(rules);
    parts.say_final_breaking(circuits, &mut out);
    out.worst()
}

fn lesser(best: Option<Effect>, effect: Effect) -> Option<Effect> {
    Some(best.map_or(effect, |best| best.min(effect)))
}

/// The circuits with these cables that are worth building, and the worst that is said of each with all the rest.
///
/// The smallest size that serves costs least. A larger one circuit is worth it only where rules make something that is
/// said of the smaller hold or stop the site (a drop over what voltage monitoring stands, a breaker too slow) and of the
/// larger it is not said.
fn worthwhile<'a>(
    task: &'a Task<'a>,
    parts: &'a Parts<'a>,
    cables: Cables,
    rest: Effect,
) -> impl Iterator<Item = (Circuits, Effect)> {
    let mut sizes = task.circuits(cables, task.facts.distance_m.high);
    let mut best = None;
    let mut enough = false;
    std::iter::from_fn(move || {
        while !enough {
            let circuits = sizes.next()?;
            let effect = with(parts, &circuits, rest, task.rules);
            let one = circuits.submain.is_none();
            enough = one && effect <= rest.max(Effect::Step);
            if !one || best.is_none_or(|best| effect < best) {
                best = Some(effect);
                return Some((circuits, effect));
            }
        }
        None
    })
}

/// What is said of a way whatever its cables.
fn rest(parts: &Parts<'_>, floor: Effect, rules: &Rules) -> Effect {
    let mut out = Findings::weighed(rules);
    parts.say_rest(&mut out);
    out.worst().max(floor)
}

fn with(parts: &Parts<'_>, circuits: &Circuits, rest: Effect, rules: &Rules) -> Effect {
    let mut out = Findings::weighed(rules);
    parts.say_circuits(circuits, &mut out);
    out.worst().max(rest)
}

fn weigh_nearest(facts: &Facts, rules: &Rules, charging: &Charging, point: &ChargePoint, floor: Effect) -> Effect {
    let Some((way, nearer)) = nearest_way(facts, rules, charging, point) else {
        return Effect::Stops;
    };
    let task = way.task(facts, rules, charging);
    let parts = Parts::of(task, point);
    let rest = rest(&parts, floor, rules);
    let mut out = Findings::weighed(rules);
    match nearer {
        Some((_, circuits)) => {
            out.say("cable-length", "no-cable-fits", |f| f);
            out.worst().max(with(&parts, &circuits, rest, rules))
        }
        None => {
            out.say("cable-length", "no-cable-fits-anywhere", |f| f);
            out.worst().max(rest)
        }
    }
}
