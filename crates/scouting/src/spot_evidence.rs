//! Whether spots are shown to be at a threshold where the lawn as a whole is not.

use problem::Problems;
use quantity::Length;

use crate::advice::Judging;
use crate::count::Counts;
use crate::hot_spots::{HotSpots, LIKELY_CHANCE};
use crate::stop_lines::{Stop, StopLinePlan};
use crate::surface::CountAt;
use crate::threshold::{Threshold, level_of};

/// Fewer counts than this in spots show nothing of them. Common practice, no source.
pub const COUNTS_IN_SPOTS: u32 = 3;

/// What speaks for treating spots alone: the surface, and the counts that were made in them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpotEvidence {
    /// Counts made in the spots, or within a square of them.
    pub counts: u32,
    /// All counts at places.
    pub of: u32,
    /// Mean of those in the spots.
    pub mean: f64,
    /// The share of the spots' ground that is expected to be at the threshold or above.
    pub infested: f64,
    /// What the counts in the spots alone say, between stop lines of their own.
    pub stop: Option<Stop>,
}

impl SpotEvidence {
    /// Whether spots are shown: most of their ground is expected to be at the threshold, and their counts alone reach the
    /// upper line.
    pub fn is_shown(&self) -> bool {
        self.infested >= LIKELY_CHANCE && self.stop == Some(Stop::Treat)
    }
}

impl HotSpots {
    /// What speaks for treating the spots; `None` where there are none.
    ///
    /// Spots are where most was counted, so that their counts are high also where all ground is alike. That it takes three of
    /// them, and that their k is one at the clumped end of what they make likely, keeps such spots from being shown: by
    /// simulation in at most 2 of a hundred lawns that are even at half of the threshold (`docs/scouting.md`).
    ///
    /// # Errors
    /// As [`level_of`] and [`StopLinePlan::new`].
    pub fn evidence(
        &self,
        places: &[CountAt],
        counts: &Counts,
        threshold: &Threshold,
        judging: Judging,
    ) -> Result<Option<SpotEvidence>, Problems> {
        let treated: Vec<_> = self.squares.iter().filter(|square| square.is_treated).collect();
        let ground: f64 = treated.iter().map(|square| square.share).sum();
        if treated.is_empty() {
            return Ok(None);
        }
        let infested = treated.iter().map(|square| square.share * square.chance).sum::<f64>() / ground;
        let near = |place: &&CountAt| {
            let within = |distance: Length| distance <= self.square;
            treated.iter().any(|square| within(square.place.distance_to(place.at)))
        };
        let within: Vec<u32> = places.iter().filter(near).map(|place| place.count).collect();
        let number = |count: usize| u32::try_from(count).unwrap_or(u32::MAX);
        let (counted, of) = (number(within.len()), number(places.len()));
        let total: u64 = within.iter().copied().map(u64::from).sum();
        let level = level_of(counts.basis(), threshold)?;
        let stop = if counted < COUNTS_IN_SPOTS {
            None
        } else {
            // Their own scatter: that of all counts takes the difference between spots and the rest for clumping.
            let (alone, _) = Counts::new(within, counts.basis())?;
            let most = judging.most.max(counted);
            let judging = Judging { least: COUNTS_IN_SPOTS, most, ..judging };
            let plan = StopLinePlan::new(judging.aim(level, alone.line_scatter(judging.told_k).k))?;
            Some(plan.stop(counted, total))
        };
        let mean = if counted == 0 { 0.0 } else { total as f64 / f64::from(counted) };
        Ok(Some(SpotEvidence { counts: counted, of, mean, infested, stop }))
    }
}
