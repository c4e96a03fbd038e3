//! The search against every subset of the remedies that bear on a site.

use super::*;
use crate::estimate::price_items;
use crate::quantity::Pence;
use crate::verdict::RemedyKind;

/// Sites of which every subset is tried: fewer where the program is not optimised.
const WANTED: usize = if cfg!(debug_assertions) { 150 } else { 3600 };
/// Sites with more remedies that bear on them are left out: 256 subsets are tried without optimising.
const MOST: usize = if cfg!(debug_assertions) { 8 } else { 12 };

/// A remedy as the file has it, with the reasons that it is listed for.
struct Tool {
    words: String,
    change: String,
    reasons: Vec<String>,
    cost: i64,
    weeks: i64,
}

impl Tool {
    fn is_supply(&self) -> bool {
        ["cutout", "service", "phases"].iter().any(|word| self.change.starts_with(word))
    }

    /// What it makes of the facts; `None` where it makes nothing of them.
    fn changed(&self, before: Changed) -> Option<Changed> {
        match self.change.split_once('=')? {
            ("cutout" | "service", amps) => Some(Changed { cutout_a: amps.parse().ok(), ..before }),
            ("demand", _) => Some(Changed { demand_likely: true, ..before }),
            _ => None,
        }
    }

    fn is_for(&self, open: &[Open]) -> bool {
        open.iter().any(|open| self.reasons.iter().any(|reason| reason == open.code))
    }
}

/// Every remedy that can be had at the site, read from the file anew.
fn tools(situation: &Situation<'_>) -> Vec<Tool> {
    let facts = situation.evidence.facts;
    let mut tools: Vec<Tool> = Vec::new();
    for row in csv::Reader::from_reader(include_str!("../../remedies.csv").as_bytes()).records() {
        let row = row.unwrap();
        let here = match &row[11] {
            "home" => facts.premises.is_home(),
            "site" => !facts.premises.is_home(),
            _ => true,
        };
        let amps = |word: &str| row[2].strip_prefix(word).map(|amps| amps.parse::<f64>().unwrap());
        let larger = amps("cutout=").or(amps("service=")).is_none_or(|amps| amps > facts.cutout_a);
        let allowed = amps("cutout=").is_none_or(|amps| situation.fuse_policy_a.is_none_or(|policy| amps <= policy));
        if !here || !larger || !allowed || (&row[2] == "phases=3" && facts.supply_phases != 1) {
            continue;
        }
        if let Some(known) = tools.iter_mut().find(|tool| tool.words == row[1]) {
            known.reasons.push(row[0].to_owned());
            continue;
        }
        let items = situation.prices.parse_items(&row[4]).unwrap();
        tools.push(Tool {
            words: row[1].to_owned(),
            change: row[2].to_owned(),
            reasons: vec![row[0].to_owned()],
            cost: price_items(&items, situation.place, situation.prices).likely.0,
            weeks: row[6].parse().unwrap(),
        });
    }
    tools
}

/// Cost and weeks of a set; `None` where it does not make the site ready.
fn worth(set: &[&Tool], at: &dyn Fn(Changed) -> Vec<Open>) -> Option<(i64, i64)> {
    let changing: Vec<&&Tool> = set.iter().filter(|tool| tool.changed(Changed::default()).is_some()).collect();
    let supplies = set.iter().filter(|tool| tool.is_supply()).count();
    if supplies > 1 || changing.len() - changing.iter().filter(|tool| tool.is_supply()).count() > 1 {
        return None;
    }
    // In one order or the other, each change is for something that is open when its turn comes.
    let follows = |order: &[&&Tool]| {
        let mut changed = Changed::default();
        order.iter().all(|tool| {
            let is_for = tool.is_for(&at(changed));
            changed = tool.changed(changed).unwrap();
            is_for
        })
    };
    let back: Vec<&&Tool> = changing.iter().rev().copied().collect();
    if !follows(&changing) && !follows(&back) {
        return None;
    }
    let changed = changing.iter().fold(Changed::default(), |changed, tool| tool.changed(changed).unwrap());
    let open = at(changed);
    let settling = || set.iter().filter(|tool| tool.changed(Changed::default()).is_none());
    if !open.iter().all(|open| settling().any(|tool| tool.is_for(&[*open]))) {
        return None;
    }
    let of_design: Vec<Open> = open.iter().copied().filter(|open| open.of_design).collect();
    let before: i64 = changing.iter().map(|tool| tool.weeks).sum();
    let until = |tool: &&Tool| if tool.is_for(&of_design) { before + tool.weeks } else { tool.weeks };
    let weeks = settling().map(until).max().unwrap_or(0).max(before);
    Some((set.iter().map(|tool| tool.cost).sum(), weeks))
}

/// What trying every subset comes to.
struct Tried {
    /// Least cost, and the least weeks at that cost.
    cheapest: Option<(i64, i64)>,
    /// Least weeks, and the least cost in that time.
    quickest: Option<(i64, i64)>,
    /// Remedies that bear on the site.
    bearing: usize,
}

