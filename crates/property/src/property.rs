//! The property: its plane, its boundary, its features.

use crate::locate::{Locator, area_words, feature_place, position};
use crate::outline::{position_problems, shapes};
use crate::{Bloom, Feature, FeatureKind, Kind, Opening, RawFeature, Walls, check, swap};
use geometry::{GeoPosition, LocalPlane, Region, Shape};
use problem::{Problem, Problems};
use quantity::{Area, Length, LengthUnit};

/// A mapped property, checked: one boundary, features that do not overlap, every piece of ground
/// classed.
#[derive(Debug, Clone, PartialEq)]
pub struct Property {
    name: String,
    plane: LocalPlane,
    boundary: Region,
    features: Vec<Feature>,
    lawn: Region,
    lawn_drawn: bool,
}

/// How much of a kind there is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct KindTotal {
    /// The kind.
    pub kind: Kind,
    /// How many features.
    pub count: usize,
    /// The ground they cover inside the boundary, each square foot once.
    pub area: Area,
    /// Their perimeters added up.
    pub perimeter: Length,
    /// The length of those drawn as lines.
    pub length: Length,
}

/// Farther than this from the lot a feature matters to no visit, and the plane loses its accuracy.
pub(crate) const FARTHEST: f64 = 5_000.0;

impl Property {
    /// Makes a property of the features of a map. The plane touches the Earth at the south-west
    /// corner of the boundary. Where no lawn is drawn, the rest of the lot is lawn.
    ///
    /// The warnings come with the property.
    ///
    /// # Errors
    /// Every problem of the map at once: positions, outlines, kinds, identifiers, boundary, overlaps,
    /// features outside, ground that nothing classes.
    pub fn new(name: impl Into<String>, features: &[RawFeature]) -> Result<(Self, Problems), Problems> {
        let mut problems = Problems::new();
        let readable: Vec<bool> = features
            .iter()
            .enumerate()
            .map(|(index, raw)| position_problems(&raw.id_or_number(index), &raw.shape, &mut problems))
            .collect();
        check::identifiers(features, &mut problems);
        let locator = locator(features, &readable);

        let mut boundaries: Vec<(String, Region)> = Vec::new();
        let mut boundary_drawn = 0;
        let mut checked: Vec<Feature> = Vec::new();
        for (index, raw) in features.iter().enumerate() {
            let id = raw.id_or_number(index);
            let kind = kind_of(&id, raw, &mut problems);
            if kind == Some(Drawn::Boundary) {
                boundary_drawn += 1;
            }
            let (true, Some(locator)) = (readable[index], locator) else { continue };
            let shapes = shapes(&id, &raw.shape, &locator, &mut problems);
            let Some(kind) = kind else { continue };
            let many = shapes.len() > 1;
            for (part, shape) in shapes.into_iter().enumerate() {
                let word = match &kind {
                    Drawn::Boundary => Kind::Boundary,
                    Drawn::Feature(kind) => kind.kind(),
                };
                if !word.permits(&shape) {
                    problems.push(wrong_shape(&id, word));
                    continue;
                }
                match (&kind, shape) {
                    (Drawn::Boundary, Shape::Region(region)) => boundaries.push((id.clone(), region)),
                    (Drawn::Boundary, _) => {}
                    (Drawn::Feature(kind), shape) => checked.push(Feature {
                        id: if many { format!("{id}/{}", part + 1) } else { id.clone() },
                        kind: kind.clone(),
                        shape,
                        name: raw.name.clone(),
                        note: raw.note.clone(),
                    }),
                }
            }
        }
        check::boundary_count(boundary_drawn, &mut problems);
        let (Some(locator), true) = (locator, boundaries.len() == 1 && boundary_drawn == 1) else {
            return Err(problems);
        };
        let Some((boundary_id, boundary)) = boundaries.pop() else { return Err(problems) };
        swap::near_a_pole(&boundary_id, locator.plane.origin(), &mut problems);
        check::size(&boundary_id, &boundary, &checked, &locator, &mut problems);
        check::outside(&boundary, &checked, &locator, &mut problems);
        check::overlaps(&checked, &locator, &mut problems);
        check::slivers(&boundary, &checked, &locator, &mut problems);
        check::state(&checked, &mut problems);
        let (lawn, lawn_drawn) = lawn(&boundary, &checked);
        if lawn_drawn {
            check::unclassified(&boundary, &checked, &locator, &mut problems);
        }
        let property = Self { name: name.into(), plane: locator.plane, boundary, features: checked, lawn, lawn_drawn };
        problems.unless_errors(property)
    }

    /// What the property is called.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The plane in which every shape lies; its origin is the lot's south-west corner.
    pub fn plane(&self) -> &LocalPlane {
        &self.plane
    }

    /// The lot.
    pub fn boundary(&self) -> &Region {
        &self.boundary
    }

    /// Every feature but the boundary, in the order of the map.
    pub fn features(&self) -> &[Feature] {
        &self.features
    }

