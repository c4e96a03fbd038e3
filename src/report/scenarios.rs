//! Sheets Scenarios (the run and each scenario, a line each) and What moves (every site that is not as in the run), and
//! the lines on the terminal. How sites are judged anew it does not know.

use super::Run;
use super::figures::{plain, short, thousands};
use super::grid::{Cell, Form, Heading, Paper, Row, Rows, Sheet, heading, names};
use super::scenario_record::THIS_RUN;
use super::stands;
use super::summary::title_of;
use crate::portfolio::{Change, Figures, Moved, Scenario, Tally};
use crate::quantity::{Pence, round_current_a, round_to};
use crate::site::Verdict;
use jiff::civil::Date;

/// The sheet of figures; made only where there are scenarios.
pub(super) fn sheet<'a>(run: &'a Run<'a>) -> Sheet<'a> {
    let own = Figures::of(run.portfolio, run.bid);
    let first = row(&own, [THIS_RUN.into(), Cell::Blank], run.as_of, &own, None);
    let others = run.scenarios.iter().map(move |scenario| {
        let name = [scenario.name.as_str().into(), scenario.differs.word().into()];
        row(&own, name, scenario.as_of, &scenario.figures, Some(scenario.tally))
    });
    Sheet {
        name: names::SCENARIOS,
        subject: "Scenarios: the same sites under other rules or prices; costs before VAT, of sites not blocked",
        headings: headings(run),
        frozen: 1,
        printed: None,
        paper: Paper::A3,
        rows: Rows::few(std::iter::once(first).chain(others)),
    }
}

fn headings<'a>(run: &'a Run<'a>) -> Vec<Heading<'a>> {
    use Form::{Pence, Pounds, Tenths, Text, Whole};
    let moved = plain(run.rules.scenario.moved_cost_percent, 2);
    vec![
        heading("Scenario", 30.0, Text),
        heading("What is other", 10.0, Text),
        heading("Date", 11.0, Form::Date),
        heading("Ready", 7.0, Whole),
        heading("Marginal", 8.5, Whole),
        heading("Blocked", 8.0, Whole),
        heading("Points served", 7.5, Whole),
        heading("Cost, likely £", 14.0, Pence),
        heading("Cost against the run £", 13.0, Pence),
        heading("Cost, P50 £", 11.0, Pounds),
        heading("Cost, P80 £", 11.0, Pounds),
        heading("Cost, P90 £", 11.0, Pounds),
        heading("Person-hours, likely", 9.0, Tenths),
        heading("Hours against the run", 9.0, Tenths),
        heading("Sites in the bid", 7.0, Whole),
        heading("Bid before VAT £", 14.0, Pence),
        heading("Bid against the run £", 13.0, Pence),
        heading("Verdicts better", 9.0, Whole),
        heading("Verdicts worse", 9.0, Whole),
        heading("Currents raised", 9.0, Whole),
        heading("Currents lowered", 9.0, Whole),
        heading(format!("Costs up by more than {moved} %"), 10.0, Whole),
        heading(format!("Costs down by more than {moved} %"), 10.0, Whole),
    ]
}

fn row<'a>(own: &Figures, name: [Cell<'a>; 2], as_of: Date, figures: &Figures, tally: Option<Tally>) -> Row<'a> {
    let levels = figures.doubt.levels();
    let hours = |hours: f64| Cell::Number(round_to(hours, 2));
    let [name, other] = name;
    let bid = Change { before: own.bid_price, after: figures.bid_price };
    let mut cells = vec![
        name,
        other,
        Cell::Date(as_of),
        figures.ready.into(),
        figures.marginal.into(),
        figures.blocked.into(),
        figures.points.into(),
        Cell::Money(figures.cost),
        tally.map_or(Cell::Blank, |_| Cell::Money(less(figures.cost, own.cost))),
        Cell::Money(levels.p50),
        Cell::Money(levels.p80),
        Cell::Money(levels.p90),
        hours(figures.hours),
        tally.map_or(Cell::Blank, |_| hours(figures.hours - own.hours)),
        figures.bid_sites.into(),
        figures.bid_price.map_or(Cell::Blank, Cell::Money),
        tally.and_then(|_| difference(bid)).map_or(Cell::Blank, Cell::Money),
    ];
    cells.extend(match tally {
        Some(Tally { better, worse, raised, lowered, dearer, cheaper }) => {
            [better, worse, raised, lowered, dearer, cheaper].map(Cell::from)
        }
        None => [const { Cell::Blank }; 6],
    });
    cells
}

fn less(one: Pence, other: Pence) -> Pence {
    Pence(one.0.saturating_sub(other.0))
}

fn difference(change: Change<Option<Pence>>) -> Option<Pence> {
    Some(less(change.after?, change.before?))
}

