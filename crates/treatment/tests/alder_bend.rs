//! The acceptance example, planned from its plain facts.
//!
//! The expected figures were computed apart from this program with a general geometry library (arcs
//! of 512 segments a quarter) and plain formulas; areas hold to 0.1 %, what follows likewise.

mod support;

use quantity::{AmountUnit, AreaUnit, DurationUnit, VolumeUnit};
use support::{KANSAS, Lie, alder_bend, property, request};
use treatment::{Status, Task, Visit, plan};

const MILLILITRE: AmountUnit = AmountUnit::Volume(VolumeUnit::Millilitre);

fn planned() -> Visit {
    plan(&request(property(&alder_bend(), KANSAS), 0.0)).unwrap_or_else(|problems| panic!("{problems}"))
}

fn task<'a>(visit: &'a Visit, id: &str) -> &'a Task {
    visit.tasks.iter().find(|task| task.id == id).unwrap()
}

fn measure(visit: &Visit, name: &str) -> f64 {
    let of_tasks = visit.tasks.iter().flat_map(|task| &task.product.measures);
    let found = visit.measures.iter().chain(of_tasks).find(|measure| measure.name == name);
    found.unwrap_or_else(|| panic!("no measure {name}")).figure.value
}

#[track_caller]
fn close(found: f64, expected: f64) {
    assert!((found / expected - 1.0).abs() < 1e-3, "found {found}, expected {expected}");
}

#[test]
fn areas() {
    let visit = planned();
    for (name, expected) in [
        ("property", 14_300.0),
        ("turf", 10_838.0),
        ("turf-lost-to-water-buffer", 1_690.0),
        ("turf-lost-to-food-setback", 461.097_158_109_976_5),
        ("turf-lost-to-bloom-setback", 318.539_693_131_928_8),
        ("treatable-turf", 8_368.363_148_758_095),
        ("band-ring", 506.342_861_909_369_73),
        ("band-on-paving", 126.0),
        ("band", 380.342_861_909_368),
        ("wall", 426.0),
        ("perimeter", 806.342_861_909_368),
        ("broadcast", 7_988.020_286_848_721),
    ] {
        close(measure(&visit, name), expected);
    }
    assert!(measure(&visit, "not-accounted").abs() < 1e-6 * 14_300.0);
}

#[test]
fn amounts_and_tanks() {
    let visit = planned();
    let lawn = task(&visit, "lawn");
    close(lawn.product.amount.to(MILLILITRE).unwrap(), 94.493_581_639_588_16);
    close(lawn.spray.unwrap().to(VolumeUnit::UsGallon), 13.479_784_234_057_217);
    assert_eq!(lawn.product.batches.len(), 7);
    close(lawn.product.batches[6].spray.unwrap().to(VolumeUnit::UsGallon), 1.479_784_234_057_216_7);
    close(lawn.product.batches[0].product.to(MILLILITRE).unwrap(), 14.020_043_644_444_444);
    assert_eq!(lawn.product.batches[0].measured.to(MILLILITRE).map(|ml| format!("{ml:.3}")).as_deref(), Some("14.000"));
    assert_eq!(lawn.product.batches[6].measured.to(MILLILITRE).map(|ml| format!("{ml:.3}")).as_deref(), Some("10.200"));
    close(lawn.product.rate_after_rounding.value(), 0.399_428_143_165_520_44);
    let perimeter = task(&visit, "perimeter");
    close(perimeter.product.amount.to(MILLILITRE).unwrap(), 13.115_522_455_303_154);
    assert_eq!(perimeter.product.batches.len(), 1);
    let full = perimeter.product.full_load.unwrap();
    close(full.product.to(MILLILITRE).unwrap(), 16.265_441_259_375);
    assert_eq!(full.measured.to(MILLILITRE).map(|ml| format!("{ml:.3}")).as_deref(), Some("16.200"));
    close(perimeter.product.rate_after_rounding.value(), 0.547_787_167_769_856_6);
    assert_eq!((visit.tanks, visit.tasks.len()), (9, 3));
    close(visit.spray.to(VolumeUnit::UsGallon), 16.292_469_957_875_95);
    close(visit.duration.to(DurationUnit::Minute), 99.308_233_192_919_84);
}

