//! How a plan of stop lines does where the true mean is known: how often it errs, how many counts it takes, and how many it
//! would take to err no more often than stated.

use super::{MOST_STATIONS, Stop, StopLinePlan, StopLines};
use crate::dispersion::Dispersion;

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

/// Totals between the lines that are carried one by one; of more, several stand for one.
pub(super) const MOST_TOTALS: f64 = 1_000.0;

/// The same where walks of hundreds of stations are looked through.
const TOTALS_OF_LONG_WALKS: f64 = 500.0;

/// A fixed number of stations with more pests than this is not looked for.
const MOST_PESTS: f64 = 20_000.0;

impl StopLinePlan {
    /// How the plan does where a station has this mean, reckoned and not drawn by lot: the chance of every total that
    /// still lies between the lines is carried from station to station.
    pub fn characteristic(&self, mean: f64) -> Characteristic {
        self.characteristic_of(mean, self.aim.dispersion)
    }

    /// The same where the counts scatter otherwise than the lines take them to.
    pub fn characteristic_of(&self, mean: f64, truth: Dispersion) -> Characteristic {
        self.reckoned((0, 0), mean, truth)
    }

    /// The same after counts that came to a total: its stations are those still to be counted.
    pub fn from_here(&self, stations: u32, total: u64, mean: f64) -> Characteristic {
        self.reckoned((stations, total), mean, self.aim.dispersion)
    }

    fn reckoned(&self, (stations, total): (u32, u64), mean: f64, truth: Dispersion) -> Characteristic {
        if stations > 0 && self.stop(stations, total).is_end() {
            let treats = if self.stop(stations, total).treats() == Some(true) { 1.0 } else { 0.0 };
            return Characteristic { mean, treats, stations: 0.0, most_reached: 0.0 };
        }
        let most = self.aim.most;
        let mut carried = Carried::from(self, (stations, total), mean, truth, (most, MOST_TOTALS));
        while carried.station < most {
            carried.count();
        }
        let (between, reaching) = carried.between();
        Characteristic {
            mean,
            treats: carried.treats + reaching,
            stations: carried.stations + between * f64::from(most.saturating_sub(stations)),
            most_reached: between,
        }
    }

    /// How often it is treated in vain at the lower mean and left wrongly at the upper one, with the overshoot of the
    /// lines and the end at the most counted in.
    pub fn errors(&self) -> (f64, f64) {
        let (lower, upper) = self.means();
        (self.characteristic(lower).treats, 1.0 - self.characteristic(upper).treats)
    }

    /// The fewest counts at most with which neither error is more often than stated; `None` where no number up to
    /// [`MOST_STATIONS`] does. The lines are the same for each.
    pub fn most_needed(&self) -> Option<u32> {
        let (lower, upper) = self.means();
        let many = (MOST_STATIONS, TOTALS_OF_LONG_WALKS);
        let [mut low, mut high] =
            [lower, upper].map(|mean| Carried::from(self, (0, 0), mean, self.aim.dispersion, many));
        (1..=MOST_STATIONS).find(|most| {
            low.count();
            high.count();
            let in_vain = low.treats + low.between().1;
            let wrongly = 1.0 - high.treats - high.between().1;
            *most >= self.aim.least && in_vain <= self.aim.treat_in_vain && wrongly <= self.aim.leave_wrongly
        })
    }

    /// The fixed number of stations whose total tells the two means apart with no more error of either kind than this
    /// plan has; `None` above [`MOST_STATIONS`], or where so many pests would be counted that it is not looked for.
    pub fn fixed_stations(&self) -> Option<u32> {
        self.fixed_stations_for(self.errors())
    }

