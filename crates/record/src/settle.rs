//! The figures of a record that follow from its tanks and leftovers: totals, rates, re-entry.

use crate::application::{ApplicationRecord, Leftover};
use crate::fact::Fact;
use crate::task::{Fill, TaskRecord};
use quantity::{Amount, Basis, Rate, Substance, Volume};

/// Reckons again what follows from tanks, leftovers and times.
pub(crate) fn settle(record: &mut ApplicationRecord) {
    let leftovers: &[Leftover] = record.leftover.value().map_or(&[], Vec::as_slice);
    for task in &mut record.tasks {
        settle_task(task, leftovers);
    }
    if let (Fact::Recorded(re_entry), Fact::Recorded(ended)) = (&mut record.re_entry, &record.ended)
        && let Some(at_least) = re_entry.at_least
    {
        re_entry.not_before = Some(ended.later(at_least));
    }
}

fn settle_task(task: &mut TaskRecord, leftovers: &[Leftover]) {
    let filled: Vec<&Fill> = task.tanks.iter().filter_map(|tank| tank.filled.as_ref()).collect();
    let left: Vec<&Leftover> = leftovers.iter().filter(|leftover| leftover.task == task.id).collect();
    // A task without tanks states its amounts itself.
    if !task.tanks.is_empty() {
        for (index, product) in task.products.iter_mut().enumerate() {
            let nothing = product.amount.scaled(0.0);
            let put_in = filled.iter().filter_map(|fill| fill.products.get(index));
            let taken_out = left.iter().filter_map(|leftover| leftover.products.get(index));
            product.amount = put_in
                .copied()
                .chain(taken_out.map(|amount| amount.scaled(-1.0)))
                .fold(nothing, |sum, amount| sum.checked_add(amount).unwrap_or(sum));
            // What rounding leaves of a mix that was left over whole is nothing.
            let all = put_in_all(&filled, index, nothing);
            if product.amount.ratio(all).is_some_and(|share| share.abs() < 1e-9) {
                product.amount = nothing;
            }
        }
        if let Fact::Recorded(carrier) = &mut task.carrier {
            let put_in: Volume = filled.iter().filter_map(|fill| fill.spray).sum();
            let taken_out: Volume = left.iter().filter_map(|leftover| leftover.spray).sum();
            *carrier = put_in - taken_out;
        }
    }
    let task_only = task.clone();
    for product in &mut task.products {
        if let Fact::Recorded(rate) = product.rate
            && let Some(applied) = rate_applied(&rate, product.amount, &task_only)
        {
            product.rate = Fact::Recorded(applied);
        }
    }
}

/// What went into the tanks of one product.
fn put_in_all(filled: &[&Fill], product: usize, nothing: Amount) -> Amount {
    let amounts = filled.iter().filter_map(|fill| fill.products.get(product).copied());
    amounts.fold(nothing, |sum, amount| sum.checked_add(amount).unwrap_or(sum))
}

/// The rate that an amount comes to on a task, in the unit and basis of `like`; `None` where the task
/// does not say how often that basis was there, nothing was applied, or the rate is one of active ingredient.
pub(crate) fn rate_applied(like: &Rate, amount: Amount, task: &TaskRecord) -> Option<Rate> {
    if like.substance() != Substance::Product {
        return None;
    }
    let one = like.with_value(1.0);
    let value = match like.basis() {
        Basis::Area(..) => {
            let area = task.area();
            if !area.is_positive() {
                return None;
            }
            amount.per_area(area).ratio(one.per_area()?)?
        }
        Basis::SprayVolume(..) => {
            let spray = *task.carrier.value()?;
            amount.ratio(one.in_spray(spray)?)?
        }
        Basis::Plant | Basis::Mound | Basis::Station => amount.ratio(one.amount())? / f64::from(*task.places.value()?),
        Basis::Length(..) | Basis::TrunkDiameter(..) => return None,
    };
    (value.is_finite() && value >= 0.0).then(|| like.with_value(value))
}
