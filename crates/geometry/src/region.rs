//! A piece of ground: any number of polygons with holes, never overlapping.

use crate::overlay::{self, Rings};
use crate::{Bounds, Point, Shape, ShapeFault, nearest, validity};
use geo::{Centroid, InteriorPoint};
use quantity::{Area, AreaUnit, Bearing, Length, LengthUnit};

/// A piece of ground, valid by construction: rings do not cross, holes lie inside, polygons do not
/// overlap. Rings that an overlay made may touch themselves at a point. It may be empty.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Region {
    polygons: Vec<Rings>,
    bounds: Option<Bounds>,
}

/// The share of the ground, or of a square metre, by which rounded outlines may differ from their mend.
const HAIR_OF_GROUND: f64 = 1e-5;

/// One polygon of a region.
#[derive(Debug, Clone, Copy)]
pub struct Outline<'a> {
    rings: &'a Rings,
}

impl<'a> Outline<'a> {
    /// The vertices of the outer ring, anticlockwise; the first is not repeated at the end.
    pub fn exterior(&self) -> &'a [Point] {
        &self.rings[0]
    }

    /// The vertices of each hole, clockwise; the first is not repeated at the end.
    pub fn holes(&self) -> impl ExactSizeIterator<Item = &'a [Point]> + use<'a> {
        self.rings[1..].iter().map(Vec::as_slice)
    }

    /// The ground inside, holes taken off.
    pub fn area(&self) -> Area {
        Area::new(rings_area(self.rings), AreaUnit::SquareMetre)
    }

    /// The polygon as a region of its own.
    pub fn to_region(&self) -> Region {
        Region::from_polygons(vec![self.rings.clone()])
    }
}

impl Region {
    /// No ground at all.
    pub fn empty() -> Self {
        Self::default()
    }

    /// The ground inside one ring. The ring closes itself: a last point equal to the first is
    /// dropped, and either winding will do.
    ///
    /// # Errors
    /// The first fault of [`validity::ring_faults`]; that function lists them all.
    pub fn from_ring(ring: &[Point]) -> Result<Self, ShapeFault> {
        Self::polygon(ring, &[])
    }

    /// The ground inside a ring and outside its holes. Rings close themselves and may wind either way.
    ///
    /// # Errors
    /// The first fault of [`validity::polygon_faults`]; that function lists them all.
    pub fn polygon(exterior: &[Point], holes: &[Vec<Point>]) -> Result<Self, ShapeFault> {
        if let Some(fault) = validity::polygon_faults(exterior, holes).into_iter().next() {
            return Err(fault);
        }
        let mut rings = vec![wound(validity::open_ring(exterior), true)];
        rings.extend(holes.iter().map(|hole| wound(validity::open_ring(hole), false)));
        Ok(Self::from_polygons(vec![rings]))
    }

    /// The ground of polygons that were once a region's own outlines: each an outer ring and its holes.
    ///
    /// Their rings may touch themselves, as those of an overlay may. Where the numbers were rounded on
    /// the way so that rings cross or polygons overlap by a hair, the overlay mends them; where more than a
    /// hair of ground hangs on that mend, they were no region's outlines.
    ///
    /// # Errors
    /// The first fault of [`validity::polygon_faults`] that is more than touching and more than a hair.
    pub fn rejoined(polygons: &[Vec<Vec<Point>>]) -> Result<Self, ShapeFault> {
        let mut fault = None;
        let mut rings_of_all: Vec<Rings> = Vec::with_capacity(polygons.len());
        for polygon in polygons {
            let Some((exterior, holes)) = polygon.split_first() else { continue };
            let rest = validity::polygon_faults(exterior, holes).into_iter();
            let graver = rest.filter(|fault| !matches!(fault, ShapeFault::SelfTouching { .. })).collect::<Vec<_>>();
            if graver.iter().any(|fault| matches!(fault, ShapeFault::TooFewPoints { .. })) {
                return Err(graver[0]);
            }
            fault = fault.or(graver.into_iter().next());
            let mut rings = vec![wound(validity::open_ring(exterior), true)];
            rings.extend(holes.iter().map(|hole| wound(validity::open_ring(hole), false)));
            rings_of_all.push(rings);
        }
        let stated = Self::from_polygons(rings_of_all);
        if fault.is_none() && stated.polygons.len() < 2 {
            return Ok(stated);
        }
        let curves: Vec<Vec<Point>> = stated.polygons.iter().flatten().cloned().collect();
        let mended = Self::from_polygons(overlay::wound_round(&curves));
        let (was, is) = (stated.area().to(AreaUnit::SquareMetre), mended.area().to(AreaUnit::SquareMetre));
        let differs = (was - is).abs() > HAIR_OF_GROUND * was.abs().max(1.0);
        match fault {
            Some(fault) if differs => Err(fault),
            // Polygons that overlap one another: the ground under any of them.
            Some(_) => Ok(mended),
            None => Ok(if differs { mended } else { stated }),
        }
    }

