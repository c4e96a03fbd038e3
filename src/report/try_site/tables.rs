//! The tables that the formulas look up, each with where it comes from: rules, cables, ways of laying, factors, devices,
//! earthing sizes, reasons. It knows no site.

use super::cables::{cables, kinds, laying, sizes_mm2};
use super::evaluate::{Grid, Value};
use crate::finding::{Effect, Finding, reasons};
use crate::reference::printed;
use crate::rules::Rules;
use std::sync::Arc;

/// A column of a table.
pub(super) struct Column {
    /// Its name in formulas; empty for what is only read by people.
    pub(super) name: &'static str,
    /// Its heading.
    pub(super) title: String,
}

/// A table.
pub(super) struct Block {
    /// What it holds.
    pub(super) title: &'static str,
    /// Columns.
    pub(super) columns: Vec<Column>,
    /// Rows.
    pub(super) rows: Vec<Vec<Value>>,
    /// Ranges over several columns: name, first and last column, and whether it is their headings.
    pub(super) spans: Vec<(&'static str, usize, usize, bool)>,
}

impl Block {
    pub(super) fn new(title: &'static str, columns: &[(&'static str, &str)], rows: Vec<Vec<Value>>) -> Self {
        let columns = columns.iter().map(|(name, title)| Column { name, title: (*title).to_owned() }).collect();
        Self { title, columns, rows, spans: Vec::new() }
    }

    /// The named ranges with what they hold.
    pub(super) fn grids(&self) -> impl Iterator<Item = (&'static str, Arc<Grid>)> + '_ {
        let cell = |row: &Vec<Value>, at: usize| row.get(at).cloned().unwrap_or(Value::Blank);
        let columns = self.columns.iter().enumerate().filter(|(_, column)| !column.name.is_empty());
        let columns = columns.map(move |(at, column)| {
            let cells = self.rows.iter().map(|row| cell(row, at)).collect();
            (column.name, Arc::new(Grid { columns: 1, cells }))
        });
        let spans = self.spans.iter().map(move |(name, first, last, headings)| {
            let cells: Vec<Value> = match headings {
                true => (*first..=*last)
                    .map(|at| self.columns.get(at).map_or(Value::Blank, |column| column.title.as_str().into()))
                    .collect(),
                false => self.rows.iter().flat_map(|row| (*first..=*last).map(|at| cell(row, at))).collect(),
            };
            (*name, Arc::new(Grid { columns: last + 1 - first, cells }))
        });
        columns.chain(spans)
    }
}

/// Every table under these rules, the named figures apart.
pub(super) fn tables(rules: &Rules) -> Vec<Block> {
    vec![
        demand(rules),
        list("Earthing of the supply", "system_words", &["TN-C-S", "TN-S", "TT"]),
        list("Earthing of the point", "path_words", &super::data::PATHS.map(|path| path.word())),
        list("Load limiter", "control_words", &["none", "local limiter"]),
        list("Yes or no", "yes_no_words", &["yes", "no"]),
        kinds(),
        cables(),
        numbers("Sizes to choose from, mm²", "size_list", sizes_mm2()),
        numbers("Charging currents to choose from, A", "setting_list", settings_a(rules)),
        laying(rules),
        conductors(),
        factors(),
        devices(rules),
        ratings(),
        breakers(),
        curves(),
        let_through(),
        breaking(rules),
        earthing_sizes(),
        points(rules),
        codes(rules),
    ]
}

fn list(title: &'static str, name: &'static str, words: &[&str]) -> Block {
    Block::new(title, &[(name, "word")], words.iter().map(|word| vec![(*word).into()]).collect())
}

fn numbers(title: &'static str, name: &'static str, numbers: Vec<f64>) -> Block {
    Block::new(title, &[(name, "figure")], numbers.into_iter().map(|number| vec![number.into()]).collect())
}

/// The first rating that reaches a level, in the order of the rules: one that is no higher than those before it is never
/// reached.
fn breaking(rules: &Rules) -> Block {
    let mut highest_ka = 0.0;
    let tried = rules.circuit.device_breaking_ka.iter().filter(|ka| {
        let reached = **ka > highest_ka;
        highest_ka = ka.max(highest_ka);
        reached
    });
    let rows = tried.map(|ka| vec![(*ka).into(), "rules, [circuit]".into()]).collect();
    Block::new("Breaking capacities of devices", &[("breaking_ratings", "kA"), ("", "source")], rows)
}

