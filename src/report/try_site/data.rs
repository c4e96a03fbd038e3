//! The facts of each site that can be tried, and what was found of it, as cells.

use super::cables::kind_word;
use super::evaluate::Value;
use super::lines::{CheckLine, checks, facts};
use super::tables::effect_rank;
use crate::design::{Arrangement, Basis, Control, DemandOrigin, EarthingPath};
use crate::finding::{Effect, Finding};
use crate::portfolio::Ranked;
use crate::reference::Cable;
use crate::report::grid::{Cell, Form, Paper, Rows, Sheet, heading, names};
use crate::site::DemandMethod;

/// Earthing paths in the order of the list.
pub(super) const PATHS: [EarthingPath; 4] = [
    EarthingPath::SupplyEarth,
    EarthingPath::SupplyEarthOpenPen,
    EarthingPath::SupplyEarthOpenPenDevice,
    EarthingPath::Electrode,
];

/// A site that can be tried: one point with a cable.
pub(super) struct Tried<'a> {
    ranked: &'a Ranked,
    chosen: &'a Arrangement,
    basis: &'a Basis,
    /// Every finding with the line of the sheet that reckons it again.
    findings: Vec<(Option<&'static str>, &'a Finding)>,
}

impl<'a> Tried<'a> {
    /// The site, if it can be tried.
    pub(super) fn of(ranked: &'a Ranked) -> Option<Self> {
        let chosen = ranked.judgement.chosen.as_ref()?;
        let basis = ranked.judgement.basis.as_deref()?;
        let findings = ranked.judgement.findings.iter().map(|finding| (line_of(finding), finding));
        (!chosen.runs.is_empty()).then(|| Self { ranked, chosen, basis, findings: findings.collect() })
    }

