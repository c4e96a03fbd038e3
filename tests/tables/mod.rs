//! The published tables as data: nothing lost, every row sourced, and nothing that physics forbids.
//!
//! It reads the CSV files themselves beside the library's look-ups, so that a reader that drops a row is found too.

mod cables;
mod physics;
mod protection;
mod small;

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// One row, cells by column name.
pub struct Row(BTreeMap<String, String>);

impl Row {
    pub fn text(&self, column: &str) -> &str {
        self.0.get(column).unwrap_or_else(|| panic!("no column {column}"))
    }

    pub fn optional(&self, column: &str) -> Option<f64> {
        let text = self.text(column);
        (!text.is_empty()).then(|| text.parse().unwrap_or_else(|_| panic!("{column}: {text:?} is no number")))
    }

    pub fn number(&self, column: &str) -> f64 {
        self.optional(column).unwrap_or_else(|| panic!("{column} is blank in {:?}", self.0))
    }

    fn columns_with(&self, part: &str) -> Vec<&str> {
        let names = self.0.keys().map(String::as_str);
        names.filter(|name| name.contains(part)).collect()
    }
}

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("src/reference/tables")
}

/// Every row of a table; a row that does not parse is a failure, not a gap.
pub fn table(name: &str) -> Vec<Row> {
    let mut reader = csv::Reader::from_path(folder().join(name)).expect(name);
    let headings = reader.headers().expect(name).clone();
    reader
        .records()
        .map(|record| {
            let record = record.unwrap_or_else(|fault| panic!("{name}: {fault}"));
            let cells = headings.iter().zip(record.iter());
            Row(cells.map(|(h, c)| (h.to_owned(), c.to_owned())).collect())
        })
        .collect()
}

/// Rows of each table. A table that grows or shrinks changes this line with it.
const ROWS: [(&str, usize); 34] = [
    ("after_diversity.csv", 7),
    ("armour_pvc.csv", 12),
    ("armour_xlpe.csv", 51),
    ("armoured_70c_4d4a.csv", 16),
    ("armoured_70c_4d4b.csv", 8),
    ("armoured_90c_4e4.csv", 17),
    ("charging_diversity.csv", 9),
    ("charging_habits.csv", 27),
    ("conductor.csv", 20),
    ("correction_factors.csv", 178),
    ("device_ratings.csv", 12),
    ("disconnection.csv", 80),
    ("diversity.csv", 12),
    ("earthing_alternatives.csv", 8),
    ("earthing_sizes.csv", 14),
    ("electrode_lambda.csv", 8),
    ("household_demand.csv", 24),
    ("lead_geometry.csv", 8),
    ("let_through.csv", 9),
    ("load_shapes.csv", 192),
    ("network_bands.csv", 10),
    ("open_pen_loadings.csv", 3),
    ("operator_rules.csv", 17),
    ("operator_times.csv", 6),
    ("operators.csv", 14),
    ("possible.csv", 103),
    ("power_quality.csv", 3),
    ("protection_figures.csv", 11),
    ("protective_conductor_k.csv", 7),
    ("ring_circuits.csv", 3),
    ("shared_doubts.csv", 6),
    ("singles_4d1.csv", 17),
    ("twin_earth_4d5.csv", 7),
    ("twin_earth_cpc.csv", 7),
];

#[test]
fn every_table_has_the_rows_it_should() {
    let mut files: Vec<String> = std::fs::read_dir(folder())
        .expect("the tables")
        .map(|entry| entry.expect("an entry").file_name())
        .map(|name| name.to_string_lossy().into_owned())
        .collect();
    files.sort();
    let listed: Vec<&str> = ROWS.iter().map(|(name, _)| *name).collect();
    assert_eq!(files, listed, "a table without a row count, or the reverse");
    for (name, rows) in ROWS {
        assert_eq!(table(name).len(), rows, "{name}");
    }
}

#[test]
fn every_row_says_how_well_it_is_known_and_from_where() {
    const KNOWN: [&str; 9] = [
        "verified",
        "part verified",
        "print",
        "second-hand",
        "derived",
        "memory",
        "common practice",
        "design rule",
        "one copy",
    ];
    for (name, _) in ROWS {
        for (index, row) in table(name).iter().enumerate() {
            let line = index + 2;
            let statuses = row.columns_with("status");
            assert!(!statuses.is_empty(), "{name} has no status");
            for column in &statuses {
                let status = row.text(column);
                assert!(
                    KNOWN.iter().any(|known| status.starts_with(known)),
                    "{name} line {line}: {column} is {status:?}"
                );
            }
            let source = row.text("source");
            // A dash is "from nowhere but memory", and may stand for nothing better.
            let memory = statuses.iter().all(|column| row.text(column) == "memory");
            assert!(source.len() > 1 || (source == "-" && memory), "{name} line {line}: no source");
        }
    }
}

#[test]
fn no_row_stands_twice() {
    for (name, keys) in [
        ("armour_pvc.csv", &["csa_mm2"][..]),
        ("armour_xlpe.csv", &["cores", "csa_mm2"]),
        ("armoured_70c_4d4a.csv", &["csa_mm2"]),
        ("armoured_70c_4d4b.csv", &["csa_mm2"]),
        ("armoured_90c_4e4.csv", &["csa_mm2"]),
        ("conductor.csv", &["csa_mm2"]),
        ("correction_factors.csv", &["table", "parameter", "variant", "value"]),
        ("device_ratings.csv", &["rating_a"]),
        ("disconnection.csv", &["breaker_type", "rated_current_a", "disconnection_time_s"]),
        ("diversity.csv", &["premises", "load"]),
        ("earthing_alternatives.csv", &["path"]),
        ("earthing_sizes.csv", &["kind", "up_to"]),
        ("electrode_lambda.csv", &["rods"]),
        ("household_demand.csv", &["heating", "shower"]),
        ("load_shapes.csv", &["use", "half_hour"]),
        ("lead_geometry.csv", &["figure"]),
        ("open_pen_loadings.csv", &["loading"]),
        ("operator_rules.csv", &["rule"]),
        ("power_quality.csv", &["over_a"]),
        ("protection_figures.csv", &["figure"]),
        ("let_through.csv", &["curve", "rating_to_a", "fault_ka"]),
        ("operator_times.csv", &["step", "premises"]),
        ("operators.csv", &["distributor"]),
        ("possible.csv", &["field", "when", "value"]),
        ("protective_conductor_k.csv", &["use", "insulation_c"]),
        ("ring_circuits.csv", &["bedrooms_to"]),
        ("shared_doubts.csv", &["field"]),
        ("singles_4d1.csv", &["csa_mm2"]),
        ("twin_earth_4d5.csv", &["csa_mm2"]),
        ("twin_earth_cpc.csv", &["csa_mm2"]),
    ] {
        let mut seen = std::collections::BTreeSet::new();
        for row in table(name) {
            let key: Vec<String> = keys.iter().map(|key| row.text(key).to_owned()).collect();
            assert!(seen.insert(key.clone()), "{name}: {key:?} stands twice");
        }
    }
}
