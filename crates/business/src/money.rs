//! Amounts of money, exact.

use crate::{Currency, Fraction};
use problem::Problem;
use std::fmt;

/// An amount of money: whole minor units (cents) of one currency.
///
/// **Rounding.** Wherever an amount is not whole in minor units it is rounded once, at the end of its own
/// line, to the nearest minor unit, and half a unit away from zero. Sums are made of rounded lines, so that
/// what a person adds up on paper is the total.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Money {
    minor: i64,
    currency: Currency,
}

/// Why two amounts of money could not be put together.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MoneyError {
    /// They are of two currencies.
    TwoCurrencies(Currency, Currency),
    /// The result is larger than any amount that can be told.
    TooLarge,
}

impl fmt::Display for MoneyError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TwoCurrencies(one, other) => write!(f, "amounts in `{one}` and in `{other}` stand in one sum"),
            Self::TooLarge => f.write_str("the amount of money is too large to reckon with"),
        }
    }
}

impl From<MoneyError> for Problem {
    fn from(error: MoneyError) -> Self {
        let code = match error {
            MoneyError::TwoCurrencies(..) => "money::two-currencies",
            MoneyError::TooLarge => "money::too-large",
        };
        Self::error(code, error.to_string())
            .expected("prices and rates of one business in one currency, each below a thousand million")
            .mend("look for a price with too many digits, or state all in one currency")
    }
}

/// The largest amount in units of the currency that a text may state.
const LARGEST: i64 = 1_000_000_000;

impl Money {
    /// So many minor units.
    pub const fn new(minor: i64, currency: Currency) -> Self {
        Self { minor, currency }
    }

    /// Nothing of a currency.
    pub const fn zero(currency: Currency) -> Self {
        Self::new(0, currency)
    }

    /// Reads `12`, `12.5` or `1234.50`: figures with a decimal point, no sign, no thousands marks.
    ///
    /// # Errors
    /// `money::amount` for anything else, more decimals than the currency has, or more than a thousand
    /// million.
    pub fn parse(text: &str, currency: Currency) -> Result<Self, Problem> {
        let trimmed = text.trim();
        let (whole, decimals) = trimmed.split_once('.').unwrap_or((trimmed, ""));
        let figures = |part: &str| part.bytes().all(|byte| byte.is_ascii_digit());
        let places = usize::from(currency.decimals());
        let is_sound = !whole.is_empty()
            && whole.len() <= 10
            && figures(whole)
            && figures(decimals)
            && decimals.len() <= places
            && (!trimmed.contains('.') || !decimals.is_empty());
        let minor = is_sound.then(|| format!("{whole}{decimals:0<places$}")).and_then(|all| all.parse::<i64>().ok());
        if let Some(minor) = minor.filter(|minor| minor / currency.minor_units() <= LARGEST) {
            return Ok(Self::new(minor, currency));
        }
        let shown: String = trimmed.chars().filter(|c| !c.is_control()).take(40).collect();
        let example = Self::new(120 * currency.minor_units() + currency.minor_units() / 2, currency).figures();
        Err(Problem::error("money::amount", format!("`{shown}` is no amount of {currency}"))
            .expected(format!("figures with at most {places} decimals, such as `{example}`"))
            .mend("write it without sign, currency and thousands marks"))
    }

    /// The minor units.
    pub const fn minor(self) -> i64 {
        self.minor
    }

    /// The currency.
    pub const fn currency(self) -> Currency {
        self.currency
    }

    /// Whether it is more than nothing.
    pub const fn is_positive(self) -> bool {
        self.minor > 0
    }

    /// The sum.
    ///
    /// # Errors
    /// Two currencies, or a sum too large.
    pub fn plus(self, other: Self) -> Result<Self, MoneyError> {
        self.together(other, i64::checked_add)
    }

    /// The difference.
    ///
    /// # Errors
    /// Two currencies, or a difference too large.
    pub fn minus(self, other: Self) -> Result<Self, MoneyError> {
        self.together(other, i64::checked_sub)
    }

    fn together(self, other: Self, put: impl Fn(i64, i64) -> Option<i64>) -> Result<Self, MoneyError> {
        if self.currency != other.currency {
            return Err(MoneyError::TwoCurrencies(self.currency, other.currency));
        }
        put(self.minor, other.minor).map(|minor| Self { minor, ..self }).ok_or(MoneyError::TooLarge)
    }

