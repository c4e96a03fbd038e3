//! Sheets Clusters and Cluster sites: what the sites on one length of network take together, against what it can carry;
//! their words stand in `cluster_words`. How anything was found it does not know.

use super::Run;
use super::cluster_words::{base_words, capacity_words, control_words, first_over, flag_words, talk_words, turn_words};
use super::extent::Extent;
use super::grid::{Cell, Form, Heading, Paper, Row, Rows, Sheet, folded, heading, names};
use super::stands;
use crate::portfolio::{Cluster, Ranked, Taken};
use crate::quantity::round_to;

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
        rows: Rows::of(run.portfolio.clusters.iter(), move |cluster| of_cluster(run, cluster)),
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
        capacity_words(cluster).into(),
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
        served.filter_map(move |(order, taken)| Some((cluster, order, taken, run.portfolio.sites.get(taken.place)?)))
    });
    Sheet {
        name: names::CLUSTER_SITES,
        subject: "Cluster sites: the load of each cluster after each site, in the order served",
        headings: site_headings(),
        frozen: 4,
        printed: None,
        paper: Paper::A3,
        rows: Rows::of(rows, move |(cluster, order, taken, site)| of_site(cluster, (order, taken), site)),
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
        heading("Verdict alone", 14.0, Text),
        heading("With neighbours", 14.0, Text),
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

fn of_site<'a>(cluster: &'a Cluster, (order, taken): (u32, &Taken), site: &'a Ranked) -> Row<'a> {
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
    vec![
        cluster.id.as_str().into(),
        order.into(),
        site.rank.into(),
        stands::on_ranking(site),
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
    ]
}

/// The clusters that are drawn: how many, from the first row under the headings; none where there is nothing to draw.
pub(super) fn drawn(run: &Run<'_>) -> Option<u32> {
    let clusters = u32::try_from(run.portfolio.clusters.len()).unwrap_or(u32::MAX);
    (clusters > 0).then(|| clusters.min(DRAWN))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::fixture::Fixture;
    use crate::site::Verdict;

    /// Forty sites on two feeders, one with a stated capacity.
    fn fixture() -> Fixture {
        Fixture::clustered(40)
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
}
