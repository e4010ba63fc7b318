//! What a product's label says, as data: use rows, limits with verbatim clause, page, strength and
//! scope; choosing rows; combining labels and rules. Silent is not zero.
//!
//! This crate must not know: geometry, weather readings, files.

mod check;
mod clause;
mod combine;
mod constraint;
mod difference;
mod figure;
mod pest_name;
mod product;
mod reading;
mod select;
mod toxicity;
mod use_row;

pub use check::check;
pub use clause::{Clause, Scope, Statement, Strength};
pub use combine::{Bound, Conflict, RangeBound, Required, Requirements, WateringIn, combined, for_state, requirements};
pub use constraint::{
    ApplicationCount, BloomRule, Buffer, BufferedFeature, Cap, CapAmount, Constraints, Irrigation, KeepOff, PpeItem,
    PpeTask, Range, WindLimit, Window,
};
pub use difference::{Difference, differences};
pub use pest_name::{names_kind_of, names_pest};
pub use product::{ActiveIngredient, Formulation, Label, Product, SignalWord, UseClass};
pub use reading::{Saying, Section};
pub use select::{Fit, Reason, Rejection, RowMatch, rows_for};
pub use toxicity::{Route, ToxicityCategory};
pub use use_row::{Claim, Method, PestClaim, PreventiveUse, RateRange, Site, UseRow};
