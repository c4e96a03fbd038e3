//! The invented organisation: its towns, lots and streets of homes. Every name is made up; the postcode areas ZR and YD
//! do not exist. Knows no spreadsheet.

/// How the homes of a street are built.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    /// Houses in a row, seldom with a drive.
    Terrace,
    /// Pairs, mostly with a drive.
    Semi,
    /// Free-standing houses with a drive.
    Detached,
    /// Single-storey homes for older people.
    Bungalow,
    /// Flats with a shared car park.
    Flats,
}

/// A street of homes, surveyed together.
#[derive(Clone, Copy, Debug)]
pub struct Street {
    /// Name.
    pub name: &'static str,
    /// Town.
    pub town: &'static str,
    /// Outward code and sector ("ZR1 4").
    pub sector: &'static str,
    /// Lot of the programme.
    pub lot: &'static str,
    /// The organisation's own column.
    pub ward: &'static str,
    /// Distributor digits of the meter points.
    pub distributor: u8,
    /// Year the street was built.
    pub year: u16,
    /// How it is built.
    pub form: Form,
    /// How many homes.
    pub homes: u16,
    /// Chance, in percent, that a pair of neighbours shares a looped service.
    pub loops: u32,
    /// Chance, in percent, of a space of its own.
    pub spaces: u32,
    /// Main heating of most.
    pub heating: &'static str,
    /// Earthing offered.
    pub earthing: &'static str,
    /// Ratings found in the cut-outs, with weights.
    pub fuses: &'static [(i64, u32)],
}

const OLD: &[(i64, u32)] = &[(60, 60), (80, 20), (100, 10), (40, 4), (45, 3), (30, 1)];
const MIDDLE: &[(i64, u32)] = &[(60, 25), (80, 50), (100, 25)];
const NEW: &[(i64, u32)] = &[(80, 35), (100, 65)];
const EIGHTY: &[(i64, u32)] = &[(60, 20), (80, 70), (100, 10)];

const QUERNHOLT: &str = "1 Quernholt";
const OXLATHE: &str = "2 Oxlathe";
const COAST: &str = "3 Coast";
const SCATTERED: &str = "4 Bought-in stock";

macro_rules! street {
    ($name:literal, $town:literal, $sector:literal, $lot:expr, $ward:literal, $distributor:literal, $year:literal,
     $form:ident x $homes:literal, loops $loops:literal, spaces $spaces:literal, $heating:literal, $earthing:literal,
     $fuses:expr) => {
        Street {
            name: $name,
            town: $town,
            sector: $sector,
            lot: $lot,
            ward: $ward,
            distributor: $distributor,
            year: $year,
            form: Form::$form,
            homes: $homes,
            loops: $loops,
            spaces: $spaces,
            heating: $heating,
            earthing: $earthing,
            fuses: $fuses,
        }
    };
}

