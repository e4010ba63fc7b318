//! Stop lines: when enough has been counted to treat, or not to treat.

mod characteristic;

pub use characteristic::Characteristic;

use problem::{Problem, Problems};

use crate::dispersion::{ClumpingK, Dispersion};

/// What a walk of counts is to tell apart, and how often it may be wrong.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StopLinePlan {
    aim: StopLineAim,
}

/// The bounds of a plan as a person states them: means of one station.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StopLineAim {
    /// Mean of a station below the threshold, at which treating would be in vain.
    pub lower: f64,
    /// The threshold as a mean of a station: nothing is treated below it, and nothing left at it or above.
    pub threshold: f64,
    /// Mean of a station above the threshold, at which it must be treated.
    pub upper: f64,
    /// How counts scatter.
    pub dispersion: Dispersion,
    /// How often it may be treated at the lower mean (α).
    pub treat_in_vain: f64,
    /// How often it may be left at the upper mean (β).
    pub leave_wrongly: f64,
    /// Fewest counts before anything is decided.
    pub least: u32,
    /// Most counts; then the mean decides, held against the threshold.
    pub most: u32,
}

/// What the counts so far say.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Stop {
    /// The total is at the upper line or above.
    Treat,
    /// The total is at the lower line or below.
    DoNotTreat,
    /// Between the lines: count on.
    CountOn,
    /// As many as planned at most, still between the lines: the mean decides, and is at the threshold or above.
    MostReachedTreat,
    /// As many as planned at most, still between the lines: the mean decides, and is below the threshold.
    MostReachedDoNotTreat,
}

impl Stop {
    /// Whether counting is over.
    pub fn is_end(self) -> bool {
        self != Self::CountOn
    }

    /// Whether it is to be treated; `None` while counting goes on.
    pub fn treats(self) -> Option<bool> {
        match self {
            Self::Treat | Self::MostReachedTreat => Some(true),
            Self::DoNotTreat | Self::MostReachedDoNotTreat => Some(false),
            Self::CountOn => None,
        }
    }
}

/// The lines: total = slope · stations + intercept. Two tell the means apart; on ground with next to nothing a second lower
/// line is met sooner, and the higher of the two lower ones counts. No line crosses the threshold: where it would, the total
/// at which the mean is the threshold takes its place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StopLines {
    /// How much the total grows with each station along both lines: the mean between the two that are told apart.
    pub slope: f64,
    /// Of the lower line; below nothing.
    pub lower_intercept: f64,
    /// Of the upper line; above nothing.
    pub upper_intercept: f64,
    /// How much the total grows with each station along the line for ground with next to nothing.
    pub clean_slope: f64,
    /// Of that line; below nothing.
    pub clean_intercept: f64,
    /// The threshold as a mean of a station.
    pub threshold: f64,
}

impl StopLines {
    /// The higher of the lower lines at a number of stations, and not above the threshold.
    pub fn lower_at(&self, stations: f64) -> f64 {
        let clean = self.clean_slope * stations + self.clean_intercept;
        clean.max(self.slope * stations + self.lower_intercept).min(self.threshold * stations)
    }

    /// The upper line at a number of stations, and not below the threshold.
    pub fn upper_at(&self, stations: f64) -> f64 {
        (self.slope * stations + self.upper_intercept).max(self.threshold * stations)
    }

    /// Whether a total of so many stations has a mean at the threshold or above.
    pub fn reaches(&self, stations: f64, total: f64) -> bool {
        // 1 sq ft of a square yard is a ninth but for the last bit.
        total >= self.threshold * stations * (1.0 - 1e-12)
    }

    /// The corners of the lower lines from a number of stations to another, the higher line each time, from where it is above
    /// nothing: stations and totals.
    pub fn lower_corners(&self, from: f64, to: f64) -> Vec<(f64, f64)> {
        let above = (-self.clean_intercept / self.clean_slope).min(-self.lower_intercept / self.slope);
        let begins = above.max(from).min(to);
        let meet = (self.lower_intercept - self.clean_intercept) / (self.clean_slope - self.slope);
        let crosses = self.lower_intercept / (self.threshold - self.slope);
        corners((begins, to), [meet, crosses], |at| self.lower_at(at))
    }