    /// Its identifier.
    pub(super) fn id(&self) -> &'a str {
        &self.ranked.judgement.brief.site_id
    }

    /// A fact by its name.
    pub(super) fn fact(&self, name: &str) -> Value {
        let (basis, chosen) = (self.basis, self.chosen);
        let or_none = |number: Option<f64>| number.map_or(Value::from("none"), Value::Number);
        let yes = |truth: bool| Value::from(if truth { "yes" } else { "no" });
        let recorded = |of: fn(crate::quantity::Band) -> f64| or_none(basis.recorded_a.map(of));
        match name {
            "home" => yes(basis.home),
            "supply_phases" => f64::from(basis.supply_phases).into(),
            "fuse_a" => basis.cutout_a.into(),
            "fuse_from_capacity" => yes(basis.cutout_from_capacity),
            "capacity_kva" => or_none(basis.capacity_kva),
            "said_metered" => yes(basis.said_metered),
            "demand_a" => basis.demand_a.likely.into(),
            "demand_low_a" => basis.demand_a.low.into(),
            "demand_high_a" => basis.demand_a.high.into(),
            "demand_method" => method(basis.method).into(),
            "demand_origin" => origin(basis.origin).into(),
            "recorded_low_a" => recorded(|band| band.low),
            "recorded_a" => recorded(|band| band.likely),
            "recorded_high_a" => recorded(|band| band.high),
            "tails_mm2" => basis.tails_mm2.into(),
            "tails_m" => basis.tails_m.into(),
            "isolator" => yes(basis.isolator),
            "fault_ka" => or_none(basis.stated_fault_ka),
            "earthing" => basis.earthing.map_or("not known", |earthing| earthing.word()).into(),
            "earthing_open" => yes(basis.earthing_open),
            "electrode_place" => basis.electrode_place.map_or("not known".into(), yes),
            "ze_ohm" => or_none(basis.stated_ze_ohm.map(|(_, high)| high)),
            "ze_low_ohm" => or_none(basis.stated_ze_ohm.map(|(low, _)| low)),
            "path" => chosen.earthing.word().into(),
            "bonding_mm2" => or_none(basis.bonding_mm2),
            "conductor_mm2" => or_none(basis.earthing_conductor_mm2),
            "submain_mm2" => or_none(basis.submain.map(|submain| submain.0)),
            "submain_device_a" => or_none(basis.submain.map(|submain| submain.1)),
            "main_switch_a" => or_none(basis.main_switch_a),
            "route_indoor_m" => basis.route.indoor_m.into(),
            "route_surface_m" => basis.route.surface_m.into(),
            "route_buried_m" => basis.route.buried_m.into(),
            "route_m" => (basis.route.indoor_m + basis.route.surface_m + basis.route.buried_m).into(),
            "insulated_m" => basis.route.insulated_m.into(),
            "ambient_c" => basis.route.ambient_c.into(),
            "ground_c" => basis.route.ground_c.into(),
            "grouped" => basis.route.grouped.into(),
            "ducted" => yes(basis.route.ducted),
            "before_route_m" => basis.before_route_m.into(),
            "setting_a" => chosen.setting_a.into(),
            "phases" => f64::from(chosen.phases).into(),
            "control" => match chosen.control {
                Control::Local { .. } => "local limiter".into(),
                Control::None | Control::Group { .. } => "none".into(),
            },
            "feed" => chosen.feed.word().into(),
            "cable" => kind_word(&self.cables()).as_str().into(),
            "size_mm2" => or_none(self.cables().first().map(|cable| cable.csa_mm2)),
            "asked_a" => basis.asked_a.into(),
            "asked_phases" => f64::from(basis.asked_phases).into(),
            "daily_kwh" => basis.daily_kwh.into(),
            "window_h" => basis.window_h.into(),
            "rest_rank" => effect_rank(self.rest().map(|finding| finding.effect).max().unwrap_or(Effect::None)).into(),
            _ => Value::Fault,
        }
    }

    fn cables(&self) -> Vec<Cable> {
        self.chosen.runs.iter().map(|run| run.cable).collect()
    }

    /// Findings that the sheet does not reckon again.
    fn rest(&self) -> impl Iterator<Item = &'a Finding> {
        self.findings.iter().filter(|(line, _)| line.is_none()).map(|(_, finding)| *finding)
    }

    /// What of them makes the verdict worse than ready, in their titles.
    pub(super) fn rest_words(&self) -> String {
        let mut words: Vec<String> = Vec::new();
        for finding in self.rest().filter(|finding| finding.effect >= Effect::Holds) {
            let word = format!("{} ({})", finding.check.title, finding.code().unwrap_or_default());
            if !words.contains(&word) {
                words.push(word);
            }
        }
        if words.is_empty() { "nothing".to_owned() } else { words.join("; ") }
    }

    /// What was found by a check of the sheet: figure, limit and reason code.
    pub(super) fn found(&self, line: &CheckLine) -> [Value; 3] {
        let second = line.key.ends_with("_second");
        // The design of a site that no cable serves stands for a nearer point: its circuit is not that of the sheet.
        let nearer = self.findings.iter().any(|(_, finding)| finding.code() == Some("no-cable-fits"));
        if nearer && line.check.part == "circuit" && line.check.name != "cable-length" {
            return [Value::Blank, Value::Blank, Value::Blank];
        }
        let mut of_line = self.findings.iter().filter(|(key, _)| *key == Some(base(line.key)));
        let Some((_, finding)) = (if second { of_line.nth(1) } else { of_line.next() }) else {
            return [Value::Blank, Value::Blank, Value::Blank];
        };
        let figures = line.check.name != "cable-length";
        let figure = |number: Option<f64>| number.filter(|_| figures).map_or(Value::Blank, Value::Number);
        let code = finding.code().unwrap_or_default();
        [figure(finding.value), figure(finding.limit), code.into()]
    }
}

/// The key without what tells the second of two cables.
fn base(key: &'static str) -> &'static str {
    key.strip_suffix("_second").unwrap_or(key)
}

/// The line of the sheet that reckons a finding again; `None` for one that stays as found.
fn line_of(finding: &Finding) -> Option<&'static str> {
    let code = finding.code().unwrap_or_default();
    Some(match finding.check.name {
        "earthing-path" if matches!(code, "earthing-unknown" | "tn-s-taken-as-pme") => "system",
        "disconnection" | "disconnection-by-rcd" => "loop",
        "protective-conductor-by-table" | "protective-conductor-by-energy" => "protective",
        "live-conductors-by-energy" | "live-conductors-by-overload" => "lines",
        // Said of the site, whatever is designed.
        "charging-current" if code == "over-32-a-a-phase" => return None,
        "earthing-path" => "path",
        name => checks().iter().find(|line| line.check.name == name && line.key != "system")?.key,
    })
}

