//! Counts, one a station, and their statistics.

use problem::{Problem, Problems};
use quantity::{Area, AreaUnit};
use statrs::distribution::{ContinuousCDF, StudentsT};

use crate::density::{DensityEstimate, PestDensity};
use crate::dispersion::ClumpingK;
use crate::scatter::Scatter;

/// On what one count was made. A count on one basis is never held against a threshold on another.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum CountBasis {
    /// On so much ground: a frame, a ring, a flush of known area.
    Area(Area),
    /// One soap flush, its area not told.
    Flush,
    /// One trap.
    Trap,
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
            Self::Flush => "per flush".into(),
            Self::Trap => "per trap".into(),
            Self::Plant => "per plant".into(),
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
        if let CountBasis::Area(area) = basis
            && !area.is_positive()
        {
            problems.push(
                Problem::error(
                    "scouting::count-area",
                    format!("area of one count `{} sq ft`", area.to(AreaUnit::SquareFoot)),
                )
                .expected("more than nothing"),
            );
        }
        match counts.len() {
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
    /// between 0 and 1. As [`Self::interval_with`] where nobody tells k.
    pub fn interval(&self, confidence: f64) -> Option<Interval> {
        self.interval_with(confidence, None)
    }

    /// The same with the k that the profile of the pest or a person tells.
    ///
    /// Counts are taken for negative binomial ones of a k that is not known: each is as likely as the counts make it, from a
    /// weak belief about what is told (else 0.67, to a factor of 3.3, and one chance in ten that they are not clumped at
    /// all). The mean has Jeffreys' weight, so that the interval is as skewed as counts are. Where no pest was found it goes
    /// from nothing to the mean at which nothing is found with half of the chance of error; not clumped that is 3.69 /
    /// stations at 0.95.
    ///
    /// # Source
    /// Jeffreys 1946, Proc. R. Soc. A 186: 453-461; for nothing found: Garwood 1936, Biometrika 28: 437-442 (both from
    /// memory). How often it holds: `docs/scouting.md`.
    pub fn interval_with(&self, confidence: f64, told: Option<ClumpingK>) -> Option<Interval> {
        if self.counts.len() < 2 || !(confidence > 0.0 && confidence < 1.0) {
            return None;
        }
        let scatter = Scatter::after(std::iter::once(self), told);
        let tail = (1.0 - confidence) / 2.0;
        let stations = self.counts.len();
        if self.total() == 0 {
            return Some(Interval { low: 0.0, high: scatter.mean_of_nothing(stations, tail) });
        }
        let end = |share| scatter.mean_at(stations, self.total(), share);
        // Of few pests that are clumped, the mean of the counts may lie beside what is likely of the true one.
        Some(Interval { low: end(tail).min(self.mean()), high: end(1.0 - tail).max(self.mean()) })
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
        // t for 17 degrees of freedom is 2.110 in any table. The counts vary less (variance 1.87) than
        // Poisson counts of this mean (2.11), so that the interval goes by 9 √38 / 18 = 3.0822.
        let poisson = 9.0 * 38_f64.sqrt() / 18.0;
        let (low, high) = density.interval.unwrap();
        assert!((low.per(AreaUnit::SquareYard) - (19.0 - 2.110 * poisson)).abs() < 0.002);
        assert!((high.per(AreaUnit::SquareYard) - (19.0 + 2.110 * poisson)).abs() < 0.002);
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
    fn counts_that_vary_more_than_by_chance_keep_their_own_error() {
        let found = counts(&[0, 9, 1, 14], CountBasis::Plant);
        // Mean 6, squares 278 - 144 = 134 over 3, over 4 stations: 3.3417; t for 3 degrees 3.182.
        let interval = found.interval(0.95).unwrap();
        assert!((interval.high - (6.0 + 3.182_446 * (134.0_f64 / 12.0).sqrt())).abs() < 1e-5);
        assert_eq!(interval.low, 0.0);
    }

    #[test]
    fn equal_counts_are_not_certain() {
        let found = counts(&[4, 4, 4, 4], CountBasis::Plant);
        // The sample's own error is nothing; Poisson counts of mean 4 have √(4 / 4) = 1.
        assert_eq!(found.standard_error(), Some(0.0));
        let interval = found.interval(0.95).unwrap();
        assert!((interval.low - (4.0 - 3.182_446)).abs() < 1e-5 && (interval.high - 7.182_446).abs() < 1e-5);
        // (3.182 x 2 / (0.2 x 4))² = 63.3.
        assert_eq!(found.counts_needed(0.2, 0.95), Some(64));
    }

    #[test]
    fn no_pest_found_is_no_proof_of_none() {
        let found = counts(&[0, 0, 0, 0, 0], square_feet(1.0));
        assert_eq!(found.standard_error(), Some(0.0));
        // Garwood's table: 3.689 is the upper 95 % limit of a Poisson mean when nothing was seen.
        let interval = found.interval(0.95).unwrap();
        assert!(interval.low == 0.0 && (interval.high - 3.689 / 5.0).abs() < 1e-4, "{interval:?}");
        // 5.298 at 99 %.
        assert!((found.interval(0.99).unwrap().high - 5.298 / 5.0).abs() < 1e-4);
        assert_eq!(found.interval(1.0), None);
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