fn demand(rules: &Rules) -> Block {
    let shares = &rules.demand;
    let row = |word: &str, [low, high]: [f64; 2], origin: &str| -> Vec<Value> {
        vec![word.into(), low.into(), high.into(), origin.into(), "rules, [demand]".into()]
    };
    Block::new(
        "How a demand was found, and the ends that it takes",
        &[
            ("demand_words", "found"),
            ("demand_low_shares", "low end, share"),
            ("demand_high_shares", "high end, share"),
            ("demand_origins", "counts as"),
            ("", "source"),
        ],
        vec![
            row("measured", shares.measured, "measured"),
            row("calculated", shares.calculated, "calculated"),
            row("estimated", shares.estimated, "estimated"),
            row("not stated", shares.not_stated, "estimated"),
        ],
    )
}

fn settings_a(rules: &Rules) -> Vec<f64> {
    let charging = &rules.charging;
    let mut settings: Vec<f64> = charging.setting_steps_a.iter().chain(&charging.runner_up_steps_a).copied().collect();
    settings.extend(rules.charge_point.iter().map(|point| point.largest_setting_a));
    settings.sort_by(|one, other| other.total_cmp(one));
    settings.dedup();
    settings
}

/// Rows of a printed table as cells: texts and numbers of these columns, in order.
fn of_table(name: &str, kept: impl Fn(&crate::table::Row<'_>) -> Option<Vec<Value>>) -> Vec<Vec<Value>> {
    printed(name).map(|table| table.rows().filter_map(|row| kept(&row)).collect()).unwrap_or_default()
}

fn conductors() -> Block {
    let rows = of_table("conductor", |row| {
        let numbers = [row.number("csa_mm2")?, row.number("r20_milliohm_per_m")?].map(Value::Number);
        Some(numbers.into_iter().chain([row.text("status").into(), row.text("source").into()]).collect())
    });
    let columns =
        [("conductor_mm2s", "size, mm²"), ("conductor_r20", "at 20 °C, mΩ/m"), ("", "status"), ("", "source")];
    Block::new("Copper conductors", &columns, rows)
}

/// The lines of the factors that are used: word of the formulas, table and variant of the print.
const FACTORS: [(&str, &str, &str); 12] = [
    ("air", "4B1", "70C thermoplastic"),
    ("ground", "4B2", "70C thermoplastic"),
    ("bunched", "4C1", "bunched in air, on a surface, embedded or enclosed"),
    ("layer", "4C1", "single layer on wall/floor/unperforated tray, touching"),
    ("tray", "4C1", "single layer multicore on perforated tray, touching"),
    ("buried", "4C2", "multicore direct buried, clearance nil (touching)"),
    ("ducts", "4C3", "one multicore per single-way duct, duct clearance nil (touching)"),
    ("soil, ducts", "4B3", "in buried ducts"),
    ("soil, direct", "4B3", "direct buried"),
    ("depth, ducts", "4B4", "in buried ducts"),
    ("depth, direct", "4B4", "direct buried"),
    ("insulation", "52.2", "derate of method C (or the exposed method)"),
];

fn factors() -> Block {
    let mut rows = Vec::new();
    for (word, table, variant) in FACTORS {
        rows.extend(of_table("correction_factors", |row| {
            let used = row.text("table") == table && row.text("variant") == variant;
            // No factor above 1 is given: the harsher of print and none.
            let factor = row.number("factor").filter(|_| used)?.min(1.0);
            let value = row.number("value").unwrap_or_default();
            let words = [table, row.text("unit"), row.text("status"), row.text("source")].map(Value::from);
            Some([word.into(), value.into(), factor.into()].into_iter().chain(words).collect())
        }));
    }
    Block::new(
        "Rating factors; between lines the harsher one",
        &[
            ("factor_words", "factor"),
            ("factor_values", "up to"),
            ("factor_factors", "factor, at most 1"),
            ("", "table"),
            ("", "unit"),
            ("", "status"),
            ("", "source"),
        ],
        rows,
    )
}

fn devices(rules: &Rules) -> Block {
    let lines = rules.circuit.device_for_setting.iter();
    let rows = lines.map(|[setting, device]| vec![(*setting).into(), (*device).into(), "rules, [circuit]".into()]);
    let columns = [("setting_currents", "charging current, A"), ("setting_devices", "device, A"), ("", "source")];
    Block::new("Device for a charging current", &columns, rows.collect())
}

fn ratings() -> Block {
    let rows = of_table("device_ratings", |row| {
        Some(vec![row.number("rating_a")?.into(), row.text("status").into(), row.text("source").into()])
    });
    Block::new("Preferred ratings of devices", &[("device_ratings", "A"), ("", "status"), ("", "source")], rows)
}

fn breakers() -> Block {
    let rows = of_table("disconnection", |row| {
        let curve = Some(row.text("breaker_type")).filter(|curve| matches!(*curve, "B" | "C" | "D"))?;
        let within = row.number("disconnection_time_s") == Some(0.4);
        let rating = row.number("rated_current_a").filter(|_| within)?;
        let limit = row.number("zs_max_ohm")?;
        Some(vec![curve.into(), rating.into(), limit.into(), row.text("status").into(), row.text("source").into()])
    });
    Block::new(
        "Greatest earth-fault loop of a breaker, 0.4 s",
        &[
            ("breaker_curves", "curve"),
            ("breaker_ratings", "rating, A"),
            ("breaker_limits", "Zs at most, Ω"),
            ("", "status"),
            ("", "source"),
        ],
        rows,
    )
}

fn curves() -> Block {
    use crate::reference::Curve;
    let rows = [Curve::B, Curve::C, Curve::D];
    let rows = rows
        .map(|curve| vec![curve.word().into(), curve.certain_multiple().into(), "print".into(), "BS EN 60898".into()]);
    let columns =
        [("curve_words", "curve"), ("curve_multiples", "certain at, times its rating"), ("", "status"), ("", "source")];
    Block::new("Tripping characteristics", &columns, rows.to_vec())
}

fn let_through() -> Block {
    let rows = of_table("let_through", |row| {
        let figures = ["rating_to_a", "fault_ka", "i2t_a2s"].map(|column| Value::Number(row.needed(column)));
        let words = [row.text("status"), row.text("source")].map(Value::from);
        Some([row.text("curve").into()].into_iter().chain(figures).chain(words).collect())
    });
    Block::new(
        "Energy that a breaker of class 3 lets through",
        &[
            ("let_through_curves", "curve"),
            ("let_through_ratings", "rating up to, A"),
            ("let_through_kas", "fault up to, kA"),
            ("let_through_energies", "A²s"),
            ("", "status"),
            ("", "source"),
        ],
        rows,
    )
}

/// Stands for "without a bound" in a table of bounds.
const NO_BOUND: f64 = 1e9;

fn earthing_sizes() -> Block {
    let rows = of_table("earthing_sizes", |row| {
        let up_to = row.number("up_to").unwrap_or(NO_BOUND);
        let cells = [row.text("kind").into(), up_to.into(), row.needed("mm2").into()];
        Some(cells.into_iter().chain([row.text("status").into(), row.text("source").into()]).collect())
    });
    Block::new(
        "Earthing and bonding sizes (up to 1 000 000 000: without a bound)",
        &[("earth_words", "for"), ("earth_up_tos", "up to"), ("earth_mm2s", "mm²"), ("", "status"), ("", "source")],
        rows,
    )
}

fn points(rules: &Rules) -> Block {
    let point = |phases: u8| {
        let point = rules.charge_point(phases)?;
        let terminal = point.largest_terminal_mm2;
        Some(vec![
            f64::from(phases).into(),
            terminal.into(),
            point.largest_setting_a.into(),
            if point.answers_open_pen { "yes" } else { "no" }.into(),
            if point.open_pen_method.is_empty() { "none".into() } else { point.open_pen_method.as_str().into() },
            "rules, [[charge_point]]".into(),
        ])
    };
    Block::new(
        "Charge points",
        &[
            ("point_phases", "phases"),
            ("point_terminals", "largest terminal, mm²"),
            ("point_largest", "largest setting, A"),
            ("point_answers_words", "answers an open PEN"),
            ("point_methods", "by"),
            ("", "source"),
        ],
        [1, 3].into_iter().filter_map(point).collect(),
    )
}

/// The place of an effect, from none (0) to what stops (4).
pub(super) fn effect_rank(effect: Effect) -> f64 {
    [Effect::None, Effect::Note, Effect::Step, Effect::Holds, Effect::Stops]
        .iter()
        .position(|other| *other == effect)
        .map_or(0.0, |place| place as f64)
}

fn codes(rules: &Rules) -> Block {
    let used = |code: &str| super::lines::checks().iter().any(|line| line.code.contains(&format!("\"{code}\"")));
    let not_fit = ["demand-over-limit", "demand-near-limit", "demand-over-limit-unproven"];
    let reasons = reasons().into_iter().filter(|reason| used(reason.code) || not_fit.contains(&reason.code));
    let rows = reasons.map(|reason| {
        let effect = rules.effect_of(reason);
        let outcome = super::super::findings::outcome(Finding::new("answers").because(reason.code).outcome);
        vec![
            reason.code.into(),
            effect.word().into(),
            effect_rank(effect).into(),
            outcome.into(),
            "table of effects and rules, [effects]".into(),
        ]
    });
    Block::new(
        "Reasons and what they do to a verdict",
        &[
            ("code_words", "reason code"),
            ("code_effects", "effect"),
            ("code_ranks", "as a number"),
            ("code_outcomes", "outcome"),
            ("", "source"),
        ],
        rows.collect(),
    )
}
