//! The figures that the formulas name: rules of the run, and constants of the trade with where they come from.

use super::evaluate::Value;
use crate::design::rods_with_margin_ohm;
use crate::quantity::{CMIN, U0_V};
use crate::reference::{
    bonding_other_mm2, buried_overload, earthing_tt_mm2, protection_figure, voltage_monitoring_low_v,
};
use crate::rules::Rules;

/// A figure with its name in formulas.
pub(super) struct Figure {
    /// Its name.
    pub(super) name: &'static str,
    /// What it is.
    pub(super) title: &'static str,
    /// How much.
    pub(super) value: Value,
    /// Unit.
    pub(super) unit: &'static str,
    /// Where it comes from.
    pub(super) source: &'static str,
}

/// Every named figure under these rules.
pub(super) fn figures(rules: &Rules) -> Vec<Figure> {
    let mut all = policy(rules);
    all.extend(constants(rules));
    all
}

fn figure(
    name: &'static str,
    title: &'static str,
    value: impl Into<Value>,
    unit: &'static str,
    source: &'static str,
) -> Figure {
    Figure { name, title, value: value.into(), unit, source }
}

fn yes(truth: bool) -> &'static str {
    if truth { "yes" } else { "no" }
}

fn policy(rules: &Rules) -> Vec<Figure> {
    let (supply, circuit, route) = (&rules.supply, &rules.circuit, &rules.route);
    let (demand, charging) = (&rules.demand, &rules.charging);
    let [low, likely, high] = demand.peak_share_of_capacity;
    let of_supply = |name, title, value: f64, unit| figure(name, title, value, unit, "rules, [supply]");
    let of_circuit = |name, title, value: f64, unit| figure(name, title, value, unit, "rules, [circuit]");
    let of_route = |name, title, value: f64, unit| figure(name, title, value, unit, "rules, [route]");
    let of_demand = |name, title, value: f64| figure(name, title, value, "share", "rules, [demand]");
    vec![
        of_supply("rule_home_threshold_a", "A home above it applies first", supply.home_threshold_a, "A"),
        of_supply("rule_limiter_share", "Share of the limit that a limiter holds", supply.limiter_share, "share"),
        figure("rule_allow_limiter", "Limiters are allowed", yes(supply.allow_limiter), "", "rules, [supply]"),
        of_supply("rule_near_cutout_share", "Share of the fuse to remark on", supply.near_cutout_share, "share"),
        of_supply(
            "rule_capacity_formality_share",
            "Share of the capacity within which an application is a formality",
            supply.capacity_formality_share,
            "share",
        ),
        of_supply("rule_tails_16_serve_a", "Small tails serve", supply.tails_16mm2_serve_a, "A"),
        of_supply("rule_tails_25_serve_a", "Large tails serve", supply.tails_25mm2_serve_a, "A"),
        of_supply("rule_tails_longest_m", "Longest tails before the first isolation", supply.tails_longest_m, "m"),
        of_supply(
            "rule_ct_metering_above_a",
            "Larger supplies are transformer metered",
            supply.ct_metering_above_a,
            "A",
        ),
        of_demand("rule_peak_share_low", "Peak not known, of the capacity: low end", low),
        of_demand("rule_peak_share_likely", "the same, likely", likely),
        of_demand("rule_peak_share_high", "the same, high end", high),
        of_demand(
            "rule_home_mean_share",
            "Mean of a home's demand while plugged in, of its peak",
            demand.home_mean_share,
        ),
        figure(
            "rule_useful_current_a",
            "Least current worth having",
            charging.useful_current_a,
            "A",
            "rules, [charging]",
        ),
        figure("rule_pilot_floor_a", "Least current of a session", charging.pilot_floor_a, "A", "rules, [charging]"),
        of_circuit("rule_drop_limit_percent", "Voltage drop allowed", circuit.drop_limit_percent, "%"),
        figure("rule_curve", "Tripping characteristic", circuit.curve.as_str(), "", "rules, [circuit]"),
        figure(
            "rule_rcd_disconnects",
            "A residual-current device may disconnect on TN",
            yes(circuit.rcd_as_fault_protection),
            "",
            "rules, [circuit]",
        ),
        figure(
            "rule_allow_open_pen_device",
            "A separate open-PEN device is allowed",
            yes(circuit.allow_open_pen_device),
            "",
            "rules, [circuit]",
        ),
        of_circuit("rule_ze_tn_c_s_ohm", "Declared maximum of Ze, TN-C-S", circuit.declared_ze_tn_c_s_ohm, "Ω"),
        of_circuit("rule_ze_tn_s_ohm", "Declared maximum of Ze, TN-S and not known", circuit.declared_ze_tn_s_ohm, "Ω"),
        of_circuit("rule_ze_low_ohm", "Lowest credible Ze", circuit.ze_low_ohm, "Ω"),
        of_circuit(
            "rule_fault_one_phase_ka",
            "Declared prospective current, one phase",
            circuit.fault_level_single_phase_ka,
            "kA",
        ),
        of_circuit(
            "rule_fault_three_phase_ka",
            "Declared prospective current, three phases and larger",
            circuit.fault_level_three_phase_ka,
            "kA",
        ),
        of_circuit("rule_conditional_ka", "Conditional rating of a consumer unit", circuit.conditional_rating_ka, "kA"),
        of_circuit(
            "rule_residual_breaking_ka",
            "Most that breakers with a residual-current part break",
            circuit.residual_device_breaking_ka,
            "kA",
        ),
        of_circuit(
            "rule_electrode_limit_ohm",
            "An electrode above it may not be stable",
            circuit.electrode_limit_ohm,
            "Ω",
        ),
        of_circuit(
            "rule_electrode_greatest_ohm",
            "Greatest loop for a residual-current device",
            circuit.electrode_greatest_ohm,
            "Ω",
        ),
        of_circuit("rule_main_bonding_mm2", "Main bonding at least", circuit.main_bonding_mm2, "mm²"),
        of_circuit("rule_earthing_conductor_mm2", "Earthing conductor at least", circuit.earthing_conductor_mm2, "mm²"),
        of_circuit("rule_continuous_share", "Share of a device for a load of hours", circuit.continuous_share, "share"),
        of_route("rule_rise_m", "Rise at each end", route.rise_m, "m"),
        of_route("rule_ends_m", "Tails at each end", route.ends_m, "m"),
        of_route("rule_soil_k_m_per_w", "Thermal resistivity of the soil", route.soil_k_m_per_w, "K·m/W"),
        of_route("rule_depth_m", "Depth of laying", route.depth_m, "m"),
    ]
}

