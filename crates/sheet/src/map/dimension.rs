//! Lengths along the sides of the lot and of buildings.

use crate::Units;
use crate::map::frame::Frame;
use crate::map::place::{Rect, Taken};
use crate::markup::{Markup, coordinate, text_width};
use geometry::{Point, Region};
use quantity::LengthUnit;
use treatment::Visit;

/// On which side of an edge its length is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Side {
    /// Away from the ground.
    Outside,
    /// On the ground, in white, for buildings.
    Inside,
}

/// Writes the length of every straight side that is long enough to carry it.
pub(crate) fn sides(svg: &mut Markup, region: &Region, frame: &Frame, units: Units, side: Side, taken: &mut Taken) {
    let size = if side == Side::Outside { 12.0 } else { 10.0 };
    for outline in region.outlines() {
        for (from, to) in straight_sides(outline.exterior()) {
            let text = units.side(from.distance_to(to));
            let (a, b) = (frame.point(from), frame.point(to));
            let (dx, dy) = (b.0 - a.0, b.1 - a.1);
            let length = dx.hypot(dy);
            let wide = text_width(&text, size);
            if length < wide + 6.0 {
                continue;
            }
            // The outer ring runs anticlockwise on the ground, so the ground lies to its left; the
            // picture's y axis points down.
            let outwards = (-dy / length, dx / length);
            let away = if side == Side::Outside { size * 0.95 } else { -size * 0.85 };
            let middle = (f64::midpoint(a.0, b.0), f64::midpoint(a.1, b.1));
            let at = (middle.0 + outwards.0 * away, middle.1 + outwards.1 * away);
            let mut turn = dy.atan2(dx).to_degrees();
            // Read from below or from the right.
            if turn > 90.0 || turn <= -90.0 {
                turn += if turn > 0.0 { -180.0 } else { 180.0 };
            }
            if turn > 89.5 {
                turn -= 180.0;
            }
            let (cos, sin) = (turn.to_radians().cos().abs(), turn.to_radians().sin().abs());
            let rect = Rect::sized(wide * cos + size * sin, wide * sin + size * cos).at(at.0, at.1);
            if !frame.shows(at, size / 2.0) || !taken.is_free(&rect) {
                continue;
            }
            taken.add(rect);
            let fill = if side == Side::Outside { "#111111" } else { "#ffffff" };
            svg.text(
                "text",
                &[
                    (
                        "transform",
                        &format!(
                            "translate({} {}) rotate({}) translate(0 {})",
                            coordinate(at.0),
                            coordinate(at.1),
                            coordinate(turn),
                            coordinate(size * 0.35)
                        ),
                    ),
                    ("font-size", &coordinate(size)),
                    ("text-anchor", "middle"),
                    ("fill", fill),
                ],
                &text,
            );
        }
    }
}

/// Writes on the line of every distance kept how far it lies, once for each: on its longest straight side
/// on the property.
pub(crate) fn distances(svg: &mut Markup, visit: &Visit, frame: &Frame, units: Units, taken: &mut Taken) {
    const SIZE: f64 = 11.0;
    for setback in &visit.setbacks {
        let text = units.side(setback.distance);
        let rect = Rect::sized(text_width(&text, SIZE) + 4.0, SIZE + 2.0);
        let rings = setback.region.outlines().flat_map(|outline| straight_sides(outline.exterior()));
        let mut sides: Vec<(Point, Point)> = rings.collect();
        sides.sort_by(|a, b| b.0.distance_to(b.1).to(METRE).total_cmp(&a.0.distance_to(a.1).to(METRE)));
        let places = sides.iter().flat_map(|(from, to)| {
            // In the middle, or else nearer to an end.
            [0.5, 0.35, 0.65, 0.2, 0.8].map(|along| {
                let ((x1, y1), (x2, y2)) = (from.metres(), to.metres());
                Point::from_metres(x1 + (x2 - x1) * along, y1 + (y2 - y1) * along)
            })
        });
        let free = places
            .filter(|place| visit.property.boundary().contains(*place))
            .map(|place| frame.point(place))
            .map(|(x, y)| rect.at(x, y))
            .find(|rect| frame.shows(rect.centre(), SIZE) && taken.is_free(rect));
        let Some(rect) = free else { continue };
        taken.add(rect);
        let (x, y) = rect.centre();
        let place = [rect.left, rect.top, rect.right - rect.left, rect.bottom - rect.top].map(coordinate);
        svg.empty(
            "rect",
            &[("x", &place[0]), ("y", &place[1]), ("width", &place[2]), ("height", &place[3]), ("fill", "#ffffff")],
        );
        svg.text(
            "text",
            &[
                ("x", &coordinate(x)),
                ("y", &coordinate(y + SIZE * 0.35)),
                ("font-size", &coordinate(SIZE)),
                ("text-anchor", "middle"),
            ],
            &text,
        );
    }
}

const METRE: LengthUnit = LengthUnit::Metre;

/// Sides of a ring; corners that turn less than a degree do not end one, unless it all is a curve.
fn straight_sides(ring: &[Point]) -> Vec<(Point, Point)> {
    let count = ring.len();
    let corners: Vec<usize> = (0..count)
        .filter(|index| {
            let before = ring[(index + count - 1) % count];
            let (here, after) = (ring[*index], ring[(index + 1) % count]);
            before.bearing_to(here).angle_to(here.bearing_to(after)) > 1.0
        })
        .collect();
    if corners.len() < 2 {
        return Vec::new();
    }
    let next = corners.iter().cycle().skip(1);
    corners.iter().zip(next).map(|(from, to)| (ring[*from], ring[*to])).collect()
}