    /// The corners of the upper line from a number of stations to another: stations and totals.
    pub fn upper_corners(&self, from: f64, to: f64) -> Vec<(f64, f64)> {
        let crosses = self.upper_intercept / (self.threshold - self.slope);
        corners((from, to), [crosses, crosses], |at| self.upper_at(at))
    }

    /// How many totals lie between the lines from a least to a most number of stations, at most.
    fn width(&self, least: f64, most: f64) -> f64 {
        let at_most = self.upper_at(most) - self.lower_at(most);
        self.upper_at(least).max(self.upper_intercept - self.lower_intercept).max(at_most)
    }
}

/// The ends of a way with the turns that lie between them, in their order.
fn corners((from, to): (f64, f64), mut turns: [f64; 2], at: impl Fn(f64) -> f64) -> Vec<(f64, f64)> {
    turns.sort_by(f64::total_cmp);
    let [first, second] = turns.map(|turn| (from < turn && turn < to).then_some(turn));
    let second = second.filter(|second| Some(*second) != first);
    [Some(from), first, second, Some(to)].into_iter().flatten().map(|stations| (stations, at(stations))).collect()
}

/// Wald's two lines alone: total = slope · stations + intercept.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WaldLines {
    /// How much the total grows with each station along both.
    pub slope: f64,
    /// Of the lower one; below nothing.
    pub lower_intercept: f64,
    /// Of the upper one; above nothing.
    pub upper_intercept: f64,
}

/// The lines between a lower and an upper mean, at shares of treating at the lower one (α) and of leaving at the upper one (β).
///
/// # Source
/// Wald 1947, Sequential Analysis, for the negative binomial with one k and for the Poisson: the total T of n
/// counts lies between the lines while β / (1 - α) < likelihood ratio < (1 - β) / α.
pub fn wald_lines((lower, upper): (f64, f64), dispersion: Dispersion, (alpha, beta): (f64, f64)) -> WaldLines {
    let (per_pest, per_station) = likelihood_ratio((lower, upper), dispersion);
    WaldLines {
        slope: per_station / per_pest,
        lower_intercept: (beta / (1.0 - alpha)).ln() / per_pest,
        upper_intercept: ((1.0 - beta) / alpha).ln() / per_pest,
    }
}

/// By how much the logarithm of the likelihood ratio of the upper mean against the lower one grows with each pest, and falls with
/// each station.
fn likelihood_ratio((lower, upper): (f64, f64), dispersion: Dispersion) -> (f64, f64) {
    match dispersion {
        Dispersion::Poisson => ((upper / lower).ln(), upper - lower),
        Dispersion::NegativeBinomial(k) => {
            let k = ClumpingK::value(k);
            ((upper * (lower + k) / (lower * (upper + k))).ln(), k * ((upper + k) / (lower + k)).ln())
        }
    }
}

impl StopLinePlan {
    /// A plan.
    ///
    /// # Errors
    /// All that cannot be: means that are not 0 < lower < threshold < upper, shares of error not between 0 and 0.5, a least
    /// above the most or of nothing, or more than 500 stations; and lines so far apart that what lies between them cannot be
    /// reckoned.
    pub fn new(aim: StopLineAim) -> Result<Self, Problems> {
        let StopLineAim { lower, threshold, upper, treat_in_vain, leave_wrongly, least, most, .. } = aim;
        let mut problems = Problems::new();
        if !(lower > 0.0 && lower < threshold && threshold < upper && upper.is_finite()) {
            problems.push(
                Problem::error(
                    "scouting::stop-means",
                    format!("means of `{lower}` and `{upper}` to be told apart round a threshold of `{threshold}`"),
                )
                .expected("two means, the lower above nothing and below the threshold, and the upper above it")
                .mend("name a mean at which treating is in vain for the lower, and one at which leaving is wrong for the upper"),
            );
        }
        for (what, share) in [("treating in vain", treat_in_vain), ("leaving wrongly", leave_wrongly)] {
            if !(share > 0.0 && share < 0.5) {
                problems.push(
                    Problem::error("scouting::stop-errors", format!("`{share}` as the share of {what}"))
                        .expected("between 0 and 0.5, such as 0.1"),
                );
            }
        }
        if least == 0 || least > most || most > MOST_STATIONS {
            problems.push(
                Problem::error("scouting::stop-stations", format!("from `{least}` to `{most}` stations"))
                    .expected(format!("one or more, the least not above the most, {MOST_STATIONS} at most")),
            );
        }
        let (plan, _) = problems.unless_errors(Self { aim })?;
        let width = plan.width();
        if width.is_nan() || width > MOST_WIDTH {
            return Err(Problem::error(
                "scouting::stop-width",
                format!("means of `{lower}` and `{upper}` whose lines lie too far apart to be reckoned with"),
            )
            .expected("as many counts on as much ground as somebody walks on one lawn")
            .mend("take less ground for a count, means that lie farther apart, fewer counts, or look for a slip in k")
            .into());
        }
        Ok(plan)
    }

