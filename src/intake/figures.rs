//! A number in its field: which units the field takes, what they convert to, what a bare number may be by mistake, and
//! what is too large or too small to be believed. A figure that is not believed is unknown, never nought.

use super::conversions::{converted, corrected};
use super::figure_text::bared;
use super::numbers::{Figure, figure};
use super::raw::{RawCell, folded, number_shown, words_of};
use super::units::{Doubt, Quantity, shares};
use super::values::{ColumnPlan, Understood, sentence, sentence_for, sentence_for_text};
use super::words::why_unknown;
use crate::quantity::round_to;
use crate::site::{Answer, EarthingSystem, Field, FieldKind, Site, WhyUnknown};

/// What the rest of the row says that a figure depends on.
pub(super) struct Context {
    /// Phases of the supply.
    pub phases: Option<u8>,
    /// Phases written in the cell itself.
    pub written_phases: Option<u8>,
    /// Whether it is a home.
    pub is_home: bool,
    /// Whether the supply offers an earth.
    pub earthed_by_supply: bool,
}

impl Context {
    /// From a site whose words are already read.
    pub fn of(site: &Site) -> Self {
        let earthing = site.supply.earthing_system.stated();
        Self {
            phases: site.supply.supply_phases.value().map(|phases| if phases >= 2.0 { 3 } else { 1 }),
            written_phases: None,
            is_home: site.is_home(),
            earthed_by_supply: matches!(earthing, Some(EarthingSystem::TnS | EarthingSystem::TnCS)),
        }
    }
}

/// Fields where the smaller of two stated values is the careful one.
const SMALLER_IS_CAREFUL: &[&str] = &[
    "cutout_rating_a",
    "tails_mm2",
    "main_bonding_mm2",
    "agreed_capacity_kva",
    "board_main_switch_a",
    "earthing_conductor_mm2",
    "submain_mm2",
    "submain_device_a",
    "spare_ways",
];
/// Fields where "2 x 9.5" means both together.
const ADDED_UP: &[&str] =
    &["shower_kw", "cooker_kw", "water_heater_kw", "heat_pump_kw", "solar_kw", "battery_kw", "vehicles", "bays"];
/// Bare lengths above this are millimetres, whatever the site (survey practice).
pub(super) const MILLIMETRES_ABOVE: f64 = 1000.0;
/// Bare lengths at a home above this are centimetres (survey practice).
pub(super) const CENTIMETRES_ABOVE: f64 = 200.0;
/// A bare current at a home above this is watts or milliamperes (survey practice).
const HOME_CURRENT_BELIEVED_A: f64 = 400.0;

/// Years by which a year that is about right may be out (survey practice).
const YEARS_EITHER_WAY: f64 = 5.0;

/// Numbers of standards of cut-out fuses, typed where the rating belongs (survey notes C); neither is a rating.
const FUSE_STANDARDS: [f64; 2] = [88.0, 1361.0];

/// The units that a field takes, its own quantity first.
pub(super) fn quantities(field: &Field) -> &'static [Quantity] {
    match (field.unit, field.name) {
        ("A", "existing_demand_a") => &["current", "power", "apparent"],
        ("A", _) => &["current"],
        ("kW", "existing_demand_kw" | "requested_kw") => &["power", "apparent", "current"],
        ("kW", _) => &["power", "apparent"],
        ("kVA", _) => &["apparent", "power"],
        ("ohm", _) => &["resistance"],
        ("kA", _) => &["fault"],
        ("m", _) => &["length"],
        ("mm2", _) => &["area"],
        ("degC", _) => &["temperature"],
        ("deg", _) => &["angle"],
        ("miles", _) => &["distance"],
        ("miles/kWh", _) => &["economy"],
        _ => &[],
    }
}

