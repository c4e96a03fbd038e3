//! The open facts of one site, with the weights that the rules give their alternatives.

use super::conditions::{FACTS, Fact, age_of_building, told_of_age};
use super::figures::{Better, FIGURES, Figure};
use super::{Bears, Look, World};
use crate::design::Facts;
use crate::reference::Alternatives;
use crate::rules::Rules;
use crate::site::{Answer, Site};

/// Equally likely cells that a figure with a band is cut into. A verdict that turns within one is off by half a cell at
/// most: 1.6 points.
pub const CELLS: u8 = 32;

/// How a fact is settled.
#[derive(Clone, Copy)]
enum Kind {
    Fact(&'static Fact),
    Figure(&'static Figure),
    /// Existing demand, by cells of its band.
    Demand,
    /// Length of the route, by cells of its band.
    Distance,
    /// Demand or distance copied down: the site's own, or anybody's.
    CopiedDemand,
    CopiedDistance,
}

/// One open fact of a site.
#[derive(Clone)]
pub struct OpenFact {
    /// Survey field.
    pub field: &'static str,
    /// The condition of the table under which it is open, for the first year of building that is possible.
    pub when: &'static str,
    /// Whether no alternative is better for a verdict than the one before it.
    pub best_first: bool,
    /// What it bears on.
    pub bears: Bears,
    values: Vec<&'static str>,
    /// By year of building where the weights depend on it, else one row; empty for cells, which weigh the same.
    weights: Vec<Vec<f64>>,
    kind: Kind,
}

impl std::fmt::Debug for OpenFact {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{} ({}): {:?} {:?}", self.field, self.when, self.values, self.weights)
    }
}

impl OpenFact {
    /// How many alternatives it has.
    pub fn count(&self) -> u8 {
        if self.is_band() { CELLS } else { self.values.len() as u8 }
    }

    /// Whether it is a figure with a band, cut into cells.
    pub fn is_band(&self) -> bool {
        matches!(self.kind, Kind::Demand | Kind::Distance)
    }

    /// An alternative in words; empty for a cell of a band.
    pub fn value(&self, index: u8) -> &'static str {
        self.values.get(usize::from(index)).copied().unwrap_or_default()
    }

    /// Weight of the alternatives from `from` up to `to`, where the year of building is the one of this number.
    pub fn weight(&self, from: u8, to: u8, year: usize) -> f64 {
        let Some(row) = self.weights.get(year).or(self.weights.first()) else {
            return f64::from(to.saturating_sub(from)) / f64::from(CELLS);
        };
        row.iter().take(usize::from(to)).skip(usize::from(from)).sum()
    }

    /// Whether the weights depend on the year of building.
    pub fn by_year(&self) -> bool {
        self.weights.len() > 1
    }

    /// Settles it in a world.
    pub fn settle(&self, world: &mut World, index: u8, look: &Look<'_>) {
        let share = (f64::from(index) + 0.5) / f64::from(CELLS);
        match self.kind {
            Kind::Fact(fact) => (fact.settle)(&mut world.site, self.value(index), look),
            Kind::Figure(figure) => {
                if let Some((low, likely, high)) = (figure.reading)(look.site).ends() {
                    let value = match (self.value(index), figure.better) {
                        ("better end", Better::More) | ("worse end", Better::Less | Better::Either) => high,
                        ("likely value", _) => likely,
                        _ => low,
                    };
                    (figure.settle)(&mut world.site, *value);
                }
            }
            Kind::Demand => world.demand_share = Some(share),
            Kind::Distance => world.distance_share = Some(share),
            Kind::CopiedDemand => world.demand_within = within(self.value(index)),
            Kind::CopiedDistance => world.distance_within = within(self.value(index)),
        }
    }
}

/// What is open about a site.
#[derive(Clone, Debug, Default)]
pub struct Open {
    /// Years of building that are possible, with weights; one of weight 1 where it is known.
    pub years: Vec<(Option<f64>, f64)>,
    /// Whether the year itself is open.
    pub year_open: bool,
    /// The open facts.
    pub facts: Vec<OpenFact>,
}

