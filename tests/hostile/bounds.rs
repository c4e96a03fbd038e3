//! What must hold of anything that was read, whatever it was read from.

use crate::said::{FIELDS, Said, said};
use baywright::intake::Intake;
use baywright::site::{Field, FieldKind, Site, fields};

/// Everything that does not hold.
pub fn faults(intake: &Intake) -> Vec<String> {
    let mut faults = Vec::new();
    let (rows, sites, aside) = (intake.rows.len(), intake.sites.len(), intake.set_aside.len());
    if rows != sites + aside {
        faults.push(format!("{rows} rows are not {sites} sites and {aside} set aside"));
    }
    if intake.set_aside.iter().any(|row| row.why.trim().is_empty()) {
        faults.push("a row is set aside without a reason".to_owned());
    }
    if intake.rows.iter().any(|row| row.cells.len() != intake.columns.len()) {
        faults.push("a row has not as many cells as there are columns".to_owned());
    }
    let mut named: Vec<&str> = intake.columns.iter().filter_map(|column| column.field).map(|f| f.name).collect();
    named.retain(|name| *name != "address");
    named.sort_unstable();
    if let Some(twice) = named.windows(2).find(|pair| pair[0] == pair[1]) {
        faults.push(format!("two columns are read as {}", twice[0]));
    }
    for site in &intake.sites {
        faults.extend(fields().iter().filter(|field| FIELDS.contains(&field.name)).filter_map(|f| beyond(site, f)));
    }
    faults
}

/// A reading that its field cannot have.
pub fn beyond(site: &Site, field: &Field) -> Option<String> {
    let found = said(site, field.name);
    let fault = || Some(format!("row {} {}: {found}", site.row, field.name));
    let ends = match &found {
        Said::NotAsked | Said::Unknown(_) => return None,
        Said::Stated(value) => [value.as_str(), value.as_str(), value.as_str()],
        Said::Doubtful { low, likely, high } => [low.as_str(), likely.as_str(), high.as_str()],
    };
    match field.kind {
        FieldKind::Number | FieldKind::Count | FieldKind::Time => {
            let ends: Vec<f64> = ends.iter().filter_map(|end| end.parse().ok()).collect();
            let (min, max) = (field.min.unwrap_or(f64::NEG_INFINITY), field.max.unwrap_or(f64::INFINITY));
            let [low, likely, high] = ends[..] else { return fault() };
            // Written to three decimals, which may be half of one beyond the end.
            let slack = 0.000_5;
            let sound = min - slack <= low && low <= likely && likely <= high && high <= max + slack;
            let whole = field.kind != FieldKind::Count || ends.iter().all(|end| end.fract() == 0.0);
            if sound && whole { None } else { fault() }
        }
        FieldKind::Date => {
            let year = |end: &str| end.get(..4).and_then(|year| year.parse::<i32>().ok());
            let sound = ends.iter().all(|end| year(end).is_some_and(|year| (1950..=2100).contains(&year)));
            if sound && ends[0] <= ends[2] { None } else { fault() }
        }
        FieldKind::Word => {
            let known = |end: &&str| field.words.iter().any(|word| word == end);
            if ends.iter().all(known) { None } else { fault() }
        }
        FieldKind::YesNo | FieldKind::Text | FieldKind::Identifier => {
            if ends[1].trim().is_empty() {
                fault()
            } else {
                None
            }
        }
    }
}
