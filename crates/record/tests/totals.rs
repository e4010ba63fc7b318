//! Totals by place, against a count over a fine grid.

mod support;

use geometry::{LocalPlane, Point, Region};
use jiff::civil::{Date, date};
use label::Window;
use proptest::prelude::*;
use quantity::{Amount, AmountPerArea, AreaUnit, MassPerAreaUnit, VolumePerAreaUnit, VolumeUnit};
use record::{ApplicationRecord, Totals, totals, window};
use support::{litres, millilitres, origin, product, record, rectangle, ring, task};

const WHOLE: (Date, Date) = (Date::constant(2026, 1, 1), Date::constant(2026, 12, 31));

fn plane() -> LocalPlane {
    LocalPlane::around(origin())
}

/// A convex piece of ground: corners of a circle at rising angles, stretched.
fn piece() -> impl Strategy<Value = Region> {
    (
        5.0..45.0_f64,
        5.0..45.0_f64,
        (3.0..25.0_f64, 3.0..25.0_f64),
        0.0..std::f64::consts::TAU,
        prop::collection::vec(0.2..1.0_f64, 3..9),
    )
        .prop_map(|(x, y, (wide, deep), turned, steps)| {
            let whole: f64 = steps.iter().sum();
            let mut angle = turned;
            let corners: Vec<(f64, f64)> = steps
                .iter()
                .map(|step| {
                    angle += step / whole * std::f64::consts::TAU;
                    (x + wide * angle.cos(), y + deep * angle.sin())
                })
                .collect();
            ring(&corners)
        })
}

/// What was put down, piece by piece: ground, label, ingredient, millilitres.
type Put = (Region, usize, f64);

fn records(put: &[Put]) -> Vec<ApplicationRecord> {
    put.iter()
        .enumerate()
        .map(|(number, (ground, kind, amount))| {
            let (label, ingredient, content) = PRODUCTS[*kind];
            let product = product(label, ingredient, content, millilitres(*amount));
            let day = date(2026, 1 + (number % 12) as i8, 3);
            record(day, vec![task("lawn", ground.clone(), product, litres(10.0))])
        })
        .collect()
}

/// Two labels with one ingredient, and one with another.
const PRODUCTS: [(&str, &str, f64); 3] =
    [("one", "exampthrin", 120.0), ("other", "Exampthrin", 60.0), ("third", "samplamide", 200.0)];

fn millilitres_per_square_metre(per_area: AmountPerArea) -> f64 {
    per_area.volume().map_or(f64::NAN, |volume| volume.to(VolumePerAreaUnit::MillilitrePerSquareMetre))
}

