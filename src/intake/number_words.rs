//! Numbers written in words: "twelve", "eighty". It knows single words; how they go together is grammar.

/// Words for numbers up to twenty, in order.
const NUMBER_WORDS: &[&str] = &[
    "zero",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
    "thirteen",
    "fourteen",
    "fifteen",
    "sixteen",
    "seventeen",
    "eighteen",
    "nineteen",
    "twenty",
];
/// Words for tens, from twenty on.
const TENS: &[&str] = &["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"];

/// The number that a word is.
pub(super) fn number_word(word: &str) -> Option<f64> {
    let tens = || TENS.iter().position(|known| *known == word).map(|at| (at as f64 + 2.0) * 10.0);
    NUMBER_WORDS.iter().position(|known| *known == word).map(|at| at as f64).or_else(tens)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_numbers() {
        for (word, number) in [("zero", 0.0), ("seven", 7.0), ("fifteen", 15.0), ("twenty", 20.0), ("eighty", 80.0)] {
            assert_eq!(number_word(word), Some(number), "{word}");
        }
        assert_eq!(number_word("dozen"), None);
    }
}
