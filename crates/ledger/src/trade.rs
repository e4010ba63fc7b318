//! What the trade asks of the books: records, stock by lot, who may apply what, what may still be
//! applied, who applied what near a place.
//!
//! The reckoning stands in plain functions over documents; what reads and writes the books stands
//! beside it.

mod authority;
mod demo;
mod efficacy;
mod judging;
mod kept_visit;
mod later;
mod named;
mod past;
mod people;
mod planning;
mod prices;
mod receipt;
mod record_paper;
mod record_sheet;
mod records;
mod retention;
mod sprayers;
mod stock;
mod stocked;
mod surroundings;
mod surveys;
mod things;
mod totals;
mod visit;

pub use authority::{Authority, Crew, authority};
pub use demo::KeptDemo;
pub use efficacy::{CountsAndTreatments, ToldTreatment, counts_of};
pub use kept_visit::KEPT_VISIT;
pub use named::THING;
pub use past::{BooksPast, merged};
pub use planning::{BOOKS, Shelf};
pub use receipt::receipt;
pub use record_paper::{StandingTold, standing_told};
pub use record_sheet::applied_of;
pub use records::{HeldRecord, KeptRecord, RecordLinks};
pub use stock::{LotStock, Stock, Use, stock};
pub use stocked::stocked;
pub use surroundings::Surroundings;
pub use things::{Held, Keeping, KeptThing, OfKind, checked_entry, reference};
pub use totals::{Counted, LaidTotals};
pub use visit::{PlannedVisit, ReadVisit, VisitParties};
