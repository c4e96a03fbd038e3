//! The shell: the stages in order. Files, threads and interruption live here; engineering and looks do not.

use crate::chosen;
use crate::estimate::PriceBook;
use crate::intake::{self, Intake, ReadOptions};
use crate::loaded::{Loaded, NO_DATE, load, options};
use crate::operators;
use crate::order::{self, Order};
use crate::places::Places;
use crate::portfolio::{self, Portfolio, Ranked};
use crate::programme::{self, Programme};
use crate::progress::Progress;
use crate::report::{self, Inputs, OutputError, Outputs, PriceNote};
use crate::rules::Rules;
use crate::scenarios;
use crate::settings::must_be_workbook;
pub use crate::settings::{RunError, Settings};
use crate::site::{Site, by_row};
use crate::verdict::{Context, Judgement, judge, judge_closely};
use jiff::civil::Date;
use rayon::prelude::*;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

/// What a finished assessment leaves.
#[derive(Debug)]
pub struct Assessed {
    /// The lines for the terminal.
    pub lines: String,
    /// The files written, the workbook last.
    pub written: Vec<PathBuf>,
    /// Time by stage, for benchmarks; nothing in a result depends on it.
    pub stages: Stages,
}

/// Wall-clock time by stage.
#[derive(Clone, Copy, Debug, Default)]
#[allow(missing_docs)]
pub struct Stages {
    pub read: Duration,
    pub judge: Duration,
    pub rank: Duration,
    pub scenarios: Duration,
    pub write: Duration,
}

/// The main job: read, judge, estimate, rank, write.
///
/// # Errors
/// When an input cannot be used, a result cannot be written, or the user interrupts; nothing is then left half written.
pub fn assess(settings: &Settings, progress: &Progress, stop: &AtomicBool) -> Result<Assessed, RunError> {
    on_threads(settings, || assess_here(settings, progress, stop))
}

/// Work on the threads that were asked for.
fn on_threads<T: Send>(settings: &Settings, work: impl FnOnce() -> Result<T, RunError> + Send) -> Result<T, RunError> {
    match settings.threads {
        None => work(),
        Some(threads) => rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .build()
            .map_err(|fault| RunError::Threads { threads, why: fault.to_string() })?
            .install(work),
    }
}

/// Sites as they were read, each with its judgement in the same place, and what they rest on.
pub(crate) struct Judged {
    pub(crate) intake: Intake,
    pub(crate) judgements: Vec<Judgement>,
    pub(crate) rules: Rules,
    pub(crate) prices: PriceBook,
    pub(crate) notes: Vec<PriceNote>,
    pub(crate) inputs: Inputs,
    pub(crate) as_of: Date,
}

/// Reads and judges, and does nothing with it.
///
/// # Errors
/// When an input cannot be used or the user interrupts.
pub(crate) fn judged(settings: &Settings, progress: &Progress, stop: &AtomicBool) -> Result<Judged, RunError> {
    on_threads(settings, || {
        progress.stage(format!("reading {}", settings.portfolio.display()));
        let loaded = load(settings)?;
        let judgements = judge_all(&loaded.intake.sites, &loaded.context(), |judgement| judgement, progress, stop)?;
        let Loaded { intake, rules, prices, notes, inputs, as_of, .. } = loaded;
        Ok(Judged { intake, judgements, rules, prices, notes, inputs, as_of })
    })
}

