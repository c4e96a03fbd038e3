//! The closed word lists of the survey: each choice is an enum whose words are those of the contract.

use serde::Serialize;

/// An enum whose variants are the allowed words of one survey field.
macro_rules! words {
    ($(#[$doc:meta])* $name:ident { $($(#[$vdoc:meta])* $variant:ident = $word:literal),+ $(,)? }) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
        #[allow(missing_docs)] // the words are the contract's
        pub enum $name { $($(#[$vdoc])* #[serde(rename = $word)] $variant),+ }

        impl $name {
            /// Every variant, in the order of the contract.
            pub const ALL: &'static [$name] = &[$($name::$variant),+];

            /// The canonical word.
            pub fn word(self) -> &'static str {
                match self { $($name::$variant => $word),+ }
            }

            /// The variant of a canonical word (case-blind), if it is one.
            pub fn from_word(word: &str) -> Option<Self> {
                Self::ALL.iter().copied().find(|variant| variant.word().eq_ignore_ascii_case(word))
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.pad(self.word())
            }
        }
    };
}

words! {
    /// What kind of place it is.
    Premises { House = "house", Flat = "flat", Block = "block", Workplace = "workplace", Depot = "depot" }
}
words! {
    /// How the home is held.
    Tenure {
        Owner = "owner", Leasehold = "leasehold", Shared = "shared", SocialRent = "social rent",
        PrivateRent = "private rent", Employer = "employer",
    }
}
words! {
    /// How the survey was done.
    SurveyMethod { Visit = "visit", Photo = "photo", Phone = "phone", Operator = "operator", Desk = "desk" }
}
words! {
    /// How the supply is metered.
    Metering { WholeCurrent = "whole-current", CurrentTransformer = "CT", HighVoltage = "HV" }
}
words! {
    /// On what the cut-out rating rests.
    CutoutEvidence {
        Fuse = "fuse", Label = "label", Carrier = "carrier", Operator = "operator", Assumed = "assumed",
    }
}
words! {
    /// Condition of a cut-out or a board.
    Condition { Sound = "sound", Doubtful = "doubtful", Unsafe = "unsafe" }
}
words! {
    /// System of earthing offered at the origin.
    EarthingSystem { TnS = "TN-S", TnCS = "TN-C-S", Tt = "TT" }
}
words! {
    /// How existing demand was found.
    DemandMethod { Measured = "measured", Calculated = "calculated", Estimated = "estimated" }
}
words! {
    /// Main heating.
    Heating {
        Gas = "gas", Oil = "oil", Storage = "storage", Direct = "direct", HeatPump = "heat-pump",
        Communal = "communal", Other = "other",
    }
}
words! {
    /// Make-up of the consumer unit.
    BoardType { Metal = "metal", Plastic = "plastic", Rewireable = "rewireable" }
}
words! {
    /// Outcome of the last condition report.
    ConditionReport {
        Satisfactory = "satisfactory", C1 = "C1", C2 = "C2", FurtherInvestigation = "FI", C3 = "C3", None = "none",
    }
}
words! {
    /// Type of the residual-current device that protects the board.
    RcdType { Ac = "AC", A = "A", F = "F", B = "B", None = "none" }
}
words! {
    /// Where the vehicle stands.
    ParkingType {
        Driveway = "driveway", Garage = "garage", Allocated = "allocated", Communal = "communal",
        OnStreet = "on-street", None = "none",
    }
}
words! {
    /// From where the route was measured.
    DistanceFrom { Intake = "intake", Board = "board" }
}
words! {
    /// What a trench has to go through.
    GroundSurface {
        Soft = "soft", Block = "block", Tarmac = "tarmac", Concrete = "concrete", Footway = "footway",
        Carriageway = "carriageway",
    }
}
words! {
    /// Where a consent stands; for several consents, the worst.
    ConsentStatus {
        NotNeeded = "not needed", NotAsked = "not asked", Granted = "granted", Asked = "asked", Refused = "refused",
    }
}
words! {
    /// The answer for one site.
    Verdict {
        /// Book the van.
        Ready = "ready",
        /// One thing has to be settled first.
        Marginal = "marginal",
        /// Something stops it.
        Blocked = "blocked",
    }
}

impl Premises {
    /// A house or a flat.
    pub fn is_home(self) -> bool {
        matches!(self, Premises::House | Premises::Flat)
    }
}
