//! The watering of a lawn over the days ahead: on which mornings, how deep, and how the sprinklers run, inside what treatments
//! forbid and demand.

mod plain_rule;
mod watering_in;

pub use plain_rule::{PlainRule, PlainWatering};
pub use watering_in::{Unmet, UnmetReason};

use crate::grass::Grass;
use crate::lawn_day::LawnDay;
use crate::prohibition::{Prohibition, Stretch, WaterIn, longest_free};
use crate::root_zone::{BalanceDay, Giving, RootZone, WaterDay, follow};
use crate::sprinkler::{Controller, Program};
use jiff::civil::{Date, DateTime, Time, Weekday};
use problem::{Problem, Problems};
use quantity::{Length, LengthUnit};

/// When water may be given by the clock and the week.
#[derive(Debug, Clone, PartialEq)]
pub struct WateringHours {
    from: Time,
    until: Time,
    weekdays: Vec<Weekday>,
}

impl WateringHours {
    /// Between two times of the clock on some days of the week.
    ///
    /// # Errors
    /// All of these that are found: the end is not after the beginning; no day of the week.
    pub fn new(from: Time, until: Time, weekdays: Vec<Weekday>) -> Result<Self, Problems> {
        let mut problems = Problems::new();
        if until <= from {
            let (from, until) = (from.strftime("%H:%M"), until.strftime("%H:%M"));
            problems.push(
                Problem::error("season::watering-hours", format!("water from `{from}` until `{until}`"))
                    .expected("an end after the beginning, on one day"),
            );
        }
        if weekdays.is_empty() {
            problems.push(
                Problem::error("season::no-weekday", "no day of the week for watering").expected("one day or more"),
            );
        }
        problems.unless_errors(Self { from, until, weekdays }).map(|(hours, _)| hours)
    }

    /// Early, on every day: from four until ten, when little evaporates and leaves dry soon (common in extension publications, from
    /// memory).
    pub fn early() -> Self {
        let clock = |hour| jiff::civil::time(hour, 0, 0, 0);
        let monday_first = std::iter::successors(Some(Weekday::Monday), |day| Some(day.next()));
        Self { from: clock(4), until: clock(10), weekdays: monday_first.take(7).collect() }
    }

    /// The times of the clock.
    pub fn clock(&self) -> (Time, Time) {
        (self.from, self.until)
    }

    /// The days of the week.
    pub fn weekdays(&self) -> &[Weekday] {
        &self.weekdays
    }
}

/// Everything that the watering is planned from.
#[derive(Debug, Clone, PartialEq)]
pub struct WaterRequest {
    /// The root zone.
    pub root_zone: RootZone,
    /// The grass.
    pub grass: Grass,
    /// Degrees, north positive.
    pub latitude: f64,
    /// What is gone from the root zone at the beginning of the first day.
    pub gone: Length,
    /// The days, in order and without a gap.
    pub days: Vec<LawnDay>,
    /// From this day on watering is planned; what was given before is told by `given`.
    pub plan_from: Date,
    /// Waterings of the days before.
    pub given: Vec<(Date, Length)>,
    /// The sprinklers; without any, days and depths stand alone.
    pub controller: Controller,
    /// When water may be given.
    pub hours: WateringHours,
    /// When it may not.
    pub no_watering: Vec<Prohibition>,
    /// What treatments need.
    pub water_in: Vec<WaterIn>,
}

/// Whether water may be given on a day.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Permission {
    /// The day is over: what was given is told.
    Past,
    /// Within this stretch.
    Within(Stretch),
    /// It is none of the days of the week for watering.
    NotThisWeekday,
    /// No, by the prohibition of this place in the request.
    Prohibited(usize),
    /// A treatment is watered in all the while.
    WateringIn,
}

/// A day of the plan.
#[derive(Debug, Clone, PartialEq)]
pub struct PlannedDay {
    /// The weather.
    pub weather: LawnDay,
    /// What well-watered grass would use.
    pub need: Length,
    /// The water that went in and out.
    pub balance: BalanceDay,
    /// Whether water may be given.
    pub permission: Permission,
    /// What the controller runs.
    pub programs: Vec<Program>,
}

