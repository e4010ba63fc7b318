//! What a visit is asked to be.

use crate::visit::Applicator;
use geometry::Region;
use jiff::civil::Date;
use label::{BufferedFeature, Label, Method, Site};
use problem::Problem;
use property::Property;
use quantity::{AmountPerArea, Duration, Graduation, Length, Rate, Speed, Volume};
use scouting::{CountAt, CountBasis};
use sprayer::Sprayer;
use std::sync::Arc;
use weather::HourlySeries;

/// Everything that one visit is planned from.
#[derive(Debug, Clone)]
pub struct VisitRequest {
    /// What the visit is called.
    pub name: String,
    /// The date planned.
    pub date: Date,
    /// The state or province whose registration is asked of the labels, by abbreviation.
    pub state: Option<String>,
    /// The mapped property.
    pub property: Property,
    /// The labels on the shelf, as they hold in the state ([`label::for_state`]): those that tasks name,
    /// and those that might be chosen instead.
    pub labels: Vec<Label>,
    /// Sprayers and spreaders.
    pub equipment: Vec<Sprayer>,
    /// Who applies.
    pub applicator: Option<Applicator>,
    /// The hourly forecast.
    pub forecast: Option<HourlySeries>,
    /// What was applied before.
    pub history: History,
    /// What was found; each task rests on one of them.
    pub findings: Vec<FindingRequest>,
    /// The tasks wanted, in any order.
    pub tasks: Vec<TaskRequest>,
    /// Distances that the business keeps beyond the label's.
    pub setbacks: Vec<Setback>,
    /// The limits that the business sets where a label is silent.
    pub practice: Practice,
}

impl VisitRequest {
    /// A request without a task: what the past of a property is asked for with.
    pub fn of_ground(property: Property, labels: Vec<Label>, date: Date) -> Self {
        Self {
            name: String::new(),
            date,
            state: None,
            property,
            labels,
            equipment: Vec::new(),
            applicator: None,
            forecast: None,
            history: History::Unknown,
            findings: Vec::new(),
            tasks: Vec::new(),
            setbacks: Vec::new(),
            practice: Practice::default(),
        }
    }
}

/// What was applied on the property before.
#[derive(Debug, Clone, PartialEq, Default)]
pub enum History {
    /// Nobody knows. Limits over a window cannot be proved.
    #[default]
    Unknown,
    /// These applications and no others since the date.
    Known {
        /// From when on the list is complete; `None` when it is complete for every window.
        complete_since: Option<Date>,
        /// The applications.
        applications: Vec<Application>,
    },
}

/// One application of the past.
#[derive(Debug, Clone, PartialEq)]
pub struct Application {
    /// When.
    pub date: Date,
    /// Label id or product name.
    pub product: String,
    /// What lay on a place afterwards, per area.
    pub per_area: AmountPerArea,
    /// The active ingredients put down with it, by name, where the label is not on the shelf.
    pub active_ingredients: Vec<(String, quantity::MassPerArea)>,
    /// Mode-of-action group, where the label is not on the shelf.
    pub group: Option<String>,
    /// Where.
    pub place: Place,
}

/// Where an application of the past was made.
#[derive(Debug, Clone, PartialEq)]
pub enum Place {
    /// On the whole property.
    Everywhere,
    /// On the turf outside the band.
    Turf,
    /// On the band next to the structures and their walls, of this width; where no width is recorded, it
    /// is taken to be as wide as today's.
    Band(Option<Length>),
    /// On one feature of the map.
    Feature(String),
    /// On this ground.
    Ground(Region),
}

