//! Why a site changed, as far as two results can tell: which inputs are other files, and which of them could have done
//! what was seen. What they cannot tell is said to be open.

use super::changes::{Change, Fact};
use super::document::{Given, InputRead, ResultRead};
use super::money::MoneyKind;

/// Something that a result rests on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Input {
    /// The user's spreadsheet.
    Portfolio,
    /// Files laid over it.
    Answers,
    /// How headings are understood.
    Mapping,
    /// The rules.
    Rules,
    /// The price book.
    Prices,
    /// How unasked facts are taken.
    Stance,
    /// The date of the run: prices are brought to its year.
    Date,
    /// The program itself.
    Program,
}

impl Input {
    /// Every input, in the order in which it is told.
    pub const ALL: [Input; 8] = [
        Input::Portfolio,
        Input::Answers,
        Input::Mapping,
        Input::Rules,
        Input::Prices,
        Input::Stance,
        Input::Date,
        Input::Program,
    ];

    /// What it is called.
    pub fn word(self) -> &'static str {
        match self {
            Input::Portfolio => "portfolio",
            Input::Answers => "files laid over it",
            Input::Mapping => "mapping",
            Input::Rules => "rules",
            Input::Prices => "price book",
            Input::Stance => "stance",
            Input::Date => "date of the run",
            Input::Program => "version of the program",
        }
    }

    /// Whether it holds answers about sites.
    fn tells_facts(self) -> bool {
        matches!(self, Input::Portfolio | Input::Answers | Input::Mapping)
    }

    /// Whether it can change a price and leave every quantity.
    fn moves_prices(self) -> bool {
        matches!(self, Input::Prices | Input::Date | Input::Rules | Input::Program)
    }
}

/// Whether an input is another in the later result.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Became {
    /// The same bytes, the same word.
    Same,
    /// Another.
    Other,
    /// A document lacks it.
    NotTold,
}

/// What became of an input, with what it is called on both sides.
#[derive(Clone, Debug, PartialEq)]
pub struct InputChange {
    /// Which.
    pub input: Input,
    /// Whether it is another.
    pub became: Became,
    /// Name or word in the earlier result.
    pub before: String,
    /// Name or word in the later one.
    pub after: String,
}

fn named(files: &[&InputRead]) -> String {
    files.iter().map(|file| file.name.as_str()).collect::<Vec<_>>().join(", ")
}

/// What became of every input.
pub(super) fn inputs(before: &ResultRead, after: &ResultRead) -> Vec<InputChange> {
    fn file(input: Input, one: &Given<InputRead>, two: &Given<InputRead>) -> InputChange {
        let name = |given: &Given<InputRead>| given.value().map_or_else(String::new, |file| file.name.clone());
        let became = match (one.value(), two.value()) {
            (Some(one), Some(two)) if one.sha256 == two.sha256 => Became::Same,
            (Some(_), Some(_)) => Became::Other,
            _ => Became::NotTold,
        };
        InputChange { input, became, before: name(one), after: name(two) }
    }
    fn word(input: Input, one: &Given<String>, two: &Given<String>) -> InputChange {
        let became = match (one.value(), two.value()) {
            (Some(one), Some(two)) if one == two => Became::Same,
            (Some(_), Some(_)) => Became::Other,
            _ => Became::NotTold,
        };
        InputChange { input, became, before: one.text().to_owned(), after: two.text().to_owned() }
    }
    fn files(input: Input, one: &[&InputRead], two: &[&InputRead], told: bool) -> InputChange {
        let same = one.iter().map(|file| &file.sha256).eq(two.iter().map(|file| &file.sha256));
        let became = match (told, same) {
            (false, _) => Became::NotTold,
            (true, true) => Became::Same,
            (true, false) => Became::Other,
        };
        InputChange { input, became, before: named(one), after: named(two) }
    }
    let (one, two) = (&before.inputs, &after.inputs);
    let with = |inputs: &Given<Vec<InputRead>>| -> Vec<InputRead> { inputs.list().to_vec() };
    let (with_before, with_after) = (with(&one.with), with(&two.with));
    let told = !one.with.is_absent() && !two.with.is_absent();
    let version = |document: &ResultRead| Given::Value(document.version.clone());
    vec![
        file(Input::Portfolio, &one.portfolio, &two.portfolio),
        files(Input::Answers, &with_before.iter().collect::<Vec<_>>(), &with_after.iter().collect::<Vec<_>>(), told),
        files(Input::Mapping, &one.mapping.iter().collect::<Vec<_>>(), &two.mapping.iter().collect::<Vec<_>>(), true),
        file(Input::Rules, &one.rules, &two.rules),
        file(Input::Prices, &one.price_book, &two.price_book),
        word(Input::Stance, &before.summary.stance, &after.summary.stance),
        word(Input::Date, &before.summary.as_of, &after.summary.as_of),
        word(Input::Program, &version(before), &version(after)),
    ]
}

