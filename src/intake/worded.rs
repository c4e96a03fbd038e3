//! Headings in whole sentences and long ones: the field that most of their words speak of, in whatever order, with a
//! margin over the next. It knows headings only; a match counts once the column's own values agree (`evidence`).
//!
//! A word weighs more the fewer fields use it. Words of the field beside the matched spelling count in part, words of
//! other fields and strangers count against it, and a word that turns the meaning round rules it out. All weights and
//! thresholds are design rules.

use super::figures::quantities;
use super::head_words::{asked_for, content, of_kind};
use super::raw::words_of;
use super::units::{QUANTITIES, unit_named};
use crate::site::{Field, FieldKind, fields};
use std::collections::{BTreeSet, HashMap};
use std::sync::OnceLock;

/// A heading speaks of a field from this share of its words' weight on, and with this lead over the next field.
const SPEAKS: f64 = 0.65;
const MARGIN: f64 = 0.12;
/// Of free text and keys, which values hardly bear out, from here on; and where one word alone speaks of the field.
const SPEAKS_PLAINLY: f64 = 0.8;
/// What a word of the field outside the matched spelling counts.
const BESIDE: f64 = 0.7;
/// What a word that no field uses weighs.
const STRANGER: f64 = 2.0;
/// What a word weighs that says where or whose.
const LIGHT: f64 = 0.5;
/// What is added where the kind of answer or the unit that is asked for is the field's own.
const KIND_AGREES: f64 = 0.1;
/// Questions for a person, which are no field's unless a spelling of it asks so.
const WHO: &[&str] = &["who", "whom", "why"];
/// Longer texts are notes.
const MOST_WORDS: usize = 60;

/// The field that a heading speaks of.
#[derive(Clone, Debug)]
pub(super) struct Spoken {
    pub field: &'static Field,
    /// Share of the weight of its words that speaks of the field, 0 to 1.
    pub share: f64,
    /// The words of the field's spelling that stand in it.
    pub by: String,
}

struct Spelling {
    field: usize,
    words: Vec<usize>,
}

struct Index {
    ids: HashMap<String, usize>,
    weights: Vec<f64>,
    spellings: Vec<Spelling>,
    /// Spellings by the words in them.
    by_word: Vec<Vec<usize>>,
    /// Words that each field uses.
    used: Vec<BTreeSet<usize>>,
}

fn index() -> &'static Index {
    static INDEX: OnceLock<Index> = OnceLock::new();
    INDEX.get_or_init(|| {
        let mut ids: HashMap<String, usize> = HashMap::new();
        let mut spellings: Vec<Spelling> = Vec::new();
        let mut used: Vec<BTreeSet<usize>> = vec![BTreeSet::new(); fields().len()];
        for (at, field) in fields().iter().enumerate() {
            let name = words_of(field.name);
            // Without its "no" a denial would say the opposite.
            let denies = |spelling: &&str| {
                field.kind == FieldKind::YesNo && spelling.split(' ').any(|word| matches!(word, "no" | "without"))
            };
            let own = std::iter::once(name.as_str()).chain(field.headings.iter().copied());
            let own = own.filter(|spelling| !denies(spelling));
            for spelling in own {
                let mut words: Vec<usize> = content(spelling)
                    .into_iter()
                    .map(|word| {
                        let next = ids.len();
                        *ids.entry(word).or_insert(next)
                    })
                    .collect();
                words.sort_unstable();
                words.dedup();
                if let Some(used) = used.get_mut(at) {
                    used.extend(&words);
                }
                if !words.is_empty() && !spellings.iter().any(|other| other.field == at && other.words == words) {
                    spellings.push(Spelling { field: at, words });
                }
            }
        }
        let all = fields().len() as f64;
        let weights = (0..ids.len())
            .map(|id| (1.0 + all / used.iter().filter(|used| used.contains(&id)).count().max(1) as f64).ln())
            .collect();
        let mut by_word: Vec<Vec<usize>> = vec![Vec::new(); ids.len()];
        for (at, spelling) in spellings.iter().enumerate() {
            for word in &spelling.words {
                if let Some(list) = by_word.get_mut(*word) {
                    list.push(at);
                }
            }
        }
        Index { ids, weights, spellings, by_word, used }
    })
}

/// Whether a field may be named by words at all: never an engineer's own verdict.
fn may_be_spoken_of(field: &Field) -> bool {
    !field.name.starts_with("override")
}

