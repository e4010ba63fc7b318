//! The water in the root zone of a lawn from day to day, and when to give some.

use jiff::civil::Date;
use problem::{Problem, Problems};
use quantity::{Length, LengthUnit};

/// Grass by the time of the year in which it grows most.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Grass {
    /// Fescues, bluegrass, ryegrass.
    CoolSeason,
    /// Bermuda grass, zoysia, St. Augustine, centipede, bahia.
    WarmSeason,
}

impl Grass {
    /// Both.
    pub const ALL: [Self; 2] = [Self::CoolSeason, Self::WarmSeason];

    /// The word used in files.
    pub const fn word(self) -> &'static str {
        match self {
            Self::CoolSeason => "cool-season",
            Self::WarmSeason => "warm-season",
        }
    }

    /// What the grass uses over the reference evapotranspiration, in a month of the northern year.
    ///
    /// # Source
    /// Meyer, J. L., et al. 1985: Irrigation of turfgrass below replacement of evapotranspiration, as University of California
    /// prints its monthly coefficients (Publication 21491, Turfgrass Irrigation Scheduling). Their means over the year are
    /// .79 and .65; those usually told are .8 and .6.
    pub const fn coefficient(self, month: i8) -> f64 {
        const COOL: [f64; 12] = [0.61, 0.64, 0.75, 1.04, 0.95, 0.88, 0.94, 0.86, 0.74, 0.75, 0.69, 0.60];
        const WARM: [f64; 12] = [0.61, 0.54, 0.76, 0.72, 0.79, 0.68, 0.71, 0.71, 0.62, 0.54, 0.58, 0.55];
        let index = if month >= 1 && month <= 12 { (month - 1) as usize } else { 0 };
        match self {
            Self::CoolSeason => COOL[index],
            Self::WarmSeason => WARM[index],
        }
    }
}

/// Soil by how much water it holds for plants.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Soil {
    /// Sand.
    Sand,
    /// Sandy loam.
    SandyLoam,
    /// Loam.
    Loam,
    /// Clay loam.
    ClayLoam,
    /// Clay.
    Clay,
}

impl Soil {
    /// All of them.
    pub const ALL: [Self; 5] = [Self::Sand, Self::SandyLoam, Self::Loam, Self::ClayLoam, Self::Clay];

    /// The word used in files.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Sand => "sand",
            Self::SandyLoam => "sandy-loam",
            Self::Loam => "loam",
            Self::ClayLoam => "clay-loam",
            Self::Clay => "clay",
        }
    }

    /// Depth of water that plants can take from a depth of the soil, as a share of it.
    ///
    /// # Source
    /// Middles of the ranges of FAO-56, table 19: sand .05 to .11, sandy loam .11 to .15, loam .13 to .18, clay .12 to .20
    /// (from memory); clay loam, which it does not print, is taken between loam and clay.
    pub const fn available(self) -> f64 {
        match self {
            Self::Sand => 0.08,
            Self::SandyLoam => 0.13,
            Self::Loam => 0.155,
            Self::ClayLoam | Self::Clay => 0.16,
        }
    }
}

/// Where the roots draw water from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RootZone {
    capacity: Length,
    allowed: f64,
}

impl RootZone {
    /// Roots of a depth in a soil, of whose water the share `allowed` may be used before more is given.
    ///
    /// # Errors
    /// When the depth is not above nothing and at most 1 m, or the share not above 0 and below 1; both are reported.
    pub fn new(depth: Length, soil: Soil, allowed: f64) -> Result<Self, Problems> {
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
        problems.unless_errors(Self { capacity: depth * soil.available(), allowed }).map(|(zone, _)| zone)
    }

    /// All water that plants can take from it.
    pub fn capacity(self) -> Length {
        self.capacity
    }

    /// How much of it may be used before more is given.
    pub fn allowance(self) -> Length {
        self.capacity * self.allowed
    }

    /// Of what the grass would use, what it still can when so much is gone: less than all once more is gone than is allowed.
    ///
    /// # Source
    /// FAO-56, equation 84.
    fn stress(self, gone: Length) -> f64 {
        if gone <= self.allowance() {
            return 1.0;
        }
        ((self.capacity - gone).ratio(self.capacity - self.allowance())).clamp(0.0, 1.0)
    }
}

/// A day, before anybody waters: what the air asks of the grass, the rain, and what is permitted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WaterDay {
    /// The day.
    pub date: Date,
    /// Reference evapotranspiration.
    pub reference: Length,
    /// Rain; that of days to come as forecast.
    pub rain: Length,
    /// Whether watering is permitted: by the rules of the place, and by what was treated.
    pub may_water: bool,
    /// Depth that has to be given on this day, such as to water in a treatment.
    pub demanded: Length,
}

