//! What changed about a site, in sentences: what came and went first, then what it costs, then why. How changes are
//! found it does not know.

use crate::compare::{
    Cause, Change, Changed, CheckChange, Comparison, Fact, Figure, FindingRead, Input, LABOUR, MoneyKind, MoneyWhy,
    Plain, less,
};
use crate::finding::{Check, Reason, checks, reasons};
use crate::quantity::Pence;
use crate::report::PriceNote;
use crate::report::figures::{plain, pounds};
use crate::report::sentence::as_sentence;
use crate::report::summary::{field_words, title_of};
use std::collections::BTreeMap;

/// Facts, figures and checks told of a site; the sheet has all of them.
const TOLD: usize = 4;
/// The same on the terminal and on page one.
const TOLD_IN_SHORT: usize = 2;

/// The words for codes: of reasons and checks by their tables, of items by a price book. A code of another version of
/// the program that no table has stands for itself.
pub(super) struct Words<'a> {
    reasons: BTreeMap<&'static str, &'static Reason>,
    checks: BTreeMap<&'static str, &'static Check>,
    items: BTreeMap<&'a str, &'a PriceNote>,
}

impl<'a> Words<'a> {
    pub(super) fn of(prices: &'a [PriceNote]) -> Self {
        Self {
            reasons: reasons().into_iter().map(|reason| (reason.code, reason)).collect(),
            checks: checks().into_iter().map(|check| (check.name, check)).collect(),
            items: prices.iter().map(|note| (note.item.as_str(), note)).collect(),
        }
    }

    /// A few words for a reason.
    pub(super) fn reason<'s>(&self, code: &'s str) -> &'s str {
        self.reasons.get(code).map_or(code, |reason| title_of(reason))
    }

    /// The reasons of a list.
    pub(super) fn reasons(&self, codes: &[&str]) -> String {
        codes.iter().map(|code| self.reason(code)).collect::<Vec<_>>().join(", ")
    }

    /// What an item is.
    pub(super) fn item(&self, code: &str) -> String {
        if code == LABOUR {
            return "hours of labour".to_owned();
        }
        self.items.get(code).map_or_else(|| code.to_owned(), |note| within(&note.description))
    }

    fn places(&self, check: &str) -> u32 {
        self.checks.get(check).map_or(2, |check| check.places)
    }

    /// A check that came out otherwise: "Voltage drop 12.1 V of 11.5 (fail), was 10.2 V of 11.5 (pass)".
    pub(super) fn check(&self, change: &CheckChange) -> String {
        let title = self.checks.get(change.check.as_str()).map_or(change.check.as_str(), |check| check.title);
        let side = |finding: Option<&FindingRead>| {
            let Some(finding) = finding else { return "not checked".to_owned() };
            let number = |number: f64| plain(number, self.places(&change.check));
            let limit = finding.limit.map(|limit| format!(" of {}", number(limit))).unwrap_or_default();
            match finding.value {
                Some(value) => {
                    let unit = if finding.unit.is_empty() { String::new() } else { format!(" {}", finding.unit) };
                    format!("{}{unit}{limit} ({})", number(value), finding.outcome)
                }
                None => finding.outcome.clone(),
            }
        };
        format!("{title} {}, was {}", side(change.after.as_ref()), side(change.before.as_ref()))
    }

    /// What became of a fact. Only where surveys can be other is a value that is no longer assumed a stated one.
    pub(super) fn fact(&self, fact: &Fact, surveyed: bool) -> String {
        let name = field_words(fact.field());
        match fact {
            Fact::NoLongerAssumed(_, value) if surveyed => format!("{name} now stated ({value} was assumed)"),
            Fact::NoLongerAssumed(_, value) => format!("{name} no longer assumed ({value} before)"),
            Fact::NowAssumed(_, value) if surveyed => format!("{name} no longer stated ({value} is assumed)"),
            Fact::NowAssumed(_, value) => format!("{name} now assumed ({value})"),
            Fact::AssumedOtherwise(_, before, after) => format!("{name} assumed as {after}, was {before}"),
            Fact::Settled(_) => format!("{name} no longer decides"),
            Fact::NowDecides(_) => format!("{name} decides now"),
        }
    }

    /// The item that moves the cost most: "armoured cable 6 mm² 12 m, was 10 m (+£24)".
    pub(super) fn most_moved(&self, change: &Change<'_>) -> Option<String> {
        let item = change.money.items.first()?;
        let amount = if item.same_quantity() {
            String::new()
        } else {
            let many = |quantity: f64| plain(quantity, 2);
            format!(" {} {}, was {}", many(item.quantity_after), item.unit, many(item.quantity_before))
        };
        Some(format!("{}{amount} ({})", self.item(&item.item), signed(item.more())))
    }
}

/// Words that begin a line of a table, as they stand within a sentence.
fn within(words: &str) -> String {
    let mut letters = words.chars();
    match (letters.next(), letters.clone().next()) {
        (Some(first), Some(second)) if second.is_lowercase() => first.to_lowercase().chain(letters).collect(),
        _ => words.to_owned(),
    }
}

