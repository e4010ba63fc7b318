//! The water in the root zone of a lawn from day to day, and when to give some.

use crate::soil::AvailableWater;
use jiff::civil::Date;
use problem::{Problem, Problems};
use quantity::{Length, LengthUnit};

/// Where the roots draw water from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RootZone {
    depth: Length,
    available: AvailableWater,
    allowed: f64,
}

impl RootZone {
    /// Roots of a depth in a soil, of whose water the share `allowed` may be used before more is given.
    ///
    /// # Errors
    /// When the depth is not above nothing and at most 1 m, or the share not above 0 and below 1; both are reported.
    pub fn new(depth: Length, available: AvailableWater, allowed: f64) -> Result<Self, Problems> {
        let mut problems = Problems::new();
        if !depth.is_positive() || depth > Length::new(1.0, LengthUnit::Metre) {
            let inches = quantity::significant(depth.to(LengthUnit::Inch), 3);
            problems.push(
                Problem::error("season::root-depth", format!("roots `{inches} in` deep"))
                    .expected("above 0, at most 39 in")
                    .mend("dig a plug and measure how deep the roots go"),
            );
        }
        if !(allowed > 0.0 && allowed < 1.0) {
            problems.push(
                Problem::error("season::depletion", format!("`{allowed}` of the water allowed to be used"))
                    .expected("a share above 0 and below 1; one half is usual"),
            );
        }
        problems.unless_errors(Self { depth, available, allowed }).map(|(zone, _)| zone)
    }

    /// How deep the roots go.
    pub fn depth(self) -> Length {
        self.depth
    }

    /// How much of the soil is water for plants.
    pub fn available(self) -> AvailableWater {
        self.available
    }

    /// The share of it that may be used before more is given.
    pub fn allowed(self) -> f64 {
        self.allowed
    }

    /// All water that plants can take from it.
    pub fn capacity(self) -> Length {
        self.available.in_depth(self.depth)
    }

    /// How much of it may be used before more is given.
    pub fn allowance(self) -> Length {
        self.capacity() * self.allowed
    }

    /// Of what the grass would use, what it still can when so much is gone: less than all once more is gone than is allowed.
    ///
    /// # Source
    /// FAO-56, equation 84.
    pub fn stress(self, gone: Length) -> f64 {
        if gone <= self.allowance() {
            return 1.0;
        }
        ((self.capacity() - gone).ratio(self.capacity() - self.allowance())).clamp(0.0, 1.0)
    }
}

/// Of a day's rain less than this share of the reference evapotranspiration none reaches the roots.
///
/// # Source
/// FAO-56, chapter 8: rain of less than about a fifth of it evaporates again, and may be left out.
const RAIN_THAT_COUNTS: f64 = 0.2;

/// A day as the root zone meets it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WaterDay {
    /// The day.
    pub date: Date,
    /// Reference evapotranspiration.
    pub reference: Length,
    /// What the grass would use of it with all the water that it wants.
    pub need: Length,
    /// Rain; that of days to come as forecast.
    pub rain: Length,
    /// What is given.
    pub giving: Giving,
}

/// What is given on a day.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Giving {
    /// So much, whatever the grass wants: it was given, or it is laid down.
    Fixed(Length),
    /// What the grass wants in the morning, and so much at the least, such as to water in a treatment.
    Wanted {
        /// Depth that has to be given.
        at_least: Length,
    },
    /// Nothing beyond what has to be given: more is not permitted.
    NoMoreThan(Length),
}

impl WaterDay {
    /// Rain that reaches the roots.
    pub fn effective_rain(&self) -> Length {
        if self.rain >= self.reference * RAIN_THAT_COUNTS { self.rain.max(Length::ZERO) } else { Length::ZERO }
    }

    /// What is given even if the grass wants nothing.
    fn given_anyway(&self) -> Length {
        match self.giving {
            Giving::Fixed(depth) | Giving::Wanted { at_least: depth } | Giving::NoMoreThan(depth) => depth,
        }
    }
}

/// A day with the water that went in and out of the root zone: rain and what is given are what the grass used, what ran through
/// and what the root zone kept.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BalanceDay {
    /// The day.
    pub date: Date,
    /// What the grass used.
    pub used: Length,
    /// Rain that reached the roots.
    pub rain: Length,
    /// Water given, as it reaches the roots.
    pub given: Length,
    /// What of both ran through below the roots.
    pub lost: Length,
    /// What is gone from the root zone at the end of the day.
    pub gone: Length,
    /// Whether more is gone than is allowed: the grass suffers.
    pub is_short: bool,
}

/// Follows the water of a lawn over days in a row, of which at the beginning so much is gone, and waters as late as the grass
/// bears it.
///
/// A day is watered, in the morning and up to a root zone that is full when its rain has fallen, when what is gone would pass the allowance on this day, or
/// before the next day on which watering is permitted. `fits` is asked how much of a depth wanted can be given on the day of an
/// index; it never answers more.
///
/// # Source
/// FAO-56, equation 85, without what runs off or rises from below.
pub fn follow(
    zone: RootZone,
    start: Length,
    days: &[WaterDay],
    fits: impl Fn(usize, Length) -> Length,
) -> Vec<BalanceDay> {
    let mut gone = start.max(Length::ZERO).min(zone.capacity());
    let mut balance = Vec::with_capacity(days.len());
    for (index, day) in days.iter().enumerate() {
        let given = match day.giving {
            Giving::Fixed(depth) | Giving::NoMoreThan(depth) => depth,
            Giving::Wanted { at_least } if must_water(zone, gone, &days[index..]) => {
                // Room is left for rain of the day that the grass does not use up.
                let room = (day.effective_rain() - day.need).max(Length::ZERO);
                at_least + fits(index, (gone - room - at_least).max(Length::ZERO)).max(Length::ZERO)
            }
            Giving::Wanted { at_least } => at_least,
        };
        let next = step(zone, gone, day, given.max(Length::ZERO));
        gone = next.gone;
        balance.push(next);
    }
    balance
}

fn step(zone: RootZone, gone: Length, day: &WaterDay, given: Length) -> BalanceDay {
    // Water of the morning is there before the day uses any.
    let morning = (gone - given).max(Length::ZERO);
    let lost_of_given = (given - gone).max(Length::ZERO);
    let rain = day.effective_rain();
    let there = zone.capacity() - morning + rain;
    let used = (day.need.max(Length::ZERO) * zone.stress(morning)).min(there);
    let open = morning + used - rain;
    let lost = lost_of_given + (Length::ZERO - open).max(Length::ZERO);
    let gone = open.max(Length::ZERO);
    BalanceDay { date: day.date, used, rain, given, lost, gone, is_short: gone > zone.allowance() * (1.0 + 1e-9) }
}

/// Whether waiting would let the grass want water: on this day, or on those that follow and may not be watered.
fn must_water(zone: RootZone, gone: Length, days: &[WaterDay]) -> bool {
    let mut gone = gone;
    for (index, day) in days.iter().enumerate() {
        if index > 0 && matches!(day.giving, Giving::Wanted { .. }) {
            return false;
        }
        gone = step(zone, gone, day, day.given_anyway()).gone;
        if gone > zone.allowance() {
            return true;
        }
    }
    false
}

#[cfg(test)]
mod tests;
