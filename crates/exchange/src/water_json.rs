//! `water.json`: the water of a lawn from day to day, when it is watered, and how the sprinklers run.

use crate::json_text::pretty;
use crate::lawn_file::LawnFile;
use crate::problems_json::ProblemJson;
use crate::visit_json::SentenceJson;
use jiff::civil::{DateTime, Weekday};
use problem::Problems;
use quantity::{DurationUnit, Length, LengthUnit, TemperatureUnit, VolumeUnit};
use schemars::JsonSchema;
use season::prohibition::{Prohibition, Stretch};
use season::root_zone::BalanceDay;
use season::sprinkler::{Program, SprinklerZone};
use season::water_plan::{Permission, PlainRule, PlannedDay, Unmet, UnmetReason, WaterPlan};
use serde::Serialize;

/// The format of the document; it changes when a field changes its meaning or goes away.
pub const FORMAT: &str = "tussock.water/1";

/// The watering of a lawn. Times are local, by the clock on the wall.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[schemars(title = "Watering of a lawn")]
pub struct WaterJson {
    /// `tussock.water/1`.
    pub format: &'static str,
    /// What the lawn is called.
    pub lawn: String,
    /// The first planned day, ISO 8601.
    pub plan_from: String,
    /// Where the readings are from.
    pub place: ReadingPlaceJson,
    /// The kind of grass.
    pub grass: String,
    /// The root zone.
    pub root_zone: RootZoneJson,
    /// When water may be given.
    pub hours: WateringHoursJson,
    /// The days in order; those before `plan_from` tell what was.
    pub days: Vec<WaterDayJson>,
    /// The waterings planned, in order of time.
    pub waterings: Vec<WateringJson>,
    /// The sprinkler zones as they were measured, in the order in which they run.
    pub zones: Vec<SprinklerZoneJson>,
    /// Sums over the planned days.
    pub sums: WaterSumsJson,
    /// The rule of an inch a week over the same days.
    pub plain_rule: PlainRuleJson,
    /// When no water is given.
    pub prohibitions: Vec<ProhibitionJson>,
    /// Treatments that have to be watered in.
    pub water_in: Vec<WaterInPlanJson>,
    /// What was noticed on the way.
    pub problems: Vec<ProblemJson>,
}

/// Where readings of the weather are from.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ReadingPlaceJson {
    /// Degrees, north positive.
    pub latitude_deg: f64,
    /// Degrees, east positive.
    pub longitude_deg: f64,
    /// Height above the sea, metres.
    pub height_m: Option<f64>,
    /// Height at which the wind is measured, metres.
    pub wind_height_m: f64,
    /// Whether that is the height taken where nothing is said.
    pub is_wind_height_assumed: bool,
}

/// A root zone.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct RootZoneJson {
    /// How deep the roots go, metres.
    pub depth_m: f64,
    /// Water for plants over the depth of soil that holds it.
    pub available_water: f64,
    /// The share of it that may be used before more is given.
    pub allowed_depletion: f64,
    /// Water that it holds for plants, metres.
    pub capacity_m: f64,
    /// What of that may be used before more is given, metres.
    pub allowance_m: f64,
    /// What is gone at the beginning of the first day, metres.
    pub gone_m: f64,
}

/// When water may be given.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct WateringHoursJson {
    /// From this time of the clock on.
    pub from: String,
    /// Until this one.
    pub until: String,
    /// Days of the week, in English, lower case.
    pub days: Vec<String>,
}

/// A day of the balance: `rain_reaching_m` and `given_m` together are `used_m`, `lost_m` and what less is gone than the day before.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct WaterDayJson {
    /// ISO 8601.
    pub date: String,
    /// Whether watering is planned on it; before that it is told.
    pub is_planned: bool,
    /// Mean of the extremes of temperature, degrees Celsius.
    pub mean_temperature_cel: f64,
    /// Reference evapotranspiration, metres.
    pub reference_m: f64,
    /// How it is known: `penman-monteith`, `hargreaves-1985`, or `neighbours` for a day put between two others.
    pub reference_by: String,
    /// What well-watered grass would use, metres.
    pub need_m: f64,
    /// Rain, metres; `null` when it is not known and counts as none.
    pub rain_m: Option<f64>,
    /// Rain that reaches the roots, metres.
    pub rain_reaching_m: f64,
    /// Water given, metres.
    pub given_m: f64,
    /// What the grass uses, metres.
    pub used_m: f64,
    /// What runs through below the roots, metres.
    pub lost_m: f64,
    /// What is gone from the root zone in the evening, metres.
    pub gone_m: f64,
    /// Whether more is gone than may be.
    pub is_short: bool,
    /// Whether water may be given: `past`, `permitted`, `not-this-weekday`, `prohibited`, `watering-in` (all the while).
    pub permission: String,
    /// The stretch in which it may, where it may.
    pub permitted_from: Option<String>,
    /// Its end.
    pub permitted_until: Option<String>,
    /// The prohibition that forbids it, by its place in `prohibitions`, from 0.
    pub prohibited_by: Option<usize>,
}

