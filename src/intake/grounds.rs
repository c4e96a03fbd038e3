//! On what a match of a column rests and how sure it is, as data; the words for people are made from it.

use super::headings::{KNOWN, Match, NAMED, NEAR_SPELLING, SETTLED, SPOKEN_OF, UNDER_GROUP, WITHIN};
use super::mapping::SURE;

/// On what it rests that a column is read as a survey field.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Grounds {
    /// It is not read as one.
    #[default]
    None,
    /// The user said so.
    Settled,
    /// The heading is the field's own name.
    Named,
    /// The heading is one that people use for it.
    Known,
    /// The same under the title of a group of columns.
    UnderGroup,
    /// A known heading stands within a longer one.
    Within,
    /// The heading is spelt nearly so.
    Near,
    /// The heading speaks of nothing but the field.
    SpokenOf,
    /// The values say it and the heading does not.
    Values,
}

impl Grounds {
    /// Of a match.
    pub(super) fn of(found: &Match) -> Self {
        match found.strength {
            SETTLED => Grounds::Settled,
            NAMED => Grounds::Named,
            KNOWN => Grounds::Known,
            UNDER_GROUP => Grounds::UnderGroup,
            WITHIN => Grounds::Within,
            NEAR_SPELLING => Grounds::Near,
            SPOKEN_OF => Grounds::SpokenOf,
            _ => Grounds::Values,
        }
    }

    /// In a word or two.
    pub fn word(self) -> &'static str {
        match self {
            Grounds::None => "not read",
            Grounds::Settled => "you said so",
            Grounds::Named => "exact",
            Grounds::Known => "known heading",
            Grounds::UnderGroup => "known under its title",
            Grounds::Within => "known within",
            Grounds::Near => "near",
            Grounds::SpokenOf => "by its words",
            Grounds::Values => "by its values",
        }
    }
}

/// How sure a match of a column is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Sure {
    /// The heading is the field's own name or was settled by the user.
    Certain,
    /// The heading is one that people use for it.
    Known,
    /// The heading is near it or says more, or the values speak against it: worth a look.
    Check,
}

impl Sure {
    /// By what the match rests on and its score, 0 to 1.
    pub fn of(grounds: Grounds, score: f64) -> Self {
        match grounds {
            Grounds::Settled => Sure::Certain,
            _ if score < SURE => Sure::Check,
            Grounds::Named => Sure::Certain,
            Grounds::Known | Grounds::UnderGroup => Sure::Known,
            _ => Sure::Check,
        }
    }

    /// In a word.
    pub fn word(self) -> &'static str {
        match self {
            Sure::Certain => "certain",
            Sure::Known => "sure",
            Sure::Check => "check this",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_less_sure_is_worth_a_look_and_the_users_word_is_not() {
        assert_eq!(Sure::of(Grounds::Settled, 0.3), Sure::Certain);
        assert_eq!(Sure::of(Grounds::Named, 1.0), Sure::Certain);
        assert_eq!(Sure::of(Grounds::Named, 0.6), Sure::Check);
        assert_eq!(Sure::of(Grounds::Known, 0.97), Sure::Known);
        assert_eq!(Sure::of(Grounds::Near, 0.99), Sure::Check);
        assert_eq!(Sure::of(Grounds::Values, 0.95), Sure::Check);
    }
}
