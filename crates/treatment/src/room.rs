//! What the limits over time of a label still allow on each place of a property, whatever visit may come:
//! the look ahead of whoever plans a season.

use crate::dose::{HAIR, area_figure};
use crate::limits::{
    CapState, GroundKind, NamedPlaces, Piece, Shelf, applications, cap_state, days_between, last_application,
    made_in_window, pieces, recorded_bands, window_around,
};
use crate::request::{Application, History, Place};
use crate::sites::site_of_kind;
use crate::verdict::Figure;
use geometry::{ArcFineness, Region, offset};
use jiff::civil::Date;
use label::{Clause, Label, Method, Requirements, Site, Strength, UseRow, Window, requirements};
use property::{Kind, Property};
use quantity::{Length, Rate};

/// What one use of a label still allows on one place.
#[derive(Debug, Clone, PartialEq)]
pub struct Room {
    /// The use row.
    pub use_row: String,
    /// Its way to apply.
    pub method: Method,
    /// The site as which the place is treated.
    pub site: Site,
    /// The feature of the map; `None` for the lawn and for the ground round structures.
    pub feature: Option<String>,
    /// The ground, all of it with the same past.
    pub ground: Region,
    /// What was applied there up to the day, the oldest first: when, and which product.
    pub applied: Vec<(Date, String)>,
    /// What each cap over a window leaves.
    pub caps: Vec<CapRoom>,
    /// Caps that cannot be turned into the product's own measure: nothing is proved of them.
    pub unreckoned: Vec<Clause>,
    /// What each limit of the number of applications leaves.
    pub numbers: Vec<NumberRoom>,
    /// The last day before on which the product lay there.
    pub last: Option<Date>,
    /// The first day that the interval between applications allows, and its sentence; `None` when the label
    /// states none, or the product never lay there.
    pub not_before: Option<(Date, Clause)>,
    /// The label's highest rate per area; `None` for a rate that is not per area.
    pub highest_rate: Option<Figure>,
    /// Whether the label's lowest rate may be applied on the day by every limit counted here that binds.
    pub is_open: bool,
    /// Whether the past is known as far back as the limits count.
    pub is_proved: bool,
}

/// What a cap over a window leaves.
#[derive(Debug, Clone, PartialEq)]
pub struct CapRoom {
    /// Whether it counts an active ingredient; its figures are product all the same.
    pub of_active_ingredient: bool,
    /// Its window.
    pub window: Window,
    /// First and last day of the window round the day.
    pub days: (Date, Date),
    /// The most.
    pub cap: Figure,
    /// Applied in the window.
    pub applied: Figure,
    /// What is left, nothing when the cap is passed.
    pub left: Figure,
    /// What is left as a share of the cap, 0 to 1.
    pub left_share: f64,
    /// Whether more lies there than it allows.
    pub is_passed: bool,
    /// Products applied there of which nobody can tell whether they count.
    pub unknown: Vec<String>,
    /// Its sentence.
    pub clause: Clause,
}

/// What a limit of the number of applications leaves.
#[derive(Debug, Clone, PartialEq)]
pub struct NumberRoom {
    /// The most.
    pub allowed: u32,
    /// Made in the window.
    pub made: u32,
    /// Its window.
    pub window: Window,
    /// First and last day of the window round the day.
    pub days: (Date, Date),
    /// Its sentence.
    pub clause: Clause,
}

/// Chords per quarter of a circle in the ground round structures.
const CHORDS: u16 = 16;

/// The width of the ground round structures where the label states none (common practice, no source).
const USUAL_BAND_FT: f64 = 3.0;

/// What a label still allows on each place of a property on a day. Places are the lawn, each feature that one
/// of the label's sites names, and the ground round structures; each is split by what was applied there before.
/// The label is taken as it is ([`label::for_state`]); `shelf` are the labels by which the past is understood.
///
/// Whether today's plants, weather, distances and people allow the use is the plan's to say.
pub fn room(property: &Property, label: &Label, shelf: &[Label], history: &History, date: Date) -> Vec<Room> {
    let arcs = ArcFineness::per_quarter(CHORDS);
    // A record of turf lies on the lawn, also where that is the ground round a structure.
    let on_ground = |past: &Application| match past.place {
        Place::Turf => Application { place: Place::Ground(property.lawn().clone()), ..past.clone() },
        _ => past.clone(),
    };
    let past = Laid::new(property, history, applications(history).iter().map(on_ground).collect());
    let mut rooms = Vec::new();
    for row in &label.uses {
        for site in &row.sites {
            for (feature, ground) in places(property, *site, row, arcs) {
                let on = SiteGround { site: *site, ground: &ground, band: None };
                let found = past.rooms((label, row), on, shelf, date).into_iter();
                rooms.extend(found.map(|room| Room { feature: feature.clone(), ..room }));
            }
        }
    }
    rooms
}

