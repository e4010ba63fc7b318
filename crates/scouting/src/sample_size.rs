//! How many counts a density needs that is to be known to a share of itself, and when enough pests were found for it.

use problem::{Problem, Problems};
use statrs::statistics::Statistics;

use crate::dispersion::ClumpingK;

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

    #[test]
    fn two_lots_or_one_mean_tell_no_law() {
        let lot = |mean| MeanAndVariance { mean, variance: 2.0 * mean };
        assert!(VarianceLaw::taylor(&[lot(1.0), lot(2.0)]).is_err());
        assert!(VarianceLaw::iwao(&[lot(1.0), lot(1.0), lot(1.0)]).is_err());
        assert!(VarianceLaw::taylor(&[lot(1.0), lot(2.0), lot(0.0)]).is_err(), "without pests it tells nothing");
    }
}
