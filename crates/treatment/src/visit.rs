//! The visit: plain data, complete. Every sheet, page and file is made from it alone.

use crate::verdict::{Figure, Origin, Status, Verdict, Working};
use geometry::Region;
use jiff::civil::{Date, DateTime};
use label::{Method, PpeTask};
use property::Property;
use quantity::{Amount, Area, Bearing, Duration, Length, Mass, Rate, Speed, Temperature, Volume, VolumePerArea};
use sprayer::MixStep;

/// One visit, planned.
#[derive(Debug, Clone)]
pub struct Visit {
    /// What the visit is for, as its request calls it.
    pub name: String,
    /// The date planned.
    pub date: Date,
    /// Offset from universal time of every local time in the visit.
    pub offset: jiff::tz::Offset,
    /// The mapped property.
    pub property: Property,
    /// What was found, and by whom, that justifies the visit; each task names one of them.
    pub findings: Vec<Finding>,
    /// Who applies, as the request says.
    pub applicator: Option<Applicator>,
    /// The partition of the property: disjoint, complete.
    pub zones: Vec<Zone>,
    /// Shapes that explain the zones on a map (setbacks as drawn), not part of the partition.
    pub setbacks: Vec<DrawnSetback>,
    /// The tasks in the order in which they are carried out.
    pub tasks: Vec<Task>,
    /// The hours of the forecast, judged.
    pub hours: Vec<Hour>,
    /// Sunrise and sunset on the date.
    pub sun: weather::SunTimes,
    /// Start times from which the whole job ends inside the lawful hours; to the minute.
    pub start_window: Option<StartWindow>,
    /// Every run of such start times on the date, in order.
    pub start_windows: Vec<StartWindow>,
    /// The whole job's time.
    pub duration: Duration,
    /// Number of tanks filled in the whole job.
    pub tanks: u32,
    /// Spray in the whole job.
    pub spray: Volume,
    /// Product by label in the whole job.
    pub products: Vec<ProductTotal>,
    /// Protective equipment for the whole job, each piece once, with its tasks and clauses.
    pub ppe: Vec<Ppe>,
    /// When people and pets may come back.
    pub keep_off: KeepOffAdvice,
    /// When water may or must be given.
    pub irrigation: IrrigationAdvice,
    /// Text and conditions to post.
    pub posting: Vec<Sentence>,
    /// What becomes of clippings and grazing, and when may be harvested and seeded.
    pub afterwards: Vec<Sentence>,
    /// Sentences of the labels that no figure of the plan proves: a person on the spot keeps them.
    pub directions: Vec<Direction>,
    /// Precautions, first aid, storage and spill advice from the labels, and the general cautions.
    pub cautions: Vec<Caution>,
    /// Verdicts on the visit as a whole (the tasks carry their own).
    pub verdicts: Vec<Verdict>,
    /// How the figures of the visit as a whole were reached.
    pub working: Vec<Working>,
    /// Named figures of the ground: areas lost to setbacks, band ring, band on paving.
    pub measures: Vec<Measure>,
    /// Broadcast and spot treatment of the same lawn, for each task whose finding was counted at places.
    pub side_by_side: Vec<SideBySide>,
}

impl Visit {
    /// What justifies the visit first of all: the first of its findings.
    pub fn finding(&self) -> Option<&Finding> {
        self.findings.first()
    }

    /// The worst verdict of the visit and its tasks.
    pub fn verdict(&self) -> Status {
        crate::verdict::worst(self.all_verdicts())
    }

    /// Every verdict: of the visit, then of each task.
    pub fn all_verdicts(&self) -> impl Iterator<Item = &Verdict> {
        self.verdicts.iter().chain(self.tasks.iter().flat_map(|task| task.verdicts.iter()))
    }
}

/// What was found that justifies treating.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// Its name in the request.
    pub id: String,
    /// The pest, by common name.
    pub pest: String,
    /// The profile of the pest, by id.
    pub profile: Option<String>,
    /// Its life stage.
    pub stage: Option<String>,
    /// How it was identified, in words.
    pub basis: String,
    /// Who identified it.
    pub identified_by: Option<String>,
    /// Mean count in the unit of the trade, with its standard error where there are several counts.
    pub density: Option<(Figure, Option<Figure>)>,
    /// Number of counts.
    pub counts: usize,
    /// The survey that the counts come from, and its day.
    pub survey: Option<(String, Date)>,
    /// The threshold held against it, with its place and source.
    pub threshold: Option<(Figure, String)>,
    /// What the counts call for.
    pub call: Call,
    /// Whether the treatment is meant to be preventive.
    pub preventive: bool,
}

