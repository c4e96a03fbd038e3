//! Whether the charging lead reaches the vehicle's inlet: from where the point stands, how the vehicle is parked and
//! where its inlet is, as far as the survey says. What it leaves open stays unsaid. It knows no cable.

use super::service::Evidence;
use crate::finding::Finding;
use crate::reference::{LeadGeometry, lead_geometry};
use crate::site::ParkingType;

/// Where the inlet is on the vehicle.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Inlet {
    /// At the front (or the rear); `None` where the survey names no end.
    front: Option<bool>,
    /// On a flank instead of in the middle of the end.
    flank: bool,
    /// On the side away from the point.
    far: bool,
}

/// A finding where the survey says enough: with a note where the lead is too short.
pub(super) fn lead_reach(evidence: &Evidence<'_>) -> Option<Finding> {
    let Evidence { site, facts, rules, .. } = *evidence;
    let parking = &site.parking;
    let inlet = inlet_of(parking.inlet_position.likely()?)?;
    let nose_in = parking.parking_orientation.likely().and_then(|text| nose_in_of(text));
    let beside = match facts.parking {
        ParkingType::Driveway => true,
        ParkingType::Garage | ParkingType::Allocated | ParkingType::Communal => false,
        ParkingType::OnStreet | ParkingType::None => return None,
    };
    let sizes = lead_geometry();
    let at_head = |nose_in: bool| inlet.front.map(|front| front == nose_in);
    let parts = match nose_in.and_then(at_head) {
        Some(at_head) => way_m(sizes, inlet, beside, at_head),
        // On the far side, however it is parked: the longer way is the one to allow for.
        None if inlet.far => way_m(sizes, inlet, beside, false),
        None => return None,
    };
    let lead_m =
        if parking.tethered.is(false) { sizes.own_lead_m } else { rules.charge_point(facts.wanted.phases)?.lead_m };
    let needed_m: f64 = parts.iter().sum();
    let words = match nose_in {
        Some(true) => "parked nose in",
        Some(false) => "parked rear in",
        None => "inlet on the far side",
    };
    let finding = Finding::new("lead").subject(words).terms(&parts);
    Some(if needed_m > lead_m {
        finding.because("lead-reach").at_most(needed_m, lead_m)
    } else {
        finding.at_most(needed_m, lead_m)
    })
}

/// From the point to the vehicle, round it to the inlet, and down to the ground and up again, metres. The lead goes
/// round the vehicle, never over it. A point beside the drive is level with the vehicle's end at the house; which flank
/// is nearer to it is not surveyed, so the nearer is taken unless the survey says the far one.
fn way_m(sizes: &LeadGeometry, inlet: Inlet, beside: bool, at_head: bool) -> [f64; 3] {
    let LeadGeometry { vehicle_length_m: length, vehicle_width_m: width, flank_inset_m: inset, .. } = *sizes;
    let along = match (inlet.flank, at_head) {
        (true, true) => inset,
        (true, false) => length - inset,
        (false, true) => 0.0,
        (false, false) => length,
    };
    let across = match (inlet.flank, beside) {
        (true, true) if inlet.far => width,
        (true, true) => 0.0,
        (true, false) | (false, true) => width / 2.0,
        // From the middle of the head: nothing to the near end's middle, both half widths to the far one's.
        (false, false) if at_head => 0.0,
        (false, false) => width,
    };
    let gap = if beside { sizes.side_gap_m } else { sizes.end_gap_m };
    [gap, along + across, sizes.point_height_m + sizes.inlet_height_m]
}

/// The words of a text in small letters, abbreviations such as N/S/R in one piece.
fn words_of(text: &str) -> Vec<String> {
    let small: String = text.to_lowercase().chars().filter(|c| !matches!(c, '/' | '.' | '\'')).collect();
    small.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()).map(str::to_owned).collect()
}

/// What surveyors write of the inlet; `None` where it says neither an end nor the far side.
fn inlet_of(text: &str) -> Option<Inlet> {
    const FRONT: [&str; 8] = ["front", "nose", "grille", "bonnet", "nsf", "osf", "fns", "fos"];
    const REAR: [&str; 8] = ["rear", "back", "boot", "tail", "nsr", "osr", "rns", "ros"];
    const FLANK: [&str; 15] = [
        "side",
        "left",
        "right",
        "nearside",
        "offside",
        "ns",
        "os",
        "driver",
        "drivers",
        "passenger",
        "passengers",
        "wing",
        "quarter",
        "flank",
        "lh",
    ];
    const FAR: [&str; 4] = ["far", "opposite", "other", "wrong"];
    let words = words_of(text);
    let any = |known: &[&str]| words.iter().any(|word| known.contains(&word.as_str()));
    let front = match (any(&FRONT), any(&REAR)) {
        (true, false) => Some(true),
        (false, true) => Some(false),
        _ => None,
    };
    let short = |word: &String| word.len() == 3 && (FRONT.contains(&word.as_str()) || REAR.contains(&word.as_str()));
    let far = any(&FAR);
    let flank = far || any(&FLANK) || words.iter().any(short);
    (front.is_some() || far).then_some(Inlet { front, flank, far })
}

