//! What counts call for: to treat, not to treat, or to count on.

use problem::{Problem, Problems};

use crate::count::Counts;
use crate::dispersion::{COUNTS_TO_FIT, ClumpingK, Dispersion, DispersionEstimate};
use crate::scatter::{LineScatter, LineScatterBasis};
use crate::stop_lines::{Characteristic, MOST_STATIONS, Stop, StopLineAim, StopLinePlan};
use crate::threshold::{Threshold, ThresholdComparison, compare, level_of};

/// How counts are to be judged.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Judging {
    /// The mean at which treating is in vain, as a share of the threshold: above 0 and below 1. As far above the threshold, at it
    /// over this share, lies the mean at which it must be treated.
    pub in_vain_at: f64,
    /// How often it may be treated in vain at the one.
    pub treat_in_vain: f64,
    /// How often it may be left at the other.
    pub leave_wrongly: f64,
    /// Fewest counts before anything is decided.
    pub least: u32,
    /// Most counts.
    pub most: u32,
    /// k of the negative binomial as the profile of the pest or a person tells it, for counts too few to fit it.
    pub told_k: Option<ClumpingK>,
}

impl Default for Judging {
    /// Means of which one is half of the other, the threshold in their middle (1 / √2 of it and √2 times it), one error in ten
    /// either way, 5 to 50 counts (common practice, no source).
    fn default() -> Self {
        Self { in_vain_at: 0.707, treat_in_vain: 0.1, leave_wrongly: 0.1, least: 5, most: 50, told_k: None }
    }
}

impl Judging {
    /// What stop lines are to tell apart round a threshold, which is told as a mean of one station.
    pub fn aim(&self, threshold: f64, k: ClumpingK) -> StopLineAim {
        let Self { in_vain_at, treat_in_vain, leave_wrongly, least, most, .. } = *self;
        let (lower, upper) = (threshold * in_vain_at, threshold / in_vain_at);
        let dispersion = Dispersion::NegativeBinomial(k);
        StopLineAim { lower, threshold, upper, dispersion, treat_in_vain, leave_wrongly, least, most }
    }
}

/// What counts, all of them together, say of a threshold between the stop lines.
#[derive(Debug, Clone, PartialEq)]
pub struct Decided {
    /// What to do.
    pub stop: Stop,
    /// From which count on, from 1, they say so; all of them while it goes on.
    pub at: u32,
    /// The threshold as a mean of one station.
    pub level: f64,
    /// How the counts scatter, as likely as can be.
    pub dispersion: DispersionEstimate,
    /// How the stop lines take them to scatter.
    pub line_scatter: LineScatter,
    /// The stop lines' plan.
    pub plan: StopLinePlan,
    /// The counts against the threshold by their interval.
    pub comparison: ThresholdComparison,
}

/// Holds counts against a threshold: the decision alone, without how often it errs. All of them decide, also those that were
/// made after a line was met: their order says at most since when it is decided.
///
/// # Errors
/// As [`compare`] for counts on another basis than the threshold's, and as [`StopLinePlan::new`].
pub fn decide(counts: &Counts, threshold: &Threshold, judging: Judging) -> Result<Decided, Problems> {
    let comparison = compare(counts, threshold, 0.95)?;
    let level = level_of(counts.basis(), threshold)?;
    let dispersion = counts.dispersion(judging.told_k);
    let line_scatter = counts.line_scatter(judging.told_k);
    let plan = StopLinePlan::new(judging.aim(level, line_scatter.k))?;
    let (stop, at) = plan.walk(counts.counts());
    Ok(Decided { stop, at, level, dispersion, line_scatter, plan, comparison })
}

impl Decided {
    /// How many more counts it takes on average, were the true mean that of the counts; `None` once it is decided.
    pub fn more(&self, counts: &Counts) -> Option<u32> {
        (!self.stop.is_end()).then(|| {
            let stations = u32::try_from(counts.stations()).unwrap_or(u32::MAX);
            let ahead = self.plan.from_here(stations, counts.total(), counts.mean());
            (ahead.stations.ceil() as u32).max(1)
        })
    }

    /// How the plan does at the lower mean, at the threshold, and at the upper mean.
    fn characteristic(&self) -> [Characteristic; 3] {
        let (lower, upper) = self.plan.means();
        [lower, self.plan.threshold(), upper].map(|mean| self.plan.characteristic(mean))
    }

