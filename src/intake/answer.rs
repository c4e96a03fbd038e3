//! Can this be assessed? One sentence, from what was read: yes, yes with what to put right first, or no with what to do.
//!
//! It judges no site; how many rows lack one of the things that decide is all it looks at.

use super::inspection::worth;
use super::types::Intake;
use crate::site::{Answer as Said, Reading, Site};

/// Whether a spreadsheet can be assessed.
#[derive(Clone, Debug, PartialEq)]
pub struct Answer {
    /// In a word.
    pub word: Word,
    /// The whole answer, a sentence or two.
    pub sentence: String,
}

/// The answer in a word.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Word {
    /// As it stands.
    Yes,
    /// As it stands, with something to put right.
    But,
    /// Not before something is put right.
    No,
}

/// What decides at every site: a name for people, the columns that say it, and whether a site says it.
type Asked = (&'static str, &'static [&'static str], fn(&Site) -> bool);

const DECIDE: [Asked; 3] = [
    ("supply rating", &["cutout_rating_a", "agreed_capacity_kva"], |site| {
        known(&site.supply.cutout_rating_a) || known(&site.supply.agreed_capacity_kva)
    }),
    ("existing load", &["existing_demand_a", "existing_demand_kw", "recorded_peak_kva"], |site| {
        known(&site.load.existing_demand_a)
            || known(&site.load.existing_demand_kw)
            || known(&site.supply.recorded_peak_kva)
    }),
    ("distance to the parking", &["parking_distance_m"], |site| {
        let parking = &site.parking;
        let parts = [&parking.route_indoor_m, &parking.route_surface_m, &parking.route_buried_m];
        known(&parking.parking_distance_m) || parts.into_iter().any(known)
    }),
];

fn known(reading: &Reading<f64>) -> bool {
    !matches!(reading.answer, Said::NotAsked | Said::Unknown(_))
}

/// A cell that is blank or says that nothing is known, where the row says nowhere what decides.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Gap {
    /// The sheet, by its place in [`Intake::sheets`].
    pub sheet: u16,
    /// Row in the user's sheet.
    pub row: u32,
    /// Column, counted from 0: the first that could say it.
    pub column: u16,
    /// What is not said, for people.
    pub what: &'static str,
    /// Whether the cell is blank.
    pub blank: bool,
}

/// The gaps of a read spreadsheet, in the order of its rows and columns.
pub fn gaps(intake: &Intake) -> Vec<Gap> {
    let place = |sheet: u16, names: &[&str]| -> Option<(usize, u16)> {
        let columns = intake.columns_of(sheet);
        let of = |name: &&str| columns.iter().position(|column| column.field.is_some_and(|field| field.name == *name));
        let at = names.iter().find_map(of)?;
        Some((at, columns.get(at)?.index))
    };
    let places: Vec<[Option<(usize, u16)>; 3]> =
        (0_u16..).zip(&intake.sheets).map(|(sheet, _)| DECIDE.map(|(_, names, _)| place(sheet, names))).collect();
    let mut gaps = Vec::new();
    let mut rows = intake.rows.iter().peekable();
    // Sites and rows stand in the same order: both lists are walked once.
    for site in &intake.sites {
        let at_row = (site.sheet, site.row);
        while rows.next_if(|read| (read.sheet, read.row) < at_row).is_some() {}
        let Some(read) = rows.peek().filter(|read| (read.sheet, read.row) == at_row) else { continue };
        let Some(places) = places.get(usize::from(site.sheet)) else { continue };
        for ((what, _, says), place) in DECIDE.iter().zip(places) {
            let Some((at, column)) = place else { continue };
            if !says(site) {
                let blank = read.cells.get(*at).is_none_or(|cell| cell.trim().is_empty());
                gaps.push(Gap { sheet: site.sheet, row: site.row, column: *column, what, blank });
            }
        }
    }
    gaps.sort_unstable();
    gaps
}

/// The answer for a read spreadsheet.
pub(super) fn answer(intake: &Intake) -> Answer {
    if let Some(lacking) = &intake.lacking {
        return Answer { word: Word::No, sentence: format!("No: {lacking}") };
    }
    let (all, judged) = (intake.rows.len(), intake.sites.len());
    if judged == 0 {
        let row = intake
            .set_aside
            .first()
            .map(|row| format!("; row {}: {}", intake.row_named(row.sheet, row.row), row.why))
            .unwrap_or_default();
        let sentence = format!("No: none of the {all} rows can be judged{row} Fill in at least one row.");
        return Answer { word: Word::No, sentence };
    }
    let lacks: Vec<String> = DECIDE
        .iter()
        .map(|(what, _, says)| (*what, intake.sites.iter().filter(|site| !says(site)).count()))
        .filter(|(_, count)| *count > 0)
        .map(|(what, count)| format!("the {what} of {count}"))
        .collect();
    let empty = intake.set_aside.iter().filter(|row| row.cause.worth_chasing()).count();
    let mut buts = Vec::new();
    if !lacks.is_empty() {
        buts.push(format!(
            "{} {} not known, and a plausible range stands in: fill in what you can",
            listed(&lacks),
            if lacks.len() == 1 { "is" } else { "are" }
        ));
    }
    if empty > 0 {
        buts.push(format!(
            "{empty} {} too little to judge by (under Rows, below)",
            noun(empty, "row says", "rows say")
        ));
    }
    let contested = intake.columns.iter().filter(|column| column.contested).count();
    if contested > 0 {
        buts.push(format!("{contested} columns could each be the same thing and are not read: rename the right one"));
    }
    let all_of_weight = worth().len();
    let has = |name: &str| intake.columns.iter().any(|column| column.field.is_some_and(|field| field.name == name));
    let missing = worth().iter().filter(|worth| !has(worth.field)).count();
    if missing * 2 > all_of_weight {
        buts.push(format!("{missing} of the {all_of_weight} columns of weight are missing and their facts assumed"));
    }
    let of = if judged == all {
        match all {
            1 => "the one row".to_owned(),
            _ => format!("all {all} rows"),
        }
    } else {
        format!("{judged} of {all} rows")
    };
    if buts.is_empty() {
        return Answer {
            word: Word::Yes,
            sentence: format!("Yes: {of} can be judged as {}.", noun(all, "it stands", "they stand")),
        };
    }
    Answer { word: Word::But, sentence: format!("Yes, {of} can be judged, but {}.", buts.join("; ")) }
}

fn noun(count: usize, one: &'static str, many: &'static str) -> &'static str {
    if count == 1 { one } else { many }
}

