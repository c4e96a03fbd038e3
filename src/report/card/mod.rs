//! One site's job card as data: what is fitted, where, how long, whom to call first, what to bring, what to measure, what
//! stops the work, and room for what is found. Terminal and paper are written from it. It finds nothing new.

mod book;
mod page;
mod terms;

pub use book::{card_text, write_cards};

use super::Run;
use super::calculation::{Calculation, parts};
use super::figures::{plain, weeks};
use super::materials::PriceIndex;
use crate::design::Arrangement;
use crate::intake::{personal_cells, personal_columns};
use crate::site::{Reading, Site, Verdict};
use crate::verdict::Judgement;
use terms::Terms;

/// Lines of materials on a card; the rest is on the sheet Materials of an assessment.
const MATERIALS_SHOWN: usize = 20;
/// What the user's own sheet says of contact and access: lines, and characters of a line.
const OWN_SHOWN: usize = 6;
const OWN_LONGEST: usize = 110;
/// What of it a crew needs; the rest of what may be of a person is nobody's business on a job.
const OWN_KINDS: [&str; 4] = ["name", "telephone", "access", "notes"];

/// A site to make a card for.
#[derive(Clone, Copy, Debug)]
pub struct CardSite<'a> {
    /// The survey.
    pub site: &'a Site,
    /// What is said of it.
    pub judgement: &'a Judgement,
}

/// Lines under a heading.
struct Block {
    title: &'static str,
    lines: Vec<String>,
}

/// A card.
struct Card {
    /// Key and place.
    title: String,
    /// Whether the work may be booked.
    may_start: String,
    /// The next step.
    next: String,
    /// What is fitted; empty where nothing was designed.
    what: Block,
    place: Block,
    time: Block,
    calls: Block,
    materials: Block,
    tools: Block,
    measures: Block,
    tests: Block,
    stops: Block,
    /// What the user's own sheet says of contact and access.
    own: Block,
    /// What the card rests on, and how it is to be kept.
    foot: String,
}

impl Card {
    fn of(run: &Run<'_>, of: CardSite<'_>) -> Self {
        let CardSite { site, judgement } = of;
        let calculation = Calculation::of(judgement);
        // What is blocked has no job: a list of what to bring would only mislead.
        let job = judgement.counted_verdict() != Verdict::Blocked;
        let chosen = judgement.chosen.as_ref().filter(|_| job);
        let terms = Terms::of(site, judgement);
        let block = |title, lines| Block { title, lines };
        let own = own_lines(run, site);
        let personal = match (run.intake.left_out.is_some(), own.is_empty()) {
            (true, _) => "Names, telephones and access notes are left out for sharing.",
            (false, true) => "",
            (false, false) => "Holds personal data: for this job only; destroy it afterwards.",
        };
        let tested = |test: &&super::calculation::SiteTest| format!("☐ {} ({})", test.test, test.clause);
        Self {
            title: format!("{}  {}", judgement.brief.site_id, parts::place(&judgement.brief)),
            may_start: may_start(judgement),
            next: judgement.next_step.clone(),
            what: block("What is fitted", chosen.map(what).unwrap_or_default()),
            place: block("Where", place(site, judgement)),
            time: block("How long", time(run, judgement)),
            calls: block("Whom to call first", if job { terms.calls() } else { terms.calls_without_a_job() }),
            materials: block(
                "Bring: materials, likely quantities, pieces rounded up",
                only(chosen, materials(run, judgement)),
            ),
            tools: block("Bring: tools and test instruments", only(chosen, terms.tools())),
            measures: block(
                "Measure before energising",
                only(chosen, calculation.measures.iter().map(|one| format!("☐ {}", one.words)).collect()),
            ),
            tests: block("Test before energising", only(chosen, calculation.tests.iter().map(tested).collect())),
            stops: block("Stop, make safe and ask the designer", terms.stops()),
            own: block("From the sheet: contact and access", own),
            foot: foot(run, personal),
        }
    }

