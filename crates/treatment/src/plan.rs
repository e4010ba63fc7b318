//! Planning one visit: from the request to the visit, every rule held against it.

use crate::amounts::{Planned, plan_task};
use crate::care;
use crate::cautions::cautions;
use crate::directions;
use crate::finding;
use crate::hot_spots::{self, Likely};
use crate::hours::{self, Asked, Dryness, HourLimits, Sourced};
use crate::limits::{FeatureGround, GroundKind, NamedPlaces, Shelf, applications, pieces, recorded_bands};
use crate::measures;
use crate::request::{Overlap, Target, VisitRequest};
use crate::resolve::{Resolved, resolve};
use crate::sensitive::{asks_care, refuses_wind, sectors};
use crate::states;
use crate::verdict::{Origin, Status, Verdict, breach};
use crate::visit::{Hour, ProductTotal, SideBySide, StartWindow, Task, Visit};
use crate::zones::{Claim, KeptDistance, TaskGround, Zoning, is_put_on_paving, zone};
use geometry::{ArcFineness, Region};
use label::{BufferedFeature, Site, Strength};
use problem::{Problem, Problems};
use property::Property;
use quantity::{Duration, Volume};

/// Chords per quarter of a circle in setbacks and bands: 32 understate a band's corner by 0.04 % of
/// the corner, far inside the 0.1 % that the areas are held to.
const CHORDS: u16 = 32;

/// Plans one visit.
///
/// A refusal is no error: the visit comes back with its refusing verdicts, sentence and mend, so
/// that a person can see what would make it lawful.
///
/// # Errors
/// Names in the request that lead nowhere, and tasks that lack what their amounts are reckoned from;
/// all of them at once.
pub fn plan(request: &VisitRequest) -> Result<Visit, Problems> {
    plan_with(request, ArcFineness::per_quarter(CHORDS))
}