/// One watering.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct WateringJson {
    /// When it begins.
    pub start: String,
    /// When the last zone stops.
    pub end: String,
    /// Depth that reaches the roots, metres.
    pub depth_m: f64,
    /// The visit whose treatment it waters in; `null` for one that the grass needs.
    pub waters_in: Option<String>,
    /// How long each zone runs; empty where no sprinkler is known.
    pub zones: Vec<ZoneRunsJson>,
    /// What the controller runs, in order of time.
    pub runs: Vec<ControllerRunJson>,
}

/// The runs of a zone in one watering.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ZoneRunsJson {
    /// The zone.
    pub zone: String,
    /// How many runs.
    pub cycles: u32,
    /// How long each of them is, minutes.
    pub minutes: u32,
    /// Water through the zone, litres; `null` where its ground is not known.
    pub water_l: Option<f64>,
}

/// A run of a zone.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct ControllerRunJson {
    /// The zone.
    pub zone: String,
    /// When it begins.
    pub start: String,
    /// How long it runs, minutes.
    pub minutes: u32,
}

/// A sprinkler zone as it was measured.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct SprinklerZoneJson {
    /// What it is called.
    pub zone: String,
    /// How fast it waters, metres in an hour.
    pub rate_m_h: f64,
    /// The ground that it waters, square metres.
    pub area_m2: Option<f64>,
    /// Minutes until its water begins to run off.
    pub until_runoff_min: f64,
    /// How many times as long as evenly falling water it runs.
    pub multiplier: f64,
    /// The catch-can audit; `null` where it was measured by its flow.
    pub audit: Option<CatchCanAuditJson>,
}

/// A catch-can audit.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct CatchCanAuditJson {
    /// Cans.
    pub cans: usize,
    /// Mean depth, metres.
    pub mean_m: f64,
    /// Mean of the lowest quarter over the mean of all.
    pub lowest_quarter_uniformity: f64,
    /// Mean of the lower half over the mean of all.
    pub lower_half_uniformity: f64,
    /// Christiansen's coefficient.
    pub christiansen_uniformity: f64,
}

/// Sums over days.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct WaterSumsJson {
    /// Rain that reaches the roots, metres.
    pub rain_reaching_m: f64,
    /// Water given, metres.
    pub given_m: f64,
    /// What the grass uses, metres.
    pub used_m: f64,
    /// What runs through below the roots, metres.
    pub lost_m: f64,
    /// Days on which the grass is short of water.
    pub short_days: usize,
}

/// The rule of an inch a week in the morning, rain of the week before counted.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct PlainRuleJson {
    /// Its waterings.
    pub waterings: Vec<PlainWateringJson>,
    /// What is gone from the root zone each evening by it, metres.
    pub gone_m: Vec<f64>,
    /// Its sums.
    pub sums: WaterSumsJson,
    /// How many of its waterings fall into prohibitions.
    pub prohibited: usize,
}

/// A watering of the plain rule.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct PlainWateringJson {
    /// The day, ISO 8601.
    pub date: String,
    /// Depth, metres.
    pub depth_m: f64,
    /// The prohibition that it falls into, by its place in `prohibitions`, from 0.
    pub prohibited_by: Option<usize>,
}

/// A stretch of time in which something is not done.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct ProhibitionJson {
    /// From when on.
    pub from: String,
    /// Until when; then it is over.
    pub until: String,
    /// Why.
    pub why: String,
    /// The sentences of labels behind it.
    pub sentences: Vec<SentenceJson>,
}