/// Why a site changed.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Cause {
    /// The inputs that can have done it, in their order.
    pub inputs: Vec<Input>,
    /// Whether the site itself is the same and only others moved it.
    pub others_only: bool,
    /// Whether the results single it out; else it may be any of them.
    pub sure: bool,
}

/// Why a site changed, given the inputs that are other or of which nothing is told.
pub(super) fn cause(change: &Change<'_>, inputs: &[InputChange]) -> Cause {
    if !change.is_own() {
        return Cause { others_only: true, sure: true, ..Cause::default() };
    }
    let suspects: Vec<Input> =
        inputs.iter().filter(|input| input.became != Became::Same).map(|input| input.input).collect();
    let told = inputs.iter().all(|input| input.became != Became::NotTold);
    if let [one] = suspects.as_slice() {
        return Cause { inputs: vec![*one], others_only: false, sure: told };
    }
    let of =
        |wanted: fn(Input) -> bool| -> Vec<Input> { suspects.iter().copied().filter(|input| wanted(*input)).collect() };
    let (facts, priced) = (of(Input::tells_facts), suspects.contains(&Input::Prices));
    let found = if only_prices(change) {
        // An answer leaves no price other; a price book alone can be singled out beside new answers.
        if priced { vec![Input::Prices] } else { of(Input::moves_prices) }
    } else if shows_a_fact(change) && !facts.is_empty() {
        let prices = priced && change.money.items.iter().any(|item| item.same_quantity());
        let also = prices.then_some(Input::Prices);
        facts.into_iter().chain(also).collect()
    } else {
        // A price may decide between two arrangements, and whether a consultation is due: nothing is ruled out.
        suspects.clone()
    };
    // Other rules, another stance and another program may do to a fact what an answer does.
    let also_facts = |input: &Input| matches!(input, Input::Rules | Input::Stance | Input::Program);
    let open = shows_a_fact(change) && suspects.iter().any(|input| also_facts(input) && !found.contains(input));
    let sure = told && found.len() == 1 && !open;
    Cause { inputs: found, others_only: false, sure }
}

/// Whether the site differs in prices and in nothing else.
fn only_prices(change: &Change<'_>) -> bool {
    change.money.kind == MoneyKind::Prices
        && change.before.verdict == change.after.verdict
        && change.reasons_came.is_empty()
        && change.reasons_went.is_empty()
        && change.facts.is_empty()
        && change.figures.is_empty()
        && change.checks.is_empty()
        && !change.override_changed()
}

/// Whether a survey answer shows itself: a fact settled or no longer assumed, another demand or supply, an override.
fn shows_a_fact(change: &Change<'_>) -> bool {
    let answered = change.facts.iter().any(|fact| !matches!(fact, Fact::AssumedOtherwise(..)));
    let surveyed = ["existing_demand_a", "supply_limit_a", "cable_length_m"];
    let other = change.figures.iter().any(|figure| surveyed.contains(&figure.field));
    answered || other || change.override_changed()
}
