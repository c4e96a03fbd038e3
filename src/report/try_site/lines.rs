//! What stands on the sheet, as written in `facts.txt`, `works.txt` and `checks.txt`: a line each, its parts apart by
//! bars, formulas in the words of the sheet's own names. It knows no site.

use crate::finding::{Check, check};
use std::sync::OnceLock;

/// A fact of the site.
#[derive(Debug)]
pub(super) struct Fact {
    /// Its name in formulas.
    pub(super) name: &'static str,
    /// In words.
    pub(super) title: &'static str,
    /// Unit.
    pub(super) unit: &'static str,
    /// Decimal places shown; `None` for as many as it has.
    pub(super) places: Option<u32>,
    /// Block of the sheet: supply, earthing, route, design, fixed.
    pub(super) block: &'static str,
    /// `number`, the name of a list to choose from, or empty where it is not the user's to change.
    pub(super) input: &'static str,
    /// Formula of the value that counts; empty for the user's where there is one, else as found.
    used: &'static str,
    /// What to know of it.
    pub(super) note: &'static str,
}

impl Fact {
    /// Whether the user may change it.
    pub(super) fn is_input(&self) -> bool {
        !self.input.is_empty()
    }

    /// The formula of the value that counts.
    pub(super) fn formula(&self) -> String {
        let name = self.name;
        match (self.used, self.is_input()) {
            ("", true) => format!("IF(your_{name}=\"\",found_{name},your_{name})"),
            ("", false) => format!("found_{name}"),
            (used, _) => used.to_owned(),
        }
    }
}

/// A step of the reckoning.
#[derive(Debug)]
#[allow(missing_docs)]
pub(super) struct Work {
    pub(super) name: &'static str,
    pub(super) title: &'static str,
    pub(super) unit: &'static str,
    pub(super) formula: &'static str,
}

/// A check of the design.
#[derive(Debug)]
pub(super) struct CheckLine {
    /// Its name in formulas.
    pub(super) key: &'static str,
    /// The check of the engine that it reckons again.
    pub(super) check: &'static Check,
    /// In words.
    pub(super) title: &'static str,
    /// Formulas of the figure, its limit and the reason code; empty where it has none.
    pub(super) value: &'static str,
    /// See `value`.
    pub(super) limit: &'static str,
    /// See `value`.
    pub(super) code: &'static str,
    /// Formula of the outcome where it is not that of the code or of figure and limit.
    outcome: &'static str,
    /// Formula of the unit where it changes.
    pub(super) unit: &'static str,
}

impl CheckLine {
    /// The formula of the outcome, in the words of the sheet Findings.
    pub(super) fn outcome(&self) -> String {
        let key = self.key;
        if !self.outcome.is_empty() {
            return self.outcome.to_owned();
        }
        let inside = if self.check.limit_is_least { ">=" } else { "<=" };
        let by_figures = match (self.value, self.limit) {
            ("", _) => "\"\"".to_owned(),
            (_, "") => format!("IF({key}_value=\"\",\"\",\"noted\")"),
            _ => format!(
                "IF({key}_value=\"\",\"\",IF({key}_limit=\"\",\"noted\",IF({key}_value{inside}{key}_limit,\"pass\",\"fail\")))"
            ),
        };
        if self.code.is_empty() {
            return by_figures;
        }
        format!("IF({key}_code=\"\",{by_figures},INDEX(code_outcomes,MATCH({key}_code,code_words,0)))")
    }

    /// The formula of the room left.
    pub(super) fn margin(&self) -> Option<String> {
        let key = self.key;
        let room = match self.check.limit_is_least {
            true => format!("{key}_value-{key}_limit"),
            false => format!("{key}_limit-{key}_value"),
        };
        let both = !self.value.is_empty() && !self.limit.is_empty();
        both.then(|| format!("IF(AND(ISNUMBER({key}_value),ISNUMBER({key}_limit)),{room},\"\")"))
    }

    /// The formula of the effect, from nothing (0) to what stops (4).
    pub(super) fn rank(&self) -> Option<String> {
        let key = self.key;
        (!self.code.is_empty())
            .then(|| format!("IF({key}_code=\"\",0,INDEX(code_ranks,MATCH({key}_code,code_words,0)))"))
    }
}

/// The lines of a text under its first, each in so many parts.
fn parts<const N: usize>(text: &'static str) -> impl Iterator<Item = [&'static str; N]> {
    text.lines().skip(1).map(|line| {
        let mut parts = line.split('|');
        std::array::from_fn(|_| parts.next().unwrap_or_default())
    })
}

/// Every fact, in the order of the sheet.
pub(super) fn facts() -> &'static [Fact] {
    static LINES: OnceLock<Vec<Fact>> = OnceLock::new();
    LINES.get_or_init(|| {
        parts(include_str!("facts.txt"))
            .map(|[name, title, unit, places, block, input, used, note]| {
                let places = places.parse().ok();
                Fact { name, title, unit, places, block, input, used, note }
            })
            .collect()
    })
}

/// Every step of the reckoning, in the order of the sheet.
pub(super) fn works() -> &'static [Work] {
    static LINES: OnceLock<Vec<Work>> = OnceLock::new();
    LINES.get_or_init(|| {
        parts(include_str!("works.txt"))
            .map(|[name, title, unit, formula]| Work { name, title, unit, formula })
            .collect()
    })
}

/// Every check, in the order of the sheet.
pub(super) fn checks() -> &'static [CheckLine] {
    static LINES: OnceLock<Vec<CheckLine>> = OnceLock::new();
    LINES.get_or_init(|| {
        parts(include_str!("checks.txt"))
            .map(|[key, name, title, value, limit, code, outcome, unit]| {
                let check = check(name);
                let title = if title.is_empty() { check.title } else { title };
                CheckLine { key, check, title, value, limit, code, outcome, unit }
            })
            .collect()
    })
}
