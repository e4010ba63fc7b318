//! What the label still allows on each place, today and after today.

use crate::dose::{Extent, HAIR, area_figure, figure};
use crate::limits::{
    Beside, CapState, Piece, Shelf, cap_state, days_between, is_product, last_application, made_in_window,
    more_applications, window_around, window_words,
};
use crate::request::{History, Place};
use crate::resolve::{Product, Resolved};
use crate::verdict::{Figure, Origin, Status, Verdict};
use crate::visit::{Measure, Remaining};
use jiff::civil::Date;
use label::{Strength, Window};
use quantity::{AmountPerArea, Rate, counted};

/// What the limits over a window say of one task.
#[derive(Debug, Clone, Default)]
pub(crate) struct WindowLimits {
    /// What is left, place by place.
    pub remaining: Vec<Remaining>,
    /// Highest rate per area that the caps allow today on every place; `None` without a cap.
    pub most_today: Option<AmountPerArea>,
    /// Days since the product last lay on any of its places.
    pub days_since_previous: Option<i32>,
    /// First lawful date to apply again.
    pub earliest_repeat: Option<Date>,
    /// Verdicts.
    pub verdicts: Vec<Verdict>,
    /// The caps as figures.
    pub measures: Vec<Measure>,
}

/// What today puts on a place: the rate as planned, and the highest that any measured batch makes of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Today {
    /// As planned.
    pub planned: AmountPerArea,
    /// As measured, at its highest.
    pub highest: AmountPerArea,
}

/// The caps in product per area of one task on one piece of ground, and those that cannot be reckoned.
pub(crate) fn cap_states(
    product: &Product<'_>,
    piece: &Piece<'_>,
    shelf: Shelf<'_>,
    date: Date,
    beside: &[Beside],
) -> (Vec<CapState>, usize) {
    let states: Vec<Option<CapState>> = product
        .requirements
        .caps
        .iter()
        .map(|cap| cap_state(cap, product.label, &piece.applications, shelf, date, beside))
        .collect();
    let unreckoned = states.iter().filter(|state| state.is_none()).count();
    (states.into_iter().flatten().collect(), unreckoned)
}

/// The most that the caps leave for today on every piece.
pub(crate) fn most_today(
    product: &Product<'_>,
    pieces: &[Piece<'_>],
    shelf: Shelf<'_>,
    date: Date,
    beside: &[Beside],
) -> Option<AmountPerArea> {
    let mut least: Option<AmountPerArea> = None;
    for piece in pieces {
        let (states, _) = cap_states(product, piece, shelf, date, beside);
        for state in states.iter().filter(|state| state.clause.strength == Strength::Mandatory) {
            let Some(left) = state.cap.checked_sub(state.before) else { continue };
            if least.is_none_or(|held| is_less(left, held)) {
                least = Some(left);
            }
        }
    }
    least
}

fn is_less(a: AmountPerArea, b: AmountPerArea) -> bool {
    a.checked_sub(b).is_some_and(|difference| match difference {
        AmountPerArea::Volume(volume) => !volume.is_positive() && volume != quantity::VolumePerArea::ZERO,
        AmountPerArea::Mass(mass) => !mass.is_positive() && mass != quantity::MassPerArea::ZERO,
    })
}

/// One task on its pieces of ground, on the day.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Case<'a> {
    /// The task.
    pub task: &'a Resolved<'a>,
    /// The product of it.
    pub product: &'a Product<'a>,
    /// Its rate.
    pub rate: &'a Rate,
    /// What its amounts are reckoned on.
    pub extent: &'a Extent,
    /// What it puts on a place; `None` without an area.
    pub today: Option<Today>,
    /// Its ground by what was applied there before.
    pub pieces: &'a [Piece<'a>],
    /// The labels by which the past is understood.
    pub shelf: Shelf<'a>,
    /// The day.
    pub date: Date,
    /// What the other products of the tank put on the same ground.
    pub beside: &'a [Beside],
}

