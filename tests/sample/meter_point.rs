//! Made-up meter point numbers that pass their check digit. Knows nothing of sites.

/// Check digit of a 13-digit meter point number (public algorithm: weights 3 to 43 without 11, modulo 11, modulo 10).
pub fn check_digit(twelve: &str) -> u32 {
    const WEIGHTS: [u32; 12] = [3, 5, 7, 13, 17, 19, 23, 29, 31, 37, 41, 43];
    let sum: u32 = twelve.bytes().zip(WEIGHTS).map(|(digit, weight)| u32::from(digit - b'0') * weight).sum();
    sum % 11 % 10
}

/// A made-up meter point number that passes its check digit. The unique part starts with two noughts, which the
/// numbering is not known to use.
pub fn meter_point(distributor: u8, unique: i64) -> String {
    let twelve = format!("{distributor:02}00{:08}", unique % 100_000_000);
    let digit = check_digit(&twelve);
    format!("{twelve}{digit}")
}

#[cfg(test)]
mod tests {
    #[test]
    fn the_worked_meter_point_has_its_check_digit() {
        // Worked example of the numbering: 101234567890 gives 3.
        assert_eq!(super::check_digit("101234567890"), 3);
        assert_eq!(super::check_digit("181234567890"), 0);
    }
}