/// The field that a text speaks of, if it speaks of one. `text` is plain words without the number of a question, `unit`
/// what stands in brackets.
pub(super) fn spoken_of(text: &str, unit: Option<&str>) -> Option<Spoken> {
    let index = index();
    let base = words_of(text);
    let count = base.split(' ').count();
    if !(2..=MOST_WORDS).contains(&count) {
        return None;
    }
    let asked = asked_for(&base);
    let mut words = content(&base);
    words.sort_unstable();
    words.dedup();
    let (mut known, mut strangers): (Vec<usize>, Vec<&str>) = (Vec::new(), Vec::new());
    for word in &words {
        match index.ids.get(word) {
            Some(id) => known.push(*id),
            None => strangers.push(word),
        }
    }
    let is_light = |word: &str| of_kind("light").contains(word);
    let lights: Vec<usize> =
        words.iter().filter(|word| is_light(word)).filter_map(|word| index.ids.get(word).copied()).collect();
    let light = |id: &usize| lights.contains(id).then_some(LIGHT);
    let weight = |id: &usize| index.weights.get(*id).copied().unwrap_or_default();
    // The heaviest spelling of each field that stands in it whole.
    let mut hits: HashMap<usize, usize> = HashMap::new();
    for id in &known {
        for spelling in index.by_word.get(*id).into_iter().flatten() {
            *hits.entry(*spelling).or_default() += 1;
        }
    }
    let mut best: HashMap<usize, (f64, &Spelling)> = HashMap::new();
    for (at, hits) in hits {
        let Some(spelling) = index.spellings.get(at).filter(|spelling| spelling.words.len() == hits) else { continue };
        let sum: f64 = spelling.words.iter().map(weight).sum();
        let slot = best.entry(spelling.field).or_insert((sum, spelling));
        if sum > slot.0 || sum == slot.0 && spelling.words < slot.1.words {
            *slot = (sum, spelling);
        }
    }
    let in_words = units_in(&base);
    let turning = |spelling: &Spelling| {
        words.iter().any(|word| {
            let turns = of_kind("another").contains(word) || of_kind("turning").contains(word);
            turns && index.ids.get(word).is_none_or(|id| !spelling.words.contains(id))
        })
    };
    let mut scored: Vec<(f64, usize, &Spelling)> = best
        .into_iter()
        .filter_map(|(at, (sum, spelling))| {
            let field = fields().get(at).filter(|field| may_be_spoken_of(field))?;
            let used = index.used.get(at)?;
            let asks_who = || spelling.words.iter().any(|id| WHO.iter().any(|who| index.ids.get(*who) == Some(id)));
            if asked == Some("nobody") && !asks_who() {
                return None;
            }
            let agrees = agrees(field, asked, unit, &in_words)?;
            let beside: f64 =
                known.iter().filter(|id| used.contains(id) && !spelling.words.contains(id)).map(weight).sum();
            let others: f64 =
                known.iter().filter(|id| !used.contains(id)).map(|id| light(id).unwrap_or_else(|| weight(id))).sum();
            let taken = quantities(field);
            let strange = strangers.iter().filter(|word| unit_named(word, taken).is_none());
            let strange: f64 = strange.map(|word| if is_light(word) { LIGHT } else { STRANGER }).sum();
            let all = sum + beside + others + strange;
            Some(((sum + BESIDE * beside) / all + agrees, at, spelling))
        })
        .collect();
    // By score, then in the order of the fields.
    scored.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
    let (share, at, spelling) = scored.first()?;
    let field = fields().get(*at)?;
    // A field whose spelling holds all of the other's words and more is no rival's equal.
    let rival = scored.iter().skip(1).find(|(_, _, other)| {
        other.words.len() >= spelling.words.len() || !other.words.iter().all(|word| spelling.words.contains(word))
    });
    let second = rival.map_or(0.0, |(share, ..)| *share);
    let agreed = asked.is_some() || unit.is_some_and(|unit| unit_named(unit, quantities(field)).is_some());
    let wanted = match field.kind {
        FieldKind::Text | FieldKind::Identifier => SPEAKS_PLAINLY,
        _ if spelling.words.len() == 1 && !agreed => SPEAKS_PLAINLY,
        _ => SPEAKS,
    };
    if *share < wanted || share - second < MARGIN || turning(spelling) {
        return None;
    }
    let by: Vec<&str> = words
        .iter()
        .filter(|word| index.ids.get(*word).is_some_and(|id| spelling.words.contains(id)))
        .map(String::as_str)
        .collect();
    Some(Spoken { field, share: share.min(1.0), by: by.join(" ") })
}

/// Units that a heading names in words: "in metres", "in kW".
pub(super) fn units_in(base: &str) -> Vec<&str> {
    let words = || base.split(' ');
    words()
        .zip(words().skip(1))
        .filter(|(before, unit)| matches!(*before, "in" | "many") && unit_named(unit, QUANTITIES).is_some())
        .map(|(_, unit)| unit)
        .collect()
}

/// Whether a field gives the kind of answer that is asked for; what that adds. `None` where it gives another kind.
fn agrees(field: &Field, asked: Option<&str>, unit: Option<&str>, in_words: &[&str]) -> Option<f64> {
    let taken = quantities(field);
    let mut adds = 0.0;
    for unit in unit.into_iter().chain(in_words.iter().copied()) {
        if unit_named(unit, QUANTITIES).is_none() {
            continue;
        }
        unit_named(unit, taken)?;
        adds = KIND_AGREES;
    }
    let is_year = field.unit == "year";
    match asked {
        Some("count") if in_words.is_empty() => match field.kind {
            FieldKind::Count if !is_year => adds = KIND_AGREES,
            _ => return None,
        },
        Some("manner") => match field.kind {
            FieldKind::Word | FieldKind::Text => {}
            _ => return None,
        },
        Some("day") => match field.kind {
            FieldKind::Date | FieldKind::Time => adds = KIND_AGREES,
            FieldKind::Count if is_year => adds = KIND_AGREES,
            _ => return None,
        },
        _ => {}
    }
    Some(adds)
}