/// Holds one product of a task against everything that counts over time.
pub(crate) fn judge(case: &Case<'_>, history: &History) -> WindowLimits {
    let Case { product, pieces, shelf, date, beside, .. } = *case;
    let most_today = most_today(product, pieces, shelf, date, beside);
    let mut limits = WindowLimits { most_today, ..WindowLimits::default() };
    known_history(case, history, &mut limits);
    caps(case, &mut limits);
    number(case, &mut limits);
    interval(case, &mut limits);
    rotation(case, &mut limits);
    forget_unproved(history, &mut limits);
    limits
}

fn known_history(case: &Case<'_>, history: &History, limits: &mut WindowLimits) {
    let Case { task, product, date, .. } = *case;
    let required = &product.requirements;
    let windows = required
        .caps
        .iter()
        .map(|cap| cap.value.window)
        .chain(required.maximum_applications.iter().map(|count| count.value.window))
        .map(|window| window_around(window, date).0);
    let interval = required
        .minimum_interval_days
        .iter()
        .map(|days| date.checked_sub(jiff::Span::new().days(i64::from(days.value))).unwrap_or(Date::MIN));
    // Applications in a row are counted over the last twelve months at the least.
    let row = required.consecutive_same_group.iter().map(|_| window_around(Window::TwelveMonths, date).0);
    let Some(earliest) = windows.chain(interval).chain(row).min() else { return };
    let gap = match history {
        History::Unknown => Some("what was applied here before is not known".to_owned()),
        History::Known { complete_since: Some(since), .. } if *since > earliest => {
            Some(format!("the record is complete only since {since}, and the label counts from {earliest}"))
        }
        History::Known { .. } => None,
    };
    if let Some(text) = gap {
        limits.verdicts.push(
            Verdict::new(
                "limit::history-unknown",
                Status::Caution,
                Origin::Assumed,
                format!("{text}: limits over a window cannot be proved"),
            )
            .on(&task.request.id)
            .mend("ask the client and any former applicator, and enter what was applied, or state that nothing was"),
        );
    }
    let untold = case.pieces.iter().flat_map(|piece| &piece.applications).find(|past| past.place == Place::Band(None));
    if let Some(past) = untold {
        let text =
            format!("the record of {} names no width of its band: it is taken to be as wide as today's", past.date);
        limits.verdicts.push(
            Verdict::new("limit::band-width-unknown", Status::Caution, Origin::Assumed, text)
                .on(&task.request.id)
                .mend("write the width into the record: `place = { band = \"3 ft\" }`"),
        );
    }
    let mut later: Vec<Date> =
        crate::limits::applications(history).iter().map(|past| past.date).filter(|past| *past > date).collect();
    later.sort_unstable();
    if let Some(first) = later.first() {
        limits.verdicts.push(
            Verdict::new(
                "limit::later-record",
                Status::Caution,
                Origin::Measured,
                format!(
                    "the record holds {} of a date after the visit ({first} first): not counted",
                    count_words(later.len())
                ),
            )
            .on(&task.request.id)
            .mend("correct the date of the record or of the visit"),
        );
    }
}

fn count_words(count: usize) -> String {
    if count == 1 { "one application".to_owned() } else { format!("{count} applications") }
}

/// A place in words: the task, or the part of it with its own past.
fn place_words(task: &Resolved<'_>, pieces: &[Piece<'_>], index: usize) -> String {
    if pieces.len() == 1 {
        return task.request.id.clone();
    }
    let dates: Vec<String> =
        pieces[index].applications.iter().map(|application| application.date.to_string()).collect();
    if dates.is_empty() {
        format!("{}, part not treated before", task.request.id)
    } else {
        format!("{}, part treated on {}", task.request.id, dates.join(", "))
    }
}

