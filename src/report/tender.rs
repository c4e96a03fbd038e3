//! Sheet Tender notes: where the price of a bid is most at risk, what to ask the client, what is left out, and which
//! grants may be had.

use super::Run;
use super::figures::{self, date, thousands};
use super::grid::{Cell, Form, Heading, Paper, Row, Rows, Sheet, heading, names};
use crate::estimate::RestsOn;
use crate::portfolio::{Bid, GrantSum, exclusions, grants, questions};
use crate::quantity::Pence;

/// The sheet.
pub(super) fn sheet<'a>(run: &'a Run<'a>, bid: &'a Bid) -> Sheet<'a> {
    let sites = &run.portfolio.sites;
    let mut rows: Vec<Row<'a>> = Vec::new();
    let spread = bid.whole.doubt.deviation();
    for cause in &bid.causes {
        let where_to =
            if cause.everywhere >= cause.by_site { "much the same at every site" } else { "differs by site" };
        rows.push(vec![
            "at risk: what".into(),
            cause.cause.said().into(),
            bid.whole.sites.into(),
            Cell::Percent(cause.share()),
            Cell::Blank,
            format!("share of the variance of the direct cost; {where_to}").into(),
        ]);
    }
    for own in bid.riskiest.iter().filter_map(|at| bid.sites.get(*at)) {
        let Some(site) = sites.get(own.at) else { continue };
        let (brief, doubt) = (&site.judgement.brief, site.judgement.estimate.as_ref().map(|estimate| estimate.doubt));
        rows.push(vec![
            "at risk: where".into(),
            format!("{} {}", brief.site_id, brief.address).into(),
            1_u32.into(),
            Cell::Percent(own.share_of_spread),
            Cell::Money(doubt.map(|doubt| doubt.levels().p90).unwrap_or_default()),
            "share of the variance; in pounds its direct cost at P90".into(),
        ]);
    }
    rows.push(vec![
        "at risk: all".into(),
        "standard deviation of the direct cost of the whole".into(),
        bid.whole.sites.into(),
        Cell::Blank,
        Cell::Money(Pence::from_pounds(spread)),
        "sites share causes, so it is less than the sum over sites and more than independent sites would have".into(),
    ]);
    let priced = bid.sites.iter().filter_map(|own| sites.get(own.at)?.judgement.estimate.as_ref());
    let money = priced.fold(RestsOn::default(), |sum, estimate| sum.plus(estimate.rests_on));
    if let Some(words) = figures::rests_on(&money) {
        rows.push(vec![
            "rests on".into(),
            format!("of the direct cost, {words}").into(),
            bid.whole.sites.into(),
            money.illustrative_share().map_or(Cell::Blank, Cell::Percent),
            Cell::Money(money.illustrative),
            "share and pounds on illustrative prices: if any of a line's price, hours or labour rate is illustrative"
                .into(),
        ]);
    }
    for question in questions(sites, bid) {
        rows.push(vec![
            "question".into(),
            question.question.into(),
            question.sites.into(),
            Cell::Blank,
            Cell::Money(question.hangs_on_it),
            match question.where_assumed {
                true => format!("{} is assumed there; in pounds the likely cost of what hangs on it", question.field),
                false => "the survey does not tell; in pounds the likely cost of what hangs on it".to_owned(),
            }
            .into(),
        ]);
    }
    for exclusion in exclusions(sites, bid) {
        rows.push(vec!["not in it".into(), exclusion.text.into(), exclusion.sites.into()]);
    }
    rows.extend(grants(sites, bid, run.as_of).iter().map(grant));
    Sheet {
        name: names::TENDER,
        subject: "Notes to the bid",
        headings: headings(),
        frozen: 1,
        printed: None,
        paper: Paper::A4,
        rows: Rows::few(rows),
    }
}

fn headings() -> Vec<Heading<'static>> {
    use Form::{Percent, Pounds, Text, Whole, Wrapped};
    vec![
        heading("Note", 14.0, Text),
        heading("What", 60.0, Wrapped),
        heading("Sites", 7.0, Whole),
        heading("Share", 7.0, Percent),
        heading("£", 11.0, Pounds),
        heading("Remark", 60.0, Wrapped),
    ]
}

fn grant<'a>(grant: &GrantSum) -> Row<'a> {
    let mut said = format!(
        "{} sockets counted, to be finished by {}; {}. Schemes change at short notice: check before relying on it; not \
         taken off the price. {}.",
        thousands(grant.sockets.into()),
        date(grant.until),
        grant.remark,
        grant.source
    );
    for (count, why) in [
        (grant.beyond_limit, "sockets beyond the yearly limit are not counted"),
        (grant.too_late, "sites would be finished after its end and are not counted"),
        (grant.tenure_unknown, "sites do not state their tenure and are not counted"),
    ] {
        if count > 0 {
            said.push_str(&format!(" {} {why}.", thousands(count.into())));
        }
    }
    vec!["grant".into(), grant.name.into(), grant.sites.into(), Cell::Blank, Cell::Money(grant.amount), said.into()]
}