    /// How often its lines err where the counts scatter as they take them to.
    pub fn errors(&self) -> LineErrors {
        let (in_vain, wrongly) = self.plan.errors();
        LineErrors { in_vain, wrongly }
    }

    /// How often they err where these scatter as [`LineScatter::more_clumped`] has it, while nothing but a belief tells k.
    pub fn errors_if_more_clumped(&self) -> Option<LineErrors> {
        (self.line_scatter.basis == LineScatterBasis::Believed).then(|| {
            let (lower, upper) = self.plan.means();
            let truth = Dispersion::NegativeBinomial(self.line_scatter.more_clumped);
            let treats = |mean| self.plan.characteristic_of(mean, truth).treats;
            LineErrors { in_vain: treats(lower), wrongly: 1.0 - treats(upper) }
        })
    }

    /// Where the lines err more often than stated (`scouting::errs-more`), or nobody knows (`scouting::k-assumed`); of so many
    /// counts.
    pub fn doubts(&self, counts: usize, judging: Judging) -> Problems {
        let errors = (self.errors(), self.errors_if_more_clumped());
        doubts_of(counts, self.line_scatter, errors, || self.plan.most_needed(), judging)
    }
}

fn doubts_of(
    counts: usize,
    scatter: LineScatter,
    (errors, more): (LineErrors, Option<LineErrors>),
    most_needed: impl FnOnce() -> Option<u32>,
    judging: Judging,
) -> Problems {
    match more {
        Some(more) => k_assumed(counts, scatter, (errors, more), judging).into(),
        None => errs_more(errors, scatter.k, most_needed, judging),
    }
}

/// How often lines err at the two means that they tell apart.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LineErrors {
    /// How often it is treated at the lower mean.
    pub in_vain: f64,
    /// How often it is left at the upper mean.
    pub wrongly: f64,
}

/// What counts say of a threshold.
#[derive(Debug, Clone, PartialEq)]
pub struct Advice {
    /// What to do.
    pub stop: Stop,
    /// From which count on, from 1, they say so; all of them while it goes on.
    pub at: u32,
    /// The threshold as a mean of one station.
    pub level: f64,
    /// How the counts scatter, as likely as can be.
    pub dispersion: DispersionEstimate,
    /// How the stop lines take them to scatter.
    pub line_scatter: LineScatter,
    /// The stop lines' plan.
    pub plan: StopLinePlan,
    /// The counts against the threshold by their interval.
    pub comparison: ThresholdComparison,
    /// How many more counts it takes on average, were the true mean that of the counts; `None` once it is decided.
    pub more: Option<u32>,
    /// How the plan does at the lower mean, at the threshold, and at the upper mean, where the counts scatter as its lines take
    /// them to.
    pub characteristic: [Characteristic; 3],
    /// The fewest counts at most with which it errs no more often than stated; `None` where no number does.
    pub most_needed: Option<u32>,
    /// How often it errs where they scatter as [`LineScatter::more_clumped`] has it, while nothing but a belief tells k.
    pub if_more_clumped: Option<LineErrors>,
    /// The fixed number of counts that would err as seldom.
    pub fixed_stations: Option<u32>,
    /// What should be looked at.
    pub warnings: Problems,
}

/// Holds counts against a threshold, as [`decide`] does.
///
/// # Errors
/// As [`compare`] for counts on another basis than the threshold's, and as [`StopLinePlan::new`].
pub fn advise(counts: &Counts, threshold: &Threshold, judging: Judging) -> Result<Advice, Problems> {
    let decided = decide(counts, threshold, judging)?;
    let (more, characteristic) = (decided.more(counts), decided.characteristic());
    let errors = LineErrors { in_vain: characteristic[0].treats, wrongly: 1.0 - characteristic[2].treats };
    let if_more_clumped = decided.errors_if_more_clumped();
    let Decided { stop, at, level, dispersion, line_scatter, plan, comparison } = decided;
    let most_needed = plan.most_needed();
    let warnings = doubts_of(counts.stations(), line_scatter, (errors, if_more_clumped), || most_needed, judging);
    let fixed_stations = plan.fixed_stations();
    Ok(Advice {
        stop,
        at,
        level,
        dispersion,
        line_scatter,
        plan,
        comparison,
        more,
        characteristic,
        most_needed,
        if_more_clumped,
        fixed_stations,
        warnings,
    })
}

