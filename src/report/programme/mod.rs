//! The programme in the workbook: a page for whoever decides, the crews week by week as bars, points and spend week by
//! week, every site with its dates or why it is left out; and the same for programs. How it was found it does not know.

mod bars;
mod page;
mod record;
mod sites;
mod weekly;
mod words;

pub use record::{
    DoneRecord, GainRecord, LeftOutRecord, PeriodRecord, ProgrammeRecord, ShareRecord, StayRecord, WeekRecord,
};

pub(super) use bars::sheet as bars_sheet;
pub(super) use page::page;
pub(super) use record::record;
pub(super) use sites::sheet as sites_sheet;
pub(super) use weekly::{draw, sheet as weekly_sheet};
pub(super) use words::line;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::fixture::Fixture;
    use crate::report::grid::Cell;

    #[test]
    fn every_site_stands_once_with_its_dates_or_why_it_is_left_out() {
        let fixture = Fixture::scheduled(40);
        let run = fixture.run();
        let programme = run.programme.expect("a programme");
        let sheet = sites_sheet(&run, programme);
        let column = |title: &str| sheet.headings.iter().position(|heading| heading.title == title).expect("a column");
        let (finished, site, why) = (column("Finished"), column("Site"), column("Left out because"));
        let rows: Vec<_> = sheet.rows.collect();
        let mut sites: Vec<String> = rows.iter().map(|row| row[site].shown()).collect();
        sites.sort();
        sites.dedup();
        assert_eq!((rows.len(), sites.len()), (40, 40));
        let done = programme.laid.done.len();
        assert!(done > 5 && done < 35, "{done}");
        for (place, row) in rows.iter().enumerate() {
            let dated = matches!(row[finished], Cell::Date(_));
            assert_eq!(dated, place < done, "{row:?}");
            assert_ne!(dated, row[why] != Cell::Blank, "{row:?}");
        }
        let said = |words: &str| rows.iter().filter(|row| row[why].shown().starts_with(words)).count();
        assert_eq!(said("the programme file leaves it out"), 1);
        assert!(said("blocked") > 0);
    }

    #[test]
    fn page_sheets_and_document_add_up_to_the_same() {
        let fixture = Fixture::scheduled(40);
        let run = fixture.run();
        let programme = run.programme.expect("a programme");
        let (points, cost) = words::totals(programme);
        let record = record(&run).expect("a record");
        assert_eq!(record.periods.iter().map(|period| period.points).sum::<u32>(), points);
        let spent: f64 = record.periods.iter().map(|period| period.spent_gbp).sum();
        assert!((spent - cost.pounds()).abs() < 0.005, "{spent}");
        let last = record.weeks.last().expect("weeks");
        assert_eq!(last.points_so_far, points);
        assert!((last.spent_so_far_gbp - spent).abs() < 0.005);
        assert_eq!(record.done.len() + record.left_out.len(), 40);
        assert!(record.worth <= record.bound + 1e-9 && record.worth > 0.0);
        let days: f64 = record.stays.iter().map(|stay| stay.days).sum();
        let weekly = weekly_sheet(programme);
        let crews = weekly.headings.len() - programme.planned.plan.crews.len();
        let shown: f64 = weekly
            .rows
            .flat_map(|row| row.into_iter().skip(crews))
            .map(|cell| match cell {
                Cell::Number(days) => days,
                _ => 0.0,
            })
            .sum();
        assert!((days - shown).abs() < 1e-9 && days > 0.0, "{days} {shown}");
        let title = format!("{:?}", page(&run, programme).0.lines.first());
        assert!(title.contains(&format!("Programme: {} sites with {points} points", record.done.len())), "{title}");
        assert!(line(&run).starts_with(&format!("Programme: {} of 40 sites, {points} points", record.done.len())));
    }
}
