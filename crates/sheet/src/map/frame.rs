//! From the plane of the property to the picture: what is in it, where it lies, scale and north.

use crate::Units;
use crate::markup::{Attributes, Markup, coordinate};
use crate::number::direction;
use geometry::{Bounds, Point, Region, Shape};
use quantity::{Length, LengthUnit};
use std::fmt::Write as _;
use treatment::{Status, Visit};

/// A polygon of the picture: its outer ring, then its holes.
pub(crate) type Polygon = Vec<Vec<(f64, f64)>>;

/// Room for the lengths of the sides round the ground.
const MARGIN: f64 = 30.0;
/// Height of the strip under the map with scale and north.
const STRIP: f64 = 40.0;

/// The window of the map.
pub(crate) struct Frame {
    /// Metres east and north of the lower left corner of the window.
    origin: (f64, f64),
    /// User units per metre.
    scale: f64,
    pub(crate) left: f64,
    pub(crate) top: f64,
    pub(crate) width: f64,
    pub(crate) height: f64,
    /// Whether the legend stands to the right of the map, not under it.
    pub(crate) legend_beside: bool,
}

impl Frame {
    /// A window round the property and what matters near it, in a picture of this width.
    pub(crate) fn around(visit: &Visit, picture: f64) -> Self {
        let (low, high) = extent(visit);
        let size = ((high.0 - low.0).max(0.5), (high.1 - low.1).max(0.5));
        let legend_beside = size.1 > size.0 * 0.62 && picture >= 640.0;
        let width = if legend_beside { (picture * 0.58).min(picture - 270.0) } else { picture - 8.0 };
        let inner = width - 2.0 * MARGIN;
        let tallest = if legend_beside { picture * 0.8 } else { picture * 0.7 };
        let scale = (inner / size.0).min((tallest - 2.0 * MARGIN) / size.1);
        let height = (size.1 * scale + 2.0 * MARGIN).max(160.0);
        // Ground smaller than the window stands in its middle.
        let spare = ((width - size.0 * scale) / 2.0, (height - size.1 * scale) / 2.0);
        let origin = (low.0 - spare.0 / scale, low.1 - spare.1 / scale);
        Self { origin, scale, left: 4.0, top: 4.0, width, height, legend_beside }
    }

    /// The lower edge of the map with its strip.
    pub(crate) fn bottom(&self) -> f64 {
        self.top + self.height + STRIP
    }

    /// Where a point of the plane lies in the picture.
    pub(crate) fn point(&self, point: Point) -> (f64, f64) {
        let (x, y) = point.metres();
        (self.left + (x - self.origin.0) * self.scale, self.top + self.height - (y - self.origin.1) * self.scale)
    }

    /// The polygons of a region in the picture.
    pub(crate) fn polygons(&self, region: &Region) -> Vec<Polygon> {
        let ring = |ring: &[Point]| -> Vec<(f64, f64)> { ring.iter().map(|point| self.point(*point)).collect() };
        region
            .outlines()
            .map(|outline| std::iter::once(ring(outline.exterior())).chain(outline.holes().map(ring)).collect())
            .collect()
    }

    /// Whether a place of the picture lies in the window, so far from its edge.
    pub(crate) fn shows(&self, (x, y): (f64, f64), from_edge: f64) -> bool {
        x >= self.left + from_edge
            && x <= self.left + self.width - from_edge
            && y >= self.top + from_edge
            && y <= self.top + self.height - from_edge
    }

    /// The nearest place in the window, so far from its edge.
    pub(crate) fn nearest(&self, (x, y): (f64, f64), from_edge: f64) -> (f64, f64) {
        (
            x.clamp(self.left + from_edge, self.left + self.width - from_edge),
            y.clamp(self.top + from_edge, self.top + self.height - from_edge),
        )
    }

    /// Writes the outline of the window.
    pub(crate) fn write_rect(&self, svg: &mut Markup, more: Attributes) {
        let [x, y, width, height] = [self.left, self.top, self.width, self.height].map(coordinate);
        let place = [("x", x.as_str()), ("y", y.as_str()), ("width", width.as_str()), ("height", height.as_str())];
        svg.empty("rect", &[&place[..], more].concat());
    }

