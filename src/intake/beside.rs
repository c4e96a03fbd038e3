//! What a word beside a number does to it: nothing, a doubt, a remark that is not understood, or the end of all sense.
//!
//! It knows words only, neither numbers nor fields.

use super::units::Doubt;

/// What a word does to the number beside it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Beside {
    /// Nothing ("fuse", "cable", "per phase").
    Nothing,
    /// It makes the number a range.
    Doubt(Doubt),
    /// It says something that is not understood; the number stands with a doubt.
    Remark,
    /// It turns the number into something else; nothing is understood.
    Contrary,
}

/// Words that go with a number and change nothing about it.
const HARMLESS: &[&str] = &[
    "fuse",
    "fuses",
    "fused",
    "main",
    "mains",
    "incomer",
    "supply",
    "service",
    "head",
    "cut",
    "out",
    "cutout",
    "mcb",
    "mccb",
    "rcbo",
    "switch",
    "isolator",
    "per",
    "phase",
    "phases",
    "ph",
    "each",
    "single",
    "three",
    "bs",
    "bs88",
    "bs1361",
    "hbc",
    "hrc",
    "type",
    "rated",
    "rating",
    "max",
    "demand",
    "load",
    "total",
    "of",
    "the",
    "is",
    "cable",
    "run",
    "route",
    "core",
    "cores",
    "copper",
    "cu",
    "pvc",
    "earth",
    "and",
    "twin",
    "cpc",
    "electric",
    "shower",
    "no",
    "nr",
    "nos",
    "off",
    "points",
    "point",
    "bays",
    "bay",
    "spaces",
    "space",
    "ways",
    "way",
    "walls",
    "wall",
    "bed",
    "beds",
    "bedroom",
    "bedrooms",
    "storey",
    "storeys",
    "floors",
    "floor",
    "vehicles",
    "vans",
    "cars",
    "chargers",
    "charger",
    "day",
    "a",
    "at",
    "circuits",
    "ac",
    "tethered",
    "measured",
    "import",
    "asc",
    "mic",
    "ze",
    "pscc",
    "peak",
    "spare",
    "tails",
    "tail",
    "bonding",
    "approximately",
    "years",
    "built",
    "in",
    "circa",
    "acb",
    "dp",
    "label",
    "labelled",
    "calc",
    "calculated",
    "calcd",
    "meas",
    "logged",
    "clamped",
    "md",
    "diversity",
    "diversified",
    "input",
    "immersion",
    "xlpe",
    "swa",
    "insulated",
    "psc",
    "pfc",
    "ipf",
    "dc",
    "rapid",
    "bdrm",
    "bdrms",
    "bedrm",
    "bedrms",
    "br",
    "enquiry",
    "winter",
    "return",
    "round",
    "trip",
    "elec",
    "metre",
    "linear",
];
/// Words that turn a number into something else: then nothing is understood.
const CONTRARY: &[&str] =
    &["not", "isnt", "except", "without", "instead", "was", "formerly", "previously", "week", "month", "year"];
/// Units that stand beside a figure without being its unit ("60 A 230 V", "3 ph").
pub(super) const FOREIGN: &[&str] = &[
    "v", "volt", "pm", "am", "hrs", "hr", "volts", "hz", "ph", "phase", "phases", "core", "pole", "no", "th", "st",
    "nd", "rd",
];

/// The sense of a word that stands before or after a number.
pub(super) fn beside(word: &str, before: bool) -> Beside {
    match word {
        "approx" | "approximately" | "about" | "circa" | "c" | "ca" | "est" | "estimated" | "estimate" | "roughly"
        | "around" | "say" | "abt" | "apx" | "appx" | "aprox" | "ish" | "nearly" | "guess" | "so" => {
            Beside::Doubt(Doubt::Approximate)
        }
        "under" | "below" | "upto" | "up" | "less" if before => Beside::Doubt(Doubt::AtMost),
        "more" if before => Beside::Doubt(Doubt::AtLeast),
        "to" | "than" if before => Beside::Nothing,
        "over" | "above" | "min" | "minimum" | "least" | "plus" => Beside::Doubt(Doubt::AtLeast),
        "assumed" | "possibly" | "probably" | "maybe" | "tbc" | "unconfirmed" | "think" => {
            Beside::Doubt(Doubt::Queried)
        }
        word if CONTRARY.contains(&word) => Beside::Contrary,
        word if HARMLESS.contains(&word) || FOREIGN.contains(&word) || word.starts_with("bs") => Beside::Nothing,
        _ => Beside::Remark,
    }
}