    /// An upright rectangle between two opposite corners.
    ///
    /// # Errors
    /// The corners share an edge, so that nothing lies between them.
    pub fn rectangle(corner: Point, opposite: Point) -> Result<Self, ShapeFault> {
        Self::from_ring(&[corner, Point { x: opposite.x, y: corner.y }, opposite, Point { x: corner.x, y: opposite.y }])
    }

    pub(crate) fn from_polygons(polygons: Vec<Rings>) -> Self {
        let bounds = Bounds::around(polygons.iter().flat_map(|rings| rings[0].iter().copied()));
        Self { polygons, bounds }
    }

    pub(crate) fn polygons(&self) -> &[Rings] {
        &self.polygons
    }

    /// The ground under either.
    #[must_use]
    pub fn union(&self, other: &Self) -> Self {
        match (self.bounds, other.bounds) {
            (_, None) => self.clone(),
            (None, _) => other.clone(),
            // Rectangles apart: the polygons cannot touch, so listing both is the union.
            (Some(here), Some(there)) if !here.touches(&there) => {
                Self::from_polygons(self.polygons.iter().chain(&other.polygons).cloned().collect())
            }
            _ => Self::from_polygons(overlay::union(&self.polygons, &other.polygons)),
        }
    }

    /// The ground under any of many.
    #[must_use]
    pub fn union_all<'a>(regions: impl IntoIterator<Item = &'a Self>) -> Self {
        let mut regions = regions.into_iter().filter(|region| !region.is_empty());
        let Some(first) = regions.next() else { return Self::empty() };
        let Some(second) = regions.next() else { return first.clone() };
        // Each ring set winds anticlockwise round its own ground, so "wound at least once" is the union.
        let curves: Vec<Vec<Point>> = [first, second]
            .into_iter()
            .chain(regions)
            .flat_map(|region| region.polygons.iter().flatten().cloned())
            .collect();
        Self::from_polygons(overlay::wound_round(&curves))
    }

    /// The ground under both.
    #[must_use]
    pub fn intersection(&self, other: &Self) -> Self {
        match (self.bounds, other.bounds) {
            (Some(here), Some(there)) if here.touches(&there) => {
                let (mine, theirs) = (self.holed_near(&there), other.holed_near(&here));
                Self::from_polygons(overlay::intersection(&mine, &theirs))
            }
            _ => Self::empty(),
        }
    }

    /// The polygons without the holes that a rectangle does not reach: what is asked within it does not depend on them.
    fn holed_near(&self, near: &Bounds) -> Vec<Rings> {
        let is_near = |ring: &&Vec<Point>| Bounds::around(ring.iter().copied()).is_some_and(|hole| hole.touches(near));
        self.polygons
            .iter()
            .map(|rings| rings.iter().take(1).chain(rings.iter().skip(1).filter(is_near)).cloned().collect())
            .collect()
    }

    /// The ground under this one and not under the other.
    #[must_use]
    pub fn difference(&self, other: &Self) -> Self {
        match (self.bounds, other.bounds) {
            (Some(here), Some(there)) if here.touches(&there) => {
                Self::from_polygons(overlay::difference(&self.polygons, &other.polygons))
            }
            _ => self.clone(),
        }
    }

    /// The ground under both, and what is then left of this one; the two share the line of the cut.
    #[must_use]
    pub fn cut(&self, by: &Self) -> (Self, Self) {
        let Some(knife) = by.bounds else { return (Self::empty(), self.clone()) };
        // Polygons that the knife's rectangle does not reach are left exactly as they are.
        let (mut near, mut far) = (Vec::new(), Vec::new());
        for rings in &self.polygons {
            let reached = Bounds::around(rings[0].iter().copied()).is_some_and(|bounds| bounds.touches(&knife));
            if reached { near.push(rings.clone()) } else { far.push(rings.clone()) }
        }
        if near.is_empty() {
            return (Self::empty(), self.clone());
        }
        let (taken, left) = overlay::cut(&near, &by.polygons);
        far.extend(left);
        (Self::from_polygons(taken), Self::from_polygons(far))
    }

    /// The ground it covers.
    pub fn area(&self) -> Area {
        Area::new(self.polygons.iter().map(rings_area).sum(), AreaUnit::SquareMetre)
    }

    /// The length of all its rings, those of holes included.
    pub fn perimeter(&self) -> Length {
        Length::new(self.polygons.iter().flatten().map(|ring| ring_length(ring)).sum(), LengthUnit::Metre)
    }

    /// Whether there is no ground.
    pub fn is_empty(&self) -> bool {
        self.polygons.is_empty()
    }

    /// Its polygons one by one.
    pub fn outlines(&self) -> impl ExactSizeIterator<Item = Outline<'_>> {
        self.polygons.iter().map(|rings| Outline { rings })
    }

    /// The rectangle round it; `None` when empty.
    pub fn bounds(&self) -> Option<Bounds> {
        self.bounds
    }

    /// The centre of mass, which may lie outside; `None` when empty.
    pub fn centroid(&self) -> Option<Point> {
        self.to_geo().centroid().map(|point| Point { x: point.x(), y: point.y() })
    }

    /// A point well inside, where a label may stand; `None` when empty.
    pub fn interior_point(&self) -> Option<Point> {
        self.to_geo().interior_point().map(|point| Point { x: point.x(), y: point.y() })
    }

    /// Whether the point lies inside or on the edge.
    pub fn contains(&self, point: Point) -> bool {
        self.polygons.iter().any(|rings| nearest::polygon_covers(rings, point))
    }

    /// The shortest distance between the two; nought when they touch, `None` when one is empty.
    pub fn distance_to(&self, other: &Self) -> Option<Length> {
        nearest::between_regions(self, other).map(|(here, there)| here.distance_to(there))
    }

    /// The nearest two points, one of this region and one of the shape; `None` when one is empty.
    /// Of several pairs equally near, the one whose own point is lowest, then leftmost.
    pub fn nearest_approach(&self, shape: &Shape) -> Option<(Point, Point)> {
        nearest::region_to_shape(self, shape)
    }

    /// Moved so far east and north.
    #[must_use]
    pub fn moved(&self, east: Length, north: Length) -> Self {
        self.mapped(|point| point.moved(east, north))
    }

    /// Turned clockwise about a point.
    #[must_use]
    pub fn rotated(&self, about: Point, by: Bearing) -> Self {
        self.mapped(|point| point.rotated(about, by))
    }

    /// Without the polygons and holes that are too small or too narrow to matter: less ground than
    /// `least_area`, or a mean width (twice the area over the perimeter) under `least_width`.
    #[must_use]
    pub fn without_slivers(&self, least_area: Area, least_width: Length) -> Self {
        let least_area = least_area.to(AreaUnit::SquareMetre);
        let least_width = least_width.to(LengthUnit::Metre);
        let matters = |ring: &Vec<Point>| {
            let area = ring_area(ring).abs();
            area >= least_area && 2.0 * area >= least_width * ring_length(ring)
        };
        let kept = self.polygons.iter().filter(|rings| matters(&rings[0])).map(|rings| {
            let mut kept = vec![rings[0].clone()];
            kept.extend(rings[1..].iter().filter(|ring| matters(ring)).cloned());
            kept
        });
        Self::from_polygons(kept.collect())
    }

    /// The polygons that are at least so wide on the mean (twice the area over the outer ring's length), and those
    /// that are narrower. Nothing is left out.
    #[must_use]
    pub fn parted_by_width(&self, width: Length) -> (Self, Self) {
        let width = width.to(LengthUnit::Metre);
        let is_wide = |rings: &Rings| 2.0 * rings_area(rings) >= width * ring_length(&rings[0]);
        let (wide, narrow) = self.polygons.iter().cloned().partition(is_wide);
        (Self::from_polygons(wide), Self::from_polygons(narrow))
    }

    fn mapped(&self, map: impl Fn(Point) -> Point) -> Self {
        let ring = |ring: &Vec<Point>| ring.iter().map(|point| map(*point)).collect();
        Self::from_polygons(self.polygons.iter().map(|rings| rings.iter().map(ring).collect()).collect())
    }

    fn to_geo(&self) -> geo::MultiPolygon<f64> {
        let ring = |ring: &Vec<Point>| -> geo::LineString<f64> {
            ring.iter().chain(ring.first()).map(|point| point.coord()).collect()
        };
        self.polygons
            .iter()
            .map(|rings| geo::Polygon::new(ring(&rings[0]), rings[1..].iter().map(ring).collect()))
            .collect()
    }
}