    /// How many totals lie between the lines at one number of stations, at most.
    fn width(&self) -> f64 {
        self.lines().width(f64::from(self.aim.least), f64::from(self.aim.most))
    }

    /// The fewest and the most counts.
    pub fn stations(&self) -> (u32, u32) {
        (self.aim.least, self.aim.most)
    }

    /// The lower and the upper mean.
    pub fn means(&self) -> (f64, f64) {
        (self.aim.lower, self.aim.upper)
    }

    /// The threshold as a mean of a station.
    pub fn threshold(&self) -> f64 {
        self.aim.threshold
    }

    /// The lines: [`wald_lines`], with a part of β for the lower one. The rest of β is that of the line for ground with next to
    /// nothing, between a fifth of the lower mean and the upper one (common practice, no source): counts of nothing are about
    /// as unlikely at the lower mean as at the upper one, and lines between those two alone would have somebody count on where
    /// there is nothing. Each of the two is met at the upper mean in no more cases than its part, so that β is kept.
    pub fn lines(&self) -> StopLines {
        let StopLineAim { lower, threshold, upper, dispersion, treat_in_vain, leave_wrongly, .. } = self.aim;
        let of = |beta| wald_lines((lower, upper), dispersion, (treat_in_vain, beta));
        let WaldLines { slope, upper_intercept, .. } = of(leave_wrongly);
        let (clean_pest, clean_station) = likelihood_ratio((lower * CLEAN, upper), dispersion);
        StopLines {
            slope,
            lower_intercept: of(leave_wrongly * (1.0 - CLEAN_ERROR)).lower_intercept,
            upper_intercept,
            clean_slope: clean_station / clean_pest,
            clean_intercept: (leave_wrongly * CLEAN_ERROR).ln() / clean_pest,
            threshold,
        }
    }

    /// What a total of so many stations says.
    pub fn stop(&self, stations: u32, total: u64) -> Stop {
        self.stop_by(&self.lines(), stations, total)
    }

    fn stop_by(&self, lines: &StopLines, stations: u32, total: u64) -> Stop {
        self.line_met(lines, stations, total).unwrap_or_else(|| match stations < self.aim.most {
            true => Stop::CountOn,
            false if lines.reaches(f64::from(stations), total as f64) => Stop::MostReachedTreat,
            false => Stop::MostReachedDoNotTreat,
        })
    }

    /// Which line a total of so many stations has met.
    fn line_met(&self, lines: &StopLines, stations: u32, total: u64) -> Option<Stop> {
        let (at, total) = (f64::from(stations), total as f64);
        if stations < self.aim.least {
            return None;
        }
        if lines.reaches(at, total) {
            (total >= lines.slope * at + lines.upper_intercept).then_some(Stop::Treat)
        } else {
            (total <= lines.lower_at(at)).then_some(Stop::DoNotTreat)
        }
    }

    /// What counts say, all of them together, and from which count on they say it; all of them while it goes on.
    ///
    /// Whoever counts past the end of a walk knows more than at its end: the total of all decides, in whatever order they
    /// were made. A total of so many stations errs no oftener than a walk that ends at the first line that it meets.
    pub fn walk(&self, counts: &[u32]) -> (Stop, u32) {
        let mut total = 0_u64;
        let (mut stop, mut since, mut made) = (Stop::CountOn, 0, 0);
        for (station, count) in (1_u32..).zip(counts) {
            total += u64::from(*count);
            made = station;
            let now = self.stop(station, total);
            if now != stop {
                (stop, since) = (now, station);
            }
        }
        (stop, if stop.is_end() { since } else { made })
    }

