//! How likely each k is after counts, and what that leaves of the means.

use std::f64::consts::TAU;

use statrs::function::beta::{beta_reg, ln_beta};
use statrs::function::gamma::ln_gamma;

use crate::count::{Counts, t_value};
use crate::dispersion::ClumpingK;
use crate::draws::Draws;

/// The k that is likeliest before anything is counted. With it and the two below the intervals
/// hold over k from 0.5 on (`make pest-figures`). Common practice, no source.
const LIKELY_K: f64 = 2.0 / 3.0;
/// Standard deviation of the logarithm of k about that.
const K_SPREAD: f64 = 1.2;
/// How likely counts are not clumped at all, for which the largest k stands.
const NOT_CLUMPED: f64 = 0.1;
/// Steps of the grid in one unit of the logarithm of k, and its ends in steps.
const STEPS: i32 = 4;
const GRID: std::ops::RangeInclusive<i32> = -10..=24;

/// How likely each k is, after one lot of counts or several of which one k is common.
///
/// The means do not enter: the likelihood of k is taken over all means, so that k is not taken for better known than few
/// counts a lot make it.
#[derive(Debug, Clone)]
pub(crate) struct Scatter {
    /// Each k with its weight; the weights add up to 1.
    ways: Vec<(f64, f64)>,
}

impl Scatter {
    /// Before anything is counted, or where nothing was found, which tells little of k.
    pub(crate) fn before() -> Self {
        Self::after(&[])
    }

    /// After lots of counts.
    pub(crate) fn after(lots: &[&Counts]) -> Self {
        let height = (1.0 - NOT_CLUMPED) / (K_SPREAD * TAU.sqrt() * f64::from(STEPS));
        let ways = GRID.map(|step| {
            let ln_k = f64::from(step) / f64::from(STEPS);
            let k = ln_k.exp();
            let clumped = height * (-((ln_k - LIKELY_K.ln()) / K_SPREAD).powi(2) / 2.0).exp();
            let prior = (clumped + if step == *GRID.end() { NOT_CLUMPED } else { 0.0 }).ln();
            (k, prior + lots.iter().map(|counts| likelihood_of_k(counts, k)).sum::<f64>())
        });
        let ways: Vec<(f64, f64)> = ways.collect();
        let highest = ways.iter().map(|way| way.1).fold(f64::NEG_INFINITY, f64::max);
        let likely = ways.into_iter().map(|(k, height)| (k, (height - highest).exp())).filter(|way| way.1 > 1e-6);
        let likely: Vec<(f64, f64)> = likely.collect();
        let all: f64 = likely.iter().map(|way| way.1).sum();
        Self { ways: likely.into_iter().map(|(k, weight)| (k, weight / all)).collect() }
    }

    /// How much of the variance of a count lies in the clumping: the mean of 1 / k.
    pub(crate) fn clumping(&self) -> f64 {
        self.ways.iter().map(|(k, weight)| weight / k).sum()
    }

    /// The mean above which a share of the chance lies, after so many stations with a total.
    ///
    /// With Jeffreys' weight of the mean, m / (k + m) has a beta distribution of total + 1/2 and stations · k.
    pub(crate) fn mean_at(&self, stations: usize, total: u64, share_below: f64) -> f64 {
        let below = |mean: f64| -> f64 {
            let of = |&(k, weight): &(f64, f64)| {
                weight * beta_reg(total as f64 + 0.5, stations as f64 * k, mean / (k + mean))
            };
            self.ways.iter().map(of).sum()
        };
        let start = (total as f64 + 0.5) / stations as f64;
        between(start, |mean| below(mean) < share_below)
    }

    /// The highest mean at which nothing at all is found on so many stations with a chance.
    pub(crate) fn mean_of_nothing(&self, stations: usize, chance: f64) -> f64 {
        let nothing = |mean: f64| -> f64 {
            let of = |&(k, weight): &(f64, f64)| weight * (-(stations as f64) * k * (mean / k).ln_1p()).exp();
            self.ways.iter().map(of).sum()
        };
        between(1.0 / stations as f64, |mean| nothing(mean) > chance)
    }

    /// The k below which a share of the chance lies. Each k of the grid stands for its step, evenly on the logarithmic scale.
    fn k_at(&self, share_below: f64) -> f64 {
        let mut below = 0.0;
        for (k, weight) in &self.ways {
            if below + weight >= share_below {
                let within = (share_below - below) / weight - 0.5;
                return k * (within / f64::from(STEPS)).exp();
            }
            below += weight;
        }
        self.ways.last().map_or(LIKELY_K, |way| way.0)
    }