/// A difference with its sign: "+£24", "-£1,200", "£0".
pub(super) fn signed(more: Pence) -> String {
    let text = pounds(more);
    if more.0 > 0 && text != "£0" { format!("+{text}") } else { text }
}

/// What is said of an input in a sentence.
fn input_words(input: Input) -> &'static str {
    match input {
        Input::Portfolio => "the portfolio",
        Input::Answers => "the files laid over it",
        Input::Mapping => "the mapping of headings",
        Input::Rules => "the rules",
        Input::Prices => "the price book",
        Input::Stance => "the stance",
        Input::Date => "the date of the run",
        Input::Program => "the version of the program",
    }
}

/// Why a site changed.
pub(super) fn cause(cause: &Cause) -> String {
    if cause.others_only {
        return "other sites; nothing of its own is other".to_owned();
    }
    let named: Vec<&str> = cause.inputs.iter().map(|input| input_words(*input)).collect();
    match (named.as_slice(), cause.sure) {
        ([], _) => "not told: no input that the results name is another".to_owned(),
        ([one], true) => (*one).to_owned(),
        ([one], false) => format!("most likely {one}"),
        (several, _) => format!("{}, which the results do not tell apart", several.join(" or ")),
    }
}

/// Why the cost of a portfolio moved, as a line of a table.
pub(super) fn money_why(why: MoneyWhy) -> &'static str {
    match why {
        MoneyWhy::Prices => "same quantities, other prices",
        MoneyWhy::Design => "other quantities or hours",
        MoneyWhy::NotTold => "a result lacks the bill",
        MoneyWhy::NowPriced => "has a cost only now",
        MoneyWhy::NoLongerPriced => "has no cost any more",
        MoneyWhy::Came => "came",
        MoneyWhy::Went => "went",
    }
}

/// Whether surveys can be other between two results.
pub(super) fn surveys_differ(found: &Comparison<'_>) -> bool {
    use crate::compare::Became;
    let tells = |input: Input| matches!(input, Input::Portfolio | Input::Answers | Input::Mapping);
    found.inputs.iter().any(|input| tells(input.input) && input.became == Became::Other)
}

/// Whether a field that is no longer assumed was stated: surveys are other, and the site has a design in both results
/// or in neither, so that it is needed as before.
pub(super) fn stated(found: &Comparison<'_>, change: &Change<'_>) -> bool {
    let designed = |site: &crate::compare::SiteRead| site.charging_current_a.value().is_some();
    surveys_differ(found) && designed(change.before) == designed(change.after)
}

/// What of a site is other, in a few words for a column.
pub(super) fn what(change: &Change<'_>) -> String {
    let design = change.figures.iter().any(|figure| !matches!(figure.field, "existing_demand_a" | "weeks_likely"));
    let parts = [
        (change.verdict_changed(), "verdict"),
        (change.override_changed(), "engineer's verdict"),
        (change.with_neighbours().is_some(), "verdict with neighbours"),
        (!change.reasons_came.is_empty() || !change.reasons_went.is_empty(), "reasons"),
        (change.money_changed(), "cost"),
        (!change.facts.is_empty(), "facts"),
        (design, "design"),
        (!change.checks.is_empty(), "checks"),
        (change.rose() != 0, "rank"),
    ];
    parts.into_iter().filter_map(|(is, word)| is.then_some(word)).collect::<Vec<_>>().join(", ")
}

fn figure_words(figure: &Figure) -> String {
    let (name, unit) = match figure.field {
        "existing_demand_a" => ("existing demand", " A"),
        "supply_limit_a" => ("supply limit", " A"),
        "charging_current_a" => ("current", " A"),
        "group_limit_a" => ("group limit", " A"),
        "device_rating_a" => ("device", " A"),
        "cable_csa_mm2" => ("cable", " mm²"),
        "cable_length_m" => ("cable length", " m"),
        "labour_hours_likely" => ("person-hours", ""),
        "weeks_likely" => ("weeks to wait", ""),
        "point_phases" => ("phases", ""),
        "points_served" => ("points served", ""),
        "points" => ("points", ""),
        "operator_route" => ("operator", ""),
        "earthing_path" => ("earthing", ""),
        "cable_type" => ("cable", ""),
        other => (other, ""),
    };
    let side = |value: &Plain| match value {
        Plain::Nothing => "none".to_owned(),
        Plain::Number(number) => format!("{}{unit}", plain(*number, 2)),
        Plain::Word(word) => word.clone(),
    };
    format!("{name} {}, was {}", side(&figure.after), side(&figure.before))
}

/// The figures of a site that are other, as a list.
pub(super) fn figures(change: &Change<'_>) -> String {
    change.figures.iter().map(figure_words).collect::<Vec<_>>().join("; ")
}

/// The facts of a site, each once: what is stated now need not be said to decide no longer.
fn told_once(facts: &[Fact]) -> impl Iterator<Item = &Fact> {
    let of_verdict = |fact: &Fact| matches!(fact, Fact::Settled(_) | Fact::NowDecides(_));
    facts.iter().filter(move |fact| {
        let elsewhere = |other: &&Fact| other.field() == fact.field() && !of_verdict(other);
        !of_verdict(fact) || !facts.iter().any(|other| elsewhere(&other))
    })
}