    /// The blocks in the order in which a crew reads them, without those that say nothing.
    fn blocks(&self) -> impl Iterator<Item = &Block> {
        let all = [
            &self.what,
            &self.place,
            &self.time,
            &self.own,
            &self.calls,
            &self.materials,
            &self.tools,
            &self.stops,
            &self.measures,
            &self.tests,
        ];
        all.into_iter().filter(|block| !block.lines.is_empty())
    }
}

/// The lines, where there is something to fit.
fn only(chosen: Option<&Arrangement>, lines: Vec<String>) -> Vec<String> {
    if chosen.is_some() { lines } else { Vec::new() }
}

/// Whether the work may be booked, in a line that nobody can miss. An engineer's verdict counts.
fn may_start(judgement: &Judgement) -> String {
    let set = judgement.brief.override_verdict.is_some();
    let set = if set { " (verdict set by an engineer)" } else { "" };
    match judgement.counted_verdict() {
        Verdict::Ready if judgement.chosen.is_none() => format!("DO NOT START: nothing is designed here yet{set}."),
        Verdict::Ready => format!("May be booked once the calls below are made and their answers are there{set}."),
        Verdict::Marginal => {
            let waits: Vec<&str> = judgement.waits_for.iter().map(|wait| waited_for(wait.word())).collect();
            let time = judgement.weeks.filter(|time| time.high > 0);
            let time = time.map_or_else(String::new, |time| format!(", {}", weeks(time.low, time.high)));
            let waits = if waits.is_empty() { "what is open".to_owned() } else { waits.join(" and ") };
            format!("DO NOT START: waits for {waits}{time}{set}.")
        }
        Verdict::Blocked => format!("NO JOB: the site is blocked{set}."),
    }
}

/// What a site waits for, as part of a sentence.
fn waited_for(word: &str) -> &str {
    match word {
        "fact" => "a fact that somebody has to find out",
        "operator" => "the network operator's answer",
        "consent" => "a consent",
        other => other,
    }
}

fn what(chosen: &Arrangement) -> Vec<String> {
    let loops = format!(
        "Loop at the point: {} Ω by design, at most {} Ω, conductors hot",
        plain(chosen.zs_ohm, 2),
        plain(chosen.zs_limit_ohm, 2)
    );
    parts::arrangement(chosen, None)
        .into_iter()
        .filter(|(label, _)| *label != "Shared")
        .map(|(label, words)| format!("{label}: {words}"))
        .chain([loops])
        .collect()
}

/// A stated value with its doubt, else that it is to be found out.
fn stated(what: &str, reading: &Reading<f64>, unit: &str) -> String {
    match reading.ends() {
        Some((low, likely, high)) if low < high => {
            format!("{what} {} {unit} ({} to {}: look)", plain(*likely, 1), plain(*low, 1), plain(*high, 1))
        }
        Some((_, likely, _)) => format!("{what} {} {unit}", plain(*likely, 1)),
        None => format!("{what} not known: look"),
    }
}

fn place(site: &Site, judgement: &Judgement) -> Vec<String> {
    let (parking, supply) = (&site.parking, &site.supply);
    let mut lines = Vec::new();
    let word = parking.parking_type.likely().map_or("not known: look", |parking| parking.word());
    let bays = parking.bays.value().filter(|bays| *bays > 0.0);
    let bays = bays.map_or_else(String::new, |bays| format!(", bays {}", plain(bays, 0)));
    let brief = &judgement.brief;
    let at = brief.latitude.zip(brief.longitude);
    let at = at.map_or_else(String::new, |(latitude, longitude)| format!("; at {latitude}, {longitude}"));
    lines.push(format!("Parking: {word}{bays}{at}"));
    for run in judgement.chosen.iter().flat_map(|chosen| &chosen.runs) {
        let legs = [(run.indoor_m, "indoors"), (run.surface_m, "on surfaces"), (run.buried_m, "in the ground")];
        let legs: Vec<String> =
            legs.iter().filter(|(m, _)| *m > 0.0).map(|(m, how)| format!("{} m {how}", plain(*m, 1))).collect();
        if !legs.is_empty() {
            let ground = parking.ground_surface.likely().filter(|_| run.buried_m > 0.0);
            let ground = ground.map_or_else(String::new, |ground| format!(" ({})", ground.word()));
            lines.push(format!("Route: {}{ground}", legs.join(", ")));
        }
    }
    if let Some(walls) = parking.walls.value().filter(|walls| *walls > 0.0) {
        lines.push(format!("Walls to drill: {}", plain(walls, 0)));
    }
    let evidence = supply.cutout_evidence.likely();
    let evidence = evidence.map_or_else(String::new, |evidence| format!(", known by {}", evidence.word()));
    let fuse = format!("{}{evidence}", stated("Cut-out fuse", &supply.cutout_rating_a, "A"));
    let earthing = supply.earthing_system.stated().map_or("not known: look", |earthing| earthing.word());
    let looped = match supply.looped_service.stated() {
        Some(true) => "yes",
        Some(false) => "no",
        None => "not known: look",
    };
    lines.push(fuse);
    lines.push(format!("Earthing as surveyed: {earthing}; looped service: {looped}"));
    lines
}

