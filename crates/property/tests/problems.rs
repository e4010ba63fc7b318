//! Everything that can be wrong with a map is found, with its place and a mend, and all at once.

use geometry::{GeoPosition, LocalPlane, Point};
use jiff::civil::date;
use problem::{Problem, Problems, Severity};
use property::{
    Bloom, FeatureKind, Kind, Property, RawFeature, RawOpening, RawPosition, RawShape, structure_wall_area,
};
use quantity::{AreaUnit, Length, LengthUnit};

fn ft(value: f64) -> Length {
    Length::new(value, LengthUnit::Foot)
}

fn at(x: f64, y: f64) -> RawPosition {
    let plane = LocalPlane::around(GeoPosition::from_degrees(-97.62, 38.84).unwrap());
    let position = plane.to_position(Point::new(ft(x), ft(y)));
    RawPosition::new(position.longitude(), position.latitude())
}

fn ring(corners: &[(f64, f64)]) -> RawShape {
    RawShape::Polygon(vec![corners.iter().chain(corners.first()).map(|(x, y)| at(*x, *y)).collect()])
}

fn rectangle(x: f64, y: f64, width: f64, depth: f64) -> RawShape {
    ring(&[(x, y), (x + width, y), (x + width, y + depth), (x, y + depth)])
}

fn feature(id: &str, kind: &str, shape: RawShape) -> RawFeature {
    RawFeature { id: Some(id.into()), kind: Some(kind.into()), ..RawFeature::new(shape) }
}

fn lot() -> RawFeature {
    feature("lot", "boundary", rectangle(0.0, 0.0, 100.0, 100.0))
}

/// The problems of a lot with the features on it, warnings included.
fn problems(features: impl IntoIterator<Item = RawFeature>) -> Problems {
    raw_problems(&std::iter::once(lot()).chain(features).collect::<Vec<_>>())
}

fn raw_problems(features: &[RawFeature]) -> Problems {
    match Property::new("test", features) {
        Ok((_, warnings)) => {
            assert!(!warnings.has_errors());
            warnings
        }
        Err(problems) => {
            assert!(problems.has_errors());
            problems
        }
    }
}

fn codes(problems: &Problems) -> Vec<&'static str> {
    problems.iter().map(|problem| problem.code).collect()
}

/// The one problem that is found.
fn only(problems: &Problems) -> &Problem {
    assert_eq!(problems.len(), 1, "{problems}");
    let problem = problems.iter().next().unwrap();
    assert!(problem.expected.is_some() && problem.mend.is_some(), "{problem}");
    problem
}

#[test]
fn a_sound_map_has_no_problems() {
    let bed = RawFeature { in_bloom: Some(false), ..feature("bed", "ornamental", rectangle(5.0, 5.0, 10.0, 10.0)) };
    assert!(problems([bed, feature("walk", "paved", rectangle(15.0, 5.0, 4.0, 50.0))]).is_empty());
}

#[test]
fn a_crossing_is_told_with_its_place() {
    let found = problems([feature("bed", "mulch", ring(&[(10.0, 10.0), (20.0, 20.0), (20.0, 10.0), (10.0, 20.0)]))]);
    let problem = only(&found);
    assert_eq!(problem.code, "property::self-crossing");
    assert_eq!(
        problem.found,
        "outline: the ring crosses itself, 15.0 ft (4.57 m) east and 15.0 ft (4.57 m) north of the lot's \
         south-west corner (-97.619947, 38.840041)"
    );
    assert_eq!(problem.place.path.as_deref(), Some("feature \"bed\""));
}

#[test]
fn outlines_are_checked_rule_by_rule() {
    let check = |shape: RawShape, code: &str| assert_eq!(only(&problems([feature("bed", "mulch", shape)])).code, code);
    check(RawShape::Polygon(vec![vec![at(1.0, 1.0), at(9.0, 1.0), at(9.0, 9.0)]]), "property::unclosed");
    check(ring(&[(1.0, 1.0), (9.0, 1.0)]), "property::too-few-points");
    check(ring(&[(1.0, 1.0), (9.0, 1.0), (9.0, 1.0), (9.0, 9.0)]), "property::repeated-point");
    check(RawShape::Polygon(vec![]), "property::no-shape");
    let hole = |x: f64| -> RawShape {
        let RawShape::Polygon(mut rings) = rectangle(10.0, 10.0, 30.0, 30.0) else { unreachable!() };
        let RawShape::Polygon(hole) = rectangle(x, 15.0, 5.0, 5.0) else { unreachable!() };
        rings.extend(hole);
        RawShape::Polygon(rings)
    };
    assert!(problems([feature("bed", "mulch", hole(15.0))]).is_empty());
    check(hole(60.0), "property::hole-outside");
    check(hole(10.0), "property::hole-shares-edge");
    let line = feature("ditch", "water", RawShape::Line(vec![at(1.0, 1.0), at(1.0, 1.0)]));
    assert_eq!(only(&problems([line])).code, "property::too-few-points");
}

