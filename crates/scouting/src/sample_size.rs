//! How many counts a density needs that is to be known to a share of itself, and when enough pests were found for it.

use problem::{Problem, Problems};
use statrs::statistics::Statistics;

use crate::count::{CountBasis, Counts};
use crate::dispersion::{ClumpingK, Dispersion};

/// How the variance of counts goes with their mean, by one of the laws in use.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum VarianceLaw {
    /// Variance = mean + mean² / k.
    NegativeBinomial(ClumpingK),
    /// Taylor's power law: variance = a · mean^b.
    Taylor {
        /// a.
        factor: f64,
        /// b.
        power: f64,
    },
    /// Iwao's line of mean crowding: variance = (α + 1) · mean + (β - 1) · mean².
    Iwao {
        /// α.
        crowding: f64,
        /// β.
        patchiness: f64,
    },
}

impl VarianceLaw {
    /// The variance of counts of a mean.
    pub fn variance(self, mean: f64) -> f64 {
        match self {
            Self::NegativeBinomial(k) => mean + mean * mean / k.value(),
            Self::Taylor { factor, power } => factor * mean.powf(power),
            Self::Iwao { crowding, patchiness } => (crowding + 1.0) * mean + (patchiness - 1.0) * mean * mean,
        }
    }

    /// How many counts make the standard error of the mean a share of it, such as 0.25, not rounded: variance / (share ·
    /// mean)²; `None` unless mean and share are above nothing.
    ///
    /// # Source
    /// For the three laws (from memory): a · m^(b - 2) / D²; (1 / m + 1 / k) / D²; ((α + 1) / m + β - 1) / D².
    pub fn counts_for(self, mean: f64, share: f64) -> Option<f64> {
        let needed = self.variance(mean) / (share * mean).powi(2);
        (mean > 0.0 && share > 0.0 && needed.is_finite() && needed >= 0.0).then_some(needed)
    }

    /// Green's stop line: the total at which so many counts know the density to a share of itself; `None` where the law
    /// has no such line there.
    ///
    /// # Source
    /// Green 1970, Res. Popul. Ecol. 12: 249-251 (from memory): the total T with variance(T / n) = n · (share · T / n)².
    /// For Taylor's law ln T = (ln(D² / a) + (b - 1) · ln n) / (b - 2), which falls as n grows.
    pub fn precise_total(self, counts: u32, share: f64) -> Option<f64> {
        let (n, d) = (f64::from(counts), share);
        let total = match self {
            // From a power of 2 on more pests do not make it known better.
            Self::Taylor { power, .. } if power >= 2.0 => return None,
            Self::Taylor { factor, power } => (n.powf(power - 1.0) * d * d / factor).powf(1.0 / (power - 2.0)),
            // variance / mean² = 1 / mean + 1 / k = n D², and so on.
            Self::NegativeBinomial(k) => n / (n * d * d - 1.0 / k.value()),
            Self::Iwao { crowding, patchiness } => n * (crowding + 1.0) / (n * d * d - (patchiness - 1.0)),
        };
        (counts > 0 && total.is_finite() && total > 0.0).then_some(total)
    }

    /// Taylor's law through means and variances of several lots of counts, by least squares of the logarithms; those
    /// without pests or variance tell nothing.
    ///
    /// # Errors
    /// Fewer than three lots that tell, or all of one mean.
    ///
    /// # Source
    /// Taylor 1961, Nature 189: 732-735 (from memory).
    pub fn taylor(lots: &[MeanAndVariance]) -> Result<Self, Problems> {
        let telling: Vec<(f64, f64)> = lots
            .iter()
            .filter(|lot| lot.mean > 0.0 && lot.variance > 0.0)
            .map(|lot| (lot.mean.ln(), lot.variance.ln()))
            .collect();
        let (intercept, slope) = line(&telling).ok_or_else(|| too_few(telling.len()))?;
        Ok(Self::Taylor { factor: intercept.exp(), power: slope })
    }

    /// Iwao's law through means and variances of several lots of counts, by least squares of mean crowding, mean +
    /// variance / mean - 1, on the mean.
    ///
    /// # Errors
    /// As [`Self::taylor`].
    ///
    /// # Source
    /// Lloyd 1967, J. Anim. Ecol. 36: 1-30; Iwao 1968, Res. Popul. Ecol. 10: 1-20 (both from memory).
    pub fn iwao(lots: &[MeanAndVariance]) -> Result<Self, Problems> {
        let telling: Vec<(f64, f64)> = lots
            .iter()
            .filter(|lot| lot.mean > 0.0)
            .map(|lot| (lot.mean, lot.mean + lot.variance / lot.mean - 1.0))
            .collect();
        let (crowding, patchiness) = line(&telling).ok_or_else(|| too_few(telling.len()))?;
        Ok(Self::Iwao { crowding, patchiness })
    }
}

