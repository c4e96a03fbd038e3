//! The supply number: its check digit and the distributor it names. It knows nothing of files or designs.

/// The distributor that a supply number's core names: its first two digits, 10 to 99.
///
/// `core` is the 13-digit bottom line. 10 to 23 are the areas of the distribution network operators, 24 and above the
/// independent operators. `None` when the text is not 13 digits, or begins below 10 (no distributor has such a number).
/// Source: published description of the supply number (second-hand).
pub fn distributor_of_mpan(core: &str) -> Option<u8> {
    digits_of(core).map(|digits| digits[0] * 10 + digits[1]).filter(|distributor| *distributor >= 10)
}

/// Whether the thirteenth digit of a supply number's core is what the other twelve make it.
///
/// The first twelve digits are multiplied by the primes 3, 5, 7, 13, 17, 19, 23, 29, 31, 37, 41 and 43 (11 is left out),
/// summed, taken modulo 11 and then modulo 10. About one slip in fifty passes all the same: a pass is no proof.
/// Source: published description of the supply number, checked against worked figures (second-hand).
pub fn mpan_check_digit_ok(core: &str) -> bool {
    const PRIMES: [u32; 12] = [3, 5, 7, 13, 17, 19, 23, 29, 31, 37, 41, 43];
    let Some(digits) = digits_of(core) else {
        return false;
    };
    let sum: u32 = digits.iter().zip(PRIMES).map(|(digit, prime)| u32::from(*digit) * prime).sum();
    sum % 11 % 10 == u32::from(digits[12])
}

/// The thirteen digits of a core, if it is thirteen digits and nothing else.
fn digits_of(core: &str) -> Option<[u8; 13]> {
    let bytes: [u8; 13] = core.as_bytes().try_into().ok()?;
    bytes.iter().all(u8::is_ascii_digit).then(|| bytes.map(|byte| byte - b'0'))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn made_up_cores_of_every_distributor_pass() {
        for core in [
            "1112345678908",
            "1212345678902",
            "1312345678907",
            "1412345678901",
            "1512345678906",
            "1612345678900",
            "1712345678905",
            "1812345678900",
            "1912345678904",
            "2012345678906",
            "2112345678900",
            "2212345678905",
            "2312345678900",
            "2412345678904",
            "1012345678903",
        ] {
            assert!(mpan_check_digit_ok(core), "{core}");
            assert_eq!(distributor_of_mpan(core), core[..2].parse().ok());
        }
    }

    #[test]
    fn a_wrong_digit_or_a_wrong_length_fails() {
        for core in ["1012345678904", "101234567890", "10123456789033", "10123 5678903", "", "１012345678903"] {
            assert!(!mpan_check_digit_ok(core), "{core}");
        }
        assert_eq!(distributor_of_mpan("0012345678903"), None);
        assert_eq!(distributor_of_mpan("10"), None);
    }
}
