//! After each tank: the area and the amounts expected against those that were.

use crate::application::Leftover;
use crate::fact::Fact;
use crate::task::{Fill, Tank, TankTold, TaskRecord};
use quantity::{Amount, Area, Volume};
use std::fmt;

/// A departure of more than this share stops the work.
///
/// # Source
/// Common practice, no source.
pub const STOP_BEYOND: f64 = 0.10;

/// One tank held against what was expected of it.
#[derive(Debug, Clone, PartialEq)]
pub struct TankCheck {
    /// Its number, from 1.
    pub number: usize,
    /// The area that its spray should have covered, and the one that it did.
    pub area: Option<Compared<Area>>,
    /// Product by product, the amount that its spray (or, dry, its area) should have held, and the one that
    /// it did.
    pub products: Vec<Compared<Amount>>,
    /// What to do.
    pub advice: TankAdvice,
}

/// Expected and found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Compared<T> {
    /// Expected.
    pub expected: T,
    /// Found.
    pub found: T,
    /// How far off: 0.1 is ten per cent too much.
    pub departure: f64,
}

/// What to do after a tank.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TankAdvice {
    /// Go on.
    GoOn,
    /// Stop: find the cause (pace, nozzle, pressure, measure) before the next tank.
    Stop,
    /// Nobody has said what the tank covered.
    CannotTell,
    /// Nobody has said anything of the tank: it counts as filled as planned.
    NotTold,
    /// All of it is told as left over, so that there is nothing to compare.
    AllLeft,
    /// All of it is told as left over, and it is told as having covered something: one of the two is wrong.
    AllLeftAndCovered,
}

impl TankCheck {
    /// The departure that is farthest off; `None` where there is nothing to compare.
    pub fn worst(&self) -> Option<f64> {
        let all = self.area.iter().map(|area| area.departure).chain(self.products.iter().map(|one| one.departure));
        all.max_by(|one, other| one.abs().total_cmp(&other.abs()))
    }
}

impl fmt::Display for TankCheck {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(worst) = self.worst() {
            write!(f, "{:+.1} %, ", worst * 100.0)?;
        }
        f.write_str(match self.advice {
            TankAdvice::GoOn => "within 10 % of what was expected",
            TankAdvice::Stop => "STOP: more than 10 % off; find the cause before the next tank",
            TankAdvice::CannotTell => "nobody has said what it covered",
            TankAdvice::NotTold => "nothing was said of it; it counts as filled as planned",
            TankAdvice::AllLeft => "all of it was left over",
            TankAdvice::AllLeftAndCovered => {
                "all of it is told as left over, and it is told as having covered ground: one of the two is wrong"
            }
        })
    }
}

/// Every tank that was filled, held against what was expected of it.
///
/// # Source
/// Area per tank = spray in it / output of the calibration (per area). Where there is no calibration, the
/// planned tank tells how much its spray covers.
pub fn check_tanks(task: &TaskRecord, leftovers: &[Leftover]) -> Vec<TankCheck> {
    let used = used_of_tanks(task, leftovers);
    used.map(|(number, used)| check_tank(task, number, &used)).collect()
}

/// The tanks that were filled, by their numbers from 1, with what went out of each: what was filled and what had stayed in
/// it of the tank before, less what was left. What is left over of no tank in particular is left in the last.
pub(crate) fn used_of_tanks<'t>(
    task: &'t TaskRecord,
    leftovers: &'t [Leftover],
) -> impl Iterator<Item = (usize, Fill)> + 't {
    let last = task.tanks.iter().rposition(|tank| tank.filled.is_some());
    task.tanks.iter().enumerate().filter_map(move |(index, tank)| {
        let left = leftovers.iter().find(|leftover| {
            leftover.task == task.id && leftover.tank.map_or(last == Some(index), |number| number == index + 1)
        });
        let mut used = used_of(tank.filled.as_ref()?, left);
        let before = task.tanks[..index].iter().rev().find(|tank| tank.filled.is_some());
        add(&mut used, before.and_then(carried), 1.0);
        add(&mut used, carried(tank), -1.0);
        Some((index + 1, used))
    })
}

/// The spray that stayed in a tank under the next mix, with the product in it.
fn carried(tank: &Tank) -> Option<(Volume, Vec<Amount>)> {
    let (stayed, fill) = (*tank.carried_over.value()?, tank.filled.as_ref()?);
    let share = Some(stayed.ratio(fill.spray?)).filter(|share| share.is_finite())?;
    Some((stayed, fill.products.iter().map(|amount| amount.scaled(share)).collect()))
}