/// The share of the mean that its standard error is usually to be, for a decision. Southwood 1978, Ecological Methods (from
/// memory).
pub const USUAL_PRECISION: f64 = 0.25;

/// How well counts know their mean, and what it takes to know it as well as is wanted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Precision {
    /// The share of the mean that its standard error is to be.
    pub share: f64,
    /// How the variance goes with the mean.
    pub law: VarianceLaw,
    /// Lots of counts that tell that: this one, and earlier ones.
    pub lots: usize,
    /// How many counts in all it takes at the mean of these; `None` where nothing was found.
    pub counts: Option<u32>,
    /// Green's line at as many counts as were made: the total from which on they know their mean so well; `None` where so few
    /// cannot.
    pub total: Option<f64>,
    /// Whether the total of these is there.
    pub is_reached: bool,
}

impl Precision {
    /// Of counts, by Taylor's law through them and earlier ones of the same pest, or by their own k where there are none.
    ///
    /// # Errors
    /// A share that is not between 0 and 1, earlier counts on another basis, and as [`VarianceLaw::taylor`] where there are
    /// earlier ones.
    pub fn of(counts: &Counts, earlier: &[Counts], share: f64, told_k: Option<ClumpingK>) -> Result<Self, Problems> {
        let mut problems = Problems::new();
        if !(share > 0.0 && share < 1.0) {
            problems.push(
                Problem::error("scouting::precision", format!("a standard error of `{share}` of the mean"))
                    .expected("above 0 and below 1, such as 0.25"),
            );
        }
        for other in earlier.iter().filter(|other| !is_same(counts.basis(), other.basis())) {
            problems.push(
                Problem::error(
                    "scouting::earlier-basis",
                    format!("earlier counts are `{}`, and these `{}`", other.basis().words(), counts.basis().words()),
                )
                .expected("one area of a count: the scatter goes with it")
                .mend("leave the earlier ones out"),
            );
        }
        problems.unless_errors(())?;
        let law = if earlier.is_empty() {
            match counts.dispersion(told_k).dispersion {
                Dispersion::NegativeBinomial(k) => VarianceLaw::NegativeBinomial(k),
                // Variance = mean.
                Dispersion::Poisson => VarianceLaw::Iwao { crowding: 0.0, patchiness: 1.0 },
            }
        } else {
            let lots: Vec<MeanAndVariance> = earlier.iter().chain([counts]).filter_map(MeanAndVariance::of).collect();
            VarianceLaw::taylor(&lots)?
        };
        let made = u32::try_from(counts.stations()).unwrap_or(u32::MAX);
        let total = law.precise_total(made, share);
        Ok(Self {
            share,
            law,
            lots: earlier.len() + 1,
            // As many and a rounding error are as many.
            counts: law.counts_for(counts.mean(), share).map(|needed| (needed - 1e-9).ceil().max(1.0) as u32),
            total,
            is_reached: total.is_some_and(|total| counts.total() as f64 >= total),
        })
    }
}

impl MeanAndVariance {
    /// Of counts; `None` with fewer than two.
    pub fn of(counts: &Counts) -> Option<Self> {
        Some(Self { mean: counts.mean(), variance: counts.sample_variance()? })
    }
}

fn is_same(one: CountBasis, other: CountBasis) -> bool {
    match (one, other) {
        (CountBasis::Area(one), CountBasis::Area(other)) => (one.ratio(other) - 1.0).abs() < 1e-9,
        (one, other) => one == other,
    }
}

/// Mean and variance of one lot of counts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MeanAndVariance {
    /// Mean of a station.
    pub mean: f64,
    /// Sample variance.
    pub variance: f64,
}

fn too_few(lots: usize) -> Problems {
    Problem::error("scouting::few-lots", format!("`{lots}` lots of counts tell how the variance goes with the mean"))
        .expected("three or more with pests, of means that differ")
        .mend("state k, or use the lots of more visits")
        .into()
}

