//! Which sites a line of a programme file speaks of: by lot, by how the postcode begins. It knows no other line.

/// Some sites: those of a lot, those whose postcode begins so, or both; all where neither is given.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Among {
    /// The lot; empty for any.
    pub lot: String,
    /// How the postcode begins; empty for any.
    pub postcode: String,
}

impl Among {
    /// In words: "lot 2 Harbour", "postcodes QX4".
    pub fn words(&self) -> String {
        match (self.lot.is_empty(), self.postcode.is_empty()) {
            (true, true) => "all sites".to_owned(),
            (false, true) => format!("lot {}", self.lot),
            (true, false) => format!("postcodes {}", self.postcode),
            (false, false) => format!("lot {}, postcodes {}", self.lot, self.postcode),
        }
    }

    /// Whether a site of this lot and postcode is among them.
    pub fn holds(&self, lot: &str, postcode: &str) -> bool {
        let bare = |text: &str| text.split_whitespace().collect::<String>().to_ascii_uppercase();
        let own = self.postcode.trim().to_ascii_uppercase();
        let place = postcode.trim().to_ascii_uppercase();
        // "QX4" is a district: it does not hold "QX41".
        let in_postcode = match place.strip_prefix(&own) {
            Some(rest) => {
                own.is_empty() || own.contains(' ') || rest.is_empty() || rest.starts_with(' ') || letters(&own)
            }
            None => !own.is_empty() && bare(&place) == bare(&own),
        };
        (self.lot.is_empty() || self.lot.trim().eq_ignore_ascii_case(lot.trim())) && in_postcode
    }
}

/// Whether it is a postcode area, letters alone.
fn letters(text: &str) -> bool {
    text.bytes().all(|byte| byte.is_ascii_alphabetic())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn some_sites_by_lot_and_by_the_beginning_of_their_postcode() {
        let among = |lot: &str, postcode: &str| Among { lot: lot.into(), postcode: postcode.into() };
        assert!(among("", "QX4").holds("", "QX4 7LP"));
        assert!(!among("", "QX4").holds("", "QX41 7LP"));
        assert!(among("", "QX").holds("", "QX41 7LP"));
        assert!(among("", "QX4 7").holds("", "QX4 7LP"));
        assert!(among("", "").holds("any", ""));
        assert!(among("2 Harbour", "").holds("2 harbour", ""));
        assert!(!among("2 Harbour", "QX4").holds("2 Harbour", ""));
    }
}
