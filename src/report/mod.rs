//! Results for people and programs: workbook, JSON, delimited and Parquet tables, lines on the terminal.
//!
//! A sheet is data first (headings, then rows of typed cells) and is written by one writer. This room words and rounds
//! what the rooms before it found; it judges, ranks and prices nothing. Where prices come from it must not know: the
//! lines of the price book are handed to it as notes.

mod as_read;
mod assumptions;
mod atomic;
mod bid;
mod bid_record;
mod calculation;
mod card;
mod changes;
mod circuit;
mod cluster_chart;
mod cluster_words;
mod clusters;
mod clusters_record;
mod cutting;
mod design;
mod explain;
mod extent;
mod figures;
mod findings;
#[cfg(test)]
mod fixture;
mod flat;
mod formats;
mod gaps;
mod gaps_record;
mod geojson;
mod grid;
mod joined_files;
mod json;
mod json_lines;
mod jump;
mod labour;
mod learned;
mod letters;
mod marked;
mod materials;
mod named;
mod native_table;
mod operators;
mod operators_record;
mod order;
mod order_record;
mod page;
mod page_curve;
mod page_writer;
#[cfg(feature = "parquet")]
mod parquet;
mod plain_sheet;
mod programme;
mod ranking;
mod rates;
mod record;
mod record_parts;
mod scenario_record;
mod scenarios;
mod schema;
mod sentence;
mod shared_supplies;
mod shared_supply_record;
mod sharing;
mod stands;
mod summary;
mod table_schema;
mod tabs;
mod tender;
mod terminal;
mod try_site;
mod united;
mod visits;
mod weights;
mod workbook;
mod writer;

pub use atomic::{Leftovers, OutputError, Outputs};
pub use bid_record::{BidLineRecord, BidRecord, CauseRecord, GrantRecord, QuestionRecord};
pub use calculation::book::write_calculations;
pub use card::{CardSite, card_text, write_cards};
pub use changes::{ChangesDocument, changes_page, write_changes, write_changes_json};
pub use clusters_record::{ClusterRecord, LoadRecord, ServedRecord, SharedWithRecord};
pub use explain::explain;
pub use extent::{DETAIL_SITES_OF_A_LONG_RUN, Extent, LIVE_SITES, SITES_WITH_FULL_DETAIL};
pub use flat::{Column, ColumnKind, Plain, columns, write_csv};
pub use gaps::write_questions_csv;
pub use gaps_record::{AskRecord, AskedRecord, GapsRecord, SiteQuestionsRecord};
pub use geojson::{
    MapCluster, MapDocument, MapFeature, MapGeometry, MapProperties, MapSite, sites_on_the_map, write_geojson,
};
pub use json::{Document, write_json};
pub use learned::{LearnedDocument, LearnedRun, learned_page, write_learned, write_learned_json};
pub use marked::write_marked;
pub use operators_record::OperatorScheduleRecord;
pub use order_record::{CableRecord, CutRecord, DrumRecord, OrderItemRecord, OrderRecord, PackRecord};
#[cfg(feature = "parquet")]
pub use parquet::write_parquet;
pub use plain_sheet::{write_cutting_csv, write_operator_csv, write_order_csv};
pub use programme::{
    DoneRecord, GainRecord, LeftOutRecord, PeriodRecord, ProgrammeRecord, ShareRecord, StayRecord, WeekRecord,
};
pub use record::{SiteRecord, records};
pub use record_parts::{AssumedRecord, BillRecord, CrewRecord, FindingRecord, OddsRecord, RemedyRecord, TaskRecord};
pub use scenario_record::{MovedRecord, ScenarioRecord};
pub use schema::schemas;
pub use sentence::why;
pub use shared_supply_record::{SharedSupplyRecord, VehicleGroupRecord};
pub use sharing::SharedWithoutRecord;
pub use terminal::lines;
pub use visits::{LikelyReadyRecord, VisitRecord};
pub use workbook::{WorkbookError, compression_level, write_workbook};

