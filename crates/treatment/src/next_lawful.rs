//! The first date on which a product may be applied again, by everything that its label counts.

use crate::dose::HAIR;
use crate::limits::{Piece, cap_state, made_in_window};
use crate::remaining::Case;
use crate::request::{Application, History, Place};
use jiff::civil::Date;
use quantity::AmountPerArea;

/// The first date after today's application on which the interval has passed, the number allows one
/// more, and the caps leave room for the label's lowest rate on every place.
///
/// Room only opens when an interval ends, a calendar year begins, or an application leaves a window
/// of twelve months: these are the dates tried.
///
/// `None` when the past is not known, the task has no area, or no label counts anything.
pub(crate) fn next_lawful(case: &Case<'_>, history: &History) -> Option<Date> {
    let Case { product, extent, today, date, .. } = *case;
    let required = &product.requirements;
    let counts = !required.caps.is_empty() || !required.maximum_applications.is_empty();
    let interval = required.minimum_interval_days.binding().copied();
    if *history == History::Unknown || (!counts && interval.is_none()) {
        return None;
    }
    let range = product.row.rate.value()?;
    let lowest = extent.per_area(&range.lowest.unwrap_or(range.highest))?;
    let planned = today?.planned;
    let mut done = vec![Application {
        date,
        product: product.label.id.clone(),
        per_area: planned,
        active_ingredients: Vec::new(),
        group: None,
        place: Place::Everywhere,
    }];
    for other in case.beside {
        done.push(Application {
            date,
            product: other.product.clone(),
            per_area: planned.scaled(0.0),
            active_ingredients: other
                .active_ingredients
                .iter()
                .filter_map(|(name, mass)| Some((name.clone(), (*mass)?)))
                .collect(),
            group: None,
            place: Place::Everywhere,
        });
    }
    let add_days = |date: Date, days: i64| date.checked_add(jiff::Span::new().days(days)).ok();
    let earliest = add_days(date, i64::from(interval.unwrap_or(1)))?;
    let mut dates = vec![earliest];
    let past = case.pieces.iter().flat_map(|piece| piece.applications.iter().copied());
    for application in past.chain(&done) {
        dates.extend(application.date.checked_add(jiff::Span::new().years(1)).ok());
        dates.extend(Date::new(application.date.year().saturating_add(1), 1, 1).ok());
    }
    dates.retain(|candidate| *candidate >= earliest);
    dates.sort_unstable();
    dates.into_iter().find(|candidate| case.pieces.iter().all(|piece| has_room(case, piece, &done, lowest, *candidate)))
}

fn has_room(case: &Case<'_>, piece: &Piece<'_>, done: &[Application], lowest: AmountPerArea, on: Date) -> bool {
    let Case { product, shelf, .. } = *case;
    let applications: Vec<&Application> = piece.applications.iter().copied().chain(done).collect();
    let caps = product.requirements.caps.iter().all(|cap| {
        let Some(state) = cap_state(cap, product.label, &applications, shelf, on, &[]) else { return false };
        let total = state.before.checked_add(lowest);
        total.and_then(|total| total.ratio(state.cap)).is_some_and(|times| times <= 1.0 + HAIR)
    });
    let number = product
        .requirements
        .maximum_applications
        .iter()
        .all(|count| made_in_window(count.value, product.label, &applications, shelf, on) < count.value.count);
    caps && number
}
