//! Symbols for what stands on the map without being ground: hives, wells, drains, water lines, trees.

use crate::map::frame::Frame;
use crate::map::place::{Rect, Taken};
use crate::map::{NAME, write_name};
use crate::markup::{Markup, coordinate, line_path, rings_path, shortened, text_width};
use crate::words::feature_name;
use geometry::Shape;
use property::{Feature, Kind};
use treatment::{Visit, ZoneKind};

/// One such feature in the picture.
pub(crate) struct Symbol<'a> {
    feature: &'a Feature,
    drawn: Drawn,
    name: String,
}

enum Drawn {
    /// A sign at a place.
    Sign((f64, f64)),
    /// An arrow at the edge of the window towards a place beyond it.
    Beyond { at: (f64, f64), towards: f64 },
    /// Along a line; the name stands near the place.
    Line { path: Vec<(f64, f64)>, at: (f64, f64), turn: f64 },
    /// An outline that is no part of the ground; the name stands near the place.
    Outline { path: String, at: (f64, f64) },
}

/// Half the size of a sign.
const SIGN: f64 = 7.0;

/// Every feature that no zone shows, in the order of the map.
pub(crate) fn of<'a>(visit: &'a Visit, frame: &Frame) -> Vec<Symbol<'a>> {
    let mut symbols = Vec::new();
    for feature in visit.property.features() {
        let name = shortened(&name_of(feature), NAME, 170.0);
        let drawn = match feature.shape() {
            Shape::Point(point) => sign(frame.point(*point), frame),
            Shape::Line(line) => {
                let path: Vec<_> = line.points().iter().map(|point| frame.point(*point)).collect();
                match middle_in_window(&path, frame) {
                    Some((at, turn)) => Drawn::Line { path, at, turn },
                    None => match path.iter().min_by(|a, b| far(**a, frame).total_cmp(&far(**b, frame))) {
                        Some(nearest) => sign(*nearest, frame),
                        None => continue,
                    },
                }
            }
            Shape::Region(region) => {
                let Some(centre) = region.interior_point() else { continue };
                if is_shown_as_zone(visit, feature, centre) {
                    continue;
                }
                let at = frame.point(centre);
                if frame.shows(at, 0.0) {
                    let path = frame.polygons(region).iter().map(|polygon| rings_path(polygon)).collect();
                    Drawn::Outline { path, at }
                } else {
                    sign(at, frame)
                }
            }
        };
        symbols.push(Symbol { feature, drawn, name });
    }
    symbols
}

/// The name, and the kind too where the name does not tell it.
fn name_of(feature: &Feature) -> String {
    let kind = feature.kind().word().replace('-', " ");
    let label = feature_name(feature);
    if label.to_lowercase().contains(&kind) { label } else { format!("{label} ({kind})") }
}

fn is_shown_as_zone(visit: &Visit, feature: &Feature, centre: geometry::Point) -> bool {
    if !visit.property.boundary().contains(centre) {
        return false;
    }
    let is_ground = feature.kind().is_ground();
    let kept_free = visit.zones.iter().any(|zone| zone.kind == ZoneKind::KeptFree && zone.region.contains(centre));
    is_ground || kept_free
}

fn sign(at: (f64, f64), frame: &Frame) -> Drawn {
    if frame.shows(at, SIGN) {
        return Drawn::Sign(at);
    }
    let edge = frame.nearest(at, SIGN + 3.0);
    Drawn::Beyond { at: edge, towards: (at.1 - edge.1).atan2(at.0 - edge.0).to_degrees() }
}

fn far(at: (f64, f64), frame: &Frame) -> f64 {
    let near = frame.nearest(at, 0.0);
    (at.0 - near.0).hypot(at.1 - near.1)
}