/// The main job on the threads at hand.
fn assess_here(settings: &Settings, progress: &Progress, stop: &AtomicBool) -> Result<Assessed, RunError> {
    let places = Places::of(settings);
    must_be_workbook(&places.workbook)?;
    let mut outputs = Outputs::new(settings.force, &settings.inputs());
    for place in places.all(settings) {
        outputs.check(place)?;
    }
    for place in places.operator_csvs(settings) {
        outputs.check(&place)?;
    }
    let mut stages = Stages::default();
    let mut loaded = timed(&mut stages.read, || {
        progress.stage(format!("reading {}", settings.portfolio.display()));
        load(settings)
    })?;
    let needs_parquet = settings.parquet || loaded.intake.sites.len() > report::SITES_WITH_FULL_DETAIL;
    if needs_parquet && cfg!(not(feature = "parquet")) {
        return Err(RunError::NoParquet);
    }
    let every = |context: &Context<'_>, keep: fn(Judgement) -> Judgement| {
        judge_all(&loaded.intake.sites, context, keep, progress, stop)
    };
    // A judgement is large: it stays where it is from here on, and ranking moves what points to it.
    let judgements =
        timed(&mut stages.judge, || judge_all(&loaded.intake.sites, &loaded.context(), Box::new, progress, stop))?;
    let portfolio = timed(&mut stages.rank, || {
        portfolio::together(portfolio::rank(judgements, &loaded.rules), &loaded.intake.feeders, &loaded.rules)
    });
    let chosen = loaded.choice.chosen(&portfolio.sites).map_err(|why| chosen::refused(&loaded.choice, why))?;
    let bid = portfolio::bid(&portfolio.sites, &chosen.places, &loaded.rules);
    let scenarios = timed(&mut stages.scenarios, || {
        let beside =
            scenarios::Beside { run: &portfolio, choice: &loaded.choice, odds: loaded.odds, rules: &loaded.rules };
        loaded.others.iter().map(|policy| beside.judged(policy, loaded.stance, every)).collect::<Result<Vec<_>, _>>()
    })?;
    if settings.share {
        intake::share_supply_numbers(&mut loaded.intake.sites);
    }
    // Neither knows of the other.
    let (gaps, planned) = timed(&mut stages.rank, || {
        rayon::join(
            || portfolio::gaps(&portfolio.sites, &loaded.rules, &loaded.prices),
            || {
                let programme = scheduled(&loaded, &portfolio)?;
                let finish = |place: usize| programme.as_ref().and_then(|programme| programme.finish_of(place));
                let schedules =
                    operators::schedules(&portfolio, &loaded.intake.sites, &loaded.rules, loaded.as_of, &finish);
                Ok::<_, RunError>((programme, schedules))
            },
        )
    });
    let (programme, schedules) = planned?;
    // The surveys have served: what reports need of them stands in the judgements.
    loaded.intake.sites = Vec::new();
    let order = order::order(&portfolio.sites, &chosen, &loaded.rules.order, &loaded.prices);
    let visits = portfolio::visits(&portfolio.sites, settings.visits);
    let run = report::Run {
        gaps: gaps.as_ref(),
        scenarios: &scenarios,
        visits: &visits,
        programme: programme.as_ref(),
        schedules: Some(&schedules),
        ..loaded.report(&portfolio, bid.as_ref(), &order)
    };
    let written = timed(&mut stages.write, || {
        progress.stage("writing".to_owned());
        write(&run, settings, &places, &mut outputs)?;
        if stop.load(Ordering::Relaxed) {
            return Err(RunError::Interrupted);
        }
        Ok(outputs.publish()?)
    })?;
    progress.done();
    let shown = places.shown(&written);
    let mut lines = report::lines(&run, &shown);
    if settings.geojson && report::sites_on_the_map(&run) == 0 {
        lines.push_str("No map was written: no site has a latitude and a longitude.\n");
    }
    for place in places.of_an_earlier_run(settings, &written) {
        lines.push_str(&format!("{} is of an earlier run: this one has nothing for it.\n", place.display()));
    }
    Ok(Assessed { lines, written, stages })
}

/// How a spreadsheet is understood, without judging it: as a page of text, and where asked for also as a workbook with
/// the user's own sheet marked, and as the mapping that was decided.
///
/// # Errors
/// When it cannot be read, the mapping cannot be obeyed, or a file cannot be written; nothing is then left behind.
pub fn inspect(settings: &Settings) -> Result<String, RunError> {
    let mut outputs = Outputs::new(settings.force, &settings.inputs());
    if let Some(output) = &settings.output {
        must_be_workbook(output)?;
    }
    for place in settings.output.iter().chain(&settings.save_mapping) {
        outputs.check(place)?;
    }
    let (options, _) = options(settings, settings.as_of, PriceBook::default_book())?;
    let options = ReadOptions { whatever_it_lacks: true, ..options };
    let intake = intake::read_with(&settings.portfolio, &settings.with, &options)?;
    let mut page = intake::describe(&intake) + &intake::describe_layers(&intake);
    if let Some(place) = &settings.save_mapping {
        let mapping = intake::save_mapping(&intake);
        outputs.stage(place, |writer| std::io::Write::write_all(writer, mapping.as_bytes()))?;
        page.push_str(&format!("\n{} written: change what is wrong, then give it with --mapping.\n", place.display()));
    }
    if let Some(output) = &settings.output {
        let day = intake.newest_date.unwrap_or(NO_DATE);
        outputs.stage(output, |writer| report::write_marked(&intake, day, writer))?;
        page.push_str(&format!("\n{} written: your sheet with every such cell marked.\n", output.display()));
    }
    outputs.publish()?;
    Ok(page)
}

