//! Distances and limits that the business keeps for itself.

use crate::quantity_field as quantity_of;
use crate::toml_source::{Field, Table};
use label::BufferedFeature;
use problem::Problem;
use treatment::{Practice, Setback};

pub(super) fn read_setbacks(table: Table<'_>) -> Vec<Setback> {
    let setbacks = BufferedFeature::ALL
        .iter()
        .filter_map(|feature| {
            let field = table.optional(feature.word())?;
            Some(Setback { feature: *feature, distance: quantity_of::length(&field)? })
        })
        .collect();
    table.finish();
    setbacks
}

/// The usual practice with what the request changes of it.
pub(super) fn read_practice(table: Table<'_>) -> Practice {
    let mut practice = Practice::default();
    let (least, most) = (table.optional("wind_at_least"), table.optional("wind_at_most"));
    let least_is_read = set(&mut practice.wind_at_least, least.as_ref(), quantity_of::speed);
    let most_is_read = set(&mut practice.wind_at_most, most.as_ref(), quantity_of::speed);
    if least_is_read && most_is_read && practice.wind_at_most < practice.wind_at_least {
        table.report(
            Problem::error("visit::wind-limits", "the highest wind is below the lowest")
                .expected("`wind_at_least` not above `wind_at_most`; where one is left out, 3 and 8 mph are kept")
                .at(most.map_or_else(|| table.path_of("wind_at_least"), |field| field.path().to_owned())),
        );
    }
    set(&mut practice.saturating_rain, table.optional("saturating_rain").as_ref(), quantity_of::length);
    set(&mut practice.sensitive_angle, table.optional("sensitive_angle_deg").as_ref(), |field| {
        field.number_between(0.0, 180.0)
    });
    set(&mut practice.sensitive_reach, table.optional("sensitive_reach").as_ref(), quantity_of::length);
    set(&mut practice.rain_free, table.optional("rain_free").as_ref(), quantity_of::duration);
    set(&mut practice.bloom_valid_days, table.optional("bloom_valid_days").as_ref(), days);
    set(&mut practice.survey_valid_days, table.optional("survey_valid_days").as_ref(), days);
    set(&mut practice.calibration_valid_days, table.optional("calibration_valid_days").as_ref(), days);
    set(&mut practice.calibration_variation, table.optional("calibration_variation_pct").as_ref(), |field| {
        field.number_between(0.0, 100.0).map(|percent| percent / 100.0)
    });
    set(&mut practice.graduation, table.optional("graduation").as_ref(), |field| {
        quantity_of::graduation(field).map(Some)
    });
    table.finish();
    practice
}

/// `false` when the field is there and cannot be read.
fn set<'a, T>(place: &mut T, field: Option<&Field<'a>>, read: impl FnOnce(&Field<'a>) -> Option<T>) -> bool {
    let Some(field) = field else { return true };
    let value = read(field);
    let is_read = value.is_some();
    if let Some(value) = value {
        *place = value;
    }
    is_read
}

fn days(field: &Field<'_>) -> Option<i32> {
    let days = field.whole()?;
    if days <= 3_660 {
        return i32::try_from(days).ok();
    }
    field.report(Problem::error("visit::days", format!("`{days}` days are too many")).expected("at most 3660 days"));
    None
}
