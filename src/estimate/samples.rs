//! Hand-made arrangements and places for the tests of this room.

use super::types::Place;
use crate::design::{Arrangement, Control, Device, EarthingPath, Feed, Residual, Run, RunRole, Work};
use crate::quantity::Band;
use crate::reference::{Cable, CableFamily, Curve, Method};
use crate::site::{GroundSurface, ParkingType, Premises};

pub(super) fn armoured(cores: u8, csa_mm2: f64) -> Cable {
    Cable { family: CableFamily::ArmouredXlpe, cores, csa_mm2 }
}

pub(super) fn run(cable: Cable, indoor_m: f64, surface_m: f64, buried_m: f64) -> Run {
    Run {
        role: RunRole::Final,
        cable,
        method: if buried_m > 0.0 { Method::D } else { Method::C },
        count: 1,
        indoor_m,
        surface_m,
        buried_m,
        rises_m: 4.0,
    }
}

pub(super) fn device(rating_a: f64, poles: u8, residual: Option<Residual>) -> Device {
    Device { rating_a, curve: Curve::B, poles, residual, breaking_ka: 6.0 }
}

/// One 32 A point on a wall, ten metres of 6 mm2 on a surface, a spare way.
pub(super) fn simple_home() -> Arrangement {
    Arrangement {
        setting_a: 32.0,
        phases: 1,
        supply_phases: 1,
        points: 1,
        control: Control::None,
        feed: Feed::SpareWay,
        device: device(40.0, 2, Some(Residual::TypeA30)),
        submain_device: None,
        runs: vec![run(armoured(3, 6.0), 0.0, 10.0, 0.0)],
        earthing: EarthingPath::SupplyEarthOpenPen,
        works: Vec::new(),
        maximum_demand_a: Band::exact(50.0),
        current_capacity_a: 47.0,
        voltage_drop_v: 3.5,
        voltage_drop_percent: 1.5,
        zs_ohm: 0.5,
        zs_limit_ohm: 1.09,
        fault_current_a: 460.0,
        shared: None,
        findings: Vec::new(),
    }
}

/// Ten 7.4 kW points in an open car park, 40 m from the intake, shared by a group controller.
pub(super) fn car_park() -> Arrangement {
    Arrangement {
        supply_phases: 3,
        points: 10,
        control: Control::Group { limit_a: 40.0, setpoint_a: None },
        feed: Feed::Distribution,
        submain_device: Some(device(80.0, 4, None)),
        runs: vec![
            Run { role: RunRole::SubMain, ..run(armoured(4, 25.0), 4.0, 4.0, 32.0) },
            Run { count: 10, ..run(armoured(3, 6.0), 0.0, 0.0, 20.0) },
        ],
        works: vec![Work::GroupController, Work::SurgeProtection, Work::Application],
        ..simple_home()
    }
}

pub(super) fn home() -> Place {
    Place {
        premises: Premises::House,
        parking_type: Some(ParkingType::Driveway),
        ground_surface: GroundSurface::Soft,
        walls: Band::exact(1.0),
        covered: false,
        storeys: 0.0,
        length_share: Band::exact(1.0),
        bay_pitch_m: 2.4,
        labour: 1.0,
        materials: 1.0,
    }
}

pub(super) fn block() -> Place {
    Place {
        premises: Premises::Block,
        parking_type: Some(ParkingType::Communal),
        ground_surface: GroundSurface::Tarmac,
        walls: Band::exact(2.0),
        covered: false,
        storeys: 0.0,
        length_share: Band::exact(1.0),
        bay_pitch_m: 2.4,
        labour: 1.0,
        materials: 1.0,
    }
}

/// Every kind of work, once.
pub(super) fn every_work() -> Vec<Work> {
    vec![
        Work::TailsUpgrade { length_m: 3.0 },
        Work::Isolator,
        Work::BondingUpgrade { proven: true },
        Work::BondingUpgrade { proven: false },
        Work::SurgeProtection,
        Work::ArcFault,
        Work::Electrode { rods: 2 },
        Work::LimiterSensor,
        Work::GroupController,
        Work::JointBox,
        Work::TerminalBox,
        Work::AsbestosSurvey,
        Work::FireStopping,
        Work::NetworkLink,
        Work::Application,
    ]
}
