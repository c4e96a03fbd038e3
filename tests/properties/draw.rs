//! A plausible site by random draw, in plain numbers that a property can make better or worse.

use baywright::design::{Arrangement, arrangements, facts, worst_effect};
use baywright::finding::Effect;
use baywright::rules::Rules;
use baywright::site::*;
use proptest::prelude::*;
use proptest::sample::select;

/// One site in plain numbers; `None` is a question never asked.
#[derive(Clone, Debug)]
pub struct Draw {
    pub premises: Premises,
    pub three_phase: bool,
    pub cutout_a: f64,
    pub capacity_kva: Option<f64>,
    pub demand_a: f64,
    pub method: Option<DemandMethod>,
    pub tails_mm2: Option<f64>,
    pub tails_m: f64,
    pub isolator: Option<bool>,
    pub earthing: Option<EarthingSystem>,
    pub ze_ohm: Option<f64>,
    pub electrode_position: Option<bool>,
    pub fault_level_ka: Option<f64>,
    pub spare_ways: Option<f64>,
    pub rcd: Option<RcdType>,
    pub indoor_m: f64,
    pub surface_m: f64,
    pub buried_m: f64,
    pub insulated_m: f64,
    pub ambient_c: f64,
    pub grouped: f64,
    pub points: f64,
    pub kw: Option<f64>,
    pub miles: f64,
    pub submain: Option<(f64, f64)>,
}

fn of<T>(value: Option<T>) -> Reading<T> {
    value.map(Reading::of).unwrap_or_default()
}

impl Draw {
    pub fn site(&self) -> Site {
        let mut site = Site { row: 2, site_id: "draw".into(), ..Site::default() };
        site.identity.premises_type = Reading::of(self.premises);
        site.supply.supply_phases = Reading::of(if self.three_phase { 3.0 } else { 1.0 });
        site.supply.cutout_rating_a = Reading::of(self.cutout_a);
        site.supply.agreed_capacity_kva = of(self.capacity_kva);
        site.supply.tails_mm2 = of(self.tails_mm2);
        site.supply.isolator_present = of(self.isolator);
        site.supply.earthing_system = of(self.earthing);
        site.supply.ze_ohm = of(self.ze_ohm);
        site.supply.electrode_position = of(self.electrode_position);
        site.supply.fault_level_ka = of(self.fault_level_ka);
        site.load.existing_demand_a = Reading::of(self.demand_a);
        site.load.demand_method = of(self.method);
        site.board.meter_to_board_m = Reading::of(self.tails_m);
        site.board.spare_ways = of(self.spare_ways);
        site.board.board_rcd_type = of(self.rcd);
        site.board.submain_mm2 = of(self.submain.map(|pair| pair.0));
        site.board.submain_device_a = of(self.submain.map(|pair| pair.1));
        site.parking.route_indoor_m = Reading::of(self.indoor_m);
        site.parking.route_surface_m = Reading::of(self.surface_m);
        site.parking.route_buried_m = Reading::of(self.buried_m);
        site.parking.insulated_length_m = Reading::of(self.insulated_m);
        site.parking.ambient_c = Reading::of(self.ambient_c);
        site.parking.grouped_circuits = Reading::of(self.grouped);
        site.wanted.points_wanted = Reading::of(self.points);
        site.wanted.requested_kw = of(self.kw);
        site.wanted.daily_miles = Reading::of(self.miles);
        site
    }

    pub fn built(&self, rules: &Rules) -> Vec<Arrangement> {
        let (facts, _) = facts(&self.site(), rules);
        arrangements(&facts, rules)
    }

    pub fn route_m(&self) -> f64 {
        self.indoor_m + self.surface_m + self.buried_m
    }
}

/// The arrangement that a choice by effect and then by power takes.
pub fn best(built: &[Arrangement]) -> Option<&Arrangement> {
    built.iter().min_by(|a, b| {
        let power = |arrangement: &Arrangement| arrangement.setting_a * f64::from(arrangement.phases);
        worst_effect(a).cmp(&worst_effect(b)).then(power(b).total_cmp(&power(a)))
    })
}

/// Notes do not move a verdict.
pub fn weight(effect: Effect) -> Effect {
    if effect <= Effect::Note { Effect::None } else { effect }
}

/// Whether the arrangement says that no cable fits: its figures are then those of a nearer position, or none.
pub fn has_no_cable(arrangement: &Arrangement) -> bool {
    arrangement.findings.iter().any(|finding| finding.check.name == "cable-length")
}

