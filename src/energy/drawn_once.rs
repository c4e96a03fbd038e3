//! Demand of many vehicles, drawn once for all sites that ask the same: years of draws cost more than a judgement.
//!
//! Every site has the same draws, so that sites with the same vehicles, hours and room have the same demand. What is kept
//! changes no figure, only how often it is worked out.

use super::demand::{Charging, Demand, Way, When, charging};
use crate::reference::Habits;
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};

/// Years drawn for each way of charging.
const YEARS: u32 = 3;
/// The seed of all of them.
const SEED: &str = "vehicles on a shared supply";
/// Answers kept: each takes some 3 kB. What is asked beyond them is worked out every time.
const MOST_KEPT: usize = 4_096;

/// What was asked, to the last bit.
type Asked = Vec<u64>;

static KEPT: Mutex<BTreeMap<Asked, Arc<Charging>>> = Mutex::new(BTreeMap::new());

/// The demand of `vehicles` of some habits on top of `existing_kw` (by half-hour of a day that repeats), over three years
/// whose draws are the same for every site.
pub fn demand_of_site(habits: &Habits, vehicles: u32, way: Way, existing_kw: &[f64; 48]) -> Demand {
    let drawn = |when| kept(habits, vehicles, when);
    let charging = match When::of(way, existing_kw) {
        When::Within(room_kw) => {
            let free = drawn(When::AsTheyCome);
            // The same vehicles come; where there is room for all of them at every moment, nobody is held back.
            if free.stays_within(&room_kw) { free } else { drawn(When::Within(room_kw)) }
        }
        when => drawn(when),
    };
    charging.beside(existing_kw)
}

fn kept(habits: &Habits, vehicles: u32, when: When) -> Arc<Charging> {
    let asked = asked(habits, vehicles, when);
    // A thread that panicked while it held the lock left a map that is whole: entries are added by one call.
    let known = KEPT.lock().unwrap_or_else(PoisonError::into_inner).get(&asked).cloned();
    known.unwrap_or_else(|| {
        let found = Arc::new(charging(habits, vehicles, when, YEARS, SEED));
        let mut kept = KEPT.lock().unwrap_or_else(PoisonError::into_inner);
        if kept.len() < MOST_KEPT {
            kept.insert(asked, Arc::clone(&found));
        }
        found
    })
}

fn asked(habits: &Habits, vehicles: u32, when: When) -> Asked {
    // Every figure of the habits stands here: another field would make them longer.
    const { assert!(size_of::<Habits>() == 9 * size_of::<f64>()) }
    let figures = [
        habits.plug_ins_a_week,
        habits.days_a_week,
        habits.session_kwh,
        habits.start_mean_h,
        habits.start_spread_h,
        habits.leave_h,
        habits.tariff_start_h,
        habits.delay_most_min,
        habits.kw,
    ];
    let mut asked = vec![u64::from(vehicles)];
    asked.extend(figures.map(f64::to_bits));
    match when {
        When::AsTheyCome => asked.push(0),
        When::AtTariffStart => asked.push(1),
        When::Within(room_kw) => {
            asked.push(2);
            asked.extend(room_kw.map(f64::to_bits));
        }
    }
    asked
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::energy::demand;
    use crate::reference::{ChargingUse, charging_habits};

    #[test]
    fn what_is_kept_is_what_would_be_drawn() {
        let (habits, existing_kw) = (charging_habits(ChargingUse::Home), [11.0; 48]);
        let held = |group_kw| Way::Controlled { group_kw, whole_kw: 60.0, floor_kw: 1.38 };
        for way in [Way::AsTheyCome, Way::AtTariffStart, held(20.0), held(45.0), held(500.0)] {
            let drawn = demand(&habits, 14, way, &existing_kw, YEARS, SEED);
            for _ in 0..2 {
                let own = demand_of_site(&habits, 14, way, &existing_kw);
                let near = |own: f64, drawn: f64| (own - drawn).abs() <= 1e-9 * drawn.abs().max(1.0);
                assert!(near(own.peak_kw, drawn.peak_kw), "{way:?}: {} for {} kW", own.peak_kw, drawn.peak_kw);
                assert!(near(own.short_kwh_a_year, drawn.short_kwh_a_year), "{way:?}");
                assert!((0..48).all(|at| near(own.high_day_kw[at], drawn.high_day_kw[at])), "{way:?}");
                assert!((0..48).all(|at| near(own.mean_day_kw[at], drawn.mean_day_kw[at])), "{way:?}");
                assert_eq!(own.peak_half_hour, drawn.peak_half_hour, "{way:?}");
            }
        }
    }

    #[test]
    fn a_group_with_room_for_all_is_as_they_come() {
        let (habits, none) = (charging_habits(ChargingUse::Workplace), [0.0; 48]);
        let free = demand_of_site(&habits, 9, Way::AsTheyCome, &none);
        let just = Way::Controlled { group_kw: free.peak_kw * 1.5, whole_kw: f64::INFINITY, floor_kw: 1.38 };
        assert_eq!(demand_of_site(&habits, 9, just, &none), free);
        let tight = Way::Controlled { group_kw: free.peak_kw * 0.6, whole_kw: f64::INFINITY, floor_kw: 1.38 };
        assert!(demand_of_site(&habits, 9, tight, &none).peak_kw < free.peak_kw);
    }
}
