//! The dates to scout of a season's programme as calendar entries, a day each.
//!
//! As in [`crate::calendar`] there is no clock: the stamp of every entry is the start of the season's first day, and its
//! identifier is made of season, date and subject. A programme solved anew moves dates, and an entry of a date that is
//! no longer planned stays in a calendar that took it: take the old file out first.

use crate::calendar::{PRODUCER, identifier, plain};
use icalendar::{Calendar, Component, Event, Property};
use quantity::AmountPerArea;
use season::programme::{Planned, Programme, SeasonRequest};

/// The calendar of a programme; `None` when nothing is planned, since RFC 5545, section 3.6, asks for an entry at the
/// least.
pub fn write_season_calendar(request: &SeasonRequest, programme: &Programme) -> Option<String> {
    if programme.planned.is_empty() {
        return None;
    }
    let mut calendar = Calendar::empty();
    calendar.append_property(Property::new("VERSION", "2.0"));
    calendar.append_property(Property::new("PRODID", PRODUCER));
    calendar.append_property(Property::new("CALSCALE", "GREGORIAN"));
    let stamp = request.weeks.first().strftime("%Y%m%dT000000Z").to_string();
    for week in programme.visits() {
        let date = request.weeks.date(week);
        let of_day: Vec<&Planned> = programme.planned.iter().filter(|one| one.week == week).collect();
        let mut pests: Vec<&str> = of_day
            .iter()
            .flat_map(|one| &request.uses[one.product_use].controls)
            .map(|control| request.pests[control.pest].name.as_str())
            .collect();
        pests.sort_unstable();
        pests.dedup();
        let mut lines = vec![
            format!("Count first: {}.", pests.join(", ")),
            "Treat only where counts call for it; below the threshold nothing is applied, and the rest is solved again."
                .to_owned(),
        ];
        lines.extend(of_day.iter().map(|one| told(request, **one)));
        lines.push("Plan the visit for its own day before going: the label and the law govern.".to_owned());
        let mut event = Event::new();
        event.uid(&identifier(&request.name, date, "scout"));
        event.add_property("DTSTAMP", &stamp);
        event.summary(&plain(&format!("{}: scout", request.name)));
        event.description(&plain(&lines.join("\n")));
        event.add_property("TRANSP", "TRANSPARENT");
        let mut start = Property::new("DTSTART", date.strftime("%Y%m%d").to_string());
        event.append_property(start.add_parameter("VALUE", "DATE").done());
        calendar.push(event.done());
    }
    Some(calendar.to_string())
}

/// One application in words.
fn told(request: &SeasonRequest, one: Planned) -> String {
    let (of, ground) = (&request.uses[one.product_use], &request.grounds[one.ground]);
    let kind = match of.per_area {
        AmountPerArea::Volume(_) => "by volume",
        AmountPerArea::Mass(_) => "by weight",
    };
    format!("If it does: {} ({}) on {}, {} {kind}.", of.product, of.id, ground.name, of.rate.show())
}
