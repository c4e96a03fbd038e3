//! Reading an embedded table: cells by column name, rows in order. Every room may use it; it knows none of them.

use std::collections::BTreeMap;
use std::hash::Hasher;

/// An embedded CSV table. Its text is part of the binary, so cells live as long as the program.
pub(crate) struct Table {
    columns: BTreeMap<String, usize>,
    rows: Vec<csv::StringRecord>,
}

impl Table {
    /// The table of an embedded text. Rows that do not parse are left out; a test counts the rows of every table.
    pub(crate) fn of(text: &'static str) -> Self {
        let mut reader = csv::Reader::from_reader(text.as_bytes());
        let columns = reader
            .headers()
            .map(|headings| headings.iter().enumerate().map(|(index, name)| (name.to_owned(), index)).collect())
            .unwrap_or_default();
        Self { columns, rows: reader.records().flatten().collect() }
    }

    /// Every row.
    pub(crate) fn rows(&self) -> impl Iterator<Item = Row<'_>> {
        self.rows.iter().map(|record| Row { table: self, record })
    }
}

/// What is found by name: checks and reasons are looked up by the million, and many begin alike, so names are told apart
/// by a number made of each before they are compared.
pub(crate) struct Named<T>(BTreeMap<u64, Vec<(&'static str, T)>>);

impl<T> FromIterator<(&'static str, T)> for Named<T> {
    fn from_iter<I: IntoIterator<Item = (&'static str, T)>>(named: I) -> Self {
        let mut all: BTreeMap<u64, Vec<(&'static str, T)>> = BTreeMap::new();
        for (name, found) in named {
            all.entry(number_of(name)).or_default().push((name, found));
        }
        Self(all)
    }
}

impl<T> Named<T> {
    /// What has this name.
    pub(crate) fn get(&self, name: &str) -> Option<&T> {
        self.0.get(&number_of(name))?.iter().find_map(|(own, found)| (*own == name).then_some(found))
    }

    /// Everything, in no order that means anything.
    pub(crate) fn values(&self) -> impl Iterator<Item = &T> {
        self.0.values().flatten().map(|(_, found)| found)
    }
}

fn number_of(name: &str) -> u64 {
    let mut hasher = rustc_hash::FxHasher::default();
    hasher.write(name.as_bytes());
    hasher.finish()
}

/// One row.
pub(crate) struct Row<'a> {
    table: &'a Table,
    record: &'a csv::StringRecord,
}

impl Row<'_> {
    /// The text of a column; empty when the column does not exist.
    pub(crate) fn text(&self, column: &str) -> &str {
        self.table.columns.get(column).and_then(|index| self.record.get(*index)).unwrap_or_default()
    }

    /// The text of a column for the life of the program: tables are read once, and what is kept of them is never freed.
    pub(crate) fn kept(&self, column: &str) -> &'static str {
        Box::leak(self.text(column).to_owned().into_boxed_str())
    }

    /// The number of a column; `None` when blank or not a number.
    pub(crate) fn number(&self, column: &str) -> Option<f64> {
        self.text(column).trim().parse::<f64>().ok().filter(|number| number.is_finite())
    }

    /// The number of a column that no row may lack; 0 would be a broken table, which the table tests exclude.
    pub(crate) fn needed(&self, column: &str) -> f64 {
        self.number(column).unwrap_or_default()
    }
}
