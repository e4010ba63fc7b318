//! What can be wrong between features.

use crate::locate::{Locator, area_words, feature_place, small_length_words};
use crate::property::{FARTHEST, piece_words};
use crate::{Feature, FeatureKind, Kind, RawFeature};
use geometry::{ArcFineness, Bounds, Point, Region, Shape, offset};
use problem::{Problem, Problems};
use quantity::{Area, AreaUnit, Length, LengthUnit};
use std::collections::BTreeMap;

/// A shared area up to this is the tolerance of measuring with a tape, not an overlap: 0.1 m², about
/// a square foot (common practice, no source).
pub(crate) fn least_overlap() -> Area {
    Area::new(0.1, AreaUnit::SquareMetre)
}

/// A gap or an overhang narrower than this is a slip of the drawing: 0.15 m, about half a foot
/// (common practice, no source).
pub(crate) fn sliver_width() -> Length {
    Length::new(0.15, LengthUnit::Metre)
}

/// A gap must cover this much to be worth a word.
const LEAST_SLIVER_M2: f64 = 0.02;
/// Corners nearer than this are meant to touch.
const TOUCHING_M: f64 = 1e-3;

/// Ground narrower than this on the mean lies between two outlines that are meant to touch: 2 mm, which no tape tells
/// and no pencil draws. A corner that was snapped to an edge lies off it by what its written digits hold.
pub fn seam_width() -> Length {
    Length::new(TOUCHING_M * 2.0, LengthUnit::Metre)
}

pub(crate) fn identifiers(features: &[RawFeature], problems: &mut Problems) {
    let mut seen: BTreeMap<String, usize> = BTreeMap::new();
    for (index, raw) in features.iter().enumerate() {
        *seen.entry(raw.id_or_number(index)).or_default() += 1;
    }
    for (id, count) in seen.into_iter().filter(|(_, count)| *count > 1) {
        problems.push(
            Problem::error("property::duplicate-id", format!("identifier `{id}` stands on `{count}` features"))
                .expected("each identifier once")
                .mend("give each feature an identifier of its own")
                .at(feature_place(&id)),
        );
    }
}

pub(crate) fn boundary_count(count: usize, problems: &mut Problems) {
    if count == 0 {
        problems.push(
            Problem::error("property::no-boundary", "no feature of kind `boundary`")
                .expected("the outline of the property, once")
                .mend("draw the outline of the lot with kind `boundary`"),
        );
    } else if count > 1 {
        problems.push(
            Problem::error("property::several-boundaries", format!("`{count}` features of kind `boundary`"))
                .expected("the outline of the property, once")
                .mend("join them into one polygon or multipolygon, or map each lot on its own"),
        );
    }
}

pub(crate) fn size(id: &str, boundary: &Region, features: &[Feature], locator: &Locator, problems: &mut Problems) {
    let limit = Length::new(FARTHEST, LengthUnit::Metre);
    let Some(bounds) = boundary.bounds() else { return };
    if bounds.width() > limit || bounds.height() > limit {
        problems.push(
            Problem::error(
                "property::too-large",
                format!(
                    "the lot measures `{:.1} km` by `{:.1} km`",
                    bounds.width().to(LengthUnit::Kilometre),
                    bounds.height().to(LengthUnit::Kilometre)
                ),
            )
            .expected("at most 5 km either way")
            .mend("check the positions of the outline, or map the parts on their own")
            .at(feature_place(id)),
        );
    }
    let boundary = Shape::Region(boundary.clone());
    for feature in features {
        let Some((_, there)) = boundary.nearest_approach(feature.shape()) else { continue };
        let Some(away) = boundary.distance_to(feature.shape()) else { continue };
        if away > limit {
            problems.push(
                Problem::error(
                    "property::too-far",
                    format!(
                        "the feature lies `{:.1} km` from the lot, {}",
                        away.to(LengthUnit::Kilometre),
                        locator.words(there)
                    ),
                )
                .expected("at most 5 km from the lot")
                .mend("check that longitude comes before latitude, or take the feature off the map")
                .at(feature_place(&feature.id))
                .on_earth(locator.spot(there)),
            );
        }
    }
}

