//! Reading an embedded table: cells by column name, rows in order. Every room may use it; it knows none of them.

use std::collections::BTreeMap;

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

/// What is found by name. Names are told apart by their lengths first, and only those of one length letter by letter:
/// checks and reasons are looked up by the million, and many begin alike.
pub(crate) struct Named<T>(Vec<(&'static str, T)>);

impl<T> FromIterator<(&'static str, T)> for Named<T> {
    fn from_iter<I: IntoIterator<Item = (&'static str, T)>>(named: I) -> Self {
        let mut named: Vec<(&'static str, T)> = named.into_iter().collect();
        named.sort_by(|(one, _), (other, _)| by_length(one, other));
        Self(named)
    }
}

impl<T> Named<T> {
    /// What has this name.
    pub(crate) fn get(&self, name: &str) -> Option<&T> {
        let at = self.0.binary_search_by(|(own, _)| by_length(own, name)).ok()?;
        self.0.get(at).map(|(_, found)| found)
    }

    /// Everything, the shortest name first.
    pub(crate) fn values(&self) -> impl Iterator<Item = &T> {
        self.0.iter().map(|(_, found)| found)
    }
}

fn by_length(one: &str, other: &str) -> std::cmp::Ordering {
    one.len().cmp(&other.len()).then_with(|| one.cmp(other))
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
