//! A heading that explains its own codes: "Premises type (H = house, F = flat)", "Earthing: 1 = TN-S; 2 = TN-C-S". What
//! such a legend says goes before every other meaning of the code, and a short code that it leaves out is not guessed.
//!
//! It knows texts and cells; which field a column is, and how the meaning reads, is for others.

use super::raw::{RawCell, RawRow, folded, words_of};
use super::table::TableHead;
use super::words::why_unknown;
use crate::site::{Field, FieldKind};
use std::borrow::Cow;

/// Longest code, in characters.
const LONGEST_CODE: usize = 6;
/// A code that stands behind its meaning ("house = H") is no longer than this.
const LONGEST_BEHIND: usize = 3;
/// What a single entry may mean: one alone ("A = amps") is a unit more often than a code.
const ALONE: &[&str] = &["yes", "no", "none", "nil", "not known", "unknown", "not applicable", "not seen"];

/// The codes of a heading.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Legend {
    /// Each code in small letters, and what it means as written.
    codes: Vec<(String, String)>,
    /// Length of the longest, in characters.
    longest: usize,
}

/// What a cell says under a legend.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Decoded {
    /// It is no code: it says what is written.
    AsWritten,
    /// A code for this text.
    Means(RawCell),
    /// A code that the legend does not have.
    NotInLegend,
}

/// The legend of a heading, and the heading without it.
pub(super) fn legend_of(text: &str) -> Option<(String, Legend)> {
    if !text.contains(['=', ':', '-', '\u{2013}']) {
        return None;
    }
    let mut from = 0;
    while let Some(open) = text.get(from..).and_then(|rest| rest.find(['(', '['])).map(|at| from + at) {
        let after = text.get(open + 1..)?;
        let close = after.find([')', ']']).unwrap_or(after.len());
        let inner = after.get(..close)?;
        if let Some(codes) = entries(inner, true) {
            let rest = after.get(close..)?.trim_start_matches([')', ']']);
            return Some((format!("{} {rest}", text.get(..open)?.trim_end()), Legend::of(codes)));
        }
        from = open + 1;
    }
    if text.matches('=').count() < 2 {
        return None;
    }
    // Without brackets the legend begins at the word before the first sign.
    let sign = text.find('=')?;
    let before = text.get(..sign)?.trim_end();
    let start = before.rfind([' ', ':', ',', ';', '\n', '/', '-']).map_or(0, |at| at + 1);
    let head = text.get(..start)?.trim_end_matches([' ', ':', ',', ';', '\n', '-']);
    let codes = entries(text.get(start..)?, false).filter(|codes| codes.len() > 1 && !head.is_empty())?;
    Some((head.to_owned(), Legend::of(codes)))
}

/// A heading without its legend.
pub(super) fn without_legend(text: &str) -> Cow<'_, str> {
    legend_of(text).map_or(Cow::Borrowed(text), |(rest, _)| Cow::Owned(rest))
}

/// The first rows with the codes of every legend written out, so that what they mean is heard; `None` where no heading
/// has one.
pub(super) fn decoded(head: &TableHead, rows: &[RawRow]) -> Option<Vec<RawRow>> {
    let legends: Vec<(u16, Legend)> =
        head.headings.iter().filter_map(|heading| Some((heading.index, legend_of(&heading.text)?.1))).collect();
    if legends.is_empty() {
        return None;
    }
    let mut rows = rows.to_vec();
    for row in rows.iter_mut().filter(|row| row.row > head.last) {
        for (column, cell) in &mut row.cells {
            let legend = legends.iter().find(|(index, _)| index == column);
            if let Some(meaning) = legend.and_then(|(_, legend)| legend.meaning_of(cell)) {
                *cell = RawCell::Text(meaning);
            }
        }
    }
    Some(rows)
}