fn in_millilitres(amount: Amount) -> f64 {
    amount.to(quantity::AmountUnit::Volume(VolumeUnit::Millilitre)).unwrap()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(20))]

    /// At every point of a fine grid lies exactly what the pieces over that point brought.
    #[test]
    fn totals_agree_with_a_fine_grid(
        put in prop::collection::vec((piece(), 0..3_usize, 1.0..500.0_f64), 1..9)
    ) {
        let records = records(&put);
        let found = totals(&records, &plane(), WHOLE);
        let step = 0.75;
        let mut over = 0_usize;
        for row in 0..100 {
            for column in 0..100 {
                let point = Point::from_metres(-10.0 + step * f64::from(column), -10.0 + step * f64::from(row));
                let here: Vec<&Put> = put.iter().filter(|(ground, ..)| ground.contains(point)).collect();
                let per_area = |(ground, _, amount): &Put| amount / ground.area().to(AreaUnit::SquareMetre);
                let place = found.at(point);
                over += usize::from(place.is_some());
                let mut compared: Vec<(&str, f64, f64)> = PRODUCTS.iter().enumerate().map(|(kind, (label, ..))| {
                    let wanted = here.iter().filter(|(_, of, _)| *of == kind).map(|put| per_area(put)).sum();
                    let lies = place.map_or(0.0, |place| place.products().iter()
                        .filter(|total| total.label == *label)
                        .map(|total| millilitres_per_square_metre(total.per_area)).sum());
                    (*label, lies, wanted)
                }).collect();
                let wanted = here.iter().filter(|(_, of, _)| *of < 2)
                    .map(|put| per_area(put) * PRODUCTS[put.1].2 / 1000.0).sum();
                let lies = place.map_or(0.0, |place| place.active_ingredients().iter()
                    .filter(|total| total.name.eq_ignore_ascii_case("exampthrin"))
                    .map(|total| total.per_area.to(MassPerAreaUnit::GramPerSquareMetre)).sum());
                compared.push(("exampthrin", lies, wanted));
                for (what, lies, wanted) in compared {
                    let agrees = (lies - wanted).abs() <= 1e-9 * f64::max(wanted, 1.0);
                    prop_assert!(agrees || is_on_an_edge(&put, point), "{what} at {point:?}: {lies}, {wanted}");
                }
            }
        }
        prop_assert!(over > 0);
        // The area of the places is that of the grid's points over any piece, to the grid's fineness.
        let area: f64 = found.places.iter().map(|place| place.area.to(AreaUnit::SquareMetre)).sum();
        let union = Region::union_all(put.iter().map(|(ground, ..)| ground)).area().to(AreaUnit::SquareMetre);
        prop_assert!((area / union - 1.0).abs() < 1e-5, "{area} of {union}");
        prop_assert!((over as f64 * step * step / union - 1.0).abs() < 0.2);
    }

    /// What lies on all places adds up to what was put down, and places do not overlap.
    #[test]
    fn totals_add_up_and_places_are_apart(
        put in prop::collection::vec((piece(), 0..3_usize, 1.0..500.0_f64), 1..12)
    ) {
        let records = records(&put);
        let found = totals(&records, &plane(), WHOLE);
        for (kind, (label, ..)) in PRODUCTS.iter().enumerate() {
            let wanted: f64 = put.iter().filter(|(_, of, _)| *of == kind).map(|(.., amount)| amount).sum();
            let lies = found.amount_of(label).map_or(0.0, in_millilitres);
            prop_assert!((lies - wanted).abs() <= 1e-5 * wanted.max(1.0), "{label}: {lies} of {wanted}");
        }
        for (index, one) in found.places.iter().enumerate() {
            for other in &found.places[index + 1..] {
                let common = one.ground.intersection(&other.ground).area().to(AreaUnit::SquareMetre);
                prop_assert!(common < 1e-3, "{common} m² in common");
            }
        }
    }
}

/// Within a hair of an edge either side will do.
fn is_on_an_edge(put: &[Put], point: Point) -> bool {
    put.iter().any(|(ground, ..)| {
        let here = ground.contains(point);
        let beside = |(dx, dy)| ground.contains(point.moved(metres(dx), metres(dy))) != here;
        [(1e-5, 0.0), (-1e-5, 0.0), (0.0, 1e-5), (0.0, -1e-5)].into_iter().any(beside)
    })
}

fn metres(value: f64) -> quantity::Length {
    quantity::Length::new(value, quantity::LengthUnit::Metre)
}

fn on(day: Date, ground: Region, amount: f64) -> ApplicationRecord {
    record(day, vec![task("lawn", ground, product("one", "exampthrin", 120.0, millilitres(amount)), litres(10.0))])
}

