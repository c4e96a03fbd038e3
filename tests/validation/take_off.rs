//! The topic `take-off`: every item of materials and tasks of an arrangement, with its quantity.
//!
//! What is expected is the whole list: an item missing or too many is a fault, and quantities are equal, low, likely and
//! high, but for the last bits of a binary fraction. It knows no price.

use super::case::number;
use baywright::design::{Arrangement, Control, Device, EarthingPath, Feed, Residual, Run, RunRole, Work};
use baywright::estimate::{Place, PriceBook, estimate};
use baywright::quantity::Band;
use baywright::reference::{Cable, CableFamily, Curve, Method};
use baywright::site::{GroundSurface, ParkingType, Premises};
use serde::Deserialize;
use std::collections::BTreeMap;

/// Items with a quantity each: a number, or low, likely and high.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Expected {
    bill: toml::Table,
    tasks: toml::Table,
    /// Likely person-hours in all, where the case works them out.
    hours: Option<f64>,
    /// Likely days of all crews on site, likewise.
    crew_days: Option<f64>,
    /// Person-hours of single tasks, a number or low, likely and high.
    #[serde(default)]
    hours_of: toml::Table,
    /// Likely cost of single items, pounds.
    #[serde(default)]
    cost_of: toml::Table,
    /// Lines of a price book laid over the default: item, low, likely, high.
    #[serde(default)]
    prices: Vec<String>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Given {
    premises: String,
    parking: String,
    ground: String,
    #[serde(default)]
    covered: bool,
    #[serde(default)]
    storeys: f64,
    walls: toml::Value,
    /// The route as a share of the longest it may be, which the runs are laid out for.
    length_share: toml::Value,
    phases: u8,
    supply_phases: u8,
    points: u32,
    feed: String,
    device: GivenDevice,
    submain_device: Option<GivenDevice>,
    earthing: String,
    runs: Vec<GivenRun>,
    #[serde(default)]
    works: Vec<String>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct GivenDevice {
    rating_a: f64,
    poles: u8,
    residual: String,
    breaking_ka: f64,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct GivenRun {
    role: String,
    family: String,
    cores: u8,
    csa_mm2: f64,
    count: u32,
    indoor_m: f64,
    surface_m: f64,
    buried_m: f64,
    rises_m: f64,
}

fn band(value: &toml::Value) -> Result<Band, String> {
    if let Some(exact) = number(value) {
        return Ok(Band::exact(exact));
    }
    let ends: Option<Vec<f64>> = value.as_array().map(|ends| ends.iter().filter_map(number).collect());
    match ends.as_deref() {
        Some([low, likely, high]) => Ok(Band { low: *low, likely: *likely, high: *high }),
        _ => Err(format!("{value} is neither a number nor low, likely and high")),
    }
}

fn one_of<T: Copy>(word: &str, all: &[T], of: impl Fn(T) -> &'static str) -> Result<T, String> {
    all.iter().copied().find(|item| of(*item) == word).ok_or_else(|| format!("inputs: {word} is not one of these"))
}

fn device(given: &GivenDevice) -> Result<Device, String> {
    let residual = match given.residual.as_str() {
        "none" => None,
        "type A 30 mA" => Some(Residual::TypeA30),
        "type B 30 mA" => Some(Residual::TypeB30),
        "100 mA delayed" => Some(Residual::Delayed100),
        other => return Err(format!("inputs: no residual part {other}")),
    };
    let (rating_a, poles, breaking_ka) = (given.rating_a, given.poles, given.breaking_ka);
    Ok(Device { rating_a, curve: Curve::B, poles, residual, breaking_ka })
}

fn run(given: &GivenRun) -> Result<Run, String> {
    let role = match given.role.as_str() {
        "sub-main" => RunRole::SubMain,
        "final" => RunRole::Final,
        other => return Err(format!("inputs: no role {other}")),
    };
    let families =
        [CableFamily::TwinAndEarth, CableFamily::ArmouredXlpe, CableFamily::ArmouredPvc, CableFamily::Singles];
    let family = one_of(&given.family, &families, CableFamily::word)?;
    Ok(Run {
        role,
        cable: Cable { family, cores: given.cores, csa_mm2: given.csa_mm2 },
        method: if given.buried_m > 0.0 { Method::D } else { Method::C },
        count: given.count,
        indoor_m: given.indoor_m,
        surface_m: given.surface_m,
        buried_m: given.buried_m,
        rises_m: given.rises_m,
    })
}

fn work(text: &str) -> Result<Work, String> {
    let (name, number) = text.rsplit_once(' ').unwrap_or((text, ""));
    let number = number.parse::<f64>();
    Ok(match (name, number) {
        ("tails", Ok(length_m)) => Work::TailsUpgrade { length_m },
        ("rods", Ok(rods)) => Work::Electrode { rods: rods as u32 },
        _ => match text {
            "isolator" => Work::Isolator,
            "bonding proven" => Work::BondingUpgrade { proven: true },
            "bonding not proven" => Work::BondingUpgrade { proven: false },
            "surge protection" => Work::SurgeProtection,
            "arc-fault protection" => Work::ArcFault,
            "limiter" => Work::LimiterSensor,
            "group controller" => Work::GroupController,
            "joint box" => Work::JointBox,
            "terminal box" => Work::TerminalBox,
            "asbestos survey" => Work::AsbestosSurvey,
            "fire-stopping" => Work::FireStopping,
            "network link" => Work::NetworkLink,
            "application" => Work::Application,
            other => return Err(format!("inputs: no work {other}")),
        },
    })
}

/// The arrangement and place of a case.
pub fn given(inputs: &toml::Table) -> Result<(Arrangement, Place), String> {
    let given: Given = inputs.clone().try_into().map_err(|fault| format!("inputs: {fault}"))?;
    let paths = [
        EarthingPath::SupplyEarth,
        EarthingPath::SupplyEarthOpenPen,
        EarthingPath::SupplyEarthOpenPenDevice,
        EarthingPath::Electrode,
    ];
    let place = Place {
        premises: Premises::from_word(&given.premises).ok_or("inputs: premises")?,
        parking_type: Some(ParkingType::from_word(&given.parking).ok_or("inputs: parking")?),
        ground_surface: GroundSurface::from_word(&given.ground).ok_or("inputs: ground")?,
        walls: band(&given.walls)?,
        covered: given.covered,
        storeys: given.storeys,
        length_share: band(&given.length_share)?,
        bay_pitch_m: 2.4,
        labour: 1.0,
        materials: 1.0,
    };
    let arrangement = Arrangement {
        setting_a: 32.0,
        phases: given.phases,
        supply_phases: given.supply_phases,
        points: given.points,
        control: Control::None,
        feed: one_of(&given.feed, &[Feed::SpareWay, Feed::AddedBoard, Feed::Distribution], Feed::word)?,
        device: device(&given.device)?,
        submain_device: given.submain_device.as_ref().map(device).transpose()?,
        runs: given.runs.iter().map(run).collect::<Result<_, _>>()?,
        earthing: one_of(&given.earthing, &paths, EarthingPath::word)?,
        works: given.works.iter().map(|text| work(text)).collect::<Result<_, _>>()?,
        maximum_demand_a: Band::exact(60.0),
        current_capacity_a: 0.0,
        voltage_drop_v: 0.0,
        voltage_drop_percent: 0.0,
        zs_ohm: 0.0,
        zs_limit_ohm: 0.0,
        fault_current_a: 0.0,
        shared: None,
        findings: Vec::new(),
    };
    Ok((arrangement, place))
}

impl Expected {
    /// What differs between the list expected and the one that comes out.
    pub fn faults(&self, arrangement: &Arrangement, place: &Place) -> Vec<String> {
        let own = format!("item,low,likely,high\n{}\n", self.prices.join("\n"));
        let book = match PriceBook::from_csv("prices of the case", own.as_bytes()) {
            Ok(book) => book,
            Err(fault) => return vec![fault.to_string()],
        };
        let found = estimate(arrangement, place, &book);
        // Lines of one item add up, as an order adds them.
        let (mut bill, mut tasks) = (BTreeMap::new(), BTreeMap::new());
        for line in &found.bill {
            let sum = bill.entry(line.item).or_insert(Band::exact(0.0));
            *sum = sum.plus(line.quantity);
        }
        for line in &found.tasks {
            let sum = tasks.entry(line.task).or_insert(Band::exact(0.0));
            *sum = sum.plus(line.count);
        }
        let (mut hours, mut costs) = (BTreeMap::new(), BTreeMap::new());
        for line in found.tasks.iter().filter(|line| self.hours_of.contains_key(line.task)) {
            let sum = hours.entry(line.task).or_insert(Band::exact(0.0));
            *sum = sum.plus(line.hours);
        }
        for line in found.bill.iter().filter(|line| self.cost_of.contains_key(line.item)) {
            let sum = costs.entry(line.item).or_insert(Band::exact(0.0));
            *sum = sum.plus(Band::exact(line.cost.likely.pounds()));
        }
        let mut faults = differences("bill", &self.bill, &bill);
        faults.extend(differences("hours", &self.hours_of, &hours));
        faults.extend(differences("cost", &self.cost_of, &costs));
        if let Some(days) = self.crew_days.filter(|days| !near(*days, found.crew_days.likely)) {
            faults.push(format!("crew-days are {}, expected {days}", found.crew_days.likely));
        }
        faults.extend(differences("tasks", &self.tasks, &tasks));
        if let Some(hours) = self.hours.filter(|hours| !near(*hours, found.hours.likely)) {
            faults.push(format!("hours are {}, expected {hours}", found.hours.likely));
        }
        faults
    }
}

fn differences(list: &str, expected: &toml::Table, found: &BTreeMap<&'static str, Band>) -> Vec<String> {
    let mut faults: Vec<String> = Vec::new();
    for (item, value) in expected {
        match (band(value), found.get(item.as_str())) {
            (Err(fault), _) => faults.push(format!("{list}: {item}: {fault}")),
            (Ok(_), None) => faults.push(format!("{list}: {item} is missing")),
            (Ok(wanted), Some(got)) => {
                let same = near(wanted.low, got.low) && near(wanted.likely, got.likely) && near(wanted.high, got.high);
                if !same {
                    faults.push(format!("{list}: {item} is {got:?}, expected {wanted:?}"));
                }
            }
        }
    }
    let more = found.iter().filter(|(item, _)| !expected.contains_key(**item));
    faults.extend(more.map(|(item, got)| format!("{list}: {item} is one too many: {got:?}")));
    faults
}

/// Equal but for the last bits of a binary fraction.
fn near(wanted: f64, got: f64) -> bool {
    (wanted - got).abs() <= 1e-9 * wanted.abs().max(1.0)
}
