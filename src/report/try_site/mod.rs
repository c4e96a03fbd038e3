//! The sheet "Try a site": the checks of one point reckoned a second time by formulas of the workbook, from the facts
//! and tables that stand in it, with any fact changed. It knows judgements and rules, and chooses nothing.

mod book;
mod cables;
mod data;
mod evaluate;
mod figures;
mod formula;
mod lines;
mod tables;
#[cfg(test)]
mod tests;
