//! The lawful hours: each hour of the forecast held against label, rules and good practice, and the
//! start times from which the whole job ends inside them.

use crate::request::Practice;
use crate::sensitive::SensitiveSector;
use crate::verdict::{Origin, Status, breach};
use crate::visit::{Hour, HourReason, StartWindow};
use jiff::civil::DateTime;
use label::{Bound, Clause, Range, RangeBound, Required, Requirements, WindLimit};
use quantity::{Duration, DurationUnit, Length, LengthUnit, Speed, SpeedUnit, Temperature, TemperatureUnit};
use weather::{HourlyReading, HourlySeries, SunTimes};

/// A limit and where it comes from.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Sourced<T> {
    /// The limit.
    pub value: T,
    /// Its origin.
    pub origin: Origin,
    /// Its sentence, when it has one.
    pub clause: Option<Clause>,
}

impl<T> Sourced<T> {
    /// A limit that a label states.
    pub(crate) fn label(value: T, clause: &Clause) -> Self {
        Self { value, origin: Origin::Label, clause: Some(clause.clone()) }
    }

    /// A limit of good practice, taken where the label is silent.
    pub(crate) fn practice(value: T) -> Self {
        Self { value, origin: Origin::Default, clause: None }
    }

    /// What its breach means. Practice in place of a silent label asks for care and never refuses.
    fn breach(&self) -> Status {
        self.clause.as_ref().map_or(Status::Caution, |clause| breach(clause.strength))
    }
}

/// Everything that an hour is held against; limits of several labels stand side by side.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct HourLimits {
    /// Wind.
    pub wind: Vec<Sourced<WindLimit>>,
    /// Air temperature.
    pub temperature: Vec<Sourced<Range<Temperature>>>,
    /// Relative humidity, 0 to 1.
    pub relative_humidity: Vec<Sourced<Range<f64>>>,
    /// No application during rain.
    pub not_during_rain: Sourced<()>,
    /// No application on saturated soil.
    pub not_on_saturated_soil: Sourced<()>,
    /// No application during an inversion.
    pub not_during_inversion: Sourced<()>,
    /// Time without rain after the finish.
    pub rain_free: Vec<Sourced<Duration>>,
    /// Directions in which spray must not drift.
    pub sectors: Vec<SensitiveSector>,
    /// The business's own settings.
    pub practice: Practice,
}

/// What one task asks of the hours.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Asked<'a> {
    /// What its labels require.
    pub requirements: &'a Requirements,
    /// Whether it goes out as spray.
    pub sprayed: bool,
}

