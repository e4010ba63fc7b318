//! From counts at places to a surface: how many pests there are between the places where somebody counted.

use geometry::{Bounds, Point};
use nalgebra::{Cholesky, DMatrix, DVector, Dyn};
use problem::{Problem, Problems};
use quantity::{Area, Length, LengthUnit};
use statrs::distribution::{ContinuousCDF, Normal};

use crate::density::PestDensity;
use crate::dispersion::{ClumpingK, Dispersion};

/// With fewer places than this there is no surface: it would draw what nobody saw. Common practice, no source.
pub const PLACES_FOR_SURFACE: usize = 8;

/// How far the level of the whole ground may lie from the mean of the counts, as the standard deviation of its logarithm.
const LEVEL_SPREAD: f64 = 1.0;

/// How far k may lie from what is likely, as the standard deviation of its logarithm.
const BELIEF_IN_K: f64 = 1.2;

/// A count and where it was made.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CountAt {
    /// The place.
    pub at: Point,
    /// The pests counted there.
    pub count: u32,
}

/// How the logarithm of the density varies over the ground.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Variation {
    /// Standard deviation of the logarithm of the density.
    pub spread: f64,
    /// The distance over which places are alike: the length of a Matérn kernel of order 3/2.
    pub range: Length,
}

impl Variation {
    /// How much two places so far apart in metres vary together.
    ///
    /// # Source
    /// Rasmussen and Williams 2006, Gaussian Processes for Machine Learning, eq. 4.17 (from memory).
    fn covariance(self, metres: f64) -> f64 {
        let far = 3.0_f64.sqrt() * metres / self.range.to(LengthUnit::Metre);
        LEVEL_SPREAD * LEVEL_SPREAD + self.spread * self.spread * (1.0 + far) * (-far).exp()
    }
}

/// A surface of the density over the ground: at each place a mean and a variance of its logarithm.
#[derive(Debug, Clone)]
pub struct Surface {
    places: Vec<Point>,
    basis: Area,
    level: f64,
    variation: Variation,
    dispersion: Dispersion,
    /// Derivative of the logarithm of the likelihood at the mode.
    slope: DVector<f64>,
    /// Root of the curvature of the likelihood at the mode.
    root: DVector<f64>,
    factor: Cholesky<f64, Dyn>,
}

/// What a surface says of a place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SurfaceAt {
    /// Mean of the logarithm of the pests on the ground of one count.
    pub mean: f64,
    /// Variance of that logarithm.
    pub variance: f64,
    basis: Area,
}

impl SurfaceAt {
    /// The density that half of the chance lies above.
    pub fn median(&self) -> Option<PestDensity> {
        PestDensity::new(self.mean.exp(), self.basis)
    }

    /// How likely the density is at a threshold or above.
    pub fn chance_over(&self, threshold: PestDensity) -> f64 {
        let level = threshold.on(self.basis).ln();
        let spread = self.variance.max(1e-12).sqrt();
        Normal::standard().cdf((self.mean - level) / spread)
    }
}

/// Counts with their likelihood.
struct Seen<'c> {
    counts: &'c [CountAt],
    dispersion: Dispersion,
}

impl Seen<'_> {
    fn likelihood(&self, logs: &DVector<f64>) -> f64 {
        let of = |(one, log): (&CountAt, &f64)| self.dispersion.ln_chance(u64::from(one.count), log.exp());
        self.counts.iter().zip(logs).map(of).sum()
    }

    /// First derivatives by the logarithms of the densities, and the second with the other sign.
    fn derivatives(&self, logs: &DVector<f64>) -> (DVector<f64>, DVector<f64>) {
        let of = |one: &CountAt, log: f64| {
            let (count, mean) = (f64::from(one.count), log.exp());
            match self.dispersion {
                Dispersion::Poisson => (count - mean, mean),
                Dispersion::NegativeBinomial(k) => {
                    let k = ClumpingK::value(k);
                    (count - (count + k) * mean / (k + mean), (count + k) * k * mean / ((k + mean) * (k + mean)))
                }
            }
        };
        let both: Vec<(f64, f64)> = self.counts.iter().zip(logs).map(|(one, log)| of(one, *log)).collect();
        let column = |pick: fn(&(f64, f64)) -> f64| DVector::from_iterator(both.len(), both.iter().map(pick));
        (column(|one| one.0), column(|one| one.1))
    }
}

/// Where the posterior is highest, and how well the variation explains the counts.
struct Mode {
    logs: DVector<f64>,
    slope: DVector<f64>,
    root: DVector<f64>,
    factor: Cholesky<f64, Dyn>,
    evidence: f64,
}

impl Surface {
    /// A surface through counts at places, each on so much ground.
    ///
    /// The logarithm of the density is a Gaussian process; counts scatter about it as `dispersion` says. The posterior is
    /// taken for a normal one at its mode (Laplace); spread and range are those of the highest evidence under weak priors.
    ///
    /// # Errors
    /// All of these: fewer than [`PLACES_FOR_SURFACE`] places, two counts at one place, no pest counted at all, ground of
    /// nothing.
    ///
    /// # Source
    /// Rasmussen and Williams 2006, algorithms 3.1 and 3.2 (from memory).
    pub fn through(counts: &[CountAt], basis: Area, dispersion: Dispersion) -> Result<Self, Problems> {
        Self::sought(counts, basis, &|_| dispersion, None)
    }