    /// What counts say that are made one by one, such as by lot, until the first line is met; and how many it took.
    pub fn walk_of(&self, mut next: impl FnMut() -> u32) -> (Stop, u32) {
        let lines = self.lines();
        let mut total = 0_u64;
        for station in 1.. {
            total += u64::from(next());
            let stop = self.stop_by(&lines, station, total);
            if stop.is_end() {
                return (stop, station);
            }
        }
        (Stop::CountOn, u32::MAX)
    }
}

/// Ground with so much of the lower mean has next to nothing.
const CLEAN: f64 = 0.2;

/// The share of β that the line for it may spend; the other lower line has the rest.
const CLEAN_ERROR: f64 = 0.5;

/// More stations than this nobody counts on one lawn.
pub const MOST_STATIONS: u32 = 500;

/// More totals than this nobody counts.
const MOST_WIDTH: f64 = 1e5;

#[cfg(test)]
mod tests {
    use super::characteristic::MOST_TOTALS;
    use super::*;
    use proptest::prelude::*;

    /// Means round a threshold in their middle, an error of a tenth either way.
    fn aim((lower, upper): (f64, f64), dispersion: Dispersion, least: u32, most: u32) -> StopLineAim {
        let (treat_in_vain, leave_wrongly) = (0.1, 0.1);
        let threshold = (lower * upper).sqrt();
        StopLineAim { lower, threshold, upper, dispersion, treat_in_vain, leave_wrongly, least, most }
    }

    fn plan(lower: f64, upper: f64, dispersion: Dispersion, least: u32, most: u32) -> StopLinePlan {
        StopLinePlan::new(aim((lower, upper), dispersion, least, most)).unwrap()
    }

    #[test]
    fn a_line_is_met_and_all_counts_together_decide() {
        let plan = plan(4.0, 8.0, Dispersion::Poisson, 3, 10);
        // The lines are 5.77 n + 3.17 and, at half of β, 5.77 n - 4.17; the threshold is 5.66.
        assert_eq!(plan.stop(2, 100), Stop::CountOn, "nothing is decided before the least number");
        assert_eq!(plan.walk(&[30, 30, 30]), (Stop::Treat, 3));
        assert_eq!(plan.walk(&[4, 5, 4]), (Stop::DoNotTreat, 3));
        assert_eq!(plan.walk(&[4, 5, 4, 9, 9]), (Stop::CountOn, 5));
        let mut made = [4, 5, 4, 9, 9].into_iter();
        assert_eq!(plan.walk_of(|| made.next().unwrap()), (Stop::DoNotTreat, 3), "one by one the first line ends it");
        assert_eq!(plan.walk(&[6, 6, 6]), (Stop::CountOn, 3));
        assert_eq!(plan.walk(&[6; 12]), (Stop::MostReachedTreat, 10));
        assert_eq!(plan.walk(&[6; 20]), (Stop::Treat, 14));
    }

    #[test]
    fn what_cannot_be_is_told_at_once() {
        let aim = StopLineAim {
            lower: 4.0,
            threshold: 3.0,
            upper: 2.0,
            dispersion: Dispersion::Poisson,
            treat_in_vain: 0.0,
            leave_wrongly: 0.7,
            least: 5,
            most: 3,
        };
        let codes: Vec<_> = StopLinePlan::new(aim).unwrap_err().iter().map(|one| one.code).collect();
        assert_eq!(
            codes,
            ["scouting::stop-means", "scouting::stop-errors", "scouting::stop-errors", "scouting::stop-stations"]
        );
    }

