//! Why the other answers to an open PEN were not taken, with their number: three-phase balance, a low-resistance
//! electrode, voltage monitoring on three phases. They are shown and never relied on.

use super::charging::{Charging, Fit};
use super::facts::Facts;
use super::findings::Findings;
use super::rods::one_rod_ohm;
use super::{
    neutral_current_a, open_pen_electrode_limit_ohm, open_pen_electrode_limit_three_phase_ohm, open_pen_voltage_v,
};
use crate::reference::{OpenPenLoading, open_pen_limit_v, open_pen_loadings};
use crate::rules::{ChargePoint, Rules};

/// What the other alternatives would have taken on this installation.
pub(super) fn say_alternatives(
    facts: &Facts,
    charging: &Charging,
    point: &ChargePoint,
    rules: &Rules,
    out: &mut Findings<'_>,
) {
    if facts.supply_phases == 3 {
        if point.open_pen_method == "voltage" {
            out.show("voltage-monitoring", |f| f.subject("for single-phase installations only: not taken"));
        }
        out.show("earthing-balance", |f| {
            let mut volts = [0.0; 6];
            for (slot, loading) in volts.iter_mut().zip(open_pen_loadings()) {
                *slot = open_pen_voltage_v(lines_a(loading, facts, charging), None);
            }
            f.at_most(volts.iter().copied().fold(0.0, f64::max), open_pen_limit_v()).terms(&volts).noted()
        });
        out.show("earthing-electrode-ii", |f| {
            let worst = open_pen_loadings()
                .iter()
                .map(|loading| lines_a(loading, facts, charging))
                .filter_map(|lines| Some((open_pen_electrode_limit_three_phase_ohm(lines)?, neutral_current_a(lines))))
                .min_by(|one, other| one.0.total_cmp(&other.0));
            match worst {
                Some((limit_ohm, neutral_a)) => {
                    f.subject("a neutral current").at_most(one_rod_ohm(rules), limit_ohm).terms(&[neutral_a]).noted()
                }
                None => f.subject("no neutral current to speak of").terms(&[0.0]),
            }
        });
    } else {
        out.show("earthing-electrode-ii", |f| {
            let demand_a = charging.maximum_demand_a.high.max(charging.setting_a).max(1.0);
            f.subject("a maximum demand")
                .at_most(one_rod_ohm(rules), open_pen_electrode_limit_ohm(demand_a))
                .terms(&[demand_a])
                .noted()
        });
    }
}

/// Line currents of one loading, amperes; the first phase is the worst one.
fn lines_a(loading: &OpenPenLoading, facts: &Facts, charging: &Charging) -> [f64; 3] {
    let (whole_a, phases) = match &charging.fit {
        _ if loading.one_phase => (charging.setting_a, 1),
        Fit::Group(group) => (group.group_a, facts.wanted.points.saturating_mul(u32::from(charging.phases))),
        _ => (charging.setting_a, u32::from(charging.phases)),
    };
    let existing_a = facts.demand.band_a.likely;
    let mut lines_a = loading.existing.map(|share| share * existing_a);
    for (line_a, _) in lines_a.iter_mut().zip(0..phases) {
        *line_a += whole_a;
    }
    lines_a
}