pub(crate) fn outside(boundary: &Region, features: &[Feature], locator: &Locator, problems: &mut Problems) {
    for feature in features.iter().filter(|feature| !feature.kind.kind().may_stand_outside()) {
        let code = "property::outside-boundary";
        let (found, spot) = match &feature.shape {
            Shape::Region(region) => {
                let beyond = region.difference(boundary);
                if beyond.area() <= least_overlap() {
                    continue;
                }
                (format!("`{}` outside the boundary", piece_words(&beyond, locator)), locator.spot_in(&beyond))
            }
            Shape::Point(point) => {
                if boundary.contains(*point) {
                    continue;
                }
                (format!("the point lies outside the boundary, {}", locator.words(*point)), locator.spot(*point))
            }
            Shape::Line(line) => {
                let Some(point) = line.points().iter().find(|point| !boundary.contains(**point)) else { continue };
                (format!("the line leaves the boundary, {}", locator.words(*point)), locator.spot(*point))
            }
        };
        problems.push(
            Problem::error(code, found)
                .expected(format!("kind `{}` inside the boundary", feature.kind.word()))
                .mend("clip the feature to the boundary, or correct the boundary")
                .at(feature_place(&feature.id))
                .on_earth(spot),
        );
    }
}

pub(crate) fn overlaps(features: &[Feature], locator: &Locator, problems: &mut Problems) {
    let ground: Vec<(&Feature, &Region)> =
        features.iter().filter_map(|feature| feature.ground().map(|region| (feature, region))).collect();
    for (index, (one, mine)) in ground.iter().enumerate() {
        for (other, theirs) in &ground[index + 1..] {
            let shared = mine.intersection(theirs);
            if shared.area() <= least_overlap() {
                continue;
            }
            let found = format!(
                "`{}` ({}) and `{}` ({}) share `{}`",
                one.id,
                one.kind.word(),
                other.id,
                other.kind.word(),
                piece_words(&shared, locator)
            );
            let problem = if one.kind.kind() == other.kind.kind() {
                Problem::warning("property::drawn-twice", found)
                    .expected("each piece of ground drawn once")
                    .mend("join the two features, or pull them apart; the shared ground is counted once")
            } else {
                Problem::error("property::overlap", found)
                    .expected(format!("ground of one kind only, up to {}", area_words(least_overlap())))
                    .mend("pull the outlines apart, or cut the one out of the other")
            };
            problems.push(problem.at(feature_place(&one.id)).on_earth(locator.spot_in(&shared)));
        }
    }
}

