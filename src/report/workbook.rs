//! The workbook as a whole: sheets in the order of the tabs, long sheets written side by side on threads, the same
//! bytes whatever their number. It knows no destination: the bytes go to a writer.

use super::extent::Extent;
use super::formats::Formats;
use super::grid::{GREATEST_ROWS, names};
use super::writer::{PageMarks, fill};
use super::{
    Run, cluster_chart, clusters, figures, named, page_writer, programme, summary, tabs, try_site::TrySite, weights,
};
use crate::hush::caught;
use jiff::civil::Date;
use rayon::prelude::*;
use rust_xlsxwriter::{DocProperties, ExcelDateTime, Workbook, Worksheet, XlsxError};
use std::io::Write;

/// Compression of the file. Measured at 10 000 sites, the tight level takes twice the time of the quick one for the
/// whole workbook and halves its size; a small workbook is written at once either way.
const TIGHT: u8 = 6;
const QUICK: u8 = 1;
/// Sites up to which a workbook is packed tight.
const TIGHT_UP_TO: usize = 2_000;

/// The compression level of a workbook of this many sites, 1 to 9; a benchmark takes the same.
pub fn compression_level(sites: usize) -> u8 {
    if sites <= TIGHT_UP_TO { TIGHT } else { QUICK }
}

/// Why a workbook could not be written.
#[derive(Debug, thiserror::Error)]
pub enum WorkbookError {
    /// The workbook library refused something or could not write.
    #[error("the workbook cannot be written: {0}")]
    Refused(#[from] XlsxError),
    /// A folder ran full.
    #[error(
        "there is no space left for the workbook: the folder for temporary files ({0}) or that of the result is full. \
         Free some space, or name another folder for temporary files with TMPDIR"
    )]
    Full(String),
    /// Writing broke off within the library.
    #[error("writing the workbook broke off: {0}")]
    BrokeOff(String),
}

/// Writes the workbook of `run`.
///
/// # Errors
/// When the library refuses a cell (which a test would show) or when the disk for temporary files or of the writer is
/// full.
pub fn write_workbook(run: &Run<'_>, writer: impl Write + Send) -> Result<(), WorkbookError> {
    guarded(|| write(run, writer))
}

/// Runs the library's work. It ends a failed write to its temporary files with a panic; nothing of ours is left half
/// done by it, since every value it touches is dropped here.
pub(super) fn guarded(work: impl FnOnce() -> Result<(), XlsxError>) -> Result<(), WorkbookError> {
    match caught(work) {
        Ok(done) => done.map_err(WorkbookError::from),
        Err(cause) => {
            let words = cause.downcast_ref::<String>().map(String::as_str).or(cause.downcast_ref::<&str>().copied());
            let words = words.unwrap_or("no reason was given");
            if words.contains("StorageFull") || words.contains("No space left") || words.contains("QuotaExceeded") {
                return Err(WorkbookError::Full(std::env::temp_dir().display().to_string()));
            }
            Err(WorkbookError::BrokeOff(words.to_owned()))
        }
    }
}

/// Sheets in the order in which threads take them: the work is split in the middle, and Findings alone is about as long
/// as Materials, Labour, Design and Ranking together.
const BALANCED_ORDER: [&str; 25] = [
    names::FINDINGS,
    names::TRY_DATA,
    names::AS_READ,
    names::JOINED_FILES,
    names::ASSUMPTIONS,
    names::MATERIALS,
    names::LABOUR,
    names::GAPS,
    names::CLUSTER_SITES,
    names::CLUSTERS,
    names::PROGRAMME_SITES,
    names::CREWS_BY_WEEK,
    names::POINTS_AND_SPEND,
    names::CUTTING,
    names::ORDER,
    names::BID,
    names::RATES,
    names::TENDER,
    names::SHARED_SUPPLIES,
    names::VEHICLES,
    names::VISITS,
    names::MOVED,
    names::SCENARIOS,
    names::DESIGN,
    names::RANKING,
];