/// Whether the vehicle is parked nose in; `None` where the text says neither or both.
fn nose_in_of(text: &str) -> Option<bool> {
    const NOSE: [&str; 7] = ["nose", "front", "forward", "forwards", "bonnet", "head", "frontwards"];
    const REAR: [&str; 8] = ["reverse", "reversed", "reverses", "reversing", "rear", "back", "backed", "boot"];
    let words = words_of(text);
    let any = |known: &[&str]| words.iter().any(|word| known.contains(&word.as_str()));
    let out = words.iter().any(|word| word == "out");
    match (any(&NOSE), any(&REAR)) {
        (true, false) => Some(!out),
        (false, true) => Some(out),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::facts;
    use crate::finding::Outcome;
    use crate::rules::{Stance, default_rules};
    use crate::site::{Reading, Site};

    fn found(inlet: &str, orientation: &str, parking: ParkingType) -> Option<Finding> {
        let mut site = Site::default();
        site.parking.parking_type = Reading::of(parking);
        site.parking.inlet_position = Reading::of(inlet.into());
        if !orientation.is_empty() {
            site.parking.parking_orientation = Reading::of(orientation.into());
        }
        found_at(&site)
    }

    fn found_at(site: &Site) -> Option<Finding> {
        let rules = default_rules();
        let facts = facts(site, rules).0;
        let as_of = jiff::civil::date(2026, 11, 25);
        lead_reach(&Evidence { site, facts: &facts, rules, stance: Stance::Screen, as_of })
    }

    #[test]
    fn texts_are_read_as_surveyors_write_them() {
        let is = |text: &str| inlet_of(text).map(|inlet| (inlet.front, inlet.flank, inlet.far));
        assert_eq!(is("Front grille"), Some((Some(true), false, false)));
        assert_eq!(is("O/S/R"), Some((Some(false), true, false)));
        assert_eq!(is("rear nearside"), Some((Some(false), true, false)));
        assert_eq!(is("rear, far side"), Some((Some(false), true, true)));
        assert_eq!(is("wrong side"), Some((None, true, true)));
        assert_eq!(is("left"), None);
        assert_eq!(is("front or rear"), None);
        for (text, nose_in) in [
            ("nose in", Some(true)),
            ("Reversed in", Some(false)),
            ("nose-out", Some(false)),
            ("front or reverse", None),
            ("parallel", None),
        ] {
            assert_eq!(nose_in_of(text), nose_in, "{text}");
        }
    }

    #[test]
    fn a_rear_inlet_is_reached_by_reversing_in_and_not_nose_in() {
        for parking in [ParkingType::Driveway, ParkingType::Allocated, ParkingType::Garage] {
            let short = found("rear nearside", "nose in", parking).unwrap();
            assert_eq!(short.code(), Some("lead-reach"), "{parking}");
            assert!(short.value > short.limit);
            let long_enough = found("rear nearside", "reverse", parking).unwrap();
            assert_eq!((long_enough.code(), long_enough.outcome), (None, Outcome::Pass), "{parking}");
        }
        // 0.6 m to the vehicle, half its width and 3.5 m along it, 1.7 m down and up.
        let finding = found("rear nearside", "nose in", ParkingType::Allocated).unwrap();
        assert!((finding.value.unwrap() - (0.6 + 0.925 + 3.5 + 1.7)).abs() < 1e-9);
    }

    #[test]
    fn what_the_survey_leaves_open_stays_unsaid() {
        assert!(found("rear nearside", "", ParkingType::Driveway).is_none());
        assert!(found("left", "nose in", ParkingType::Driveway).is_none());
        assert!(found("rear", "nose in", ParkingType::OnStreet).is_none());
        assert!(found_at(&Site::default()).is_none());
        // The far side is too far whichever way round.
        assert_eq!(found("far side", "", ParkingType::Driveway).unwrap().code(), Some("lead-reach"));
    }

    #[test]
    fn a_tethered_lead_is_the_points_and_the_drivers_own_is_the_usual_one() {
        let mut site = Site::default();
        site.parking.parking_type = Reading::of(ParkingType::Driveway);
        site.parking.inlet_position = Reading::of("front".into());
        site.parking.parking_orientation = Reading::of("nose in".into());
        for tethered in [true, false] {
            site.parking.tethered = Reading::of(tethered);
            assert_eq!(found_at(&site).unwrap().limit, Some(5.0));
        }
    }
}
