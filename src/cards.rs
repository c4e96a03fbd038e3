//! Job cards of chosen sites: as text on the terminal, or as a workbook with a page a site.

use crate::chosen;
use crate::loaded::load;
use crate::order::Order;
use crate::portfolio::{self, Portfolio};
use crate::progress::Progress;
use crate::report::{self, CardSite, Outputs};
use crate::run::judge_all;
use crate::settings::{RunError, Settings, must_be_workbook};
use crate::site::by_row;
use crate::verdict::{Judgement, judge};
use std::sync::atomic::AtomicBool;

/// Cards that one workbook may hold.
const MOST_CARDS: usize = 1_000;

/// The job cards of the sites named, each by its site_id, UPRN or row, and of those that `settings` choose by a word, a lot
/// or a list. As text, or with an output named as a workbook whose place is then told.
///
/// # Errors
/// When an input cannot be used, a site is not in it, or the workbook cannot be written; nothing is then left behind.
pub fn cards(settings: &Settings, wanted: &[String]) -> Result<String, RunError> {
    let mut outputs = Outputs::new(settings.force, &settings.inputs());
    if let Some(output) = &settings.output {
        must_be_workbook(output)?;
        outputs.check(output)?;
    }
    let loaded = load(settings)?;
    let named = chosen::named(&loaded.intake, wanted)?;
    let mut judged: Vec<Judgement> = named.iter().map(|site| judge(site, &loaded.context())).collect();
    if settings.chosen.is_some() {
        judged.extend(chosen_sites(&loaded, &judged)?);
    }
    if judged.len() > MOST_CARDS {
        return Err(RunError::TooManyCards { cards: judged.len(), most: MOST_CARDS });
    }
    let sites = by_row(&loaded.intake.sites);
    let cards: Vec<CardSite<'_>> = judged
        .iter()
        .filter_map(|judgement| {
            let site = sites.get(&(judgement.brief.sheet, judgement.brief.row))?;
            Some(CardSite { site, judgement })
        })
        .collect();
    let (portfolio, order) = (Portfolio::default(), Order::default());
    let run = loaded.report(&portfolio, None, &order);
    let Some(output) = &settings.output else {
        let texts: Vec<String> = cards.iter().map(|card| report::card_text(&run, *card)).collect();
        return Ok(texts.join("\n\n"));
    };
    outputs.stage(output, |writer| report::write_cards(&run, &cards, writer))?;
    outputs.publish()?;
    let sheets = if cards.len() == 1 { "1 site".to_owned() } else { format!("{} sites", cards.len()) };
    let personal = match settings.share {
        true => "Names, telephones and access notes are left out.",
        false => "They may hold names, telephones and access notes of your sheet: --share leaves them out.",
    };
    Ok(format!("{} written: job cards of {sites}, a page each. {personal}\n", output.display(), sites = sheets))
}

/// The sites of the choice in the order of the ranking, without those that are `there` already.
fn chosen_sites(loaded: &crate::loaded::Loaded, there: &[Judgement]) -> Result<Vec<Judgement>, RunError> {
    let (progress, stop) = (Progress::hidden(), AtomicBool::new(false));
    let judgements = judge_all(&loaded.intake.sites, &loaded.context(), |judgement| judgement, &progress, &stop)?;
    let ranked = portfolio::rank(judgements, &loaded.rules);
    let portfolio = portfolio::together(ranked, &loaded.intake.feeders, &loaded.rules);
    let chosen = loaded.choice.chosen(&portfolio.sites).map_err(|why| chosen::refused(&loaded.choice, why))?;
    let row = |judgement: &Judgement| (judgement.brief.sheet, judgement.brief.row);
    let new = |judgement: &Judgement| there.iter().all(|other| row(other) != row(judgement));
    let picked = chosen.places.iter().filter_map(|place| portfolio.sites.get(*place));
    Ok(picked.map(|site| Judgement::clone(&site.judgement)).filter(new).collect())
}
