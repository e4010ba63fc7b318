//! Counts, one a station, and their statistics.

use problem::{Problem, Problems};
use quantity::{Area, AreaUnit, Length, LengthUnit};
use statrs::distribution::{ContinuousCDF, StudentsT};

use crate::density::{DensityEstimate, PestDensity};
use crate::dispersion::ClumpingK;
use crate::scatter::Scatter;

/// On what one count was made. A count on one basis is never held against a threshold on another.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum CountBasis {
    /// On so much ground: a frame, a ring, a flush of known area.
    Area(Area),
    /// Mounds, and not animals, on so much ground: a lawn, or a measured part of it.
    Mounds(Area),
    /// On a walk of this length with a drag cloth.
    Drag(Length),
    /// One soap flush or drench, its area not told.
    Flush,
    /// One trap, for nobody said how long.
    Trap,
    /// In traps for so many nights: two traps for three nights are six.
    TrapNights(u32),
    /// One plant.
    Plant,
}

impl CountBasis {
    /// In words, such as `per 0.2 sq ft` or `per flush`.
    pub fn words(self) -> String {
        match self {
            Self::Area(area) => {
                let feet = (area.to(AreaUnit::SquareFoot) * 1e4).round() / 1e4;
                format!("per {feet} sq ft")
            }
            Self::Mounds(area) => {
                let acres = (area.to(AreaUnit::Acre) * 1e4).round() / 1e4;
                format!("mounds per {acres} acre")
            }
            Self::Drag(length) => {
                let feet = (length.to(LengthUnit::Foot) * 1e2).round() / 1e2;
                format!("per {feet} ft of drag")
            }
            Self::Flush => "per flush".into(),
            Self::Trap => "per trap".into(),
            Self::TrapNights(1) => "per trap night".into(),
            Self::TrapNights(nights) => format!("per {nights} trap nights"),
            Self::Plant => "per plant".into(),
        }
    }

    /// How many of another basis one of this is, such as the thresholds on a square yard that a frame holds; `None` where the
    /// two cannot be turned into each other.
    pub fn ratio(self, other: Self) -> Option<f64> {
        match (self, other) {
            (Self::Area(one), Self::Area(other)) | (Self::Mounds(one), Self::Mounds(other)) => Some(one.ratio(other)),
            (Self::Drag(one), Self::Drag(other)) => Some(one.ratio(other)),
            (Self::TrapNights(one), Self::TrapNights(other)) => Some(f64::from(one) / f64::from(other)),
            (Self::Flush, Self::Flush) | (Self::Trap, Self::Trap) | (Self::Plant, Self::Plant) => Some(1.0),
            _ => None,
        }
    }

    /// Whether it is more than nothing.
    pub fn is_something(self) -> bool {
        match self {
            Self::Area(area) | Self::Mounds(area) => area.is_positive(),
            Self::Drag(length) => length.is_positive(),
            Self::TrapNights(nights) => nights > 0,
            Self::Flush | Self::Trap | Self::Plant => true,
        }
    }

    /// Its ground; `None` where it has none.
    pub fn ground(self) -> Option<Area> {
        match self {
            Self::Area(area) | Self::Mounds(area) => Some(area),
            _ => None,
        }
    }
}

/// An interval around a mean, in counts of one station.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Interval {
    /// Lower end; not below nothing.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

/// Below this k an interval of fewer than [`STATIONS_IF_VERY_CLUMPED`] counts holds less often than stated.
const VERY_CLUMPED: f64 = 0.5;
const STATIONS_IF_VERY_CLUMPED: usize = 30;
/// With fewer stations or fewer pests than these an interval may hold more often than stated.
const STATIONS_FOR_INTERVAL: usize = 8;
const PESTS_FOR_INTERVAL: u64 = 10;

/// Where a 95 % interval does not hold in 93 to 97 of a hundred cases, by simulation (`docs/scouting.md`).
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum IntervalDoubt {
    /// The counts are very clumped and not many: it holds in 90 to 93 of a hundred.
    HoldsLess {
        /// The k that the counts make likely.
        k: ClumpingK,
    },
    /// Few stations or few pests: it holds in 97 to 100 of a hundred, and is wider than need be.
    WiderThanNeeded,
}

impl IntervalDoubt {
    /// As a warning.
    pub fn problem(self) -> Problem {
        match self {
            Self::HoldsLess { k } => Problem::warning(
                "scouting::interval-holds-less",
                format!("these counts are very clumped (k about `{:.2}`)", k.value()),
            )
            .expected(format!("{STATIONS_IF_VERY_CLUMPED} counts or more, where the 95 % interval holds as stated; with fewer it holds in 90 to 93 cases of a hundred"))
            .mend("count at more stations"),
            Self::WiderThanNeeded => Problem::warning(
                "scouting::interval-wide",
                "there are few counts or few pests, so that the 95 % interval is wider than need be",
            )
            .expected(format!("{STATIONS_FOR_INTERVAL} counts and {PESTS_FOR_INTERVAL} pests or more"))
            .mend("count at more stations for a narrower one"),
        }
    }
}

