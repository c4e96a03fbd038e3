//! No price falls as a size grows: what makes the smallest size that serves the cheapest one.
//!
//! Every family and make-up, laid indoors, on a surface and in the ground, alone and many side by side, at a home and at
//! a shared site, with the box that a conductor over the charge point's terminals brings with it.

use super::published::wires;
use baywright::design::*;
use baywright::estimate::{Place, PriceBook, likely_cost};
use baywright::quantity::Band;
use baywright::reference::{Cable, Curve};
use baywright::rules::default_rules;
use baywright::site::{GroundSurface, ParkingType, Premises};

fn laid(cable: Cable, lies: [f64; 3], points: u32) -> Arrangement {
    let [indoor_m, surface_m, buried_m] = lies;
    let method = baywright::reference::Method::C;
    let run = |role, count| Run { role, cable, method, count, indoor_m, surface_m, buried_m, rises_m: 4.0 };
    let three = cable.cores > 3;
    let phases = if three { 3 } else { 1 };
    let largest_mm2 = default_rules().charge_point(phases).unwrap().largest_terminal_mm2;
    Arrangement {
        setting_a: 32.0,
        phases,
        supply_phases: phases,
        points,
        control: Control::None,
        feed: if points > 1 { Feed::Distribution } else { Feed::AddedBoard },
        device: Device {
            rating_a: 40.0,
            curve: Curve::B,
            poles: if three { 4 } else { 2 },
            residual: Some(Residual::TypeA30),
            breaking_ka: 6.0,
        },
        submain_device: None,
        runs: vec![run(RunRole::Final, points)],
        earthing: EarthingPath::SupplyEarthOpenPen,
        works: if cable.csa_mm2 > largest_mm2 { vec![Work::TerminalBox] } else { Vec::new() },
        maximum_demand_a: Band::exact(60.0),
        current_capacity_a: 0.0,
        voltage_drop_v: 0.0,
        voltage_drop_percent: 0.0,
        zs_ohm: 0.0,
        zs_limit_ohm: 0.0,
        fault_current_a: 0.0,
        shared: None,
        findings: Vec::new(),
    }
}

/// Pairs of a size and a larger one that costs less.
fn falls(prices: &PriceBook) -> Vec<String> {
    let mut falls = Vec::new();
    for premises in [Premises::House, Premises::Workplace] {
        let place = Place {
            premises,
            parking_type: Some(ParkingType::Communal),
            ground_surface: GroundSurface::Tarmac,
            walls: Band::exact(1.0),
            covered: false,
            length_share: Band::exact(1.0),
            bay_pitch_m: 2.4,
        };
        for lies in [[12.0, 0.0, 0.0], [0.0, 12.0, 0.0], [0.0, 0.0, 12.0], [0.0, 0.0, 0.0]] {
            for points in [1, 2, 12] {
                let cost = |cable: Cable| likely_cost(&laid(cable, lies, points), &place, prices);
                for small in wires() {
                    for large in wires() {
                        let like = (small.cable.family, small.cable.cores) == (large.cable.family, large.cable.cores);
                        if like && small.cable.csa_mm2 < large.cable.csa_mm2 && cost(small.cable) >= cost(large.cable) {
                            falls.push(format!("{} and {}, {lies:?}", small.cable.words(), large.cable.words()));
                        }
                    }
                }
            }
        }
    }
    falls
}

#[test]
fn a_larger_size_costs_more_in_the_default_book() {
    let falls = falls(PriceBook::default_book());
    assert!(falls.is_empty(), "{falls:#?}");
}

#[test]
fn a_book_whose_prices_fall_is_noticed() {
    let book = "item,description,kind,unit,low,likely,high,labour_rate,year,basis,source,notes\n\
        cable-armoured-3c-10,a bargain,material,m,0.1,0.2,0.3,,2026,quoted,test,\n";
    assert!(!falls(&PriceBook::from_csv("bargain.csv", book.as_bytes()).unwrap()).is_empty());
}
