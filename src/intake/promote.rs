//! Rows that the portfolio alone gave nothing to judge by, once other files have brought figures: they take their place
//! among the sites. It knows keys and order, and no file.

use super::rows::nothing_to_judge_by;
use super::several::made_key;
use super::types::{CellNote, Intake};
use crate::site::Site;
use std::collections::BTreeSet;

/// Moves every waiting row that can be judged now from those set aside to the sites.
pub(super) fn promote(intake: &mut Intake, waiting: Vec<(Site, Vec<CellNote>)>) {
    let mut keys: BTreeSet<String> = intake.sites.iter().map(|site| site.site_id.clone()).collect();
    keys.extend(waiting.iter().map(|(site, _)| site.site_id.clone()));
    let mut taken: BTreeSet<String> = intake.sites.iter().map(|site| site.site_id.clone()).collect();
    let mut judged = BTreeSet::new();
    for (mut site, notes) in waiting {
        if nothing_to_judge_by(&site).is_some() {
            continue;
        }
        if site.site_id.is_empty() {
            site.site_id_made = true;
            let mut made = made_key(site.sheet, site.row);
            while keys.contains(&made) {
                made.insert(0, '_');
            }
            site.site_id = made;
        } else if taken.contains(&site.site_id) {
            let stated = site.site_id.clone();
            let mut number = 2_u32;
            while keys.contains(&site.site_id) {
                site.site_id = format!("{stated}-{number}");
                number += 1;
            }
        }
        keys.insert(site.site_id.clone());
        taken.insert(site.site_id.clone());
        judged.insert((site.sheet, site.row));
        intake.notes.extend(notes);
        intake.sites.push(site);
    }
    if judged.is_empty() {
        return;
    }
    intake.set_aside.retain(|aside| !judged.contains(&(aside.sheet, aside.row)));
    intake.sites.sort_by_key(|site| (site.sheet, site.row));
    intake.notes.sort_by_key(|note| (note.sheet, note.row, note.column));
}
