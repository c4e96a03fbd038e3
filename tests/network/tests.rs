//! What must hold between engine and library, with the limits of `README.md`.

use super::kept::{self, Section};
use super::reckon::{Figure, U0_V, drop_balanced_v, drop_v, level_ka, swept_drop_v};
use super::{Case, Pair, RENEW, cases, designed, outside, range};
use std::collections::BTreeMap;

/// Two impedances at right angles make at least 1/sqrt(2) of their sum: the most that the angle alone can add to a
/// current, and a little for the cable's reactance.
const ANGLES_MOST: f64 = 0.45;

fn pairs(cases: &[Case], of: impl Fn(&Case) -> Option<(f64, f64)>) -> Vec<Pair> {
    let pair = |case: &Case| {
        let (engine, library) = of(case)?;
        Some(Pair { circuit: case.designed.circuit.circuit.clone(), engine, library })
    };
    cases.iter().filter_map(pair).collect()
}

/// Every pair within these shares, at least `enough` of them; the range is printed for the README.
fn hold(what: &str, pairs: &[Pair], enough: usize, least: f64, most: f64) {
    let [low, high] = range(pairs);
    println!("{what}: {} circuits, {low:+.3} % to {high:+.3} %", pairs.len());
    assert!(pairs.len() >= enough, "{what}: only {} circuits", pairs.len());
    let faults = outside(pairs, least, most);
    assert!(faults.is_empty(), "{what}: {} of {}:\n{}", faults.len(), pairs.len(), faults.join("\n"));
}

#[test]
fn the_kept_inputs_are_those_the_engine_gives() {
    let designed = designed();
    let circuits = kept::circuits_text(designed.iter().map(|one| &one.circuit));
    let sections = kept::sections_text(designed.iter().map(|one| (&one.circuit, one.sections.as_slice())));
    for (name, text) in [("circuits.csv", circuits), ("sections.csv", sections)] {
        if std::env::var_os("BAYWRIGHT_WRITE_NETWORK").is_some() {
            std::fs::write(kept::path(name), &text).expect("tests/network can be written");
        }
        let kept = kept::text(name);
        let changed = kept.lines().zip(text.lines()).find(|(before, now)| before != now);
        assert!(changed.is_none(), "{name}: kept and now:\n{changed:#?}\n{RENEW}");
        assert_eq!(kept.lines().count(), text.lines().count(), "{name}: {RENEW}");
    }
}

#[test]
fn the_answers_are_of_these_inputs_and_name_the_library() {
    let text = kept::text("answers.csv");
    let head = text.lines().next().unwrap_or_default();
    let needed = kept::text("requirements.txt");
    let library = needed.lines().find_map(|line| line.strip_prefix("power-grid-model==")).expect("a pinned version");
    assert_eq!(head, format!("# power-grid-model {library}; inputs {}", kept::inputs_digest()), "{RENEW}");
}

