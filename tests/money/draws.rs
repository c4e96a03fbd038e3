//! The doubt of a portfolio against a plain simulation of it: every price, hour and quantity drawn, multiplied and added.
//!
//! The simulation knows nothing of moments. Each figure is drawn from its own beta distribution (inverted from its
//! density on a grid) at a standard normal z = sqrt(e) E + sqrt(s) S + sqrt(1 - e - s) own: E one for the cause
//! everywhere, S one for the cause at the site. A million draws put a percentile within about 0.1 %; the aim is 0.5 %.

use crate::splitmix::Splitmix;
use baywright::design::{arrangements, facts};
use baywright::estimate::{Cause, Doubt, Estimate, Place, PriceBook, Shares, estimate};
use baywright::quantity::Band;
use baywright::rules::default_rules;
use baywright::site::{GroundSurface, ParkingType, Premises, Reading, Site};
use rayon::prelude::*;

/// Draws; without optimisation fewer, and a wider aim.
const DRAWS: usize = if cfg!(debug_assertions) { 20_000 } else { 1_000_000 };
const AIM: f64 = if cfg!(debug_assertions) { 0.02 } else { 0.005 };
const STREAMS: usize = 50;

/// A figure by its inverse distribution, over z.
struct Figure {
    cause: usize,
    values: Vec<f32>,
}

const STEP: f64 = 0.005;
const FURTHEST: f64 = 5.0;

impl Figure {
    fn of(cause: Cause, points: Band) -> Figure {
        let span = points.high - points.low;
        let (a, b) = (4.0 * (points.likely - points.low) / span, 4.0 * (points.high - points.likely) / span);
        let cells = 20_000;
        let mut running = vec![0.0];
        for at in 0..cells {
            let x = (at as f64 + 0.5) / cells as f64;
            running.push(running[at] + x.powf(a) * (1.0 - x).powf(b));
        }
        let all = running[cells];
        let steps = (2.0 * FURTHEST / STEP) as usize;
        let values = (0..=steps + 1).map(|step| {
            let z = step as f64 * STEP - FURTHEST;
            let wanted = all * 0.5 * libm::erfc(-z / std::f64::consts::SQRT_2);
            let at = running.partition_point(|sum| *sum < wanted).clamp(1, cells);
            let within = (wanted - running[at - 1]) / (running[at] - running[at - 1]);
            (points.low + span * (at as f64 - 1.0 + within) / cells as f64) as f32
        });
        Figure { cause: cause as usize, values: values.collect() }
    }

    fn at(&self, z: f64) -> f64 {
        let place = (z.clamp(-FURTHEST, FURTHEST) + FURTHEST) / STEP;
        let at = place as usize;
        let (low, high) = (f64::from(self.values[at]), f64::from(self.values[at + 1]));
        low + (high - low) * (place - at as f64)
    }
}

/// A line: what is not in doubt multiplied, and the figures that are.
struct Line {
    factor: f64,
    figures: Vec<Figure>,
}

fn line(figures: impl IntoIterator<Item = (Cause, Band)>, share: f64) -> Line {
    let mut line = Line { factor: share, figures: Vec::new() };
    for (cause, points) in figures {
        if points.high > points.low {
            line.figures.push(Figure::of(cause, points));
        } else {
            line.factor *= points.likely;
        }
    }
    line
}

/// How much more a trench costs or takes for a depth in doubt, as a figure of the ground: the hours of digging go with
/// the depth whole, the price of a trench by a share of it (worked anew from the rows of the price book).
fn deeper(item: &str, book: &PriceBook) -> Option<(Cause, Band)> {
    let (surface, share) = match item.split_once('-') {
        Some(("dig", surface)) => (surface, 1.0),
        Some(("trench", surface)) => (surface, book.by_code("trench-depth-share")?.figure.likely),
        _ => return None,
    };
    let depth = book.by_code(&format!("trench-depth-{surface}"))?.figure;
    let priced_m = book.by_code(&format!("trench-priced-depth-{surface}"))?.figure.likely;
    let factor = |metres: f64| 1.0 - share + share * metres / priced_m;
    Some((Cause::Ground, Band::new(factor(depth.low), factor(depth.likely), factor(depth.high))))
}

fn lines(found: &Estimate, book: &PriceBook) -> Vec<Line> {
    let bill = found.bill.iter().map(|bill| {
        let row = book.by_code(bill.item).unwrap();
        let quantity = std::iter::once((Cause::Survey, bill.quantity));
        line(quantity.chain(deeper(bill.item, book)).chain(book.figures_of(row)), 1.0)
    });
    let tasks = found.tasks.iter().map(|task| {
        let row = book.by_code(task.task).unwrap();
        let share = task.hours.likely / (task.count.likely * row.figure.likely);
        let count = std::iter::once((Cause::Survey, task.count));
        line(count.chain(deeper(task.task, book)).chain(book.figures_of(row)), share)
    });
    bill.chain(tasks).collect()
}

