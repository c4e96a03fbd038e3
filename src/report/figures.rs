//! Figures as words: pounds, shares, dates and plain numbers in running text. It knows no sheet.

use crate::estimate::RestsOn;
use crate::quantity::{CostBand, Pence, round_to};
use jiff::civil::Date;

/// A number without needless zeros, `places` decimal places at most; a number that is none is "not known".
pub(super) fn plain(number: f64, places: u32) -> String {
    if !number.is_finite() {
        return "not known".into();
    }
    let text = format!("{:.*}", places as usize, round_to(number, places));
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

/// Whole pounds with thousands marks: "£1,250".
pub(super) fn pounds(pence: Pence) -> String {
    pence.whole_pounds()
}

/// A cost in a few characters: "£141 k".
pub(super) fn short(cost: Pence) -> String {
    let all = CostBand { low: cost, likely: cost, high: cost };
    short_band(all).split("  ").next().unwrap_or_default().to_owned()
}

/// The three points of a cost in a few characters: "£141 k  (118 to 169)".
pub(super) fn short_band(cost: CostBand) -> String {
    let (scale, unit, places) = match cost.likely.pounds().abs() {
        likely if likely >= 1_000_000.0 => (1_000_000.0, " M", 2),
        likely if likely >= 10_000.0 => (1_000.0, " k", 0),
        _ => (1.0, "", 0),
    };
    let part = |pence: Pence| plain(pence.pounds() / scale, places);
    format!("£{}{unit}  ({} to {})", part(cost.likely), part(cost.low), part(cost.high))
}

/// A share in whole percent: "32 %"; nothing of nothing is a dash.
pub(super) fn share(part: u32, whole: u32) -> String {
    if whole == 0 { "–".into() } else { format!("{} %", plain(f64::from(part) * 100.0 / f64::from(whole), 0)) }
}

/// What money rests on: "83 % rests on illustrative prices, 12 % on published, 5 % on stated ones (quotes)"; `None` where
/// there is none.
pub(super) fn rests_on(money: &RestsOn) -> Option<String> {
    let parts = [
        (money.illustrative, "illustrative prices"),
        (money.published, "published prices"),
        (money.stated, "stated prices, such as quotes"),
    ];
    let parts: Vec<String> = parts
        .into_iter()
        .filter_map(|(part, on)| {
            let percent = money.share_of(part).filter(|share| *share > 0.0)? * 100.0;
            let said = match percent {
                all if all >= 100.0 => "all".to_owned(),
                most if most > 99.0 => "over 99 %".to_owned(),
                little if little < 1.0 => "under 1 %".to_owned(),
                some => format!("{} %", plain(some, 0)),
            };
            Some(format!("{said} rests on {on}"))
        })
        .collect();
    (!parts.is_empty()).then(|| parts.join(", "))
}

/// A date in words: "25 November 2026".
pub(super) fn date(date: Date) -> String {
    date.strftime("%-d %B %Y").to_string()
}

/// A number of things: "1 site", "2 sites".
pub(super) fn count(number: usize, thing: &str) -> String {
    if number == 1 { format!("1 {thing}") } else { format!("{} {thing}s", thousands(number as u64)) }
}

/// A whole number with thousands marks.
pub(super) fn thousands(number: u64) -> String {
    pounds(Pence(i64::try_from(number).unwrap_or(i64::MAX).saturating_mul(100))).trim_start_matches('£').to_owned()
}

/// A span of weeks: "2 to 8 weeks", "a week".
pub(super) fn weeks(low: u16, high: u16) -> String {
    match (low, high) {
        (0, 0) => "no wait".into(),
        (0, 1) => "up to a week".into(),
        (0, high) => format!("up to {high} weeks"),
        (1, 1) => "a week".into(),
        (low, high) if low == high => format!("{low} weeks"),
        (low, high) => format!("{low} to {high} weeks"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Band;

    #[test]
    fn figures_read_like_a_persons() {
        assert_eq!(plain(41.40, 2), "41.4");
        assert_eq!(plain(40.0, 2), "40");
        assert_eq!(plain(100.0, 0), "100");
        assert_eq!(plain(f64::NAN, 2), "not known");
        assert_eq!(pounds(Pence(123_456_789)), "£1,234,568");
        assert_eq!(pounds(Pence(-99_950)), "-£1,000");
        assert_eq!(pounds(Pence(0)), "£0");
        assert_eq!(thousands(1_048_575), "1,048,575");
        assert_eq!(
            short_band(CostBand::from_pounds(Band::new(118_000.0, 141_200.0, 169_000.0))),
            "£141 k  (118 to 169)"
        );
        assert_eq!(short_band(CostBand::from_pounds(Band::new(800.0, 950.0, 1_200.0))), "£950  (800 to 1200)");
        assert_eq!(
            short_band(CostBand::from_pounds(Band::new(1_177_229.0, 1_607_640.0, 2_621_414.0))),
            "£1.61 M  (1.18 to 2.62)"
        );
        assert_eq!(share(131, 404), "32 %");
        assert_eq!(share(0, 0), "–");
        assert_eq!(weeks(2, 8), "2 to 8 weeks");
        assert_eq!(date(jiff::civil::date(2026, 11, 5)), "5 November 2026");
        assert_eq!(count(1, "site"), "1 site");
        assert_eq!(count(2000, "row"), "2,000 rows");
    }
}
