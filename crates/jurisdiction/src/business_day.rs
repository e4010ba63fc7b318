//! Business days, counted in time.

use jiff::civil::{Date, DateTime, Time, Weekday};
use jiff::{SignedDuration, ToSpan as _};
use std::collections::BTreeSet;
use std::num::NonZeroU16;

/// Which days are business days: Monday to Friday but for the holidays given.
///
/// A business day is a whole day, from midnight to midnight, and only business days count. That a notice
/// is given “one business day before” is read so that as much time of business days lies between notice
/// and application as one whole business day has. This is an interpretation, and a strict one: for an
/// application on Monday at 9 a notice on Friday at 9 is in time; for one on Saturday, one before Friday.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct BusinessDays {
    holidays: BTreeSet<Date>,
}

impl BusinessDays {
    /// With these holidays. Which days are holidays differs from place to place.
    pub fn new(holidays: impl IntoIterator<Item = Date>) -> Self {
        Self { holidays: holidays.into_iter().collect() }
    }

    /// Whether a day is one.
    pub fn is_business_day(&self, date: Date) -> bool {
        !matches!(date.weekday(), Weekday::Saturday | Weekday::Sunday) && !self.holidays.contains(&date)
    }

    /// The latest moment that is so many business days before `moment`; `None` before the calendar begins.
    pub fn before(&self, moment: DateTime, days: NonZeroU16) -> Option<DateTime> {
        // Time of business days still to go back over.
        let mut left = SignedDuration::from_hours(24 * i64::from(days.get()));
        let mut date = moment.date();
        let mut until = since_midnight(moment);
        loop {
            if self.is_business_day(date) {
                if left <= until {
                    return at(date, until - left);
                }
                left -= until;
            }
            date = date.yesterday().ok()?;
            until = SignedDuration::from_hours(24);
        }
    }

    /// The earliest moment that is so many business days after `moment`; `None` after the calendar ends.
    pub fn after(&self, moment: DateTime, days: NonZeroU16) -> Option<DateTime> {
        let mut left = SignedDuration::from_hours(24 * i64::from(days.get()));
        let mut date = moment.date();
        let mut from = since_midnight(moment);
        loop {
            if self.is_business_day(date) {
                let rest = SignedDuration::from_hours(24) - from;
                if left <= rest {
                    return at(date, from + left);
                }
                left -= rest;
            }
            date = date.tomorrow().ok()?;
            from = SignedDuration::ZERO;
        }
    }
}

fn since_midnight(moment: DateTime) -> SignedDuration {
    moment.time().duration_since(Time::midnight())
}

fn at(date: Date, since_midnight: SignedDuration) -> Option<DateTime> {
    if since_midnight == SignedDuration::from_hours(24) {
        return date.checked_add(1.day()).ok().map(|next| next.to_datetime(Time::midnight()));
    }
    date.to_datetime(Time::midnight()).checked_add(since_midnight).ok()
}
