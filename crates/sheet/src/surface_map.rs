//! The surface of counts on the turf: how likely each square is infested, what is to be treated, and where to count next.

use crate::markup::{Markup, coordinate, rings_path};
use geometry::{Bounds, Point, Region};
use quantity::LengthUnit;
use scouting::{CountAt, HotSpots};

/// What is drawn.
#[derive(Debug, Clone, Copy)]
pub struct SurfacePicture<'a> {
    /// The turf.
    pub turf: &'a Region,
    /// The squares and the ground to treat.
    pub spots: &'a HotSpots,
    /// The counts at their places.
    pub counts: &'a [CountAt],
    /// The next places to count at, best first.
    pub next: &'a [Point],
    /// Of what, in words.
    pub of: &'a str,
    /// Tints; without, black and white only.
    pub colour: bool,
    /// Width of the picture in SVG user units (CSS pixels); at least 360 is used.
    pub width: u32,
}

/// Steps of chance, with tints for colour and for black and white.
const STEPS: [(f64, &str, &str, &str); 5] = [
    (0.1, "#f7f7f2", "#ffffff", "under 10 %"),
    (0.3, "#e6e2c3", "#e8e8e8", "10 to 30 %"),
    (0.5, "#d9b365", "#c8c8c8", "30 to 50 %"),
    (0.7, "#bf6d2c", "#9c9c9c", "50 to 70 %"),
    (1.01, "#8c2d04", "#6a6a6a", "70 % and more"),
];

const MARGIN: f64 = 12.0;
const KEY_LINE: f64 = 20.0;

/// The picture as an SVG document with a key in words.
pub fn surface_svg(picture: &SurfacePicture<'_>) -> String {
    let width = f64::from(picture.width.max(360));
    let frame = Frame::around(picture.turf, width);
    let lines = STEPS.len() + 3;
    let height = frame.bottom + MARGIN + lines as f64 * KEY_LINE + MARGIN;
    let told = (format!("Where it is likely infested: {}", picture.of), description(picture));
    let mut svg = Markup::picture("surface", (width, height), Some(12.0), (&told.0, &told.1));
    svg.paper((width, height));
    svg.open("defs", &[]);
    svg.open("clipPath", &[("id", "surface-turf")]);
    svg.empty("path", &[("d", &frame.path(picture.turf)), ("clip-rule", "evenodd")]);
    svg.close();
    svg.close();
    svg.open("g", &[("clip-path", "url(#surface-turf)"), ("shape-rendering", "crispEdges")]);
    let edge = picture.spots.square.to(LengthUnit::Metre) * frame.scale;
    for square in &picture.spots.squares {
        let (x, y) = frame.place(square.middle);
        svg.empty(
            "rect",
            &[
                ("x", &coordinate(x - edge / 2.0)),
                ("y", &coordinate(y - edge / 2.0)),
                ("width", &coordinate(edge)),
                ("height", &coordinate(edge)),
                ("fill", tint(square.chance, picture.colour)),
            ],
        );
    }
    svg.close();
    let outline = |svg: &mut Markup, region: &Region, width: &str, dash: &str| {
        svg.empty(
            "path",
            &[
                ("d", &frame.path(region)),
                ("fill", "none"),
                ("stroke", "#111111"),
                ("stroke-width", width),
                ("stroke-dasharray", dash),
            ],
        );
    };
    outline(&mut svg, picture.turf, "1", "none");
    outline(&mut svg, &picture.spots.ground, "3", "7 4");
    for one in picture.counts {
        let (x, y) = frame.place(one.at);
        mark(&mut svg, (x, y), &one.count.to_string());
    }
    for (number, place) in (1..).zip(picture.next) {
        let (x, y) = frame.place(*place);
        next_mark(&mut svg, (x, y), number);
    }
    write_key(&mut svg, frame.bottom + MARGIN, picture);
    svg.finish()
}

fn description(picture: &SurfacePicture<'_>) -> String {
    let share = picture.spots.ground.area().ratio(picture.spots.turf);
    format!(
        "{} counts; {:.0} % of the turf is to be treated; {} more places to count at are numbered.",
        picture.counts.len(),
        share * 100.0,
        picture.next.len()
    )
}

fn tint(chance: f64, colour: bool) -> &'static str {
    let step = STEPS.iter().find(|(below, ..)| chance < *below).unwrap_or(&STEPS[STEPS.len() - 1]);
    if colour { step.1 } else { step.2 }
}

