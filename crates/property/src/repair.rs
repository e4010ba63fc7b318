//! A mended copy of a map, where only one mend is possible.
//!
//! Mended: longitude and latitude written in the wrong order throughout a feature, a kind written
//! with capitals, blanks or underscores, rings left open, repeated positions, spikes, winding, and
//! ground that reaches beyond the boundary by less than 0.15 m.
//! Left alone, because more than one mend is possible: outlines that cross themselves, overlaps,
//! strips between neighbours (either may be the one that is off), missing or doubled boundaries,
//! identifiers.

use crate::check::{least_overlap, sliver_width};
use crate::locate::{Locator, area_words, position};
use crate::outline::points;
use crate::property::locator;
use crate::{Kind, RawFeature, RawPosition, RawShape};
use geometry::repair::{RingMend, Winding, untangle};
use geometry::{ArcFineness, Point, Region, offset};

/// What was mended.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Change {
    /// The feature.
    pub feature: String,
    /// What was done, in words.
    pub what: String,
}

/// A mended copy, and every change made to it. What is not mended stays as it is, and
/// [`Property::new`](crate::Property::new) on the copy reports it.
pub fn repair(features: &[RawFeature]) -> (Vec<RawFeature>, Vec<Change>) {
    let mut mended = features.to_vec();
    let mut changes = Vec::new();
    for (index, feature) in mended.iter_mut().enumerate() {
        let id = feature.id_or_number(index);
        let mut note = |what: String| changes.push(Change { feature: id.clone(), what });
        mend_word(feature, &mut note);
        mend_order(feature, &mut note);
    }
    let readable: Vec<bool> = mended.iter().map(|raw| raw.shape.positions().into_iter().all(is_position)).collect();
    let Some(locator) = locator(&mended, &readable) else { return (mended, changes) };
    for (index, feature) in mended.iter_mut().enumerate() {
        if readable[index] {
            let id = feature.id_or_number(index);
            mend_shape(&mut feature.shape, &locator, &mut |what| changes.push(Change { feature: id.clone(), what }));
        }
    }
    if let Some(boundary) = only_boundary(&mended, &readable, &locator) {
        let room = offset::grown_inside(&boundary, sliver_width(), ArcFineness::default());
        for (index, feature) in mended.iter_mut().enumerate() {
            if !readable[index] || !stays_inside(feature) {
                continue;
            }
            let RawShape::Polygon(rings) = &feature.shape else { continue };
            let Some(ground) = region(rings, &locator) else { continue };
            let beyond = ground.difference(&boundary);
            if beyond.area() <= least_overlap() || !narrow(&ground.difference(&room)) {
                continue;
            }
            let clipped = ground.intersection(&boundary);
            if clipped.outlines().len() != 1 {
                continue;
            }
            changes.push(Change {
                feature: feature.id_or_number(index),
                what: format!("clipped {} to the boundary", area_words(beyond.area())),
            });
            feature.shape = RawShape::Polygon(written(&clipped, rings, &locator));
        }
    }
    (mended, changes)
}

fn is_position(raw: RawPosition) -> bool {
    position(raw).is_some()
}

fn mend_word(feature: &mut RawFeature, note: &mut impl FnMut(String)) {
    let Some(word) = &feature.kind else { return };
    if Kind::parse_word(word).is_ok() {
        return;
    }
    let plain = word.trim().to_lowercase().replace(['_', ' '], "-");
    if Kind::parse_word(&plain).is_ok() {
        note(format!("wrote kind `{word}` as `{plain}`"));
        feature.kind = Some(plain);
    }
}

/// Positions that are none as written, and all are the other way round.
fn mend_order(feature: &mut RawFeature, note: &mut impl FnMut(String)) {
    let swapped = |raw: RawPosition| RawPosition::new(raw.latitude, raw.longitude);
    let positions = feature.shape.positions();
    let wrong = positions.iter().any(|raw| !is_position(*raw));
    if wrong && positions.iter().all(|raw| is_position(swapped(*raw))) {
        map_positions(&mut feature.shape, swapped);
        note("swapped latitude and longitude".to_owned());
    }
}

fn map_positions(shape: &mut RawShape, map: impl Fn(RawPosition) -> RawPosition) {
    let each: Vec<&mut RawPosition> = match shape {
        RawShape::Point(position) => vec![position],
        RawShape::Points(list) | RawShape::Line(list) => list.iter_mut().collect(),
        RawShape::Lines(lists) | RawShape::Polygon(lists) => lists.iter_mut().flatten().collect(),
        RawShape::Polygons(polygons) => polygons.iter_mut().flatten().flatten().collect(),
    };
    for position in each {
        *position = map(*position);
    }
}