/// What counts call for, as [`scouting`] decides it between its stop lines.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Call {
    /// To treat: the threshold is reached.
    Treat,
    /// To broadcast: there are more mounds than the level above which the whole lawn is treated.
    Broadcast,
    /// To treat mounds one by one, and nothing beside them.
    MoundsAlone,
    /// Not to treat: the threshold is not reached.
    DoNotTreat,
    /// To count on, about so many more.
    CountOn(u32),
    /// Nothing was counted, or no threshold is told.
    NotShown,
}

impl Call {
    /// The word used in files.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Treat => "treat",
            Self::Broadcast => "broadcast",
            Self::MoundsAlone => "mounds-alone",
            Self::DoNotTreat => "do-not-treat",
            Self::CountOn(_) => "count-on",
            Self::NotShown => "not-shown",
        }
    }
}

/// Broadcast and spot treatment of the same lawn with the same products at the same rates.
#[derive(Debug, Clone, PartialEq)]
pub struct SideBySide {
    /// The task.
    pub task: String,
    /// Whether the task goes by spots; by broadcast otherwise.
    pub is_by_spots: bool,
    /// The lawn expected to be infested, by the places of the counts.
    pub infested: Area,
    /// Infested lawn that spots are expected to leave untreated.
    pub stays: Area,
    /// All the lawn that the task may treat.
    pub broadcast: Way,
    /// The hot spots of it alone.
    pub spots: Way,
}

/// What one way of treating takes.
#[derive(Debug, Clone, PartialEq)]
pub struct Way {
    /// Ground treated.
    pub ground: Area,
    /// Each product.
    pub products: Vec<WayProduct>,
}

/// A product that one way of treating takes.
#[derive(Debug, Clone, PartialEq)]
pub struct WayProduct {
    /// The label's id.
    pub label: String,
    /// The product's name.
    pub product: String,
    /// How much of it, unrounded.
    pub amount: Amount,
    /// The active ingredients in that, by name; `None` for one that the label does not let tell.
    pub active_ingredients: Vec<(String, Option<Mass>)>,
    /// What that much costs, in words with the currency, where the tariff of the business is at hand.
    pub cost: Option<String>,
}

/// Who applies.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Applicator {
    /// Name.
    pub name: String,
    /// Certification number as printed, when the request gives one.
    pub certification: Option<String>,
    /// Whether the person is certified for the category of this work.
    pub certified: bool,
}

/// What a zone is, apart from what is done on it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum ZoneKind {
    /// A building.
    Structure,
    /// Paving.
    Paved,
    /// Food plants.
    Edible,
    /// Ornamental plants.
    Ornamental,
    /// Water inside the boundary.
    Water,
    /// Bare soil.
    BareSoil,
    /// A mulched bed.
    Mulch,
    /// Any other drawn ground on which nothing is applied (play area, no-go).
    KeptFree,
    /// The band of ground next to a structure.
    Band,
    /// Turf within the setback of a sensitive feature.
    Setback,
    /// Turf.
    Turf,
}

impl ZoneKind {
    /// Every one.
    pub const ALL: &'static [Self] = &[
        Self::Structure,
        Self::Paved,
        Self::Edible,
        Self::Ornamental,
        Self::Water,
        Self::BareSoil,
        Self::Mulch,
        Self::KeptFree,
        Self::Band,
        Self::Setback,
        Self::Turf,
    ];

    /// The word used in files and on paper.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Structure => "structure",
            Self::Paved => "paved",
            Self::Edible => "edible",
            Self::Ornamental => "ornamental",
            Self::Water => "water",
            Self::BareSoil => "bare-soil",
            Self::Mulch => "mulch",
            Self::KeptFree => "kept-free",
            Self::Band => "band",
            Self::Setback => "setback",
            Self::Turf => "turf",
        }
    }
}

/// A part of the property, with the task that treats it or the reason why none does.
#[derive(Debug, Clone)]
pub struct Zone {
    /// Short name, unique in the visit, printed on map and sheet.
    pub id: String,
    /// What it is.
    pub kind: ZoneKind,
    /// The ground.
    pub region: Region,
    /// Its area.
    pub area: Area,
    /// Its treatment.
    pub use_of: ZoneUse,
}

/// Whether a zone is treated.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ZoneUse {
    /// By the task with this id.
    Treated(String),
    /// Not, for this reason.
    NotTreated(String),
}

/// A setback as drawn on a map.
#[derive(Debug, Clone)]
pub struct DrawnSetback {
    /// The feature from which it is kept.
    pub feature: String,
    /// How far.
    pub distance: Length,
    /// The ground within it.
    pub region: Region,
}

