//! The amounts of one task: surface, spray, product, tanks, time, and the verdicts on them.

use crate::dose::{Extent, HAIR, area_figure, figure, judge_carrier, judge_range, judge_single};
use crate::limits::{Piece, Shelf, days_between};
use crate::plan::task_problem;
use crate::remaining::{Case, Today, judge as judge_windows, most_today};
use crate::request::{RateWish, Target, VisitRequest};
use crate::resolve::Resolved;
use crate::verdict::{Figure, Origin, Status, Verdict};
use crate::visit::{Batch, Measure, Task};
use crate::working;
use crate::zones::TaskGround;
use geometry::Region;
use label::Method;
use problem::{Problem, Problems};
use quantity::{Amount, AmountPerArea, AmountUnit, Area, Basis, Duration, Graduation, Length, Rate, VolumeUnit};
use sprayer::{
    BatchPlan, CalibrationRules, Concentration, Dose, DryDose, LoadOrder, MixOrder, MixPartner, Mixable, plan_batches,
    plan_loads,
};

/// A planned task, with what the visit as a whole still needs of it.
#[derive(Debug, Clone)]
pub(crate) struct Planned {
    /// The task.
    pub task: Task,
    /// What it puts on a place, per area.
    pub per_area: Option<AmountPerArea>,
}

