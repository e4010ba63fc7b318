//! Lengths of time in rules, counted so that nothing is ever due late or kept too short.

use jiff::Span;
use jiff::civil::{Date, DateTime, Time};
use std::num::NonZeroU16;

/// How long something is kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Period {
    /// Years.
    Years(NonZeroU16),
    /// Months.
    Months(NonZeroU16),
    /// Days.
    Days(NonZeroU16),
}

impl Period {
    /// The last day of the period that begins on `from`. Where a month has no such day (29 February, or
    /// the 31st), it is the day after its end, never the day before.
    pub fn last_day(self, from: Date) -> Date {
        let (span, in_months) = match self {
            Self::Years(years) => (Span::new().years(i64::from(years.get()).min(19_998)), true),
            Self::Months(months) => (Span::new().months(i64::from(months.get())), true),
            Self::Days(days) => (Span::new().days(i64::from(days.get())), false),
        };
        let Ok(last) = from.checked_add(span) else { return Date::MAX };
        if in_months && last.day() < from.day() { last.tomorrow().unwrap_or(Date::MAX) } else { last }
    }
}

/// From when a period of keeping is counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum CountedFrom {
    /// The day of the application.
    Application,
    /// The end of the calendar year of the application.
    EndOfYear,
    /// The source does not say, or was not read so far: counted from the end of the calendar year of the
    /// application, which errs to keeping too long.
    NotStated,
}

impl CountedFrom {
    /// Every one.
    pub const ALL: &'static [Self] = &[Self::Application, Self::EndOfYear, Self::NotStated];

    /// The word used in files.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Application => "application",
            Self::EndOfYear => "end-of-year",
            Self::NotStated => "not-stated",
        }
    }

    /// The day from which it counts for an application on `date`.
    pub fn day(self, date: Date) -> Date {
        match self {
            Self::Application => date,
            Self::EndOfYear | Self::NotStated => date.last_of_year(),
        }
    }
}

/// By when a record must be complete.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum CompleteBy {
    /// On the day of the application.
    SameDay,
    /// So many hours after the end of the application.
    Hours(NonZeroU16),
    /// By the end of so many days after the day of the application.
    Days(NonZeroU16),
}

impl CompleteBy {
    /// The moment by which the record of an application that ended at `ended` must be complete. The end of a
    /// day is midnight, the first moment of the next.
    pub fn moment(self, ended: DateTime) -> DateTime {
        let end_of_day = |after: i64| {
            let days = Span::new().days(after.saturating_add(1));
            ended.date().checked_add(days).map_or(DateTime::MAX, |date| date.to_datetime(Time::midnight()))
        };
        match self {
            Self::SameDay => end_of_day(0),
            Self::Days(days) => end_of_day(i64::from(days.get())),
            Self::Hours(hours) => ended.checked_add(Span::new().hours(i64::from(hours.get()))).unwrap_or(DateTime::MAX),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    fn some(number: u16) -> NonZeroU16 {
        NonZeroU16::new(number).unwrap()
    }

    #[test]
    fn two_years_end_on_the_same_day_two_years_later() {
        assert_eq!(Period::Years(some(2)).last_day(date(2026, 7, 7)), date(2028, 7, 7));
        assert_eq!(Period::Days(some(30)).last_day(date(2026, 7, 7)), date(2026, 8, 6));
    }

    #[test]
    fn a_day_that_the_month_lacks_makes_the_period_longer_not_shorter() {
        assert_eq!(Period::Years(some(1)).last_day(date(2028, 2, 29)), date(2029, 3, 1));
        assert_eq!(Period::Months(some(1)).last_day(date(2026, 1, 31)), date(2026, 3, 1));
        assert_eq!(Period::Years(some(4)).last_day(date(2028, 2, 29)), date(2032, 2, 29));
    }

    #[test]
    fn beyond_the_calendar_is_its_end() {
        assert_eq!(Period::Years(some(u16::MAX)).last_day(date(2026, 7, 7)), Date::MAX);
        assert_eq!(CompleteBy::SameDay.moment(DateTime::MAX), DateTime::MAX);
        assert_eq!(CompleteBy::Hours(some(1)).moment(DateTime::MAX), DateTime::MAX);
    }

    #[test]
    fn a_record_of_the_same_day_is_due_at_midnight() {
        let ended = date(2026, 7, 7).at(9, 20, 0, 0);
        assert_eq!(CompleteBy::SameDay.moment(ended), date(2026, 7, 8).at(0, 0, 0, 0));
        assert_eq!(CompleteBy::Hours(some(24)).moment(ended), date(2026, 7, 8).at(9, 20, 0, 0));
        assert_eq!(CompleteBy::Days(some(10)).moment(ended), date(2026, 7, 18).at(0, 0, 0, 0));
    }
}