    /// The sum of amounts of a currency; nothing for none.
    ///
    /// # Errors
    /// As [`Self::plus`].
    pub fn sum(amounts: impl IntoIterator<Item = Self>, currency: Currency) -> Result<Self, MoneyError> {
        amounts.into_iter().try_fold(Self::zero(currency), Self::plus)
    }

    /// So many times as much, rounded to the minor unit, half a unit away from zero.
    ///
    /// # Errors
    /// A result too large.
    pub fn times(self, by: Fraction) -> Result<Self, MoneyError> {
        let product = i128::from(self.minor).checked_mul(by.numerator()).ok_or(MoneyError::TooLarge)?;
        let (whole, rest) = (product / by.denominator(), product % by.denominator());
        // The rest is below the denominator, whose double therefore cannot be passed unseen.
        let away = i128::from(rest.unsigned_abs() >= by.denominator().unsigned_abs() - rest.unsigned_abs());
        let rounded = if product < 0 { whole - away } else { whole + away };
        i64::try_from(rounded).map(|minor| Self { minor, ..self }).map_err(|_| MoneyError::TooLarge)
    }

    /// The figures with the decimals of the currency, without thousands marks: `1234.50`.
    pub fn figures(self) -> String {
        let unit = self.currency.minor_units().unsigned_abs();
        let (whole, rest) = (self.minor.unsigned_abs() / unit, self.minor.unsigned_abs() % unit);
        let sign = if self.minor < 0 { "-" } else { "" };
        match usize::from(self.currency.decimals()) {
            0 => format!("{sign}{whole}"),
            places => format!("{sign}{whole}.{rest:0places$}"),
        }
    }
}

/// `1,234.50 USD`.
impl fmt::Display for Money {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let figures = self.figures();
        let (sign, figures) = figures.strip_prefix('-').map_or(("", figures.as_str()), |rest| ("−", rest));
        let (whole, decimals) = figures.split_once('.').unwrap_or((figures, ""));
        f.write_str(sign)?;
        for (index, digit) in whole.chars().enumerate() {
            if index > 0 && (whole.len() - index).is_multiple_of(3) {
                f.write_str(",")?;
            }
            write!(f, "{digit}")?;
        }
        if !decimals.is_empty() {
            write!(f, ".{decimals}")?;
        }
        write!(f, " {}", self.currency)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn usd(text: &str) -> Money {
        Money::parse(text, Currency::parse("USD").unwrap()).unwrap()
    }

    #[test]
    fn an_amount_is_read_and_printed_to_the_minor_unit() {
        assert_eq!((usd("12").minor(), usd("12.5").minor(), usd("0.05").minor()), (1200, 1250, 5));
        assert_eq!(usd("1234567.8").to_string(), "1,234,567.80 USD");
        let yen = Money::parse("1500", Currency::parse("JPY").unwrap()).unwrap();
        assert_eq!((yen.minor(), yen.to_string()), (1500, "1,500 JPY".to_owned()));
        assert_eq!(usd("0").minus(usd("1234.05")).unwrap().to_string(), "−1,234.05 USD");
    }

    #[test]
    fn what_is_no_amount_is_refused() {
        let usd = Currency::parse("USD").unwrap();
        for text in ["", "1.234", "-1", "1,000", "$5", "1e3", ".5", "5.", "99999999999", "1 000", "٣"] {
            assert_eq!(Money::parse(text, usd).unwrap_err().code, "money::amount", "{text}");
        }
        assert!(Money::parse("1.5", Currency::parse("JPY").unwrap()).is_err());
    }

    #[test]
    fn half_a_cent_goes_away_from_zero() {
        let half = Fraction::new(1, 2).unwrap();
        assert_eq!(usd("0.01").times(half).unwrap().minor(), 1);
        assert_eq!(usd("0.03").times(half).unwrap().minor(), 2);
        assert_eq!(Money::new(-1, usd("1").currency()).times(half).unwrap().minor(), -1);
        assert_eq!(usd("1.00").times(Fraction::new(1, 3).unwrap()).unwrap().minor(), 33);
        assert_eq!(usd("2.00").times(Fraction::new(1, 3).unwrap()).unwrap().minor(), 67);
    }

    #[test]
    fn two_currencies_are_never_one_sum() {
        let euro = Money::new(1, Currency::parse("EUR").unwrap());
        let error = usd("1").plus(euro).unwrap_err();
        assert_eq!(Problem::from(error).code, "money::two-currencies");
        let large = Money::new(i64::MAX, euro.currency());
        assert_eq!(large.plus(euro), Err(MoneyError::TooLarge));
    }
}
