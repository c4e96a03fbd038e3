//! The usual runs of the day and the homes' load after diversity, beside published standard load profiles.
//!
//! The profiles are those of German households and trade, of which alone a general library was at hand. They say how such
//! premises run, not how those of the program's users do: hours of work, meals and heating differ. So each measure is a
//! band, and where two profiles disagree the lower one binds: no shape may promise more room at night than both.

use crate::rows;
use baywright::reference::{HomeSize, home_kw_after_diversity, load_shape};

/// The mean winter weekday of a standard profile as a share of its peak.
fn published(profile: &str) -> [f64; 48] {
    let mut shares = [f64::NAN; 48];
    for row in rows("standard-profiles.csv").iter().filter(|row| row[0] == profile) {
        shares[row[1].parse::<usize>().unwrap()] = row[2].parse().unwrap();
    }
    assert!(shares.iter().all(|share| (0.0..=1.0).contains(share)), "{profile} is not whole");
    shares
}

fn mean(shares: &[f64; 48]) -> f64 {
    shares.iter().sum::<f64>() / 48.0
}

fn peak_h(shares: &[f64; 48]) -> f64 {
    let top = (0..48).max_by(|one, other| shares[*one].total_cmp(&shares[*other]).then(other.cmp(one))).unwrap();
    top as f64 / 2.0
}

fn lowest(shares: &[f64; 48]) -> f64 {
    shares.iter().copied().fold(f64::INFINITY, f64::min)
}

fn correlation(one: &[f64; 48], other: &[f64; 48]) -> f64 {
    let of = |one: &[f64; 48], other: &[f64; 48]| -> f64 {
        one.iter().zip(other).map(|(a, b)| (a - mean(one)) * (b - mean(other))).sum()
    };
    of(one, other) / (of(one, one) * of(other, other)).sqrt()
}

/// By how much a shape is below another one at most.
fn below(shape: &[f64; 48], other: &[f64; 48]) -> f64 {
    shape.iter().zip(other).map(|(own, other)| other - own).fold(f64::NEG_INFINITY, f64::max)
}

/// Peak within an hour and a half of both, run of the day as that of 2025, trough between those of both, mean over peak
/// within a tenth of both; in no half-hour below both.
#[test]
fn homes_run_as_two_standard_profiles_of_households_do() {
    let (own, of_1999, of_2025) = (load_shape("home"), published("H0"), published("H25"));
    for published in [&of_1999, &of_2025] {
        assert!((peak_h(own) - peak_h(published)).abs() <= 1.5, "{} for {}", peak_h(own), peak_h(published));
        assert!((mean(own) - mean(published)).abs() <= 0.1, "{} for {}", mean(own), mean(published));
    }
    assert!(correlation(own, &of_2025) >= 0.95, "{}", correlation(own, &of_2025));
    assert!(correlation(own, &of_1999) >= 0.85, "{}", correlation(own, &of_1999));
    assert!(lowest(own) >= lowest(&of_1999) - 0.01 && lowest(own) <= lowest(&of_2025), "{}", lowest(own));
    let lower: [f64; 48] = std::array::from_fn(|half_hour| of_1999[half_hour].min(of_2025[half_hour]));
    assert!(below(own, &lower) <= 0.01, "below both by {}", below(own, &lower));
}

/// A landlord's supply has no standard profile: lifts, pumps and lights run when people are at home, and lights all
/// night. So it goes with households, and is above them throughout.
#[test]
fn a_blocks_landlord_runs_with_its_households_and_never_below_them() {
    let (own, published) = (load_shape("block"), published("H25"));
    assert!((peak_h(own) - peak_h(&published)).abs() <= 1.5);
    assert!(correlation(own, &published) >= 0.95, "{}", correlation(own, &published));
    assert!(below(own, &published) <= 0.0, "below by {}", below(own, &published));
    assert!(below(own, load_shape("home")) <= 0.0);
}

/// As trade in general, whose night is higher than that of offices alone.
#[test]
fn workplaces_run_as_standard_profiles_of_trade_do() {
    let (own, of_2025, of_1999, offices) =
        (load_shape("workplace"), published("G25"), published("G0"), published("G1"));
    assert!((peak_h(own) - peak_h(&of_2025)).abs() <= 1.5 && (peak_h(own) - peak_h(&of_1999)).abs() <= 1.5);
    assert!(correlation(own, &of_2025) >= 0.97, "{}", correlation(own, &of_2025));
    assert!(correlation(own, &of_1999) >= 0.9 && correlation(own, &offices) >= 0.9);
    assert!((mean(own) - mean(&of_2025)).abs() <= 0.1 && mean(own) >= mean(&of_2025), "{}", mean(own));
    // Below the profile of all trade by a hair at most, and above that of offices at night.
    assert!(below(own, &of_2025) <= 0.05, "below by {}", below(own, &of_2025));
    assert!(lowest(own) >= lowest(&of_2025) && lowest(own) >= lowest(&offices));
}

/// No standard profile is of a depot: its day lies between trade in general and trade that runs through.
#[test]
fn depots_run_between_trade_and_trade_that_runs_through() {
    let (own, trade, through) = (load_shape("depot"), published("G25"), published("G3"));
    assert!(correlation(own, &trade) >= 0.8 && correlation(own, &through) >= 0.75);
    assert!(mean(own) > mean(&trade) && mean(own) < mean(&through) + 0.05, "{}", mean(own));
    assert!(lowest(own) > lowest(&trade) && lowest(own) < lowest(&through), "{}", lowest(own));
}

/// Highest half-hour of a standard household of little, medium and much use, against what a small, medium and large home
/// adds to a feeder. A standard profile is the mean of very many on a mean day of its kind; network planners' figures
/// have cold days and the few homes of one feeder in them. So ours is above, and not by more than two and a half times.
#[test]
fn homes_after_diversity_stand_above_the_standard_households_peak() {
    // Kilowatt-hours a year of homes that are not heated by electricity (typical domestic use as the British regulator
    // had it until 2025, from memory).
    let uses = [(HomeSize::Small, 1800.0), (HomeSize::Medium, 2700.0), (HomeSize::Large, 4100.0)];
    let peaks = rows("standard-peaks.csv");
    for profile in ["H0", "H25"] {
        let row = peaks.iter().find(|row| row[0] == profile).unwrap();
        let kw_a_1000_kwh: f64 = row[1].parse().unwrap();
        for (size, kwh) in uses {
            let (own, peak_kw) = (home_kw_after_diversity("gas", size), kw_a_1000_kwh * kwh / 1000.0);
            assert!(own.low >= 0.9 * peak_kw, "{profile} {size:?}: {own:?} under {peak_kw}");
            let times = own.likely / peak_kw;
            assert!((1.0..=2.5).contains(&times), "{profile} {size:?}: {times} times {peak_kw}");
        }
    }
}
