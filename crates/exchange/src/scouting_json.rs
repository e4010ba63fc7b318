//! What counts call for, as data.

use crate::problems_json::ProblemJson;
use geometry::LocalPlane;
use problem::Problems;
use quantity::{AreaUnit, LengthUnit};
use schemars::JsonSchema;
use scouting::{
    Advice, Characteristic, ClumpingInterval, ClumpingK, Counts, DensityEstimate, Dispersion, DispersionBasis,
    HotSpots, LineScatterBasis, MoundCall, Mounds, Precision, PrecisionBy, ScoutedGround, SpotEvidence, Stop,
    Threshold, VarianceLaw,
};
use serde::Serialize;

/// The format of the document.
pub const FORMAT: &str = "tussock.scouting/1";

/// What counts call for.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ScoutingJson {
    /// `tussock.scouting/1`.
    pub format: &'static str,
    /// The pest.
    pub pest: String,
    /// How many counts.
    pub counts: usize,
    /// What to do.
    pub stop: StopWord,
    /// Whether to treat; absent while counting goes on.
    pub treat: Option<bool>,
    /// From which count on, from 1, the counts say so; all of them while counting goes on.
    pub decided_at: u32,
    /// How many more counts it takes on average at the mean of the counts; absent once it is decided.
    pub more_counts: Option<u32>,
    /// The mean of the counts.
    pub mean: f64,
    /// Pests per square foot, their mean; absent where they were not counted on ground.
    pub mean_per_sq_ft: Option<f64>,
    /// The interval of that mean at 95 %.
    pub interval_per_sq_ft: Option<[f64; 2]>,
    /// The threshold.
    pub threshold: ScoutingThresholdJson,
    /// k of the negative binomial, as likely as can be; absent where the counts scatter as chance alone has it. The stop lines
    /// have their own.
    pub k: Option<f64>,
    /// By what k is told: `fitted`, `not-clumped`, `told` or `default`; absent where no stop lines are walked.
    pub k_by: Option<&'static str>,
    /// The interval of k at 95 %; absent where the counts are too few to fit it.
    pub k_interval: Option<KIntervalJson>,
    /// The stop lines, in counts of one station; absent where mounds were counted.
    pub stop_lines: Option<StopLinesJson>,
    /// What live mounds call for; absent where animals were counted.
    pub mounds: Option<MoundsJson>,
    /// The total after each count, in the order in which they were made.
    pub walk: Vec<u64>,
    /// How many counts it takes to know the mean; absent where mounds were counted.
    pub precision: Option<PrecisionJson>,
    /// Where the pests are, and what to treat; absent without places.
    pub hot_spots: Option<HotSpotsJson>,
    /// What should be looked at.
    pub problems: Vec<ProblemJson>,
}

/// The interval of k.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct KIntervalJson {
    /// Its lower end.
    pub low: f64,
    /// Its upper end; absent where the counts may as well not be clumped.
    pub high: Option<f64>,
    /// Whether it is wider than need be, since counts or pests are few.
    pub is_wide: bool,
}

impl From<ClumpingInterval> for KIntervalJson {
    fn from(one: ClumpingInterval) -> Self {
        let ClumpingInterval { low, high, is_wide } = one;
        Self { low: low.value(), high: high.map(ClumpingK::value), is_wide }
    }
}

/// How many counts it takes to know a mean.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct PrecisionJson {
    /// The share of the mean that its standard error is to be.
    pub share: f64,
    /// How many counts in all it takes at the mean of these; absent where nothing was found.
    pub counts: Option<u32>,
    /// The total from which on as many counts as were made know their mean so well (Green's line); absent where so few cannot, and
    /// where Taylor's b is 2 or more: a higher density takes as many counts or more then.
    pub total: Option<f64>,
    /// Whether as many counts as it takes were made.
    pub is_reached: bool,
    /// Taylor's a and b, where earlier counts tell how the variance goes with the mean; by k else.
    pub taylor: Option<[f64; 2]>,
    /// The same by Iwao's line through the same lots; absent without earlier counts.
    pub iwao: Option<IwaoJson>,
    /// Lots of counts that tell it.
    pub lots: usize,
    /// Lots that tell nothing: without pests or without variance, or a single count.
    pub silent_lots: usize,
}