/// Counts at stations, all on one basis.
#[derive(Debug, Clone, PartialEq)]
pub struct Counts {
    counts: Vec<u32>,
    basis: CountBasis,
}

impl Counts {
    /// Counts, one a station. A warning comes along with fewer than three.
    ///
    /// # Errors
    /// Without any count, or when the ground of one count is not more than nothing.
    pub fn new(counts: Vec<u32>, basis: CountBasis) -> Result<(Self, Problems), Problems> {
        let mut problems = Problems::new();
        if !basis.is_something() {
            problems.push(
                Problem::error("scouting::count-area", format!("one count is made `{}`", basis.words()))
                    .expected("on more than nothing"),
            );
        }
        match counts.len() {
            // A lawn walked over for mounds is counted whole, at one go.
            1 | 2 if matches!(basis, CountBasis::Mounds(_)) => {}
            0 => problems.push(Problem::error("scouting::no-counts", "no count").expected("one count a station")),
            1 | 2 => problems.push(
                Problem::warning("scouting::few-stations", format!("`{}` stations", counts.len()))
                    .expected("three stations or more")
                    .mend("count at more stations, also in the green margin"),
            ),
            _ => {}
        }
        problems.unless_errors(Self { counts, basis })
    }

    /// The counts.
    pub fn counts(&self) -> &[u32] {
        &self.counts
    }

    /// On what one count was made.
    pub fn basis(&self) -> CountBasis {
        self.basis
    }

    /// Number of stations.
    pub fn stations(&self) -> usize {
        self.counts.len()
    }

    /// All pests counted.
    pub fn total(&self) -> u64 {
        self.counts.iter().copied().map(u64::from).sum()
    }

    /// Mean count of a station.
    pub fn mean(&self) -> f64 {
        self.total() as f64 / self.counts.len() as f64
    }

    /// Sample variance (divided by stations less one); `None` with fewer than two stations.
    pub fn sample_variance(&self) -> Option<f64> {
        let mean = self.mean();
        let squares: f64 = self.counts.iter().map(|&count| (f64::from(count) - mean).powi(2)).sum();
        (self.counts.len() > 1).then(|| squares / (self.counts.len() - 1) as f64)
    }

    /// Standard error of the mean count; `None` with fewer than two stations.
    pub fn standard_error(&self) -> Option<f64> {
        self.sample_variance().map(|variance| (variance / self.counts.len() as f64).sqrt())
    }

    /// The standard error that the number of counts goes by: that of the sample, but not below what chance alone
    /// gives to counts of animals that keep no distance from each other, √(mean / stations).
    ///
    /// Counts that happen to be equal have no variance, and yet do not tell the mean for certain.
    fn certain_error(&self) -> Option<f64> {
        let poisson = (self.mean() / self.counts.len() as f64).sqrt();
        self.standard_error().map(|error| error.max(poisson))
    }

    /// The interval of the mean at a confidence such as 0.95; `None` with fewer than two stations, or a confidence not
    /// between 0 and 1.
    ///
    /// Counts are taken for negative binomial ones of a k that is not known: each is as likely as the counts make it, from a
    /// weak belief (about 0.67, to a factor of 3.3 either way, and one chance in ten that they are not clumped at all). The mean has Jeffreys' weight, so that the interval is as skewed as counts are. Where no pest was found it goes
    /// from nothing to the mean at which nothing is found with half of the chance of error; not clumped that is 3.69 /
    /// stations at 0.95.
    ///
    /// # Source
    /// Jeffreys 1946, Proc. R. Soc. A 186: 453-461; for nothing found: Garwood 1936, Biometrika 28: 437-442 (both from
    /// memory). How often it holds: `docs/scouting.md`.
    pub fn interval(&self, confidence: f64) -> Option<Interval> {
        if self.counts.len() < 2 || !(confidence > 0.0 && confidence < 1.0) {
            return None;
        }
        let tail = (1.0 - confidence) / 2.0;
        let stations = self.counts.len();
        if self.total() == 0 {
            return Some(Interval { low: 0.0, high: Scatter::before().mean_of_nothing(stations, tail) });
        }
        let scatter = Scatter::after(&[self]);
        let end = |share| scatter.mean_at(stations, self.total(), share);
        // Of few pests that are clumped, the mean of the counts may lie beside what is likely of the true one.
        Some(Interval { low: end(tail).min(self.mean()), high: end(1.0 - tail).max(self.mean()) })
    }