/// The best of every subset; `None` where more than `MOST` remedies bear on the site.
fn by_every_subset(situation: &Situation<'_>, found: &[Open]) -> Option<Tried> {
    let tools = tools(situation);
    let mut states: Vec<(Changed, Vec<Open>)> = vec![(Changed::default(), found.to_vec())];
    let mut next = 0;
    while next < states.len() {
        let (changed, open) = states[next].clone();
        for tool in tools.iter().filter(|tool| tool.is_for(&open)) {
            let again = (tool.is_supply() && changed.cutout_a.is_some())
                || (tool.change.starts_with("demand") && changed.demand_likely);
            let Some(after) = tool.changed(changed).filter(|_| !again) else { continue };
            if states.iter().all(|(known, _)| *known != after) {
                states.push((after, situation.open_after(after)));
            }
        }
        next += 1;
    }
    let bearing: Vec<&Tool> = tools.iter().filter(|tool| states.iter().any(|(_, open)| tool.is_for(open))).collect();
    if bearing.len() > MOST {
        return None;
    }
    let at =
        |changed: Changed| states.iter().find(|(known, _)| *known == changed).map_or(Vec::new(), |(_, o)| o.clone());
    let known = |changed: Changed| states.iter().any(|(state, _)| *state == changed);
    let (mut cheapest, mut quickest) = (None, None);
    for subset in 0_u32..1 << bearing.len() {
        let set: Vec<&Tool> =
            bearing.iter().enumerate().filter(|(place, _)| subset >> place & 1 == 1).map(|(_, tool)| *tool).collect();
        let changed = set.iter().fold(Changed::default(), |changed, tool| tool.changed(changed).unwrap_or(changed));
        // A state that no order of changes leads to is none that a set could lead to.
        let Some((cost, weeks)) = worth(&set, &at).filter(|_| known(changed)) else { continue };
        let less = |least: Option<(i64, i64)>, key| Some(least.map_or(key, |least| least.min(key)));
        cheapest = less(cheapest, (cost, weeks));
        quickest = less(quickest, (weeks, cost));
    }
    Some(Tried { cheapest, quickest, bearing: bearing.len() })
}

#[test]
fn the_search_finds_what_trying_every_subset_finds() {
    let (mut tried, mut of_eight, mut none, mut shared, mut changed, mut two) = (0, 0, 0, 0, 0, 0);
    let mut trial = 0;
    while tried < WANTED {
        trial += 1;
        assert!(trial < 20 * WANTED as u64, "{tried} of {trial} sites are not ready and have few enough remedies");
        let site = drawn(trial);
        let judgement = judged(&site, default_rules());
        if judgement.verdict == Verdict::Ready {
            assert!(judgement.remedies.is_empty() && judgement.would_have_to_give.is_empty());
            continue;
        }
        in_situation(&site, &judgement, |situation| {
            let of_design = open(&[], &situation.of_design(situation.evidence.facts));
            let mut found: Vec<Open> = Vec::new();
            for finding in judgement.findings.iter().filter(|finding| finding.effect >= Effect::Holds) {
                let code = finding.code().unwrap();
                if found.iter().all(|open| open.code != code) {
                    found.push(Open { code, of_design: of_design.iter().any(|open| open.code == code) });
                }
            }
            let Some(Tried { cheapest, quickest, bearing }) = by_every_subset(situation, &found) else { return };
            tried += 1;
            of_eight += usize::from(bearing <= 8);
            let of = |kind| {
                judgement.remedies.iter().find(|remedy| remedy.kind == kind).or(judgement.remedies.first()).map(
                    |remedy| {
                        assert_eq!(remedy.each.iter().map(|each| each.cost).sum::<Pence>(), remedy.cost.likely);
                        assert_eq!(remedy.each.len(), remedy.set.len());
                        (remedy.cost.likely.0, i64::from(remedy.weeks.likely))
                    },
                )
            };
            let told = format!("trial {trial}: {found:?} {:?}", judgement.remedies);
            assert_eq!(of(RemedyKind::Cheapest), cheapest, "{told}");
            assert_eq!(of(RemedyKind::Quickest), quickest.map(|(weeks, cost)| (cost, weeks)), "{told}");
            assert_eq!(judgement.would_have_to_give.is_empty(), cheapest.is_some(), "{told}");
            none += usize::from(cheapest.is_none());
            two += usize::from(judgement.remedies.len() == 2);
            let Some(first) = judgement.remedies.first() else { return };
            let changes =
                |words: &&'static str| rows().iter().any(|row| row.remedy == *words && row.change.changes_facts());
            shared += usize::from(first.set.len() < found.len() && !first.set.iter().any(changes));
            changed += usize::from(first.set.iter().any(changes));
        });
    }
    assert!(cfg!(debug_assertions) || of_eight >= 2000, "{of_eight} with at most eight remedies");
    // The sites are not all of one kind.
    for (what, count) in [("none", none), ("one remedy for several", shared), ("facts changed", changed), ("two", two)]
    {
        assert!(count >= tried / 100, "{what}: {count} of {tried}");
    }
}
