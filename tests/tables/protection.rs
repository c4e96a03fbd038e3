//! Breakers: printed impedances first, then the whole table against its formula; let-through, ratings, k values.

use super::table;
use baywright::reference::{Curve, device_ratings, let_through_a2s, zs_limit_ohm};

/// Seen in print, as figures: these bind the table and the look-up, whatever the formula says.
const PRINTED: [(&str, f64, f64); 3] = [("B", 10.0, 4.37), ("B", 32.0, 1.37), ("B", 45.0, 0.97)];

fn curve(letter: &str) -> Curve {
    match letter {
        "B" => Curve::B,
        "C" => Curve::C,
        "D" => Curve::D,
        other => panic!("{other}"),
    }
}

#[test]
fn printed_impedances_stand_in_the_table_and_are_answered() {
    let rows = table("disconnection.csv");
    for (letter, rating_a, printed) in PRINTED {
        let found: Vec<f64> = rows
            .iter()
            .filter(|row| row.text("breaker_type") == letter && row.number("rated_current_a") == rating_a)
            .map(|row| row.number("zs_max_ohm"))
            .collect();
        assert!(!found.is_empty() && found.iter().all(|zs| *zs == printed), "{letter}{rating_a}");
        assert_eq!(zs_limit_ohm(curve(letter), rating_a), printed, "{letter}{rating_a}");
    }
}

#[test]
fn the_rest_of_the_table_is_its_formula_rounded_to_a_hundredth() {
    for row in table("disconnection.csv") {
        let letter = row.text("breaker_type");
        let five_seconds = row.number("disconnection_time_s") == 5.0;
        // Type D at 5 s is relaxed to 10 In; B and C are the same at both times.
        let multiple = match (letter, five_seconds) {
            ("B", _) => 5.0,
            ("C", _) | ("D", true) => 10.0,
            _ => 20.0,
        };
        let (rating_a, limit) = (row.number("rated_current_a"), row.number("zs_max_ohm"));
        assert_eq!(row.number("ia_multiple_of_in"), multiple, "{letter}{rating_a}");
        assert_eq!(row.number("ia_a"), multiple * rating_a, "{letter}{rating_a}");
        let formula = 230.0 * 0.95 / (multiple * rating_a);
        assert!((limit - formula).abs() <= 0.005 + 1e-9, "{letter}{rating_a}: {limit}");
        assert!((row.number("zs_max_unrounded_ohm") - formula).abs() < 6e-5);
        let cold = row.number("zs_max_measured_at_ambient_x0.8_ohm");
        assert!((cold - 0.8 * limit).abs() < 6e-4, "{letter}{rating_a}: {cold}");
        if !five_seconds {
            assert_eq!(zs_limit_ohm(curve(letter), rating_a), limit, "{letter}{rating_a}");
        }
    }
}

#[test]
fn a_larger_breaker_and_a_slower_curve_never_allow_more() {
    let curves = [Curve::B, Curve::C, Curve::D];
    for rating_a in device_ratings() {
        let limits = curves.map(|curve| zs_limit_ohm(curve, *rating_a));
        assert!(limits[0] > limits[1] && limits[1] > limits[2], "{rating_a}: {limits:?}");
    }
    for pair in device_ratings().windows(2) {
        assert!(pair[0] < pair[1]);
        for curve in curves {
            assert!(zs_limit_ohm(curve, pair[0]) > zs_limit_ohm(curve, pair[1]));
        }
    }
    // Beyond the table the formula is cut, not rounded: never above it.
    for (rating_a, formula) in [(33.0, 218.5 / 165.0), (160.0, 218.5 / 800.0)] {
        let answered = zs_limit_ohm(Curve::B, rating_a);
        assert!(answered <= formula && answered > formula - 0.0101, "{rating_a}");
    }
}

#[test]
fn let_through_rises_with_fault_and_rating() {
    let of = |rating_a, fault_ka| let_through_a2s(Curve::B, rating_a, fault_ka);
    for row in table("let_through.csv") {
        let (rating_a, fault_ka) = (row.number("rating_to_a"), row.number("fault_ka"));
        assert_eq!(of(rating_a, fault_ka), Some(row.number("i2t_a2s")));
    }
    let levels = [1.0, 3.0, 3.1, 6.0, 6.1, 10.0];
    for rating_a in [6.0, 16.0, 20.0, 32.0, 40.0] {
        for pair in levels.windows(2) {
            assert!(of(rating_a, pair[0]) <= of(rating_a, pair[1]));
        }
    }
    for level in levels {
        assert!(of(16.0, level) < of(32.0, level) && of(32.0, level) < of(40.0, level));
    }
    assert_eq!(of(40.0, 10.1), None);
    assert_eq!(of(50.0, 1.0), None);
    assert_eq!(let_through_a2s(Curve::C, 16.0, 3.0), None);
    assert_eq!(let_through_a2s(Curve::D, 16.0, 3.0), None);
    assert_eq!(of(f64::NAN, 3.0), None);
}

#[test]
fn k_values_fall_when_the_conductor_starts_hotter_only_for_steel() {
    // Copper at 90 degrees is in thermosetting insulation, which also ends hotter: its k is higher; steel's is lower.
    let of = |use_of: &str, celsius: f64| {
        table("protective_conductor_k.csv")
            .iter()
            .find(|row| row.text("use") == use_of && row.number("insulation_c") == celsius)
            .map(|row| row.number("k"))
    };
    assert_eq!(of("line copper", 70.0), Some(115.0));
    assert_eq!(of("line copper", 90.0), Some(143.0));
    assert_eq!(of("steel armour", 70.0), Some(51.0));
    assert_eq!(of("steel armour", 90.0), Some(46.0));
}
