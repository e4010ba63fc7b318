//! What was done: application records, their totals over each square foot, leftovers, complaints, what a
//! record lacks.
//!
//! This crate must not know: files, clocks, random numbers, money.

mod actual;
mod application;
mod apply;
mod breach;
mod check;
mod complaint;
mod difference;
mod fact;
mod from_visit;
mod ground;
mod history;
mod late;
mod left_over;
mod leftover;
mod misapplied;
mod plausible;
mod poured_out;
mod rinsate;
mod settle;
mod standing;
mod tank_check;
mod task;
mod told;
mod totals;
mod treated_place;

pub use actual::{Actual, ActualLeftover, ActualTank, ActualTask, Left, LeftoverUse};
pub use application::{
    ApplicationRecord, Became, Breach, Difference, Leftover, Moment, NoticeGiven, Observed, PlannedVisit,
    PropertyReference, Provenance, ReEntry, TargetCounts,
};
pub use apply::apply;
pub use breach::{Ground, breaches, not_judged, past_is_whole, with_breaches};
pub use check::check;
pub use complaint::{Complaint, DOWNWIND_ANGLE_DEGREES, Downwind, Near, complaint};
pub use fact::Fact;
pub use from_visit::{Parties, from_visit};
pub use ground::{extent, reach};
pub use history::{HistoryGap, Past, history};
pub use late::{LateNotice, late_notices};
pub use leftover::{LeftoverMix, LeftoverPlace, leftover_places};
pub use misapplied::misapplied;
pub use plausible::{check_actual, not_yet, overfilled};
pub use poured_out::{LAWFUL_WAYS, forbidden_end};
pub use rinsate::{RINSATE_SHARE, Rinse, TRIPLE_RINSES, most_rinsate, rinsate_advice, rinsate_rule, triple_rinse};
pub use standing::{Discarding, Standing, circumstances, discarding, kept_until, presence, standing};
pub use tank_check::{Compared, STOP_BEYOND, TankAdvice, TankCheck, check_tanks};
pub use task::{CalibrationUsed, Fill, ProductRecord, Tank, TankTold, TaskRecord, TreatedZone};
pub use told::{Part, RecordPaper, Section, told};
pub use totals::{IngredientTotal, Layer, OffGround, PlaceTotal, ProductTotal, Totals, beyond, totals, window};
pub use treated_place::{NamedGround, place_name};