/// Ground that was, or is to be, treated as a site.
#[derive(Debug, Clone, Copy)]
pub struct SiteGround<'a> {
    /// The site.
    pub site: Site,
    /// The ground.
    pub ground: &'a Region,
    /// The band next to structures that is treated on the same day; a record of the past that names a band without
    /// its width lies there.
    pub band: Option<&'a Region>,
}

/// What one use of a label still allows on some ground, piece by piece. Records of the past that name turf or a band
/// lie as a plan reads them: turf outside the band, and the band alone within it.
pub fn room_on(
    property: &Property,
    (label, row): (&Label, &UseRow),
    on: SiteGround<'_>,
    shelf: &[Label],
    history: &History,
    date: Date,
) -> Vec<Room> {
    Laid::new(property, history, applications(history).to_vec()).rooms((label, row), on, shelf, date)
}

/// The past as it lies on a property.
struct Laid<'a> {
    property: &'a Property,
    history: &'a History,
    past: Vec<Application>,
    bands: Vec<(Length, Region)>,
}

impl<'a> Laid<'a> {
    fn new(property: &'a Property, history: &'a History, past: Vec<Application>) -> Self {
        let bands = recorded_bands(property, &past, ArcFineness::per_quarter(CHORDS));
        Self { property, history, past, bands }
    }

    fn rooms(&self, (label, row): (&Label, &UseRow), on: SiteGround<'_>, shelf: &[Label], date: Date) -> Vec<Room> {
        let required = requirements(label, row);
        let kind = match on.site {
            Site::Turf => GroundKind::Turf,
            Site::StructurePerimeter | Site::EntryPoint => GroundKind::Band,
            _ => GroundKind::Features,
        };
        let named = NamedPlaces { band: on.band, bands: &self.bands, feature: self.property };
        let case = Case { label, row, required: &required, shelf: Shelf(shelf), history: self.history, date };
        let pieces = pieces(Some(on.ground), kind, &self.past, &named);
        pieces.iter().map(|piece| case.room(on.site, piece)).collect()
    }
}

/// The places of a site on a property, each with its feature.
fn places(property: &Property, site: Site, row: &UseRow, arcs: ArcFineness) -> Vec<(Option<String>, Region)> {
    match site {
        Site::Turf => {
            let lawn = property.lawn().clone();
            if lawn.is_empty() { Vec::new() } else { vec![(None, lawn)] }
        }
        Site::StructurePerimeter | Site::EntryPoint => {
            let width = row.band_width.value().copied();
            let width = width.unwrap_or(Length::new(USUAL_BAND_FT, quantity::LengthUnit::Foot));
            let structures = property.of_kind(Kind::Structure).filter_map(|feature| feature.region());
            let band = offset::band(&Region::union_all(structures), width, arcs).intersection(property.boundary());
            if band.is_empty() { Vec::new() } else { vec![(None, band)] }
        }
        _ => property
            .features()
            .iter()
            .filter(|feature| site_of_kind(feature.kind().kind()) == Some(site))
            .filter_map(|feature| Some((Some(feature.id().to_owned()), feature.region()?.clone())))
            .collect(),
    }
}

struct Case<'a> {
    label: &'a Label,
    row: &'a UseRow,
    required: &'a Requirements,
    shelf: Shelf<'a>,
    history: &'a History,
    date: Date,
}