/// Intercept and slope by least squares; `None` for fewer than three points, or all of one x.
fn line(points: &[(f64, f64)]) -> Option<(f64, f64)> {
    if points.len() < 3 {
        return None;
    }
    let mean_x = points.iter().map(|point| point.0).mean();
    let mean_y = points.iter().map(|point| point.1).mean();
    let across: f64 = points.iter().map(|point| (point.0 - mean_x) * (point.1 - mean_y)).sum();
    let along: f64 = points.iter().map(|point| (point.0 - mean_x).powi(2)).sum();
    (along > 0.0).then(|| (mean_y - across / along * mean_x, across / along))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        /// On the stop line the standard error is the share of the mean, by every law.
        #[test]
        fn on_the_line_the_density_is_known_to_the_share(
            counts in 10_u32..200, share in 0.1_f64..0.5, k in 0.5_f64..5.0, factor in 0.8_f64..4.0, power in 1.05_f64..1.9,
            crowding in 0.0_f64..2.0, patchiness in 1.0_f64..2.0,
        ) {
            for law in [
                VarianceLaw::NegativeBinomial(ClumpingK::new(k).unwrap()),
                VarianceLaw::Taylor { factor, power },
                VarianceLaw::Iwao { crowding, patchiness },
            ] {
                let Some(total) = law.precise_total(counts, share) else { continue };
                let needed = law.counts_for(total / f64::from(counts), share).unwrap();
                prop_assert!((needed / f64::from(counts) - 1.0).abs() < 1e-9, "{law:?} {needed} {counts}");
            }
        }

        /// A law is found again from what it makes.
        #[test]
        fn laws_are_found_again(factor in 0.8_f64..4.0, power in 1.05_f64..1.9, crowding in 0.0_f64..2.0, patchiness in 1.0_f64..2.0) {
            let lots = |law: VarianceLaw| -> Vec<MeanAndVariance> {
                [0.5, 1.0, 4.0, 9.0].map(|mean| MeanAndVariance { mean, variance: law.variance(mean) }).to_vec()
            };
            let VarianceLaw::Taylor { factor: a, power: b } =
                VarianceLaw::taylor(&lots(VarianceLaw::Taylor { factor, power })).unwrap() else { unreachable!() };
            prop_assert!((a - factor).abs() < 1e-9 && (b - power).abs() < 1e-9);
            let VarianceLaw::Iwao { crowding: a, patchiness: b } =
                VarianceLaw::iwao(&lots(VarianceLaw::Iwao { crowding, patchiness })).unwrap() else { unreachable!() };
            prop_assert!((a - crowding).abs() < 1e-9 && (b - patchiness).abs() < 1e-9);
        }
    }

    fn counts(values: &[u32]) -> Counts {
        Counts::new(values.to_vec(), CountBasis::Plant).unwrap().0
    }

    #[test]
    fn how_many_counts_it_takes_goes_by_k_or_by_earlier_ones() {
        // Mean 4 and k 2: (1 / 4 + 1 / 2) / 0.25² = 12; at four counts n D² is 0.25 and 1 / k is not reached: no total will do.
        let few = counts(&[1, 9, 4, 2]);
        let found = Precision::of(&few, &[], 0.25, ClumpingK::new(2.0)).unwrap();
        assert_eq!((found.counts, found.total, found.is_reached, found.lots), (Some(12), None, false, 1));
        // The total is at Green's line just when as many counts as it takes were made.
        let many = counts(&[1, 9, 4, 2, 1, 9, 4, 2, 1, 9, 4, 2, 1, 9]);
        let found = Precision::of(&many, &[], 0.25, None).unwrap();
        assert_eq!(found.is_reached, found.counts.unwrap() <= 14, "{found:?}");
        // With earlier ones by Taylor's law through all four lots.
        let lots = [[2, 5, 1, 3], [12, 30, 19, 5], [70, 40, 99, 51]].map(|values| counts(&values));
        let found = Precision::of(&few, &lots, 0.25, ClumpingK::new(2.0)).unwrap();
        let all: Vec<MeanAndVariance> = lots.iter().chain([&few]).filter_map(MeanAndVariance::of).collect();
        let law = VarianceLaw::taylor(&all).unwrap();
        assert_eq!((found.law, found.lots), (law, 4));
        assert_eq!(found.counts, Some(law.counts_for(4.0, 0.25).unwrap().ceil() as u32));
        assert_eq!(Precision::of(&counts(&[0, 0, 0]), &[], 0.25, None).unwrap().counts, None);
    }

    #[test]
    fn what_cannot_be_told_of_precision_is_refused() {
        let few = counts(&[1, 9, 4, 2]);
        let code = |found: Result<Precision, Problems>| found.unwrap_err().iter().next().unwrap().code;
        assert_eq!(code(Precision::of(&few, &[], 0.0, None)), "scouting::precision");
        assert_eq!(code(Precision::of(&few, &[counts(&[3, 5, 1])], 0.25, None)), "scouting::few-lots");
        let traps = Counts::new(vec![1, 2], CountBasis::Trap).unwrap().0;
        assert_eq!(code(Precision::of(&few, &[traps], 0.25, None)), "scouting::earlier-basis");
        assert_eq!(VarianceLaw::Taylor { factor: 1.5, power: 2.1 }.precise_total(10, 0.25), None);
    }

    #[test]
    fn two_lots_or_one_mean_tell_no_law() {
        let lot = |mean| MeanAndVariance { mean, variance: 2.0 * mean };
        assert!(VarianceLaw::taylor(&[lot(1.0), lot(2.0)]).is_err());
        assert!(VarianceLaw::iwao(&[lot(1.0), lot(1.0), lot(1.0)]).is_err());
        assert!(VarianceLaw::taylor(&[lot(1.0), lot(2.0), lot(0.0)]).is_err(), "without pests it tells nothing");
    }
}