fn add(used: &mut Fill, carried: Option<(Volume, Vec<Amount>)>, times: f64) {
    let Some((spray, products)) = carried else { return };
    used.spray = used.spray.map(|held| held + spray * times);
    for (held, more) in used.products.iter_mut().zip(products) {
        *held = held.checked_add(more.scaled(times)).unwrap_or(*held);
    }
}

/// What went out of a tank: what was filled, less what was left in it.
fn used_of(fill: &Fill, left: Option<&Leftover>) -> Fill {
    let Some(left) = left else { return fill.clone() };
    let products = fill.products.iter().enumerate().map(|(index, amount)| {
        let taken = left.products.get(index).and_then(|left| amount.checked_add(left.scaled(-1.0)));
        taken.unwrap_or(*amount)
    });
    Fill {
        spray: fill.spray.map(|spray| spray - left.spray.unwrap_or(Volume::ZERO)),
        products: products.collect(),
        covered: fill.covered,
    }
}

/// Whether nothing to speak of went out of what was filled.
fn is_nothing(filled: Option<&Fill>, used: &Fill) -> bool {
    const HAIR: f64 = 1e-3;
    let Some(filled) = filled else { return true };
    if let (Some(used), Some(filled)) = (used.spray, filled.spray) {
        return filled.is_positive() && used.ratio(filled) < HAIR;
    }
    let mut both = used.products.iter().zip(&filled.products);
    !filled.products.is_empty() && both.all(|(used, filled)| used.ratio(*filled).is_some_and(|share| share < HAIR))
}

fn check_tank(task: &TaskRecord, number: usize, used: &Fill) -> TankCheck {
    let tank = &task.tanks[number - 1];
    let like = tank.planned.as_ref().or_else(|| task.tanks.iter().find_map(|tank| tank.planned.as_ref()));
    if tank.told == TankTold::Nothing {
        return TankCheck { number, area: None, products: Vec::new(), advice: TankAdvice::NotTold };
    }
    if is_nothing(tank.filled.as_ref(), used) {
        let has_covered = tank.told == TankTold::Covered && used.covered.value().is_some_and(|area| area.is_positive());
        let advice = if has_covered { TankAdvice::AllLeftAndCovered } else { TankAdvice::AllLeft };
        return TankCheck { number, area: None, products: Vec::new(), advice };
    }
    let covered = used.covered.value().copied().filter(|_| tank.told == TankTold::Covered);
    let area = expected_area(task, like, used).zip(covered).and_then(|(expected, found)| {
        let departure = found.ratio(expected) - 1.0;
        departure.is_finite().then_some(Compared { expected, found, departure })
    });
    // How many times the planned tank this one is: by its spray, or, dry, by its area.
    let times = like.and_then(|like| match (used.spray, like.spray) {
        (Some(spray), Some(planned)) => Some(spray.ratio(planned)),
        _ => Some(used.covered.value()?.ratio(*like.covered.value()?)),
    });
    let planned = like.map_or(&[][..], |like| like.products.as_slice());
    let products: Vec<Compared<Amount>> = planned
        .iter()
        .zip(&used.products)
        .filter_map(|(planned, found)| {
            let expected = planned.scaled(times.filter(|times| times.is_finite())?);
            let departure = found.ratio(expected)? - 1.0;
            departure.is_finite().then_some(Compared { expected, found: *found, departure })
        })
        .collect();
    let counts_places = matches!(used.covered, Fact::DoesNotArise);
    let mut check = TankCheck { number, area, products, advice: TankAdvice::GoOn };
    if check.worst().is_some_and(|worst| worst.abs() > STOP_BEYOND + 1e-9) {
        check.advice = TankAdvice::Stop;
    } else if check.area.is_none() && !counts_places {
        check.advice = TankAdvice::CannotTell;
    }
    check
}

fn expected_area(task: &TaskRecord, like: Option<&Fill>, used: &Fill) -> Option<Area> {
    if let (Some(spray), Some(output)) = (used.spray, task.calibration.value().and_then(|used| used.output))
        && output.is_positive()
    {
        return Some(spray / output);
    }
    let like = like?;
    let planned = *like.covered.value()?;
    match (used.spray, like.spray) {
        (Some(spray), Some(planned_spray)) => Some(planned * spray.ratio(planned_spray)),
        _ => Some(planned),
    }
}
