//! Stop lines: when enough has been counted to treat, or not to treat.

use problem::{Problem, Problems};

use crate::dispersion::{ClumpingK, Dispersion};

/// What a walk of counts is to tell apart, and how often it may be wrong.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StopLinePlan {
    lower: f64,
    upper: f64,
    dispersion: Dispersion,
    treat_in_vain: f64,
    leave_wrongly: f64,
    least: u32,
    most: u32,
}

/// The bounds of a plan as a person states them: means of one station.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StopLineAim {
    /// Mean of a station at which treating would be in vain.
    pub lower: f64,
    /// Mean of a station at which it must be treated.
    pub upper: f64,
    /// How counts scatter.
    pub dispersion: Dispersion,
    /// How often it may be treated at the lower mean (α).
    pub treat_in_vain: f64,
    /// How often it may be left at the upper mean (β).
    pub leave_wrongly: f64,
    /// Fewest counts before anything is decided.
    pub least: u32,
    /// Most counts; then the mean decides.
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
    /// As many as planned at most, still between the lines: the mean decides, and is at the middle line or above.
    MostReachedTreat,
    /// As many as planned at most, still between the lines: the mean decides, and is below the middle line.
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
/// line is met sooner, and the higher of the two lower ones counts.
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
}

impl StopLines {
    /// The higher of the lower lines at a number of stations.
    pub fn lower_at(&self, stations: f64) -> f64 {
        let clean = self.clean_slope * stations + self.clean_intercept;
        clean.max(self.slope * stations + self.lower_intercept)
    }

    /// The upper line at a number of stations.
    pub fn upper_at(&self, stations: f64) -> f64 {
        self.slope * stations + self.upper_intercept
    }

    /// The corners of the lower lines from a number of stations to another, the higher line each time, from where it is above
    /// nothing: stations and totals.
    pub fn lower_corners(&self, from: f64, to: f64) -> Vec<(f64, f64)> {
        let above = (-self.clean_intercept / self.clean_slope).min(-self.lower_intercept / self.slope);
        let begins = above.max(from).min(to);
        let meet = (self.lower_intercept - self.clean_intercept) / (self.clean_slope - self.slope);
        let between = (begins < meet && meet < to).then_some(meet);
        [Some(begins), between, Some(to)].into_iter().flatten().map(|at| (at, self.lower_at(at))).collect()
    }
}

/// How a plan does where the true mean is known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Characteristic {
    /// The mean of a station.
    pub mean: f64,
    /// How often it ends with treating.
    pub treats: f64,
    /// Stations counted on average (average sample number).
    pub stations: f64,
    /// How often the most is reached between the lines.
    pub most_reached: f64,
}

