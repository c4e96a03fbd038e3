//! The supply itself: cut-out, loop, condition, number, capacity.

use super::*;

fn doubtful(low: f64, likely: f64, high: f64) -> Reading<f64> {
    Reading { answer: Answer::Doubtful { low, likely, high }, column: None }
}

pub(super) fn cases() -> Vec<Case> {
    vec![
        case("cutout-unknown", house)
            .with(|s| s.supply.cutout_rating_a = Reading::unknown())
            .without(|s| s.supply.cutout_rating_a = Reading::of(100.0)),
        case("cutout-unknown", house)
            .with(|s| s.supply.cutout_rating_a = doubtful(80.0, 100.0, 100.0))
            .without(|s| s.supply.cutout_rating_a = Reading::of(80.0)),
        case("cutout-unknown", house)
            .with(|s| s.supply.cutout_evidence = Reading::of(CutoutEvidence::Assumed))
            .without(|s| s.supply.cutout_evidence = Reading::of(CutoutEvidence::Operator)),
        case("cutout-unknown", house)
            .with(|s| s.supply.cutout_evidence = Reading::of(CutoutEvidence::Carrier))
            .without(|s| s.supply.cutout_evidence = Reading::of(CutoutEvidence::Label)),
        case("cutout-unknown", house)
            .with(|s| s.supply.cutout_evidence = Reading::unknown())
            .without(|s| s.supply.cutout_evidence = Reading::default()),
        case("cutout-unknown", house)
            .with(|s| s.supply.distributor = Reading::of("14".into()))
            .without(|s| s.supply.cutout_rating_a = Reading::of(80.0)),
        case("cutout-unknown", house)
            .with(|s| s.supply.distributor = Reading::of("22 South West".into()))
            .without(|s| s.supply.distributor = Reading::of("10 Eastern".into())),
        // A metered supply has no domestic cut-out, but a guessed incoming device limits it.
        case("cutout-unknown", depot)
            .with(|s| s.supply.cutout_evidence = Reading::of(CutoutEvidence::Assumed))
            .without(|s| s.supply.cutout_rating_a = Reading::unknown()),
        case("loop-yes", house)
            .with(|s| s.supply.looped_service = Reading::of(true))
            .without(|s| s.supply.looped_service = Reading::of(false)),
        case("loop-unknown", house)
            .with(|s| s.supply.looped_service = Reading::unknown())
            .without(|s| s.supply.looped_service = Reading::default()),
        case("loop-unknown", house)
            .with(|s| s.identity.survey_method = Reading::of(SurveyMethod::Phone))
            .without(|s| s.identity.survey_method = Reading::of(SurveyMethod::Photo)),
        case("loop-unknown", house)
            .with(|s| s.identity.survey_method = Reading::of(SurveyMethod::Desk))
            .without(|s| s.identity.survey_method = Reading::default()),
        case("loop-unknown", block)
            .with(|s| s.supply.looped_service = Reading::unknown())
            .without(|s| s.identity.survey_method = Reading::of(SurveyMethod::Operator))
            .without(|s| s.supply.looped_service = Reading::of(false)),
        case("loop-unknown", house)
            .with(|s| {
                s.supply.looped_service.answer = Answer::Doubtful { low: false, likely: true, high: true };
            })
            .without(|s| s.supply.looped_service = Reading::of(false)),
        case("cutout-unsafe", house)
            .with(|s| s.supply.cutout_condition = Reading::of(Condition::Unsafe))
            .without(|s| s.supply.cutout_condition = Reading::of(Condition::Doubtful)),
        case("cutout-doubtful", house)
            .with(|s| s.supply.cutout_condition = Reading::of(Condition::Doubtful))
            .without(|s| s.supply.cutout_condition = Reading::of(Condition::Sound)),
        case("cutout-condition-blank", house)
            .with(|s| s.supply.cutout_condition = Reading::unknown())
            .without(|s| s.supply.cutout_condition = Reading::default()),
        case("new-connection", house)
            .with(|s| s.supply.supply_present = Reading::of(false))
            .without(|s| s.supply.supply_present = Reading::default()),
        case("unmetered-supply", house)
            .with(|s| s.supply.unmetered = Reading::of(true))
            .without(|s| s.supply.unmetered = Reading::default()),
        case("phases-unknown", block)
            .with(|s| s.supply.supply_phases = Reading::unknown())
            .without(|s| s.supply.supply_phases = Reading::of(1.0)),
        case("phases-unknown", block)
            .with(|s| s.supply.supply_phases = doubtful(1.0, 3.0, 3.0))
            .without(|s| s.supply.supply_phases = Reading::default()),
        case("over-32-a-a-phase", house)
            .with(|s| s.wanted.requested_kw = Reading::of(50.0))
            .without(|s| s.wanted.requested_kw = Reading::of(22.0)),
        case("no-declaration", house)
            .rules(|r| r.charge_point[0].declared_harmonics = false)
            .rules_without(|r| r.charge_point[0].declared_harmonics = true),
        case("export-capable", house)
            .rules(|r| r.charge_point[0].exports = true)
            .rules_without(|r| r.charge_point[0].exports = false),
        case("bidirectional-device", house)
            .with(|s| s.load.solar_kw = Reading::of(3.6))
            .without(|s| s.load.solar_kw = Reading::of(0.0)),
        case("bidirectional-device", house)
            .with(|s| s.load.battery_kw = Reading::of(5.0))
            .without(|s| s.load.battery_kw = Reading::default()),
        case("capacity-unknown", depot)
            .with(|s| s.supply.agreed_capacity_kva = Reading::unknown())
            .without(|s| s.supply.agreed_capacity_kva = Reading::default()),
        // By size alone, whatever is said of the metering.
        case("capacity-unknown", depot)
            .with(|s| {
                s.supply.metering = Reading::of(Metering::WholeCurrent);
                s.supply.agreed_capacity_kva = Reading::unknown();
                s.supply.cutout_rating_a = Reading::of(160.0);
            })
            .without(|s| s.supply.cutout_rating_a = Reading::of(100.0)),
        case("multiple-form", block).without(|s| s.wanted.points_wanted = Reading::of(1.0)),
        case("independent-distributor", house)
            .with(|s| s.supply.mpan = Reading::of("2412345678904".into()))
            .without(|s| s.supply.mpan = Reading::of("2212345678905".into()))
            .without(|s| s.supply.cutout_rating_a = Reading::of(80.0)),
        case("independent-distributor", house)
            .with(|s| s.supply.distributor = Reading::of("24".into()))
            .without(|s| s.supply.distributor = Reading::of("23".into())),
        case("mpan-invalid", house)
            .with(|s| s.supply.mpan = Reading::of("1012345678904".into()))
            .without(|s| s.supply.mpan = Reading::of("1012345678903".into())),
        case("existing-charge-point", house)
            .with(|s| s.load.existing_charge_points = Reading::of(1.0))
            .without(|s| s.load.existing_charge_points = Reading::of(0.0)),
        case("answers-conflict", house)
            .with(|s| s.conflicts = vec![conflict(true)])
            .without(|s| s.conflicts = vec![conflict(false)]),
        case("survey-stale", house)
            .with(|s| s.identity.survey_date = Reading::of(jiff::civil::date(2024, 11, 24)))
            .without(|s| s.identity.survey_date = Reading::of(jiff::civil::date(2024, 11, 25))),
    ]
}

/// A disagreement of two files about the cut-out: open, or settled by a later survey.
fn conflict(open: bool) -> crate::site::Conflict {
    let cell =
        |text: &str| crate::site::Cited { file: "Visits.csv".into(), row: 4, column: Some(2), text: text.into() };
    crate::site::Conflict { field: "cutout_rating_a", stands: cell("100"), other: cell("60"), by_date: !open, open }
}