    /// The same with no more error than is stated: of treating in vain at the lower mean, and of leaving wrongly at the upper one.
    pub fn fixed_stations_for(&self, (in_vain, wrongly): (f64, f64)) -> Option<u32> {
        let (lower, upper) = self.means();
        let looked = (1..=MOST_STATIONS).take_while(|stations| upper * f64::from(*stations) <= MOST_PESTS);
        looked.into_iter().find(|&stations| {
            let total = self.aim.dispersion.of_total(stations);
            let (low, high) = (lower * f64::from(stations), upper * f64::from(stations));
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

/// The chances of all totals between the lines, carried from station to station, and what ended on the way.
struct Carried<'a> {
    plan: &'a StopLinePlan,
    lines: StopLines,
    /// Pests that stand for one total: of lines that lie far apart several, which is little beside their width.
    step: f64,
    /// The chances of a count of 0, 1, 2, … steps, and of so many or fewer.
    one: Vec<f64>,
    up_to: Vec<f64>,
    /// Stations counted at the start, and now.
    start: u32,
    station: u32,
    /// The chances of the totals from `first` on that still lie between the lines.
    first: usize,
    here: Vec<f64>,
    /// What is sure to be treated once the least number is reached.
    surely: f64,
    /// How often it ended at a line with treating, and how many stations those that ended at one took, each by its chance.
    treats: f64,
    stations: f64,
}

impl<'a> Carried<'a> {
    fn from(
        plan: &'a StopLinePlan,
        (stations, total): (u32, u64),
        mean: f64,
        truth: Dispersion,
        (most, totals): (u32, f64),
    ) -> Self {
        let lines = plan.lines();
        // An odd one has as many counts below its middle as above it; of an even one each count would be half a pest too high.
        let step = 2.0 * ((plan.width() / totals).ceil().max(1.0) / 2.0).floor() + 1.0;
        // From the lower line at one station to the upper one at the next.
        let width = lines.width(f64::from(plan.aim.least), f64::from(most));
        let farthest = (width + lines.slope.max(lines.threshold)) / step;
        let one = in_steps(truth, mean, (farthest.ceil() as usize + 3, step));
        let up_to = one.iter().scan(0.0, |sum, chance| {
            *sum += chance;
            Some(*sum)
        });
        let up_to = up_to.collect();
        let first = (total as f64 / step).round() as usize;
        let (start, here) = (stations, vec![1.0]);
        Self {
            plan,
            lines,
            step,
            one,
            up_to,
            start,
            station: start,
            first,
            here,
            surely: 0.0,
            treats: 0.0,
            stations: 0.0,
        }
    }

    fn pests(&self, steps: usize) -> u64 {
        (steps as f64 * self.step) as u64
    }

    /// Counts at one more station.
    fn count(&mut self) {
        self.station += 1;
        let least = self.plan.aim.least;
        // A total at the upper line or above, as it is when the least number is reached, ends in treating for sure.
        let top = (self.lines.upper_at(f64::from(self.station.max(least))) / self.step).ceil() as usize;
        let top = top.max(self.first + 1);
        let mut next = vec![0.0; top - self.first];
        for (from, &chance) in self.here.iter().enumerate().filter(|(_, chance)| **chance > 0.0) {
            let room = (next.len() - from).min(self.one.len());
            for (sum, step) in next[from..].iter_mut().zip(&self.one[..room]) {
                *sum += chance * step;
            }
            self.surely += chance * (1.0 - self.up_to[room - 1]).max(0.0);
        }
        let steps = f64::from(self.station - self.start);
        if self.station >= least {
            self.treats += self.surely;
            self.stations += self.surely * steps;
            self.surely = 0.0;
        }
        for (index, chance) in next.iter_mut().enumerate() {
            match self.plan.line_met(&self.lines, self.station, self.pests(self.first + index)) {
                Some(Stop::Treat) => self.treats += *chance,
                Some(_) => {}
                None => continue,
            }
            self.stations += *chance * steps;
            *chance = 0.0;
        }
        let ended = next.iter().take_while(|chance| **chance == 0.0).count().min(next.len() - 1);
        next.drain(..ended);
        self.first += ended;
        self.here = next;
    }

    /// How often it still lies between the lines, and how often at the threshold or above with that.
    fn between(&self) -> (f64, f64) {
        let at = f64::from(self.station);
        let reaches = |index: usize| self.lines.reaches(at, self.pests(self.first + index) as f64);
        let reaching: f64 =
            self.here.iter().enumerate().filter(|(index, _)| reaches(*index)).map(|(_, chance)| chance).sum();
        (self.here.iter().sum(), reaching)
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
