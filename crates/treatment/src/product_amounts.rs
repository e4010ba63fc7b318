//! The amounts of one product of a task: its rate, what goes into each tank, and what its label
//! still allows.

use crate::amounts::OnGround;
use crate::dose::{Extent, HAIR, area_figure, figure, judge_range, judge_single};
use crate::limits::Beside;
use crate::next_lawful::next_lawful;
use crate::plan::task_problem;
use crate::rate_measures::rate_measures;
use crate::remaining::{Case, Today, judge as judge_windows, most_today};
use crate::request::{History, RateWish, VisitRequest};
use crate::resolve::{Product, Resolved};
use crate::verdict::{Origin, Status, Verdict};
use crate::visit::{Batch, TaskProduct};
use problem::{Problem, Problems};
use quantity::{Amount, AmountPerArea, Basis, Graduation, Rate, VolumeUnit};
use sprayer::{BatchPlan, Concentration, Dose, DryDose, LoadOrder, MixOrder, plan_batches, plan_loads};

/// A product planned, with what the task and the visit still need of it.
#[derive(Debug, Clone)]
pub(crate) struct Reckoned {
    /// The product.
    pub product: TaskProduct,
    /// What it puts on a place, per area.
    pub per_area: Option<AmountPerArea>,
    /// Its tanks or loads, for the working; `None` when none can be measured.
    pub batches: Option<BatchPlan>,
    /// Verdicts on it.
    pub verdicts: Vec<Verdict>,
}

/// Plans the amounts of one product of a task.
///
/// # Errors
/// What the amounts are reckoned from and is missing.
pub(crate) fn plan_product(
    case: &OnGround<'_>,
    product: &Product<'_>,
    rate: &Rate,
    beside: &[Beside],
) -> Result<Reckoned, Problems> {
    let OnGround { request, task, extent, pieces, shelf } = *case;
    let id = &task.request.id;
    let mut problems = Problems::new();
    let mut verdicts = judge_range(rate, product.row, id);
    verdicts.extend(spreader_output(case, product, rate));
    let per_area = extent.per_area(rate);
    verdicts.extend(judge_single(rate, per_area, product.row, id, id));
    let Some(amount) = extent.product(rate) else {
        problems.push(task_problem(
            request,
            task,
            "rate",
            Problem::error("visit::rate-basis", format!("nothing in task `{id}` says how often `{rate}` is applied"))
                .expected("an area for a rate per area, spray for a rate per gallon, a count for a rate per mound")
                .mend("give the spray to be used (`spray = \"1.2 gal\"`), or the number of places"),
        ));
        return Err(problems);
    };
    let Some(graduation) = graduation(request, task, amount) else {
        problems.push(task_problem(
            request,
            task,
            "equipment",
            Problem::error(
                "visit::no-graduation",
                format!("no measure for {} is named for task `{id}`", kind_words(amount)),
            )
            .expected("the smallest mark of a measuring cup or scale, such as `0.2 mL` or `1 g`")
            .mend("add the measure's smallest mark to the equipment's `graduations`"),
        ));
        return Err(problems);
    };
    let bounds = Bounds::of(product, extent, most_today(product, pieces, shelf, request.date, beside));
    let batches = match batches(task, extent, rate, per_area, amount, graduation, &bounds) {
        Ok(batches) => batches,
        Err(found) => {
            for problem in &found {
                let text = problem.found.clone();
                let verdict = Verdict::new("mix::measure", Status::Refused, Origin::Measured, text).on(id);
                verdicts.push(match &problem.mend {
                    Some(mend) => verdict.mend(mend.clone()),
                    None => verdict,
                });
            }
            None
        }
    };
    let listed = task_batches(batches.as_ref(), extent);
    let full_load = batches.as_ref().and_then(|plan| plan.full).map(|full| to_batch(full, extent, amount));
    let share = batches.as_ref().and_then(|plan| plan.full.or(plan.last())).map_or(1.0, |batch| batch.measured_share());
    let highest_share = listed.iter().filter_map(|batch| batch.measured.ratio(batch.product)).fold(0.0, f64::max);
    let today = per_area.map(|planned| Today { planned, highest: planned.scaled(highest_share) });
    rounding(amount, &listed, id, &mut verdicts);

    let windows = Case { task, product, rate, extent, today, pieces, shelf, date: request.date, beside };
    let limits = judge_windows(&windows, &request.history);
    verdicts.extend(limits.verdicts);
    if !task.partners.is_empty() {
        for verdict in &mut verdicts {
            verdict.text = format!("{}{}", task.of_product(product), verdict.text);
        }
    }
    let mut measures = limits.measures;
    // Where the past is not known, no rate is shown to be lawful.
    let is_known = request.history != History::Unknown;
    let highest = Bounds::of(product, extent, limits.most_today).per_area.filter(|_| is_known);
    measures.extend(rate_measures(task, product, extent, rate, per_area, highest));
    let area_rate = match rate.basis() {
        Basis::Area(..) => None,
        _ => per_area
            .and_then(|per_area| product.row.maximum_single.value().and_then(|most| most.like_per_area(per_area))),
    };
    let measured = batches.as_ref().map_or_else(|| amount.scaled(0.0), BatchPlan::measured);
    let planned = TaskProduct {
        label: product.label.id.clone(),
        name: product.label.product.name.clone(),
        registration_number: product.label.product.registration_number.clone(),
        signal_word: product.label.product.signal_word,
        active_ingredients: product.label.product.active_ingredients.clone(),
        use_row: product.row.id.clone(),
        pest: product.pest.to_owned(),
        rate: *rate,
        rate_origin: match product.rate {
            RateWish::Stated(_) => Origin::Business,
            RateWish::Lowest | RateWish::HighestLawful => Origin::Label,
        },
        rate_after_rounding: rate.with_value((rate.value() * share).max(0.0)),
        rate_as_measured: rate.with_value(rate.value() * measured.ratio(amount).unwrap_or(0.0).max(0.0)),
        area_rate,
        amount,
        measured,
        full_load,
        batches: listed,
        graduation: graduation.step(),
        remaining: limits.remaining,
        days_since_previous: limits.days_since_previous,
        earliest_repeat: limits.earliest_repeat,
        next_lawful: next_lawful(&windows, &request.history),
        measures,
    };
    Ok(Reckoned { product: planned, per_area, batches, verdicts })
}

