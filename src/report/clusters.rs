//! Sheets Clusters and Cluster sites: what the sites on one length of network take together, against what it can carry;
//! the words for it, for people and programs. How anything was found it does not know.

use super::Run;
use super::extent::Extent;
use super::figures::{count, plain};
use super::grid::{Cell, Form, GREATEST_ROWS, Heading, Paper, Row, Sheet, folded, heading, names};
use crate::finding::reason;
use crate::portfolio::{Base, Capacity, Cluster, Flag, Ranked, Taken, over_capacity};
use crate::quantity::{EXISTING_LOAD_POWER_FACTOR, round_to};
use crate::reference::{HomeSize, cluster_figures, home_kw_after_diversity};

/// Clusters drawn, those with the greatest load.
const DRAWN: u32 = 12;
/// Columns of the names, the load and the capacity that are drawn.
pub(super) const DRAWN_COLUMNS: [u16; 3] = [0, 11, 9];

/// The sheet of the clusters.
pub(super) fn sheet<'a>(run: &'a Run<'a>) -> Sheet<'a> {
    let headings = headings();
    let in_sight = headings.iter().filter(|heading| !heading.folds).count();
    Sheet {
        name: names::CLUSTERS,
        subject: "Clusters: load with all planned charging against capacity, greatest load first",
        headings,
        frozen: 1,
        printed: u16::try_from(in_sight).ok(),
        paper: Paper::A3,
        rows: Box::new(run.portfolio.clusters.iter().map(move |cluster| of_cluster(run, cluster))),
    }
}

fn headings() -> Vec<Heading<'static>> {
    use Form::{Percent, Tenths, Text, Whole, Wrapped};
    vec![
        heading("Cluster", 14.0, Text),
        heading("Grouped by", 9.0, Text),
        heading("How full", 17.0, Wrapped),
        heading("Sites", 6.5, Whole),
        heading("Points planned", 8.0, Whole),
        heading("Points there", 7.0, Whole),
        heading("Customers", 10.0, Whole),
        heading("Base load, kVA", 8.5, Tenths),
        heading("Base load from", 21.0, Wrapped),
        heading("Capacity, kVA", 9.0, Tenths),
        heading("Capacity from", 24.0, Wrapped),
        heading("Load uncontrolled, kVA", 12.0, Tenths),
        heading("Load at a night tariff, kVA", 10.5, Tenths),
        heading("Load controlled, kVA", 10.5, Tenths),
        heading("Load at lowest setting, kVA", 10.5, Tenths),
        heading("Capacity used", 8.5, Percent),
        heading("Sites that fit", 7.0, Whole),
        heading("First that does not", 11.0, Text),
        heading("What control changes", 32.0, Wrapped),
        heading("Where it turns", 32.0, Wrapped),
        heading("Planned in one postcode", 9.0, Whole),
        heading("Planned close together", 9.0, Whole),
        heading("Of the customers", 10.0, Percent),
        heading("Whom to talk to", 44.0, Wrapped),
        folded("Homes", 7.0, Whole),
        folded("Heat pumps", 7.0, Whole),
        folded("Base, low kVA", 8.0, Tenths),
        folded("Base, high kVA", 8.0, Tenths),
        folded("Capacity, low kVA", 9.0, Tenths),
        folded("Capacity, high kVA", 9.0, Tenths),
    ]
}

fn of_cluster<'a>(run: &'a Run<'a>, cluster: &'a Cluster) -> Row<'a> {
    let early = &cluster.early;
    let whole = |number: usize| Cell::Int(i64::try_from(number).unwrap_or(i64::MAX));
    let known = |number: Option<u32>| number.map_or(Cell::Blank, Cell::from);
    let (load, base, capacity) = (&cluster.load, cluster.base_kva, cluster.capacity.kva);
    vec![
        cluster.id.as_str().into(),
        cluster.grouped.word().into(),
        flag_words(cluster.flag()).into(),
        whole(cluster.sites.len()),
        cluster.points.into(),
        cluster.existing_points.into(),
        known(cluster.customers),
        kva(base.likely),
        base_words(cluster).into(),
        kva(capacity.likely),
        capacity_words(&cluster.capacity).into(),
        kva(load.uncontrolled_kva),
        kva(load.night_tariff_kva),
        kva(load.controlled_kva),
        kva(load.lower_rate_kva),
        Cell::Percent(cluster.share()),
        whole(cluster.fit(|after| after.uncontrolled_kva)),
        first_over(run, cluster).unwrap_or_default().into(),
        control_words(cluster).into(),
        turn_words(cluster).into(),
        known(early.in_postcode),
        known(early.nearby),
        early.of_customers.map_or(Cell::Blank, Cell::Percent),
        talk_words(cluster).into(),
        cluster.homes.into(),
        cluster.heat_pumps.into(),
        kva(base.low),
        kva(base.high),
        kva(capacity.low),
        kva(capacity.high),
    ]
}