/// How many counts a mean takes by Iwao's line of mean crowding.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct IwaoJson {
    /// α, where the line of mean crowding begins.
    pub alpha: f64,
    /// β, by how much mean crowding grows with the mean.
    pub beta: f64,
    /// How many counts in all it takes at the mean of these; absent where nothing was found, or the line has no variance there.
    pub counts: Option<u32>,
    /// The total from which on as many counts as were made know their mean so well; absent where so few cannot.
    pub total: Option<f64>,
    /// Whether as many counts as it takes were made.
    pub is_reached: bool,
}

impl From<Precision> for PrecisionJson {
    fn from(one: Precision) -> Self {
        let Precision { share, by, by_iwao, lots, silent_lots } = one;
        let PrecisionBy { law, counts, total, is_reached } = by;
        let taylor = match law {
            VarianceLaw::Taylor { factor, power } => Some([factor, power]),
            _ => None,
        };
        let iwao = by_iwao.and_then(|PrecisionBy { law, counts, total, is_reached }| match law {
            VarianceLaw::Iwao { crowding, patchiness } => {
                Some(IwaoJson { alpha: crowding, beta: patchiness, counts, total, is_reached })
            }
            _ => None,
        });
        Self { share, counts, total, is_reached, taylor, iwao, lots, silent_lots }
    }
}

/// What to do.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum StopWord {
    /// At the upper line or above.
    Treat,
    /// At the lower line or below.
    DoNotTreat,
    /// Between the lines.
    CountOn,
    /// Between the lines at the most counts, and the mean at the threshold or above.
    MostReachedTreat,
    /// Between the lines at the most counts, and the mean below the threshold.
    MostReachedDoNotTreat,
}

impl From<Stop> for StopWord {
    fn from(stop: Stop) -> Self {
        match stop {
            Stop::Treat => Self::Treat,
            Stop::DoNotTreat => Self::DoNotTreat,
            Stop::CountOn => Self::CountOn,
            Stop::MostReachedTreat => Self::MostReachedTreat,
            Stop::MostReachedDoNotTreat => Self::MostReachedDoNotTreat,
        }
    }
}

/// What live mounds call for.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct MoundsJson {
    /// What to do.
    pub call: MoundCallWord,
    /// The same in words.
    pub says: String,
    /// Live mounds in all.
    pub found: u64,
    /// The ground that was walked, square feet.
    pub ground_sq_ft: f64,
    /// Mounds per acre.
    pub per_acre: f64,
    /// The level above which to broadcast, per acre.
    pub level_per_acre: f64,
    /// What the parts say of the whole lawn, per acre, at 95 %; absent of one part.
    pub interval_per_acre: Option<[f64; 2]>,
}

/// What to do about mounds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum MoundCallWord {
    /// No live mound was found.
    LeaveBe,
    /// Each by itself, and nothing beside them.
    MoundsAlone,
    /// The whole lawn, then single mounds that stay.
    Broadcast,
}

impl From<&Mounds> for MoundsJson {
    fn from(mounds: &Mounds) -> Self {
        let acre = |density: scouting::PestDensity| density.per(AreaUnit::Acre);
        Self {
            call: match mounds.call {
                MoundCall::LeaveBe => MoundCallWord::LeaveBe,
                MoundCall::Singly => MoundCallWord::MoundsAlone,
                MoundCall::Broadcast => MoundCallWord::Broadcast,
            },
            says: mounds.words(),
            found: mounds.found,
            ground_sq_ft: mounds.ground.to(AreaUnit::SquareFoot),
            per_acre: acre(mounds.density),
            level_per_acre: acre(mounds.level),
            interval_per_acre: mounds.interval.map(|(low, high)| [acre(low), acre(high)]),
        }
    }
}

/// A threshold as it was used.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ScoutingThresholdJson {
    /// How many.
    pub count: f64,
    /// On what, in the words in which it was written.
    pub per: String,
    /// Where it was published, and for where.
    pub source: String,
    /// The same as a mean of one station.
    pub per_station: f64,
    /// The mean of the counts as a share of it.
    pub share: f64,
    /// The mean of the counts on what the threshold is told on.
    pub mean: f64,
    /// The interval of that mean at 95 %; absent of one count.
    pub interval: Option<[f64; 2]>,
}

