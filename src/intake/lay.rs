//! Lays the answers of one row over a site: blanks are filled, disagreements are kept, nothing is overwritten unless
//! both rows are dated and the other is the later survey. What belongs to an answer (evidence to a rating, method to a
//! demand) comes and stays with that answer. It knows readings, not files.

use super::raw::words_of;
use super::slots::{Slot, slot};
use crate::site::{Answer, Field, Reading, Site, SurveyMethod, WhyUnknown, fields};
use std::collections::BTreeMap;

/// Fields that belong to another: they say how, when or from where its answer was found.
const COMPANIONS: &[(&str, &str)] = &[
    ("cutout_evidence", "cutout_rating_a"),
    ("demand_method", "existing_demand_a"),
    ("distance_from", "parking_distance_m"),
    ("condition_report_date", "condition_report"),
    ("survey_method", "survey_date"),
    ("override_by", "override_verdict"),
    ("override_date", "override_verdict"),
    ("override_why", "override_verdict"),
];
/// Fields of which only one answer counts: where the site has the one, the other file's is not laid beside it.
const EITHER: &[(&str, &str)] =
    &[("existing_demand_a", "existing_demand_kw"), ("existing_demand_kw", "existing_demand_a")];
/// Answers that have to agree before a site can be judged (its cut-out, its loop, its earthing).
const CORE: &[&str] = &["cutout_rating_a", "cutout_condition", "looped_service", "earthing_system"];
/// What a later survey does not change: which place it is, and what the portfolio wants of it.
const KEPT: &[&str] = &["mpan", "distributor", "feeder_id"];
/// Fields whose difference is no disagreement.
const FREE: &[&str] = &["survey_date", "survey_method", "notes", "priority", "lot", "latitude", "longitude"];

/// What was done about one field.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Did {
    /// Neither says anything new.
    Nothing,
    /// Both say the same.
    Same,
    /// The site had no answer and was given one.
    Filled,
    /// The site's answer was in doubt, and the other states plainly what lies within it.
    Settled,
    /// They disagree; the site's answer stands.
    Kept,
    /// They disagree; the later survey's answer stands now.
    Replaced,
    /// Of two that belong together the site has one already.
    Beside(&'static str),
}

/// A change or a disagreement, with the columns of both sides before it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Change {
    pub field: &'static str,
    pub did: Did,
    /// Column in the file that the site's answer came from.
    pub column: Option<u16>,
    /// Column in the file that is laid over.
    pub other_column: Option<u16>,
    /// Whether the disagreement has to be settled before the site can be judged.
    pub open: bool,
}

/// How a field is to be taken.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Take {
    /// Blanks only.
    Blanks,
    /// The other's answer wins.
    Later,
    /// With its subject, whatever it says.
    Along,
}

/// Lays `other` over `site` and says what came of it, field by field.
pub(super) fn lay(site: &mut Site, other: &Site) -> Vec<Change> {
    let mut other = other.clone();
    let later = match (site.identity.survey_date.stated(), other.identity.survey_date.stated()) {
        (Some(own), Some(others)) => others > own,
        _ => false,
    };
    let (own_hearsay, other_hearsay) = (hearsay(site), hearsay(&other));
    let own_loop = site.supply.looped_service.clone();
    let mut changes: Vec<Change> = Vec::new();
    let mut done: BTreeMap<&str, Did> = BTreeMap::new();
    let subject_of = |name: &str| COMPANIONS.iter().find(|(own, _)| *own == name).map(|(_, subject)| *subject);
    let (subjects, companions): (Vec<&Field>, Vec<&Field>) =
        fields().iter().filter(|field| field.name != "site_id").partition(|field| subject_of(field.name).is_none());
    for field in subjects.into_iter().chain(companions) {
        let subject = subject_of(field.name);
        let of_subject = subject.map(|subject| demand_did(&done, subject));
        let changes_hands = field.group != "identity" && !KEPT.contains(&field.name)
            || matches!(field.name, "survey_date" | "survey_method");
        let take = match of_subject {
            Some(Did::Kept | Did::Beside(_)) => continue,
            Some(Did::Replaced | Did::Settled) => Take::Along,
            _ if later && changes_hands => Take::Later,
            _ => Take::Blanks,
        };
        if let Some((_, instead)) = EITHER.iter().find(|(own, _)| *own == field.name) {
            // The other way of stating the same, where the site stated it so from the start.
            let has = |site: &mut Site, name: &str| number(site, name).is_some_and(|reading| reading.is_stated());
            let fresh = matches!(done.get(instead), Some(Did::Filled | Did::Settled | Did::Replaced));
            if has(&mut other, field.name) && !has(site, field.name) && has(site, instead) && !fresh {
                let column = number(site, instead).and_then(|reading| reading.column);
                let other_column = number(&mut other, field.name).and_then(|reading| reading.column);
                done.insert(field.name, Did::Beside(instead));
                if !has(&mut other, instead) {
                    let did = Did::Beside(instead);
                    changes.push(Change { field: field.name, did, column, other_column, open: false });
                }
                continue;
            }
        }
        let Some((did, column, other_column)) = lay_field(field.name, site, &mut other, take) else { continue };
        done.insert(field.name, did);
        let filled_before = of_subject == Some(Did::Filled);
        // The rating came without the evidence that the site states for one, or with another: that is no evidence.
        let orphan = filled_before && did == Did::Nothing && states(site, field.name);
        let did = if orphan { Did::Kept } else { did };
        let about_core = CORE.contains(&field.name) || filled_before && subject.is_some_and(|on| CORE.contains(&on));
        let seen_later = did == Did::Replaced && (own_hearsay || !other_hearsay);
        match did {
            Did::Nothing | Did::Same => {}
            Did::Kept | Did::Replaced if FREE.contains(&field.name) => {}
            _ => changes.push(Change {
                field: field.name,
                did,
                column,
                other_column,
                open: about_core && !seen_later && matches!(did, Did::Kept | Did::Replaced),
            }),
        }
    }
    loop_by_hearsay(site, &own_loop, done.get("looped_service").copied(), own_hearsay, other_hearsay);
    changes
}