/// The sheet of sites that move; made only where there are scenarios.
pub(super) fn moved_sheet<'a>(run: &'a Run<'a>) -> Sheet<'a> {
    let all = run.scenarios.iter().flat_map(|scenario| scenario.moved.iter().map(move |one| (scenario, one)));
    Sheet {
        name: names::MOVED,
        subject: "What moves: every site that a scenario judges, charges or prices otherwise than the run",
        headings: moved_headings(run),
        frozen: 2,
        printed: None,
        paper: Paper::A3,
        rows: Rows::of(all, move |(scenario, one)| moved_row(run, scenario, one)),
    }
}

fn moved_headings<'a>(run: &'a Run<'a>) -> Vec<Heading<'a>> {
    use Form::{Free, Ordinal, Pence, Tenths, Text, Whole, Wrapped};
    let least = plain(run.rules.scenario.moved_cost_percent, 2);
    vec![
        heading("Scenario", 26.0, Text),
        heading("Site", 11.0, Text),
        heading("Address", 30.0, Wrapped),
        heading("Lot", 13.0, Text),
        heading("Rank in the run", 7.0, Ordinal),
        heading("Verdict in the run", 11.0, Text),
        heading("Verdict now", 11.0, Text),
        heading("Why the verdict changes", 34.0, Wrapped),
        heading("Current in the run A", 8.5, Free),
        heading("Current now A", 8.5, Free),
        heading("Points in the run", 7.5, Whole),
        heading("Points now", 7.5, Whole),
        heading("Cost in the run £", 12.0, Pence),
        heading("Cost now £", 12.0, Pence),
        heading(format!("Difference £ (alone listed above {least} %)"), 12.0, Pence),
        heading("Difference, %", 9.5, Tenths),
        heading("Hours in the run", 8.5, Tenths),
        heading("Hours now", 8.5, Tenths),
    ]
}

fn moved_row<'a>(run: &'a Run<'a>, scenario: &'a Scenario, one: &Moved) -> Row<'a> {
    let mut cells: Row<'a> = vec![scenario.name.as_str().into()];
    let Some(site) = run.portfolio.sites.get(one.at) else { return cells };
    let brief = &site.judgement.brief;
    let amperes = |setting_a: Option<f64>| Cell::from(setting_a.map(round_current_a));
    let money = |cost: Option<Pence>| cost.map_or(Cell::Blank, Cell::Money);
    let hours = |hours: Option<f64>| Cell::from(hours.map(|hours| round_to(hours, 2)));
    let more = difference(one.cost);
    let share = one
        .cost
        .before
        .filter(|before| before.0 != 0)
        .zip(more)
        .map(|(before, more)| round_to(more.pounds() / before.pounds() * 100.0, 1));
    cells.extend([
        stands::on_ranking(site),
        brief.address.as_str().into(),
        brief.lot.as_str().into(),
        site.rank.into(),
        Cell::Verdict(one.verdict.before, brief.override_verdict.is_some()),
        Cell::Verdict(one.verdict.after, brief.override_verdict.is_some()),
        why(one).into(),
        amperes(one.current_a.before),
        amperes(one.current_a.after),
        one.points.before.into(),
        one.points.after.into(),
        money(one.cost.before),
        money(one.cost.after),
        money(more),
        share.into(),
        hours(one.hours.before),
        hours(one.hours.after),
    ]);
    cells
}

/// Why a verdict changes: what governs now, or for a site that is ready now what stood in its way. Empty where the
/// verdict is the same.
fn why(one: &Moved) -> String {
    if !one.verdict.is_change() {
        return String::new();
    }
    match (one.verdict.after, one.reason.before, one.reason.after) {
        (Verdict::Ready, Some(before), _) => format!("no longer: {}", title_of(before)),
        (Verdict::Ready, None, _) | (_, _, None) => String::new(),
        (_, _, Some(after)) => title_of(after).to_owned(),
    }
}

