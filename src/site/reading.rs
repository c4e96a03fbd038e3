//! One survey value and how well it is known.

/// Why a value that was asked for is not there: each is unblocked differently.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WhyUnknown {
    /// Blank, "tbc", "N/K" and the like.
    Missing,
    /// "see photo": the answer exists, a desk review finds it.
    Elsewhere,
    /// "no access", "behind boxing": somebody must go again.
    NotSeen,
    /// Something was written that is not a value of this field.
    NotUnderstood,
}

/// What the sheet answers to one question.
#[derive(Clone, Debug, Default, PartialEq)]
pub enum Answer<T> {
    /// No file has a column for it.
    #[default]
    NotAsked,
    /// A column exists, the answer is not known.
    Unknown(WhyUnknown),
    /// Stated plainly.
    Stated(T),
    /// Stated with doubt: a value and the plausible range round it ("approx 12 m", "80?", "10-15 m").
    Doubtful {
        /// Low end.
        low: T,
        /// Most likely value.
        likely: T,
        /// High end.
        high: T,
    },
}

/// One survey value with its origin. The row is the site's; the column is kept here.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading<T> {
    /// The answer.
    pub answer: Answer<T>,
    /// Column in the user's sheet, counted from 0; `None` when no column was read for it.
    pub column: Option<u16>,
}

impl<T> Default for Reading<T> {
    fn default() -> Self {
        Self { answer: Answer::NotAsked, column: None }
    }
}

impl<T> Reading<T> {
    /// A plainly stated value without a cell, for tests and for programs that build sites themselves.
    pub fn of(value: T) -> Self {
        Self { answer: Answer::Stated(value), column: None }
    }

    /// An asked and unanswered value without a cell.
    pub fn unknown() -> Self {
        Self { answer: Answer::Unknown(WhyUnknown::Missing), column: None }
    }

    /// The value, when it is stated with or without doubt.
    pub fn likely(&self) -> Option<&T> {
        match &self.answer {
            Answer::Stated(value) | Answer::Doubtful { likely: value, .. } => Some(value),
            Answer::NotAsked | Answer::Unknown(_) => None,
        }
    }

    /// The value, only when it is stated without doubt.
    pub fn stated(&self) -> Option<&T> {
        match &self.answer {
            Answer::Stated(value) => Some(value),
            _ => None,
        }
    }

    /// Low, likely and high end of a stated value (all three the same when there is no doubt).
    pub fn ends(&self) -> Option<(&T, &T, &T)> {
        match &self.answer {
            Answer::Stated(value) => Some((value, value, value)),
            Answer::Doubtful { low, likely, high } => Some((low, likely, high)),
            Answer::NotAsked | Answer::Unknown(_) => None,
        }
    }

    /// Whether a value is stated, with or without doubt.
    pub fn is_stated(&self) -> bool {
        self.likely().is_some()
    }

    /// Whether a column exists for it.
    pub fn was_asked(&self) -> bool {
        !matches!(self.answer, Answer::NotAsked)
    }

    /// Asked, and not known at all.
    pub fn is_unknown(&self) -> bool {
        matches!(self.answer, Answer::Unknown(_))
    }

    /// Stated, but with a range round it.
    pub fn is_doubtful(&self) -> bool {
        matches!(self.answer, Answer::Doubtful { .. })
    }
}

impl<T: PartialEq> Reading<T> {
    /// Whether the value is stated (with or without doubt) and equals `value`.
    pub fn is(&self, value: T) -> bool {
        self.likely() == Some(&value)
    }
}

impl<T: Copy> Reading<T> {
    /// The likely value by copy.
    pub fn value(&self) -> Option<T> {
        self.likely().copied()
    }
}
