//! The weeks of a season, each with the day that is planned for.

use jiff::civil::Date;
use problem::Problem;

/// The weeks planned: the same day of the week, again and again.
///
/// Limits are held for these days. Whoever comes on another day of the week asks the plan of the visit, which holds
/// them for the day itself.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Weeks {
    first: Date,
    count: u16,
}

/// A week of the season, counted from 0.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Week(pub u16);

impl Week {
    /// Its place among the weeks.
    pub fn index(self) -> usize {
        usize::from(self.0)
    }
}

impl Weeks {
    /// The most weeks that are planned at once: a little more than a year.
    pub const MOST: u16 = 60;

    /// So many weeks from a day on.
    ///
    /// # Errors
    /// `season::weeks` for no week, more than [`Weeks::MOST`], or days past the calendar.
    pub fn new(first: Date, count: u16) -> Result<Self, Problem> {
        let fits = first.checked_add(jiff::Span::new().weeks(i64::from(count) + 60)).is_ok();
        if count == 0 || count > Self::MOST || !fits {
            return Err(Problem::error("season::weeks", format!("`{count}` weeks from {first} on"))
                .expected(format!("1 to {} weeks", Self::MOST)));
        }
        Ok(Self { first, count })
    }

    /// How many.
    pub fn count(self) -> usize {
        usize::from(self.count)
    }

    /// The first day planned for.
    pub fn first(self) -> Date {
        self.first
    }

    /// The day planned for in a week.
    pub fn date(self, week: Week) -> Date {
        self.first.saturating_add(jiff::Span::new().weeks(i64::from(week.0)))
    }

    /// Every week.
    pub fn iter(self) -> impl DoubleEndedIterator<Item = Week> + Clone {
        (0..self.count).map(Week)
    }

    /// The week that begins with the day planned for and holds this date.
    pub fn holding(self, date: Date) -> Option<Week> {
        let days = days_between(self.first, date);
        let week = u16::try_from(days.div_euclid(7)).ok()?;
        (week < self.count).then_some(Week(week))
    }

    /// The weeks of which the day planned for lies between two dates, both included.
    pub fn within(self, from: Date, to: Date) -> impl DoubleEndedIterator<Item = Week> + Clone {
        self.iter().filter(move |week| (from..=to).contains(&self.date(*week)))
    }
}

/// Whole days from one date to another.
pub(crate) fn days_between(from: Date, to: Date) -> i32 {
    from.until(to).map_or(0, |span| span.get_days())
}

/// Whole weeks that an interval of days takes between two planned days.
pub(crate) fn weeks_of_days(days: u32) -> usize {
    days.div_ceil(7) as usize
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn a_week_holds_its_seven_days() {
        let weeks = Weeks::new(date(2026, 3, 2), 40).unwrap();
        assert_eq!(weeks.date(Week(39)), date(2026, 11, 30));
        assert_eq!(weeks.holding(date(2026, 3, 8)), Some(Week(0)));
        assert_eq!(weeks.holding(date(2026, 3, 9)), Some(Week(1)));
        assert_eq!(weeks.holding(date(2026, 3, 1)), None);
        assert_eq!(weeks.holding(date(2026, 12, 7)), None);
        assert_eq!(weeks.within(date(2026, 3, 3), date(2026, 3, 16)).collect::<Vec<_>>(), [Week(1), Week(2)]);
    }

    #[test]
    fn too_many_weeks_are_refused() {
        assert!(Weeks::new(date(2026, 3, 2), 0).is_err());
        assert!(Weeks::new(date(2026, 3, 2), Weeks::MOST + 1).is_err());
    }

    #[test]
    fn three_weeks_are_needed_for_21_days_and_four_for_22() {
        assert_eq!((weeks_of_days(21), weeks_of_days(22), weeks_of_days(0)), (3, 4, 0));
    }
}