fn constants(rules: &Rules) -> Vec<Figure> {
    vec![
        figure("rule_u0_v", "Voltage to earth", U0_V, "V", "public supply, nominal (print)"),
        figure("rule_cmin", "Lowest supply voltage as a share", CMIN, "share", "Table 41.3 (print)"),
        figure("rule_copper_hot", "Copper from 20 to 70 °C", 1.20, "times", "1 + 0.004 × 50, IEC 60228 (print)"),
        figure("rule_unknown_line", "Line of a size in no table", 1.15, "mΩ/m", "16 mm², IEC 60228 (print)"),
        figure("rule_tails_small_mm2", "Small tails; the least reckoned with", 16.0, "mm²", "memory; design rule"),
        figure("rule_tails_large_mm2", "Large tails", 25.0, "mm²", "memory"),
        figure("rule_buried_overload", "Cc, in the ground", buried_overload(), "times", "Appendix 4 5.1.1"),
        figure("rule_insulated_beyond", "Ci beyond half a metre", 0.5, "times", "Table 52.2 (print)"),
        figure("rule_instantaneous_s", "A breaker at once", 0.1, "s", "BS EN 60898: below it (print)"),
        figure("rule_class_highest_ka", "Highest fault of the let-through class", 10.0, "kA", "class 3 (memory)"),
        figure(
            "rule_one_phase_to_a",
            "Declared level of one phase up to",
            100.0,
            "A",
            "operators' declared values (print)",
        ),
        figure(
            "rule_conditional_to_a",
            "A conditional rating holds behind a fuse up to",
            protection_figure("conditional-to"),
            "A",
            "BS EN 61439-3 ZB (print)",
        ),
        figure("rule_lowest_supply_share", "Lowest lawful supply", 0.94, "share", "statutory, 230 V less 6 % (print)"),
        figure(
            "rule_monitoring_low_v",
            "Voltage monitoring trips below",
            voltage_monitoring_low_v(),
            "V",
            "a maker's manual",
        ),
        figure(
            "rule_rods_ohm",
            "Electrode by rods in the rules' soil, with the season's margin",
            rods_with_margin_ohm(rules),
            "Ω",
            "reckoned by Baywright from the rules' soil (BS 7430)",
        ),
        figure("rule_earthing_tt_mm2", "Earthing conductor on TT at least", earthing_tt_mm2(), "mm²", "memory"),
        figure(
            "rule_bonding_other_least",
            "Main bonding on TT at least",
            bonding_other_mm2(0.0),
            "mm²",
            "544.1.1 (print)",
        ),
        figure(
            "rule_bonding_other_most",
            "Main bonding on TT need not exceed",
            bonding_other_mm2(f64::INFINITY),
            "mm²",
            "544.1.1 (print)",
        ),
        figure("rule_same_size_to_mm2", "Protective conductor as the line up to", 16.0, "mm²", "Table 54.7 (print)"),
        figure("rule_half_size_from_mm2", "and half of it beyond", 35.0, "mm²", "Table 54.7 (print)"),
    ]
}
