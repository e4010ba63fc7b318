//! The sites that a task puts product on: a label must permit every one of them.

use crate::request::{Target, TaskRequest};
use label::Site;
use property::{Feature, Kind, Property};
use quantity::Area;

/// A site of a task, and the features that make it one.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct TaskSite {
    /// The site.
    pub site: Site,
    /// Feature ids; empty for the rest of the lot and for targets that are one site by their kind.
    pub features: Vec<String>,
    area: Area,
}

impl TaskSite {
    fn only(site: Site) -> Self {
        Self { site, features: Vec::new(), area: Area::ZERO }
    }

    /// The site in words, with its features: "ornamental (`hedge`)".
    pub(crate) fn words(&self) -> String {
        if self.features.is_empty() {
            self.site.word().to_owned()
        } else {
            format!("{} (`{}`)", self.site.word(), self.features.join("`, `"))
        }
    }
}

/// Every site of a task, food plants first, then the one with most ground; never none.
pub(crate) fn sites_of(property: &Property, task: &TaskRequest) -> Vec<TaskSite> {
    let mut sites: Vec<TaskSite> = Vec::new();
    let mut add = |site: Site, feature: Option<&Feature>, area: Area| {
        let known = sites.iter().position(|known| known.site == site);
        let place = known.unwrap_or_else(|| {
            sites.push(TaskSite::only(site));
            sites.len() - 1
        });
        sites[place].area += area;
        sites[place].features.extend(feature.map(|feature| feature.id().to_owned()));
    };
    match &task.target {
        Target::Turf | Target::HotSpots { .. } => add(Site::Turf, None, Area::ZERO),
        Target::Places { site, .. } => add(*site, None, Area::ZERO),
        Target::Structures { .. } => add(Site::StructurePerimeter, None, Area::ZERO),
        Target::EntryPoints { .. } => add(Site::EntryPoint, None, Area::ZERO),
        Target::Features(ids) => {
            for feature in ids.iter().filter_map(|id| property.feature(id)) {
                if let Some(site) = site_of_kind(feature.kind().kind()) {
                    add(site, Some(feature), feature.area());
                }
            }
        }
        Target::Ground(region) => {
            let mut rest = region.intersection(property.boundary()).difference(&crate::zones::kept_free(property));
            let least = rest.area() * SEAM;
            for feature in property.features().iter().filter(|feature| feature.kind().is_ground()) {
                let Some(ground) = feature.region() else { continue };
                let (common, beyond) = rest.cut(ground);
                rest = beyond;
                // Ground that is never treated as drawn ground is cut out of it, so it needs no permit.
                let site = match feature.kind().kind() {
                    Kind::Paved if !crate::zones::is_put_on_paving(task.method) => None,
                    Kind::Ornamental if !crate::zones::is_known_out_of_bloom(feature) => None,
                    kind => site_of_kind(kind),
                };
                if let Some(site) = site.filter(|_| common.area() > least) {
                    add(site, Some(feature), common.area());
                }
            }
            if rest.area() > least {
                add(Site::Turf, None, rest.area());
            }
        }
    }
    if sites.is_empty() {
        sites.push(TaskSite::only(Site::Turf));
    }
    // What may not be sprayed on food plants may not be sprayed on all of them together.
    sites.sort_by(|a, b| {
        let food = |site: &TaskSite| site.site != Site::FoodCrop;
        food(a).cmp(&food(b)).then(b.area.partial_cmp(&a.area).unwrap_or(std::cmp::Ordering::Equal))
    });
    sites
}

/// Overlaps smaller than this share of the drawn ground are the seams of two drawings.
const SEAM: f64 = 1e-6;

/// The site that ground of a kind is; `None` where nothing is applied, or not as a feature.
///
/// A mulched bed is soil without plants, and a mound stands in turf unless the task counts places and
/// says where: common practice, no source.
pub fn site_of_kind(kind: Kind) -> Option<Site> {
    Some(match kind {
        Kind::Turf | Kind::Mound => Site::Turf,
        Kind::Ornamental => Site::Ornamental,
        Kind::Edible => Site::FoodCrop,
        Kind::Paved => Site::Impervious,
        Kind::BareSoil | Kind::Mulch => Site::BareSoil,
        Kind::Tree => Site::Tree,
        Kind::Boundary
        | Kind::Structure
        | Kind::EntryPoint
        | Kind::Water
        | Kind::Drain
        | Kind::Well
        | Kind::Hive
        | Kind::PlayArea
        | Kind::PetArea
        | Kind::NoGo => return None,
    })
}