    /// The same with a k that is fitted with spread and range, by the evidence as well: what differs from place to place is
    /// not taken for scatter. A k about `likely` is believed in before, to a factor of 3.3 either way.
    ///
    /// # Errors
    /// As [`Self::through`].
    pub fn with_fitted_k(counts: &[CountAt], basis: Area, likely: ClumpingK) -> Result<Self, Problems> {
        let clumped = |ln_k: f64| ClumpingK::new(ln_k.exp()).map_or(Dispersion::Poisson, Dispersion::NegativeBinomial);
        Self::sought(counts, basis, &clumped, Some(likely.value().ln().clamp(-4.6, 4.6)))
    }

    /// A surface of the highest evidence over spread, range and, where one is likely, k.
    fn sought(
        counts: &[CountAt],
        basis: Area,
        scatter: &dyn Fn(f64) -> Dispersion,
        likely_k: Option<f64>,
    ) -> Result<Self, Problems> {
        let across = sound(counts, basis)?;
        let mean = counts.iter().map(|one| f64::from(one.count)).sum::<f64>() / counts.len() as f64;
        let mut start = DVector::from_element(counts.len(), mean.ln());
        let gap = across / (counts.len() as f64).sqrt();
        // Weak priors: a spread of 0.8 and a range of a third of the ground are likely, three times more or less not odd.
        let (likely_spread, likely_range) = (0.8_f64.ln(), (across / 3.0).ln());
        let worth = |at: [f64; 3], start: &mut DVector<f64>| {
            let seen = Seen { counts, dispersion: scatter(at[2]) };
            let variation = Variation { spread: at[0].exp(), range: Length::new(at[1].exp(), LengthUnit::Metre) };
            let mode = mode(&seen, mean.ln(), variation, start)?;
            start.clone_from(&mode.logs);
            let of_k = likely_k.map_or(0.0, |likely| ((at[2] - likely) / BELIEF_IN_K).powi(2));
            let prior = (at[0] - likely_spread).powi(2) + (at[1] - likely_range).powi(2) + of_k;
            Some(mode.evidence - prior / 2.0)
        };
        let mut best = [likely_spread, likely_range, likely_k.unwrap_or_default()];
        let axes = if likely_k.is_some() { 3 } else { 2 };
        let mut height = worth(best, &mut start).ok_or_else(unfit)?;
        let mut step = 0.8;
        while step > 0.04 {
            let mut is_better = false;
            for (axis, by) in (0..axes).flat_map(|axis| [(axis, step), (axis, -step)]) {
                let mut at = best;
                at[axis] += by;
                // A range below the gap between places says nothing that the spread of the counts does not.
                if at[1] < (gap / 2.0).ln() || at[1] > (across * 3.0).ln() || at[0].abs() > 2.5 || at[2].abs() > 4.6 {
                    continue;
                }
                if let Some(found) = worth(at, &mut start).filter(|found| *found > height + 1e-9) {
                    (height, best, is_better) = (found, at, true);
                }
            }
            if !is_better {
                step /= 2.0;
            }
        }
        Self::with_variation(
            counts,
            basis,
            scatter(best[2]),
            Variation { spread: best[0].exp(), range: Length::new(best[1].exp(), LengthUnit::Metre) },
        )
    }

    /// The same with a variation that is stated and not fitted.
    ///
    /// # Errors
    /// As [`Self::through`].
    pub fn with_variation(
        counts: &[CountAt],
        basis: Area,
        dispersion: Dispersion,
        variation: Variation,
    ) -> Result<Self, Problems> {
        sound(counts, basis)?;
        let level = (counts.iter().map(|one| f64::from(one.count)).sum::<f64>() / counts.len() as f64).ln();
        let start = DVector::from_element(counts.len(), level);
        let seen = Seen { counts, dispersion };
        let Mode { slope, root, factor, .. } = mode(&seen, level, variation, &start).ok_or_else(unfit)?;
        let places = counts.iter().map(|one| one.at).collect();
        Ok(Self { places, basis, level, variation, dispersion, slope, root, factor })
    }

    /// How the density varies.
    pub fn variation(&self) -> Variation {
        self.variation
    }

    /// How counts scatter about it.
    pub fn dispersion(&self) -> Dispersion {
        self.dispersion
    }

    /// The ground of one count.
    pub fn basis(&self) -> Area {
        self.basis
    }