/// A treatment that has to be watered in.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct WaterInPlanJson {
    /// The visit.
    pub visit: String,
    /// How deep, metres.
    pub depth_m: f64,
    /// Not before the work is done.
    pub not_before: String,
    /// It has to be given by then.
    pub by: String,
    /// Why it cannot be: `too-slow`, `prohibited`, `over`; `null` when it is planned or was done.
    pub unmet: Option<String>,
    /// The sentences of labels behind it.
    pub sentences: Vec<SentenceJson>,
}

/// A local time, to the minute.
pub(crate) fn local(time: DateTime) -> String {
    time.strftime("%Y-%m-%dT%H:%M").to_string()
}

fn metres(length: Length) -> f64 {
    length.to(LengthUnit::Metre)
}

/// The English name of a day of the week, lower case.
pub(crate) fn weekday(day: Weekday) -> String {
    const NAMES: [&str; 7] = ["monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"];
    NAMES[usize::from(day.to_monday_zero_offset().unsigned_abs()).min(6)].to_owned()
}

impl From<&Prohibition> for ProhibitionJson {
    fn from(prohibition: &Prohibition) -> Self {
        Self {
            from: local(prohibition.from),
            until: local(prohibition.until),
            why: prohibition.why.clone(),
            sentences: prohibition.sentences.iter().map(SentenceJson::from).collect(),
        }
    }
}

impl ReadingPlaceJson {
    fn of(lawn: &LawnFile) -> Self {
        let place = lawn.place;
        Self {
            latitude_deg: place.site().latitude(),
            longitude_deg: place.site().longitude(),
            height_m: place.height().map(metres),
            wind_height_m: metres(place.wind_height()),
            is_wind_height_assumed: lawn.is_wind_height_assumed,
        }
    }
}

impl WaterJson {
    /// The document.
    pub fn new(lawn: &LawnFile, plan: &WaterPlan, problems: &Problems) -> Self {
        let request = &plan.request;
        let zone = request.root_zone;
        let (from, until) = request.hours.clock();
        Self {
            format: FORMAT,
            lawn: lawn.name.clone(),
            plan_from: request.plan_from.to_string(),
            place: ReadingPlaceJson::of(lawn),
            grass: request.grass.word().to_owned(),
            root_zone: RootZoneJson {
                depth_m: metres(zone.depth()),
                available_water: zone.available().share(),
                allowed_depletion: zone.allowed(),
                capacity_m: metres(zone.capacity()),
                allowance_m: metres(zone.allowance()),
                gone_m: metres(request.gone),
            },
            hours: WateringHoursJson {
                from: from.strftime("%H:%M").to_string(),
                until: until.strftime("%H:%M").to_string(),
                days: request.hours.weekdays().iter().copied().map(weekday).collect(),
            },
            days: plan.days.iter().map(|day| of_day(plan, day)).collect(),
            waterings: plan.programs().map(|program| of_program(plan, program)).collect(),
            zones: request.controller.zones().iter().map(of_zone).collect(),
            sums: sums(&plan.ahead().map(|day| day.balance).collect::<Vec<_>>()),
            plain_rule: of_rule(&plan.plain),
            prohibitions: request.no_watering.iter().map(ProhibitionJson::from).collect(),
            water_in: water_in(plan),
            problems: problems.iter().map(ProblemJson::from).collect(),
        }
    }
}

fn of_day(plan: &WaterPlan, day: &PlannedDay) -> WaterDayJson {
    let stretch: Option<Stretch> = match day.permission {
        Permission::Within(stretch) => Some(stretch),
        _ => None,
    };
    let (permission, prohibited_by) = match day.permission {
        Permission::Past => ("past", None),
        Permission::Within(_) => ("permitted", None),
        Permission::NotThisWeekday => ("not-this-weekday", None),
        Permission::Prohibited(by) => ("prohibited", Some(by)),
        Permission::WateringIn => ("watering-in", None),
    };
    let (weather, balance) = (&day.weather, &day.balance);
    WaterDayJson {
        date: weather.date.to_string(),
        is_planned: weather.date >= plan.request.plan_from,
        mean_temperature_cel: weather.mean.to(TemperatureUnit::Celsius),
        reference_m: metres(weather.reference),
        reference_by: weather.origin.word().to_owned(),
        need_m: metres(day.need),
        rain_m: weather.rain.map(metres),
        rain_reaching_m: metres(balance.rain),
        given_m: metres(balance.given),
        used_m: metres(balance.used),
        lost_m: metres(balance.lost),
        gone_m: metres(balance.gone),
        is_short: balance.is_short,
        permission: permission.to_owned(),
        permitted_from: stretch.map(|stretch| local(stretch.from)),
        permitted_until: stretch.map(|stretch| local(stretch.until)),
        prohibited_by,
    }
}

