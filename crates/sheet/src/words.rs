//! Words for people: names in place of identifiers, and no signs of the screen on paper.

use crate::Units;
use jiff::civil::DateTime;
use property::Feature;
use treatment::{Visit, Zone, ZoneKind};

/// A text written for the screen, where identifiers stand between backticks: a feature gets its name, any
/// other goes between quotes.
pub(crate) fn plain(visit: &Visit, text: &str) -> String {
    let pieces: Vec<&str> = text.split('`').collect();
    if pieces.len().is_multiple_of(2) {
        // A backtick without its partner marks nothing.
        return text.to_owned();
    }
    let mut out = String::new();
    for (index, piece) in pieces.into_iter().enumerate() {
        match visit.property.feature(piece) {
            _ if index % 2 == 0 => out.push_str(piece),
            Some(feature) => out.push_str(&feature_name(feature)),
            None if visit.tasks.iter().any(|task| task.id == piece) => out.push_str(piece),
            None => out.extend(["“", piece, "”"]),
        }
    }
    out
}

/// What people call a feature; one that has nothing but its kind and a number is told by its kind.
pub(crate) fn feature_name(feature: &Feature) -> String {
    let kind = feature.kind().kind().word();
    let numbered = |id: &str| {
        let rest = id.strip_prefix(kind).and_then(|rest| rest.strip_prefix('-'));
        rest.is_some_and(|rest| !rest.is_empty() && rest.bytes().all(|byte| byte.is_ascii_digit()))
    };
    if feature.name().is_none() && numbered(feature.id()) { kind.replace('-', " ") } else { feature.label().to_owned() }
}

/// What people call a place named in a verdict or a limit: a feature's name, or the words as they are.
pub(crate) fn place(visit: &Visit, id: &str) -> String {
    visit.property.feature(id).map_or_else(|| plain(visit, id), feature_name)
}

/// What people call a zone.
pub(crate) fn zone_name(visit: &Visit, zone: &Zone) -> String {
    if zone.kind == ZoneKind::Setback { zone.id.replace('-', " ") } else { place(visit, &zone.id) }
}

/// The time of day, with the date where it is another than the visit's.
pub(crate) fn time(visit: &Visit, time: DateTime, units: Units) -> String {
    let clock = units.clock(time);
    if time.date() == visit.date { clock } else { format!("{clock} on {}", units.long_date(time.date())) }
}

/// With a capital first letter.
pub(crate) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sample;

    #[test]
    fn no_sign_of_the_screen_is_left() {
        let visit = sample::visit();
        assert_eq!(plain(&visit, "calibration `lawn run` of `house`"), "calibration “lawn run” of house");
        assert_eq!(plain(&visit, "a lone ` stays"), "a lone ` stays");
    }
}