/// What a calibrated spreader puts down is the rate, whatever is asked of it.
///
/// # Source
/// Within 5 % of the target: UMass Extension, spreader calibration.
fn spreader_output(case: &OnGround<'_>, product: &Product<'_>, rate: &Rate) -> Vec<Verdict> {
    let OnGround { task, .. } = *case;
    let mut verdicts = Vec::new();
    if task.request.method.is_sprayed() {
        return verdicts;
    }
    let wanted = task.request.calibration.as_deref();
    let calibration = task.equipment.calibration(wanted).ok();
    let Some(output) = calibration.and_then(|known| known.output().mass()) else { return verdicts };
    let Some(asked) = rate.per_area().and_then(AmountPerArea::mass) else { return verdicts };
    let shown = area_figure(AmountPerArea::Mass(output), rate);
    let highest = product.row.maximum_single.value().or(product.row.rate.value().map(|range| &range.highest));
    let most = highest.and_then(|highest| Some((highest, highest.per_area().and_then(AmountPerArea::mass)?)));
    if let Some((highest, _)) = most.filter(|(_, most)| output.ratio(*most) > 1.0 + HAIR) {
        let verdict = Verdict::new(
            "rate::spreader-output",
            Status::Refused,
            Origin::Measured,
            format!("the spreader as calibrated puts down {}, over the label's {highest}", shown.show()),
        )
        .comparing(shown.clone(), figure(highest));
        let clause = product.row.maximum_single.clause().or(product.row.rate.clause());
        verdicts.push(match clause {
            Some(clause) => verdict.by(clause),
            None => verdict,
        });
    } else if (output.ratio(asked) - 1.0).abs() > 0.05 {
        verdicts.push(
            Verdict::new(
                "rate::spreader-output",
                Status::Caution,
                Origin::Measured,
                format!("the spreader as calibrated puts down {}, more than 5 % off {}", shown.show(), rate.show()),
            )
            .comparing(shown, figure(rate)),
        );
    }
    verdicts
        .into_iter()
        .map(|verdict| verdict.on(&task.request.id).mend("set the spreader anew and catch its output again"))
        .collect()
}

