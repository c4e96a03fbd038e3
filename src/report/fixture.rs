//! An invented portfolio for the tests of this room: enough of everything that a report can show. No engine made it.

use super::{InputFile, Inputs, PriceNote, Run};
use crate::design::{
    Arrangement, Control, Device, EarthingPath, Feed, Residual, Run as CableRun, RunRole, Shared, Work,
};
use crate::estimate::{BillLine, Estimate, LabourBand, TaskLine};
use crate::finding::{Check, Effect, Finding, Outcome, Route, WaitsFor, Weeks, reason};
use crate::intake::{CellNote, Column, Intake, RowAsRead, SetAside, SourceFile};
use crate::portfolio::{Group, Lot, Move, Portfolio, Ranked, ScoreParts, Summary};
use crate::quantity::{Band, CostBand};
use crate::reference::{Cable, CableFamily, Curve, Method};
use crate::rules::default_rules;
use crate::site::{Premises, Verdict};
use crate::verdict::{Assumed, Confidence, Judgement, Odds, Remedy, RemedyKind, RunnerUp, SiteBrief};

/// A check of the fixture's own, so that these tests rest on no other table.
const fn check(
    name: &'static str,
    title: &'static str,
    unit: &'static str,
    places: u32,
    formula: &'static str,
) -> Check {
    Check {
        name,
        part: "circuit",
        title,
        clause: "App 4 6.4",
        edition: "BS 7671:2018+A2:2022",
        source: "table 4D4B",
        status: "print",
        unit,
        places,
        limit_is_least: false,
        formula,
        position: 0,
    }
}

static CHECKS: [Check; 5] = [
    check("demand", "Maximum demand", "A", 1, "{0} A + {1} A = {value} A"),
    check("voltage-drop", "Voltage drop", "V", 2, "{0} mV/A/m × {1} A × {2} m = {value} V ≤ {limit} V"),
    check("fault-loop", "Fault loop", "Ω", 3, "{0} Ω + {1} Ω = {value} Ω ≤ {limit} Ω"),
    check("loop", "Looped service", "", 0, ""),
    check("capacity", "Current-carrying capacity", "A", 1, "Iz = {0} A × {1} = {value} A ≥ In {limit} A"),
];

/// A finding of one of the fixture's checks, with or without a reason.
pub(super) fn finding(name: &str, code: Option<&str>) -> Finding {
    let check = CHECKS.iter().find(|check| check.name == name).unwrap_or(&CHECKS[0]);
    let finding = Finding {
        check,
        reason: None,
        effect: Effect::None,
        outcome: Outcome::Noted,
        value: None,
        limit: None,
        terms: [0.0; 6],
        subject: "",
    };
    match code {
        Some(code) => finding.because(code),
        None => finding,
    }
}

const STREETS: [&str; 6] = ["Fennel Row", "Fern Road", "Mill Lane", "Tollgate Close", "Larch Avenue", "The Staithe"];
const LOTS: [&str; 5] = ["North", "Harbour", "Old Town", "", "Depots"];

