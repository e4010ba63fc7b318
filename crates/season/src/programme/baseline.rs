//! A calendar to hold a programme against: every so many weeks, on every ground, because it is due.

use super::check;
use super::request::{Planned, SeasonRequest};
use super::weeks::Week;

/// From the first week on every so many weeks the use that prevents most on each ground, as long as every rule of the
/// labels is kept; what is not lawful, or meets nothing, is left out. Nobody asks whether it is worth its money.
pub fn calendar_every(request: &SeasonRequest, weeks: u16) -> Vec<Planned> {
    let mut unbounded = request.clone();
    unbounded.demands.pins.clear();
    unbounded.demands.required.clear();
    let mut planned: Vec<Planned> = Vec::new();
    let ahead = request.weeks.iter().filter(|week| request.weeks.date(*week) >= request.from);
    for week in ahead.step_by(usize::from(weeks.max(1))) {
        for ground in 0..request.grounds.len() {
            let best = (0..request.uses.len())
                .filter(|at| request.is_offered(*at, ground))
                .map(|product_use| Planned { week, ground, product_use })
                .map(|one| (prevented(request, one), one))
                .filter(|(_, one)| {
                    let mut tried = planned.clone();
                    tried.push(*one);
                    check::violations(&unbounded, &tried).is_empty()
                })
                .max_by(|a, b| a.0.total_cmp(&b.0).then(b.1.product_use.cmp(&a.1.product_use)));
            planned.extend(best.map(|(_, one)| one));
        }
    }
    planned
}

/// What one application prevents by itself, minor units.
fn prevented(request: &SeasonRequest, one: Planned) -> f64 {
    let mut sum = 0.0;
    for week in one.week.0..request.weeks.count() as u16 {
        for pest in 0..request.pests.len() {
            let share = request.uses[one.product_use].control(pest, usize::from(week - one.week.0));
            sum += share * request.damage(one.ground, pest, Week(week));
        }
    }
    sum
}