/// Plans one visit with arcs of a chosen fineness.
///
/// # Errors
/// As [`plan`].
pub fn plan_with(request: &VisitRequest, arcs: ArcFineness) -> Result<Visit, Problems> {
    let (resolved, without_use) = resolve(request)?;
    let likely = likely_of(request, &resolved, true)?;
    let zoning = zones_of(request, &resolved, &likely, arcs);
    let history = applications(&request.history);
    let shelf = Shelf(&request.labels);
    let band = zoning.grounds.iter().find(|ground| ground.ring.is_some()).map(|ground| &ground.region);
    let bands = recorded_bands(&request.property, history, arcs);
    let places = NamedPlaces { band, bands: &bands, feature: &request.property };

    let mut problems = Problems::new();
    let mut planned: Vec<Planned> = Vec::new();
    for (task, ground) in resolved.iter().zip(&zoning.grounds) {
        let has_ground = !matches!(task.request.target, Target::Places { .. } | Target::EntryPoints { .. });
        let drawn = has_ground.then_some(&ground.region);
        let pieces = pieces(drawn, ground_kind(&task.request.target), history, &places);
        match plan_task(request, task, ground, &pieces, shelf) {
            Ok(plan) => planned.push(plan),
            Err(found) => problems.extend(found),
        }
    }
    if problems.has_errors() {
        return Err(problems);
    }
    measures::overlaps(&resolved, &zoning, &mut planned);
    let side_by_side: Vec<SideBySide> = planned
        .iter()
        .enumerate()
        .filter_map(|(index, plan)| {
            let likely = likely[index].as_ref()?;
            hot_spots::side_by_side(&resolved[index], &zoning.grounds[index], likely, &plan.per_area)
        })
        .collect();

    let mut verdicts: Vec<Verdict> = without_use.into_iter().flat_map(|no_use| no_use.verdicts).collect();
    let tasks: Vec<Task> = planned.into_iter().map(|plan| plan.task).collect();
    let duration = whole_duration(request, &resolved, &tasks);

    let reaches: Vec<Region> = zoning.grounds.iter().map(|ground| ground.reach(arcs)).collect();
    let reached = Region::union_all(&reaches);
    let near = sectors(&request.property, &reached, &request.practice, arcs, refuses_wind);
    let asked: Vec<Asked<'_>> = resolved
        .iter()
        .map(|task| Asked { requirements: &task.requirements, sprayed: task.request.method.is_sprayed() })
        .collect();
    let limits = HourLimits::of(&asked, &request.practice, near);
    let offset = request.forecast.as_ref().map_or(jiff::tz::Offset::UTC, weather::HourlySeries::offset);
    // Without a forecast nobody has said which clock the place keeps.
    let sun = match &request.forecast {
        Some(_) => weather::sun_times(request.date, offset, site(&request.property)?),
        None => weather::SunTimes {
            rise: None,
            set: None,
            ..weather::sun_times(request.date, offset, site(&request.property)?)
        },
    };
    let (hours, windows) = match &request.forecast {
        Some(series) => {
            let hours = hours::judge(series, &limits, &sun);
            let windows = hours::start_windows(&hours, series, duration, &limits.rain_free, request.date);
            (hours, windows)
        }
        None => (Vec::new(), Vec::new()),
    };
    let start_window = windows.first().copied();
    verdicts.extend(weather_verdicts(request, &hours, &windows, &limits.rain_free));
    verdicts.extend(weather_gaps(request, start_window, &limits));
    if asked.iter().any(|task| task.sprayed) {
        let planted = sectors(&request.property, &reached, &request.practice, arcs, asks_care);
        verdicts.extend(hours::drift_cautions(&hours, &windows, &planted));
    }
    verdicts.extend(silent_weather(&resolved, &limits));
    verdicts.extend(states::judge(request, &resolved, &zoning));
    let found = finding::judge(request, &resolved, &zoning.grounds);
    verdicts.extend(found.verdicts);
    verdicts.extend(hot_spots::judge(&side_by_side));
    let mut measures = measures::of_ground(&request.property, &zoning, &resolved, &tasks);
    measures.extend(found.measures);

    let directions = directions::directions(&resolved);
    verdicts.extend(directions::judge(request, &resolved, &directions));
    let first_finish = start_window.map(|window| window.finish_if_first);
    let latest_finish = windows.iter().map(|window| window.finish_if_last).max();
    let labels = labels_used(&resolved);
    let required = || resolved.iter().map(|task| &task.requirements);
    let working = measures::visit_working(request, &tasks, duration);
    Ok(Visit {
        name: request.name.clone(),
        date: request.date,
        offset,
        property: request.property.clone(),
        findings: found.findings,
        applicator: request.applicator.clone(),
        measures,
        zones: zoning.zones,
        setbacks: zoning.setbacks,
        tanks: tasks.iter().map(|task| u32::try_from(task.loads()).unwrap_or(u32::MAX)).sum(),
        spray: tasks.iter().filter_map(|task| task.spray).sum::<Volume>(),
        products: product_totals(&tasks),
        tasks,
        hours,
        sun,
        start_window,
        start_windows: windows,
        duration,
        ppe: care::protective_equipment(&resolved),
        keep_off: care::keep_off(required(), latest_finish),
        irrigation: care::irrigation(required(), first_finish, latest_finish),
        posting: care::posting(required()),
        afterwards: care::afterwards(required()),
        directions,
        cautions: cautions(&labels),
        verdicts,
        working,
        side_by_side,
    })
}

