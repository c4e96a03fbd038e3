//! What the results rest on, what is cut, what was loosened, and the caution.

use super::tally;
use crate::report::Run;
use crate::report::assumptions::{CAUTIONS, editions, stance_words};
use crate::report::extent::Extent;
use crate::report::figures::{self, count, share};
use crate::report::page::{Look, Page};
use crate::report::sharing;

/// The block at the foot of the page.
pub(super) fn rests_on<'a>(page: &mut Page<'a>, run: &'a Run<'a>, extent: Extent) {
    page.text("What this rests on", Look::Section);
    super::first::where_to_look(page, run);
    let short = |digest: &str| digest.chars().take(12).collect::<String>();
    let inputs = run.inputs;
    let mut files = format!(
        "Spreadsheet {} ({}); rules {} ({}); price book {} ({})",
        inputs.portfolio.name,
        short(&inputs.portfolio.sha256),
        inputs.rules.name,
        short(&inputs.rules.sha256),
        inputs.price_book.name,
        short(&inputs.price_book.sha256)
    );
    for file in &inputs.with {
        files.push_str(&format!("; laid over it {} ({})", file.name, short(&file.sha256)));
    }
    page.text(format!("{files}. In brackets the first figures of each SHA-256."), Look::Quiet);
    let (ready, marginal) = (&run.portfolio.summary.ready, &run.portfolio.summary.marginal);
    let money = ready.rests_on.plus(marginal.rests_on);
    if let Some(words) = figures::rests_on(&money) {
        let remedy =
            if money.illustrative > money.stated { " Quotes in a price book of your own lower that." } else { "" };
        let likely = money.total().whole_pounds();
        page.text(format!("Of the likely {likely} of ready and marginal sites, {words}.{remedy}"), Look::Strong);
    }
    let bases = tally(run.prices.iter().map(|note| note.basis.as_str()).filter(|basis| !basis.is_empty()));
    if let Some((basis, _)) = bases.first() {
        page.text(format!("Prices: {basis}. Every line with its source on Assumptions."), Look::Quiet);
    }
    let editions = editions(run.rules);
    if let Some((in_force, read)) = editions.split_first() {
        // The tag on a design is the edition in force; the texts that the checks were taken from are older.
        let read = read.join("; ");
        page.text(format!("Edition in force {in_force}; the checks were taken from: {read}."), Look::Quiet);
    }
    page.text(format!("Stance {}: {}", run.stance, stance_words(run.stance)), Look::Quiet);
    let assumed = run.portfolio.sites.iter().filter(|site| !site.judgement.assumed.is_empty()).count();
    let judged = u32::try_from(run.portfolio.sites.len()).unwrap_or(u32::MAX);
    page.text(
        format!(
            "Some value is assumed at {} ({}): each is on Assumptions with its source.",
            count(assumed, "site"),
            share(u32::try_from(assumed).unwrap_or(u32::MAX), judged)
        ),
        Look::Quiet,
    );
    if !run.intake.warnings.is_empty() {
        page.text(format!("Of the sheet: {}", run.intake.warnings.join(" ")), Look::Quiet);
    }
    if let Some(words) = sharing::sentence(run) {
        page.text(words, Look::Strong);
    }
    page.text(extent.sentence(run), Look::Strong);
    if !run.rules.loosened.is_empty() {
        page.text(format!("Loosened by the rules: {}", run.rules.loosened.join(" ")), Look::Strong);
    }
    page.text(CAUTIONS.join(" "), Look::Caution);
}
