//! The spellings of every field's words, read once from their tables: `meanings.csv` (whole or within a longer text),
//! `codes.csv` (a whole cell only), `careful_words.csv` (weak, ambiguous or foreign) and `heading_words.csv` (a yes or no
//! whose sense hangs on the heading). It knows tables and fields; how a text is held against them is for `words`.

use super::raw::words_of;
use super::words::Lexicon;
use crate::site::{Field, FieldKind, fields};
use crate::table::Table;
use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::sync::OnceLock;

pub(super) const MEANINGS_CSV: &str = include_str!("meanings.csv");
pub(super) const CODES_CSV: &str = include_str!("codes.csv");
pub(super) const CAREFUL_CSV: &str = include_str!("careful_words.csv");
pub(super) const HEADINGS_CSV: &str = include_str!("heading_words.csv");

/// Letters from which on a word is long enough to be known in spite of a slip of the pen.
pub(super) const MENDED_FROM: usize = 6;
/// The fields of a table's rows that hold for every yes/no field.
const EVERY_YES_NO: &str = "*";

/// A spelling that is sought within a longer text.
#[derive(Clone, Debug)]
pub(super) struct Within {
    /// The spelling between blanks.
    pub padded: String,
    /// The word; empty when the spelling may mean more than one.
    pub word: &'static str,
    /// Whether it yields to other words of the text.
    pub weak: bool,
    /// The words it yields to, parted by bars; empty for all.
    pub to: &'static str,
}

impl Within {
    /// Whether it says nothing beside that word.
    pub fn yields_to(&self, word: &str) -> bool {
        self.weak && (self.to.is_empty() || self.to.split('|').any(|known| known == word))
    }
}

/// The lexicon of a field; empty when it takes no words.
pub(super) fn lexicon(field: &Field) -> &'static Lexicon {
    static LEXICONS: OnceLock<BTreeMap<&'static str, Lexicon>> = OnceLock::new();
    static NONE: OnceLock<Lexicon> = OnceLock::new();
    LEXICONS
        .get_or_init(|| {
            let tables = Tables::read();
            fields().iter().filter_map(|field| Some((field.name, tables.lexicon(field)?))).collect()
        })
        .get(field.name)
        .unwrap_or_else(|| NONE.get_or_init(Lexicon::default))
}

/// What a yes or no says under a heading (its words only) that gives it a sense: texts with their words, an empty word
/// where it says nothing certain.
pub(super) fn under_heading(field: &str, heading: &str) -> Vec<(&'static str, &'static str)> {
    static ROWS: OnceLock<Vec<[&'static str; 4]>> = OnceLock::new();
    ROWS.get_or_init(|| {
        let columns = ["field", "heading", "written", "word"];
        Table::of(HEADINGS_CSV).rows().map(|row| columns.map(|column| row.kept(column))).collect()
    })
    .iter()
    .filter(|[of, word, ..]| *of == field && heading.split(' ').any(|piece| piece == *word))
    .map(|[_, _, written, word]| (*written, *word))
    .collect()
}

/// The rows of the tables by field.
struct Tables {
    meanings: BTreeMap<&'static str, Vec<(&'static str, &'static str)>>,
    codes: BTreeMap<&'static str, Vec<(&'static str, &'static str)>>,
    careful: BTreeMap<&'static str, Vec<[&'static str; 4]>>,
}

