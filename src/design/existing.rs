//! What already lies between the origin and the circuit: the tails, and an existing sub-main where there is one.

use super::Feed;
use super::charging::{Charging, Fit};
use super::facts::Facts;
use super::findings::Findings;
use crate::finding::Finding;
use crate::reference::{
    Cable, CableFamily, Loaded, Method, armoured, buried_overload, cable_row, conductor_r20_mohm_per_m,
};

/// What an existing sub-main carries, amperes: its device, or its conductor where that is less (clipped or buried,
/// whichever is harsher; sizes beyond the tables are taken to be protected by their device).
pub(super) fn submain_carries_a(mm2: f64, device_a: f64, supply_phases: u8) -> f64 {
    let buried_a = rated_a(mm2, Method::D, supply_phases).map(|rated_a| rated_a * buried_overload());
    let conductor_a = clipped_a(mm2, supply_phases).zip(buried_a).map(|(clipped_a, buried_a)| clipped_a.min(buried_a));
    conductor_a.map_or(device_a, |conductor_a| conductor_a.min(device_a))
}

/// Rating of armoured cable of this size clipped to a surface, amperes; `None` for a size beyond the tables.
fn clipped_a(mm2: f64, supply_phases: u8) -> Option<f64> {
    rated_a(mm2, Method::C, supply_phases)
}

fn rated_a(mm2: f64, method: Method, supply_phases: u8) -> Option<f64> {
    let (cores, loaded) = if supply_phases == 3 { (4, Loaded::Three) } else { (2, Loaded::One) };
    let row = armoured(CableFamily::ArmouredXlpe, cores).iter().find(|row| (row.cable.csa_mm2 - mm2).abs() < 1e-9);
    row.and_then(|row| row.capacity_a(method, loaded))
}

/// A stated sub-main that the charging is fed over must carry the new maximum demand: how much of the existing load
/// stands behind it nobody surveys, so all of it is taken to. And its device must protect its conductor (433.1.1): one
/// that exceeds the rating of armoured cable clipped to a surface protects no usual cable of that size.
pub(super) fn say_existing_submain(facts: &Facts, charging: &Charging, feed: Feed, out: &mut Findings<'_>) {
    let Some((mm2, device_a)) = facts.submain else {
        return;
    };
    if matches!(charging.fit, Fit::Nothing { .. }) || feed == Feed::AddedBoard {
        return;
    }
    let needed_a = charging.maximum_demand_a.high;
    let carries_a = submain_carries_a(mm2, device_a, facts.supply_phases);
    let clipped_a = clipped_a(mm2, facts.supply_phases);
    let fill = |f: Finding| f.at_least(carries_a, needed_a).terms(&[mm2, device_a, clipped_a.unwrap_or(device_a)]);
    if carries_a < needed_a || clipped_a.is_some_and(|clipped_a| device_a > clipped_a) {
        out.say("existing-submain", "submain-too-small", fill);
    } else {
        out.show("existing-submain", fill);
    }
}

/// Resistance and drop of the tails and what lies between origin and the board that feeds the circuit.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Upstream {
    /// Volts per ampere a phase.
    pub(super) drop_v_per_a: f64,
    /// Length, metres.
    pub(super) length_m: f64,
    /// Most current a phase that can flow there for long, amperes.
    pub(super) most_a: f64,
    /// Ohms, line and protective conductor, hot.
    pub(super) loop_ohm: f64,
    /// The same at 20 degrees, as a test reads it.
    pub(super) cold_ohm: f64,
    /// Conductor, mm2; 0 where nothing is surveyed.
    pub(super) mm2: f64,
}

/// What lies before a circuit of `needed_a`: the stated sub-main where the circuit starts at its board and its device
/// carries it (a smaller one is replaced or left, and a finding says so), else the tails.
pub(super) fn upstream(facts: &Facts, needed_a: f64, at_board: bool, tails_longest_m: f64) -> Upstream {
    const LINE_70C: f64 = 1.20;
    let (mm2, length_m, most_a) = match (facts.submain, facts.tails_mm2) {
        (Some((mm2, device_a)), _) if at_board && device_a >= needed_a => (mm2, facts.tails_m, device_a),
        // With a sub-main the stated length is the sub-main's; the tails are short by the operators' rule.
        (Some(_), Some(mm2)) => (mm2.max(16.0), facts.tails_m.min(tails_longest_m), f64::INFINITY),
        (None, Some(mm2)) => (mm2.max(16.0), facts.tails_m, f64::INFINITY),
        // Above 100 A the incomer's busbars are not surveyed: their drop is the designer's.
        (_, None) => return Upstream { most_a: f64::INFINITY, ..Upstream::default() },
    };
    let line = conductor_r20_mohm_per_m(mm2).unwrap_or(1.15) * LINE_70C;
    let tails_loop = line + conductor_r20_mohm_per_m(16.0).unwrap_or(1.15) * LINE_70C;
    // Nobody surveys the protective conductor of a sub-main: it is taken as the armour of a two-core cable, the worst of
    // the usual ones.
    let armoured = Cable { family: CableFamily::ArmouredXlpe, cores: 2, csa_mm2: mm2 };
    let submain = cable_row(armoured).filter(|_| most_a.is_finite());
    let loop_mohm_per_m = submain.map_or(tails_loop, |row| row.loop_hot_mohm_per_m().max(tails_loop));
    let cold_mohm_per_m = submain
        .filter(|row| row.loop_hot_mohm_per_m() > tails_loop)
        .map_or(tails_loop / LINE_70C, |row| row.loop_cold_mohm_per_m());
    // Its reactance is that of an armoured cable of its size: nothing up to 16 mm2.
    let reactance_mv = submain.map_or(0.0, |row| row.drop.x_mv[0]);
    Upstream {
        drop_v_per_a: (2.0 * line).hypot(reactance_mv) * length_m / 1000.0,
        length_m,
        most_a,
        loop_ohm: loop_mohm_per_m * length_m / 1000.0,
        cold_ohm: cold_mohm_per_m * length_m / 1000.0,
        mm2,
    }
}

/// What lies before the circuit, so that its share of drop and loop can be followed.
pub(super) fn say_before(before: &Upstream, demand_a: f64, out: &mut Findings<'_>) {
    if before.mm2 <= 0.0 {
        return;
    }
    let subject = if before.most_a.is_finite() { "existing sub-main" } else { "meter tails" };
    let current_a = demand_a.min(before.most_a);
    out.show("before-the-circuit", |f| {
        f.subject(subject).value(before.drop_v_per_a * current_a).terms(&[
            before.mm2,
            before.length_m,
            current_a,
            before.loop_ohm,
            before.cold_ohm,
        ])
    });
}
