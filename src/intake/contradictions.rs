//! Answers of one row that contradict one another: a note that names both cells and what is assumed, and a doubt on
//! the answer where that is the safe side. Nothing is corrected and no value is made up.
//!
//! Which answers are held against which, the limits and the words are data (`contradictions.csv`, `contradiction_signs.csv`); here is
//! only how each is compared. What rows have to do with each other is for `neighbours`.

use super::identifiers::profile_class;
use super::raw::{RawCell, RawRow, column_letters, words_of};
use super::types::CellNote;
use crate::quantity::{existing_kw_to_amps, kva_to_amps};
use crate::site::{
    Answer, ConsentStatus, Contradiction, EarthingSystem, Field, Heating, Metering, ParkingType, Premises, Site,
    distributor_elsewhere, distributor_of_mpan, distributors_named, fields,
};
use crate::table::Table;
use std::sync::OnceLock;

/// What a rule looks at: the site as read, its row as written, and the limit of the table.
struct Look<'a> {
    site: &'a Site,
    raw: &'a RawRow,
    columns: &'a [(u16, &'static str)],
    limit: f64,
}

/// Whether two answers contradict each other.
type Holds = fn(&Look<'_>) -> bool;

/// One rule of the table with the way it is compared.
struct Rule {
    name: &'static str,
    fields: [&'static Field; 2],
    limit: f64,
    why: &'static str,
    assumed: &'static str,
    holds: Holds,
}

impl Look<'_> {
    /// The text under a field, as written; a number says no more than it was read as.
    fn text(&self, field: &str) -> Option<&str> {
        let (column, _) = self.columns.iter().find(|(_, name)| *name == field)?;
        match self.raw.cell(*column)? {
            RawCell::Text(text) => Some(text),
            _ => None,
        }
    }

    /// Phases as stated; a supply of which nobody said is not held against anything.
    fn phases(&self) -> Option<u8> {
        self.site.supply.supply_phases.value().map(|phases| if phases >= 2.0 { 3 } else { 1 })
    }

    fn over_fuse(&self, amps: Option<f64>) -> bool {
        amps.zip(self.site.supply.cutout_rating_a.value()).is_some_and(|(amps, fuse)| amps > self.limit * fuse)
    }

    fn has_earthing(&self, system: EarthingSystem) -> bool {
        self.site.supply.earthing_system.stated() == Some(&system)
    }

    fn ze(&self) -> Option<f64> {
        self.site.supply.ze_ohm.value()
    }

    fn before_it_was_built(&self, date: Option<jiff::civil::Date>) -> bool {
        let built = self.site.permissions.year_built.ends().map(|(low, _, _)| *low);
        date.zip(built).is_some_and(|(date, built)| f64::from(date.year()) < built)
    }

    fn denied_loop(&self) -> bool {
        self.site.supply.looped_service.stated() == Some(&false)
    }
}

/// Whether a text holds one of the phrases of a sign, and does not deny it.
pub(super) fn shows(sign: &str, text: &str) -> bool {
    static SIGNS: OnceLock<Vec<(&'static str, String)>> = OnceLock::new();
    let signs = SIGNS.get_or_init(|| {
        Table::of(include_str!("contradiction_signs.csv"))
            .rows()
            .map(|row| (row.kept("sign"), format!(" {} ", row.text("phrase"))))
            .collect()
    });
    // One word alone is none of the phrases.
    if !text.trim().contains(' ') {
        return false;
    }
    let plain = format!(" {} ", words_of(text));
    signs.iter().filter(|(of, _)| *of == sign).any(|(_, phrase)| {
        plain.find(phrase.as_str()).is_some_and(|at| {
            let before = plain.get(..at).unwrap_or_default();
            !["not", "no", "isnt", "never", "former", "formerly"]
                .iter()
                .any(|word| before.ends_with(&format!(" {word}")))
        })
    })
}

/// The number of fuses that a text counts: the 3 of "3 x 100 A".
fn fuses_counted(text: &str) -> Option<u8> {
    if !text.contains(['x', 'X', '\u{d7}']) {
        return None;
    }
    let plain = words_of(text).replace('\u{d7}', "x");
    let (count, rest) = plain.split_once(['x', ' '])?;
    let counted = plain.contains('x') && rest.bytes().any(|byte| byte.is_ascii_digit());
    counted.then(|| count.trim().parse().ok()).flatten().filter(|count| (1..=3).contains(count))
}

/// How each rule of the table is compared; a test holds that the two lists are the same.
const RULES: &[(&str, Holds)] = &[
    ("fuse-over-tails", |look| {
        let supply = &look.site.supply;
        supply
            .cutout_rating_a
            .value()
            .zip(supply.tails_mm2.value())
            .is_some_and(|(a, mm2)| a >= 100.0 && mm2 <= look.limit)
    }),
    ("fuses-and-phases", |look| {
        let fuses = look.text("cutout_rating_a").and_then(fuses_counted);
        fuses.zip(look.phases()).is_some_and(|(fuses, phases)| fuses != phases)
    }),
    ("profile-in-a-house", |look| {
        look.site.identity.premises_type.is(Premises::House)
            && look.text("mpan").and_then(profile_class).is_some_and(|class| (5..=8).contains(&class))
    }),
    ("electrode-too-good", |look| look.has_earthing(EarthingSystem::Tt) && look.ze().is_some_and(|ze| ze < look.limit)),
    ("ze-over-tn-c-s", |look| look.has_earthing(EarthingSystem::TnCS) && look.ze().is_some_and(|ze| ze > look.limit)),
    ("ze-over-tn-s", |look| look.has_earthing(EarthingSystem::TnS) && look.ze().is_some_and(|ze| ze > look.limit)),
    ("probably-tn-c-s", |look| {
        look.site.supply.earthing_system.is_unknown() && look.ze().is_some_and(|ze| ze < look.limit)
    }),
    ("demand-over-fuse", |look| look.over_fuse(look.site.load.existing_demand_a.value())),
    ("demand-over-fuse-kw", |look| {
        let kw = look.site.load.existing_demand_kw.value();
        look.over_fuse(kw.zip(look.phases()).map(|(kw, phases)| existing_kw_to_amps(kw, phases)))
    }),
    ("loop-seen", |look| {
        look.denied_loop() && look.site.identity.notes.likely().is_some_and(|notes| shows("loop", notes))
    }),
    ("loop-in-the-condition", |look| {
        look.denied_loop() && look.text("cutout_condition").is_some_and(|text| shows("loop", text))
    }),
    ("three-phase-power", |look| {
        look.phases() == Some(1) && look.site.wanted.requested_kw.value().is_some_and(|kw| kw >= look.limit)
    }),
    ("parts-and-distance", |look| {
        let parking = &look.site.parking;
        let parts =
            [&parking.route_indoor_m, &parking.route_surface_m, &parking.route_buried_m].map(|part| part.value());
        let sum: f64 = parts.iter().flatten().sum();
        let given = parts.iter().any(Option::is_some);
        // A metre of slack: people round.
        given
            && parking.parking_distance_m.ends().is_some_and(|(low, _, high)| {
                let slack = 1.0_f64.max(look.limit * high);
                sum > high + slack || (parts.iter().all(Option::is_some) && sum < low - slack)
            })
    }),
    ("capacity-over-fuse", |look| {
        let kva = look.site.supply.agreed_capacity_kva.ends().map(|(low, _, _)| *low);
        look.over_fuse(kva.zip(look.phases()).map(|(kva, phases)| kva_to_amps(kva, phases)))
    }),
    ("whole-current-too-large", |look| {
        let supply = &look.site.supply;
        supply.metering.is(Metering::WholeCurrent)
            && supply.agreed_capacity_kva.value().is_some_and(|kva| kva > look.limit)
    }),
    ("high-voltage-house", |look| {
        look.site.supply.metering.is(Metering::HighVoltage) && look.site.identity.premises_type.is(Premises::House)
    }),
    ("distributor-and-number", |look| {
        let stated = look.site.supply.distributor.likely().map(|text| distributors_named(text)).unwrap_or_default();
        let core = look.site.supply.mpan.likely().and_then(|core| distributor_of_mpan(core));
        !stated.is_empty() && core.is_some_and(|core| !stated.contains(&core))
    }),
    ("distributor-and-postcode", |look| {
        let core = look.site.supply.mpan.likely().and_then(|core| distributor_of_mpan(core));
        core.zip(look.site.identity.postcode.likely())
            .is_some_and(|(core, postcode)| distributor_elsewhere(core, postcode))
    }),
    ("covered-on-street", |look| {
        look.site.parking.covered_parking.is(true) && look.site.parking.parking_type.is(ParkingType::OnStreet)
    }),
    ("listed-no-consent", |look| {
        let permissions = &look.site.permissions;
        permissions.listed.is(true) && permissions.consent_status.is(ConsentStatus::NotNeeded)
    }),
    ("drive-and-none", |look| {
        let parking = look.site.parking.parking_type.stated();
        parking.is_some_and(|parking| !matches!(parking, ParkingType::None | ParkingType::OnStreet))
            && look.text("premises_type").is_some_and(|text| shows("no-place", text))
    }),
    ("none-with-distance", |look| {
        look.site.parking.parking_type.is(ParkingType::None) && look.site.parking.parking_distance_m.is_stated()
    }),
    ("survey-before-build", |look| look.before_it_was_built(look.site.identity.survey_date.value())),
    ("report-before-build", |look| look.before_it_was_built(look.site.board.condition_report_date.value())),
    ("no-supply-with-cutout", |look| {
        look.site.supply.supply_present.is(false) && look.site.supply.cutout_rating_a.is_stated()
    }),
    ("unmetered-with-number", |look| look.site.supply.unmetered.is(true) && look.site.supply.metering.is_stated()),
    ("points-over-bays", |look| {
        let points = look.site.wanted.points_wanted.value();
        points.zip(look.site.parking.bays.value()).is_some_and(|(points, bays)| points > bays)
    }),
    ("heat-pump-and-heating", |look| {
        look.site.load.heating.is(Heating::HeatPump) && look.site.load.heat_pump_kw.is(0.0)
    }),
    ("loop-and-metering", |look| {
        look.site.supply.looped_service.is(true)
            && look.site.supply.metering.value().is_some_and(|metering| metering != Metering::WholeCurrent)
    }),
];

fn rules() -> &'static [Rule] {
    static TABLE: OnceLock<Vec<Rule>> = OnceLock::new();
    TABLE.get_or_init(|| {
        let named = |name: &str| fields().iter().find(|field| field.name == name);
        Table::of(include_str!("contradictions.csv"))
            .rows()
            .filter_map(|row| {
                let (name, holds) = RULES.iter().find(|(name, _)| *name == row.text("rule"))?;
                Some(Rule {
                    name,
                    fields: [named(row.text("field"))?, named(row.text("other"))?],
                    limit: row.number("limit").unwrap_or_default(),
                    why: row.kept("why"),
                    assumed: row.kept("assumed"),
                    holds: *holds,
                })
            })
            .collect()
    })
}

/// Rules between rows, with what their cases have in common.
const BETWEEN_ROWS: &[(&str, &str)] = &[
    ("surveys-differ", "Two rows for one place differ about cut-out, loop or earthing."),
    ("number-at-several", "One supply number stands at several places; each is judged by itself."),
    ("neighbours-differ", "A loop to a neighbour who says there is none: the yes stands, the no is in doubt."),
];

/// What the cases of a rule have in common, as a sentence, after the other field where it is of the same row.
pub(super) fn said_of(rule: &str) -> (Option<&'static str>, String) {
    if let Some((_, said)) = BETWEEN_ROWS.iter().find(|(name, _)| *name == rule) {
        return (None, (*said).to_owned());
    }
    let Some(rule) = rules().iter().find(|known| known.name == rule) else { return (None, rule.to_owned()) };
    let [field, other] = rule.fields;
    let said = format!("{} against {}: {}; {}.", field.name, other.name, rule.why, rule.assumed);
    (Some(other.name), said)
}

/// Finds what contradicts itself in one row, notes it with both cells, and puts in doubt what is in doubt.
pub(super) fn within(raw: &RawRow, columns: &[(u16, &'static str)], site: &mut Site, notes: &mut Vec<CellNote>) {
    let asked = |field: &Field| columns.iter().find(|(_, name)| *name == field.name).map(|(column, _)| *column);
    for rule in rules() {
        let look = Look { site, raw, columns, limit: rule.limit };
        if !(rule.holds)(&look) {
            continue;
        }
        let [field, other] = rule.fields;
        let written = |field: &Field| asked(field).and_then(|column| raw.cell(column)).map(RawCell::shown);
        let place = asked(other).map_or(String::new(), |column| format!(" in {}{}", column_letters(column), raw.row));
        let message = format!(
            "{} {}{place} does not go with it: {}; {}.",
            other.name,
            written(other).unwrap_or_default(),
            rule.why,
            rule.assumed
        );
        notes.push(CellNote {
            row: raw.row,
            column: asked(field).unwrap_or_default(),
            field: field.name,
            raw: written(field).unwrap_or_default(),
            contradiction: Some(rule.name),
            understood: "contradicted".to_owned(),
            message,
            ..CellNote::default()
        });
        let decides = doubt(rule.name, site);
        site.contradictions.push(Contradiction { rule: rule.name, fields: [field.name, other.name], decides });
    }
}

/// Puts the answer in doubt that a contradiction makes doubtful; the doubt itself then holds the site where it must.
/// `true` would hold the site beside that, and no rule within a row needs it.
fn doubt(rule: &str, site: &mut Site) -> bool {
    match rule {
        "electrode-too-good" => {
            let likely = EarthingSystem::Tt;
            site.supply.earthing_system.answer = Answer::Doubtful { low: likely, likely, high: EarthingSystem::TnCS };
        }
        "loop-seen" | "loop-in-the-condition" => {
            site.supply.looped_service.answer = Answer::Doubtful { low: false, likely: true, high: true };
        }
        "drive-and-none" => {
            if let Some(likely) = site.parking.parking_type.value() {
                site.parking.parking_type.answer = Answer::Doubtful { low: likely, likely, high: ParkingType::None };
            }
        }
        _ => {}
    }
    false
}

#[cfg(test)]
#[path = "contradictions_tests.rs"]
mod tests;