fn arrangement(index: usize, shared: bool) -> Arrangement {
    let length = 8.0 + (index % 9) as f64 * 4.5;
    let armoured = !index.is_multiple_of(4);
    let family = if armoured { CableFamily::ArmouredXlpe } else { CableFamily::TwinAndEarth };
    let setting_a = [32.0, 32.0, 20.0][index % 3];
    let run = CableRun {
        role: RunRole::Final,
        cable: Cable { family, cores: if armoured { 3 } else { 2 }, csa_mm2: if length > 25.0 { 10.0 } else { 6.0 } },
        method: if armoured { Method::D } else { Method::C },
        count: if shared { 4 } else { 1 },
        indoor_m: length * 0.2,
        surface_m: length * 0.3,
        buried_m: if armoured { length * 0.5 } else { 0.0 },
        rises_m: 4.0,
    };
    let submain = CableRun { role: RunRole::SubMain, count: 1, ..run };
    let drop = 7.9 * setting_a * length / 1000.0;
    Arrangement {
        setting_a,
        phases: if shared { 3 } else { 1 },
        supply_phases: if shared { 3 } else { 1 },
        points: if shared { 4 } else { 1 },
        control: match index % 5 {
            _ if shared => Control::Group { limit_a: 64.0 },
            1 => Control::Local { setpoint_a: 54.0 },
            _ => Control::None,
        },
        feed: if shared { Feed::Distribution } else { Feed::AddedBoard },
        device: Device {
            rating_a: 40.0,
            curve: Curve::B,
            poles: 2,
            residual: Some(Residual::TypeA30),
            breaking_ka: 6.0,
        },
        submain_device: shared.then_some(Device {
            rating_a: 80.0,
            curve: Curve::C,
            poles: 4,
            residual: None,
            breaking_ka: 10.0,
        }),
        runs: if shared { vec![submain, run] } else { vec![run] },
        earthing: if index.is_multiple_of(7) { EarthingPath::Electrode } else { EarthingPath::SupplyEarthOpenPen },
        works: vec![Work::SurgeProtection, Work::TailsUpgrade { length_m: 1.5 }, Work::FireStopping],
        maximum_demand_a: Band::new(30.0, 40.0 + setting_a / 2.0, 70.0),
        current_capacity_a: 46.0,
        voltage_drop_v: drop,
        voltage_drop_percent: drop / 2.3,
        zs_ohm: 0.35 + length * 0.006,
        zs_limit_ohm: 1667.0,
        fault_current_a: 230.0 / (0.35 + length * 0.006),
        shared: shared.then_some(Shared {
            group_limit_a: 64.0,
            points_at_once: 10,
            points_served: 4,
            energy_needed_kwh: 96.0,
            energy_unserved_kwh: 0.0,
            least_group_limit_a: 22.4,
        }),
        findings: vec![],
    }
}

fn estimate(index: usize) -> Estimate {
    let cable = CostBand::from_pounds(Band::new(90.0, 120.5, 160.0));
    let point = CostBand::from_pounds(Band::new(480.0, 560.0, 700.0));
    let labour = CostBand::from_pounds(Band::new(300.0, 420.0 + index as f64, 610.0));
    Estimate {
        bill: vec![
            BillLine {
                item: "swa-3c-6",
                quantity: Band::new(18.0, 19.8, 22.0),
                because: "route 18 m, 10 % waste",
                cost: cable,
            },
            BillLine { item: "charge-point-1ph", quantity: Band::exact(1.0), because: "one point", cost: point },
            BillLine {
                item: "not-in-book",
                quantity: Band::exact(1.0),
                because: "an item the book lacks",
                cost: cable,
            },
        ],
        tasks: vec![
            TaskLine {
                task: "task-fix-cable",
                count: Band::exact(18.0),
                hours: Band::new(1.4, 1.8, 2.7),
                because: "18 m of cable",
                cost: labour,
            },
            TaskLine {
                task: "task-test",
                count: Band::exact(1.0),
                hours: Band::new(1.0, 1.5, 2.0),
                because: "one circuit",
                cost: labour,
            },
        ],
        cost: cable.plus(point).plus(cable).plus(labour).plus(labour),
        hours: Band::new(2.4, 3.3, 4.7),
        labour_band: [LabourBand::HalfDay, LabourBand::Day, LabourBand::CivilWorks][index % 3],
    }
}

fn brief(index: usize) -> SiteBrief {
    let overridden = index == 4;
    SiteBrief {
        row: 4 + index as u32,
        site_id: format!("H{:04}", 200 + index * 7),
        address: format!("{} {}, Tarnholt", index + 1, STREETS[index % STREETS.len()]),
        postcode: format!("ZZ{} {}QD", 1 + index % 8, 1 + index % 9),
        lot: LOTS[index % LOTS.len()].into(),
        premises: Some(if index % 5 == 4 { Premises::Depot } else { Premises::House }),
        premises_stated: true,
        tenure: "owner",
        override_verdict: overridden.then_some(Verdict::Ready),
        override_by: if overridden { "M. Quill".into() } else { String::new() },
        override_date: if overridden { "2026-10-02".into() } else { String::new() },
        override_why: if overridden { "Service seen to be separate on site.".into() } else { String::new() },
        ..SiteBrief::default()
    }
}