impl StopLinePlan {
    /// A plan.
    ///
    /// # Errors
    /// All that cannot be: means that are not 0 < lower < upper, shares of error not between 0 and 0.5, a least above the
    /// most or of nothing, or more than 500 stations; and lines so far apart that what lies between them cannot be reckoned.
    pub fn new(aim: StopLineAim) -> Result<Self, Problems> {
        let StopLineAim { lower, upper, dispersion, treat_in_vain, leave_wrongly, least, most } = aim;
        let mut problems = Problems::new();
        if !(lower > 0.0 && lower < upper && upper.is_finite()) {
            problems.push(
                Problem::error("scouting::stop-means", format!("means of `{lower}` and `{upper}` to be told apart"))
                    .expected("two means, the lower above nothing and the upper above it")
                    .mend("name the threshold for the upper, and a mean at which treating is in vain for the lower"),
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
        let plan = Self { lower, upper, dispersion, treat_in_vain, leave_wrongly, least, most };
        let (plan, _) = problems.unless_errors(plan)?;
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
        let lines = self.lines();
        lines.upper_at(f64::from(self.least)).max(lines.upper_intercept - lines.lower_intercept)
    }

    /// The fewest and the most counts.
    pub fn stations(&self) -> (u32, u32) {
        (self.least, self.most)
    }

    /// The lower and the upper mean.
    pub fn means(&self) -> (f64, f64) {
        (self.lower, self.upper)
    }

    /// The lines.
    ///
    /// # Source
    /// Wald 1947, Sequential Analysis, for the negative binomial with one k and for the Poisson: the total T of n
    /// counts lies between the lines while β / (1 - α) < likelihood ratio < (1 - β) / α. The line for ground with next to
    /// nothing is the same between a fifth of the lower mean and the upper one, at half of β (common practice, no source):
    /// counts of nothing are about as unlikely at the lower mean as at the upper one, and lines between those two alone would
    /// have somebody count on where there is nothing.
    pub fn lines(&self) -> StopLines {
        let (per_pest, per_station) = self.ratio(self.lower);
        let (clean_pest, clean_station) = self.ratio(self.lower * CLEAN);
        StopLines {
            slope: per_station / per_pest,
            lower_intercept: (self.leave_wrongly / (1.0 - self.treat_in_vain)).ln() / per_pest,
            upper_intercept: ((1.0 - self.leave_wrongly) / self.treat_in_vain).ln() / per_pest,
            clean_slope: clean_station / clean_pest,
            clean_intercept: (self.leave_wrongly * CLEAN_ERROR).ln() / clean_pest,
        }
    }

    /// By how much the logarithm of the likelihood ratio of the upper mean against another grows with each pest, and falls
    /// with each station.
    fn ratio(&self, against: f64) -> (f64, f64) {
        let upper = self.upper;
        match self.dispersion {
            Dispersion::Poisson => ((upper / against).ln(), upper - against),
            Dispersion::NegativeBinomial(k) => {
                let k = ClumpingK::value(k);
                ((upper * (against + k) / (against * (upper + k))).ln(), k * ((upper + k) / (against + k)).ln())
            }
        }
    }

    /// What a total of so many stations says.
    pub fn stop(&self, stations: u32, total: u64) -> Stop {
        self.stop_by(&self.lines(), stations, total)
    }

    fn stop_by(&self, lines: &StopLines, stations: u32, total: u64) -> Stop {
        let (at, total) = (f64::from(stations), total as f64);
        if stations >= self.least {
            if total >= lines.upper_at(at) {
                return Stop::Treat;
            }
            if total <= lines.lower_at(at) {
                return Stop::DoNotTreat;
            }
        }
        match stations < self.most {
            true => Stop::CountOn,
            false if total >= lines.slope * at => Stop::MostReachedTreat,
            false => Stop::MostReachedDoNotTreat,
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

    /// How the plan does where a station has this mean, reckoned and not drawn by lot: the chance of every total that
    /// still lies between the lines is carried from station to station.
    pub fn characteristic(&self, mean: f64) -> Characteristic {
        self.characteristic_of(mean, self.dispersion)
    }

    /// The same where the counts scatter otherwise than the lines take them to.
    pub fn characteristic_of(&self, mean: f64, truth: Dispersion) -> Characteristic {
        self.reckoned((0, 0), mean, truth)
    }

    /// The same after counts that came to a total: its stations are those still to be counted.
    pub fn from_here(&self, stations: u32, total: u64, mean: f64) -> Characteristic {
        self.reckoned((stations, total), mean, self.dispersion)
    }

    fn reckoned(&self, (stations, total): (u32, u64), mean: f64, truth: Dispersion) -> Characteristic {
        let mut sums = Characteristic { mean, treats: 0.0, stations: 0.0, most_reached: 0.0 };
        if stations > 0 && self.stop(stations, total).is_end() {
            sums.treats = if self.stop(stations, total).treats() == Some(true) { 1.0 } else { 0.0 };
            return sums;
        }
        let lines = self.lines();
        // Lines that lie far apart are reckoned in steps of several pests, which is little beside their width.
        let step = (self.width() / MOST_TOTALS).ceil().max(1.0);
        let pests = |steps: usize| (steps as f64 * step) as u64;
        // A total at the upper line or above, as it is when the least number is reached, ends in treating for sure.
        let top = |station: u32| bounded((lines.upper_at(f64::from(station.max(self.least))) / step).ceil());
        let total = bounded((total as f64 / step).round());
        let widest = top(self.most).max(total);
        let one = in_steps(truth, mean, (widest, step));
        let up_to: Vec<f64> = one
            .iter()
            .scan(0.0, |sum, chance| {
                *sum += chance;
                Some(*sum)
            })
            .collect();
        // The chances of the totals from `first` on that still lie between the lines.
        let (mut first, mut here) = (total, vec![1.0]);
        let mut surely = 0.0;
        for station in stations + 1..=self.most {
            let top = top(station).max(first + 1);
            let mut next = vec![0.0; top - first];
            for (from, &chance) in (first..).zip(&here).filter(|(_, chance)| **chance > 0.0) {
                let room = top - from;
                for (sum, step) in next[from - first..].iter_mut().zip(&one[..room]) {
                    *sum += chance * step;
                }
                surely += chance * (1.0 - up_to[room - 1]).max(0.0);
            }
            let steps = f64::from(station - stations);
            if station >= self.least {
                sums.treats += surely;
                sums.stations += surely * steps;
                surely = 0.0;
            }
            for (total, chance) in (first..).zip(&mut next) {
                let stop = self.stop_by(&lines, station, pests(total));
                if !stop.is_end() {
                    continue;
                }
                sums.stations += *chance * steps;
                if stop.treats() == Some(true) {
                    sums.treats += *chance;
                }
                if matches!(stop, Stop::MostReachedTreat | Stop::MostReachedDoNotTreat) {
                    sums.most_reached += *chance;
                }
                *chance = 0.0;
            }
            let ended = next.iter().take_while(|chance| **chance == 0.0).count().min(next.len() - 1);
            next.drain(..ended);
            first += ended;
            here = next;
        }
        sums
    }

    /// How often it is treated in vain at the lower mean and left wrongly at the upper one, with the overshoot of the
    /// lines and the end at the most counted in.
    pub fn errors(&self) -> (f64, f64) {
        (self.characteristic(self.lower).treats, 1.0 - self.characteristic(self.upper).treats)
    }

    /// The fixed number of stations whose total tells the two means apart with no more error of either kind than this
    /// plan has; `None` above [`MOST_STATIONS`], or where so many pests would be counted that it is not looked for.
    pub fn fixed_stations(&self) -> Option<u32> {
        self.fixed_stations_for(self.errors())
    }

    /// The same with no more error than is stated: of treating in vain at the lower mean, and of leaving wrongly at the upper one.
    pub fn fixed_stations_for(&self, (in_vain, wrongly): (f64, f64)) -> Option<u32> {
        let looked = (1..=MOST_STATIONS).take_while(|stations| self.upper * f64::from(*stations) <= MOST_PESTS);
        looked.into_iter().find(|&stations| {
            let total = self.dispersion.of_total(stations);
            let (low, high) = (self.lower * f64::from(stations), self.upper * f64::from(stations));
            // The smallest total to treat at that keeps the first error, and the second error that it leaves.
            let (mut below_low, mut below_high) = (0.0, 0.0);
            let mut count = 0;
            while 1.0 - below_low > in_vain {
                let chance = total.ln_chance(count, low).exp();
                below_low += chance;
                below_high += total.ln_chance(count, high).exp();
                // A sum of chances stops short of one by its rounding, and would never come closer.
                if chance < 1e-18 && count as f64 > low {
                    break;
                }
                count += 1;
            }
            below_high <= wrongly
        })
    }
}

/// The chances of counts of so many steps, each of the counts that are nearest to it.
fn in_steps(truth: Dispersion, mean: f64, (most, step): (usize, f64)) -> Vec<f64> {
    let chance = |count: u64| {
        if mean > 0.0 { truth.ln_chance(count, mean).exp() } else { f64::from(u8::from(count == 0)) }
    };
    let counts = |steps: usize| {
        let end = |steps: f64| (steps * step - step / 2.0).ceil().max(0.0) as u64;
        end(steps as f64)..end(steps as f64 + 1.0)
    };
    (0..=most).map(|steps| counts(steps).map(chance).sum()).collect()
}

/// Ground with so much of the lower mean has next to nothing.
const CLEAN: f64 = 0.2;

/// The share of β that the line for it may spend.
const CLEAN_ERROR: f64 = 0.5;

/// More stations than this nobody counts on one lawn.
pub const MOST_STATIONS: u32 = 500;

/// Totals between the lines that are carried one by one; of more, several stand for one.
const MOST_TOTALS: f64 = 1_000.0;

/// More totals than this nobody counts.
const MOST_WIDTH: f64 = 1e5;

/// A fixed number of stations with more pests than this is not looked for.
const MOST_PESTS: f64 = 20_000.0;

fn bounded(total: f64) -> usize {
    // Lines of plans that can be made stay far below this.
    total.clamp(0.0, 1e6) as usize
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn plan(lower: f64, upper: f64, dispersion: Dispersion, least: u32, most: u32) -> StopLinePlan {
        let (treat_in_vain, leave_wrongly) = (0.1, 0.1);
        StopLinePlan::new(StopLineAim { lower, upper, dispersion, treat_in_vain, leave_wrongly, least, most }).unwrap()
    }

    #[test]
    fn a_line_is_met_and_all_counts_together_decide() {
        let plan = plan(4.0, 8.0, Dispersion::Poisson, 3, 10);
        // The lines are 5.77 n ± 3.17.
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
        let aim = |upper: f64, k: f64| StopLineAim {
            lower: upper / 2.0,
            upper,
            dispersion: Dispersion::clumped(k).unwrap(),
            treat_in_vain: 0.1,
            leave_wrongly: 0.1,
            least: 5,
            most: 50,
        };
        for (upper, k) in [(1e9, 1.0), (10.0, 1e-9)] {
            let codes: Vec<_> = StopLinePlan::new(aim(upper, k)).unwrap_err().iter().map(|one| one.code).collect();
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

        /// Lines of equal errors lie as far below as above the middle, and a likelihood ratio lies on them.
        #[test]
        fn the_lines_are_those_of_the_likelihood_ratio(lower in 0.2_f64..6.0, apart in 1.3_f64..3.0, k in 0.3_f64..8.0) {
            let dispersion = Dispersion::clumped(k).unwrap();
            let plan = plan(lower, lower * apart, dispersion, 1, 50);
            let lines = plan.lines();
            prop_assert!((lines.upper_intercept + lines.lower_intercept).abs() < 1e-9 * lines.upper_intercept);
            // The ratio of any one count c is per_pest · (c - slope).
            let per_pest = 9.0_f64.ln() / lines.upper_intercept;
            for count in [0_u64, 3, 11] {
                let ratio = dispersion.ln_chance(count, lower * apart) - dispersion.ln_chance(count, lower);
                prop_assert!((ratio - per_pest * (count as f64 - lines.slope)).abs() < 1e-8, "{ratio}");
            }
        }
    }
}