    /// Writes the scale bar and the north arrow in the strip below the window.
    pub(crate) fn write_scale_and_north(&self, svg: &mut Markup, units: Units) {
        let unit = match units {
            Units::UsCustomary => LengthUnit::Foot,
            Units::Metric => LengthUnit::Metre,
        };
        let one = Length::new(1.0, unit).to(LengthUnit::Metre) * self.scale;
        let step = round_step(self.width * 0.28 / one / 4.0);
        let (x, y) = (self.left + 8.0, self.top + self.height + 10.0);
        for part in 0..4_u32 {
            let fill = if part.is_multiple_of(2) { "#111111" } else { "#ffffff" };
            svg.empty(
                "rect",
                &[
                    ("x", &coordinate(x + f64::from(part) * step * one)),
                    ("y", &coordinate(y)),
                    ("width", &coordinate(step * one)),
                    ("height", "6"),
                    ("fill", fill),
                    ("stroke", "#111111"),
                    ("stroke-width", "1"),
                ],
            );
        }
        for part in [0_u32, 2, 4] {
            let number = format!("{}", step * f64::from(part));
            let text = if part == 4 { format!("{number} {}", unit.symbol()) } else { number };
            svg.text(
                "text",
                &[
                    ("x", &coordinate(x + f64::from(part) * step * one)),
                    ("y", &coordinate(y + 19.0)),
                    ("font-size", "11"),
                    ("text-anchor", if part == 0 { "start" } else { "middle" }),
                ],
                &text,
            );
        }
        let (x, y) = (self.left + self.width - 18.0, self.top + self.height + 4.0);
        let arrow = |points: &[(f64, f64)]| {
            let mut path = String::new();
            for (index, (dx, dy)) in points.iter().enumerate() {
                path.push_str(if index == 0 { "M" } else { "L" });
                let _ = write!(path, "{} {}", coordinate(x + dx), coordinate(y + dy));
            }
            path + "Z"
        };
        let ink = ("stroke", "#111111");
        svg.empty("path", &[("d", &arrow(&[(0.0, 0.0), (-8.0, 30.0), (0.0, 24.0)])), ("fill", "#111111"), ink]);
        svg.empty("path", &[("d", &arrow(&[(0.0, 0.0), (8.0, 30.0), (0.0, 24.0)])), ("fill", "#ffffff"), ink]);
        svg.text(
            "text",
            &[
                ("x", &coordinate(x - 14.0)),
                ("y", &coordinate(y + 22.0)),
                ("font-size", "16"),
                ("font-weight", "bold"),
                ("text-anchor", "middle"),
            ],
            "N",
        );
    }
    /// Writes where the wind blows at the earliest start, in the strip below the window; nothing for a
    /// visit that may not start, or when the forecast does not tell it.
    pub(crate) fn write_wind(&self, svg: &mut Markup, visit: &Visit, units: Units) {
        let Some(start) = visit.start_window.filter(|_| visit.verdict() != Status::Refused) else { return };
        let hour = visit.hours.iter().rfind(|hour| hour.start <= start.first);
        let Some((hour, from)) = hour.and_then(|hour| hour.wind_from.map(|from| (hour, from))) else { return };
        let speed =
            hour.wind.map_or_else(String::new, |wind| format!(", {} {}", units.wind(wind), units.wind_symbol()));
        let name = direction(from);
        let from_words = name.split(' ').next().unwrap_or(&name);
        let lines = [format!("wind from {from_words}{speed}"), format!("forecast for {}", units.hour(hour.start))];
        let (x, y) = (self.left + self.width - 170.0, self.top + self.height + 20.0);
        // The arrow points the way the wind blows; at no turn it points north.
        let place = format!(
            "translate({} {}) rotate({})",
            coordinate(x),
            coordinate(y),
            coordinate((from.degrees() + 180.0) % 360.0)
        );
        svg.empty(
            "path",
            &[
                ("d", "M0 13V-8M-6 -4L0 -13L6 -4"),
                ("transform", &place),
                ("fill", "none"),
                ("stroke", "#111111"),
                ("stroke-width", "2.6"),
            ],
        );
        for (line, down) in lines.iter().zip([-3.0, 11.0]) {
            svg.text("text", &[("x", &coordinate(x + 18.0)), ("y", &coordinate(y + down)), ("font-size", "11")], line);
        }
    }
}

/// The greatest of 1, 2, 5 times a power of ten that is not above the number.
fn round_step(most: f64) -> f64 {
    let power = 10_f64.powf(most.max(1e-3).log10().floor());
    [5.0, 2.0, 1.0].into_iter().map(|count| count * power).find(|step| *step <= most).unwrap_or(power)
}

/// The ground, and what matters near it as far as nearly half the ground's own size away.
fn extent(visit: &Visit) -> ((f64, f64), (f64, f64)) {
    let regions = visit.zones.iter().map(|zone| &zone.region).chain([visit.property.boundary()]);
    let ground = regions.filter_map(Region::bounds).reduce(|all, one| all.joined(&one));
    let Some(ground) = ground else { return ((0.0, 0.0), (30.0, 30.0)) };
    let (low, high) = (ground.south_west().metres(), ground.north_east().metres());
    let reach = 0.42 * (high.0 - low.0).max(high.1 - low.1);
    let mut all = [[low.0, high.0], [low.1, high.1]];
    let features = visit.property.features().iter().map(property::Feature::shape);
    for bounds in features.filter_map(Shape::bounds) {
        let (from, to) = corners(&bounds);
        let gap = |axis: usize, ground: [f64; 2]| -> Option<f64> {
            if from[axis] > ground[1] {
                Some(from[axis])
            } else if to[axis] < ground[0] {
                Some(to[axis])
            } else {
                None
            }
        };
        let near = [gap(0, [low.0, high.0]), gap(1, [low.1, high.1])];
        let within = [[low.0, high.0], [low.1, high.1]];
        let reachable = (0..2)
            .all(|axis| near[axis].is_none_or(|at| at >= within[axis][0] - reach && at <= within[axis][1] + reach));
        if reachable {
            for (span, at) in all.iter_mut().zip(near) {
                if let Some(at) = at {
                    // A little beyond, so that the symbol is seen whole.
                    let beyond = 0.03 * reach / 0.42;
                    span[0] = span[0].min(at - beyond);
                    span[1] = span[1].max(at + beyond);
                }
            }
        }
    }
    ((all[0][0], all[1][0]), (all[0][1], all[1][1]))
}

fn corners(bounds: &Bounds) -> ([f64; 2], [f64; 2]) {
    let (low, high) = (bounds.south_west().metres(), bounds.north_east().metres());
    ([low.0, low.1], [high.0, high.1])
}

#[cfg(test)]
mod tests {
    use super::round_step;

    #[test]
    fn steps_of_the_scale_are_round() {
        assert_eq!(round_step(14.9), 10.0);
        assert_eq!(round_step(20.0), 20.0);
        assert_eq!(round_step(0.7), 0.5);
    }
}