fn judgement(index: usize) -> Judgement {
    let shared = index % 5 == 4;
    let (verdict, codes): (Verdict, &[&str]) = match index % 6 {
        0 | 3 => (Verdict::Ready, &["bonding-upgrade"]),
        1 => (Verdict::Marginal, &["limiter-needed"]),
        2 => (Verdict::Marginal, &["cutout-unknown", "tails-upgrade"]),
        4 => (Verdict::Blocked, &["loop-yes"]),
        _ => (Verdict::Marginal, &["consent-pending", "added-board", "bonding-upgrade", "isolator-first"]),
    };
    let reasons: Vec<_> = codes.iter().map(|code| reason(code)).collect();
    let blocked = verdict == Verdict::Blocked;
    let chosen = (!blocked).then(|| arrangement(index, shared));
    let mut findings = vec![
        finding("demand", None).at_most(64.0, 80.0).terms(&[32.0, 32.0]),
        finding("voltage-drop", None).at_most(11.1232, 11.5).terms(&[7.9, 32.0, 44.0]),
        finding("fault-loop", None).at_most(0.61, 1667.0).terms(&[0.35, 0.26]),
        finding("capacity", None).at_least(41.4, 40.0).terms(&[46.0, 0.9]),
    ];
    findings.extend(codes.iter().map(|code| finding("loop", Some(code))));
    let remedy = |kind, pounds: f64, weeks| Remedy {
        set: vec!["separate the looped service", "fit the point"],
        cost: CostBand::from_pounds(Band::new(0.0, pounds, pounds * 2.0)),
        weeks: Weeks { low: 2, likely: weeks, high: 26 },
        payer: "operator".into(),
        kind,
        chance: if pounds > 0.0 { 0.7 } else { 1.0 },
    };
    let other = |why_lost: &str| RunnerUp {
        setting_a: 16.0,
        phases: 1,
        control: Control::None,
        cable: "4 mm² 3-core armoured".into(),
        why_lost: why_lost.into(),
    };
    Judgement {
        brief: brief(index),
        verdict,
        waits_for: match (verdict, reasons.first().and_then(|reason| reason.waits_for)) {
            (Verdict::Marginal, Some(wait)) => vec![wait],
            _ => vec![],
        },
        weeks: (verdict != Verdict::Ready).then_some(Weeks { low: 2, likely: 4, high: 10 }),
        reasons,
        findings,
        estimate: (!blocked).then(|| estimate(index)),
        chosen,
        runner_up: Some(other("It charges at half the current.")),
        with_application: index.is_multiple_of(3).then(|| other("")),
        existing_demand_a: Band::new(29.0, 32.0 + index as f64 / 3.0, 48.0),
        supply_limit_a: (index % 6 != 2).then_some(80.0),
        operator_route: if verdict == Verdict::Ready { Route::Notify } else { Route::Apply },
        confidence: [Confidence::Surveyed, Confidence::Partly, Confidence::Desk][index % 3],
        odds: match verdict {
            Verdict::Ready => Odds { ready: 0.92, marginal: 0.06, blocked: 0.02 },
            Verdict::Marginal => Odds { ready: 0.55, marginal: 0.35, blocked: 0.1 },
            Verdict::Blocked => Odds { ready: 0.0, marginal: 0.05, blocked: 0.95 },
        },
        decisive_unknowns: if index % 6 == 2 { vec!["cutout_rating_a", "looped_service"] } else { vec![] },
        confirm_first: if index.is_multiple_of(6) { vec!["looped_service", "cutout_condition"] } else { vec![] },
        remedies: match verdict {
            Verdict::Ready => vec![],
            Verdict::Marginal => vec![remedy(RemedyKind::Cheapest, 45.0, 3)],
            Verdict::Blocked => {
                vec![remedy(RemedyKind::Cheapest, 0.0, 16), remedy(RemedyKind::Quickest, 650.0, 8)]
            }
        },
        assumed: vec![
            Assumed { field: "ze_ohm", value: "0.35 Ω".into(), source: "declared maximum, TN-C-S" },
            Assumed { field: "ambient_c", value: "30 °C".into(), source: "rules: ambient_c" },
        ],
        ready_if_committed: index.is_multiple_of(12),
        next_step: match verdict {
            Verdict::Ready => "Book the van; tell the operator within 28 days of the work.".into(),
            Verdict::Marginal => "Ask the operator, or have the cut-out photographed with its fuse carrier.".into(),
            Verdict::Blocked => "Ask the operator to separate the looped service; it pays.".into(),
        },
    }
}