/// Signed area of a ring, positive when anticlockwise, taken about its first point so that a lot
/// far from the origin loses no digits.
pub(crate) fn ring_area(ring: &[Point]) -> f64 {
    let Some(base) = ring.first() else { return 0.0 };
    let mut twice = 0.0;
    for pair in ring.windows(2) {
        twice += (pair[0].x - base.x) * (pair[1].y - base.y) - (pair[1].x - base.x) * (pair[0].y - base.y);
    }
    twice / 2.0
}

fn rings_area(rings: &Rings) -> f64 {
    rings.iter().map(|ring| ring_area(ring)).sum()
}

fn ring_length(ring: &[Point]) -> f64 {
    edges(ring).map(|(a, b)| a.gap(b)).sum()
}

/// The edges of a ring, the closing one included.
pub(crate) fn edges(ring: &[Point]) -> impl Iterator<Item = (Point, Point)> + '_ {
    ring.iter().copied().zip(ring.iter().copied().cycle().skip(1))
}

fn wound(mut ring: Vec<Point>, anticlockwise: bool) -> Vec<Point> {
    if (ring_area(&ring) > 0.0) != anticlockwise {
        ring.reverse();
    }
    ring
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(x: f64, y: f64) -> Point {
        Point::from_metres(x, y)
    }

    fn rectangle(x: f64, y: f64, width: f64, depth: f64) -> Region {
        Region::rectangle(at(x, y), at(x + width, y + depth)).unwrap()
    }

    #[test]
    fn holes_near_and_far_are_cut_out_of_what_is_common() {
        let holes = [(10.0, 10.0), (40.0, 10.0), (20.0, 40.0)].map(|(x, y)| rectangle(x, y, 5.0, 5.0));
        let lawn = rectangle(0.0, 0.0, 60.0, 60.0).difference(&Region::union_all(&holes));
        let area = |region: &Region| region.area().to(AreaUnit::SquareMetre);
        // Over one hole, through the edge of two, in a hole, and beside all of them.
        for (x, y, width, depth, expected) in [
            (8.0, 8.0, 9.0, 9.0, 56.0),
            (12.0, 12.0, 30.0, 1.0, 25.0),
            (11.0, 11.0, 2.0, 2.0, 0.0),
            (50.0, 50.0, 2.0, 2.0, 4.0),
            (0.0, 0.0, 60.0, 60.0, 3525.0),
        ] {
            let other = rectangle(x, y, width, depth);
            for common in [lawn.intersection(&other), other.intersection(&lawn)] {
                assert!((area(&common) - expected).abs() < 1e-6, "{x} {y}: {} of {expected}", area(&common));
            }
        }
    }

    #[test]
    fn either_winding_and_either_closing_give_the_same_ground() {
        let open = [at(0.0, 0.0), at(4.0, 0.0), at(4.0, 3.0)];
        let closed_clockwise = [at(0.0, 0.0), at(4.0, 3.0), at(4.0, 3.0), at(4.0, 0.0), at(0.0, 0.0)];
        for ring in [&open[..], &closed_clockwise[..]] {
            let region = Region::from_ring(ring).unwrap();
            assert_eq!(region.area().to(AreaUnit::SquareMetre), 6.0);
            assert_eq!(region.perimeter().to(LengthUnit::Metre), 12.0);
        }
    }

    #[test]
    fn a_faulty_outline_is_refused() {
        let bow_tie = [at(0.0, 0.0), at(4.0, 4.0), at(4.0, 0.0), at(0.0, 4.0)];
        assert_eq!(Region::from_ring(&bow_tie), Err(ShapeFault::SelfCrossing { at: at(2.0, 2.0) }));
        let outside = vec![at(5.0, 5.0), at(6.0, 5.0), at(6.0, 6.0)];
        let ring = [at(0.0, 0.0), at(4.0, 0.0), at(4.0, 4.0)];
        assert_eq!(Region::polygon(&ring, &[outside]), Err(ShapeFault::HoleOutside { hole: 0, at: at(5.0, 5.0) }));
        assert!(matches!(Region::rectangle(at(1.0, 1.0), at(1.0, 5.0)), Err(ShapeFault::TooFewPoints { .. })));
    }

    #[test]
    fn outlines_once_taken_apart_are_the_same_region_again() {
        let pinched = Region::union_all([&rectangle(0.0, 0.0, 2.0, 2.0), &rectangle(2.0, 2.0, 2.0, 2.0)])
            .union(&rectangle(10.0, 0.0, 5.0, 5.0).difference(&rectangle(11.0, 1.0, 1.0, 1.0)));
        let apart: Vec<Vec<Vec<Point>>> = pinched
            .outlines()
            .map(|outline| std::iter::once(outline.exterior()).chain(outline.holes()).map(<[Point]>::to_vec).collect())
            .collect();
        assert_eq!(Region::rejoined(&apart).unwrap(), pinched);
        // A ring that touches itself is an overlay's right; one that crosses itself is nobody's.
        let touching = [at(0.0, 0.0), at(4.0, 0.0), at(2.0, 2.0), at(4.0, 4.0), at(0.0, 4.0), at(2.0, 2.0)];
        assert!(Region::polygon(&touching, &[]).is_err());
        assert_eq!(Region::rejoined(&[vec![touching.to_vec()]]).unwrap().area().to(AreaUnit::SquareMetre), 8.0);
        let bow_tie = vec![at(0.0, 0.0), at(4.0, 4.0), at(4.0, 0.0), at(0.0, 4.0)];
        assert!(matches!(Region::rejoined(&[vec![bow_tie]]), Err(ShapeFault::SelfCrossing { .. })));
        let over = |x| vec![vec![at(x, 0.0), at(x + 2.0, 0.0), at(x + 2.0, 2.0), at(x, 2.0)]];
        let both = Region::rejoined(&[over(0.0), over(1.0)]).unwrap();
        assert!((both.area().to(AreaUnit::SquareMetre) - 6.0).abs() < 1e-6);
    }

    #[test]
    fn a_hole_counts_for_the_perimeter_and_against_the_area() {
        let ring = rectangle(0.0, 0.0, 10.0, 10.0).difference(&rectangle(2.0, 2.0, 3.0, 3.0));
        assert!((ring.area().to(AreaUnit::SquareMetre) - 91.0).abs() < 1e-6);
        assert!((ring.perimeter().to(LengthUnit::Metre) - 52.0).abs() < 1e-6);
        let outline = ring.outlines().next().unwrap();
        assert_eq!((outline.exterior().len(), outline.holes().len()), (4, 1));
        assert_eq!(ring.bounds(), rectangle(0.0, 0.0, 10.0, 10.0).bounds());
    }

    #[test]
    fn an_empty_region_has_nothing() {
        let nothing = Region::empty();
        assert!(nothing.is_empty() && nothing.bounds().is_none() && nothing.centroid().is_none());
        assert!(nothing.interior_point().is_none() && !nothing.contains(at(0.0, 0.0)));
        assert_eq!(nothing.distance_to(&rectangle(0.0, 0.0, 1.0, 1.0)), None);
        assert_eq!(rectangle(0.0, 0.0, 1.0, 1.0).union(&nothing), rectangle(0.0, 0.0, 1.0, 1.0));
        assert_eq!(Region::union_all([]), nothing);
    }

    #[test]
    fn slivers_go_and_ground_stays() {
        let pieces = [rectangle(0.0, 0.0, 5.0, 5.0), rectangle(10.0, 0.0, 8.0, 0.02), rectangle(20.0, 0.0, 0.1, 0.1)];
        let kept = Region::union_all(&pieces)
            .without_slivers(Area::new(0.05, AreaUnit::SquareMetre), Length::new(0.05, LengthUnit::Metre));
        assert_eq!(kept.outlines().len(), 1);
        assert!((kept.area().to(AreaUnit::SquareMetre) - 25.0).abs() < 1e-6);
    }

    #[test]
    fn what_is_narrow_is_parted_and_not_lost() {
        // No ring that narrow is drawn; an overlay leaves it.
        let seam = rectangle(10.0, 0.0, 8.0, 1.0).difference(&rectangle(9.0, 1e-4, 10.0, 2.0));
        let whole = Region::union_all(&[rectangle(0.0, 0.0, 5.0, 5.0), seam, rectangle(20.0, 0.0, 1.0, 3e-3)]);
        let (wide, narrow) = whole.parted_by_width(Length::new(2e-3, LengthUnit::Metre));
        assert_eq!((wide.outlines().len(), narrow.outlines().len()), (2, 1));
        assert!((narrow.area().to(AreaUnit::SquareMetre) - 8e-4).abs() < 1e-6);
        assert!((wide.area() + narrow.area() - whole.area()).to(AreaUnit::SquareMetre).abs() < 1e-9);
    }

    #[test]
    fn turning_is_clockwise() {
        let turned = rectangle(0.0, 0.0, 2.0, 1.0).rotated(at(0.0, 0.0), Bearing::from_degrees(90.0));
        let bounds = turned.bounds().unwrap();
        assert!((bounds.south_west().distance_to(at(0.0, -2.0)).to(LengthUnit::Metre)) < 1e-12);
        assert!((bounds.width().to(LengthUnit::Metre) - 1.0).abs() < 1e-12);
    }

    #[test]
    fn a_far_polygon_is_left_untouched_by_a_cut() {
        let two = rectangle(0.0, 0.0, 3.0, 3.0).union(&rectangle(50.123_456_789, 0.0, 3.0, 3.0));
        let (taken, left) = two.cut(&rectangle(1.0, 1.0, 1.0, 5.0));
        assert!((taken.area().to(AreaUnit::SquareMetre) - 2.0).abs() < 1e-6);
        assert!(left.outlines().any(|outline| outline.exterior().contains(&at(50.123_456_789, 0.0))));
    }
}
