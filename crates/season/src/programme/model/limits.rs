//! Limits over windows, and stock, as rows.

use super::{Bind, Builder, Row};
use crate::programme::product_use::{HAIR, LabelLimit, LimitKind, ProductUse, same_name};
use crate::programme::request::{Planned, SeasonRequest};
use crate::programme::rule::RuleKind;
use jiff::civil::Date;
use label::Window;
use quantity::{AmountPerArea, MassPerArea};

/// A part above one never fits: what lies above matters to nobody.
const NEVER_FITS: f64 = 2.0;

/// What is counted of an application, planned or past, as a share of a limit that `holder` states.
struct Counted<'a> {
    label: &'a str,
    per_area: AmountPerArea,
    ingredients: &'a [(String, MassPerArea)],
}

impl Counted<'_> {
    fn share(&self, limit: &LabelLimit, holder: &ProductUse) -> f64 {
        let is_own = same_name(self.label, &holder.label) || same_name(self.label, &holder.product);
        let share = match &limit.kind {
            LimitKind::Number(0) if is_own => NEVER_FITS,
            LimitKind::Number(most) if is_own => 1.0 / f64::from(*most),
            LimitKind::Product(most) if is_own => self.per_area.ratio(*most).unwrap_or(NEVER_FITS),
            LimitKind::Ingredient { name, most, counts_other_products } if is_own || *counts_other_products => self
                .ingredients
                .iter()
                .filter(|(known, _)| same_name(known, name))
                .map(|(_, mass)| mass.ratio(*most))
                .sum(),
            _ => 0.0,
        };
        if share.is_finite() { share.min(NEVER_FITS) } else { NEVER_FITS }
    }
}

/// Each limit of each label on each ground, once.
pub(super) fn over_windows(builder: &mut Builder<'_>) {
    let request = builder.request;
    for ground in 0..request.grounds.len() {
        for (index, holder) in request.uses.iter().enumerate() {
            for limit in &holder.limits {
                let is_told = request.uses[..index]
                    .iter()
                    .any(|other| other.label == holder.label && other.limits.contains(limit));
                if !is_told && request.keeps(limit.said.strength) {
                    one_limit(builder, ground, holder, limit);
                }
            }
        }
    }
}

fn one_limit(builder: &mut Builder<'_>, ground: usize, holder: &ProductUse, limit: &LabelLimit) {
    let request = builder.request;
    let share_of = |at: usize| {
        let planned = &request.uses[at];
        Counted { label: &planned.label, per_area: planned.per_area, ingredients: &planned.ingredients }
            .share(limit, holder)
    };
    let shares: Vec<f64> = (0..request.uses.len()).map(share_of).collect();
    let states = |at: usize| request.uses[at].label == holder.label && request.uses[at].limits.contains(limit);
    let here = builder.on(ground, |planned| shares[planned.product_use] > 0.0);
    if here.is_empty() {
        return;
    }
    let (kind, words) = words(request, ground, holder, limit);
    let (rule, is_active) = builder.rule(kind, words, Some(limit.said.clone()));
    if !is_active {
        return;
    }
    let past: Vec<(Date, f64, bool)> = request
        .past
        .iter()
        .filter(|past| past.ground == ground)
        .map(|past| {
            let counted = Counted { label: &past.label, per_area: past.per_area, ingredients: &past.ingredients };
            let is_holder = same_name(&past.label, &holder.label) && past.product_use.is_none_or(states);
            (past.date, counted.share(limit, holder), is_holder)
        })
        .collect();
    for (first, last) in windows(request, limit.window, &past) {
        let is_inside = |date: Date| (first..=last).contains(&date);
        let mut terms = Vec::new();
        let mut holders = Vec::new();
        let mut all_hold = true;
        for at in &here {
            let Planned { week, product_use, .. } = builder.potential[*at].0;
            if is_inside(request.weeks.date(week)) {
                terms.push((*at, shares[product_use]));
                if states(product_use) {
                    holders.push(*at);
                } else {
                    all_hold = false;
                }
            }
        }
        let mut before = 0.0;
        for (_, share, is_holder) in past.iter().filter(|(date, ..)| is_inside(*date)) {
            before += share;
            all_hold |= is_holder;
        }
        // A use that states a limit and counts nothing toward it still asks for it to be kept.
        if terms.is_empty() || (!all_hold && holders.is_empty()) {
            continue;
        }
        let limit = (1.0 - before).max(0.0) + HAIR;
        let only_if = (!all_hold).then_some(holders);
        for (terms, limit) in rounded(&terms, limit) {
            builder.rows.push(Row { rule, terms, bind: Bind::AtMost, limit, only_if: only_if.clone() });
        }
    }
}

