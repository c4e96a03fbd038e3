//! What makes the figures of an estimate go wrong together. It knows no figure.

/// What makes figures go wrong together.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Cause {
    /// How far surveyed lengths and counts are off.
    Survey,
    /// Prices of cable.
    Copper,
    /// Prices of equipment and fittings.
    Equipment,
    /// Prices of work in the ground.
    Ground,
    /// Bought services and charges.
    Services,
    /// How long tasks take.
    Hours,
    /// Labour rates.
    LabourRate,
}

impl Cause {
    /// Every cause.
    pub const ALL: [Cause; 7] = [
        Cause::Survey,
        Cause::Copper,
        Cause::Equipment,
        Cause::Ground,
        Cause::Services,
        Cause::Hours,
        Cause::LabourRate,
    ];

    /// The word of the price book.
    pub fn word(self) -> &'static str {
        match self {
            Cause::Survey => "survey",
            Cause::Copper => "copper",
            Cause::Equipment => "equipment",
            Cause::Ground => "ground",
            Cause::Services => "services",
            Cause::Hours => "hours",
            Cause::LabourRate => "labour-rate",
        }
    }

    /// In words.
    pub fn said(self) -> &'static str {
        match self {
            Cause::Survey => "surveyed lengths and counts",
            Cause::Copper => "cable prices",
            Cause::Equipment => "prices of equipment and fittings",
            Cause::Ground => "prices of work in the ground",
            Cause::Services => "bought services and charges",
            Cause::Hours => "how long tasks take",
            Cause::LabourRate => "labour rates",
        }
    }
}

/// Shares of a cause's variance that are common to every site, and to one site.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Shares {
    /// Everywhere, 0 to 1.
    pub everywhere: f64,
    /// Within a site, 0 to what is left.
    pub site: f64,
}