/// What was found, as it was written down.
#[derive(Debug, Clone, PartialEq)]
pub struct FindingRequest {
    /// Its name, which no other finding of the visit has.
    pub id: String,
    /// The pest, by common name, lower case.
    pub pest: String,
    /// What is known of the pest, where a profile is named or has just this name.
    pub profile: Option<Arc<pest::Profile>>,
    /// Life stage.
    pub stage: Option<String>,
    /// How it was identified.
    pub basis: String,
    /// Who identified it.
    pub identified_by: Option<String>,
    /// Counts, one a station.
    pub counts: Vec<u32>,
    /// The ways in which they were made at once, that of the ground first; none when nothing was counted.
    pub counted_on: Vec<CountBasis>,
    /// The survey that the counts come from; `None` for counts that the request tells itself.
    pub survey: Option<SurveyTold>,
    /// The threshold held against it, with its source.
    pub threshold: Option<Threshold>,
    /// Why the counts can be held against none of the thresholds that the profile publishes: all of them are told on something
    /// else, or for another stage. `None` where a threshold is told, and where nobody publishes one.
    pub unheld: Option<Problem>,
    /// Whether the treatment is preventive, and so needs a label that claims it.
    pub preventive: bool,
}

impl FindingRequest {
    /// The ground of one count, where it has one.
    pub fn count_area(&self) -> Option<quantity::Area> {
        self.counted_on.iter().find_map(|way| way.ground())
    }

    /// What was counted, in words: the pest, with what one count was made on where that is no ground, and its mounds where they
    /// were counted.
    pub fn counted(&self) -> String {
        match self.counted_on.first() {
            Some(CountBasis::Mounds(_)) => format!("{} mounds", self.pest),
            Some(CountBasis::Area(_)) | None => self.pest.clone(),
            Some(other) => format!("{}, {}", self.pest, other.words()),
        }
    }

    /// Whether a name means the pest that was found: by its profile where there is one, else by the names alone, of which one
    /// may be the general word of the other.
    pub fn is_of(&self, pest: &str) -> bool {
        pest::is_known_as(pest, &self.pest, self.profile.as_deref())
    }
}

/// Where counts come from.
#[derive(Debug, Clone, PartialEq)]
pub struct SurveyTold {
    /// The survey, as the request names it.
    pub name: String,
    /// The day of the counts.
    pub date: Date,
    /// How it was sampled.
    pub method: String,
    /// Who counted.
    pub by: String,
    /// The counts of which the place was noted.
    pub places: Vec<CountAt>,
}

/// A threshold with its place and source.
#[derive(Debug, Clone, PartialEq)]
pub struct Threshold {
    /// So many of the pest.
    pub count: f64,
    /// On what.
    pub basis: CountBasis,
    /// The life stage that it holds for; `None` where it holds for all of them.
    pub stage: Option<String>,
    /// Where and on which plants it was found to hold; `None` where the source alone says so.
    pub place: Option<String>,
    /// The publication.
    pub source: String,
}

impl Threshold {
    /// Its place and source in words.
    pub fn told(&self) -> String {
        match &self.place {
            Some(place) => format!("{place}; {}", self.source),
            None => self.source.clone(),
        }
    }
}

/// A task wanted.
#[derive(Debug, Clone, PartialEq)]
pub struct TaskRequest {
    /// Its name, unique in the visit.
    pub id: String,
    /// How.
    pub method: Method,
    /// The finding that justifies it, by its name; where `None`, the only one of its pest, or the only one.
    pub finding: Option<String>,
    /// The pest; the finding's when `None`.
    pub pest: Option<String>,
    /// Label id.
    pub label: String,
    /// The rate wanted.
    pub rate: RateWish,
    /// What else goes into the same tank, for sprayed methods; empty when nothing does.
    pub partners: Vec<PartnerRequest>,
    /// Equipment id.
    pub equipment: String,
    /// Which of the equipment's calibrations; the only one when `None`.
    pub calibration: Option<String>,
    /// Spray to be used, for methods that wet plants (`1.2 gal` on a hedge) or single places.
    pub spray: Option<Volume>,
    /// Where.
    pub target: Target,
    /// Whether these places may be treated by this task without being cut out of an earlier one
    /// (leaving the overlap unresolved). Only ever to show what an overlap would do.
    pub overlap: Overlap,
}

/// Another product in the tank of a task.
#[derive(Debug, Clone, PartialEq)]
pub struct PartnerRequest {
    /// Label id.
    pub label: String,
    /// The rate wanted.
    pub rate: RateWish,
    /// The pest that it is meant for; the task's when `None`.
    pub pest: Option<String>,
}

