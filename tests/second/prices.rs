//! No price falls as a size grows, days of travel apart: what makes the smallest size that serves the cheapest one.
//!
//! A thicker cable is laid by two where a thinner one is laid by one, and days begun are counted: where a run ends just
//! over a day the larger size may save a day's travel, and then cost less in all. That is the one exception; it is held
//! here to be no other, and rare.
//!
//! Every family and make-up, laid indoors, on a surface and in the ground, alone and many side by side, at a home and at
//! a shared site, with the box that a conductor over the charge point's terminals brings with it.

use super::published::wires;
use baywright::design::*;
use baywright::estimate::{Place, PriceBook, estimate};
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

/// Likely cost without what the days begun bring (travel, visits lost), in pence, and that.
pub fn without_travel(arrangement: &Arrangement, place: &Place, prices: &PriceBook) -> (i64, i64) {
    let priced = estimate(arrangement, place, prices);
    // Visits that come to nothing are a share of the days on site, like travel.
    let by_days = priced.tasks.iter().filter(|task| ["travel-and-set-up", "lost-visit"].contains(&task.task));
    let travel = by_days.map(|task| task.cost.likely.0).sum();
    (priced.cost.likely.0 - travel, travel)
}

/// Pairs of a size and a larger one that costs less, in all or without travel.
fn falls(prices: &PriceBook) -> (Vec<String>, u32) {
    let (mut falls, mut by_travel) = (Vec::new(), 0);
    for premises in [Premises::House, Premises::Workplace] {
        let place = Place {
            premises,
            parking_type: Some(ParkingType::Communal),
            ground_surface: GroundSurface::Tarmac,
            walls: Band::exact(1.0),
            covered: false,
            storeys: 0.0,
            length_share: Band::exact(1.0),
            bay_pitch_m: 2.4,
            labour: 1.0,
            materials: 1.0,
        };
        for lies in [[12.0, 0.0, 0.0], [0.0, 12.0, 0.0], [0.0, 0.0, 12.0], [0.0, 0.0, 0.0], [40.0, 90.0, 0.0]] {
            for points in [1, 2, 12] {
                let costs: Vec<_> = wires()
                    .iter()
                    .map(|wire| (wire.cable, without_travel(&laid(wire.cable, lies, points), &place, prices)))
                    .collect();
                for (small, (small_cost, small_travel)) in &costs {
                    for (large, (large_cost, large_travel)) in &costs {
                        let like = (small.family, small.cores) == (large.family, large.cores);
                        if !like || small.csa_mm2 >= large.csa_mm2 {
                            continue;
                        }
                        if small_cost >= large_cost {
                            falls.push(format!("{} and {}, {lies:?}", small.words(), large.words()));
                        }
                        by_travel += u32::from(small_cost + small_travel >= large_cost + large_travel);
                    }
                }
            }
        }
    }
    (falls, by_travel)
}

#[test]
fn a_larger_size_costs_more_in_the_default_book() {
    let (falls, by_travel) = falls(PriceBook::default_book());
    assert!(falls.is_empty(), "{falls:#?}");
    assert!(by_travel < 5, "{by_travel} larger sizes cost less because they save a day's travel");
}

#[test]
fn a_book_whose_prices_fall_is_noticed() {
    let book = "item,description,kind,unit,low,likely,high,labour_rate,year,basis,source,notes\n\
        cable-armoured-3c-10,a bargain,material,m,0.1,0.2,0.3,,2026,quoted,test,\n";
    assert!(!falls(&PriceBook::from_csv("bargain.csv", book.as_bytes()).unwrap()).0.is_empty());
}
