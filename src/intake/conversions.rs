//! A value in another unit than its field's, or in none, made one of the field's: what a unit converts to on one phase
//! and on three, and which unit a bare number shows by its size. It knows no text.

use super::figures::{CENTIMETRES_ABOVE, Context, MILLIMETRES_ABOVE, quantities, wanted};
use super::raw::number_shown;
use super::units::Unit;
use crate::quantity::{EXISTING_LOAD_POWER_FACTOR, U0_V, existing_kw_to_amps, kva_to_amps, round_to};
use crate::site::Field;

/// A bare power at a home from this on is watts (survey practice).
const HOME_WATTS_FROM: f64 = 1000.0;
/// A bare loop impedance above this on a supply that offers an earth lacks its decimal point (survey practice).
const TN_LOOP_BELIEVED_OHM: f64 = 5.0;

/// A value in a written unit, already in the unit's own base, made one of the field's.
pub(super) fn converted(
    field: &Field,
    value: f64,
    unit: Unit,
    context: &Context,
) -> Result<(f64, Option<String>), String> {
    let own = quantities(field).first().copied().unwrap_or_default();
    if unit.quantity == own {
        return Ok((value, None));
    }
    let phases = context.written_phases.or(context.phases).unwrap_or(1);
    let on = if phases == 1 { "one phase" } else { "three phases" };
    let shown = |value: f64| number_shown(round_to(value, 1));
    match (own, unit.quantity, field.name) {
        ("current", "power", _) => {
            let amps = existing_kw_to_amps(value, phases);
            Ok((
                amps,
                Some(format!(
                    "{} kW at {EXISTING_LOAD_POWER_FACTOR} power factor on {on} is {} A",
                    shown(value),
                    shown(amps)
                )),
            ))
        }
        ("current", "apparent", _) => {
            let amps = kva_to_amps(value, phases);
            Ok((amps, Some(format!("{} kVA on {on} is {} A", shown(value), shown(amps)))))
        }
        // A setting is named by its kilowatts: 16 A is 3.7, 32 A is 7.4, on three phases 11 and 22.
        ("power", "current", "requested_kw") => {
            // Written beside it, three phases are meant; those of the supply say nothing of the point.
            let three = context.written_phases == Some(3);
            let kw = match value.round() as i64 {
                16 if three => 11.0,
                32 if three => 22.0,
                _ if three => 3.0 * value * U0_V / 1000.0,
                16 => 3.7,
                32 => 7.4,
                48 => 11.0,
                96 => 22.0,
                _ => value * U0_V / 1000.0,
            };
            let on = if three { " on three phases" } else { "" };
            Ok((kw, Some(format!("{} A{on} is named {} kW", shown(value), shown(kw)))))
        }
        ("power", "current", _) => {
            let kw = value * U0_V * f64::from(phases) * EXISTING_LOAD_POWER_FACTOR / 1000.0;
            Ok((kw, Some(format!("{} A on {on} is {} kW", shown(value), shown(kw)))))
        }
        ("power", "apparent", "existing_demand_kw") => {
            let kw = value * EXISTING_LOAD_POWER_FACTOR;
            Ok((
                kw,
                Some(format!("{} kVA at {EXISTING_LOAD_POWER_FACTOR} power factor is {} kW", shown(value), shown(kw))),
            ))
        }
        ("power", "apparent", _) => Ok((value, Some("kVA taken as kW".to_owned()))),
        // Careful both ways: a capacity in kW is not made larger, a peak in kW is not left smaller.
        ("apparent", "power", "agreed_capacity_kva") => Ok((value, Some("kW taken as kVA".to_owned()))),
        ("apparent", "power", _) => {
            let kva = value / EXISTING_LOAD_POWER_FACTOR;
            Ok((
                kva,
                Some(format!("{} kW at {EXISTING_LOAD_POWER_FACTOR} power factor is {} kVA", shown(value), shown(kva))),
            ))
        }
        _ => Err(wanted(field)),
    }
}

/// A bare value, put right where its size shows that another unit was meant.
pub(super) fn corrected(field: &Field, value: f64, context: &Context) -> (f64, Option<String>) {
    let fits =
        |candidate: f64| field.min.is_none_or(|min| candidate >= min) && field.max.is_none_or(|max| candidate <= max);
    let guess = |factor: f64, what: &str| {
        let candidate = value * factor;
        (fits(candidate) && candidate >= 0.1)
            .then(|| (candidate, Some(format!("{} without a unit is taken as {what}", number_shown(value)))))
    };
    let better = match field.unit {
        "m" if value > MILLIMETRES_ABOVE => guess(0.001, "millimetres"),
        "m" if value > CENTIMETRES_ABOVE && context.is_home => guess(0.01, "centimetres"),
        "kW" if !fits(value) || (context.is_home && value >= HOME_WATTS_FROM) => guess(0.001, "watts"),
        "kA" if !fits(value) => guess(0.001, "amperes"),
        "ohm" if context.earthed_by_supply && value > TN_LOOP_BELIEVED_OHM && value.fract() == 0.0 => {
            guess(0.01, "hundredths of an ohm, since the supply offers an earth")
        }
        _ => None,
    };
    better.unwrap_or((value, None))
}
