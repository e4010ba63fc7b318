//! What a product's label says, as data: use rows, limits with verbatim clause, page, strength and
//! scope; choosing rows; combining labels and rules. Silent is not zero.
//!
//! This crate must not know: geometry, weather readings, files.

mod clause;
mod constraint;
mod product;
mod use_row;

pub use clause::{Clause, Scope, Statement, Strength};
pub use constraint::{
    ApplicationCount, BloomRule, Buffer, BufferedFeature, Cap, CapAmount, Constraints, Irrigation, KeepOff, PpeItem,
    PpeTask, Range, Window, WindLimit,
};
pub use product::{ActiveIngredient, Formulation, Label, Product, SignalWord, UseClass};
pub use use_row::{Claim, Method, PestClaim, RateRange, Site, UseRow};