/// The middle of the part of a line that the window shows, and the line's turn there.
fn middle_in_window(path: &[(f64, f64)], frame: &Frame) -> Option<((f64, f64), f64)> {
    let mut shown = Vec::new();
    for pair in path.windows(2) {
        let (dx, dy) = (pair[1].0 - pair[0].0, pair[1].1 - pair[0].1);
        let steps = (dx.hypot(dy) / 4.0).ceil().clamp(1.0, 2000.0) as u32;
        for step in 0..=steps {
            let along = f64::from(step) / f64::from(steps);
            let at = (pair[0].0 + dx * along, pair[0].1 + dy * along);
            if frame.shows(at, 2.0) {
                shown.push((at, dy.atan2(dx).to_degrees()));
            }
        }
    }
    shown.get(shown.len() / 2).copied()
}

impl Symbol<'_> {
    /// Keeps labels off the sign.
    pub(crate) fn reserve(&self, taken: &mut Taken) {
        match &self.drawn {
            Drawn::Sign(at) => taken.add(Rect::sized(2.0 * SIGN + 2.0, 2.0 * SIGN + 2.0).at(at.0, at.1)),
            Drawn::Beyond { at, .. } => taken.add(Rect::sized(2.0 * SIGN + 6.0, 2.0 * SIGN + 6.0).at(at.0, at.1)),
            Drawn::Line { .. } | Drawn::Outline { .. } => {}
        }
    }

    /// Draws the sign.
    pub(crate) fn write(&self, svg: &mut Markup, colour: bool) {
        match &self.drawn {
            Drawn::Sign(at) => write_sign(svg, self.feature.kind().kind(), *at),
            Drawn::Beyond { at, towards } => {
                let place =
                    format!("translate({} {}) rotate({})", coordinate(at.0), coordinate(at.1), coordinate(*towards));
                svg.empty(
                    "path",
                    &[
                        ("d", "M-9 0H6M1 -5L7 0L1 5"),
                        ("transform", &place),
                        ("fill", "none"),
                        ("stroke", "#111111"),
                        ("stroke-width", "2.4"),
                    ],
                );
            }
            Drawn::Line { path, .. } => {
                let (ink, dashes) = match self.feature.kind().kind() {
                    Kind::Water => (if colour { "#135a96" } else { "#555555" }, "none"),
                    Kind::Drain => ("#222222", "2 3"),
                    _ => ("#222222", "10 3 2 3"),
                };
                let path = line_path(path);
                svg.empty("path", &[("d", &path), ("fill", "none"), ("stroke", "#ffffff"), ("stroke-width", "7")]);
                svg.empty(
                    "path",
                    &[
                        ("d", &path),
                        ("fill", "none"),
                        ("stroke", ink),
                        ("stroke-width", "3.6"),
                        ("stroke-dasharray", dashes),
                    ],
                );
            }
            Drawn::Outline { path, .. } => {
                svg.empty(
                    "path",
                    &[
                        ("d", path),
                        ("fill", "none"),
                        ("stroke", "#222222"),
                        ("stroke-width", "1.4"),
                        ("stroke-dasharray", "2 2.5"),
                    ],
                );
            }
        }
    }

    /// Writes the name at the first free of the places round the sign.
    pub(crate) fn write_name(&self, svg: &mut Markup, frame: &Frame, taken: &mut Taken) {
        let (wide, high) = (text_width(&self.name, NAME), NAME + 2.0);
        if let Drawn::Line { at, turn, .. } = &self.drawn {
            return self.write_along(svg, *at, *turn, (wide, high), taken);
        }
        let (Drawn::Sign(at) | Drawn::Beyond { at, .. } | Drawn::Outline { at, .. }) = &self.drawn else { return };
        let gap = SIGN + 4.0;
        let beside = gap + wide / 2.0;
        let above = gap + high / 2.0;
        let places = [
            (0.0, above),
            (0.0, -above),
            (beside, 0.0),
            (-beside, 0.0),
            (beside, above),
            (-beside, above),
            (beside, -above),
            (-beside, -above),
            (0.0, above + 14.0),
            (0.0, -above - 14.0),
        ];
        for (dx, dy) in places {
            let rect = Rect::sized(wide, high).at(at.0 + dx, at.1 + dy);
            let inside = frame.shows((rect.left, rect.top), 2.0) && frame.shows((rect.right, rect.bottom), 2.0);
            if inside && taken.is_free(&rect) {
                taken.add(rect);
                let (x, y) = rect.centre();
                write_name(svg, &self.name, x, y + NAME * 0.35, "middle", "#111111", "#ffffff");
                return;
            }
        }
        // No place is free: the window's own nearest place is better than no name.
        let rect = Rect::sized(wide, high);
        let x = at.0.clamp(
            frame.left + wide / 2.0 + 3.0,
            (frame.left + frame.width - wide / 2.0 - 3.0).max(frame.left + wide / 2.0 + 3.0),
        );
        let y = (at.1 + above).clamp(frame.top + high, frame.top + frame.height - high);
        taken.add(rect.at(x, y));
        write_name(svg, &self.name, x, y + NAME * 0.35, "middle", "#111111", "#ffffff");
    }

    fn write_along(&self, svg: &mut Markup, at: (f64, f64), turn: f64, (wide, high): (f64, f64), taken: &mut Taken) {
        let mut turn = turn;
        if turn > 90.0 || turn <= -90.0 {
            turn += if turn > 0.0 { -180.0 } else { 180.0 };
        }
        if turn > 89.5 {
            turn -= 180.0;
        }
        let (sin, cos) = turn.to_radians().sin_cos();
        let away = NAME * 0.5 + 5.0;
        // Above the text's own line first, then below it.
        let sides = [(sin * away, -cos * away), (-sin * away, cos * away)];
        let place = |(dx, dy): (f64, f64)| {
            Rect::sized(wide * cos.abs() + high * sin.abs(), wide * sin.abs() + high * cos.abs())
                .at(at.0 + dx, at.1 + dy)
        };
        let rect =
            sides.iter().map(|side| place(*side)).find(|rect| taken.is_free(rect)).unwrap_or_else(|| place(sides[0]));
        taken.add(rect);
        let (x, y) = rect.centre();
        svg.open(
            "g",
            &[("transform", &format!("translate({} {}) rotate({})", coordinate(x), coordinate(y), coordinate(turn)))],
        );
        write_name(svg, &self.name, 0.0, NAME * 0.35, "middle", "#111111", "#ffffff");
        svg.close();
    }
}

