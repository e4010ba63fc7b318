//! What a label binds a use to, subject by subject.

use crate::clause::{Clause, Statement};
use crate::use_row::{Method, Site, words};
use quantity::{AmountPerArea, Duration, Length, MassPerArea, Speed, Temperature, VolumePerArea};

/// A lower and an upper end, either of which may be open.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Range<T> {
    /// At least.
    pub at_least: Option<T>,
    /// At most.
    pub at_most: Option<T>,
}

words! {
    /// The time over which a cap or a number of applications is counted.
    Window {
        /// 1 January to 31 December.
        CalendarYear = "calendar-year";
        /// Any twelve months in a row.
        TwelveMonths = "twelve-months";
        /// The growing season; counted as any twelve months (the strictest reading) until its dates are given.
        Season = "season";
        /// The crop; counted likewise.
        Crop = "crop";
    }
}

/// What a cap counts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum CapAmount {
    /// The product per area.
    Product(AmountPerArea),
    /// An active ingredient per area.
    ActiveIngredient(MassPerArea),
}

/// A most per area over a window.
#[derive(Debug, Clone, PartialEq)]
pub struct Cap {
    /// How much.
    pub amount: CapAmount,
    /// Which active ingredient, where the cap counts one; `None` means the label's only one.
    pub active_ingredient: Option<String>,
    /// Over which time.
    pub window: Window,
    /// Whether other products with the same active ingredient count too.
    pub counts_other_products: bool,
}

/// A most applications over a window.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ApplicationCount {
    /// How many.
    pub count: u32,
    /// Over which time.
    pub window: Window,
}

/// When people and pets may come back.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct KeepOff {
    /// At least so long after the application.
    pub at_least: Option<Duration>,
    /// And until the spray has dried.
    pub until_dry: bool,
    /// And until it has been watered in and the surface has dried.
    pub until_watered_in: bool,
}

/// What the label says of water after the application.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Irrigation {
    /// None for so long.
    ProhibitedFor(Duration),
    /// So much water within so long.
    WaterIn {
        /// Depth of water.
        depth: Length,
        /// Deadline after the application.
        within: Duration,
    },
}

/// Limits of wind.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WindLimit {
    /// At least this speed.
    pub at_least: Option<Speed>,
    /// At most this speed.
    pub at_most: Option<Speed>,
    /// Whether gusts count against the upper limit.
    pub gusts_count: bool,
}

words! {
    /// A feature that a label keeps a distance from.
    BufferedFeature {
        /// Lakes, streams, ponds, wetlands.
        Water = "water";
        /// Storm drains and ditches.
        Drain = "drain";
        /// Wells.
        Well = "well";
        /// Bee hives.
        Hive = "hive";
        /// Food plants.
        FoodPlants = "food-plants";
        /// Plants in bloom.
        BloomingPlants = "blooming-plants";
        /// The property line.
        PropertyLine = "property-line";
        /// Play areas.
        PlayArea = "play-area";
    }
}

/// A distance to keep.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Buffer {
    /// From what.
    pub feature: BufferedFeature,
    /// How far.
    pub distance: Length,
}

words! {
    /// What a label says of plants in bloom.
    BloomRule {
        /// Not on plants in bloom.
        NotInBloom = "not-in-bloom";
        /// Not while bees forage.
        NotWhileBeesForage = "not-while-bees-forage";
        /// Not before petal fall.
        AfterPetalFall = "after-petal-fall";
    }
}

words! {
    /// A task for which protective equipment is named.
    PpeTask {
        /// Mixing and loading.
        Mixing = "mixing";
        /// Applying.
        Applying = "applying";
        /// Clean-up and repair.
        CleanUp = "clean-up";
        /// Entering early.
        EarlyEntry = "early-entry";
    }
}

/// A piece of protective equipment for some tasks.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct PpeItem {
    /// The piece, in the label's words (`chemical-resistant gloves`).
    pub item: String,
    /// The tasks; never empty.
    pub tasks: Vec<PpeTask>,
}