/// Where the findings of the tasks are likely.
fn likely_of(
    request: &VisitRequest,
    resolved: &[Resolved<'_>],
    also_turf: bool,
) -> Result<Vec<Option<Likely>>, Problems> {
    hot_spots::likely(resolved, also_turf).map_err(|(index, found)| {
        let placed = |problem: Problem| task_problem(request, &resolved[index], "target", problem);
        found.into_iter().map(placed).collect()
    })
}

fn ground_kind(target: &Target) -> GroundKind {
    match target {
        Target::Turf | Target::HotSpots { .. } | Target::Ground(_) | Target::Places { site: Site::Turf, .. } => {
            GroundKind::Turf
        }
        Target::Structures { .. }
        | Target::EntryPoints { .. }
        | Target::Places { site: Site::StructurePerimeter | Site::EntryPoint, .. } => GroundKind::Band,
        Target::Features(_) | Target::Places { .. } => GroundKind::Features,
    }
}

/// The zones of a visit: the distances of label and business, the larger of the two.
fn zones_of(request: &VisitRequest, resolved: &[Resolved<'_>], likely: &[Option<Likely>], arcs: ArcFineness) -> Zoning {
    let claims: Vec<Claim<'_>> = resolved
        .iter()
        .zip(likely)
        .map(|(task, likely)| Claim {
            task: &task.request.id,
            target: &task.request.target,
            kept: kept_by(request, task),
            overlap: task.request.overlap,
            on_paving: is_put_on_paving(task.request.method),
            likely: likely.as_ref(),
        })
        .collect();
    zone(&request.property, &claims, arcs)
}

/// Chords per quarter of a circle while somebody still draws: five stay within 4 inches of the arc of a setback of 25 ft,
/// a pixel on the map of a lot, and are a sixth of the corners.
const SKETCH_CHORDS: u16 = 5;

/// The zones alone, as the visit would have them but for coarser arcs: what a map shows while somebody still draws on it.
/// Nothing is measured by them.
///
/// # Errors
/// Names in the request that lead nowhere, and tasks that lack what their ground is told from; all of them at once.
pub fn zones_sketched(request: &VisitRequest) -> Result<Zoning, Problems> {
    zones_with(request, ArcFineness::per_quarter(SKETCH_CHORDS))
}

/// The zones alone, with arcs of a chosen fineness, for benchmarks.
///
/// # Errors
/// As [`zones_sketched`].
pub fn zones_with(request: &VisitRequest, arcs: ArcFineness) -> Result<Zoning, Problems> {
    Ok(zones_of_resolved(request, arcs)?.1)
}

/// The tasks with all that they name, and the zones.
///
/// # Errors
/// As [`zones_sketched`].
pub(crate) fn zones_of_resolved(
    request: &VisitRequest,
    arcs: ArcFineness,
) -> Result<(Vec<Resolved<'_>>, Zoning), Problems> {
    let (resolved, _) = resolve(request)?;
    let likely = likely_of(request, &resolved, false)?;
    let zoning = zones_of(request, &resolved, &likely, arcs);
    Ok((resolved, zoning))
}

fn kept_by(request: &VisitRequest, task: &Resolved<'_>) -> Vec<KeptDistance> {
    let mut kept = Vec::new();
    for feature in BufferedFeature::ALL.iter().copied() {
        let by_label = task
            .requirements
            .buffers
            .iter()
            .filter(|buffer| buffer.value.feature == feature && buffer.clause.strength == Strength::Mandatory)
            .map(|buffer| buffer.value.distance)
            .reduce(quantity::Length::max);
        let by_business = request
            .setbacks
            .iter()
            .filter(|setback| setback.feature == feature)
            .map(|setback| setback.distance)
            .reduce(quantity::Length::max);
        let largest = match (by_label, by_business) {
            (Some(label), Some(business)) if business > label => Some((business, Origin::Business)),
            (Some(label), _) => Some((label, Origin::Label)),
            (None, Some(business)) => Some((business, Origin::Business)),
            (None, None) => None,
        };
        if let Some((distance, origin)) = largest.filter(|(distance, _)| distance.is_positive()) {
            kept.push(KeptDistance { feature, distance, origin });
        }
    }
    kept
}

impl FeatureGround for Property {
    fn ground(&self, id: &str) -> Option<&Region> {
        self.feature(id)?.region()
    }
}

pub(crate) fn site(property: &Property) -> Result<weather::Site, Problems> {
    let origin = property.plane().origin();
    weather::Site::new(origin.latitude(), origin.longitude())
}

/// Tasks one after the other; each machine is set up once.
fn whole_duration(request: &VisitRequest, resolved: &[Resolved<'_>], tasks: &[Task]) -> Duration {
    let working: Duration = tasks.iter().map(|task| task.duration).sum();
    let set_up: Duration = request
        .equipment
        .iter()
        .filter(|equipment| resolved.iter().any(|task| task.equipment.id() == equipment.id()))
        .map(sprayer::Sprayer::set_up_time)
        .sum();
    working + set_up
}

fn labels_used<'a>(resolved: &[Resolved<'a>]) -> Vec<&'a label::Label> {
    let mut labels: Vec<&label::Label> = Vec::new();
    for product in resolved.iter().flat_map(Resolved::products) {
        if !labels.iter().any(|label| label.id == product.label.id) {
            labels.push(product.label);
        }
    }
    labels
}