/// What became of a subject; a demand is stated in amperes or in kilowatts.
fn demand_did(done: &BTreeMap<&str, Did>, subject: &str) -> Did {
    let of = |name: &str| done.get(name).copied().unwrap_or(Did::Nothing);
    match (subject, of(subject)) {
        ("existing_demand_a", Did::Nothing) => of("existing_demand_kw"),
        (_, did) => did,
    }
}

fn hearsay(site: &Site) -> bool {
    matches!(site.identity.survey_method.value(), Some(SurveyMethod::Phone | SurveyMethod::Desk))
}

/// A "no loop" counts from somebody who has seen the service. One that comes from a telephone or a desk must not pass
/// for seen because the rest of the site was visited: it keeps a doubt.
fn loop_by_hearsay(site: &mut Site, own: &Reading<bool>, did: Option<Did>, own_hearsay: bool, other_hearsay: bool) {
    let from_other = matches!(did, Some(Did::Filled | Did::Settled | Did::Replaced));
    let heard = if from_other { other_hearsay } else { own_hearsay && own.is_stated() };
    let reading = &mut site.supply.looped_service;
    if heard && reading.stated() == Some(&false) {
        let by_now = matches!(site.identity.survey_method.value(), Some(SurveyMethod::Phone | SurveyMethod::Desk));
        if !by_now {
            reading.answer = Answer::Doubtful { low: false, likely: false, high: true };
        }
    }
}

fn number<'a>(site: &'a mut Site, name: &str) -> Option<&'a mut Reading<f64>> {
    match slot(name) {
        Some(Slot::Number(place)) => Some(place(site)),
        _ => None,
    }
}

fn states(site: &mut Site, name: &str) -> bool {
    // Laid over nothing, a stated answer is the only one that stays the same when it is taken along.
    lay_field(name, &mut Site::default(), site, Take::Blanks).is_some_and(|(did, ..)| did == Did::Filled)
}

type Laid = (Did, Option<u16>, Option<u16>);

macro_rules! words {
    ($($part:ident . $field:ident),+ $(,)?) => {
        /// Lays one field, whatever its kind.
        fn lay_field(name: &str, site: &mut Site, other: &mut Site, take: Take) -> Option<Laid> {
            Some(match slot(name)? {
                Slot::SiteId => return None,
                Slot::Text(place) => lay_one(place(site), place(other), same_text, take),
                Slot::Number(place) => lay_one(place(site), place(other), same_number, take),
                Slot::YesNo(place) => lay_one(place(site), place(other), same, take),
                Slot::Day(place) => lay_one(place(site), place(other), same, take),
                Slot::Word(_) => match name {
                    $(stringify!($field) => lay_one(&mut site.$part.$field, &other.$part.$field, same, take),)+
                    _ => return None,
                },
            })
        }
    };
}

