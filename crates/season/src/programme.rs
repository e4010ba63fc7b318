//! The programme of a season: which use on which ground in which week, so that what pests would cost and what
//! treating costs is least together, inside every limit of the labels.
//!
//! # Method
//! For each ground, use and week there is a yes or no. A use controls a pest by an age curve (share controlled in
//! the week of application, one week later, and so on); of what acts in a week the best counts and nothing is added
//! up, since no source is at hand for the sum of two residues. What is gained is
//!
//! ```text
//! sum over grounds, pests and weeks of  pressure x worth x area x share controlled
//!   - cost of applications - travel for each week with a visit
//! ```
//!
//! with the worth of one unit of pressure stated by the user. The rules are those of the labels (numbers, intervals,
//! caps of product and active ingredient over their own window and across products on the same ground, applications
//! in a row of one mode-of-action group), of practice (another group for the next generation, one use on one ground
//! in one visit), of the client (weeks closed, budget, stock) and the demands (pinned, forbidden, required).
//!
//! It is solved as an integer programme with a proven bound: see [`solve`].
//!
//! A planned date is a date to scout. Counts decide on the day, and the label and the law govern.

mod answer;
mod baseline;
mod check;
mod conflict;
mod demand;
mod ground;
mod ground_search;
mod model;
mod money;
mod pest_pressure;
mod product_use;
mod relaxation;
mod request;
mod rule;
mod search;
mod selection;
mod shared;
mod solve;
mod weeks;
mod what_if;

pub use answer::{Binding, Programme, Proof, Protection, RoomLeft, UsedOf};
pub use answer::{ingredients, protection};
pub use baseline::calendar_every;
pub use check::{Violation, gain, spent, violations};
pub use conflict::{Conflict, ConflictRule};
pub use demand::{Blackout, Count, Demands, Forbidden, Pin, Required, WhyClosed};
pub use ground::{Ground, PastApplication};
pub use money::{CostPerArea, MinorUnits};
pub use pest_pressure::{Generation, PestPressure, Worth};
pub use product_use::{Control, LabelLimit, LimitKind, ProductUse, Share};
pub use request::{Advisory, Planned, SeasonRequest, Stock};
pub use rule::{Rule, RuleKind, Said};
pub use solve::{Answer, Effort, solve};
pub use weeks::{Week, Weeks};
pub use what_if::{Change, WhatIf, what_if};
