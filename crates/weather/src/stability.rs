//! How air lies near the ground: mixed by sun and wind, or in layers, so that fine drops hang in it and drift far.

use crate::{CloudCover, Elevation};
use quantity::{Speed, SpeedUnit};

/// How air near the ground mixes, from the strongest to the least.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Stability {
    /// Class A.
    ExtremelyUnstable,
    /// Class B.
    ModeratelyUnstable,
    /// Class C.
    SlightlyUnstable,
    /// Class D.
    Neutral,
    /// Class E: the air may be no colder above than below.
    SlightlyStable,
    /// Class F: it is warmer above than below.
    ModeratelyStable,
    /// Class G: so by much.
    ExtremelyStable,
}

/// How likely it is that the air is warmer above than at the ground.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum InversionRisk {
    /// Classes A to D.
    Unlikely,
    /// Class E.
    Possible,
    /// Classes F and G.
    Likely,
}

/// Where in the day an hour lies, as far as the mixing of air goes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Light {
    /// From one hour before sunset to one hour after sunrise.
    Night,
    /// The rest of the day, with the height of the sun.
    Day(Elevation),
}

impl Stability {
    const ALL: [Self; 7] = [
        Self::ExtremelyUnstable,
        Self::ModeratelyUnstable,
        Self::SlightlyUnstable,
        Self::Neutral,
        Self::SlightlyStable,
        Self::ModeratelyStable,
        Self::ExtremelyStable,
    ];

    /// The letter of the class, A to G.
    pub const fn letter(self) -> char {
        match self {
            Self::ExtremelyUnstable => 'A',
            Self::ModeratelyUnstable => 'B',
            Self::SlightlyUnstable => 'C',
            Self::Neutral => 'D',
            Self::SlightlyStable => 'E',
            Self::ModeratelyStable => 'F',
            Self::ExtremelyStable => 'G',
        }
    }

    /// What the class says of an inversion.
    ///
    /// # Source
    /// Classes by the change of temperature with height: E from -0.5 to 1.5, F from 1.5 to 4.0, G over 4.0 °C in 100 m
    /// (United States Nuclear Regulatory Commission, Regulatory Guide 1.23; from memory).
    pub const fn inversion_risk(self) -> InversionRisk {
        match self {
            Self::SlightlyStable => InversionRisk::Possible,
            Self::ModeratelyStable | Self::ExtremelyStable => InversionRisk::Likely,
            _ => InversionRisk::Unlikely,
        }
    }
}

/// Wind in knots, rounded, up to which each row of the key holds; the last row holds above.
const ROWS: [(f64, [usize; 7]); 9] = [
    (1.0, [1, 1, 2, 3, 4, 6, 7]),
    (3.0, [1, 2, 2, 3, 4, 6, 7]),
    (5.0, [1, 2, 3, 4, 4, 5, 6]),
    (6.0, [2, 2, 3, 4, 4, 5, 6]),
    (7.0, [2, 2, 3, 4, 4, 4, 5]),
    (9.0, [2, 3, 3, 4, 4, 4, 5]),
    (10.0, [3, 3, 4, 4, 4, 4, 5]),
    (11.0, [3, 3, 4, 4, 4, 4, 4]),
    (f64::INFINITY, [3, 4, 4, 4, 4, 4, 4]),
];

/// How air lies in an hour, by the sun, the clouds and the wind 10 m above the ground.
///
/// Without clouds known the sky counts as clear, which makes nights stiller and days livelier than they may be. How high
/// clouds are is not asked for: they count as high, since low ones only make nights livelier.
///
/// # Source
/// Turner, D. B. 1964: A diffusion model for an urban area. Journal of Applied Meteorology 3: 83-91; the key as in U.S. EPA
/// 2000, Meteorological Monitoring Guidance for Regulatory Modeling Applications, EPA-454/R-99-005, tables 6-4 to 6-6.
pub fn stability_turner_1964(light: Light, clouds: Option<CloudCover>, wind: Speed) -> Stability {
    let covered = clouds.map_or(0.0, CloudCover::fraction);
    let is_overcast = covered >= 0.95;
    let net_radiation: i32 = match light {
        Light::Night if covered > 0.4 => -1,
        Light::Night => -2,
        Light::Day(sun) => {
            let sun = sun.degrees();
            let class = if sun > 60.0 {
                4
            } else if sun > 35.0 {
                3
            } else if sun > 15.0 {
                2
            } else {
                1
            };
            if is_overcast { (class - 1).max(1) } else { class }
        }
    };
    let knots = wind.to(SpeedUnit::Knot).round();
    let row = ROWS.iter().find(|(most, _)| knots <= *most).map_or(ROWS[8].1, |(_, row)| *row);
    Stability::ALL[row[(4 - net_radiation) as usize] - 1]
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn knots(speed: f64) -> Speed {
        Speed::new(speed, SpeedUnit::Knot)
    }

    fn clouds(fraction: f64) -> Option<CloudCover> {
        CloudCover::from_fraction(fraction).ok()
    }

    #[test]
    fn a_clear_still_night_lies_in_layers_and_wind_mixes_it() {
        let of = |cover: f64, wind: f64| stability_turner_1964(Light::Night, clouds(cover), knots(wind)).letter();
        assert_eq!((of(0.0, 2.0), of(0.0, 6.0), of(0.0, 9.0), of(0.0, 11.0)), ('G', 'F', 'E', 'D'));
        assert_eq!((of(0.7, 2.0), of(0.7, 5.0), of(0.7, 7.0)), ('F', 'E', 'D'));
        assert_eq!(of(1.0, 0.0), 'F');
        // Nobody who does not know the sky may count on clouds.
        assert_eq!(stability_turner_1964(Light::Night, None, knots(2.0)).letter(), 'G');
    }

    #[test]
    fn sun_mixes_the_air_the_more_the_higher_it_stands() {
        use crate::{Site, sun_position};
        let site = Site::new(40.0, 0.0).unwrap();
        let of = |hour: i8, wind: f64, cover: f64| {
            let local = jiff::civil::date(2026, 6, 21).at(hour, 0, 0, 0);
            let instant = jiff::tz::Offset::UTC.to_timestamp(local).unwrap();
            let sun = sun_position(instant, site).elevation;
            stability_turner_1964(Light::Day(sun), clouds(cover), knots(wind)).letter()
        };
        // The sun stands 73, 37 and 15 to 35 degrees high.
        assert_eq!((of(12, 1.0, 0.0), of(8, 1.0, 0.0), of(7, 1.0, 0.0)), ('A', 'A', 'B'));
        assert_eq!((of(12, 10.0, 0.0), of(12, 10.0, 1.0), of(12, 20.0, 0.0)), ('C', 'C', 'C'));
        assert_eq!((of(7, 6.0, 0.0), of(7, 6.0, 1.0)), ('C', 'D'));
    }

    proptest! {
        #[test]
        fn wind_and_clouds_never_make_a_night_stiller(cover in 0.0..1.0_f64, wind in 0.0..15.0_f64, more in 0.0..5.0_f64) {
            let of = |cover: f64, wind: f64| stability_turner_1964(Light::Night, clouds(cover), knots(wind));
            prop_assert!(of(cover, wind + more) <= of(cover, wind));
            prop_assert!(of((cover + more / 5.0).min(1.0), wind) <= of(cover, wind));
        }
    }
}