fn mend_shape(shape: &mut RawShape, locator: &Locator, note: &mut impl FnMut(String)) {
    match shape {
        RawShape::Point(_) | RawShape::Points(_) => {}
        RawShape::Line(line) => mend_line(line, note),
        RawShape::Lines(lines) => lines.iter_mut().for_each(|line| mend_line(line, note)),
        RawShape::Polygon(rings) => mend_rings(rings, locator, note),
        RawShape::Polygons(polygons) => polygons.iter_mut().for_each(|rings| mend_rings(rings, locator, note)),
    }
}

fn mend_line(line: &mut Vec<RawPosition>, note: &mut impl FnMut(String)) {
    let before = line.len();
    line.dedup();
    if line.len() < before {
        note(format!("dropped {} repeated positions of the line", before - line.len()));
    }
}

fn mend_rings(rings: &mut [Vec<RawPosition>], locator: &Locator, note: &mut impl FnMut(String)) {
    for (index, ring) in rings.iter_mut().enumerate() {
        let what = if index == 0 { "the outline".to_owned() } else { format!("hole {index}") };
        let winding = if index == 0 { Winding::Anticlockwise } else { Winding::Clockwise };
        let untangled = untangle(&points(ring, locator), winding);
        if untangled.mends.is_empty() || untangled.kept.len() < 3 {
            continue;
        }
        for mend in &untangled.mends {
            note(match mend {
                RingMend::Closed => format!("closed {what}"),
                RingMend::DroppedRepeat(at) => format!("dropped a repeated position of {what}, {}", locator.words(*at)),
                RingMend::CutSpike(at) => format!("cut a spike off {what}, {}", locator.words(*at)),
                RingMend::Turned => format!("turned {what} to wind as RFC 7946 asks"),
            });
        }
        let mut kept: Vec<RawPosition> = untangled.kept.iter().map(|index| ring[*index]).collect();
        kept.push(kept[0]);
        *ring = kept;
    }
}

fn stays_inside(feature: &RawFeature) -> bool {
    let kind = feature.kind.as_deref().and_then(|word| Kind::parse_word(word).ok());
    kind.is_some_and(|(kind, _)| kind != Kind::Boundary && kind.is_ground() && !kind.may_stand_outside())
}

fn only_boundary(features: &[RawFeature], readable: &[bool], locator: &Locator) -> Option<Region> {
    let mut drawn = features
        .iter()
        .zip(readable)
        .filter(|(feature, readable)| **readable && feature.kind.as_deref() == Some(Kind::Boundary.word()));
    let (boundary, _) = drawn.next()?;
    if drawn.next().is_some() {
        return None;
    }
    match &boundary.shape {
        RawShape::Polygon(rings) => region(rings, locator),
        _ => None,
    }
}

fn region(rings: &[Vec<RawPosition>], locator: &Locator) -> Option<Region> {
    let rings: Vec<Vec<Point>> = rings.iter().map(|ring| points(ring, locator)).collect();
    let (exterior, holes) = rings.split_first()?;
    Region::polygon(exterior, holes).ok()
}

/// Whether nothing worth a word is left of an overhang once the width of a slip is taken off.
fn narrow(left: &Region) -> bool {
    left.area().ratio(least_overlap()) < 1e-3
}

