//! Walls and entry points: what is treated along a line and not over ground.
//!
//! Like the ground, each stretch goes to the first task that claims it, and none within a distance
//! that the task keeps is treated.

use crate::request::Target;
use geometry::offset::{ArcFineness, setback};
use geometry::{Line, Point, Region, Shape};
use property::{Feature, Kind, Property};
use quantity::{Length, LengthUnit};

/// A straight stretch of a line; its ends are one for an entry point drawn as a point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Stretch {
    from: Point,
    to: Point,
}

impl Stretch {
    fn length(self) -> Length {
        self.from.distance_to(self.to)
    }

    fn at(self, share: f64) -> Point {
        let ((x, y), (to_x, to_y)) = (self.from.metres(), self.to.metres());
        Point::from_metres(x + (to_x - x) * share, y + (to_y - y) * share)
    }

    fn shape(self) -> Shape {
        Line::new([self.from, self.to]).map_or(Shape::Point(self.from), Shape::Line)
    }

    /// The part outside every barred region, in stretches.
    fn outside(self, barred: &[&Region]) -> Vec<Self> {
        let mut shares = vec![0.0, 1.0];
        for region in barred {
            for ring in region.outlines().flat_map(|outline| std::iter::once(outline.exterior()).chain(outline.holes()))
            {
                for (index, from) in ring.iter().enumerate() {
                    shares.extend(self.crossing(*from, ring[(index + 1) % ring.len()]));
                }
            }
        }
        shares.sort_by(f64::total_cmp);
        let is_barred = |point: Point| barred.iter().any(|region| region.contains(point));
        let mut stretches: Vec<Self> = Vec::new();
        let mut free_before = false;
        for pair in shares.windows(2) {
            let free = !is_barred(self.at(f64::midpoint(pair[0], pair[1])));
            let end = self.at(pair[1]);
            match stretches.last_mut() {
                Some(last) if free && free_before => last.to = end,
                _ if free => stretches.push(Self { from: self.at(pair[0]), to: end }),
                _ => {}
            }
            free_before = free;
        }
        stretches
    }

    /// How far along the stretch an edge crosses it, as a share of its length.
    fn crossing(self, from: Point, to: Point) -> Option<f64> {
        let ((ax, ay), (bx, by)) = (self.from.metres(), self.to.metres());
        let ((cx, cy), (dx, dy)) = (from.metres(), to.metres());
        let (along, edge) = ((bx - ax, by - ay), (dx - cx, dy - cy));
        let turn = along.0 * edge.1 - along.1 * edge.0;
        let (apart_x, apart_y) = (cx - ax, cy - ay);
        let share = (apart_x * edge.1 - apart_y * edge.0) / turn;
        let on_edge = (apart_x * along.1 - apart_y * along.0) / turn;
        // Edges that run alongside divide by nought: their neighbours cross where they end.
        let crosses = share > 0.0 && share < 1.0 && (-1e-9..=1.0 + 1e-9).contains(&on_edge);
        crosses.then_some(share)
    }
}

/// The treated part of one wall or entry point.
#[derive(Debug, Clone, PartialEq)]
pub struct TreatedLine {
    /// Id of the structure or entry point.
    pub feature: String,
    /// Where.
    stretches: Vec<Stretch>,
}

impl TreatedLine {
    /// The way along it; nought for an entry point drawn as a point.
    pub fn length(&self) -> Length {
        self.stretches.iter().map(|stretch| stretch.length()).sum()
    }

    /// The way along it, or for an entry point drawn as a point the side of its square.
    pub(crate) fn length_or(&self, side: Length) -> Length {
        let length = self.length();
        if length.is_positive() { length } else { side }
    }

    /// A strip so thin that it has no size to speak of, for looking where it lies.
    pub(super) fn strips(&self, arcs: ArcFineness) -> Vec<Region> {
        self.stretches.iter().map(|stretch| setback(&stretch.shape(), adjoining(), arcs)).collect()
    }
}

/// What stands this near to a wall adjoins it: maps are drawn no finer.
fn adjoining() -> Length {
    Length::new(1.0, LengthUnit::Centimetre)
}

/// The lines of a property, and what of them is still to be handed out.
pub(super) struct Lines {
    /// Every wall and entry point whole.
    whole: Vec<TreatedLine>,
    /// What no task has claimed yet, feature by feature as in `whole`.
    left: Vec<TreatedLine>,
    /// Ground kept free of treatment, with what adjoins it.
    kept_free: Region,
}

/// What a task gets of the lines.
#[derive(Default)]
pub(super) struct Taken {
    /// What it treats.
    pub lines: Vec<TreatedLine>,
    /// Features of which it treats what an earlier task treats too.
    pub doubled: Vec<String>,
}