/// How clumped the pests are is a belief so far: by which k the lines go, and how often they err where it is that one, or one
/// that is more clumped still.
fn k_assumed(
    counts: usize,
    scatter: LineScatter,
    (errors, more): (LineErrors, LineErrors),
    judging: Judging,
) -> Problem {
    let percent = |share: f64| format!("{:.0} %", share * 100.0);
    let of = |k: ClumpingK, errors: LineErrors| {
        let (in_vain, wrongly) = (percent(errors.in_vain), percent(errors.wrongly));
        format!("with k {:.2} they treat in vain in {in_vain} of cases and leave wrongly in {wrongly}", k.value())
    };
    Problem::warning(
        "scouting::k-assumed",
        format!(
            "`{counts}` counts do not tell how clumped the pests are, and nobody else does: the lines are those of the clumped \
             end of what is likely; {}, {}",
            of(scatter.k, errors),
            of(scatter.more_clumped, more)
        ),
    )
    .expected(format!(
        "{} at {:.2} of the threshold and {} at {:.2} times it as stated; {COUNTS_TO_FIT} counts or more, or a k from one's own \
         earlier counts",
        percent(judging.treat_in_vain),
        judging.in_vain_at,
        percent(judging.leave_wrongly),
        1.0 / judging.in_vain_at
    ))
    .mend("count at more stations, or state k")
}