/// A line a scenario for the terminal, in columns; empty without scenarios.
pub(super) fn lines(run: &Run<'_>) -> String {
    if run.scenarios.is_empty() {
        return String::new();
    }
    let own = Figures::of(run.portfolio, run.bid);
    let signed = |number: i64| if number > 0 { format!("+{number}") } else { number.to_string() };
    let count = |number: u32, own: u32| format!("{} ({})", number, signed(i64::from(number) - i64::from(own)));
    let percent = |now: f64, before: f64| {
        let more = if before > 0.0 { (now / before - 1.0) * 100.0 } else { 0.0 };
        let text = plain(more, 1);
        if more > 0.0 && text != "0" { format!("+{text} %") } else { format!("{} %", text.replace("-0", "0").as_str()) }
    };
    let mut table: Vec<Vec<String>> = vec![
        ["Scenarios beside this run", "ready", "marginal", "blocked", "likely cost", "hours", "bid", "moves"]
            .map(str::to_owned)
            .to_vec(),
    ];
    table.extend(run.scenarios.iter().map(|scenario| {
        let figures = &scenario.figures;
        let bid = figures.bid_price.map_or_else(String::new, |price| {
            let share = own.bid_price.map(|own| format!(" ({})", percent(price.pounds(), own.pounds())));
            format!("{}{}", short(price), share.unwrap_or_default())
        });
        vec![
            format!("  {}", scenario.name),
            count(figures.ready, own.ready),
            count(figures.marginal, own.marginal),
            count(figures.blocked, own.blocked),
            format!("{} ({})", short(figures.cost), percent(figures.cost.pounds(), own.cost.pounds())),
            format!("{} ({})", thousands(figures.hours.round().max(0.0) as u64), percent(figures.hours, own.hours)),
            bid,
            format!("{} sites", thousands(scenario.moved.len() as u64)),
        ]
    }));
    let columns = table.first().map_or(0, Vec::len);
    let widths: Vec<usize> = (0..columns)
        .map(|column| {
            table.iter().filter_map(|row| row.get(column)).map(|cell| cell.chars().count()).max().unwrap_or(0)
        })
        .collect();
    let mut text = String::new();
    for row in table {
        let cells: Vec<String> = row.iter().zip(&widths).map(|(cell, width)| format!("{cell:<width$}")).collect();
        text.push_str(cells.join("  ").trim_end());
        text.push('\n');
    }
    text.push_str("(sheets Scenarios and What moves)\n\n");
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::portfolio::{Differs, moves};
    use crate::report::fixture::{Fixture, portfolio};

    /// The fixture beside itself at double the cost, and beside itself as it is.
    fn fixture() -> Fixture {
        let mut fixture = Fixture::new(30);
        let mut other = portfolio(30);
        for site in &mut other.sites {
            if let Some(estimate) = &mut site.judgement.estimate {
                estimate.cost = estimate.cost.plus(estimate.cost);
            }
        }
        other.summary.ready.cost = other.summary.ready.cost.plus(other.summary.ready.cost);
        let scenario = |name: &str, differs, other| {
            let (moved, tally) = moves(&fixture.portfolio, other, 1.0);
            let as_of = jiff::civil::date(2026, 11, 25);
            Scenario { name: name.into(), differs, as_of, figures: Figures::of(other, None), tally, moved }
        };
        fixture.scenarios = vec![
            scenario("dear.csv", Differs::Prices, &other),
            scenario("same.toml", Differs::Rules, &fixture.portfolio),
        ];
        fixture
    }

    #[test]
    fn a_line_a_scenario_and_a_row_a_site_that_moves() {
        let fixture = fixture();
        let run = fixture.run();
        let columns = headings(&run).len();
        let rows: Vec<_> = sheet(&run).rows.collect();
        assert_eq!(rows.len(), 3);
        assert!(rows.iter().all(|row| row.len() == columns));
        let shown = |row: usize, column: usize| rows[row][column].shown();
        assert_eq!((shown(0, 0), shown(1, 0), shown(2, 1)), (THIS_RUN.into(), "dear.csv".into(), "rules".into()));
        let pence = |row: usize| if let Cell::Money(pence) = rows[row][7] { pence } else { panic!("no cost") };
        assert_eq!(rows[1][8], Cell::Money(less(pence(1), pence(0))));
        assert_eq!((pence(2), &rows[2][8]), (pence(0), &Cell::Money(Pence(0))));
        let moved: Vec<_> = moved_sheet(&run).rows.collect();
        let priced = run.portfolio.sites.iter().filter(|site| site.judgement.estimate.is_some());
        assert!(!moved.is_empty() && moved.len() <= priced.count());
        assert!(moved.iter().all(|row| row.len() == moved_headings(&run).len() && row[0].shown() == "dear.csv"));
        assert!(moved.iter().all(|row| row[15] == Cell::Number(100.0) && row[7] == Cell::Blank));
    }

    #[test]
    fn the_terminal_has_a_line_a_scenario_and_none_without() {
        let fixture = fixture();
        let text = lines(&fixture.run());
        assert!(text.contains("\n  dear.csv ") && text.contains("\n  same.toml "), "{text}");
        assert!(text.lines().all(|line| line.trim_end() == line) && text.contains("(0 %)"), "{text}");
        assert!(!text.contains("NaN") && !text.contains("-0 %"), "{text}");
        assert!(lines(&Fixture::new(3).run()).is_empty());
    }

    #[test]
    fn a_changed_verdict_says_what_governs_now_or_no_longer() {
        use crate::finding::reason;
        let one = |before, after| Moved {
            at: 0,
            verdict: Change { before, after },
            reason: Change { before: Some(reason("limiter-needed")), after: Some(reason("no-parking")) },
            current_a: Change::default(),
            points: Change::default(),
            cost: Change::default(),
            hours: Change::default(),
            cost_moved: false,
        };
        assert_eq!(why(&one(Verdict::Marginal, Verdict::Ready)), "no longer: limiter needed");
        assert_eq!(why(&one(Verdict::Ready, Verdict::Blocked)), title_of(reason("no-parking")));
        assert_eq!(why(&one(Verdict::Ready, Verdict::Ready)), "");
    }
}