/// A count: its number on white, so that it can be read on any tint.
fn mark(svg: &mut Markup, (x, y): (f64, f64), text: &str) {
    let half = 5.0 + 3.5 * text.len() as f64;
    svg.empty(
        "rect",
        &[
            ("x", &coordinate(x - half)),
            ("y", &coordinate(y - 8.0)),
            ("width", &coordinate(2.0 * half)),
            ("height", "16"),
            ("rx", "3"),
            ("fill", "#ffffff"),
            ("stroke", "#111111"),
        ],
    );
    svg.text("text", &[("x", &coordinate(x)), ("y", &coordinate(y + 4.0)), ("text-anchor", "middle")], text);
}

fn next_mark(svg: &mut Markup, (x, y): (f64, f64), number: u32) {
    svg.empty(
        "circle",
        &[
            ("cx", &coordinate(x)),
            ("cy", &coordinate(y)),
            ("r", "9"),
            ("fill", "#0b4f9e"),
            ("stroke", "#ffffff"),
            ("stroke-width", "2"),
        ],
    );
    let (x, y) = (coordinate(x), coordinate(y + 4.0));
    svg.text("text", &[("x", &x), ("y", &y), ("text-anchor", "middle"), ("fill", "#ffffff")], &number.to_string());
}

fn write_key(svg: &mut Markup, top: f64, picture: &SurfacePicture<'_>) {
    let mut line = top;
    let say = |svg: &mut Markup, line: f64, text: &str| {
        svg.text("text", &[("x", &coordinate(MARGIN + 40.0)), ("y", &coordinate(line + 12.0))], text);
    };
    for (_, colour, plain, words) in STEPS {
        let fill = if picture.colour { colour } else { plain };
        svg.empty(
            "rect",
            &[
                ("x", &coordinate(MARGIN)),
                ("y", &coordinate(line)),
                ("width", "30"),
                ("height", "15"),
                ("fill", fill),
                ("stroke", "#111111"),
            ],
        );
        say(svg, line, &format!("at or above the threshold: {words} likely"));
        line += KEY_LINE;
    }
    svg.empty(
        "rect",
        &[
            ("x", &coordinate(MARGIN + 1.5)),
            ("y", &coordinate(line + 1.5)),
            ("width", "27"),
            ("height", "12"),
            ("fill", "none"),
            ("stroke", "#111111"),
            ("stroke-width", "3"),
            ("stroke-dasharray", "7 4"),
        ],
    );
    say(svg, line, "to be treated");
    line += KEY_LINE;
    mark(svg, (MARGIN + 15.0, line + 8.0), "3");
    say(svg, line, "a count, and how many were found");
    line += KEY_LINE;
    next_mark(svg, (MARGIN + 15.0, line + 8.0), 1);
    say(svg, line, "where to count next, in this order");
}

struct Frame {
    scale: f64,
    west: f64,
    north: f64,
    bottom: f64,
}

impl Frame {
    fn around(turf: &Region, width: f64) -> Self {
        let bounds =
            turf.bounds().or_else(|| Bounds::around([Point::from_metres(0.0, 0.0), Point::from_metres(1.0, 1.0)]));
        let ((west, south), (east, north)) = bounds
            .map_or(((0.0, 0.0), (1.0, 1.0)), |bounds| (bounds.south_west().metres(), bounds.north_east().metres()));
        let room = width - 2.0 * MARGIN;
        let scale = (room / (east - west).max(0.1)).min(700.0 / (north - south).max(0.1));
        Self { scale, west, north, bottom: MARGIN + (north - south) * scale }
    }

    fn place(&self, point: Point) -> (f64, f64) {
        let (x, y) = point.metres();
        (MARGIN + (x - self.west) * self.scale, MARGIN + (self.north - y) * self.scale)
    }

    fn path(&self, region: &Region) -> String {
        let ring = |points: &[Point]| points.iter().map(|point| self.place(*point)).collect::<Vec<_>>();
        let rings: Vec<Vec<(f64, f64)>> = region
            .outlines()
            .flat_map(|outline| {
                std::iter::once(ring(outline.exterior())).chain(outline.holes().map(ring)).collect::<Vec<_>>()
            })
            .collect();
        rings_path(&rings)
    }
}
