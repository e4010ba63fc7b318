//! What a record passed of the limits over time: caps, numbers of applications, intervals.

use super::{Ground, Judge};
use crate::application::{ApplicationRecord, Breach};
use crate::fact::Fact;
use crate::ground::laid_on;
use crate::history::history;
use crate::task::TaskRecord;
use geometry::Region;
use jiff::civil::Date;
use label::{Label, Site, Strength, UseRow, Window};
use quantity::counted;
use treatment::{Application, CapRoom, History, Room, SiteGround, room_on};

/// The limits over time that the record passed on some part of its ground.
pub(super) fn breaches(record: &ApplicationRecord, labels: &[Label], on: Ground<'_>) -> Vec<Breach> {
    let Ground { property, past } = on;
    let with_record = with(past, record, property);
    let is_band =
        |task: &&TaskRecord| task.sites.value().is_some_and(|sites| sites.contains(&Site::StructurePerimeter));
    let bands = record.tasks.iter().filter(is_band).flat_map(|task| task.zones.iter().map(|zone| &zone.ground));
    let band = laid_on(&Region::union_all(bands), &record.plane(), property.plane()).filter(|band| !band.is_empty());
    let mut found = Vec::new();
    for task in &record.tasks {
        let Some(ground) = laid_on(&task.region(), &record.plane(), property.plane()) else { continue };
        if ground.is_empty() {
            continue;
        }
        for product in &task.products {
            let Some(label) = labels.iter().find(|label| label.id == product.label) else { continue };
            let judge = Judge { task, product, label };
            let Some(row) = judge.row() else { continue };
            let on = SiteGround { site: site(row, &task.sites), ground: &ground, band: band.as_ref() };
            let look = |history: &History| room_on(property, (label, row), on, labels, history, record.date);
            let (after, before) = (look(&with_record), look(past));
            found.extend(judge.caps(&after));
            found.extend(judge.numbers(&after));
            found.extend(judge.interval(&before, record.date));
        }
    }
    found
}

fn with(past: &History, record: &ApplicationRecord, property: &property::Property) -> History {
    let own = match history([record], property, None).history {
        History::Known { applications, .. } => applications,
        History::Unknown => Vec::new(),
    };
    let (complete_since, before) = match past {
        History::Known { complete_since, applications } => (*complete_since, applications.as_slice()),
        History::Unknown => (Some(record.date), &[] as &[Application]),
    };
    History::Known { complete_since, applications: before.iter().cloned().chain(own).collect() }
}

/// The site of the row as which the ground was treated.
fn site(row: &UseRow, treated: &Fact<Vec<Site>>) -> Site {
    let treated = treated.value().map_or(&[] as &[Site], Vec::as_slice);
    let listed = treated.iter().find(|site| row.sites.contains(site)).or(row.sites.first());
    listed.copied().unwrap_or(Site::Turf)
}

fn window(window: Window) -> &'static str {
    match window {
        Window::CalendarYear => "in the calendar year",
        Window::TwelveMonths => "in twelve months",
        Window::Season => "in the season, counted as twelve months",
        Window::Crop => "for the crop, counted as twelve months",
    }
}

impl Judge<'_> {
    /// Each cap that is passed somewhere, at its worst place.
    fn caps(&self, rooms: &[Room]) -> Vec<Breach> {
        let mut worst: Vec<&CapRoom> = Vec::new();
        let binding = |cap: &&CapRoom| cap.is_passed && cap.clause.strength == Strength::Mandatory;
        for cap in rooms.iter().flat_map(|room| &room.caps).filter(binding) {
            match worst.iter_mut().find(|held| held.clause == cap.clause) {
                Some(held) if cap.applied.value > held.applied.value => *held = cap,
                Some(_) => {}
                None => worst.push(cap),
            }
        }
        let breach = |cap: &CapRoom| {
            let counted = if cap.of_active_ingredient { ", by its active ingredient" } else { "" };
            let text = format!(
                "with it {} lies on a part of its ground {}{counted}, over the {} allowed",
                cap.applied.show(),
                window(cap.window),
                cap.cap.show()
            );
            self.breach("breach::cap", text, &cap.clause)
        };
        worst.into_iter().map(breach).collect()
    }

    /// The number of applications, where it is passed.
    fn numbers(&self, rooms: &[Room]) -> Vec<Breach> {
        let numbers = rooms.iter().flat_map(|room| &room.numbers);
        let passed =
            numbers.filter(|number| number.clause.strength == Strength::Mandatory && number.made > number.allowed);
        let worst = passed.max_by_key(|number| number.made);
        let breach = |number: &treatment::NumberRoom| {
            let text = format!("it is application {} of {} {}", number.made, number.allowed, window(number.window));
            self.breach("breach::applications", text, &number.clause)
        };
        worst.map(breach).into_iter().collect()
    }

    /// The interval since the last application, where it is too short.
    fn interval(&self, before: &[Room], date: Date) -> Vec<Breach> {
        let early = before.iter().filter_map(|room| {
            let (first, clause) = room.not_before.as_ref()?;
            (clause.strength == Strength::Mandatory && *first > date).then_some((room.last?, first, clause))
        });
        let worst = early.max_by_key(|(_, first, _)| **first);
        let breach = |(last, first, clause): (Date, &Date, &label::Clause)| {
            let days = last.until(date).map_or(0, |span| span.get_days());
            let text = format!(
                "it was applied {} after {last}, and the label allows it again on {first}",
                counted(usize::try_from(days).unwrap_or(0), "day", "days")
            );
            self.breach("breach::interval", text, clause)
        };
        worst.map(breach).into_iter().collect()
    }
}
