//! Columns whose headings are whole sentences, where their values bear out what the words speak of. An uncertain match
//! is asked about and never taken silently. Which field the words speak of is for `worded`.

use super::evidence::{AGAINST, Asked, FEWEST, NEARLY_NONE, Samples, all_are, capital, share, speaks_against};
use super::headings::{Match, column_said, in_words};
use super::mapping::settled;
use super::raw::RawCell;
use super::shortened::spelt_out;
use super::signs::reads_as;
use super::table::TableHead;
use crate::site::{Field, FieldKind};
use std::collections::BTreeMap;

/// Share of the values that must read as the field.
const BORNE_OUT: f64 = 0.5;
/// From this score on a heading needs no values, where there are none or too few.
const SAYS_ENOUGH: f64 = 0.8;

/// What the values say of a field that a heading speaks of.
enum Heard {
    /// So many of them read as it.
    Agrees(usize),
    /// There are too few to say.
    Silent,
    /// They are something else, in a few words.
    Against(String),
}

/// Names the columns that no heading names outright, by the words of their headings. What comes back is uncertain, with
/// a sentence each: to be asked about unless the values name the column themselves.
pub(super) fn name_by_words(
    head: &mut TableHead,
    samples: &Samples<'_>,
    mapping: &[(String, String)],
    asked: &[Asked],
    warnings: &mut Vec<String>,
) -> Vec<(Asked, String)> {
    let mut uncertain: Vec<(Asked, String)> = Vec::new();
    let mut claims: BTreeMap<&'static str, Vec<(usize, Match)>> = BTreeMap::new();
    for (at, heading) in head.headings.iter().enumerate() {
        let taken = head.matches.get(at).is_some_and(Option::is_some) || asked.iter().any(|one| one.at == at);
        let contested = head.contested.iter().any(|(_, claims)| claims.contains(&at));
        if taken || contested || settled(heading, mapping).is_some() {
            continue;
        }
        let Some(found) = in_words(heading) else { continue };
        let claimed =
            head.has(found.field.name) || head.contested.iter().any(|(field, _)| field.name == found.field.name);
        if !claimed {
            claims.entry(found.field.name).or_default().push((at, found));
        }
    }
    for claimants in claims.into_values() {
        let mut fit: Vec<(usize, Match, Option<usize>)> = Vec::new();
        for (at, found) in claimants {
            let Some(heading) = head.headings.get(at) else { continue };
            let cells = samples.get(&heading.index).map_or(&[][..], Vec::as_slice);
            let said = column_said(heading);
            let name = found.field.name;
            match heard(found.field, cells) {
                Heard::Agrees(reads) => fit.push((at, found, Some(reads))),
                Heard::Silent if found.score >= SAYS_ENOUGH => fit.push((at, found, None)),
                Heard::Silent => {
                    let why = format!("{}, and too few values bear it out", found.how);
                    let sentence = format!("Not read: {said} {why}. If it is {name}, say so in a mapping.");
                    uncertain.push((Asked { at, field: found.field, why }, sentence));
                }
                Heard::Against(why) => {
                    let why = format!("{}, but holds {why}", found.how);
                    let sentence = format!("Not read: {said} {why}. If it is {name}, say so in a mapping.");
                    uncertain.push((Asked { at, field: found.field, why }, sentence));
                }
            }
        }
        if let [(at, found, reads)] = fit.as_slice() {
            let Some(heading) = head.headings.get(*at) else { continue };
            let cells = samples.get(&heading.index).map_or(0, Vec::len);
            warnings.push(format!(
                "{} is read as {}, which is what most of its words say ({}); if it is not, say so in a mapping.",
                capital(&column_said(heading)),
                found.field.name,
                found.how
            ));
            let evidence = match reads {
                Some(reads) => format!("{reads} of the first {cells} values read as it"),
                None => "without values".to_owned(),
            };
            if let Some(slot) = head.matches.get_mut(*at) {
                *slot = Some(Match { evidence, ..found.clone() });
            }
            continue;
        }
        if let Some((_, first, _)) = fit.first() {
            head.contested.push((first.field, fit.iter().map(|(at, ..)| *at).collect()));
        }
    }
    uncertain
}

/// Asks about what stayed uncertain.
pub(super) fn ask(
    head: &TableHead,
    uncertain: Vec<(Asked, String)>,
    asked: &mut Vec<Asked>,
    warnings: &mut Vec<String>,
) {
    for (one, sentence) in uncertain {
        let open = head.matches.get(one.at).is_some_and(Option::is_none) && !head.has(one.field.name);
        if open && !asked.iter().any(|other| other.at == one.at) {
            asked.push(one);
            warnings.push(sentence);
        }
    }
}

fn heard(field: &Field, cells: &[&RawCell]) -> Heard {
    if let Some(sign) = AGAINST.iter().find(|sign| speaks_against(**sign, field) && all_are(**sign, cells)) {
        let free = matches!(field.kind, FieldKind::Text) || field.name == "site_id";
        let reads = cells.iter().filter(|cell| reads_as(field, cell)).count();
        if free || share(reads, cells) <= NEARLY_NONE {
            return Heard::Against(sign.said());
        }
    }
    let reads = cells.iter().filter(|cell| reads_as(field, cell)).count();
    match (cells.len(), share(reads, cells)) {
        (0, _) => Heard::Silent,
        (count, all) if count < FEWEST && all >= 1.0 => Heard::Silent,
        (_, part) if part >= BORNE_OUT => Heard::Agrees(reads),
        (count, _) => Heard::Against(format!("{} of {count} values that do not read as {}", count - reads, field.name)),
    }
}

/// Names the columns whose headings are written short or by ear, where one field alone comes of it and its values bear
/// it out.
pub(super) fn name_by_short(
    head: &mut TableHead,
    samples: &Samples<'_>,
    mapping: &[(String, String)],
    asked: &[Asked],
    warnings: &mut Vec<String>,
) {
    let mut claims: BTreeMap<&'static str, Vec<(usize, Match)>> = BTreeMap::new();
    for (at, heading) in head.headings.iter().enumerate() {
        let taken = head.matches.get(at).is_some_and(Option::is_some) || asked.iter().any(|one| one.at == at);
        let contested = head.contested.iter().any(|(_, claims)| claims.contains(&at));
        if taken || contested || settled(heading, mapping).is_some() {
            continue;
        }
        let cells = samples.get(&heading.index).map_or(&[][..], Vec::as_slice);
        let open =
            |field: &Field| !head.has(field.name) && !head.contested.iter().any(|(other, _)| other.name == field.name);
        let borne_out = |found: &Match| matches!(heard(found.field, cells), Heard::Agrees(_));
        let mut fit = spelt_out(heading).into_iter().filter(|found| open(found.field) && borne_out(found));
        if let (Some(found), None) = (fit.next(), fit.next()) {
            claims.entry(found.field.name).or_default().push((at, found));
        }
    }
    for claimants in claims.into_values() {
        let [(at, found)] = claimants.as_slice() else { continue };
        let Some(heading) = head.headings.get(*at) else { continue };
        let name = found.field.name;
        let said = capital(&column_said(heading));
        warnings.push(format!("{said} is read as {name} ({}); if it is not, say so in a mapping.", found.how));
        let cells = samples.get(&heading.index).map_or(&[][..], Vec::as_slice);
        let reads = cells.iter().filter(|cell| reads_as(found.field, cell)).count();
        let evidence = format!("{reads} of the first {} values read as it", cells.len());
        if let Some(slot) = head.matches.get_mut(*at) {
            *slot = Some(Match { evidence, ..found.clone() });
        }
    }
}