fn time(run: &Run<'_>, judgement: &Judgement) -> Vec<String> {
    let Some(estimate) = &judgement.estimate else { return Vec::new() };
    let hours = estimate.hours;
    let mut lines = vec![format!(
        "{} person-hours ({} to {}), {}",
        plain(hours.likely, 1),
        plain(hours.low, 1),
        plain(hours.high, 1),
        estimate.labour_band.word()
    )];
    let prices = PriceIndex::of(run.prices);
    for crew in &estimate.crews {
        let persons = if crew.persons == 1 { "1 person".to_owned() } else { format!("{} persons", crew.persons) };
        lines.push(format!(
            "{}, {persons}: {} days ({} to {})",
            prices.crew(crew.rate),
            plain(crew.days.likely, 1),
            plain(crew.days.low, 1),
            plain(crew.days.high, 1)
        ));
    }
    lines
}

fn materials(run: &Run<'_>, judgement: &Judgement) -> Vec<String> {
    let prices = PriceIndex::of(run.prices);
    let bill = judgement.estimate.iter().flat_map(|estimate| &estimate.bill);
    let mut lines: Vec<String> = bill
        .map(|line| {
            let (description, unit) = prices.words(line.item);
            // Nobody brings a third of a set: what is counted is whole, what is measured is not.
            let likely = line.quantity.likely;
            let number = if unit == "m" { plain(likely, 1) } else { plain(likely.ceil(), 0) };
            format!("☐ {}  {description}", format!("{number} {unit}").trim_end())
        })
        .collect();
    let more = lines.len().saturating_sub(MATERIALS_SHOWN);
    if more > 1 {
        lines.truncate(MATERIALS_SHOWN);
        lines.push(format!("and {more} more lines: sheet Materials of the assessment"));
    }
    lines
}

/// What the user's own sheet says of contact and access, for the crew alone.
fn own_lines(run: &Run<'_>, site: &Site) -> Vec<String> {
    if run.intake.left_out.is_some() {
        return Vec::new();
    }
    let Some(row) = run.intake.rows.iter().find(|row| (row.sheet, row.row) == (site.sheet, site.row)) else {
        return Vec::new();
    };
    let kinds = personal_columns(run.intake);
    let cells = personal_cells(run.intake, &kinds, row).into_iter();
    let of_a_crew = cells.filter(|(kind, heading, _)| OWN_KINDS.contains(kind) && !heading.starts_with("override"));
    of_a_crew
        .take(OWN_SHOWN)
        .map(|(_, heading, cell)| {
            let words: Vec<&str> = heading.split_whitespace().chain([":"]).chain(cell.split_whitespace()).collect();
            words.join(" ").replacen(" : ", ": ", 1).chars().take(OWN_LONGEST).collect()
        })
        .collect()
}

fn foot(run: &Run<'_>, personal: &str) -> String {
    let short = |digest: &str| digest.chars().take(12).collect::<String>();
    let inputs = run.inputs;
    let text = format!(
        "{personal} Spreadsheet {} ({}), rules {}, price book {}; edition {}; Baywright {}.",
        inputs.portfolio.name,
        short(&inputs.portfolio.sha256),
        inputs.rules.name,
        inputs.price_book.name,
        run.rules.edition,
        run.version
    );
    text.trim_start().to_owned()
}