#[test]
fn an_overlap_of_two_kinds_is_refused_with_its_area() {
    let found = problems([
        feature("drive", "paved", rectangle(10.0, 0.0, 20.0, 60.0)),
        feature("bed", "mulch", rectangle(28.0, 20.0, 10.0, 5.0)),
    ]);
    let problem = only(&found);
    assert_eq!((problem.code, problem.severity), ("property::overlap", Severity::Error));
    assert!(
        problem.found.starts_with("`drive` (paved) and `bed` (mulch) share `10.0 sq ft (0.93 m²) at 29.0 ft"),
        "{problem}"
    );
    // A square foot is within what a tape can tell.
    assert!(
        problems([
            feature("drive", "paved", rectangle(10.0, 0.0, 20.0, 60.0)),
            feature("bed", "mulch", rectangle(29.9, 20.0, 10.0, 5.0)),
        ])
        .is_empty()
    );
}

#[test]
fn ground_of_one_kind_drawn_twice_is_a_warning() {
    let found = problems([
        feature("drive", "paved", rectangle(10.0, 0.0, 20.0, 60.0)),
        feature("walk", "paved", rectangle(28.0, 20.0, 10.0, 5.0)),
    ]);
    assert_eq!((only(&found).code, only(&found).severity), ("property::drawn-twice", Severity::Warning));
}

#[test]
fn what_does_not_class_the_ground_may_lie_on_it() {
    assert!(
        problems([
            feature("drive", "paved", rectangle(10.0, 0.0, 20.0, 60.0)),
            feature("play", "play-area", rectangle(5.0, 10.0, 20.0, 20.0)),
            feature("oak", "tree", RawShape::Point(at(12.0, 30.0))),
        ])
        .is_empty()
    );
}

#[test]
fn a_strip_between_neighbours_is_told() {
    // 3 in between walk and bed along 20 ft: 5 sq ft.
    let found = problems([
        feature("walk", "paved", rectangle(10.0, 0.0, 4.0, 60.0)),
        feature("bed", "mulch", rectangle(14.25, 20.0, 10.0, 20.0)),
    ]);
    let problem = only(&found);
    assert_eq!((problem.code, problem.severity), ("property::sliver", Severity::Warning));
    assert!(problem.found.contains("between `walk` and `bed`"), "{problem}");
    assert!(problem.found.contains("a strip of `5.0 sq ft ("), "{problem}");
    // Along the boundary too; a foot is a gap that may be meant.
    assert_eq!(only(&problems([feature("bed", "mulch", rectangle(0.2, 20.0, 10.0, 20.0))])).code, "property::sliver");
    assert!(problems([feature("bed", "mulch", rectangle(1.0, 20.0, 10.0, 20.0))]).is_empty());
    // A wedge: touching at one end, 4 in apart at the other.
    let found = problems([
        feature("walk", "paved", rectangle(10.0, 0.0, 4.0, 60.0)),
        feature("bed", "mulch", ring(&[(14.0, 20.0), (24.0, 20.0), (24.0, 40.0), (14.33, 40.0)])),
    ]);
    assert_eq!(only(&found).code, "property::sliver");
}