/// Stop lines with how they do. Where a line would cross the threshold, the total of which the mean is the threshold takes its
/// place: below it nothing is treated, at it or above nothing is left.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct StopLinesJson {
    /// k of the negative binomial that the lines go by.
    pub k: f64,
    /// By what: `told`, `believed` (the clumped end of what is likely, since the counts are too few to fit it and nobody tells
    /// it) or `counted` (the clumped end of what the counts make likely).
    pub k_by: &'static str,
    /// How often the lines err where pests are more clumped than they take them for; absent unless k is `believed`.
    pub if_more_clumped: Option<MoreClumpedJson>,
    /// How much the total grows with each station.
    pub slope: f64,
    /// Of the lower line.
    pub lower_intercept: f64,
    /// Of the upper line.
    pub upper_intercept: f64,
    /// How much the total grows with each station along the lower line for ground with next to nothing; the higher lower line
    /// counts.
    pub clean_slope: f64,
    /// Of that line.
    pub clean_intercept: f64,
    /// Fewest and most counts.
    pub stations: [u32; 2],
    /// How the plan does at the lower mean, at the threshold, and at the upper mean.
    pub characteristic: Vec<CharacteristicJson>,
    /// The fewest counts at most with which the plan errs no more often than stated at the two means; absent where no number up to
    /// 500 does.
    pub most_needed: Option<u32>,
    /// The fixed number of counts that errs as seldom.
    pub fixed_stations: Option<u32>,
}

/// How often lines err at a k below the one that they go by.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct MoreClumpedJson {
    /// That k.
    pub k: f64,
    /// How often they treat at the lower mean.
    pub treats_in_vain: f64,
    /// How often they leave at the upper mean.
    pub leaves_wrongly: f64,
}

/// How a plan does at a mean.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct CharacteristicJson {
    /// The mean of a station.
    pub mean: f64,
    /// How often it ends with treating.
    pub treats: f64,
    /// Counts on average.
    pub stations: f64,
}

impl From<&Characteristic> for CharacteristicJson {
    fn from(one: &Characteristic) -> Self {
        Self { mean: one.mean, treats: one.treats, stations: one.stations }
    }
}

/// Hot spots.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct HotSpotsJson {
    /// The turf, square feet.
    pub turf_sq_ft: f64,
    /// To be treated, square feet.
    pub treat_sq_ft: f64,
    /// Expected to be infested, square feet.
    pub infested_sq_ft: f64,
    /// Infested and expected to stay untreated, square feet.
    pub stays_sq_ft: f64,
    /// Whether what may stay is kept.
    pub is_met: bool,
    /// What speaks for treating that alone; absent where nothing is to be treated.
    pub evidence: Option<SpotEvidenceJson>,
    /// The ground to treat: polygons of rings of longitude and latitude.
    pub polygons: Vec<Vec<Vec<[f64; 2]>>>,
    /// Where to count next, best first: longitude and latitude.
    pub next_places: Vec<[f64; 2]>,
    /// The surface in squares; left out where it was not asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub surface: Option<SurfaceSquaresJson>,
}

/// What speaks for treating hot spots alone.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct SpotEvidenceJson {
    /// Counts made in them.
    pub counts: u32,
    /// Their mean, pests a station.
    pub mean: f64,
    /// The share of their ground that is expected to be at the threshold or above.
    pub infested: f64,
    /// Whether most of it is, and those counts alone reach the upper stop line.
    pub is_shown: bool,
}

impl From<SpotEvidence> for SpotEvidenceJson {
    fn from(one: SpotEvidence) -> Self {
        Self { counts: one.counts, mean: one.mean, infested: one.infested, is_shown: one.is_shown() }
    }
}

/// A surface in squares.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct SurfaceSquaresJson {
    /// The edge of a square, metres.
    pub square_m: f64,
    /// Every square that holds turf.
    pub squares: Vec<SurfaceSquareJson>,
}

