//! A portfolio and the sheet that somebody made of it: which columns in which order, whose headings, what stands around
//! the table and between its rows.

use crate::draws::Draws;
use crate::figures::heading_unit;
use crate::spelling::heading;
use crate::values::{Cell, Truth, Written, text, value};
use baywright::site::{Field, FieldKind, WhyUnknown, fields};

/// One column: a field, or one of the user's own.
#[derive(Clone, Debug)]
pub struct Column {
    pub heading: String,
    pub field: Option<&'static Field>,
    /// Whether a blank column stands before it.
    pub gap: bool,
}

/// What stands between rows and around them.
#[derive(Clone, Debug, Default)]
pub struct Around {
    pub titles: Vec<String>,
    /// Blank columns to the left.
    pub left: usize,
    /// Rows before which a blank one stands.
    pub blank_before: Vec<usize>,
    /// Rows before which the headings stand again.
    pub again_before: Vec<usize>,
    pub total: bool,
}

/// A portfolio as a sheet: `rows` hold one cell a column.
#[derive(Clone, Debug)]
pub struct Sheet {
    pub columns: Vec<Column>,
    pub rows: Vec<Vec<Cell>>,
    pub around: Around,
}

/// The sheet as rows of cells, and what stands where.
pub struct Laid {
    pub grid: Vec<Vec<Written>>,
    /// Row of the grid (from 0) of each site.
    pub sites: Vec<usize>,
    /// Rows of the grid that are set aside.
    pub aside: Vec<usize>,
    /// Place in the grid of each column.
    pub places: Vec<usize>,
}

/// Headings that are nobody's field, and what stands under them.
const OWN: &[(&str, &[&str])] = &[
    ("Colour of front door", &["blue", "green", "red"]),
    ("Housing officer", &["R. Pell", "K. Oram"]),
    ("Rent band", &["B2", "C1"]),
    ("Keysafe", &["by the bins", "round the back"]),
    ("Boiler service due", &["spring", "autumn"]),
    ("Complaint open", &["ref 12", "ref 31"]),
    ("Bin collection", &["Monday", "Thursday"]),
];
const NEEDED: [&str; 4] = ["address", "cutout_rating_a", "existing_demand_a", "parking_distance_m"];

fn shuffle<T>(draws: &mut Draws, list: &mut [T]) {
    for at in (1..list.len()).rev() {
        list.swap(at, draws.below(at + 1));
    }
}

