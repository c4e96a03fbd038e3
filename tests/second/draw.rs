//! Sites and rules by dice: the same every run, every answer that a circuit depends on drawn over its plausible range.

use super::splitmix::Splitmix;
use baywright::reference::CableFamily;
use baywright::rules::{AboveGround, InInsulation, Rules, default_rules};
use baywright::site::*;

/// Dice that nothing but the number of a trial decides.
pub struct Dice(Splitmix);

impl Dice {
    pub fn of_trial(trial: u64) -> Dice {
        Dice(Splitmix(trial.wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ 0x5EC0_4D00))
    }

    pub fn unit(&mut self) -> f64 {
        (self.0.next() >> 11) as f64 / (1_u64 << 53) as f64
    }

    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    pub fn chance(&mut self, chance: f64) -> bool {
        self.unit() < chance
    }

    pub fn one<T: Copy>(&mut self, all: &[T]) -> T {
        all[(self.unit() * all.len() as f64) as usize % all.len()]
    }

    /// Stated with this chance, else never asked.
    fn perhaps<T>(&mut self, chance: f64, value: T) -> Reading<T> {
        if self.chance(chance) { Reading::of(value) } else { Reading::default() }
    }
}

/// Metres of one part of a route: often none, mostly short.
fn metres(dice: &mut Dice, most: f64) -> f64 {
    match dice.one(&[0, 0, 1, 1, 1, 2]) {
        0 => 0.0,
        1 => dice.between(0.0, most / 5.0),
        _ => dice.between(0.0, most),
    }
}

/// Any plausible site with one point, or with several.
pub fn any_site(dice: &mut Dice) -> Site {
    let mut site = Site { row: 2, site_id: "drawn".into(), ..Site::default() };
    let premises = dice.one(Premises::ALL);
    let three = dice.chance(0.45);
    let usual = dice.chance(0.75);
    let cutout_a = if usual { dice.one(&[40.0, 60.0, 63.0, 80.0, 100.0]) } else { dice.between(30.0, 800.0) };
    site.identity.premises_type = Reading::of(premises);
    site.supply.supply_phases = Reading::of(if three { 3.0 } else { 1.0 });
    site.supply.cutout_rating_a = Reading::of(cutout_a);
    let kva = dice.between(10.0, 500.0);
    site.supply.agreed_capacity_kva = dice.perhaps(0.3, kva);
    let peak = kva * dice.between(0.2, 1.1);
    site.supply.recorded_peak_kva = dice.perhaps(0.2, peak);
    let tails_mm2 = dice.one(&[6.0, 10.0, 16.0, 25.0, 35.0]);
    site.supply.tails_mm2 = dice.perhaps(0.6, tails_mm2);
    let isolator = dice.chance(0.5);
    site.supply.isolator_present = dice.perhaps(0.7, isolator);
    let earthing = dice.one(EarthingSystem::ALL);
    site.supply.earthing_system = if dice.chance(0.1) { Reading::unknown() } else { dice.perhaps(0.8, earthing) };
    let tt = site.supply.earthing_system.is(EarthingSystem::Tt);
    let ze = if tt { dice.one(&[12.0, 90.0, 199.0, 420.0, 1500.0, 2100.0]) } else { dice.between(0.02, 1.3) };
    site.supply.ze_ohm = dice.perhaps(0.6, ze);
    let place = dice.chance(0.5);
    site.supply.electrode_position = dice.perhaps(0.6, place);
    let level = dice.between(0.3, 26.0);
    site.supply.fault_level_ka = dice.perhaps(0.4, level);
    let method = dice.one(DemandMethod::ALL);
    site.load.existing_demand_a = {
        let share = if dice.chance(0.8) { dice.between(0.0, 0.9) } else { dice.between(0.8, 1.3) };
        dice.perhaps(0.9, share * cutout_a)
    };
    site.load.demand_method = dice.perhaps(0.7, method);
    let tails_m = dice.between(0.0, 12.0);
    site.board.meter_to_board_m = dice.perhaps(0.7, tails_m);
    let ways = dice.one(&[0.0, 1.0, 3.0]);
    site.board.spare_ways = dice.perhaps(0.8, ways);
    let rcd = dice.one(RcdType::ALL);
    site.board.board_rcd_type = dice.perhaps(0.8, rcd);
    let switch_a = dice.one(&[63.0, 80.0, 100.0]);
    site.board.board_main_switch_a = dice.perhaps(0.3, switch_a);
    if dice.chance(0.25) {
        site.board.submain_mm2 = Reading::of(dice.one(&[6.0, 10.0, 16.0, 25.0, 35.0, 70.0, 11.0, 120.0]));
        site.board.submain_device_a = Reading::of(dice.one(&[32.0, 40.0, 63.0, 80.0, 100.0]));
        site.board.meter_to_board_m = Reading::of(dice.between(1.0, 45.0));
    }
    route(dice, &mut site);
    let points = dice.between(2.0, 50.0).floor();
    site.wanted.points_wanted = Reading::of(if dice.chance(0.25) { points } else { 1.0 });
    let kw = dice.one(&[2.3, 3.0, 3.6, 4.6, 5.7, 7.4, 7.4, 11.0, 22.0]);
    site.wanted.requested_kw = dice.perhaps(0.8, kw);
    let miles = dice.between(0.0, 200.0);
    site.wanted.daily_miles = dice.perhaps(0.4, miles);
    site
}

