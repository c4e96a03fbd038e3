//! The page on the terminal: what the two results rest on, who is who, counts of moves between verdicts, money, and the
//! changes that matter most.

use super::words::{Words, money_why, name, signed, whole_more, why_in_short};
use super::{MATTER_MOST, input_line, lacks_line, matched_line, side_line};
use crate::compare::{Comparison, VERDICTS};
use crate::report::PriceNote;
use crate::report::figures::{count, short, thousands};

/// Reasons and items told.
const TOLD: usize = 3;
/// Characters of a line of running text.
const WIDE: usize = 110;

/// The page; `prices` gives items their words.
pub fn changes_page(found: &Comparison<'_>, prices: &[PriceNote]) -> String {
    let words = Words::of(prices);
    let mut text = format!("before  {}\nafter   {}\n", side_line(found.before), side_line(found.after));
    let other: Vec<String> = found.inputs.iter().filter_map(input_line).collect();
    let said = if other.is_empty() { "nothing that they name: the same inputs".to_owned() } else { other.join("; ") };
    text.push_str(&format!("What they rest on that is another: {said}.\n"));
    for document in [found.before, found.after] {
        if let Some(line) = lacks_line(document) {
            text.push_str(&format!("{line}\n"));
        }
    }
    text.push_str(&matched_line(found));
    text.push('\n');
    if found.is_empty() {
        text.push_str(
            "\nNothing changed: no site came or went, and verdict, rank, reasons and cost of all are the same.\n",
        );
        return text;
    }
    text.push_str(&format!("\n{}", moves(found)));
    text.push_str(&money(found, &words));
    if !found.reasons.is_empty() {
        let told = |pick: fn(&crate::compare::CameWent) -> u32| {
            let mut some: Vec<(&str, u32)> = found
                .reasons
                .iter()
                .map(|(code, counts)| (words.reason(code), pick(counts)))
                .filter(|(_, sites)| *sites > 0)
                .collect();
            some.sort_by_key(|(_, sites)| std::cmp::Reverse(*sites));
            let some: Vec<String> = some.iter().take(TOLD).map(|(title, sites)| format!("{title} {sites}")).collect();
            if some.is_empty() { "none".to_owned() } else { some.join(", ") }
        };
        text.push_str(&format!("Reasons that went: {}; that came: {}\n", told(|of| of.went), told(|of| of.came)));
    }
    let ranks = found.ranks;
    if ranks.moved > 0 {
        text.push_str(&format!(
            "Ranks: {} of both moved, by {} at most; {} moved and changed in nothing else\n",
            count(ranks.moved as usize, "site"),
            count(usize::try_from(ranks.greatest).unwrap_or(usize::MAX), "place"),
            thousands(ranks.not_listed.into())
        ));
    }
    if !found.changed.is_empty() {
        text.push_str("\nWhat matters most\n");
    }
    for changed in found.changed.iter().take(MATTER_MOST) {
        text.push_str(&folded(&format!("{}: {}", name(&changed.change), why_in_short(&words, found, changed))));
    }
    let more = found.changed.len().saturating_sub(MATTER_MOST);
    if more > 0 {
        text.push_str(&format!("  and {} more\n", thousands(more as u64)));
    }
    text
}

/// A text in lines of the page, the first set out.
fn folded(text: &str) -> String {
    let mut lines = String::new();
    let mut line = String::from("  ");
    let mut begun = false;
    for word in text.split(' ') {
        if begun && line.chars().count() + 1 + word.chars().count() > WIDE {
            lines.push_str(line.trim_end());
            lines.push('\n');
            line = String::from("    ");
            begun = false;
        }
        if begun {
            line.push(' ');
        }
        line.push_str(word);
        begun = true;
    }
    lines.push_str(line.trim_end());
    lines.push('\n');
    lines
}

/// Counts of sites: a line a verdict before, a column a verdict after.
fn moves(found: &Comparison<'_>) -> String {
    let number = |sites: u32| if sites == 0 { "-".to_owned() } else { thousands(sites.into()) };
    let head: Vec<&str> = VERDICTS.iter().map(|verdict| verdict.word()).chain(["went"]).collect();
    let mut text = format!("{:<16}", "before \\ after");
    for word in &head {
        text.push_str(&format!("{word:>10}"));
    }
    text.push('\n');
    let lines = VERDICTS.iter().map(|verdict| verdict.word()).chain(["came"]);
    for (at, (word, counts)) in lines.zip(&found.moves).enumerate() {
        text.push_str(&format!("{word:<16}"));
        for sites in counts.iter().take(if at < VERDICTS.len() { head.len() } else { VERDICTS.len() }) {
            text.push_str(&format!("{:>10}", number(*sites)));
        }
        text.push('\n');
    }
    text.push('\n');
    text
}

fn money(found: &Comparison<'_>, words: &Words<'_>) -> String {
    let (before, after) = found.cost;
    let mut text = format!(
        "Likely cost before VAT of sites not blocked: {}, was {} ({})\n",
        short(after),
        short(before),
        signed(whole_more(found))
    );
    for part in &found.money {
        text.push_str(&format!(
            "  {:<32}{:>12}  {}\n",
            money_why(part.why),
            signed(part.more),
            count(part.sites as usize, "site")
        ));
    }
    let most: Vec<String> =
        found.items.iter().take(TOLD).map(|(item, more)| format!("{} {}", words.item(item), signed(*more))).collect();
    if !most.is_empty() {
        text.push_str(&format!("  moved most by: {}\n", most.join(", ")));
    }
    text
}
