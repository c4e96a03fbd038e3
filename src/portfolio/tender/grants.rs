//! Grants that sites of a bid may have: dated data, never counted after their end, never taken off a price.

use super::priced;
use crate::portfolio::{Bid, Ranked};
use crate::quantity::Pence;
use crate::table::{Row, Table};
use jiff::ToSpan;
use jiff::civil::Date;
use std::sync::OnceLock;

const GRANTS: &str = include_str!("grants.csv");

/// What one scheme may give.
#[derive(Clone, Debug, PartialEq)]
pub struct GrantSum {
    /// Code of the scheme.
    pub code: &'static str,
    /// In words.
    pub name: &'static str,
    /// Last day on which work may be finished.
    pub until: Date,
    /// Who may have it and what limits it.
    pub remark: &'static str,
    /// Where that is from, and how well it is known.
    pub source: String,
    /// Sites that could have it by premises and tenure.
    pub sites: u32,
    /// Sockets counted, within the yearly limit.
    pub sockets: u32,
    /// Sockets that could have had it but for the limit.
    pub beyond_limit: u32,
    /// Sites not counted because they would be finished after the end.
    pub too_late: u32,
    /// Sites not counted because nobody stated their tenure.
    pub tenure_unknown: u32,
    /// What the sockets counted may be given.
    pub amount: Pence,
}

struct Scheme {
    code: &'static str,
    name: &'static str,
    remark: &'static str,
    source: String,
    premises: Vec<String>,
    tenures: Vec<String>,
    share: f64,
    per_socket: Pence,
    a_year: Option<u32>,
    a_site: Option<u32>,
    from: Date,
    until: Date,
}

fn scheme(row: &Row<'_>) -> Option<Scheme> {
    let list = |column: &str| -> Vec<String> {
        row.text(column).split('|').filter(|word| !word.is_empty()).map(str::to_owned).collect()
    };
    Some(Scheme {
        code: row.kept("code"),
        name: row.kept("name"),
        remark: row.kept("remark"),
        source: format!("{}, {}", row.text("source"), row.text("status")),
        premises: list("premises"),
        tenures: list("tenures"),
        share: row.needed("share_percent") / 100.0,
        per_socket: Pence::from_pounds(row.needed("per_socket_gbp")),
        a_year: row.number("sockets_a_year").map(|count| count as u32),
        a_site: row.number("a_site").map(|count| count as u32),
        from: row.text("from").parse().ok()?,
        until: row.text("until").parse().ok()?,
    })
}

fn schemes() -> &'static [Scheme] {
    static SCHEMES: OnceLock<Vec<Scheme>> = OnceLock::new();
    SCHEMES.get_or_init(|| Table::of(GRANTS).rows().filter_map(|row| scheme(&row)).collect())
}

/// What each scheme may give the sites of a bid. A site has the first scheme of the table that fits; it counts when it
/// would be finished by the scheme's end: the date of the run and the site's likely weeks. Sockets are counted in the
/// order of the ranking up to the yearly limit.
pub fn grants(sites: &[Ranked], bid: &Bid, as_of: Date) -> Vec<GrantSum> {
    let mut sums: Vec<(&Scheme, GrantSum)> = schemes()
        .iter()
        .map(|scheme| {
            let sum = GrantSum {
                code: scheme.code,
                name: scheme.name,
                until: scheme.until,
                remark: scheme.remark,
                source: scheme.source.clone(),
                sites: 0,
                sockets: 0,
                beyond_limit: 0,
                too_late: 0,
                tenure_unknown: 0,
                amount: Pence(0),
            };
            (scheme, sum)
        })
        .collect();
    for (own, (site, _)) in bid.sites.iter().zip(priced(sites, bid)) {
        let brief = &site.judgement.brief;
        let premises = brief.premises.map_or("", crate::site::Premises::word);
        let fits = |scheme: &Scheme| scheme.premises.iter().any(|word| word == premises);
        let tenure_known = !brief.tenure.is_empty();
        let found = sums.iter_mut().find(|(scheme, _)| {
            let tenure = scheme.tenures.is_empty() || !tenure_known || scheme.tenures.iter().any(|w| w == brief.tenure);
            fits(scheme) && tenure
        });
        let Some((scheme, sum)) = found else { continue };
        if !scheme.tenures.is_empty() && !tenure_known {
            sum.tenure_unknown += 1;
            continue;
        }
        sum.sites += 1;
        let weeks = site.judgement.weeks.map_or(0, |weeks| i64::from(weeks.likely));
        let finished = as_of.checked_add(weeks.weeks()).unwrap_or(Date::MAX);
        if as_of < scheme.from || finished > scheme.until {
            sum.too_late += 1;
            continue;
        }
        let points = site.judgement.chosen.as_ref().map_or(1, |chosen| chosen.points).max(1);
        let wanted = scheme.a_site.map_or(points, |most| points.min(most));
        let counted = scheme.a_year.map_or(wanted, |most| wanted.min(most.saturating_sub(sum.sockets)));
        let each = own.amounts.with_vat().pounds() * scheme.share / f64::from(points);
        sum.sockets += counted;
        sum.beyond_limit += wanted - counted;
        let each = Pence::from_pounds(each).min(scheme.per_socket);
        sum.amount = sum.amount + Pence(each.0 * i64::from(counted));
    }
    sums.into_iter().map(|(_, sum)| sum).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_scheme_of_the_table_is_read() {
        assert_eq!((schemes().len(), Table::of(GRANTS).rows().count()), (3, 3));
        for scheme in schemes() {
            assert!(scheme.from < scheme.until && scheme.share > 0.0 && scheme.per_socket.0 > 0);
            assert!(scheme.premises.iter().all(|word| crate::site::Premises::from_word(word).is_some()));
            assert!(scheme.tenures.iter().all(|word| crate::site::Tenure::from_word(word).is_some()));
        }
    }
}
