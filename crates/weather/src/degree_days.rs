//! Heat above the temperature at which an insect starts to grow.
//!
//! A [`HeatRange`] says between which temperatures development goes on, a [`Method`] how the temperature is taken to
//! run over a day of which the extremes are known; [`of_day`] puts the two together. [`Accumulation`] adds days up
//! from a start, [`Outlook`] goes beyond the last reading with a station's own past years.

mod accumulation;
mod curve;
mod hours;
mod outlook;

pub use accumulation::{Accumulation, Evidence, HeatDay, HeatRecord, Start};
pub use outlook::{Outlook, OutlookYear, ReachedRange};

use curve::{Curve, Shape};
use problem::{Problem, Problems};
use quantity::{DegreeDayUnit, DegreeDays, Duration, DurationUnit, Temperature, TemperatureUnit};

/// How the temperature is taken to run over a day.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Method {
    /// All day at the mean of the extremes. Below the base a day counts nothing, however warm its noon.
    ///
    /// Source: McMaster, G. S., and W. W. Wilhelm 1997: Growing degree-days: one equation, two interpretations.
    /// Agricultural and Forest Meteorology 87: 291-300, method 1.
    Average,
    /// Half of the day at each extreme, each held against the thresholds by itself.
    ///
    /// Source: the same, method 2.
    AverageOfClipped,
    /// A sine from the lowest to the highest and back.
    ///
    /// Source: Baskerville, G. L., and P. Emin 1969: Rapid estimation of heat accumulation from maximum and minimum
    /// temperatures. Ecology 50: 514-517, <https://doi.org/10.2307/1933912>; with upper thresholds Zalom, F. G., et al.
    /// 1983: Degree-days: the calculation and use of heat units in pest management. University of California, Division
    /// of Agriculture and Natural Resources, Leaflet 21373.
    SingleSine,
    /// A half sine up from the day's lowest, another down to that of the next day.
    ///
    /// Source: Zalom et al. 1983.
    DoubleSine,
    /// Straight from the lowest to the highest and back.
    ///
    /// Source: Zalom et al. 1983.
    SingleTriangle,
    /// Straight up from the day's lowest, and down to that of the next day.
    ///
    /// Source: Zalom et al. 1983.
    DoubleTriangle,
}

impl Method {
    /// Every method.
    pub const ALL: &'static [Self] = &[
        Self::Average,
        Self::AverageOfClipped,
        Self::SingleSine,
        Self::DoubleSine,
        Self::SingleTriangle,
        Self::DoubleTriangle,
    ];

    /// Whether the second half of a day goes down to the next day's lowest.
    pub const fn looks_ahead(self) -> bool {
        matches!(self, Self::DoubleSine | Self::DoubleTriangle)
    }

    const fn shape(self) -> Shape {
        match self {
            Self::Average => Shape::Mean,
            Self::AverageOfClipped => Shape::Ends,
            Self::SingleSine | Self::DoubleSine => Shape::Sine,
            Self::SingleTriangle | Self::DoubleTriangle => Shape::Triangle,
        }
    }
}

/// What heat above the upper threshold does.
///
/// Source of all three: Zalom et al. 1983 (see [`Method::SingleSine`]), figure 3.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Cutoff {
    /// Development goes on as fast as at the threshold.
    Horizontal,
    /// Development slows by as much as it is warmer. A day counts no less than nothing.
    Intermediate,
    /// Development stands still.
    Vertical,
}

/// Between which temperatures development goes on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeatRange {
    lower: Temperature,
    upper: Option<(Temperature, Cutoff)>,
}

impl HeatRange {
    /// Above a base, however hot.
    pub const fn above(lower: Temperature) -> Self {
        Self { lower, upper: None }
    }

    /// Above a base, with an upper threshold.
    ///
    /// # Errors
    /// When the upper threshold is not above the lower one.
    pub fn between(lower: Temperature, upper: Temperature, cutoff: Cutoff) -> Result<Self, Problems> {
        if upper > lower {
            return Ok(Self { lower, upper: Some((upper, cutoff)) });
        }
        let (low, high) = (lower.show(TemperatureUnit::Celsius), upper.show(TemperatureUnit::Celsius));
        Err(Problem::error("weather::heat-range", format!("upper threshold `{high}` is not above the lower, `{low}`"))
            .expected("a lower threshold, and an upper one above it")
            .mend("exchange the two, or leave the upper one out")
            .into())
    }