fn product_totals(tasks: &[Task]) -> Vec<ProductTotal> {
    let mut totals: Vec<ProductTotal> = Vec::new();
    for product in tasks.iter().flat_map(Task::products) {
        let sums = totals.iter_mut().find(|total| total.label == product.label).and_then(|total| {
            let amount = total.amount.checked_add(product.amount)?;
            let measured = total.measured.checked_add(product.measured)?;
            Some((total, amount, measured))
        });
        match sums {
            Some((total, amount, measured)) => {
                total.amount = amount;
                total.measured = measured;
            }
            None => totals.push(ProductTotal {
                label: product.label.clone(),
                product: product.name.clone(),
                amount: product.amount,
                measured: product.measured,
            }),
        }
    }
    totals
}

fn weather_verdicts(
    request: &VisitRequest,
    hours: &[Hour],
    windows: &[StartWindow],
    rain_free: &[Sourced<Duration>],
) -> Vec<Verdict> {
    let mut verdicts = Vec::new();
    let Some(series) = &request.forecast else {
        verdicts.push(
            Verdict::new(
                "hours::no-forecast",
                Status::Caution,
                Origin::Assumed,
                "no forecast was given: no hour is shown to be lawful",
            )
            .mend("add an hourly forecast for the date, and measure on the spot before starting"),
        );
        return verdicts;
    };
    let Some(last) = windows.last() else {
        let open = hours.iter().any(|hour| hour.status != Status::Refused && hour.start.date() == request.date);
        let text = if open {
            "no run of lawful hours on this date is long enough for the whole job and the rain-free time after it"
        } else {
            "no hour of the forecast on this date is within the limits"
        };
        verdicts.push(
            Verdict::new("hours::no-start", Status::Refused, Origin::Label, text)
                .mend("choose another date, split the job, or take larger tanks or a second person"),
        );
        return verdicts;
    };
    verdicts.push(Verdict::new(
        "hours::start",
        Status::Allowed,
        Origin::Label,
        format!(
            "starts {} end within the limits",
            windows
                .iter()
                .map(|window| format!("from {} to {}", clock(window.first), clock(window.last)))
                .collect::<Vec<_>>()
                .join(" and ")
        ),
    ));
    for limit in rain_free {
        let (status, clause) = match &limit.clause {
            Some(clause) => (breach(clause.strength), Some(clause)),
            None => (Status::Caution, None),
        };
        let hours_needed = hours::hours_words(limit.value);
        let verdict = match hours::dry_after(series, last.finish_if_last, limit.value) {
            Dryness::Dry => Verdict::new(
                "hours::rain-free",
                Status::Allowed,
                limit.origin,
                format!("no rain in the forecast for {hours_needed} h after the latest finish"),
            ),
            Dryness::RainAt(rain) => Verdict::new(
                "hours::rain-free",
                status,
                limit.origin,
                format!("rain is forecast from {}, within {hours_needed} h of the latest finish", clock(rain)),
            )
            .mend("start earlier, or choose another date"),
            Dryness::Unknown => Verdict::new(
                "hours::rain-free",
                Status::Caution,
                limit.origin,
                format!("the forecast does not reach {hours_needed} h past the latest finish"),
            )
            .mend("look at a longer forecast before starting"),
        };
        verdicts.push(match clause {
            Some(clause) => verdict.by(clause),
            None => verdict,
        });
    }
    verdicts
}