/// Every street, in the order of the sheet.
pub const STREETS: &[Street] = &[
    street!("Fennel Row", "Quernholt", "ZR1 4", QUERNHOLT, "Abbot's Field", 23, 1931, Terrace x 14, loops 33, spaces 35, "gas", "TN-S", OLD),
    street!("Kiln Steps", "Quernholt", "ZR1 4", QUERNHOLT, "Abbot's Field", 23, 1908, Terrace x 9, loops 45, spaces 15, "gas", "TN-S", OLD),
    street!("Larder Lane", "Quernholt", "ZR1 5", QUERNHOLT, "Abbot's Field", 23, 1954, Semi x 14, loops 21, spaces 80, "gas", "TN-S", OLD),
    street!("Old Tannery Close", "Quernholt", "ZR1 5", QUERNHOLT, "Millrace", 23, 1988, Semi x 12, loops 0, spaces 95, "gas", "TN-C-S", MIDDLE),
    street!("Weir Gardens", "Quernholt", "ZR1 7", QUERNHOLT, "Millrace", 23, 2004, Semi x 14, loops 0, spaces 100, "gas", "TN-C-S", NEW),
    street!("Sorrel Bank", "Tarnholt", "ZR2 1", QUERNHOLT, "Tarnholt East", 16, 1967, Semi x 14, loops 18, spaces 85, "gas", "TN-C-S", MIDDLE),
    street!("Mill Lane", "Tarnholt", "ZR2 1", QUERNHOLT, "Tarnholt East", 16, 1938, Terrace x 10, loops 36, spaces 40, "gas", "TN-S", OLD),
    street!("Fern Road", "Tarnholt", "ZR2 3", QUERNHOLT, "Tarnholt West", 16, 1976, Semi x 14, loops 4, spaces 90, "gas", "TN-C-S", MIDDLE),
    street!("Damson Court", "Tarnholt", "ZR2 3", QUERNHOLT, "Tarnholt West", 16, 1994, Flats x 12, loops 0, spaces 85, "storage", "TN-C-S", MIDDLE),
    street!("Hobbin Avenue", "Oxlathe", "ZR4 2", OXLATHE, "Oxlathe Central", 14, 1962, Semi x 14, loops 15, spaces 80, "gas", "TN-C-S", EIGHTY),
    street!("Bellringer Way", "Oxlathe", "ZR4 2", OXLATHE, "Oxlathe Central", 14, 1999, Semi x 14, loops 0, spaces 100, "gas", "TN-C-S", EIGHTY),
    street!("Chandler's Yard", "Oxlathe", "ZR4 6", OXLATHE, "Cattle Market", 14, 1985, Flats x 10, loops 0, spaces 80, "direct", "TN-C-S", MIDDLE),
    street!("Rushey Close", "Oxlathe", "ZR4 6", OXLATHE, "Cattle Market", 11, 1972, Bungalow x 12, loops 6, spaces 70, "storage", "TN-C-S", MIDDLE),
    street!("Cooper's Piece", "Haddlestow", "ZR5 8", OXLATHE, "Haddlestow", 13, 1949, Semi x 14, loops 27, spaces 75, "gas", "TN-S", OLD),
    street!("Nettle Hill", "Haddlestow", "ZR5 8", OXLATHE, "Haddlestow", 13, 1958, Semi x 10, loops 18, spaces 80, "gas", "TN-S", OLD),
    street!("Starling View", "Haddlestow", "ZR5 9", OXLATHE, "Haddlestow", 13, 2011, Semi x 14, loops 0, spaces 100, "gas", "TN-C-S", NEW),
    street!("Saltern Fields", "Skelmarsh", "YD1 3", COAST, "Skelmarsh", 25, 2019, Detached x 14, loops 0, spaces 100, "gas", "TN-C-S", NEW),
    street!("Groyne Walk", "Skelmarsh", "YD1 3", COAST, "Skelmarsh", 27, 2023, Semi x 12, loops 0, spaces 100, "heat-pump", "TN-C-S", NEW),
    street!("Lugger Street", "Skelmarsh", "YD1 6", COAST, "Skelmarsh Quay", 15, 1902, Terrace x 10, loops 39, spaces 10, "gas", "TN-S", OLD),
    street!("Marram Drive", "Skelmarsh", "YD1 6", COAST, "Skelmarsh Quay", 15, 1981, Semi x 14, loops 4, spaces 92, "gas", "TN-C-S", MIDDLE),
    street!("Ternfield", "Pellowick", "YD3 2", COAST, "Pellowick", 22, 1996, Semi x 12, loops 0, spaces 100, "gas", "TN-C-S", MIDDLE),
    street!("Lower Pound", "Pellowick", "YD3 2", COAST, "Pellowick", 22, 1935, Terrace x 8, loops 22, spaces 50, "oil", "TT", OLD),
    street!("Orchard Side", "Pellowick", "YD3 4", COAST, "Pellowick Rural", 22, 1969, Bungalow x 10, loops 6, spaces 90, "oil", "TT", MIDDLE),
    street!("Brindle Close", "Combe Arrow", "YD6 1", SCATTERED, "Arrow", 21, 1990, Semi x 8, loops 0, spaces 100, "gas", "TN-C-S", MIDDLE),
    street!("Ropewalk", "Hythe Ansel", "YD6 5", SCATTERED, "Hythe", 19, 2008, Flats x 10, loops 0, spaces 90, "communal", "TN-C-S", NEW),
    street!("Gantry Mews", "Hythe Ansel", "YD6 5", SCATTERED, "Hythe", 12, 2015, Flats x 8, loops 0, spaces 75, "direct", "TN-C-S", NEW),
    street!("Thresher's End", "Combe Arrow", "YD6 2", SCATTERED, "Arrow", 10, 2002, Detached x 8, loops 0, spaces 100, "oil", "TN-C-S", NEW),
    street!("Peat Causeway", "Glen Hallin", "YD8 3", SCATTERED, "Hallin", 17, 1979, Semi x 7, loops 6, spaces 100, "storage", "TN-C-S", MIDDLE),
    street!("Shieling Road", "Glen Hallin", "YD8 3", SCATTERED, "Hallin", 18, 1992, Semi x 8, loops 0, spaces 100, "gas", "TN-C-S", MIDDLE),
    street!("Wicket Green", "Hythe Ansel", "YD6 8", SCATTERED, "Hythe", 20, 1984, Semi x 10, loops 0, spaces 95, "gas", "TN-C-S", MIDDLE),
];

/// Towns where blocks, workplaces and depots stand: name, outward code and sector, lot, ward, distributor digits.
pub const PLACES: &[(&str, &str, &str, &str, u8)] = &[
    ("Quernholt", "ZR1 2", QUERNHOLT, "Millrace", 23),
    ("Tarnholt", "ZR2 2", QUERNHOLT, "Tarnholt East", 16),
    ("Oxlathe", "ZR4 1", OXLATHE, "Cattle Market", 14),
    ("Haddlestow", "ZR5 4", OXLATHE, "Haddlestow", 13),
    ("Skelmarsh", "YD1 1", COAST, "Skelmarsh Quay", 15),
    ("Pellowick", "YD3 1", COAST, "Pellowick", 22),
    ("Hythe Ansel", "YD6 4", SCATTERED, "Hythe", 19),
];

/// The last two letters of a postcode, from the letters that postcodes use there.
pub fn inward(sector: &str, number: usize) -> String {
    const LETTERS: &[u8] = b"ABDEFGHJLNPQRSTUWXYZ";
    let (first, second) = (LETTERS[number % LETTERS.len()], LETTERS[(number * 7 + 3) % LETTERS.len()]);
    format!("{sector}{}{}", char::from(first), char::from(second))
}
