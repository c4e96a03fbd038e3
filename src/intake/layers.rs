//! The portfolio with other files laid over it: each is read like any portfolio, its rows are joined to the sites, its
//! answers laid over theirs in the order in which the files were given. Rows of a file = joined + not joined.

use super::door::read_bytes;
use super::fleets;
use super::join::{Found, Marks, Places};
use super::lay::{Change, Did, lay};
use super::layer::{Fate, Layer, LayerKind, LayerLine};
use super::mapping::check_files;
use super::needed;
use super::parts::{Part, What, parts_of};
use super::preflight::load;
use super::profiles::{self, Series};
use super::promote::promote;
use super::raw::column_letters;
use super::types::{self, Intake, IntakeError, ReadOptions};
use crate::site::{Cited, Conflict, Elsewhere, Site};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Reads a portfolio and the files laid over it.
///
/// # Errors
/// As [`super::read`], for any of the files; a needed column may stand in any of them.
pub fn read_with(main: &Path, with: &[PathBuf], options: &ReadOptions) -> Result<Intake, IntakeError> {
    let files = std::iter::once(main).chain(with.iter().map(PathBuf::as_path));
    let mut loaded = Vec::new();
    for path in files {
        let file =
            path.file_name().map_or_else(|| path.display().to_string(), |name| name.to_string_lossy().into_owned());
        let bytes = load(path).map_err(|problem| IntakeError::File { file: file.clone(), problem })?;
        loaded.push((file, bytes));
    }
    let files: Vec<(&str, &[u8])> = loaded.iter().map(|(file, bytes)| (file.as_str(), bytes.as_slice())).collect();
    match files.split_first() {
        Some((main, with)) => read_bytes_with(*main, with, options),
        None => Err(IntakeError::File { file: String::new(), problem: "no file was named".to_owned() }),
    }
}

/// The same for bytes already in memory, each with the name used in sentences.
///
/// # Errors
/// As [`read_with`].
pub fn read_bytes_with(
    main: (&str, &[u8]),
    with: &[(&str, &[u8])],
    options: &ReadOptions,
) -> Result<Intake, IntakeError> {
    let (file, bytes) = main;
    let part = !with.is_empty();
    let given: Vec<String> = with.iter().map(|(file, _)| (*file).to_owned()).collect();
    check_files(&given, options).map_err(|problem| IntakeError::File { file: file.to_owned(), problem })?;
    let mut intake = read_bytes(bytes, file, &ReadOptions { part, ..options.clone() })?;
    let mut parts = Vec::new();
    if !intake.known_sheets.is_empty() {
        parts.extend(parts_of(bytes, file, Some(&intake.known_sheets), options)?);
    }
    for (file, bytes) in with {
        parts.extend(parts_of(bytes, file, None, options)?);
    }
    if parts.is_empty() {
        return Ok(intake);
    }
    let columns = parts.iter().filter_map(|part| match &part.what {
        What::Survey(read) => Some(read.columns.iter()),
        _ => None,
    });
    let named =
        intake.columns.iter().chain(columns.flatten()).filter_map(|column| column.field.map(|field| field.name));
    let half_hours = parts.iter().any(|part| matches!(part.what, What::HalfHours(_)));
    let named: Vec<&str> = named.chain(half_hours.then_some("recorded_peak_kva")).collect();
    if part && !needed::met(&named) {
        // No file says it: the sentence is that of the portfolio alone.
        read_bytes(bytes, file, options)?;
    }
    let main: Vec<Arc<str>> = (0..intake.sheets.len().max(1))
        .map(|sheet| match u16::try_from(sheet).ok().and_then(|sheet| intake.sheet_name(sheet)) {
            Some(sheet) => Arc::from(format!("{file}, sheet \"{sheet}\"")),
            None => Arc::from(file),
        })
        .collect();
    let mut sites = Sites::of(&mut intake);
    let mut series: Vec<(usize, Series)> = Vec::new();
    let mut layers = Vec::new();
    for part in parts {
        let Part { source, of_portfolio, what } = part;
        let mut layer = Layer { source, of_portfolio, ..Layer::default() };
        match what {
            What::Survey(read) => sites.lay_survey(*read, &main, &mut layer),
            What::HalfHours(read) => {
                layer.kind = LayerKind::HalfHours;
                let number = layers.len();
                let joined = profiles::join(read, &sites.places, &sites.names(), &mut layer);
                series.extend(joined.into_iter().map(|(at, mut own)| {
                    own.layer = number;
                    (at, own)
                }));
            }
            What::Fleet(read) => {
                layer.kind = LayerKind::Fleet;
                let names = sites.names();
                fleets::join_fleet(&read, &sites.places, &names, &mut sites.sites, &mut layer);
            }
            What::Feeders(read) => {
                layer.kind = LayerKind::Feeders;
                fleets::keep_feeders(&read, &sites.sites, &mut intake.feeders, &mut layer);
            }
            What::Later(name, rows) => later(name, rows, &mut layer),
        }
        layers.push(layer);
    }
    profiles::settle(series, &mut sites.sites, &main, &mut layers);
    let Sites { sites, settled, mut waiting, .. } = sites;
    let mut all = sites.into_iter();
    intake.sites = all.by_ref().take(settled).collect();
    for (slot, site) in waiting.iter_mut().zip(all) {
        slot.0 = site;
    }
    promote(&mut intake, waiting);
    intake.newest_date = intake
        .sites
        .iter()
        .filter_map(|site| site.identity.survey_date.likely().copied())
        .chain(intake.newest_date)
        .max();
    for layer in &mut layers {
        layer.lines.sort_by_key(|line| (line.row, line.fate));
    }
    intake.layers = layers;
    Ok(intake)
}

