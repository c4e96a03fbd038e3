//! Sheet Assumptions: what the results rest on, one line each: the run, rules, prices, reasons, checks, assumed values.

use super::grid::{Cell, Form, Heading, Paper, Row, Rows, Sheet, heading, names};
use super::{PriceNote, Run, sentence, sharing};
use crate::finding::{Reason, checks, reasons};
use crate::rules::{Rules, default_rules};
use serde_json::Value;
use std::borrow::Cow;
use std::collections::BTreeMap;

/// Above this many assumed values the sheet lists them by field, with the number of sites.
const ASSUMED_LISTED_BY_SITE: usize = 30_000;

/// The default rules with a remark on each line, from which the meaning of a rule is taken.
const RULES_WITH_REMARKS: &str = include_str!("../../sample-portfolio/rules.toml");

/// What a line is about; the first column, to filter by.
mod part {
    pub(super) const RUN: &str = "run";
    pub(super) const SHEET: &str = "your sheet";
    pub(super) const LEFT_OUT: &str = "left out for sharing";
    pub(super) const CAUTION: &str = "caution";
    pub(super) const LOOSENED: &str = "loosened preference";
    pub(super) const EDITION: &str = "edition";
    pub(super) const RULE: &str = "rule";
    pub(super) const PRICE: &str = "price";
    pub(super) const REASON: &str = "reason";
    pub(super) const CHECK: &str = "check";
    pub(super) const COLUMN: &str = "column";
    pub(super) const ASSUMED: &str = "assumed value";
}

/// Cautions that stand on every result.
pub(super) const CAUTIONS: [&str; 4] = [
    "A desk-top screen: the work is notifiable and dangerous, and a qualified designer and installer verify each site \
     before and after it.",
    "The network operator decides what its network will carry; an answer here is no permission.",
    "Live parts, buried services and asbestos hurt: nothing is opened, dug or drilled on the strength of this file.",
    "Costs are desk estimates before tax, with their band; no price is an offer.",
];

/// The sheet.
pub(super) fn sheet<'a>(run: &'a Run<'a>) -> Sheet<'a> {
    let rows = about(run)
        .into_iter()
        .chain(columns(run))
        .chain(rules(run.rules))
        .chain(run.prices.iter().map(price))
        .chain(reasons().into_iter().map(move |reason| reason_line(reason, run.rules)))
        .chain(checks().into_iter().map(|check| {
            line(
                part::CHECK,
                check.name.into(),
                [check.clause.into(), check.unit.into()],
                [
                    join(&[check.title, check.formula]).into(),
                    join(&[check.source, check.edition]).into(),
                    check.status.into(),
                ],
            )
        }))
        .chain(assumed_by_field(run));
    let by_site = (assumed_count(run) <= ASSUMED_LISTED_BY_SITE).then(|| assumed_by_site(run)).into_iter().flatten();
    Sheet {
        name: names::ASSUMPTIONS,
        subject: "Assumptions: what these results rest on",
        headings: headings(),
        frozen: 2,
        printed: None,
        paper: Paper::A4,
        rows: Rows::few(rows.chain(by_site)),
    }
}

fn headings() -> Vec<Heading<'static>> {
    use Form::{Free, Text, Wrapped};
    vec![
        heading("Part", 16.0, Wrapped),
        heading("Item", 28.0, Wrapped),
        heading("Site", 11.0, Text),
        heading("Value", 27.0, Wrapped),
        heading("Low", 9.0, Free),
        heading("Likely", 9.0, Free),
        heading("High", 9.0, Free),
        heading("Unit", 10.0, Wrapped),
        heading("Meaning", 52.0, Wrapped),
        heading("Source", 34.0, Wrapped),
        heading("Status", 14.0, Wrapped),
    ]
}

