//! Numbers between nothing and the whole.

use problem::{Problem, Problems};

macro_rules! fraction {
    ($(#[$doc:meta])* $name:ident, $code:literal, $noun:literal) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
        pub struct $name(f64);

        impl $name {
            /// From a fraction, 0 to 1.
            ///
            /// # Errors
            /// When `fraction` is below 0, above 1 or not a number.
            pub fn from_fraction(fraction: f64) -> Result<Self, Problems> {
                if (0.0..=1.0).contains(&fraction) {
                    Ok(Self(fraction))
                } else {
                    Err(Problem::error($code, format!(concat!($noun, " `{}` is outside 0 to 1"), fraction))
                        .expected("a fraction from 0 to 1")
                        .mend("divide a percentage by 100")
                        .into())
                }
            }

            /// From a percentage, 0 to 100.
            ///
            /// # Errors
            /// When `percent` is below 0, above 100 or not a number.
            pub fn from_percent(percent: f64) -> Result<Self, Problems> {
                Self::from_fraction(percent / 100.0).map_err(|_| {
                    Problem::error($code, format!(concat!($noun, " `{} %` is outside 0 to 100 %"), percent))
                        .expected("a percentage from 0 to 100")
                    .into()
                })
            }

            /// As a fraction, 0 to 1.
            pub fn fraction(self) -> f64 {
                self.0
            }
        }
    };
}

fraction!(
    /// How likely something is.
    Chance,
    "weather::chance",
    "chance"
);
fraction!(
    /// Water vapour in the air over what it could hold at its temperature.
    RelativeHumidity,
    "weather::relative-humidity",
    "relative humidity"
);
fraction!(
    /// How much of the sky clouds cover.
    CloudCover,
    "weather::cloud-cover",
    "cloud cover"
);

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_percentage_is_not_taken_for_a_fraction() {
        assert_eq!(Chance::from_percent(40.0).unwrap().fraction(), 0.4);
        assert_eq!(Chance::from_fraction(1.0).unwrap().fraction(), 1.0);
        assert_eq!(Chance::from_fraction(40.0).unwrap_err().iter().next().unwrap().code, "weather::chance");
        assert_eq!(
            RelativeHumidity::from_percent(101.0).unwrap_err().iter().next().unwrap().code,
            "weather::relative-humidity"
        );
        assert!(RelativeHumidity::from_fraction(f64::NAN).is_err());
        assert!(RelativeHumidity::from_fraction(-0.01).is_err());
    }
}
