//! Charging instances: drawn with a fixed seed, kept as a line each in instances.csv, and read back.

use crate::draws::Draws;
use baywright::energy::{Delivered, Points, Supply, Vehicles, delivered, fewest_points, least_limit_a};
use std::fmt::Write as _;

/// How many are kept; the last so many of them are weeks.
pub const KEPT: u64 = 330;
pub const WEEKS: u64 = 15;

/// One instance.
#[derive(Clone, Debug, PartialEq)]
pub struct Instance {
    pub name: String,
    pub supply_phases: u8,
    pub floor_a: f64,
    pub limit_a: f64,
    pub point_a: f64,
    pub point_phases: u8,
    pub room_a: Vec<f64>,
    pub vehicles: Vec<Vehicles>,
}

impl Instance {
    fn supply<const HALF_HOURS: usize>(&self) -> Supply<HALF_HOURS> {
        let room_a = self.room_a.clone().try_into().unwrap();
        Supply { phases: self.supply_phases, room_a, floor_a: self.floor_a }
    }

    pub fn delivered_under(&self, limit_a: f64) -> Delivered {
        match self.room_a.len() {
            48 => delivered::<48>(&self.vehicles, &self.supply(), limit_a),
            _ => delivered::<336>(&self.vehicles, &self.supply(), limit_a),
        }
    }

    pub fn least_limit_a(&self) -> Option<f64> {
        match self.room_a.len() {
            48 => least_limit_a::<48>(&self.vehicles, &self.supply()),
            _ => least_limit_a::<336>(&self.vehicles, &self.supply()),
        }
    }

    pub fn points(&self) -> Points {
        let (limit_a, point_a, phases) = (self.limit_a, self.point_a, self.point_phases);
        match self.room_a.len() {
            48 => fewest_points::<48>(&self.vehicles, &self.supply(), limit_a, point_a, phases),
            _ => fewest_points::<336>(&self.vehicles, &self.supply(), limit_a, point_a, phases),
        }
    }
}

fn tenths(draws: &mut Draws, low: usize, high: usize) -> f64 {
    (low + draws.below(high - low + 1)) as f64 / 10.0
}

/// Vehicles of one kind. Phases: 1, 3, or either.
fn group(draws: &mut Draws, phases: &[u8], most: usize) -> Vehicles {
    let hour = |draws: &mut Draws, low: usize, high: usize| {
        let quarters = low * 4 + draws.below((high - low) * 4 + 1);
        let half_hours = (quarters / 2) as f64 / 2.0;
        if draws.chance(40) { quarters as f64 / 4.0 + if draws.chance(30) { 0.1 } else { 0.0 } } else { half_hours }
    };
    let (arrive_h, depart_h) = match draws.below(4) {
        0 | 1 => (hour(draws, 16, 20), hour(draws, 5, 8)),
        2 => (hour(draws, 7, 9), hour(draws, 14, 18)),
        _ => (hour(draws, 0, 23), hour(draws, 0, 23)),
    };
    let max_a = match draws.below(20) {
        0 => *draws.one(&[6.0, 7.0, 8.0, 10.0]),
        1 => *draws.one(&[13.0, 12.0, 5.0]),
        _ => *draws.one(&[16.0, 32.0, 32.0]),
    };
    Vehicles {
        count: 1 + draws.below(most) as u32,
        need_kwh: tenths(draws, 20, 300),
        arrive_h,
        depart_h,
        max_a,
        phases: *draws.one(phases),
    }
}

fn room_a(draws: &mut Draws, days: usize) -> Vec<f64> {
    let base_a = tenths(draws, 100, 900);
    let kind = draws.below(4);
    let mut room_a = Vec::new();
    for half_hour in 0..48 * days {
        let hour = (half_hour % 48) as f64 / 2.0;
        let own = match kind {
            0 => base_a,
            // Little in the evening, much at night.
            1 if (16.0..21.0).contains(&hour) => base_a * 0.3,
            1 if hour < 6.0 => base_a * 1.3,
            1 => base_a,
            2 => base_a * tenths(draws, 2, 12),
            // Closed for stretches.
            _ if half_hour % 48 / 5 % 3 == 1 => 3.0,
            _ => base_a * tenths(draws, 6, 10),
        };
        room_a.push((own * 10.0).round() / 10.0);
    }
    room_a
}

/// The instance of a number.
pub fn drawn(number: u64) -> Instance {
    let mut draws = Draws::of(0x00c0_ffee, number);
    let draws = &mut draws;
    let week = number >= KEPT - WEEKS;
    let supply_phases = if draws.chance(80) { 3 } else { 1 };
    let phases = [&[1][..], &[3], &[1, 3], &[1, 3]][draws.below(4)];
    let room_a = room_a(draws, if week { 7 } else { 1 });
    let groups = if week { 1 + draws.below(2) } else { 1 + draws.below(5) };
    let most = if week { 4 } else { *draws.one(&[2, 4, 9]) };
    let mut vehicles: Vec<Vehicles> = (0..groups).map(|_| group(draws, phases, most)).collect();
    if week {
        let days: Vec<Vec<u8>> =
            (0..groups).map(|_| (0..7).filter(|day| *day == 0 || draws.chance(75)).collect()).collect();
        vehicles = vehicles.iter().zip(days).flat_map(|(own, days)| own.on_days(&days)).collect();
    }
    // A limit about what is needed on average, so that some go short and some do not.
    let needed_ah: f64 = vehicles.iter().map(|own| f64::from(own.count) * own.need_kwh / 0.23).sum();
    let hours = if week { 70.0 } else { 11.0 };
    let average_a = needed_ah / hours / f64::from(supply_phases);
    let limit_a = (average_a * tenths(draws, 5, 25) * 10.0).round() / 10.0;
    let limit_a = if draws.chance(85) { limit_a.max(6.0) } else { limit_a };
    Instance {
        name: number.to_string(),
        supply_phases,
        floor_a: 6.0,
        limit_a,
        point_a: *draws.one(&[16.0, 32.0, 32.0]),
        point_phases: *draws.one(&[1, 1, 3]),
        room_a,
        vehicles,
    }
}

/// All instances as they are kept.
pub fn text() -> String {
    let mut text = String::from("instance,supply_phases,floor_a,limit_a,point_a,point_phases,room_a,vehicles\n");
    for own in (0..KEPT).map(drawn) {
        let rooms: Vec<String> = own.room_a.iter().map(f64::to_string).collect();
        let group = |own: &Vehicles| {
            format!("{} {} {} {} {} {}", own.count, own.need_kwh, own.arrive_h, own.depart_h, own.max_a, own.phases)
        };
        let vehicles: Vec<String> = own.vehicles.iter().map(group).collect();
        let Instance { name, supply_phases, floor_a, limit_a, point_a, point_phases, .. } = own;
        writeln!(
            text,
            "{name},{supply_phases},{floor_a},{limit_a},{point_a},{point_phases},{},{}",
            rooms.join(" "),
            vehicles.join(";")
        )
        .unwrap();
    }
    text
}
