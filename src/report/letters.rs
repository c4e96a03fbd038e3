//! How wide words are in the face of the workbook, and how many lines they take in a merged cell, which no spreadsheet
//! program works out by itself. It knows no sheet.

/// Size of the usual letters, points.
pub(super) const TEXT_PT: f64 = 9.0;
/// How much wider bold letters run, at most.
pub(super) const BOLD: f64 = 1.05;
/// Room kept for programs that set letters a little wider than their metrics say.
const SAFETY: f64 = 1.02;
/// Pixels inside a cell's edges that hold no letters.
const EDGE_PIXELS: f64 = 5.0;

/// Width of a letter as a share of its size. Measured on the metrics of the face, each group by its mean; between groups
/// and for any other letter the wider one.
const fn share(letter: char) -> f64 {
    match letter {
        'i' | 'j' | 'l' | 'I' | ' ' | '·' => 0.24,
        '.' | ',' | ';' | ':' | '\'' | '|' | '!' => 0.28,
        'f' | 'r' | 't' | '(' | ')' | '[' | ']' | '{' | '}' | '/' | '-' | '²' => 0.33,
        'm' | 'w' | 'M' | 'W' | '%' | '→' | '—' => 0.85,
        'a'..='z' => 0.485,
        '0'..='9' => 0.507,
        'A'..='Z' => 0.56,
        _ => 0.56,
    }
}

/// The same of the letters that most texts are made of, looked up: every letter of a workbook is measured.
static SHARES: [f64; 128] = {
    let mut shares = [0.0; 128];
    let mut letter = 0_u8;
    while letter < 128 {
        shares[letter as usize] = share(letter as char); // 127 at most
        letter += 1;
    }
    shares
};

/// Pixels of a column of `width` characters: the file format counts in digits of 7 pixels, with 5 around them.
pub(super) fn column_pixels(width: f64) -> f64 {
    width * 7.0 + EDGE_PIXELS
}

/// Width in characters of the column in which the usual letters take `text` on one line.
pub(super) fn column_width(text: &str) -> f64 {
    pixels(text, TEXT_PT) / 7.0
}

/// Width of `text` in pixels at `size_pt`, on a screen of 96 pixels an inch.
fn pixels(text: &str, size_pt: f64) -> f64 {
    let share = |letter: char| SHARES.get(letter as usize).copied().unwrap_or_else(|| share(letter));
    text.chars().map(share).sum::<f64>() * size_pt * 96.0 / 72.0 * SAFETY
}

/// Lines that `text` takes at `size_pt` in a cell of `cell_pixels`; at least one.
pub(super) fn lines(text: &str, size_pt: f64, cell_pixels: f64) -> u32 {
    let room = (cell_pixels - EDGE_PIXELS).max(1.0);
    let space = pixels(" ", size_pt);
    let mut lines = 0;
    for part in text.split('\n') {
        lines += 1;
        let mut used = 0.0;
        for word in part.split(' ') {
            let width = pixels(word, size_pt);
            if used > 0.0 && used + space + width > room {
                lines += 1;
                used = 0.0;
            } else if used > 0.0 {
                used += space;
            }
            // A word longer than the cell breaks within.
            lines += (width / room).ceil().max(1.0) as u32 - 1;
            used += width.min(room);
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_wrap_where_a_printed_page_wraps_them() {
        // Set in the face of the workbook at 9 points, this line is 636 pixels wide.
        let line = "→ step: The residual-current device that protects the board is of a type that may not sit before a \
                    charge point. (rcd-type-upstream)";
        assert!((pixels(line, 9.0) / SAFETY / 636.0 - 1.0).abs() < 0.03, "{}", pixels(line, 9.0) / SAFETY);
        assert_eq!(lines(line, 9.0, 700.0), 1);
        assert_eq!(lines(line, 9.0, 600.0), 2);
        assert_eq!(lines("one\ntwo", 9.0, 600.0), 2);
        assert_eq!(lines("", 9.0, 600.0), 1);
        assert_eq!(lines("incomprehensible", 9.0, 60.0), 2);
    }
}
