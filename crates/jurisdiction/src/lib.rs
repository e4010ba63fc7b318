//! What the rules of a place demand of an application: fields of the record and by when, how long
//! it is kept, signs, notices. Every rule is data with its jurisdiction, its dates in force, its
//! source and how far that source was read; none is written in code.
//!
//! A rule that is not in the set is not known. Nothing here ever says that none exists: see
//! [`Known`] and [`CONFIRM_LOCAL_LAW`].
//!
//! This crate must not know: files, clocks, products, land, records as they are kept.

mod applies;
mod business_day;
mod demand;
mod field;
mod known;
mod late;
mod notice;
mod period;
mod place;
mod posting;
mod record;
mod retention;
mod rule;
mod set;
mod sign;
mod source;
mod words;

pub use applies::{Applies, Circumstances, Ground, Pesticides, Scope, Work};
pub use business_day::BusinessDays;
pub use demand::{
    AdvanceNotice, CustomerNotice, CustomerNoticeTime, Demand, NoticeItem, NoticePeriod, Recipient, RecordKeeping,
};
pub use field::RecordField;
pub use known::Known;
pub use late::{LatestNotice, NoticeKind, Times, latest_notices};
pub use notice::{NoticeDeadline, check_start, earliest_start, notice_deadlines, notices, notify_by};
pub use period::{CompleteBy, CountedFrom, Period};
pub use place::Jurisdiction;
pub use posting::{Posting, PutUp, Removal, SignEdge, SignHeight, SignSize};
pub use record::{Lacking, Presence, RecordDemands, RequiredField, record_demands};
pub use retention::{Kept, Paper, Retention, retention};
pub use rule::{InForce, Rule, RuleId};
pub use set::{Binding, RuleSet};
pub use sign::{HeightContradiction, Sign, common_height, posting, sign};
pub use source::{Extent, Source};
pub use words::no_rule_known;

/// What must stand beside everything that is told from a set of rules.
pub const CONFIRM_LOCAL_LAW: &str = "This is a small set of rules, each as its source said when it was read, and it is \
     not legal advice. Other rules of the state, county, town or employer may bind, and these may have changed: \
     confirm local law with the authority before relying on them. The label on the container in hand always governs.";
