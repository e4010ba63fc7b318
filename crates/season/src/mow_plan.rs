//! When to mow over the days ahead: as late as the one-third rule allows, before treatments and not after them.

use crate::grass::Grass;
use crate::lawn_day::LawnDay;
use crate::mowing::{lowest_cut, mow_at};
use crate::prohibition::{Prohibition, Stretch, longest_free};
use jiff::civil::{Date, Time, Weekday};
use problem::{Problem, Problems};
use quantity::{Duration, DurationUnit, Length, LengthUnit};

/// Everything that mowing is planned from.
#[derive(Debug, Clone, PartialEq)]
pub struct MowRequest {
    /// The grass.
    pub grass: Grass,
    /// The height to which it is cut.
    pub height_of_cut: Length,
    /// How high it stands at the beginning of the first day.
    pub standing: Length,
    /// What it grows in a day at its best temperature.
    pub best_growth: Length,
    /// The days, in order and without a gap.
    pub days: Vec<LawnDay>,
    /// From this day on mowing is planned; the grass of the days before only grows.
    pub plan_from: Date,
    /// The days of the week on which it may be mown.
    pub weekdays: Vec<Weekday>,
    /// When it may not.
    pub no_mowing: Vec<Prohibition>,
}

/// Growth of a day at the best temperature, where nobody has measured it: three eighths of an inch in two days (common practice, no
/// source).
pub fn usual_best_growth() -> Length {
    Length::new(3.0 / 16.0, LengthUnit::Inch)
}

/// No mowing for so long after a treatment, beside what labels say (common practice, no source).
pub fn usual_rest_after_treatment() -> Duration {
    Duration::new(24.0, DurationUnit::Hour)
}

/// Hours of the day in which grass is mown, once the dew is off and before it falls (common practice, no source).
const HOURS: (i8, i8) = (9, 19);

/// A mowing needs so many minutes of them at the least (common practice, no source).
const MINUTES: i64 = 120;

/// Days between two cuts of grass that has grown too high for one (common practice, no source).
const DAYS_BETWEEN_STEPS: usize = 3;

/// Whether the lawn may be mown on a day.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MayMow {
    /// The day is over.
    Past,
    /// Within this stretch.
    Within(Stretch),
    /// It is none of the days of the week for mowing.
    NotThisWeekday,
    /// No, by the prohibition of this place in the request.
    Prohibited(usize),
}

/// A day of the grass.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GrassDay {
    /// The weather.
    pub weather: LawnDay,
    /// Growth over the best, from 0 to 1.
    pub potential: f64,
    /// What it grows on this day.
    pub growth: Length,
    /// Whether it may be mown.
    pub may_mow: MayMow,
    /// The mowing.
    pub mowing: Option<Mowing>,
    /// How high it stands in the evening.
    pub standing: Length,
    /// Whether that is more than one mowing may bring back to the height of cut.
    pub is_too_high: bool,
}

/// One mowing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Mowing {
    /// How high the grass stands before it.
    pub standing: Length,
    /// To which height it is cut: never by more than a third.
    pub cut_to: Length,
    /// Whether another cut has to follow, to come down to the height of cut.
    pub is_step: bool,
    /// When it may be made.
    pub within: Stretch,
}

/// The mowing of a lawn.
#[derive(Debug, Clone, PartialEq)]
pub struct MowPlan {
    /// What it was planned from.
    pub request: MowRequest,
    /// The days in order.
    pub days: Vec<GrassDay>,
}

impl MowPlan {
    /// The mowings, each with its day.
    pub fn mowings(&self) -> impl Iterator<Item = (Date, &Mowing)> {
        self.days.iter().filter_map(|day| Some((day.weather.date, day.mowing.as_ref()?)))
    }

    /// The planned days on which the grass ends up too high for one mowing.
    pub fn too_high(&self) -> impl Iterator<Item = Date> {
        let ahead = self.days.iter().filter(|day| day.weather.date >= self.request.plan_from);
        ahead.filter(|day| day.is_too_high).map(|day| day.weather.date)
    }
}

/// Plans the mowing.
///
/// It is mown on the last permitted day before the evening on which the grass would stand higher than one and a half times the height
/// of cut. Grass that stands higher already is cut by a third, and again some days later.
///
/// # Errors
/// All of these that are found: no days; a first planned day that is none of them; a height of cut below 1/4 or above 6 in;
/// grass that stands below nothing or above 36 in; growth not above nothing or above 1 in a day; no day of the week.
pub fn plan_mowing(request: MowRequest) -> Result<MowPlan, Problems> {
    check(&request)?;
    let may: Vec<MayMow> = request.days.iter().map(|day| may_mow(&request, day.date)).collect();
    let growth: Vec<Length> =
        request.days.iter().map(|day| request.best_growth * request.grass.growth_potential(day.mean)).collect();
    let limit = mow_at(request.height_of_cut) * (1.0 + 1e-9);
    let mut standing = request.standing;
    let mut last_step: Option<usize> = None;
    let mut days = Vec::with_capacity(request.days.len());
    for (index, day) in request.days.iter().enumerate() {
        let is_resting = last_step.is_some_and(|last| index - last < DAYS_BETWEEN_STEPS);
        let mowing = match may[index] {
            MayMow::Within(within)
                if !is_resting
                    && standing > request.height_of_cut
                    && (last_step.is_some() || would_pass(standing, limit, &growth[index..], &may[index..])) =>
            {
                let lowest = lowest_cut(standing);
                let is_step = lowest > request.height_of_cut * (1.0 + 1e-9);
                let cut_to = lowest.max(request.height_of_cut);
                last_step = is_step.then_some(index);
                Some(Mowing { standing, cut_to, is_step, within })
            }
            _ => None,
        };
        standing = mowing.map_or(standing, |mowing| mowing.cut_to) + growth[index];
        days.push(GrassDay {
            weather: *day,
            potential: request.grass.growth_potential(day.mean),
            growth: growth[index],
            may_mow: may[index],
            mowing,
            standing,
            is_too_high: standing > limit,
        });
    }
    Ok(MowPlan { request, days })
}

