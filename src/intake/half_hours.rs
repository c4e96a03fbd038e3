//! Half-hourly data as energy suppliers send it, known by its shape: a line a meter a day with 46 to 50 columns of
//! half-hours, or a line a half-hour. Which column is what is settled here; what the lines say is read in `readings`.

use super::dates::{dated, hours};
use super::identifiers::mpan;
use super::raw::{RawCell, RawRow, words_of};
pub(super) use super::readings::{Read, Reader};

/// Half-hours of the shortest and the longest day of the year, when the clocks change.
const SHORTEST: usize = 46;
const LONGEST: usize = 50;
/// Lines looked at below a heading.
const LINES_LOOKED_AT: usize = 12;

/// What the figures of a file are in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Unit {
    /// Kilowatt-hours a half-hour.
    Kwh,
    /// Watt-hours a half-hour.
    Wh,
    /// Kilowatts.
    Kw,
    /// Kilovolt-amperes.
    Kva,
    /// Kilovolt-ampere-hours a half-hour.
    Kvah,
}

/// Which energy a line or column counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Energy {
    /// Drawn from the network.
    Import,
    /// Given to it.
    Export,
    /// Reactive.
    Reactive,
}

/// Where the values stand.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Form {
    /// A column a half-hour, in the order of the day.
    Wide(Vec<u16>),
    /// One value a line; the time of day in its own column or with the date.
    Long { value: u16, time: u16 },
}

/// What the columns of a half-hourly table are.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Layout {
    /// Row of the headings; 0 when there are none.
    pub heading_row: u32,
    pub mpan: Option<u16>,
    pub site_id: Option<u16>,
    pub uprn: Option<u16>,
    pub serial: Option<u16>,
    /// Date, or kind of day.
    pub date: u16,
    pub form: Form,
    /// Columns that say whether a value is estimated: one a half-hour, or one a line.
    pub flags: Vec<u16>,
    pub unit: Option<Unit>,
    pub unit_column: Option<u16>,
    pub quantity_column: Option<u16>,
    /// What a heading, a title or the name of the sheet says the values count.
    pub energy: Option<Energy>,
    /// Whether the times of a long form are ends of half-hours.
    pub ends: bool,
}

/// The unit that a text names among its words.
pub(super) fn unit_in(text: &str) -> Option<Unit> {
    words_of(text).split(' ').find_map(|word| match word {
        "kwh" | "kwhs" => Some(Unit::Kwh),
        "wh" => Some(Unit::Wh),
        "kw" => Some(Unit::Kw),
        "kva" => Some(Unit::Kva),
        "kvah" => Some(Unit::Kvah),
        _ => None,
    })
}

/// What a text says is counted, if it says so.
pub(super) fn energy_in(text: &str) -> Option<Energy> {
    let words = words_of(text);
    let any = |known: &[&str]| words.split(' ').any(|word| known.contains(&word));
    if any(&["kvarh", "kvar", "reactive", "ri", "re", "rem", "rim"]) {
        Some(Energy::Reactive)
    } else if any(&["export", "exported", "ae", "generation", "generated"]) {
        Some(Energy::Export)
    } else if any(&["import", "imported", "ai", "active", "consumption"]) {
        Some(Energy::Import)
    } else {
        None
    }
}

/// Minutes after midnight or the number of a period, out of a heading.
fn label(cell: &RawCell) -> Option<(bool, u32)> {
    match cell {
        RawCell::Moment(serial) if (0.0..=1.0).contains(serial) => Some((true, (serial * 1440.0).round() as u32)),
        RawCell::Number(number) if number.fract() == 0.0 && (1.0..=50.0).contains(number) => {
            Some((false, *number as u32))
        }
        RawCell::Number(number) if (0.0..=1.0).contains(number) => Some((true, (number * 1440.0).round() as u32)),
        RawCell::Text(text) => {
            if is_flag(text) {
                return None;
            }
            if text.contains(':') {
                let first = text.split([' ', '-', '\u{2013}']).find(|piece| piece.contains(':'))?;
                return hours(&RawCell::Text(first.to_owned())).map(|hours| (true, (hours * 60.0).round() as u32));
            }
            let digits: String = text.chars().filter(char::is_ascii_digit).collect();
            let plain = words_of(text);
            let bare = plain.bytes().all(|byte| byte.is_ascii_digit());
            if bare && digits.len() == 4 {
                return hours(&RawCell::Text(digits)).map(|hours| (true, (hours * 60.0).round() as u32));
            }
            let named = plain.split(' ').all(|word| {
                let word = word.trim_matches(|c: char| c.is_ascii_digit());
                matches!(
                    word,
                    "" | "hh" | "p" | "sp" | "period" | "half" | "hour" | "h" | "hr" | "value" | "settlement"
                ) || unit_in(word).is_some()
                    || energy_in(word).is_some()
            });
            let number: u32 = digits.parse().ok().filter(|_| digits.len() <= 2)?;
            (named && (1..=50).contains(&number)).then_some((false, number))
        }
        _ => None,
    }
}

