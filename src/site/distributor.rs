//! Which distributors a survey names, by number or in words (`distributor_names.csv`). A name can stand for several
//! areas; what else is known of the site may settle which. It knows no file and no operator's policy.

use crate::table::Table;
use std::sync::OnceLock;

/// One way of writing a distributor or its area, and the numbers it stands for.
struct Name {
    padded: String,
    distributors: Vec<u8>,
}

/// The distributors that a text names, ascending: the number that it begins with (10 to 99), else those of every name in
/// it at once ("... (South West)" leaves one of four). Empty where it names none, or names that do not go together.
pub fn distributors_named(text: &str) -> Vec<u8> {
    static NAMES: OnceLock<Vec<Name>> = OnceLock::new();
    let digits: String = text.trim().chars().take_while(char::is_ascii_digit).collect();
    if !digits.is_empty() {
        return digits.parse().ok().filter(|number| (10..=99).contains(number)).into_iter().collect();
    }
    let names = NAMES.get_or_init(|| {
        let mut names: Vec<Name> = Table::of(include_str!("distributor_names.csv"))
            .rows()
            .map(|row| Name {
                padded: format!(" {} ", row.text("written")),
                distributors: row.text("distributors").split('|').flat_map(str::parse).collect(),
            })
            .collect();
        // The longest first: "south west" is not the "west" of another.
        names.sort_by(|a, b| b.padded.len().cmp(&a.padded.len()).then_with(|| a.padded.cmp(&b.padded)));
        names
    });
    let words: String = text.chars().map(|c| if c.is_alphanumeric() { c.to_ascii_lowercase() } else { ' ' }).collect();
    let mut rest = format!(" {} ", words.split_whitespace().collect::<Vec<_>>().join(" "));
    let mut found: Option<Vec<u8>> = None;
    for name in names {
        if !rest.contains(&name.padded) {
            continue;
        }
        rest = rest.replace(&name.padded, " | ");
        found = Some(match found {
            None => name.distributors.clone(),
            Some(before) => before.into_iter().filter(|number| name.distributors.contains(number)).collect(),
        });
    }
    found.unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_a_name_and_a_name_with_its_area() {
        for (text, expected) in [
            ("14", &[14][..]),
            ("22 South West", &[22]),
            ("National Grid", &[11, 14, 21, 22]),
            ("WPD", &[11, 14, 21, 22]),
            ("National Grid ED (South West)", &[22]),
            ("UKPN - EPN", &[10]),
            ("SP Energy Networks / Manweb", &[13]),
            ("Electricity North West", &[16]),
            ("SSEN Southern", &[20]),
            ("Northern Powergrid (Yorkshire)", &[23]),
            ("Yorkshire and London", &[]),
            ("somebody else", &[]),
            ("7", &[]),
            ("", &[]),
        ] {
            assert_eq!(distributors_named(text), expected, "{text}");
        }
    }

    #[test]
    fn every_name_stands_for_numbers_of_distributors_once() {
        let table = Table::of(include_str!("distributor_names.csv"));
        let mut seen = std::collections::BTreeSet::new();
        for row in table.rows() {
            let numbers: Vec<u8> = row.text("distributors").split('|').map(|number| number.parse().unwrap()).collect();
            assert!(!numbers.is_empty() && numbers.is_sorted() && numbers.iter().all(|n| (10..=99).contains(n)));
            assert!(seen.insert(row.text("written").to_owned()), "{}", row.text("written"));
            assert!(!row.text("status").is_empty() && !row.text("source").is_empty());
        }
    }
}