/// Everything that a label may bind a use to. The same subjects serve the restraints of the product
/// and the constraints of a use row; [`crate::Label`] says which is meant.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Constraints {
    /// Spray volume per area.
    pub carrier: Statement<Range<VolumePerArea>>,
    /// Most per area over a window; each with its own sentence.
    pub caps: Vec<Statement<Cap>>,
    /// Most applications over a window.
    pub maximum_applications: Statement<ApplicationCount>,
    /// Days between applications.
    pub minimum_interval_days: Statement<u32>,
    /// Most applications in a row of one mode-of-action group.
    pub consecutive_same_group: Statement<u32>,
    /// When people and pets may come back.
    pub keep_off: Statement<KeepOff>,
    /// Restricted-entry interval (agricultural uses only).
    pub restricted_entry: Statement<Duration>,
    /// Days from application to harvest.
    pub harvest_interval_days: Statement<u32>,
    /// Days from application to seeding.
    pub reseeding_interval_days: Statement<u32>,
    /// What becomes of clippings and grazing, in words.
    pub clippings: Statement<String>,
    /// Hours without rain after the application.
    pub rain_free: Statement<Duration>,
    /// Water after the application.
    pub irrigation: Statement<Irrigation>,
    /// Not during rain (`true`).
    pub not_during_rain: Statement<bool>,
    /// Not on saturated soil (`true`).
    pub not_on_saturated_soil: Statement<bool>,
    /// Not on frozen soil (`true`).
    pub not_on_frozen_soil: Statement<bool>,
    /// Not to the point of runoff (`true`).
    pub not_to_runoff: Statement<bool>,
    /// Air temperature.
    pub temperature: Statement<Range<Temperature>>,
    /// Wind.
    pub wind: Statement<WindLimit>,
    /// Not during a temperature inversion (`true`).
    pub not_during_inversion: Statement<bool>,
    /// Relative humidity, 0 to 1.
    pub relative_humidity: Statement<Range<f64>>,
    /// Distances to keep; each with its own sentence.
    pub buffers: Vec<Statement<Buffer>>,
    /// On paving only as spot or crack-and-crevice treatment (`true`).
    pub impervious_spot_only: Statement<bool>,
    /// Steepest slope, rise over run.
    pub slope: Statement<f64>,
    /// Plants in bloom.
    pub bloom: Statement<BloomRule>,
    /// Protective equipment.
    pub ppe: Vec<Statement<PpeItem>>,
    /// Methods forbidden.
    pub prohibited_methods: Vec<Statement<Method>>,
    /// Sites forbidden.
    pub prohibited_sites: Vec<Statement<Site>>,
    /// Products or formulations not to be mixed with, in words.
    pub prohibited_partners: Vec<Statement<String>>,
    /// Adjuvant: required, allowed or forbidden, in words.
    pub adjuvant: Statement<String>,
    /// Mixing order in the label's words.
    pub mixing_order: Statement<String>,
    /// Acidity of the water, pH.
    pub water_ph: Statement<Range<f64>>,
    /// Mix to be used within.
    pub use_within: Statement<Duration>,
    /// Agitation, in words.
    pub agitation: Statement<String>,
    /// Droplet class, in words of ASABE S572.
    pub droplet_class: Statement<String>,
    /// Certified applicators only (`true`).
    pub certified_only: Statement<bool>,
    /// Text to post.
    pub posting: Statement<String>,
    /// Endangered-species bulletin to be looked up (`true`).
    pub endangered_species_bulletin: Statement<bool>,
    /// Whatever else is printed, each with its subject in words (`time of day`): nothing on a label has
    /// no place.
    pub others: Vec<Statement<String>>,
}

/// Hands every subject of [`Constraints`] to a macro: `one` for those with one statement, `many`
/// for lists, each with its key in a label file. The one list from which reading over all subjects
/// (differences, states, silence) is made.
macro_rules! subjects {
    ($each:ident $args:tt) => {
        $each! {
            $args
            one: carrier, maximum_applications, minimum_interval_days, consecutive_same_group, keep_off,
                restricted_entry, harvest_interval_days, reseeding_interval_days, clippings, rain_free, irrigation,
                not_during_rain, not_on_saturated_soil, not_on_frozen_soil, not_to_runoff, temperature, wind,
                not_during_inversion, relative_humidity, impervious_spot_only, slope, bloom, adjuvant, mixing_order,
                water_ph, use_within, agitation, droplet_class, certified_only, posting, endangered_species_bulletin;
            many: caps "cap", buffers "buffer", ppe "ppe", prohibited_methods "prohibited_method",
                prohibited_sites "prohibited_site", prohibited_partners "prohibited_partner",
                others "other";
        }
    };
}
pub(crate) use subjects;

impl Constraints {
    /// Every sentence with the key of its subject in a label file: none can be passed over.
    pub fn sentences(&self) -> Vec<(&'static str, &Clause)> {
        let mut found: Vec<(&'static str, &Clause)> = Vec::new();
        macro_rules! each {
            (($all:ident $found:ident) one: $($one:ident),+; many: $($many:ident $key:literal),+;) => {
                $($found.extend($all.$one.clause().map(|clause| (stringify!($one), clause)));)+
                $($found.extend($all.$many.iter().filter_map(Statement::clause).map(|clause| ($key, clause)));)+
            };
        }
        let all = self;
        subjects!(each(all found));
        found
    }

    /// Turns every statement silent whose sentence `is_foreign`.
    pub(crate) fn forget(&mut self, is_foreign: impl Fn(&Clause) -> bool) {
        macro_rules! each {
            (($all:ident) one: $($one:ident),+; many: $($many:ident $key:literal),+;) => {
                $(if $all.$one.clause().is_some_and(&is_foreign) { $all.$one = Statement::Silent; })+
                $($all.$many.retain(|statement| !statement.clause().is_some_and(&is_foreign));)+
            };
        }
        let all = self;
        subjects!(each(all));
    }
}
