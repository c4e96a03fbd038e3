//! Sheets of the workbook of outcomes: Sites (said and found side by side), Priors, Task hours, Not used.

use super::LearnedRun;
use super::words::{task, told_by};
use crate::learn::{FoundFact, LearnedWeight, Proved, SideBySide};
use crate::quantity::round_to;
use crate::report::grid::{Cell, Form, Paper, Row, Rows, Sheet, folded, heading, names};
use crate::site::Premises;

/// Sites with an outcome, what was said of them and what was found.
pub(super) fn sites<'a>(run: &LearnedRun<'a>) -> Sheet<'a> {
    use Form::{Hundredths, Ordinal, Pence, Percent, Tenths, Text, Wrapped};
    Sheet {
        name: names::OUTCOME_SITES,
        subject: "Sites with an outcome: what was said of them and what was found; costs before VAT",
        headings: vec![
            heading("Site", 11.0, Text),
            heading("Address", 30.0, Wrapped),
            heading("Lot", 13.0, Text),
            heading("Premises", 11.0, Text),
            heading("Verdict said", 15.0, Text),
            heading("Verdict found", 15.0, Text),
            heading("Right", 7.0, Text),
            heading("Chance of ready", 8.5, Percent),
            heading("Cost said £", 12.0, Pence),
            heading("Cost found £", 12.0, Pence),
            heading("Found by said", 8.5, Hundredths),
            heading("Within its band", 8.5, Text),
            heading("Hours said", 9.0, Tenths),
            heading("Hours found", 9.0, Tenths),
            heading("Found by said", 8.5, Hundredths),
            heading("Facts found", 60.0, Wrapped),
            heading("Verdict not learned from", 28.0, Wrapped),
            folded("Computed verdict", 15.0, Text),
            folded("Cost said, low £", 12.0, Pence),
            folded("Cost said, high £", 12.0, Pence),
            folded("File", 26.0, Text),
            folded("Row", 7.0, Ordinal),
        ],
        frozen: 1,
        printed: Some(17),
        paper: Paper::A3,
        rows: Rows::of(run.learned.sites.iter(), site),
    }
}

fn site(site: &SideBySide) -> Row<'_> {
    let verdict = |verdict| Cell::Verdict(verdict, false);
    let yes_no = |yes: bool| Cell::from(if yes { "yes" } else { "no" });
    let ratio = |found: Option<f64>, said: Option<f64>| {
        let both = found.zip(said).filter(|(_, said)| *said > 0.0);
        both.map_or(Cell::Blank, |(found, said)| Cell::Number(round_to(found / said, 2)))
    };
    let (cost, hours) = (site.cost_said, site.hours_said);
    let held = cost.zip(site.cost_found).map(|(said, found)| said.low <= found && found <= said.high);
    vec![
        site.site_id.as_str().into(),
        site.address.as_str().into(),
        site.lot.as_str().into(),
        site.premises.map(Premises::word).unwrap_or_default().into(),
        Cell::Verdict(site.said, site.said != site.computed),
        site.found.map_or(Cell::Blank, verdict),
        site.found.map_or(Cell::Blank, |found| yes_no(found == site.said)),
        site.probability_ready.map_or(Cell::Blank, Cell::Percent),
        cost.map_or(Cell::Blank, |cost| Cell::Money(cost.likely)),
        site.cost_found.map_or(Cell::Blank, Cell::Money),
        ratio(site.cost_found.map(|cost| cost.pounds()), cost.map(|cost| cost.likely.pounds())),
        held.map_or(Cell::Blank, yes_no),
        hours.map(|hours| round_to(hours.likely, 1)).into(),
        site.hours_found.map(|hours| round_to(hours, 1)).into(),
        ratio(site.hours_found, hours.map(|hours| hours.likely)),
        site.facts.iter().map(fact).collect::<Vec<_>>().join("; ").into(),
        site.verdict_unused.into(),
        verdict(site.computed),
        cost.map_or(Cell::Blank, |cost| Cell::Money(cost.low)),
        cost.map_or(Cell::Blank, |cost| Cell::Money(cost.high)),
        site.from.0.as_str().into(),
        site.from.1.into(),
    ]
}

fn fact(fact: &FoundFact) -> String {
    let said = match &fact.proved {
        Proved::Alternative(when, value) => format!("was open ({when}), proved to be {value:?}"),
        Proved::None(when) => format!("was open ({when}), is none of its values with a weight"),
        Proved::AsSurveyed => "as surveyed".to_owned(),
        Proved::Otherwise(surveyed) => format!("surveyed as {surveyed}"),
        Proved::NotLearned => "not open, not surveyed".to_owned(),
    };
    format!("{} {}: {said}", fact.field, fact.value)
}