#[test]
fn there_are_enough_circuits_of_every_kind() {
    let all = designed();
    let count = |of: &dyn Fn(&super::Designed) -> bool| all.iter().filter(|one| of(one)).count();
    let has = |one: &super::Designed, part: &str| one.sections.iter().any(|section| section.part == part);
    let runs_in = |one: &super::Designed, cable: &str| one.sections.iter().any(|s| s.cable.contains(cable));
    let in_table: [(&str, usize, usize); 15] = [
        ("circuits", 300, all.len()),
        ("single-phase supply", 100, count(&|one| one.circuit.supply_phases == 1)),
        ("three-phase supply", 100, count(&|one| one.circuit.supply_phases == 3)),
        ("three-phase point", 60, count(&|one| one.circuit.point_phases == 3)),
        (
            "single-phase point on three phases",
            60,
            count(&|one| one.circuit.supply_phases == 3 && one.circuit.point_phases == 1),
        ),
        ("existing sub-main", 60, count(&|one| has(one, "existing sub-main"))),
        ("new sub-main", 60, count(&|one| has(one, "new sub-main"))),
        ("both", 15, count(&|one| has(one, "new sub-main") && has(one, "existing sub-main"))),
        ("no sub-main", 100, count(&|one| !has(one, "new sub-main") && !has(one, "existing sub-main"))),
        ("twin-and-earth", 20, count(&|one| runs_in(one, "twin-and-earth"))),
        ("armoured", 200, count(&|one| runs_in(one, "armoured"))),
        ("two cables jointed", 10, count(&|one| runs_in(one, "twin-and-earth") && runs_in(one, "armoured"))),
        ("spare way", 60, count(&|one| one.circuit.feed == "spare way")),
        ("small added board", 20, count(&|one| one.circuit.feed == "small added board")),
        ("reactance", 60, count(&|one| one.sections.iter().any(|section| section.x_mohm > 0.0))),
    ];
    for (what, enough, found) in in_table {
        println!("{what}: {found}");
        assert!(found >= enough, "{what}: {found}, at least {enough}");
    }
    // Not the same circuit over and over: no two lose the same voltage.
    let mut drops: Vec<u64> = all.iter().map(|one| (drop_v(one, Figure::Split) * 1e6) as u64).collect();
    drops.sort_unstable();
    drops.dedup();
    assert!(drops.len() >= 300, "{} circuits that differ", drops.len());
    let longest = |one: &super::Designed| {
        one.sections.iter().filter(|section| section.part != "tails").map(|section| section.length_m).sum::<f64>()
    };
    for (low, high) in [(10.0, 20.0), (20.0, 40.0), (40.0, 80.0), (80.0, 120.0), (120.0, 170.0)] {
        let found = count(&|one| (low..high).contains(&longest(one)));
        println!("{low} to {high} m: {found}");
        assert!(found >= 10, "{low} to {high} m: {found}");
    }
}

/// Which figure of the table the engine reckons with: the one at which the library agrees with it on every circuit.
fn engines_figure(cases: &[Case]) -> Figure {
    let engine = |case: &Case| case.designed.engine.drop_v;
    let whole = outside(&pairs(cases, |case| Some((engine(case), case.answer.drop_whole_v))), -0.01, 0.01);
    let split = outside(&pairs(cases, |case| Some((engine(case), case.answer.drop_v))), -0.01, 0.01);
    match (whole.is_empty(), split.is_empty()) {
        (true, false) => Figure::Whole,
        (false, true) => Figure::Split,
        (true, true) => panic!("no circuit tells the table's figures apart"),
        (false, false) => panic!(
            "the engine's drop is neither the library's with the whole figure:\n{}\nnor that with r and x:\n{}",
            whole.join("\n"),
            split.join("\n")
        ),
    }
}

#[test]
fn voltage_drop_is_that_of_a_power_flow() {
    let cases = cases();
    let figure = engines_figure(&cases);
    println!("the engine reckons with {figure:?}");
    let engine = |case: &Case| case.designed.engine.drop_v;
    let whole = pairs(&cases, |case| Some((engine(case), case.answer.drop_whole_v)));
    let split = pairs(&cases, |case| Some((engine(case), case.answer.drop_v)));
    let lagging = pairs(&cases, |case| Some((engine(case), case.answer.drop_lagging_v)));
    match figure {
        Figure::Whole => {
            hold("drop, fed the table's whole figure", &whole, 300, -0.01, 0.01);
            hold("drop, load lagging as the cable", &lagging, 300, -0.01, 0.03);
        }
        Figure::Split => hold("drop, fed r and x", &split, 300, -0.01, 0.01),
    }
    hold("drop, never below the library", &split, 300, -0.01, 0.04);
    // The tabulated method by this file's own arithmetic is the engine's, to the last figure that matters.
    hold(
        "drop, by hand",
        &pairs(&cases, |case| Some((engine(case), drop_v(&case.designed, figure)))),
        300,
        -1e-5,
        1e-5,
    );
    // Where the table gives no reactance, both are one and the agreement is plain.
    let plain = |case: &Case| case.designed.sections.iter().all(|section| section.x_mohm == 0.0);
    let without = pairs(&cases, |case| plain(case).then_some((engine(case), case.answer.drop_v)));
    hold("drop, no reactance", &without, 100, -1e-4, 1e-4);
}

