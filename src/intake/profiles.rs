//! Meters of half-hours joined to sites and told in figures. The highest half-hour becomes the recorded peak of a site
//! that states none; mean and greatest of each half-hour of the day are kept with the site.

use super::half_hours::Unit;
use super::join::{Found, Marks, Places, key};
use super::layer::{Fate, Layer, LayerLine};
use super::layers::{cell_named, line};
use super::meter::{Day, DayKey, Meter, MeterKey};
use super::raw::number_shown;
use super::readings::Read;
use super::sums::{Part, Sums};
use super::units::{Doubt, shares};
use crate::quantity::{EXISTING_LOAD_POWER_FACTOR, U0_V, round_to};
use crate::site::{Answer, Cited, Conflict, Elsewhere, Profile, ProfileUnit, Reading, Site};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::{Arc, OnceLock};

const HALF_HOURS_CSV: &str = include_str!("half_hours.csv");
/// Hours a half-hour lasts.
const HOURS: f64 = 0.5;

/// A figure of `half_hours.csv` by name.
pub(super) fn threshold(name: &str) -> f64 {
    static TABLE: OnceLock<BTreeMap<String, f64>> = OnceLock::new();
    let table = TABLE.get_or_init(|| {
        let records = csv::Reader::from_reader(HALF_HOURS_CSV.as_bytes()).into_records().flatten();
        records.filter_map(|record| Some((record.get(0)?.to_owned(), record.get(1)?.parse().ok()?))).collect()
    });
    table.get(name).copied().unwrap_or(f64::INFINITY)
}

/// One meter of one file, joined to a site.
pub(super) struct Series {
    key: MeterKey,
    meter: Meter,
    file: Arc<str>,
    /// Which of the layers it came from.
    pub layer: usize,
}

/// Joins the meters of a sheet to sites and says what became of every line.
pub(super) fn join(
    read: Read,
    places: &Places,
    names: &[(String, u16, u32)],
    layer: &mut Layer,
) -> Vec<(usize, Series)> {
    let file: Arc<str> = Arc::from(layer.name());
    layer.rows_read = read.lines;
    layer.warnings.push(
        "Half-hours: the highest of a site is its recorded peak; beside several points the day's run is used."
            .to_owned(),
    );
    for (why, (rows, row)) in read.unused {
        layer.lines.push(LayerLine { rows, ..line(Fate::NotJoined, row, why.to_owned()) });
    }
    let mut joined = Vec::new();
    for (meter_key, meter) in read.meters {
        let site_id = meter_key.site_id.as_deref().map(key).filter(|id| !id.is_empty());
        let marks = Marks { uprn: meter_key.uprn.clone(), site_id, mpan: meter_key.mpan.clone(), ..Marks::default() };
        let value = [&meter_key.mpan, &meter_key.site_id, &meter_key.uprn].into_iter().flatten().next().cloned();
        let of_meter = LayerLine {
            value: value.unwrap_or_default(),
            rows: meter.lines,
            ..line(Fate::NotJoined, meter.first_row, String::new())
        };
        match places.find(&marks) {
            Found::One { at, by, .. } => {
                let (site_id, site_sheet, site_row) = names.get(at).cloned().unwrap_or_default();
                let remark = format!("By {by}.{}", told(&meter));
                layer.lines.push(LayerLine { fate: Fate::Joined, site_id, site_row, site_sheet, remark, ..of_meter });
                joined.push((at, Series { key: meter_key, meter, file: Arc::clone(&file), layer: 0 }));
            }
            Found::None(remark) => layer.lines.push(LayerLine { remark, ..of_meter }),
        }
    }
    joined
}

/// What had to be put right in the lines of a meter.
fn told(meter: &Meter) -> String {
    let mut said = String::new();
    let mut say = |count: usize, one: &str| {
        if count > 0 {
            said.push_str(&format!(" {count} {one}."));
        }
    };
    say(meter.twice, "stood twice: the later line is used");
    say(meter.not_figures, "values are no figures and count as missing");
    say(meter.skipped, "spring change: the hour that does not exist holds nothing and is left out");
    say(meter.halved, "autumn change: the hour that comes twice was added up and is halved");
    said
}

/// Adds the meters of each site, tells them in figures and fills recorded peaks.
pub(super) fn settle(series: Vec<(usize, Series)>, sites: &mut [Site], main: &[Arc<str>], layers: &mut [Layer]) {
    let mut by_site: BTreeMap<usize, Vec<Series>> = BTreeMap::new();
    for (at, own) in series {
        by_site.entry(at).or_default().push(own);
    }
    for (at, series) in by_site {
        let Some(site) = sites.get_mut(at) else { continue };
        let Some(found) = tell(series, site) else { continue };
        let Some(layer) = layers.get_mut(found.layer) else { continue };
        let cell = cell_named(found.cell.row, found.cell.column);
        let about = LayerLine {
            site_id: site.site_id.clone(),
            site_row: site.row,
            site_sheet: site.sheet,
            field: "recorded_peak_kva",
            value: found.cell.text.clone(),
            cell,
            ..line(Fate::Profile, found.cell.row, found.said.clone())
        };
        layer.lines.push(about.clone());
        if let Some(line) = peak(site, &found, about, main) {
            layer.lines.push(line);
        }
        site.profile = Some(Box::new(found.profile));
    }
}

