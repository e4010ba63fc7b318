//! What was done: application records, their totals over each square foot, leftovers, complaints, what a
//! record lacks.
//!
//! This crate must not know: files, clocks, random numbers, money.

mod actual;
mod application;
mod apply;
mod difference;
mod fact;
mod from_visit;
mod settle;
mod task;

pub use actual::{Actual, ActualLeftover, ActualTank, ActualTask, Left, LeftoverUse};
pub use application::{
    ApplicationRecord, Became, Breach, Difference, Leftover, Moment, NoticeGiven, Observed, PlannedVisit,
    PropertyReference, Provenance, ReEntry, TargetCounts,
};
pub use apply::apply;
pub use fact::Fact;
pub use from_visit::{Parties, from_visit};
pub use task::{CalibrationUsed, Fill, ProductRecord, Tank, TaskRecord, TreatedZone};