fn kva(load: f64) -> Cell<'static> {
    Cell::Number(round_to(load, 1))
}

/// The sheet of the sites that are served, cluster by cluster in the order in which they are.
pub(super) fn sites_sheet<'a>(run: &'a Run<'a>, extent: Extent) -> Sheet<'a> {
    let rows = run.portfolio.clusters.iter().flat_map(move |cluster| {
        let served = (1..).zip(&cluster.taken).filter(move |(_, taken)| taken.place < extent.detailed);
        served.filter_map(move |(order, taken)| of_site(run, cluster, order, taken))
    });
    Sheet {
        name: names::CLUSTER_SITES,
        subject: "Cluster sites: the load of each cluster after each site, in the order served",
        headings: site_headings(),
        frozen: 4,
        printed: None,
        paper: Paper::A3,
        rows: Box::new(rows),
    }
}

fn site_headings() -> Vec<Heading<'static>> {
    use Form::{Ordinal, Percent, Tenths, Text, Whole, Wrapped};
    vec![
        heading("Cluster", 14.0, Text),
        heading("Order", 6.5, Ordinal),
        heading("Rank", 6.0, Ordinal),
        heading("Site", 11.0, Text),
        heading("Address", 34.0, Wrapped),
        heading("Verdict alone", 12.5, Text),
        heading("With neighbours", 12.5, Text),
        heading("Points", 7.0, Whole),
        heading("At once at most, kW", 9.0, Tenths),
        heading("Load after it, uncontrolled kVA", 12.0, Tenths),
        heading("Load after it, night tariff kVA", 12.0, Tenths),
        heading("Load after it, controlled kVA", 11.0, Tenths),
        heading("Load after it, lowest setting kVA", 12.0, Tenths),
        heading("Capacity, kVA", 9.0, Tenths),
        heading("Capacity used", 8.5, Percent),
        heading("Fits", 34.0, Wrapped),
    ]
}

fn of_site<'a>(run: &'a Run<'a>, cluster: &'a Cluster, order: u32, taken: &Taken) -> Option<Row<'a>> {
    let site = run.portfolio.sites.get(taken.place)?;
    let (judgement, after) = (&site.judgement, &taken.after);
    let carries = |load: f64| cluster.carries(load);
    let fits = match () {
        () if carries(after.uncontrolled_kva) => "yes",
        () if carries(after.lower_rate_kva) && carries(after.controlled_kva) => {
            "only at the lowest setting or controlled"
        }
        () if carries(after.controlled_kva) => "only controlled",
        () if carries(after.lower_rate_kva) => "only at the lowest setting",
        () => "no",
    };
    let row = u32::try_from(taken.place + 2).ok().filter(|row| *row as usize <= GREATEST_ROWS);
    let id = judgement.brief.site_id.as_str();
    Some(vec![
        cluster.id.as_str().into(),
        order.into(),
        site.rank.into(),
        // Sites stand on Ranking in the same order.
        row.map_or(id.into(), |row| Cell::Link { text: id.into(), sheet: names::RANKING, row }),
        judgement.brief.address.as_str().into(),
        Cell::Verdict(judgement.counted_verdict(), judgement.brief.override_verdict.is_some()),
        site.with_neighbours.map_or(Cell::Blank, |verdict| Cell::Verdict(verdict, false)),
        taken.points.into(),
        kva(taken.connected_kw),
        kva(after.uncontrolled_kva),
        kva(after.night_tariff_kva),
        kva(after.controlled_kva),
        kva(after.lower_rate_kva),
        kva(cluster.capacity.kva.likely),
        Cell::Percent(after.uncontrolled_kva / cluster.capacity.kva.likely),
        fits.into(),
    ])
}

