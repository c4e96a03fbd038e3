//! Proofs of the reader: a corpus of awkward files, a round trip of whole portfolios, noise, and ten house styles.

mod bombs;
mod corpus;
mod own;
mod said;
mod styles;
