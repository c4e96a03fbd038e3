//! One way to give a site charging: what is set, fed from where, over which cables, earthed how.

use crate::finding::Finding;
use crate::quantity::Band;
use crate::reference::{Cable, Curve, Method};

/// How the charging current is kept within the supply.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Control {
    /// Nothing is needed: the setting itself fits.
    None,
    /// A limiter on the incomer that follows the load, holding the total at `setpoint_a` a phase.
    Local {
        /// Total current a phase at which the limiter holds the incomer.
        setpoint_a: f64,
    },
    /// A group controller that shares `limit_a` a phase between the points.
    Group {
        /// Current a phase that all points together may take.
        limit_a: f64,
        /// Current a phase at which it holds the incomer, where the limit follows the load; `None` for a fixed one.
        setpoint_a: Option<f64>,
    },
}

impl Control {
    /// The word of the contract.
    pub fn word(self) -> &'static str {
        match self {
            Control::None => "none",
            Control::Local { .. } => "local",
            Control::Group { .. } => "group",
        }
    }
}

/// Where the new circuit is fed from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Feed {
    /// A spare way of the existing board.
    SpareWay,
    /// A small new board fed from the tails.
    AddedBoard,
    /// A new distribution board at the parking, fed by a sub-main (several points).
    Distribution,
}

impl Feed {
    /// In words.
    pub fn word(self) -> &'static str {
        match self {
            Feed::SpareWay => "spare way",
            Feed::AddedBoard => "small added board",
            Feed::Distribution => "distribution board at the parking",
        }
    }
}

/// How the point is earthed and an open PEN answered.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum EarthingPath {
    /// The supply's earth; the charge point is indoors or the supply is a separate earth throughout.
    SupplyEarth,
    /// The supply's PME earth, with a charge point that answers an open PEN by itself.
    SupplyEarthOpenPen,
    /// The supply's PME earth, with a separate open-PEN device.
    SupplyEarthOpenPenDevice,
    /// An electrode for the charge point (TT), segregated from PME metalwork.
    Electrode,
}

impl EarthingPath {
    /// In words, as it stands in results.
    pub fn word(self) -> &'static str {
        match self {
            EarthingPath::SupplyEarth => "supply earth",
            EarthingPath::SupplyEarthOpenPen => "supply earth, charge point answers an open PEN",
            EarthingPath::SupplyEarthOpenPenDevice => "supply earth with an open-PEN device",
            EarthingPath::Electrode => "electrode (TT)",
        }
    }
}

/// The overcurrent and residual-current device of one circuit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Device {
    /// Rated current In, amperes.
    pub rating_a: f64,
    /// Tripping characteristic.
    pub curve: Curve,
    /// Poles switched: 2 on one phase, 4 on three (all live conductors).
    pub poles: u8,
    /// Residual-current part, where the device has one.
    pub residual: Option<Residual>,
    /// Rated short-circuit capacity, kiloamperes.
    pub breaking_ka: f64,
}

/// The residual-current part of a device.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Residual {
    /// 30 mA type A: the charge point detects smooth direct current itself.
    TypeA30,
    /// 30 mA type B: the charge point does not.
    TypeB30,
    /// 100 mA time-delayed, on a sub-main of a TT installation.
    Delayed100,
}

/// Which part of the path from the origin a run is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum RunRole {
    /// From the origin or an existing board to the distribution board at the parking.
    SubMain,
    /// To a charge point.
    Final,
}

/// One cable run. A split run (twin-and-earth indoors, armoured outdoors, jointed) is two of them in order.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Run {
    /// Sub-main or final circuit.
    pub role: RunRole,
    /// The cable.
    pub cable: Cable,
    /// Installation method of the worst segment.
    pub method: Method,
    /// How many like runs there are (final circuits of a car park); lengths are of one of them.
    pub count: u32,
    /// Route inside a building, metres.
    pub indoor_m: f64,
    /// Route on a surface outdoors, metres.
    pub surface_m: f64,
    /// Route in the ground, metres.
    pub buried_m: f64,
    /// Rises and ends added to the route, metres.
    pub rises_m: f64,
}

impl Run {
    /// Electrical length of one run: route, rises and ends; no waste.
    pub fn length_m(&self) -> f64 {
        self.indoor_m + self.surface_m + self.buried_m + self.rises_m
    }
}

