//! Fills: a paper tint and a hatch for every kind of ground and way of treating it. Every hatch differs
//! from every other in shape, so that a black-and-white copy, or an eye that does not see colour,
//! tells them apart.

use crate::markup::{Markup, coordinate};
use label::Method;
use treatment::ZoneKind;

/// What a piece of ground looks like.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Look {
    /// Ground on which nothing is done, and the number of its reason among those for the same kind.
    Left(ZoneKind, usize),
    /// Treated ground: how, and the number of the task among those of the same method.
    Treated(Method, usize),
}

enum Stroke {
    Line(f64, f64, f64, f64),
    Dot(f64, f64, f64),
    Ring(f64, f64, f64),
    Path(&'static str),
    Shape(&'static str),
}
use Stroke::{Dot, Line, Path, Ring, Shape};

struct Hatch {
    paper: &'static str,
    ink: &'static str,
    tile: (f64, f64),
    turn: f64,
    width: f64,
    strokes: Vec<Stroke>,
}

impl Look {
    /// The name of the pattern, unique in the picture.
    pub(crate) fn id(self) -> String {
        match self {
            Self::Left(kind, number) => format!("map-left-{}-{}", kind.word(), number + 1),
            Self::Treated(method, number) => format!("map-treated-{}-{}", method.word(), number + 1),
        }
    }

    /// Whether labels on it must be white.
    pub(crate) fn is_dark(self) -> bool {
        matches!(self, Self::Left(ZoneKind::Structure, _))
    }

    /// Writes the `<pattern>`.
    pub(crate) fn write(self, svg: &mut Markup, colour: bool) {
        let hatch = self.hatch();
        // A second task of the same method, or reason for the same kind of ground: the same strokes, half
        // as far apart again and turned. Setbacks have strokes of their own for the first few.
        let number = match self {
            Self::Left(ZoneKind::Setback, number) => number / SETBACKS,
            Self::Left(_, number) | Self::Treated(_, number) => number,
        };
        let (stretch, turn) = (1.0 + 0.45 * number as f64, hatch.turn + 60.0 * number as f64);
        let (paper, ink) = self.inks(&hatch, colour);
        let (wide, high) = (hatch.tile.0 * stretch, hatch.tile.1 * stretch);
        let (wide, high) = (coordinate(wide), coordinate(high));
        let turned = format!("rotate({})", coordinate(turn));
        svg.open(
            "pattern",
            &[
                ("id", &self.id()),
                ("patternUnits", "userSpaceOnUse"),
                ("width", &wide),
                ("height", &high),
                ("patternTransform", &turned),
            ],
        );
        svg.empty("rect", &[("width", &wide), ("height", &high), ("fill", paper)]);
        let width = coordinate(hatch.width);
        for stroke in &hatch.strokes {
            let drawn = |path: &str, svg: &mut Markup| {
                svg.empty("path", &[("d", path), ("stroke", ink), ("stroke-width", &width), ("fill", "none")]);
            };
            match *stroke {
                Line(x1, y1, x2, y2) => {
                    let [x1, y1, x2, y2] = [x1, y1, x2, y2].map(|value| coordinate(value * stretch));
                    drawn(&format!("M{x1} {y1}L{x2} {y2}"), svg);
                }
                Dot(x, y, r) | Ring(x, y, r) => {
                    let [x, y] = [x, y].map(|value| coordinate(value * stretch));
                    let r = coordinate(r);
                    if matches!(stroke, Dot(..)) {
                        svg.empty("circle", &[("cx", &x), ("cy", &y), ("r", &r), ("fill", ink)]);
                    } else {
                        svg.empty(
                            "circle",
                            &[
                                ("cx", &x),
                                ("cy", &y),
                                ("r", &r),
                                ("fill", "none"),
                                ("stroke", ink),
                                ("stroke-width", &width),
                            ],
                        );
                    }
                }
                Path(path) => drawn(path, svg),
                Shape(path) => svg.empty("path", &[("d", path), ("fill", ink)]),
            }
        }
        svg.close();
    }

    /// The plain tint below the hatch: viewers that leave hairlines between tiles show it there.
    pub(crate) fn paper(self, colour: bool) -> &'static str {
        self.inks(&self.hatch(), colour).0
    }

    fn inks(self, hatch: &Hatch, colour: bool) -> (&'static str, &'static str) {
        if colour {
            (hatch.paper, hatch.ink)
        } else if self.is_dark() {
            ("#404040", "#404040")
        } else {
            ("#ffffff", "#111111")
        }
    }

    fn hatch(self) -> Hatch {
        let new = |paper, ink, tile, turn, width, strokes| Hatch { paper, ink, tile, turn, width, strokes };
        match self {
            Self::Left(ZoneKind::Setback, number) => setback(number % SETBACKS),
            Self::Left(kind, _) => match kind {
                ZoneKind::Structure => new("#3f4347", "#3f4347", (8.0, 8.0), 0.0, 0.0, vec![]),
                ZoneKind::Paved => new(
                    "#e6e4e0",
                    "#8b867d",
                    (16.0, 10.0),
                    0.0,
                    0.6,
                    vec![Path("M0 2.5H16M0 7.5H16M4 2.5V7.5M12 0V2.5M12 7.5V10")],
                ),
                ZoneKind::Edible => {
                    new("#fff2c9", "#7a4b00", (12.0, 12.0), 0.0, 1.0, vec![Path("M3 1V5M1 3H5M9 7V11M7 9H11")])
                }
                ZoneKind::Ornamental => {
                    new("#dcf1e7", "#0d604a", (12.0, 12.0), 0.0, 0.9, vec![Ring(3.0, 3.0, 2.0), Ring(9.0, 9.0, 2.0)])
                }
                ZoneKind::Water => new(
                    "#cfe6f7",
                    "#135a96",
                    (14.0, 8.0),
                    0.0,
                    1.0,
                    vec![Path("M0 4C2.3 1.5 4.7 1.5 7 4C9.3 6.5 11.7 6.5 14 4")],
                ),
                ZoneKind::BareSoil => new(
                    "#eee0cf",
                    "#6b4a2b",
                    (13.0, 13.0),
                    0.0,
                    0.0,
                    vec![Dot(2.0, 3.0, 0.9), Dot(8.0, 2.0, 0.6), Dot(5.0, 8.0, 0.7), Dot(11.0, 10.0, 0.9)],
                ),
                ZoneKind::Mulch => new(
                    "#ead9c8",
                    "#5d3a1a",
                    (12.0, 10.0),
                    0.0,
                    1.1,
                    vec![Line(1.0, 2.0, 4.0, 4.0), Line(7.0, 4.0, 10.0, 2.0), Line(4.0, 9.0, 7.0, 7.0)],
                ),
                ZoneKind::KeptFree => {
                    new("#ffffff", "#555555", (14.0, 14.0), 0.0, 0.8, vec![Path("M4 4L10 10M10 4L4 10")])
                }
                ZoneKind::Turf | ZoneKind::Band | ZoneKind::Setback => {
                    new("#f4f6ec", "#5c6e43", (16.0, 16.0), 0.0, 0.9, vec![Path("M2 6L4 2L6 6M10 14L12 10L14 14")])
                }
            },
            Self::Treated(method, _) => match method {
                Method::Broadcast => new("#e2f1d6", "#2e6b1f", (8.0, 8.0), 45.0, 1.2, vec![Line(0.0, 4.0, 8.0, 4.0)]),
                Method::Perimeter => new(
                    "#ffdfae",
                    "#8a3d00",
                    (5.0, 5.0),
                    45.0,
                    1.1,
                    vec![Line(0.0, 2.5, 5.0, 2.5), Line(2.5, 0.0, 2.5, 5.0)],
                ),
                Method::Foliar => {
                    new("#e8def6", "#4b2a85", (8.0, 8.0), 0.0, 0.0, vec![Dot(2.0, 2.0, 1.7), Dot(6.0, 6.0, 1.7)])
                }
                Method::Spot => {
                    new("#ffdcd5", "#9c1f10", (9.0, 9.0), 0.0, 1.0, vec![Ring(4.5, 4.5, 3.0), Dot(4.5, 4.5, 1.0)])
                }
                Method::CrackAndCrevice => {
                    new("#ffffff", "#222222", (3.0, 3.0), 0.0, 1.2, vec![Line(1.5, 0.0, 1.5, 3.0)])
                }
                Method::Drench => new(
                    "#d6ecf5",
                    "#0b4f6c",
                    (8.0, 10.0),
                    0.0,
                    1.4,
                    vec![Line(2.0, 0.0, 2.0, 5.0), Line(6.0, 5.0, 6.0, 10.0)],
                ),
                Method::GranularBroadcast => {
                    new("#f6f0c6", "#5c4d00", (5.0, 5.0), 0.0, 0.0, vec![Dot(1.25, 1.25, 0.9), Dot(3.75, 3.75, 0.9)])
                }
                Method::BaitBroadcast => new(
                    "#f8e2ef",
                    "#85195a",
                    (12.0, 12.0),
                    0.0,
                    0.0,
                    vec![Shape("M1 5L3 1L5 5Z"), Shape("M7 11L9 7L11 11Z")],
                ),
                Method::Mound => new("#f6e3d3", "#6e3410", (12.0, 8.0), 0.0, 1.2, vec![Path("M0 7A6 6 0 0 1 12 7")]),
                Method::BaitStation => new(
                    "#f3e6f6",
                    "#5d2370",
                    (12.0, 12.0),
                    0.0,
                    0.0,
                    vec![Shape("M1 1H5V5H1Z"), Shape("M7 7H11V11H7Z")],
                ),
                Method::Injection => {
                    new("#e4ebf8", "#1f3f85", (10.0, 10.0), 0.0, 1.4, vec![Path("M5 1V9M2.5 6.5L5 9L7.5 6.5")])
                }
            },
        }
    }
}

/// How many setbacks have strokes of their own.
const SETBACKS: usize = 4;

fn setback(number: usize) -> Hatch {
    let (tile, strokes) = match number {
        // Dashes, upright ticks, chevrons, and dashes with a dot between.
        0 => ((12.0, 9.0), vec![Line(1.0, 2.2, 8.0, 2.2), Line(7.0, 6.7, 12.0, 6.7), Line(0.0, 6.7, 2.0, 6.7)]),
        1 => ((10.0, 10.0), vec![Line(2.5, 1.0, 2.5, 4.5), Line(7.5, 6.0, 7.5, 9.5)]),
        2 => ((12.0, 8.0), vec![Path("M1 6L6 2L11 6")]),
        _ => ((14.0, 8.0), vec![Line(1.0, 4.0, 7.0, 4.0), Dot(10.5, 4.0, 1.1)]),
    };
    Hatch { paper: "#fdf0ee", ink: "#a3271b", tile, turn: 0.0, width: 1.0, strokes }
}