    /// One k by lot.
    pub(crate) fn draw(&self, draws: &mut Draws) -> f64 {
        let mut left = draws.share();
        for (k, weight) in &self.ways {
            left -= weight;
            if left <= 0.0 {
                return *k;
            }
        }
        self.ways.last().map_or(LIKELY_K, |way| way.0)
    }
}

/// The logarithm of the likelihood of a k over all means, each as likely on the logarithmic scale, but for what does not
/// depend on k. By Jeffreys' weight the larger k were likelier of large means before anything is counted; where nothing was
/// found there is no other.
fn likelihood_of_k(counts: &Counts, k: f64) -> f64 {
    let stations = counts.stations() as f64;
    let each: f64 = counts.counts().iter().map(|&count| ln_gamma(f64::from(count) + k)).sum();
    let mean = match counts.total() {
        0 => k.ln() / 2.0 + ln_beta(0.5, stations * k),
        total => ln_beta(total as f64, stations * k),
    };
    each - stations * ln_gamma(k) + mean
}

/// The share of the chance of k below that of stop lines. By simulation (`docs/scouting.md`) lines of this k err about as
/// seldom as lines of the true one, and cost half as many counts again where pests are moderately clumped.
const CLUMPED_END: f64 = 0.15;
/// The share of the chance of k below what pests that are more clumped still are taken for.
const MORE_CLUMPED: f64 = 0.05;

/// By what the k of stop lines is told.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum LineScatterBasis {
    /// Told by whoever asks, such as the profile of the pest, and the counts are too few to fit it.
    Told,
    /// The clumped end of what is likely, where the counts are too few to fit k and nobody tells it.
    Believed,
    /// The clumped end of what enough counts make likely.
    Counted,
}

/// The k of stop lines: not the likeliest, but one at the clumped end of what is likely, so that lines keep their errors
/// while k is not known for certain.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LineScatter {
    /// The k of the lines.
    pub k: ClumpingK,
    /// By what.
    pub basis: LineScatterBasis,
    /// A k that is more clumped still and may be the true one: in one case of twenty it is this or less.
    pub more_clumped: ClumpingK,
}

impl Counts {
    /// The k that stop lines go by: the one that is told, while the counts are too few to fit it (fewer than
    /// [`COUNTS_TO_FIT`](crate::COUNTS_TO_FIT), or pests at fewer than two stations); else the one below which 15 % of
    /// the chance lies, of what the counts make likely from the weak belief of [`Counts::interval`].
    ///
    /// The likeliest k of few counts is too high as often as too low, and lines of a k that is too high end too soon.
    pub fn line_scatter(&self, told: Option<ClumpingK>) -> LineScatter {
        let scatter = Scatter::after(&[self]);
        let at = |share| ClumpingK::known(scatter.k_at(share));
        let more_clumped = at(MORE_CLUMPED);
        match (self.tells_k(), told) {
            (false, Some(k)) => LineScatter { k, basis: LineScatterBasis::Told, more_clumped },
            (false, None) => LineScatter { k: at(CLUMPED_END), basis: LineScatterBasis::Believed, more_clumped },
            (true, _) => LineScatter { k: at(CLUMPED_END), basis: LineScatterBasis::Counted, more_clumped },
        }
    }
}

/// Ends of the interval of k, the upper one `None` where the counts may as well not be clumped.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ClumpingInterval {
    /// Lower end.
    pub low: ClumpingK,
    /// Upper end.
    pub high: Option<ClumpingK>,
    /// Whether it is wider than need be: at 95 % it holds in 97 to 99 of a hundred cases, by simulation (`docs/scouting.md`).
    pub is_wide: bool,
}

/// With fewer counts or fewer pests than these the interval of k may hold more often than stated.
const COUNTS_FOR_K: usize = 30;
const PESTS_FOR_K: u64 = 40;

impl Counts {
    /// The interval of k at a confidence such as 0.95: every k whose likelihood, over all means, is not less than that of the
    /// likeliest by more than t² / 2. `None` with fewer than [`COUNTS_TO_FIT`](crate::COUNTS_TO_FIT) counts, fewer than two
    /// stations with pests, or a confidence not between 0 and 1.
    pub fn k_interval(&self, confidence: f64) -> Option<ClumpingInterval> {
        if !self.tells_k() {
            return None;
        }
        let t = t_value(confidence, self.stations() - 1)?;
        let height = |ln_k: f64| likelihood_of_k(self, ln_k.exp());
        let (least, most) = (-8.0, 8.0);
        let steps = || (0..=160).map(|step| least + (most - least) * f64::from(step) / 160.0);
        let likeliest = steps().map(|ln_k| (ln_k, height(ln_k))).max_by(|one, other| one.1.total_cmp(&other.1))?;
        let level = likeliest.1 - t * t / 2.0;
        let end = |mut within: f64, mut beyond: f64| {
            for _ in 0..50 {
                let middle = f64::midpoint(within, beyond);
                if height(middle) >= level { within = middle } else { beyond = middle }
            }
            ClumpingK::new(within.exp())
        };
        let high = if height(most) >= level { None } else { end(likeliest.0, most) };
        let is_wide = self.stations() < COUNTS_FOR_K || self.total() < PESTS_FOR_K;
        Some(ClumpingInterval { low: end(likeliest.0, least)?, high, is_wide })
    }
}

