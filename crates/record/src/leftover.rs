//! Where a leftover may lawfully go. What says so is the planning of a visit itself, with today's record in
//! its past: every rule of label, caps, intervals and setbacks holds for a leftover as for any other mix.

use crate::application::ApplicationRecord;
use crate::ground::touch;
use crate::history::history;
use crate::task::TaskRecord;
use geometry::Region;
use label::{Label, Method, Site, UseRow};
use property::{Feature, Kind};
use quantity::{Amount, Area, Length, LengthUnit, Rate, Volume, VolumePerArea};
use treatment::{
    Application, History, Overlap, PartnerRequest, RateWish, Status, Target, TaskRequest, Verdict, VisitRequest, plan,
};

/// Mix that is left in the tank.
#[derive(Debug, Clone, PartialEq)]
pub struct LeftoverMix {
    /// The task for which it was mixed.
    pub task: String,
    /// Spray left.
    pub spray: Volume,
    /// Product in it, in the order of the task's products.
    pub products: Vec<Amount>,
}

/// A place that the labels allow for a leftover.
#[derive(Debug, Clone, PartialEq)]
pub struct LeftoverPlace {
    /// The place in words: `turf not yet treated today`, `hedge`.
    pub place: String,
    /// What it is.
    pub site: Site,
    /// How it is applied there.
    pub method: Method,
    /// The use row of the first product's label.
    pub use_row: String,
    /// Ground and wall that may be treated.
    pub allowed: Area,
    /// Ground and wall that the leftover covers there.
    pub needed: Area,
    /// How much of the leftover may go there.
    pub spray: Volume,
    /// Rate of each product, as its label has it.
    pub rates: Vec<(String, Rate)>,
    /// What a person has to look at before.
    pub cautions: Vec<Verdict>,
}

impl LeftoverPlace {
    /// Whether all of it may go there.
    pub fn takes_all(&self) -> bool {
        self.allowed >= self.needed * (1.0 - 1e-9)
    }
}

/// The places of the property that may take a leftover today: of a site that the labels of all its products
/// list, not treated today, and where no rate, cap, number or interval is passed. Places that take all of it
/// come first.
///
/// `request` is what today's visit was planned from; `record` what was done so far. The hours are not
/// judged: who holds the sprayer sees wind and rain. Whatever finds no place is kept, labelled, for the
/// next lawful use within the label's time for a mix; it is never poured out.
pub fn leftover_places(request: &VisitRequest, record: &ApplicationRecord, mix: &LeftoverMix) -> Vec<LeftoverPlace> {
    let Some(task) = record.task(&mix.task) else { return Vec::new() };
    let Some(label) =
        request.labels.iter().find(|label| Some(&label.id) == task.products.first().map(|one| &one.label))
    else {
        return Vec::new();
    };
    let treated = Region::union_all(record.tasks.iter().flat_map(|task| task.zones.iter().map(|zone| &zone.ground)));
    let base = VisitRequest { history: with_today(request, record), ..request.clone() };
    let mut places: Vec<LeftoverPlace> = candidates(request, label, &treated)
        .into_iter()
        .filter_map(|candidate| place(&base, task, mix, label, candidate, &treated))
        .collect();
    places.sort_by_key(|place| !place.takes_all());
    places
}

fn with_today(request: &VisitRequest, record: &ApplicationRecord) -> History {
    let today = match history([record], &request.property, None).history {
        History::Known { applications, .. } => applications,
        History::Unknown => Vec::new(),
    };
    match &request.history {
        History::Known { complete_since, applications } => {
            let applications: Vec<Application> = applications.iter().cloned().chain(today).collect();
            History::Known { complete_since: *complete_since, applications }
        }
        // What came before stays unknown, and no cap is proved.
        History::Unknown => History::Unknown,
    }
}

/// A place that might take it.
struct Candidate<'a> {
    words: String,
    site: Site,
    row: &'a UseRow,
    target: Target,
}

fn candidates<'a>(request: &VisitRequest, label: &'a Label, treated: &Region) -> Vec<Candidate<'a>> {
    let property = &request.property;
    let mut found = Vec::new();
    for row in label.uses.iter().filter(|row| row.method.is_sprayed()) {
        for site in &row.sites {
            match site {
                Site::Turf => {
                    let rest = property.lawn().difference(treated);
                    if rest.area() > touch() {
                        let target = Target::Ground(rest);
                        found.push(Candidate { words: "turf not treated today".to_owned(), site: *site, row, target });
                    }
                }
                Site::Ornamental => {
                    let is_free = |feature: &&Feature| {
                        let ground = feature.region();
                        ground.is_some_and(|ground| !overlaps(ground, treated)) && !feature.kind().is_in_bloom()
                    };
                    for feature in property.of_kind(Kind::Ornamental).filter(is_free) {
                        found.push(Candidate {
                            words: feature.label().to_owned(),
                            site: *site,
                            row,
                            target: Target::Features(vec![feature.id().to_owned()]),
                        });
                    }
                }
                Site::StructurePerimeter => found.extend(band(row, *site)),
                Site::EntryPoint => {
                    let width = row.entry_point_width.value();
                    found.extend(width.filter(|_| property.of_kind(Kind::EntryPoint).next().is_some()).map(|width| {
                        let target = Target::EntryPoints { features: Vec::new(), width: *width };
                        Candidate { words: "entry points".to_owned(), site: *site, row, target }
                    }));
                }
                Site::FoodCrop | Site::BareSoil | Site::Impervious | Site::Tree => {}
            }
        }
    }
    found
}