use crate::estimate::PriceBook;
use crate::intake::Intake;
use crate::operators::Schedules;
use crate::order::Order;
use crate::portfolio::{Bid, Gaps, Portfolio, Scenario, Visit};
use crate::programme::Programme;
use crate::rules::Rules;
use jiff::civil::Date;
use serde::Serialize;

/// Everything a report is made from.
#[derive(Clone, Copy, Debug)]
pub struct Run<'a> {
    /// The spreadsheet as it was read.
    pub intake: &'a Intake,
    /// The judged sites, in rank order, and the portfolio in figures.
    pub portfolio: &'a Portfolio,
    /// What is bid for the sites chosen; `None` where none of them has a price.
    pub bid: Option<&'a Bid>,
    /// Which answers to chase; `None` where the odds were not asked for.
    pub gaps: Option<&'a Gaps>,
    /// The run with other rules or prices, side by side; mostly none.
    pub scenarios: &'a [Scenario],
    /// Sites to visit, as many as were asked for; mostly none.
    pub visits: &'a [Visit],
    /// Which sites are done when and by whom; `None` where it was not asked for.
    pub programme: Option<&'a Programme>,
    /// Which operator must hear of which site; `None` where no whole portfolio is told of.
    pub schedules: Option<&'a Schedules>,
    /// What to buy for the sites chosen.
    pub order: &'a Order,
    /// The policy in force.
    pub rules: &'a Rules,
    /// The lines of the price book.
    pub prices: &'a [PriceNote],
    /// How unasked facts were taken: `screen` or `commit`.
    pub stance: &'a str,
    /// The date of the run; there is no other clock.
    pub as_of: Date,
    /// Version of the program.
    pub version: &'a str,
    /// Which files the run rests on.
    pub inputs: &'a Inputs,
}

/// One line of the price book, as far as a report needs it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PriceNote {
    /// Item code.
    pub item: String,
    /// What it is, for people.
    pub description: String,
    /// What the figures are for one of ("m", "each", "hours a metre").
    pub unit: String,
    /// On what the figures rest, with the year.
    pub basis: String,
    /// Where they come from.
    pub source: String,
    /// Low end: pounds before tax, or hours where the unit says so.
    pub low: f64,
    /// Likely.
    pub likely: f64,
    /// High end.
    pub high: f64,
}

/// Every item of a price book, as the result states it.
pub fn price_notes(prices: &PriceBook) -> Vec<PriceNote> {
    prices
        .items()
        .iter()
        .map(|item| PriceNote {
            item: item.code.to_owned(),
            description: item.description.to_owned(),
            unit: item.unit.to_owned(),
            basis: format!("{} ({})", item.basis, item.year),
            source: item.source.to_owned(),
            low: item.figure.low,
            likely: item.figure.likely,
            high: item.figure.high,
        })
        .collect()
}

/// A file that went into the run.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, schemars::JsonSchema)]
pub struct InputFile {
    /// File name without its folder; "defaults" for what is built in.
    pub name: String,
    /// SHA-256 of its bytes, hexadecimal.
    pub sha256: String,
}

/// The files a run rests on.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, schemars::JsonSchema)]
pub struct Inputs {
    /// The user's spreadsheet.
    pub portfolio: InputFile,
    /// The rules file.
    pub rules: InputFile,
    /// The price book.
    pub price_book: InputFile,
    /// The mapping of headings, where one was given.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mapping: Option<InputFile>,
    /// Further files laid over the spreadsheet, in the order given.
    pub with: Vec<InputFile>,
    /// The list of sites to order for, where one was given.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub order: Option<InputFile>,
    /// The programme file, where one was given.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(default)]
    pub programme: Option<InputFile>,
    /// Further rules and price books, a scenario each, in their order.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schemars(default)]
    pub scenarios: Vec<InputFile>,
}