/// The entries of a text: `code = meaning`, parted by commas, semicolons, bars, lines or slashes, or by blanks alone.
/// In brackets a colon or a dash will do for the sign.
fn entries(text: &str, in_brackets: bool) -> Option<Vec<(String, String)>> {
    let signs: &[&str] = if in_brackets { &["=", ": ", ":", " - ", " \u{2013} "] } else { &["="] };
    let parts = |marks: &[char]| -> Vec<String> { text.split(marks).map(|part| part.trim().to_owned()).collect() };
    let mut pieces = parts(&[',', ';', '|', '\n']);
    if pieces.len() == 1 && pieces.iter().all(|piece| piece.matches('=').count() > 1) {
        pieces = parts(&['/']);
    }
    if pieces.len() == 1 && text.matches('=').count() > 1 {
        pieces = by_blanks(text);
    }
    // "C-Calc M-Meas E-Est": a letter or figure each.
    let tokens: Vec<&str> = text.split_whitespace().collect();
    let dashed = |token: &&str| token.chars().nth(1) == Some('-') && token.chars().count() > LONGEST_BEHIND;
    if in_brackets && tokens.len() > 1 && tokens.iter().all(dashed) {
        pieces = tokens.iter().map(|token| token.trim_end_matches(',').replacen('-', "=", 1)).collect();
    }
    let split = |piece: &str, sign: &str| {
        let (left, right) = piece.split_once(sign)?;
        let (left, right) = (left.trim().to_owned(), right.trim().trim_end_matches('.').to_owned());
        (!left.is_empty() && !right.is_empty()).then_some((left, right))
    };
    for sign in signs {
        let found: Vec<(String, String)> = pieces.iter().filter_map(|piece| split(piece, sign)).collect();
        if found.is_empty() {
            continue;
        }
        let is_code = |text: &str, longest: usize| text.chars().count() <= longest && !text.contains(' ');
        let codes_first = found.iter().all(|(left, _)| is_code(left, LONGEST_CODE));
        let codes_last = found
            .iter()
            .all(|(left, right)| is_code(right, LONGEST_BEHIND) && left.chars().count() > right.chars().count());
        let longer = found.iter().filter(|(left, right)| right.len() > left.len()).count() * 2 >= found.len();
        let codes: Vec<(String, String)> = match (codes_first && longer, codes_last) {
            (true, _) => found,
            (false, true) => found.into_iter().map(|(left, right)| (right, left)).collect(),
            (false, false) => continue,
        };
        let codes: Vec<(String, String)> = codes
            .into_iter()
            .map(|(code, meaning)| (folded(&code).trim_matches(['"', '\'']).to_owned(), meaning))
            .collect();
        let mut distinct: Vec<&String> = codes.iter().map(|(code, _)| code).collect();
        distinct.sort_unstable();
        distinct.dedup();
        let enough =
            codes.len() > 1 && distinct.len() == codes.len() && (*sign == "=" || codes.len() * 2 > pieces.len());
        let alone = *sign == "=" && codes.iter().all(|(_, meaning)| ALONE.contains(&words_of(meaning).as_str()));
        // "WC = whole current, CT, HV": the others say themselves.
        let others: Vec<&String> = pieces.iter().filter(|piece| split(piece, sign).is_none()).collect();
        let themselves = *sign == "=" && !others.is_empty() && others.iter().all(|other| is_code(other, LONGEST_CODE));
        if enough || in_brackets && codes.len() == 1 && (alone || themselves) {
            let others = others.into_iter().filter(|_| themselves).map(|other| (folded(other), other.clone()));
            return Some(codes.into_iter().chain(others).collect());
        }
    }
    None
}

/// "1=TN-S 2=TN-C-S" or "1 = TN-S 2 = TN-C-S": each entry begins at the word before its sign.
fn by_blanks(text: &str) -> Vec<String> {
    let starts: Vec<usize> = text
        .match_indices('=')
        .map(|(sign, _)| {
            let before = text.get(..sign).unwrap_or_default().trim_end();
            before.rfind(' ').map_or(0, |at| at + 1)
        })
        .collect();
    let ends = starts.iter().skip(1).copied().chain([text.len()]);
    starts
        .iter()
        .zip(ends)
        .filter_map(|(start, end)| text.get(*start..end))
        .map(|piece| {
            let piece = piece.trim().trim_end_matches("or").trim_end_matches("and");
            piece.trim_matches([',', ';', '/', ' ']).to_owned()
        })
        .collect()
}

impl Legend {
    fn of(codes: Vec<(String, String)>) -> Self {
        let longest = codes.iter().map(|(code, _)| code.chars().count()).max().unwrap_or_default();
        Self { codes, longest }
    }

    /// Whether a field can be written in codes at all.
    pub fn suits(field: &Field) -> bool {
        matches!(field.kind, FieldKind::Word | FieldKind::YesNo | FieldKind::Count | FieldKind::Number)
    }