#[test]
fn the_load_that_holds_its_power_drops_more_by_what_theory_says() {
    let cases = cases();
    for (what, exponent) in [("constant current", 0), ("constant power", -1), ("constant impedance", 1)] {
        let of = |case: &Case| match exponent {
            0 => case.answer.drop_v,
            -1 => case.answer.drop_power_v,
            _ => case.answer.drop_impedance_v,
        };
        let swept = pairs(&cases, |case| Some((swept_drop_v(&case.designed, exponent), of(case))));
        hold(&format!("{what}, by sweeps"), &swept, 300, -1e-6, 1e-6);
    }
    // In closed form, d the tabulated share of U0 with the load at the end: power (1 - sqrt(1 - 4d)) / 2, impedance
    // d / (1 + d). Loads on the way see less of the drop, so that several sections lie between d and that.
    let mut alone = 0;
    for case in &cases {
        let d = drop_v(&case.designed, Figure::Split) / U0_V;
        let (power, impedance) = ((1.0 - (1.0 - 4.0 * d).sqrt()) / 2.0 * U0_V, d / (1.0 + d) * U0_V);
        let name = &case.designed.circuit.circuit;
        let (by_power, by_impedance) = (case.answer.drop_power_v, case.answer.drop_impedance_v);
        if case.designed.sections.len() == 1 {
            alone += 1;
            assert!((by_power / power - 1.0).abs() < 0.002, "{name}: {by_power} V, {power} V");
            assert!((by_impedance / impedance - 1.0).abs() < 0.002, "{name}: {by_impedance} V, {impedance} V");
        }
        assert!(by_power > d * U0_V && by_power < power * 1.002, "{name}: {by_power} V, {power} V");
        assert!(by_impedance < d * U0_V * 1.002 && by_impedance > impedance * 0.998, "{name}: {by_impedance} V");
    }
    assert!(alone >= 10, "{alone} circuits of one section");
    let power = pairs(&cases, |case| Some((drop_v(&case.designed, Figure::Split), case.answer.drop_power_v)));
    let impedance = pairs(&cases, |case| Some((drop_v(&case.designed, Figure::Split), case.answer.drop_impedance_v)));
    println!("table against constant power {:.2?} %, impedance {:.2?} %", range(&power), range(&impedance));
}

#[test]
fn three_phases_alike_drop_as_the_three_phase_column_says() {
    let cases = cases();
    let table = |figure: Figure| {
        pairs(&cases, |case| Some((drop_balanced_v(&case.designed, figure), case.answer.drop_balanced_v?)))
    };
    hold("balanced drop, r and x", &table(Figure::Split), 60, -0.01, 0.01);
    hold("balanced drop, whole figure", &table(Figure::Whole), 60, -0.01, 0.06);
    // A single-phase vehicle on the same circuit loads its neutral too: it governs.
    let governs = pairs(&cases, |case| Some((case.answer.drop_v, case.answer.drop_balanced_v?)));
    hold("single-phase vehicle against balanced", &governs, 60, 0.9, 1.1);
}

