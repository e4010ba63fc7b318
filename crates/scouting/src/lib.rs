//! Counts at stations and what they say: how many pests there are, whether a threshold is reached,
//! how many more counts would settle it, whether a treatment worked, whether pests come to stand a group of action.
//!
//! This crate must not know: products, labels, the map.

mod advice;
mod count;
mod density;
mod dispersion;
mod draws;
mod efficacy;
mod follow_up;
mod ground;
mod hot_spots;
mod mounds;
mod profile_k;
mod published;
mod resistance;
mod sample_size;
mod sampler;
mod scatter;
mod spot_evidence;
mod stop_lines;
mod surface;
mod threshold;

pub use advice::{Advice, Decided, Judging, LineErrors, advise, decide};
pub use count::{CountBasis, Counts, Interval, IntervalDoubt, counts_needed, t_value};
pub use density::{DensityEstimate, PestDensity};
pub use dispersion::{COUNTS_TO_FIT, ClumpingK, DEFAULT_K, Dispersion, DispersionBasis, DispersionEstimate};
pub use draws::{CountsByLot, Draws};
pub use efficacy::{
    Control, ControlAgainst, EXPECTED_CONTROL, Efficacy, EfficacyCounts, EfficacyDoubt, EfficacyEstimate,
    EfficacyFinding, EfficacyFormula, EfficacyScatter, EfficacyTrial, GroundCounts, IntervalBasis, PoorCause, efficacy,
};
pub use follow_up::{
    AFTER_WITHIN_DAYS, BEFORE_WITHIN_DAYS, CountNext, CountedDay, FollowUp, Followed, StationCount, TreatmentDay,
    counted_twice, follow_up, pest_key, resistance_of, too_many,
};
pub use ground::{MOST_PLACES_FOR_SURFACE, ScoutedGround};
pub use hot_spots::{HotSpotAim, HotSpots, LEAST_CHANCE, LIKELY_CHANCE, SurfaceSquare, least_chance, square_for};
pub use mounds::{MoundCall, Mounds, mounds};
pub use profile_k::k_of_profile;
pub use published::{general_name, only_published, published};
pub use resistance::{
    Resistance, ResistanceSign, ResistanceTrend, TREATMENTS_FOR_RESISTANCE, TreatmentResult, resistance,
};
pub use sample_size::{MeanAndVariance, Precision, PrecisionBy, USUAL_PRECISION, VarianceLaw, fits_earlier};
pub use sampler::{eighteen_square_foot_count, ring_area};
pub use scatter::{ClumpingInterval, LineScatter, LineScatterBasis};
pub use spot_evidence::{COUNTS_IN_SPOTS, SpotEvidence};
pub use stop_lines::{
    Characteristic, MOST_STATIONS, Stop, StopLineAim, StopLinePlan, StopLines, WaldLines, wald_lines,
};
pub use surface::{CountAt, PLACES_FOR_SURFACE, Surface, SurfaceAt, Variation};
pub use threshold::{Decision, InjuryCost, LossPerPest, Threshold, ThresholdComparison, compare, level_of, way_for};