/// The band round the structures, as wide and as high as the label allows, and at most three feet.
fn band(row: &UseRow, site: Site) -> Option<Candidate<'_>> {
    let three_feet = Length::new(3.0, LengthUnit::Foot);
    let (width, height) = (row.band_width.value()?, row.wall_height.value()?);
    let target = Target::Structures {
        features: Vec::new(),
        band_width: width.min(three_feet),
        wall_height: height.min(three_feet),
    };
    Some(Candidate { words: "band next to the structures".to_owned(), site, row, target })
}

fn overlaps(ground: &Region, treated: &Region) -> bool {
    ground.intersection(treated).area().ratio(ground.area()) > 1e-6
}

/// What is no matter of the place: who holds the sprayer sees wind and rain, and the mix is there, whatever the counts say
/// of making it.
const ELSEWHERE: [&str; 4] = ["hours::", "mix::", "finding::", "stage::"];

/// Plans the leftover on a place as a visit of one task, and takes it only if nothing refuses but the hours and the need for it.
fn place(
    base: &VisitRequest,
    task: &TaskRecord,
    mix: &LeftoverMix,
    label: &Label,
    candidate: Candidate<'_>,
    treated: &Region,
) -> Option<LeftoverPlace> {
    let output = task.calibration.value().and_then(|used| used.output);
    let finding = base.tasks.iter().find(|asked| asked.id == task.id).and_then(|asked| asked.finding.clone());
    let wish = |spray: Volume| -> Option<TaskRequest> {
        let mut rates = task.products.iter().zip(&mix.products).map(|(product, amount)| {
            let row = if product.label == label.id {
                Some(candidate.row)
            } else {
                let other = base.labels.iter().find(|other| other.id == product.label)?;
                other.uses.iter().find(|row| row.method == candidate.row.method && row.sites.contains(&candidate.site))
            }?;
            Some((product, rate(row, *amount, mix.spray, output)?))
        });
        let (product, first) = rates.next()??;
        let partners: Option<Vec<PartnerRequest>> = rates
            .map(|partner| {
                let (product, rate) = partner?;
                Some(PartnerRequest {
                    label: product.label.clone(),
                    rate: RateWish::Stated(rate),
                    pest: task.pest.value().cloned(),
                })
            })
            .collect();
        let by_area = first.per_area().is_some();
        Some(TaskRequest {
            id: "leftover".to_owned(),
            method: candidate.row.method,
            finding: finding.clone(),
            pest: task.pest.value().cloned(),
            label: product.label.clone(),
            rate: RateWish::Stated(first),
            partners: partners?,
            equipment: task.equipment.value()?.clone(),
            calibration: task.calibration.value().map(|used| used.name.clone()),
            // A dilution goes by the spray; a rate per area by the output of the calibration.
            spray: (!by_area).then_some(spray),
            target: candidate.target.clone(),
            overlap: Overlap::Resolved,
        })
    };
    let asked = wish(mix.spray)?;
    let rates = std::iter::once((&asked.label, asked.rate))
        .chain(asked.partners.iter().map(|partner| (&partner.label, partner.rate)))
        .filter_map(|(label, rate)| match rate {
            RateWish::Stated(rate) => Some((label.clone(), rate)),
            RateWish::Lowest | RateWish::HighestLawful => None,
        })
        .collect();
    let goes_by_spray = asked.spray.is_some();
    let visit = plan(&VisitRequest { tasks: vec![asked], ..base.clone() }).ok()?;
    let planned = visit.tasks.first()?;
    let treated_again = visit
        .zones
        .iter()
        .any(|zone| matches!(&zone.use_of, treatment::ZoneUse::Treated(_)) && overlaps(&zone.region, treated));
    let is_of_no_matter = |verdict: &Verdict| ELSEWHERE.iter().any(|rule| verdict.rule.starts_with(rule));
    let refused = visit.all_verdicts().any(|verdict| verdict.status == Status::Refused && !is_of_no_matter(verdict));
    let allowed = planned.ground + planned.wall;
    // Where zones and lawn touch, hairs of ground are left over that nobody sprays.
    if refused || treated_again || allowed <= touch() {
        return None;
    }
    let needed = if goes_by_spray { allowed } else { mix.spray / output? };
    let share = if needed > allowed { allowed.ratio(needed) } else { 1.0 };
    Some(LeftoverPlace {
        place: candidate.words,
        site: candidate.site,
        method: candidate.row.method,
        use_row: candidate.row.id.clone(),
        allowed,
        needed,
        spray: mix.spray * share,
        rates,
        cautions: visit
            .all_verdicts()
            .filter(|verdict| verdict.status == Status::Caution && !is_of_no_matter(verdict))
            .cloned()
            .collect(),
    })
}

/// What the mix comes to on the basis of a use row: by dilution as it was mixed, by area as it flows.
fn rate(row: &UseRow, amount: Amount, spray: Volume, output: Option<VolumePerArea>) -> Option<Rate> {
    let like = row.rate.value()?.highest;
    let one = like.with_value(1.0);
    let times = if let Some(product) = one.in_spray(spray) {
        amount.ratio(product)?
    } else {
        amount.per_area(spray / output?).ratio(one.per_area()?)?
    };
    (times.is_finite() && times > 0.0).then(|| like.with_value(times))
}
