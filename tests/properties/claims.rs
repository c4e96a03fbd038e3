//! What an arrangement claims is true: rated, dropped, disconnected, indoors where it must be, within the supply.

use super::draw::{Draw, draws, has_no_cable};
use super::trials;
use baywright::design::*;
use baywright::finding::Effect;
use baywright::quantity::U0_V;
use baywright::reference::{Cable, CableFamily, Loaded, Method, cable_row, conductor_r20_mohm_per_m};
use baywright::rules::{Rules, default_rules};
use baywright::site::{Answer, EarthingSystem, Reading, Site};
use proptest::prelude::*;

const HAIR: f64 = 1e-6;

/// Every figure of an arrangement, by name.
fn figures(arrangement: &Arrangement) -> Vec<(&'static str, f64)> {
    let mut all = vec![
        ("setting", arrangement.setting_a),
        ("demand low", arrangement.maximum_demand_a.low),
        ("demand likely", arrangement.maximum_demand_a.likely),
        ("demand high", arrangement.maximum_demand_a.high),
        ("capacity", arrangement.current_capacity_a),
        ("drop", arrangement.voltage_drop_v),
        ("drop percent", arrangement.voltage_drop_percent),
        ("zs", arrangement.zs_ohm),
        ("zs limit", arrangement.zs_limit_ohm),
        ("fault", arrangement.fault_current_a),
        ("device", arrangement.device.rating_a),
        ("breaking", arrangement.device.breaking_ka),
        ("length", arrangement.length_m()),
    ];
    if let Some(shared) = arrangement.shared {
        all.extend([
            ("group limit", shared.group_limit_a),
            ("needed", shared.energy_needed_kwh),
            ("unserved", shared.energy_unserved_kwh),
            ("least group limit", shared.least_group_limit_a.unwrap_or(0.0)),
            ("needed on a high day", shared.energy_needed_high_kwh),
            ("unserved on a high day", shared.energy_unserved_high_kwh),
        ]);
    }
    for run in &arrangement.runs {
        all.extend([
            ("indoor", run.indoor_m),
            ("surface", run.surface_m),
            ("buried", run.buried_m),
            ("rises", run.rises_m),
        ]);
    }
    all
}

fn check_figures(arrangement: &Arrangement) -> Result<(), TestCaseError> {
    for (name, figure) in figures(arrangement) {
        prop_assert!(figure.is_finite() && figure >= 0.0, "{name} is {figure}");
    }
    for finding in &arrangement.findings {
        let shown = [finding.value, finding.limit];
        let finite = shown.iter().flatten().chain(&finding.terms);
        for number in finite {
            prop_assert!(number.is_finite(), "{}: {number}", finding.check.name);
        }
    }
    Ok(())
}

/// Everything an arrangement that claims a cable claims with it.
fn check_cable(draw: &Draw, arrangement: &Arrangement, rules: &Rules) -> Result<(), TestCaseError> {
    let limit_v = rules.circuit.drop_limit_percent / 100.0 * U0_V;
    let device = arrangement.device;
    prop_assert!(device.rating_a >= arrangement.setting_a, "In below Ib");
    prop_assert!(arrangement.current_capacity_a >= device.rating_a - HAIR, "Iz below In");
    prop_assert!(arrangement.voltage_drop_v <= limit_v + HAIR, "drop over the limit");
    let percent = 100.0 * arrangement.voltage_drop_v / U0_V;
    prop_assert!((percent - arrangement.voltage_drop_percent).abs() < HAIR);
    prop_assert!(arrangement.zs_ohm <= arrangement.zs_limit_ohm + HAIR, "Zs over its limit");
    prop_assert_eq!(device.poles, if arrangement.phases == 3 { 4 } else { 2 });
    prop_assert!(device.residual.is_some(), "a charging circuit without a residual-current device");
    prop_assert!(twin_and_earth_stays_indoors(&arrangement.runs));
    for run in &arrangement.runs {
        check_run(arrangement, run)?;
    }
    if arrangement.earthing == EarthingPath::Electrode {
        prop_assert_eq!(arrangement.zs_limit_ohm, rules.circuit.electrode_greatest_ohm);
    }
    if arrangement.shared.is_none() {
        // The whole route and both ends are cabled, and never less than the surveyed distance.
        prop_assert!(arrangement.length_m() >= draw.route_m() - HAIR);
        prop_assert!((recomputed_drop_v(draw, arrangement, rules) - arrangement.voltage_drop_v).abs() < HAIR);
        if let Some(least) = least_zs_ohm(draw, arrangement, rules) {
            let over = arrangement.zs_ohm - least;
            prop_assert!(over > -HAIR, "Zs {} below {least}", arrangement.zs_ohm);
            prop_assert!(draw.submain.is_some() || over < HAIR, "Zs {} above {least}", arrangement.zs_ohm);
        }
    }
    Ok(())
}