/// The rate at which a product goes out; `None`, with its problem, when none can be chosen.
pub(crate) fn chosen_rate(
    case: &OnGround<'_>,
    product: &Product<'_>,
    beside: &[Beside],
    verdicts: &mut Vec<Verdict>,
    problems: &mut Problems,
) -> Option<Rate> {
    let OnGround { request, task, extent, pieces, shelf } = *case;
    let range = product.row.rate.value();
    match product.rate {
        RateWish::Stated(asked) => {
            let Some(range) = range else { return Some(asked) };
            let on_label = extent.on_basis_of(&asked, &range.highest);
            if let Some(converted) = on_label
                && !crate::dose::same_basis(asked.basis(), range.highest.basis())
            {
                verdicts.push(
                    Verdict::new(
                        "rate::basis-converted",
                        Status::Caution,
                        Origin::Measured,
                        format!(
                            "{}{asked} was asked, and the label's rate has another basis: it comes to {}",
                            task.of_product(product),
                            converted.show()
                        ),
                    )
                    .by(crate::dose::rate_clause(product.row))
                    .on(&task.request.id)
                    .mend(format!("state the rate as the label does, such as {}", range.highest)),
                );
            }
            Some(on_label.unwrap_or(asked))
        }
        RateWish::Lowest | RateWish::HighestLawful => {
            let Some(range) = range else {
                problems.push(task_problem(
                    request,
                    task,
                    "rate",
                    Problem::error("visit::no-rate", "the label states no rate for this use, so none can be chosen")
                        .mend("state the rate, or choose another product"),
                ));
                return None;
            };
            if product.rate == RateWish::Lowest {
                return Some(range.lowest.unwrap_or(range.highest));
            }
            let most = Bounds::of(product, extent, most_today(product, pieces, shelf, request.date, beside));
            let Some(per_area) = most.per_area else { return Some(range.highest) };
            Some(extent.rate_for(&range.highest, per_area).unwrap_or(range.highest))
        }
    }
}

/// The bounds on what a place may get today.
struct Bounds {
    /// The least of the row's highest rate, the single maximum, and what the caps leave.
    per_area: Option<AmountPerArea>,
    /// The row's highest rate, for rates that come to no area.
    highest: Option<Rate>,
    /// The row's lowest rate, where less is prohibited.
    lowest: Option<Rate>,
}

impl Bounds {
    fn of(product: &Product<'_>, extent: &Extent, most_today: Option<AmountPerArea>) -> Self {
        let range = product.row.rate.value();
        let highest = range.map(|range| range.highest);
        let candidates = [
            highest.and_then(|highest| extent.per_area(&highest)),
            product.row.maximum_single.value().and_then(Rate::per_area),
            most_today,
        ];
        let per_area = candidates.into_iter().flatten().reduce(|held, new| match new.ratio(held) {
            Some(times) if times < 1.0 => new,
            _ => held,
        });
        let lowest = range.filter(|range| range.below_lowest_prohibited).and_then(|range| range.lowest);
        Self { per_area, highest, lowest }
    }
}

fn graduation(request: &VisitRequest, task: &Resolved<'_>, product: Amount) -> Option<Graduation> {
    let of_practice = request.practice.graduation.filter(|mark| mark.step().ratio(product).is_some());
    task.equipment.finest_graduation(product).or(of_practice)
}

fn kind_words(product: Amount) -> &'static str {
    match product {
        Amount::Volume(_) => "liquids",
        Amount::Mass(_) => "weights",
    }
}

fn batches(
    task: &Resolved<'_>,
    extent: &Extent,
    rate: &Rate,
    per_area: Option<AmountPerArea>,
    product: Amount,
    graduation: Graduation,
    bounds: &Bounds,
) -> Result<Option<BatchPlan>, Problems> {
    let nothing = product.ratio(graduation.step()).is_none_or(|times| times <= 0.0);
    if nothing {
        return Ok(None);
    }
    match (extent.spray, task.equipment.tank(), task.equipment.hopper()) {
        (Some(spray), Some(tank), _) => {
            let Some(wanted) = Concentration::new(product, spray) else { return Ok(None) };
            let at_most = bounds
                .per_area
                .zip(extent.spray_per_area())
                .and_then(|(most, output)| Concentration::of_rate(most, output))
                .or_else(|| bounds.highest.and_then(|highest| Concentration::of_dilution(&highest)));
            let at_least = bounds.lowest.and_then(|lowest| Concentration::new(extent.product(&lowest)?, spray));
            let dose = Dose {
                wanted,
                at_most: at_most.map(|most| no_lower(most, wanted)),
                at_least: at_least.map(|least| no_higher(least, wanted)),
            };
            plan_batches(&MixOrder { spray, tank, dose, graduation }).map(Some)
        }
        (None, _, Some(hopper)) => {
            let (Some(AmountPerArea::Mass(wanted)), true) = (per_area, extent.surface.is_positive()) else {
                return single(product, graduation).map(Some);
            };
            let at_most = bounds.per_area.and_then(AmountPerArea::mass).map(|most| most.max(wanted));
            let at_least = bounds
                .lowest
                .and_then(|lowest| extent.per_area(&lowest))
                .and_then(AmountPerArea::mass)
                .map(|least| least.min(wanted));
            let dose = DryDose { wanted, at_most, at_least };
            plan_loads(&LoadOrder { area: extent.surface, hopper, dose, graduation }).map(Some)
        }
        (Some(_), None, _) => Err(Problem::error(
            "visit::no-tank",
            format!("`{}` has no tank, and {rate} goes out in water", task.equipment.id()),
        )
        .mend("name a sprayer for this task")
        .into()),
        (None, ..) => single(product, graduation).map(Some),
    }
}