fn later(name: &str, rows: usize, layer: &mut Layer) {
    layer.kind = LayerKind::KnownForLater;
    layer.rows_read = rows;
    let remark = match name {
        "outcomes" => "Known (outcomes): give it to `baywright learn` with --from; nothing else uses it.".to_owned(),
        name => format!("Known ({name}): used by a later version, not by this one."),
    };
    layer.warnings.push(remark.clone());
    if rows > 0 {
        layer.lines.push(LayerLine { rows, ..line(Fate::NotJoined, layer.source.heading_row + 1, remark) });
    }
}

/// A line about a whole row.
pub(super) fn line(fate: Fate, row: u32, remark: String) -> LayerLine {
    LayerLine {
        fate,
        row,
        rows: 0,
        site_id: String::new(),
        site_row: 0,
        site_sheet: 0,
        field: "",
        value: String::new(),
        cell: String::new(),
        against: String::new(),
        against_cell: String::new(),
        remark,
    }
}

/// The sites that rows are joined to: those that can be judged, then those that wait for figures.
struct Sites {
    sites: Vec<Site>,
    /// How many of them can be judged by the portfolio alone.
    settled: usize,
    waiting: Vec<(Site, Vec<types::CellNote>)>,
    places: Places,
    /// Texts of the portfolio's cells by row and column.
    cells: CellTexts,
}

/// Texts by sheet, row and column.
type CellTexts = BTreeMap<(u16, u32), Vec<(u16, String)>>;

impl Sites {
    fn of(intake: &mut Intake) -> Self {
        let mut sites = std::mem::take(&mut intake.sites);
        let settled = sites.len();
        let mut waiting = std::mem::take(&mut intake.waiting);
        sites.extend(waiting.iter_mut().map(|(site, _)| std::mem::take(site)));
        let cells = cells_of(intake);
        let marks = sites
            .iter()
            .map(|site| Marks::of(site, text_at(&cells, (site.sheet, site.row), id_column(intake, site.sheet))))
            .collect();
        Self { sites, settled, waiting, places: Places::of(marks), cells }
    }

    /// The key, sheet and row of each site, for lists.
    fn names(&self) -> Vec<(String, u16, u32)> {
        self.sites.iter().map(|site| (named(site), site.sheet, site.row)).collect()
    }

