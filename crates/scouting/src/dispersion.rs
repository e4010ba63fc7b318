//! How counts scatter about their mean: as chance alone has it, or clumped.

use statrs::function::gamma::{digamma, ln_gamma};

use crate::count::Counts;

/// With fewer counts than this, k is not fitted: its estimate would say little. Common practice, no source.
pub const COUNTS_TO_FIT: usize = 15;

/// The k that stands in for the scatter of a surface where counts cannot tell it and no profile of the pest does: clumped, as
/// insects in turf commonly are. Common practice, no source. Stop lines do not go by it ([`Counts::line_scatter`]).
pub const DEFAULT_K: f64 = 1.0;

/// How counts of one density scatter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Dispersion {
    /// By chance alone: the variance is the mean.
    Poisson,
    /// Clumped: the variance is mean + mean² / k. The smaller k, the more clumped.
    NegativeBinomial(ClumpingK),
}

/// The k of the negative binomial: above nothing and finite.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct ClumpingK(f64);

impl ClumpingK {
    /// A k; `None` unless above nothing and finite.
    pub fn new(k: f64) -> Option<Self> {
        (k.is_finite() && k > 0.0).then_some(Self(k))
    }

    /// One that is known to be above nothing and finite.
    pub(crate) fn known(k: f64) -> Self {
        Self(k)
    }

    /// Its value.
    pub fn value(self) -> f64 {
        self.0
    }
}

impl Dispersion {
    /// The negative binomial of a k; `None` unless above nothing and finite.
    pub fn clumped(k: f64) -> Option<Self> {
        ClumpingK::new(k).map(Self::NegativeBinomial)
    }

    /// The variance of counts of a mean.
    pub fn variance(self, mean: f64) -> f64 {
        match self {
            Self::Poisson => mean,
            Self::NegativeBinomial(k) => mean + mean * mean / k.0,
        }
    }

    /// The logarithm of the chance of a count at a mean above nothing.
    ///
    /// # Source
    /// Bliss and Fisher 1953, Biometrics 9: 176-200: Γ(x + k) / (x! Γ(k)) · (k / (k + m))^k · (m / (k + m))^x.
    pub fn ln_chance(self, count: u64, mean: f64) -> f64 {
        let x = count as f64;
        match self {
            Self::Poisson => x * mean.ln() - mean - ln_gamma(x + 1.0),
            Self::NegativeBinomial(ClumpingK(k)) => {
                ln_gamma(x + k) - ln_gamma(x + 1.0) - ln_gamma(k) - k * (mean / k).ln_1p()
                    + x * (mean / (k + mean)).ln()
            }
        }
    }

    /// The logarithm of how much likelier one pest more is than so many, at a mean above nothing.
    pub(crate) fn ln_growth(self, count: u32, mean: f64) -> f64 {
        let x = f64::from(count);
        match self {
            Self::Poisson => (mean / (x + 1.0)).ln(),
            Self::NegativeBinomial(ClumpingK(k)) => ((x + k) / (x + 1.0) * mean / (k + mean)).ln(),
        }
    }

    /// The same for the total of so many stations of one mean: their sum is scattered likewise.
    pub(crate) fn of_total(self, stations: u32) -> Self {
        match self {
            Self::Poisson => Self::Poisson,
            Self::NegativeBinomial(ClumpingK(k)) => Self::NegativeBinomial(ClumpingK(k * f64::from(stations))),
        }
    }
}

/// By what a dispersion is told.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum DispersionBasis {
    /// Fitted to the counts by maximum likelihood.
    Fitted,
    /// The counts scatter no more than chance has it.
    NotClumped,
    /// Told by whoever asks, such as the profile of the pest.
    Told,
    /// [`DEFAULT_K`]: too few counts to fit, and nobody tells.
    Default,
}

/// A dispersion with its basis.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DispersionEstimate {
    /// How counts scatter.
    pub dispersion: Dispersion,
    /// By what.
    pub basis: DispersionBasis,
    /// The k of the moments, mean² / (variance - mean), beside a fitted one.
    pub by_moments: Option<ClumpingK>,
}

impl Counts {
    /// k by moments, mean² / (variance - mean); `None` where the counts are not clumped, or fewer than two.
    pub fn k_by_moments(&self) -> Option<ClumpingK> {
        let (mean, variance) = (self.mean(), self.sample_variance()?);
        ClumpingK::new(mean * mean / (variance - mean))
    }