/// The weights, a row an alternative.
pub(super) fn priors<'a>(run: &LearnedRun<'a>) -> Sheet<'a> {
    use Form::{Tenths, Text, Thousandths, Wrapped};
    let rows = run
        .learned
        .weights
        .all
        .iter()
        .flat_map(|weight| weight.values.iter().enumerate().map(move |(place, value)| prior(weight, place, value)));
    Sheet {
        name: names::PRIORS,
        subject: "Weights of what open facts may prove to be, before and after the outcomes",
        headings: vec![
            heading("Fact", 22.0, Text),
            heading("Condition", 34.0, Wrapped),
            heading("Value", 20.0, Text),
            heading("Weight before", 9.0, Thousandths),
            heading("Weight after", 9.0, Thousandths),
            heading("Standard error", 9.0, Thousandths),
            heading("Proposed", 9.0, Thousandths),
            heading("Sites seen", 8.5, Tenths),
            heading("By verdict alone", 8.5, Tenths),
            heading("Worth, sites seen", 8.5, Tenths),
            heading("Why not proposed", 26.0, Wrapped),
            heading("Hard to tell from", 40.0, Wrapped),
            heading("Told by", 34.0, Wrapped),
        ],
        frozen: 3,
        printed: None,
        paper: Paper::A3,
        rows: Rows::few(rows),
    }
}

fn prior<'a>(weight: &'a LearnedWeight, place: usize, value: &'static str) -> Row<'a> {
    let figure = |list: &[f64]| Cell::from(list.get(place).map(|own| round_to(*own, 4)));
    let proposed = weight.proposed.as_ref().and_then(|parts| parts.get(place)).map(|part| f64::from(*part) / 10_000.0);
    let rival =
        weight.rival.map(|rival| format!("{} ({}), correlation {:.2}", rival.field, rival.when, rival.correlation));
    vec![
        weight.field.into(),
        weight.when.into(),
        value.into(),
        figure(&weight.before),
        figure(&weight.after),
        figure(&weight.error),
        proposed.into(),
        round_to(weight.seen, 1).into(),
        round_to(weight.by_verdict, 1).into(),
        round_to(weight.worth, 1).into(),
        weight.why_not.into(),
        rival.unwrap_or_default().into(),
        told_by(weight).into(),
    ]
}

/// The tasks.
pub(super) fn tasks<'a>(run: &LearnedRun<'a>) -> Sheet<'a> {
    use Form::{Tenths, Text, Thousandths, Whole, Wrapped};
    let run = *run;
    let rows = run.learned.tasks.tasks.iter().map(move |own| {
        let note = run.prices.iter().find(|note| note.item == own.task);
        let hours = |pick: fn(&super::PriceNote) -> f64, factor: Option<f64>| {
            Cell::from(note.zip(factor).map(|(note, factor)| round_to(pick(note) * factor, 4)))
        };
        vec![
            own.task.into(),
            task(&run, own.task).into(),
            own.sites.into(),
            round_to(own.said_h, 1).into(),
            round_to(own.factor, 3).into(),
            round_to(own.error, 3).into(),
            own.proposed.map(|factor| round_to(factor, 3)).into(),
            note.map(|note| note.unit.as_str()).unwrap_or_default().into(),
            hours(|note| note.likely, Some(1.0)),
            hours(|note| note.low, own.proposed),
            hours(|note| note.likely, own.proposed),
            hours(|note| note.high, own.proposed),
            if own.clamped { "brought within the bounds of the rules".into() } else { own.why_not.into() },
        ]
    });
    Sheet {
        name: names::TASK_HOURS,
        subject: "Hours of tasks: what they are to be multiplied by, as outcomes tell",
        headings: vec![
            heading("Task", 26.0, Text),
            heading("In words", 44.0, Wrapped),
            heading("Sites", 7.0, Whole),
            heading("Hours said in all", 9.5, Tenths),
            heading("Factor", 8.5, Thousandths),
            heading("Standard error", 9.0, Thousandths),
            heading("Proposed", 9.0, Thousandths),
            heading("Unit", 14.0, Text),
            heading("Hours now", 9.0, Thousandths),
            heading("Proposed, low", 9.0, Thousandths),
            heading("Proposed, likely", 9.0, Thousandths),
            heading("Proposed, high", 9.0, Thousandths),
            heading("Remark", 34.0, Wrapped),
        ],
        frozen: 1,
        printed: None,
        paper: Paper::A3,
        rows: Rows::few(rows),
    }
}

/// What could not be used.
pub(super) fn not_used<'a>(run: &LearnedRun<'a>) -> Sheet<'a> {
    use Form::{Ordinal, Text, Wrapped};
    let rows = Rows::of(run.not_used.iter(), |one| {
        vec![
            one.file.as_str().into(),
            if one.row > 0 { one.row.into() } else { Cell::Blank },
            one.cell.as_str().into(),
            one.field.into(),
            one.found.as_str().into(),
            one.why.as_str().into(),
        ]
    });
    Sheet {
        name: names::NOT_USED,
        subject: "Rows, cells and columns of the outcomes that could not be used",
        headings: vec![
            heading("File", 30.0, Wrapped),
            heading("Row", 7.0, Ordinal),
            heading("Cell", 8.0, Text),
            heading("Column", 22.0, Text),
            heading("What stands there", 34.0, Wrapped),
            heading("Why, and what was expected", 70.0, Wrapped),
        ],
        frozen: 0,
        printed: None,
        paper: Paper::A4,
        rows,
    }
}
