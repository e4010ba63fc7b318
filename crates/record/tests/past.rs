//! What of the records is the past of a property: what lies on it, wherever they say that it was.

mod support;

use geometry::{GeoPosition, LocalPlane, Point, Region};
use jiff::civil::date;
use property::{Property, RawFeature, RawPosition, RawShape};
use proptest::prelude::*;
use quantity::Area;
use record::{ApplicationRecord, extent, history, reach};
use support::{litres, millilitres, origin, product, record, rectangle, task};
use treatment::{History, Place};

/// A lot of 40 by 30 m with its corner at the origin.
fn lot() -> Property {
    let plane = LocalPlane::around(origin());
    let corners = [(0.0, 0.0), (40.0, 0.0), (40.0, 30.0), (0.0, 30.0)];
    let at = |(x, y): (f64, f64)| {
        let position = plane.to_position(Point::from_metres(x, y));
        RawPosition { longitude: position.longitude(), latitude: position.latitude() }
    };
    let ring = corners.iter().chain(corners.first()).copied().map(at).collect();
    let boundary = RawFeature { kind: Some("boundary".to_owned()), ..RawFeature::new(RawShape::Polygon(vec![ring])) };
    Property::new("lot", &[boundary]).expect("a lot").0
}

fn from(position: GeoPosition, tasks: Vec<record::TaskRecord>) -> ApplicationRecord {
    let mut record = record(date(2026, 4, 3), tasks);
    record.property.origin = position;
    record
}

fn treated(ground: Region) -> record::TaskRecord {
    task("lawn", ground, product("one", "exampthrin", 120.0, millilitres(50.0)), litres(10.0))
}

fn applications(records: &[ApplicationRecord]) -> Vec<treatment::Application> {
    match history(records, &lot(), None).history {
        History::Known { applications, .. } => applications,
        History::Unknown => panic!("records are known"),
    }
}

/// As counted places are: not drawn, and of no area.
fn undrawn() -> record::TaskRecord {
    let drawn = treated(rectangle(0.0, 0.0, 1.0, 1.0));
    record::TaskRecord { ground: Area::ZERO, zones: Vec::new(), ..drawn }
}

/// Counted mounds are not drawn: they lie on the lot whose map the record has, and not on the one beside it.
#[test]
fn what_is_not_drawn_counts_on_its_own_lot_alone() {
    let plane = *lot().plane();
    for (east, north, counts) in [(0.0, 0.0, 1), (3.0, -4.0, 1), (40.0, 0.0, 0), (0.0, 30.0, 0), (-25.0, 0.0, 0)] {
        let corner = plane.to_position(Point::from_metres(east, north));
        assert_eq!(applications(&[from(corner, vec![undrawn()])]).len(), counts, "{east} {north}");
    }
}

/// The plane folds the far side of the Earth over; what lies there counts nowhere here.
#[test]
fn what_lies_on_the_other_side_of_the_earth_does_not_count() {
    let here = origin();
    let there = GeoPosition::from_degrees(here.longitude() + 180.0, -here.latitude()).unwrap();
    let record = from(there, vec![treated(rectangle(5.0, 5.0, 10.0, 10.0))]);
    assert!(!extent(&record).unwrap().overlaps(reach(&lot()).unwrap()));
    assert!(applications(&[record]).is_empty());
}

proptest! {
    /// Ground that lies on the lot is in the past, from whatever map it was recorded; what is listed by the
    /// boxes is all that counts.
    #[test]
    fn the_boxes_leave_nothing_out_that_counts(
        places in prop::collection::vec((-300.0..300.0_f64, -300.0..300.0_f64, 1.0..60.0_f64, -200.0..200.0_f64, any::<bool>()), 1..12),
    ) {
        let lot = lot();
        let plane = *lot.plane();
        let records: Vec<ApplicationRecord> = places
            .iter()
            .map(|(x, y, size, shift, is_drawn)| {
                let corner = plane.to_position(Point::from_metres(*x, *y));
                let drawn = || treated(rectangle(*shift, 0.0, *size, *size));
                from(corner, vec![if *is_drawn { drawn() } else { undrawn() }])
            })
            .collect();
        let listed: Vec<ApplicationRecord> = records
            .iter()
            .filter(|record| extent(record).unwrap().overlaps(reach(&lot).unwrap()))
            .cloned()
            .collect();
        prop_assert_eq!(applications(&listed), applications(&records));
        let on_lot = places.iter().filter(|(x, y, size, shift, is_drawn)| {
            let (west, south) = (x + shift, *y);
            *is_drawn && west + size > 0.5 && west < 39.5 && south + size > 0.5 && south < 29.5
        });
        let grounds = applications(&records).into_iter().filter(|application| match &application.place {
            Place::Ground(ground) => !ground.intersection(lot.boundary()).is_empty(),
            _ => false,
        });
        prop_assert!(grounds.count() >= on_lot.count());
    }
}
