//! What can be asked: every survey field that may be open, in words for those who answer, and how it is asked. All of
//! it is data (`asks.csv`, `askings.csv`).

use crate::table::Table;
use std::sync::OnceLock;

/// One asking: what is asked for together, and paid once a site.
#[derive(Clone, Debug, PartialEq)]
pub struct Asking {
    /// Its name in the table.
    pub ask: &'static str,
    /// What it is, in a few words.
    pub said: &'static str,
    /// How it is asked: photograph, telephone call, bill, logger, operator enquiry, visit ...
    pub how: &'static str,
    /// Item of the price book that it costs.
    pub item: &'static str,
    /// Who can answer.
    pub who: &'static str,
    /// Whether it can be put to people at the site in a letter.
    pub letter: bool,
    /// What to photograph or send, safely; empty where nothing.
    pub photograph: &'static str,
    /// The survey fields that it answers, in the order of the table.
    pub fields: Vec<AskedField>,
}

/// One survey field as it is asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct AskedField {
    /// Survey field.
    pub field: &'static str,
    /// Whether this asking answers it at a home.
    pub at_home: bool,
    /// Whether this asking answers it at any other site.
    pub at_site: bool,
    /// In words that a resident can answer.
    pub question_home: &'static str,
    /// In words that a caretaker or site manager can answer.
    pub question_site: &'static str,
}

impl AskedField {
    /// Whether it is asked so at such a place.
    pub fn is_asked(&self, home: bool) -> bool {
        if home { self.at_home } else { self.at_site }
    }

    /// The question for such a place.
    pub fn question(&self, home: bool) -> &'static str {
        if home { self.question_home } else { self.question_site }
    }
}

/// Every asking, in the order of the table.
pub fn askings() -> &'static [Asking] {
    static ASKINGS: OnceLock<Vec<Asking>> = OnceLock::new();
    ASKINGS.get_or_init(|| {
        let fields = Table::of(include_str!("asks.csv"));
        let askings = Table::of(include_str!("askings.csv"));
        let of_row = |row: &crate::table::Row<'_>| {
            let ask = row.kept("ask");
            let asked = fields.rows().map(|row| AskedField {
                field: row.kept("field"),
                at_home: row.text("ask_home") == ask,
                at_site: row.text("ask_site") == ask,
                question_home: row.kept("question_home"),
                question_site: row.kept("question_site"),
            });
            Asking {
                ask,
                said: row.kept("said"),
                how: row.kept("how"),
                item: row.kept("item"),
                who: row.kept("who"),
                letter: row.text("letter") == "yes",
                photograph: row.kept("photograph"),
                fields: asked.filter(|asked| asked.at_home || asked.at_site).collect(),
            }
        };
        askings.rows().map(|row| of_row(&row)).collect()
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::estimate::PriceBook;
    use std::collections::BTreeMap;

    #[test]
    fn every_fact_that_may_be_open_is_asked_once_at_a_home_and_once_at_a_site() {
        for home in [true, false] {
            let mut asked: BTreeMap<&str, u32> = BTreeMap::new();
            for field in askings().iter().flat_map(|asking| &asking.fields).filter(|field| field.is_asked(home)) {
                *asked.entry(field.field).or_default() += 1;
                assert!(field.question(home).ends_with(['?', '.']), "{}", field.field);
            }
            let open: Vec<&str> = crate::possible::fields();
            assert!(open.iter().all(|field| asked.get(field) == Some(&1)), "{open:?} {asked:?}");
            assert_eq!(asked.len(), open.len(), "{open:?} {asked:?}");
        }
    }

    #[test]
    fn every_asking_has_a_price_a_source_and_somebody_who_answers() {
        assert_eq!(askings().len(), 12);
        for asking in askings() {
            let item = PriceBook::default_book().by_code(asking.item);
            assert!(item.is_some(), "{}: {}", asking.ask, asking.item);
            assert!(!asking.fields.is_empty() && !asking.who.is_empty() && !asking.how.is_empty(), "{}", asking.ask);
        }
        for (text, columns) in [(include_str!("asks.csv"), 7), (include_str!("askings.csv"), 9)] {
            let table = Table::of(text);
            assert_eq!(table.rows().count(), text.lines().count() - 1, "a row of {columns} columns does not parse");
            for row in table.rows() {
                assert!(!row.text("source").is_empty() && row.text("status") == "memory", "{}", row.text("source"));
            }
        }
    }

    #[test]
    fn a_photograph_of_an_intake_or_a_board_opens_nothing() {
        let near = askings().iter().filter(|asking| ["intake-photograph", "board-photograph"].contains(&asking.ask));
        for asking in near {
            assert!(asking.photograph.contains("Open no"), "{}", asking.ask);
            assert!(asking.photograph.contains("keep away and tell us"), "{}", asking.ask);
        }
    }
}