/// A row, and the whole numbers that follow from it.
///
/// Where every part is the same, only so many whole ones fit. Where parts differ, dividing by one of them and rounding
/// down gives another row that every whole choice keeps (Chvátal 1973): it cuts off what fractions would gain.
fn rounded(terms: &[(usize, f64)], limit: f64) -> Vec<(Vec<(usize, f64)>, f64)> {
    let whole = |value: f64| (value + 1e-9).floor();
    let mut parts: Vec<f64> = terms.iter().map(|(_, part)| *part).collect();
    parts.sort_by(f64::total_cmp);
    parts.dedup_by(|a, b| (*a - *b).abs() <= 1e-12);
    let by = |part: f64| {
        let terms = terms.iter().map(|(at, own)| (*at, whole(own / part))).filter(|(_, own)| *own > 0.0);
        (terms.collect::<Vec<_>>(), whole(limit / part))
    };
    if parts.len() == 1 {
        return vec![by(parts[0])];
    }
    let mut rows = vec![(terms.to_vec(), limit)];
    rows.extend(parts.iter().take(4).map(|part| by(*part)));
    rows
}

/// The windows that matter, first and last date.
fn windows(request: &SeasonRequest, window: Window, past: &[(Date, f64, bool)]) -> Vec<(Date, Date)> {
    if window == Window::CalendarYear {
        let mut all: Vec<_> =
            request.weeks.iter().map(|week| treatment::window_around(window, request.weeks.date(week))).collect();
        all.dedup();
        return all;
    }
    // Any twelve months: those that end with a week. One that holds no less of the past and fewer weeks than the next
    // says nothing more.
    let ends: Vec<(Date, Date)> = request
        .weeks
        .iter()
        .map(|week| {
            let last = request.weeks.date(week);
            (treatment::window_around(window, last).0, last)
        })
        .collect();
    let held = |(first, last): (Date, Date)| {
        let of_past = past.iter().filter(|(date, ..)| (first..=last).contains(date)).count();
        let first_week = request.weeks.iter().position(|week| request.weeks.date(week) >= first);
        (of_past, first_week)
    };
    let mut all = Vec::new();
    for (at, window) in ends.iter().enumerate() {
        if ends.get(at + 1).is_none_or(|next| held(*next) != held(*window)) {
            all.push(*window);
        }
    }
    all
}

fn words(request: &SeasonRequest, ground: usize, holder: &ProductUse, limit: &LabelLimit) -> (RuleKind, String) {
    let window = match limit.window {
        Window::CalendarYear => "in a calendar year",
        Window::TwelveMonths => "in twelve months",
        Window::Season => "in a season (counted as twelve months)",
        Window::Crop => "in a crop (counted as twelve months)",
    };
    let (product, place) = (&holder.product, &request.grounds[ground].name);
    match &limit.kind {
        LimitKind::Number(most) => {
            (RuleKind::Number, format!("{product} on {place}: at most {most} applications {window}"))
        }
        LimitKind::Product(most) => {
            let shown = most.show_like(&holder.rate).unwrap_or_default();
            (RuleKind::ProductCap, format!("{product} on {place}: at most {shown} {window}"))
        }
        LimitKind::Ingredient { name, most, counts_other_products } => {
            let shown = most.show(quantity::MassPerAreaUnit::PoundPerAcre);
            let from = if *counts_other_products { "of all products" } else { "of this product" };
            (RuleKind::IngredientCap, format!("{product} on {place}: at most {shown} {name} {from} {window}"))
        }
    }
}

/// Product in hand.
pub(super) fn stock(builder: &mut Builder<'_>) {
    let request = builder.request;
    for stock in &request.stock {
        let words = format!("the stock of {}", stock.label);
        let (rule, is_active) = builder.rule(RuleKind::Stock, words, None);
        if !is_active {
            continue;
        }
        let mut terms = Vec::new();
        for (at, (planned, _)) in builder.potential.iter().enumerate() {
            let of_label = &request.uses[planned.product_use];
            if of_label.label == stock.label {
                let needed = of_label.per_area.over(request.grounds[planned.ground].area);
                let part = needed.ratio(stock.amount).filter(|part| part.is_finite()).unwrap_or(NEVER_FITS);
                terms.push((at, part.min(NEVER_FITS)));
            }
        }
        for (terms, limit) in rounded_if_any(&terms) {
            builder.row(rule, terms, Bind::AtMost, limit);
        }
    }
}

fn rounded_if_any(terms: &[(usize, f64)]) -> Vec<(Vec<(usize, f64)>, f64)> {
    if terms.is_empty() { Vec::new() } else { rounded(terms, 1.0 + HAIR) }
}
