//! What may still be applied: history against caps, numbers and intervals, place by place.

use crate::request::{Application, History, Place};
use geometry::{ArcFineness, Region, offset};
use jiff::civil::Date;
use label::{ActiveIngredient, ApplicationCount, Cap, CapAmount, Clause, Label, Required, Window};
use property::{Kind, Property};
use quantity::{AmountPerArea, Area, AreaUnit, Length, MassPerArea};

/// A part of a task's ground on which the same applications of the past lie.
#[derive(Debug, Clone)]
pub(crate) struct Piece<'a> {
    /// The ground; `None` for a task without drawn ground (mounds, stations).
    pub region: Option<Region>,
    /// What was applied on it.
    pub applications: Vec<&'a Application>,
}

/// How the places named in a history lie on the ground of today's visit.
#[derive(Debug, Clone)]
pub(crate) struct NamedPlaces<'a> {
    /// The band next to structures, as treated today; `None` when no task treats one.
    pub band: Option<&'a Region>,
    /// Bands of other widths, as records name them.
    pub bands: &'a [(Length, Region)],
    /// The ground of a feature.
    pub feature: &'a dyn FeatureGround,
}

/// Looks up a feature's ground.
pub(crate) trait FeatureGround: std::fmt::Debug {
    /// The ground of the feature with this id, when it has any.
    fn ground(&self, id: &str) -> Option<&Region>;
}

/// What ground a task treats, as histories name it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum GroundKind {
    /// Turf, or single places on it.
    Turf,
    /// The band next to structures.
    Band,
    /// Features of the map.
    Features,
}

/// Splits a task's ground by what was applied there before.
///
/// A record for `turf` lies on turf outside the band, a record for `band` only there. Without a band in today's visit nobody knows where
/// the old one lay, so its record counts on all turf: the strict reading.
pub(crate) fn pieces<'a>(
    ground: Option<&Region>,
    ground_is: GroundKind,
    applications: &'a [Application],
    places: &NamedPlaces<'_>,
) -> Vec<Piece<'a>> {
    let mut pieces = vec![Piece { region: ground.cloned(), applications: Vec::new() }];
    for application in applications {
        match &application.place {
            Place::Everywhere => cover_all(&mut pieces, application),
            Place::Turf if ground_is == GroundKind::Turf => cover_all(&mut pieces, application),
            Place::Band(Some(width)) => match places.bands.iter().find(|(known, _)| known == width) {
                Some((_, region)) => split(&mut pieces, application, region),
                None => cover_all(&mut pieces, application),
            },
            Place::Band(None)
                if ground_is == GroundKind::Band || (ground_is == GroundKind::Turf && places.band.is_none()) =>
            {
                cover_all(&mut pieces, application);
            }
            Place::Turf | Place::Band(_) => {}
            Place::Feature(id) => {
                match places.feature.ground(id) {
                    Some(region) => split(&mut pieces, application, region),
                    // No ground is known of it: it might lie here, so it counts.
                    None => cover_all(&mut pieces, application),
                }
            }
            Place::Ground(region) => split(&mut pieces, application, region),
        }
    }
    pieces
}

fn cover_all<'a>(pieces: &mut [Piece<'a>], application: &'a Application) {
    for piece in pieces {
        piece.applications.push(application);
    }
}

/// Overlaps smaller than this share of a piece are the seams of two drawings, not two treatments.
const SEAM: f64 = 1e-6;

/// And so is whatever is smaller than a hand: ground that is written and read again moves by less than a thousandth of a
/// millimetre, and what is left along its edges would be cut again by every further record.
fn seam() -> Area {
    Area::new(0.01, AreaUnit::SquareMetre)
}

fn is_seam(part: &Region, of: &Region) -> bool {
    part.area() < seam() || part.area().ratio(of.area()) < SEAM
}

fn split<'a>(pieces: &mut Vec<Piece<'a>>, application: &'a Application, region: &Region) {
    let mut outside = Vec::new();
    for piece in pieces.iter_mut() {
        let Some(ground) = &piece.region else {
            // No drawn ground: it might lie there, so it counts.
            piece.applications.push(application);
            continue;
        };
        let common = ground.intersection(region);
        if is_seam(&common, ground) {
            continue;
        }
        let rest = ground.difference(region);
        if !is_seam(&rest, ground) {
            outside.push(Piece { region: Some(rest), applications: piece.applications.clone() });
        }
        piece.region = Some(common);
        piece.applications.push(application);
    }
    pieces.append(&mut outside);
}