fn of_program(plan: &WaterPlan, program: &Program) -> WateringJson {
    let zones = plan.request.controller.zones();
    let name = |index: usize| zones.get(index).map_or_else(String::new, |zone| zone.name().to_owned());
    WateringJson {
        start: local(program.start),
        end: local(program.end),
        depth_m: metres(program.depth),
        waters_in: plan.watered_in(program).map(|water_in| water_in.visit.clone()),
        zones: zones
            .iter()
            .map(|zone| {
                let runs = zone.runs_for(program.depth);
                ZoneRunsJson {
                    zone: zone.name().to_owned(),
                    cycles: runs.cycles,
                    minutes: runs.minutes,
                    water_l: zone.water_for(runs).map(|water| water.to(VolumeUnit::Litre)),
                }
            })
            .collect(),
        runs: program
            .runs
            .iter()
            .map(|run| ControllerRunJson { zone: name(run.zone), start: local(run.start), minutes: run.minutes })
            .collect(),
    }
}

fn of_zone(zone: &SprinklerZone) -> SprinklerZoneJson {
    SprinklerZoneJson {
        zone: zone.name().to_owned(),
        rate_m_h: metres(zone.rate().per_hour()),
        area_m2: zone.area().map(|area| area.to(quantity::AreaUnit::SquareMetre)),
        until_runoff_min: zone.until_runoff().to(DurationUnit::Minute),
        multiplier: zone.multiplier(),
        audit: zone.cans().map(|cans| CatchCanAuditJson {
            cans: cans.depths().len(),
            mean_m: metres(cans.mean()),
            lowest_quarter_uniformity: cans.lowest_quarter_uniformity(),
            lower_half_uniformity: cans.lower_half_uniformity(),
            christiansen_uniformity: cans.christiansen_uniformity(),
        }),
    }
}

fn sums(days: &[BalanceDay]) -> WaterSumsJson {
    let sum = |of: fn(&BalanceDay) -> Length| metres(days.iter().map(of).sum());
    WaterSumsJson {
        rain_reaching_m: sum(|day| day.rain),
        given_m: sum(|day| day.given),
        used_m: sum(|day| day.used),
        lost_m: sum(|day| day.lost),
        short_days: days.iter().filter(|day| day.is_short).count(),
    }
}

fn of_rule(rule: &PlainRule) -> PlainRuleJson {
    PlainRuleJson {
        waterings: rule
            .waterings
            .iter()
            .map(|watering| PlainWateringJson {
                date: watering.date.to_string(),
                depth_m: metres(watering.depth),
                prohibited_by: watering.prohibited_by,
            })
            .collect(),
        gone_m: rule.days.iter().map(|day| metres(day.gone)).collect(),
        sums: sums(&rule.days),
        prohibited: rule.prohibited(),
    }
}

fn water_in(plan: &WaterPlan) -> Vec<WaterInPlanJson> {
    let unmet = |index: usize| {
        let found: Option<&Unmet> = plan.unmet.iter().find(|unmet| unmet.water_in == index);
        found.map(|unmet| match unmet.reason {
            UnmetReason::TooSlow { .. } => "too-slow".to_owned(),
            UnmetReason::Prohibited(_) => "prohibited".to_owned(),
            UnmetReason::Over => "over".to_owned(),
        })
    };
    let asked = plan.request.water_in.iter().enumerate();
    asked
        .map(|(index, asked)| WaterInPlanJson {
            visit: asked.visit.clone(),
            depth_m: metres(asked.depth),
            not_before: local(asked.not_before),
            by: local(asked.by),
            unmet: unmet(index),
            sentences: asked.sentences.iter().map(SentenceJson::from).collect(),
        })
        .collect()
}

/// The document as text.
pub fn write_water(lawn: &LawnFile, plan: &WaterPlan, problems: &Problems) -> String {
    pretty(&WaterJson::new(lawn, plan, problems))
}