#[test]
fn ground_outside_is_refused_and_water_is_not() {
    let found = problems([feature("drive", "paved", rectangle(10.0, -4.0, 20.0, 60.0))]);
    let problem = only(&found);
    assert_eq!(problem.code, "property::outside-boundary");
    assert!(problem.found.starts_with("`80.0 sq ft (7.43 m²) at 20.0 ft"), "{problem}");
    assert!(problem.found.contains("2.0 ft (0.61 m) south"), "{problem}");
    assert!(problems([feature("pond", "water", rectangle(90.0, 50.0, 40.0, 20.0))]).is_empty());
    for (kind, good) in [("hive", true), ("well", true), ("drain", true), ("mound", false), ("entry-point", false)] {
        let found = problems([feature("x", kind, RawShape::Point(at(150.0, 50.0)))]);
        assert_eq!(found.is_empty(), good, "{kind}: {found}");
    }
}

#[test]
fn kinds_are_read_or_the_nearest_is_named() {
    let found = problems([feature("drive", "pavd", rectangle(10.0, 10.0, 20.0, 60.0))]);
    assert_eq!(only(&found).code, "property::unknown-kind");
    assert_eq!(only(&found).mend.as_deref(), Some("write `paved` if that is what is meant"));
    let nameless = RawFeature { kind: None, ..feature("drive", "", rectangle(10.0, 10.0, 20.0, 60.0)) };
    assert_eq!(only(&problems([nameless])).code, "property::missing-kind");
    for kind in Kind::ALL {
        assert_eq!(Kind::parse_word(kind.word()), Ok((kind, None)));
    }
    assert_eq!(Kind::parse_word("ornamental-in-bloom"), Ok((Kind::Ornamental, Some(Bloom::new(true, None)))));
}

#[test]
fn there_is_one_boundary() {
    assert_eq!(only(&raw_problems(&[])).code, "property::no-boundary");
    let second = feature("other", "boundary", rectangle(200.0, 0.0, 50.0, 50.0));
    assert_eq!(only(&raw_problems(&[lot(), second])).code, "property::several-boundaries");
    let line = feature("lot", "boundary", RawShape::Line(vec![at(0.0, 0.0), at(9.0, 9.0)]));
    assert_eq!(only(&raw_problems(&[line])).code, "property::wrong-shape");
}

#[test]
fn identifiers_stand_once() {
    let found = problems([
        feature("bed", "mulch", rectangle(10.0, 10.0, 5.0, 5.0)),
        feature("bed", "mulch", rectangle(30.0, 10.0, 5.0, 5.0)),
    ]);
    assert_eq!(only(&found).found, "identifier `bed` stands on `2` features");
}

#[test]
fn positions_are_checked_and_a_swap_is_suspected() {
    let found = problems([feature("hives", "hive", RawShape::Point(RawPosition::new(38.84, -97.62)))]);
    assert_eq!(only(&found).code, "property::swapped-position");
    assert_eq!(only(&found).mend.as_deref(), Some("write `-97.62, 38.84`"));
    let found = problems([feature("hives", "hive", RawShape::Point(RawPosition::new(f64::NAN, 38.84)))]);
    assert_eq!(only(&found).code, "property::position");
    let found = problems([feature("hives", "hive", RawShape::Point(RawPosition::new(-9_700.0, 3_884.0)))]);
    assert_eq!(only(&found).code, "property::position");
    let found = problems([feature("hives", "hive", RawShape::Point(RawPosition::new(-97.0, 38.84)))]);
    assert_eq!(only(&found).code, "property::too-far");
}

#[test]
fn a_lot_of_more_than_five_kilometres_is_refused() {
    let large = feature("lot", "boundary", rectangle(0.0, 0.0, 17_000.0, 400.0));
    assert_eq!(only(&raw_problems(&[large])).code, "property::too-large");
}

#[test]
fn states_that_matter_are_asked_for() {
    let found = problems([
        feature("bed", "ornamental", rectangle(10.0, 10.0, 5.0, 5.0)),
        feature("house", "structure", rectangle(30.0, 10.0, 20.0, 20.0)),
    ]);
    assert_eq!(codes(&found), ["property::bloom-unknown", "property::wall-height-unknown"]);
    assert!(!found.has_errors());
    let both =
        RawFeature { in_bloom: Some(false), ..feature("bed", "ornamental-in-bloom", rectangle(10.0, 10.0, 5.0, 5.0)) };
    assert_eq!(only(&problems([both])).code, "property::bloom-contradiction");
}