/// The clusters that are drawn: how many, from the first row under the headings; none where there is nothing to draw.
pub(super) fn drawn(run: &Run<'_>) -> Option<u32> {
    let clusters = u32::try_from(run.portfolio.clusters.len()).unwrap_or(u32::MAX);
    (clusters > 0).then(|| clusters.min(DRAWN))
}

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

fn base_words(cluster: &Cluster) -> String {
    match cluster.base {
        Base::Recorded => "the recorded peak; points that are there are in it".to_owned(),
        Base::Customers => "its customers after diversity".to_owned(),
        Base::OwnSites => format!("{} of this portfolio; others are not known", count(cluster.sites.len(), "site")),
    }
}

/// Where a capacity comes from.
pub(super) fn capacity_words(capacity: &Capacity) -> String {
    match (&capacity.stated, capacity.assumed) {
        (Some(cell), _) => format!("stated: {}, row {}", cell.file, cell.row),
        (None, Some(band)) => {
            let (low, high) = (plain(band.capacity_kva.low, 0), plain(band.capacity_kva.high, 0));
            format!("assumed: {}, {low} to {high} kVA ({}, {})", band.words, band.status, band.source)
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
    let all_fit = cluster.first_over().is_none() && cluster.carries(cluster.load.uncontrolled_kva);
    let mut words = match cluster.flag() {
        _ if !all_fit => over_capacity().next_step.to_owned(),
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
    use crate::site::Verdict;

    /// Forty sites on two feeders, one with a stated capacity.
    fn fixture() -> Fixture {
        let mut fixture = Fixture::new(40);
        fixture.with_clusters();
        fixture
    }

    #[test]
    fn a_row_has_a_cell_for_every_heading_and_the_drawn_columns_are_load_and_capacity() {
        let fixture = fixture();
        let run = fixture.run();
        let sheet = sheet(&run);
        let title = |column: u16| sheet.headings[usize::from(column)].title.clone();
        assert_eq!(DRAWN_COLUMNS.map(title), ["Cluster", "Load uncontrolled, kVA", "Capacity, kVA"]);
        assert_eq!(sheet.headings[usize::from(sheet.printed.expect("some"))].title, "Homes");
        let columns = sheet.headings.len();
        let rows: Vec<_> = sheet.rows.collect();
        assert_eq!((rows.len(), drawn(&run)), (2, Some(2)));
        assert!(rows.iter().all(|row| row.len() == columns));
        let stated = rows.iter().find(|row| row[0].shown() == "F1").expect("the feeder");
        assert_eq!((stated[9].shown().as_str(), stated[10].shown().as_str()), ("90", "stated: feeders.csv, row 2"));
        assert!(stated[17].shown().starts_with('H') && stated[18].shown().contains("fit controlled as one group"));
        let assumed = rows.iter().find(|row| row[0].shown() == "F2").expect("the other");
        assert!(assumed[10].shown().starts_with("assumed: typical feeder, 100 to 400 kVA (memory"), "{assumed:?}");
        assert!(!assumed[19].shown().is_empty() && !assumed[23].shown().is_empty());
    }

    #[test]
    fn every_site_that_is_served_has_its_row_in_order() {
        let fixture = fixture();
        let run = fixture.run();
        let sheet = sites_sheet(&run, Extent::of(&run));
        let columns = sheet.headings.len();
        let rows: Vec<_> = sheet.rows.collect();
        let not_blocked =
            run.portfolio.sites.iter().filter(|site| site.judgement.counted_verdict() != Verdict::Blocked).count();
        assert_eq!(rows.len(), not_blocked);
        assert!(rows.iter().all(|row| row.len() == columns));
        let load = |row: &Row<'_>| row[9].shown().parse::<f64>().expect("a number");
        for pair in rows.windows(2).filter(|pair| pair[0][0] == pair[1][0]) {
            assert!(load(&pair[1]) >= load(&pair[0]));
        }
        let over = rows.iter().filter(|row| row[15].shown() != "yes").count();
        assert_eq!(over, run.portfolio.sites.iter().filter(|site| site.over_capacity).count());
        assert!(over > 0);
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
