//! Two answers about one site that cannot both be right. It says which, never which of them is wrong.

/// Two answers that contradict each other.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Contradiction {
    /// Which rule found it (`src/intake/contradictions.csv`, and the rules between rows).
    pub rule: &'static str,
    /// The two survey fields.
    pub fields: [&'static str; 2],
    /// Whether cut-out, loop or earthing are in question, so that it holds the site until it is settled; else it is a
    /// note.
    pub decides: bool,
}