fn is_flag(text: &str) -> bool {
    words_of(text).split(' ').any(|word| {
        let word = word.trim_matches(|c: char| c.is_ascii_digit());
        matches!(word, "flag" | "status" | "quality" | "estimated" | "est" | "type" | "actual")
    }) || text.to_ascii_lowercase().contains("a/e")
}

/// Columns whose headings run through the half-hours of a day in order, one each.
fn periods(row: &RawRow) -> Option<Vec<u16>> {
    let labels: Vec<(u16, bool, u32)> =
        row.cells.iter().filter_map(|(at, cell)| label(cell).map(|(timed, value)| (*at, timed, value))).collect();
    for timed in [true, false] {
        let own: Vec<(u16, u32)> =
            labels.iter().filter(|(_, is_timed, _)| *is_timed == timed).map(|(at, _, value)| (*at, *value)).collect();
        let step = if timed { 30 } else { 1 };
        // On the day that has 50, an hour stands twice; midnight at the end is 0 or 1440.
        let follows = |before: u32, after: u32| {
            after == before + step || timed && (after == 0 && before == 1410 || after + 30 == before)
        };
        let mut run: Vec<u16> = Vec::new();
        let mut last = None;
        for (at, value) in own {
            match last {
                Some(before) if follows(before, value) => run.push(at),
                _ if run.len() >= SHORTEST => break,
                _ => run = vec![at],
            }
            last = Some(value);
        }
        if (SHORTEST..=LONGEST).contains(&run.len()) {
            return Some(run);
        }
    }
    None
}

fn heading(row: &RawRow, fits: impl Fn(&str) -> bool) -> Option<u16> {
    row.cells.iter().find_map(|(at, cell)| match cell {
        RawCell::Text(text) if fits(&words_of(text)) => Some(*at),
        _ => None,
    })
}

fn has_word(heading: &str, known: &[&str]) -> bool {
    heading.split(' ').any(|word| known.contains(&word))
}

/// The layout of a sheet, if its first rows have the shape of half-hourly data. `file` and `sheet` are their names: a
/// sheet called "Export" holds exports, a file called so may be an export of anything.
pub(super) fn layout(beginning: &[RawRow], file: &str, sheet: &str) -> Option<Layout> {
    let found = beginning
        .iter()
        .enumerate()
        .find_map(|(at, row)| wide(beginning, at, row).or_else(|| long(beginning, at, row)));
    let mut layout = found.or_else(|| headless(beginning))?;
    let above = beginning.iter().filter(|row| row.row < layout.heading_row);
    let mut titles: Vec<String> = above.flat_map(|row| row.cells.iter().map(|(_, cell)| cell.shown())).collect();
    titles.push(sheet.to_owned());
    layout.energy = layout.energy.or_else(|| titles.iter().find_map(|title| energy_in(title)));
    titles.push(file.to_owned());
    layout.unit = layout.unit.or_else(|| titles.iter().find_map(|title| unit_in(title)));
    Some(layout)
}

