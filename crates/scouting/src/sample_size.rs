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
    /// has no such line there: so few counts do not know any density so well, or Taylor's b is 2 or more, and a higher density
    /// takes as many counts or more.
    ///
    /// # Source
    /// Green 1970, Res. Popul. Ecol. 12: 249-251 (from memory): the total T with variance(T / n) = n · (share · T / n)².
    /// For Taylor's law ln T = (ln(D² / a) + (b - 1) · ln n) / (b - 2), which falls as n grows.
    pub fn precise_total(self, counts: u32, share: f64) -> Option<f64> {
        let (n, d) = (f64::from(counts), share);
        let total = match self {
            // A higher density takes as many counts at a power of 2, and more above it.
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
        let telling: Vec<(f64, f64)> =
            lots.iter().filter(|lot| lot.tells()).map(|lot| (lot.mean.ln(), lot.variance.ln())).collect();
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
            .filter(|lot| lot.tells())
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
    /// By Taylor's law where there are earlier counts, else by the scatter of these.
    pub by: PrecisionBy,
    /// By Iwao's line through the same lots, beside Taylor's; `None` without earlier counts.
    pub by_iwao: Option<PrecisionBy>,
    /// Lots of counts that tell how the variance goes with the mean, of these and the earlier ones.
    pub lots: usize,
    /// Lots that tell nothing of it: without pests or without variance, or a single count.
    pub silent_lots: usize,
}

/// What one law says of the number of counts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PrecisionBy {
    /// How the variance goes with the mean.
    pub law: VarianceLaw,
    /// How many counts in all it takes at the mean of these; `None` where nothing was found, or the law has no variance there.
    pub counts: Option<u32>,
    /// Green's line at as many counts as were made: the total from which on they know their mean so well; `None` where the law
    /// has none ([`VarianceLaw::precise_total`]).
    pub total: Option<f64>,
    /// Whether as many counts as it takes were made. Where there is a line, their total is at it then, and only then.
    pub is_reached: bool,
}

impl PrecisionBy {
    fn new(law: VarianceLaw, counts: &Counts, share: f64) -> Self {
        let made = u32::try_from(counts.stations()).unwrap_or(u32::MAX);
        // As many and a rounding error are as many.
        let needed = law.counts_for(counts.mean(), share).map(|needed| (needed - 1e-9).ceil().max(1.0) as u32);
        let is_reached = needed.is_some_and(|needed| made >= needed);
        Self { law, counts: needed, total: law.precise_total(made, share), is_reached }
    }
}

impl Precision {
    /// Of counts, by Taylor's law through them and earlier ones of the same pest, or by their own k where there are none.
    ///
    /// # Errors
    /// A share that is not between 0 and 1, earlier counts that [`fits_earlier`] refuses, and as [`VarianceLaw::taylor`] where
    /// there are earlier ones.
    pub fn of(counts: &Counts, earlier: &[Counts], share: f64, told_k: Option<ClumpingK>) -> Result<Self, Problems> {
        let mut problems = Problems::new();
        if !(share > 0.0 && share < 1.0) {
            problems.push(
                Problem::error("scouting::precision", format!("a standard error of `{share}` of the mean"))
                    .expected("above 0 and below 1, such as 0.25"),
            );
        }
        problems.extend(earlier.iter().filter_map(|other| fits_earlier(counts, other).err()));
        problems.unless_errors(())?;
        if earlier.is_empty() {
            let law = match counts.dispersion(told_k).dispersion {
                Dispersion::NegativeBinomial(k) => VarianceLaw::NegativeBinomial(k),
                // Variance = mean.
                Dispersion::Poisson => VarianceLaw::Iwao { crowding: 0.0, patchiness: 1.0 },
            };
            let by = PrecisionBy::new(law, counts, share);
            return Ok(Self { share, by, by_iwao: None, lots: 1, silent_lots: 0 });
        }
        let lots: Vec<MeanAndVariance> = earlier.iter().chain([counts]).filter_map(MeanAndVariance::of).collect();
        let by = PrecisionBy::new(VarianceLaw::taylor(&lots)?, counts, share);
        let by_iwao = VarianceLaw::iwao(&lots).ok().map(|law| PrecisionBy::new(law, counts, share));
        let telling = lots.iter().filter(|lot| lot.tells()).count();
        Ok(Self { share, by, by_iwao, lots: telling, silent_lots: earlier.len() + 1 - telling })
    }
}