#[test]
fn walls_and_openings_must_have_sizes_that_fit() {
    let opening = |width: f64| RawOpening { what: "door".into(), width: ft(width), height: ft(7.0), sill: None };
    let house = |openings: Vec<RawOpening>, height: f64| RawFeature {
        openings,
        wall_height: Some(ft(height)),
        ..feature("house", "structure", rectangle(30.0, 10.0, 20.0, 20.0))
    };
    assert!(problems([house(vec![opening(3.0)], 9.0)]).is_empty());
    assert_eq!(only(&problems([house(vec![opening(0.0)], 9.0)])).code, "property::opening-size");
    assert_eq!(only(&problems([house(vec![opening(81.0)], 9.0)])).code, "property::openings-too-wide");
    let found = problems([house(vec![], -1.0)]);
    assert!(codes(&found).contains(&"property::wall-height"), "{found}");
}

#[test]
fn ground_without_a_kind_is_refused_where_lawn_is_drawn() {
    let found = problems([
        feature("lawn", "turf", rectangle(0.0, 0.0, 100.0, 70.0)),
        feature("drive", "paved", rectangle(0.0, 70.0, 40.0, 30.0)),
    ]);
    let problem = only(&found);
    assert_eq!(problem.code, "property::unclassified");
    assert!(problem.found.starts_with("`1800.0 sq ft (167.23 m²) at 70.0 ft"), "{problem}");
    let whole = [
        lot(),
        feature("lawn", "turf", rectangle(0.0, 0.0, 100.0, 70.0)),
        feature("drive", "paved", rectangle(0.0, 70.0, 100.0, 30.0)),
    ];
    let (property, _) = Property::new("test", &whole).unwrap();
    assert!(property.lawn_is_drawn());
}

#[test]
fn every_problem_is_reported_at_once() {
    let found = raw_problems(&[
        lot(),
        feature("bed", "mulch", ring(&[(10.0, 10.0), (20.0, 20.0), (20.0, 10.0), (10.0, 20.0)])),
        feature("drive", "pavd", rectangle(10.0, 0.0, 20.0, 60.0)),
        feature("house", "structure", rectangle(50.0, 50.0, 20.0, 20.0)),
        feature("patio", "paved", rectangle(60.0, 45.0, 20.0, 20.0)),
        feature("patio", "paved", rectangle(80.0, -5.0, 10.0, 10.0)),
        feature("hives", "hive", RawShape::Point(RawPosition::new(38.84, -97.62))),
    ]);
    let mut found = codes(&found);
    found.sort_unstable();
    assert_eq!(
        found,
        [
            "property::duplicate-id",
            "property::outside-boundary",
            "property::overlap",
            "property::self-crossing",
            "property::swapped-position",
            "property::unknown-kind",
            "property::wall-height-unknown",
        ]
    );
}

#[test]
fn several_points_or_lines_make_several_features() {
    let map = [lot(), feature("mounds", "mound", RawShape::Points(vec![at(10.0, 10.0), at(20.0, 30.0)]))];
    let (property, _) = Property::new("test", &map).unwrap();
    let ids: Vec<&str> = property.features().iter().map(property::Feature::id).collect();
    assert_eq!(ids, ["mounds/1", "mounds/2"]);
}

#[test]
fn the_age_of_a_bloom_state_is_told_in_days() {
    let bloom = Bloom::new(true, Some(date(2026, 6, 28)));
    let ages =
        [(2026, 6, 28), (2026, 7, 8), (2027, 6, 28), (2026, 6, 20)].map(|(y, m, d)| bloom.age_days(date(y, m, d)));
    assert_eq!(ages, [Some(0), Some(10), Some(365), Some(-8)]);
    assert_eq!(Bloom::new(true, None).age_days(date(2026, 7, 1)), None);
    assert!(FeatureKind::Ornamental(Some(bloom)).is_sensitive() && !FeatureKind::Ornamental(None).is_sensitive());
}

