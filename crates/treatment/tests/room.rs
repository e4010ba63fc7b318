//! What a label still allows on each place.

mod support;

use jiff::civil::{Date, date};
use label::{Label, Site, Strength};
use quantity::{Area, AreaUnit};
use support::{KANSAS, TODAY, alder_bend, concentrate, property, stated, whole};
use treatment::{History, Place, Room, room};

fn rooms(label: &Label, history: &History, day: Date) -> Vec<Room> {
    room(&property(&alder_bend(), KANSAS), label, std::slice::from_ref(label), history, day)
}

fn of<'r>(rooms: &'r [Room], use_row: &str) -> Vec<&'r Room> {
    rooms.iter().filter(|room| room.use_row == use_row).collect()
}

fn square_feet(room: &Room) -> f64 {
    room.ground.area().to(AreaUnit::SquareFoot)
}

#[track_caller]
fn close(found: f64, expected: f64) {
    assert!((found - expected).abs() < 1e-3 * expected.abs().max(1e-3), "found {found}, expected {expected}");
}

/// 0.4 fl oz on the lawn and 0.8 on the band in April, of 1.6 a year, and of 0.48 lb a.i. per acre, which is
/// 1.4105 fl oz/1,000 sq ft at 1 lb/gal.
#[test]
fn what_is_left_is_the_cap_less_what_lies_there() {
    let rooms = rooms(&concentrate(), &whole().history, TODAY);
    let lawn = of(&rooms, "turf");
    assert_eq!(lawn.len(), 2, "{lawn:#?}");
    let total: Area = lawn.iter().map(|room| room.ground.area()).sum();
    close(total.to(AreaUnit::SquareFoot), 10_838.0);
    let open = lawn.iter().find(|room| room.applied.len() == 1).expect("the lawn outside the band");
    let band = lawn.iter().find(|room| room.applied.len() == 2).expect("the lawn under the band");
    close(square_feet(band), 380.342_861_909_368);
    let of_ingredient = |room: &Room| room.caps.iter().find(|cap| cap.of_active_ingredient).expect("a cap").clone();
    let of_product = |room: &Room| room.caps.iter().find(|cap| !cap.of_active_ingredient).expect("a cap").clone();
    close(of_product(open).left.value, 1.2);
    close(of_product(open).left_share, 0.75);
    close(of_ingredient(open).left.value, 1.410_468 - 0.4);
    close(of_product(band).left.value, 0.4);
    close(of_ingredient(band).left.value, 1.410_468 - 1.2);
    assert_eq!(of_product(open).left.unit, "fl oz/1,000 sq ft");
    assert_eq!(of_product(open).days, (date(2026, 1, 1), date(2026, 12, 31)));
    assert_eq!((open.numbers[0].made, open.numbers[0].allowed), (1, 4));
    assert_eq!(open.last, Some(date(2026, 4, 2)));
    assert_eq!(open.not_before.as_ref().map(|(day, _)| *day), Some(date(2026, 4, 23)));
    assert!(open.is_open && band.is_open && open.is_proved);
    // The hedge had nothing yet; nothing of it is turf.
    let hedge = of(&rooms, "ornamental").into_iter().find(|room| room.feature.as_deref() == Some("hedge")).expect("it");
    assert_eq!((hedge.site, hedge.applied.len(), hedge.highest_rate.is_none()), (Site::Ornamental, 0, true));
    close(of_product(hedge).left_share, 1.0);
}

/// Ten feet round the house, of which three were treated as a band and the rest, where it is lawn, as turf.
#[test]
fn the_ground_round_structures_counts_what_lay_on_it_as_lawn() {
    let rooms = rooms(&concentrate(), &whole().history, TODAY);
    let round = of(&rooms, "perimeter");
    let applied: Vec<usize> = round.iter().map(|room| room.applied.len()).collect();
    assert!(applied.contains(&2) && applied.contains(&1), "{applied:?}");
    assert!(round.iter().all(|room| room.feature.is_none() && room.site == Site::StructurePerimeter));
    let once: f64 = round.iter().filter(|room| room.applied.is_empty()).map(|room| square_feet(room)).sum();
    assert!(once > 0.0, "paving outside the band had nothing");
}

#[test]
fn interval_number_and_caps_each_close_a_place() {
    let history = |days: &[Date], per_area: f64| {
        let History::Known { applications, .. } = whole().history else { panic!("a known past") };
        let like = &applications[0];
        let one = |day: &Date| treatment::Application {
            date: *day,
            per_area: like.per_area.scaled(per_area / 0.4),
            place: Place::Everywhere,
            ..like.clone()
        };
        History::Known { complete_since: None, applications: days.iter().map(one).collect() }
    };
    let lawn = |history: &History, day: Date| {
        let rooms = rooms(&concentrate(), history, day);
        of(&rooms, "turf").into_iter().next().expect("a lawn").clone()
    };
    let once = history(&[date(2026, 4, 2)], 0.2);
    assert!(!lawn(&once, date(2026, 4, 22)).is_open, "the interval");
    assert!(lawn(&once, date(2026, 4, 23)).is_open);
    let days = [date(2026, 2, 1), date(2026, 3, 1), date(2026, 4, 1), date(2026, 5, 1)];
    assert!(!lawn(&history(&days, 0.1), TODAY).is_open, "the number");
    assert!(lawn(&history(&days, 0.1), date(2027, 1, 1)).is_open, "another year");
    // 1.3 of 1.4105 leaves less than the lowest rate.
    let much = lawn(&history(&[date(2026, 2, 1)], 1.3), TODAY);
    assert!(!much.is_open && much.caps.iter().all(|cap| cap.left.value > 0.0));
    let over = lawn(&history(&[date(2026, 2, 1)], 2.0), TODAY);
    assert!(over.caps.iter().all(|cap| cap.left.value == 0.0 && cap.applied.value > cap.cap.value));
}

#[test]
fn an_advice_closes_nothing_and_an_unknown_past_proves_nothing() {
    let mut label = concentrate();
    let mut advised = stated(21, "Wait 21 days.");
    if let label::Statement::Stated { clause, .. } = &mut advised {
        clause.strength = Strength::Advisory;
    }
    label.restraints.minimum_interval_days = advised;
    let known = whole().history;
    let turf = |rooms: &[Room]| of(rooms, "turf").into_iter().next().expect("a lawn").clone();
    let soon = turf(&rooms(&label, &known, date(2026, 4, 10)));
    assert!(soon.is_open && soon.not_before.is_some());
    assert!(!turf(&rooms(&label, &History::Unknown, TODAY)).is_proved);
    let History::Known { applications, .. } = known else { panic!("a known past") };
    let since = |day| History::Known { complete_since: Some(day), applications: applications.clone() };
    assert!(!turf(&rooms(&label, &since(date(2026, 1, 2)), TODAY)).is_proved);
    assert!(turf(&rooms(&label, &since(date(2026, 1, 1)), TODAY)).is_proved);
}