/// "a, b and c".
fn listed(items: &[String]) -> String {
    match items.split_last() {
        Some((last, [])) => last.clone(),
        Some((last, rest)) => format!("{} and {last}", rest.join(", ")),
        None => String::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::intake::{ReadOptions, read_bytes};

    fn of(text: &str) -> Answer {
        let options = ReadOptions { whatever_it_lacks: true, ..ReadOptions::default() };
        answer(&read_bytes(text.as_bytes(), "a.csv", &options).unwrap())
    }

    #[test]
    fn the_answer_is_yes_or_yes_but_or_no() {
        let head = "Address,Main fuse,Max demand,Cable run\n";
        let few = of(&format!("{head}1 Mill Lane,80,35,12\n2 Mill Lane,80,30,9\n"));
        assert_eq!(few.word, Word::But);
        assert!(few.sentence.contains("columns of weight are missing"), "{few:?}");
        let weighty: Vec<&str> = worth().iter().map(|worth| worth.field).collect();
        let plain =
            of(&format!("{},{}1 Mill Lane,80,35,12\n", head.trim_end(), weighty.join(",") + "\n").replace(",,", ","));
        assert_eq!((plain.word, plain.sentence.as_str()), (Word::Yes, "Yes: the one row can be judged as it stands."));
        let gaps = of(&format!("{head}1 Mill Lane,see photo,35,12\n2 Mill Lane,80,30,9\n3 Mill Lane,,,\n"));
        assert_eq!(gaps.word, Word::But);
        assert!(gaps.sentence.contains("2 of 3 rows") && gaps.sentence.contains("the supply rating of 1"), "{gaps:?}");
        assert!(gaps.sentence.contains("1 row says too little"), "{gaps:?}");
        let none = of(&format!("{head}1 Mill Lane,,,\n"));
        assert_eq!(none.word, Word::No);
        let lacking = of("Address,Main fuse,Max demand,Bin day\n1 Mill Lane,80,35,Tue\n");
        assert_eq!(lacking.word, Word::No);
        assert!(lacking.sentence.contains("how far the parking is"), "{lacking:?}");
    }
}
