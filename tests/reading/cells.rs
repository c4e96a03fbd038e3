//! Some hundreds of cells as people write them (`cells.csv`), each in its field: the value (`low..high` for a range), `?`
//! where it must not be understood, `unknown` where it says that nothing is known. Whatever was misread stands there.

use crate::said::{Said, said, same};
use baywright::intake::{ReadOptions, read_bytes};
use baywright::site::WhyUnknown;
use std::collections::BTreeMap;

/// What every row needs beside the cell in question.
const BESIDE: &[(&str, &str)] = &[
    ("address", "Mill Lane"),
    ("postcode", "QX1 6GP"),
    ("cutout_rating_a", "80"),
    ("parking_distance_m", "12"),
    ("existing_demand_a", "40"),
    ("premises_type", "house"),
];
/// Fewest cells of the table.
const FEWEST: usize = 800;

/// What one cell was read as must be what is wanted.
fn as_wanted(found: &Said, wanted: &str) -> bool {
    match (wanted, found) {
        ("?", found) => matches!(found, Said::Unknown(_)),
        ("unknown", found) => matches!(found, Said::Unknown(why) if *why != WhyUnknown::NotUnderstood),
        (wanted, Said::Stated(value)) => same(value, wanted),
        (wanted, Said::Doubtful { low, likely, high }) => match wanted.split_once("..") {
            Some((one, other)) => same(low, one) && same(high, other),
            None => wanted.strip_suffix('?').is_some_and(|wanted| same(likely, wanted)),
        },
        _ => false,
    }
}

#[test]
fn cells_as_people_write_them() {
    let table = include_str!("cells.csv");
    let mut by_field: BTreeMap<String, Vec<(String, String)>> = BTreeMap::new();
    for record in csv::Reader::from_reader(table.as_bytes()).records() {
        let record = record.unwrap();
        by_field.entry(record[0].to_owned()).or_default().push((record[1].to_owned(), record[2].to_owned()));
    }
    assert!(by_field.values().map(Vec::len).sum::<usize>() >= FEWEST);
    let mut wrong = Vec::new();
    for (field, cells) in &by_field {
        let mut writer = csv::Writer::from_writer(Vec::new());
        let others: Vec<_> = BESIDE.iter().filter(|(name, _)| name != field).collect();
        let heads = others.iter().map(|(name, _)| *name).chain([field.as_str()]);
        writer.write_record(heads).unwrap();
        for (at, (written, _)) in cells.iter().enumerate() {
            let fixed = others.iter().map(|(name, value)| match *name {
                "address" => format!("{} {value}", at + 1),
                _ => (*value).to_owned(),
            });
            writer.write_record(fixed.chain([written.clone()])).unwrap();
        }
        let intake = read_bytes(&writer.into_inner().unwrap(), "Cells.csv", &ReadOptions::default()).unwrap();
        for (at, (written, wanted)) in cells.iter().enumerate() {
            let row = u32::try_from(at).unwrap() + 2;
            let Some(site) = intake.sites.iter().find(|site| site.row == row) else {
                wrong.push(format!("{field}: {written:?} put its row aside"));
                continue;
            };
            let found = said(site, field);
            if !as_wanted(&found, wanted) {
                wrong.push(format!("{field}: {written:?} was read {found}, right is {wanted}"));
            }
        }
    }
    assert!(wrong.is_empty(), "{} cells are not read as they should be:\n{}", wrong.len(), wrong.join("\n"));
}