/// A rate that is refused elsewhere must not also fail to mix: its own verdict says why.
fn no_lower(most: Concentration, wanted: Concentration) -> Concentration {
    let litre = quantity::Volume::new(1.0, VolumeUnit::Litre);
    let times = wanted.in_spray(litre).ratio(most.in_spray(litre)).unwrap_or(1.0);
    if times > 1.0 { wanted } else { most }
}

fn no_higher(least: Concentration, wanted: Concentration) -> Concentration {
    let litre = quantity::Volume::new(1.0, VolumeUnit::Litre);
    let times = wanted.in_spray(litre).ratio(least.in_spray(litre)).unwrap_or(1.0);
    if times < 1.0 { wanted } else { least }
}

/// One load that is weighed or poured at once.
fn single(product: Amount, graduation: Graduation) -> Result<BatchPlan, Problems> {
    match quantity::measured(product, graduation, product.scaled(1.0 + HAIR), None) {
        Ok(measured) => {
            let batch = sprayer::Batch { spray: None, product, measured: measured.amount() };
            Ok(BatchPlan { full_tanks: 0, full: Some(batch), part_filled: vec![batch], graduation })
        }
        Err(quantity::MeasureError::NeedsFinerMeasure(needs)) => {
            Err(needs.into_problem("sprayer::finer-measure").into())
        }
        Err(quantity::MeasureError::DimensionDiffers) => {
            Err(Problem::error("sprayer::dimension", "the measure and the product are not of one kind").into())
        }
    }
}

fn to_batch(batch: sprayer::Batch, extent: &Extent, product: Amount) -> Batch {
    let share = match (batch.spray, extent.spray) {
        (Some(own), Some(all)) => own.ratio(all),
        _ => batch.product.ratio(product).unwrap_or(0.0),
    };
    let share = if share.is_finite() { share } else { 0.0 };
    Batch { spray: batch.spray, product: batch.product, measured: batch.measured, covers: extent.surface * share }
}

fn task_batches(plan: Option<&BatchPlan>, extent: &Extent) -> Vec<Batch> {
    let Some(plan) = plan else { return Vec::new() };
    let product = plan.product();
    plan.batches().map(|batch| to_batch(batch, extent, product)).collect()
}

/// Rounding that takes more product than planned leaves mix over; rounding that takes much less may
/// not control the pest.
///
/// # Source
/// Over 2 % and under 5 %: common practice, no source.
fn rounding(product: Amount, batches: &[Batch], id: &str, verdicts: &mut Vec<Verdict>) {
    let caution = |text: String| {
        Verdict::new("mix::rounding", Status::Caution, Origin::Measured, text)
            .on(id)
            .mend("a finer measure comes closer")
    };
    let measured: f64 = batches.iter().filter_map(|batch| batch.measured.ratio(product)).sum();
    if measured > 1.02 {
        let percent = quantity::significant((measured - 1.0) * 100.0, 2);
        verdicts.push(caution(format!("rounding to the measure takes {percent} % more product than planned")));
    }
    let least = batches.iter().filter_map(|batch| batch.measured.ratio(batch.product)).fold(1.0, f64::min);
    if least < 0.95 {
        let percent = quantity::significant((1.0 - least) * 100.0, 2);
        verdicts.push(caution(format!("rounding to the measure leaves a load {percent} % under the rate planned")));
    }
}
