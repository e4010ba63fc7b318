//! The amounts of one task: surface, spray, products, tanks, time, and the verdicts on them.

use crate::dose::{Extent, judge_carrier};
use crate::limits::{Beside, Piece, Shelf, days_between};
use crate::plan::task_problem;
use crate::product_amounts::{Reckoned, chosen_rate, plan_product};
use crate::request::{RateWish, Target, VisitRequest};
use crate::resolve::{Product, Resolved};
use crate::verdict::{Origin, Status, Verdict};
use crate::visit::{Task, TaskProduct};
use crate::working;
use crate::zones::TaskGround;
use geometry::Region;
use problem::{Problem, Problems};
use quantity::{AmountPerArea, Area, Duration, Length, Rate, counted};
use sprayer::{CalibrationRules, MixPartner, Mixable};

/// A planned task, with what the visit as a whole still needs of it.
#[derive(Debug, Clone)]
pub(crate) struct Planned {
    /// The task.
    pub task: Task,
    /// What each of its products puts on a place, per area, in the task's order of products.
    pub per_area: Vec<Option<AmountPerArea>>,
}

/// One task with the ground on which its amounts are reckoned.
#[derive(Debug, Clone, Copy)]
pub(crate) struct OnGround<'a> {
    /// The request.
    pub request: &'a VisitRequest,
    /// The task.
    pub task: &'a Resolved<'a>,
    /// What its amounts are reckoned on.
    pub extent: &'a Extent,
    /// Its ground by what was applied there before.
    pub pieces: &'a [Piece<'a>],
    /// The labels by which the past is understood.
    pub shelf: Shelf<'a>,
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
        Target::Places { count, .. } => count,
        _ => 0,
    };
    let calibration = calibration(request, task, &mut verdicts, &mut problems);
    let output = calibration.and_then(sprayer::Calibration::spray_output);
    let spray = if dry { None } else { task.request.spray.or_else(|| output.map(|output| output * surface)) };
    let extent = Extent { surface, ground: ground_area, wall_length, places, spray };
    let case = OnGround { request, task, extent: &extent, pieces, shelf };

    let rates = rates(&case, &mut verdicts, &mut problems);
    verdicts.extend(judge_carrier(&task.requirements, &extent, id));
    let mut reckoned = Vec::new();
    for (index, (product, rate)) in task.products().zip(&rates).enumerate() {
        let Some(rate) = rate else { continue };
        let beside = beside(task, &rates, &extent, index);
        match plan_product(&case, product, rate, &beside) {
            Ok(plan) => reckoned.push(plan),
            Err(found) => problems.extend(found),
        }
    }
    if problems.has_errors() {
        return Err(problems);
    }
    let loads = reckoned.first().map_or(0, |plan| plan.product.batches.len());
    let tanks = u32::try_from(loads).unwrap_or(u32::MAX);
    let duration = duration(request, task, &extent, tanks, &mut verdicts, &mut problems);
    if problems.has_errors() {
        return Err(problems);
    }
    let working = working::of_task(task, &extent, &reckoned, output, calibration);
    let per_area = reckoned.iter().map(|plan| plan.per_area).collect();
    let mut products = Vec::new();
    for Reckoned { product, verdicts: own, .. } in reckoned {
        verdicts.extend(own);
        products.push(product);
    }
    let mut products = products.into_iter();
    let Some(product) = products.next() else { return Err(problems) };
    let planned = Task {
        id: id.clone(),
        finding: task.main.finding.map(|finding| finding.id.clone()),
        method: task.request.method,
        product,
        partners: products.collect::<Vec<TaskProduct>>(),
        ground: ground_area,
        wall,
        spray,
        output,
        output_variation: calibration.and_then(sprayer::Calibration::variation),
        mixing: mixing(task, dry),
        equipment: task.equipment.id().to_owned(),
        duration,
        working,
        verdicts,
    };
    Ok(Planned { task: planned, per_area })
}

/// The rate of each product. What is asked in figures comes first, so that a "highest lawful" of the
/// same tank knows what lies beside it.
fn rates(case: &OnGround<'_>, verdicts: &mut Vec<Verdict>, problems: &mut Problems) -> Vec<Option<Rate>> {
    let products: Vec<&Product<'_>> = case.task.products().collect();
    let mut rates: Vec<Option<Rate>> = vec![None; products.len()];
    for highest in [false, true] {
        for (index, product) in products.iter().enumerate() {
            if (product.rate == RateWish::HighestLawful) == highest {
                let beside = beside(case.task, &rates, case.extent, index);
                rates[index] = chosen_rate(case, product, &beside, verdicts, problems);
            }
        }
    }
    rates
}

/// What the other products of the tank put on the same ground, as far as their rates are known.
fn beside(task: &Resolved<'_>, rates: &[Option<Rate>], extent: &Extent, index: usize) -> Vec<Beside> {
    let others = task.products().zip(rates).enumerate().filter(|(other, _)| *other != index);
    others
        .filter_map(|(_, (product, rate))| {
            let per_area = extent.per_area(rate.as_ref()?);
            Some(Beside::of(product.label, per_area))
        })
        .collect()
}

/// Wall or entry points treated, and their length.
///
/// Where part of a wall is kept free, its openings count in proportion to the part that is treated,
/// since a map does not say where in the wall they are. An entry point is its line times the width, or,
/// drawn as a point, a square of that side.
fn walls(request: &VisitRequest, task: &Resolved<'_>, ground: &TaskGround) -> (Area, Length) {
    let (mut surface, mut length) = (Area::ZERO, Length::ZERO);
    for line in &ground.lines {
        let Some(feature) = request.property.feature(&line.feature) else { continue };
        match &task.request.target {
            Target::Structures { wall_height, .. } => {
                let Some(strip) = property::structure_wall_area(feature, *wall_height) else { continue };
                surface += strip.net() * line.length().ratio(feature.perimeter());
                length += line.length();
            }
            Target::EntryPoints { width, .. } => {
                let along = line.length_or(*width);
                surface += along * *width;
                length += along;
            }
            _ => {}
        }
    }
    (surface, length)
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
    for found in task.equipment.findings(calibration, &rules, Some(request.date), person) {
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
                format!(
                    "calibration `{}` of {date}, {} before the visit",
                    calibration.name(),
                    counted(age, "day", "days")
                ),
            )
            .on(id),
        );
    }
    Some(calibration)
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
    if dry || task.products().any(|product| product.label.product.formulation.is_applied_dry()) {
        return Vec::new();
    }
    let partners: Vec<MixPartner> = task
        .products()
        .map(|product| {
            let words: Vec<String> =
                product.requirements.mixing_order.iter().map(|order| order.value.clone()).collect();
            MixPartner {
                name: product.label.product.name.clone(),
                is: Mixable::Product(product.label.product.formulation),
                label_words: (!words.is_empty()).then(|| words.join(" ")),
                label_place: None,
            }
        })
        .collect();
    sprayer::mixing_steps(&partners).unwrap_or_default()
}
