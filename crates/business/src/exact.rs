//! Ratios of quantities and shares as fractions of whole numbers, so that money stays exact.

use problem::Problem;
use quantity::{Amount, Duration, DurationUnit, Length, LengthUnit, MassUnit, VolumeUnit};
use std::fmt;

/// A ratio of two whole numbers, nothing or more.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Fraction {
    numerator: i128,
    denominator: i128,
}

impl Fraction {
    /// One whole.
    pub const ONE: Self = Self { numerator: 1, denominator: 1 };

    /// `None` when something would be divided by nothing, or one of the two is below nothing.
    pub const fn new(numerator: i128, denominator: i128) -> Option<Self> {
        if denominator > 0 && numerator >= 0 { Some(Self { numerator, denominator }) } else { None }
    }

    /// The upper number.
    pub const fn numerator(self) -> i128 {
        self.numerator
    }

    /// The lower number, above nothing.
    pub const fn denominator(self) -> i128 {
        self.denominator
    }

    /// One amount of product by another; `None` when one is a volume and the other a mass, or the other is
    /// nothing. Volumes count in picolitres and masses in nanograms: far below any mark of a measure.
    pub fn of_amounts(amount: Amount, by: Amount) -> Option<Self> {
        let parts = |amount: Amount| match amount {
            Amount::Volume(volume) => whole(volume.to(VolumeUnit::Millilitre) * 1e9),
            Amount::Mass(mass) => whole(mass.to(MassUnit::Gram) * 1e9),
        };
        amount.ratio(by)?;
        Self::new(parts(amount)?, parts(by)?)
    }

    /// A length by another, in whole millimetres; `None` when the other is nothing.
    pub fn of_lengths(length: Length, by: Length) -> Option<Self> {
        Self::new(whole(length.to(LengthUnit::Millimetre))?, whole(by.to(LengthUnit::Millimetre))?)
    }

    /// Hours of a time that is taken to the nearest whole minute; `None` when it is below nothing.
    pub fn hours(time: Duration) -> Option<Self> {
        Self::new(whole(time.to(DurationUnit::Minute))?, 60)
    }

    /// So many times as much.
    #[must_use]
    pub fn times(self, by: u32) -> Self {
        Self { numerator: self.numerator.saturating_mul(i128::from(by)), ..self }
    }
}

fn whole(value: f64) -> Option<i128> {
    // Far below the largest whole number, so that products of two and a price still fit.
    (value.is_finite() && value.abs() < 1e18).then(|| value.round() as i128)
}

/// A share in ten-thousandths: 7.25 % is 725.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Share(u32);

impl Share {
    /// Reads a number of percent with at most two decimals, such as `7.25`, with or without `%`.
    ///
    /// # Errors
    /// `money::share` for anything else, or more than 1,000 %.
    pub fn parse(text: &str) -> Result<Self, Problem> {
        let trimmed = text.trim().trim_end_matches('%').trim_end();
        let (whole, decimals) = trimmed.split_once('.').unwrap_or((trimmed, ""));
        let figures = |part: &str| part.bytes().all(|byte| byte.is_ascii_digit());
        let is_sound = !whole.is_empty()
            && whole.len() <= 4
            && decimals.len() <= 2
            && figures(whole)
            && figures(decimals)
            && (!trimmed.contains('.') || !decimals.is_empty());
        let parts = is_sound.then(|| format!("{whole}{decimals:0<2}")).and_then(|all| all.parse::<u32>().ok());
        parts.filter(|parts| *parts <= 100_000).map(Self).ok_or_else(|| {
            let shown: String = trimmed.chars().filter(|c| !c.is_control()).take(40).collect();
            Problem::error("money::share", format!("`{shown}` is no share in percent"))
                .expected("a number from 0 to 1000 with at most two decimals, such as `7.25 %`")
        })
    }

    /// The share as a fraction.
    pub fn fraction(self) -> Fraction {
        Fraction { numerator: i128::from(self.0), denominator: 10_000 }
    }

    /// One and the share on top: 1.3 for 30 %.
    pub fn on_top(self) -> Fraction {
        Fraction { numerator: 10_000 + i128::from(self.0), denominator: 10_000 }
    }

    /// What the whole is of the rest when the share is taken out of the whole: 1 / 0.7 for 30 %; `None`
    /// from 100 % on.
    pub fn of_the_whole(self) -> Option<Fraction> {
        Fraction::new(10_000, 10_000 - i128::from(self.0))
    }
}

/// `7.25 %`.
impl fmt::Display for Share {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (whole, rest) = (self.0 / 100, self.0 % 100);
        match (rest, rest % 10) {
            (0, _) => write!(f, "{whole} %"),
            (_, 0) => write!(f, "{whole}.{} %", rest / 10),
            _ => write!(f, "{whole}.{rest:02} %"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use quantity::AmountUnit;

    #[test]
    fn shares_are_read_and_told_as_written() {
        for (text, told) in [("7.25", "7.25 %"), ("30 %", "30 %"), ("7.5%", "7.5 %"), ("0", "0 %"), ("7.05", "7.05 %")]
        {
            assert_eq!(Share::parse(text).unwrap().to_string(), told);
        }
        for text in ["", "-1", "7.255", "1001", "ten", "7.", ".5"] {
            assert_eq!(Share::parse(text).unwrap_err().code, "money::share", "{text}");
        }
        assert_eq!(Share::parse("100").unwrap().of_the_whole(), None);
    }

    #[test]
    fn a_gallon_is_128_fluid_ounces_to_the_last_part() {
        let amount = |value, unit| Amount::new(value, AmountUnit::Volume(unit));
        let ratio = Fraction::of_amounts(amount(1.0, VolumeUnit::UsFluidOunce), amount(1.0, VolumeUnit::UsGallon));
        let ratio = ratio.unwrap();
        // A fluid ounce ends in half a picolitre, which is all that is lost.
        assert!((ratio.denominator() - 128 * ratio.numerator()).abs() <= 64, "{ratio:?}");
        let gram = Amount::new(1.0, AmountUnit::Mass(MassUnit::Gram));
        assert_eq!(Fraction::of_amounts(gram, amount(1.0, VolumeUnit::Litre)), None);
        assert_eq!(Fraction::of_amounts(gram, Amount::new(0.0, AmountUnit::Mass(MassUnit::Gram))), None);
    }

    #[test]
    fn time_counts_in_whole_minutes() {
        let hours = Fraction::hours(Duration::new(99.308, DurationUnit::Minute)).unwrap();
        assert_eq!((hours.numerator(), hours.denominator()), (99, 60));
    }
}