fn wide(beginning: &[RawRow], at: usize, row: &RawRow) -> Option<Layout> {
    let columns = periods(row)?;
    let first = columns.first().copied()?;
    let beside =
        RawRow { row: row.row, cells: row.cells.iter().filter(|(at, _)| !columns.contains(at)).cloned().collect() };
    let lines: Vec<&RawRow> = beginning.iter().skip(at + 1).take(LINES_LOOKED_AT).collect();
    let dates = |column: u16| lines.iter().filter_map(|line| line.cell(column)).any(|cell| dated(cell).is_some());
    let by_name = heading(&beside, |heading| has_word(heading, &["date", "day"]) && !heading.contains("issue"));
    let date = by_name.or_else(|| (0..first).find(|column| dates(*column)))?;
    let in_headings = |of: &RawRow| {
        of.cells.iter().filter(|(at, _)| columns.contains(at)).find_map(|(_, cell)| unit_in(&cell.shown()))
    };
    let energy = row.cells.iter().filter(|(at, _)| columns.contains(at)).find_map(|(_, cell)| energy_in(&cell.shown()));
    let flags: Vec<u16> = beside
        .cells
        .iter()
        .filter(|(at, cell)| *at > first && matches!(cell, RawCell::Text(text) if is_flag(text)))
        .map(|(at, _)| *at)
        .collect();
    let layout = Layout {
        unit: in_headings(row),
        energy,
        flags: if flags.len() == columns.len() || flags.len() == 1 { flags } else { Vec::new() },
        form: Form::Wide(columns),
        ..keyed(&beside, &lines, date)
    };
    Some(layout)
}

/// The columns that say which meter, and those that say what is counted.
fn keyed(row: &RawRow, lines: &[&RawRow], date: u16) -> Layout {
    let named = |known: &[&str]| heading(row, |heading| known.contains(&heading));
    let is_mpan = |column: u16| {
        let mut cells = lines.iter().filter_map(|line| line.cell(column)).peekable();
        cells.peek().is_some() && cells.all(|cell| mpan(cell).is_ok())
    };
    let by_content = || row.cells.iter().map(|(at, _)| *at).find(|at| *at != date && is_mpan(*at));
    Layout {
        heading_row: row.row,
        mpan: heading(row, |heading| has_word(heading, &["mpan", "mpancore", "mpans"]))
            .or_else(|| named(&["meter point", "supply number", "meter point number", "core"]))
            .or_else(by_content),
        site_id: named(&[
            "site id",
            "site",
            "site ref",
            "site reference",
            "site code",
            "ref",
            "reference",
            "property ref",
        ]),
        uprn: named(&["uprn"]),
        serial: heading(row, |heading| {
            has_word(heading, &["serial", "msn"]) || heading == "meter" || heading == "meter id"
        }),
        date,
        form: Form::Wide(Vec::new()),
        flags: Vec::new(),
        unit: None,
        unit_column: named(&["unit", "units", "uom", "unit of measure"]),
        quantity_column: named(&[
            "measurement",
            "measurement quantity",
            "quantity",
            "measurement type",
            "channel",
            "register",
            "import export",
            "direction",
            "energy type",
            "data type",
            "mq",
        ]),
        energy: None,
        ends: false,
    }
}