#[test]
fn two_overlapping_squares_make_three_places() {
    let records = [
        on(date(2026, 4, 2), rectangle(0.0, 0.0, 10.0, 10.0), 100.0),
        on(date(2026, 7, 7), rectangle(5.0, 0.0, 10.0, 10.0), 50.0),
    ];
    let found = totals(&records, &plane(), WHOLE);
    let at = |x: f64| {
        let place = found.at(Point::from_metres(x, 5.0)).expect("a treated place");
        let products = place.products();
        assert_eq!(products.len(), 1);
        (
            place.area.to(AreaUnit::SquareMetre).round(),
            products[0].applications,
            (millilitres_per_square_metre(products[0].per_area) * 1e6).round() / 1e6,
        )
    };
    assert_eq!((at(2.0), at(7.0), at(12.0)), ((50.0, 1, 1.0), (50.0, 2, 1.5), (50.0, 1, 0.5)));
    assert_eq!(found.places.len(), 3);
    assert!(found.at(Point::from_metres(20.0, 5.0)).is_none());
    assert_eq!(found.places.iter().map(|place| place.layers.len()).sum::<usize>(), 4);
}

#[test]
fn a_window_counts_its_own_days_only() {
    let square = || rectangle(0.0, 0.0, 10.0, 10.0);
    let records = [
        on(date(2025, 7, 7), square(), 1.0),
        on(date(2025, 7, 8), square(), 2.0),
        on(date(2025, 12, 31), square(), 4.0),
        on(date(2026, 1, 1), square(), 8.0),
        on(date(2026, 7, 7), square(), 16.0),
        on(date(2026, 7, 8), square(), 32.0),
    ];
    let sum = |which: Window| {
        totals(&records, &plane(), window(which, date(2026, 7, 7)))
            .amount_of("one")
            .map(in_millilitres)
            .unwrap()
            .round()
    };
    assert_eq!(sum(Window::CalendarYear), 24.0);
    for year in [Window::TwelveMonths, Window::Season, Window::Crop] {
        assert_eq!(sum(year), 30.0, "{year:?}");
    }
    assert_eq!(totals(&records, &plane(), (date(2027, 1, 1), date(2027, 12, 31))), Totals::default());
}

#[test]
fn walls_and_undrawn_places_are_counted_beside_the_ground() {
    let mut with_wall = task(
        "band",
        rectangle(0.0, 0.0, 10.0, 3.0),
        product("one", "exampthrin", 120.0, millilitres(90.0)),
        litres(4.0),
    );
    with_wall.wall = support::square_metres(60.0);
    let mut mounds = with_wall.clone();
    mounds.id = "mounds".to_owned();
    mounds.zones.clear();
    (mounds.ground, mounds.wall) = (quantity::Area::ZERO, quantity::Area::ZERO);
    let records = [record(date(2026, 7, 7), vec![with_wall, mounds])];
    let found = totals(&records, &plane(), WHOLE);
    assert_eq!(found.places.len(), 1);
    assert!((millilitres_per_square_metre(found.places[0].layers[0].per_area) - 1.0).abs() < 1e-9);
    let beside: Vec<(&str, f64)> =
        found.off_ground.iter().map(|off| (off.task.as_str(), in_millilitres(off.amount).round())).collect();
    assert_eq!(beside, [("band", 60.0), ("mounds", 90.0)]);
    assert!((found.amount_of("one").map(in_millilitres).unwrap() - 180.0).abs() < 1e-3);
}

#[test]
fn maps_with_other_origins_lie_on_one_another() {
    let moved = geometry::GeoPosition::from_degrees(-97.6195, 38.8402).unwrap();
    let here = on(date(2026, 4, 2), rectangle(0.0, 0.0, 10.0, 10.0), 100.0);
    let mut there = here.clone();
    there.property.origin = moved;
    there.date = date(2026, 7, 7);
    let other = LocalPlane::around(moved);
    let corner = |x: f64, y: f64| other.to_plane(plane().to_position(Point::from_metres(x, y))).metres();
    there.tasks[0].zones[0].ground =
        ring(&[corner(0.0, 0.0), corner(10.0, 0.0), corner(10.0, 10.0), corner(0.0, 10.0)]);
    let found = totals([&here, &there], &plane(), WHOLE);
    assert_eq!(found.places.len(), 1, "{:?}", found.places);
    assert_eq!(found.places[0].products()[0].applications, 2);
}