/// Meters of one supply that follow each other, put together: the meter was changed, and is not two.
fn exchanged(meters: Vec<Series>, said: &mut Vec<String>) -> Vec<Series> {
    let mut kept: Vec<Series> = Vec::new();
    for own in meters {
        let before = kept.iter_mut().find(|before| {
            own.key.mpan.is_some()
                && (&before.key.mpan, before.meter.unit) == (&own.key.mpan, own.meter.unit)
                && before.meter.is_apart_from(&own.meter)
        });
        match before {
            Some(before) => {
                said.push(format!(
                    "Meter {} and meter {} never run at once: one was changed for the other.",
                    before.key.serial, own.key.serial
                ));
                before.meter.take_in(own.meter);
            }
            None => kept.push(own),
        }
    }
    kept
}

/// The profile of a site and where its peak stands.
struct Told {
    profile: Profile,
    /// The highest that was recorded.
    peak_kva: f64,
    /// The highest with every meter that is missing at its own highest; not below the recorded.
    possible_kva: f64,
    layer: usize,
    cell: Cited,
    said: String,
}

/// Fills the recorded peak of a site that has none; else compares.
fn peak(site: &mut Site, found: &Told, about: LayerLine, main: &[Arc<str>]) -> Option<LayerLine> {
    let days = f64::from(found.profile.days);
    let Some((first, last)) = found.profile.span else {
        return Some(LayerLine { remark: "Kinds of day without dates give no recorded peak.".to_owned(), ..about });
    };
    if days < threshold("least_days") {
        let remark = format!("{days} days are too few for a recorded peak; {} are wanted.", threshold("least_days"));
        return Some(LayerLine { remark, ..about });
    }
    if let Some(stated) = site.supply.recorded_peak_kva.value() {
        let near = threshold("agree");
        if stated >= found.peak_kva * (1.0 - near) && found.possible_kva >= stated * (1.0 - near) {
            return None;
        }
        let own = site.elsewhere.iter().find(|own| own.field == "recorded_peak_kva").map(|own| own.cell.clone());
        let stands = own.unwrap_or_else(|| Cited {
            file: main.get(usize::from(site.sheet)).cloned().unwrap_or_default(),
            row: site.row,
            column: site.supply.recorded_peak_kva.column,
            text: number_shown(stated),
        });
        let line = LayerLine {
            fate: Fate::Conflict,
            against: stands.text.clone(),
            against_cell: format!("{} {}", stands.file, cell_named(stands.row, stands.column)),
            remark: "The stated peak stands.".to_owned(),
            ..about
        };
        let other = found.cell.clone();
        site.conflicts.push(Conflict { field: "recorded_peak_kva", stands, other, by_date: false, open: false });
        return Some(line);
    }
    let span = first.until(last).map_or(0, |span| span.get_days()) + 1;
    let whole = f64::from(span) >= threshold("full_year_days") && found.profile.coverage >= threshold("full_coverage");
    let (low, likely) = (found.peak_kva, found.possible_kva);
    let (_, more) = shares(Doubt::AtLeast);
    let (answer, remark) = if !whole {
        let high = round_to(likely * more, 3);
        let upto = number_shown(high);
        let remark = format!(
            "Derived: taken as recorded peak, up to {upto} kVA because the half-hours are not those of a whole year."
        );
        (Answer::Doubtful { low, likely, high }, remark)
    } else if likely > low {
        let remark = format!(
            "Derived: taken as recorded peak, as {} kVA because meters are missing at times.",
            number_shown(likely)
        );
        (Answer::Doubtful { low, likely, high: likely }, remark)
    } else {
        (Answer::Stated(likely), "Derived: taken as recorded peak.".to_owned())
    };
    site.supply.recorded_peak_kva = Reading { answer, column: None };
    site.elsewhere.push(Elsewhere { field: "recorded_peak_kva", cell: found.cell.clone() });
    Some(LayerLine { fate: Fate::Filled, remark, ..about })
}

/// What a half-hour of a unit is in kilowatts or kilovolt-amperes.
fn turned(unit: Unit) -> (f64, ProfileUnit) {
    match unit {
        Unit::Kwh => (1.0 / HOURS, ProfileUnit::Kw),
        Unit::Wh => (1.0 / HOURS / 1000.0, ProfileUnit::Kw),
        Unit::Kw => (1.0, ProfileUnit::Kw),
        Unit::Kva => (1.0, ProfileUnit::Kva),
        Unit::Kvah => (1.0 / HOURS, ProfileUnit::Kva),
    }
}