/// One value a line: a time stamp (or a date and a time) half an hour after the last, and a value.
fn long(beginning: &[RawRow], at: usize, row: &RawRow) -> Option<Layout> {
    let lines: Vec<&RawRow> = beginning.iter().skip(at + 1).take(LINES_LOOKED_AT).collect();
    if heading(row, |heading| heading == "address").is_some() {
        return None;
    }
    let stamp = |line: &RawRow, date: u16, time: u16| -> Option<f64> {
        let day = stamp_day(line.cell(date)?)?;
        Some(f64::from(day) * 1440.0 + f64::from(minutes(line.cell(time)?)?))
    };
    let texts: Vec<(u16, String)> = row
        .cells
        .iter()
        .filter_map(|(at, cell)| match cell {
            RawCell::Text(text) => Some((*at, text.clone())),
            _ => None,
        })
        .collect();
    let named = |at: u16| texts.iter().find(|(own, _)| *own == at).map(|(_, text)| text.as_str()).unwrap_or_default();
    let columns: Vec<u16> = texts.iter().map(|(at, _)| *at).collect();
    let with = |fits: &dyn Fn(&RawCell) -> bool| -> Vec<u16> {
        columns.iter().copied().filter(|at| lines.iter().filter_map(|line| line.cell(*at)).any(fits)).collect()
    };
    let dates = with(&|cell| stamp_day(cell).is_some());
    let times = with(&|cell| minutes(cell).is_some());
    let pairs = dates.iter().flat_map(|date| times.iter().map(move |time| (*date, *time)));
    let half_hourly = |date: u16, time: u16| {
        let mut stamps = lines.iter().map(|line| stamp(line, date, time));
        let mut last = stamps.next().flatten();
        let (mut steps, mut wrong) = (0, 0);
        for next in stamps {
            match last.zip(next).map(|(before, after)| (after - before).abs()) {
                Some(30.0) => steps += 1,
                // Another meter, another channel or a gap; but never a finer step.
                Some(step) if step > 0.0 && step < 30.0 => wrong += 1,
                _ => {}
            }
            last = next;
        }
        steps >= 2 && wrong == 0
    };
    let (date, time) = pairs.clone().find(|(date, time)| half_hourly(*date, *time))?;
    let is_value = |at: u16| {
        let told = unit_in(named(at)).is_some() || energy_in(named(at)).is_some();
        let words = words_of(named(at));
        let value = told || has_word(&words, &["value", "usage", "reading", "demand", "energy", "consumption"]);
        value && at != date && at != time && !is_flag(named(at))
    };
    let numbers =
        |at: u16| lines.iter().filter_map(|line| line.cell(at)).any(|cell| super::readings::figure(cell).is_some());
    let mut values = columns.iter().copied().filter(|at| is_value(*at) && numbers(*at));
    // Import goes before any other.
    let all: Vec<u16> = values.by_ref().collect();
    let energy = |at: u16| energy_in(named(at)).unwrap_or(Energy::Import);
    let value = all.iter().copied().min_by_key(|at| energy(*at))?;
    let ends = [date, time].iter().any(|at| has_word(&words_of(named(*at)), &["end", "ending", "to", "until"]));
    let flags = columns.iter().copied().filter(|at| is_flag(named(*at))).take(1).collect();
    Some(Layout {
        form: Form::Long { value, time },
        unit: unit_in(named(value)),
        energy: energy_in(named(value)),
        ends,
        flags,
        ..keyed(row, &lines, date)
    })
}

/// The day of a cell as a count.
fn stamp_day(cell: &RawCell) -> Option<i32> {
    use super::dates::Dated;
    let day = match dated(cell)? {
        Dated::Day(day) | Dated::OtherOrder(day) => day,
        Dated::Month(..) => return None,
    };
    jiff::civil::date(1970, 1, 1).until(day).ok().map(|span| span.get_days())
}

/// Minutes after midnight of a time stamp or a time.
pub(super) fn minutes(cell: &RawCell) -> Option<u32> {
    match cell {
        RawCell::Moment(serial) => Some((serial.rem_euclid(1.0) * 1440.0).round() as u32 % 1440),
        RawCell::Number(number) if (0.0..1.0).contains(number) => Some((number * 1440.0).round() as u32 % 1440),
        RawCell::Text(text) => {
            let clock = text.split([' ', 'T', 't']).find(|piece| piece.contains(':'));
            let clock = clock.map(|piece| piece.split(['Z', '+']).next().unwrap_or(piece));
            hours(&RawCell::Text(clock?.to_owned())).map(|hours| (hours * 60.0).round() as u32)
        }
        _ => None,
    }
}

/// Lines without headings: a supply number, a date and at least 46 figures after them.
fn headless(beginning: &[RawRow]) -> Option<Layout> {
    let row = beginning.first()?;
    let at = row.cells.iter().position(|(_, cell)| mpan(cell).is_ok())?;
    let (mpan_column, _) = row.cells.get(at)?;
    let rest = row.cells.get(at + 1..)?;
    let (date, _) = rest.iter().find(|(_, cell)| dated(cell).is_some() && !matches!(cell, RawCell::Number(_)))?;
    let columns: Vec<u16> = row
        .cells
        .iter()
        .filter(|(column, cell)| column > date && super::readings::figure(cell).is_some())
        .map(|(column, _)| *column)
        .collect();
    let layout = keyed(&RawRow::default(), &[], *date);
    (SHORTEST..=LONGEST).contains(&columns.len()).then_some(Layout {
        mpan: Some(*mpan_column),
        form: Form::Wide(columns),
        ..layout
    })
}
