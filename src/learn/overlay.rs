//! What is proposed, as files that the rules and the price book read: an overlay of weights and one of task hours. They
//! are yours to use; nothing uses them by itself.

use super::Learned;
use super::weights::PARTS;
use crate::estimate::{Item, PriceBook};
use crate::quantity::round_to;

/// The weights proposed as rules that lie over the defaults; `from` says what they were learned from. `None` where
/// nothing is proposed.
pub fn rules_overlay(learned: &Learned, from: &str) -> Option<String> {
    let mut text = format!(
        "# Weights learned from {} by baywright {}: {}\n\
         # A proposal, yours to use or not: give it with --rules, or copy sections of it into your own rules. A few sites\n\
         # prove little, and sites that were never visited are not in it. Weights move odds and questions, never a design.\n",
        count(learned.weights.sites, "site"),
        env!("CARGO_PKG_VERSION"),
        in_a_line(from)
    );
    let mut proposed: Vec<_> =
        learned.weights.all.iter().filter_map(|weight| Some((weight, weight.proposed.as_ref()?))).collect();
    proposed.sort_by_key(|(weight, _)| (weight.field, weight.when));
    for (weight, parts) in &proposed {
        text.push_str(&format!(
            "\n[possible.{}.{}]   # {:.0} seen, {:.0} by their verdict alone\n",
            weight.field,
            quoted(weight.when),
            weight.seen,
            weight.by_verdict
        ));
        let of = weight.values.iter().zip(parts.iter()).zip(weight.before.iter().zip(&weight.error));
        for ((value, part), (before, error)) in of {
            text.push_str(&format!(
                "{} = {:.4}   # was {}, standard error {:.3}\n",
                quoted(value),
                f64::from(*part) / PARTS,
                round_to(*before, 4),
                error
            ));
        }
    }
    (!proposed.is_empty()).then_some(text)
}

/// The task hours proposed as a price book that lies over the default; `from` says what they were learned from. `None`
/// where nothing is proposed.
pub fn prices_overlay(learned: &Learned, prices: &PriceBook, from: &str) -> Option<String> {
    let mut text = String::from("item,low,likely,high,year,basis,source,notes\n");
    let mut any = false;
    let proposed =
        learned.tasks.tasks.iter().filter_map(|task| Some((task, task.proposed?, prices.by_code(task.task)?)));
    let mut proposed: Vec<_> = proposed.collect();
    proposed.sort_by_key(|(task, ..)| task.task);
    for (task, factor, item) in proposed {
        any = true;
        let Item { figure, year, .. } = item;
        let hours = |figure: f64| round_to(figure * factor, 4);
        let bound = if task.clamped { ", brought within the bounds of the rules" } else { "" };
        text.push_str(&format!(
            "{},{},{},{},{year},learned from {},{},{}\n",
            task.task,
            hours(figure.low),
            hours(figure.likely),
            hours(figure.high),
            count(task.sites, "site"),
            cell(from),
            cell(&format!("{:.3} times {} h{bound}; standard error {:.3}", factor, figure.likely, task.error))
        ));
    }
    any.then_some(text)
}

fn count(number: u32, thing: &str) -> String {
    if number == 1 { format!("1 {thing}") } else { format!("{number} {thing}s") }
}

fn in_a_line(text: &str) -> String {
    text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect()
}

/// A text of TOML.
fn quoted(text: &str) -> String {
    format!("\"{}\"", in_a_line(text).replace('\\', "\\\\").replace('"', "\\\""))
}

/// A cell of a delimited file.
fn cell(text: &str) -> String {
    format!("\"{}\"", in_a_line(text).replace('"', "\"\""))
}