/// The unit of figures that name none, by what the supply can carry: kilowatt-hours, as suppliers send them and the
/// greater load of the two, unless the supply could not carry that and could carry kilowatts.
fn by_size(highest: f64, site: &Site) -> Unit {
    let phases = site.supply.supply_phases.value().unwrap_or(1.0).max(1.0);
    let fuse_kva = site.supply.cutout_rating_a.value().map(|amps| amps * U0_V * phases / 1000.0);
    let carries = site.supply.agreed_capacity_kva.value().or(fuse_kva);
    let kva = highest / EXISTING_LOAD_POWER_FACTOR;
    match carries {
        Some(carries) if kva / HOURS > carries && kva <= carries => Unit::Kw,
        _ => Unit::Kwh,
    }
}

fn highest_of(meter: &Meter) -> f64 {
    meter.days.values().filter_map(Day::highest).map(|(_, value)| f64::from(value)).fold(0.0, f64::max)
}

fn tell(series: Vec<Series>, site: &Site) -> Option<Told> {
    // The same meter in two files is one: the later file is used where both have a day.
    let mut meters: BTreeMap<(Option<String>, String), Series> = BTreeMap::new();
    let mut said = Vec::new();
    for own in series {
        let identity = (own.key.mpan.clone(), own.key.serial.clone());
        match meters.get_mut(&identity).filter(|before| before.meter.unit == own.meter.unit) {
            Some(before) => {
                let twice = own.meter.days.keys().filter(|day| before.meter.days.contains_key(*day)).count();
                if twice > 0 {
                    said.push(format!("{twice} days stand in two files: those of {} are used.", own.file));
                }
                before.meter.days.extend(own.meter.days);
                (before.file, before.layer) = (own.file, own.layer);
            }
            None => {
                let mut identity = identity;
                while meters.contains_key(&identity) {
                    identity.1.push('+');
                }
                meters.insert(identity, own);
            }
        }
    }
    let meters = exchanged(meters.into_values().collect(), &mut said);
    let mut units = Vec::new();
    for own in &meters {
        units.push(own.meter.unit.unwrap_or_else(|| {
            let unit = by_size(highest_of(&own.meter), site);
            let word = if unit == Unit::Kw { "kW" } else { "kWh" };
            said.push(format!("No unit is given: by their size the figures are taken as {word}."));
            unit
        }));
    }
    let kva = units.iter().any(|unit| turned(*unit).1 == ProfileUnit::Kva);
    let factors: Vec<f64> = units
        .iter()
        .map(|unit| match turned(*unit) {
            (factor, ProfileUnit::Kw) if kva => factor / EXISTING_LOAD_POWER_FACTOR,
            (factor, _) => factor,
        })
        .collect();
    let days: BTreeSet<&DayKey> = meters.iter().flat_map(|own| own.meter.days.keys()).collect();
    let highest: Vec<f64> = meters.iter().zip(&factors).map(|(own, by)| highest_of(&own.meter) * by).collect();
    let mut sums = Sums::new();
    for key in days {
        let parts = meters.iter().zip(factors.iter().zip(&highest));
        sums.day(
            key,
            parts.map(|(own, (factor, highest))| Part {
                day: own.meter.days.get(key),
                factor: *factor,
                highest: *highest,
                layer: own.layer,
            }),
        );
    }
    let peak = sums.peak.clone()?;
    if meters.len() > 1 {
        said.push(format!("{} meters are added.", meters.len()));
    }
    let unit = if kva { ProfileUnit::Kva } else { ProfileUnit::Kw };
    let profile = sums.profile(unit, &peak, meters.len());
    let in_kva = |value: f64| round_to(if kva { value } else { value / EXISTING_LOAD_POWER_FACTOR }, 3);
    let (peak_kva, possible_kva) = (in_kva(peak.value), in_kva(sums.possible));
    if sums.in_part > 0 {
        said.push(format!(
            "{} half-hours are there by some of the meters only and count as missing; with the others at their own \
             highest, the highest is {} kVA.",
            sums.in_part,
            number_shown(possible_kva)
        ));
    }
    let source = meters.iter().find(|own| own.layer == peak.layer)?;
    let when = match profile.peak.date {
        Some(date) => format!("on {date} at {:02}:{:02}", peak.half_hour / 2, peak.half_hour % 2 * 30),
        None => format!("at {:02}:{:02}", peak.half_hour / 2, peak.half_hour % 2 * 30),
    };
    let text = format!("{} {} {when}", number_shown(round_to(peak.value, 3)), unit.word());
    let span = profile.span.map(|(first, last)| format!(" from {first} to {last}")).unwrap_or_default();
    let estimated = if profile.estimated > 0 { format!(", {} estimated", profile.estimated) } else { String::new() };
    said.insert(
        0,
        format!(
            "{} days{span}, {} half-hours missing ({:.1} % are there){estimated}. Highest {text}: {} kVA.",
            profile.days,
            profile.gaps,
            profile.coverage * 100.0,
            number_shown(peak_kva)
        ),
    );
    let cell = Cited { file: Arc::clone(&source.file), row: peak.row, column: Some(peak.column), text };
    Some(Told { profile, peak_kva, possible_kva, layer: peak.layer, cell, said: said.join(" ") })
}
