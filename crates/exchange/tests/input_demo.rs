//! The demonstration property is read whole and without an error.

use exchange::visit_file::parse_visit;
use std::path::{Path, PathBuf};
use treatment::{History, Place, RateWish, Target, VisitRequest};

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo/alder-bend")
}

fn demo() -> (VisitRequest, problem::Problems) {
    let folder = folder();
    let text = std::fs::read_to_string(folder.join("visit.toml")).unwrap();
    let mut fetch = |name: &str| std::fs::read_to_string(folder.join(name)).map_err(|error| error.to_string());
    parse_visit("demo/alder-bend/visit.toml", &text, &mut fetch).unwrap_or_else(|problems| panic!("{problems}"))
}

#[test]
fn nothing_of_the_demonstration_is_lost() {
    let (visit, _) = demo();
    assert_eq!((visit.name.as_str(), visit.state.as_deref()), ("Alder Bend", Some("KS")));
    assert_eq!(visit.date.to_string(), "2026-07-07");
    assert_eq!(visit.property.name(), "Alder Bend");
    assert_eq!(visit.property.features().len(), 9);
    let ids: Vec<&str> = visit.labels.iter().map(|label| label.id.as_str()).collect();
    assert_eq!(ids, ["brackwater-sc", "gravelhome-gr", "anthollow-rb"]);
    assert_eq!(visit.equipment[0].calibrations().len(), 2);
    let hours = visit.forecast.as_ref().unwrap().hours();
    assert_eq!((hours.len(), hours[0].start.hour(), hours[15].start.hour()), (16, 5, 20));
    assert_eq!(hours.iter().filter(|hour| hour.wind_from.is_none()).count(), 1);
    let finding = &visit.findings[0];
    assert_eq!((finding.counts.len(), finding.counts.iter().sum::<u32>()), (18, 38));
    let tasks: Vec<&str> = visit.tasks.iter().map(|task| task.id.as_str()).collect();
    assert_eq!(tasks, ["perimeter", "hedge", "lawn"]);
    assert!(matches!(visit.tasks[2].target, Target::Turf));
    assert!(matches!(visit.tasks[0].rate, RateWish::Stated(rate) if rate.value() == 0.55));
    assert_eq!(visit.setbacks.len(), 2);
    let History::Known { applications, complete_since: Some(_) } = &visit.history else { panic!("no history") };
    let places: Vec<&Place> = applications.iter().map(|application| &application.place).collect();
    assert_eq!(places, [&Place::Turf, &Place::Band(Some(quantity::Length::new(3.0, quantity::LengthUnit::Foot)))]);
}

#[test]
fn what_the_day_adds_completes_the_map() {
    let (visit, _) = demo();
    let house = visit.property.feature("house").unwrap();
    let property::FeatureKind::Structure(walls) = house.kind() else { panic!("no structure") };
    assert_eq!(walls.openings.len(), 3);
    let perennials = visit.property.feature("perennials").unwrap();
    let property::FeatureKind::Ornamental(Some(bloom)) = perennials.kind() else { panic!("no bloom") };
    assert!(bloom.in_bloom() && bloom.age_days(visit.date) == Some(0));
}

#[test]
fn the_demonstration_leaves_nothing_to_warn_of() {
    let (_, warnings) = demo();
    assert_eq!(warnings.to_string(), "");
}