/// Where the lines err more often than stated, because the walk ends at the most counts; and with how many counts at most they
/// would not. In no other case: by as little as it may be, it is told.
fn errs_more(
    errors: LineErrors,
    k: ClumpingK,
    most_needed: impl FnOnce() -> Option<u32>,
    judging: Judging,
) -> Problems {
    let both = [
        ("treat in vain", errors.in_vain, judging.treat_in_vain, format!("{:.2} of the threshold", judging.in_vain_at)),
        (
            "leave wrongly",
            errors.wrongly,
            judging.leave_wrongly,
            format!("{:.2} times the threshold", 1.0 / judging.in_vain_at),
        ),
    ];
    let over: Vec<_> = both.into_iter().filter(|(_, found, stated, _)| *found > *stated).collect();
    if over.is_empty() {
        return Problems::new();
    }
    // Reckoned in coarser steps than the errors, it may come to no more than they allow already.
    let (kept, mend) = match most_needed().map(|most| most.max(judging.most + 1)) {
        Some(most) => (format!("kept with {most} counts at most"), format!("allow {most} counts")),
        None => (format!("which no number of counts up to {MOST_STATIONS} keeps"), "state larger errors".to_owned()),
    };
    let warning = |(what, found, stated, at): (&str, f64, f64, String)| {
        Problem::warning(
            "scouting::errs-more",
            format!(
                "with `{}` counts at most and k {:.2} the stop lines {what} in {:.1} % of cases at {at}",
                judging.most,
                k.value(),
                found * 100.0
            ),
        )
        .expected(format!("{} % as stated, {kept}", (stated * 1e3).round() / 10.0))
        .mend(format!("{mend}, or means that lie farther apart"))
    };
    over.into_iter().map(warning).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::count::CountBasis;
    use crate::threshold::Decision;
    use proptest::prelude::*;

    fn judged(counts: &[u32], threshold: f64, judging: Judging) -> Advice {
        let counts = Counts::new(counts.to_vec(), CountBasis::Plant).unwrap().0;
        let threshold = Threshold::new(threshold, CountBasis::Plant, "invented").unwrap();
        advise(&counts, &threshold, judging).unwrap()
    }

    /// Of a k of 1 that is told.
    fn told(counts: &[u32], threshold: f64) -> Advice {
        judged(counts, threshold, Judging { told_k: ClumpingK::new(1.0), ..Judging::default() })
    }

    #[test]
    fn many_are_treated_few_are_left_and_between_one_counts_on() {
        let many = told(&[9, 12, 30, 14, 8, 17], 4.0);
        assert_eq!((many.stop, many.at, many.more), (Stop::Treat, 5, None));
        let few = told(&[0, 0, 1, 0, 0, 0, 0, 1, 0], 4.0);
        assert_eq!((few.stop, few.more), (Stop::DoNotTreat, None));
        let between = told(&[2, 5, 1, 4, 3], 4.0);
        assert_eq!(between.stop, Stop::CountOn);
        assert!(between.more.is_some_and(|more| (1..=45).contains(&more)), "{between:?}");
        assert!(between.characteristic[0].treats < between.characteristic[1].treats);
    }

    #[test]
    fn the_order_of_counts_changes_no_verdict() {
        // The first five of the first list reach the upper line, those of the second fall to the lower one: all say otherwise.
        let told = |counts: &[u32], threshold| {
            judged(counts, threshold, Judging { told_k: ClumpingK::new(2.0), ..Judging::default() })
        };
        let falling: Vec<u32> = [6; 5].into_iter().chain([0; 9]).collect();
        let rising: Vec<u32> = [0; 7].into_iter().chain([12; 7]).collect();
        assert_eq!((told(&falling[..5], 4.0).stop, told(&rising[..5], 4.0).stop), (Stop::Treat, Stop::DoNotTreat));
        for (counts, stop, since) in [(falling, Stop::DoNotTreat, [11, 5]), (rising, Stop::Treat, [12, 5])] {
            let backwards: Vec<u32> = counts.iter().rev().copied().collect();
            let found = [told(&counts, 4.0), told(&backwards, 4.0)];
            assert_eq!(found.each_ref().map(|one| one.stop), [stop; 2], "{counts:?}");
            assert_eq!(found.each_ref().map(|one| one.at), since, "{counts:?}");
        }
        // Where all of them lie between the lines again, it is not decided.
        let between = told(&[6, 6, 6, 6, 6, 0, 0], 4.0);
        assert_eq!((between.stop, between.at), (Stop::CountOn, 7));
        assert!(between.more.is_some());
    }

    #[test]
    fn counts_that_may_not_be_enough_are_told() {
        let short = Judging { in_vain_at: 0.9, most: 6, told_k: ClumpingK::new(1.0), ..Judging::default() };
        let found = judged(&[2, 3, 1], 4.0, short);
        assert!(found.warnings.iter().all(|one| one.code == "scouting::errs-more") && !found.warnings.is_empty());
        assert_eq!(found.if_more_clumped, None);
    }

    /// Every plan of the first table of `docs/scouting.md`: told where it errs more than stated, and nowhere else; with a number
    /// of counts that keeps both errors.
    #[test]
    fn what_errs_more_than_stated_is_told_and_nothing_else() {
        let (mut over, mut within) = (0, 0);
        for (threshold, in_vain_at) in
            [(0.5, 0.707), (1.0, 0.707), (3.0, 0.707), (8.0, 0.707), (20.0, 0.707), (5.0, 0.82)]
        {
            for k in [0.3, 0.5, 1.0, 3.0] {
                let judging = Judging { in_vain_at, told_k: ClumpingK::new(k), ..Judging::default() };
                let found = judged(&[2, 3, 1], threshold, judging);
                let (in_vain, wrongly) = found.plan.errors();
                let errs = [("treat in vain", in_vain), ("leave wrongly", wrongly)];
                let expected: Vec<&str> =
                    errs.iter().filter(|(_, error)| *error > 0.1).map(|(what, _)| *what).collect();
                let told: Vec<&Problem> =
                    found.warnings.iter().filter(|one| one.code == "scouting::errs-more").collect();
                assert_eq!(told.len(), expected.len(), "{threshold} {k}: {errs:?}");
                for (what, one) in expected.iter().zip(told) {
                    assert!(one.found.contains(what), "{}", one.found);
                    let most = found.most_needed.unwrap();
                    let kept = format!("10 % as stated, kept with {most} counts at most");
                    assert_eq!(one.expected.as_deref(), Some(kept.as_str()));
                    let with = judged(&[2, 3, 1], threshold, Judging { most, ..judging });
                    assert!(most > 50 && with.warnings.is_empty(), "{threshold} {k}: {:?}", with.warnings);
                    over += 1;
                }
                within += 2 - expected.len();
            }
        }
        assert!(over >= 10 && within >= 10, "{over} {within}");
        // However little it is.
        let hardly = (0..80).map(|step| 0.08 + 0.002 * f64::from(step)).find_map(|leave_wrongly| {
            let judging =
                Judging { in_vain_at: 0.82, leave_wrongly, told_k: ClumpingK::new(1.0), ..Judging::default() };
            let found = judged(&[2, 3, 1], 5.0, judging);
            let over = found.plan.errors().1 / leave_wrongly;
            (over > 1.0 && over < 1.04).then_some(found)
        });
        let hardly = hardly.expect("a plan that errs a little more than stated");
        assert!(hardly.warnings.iter().any(|one| one.found.contains("leave wrongly")), "{:?}", hardly.warnings);
    }

    #[test]
    fn a_k_that_is_only_believed_is_told_with_its_errors() {
        let few = judged(&[2, 5, 1, 4, 3], 4.0, Judging::default());
        let codes = |of: &Advice| of.warnings.iter().map(|one| one.code).collect::<Vec<_>>();
        assert_eq!((codes(&few), few.line_scatter.basis), (vec!["scouting::k-assumed"], LineScatterBasis::Believed));
        let more = few.if_more_clumped.unwrap();
        assert!(more.in_vain > few.characteristic[0].treats && more.wrongly > 1.0 - few.characteristic[2].treats);
        // What is told, or counted, needs no such words.
        assert!(!codes(&told(&[2, 5, 1, 4, 3], 4.0)).contains(&"scouting::k-assumed"));
        let many = judged(&[2, 5, 1, 4, 3].repeat(3), 4.0, Judging::default());
        assert_eq!((many.line_scatter.basis, many.if_more_clumped), (LineScatterBasis::Counted, None));
    }

    #[test]
    fn with_a_believed_k_it_takes_more_to_decide() {
        // Five counts of 8.4 are enough where k is 1, and not where it may be a quarter of that; five of nothing neither, and eight
        // are.
        let by_belief = |counts: &[u32]| judged(counts, 4.0, Judging::default()).stop;
        let high = [9, 2, 21, 8, 2];
        assert_eq!((told(&high, 4.0).stop, by_belief(&high)), (Stop::Treat, Stop::CountOn));
        assert_eq!((told(&[0; 5], 4.0).stop, by_belief(&[0; 5])), (Stop::DoNotTreat, Stop::CountOn));
        assert_eq!(by_belief(&[0; 8]), Stop::DoNotTreat);
    }

    /// Near-Poisson counts whose interval goes from 2.46 to 3.80.
    #[test]
    fn a_mean_surely_below_the_threshold_is_not_treated() {
        let counts: Vec<u32> = [3, 2, 5, 3, 1, 4, 3, 2, 6, 3].into_iter().chain([3; 20]).collect();
        assert_eq!(counts.iter().sum::<u32>(), 92);
        let found = judged(&counts, 4.0, Judging::default());
        assert_eq!((found.comparison.decision, found.stop), (Decision::Below, Stop::DoNotTreat));
        let over = judged(&counts, 2.3, Judging::default());
        assert_eq!((over.comparison.decision, over.stop), (Decision::Above, Stop::Treat));
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(60))]
        /// Nothing is treated whose mean is surely below the threshold, and nothing left whose mean is surely at it or above.
        #[test]
        fn no_line_says_other_than_a_sure_interval(
            counts in prop::collection::vec(0_u32..12, 3..80), share in 0.6_f64..1.6, in_vain_at in 0.5_f64..0.95,
        ) {
            prop_assume!(counts.iter().any(|count| *count > 0));
            let counts = Counts::new(counts, CountBasis::Plant).unwrap().0;
            let threshold = Threshold::new(counts.mean() * share, CountBasis::Plant, "invented").unwrap();
            let found = decide(&counts, &threshold, Judging { in_vain_at, ..Judging::default() }).unwrap();
            match found.comparison.decision {
                Decision::Below => prop_assert!(found.stop.treats() != Some(true)),
                Decision::Above => prop_assert!(found.stop.treats() != Some(false)),
                Decision::Undecided => {}
            }
            if let Some(treats) = found.stop.treats() {
                prop_assert_eq!(treats, found.comparison.mean_reaches);
            }
        }
    }
}