    /// What it says of a place.
    pub fn at(&self, place: Point) -> SurfaceAt {
        let (x, y) = place.metres();
        let near = self.places.iter().map(|other| {
            let (ox, oy) = other.metres();
            self.variation.covariance((x - ox).hypot(y - oy))
        });
        let near = DVector::from_iterator(self.places.len(), near);
        let mean = self.level + near.dot(&self.slope);
        let mut scaled = near.component_mul(&self.root);
        self.factor.l_dirty().solve_lower_triangular_mut(&mut scaled);
        let variance = self.variation.covariance(0.0) - scaled.norm_squared();
        SurfaceAt { mean, variance: variance.max(0.0), basis: self.basis }
    }
}

fn unfit() -> Problems {
    Problem::error("scouting::surface-unfit", "no surface fits the counts")
        .expected("counts that a smooth surface can explain")
        .mend("look for a slip in a count or its place; treat by the mean of the counts else")
        .into()
}

/// What keeps counts from having a surface; the distance across them in metres where nothing does.
fn sound(counts: &[CountAt], basis: Area) -> Result<f64, Problems> {
    let mut problems = Problems::new();
    if counts.len() < PLACES_FOR_SURFACE {
        problems.push(
            Problem::error("scouting::surface-few", format!("counts at `{}` places", counts.len()))
                .expected(format!("{PLACES_FOR_SURFACE} places or more"))
                .mend("count at more places, also where nothing is to be seen; treat by the mean of the counts else"),
        );
    }
    for (index, one) in counts.iter().enumerate() {
        if let Some(other) = counts[..index].iter().position(|other| other.at == one.at) {
            problems.push(
                Problem::error(
                    "scouting::same-place",
                    format!("counts `{}` and `{}` are at one place", other + 1, index + 1),
                )
                .expected("one count at a place")
                .mend("give each count its own place, or leave the one out that was told twice"),
            );
        }
    }
    if counts.iter().all(|one| one.count == 0) && !counts.is_empty() {
        problems.push(
            Problem::error("scouting::surface-nothing", "no pest was counted at any place")
                .expected("pests at one place at least; without them there is nothing to draw"),
        );
    }
    if !basis.is_positive() {
        problems.push(Problem::error("scouting::count-area", "counts on no ground").expected("more than nothing"));
    }
    let bounds = Bounds::around(counts.iter().map(|one| one.at));
    let across = bounds.map_or(0.0, |bounds| {
        let (from, to) = (bounds.south_west().metres(), bounds.north_east().metres());
        (to.0 - from.0).hypot(to.1 - from.1)
    });
    problems.unless_errors(across).map(|(across, _)| across)
}

/// The mode by Newton's steps from a start; `None` where they do not come to one.
fn mode(seen: &Seen<'_>, level: f64, variation: Variation, start: &DVector<f64>) -> Option<Mode> {
    let count = seen.counts.len();
    let places: Vec<(f64, f64)> = seen.counts.iter().map(|one| one.at.metres()).collect();
    let covariance = DMatrix::from_fn(count, count, |row, column| {
        let (one, other) = (places[row], places[column]);
        variation.covariance((one.0 - other.0).hypot(one.1 - other.1))
    });
    let mut logs = start.clone();
    let mut weights = DVector::zeros(count);
    let mut worth = f64::NEG_INFINITY;
    for _ in 0..50 {
        let (slope, curve) = seen.derivatives(&logs);
        let root = curve.map(f64::sqrt);
        let factor = factor(&covariance, &root)?;
        let wanted = curve.component_mul(&logs.add_scalar(-level)) + slope;
        let inner = factor.solve(&root.component_mul(&(&covariance * &wanted)));
        let aim = wanted - root.component_mul(&inner);
        // A full step may go too far where counts are far from the start.
        let (mut share, mut next) = (1.0, None);
        while share > 1e-3 {
            let tried = &weights * (1.0 - share) + &aim * share;
            let tried_logs = (&covariance * &tried).add_scalar(level);
            let tried_worth = seen.likelihood(&tried_logs) - tried.dot(&tried_logs.add_scalar(-level)) / 2.0;
            if tried_worth.is_finite() && tried_worth >= worth - 1e-10 {
                next = Some((tried, tried_logs, tried_worth));
                break;
            }
            share /= 2.0;
        }
        let (next_weights, next_logs, next_worth) = next?;
        let gained = next_worth - worth;
        (weights, logs, worth) = (next_weights, next_logs, next_worth);
        if gained.abs() < 1e-9 {
            let (slope, curve) = seen.derivatives(&logs);
            let root = curve.map(f64::sqrt);
            let factor = self::factor(&covariance, &root)?;
            let half_log_determinant: f64 = factor.l_dirty().diagonal().map(f64::ln).sum();
            return Some(Mode { logs, slope, root, factor, evidence: worth - half_log_determinant });
        }
    }
    None
}

/// The factor of 1 + √W K √W.
fn factor(covariance: &DMatrix<f64>, root: &DVector<f64>) -> Option<Cholesky<f64, Dyn>> {
    let count = root.len();
    let matrix = DMatrix::from_fn(count, count, |row, column| {
        let one = if row == column { 1.0 } else { 0.0 };
        one + root[row] * covariance[(row, column)] * root[column]
    });
    Cholesky::new(matrix)
}