/// A day with the water that went in and out of the root zone.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BalanceDay {
    /// The day.
    pub date: Date,
    /// What the grass used.
    pub used: Length,
    /// Rain that stayed in the root zone.
    pub rain: Length,
    /// Water given, as it reaches the roots.
    pub given: Length,
    /// What ran through below the roots.
    pub lost: Length,
    /// What is gone from the root zone at the end of the day.
    pub gone: Length,
    /// Whether more is gone than is allowed: the grass suffers.
    pub is_short: bool,
}

/// Of a day's rain less than this share of the reference evapotranspiration none reaches the roots.
///
/// # Source
/// FAO-56, chapter 8: rain of less than about a fifth of it evaporates again, and may be left out.
const RAIN_THAT_COUNTS: f64 = 0.2;

/// Follows the water of a lawn over days in a row, of which at the beginning so much is gone, and waters as late as the grass
/// bears it.
///
/// A day is watered, in the morning and up to the full root zone, when what is gone would pass the allowance on this day, or
/// before the next day on which watering is permitted. What a day demands is given in any case.
///
/// # Source
/// FAO-56, equation 85, without what runs off or rises from below.
pub fn follow(zone: RootZone, grass: Grass, start: Length, days: &[WaterDay]) -> Vec<BalanceDay> {
    let mut gone = start.max(Length::ZERO).min(zone.capacity());
    let mut balance = Vec::with_capacity(days.len());
    for (index, day) in days.iter().enumerate() {
        let wanted = if day.may_water && must_water(zone, grass, gone, &days[index..]) { gone } else { Length::ZERO };
        let given = if day.may_water { wanted.max(day.demanded) } else { Length::ZERO };
        let next = step(zone, grass, gone, day, given);
        gone = next.gone;
        balance.push(next);
    }
    balance
}

fn need(grass: Grass, day: &WaterDay) -> Length {
    day.reference.max(Length::ZERO) * grass.coefficient(day.date.month())
}

fn effective_rain(day: &WaterDay) -> Length {
    if day.rain >= day.reference * RAIN_THAT_COUNTS { day.rain.max(Length::ZERO) } else { Length::ZERO }
}

fn step(zone: RootZone, grass: Grass, gone: Length, day: &WaterDay, given: Length) -> BalanceDay {
    // Water of the morning is there before the day uses any.
    let morning = (gone - given).max(Length::ZERO);
    let used = need(grass, day) * zone.stress(morning);
    let rain = effective_rain(day);
    let lost_of_given = (given - gone).max(Length::ZERO);
    let open = morning + used - rain;
    let lost_of_rain = (Length::ZERO - open).max(Length::ZERO);
    let gone = open.max(Length::ZERO).min(zone.capacity());
    BalanceDay {
        date: day.date,
        used,
        rain: rain - lost_of_rain,
        given,
        lost: lost_of_given + lost_of_rain,
        gone,
        is_short: gone > zone.allowance() * (1.0 + 1e-9),
    }
}

/// Whether waiting would let the grass want water: on this day, or on those that follow and may not be watered.
fn must_water(zone: RootZone, grass: Grass, gone: Length, days: &[WaterDay]) -> bool {
    let mut gone = gone;
    for (index, day) in days.iter().enumerate() {
        if index > 0 && day.may_water {
            return false;
        }
        gone = step(zone, grass, gone, day, Length::ZERO).gone;
        if gone > zone.allowance() {
            return true;
        }
    }
    false
}

/// What is given in all days together.
pub fn given_in_all(balance: &[BalanceDay]) -> Length {
    balance.iter().map(|day| day.given).sum()
}

