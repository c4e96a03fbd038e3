//! Round trip: any portfolio, written as people write their sheets, reads back to the same sites.
//!
//! A round draws sites (values stated, in doubt and not known), spellings of their headings out of the reader's own
//! data, units, an order of columns, columns of the user's own, titles above, blank rows, headings that stand again, a
//! total at the end, and a format of file. Every row must come back as the site it was or be set aside for what it is.
//! A failure is made small before it is shown. ROUNDTRIP_ROUNDS in the environment multiplies the number of rounds,
//! ROUNDTRIP_ROUND runs one, ROUNDTRIP_SEED gives other ones.

#[path = "../draws.rs"]
mod draws;
mod figures;
mod file;
mod property;
#[path = "../reading/said.rs"]
#[allow(dead_code)]
mod said;
mod sheet;
mod spelling;
#[path = "../splitmix.rs"]
mod splitmix;
mod values;