    #[test]
    fn what_nobody_could_count_is_refused_and_what_never_errs_ends() {
        for (upper, k) in [(1e9, 1.0), (10.0, 1e-9)] {
            let aim = aim((upper / 2.0, upper), Dispersion::clumped(k).unwrap(), 5, 50);
            let codes: Vec<_> = StopLinePlan::new(aim).unwrap_err().iter().map(|one| one.code).collect();
            assert_eq!(codes, ["scouting::stop-width"], "{upper} {k}");
        }
        // Errors far below the rounding of a sum.
        let sure = plan(150.0, 300.0, Dispersion::Poisson, 5, 20);
        assert!(sure.errors().0 < 1e-9);
        assert!(sure.fixed_stations().is_some());
    }

    /// The characteristic of every path, counted one by one.
    #[test]
    fn the_characteristic_is_that_of_all_paths() {
        for dispersion in [Dispersion::Poisson, Dispersion::clumped(0.8).unwrap()] {
            let plan = plan(0.5, 1.5, dispersion, 2, 4);
            let mean = 1.1;
            let (mut treats, mut stations, mut most) = (0.0, 0.0, 0.0);
            let chance = |count: u32| dispersion.ln_chance(u64::from(count), mean).exp();
            let cut = 30;
            let mut paths = vec![(Vec::new(), 1.0)];
            while let Some((path, likely)) = paths.pop() {
                let (stop, _) = plan.walk(&path);
                if stop.is_end() {
                    treats += if stop.treats() == Some(true) { likely } else { 0.0 };
                    stations += likely * path.len() as f64;
                    most +=
                        if path.len() == 4 && !matches!(stop, Stop::Treat | Stop::DoNotTreat) { likely } else { 0.0 };
                    continue;
                }
                for count in 0..cut {
                    let likely = likely * chance(count);
                    // A path so unlikely changes nothing.
                    if likely > 1e-12 {
                        paths.push(([path.as_slice(), &[count]].concat(), likely));
                    }
                }
            }
            let found = plan.characteristic(mean);
            for (one, other) in [(treats, found.treats), (stations, found.stations), (most, found.most_reached)] {
                assert!((one - other).abs() < 1e-5, "{dispersion:?}: {one} {other}");
            }
        }
    }

    #[test]
    fn pests_more_clumped_than_the_lines_take_them_for_are_told_wrongly_more_often() {
        let plan = plan(2.0, 4.0, Dispersion::clumped(1.0).unwrap(), 5, 50);
        let (in_vain, wrongly) = plan.errors();
        let clumped = |k| Dispersion::clumped(k).unwrap();
        let at = |mean, k| plan.characteristic_of(mean, clumped(k)).treats;
        assert_eq!((in_vain, 1.0 - wrongly), (at(2.0, 1.0), at(4.0, 1.0)));
        assert!(at(2.0, 0.3) > 0.13 && at(4.0, 0.3) < 0.75, "{} {}", at(2.0, 0.3), at(4.0, 0.3));
        assert!(at(2.0, 3.0) < in_vain && 1.0 - at(4.0, 3.0) < wrongly);
    }

    #[test]
    fn where_there_is_nothing_few_counts_tell_it() {
        // k 0.25: nothing would meet the lower line of 2 against 4 at the fourteenth count, where 2.78 n is 38.4, and meets that of
        // 0.4 against 4 at the seventh, where 1.105 n is 7.05.
        let plan = plan(2.0, 4.0, Dispersion::clumped(0.25).unwrap(), 5, 50);
        let lines = plan.lines();
        assert!((-lines.lower_intercept / lines.slope).ceil() as u32 >= 13);
        let (stop, at) = plan.walk(&[0; 20]);
        assert_eq!((stop, at), (Stop::DoNotTreat, (-lines.clean_intercept / lines.clean_slope).ceil() as u32));
        assert!(at <= 8, "{at}");
        let corners = lines.lower_corners(5.0, 40.0);
        assert_eq!(corners.len(), 3, "from nothing to where the lines meet, and on: {corners:?}");
        let (meet, total) = corners[1];
        assert!((lines.slope * meet + lines.lower_intercept - total).abs() < 1e-9);
        assert!((lines.clean_slope * meet + lines.clean_intercept - total).abs() < 1e-9 && corners[0].1.abs() < 1e-9);
    }