fn method(method: Option<DemandMethod>) -> &'static str {
    match method {
        Some(DemandMethod::Measured) => "measured",
        Some(DemandMethod::Calculated) => "calculated",
        Some(DemandMethod::Estimated) => "estimated",
        None => "not stated",
    }
}

fn origin(origin: DemandOrigin) -> &'static str {
    match origin {
        DemandOrigin::Measured => "measured",
        DemandOrigin::HalfHour => "half-hour",
        DemandOrigin::Calculated => "calculated",
        DemandOrigin::Estimated => "estimated",
        DemandOrigin::Assumed => "assumed",
    }
}

/// The columns of a site: names of the formulas with their headings, and the cell of each.
pub(super) fn columns() -> Vec<(String, String)> {
    let mut columns = vec![("site_names".to_owned(), "Site".to_owned())];
    for fact in facts() {
        let unit = if fact.unit.is_empty() { String::new() } else { format!(", {}", fact.unit) };
        columns.push((format!("site_{}", fact.name), format!("{}{unit}", fact.title)));
    }
    columns.push(("site_verdict".to_owned(), "Verdict".to_owned()));
    columns.push(("site_rest".to_owned(), "Holds or stops, not reckoned again".to_owned()));
    for line in checks() {
        let (key, title) = (line.key, line.title);
        if !line.value.is_empty() {
            columns.push((format!("site_{key}_value"), format!("{title}: found")));
        }
        if !line.limit.is_empty() {
            columns.push((format!("site_{key}_limit"), format!("{title}: limit")));
        }
        if !line.code.is_empty() {
            columns.push((format!("site_{key}_code"), format!("{title}: reason")));
        }
    }
    columns
}

/// The cells of a site, one for each column.
pub(super) fn cells(site: &Tried<'_>) -> Vec<Value> {
    let judgement = &site.ranked.judgement;
    let mut cells: Vec<Value> = vec![site.id().into()];
    cells.extend(facts().iter().map(|fact| site.fact(fact.name)));
    cells.push(judgement.verdict.word().into());
    cells.push(site.rest_words().as_str().into());
    for line in checks() {
        let [value, limit, code] = site.found(line);
        let shown = |cell: Value| match cell {
            Value::Number(number) if number >= 1e15 => Value::from("no bound"),
            cell => cell,
        };
        cells.extend((!line.value.is_empty()).then_some(value));
        cells.extend((!line.limit.is_empty()).then(|| shown(limit)));
        cells.extend((!line.code.is_empty()).then_some(code));
    }
    cells
}

/// Width and form of the column of a name: figures, and words where there are any.
fn shape(name: &str) -> (f64, Form) {
    match name {
        "site_path" => (35.0, Form::Text),
        "site_cable" => (31.0, Form::Text),
        "site_feed" => (17.0, Form::Text),
        "site_rest" => (44.0, Form::Wrapped),
        code if code.ends_with("_code") => (21.5, Form::Text),
        _ => (13.5, Form::Free),
    }
}

/// The sheet of the sites.
pub(in crate::report) fn sheet<'a>(sites: &'a [Tried<'a>]) -> Sheet<'a> {
    let column = |(name, title): (String, String)| {
        let (width, form) = shape(&name);
        heading(title, width, form)
    };
    let mut headings: Vec<_> = columns().into_iter().map(column).collect();
    if let Some(first) = headings.first_mut() {
        let title =
            "Site (this sheet feeds the sheet Try a site: the facts of a design of one point, and what was found)";
        *first = heading(title, 28.0, Form::Text);
    }
    Sheet {
        name: names::TRY_DATA,
        subject: "Try data: the facts that the sheet Try a site reckons from, and what was found; one row a site",
        headings,
        frozen: 1,
        printed: None,
        paper: Paper::A3,
        rows: Rows::of(sites.iter(), |site| cells(site).into_iter().map(cell).collect()),
    }
}

fn cell(value: Value) -> Cell<'static> {
    match value {
        Value::Number(number) => Cell::Number(number),
        Value::Text(text) => Cell::from(text.to_string()),
        Value::Truth(truth) => if truth { "yes" } else { "no" }.into(),
        Value::Blank | Value::Fault | Value::Grid(_) => Cell::Blank,
    }
}