/// Whether grass that is not mown today would stand too high in an evening before the next day on which it may be.
fn would_pass(standing: Length, limit: Length, growth: &[Length], may: &[MayMow]) -> bool {
    let mut standing = standing;
    for (index, (growth, may)) in growth.iter().zip(may).enumerate() {
        if index > 0 && matches!(may, MayMow::Within(_)) {
            return false;
        }
        standing += *growth;
        if standing > limit {
            return true;
        }
    }
    false
}

fn may_mow(request: &MowRequest, date: Date) -> MayMow {
    if date < request.plan_from {
        return MayMow::Past;
    }
    if !request.weekdays.contains(&date.weekday()) {
        return MayMow::NotThisWeekday;
    }
    let clock = |hour| Time::constant(hour, 0, 0, 0);
    let hours = (clock(HOURS.0), clock(HOURS.1));
    let free = longest_free(date, hours, &request.no_mowing).filter(|stretch| stretch.minutes() >= MINUTES);
    free.map_or_else(
        || {
            let (from, until) = (date.to_datetime(hours.0), date.to_datetime(hours.1));
            let by = request.no_mowing.iter().position(|other| other.touches(from, until));
            by.map_or(MayMow::NotThisWeekday, MayMow::Prohibited)
        },
        MayMow::Within,
    )
}