    /// k by maximum likelihood; `None` where the likelihood grows without end as k does: the counts are not clumped.
    ///
    /// # Source
    /// Bliss and Fisher 1953: with the mean of the counts for m, k solves
    /// Σ (ψ(x + k) - ψ(k)) = n ln(1 + m / k).
    pub fn k_by_likelihood(&self) -> Option<ClumpingK> {
        let mean = self.mean();
        if self.sample_variance_of_all() <= mean || mean <= 0.0 {
            return None;
        }
        let stations = self.stations() as f64;
        let slope = |ln_k: f64| {
            let k = ln_k.exp();
            let sum: f64 = self.counts().iter().map(|&count| digamma(f64::from(count) + k) - digamma(k)).sum();
            sum - stations * (mean / k).ln_1p()
        };
        // The slope falls through nothing once: above it left of the estimate, below it right of it.
        let (mut low, mut high) = (-12.0, 12.0);
        if slope(low) <= 0.0 || slope(high) >= 0.0 {
            return None;
        }
        for _ in 0..100 {
            let middle = f64::midpoint(low, high);
            if slope(middle) > 0.0 { low = middle } else { high = middle }
        }
        ClumpingK::new(f64::midpoint(low, high).exp())
    }

    /// Whether there are enough counts to fit k, and the pest was found in two or more.
    pub(crate) fn tells_k(&self) -> bool {
        self.stations() >= COUNTS_TO_FIT && self.counts().iter().filter(|&&count| count > 0).nth(1).is_some()
    }

    /// How the counts scatter, as likely as can be: fitted where there are at least [`COUNTS_TO_FIT`] and the pest was found in two or more;
    /// else by the k that is told, else by [`DEFAULT_K`].
    pub fn dispersion(&self, told: Option<ClumpingK>) -> DispersionEstimate {
        if self.tells_k() {
            let by_moments = self.k_by_moments();
            return match self.k_by_likelihood() {
                Some(k) => DispersionEstimate {
                    dispersion: Dispersion::NegativeBinomial(k),
                    basis: DispersionBasis::Fitted,
                    by_moments,
                },
                None => DispersionEstimate {
                    dispersion: Dispersion::Poisson,
                    basis: DispersionBasis::NotClumped,
                    by_moments,
                },
            };
        }
        let (k, basis) = match told {
            Some(k) => (k, DispersionBasis::Told),
            None => (ClumpingK(DEFAULT_K), DispersionBasis::Default),
        };
        DispersionEstimate { dispersion: Dispersion::NegativeBinomial(k), basis, by_moments: None }
    }

    /// Variance divided by the number of stations, by which the likelihood has an estimate of k or has none.
    fn sample_variance_of_all(&self) -> f64 {
        let stations = self.stations() as f64;
        self.sample_variance().map_or(0.0, |variance| variance * (stations - 1.0) / stations)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::count::CountBasis;
    use proptest::prelude::*;

    fn counts(values: &[u32]) -> Counts {
        Counts::new(values.to_vec(), CountBasis::Plant).unwrap().0
    }

    #[test]
    fn chances_add_up_to_one_and_have_their_mean() {
        for dispersion in [Dispersion::Poisson, Dispersion::clumped(0.4).unwrap(), Dispersion::clumped(7.0).unwrap()] {
            for mean in [0.1, 2.0, 15.0] {
                let chance = |count: u64| dispersion.ln_chance(count, mean).exp();
                let sum: f64 = (0..4_000).map(chance).sum();
                let first: f64 = (0..4_000).map(|count| count as f64 * chance(count)).sum();
                let second: f64 = (0..4_000).map(|count| (count as f64 - mean).powi(2) * chance(count)).sum();
                assert!((sum - 1.0).abs() < 1e-9 && (first - mean).abs() < 1e-7, "{dispersion:?} {mean}");
                assert!((second / dispersion.variance(mean) - 1.0).abs() < 1e-6, "{dispersion:?} {mean} {second}");
            }
        }
    }

    #[test]
    fn few_counts_take_what_is_told_and_even_ones_are_not_clumped() {
        let told = ClumpingK::new(1.5);
        let few = counts(&[0, 3, 9, 1]);
        assert_eq!(few.dispersion(told).basis, DispersionBasis::Told);
        assert_eq!(few.dispersion(None).basis, DispersionBasis::Default);
        let even = counts(&[2; 20]).dispersion(told);
        assert_eq!((even.dispersion, even.basis), (Dispersion::Poisson, DispersionBasis::NotClumped));
        assert_eq!(counts(&[0; 20]).dispersion(told).basis, DispersionBasis::Told, "nothing found tells nothing of k");
        assert!(ClumpingK::new(0.0).is_none() && ClumpingK::new(f64::INFINITY).is_none());
    }

    proptest! {
        /// The estimate is where the likelihood is highest.
        #[test]
        fn no_other_k_is_likelier(values in prop::collection::vec(0_u32..40, 15..60), by in 0.2_f64..5.0) {
            let counts = counts(&values);
            let likelihood = |k: f64| -> f64 {
                let dispersion = Dispersion::clumped(k).unwrap();
                counts.counts().iter().map(|&count| dispersion.ln_chance(u64::from(count), counts.mean())).sum()
            };
            if let Some(k) = counts.k_by_likelihood() {
                let best = likelihood(k.value());
                prop_assert!(likelihood(k.value() * by) <= best + 1e-7 * best.abs());
                prop_assert!(likelihood(k.value() * 1.001) <= best + 1e-9 * best.abs());
            }
        }
    }
}
