//! What differed from the plan, as a person writes it down after the visit.

use crate::application::{Moment, NoticeGiven, Observed, TargetCounts};
use crate::fact::Fact;
use geometry::Region;
use label::Site;
use quantity::{Amount, Area, Volume};

/// What was done otherwise than planned, and what only the day could tell. Whatever is absent stays as
/// planned.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Actual {
    /// The day, when it was another than planned.
    pub date: Option<jiff::civil::Date>,
    /// When the work began.
    pub started: Fact<Moment>,
    /// When it ended.
    pub ended: Fact<Moment>,
    /// The weather seen at the start.
    pub weather_at_start: Observed,
    /// The weather seen at the end.
    pub weather_at_end: Observed,
    /// For whom it was applied.
    pub client: Fact<String>,
    /// The client's address.
    pub client_address: Fact<String>,
    /// The place of the application in words.
    pub location: Fact<String>,
    /// Who applied it.
    pub applicator: Fact<String>,
    /// The number of the certificate of who applied or answers for it.
    pub certification_number: Fact<String>,
    /// The certified applicator who supervised.
    pub supervisor: Fact<String>,
    /// The noncertified applicator who applied under supervision.
    pub noncertified_applicator: Fact<String>,
    /// Notices given and signs put up.
    pub notices: Fact<Vec<NoticeGiven>>,
    /// Counts of the target pest.
    pub target_counts: Fact<TargetCounts>,
    /// Spills, exposure, drift, and what was done about it.
    pub unexpected: Fact<String>,
    /// What was disposed of, and how.
    pub disposal: Fact<String>,
    /// That nothing was left over; what was left stands with its task.
    pub nothing_left_over: bool,
    /// Task by task.
    pub tasks: Vec<ActualTask>,
}

/// What differed on one task.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ActualTask {
    /// The task's name in the plan.
    pub task: String,
    /// Whether it was not carried out at all.
    pub not_done: bool,
    /// The ground in fact treated, in the plane of the property.
    pub ground: Option<Region>,
    /// The wall in fact treated.
    pub wall: Option<Area>,
    /// The number of places in fact treated.
    pub places: Option<u32>,
    /// The sprayer or spreader in fact used.
    pub equipment: Fact<String>,
    /// Lots of the containers, by label.
    pub lots: Vec<(String, Fact<Vec<String>>)>,
    /// Tanks that differed; the others were filled as planned.
    pub tanks: Vec<ActualTank>,
    /// What was left of its mix; what the record says of other tanks stays.
    pub leftover: Option<ActualLeftover>,
}

/// What differed in one tank.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ActualTank {
    /// Its number, from 1. A number past the plan is a tank more.
    pub number: usize,
    /// Whether it was not filled.
    pub not_filled: bool,
    /// Spray.
    pub spray: Option<Volume>,
    /// Product by label.
    pub products: Vec<(String, Amount)>,
    /// The area that it covered.
    pub covered: Option<Area>,
    /// When it was filled.
    pub filled_at: Fact<Moment>,
    /// When it was sprayed out.
    pub emptied_at: Fact<Moment>,
    /// The weather seen while it was put out, where it had changed.
    pub weather: Observed,
    /// The spray that stayed in it under the next mix, which does not count in what was filled into the next tank.
    pub carried_over: Fact<Volume>,
    /// What was left in it and taken out.
    pub leftover: Option<ActualLeftover>,
}

/// What was left of a task's mix.
#[derive(Debug, Clone, PartialEq)]
pub struct ActualLeftover {
    /// Spray left, of its tank or else of the last tank filled; for dry products the amount left by label.
    pub left: Left,
    /// What became of it.
    pub became: LeftoverUse,
}

/// How much was left.
#[derive(Debug, Clone, PartialEq)]
pub enum Left {
    /// Nothing: what the record says of it is taken back.
    Nothing,
    /// So much spray, mixed as the last tank.
    Spray(Volume),
    /// So much product, by label.
    Products(Vec<(String, Amount)>),
}

/// What became of a leftover.
#[derive(Debug, Clone, PartialEq)]
pub enum LeftoverUse {
    /// Nobody has said yet.
    NotSaid,
    /// It was put down on other ground, of a site that the label lists.
    Applied {
        /// Where, in the plane of the property.
        ground: Region,
        /// What it is.
        site: Site,
    },
    /// It is kept for the next use: where and how, in words.
    Kept(String),
    /// It was taken to a disposal programme: which, in words.
    HandedIn(String),
    /// Anything else, in words.
    Other(String),
}
