//! Draws by lot that are the same at each run: whoever draws states a seed.

/// Draws from a stated seed.
///
/// # Source
/// SplitMix64: Steele, Lea and Flood 2014, OOPSLA (from memory).
#[derive(Debug, Clone)]
pub(crate) struct Draws(u64);

impl Draws {
    pub(crate) fn of_seed(seed: u64) -> Self {
        Self(seed)
    }

    /// A number from 0 to 1, all equally likely.
    pub(crate) fn share(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        (mixed ^ (mixed >> 31)) as f64 / u64::MAX as f64
    }

    /// One of so many, from 0, all equally likely; 0 of none.
    pub(crate) fn below(&mut self, count: usize) -> usize {
        ((self.share() * count as f64) as usize).min(count.saturating_sub(1))
    }
}

impl Draws {
    /// A number of the normal distribution of mean 0 and variance 1.
    ///
    /// # Source
    /// Box and Muller 1958, Ann. Math. Stat. 29: 610-611 (from memory).
    pub(crate) fn normal(&mut self) -> f64 {
        let (radius, turn) = (self.share().max(f64::MIN_POSITIVE), self.share());
        (-2.0 * radius.ln()).sqrt() * (std::f64::consts::TAU * turn).cos()
    }
}
