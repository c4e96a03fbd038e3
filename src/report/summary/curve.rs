//! The curve of page one: what a point costs so far and what the next site would cost, the cheapest sites first.

use crate::portfolio::{CostStep, cost_curve};
use crate::report::Run;
use crate::report::figures::thousands;
use crate::report::page::{COLUMNS, Curve};

/// Fewest sites that make a curve, and most figures that it is drawn from.
const LEAST: usize = 5;
const MOST: usize = 60;

/// The curve, and what it says in a sentence; `None` where too few sites have a price.
pub(super) fn curve(run: &Run<'_>, line: usize, lines: usize) -> Option<Curve> {
    let steps = cost_curve(&run.portfolio.sites);
    if steps.len() < LEAST {
        return None;
    }
    let figures = drawn(&steps).map(|step| {
        vec![
            step.share,
            step.average_gbp,
            step.own_gbp,
            f64::from(step.sites),
            f64::from(step.points),
            step.cost.pounds(),
        ]
    });
    Some(Curve {
        line,
        lines,
        columns: super::LEFT,
        title: "Likely cost of a point, the cheapest sites first",
        headings: vec![
            "Share of all sites",
            "All so far, £ a point",
            "The next site, £ a point",
            "Sites so far",
            "Points so far",
            "Likely £ so far",
        ],
        axes: ["share of all sites", "£ a point, before VAT"],
        figures: figures.collect(),
        words: sentence(&steps).unwrap_or_default(),
    })
}

/// As many steps as are drawn, evenly over the sites, the last among them.
fn drawn(steps: &[CostStep]) -> impl Iterator<Item = &CostStep> {
    let count = steps.len().min(MOST);
    (1..=count).filter_map(move |number| steps.get((number * steps.len()).div_ceil(count) - 1))
}

/// Where money stops buying much, in a sentence; `None` where there is no curve.
pub(super) fn words(run: &Run<'_>) -> Option<String> {
    sentence(&cost_curve(&run.portfolio.sites))
}

fn sentence(steps: &[CostStep]) -> Option<String> {
    if steps.len() < LEAST {
        return None;
    }
    let at = |share: f64| steps.get(((steps.len() as f64 * share).ceil() as usize).clamp(1, steps.len()) - 1);
    let (half, nine_tenths, all) = (at(0.5)?, at(0.9)?, steps.last()?);
    let pounds = |gbp: f64| format!("£{}", thousands(gbp.max(0.0).round() as u64));
    let tail = (all.cost.pounds() - nine_tenths.cost.pounds()) / f64::from((all.points - nine_tenths.points).max(1));
    let letter = |column: u16| char::from(b'A'.saturating_add(u8::try_from(column).unwrap_or(0)));
    let first = Curve::figures_at(COLUMNS);
    Some(format!(
        "Cheapest a point first, {} ready and marginal sites with a price: the first half costs {} a point, all of them {}, the last \
         tenth alone {}. Dashed: the next site. Figures in columns {} to {}, which are not printed.",
        thousands(steps.len() as u64),
        pounds(half.average_gbp),
        pounds(all.average_gbp),
        pounds(tail),
        letter(first),
        letter(first + 5)
    ))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::fixture::Fixture;
    use crate::site::Verdict;

    #[test]
    fn the_curve_rises_ends_at_the_sum_and_leaves_the_blocked_out() {
        let fixture = Fixture::new(40);
        let run = fixture.run();
        let steps = cost_curve(&run.portfolio.sites);
        let priced = run.portfolio.sites.iter().map(|site| &site.judgement);
        let priced: Vec<_> = priced
            .filter(|judgement| judgement.counted_verdict() != Verdict::Blocked && judgement.estimate.is_some())
            .collect();
        assert_eq!(steps.len(), priced.len());
        let sum: f64 = priced.iter().filter_map(|one| one.estimate.as_ref()).map(|one| one.cost.likely.pounds()).sum();
        let last = steps.last().unwrap();
        assert!((last.cost.pounds() - sum).abs() < 0.005, "{} {sum}", last.cost.pounds());
        assert!((last.share - priced.len() as f64 / 40.0).abs() < 1e-9);
        for pair in steps.windows(2) {
            assert!(pair[0].own_gbp <= pair[1].own_gbp && pair[0].share < pair[1].share, "{pair:?}");
            // What is added costs no less a point than what is there: the average never falls.
            assert!(pair[0].average_gbp <= pair[1].average_gbp + 1e-9 && pair[1].average_gbp <= pair[1].own_gbp + 1e-9);
        }
        assert_eq!(drawn(&steps).last(), Some(last));
        assert!(words(&run).unwrap().contains("columns Q to V"), "{:?}", words(&run));
    }

    #[test]
    fn a_long_portfolio_is_drawn_from_few_figures() {
        let fixture = Fixture::new(400);
        let run = fixture.run();
        let curve = curve(&run, 3, 9).unwrap();
        assert_eq!(curve.figures.len(), MOST);
        assert!(curve.figures.iter().all(|figures| figures.len() == curve.headings.len()));
    }
}
