//! Parking, permissions, height, asbestos and the small things.

use super::*;

pub(super) fn cases() -> Vec<Case> {
    vec![
        case("no-parking", house)
            .with(|s| s.parking.parking_type = Reading::of(ParkingType::OnStreet))
            .without(|s| s.parking.parking_type = Reading::of(ParkingType::Garage)),
        case("no-parking", flat)
            .with(|s| s.parking.parking_type = Reading::of(ParkingType::None))
            .without(|s| s.parking.parking_type = Reading::of(ParkingType::Communal)),
        case("parking-unknown", house)
            .with(|s| s.parking.parking_type = Reading::unknown())
            .without(|s| s.parking.parking_type = Reading::default()),
        case("covered-parking", block)
            .with(|s| s.parking.covered_parking = Reading::of(true))
            .without(|s| s.parking.covered_parking = Reading::of(false)),
        case("covered-parking", flat)
            .with(|s| s.parking.covered_parking = Reading::of(true))
            .without(|s| s.parking.parking_type = Reading::of(ParkingType::Garage)),
        // A garage of one's own is covered and not shared.
        case("covered-parking", house)
            .with(|s| {
                s.parking.covered_parking = Reading::of(true);
                s.parking.parking_type = Reading::of(ParkingType::Allocated);
            })
            .without(|s| s.parking.parking_type = Reading::of(ParkingType::Garage)),
        case("covered-parking-unknown", block)
            .with(|s| s.parking.covered_parking = Reading::unknown())
            .without(|s| s.parking.covered_parking = Reading::default()),
        case("covered-parking-unknown", depot)
            .with(|s| s.parking.covered_parking = Reading::unknown())
            .without(|s| s.parking.covered_parking = Reading::of(false)),
        case("covered-parking-unknown", flat)
            .with(|s| s.parking.covered_parking = Reading::unknown())
            .without(|s| s.parking.parking_type = Reading::of(ParkingType::Driveway)),
        case("bay-tenure", block)
            .with(|s| s.parking.parking_type = Reading::of(ParkingType::Allocated))
            .without(|s| s.parking.parking_type = Reading::of(ParkingType::Communal)),
        case("accessible-bay", block)
            .with(|s| s.wanted.points_wanted = Reading::of(2.0))
            .without(|s| s.wanted.points_wanted = Reading::of(1.0)),
        case("sub-metering", block)
            .with(|s| s.wanted.points_wanted = Reading::of(2.0))
            .without(|s| s.wanted.points_wanted = Reading::of(1.0)),
        case("provision-duty", block)
            .with(|s| {
                s.wanted.points_wanted = Reading::of(2.0);
                s.parking.bays = Reading::of(11.0);
            })
            .without(|s| s.parking.bays = Reading::of(10.0)),
        case("consent-refused", house)
            .with(|s| s.permissions.consent_status = Reading::of(ConsentStatus::Refused))
            .without(|s| s.permissions.consent_status = Reading::of(ConsentStatus::Granted)),
        case("consent-refused", house)
            .with(|s| s.permissions.wayleave_status = Reading::of(ConsentStatus::Refused))
            .without(|s| s.permissions.wayleave_status = Reading::of(ConsentStatus::Granted)),
        case("consent-pending", house)
            .with(|s| s.permissions.consent_status = Reading::of(ConsentStatus::Asked))
            .without(|s| s.permissions.consent_status = Reading::of(ConsentStatus::NotNeeded)),
        case("consent-pending", house)
            .with(|s| s.permissions.wayleave_status = Reading::of(ConsentStatus::Asked))
            .without(|s| s.permissions.wayleave_status = Reading::unknown()),
        // By tenure: an owner's house needs none, an owner's flat does.
        case("consent-pending", flat)
            .with(|s| {
                s.identity.tenure = Reading::of(Tenure::Owner);
                s.permissions.consent_status = Reading::unknown();
            })
            .without(|s| s.identity.premises_type = Reading::of(Premises::House)),
        case("consent-pending", house)
            .with(|s| {
                s.identity.tenure = Reading::of(Tenure::PrivateRent);
                s.permissions.consent_status = Reading::unknown();
            })
            .without(|s| s.identity.tenure = Reading::of(Tenure::Owner)),
        case("consent-pending", house)
            .with(|s| {
                s.identity.tenure = Reading::of(Tenure::Shared);
                s.permissions.consent_status = Reading::of(ConsentStatus::NotAsked);
            })
            .without(|s| s.permissions.consent_status = Reading::of(ConsentStatus::NotNeeded)),
        case("consent-pending", depot)
            .with(|s| {
                s.identity.tenure = Reading::of(Tenure::Leasehold);
                s.permissions.consent_status = Reading::unknown();
            })
            .without(|s| s.identity.tenure = Reading::of(Tenure::Employer)),
        // Nobody was asked about the tenure of a flat, and its consent is blank.
        case("consent-pending", flat)
            .with(|s| {
                s.identity.tenure = Reading::default();
                s.permissions.consent_status = Reading::unknown();
            })
            .without(|s| s.permissions.consent_status = Reading::of(ConsentStatus::Granted)),
        case("consent-pending", house)
            .with(|s| {
                s.identity.tenure = Reading::of(Tenure::SocialRent);
                s.permissions.consent_status = Reading::unknown();
            })
            .rules(|r| r.policy.social_rent_needs_consent = true)
            .rules_without(|r| r.policy.social_rent_needs_consent = false),
        // The tenure itself is not known, and a fifth of such houses need consent.
        case("unsettled-fact", house)
            .with(|s| {
                s.identity.tenure = Reading::unknown();
                s.permissions.consent_status = Reading::unknown();
            })
            .without(|s| s.permissions.consent_status = Reading::of(ConsentStatus::Granted)),
        case("listed-building", house)
            .with(|s| s.permissions.listed = Reading::of(true))
            .without(|s| s.permissions.consent_status = Reading::of(ConsentStatus::Granted)),
        case("higher-risk-building", flat)
            .with(|s| s.parking.storeys = Reading::of(7.0))
            .without(|s| s.parking.storeys = Reading::of(6.0)),
        case("higher-risk-building", block)
            .with(|s| s.parking.storeys = Reading::of(7.0))
            .without(|s| s.identity.premises_type = Reading::of(Premises::Workplace)),
        case("unsettled-fact", flat)
            .with(|s| s.parking.storeys = Reading::unknown())
            .without(|s| s.parking.storeys = Reading::of(3.0)),
        case("unsettled-fact", block)
            .with(|s| s.parking.storeys.answer = Answer::Doubtful { low: 5.0, likely: 6.0, high: 7.0 })
            .without(|s| s.parking.storeys.answer = Answer::Doubtful { low: 4.0, likely: 5.0, high: 6.0 }),
        case("asbestos-on-route", house)
            .with(|s| s.permissions.asbestos_on_route = Reading::of(true))
            .without(|s| s.permissions.asbestos_on_route = Reading::of(false)),
        case("asbestos-unrecorded", house)
            .with(|s| {
                s.permissions.asbestos_on_route = Reading::unknown();
                s.permissions.year_built = Reading::of(1999.0);
            })
            .without(|s| s.permissions.year_built = Reading::of(2000.0)),
        case("asbestos-unrecorded", house)
            .with(|s| {
                s.permissions.asbestos_on_route = Reading::default();
                s.permissions.year_built = Reading::unknown();
            })
            .without(|s| s.permissions.asbestos_on_route = Reading::of(false)),
        case("lead-reach", house)
            .with(|s| s.parking.inlet_position = Reading::of("rear, far side".into()))
            .without(|s| s.parking.inlet_position = Reading::of("rear, near side".into())),
        case("lead-reach", house)
            .with(|s| {
                s.parking.inlet_position = Reading::of("rear nearside".into());
                s.parking.parking_orientation = Reading::of("nose in".into());
            })
            .without(|s| s.parking.parking_orientation = Reading::of("reversed in".into())),
        case("no-signal", house)
            .with(|s| s.parking.mobile_signal = Reading::of(false))
            .without(|s| s.parking.mobile_signal = Reading::default()),
    ]
}