#[test]
fn short_circuits_are_those_of_the_network() {
    let cases = cases();
    let board = pairs(&cases, |case| Some((case.designed.engine.board_ka?, case.answer.board_ka?)));
    hold("short circuit at the board", &board, 60, -0.02, 0.02);
    let behind = |section: &Section| section.part == "new sub-main";
    let boards = cases.iter().filter(|case| case.designed.sections.iter().any(behind)).count();
    assert_eq!(board.len(), boards, "a board behind a sub-main has no level");
    let angle = pairs(&cases, |case| Some((case.designed.engine.board_ka?, case.answer.board_angle_ka?)));
    hold("at the board, angles alike", &angle, 60, 0.0, ANGLES_MOST);
    // The engine leaves out what lies before the sub-main: never less current than there is, and by how much more has no
    // bound but the length left out. With it counted, the angle is all that is left.
    let all = pairs(&cases, |case| Some((case.designed.engine.board_ka?, case.answer.board_all_ka?)));
    hold("at the board, angles alike and all sections counted", &all, 60, 0.0, f64::INFINITY);
    let counted = |case: &Case| {
        let circuit = &case.designed.circuit;
        let conductors = if circuit.supply_phases == 3 { 1.0 } else { 2.0 };
        let before = case.designed.sections.iter().position(behind)?;
        Some(level_ka(circuit.fault_level_ka, case.designed.sections.get(..=before)?, conductors))
    };
    let all = pairs(&cases, |case| Some((counted(case)?, case.answer.board_all_ka?)));
    hold("the same against the formula with all sections", &all, 60, 0.0, ANGLES_MOST);

    let point = |case: &Case, conductors: f64| {
        level_ka(case.designed.circuit.fault_level_ka, &case.designed.sections, conductors)
    };
    let three = |case: &Case| point(case, 1.0);
    let own = pairs(&cases, |case| Some((three(case), case.answer.point_ka?)));
    hold("three-phase short circuit at the point", &own, 60, -0.02, 0.02);
    let angle = pairs(&cases, |case| Some((three(case), case.answer.point_angle_ka?)));
    hold("three-phase at the point, angles alike", &angle, 60, 0.0, ANGLES_MOST);
    let neutral = |case: &Case| point(case, 2.0);
    let own = pairs(&cases, |case| Some((neutral(case), case.answer.point_neutral_ka)));
    hold("line to neutral at the point", &own, 300, -0.02, 0.02);
    let angle = pairs(&cases, |case| Some((neutral(case), case.answer.point_neutral_angle_ka)));
    hold("line to neutral at the point, angles alike", &angle, 300, 0.0, ANGLES_MOST);
}

#[test]
fn earth_faults_are_those_of_the_equivalent_network() {
    let cases = cases();
    let zs = |case: &Case| case.designed.engine.zs_ohm;
    let by = |of: &dyn Fn(&Case) -> Option<f64>| pairs(&cases, |case| Some((zs(case), U0_V / of(case)?)));
    // The engine adds magnitudes: where all angles agree the sum is theirs, anywhere else it is more.
    let resistive = |case: &Case| case.designed.sections.iter().all(|section: &Section| section.earth_x_mohm == 0.0);
    hold("Zs, all resistive", &by(&|case| case.answer.earth_a.filter(|_| resistive(case))), 60, -1e-4, 1e-4);
    hold("Zs, source at the cable's angle", &by(&|case| case.answer.earth_aligned_a), 300, -1e-6, 0.02);
    hold("Zs, source resistive", &by(&|case| case.answer.earth_a), 300, -1e-6, 0.02);
    hold("Zs, source at 45 degrees", &by(&|case| case.answer.earth_reactive_a), 300, -1e-6, 0.10);
    // The current that the record shows is the same figure seen from the other side.
    let current = pairs(&cases, |case| Some((case.designed.engine.fault_a, case.answer.earth_aligned_a?)));
    hold("earth-fault current", &current, 300, -0.02, 1e-6);
}

#[test]
fn a_wrong_figure_is_caught() {
    let cases = cases();
    let drop = |by: f64| pairs(&cases, |case| Some((by * case.designed.engine.drop_v, case.answer.drop_whole_v)));
    let fault =
        |by: f64| pairs(&cases, |case| Some((by * case.designed.engine.zs_ohm, U0_V / case.answer.earth_aligned_a?)));
    let level = |by: f64| pairs(&cases, |case| Some((by * case.designed.engine.board_ka?, case.answer.board_ka?)));
    let caught = |pairs: Vec<Pair>, limit: f64| outside(&pairs, -limit, limit).len() == pairs.len();
    // Three per cent in the drop, and line without neutral or neutral twice.
    for by in [0.97, 1.03, 0.5, 1.5, 2.0] {
        assert!(caught(drop(by), 0.01), "drop x {by} passes");
    }
    for by in [0.95, 1.05, 0.5, 2.0] {
        assert!(caught(fault(by), 0.02), "Zs x {by} passes");
        assert!(caught(level(by), 0.02), "level x {by} passes");
    }
    // A figure that is no number is never within limits.
    let broken = [Pair { circuit: "broken".into(), engine: f64::NAN, library: 1.0 }];
    assert_eq!(outside(&broken, -1.0, 1.0).len(), 1);
    // And each circuit stands once.
    let mut names = BTreeMap::new();
    for case in &cases {
        *names.entry(&case.answer.circuit).or_insert(0) += 1;
    }
    assert!(names.values().all(|count| *count == 1));
}
