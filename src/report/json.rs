//! The whole result as one JSON document, written as it is made: no more than one site is held at a time.

use super::as_read::{SetAsideRecord, set_aside};
use super::assumptions::editions;
use super::bid_record::BidRecord;
use super::clusters_record::{self, ClusterRecord};
use super::gaps_record::{self, GapsRecord};
use super::joined_files::{self, JoinedFileRecord};
use super::json_lines::LineASite;
use super::order_record::OrderRecord;
use super::programme::{self, ProgrammeRecord};
use super::record::{SiteRecord, records};
use super::record_parts::{RestsOnRecord, UnlockRecord, rests_on};
use super::scenario_record::{self, ScenarioRecord};
use super::sharing::{self, SharedWithoutRecord};
use super::visits::{self, LikelyReadyRecord, VisitRecord};
use super::{Inputs, Run};
use crate::portfolio::{Group, Summary};
use crate::quantity::{Pence, round_to};
use schemars::JsonSchema;
use serde::{Serialize, Serializer};
use std::io::{self, Write};

/// The document.
#[derive(Serialize, JsonSchema)]
pub struct Document<'a> {
    /// Version of the program.
    pub baywright: &'a str,
    /// Names and digests of what the run rests on.
    pub inputs: &'a Inputs,
    /// The edition designs are stamped with, then those that checks were taken from.
    pub editions: Vec<String>,
    /// The portfolio in figures.
    pub summary: SummaryRecord<'a>,
    /// One object a site, in rank order.
    #[schemars(with = "Vec<SiteRecord<'static>>")]
    pub sites: Sites<'a>,
    /// Rows that cannot be judged.
    pub set_aside: Vec<SetAsideRecord<'a>>,
    /// The bid for the sites chosen; null where none of them has a price.
    pub bid: Option<BidRecord<'a>>,
    /// What to buy for the sites chosen, and from which drum each piece of cable is cut.
    pub order: OrderRecord<'a>,
    /// Sites that hang together, greatest load first: what they take against what their length of network can carry.
    pub clusters: Vec<ClusterRecord<'a>>,
    /// The sites to visit, as many as were asked for: each narrows most after those before it.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schemars(default)]
    pub visits: Vec<VisitRecord<'a>>,
    /// Which sites are done when and by whom; only where a programme was asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(default)]
    pub programme: Option<ProgrammeRecord<'a>>,
    /// Which answers to chase; only where the odds were asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(default)]
    pub survey_gaps: Option<GapsRecord<'a>>,
    /// The run and each scenario beside it, side by side; only where there are scenarios.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schemars(default)]
    pub scenarios: Vec<ScenarioRecord<'a>>,
    /// What became of the files laid over the portfolio; only where there are any.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schemars(default)]
    pub joined_files: Vec<JoinedFileRecord<'a>>,
    /// What was left out because it may be of a person; only where the result is to be shared.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub shared_without: Option<Vec<SharedWithoutRecord<'a>>>,
}

/// The sites of a run, made as they are written.
pub struct Sites<'a>(Run<'a>);

impl Serialize for Sites<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_seq(records(&self.0))
    }
}

/// The portfolio in figures.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct SummaryRecord<'a> {
    /// Rows under the headings with a cell filled.
    pub rows_read: usize,
    /// Rows judged.
    pub rows_judged: usize,
    /// Rows set aside.
    pub rows_set_aside: usize,
    /// Sites ready, overrides counted.
    pub ready: u32,
    /// Sites marginal.
    pub marginal: u32,
    /// Sites blocked.
    pub blocked: u32,
    /// How unasked facts were taken.
    #[schemars(extend("enum" = ["screen", "commit"]))]
    pub stance: &'a str,
    /// Sites ready if everything that nobody asked is held.
    pub ready_if_committed: u32,
    /// How many will prove ready once everything open is settled; null where the odds were left out.
    pub likely_ready: Option<LikelyReadyRecord>,
    /// Date of the run.
    pub as_of: String,
    /// Sites whose verdict an engineer has set.
    pub overridden: u32,
    /// Cost and points of the ready sites.
    pub ready_total: GroupRecord,
    /// Cost and points of the marginal sites.
    pub marginal_total: GroupRecord,
    /// Cost of the cheapest ways out of the blocked sites.
    pub blocked_total: GroupRecord,
    /// On what kind of prices the likely cost of ready and marginal sites rests.
    pub rests_on: RestsOnRecord,
    /// Marginal sites by what they wait for first.
    pub waiting: Vec<CountRecord>,
    /// Reasons that stop or hold, commonest first.
    pub reasons: Vec<CountRecord>,
    /// What would move most, best first.
    pub moves: Vec<MoveRecord>,
    /// Remedies of the cheapest ways out, in the order that unlocks most sites for least.
    pub unlocks: Vec<UnlockRecord>,
}

