//! Why a row is set aside, as data; the sentence for people is made from it. It decides nothing.

/// Differences that are listed in the sentence of a row set aside.
const DIFFERENCES_LISTED: usize = 3;

/// Why a row cannot be judged.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Cause {
    /// The headings stand there again.
    HeadingsAgain,
    /// The worked example of the template.
    Example,
    /// A total of other rows, as it calls itself.
    Total(String),
    /// Nothing says which place it is.
    NoPlace,
    /// Neither rating, capacity, demand nor distance.
    NothingToJudgeBy,
    /// It belongs to another table, which begins in that row of the same sheet.
    AnotherTable(u32),
    /// Another row is the same place, and stands.
    SamePlace(Box<SamePlace>),
}

/// A row that is the same place as another, which stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SamePlace {
    /// The mark that both have ("UPRN").
    pub by: &'static str,
    /// The row that stands.
    pub stands: u32,
    /// Its sheet where that is another.
    pub on: Option<String>,
    /// Why that one stands.
    pub because: Newer,
    /// What the two say differently.
    pub differences: Vec<Difference>,
}

/// Why one of two rows stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Newer {
    /// It was surveyed later, on this day.
    Surveyed(jiff::civil::Date),
    /// It has a survey date and the other has none.
    Dated(jiff::civil::Date),
    /// It stands later in the sheet, or on a later sheet.
    Below,
}

/// What two rows for one place say differently.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Difference {
    /// Heading of the row set aside, in one line.
    pub heading: String,
    /// What the row set aside says.
    pub here: String,
    /// What the row that stands says, empty for nothing; `None` where its sheet does not ask.
    pub there: Option<String>,
}

impl SamePlace {
    /// The row that stands, for people.
    pub fn stands_said(&self) -> String {
        match &self.on {
            Some(sheet) => format!("row {} of sheet \"{sheet}\"", self.stands),
            None => format!("row {}", self.stands),
        }
    }

    /// The differences for people; empty when there is none.
    pub fn differences_said(&self) -> String {
        let said = |one: &Difference| {
            let there = match one.there.as_deref() {
                None => "not asked",
                Some("") => "blank",
                Some(text) => text,
            };
            format!("{} is {} here, {there} there", one.heading, one.here)
        };
        let listed: Vec<String> = self.differences.iter().take(DIFFERENCES_LISTED).map(said).collect();
        match self.differences.len().saturating_sub(DIFFERENCES_LISTED) {
            0 => listed.join("; "),
            1 => format!("{}; 1 more difference", listed.join("; ")),
            more => format!("{}; {more} more differences", listed.join("; ")),
        }
    }
}

impl Cause {
    /// The whole reason, as a sentence.
    pub fn said(&self) -> String {
        match self {
            Cause::Total(label) => format!("{} (\"{label}\").", self.kind()),
            Cause::NothingToJudgeBy => {
                "Nothing to judge by: no supply rating, capacity, demand or distance.".to_owned()
            }
            Cause::AnotherTable(row) => format!("{}, which begins in row {row}.", self.kind()),
            Cause::SamePlace(same) => {
                let because = match same.because {
                    Newer::Surveyed(day) => format!("which was surveyed later ({day})"),
                    Newer::Dated(day) => format!("which has a survey date ({day})"),
                    Newer::Below if same.on.is_some() => "which stands on a later sheet".to_owned(),
                    Newer::Below => "which stands later in the sheet".to_owned(),
                };
                let differences = same.differences_said();
                let colon = if differences.is_empty() { "" } else { ": " };
                format!("The same {} as {}, {because}{colon}{differences}.", same.by, same.stands_said())
            }
            _ => format!("{}.", self.kind()),
        }
    }

    /// What all rows with this reason have in common, without what is told of the single one.
    pub fn kind(&self) -> String {
        match self {
            Cause::HeadingsAgain => "The headings stand here again".to_owned(),
            Cause::Example => "The worked example of the template, not a site".to_owned(),
            Cause::Total(_) => "A total of other rows".to_owned(),
            Cause::NoPlace => "No address, site_id or UPRN says which place this is".to_owned(),
            Cause::NothingToJudgeBy => "Nothing to judge by".to_owned(),
            Cause::AnotherTable(_) => "It belongs to another table".to_owned(),
            Cause::SamePlace(same) => format!("The same {} as another row, the newer kept", same.by),
        }
    }

    /// Whether it wants what a person could fill in.
    pub fn worth_chasing(&self) -> bool {
        matches!(self, Cause::NoPlace | Cause::NothingToJudgeBy)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_reason_is_one_sentence_and_its_kind_is_alike_whatever_the_row() {
        let difference =
            |heading: &str| Difference { heading: heading.into(), here: "100".into(), there: Some(String::new()) };
        let same = |on: Option<&str>, because, count: usize| {
            Cause::SamePlace(Box::new(SamePlace {
                by: "UPRN",
                stands: 454,
                on: on.map(str::to_owned),
                because,
                differences: vec![difference("Fuse"); count],
            }))
        };
        let later = Newer::Surveyed(jiff::civil::date(2026, 11, 12));
        assert_eq!(
            same(None, later, 1).said(),
            "The same UPRN as row 454, which was surveyed later (2026-11-12): Fuse is 100 here, blank there."
        );
        assert!(same(None, later, 5).said().ends_with("; 2 more differences."));
        assert_eq!(
            same(Some("Homes"), Newer::Below, 0).said(),
            "The same UPRN as row 454 of sheet \"Homes\", which stands on a later sheet."
        );
        assert_eq!(same(None, later, 1).kind(), same(Some("Homes"), Newer::Below, 0).kind());
        assert_eq!(Cause::Total("Sub-total".into()).said(), "A total of other rows (\"Sub-total\").");
        assert_eq!(Cause::HeadingsAgain.said(), "The headings stand here again.");
        assert!(Cause::NoPlace.worth_chasing() && !Cause::Example.worth_chasing());
    }
}