impl Case<'_> {
    fn room(&self, site: Site, piece: &Piece<'_>) -> Room {
        let Self { label, row, required, shelf, date, .. } = *self;
        let like = row.rate.value().map(|range| range.highest);
        let mut caps = Vec::new();
        let mut unreckoned = Vec::new();
        for cap in &required.caps {
            match cap_state(cap, label, &piece.applications, shelf, date, &[]) {
                Some(state) => caps.push(cap_room(&state, like.as_ref(), date)),
                None => unreckoned.push(cap.clause.clone()),
            }
        }
        let number = |count: &label::Required<label::ApplicationCount>| NumberRoom {
            allowed: count.value.count,
            made: made_in_window(count.value, label, &piece.applications, shelf, date),
            window: count.value.window,
            days: window_around(count.value.window, date),
            clause: count.clause.clone(),
        };
        let numbers: Vec<NumberRoom> = required.maximum_applications.iter().map(number).collect();
        let last = last_application(label, &piece.applications, shelf, date);
        let not_before = last.and_then(|last| {
            let days = required.minimum_interval_days.iter().max_by_key(|days| days.value)?;
            let after = last.checked_add(jiff::Span::new().days(i64::from(days.value))).ok()?;
            Some((after, days.clause.clone()))
        });
        let highest_rate = like.and_then(|rate| Some(area_figure(rate.per_area()?, &rate)));
        let waits = last.zip(required.minimum_interval_days.binding());
        let is_open = self.fits(piece)
            && numbers.iter().filter(|number| binds(&number.clause)).all(|number| number.made < number.allowed)
            && waits.is_none_or(|(last, days)| i64::from(days_between(last, date)) >= i64::from(*days));
        let mut applied: Vec<(Date, String)> = piece
            .applications
            .iter()
            .filter(|past| past.date <= date)
            .map(|past| (past.date, past.product.clone()))
            .collect();
        applied.sort();
        let is_proved = self.is_proved() && caps.iter().all(|cap| cap.unknown.is_empty());
        Room {
            use_row: row.id.clone(),
            method: row.method,
            site,
            feature: None,
            ground: piece.region.clone().unwrap_or_default(),
            applied,
            caps,
            unreckoned,
            numbers,
            last,
            not_before,
            highest_rate,
            is_open,
            is_proved,
        }
    }

    /// Whether every cap that binds still holds the label's lowest rate. Of a rate that is not per area only
    /// this is held: that anything is left.
    fn fits(&self, piece: &Piece<'_>) -> bool {
        let lowest = self.row.rate.value().map(|range| range.lowest.unwrap_or(range.highest));
        let lowest = lowest.and_then(|rate| rate.per_area());
        self.required.caps.iter().filter(|cap| binds(&cap.clause)).all(|cap| {
            let state = cap_state(cap, self.label, &piece.applications, self.shelf, self.date, &[]);
            let Some(state) = state else { return false };
            let with_today = lowest.map_or(Some(state.before), |lowest| state.before.checked_add(lowest));
            let times = with_today.and_then(|total| total.ratio(state.cap));
            times.is_some_and(|times| if lowest.is_some() { times <= 1.0 + HAIR } else { times < 1.0 })
        })
    }

    fn is_proved(&self) -> bool {
        reaches_back(self.history, self.required, self.date)
    }
}

/// Whether a past is known as far back as the limits over time of a use count on a day.
pub fn reaches_back(history: &History, required: &Requirements, date: Date) -> bool {
    reaches_back_over_windows(history, required, date) && reaches_back_over_interval(history, required, date)
}

/// The same for caps and numbers of applications alone.
pub fn reaches_back_over_windows(history: &History, required: &Requirements, date: Date) -> bool {
    let windows = required.caps.iter().map(|cap| cap.value.window);
    let mut windows = windows.chain(required.maximum_applications.iter().map(|count| count.value.window));
    is_known_since(history, |since| windows.all(|window| since <= window_around(window, date).0))
}

/// The same for the interval between applications alone.
pub fn reaches_back_over_interval(history: &History, required: &Requirements, date: Date) -> bool {
    let longest = required.minimum_interval_days.iter().map(|days| days.value).max().unwrap_or(0);
    is_known_since(history, |since| i64::from(days_between(since, date)) >= i64::from(longest))
}

fn is_known_since(history: &History, reaches: impl FnOnce(Date) -> bool) -> bool {
    match history {
        History::Unknown => false,
        History::Known { complete_since: None, .. } => true,
        History::Known { complete_since: Some(since), .. } => reaches(*since),
    }
}

fn binds(clause: &Clause) -> bool {
    clause.strength == Strength::Mandatory
}

fn cap_room(state: &CapState, like: Option<&Rate>, date: Date) -> CapRoom {
    let left = state.cap.checked_sub(state.before);
    let share = left.and_then(|left| left.ratio(state.cap)).unwrap_or(0.0).clamp(0.0, 1.0);
    let figure = |amount| like.map_or_else(|| Figure::count(f64::NAN), |like| area_figure(amount, like));
    CapRoom {
        of_active_ingredient: state.of_active_ingredient,
        window: state.window,
        days: window_around(state.window, date),
        cap: figure(state.cap),
        applied: figure(state.before),
        left: figure(state.cap.scaled(share)),
        left_share: share,
        is_passed: state.before.ratio(state.cap).is_some_and(|times| times > 1.0 + HAIR),
        unknown: state.unknown.clone(),
        clause: state.clause.clone(),
    }
}
