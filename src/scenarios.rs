//! The rules and price books that the command line names: those of the run, and each further one as a scenario, judged
//! with the same sites beside the run. It reads their files; threads and results are not its own.

use crate::estimate::PriceBook;
use crate::portfolio::{self, Choice, Differs, Figures, Portfolio, Scenario};
use crate::report::InputFile;
use crate::rules::{Rules, Stance, default_rules, load_rules};
use crate::settings::{RunError, Settings};
use crate::verdict::{Context, Judgement};
use jiff::civil::Date;
use std::path::Path;

/// Rules and prices of one scenario, loaded and checked.
pub(crate) struct Policy {
    name: String,
    differs: Differs,
    rules: Rules,
    prices: PriceBook,
    as_of: Date,
}

/// The same while nobody knows the date of the run yet.
pub(crate) struct Draft {
    /// The path of its file, where its name alone would not tell it from another.
    path: Option<String>,
    differs: Differs,
    rules: Rules,
    prices: PriceBook,
    /// The date that its rules name.
    as_of: Option<Date>,
}

/// The rules of a file; the defaults without one.
pub(crate) fn rules_of(file: Option<&Path>) -> Result<Rules, RunError> {
    file.map_or_else(|| Ok(default_rules().clone()), |path| Ok(load_rules(path)?))
}

/// The price book of a file; the default without one.
pub(crate) fn book_of(file: Option<&Path>) -> Result<PriceBook, RunError> {
    file.map_or_else(|| Ok(PriceBook::default_book().clone()), |path| Ok(PriceBook::load(path)?))
}

/// The date that rules name, if they do.
pub(crate) fn date_of(rules: &Rules) -> Result<Option<Date>, RunError> {
    let date = |text: &String| text.parse::<Date>().map_err(|_| RunError::AsOf(text.clone()));
    rules.as_of.as_ref().map(date).transpose()
}

/// The scenarios that are asked for: every further rules file with the first price book, then every further price book
/// with the first rules. Each is what a run with just these two would be.
///
/// # Errors
/// When a file cannot be used.
pub(crate) fn drafts(settings: &Settings, rules: &Rules, book: &PriceBook) -> Result<Vec<Draft>, RunError> {
    let files = || settings.more_rules.iter().chain(&settings.more_prices).flatten();
    let draft = |differs, file: Option<&Path>, rules: Rules, book: PriceBook| {
        let prices = book.with_charge_points(&rules)?;
        let alike = |file: &&Path| files().filter(|other| other.file_name() == file.file_name()).count() > 1;
        let path = file.filter(alike).map(|file| file.display().to_string());
        Ok(Draft { path, as_of: date_of(&rules)?, differs, rules, prices })
    };
    let by_rules = settings.more_rules.iter().map(Option::as_deref);
    let by_prices = settings.more_prices.iter().map(Option::as_deref);
    by_rules
        .map(|file| draft(Differs::Rules, file, rules_of(file)?, book.clone()))
        .chain(by_prices.map(|file| draft(Differs::Prices, file, rules.clone(), book_of(file)?)))
        .collect()
}

impl Draft {
    /// The scenario at its date: that of the command line, else of its rules, else `no_other`.
    pub(crate) fn dated(self, asked: Option<Date>, no_other: Date) -> Policy {
        let as_of = asked.or(self.as_of).unwrap_or(no_other);
        let Draft { path, differs, rules, .. } = self;
        let prices = self.prices.indexed(as_of.year(), &rules);
        let own = if differs == Differs::Rules { &rules.source.name } else { &prices.name };
        Policy { name: path.unwrap_or_else(|| own.clone()), differs, rules, prices, as_of }
    }
}

impl Policy {
    /// The file that makes the scenario what it is.
    pub(crate) fn file(&self) -> InputFile {
        let by_rules = self.differs == Differs::Rules;
        let sha256 = if by_rules { &self.rules.source.sha256 } else { &self.prices.sha256 };
        InputFile { name: self.name.clone(), sha256: sha256.clone() }
    }
}

/// The run that scenarios are laid beside.
pub(crate) struct Beside<'a> {
    /// Its sites.
    pub(crate) run: &'a Portfolio,
    /// Which sites a bid is for, in every scenario by its own verdicts.
    pub(crate) choice: &'a Choice,
    /// Whether the chance of each verdict is worked out.
    pub(crate) odds: bool,
    /// Its rules: they say what counts as moved.
    pub(crate) rules: &'a Rules,
}

impl Beside<'_> {
    /// One scenario; `judge_every` judges every site of the run, keeping of each judgement what it is told to.
    ///
    /// # Errors
    /// When the judging is interrupted, or the sites chosen for the bid are none of it.
    pub(crate) fn judged(
        &self,
        policy: &Policy,
        stance: Stance,
        judge_every: impl FnOnce(&Context<'_>, fn(Judgement) -> Judgement) -> Result<Vec<Judgement>, RunError>,
    ) -> Result<Scenario, RunError> {
        let Policy { name, differs, rules, prices, as_of } = policy;
        let context = Context { rules, prices, stance, as_of: *as_of, odds: self.odds };
        let other = portfolio::rank(judge_every(&context, portfolio::compact)?, rules);
        let chosen = self.choice.chosen(&other.sites).map_err(|why| crate::chosen::refused(self.choice, why))?;
        let bid = portfolio::bid(&other.sites, &chosen.places, rules);
        let (moved, tally) = portfolio::moves(self.run, &other, self.rules.scenario.moved_cost_percent);
        let figures = Figures::of(&other, bid.as_ref());
        Ok(Scenario { name: name.clone(), differs: *differs, as_of: *as_of, figures, tally, moved })
    }
}