fn write(run: &Run<'_>, writer: impl Write + Send) -> Result<(), XlsxError> {
    let extent = Extent::of(run);
    let marks = PageMarks { file: run.intake.source.name.clone(), date: figures::date(run.as_of) };
    let mut workbook = Workbook::new();
    workbook.set_zip_compression_level(compression_level(extent.ranked));
    workbook.set_properties(&properties(run, "assessed for electric-vehicle charging"));
    let formats = Formats::register(&mut workbook);
    let print = page_writer::Print { subject: names::SUMMARY, sheets: page_writer::Sheets::One };
    let page_one = summary::page(run, extent);
    page_writer::fill(workbook.add_worksheet(), names::SUMMARY, &page_one, &print, &marks)?;
    named::define_of_page(&mut workbook, names::SUMMARY, &page_one)?;
    if let Some(found) = run.programme {
        let print = page_writer::Print { subject: names::PROGRAMME, sheets: page_writer::Sheets::Any };
        let (page, drawn_at) = programme::page(run, found);
        let worksheet = workbook.add_worksheet();
        page_writer::fill(worksheet, names::PROGRAMME, &page, &print, &marks)?;
        programme::draw(worksheet, found, drawn_at)?;
    }
    let tried = TrySite::of(run, extent);
    let mut sheets = tabs::sheets(run, extent);
    let mut try_tables = None;
    sheets.extend(tried.as_ref().map(TrySite::data_sheet));
    let mut places = Vec::with_capacity(sheets.len() + 3);
    for sheet in sheets {
        // Bars hold the figures that they draw, so the sheet under them is kept until the end.
        let worksheet = match sheet.name {
            names::CLUSTERS | names::POINTS_AND_SPEND => Worksheet::new(),
            _ => workbook.new_worksheet_with_constant_memory()?,
        };
        let name = sheet.name;
        places.push((worksheet, Some(sheet), Ok(())));
        match (name, &tried) {
            (names::RANKING, _) if extent.live > 0 => {
                places.push((weights::sheet(run, extent, &mut workbook, &marks)?, None, Ok(())));
            }
            (names::FINDINGS, Some(tried)) => {
                let (page, tables) = tried.sheets(&mut workbook, &marks)?;
                places.push((page, None, Ok(())));
                try_tables = Some(tables);
            }
            _ => {}
        }
    }
    // The tables stand last.
    places.extend(try_tables.map(|tables| (tables, None, Ok(()))));
    let mut in_order: Vec<_> = places.iter_mut().collect();
    in_order.sort_by_key(|(_, sheet, _)| {
        // Those that are not named, one an operator, come last.
        let place = |name: &str| BALANCED_ORDER.iter().position(|named| *named == name).unwrap_or(BALANCED_ORDER.len());
        sheet.as_ref().map(|sheet| place(sheet.name))
    });
    in_order.into_par_iter().with_max_len(1).for_each(|(worksheet, sheet, outcome)| {
        if let Some(sheet) = sheet.take() {
            let drawn = clusters::drawn(run).filter(|_| sheet.name == names::CLUSTERS);
            let headings = drawn.map(|_| sheet.headings.clone());
            *outcome = fill(worksheet, sheet, &formats, &marks);
            if let (Ok(()), Some(drawn), Some(headings)) = (&outcome, drawn, headings) {
                let rows = u32::try_from(run.portfolio.clusters.len().min(GREATEST_ROWS)).unwrap_or(u32::MAX);
                *outcome = cluster_chart::draw(worksheet, &headings, (drawn, rows), clusters::DRAWN_COLUMNS);
            }
        }
    });
    for (worksheet, _, outcome) in places {
        outcome?;
        workbook.push_worksheet(worksheet);
    }
    workbook.save_to_writer(writer)
}

/// Properties of a workbook that holds `what` of the spreadsheet.
pub(super) fn properties(run: &Run<'_>, what: &str) -> DocProperties {
    let properties = DocProperties::new()
        .set_title(format!("{}, {what}", run.intake.source.name))
        .set_subject("Feasibility of electric-vehicle charging, site by site")
        .set_keywords("electric-vehicle charging, feasibility, ready, marginal, blocked")
        .set_comment("A desk-top screen: a qualified designer verifies each site before work.")
        .set_custom_property("Baywright version", run.version)
        .set_custom_property("Spreadsheet SHA-256", run.inputs.portfolio.sha256.as_str())
        .set_custom_property("Rules SHA-256", run.inputs.rules.sha256.as_str())
        .set_custom_property("Price book SHA-256", run.inputs.price_book.sha256.as_str());
    dated(properties, run.as_of)
}

