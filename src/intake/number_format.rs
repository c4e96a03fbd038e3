//! What the number format of a cell says of its number: that it is a moment, or in which unit it is shown.

/// The words in quotation marks of a number format, if they stand after the number.
pub(super) fn unit_in_format(code: &str) -> Option<String> {
    // Only the format of positive numbers counts: the others follow after a semicolon.
    let positive = code.split(';').next().unwrap_or_default();
    let after = positive.get(positive.rfind(['0', '#'])? + 1..)?;
    let words: String = after.chars().filter(|c| !matches!(c, '"' | '\\' | '_' | '*')).collect();
    let words = words.trim().to_lowercase();
    let plain =
        !words.is_empty() && words.len() <= 8 && after.contains('"') && words.chars().all(char::is_alphanumeric);
    plain.then_some(words)
}

/// Whether a format shows dates or times: it has a letter of them outside of quotation marks and brackets.
pub(super) fn shows_moment(code: &str) -> bool {
    let positive = code.split(';').next().unwrap_or_default();
    let (mut quoted, mut bracketed, mut passed) = (false, false, false);
    for character in positive.chars() {
        if std::mem::take(&mut passed) {
            continue;
        }
        match character {
            '"' => quoted = !quoted,
            _ if quoted => {}
            '\\' | '_' | '*' => passed = true,
            '[' => bracketed = true,
            ']' => bracketed = false,
            // "[h]" counts hours; "[Red]" and "[$-809]" are no part of the number.
            _ if bracketed => {}
            'd' | 'D' | 'm' | 'M' | 'y' | 'Y' | 'h' | 'H' | 's' | 'S' => return true,
            '0' | '#' | '?' => return false,
            _ => {}
        }
    }
    false
}

/// Whether one of the numbered formats that files do not spell out shows dates or times (ECMA-376 part 1, 18.8.30).
pub(super) fn built_in_moment(number: u16) -> bool {
    matches!(number, 14..=22 | 27..=36 | 45..=47 | 50..=58)
}

/// A number packed into 30 bits, as the binary formats have it (MS-XLS 2.5.122).
pub(super) fn packed_number(word: u32) -> f64 {
    let number = if word & 2 == 2 {
        f64::from((word as i32) >> 2) // the same bits with their sign
    } else {
        f64::from_bits(u64::from(word & !3) << 32)
    };
    if word & 1 == 1 { number / 100.0 } else { number }
}

/// The error value of a code in the binary formats (MS-XLS 2.5.10).
pub(super) fn fault_of(code: u8) -> &'static str {
    match code {
        0x00 => "#NULL!",
        0x07 => "#DIV/0!",
        0x0F => "#VALUE!",
        0x17 => "#REF!",
        0x1D => "#NAME?",
        0x24 => "#NUM!",
        0x2A => "#N/A",
        _ => "#GETTING_DATA",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_unit_is_read_out_of_a_number_format() {
        for (code, unit) in [
            ("0.0\" kW\"", Some("kw")),
            ("#,##0\\ \"ft\"", Some("ft")),
            ("0 \"m\";-0 \"m\"", Some("m")),
            ("0.00", None),
            ("General", None),
            ("dd/mm/yyyy", None),
            ("\"about \"0", None),
            ("0 \"and much more text\"", None),
        ] {
            assert_eq!(unit_in_format(code).as_deref(), unit, "{code}");
        }
    }

    #[test]
    fn moments_are_told_from_numbers() {
        for (code, moment) in [
            ("dd/mm/yyyy", true),
            ("[$-809]d mmmm yyyy", true),
            ("hh:mm", true),
            ("0.0\" metres\"", false),
            ("General", false),
            ("[Red]0", false),
            ("\"day \"0", false),
        ] {
            assert_eq!(shows_moment(code), moment, "{code}");
        }
        assert!(built_in_moment(14) && !built_in_moment(2));
    }

    #[test]
    fn packed_numbers_unpack() {
        assert_eq!(packed_number((60 << 2) | 2), 60.0);
        assert_eq!(packed_number((1250 << 2) | 3), 12.5);
        assert_eq!(packed_number(((-4_i32 << 2) as u32) | 2), -4.0);
        assert_eq!(packed_number((2.5_f64.to_bits() >> 32) as u32), 2.5);
    }
}