/// A square of a surface.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct SurfaceSquareJson {
    /// Its middle: longitude and latitude.
    pub middle: [f64; 2],
    /// The share of it that is turf.
    pub turf: f64,
    /// How likely the density is at the threshold or above.
    pub chance: f64,
    /// The density that half of the chance lies above, pests per square foot.
    pub median_per_sq_ft: Option<f64>,
    /// Whether it is to be treated.
    pub treat: bool,
}

impl SurfaceSquaresJson {
    /// The squares of hot spots on a plane.
    pub fn new(spots: &HotSpots, plane: &LocalPlane) -> Self {
        let square = |one: &scouting::SurfaceSquare| SurfaceSquareJson {
            middle: position_of(plane, one.middle),
            turf: one.share,
            chance: one.chance,
            median_per_sq_ft: one.median.map(|median| median.per(AreaUnit::SquareFoot)),
            treat: one.is_treated,
        };
        Self { square_m: spots.square.to(LengthUnit::Metre), squares: spots.squares.iter().map(square).collect() }
    }
}

fn position_of(plane: &LocalPlane, point: geometry::Point) -> [f64; 2] {
    let position = plane.to_position(point);
    [position.longitude(), position.latitude()]
}

impl HotSpotsJson {
    /// Hot spots on a plane.
    pub fn new(scouted: &ScoutedGround, plane: &LocalPlane) -> Self {
        let ScoutedGround { spots, evidence, next } = scouted;
        let position = |point: &geometry::Point| position_of(plane, *point);
        let ring = |points: &[geometry::Point]| -> Vec<[f64; 2]> {
            let mut ring: Vec<[f64; 2]> = points.iter().map(position).collect();
            if ring.first() != ring.last() {
                ring.extend(ring.first().copied());
            }
            ring
        };
        let polygons = spots
            .ground
            .outlines()
            .map(|outline| std::iter::once(ring(outline.exterior())).chain(outline.holes().map(ring)).collect());
        Self {
            turf_sq_ft: spots.turf.to(AreaUnit::SquareFoot),
            treat_sq_ft: spots.ground.area().to(AreaUnit::SquareFoot),
            infested_sq_ft: spots.infested.to(AreaUnit::SquareFoot),
            stays_sq_ft: spots.stays.to(AreaUnit::SquareFoot),
            is_met: spots.is_met,
            evidence: evidence.map(SpotEvidenceJson::from),
            polygons: polygons.collect(),
            next_places: next.iter().map(position).collect(),
            surface: None,
        }
    }
}

/// The word for what tells a dispersion.
pub fn basis_word(basis: DispersionBasis) -> &'static str {
    match basis {
        DispersionBasis::Fitted => "fitted",
        DispersionBasis::NotClumped => "not-clumped",
        DispersionBasis::Told => "told",
        DispersionBasis::Default => "default",
    }
}

/// The word for what tells the k of stop lines.
pub fn line_basis_word(basis: LineScatterBasis) -> &'static str {
    match basis {
        LineScatterBasis::Told => "told",
        LineScatterBasis::Believed => "believed",
        LineScatterBasis::Counted => "counted",
    }
}

/// What counts call for: of animals between stop lines, of mounds against a level.
#[derive(Debug, Clone, Copy)]
pub enum Said<'a> {
    /// Animals.
    Lines(&'a Advice),
    /// Mounds.
    Mounds(&'a Mounds),
}

/// What a document is made from.
#[derive(Debug, Clone)]
pub struct Scouted<'a> {
    /// The pest.
    pub pest: &'a str,
    /// The counts.
    pub counts: &'a Counts,
    /// Their density, where they are on ground.
    pub density: Option<DensityEstimate>,
    /// The threshold.
    pub threshold: &'a Threshold,
    /// What they call for.
    pub said: Said<'a>,
    /// How many counts it takes to know their mean; of animals.
    pub precision: Option<Precision>,
    /// Hot spots.
    pub hot_spots: Option<HotSpotsJson>,
    /// What should be looked at.
    pub problems: &'a Problems,
}

