//! Whom to call, what to bring and what stops the work, as data (`calls.csv`, `tools.csv`, `stops.csv`): each line with the
//! condition under which it stands on a card. Where it is not known whether a condition holds, it does.

use crate::design::{Control, EarthingPath, Work};
use crate::finding::Route;
use crate::site::{Site, Tenure};
use crate::table::Table;
use crate::verdict::Judgement;
use std::collections::BTreeSet;

/// Reasons that make a call to whoever consents.
const CONSENTS: [&str; 5] =
    ["consent-pending", "consent-refused", "listed-building", "leaseholder-consultation", "higher-risk-building"];
/// Reasons that make the cut-out one to be reported.
const UNSAFE: [&str; 2] = ["cutout-unsafe", "cutout-doubtful"];
/// Reasons that ask for an asbestos survey.
const ASBESTOS: [&str; 2] = ["asbestos-on-route", "asbestos-unrecorded"];

/// Conditions of calls that are worth making although nothing can be fitted.
const WITHOUT_A_JOB: [&str; 5] = ["cutout-unsafe", "consent", "landlord", "apply", "home"];

/// The conditions that hold at a site.
pub(super) struct Terms(BTreeSet<&'static str>);

impl Terms {
    pub(super) fn of(site: &Site, judgement: &Judgement) -> Self {
        let mut held = BTreeSet::from(["always"]);
        let mut hold = |condition: bool, word: &'static str| {
            if condition {
                held.insert(word);
            }
        };
        let has = |codes: &[&str]| judgement.reasons.iter().any(|reason| codes.contains(&reason.code));
        hold(has(&UNSAFE), "cutout-unsafe");
        hold(has(&CONSENTS), "consent");
        hold(judgement.operator_route == Route::Apply, "apply");
        hold(judgement.operator_route != Route::None, "notify");
        let home = site.is_home();
        hold(home, "home");
        hold(!home, "site");
        // Whoever does not say that it is their own has somebody to ask.
        hold(site.identity.tenure.stated() != Some(&Tenure::Owner), "landlord");
        let chosen = judgement.chosen.as_ref();
        let works = || chosen.into_iter().flat_map(|chosen| &chosen.works);
        let touched = |work: &Work| matches!(work, Work::TailsUpgrade { .. } | Work::Isolator);
        hold(works().any(touched), "isolation");
        hold(has(&ASBESTOS) || works().any(|work| *work == Work::AsbestosSurvey), "asbestos");
        let bill = || judgement.estimate.iter().flat_map(|estimate| &estimate.bill).map(|line| line.item);
        let dug = chosen.is_some_and(|chosen| chosen.runs.iter().any(|run| run.buried_m > 0.0));
        hold(dug || bill().any(|item| item.starts_with("trench-") || item == "earth-rod"), "buried");
        hold(bill().any(|item| item == "street-works-package"), "street-works");
        hold(bill().any(|item| item == "core-drill-parts"), "drill");
        hold(bill().any(|item| item == "access-equipment"), "height");
        if let Some(chosen) = chosen {
            hold(chosen.supply_phases == 3, "three-phase");
            hold(chosen.control != Control::None, "clamp");
            hold(chosen.earthing == EarthingPath::Electrode, "electrode");
            let answers = [EarthingPath::SupplyEarthOpenPen, EarthingPath::SupplyEarthOpenPenDevice];
            hold(answers.contains(&chosen.earthing), "open-pen");
        }
        Self(held)
    }

    /// What goes before a job only is no matter where there is none.
    pub(super) fn calls_without_a_job(&self) -> Vec<String> {
        let held = self.0.iter().copied().filter(|word| WITHOUT_A_JOB.contains(word)).collect();
        Self(held).calls()
    }

    fn lines(&self, csv: &'static str, words: [&str; 2]) -> Vec<String> {
        let rows = Table::of(csv);
        let lines = rows.rows().filter(|row| self.0.contains(row.text("when")));
        lines
            .map(|row| match row.text(words[1]) {
                "" => format!("☐ {}", row.text(words[0])),
                further => format!("☐ {}: {further}", row.text(words[0])),
            })
            .collect()
    }

    pub(super) fn calls(&self) -> Vec<String> {
        self.lines(include_str!("calls.csv"), ["who", "what"])
    }

    pub(super) fn tools(&self) -> Vec<String> {
        self.lines(include_str!("tools.csv"), ["tool", ""])
    }

    pub(super) fn stops(&self) -> Vec<String> {
        let lines = self.lines(include_str!("stops.csv"), ["sign", "then"]);
        lines.into_iter().map(|line| line.replacen("☐ ", "■ ", 1)).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_line_has_a_condition_that_can_hold_and_a_source() {
        let known = [
            "always",
            "cutout-unsafe",
            "consent",
            "apply",
            "notify",
            "home",
            "site",
            "landlord",
            "isolation",
            "asbestos",
            "buried",
            "street-works",
            "drill",
            "height",
            "three-phase",
            "clamp",
            "electrode",
            "open-pen",
        ];
        for csv in [include_str!("calls.csv"), include_str!("tools.csv"), include_str!("stops.csv")] {
            let mut lines = 0;
            for row in Table::of(csv).rows() {
                assert!(known.contains(&row.text("when")), "{}", row.text("when"));
                assert!(!row.text("status").is_empty() && !row.text("source").is_empty(), "{}", row.text("when"));
                lines += 1;
            }
            // Rows that do not parse are left out.
            assert_eq!(lines, csv.lines().count() - 1);
        }
    }
}
