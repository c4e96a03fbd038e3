//! The least portfolio: four columns, as a client sends them before anybody has surveyed anything. Knows no file format.

use crate::draws::Draws;
use crate::row::Cell;
use crate::workbook;

const STREETS: &[(&str, &str)] = &[
    ("Copper Beech Rise", "Quernholt"),
    ("Salter's Gate", "Skelmarsh"),
    ("Long Acre", "Oxlathe"),
    ("Pound Road", "Pellowick"),
    ("Tollgate Street", "Haddlestow"),
    ("Cinder Path", "Tarnholt"),
];

/// Ten addresses in each of six streets.
pub fn four_columns() -> Result<Vec<u8>, Box<dyn std::error::Error>> {
    let mut rows = Vec::new();
    for (street, town) in STREETS {
        let mut draws = Draws::named(street);
        for house in 0..10 {
            let address = format!("{} {street}, {town}", house * 2 + 2);
            let fuse = draws.weighted(&[(60, 30), (80, 30), (100, 40)]);
            let load = draws.weighted(&[(15, 8), (20, 20), (25, 25), (30, 20), (35, 10), (45, 9), (60, 5), (85, 3)]);
            let distance = draws.between(4, 28);
            // The last house of every street is heated by electricity on an old fuse: even the low end of its
            // load is over it.
            let (fuse, load) = if house == 9 { (60, 92 + house) } else { (fuse, load) };
            rows.push([
                Some(Cell::Text(address)),
                number_or(&mut draws, fuse, &["?", "60/80", "see photo"]),
                number_or(&mut draws, load, &["tbc", "30A", "approx 40"]),
                number_or(&mut draws, distance, &["12m", "40ft", "~15"]),
            ]);
        }
    }
    Ok(workbook::four_columns(&rows)?)
}

/// The number, or now and then what people type instead; a blank once in a while.
fn number_or(draws: &mut Draws, number: i64, typed: &[&'static str]) -> Option<Cell> {
    match draws.between(0, 19) {
        0 => Some(Cell::Text(draws.pick(typed).to_owned())),
        1 if draws.chance(50) => None,
        _ => Some(Cell::Number(number as f64)),
    }
}
