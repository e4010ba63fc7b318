//! Watering: how fast a sprinkler waters, how evenly, how long it must run, and when it may.

use jiff::SignedDuration;
use jiff::civil::DateTime;
use problem::{Problem, Problems};
use quantity::{Area, Duration, DurationUnit, Flow, Length, LengthUnit, Volume};

/// Depth of water per time.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct PrecipitationRate {
    per_hour: Length,
}

impl PrecipitationRate {
    /// From a depth that fell in a time; `None` unless both are above nothing.
    pub fn new(depth: Length, time: Duration) -> Option<Self> {
        let hour = Duration::new(1.0, DurationUnit::Hour);
        (depth.is_positive() && time.is_positive()).then(|| Self { per_hour: depth * hour.ratio(time) })
    }

    /// From a flow on an area; `None` unless both are above nothing. In inches per hour it is 96.25
    /// times gallons per minute over square feet.
    ///
    /// # Source
    /// Precipitation rate as in irrigation association handbooks; 96.25 = 60 x 231 / 144.
    pub fn of_flow(flow: Flow, area: Area) -> Option<Self> {
        let hour = Duration::new(1.0, DurationUnit::Hour);
        if !flow.is_positive() || !area.is_positive() {
            return None;
        }
        let metre = Length::new(1.0, LengthUnit::Metre);
        Self::new(metre * (flow * hour).ratio(area * metre), hour)
    }

    /// The depth of one hour.
    pub fn per_hour(self) -> Length {
        self.per_hour
    }

    /// The depth of a time.
    pub fn depth_in(self, time: Duration) -> Length {
        self.per_hour * time.to(DurationUnit::Hour)
    }

    /// The time for a depth.
    pub fn time_for(self, depth: Length) -> Duration {
        Duration::new(1.0, DurationUnit::Hour) * depth.ratio(self.per_hour)
    }
}

/// The water that a depth on an area is.
pub fn water_for(depth: Length, area: Area) -> Volume {
    area * depth
}

/// Catch cans set out under a sprinkler.
#[derive(Debug, Clone, PartialEq)]
pub struct CatchCans {
    depths: Vec<Length>,
    run: Duration,
}

impl CatchCans {
    /// Depths caught in a run.
    ///
    /// # Errors
    /// All of these that are found: fewer than four cans, so that there is no quarter; a depth below
    /// nothing; cans that are all empty; a run not above nothing.
    pub fn new(depths: Vec<Length>, run: Duration) -> Result<Self, Problems> {
        let mut problems = Problems::new();
        if depths.len() < 4 {
            problems.push(
                Problem::error("season::few-cans", format!("`{}` catch cans", depths.len()))
                    .expected("four or more; sixteen tell more"),
            );
        }
        for (index, depth) in depths.iter().enumerate().filter(|(_, depth)| **depth < Length::ZERO) {
            let inches = depth.to(LengthUnit::Inch);
            problems.push(
                Problem::error("season::can-depth", format!("can `{}` caught `{inches} in`", index + 1))
                    .expected("nothing or more"),
            );
        }
        if !depths.is_empty() && depths.iter().all(|depth| !depth.is_positive()) {
            problems
                .push(Problem::error("season::empty-cans", "nothing in any can").expected("water in some of the cans"));
        }
        if !run.is_positive() {
            problems.push(Problem::error("season::no-run", "a run of no time").expected("minutes above zero"));
        }
        problems.unless_errors(Self { depths, run }).map(|(cans, _)| cans)
    }

    /// What each of them caught.
    pub fn depths(&self) -> &[Length] {
        &self.depths
    }

    /// Mean depth.
    pub fn mean(&self) -> Length {
        self.depths.iter().copied().sum::<Length>() / self.depths.len() as f64
    }

    /// Mean depth over the time of the run. `None` only for depths too small to divide.
    pub fn precipitation_rate(&self) -> Option<PrecipitationRate> {
        PrecipitationRate::new(self.mean(), self.run)
    }

    /// Uniformity of the lowest quarter: mean of the lowest quarter of cans over the mean of all. A
    /// quarter that is no whole number is rounded to the nearest one, halves up: 4 of 15 cans, 3 of 10.
    ///
    /// # Source
    /// Merriam and Keller 1978; Keller and Bliesner, Sprinkle and Trickle Irrigation.
    pub fn lowest_quarter_uniformity(&self) -> f64 {
        self.lowest_uniformity(4.0)
    }