/// A home and two shared sites, with lengths in doubt.
fn portfolio() -> Vec<Estimate> {
    let (rules, book) = (default_rules(), PriceBook::default_book());
    let place = |premises: Premises, metres: f64, points: f64, parking: ParkingType, ground: GroundSurface| {
        let mut site = Site::default();
        site.identity.premises_type = Reading::of(premises);
        site.supply.cutout_rating_a = Reading::of(100.0);
        site.load.existing_demand_a = Reading::of(25.0);
        site.parking.parking_distance_m = Reading {
            answer: baywright::site::Answer::Doubtful { low: 0.7 * metres, likely: metres, high: 1.5 * metres },
            column: None,
        };
        site.parking.parking_type = Reading::of(parking);
        site.parking.ground_surface = Reading::of(ground);
        site.wanted.points_wanted = Reading::of(points);
        if !premises.is_home() {
            site.supply.supply_phases = Reading::of(3.0);
            site.supply.agreed_capacity_kva = Reading::of(60.0);
        }
        let (facts, _) = facts(&site, rules);
        let place = Place::of(&site, &facts, rules, book);
        let found = arrangements(&facts, rules);
        estimate(found.first().expect("a design"), &place, book)
    };
    vec![
        place(Premises::House, 14.0, 1.0, ParkingType::Driveway, GroundSurface::Soft),
        place(Premises::House, 25.0, 1.0, ParkingType::Allocated, GroundSurface::Block),
        place(Premises::Block, 40.0, 6.0, ParkingType::Communal, GroundSurface::Tarmac),
        place(Premises::Workplace, 30.0, 4.0, ParkingType::Communal, GroundSurface::Concrete),
    ]
}

/// Normal numbers by the polar method.
struct Normals {
    source: Splitmix,
    spare: Option<f64>,
}

impl Normals {
    fn next(&mut self) -> f64 {
        if let Some(spare) = self.spare.take() {
            return spare;
        }
        loop {
            let mut even = || self.source.next() as f64 / u64::MAX as f64 * 2.0 - 1.0;
            let (x, y) = (even(), even());
            let square = x * x + y * y;
            if square > 0.0 && square < 1.0 {
                let by = (-2.0 * square.ln() / square).sqrt();
                self.spare = Some(y * by);
                return x * by;
            }
        }
    }
}

/// The total of every site in every draw; the portfolio's last.
fn simulated(sites: &[Vec<Line>], shares: &[Shares; 7]) -> Vec<Vec<f64>> {
    let streams: Vec<Vec<Vec<f64>>> = (0..STREAMS)
        .into_par_iter()
        .map(|stream| {
            let mut normals = Normals { source: Splitmix(0xBA7 + stream as u64), spare: None };
            let mut totals = vec![Vec::with_capacity(DRAWS / STREAMS); sites.len() + 1];
            for _ in 0..DRAWS / STREAMS {
                let everywhere: [f64; 7] = std::array::from_fn(|_| normals.next());
                let mut whole = 0.0;
                for (at, lines) in sites.iter().enumerate() {
                    let here: [f64; 7] = std::array::from_fn(|_| normals.next());
                    let mut site = 0.0;
                    for line in lines {
                        let mut cost = line.factor;
                        for figure in &line.figures {
                            let Shares { everywhere: e, site: s } = shares[figure.cause];
                            let z = e.sqrt() * everywhere[figure.cause]
                                + s.sqrt() * here[figure.cause]
                                + (1.0 - e - s).sqrt() * normals.next();
                            cost *= figure.at(z);
                        }
                        site += cost;
                    }
                    whole += site;
                    totals[at].push(site);
                }
                totals[sites.len()].push(whole);
            }
            totals
        })
        .collect();
    let mut all = vec![Vec::new(); sites.len() + 1];
    for stream in streams {
        for (all, part) in all.iter_mut().zip(stream) {
            all.extend(part);
        }
    }
    all
}

#[test]
fn percentiles_are_those_of_a_million_draws() {
    let book = PriceBook::default_book();
    let found = portfolio();
    let sites: Vec<Vec<Line>> = found.iter().map(|site| lines(site, book)).collect();
    let mut doubts: Vec<Doubt> = found.iter().map(|site| site.doubt).collect();
    doubts.push(found.iter().map(|site| &site.doubt).sum());
    let drawn = simulated(&sites, book.shares());
    let mut far = Vec::new();
    for (at, (doubt, mut totals)) in doubts.iter().zip(drawn).enumerate() {
        totals.sort_by(f64::total_cmp);
        let count = totals.len() as f64;
        let mean = totals.iter().sum::<f64>() / count;
        let deviation = (totals.iter().map(|total| (total - mean).powi(2)).sum::<f64>() / count).sqrt();
        let mut hold = |what: &str, ours: f64, theirs: f64| {
            let off = ours / theirs - 1.0;
            println!("{at} {what}: {ours:.2} against {theirs:.2}, {:+.3} %", off * 100.0);
            if off.abs() > AIM {
                far.push(format!("{at} {what}: {:+.3} %", off * 100.0));
            }
        };
        hold("mean", doubt.mean(), mean);
        for share in [0.1, 0.5, 0.8, 0.9] {
            hold(&format!("P{:.0}", share * 100.0), doubt.percentile(share), totals[(share * count) as usize]);
        }
        println!("{at} deviation: {:.2} against {deviation:.2}", doubt.deviation());
    }
    assert!(far.is_empty(), "{}", far.join("\n"));
}