    /// The feature of an identifier.
    pub fn feature(&self, id: &str) -> Option<&Feature> {
        self.features.iter().find(|feature| feature.id == id)
    }

    /// The features of a kind.
    pub fn of_kind(&self, kind: Kind) -> impl Iterator<Item = &Feature> {
        self.features.iter().filter(move |feature| feature.is(kind))
    }

    /// The lawn: what is drawn as turf, or else the rest of the lot.
    pub fn lawn(&self) -> &Region {
        &self.lawn
    }

    /// Whether the lawn is drawn, rather than the rest of the lot.
    pub fn lawn_is_drawn(&self) -> bool {
        self.lawn_drawn
    }

    /// The same property with openings of a building added, as a visit's request may give them.
    ///
    /// # Errors
    /// `property::unknown-feature` when the identifier is not on the map, `property::not-a-structure`
    /// when it is no building, `property::openings-too-wide` when they are wider than the walls.
    pub fn with_openings(mut self, id: &str, openings: Vec<Opening>) -> Result<Self, Problem> {
        let Some(feature) = self.features.iter_mut().find(|feature| feature.id == id) else {
            return Err(Problem::error("property::unknown-feature", format!("feature `{id}` is not on the map"))
                .mend("name a feature of the map"));
        };
        let FeatureKind::Structure(walls) = &mut feature.kind else {
            return Err(Problem::error("property::not-a-structure", format!("feature `{id}` is no building"))
                .expected("a feature of kind `structure`"));
        };
        walls.openings.extend(openings);
        let mut problems = Problems::new();
        check::openings(feature, &mut problems);
        match problems.into_iter().next() {
            Some(problem) => Err(problem),
            None => Ok(self),
        }
    }

    /// How much there is of each kind, in the order of [`Kind::ALL`]; the implicit lawn counts as turf.
    pub fn totals(&self) -> Vec<KindTotal> {
        let mut totals = Vec::new();
        for kind in Kind::ALL {
            let of_kind: Vec<&Feature> = self.of_kind(kind).collect();
            let implicit_lawn = kind == Kind::Turf && !self.lawn_drawn && !self.lawn.is_empty();
            if kind == Kind::Boundary || (of_kind.is_empty() && !implicit_lawn) {
                continue;
            }
            let ground = if kind == Kind::Turf {
                self.lawn.clone()
            } else {
                Region::union_all(of_kind.iter().filter_map(|feature| feature.region())).intersection(&self.boundary)
            };
            let perimeter = if implicit_lawn {
                self.lawn.perimeter()
            } else {
                of_kind.iter().map(|feature| feature.perimeter()).sum()
            };
            totals.push(KindTotal {
                kind,
                count: of_kind.len(),
                area: ground.area(),
                perimeter,
                length: of_kind.iter().map(|feature| feature.length()).sum(),
            });
        }
        totals
    }
}

/// The plane round the south-west corner of the first boundary that can be read, or else round the
/// first position of the map.
pub(crate) fn locator(features: &[RawFeature], readable: &[bool]) -> Option<Locator> {
    let positions =
        |raw: &RawFeature| -> Vec<GeoPosition> { raw.shape.positions().into_iter().filter_map(position).collect() };
    let boundary = features
        .iter()
        .zip(readable)
        .find(|(raw, readable)| **readable && raw.kind.as_deref() == Some(Kind::Boundary.word()))
        .map(|(raw, _)| positions(raw));
    if let Some(corners) = boundary
        && let Some(first) = corners.first()
    {
        // First about any corner, then again about the south-west one.
        let rough = LocalPlane::around(*first);
        let bounds = geometry::Bounds::around(corners.iter().map(|corner| rough.to_plane(*corner)))?;
        let plane = LocalPlane::around(rough.to_position(bounds.south_west()));
        return Some(Locator { plane, from_corner: true });
    }
    let first = features.iter().flat_map(positions).next()?;
    Some(Locator { plane: LocalPlane::around(first), from_corner: false })
}

/// What a feature was drawn as.
#[derive(PartialEq)]
enum Drawn {
    Boundary,
    Feature(FeatureKind),
}

