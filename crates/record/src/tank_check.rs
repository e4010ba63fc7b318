//! After each tank: the area and the amounts expected against those that were.

use crate::application::Leftover;
use crate::fact::Fact;
use crate::task::{Fill, Tank, TankTold, TaskRecord};
use quantity::{Amount, Area};
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
        })
    }
}

/// Every tank that was filled, held against what was expected of it.
///
/// # Source
/// Area per tank = spray in it / output of the calibration (per area). Where there is no calibration, the
/// planned tank tells how much its spray covers.
pub fn check_tanks(task: &TaskRecord, leftovers: &[Leftover]) -> Vec<TankCheck> {
    let last = task.tanks.iter().rposition(|tank| tank.filled.is_some());
    let left: &[Leftover] = leftovers;
    let left = left.iter().find(|leftover| leftover.task == task.id);
    task.tanks
        .iter()
        .enumerate()
        .filter_map(|(index, tank)| {
            let left = left.filter(|_| last == Some(index));
            let filled = used_of(tank.filled.as_ref()?, left);
            Some(check_tank(task, index, tank, &filled))
        })
        .collect()
}

/// What went out of a tank: what was filled, less what was left in it.
fn used_of(fill: &Fill, left: Option<&Leftover>) -> Fill {
    let Some(left) = left else { return fill.clone() };
    let products = fill.products.iter().enumerate().map(|(index, amount)| {
        let taken = left.products.get(index).and_then(|left| amount.checked_add(left.scaled(-1.0)));
        taken.unwrap_or(*amount)
    });
    Fill {
        spray: fill.spray.map(|spray| spray - left.spray.unwrap_or(quantity::Volume::ZERO)),
        products: products.collect(),
        covered: fill.covered,
    }
}

fn check_tank(task: &TaskRecord, index: usize, tank: &Tank, used: &Fill) -> TankCheck {
    let like = tank.planned.as_ref().or_else(|| task.tanks.iter().find_map(|tank| tank.planned.as_ref()));
    if tank.told == TankTold::Nothing {
        return TankCheck { number: index + 1, area: None, products: Vec::new(), advice: TankAdvice::NotTold };
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
    let mut check = TankCheck { number: index + 1, area, products, advice: TankAdvice::GoOn };
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