impl Lines {
    /// The outer walls and the entry points of a property. A wall against which another building
    /// stands is none.
    pub(super) fn of(property: &Property, kept_free: &Region, arcs: ArcFineness) -> Self {
        let grown = |region: &Region| setback(&Shape::Region(region.clone()), adjoining(), arcs);
        let structures: Vec<(&Feature, Region)> =
            property.of_kind(Kind::Structure).filter_map(|feature| Some((feature, grown(feature.region()?)))).collect();
        let mut whole = Vec::new();
        for feature in property.features() {
            let stretches = match feature.kind().kind() {
                Kind::Structure => {
                    let others: Vec<&Region> = structures
                        .iter()
                        .filter(|(other, _)| other.id() != feature.id())
                        .map(|(_, region)| region)
                        .collect();
                    outline(feature.shape()).into_iter().flat_map(|side| side.outside(&others)).collect()
                }
                Kind::EntryPoint => outline(feature.shape()),
                _ => continue,
            };
            whole.push(TreatedLine { feature: feature.id().to_owned(), stretches });
        }
        let kept_free = if kept_free.is_empty() { Region::empty() } else { grown(kept_free) };
        Self { left: whole.clone(), whole, kept_free }
    }

    /// Hands a target its lines: none of them within the regions, none of them claimed before, unless
    /// what is claimed is wanted again.
    pub(super) fn take(&mut self, property: &Property, target: &Target, kept: &[&Region], again: bool) -> Taken {
        let (kind, wanted) = match target {
            Target::Structures { features, wall_height, .. } if wall_height.is_positive() => {
                (Kind::Structure, features)
            }
            Target::EntryPoints { features, .. } => (Kind::EntryPoint, features),
            _ => return Taken::default(),
        };
        let mut barred = vec![&self.kept_free];
        barred.extend(kept);
        let mut taken = Taken::default();
        for (whole, left) in self.whole.iter().zip(&mut self.left) {
            let id = &whole.feature;
            let is_wanted = wanted.is_empty() || wanted.contains(id);
            if !is_wanted || !property.feature(id).is_some_and(|feature| feature.is(kind)) {
                continue;
            }
            let (mut mine, mut rest) = (Vec::new(), Vec::new());
            for stretch in left.stretches.drain(..) {
                let outside = stretch.outside(&barred);
                rest.extend(between(stretch, &outside));
                mine.extend(outside);
            }
            left.stretches = rest;
            if again {
                let all: Vec<Stretch> = whole.stretches.iter().flat_map(|stretch| stretch.outside(&barred)).collect();
                let length = |stretches: &[Stretch]| stretches.iter().map(|stretch| stretch.length()).sum::<Length>();
                if length(&all) - length(&mine) > adjoining() || all.len() > mine.len() {
                    taken.doubled.push(id.clone());
                }
                mine = all;
            }
            if !mine.is_empty() {
                taken.lines.push(TreatedLine { feature: id.clone(), stretches: mine });
            }
        }
        taken
    }
}

/// What of a stretch lies between pieces of it that come in its own order.
fn between(stretch: Stretch, pieces: &[Stretch]) -> Vec<Stretch> {
    if pieces.is_empty() {
        return vec![stretch];
    }
    let starts = std::iter::once(stretch.from).chain(pieces.iter().map(|piece| piece.to));
    let ends = pieces.iter().map(|piece| piece.from).chain(std::iter::once(stretch.to));
    starts.zip(ends).filter(|(from, to)| from != to).map(|(from, to)| Stretch { from, to }).collect()
}

/// The sides of a shape; a point is a side without length.
fn outline(shape: &Shape) -> Vec<Stretch> {
    let sides = |points: &[Point]| -> Vec<Stretch> {
        points.windows(2).map(|pair| Stretch { from: pair[0], to: pair[1] }).collect()
    };
    match shape {
        Shape::Point(point) => vec![Stretch { from: *point, to: *point }],
        Shape::Line(line) => sides(line.points()),
        Shape::Region(region) => region
            .outlines()
            .flat_map(|outline| std::iter::once(outline.exterior()).chain(outline.holes()))
            .flat_map(|ring| {
                let closed: Vec<Point> = ring.iter().chain(ring.first()).copied().collect();
                sides(&closed)
            })
            .collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(x: f64, y: f64) -> Point {
        Point::from_metres(x, y)
    }

    #[test]
    fn a_stretch_keeps_what_lies_outside() {
        let stretch = Stretch { from: at(0.0, 0.0), to: at(10.0, 0.0) };
        let region = |left: f64, right: f64| Region::rectangle(at(left, -1.0), at(right, 1.0)).unwrap();
        let (first, second) = (region(2.0, 4.0), region(3.0, 5.0));
        let outside = stretch.outside(&[&first, &second]);
        let ends: Vec<(f64, f64)> = outside.iter().map(|piece| (piece.from.metres().0, piece.to.metres().0)).collect();
        assert_eq!(ends, [(0.0, 2.0), (5.0, 10.0)]);
        assert_eq!(between(stretch, &outside), [Stretch { from: at(2.0, 0.0), to: at(5.0, 0.0) }]);
        assert_eq!(stretch.outside(&[&region(-1.0, 11.0)]), []);
        assert_eq!(stretch.outside(&[]), [stretch]);
    }

    #[test]
    fn a_point_is_inside_or_not() {
        let point = Stretch { from: at(1.0, 1.0), to: at(1.0, 1.0) };
        let region = Region::rectangle(at(0.0, 0.0), at(2.0, 2.0)).unwrap();
        assert_eq!(point.outside(&[&region]), []);
        assert_eq!(point.outside(&[]), [point]);
    }
}
