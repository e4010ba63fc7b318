//! Whatever a map holds, reading it gives a property or a list of problems, never a panic.

use property::{Property, RawFeature, RawPosition, RawShape, repair};
use proptest::prelude::*;

fn number() -> impl Strategy<Value = f64> {
    prop_oneof![
        2 => any::<f64>(),
        1 => prop_oneof![Just(f64::NAN), Just(f64::INFINITY), Just(0.0), Just(180.0), Just(-90.0), Just(1e-300)],
    ]
}

/// Mostly corners of a small grid, so that they coincide, line up and cross.
fn position() -> impl Strategy<Value = RawPosition> {
    prop_oneof![
        20 => (0..6, 0..6).prop_map(|(x, y)| RawPosition::new(10.0 + f64::from(x) * 1e-4, 50.0 + f64::from(y) * 1e-4)),
        1 => (number(), number()).prop_map(|(longitude, latitude)| RawPosition::new(longitude, latitude)),
    ]
}

fn ring() -> impl Strategy<Value = Vec<RawPosition>> {
    (prop::collection::vec(position(), 0..7), any::<bool>()).prop_map(|(mut ring, closed)| {
        if closed {
            ring.extend(ring.first().copied());
        }
        ring
    })
}

fn shape() -> impl Strategy<Value = RawShape> {
    prop_oneof![
        1 => position().prop_map(RawShape::Point),
        1 => prop::collection::vec(position(), 0..4).prop_map(RawShape::Points),
        1 => ring().prop_map(RawShape::Line),
        1 => prop::collection::vec(ring(), 0..3).prop_map(RawShape::Lines),
        4 => prop::collection::vec(ring(), 0..3).prop_map(RawShape::Polygon),
        1 => prop::collection::vec(prop::collection::vec(ring(), 0..3), 0..3).prop_map(RawShape::Polygons),
    ]
}

fn feature() -> impl Strategy<Value = RawFeature> {
    let kind = prop_oneof![
        Just("boundary"),
        Just("turf"),
        Just("ornamental"),
        Just("structure"),
        Just("paved"),
        Just("water"),
        Just("hive"),
        Just("Bare Soil"),
        Just("?"),
    ];
    let states = (any::<Option<bool>>(), any::<bool>(), any::<Option<bool>>());
    (prop::option::weighted(0.9, "[a-e]"), prop::option::weighted(0.95, kind), shape(), states).prop_map(
        |(id, kind, shape, (in_bloom, seen, intermittent))| RawFeature {
            id,
            kind: kind.map(str::to_owned),
            in_bloom,
            bloom_seen_on: seen.then(|| jiff::civil::date(2026, 7, 1)),
            intermittent,
            ..RawFeature::new(shape)
        },
    )
}

fn map() -> impl Strategy<Value = Vec<RawFeature>> {
    let square = [(0, 0), (5, 0), (5, 5), (0, 5), (0, 0)]
        .map(|(x, y)| RawPosition::new(10.0 + f64::from(x) * 1e-4, 50.0 + f64::from(y) * 1e-4));
    let lot = RawFeature { kind: Some("boundary".into()), ..RawFeature::new(RawShape::Polygon(vec![square.into()])) };
    (prop::option::weighted(0.8, Just(lot)), prop::collection::vec(feature(), 0..6))
        .prop_map(|(lot, features)| lot.into_iter().chain(features).collect())
}

proptest! {
    #[test]
    fn a_map_gives_a_property_or_problems(map in map()) {
        match Property::new("any", &map) {
            Ok((property, warnings)) => {
                prop_assert!(!warnings.has_errors());
                let _ = (property.totals(), property.distances());
            }
            Err(problems) => {
                prop_assert!(problems.has_errors());
                for problem in &problems {
                    prop_assert!(!problem.found.ends_with('.'), "{}", problem.found);
                    prop_assert!(problem.code.starts_with("property::"));
                }
            }
        }
    }

    #[test]
    fn a_repair_leaves_no_more_errors_and_nothing_to_repair(map in map()) {
        let errors = |map: &[RawFeature]| {
            Property::new("any", map).err().map_or(0, |problems| {
                // Only what the repair is for; a swap mended lets outlines be read that hid their faults.
                problems.iter().filter(|problem| {
                    ["property::unclosed", "property::spike", "property::repeated-point"].contains(&problem.code)
                }).count()
            })
        };
        let (mended, changes) = repair(&map);
        let swapped = changes.iter().any(|change| change.what.starts_with("swapped"));
        prop_assert!(swapped || errors(&mended) <= errors(&map));
        prop_assert_eq!(changes.is_empty(), format!("{map:?}") == format!("{mended:?}"));
        let (again, more) = repair(&mended);
        prop_assert!(more.is_empty(), "{more:?}");
        prop_assert_eq!(format!("{again:?}"), format!("{mended:?}"));
    }
}