/// The watering of a lawn.
#[derive(Debug, Clone, PartialEq)]
pub struct WaterPlan {
    /// What it was planned from.
    pub request: WaterRequest,
    /// The days in order.
    pub days: Vec<PlannedDay>,
    /// Treatments that cannot be watered in as they need.
    pub unmet: Vec<Unmet>,
    /// The rule of an inch a week over the planned days.
    pub plain: PlainRule,
    /// When each treatment that is watered in is, by its place in the request.
    water_in_programs: Vec<(usize, DateTime)>,
}

impl WaterPlan {
    /// The days that are planned.
    pub fn ahead(&self) -> impl Iterator<Item = &PlannedDay> {
        self.days.iter().filter(|day| day.weather.date >= self.request.plan_from)
    }

    /// Every watering planned, in order of time.
    pub fn programs(&self) -> impl Iterator<Item = &Program> {
        self.days.iter().flat_map(|day| &day.programs)
    }

    /// The treatment that a watering waters in; `None` for one that the grass needs.
    pub fn watered_in(&self, program: &Program) -> Option<&WaterIn> {
        let placed = self.water_in_programs.iter().find(|(_, start)| *start == program.start);
        placed.and_then(|(index, _)| self.request.water_in.get(*index))
    }

    /// A sum over the planned days.
    pub fn sum_ahead(&self, of: impl Fn(&BalanceDay) -> Length) -> Length {
        self.ahead().map(|day| of(&day.balance)).sum()
    }

    /// How many of the planned days leave the grass short of water.
    pub fn short_days(&self) -> usize {
        self.ahead().filter(|day| day.balance.is_short).count()
    }
}

/// Plans the watering.
///
/// A morning is watered when what is gone would pass the allowance before the next one that is permitted, up to the full root zone as
/// far as the program of the sprinklers fits between two prohibitions. Treatments are watered in as soon as their work is done,
/// at whatever hour.
///
/// # Errors
/// All of these that are found: no days; days with a gap; a first planned day that is none of them; a watering on a day that is not
/// told or not over, or one not above nothing; more gone at the beginning than the root zone holds, or less than nothing.
pub fn plan_water(request: WaterRequest) -> Result<WaterPlan, Problems> {
    check(&request)?;
    let (placed, unmet) = watering_in::place(&request);
    let mut programs: Vec<Vec<Program>> = vec![Vec::new(); request.days.len()];
    let water_in_programs = placed.iter().map(|(index, program)| (*index, program.start)).collect();
    for (_, program) in placed {
        if let Some(day) = index_of(&request, program.start.date()) {
            programs[day].push(program);
        }
    }
    let permissions: Vec<Permission> =
        request.days.iter().map(|day| permission(&request, day.date, &programs)).collect();
    let water_days: Vec<WaterDay> = request
        .days
        .iter()
        .zip(&permissions)
        .zip(&programs)
        .map(|((day, permission), programs)| {
            let at_least: Length = programs.iter().map(|program| program.depth).sum();
            WaterDay {
                date: day.date,
                reference: day.reference,
                need: need(&request, day),
                rain: day.rain.unwrap_or(Length::ZERO),
                giving: match permission {
                    Permission::Past => Giving::Fixed(
                        request.given.iter().filter(|given| given.0 == day.date).map(|given| given.1).sum(),
                    ),
                    Permission::Within(_) => Giving::Wanted { at_least },
                    Permission::NotThisWeekday | Permission::Prohibited(_) | Permission::WateringIn => {
                        Giving::NoMoreThan(at_least)
                    }
                },
            }
        })
        .collect();
    let fits = |index: usize, wanted: Length| match permissions[index] {
        Permission::Within(stretch) => request.controller.fits(wanted, stretch.minutes()),
        _ => Length::ZERO,
    };
    let balance = follow(request.root_zone, request.gone, &water_days, fits);
    let plain = plain_rule::by_an_inch_a_week(&request, &water_days, &balance);
    let days = balance.into_iter().enumerate().map(|(index, balance)| {
        let mut own = std::mem::take(&mut programs[index]);
        let told: Length = own.iter().map(|program| program.depth).sum();
        if let (Permission::Within(stretch), true) = (permissions[index], (balance.given - told).is_positive()) {
            own.push(request.controller.program(balance.given - told, stretch.from));
        }
        own.sort_by_key(|program| program.start);
        PlannedDay {
            weather: request.days[index],
            need: water_days[index].need,
            balance,
            permission: permissions[index],
            programs: own,
        }
    });
    let days = days.collect();
    Ok(WaterPlan { request, days, unmet, plain, water_in_programs })
}