/// A line without a site and without figures.
fn line<'a>(part: &'static str, item: Cell<'a>, value_unit: [Cell<'a>; 2], words: [Cell<'a>; 3]) -> Row<'a> {
    let [value, unit] = value_unit;
    let [meaning, source, status] = words;
    let blank = || Cell::Blank;
    vec![part.into(), item, blank(), value, blank(), blank(), blank(), unit, meaning, source, status]
}

fn join(words: &[&str]) -> String {
    words.iter().filter(|word| !word.is_empty()).copied().collect::<Vec<_>>().join("; ")
}

fn about<'a>(run: &'a Run<'a>) -> Vec<Row<'a>> {
    let fact = |item: &'static str, value: Cell<'a>, meaning: String| {
        line(part::RUN, item.into(), [value, Cell::Blank], [meaning.into(), Cell::Blank, Cell::Blank])
    };
    let inputs = run.inputs;
    let mut rows = vec![
        fact("as-of date", Cell::Date(run.as_of), "The date of the run; there is no other clock.".into()),
        fact("stance", run.stance.into(), stance_words(run.stance).into()),
        fact("version", run.version.into(), String::new()),
        fact("spreadsheet", inputs.portfolio.name.as_str().into(), digest(&inputs.portfolio.sha256)),
        fact("rules", inputs.rules.name.as_str().into(), digest(&inputs.rules.sha256)),
        fact("price book", inputs.price_book.name.as_str().into(), digest(&inputs.price_book.sha256)),
    ];
    let sheets = run
        .intake
        .sheets
        .iter()
        .map(|sheet| fact("sheet", sheet.name.as_str().into(), format!("Headings in row {}.", sheet.heading_row)));
    rows.splice(4..4, sheets);
    rows.extend(
        inputs.mapping.iter().map(|file| fact("mapping of headings", file.name.as_str().into(), digest(&file.sha256))),
    );
    rows.extend(inputs.with.iter().map(|file| fact("laid over it", file.name.as_str().into(), digest(&file.sha256))));
    rows.extend(
        inputs.scenarios.iter().map(|file| fact("scenario beside it", file.name.as_str().into(), digest(&file.sha256))),
    );
    let told =
        |part, words: Cell<'a>| line(part, Cell::Blank, [Cell::Blank, Cell::Blank], [words, Cell::Blank, Cell::Blank]);
    rows.extend(run.intake.warnings.iter().map(|words| told(part::SHEET, words.as_str().into())));
    rows.extend(sharing::lines(run.intake).map(|(column, of, much)| {
        line(part::LEFT_OUT, column.into(), [of.into(), Cell::Blank], [much.into(), Cell::Blank, Cell::Blank])
    }));
    rows.extend(run.rules.loosened.iter().map(|words| told(part::LOOSENED, words.as_str().into())));
    rows.extend(CAUTIONS.iter().map(|words| told(part::CAUTION, (*words).into())));
    rows.extend(editions(run.rules).into_iter().map(|edition| told(part::EDITION, edition.into())));
    rows
}

fn digest(sha256: &str) -> String {
    if sha256.is_empty() { String::new() } else { format!("SHA-256 {sha256}") }
}

/// What a stance means.
pub(super) fn stance_words(stance: &str) -> &'static str {
    if stance == "commit" {
        "Every fact that nobody asked and that could hold a site holds it."
    } else {
        "A fact that nobody asked takes its most likely value; the odds carry the doubt, and what must be confirmed \
         before booking is listed."
    }
}

/// The edition designs are stamped with, then the numbered or dated texts that the checks were taken from, each once.
pub(super) fn editions(rules: &Rules) -> Vec<String> {
    let mut editions = vec![rules.edition.clone()];
    for check in checks() {
        // "common practice" and the like are sources, not editions.
        let is_edition = check.edition.contains(|character: char| character.is_ascii_digit());
        if is_edition && !editions.iter().any(|edition| edition == check.edition) {
            editions.push(check.edition.to_owned());
        }
    }
    editions
}

/// How each column of the sheet was read.
fn columns<'a>(run: &'a Run<'a>) -> impl Iterator<Item = Row<'a>> {
    run.intake.columns.iter().map(|column| {
        let (value, unit, meaning) = match column.field {
            Some(field) => (field.name, field.unit, field.meaning),
            None => ("not used", "", "Your own column: it comes out again on As read."),
        };
        line(
            part::COLUMN,
            match run.intake.sheet_name(column.sheet) {
                Some(sheet) => format!("{sheet}: {}", column.heading).into(),
                None => column.heading.as_str().into(),
            },
            [value.into(), unit.into()],
            [meaning.into(), column.how.as_str().into(), Cell::Blank],
        )
    })
}