/// One task of a visit.
#[derive(Debug, Clone)]
pub struct Task {
    /// Its name in the request, unique.
    pub id: String,
    /// The finding that justifies it, by its name; `None` where nothing written down does.
    pub finding: Option<String>,
    /// How.
    pub method: Method,
    /// The product that it names.
    pub product: TaskProduct,
    /// What else goes into the same tank; empty for most tasks.
    pub partners: Vec<TaskProduct>,
    /// Treated ground.
    pub ground: Area,
    /// Treated wall.
    pub wall: Area,
    /// Spray, for sprayed methods.
    pub spray: Option<Volume>,
    /// Spray per area that the calibration gives.
    pub output: Option<VolumePerArea>,
    /// Variation of the calibration's runs, where there are runs.
    pub output_variation: Option<f64>,
    /// Mixing order for one tank.
    pub mixing: Vec<MixStep>,
    /// The sprayer or spreader.
    pub equipment: String,
    /// Time for this task, refills included.
    pub duration: Duration,
    /// Verdicts on this task.
    pub verdicts: Vec<Verdict>,
    /// How its figures were reached.
    pub working: Vec<Working>,
}

impl Task {
    /// The product that the task names, then its partners in the tank.
    pub fn products(&self) -> impl Iterator<Item = &TaskProduct> {
        std::iter::once(&self.product).chain(&self.partners)
    }

    /// Tanks or hopper loads filled.
    pub fn loads(&self) -> usize {
        self.product.batches.len()
    }

    /// First date on which the labels of all its products allow them again.
    pub fn next_lawful(&self) -> Option<Date> {
        self.products().filter_map(|product| product.next_lawful).max()
    }
}

/// One product of a task: its rate, its amounts, and what its label still allows.
#[derive(Debug, Clone)]
pub struct TaskProduct {
    /// The label's id.
    pub label: String,
    /// The product's name.
    pub name: String,
    /// Registration number as printed on the label.
    pub registration_number: Option<String>,
    /// Signal word of the label.
    pub signal_word: label::SignalWord,
    /// What it holds.
    pub active_ingredients: Vec<label::ActiveIngredient>,
    /// The use row of the label.
    pub use_row: String,
    /// The pest.
    pub pest: String,
    /// Rate, in the label's own unit and basis.
    pub rate: Rate,
    /// Where that rate comes from.
    pub rate_origin: Origin,
    /// Rate after rounding to the measure, of a full load (or the only one).
    pub rate_after_rounding: Rate,
    /// Rate that the product measured for the whole task comes to.
    pub rate_as_measured: Rate,
    /// For a rate by dilution or by piece: what it comes to per area.
    pub area_rate: Option<Rate>,
    /// Product, unrounded.
    pub amount: Amount,
    /// Product as measured, over all batches.
    pub measured: Amount,
    /// Exact and measured product in a full tank, even when none is filled.
    pub full_load: Option<Batch>,
    /// The tanks or hopper loads, in order; the same for every product of a task.
    pub batches: Vec<Batch>,
    /// Smallest mark of the measure.
    pub graduation: Amount,
    /// What the year still allows, place by place.
    pub remaining: Vec<Remaining>,
    /// Days since the place was last treated with this product.
    pub days_since_previous: Option<i32>,
    /// First date to apply again by the label's interval alone.
    pub earliest_repeat: Option<Date>,
    /// First date to apply again by everything the label counts: interval, number and what is left at its
    /// lowest rate. `None` when the past is not known, or nothing is counted.
    pub next_lawful: Option<Date>,
    /// Named figures, such as the ceiling of a dilution or the highest lawful rate today.
    pub measures: Vec<Measure>,
}

/// One tank or hopper load.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Batch {
    /// Spray in it; `None` for dry products.
    pub spray: Option<Volume>,
    /// Product, unrounded.
    pub product: Amount,
    /// Product to measure, on the graduation.
    pub measured: Amount,
    /// Area it covers.
    pub covers: Area,
}

/// What may still be applied on a place.
#[derive(Debug, Clone, PartialEq)]
pub struct Remaining {
    /// The place.
    pub place: String,
    /// Which limit binds.
    pub limit: String,
    /// Its sentence.
    pub clause: Option<String>,
    /// Applied in the window, this visit included.
    pub total: Figure,
    /// The binding cap.
    pub cap: Figure,
    /// What is left after this visit.
    pub left: Figure,
    /// Applications left at the label's lowest rate.
    pub more_at_lowest: u32,
    /// Applications left at today's rate.
    pub more_at_todays: u32,
    /// The label's lowest rate, as a figure per area.
    pub lowest_rate: Figure,
    /// End of the window.
    pub window_ends: Date,
}

