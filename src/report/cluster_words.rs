//! The words for clusters, for people and programs: where a figure comes from, what would change it, whom to talk to.

use super::Run;
use super::figures::{count, plain};
use crate::finding::reason;
use crate::portfolio::{Base, Cluster, Flag, Ranked, over_capacity};
use crate::quantity::EXISTING_LOAD_POWER_FACTOR;
use crate::reference::{HomeSize, cluster_figures, home_kw_after_diversity, network_band};

/// How full a cluster is, in words beside the figure.
pub(super) fn flag_words(flag: Flag) -> String {
    let figures = cluster_figures();
    let percent = |share: f64| plain(100.0 * share, 0);
    match flag {
        Flag::Room => format!("room: under {} %", percent(figures.nearly_full)),
        Flag::NearlyFull => format!("nearly full: {} to {} %", percent(figures.nearly_full), percent(figures.full)),
        Flag::Full => format!("full: over {} %", percent(figures.full)),
    }
}

/// From what the base load was found.
pub(super) fn base_words(cluster: &Cluster) -> String {
    match cluster.base {
        Base::Recorded => "the recorded peak; points that are there are in it".to_owned(),
        Base::Customers => "its customers after diversity".to_owned(),
        Base::OwnSites => format!("{} of this portfolio; others are not known", count(cluster.sites.len(), "site")),
    }
}

/// Where a capacity comes from.
pub(super) fn capacity_words(cluster: &Cluster) -> String {
    match (&cluster.capacity.stated, cluster.capacity.assumed) {
        (Some(cell), _) => format!("stated: {}, row {}", cell.file, cell.row),
        (None, Some(band)) => {
            let (low, high) = (plain(band.capacity_kva.low, 0), plain(band.capacity_kva.high, 0));
            let larger = network_band(cluster.customers, 0.0) != band;
            let why = if larger { ", no less than carries what is there" } else { "" };
            format!("assumed: {}{why}, {low} to {high} kVA ({}, {})", band.words, band.status, band.source)
        }
        (None, None) => String::new(),
    }
}

/// The key of the first site that does not fit.
pub(super) fn first_over<'a>(run: &Run<'a>, cluster: &Cluster) -> Option<&'a str> {
    let portfolio = run.portfolio;
    Some(portfolio.sites.get(cluster.first_over()?)?.judgement.brief.site_id.as_str())
}

/// What control as one group, or the lowest setting, would change.
pub(super) fn control_words(cluster: &Cluster) -> String {
    let all = cluster.taken.len();
    let as_planned = cluster.fit(|after| after.uncontrolled_kva);
    if all == 0 {
        return String::new();
    }
    if as_planned == all {
        return "All fit without.".to_owned();
    }
    if !cluster.carries(cluster.base_kva.likely) {
        return match cluster.capacity.assumed {
            Some(_) => "Nothing: the load that is there is more than is assumed.".to_owned(),
            None => "Nothing: the base load alone is over.".to_owned(),
        };
    }
    let (controlled, lower) = (cluster.fit(|after| after.controlled_kva), cluster.fit(|after| after.lower_rate_kva));
    format!(
        "Of {all} sites {controlled} fit controlled as one group, {lower} at {} A a phase, {as_planned} as planned.",
        plain(cluster.lower_rate_a, 0)
    )
}

/// At which end of an assumed capacity the answer would be another, and what else could turn it.
pub(super) fn turn_words(cluster: &Cluster) -> String {
    let (capacity, load) = (cluster.capacity.kva, cluster.load.uncontrolled_kva);
    let [low, likely, high] = [capacity.low, capacity.likely, capacity.high].map(|kva| plain(kva, 0));
    let mut words = match cluster.capacity.assumed {
        None => String::new(),
        Some(_) if load <= capacity.low => format!("Fits even at {low} kVA."),
        Some(_) if cluster.carries(load) => format!("Fits at {likely} kVA, not at {low} kVA."),
        Some(_) if load <= capacity.high => format!("Too much for {likely} kVA; fits only at {high} kVA."),
        Some(_) => format!("Too much even for {high} kVA."),
    };
    if cluster.carries(load) && !cluster.carries(cluster.load.night_tariff_kva) {
        words.push_str(" Over it if all charging begins with a night tariff.");
    }
    if cluster.base == Base::OwnSites && cluster.carries(load) {
        let home_kva = home_kw_after_diversity("", HomeSize::Medium).likely / EXISTING_LOAD_POWER_FACTOR;
        let more = ((capacity.likely - load) / home_kva.max(1e-9)).floor().max(0.0);
        words.push_str(&format!(" About {} further homes on it would fit.", plain(more, 0)));
    }
    words.trim_start().to_owned()
}