/// A ranked portfolio of `count` sites.
pub(super) fn portfolio(count: usize) -> Portfolio {
    let mut judgements: Vec<Judgement> = (0..count).map(judgement).collect();
    judgements.sort_by_key(Judgement::counted_verdict);
    let sites: Vec<Ranked> = (1..)
        .zip(judgements)
        .map(|(rank, judgement)| Ranked {
            rank,
            score: ScoreParts { odds: 0.9, cost: 0.5, wait: 1.0, priority: 0.0, points: 0.2, score: 0.613 },
            cluster_id: rank.is_multiple_of(5).then(|| "C01".to_owned()),
            judgement,
        })
        .collect();
    let summary = summary(&sites);
    Portfolio { sites, summary }
}

fn summary(sites: &[Ranked]) -> Summary {
    let mut summary = Summary::default();
    let mut lots: Vec<Lot> = LOTS.iter().map(|name| Lot { name: (*name).into(), ..Lot::default() }).collect();
    for site in sites {
        let judgement = &site.judgement;
        let cost = match &judgement.estimate {
            Some(estimate) => estimate.cost,
            None => judgement.remedies.first().map(|remedy| remedy.cost).unwrap_or_default(),
        };
        let lot = lots.iter_mut().find(|lot| lot.name == judgement.brief.lot).expect("a lot of the fixture");
        let group: &mut Group = match judgement.counted_verdict() {
            Verdict::Ready => {
                lot.ready += 1;
                &mut summary.ready
            }
            Verdict::Marginal => {
                lot.marginal += 1;
                &mut summary.marginal
            }
            Verdict::Blocked => {
                lot.blocked += 1;
                &mut summary.blocked
            }
        };
        group.count += 1;
        group.cost = group.cost.plus(cost);
        group.points += judgement.chosen.as_ref().map_or(0, |chosen| chosen.points);
        if judgement.counted_verdict() != Verdict::Blocked {
            lot.cost = lot.cost.plus(cost);
        }
        summary.overridden += u32::from(judgement.brief.override_verdict.is_some());
        summary.ready_if_committed += u32::from(judgement.ready_if_committed);
    }
    if sites.is_empty() {
        return summary;
    }
    let waiting = |wait| sites.iter().filter(|site| site.judgement.waits_for.first() == Some(&wait)).count() as u32;
    summary.waiting = WaitsFor::ALL.into_iter().map(|wait| (wait, waiting(wait))).collect();
    let having = |code: &str| {
        sites.iter().filter(|site| site.judgement.reasons.iter().any(|reason| reason.code == code)).count() as u32
    };
    let stops = ["limiter-needed", "cutout-unknown", "consent-pending", "loop-yes"];
    summary.reasons = stops.iter().map(|code| (reason(code), having(code))).collect();
    summary.blocked_by = vec![(reason("loop-yes"), having("loop-yes"))];
    summary.moves = stops.iter().map(|code| Move { reason: reason(code), sites: having(code), readies: 3 }).collect();
    summary.lots = lots;
    summary
}