/// Something that has to be done or fitted besides cable, device and charge point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Work {
    /// Meter tails replaced by 25 mm2, over this length.
    TailsUpgrade {
        /// Route of the tails, metres.
        length_m: f64,
    },
    /// An isolator fitted between meter and board, once the supply has been made dead.
    Isolator,
    /// Main bonding or earthing conductor brought up to size; `proven` when the survey states it too small, else it is
    /// only likely.
    BondingUpgrade {
        /// Whether it is certain to be needed.
        proven: bool,
    },
    /// Surge protection.
    SurgeProtection,
    /// Arc-fault protection of a socket-outlet's circuit.
    ArcFault,
    /// An earth electrode with this many rods, driven and tested.
    Electrode {
        /// Number of rods.
        rods: u32,
    },
    /// A sensor on the incomer for the limiter, a phase set.
    LimiterSensor,
    /// A group controller with its sensors.
    GroupController,
    /// A joint box between two cable families.
    JointBox,
    /// A box at a charge point whose terminals are smaller than the conductor.
    TerminalBox,
    /// A targeted asbestos survey before drilling.
    AsbestosSurvey,
    /// Fire-stopping of a penetration.
    FireStopping,
    /// A wired link or router where there is no signal.
    NetworkLink,
    /// A network-operator application instead of a notice.
    Application,
}

/// What a shared supply can do for several points.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shared {
    /// Current a phase that the points together may take.
    pub group_limit_a: f64,
    /// Points that can charge at once at the 6 A floor.
    pub points_at_once: u32,
    /// Points whose daily need can be delivered.
    pub points_served: u32,
    /// Energy needed a day by all points wanted, kilowatt-hours, mean.
    pub energy_needed_kwh: f64,
    /// Part of it that cannot be delivered, kilowatt-hours.
    pub energy_unserved_kwh: f64,
    /// Energy needed on a day on which every vehicle has its high mileage, kilowatt-hours.
    pub energy_needed_high_kwh: f64,
    /// Part of it that cannot be delivered, kilowatt-hours.
    pub energy_unserved_high_kwh: f64,
    /// Smallest group limit that would deliver it all on a mean day, amperes a phase; `None` where none does.
    pub least_group_limit_a: Option<f64>,
    /// The same on a high day.
    pub least_group_limit_high_a: Option<f64>,
}

/// One way to give the site charging.
#[derive(Clone, Debug, PartialEq)]
pub struct Arrangement {
    /// Charging current set at each point, amperes a phase.
    pub setting_a: f64,
    /// Phases of each point: 1 or 3.
    pub phases: u8,
    /// Phases of the supply: 1 or 3.
    pub supply_phases: u8,
    /// Number of points.
    pub points: u32,
    /// How the current is kept within the supply.
    pub control: Control,
    /// Where it is fed from.
    pub feed: Feed,
    /// The device of the final circuit.
    pub device: Device,
    /// The device of the sub-main, where there is one.
    pub submain_device: Option<Device>,
    /// Cables, from the origin on.
    pub runs: Vec<Run>,
    /// Earthing.
    pub earthing: EarthingPath,
    /// Works that go with it.
    pub works: Vec<Work>,
    /// Maximum demand on the worst phase with the charging, amperes.
    pub maximum_demand_a: Band,
    /// Current-carrying capacity of the final circuit after factors, amperes.
    pub current_capacity_a: f64,
    /// Voltage drop from the origin at the full setting, volts (of 230 V, the governing single-phase figure).
    pub voltage_drop_v: f64,
    /// The same in percent of 230 V.
    pub voltage_drop_percent: f64,
    /// Earth-fault loop impedance at the point, conductors hot, ohms.
    pub zs_ohm: f64,
    /// Limit of the device relied on, ohms.
    pub zs_limit_ohm: f64,
    /// Earth-fault current at the point, U0 / Zs, amperes.
    pub fault_current_a: f64,
    /// What a shared supply does for several points.
    pub shared: Option<Shared>,
    /// Findings that depend on this arrangement.
    pub findings: Vec<Finding>,
}

impl Arrangement {
    /// The run that reaches the charge point (the last one).
    pub fn final_run(&self) -> Option<&Run> {
        self.runs.iter().rev().find(|run| run.role == RunRole::Final)
    }

    /// The runs of its sub-mains, in order.
    pub fn submain_runs(&self) -> impl Iterator<Item = &Run> {
        self.runs.iter().filter(|run| run.role == RunRole::SubMain)
    }

    /// Total electrical length from the origin's board to the farthest point, metres.
    pub fn length_m(&self) -> f64 {
        self.runs.iter().map(Run::length_m).sum()
    }
}