/// One hour of the forecast, judged.
#[derive(Debug, Clone, PartialEq)]
pub struct Hour {
    /// Local start.
    pub start: DateTime,
    /// Whether a job may go on in it.
    pub status: Status,
    /// Why not, or why with care; strongest first.
    pub reasons: Vec<HourReason>,
    /// Air temperature.
    pub temperature: Option<Temperature>,
    /// Wind speed.
    pub wind: Option<Speed>,
    /// Gusts.
    pub gust: Option<Speed>,
    /// Where the wind comes from.
    pub wind_from: Option<Bearing>,
    /// Rain in the hour.
    pub rain: Option<Length>,
}

/// One reason against an hour.
#[derive(Debug, Clone, PartialEq)]
pub struct HourReason {
    /// Stable code, such as `hour::wind-high`.
    pub rule: &'static str,
    /// Refused or caution.
    pub status: Status,
    /// Short words.
    pub text: String,
    /// Measured against limit, in words.
    pub detail: String,
    /// The sentence behind it.
    pub clause: Option<String>,
    /// Its page.
    pub page: Option<u32>,
    /// Where the limit comes from.
    pub origin: Origin,
}

/// The first and the last minute to start.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct StartWindow {
    /// Earliest start.
    pub first: DateTime,
    /// Latest start.
    pub last: DateTime,
    /// When the job ends if it starts at the earliest.
    pub finish_if_first: DateTime,
    /// When it ends if it starts at the latest.
    pub finish_if_last: DateTime,
}

/// Product used in the whole job.
#[derive(Debug, Clone, PartialEq)]
pub struct ProductTotal {
    /// The label's id.
    pub label: String,
    /// The product's name.
    pub product: String,
    /// Unrounded.
    pub amount: Amount,
    /// As measured.
    pub measured: Amount,
}

/// A piece of protective equipment.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ppe {
    /// In the label's words.
    pub item: String,
    /// For which tasks.
    pub tasks: Vec<PpeTask>,
    /// The sentence that asks for it.
    pub clause: Option<String>,
    /// Its page.
    pub page: Option<u32>,
}

/// When people and pets may come back.
#[derive(Debug, Clone, PartialEq)]
pub struct KeepOffAdvice {
    /// Not before, for a finish at the latest lawful minute; `None` when no hour is known.
    pub not_before: Option<DateTime>,
    /// So long after the finish at least, when a label states a time.
    pub at_least: Option<Duration>,
    /// And not before this is so as well.
    pub conditions: Vec<String>,
    /// The sentences behind it.
    pub sentences: Vec<Sentence>,
}

/// When water may or must be given.
#[derive(Debug, Clone, PartialEq)]
pub struct IrrigationAdvice {
    /// First time at which irrigation is permitted, for a finish at the latest lawful minute; `None` when
    /// no prohibition is stated or no hour known.
    pub first_permitted: Option<DateTime>,
    /// None for so long after the finish, when a label says so.
    pub prohibited_for: Option<Duration>,
    /// Depth to water in, and by when.
    pub water_in: Vec<(Length, Option<DateTime>)>,
    /// The sentences behind it.
    pub sentences: Vec<Sentence>,
}

/// A sentence of a label, with its page and the label it stands on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sentence {
    /// Verbatim.
    pub text: String,
    /// Page.
    pub page: Option<u32>,
    /// Label id; `None` for a general caution.
    pub label: Option<String>,
}

/// A sentence of a label that only a person can keep.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Direction {
    /// Its subject, by the key of a label file.
    pub subject: &'static str,
    /// How far it binds.
    pub strength: label::Strength,
    /// The sentence.
    pub sentence: Sentence,
}

/// What a caution is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum CautionSubject {
    /// The law and the label.
    Law,
    /// People and pets.
    People,
    /// Bees and other pollinators.
    Bees,
    /// Water and what lives in it.
    Water,
    /// Food plants.
    Food,
    /// First aid.
    FirstAid,
    /// Spills, storage, containers.
    Spill,
}

impl CautionSubject {
    /// The heading on paper.
    pub const fn heading(self) -> &'static str {
        match self {
            Self::Law => "The label is the law",
            Self::People => "People and pets",
            Self::Bees => "Bees",
            Self::Water => "Water",
            Self::Food => "Food plants",
            Self::FirstAid => "First aid",
            Self::Spill => "Spills and storage",
        }
    }
}

/// A caution on every sheet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Caution {
    /// About what.
    pub subject: CautionSubject,
    /// What to do.
    pub sentence: Sentence,
}

/// A named figure.
#[derive(Debug, Clone, PartialEq)]
pub struct Measure {
    /// Stable name in kebab case, such as `turf-lost-to-water-buffer`.
    pub name: String,
    /// In words.
    pub words: String,
    /// The figure.
    pub figure: Figure,
    /// Where it comes from.
    pub origin: Origin,
}