words! {
    identity.premises_type, identity.tenure, identity.survey_method, identity.override_verdict, identity.nation,
    supply.metering, supply.cutout_evidence, supply.cutout_condition, supply.earthing_system, load.demand_method,
    load.heating, board.board_type, board.board_condition, board.condition_report, board.board_rcd_type,
    parking.parking_type, parking.distance_from, parking.ground_surface, permissions.consent_status,
    permissions.wayleave_status,
}

fn lay_one<T: Clone>(
    site: &mut Reading<T>,
    other: &Reading<T>,
    same: fn(&Reading<T>, &Reading<T>) -> bool,
    take: Take,
) -> Laid {
    let columns = (site.column, other.column);
    let taken = || Reading { answer: other.answer.clone(), column: None };
    let did = match (site.is_stated(), other.is_stated()) {
        (true, true) if same(site, other) && take != Take::Along => {
            if site.is_doubtful() && !other.is_doubtful() {
                *site = taken();
                Did::Settled
            } else {
                Did::Same
            }
        }
        (true, true) if take == Take::Blanks => Did::Kept,
        (true, true) => {
            let did = if same(site, other) { Did::Same } else { Did::Replaced };
            *site = taken();
            did
        }
        (false, true) => {
            *site = taken();
            Did::Filled
        }
        // What goes along with a replaced answer is not known where the other does not say it.
        (true, false) if take == Take::Along => {
            *site = Reading { answer: Answer::Unknown(WhyUnknown::Missing), column: None };
            Did::Replaced
        }
        (false, false) => {
            // Asked there and not answered; a reason why says more than a blank.
            let blank = matches!(site.answer, Answer::NotAsked | Answer::Unknown(WhyUnknown::Missing));
            if blank && other.was_asked() {
                *site = taken();
            }
            Did::Nothing
        }
        (true, false) => Did::Nothing,
    };
    (did, columns.0, columns.1)
}

fn same<T: PartialEq>(one: &Reading<T>, two: &Reading<T>) -> bool {
    one.likely() == two.likely()
}

fn same_text(one: &Reading<String>, two: &Reading<String>) -> bool {
    one.likely().zip(two.likely()).is_some_and(|(one, two)| words_of(one) == words_of(two))
}