fn check_run(arrangement: &Arrangement, run: &Run) -> Result<(), TestCaseError> {
    let row = cable_row(run.cable);
    prop_assert!(row.is_some(), "{} is in no table", run.cable.words());
    let table_a = row.and_then(|row| row.capacity_a(run.method, Loaded::One));
    prop_assert!(table_a.is_some(), "{} has no method {:?}", run.cable.words(), run.method);
    if run.cable.family == CableFamily::TwinAndEarth {
        prop_assert_eq!(run.method, Method::C);
        prop_assert_eq!(arrangement.phases, 1);
    }
    if arrangement.phases == 3 && run.role == RunRole::Final {
        prop_assert!(run.cable.cores >= 4, "three phases need line, line, line and neutral");
    }
    prop_assert!(run.count >= 1);
    Ok(())
}

/// What lies between origin and board, as surveyed: conductor in mm2, length, and the most current that flows there.
fn to_the_board(draw: &Draw, arrangement: &Arrangement, rules: &Rules) -> Option<(f64, f64, f64)> {
    let by_submain = arrangement.feed == Feed::SpareWay;
    match draw.submain {
        Some((mm2, device_a)) if by_submain && device_a >= arrangement.setting_a => Some((mm2, draw.tails_m, device_a)),
        _ if draw.cutout_a > 100.0 => None,
        submain => {
            let longest_m = if submain.is_some() { rules.supply.tails_longest_m } else { f64::INFINITY };
            Some((draw.tails_mm2.unwrap_or(16.0).max(16.0), draw.tails_m.min(longest_m), f64::INFINITY))
        }
    }
}

fn hot_ohm_per_m(csa_mm2: f64) -> f64 {
    conductor_r20_mohm_per_m(csa_mm2).unwrap_or_default() * 1.2 / 1000.0
}

/// The drop once more from the tables: tails at the whole demand, then each run at the setting.
fn recomputed_drop_v(draw: &Draw, arrangement: &Arrangement, rules: &Rules) -> f64 {
    let tails_v = to_the_board(draw, arrangement, rules).map_or(0.0, |(mm2, metres, most_a)| {
        // An existing sub-main has the reactance of an armoured cable of its size.
        let cable = Cable { family: CableFamily::ArmouredXlpe, cores: 2, csa_mm2: mm2 };
        let x_ohm = cable_row(cable).filter(|_| most_a.is_finite()).map_or(0.0, |row| row.drop.x_mv[0] / 1000.0);
        (2.0 * hot_ohm_per_m(mm2)).hypot(x_ohm) * metres * arrangement.maximum_demand_a.high.min(most_a)
    });
    let runs = arrangement.runs.iter().filter_map(|run| {
        let mv = cable_row(run.cable)?.drop_mv_per_a_m(Loaded::One);
        Some(mv * arrangement.setting_a * run.length_m() / 1000.0)
    });
    tails_v + runs.sum::<f64>()
}

/// The loop once more from the tables, on a TN supply whose Ze is stated: never less than these copper conductors.
fn least_zs_ohm(draw: &Draw, arrangement: &Arrangement, rules: &Rules) -> Option<f64> {
    if arrangement.earthing == EarthingPath::Electrode {
        return None;
    }
    let board = to_the_board(draw, arrangement, rules)
        .map_or(0.0, |(mm2, metres, _)| (hot_ohm_per_m(mm2) + hot_ohm_per_m(16.0)) * metres);
    let runs = arrangement
        .runs
        .iter()
        .filter_map(|run| Some(cable_row(run.cable)?.loop_hot_mohm_per_m() * run.length_m() / 1000.0));
    Some(draw.ze_ohm? + board + runs.sum::<f64>())
}

