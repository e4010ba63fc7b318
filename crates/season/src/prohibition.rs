//! What treatments forbid and demand of those who water and mow.

use jiff::civil::{Date, DateTime, Time};
use problem::{Problem, Problems};
use quantity::{Duration, DurationUnit, Length, LengthUnit};
use treatment::{Sentence, Status, Visit};

/// A stretch of time in which something is not done.
#[derive(Debug, Clone, PartialEq)]
pub struct Prohibition {
    /// From when on.
    pub from: DateTime,
    /// Until when; at this moment it is over.
    pub until: DateTime,
    /// Why, in words.
    pub why: String,
    /// The sentences of labels behind it.
    pub sentences: Vec<Sentence>,
}

impl Prohibition {
    /// Whether any of it lies between two moments.
    pub fn touches(&self, from: DateTime, until: DateTime) -> bool {
        self.from < until && from < self.until
    }
}

/// A stretch of time in which something may be done.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stretch {
    /// From when on.
    pub from: DateTime,
    /// Until when.
    pub until: DateTime,
}

impl Stretch {
    /// How long it is, in whole minutes.
    pub fn minutes(self) -> i64 {
        self.from.duration_until(self.until).as_secs().max(0) / 60
    }
}

/// The longest stretch of a day between two times of the clock that no prohibition touches; of equal ones the first. `None` where
/// there is none of a minute.
pub fn longest_free(date: Date, (from, until): (Time, Time), prohibitions: &[Prohibition]) -> Option<Stretch> {
    let end = DateTime::from_parts(date, until);
    let mut at = minute_up(DateTime::from_parts(date, from));
    let mut best: Option<Stretch> = None;
    while at < end {
        let minute = at.saturating_add(jiff::Span::new().minutes(1));
        let over = prohibitions.iter().filter(|other| other.touches(at, minute)).map(|other| other.until).max();
        if let Some(over) = over {
            // At the end of a prohibition another may still hold.
            at = minute_up(over);
            continue;
        }
        let next = prohibitions.iter().map(|other| other.from).filter(|start| *start > at && *start < end).min();
        let stretch = Stretch { from: at, until: next.unwrap_or(end) };
        if stretch.minutes() > best.map_or(0, Stretch::minutes) {
            best = Some(stretch);
        }
        at = minute_up(stretch.until);
    }
    best
}

/// The whole minute that is not before a moment.
pub(crate) fn minute_up(moment: DateTime) -> DateTime {
    if moment.second() == 0 && moment.subsec_nanosecond() == 0 {
        return moment;
    }
    let down = moment.with().second(0).subsec_nanosecond(0).build().unwrap_or(moment);
    down.saturating_add(jiff::Span::new().minutes(1))
}

/// Water that a treatment needs.
#[derive(Debug, Clone, PartialEq)]
pub struct WaterIn {
    /// The visit.
    pub visit: String,
    /// How deep.
    pub depth: Length,
    /// Not before the work is done.
    pub not_before: DateTime,
    /// It has to be given by then.
    pub by: DateTime,
    /// The sentences of labels behind it.
    pub sentences: Vec<Sentence>,
}

/// What one visit forbids and demands.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct VisitTimes {
    /// When no water is given.
    pub no_watering: Vec<Prohibition>,
    /// When nobody mows.
    pub no_mowing: Vec<Prohibition>,
    /// Water that has to be given.
    pub water_in: Vec<WaterIn>,
}