    /// What is to be known of the 95 % interval of these counts; `None` where it holds as often as stated.
    pub fn interval_doubt(&self) -> Option<IntervalDoubt> {
        let stations = self.counts.len();
        if stations < 2 || self.total() == 0 {
            return None;
        }
        let k = ClumpingK::new(1.0 / Scatter::after(&[self]).clumping())?;
        if stations < STATIONS_IF_VERY_CLUMPED && k.value() < VERY_CLUMPED {
            return Some(IntervalDoubt::HoldsLess { k });
        }
        (stations < STATIONS_FOR_INTERVAL || self.total() < PESTS_FOR_INTERVAL)
            .then_some(IntervalDoubt::WiderThanNeeded)
    }

    /// How many counts in all would bring the half-width of the interval to a share of the mean, if
    /// further counts vary like these, and not less than Poisson counts; `None` where that cannot be
    /// told (fewer than two stations, no pest found, a share or confidence out of range).
    pub fn counts_needed(&self, share: f64, confidence: f64) -> Option<u32> {
        let t = t_value(confidence, self.counts.len().checked_sub(1)?)?;
        let deviation = self.certain_error()? * (self.counts.len() as f64).sqrt();
        counts_needed(deviation, self.mean(), t, share)
    }

    /// As pests per area; `None` when the counts were not made on areas.
    pub fn density(&self, confidence: f64) -> Option<DensityEstimate> {
        let CountBasis::Area(area) = self.basis else { return None };
        let density = |count| PestDensity::new(count, area);
        Some(DensityEstimate {
            stations: self.counts.len(),
            mean: density(self.mean())?,
            standard_error: self.standard_error().and_then(density),
            interval: self
                .interval(confidence)
                .and_then(|interval| Some((density(interval.low)?, density(interval.high)?))),
        })
    }
}

/// Student's t for a two-sided confidence such as 0.95; `None` without a degree of freedom, or when
/// the confidence is not between 0 and 1.
pub fn t_value(confidence: f64, degrees_of_freedom: usize) -> Option<f64> {
    if !(confidence > 0.0 && confidence < 1.0) || degrees_of_freedom == 0 {
        return None;
    }
    let distribution = StudentsT::new(0.0, 1.0, degrees_of_freedom as f64).ok()?;
    Some(distribution.inverse_cdf(f64::midpoint(1.0, confidence)))
}

