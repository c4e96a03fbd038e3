//! Everything that a run rests on, loaded and checked before anything is judged: spreadsheet, rules, prices, programme
//! file. It judges nothing and writes nothing.

use crate::chosen;
use crate::estimate::PriceBook;
use crate::intake::{self, Intake, ReadOptions};
use crate::order::Order;
use crate::portfolio::{Bid, Choice, Portfolio};
use crate::programme;
use crate::report::{self, InputFile, Inputs, PriceNote};
use crate::rules::{Rules, Stance};
use crate::scenarios::{self, Policy, book_of, date_of, rules_of};
use crate::settings::{RunError, Settings};
use crate::verdict::Context;
use jiff::civil::Date;

/// Date of a run that nothing dates: the publication of the edition in force. There is no other clock.
pub(crate) const NO_DATE: Date = jiff::civil::date(2026, 4, 15);

/// Everything a run rests on, loaded and checked.
pub(crate) struct Loaded {
    pub(crate) intake: Intake,
    pub(crate) rules: Rules,
    pub(crate) prices: PriceBook,
    pub(crate) notes: Vec<PriceNote>,
    pub(crate) inputs: Inputs,
    pub(crate) stance: Stance,
    pub(crate) as_of: Date,
    pub(crate) odds: bool,
    pub(crate) choice: Choice,
    pub(crate) others: Vec<Policy>,
    pub(crate) programme: Option<programme::Asked>,
}

impl Loaded {
    pub(crate) fn context(&self) -> Context<'_> {
        Context { rules: &self.rules, prices: &self.prices, stance: self.stance, as_of: self.as_of, odds: self.odds }
    }

    pub(crate) fn report<'a>(
        &'a self,
        portfolio: &'a Portfolio,
        bid: Option<&'a Bid>,
        order: &'a Order,
    ) -> report::Run<'a> {
        report::Run {
            intake: &self.intake,
            portfolio,
            bid,
            gaps: None,
            scenarios: &[],
            visits: &[],
            programme: None,
            schedules: None,
            order,
            rules: &self.rules,
            prices: &self.notes,
            stance: self.stance.word(),
            as_of: self.as_of,
            version: env!("CARGO_PKG_VERSION"),
            inputs: &self.inputs,
        }
    }
}

/// Loads what the settings name.
///
/// # Errors
/// When an input cannot be used, or no row of the spreadsheet can be judged.
pub(crate) fn load(settings: &Settings) -> Result<Loaded, RunError> {
    let (rules, book) = (rules_of(settings.rules.as_deref())?, book_of(settings.prices.as_deref())?);
    let prices = book.clone().with_charge_points(&rules)?;
    let as_of = settings.as_of.or(date_of(&rules)?);
    let drafts = scenarios::drafts(settings, &rules, &book)?;
    let (options, mapping) = options(settings, as_of, &prices)?;
    let (choice, order) = chosen::choice(settings.chosen.as_deref())?;
    let (programme, programme_file) = chosen::programme(settings.programme.as_deref())?;
    let mut intake = intake::read_with(&settings.portfolio, &settings.with, &options)?;
    if settings.share {
        // Before anything is made of it: what is not there cannot come out by any door.
        intake::share(&mut intake);
    }
    if intake.sites.is_empty() {
        let (file, aside) = (intake.source.name.clone(), intake.set_aside.len());
        return Err(RunError::NothingToJudge { file, aside });
    }
    let no_other = intake.newest_date.unwrap_or(NO_DATE);
    let others: Vec<Policy> = drafts.into_iter().map(|draft| draft.dated(settings.as_of, no_other)).collect();
    let as_of = as_of.unwrap_or(no_other);
    let prices = prices.indexed(as_of.year(), &rules);
    let inputs = Inputs {
        portfolio: InputFile { name: intake.source.name.clone(), sha256: intake.source.sha256.clone() },
        rules: InputFile { name: rules.source.name.clone(), sha256: rules.source.sha256.clone() },
        price_book: InputFile { name: prices.name.clone(), sha256: prices.sha256.clone() },
        mapping,
        with: with_files(&intake),
        order,
        programme: programme_file,
        scenarios: others.iter().map(Policy::file).collect(),
    };
    let notes = report::price_notes(&prices);
    Ok(Loaded {
        intake,
        rules,
        prices,
        notes,
        inputs,
        stance: settings.stance,
        as_of,
        odds: !settings.no_odds,
        choice,
        others,
        programme,
    })
}

/// How to read, and the mapping file that says so, if any. A date up to the end of the year after the newest price is
/// not taken for a slip.
pub(crate) fn options(
    settings: &Settings,
    as_of: Option<Date>,
    prices: &PriceBook,
) -> Result<(ReadOptions, Option<InputFile>), RunError> {
    let newest_price = prices.items().iter().map(|item| item.year).max();
    let current_until = newest_price.and_then(|year| Date::new(i16::try_from(year).ok()? + 1, 12, 31).ok());
    let options = ReadOptions { sheets: settings.sheets.clone(), as_of, current_until, ..Default::default() };
    let Some(path) = &settings.mapping else { return Ok((options, None)) };
    let intake::Mapping { name, sha256, columns, sheets, files } = intake::read_mapping(path)?;
    let options = ReadOptions { mapping: columns, mapping_by_sheet: sheets, mapping_by_file: files, ..options };
    Ok((options, Some(InputFile { name, sha256 })))
}

/// The files laid over the portfolio, each once however many of its sheets were read.
fn with_files(intake: &Intake) -> Vec<InputFile> {
    let further = intake.layers.iter().filter(|layer| !layer.of_portfolio);
    let mut files: Vec<InputFile> = further
        .map(|layer| InputFile { name: layer.source.name.clone(), sha256: layer.source.sha256.clone() })
        .collect();
    files.dedup();
    files
}