fn intake(portfolio: &Portfolio) -> Intake {
    let headings = ["Ref", "Address", "Fuse (A)", "Warden's remarks", ""];
    let mut rows: Vec<RowAsRead> = portfolio
        .sites
        .iter()
        .map(|site| &site.judgement.brief)
        .map(|brief| RowAsRead {
            row: brief.row,
            cells: vec![
                brief.site_id.clone(),
                brief.address.clone(),
                if brief.row % 6 == 0 { "see photo".into() } else { "80".into() },
                "=ring first".into(),
                String::new(),
            ],
        })
        .collect();
    let last = rows.iter().map(|row| row.row).max().unwrap_or(3);
    let aside = [(last + 1, "Subtotal"), (last + 2, "")];
    rows.extend(aside.iter().map(|(row, text)| RowAsRead {
        row: *row,
        cells: vec![(*text).into(), "—".into(), String::new(), String::new(), String::new()],
    }));
    rows.sort_by_key(|row| row.row);
    let notes = rows
        .iter()
        .filter(|row| row.cells[2] == "see photo")
        .map(|row| CellNote {
            row: row.row,
            column: 2,
            field: "cutout_rating_a",
            raw: "see photo".into(),
            understood: "not known".into(),
            message: "\"see photo\" is not a fuse rating.".into(),
        })
        .collect();
    Intake {
        warnings: Vec::new(),
        source: SourceFile {
            name: "returns & surveys.xlsx".into(),
            sha256: "5d41402abc4b2a76b9719d911017c592aaaa".into(),
            sheet: "Survey".into(),
            heading_row: 3,
        },
        columns: (0..)
            .zip(headings)
            .map(|(index, heading)| Column { index, heading: heading.into(), field: None, how: "not matched".into() })
            .collect(),
        rows,
        sites: vec![],
        set_aside: aside.iter().map(|(row, _)| SetAside { row: *row, why: "A subtotal, not a site.".into() }).collect(),
        notes,
        newest_date: None,
    }
}

/// Everything that a run borrows.
pub(super) struct Fixture {
    pub(super) intake: Intake,
    pub(super) portfolio: Portfolio,
    prices: Vec<PriceNote>,
    inputs: Inputs,
}

impl Fixture {
    /// A run of `count` sites and two rows set aside.
    pub(super) fn new(count: usize) -> Self {
        let portfolio = portfolio(count);
        let file = |name: &str| InputFile { name: name.into(), sha256: "9b74c9897bac770ffc029102a200c5de".into() };
        let price = |item: &str, description: &str, unit: &str, likely: f64| PriceNote {
            item: item.into(),
            description: description.into(),
            unit: unit.into(),
            basis: "trade counter, 2026".into(),
            source: "invented for a test".into(),
            low: likely * 0.8,
            likely,
            high: likely * 1.3,
        };
        Self {
            intake: intake(&portfolio),
            portfolio,
            prices: vec![
                price("swa-3c-6", "Armoured cable, 3-core, 6 mm²", "m", 4.6),
                price("charge-point-1ph", "Charge point, one phase, 32 A", "each", 560.0),
                price("task-fix-cable", "Fix cable on a surface", "h/m", 0.1),
                price("task-test", "Inspect and test a circuit, certificate", "h/each", 1.5),
            ],
            inputs: Inputs {
                portfolio: file("returns & surveys.xlsx"),
                rules: file("defaults"),
                price_book: file("price-book.csv"),
                with: vec![],
            },
        }
    }

    /// The run.
    pub(super) fn run(&self) -> Run<'_> {
        Run {
            intake: &self.intake,
            portfolio: &self.portfolio,
            rules: default_rules(),
            prices: &self.prices,
            stance: "screen",
            as_of: jiff::civil::date(2026, 11, 25),
            version: "0.1.0",
            inputs: &self.inputs,
        }
    }
}