impl Tables {
    fn read() -> Self {
        let pairs = |text: &'static str| {
            let mut by_field: BTreeMap<&'static str, Vec<(&'static str, &'static str)>> = BTreeMap::new();
            for row in Table::of(text).rows() {
                by_field.entry(row.kept("field")).or_default().push((row.kept("written"), row.kept("word")));
            }
            by_field
        };
        let mut careful: BTreeMap<&'static str, Vec<[&'static str; 4]>> = BTreeMap::new();
        for row in Table::of(CAREFUL_CSV).rows() {
            let cells = [row.kept("written"), row.kept("effect"), row.kept("why"), row.kept("yields_to")];
            careful.entry(row.kept("field")).or_default().push(cells);
        }
        Self { meanings: pairs(MEANINGS_CSV), codes: pairs(CODES_CSV), careful }
    }

    fn lexicon(&self, field: &'static Field) -> Option<Lexicon> {
        let of =
            |table: &BTreeMap<_, Vec<(&'static str, &'static str)>>, name| table.get(name).cloned().unwrap_or_default();
        if matches!(field.kind, FieldKind::Number | FieldKind::Count) {
            // Words that stand for a number ("three phase"): matched whole, never within a longer text.
            let whole: HashMap<_, _> =
                of(&self.meanings, field.name).into_iter().chain(of(&self.codes, field.name)).collect();
            return (!whole.is_empty()).then(|| Lexicon { whole, ..Lexicon::default() });
        }
        let allowed: Vec<&'static str> = match field.kind {
            FieldKind::Word => field.words.iter().copied().filter(|word| *word != "unknown").collect(),
            FieldKind::YesNo => vec!["yes", "no"],
            _ => return None,
        };
        let names: &[&str] = if field.kind == FieldKind::YesNo { &[field.name, EVERY_YES_NO] } else { &[field.name] };
        let careful: Vec<[&'static str; 4]> =
            names.iter().filter_map(|name| self.careful.get(name)).flatten().copied().collect();
        let weak = |spelling: &str| {
            careful.iter().find(|[text, effect, ..]| *text == spelling && *effect == "weak").map(|[.., to]| *to)
        };
        let mut lexicon = Lexicon::default();
        let known = |word: &str| allowed.iter().copied().find(|known| *known == word);
        for word in &allowed {
            lexicon.whole.entry(words_of(word).leak()).or_insert(word);
            lexicon.whole.entry(word).or_insert(word);
        }
        let mut within: BTreeMap<String, Within> = BTreeMap::new();
        let mut add = |spelling: &str, word: &'static str, to: Option<&'static str>| {
            let (padded, weak, to) = (format!(" {spelling} "), to.is_some(), to.unwrap_or_default());
            within.entry(spelling.to_owned()).or_insert(Within { padded, word, weak, to });
        };
        // A field's own spelling is met before the shared one.
        let meanings = names.iter().flat_map(|name| of(&self.meanings, name));
        let own = allowed.iter().map(|word| (&*words_of(word).leak(), *word));
        for (spelling, word) in own.chain(meanings) {
            let Some(word) = known(word) else { continue };
            lexicon.whole.entry(spelling).or_insert(word);
            // A letter or a bare "no" within a longer text says nothing by itself.
            let bare = matches!(spelling, "no" | "na" | "so" | "la" | "ha" | "id" | "ok");
            if spelling.chars().count() >= 2 && !bare {
                add(spelling, word, weak(spelling));
            }
        }
        for (spelling, word) in names.iter().flat_map(|name| of(&self.codes, name)) {
            let Some(word) = known(word) else { continue };
            lexicon.whole.entry(spelling).or_insert(word);
        }
        for [spelling, effect, why, to] in &careful {
            match *effect {
                "ambiguous" if !lexicon.whole.contains_key(*spelling) => {
                    lexicon.ambiguous.insert(spelling, why);
                    if spelling.chars().count() >= 3 {
                        add(spelling, "", Some(to));
                    }
                }
                "foreign" => lexicon.foreign.push((format!(" {spelling} "), why)),
                _ => {}
            }
        }
        lexicon.within = within.into_values().collect();
        lexicon.within.sort_by(|a, b| b.padded.len().cmp(&a.padded.len()).then_with(|| a.padded.cmp(&b.padded)));
        let pieces = lexicon.whole.keys().flat_map(|spelling| spelling.split(' '));
        let long = |piece: &&str| piece.len() >= MENDED_FROM && piece.bytes().all(|byte| byte.is_ascii_lowercase());
        lexicon.vocabulary = pieces.filter(long).map(str::to_owned).collect::<BTreeSet<String>>();
        Some(lexicon)
    }
}