fn caps(case: &Case<'_>, limits: &mut WindowLimits) {
    let Case { task, product, rate, extent, today, pieces, shelf, date, beside } = *case;
    let id = &task.request.id;
    let Some(today) = today else {
        if !product.requirements.caps.is_empty() {
            limits.verdicts.push(
                Verdict::new(
                    "limit::no-area",
                    Status::Caution,
                    Origin::Assumed,
                    "the label caps the amount per area, and this task has no mapped area: the cap cannot be proved",
                )
                .on(id)
                .mend("draw the places on the map"),
            );
        }
        return;
    };
    let range = product.row.rate.value();
    let lowest = range.map_or(*rate, |range| range.lowest.unwrap_or(range.highest));
    let lowest_per_area = extent.per_area(&lowest);
    let mut caps_named = false;
    for (index, piece) in pieces.iter().enumerate() {
        let place = place_words(task, pieces, index);
        let (states, unreckoned) = cap_states(product, piece, shelf, date, beside);
        if unreckoned > 0 && index == 0 {
            limits.verdicts.push(
                Verdict::new(
                    "limit::cap-not-reckoned",
                    Status::Refused,
                    Origin::Label,
                    "the label's cap on an active ingredient cannot be turned into product: its content by the product's own measure is missing",
                )
                .on(id)
                .mend("add the content (such as lb a.i. per gallon) to the label file"),
            );
        }
        for state in &states {
            for product in &state.unknown {
                limits.verdicts.push(
                    Verdict::new(
                        "limit::unknown-product",
                        Status::Caution,
                        Origin::Assumed,
                        format!("`{product}` was applied on {place}, and its active ingredients are not known: the cap cannot be proved"),
                    )
                    .by(&state.clause)
                    .on(id)
                    .mend("add its label to the visit, or its active ingredients to the record"),
                );
            }
            limits.verdicts.push(cap_verdict((state, date), today, rate, lowest_per_area, &place).on(id));
        }
        if !caps_named {
            limits.measures.extend(states.iter().map(|state| cap_measure(state, rate)));
            caps_named = true;
        }
        let binding = states
            .iter()
            .filter(|state| state.clause.strength == Strength::Mandatory)
            .filter_map(|state| {
                let total = state.before.checked_add(today.planned)?;
                let left = state.cap.checked_sub(total)?;
                Some((state, total, left))
            })
            .reduce(|held, new| if is_less(new.2, held.2) { new } else { held });
        let Some((state, total, left)) = binding else { continue };
        let (_, window_ends) = window_around(state.window, date);
        let made_left = number_left(product, piece, shelf, date);
        let interval = product.requirements.minimum_interval_days.binding().copied();
        let repeat = repeat_date(date, interval);
        let more = |per_area: Option<AmountPerArea>| {
            per_area.map_or(0, |per_area| more_applications(left, per_area, made_left, repeat, window_ends, interval))
        };
        limits.remaining.push(Remaining {
            place,
            limit: cap_words(state),
            clause: Some(state.clause.text.clone()),
            total: area_figure(total, rate),
            cap: area_figure(state.cap, rate),
            left: area_figure(left, rate),
            more_at_lowest: more(lowest_per_area),
            more_at_todays: more(Some(today.planned)),
            lowest_rate: lowest_per_area.map_or_else(|| figure(&lowest), |lowest| area_figure(lowest, rate)),
            window_ends,
        });
    }
    limits.remaining.sort_by(|a, b| a.left.value.total_cmp(&b.left.value));
}

/// What is left is only told where the past is known.
fn forget_unproved(history: &History, limits: &mut WindowLimits) {
    if *history == History::Unknown {
        limits.remaining.clear();
    }
}

fn cap_words(state: &CapState) -> String {
    let what = if state.of_active_ingredient { "active ingredient" } else { "product" };
    format!("{what} per {}", window_words(state.window))
}

fn cap_measure(state: &CapState, rate: &Rate) -> Measure {
    let name = if state.of_active_ingredient { "cap-from-active-ingredient" } else { "cap-from-product" };
    Measure {
        name: name.to_owned(),
        words: format!("most {} allows, as product", cap_words(state)),
        figure: area_figure(state.cap, rate),
        origin: Origin::Label,
    }
}

