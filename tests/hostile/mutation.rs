//! What is done to sound bytes: flips, cuts, insertions, repetitions, swapped blocks, numbers at the ends of their
//! ranges; the same inside the parts of an archive, which is then packed again so that the damage reaches the readers
//! of its parts; and damage that knows a little of markup and of delimited text.

use crate::Draws;
use std::io::{Cursor, Read, Write};

/// Numbers at the ends of what two, four and eight bytes hold.
const NASTY: [u64; 14] =
    [0, 1, 2, 0x7F, 0x80, 0xFF, 0x7FFF, 0x8000, 0xFFFF, 0x10_0000, 0x7FFF_FFFF, 0x8000_0000, 0xFFFF_FFFF, u64::MAX];
/// What stands in place of a number or a value in markup.
const NASTY_TEXTS: [&str; 24] = [
    "",
    "0",
    "-1",
    "1048576",
    "1048577",
    "16385",
    "4294967295",
    "4294967296",
    "18446744073709551616",
    "99999999999999999999999999",
    "1e308",
    "-1e999",
    "NaN",
    "XFD1048576",
    "XFE1048577",
    "A1:XFD1048576",
    "A0",
    "ZZZZZZZZZZZZ1",
    "&#0;",
    "&#xD800;",
    "&nothing;",
    "]]>",
    "s",
    "P9999999999Y",
];
/// What is put into markup between tags.
const NASTY_TAGS: [&str; 12] = [
    "<![CDATA[",
    "<!--",
    "-->",
    "<!DOCTYPE a [<!ENTITY b \"bbbbbbbbbb\">]>",
    "<row r=\"3\">",
    "</row>",
    "</c>",
    "<c r=\"B2\" t=\"s\"><v>99999999</v></c>",
    "<c r=\"B3\" t=\"d\"><v>9999-99-99T99:99:99</v></c>",
    "<mergeCell ref=\"A1:XFD1048576\"/>",
    "<table:table-cell table:number-columns-repeated=\"16384\" office:value-type=\"float\" office:value=\"7\">",
    "<table:table-row table:number-rows-repeated=\"1048576\">",
];

/// A span of at most `most` bytes within `length`.
fn span(draws: &mut Draws, length: usize, most: usize) -> std::ops::Range<usize> {
    let from = draws.below(length);
    from..(from + 1 + draws.below(most)).min(length)
}

/// Damages any bytes once.
pub fn bytes(draws: &mut Draws, bytes: &mut Vec<u8>) {
    if bytes.is_empty() {
        return;
    }
    let length = bytes.len();
    match draws.below(12) {
        0 | 1 => {
            let at = draws.below(length);
            bytes[at] ^= 1 << draws.below(8);
        }
        2 => {
            let at = draws.below(length);
            bytes[at] = draws.word() as u8;
        }
        3..=6 => {
            let width = *draws.one(&[1, 2, 4, 4, 8]);
            let at = draws.below(length);
            let mut value = *draws.one(&NASTY);
            if draws.chance(20) {
                value = (length as u64).wrapping_add(draws.below(9) as u64).wrapping_sub(4);
            }
            for (slot, byte) in bytes.iter_mut().skip(at).take(width).zip(value.to_le_bytes()) {
                *slot = byte;
            }
        }
        7 => {
            let at = draws.below(length);
            bytes.truncate(at);
        }
        8 => {
            let cut = span(draws, length, 200);
            bytes.drain(cut);
        }
        9 => {
            let at = draws.below(length);
            let noise: Vec<u8> = (0..1 + draws.below(60)).map(|_| draws.word() as u8).collect();
            bytes.splice(at..at, noise);
        }
        10 => {
            let copied = bytes[span(draws, length, 400)].to_vec();
            let at = draws.below(length);
            bytes.splice(at..at, copied);
        }
        _ => {
            let (one, other) = (span(draws, length, 64), span(draws, length, 64));
            for (a, b) in one.zip(other) {
                bytes.swap(a, b);
            }
        }
    }
}

/// The places of the tags of a markup, from `<` to behind `>`.
fn tags(text: &[u8]) -> Vec<std::ops::Range<usize>> {
    let mut found = Vec::new();
    let mut open = None;
    for (at, byte) in text.iter().enumerate() {
        match (byte, open) {
            (b'<', _) => open = Some(at),
            (b'>', Some(from)) => {
                found.push(from..at + 1);
                open = None;
            }
            _ => {}
        }
    }
    found
}