/// Fault current at the distribution board that no angle of the source can exceed downwards: source and cold sub-main as
/// plain numbers. What the engine reckons with must not be below it.
fn least_level_after_ka(facts: &Facts, arrangement: &Arrangement) -> f64 {
    let source_ohm = U0_V / (facts.fault_level_ka.max(0.1) * 1000.0);
    let conductors = if facts.supply_phases == 3 { 1.0 } else { 2.0 };
    let submains = arrangement.runs.iter().filter(|run| run.role == RunRole::SubMain);
    let line_ohm: f64 = submains
        .filter_map(|run| Some(conductor_r20_mohm_per_m(run.cable.csa_mm2)? * conductors * run.length_m() / 1000.0))
        .sum();
    U0_V / (source_ohm + line_ohm) / 1000.0
}

/// Whatever is set, the supply is not overloaded without saying so.
fn check_supply(site: &Site, arrangement: &Arrangement, rules: &Rules) -> Result<(), TestCaseError> {
    let (facts, _) = facts(site, rules);
    let limit_a = supply_limit_a(&facts);
    let says = |code: &str| arrangement.findings.iter().any(|f| f.code() == Some(code));
    if says("supply-fits") || says("demand-over-60") {
        let charging_a = match arrangement.control {
            Control::Group { limit_a, .. } => limit_a,
            _ => arrangement.setting_a * if arrangement.shared.is_some() { 0.0 } else { 1.0 },
        };
        prop_assert!(facts.demand.band_a.high + charging_a <= facts.cutout_a + HAIR);
        if let Some(capacity_a) = facts.capacity_a {
            prop_assert!(facts.demand.against_capacity_a.high + charging_a <= capacity_a + HAIR);
        }
    }
    if says("supply-fits") && facts.premises.is_home() && arrangement.shared.is_none() {
        prop_assert!(arrangement.maximum_demand_a.high <= rules.supply.home_threshold_a + HAIR);
    }
    if let Control::Local { setpoint_a } | Control::Group { setpoint_a: Some(setpoint_a), .. } = arrangement.control {
        prop_assert!(setpoint_a <= rules.supply.limiter_share * limit_a + HAIR);
        prop_assert!(facts.demand.band_a.high <= rules.supply.limiter_share * facts.cutout_a + HAIR);
        prop_assert!(arrangement.maximum_demand_a.high <= setpoint_a + HAIR);
    }
    if let Some(shared) = arrangement.shared {
        prop_assert!(shared.points_at_once <= arrangement.points);
        prop_assert!(shared.points_served <= arrangement.points);
        let device_a = arrangement.submain_device.map_or(0.0, |device| device.rating_a);
        let count = arrangement.runs.iter().find(|run| run.role == RunRole::SubMain);
        let count = count.map_or(0.0, |run| f64::from(run.count));
        if !has_no_cable(arrangement) {
            prop_assert!(device_a * count >= shared.group_limit_a - HAIR, "sub-mains too small");
        }
    }
    let conditional = facts.supply_phases == 1 && facts.cutout_a <= 100.0;
    let carries = |device: Device, level_ka: f64| {
        let conditional_ka = if conditional { rules.circuit.conditional_rating_ka } else { 0.0 };
        conditional_ka.max(device.breaking_ka) >= level_ka - HAIR
    };
    match arrangement.submain_device {
        None => {
            prop_assert!(carries(arrangement.device, facts.fault_level_ka), "breaking capacity below the fault level")
        }
        Some(submain) => {
            prop_assert!(carries(submain, facts.fault_level_ka), "sub-main's breaking capacity");
            prop_assert!(carries(arrangement.device, least_level_after_ka(&facts, arrangement)), "breaking capacity");
        }
    }
    Ok(())
}