/// Counts needed for an interval of plus and minus a share of the mean: (t s / (share x mean))²,
/// rounded up. `None` unless the mean and the share are more than nothing and all are finite.
pub fn counts_needed(standard_deviation: f64, mean: f64, t: f64, share: f64) -> Option<u32> {
    let needed = (t * standard_deviation / (share * mean)).powi(2);
    let sound = mean > 0.0 && share > 0.0 && standard_deviation >= 0.0 && needed.is_finite();
    // Nine counts and a rounding error are nine.
    (sound && needed <= f64::from(u32::MAX)).then(|| (needed - 1e-9).ceil().max(1.0) as u32)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn counts(values: &[u32], basis: CountBasis) -> Counts {
        Counts::new(values.to_vec(), basis).unwrap().0
    }

    fn square_feet(value: f64) -> CountBasis {
        CountBasis::Area(Area::new(value, AreaUnit::SquareFoot))
    }

    #[test]
    fn eighteen_square_feet_of_grasshoppers() {
        let found = counts(&[2, 1, 3, 0, 2, 4, 1, 2, 3, 5, 2, 1, 0, 3, 4, 2, 1, 2], square_feet(1.0));
        // 38 on 18 sq ft; squares 112 - 38²/18 = 31.7778, over 17 degrees of freedom.
        assert!((found.sample_variance().unwrap() - (112.0 - 38.0 * 38.0 / 18.0) / 17.0).abs() < 1e-12);
        let density = found.density(0.95).unwrap();
        assert!((density.mean.per(AreaUnit::SquareYard) - 19.0).abs() < 1e-12);
        let error = density.standard_error.unwrap().per(AreaUnit::SquareYard);
        assert!((error - 2.900_304_243_675_541_3).abs() < 1e-12);
        // The ends of the mean count, by quadrature (`tests/reference/intervals.csv`), nine times for the square yard.
        let (low, high) = density.interval.unwrap();
        assert!((low.per(AreaUnit::SquareYard) - 9.0 * 1.468_555).abs() < 0.002);
        assert!((high.per(AreaUnit::SquareYard) - 9.0 * 3.010_94).abs() < 0.002);
    }

    #[test]
    fn faults_and_doubts_are_reported() {
        let codes = |result: Result<(Counts, Problems), Problems>| -> Vec<_> {
            let problems = match result {
                Ok((_, problems)) | Err(problems) => problems,
            };
            problems.iter().map(|problem| problem.code).collect()
        };
        assert_eq!(codes(Counts::new(vec![], square_feet(0.0))), ["scouting::count-area", "scouting::no-counts"]);
        assert_eq!(codes(Counts::new(vec![1, 2], CountBasis::Flush)), ["scouting::few-stations"]);
        assert_eq!(codes(Counts::new(vec![1, 2, 3], CountBasis::Flush)), [""; 0]);
    }

    #[test]
    fn one_station_or_no_pest_leaves_the_spread_unknown() {
        let one = counts(&[4], square_feet(1.0));
        assert_eq!((one.sample_variance(), one.interval(0.95), one.counts_needed(0.2, 0.95)), (None, None, None));
        assert!(one.density(0.95).unwrap().standard_error.is_none());
        assert_eq!(counts(&[0, 0, 0], square_feet(1.0)).counts_needed(0.2, 0.95), None);
        assert!(counts(&[1, 2, 3], CountBasis::Trap).density(0.95).is_none());
        assert_eq!((t_value(1.0, 4), t_value(f64::NAN, 4), t_value(0.95, 0)), (None, None, None));
    }

    #[test]
    fn equal_counts_are_not_certain() {
        let found = counts(&[4, 4, 4, 4], CountBasis::Plant);
        assert_eq!(found.standard_error(), Some(0.0));
        let interval = found.interval(0.95).unwrap();
        // Four Poisson counts of 16 in all go from 2.29 to 6.50 (Garwood); these may be clumped.
        assert!(interval.low < 2.29 && interval.high > 6.50, "{interval:?}");
        // By √(4 / 4) = 1, the error of Poisson counts:
        // (3.182 x 2 / (0.2 x 4))² = 63.3.
        assert_eq!(found.counts_needed(0.2, 0.95), Some(64));
    }

    #[test]
    fn no_pest_found_is_no_proof_of_none() {
        let found = counts(&[0, 0, 0, 0, 0], square_feet(1.0));
        assert_eq!(found.standard_error(), Some(0.0));
        // Garwood's table: 3.689 is the upper 95 % limit of a Poisson mean when nothing was seen, 5.298 at 99 %; clumped
        // pests are missed more easily.
        let [interval, wider] = [0.95, 0.99].map(|confidence| found.interval(confidence).unwrap());
        assert!(interval.low == 0.0 && interval.high > 3.689 / 5.0, "{interval:?}");
        assert!(wider.high > 5.298 / 5.0 && wider.high > interval.high);
        assert_eq!(found.interval(1.0), None);
    }

    #[test]
    fn where_an_interval_holds_less_or_more_it_is_said() {
        let doubt = |values: &[u32]| counts(values, CountBasis::Plant).interval_doubt();
        assert!(matches!(doubt(&[0, 0, 40, 0, 1, 0, 0, 90, 0, 0, 0, 3]), Some(IntervalDoubt::HoldsLess { .. })));
        assert_eq!(doubt(&[4, 6, 3, 5]), Some(IntervalDoubt::WiderThanNeeded));
        assert_eq!(doubt(&[1, 0, 1, 0, 0, 1, 0, 2, 0, 1]), Some(IntervalDoubt::WiderThanNeeded));
        assert_eq!(doubt(&[4, 6, 3, 5, 8, 2, 4, 1, 7, 3]), None);
        assert_eq!((doubt(&[0, 0, 0]), doubt(&[7])), (None, None));
    }

    #[test]
    fn nine_counts_settle_a_fifth_of_the_mean() {
        // (2.776 x 2.12 / 2)² = 8.7.
        assert_eq!(counts_needed(2.12, 10.0, 2.776, 0.2), Some(9));
        assert_eq!(counts_needed(3.0, 10.0, 2.0, 0.2), Some(9));
        assert_eq!(counts_needed(0.0, 10.0, 2.0, 0.2), Some(1));
        assert_eq!(counts_needed(2.0, 0.0, 2.0, 0.2), None);
        assert_eq!(counts_needed(f64::NAN, 10.0, 2.0, 0.2), None);
    }

    proptest! {
        #[test]
        fn the_interval_holds_the_mean_and_grows_with_confidence(
            values in prop::collection::vec(0_u32..200, 2..60), confidence in 0.5..0.98_f64,
        ) {
            let found = counts(&values, square_feet(0.25));
            let interval = found.interval(confidence).unwrap();
            let wider = found.interval(confidence + 0.01).unwrap();
            prop_assert!(0.0 <= interval.low && interval.low <= found.mean() && found.mean() <= interval.high);
            prop_assert!(wider.low <= interval.low && wider.high >= interval.high);
            let density = found.density(confidence).unwrap();
            let area = Area::new(0.25, AreaUnit::SquareFoot);
            prop_assert!((density.mean.on(area) - found.mean()).abs() <= 1e-9 * found.mean().max(1.0));
        }
    }
}