/// What a planned visit forbids and demands of those who water and mow.
///
/// - **Water**: none on the day before the work, so that leaves are dry and nobody is in the way; none until the label's time after
///   the latest finish is over. Where the labels state no time and want none watered in, none on the rest of the day. A visit of
///   which no hour is known may be made at any hour of its day.
/// - **Mowing**: mow before, not after: none on the day, none for `mow_after` after the latest finish, none until people may come
///   back, and none before the treatment is watered in.
///
/// Days of the visit as a whole, and `mow_after`, are common practice, no source; times of labels are theirs.
///
/// With the times come warnings: a refused visit, which is not made and forbids nothing; a treatment that has to be watered in and of
/// which no hour is known.
pub fn visit_times(visit: &Visit, mow_after: Duration) -> (VisitTimes, Problems) {
    let mut problems = Problems::new();
    if visit.verdict() == Status::Refused {
        problems.push(
            Problem::warning(
                "season::refused-visit",
                format!("the plan of `{}` on `{}` is refused", visit.name, visit.date),
            )
            .expected("a visit that may be made")
            .mend(
                "nothing is applied, so that it forbids and demands nothing here; plan it anew before watering by this",
            ),
        );
        return (VisitTimes::default(), problems);
    }
    let start = visit.date.at(0, 0, 0, 0);
    let end_of = |moment: DateTime| moment.date().tomorrow().map_or(DateTime::MAX, |next| next.at(0, 0, 0, 0));
    let finish = visit.start_windows.iter().map(|window| window.finish_if_last).max();
    let done = finish.map_or_else(|| end_of(start), minute_up);
    let irrigation = &visit.irrigation;
    let mut no_water_until = match (irrigation.first_permitted, irrigation.prohibited_for) {
        (Some(first), _) => first.max(done),
        (None, Some(time)) => later(done, time),
        (None, None) if irrigation.water_in.is_empty() => end_of(done.saturating_sub(jiff::Span::new().seconds(1))),
        (None, None) => done,
    };
    no_water_until = no_water_until.max(done);
    let mut times = VisitTimes::default();
    times.no_watering.push(Prohibition {
        from: start,
        until: minute_up(no_water_until),
        why: match irrigation.prohibited_for {
            Some(time) => format!("{}, and no water for {} after its work", visit.name, hours_word(time)),
            None if irrigation.water_in.is_empty() => format!("{}, and the rest of its day", visit.name),
            None => format!("{}, until its work is done", visit.name),
        },
        sentences: irrigation.sentences.clone(),
    });
    let mut no_mowing = later(done, mow_after);
    no_mowing = no_mowing.max(visit.keep_off.not_before.unwrap_or(done));
    if let (None, Some(time)) = (visit.keep_off.not_before, visit.keep_off.at_least) {
        no_mowing = no_mowing.max(later(done, time));
    }
    for (depth, by) in &irrigation.water_in {
        match by {
            Some(by) => {
                no_mowing = no_mowing.max(*by);
                times.water_in.push(WaterIn {
                    visit: visit.name.clone(),
                    depth: *depth,
                    not_before: done,
                    by: *by,
                    sentences: irrigation.sentences.clone(),
                });
            }
            None => problems.push(
                Problem::warning(
                    "season::water-in-unknown",
                    format!("`{}` has to be watered in, and no hour of its work is known", visit.name),
                )
                .expected("a forecast of its day, from which its hours follow")
                .mend(format!(
                    "give {:.2} in of water as soon as the work is done, within the time of its label",
                    depth.to(LengthUnit::Inch)
                )),
            ),
        }
    }
    times.no_mowing.push(Prohibition {
        from: start,
        until: minute_up(no_mowing),
        why: format!("{}: mow before, not after", visit.name),
        sentences: visit.keep_off.sentences.clone(),
    });
    (times, problems)
}

fn later(moment: DateTime, time: Duration) -> DateTime {
    let seconds = time.to(DurationUnit::Second);
    // 24 h are 86,400 s also where a unit's factor leaves a last bit.
    moment.saturating_add(jiff::SignedDuration::from_secs((seconds - 1e-6).ceil().max(0.0) as i64))
}

fn hours_word(time: Duration) -> String {
    let hours = time.to(DurationUnit::Hour);
    if (hours - hours.round()).abs() < 1e-6 { format!("{hours:.0} h") } else { format!("{hours:.1} h") }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::{date, time};

    fn no(from: DateTime, until: DateTime) -> Prohibition {
        Prohibition { from, until, why: String::new(), sentences: Vec::new() }
    }

    #[test]
    fn the_longest_stretch_is_found_between_prohibitions() {
        let day = date(2026, 7, 8);
        let at = |hour, minute| day.at(hour, minute, 0, 0);
        let window = (time(4, 0, 0, 0), time(10, 0, 0, 0));
        let free = |list: &[Prohibition]| {
            longest_free(day, window, list).map(|stretch| (stretch.from.time(), stretch.until.time()))
        };
        assert_eq!(free(&[]), Some(window));
        let early = no(date(2026, 7, 7).at(0, 0, 0, 0), day.at(8, 39, 19, 0));
        assert_eq!(free(std::slice::from_ref(&early)), Some((time(8, 40, 0, 0), time(10, 0, 0, 0))));
        let overlapping = no(at(8, 0), at(9, 0));
        assert_eq!(free(&[early.clone(), overlapping.clone()]), Some((time(9, 0, 0, 0), time(10, 0, 0, 0))));
        assert_eq!(free(&[overlapping]), Some((time(4, 0, 0, 0), time(8, 0, 0, 0))));
        assert_eq!(free(&[no(at(5, 0), at(6, 0))]), Some((time(6, 0, 0, 0), time(10, 0, 0, 0))));
        assert_eq!(free(&[early, no(at(8, 0), at(12, 0))]), None);
    }
}