proptest! {
    #![proptest_config(trials(1_000))]

    #[test]
    fn every_claim_is_true(draw in draws()) {
        let rules = default_rules();
        let site = draw.site();
        for arrangement in &draw.built(rules) {
            check_figures(arrangement)?;
            prop_assert!(twin_and_earth_stays_indoors(&arrangement.runs));
            check_supply(&site, arrangement, rules)?;
            if !has_no_cable(arrangement) {
                check_cable(&draw, arrangement, rules)?;
            }
        }
    }

    #[test]
    fn something_is_always_answered_unless_more_than_32_a_is_wanted(draw in draws()) {
        let rules = default_rules();
        let beyond = draw.kw.is_some_and(|kw| setting_of_kw(kw).2);
        prop_assert_eq!(draw.built(rules).is_empty(), beyond);
    }

    #[test]
    fn the_same_facts_give_the_same_answer(draw in draws()) {
        let rules = default_rules();
        prop_assert_eq!(draw.built(rules), draw.built(rules));
    }

    #[test]
    fn a_doubtful_figure_is_designed_at_its_harsher_end(draw in draws(), spread in 1.0..2.0) {
        let rules = default_rules();
        let mut doubtful = draw.site();
        let route_m = draw.route_m();
        doubtful.parking.parking_distance_m = Reading {
            answer: Answer::Doubtful { low: route_m, likely: route_m, high: route_m * spread },
            column: None,
        };
        let (facts, _) = facts(&doubtful, rules);
        for arrangement in arrangements(&facts, rules) {
            if arrangement.shared.is_none() && !has_no_cable(&arrangement) {
                prop_assert!(arrangement.length_m() >= route_m * spread - HAIR);
            }
        }
    }

    /// An electrode beside a point that answers an open PEN by itself is sought only where that way needs more than steps.
    #[test]
    fn a_tn_supply_relies_on_an_electrode_only_where_it_must(draw in draws()) {
        let built = draw.built(default_rules());
        for arrangement in &built {
            let tt = draw.earthing == Some(EarthingSystem::Tt);
            let electrode = arrangement.earthing == EarthingPath::Electrode;
            prop_assert!(!tt || electrode);
            if electrode && !tt {
                prop_assert!(draw.electrode_position != Some(false));
                let alike = |other: &&Arrangement| {
                    let key = |a: &Arrangement| (a.setting_a.to_bits(), a.phases, a.feed);
                    key(other) == key(arrangement) && other.earthing == EarthingPath::SupplyEarthOpenPen
                };
                prop_assert!(built.iter().filter(alike).all(|other| worst_effect(other) > Effect::Step));
            }
        }
    }
}

/// Any number at all, the impossible ones too.
fn any_number() -> impl Strategy<Value = f64> {
    prop_oneof![
        any::<f64>(),
        prop::sample::select(vec![0.0, -1.0, 1e300, f64::NAN, f64::INFINITY, f64::NEG_INFINITY, f64::MIN_POSITIVE]),
        -100.0..1000.0,
    ]
}

proptest! {
    #![proptest_config(trials(500))]

    #[test]
    fn nothing_panics_whatever_the_numbers(draw in draws(), n in prop::array::uniform20(any_number())) {
        let rules = default_rules();
        let wild = Draw {
            cutout_a: n[0], capacity_kva: Some(n[1]), demand_a: n[2], tails_mm2: Some(n[3]), tails_m: n[4],
            ze_ohm: Some(n[5]), fault_level_ka: Some(n[6]), spare_ways: Some(n[7]), indoor_m: n[8],
            surface_m: n[9], buried_m: n[10], insulated_m: n[11], ambient_c: n[12], grouped: n[13],
            points: n[14], kw: Some(n[15]), miles: n[16], submain: Some((n[17], n[18])), ..draw.clone()
        };
        let _ = wild.built(rules);
        // One impossible number among plausible ones goes deeper than twenty at once.
        let one = |change: &dyn Fn(&mut Draw)| {
            let mut draw = draw.clone();
            change(&mut draw);
            let _ = draw.built(rules);
        };
        one(&|draw| draw.cutout_a = n[0]);
        one(&|draw| draw.demand_a = n[1]);
        one(&|draw| draw.surface_m = n[2]);
        one(&|draw| draw.ze_ohm = Some(n[3]));
        one(&|draw| draw.ambient_c = n[4]);
        one(&|draw| draw.grouped = n[5]);
        one(&|draw| draw.points = n[6]);
        one(&|draw| draw.miles = n[7]);
        one(&|draw| draw.fault_level_ka = Some(n[8]));
        one(&|draw| draw.capacity_kva = Some(n[9]));
    }
}