#[test]
fn dilution() {
    let visit = planned();
    close(task(&visit, "hedge").product.area_rate.unwrap().value(), 0.681_818_181_818_181_8);
    close(measure(&visit, "dilution-ceiling"), 0.058_666_666_666_666_67);
    close(measure(&visit, "area-rate-at-top-dilution"), 1.090_909_090_909_091);
}

#[test]
fn the_year() {
    let visit = planned();
    close(measure(&visit, "cap-from-active-ingredient"), 1.410_468_319_559_228_5);
    close(measure(&visit, "active-ingredient-of-one"), 0.340_312_5);
    for (id, total, left, at_lowest, at_todays) in [
        ("lawn", 0.8, 0.610_468_319_559_228_3, 2, 1),
        ("perimeter", 1.35, 0.060_468_319_559_228_38, 0, 0),
        ("hedge", 0.681_818_181_818_181_8, 0.728_650_137_741_046_7, 1, 1),
    ] {
        let remaining = &task(&visit, id).product.remaining[0];
        close(remaining.total.value, total);
        close(remaining.left.value, left);
        assert_eq!((remaining.more_at_lowest, remaining.more_at_todays), (at_lowest, at_todays), "{id}");
    }
    let perimeter = task(&visit, "perimeter");
    let highest =
        perimeter.product.measures.iter().find(|measure| measure.name == "highest-lawful-rate-today").unwrap();
    close(highest.figure.value, 0.610_468_319_559_228_4);
    let doubled = perimeter.product.measures.iter().find(|measure| measure.name == "if-overlapped").unwrap();
    close(doubled.figure.value, 0.95);
    assert_eq!(perimeter.product.days_since_previous, Some(96));
    assert_eq!(perimeter.product.earliest_repeat.map(|date| date.to_string()).as_deref(), Some("2026-07-28"));
}

#[test]
fn hours() {
    let visit = planned();
    let expected: [(i8, &[&str]); 16] = [
        (5, &["wind below label range", "wind direction unknown"]),
        (6, &["wind below label range"]),
        (7, &[]),
        (8, &[]),
        (9, &[]),
        (10, &[]),
        (11, &["wind or gust above label range"]),
        (12, &["wind or gust above label range", "too hot"]),
        (13, &["wind or gust above label range", "too hot"]),
        (14, &["wind or gust above label range", "too hot", "blows toward the hives"]),
        (15, &["wind or gust above label range", "rain", "blows toward the hives"]),
        (16, &["wind or gust above label range", "rain", "soil may be saturated", "blows toward the hives"]),
        (17, &["soil may be saturated", "blows toward the hives"]),
        (18, &["soil may be saturated"]),
        (19, &["soil may be saturated"]),
        (20, &["wind below label range", "soil may be saturated"]),
    ];
    for (hour, (start, reasons)) in visit.hours.iter().zip(expected) {
        let found: Vec<&str> = hour.reasons.iter().map(|reason| reason.text.as_str()).collect();
        assert_eq!((hour.start.hour(), found.as_slice()), (start, reasons));
        assert_eq!(hour.status == Status::Refused, !reasons.is_empty());
    }
    let window = visit.start_window.unwrap();
    let clock = |time: jiff::civil::DateTime| format!("{:02}:{:02}", time.hour(), time.minute());
    assert_eq!((clock(window.first), clock(window.last)), ("07:00".to_owned(), "09:20".to_owned()));
    assert_eq!(clock(window.finish_if_first), "08:39");
    assert_ne!(
        visit.verdict(),
        Status::Refused,
        "{:#?}",
        visit.all_verdicts().filter(|v| v.status == Status::Refused).collect::<Vec<_>>()
    );
}

#[test]
fn the_same_ground_elsewhere_has_the_same_areas() {
    let here = planned();
    for lie in [
        Lie { turned: 37.0, ..KANSAS },
        Lie { longitude: 149.13, latitude: -35.28, turned: 37.0 },
        Lie { longitude: 18.42, latitude: -33.93, turned: 0.0 },
        Lie { longitude: 25.5, latitude: 66.5, turned: -100.0 },
    ] {
        let there = plan(&request(property(&alder_bend(), lie), lie.turned)).unwrap();
        for zone in &here.zones {
            let other = there.zones.iter().find(|other| other.id == zone.id).unwrap();
            close(other.area.to(AreaUnit::SquareFoot), zone.area.to(AreaUnit::SquareFoot));
        }
        assert_eq!(here.start_window.map(|w| (w.first, w.last)), there.start_window.map(|w| (w.first, w.last)));
    }
}