/// A portfolio of a few sites under some of the fields.
pub fn sheet(draws: &mut Draws) -> Sheet {
    let many = *draws.one(&[3, 8, 15, 30]);
    let mut chosen: Vec<&'static Field> = fields().iter().filter(|field| NEEDED.contains(&field.name)).collect();
    let mut others: Vec<&'static Field> = fields().iter().filter(|field| !NEEDED.contains(&field.name)).collect();
    shuffle(draws, &mut others);
    chosen.extend(others.into_iter().take(many));
    shuffle(draws, &mut chosen);
    let mut columns: Vec<(Column, Option<&'static str>)> = chosen
        .into_iter()
        .map(|field| {
            let unit = heading_unit(draws, field);
            let heading = heading(draws, field, unit);
            (Column { heading, field: Some(field), gap: draws.chance(4) }, unit)
        })
        .collect();
    let mut own: Vec<usize> = (0..OWN.len()).collect();
    shuffle(draws, &mut own);
    let own: Vec<usize> = own.into_iter().take(draws.below(5)).collect();
    for which in own {
        let at = draws.below(columns.len() + 1);
        columns.insert(at, (Column { heading: OWN[which].0.to_owned(), field: None, gap: false }, None));
    }
    let count = 1 + draws.below(12);
    let mut rows = Vec::new();
    for site in 0..count {
        // The figures of a row may depend on its phases, its range on who told it.
        let phases = columns
            .iter()
            .filter_map(|(column, _)| column.field.filter(|field| field.name == "supply_phases"))
            .map(|field| value(draws, field, site, None, 1.0))
            .next();
        let on = match &phases {
            Some((_, Truth::Stated(phases))) => phases.parse().unwrap(),
            _ => 1.0,
        };
        let mut row: Vec<Cell> = columns
            .iter()
            .map(|(column, unit)| match column.field {
                Some(field) if field.name == "supply_phases" => phases.clone().unwrap(),
                Some(field) => value(draws, field, site, *unit, on),
                None => {
                    let among = OWN.iter().find(|(heading, _)| *heading == column.heading).unwrap().1;
                    (text(*draws.one(among)), Truth::Unknown(WhyUnknown::Missing))
                }
            })
            .collect();
        told(&columns, &mut row);
        rows.push(row);
    }
    let some = |draws: &mut Draws, chance: usize| (1..count).filter(|_| draws.chance(chance)).collect::<Vec<usize>>();
    let titles = ["Survey returns, Tarnholt estates", "Second issue", "Do not sort", "Sent by the wardens"];
    let around = Around {
        titles: titles.iter().take(draws.below(4)).map(|title| (*title).to_owned()).collect(),
        left: if draws.chance(20) { 1 + draws.below(3) } else { 0 },
        blank_before: some(draws, 8),
        again_before: some(draws, 6),
        total: draws.chance(30),
    };
    Sheet { columns: columns.into_iter().map(|(column, _)| column).collect(), rows, around }
}

/// Ratings of devices that nobody saw have the range of such evidence.
fn told(columns: &[(Column, Option<&str>)], row: &mut [Cell]) {
    let place = |name: &str| columns.iter().position(|(column, _)| column.field.is_some_and(|f| f.name == name));
    let Some(Truth::Stated(method)) = place("survey_method").map(|at| row[at].1.clone()) else { return };
    let (low, high) = match method.as_str() {
        "phone" => (0.6, 1.4),
        "desk" => (0.5, 1.5),
        _ => return,
    };
    for at in ["board_main_switch_a", "submain_device_a"].into_iter().filter_map(place) {
        if let Truth::Stated(value) = &row[at].1 {
            let value: f64 = value.parse().unwrap();
            row[at].1 = Truth::Range([low * value, value, high * value]);
        }
    }
}

impl Sheet {
    /// Where everything stands.
    pub fn laid(&self) -> Laid {
        let mut places = Vec::new();
        let mut next = self.around.left;
        for column in &self.columns {
            next += usize::from(column.gap);
            places.push(next);
            next += 1;
        }
        let at = |cells: Vec<Written>| {
            let mut row = vec![Written::Nothing; next];
            for (place, cell) in places.iter().zip(cells) {
                row[*place] = cell;
            }
            row
        };
        let headings = || at(self.columns.iter().map(|column| text(&*column.heading)).collect());
        let mut laid = Laid { grid: Vec::new(), sites: Vec::new(), aside: Vec::new(), places: places.clone() };
        for title in &self.around.titles {
            let mut row = vec![Written::Nothing; self.around.left];
            row.push(text(&**title));
            laid.grid.push(row);
        }
        if self.around.titles.len() > 1 {
            laid.grid.push(Vec::new());
        }
        laid.grid.push(headings());
        for (number, row) in self.rows.iter().enumerate() {
            if self.around.blank_before.contains(&number) {
                laid.grid.push(Vec::new());
            }
            if self.around.again_before.contains(&number) {
                laid.aside.push(laid.grid.len());
                laid.grid.push(headings());
            }
            laid.sites.push(laid.grid.len());
            laid.grid.push(at(row.iter().map(|(written, _)| written.clone()).collect()));
        }
        if self.around.total {
            laid.aside.push(laid.grid.len());
            laid.grid.push(at(self.columns.iter().enumerate().map(|(at, column)| self.sum(at, column)).collect()));
        }
        laid
    }

    fn sum(&self, at: usize, column: &Column) -> Written {
        match column.field {
            Some(field) if field.name == "address" => text("Total"),
            Some(field) if matches!(field.kind, FieldKind::Number | FieldKind::Count) => {
                let number = |row: &Vec<Cell>| if let Written::Number(number) = row[at].0 { number } else { 0.0 };
                Written::Number(self.rows.iter().map(number).sum())
            }
            _ => Written::Nothing,
        }
    }
}
