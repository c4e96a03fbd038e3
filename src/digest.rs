//! The digest by which results name a file that they rest on. Every room may use it; it knows none of them.

use sha2::{Digest, Sha256};

/// SHA-256 of some bytes, hexadecimal.
pub(crate) fn sha256_of(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().map(|byte| format!("{byte:02x}")).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn three_letters_have_the_digest_of_the_standard() {
        // FIPS 180-4, example of one block ("abc").
        let digest = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
        assert_eq!(sha256_of(b"abc"), digest);
    }
}