/// Every rule with its value, what it means and who set it.
fn rules(rules: &Rules) -> Vec<Row<'static>> {
    let defaults: BTreeMap<String, String> = flat(default_rules()).into_iter().collect();
    let remarks = remarks();
    flat(rules)
        .into_iter()
        .map(|(key, value)| {
            let is_default = defaults.get(&key) == Some(&value);
            let set_by = if is_default { "default".to_owned() } else { format!("set by {}", rules.source.name) };
            let meaning = remarks.get(plain_key(&key).as_str()).copied().unwrap_or_default();
            line(part::RULE, key.into(), [value.into(), Cell::Blank], [meaning.into(), set_by.into(), Cell::Blank])
        })
        .collect()
}

/// Rules as dotted keys and values, in the order of the file.
fn flat(rules: &Rules) -> Vec<(String, String)> {
    let mut lines = Vec::new();
    // Rules are plain tables of numbers and words: they always become a value.
    if let Ok(value) = serde_json::to_value(rules) {
        flatten(String::new(), &value, &mut lines);
    }
    lines
}

fn flatten(path: String, value: &Value, lines: &mut Vec<(String, String)>) {
    let below = |key: &str| if path.is_empty() { key.to_owned() } else { format!("{path}.{key}") };
    match value {
        Value::Object(table) => table.iter().for_each(|(key, value)| flatten(below(key), value, lines)),
        Value::Array(list) if list.iter().any(Value::is_object) => {
            for (index, value) in list.iter().enumerate() {
                flatten(format!("{path} {}", index + 1), value, lines);
            }
        }
        Value::Null => {}
        Value::String(text) => lines.push((path, text.clone())),
        Value::Number(number) => lines.push((path, bare(number))),
        Value::Array(list) => {
            let words: Vec<_> = list.iter().map(words_of).collect();
            lines.push((path, words.join(", ")));
        }
        Value::Bool(yes) => lines.push((path, if *yes { "yes" } else { "no" }.into())),
    }
}

fn words_of(value: &Value) -> String {
    match value {
        Value::Number(number) => bare(number),
        Value::Array(list) => list.iter().map(words_of).collect::<Vec<_>>().join(" for "),
        other => other.to_string(),
    }
}

fn bare(number: &serde_json::Number) -> String {
    let text = number.to_string();
    text.strip_suffix(".0").map_or(text.clone(), str::to_owned)
}

/// The key of a line without the number of its table ("charge_point 2.lead_m" is "charge_point.lead_m").
fn plain_key(key: &str) -> String {
    match key.split_once(' ') {
        Some((table, rest)) => format!("{table}.{}", rest.split_once('.').map_or(rest, |(_, name)| name)),
        None => key.to_owned(),
    }
}

/// The remark behind each key of the default rules.
fn remarks() -> BTreeMap<String, &'static str> {
    let mut remarks = BTreeMap::new();
    let mut table = String::new();
    for line in RULES_WITH_REMARKS.lines().map(str::trim) {
        if let Some(name) = line.strip_prefix('[') {
            table = name.trim_start_matches('[').split(']').next().unwrap_or_default().to_owned();
        } else if let Some((key, rest)) = line.split_once('=').filter(|_| !line.starts_with('#')) {
            let path = if table.is_empty() { key.trim().to_owned() } else { format!("{table}.{}", key.trim()) };
            let remark = rest.split_once('#').map_or("", |(_, remark)| remark.trim());
            remarks.entry(path).or_insert(remark);
        }
    }
    remarks
}

fn price(note: &PriceNote) -> Row<'_> {
    vec![
        part::PRICE.into(),
        note.item.as_str().into(),
        Cell::Blank,
        Cell::Blank,
        note.low.into(),
        note.likely.into(),
        note.high.into(),
        note.unit.as_str().into(),
        note.description.as_str().into(),
        note.source.as_str().into(),
        note.basis.as_str().into(),
    ]
}