/// Whether earlier counts tell of the scatter of these.
///
/// # Errors
/// Another area of a count, or counts on something else.
pub fn fits_earlier(counts: &Counts, earlier: &Counts) -> Result<(), Problem> {
    if is_same(counts.basis(), earlier.basis()) {
        return Ok(());
    }
    Err(Problem::error(
        "scouting::earlier-basis",
        format!("earlier counts are `{}`, and these `{}`", earlier.basis().words(), counts.basis().words()),
    )
    .expected("one area of a count: the scatter goes with it")
    .mend("leave the earlier ones out"))
}

impl MeanAndVariance {
    /// Of counts; `None` with fewer than two.
    pub fn of(counts: &Counts) -> Option<Self> {
        Some(Self { mean: counts.mean(), variance: counts.sample_variance()? })
    }

    /// Whether it tells how a variance goes with a mean.
    fn tells(&self) -> bool {
        self.mean > 0.0 && self.variance > 0.0
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
        let by = found.by;
        assert_eq!((by.counts, by.total, by.is_reached, found.lots), (Some(12), None, false, 1));
        assert_eq!(found.by_iwao, None, "one lot tells no line");
        // The total is at Green's line just when as many counts as it takes were made.
        let many = counts(&[1, 9, 4, 2, 1, 9, 4, 2, 1, 9, 4, 2, 1, 9]);
        for share in [0.2, 0.25, 0.3, 0.35] {
            let by = Precision::of(&many, &[], share, None).unwrap().by;
            let is_at_line = by.total.is_some_and(|total| many.total() as f64 >= total);
            assert_eq!((by.is_reached, is_at_line), (by.counts.unwrap() <= 14, by.is_reached), "{by:?}");
        }
        // With earlier ones by Taylor's law through all four lots.
        let lots = [[2, 5, 1, 3], [12, 30, 19, 5], [70, 40, 99, 51]].map(|values| counts(&values));
        let found = Precision::of(&few, &lots, 0.25, ClumpingK::new(2.0)).unwrap();
        let all: Vec<MeanAndVariance> = lots.iter().chain([&few]).filter_map(MeanAndVariance::of).collect();
        let law = VarianceLaw::taylor(&all).unwrap();
        assert_eq!((found.by.law, found.lots, found.silent_lots), (law, 4, 0));
        assert_eq!(found.by.counts, Some(law.counts_for(4.0, 0.25).unwrap().ceil() as u32));
        // Iwao's beside it, through the same.
        let iwao = VarianceLaw::iwao(&all).unwrap();
        let by_iwao = found.by_iwao.unwrap();
        assert_eq!(
            (by_iwao.law, by_iwao.counts),
            (iwao, iwao.counts_for(4.0, 0.25).map(|needed| needed.ceil() as u32))
        );
        assert_eq!(Precision::of(&counts(&[0, 0, 0]), &[], 0.25, None).unwrap().by.counts, None);
    }

    #[test]
    fn lots_that_tell_nothing_are_not_counted_among_those_that_do() {
        let now = counts(&[1, 9, 4, 2]);
        let lots = [vec![2, 5, 1, 3], vec![12, 30, 19, 5], vec![0, 0, 0], vec![7], vec![4, 4, 4]]
            .map(|values| counts(&values));
        let found = Precision::of(&now, &lots, 0.25, None).unwrap();
        assert_eq!((found.lots, found.silent_lots), (3, 3));
        assert_eq!(found.by, Precision::of(&now, &lots[..2], 0.25, None).unwrap().by);
    }

    /// From b = 2 on the counts that are needed do not fall with the density: they are there or not, whatever the total.
    #[test]
    fn at_a_power_of_two_or_more_the_number_of_counts_alone_decides() {
        // Variances of 0.5 m²: b = 2, and 0.5 / 0.25² = 8 counts at every density. Of 1, 3 they are 2, of 2, 6 they are 8, and so on.
        let lots = [[1, 3], [2, 6], [4, 12], [8, 24]].map(|values| counts(&values));
        let of = |now: &[u32]| Precision::of(&counts(now), &lots, 0.25, None).unwrap().by;
        let few = of(&[3, 9]);
        let VarianceLaw::Taylor { power, .. } = few.law else { panic!("{few:?}") };
        assert!((power - 2.0).abs() < 1e-9 && few.counts == Some(8), "{few:?}");
        assert_eq!((few.total, few.is_reached), (None, false));
        // Eight of the same mean and variance, 6 and 18.
        let many = of(&[0, 12, 1, 11, 5, 7, 5, 7]);
        assert_eq!((many.counts, many.total, many.is_reached), (Some(8), None, true));
        for power in [2.0, 2.4] {
            let law = VarianceLaw::Taylor { factor: 0.5, power };
            assert_eq!(law.precise_total(40, 0.25), None);
            assert!(law.counts_for(8.0, 0.25) >= law.counts_for(4.0, 0.25));
        }
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
