//! Everything of the sheet with a name: tables, figures, facts of the sites, formulas; and what the formulas come to.

use super::data::{self, Tried};
use super::evaluate::{Grid, Names, Value, result};
use super::figures::{Figure, figures};
use super::formula::{Formula, parse};
use super::lines::{checks, facts, works};
use super::tables::{Block, tables};
use crate::rules::Rules;
use std::cell::RefCell;
use std::collections::BTreeMap;
use std::sync::Arc;

/// The sheets of the calculation as data.
pub(super) struct Book<'a> {
    /// Sites that can be tried, best first.
    pub(super) sites: Vec<Tried<'a>>,
    /// Tables.
    pub(super) tables: Vec<Block>,
    /// Named figures.
    pub(super) figures: Vec<Figure>,
    /// Formulas by name: as text, and parsed.
    formulas: BTreeMap<String, (String, Formula)>,
    grids: BTreeMap<String, Value>,
}

impl<'a> Book<'a> {
    /// The calculation for these sites; `None` where there is none that can be tried.
    pub(super) fn of(sites: Vec<Tried<'a>>, rules: &Rules) -> Option<Self> {
        if sites.is_empty() {
            return None;
        }
        let (tables, figures) = (tables(rules), figures(rules));
        let mut grids: BTreeMap<String, Value> = BTreeMap::new();
        for (name, grid) in tables.iter().flat_map(Block::grids) {
            grids.insert(name.to_owned(), Value::Grid(grid));
        }
        grids.extend(figures.iter().map(|figure| (figure.name.to_owned(), figure.value.clone())));
        let mut columns: Vec<Vec<Value>> = data::columns().iter().map(|_| Vec::with_capacity(sites.len())).collect();
        for site in &sites {
            for (column, cell) in columns.iter_mut().zip(data::cells(site)) {
                column.push(cell);
            }
        }
        for ((name, _), cells) in data::columns().into_iter().zip(columns) {
            grids.insert(name, Value::Grid(Arc::new(Grid { columns: 1, cells })));
        }
        let formulas = formulas().into_iter().filter_map(|(name, text)| {
            let formula = parse(&text).ok()?;
            Some((name, (text, formula)))
        });
        Some(Self { formulas: formulas.collect(), sites, tables, figures, grids })
    }

    /// The formula of a name, without its equals sign.
    pub(super) fn formula(&self, name: &str) -> Option<&str> {
        self.formulas.get(name).map(|(text, _)| text.as_str())
    }

    /// What everything comes to with these cells of the user's: `your_site` and the facts changed.
    pub(super) fn reckoned<'b>(&'b self, inputs: &'b BTreeMap<String, Value>) -> Reckoned<'b> {
        Reckoned { formulas: &self.formulas, grids: &self.grids, inputs, known: RefCell::new(BTreeMap::new()) }
    }
}

/// Results, worked out as they are asked for.
pub(super) struct Reckoned<'b> {
    formulas: &'b BTreeMap<String, (String, Formula)>,
    grids: &'b BTreeMap<String, Value>,
    inputs: &'b BTreeMap<String, Value>,
    known: RefCell<BTreeMap<&'b str, Value>>,
}

impl Names for Reckoned<'_> {
    fn value(&self, name: &str) -> Value {
        if let Some(value) = self.inputs.get(name).or_else(|| self.grids.get(name)) {
            return value.clone();
        }
        if let Some(value) = self.known.borrow().get(name) {
            return value.clone();
        }
        let Some((name, (_, formula))) = self.formulas.get_key_value(name) else {
            // An input that holds nothing.
            return if name.starts_with("your_") { Value::Blank } else { Value::Fault };
        };
        // A formula that leads back to itself has no value.
        self.known.borrow_mut().insert(name.as_str(), Value::Fault);
        let value = result(formula, self);
        self.known.borrow_mut().insert(name.as_str(), value.clone());
        value
    }
}

/// Every formula of the sheet, by name.
pub(super) fn formulas() -> Vec<(String, String)> {
    let mut all = vec![(
        "site_row".to_owned(),
        "IFERROR(MATCH(your_site,site_names,0),MATCH(your_site&\"\",site_names,0))".to_owned(),
    )];
    let of_site = |column: String| format!("INDEX({column},site_row)");
    for fact in facts() {
        all.push((format!("found_{}", fact.name), of_site(format!("site_{}", fact.name))));
        all.push((fact.name.to_owned(), fact.formula()));
    }
    all.extend(works().iter().map(|work| (work.name.to_owned(), work.formula.to_owned())));
    let mut ranks = vec!["rest_rank".to_owned()];
    for line in checks() {
        let key = line.key;
        for (part, formula) in [("value", line.value), ("limit", line.limit), ("code", line.code)] {
            if !formula.is_empty() {
                all.push((format!("{key}_{part}"), formula.to_owned()));
                let cell = of_site(format!("site_{key}_{part}"));
                all.push((format!("seen_{key}_{part}"), format!("IF({cell}=\"\",\"\",{cell})")));
            }
        }
        all.push((format!("{key}_outcome"), line.outcome()));
        if let Some(margin) = line.margin() {
            all.push((format!("{key}_margin"), margin));
        }
        if let Some(rank) = line.rank() {
            ranks.push(format!("{key}_rank"));
            all.push((format!("{key}_rank"), rank));
            let effect = "INDEX(code_effects,MATCH";
            all.push((
                format!("{key}_effect"),
                format!("IF({key}_code=\"\",\"none\",{effect}({key}_code,code_words,0)))"),
            ));
        }
        if !line.unit.is_empty() {
            all.push((format!("{key}_unit"), line.unit.to_owned()));
        }
    }
    all.push(("worst_rank".to_owned(), format!("MAX({})", ranks.join(","))));
    let verdict = "IF(worst_rank>=4,\"blocked\",IF(worst_rank>=3,\"marginal\",\"ready\"))";
    all.push(("verdict_now".to_owned(), verdict.to_owned()));
    all.push(("verdict_found".to_owned(), of_site("site_verdict".to_owned())));
    all.push(("rest_found".to_owned(), of_site("site_rest".to_owned())));
    let changed = facts().iter().filter(|fact| fact.is_input());
    let changed: Vec<_> = changed.map(|fact| format!("IF(your_{}=\"\",0,1)", fact.name)).collect();
    all.push(("changed_facts".to_owned(), changed.join("+")));
    all
}
