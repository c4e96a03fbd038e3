//! Figures said with doubt ("approx 12 m", "16/25"): each open between its ends, with the direction that is better.

use crate::site::{Answer, Reading, Site};

/// Which end of a figure is better for a verdict.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Better {
    Less,
    More,
    /// It cuts both ways: each value is looked at by itself.
    Either,
}

/// A figure that may be said with doubt. Demand, cut-out and distance have bands of their own.
pub(super) struct Figure {
    pub(super) field: &'static str,
    pub(super) better: Better,
    pub(super) reading: fn(&Site) -> &Reading<f64>,
    pub(super) settle: fn(&mut Site, f64),
}

macro_rules! figures {
    ($($better:ident $room:ident.$field:ident),+ $(,)?) => {
        /// Every such figure.
        pub(super) const FIGURES: &[Figure] = &[$(Figure {
            field: stringify!($field),
            better: Better::$better,
            reading: |site| &site.$room.$field,
            settle: |site, value| site.$room.$field.answer = Answer::Stated(value),
        }),+];
    };
}

figures!(
    Either supply.supply_phases,
    More supply.agreed_capacity_kva,
    Either supply.ze_ohm,
    Less supply.fault_level_ka,
    Either board.submain_mm2,
    Either board.submain_device_a,
    Either board.board_main_switch_a,
    Less board.meter_to_board_m,
    Either parking.route_indoor_m,
    Either parking.route_surface_m,
    Either parking.route_buried_m,
    Less parking.insulated_length_m,
    Less parking.ambient_c,
    Less parking.grouped_circuits,
    Less parking.storeys,
    Less wanted.daily_miles,
    More wanted.miles_per_kwh,
);
