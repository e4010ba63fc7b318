//! Mixes that are understood and not allowed, apart from orders that cannot be used.

use problem::Problem;

/// The dose wanted is above the most allowed.
pub(crate) const ABOVE_HIGHEST_DOSE: &str = "sprayer::above-highest-dose";
/// The dose wanted is below the least that must be there.
pub(crate) const BELOW_LOWEST_DOSE: &str = "sprayer::below-lowest-dose";
/// No mark of the measure lies within the limits.
pub(crate) const FINER_MEASURE: &str = "sprayer::finer-measure";

/// Whether a problem of [`plan_batches`](crate::plan_batches) or [`plan_loads`](crate::plan_loads)
/// refuses an order that is understood: its dose is outside the limits, or cannot be measured within
/// them. Any other problem is bad input.
pub fn is_refusal(problem: &Problem) -> bool {
    [ABOVE_HIGHEST_DOSE, BELOW_LOWEST_DOSE, FINER_MEASURE].contains(&problem.code)
}