fn cap_verdict(
    (state, date): (&CapState, Date),
    today: Today,
    rate: &Rate,
    lowest: Option<AmountPerArea>,
    place: &str,
) -> Verdict {
    let words = cap_words(state);
    let Some(total) = state.before.checked_add(today.planned) else {
        return Verdict::new(
            "limit::measure-differs",
            Status::Refused,
            Origin::Label,
            format!("the cap on {words} is of another measure, fluid or weight, than today's rate"),
        )
        .by(&state.clause);
    };
    // Rounding to the measure may put down a little more than planned: the cap holds for that too.
    let highest = state.before.checked_add(today.highest).unwrap_or(total);
    let worst = if is_less(total, highest) { highest } else { total };
    let over = worst.ratio(state.cap).is_none_or(|times| times > 1.0 + HAIR);
    let shown = area_figure(worst, rate);
    let cap = area_figure(state.cap, rate);
    let rule = if state.of_active_ingredient { "limit::active-ingredient" } else { "limit::product" };
    if over {
        let left = state.cap.checked_sub(state.before);
        let left = left.filter(|left| is_less(state.before.scaled(0.0), *left));
        let (_, ends) = window_around(state.window, date);
        let mend = match (left, lowest) {
            (None, _) => format!("nothing more may be applied here until after {ends}"),
            // Less than the label's lowest rate is no use of it.
            (Some(left), Some(lowest)) if is_less(left, lowest) => format!(
                "{} are left until after {ends}, less than the label's lowest rate: leave the place out, or take another product",
                area_figure(left, rate).show()
            ),
            (Some(left), _) => format!("at most {} today", area_figure(left, rate).show()),
        };
        Verdict::new(
            rule,
            crate::verdict::breach(state.clause.strength),
            Origin::Label,
            format!("{place} would have {} in the window, over the cap of {} on {words}", shown.show(), cap.show()),
        )
        .comparing(shown, cap)
        .by(&state.clause)
        .mend(mend)
    } else {
        Verdict::new(
            rule,
            Status::Allowed,
            Origin::Label,
            format!("{place} will have {} in the window, within the cap of {} on {words}", shown.show(), cap.show()),
        )
        .comparing(shown, cap)
        .by(&state.clause)
    }
}

/// Applications that the number still allows after today; `None` when the label does not count them.
fn number_left(product: &Product<'_>, piece: &Piece<'_>, shelf: Shelf<'_>, date: Date) -> Option<u32> {
    product
        .requirements
        .maximum_applications
        .iter()
        .map(|count| {
            let made = made_in_window(count.value, product.label, &piece.applications, shelf, date);
            count.value.count.saturating_sub(made + 1)
        })
        .min()
}

fn number(case: &Case<'_>, limits: &mut WindowLimits) {
    let Case { task, product, pieces, shelf, date, .. } = *case;
    for count in &product.requirements.maximum_applications {
        let made = pieces
            .iter()
            .map(|piece| made_in_window(count.value, product.label, &piece.applications, shelf, date))
            .max()
            .unwrap_or(0);
        let with_today = made.saturating_add(1);
        let over = with_today > count.value.count;
        let status = if over { crate::verdict::breach(count.clause.strength) } else { Status::Allowed };
        let text = format!(
            "application {with_today} of {} allowed in the {}",
            count.value.count,
            window_words(count.value.window)
        );
        let verdict = Verdict::new("limit::number", status, Origin::Label, text)
            .comparing(Figure::count(f64::from(with_today)), Figure::count(f64::from(count.value.count)))
            .by(&count.clause)
            .on(&task.request.id);
        limits.verdicts.push(if over {
            verdict.mend("choose another product, or wait for the next window")
        } else {
            verdict
        });
    }
}

fn repeat_date(date: Date, interval: Option<u32>) -> Date {
    let days = i64::from(interval.unwrap_or(1));
    date.checked_add(jiff::Span::new().days(days)).unwrap_or(Date::MAX)
}