fn metres(to: f64) -> impl Strategy<Value = f64> {
    prop_oneof![2 => Just(0.0), 3 => 0.0..to / 5.0, 1 => 0.0..to]
}

prop_compose! {
    fn supply()(
        three_phase in any::<bool>(),
        cutout_a in prop_oneof![3 => select(vec![40.0, 60.0, 63.0, 80.0, 100.0]), 1 => 30.0..800.0],
        capacity_kva in prop::option::weighted(0.3, 10.0..500.0),
        share in prop_oneof![4 => 0.0..0.9, 1 => 0.8..1.3],
        method in prop::option::of(select(DemandMethod::ALL.to_vec())),
        tails_mm2 in prop::option::of(select(vec![6.0, 10.0, 16.0, 25.0, 35.0])),
        tails_m in 0.0..10.0,
        isolator in prop::option::of(any::<bool>()),
        fault_level_ka in prop::option::weighted(0.4, 0.3..30.0),
    ) -> Draw {
        Draw {
            premises: Premises::House,
            three_phase,
            cutout_a,
            capacity_kva,
            demand_a: share * cutout_a,
            method,
            tails_mm2,
            tails_m,
            isolator,
            earthing: None,
            ze_ohm: None,
            electrode_position: None,
            fault_level_ka,
            spare_ways: None,
            rcd: None,
            indoor_m: 0.0,
            surface_m: 0.0,
            buried_m: 0.0,
            insulated_m: 0.0,
            ambient_c: 30.0,
            grouped: 1.0,
            points: 1.0,
            kw: None,
            miles: 23.0,
            submain: None,
        }
    }
}

prop_compose! {
    fn place()(
        premises in select(Premises::ALL.to_vec()),
        earthing in prop::option::of(select(EarthingSystem::ALL.to_vec())),
        ze in prop::option::of(0.02..1.5),
        electrode in prop_oneof![3 => 5.0..250.0, 1 => 200.0..2500.0],
        electrode_position in prop::option::of(any::<bool>()),
        spare_ways in prop::option::of(select(vec![0.0, 1.0, 3.0])),
        rcd in prop::option::of(select(RcdType::ALL.to_vec())),
        route in (metres(120.0), metres(250.0), metres(250.0)),
        insulated_m in prop_oneof![3 => Just(0.0), 1 => 0.0..2.0],
        ambient_c in prop_oneof![3 => Just(30.0), 1 => 0.0..65.0],
        grouped in prop_oneof![3 => Just(1.0), 1 => 1.0..22.0],
    ) -> Draw {
        Draw {
            premises,
            earthing,
            ze_ohm: if earthing == Some(EarthingSystem::Tt) { ze.map(|_| electrode) } else { ze },
            electrode_position,
            spare_ways,
            rcd,
            indoor_m: route.0,
            surface_m: route.1,
            buried_m: route.2,
            insulated_m,
            ambient_c,
            grouped: f64::floor(grouped),
            three_phase: false,
            cutout_a: 100.0,
            capacity_kva: None,
            demand_a: 0.0,
            method: None,
            tails_mm2: None,
            tails_m: 0.0,
            isolator: None,
            fault_level_ka: None,
            points: 1.0,
            kw: None,
            miles: 23.0,
            submain: None,
        }
    }
}

prop_compose! {
    /// Any plausible site.
    pub fn draws()(
        supply in supply(),
        place in place(),
        points in prop_oneof![3 => Just(1.0), 1 => 2.0..60.0],
        kw in prop::option::of(select(vec![2.3, 3.0, 3.6, 4.6, 5.7, 7.4, 11.0, 22.0, 50.0])),
        miles in prop_oneof![3 => Just(23.0), 1 => 0.0..300.0],
        submain in prop::option::weighted(0.2, (select(vec![10.0, 16.0, 25.0, 35.0]), select(vec![40.0, 63.0, 80.0, 100.0]))),
    ) -> Draw {
        Draw {
            premises: place.premises,
            earthing: place.earthing,
            ze_ohm: place.ze_ohm,
            electrode_position: place.electrode_position,
            spare_ways: place.spare_ways,
            rcd: place.rcd,
            indoor_m: place.indoor_m,
            surface_m: place.surface_m,
            buried_m: place.buried_m,
            insulated_m: place.insulated_m,
            ambient_c: place.ambient_c,
            grouped: place.grouped,
            points: f64::floor(points),
            kw,
            miles,
            submain,
            ..supply
        }
    }
}
