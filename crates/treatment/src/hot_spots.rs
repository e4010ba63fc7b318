//! Spots instead of the whole lawn: where a finding was counted at places, the smallest ground to treat.

use crate::finding::{judging_of, scouting_counts, scouting_threshold, told_k};
use crate::request::{FindingRequest, Target};
use crate::resolve::Resolved;
use crate::verdict::{Figure, Origin, Status, Verdict};
use crate::visit::{SideBySide, Way, WayProduct};
use crate::zones::TaskGround;
use geometry::Region;
use problem::{Problem, Problems};
use quantity::{Amount, AmountPerArea, Area, AreaUnit};
use scouting::{CountBasis, HotSpotAim, HotSpots, PestDensity, Surface, decide, least_chance, square_for};

/// About so many squares are looked at on a lawn. Common practice, no source.
const SQUARES: u32 = 1_000;

/// The share of the infested ground that may stay untreated where nothing is said. Common practice, no source.
pub const USUAL_SHARE_THAT_MAY_STAY: f64 = 0.1;

/// Where a finding is likely at its threshold or above.
#[derive(Debug, Clone)]
pub(crate) struct Likely {
    surface: Surface,
    threshold: PestDensity,
    may_stay: f64,
    least_chance: f64,
}

impl Likely {
    /// By the places where a finding was counted.
    ///
    /// # Errors
    /// Counts, places or a threshold that are missing; counts at places without a surface ([`Surface::through`]).
    pub(crate) fn by_counts(finding: &FindingRequest, may_stay: f64) -> Result<Self, Problems> {
        let places = finding.survey.as_ref().map(|survey| survey.places.as_slice()).unwrap_or_default();
        let missing = |what: &str| {
            Problem::error("visit::no-hot-spots", format!("the finding `{}` has no {what}", finding.id))
                .expected("a survey with the places of its counts, and a threshold on ground")
                .mend("count at places, or treat by broadcast")
        };
        let (counts, _) = scouting_counts(finding).ok_or_else(|| missing("counts"))??;
        let threshold = scouting_threshold(finding).ok_or_else(|| missing("threshold"))??;
        let (CountBasis::Area(basis), CountBasis::Area(on)) = (counts.basis(), threshold.basis()) else {
            return Err(missing("counts on ground").into());
        };
        let surface = Surface::through(places, basis, counts.dispersion(told_k(finding)).dispersion)?;
        let whole = decide(&counts, &threshold, judging_of(finding))?.stop;
        let threshold = PestDensity::new(threshold.count(), on).ok_or_else(|| missing("threshold on ground"))?;
        Ok(Self { surface, threshold, may_stay, least_chance: least_chance(whole) })
    }

    /// The smallest ground of a lawn; `None` where no square lies on it.
    pub(crate) fn on(&self, lawn: &Region) -> Option<HotSpots> {
        let Self { threshold, may_stay, least_chance, .. } = *self;
        let aim = HotSpotAim { threshold, may_stay, least_chance, square: square_for(lawn, SQUARES) };
        HotSpots::on(lawn, &self.surface, aim).ok()
    }
}

/// Where the findings of tasks are likely, task by task: for tasks that go by hot spots, and with `also_turf` for tasks on
/// the whole lawn that hot spots can be held against.
///
/// # Errors
/// What a task by hot spots lacks, each with its target.
pub(crate) fn likely(tasks: &[Resolved<'_>], also_turf: bool) -> Result<Vec<Option<Likely>>, (usize, Problems)> {
    let of_task = |(index, task): (usize, &Resolved<'_>)| match (&task.request.target, task.main.finding) {
        (Target::HotSpots { may_stay }, Some(finding)) => {
            Likely::by_counts(finding, *may_stay).map(Some).map_err(|problems| (index, problems))
        }
        (Target::HotSpots { .. }, None) => {
            let problem = Problem::error("visit::no-hot-spots", "no finding tells where the hot spots are")
                .expected("a finding with a survey that has the places of its counts")
                .mend("name the finding, or treat by broadcast");
            Err((index, problem.into()))
        }
        (Target::Turf, Some(finding)) if also_turf => Ok(Likely::by_counts(finding, USUAL_SHARE_THAT_MAY_STAY).ok()),
        _ => Ok(None),
    };
    tasks.iter().enumerate().map(of_task).collect()
}

/// Broadcast and spots side by side.
pub(crate) fn side_by_side(
    task: &Resolved<'_>,
    ground: &TaskGround,
    likely: &Likely,
    per_area: &[Option<AmountPerArea>],
) -> Option<SideBySide> {
    let is_by_spots = matches!(task.request.target, Target::HotSpots { .. });
    let (spots, lawn) = match &ground.hot_spots {
        Some((spots, lawn)) => (spots.clone(), *lawn),
        None => (likely.on(&ground.region)?, ground.region.area()),
    };
    let treated = if is_by_spots { ground.region.area() } else { spots.ground.area() };
    Some(SideBySide {
        task: task.request.id.clone(),
        is_by_spots,
        infested: spots.infested,
        stays: spots.stays,
        broadcast: way(task, per_area, lawn),
        spots: way(task, per_area, treated),
    })
}

/// What the products of a task come to on so much ground.
fn way(task: &Resolved<'_>, per_area: &[Option<AmountPerArea>], ground: Area) -> Way {
    let product = |(product, rate): (&crate::resolve::Product<'_>, &Option<AmountPerArea>)| {
        let rate = (*rate)?;
        let held = &product.label.product;
        let ingredient = |one: &label::ActiveIngredient| {
            (one.name.clone(), held.ingredient_per_area(one, rate).map(|per_area| per_area * ground))
        };
        Some(WayProduct {
            label: product.label.id.clone(),
            product: held.name.clone(),
            amount: on(rate, ground),
            active_ingredients: held.active_ingredients.iter().map(ingredient).collect(),
            cost: None,
        })
    };
    Way { ground, products: task.products().zip(per_area).filter_map(product).collect() }
}

fn on(rate: AmountPerArea, ground: Area) -> Amount {
    match rate {
        AmountPerArea::Volume(volume) => Amount::Volume(volume * ground),
        AmountPerArea::Mass(mass) => Amount::Mass(mass * ground),
    }
}

/// With less of the lawn infested than this share, spots would do. Common practice, from memory.
const FEW: f64 = 0.1;

/// What speaks against the way that was chosen.
pub(crate) fn judge(all: &[SideBySide]) -> Vec<Verdict> {
    let mut verdicts = Vec::new();
    for both in all {
        let lawn = both.broadcast.ground;
        let share = both.infested.ratio(lawn);
        if !both.is_by_spots && share < FEW {
            let text = format!(
                "by the places of the counts {} % of the lawn is infested: {} of spots would do instead of {}",
                quantity::significant(share * 100.0, 2),
                both.spots.ground.show(AreaUnit::SquareFoot),
                lawn.show(AreaUnit::SquareFoot),
            );
            let percent = |share: f64| Figure::new(share * 100.0, "%", "%");
            verdicts.push(
                Verdict::new("finding::few-infested", Status::Caution, Origin::Default, text)
                    .comparing(percent(share), percent(FEW))
                    .on(&both.task)
                    .mend("treat the hot spots alone: `target = { hot_spots = \"turf\" }`"),
            );
        }
    }
    verdicts
}