/// Cost before tax and points of a group of sites. Low, likely and high are added point by point; P10 to P90 are what
/// the total does not exceed with that chance, for installations (null for blocked sites). Tax is that on the likely cost.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[allow(missing_docs)] // each name carries its unit
pub struct GroupRecord {
    pub cost_low_gbp: f64,
    pub cost_likely_gbp: f64,
    pub cost_high_gbp: f64,
    pub cost_p10_gbp: Option<f64>,
    pub cost_p50_gbp: Option<f64>,
    pub cost_p80_gbp: Option<f64>,
    pub cost_p90_gbp: Option<f64>,
    pub vat_gbp: f64,
    pub points: u32,
    pub crew_days_likely: f64,
}

/// How many sites have something.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct CountRecord {
    /// The word or code counted.
    pub of: &'static str,
    /// Sites.
    pub sites: u32,
}

/// What a step would move.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct MoveRecord {
    /// Code of the reason it settles.
    pub reason: &'static str,
    /// Sites that have it and are not ready.
    pub sites: u32,
    /// Of them, those that nothing else stops or holds.
    pub readies: u32,
}

fn group(group: &Group) -> GroupRecord {
    let levels = group.doubt.levels();
    let level = |pence: Pence| (group.doubt.mean() > 0.0).then(|| pence.pounds());
    GroupRecord {
        cost_low_gbp: group.cost.low.pounds(),
        cost_likely_gbp: group.cost.likely.pounds(),
        cost_high_gbp: group.cost.high.pounds(),
        cost_p10_gbp: level(levels.p10),
        cost_p50_gbp: level(levels.p50),
        cost_p80_gbp: level(levels.p80),
        cost_p90_gbp: level(levels.p90),
        vat_gbp: group.vat.pounds(),
        points: group.points,
        crew_days_likely: round_to(group.crew_days, 2),
    }
}

impl<'a> SummaryRecord<'a> {
    /// The figures of a run.
    pub fn new(run: &Run<'a>) -> Self {
        let summary: &Summary = &run.portfolio.summary;
        Self {
            rows_read: run.intake.rows.len(),
            rows_judged: run.portfolio.sites.len(),
            rows_set_aside: run.intake.set_aside.len(),
            ready: summary.ready.count,
            marginal: summary.marginal.count,
            blocked: summary.blocked.count,
            stance: run.stance,
            ready_if_committed: summary.ready_if_committed,
            likely_ready: summary.likely_ready.map(LikelyReadyRecord::new),
            as_of: run.as_of.to_string(),
            overridden: summary.overridden,
            ready_total: group(&summary.ready),
            marginal_total: group(&summary.marginal),
            blocked_total: group(&summary.blocked),
            rests_on: rests_on(summary.ready.rests_on.plus(summary.marginal.rests_on)),
            waiting: summary
                .waiting
                .iter()
                .map(|(wait, sites)| CountRecord { of: wait.word(), sites: *sites })
                .collect(),
            reasons: summary
                .reasons
                .iter()
                .map(|(reason, sites)| CountRecord { of: reason.code, sites: *sites })
                .collect(),
            moves: summary
                .moves
                .iter()
                .map(|step| MoveRecord { reason: step.reason.code, sites: step.sites, readies: step.readies })
                .collect(),
            unlocks: summary.unlocks.iter().map(UnlockRecord::new).collect(),
        }
    }
}

impl<'a> Document<'a> {
    /// The document of a run.
    pub fn new(run: &Run<'a>) -> Self {
        Self {
            baywright: run.version,
            inputs: run.inputs,
            editions: editions(run.rules),
            summary: SummaryRecord::new(run),
            sites: Sites(*run),
            set_aside: set_aside(run),
            bid: run.bid.map(|bid| BidRecord::new(run, bid)),
            order: OrderRecord::new(run),
            clusters: clusters_record::records(run),
            visits: visits::records(run),
            programme: programme::record(run),
            survey_gaps: gaps_record::record(run),
            scenarios: scenario_record::records(run),
            joined_files: joined_files::records(run),
            shared_without: sharing::records(run),
        }
    }
}

