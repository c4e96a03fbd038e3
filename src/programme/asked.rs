//! What a programme file asks: periods with their budgets, crews, days that are not worked, what must and must not be
//! done, least shares and last days. It reads text; which sites it speaks of it does not know.

use super::among::Among;
use super::holidays::BankNation;
use super::types::Unspent;
use jiff::ToSpan;
use jiff::civil::Date;
use serde::Deserialize;
use std::collections::BTreeSet;

/// Periods that a programme may have.
const MOST_PERIODS: usize = 60;
/// Days that one entry of `closed` may span.
const LONGEST_CLOSURE_DAYS: usize = 366;
/// Most that a period may spend, pounds: a figure above it is a slip.
const GREATEST_BUDGET_GBP: f64 = 1e9;
/// Crews that a programme may have.
const MOST_CREWS: usize = 200;

/// Why a programme file cannot be obeyed, with the file and what to do.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{file}: {why}")]
pub struct ProgrammeError {
    /// File as the user knows it.
    pub file: String,
    /// What is wrong, what was expected, what to do.
    pub why: String,
}

/// A programme file, read and checked by itself.
#[derive(Clone, Debug, PartialEq)]
pub struct Asked {
    /// Name of the file.
    pub file: String,
    /// First day of the first period; `None` for the date of the run.
    pub begins: Option<Date>,
    /// Months of each period.
    pub period_months: u8,
    /// What each period may spend, pounds before tax; as many periods as figures.
    pub budgets_gbp: Vec<f64>,
    /// What becomes of money that a period leaves.
    pub unspent: Unspent,
    /// Whose bank holidays are not worked; `None` where they are.
    pub bank_holidays: Option<BankNation>,
    /// Further days that are not worked, ascending.
    pub closed: Vec<Date>,
    /// Sites that must be done, by site_id.
    pub must: Vec<String>,
    /// Sites that must not be done, by site_id.
    pub must_not: Vec<String>,
    /// Who works.
    pub crews: Vec<AskedCrew>,
    /// Least shares of the points.
    pub least: Vec<AskedShare>,
    /// Days by which sites must be finished.
    pub finish_by: Vec<AskedDeadline>,
}

/// One crew.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct AskedCrew {
    /// What it is called.
    pub name: String,
    /// Labour rates of the price book whose work it does.
    pub does: Vec<String>,
    /// First day that it works; `None` for the first of the programme.
    pub from: Option<Date>,
    /// Last day that it works; `None` for the last of the programme.
    pub to: Option<Date>,
}

/// A least share of the points for some sites.
#[derive(Clone, Debug, PartialEq)]
pub struct AskedShare {
    /// Which sites.
    pub among: Among,
    /// Per cent of all points that they are to give.
    pub percent: f64,
}

/// A day by which some sites must be finished.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct AskedDeadline {
    /// Which sites.
    pub among: Among,
    /// The day.
    pub date: Date,
    /// Why, as results name it.
    pub why: String,
}

