//! One case: its inputs, the figures it expects, and how a figure is compared. It knows no engineering.

use super::{circuit, formula, take_off};
use serde::Deserialize;
use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};

/// A figure that a topic computes.
#[derive(Clone, Debug, PartialEq)]
pub enum Figure {
    Number(f64),
    Word(String),
    List(Vec<String>),
}

pub type Figures = BTreeMap<String, Figure>;

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Case {
    topic: String,
    /// What of the library is called, for readers.
    calls: String,
    inputs: toml::Table,
    /// Lines laid over the default rules (whole circuits only).
    #[serde(default)]
    rules: toml::Table,
    /// Which of the arrangements is meant (whole circuits only); the first when empty.
    #[serde(default)]
    pick: toml::Table,
    #[serde(default)]
    expect: Vec<Expect>,
    /// Every item of a take-off (take-offs only).
    take_off: Option<take_off::Expected>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Expect {
    figure: String,
    value: Option<f64>,
    within: Option<f64>,
    within_percent: Option<f64>,
    /// Bounds, for a figure that must stand on one side of another one (with or without a value).
    at_least: Option<f64>,
    at_most: Option<f64>,
    /// Figures printed by a slip: they must not come out.
    #[serde(default)]
    never: Vec<f64>,
    word: Option<String>,
    #[serde(default)]
    has: Vec<String>,
    #[serde(default)]
    lacks: Vec<String>,
}

/// The inputs of a case, which remember which of them were used.
pub struct Inputs<'a> {
    table: &'a toml::Table,
    used: RefCell<BTreeSet<String>>,
}

impl<'a> Inputs<'a> {
    pub fn of(table: &'a toml::Table) -> Self {
        Self { table, used: RefCell::default() }
    }

    pub fn raw(&self, name: &str) -> Option<&'a toml::Value> {
        self.used.borrow_mut().insert(name.to_owned());
        self.table.get(name)
    }

    pub fn names(&self) -> Vec<&'a str> {
        self.table.keys().map(String::as_str).collect()
    }

    pub fn optional(&self, name: &str) -> Option<f64> {
        self.raw(name).and_then(number)
    }

    pub fn number(&self, name: &str) -> Result<f64, String> {
        self.optional(name).ok_or_else(|| format!("inputs: {name} is needed, a number"))
    }

    pub fn text(&self, name: &str) -> Result<&'a str, String> {
        self.raw(name).and_then(toml::Value::as_str).ok_or_else(|| format!("inputs: {name} is needed, a text"))
    }

    pub fn list(&self, name: &str) -> Vec<f64> {
        match self.raw(name) {
            Some(toml::Value::Array(items)) => items.iter().filter_map(number).collect(),
            Some(single) => number(single).into_iter().collect(),
            None => Vec::new(),
        }
    }

    pub fn flag(&self, name: &str) -> bool {
        self.raw(name).and_then(toml::Value::as_bool) == Some(true)
    }

    fn unused(&self) -> Vec<String> {
        let used = self.used.borrow();
        self.table
            .keys()
            .filter(|name| !used.contains(*name))
            .map(|name| format!("the input {name} is not used by this topic"))
            .collect()
    }
}

pub fn number(value: &toml::Value) -> Option<f64> {
    match value {
        toml::Value::Integer(whole) => Some(*whole as f64),
        toml::Value::Float(number) => Some(*number),
        _ => None,
    }
}

impl Case {
    pub fn read(text: &str) -> Result<Self, String> {
        toml::from_str(text).map_err(|fault| format!("case.toml: {fault}"))
    }

    /// Faults found; an error when the case cannot be run at all.
    pub fn run(&self) -> Result<Vec<String>, String> {
        if self.calls.is_empty() {
            return Err("does not say what it calls".into());
        }
        if let Some(expected) = &self.take_off {
            return self.take_off(expected);
        }
        if self.expect.is_empty() {
            return Err("expects nothing".into());
        }
        let inputs = Inputs::of(&self.inputs);
        let figures = if self.topic == "circuit" {
            circuit::figures(&inputs, &self.rules, &self.pick)?
        } else if self.rules.is_empty() && self.pick.is_empty() {
            formula::figures(&self.topic, &inputs)?
        } else {
            return Err("rules and pick belong to the topic circuit".into());
        };
        let mut faults = inputs.unused();
        for expect in &self.expect {
            faults.extend(expect.faults(&figures));
        }
        Ok(faults)
    }

    fn take_off(&self, expected: &take_off::Expected) -> Result<Vec<String>, String> {
        if !self.expect.is_empty() {
            return Err("a take-off expects its items and nothing else".into());
        }
        if self.topic == "take-off-of-survey" {
            let inputs = Inputs::of(&self.inputs);
            let (arrangement, place) = circuit::picked(&inputs, &self.rules, &self.pick)?;
            let mut faults = inputs.unused();
            faults.extend(expected.faults(&arrangement, &place));
            return Ok(faults);
        }
        if self.topic != "take-off" || !self.rules.is_empty() || !self.pick.is_empty() {
            return Err("items of a take-off belong to the topics take-off and take-off-of-survey".into());
        }
        let (arrangement, place) = take_off::given(&self.inputs)?;
        Ok(expected.faults(&arrangement, &place))
    }
}

impl Expect {
    fn faults(&self, figures: &Figures) -> Vec<String> {
        let name = &self.figure;
        let Some(figure) = figures.get(name) else {
            let known: Vec<&String> = figures.keys().collect();
            return vec![format!("{name} is not computed; computed are {known:?}")];
        };
        match figure {
            Figure::Number(found) => self.number_faults(*found),
            Figure::Word(found) => match &self.word {
                Some(word) if word == found => Vec::new(),
                other => vec![format!("{name} is {found:?}, expected {other:?}")],
            },
            Figure::List(found) => {
                if self.has.is_empty() && self.lacks.is_empty() {
                    return vec![format!("{name}: say what the list has or lacks")];
                }
                let absent = self.has.iter().filter(|item| !found.contains(item));
                let present = self.lacks.iter().filter(|item| found.contains(item));
                absent
                    .map(|item| format!("{name} lacks {item}: {found:?}"))
                    .chain(present.map(|item| format!("{name} has {item}: {found:?}")))
                    .collect()
            }
        }
    }

    fn number_faults(&self, found: f64) -> Vec<String> {
        let name = &self.figure;
        let mut faults = Vec::new();
        // Asked this way round, so that a figure that is no number fails.
        let above = self.at_least.is_none_or(|bound| found >= bound);
        let below = self.at_most.is_none_or(|bound| found <= bound);
        if !(above && below) {
            faults.push(format!("{name} is {found}, bounds {:?} and {:?}", self.at_least, self.at_most));
        }
        let Some(value) = self.value else {
            if self.at_least.or(self.at_most).is_none() || !self.never.is_empty() {
                faults.push(format!("{name} is {found}: no value is expected of it"));
            }
            return faults;
        };
        let tolerance = match (self.within, self.within_percent) {
            (Some(within), None) => within,
            (None, Some(percent)) => value.abs() * percent / 100.0,
            _ => {
                faults.push(format!("{name} has no tolerance, or two"));
                return faults;
            }
        };
        // A hair for binary fractions, so that a stated tolerance is not missed by one part in a thousand million.
        let near = |target: f64| (found - target).abs() <= tolerance + value.abs() * 1e-9;
        if !near(value) {
            faults.push(format!("{name} is {found}, expected {value} within {tolerance}"));
        }
        for slip in self.never.iter().filter(|slip| near(**slip)) {
            faults.push(format!("{name} is {found}: the printed slip {slip}"));
        }
        faults
    }
}