impl HourLimits {
    /// The limits of all tasks of a visit together, with good practice where every label is silent.
    pub(crate) fn of(asked: &[Asked<'_>], practice: &Practice, sectors: Vec<SensitiveSector>) -> Self {
        let requirements: Vec<&Requirements> = asked.iter().map(|task| task.requirements).collect();
        let mut wind = Vec::new();
        let mut temperature = Vec::new();
        let mut relative_humidity = Vec::new();
        let mut rain_free = Vec::new();
        for required in &requirements {
            ends(&required.wind, &mut wind, |at_least, at_most| WindLimit { at_least, at_most, gusts_count: false });
            wind.extend(required.gusts_at_most.iter().map(|most| {
                let limit = WindLimit { at_least: None, at_most: Some(most.value), gusts_count: true };
                Sourced::label(limit, &most.clause)
            }));
            ends(&required.temperature, &mut temperature, |at_least, at_most| Range { at_least, at_most });
            ends(&required.relative_humidity, &mut relative_humidity, |at_least, at_most| Range { at_least, at_most });
            rain_free.extend(required.rain_free.iter().map(|limit| Sourced::label(limit.value, &limit.clause)));
        }
        // Each label is silent for itself: what another states is no permission for this one. What is
        // put down dry does not drift as spray does, and no practice of spraying is held against it.
        let silent = |of: fn(&Requirements) -> bool| asked.iter().any(|task| task.sprayed && of(task.requirements));
        if silent(|required| required.wind.at_least.silent) {
            let limit = WindLimit { at_least: Some(practice.wind_at_least), at_most: None, gusts_count: false };
            wind.push(Sourced::practice(limit));
        }
        if silent(|required| required.wind.at_most.silent) {
            let limit = WindLimit { at_least: None, at_most: Some(practice.wind_at_most), gusts_count: false };
            wind.push(Sourced::practice(limit));
        }
        if silent(|required| required.rain_free.silent) {
            rain_free.push(Sourced::practice(practice.rain_free));
        }
        Self {
            wind,
            temperature,
            relative_humidity,
            not_during_rain: flag(&requirements, |required| &required.not_during_rain),
            not_on_saturated_soil: flag(&requirements, |required| &required.not_on_saturated_soil),
            not_during_inversion: flag(&requirements, |required| &required.not_during_inversion),
            rain_free,
            sectors,
            practice: practice.clone(),
        }
    }
}

/// The four possible ends of a range as limits of their own, each with its sentence.
fn ends<T: Copy, L>(range: &RangeBound<T>, into: &mut Vec<Sourced<L>>, limit: impl Fn(Option<T>, Option<T>) -> L) {
    let low = range.at_least.iter().map(|end| Sourced::label(limit(Some(end.value), None), &end.clause));
    into.extend(low);
    let high = range.at_most.iter().map(|end| Sourced::label(limit(None, Some(end.value)), &end.clause));
    into.extend(high);
}

/// A yes-or-no requirement of any task, the binding sentence first.
fn flag(requirements: &[&Requirements], of: impl Fn(&Requirements) -> &Bound<bool>) -> Sourced<()> {
    let stated: Vec<&Required<bool>> =
        requirements.iter().flat_map(|required| of(required).iter()).filter(|required| required.value).collect();
    let strongest = stated.iter().min_by_key(|required| required.clause.strength);
    strongest.map_or(Sourced::practice(()), |required| Sourced::label((), &required.clause))
}

/// The time over which rain is summed for the state of the soil.
const SOIL_MEMORY_HOURS: f64 = 24.0;

/// Under this speed near sunrise and sunset the air may lie in layers.
///
/// # Source
/// Pesticide Environmental Stewardship (North Carolina), drift pages: under 3 mph, variable wind or
/// possible inversion.
fn calm() -> Speed {
    Speed::new(3.0, SpeedUnit::MilePerHour)
}

/// Judges every hour of a forecast on one date.
pub(crate) fn judge(series: &HourlySeries, limits: &HourLimits, sun: &SunTimes) -> Vec<Hour> {
    series.hours().iter().map(|reading| judge_hour(series, reading, limits, sun)).collect()
}

/// Judges one hour.
pub(crate) fn judge_hour(series: &HourlySeries, reading: &HourlyReading, limits: &HourLimits, sun: &SunTimes) -> Hour {
    let mut reasons = Vec::new();
    wind(reading, limits, &mut reasons);
    temperature(reading, limits, &mut reasons);
    humidity(reading, limits, &mut reasons);
    rain(reading, limits, &mut reasons);
    soil(series, reading, limits, &mut reasons);
    direction(reading, limits, &mut reasons);
    inversion(reading, limits, sun, &mut reasons);
    let status = reasons.iter().map(|reason| reason.status).max().unwrap_or(Status::Allowed);
    Hour {
        start: reading.start,
        status,
        reasons,
        temperature: reading.temperature,
        wind: reading.wind_speed,
        gust: reading.wind_gust,
        wind_from: reading.wind_from,
        rain: reading.rain,
    }
}

fn reason<T>(rule: &'static str, status: Status, text: &str, detail: String, limit: &Sourced<T>) -> HourReason {
    HourReason {
        rule,
        status,
        text: text.to_owned(),
        detail,
        clause: limit.clause.as_ref().map(|clause| clause.text.clone()),
        page: limit.clause.as_ref().and_then(|clause| clause.page),
        origin: limit.origin,
    }
}

/// Adds a reason unless the same words stand already with the same or a worse status.
fn add(reasons: &mut Vec<HourReason>, new: HourReason) {
    match reasons.iter_mut().find(|old| old.text == new.text) {
        Some(old) if old.status >= new.status => {}
        Some(old) => *old = new,
        None => reasons.push(new),
    }
}

fn missing(reasons: &mut Vec<HourReason>, what: &str) {
    add(
        reasons,
        HourReason {
            rule: "hour::no-reading",
            status: Status::Refused,
            text: format!("no {what} in the forecast"),
            detail: "an hour without the reading cannot be shown to be within the limits".to_owned(),
            clause: None,
            page: None,
            origin: Origin::Default,
        },
    );
}

fn mph(speed: Speed) -> String {
    format!("{} mph", quantity::significant(speed.to(SpeedUnit::MilePerHour), 3))
}

fn fahrenheit(temperature: Temperature) -> String {
    format!("{} °F", quantity::significant(temperature.to(TemperatureUnit::Fahrenheit), 3))
}

fn inches(depth: Length) -> String {
    format!("{} in", quantity::significant(depth.to(LengthUnit::Inch), 2))
}

/// Measurements that came through a conversion of units are compared with a hair's breadth.
const HAIR: f64 = 1e-9;

fn wind(reading: &HourlyReading, limits: &HourLimits, reasons: &mut Vec<HourReason>) {
    let Some(speed) = reading.wind_speed else {
        if !limits.wind.is_empty() {
            missing(reasons, "wind speed");
        }
        return;
    };
    for limit in &limits.wind {
        let whose = if limit.origin == Origin::Label { "label" } else { "default" };
        if let Some(least) = limit.value.at_least
            && speed < least * (1.0 - HAIR)
        {
            let detail = format!("wind {} is under {}", mph(speed), mph(least));
            let text = format!("wind below {whose} range");
            add(reasons, reason("hour::wind-low", limit.breach(), &text, detail, limit));
        }
        if let Some(most) = limit.value.at_most {
            if limit.value.gusts_count && reading.wind_gust.is_none() {
                missing(reasons, "gust");
            }
            let gust = reading.wind_gust.filter(|_| limit.value.gusts_count);
            let highest = gust.map_or(speed, |gust| gust.max(speed));
            if highest > most * (1.0 + HAIR) {
                let what = if highest > speed { "gust" } else { "wind" };
                let detail = format!("{what} {} is over {}", mph(highest), mph(most));
                let text = format!("wind or gust above {whose} range");
                add(reasons, reason("hour::wind-high", limit.breach(), &text, detail, limit));
            }
        }
    }
}

fn temperature(reading: &HourlyReading, limits: &HourLimits, reasons: &mut Vec<HourReason>) {
    for limit in &limits.temperature {
        let Some(air) = reading.temperature else {
            missing(reasons, "temperature");
            return;
        };
        if let Some(most) = limit.value.at_most
            && air.to(TemperatureUnit::Celsius) > most.to(TemperatureUnit::Celsius) + HAIR
        {
            let detail = format!("{} is over {}", fahrenheit(air), fahrenheit(most));
            add(reasons, reason("hour::too-hot", limit.breach(), "too hot", detail, limit));
        }
        if let Some(least) = limit.value.at_least
            && air.to(TemperatureUnit::Celsius) < least.to(TemperatureUnit::Celsius) - HAIR
        {
            let detail = format!("{} is under {}", fahrenheit(air), fahrenheit(least));
            add(reasons, reason("hour::too-cold", limit.breach(), "too cold", detail, limit));
        }
    }
}

fn humidity(reading: &HourlyReading, limits: &HourLimits, reasons: &mut Vec<HourReason>) {
    for limit in &limits.relative_humidity {
        let Some(humidity) = reading.relative_humidity.map(weather::RelativeHumidity::fraction) else {
            missing(reasons, "humidity");
            return;
        };
        let percent = |fraction: f64| format!("{} %", quantity::significant(fraction * 100.0, 2));
        if let Some(most) = limit.value.at_most
            && humidity > most + HAIR
        {
            let detail = format!("{} is over {}", percent(humidity), percent(most));
            add(reasons, reason("hour::too-humid", limit.breach(), "too humid", detail, limit));
        }
        if let Some(least) = limit.value.at_least
            && humidity < least - HAIR
        {
            let detail = format!("{} is under {}", percent(humidity), percent(least));
            add(reasons, reason("hour::too-dry", limit.breach(), "too dry", detail, limit));
        }
    }
}

fn rain(reading: &HourlyReading, limits: &HourLimits, reasons: &mut Vec<HourReason>) {
    match reading.rain {
        None => match reading.rain_chance {
            Some(chance) => rain_likely(chance, limits, reasons),
            None => missing(reasons, "rain"),
        },
        Some(depth) if depth.is_positive() => {
            let limit = &limits.not_during_rain;
            // Nobody sprays in the rain, whatever a label leaves unsaid.
            let status = limit.breach().max(if limit.clause.is_none() { Status::Refused } else { Status::Caution });
            add(reasons, reason("hour::rain", status, "rain", format!("{} in the hour", inches(depth)), limit));
        }
        Some(_) => {}
    }
}

/// A chance of rain from which an hour counts as wet where the forecast tells no depth. Common practice, no source.
const WET_FROM_CHANCE: f64 = 0.3;

/// Rain of an hour of which only the chance is told.
fn rain_likely(chance: weather::Chance, limits: &HourLimits, reasons: &mut Vec<HourReason>) {
    let limit = &limits.not_during_rain;
    let percent = quantity::significant(chance.fraction() * 100.0, 2);
    let detail = format!("a chance of {percent} %; the forecast does not say how much");
    if chance.fraction() >= WET_FROM_CHANCE {
        // Nobody sprays in the rain, whatever a label leaves unsaid.
        let status = limit.breach().max(if limit.clause.is_none() { Status::Refused } else { Status::Caution });
        add(reasons, reason("hour::rain", status, "rain likely", detail, limit));
    } else if chance.fraction() > 0.0 {
        add(reasons, reason("hour::rain-possible", Status::Caution, "rain possible", detail, &Sourced::practice(())));
    }
}

fn soil(series: &HourlySeries, reading: &HourlyReading, limits: &HourLimits, reasons: &mut Vec<HourReason>) {
    let limit = &limits.not_on_saturated_soil;
    let end = next_hour(reading.start);
    let sum = series.rain_sum_before(end, Duration::new(SOIL_MEMORY_HOURS, DurationUnit::Hour));
    if sum.depth >= limits.practice.saturating_rain {
        let detail = format!("{} in the 24 hours to the end of this hour", inches(sum.depth));
        let status = if limit.clause.is_some() { limit.breach() } else { Status::Caution };
        add(reasons, reason("hour::soil-saturated", status, "soil may be saturated", detail, limit));
    }
}

fn direction(reading: &HourlyReading, limits: &HourLimits, reasons: &mut Vec<HourReason>) {
    if limits.sectors.is_empty() {
        return;
    }
    let practice = Sourced::practice(());
    let Some(from) = reading.wind_from else {
        let detail = "the map has sensitive features near the treated ground".to_owned();
        let unknown =
            reason("hour::wind-direction-unknown", Status::Refused, "wind direction unknown", detail, &practice);
        // Stands next to the other words on wind.
        let place = reasons.iter().position(|reason| !reason.rule.starts_with("hour::wind")).unwrap_or(reasons.len());
        reasons.insert(place, unknown);
        return;
    };
    for sector in &limits.sectors {
        let angle = from.opposite().angle_to(sector.bearing);
        if angle <= sector.within_degrees + HAIR {
            let detail = format!(
                "wind from {:.0}° carries towards {} at {:.0}°, {} away",
                from.degrees(),
                sector.name,
                sector.bearing.degrees(),
                sector.distance_words()
            );
            let text = format!("blows toward {}", sector.name);
            add(reasons, reason("hour::blows-toward", Status::Refused, &text, detail, &practice));
        }
    }
}

/// Plants that the wind of the hours of work carries toward: setbacks keep the spray off them, and the
/// strip beside them still asks for care.
pub(crate) fn drift_cautions(
    hours: &[Hour],
    windows: &[StartWindow],
    planted: &[SensitiveSector],
) -> Vec<crate::verdict::Verdict> {
    let in_work = |hour: &&Hour| {
        windows.iter().any(|window| hour.start < window.finish_if_last && next_hour(hour.start) > window.first)
    };
    let mut verdicts = Vec::new();
    for sector in planted {
        let mut toward = hours.iter().filter(in_work).filter(|hour| {
            hour.wind_from.is_some_and(|from| from.opposite().angle_to(sector.bearing) <= sector.within_degrees + HAIR)
        });
        let Some(first) = toward.next() else { continue };
        let last = toward.next_back().unwrap_or(first);
        let text = format!(
            "between {:02}:00 and {:02}:00 the wind carries toward {}, {} from the treated ground",
            first.start.hour(),
            next_hour(last.start).hour(),
            sector.name,
            sector.distance_words()
        );
        verdicts.push(
            crate::verdict::Verdict::new("hours::carries-toward", Status::Caution, Origin::Default, text)
                .on(&sector.feature)
                .mend("treat the strip beside it when the wind is off it, with low pressure and large droplets, or leave it out"),
        );
    }
    verdicts
}

fn inversion(reading: &HourlyReading, limits: &HourLimits, sun: &SunTimes, reasons: &mut Vec<HourReason>) {
    let limit = &limits.not_during_inversion;
    let Some(speed) = reading.wind_speed else { return };
    let low_wind_refuses =
        reasons.iter().any(|reason| reason.rule == "hour::wind-low" && reason.status == Status::Refused);
    if speed >= calm() || low_wind_refuses || !sun_is_low(reading.start, sun) {
        return;
    }
    let detail = format!("wind {} with the sun low or down", mph(speed));
    let status = if limit.clause.is_some() { limit.breach() } else { Status::Caution };
    add(reasons, reason("hour::inversion", status, "possible inversion", detail, limit));
}

/// Whether any part of the hour lies before one hour after sunrise or after one hour before sunset.
fn sun_is_low(start: DateTime, sun: &SunTimes) -> bool {
    let hour = jiff::Span::new().hours(1);
    let after_rise = sun.rise.and_then(|rise| rise.checked_add(hour).ok());
    let before_set = sun.set.and_then(|set| set.checked_sub(hour).ok());
    match (after_rise, before_set) {
        (Some(day_begins), Some(day_ends)) => start < day_begins || next_hour(start) > day_ends,
        // Polar day or night: no sunrise to go by, so nothing is claimed.
        _ => false,
    }
}

fn next_hour(start: DateTime) -> DateTime {
    start.checked_add(jiff::Span::new().hours(1)).unwrap_or(DateTime::MAX)
}

/// Hours as a person writes them: 4, 1.5.
pub(crate) fn hours_words(time: Duration) -> String {
    ((time.to(DurationUnit::Hour) * 100.0).round() / 100.0).to_string()
}

/// A local time so much later; the last time of all when it lies beyond.
pub(crate) fn later(start: DateTime, by: Duration) -> DateTime {
    // Whole seconds, rounded up: a job is not over before its last second.
    let seconds = (by.to(DurationUnit::Second) - HAIR).ceil() as i64;
    start.checked_add(jiff::SignedDuration::from_secs(seconds)).unwrap_or(DateTime::MAX)
}

fn earlier(end: DateTime, by: Duration) -> DateTime {
    let seconds = (by.to(DurationUnit::Second) - HAIR).ceil() as i64;
    end.checked_sub(jiff::SignedDuration::from_secs(seconds)).unwrap_or(DateTime::MIN)
}

fn to_minute_down(time: DateTime) -> DateTime {
    time.with().second(0).subsec_nanosecond(0).build().unwrap_or(time)
}

/// Every run of start times from which a job of this length ends inside hours that are not refused,
/// with the rain-free time after its finish; whole minutes, in order.
pub(crate) fn start_windows(
    hours: &[Hour],
    series: &HourlySeries,
    duration: Duration,
    rain_free: &[Sourced<Duration>],
    date: jiff::civil::Date,
) -> Vec<StartWindow> {
    let needed = rain_free
        .iter()
        .filter(|limit| limit.breach() == Status::Refused)
        .map(|limit| limit.value)
        .fold(Duration::ZERO, Duration::max);
    let mut windows = Vec::new();
    for (open, close) in open_runs(hours, date) {
        // Rain is looked for from each finish; within one run of hours without rain it is the same rain.
        let rain = series.next_rain_after(open).first_rain;
        let latest_finish = rain.map_or(close, |rain| close.min(earlier(rain, needed)));
        let last = to_minute_down(earlier(latest_finish, duration));
        if last >= open {
            windows.push(StartWindow {
                first: open,
                last,
                finish_if_first: later(open, duration),
                finish_if_last: later(last, duration),
            });
        }
    }
    windows
}

/// Runs of hours without a gap, none of them refused, on one date.
fn open_runs(hours: &[Hour], date: jiff::civil::Date) -> Vec<(DateTime, DateTime)> {
    let mut runs: Vec<(DateTime, DateTime)> = Vec::new();
    for hour in hours.iter().filter(|hour| hour.status != Status::Refused && hour.start.date() == date) {
        match runs.last_mut() {
            Some((_, close)) if *close == hour.start => *close = next_hour(hour.start),
            _ => runs.push((hour.start, next_hour(hour.start))),
        }
    }
    runs
}

/// Hours before a start of which the forecast tells no rain, when soil is judged; none when it reaches
/// back far enough.
pub(crate) fn soil_hours_unknown(series: &HourlySeries, start: DateTime) -> u32 {
    series.rain_sum_before(next_hour(start), Duration::new(SOIL_MEMORY_HOURS, DurationUnit::Hour)).hours_missing
}

/// The rain-free limit in force for an advisory or a default, checked on the finish: `true` when the
/// forecast reaches far enough and shows no rain in that time.
pub(crate) fn dry_after(series: &HourlySeries, finish: DateTime, needed: Duration) -> Dryness {
    let end = later(finish, needed);
    let stretch = series.next_rain_after(finish);
    match stretch.first_rain {
        Some(rain) if rain < end => Dryness::RainAt(rain),
        _ if stretch.dry_until >= end => Dryness::Dry,
        _ => Dryness::Unknown,
    }
}

/// What the forecast says of the time after a finish.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Dryness {
    /// No rain.
    Dry,
    /// Rain from this hour.
    RainAt(DateTime),
    /// The forecast ends too early.
    Unknown,
}