fn clock(time: jiff::civil::DateTime) -> String {
    format!("{:02}:{:02}", time.hour(), time.minute())
}

/// What the forecast does not tell of the start.
fn weather_gaps(request: &VisitRequest, window: Option<StartWindow>, limits: &HourLimits) -> Vec<Verdict> {
    let mut verdicts = Vec::new();
    let Some(series) = &request.forecast else { return verdicts };
    if let Some(problem) = request.property.clock_problem(series.offset()) {
        let verdict = Verdict::new("hours::clock", Status::Caution, Origin::Measured, problem.found);
        verdicts.push(match problem.mend {
            Some(mend) => verdict.mend(mend),
            None => verdict,
        });
    }
    let (Some(window), Some(clause)) = (window, &limits.not_on_saturated_soil.clause) else { return verdicts };
    let unknown = hours::soil_hours_unknown(series, window.first);
    if unknown > 0 {
        let text = format!(
            "the forecast tells no rain of {unknown} of the 24 hours before the start: the soil is not shown to be drained"
        );
        verdicts.push(
            Verdict::new("hours::soil-unknown", Status::Caution, Origin::Label, text)
                .by(clause)
                .mend("look at the soil before starting: no water stands on it or is pressed out by a foot"),
        );
    }
    verdicts
}

/// Silence of the labels on weather, said once.
fn silent_weather(resolved: &[Resolved<'_>], limits: &HourLimits) -> Vec<Verdict> {
    let mut verdicts = Vec::new();
    let by_default = |limit: &&Sourced<label::WindLimit>| limit.origin == Origin::Default;
    if let Some(limit) = limits.wind.iter().find(by_default) {
        let labels: Vec<&str> = resolved
            .iter()
            .filter(|task| task.request.method.is_sprayed())
            .filter(|task| task.requirements.wind.at_most.silent || task.requirements.wind.at_least.silent)
            .flat_map(Resolved::products)
            .map(|product| product.label.id.as_str())
            .collect();
        let default = match (limit.value.at_least, limit.value.at_most) {
            (Some(least), _) => format!("at least {} mph", speed(least)),
            (_, Some(most)) => format!("at most {} mph", speed(most)),
            _ => "none".to_owned(),
        };
        let mut labels = labels;
        labels.dedup();
        verdicts.push(
            Verdict::new(
                "hours::wind-silent",
                Status::Caution,
                Origin::Default,
                format!(
                    "label `{}` is silent on part of the wind: good practice is used ({default})",
                    labels.join("`, `")
                ),
            )
            .mend("read the label in hand again for a wind limit"),
        );
    }
    verdicts
}

fn speed(speed: quantity::Speed) -> String {
    quantity::significant(speed.to(quantity::SpeedUnit::MilePerHour), 3)
}

/// A problem of a task, placed at its field of the request.
pub(crate) fn task_problem(request: &VisitRequest, task: &Resolved<'_>, field: &str, problem: Problem) -> Problem {
    let index = request.tasks.iter().position(|asked| asked.id == task.request.id).unwrap_or(0);
    problem.at(format!("task[{}].{field}", index + 1))
}

/// Whether any ground is treated twice.
pub(crate) fn is_doubled(ground: &TaskGround, overlap: Overlap) -> bool {
    overlap == Overlap::Unresolved && !ground.doubled.is_empty()
}
