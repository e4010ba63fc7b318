//! The days of a lawn: what the air asks of it, its rain and its warmth, without a gap.

use jiff::civil::Date;
use problem::{Problem, Problems};
use quantity::{Length, Temperature, TemperatureDifferenceUnit, TemperatureUnit};
use weather::evapotranspiration::{ReadingPlace, ReferenceMethod, reference_of_reading};
use weather::{DailyReading, DailySeries};

/// How the reference evapotranspiration of a day is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ReferenceOrigin {
    /// Reckoned from the day's own reading.
    Reading(ReferenceMethod),
    /// Put between the days before and after, since the day lacks its extremes.
    Neighbours,
}

impl ReferenceOrigin {
    /// The word used in files.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Reading(method) => method.word(),
            Self::Neighbours => "neighbours",
        }
    }
}

/// A day of the weather, as a lawn feels it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LawnDay {
    /// The day.
    pub date: Date,
    /// Reference evapotranspiration.
    pub reference: Length,
    /// How it is known.
    pub origin: ReferenceOrigin,
    /// Mean of the extremes.
    pub mean: Temperature,
    /// Rain; `None` when it is not known.
    pub rain: Option<Length>,
}

/// Days in a row without extremes that are put between their neighbours; more refuse, as sums of heat do.
const FILLED: usize = 2;

/// The days of a series from its first with both extremes to its last, without a gap.
///
/// Up to two days in a row without both extremes are put between those before and after, and flagged. With the days come
/// warnings: days left out at the ends, days filled, days of which the rain is not known.
///
/// # Errors
/// `season::no-days` when no day has both extremes; `season::weather-gap` for each gap of three days or more.
pub fn lawn_days(place: ReadingPlace, series: &DailySeries) -> Result<(Vec<LawnDay>, Problems), Problems> {
    let mut problems = Problems::new();
    let has_extremes = |day: &&DailyReading| day.extremes().is_some();
    let known: Vec<&DailyReading> = series.days().iter().filter(has_extremes).collect();
    let (Some(first), Some(last)) = (known.first(), known.last()) else {
        return Err(Problem::error("season::no-days", "no day has a highest and a lowest temperature")
            .expected("readings of days, or all 24 hours of some")
            .mend("add a table of days, or a forecast that has whole days")
            .into());
    };
    let outside = series.days().iter().filter(|day| day.date < first.date || day.date > last.date).count();
    if outside > 0 {
        problems.push(
            Problem::warning(
                "season::days-left-out",
                format!("{} before `{}` or after `{}` left out", days_word(outside), first.date, last.date),
            )
            .expected("a highest and a lowest temperature of each day")
            .mend("nothing, where the readings begin or stop within a day"),
        );
    }
    let mut days = Vec::new();
    for pair in known.windows(2) {
        days.extend(reckoned(place, pair[0]));
        fill(place, pair[0], pair[1], series, &mut days, &mut problems);
    }
    days.extend(reckoned(place, last));
    let dry: Vec<&LawnDay> = days.iter().filter(|day| day.rain.is_none()).collect();
    if let Some(first) = dry.first() {
        problems.push(
            Problem::warning(
                "season::rain-unknown",
                format!("the rain of {} is not known, the first is `{}`", days_word(dry.len()), first.date),
            )
            .expected("the depth of rain of each day, 0 where none fell")
            .mend("it counts as none, so that the grass does not want: look into the rain gauge before watering"),
        );
    }
    problems.unless_errors(days)
}

fn days_word(number: usize) -> String {
    quantity::counted(u64::try_from(number).unwrap_or(u64::MAX), "day", "days")
}

fn reckoned(place: ReadingPlace, day: &DailyReading) -> Option<LawnDay> {
    let (reference, method) = reference_of_reading(place, day)?;
    let extremes = day.extremes()?;
    let mean = f64::midpoint(extremes.lowest().to(CELSIUS), extremes.highest().to(CELSIUS));
    Some(LawnDay {
        date: day.date,
        reference,
        origin: ReferenceOrigin::Reading(method),
        mean: Temperature::new(mean, CELSIUS),
        rain: day.rain,
    })
}

const CELSIUS: TemperatureUnit = TemperatureUnit::Celsius;