/// Where a condition that holds below and not above ends, by halving the logarithm from a start.
fn between(start: f64, is_below: impl Fn(f64) -> bool) -> f64 {
    let (mut low, mut high) = (start.ln(), start.ln());
    while is_below(high.exp()) && high < 60.0 {
        high += 1.0;
    }
    while !is_below(low.exp()) && low > -60.0 {
        low -= 1.0;
    }
    for _ in 0..40 {
        let middle = f64::midpoint(low, high);
        if is_below(middle.exp()) { low = middle } else { high = middle }
    }
    f64::midpoint(low, high).exp()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::count::CountBasis;
    use crate::dispersion::Dispersion;
    use crate::draws::CountsByLot;
    use proptest::prelude::*;

    fn counts(values: &[u32]) -> Counts {
        Counts::new(values.to_vec(), CountBasis::Plant).unwrap().0
    }

    #[test]
    fn lines_go_by_what_is_told_until_the_counts_tell_it() {
        let told = ClumpingK::new(1.5);
        let few = counts(&[0, 3, 9, 1]);
        let by_told = few.line_scatter(told);
        assert_eq!((Some(by_told.k), by_told.basis), (told, LineScatterBasis::Told));
        assert_eq!(few.line_scatter(None).basis, LineScatterBasis::Believed);
        assert_eq!(counts(&[2; 15]).line_scatter(told).basis, LineScatterBasis::Counted);
        assert_eq!(
            counts(&[0; 15]).line_scatter(told).basis,
            LineScatterBasis::Told,
            "nothing found tells nothing of k"
        );
    }

    #[test]
    fn before_much_is_counted_lines_go_by_the_clumped_end_of_the_belief() {
        // The grid begins at a k of exp(-2.625), below which 3.2 % of the normal part lie: 15 % of the rest, and of the tenth that is
        // not clumped, end at 19.4 % of the normal part, 2/3 · exp(-0.863 · 1.2).
        assert!((Scatter::before().k_at(CLUMPED_END) / 0.237 - 1.0).abs() < 0.02);
        let one = counts(&[3]).line_scatter(None);
        assert!(one.k.value() < 0.5 && one.more_clumped < one.k, "{one:?}");
    }

    #[test]
    fn an_interval_of_k_from_few_counts_or_pests_is_told_as_wide() {
        let is_wide = |values: &[u32]| counts(values).k_interval(0.95).unwrap().is_wide;
        let pattern = [0, 3, 9, 1, 4];
        assert!(is_wide(&pattern.repeat(3)), "15 counts");
        assert!(!is_wide(&pattern.repeat(6)), "30 counts of 102 pests");
        assert!(is_wide(&[0, 1, 3, 0, 0].repeat(6)), "24 pests");
        assert_eq!(counts(&pattern).k_interval(0.95), None);
    }

    #[test]
    fn more_counts_bring_the_lines_to_the_true_k() {
        for k in [0.5, 2.0] {
            let by_lot = CountsByLot::about(Dispersion::clumped(k).unwrap(), 6.0);
            let mut draws = Draws::of_seed(3);
            let many: Vec<u32> = (0..2_000).map(|_| by_lot.draw(&mut draws)).collect();
            let of = |stations: usize| counts(&many[..stations]).line_scatter(None).k.value();
            assert!((0.8..1.05).contains(&(of(2_000) / k)), "{k}: {}", of(2_000));
            assert!(of(10) < of(2_000), "{k}: {} {}", of(10), of(2_000));
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(40))]
        /// The shares of the chance rise with k, and the k of lines is clumped at least as much as the mean one.
        #[test]
        fn a_larger_share_is_a_larger_k(values in prop::collection::vec(0_u32..60, 1..40), low in 0.01_f64..0.5, more in 0.01_f64..0.49) {
            let counts = counts(&values);
            let scatter = Scatter::after(&[&counts]);
            prop_assert!(scatter.k_at(low) <= scatter.k_at(low + more));
            let lines = counts.line_scatter(None);
            prop_assert!(lines.more_clumped <= lines.k && lines.k.value() > 0.0);
        }
    }
}