/// What a cell says in a field of numbers.
pub(super) fn figured(plan: &ColumnPlan, cell: &RawCell, mut context: Context) -> Understood<f64> {
    let field = plan.field;
    let figure = match cell {
        RawCell::Number(number) => Figure::bare(*number),
        // A date's format on a column of small numbers changes how they are shown, not what they are.
        RawCell::Moment(serial) if (0.0..20_000.0).contains(serial) => Figure::bare(*serial),
        RawCell::Moment(_) => {
            return Understood::not_understood(
                "It is a date; a range such as 10-15 may have been turned into one. Type it again as text.",
            );
        }
        RawCell::Text(text) => match from_text(plan, text) {
            Ok((figure, phases)) => {
                context.written_phases = phases;
                figure
            }
            Err(answer) => return answer,
        },
        RawCell::Bool(_) | RawCell::Fault(_) => return Understood::not_understood(wanted(field)),
    };
    settle(plan, figure, &context)
}

pub(super) fn wanted(field: &Field) -> String {
    match field.unit {
        "" | "year" => "It is not a number.".to_owned(),
        unit => format!("It is not a number of {unit}."),
    }
}

/// The figure in a text with the phases written beside it, or what the text says instead of one.
fn from_text(plan: &ColumnPlan, text: &str) -> Result<(Figure, Option<u8>), Understood<f64>> {
    let field = plan.field;
    let trimmed = text.trim();
    if matches!(trimmed, "0000" | "000") {
        return Err(Understood::unknown(WhyUnknown::Missing, None));
    }
    let begins_with_digit = trimmed.bytes().next().is_some_and(|byte| byte.is_ascii_digit());
    if !begins_with_digit || plan.lexicon.number(trimmed).is_some() || field.name == "supply_phases" {
        let plain = words_of(text);
        if let Some(number) = plan.lexicon.number(&plain) {
            let doubt = text.contains('?').then_some(Doubt::Queried);
            return Ok((Figure { doubt, ..Figure::bare(number) }, None));
        }
        if field.min == Some(0.0) && matches!(plain.as_str(), "none" | "nil" | "no" | "zero" | "n" | "not fitted") {
            return Ok((Figure::bare(0.0), None));
        }
        if let Some(why) = why_unknown(&plain) {
            return Err(Understood::unknown(why, sentence_for_text(why, &plain)));
        }
        if matches!(plain.as_str(), "none" | "nil" | "no") {
            return Err(Understood::unknown(
                WhyUnknown::Missing,
                Some("\"None\" is no value of this column; read as a blank.".to_owned()),
            ));
        }
    }
    if field.name == "year_built"
        && let Some(years) = years(text)
    {
        return Err(years);
    }
    let not_understood = |sentence: String| match why_unknown(&words_of(text)) {
        Some(why) => Understood::unknown(why, sentence_for(why)),
        None => Understood::not_understood(sentence),
    };
    let bared = bared(field, text).map_err(|why| not_understood(sentence(why)))?;
    match figure(&bared.text, quantities(field)) {
        // A carrier is marked with the most it may hold.
        Some(mut figure) if bared.most && field.name == "cutout_rating_a" => {
            figure.doubt = figure.doubt.or(Some(Doubt::QueriedRating));
            Ok((figure, bared.phases))
        }
        // "1 (3 in the street)": which of them is meant the words beside it say, and they are not understood.
        Some(figure) if field.name == "supply_phases" && figure.remark => Err(not_understood(wanted(field))),
        Some(figure) => Ok((figure, bared.phases)),
        None => Err(not_understood(not_a_figure(field, text))),
    }
}

/// Why a text that should hold a figure is not understood, with what it looks like where that helps.
fn not_a_figure(field: &Field, text: &str) -> String {
    let folded = folded(text);
    let numbers = folded.split(|c: char| !c.is_ascii_digit() && c != '.').filter(|run| !run.is_empty()).count();
    if field.name == "shower_kw" && folded.contains("power shower") {
        return "A power shower may be pumped and not electric; its kilowatts are wanted, or 0.".to_owned();
    }
    if numbers == 2 && folded.contains('/') && matches!(field.unit, "A" | "kVA") {
        return format!("It looks like the ratio of a current transformer; a number of {} is wanted.", field.unit);
    }
    if numbers > 1 {
        return format!("It holds {numbers} numbers, and which one is meant is not plain.");
    }
    wanted(field)
}