/// The bands of the past whose width is recorded, drawn as today's are.
pub(crate) fn recorded_bands(property: &Property, history: &[Application], arcs: ArcFineness) -> Vec<(Length, Region)> {
    let mut bands: Vec<(Length, Region)> = Vec::new();
    for application in history {
        let Place::Band(Some(width)) = application.place else { continue };
        if bands.iter().all(|(known, _)| *known != width) {
            let structures = property.of_kind(Kind::Structure);
            let walls = Region::union_all(structures.filter_map(|feature| feature.region()));
            bands.push((width, offset::band(&walls, width, arcs)));
        }
    }
    bands
}

/// First and last date of the window that a date falls in.
pub fn window_around(window: Window, date: Date) -> (Date, Date) {
    match window {
        Window::CalendarYear => {
            (Date::new(date.year(), 1, 1).unwrap_or(date), Date::new(date.year(), 12, 31).unwrap_or(date))
        }
        // A season or crop without dates is read as any twelve months: the strictest.
        Window::TwelveMonths | Window::Season | Window::Crop => {
            let year = jiff::Span::new().years(1);
            let day = jiff::Span::new().days(1);
            let first = date.checked_sub(year).and_then(|date| date.checked_add(day)).unwrap_or(Date::MIN);
            let last = date.checked_add(year).and_then(|date| date.checked_sub(day)).unwrap_or(Date::MAX);
            (first, last)
        }
    }
}

/// The window in words.
pub(crate) fn window_words(window: Window) -> &'static str {
    match window {
        Window::CalendarYear => "calendar year",
        Window::TwelveMonths => "twelve months",
        Window::Season => "season (counted as twelve months)",
        Window::Crop => "crop (counted as twelve months)",
    }
}

/// Whole days from one date to another.
pub(crate) fn days_between(from: Date, to: Date) -> i32 {
    from.until(to).map_or(0, |span| span.get_days())
}

/// The labels of the shelf by which the past is understood.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Shelf<'a>(pub &'a [Label]);

impl<'a> Shelf<'a> {
    /// The label of an application of the past, by label id or product name.
    pub(crate) fn label_of(self, application: &Application) -> Option<&'a Label> {
        let named = |name: &str| same_name(name, &application.product);
        self.0.iter().find(|label| named(&label.id) || named(&label.product.name))
    }

    /// How much of one active ingredient an application put down per area. `None` when nobody can
    /// tell, which is not nothing.
    pub(crate) fn active_ingredient(self, application: &Application, name: &str) -> Option<MassPerArea> {
        if !application.active_ingredients.is_empty() {
            let named = application.active_ingredients.iter().filter(|(known, _)| same_name(known, name));
            return Some(named.map(|(_, mass)| *mass).sum());
        }
        let label = self.label_of(application)?;
        match label.product.active_ingredients.iter().find(|ingredient| same_name(&ingredient.name, name)) {
            Some(ingredient) => label.product.ingredient_per_area(ingredient, application.per_area),
            None => Some(MassPerArea::ZERO),
        }
    }

    /// The mode-of-action groups of an application; none when nobody knows them.
    pub(crate) fn groups(self, application: &'a Application) -> Vec<&'a str> {
        if let Some(group) = &application.group {
            return vec![group];
        }
        let known = self.label_of(application).map(|label| label.product.active_ingredients.as_slice());
        known.unwrap_or_default().iter().filter_map(|ingredient| ingredient.group.as_deref()).collect()
    }
}

/// What another product of the same tank puts on the same ground today.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Beside {
    /// The product's name.
    pub product: String,
    /// Its active ingredients; `None` for an amount that nobody can tell.
    pub active_ingredients: Vec<(String, Option<MassPerArea>)>,
}

impl Beside {
    /// A product at so much per area.
    pub(crate) fn of(label: &Label, per_area: Option<AmountPerArea>) -> Self {
        let put_down = |ingredient: &ActiveIngredient| {
            per_area.and_then(|per_area| label.product.ingredient_per_area(ingredient, per_area))
        };
        let ingredients = &label.product.active_ingredients;
        Self {
            product: label.product.name.clone(),
            active_ingredients: ingredients
                .iter()
                .map(|ingredient| (ingredient.name.clone(), put_down(ingredient)))
                .collect(),
        }
    }
}