    /// The meaning of a cell that is a code, alone or with marks about it ("2?", "(2)"), which stay.
    fn meaning_of(&self, cell: &RawCell) -> Option<String> {
        let written = match cell {
            RawCell::Text(text) => folded(text),
            RawCell::Number(_) => cell.shown(),
            _ => return None,
        };
        let written = written.trim();
        let meaning = |code: &str| self.codes.iter().find(|(own, _)| own == code).map(|(_, meaning)| meaning);
        if let Some(meaning) = meaning(written) {
            return Some(meaning.clone());
        }
        let core = written.trim_matches(|c: char| !c.is_alphanumeric());
        let marked = !core.is_empty() && core.len() < written.len();
        meaning(core).filter(|_| marked).map(|meaning| written.replacen(core, meaning, 1))
    }

    /// What a cell says in a field of this kind.
    pub fn decode(&self, field: &Field, cell: &RawCell) -> Decoded {
        if let Some(meaning) = self.meaning_of(cell) {
            return Decoded::Means(RawCell::Text(meaning));
        }
        let written = match cell {
            RawCell::Text(text) => folded(text),
            RawCell::Number(_) => cell.shown(),
            _ => return Decoded::AsWritten,
        };
        // A figure may stand beside the codes of a number ("0 = none"); a short word or digit may not be guessed.
        let in_codes = match field.kind {
            FieldKind::Word | FieldKind::YesNo => true,
            _ => self.codes.iter().filter(|(_, meaning)| meaning.bytes().any(|byte| byte.is_ascii_digit())).count() > 1,
        };
        let written = written.trim();
        let plain = words_of(written);
        let spelt_out = self.codes.iter().any(|(_, meaning)| words_of(meaning) == plain);
        let says = !plain.is_empty() && why_unknown(&plain).is_none() && !spelt_out;
        if in_codes && says && written.chars().count() <= self.longest {
            return Decoded::NotInLegend;
        }
        Decoded::AsWritten
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::site::fields;

    fn codes(text: &str) -> Vec<(String, String)> {
        legend_of(text).map(|(_, legend)| legend.codes).unwrap_or_default()
    }

    fn pair(code: &str, meaning: &str) -> (String, String) {
        (code.to_owned(), meaning.to_owned())
    }

    #[test]
    fn legends_in_brackets_behind_a_colon_and_with_the_code_behind() {
        let earthing = vec![pair("1", "TN-S"), pair("2", "TN-C-S"), pair("3", "TT")];
        for text in [
            "Earthing system (1 = TN-S, 2 = TN-C-S, 3 = TT)",
            "Earthing system [1=TN-S; 2=TN-C-S; 3=TT]",
            "Earthing system: 1 = TN-S, 2 = TN-C-S, 3 = TT",
            "Earthing system 1=TN-S 2=TN-C-S 3=TT",
            "Earthing system (1=TN-S/2=TN-C-S/3=TT)",
            "Earthing system (1: TN-S, 2: TN-C-S, 3: TT)",
            "Earthing system (1 - TN-S, 2 - TN-C-S, 3 - TT)",
            "Earthing system (TN-S = 1, TN-C-S = 2, TT = 3)",
            "Earthing system (1-TN-S 2-TN-C-S 3-TT)",
        ] {
            assert_eq!(codes(text), earthing, "{text}");
            assert_eq!(words_of(&without_legend(text)), "earthing system", "{text}");
        }
        assert_eq!(codes("Type (house = H, flat = F)"), [pair("h", "house"), pair("f", "flat")]);
        assert_eq!(
            codes("Metering (WC = whole current, CT, HV)"),
            [pair("wc", "whole current"), pair("ct", "CT"), pair("hv", "HV")]
        );
        assert_eq!(codes("Looped (1 = yes)"), [pair("1", "yes")]);
        for text in
            ["Max demand (A)", "Run (m)", "Demand (A = amps)", "Looped (Y / N)", "Supply - main fuse", "Ze = ohm"]
        {
            assert!(codes(text).is_empty(), "{text}");
        }
    }

    #[test]
    fn a_code_means_what_the_legend_says_and_no_other_is_guessed() {
        let field = fields().iter().find(|field| field.name == "survey_method").unwrap();
        let (_, legend) = legend_of("Survey method (V = visit, P = photo, T = telephone)").unwrap();
        let said = |text: &str| legend.decode(field, &RawCell::Text(text.to_owned()));
        assert_eq!(said("p"), Decoded::Means(RawCell::Text("photo".to_owned())));
        assert_eq!(said("P?"), Decoded::Means(RawCell::Text("photo?".to_owned())));
        assert_eq!(said("D"), Decoded::NotInLegend);
        assert_eq!(said("NK"), Decoded::AsWritten);
        assert_eq!(said("site visit"), Decoded::AsWritten);
    }
}
