//! The container of old office files: a small file system of sectors, of which one stream is wanted.
//!
//! Every chain of sectors is followed at most as far as the file is long, so that a chain which bites its own tail ends.

/// Sectors with a number from here on are marks, not places.
const FIRST_MARK: u32 = 0xFFFF_FFFA;
const SMALL_SECTOR: usize = 64;
const ENTRY: usize = 128;
/// Streams shorter than this lie in small sectors.
const SMALL_STREAM: u64 = 4096;

/// An open container.
pub(super) struct Compound<'a> {
    bytes: &'a [u8],
    sector: usize,
    next: Vec<u32>,
    small_next: Vec<u32>,
    small: Vec<u8>,
    entries: Vec<Entry>,
}

struct Entry {
    name: String,
    start: u32,
    length: u64,
}

impl<'a> Compound<'a> {
    /// Reads the tables of the container; `None` when they are damaged or cut short.
    pub fn open(bytes: &'a [u8]) -> Option<Self> {
        let sector = match u16_at(bytes, 30)? {
            9 => 512,
            12 => 4096,
            _ => return None,
        };
        let mut file =
            Self { bytes, sector, next: Vec::new(), small_next: Vec::new(), small: Vec::new(), entries: Vec::new() };
        let most = bytes.len() / sector + 1;
        // Where the table of chains lies: 109 places in the head, the others in a chain of their own.
        let mut places: Vec<u32> = (0..109).filter_map(|at| u32_at(bytes, 76 + at * 4)).collect();
        let mut more = u32_at(bytes, 68)?;
        let mut seen = 0;
        while more < FIRST_MARK {
            let sector_bytes = file.sector_at(more)?;
            let mut list: Vec<u32> = words(sector_bytes).collect();
            more = list.pop()?;
            places.extend(list);
            seen += 1;
            if seen > most {
                return None;
            }
        }
        for place in places.into_iter().filter(|place| *place < FIRST_MARK).take(most) {
            let list: Vec<u32> = words(file.sector_at(place)?).collect();
            file.next.extend(list);
        }
        let directory = file.chain(u32_at(bytes, 48)?, u64::MAX)?;
        file.entries = directory
            .chunks_exact(ENTRY)
            .filter_map(|entry| {
                let units = usize::from(u16_at(entry, 64)?).saturating_sub(2).min(62);
                let name: Vec<u16> = (0..units / 2).filter_map(|at| u16_at(entry, at * 2)).collect();
                let high = if sector == 4096 { u64::from(u32_at(entry, 124)?) << 32 } else { 0 };
                let length = high | u64::from(u32_at(entry, 120)?);
                Some(Entry { name: String::from_utf16_lossy(&name), start: u32_at(entry, 116)?, length })
            })
            .collect();
        let table = file.chain(u32_at(bytes, 60)?, u64::MAX).unwrap_or_default();
        file.small_next = words(&table).collect();
        if !file.small_next.is_empty() {
            let (start, length) = file.entries.first().map(|root| (root.start, root.length))?;
            file.small = file.chain(start, length)?;
        }
        Some(file)
    }

    /// Whether there is a stream or folder of this name.
    pub fn has(&self, name: &str) -> bool {
        self.entries.iter().any(|entry| entry.name.eq_ignore_ascii_case(name))
    }

    /// The bytes of a stream; `None` when there is none or its chain is broken.
    pub fn stream(&self, name: &str) -> Option<Vec<u8>> {
        let entry = self.entries.iter().find(|entry| entry.name.eq_ignore_ascii_case(name))?;
        if entry.length >= SMALL_STREAM {
            return self.chain(entry.start, entry.length).filter(|bytes| bytes.len() as u64 == entry.length);
        }
        let length = entry.length as usize; // below SMALL_STREAM
        let mut bytes = Vec::with_capacity(length);
        let mut at = entry.start;
        while bytes.len() < length {
            let from = (at as usize).checked_mul(SMALL_SECTOR)?;
            bytes.extend_from_slice(self.small.get(from..from.checked_add(SMALL_SECTOR)?)?);
            at = *self.small_next.get(at as usize).unwrap_or(&u32::MAX);
            if at >= FIRST_MARK && bytes.len() < length {
                return None;
            }
        }
        bytes.truncate(length);
        Some(bytes)
    }

    fn sector_at(&self, number: u32) -> Option<&'a [u8]> {
        let from = (number as usize).checked_add(1)?.checked_mul(self.sector)?;
        let end = from.checked_add(self.sector)?.min(self.bytes.len());
        self.bytes.get(from..end).filter(|bytes| !bytes.is_empty())
    }

    fn chain(&self, start: u32, length: u64) -> Option<Vec<u8>> {
        let mut bytes = Vec::new();
        let mut at = start;
        while at < FIRST_MARK && (bytes.len() as u64) < length {
            // No chain is longer than the file.
            if bytes.len() > self.bytes.len() {
                return None;
            }
            bytes.extend_from_slice(self.sector_at(at)?);
            at = *self.next.get(at as usize)?;
        }
        if bytes.len() as u64 > length {
            bytes.truncate(length as usize); // shorter than a vector's length
        }
        Some(bytes)
    }
}

fn words(bytes: &[u8]) -> impl Iterator<Item = u32> + '_ {
    bytes.chunks_exact(4).filter_map(|chunk| chunk.try_into().ok().map(u32::from_le_bytes))
}

/// The little-endian word of two bytes at a place.
pub(super) fn u16_at(bytes: &[u8], at: usize) -> Option<u16> {
    bytes.get(at..at.checked_add(2)?)?.try_into().ok().map(u16::from_le_bytes)
}

/// The little-endian word of four bytes at a place.
pub(super) fn u32_at(bytes: &[u8], at: usize) -> Option<u32> {
    bytes.get(at..at.checked_add(4)?)?.try_into().ok().map(u32::from_le_bytes)
}

/// The little-endian number of eight bytes at a place.
pub(super) fn f64_at(bytes: &[u8], at: usize) -> Option<f64> {
    bytes.get(at..at.checked_add(8)?)?.try_into().ok().map(f64::from_le_bytes)
}