/// Names of ingredients are compared without regard to case.
pub(crate) fn same_name(a: &str, b: &str) -> bool {
    a.trim().eq_ignore_ascii_case(b.trim())
}

/// What one cap leaves, in product per area.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct CapState {
    /// The cap, in product per area.
    pub cap: AmountPerArea,
    /// Applied in the window before this visit, and beside it in the same tank, in product per area.
    pub before: AmountPerArea,
    /// Whether it counts an active ingredient.
    pub of_active_ingredient: bool,
    /// Applications that the cap might count and that could not be understood.
    pub unknown: Vec<String>,
    /// Its window.
    pub window: Window,
    /// Its sentence.
    pub clause: Clause,
}

/// Holds one cap against the applications on a piece.
///
/// `None` when the cap cannot be turned into the product's own measure (a liquid whose label gives
/// only a percentage and no density): the caller says so.
pub(crate) fn cap_state(
    cap: &Required<Cap>,
    label: &Label,
    applications: &[&Application],
    shelf: Shelf<'_>,
    date: Date,
    beside: &[Beside],
) -> Option<CapState> {
    let (first, _) = window_around(cap.value.window, date);
    let counted = applications.iter().filter(|application| application.date >= first && application.date <= date);
    let mut unknown = Vec::new();
    match cap.value.amount {
        CapAmount::Product(amount) => {
            let mut before = amount.scaled(0.0);
            for application in counted {
                if is_product(label, application, shelf) {
                    match before.checked_add(application.per_area) {
                        Some(sum) => before = sum,
                        None => unknown.push(application.product.clone()),
                    }
                } else if shelf.label_of(application).is_none() && application.active_ingredients.is_empty() {
                    // A name that nobody knows may be this product under another.
                    unknown.push(application.product.clone());
                }
            }
            Some(CapState {
                cap: amount,
                before,
                of_active_ingredient: false,
                unknown,
                window: cap.value.window,
                clause: cap.clause.clone(),
            })
        }
        CapAmount::ActiveIngredient(mass) => {
            let ingredient = capped_ingredient(&cap.value, label)?;
            let one = one_product_unit(label);
            let mass_of_one = label.product.ingredient_per_area(ingredient, one)?;
            let mut before = MassPerArea::ZERO;
            for application in counted {
                let own = shelf.label_of(application).is_some_and(|known| known.product.name == label.product.name);
                if !own && !cap.value.counts_other_products {
                    continue;
                }
                match shelf.active_ingredient(application, &ingredient.name) {
                    Some(applied) => before += applied,
                    None => unknown.push(application.product.clone()),
                }
            }
            if cap.value.counts_other_products {
                for other in beside {
                    let same = other.active_ingredients.iter().filter(|(name, _)| same_name(name, &ingredient.name));
                    for (_, mass) in same {
                        match mass {
                            Some(mass) => before += *mass,
                            None => unknown.push(other.product.clone()),
                        }
                    }
                }
            }
            Some(CapState {
                cap: one.scaled(mass.ratio(mass_of_one)),
                before: one.scaled(before.ratio(mass_of_one)),
                of_active_ingredient: true,
                unknown,
                window: cap.value.window,
                clause: cap.clause.clone(),
            })
        }
    }
}

/// The ingredient that a cap counts: the one it names, or the label's only one.
pub(crate) fn capped_ingredient<'a>(cap: &Cap, label: &'a Label) -> Option<&'a ActiveIngredient> {
    let ingredients = &label.product.active_ingredients;
    match &cap.active_ingredient {
        Some(name) => ingredients.iter().find(|ingredient| same_name(&ingredient.name, name)),
        None => ingredients.first().filter(|_| ingredients.len() == 1),
    }
}

/// One of the product's own measure per area: by volume for liquids, by mass for solids.
fn one_product_unit(label: &Label) -> AmountPerArea {
    use quantity::{MassPerAreaUnit, VolumePerArea, VolumePerAreaUnit};
    let by_volume = label.uses.iter().find_map(|row| {
        let highest = row.rate.value().map(|range| range.highest)?;
        Some(matches!(highest.unit(), quantity::AmountUnit::Volume(_)))
    });
    if by_volume.unwrap_or(!label.product.formulation.is_applied_dry()) {
        AmountPerArea::Volume(VolumePerArea::new(1.0, VolumePerAreaUnit::LitrePerHectare))
    } else {
        AmountPerArea::Mass(MassPerArea::new(1.0, MassPerAreaUnit::KilogramPerHectare))
    }
}

