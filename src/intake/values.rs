//! What one cell says in one field: the number, word, day or text, how well it is known, and a sentence where the
//! reading is not plain. Units convert here and nowhere else; nothing is assumed.

use super::figures::{Context, figured};
use super::raw::{RawCell, words_of};
use super::slots::Slot;
use super::units::Unit;
use super::words::{Lexicon, Word, says_nothing, why_unknown};
use super::{dates, identifiers, times};
use crate::site::{Answer, Field, FieldKind, Reading, Site, WhyUnknown};

/// One column that is read as a field.
pub(super) struct ColumnPlan {
    /// Position in the sheet, from 0.
    pub index: u16,
    /// The field.
    pub field: &'static Field,
    /// Where its value goes.
    pub slot: Slot,
    /// Unit that the heading gives to bare numbers.
    pub unit: Option<Unit>,
    /// Spellings of its words.
    pub lexicon: &'static Lexicon,
    /// What a yes or no says under this heading, where that gives it a sense; an empty word is none.
    pub under: Vec<(&'static str, &'static str)>,
}

/// Bytes of the longest spelling of "nothing".
const LONGEST_NOTHING: usize = 24;

/// How a cell was understood, where that needs a word.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Remark {
    /// As understood.
    pub understood: String,
    /// Why, as a sentence.
    pub message: String,
}

/// A value with the sentence that goes with it.
pub(super) struct Understood<T> {
    pub answer: Answer<T>,
    pub message: Option<String>,
}

impl<T> Understood<T> {
    pub fn plain(value: T) -> Self {
        Self { answer: Answer::Stated(value), message: None }
    }
    pub fn unknown(why: WhyUnknown, message: Option<String>) -> Self {
        Self { answer: Answer::Unknown(why), message }
    }
    pub fn not_understood(message: impl Into<String>) -> Self {
        Self::unknown(WhyUnknown::NotUnderstood, Some(message.into()))
    }
    /// The sentence beside what was understood; `show` writes the value.
    fn remark(&self, show: impl Fn(&Answer<T>) -> String) -> Option<Remark> {
        self.message.as_ref().map(|message| Remark { understood: show(&self.answer), message: message.clone() })
    }
}

/// How many answers are said to stand elsewhere and how many could not be seen: each is settled in another way than a
/// blank. `None` where there is neither.
pub(super) fn recoverable<'a>(messages: impl Iterator<Item = &'a str>) -> Option<String> {
    let (elsewhere, not_seen) = (sentence_for(WhyUnknown::Elsewhere)?, sentence_for(WhyUnknown::NotSeen)?);
    let (mut found_elsewhere, mut unseen) = (0_usize, 0_usize);
    for message in messages {
        found_elsewhere += usize::from(message == elsewhere);
        unseen += usize::from(message == not_seen);
    }
    (found_elsewhere + unseen > 0).then(|| {
        format!(
            "Answers said to stand elsewhere (a photograph, a file): {found_elsewhere}; answers that could not be seen: {unseen}."
        )
    })
}

/// The sentence for a value that is not there; blanks need none.
pub(super) fn sentence_for(why: WhyUnknown) -> Option<String> {
    match why {
        WhyUnknown::Missing => None,
        WhyUnknown::Elsewhere => Some("The answer is said to stand elsewhere; a look there finds it.".to_owned()),
        WhyUnknown::NotSeen => Some("It could not be seen; somebody has to go again.".to_owned()),
        WhyUnknown::NotUnderstood => {
            Some("It repeats another cell in words; the value itself is wanted, since sorting moves rows.".to_owned())
        }
    }
}

/// The sentence for a text that says that a value is not there: "N/A" is noted, since it may be an answer.
pub(super) fn sentence_for_text(why: WhyUnknown, plain: &str) -> Option<String> {
    if why == WhyUnknown::Missing && matches!(plain, "n a" | "na" | "not applicable") {
        return Some("It may mean that this does not apply or that there is none; read as a blank.".to_owned());
    }
    sentence_for(why)
}

/// A cell that holds no value of any kind: an error, or a text that says so.
fn fault<T>(cell: &RawCell) -> Option<Understood<T>> {
    match cell {
        RawCell::Fault("#N/A") => Some(Understood::unknown(WhyUnknown::Missing, None)),
        RawCell::Fault(code) => Some(Understood::not_understood(format!(
            "The cell holds an error ({code}); mend the formula, or open the file, let it calculate and save it."
        ))),
        _ => None,
    }
}