/// The properties with a day of making, the only clock: the same run gives the same bytes. A day that the file format
/// cannot hold becomes its first.
pub(super) fn dated(properties: DocProperties, day: Date) -> DocProperties {
    let created = ExcelDateTime::from_ymd(
        u16::try_from(day.year()).unwrap_or(1900).max(1900),
        u8::try_from(day.month()).unwrap_or(1),
        u8::try_from(day.day()).unwrap_or(1),
    );
    match created {
        Ok(created) => properties.set_creation_datetime(&created),
        Err(_) => properties,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::fixture::Fixture;
    use calamine::{Data, Reader, Xlsx};
    use std::collections::BTreeMap;
    use std::io::Cursor;

    fn bytes(run: &Run<'_>) -> Vec<u8> {
        let mut bytes = Vec::new();
        write_workbook(run, &mut bytes).expect("a workbook");
        bytes
    }

    fn read(bytes: &[u8]) -> BTreeMap<String, Vec<Vec<String>>> {
        let mut book: Xlsx<_> = calamine::open_workbook_from_rs(Cursor::new(bytes)).expect("it opens again");
        let sheets = book.sheet_names();
        let text = |cell: &Data| cell.to_string();
        sheets
            .into_iter()
            .map(|name| {
                let range = book.worksheet_range(&name).expect("a sheet");
                (name, range.rows().map(|row| row.iter().map(text).collect()).collect())
            })
            .collect()
    }

    #[test]
    fn an_independent_reader_finds_every_site_and_every_row() {
        let fixture = Fixture::new(40);
        let run = fixture.run();
        let bytes = bytes(&run);
        if let Ok(path) = std::env::var("BAYWRIGHT_KEEP_WORKBOOK") {
            std::fs::write(path, &bytes).expect("a place to keep it");
        }
        let sheets = read(&bytes);
        assert_eq!(sheets.len(), 16);
        let data_rows = |name: &str| sheets[name].len() - 1;
        assert_eq!(data_rows("Ranking"), 40);
        assert_eq!(data_rows("Design"), 40);
        assert_eq!(data_rows("As read"), run.intake.rows.len());
        let sites = || run.portfolio.sites.iter();
        assert_eq!(data_rows("Findings"), sites().map(|site| site.judgement.findings.len()).sum::<usize>());
        let bill = sites().flat_map(|site| &site.judgement.estimate).map(|estimate| estimate.bill.len()).sum::<usize>();
        assert_eq!(data_rows("Materials"), bill);
        let verdicts = |word: &str| sheets["Ranking"].iter().filter(|row| row[2].starts_with(word)).count();
        let summary = &run.portfolio.summary;
        assert_eq!(verdicts("ready"), summary.ready.count as usize);
        assert_eq!(verdicts("marginal"), summary.marginal.count as usize);
        assert_eq!(verdicts("blocked"), summary.blocked.count as usize);
        let judged = sheets["As read"].iter().filter(|row| row[2] != "set aside").count() - 1;
        assert_eq!(judged + run.intake.set_aside.len(), run.intake.rows.len());
    }

    #[test]
    fn clusters_have_two_sheets_and_bars_of_load_and_capacity() {
        let fixture = Fixture::clustered(40);
        let run = fixture.run();
        let bytes = bytes(&run);
        if let Ok(path) = std::env::var("BAYWRIGHT_KEEP_CLUSTERS") {
            std::fs::write(path, &bytes).expect("a place to keep it");
        }
        let sheets = read(&bytes);
        assert_eq!((sheets.len(), sheets["Clusters"].len()), (18, 3));
        let served: usize = run.portfolio.clusters.iter().map(|cluster| cluster.taken.len()).sum();
        assert_eq!(sheets["Cluster sites"].len(), served + 1);
        let mut archive = zip::ZipArchive::new(Cursor::new(&bytes)).expect("a package");
        // The first chart is that of page one; sheets draw theirs in the order of the tabs.
        let mut part = archive.by_name("xl/charts/chart2.xml").expect("the bars");
        let mut text = String::new();
        std::io::Read::read_to_string(&mut part, &mut text).expect("text");
        for part in [
            "against capacity, kVA",
            "Clusters!$A$2:$A$3",
            "Clusters!$L$2:$L$3",
            "Clusters!$J$2:$J$3",
            "Load uncontrolled, kVA",
            "<c:v>F1</c:v>",
        ] {
            assert!(text.contains(part), "{part}");
        }
        // One full, one striped: they stay apart in black and white.
        assert!(text.contains("<a:solidFill>") && text.contains("<a:pattFill"));
    }

    #[test]
    fn each_operator_has_its_sheet_before_the_order() {
        let mut fixture = Fixture::clustered(40);
        fixture.with_operators();
        let run = fixture.run();
        let bytes = bytes(&run);
        let book: Xlsx<_> = calamine::open_workbook_from_rs(Cursor::new(&bytes)).expect("it opens again");
        let names = book.sheet_names();
        let at = |name: &str| names.iter().position(|other| other == name).expect(name);
        let operators = ["Operator 12", "Operator 24", "Operator NI", "Operator unknown"];
        let places: Vec<usize> = operators.iter().map(|name| at(name)).collect();
        assert_eq!(places, (at("Cluster sites") + 1..at("Cluster sites") + 5).collect::<Vec<_>>());
        assert!(at("Operator unknown") < at("Bid") && at("Bid") < at("Order schedule"));
        let sheets = read(&bytes);
        let rows: usize = operators.iter().map(|name| sheets[*name].len() - 1).sum();
        let told: usize = run.schedules.expect("some").tables.iter().map(|table| table.entries.len()).sum();
        assert_eq!(rows, told);
    }

    #[test]
    fn the_same_run_gives_the_same_bytes_on_one_thread_and_on_four() {
        let mut fixture = Fixture::clustered(25);
        fixture.with_operators();
        let run = fixture.run();
        let on = |threads| {
            let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("a pool");
            pool.install(|| bytes(&run))
        };
        assert!(on(1) == on(4), "the bytes differ");
        assert!(on(4) == bytes(&run), "the bytes differ");
    }

    #[test]
    fn a_programme_has_a_page_with_its_lines_and_three_sheets() {
        let fixture = Fixture::scheduled(40);
        let run = fixture.run();
        let bytes = bytes(&run);
        let sheets = read(&bytes);
        assert_eq!(sheets.len(), 20);
        assert_eq!(sheets["Programme sites"].len(), 41);
        let mut archive = zip::ZipArchive::new(Cursor::new(&bytes)).expect("a package");
        let mut text = String::new();
        let mut part = archive.by_name("xl/charts/chart2.xml").expect("the lines");
        std::io::Read::read_to_string(&mut part, &mut text).expect("text");
        for part in ["'Points and spend'!$E$2", "'Points and spend'!$F$2", "Points so far (left)", "<a:prstDash"] {
            assert!(text.contains(part), "{part}");
        }
    }

    #[test]
    fn nothing_at_all_still_makes_a_workbook() {
        let fixture = Fixture::new(0);
        let run = fixture.run();
        assert_eq!(read(&bytes(&run)).len(), 10);
    }

    #[test]
    fn text_that_looks_like_a_formula_stays_text() {
        let mut fixture = Fixture::new(3);
        fixture.portfolio.sites[0].judgement.brief.address = "=1+1".into();
        fixture.portfolio.sites[0].judgement.next_step = "@SUM(A1)".into();
        fixture.portfolio.sites[0].judgement.odds =
            Some(crate::verdict::Odds { ready: f64::NAN, ..Default::default() });
        let run = fixture.run();
        let sheets = read(&bytes(&run));
        assert_eq!(sheets["Ranking"][1][3], "=1+1");
        assert!(sheets["Ranking"][1].contains(&"@SUM(A1)".to_owned()));
        assert!(!sheets["Ranking"][1].iter().any(|cell| cell.eq_ignore_ascii_case("nan")));
    }
}