/// Numbers agree where their ranges meet.
fn same_number(one: &Reading<f64>, two: &Reading<f64>) -> bool {
    one.ends().zip(two.ends()).is_some_and(|((low, _, high), (other_low, _, other_high))| {
        let slack = 1e-9 * high.abs().max(other_high.abs());
        *low <= other_high + slack && *other_low <= high + slack
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::site::CutoutEvidence;
    use jiff::civil::date;

    fn main() -> Site {
        let mut site = Site::default();
        site.supply.cutout_rating_a = Reading::of(80.0);
        site.supply.cutout_evidence = Reading::unknown();
        site.supply.looped_service = Reading::unknown();
        site.parking.parking_distance_m = Reading::of(12.0);
        site
    }

    fn did(changes: &[Change], field: &str) -> Option<(Did, bool)> {
        changes.iter().find(|change| change.field == field).map(|change| (change.did, change.open))
    }

    #[test]
    fn blanks_are_filled_and_what_is_stated_stands() {
        let (mut site, mut other) = (main(), Site::default());
        other.supply.looped_service = Reading::of(true);
        other.supply.cutout_rating_a = Reading::of(60.0);
        other.parking.parking_distance_m = Reading::of(12.0);
        let changes = lay(&mut site, &other);
        assert_eq!(site.supply.looped_service.stated(), Some(&true));
        assert_eq!(site.supply.cutout_rating_a.value(), Some(80.0));
        assert_eq!(did(&changes, "looped_service"), Some((Did::Filled, false)));
        assert_eq!(did(&changes, "cutout_rating_a"), Some((Did::Kept, true)));
        assert_eq!(did(&changes, "parking_distance_m"), None);
    }

    #[test]
    fn evidence_for_one_rating_is_no_evidence_for_another() {
        let (mut site, mut other) = (main(), Site::default());
        other.supply.cutout_rating_a = Reading::of(60.0);
        other.supply.cutout_evidence = Reading::of(CutoutEvidence::Fuse);
        lay(&mut site, &other);
        assert!(site.supply.cutout_evidence.is_unknown());
        other.supply.cutout_rating_a = Reading::of(80.0);
        lay(&mut site, &other);
        assert!(site.supply.cutout_evidence.is(CutoutEvidence::Fuse));
        // A rating that comes without evidence does not get the evidence of an earlier blank.
        let mut site = main();
        site.supply.cutout_rating_a = Reading::unknown();
        site.supply.cutout_evidence = Reading::of(CutoutEvidence::Fuse);
        let mut bare = Site::default();
        bare.supply.cutout_rating_a = Reading::of(100.0);
        let changes = lay(&mut site, &bare);
        assert_eq!(did(&changes, "cutout_evidence"), Some((Did::Kept, true)));
    }

    #[test]
    fn a_later_survey_wins_with_its_own_evidence_and_not_by_hearsay() {
        let (mut site, mut other) = (main(), Site::default());
        site.supply.cutout_evidence = Reading::of(CutoutEvidence::Label);
        site.identity.survey_date = Reading::of(date(2025, 3, 1));
        other.identity.survey_date = Reading::of(date(2026, 3, 1));
        other.supply.cutout_rating_a = Reading::of(60.0);
        let mut phoned = other.clone();
        phoned.identity.survey_method = Reading::of(SurveyMethod::Phone);
        let (mut seen, mut older) = (site.clone(), site.clone());
        let changes = lay(&mut seen, &other);
        assert_eq!(did(&changes, "cutout_rating_a"), Some((Did::Replaced, false)));
        assert!(seen.supply.cutout_rating_a.is(60.0) && seen.supply.cutout_evidence.is_unknown());
        assert_eq!(did(&lay(&mut site, &phoned), "cutout_rating_a"), Some((Did::Replaced, true)));
        other.identity.survey_date = Reading::of(date(2024, 3, 1));
        assert_eq!(did(&lay(&mut older, &other), "cutout_rating_a"), Some((Did::Kept, true)));
    }

    #[test]
    fn a_demand_stated_in_kilowatts_is_not_overruled_by_amperes() {
        let (mut site, mut other) = (main(), Site::default());
        site.load.existing_demand_kw = Reading::of(12.0);
        other.load.existing_demand_a = Reading::of(20.0);
        let changes = lay(&mut site, &other);
        assert!(!site.load.existing_demand_a.is_stated());
        assert_eq!(did(&changes, "existing_demand_a"), Some((Did::Beside("existing_demand_kw"), false)));
        let mut blank = main();
        lay(&mut blank, &other);
        assert!(blank.load.existing_demand_a.is(20.0));
    }

    #[test]
    fn a_loop_denied_on_the_telephone_keeps_its_doubt() {
        let (mut site, mut other) = (main(), Site::default());
        site.identity.survey_method = Reading::of(SurveyMethod::Visit);
        other.identity.survey_method = Reading::of(SurveyMethod::Phone);
        other.supply.looped_service = Reading::of(false);
        lay(&mut site, &other);
        assert!(site.supply.looped_service.is_doubtful());
    }

    #[test]
    fn a_doubt_is_settled_by_what_lies_within_it_and_the_evidence_comes_along() {
        let (mut site, mut other) = (main(), Site::default());
        let queried = Answer::Doubtful { low: 48.0, likely: 80.0, high: 80.0 };
        site.supply.cutout_rating_a = Reading { answer: queried, column: Some(4) };
        site.supply.cutout_evidence = Reading::of(CutoutEvidence::Carrier);
        other.supply.cutout_rating_a = Reading::of(60.0);
        other.supply.cutout_evidence = Reading::of(CutoutEvidence::Fuse);
        let mut beyond = other.clone();
        beyond.supply.cutout_rating_a = Reading::of(100.0);
        let before = site.clone();
        assert_eq!(did(&lay(&mut site, &other), "cutout_rating_a"), Some((Did::Settled, false)));
        assert_eq!(site.supply.cutout_rating_a.stated(), Some(&60.0));
        assert!(site.supply.cutout_evidence.is(CutoutEvidence::Fuse));
        let mut site = before;
        assert_eq!(did(&lay(&mut site, &beyond), "cutout_rating_a"), Some((Did::Kept, true)));
        assert!(site.supply.cutout_rating_a.is_doubtful());
    }

    #[test]
    fn a_blank_there_is_a_question_asked() {
        let (mut site, mut other) = (Site::default(), Site::default());
        other.supply.tails_mm2 = Reading::unknown();
        assert!(lay(&mut site, &other).is_empty());
        assert!(site.supply.tails_mm2.is_unknown() && !site.supply.ze_ohm.was_asked());
    }

    #[test]
    fn every_field_can_be_laid() {
        for field in fields().iter().filter(|field| field.name != "site_id") {
            let laid = lay_field(field.name, &mut Site::default(), &mut Site::default(), Take::Blanks);
            assert!(laid.is_some(), "{}", field.name);
        }
    }
}