    /// Uniformity of the lower half, by the same rule.
    pub fn lower_half_uniformity(&self) -> f64 {
        self.lowest_uniformity(2.0)
    }

    fn lowest_uniformity(&self, part: f64) -> f64 {
        let mut sorted = self.depths.clone();
        sorted.sort_by(|a, b| a.ratio(self.mean()).total_cmp(&b.ratio(self.mean())));
        let count = (sorted.len() as f64 / part).round().max(1.0);
        let lowest = sorted[..count as usize].iter().copied().sum::<Length>() / count;
        lowest.ratio(self.mean())
    }

    /// Christiansen's coefficient: one less the mean departure from the mean, over the mean.
    ///
    /// # Source
    /// Christiansen 1942, Univ. of California Agric. Exp. Station Bulletin 670 (from memory).
    pub fn christiansen_uniformity(&self) -> f64 {
        let mean = self.mean();
        let departures: f64 = self.depths.iter().map(|depth| (*depth - mean).ratio(mean).abs()).sum();
        1.0 - departures / self.depths.len() as f64
    }
}

/// A watering: how long in all, and in how many cycles.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WateringPlan {
    /// Depth to give: the target less the effective rain.
    pub depth: Length,
    /// Run time in all.
    pub run: Duration,
    /// Cycles, with a pause to soak in between them; none when nothing is to be given.
    pub cycles: u32,
}

/// Run time and cycles for a target depth, of which effective rain has given a part.
///
/// # Errors
/// All of these that are found: a target not above nothing or above 4 in; rain below nothing; a time
/// to runoff that is not above nothing or less than a minute.
pub fn plan_watering(
    target: Length,
    effective_rain: Length,
    rate: PrecipitationRate,
    until_runoff: Duration,
) -> Result<WateringPlan, Problems> {
    let mut problems = Problems::new();
    let inches = target.to(LengthUnit::Inch);
    if !(inches > 0.0 && inches <= 4.0) {
        problems.push(
            Problem::error("season::target", format!("target of `{inches} in`"))
                .expected("above 0, at most 4 in")
                .mend("check the unit"),
        );
    }
    if effective_rain < Length::ZERO {
        let inches = effective_rain.to(LengthUnit::Inch);
        problems.push(Problem::error("season::rain", format!("rain of `{inches} in`")).expected("nothing or more"));
    }
    if until_runoff.to(DurationUnit::Minute) < 1.0 {
        problems.push(
            Problem::error("season::runoff", "less than a minute until runoff")
                .expected("the minutes after which water begins to run off")
                .mend("run the sprinkler and watch"),
        );
    }
    let depth = (target - effective_rain).max(Length::ZERO);
    let run = rate.time_for(depth);
    // Three cycles and a rounding error are three.
    let cycles = (run.ratio(until_runoff) - 1e-9).ceil().max(0.0) as u32;
    problems.unless_errors(WateringPlan { depth, run, cycles }).map(|(plan, _)| plan)
}

/// The first time at which watering is permitted after an application that forbids it for a while;
/// rounded up to the second. `None` when the time lies beyond the calendar.
pub fn first_permitted(after: DateTime, prohibition: Duration) -> Option<DateTime> {
    let seconds = prohibition.to(DurationUnit::Second).max(0.0);
    // 24 h are 86,400 s also where a unit's factor leaves a last bit.
    let whole = (seconds - 1e-6).ceil().max(0.0);
    after.checked_add(SignedDuration::from_secs(whole as i64)).ok()
}