fn write_sign(svg: &mut Markup, kind: Kind, (x, y): (f64, f64)) {
    let place = format!("translate({} {})", coordinate(x), coordinate(y));
    svg.open("g", &[("transform", &place), ("stroke", "#111111"), ("stroke-width", "1.6"), ("fill", "#ffffff")]);
    let path = |svg: &mut Markup, d: &str| svg.empty("path", &[("d", d)]);
    match kind {
        // A skep: a dome of three coils on its board.
        Kind::Hive => {
            path(svg, "M-6 6C-6 -3 -4 -7 0 -7C4 -7 6 -3 6 6Z");
            path(svg, "M-8 6H8M-5.5 2H5.5M-4.5 -2.5H4.5");
        }
        Kind::Well => {
            svg.empty("circle", &[("r", "6.5")]);
            svg.empty("circle", &[("r", "2.2"), ("fill", "#111111")]);
        }
        Kind::Drain => path(svg, "M-6.5 -6.5H6.5V6.5H-6.5ZM-3 -6.5V6.5M0 -6.5V6.5M3 -6.5V6.5"),
        Kind::Tree => {
            svg.empty("circle", &[("r", "6.5")]);
            path(svg, "M-3.5 0H3.5M0 -3.5V3.5");
        }
        Kind::EntryPoint => path(svg, "M0 -7L6.5 5H-6.5Z"),
        Kind::Mound => path(svg, "M-7 5A7 9 0 0 1 7 5Z"),
        Kind::PlayArea | Kind::PetArea => path(svg, "M0 -7L7 0L0 7L-7 0Z"),
        Kind::NoGo => {
            svg.empty("circle", &[("r", "6.5")]);
            path(svg, "M-4.5 -4.5L4.5 4.5");
        }
        Kind::Water => {
            svg.empty("circle", &[("r", "6.5")]);
            path(svg, "M-4.5 0C-3 -2.5 -1.5 -2.5 0 0C1.5 2.5 3 2.5 4.5 0");
        }
        _ => svg.empty("circle", &[("r", "4")]),
    }
    svg.close();
}
