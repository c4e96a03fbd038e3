//! What the sheet "Try a site" must find: drawn sites judged and written as a workbook, facts changed by dice, and the
//! engine's own answer for the arrangement that was chosen, held as it is. `recalculate.py` gives the workbook the same
//! changes and compares. Everything is written into a folder named by LIVE_FOLDER; without it the answers are only made.

mod answer;
mod change;
#[allow(dead_code)]
#[path = "../second/draw.rs"]
mod draw;
#[path = "../splitmix.rs"]
mod splitmix;

use answer::{answer, columns};
use baywright::design::{facts, held};
use baywright::estimate::PriceBook;
use baywright::intake::Intake;
use baywright::order::order;
use baywright::portfolio::{Chosen, rank};
use baywright::report::{Inputs, Run, write_workbook};
use baywright::rules::{Rules, Stance};
use baywright::site::{Reading, Site};
use baywright::verdict::{Context, Judgement, judge};
use change::{Change, INPUTS};
use draw::{Dice, any_site, rules_named};
use std::fs;
use std::path::{Path, PathBuf};

/// Rules, and how many sites are drawn under them.
const DRAWN: [(&str, u64); 9] = [
    ("default", 560),
    ("breaker alone disconnects", 30),
    ("no separate device either", 30),
    ("thermoplastic only", 30),
    ("one layer, warm dry ground", 30),
    ("tray", 30),
    ("curve C", 30),
    ("method 103", 30),
    ("remarks count", 40),
];
/// Facts changed of each site, a change a case, beside the case that changes nothing.
const CHANGES: usize = 8;

/// A site of one point with its judgement.
fn drawn(trial: u64, rules: &Rules) -> Option<(Site, Judgement)> {
    let context = Context {
        rules,
        prices: PriceBook::default_book(),
        stance: Stance::Screen,
        as_of: jiff::civil::date(2026, 11, 25),
        odds: false,
    };
    let mut dice = Dice::of_trial(trial ^ 0x7279_5f61);
    let mut site = any_site(&mut dice);
    site.wanted.points_wanted = Reading::of(1.0);
    site.site_id = format!("S{trial:05}");
    site.row = u32::try_from(trial).unwrap() + 2;
    let mut judgement = judge(&site, &context);
    // A length in doubt that flips the verdict is settled by the verdict before it designs: here it is plain.
    if judgement.findings.iter().any(|finding| finding.check.name == "unsettled-fact") {
        site.parking.parking_distance_m = Reading::default();
        judgement = judge(&site, &context);
    }
    judgement.basis.is_some().then_some((site, judgement))
}

/// One line of a table of cells.
fn line(writer: &mut csv::Writer<fs::File>, cells: impl IntoIterator<Item = String>) {
    writer.write_record(cells).unwrap();
}

fn written(folder: &Path, name: &str, ending: &str) -> PathBuf {
    folder.join(format!("{}{ending}", name.replace([' ', ','], "-")))
}

/// Draws sites and changes under these rules, and writes them; answers how many sites, cases and figures there were.
fn write(name: &str, count: u64, folder: &Path) -> (usize, usize, usize) {
    let rules = rules_named(name);
    let (mut sites, mut judgements, mut trial) = (Vec::new(), Vec::new(), 0);
    while (sites.len() as u64) < count {
        if let Some((site, judgement)) = drawn(trial, &rules) {
            sites.push((site, judgement.clone()));
            judgements.push(judgement);
        }
        trial += 1;
    }
    let portfolio = rank(judgements, &rules);
    let (mut intake, prices) = (Intake::default(), PriceBook::default_book());
    intake.source.name = "drawn.xlsx".into();
    let chosen = Chosen { words: "none".into(), places: Vec::new() };
    let order = order(&portfolio.sites, &chosen, &rules.order, prices);
    let run = Run {
        intake: &intake,
        portfolio: &portfolio,
        bid: None,
        gaps: None,
        scenarios: &[],
        visits: &[],
        programme: None,
        schedules: None,
        order: &order,
        rules: &rules,
        prices: &[],
        stance: "screen",
        as_of: jiff::civil::date(2026, 11, 25),
        version: "0",
        inputs: &Inputs::default(),
    };
    write_workbook(&run, fs::File::create(written(folder, name, ".xlsx")).unwrap()).unwrap();
    let mut changes = csv::Writer::from_path(written(folder, name, "-changes.csv")).unwrap();
    let mut expected = csv::Writer::from_path(written(folder, name, "-expected.csv")).unwrap();
    let heads = ["case", "your_site"].map(str::to_owned).into_iter();
    line(&mut changes, heads.chain(INPUTS.iter().map(|input| format!("your_{input}"))));
    line(&mut expected, std::iter::once("case".to_owned()).chain(columns()));
    let (mut cases, mut figures) = (0, 0);
    for (number, (site, judgement)) in (0..).zip(&sites) {
        let mut dice = Dice::of_trial(number ^ 0x6368_616e);
        let chosen = judgement.chosen.as_ref().unwrap();
        for case in 0..=CHANGES {
            let change = if case == 0 { Change::default() } else { Change::drawn(&mut dice, site, chosen, &rules) };
            let (mut facts, _) = facts(&change.site(site, &rules), &rules);
            change.facts(&mut facts);
            let held = held(&facts, &rules, &change.arrangement(chosen)).expect("one point with a cable of the tables");
            let answers = answer(&held, judgement, &rules);
            figures += answers.iter().filter(|answer| *answer != "-").count();
            cases += 1;
            let cells = INPUTS.iter().map(|input| change.cell(input));
            line(&mut changes, [cases.to_string(), site.site_id.clone()].into_iter().chain(cells));
            line(&mut expected, std::iter::once(cases.to_string()).chain(answers));
        }
    }
    changes.flush().unwrap();
    expected.flush().unwrap();
    (sites.len(), cases, figures)
}

#[test]
fn the_engine_answers_every_change() {
    let kept = std::env::var("LIVE_FOLDER").ok();
    let own = tempfile::tempdir().unwrap();
    let folder = kept.as_ref().map_or(own.path(), |folder| Path::new(folder));
    // Without a reader of the answers a few of them show that they can be made.
    let share = if kept.is_some() { 1 } else { 10 };
    let mut all = (0, 0);
    for (name, count) in DRAWN {
        let (sites, cases, figures) = write(name, (count / share).max(1), folder);
        assert_eq!(cases, sites * (CHANGES + 1));
        assert!(figures > cases * 30, "{name}: {figures} figures in {cases} cases");
        all = (all.0 + sites, all.1 + cases);
    }
    assert!(kept.is_none() || all.0 >= 500, "{all:?}");
}
