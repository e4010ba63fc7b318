//! Named figures of the ground and of the visit as a whole.

use crate::amounts::Planned;
use crate::dose::{HAIR, area_figure, figure};
use crate::plan::is_doubled;
use crate::request::{Target, VisitRequest};
use crate::resolve::{Product, Resolved};
use crate::verdict::{Figure, Origin, Status, Verdict, Working};
use crate::visit::{Measure, Task};
use crate::working;
use crate::zones::Zoning;
use label::{BufferedFeature, Method};
use property::{Kind, Property};
use quantity::{AmountPerArea, Area, AreaUnit, Duration, DurationUnit, Volume};

fn measure(name: impl Into<String>, words: impl Into<String>, figure: Figure) -> Measure {
    Measure { name: name.into(), words: words.into(), figure, origin: Origin::Measured }
}

fn square_feet(area: Area) -> Figure {
    let unit = AreaUnit::SquareFoot;
    Figure::new(area.to(unit), unit.symbol(), unit.ucum())
}

/// Areas of the ground as the zones split it.
pub(crate) fn of_ground(
    property: &Property,
    zoning: &Zoning,
    resolved: &[Resolved<'_>],
    tasks: &[Task],
) -> Vec<Measure> {
    let mut all = Vec::new();
    let lot = property.boundary().area();
    all.push(measure("property", "the whole property", square_feet(lot)));
    for feature in property.features() {
        if feature.ground().is_some() {
            let name = format!("feature {}", feature.id());
            all.push(measure(name, format!("{} as drawn", feature.label()), square_feet(feature.area())));
        }
    }
    all.push(measure("turf", "all turf", square_feet(zoning.turf)));
    let mut lost_in_all = Area::ZERO;
    for (feature, area) in &zoning.lost {
        let name = match feature {
            BufferedFeature::Water => "turf-lost-to-water-buffer".to_owned(),
            BufferedFeature::FoodPlants => "turf-lost-to-food-setback".to_owned(),
            BufferedFeature::BloomingPlants => "turf-lost-to-bloom-setback".to_owned(),
            other => format!("turf-lost-to-{}", other.word()),
        };
        let words = format!("turf within the distance kept from {}", crate::zones::guarded_words(*feature));
        all.push(measure(name, words, square_feet(*area)));
        lost_in_all += *area;
    }
    all.push(measure("treatable-turf", "turf outside all distances kept", square_feet(zoning.turf - lost_in_all)));
    for ((task, ground), planned) in resolved.iter().zip(&zoning.grounds).zip(tasks) {
        match task.request.target {
            Target::Structures { .. } => {
                if let Some(ring) = &ground.ring {
                    all.push(measure("band-ring", "ring round the structures", square_feet(ring.area())));
                    let paving = property.of_kind(Kind::Paved).filter_map(|feature| feature.region());
                    let on_paving: Area = paving.map(|paving| ring.intersection(paving).area()).sum();
                    all.push(measure("band-on-paving", "part of the ring on paving", square_feet(on_paving)));
                }
                all.push(measure("band", "band on the ground", square_feet(planned.ground)));
                all.push(measure("wall", "wall less openings", square_feet(planned.wall)));
                all.push(measure("perimeter", "band and wall", square_feet(planned.ground + planned.wall)));
            }
            Target::HotSpots { .. } => {
                if let Some((spots, lawn)) = &ground.hot_spots {
                    all.push(measure("hot-spots", "hot spots treated", square_feet(planned.ground)));
                    all.push(measure("hot-spots-of", "lawn that they were looked for on", square_feet(*lawn)));
                    all.push(measure("infested", "lawn expected to be infested", square_feet(spots.infested)));
                    let words = "infested lawn expected to stay untreated";
                    all.push(measure("infested-untreated", words, square_feet(spots.stays)));
                }
            }
            Target::Turf if task.request.method == Method::Broadcast => {
                all.push(measure("broadcast", "turf treated by broadcast", square_feet(planned.ground)));
            }
            _ => {}
        }
    }
    let accounted: Area = zoning.zones.iter().map(|zone| zone.area).sum();
    all.push(measure("not-accounted", "property less the sum of its zones", square_feet(lot - accounted)));
    all
}

/// What two tasks would put, or do put, on the same ground.
///
/// Where the overlap is resolved the sum is only shown, as a figure; where it is left, it is held
/// against the single maximum of the ground that gets both.
pub(crate) fn overlaps(resolved: &[Resolved<'_>], zoning: &Zoning, planned: &mut [Planned]) {
    for later in 0..planned.len() {
        for earlier in 0..later {
            let meets = is_doubled(&zoning.grounds[later], resolved[later].request.overlap)
                && zoning.grounds[later].doubled.iter().any(|(id, _)| *id == planned[earlier].task.id);
            if meets {
                let verdicts = different_products(&resolved[earlier], &resolved[later]);
                planned[later].task.verdicts.extend(verdicts);
            }
            for (of_first, first) in resolved[earlier].products().enumerate() {
                let same = resolved[later].products().position(|second| second.label.id == first.label.id);
                let Some(of_second) = same else { continue };
                let both = planned[earlier].per_area[of_first].zip(planned[later].per_area[of_second]);
                let Some(sum) = both.and_then(|(first, second)| first.checked_add(second)) else { continue };
                would_overlap(resolved, planned, (earlier, later), (of_first, sum));
                if meets {
                    let maximums = [first, resolved[later].products().nth(of_second).unwrap_or(first)];
                    let verdict = does_overlap(maximums, planned, (earlier, later), sum);
                    planned[later].task.verdicts.extend(verdict);
                }
            }
        }
    }
}

fn would_overlap(
    resolved: &[Resolved<'_>],
    planned: &mut [Planned],
    (earlier, later): (usize, usize),
    (product, sum): (usize, AmountPerArea),
) {
    let would_meet = matches!(resolved[earlier].request.target, Target::Structures { .. })
        && matches!(resolved[later].request.target, Target::Turf);
    if !would_meet {
        return;
    }
    let words = format!("what the band would get if `{}` ran over it too", planned[later].task.id);
    let task = &mut planned[earlier].task;
    let product = if product == 0 { Some(&mut task.product) } else { task.partners.get_mut(product - 1) };
    if let Some(product) = product {
        let figure = area_figure(sum, &product.rate);
        let origin = Origin::Measured;
        product.measures.push(Measure { name: "if-overlapped".to_owned(), words, figure, origin });
    }
}

/// Ground that two products lie on: what they hold of one active ingredient is not proved to be within
/// any label's cap.
fn different_products(first: &Resolved<'_>, second: &Resolved<'_>) -> Vec<Verdict> {
    let mut verdicts = Vec::new();
    for one in first.products() {
        for other in second.products().filter(|other| other.label.id != one.label.id) {
            let holds = |name: &str| {
                let mut own = other.label.product.active_ingredients.iter();
                own.any(|ingredient| crate::limits::same_name(&ingredient.name, name))
            };
            let shared = one.label.product.active_ingredients.iter().find(|ingredient| holds(&ingredient.name));
            let names = format!("{} and {}", one.label.product.name, other.label.product.name);
            let (status, text) = match shared {
                Some(ingredient) => (
                    Status::Refused,
                    format!(
                        "ground treated by both `{}` and `{}` would get {} from {names}",
                        first.request.id, second.request.id, ingredient.name
                    ),
                ),
                None => (
                    Status::Caution,
                    format!(
                        "ground is treated by both `{}` and `{}`, with {names}",
                        first.request.id, second.request.id
                    ),
                ),
            };
            verdicts.push(
                Verdict::new("ground::treated-twice", status, Origin::Label, text)
                    .on(&second.request.id)
                    .mend("cut the overlap: let the first task have the ground, or mix the two in one tank"),
            );
        }
    }
    verdicts
}

/// The sum stands on ground of the first task's site: its own maximum is the one to keep.
fn does_overlap(
    products: [&Product<'_>; 2],
    planned: &[Planned],
    (earlier, later): (usize, usize),
    sum: AmountPerArea,
) -> Option<Verdict> {
    let [first, second] = products.map(|product| product.row.maximum_single.value().copied());
    let most = first.or(second)?;
    let over = sum.ratio(most.per_area()?).is_none_or(|times| times > 1.0 + HAIR);
    let status = if over { Status::Refused } else { Status::Caution };
    let shown = area_figure(sum, &most);
    let text = format!(
        "ground treated by both `{}` and `{}` would get {} in one day",
        planned[earlier].task.id,
        planned[later].task.id,
        shown.show()
    );
    let verdict = Verdict::new("ground::treated-twice", status, Origin::Label, text)
        .comparing(shown, figure(&most))
        .on(planned[later].task.id.clone())
        .mend("cut the overlap: let the first task have the ground");
    Some(match products[0].row.maximum_single.clause() {
        Some(clause) => verdict.by(clause),
        None => verdict,
    })
}

/// The working of the figures of the visit as a whole.
pub(crate) fn visit_working(request: &VisitRequest, tasks: &[Task], duration: Duration) -> Vec<Working> {
    let minutes = |duration: Duration| {
        let unit = DurationUnit::Minute;
        Figure::new(duration.to(unit), unit.symbol(), unit.ucum())
    };
    let mut inputs = Vec::new();
    let spray: Volume = tasks.iter().filter_map(|task| task.spray).sum();
    if spray.is_positive() {
        let metric = tasks.iter().all(|task| working::is_metric(&task.product.rate));
        inputs.push(("spray".to_owned(), working::spray(spray, metric), Origin::Measured));
    }
    let tanks: usize = tasks.iter().map(Task::loads).sum();
    inputs.push(("tanks and loads".to_owned(), Figure::count(tanks as f64), Origin::Measured));
    for equipment in &request.equipment {
        if !tasks.iter().any(|task| task.equipment == equipment.id()) {
            continue;
        }
        if let Some(flow) = equipment.flow() {
            let unit = quantity::FlowUnit::UsGallonPerMinute;
            let flow = Figure::new(flow.to(unit), unit.symbol(), unit.ucum());
            inputs.push((format!("flow of {}", equipment.id()), flow, Origin::Measured));
        }
        inputs.push((format!("refill of {}", equipment.id()), minutes(equipment.refill_time()), Origin::Business));
        inputs.push((format!("set-up of {}", equipment.id()), minutes(equipment.set_up_time()), Origin::Business));
    }
    vec![Working {
        figure: "duration".to_owned(),
        formula: "spray / flow + tanks × refill + set-up".to_owned(),
        inputs,
        result: minutes(duration),
        rounding: None,
    }]
}