/// What becomes of ground that two tasks claim.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Overlap {
    /// It goes to the task that is carried out first.
    #[default]
    Resolved,
    /// Both treat it.
    Unresolved,
}

/// The rate wanted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum RateWish {
    /// The lowest on the label.
    Lowest,
    /// The highest that label, caps and history allow.
    HighestLawful,
    /// This one.
    Stated(Rate),
}

/// Where a task is wanted.
#[derive(Debug, Clone, PartialEq)]
pub enum Target {
    /// All turf that no other task claims first.
    Turf,
    /// Of that turf, the smallest ground to treat by the places where the finding was counted.
    HotSpots {
        /// The share of the infested ground that may stay untreated, as expected: 0 to below 1.
        may_stay: f64,
    },
    /// Round structures: a band on the ground and the lowest part of the walls.
    Structures {
        /// Feature ids; every structure when empty.
        features: Vec<String>,
        /// Width of the band on the ground.
        band_width: Length,
        /// Height on the wall.
        wall_height: Length,
    },
    /// These features of the map.
    Features(Vec<String>),
    /// This ground, as drawn for the visit.
    Ground(Region),
    /// Entry points of the map: the lines and points where insects get into a building.
    EntryPoints {
        /// Feature ids; every entry point when empty.
        features: Vec<String>,
        /// Width of the treated line; an entry point drawn as a point is a square of this side.
        width: Length,
    },
    /// So many places of one kind (mounds, stations), not drawn.
    Places {
        /// How many.
        count: u32,
        /// What they lie on.
        site: Site,
    },
}

/// A distance that the business keeps.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Setback {
    /// From what.
    pub feature: BufferedFeature,
    /// How far.
    pub distance: Length,
}

/// Limits of good practice, for use where a label is silent, and of the business for itself.
#[derive(Debug, Clone, PartialEq)]
pub struct Practice {
    /// Lowest wind speed.
    pub wind_at_least: Speed,
    /// Highest wind speed.
    pub wind_at_most: Speed,
    /// Rain in 24 hours from which soil counts as saturated.
    pub saturating_rain: Length,
    /// Angle between the wind and a sensitive feature within which the hour is refused, in degrees.
    pub sensitive_angle: f64,
    /// Distance up to which a sensitive feature counts against the wind.
    pub sensitive_reach: Length,
    /// Hours without rain wanted where the label is silent.
    pub rain_free: Duration,
    /// Days after which a bloom state must be looked at again.
    pub bloom_valid_days: i32,
    /// Days after which counts no longer tell what is there.
    pub survey_valid_days: i32,
    /// Days after which a calibration is stale.
    pub calibration_valid_days: i32,
    /// Greatest variation of calibration runs, sample standard deviation over mean.
    pub calibration_variation: f64,
    /// Smallest mark of the measure for liquids, where the equipment names none.
    pub graduation: Option<Graduation>,
}

impl Default for Practice {
    /// # Source
    /// Wind 3 to 8 mph absent label directions: Pesticide Environmental Stewardship, drift pages
    /// (North Carolina). Bloom, reach, angle, saturation, age of counts and of calibrations: common practice,
    /// no source.
    fn default() -> Self {
        use quantity::{DurationUnit, LengthUnit, SpeedUnit};
        Self {
            wind_at_least: Speed::new(3.0, SpeedUnit::MilePerHour),
            wind_at_most: Speed::new(8.0, SpeedUnit::MilePerHour),
            saturating_rain: Length::new(0.5, LengthUnit::Inch),
            sensitive_angle: 45.0,
            sensitive_reach: Length::new(300.0, LengthUnit::Foot),
            rain_free: Duration::new(24.0, DurationUnit::Hour),
            bloom_valid_days: 7,
            survey_valid_days: 14,
            calibration_valid_days: 365,
            calibration_variation: 0.10,
            graduation: None,
        }
    }
}
