//! How long sums of heat and evapotranspiration of 1,000 stations over 30 years take. Prints one JSON object;
//! `crates/bench/peers/weather.py` puts it beside its peer, which makes the same readings by the same rule.

use jiff::civil::{Date, date};
use problem::Problems;
use quantity::{DegreeDayUnit, Length, LengthUnit, RadiantExposure, Speed, SpeedUnit, Temperature, TemperatureUnit};
use std::time::Instant;
use weather::degree_days::{Accumulation, Cutoff, HeatRange, Method, Start};
use weather::evapotranspiration::{DayConditions, Station, Sunlight, Vapour, WindReading, penman_monteith_of_days};
use weather::{DailyReading, DailySeries, RelativeHumidity, Site};

const STATIONS: u32 = 1_000;
const FIRST: i16 = 1991;
const YEARS: i16 = 30;
/// How often the work is done; the middle time counts, as it does for the peer.
const TIMES: usize = 3;

fn celsius(degrees: f64) -> Temperature {
    Temperature::new(degrees, TemperatureUnit::Celsius)
}

/// A number from 0 to 1 that looks drawn by lot, and is the same here and in the peer.
fn drawn(number: u64) -> f64 {
    (number.wrapping_mul(2_654_435_761) % (1 << 32)) as f64 / f64::from(u32::MAX)
}

fn latitude(station: u32) -> f64 {
    25.0 + 24.0 * f64::from(station) / f64::from(STATIONS)
}

fn readings(station: u32, dates: &[Date]) -> Result<DailySeries, Problems> {
    let days = dates.iter().zip(0_u64..).map(|(date, index)| {
        let number = u64::from(station) * 20_000 + index;
        let season = (std::f64::consts::TAU * (f64::from(date.day_of_year()) - 110.0) / 365.25).sin();
        let middle = 32.0 - 0.5 * latitude(station) + 12.0 * season + 10.0 * (drawn(2 * number) - 0.5);
        let range = 4.0 + 14.0 * drawn(2 * number + 1);
        DailyReading {
            lowest: Some(celsius(middle - range / 2.0)),
            highest: Some(celsius(middle + range / 2.0)),
            ..DailyReading::unknown(*date)
        }
    });
    DailySeries::new(days.collect()).map(|(series, _)| series)
}

fn heat(series: &[DailySeries], method: Method) -> Result<f64, Problems> {
    let range = HeatRange::between(celsius(10.0), celsius(30.0), Cutoff::Horizontal)?;
    let how = Accumulation { range, method, start: Start::calendar(1, 1)? };
    let mut sum = 0.0;
    for station in series {
        for year in FIRST..FIRST + YEARS {
            let end = Date::new(year, 12, 31).unwrap_or(Date::MAX);
            sum += how.over(station, year, Some(end))?.0.total().to(DegreeDayUnit::Celsius);
        }
    }
    Ok(sum)
}

fn water(series: &[DailySeries]) -> Result<f64, Problems> {
    let wind = WindReading::new(Speed::new(2.0, SpeedUnit::MetrePerSecond), Length::new(2.0, LengthUnit::Metre))?;
    let vapour = Vapour::MeanHumidity(RelativeHumidity::from_percent(60.0)?);
    let mut sum = 0.0;
    for (number, readings) in (0..).zip(series) {
        let station =
            Station { site: Site::new(latitude(number), -97.0)?, height: Length::new(300.0, LengthUnit::Metre) };
        let conditions = |day: &DailyReading| {
            let sunlight = Sunlight::FromInland;
            Some(DayConditions {
                date: day.date,
                extremes: day.extremes()?,
                vapour,
                wind,
                sunlight,
                soil: RadiantExposure::ZERO,
            })
        };
        let days: Vec<DayConditions> = readings.days().iter().filter_map(conditions).collect();
        let depths = penman_monteith_of_days(station, &days)?;
        sum += depths.iter().map(|found| found.depth.to(LengthUnit::Millimetre)).sum::<f64>();
    }
    Ok(sum)
}

/// The result of a piece of work and its middle time in seconds.
fn timed<T>(work: impl Fn() -> Result<T, Problems>) -> Result<(T, f64), Problems> {
    let once = || {
        let begin = Instant::now();
        work().map(|result| (result, begin.elapsed().as_secs_f64()))
    };
    let (result, first) = once()?;
    let mut times = vec![first];
    for _ in 1..TIMES {
        times.push(once()?.1);
    }
    times.sort_by(f64::total_cmp);
    Ok((result, times[TIMES / 2]))
}

fn main() -> Result<(), Problems> {
    let dates: Vec<Date> =
        date(FIRST, 1, 1).series(jiff::ToSpan::days(1)).take_while(|day| day.year() < FIRST + YEARS).collect();
    let series: Vec<DailySeries> = (0..STATIONS).map(|station| readings(station, &dates)).collect::<Result<_, _>>()?;
    let (sine, sine_s) = timed(|| heat(&series, Method::SingleSine))?;
    let (average, average_s) = timed(|| heat(&series, Method::AverageOfClipped))?;
    let (water, water_s) = timed(|| water(&series))?;
    println!(
        "{{\"days\": {}, \"sine\": {sine}, \"sine_s\": {sine_s}, \"average\": {average}, \"average_s\": {average_s}, \
         \"water\": {water}, \"water_s\": {water_s}}}",
        dates.len()
    );
    Ok(())
}
