//! The maximum demand of a home or of small premises on paper, by On-Site Guide factors at device rating (311.1).
//!
//! It is printed beside the figure that decides, and decides nothing: entered at device rating an ordinary house totals
//! over 100 A before any charging, and the measured peak is usually a third of it.

use crate::quantity::{U0_V, existing_kw_to_amps};
use crate::reference::{HouseholdLoad, PremisesFactors, diversity, diversity_in, usual_circuits};
use crate::site::Site;

/// What a home has, as the factors ask for it. Single-phase.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Appliances {
    /// Connected lighting, amperes.
    pub lighting_a: f64,
    /// Cooker at full load, kilowatts; 0 for none.
    pub cooker_kw: f64,
    /// Whether its control unit holds a socket-outlet.
    pub cooker_socket: bool,
    /// Instantaneous showers, kilowatts each.
    pub showers_kw: Vec<f64>,
    /// Thermostatic water heaters, kilowatts each.
    pub water_heaters_kw: Vec<f64>,
    /// Heat pump, kilowatts; 0 for none.
    pub heat_pump_kw: f64,
    /// Socket circuits, device rating of each in amperes.
    pub circuits_a: Vec<f64>,
}

/// What the survey says a home has: shower, cooker, water heater and heat pump as stated; lighting and socket circuits
/// by bedrooms (memory; three bedrooms where none are stated).
///
/// An appliance that the survey does not state is left out, and so is electric heating other than a heat pump, whose
/// power no column holds: the figure is then too low, and the finding that shows it says which were counted. Whether a
/// cooker unit holds a socket-outlet is not surveyed; it is taken to, the harsher of the two. Showers are surveyed all
/// together and count as one: right for one or two, too high for more.
pub fn appliances_of(site: &Site) -> Appliances {
    const USUAL_BEDROOMS: f64 = 3.0;
    let usual = usual_circuits(site.load.bedrooms.value().unwrap_or(USUAL_BEDROOMS));
    let stated = |kw: Option<f64>| kw.filter(|kw| kw.is_finite() && *kw > 0.0);
    let cooker_kw = stated(site.load.cooker_kw.value());
    Appliances {
        lighting_a: usual.lighting_a,
        cooker_kw: cooker_kw.unwrap_or_default(),
        cooker_socket: cooker_kw.is_some(),
        showers_kw: stated(site.load.shower_kw.value()).into_iter().collect(),
        water_heaters_kw: stated(site.load.water_heater_kw.value()).into_iter().collect(),
        heat_pump_kw: stated(site.load.heat_pump_kw.value()).unwrap_or_default(),
        circuits_a: vec![usual.device_a; usual.circuits],
    }
}

/// What the survey says a small shop, store or office has: its named appliances alone. Lighting and socket circuits are
/// not surveyed there and are left out, which the finding says.
pub fn small_premises_of(site: &Site) -> Appliances {
    Appliances { lighting_a: 0.0, cooker_socket: false, circuits_a: Vec::new(), ..appliances_of(site) }
}

/// The parts of a home's paper figure after diversity, amperes: lighting, cooker, showers, water heating, circuits at device
/// rating, heat pump; the terms of the check `household-paper` in its order.
///
/// Resistive loads become amperes at 230 V, a heat pump at 0.95 power factor.
pub fn household_paper_terms_a(home: &Appliances) -> [f64; 6] {
    paper_terms_a(home, PremisesFactors::Home)
}

/// The same with the factors of `premises`. A cooker's socket-outlet counts in a home only.
pub fn paper_terms_a(appliances: &Appliances, premises: PremisesFactors) -> [f64; 6] {
    let amps = |kw: &[f64]| -> Vec<f64> { kw.iter().map(|kw| kw * 1000.0 / U0_V).collect() };
    let part = |load: HouseholdLoad, currents_a: &[f64]| diversity_in(premises, load).demand_a(currents_a);
    let cooker_a = appliances.cooker_kw * 1000.0 / U0_V;
    [
        part(HouseholdLoad::Lighting, &[appliances.lighting_a]),
        match premises {
            PremisesFactors::Home => cooker_paper_demand_a(cooker_a, appliances.cooker_socket),
            PremisesFactors::Small => part(HouseholdLoad::Cooker, &[cooker_a]),
        },
        part(HouseholdLoad::Shower, &amps(&appliances.showers_kw)),
        part(HouseholdLoad::WaterHeater, &amps(&appliances.water_heaters_kw)),
        part(HouseholdLoad::StandardCircuit, &appliances.circuits_a),
        part(HouseholdLoad::HeatPump, &[existing_kw_to_amps(appliances.heat_pump_kw, 1)]),
    ]
}

/// The maximum demand of a home on paper, amperes at 230 V, before any charging.
///
/// On-Site Guide household factors as printed by trade books: lighting 66 %; cooker 10 A + 30 % of the rest, + 5 A with
/// a socket-outlet; showers 100 %, 100 %, 25 %; thermostatic water heaters 100 %; socket circuits 100 % + 40 %; heat
/// pump 100 % (memory). Charging is added whole: 40 % is never applied to it.
pub fn household_paper_demand_a(home: &Appliances) -> f64 {
    household_paper_terms_a(home).iter().sum()
}

/// A cooker after diversity, amperes: 10 A + 30 % of the rest, + 5 A once where its control unit holds a socket-outlet.
pub fn cooker_paper_demand_a(full_load_a: f64, socket: bool) -> f64 {
    let factors = diversity(HouseholdLoad::Cooker);
    let socket_a = if socket { factors.socket_a } else { 0.0 };
    factors.demand_a(&[full_load_a]) + socket_a
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::site::Reading;

    #[test]
    fn a_home_with_nothing_stated_has_lighting_and_circuits_only() {
        let home = appliances_of(&Site::default());
        assert_eq!(home.circuits_a, [32.0, 32.0]);
        let terms = household_paper_terms_a(&home);
        assert_eq!(terms[1..4], [0.0, 0.0, 0.0]);
        assert!((household_paper_demand_a(&home) - (3.96 + 44.8)).abs() < 1e-9);
    }

    #[test]
    fn stated_appliances_are_counted_and_nonsense_is_not() {
        let mut site = Site::default();
        site.load.shower_kw = Reading::of(9.5);
        site.load.cooker_kw = Reading::of(-3.0);
        site.load.heat_pump_kw = Reading::of(f64::NAN);
        site.load.bedrooms = Reading::of(5.0);
        let home = appliances_of(&site);
        assert_eq!((home.cooker_kw, home.cooker_socket), (0.0, false));
        assert_eq!(home.circuits_a.len(), 3);
        assert!((household_paper_terms_a(&home)[2] - 41.304).abs() < 1e-3);
        assert!(household_paper_demand_a(&home).is_finite());
    }
}