/// Writes the JSON document of `run`, one site a line.
///
/// # Errors
/// When the writer fails.
pub fn write_json(run: &Run<'_>, mut writer: impl Write) -> io::Result<()> {
    let mut serializer = serde_json::Serializer::with_formatter(&mut writer, LineASite::default());
    Document::new(run).serialize(&mut serializer).map_err(io::Error::from)?;
    writer.write_all(b"\n")?;
    writer.flush()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::fixture::Fixture;
    use serde_json::Value;

    /// The result fields of the contract, in its order.
    const FIELDS: &str = "site_id row verdict rank probability_ready confidence waits_for weeks_low weeks_likely \
        weeks_high verdict_with_neighbours cluster_id reasons override_verdict override_by override_date override_why \
        next_step operator_route charging_current_a point_phases control load_limit_setpoint_a existing_demand_a \
        maximum_demand_a supply_limit_a device_rating_a device_curve cable_type cable_csa_mm2 installation_method \
        cable_length_m current_capacity_a voltage_drop_v voltage_drop_percent zs_ohm zs_limit_ohm fault_current_a \
        earthing_path points cost_low_gbp cost_likely_gbp cost_high_gbp labour_hours_low labour_hours_likely \
        labour_hours_high labour_band decisive_unknowns remedies findings assumed bill tasks odds group_limit_a \
        points_at_once points_served energy_needed_kwh_mean energy_needed_kwh_high energy_unserved_kwh_mean \
        energy_unserved_kwh_high least_group_limit_a supply_full_year";

    fn document(sites: usize) -> (Value, String) {
        let fixture = Fixture::new(sites);
        let mut bytes = Vec::new();
        write_json(&fixture.run(), &mut bytes).expect("JSON");
        let text = String::from_utf8(bytes).expect("UTF-8");
        (serde_json::from_str(&text).expect("one document"), text)
    }

    #[test]
    fn the_document_has_every_name_of_the_contract_in_its_order() {
        let (document, text) = document(24);
        let keys = |value: &Value| value.as_object().expect("an object").keys().cloned().collect::<Vec<_>>();
        assert_eq!(
            keys(&document),
            ["baywright", "inputs", "editions", "summary", "sites", "set_aside", "bid", "order", "clusters"]
        );
        let wanted: Vec<&str> = FIELDS.split_whitespace().collect();
        for site in document["sites"].as_array().expect("a list") {
            assert_eq!(keys(site)[..wanted.len()], wanted[..]);
        }
        for name in "rows_read rows_judged rows_set_aside ready marginal blocked stance ready_if_committed".split(' ') {
            assert!(!document["summary"][name].is_null(), "{name}");
        }
        assert!(document["inputs"]["price_book"]["sha256"].is_string());
        assert!(document["set_aside"][0]["why"].is_string());
        assert!(text.lines().count() >= 24, "one site a line");
    }

    #[test]
    fn rows_read_are_judged_or_set_aside() {
        let (document, _) = document(24);
        let of = |name: &str| document["summary"][name].as_u64().expect(name);
        assert_eq!(of("rows_read"), of("rows_judged") + of("rows_set_aside"));
        assert_eq!(of("ready") + of("marginal") + of("blocked"), of("rows_judged"));
        assert_eq!(document["sites"].as_array().map(Vec::len), Some(of("rows_judged") as usize));
    }

    #[test]
    fn clusters_hold_what_their_sites_say() {
        let fixture = Fixture::clustered(24);
        let mut bytes = Vec::new();
        write_json(&fixture.run(), &mut bytes).expect("JSON");
        let document: Value = serde_json::from_slice(&bytes).expect("one document");
        let of = |value: &Value, name: &str| value[name].as_array().expect(name).clone();
        let sites = of(&document, "sites");
        let mut told = 0;
        for cluster in of(&document, "clusters") {
            for served in of(&cluster, "served") {
                let site = sites.iter().find(|site| site["site_id"] == served["site_id"]).expect("its site");
                assert_eq!(site["cluster_id"], cluster["cluster_id"]);
                assert_eq!(site["neighbours_reason"].is_null(), served["fits"] == true);
                told += 1;
            }
            assert!(cluster["load_uncontrolled_kva"].as_f64() >= cluster["base_likely_kva"].as_f64());
        }
        assert!(told > 12 && sites[23]["shared_with"]["points_left"] == 3);
    }

    #[test]
    fn parts_of_a_site_have_the_fields_of_the_contract() {
        let (document, _) = document(24);
        let some = |list: &str| {
            let mut sites = document["sites"].as_array().expect("a list").iter();
            sites.find_map(|site| site[list].get(0).cloned()).expect(list)
        };
        for (list, fields) in [
            ("findings", "check clause source value limit unit outcome effect"),
            ("assumed", "field value source"),
            ("bill", "item quantity unit cost_likely_gbp"),
            ("tasks", "task hours_likely"),
            ("remedies", "set cost_likely_gbp weeks_likely payer kind"),
        ] {
            let entry = some(list);
            for field in fields.split(' ') {
                assert!(entry.get(field).is_some(), "{list}: {field}");
            }
        }
    }
}