/// Applications of the product in a window on a piece, before this visit.
pub(crate) fn made_in_window(
    count: ApplicationCount,
    label: &Label,
    applications: &[&Application],
    shelf: Shelf<'_>,
    date: Date,
) -> u32 {
    let (first, _) = window_around(count.window, date);
    let mut dates: Vec<Date> = applications
        .iter()
        .filter(|application| application.date >= first && application.date <= date)
        .filter(|application| is_product(label, application, shelf))
        .map(|application| application.date)
        .collect();
    dates.sort_unstable();
    dates.dedup();
    u32::try_from(dates.len()).unwrap_or(u32::MAX)
}

/// The last date before this visit on which the product lay on a piece.
pub(crate) fn last_application(
    label: &Label,
    applications: &[&Application],
    shelf: Shelf<'_>,
    date: Date,
) -> Option<Date> {
    applications
        .iter()
        .filter(|application| application.date <= date && is_product(label, application, shelf))
        .map(|application| application.date)
        .max()
}

/// Whether an application of the past was of this label's product.
pub(crate) fn is_product(label: &Label, application: &Application, shelf: Shelf<'_>) -> bool {
    same_name(&application.product, &label.id)
        || same_name(&application.product, &label.product.name)
        || shelf.label_of(application).is_some_and(|known| known.product.name == label.product.name)
}

/// How many more applications at a rate fit: by what is left, by number, and by dates.
///
/// # Source
/// Remaining number = least of floor(left / rate), number allowed − made, and
/// floor((window end − earliest lawful date) / interval) + 1.
pub(crate) fn more_applications(
    left: AmountPerArea,
    rate: AmountPerArea,
    number_left: Option<u32>,
    earliest: Date,
    window_end: Date,
    interval_days: Option<u32>,
) -> u32 {
    let by_amount = left.ratio(rate).map_or(0, |times| {
        // A hair's breadth so that 0.8 - 0.4 still holds one more 0.4.
        let whole = (times + 1e-9).floor();
        if whole.is_finite() && whole > 0.0 { whole.min(1000.0) as u32 } else { 0 }
    });
    let by_dates = match (days_between(earliest, window_end), interval_days) {
        (days, _) if days < 0 => 0,
        (days, Some(interval)) if interval > 0 => days.unsigned_abs() / interval + 1,
        _ => u32::MAX,
    };
    by_amount.min(number_left.unwrap_or(u32::MAX)).min(by_dates)
}

/// The applications of a history, when there is one.
pub(crate) fn applications(history: &History) -> &[Application] {
    match history {
        History::Unknown => &[],
        History::Known { applications, .. } => applications,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use geometry::Point;
    use quantity::VolumePerArea;

    #[derive(Debug)]
    struct NoFeature;

    impl FeatureGround for NoFeature {
        fn ground(&self, _: &str) -> Option<&Region> {
            None
        }
    }

    /// Each record of the same ground lies a hair beside the others, as it was written and read.
    #[test]
    fn many_records_of_the_same_ground_leave_one_piece() {
        let ground = |hair: f64| {
            let corner = |x: f64, y: f64| Point::from_metres(x + hair, y - hair);
            let outer = [corner(0.0, 0.0), corner(30.0, 0.0), corner(30.0, 20.0), corner(0.0, 20.0)];
            let house = [corner(5.0, 5.0), corner(15.0, 5.0), corner(15.0, 12.0), corner(5.0, 12.0)];
            Region::from_ring(&outer).unwrap().difference(&Region::from_ring(&house).unwrap())
        };
        let past: Vec<Application> = (1..=60_i8)
            .map(|number| Application {
                date: jiff::civil::date(2026, 1, 1),
                product: "concentrate".to_owned(),
                per_area: AmountPerArea::Volume(VolumePerArea::ZERO),
                active_ingredients: Vec::new(),
                group: None,
                place: Place::Ground(ground(1e-7 * f64::from(number))),
            })
            .collect();
        let places = NamedPlaces { band: None, bands: &[], feature: &NoFeature };
        let whole = ground(0.0);
        let found = pieces(Some(&whole), GroundKind::Turf, &past, &places);
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].applications.len(), 60);
    }
}