/// The days between two that have extremes.
fn fill(
    place: ReadingPlace,
    before: &DailyReading,
    after: &DailyReading,
    series: &DailySeries,
    days: &mut Vec<LawnDay>,
    problems: &mut Problems,
) {
    let missing: Vec<Date> =
        before.date.series(jiff::Span::new().days(1)).skip(1).take_while(|date| *date < after.date).collect();
    let (Some(from), Some(to)) = (missing.first(), missing.last()) else { return };
    if missing.len() > FILLED {
        problems.push(
            Problem::error(
                "season::weather-gap",
                format!("no extremes of temperature on {} from `{from}` to `{to}`", days_word(missing.len())),
            )
            .expected("readings of each day; up to two in a row are filled")
            .mend("add the days from another station, or begin after the gap"),
        );
        return;
    }
    let (Some(before), Some(after)) = (reckoned(place, before), reckoned(place, after)) else { return };
    for (index, date) in missing.iter().enumerate() {
        let share = (index + 1) as f64 / (missing.len() + 1) as f64;
        let warmer = (after.mean - before.mean).to(TemperatureDifferenceUnit::Celsius);
        days.push(LawnDay {
            date: *date,
            reference: before.reference + (after.reference - before.reference) * share,
            origin: ReferenceOrigin::Neighbours,
            mean: Temperature::new(before.mean.to(CELSIUS) + warmer * share, CELSIUS),
            rain: series.at(*date).and_then(|day| day.rain),
        });
    }
    problems.push(
        Problem::warning(
            "season::day-filled",
            format!("{} without extremes put between neighbours, from `{from}`", days_word(missing.len())),
        )
        .expected("readings of each day")
        .mend("add them where they are known"),
    );
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;
    use quantity::LengthUnit;
    use weather::Site;

    fn place() -> ReadingPlace {
        ReadingPlace::new(Site::new(38.84, -97.62).unwrap(), None, Length::new(10.0, LengthUnit::Metre)).unwrap()
    }

    fn reading(day: i8, extremes: Option<(f64, f64)>, rain: Option<f64>) -> DailyReading {
        DailyReading {
            lowest: extremes.map(|(lowest, _)| Temperature::new(lowest, CELSIUS)),
            highest: extremes.map(|(_, highest)| Temperature::new(highest, CELSIUS)),
            rain: rain.map(|rain| Length::new(rain, LengthUnit::Millimetre)),
            ..DailyReading::unknown(date(2026, 7, day))
        }
    }

    fn days(readings: Vec<DailyReading>) -> Result<(Vec<LawnDay>, Problems), Problems> {
        lawn_days(place(), &DailySeries::new(readings).unwrap().0)
    }

    fn codes(problems: &Problems) -> Vec<&'static str> {
        problems.iter().map(|problem| problem.code).collect()
    }

    #[test]
    fn a_short_gap_is_filled_and_told() {
        let (found, problems) = days(vec![
            reading(1, None, Some(0.0)),
            reading(2, Some((16.0, 30.0)), Some(0.0)),
            reading(3, None, Some(4.0)),
            reading(5, Some((19.0, 33.0)), None),
        ])
        .unwrap();
        assert_eq!(codes(&problems), ["season::days-left-out", "season::day-filled", "season::rain-unknown"]);
        let told: Vec<_> = found.iter().map(|day| (day.date.day(), day.mean.to(CELSIUS).round(), day.origin)).collect();
        let own = ReferenceOrigin::Reading(ReferenceMethod::Hargreaves1985);
        let put = ReferenceOrigin::Neighbours;
        assert_eq!(told, [(2, 23.0, own), (3, 24.0, put), (4, 25.0, put), (5, 26.0, own)]);
        assert_eq!(found[1].rain, Some(Length::new(4.0, LengthUnit::Millimetre)));
        assert!(found[1].reference > found[0].reference && found[1].reference < found[3].reference);
    }

    #[test]
    fn no_balance_goes_over_a_long_gap_and_every_one_is_told() {
        let warm = Some((16.0, 30.0));
        let gone = days(vec![reading(1, warm, None), reading(5, warm, None), reading(9, warm, None)]).unwrap_err();
        assert_eq!(codes(&gone)[..2], ["season::weather-gap", "season::weather-gap"]);
        assert_eq!(codes(&days(vec![reading(1, None, Some(1.0))]).unwrap_err()), ["season::no-days"]);
    }
}
