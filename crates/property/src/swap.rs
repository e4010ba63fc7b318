//! Longitude and latitude the wrong way round, where both orders are positions: nothing in the numbers
//! tells, so that only what is improbable of a lot can be said.

use crate::Property;
use crate::locate::feature_place;
use geometry::GeoPosition;
use jiff::tz::Offset;
use problem::{Problem, Problems};

/// Beyond this latitude, close to the polar circles (66.56 degrees), few lawns are kept (common
/// practice, no source).
const FEW_LAWNS_BEYOND: f64 = 66.0;

/// The clock runs with the sun to within this many degrees: the widest zones and an hour of summer time
/// put it off by some forty-five (common practice, no source).
const CLOCK_OFF_BY: f64 = 45.0;

/// The sun goes round in 24 hours.
const DEGREES_PER_HOUR: f64 = 15.0;

/// The same numbers the other way round, when that is a position.
fn swapped(position: GeoPosition) -> Option<GeoPosition> {
    GeoPosition::from_degrees(position.latitude(), position.longitude()).ok()
}

/// A warning when the lot lies so near to a pole that a swap is likelier.
pub(crate) fn near_a_pole(id: &str, lot: GeoPosition, problems: &mut Problems) {
    let Some(meant) = swapped(lot).filter(|_| lot.latitude().abs() > FEW_LAWNS_BEYOND) else { return };
    problems.push(
        Problem::warning(
            "property::polar-latitude",
            format!("the lot lies at latitude `{:.2}`, where few lawns are kept", lot.latitude()),
        )
        .expected("longitude first, then latitude (RFC 7946, section 3.1.1)")
        .mend(format!(
            "longitude and latitude are likely swapped: write them as in `{meant}`; pass this over where the lot is there"
        ))
        .at(feature_place(id)),
    );
}

fn apart_from_clock(longitude: f64, offset: Offset) -> f64 {
    let noon_at = f64::from(offset.seconds()) / 3_600.0 * DEGREES_PER_HOUR;
    let apart = (noon_at - longitude).rem_euclid(360.0);
    apart.min(360.0 - apart)
}

impl Property {
    /// A warning when the clock of the place does not run with the sun at its longitude: with an offset
    /// from UTC of `h` hours the sun stands highest about noon at 15 `h` degrees, and a lot more than
    /// 45 degrees from there is likely to have longitude and latitude swapped, or a sign wrong; `None`
    /// when they agree. The offset is that of the place, in standard or in summer time.
    ///
    /// A lot within 45 degrees either way round passes: this finds slips, and proves nothing.
    ///
    /// # Source
    /// 15 degrees of longitude an hour: the sun goes round in 24. The 45 degrees: common practice, no
    /// source.
    pub fn clock_problem(&self, offset: Offset) -> Option<Problem> {
        let lot = self.plane().origin();
        let off = apart_from_clock(lot.longitude(), offset);
        if off <= CLOCK_OFF_BY {
            return None;
        }
        let fits = |longitude: f64| apart_from_clock(longitude, offset) <= CLOCK_OFF_BY;
        let mend = match swapped(lot).filter(|meant| fits(meant.longitude())) {
            Some(meant) => format!("longitude and latitude are likely swapped: write them as in `{meant}`"),
            None if fits(-lot.longitude()) => {
                format!("the sign of the longitude is likely wrong: write `{:.6}`", -lot.longitude())
            }
            None => "check that longitude comes before latitude, their signs, and the offset".to_owned(),
        };
        let found = format!(
            "the lot lies at longitude `{:.2}`, `{off:.0}` degrees from where a clock of UTC`{offset}` runs with the sun",
            lot.longitude()
        );
        Some(
            Problem::warning("property::longitude-against-clock", found)
                .expected(format!("a longitude within {CLOCK_OFF_BY:.0} degrees of 15 times the hours from UTC"))
                .mend(mend),
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{RawFeature, RawPosition, RawShape};

    /// A lot of a ten-thousandth of a degree either way.
    fn lot(longitude: f64, latitude: f64) -> (Property, Problems) {
        let ring = [(0.0, 0.0), (1e-4, 0.0), (1e-4, 1e-4), (0.0, 1e-4), (0.0, 0.0)]
            .map(|(x, y)| RawPosition::new(longitude + x, latitude + y));
        let boundary = RawFeature {
            id: Some("lot".into()),
            kind: Some("boundary".into()),
            ..RawFeature::new(RawShape::Polygon(vec![ring.into()]))
        };
        Property::new("test", &[boundary]).unwrap()
    }

    fn against(longitude: f64, latitude: f64, hours: i8) -> Option<String> {
        lot(longitude, latitude).0.clock_problem(Offset::constant(hours)).map(|problem| {
            assert_eq!(problem.severity, problem::Severity::Warning);
            problem.mend.unwrap()
        })
    }

    #[test]
    fn a_lot_near_a_pole_is_likely_swapped() {
        // Meant as longitude 77.2, latitude 28.6, and written the other way round.
        let (_, warnings) = lot(28.6, 77.2);
        assert_eq!(
            warnings.to_string(),
            "warning[property::polar-latitude]: the lot lies at latitude `77.20`, where few lawns are kept\n  \
             --> feature \"lot\"\n  expected: longitude first, then latitude (RFC 7946, section 3.1.1)\n  \
             mend: longitude and latitude are likely swapped: write them as in `77.200000, 28.600000`; pass this over \
             where the lot is there"
        );
        assert_eq!(lot(-28.6, -77.2).1.len(), 1);
        assert!(lot(77.2, 28.6).1.is_empty() && lot(18.9, 65.9).1.is_empty());
        // The other way round this one is no position, so that it cannot be a swap.
        assert!(lot(-150.0, 70.0).1.is_empty());
    }

    #[test]
    fn a_clock_that_does_not_run_with_the_sun_is_told() {
        assert_eq!(against(18.4, -33.9, 2), None);
        let swapped = "longitude and latitude are likely swapped: write them as in `18.400000, -33.900000`";
        assert_eq!(against(-33.9, 18.4, 2).as_deref(), Some(swapped));
        assert_eq!(
            against(97.62, 38.84, -6).as_deref(),
            Some("the sign of the longitude is likely wrong: write `-97.620000`")
        );
        assert!(against(2.35, 48.85, -10).unwrap().starts_with("check that longitude"));
        let problem = lot(97.62, 38.84).0.clock_problem(Offset::constant(-6)).unwrap();
        assert_eq!(
            problem.found,
            "the lot lies at longitude `97.62`, `172` degrees from where a clock of UTC`-06` runs with the sun"
        );
    }

    #[test]
    fn summer_time_wide_zones_and_the_date_line_pass() {
        // The far west of a zone that is kept over sixty degrees, and islands across the date line.
        for (longitude, latitude, hours) in
            [(-97.62, 38.84, -5), (76.0, 39.5, 8), (-157.4, 1.9, 14), (179.0, -17.0, 12), (-175.2, -21.1, 13)]
        {
            assert_eq!(against(longitude, latitude, hours), None, "{longitude}");
        }
        // Exactly 45 degrees pass, more do not.
        assert_eq!(against(-60.0, 38.0, -1), None);
        assert!(against(-60.01, 38.0, -1).is_some());
    }
}