/// A list of which only so many are told.
fn some_of(parts: Vec<String>, most: usize) -> String {
    let more = parts.len().saturating_sub(most);
    let told = parts.into_iter().take(most).collect::<Vec<_>>().join("; ");
    if more > 0 { format!("{told}; {more} more") } else { told }
}

fn money_sentence(words: &Words<'_>, change: &Change<'_>) -> Option<String> {
    let money = &change.money;
    let side = |cost: Option<Pence>| cost.map(pounds).unwrap_or_default();
    match money.kind {
        MoneyKind::Same | MoneyKind::NoCost => None,
        MoneyKind::NowPriced => Some(format!("Has a cost now: {}.", side(money.after))),
        MoneyKind::NoLongerPriced => Some(format!("Has no cost any more; was {}.", side(money.before))),
        MoneyKind::Prices | MoneyKind::Design | MoneyKind::NotTold => {
            let more = money.more()?;
            let how = match money.kind {
                MoneyKind::Prices => ": the same quantities at other prices",
                MoneyKind::Design => ": other quantities or hours",
                _ => "",
            };
            let most = words.most_moved(change).map(|item| format!(", most by {item}")).unwrap_or_default();
            let (before, after) = (side(money.before), side(money.after));
            Some(match more.0 {
                0 if money.items.is_empty() && money.kind == MoneyKind::NotTold => return None,
                0 => format!("Costs {after} as before{how}{most}."),
                _ => format!("Costs {after}, was {before} ({}){how}{most}.", signed(more)),
            })
        }
    }
}

/// What is said of one site, that which matters most first; why it is so is the last. In short, figures and checks are
/// told only where nothing else is.
fn sentences(words: &Words<'_>, found: &Comparison<'_>, changed: &Changed<'_>, in_short: bool) -> String {
    let change = &changed.change;
    let most = if in_short { TOLD_IN_SHORT } else { TOLD };
    let (before, after) = change.verdicts();
    let mut told = Vec::new();
    if before != after {
        told.push(as_sentence(&format!("{}, was {}", after.word(), before.word())));
    }
    if change.override_changed() {
        told.push(match (change.before.override_verdict.value(), change.after.override_verdict.value()) {
            (_, Some(word)) => format!("An engineer has set {}.", word.0.word()),
            _ => "An engineer's verdict is withdrawn.".to_owned(),
        });
    }
    if let Some((one, two)) = change.with_neighbours().filter(|both| *both != (before, after)) {
        told.push(format!("With its neighbours {}, was {}.", two.word(), one.word()));
    }
    if !change.reasons_went.is_empty() {
        told.push(format!("No longer: {}.", words.reasons(&change.reasons_went)));
    }
    if !change.reasons_came.is_empty() {
        told.push(format!("New: {}.", words.reasons(&change.reasons_came)));
    }
    let surveyed = stated(found, change);
    let facts: Vec<String> = told_once(&change.facts).map(|fact| words.fact(fact, surveyed)).collect();
    if !facts.is_empty() {
        told.push(as_sentence(&some_of(facts, most)));
    }
    told.extend(money_sentence(words, change));
    if !change.figures.is_empty() && (!in_short || told.is_empty()) {
        told.push(as_sentence(&some_of(change.figures.iter().map(figure_words).collect(), most)));
    }
    let turned: Vec<&CheckChange> = change.checks.iter().filter(|check| check.turned()).collect();
    let checks = match (turned.is_empty(), told.is_empty()) {
        (false, empty) if empty || !in_short => turned,
        (true, true) => change.checks.iter().collect(),
        _ => Vec::new(),
    };
    if !checks.is_empty() {
        told.push(as_sentence(&some_of(checks.into_iter().map(|check| words.check(check)).collect(), most)));
    }
    if told.is_empty() && change.rose() != 0 {
        let way = if change.rose() > 0 { "rises" } else { "falls" };
        told.push(format!("It {way} {} places.", change.rose().unsigned_abs()));
    }
    told.push(format!("Cause: {}.", cause(&changed.cause)));
    told.join(" ")
}

/// Everything that is said of one site.
pub(super) fn why(words: &Words<'_>, found: &Comparison<'_>, changed: &Changed<'_>) -> String {
    sentences(words, found, changed, false)
}

/// The same in a line or two.
pub(super) fn why_in_short(words: &Words<'_>, found: &Comparison<'_>, changed: &Changed<'_>) -> String {
    sentences(words, found, changed, true)
}

/// What two sites of two results are called: "H1", or "H1, was R7".
pub(super) fn name(change: &Change<'_>) -> String {
    let (before, after) = (&change.before.site_id, &change.after.site_id);
    if before == after { after.clone() } else { format!("{after}, was {before}") }
}

/// The difference of the whole cost.
pub(super) fn whole_more(found: &Comparison<'_>) -> Pence {
    less(found.cost.1, found.cost.0)
}