/// The file as it is written.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Written {
    begins: Option<Day>,
    period_months: u8,
    budgets_gbp: Vec<f64>,
    #[serde(default)]
    unspent: Option<String>,
    #[serde(default)]
    bank_holidays: Option<String>,
    #[serde(default)]
    closed: Vec<Day>,
    #[serde(default)]
    must: Vec<String>,
    #[serde(default)]
    must_not: Vec<String>,
    crew: Vec<WrittenCrew>,
    #[serde(default)]
    least: Vec<WrittenShare>,
    #[serde(default)]
    finish_by: Vec<WrittenDeadline>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenCrew {
    name: String,
    does: Vec<String>,
    from: Option<Day>,
    to: Option<Day>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenShare {
    #[serde(default)]
    lot: String,
    #[serde(default)]
    postcode: String,
    percent: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenDeadline {
    #[serde(default)]
    lot: String,
    #[serde(default)]
    postcode: String,
    date: Day,
    #[serde(default)]
    why: String,
}

/// A day, in quotation marks or bare.
#[derive(Deserialize)]
#[serde(untagged)]
enum Day {
    Text(String),
    Bare(toml::value::Datetime),
}

impl Day {
    fn text(&self) -> String {
        match self {
            Day::Text(text) => text.trim().to_owned(),
            Day::Bare(day) => day.to_string(),
        }
    }

    fn date(&self, key: &str) -> Result<Date, String> {
        date(&self.text(), key)
    }
}

fn date(text: &str, key: &str) -> Result<Date, String> {
    let found = text.parse::<Date>().ok().filter(|day| (2000..=2200).contains(&day.year()));
    found.ok_or_else(|| format!("{key} = {text:?} is not a date. Write it as \"2027-01-04\"."))
}

fn dated(day: Option<&Day>, key: &str) -> Result<Option<Date>, String> {
    day.map(|day| day.date(key)).transpose()
}

/// Reads a programme file; `file` is the name used in sentences.
///
/// # Errors
/// When it is not TOML, lacks or does not know a key, or a figure makes no sense.
pub fn read(text: &str, file: &str) -> Result<Asked, ProgrammeError> {
    let refused = |why: String| ProgrammeError { file: file.to_owned(), why };
    let text = text.trim_start_matches('\u{FEFF}');
    let written: Written = toml::from_str(text).map_err(|fault| {
        let line = fault.span().map(|span| text.get(..span.start).map_or(1, |before| before.matches('\n').count() + 1));
        let place = line.map(|line| format!("line {line}: ")).unwrap_or_default();
        refused(format!(
            "{place}{}. sample-portfolio/programme.toml holds every key: take the name from there.",
            fault.message().trim_end_matches('.')
        ))
    })?;
    checked(written, file).map_err(refused)
}

fn checked(written: Written, file: &str) -> Result<Asked, String> {
    let Written { period_months, budgets_gbp, .. } = &written;
    if !(1..=60).contains(period_months) {
        return Err(format!("period_months = {period_months}, expected 1 to 60."));
    }
    if budgets_gbp.is_empty() || budgets_gbp.len() > MOST_PERIODS {
        return Err(format!(
            "budgets_gbp holds {} figures, expected one for each period, 1 to {MOST_PERIODS}.",
            budgets_gbp.len()
        ));
    }
    if let Some(slip) = budgets_gbp.iter().find(|gbp| !(0.0..=GREATEST_BUDGET_GBP).contains(*gbp)) {
        return Err(format!("budgets_gbp holds {slip}, expected pounds from 0 to {GREATEST_BUDGET_GBP}."));
    }
    let unspent = match written.unspent.as_deref() {
        None | Some("lost") => Unspent::Lost,
        Some("carried") => Unspent::Carried,
        Some(other) => return Err(format!("unspent = {other:?}, expected \"lost\" or \"carried\".")),
    };
    let bank_holidays = match written.bank_holidays.as_deref() {
        Some("worked") => None,
        None => Some(BankNation::default()),
        Some(word) => Some(BankNation::of_word(word).ok_or_else(|| {
            format!(
                "bank_holidays = {word:?}, expected \"england-and-wales\", \"scotland\", \"northern-ireland\" or \"worked\"."
            )
        })?),
    };
    let among = |lot: &str, postcode: &str| Among { lot: lot.trim().to_owned(), postcode: postcode.trim().to_owned() };
    let least = written.least.iter().map(|share| {
        let among = among(&share.lot, &share.postcode);
        if among == Among::default() {
            return Err("a least share names neither lot nor postcode: say of which sites it is.".to_owned());
        }
        if !(0.0..=100.0).contains(&share.percent) {
            return Err(format!("percent = {} of {}, expected 0 to 100.", share.percent, among.words()));
        }
        Ok(AskedShare { among, percent: share.percent })
    });
    let finish_by = written.finish_by.iter().map(|deadline| {
        let why = deadline.why.trim().to_owned();
        Ok(AskedDeadline {
            among: among(&deadline.lot, &deadline.postcode),
            date: deadline.date.date("finish_by date")?,
            why,
        })
    });
    if let Some(both) = written.must.iter().find(|site| written.must_not.contains(site)) {
        return Err(format!("site {both:?} stands under must and under must_not: take it from one of them."));
    }
    Ok(Asked {
        file: file.to_owned(),
        begins: dated(written.begins.as_ref(), "begins")?,
        period_months: *period_months,
        unspent,
        bank_holidays,
        closed: closed(&written.closed)?,
        crews: crews(&written.crew)?,
        least: least.collect::<Result<_, String>>()?,
        finish_by: finish_by.collect::<Result<_, String>>()?,
        budgets_gbp: written.budgets_gbp,
        must: written.must,
        must_not: written.must_not,
    })
}

/// The days of `closed`: each a day, or "first to last".
fn closed(written: &[Day]) -> Result<Vec<Date>, String> {
    let mut days = BTreeSet::new();
    for entry in written {
        let text = entry.text();
        let (first, last) = text.split_once(" to ").unwrap_or((&text, &text));
        let (first, last) = (date(first.trim(), "closed")?, date(last.trim(), "closed")?);
        if last < first {
            return Err(format!("closed = {text:?} ends before it begins."));
        }
        let span = first.series(1.day()).take(LONGEST_CLOSURE_DAYS + 1).take_while(|day| *day <= last);
        let before = days.len();
        days.extend(span);
        if days.len() - before > LONGEST_CLOSURE_DAYS {
            return Err(format!("closed = {text:?} is longer than a year: is a year mistyped?"));
        }
    }
    Ok(days.into_iter().collect())
}

fn crews(written: &[WrittenCrew]) -> Result<Vec<AskedCrew>, String> {
    if written.is_empty() || written.len() > MOST_CREWS {
        return Err(format!("{} crews, expected 1 to {MOST_CREWS}: each as [[crew]].", written.len()));
    }
    let mut crews: Vec<AskedCrew> = Vec::new();
    for crew in written {
        let name = crew.name.trim().to_owned();
        let mut does: Vec<String> = crew.does.iter().map(|rate| rate.trim().to_owned()).collect();
        does.sort();
        does.dedup();
        let (from, to) = (dated(crew.from.as_ref(), "from")?, dated(crew.to.as_ref(), "to")?);
        if name.is_empty() || crews.iter().any(|other| other.name == name) {
            return Err(format!("crew {name:?}: each crew needs a name of its own."));
        }
        if does.is_empty() {
            return Err(format!(
                "crew {name:?} does nothing: name the labour rates whose work it does, such as \"rate-groundworks\"."
            ));
        }
        if from.zip(to).is_some_and(|(from, to)| to < from) {
            return Err(format!("crew {name:?} ends before it begins."));
        }
        for other in &crews {
            let shares = does.iter().any(|rate| other.does.contains(rate));
            if shares && other.does != does {
                return Err(format!(
                    "crews {:?} and {name:?} share some labour rates and not all: crews of one trade do the same ones.",
                    other.name
                ));
            }
        }
        crews.push(AskedCrew { name, does, from, to });
    }
    Ok(crews)
}

#[cfg(test)]
mod tests {
    use super::*;

    const LEAST: &str =
        "period_months = 3\nbudgets_gbp = [60000]\n[[crew]]\nname = \"A\"\ndoes = [\"rate-groundworks\"]\n";

    #[test]
    fn the_least_that_a_programme_says() {
        let asked = read(LEAST, "p.toml").expect("a programme");
        assert_eq!((asked.begins, asked.unspent, asked.crews.len()), (None, Unspent::Lost, 1));
        assert_eq!(asked.bank_holidays, Some(BankNation::default()));
    }

    #[test]
    fn days_may_be_bare_quoted_or_a_span() {
        let text = format!("begins = 2027-01-04\nclosed = [\"2027-12-24 to 2028-01-03\", 2027-05-07]\n{LEAST}");
        let asked = read(&text, "p.toml").expect("a programme");
        assert_eq!(asked.begins, Some(jiff::civil::date(2027, 1, 4)));
        assert_eq!(asked.closed.len(), 12);
        assert_eq!(asked.closed.first(), Some(&jiff::civil::date(2027, 5, 7)));
    }

    #[test]
    fn what_makes_no_sense_is_told_with_what_to_do() {
        let with = |line: &str| format!("{line}\n{LEAST}");
        let second = |crew: &str| format!("{LEAST}[[crew]]\n{crew}\n");
        for (text, told) in [
            (with("begins = \"4 January\""), "Write it as \"2027-01-04\""),
            (with("unspent = \"kept\""), "expected \"lost\" or \"carried\""),
            (with("bank_holidays = \"france\""), "expected \"england-and-wales\""),
            (with("closed = [\"2027-02-01 to 2027-01-01\"]"), "ends before it begins"),
            (with("closed = [\"2027-02-01 to 2037-01-01\"]"), "longer than a year"),
            (with("budget = 3"), "line 1: unknown field `budget`"),
            (with("must = [\"H1\"]\nmust_not = [\"H1\"]"), "take it from one of them"),
            (LEAST.replace("60000", ""), "holds 0 figures"),
            (LEAST.replace("60000", "-1"), "expected pounds"),
            (LEAST.replace("months = 3", "months = 0"), "expected 1 to 60"),
            (second("name = \"A\"\ndoes = [\"x\"]"), "a name of its own"),
            (second("name = \"B\"\ndoes = []"), "does nothing"),
            (second("name = \"B\"\ndoes = [\"rate-groundworks\", \"x\"]"), "share some labour rates and not all"),
            (format!("{LEAST}[[least]]\npercent = 20\n"), "neither lot nor postcode"),
            (format!("{LEAST}[[least]]\nlot = \"1\"\npercent = 120\n"), "expected 0 to 100"),
            ("crew = 1".to_owned(), "p.toml: line"),
        ] {
            let fault = read(&text, "p.toml").expect_err(&text).to_string();
            assert!(fault.starts_with("p.toml: ") && fault.contains(told), "{text}\n{fault}");
        }
    }
}