fn route(dice: &mut Dice, site: &mut Site) {
    let parts = [metres(dice, 120.0), metres(dice, 220.0), metres(dice, 220.0)];
    site.parking.route_indoor_m = Reading::of(parts[0]);
    site.parking.route_surface_m = Reading::of(parts[1]);
    site.parking.route_buried_m = Reading::of(parts[2]);
    let whole: f64 = parts.iter().sum();
    let longer = Answer::Doubtful { low: whole * 0.8, likely: whole * 1.05, high: whole * 1.3 };
    if dice.chance(0.2) {
        site.parking.parking_distance_m = Reading { answer: longer, column: None };
    }
    let from = dice.one(DistanceFrom::ALL);
    site.parking.distance_from = dice.perhaps(0.5, from);
    let surface = dice.one(GroundSurface::ALL);
    site.parking.ground_surface = dice.perhaps(0.6, surface);
    let insulated = dice.one(&[0.05, 0.12, 0.3, 0.8, 3.0]);
    site.parking.insulated_length_m = dice.perhaps(0.2, insulated);
    let ambient = dice.one(&[10.0, 25.0, 32.0, 40.0, 55.0, 62.0]);
    site.parking.ambient_c = dice.perhaps(0.25, ambient);
    let grouped = dice.one(&[1.0, 2.0, 3.0, 5.0, 8.0, 10.0, 21.0]);
    site.parking.grouped_circuits = dice.perhaps(0.3, grouped);
    let parking =
        dice.one(&[ParkingType::Driveway, ParkingType::Garage, ParkingType::Allocated, ParkingType::Communal]);
    site.parking.parking_type = dice.perhaps(0.7, parking);
    let walls = dice.one(&[0.0, 1.0, 2.0]);
    site.parking.walls = dice.perhaps(0.5, walls);
}

/// The same with nothing open at the site itself, so that its verdict is that of its arrangement.
pub fn settled_site(dice: &mut Dice) -> Site {
    let mut site = any_site(dice);
    site.supply.supply_present = Reading::of(true);
    site.supply.cutout_evidence = Reading::of(CutoutEvidence::Fuse);
    site.supply.cutout_condition = Reading::of(Condition::Sound);
    site.supply.looped_service = Reading::of(false);
    site.identity.survey_method = Reading::of(SurveyMethod::Visit);
    site.supply.recorded_peak_kva = Reading::default();
    // A measured electrode over the limit, or a supply earth over the declared one, holds every arrangement alike.
    if site.supply.ze_ohm.is_stated() && dice.chance(0.7) {
        let tt = site.supply.earthing_system.is(EarthingSystem::Tt);
        let ohm = if tt { dice.between(10.0, 190.0) } else { dice.between(0.05, 0.35) };
        site.supply.ze_ohm = Reading::of(ohm);
    }
    // A length in doubt that flips the verdict is settled by the verdict before it designs: here it is plain.
    let parts = [&site.parking.route_indoor_m, &site.parking.route_surface_m, &site.parking.route_buried_m];
    let whole: f64 = parts.iter().filter_map(|part| part.value()).sum();
    if whole < 0.5 {
        site.parking.route_surface_m = Reading::of(dice.between(2.0, 30.0));
    }
    site.parking.parking_distance_m = Reading::default();
    site.identity.tenure = Reading::of(Tenure::Owner);
    site.parking.covered_parking = Reading::of(false);
    site.permissions.consent_status = Reading::of(ConsentStatus::Granted);
    site.permissions.wayleave_status = Reading::of(ConsentStatus::NotNeeded);
    site.permissions.listed = Reading::of(false);
    site.permissions.asbestos_on_route = Reading::of(false);
    site.parking.storeys = Reading::of(2.0);
    site
}

/// Rules that change the game, by name.
pub fn rules_named(name: &str) -> Rules {
    let mut rules = default_rules().clone();
    let circuit = &mut rules.circuit;
    match name {
        "default" => {}
        "breaker alone disconnects" => circuit.rcd_as_fault_protection = false,
        "no answer to an open PEN" => {
            for point in &mut rules.charge_point {
                point.answers_open_pen = false;
            }
        }
        "no separate device either" => {
            rules = rules_named("no answer to an open PEN");
            rules.circuit.allow_open_pen_device = false;
        }
        "thermoplastic too" => circuit.cable_families.push(CableFamily::ArmouredPvc),
        "thermoplastic only" => circuit.cable_families = vec![CableFamily::TwinAndEarth, CableFamily::ArmouredPvc],
        "tray" => rules.route.armoured_above_ground = AboveGround::Tray,
        "one layer, warm dry ground" => {
            rules.route.armoured_above_ground = AboveGround::SingleLayer;
            rules.route.ground_c = 24.0;
            rules.route.soil_k_m_per_w = 2.8;
            rules.route.depth_m = 0.9;
        }
        "curve C" => circuit.curve = "C".into(),
        "device at the setting" => {
            circuit.device_for_setting = vec![[32.0, 32.0], [25.0, 25.0], [20.0, 20.0], [16.0, 16.0]];
        }
        "method 103" => rules.route.twin_and_earth_in_insulation = InInsulation::M103,
        "voltage monitoring" => {
            for point in &mut rules.charge_point {
                point.open_pen_method = "voltage".into();
            }
        }
        // More points or a higher setting, where both are ready.
        "fewer points may do" => {
            rules.effects.insert("fewer-points-half".into(), "step".into());
            rules.shared.accept_share = 0.3;
        }
        // Remarks that a larger size, another make-up or another device can avoid count for more.
        "remarks count" => {
            circuit.device_for_setting = vec![[32.0, 32.0], [25.0, 25.0], [20.0, 25.0], [16.0, 20.0]];
            for point in &mut rules.charge_point {
                point.open_pen_method = "voltage".into();
            }
            for code in ["rcd-disconnects", "open-pen-voltage", "terminal-capacity", "joint-between-families"] {
                rules.effects.insert(code.into(), "holds".into());
            }
        }
        other => panic!("no rules named {other}"),
    }
    rules
}