/// The rings in longitude and latitude; a corner that was there before keeps its numbers.
fn written(region: &Region, before: &[Vec<RawPosition>], locator: &Locator) -> Vec<Vec<RawPosition>> {
    let old: Vec<(Point, RawPosition)> =
        before.iter().flatten().filter_map(|raw| Some((locator.plane.to_plane(position(*raw)?), *raw))).collect();
    let same = |one: Point, other: Point| one.distance_to(other).to(quantity::LengthUnit::Metre) < 1e-5;
    let write = |ring: &[Point]| -> Vec<RawPosition> {
        let mut written: Vec<RawPosition> = ring
            .iter()
            .map(|corner| {
                old.iter().find(|(point, _)| same(*point, *corner)).map_or_else(
                    || {
                        let position = locator.plane.to_position(*corner);
                        RawPosition::new(position.longitude(), position.latitude())
                    },
                    |(_, raw)| *raw,
                )
            })
            .collect();
        written.extend(written.first().copied());
        written
    };
    region
        .outlines()
        .take(1)
        .flat_map(|outline| std::iter::once(outline.exterior()).chain(outline.holes()).map(write).collect::<Vec<_>>())
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Property;

    fn at(longitude: f64, latitude: f64) -> RawPosition {
        RawPosition::new(longitude, latitude)
    }

    fn feature(id: &str, kind: &str, rings: Vec<Vec<RawPosition>>) -> RawFeature {
        RawFeature { id: Some(id.into()), kind: Some(kind.into()), ..RawFeature::new(RawShape::Polygon(rings)) }
    }

    /// A rectangle in thousandths of a degree from a corner near the equator, where one is 111 m.
    fn ring(west: f64, south: f64, east: f64, north: f64) -> Vec<RawPosition> {
        [(west, south), (east, south), (east, north), (west, north), (west, south)]
            .map(|(x, y)| at(10.0 + x / 1e3, 1.0 + y / 1e3))
            .into()
    }

    fn whats(changes: &[Change]) -> Vec<&str> {
        changes.iter().map(|change| change.what.as_str()).collect()
    }

    #[test]
    fn a_sound_map_is_left_as_it_is() {
        let map = [
            feature("lot", "boundary", vec![ring(0.0, 0.0, 1.0, 1.0)]),
            feature("house", "structure", vec![ring(0.2, 0.2, 0.4, 0.4)]),
        ];
        assert_eq!(repair(&map), (map.to_vec(), vec![]));
    }

    #[test]
    fn slips_of_the_pen_are_mended_and_named() {
        let mut open_clockwise = ring(0.2, 0.2, 0.4, 0.4);
        open_clockwise.pop();
        open_clockwise.reverse();
        open_clockwise.insert(1, open_clockwise[0]);
        let swapped: Vec<RawPosition> =
            ring(0.6, 0.6, 0.7, 0.7).into_iter().map(|raw| at(raw.latitude, raw.longitude + 100.0)).collect();
        let mut lot = ring(0.0, 0.0, 1.0, 1.0);
        for raw in &mut lot {
            raw.longitude += 100.0;
        }
        for raw in &mut open_clockwise {
            raw.longitude += 100.0;
        }
        let map = [
            feature("lot", "Boundary", vec![lot]),
            feature("bed", "bare soil", vec![open_clockwise]),
            feature("patio", "paved", vec![swapped]),
        ];
        assert!(Property::new("x", &map).is_err());
        let (mended, changes) = repair(&map);
        assert_eq!(
            whats(&changes)[..3],
            [
                "wrote kind `Boundary` as `boundary`",
                "wrote kind `bare soil` as `bare-soil`",
                "swapped latitude and longitude"
            ]
        );
        assert!(whats(&changes)[3..].iter().any(|what| what.starts_with("dropped a repeated position of the outline")));
        assert!(whats(&changes).contains(&"closed the outline"));
        assert!(whats(&changes).contains(&"turned the outline to wind as RFC 7946 asks"));
        let (property, warnings) = Property::new("x", &mended).unwrap();
        assert!(warnings.is_empty(), "{warnings}");
        assert_eq!(property.features().len(), 2);
    }

    #[test]
    fn a_small_overhang_is_clipped_and_a_large_one_is_not() {
        // A millionth of a degree is 0.11 m.
        let map = |east: f64| {
            [
                feature("lot", "boundary", vec![ring(0.0, 0.0, 1.0, 1.0)]),
                feature("drive", "paved", vec![ring(0.8, 0.2, east, 0.4)]),
            ]
        };
        let (mended, changes) = repair(&map(1.001));
        assert_eq!(changes.len(), 1, "{changes:?}");
        assert!(changes[0].what.starts_with("clipped") && changes[0].what.ends_with("to the boundary"));
        assert!(Property::new("x", &mended).is_ok());
        let RawShape::Polygon(rings) = &mended[1].shape else { panic!() };
        assert!(rings[0].contains(&at(10.0 + 0.8 / 1e3, 1.0 + 0.2 / 1e3)), "untouched corners keep their numbers");
        let (same, changes) = repair(&map(1.002));
        assert!(changes.is_empty() && same == map(1.002));
        assert!(Property::new("x", &same).is_err());
    }

    #[test]
    fn a_bow_tie_is_left_to_the_surveyor() {
        let mut bow = ring(0.2, 0.2, 0.4, 0.4);
        bow.swap(1, 2);
        let map = [feature("lot", "boundary", vec![ring(0.0, 0.0, 1.0, 1.0)]), feature("bed", "mulch", vec![bow])];
        let (mended, _) = repair(&map);
        let problems = Property::new("x", &mended).unwrap_err();
        assert_eq!(problems.iter().map(|problem| problem.code).collect::<Vec<_>>(), ["property::self-crossing"]);
    }
}