/// The kind with its state; `None` when it cannot be told.
fn kind_of(id: &str, raw: &RawFeature, problems: &mut Problems) -> Option<Drawn> {
    let Some(word) = &raw.kind else {
        problems.push(
            Problem::error("property::missing-kind", "the feature does not say what it is")
                .expected("a property `kind` such as `paved` or `structure`")
                .mend("add the kind")
                .at(feature_place(id)),
        );
        return None;
    };
    let (kind, stated) = match Kind::parse_word(word) {
        Ok(read) => read,
        Err(problem) => {
            problems.push(problem.at(feature_place(id)));
            return None;
        }
    };
    if let (Some(said), Some(bloom)) = (raw.in_bloom, stated)
        && said != bloom.in_bloom()
    {
        problems.push(
            Problem::error("property::bloom-contradiction", "the kind says in bloom, the bloom state says not")
                .expected("one of the two")
                .mend("write kind `ornamental` and the bloom state that was seen")
                .at(feature_place(id)),
        );
    }
    check::stray_states(id, kind, raw, stated.is_some(), problems);
    let in_bloom = raw.in_bloom.or(stated.map(Bloom::in_bloom));
    let bloom = in_bloom.map(|in_bloom| Bloom::new(in_bloom, raw.bloom_seen_on));
    let kind = match kind {
        Kind::Boundary => return Some(Drawn::Boundary),
        Kind::Turf => FeatureKind::Turf(bloom),
        Kind::Ornamental => FeatureKind::Ornamental(bloom),
        Kind::Edible => FeatureKind::Edible(bloom),
        Kind::Structure => FeatureKind::Structure(walls(id, raw, problems)),
        Kind::Paved => FeatureKind::Paved,
        Kind::BareSoil => FeatureKind::BareSoil,
        Kind::Mulch => FeatureKind::Mulch,
        Kind::Water => FeatureKind::Water { intermittent: raw.intermittent == Some(true) },
        Kind::Drain => FeatureKind::Drain,
        Kind::Well => FeatureKind::Well,
        Kind::Hive => FeatureKind::Hive,
        Kind::PlayArea => FeatureKind::PlayArea,
        Kind::PetArea => FeatureKind::PetArea,
        Kind::Tree => FeatureKind::Tree(bloom),
        Kind::NoGo => FeatureKind::NoGo,
        Kind::EntryPoint => FeatureKind::EntryPoint,
        Kind::Mound => FeatureKind::Mound,
    };
    Some(Drawn::Feature(kind))
}

fn walls(id: &str, raw: &RawFeature, problems: &mut Problems) -> Walls {
    let mut positive = |length: Option<Length>, what: &str| {
        if length.is_some_and(|length| !length.is_positive()) {
            let found = format!(
                "{what} `{:.2} m` is not above nothing",
                length.map_or(0.0, |length| length.to(LengthUnit::Metre))
            );
            problems.push(
                Problem::error("property::wall-height", found)
                    .expected("a length above 0")
                    .mend("measure it again, or leave it out")
                    .at(feature_place(id)),
            );
            return None;
        }
        length
    };
    let height = positive(raw.wall_height, "wall height");
    let eaves = positive(raw.eaves, "overhang of the eaves");
    let mut openings = Vec::new();
    for opening in &raw.openings {
        let sill = opening.sill.unwrap_or(Length::ZERO);
        match Opening::above(opening.what.clone(), opening.width, opening.height, sill) {
            Ok(_) if opening.sill.is_none() && !stands_on_the_ground(&opening.what) => {
                problems.push(sill_missing(&opening.what).at(feature_place(id)));
            }
            Ok(opening) => openings.push(opening),
            Err(problem) => problems.push(problem.at(feature_place(id))),
        }
    }
    Walls { height, eaves, openings }
}

/// Whether the name says that the opening begins at the ground: a word of it begins with `door` or
/// `gate`, as in `garage door` and `gateway`, and not in `outdoor light`.
fn stands_on_the_ground(what: &str) -> bool {
    let lower = what.to_lowercase();
    lower.split(|c: char| !c.is_alphanumeric()).any(|word| word.starts_with("door") || word.starts_with("gate"))
}

/// Where a window begins is not guessed: taken off the wall from the ground up, it would leave wall
/// untreated and product over.
fn sill_missing(what: &str) -> Problem {
    Problem::warning("property::sill-missing", format!("opening `{what}`: sill height missing; counted as wall"))
        .expected("the height of its lower edge above the ground; only a door or gate is known to begin there")
        .mend("add the sill height, nought where the opening begins at the ground")
}

fn wrong_shape(id: &str, kind: Kind) -> Problem {
    let mut expected = vec!["an area"];
    if kind.may_be_line() {
        expected.push("a line");
    }
    if kind.may_be_point() {
        expected.push("a point");
    }
    Problem::error("property::wrong-shape", format!("kind `{}` cannot be drawn so", kind.word()))
        .expected(expected.join(" or "))
        .mend("draw the feature again, or correct its kind")
        .at(feature_place(id))
}

/// The lawn, and whether it is drawn.
fn lawn(boundary: &Region, features: &[Feature]) -> (Region, bool) {
    let drawn: Vec<&Region> =
        features.iter().filter(|feature| feature.is(Kind::Turf)).filter_map(Feature::ground).collect();
    if drawn.is_empty() {
        (boundary.difference(&Region::union_all(features.iter().filter_map(Feature::ground))), false)
    } else {
        (Region::union_all(drawn).intersection(boundary), true)
    }
}

/// Such as `120.0 sq ft (11.15 m²) at ...`: a piece of ground in words.
pub(crate) fn piece_words(region: &Region, locator: &Locator) -> String {
    let place = region.interior_point().map_or_else(String::new, |at| format!(" at {}", locator.words(at)));
    format!("{}{place}", area_words(region.area()))
}