/// "1930s", "pre 1965", "post-2000" and the like.
fn years(text: &str) -> Option<Understood<f64>> {
    let folded = folded(text);
    let digits: String = folded.chars().filter(char::is_ascii_digit).collect();
    let year: f64 = (digits.len() == 4).then(|| digits.parse().ok()).flatten()?;
    // The 1900s are a century to some; of the 2000s there is no more than their first years yet.
    let (low, likely, high) = if folded.ends_with("00s") && !folded.starts_with("early") && year < 2000.0 {
        (year, year + 50.0, year + 99.0)
    } else if folded.ends_with('s') {
        (year, year + 5.0, year + 9.0)
    } else if ["pre", "before", "<"].iter().any(|mark| folded.starts_with(mark)) {
        (year - 50.0, year - 1.0, year - 1.0)
    } else if ["post", "after", ">", "since"].iter().any(|mark| folded.starts_with(mark)) {
        (year, year, year + 20.0)
    } else if ["c", "~", "approx", "about", "est"].iter().any(|mark| folded.starts_with(mark)) || folded.ends_with('?')
    {
        (year - YEARS_EITHER_WAY, year, year + YEARS_EITHER_WAY)
    } else {
        return None;
    };
    (1600.0..=2035.0).contains(&likely).then(|| Understood {
        answer: Answer::Doubtful { low, likely, high },
        message: Some(format!("Read as {low} to {high}.")),
    })
}

/// Converts, corrects, widens and checks a figure.
fn settle(plan: &ColumnPlan, figure: Figure, context: &Context) -> Understood<f64> {
    let field = plan.field;
    let mut said: Vec<String> = Vec::new();
    if figure.letters_as_digits {
        said.push("a letter was taken for a digit".to_owned());
    }
    if figure.remark {
        said.push("the words beside the number are not understood".to_owned());
    }
    let mut scale = 1.0;
    if figure.times != 1.0 {
        if ADDED_UP.contains(&field.name) {
            scale = figure.times;
            said.push(format!("{} of them, added up", number_shown(figure.times)));
        } else if field.name == "requested_kw" && matches!(figure.unit, Some(unit) if unit.quantity == "current") {
            scale = figure.times;
        } else if ["A", "mm2", "kVA", "kA"].contains(&field.unit) || field.name == "requested_kw" {
            said.push("the figure of one is used".to_owned());
        } else {
            return Understood::not_understood("It is so many times a figure, and the whole is wanted.");
        }
    }
    // The field's own unit in a heading promises less than one in the cell: slips of unit happen under it all the same.
    let own = quantities(field).first().copied().unwrap_or_default();
    let in_heading = plan.unit.filter(|unit| unit.quantity != own || unit.factor != 1.0);
    let unit = figure.unit.or(in_heading);
    let convert = |value: f64| -> Result<(f64, Option<String>), String> {
        match unit {
            Some(unit) => converted(field, value * unit.factor * scale, unit, context),
            None => Ok(corrected(field, value * scale, context)),
        }
        // 35 hundredths are 0.35 and not a hair more: the factors are decimal, the arithmetic is not.
        .map(|(value, note)| ((value * 1e9).round() / 1e9, note))
    };
    let (first, second) = match (convert(figure.first), convert(figure.second)) {
        (Ok((first, note)), Ok((second, _))) => {
            said.extend(note);
            (first, second)
        }
        (Err(problem), _) | (_, Err(problem)) => return Understood::not_understood(problem),
    };
    let mut doubt = figure.doubt;
    // A unit that was guessed for a length or a loop leaves a doubt: twelve hundred may be 1.2 or 12.
    if matches!(field.unit, "ohm" | "m") && unit.is_none() && first != figure.first {
        doubt = doubt.or(Some(Doubt::Queried));
    }
    if field.name == "cutout_rating_a" && matches!(doubt, Some(Doubt::Approximate | Doubt::Queried)) {
        doubt = Some(Doubt::QueriedRating);
    }
    let (low, likely, high) = match doubt {
        None => (first, first, first),
        Some(Doubt::Between) if SMALLER_IS_CAREFUL.contains(&field.name) => (first, first, second),
        Some(Doubt::Between) => (first, (first + second) / 2.0, second),
        // A share of a year is centuries, and of one phase a part of one: both have their own ranges.
        Some(_) if field.unit == "year" => (first - YEARS_EITHER_WAY, first, first + YEARS_EITHER_WAY),
        Some(_) if field.name == "supply_phases" => (1.0, first, 3.0),
        Some(doubt) => {
            let (low, high) = shares(doubt);
            (first * low.min(high), first, first * high.max(low))
        }
    };
    let whole = |value: f64| if field.kind == FieldKind::Count { value.floor() } else { value };
    if field.kind == FieldKind::Count && doubt.is_none() && likely.fract().abs() > 1e-9 {
        return Understood::not_understood("It is not a whole number.");
    }
    check(field, context, (whole(low), whole(likely), whole(high)), doubt, unit.is_none(), said)
}