/// Reads a cell into its place in the site. `None` stands for an empty cell under a heading: asked, not answered.
pub(super) fn put(plan: &ColumnPlan, cell: Option<&RawCell>, site: &mut Site) -> Option<Remark> {
    let column = Some(plan.index);
    match plan.slot {
        Slot::SiteId => {
            if let Some(cell) = cell {
                let key = identifiers::key(cell);
                if why_unknown(&words_of(&key)).is_none() && !matches!(cell, RawCell::Fault(_)) {
                    site.site_id = key;
                }
            }
            None
        }
        Slot::Text(place) => {
            let read = cell.map_or_else(blank, |cell| text(plan.field, cell));
            let remark = read.remark(shown_text);
            *place(site) = Reading { answer: read.answer, column };
            remark
        }
        Slot::Number(place) => {
            let read = match cell {
                None => blank(),
                Some(cell) if plan.field.kind == FieldKind::Time => time(cell),
                Some(cell) => {
                    let context = Context::of(site);
                    fault(cell).unwrap_or_else(|| figured(plan, cell, context))
                }
            };
            let remark = read.remark(|answer| shown_number(answer, plan.field));
            *place(site) = Reading { answer: read.answer, column };
            remark
        }
        Slot::YesNo(place) => {
            let read = cell.map_or_else(blank, |cell| word(plan, cell));
            let remark = read.remark(shown_word);
            let doubtful = |word: &str| Answer::Doubtful { low: false, likely: word == "yes", high: true };
            let answer = match read.answer {
                Answer::NotAsked => Answer::NotAsked,
                Answer::Unknown(why) => Answer::Unknown(why),
                Answer::Stated(word) => Answer::Stated(word == "yes"),
                Answer::Doubtful { likely, .. } => doubtful(likely),
            };
            *place(site) = Reading { answer, column };
            remark
        }
        Slot::Day(place) => {
            let read = cell.map_or_else(blank, day);
            let remark = read.remark(|answer| match answer {
                Answer::Stated(date) => date.to_string(),
                Answer::Doubtful { low, high, .. } => format!("{low} to {high}"),
                _ => "not known".to_owned(),
            });
            *place(site) = Reading { answer: read.answer, column };
            remark
        }
        Slot::Word(put) => {
            let read = cell.map_or_else(blank, |cell| word(plan, cell));
            let remark = read.remark(shown_word);
            put(site, read.answer, plan.index);
            remark
        }
    }
}

fn blank<T>() -> Understood<T> {
    Understood::unknown(WhyUnknown::Missing, None)
}

fn word(plan: &ColumnPlan, cell: &RawCell) -> Understood<&'static str> {
    if let Some(fault) = fault(cell) {
        return fault;
    }
    let text = match cell {
        RawCell::Text(text) => text.as_str(),
        other => &other.shown(),
    };
    let plain = || words_of(text);
    if !plan.under.is_empty()
        && let Some((written, word)) = plan.under.iter().find(|(written, _)| *written == plain())
    {
        return match *word {
            "" => Understood::not_understood(format!("\"{written}\" may mean more than one thing under this heading.")),
            word => Understood::plain(word),
        };
    }
    match plan.lexicon.read(text) {
        Word::Mended(word) => Understood {
            answer: Answer::Doubtful { low: word, likely: word, high: word },
            message: Some("A slip of the pen is taken for that word.".to_owned()),
        },
        Word::Plain { word, partly } => Understood {
            answer: Answer::Stated(word),
            message: partly.then(|| "The rest of the text is not used.".to_owned()),
        },
        Word::Doubtful { word, other } if word == other => Understood {
            answer: Answer::Doubtful { low: word, likely: word, high: word },
            message: Some("It is queried or said to be likely, not seen.".to_owned()),
        },
        Word::Doubtful { word, other } => Understood {
            answer: Answer::Doubtful { low: word, likely: word, high: other },
            message: Some(format!("It may be \"{word}\" or \"{other}\".")),
        },
        Word::Unknown(WhyUnknown::NotUnderstood) => {
            if plan.field.kind == FieldKind::YesNo && matches!(words_of(text).as_str(), "x" | "") {
                return Understood::not_understood("An x may be a tick or a cross; write yes or no.");
            }
            if let Some(why) = plan.lexicon.why_not(text) {
                return Understood::not_understood(format!("It may mean more than one thing ({why})."));
            }
            let wanted = if plan.field.kind == FieldKind::YesNo {
                "yes, no or unknown".to_owned()
            } else {
                plan.field.words.join(", ")
            };
            Understood::not_understood(format!("Not one of: {wanted}."))
        }
        Word::Unknown(why) => Understood::unknown(why, sentence_for_text(why, &plain())),
    }
}