    #[test]
    fn wide_lines_are_reckoned_in_steps_as_they_would_be_by_lot() {
        // Eleven pests stand for one total here.
        let clumped = Dispersion::clumped(0.12).unwrap();
        let plan = plan(150.0, 300.0, clumped, 5, 50);
        assert!(plan.width() > 10.0 * MOST_TOTALS);
        for mean in [150.0, 300.0] {
            let by_lot = crate::CountsByLot::about(clumped, mean);
            let mut draws = crate::Draws::of_seed(5);
            let walks = 4_000;
            let (mut treated, mut counted) = (0.0, 0.0);
            for _ in 0..walks {
                let (stop, at) = plan.walk_of(|| by_lot.draw(&mut draws));
                treated += f64::from(u8::from(stop.treats() == Some(true)));
                counted += f64::from(at);
            }
            let found = plan.characteristic(mean);
            // Four standard errors of so many walks.
            assert!(
                (treated / f64::from(walks) - found.treats).abs() < 4.0 * 0.5 / f64::from(walks).sqrt(),
                "{found:?}"
            );
            assert!((counted / f64::from(walks) - found.stations).abs() < 1.0, "{found:?}");
        }
    }

    #[test]
    fn the_middle_line_lies_at_the_threshold() {
        for k in [0.1, 0.5, 1.0, 3.0, 10.0, 1e6] {
            for threshold in [0.5, 4.0, 20.0] {
                let plan = plan(threshold * 0.707, threshold / 0.707, Dispersion::clumped(k).unwrap(), 5, 50);
                let share = plan.lines().slope / threshold;
                assert!((0.98..1.021).contains(&share), "{k} {threshold}: {share}");
            }
        }
    }

    #[test]
    fn at_the_most_counts_the_mean_decides_against_the_threshold() {
        // The middle line of chance alone lies 2 % above the threshold, and that of clumped pests 2 % below it.
        for dispersion in [Dispersion::Poisson, Dispersion::clumped(0.1).unwrap()] {
            let aim = StopLineAim { threshold: 4.0, ..aim((4.0 * 0.707, 4.0 / 0.707), dispersion, 5, 10) };
            let plan = StopLinePlan::new(aim).unwrap();
            assert_eq!([plan.stop(10, 40), plan.stop(10, 39)], [Stop::MostReachedTreat, Stop::MostReachedDoNotTreat]);
        }
        // A ninth of 9 is one, but for the last bit.
        let ninth = StopLineAim { threshold: 9.0 * (1.0 / 9.0), ..aim((0.707, 1.414), Dispersion::Poisson, 5, 10) };
        assert_eq!(StopLinePlan::new(ninth).unwrap().stop(10, 10), Stop::MostReachedTreat);
    }

    #[test]
    fn pictures_turn_where_a_line_would_cross_the_threshold() {
        // 10.2 n - 4.17 lies above 10 n from the 21st count on.
        let even = plan(7.07, 14.14, Dispersion::Poisson, 5, 50).lines();
        let corners = even.lower_corners(5.0, 40.0);
        let (turn, total) = corners[corners.len() - 2];
        assert!((15.0..25.0).contains(&turn) && (total - even.threshold * turn).abs() < 1e-9, "{corners:?}");
        assert!((corners[corners.len() - 1].1 - even.threshold * 40.0).abs() < 1e-9);
        assert_eq!(even.upper_corners(5.0, 40.0).len(), 2, "the upper line rises faster than it");
        let clumped = plan(7.07, 14.14, Dispersion::clumped(0.6).unwrap(), 5, 500).lines();
        let corners = clumped.upper_corners(5.0, 500.0);
        assert!(corners.len() == 3 && (corners[2].1 - clumped.threshold * 500.0).abs() < 1e-9, "{corners:?}");
    }