/// Whom to talk to before booking, in a sentence or two.
pub(super) fn talk_words(cluster: &Cluster) -> String {
    if cluster.taken.is_empty() {
        return "Nobody: nothing can be installed here yet.".to_owned();
    }
    let mut words = match cluster.flag() {
        _ if cluster.first_over().is_some() => over_capacity().next_step.to_owned(),
        Flag::Room => String::new(),
        Flag::NearlyFull | Flag::Full => {
            "Ask the network operator for the feeder's headroom before booking.".to_owned()
        }
    };
    if cluster.early.due() {
        words = format!("{words} {}", reason("cluster-early-contact").next_step);
    }
    match words.trim() {
        "" => "Nobody beforehand: site by site, as Ranking says.".to_owned(),
        words => words.to_owned(),
    }
}

/// What a site's neighbours, or a car park nearby, add to its next step; empty where nothing.
pub(super) fn beside_words(run: &Run<'_>, ranked: &Ranked) -> String {
    let mut words = String::new();
    if ranked.over_capacity {
        words = format!("With its neighbours: {}", over_capacity().sentence);
    }
    let shared = shared_words(run, ranked);
    if !shared.is_empty() {
        words = format!("{words} Or the home is served by shared points: {shared}.");
    }
    words.trim().to_owned()
}

/// The shared car park of a home without a space of its own; empty where there is none.
pub(super) fn shared_words(run: &Run<'_>, ranked: &Ranked) -> String {
    let found = ranked.shared_with.and_then(|shared| Some((shared, run.portfolio.sites.get(shared.place)?)));
    let Some((shared, site)) = found else { return String::new() };
    let far = match shared.distance_m {
        Some(metres) => format!("{} m away", plain(metres, 0)),
        None => "in its postcode".to_owned(),
    };
    format!("{}, {far}, {} left after it", site.judgement.brief.site_id, count(shared.points_left as usize, "point"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::fixture::Fixture;

    fn fixture() -> Fixture {
        Fixture::clustered(40)
    }

    #[test]
    fn a_home_is_told_of_the_car_park_and_a_site_of_its_neighbours() {
        let fixture = fixture();
        let run = fixture.run();
        let sites = &run.portfolio.sites;
        let first = &sites[0].judgement.brief.site_id;
        let last = sites.last().expect("sites");
        assert_eq!(shared_words(&run, last), format!("{first}, 120 m away, 3 points left after it"));
        assert!(beside_words(&run, last).contains("served by shared points"));
        let over = sites.iter().find(|site| site.over_capacity).expect("one over");
        assert!(beside_words(&run, over).starts_with("With its neighbours: The sites ranked before"));
        assert!(beside_words(&run, &sites[0]).is_empty());
    }

    #[test]
    fn whom_to_talk_to_goes_by_load_and_by_what_is_planned() {
        let fixture = fixture();
        let cluster = |id: &str| fixture.portfolio.clusters.iter().find(|one| one.id == id).expect("a cluster").clone();
        let mut one = cluster("F1");
        assert!(talk_words(&one).starts_with(over_capacity().next_step));
        assert!(talk_words(&one).ends_with(reason("cluster-early-contact").next_step), "a fifth of 80 customers");
        one.capacity.kva = crate::quantity::Band::exact(1e4);
        assert_eq!(talk_words(&one), reason("cluster-early-contact").next_step);
        one.early = crate::portfolio::Early::default();
        assert_eq!(talk_words(&one), "Nobody beforehand: site by site, as Ranking says.");
        one.capacity.kva = crate::quantity::Band::exact(one.load.uncontrolled_kva / 0.8);
        assert!(talk_words(&one).contains("headroom"));
        one.taken.clear();
        assert!(talk_words(&one).starts_with("Nobody: nothing") && control_words(&one).is_empty());
    }

    #[test]
    fn a_larger_feeder_is_assumed_only_with_its_reason() {
        let mut cluster = fixture().portfolio.clusters.iter().find(|one| one.id == "F2").expect("F2").clone();
        assert!(capacity_words(&cluster).starts_with("assumed: typical feeder, 100 to 400 kVA (memory"));
        cluster.capacity.assumed = Some(network_band(None, 300.0));
        assert!(
            capacity_words(&cluster).starts_with("assumed: share of a substation, no less than carries what is there")
        );
    }

    #[test]
    fn words_say_where_an_assumed_capacity_turns() {
        let fixture = fixture();
        let mut cluster = fixture.portfolio.clusters.iter().find(|cluster| cluster.id == "F2").expect("F2").clone();
        let mut at = |load: f64| {
            cluster.load.uncontrolled_kva = load;
            cluster.load.night_tariff_kva = load;
            cluster.base = Base::Customers;
            turn_words(&cluster)
        };
        assert_eq!(at(99.0), "Fits even at 100 kVA.");
        assert_eq!(at(150.0), "Fits at 200 kVA, not at 100 kVA.");
        assert_eq!(at(201.0), "Too much for 200 kVA; fits only at 400 kVA.");
        assert_eq!(at(401.0), "Too much even for 400 kVA.");
        cluster.load.uncontrolled_kva = 150.0;
        (cluster.load.night_tariff_kva, cluster.base) = (210.0, Base::OwnSites);
        // 50 kVA left are 31 homes of 1.5 kW at 0.95.
        let words = turn_words(&cluster);
        assert!(words.contains("night tariff") && words.contains("About 31 further homes"), "{words}");
    }
}