/// What well-watered grass would use on a day.
fn need(request: &WaterRequest, day: &LawnDay) -> Length {
    day.reference.max(Length::ZERO) * request.grass.coefficient_on(day.date, request.latitude)
}

fn index_of(request: &WaterRequest, date: Date) -> Option<usize> {
    request.days.binary_search_by_key(&date, |day| day.date).ok()
}

/// Whether the lawn may be watered in the morning of a day: not while a treatment is watered in.
fn permission(request: &WaterRequest, date: Date, programs: &[Vec<Program>]) -> Permission {
    if date < request.plan_from {
        return Permission::Past;
    }
    if !request.hours.weekdays.contains(&date.weekday()) {
        return Permission::NotThisWeekday;
    }
    let clock = request.hours.clock();
    let (from, until) = (date.to_datetime(clock.0), date.to_datetime(clock.1));
    let mut kept: Vec<Prohibition> = request.no_watering.clone();
    kept.extend(programs.iter().flatten().map(|program| Prohibition {
        from: program.start,
        until: program.end,
        why: String::new(),
        sentences: Vec::new(),
    }));
    match longest_free(date, clock, &kept) {
        Some(stretch) => Permission::Within(stretch),
        None => match request.no_watering.iter().position(|other| other.touches(from, until)) {
            Some(index) => Permission::Prohibited(index),
            None => Permission::WateringIn,
        },
    }
}

fn check(request: &WaterRequest) -> Result<(), Problems> {
    let mut problems = Problems::new();
    if request.days.is_empty() {
        problems.push(Problem::error("season::no-days", "no day to plan").expected("one day or more"));
    }
    for pair in request.days.windows(2).filter(|pair| pair[0].date.tomorrow().ok() != Some(pair[1].date)) {
        problems.push(
            Problem::error("season::weather-gap", format!("`{}` stands after `{}`", pair[1].date, pair[0].date))
                .expected("days in order and without a gap"),
        );
    }
    let span = request.days.first().zip(request.days.last()).map(|(first, last)| (first.date, last.date));
    if let Some((first, last)) = span {
        if !(first..=last).contains(&request.plan_from) {
            problems.push(
                Problem::error("season::plan-from", format!("planning from `{}` on", request.plan_from))
                    .expected(format!("one of the days of the readings, `{first}` to `{last}`"))
                    .mend("add readings or a forecast of that day, or plan from another"),
            );
        }
        for (date, depth) in &request.given {
            let inches = quantity::significant(depth.to(LengthUnit::Inch), 3);
            if !depth.is_positive() || *depth > Length::new(8.0, LengthUnit::Inch) {
                problems.push(
                    Problem::error("season::watered", format!("`{inches} in` of water given on `{date}`"))
                        .expected("above 0, at most 8 in"),
                );
            }
            if *date < first || *date >= request.plan_from {
                problems.push(
                    Problem::error("season::watered-when", format!("water given on `{date}`"))
                        .expected(format!("a day from `{first}` on and before `{}`", request.plan_from))
                        .mend("leave out what lies before the readings; plan from the day after the last watering"),
                );
            }
        }
    }
    let capacity = request.root_zone.capacity();
    if request.gone < Length::ZERO || request.gone > capacity * (1.0 + 1e-9) {
        let (gone, all) = (request.gone.to(LengthUnit::Inch), capacity.to(LengthUnit::Inch));
        problems.push(
            Problem::error("season::gone", format!("`{gone:.2} in` gone from the root zone at the beginning"))
                .expected(format!("0 to the `{all:.2} in` that it holds"))
                .mend("after a soaking rain or a long watering nothing is gone"),
        );
    }
    problems.unless_errors(()).map(|_| ())
}

#[cfg(test)]
mod tests;