#[test]
fn lawn_food_and_trees_may_be_in_bloom_too() {
    let seen = Bloom::new(true, Some(date(2026, 7, 1)));
    let blooming = |id: &str, kind: &str, shape| RawFeature {
        in_bloom: Some(true),
        bloom_seen_on: Some(date(2026, 7, 1)),
        ..feature(id, kind, shape)
    };
    let map = [
        lot(),
        blooming("clover", "turf", rectangle(0.0, 0.0, 100.0, 50.0)),
        blooming("beans", "edible", rectangle(0.0, 50.0, 50.0, 50.0)),
        blooming("roses", "ornamental", rectangle(50.0, 50.0, 50.0, 50.0)),
        blooming("lime", "tree", RawShape::Point(at(20.0, 20.0))),
        feature("oak", "tree", RawShape::Point(at(40.0, 20.0))),
    ];
    let (property, warnings) = Property::new("test", &map).unwrap();
    assert!(warnings.is_empty(), "{warnings}");
    let blooms: Vec<_> = property.features().iter().map(|feature| feature.kind().bloom()).collect();
    assert_eq!(blooms, [Some(seen), Some(seen), Some(seen), Some(seen), None]);
    let sensitive: Vec<bool> = property.features().iter().map(|feature| feature.kind().is_sensitive()).collect();
    assert_eq!(sensitive, [true, true, true, true, false]);
}

#[test]
fn a_state_that_the_kind_cannot_carry_is_told_by_feature_and_field() {
    let drive = RawFeature {
        in_bloom: Some(true),
        bloom_seen_on: Some(date(2026, 7, 1)),
        wall_height: Some(ft(9.0)),
        eaves: Some(ft(1.0)),
        openings: vec![RawOpening { what: "door".into(), width: ft(3.0), height: ft(7.0), sill: None }],
        intermittent: Some(true),
        ..feature("drive", "paved", rectangle(10.0, 10.0, 20.0, 20.0))
    };
    let found = problems([drive]);
    let fields: Vec<&str> = found.iter().map(|problem| problem.found.split('`').nth(1).unwrap()).collect();
    assert_eq!(fields, ["in_bloom", "seen_on", "wall_height", "eaves", "openings", "intermittent"]);
    for problem in &found {
        assert_eq!((problem.code, problem.severity), ("property::stray-state", Severity::Warning));
        assert_eq!(problem.place.path.as_deref(), Some("feature \"drive\""));
    }
    let creek = RawFeature {
        intermittent: Some(true),
        ..feature("creek", "water", RawShape::Line(vec![at(1.0, 1.0), at(9.0, 1.0)]))
    };
    assert!(problems([creek]).is_empty());
}

#[test]
fn a_day_without_what_was_seen_says_nothing() {
    let seen = |kind: &str| RawFeature {
        bloom_seen_on: Some(date(2026, 7, 1)),
        ..feature("bed", kind, rectangle(10.0, 10.0, 5.0, 5.0))
    };
    assert_eq!(only(&problems([seen("edible")])).found, "`seen_on` without `in_bloom`: what was seen is not said");
    assert!(problems([seen("ornamental-in-bloom")]).is_empty());
}

#[test]
fn only_a_door_or_gate_is_known_to_begin_at_the_ground() {
    let treated = |what: &str, sill: Option<Length>| {
        let opening = RawOpening { what: what.into(), width: ft(4.0), height: ft(4.0), sill };
        let house = RawFeature {
            openings: vec![opening],
            wall_height: Some(ft(9.0)),
            ..feature("house", "structure", rectangle(30.0, 10.0, 20.0, 20.0))
        };
        let (property, warnings) = Property::new("test", &[lot(), house]).unwrap();
        let strip = structure_wall_area(property.feature("house").unwrap(), ft(3.0)).unwrap();
        (strip.openings.to(AreaUnit::SquareFoot), codes(&warnings), warnings)
    };
    for what in ["front door", "Garage Door", "doors", "gate", "side gateway"] {
        let (openings, warned, _) = treated(what, None);
        assert!((openings - 12.0).abs() < 1e-9 && warned.is_empty(), "{what}");
    }
    for what in ["window", "vent", "outdoor light", "opening"] {
        let (openings, warned, warnings) = treated(what, None);
        assert_eq!((openings, warned), (0.0, vec!["property::sill-missing"]), "{what}");
        let problem = only(&warnings);
        assert_eq!(problem.found, format!("opening `{what}`: sill height missing; counted as wall"));
        assert_eq!(problem.place.path.as_deref(), Some("feature \"house\""));
    }
    // A window from 2 ft up takes one foot of the strip.
    assert!((treated("window", Some(ft(2.0))).0 - 4.0).abs() < 1e-9);
    assert!((treated("vent", Some(Length::ZERO)).0 - 12.0).abs() < 1e-9);
}
