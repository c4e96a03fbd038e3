//! Lines of a fleet sheet joined to the sites that they name, and lines of a feeder sheet kept beside the portfolio.
//! Every line has its fate; a cell that could not be used is told with its reason.

use super::join::{Found, Marks, Places, key};
use super::layer::{Fate, Layer, LayerLine};
use super::layers::{cell_named, line};
use super::side_sheets::{Line, Read};
use crate::site::{Cited, Feeder, Site, VehicleGroup};
use std::collections::BTreeMap;
use std::sync::Arc;

/// What every sheet of this kind says of itself: columns, cells not used, columns that mean nothing.
fn told(read: &Read, layer: &mut Layer) {
    layer.rows_read = read.lines.len();
    layer.columns = read.columns.iter().map(|(name, heading)| format!("{name} from \"{heading}\"")).collect();
    if !read.others.is_empty() {
        layer.warnings.push(format!("Not used: {}.", read.others.join(", ")));
    }
    if !read.lacks.is_empty() {
        layer.warnings.push(format!("It has no column {}: no line of it is used.", read.lacks.join(", ")));
    }
    layer.lines.extend(read.not_used.iter().map(|cell| LayerLine {
        field: cell.field,
        value: cell.text.clone(),
        cell: cell_named(cell.row, Some(cell.column)),
        ..line(Fate::NotUnderstood, cell.row, cell.why.clone())
    }));
}

fn cited(file: &Arc<str>, line: &Line, text: &str) -> Cited {
    Cited { file: Arc::clone(file), row: line.row, column: None, text: text.to_owned() }
}

fn not_joined(line_: &Line, value: &str, why: String) -> LayerLine {
    LayerLine { rows: 1, value: value.to_owned(), ..line(Fate::NotJoined, line_.row, why) }
}

/// Gives each site the vehicle groups that name it.
pub(super) fn join_fleet(
    read: &Read,
    places: &Places,
    names: &[(String, u16, u32)],
    sites: &mut [Site],
    layer: &mut Layer,
) {
    told(read, layer);
    let file: Arc<str> = Arc::from(layer.name());
    for own in &read.lines {
        let named = own.text("site_id").unwrap_or_default();
        let found = match own.lacks.as_slice() {
            [] => places.find(&Marks { site_id: Some(key(named)), ..Marks::default() }),
            lacks => Found::None(format!("It does not say {}.", lacks.join(", "))),
        };
        let at = match found {
            Found::One { at, .. } => at,
            Found::None(why) => {
                layer.lines.push(not_joined(own, named, why));
                continue;
            }
        };
        let Some((site, (site_id, site_sheet, site_row))) = sites.get_mut(at).zip(names.get(at).cloned()) else {
            continue;
        };
        let name = own.text("vehicle_group").map_or_else(|| format!("group {}", site.fleet.len() + 1), str::to_owned);
        let mean = own.figure("daily_miles_mean");
        let high = own.figure("daily_miles_high");
        // A high day below the mean one is a slip: the greater of the two is the high day.
        let (mean, high) = match (mean, high) {
            (Some(mean), Some(high)) if high < mean => (Some(high), Some(mean)),
            ends => ends,
        };
        let group = VehicleGroup {
            cell: cited(&file, own, &name),
            name: name.clone(),
            count: own.count("count").unwrap_or(1),
            daily_miles_mean: mean,
            daily_miles_high: high,
            miles_per_kwh: own.figure("miles_per_kwh"),
            arrive: own.figure("arrive"),
            depart: own.figure("depart"),
            max_ac_a: own.figure("max_ac_a"),
            max_ac_phases: own.figure("max_ac_phases").map(|phases| if phases >= 3.0 { 3 } else { 1 }),
            days_a_week: own.figure("days_a_week"),
        };
        let mut remark = format!("By site_id: {} of {name}.", group.count);
        // The same group in a file before this one: the later file speaks of it.
        match site.fleet.iter_mut().find(|before| key(&before.name) == key(&name) && before.cell.file != file) {
            Some(before) => {
                remark.push_str(&format!(" It stands for that of {}.", before.cell.file));
                *before = group;
            }
            None => site.fleet.push(group),
        }
        layer.lines.push(LayerLine {
            rows: 1,
            site_id,
            site_sheet,
            site_row,
            value: named.to_owned(),
            ..line(Fate::Joined, own.row, remark)
        });
    }
}

/// Keeps the feeders of a sheet; a line counts as joined where a site names its feeder.
pub(super) fn keep_feeders(read: &Read, sites: &[Site], feeders: &mut Vec<Feeder>, layer: &mut Layer) {
    told(read, layer);
    let file: Arc<str> = Arc::from(layer.name());
    let mut named: BTreeMap<String, usize> = BTreeMap::new();
    for site in sites {
        if let Some(id) = site.supply.feeder_id.likely() {
            *named.entry(key(id)).or_default() += 1;
        }
    }
    for own in &read.lines {
        let id = own.text("feeder_id").unwrap_or_default();
        if !own.lacks.is_empty() {
            layer.lines.push(not_joined(own, id, format!("It does not say {}.", own.lacks.join(", "))));
            continue;
        }
        if feeders.iter().any(|feeder| key(&feeder.feeder_id) == key(id)) {
            let why = "Its feeder stands in a line before it, which is used.".to_owned();
            layer.lines.push(not_joined(own, id, why));
            continue;
        }
        feeders.push(Feeder {
            feeder_id: id.to_owned(),
            capacity_kva: own.figure("capacity_kva"),
            recorded_peak_kva: own.figure("recorded_peak_kva"),
            customers: own.count("customers"),
            cell: cited(&file, own, id),
        });
        let fate = match named.get(&key(id)) {
            Some(sites) => {
                let remark = format!("{sites} of the portfolio's sites hang on it.");
                LayerLine { rows: 1, value: id.to_owned(), ..line(Fate::Joined, own.row, remark) }
            }
            None => not_joined(own, id, "No site names it as its feeder_id.".to_owned()),
        };
        layer.lines.push(fate);
    }
}