/// The document as text, ended by a new line.
pub fn write_scouting(scouted: &Scouted<'_>) -> String {
    crate::json_text::pretty(&ScoutingJson::from(scouted))
}

impl From<&Scouted<'_>> for ScoutingJson {
    fn from(scouted: &Scouted<'_>) -> Self {
        let counts = scouted.counts;
        let walk = counts.counts().iter().scan(0, |total, &count| {
            *total += u64::from(count);
            Some(*total)
        });
        let foot = |density: scouting::PestDensity| density.per(AreaUnit::SquareFoot);
        let advice = match scouted.said {
            Said::Lines(advice) => Some(advice),
            Said::Mounds(_) => None,
        };
        let mounds = match scouted.said {
            Said::Lines(_) => None,
            Said::Mounds(mounds) => Some(mounds),
        };
        // A lawn that was walked over for mounds is not counted on: there is nothing between treating and not.
        let treats = mounds.is_some_and(|mounds| mounds.call != MoundCall::LeaveBe);
        let of_mounds = if treats { StopWord::Treat } else { StopWord::DoNotTreat };
        let level = advice.map(|advice| (advice.level, advice.comparison.share)).or_else(|| {
            let level = scouting::level_of(counts.basis(), scouted.threshold).ok()?;
            Some((level, counts.mean() / level))
        });
        let (per_station, share) = level.unwrap_or_default();
        let (mean, interval) = scouted.threshold.mean_of(counts, 0.95).unwrap_or((counts.mean(), None));
        Self {
            format: FORMAT,
            pest: scouted.pest.to_owned(),
            counts: counts.stations(),
            stop: advice.map_or(of_mounds, |advice| advice.stop.into()),
            treat: advice.map_or(Some(treats), |advice| advice.stop.treats()),
            decided_at: advice.map_or(u32::try_from(counts.stations()).unwrap_or(u32::MAX), |advice| advice.at),
            more_counts: advice.and_then(|advice| advice.more),
            mean: counts.mean(),
            mean_per_sq_ft: scouted.density.map(|density| foot(density.mean)),
            interval_per_sq_ft: scouted
                .density
                .and_then(|density| density.interval)
                .map(|(low, high)| [foot(low), foot(high)]),
            threshold: ScoutingThresholdJson {
                count: scouted.threshold.count(),
                per: scouted.threshold.per_words(),
                source: scouted.threshold.source().to_owned(),
                per_station,
                share,
                mean,
                interval: interval.map(|interval| [interval.low, interval.high]),
            },
            k: advice.and_then(|advice| match advice.dispersion.dispersion {
                Dispersion::Poisson => None,
                Dispersion::NegativeBinomial(k) => Some(k.value()),
            }),
            k_by: advice.map(|advice| basis_word(advice.dispersion.basis)),
            k_interval: advice.and_then(|_| counts.k_interval(0.95)).map(KIntervalJson::from),
            stop_lines: advice.map(StopLinesJson::from),
            mounds: mounds.map(MoundsJson::from),
            walk: walk.collect(),
            precision: scouted.precision.map(PrecisionJson::from),
            hot_spots: scouted.hot_spots.clone(),
            problems: scouted.problems.iter().map(ProblemJson::from).collect(),
        }
    }
}

impl From<&Advice> for StopLinesJson {
    fn from(advice: &Advice) -> Self {
        let lines = advice.plan.lines();
        let (least, most) = advice.plan.stations();
        Self {
            k: advice.line_scatter.k.value(),
            k_by: line_basis_word(advice.line_scatter.basis),
            if_more_clumped: advice.if_more_clumped.map(|errors| MoreClumpedJson {
                k: advice.line_scatter.more_clumped.value(),
                treats_in_vain: errors.in_vain,
                leaves_wrongly: errors.wrongly,
            }),
            slope: lines.slope,
            lower_intercept: lines.lower_intercept,
            upper_intercept: lines.upper_intercept,
            clean_slope: lines.clean_slope,
            clean_intercept: lines.clean_intercept,
            stations: [least, most],
            characteristic: advice.characteristic.iter().map(CharacteristicJson::from).collect(),
            most_needed: advice.most_needed,
            fixed_stations: advice.fixed_stations,
        }
    }
}
