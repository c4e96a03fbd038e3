//! The records of an old workbook's stream, and the texts in them. It knows no cell and no sheet.

use super::compound::u16_at;

const CONTINUED: u16 = 0x003C;

/// The records of a stream, each with its kind and its data; it ends where one is cut short.
pub(super) struct Records<'a> {
    /// The whole stream.
    pub stream: &'a [u8],
    /// Where the next record begins.
    pub at: usize,
}

impl<'a> Records<'a> {
    /// The data of the records that continue the last one.
    pub fn continued(&mut self) -> Vec<&'a [u8]> {
        let mut parts = Vec::new();
        while u16_at(self.stream, self.at) == Some(CONTINUED) {
            match self.next() {
                Some((_, data)) => parts.push(data),
                None => break,
            }
        }
        parts
    }
}

impl<'a> Iterator for Records<'a> {
    type Item = (u16, &'a [u8]);

    fn next(&mut self) -> Option<Self::Item> {
        let kind = u16_at(self.stream, self.at)?;
        let length = usize::from(u16_at(self.stream, self.at.checked_add(2)?)?);
        let from = self.at.checked_add(4)?;
        let data = self.stream.get(from..from.checked_add(length)?)?;
        self.at = from + length;
        Some((kind, data))
    }
}

/// Texts in a record and those that continue it. A text that is cut in two begins again with a mark of its width.
pub(super) struct Text<'a> {
    now: &'a [u8],
    later: std::slice::Iter<'a, &'a [u8]>,
}

impl<'a> Text<'a> {
    /// Texts of a record, and the records that continue it.
    pub fn of(now: &'a [u8], later: &'a [&'a [u8]]) -> Self {
        Self { now, later: later.iter() }
    }

    fn byte(&mut self) -> Option<u8> {
        while self.now.is_empty() {
            self.now = self.later.next()?;
        }
        let (first, rest) = self.now.split_first()?;
        self.now = rest;
        Some(*first)
    }

    fn word(&mut self) -> Option<u16> {
        Some(u16::from_le_bytes([self.byte()?, self.byte()?]))
    }

    fn skip(&mut self, mut bytes: u64) {
        while bytes > 0 {
            if self.now.is_empty() {
                let Some(next) = self.later.next() else { return };
                self.now = next;
            }
            let step = self.now.len().min(usize::try_from(bytes).unwrap_or(usize::MAX));
            self.now = self.now.get(step..).unwrap_or_default();
            bytes -= step as u64;
        }
    }

    /// A text with its length in one byte.
    pub fn short(mut self) -> Option<String> {
        let length = self.byte()?;
        self.characters(u16::from(length))
    }

    /// A text with its length in two bytes.
    pub fn long(mut self) -> Option<String> {
        let length = self.word()?;
        self.characters(length)
    }

    /// Every text up to the end.
    pub fn all(mut self) -> Vec<String> {
        let mut texts = Vec::new();
        while let Some(text) = self.word().and_then(|length| self.characters(length)) {
            texts.push(text);
        }
        texts
    }

    fn characters(&mut self, length: u16) -> Option<String> {
        let marks = self.byte()?;
        let runs = if marks & 8 != 0 { self.word()? } else { 0 };
        let extra = if marks & 4 != 0 { u32::from(self.word()?) | (u32::from(self.word()?) << 16) } else { 0 };
        let mut wide = marks & 1 != 0;
        let mut units: Vec<u16> = Vec::new();
        for _ in 0..length {
            if self.now.is_empty() {
                self.now = self.later.next()?;
                wide = self.byte()? & 1 != 0;
            }
            units.push(if wide { self.word()? } else { u16::from(self.byte()?) });
        }
        self.skip(u64::from(runs) * 4 + u64::from(extra));
        Some(String::from_utf16_lossy(&units))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_text_cut_in_two_goes_on_in_the_width_it_says() {
        // Two texts: "Fen" and, cut after one letter, "ne\u{2019}l" which goes on wide, with four bytes of styling after it.
        let first = [3, 0, 0, b'F', b'e', b'n', 4, 0, 8, 1, 0, b'n'];
        let second = [1, b'e', 0, 0x19, 0x20, b'l', 0, 9, 9];
        let third = [9, 9, 1, 0, 0, b'x'];
        let parts: [&[u8]; 2] = [&second, &third];
        assert_eq!(Text::of(&first, &parts).all(), ["Fen", "ne\u{2019}l", "x"]);
        assert_eq!(Text::of(&[5, 0, 0, b'a'], &[]).long(), None);
    }

    #[test]
    fn records_end_where_one_is_cut_short() {
        let stream = [1, 0, 1, 0, 7, 0x3C, 0, 1, 0, 8, 2, 0, 9, 0, 1];
        let mut records = Records { stream: &stream, at: 0 };
        assert_eq!(records.next(), Some((1, &[7_u8][..])));
        assert_eq!(records.continued(), [&[8_u8][..]]);
        assert_eq!(records.next(), None);
    }
}