    /// The base.
    pub const fn lower(self) -> Temperature {
        self.lower
    }

    /// The upper threshold and what it does.
    pub const fn upper(self) -> Option<(Temperature, Cutoff)> {
        self.upper
    }

    /// Heat of so long at one temperature. Above an upper threshold with an intermediate cutoff it may be below
    /// nothing: the day as a whole is not.
    fn at(self, temperature: Temperature, time: Duration) -> DegreeDays {
        let celsius = temperature.to(TemperatureUnit::Celsius);
        let mean = self.mean_over(&Curve::new(Shape::Mean, celsius, celsius));
        DegreeDays::new(mean * time.to(DurationUnit::Day), DegreeDayUnit::Celsius)
    }

    /// Mean degrees Celsius that a curve gives.
    fn mean_over(self, curve: &Curve) -> f64 {
        let lower = self.lower.to(TemperatureUnit::Celsius);
        let above_lower = curve.above(lower);
        let Some((upper, cutoff)) = self.upper else { return above_lower };
        let upper = upper.to(TemperatureUnit::Celsius);
        let above_upper = curve.above(upper);
        match cutoff {
            Cutoff::Horizontal => above_lower - above_upper,
            Cutoff::Intermediate => above_lower - 2.0 * above_upper,
            Cutoff::Vertical => above_lower - above_upper - (upper - lower) * curve.share_above(upper),
        }
    }
}

/// The lowest and the highest temperature of a day.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Extremes {
    lowest: Temperature,
    highest: Temperature,
}

impl Extremes {
    /// The two of one day.
    ///
    /// # Errors
    /// When the lowest is above the highest.
    pub fn new(lowest: Temperature, highest: Temperature) -> Result<Self, Problems> {
        if lowest <= highest {
            return Ok(Self { lowest, highest });
        }
        let (low, high) = (lowest.show(TemperatureUnit::Celsius), highest.show(TemperatureUnit::Celsius));
        Err(Problem::error("weather::extremes", format!("lowest `{low}` is above highest `{high}`"))
            .expected("a lowest temperature no higher than the highest of the day")
            .mend("check that the two are not exchanged")
            .into())
    }

    /// The lowest.
    pub const fn lowest(self) -> Temperature {
        self.lowest
    }

    /// The highest.
    pub const fn highest(self) -> Temperature {
        self.highest
    }
}

/// Degree-days of one day, never below nothing.
///
/// Of the methods that look ahead, the second half of the day goes down to `next_lowest`; where that is not known, to
/// the day's own lowest, which makes them the single ones. The others do not look at it.
///
/// # Source
/// See [`Method`] and [`Cutoff`].
///
/// # Example
/// ```
/// use quantity::{DegreeDayUnit, Temperature, TemperatureUnit::Fahrenheit};
/// use weather::degree_days::{Cutoff, Extremes, HeatRange, Method, of_day};
/// let f = |degrees| Temperature::new(degrees, Fahrenheit);
/// // Zalom et al. 1983, Table 7: 60 to 100 °F between 55 and 90 °F, horizontal.
/// let range = HeatRange::between(f(55.0), f(90.0), Cutoff::Horizontal).unwrap();
/// let heat = of_day(Extremes::new(f(60.0), f(100.0)).unwrap(), None, range, Method::SingleSine);
/// assert_eq!(heat.show_digits(DegreeDayUnit::Fahrenheit, 4), "22.82 degree-days (°F)");
/// ```
pub fn of_day(day: Extremes, next_lowest: Option<Temperature>, range: HeatRange, method: Method) -> DegreeDays {
    let (lowest, highest) = (day.lowest.to(TemperatureUnit::Celsius), day.highest.to(TemperatureUnit::Celsius));
    let up = range.mean_over(&Curve::new(method.shape(), lowest, highest));
    let degrees = match next_lowest {
        Some(next) if method.looks_ahead() => {
            let next = next.to(TemperatureUnit::Celsius);
            // A night warmer than the day before it runs up, not down.
            let down = Curve::new(method.shape(), next.min(highest), next.max(highest));
            f64::midpoint(up, range.mean_over(&down))
        }
        _ => up,
    };
    DegreeDays::new(degrees.max(0.0), DegreeDayUnit::Celsius)
}

#[cfg(test)]
mod tests;
