use baywright::{estimate::PriceBook, rules::*, site::*, verdict::*};
fn main() {
    let ctx = Context {
        rules: default_rules(),
        prices: PriceBook::default_book(),
        stance: Stance::Screen,
        as_of: jiff::civil::date(2026, 11, 25),
    };
    let mk = |r: f64, d: f64, m: f64| {
        let mut s = Site { row: 2, site_id: "H1".into(), ..Site::default() };
        s.supply.cutout_rating_a = Reading::of(r);
        s.load.existing_demand_a = Reading::of(d);
        s.parking.parking_distance_m = Reading::of(m);
        s
    };
    let mut park = mk(100.0, 30.0, 45.0);
    park.identity.premises_type = Reading::of(Premises::Block);
    park.supply.supply_phases = Reading::of(3.0);
    park.wanted.points_wanted = Reading::of(12.0);
    park.parking.parking_type = Reading::of(ParkingType::Communal);
    let mut depot = mk(400.0, 120.0, 60.0);
    depot.identity.premises_type = Reading::of(Premises::Depot);
    depot.supply.agreed_capacity_kva = Reading::of(250.0);
    depot.wanted.points_wanted = Reading::of(24.0);
    depot.wanted.requested_kw = Reading::of(11.0);
    for s in [mk(100.0, 30.0, 12.0), mk(60.0, 48.0, 12.0), mk(60.0, 38.0, 40.0), park.clone(), depot] {
        let j = judge(&s, &ctx);
        println!(
            "== {:?} odds {:?} weeks {:?} waits {:?} next: {}",
            j.verdict, j.odds, j.weeks, j.waits_for, j.next_step
        );
        if let Some(a) = &j.chosen {
            println!(
                "{} A x{} {:?} {:?} dev {:?} runs {:?} len {:.1} Iz {:.1} Vd {:.2} ({:.2}%) Zs {:.3}/{:.2} shared {:?}",
                a.setting_a,
                a.phases,
                a.control,
                a.feed,
                a.device,
                a.runs.iter().map(|r| (r.cable.words(), r.method.word(), r.count)).collect::<Vec<_>>(),
                a.length_m(),
                a.current_capacity_a,
                a.voltage_drop_v,
                a.voltage_drop_percent,
                a.zs_ohm,
                a.zs_limit_ohm,
                a.shared
            );
            println!("works {:?}", a.works);
        }
        for f in &j.findings {
            println!(
                "   {:28} {:?} {:24} {} | v {:?} lim {:?}",
                f.check.name,
                f.effect,
                f.code().unwrap_or("-"),
                f.working(),
                f.value,
                f.limit
            );
        }
        if let Some(e) = &j.estimate {
            println!("  cost {:?} hours {:?} {}", e.cost, e.hours, e.labour_band.word());
            for b in &e.bill {
                println!("      {} {:?} £{:.2} {}", b.item, b.quantity.likely, b.cost.likely.pounds(), b.because);
            }
            for t in &e.tasks {
                println!(
                    "      {} {:.2} h {:.2} £{:.2}",
                    t.task,
                    t.count.likely,
                    t.hours.likely,
                    t.cost.likely.pounds()
                );
            }
        }
        println!("  remedies {:?}", j.remedies);
        println!(
            "  runner {:?}\n  app {:?}\n assumed {:?}\n confirm {:?} decisive {:?}",
            j.runner_up,
            j.with_application,
            j.assumed.iter().map(|a| a.field).collect::<Vec<_>>(),
            j.confirm_first,
            j.decisive_unknowns
        );
    }
    let t = std::time::Instant::now();
    let n = 20000;
    let mut k = 0;
    for i in 0..n {
        let s = mk(60.0 + 20.0 * (i % 3) as f64, 20.0 + (i % 50) as f64, 5.0 + (i % 40) as f64);
        if judge(&s, &ctx).verdict == Verdict::Ready {
            k += 1
        }
    }
    println!("judge {:?} each, {k} ready", t.elapsed() / n);
    let t = std::time::Instant::now();
    for _ in 0..2000 {
        std::hint::black_box(judge(&park, &ctx));
    }
    println!("park {:?}", t.elapsed() / 2000);
}