/// The places of what stands in quotation marks, and of runs of digits.
fn values(text: &[u8]) -> Vec<std::ops::Range<usize>> {
    let mut found = Vec::new();
    let mut at = 0;
    while at < text.len() {
        let from = at;
        if text[at] == b'"' {
            while at + 1 < text.len() && text[at + 1] != b'"' && text[at + 1] != b'>' {
                at += 1;
            }
            found.push(from + 1..at + 1);
            at += 1;
        } else if text[at].is_ascii_digit() {
            while at + 1 < text.len() && text[at + 1].is_ascii_digit() {
                at += 1;
            }
            found.push(from..at + 1);
        }
        at += 1;
    }
    found
}

/// Damages a markup once.
pub fn markup(draws: &mut Draws, text: &mut Vec<u8>) {
    let tags = tags(text);
    if tags.is_empty() || draws.chance(15) {
        return bytes(draws, text);
    }
    match draws.below(9) {
        0..=3 => {
            let values = values(text);
            if let Some(place) = values.get(draws.below(values.len())) {
                text.splice(place.clone(), draws.one(&NASTY_TEXTS).bytes());
            }
        }
        4 => {
            text.drain(draws.one(&tags).clone());
        }
        5 => {
            let copied = text[draws.one(&tags).clone()].to_vec();
            let at = draws.one(&tags).start;
            text.splice(at..at, copied);
        }
        6 => {
            // From one tag to a later one, once more.
            let first = draws.below(tags.len());
            let last = (first + draws.below(12)).min(tags.len() - 1);
            let copied = text[tags[first].start..tags[last].end].to_vec();
            let at = draws.one(&tags).end;
            text.splice(at..at, copied.repeat(1 + draws.below(3)));
        }
        7 => {
            let at = draws.one(&tags).end;
            text.splice(at..at, draws.one(&NASTY_TAGS).bytes());
        }
        _ => {
            // A tag in another's place.
            let other = text[draws.one(&tags).clone()].to_vec();
            text.splice(draws.one(&tags).clone(), other);
        }
    }
}

/// Damages delimited text once.
pub fn delimited(draws: &mut Draws, text: &mut Vec<u8>) {
    if draws.chance(40) || text.is_empty() {
        return bytes(draws, text);
    }
    let noise: [&[u8]; 14] = [
        b"\"",
        b"\"\"",
        b",",
        b";",
        b"\t",
        b"|",
        b"\r",
        b"\n",
        b"\r\n\r\n",
        b"\0",
        b"\xEF\xBB\xBF",
        b"\xFF\xFE",
        b"sep=;\n",
        b"\xE2\x80\x8B",
    ];
    let at = draws.below(text.len());
    let noise = *draws.one(&noise);
    text.splice(at..at, noise.repeat(1 + draws.below(3)));
}

/// The parts of an archive.
pub fn unpacked(bytes: &[u8]) -> Vec<(String, Vec<u8>)> {
    let mut archive = zip::ZipArchive::new(Cursor::new(bytes)).unwrap();
    (0..archive.len())
        .map(|at| {
            let mut part = archive.by_index(at).unwrap();
            let mut data = Vec::new();
            part.read_to_end(&mut data).unwrap();
            (part.name().unwrap().into_owned(), data)
        })
        .collect()
}

/// Parts as an archive again.
pub fn packed(parts: &[(String, Vec<u8>)]) -> Vec<u8> {
    let mut archive = zip::ZipWriter::new(Cursor::new(Vec::new()));
    let stored = zip::write::SimpleFileOptions::default().compression_method(zip::CompressionMethod::Stored);
    for (name, data) in parts {
        archive.start_file(name.as_str(), stored).unwrap();
        archive.write_all(data).unwrap();
    }
    archive.finish().unwrap().into_inner()
}

/// Parts that say nothing about cells, and are left as they are.
const DULL: [&str; 8] =
    ["docProps/", "theme/", "Thumbnails/", "Configurations2/", "settings.xml", "meta.xml", "manifest", "printer"];

/// Damages one of the parts that matter, a few times.
pub fn part(draws: &mut Draws, parts: &mut [(String, Vec<u8>)]) {
    let matter: Vec<usize> =
        (0..parts.len()).filter(|at| !DULL.iter().any(|dull| parts[*at].0.contains(dull))).collect();
    let (name, data) = &mut parts[*draws.one(&matter)];
    for _ in 0..1 + draws.below(3) {
        if name.ends_with(".bin") {
            bytes(draws, data);
        } else {
            markup(draws, data);
        }
    }
}