/// Strips between neighbours that are too narrow to be meant.
pub(crate) fn slivers(boundary: &Region, features: &[Feature], locator: &Locator, problems: &mut Problems) {
    let ground: Vec<(&Feature, &Region)> =
        features.iter().filter_map(|feature| feature.ground().map(|region| (feature, region))).collect();
    if !any_near_corner(boundary, &ground) {
        return;
    }
    let width = sliver_width().to(LengthUnit::Metre);
    let Some(bounds) = boundary.bounds() else { return };
    let frame = |by: f64| {
        let (west, south) = bounds.south_west().metres();
        let (east, north) = bounds.north_east().metres();
        Region::rectangle(Point::from_metres(west - by, south - by), Point::from_metres(east + by, north + by))
            .unwrap_or_default()
    };
    // Closing: grown by half the width and shrunk again, the ground fills the strips narrower than
    // the width. What lies beyond the boundary counts as ground, so that strips along it show too.
    let beyond = frame(1.0).difference(boundary);
    let solid = Region::union_all(ground.iter().map(|(_, region)| *region).chain([&beyond]));
    let half = Length::new(width / 2.0, LengthUnit::Metre);
    let coarse = ArcFineness::per_quarter(4);
    let grown = offset::grown_inside(&solid, half, coarse);
    let open = frame(1.0).difference(&grown);
    let closed = frame(0.5).difference(&offset::setback(&Shape::Region(open), half, coarse));
    // A strip thinner than the tape can tell is two outlines meant to touch.
    let strips = closed
        .difference(&solid)
        .intersection(boundary)
        .without_slivers(Area::new(LEAST_SLIVER_M2, AreaUnit::SquareMetre), seam_width());
    for strip in strips.outlines() {
        let strip = strip.to_region();
        let neighbours: Vec<&str> = ground
            .iter()
            .filter(|(_, region)| {
                region.distance_to(&strip).is_some_and(|gap| gap < Length::new(TOUCHING_M, LengthUnit::Metre))
            })
            .map(|(feature, _)| feature.id.as_str())
            .collect();
        let between = match neighbours.as_slice() {
            [] => continue,
            [one] => format!("`{one}` and the boundary, or corners of it"),
            many => many.iter().map(|id| format!("`{id}`")).collect::<Vec<_>>().join(" and "),
        };
        problems.push(
            Problem::warning(
                "property::sliver",
                format!("a strip of `{}` lies between {between}", piece_words(&strip, locator)),
            )
            .expected(format!("neighbours that touch, or a gap of at least {}", small_length_words(sliver_width())))
            .mend("snap the outlines together; as it is, the strip counts as ground of its own")
            .at(feature_place(neighbours[0]))
            .on_earth(locator.spot_in(&strip)),
        );
    }
}

/// Whether some corner lies near an edge of a neighbour without touching it: where none does, there
/// is no strip, and the costlier search is spared.
fn any_near_corner(boundary: &Region, ground: &[(&Feature, &Region)]) -> bool {
    let width = sliver_width().to(LengthUnit::Metre);
    let regions: Vec<&Region> = ground.iter().map(|(_, region)| *region).chain([boundary]).collect();
    let boxes: Vec<Option<Bounds>> = regions.iter().map(|region| region.bounds()).collect();
    let near = |corner: Point, region: &Region| {
        region.outlines().any(|outline| {
            std::iter::once(outline.exterior()).chain(outline.holes()).any(|ring| {
                (0..ring.len()).any(|index| {
                    let gap = segment_gap(ring[index], ring[(index + 1) % ring.len()], corner);
                    gap > TOUCHING_M && gap < width
                })
            })
        })
    };
    let rings = |region: &Region| -> Vec<Point> {
        region
            .outlines()
            .flat_map(|outline| outline.exterior().iter().chain(outline.holes().flatten()).copied().collect::<Vec<_>>())
            .collect()
    };
    for (index, one) in regions.iter().enumerate() {
        for corner in rings(one) {
            let (x, y) = corner.metres();
            for (other_index, other) in regions.iter().enumerate() {
                let reached = boxes[other_index].is_some_and(|bounds| {
                    let (west, south) = bounds.south_west().metres();
                    let (east, north) = bounds.north_east().metres();
                    x > west - width && x < east + width && y > south - width && y < north + width
                });
                if other_index != index && reached && near(corner, other) {
                    return true;
                }
            }
        }
    }
    false
}

fn segment_gap(a: Point, b: Point, point: Point) -> f64 {
    let ((ax, ay), (bx, by), (px, py)) = (a.metres(), b.metres(), point.metres());
    let (dx, dy) = (bx - ax, by - ay);
    let along = (((px - ax) * dx + (py - ay) * dy) / (dx * dx + dy * dy)).clamp(0.0, 1.0);
    (px - ax - along * dx).hypot(py - ay - along * dy)
}