    #[test]
    fn with_as_many_counts_as_are_needed_neither_error_is_passed() {
        let mut more = 0;
        for (lower, upper) in [(0.35, 0.71), (2.1, 4.2), (4.1, 6.1)] {
            for k in [0.3, 0.5, 1.0, 3.0] {
                let of = |most| plan(lower, upper, Dispersion::clumped(k).unwrap(), 5, most);
                let needed = of(50).most_needed().unwrap();
                let keeps = |most| {
                    let (in_vain, wrongly) = of(most).errors();
                    in_vain <= 0.1 && wrongly <= 0.1
                };
                assert!(keeps(needed) && (needed == 5 || !keeps(needed - 1)), "{lower} {upper} {k}: {needed}");
                more += u32::from(needed > 50);
                // Both lower lines together leave no more than stated however many are counted.
                assert!(keeps(MOST_STATIONS), "{lower} {upper} {k}: {:?}", of(MOST_STATIONS).errors());
            }
        }
        assert!(more >= 4, "{more}");
        let never = StopLineAim { leave_wrongly: 0.001, ..aim((4.0, 4.4), Dispersion::clumped(0.3).unwrap(), 5, 50) };
        assert_eq!(StopLinePlan::new(never).unwrap().most_needed(), None);
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(200))]
        /// Nothing is treated below the threshold, and nothing left at it or above.
        #[test]
        fn no_line_crosses_the_threshold(
            threshold in 0.1_f64..40.0, in_vain_at in 0.3_f64..0.95, k in 0.1_f64..1e4, stations in 1_u32..500, share in 0.5_f64..1.5,
        ) {
            let means = (threshold * in_vain_at, threshold / in_vain_at);
            let aim = StopLineAim { threshold, ..aim(means, Dispersion::clumped(k).unwrap(), 5, 50) };
            prop_assume!(StopLinePlan::new(aim).is_ok());
            let plan = StopLinePlan::new(aim).unwrap();
            let total = (threshold * f64::from(stations) * share).round() as u64;
            let mean = total as f64 / f64::from(stations);
            match plan.stop(stations, total).treats() {
                Some(true) => prop_assert!(mean >= threshold * (1.0 - 1e-9)),
                Some(false) => prop_assert!(mean < threshold),
                None => {}
            }
            let lines = plan.lines();
            let at = f64::from(stations);
            prop_assert!(lines.lower_at(at) <= threshold * at && lines.upper_at(at) >= threshold * at);
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(40))]
        /// More pests are treated more often, and the errors are shares.
        #[test]
        fn the_characteristic_rises_with_the_mean(
            lower in 0.2_f64..6.0, apart in 1.3_f64..3.0, k in 0.3_f64..8.0, least in 1_u32..6, more in 1_u32..40,
        ) {
            let plan = plan(lower, lower * apart, Dispersion::clumped(k).unwrap(), least, least + more);
            let mut last = -1e-9;
            for step in 0..12 {
                let mean = lower * apart * f64::from(step) / 6.0;
                let found = plan.characteristic(mean);
                prop_assert!(found.treats >= last - 1e-9 && found.treats <= 1.0 + 1e-9, "{found:?}");
                prop_assert!(found.stations >= f64::from(least) - 1e-6 && found.stations <= f64::from(least + more) + 1e-6);
                last = found.treats;
            }
        }

        /// Lines of equal errors lie as far below as above the middle, and a likelihood ratio lies on them; those of a plan have half
        /// of β below.
        #[test]
        fn the_lines_are_those_of_the_likelihood_ratio(lower in 0.2_f64..6.0, apart in 1.3_f64..3.0, k in 0.3_f64..8.0) {
            let dispersion = Dispersion::clumped(k).unwrap();
            let of_plan = plan(lower, lower * apart, dispersion, 1, 50).lines();
            let lines = wald_lines((lower, lower * apart), dispersion, (0.1, 0.1));
            prop_assert!((lines.upper_intercept + lines.lower_intercept).abs() < 1e-9 * lines.upper_intercept);
            prop_assert_eq!((of_plan.slope, of_plan.upper_intercept), (lines.slope, lines.upper_intercept));
            let ratio = of_plan.lower_intercept / lines.lower_intercept;
            prop_assert!((ratio - 18.0_f64.ln() / 9.0_f64.ln()).abs() < 1e-9, "{ratio}");
            // The ratio of any one count c is per_pest · (c - slope).
            let per_pest = 9.0_f64.ln() / lines.upper_intercept;
            for count in [0_u64, 3, 11] {
                let ratio = dispersion.ln_chance(count, lower * apart) - dispersion.ln_chance(count, lower);
                prop_assert!((ratio - per_pest * (count as f64 - lines.slope)).abs() < 1e-8, "{ratio}");
            }
        }
    }
}
