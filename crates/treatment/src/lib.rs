//! One visit: zones (the partition of the ground), tasks, amounts, lawful hours, limits over time,
//! the choice among labels, and the verdicts on all of it.
//!
//! This crate must not know: files, clocks, random numbers. The same request gives the same visit.

mod amounts;
mod care;
mod cautions;
mod choose;
mod directions;
mod dose;
mod finding;
mod hot_spots;
mod hours;
mod limits;
mod measures;
mod next_lawful;
mod plan;
mod product_amounts;
mod rate_measures;
mod remaining;
mod request;
mod resolve;
mod room;
mod sensitive;
mod sites;
mod sizes;
mod stages;
mod states;
mod targets;
mod verdict;
mod visit;
mod work_hours;
mod working;
mod zones;

pub use care::{LabelCare, label_care};
pub use choose::{Choice, choose};
pub use finding::finding_of_task;
pub use hot_spots::USUAL_SHARE_THAT_MAY_STAY;
pub use limits::window_around;
pub use plan::{plan, plan_with, zones_sketched, zones_with};
pub use request::{
    Application, FindingRequest, History, Overlap, PartnerRequest, Place, Practice, RateWish, Setback, SurveyTold,
    Target, TaskRequest, Threshold, VisitRequest,
};
pub use room::{
    CapRoom, NumberRoom, Room, SiteGround, reaches_back, reaches_back_over_interval, reaches_back_over_windows, room,
    room_on,
};
pub use scouting::CountBasis;
pub use sites::site_of_kind;
pub use verdict::{Figure, Origin, Status, Verdict, Working};
pub use visit::{
    Applicator, Batch, Call, Caution, CautionSubject, Direction, DrawnSetback, Finding, Hour, HourReason,
    IrrigationAdvice, KeepOffAdvice, Measure, Ppe, ProductTotal, Remaining, Sentence, SideBySide, StartWindow, Task,
    TaskProduct, Visit, Way, WayProduct, Zone, ZoneKind, ZoneUse,
};
pub use work_hours::{AirOfHour, BestStart, SpotCheck, TaskHours, WorkHour, WorkHours, work_hours};
pub use zones::{Zoning, is_put_on_paving};
