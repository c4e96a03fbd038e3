//! The page on the terminal: how verdicts, costs and hours did, what is proposed, and what that does not say.

use super::LearnedRun;
use super::words::{
    CAUTIONS, bias, bins, brier, by_chance, factor, group, left_out, matched, not_ready, not_used, rests_on, right,
    rival, shares, tasks_left, weight, weights_left, within,
};
use crate::learn::Group;
use crate::quantity::Pence;
use crate::report::figures::{plain, pounds};
use crate::site::Verdict;

/// Characters of a line of running text.
const WIDE: usize = 110;
/// Lines of each list.
const LISTED: usize = 5;
/// Rivals told: their errors say the same.
const RIVALS: usize = 2;

/// The page.
pub fn learned_page(run: &LearnedRun<'_>) -> String {
    let learned = run.learned;
    let mut page = Lines::default();
    page.say("", &matched(run));
    page.say("", &rests_on(run));
    page.list("  ", run.not_used.iter().map(not_used), run.not_used.len(), "more not used (the workbook tells all)");
    let verdicts = &learned.verdicts;
    page.head("Verdicts");
    page.say("  ", &right(verdicts));
    if verdicts.counted.sites() > 0 {
        confusion(run, &mut page);
    }
    for line in
        [not_ready(verdicts), brier(verdicts), bins(verdicts), shares(verdicts, "lot"), shares(verdicts, "premises")]
    {
        line.iter().for_each(|line| page.say("  ", line));
    }
    let least = run.least_sites;
    spreads(&mut page, "Cost before VAT", &learned.cost, least, |amount| pounds(Pence::from_pounds(amount)));
    spreads(&mut page, "Person-hours of the crews", &learned.hours, least, |hours| plain(hours, 0));
    page.head("Task hours proposed (--save-prices)");
    let tasks: Vec<String> =
        learned.tasks.tasks.iter().filter(|task| task.proposed.is_some()).map(|task| factor(run, task)).collect();
    if tasks.is_empty() {
        page.say("  ", "none");
    }
    page.list("  ", tasks.iter().cloned(), tasks.len(), "more");
    tasks_left(run).iter().for_each(|line| page.say("  ", line));
    page.head("Weights proposed (--save-rules)");
    let weights = || learned.weights.all.iter().filter(|weight| weight.proposed.is_some());
    if weights().count() == 0 {
        page.say("  ", "none");
    }
    page.list("  ", weights().map(weight), weights().count(), "more");
    weights_left(run).iter().for_each(|line| page.say("  ", line));
    by_chance(run).filter(|_| weights().count() + tasks.len() > 0).iter().for_each(|line| page.say("  ", line));
    weights().filter_map(rival).take(RIVALS).for_each(|line| page.say("  ", &line));
    left_out(run).iter().take(LISTED).for_each(|line| page.say("  ", line));
    page.head("What this does not say");
    CAUTIONS.iter().for_each(|line| page.say("  ", line));
    page.0
}

/// Lines being written.
#[derive(Default)]
struct Lines(String);

impl Lines {
    fn head(&mut self, title: &str) {
        self.0.push_str(&format!("\n{title}\n"));
    }

    /// A text in lines of the page, those after the first set in further.
    fn say(&mut self, margin: &str, text: &str) {
        let mut line = margin.to_owned();
        let mut begun = false;
        // Names come from files: none of them is to reach a terminal as a command.
        let text: String = text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
        for word in text.split(' ') {
            if begun && line.chars().count() + 1 + word.chars().count() > WIDE {
                self.0.push_str(&format!("{line}\n"));
                line = format!("{margin}  ");
                begun = false;
            }
            if begun {
                line.push(' ');
            }
            line.push_str(word);
            begun = true;
        }
        self.0.push_str(&format!("{}\n", line.trim_end()));
    }

    fn list(&mut self, margin: &str, lines: impl Iterator<Item = String>, all: usize, more: &str) {
        lines.take(LISTED).for_each(|line| self.say(margin, &line));
        if all > LISTED {
            self.say(margin, &format!("and {} {more}", all - LISTED));
        }
    }
}

fn confusion(run: &LearnedRun<'_>, page: &mut Lines) {
    let verdicts = [Verdict::Ready, Verdict::Marginal, Verdict::Blocked];
    page.0.push_str(&format!("  {:<14}", "said \\ found"));
    verdicts.iter().for_each(|verdict| page.0.push_str(&format!("{:>10}", verdict.word())));
    page.0.push('\n');
    for (verdict, counts) in verdicts.iter().zip(&run.learned.verdicts.counted.0) {
        page.0.push_str(&format!("  {:<14}", verdict.word()));
        for sites in counts {
            let shown = if *sites == 0 { "-".to_owned() } else { sites.to_string() };
            page.0.push_str(&format!("{shown:>10}"));
        }
        page.0.push('\n');
    }
}

/// A line a group; of premises those with few sites are left to the workbook.
fn spreads(page: &mut Lines, title: &str, groups: &[Group], least: u32, figure: impl Fn(f64) -> String) {
    if groups.is_empty() {
        page.head(&format!("{title}: no site has it both said and found"));
        return;
    }
    page.head(title);
    page.0.push_str(&format!(
        "  {:<14}{:>6}{:>12}{:>12}{:>15}{:>9}{:>17}{:>13}\n",
        "", "sites", "said", "found", "found/said", "median", "1 to 9 in ten", "within band"
    ));
    for own in groups.iter().filter(|own| own.by != "premises" || own.spread.sites >= least) {
        let spread = own.spread;
        page.0.push_str(&format!(
            "  {:<14}{:>6}{:>12}{:>12}{:>15}{:>9.2}{:>17}{:>13}\n",
            group(own),
            spread.sites,
            figure(spread.said),
            figure(spread.found),
            bias(own),
            spread.median,
            format!("{:.2} to {:.2}", spread.low, spread.high),
            within(own)
        ));
    }
    page.say("  ", "The stated band is to hold 80 % of them.");
}