/// What the plain rule of one inch a week, rain counted, would have given over the same days: for every seven days from the
/// first on, an inch less their rain.
///
/// # Source
/// Common practice, no source.
pub fn given_by_an_inch_a_week(days: &[WaterDay]) -> Length {
    let inch = Length::new(1.0, LengthUnit::Inch);
    days.chunks(7)
        .map(|week| {
            let rain: Length = week.iter().map(effective_rain).sum();
            (inch * (week.len() as f64 / 7.0) - rain).max(Length::ZERO)
        })
        .sum()
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;
    use proptest::prelude::*;

    fn mm(depth: f64) -> Length {
        Length::new(depth, LengthUnit::Millimetre)
    }

    fn zone() -> RootZone {
        RootZone::new(mm(200.0), Soil::Loam, 0.5).unwrap()
    }

    fn days(references: &[f64], rains: &[f64], may: &[bool]) -> Vec<WaterDay> {
        let first = date(2026, 7, 1);
        (0..references.len())
            .map(|index| WaterDay {
                date: first.checked_add(jiff::Span::new().days(i64::try_from(index).unwrap())).unwrap(),
                reference: mm(references[index]),
                rain: mm(rains[index]),
                may_water: may[index],
                demanded: Length::ZERO,
            })
            .collect()
    }

    #[test]
    fn a_lawn_is_watered_when_half_of_its_water_would_be_gone() {
        // 200 mm of loam hold 31 mm, of which 15.5 may go; warm-season grass in July uses 0.71 of 6 mm, 4.26 a day.
        let balance = follow(zone(), Grass::WarmSeason, Length::ZERO, &days(&[6.0; 8], &[0.0; 8], &[true; 8]));
        let given: Vec<f64> = balance.iter().map(|day| day.given.to(LengthUnit::Millimetre)).collect();
        // After three days 12.78 are gone; the fourth would pass 15.5.
        assert!((given[3] - 12.78).abs() < 1e-9 && given.iter().take(3).all(|given| *given == 0.0), "{given:?}");
        assert!(balance.iter().all(|day| !day.is_short));
    }

    #[test]
    fn it_is_watered_before_days_that_may_not_be() {
        let may = [true, false, false, false, true];
        let balance = follow(zone(), Grass::WarmSeason, mm(4.0), &days(&[6.0; 5], &[0.0; 5], &may));
        assert!((balance[0].given - mm(4.0)).to(LengthUnit::Millimetre).abs() < 1e-9, "{balance:?}");
        assert!(balance.iter().zip(may).all(|(day, may)| may || day.given == Length::ZERO));
    }

    #[test]
    fn what_is_demanded_is_given_and_a_soaking_runs_through() {
        let mut asked = days(&[5.0, 5.0], &[0.0, 60.0], &[true, true]);
        asked[0].demanded = mm(12.0);
        let balance = follow(zone(), Grass::CoolSeason, Length::ZERO, &asked);
        assert_eq!(balance[0].given, mm(12.0));
        assert!((balance[0].lost - mm(12.0)).to(LengthUnit::Millimetre).abs() < 1e-9);
        assert_eq!(balance[1].gone, Length::ZERO);
        assert!(balance[1].lost > mm(45.0));
    }

    #[test]
    fn faults_are_told_together() {
        let problems = RootZone::new(Length::ZERO, Soil::Clay, 1.0).unwrap_err();
        let codes: Vec<_> = problems.iter().map(|problem| problem.code).collect();
        assert_eq!(codes, ["season::root-depth", "season::depletion"]);
    }

    proptest! {
        #[test]
        fn water_is_neither_made_nor_lost(
            drawn in prop::collection::vec((0.0..9.0_f64, prop_oneof![Just(0.0), 0.0..50.0_f64], any::<bool>()), 1..60),
            start in 0.0..31.0_f64,
        ) {
            let (references, rest): (Vec<f64>, Vec<(f64, bool)>) = drawn.into_iter().map(|(a, b, c)| (a, (b, c))).unzip();
            let (rains, may): (Vec<f64>, Vec<bool>) = rest.into_iter().unzip();
            let asked = days(&references, &rains, &may);
            let balance = follow(zone(), Grass::CoolSeason, mm(start), &asked);
            let mut gone = mm(start);
            for (day, asked) in balance.iter().zip(&asked) {
                prop_assert!(asked.may_water || day.given == Length::ZERO);
                prop_assert!(day.gone >= Length::ZERO && day.gone <= zone().capacity());
                // What went out less what stayed of what came in is the change; water given that ran through counts in neither.
                let kept = day.given - (day.lost - (effective_rain(asked) - day.rain));
                let change = day.used - day.rain - kept;
                let open = (gone + change).min(zone().capacity());
                prop_assert!((open - day.gone).to(LengthUnit::Millimetre).abs() < 1e-6, "{:?}", day);
                gone = day.gone;
            }
            // Where every day may be watered, the grass never wants.
            let free: Vec<WaterDay> = asked.iter().map(|day| WaterDay { may_water: true, ..*day }).collect();
            prop_assert!(follow(zone(), Grass::CoolSeason, Length::ZERO, &free).iter().all(|day| !day.is_short));
        }
    }
}
