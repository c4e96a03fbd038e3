//! On what kind of figures money rests, by the bases of the price book. It knows no design.

use crate::quantity::Pence;

/// On what kind of figures a line rests, the best first.
///
/// A line rests on illustrative prices if the basis of any of its prices (that of a material or service; the hours and
/// the labour rate of a task) says "illustrative" or "memory", else on published ones if any says "published", else on
/// stated ones, such as quotes. What follows a semicolon in a basis is said of low and high and does not count; nor do
/// allowances (waste, slack, shares), which make quantities and no prices.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Backing {
    /// Quoted, measured, or otherwise stated in the user's own price book.
    #[default]
    Stated,
    /// Published.
    Published,
    /// Illustrative, or from memory.
    Illustrative,
}

impl Backing {
    /// Of the words of a price book's column `basis`.
    pub fn of(basis: &str) -> Backing {
        let likely = basis.split(';').next().unwrap_or_default().to_lowercase();
        if likely.contains("illustrative") || likely.contains("memory") {
            Backing::Illustrative
        } else if likely.contains("published") {
            Backing::Published
        } else {
            Backing::Stated
        }
    }
}

/// A likely cost parted by what it rests on; the parts add up to it, to the penny.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct RestsOn {
    /// On illustrative prices.
    pub illustrative: Pence,
    /// On published prices.
    pub published: Pence,
    /// On stated prices.
    pub stated: Pence,
}

impl RestsOn {
    /// Adds a line.
    pub(super) fn line(&mut self, backing: Backing, likely: Pence) {
        let part = match backing {
            Backing::Illustrative => &mut self.illustrative,
            Backing::Published => &mut self.published,
            Backing::Stated => &mut self.stated,
        };
        *part = *part + likely;
    }

    /// Both together.
    pub fn plus(mut self, other: RestsOn) -> RestsOn {
        self += other;
        self
    }

    /// The whole likely cost.
    pub fn total(&self) -> Pence {
        self.illustrative + self.published + self.stated
    }

    /// Share of a part of it, 0 to 1; `None` where there is no cost.
    pub fn share_of(&self, part: Pence) -> Option<f64> {
        let total = self.total().pounds();
        (total > 0.0).then(|| part.pounds() / total)
    }

    /// The share that rests on illustrative prices, 0 to 1; `None` where there is no cost.
    pub fn illustrative_share(&self) -> Option<f64> {
        self.share_of(self.illustrative)
    }
}

impl std::ops::AddAssign for RestsOn {
    fn add_assign(&mut self, other: RestsOn) {
        self.illustrative = self.illustrative + other.illustrative;
        self.published = self.published + other.published;
        self.stated = self.stated + other.stated;
    }
}

#[cfg(test)]
mod tests {
    use super::super::samples::{home, simple_home};
    use super::super::{ItemKind, PriceBook, estimate};
    use super::*;

    #[test]
    fn every_basis_of_the_default_book_has_its_kind() {
        for (basis, backing) in [
            ("memory/illustrative", Backing::Illustrative),
            ("derived from memory/illustrative", Backing::Illustrative),
            ("published; low and high illustrative", Backing::Published),
            ("published (second-hand); low and high illustrative", Backing::Published),
            ("quote", Backing::Stated),
            ("stated in the user's price book", Backing::Stated),
        ] {
            assert_eq!(Backing::of(basis), backing, "{basis}");
        }
        // Nothing of the default book is anybody's quote: what is not a rate is illustrative or published.
        for item in PriceBook::default_book().items().iter().filter(|item| item.kind != ItemKind::Rate) {
            assert!(item.backing >= Backing::Published, "{}", item.code);
        }
    }

    #[test]
    fn a_quote_lowers_the_illustrative_part_by_its_line_and_changes_nothing_else() {
        let before = estimate(&simple_home(), &home(), PriceBook::default_book());
        assert_eq!(before.rests_on.total(), before.cost.likely);
        assert_eq!(before.rests_on.illustrative_share(), Some(1.0));
        let quoted = b"item,low,likely,high,basis,source\ncharge-point-1ph,450,600,900,quote,merchant's letter\n";
        let after = estimate(&simple_home(), &home(), &PriceBook::from_csv("own.csv", quoted).unwrap());
        assert_eq!((after.cost, &after.bill, &after.tasks), (before.cost, &before.bill, &before.tasks));
        assert_eq!(after.rests_on.stated, Pence::from_pounds(600.0));
        assert_eq!(after.rests_on.illustrative, Pence(before.cost.likely.0 - 60_000));
        assert_eq!(after.rests_on.total(), after.cost.likely);
        // A book that calls its own price illustrative does not lower it.
        let guessed = b"item,low,likely,high,basis\ncharge-point-1ph,450,600,900,illustrative\n";
        let guessed = estimate(&simple_home(), &home(), &PriceBook::from_csv("own.csv", guessed).unwrap());
        assert_eq!(guessed.rests_on, before.rests_on);
    }

    #[test]
    fn a_task_is_stated_when_both_its_hours_and_its_rate_are() {
        let of = |own: &str| {
            let own = format!("item,low,likely,high,basis\n{own}");
            estimate(&simple_home(), &home(), &PriceBook::from_csv("own.csv", own.as_bytes()).unwrap())
        };
        let hours = "mount-charge-point-1ph,1,1.5,2.5,measured\n";
        let rate = "rate-electrician,42,55,75,agreement\n";
        assert_eq!(of(hours).rests_on.stated, Pence(0));
        assert_eq!(of(rate).rests_on.stated, Pence(0));
        let both = of(&format!("{hours}{rate}"));
        let line = both.tasks.iter().find(|line| line.task == "mount-charge-point-1ph").unwrap();
        assert_eq!(both.rests_on.stated, line.cost.likely);
    }
}
