//! A circuit in words: device, cable runs, works. It reads an arrangement and designs nothing.

use super::figures::plain;
use crate::design::{Arrangement, Control, Device, Residual, Run, RunRole, Work};

/// A device: "40 A type B, 2-pole, 6 kA, 30 mA type A".
pub(super) fn device(device: &Device) -> String {
    let mut text = format!(
        "{} A type {}, {}-pole, {} kA",
        plain(device.rating_a, 1),
        device.curve.word(),
        device.poles,
        plain(device.breaking_ka, 1)
    );
    if let Some(residual) = device.residual {
        text.push_str(", ");
        text.push_str(residual_words(residual));
    }
    text
}

/// The residual-current part in words.
pub(super) fn residual_words(residual: Residual) -> &'static str {
    match residual {
        Residual::TypeA30 => "30 mA type A",
        Residual::TypeB30 => "30 mA type B",
        Residual::Delayed100 => "100 mA time-delayed",
    }
}

/// One run: "sub-main 16 mm² 4-core armoured, 32.5 m, method D".
fn run(run: &Run) -> String {
    let mut text = String::new();
    if run.role == RunRole::SubMain {
        text.push_str("sub-main ");
    }
    if run.count > 1 {
        text.push_str(&format!("{} × ", run.count));
    }
    text.push_str(&format!("{}, {} m, method {}", run.cable.words(), plain(run.length_m(), 1), run.method.word()));
    text
}

/// All runs from the origin on.
pub(super) fn runs(arrangement: &Arrangement) -> String {
    arrangement.runs.iter().map(run).collect::<Vec<_>>().join("; then ")
}

/// The cable of the final circuit with its length, for one line.
pub(super) fn cable(arrangement: &Arrangement) -> String {
    match arrangement.runs.as_slice() {
        [] => String::new(),
        [one] => format!("{}, {} m", one.cable.words(), plain(one.length_m(), 1)),
        many => many
            .iter()
            .map(|run| format!("{} {} m", run.cable.words(), plain(run.length_m(), 1)))
            .collect::<Vec<_>>()
            .join(" + "),
    }
}

/// The control in words, with its setpoint.
pub(super) fn control(control: Control) -> String {
    match control {
        Control::None => "none".into(),
        Control::Local { setpoint_a } => format!("limiter at {} A", plain(setpoint_a, 1)),
        Control::Group { limit_a, setpoint_a: None } => format!("group, {} A shared", plain(limit_a, 1)),
        Control::Group { limit_a, setpoint_a: Some(setpoint_a) } => {
            format!("group, up to {} A shared, incomer held at {} A", plain(limit_a, 1), plain(setpoint_a, 1))
        }
    }
}

/// One of the works that go with an arrangement.
fn work(work: &Work) -> String {
    match work {
        Work::TailsUpgrade { length_m } => format!("meter tails to 25 mm², {} m", plain(*length_m, 1)),
        Work::Isolator => "isolator between meter and board".into(),
        Work::BondingUpgrade { proven: true } => "main bonding or earthing conductor brought up to size".into(),
        Work::BondingUpgrade { proven: false } => {
            "main bonding or earthing conductor likely to be brought up to size".into()
        }
        Work::SurgeProtection => "surge protection".into(),
        Work::ArcFault => "arc-fault protection".into(),
        Work::Electrode { rods: 1 } => "earth electrode, 1 rod".into(),
        Work::Electrode { rods } => format!("earth electrode, {rods} rods"),
        Work::LimiterSensor => "sensor on the incomer".into(),
        Work::GroupController => "group controller with sensors".into(),
        Work::JointBox => "joint box".into(),
        Work::TerminalBox => "terminal box at the charge point".into(),
        Work::AsbestosSurvey => "asbestos survey before drilling".into(),
        Work::FireStopping => "fire-stopping".into(),
        Work::NetworkLink => "wired network link".into(),
        Work::Application => "application to the network operator".into(),
    }
}

/// All works that go with an arrangement.
pub(super) fn works(arrangement: &Arrangement) -> String {
    arrangement.works.iter().map(work).collect::<Vec<_>>().join("; ")
}
