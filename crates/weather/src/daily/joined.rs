//! One series out of two.

use super::{DailyReading, DailySeries};

impl DailySeries {
    /// Both series in one. Where both have a figure of a day, this one's stands; the two extremes go together.
    #[must_use]
    pub fn joined_with(&self, other: &Self) -> Self {
        let mut days = self.days.clone();
        for reading in &other.days {
            match days.binary_search_by_key(&reading.date, |day| day.date) {
                Ok(at) => days[at] = filled(days[at], *reading),
                Err(at) => days.insert(at, *reading),
            }
        }
        Self { days }
    }
}

fn filled(first: DailyReading, then: DailyReading) -> DailyReading {
    // The highest of one station and the lowest of another could stand the wrong way round.
    let extremes = if first.extremes().is_some() || then.extremes().is_none() { first } else { then };
    DailyReading {
        date: first.date,
        highest: extremes.highest,
        lowest: extremes.lowest,
        rain: first.rain.or(then.rain),
        relative_humidity: first.relative_humidity.or(then.relative_humidity),
        wind_speed: first.wind_speed.or(then.wind_speed),
        radiation: first.radiation.or(then.radiation),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;
    use quantity::{Length, LengthUnit, Temperature, TemperatureUnit};

    #[test]
    fn gaps_of_the_first_are_filled_from_the_second() {
        let celsius = |degrees: f64| Some(Temperature::new(degrees, TemperatureUnit::Celsius));
        let mm = |depth: f64| Some(Length::new(depth, LengthUnit::Millimetre));
        let day = |day: i8| DailyReading::unknown(date(2026, 7, day));
        let first = DailySeries::new(vec![
            DailyReading { highest: celsius(30.0), lowest: celsius(20.0), ..day(1) },
            DailyReading { highest: celsius(12.0), rain: mm(4.0), ..day(2) },
        ]);
        let second = DailySeries::new(vec![
            DailyReading { highest: celsius(25.0), lowest: celsius(15.0), rain: mm(1.0), ..day(1) },
            DailyReading { highest: celsius(26.0), lowest: celsius(16.0), rain: mm(2.0), ..day(2) },
            DailyReading { highest: celsius(27.0), lowest: celsius(17.0), ..day(3) },
        ]);
        let joined = first.unwrap().0.joined_with(&second.unwrap().0);
        let told: Vec<_> = joined.days().iter().map(|day| (day.highest, day.lowest, day.rain)).collect();
        assert_eq!(
            told,
            [
                (celsius(30.0), celsius(20.0), mm(1.0)),
                (celsius(26.0), celsius(16.0), mm(4.0)),
                (celsius(27.0), celsius(17.0), None)
            ]
        );
    }
}
