//! Proofs of the reader: a corpus of awkward files, a round trip of whole portfolios, noise, ten house styles,
//! and some hundreds of cells.

mod bombs;
mod cells;
mod corpus;
mod own;
mod said;
mod styles;