/// Checks a watering against the prohibition of an application.
///
/// # Errors
/// When it begins before the first time permitted.
pub fn check_start(start: DateTime, application: DateTime, prohibition: Duration) -> Result<(), Problems> {
    match first_permitted(application, prohibition) {
        Some(first) if start >= first => Ok(()),
        first => {
            let problem = Problem::error(
                "season::watering-prohibited",
                format!("watering at `{start}` falls in the prohibition after `{application}`"),
            );
            let first = first.map_or_else(|| "no watering".into(), |first| format!("`{first}` or later"));
            Err(problem.expected(first).mend("switch the controller off until then").into())
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;
    use proptest::prelude::*;

    fn inches(value: f64) -> Length {
        Length::new(value, LengthUnit::Inch)
    }

    fn minutes(value: f64) -> Duration {
        Duration::new(value, DurationUnit::Minute)
    }

    fn cans(depths: &[f64]) -> CatchCans {
        CatchCans::new(depths.iter().copied().map(inches).collect(), minutes(15.0)).unwrap()
    }

    #[test]
    fn eight_cans_give_rate_uniformity_and_cycles() {
        let cans = cans(&[0.21, 0.26, 0.29, 0.24, 0.19, 0.25, 0.23, 0.25]);
        let rate = cans.precipitation_rate().unwrap();
        // Mean 0.24 in in a quarter of an hour; the two lowest are 0.19 and 0.21.
        assert!((rate.per_hour().to(LengthUnit::Inch) - 0.96).abs() < 1e-12);
        assert!((cans.lowest_quarter_uniformity() - 0.20 / 0.24).abs() < 1e-12);
        let plan = plan_watering(inches(1.0), inches(0.55), rate, minutes(10.0)).unwrap();
        assert!((plan.run.to(DurationUnit::Minute) - 28.125).abs() < 1e-9);
        assert_eq!(plan.cycles, 3);
    }

    #[test]
    fn rain_that_meets_the_target_leaves_nothing_to_give() {
        let rate = PrecipitationRate::new(inches(0.5), minutes(60.0)).unwrap();
        let plan = plan_watering(inches(1.0), inches(1.2), rate, minutes(10.0)).unwrap();
        assert_eq!((plan.depth, plan.cycles), (Length::ZERO, 0));
        // Exactly three cycles of ten minutes.
        assert_eq!(plan_watering(inches(0.25), Length::ZERO, rate, minutes(10.0)).unwrap().cycles, 3);
    }

    #[test]
    fn every_fault_is_reported() {
        let bad = CatchCans::new(vec![inches(-0.1), Length::ZERO], Duration::ZERO).unwrap_err();
        let codes: Vec<_> = bad.iter().map(|problem| problem.code).collect();
        assert_eq!(codes, ["season::few-cans", "season::can-depth", "season::empty-cans", "season::no-run"]);
        let rate = PrecipitationRate::new(inches(0.5), minutes(60.0)).unwrap();
        assert_eq!(plan_watering(inches(5.0), inches(-1.0), rate, Duration::ZERO).unwrap_err().len(), 3);
        assert!(PrecipitationRate::new(inches(0.0), minutes(60.0)).is_none());
    }

    #[test]
    fn watering_waits_for_the_prohibition_to_end() {
        let end = date(2026, 7, 7).at(8, 39, 19, 0);
        let day = Duration::new(24.0, DurationUnit::Hour);
        let first = first_permitted(end, day).unwrap();
        assert_eq!(first, date(2026, 7, 8).at(8, 39, 19, 0));
        assert!(check_start(first, end, day).is_ok());
        let problems = check_start(date(2026, 7, 8).at(8, 39, 18, 0), end, day).unwrap_err();
        assert_eq!(problems.iter().next().unwrap().code, "season::watering-prohibited");
        assert_eq!(first_permitted(end, Duration::ZERO), Some(end));
        assert_eq!(first_permitted(DateTime::MAX, day), None);
        assert!(check_start(end, DateTime::MAX, day).is_err());
    }

    proptest! {
        #[test]
        fn uniformities_lie_between_nothing_and_one(
            depths in prop::collection::vec(0.0..2.0_f64, 4..40), scale in 0.1..10.0_f64,
        ) {
            prop_assume!(depths.iter().any(|depth| *depth > 0.0));
            let found = cans(&depths);
            let quarter = found.lowest_quarter_uniformity();
            prop_assert!((0.0..=1.0 + 1e-12).contains(&quarter));
            prop_assert!(quarter <= found.lower_half_uniformity() + 1e-12);
            prop_assert!(found.christiansen_uniformity() <= 1.0);
            let scaled = cans(&depths.iter().map(|depth| depth * scale).collect::<Vec<_>>());
            prop_assert!((scaled.lowest_quarter_uniformity() - quarter).abs() < 1e-9);
        }
    }
}
