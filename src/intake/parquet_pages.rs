//! What the pages of a Parquet column claim to hold, found before the table reader believes it: a damaged page that
//! claims more values than there is memory for ends the process without a word.
//!
//! Only the head of each page is read (Thrift's compact protocol and the page heads of the Parquet format, as
//! published); it knows no value and no field.

/// What all pages of one column claim together.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Claims {
    /// Values, nulls among them, without those of dictionaries.
    pub values: u64,
    /// Bytes, unpacked.
    pub unpacked: u64,
}

const DICTIONARY: i64 = 2;
/// Heads are a few structures deep; whatever is deeper is damaged.
const DEEPEST: u32 = 12;

/// The claims of a column whose pages are `bytes`; `None` where a page says what cannot be.
pub(super) fn claims(bytes: &[u8]) -> Option<Claims> {
    let mut found = Claims::default();
    let mut rest = bytes;
    while !rest.is_empty() {
        let mut head = Head { rest, depth: 0 };
        let page = head.page()?;
        let unpacked = u64::try_from(page.unpacked).ok()?;
        let packed = usize::try_from(page.packed).ok()?;
        let values = u64::try_from(page.values).ok()?;
        if page.kind == DICTIONARY {
            // Each value of a dictionary takes a byte at least.
            if values > unpacked {
                return None;
            }
        } else {
            found.values = found.values.checked_add(values)?;
        }
        found.unpacked = found.unpacked.checked_add(unpacked)?;
        rest = head.rest.get(packed..)?;
    }
    Some(found)
}

/// What the head of one page says.
#[derive(Default)]
struct Page {
    kind: i64,
    unpacked: i64,
    packed: i64,
    values: i64,
}

/// The head of a page, read from its front.
struct Head<'a> {
    rest: &'a [u8],
    depth: u32,
}

impl Head<'_> {
    fn page(&mut self) -> Option<Page> {
        let mut page = Page::default();
        self.fields(&mut |head, field, kind| {
            match field {
                1 => page.kind = head.whole(kind)?,
                2 => page.unpacked = head.whole(kind)?,
                3 => page.packed = head.whole(kind)?,
                // Data, dictionary and the second form of data: each begins with its number of values.
                5 | 7 | 8 if kind == 12 => {
                    let values = &mut page.values;
                    head.fields(&mut |head, field, kind| match field {
                        1 => {
                            *values = head.whole(kind)?;
                            Some(())
                        }
                        // Rows of the second form: never more than values, never fewer than none.
                        3 if kind == 5 => (head.whole(kind)? >= 0).then_some(()),
                        _ => head.skip(kind),
                    })?;
                }
                _ => head.skip(kind)?,
            }
            Some(())
        })?;
        Some(page)
    }

    fn byte(&mut self) -> Option<u8> {
        let (first, rest) = self.rest.split_first()?;
        self.rest = rest;
        Some(*first)
    }

    /// A number in bytes of seven bits, the lowest first.
    fn varint(&mut self) -> Option<u64> {
        let mut value = 0_u64;
        for at in 0..10 {
            let byte = self.byte()?;
            value |= u64::from(byte & 0x7F) << (7 * at);
            if byte & 0x80 == 0 {
                return Some(value);
            }
        }
        None
    }

    /// A whole number with its sign in the lowest bit; `None` when the field is of another kind.
    fn whole(&mut self, kind: u8) -> Option<i64> {
        if !(4..=6).contains(&kind) {
            return None;
        }
        let value = self.varint()?;
        // The same bits, the sign moved to its place.
        Some(((value >> 1) as i64) ^ -((value & 1) as i64))
    }

    /// Hands every field of a structure to `visit`, which takes its value.
    fn fields(&mut self, visit: &mut dyn FnMut(&mut Self, i64, u8) -> Option<()>) -> Option<()> {
        self.depth += 1;
        if self.depth > DEEPEST {
            return None;
        }
        let mut field = 0_i64;
        loop {
            let byte = self.byte()?;
            if byte == 0 {
                self.depth -= 1;
                return Some(());
            }
            let (step, kind) = (i64::from(byte >> 4), byte & 0x0F);
            field = if step == 0 { self.whole(4)? } else { field.checked_add(step)? };
            visit(self, field, kind)?;
        }
    }

    /// Passes over a value.
    fn skip(&mut self, kind: u8) -> Option<()> {
        match kind {
            1 | 2 => Some(()),
            3 => self.byte().map(|_| ()),
            4..=6 => self.varint().map(|_| ()),
            7 => self.pass(8),
            8 => {
                let length = self.varint()?;
                self.pass(usize::try_from(length).ok()?)
            }
            9 | 10 => {
                let head = self.byte()?;
                let count = if head >> 4 == 15 { self.varint()? } else { u64::from(head >> 4) };
                // Each member takes a byte at least, so that a count that lies ends with the bytes.
                for _ in 0..count {
                    if head & 0x0F <= 2 { self.pass(1)? } else { self.skip(head & 0x0F)? }
                }
                Some(())
            }
            12 => self.fields(&mut |head, _, kind| head.skip(kind)),
            _ => None,
        }
    }

    fn pass(&mut self, length: usize) -> Option<()> {
        self.rest = self.rest.get(length..)?;
        Some(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The head of a data page: sizes 24 and 4, six values, then a structure of strings to pass over.
    const PAGE: [u8; 23] =
        [0x15, 0, 0x15, 48, 0x15, 8, 0x2C, 0x15, 12, 0x15, 0, 0x1C, 0x28, 1, b'x', 0, 0, 0, 7, 7, 7, 7, 0];

    #[test]
    fn the_claims_of_a_page_are_found() {
        let page = &PAGE[..22];
        assert_eq!(claims(page), Some(Claims { values: 6, unpacked: 24 }));
        assert_eq!(claims(&page.repeat(3)), Some(Claims { values: 18, unpacked: 72 }));
        for cut in 1..page.len() {
            assert_eq!(claims(&page[..cut]), None, "cut at {cut}");
        }
    }

    #[test]
    fn claims_that_cannot_be_are_refused() {
        let mut less_than_none = PAGE[..22].to_vec();
        less_than_none[8] = 13;
        assert_eq!(claims(&less_than_none), None);
        // A dictionary of six values in no bytes.
        assert_eq!(claims(&[0x15, 4, 0x15, 0, 0x15, 0, 0x4C, 0x15, 12, 0, 0]), None);
        assert_eq!(claims(&[0x1C; 100]), None, "structures without end");
    }
}
