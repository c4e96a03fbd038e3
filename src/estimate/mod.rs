//! Take-off, hours, prices and bands of an arrangement or of a remedy.
//!
//! Quantities come from the design, prices and hours from the price book (`sample-portfolio/price-book.csv`, embedded;
//! a user's own book is laid over it). All money is before tax. The room knows no verdict, no clock and no thread; the
//! only file it ever opens is a user's price book.

mod backing;
mod cause;
mod crews;
mod doubt;
mod hours;
mod known;
mod pieces;
mod price;
mod price_book;
mod quantities;
mod read_book;
mod take_off;
mod three_points;
mod types;

#[cfg(test)]
mod book_tests;
#[cfg(test)]
mod samples;
#[cfg(test)]
mod tests;

pub use backing::{Backing, RestsOn};
pub use cause::{Cause, Shares};
pub use doubt::{Doubt, Levels, OfSite};
pub use price::{estimate, likely_cost, price_items};
pub use price_book::{Item, ItemIndex, ItemKind, PriceBook};
pub use read_book::PriceBookError;
pub use types::*;
