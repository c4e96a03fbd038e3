//! What a network operator must hear of a site, in the JSON document.

use crate::operators::Entry;
use schemars::JsonSchema;
use serde::Serialize;

/// The row of a site on the schedule of its operator.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct OperatorScheduleRecord<'a> {
    /// Number of the distributor; null in Northern Ireland and where it is not known.
    pub distributor: Option<u8>,
    /// From what the operator is known.
    #[schemars(extend("enum" = ["mpan", "stated", "postcode", "unknown"]))]
    pub distributor_from: &'static str,
    /// Distributors that it may be where it is not known, or within whose network an independent one may lie.
    pub may_be: &'a [u8],
    /// How it is dealt with; never laxer than `operator_route`.
    #[schemars(extend("enum" = [
        "notify", "ask first", "apply", "engage first, then notify", "engage first, then ask", "engage first, then apply"
    ]))]
    pub route: &'static str,
    /// Rules of the operators' common process that make it so, R1 to R17.
    pub operator_rules: &'a [&'static str],
    /// Day of installation: a programme's, else once everything is settled and the weeks of the rules after it.
    pub planned: Option<String>,
    /// Last day to apply, ask or engage, so that even a late answer is there by then; the day of the run where it is past.
    pub apply_by: Option<String>,
    /// Day by which the answer is likely if it is asked for on the day of the run, bank holidays not counted.
    pub answer_by: Option<String>,
    /// Last day of the notice; null where it is applied for.
    pub notify_by: Option<String>,
    /// What the row lacks to be complete, and what on it is in doubt.
    pub schedule_missing: Vec<&'a str>,
}

impl<'a> OperatorScheduleRecord<'a> {
    pub(super) fn new(entry: &'a Entry) -> Self {
        let day = |day: Option<jiff::civil::Date>| day.map(|day| day.to_string());
        let dates = &entry.dates;
        Self {
            distributor: entry.who.operator.distributor(),
            distributor_from: entry.who.from.word(),
            may_be: &entry.who.may_be,
            route: entry.route.word(entry.engage_early),
            operator_rules: &entry.rules,
            planned: day(dates.planned),
            apply_by: day(dates.apply_by),
            answer_by: day(dates.answer_by),
            notify_by: day(dates.notify_by),
            schedule_missing: entry.missing.iter().map(AsRef::as_ref).collect(),
        }
    }

    /// The same as one text, for the plain table.
    pub(super) fn text(&self) -> String {
        let known = match self.distributor {
            Some(number) => format!("operator {number} by {}", self.distributor_from),
            None => format!("operator without a number by {}", self.distributor_from),
        };
        let by =
            |what: &str, day: &Option<String>| day.as_ref().map(|day| format!(", {what} {day}")).unwrap_or_default();
        format!(
            "{known}, {} ({}){}{}{}{}",
            self.route,
            self.operator_rules.join(" "),
            by("planned", &self.planned),
            by("apply by", &self.apply_by),
            by("answer by", &self.answer_by),
            by("notify by", &self.notify_by)
        )
    }
}
