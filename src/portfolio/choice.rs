//! Which sites a bid and an order are for. It knows ranked sites and no file: the names in a file are handed to it.

use super::Ranked;
use crate::site::Verdict;
use std::collections::BTreeMap;

/// Which sites a bid and an order are for; of each, only what was designed and estimated can be priced and ordered.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum Choice {
    /// Those counted ready: a bid and an order are for what will be installed.
    #[default]
    Ready,
    /// Those counted marginal.
    Marginal,
    /// Every site.
    All,
    /// Those counted ready in one lot.
    Lot(String),
    /// Those named in a list.
    Named {
        /// Name of the list.
        list: String,
        /// Each by its site_id.
        sites: Vec<String>,
    },
}

/// The sites of a choice, found once and handed to whatever is made for them.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Chosen {
    /// Which were asked for, in words: "ready sites".
    pub words: String,
    /// Their places in the ranking, from 0, in its order.
    pub places: Vec<usize>,
}

/// Why a choice cannot be obeyed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NoSuch {
    /// No site stands in the lot; these lots there are.
    Lot(Vec<String>),
    /// These names are no site's.
    Sites(Vec<String>),
}

impl Choice {
    /// The choice of a word of the command line; `None` for what must be the name of a file.
    pub fn of_word(word: &str) -> Option<Self> {
        match word.trim() {
            "ready" => Some(Self::Ready),
            "marginal" => Some(Self::Marginal),
            "all" => Some(Self::All),
            other => other.strip_prefix("lot=").map(|lot| Self::Lot(lot.trim().to_owned())),
        }
    }

    /// In words, as results name it: "ready sites".
    pub fn words(&self) -> String {
        match self {
            Self::Ready => "ready sites".to_owned(),
            Self::Marginal => "marginal sites".to_owned(),
            Self::All => "all sites".to_owned(),
            Self::Lot(lot) => format!("ready sites of lot {lot}"),
            Self::Named { list, .. } => format!("sites listed in {list}"),
        }
    }

    /// The sites chosen.
    ///
    /// # Errors
    /// When no site stands in the lot, or a name of the list is no site's.
    pub fn chosen(&self, sites: &[Ranked]) -> Result<Chosen, NoSuch> {
        Ok(Chosen { words: self.words(), places: self.places(sites)? })
    }

    fn places(&self, sites: &[Ranked]) -> Result<Vec<usize>, NoSuch> {
        let counted = |verdict: Verdict| {
            let fits = move |(_, site): &(usize, &Ranked)| site.judgement.counted_verdict() == verdict;
            sites.iter().enumerate().filter(fits).map(|(index, _)| index)
        };
        match self {
            Self::Ready => Ok(counted(Verdict::Ready).collect()),
            Self::Marginal => Ok(counted(Verdict::Marginal).collect()),
            Self::All => Ok((0..sites.len()).collect()),
            Self::Lot(lot) => {
                let in_lot = |site: &Ranked| site.judgement.brief.lot.eq_ignore_ascii_case(lot);
                if sites.iter().any(in_lot) {
                    Ok(counted(Verdict::Ready).filter(|index| sites.get(*index).is_some_and(in_lot)).collect())
                } else {
                    let mut lots: Vec<String> = sites.iter().map(|site| site.judgement.brief.lot.clone()).collect();
                    lots.sort();
                    lots.dedup();
                    lots.retain(|lot| !lot.is_empty());
                    Err(NoSuch::Lot(lots))
                }
            }
            Self::Named { sites: names, .. } => named(names, sites),
        }
    }
}

fn named(names: &[String], sites: &[Ranked]) -> Result<Vec<usize>, NoSuch> {
    let by_id: BTreeMap<&str, usize> =
        sites.iter().enumerate().rev().map(|(index, site)| (site.judgement.brief.site_id.as_str(), index)).collect();
    let mut found = Vec::new();
    let mut missing = Vec::new();
    for name in names {
        match by_id.get(name.as_str()) {
            Some(index) => found.push(*index),
            None => missing.push(name.clone()),
        }
    }
    found.sort_unstable();
    found.dedup();
    if missing.is_empty() { Ok(found) } else { Err(NoSuch::Sites(missing)) }
}

/// The site_ids of a list: the first cell of each line. Blank lines and a heading `site_id` are passed over.
pub fn ids_of_list(text: &str) -> Vec<String> {
    let first = |line: &str| {
        let cell = line.split([',', ';', '\t']).next().unwrap_or_default();
        cell.trim().trim_matches('"').trim().to_owned()
    };
    let lines = text.trim_start_matches('\u{feff}').lines().map(first);
    lines.filter(|name| !name.is_empty() && !name.eq_ignore_ascii_case("site_id")).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_of_the_command_line() {
        assert_eq!(Choice::of_word("ready"), Some(Choice::Ready));
        assert_eq!(Choice::of_word("lot= 3 Coast"), Some(Choice::Lot("3 Coast".into())));
        assert_eq!(Choice::of_word("october.txt"), None);
    }

    #[test]
    fn a_list_is_one_site_a_line_and_may_be_a_table() {
        let text = "\u{feff}site_id,address\r\nH0001,\"1 Fern Road, Tarnholt\"\r\n\r\n\"H0002\";x\n  H0003\n";
        assert_eq!(ids_of_list(text), ["H0001", "H0002", "H0003"]);
    }
}