fn reason_line(reason: &'static Reason, rules: &Rules) -> Row<'static> {
    let effect = rules.effect_of(reason);
    let changed = if effect == reason.effect { "" } else { " (changed by the rules)" };
    let wait = reason.waits_for.map_or(String::new(), |wait| format!(", waits for {}", wait.word()));
    let safety = if reason.safety { ", guards safety" } else { "" };
    let weeks = reason.weeks;
    let mut row = line(
        part::REASON,
        reason.code.into(),
        [format!("{}{wait}{safety}{changed}", effect.word()).into(), Cell::Blank],
        [sentence::as_sentence(reason.when).into(), reason.source.into(), reason.status.into()],
    );
    if weeks.high > 0 {
        row.splice(4..8, [weeks.low.into(), weeks.likely.into(), weeks.high.into(), "weeks".into()]);
    }
    row
}

fn assumed_count(run: &Run<'_>) -> usize {
    run.portfolio.sites.iter().map(|site| site.judgement.assumed.len()).sum()
}

/// Each value that was assumed, with the number of sites that it was assumed for: commonest first.
fn assumed_by_field<'a>(run: &'a Run<'a>) -> Vec<Row<'a>> {
    let mut counts: BTreeMap<(&str, &str, &str), u32> = BTreeMap::new();
    for assumed in run.portfolio.sites.iter().flat_map(|site| &site.judgement.assumed) {
        *counts.entry((assumed.field, assumed.value.as_str(), assumed.source)).or_default() += 1;
    }
    let mut lines: Vec<_> = counts.into_iter().collect();
    lines.sort_by_key(|(_, sites)| std::cmp::Reverse(*sites));
    lines
        .into_iter()
        .map(|((field, value, source), sites)| {
            let noun = if sites == 1 { "site" } else { "sites" };
            line(
                part::ASSUMED,
                field.into(),
                [format!("~ {value}").into(), Cell::Blank],
                [format!("Taken for {sites} {noun}.").into(), source.into(), Cell::Blank],
            )
        })
        .collect()
}

/// Every assumed value of every site, in rank order.
fn assumed_by_site<'a>(run: &'a Run<'a>) -> impl Iterator<Item = Row<'a>> {
    run.portfolio.sites.iter().flat_map(|site| {
        site.judgement.assumed.iter().map(|assumed| {
            let value: Cow<'_, str> = Cow::Owned(format!("~ {}", assumed.value));
            let mut row = line(
                part::ASSUMED,
                assumed.field.into(),
                [Cell::Text(value), Cell::Blank],
                [Cell::Blank, assumed.source.into(), Cell::Blank],
            );
            if let Some(cell) = row.get_mut(2) {
                *cell = site.judgement.brief.site_id.as_str().into();
            }
            row
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::fixture;

    #[test]
    fn every_line_has_a_cell_for_every_heading() {
        let fixture = fixture::Fixture::new(12);
        let run = fixture.run();
        let sheet = sheet(&run);
        let columns = sheet.headings.len();
        let rows: Vec<_> = sheet.rows.collect();
        assert!(rows.iter().all(|row| row.len() == columns));
        for part in
            [part::RUN, part::RULE, part::PRICE, part::REASON, part::ASSUMED, part::CAUTION, part::COLUMN, part::SHEET]
        {
            assert!(rows.iter().any(|row| row[0].shown() == part), "no line of {part}");
        }
    }

    #[test]
    fn rules_come_with_meaning_and_with_who_set_them() {
        let mut changed = default_rules().clone();
        changed.charging.useful_current_a = 10.0;
        changed.source.name = "mine.toml".into();
        let rows = rules(&changed);
        let of = |key: &str| rows.iter().find(|row| row[1].shown() == key).expect(key).clone();
        assert_eq!(of("charging.setting_steps_a")[3].shown(), "32, 25, 20, 16");
        assert_eq!(of("charging.useful_current_a")[9].shown(), "set by mine.toml");
        assert_eq!(of("supply.limiter_share")[9].shown(), "default");
        assert!(of("supply.limiter_share")[8].shown().contains("share of the limit"));
        assert!(of("charge_point 2.answers_open_pen")[8].shown().len() > 5);
    }
}