/// Plans the amounts of one task.
///
/// # Errors
/// What the amounts are reckoned from and is missing: a calibration, a flow, the spray of a dilution,
/// the graduation of a measure.
pub(crate) fn plan_task(
    request: &VisitRequest,
    task: &Resolved<'_>,
    ground: &TaskGround,
    pieces: &[Piece<'_>],
    shelf: Shelf<'_>,
) -> Result<Planned, Problems> {
    let id = &task.request.id;
    let mut problems = Problems::new();
    let mut verdicts = task.verdicts.clone();
    let dry = !task.request.method.is_sprayed();

    let treated =
        Region::union_all(std::iter::once(&ground.region).chain(ground.doubled.iter().map(|(_, region)| region)));
    let ground_area = treated.area();
    let (wall, wall_length) = walls(request, task, ground);
    let surface = ground_area + wall;
    let places = match task.request.target {
        Target::Places { count } => count,
        _ => 0,
    };
    let calibration = calibration(request, task, &mut verdicts, &mut problems);
    let output = calibration.and_then(sprayer::Calibration::spray_output);
    let spray = if dry { None } else { task.request.spray.or_else(|| output.map(|output| output * surface)) };
    let extent = Extent { surface, ground: ground_area, wall_length, places, spray };

    let Some(rate) = chosen_rate(request, task, &extent, pieces, shelf, &mut verdicts, &mut problems) else {
        return Err(problems);
    };
    verdicts.extend(judge_range(&rate, task.row, id));
    let per_area = extent.per_area(&rate);
    if let Some(per_area) = per_area {
        verdicts.extend(judge_single(per_area, task.row, id, id));
    } else if task.row.maximum_single.value().is_some() && matches!(rate.basis(), Basis::SprayVolume(..)) {
        verdicts.push(
            Verdict::new(
                "rate::maximum-single",
                Status::Caution,
                Origin::Assumed,
                "the label caps the amount per area, and no area is mapped for this task",
            )
            .on(id)
            .mend("draw the places on the map"),
        );
    }
    verdicts.extend(judge_carrier(&task.requirements, &extent, id));
    let Some(product) = extent.product(&rate) else {
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
    let Some(graduation) = graduation(request, task, product) else {
        problems.push(task_problem(
            request,
            task,
            "equipment",
            Problem::error(
                "visit::no-graduation",
                format!("no measure for {} is named for task `{id}`", kind_words(product)),
            )
            .expected("the smallest mark of a measuring cup or scale, such as `0.2 mL` or `1 g`")
            .mend("add the measure's smallest mark to the equipment's `graduations`"),
        ));
        return Err(problems);
    };
    let most_today = most_today(task, pieces, shelf, request.date);
    let bounds = Bounds::of(task, &extent, most_today);
    let batches = match batches(task, &extent, &rate, per_area, product, graduation, &bounds) {
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
    let listed = task_batches(batches.as_ref(), &extent, surface);
    let full_load = batches.as_ref().and_then(|plan| plan.full).map(|full| to_batch(full, spray, surface, product));
    let share = batches.as_ref().and_then(|plan| plan.full.or(plan.last)).map_or(1.0, |batch| batch.measured_share());
    let highest_share = listed.iter().filter_map(|batch| batch.measured.ratio(batch.product)).fold(0.0, f64::max);
    let today = per_area.map(|planned| Today { planned, highest: planned.scaled(highest_share) });
    over_mixed(product, &listed, id, &mut verdicts);

    let case = Case { task, rate: &rate, extent: &extent, today, pieces, shelf, date: request.date };
    let limits = judge_windows(&case, &request.history);
    verdicts.extend(limits.verdicts);
    let tanks = u32::try_from(listed.len()).unwrap_or(u32::MAX);
    let duration = duration(request, task, &extent, tanks, &mut verdicts, &mut problems);
    if problems.has_errors() {
        return Err(problems);
    }
    let measured_amount = batches.as_ref().map_or_else(|| product.scaled(0.0), BatchPlan::measured);
    let mut measures = limits.measures;
    measures.extend(rate_measures(task, &extent, &rate, per_area, limits.most_today));
    let area_rate = match rate.basis() {
        Basis::Area(..) => None,
        _ => {
            per_area.and_then(|per_area| task.row.maximum_single.value().and_then(|most| most.like_per_area(per_area)))
        }
    };
    let planned = Task {
        id: id.clone(),
        method: task.request.method,
        pest: task.pest.to_owned(),
        label: task.label.id.clone(),
        product: task.label.product.name.clone(),
        registration_number: task.label.product.registration_number.clone(),
        use_row: task.row.id.clone(),
        ground: ground_area,
        wall,
        rate,
        rate_origin: match task.request.rate {
            RateWish::Stated(_) => Origin::Business,
            RateWish::Lowest | RateWish::HighestLawful => Origin::Label,
        },
        rate_after_rounding: rate.with_value((rate.value() * share).max(0.0)),
        area_rate,
        product_amount: product,
        measured_amount,
        spray,
        output,
        output_variation: calibration.and_then(sprayer::Calibration::variation),
        full_load,
        batches: listed,
        mixing: mixing(task, dry),
        equipment: task.equipment.id().to_owned(),
        graduation: graduation.step(),
        duration,
        remaining: limits.remaining,
        days_since_previous: limits.days_since_previous,
        earliest_repeat: limits.earliest_repeat,
        working: working::of_task(task, &extent, &rate, product, output, calibration, batches.as_ref()),
        verdicts,
        measures,
    };
    Ok(Planned { task: planned, per_area })
}

/// Wall treated and its length.
fn walls(request: &VisitRequest, task: &Resolved<'_>, ground: &TaskGround) -> (Area, Length) {
    let Target::Structures { wall_height, .. } = &task.request.target else { return (Area::ZERO, Length::ZERO) };
    let structures = ground.structures.iter().filter_map(|id| request.property.feature(id));
    let (mut wall, mut length) = (Area::ZERO, Length::ZERO);
    for structure in structures {
        if let Some(strip) = property::structure_wall_area(structure, *wall_height) {
            wall += strip.net();
            length += structure.perimeter();
        }
    }
    (wall, length)
}

/// The calibration that a task stands on, with what speaks against it.
fn calibration<'a>(
    request: &VisitRequest,
    task: &Resolved<'a>,
    verdicts: &mut Vec<Verdict>,
    problems: &mut Problems,
) -> Option<&'a sprayer::Calibration> {
    let id = &task.request.id;
    let wanted = task.request.calibration.as_deref();
    let needs_one = task.request.method.is_sprayed() && task.request.spray.is_none();
    let calibration = match task.equipment.calibration(wanted) {
        Ok(calibration) => calibration,
        Err(found) => {
            if needs_one || wanted.is_some() {
                problems.extend(found.into_iter().map(|mut problem| {
                    problem.place.path = None;
                    task_problem(request, task, "calibration", problem)
                }));
            } else {
                verdicts.push(
                    Verdict::new(
                        "calibration::none",
                        Status::Caution,
                        Origin::Assumed,
                        "no calibration stands behind this task: what goes on the ground is not proved",
                    )
                    .on(id)
                    .mend("calibrate on a test area with this person and this equipment"),
                );
            }
            return None;
        }
    };
    let rules = CalibrationRules {
        highest_variation: request.practice.calibration_variation,
        valid_days: request.practice.calibration_valid_days,
        fewest_runs: 3,
    };
    let person = request.applicator.as_ref().map(|applicator| applicator.name.as_str());
    for found in calibration.findings(&rules, Some(request.date), person) {
        let status = if found.refuses() { Status::Refused } else { Status::Caution };
        let problem = found.problem(calibration.name());
        let verdict = Verdict::new(found.code(), status, Origin::Measured, problem.found.clone()).on(id);
        verdicts.push(match problem.mend {
            Some(mend) => verdict.mend(mend),
            None => verdict,
        });
    }
    if let Some(date) = calibration.record().date {
        let age = days_between(date, request.date);
        verdicts.push(
            Verdict::new(
                "calibration::used",
                Status::Allowed,
                Origin::Measured,
                format!("calibration `{}` of {date}, {age} days before the visit", calibration.name()),
            )
            .on(id),
        );
    }
    Some(calibration)
}

fn chosen_rate(
    request: &VisitRequest,
    task: &Resolved<'_>,
    extent: &Extent,
    pieces: &[Piece<'_>],
    shelf: Shelf<'_>,
    verdicts: &mut Vec<Verdict>,
    problems: &mut Problems,
) -> Option<Rate> {
    let range = task.row.rate.value();
    match task.request.rate {
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
                            "{asked} was asked, and the label's rate has another basis: it comes to {}",
                            converted.show()
                        ),
                    )
                    .by(crate::dose::rate_clause(task.row))
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
            if task.request.rate == RateWish::Lowest {
                return Some(range.lowest.unwrap_or(range.highest));
            }
            let most = Bounds::of(task, extent, most_today(task, pieces, shelf, request.date));
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
    fn of(task: &Resolved<'_>, extent: &Extent, most_today: Option<AmountPerArea>) -> Self {
        let range = task.row.rate.value();
        let highest = range.map(|range| range.highest);
        let candidates = [
            highest.and_then(|highest| extent.per_area(&highest)),
            task.row.maximum_single.value().and_then(Rate::per_area),
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
            Ok(BatchPlan { full_tanks: 0, full: Some(batch), last: Some(batch), graduation })
        }
        Err(quantity::MeasureError::NeedsFinerMeasure(needs)) => {
            Err(needs.into_problem("sprayer::finer-measure").into())
        }
        Err(quantity::MeasureError::DimensionDiffers) => {
            Err(Problem::error("sprayer::dimension", "the measure and the product are not of one kind").into())
        }
    }
}

fn to_batch(batch: sprayer::Batch, spray: Option<quantity::Volume>, surface: Area, product: Amount) -> Batch {
    let share = match (batch.spray, spray) {
        (Some(own), Some(all)) => own.ratio(all),
        _ => batch.product.ratio(product).unwrap_or(0.0),
    };
    let share = if share.is_finite() { share } else { 0.0 };
    Batch { spray: batch.spray, product: batch.product, measured: batch.measured, covers: surface * share }
}

fn task_batches(plan: Option<&BatchPlan>, extent: &Extent, surface: Area) -> Vec<Batch> {
    let Some(plan) = plan else { return Vec::new() };
    let product = plan.product();
    plan.batches().map(|batch| to_batch(batch, extent.spray, surface, product)).collect()
}

/// More mix than needed is left over in the tank.
fn over_mixed(product: Amount, batches: &[Batch], id: &str, verdicts: &mut Vec<Verdict>) {
    let measured: f64 = batches.iter().filter_map(|batch| batch.measured.ratio(product)).sum();
    if measured > 1.02 {
        let percent = quantity::significant((measured - 1.0) * 100.0, 2);
        verdicts.push(
            Verdict::new(
                "mix::rounding",
                Status::Caution,
                Origin::Measured,
                format!("rounding to the measure takes {percent} % more product than planned"),
            )
            .on(id)
            .mend("a finer measure comes closer"),
        );
    }
}

fn duration(
    request: &VisitRequest,
    task: &Resolved<'_>,
    extent: &Extent,
    tanks: u32,
    verdicts: &mut Vec<Verdict>,
    problems: &mut Problems,
) -> Duration {
    let refill = task.equipment.refill_time();
    if let Some(spray) = extent.spray {
        match task.equipment.flow().and_then(|flow| sprayer::job_duration(spray, flow, tanks, refill, Duration::ZERO)) {
            Some(duration) => return duration,
            None => problems.push(task_problem(
                request,
                task,
                "equipment",
                Problem::error(
                    "visit::no-flow",
                    format!("`{}` states no flow, so the job's time is not known", task.equipment.id()),
                )
                .expected("the flow while spraying, such as `0.3 gal/min`")
                .mend("catch the spray for a minute, measure it, and add `flow` to the equipment"),
            )),
        }
        return Duration::ZERO;
    }
    let pace = task.equipment.details().pace;
    let walked =
        pace.and_then(|pace| sprayer::spreading_duration(extent.surface, pace, 1, tanks, refill, Duration::ZERO));
    walked.unwrap_or_else(|| {
        verdicts.push(
            Verdict::new(
                "hours::duration-unknown",
                Status::Caution,
                Origin::Assumed,
                "the walking pace is not known: only refills are counted in the job's time",
            )
            .on(&task.request.id)
            .mend("add the pace (speed and swath) to the equipment"),
        );
        refill * f64::from(tanks)
    })
}

fn mixing(task: &Resolved<'_>, dry: bool) -> Vec<sprayer::MixStep> {
    if dry || task.label.product.formulation.is_applied_dry() {
        return Vec::new();
    }
    let words: Vec<String> = task.requirements.mixing_order.iter().map(|order| order.value.clone()).collect();
    let partner = MixPartner {
        name: task.label.product.name.clone(),
        is: Mixable::Product(task.label.product.formulation),
        label_words: (!words.is_empty()).then(|| words.join(" ")),
        label_place: None,
    };
    sprayer::mixing_steps(&[partner]).unwrap_or_default()
}

fn rate_measures(
    task: &Resolved<'_>,
    extent: &Extent,
    rate: &Rate,
    per_area: Option<AmountPerArea>,
    most_today: Option<AmountPerArea>,
) -> Vec<Measure> {
    let mut measures = Vec::new();
    let mut add = |name: &str, words: &str, figure: Figure| {
        measures.push(Measure { name: name.to_owned(), words: words.to_owned(), figure, origin: Origin::Label });
    };
    let bounds = Bounds::of(task, extent, most_today);
    if let Some(most) = bounds.per_area {
        add(
            "highest-lawful-rate-today",
            "highest rate that label, caps and history allow today",
            area_figure(most, rate),
        );
    }
    let dilution = matches!(rate.basis(), Basis::SprayVolume(..));
    if dilution && let Some(range) = task.row.rate.value() {
        let single = task.row.maximum_single.value();
        if let Some(ceiling) = single.and_then(|single| extent.rate_for(&range.highest, single.per_area()?)) {
            add("dilution-ceiling", "dilution at which the area maximum is reached", figure(&ceiling));
        }
        if let (Some(top), Some(single)) = (extent.per_area(&range.highest), single) {
            add(
                "area-rate-at-top-dilution",
                "what the label's highest dilution would put on the area",
                area_figure(top, single),
            );
        }
        if let (Some(per_area), Some(single)) = (per_area, single) {
            add("area-rate", "what today's dilution puts on the area", area_figure(per_area, single));
        }
    }
    active_ingredient(task, rate, per_area, &mut add);
    if task.request.method == Method::GranularBroadcast {
        // Half the rate in two directions at right angles evens out the spread.
        add(
            "half-rate",
            "spreader setting for two passes at right angles",
            figure(&rate.with_value(rate.value() / 2.0)),
        );
    }
    measures
}

fn active_ingredient(
    task: &Resolved<'_>,
    rate: &Rate,
    per_area: Option<AmountPerArea>,
    add: &mut impl FnMut(&str, &str, Figure),
) {
    use quantity::MassPerAreaUnit::{KilogramPerHectare, PoundPerAcre};
    let metric = match rate.unit() {
        AmountUnit::Volume(unit) => unit.system() == quantity::System::Metric,
        AmountUnit::Mass(unit) => unit.system() == quantity::System::Metric,
    };
    let unit = if metric { KilogramPerHectare } else { PoundPerAcre };
    for ingredient in &task.label.product.active_ingredients {
        let Some(per_area) = per_area else { continue };
        let Some(mass) = quantity::active_ingredient_per_area(per_area, ingredient.content) else { continue };
        let name = &ingredient.name;
        add(
            "active-ingredient-per-area",
            &format!("{name} put down by this task"),
            Figure::new(mass.to(unit), unit.symbol(), unit.ucum()),
        );
        let one = task.row.maximum_single.value().copied().filter(|_| rate.per_area().is_none()).unwrap_or(*rate);
        let Some(one) = one.with_value(1.0).per_area() else { continue };
        if let Some(mass) = quantity::active_ingredient_per_area(one, ingredient.content) {
            add(
                "active-ingredient-of-one",
                &format!("{name} in one unit of the rate per area"),
                Figure::new(mass.to(unit), unit.symbol(), unit.ucum()),
            );
        }
    }
}