/// The open facts of a site whose most likely facts are `facts` (before anything in doubt was settled).
pub fn open(site: &Site, facts: &Facts, rules: &Rules) -> Open {
    let stated_year = site.permissions.year_built.value();
    let eras = rules.alternatives.of("year_built", "year not known").map(|entry| entry.of.as_slice());
    let look = |year: Option<f64>| Look { site, facts, rules, year };
    let years: Vec<(Option<f64>, f64)> = match (stated_year, eras) {
        (None, Some(eras)) => {
            let years = eras.iter().map(|era| (era.value.parse().ok(), era.weight));
            in_proportion(years.map(|(year, weight)| (year, weight * likelihood(&look(year)))).collect())
        }
        (year, _) => vec![(year, 1.0)],
    };
    let mut open = Vec::with_capacity(12);
    let first = look(years.first().and_then(|(year, _)| *year));
    for fact in FACTS {
        let Some(when) = (fact.when)(&first) else { continue };
        let Some(entry) = rules.alternatives.of(fact.field, when) else { continue };
        let conditions: Vec<Option<&'static str>> = years.iter().map(|(year, _)| (fact.when)(&look(*year))).collect();
        let same = conditions.iter().all(|other| *other == Some(when));
        let rows: Vec<Option<&'static str>> = if same { vec![Some(when)] } else { conditions };
        let weights = rows.into_iter().map(|when| weights_of(entry, fact.field, when, rules)).collect();
        open.push(of_entry(entry, fact.field, fact.bears, weights, Kind::Fact(fact)));
    }
    for figure in FIGURES {
        if !matches!((figure.reading)(site).answer, Answer::Doubtful { .. }) {
            continue;
        }
        let stands = if figure.better == Better::Either { "a figure that cuts both ways" } else { "a figure" };
        let Some(entry) = rules.alternatives.of(stands, "said with doubt") else { continue };
        let weights = vec![entry.of.iter().map(|alternative| alternative.weight).collect()];
        // Storeys and miles alone bear on the place, or on both.
        open.push(of_entry(entry, figure.field, Bears::Design, weights, Kind::Figure(figure)));
    }
    for (field, kind, copied) in [
        (
            "copied_demand",
            Kind::CopiedDemand,
            site.copied_down.iter().any(|field| field.starts_with("existing_demand")),
        ),
        ("copied_distance", Kind::CopiedDistance, site.copied_down.contains(&"parking_distance_m")),
    ] {
        let entry = rules.alternatives.of(field, "copied down a street or sheet").filter(|_| copied);
        if let Some(entry) = entry {
            let weights = vec![entry.of.iter().map(|alternative| alternative.weight).collect()];
            open.push(of_entry(entry, field, Bears::Design, weights, kind));
        }
    }
    let copied = |field: &str| open.iter().any(|fact: &OpenFact| fact.field == field);
    let (wide_demand, wide_distance) = (copied("copied_demand"), copied("copied_distance"));
    let capacity = facts.demand.against_capacity_a;
    // Of several points a longer sub-main lowers the fault current, and a load balances the neutral: both ways.
    let one_point = facts.wanted.points <= 1;
    if facts.demand.band_a.low < facts.demand.band_a.high || capacity.low < capacity.high || wide_demand {
        open.push(band("existing_demand_a", Kind::Demand, one_point));
    }
    if facts.distance_m.low < facts.distance_m.high || wide_distance {
        open.push(band("parking_distance_m", Kind::Distance, one_point));
    }
    Open { years, year_open: stated_year.is_none(), facts: open }
}

/// Every field that may be open, each once.
pub fn fields() -> Vec<&'static str> {
    let facts = FACTS.iter().map(|fact| fact.field).chain(FIGURES.iter().map(|figure| figure.field));
    let others = ["year_built", "copied_demand", "copied_distance", "existing_demand_a", "parking_distance_m"];
    let mut all: Vec<&'static str> = facts.chain(others).collect();
    all.sort_unstable();
    all.dedup();
    all
}

/// The age of a building in the words of the table, and what was seen of facts that go with it: survey field and value.
pub fn told(site: &Site, facts: &Facts, rules: &Rules) -> (&'static str, Vec<(&'static str, &'static str)>) {
    let look = Look { site, facts, rules, year: site.permissions.year_built.value() };
    let age = if look.year.is_some() { age_of_building(&look) } else { "year not known" };
    (age, told_of_age(&look).into_iter().map(|(field, _, value)| (field, value)).collect())
}

/// How likely what is told of a building would be in the year that is taken.
fn likelihood(look: &Look<'_>) -> f64 {
    let told = told_of_age(look).into_iter();
    told.map(|(field, when, value)| {
        let entry = look.rules.alternatives.of(field, when);
        entry.and_then(|entry| entry.of.iter().find(|found| found.value == value)).map_or(1.0, |found| found.weight)
    })
    .product()
}

/// The same weights adding to 1; as they were where none is left.
fn in_proportion(years: Vec<(Option<f64>, f64)>) -> Vec<(Option<f64>, f64)> {
    let sum: f64 = years.iter().map(|(_, weight)| weight).sum();
    let count = years.len().max(1) as f64;
    let share = |weight: f64| if sum > 0.0 { weight / sum } else { 1.0 / count };
    years.into_iter().map(|(year, weight)| (year, share(weight))).collect()
}

/// The weights of an entry's values under another condition, in the entry's order; a fact that is not open then is sure
/// to be the first.
fn weights_of(entry: &Alternatives, field: &str, when: Option<&'static str>, rules: &Rules) -> Vec<f64> {
    let other = when.and_then(|when| rules.alternatives.of(field, when));
    let weight = |value: &str| {
        other.and_then(|other| other.of.iter().find(|found| found.value == value)).map_or(0.0, |found| found.weight)
    };
    match other {
        Some(_) => entry.of.iter().map(|alternative| weight(alternative.value)).collect(),
        None => (0..entry.of.len()).map(|index| if index == 0 { 1.0 } else { 0.0 }).collect(),
    }
}

fn of_entry(entry: &Alternatives, field: &'static str, bears: Bears, weights: Vec<Vec<f64>>, kind: Kind) -> OpenFact {
    OpenFact {
        field,
        when: entry.when,
        best_first: entry.best_first,
        bears,
        values: entry.of.iter().map(|alternative| alternative.value).collect(),
        weights,
        kind,
    }
}

/// The share in "anybody's within 0.5 either way"; none where the value is the site's own.
fn within(value: &str) -> Option<f64> {
    value.split(' ').find_map(|word| word.parse().ok())
}

fn band(field: &'static str, kind: Kind, best_first: bool) -> OpenFact {
    let (values, weights) = (Vec::new(), Vec::new());
    OpenFact { field, when: "within its band", best_first, bears: Bears::Design, values, weights, kind }
}