/// The whole calculation of the sites named, each by its site_id, UPRN or row: as text, or with an output named as a
/// workbook with a sheet a site, whose place is then told.
///
/// # Errors
/// When an input cannot be used, a site is not in it, or the workbook cannot be written; nothing is then left behind.
pub fn explain(settings: &Settings, wanted: &[String]) -> Result<String, RunError> {
    let mut outputs = Outputs::new(settings.force, &settings.inputs());
    if let Some(output) = &settings.output {
        must_be_workbook(output)?;
        outputs.check(output)?;
    }
    let loaded = load(settings)?;
    let found = chosen::named(&loaded.intake, wanted)?;
    let judgements: Vec<Judgement> = found.into_iter().map(|site| judge_closely(site, &loaded.context())).collect();
    let (portfolio, order) = (Portfolio::default(), Order::default());
    let run = loaded.report(&portfolio, None, &order);
    let Some(output) = &settings.output else {
        let texts: Vec<String> = judgements.iter().map(|judgement| report::explain(&run, judgement)).collect();
        return Ok(texts.join("\n\n"));
    };
    outputs.stage(output, |writer| report::write_calculations(&run, &judgements, writer))?;
    outputs.publish()?;
    let sheets = if judgements.len() == 1 { "1 site".to_owned() } else { format!("{} sites", judgements.len()) };
    Ok(format!("{} written: the calculation of {sheets}, a sheet each, to be checked and signed.\n", output.display()))
}

/// Writes the empty survey workbook.
///
/// # Errors
/// When it cannot be written.
pub fn template(output: &Path, force: bool) -> Result<(), RunError> {
    let bytes = intake::template_workbook().map_err(|fault| RunError::Template(fault.to_string()))?;
    write_one(output, force, &[], &bytes)
}

/// Writes one file whole or not at all, never over one of `inputs`.
fn write_one(place: &Path, force: bool, inputs: &[PathBuf], bytes: &[u8]) -> Result<(), RunError> {
    let mut outputs = Outputs::new(force, inputs);
    outputs.check(place)?;
    outputs.stage(place, |writer| std::io::Write::write_all(writer, bytes))?;
    outputs.publish()?;
    Ok(())
}

/// The programme that was asked for, if any: while the surveys are at hand, for the miles that each site serves.
fn scheduled(loaded: &Loaded, portfolio: &Portfolio) -> Result<Option<Programme>, RunError> {
    let Some(asked) = &loaded.programme else { return Ok(None) };
    let rows = by_row(&loaded.intake.sites);
    let survey = |site: &Ranked| rows.get(&(site.judgement.brief.sheet, site.judgement.brief.row)).copied();
    let with = programme::With { rules: &loaded.rules, prices: &loaded.prices, as_of: loaded.as_of };
    Ok(Some(programme::programme(asked, &portfolio.sites, &survey, with)?))
}

/// Every site on its own, in parallel, in the order of the sheet, each judgement through `keep`.
pub(crate) fn judge_all<T: Send>(
    sites: &[Site],
    context: &Context<'_>,
    keep: fn(Judgement) -> T,
    progress: &Progress,
    stop: &AtomicBool,
) -> Result<Vec<T>, RunError> {
    /// Sites between two looks at the progress bar and the interrupt.
    const BATCH: usize = 64;
    progress.judging(sites.len() as u64);
    let batches: Result<Vec<Vec<T>>, RunError> = sites
        .par_chunks(BATCH)
        .map(|sites| {
            if stop.load(Ordering::Relaxed) {
                return Err(RunError::Interrupted);
            }
            let judged = sites.iter().map(|site| keep(judge(site, context))).collect();
            progress.judged(sites.len() as u64);
            Ok(judged)
        })
        .collect();
    let mut judged = Vec::with_capacity(sites.len());
    judged.extend(batches?.into_iter().flatten());
    Ok(judged)
}

fn write(
    run: &report::Run<'_>,
    settings: &Settings,
    places: &Places,
    outputs: &mut Outputs,
) -> Result<(), OutputError> {
    if settings.json {
        outputs.stage(&places.json, |writer| report::write_json(run, writer))?;
    }
    if settings.csv {
        outputs.stage(&places.csv, |writer| report::write_csv(run, writer))?;
        outputs.stage(&places.order_csv, |writer| report::write_order_csv(run, writer))?;
        outputs.stage(&places.cutting_csv, |writer| report::write_cutting_csv(run, writer))?;
        if let Some(gaps) = run.gaps {
            outputs.stage(&places.questions_csv, |writer| report::write_questions_csv(run, gaps, writer))?;
        }
        for table in run.schedules.iter().flat_map(|schedules| &schedules.tables) {
            let place = places.operator_csv(table.operator);
            outputs.stage(&place, |writer| report::write_operator_csv(run, table, writer))?;
        }
    }
    if settings.geojson && report::sites_on_the_map(run) > 0 {
        outputs.stage(&places.geojson, |writer| report::write_geojson(run, writer))?;
    }
    #[cfg(feature = "parquet")]
    if settings.parquet || report::Extent::of(run).is_cut(run) {
        return outputs.stage_two(
            (&places.parquet, |writer: &mut _| report::write_parquet(run, writer)),
            (&places.workbook, |writer: &mut _| report::write_workbook(run, writer)),
        );
    }
    outputs.stage(&places.workbook, |writer| report::write_workbook(run, writer))
}

fn timed<T>(slot: &mut Duration, work: impl FnOnce() -> T) -> T {
    let start = Instant::now();
    let done = work();
    *slot += start.elapsed();
    done
}
