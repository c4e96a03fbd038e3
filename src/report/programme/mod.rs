//! The programme in the workbook: a page for whoever decides, the crews week by week as bars, points and spend week by
//! week, every site with its dates or why it is left out; and the same for programs. How it was found it does not know.

mod bars;
mod page;
mod record;
mod sites;
mod weekly;
mod words;

pub use record::{
    DoneRecord, GainRecord, LeftOutRecord, PeriodRecord, ProgrammeRecord, ShareRecord, StayRecord, WeekRecord,
};

pub(super) use bars::sheet as bars_sheet;
pub(super) use page::page;
pub(super) use record::record;
pub(super) use sites::sheet as sites_sheet;
pub(super) use weekly::{draw, sheet as weekly_sheet};
pub(super) use words::line;
