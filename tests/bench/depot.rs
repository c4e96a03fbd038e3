//! The benchmark of charging within a supply: a depot of 200 vehicles over a week, beside reading its own profile.
//!
//! `cargo bench --bench depot` prints, from one run of one process, the time of what is asked of a depot (energy
//! delivered, who goes short, least limit) over the time of reading the year of half-hours that it hangs on, and the time
//! of one small group as a search asks for it.

use baywright::energy::{Supply, Vehicles, WEEK, delivered, fewest_points, least_limit_a};
use baywright::intake::{ReadOptions, read_bytes_with};
use baywright::quantity::existing_kw_to_amps;
use std::fmt::Write as _;
use std::hint::black_box;
use std::time::Instant;

const SITE: &str = "Site ID,Address,Premises type,Main fuse (A),Max demand (A),Cable run (m)\n\
    D1,1 Fennel Yard,depot,400,200,40\n";

/// A year of half-hours of the depot's own load, kilowatt-hours: a shape of the day with a wobble.
fn year() -> String {
    let mut text = String::from("Half-hourly data kWh\nSite ID,Date");
    for half_hour in 0..48 {
        let _ = write!(text, ",{:02}:{:02}", half_hour / 2, half_hour % 2 * 30);
    }
    let lengths = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];
    let days = (1..).zip(lengths).flat_map(|(month, length)| (1..=length).map(move |day| (month, day)));
    for (number, (month, day)) in days.enumerate() {
        let _ = write!(text, "\nD1,{day:02}/{month:02}/2025");
        for half_hour in 0..48 {
            let _ = write!(text, ",{:.1}", own_kwh(number, half_hour));
        }
    }
    text + "\n"
}

fn own_kwh(day: usize, half_hour: usize) -> f64 {
    let wobble = (day * 31 + half_hour * 17) % 23;
    let shape = if (14..38).contains(&half_hour) { 34.0 } else { 12.0 };
    shape + wobble as f64 / 4.0
}

/// Eight groups of a depot, 200 vehicles: vans and cars, one shift and two, both kinds of phases.
fn groups() -> Vec<Vehicles> {
    let of = |count, need_kwh, arrive_h, depart_h, max_a, phases, days: &[u8]| {
        Vehicles { count, need_kwh, arrive_h, depart_h, max_a, phases }.on_days(days)
    };
    let (working, all) = ([0, 1, 2, 3, 4], [0, 1, 2, 3, 4, 5, 6]);
    [
        of(40, 24.0, 17.5, 6.5, 32.0, 1, &working),
        of(35, 30.0, 18.25, 5.75, 16.0, 3, &working),
        of(25, 18.0, 16.5, 7.0, 32.0, 1, &working),
        of(20, 45.0, 19.0, 4.5, 32.0, 3, &all),
        of(20, 12.0, 8.5, 17.0, 32.0, 1, &working),
        of(20, 28.0, 22.0, 6.0, 16.0, 3, &all),
        of(22, 15.0, 14.0, 21.5, 32.0, 1, &all),
        of(18, 35.0, 6.0, 13.5, 16.0, 3, &all),
    ]
    .concat()
}

/// Seconds of one call: the quickest of several.
fn seconds<T>(times: u32, call: impl Fn() -> T) -> f64 {
    let once = || {
        let start = Instant::now();
        black_box(call());
        start.elapsed().as_secs_f64()
    };
    (0..times).map(|_| once()).fold(f64::INFINITY, f64::min)
}

fn main() {
    let text = year();
    let read = || {
        let with: [(&str, &[u8]); 1] = [("Half-hours.csv", text.as_bytes())];
        read_bytes_with(("Depot.csv", SITE.as_bytes()), &with, &ReadOptions::default())
    };
    let known = read().ok().and_then(|intake| intake.sites.first()?.profile.as_ref().map(|profile| profile.days));
    assert_eq!(known, Some(365), "the profile is not read");
    let floor_s = seconds(5, read);
    println!("reading a year of half-hours          {:>9.2} ms", floor_s * 1e3);

    let vehicles = groups();
    let room_a = |supply_a: f64| {
        let left = move |at: usize| supply_a - existing_kw_to_amps(own_kwh(at / 48, at % 48) * 2.0, 3);
        Supply::<WEEK> { phases: 3, room_a: std::array::from_fn(left), floor_a: 6.0 }
    };
    for (name, supply_a) in [("ample", 900.0), ("enough", 520.0), ("short", 330.0)] {
        let supply = room_a(supply_a);
        let found = delivered(&vehicles, &supply, f64::INFINITY);
        let least_a = least_limit_a(&vehicles, &supply);
        let delivered_s = seconds(3, || delivered(&vehicles, &supply, f64::INFINITY));
        let least_s = seconds(3, || least_limit_a(&vehicles, &supply));
        println!(
            "a week of 200 vehicles, {name:<8} {:>9.2} ms, ratio {:.2} (delivered {:.2} ms, least limit {:.2} ms; {:.0} kWh, \
             {:.0} short, least {} A)",
            (delivered_s + least_s) * 1e3,
            (delivered_s + least_s) / floor_s,
            delivered_s * 1e3,
            least_s * 1e3,
            found.energy_kwh,
            found.short_kwh(),
            least_a.map_or("-".to_owned(), |least_a| format!("{least_a:.1}")),
        );
    }

    let supply = room_a(520.0);
    let points_s = seconds(1, || fewest_points(&vehicles, &supply, f64::INFINITY, 32.0, 3));
    println!("fewest points of that week, enough    {:>9.2} ms", points_s * 1e3);

    let one = [Vehicles { count: 20, need_kwh: 15.6, arrive_h: 18.0, depart_h: 7.0, max_a: 32.0, phases: 1 }];
    let five: Vec<Vehicles> = (0..5)
        .map(|number| Vehicles {
            count: 4 + number,
            need_kwh: 10.0 + 4.0 * f64::from(number),
            arrive_h: 15.0 + f64::from(number),
            depart_h: 5.0 + f64::from(number) / 2.0,
            max_a: 32.0,
            phases: 1,
        })
        .collect();
    let night = |at: usize| if (34..44).contains(&at) { 14.0 } else { 40.0 + (at * 7 % 13) as f64 };
    let day: Supply = Supply { phases: 3, room_a: std::array::from_fn(night), floor_a: 6.0 };
    for (name, vehicles, limit_a) in
        [("one group", &one[..], 40.0), ("five groups", &five[..], 60.0), ("five groups, short", &five[..], 12.0)]
    {
        let delivered_s = seconds(200, || delivered(vehicles, &day, limit_a));
        let least_s = seconds(200, || least_limit_a(vehicles, &day));
        println!("a day, {name:<20} delivered {:>8.1} us, least limit {:>8.1} us", delivered_s * 1e6, least_s * 1e6);
    }
}
