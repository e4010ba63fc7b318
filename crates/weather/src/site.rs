//! A place on the earth, as the sun sees it.

use problem::{Problem, Problems};

/// Latitude and longitude of a place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Site {
    latitude: f64,
    longitude: f64,
}

impl Site {
    /// A place by its latitude (north positive, -90 to 90) and longitude (east positive, -180 to
    /// 180), both in degrees.
    ///
    /// # Errors
    /// When either is out of its range or not a number; both are reported.
    pub fn new(latitude: f64, longitude: f64) -> Result<Self, Problems> {
        let mut problems = Problems::new();
        if !(-90.0..=90.0).contains(&latitude) {
            problems.push(
                Problem::error("weather::latitude", format!("latitude `{latitude}` is outside -90 to 90 degrees"))
                    .expected("degrees, north positive")
                    .mend("check that latitude and longitude are not exchanged"),
            );
        }
        if !(-180.0..=180.0).contains(&longitude) {
            problems.push(
                Problem::error("weather::longitude", format!("longitude `{longitude}` is outside -180 to 180 degrees"))
                    .expected("degrees, east positive"),
            );
        }
        problems.unless_errors(Self { latitude, longitude }).map(|(site, _)| site)
    }

    /// Degrees, north positive.
    pub fn latitude(self) -> f64 {
        self.latitude
    }

    /// Degrees, east positive.
    pub fn longitude(self) -> f64 {
        self.longitude
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_coordinates_are_reported() {
        let problems = Site::new(-97.62, 380.84).unwrap_err();
        let codes: Vec<_> = problems.iter().map(|problem| problem.code).collect();
        assert_eq!(codes, ["weather::latitude", "weather::longitude"]);
        assert!(Site::new(f64::NAN, 0.0).is_err());
        assert_eq!(Site::new(38.84, -97.62).unwrap().longitude(), -97.62);
    }
}
