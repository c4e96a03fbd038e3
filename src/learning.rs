//! The shell of learning: a portfolio is judged again as it stood, outcomes are read beside it, and what they tell is
//! printed and, where asked for, written.

use crate::intake;
use crate::learn::{self, Case, Learned};
use crate::progress::Progress;
use crate::report::{self, InputFile, LearnedRun, Outputs};
use crate::run::{Judged, judged};
use crate::settings::{RunError, Settings, must_be_workbook};
use std::io::Write;
use std::path::PathBuf;
use std::sync::atomic::AtomicBool;

/// What is to be learned from what.
#[derive(Clone, Debug, Default)]
pub struct Learning {
    /// The portfolio and how it was judged; its `output` is the workbook, `json` the document beside it.
    pub settings: Settings,
    /// Files of outcomes.
    pub from: Vec<PathBuf>,
    /// Where to write the weights that are proposed.
    pub save_rules: Option<PathBuf>,
    /// Where to write the task hours that are proposed.
    pub save_prices: Option<PathBuf>,
}

/// What outcomes tell, as a page of text; where asked for also as a workbook, as JSON, and as overlays.
///
/// # Errors
/// When an input cannot be used, a place cannot be written, or the user interrupts; nothing is then left behind.
pub fn learn(asked: &Learning, progress: &Progress, stop: &AtomicBool) -> Result<String, RunError> {
    let settings = &asked.settings;
    let inputs: Vec<PathBuf> = settings.inputs().into_iter().chain(asked.from.iter().cloned()).collect();
    let mut outputs = Outputs::new(settings.force, &inputs);
    let json = settings.output.as_ref().filter(|_| settings.json).map(|workbook| workbook.with_extension("json"));
    if let Some(workbook) = &settings.output {
        must_be_workbook(workbook)?;
    }
    let places = [&asked.save_rules, &asked.save_prices, &json, &settings.output];
    for (at, place) in places.iter().enumerate() {
        let Some(place) = place else { continue };
        outputs.check(place)?;
        if places.iter().take(at).any(|other| other.as_ref() == Some(place)) {
            return Err(RunError::TwoFiles(place.display().to_string()));
        }
    }
    let judged = judged(settings, progress, stop)?;
    let read = intake::read_outcomes(&asked.from, &judged.intake)?;
    let cases: Vec<Case<'_>> = read
        .outcomes
        .iter()
        .filter_map(|outcome| {
            let (site, judgement) = (judged.intake.sites.get(outcome.at)?, judged.judgements.get(outcome.at)?);
            Some(Case { site, judgement, outcome })
        })
        .collect();
    let learned = learn::learn(&cases, &judged.rules);
    let mut files: Vec<InputFile> = Vec::new();
    for file in &read.files {
        let file = InputFile { name: file.name.clone(), sha256: file.sha256.clone() };
        if !files.contains(&file) {
            files.push(file);
        }
    }
    let run = LearnedRun {
        learned: &learned,
        not_used: &read.not_used,
        rows_read: read.rows_read,
        judged: judged.judgements.len(),
        outcomes: &files,
        inputs: &judged.inputs,
        prices: &judged.notes,
        stance: settings.stance.word(),
        as_of: judged.as_of,
        least_sites: judged.rules.learn.least_sites,
        told_by_errors: judged.rules.learn.told_by_errors,
    };
    let mut page = report::learned_page(&run);
    let said = overlays(asked, &learned, &judged, &files, &mut outputs)?;
    if let Some(json) = &json {
        outputs.stage(json, |writer| report::write_learned_json(&run, writer))?;
    }
    if let Some(workbook) = &settings.output {
        outputs.stage(workbook, |writer| report::write_learned(&run, writer))?;
    }
    let written = outputs.publish()?;
    progress.done();
    if !said.is_empty() || !written.is_empty() {
        page.push('\n');
    }
    said.iter().for_each(|line| page.push_str(&format!("{line}\n")));
    if !written.is_empty() {
        let shown: Vec<String> = written.iter().map(|path| path.display().to_string()).collect();
        page.push_str(&format!("{} written.\n", shown.join(" and ")));
    }
    Ok(page)
}

/// Stages the overlays that were asked for; what is to be said of them.
fn overlays(
    asked: &Learning,
    learned: &Learned,
    judged: &Judged,
    files: &[InputFile],
    outputs: &mut Outputs,
) -> Result<Vec<String>, RunError> {
    let from = files
        .iter()
        .map(|file| format!("{} (SHA-256 {})", file.name, file.sha256.get(..16).unwrap_or(&file.sha256)))
        .collect::<Vec<_>>()
        .join(", ");
    let mut said = Vec::new();
    for (place, text, own, option) in [
        (&asked.save_rules, learn::rules_overlay(learned, &from), &asked.settings.rules, "--rules"),
        (&asked.save_prices, learn::prices_overlay(learned, &judged.prices, &from), &asked.settings.prices, "--prices"),
    ] {
        let Some(place) = place else { continue };
        let Some(text) = text else {
            said.push(format!("Nothing is proposed for {}: it is not written.", place.display()));
            continue;
        };
        outputs.stage(place, |writer| writer.write_all(text.as_bytes()))?;
        match own {
            Some(own) => said.push(format!(
                "{} holds what was learned and nothing else: copy it into {}, which {option} takes alone.",
                place.display(),
                own.display()
            )),
            None => said.push(format!("{} is given with {option}, if you want it.", place.display())),
        }
    }
    Ok(said)
}