fn check(request: &MowRequest) -> Result<(), Problems> {
    let mut problems = Problems::new();
    let span = request.days.first().zip(request.days.last()).map(|(first, last)| (first.date, last.date));
    match span {
        None => problems.push(Problem::error("season::no-days", "no day to plan").expected("one day or more")),
        Some((first, last)) if !(first..=last).contains(&request.plan_from) => problems.push(
            Problem::error("season::plan-from", format!("planning from `{}` on", request.plan_from))
                .expected(format!("one of the days of the readings, `{first}` to `{last}`"))
                .mend("add readings or a forecast of that day, or plan from another"),
        ),
        Some(_) => {}
    }
    let inches = |length: Length| length.to(LengthUnit::Inch);
    let cut = inches(request.height_of_cut);
    if !(0.25..=6.0).contains(&cut) {
        problems.push(
            Problem::error("season::height-of-cut", format!("grass cut to `{cut:.2} in`"))
                .expected("0.25 to 6 in")
                .mend("check the unit"),
        );
    }
    let standing = inches(request.standing);
    if !(0.0..=36.0).contains(&standing) {
        problems.push(
            Problem::error("season::standing", format!("grass `{standing:.2} in` high"))
                .expected("0 to 36 in")
                .mend("check the unit"),
        );
    }
    let growth = inches(request.best_growth);
    if !(growth > 0.0 && growth <= 1.0) {
        problems.push(
            Problem::error("season::growth", format!("`{growth:.3} in` of growth in a day"))
                .expected("above 0, at most 1 in")
                .mend("measure the grass on two days between mowings"),
        );
    }
    if request.weekdays.is_empty() {
        problems
            .push(Problem::error("season::no-weekday", "no day of the week for mowing").expected("one day or more"));
    }
    problems.unless_errors(()).map(|_| ())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::lawn_day::ReferenceOrigin;
    use jiff::civil::date;
    use proptest::prelude::*;
    use quantity::{Temperature, TemperatureUnit};

    fn inches(value: f64) -> Length {
        Length::new(value, LengthUnit::Inch)
    }

    fn week() -> Vec<Weekday> {
        std::iter::successors(Some(Weekday::Monday), |day| Some(day.next())).take(7).collect()
    }

    /// Days at temperatures; at 20 °C cool-season grass grows 0.25 in.
    fn request(celsius: &[f64]) -> MowRequest {
        let days = celsius.iter().enumerate().map(|(index, celsius)| LawnDay {
            date: date(2026, 7, i8::try_from(index + 1).unwrap()),
            reference: Length::new(5.0, LengthUnit::Millimetre),
            origin: ReferenceOrigin::Neighbours,
            mean: Temperature::new(*celsius, TemperatureUnit::Celsius),
            rain: None,
        });
        MowRequest {
            grass: Grass::CoolSeason,
            height_of_cut: inches(3.0),
            standing: inches(3.0),
            best_growth: inches(0.25),
            days: days.collect(),
            plan_from: date(2026, 7, 1),
            weekdays: week(),
            no_mowing: Vec::new(),
        }
    }

    fn no(from: i8, until: i8) -> Prohibition {
        let at = |day| date(2026, 7, day).at(0, 0, 0, 0);
        Prohibition { from: at(from), until: at(until), why: "a treatment".to_owned(), sentences: Vec::new() }
    }

    fn mown(request: MowRequest) -> Vec<(i8, f64, f64)> {
        let plan = plan_mowing(request).unwrap();
        let told = plan.mowings().map(|(date, mowing)| {
            // Inches to a millionth: a foot of them is no sum of powers of two.
            let inches = |height: Length| (height.to(LengthUnit::Inch) * 1e6).round() / 1e6;
            (date.day(), inches(mowing.standing), inches(mowing.cut_to))
        });
        told.collect()
    }

    #[test]
    fn it_is_mown_as_late_as_a_third_allows() {
        // 0.25 in a day: six evenings reach 4.5, the seventh would pass it.
        assert_eq!(mown(request(&[20.0; 14])), [(7, 4.5, 3.0), (13, 4.5, 3.0)]);
        // Cold grass does not grow.
        assert_eq!(mown(request(&[-5.0; 14])), []);
    }

    #[test]
    fn it_is_mown_before_a_treatment_and_not_after_it() {
        let mut asked = request(&[20.0; 12]);
        asked.no_mowing = vec![no(6, 9)];
        assert_eq!(mown(asked.clone()), [(5, 4.0, 3.0), (11, 4.5, 3.0)]);
        let plan = plan_mowing(asked).unwrap();
        assert_eq!(plan.days[6].may_mow, MayMow::Prohibited(0));
        assert_eq!(plan.too_high().count(), 0);
    }

    #[test]
    fn grass_that_is_too_high_comes_down_in_steps() {
        let mut asked = request(&[-40.0; 10]);
        asked.standing = inches(9.0);
        let told = mown(asked);
        assert_eq!(told.iter().map(|mown| mown.0).collect::<Vec<_>>(), [1, 4, 7]);
        let heights: Vec<f64> = told.iter().map(|mown| (mown.2 * 100.0).round() / 100.0).collect();
        assert_eq!(heights, [6.0, 4.0, 3.0]);
    }

    #[test]
    fn every_fault_is_reported() {
        let mut asked = request(&[20.0]);
        asked.height_of_cut = inches(30.0);
        asked.standing = inches(-1.0);
        asked.best_growth = Length::ZERO;
        asked.plan_from = date(2026, 8, 1);
        asked.weekdays.clear();
        let problems = plan_mowing(asked).unwrap_err();
        let codes: Vec<_> = problems.iter().map(|problem| problem.code).collect();
        let expected = ["plan-from", "height-of-cut", "standing", "growth", "no-weekday"];
        assert_eq!(codes, expected.map(|code| format!("season::{code}")));
    }

    proptest! {
        /// Never inside a prohibition, never by more than a third, never below the height of cut, and the same plan every time.
        #[test]
        fn mowing_keeps_to_the_rules(
            celsius in prop::collection::vec(-10.0..40.0_f64, 1..31),
            forbidden in prop::collection::vec((0_i64..31 * 1440, 1_i64..6000), 0..5),
            cut in 0.5..4.0_f64, standing in 0.0..12.0_f64, growth in 0.05..0.5_f64, weekdays in prop::sample::subsequence(week(), 1..=7),
        ) {
            let mut asked = request(&celsius);
            let at = |minutes| date(2026, 7, 1).at(0, 0, 0, 0).saturating_add(jiff::SignedDuration::from_mins(minutes));
            asked.no_mowing = forbidden.iter()
                .map(|(from, length)| Prohibition { from: at(*from), until: at(from + length), ..no(1, 2) }).collect();
            (asked.height_of_cut, asked.standing, asked.best_growth) = (inches(cut), inches(standing), inches(growth));
            asked.weekdays = weekdays;
            let plan = plan_mowing(asked.clone()).unwrap();
            prop_assert_eq!(&plan, &plan_mowing(asked.clone()).unwrap());
            for (date, mowing) in plan.mowings() {
                prop_assert!(asked.weekdays.contains(&date.weekday()));
                prop_assert!(crate::mowing::check_cut(mowing.standing, mowing.cut_to).is_ok());
                prop_assert!(mowing.cut_to >= asked.height_of_cut);
                prop_assert!(asked.no_mowing.iter().all(|other| !other.touches(mowing.within.from, mowing.within.until)));
            }
            // Grass that starts low enough, and may be mown every day, is never too high.
            asked.no_mowing.clear();
            asked.weekdays = week();
            asked.standing = asked.height_of_cut;
            asked.best_growth = asked.best_growth.min(asked.height_of_cut * 0.5);
            prop_assert_eq!(plan_mowing(asked).unwrap().too_high().count(), 0);
        }
    }
}