pub(crate) fn state(features: &[Feature], problems: &mut Problems) {
    for feature in features {
        let problem = match &feature.kind {
            FeatureKind::Ornamental(None) => {
                Problem::warning("property::bloom-unknown", "bloom state unknown: nobody said whether the plants bloom")
                    .expected("whether the plants are in bloom, and the day it was seen")
                    .mend("look at the plants and add the bloom state with its date")
            }
            FeatureKind::Structure(walls) if walls.height.is_none() => {
                Problem::warning("property::wall-height-unknown", "the building has no wall height")
                    .expected("the height from the ground to the eaves")
                    .mend("add the wall height where walls are to be treated")
            }
            _ => continue,
        };
        problems.push(problem.at(feature_place(&feature.id)));
    }
    for feature in features {
        openings(feature, problems);
    }
}

/// States that the kind cannot carry, or that say nothing alone; `kind_says_bloom` where the word for
/// the kind states the bloom itself.
pub(crate) fn stray_states(id: &str, kind: Kind, raw: &RawFeature, kind_says_bloom: bool, problems: &mut Problems) {
    let walls = kind == Kind::Structure;
    let stated = [
        ("in_bloom", raw.in_bloom.is_some(), kind.may_bloom(), "plants: turf, ornamental, edible, tree"),
        ("seen_on", raw.bloom_seen_on.is_some(), kind.may_bloom(), "plants: turf, ornamental, edible, tree"),
        ("wall_height", raw.wall_height.is_some(), walls, "a structure"),
        ("eaves", raw.eaves.is_some(), walls, "a structure"),
        ("openings", !raw.openings.is_empty(), walls, "a structure"),
        ("intermittent", raw.intermittent.is_some(), kind == Kind::Water, "water"),
    ];
    for (field, _, _, carriers) in stated.into_iter().filter(|(_, stated, carried, _)| *stated && !*carried) {
        problems.push(
            Problem::warning(
                "property::stray-state",
                format!("`{field}` says nothing of a feature of kind `{}` and is passed over", kind.word()),
            )
            .expected(format!("`{field}` on {carriers}"))
            .mend("take it off, or correct the kind")
            .at(feature_place(id)),
        );
    }
    if kind.may_bloom() && raw.bloom_seen_on.is_some() && raw.in_bloom.is_none() && !kind_says_bloom {
        problems.push(
            Problem::warning("property::stray-state", "`seen_on` without `in_bloom`: what was seen is not said")
                .expected("whether the plants are in bloom, beside the day it was seen")
                .mend("add `in_bloom`, true or false")
                .at(feature_place(id)),
        );
    }
}

/// Openings wider, taken together, than the walls are long.
pub(crate) fn openings(feature: &Feature, problems: &mut Problems) {
    let FeatureKind::Structure(walls) = &feature.kind else { return };
    let widths: Length = walls.openings.iter().map(crate::Opening::width).sum();
    if feature.region().is_some() && widths > feature.perimeter() {
        problems.push(
            Problem::error(
                "property::openings-too-wide",
                format!(
                    "openings `{:.1} ft` wide in walls `{:.1} ft` long",
                    widths.to(LengthUnit::Foot),
                    feature.perimeter().to(LengthUnit::Foot)
                ),
            )
            .expected("openings that fit into the walls")
            .mend("check the units of the widths")
            .at(feature_place(&feature.id)),
        );
    }
}

/// Where lawn is drawn, ground that no feature classes.
pub(crate) fn unclassified(boundary: &Region, features: &[Feature], locator: &Locator, problems: &mut Problems) {
    let classed = Region::union_all(features.iter().filter_map(Feature::ground));
    for piece in boundary.difference(&classed).outlines() {
        if piece.area() > least_overlap() {
            let piece = piece.to_region();
            problems.push(
                Problem::error(
                    "property::unclassified",
                    format!("`{}` of the lot has no kind", piece_words(&piece, locator)),
                )
                .expected(format!("every piece of ground drawn once, or no `{}` drawn at all", Kind::Turf.word()))
                .mend("draw the piece with its kind, or leave out all turf so that the rest of the lot is lawn")
                .on_earth(locator.spot_in(&piece)),
            );
        }
    }
}
