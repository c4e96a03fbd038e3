//! Which alternative of an open fact a value found on site is, and which answers of the survey were found otherwise.

use crate::design::Facts;
use crate::possible::{Look, OpenFact, World};
use crate::rules::Rules;
use crate::site::{Condition, ConsentStatus, ParkingType, Reading, Site};

/// A survey fact that was found on site, beside what was known of it.
#[derive(Clone, Debug, PartialEq)]
pub struct FoundFact {
    /// Survey field.
    pub field: &'static str,
    /// As found.
    pub value: String,
    /// What that says.
    pub proved: Proved,
}

/// What a fact found on site says.
#[derive(Clone, Debug, PartialEq)]
pub enum Proved {
    /// It was open under this condition and proved to be this alternative.
    Alternative(&'static str, &'static str),
    /// It was open under this condition and is none of its alternatives.
    None(&'static str),
    /// The survey states it so.
    AsSurveyed,
    /// The survey states another value.
    Otherwise(String),
    /// Nothing that is learned hangs on it.
    NotLearned,
}

/// A value as it is compared.
#[derive(Clone, Debug, PartialEq)]
enum Value {
    Word(&'static str),
    Figure(f64),
}

impl Value {
    fn same(&self, other: &Value) -> bool {
        match (self, other) {
            (Value::Figure(one), Value::Figure(two)) => (one - two).abs() <= 1e-6 * one.abs().max(1.0),
            (one, two) => one == two,
        }
    }

    fn shown(&self) -> String {
        match self {
            Value::Word(word) => (*word).to_owned(),
            Value::Figure(figure) => figure.to_string(),
        }
    }
}

/// Fields whose weights can be learned from what was found.
pub(super) const FIELDS: [&str; 18] = [
    "cutout_rating_a",
    "supply_phases",
    "earthing_system",
    "ze_ohm",
    "fault_level_ka",
    "agreed_capacity_kva",
    "electrode_position",
    "looped_service",
    "cutout_condition",
    "parking_type",
    "covered_parking",
    "consent_status",
    "tenure",
    "listed",
    "asbestos_on_route",
    "condition_report",
    "board_condition",
    "storeys",
];

/// The value of a field, where it is stated without doubt.
fn value(site: &Site, field: &str) -> Option<Value> {
    let figure = |reading: &Reading<f64>| reading.stated().map(|figure| Value::Figure(*figure));
    let yes_no = |reading: &Reading<bool>| reading.stated().map(|yes| Value::Word(if *yes { "yes" } else { "no" }));
    let condition = |reading: &Reading<Condition>| reading.stated().map(|word| Value::Word(word.word()));
    let (supply, permissions, parking) = (&site.supply, &site.permissions, &site.parking);
    match field {
        "cutout_rating_a" => figure(&supply.cutout_rating_a),
        "supply_phases" => figure(&supply.supply_phases),
        "ze_ohm" => figure(&supply.ze_ohm),
        "fault_level_ka" => figure(&supply.fault_level_ka),
        "agreed_capacity_kva" => figure(&supply.agreed_capacity_kva),
        "storeys" => figure(&parking.storeys),
        "earthing_system" => supply.earthing_system.stated().map(|system| Value::Word(system.word())),
        "electrode_position" => yes_no(&supply.electrode_position),
        "looped_service" => yes_no(&supply.looped_service),
        "covered_parking" => yes_no(&parking.covered_parking),
        "listed" => yes_no(&permissions.listed),
        "asbestos_on_route" => yes_no(&permissions.asbestos_on_route),
        "cutout_condition" => condition(&supply.cutout_condition),
        "board_condition" => condition(&site.board.board_condition),
        "condition_report" => site.board.condition_report.stated().map(|report| Value::Word(report.word())),
        "tenure" => site.identity.tenure.stated().map(|tenure| Value::Word(tenure.word())),
        // Off the street is off the street, wherever it is.
        "parking_type" => parking.parking_type.stated().map(|kind| match kind {
            ParkingType::None | ParkingType::OnStreet => Value::Word("none"),
            _ => Value::Word("off the street"),
        }),
        // What is not refused in the end was granted or not needed; while it is asked nothing is found.
        "consent_status" => permissions.consent_status.stated().and_then(|status| match status {
            ConsentStatus::Refused => Some(Value::Word("refused")),
            ConsentStatus::Granted | ConsentStatus::NotNeeded => Some(Value::Word("not refused")),
            _ => None,
        }),
        _ => None,
    }
}

/// The alternative of an open fact that was found: its index, or none of them.
fn alternative(fact: &OpenFact, look: &Look<'_>, found: &Value) -> Option<u8> {
    if fact.field == "consent_status" {
        let refused = found.same(&Value::Word("refused"));
        return (0..fact.count()).find(|index| (fact.value(*index) == "refused") == refused);
    }
    (0..fact.count()).find(|index| {
        let mut world = World::seen(look.site, look.facts);
        fact.settle(&mut world, *index, look);
        value(&world.site, fact.field).is_some_and(|settled| settled.same(found))
    })
}

/// What the facts found at a site say, and for each open fact (by its place) the alternative that it proved to be.
pub(super) fn compare(
    site: &Site,
    found: &Site,
    open: &[OpenFact],
    facts: &Facts,
    rules: &Rules,
) -> (Vec<FoundFact>, Vec<Option<u8>>) {
    let look = Look { site, facts, rules, year: site.permissions.year_built.value() };
    let mut told = Vec::new();
    let mut proved = vec![None; open.len()];
    for field in FIELDS {
        let Some(own) = value(found, field) else { continue };
        let fact = open.iter().position(|fact| fact.field == field);
        let said = match fact.and_then(|place| open.get(place)).filter(|fact| learnable(fact, rules)) {
            Some(fact) => match alternative(fact, &look, &own) {
                Some(index) => {
                    if let Some(slot) = fact_slot(&mut proved, open, field) {
                        *slot = Some(index);
                    }
                    Proved::Alternative(fact.when, fact.value(index))
                }
                None => Proved::None(fact.when),
            },
            None => match value(site, field) {
                Some(surveyed) if surveyed.same(&own) => Proved::AsSurveyed,
                Some(surveyed) => Proved::Otherwise(surveyed.shown()),
                None => Proved::NotLearned,
            },
        };
        told.push(FoundFact { field, value: own.shown(), proved: said });
    }
    (told, proved)
}

fn fact_slot<'a>(proved: &'a mut [Option<u8>], open: &[OpenFact], field: &str) -> Option<&'a mut Option<u8>> {
    proved.get_mut(open.iter().position(|fact| fact.field == field)?)
}

/// Whether the weights of an open fact are those of its own field in the table: bands and figures said with doubt have
/// none of their own.
pub(super) fn learnable(fact: &OpenFact, rules: &Rules) -> bool {
    !fact.is_band() && rules.alternatives.of(fact.field, fact.when).is_some()
}