    fn lay_survey(&mut self, read: Intake, main: &[Arc<str>], layer: &mut Layer) {
        let cells = cells_of(&read);
        let id_column = id_column(&read, 0);
        let file: Arc<str> = Arc::from(layer.name());
        layer.rows_read = read.rows.len();
        layer.warnings = read.warnings;
        layer.columns = read
            .columns
            .iter()
            .filter_map(|column| Some(format!("{} from \"{}\"", column.field?.name, column.heading.trim())))
            .collect();
        layer.read = read.columns;
        let mut others: Vec<Site> = read.sites;
        others.extend(read.waiting.into_iter().map(|(site, _)| site));
        others.sort_by_key(|site| site.row);
        let found: Vec<Found> = others
            .iter()
            .map(|other| {
                let id = text_at(&cells, (other.sheet, other.row), id_column);
                self.places.find(&Marks::of(other, id))
            })
            .collect();
        let mut claims: BTreeMap<usize, usize> = BTreeMap::new();
        for found in &found {
            if let Found::One { at, .. } = found {
                *claims.entry(*at).or_default() += 1;
            }
        }
        let mut joined_rows = std::collections::BTreeSet::new();
        for (other, found) in others.iter().zip(found) {
            let (at, by, score) = match found {
                Found::One { at, by, score } => (at, by, score),
                Found::None(why) => {
                    joined_rows.insert(other.row);
                    layer.lines.push(LayerLine { rows: 1, ..line(Fate::NotJoined, other.row, why) });
                    continue;
                }
            };
            joined_rows.insert(other.row);
            if score.is_some() && claims.get(&at).is_some_and(|count| *count > 1) {
                let why = "Another row of this file means the same site, and only the address tells them apart.";
                layer.lines.push(LayerLine { rows: 1, ..line(Fate::NotJoined, other.row, why.to_owned()) });
                continue;
            }
            let how = score.map_or_else(|| format!("By {by}."), |score| format!("By {by}, {score:.2} alike."));
            self.lay_row(at, other, by, how, &Beside { file: &file, cells: &cells, main }, layer);
        }
        for aside in read.set_aside.into_iter().filter(|aside| !joined_rows.contains(&aside.row)) {
            layer.lines.push(LayerLine { rows: 1, ..line(Fate::NotJoined, aside.row, aside.why) });
        }
    }

    fn lay_row(&mut self, at: usize, other: &Site, by: &str, how: String, beside: &Beside<'_>, layer: &mut Layer) {
        let Some(site) = self.sites.get_mut(at) else { return };
        let of_site = |line: LayerLine, site: &Site| LayerLine {
            site_id: named(site),
            site_row: site.row,
            site_sheet: site.sheet,
            ..line
        };
        layer.lines.push(of_site(LayerLine { rows: 1, ..line(Fate::Joined, other.row, how) }, site));
        let alike = self.places.marks(at).is_some_and(|own| own.same_address(&Marks::of(other, None)));
        for change in lay(site, other) {
            if change.field == "address" && change.did == Did::Kept && (alike || by == "address") {
                continue;
            }
            let (mine, theirs) = self.cited(at, other, &change, beside);
            let Some(site) = self.sites.get_mut(at) else { return };
            let remark = settle(site, &change, &mine, &theirs);
            let filled = matches!(change.did, Did::Filled | Did::Settled);
            let fate = if filled { Fate::Filled } else { Fate::Conflict };
            let against = if change.did == Did::Filled { None } else { Some(mine) };
            layer.lines.push(of_site(
                LayerLine {
                    field: change.field,
                    value: theirs.text.clone(),
                    cell: cell_named(theirs.row, theirs.column),
                    against_cell: against
                        .as_ref()
                        .map(|cell| {
                            format!("{} {}", cell.file, cell_named(cell.row, cell.column)).trim_end().to_owned()
                        })
                        .unwrap_or_default(),
                    against: against.map(|cell| cell.text).unwrap_or_default(),
                    ..line(fate, other.row, remark)
                },
                site,
            ));
        }
    }