fn interval(case: &Case<'_>, limits: &mut WindowLimits) {
    let Case { task, product, pieces, shelf, date, .. } = *case;
    let last =
        pieces.iter().filter_map(|piece| last_application(product.label, &piece.applications, shelf, date)).max();
    limits.days_since_previous = last.map(|last| days_between(last, date));
    let required = &product.requirements.minimum_interval_days;
    limits.earliest_repeat = required.binding().map(|days| repeat_date(date, Some(*days)));
    if required.silent {
        limits.verdicts.push(
            Verdict::new(
                "limit::interval-silent",
                Status::Caution,
                Origin::Label,
                "the label states no interval between applications: silence is no permission to repeat at once",
            )
            .on(&task.request.id)
            .mend("count the pest again before any repeat, and ask the registrant or the state's office"),
        );
    }
    for days in required.iter() {
        let Some(last) = last else { continue };
        let since = days_between(last, date);
        let short = i64::from(since) < i64::from(days.value);
        let status = if short { crate::verdict::breach(days.clause.strength) } else { Status::Allowed };
        let text = format!("{} since {last}, and the label asks for {}", counted(since, "day", "days"), days.value);
        let unit = |value: f64| Figure::new(value, "d", "d");
        let verdict = Verdict::new("limit::interval", status, Origin::Label, text)
            .comparing(unit(f64::from(since)), unit(f64::from(days.value)))
            .by(&days.clause)
            .on(&task.request.id);
        limits.verdicts.push(if short {
            verdict.mend(format!("not before {}", repeat_date(last, Some(days.value))))
        } else {
            verdict
        });
    }
}

fn rotation(case: &Case<'_>, limits: &mut WindowLimits) {
    let Case { task, product, pieces, shelf, date, .. } = *case;
    let groups: Vec<&str> =
        product.label.product.active_ingredients.iter().filter_map(|ingredient| ingredient.group.as_deref()).collect();
    if groups.is_empty() {
        return;
    }
    let group = groups.join(", ");
    let mut in_a_row = 0;
    let mut unknown = None;
    for piece in pieces {
        let mut past: Vec<_> = piece.applications.iter().filter(|application| application.date <= date).collect();
        past.sort_by_key(|application| std::cmp::Reverse(application.date));
        let mut same = 0;
        for application in past {
            let known = shelf.groups(application);
            if is_product(product.label, application, shelf) || known.iter().any(|known| groups.contains(known)) {
                same += 1;
            } else {
                if known.is_empty() {
                    unknown = Some(application.product.clone());
                }
                break;
            }
        }
        in_a_row = in_a_row.max(same);
    }
    let with_today = u32::try_from(in_a_row).unwrap_or(u32::MAX).saturating_add(1);
    let mut breached = false;
    for most in product.requirements.consecutive_same_group.iter() {
        if with_today > most.value {
            breached = true;
            let text =
                format!("application {with_today} in a row of group {group}, and the label allows {}", most.value);
            limits.verdicts.push(
                Verdict::new("limit::rotation", crate::verdict::breach(most.clause.strength), Origin::Label, text)
                    .comparing(Figure::count(f64::from(with_today)), Figure::count(f64::from(most.value)))
                    .by(&most.clause)
                    .on(&task.request.id)
                    .mend("choose a product of another mode-of-action group"),
            );
        } else if let Some(unknown) = &unknown {
            let text = format!("the mode-of-action group of {unknown}, applied here before, is not known");
            limits.verdicts.push(
                Verdict::new("limit::rotation-unknown", Status::Caution, Origin::Assumed, text)
                    .by(&most.clause)
                    .on(&task.request.id)
                    .mend("add its label to the shelf, or its group to the record"),
            );
        }
    }
    // Within the label's number too: the next generation of the pest asks for another group.
    if !breached && in_a_row > 0 {
        let text = format!("the last application here was of the same mode-of-action group ({group})");
        limits.verdicts.push(
            Verdict::new("limit::rotation", Status::Caution, Origin::Default, text).on(&task.request.id).mend(
                "for another generation of the pest choose another group; within one generation the same may serve",
            ),
        );
    }
}
