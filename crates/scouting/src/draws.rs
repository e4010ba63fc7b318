//! Draws by lot that are the same at each run: whoever draws states a seed.

use crate::dispersion::Dispersion;

/// Draws from a stated seed.
///
/// # Source
/// SplitMix64: Steele, Lea and Flood 2014, OOPSLA (from memory).
#[derive(Debug, Clone)]
pub struct Draws(u64);

impl Draws {
    /// The draws of a seed.
    pub fn of_seed(seed: u64) -> Self {
        Self(seed)
    }

    /// A number from 0 to 1, all equally likely.
    pub fn share(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        (mixed ^ (mixed >> 31)) as f64 / u64::MAX as f64
    }

    /// One of so many, from 0, all equally likely; 0 of none.
    pub fn below(&mut self, count: usize) -> usize {
        ((self.share() * count as f64) as usize).min(count.saturating_sub(1))
    }

    /// A number of the normal distribution of mean 0 and variance 1.
    ///
    /// # Source
    /// Box and Muller 1958, Ann. Math. Stat. 29: 610-611 (from memory).
    pub fn normal(&mut self) -> f64 {
        let (radius, turn) = (self.share().max(f64::MIN_POSITIVE), self.share());
        (-2.0 * radius.ln()).sqrt() * (std::f64::consts::TAU * turn).cos()
    }

    /// A number of the gamma distribution of a shape above nothing and scale 1.
    ///
    /// # Source
    /// Marsaglia and Tsang 2000, ACM Trans. Math. Softw. 26: 363-372 (from memory).
    pub(crate) fn gamma(&mut self, shape: f64) -> f64 {
        if shape < 1.0 {
            let root = self.share().max(f64::MIN_POSITIVE).powf(1.0 / shape);
            return self.gamma(shape + 1.0) * root;
        }
        let third = shape - 1.0 / 3.0;
        let reach = 1.0 / (9.0 * third).sqrt();
        loop {
            let normal = self.normal();
            let cubed = (1.0 + reach * normal).powi(3);
            if cubed <= 0.0 {
                continue;
            }
            let bound = normal * normal / 2.0 + third * (1.0 - cubed + cubed.ln());
            if self.share().max(f64::MIN_POSITIVE).ln() < bound {
                return third * cubed;
            }
        }
    }
}

/// The chances of counts of one mean, summed up once, so that a draw is looked up.
#[derive(Debug, Clone)]
pub struct CountsByLot(Vec<f64>);

impl CountsByLot {
    /// Counts that scatter about a mean; of a mean of nothing all are nothing.
    pub fn about(dispersion: Dispersion, mean: f64) -> Self {
        let mut up_to = Vec::new();
        if mean > 0.0 && mean.is_finite() {
            let mut chance = dispersion.ln_chance(0, mean);
            let (mut sum, mut count) = (0.0, 0_u32);
            while sum < 1.0 - 1e-12 && count < MOST_DRAWN {
                sum += chance.exp();
                up_to.push(sum);
                chance += dispersion.ln_growth(count, mean);
                count += 1;
            }
        }
        Self(up_to)
    }

    /// One count.
    pub fn draw(&self, draws: &mut Draws) -> u32 {
        self.at(draws.share())
    }

    /// The count up to which a share of the chance lies.
    pub(crate) fn at(&self, share: f64) -> u32 {
        self.0.partition_point(|sum| *sum < share) as u32
    }
}

/// A chance of counts above this is left out.
const MOST_DRAWN: u32 = 1_000_000;