/// The last look: is it to be believed?
fn check(
    field: &Field,
    context: &Context,
    (low, likely, high): (f64, f64, f64),
    doubt: Option<Doubt>,
    bare: bool,
    mut said: Vec<String>,
) -> Understood<f64> {
    let (min, max) = (field.min.unwrap_or(f64::NEG_INFINITY), field.max.unwrap_or(f64::INFINITY));
    let tidy = |value: f64| number_shown(round_to(value, 3));
    if !(min..=max).contains(&likely) {
        let unit = if field.unit.is_empty() || field.unit == "year" { "" } else { field.unit };
        return Understood::not_understood(
            format!("{} is outside {} to {} {unit}, what can be believed here", tidy(likely), tidy(min), tidy(max))
                .trim_end()
                .to_owned()
                + ".",
        );
    }
    if field.name == "supply_phases" && likely != 1.0 && likely != 3.0 {
        return Understood::not_understood("A supply has 1 or 3 phases here; a two-phase supply needs a closer look.");
    }
    if field.name == "cutout_rating_a" && bare && FUSE_STANDARDS.contains(&likely) {
        return Understood::not_understood(format!(
            "BS {} is a standard of fuses; the rating is wanted.",
            tidy(likely)
        ));
    }
    if field.unit == "A" && context.is_home && bare && likely > HOME_CURRENT_BELIEVED_A {
        return Understood::not_understood("More than 400 A at a home: watts, milliamperes or a slip.");
    }
    if let Some(doubt) = doubt {
        said.push(
            match doubt {
                Doubt::Approximate => "an estimate, judged over its range",
                Doubt::Queried => "in doubt, judged over a range",
                Doubt::AtLeast => "at least that, judged upwards from it",
                Doubt::AtMost => "at most that, judged down from it",
                Doubt::Between => "two values, judged at both",
                Doubt::ToldByPhone | Doubt::FromDesk => "not seen by whoever wrote it, judged over a range",
                Doubt::QueriedRating => "in doubt: the fuse may be smaller than its carrier",
            }
            .to_owned(),
        );
    }
    let message = (!said.is_empty()).then(|| super::values::sentence(said.join("; ")));
    let answer = match doubt {
        Some(_) => Answer::Doubtful { low: low.clamp(min, likely), likely, high: high.clamp(likely, max) },
        None => Answer::Stated(likely),
    };
    Understood { answer, message }
}