    /// Both sides of a change: the cell of the site's answer before it, and that of the row laid over it.
    fn cited(&self, at: usize, other: &Site, change: &Change, beside: &Beside<'_>) -> (Cited, Cited) {
        let site = self.sites.get(at);
        let field = match change.did {
            Did::Beside(own) => own,
            _ => change.field,
        };
        let from_elsewhere = site
            .and_then(|site| site.elsewhere.iter().rev().find(|own| own.field == field))
            .map(|own| own.cell.clone());
        let (sheet, row) = site.map_or((0, 0), |site| (site.sheet, site.row));
        let main = beside.main.get(usize::from(sheet)).unwrap_or(beside.file);
        let mine = from_elsewhere.unwrap_or_else(|| Cited {
            file: Arc::clone(main),
            row,
            column: change.column,
            text: text_at(&self.cells, (sheet, row), change.column).unwrap_or_default().to_owned(),
        });
        let theirs = Cited {
            file: Arc::clone(beside.file),
            row: other.row,
            column: change.other_column,
            text: text_at(beside.cells, (other.sheet, other.row), change.other_column).unwrap_or_default().to_owned(),
        };
        (mine, theirs)
    }
}

/// The file that is laid over, beside the portfolio.
struct Beside<'a> {
    file: &'a Arc<str>,
    cells: &'a CellTexts,
    /// The portfolio, by sheet.
    main: &'a [Arc<str>],
}

/// Records a change on the site and says it in a sentence.
fn settle(site: &mut Site, change: &Change, mine: &Cited, theirs: &Cited) -> String {
    let taken = matches!(change.did, Did::Filled | Did::Settled | Did::Replaced);
    if taken {
        site.elsewhere.retain(|own| own.field != change.field);
        site.elsewhere.push(Elsewhere { field: change.field, cell: theirs.clone() });
    }
    if change.did == Did::Filled {
        return "The portfolio has no answer; this one is used.".to_owned();
    }
    if change.did == Did::Settled {
        return "The portfolio's answer was in doubt; this one lies within it and is used.".to_owned();
    }
    let by_date = change.did == Did::Replaced;
    let (stands, other) = if by_date { (theirs, mine) } else { (mine, theirs) };
    let (field, open) = (change.field, change.open);
    site.conflicts.push(Conflict { field, stands: stands.clone(), other: other.clone(), by_date, open });
    let mut said = match change.did {
        Did::Replaced => "The later survey stands.".to_owned(),
        Did::Beside(own) => format!("Not used: {own} is stated and stands."),
        _ => "The earlier answer stands.".to_owned(),
    };
    if change.open {
        said.push_str(" To be settled before the site is judged.");
    }
    said
}

fn cells_of(intake: &Intake) -> CellTexts {
    let filled = |row: &types::RowAsRead| {
        let columns = intake.columns_of(row.sheet).iter().map(|column| column.index);
        columns.zip(row.cells.iter().cloned()).filter(|(_, text)| !text.is_empty()).collect()
    };
    intake.rows.iter().map(|row| ((row.sheet, row.row), filled(row))).collect()
}

fn text_at(cells: &CellTexts, row: (u16, u32), column: Option<u16>) -> Option<&str> {
    let cells = cells.get(&row)?;
    let at = cells.binary_search_by_key(&column?, |(index, _)| *index).ok()?;
    cells.get(at).map(|(_, text)| text.as_str())
}

fn id_column(intake: &Intake, sheet: u16) -> Option<u16> {
    let id = |column: &&types::Column| column.field.is_some_and(|field| field.name == "site_id");
    intake.columns_of(sheet).iter().find(id).map(|column| column.index)
}

/// The key of a site for lists; a waiting one may have none yet.
fn named(site: &Site) -> String {
    if site.site_id.is_empty() { format!("row {}", site.row) } else { site.site_id.clone() }
}

/// A cell as spreadsheet programs name it; the row alone where the value has no column.
pub(super) fn cell_named(row: u32, column: Option<u16>) -> String {
    column.map_or_else(|| format!("row {row}"), |column| format!("{}{row}", column_letters(column)))
}