fn text(field: &Field, cell: &RawCell) -> Understood<String> {
    if let Some(fault) = fault(cell) {
        return fault;
    }
    let written = identifiers::key(cell);
    // The longest word for "nothing" is shorter than most addresses.
    if written.len() <= LONGEST_NOTHING && says_nothing(&words_of(&written)) {
        return Understood::unknown(WhyUnknown::Missing, None);
    }
    if field.kind == FieldKind::Identifier {
        let identified = match field.name {
            "mpan" => identifiers::mpan(cell),
            "uprn" => identifiers::uprn(cell),
            "postcode" => identifiers::postcode(&written),
            // A reference is whatever it is, but "ask the warden" is none.
            _ if why_unknown(&words_of(&written)).is_some() => Err("it is not given".to_owned()),
            _ => Ok((written, None)),
        };
        return match identified {
            Ok((value, note)) => Understood { answer: Answer::Stated(value), message: note.map(sentence) },
            Err(problem) => match why_unknown(&words_of(&cell.shown())) {
                Some(why) => Understood::unknown(why, sentence_for(why)),
                None => Understood::not_understood(sentence(problem)),
            },
        };
    }
    // In free text only a mark or word for "nothing" means nothing; "no access" is a remark like any other.
    Understood::plain(written)
}

fn day(cell: &RawCell) -> Understood<jiff::civil::Date> {
    if let Some(fault) = fault(cell) {
        return fault;
    }
    match dates::dated(cell) {
        Some(dates::Dated::Day(date)) => Understood::plain(date),
        Some(dates::Dated::OtherOrder(date)) => Understood {
            answer: Answer::Stated(date),
            message: Some("The month stands first, since it gives no date day first.".to_owned()),
        },
        Some(dates::Dated::Month(first, last)) => Understood {
            answer: Answer::Doubtful { low: first, likely: first, high: last },
            message: Some("A month without a day; its first day is used.".to_owned()),
        },
        None => match why_unknown(&words_of(&cell.shown())) {
            Some(why) => Understood::unknown(why, sentence_for(why)),
            None => Understood::not_understood("It is not a date; day, month and year are wanted, as 25/11/2026."),
        },
    }
}

fn time(cell: &RawCell) -> Understood<f64> {
    if let Some(fault) = fault(cell) {
        return fault;
    }
    match times::clock(cell) {
        Some(clock) if clock.about => Understood {
            answer: Answer::Doubtful { low: clock.hours, likely: clock.hours, high: clock.hours },
            message: Some("It is said to be about that or by then; judged at that hour.".to_owned()),
        },
        Some(clock) => Understood::plain(clock.hours),
        None => match why_unknown(&words_of(&cell.shown())) {
            Some(why) => Understood::unknown(why, sentence_for(why)),
            None => Understood::not_understood("It is not a time of day; hours and minutes are wanted, as 18:30."),
        },
    }
}

/// A clause made a sentence: a capital first, a full stop last.
pub(super) fn sentence(clause: String) -> String {
    let mut letters = clause.chars();
    let mut out: String = letters.next().map(|first| first.to_uppercase().collect()).unwrap_or_default();
    out.push_str(letters.as_str());
    if !out.ends_with('.') {
        out.push('.');
    }
    out
}

fn shown_text(answer: &Answer<String>) -> String {
    match answer {
        Answer::Stated(text) => text.clone(),
        _ => "not known".to_owned(),
    }
}

fn shown_word(answer: &Answer<&'static str>) -> String {
    match answer {
        Answer::Stated(word) => (*word).to_owned(),
        Answer::Doubtful { low, high, .. } if low == high => format!("{low}, with a doubt"),
        Answer::Doubtful { low, high, .. } => format!("{low} or {high}"),
        _ => "not known".to_owned(),
    }
}

fn shown_number(answer: &Answer<f64>, field: &Field) -> String {
    let number = |value: f64| super::raw::number_shown(crate::quantity::round_to(value, 3));
    let unit = if field.unit.is_empty() || field.unit == "year" { String::new() } else { format!(" {}", field.unit) };
    match answer {
        Answer::Stated(value) => format!("{}{unit}", number(*value)),
        Answer::Doubtful { low, likely, high } => {
            format!("{}{unit}, {} to {}", number(*likely), number(*low), number(*high))
        }
        _ => "not known".to_owned(),
    }
}
