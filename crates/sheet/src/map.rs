//! The map of a visit: ground by hatch, edges by length, features by symbol, and a legend that names
//! every hatch with its area and what is done there.

mod dimension;
mod frame;
mod hatch;
mod legend;
mod place;
mod symbol;

use crate::Units;
use crate::markup::{Markup, coordinate, rings_path, shortened, text_width};
use crate::words::zone_name;
use frame::{Frame, Polygon};
use geometry::Region;
use hatch::Look;
use legend::Entry;
use place::{Rect, Taken};
use property::Kind;
use treatment::{Visit, Zone, ZoneKind, ZoneUse};

/// How the map is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MapOptions {
    /// Tints beside the hatches; without, black and white only.
    pub colour: bool,
    /// The units in which lengths and areas are told.
    pub units: Units,
    /// Width of the picture in SVG user units (CSS pixels); at least 480 is used.
    pub width: u32,
}

impl Default for MapOptions {
    fn default() -> Self {
        Self { colour: true, units: Units::UsCustomary, width: 960 }
    }
}

/// Size of the key letters.
const KEY: f64 = 13.0;
/// Size of names on the map.
const NAME: f64 = 12.0;

/// The map as an SVG document with its own title and description. Names are text and never markup.
pub fn svg_map(visit: &Visit, options: MapOptions) -> String {
    let width = f64::from(options.width.max(480));
    let entries = legend::entries(visit, options.units);
    let frame = Frame::around(visit, width);
    let legend = legend::Legend::arranged(&entries, &legend::headings(visit), &frame, width, visit.verdict());
    let height = frame.bottom().max(legend.bottom()) + 4.0;
    let told = (format!("Map of {}", visit.name), legend::description(&entries, visit.verdict()));
    let mut svg = Markup::picture("map", (width, height), None, (&told.0, &told.1));
    svg.open("defs", &[]);
    for entry in &entries {
        entry.look.write(&mut svg, options.colour);
    }
    svg.open("clipPath", &[("id", "map-frame")]);
    frame.write_rect(&mut svg, &[]);
    svg.close();
    svg.close();
    svg.paper((width, height));
    draw_ground(&mut svg, visit, &entries, &frame, options);
    frame.write_rect(&mut svg, &[("fill", "none"), ("stroke", "#111111"), ("stroke-width", "1")]);
    frame.write_scale_and_north(&mut svg, options.units);
    frame.write_wind(&mut svg, visit, options.units);
    legend.write(&mut svg, &entries, options.colour);
    svg.finish()
}

fn draw_ground(svg: &mut Markup, visit: &Visit, entries: &[Entry], frame: &Frame, options: MapOptions) {
    svg.open("g", &[("clip-path", "url(#map-frame)")]);
    for entry in entries {
        for index in &entry.zones {
            let zone = &visit.zones[*index];
            let path: String = frame.polygons(&zone.region).iter().map(|polygon| rings_path(polygon)).collect();
            let paper = entry.look.paper(options.colour);
            svg.empty("path", &[("d", &path), ("fill", paper), ("fill-rule", "evenodd")]);
            svg.empty(
                "path",
                &[
                    ("d", &path),
                    ("fill", &format!("url(#{})", entry.look.id())),
                    ("fill-rule", "evenodd"),
                    ("stroke", "#222222"),
                    ("stroke-width", "0.8"),
                ],
            );
        }
    }
    for setback in &visit.setbacks {
        let path: String = frame.polygons(&setback.region).iter().map(|polygon| rings_path(polygon)).collect();
        // A white line below the dashes keeps them apart from any hatch.
        for (ink, width, dashes) in [("#ffffff", "3", "none"), ("#111111", "1.4", "7 4")] {
            svg.empty(
                "path",
                &[
                    ("d", &path),
                    ("fill", "none"),
                    ("stroke", ink),
                    ("stroke-width", width),
                    ("stroke-dasharray", dashes),
                ],
            );
        }
    }
    let boundary: String =
        frame.polygons(visit.property.boundary()).iter().map(|polygon| rings_path(polygon)).collect();
    svg.empty(
        "path",
        &[
            ("d", &boundary),
            ("fill", "none"),
            ("stroke", "#111111"),
            ("stroke-width", "2.6"),
            ("stroke-linejoin", "round"),
        ],
    );
    let mut taken = Taken::default();
    let symbols = symbol::of(visit, frame);
    for symbol in &symbols {
        symbol.reserve(&mut taken);
    }
    dimension::sides(svg, visit.property.boundary(), frame, options.units, dimension::Side::Outside, &mut taken);
    for feature in visit.property.features().iter().filter(|feature| feature.is(Kind::Structure)) {
        if let Some(region) = feature.region() {
            dimension::sides(svg, region, frame, options.units, dimension::Side::Inside, &mut taken);
        }
    }
    dimension::distances(svg, visit, frame, options.units, &mut taken);
    for symbol in &symbols {
        symbol.write(svg, options.colour);
    }
    for entry in entries {
        label_zones(svg, visit, entry, frame, &mut taken);
    }
    for symbol in &symbols {
        symbol.write_name(svg, frame, &mut taken);
    }
    svg.close();
}

/// Key letters on every piece of ground that has room for one, with the name of the zone where that
/// has room too. The first piece always gets its letter.
fn label_zones(svg: &mut Markup, visit: &Visit, entry: &Entry, frame: &Frame, taken: &mut Taken) {
    for index in &entry.zones {
        let zone = &visit.zones[*index];
        let mut polygons = visible_polygons(&zone.region, frame);
        polygons.sort_by(|one, other| place::area(other).total_cmp(&place::area(one)));
        for (number, polygon) in polygons.iter().enumerate() {
            let name = shortened(&zone_name(visit, zone), NAME, 150.0);
            let with_name = Rect::sized(KEY + 10.0 + text_width(&name, NAME), KEY + 7.0);
            let alone = Rect::sized(KEY + 5.0, KEY + 5.0);
            if number == 0
                && let Some(at) = place::best(polygon, with_name, taken)
            {
                write_key(svg, entry, Some(&name), at);
                taken.add(at);
            } else if let Some(at) = place::best(polygon, alone, taken) {
                write_key(svg, entry, None, at);
                taken.add(at);
            } else if number == 0
                && let Some(at) = place::widest(polygon, alone, taken)
            {
                write_key(svg, entry, None, at);
                taken.add(at);
            }
        }
    }
}

fn visible_polygons(region: &Region, frame: &Frame) -> Vec<Polygon> {
    frame.polygons(region).into_iter().filter(|polygon| place::area(polygon) > 20.0).collect()
}

fn write_key(svg: &mut Markup, entry: &Entry, name: Option<&str>, at: Rect) {
    let (x, y) = at.centre();
    let disc = if name.is_some() { at.left + KEY / 2.0 + 3.0 } else { x };
    write_disc(svg, &entry.key, disc, y);
    if let Some(name) = name {
        let (fill, halo) = if entry.look.is_dark() { ("#ffffff", "#3a3a3a") } else { ("#111111", "#ffffff") };
        write_name(svg, name, disc + KEY / 2.0 + 5.0, y + NAME * 0.35, "start", fill, halo);
    }
}

/// The key letter in its disc, as on the map and in the legend.
fn write_disc(svg: &mut Markup, key: &str, x: f64, y: f64) {
    svg.empty(
        "circle",
        &[
            ("cx", &coordinate(x)),
            ("cy", &coordinate(y)),
            ("r", &coordinate(KEY / 2.0 + 1.5)),
            ("fill", "#ffffff"),
            ("stroke", "#111111"),
            ("stroke-width", "1.2"),
        ],
    );
    let size = if key.chars().count() > 1 { KEY - 4.0 } else { KEY - 1.5 };
    svg.text(
        "text",
        &[
            ("x", &coordinate(x)),
            ("y", &coordinate(y + size * 0.36)),
            ("font-size", &coordinate(size)),
            ("font-weight", "bold"),
            ("text-anchor", "middle"),
        ],
        key,
    );
}

/// A name with a halo that keeps it apart from any hatch.
fn write_name(svg: &mut Markup, name: &str, x: f64, y: f64, anchor: &str, fill: &str, halo: &str) {
    let (x, y, size) = (coordinate(x), coordinate(y), coordinate(NAME));
    let place = [("x", x.as_str()), ("y", y.as_str()), ("font-size", size.as_str()), ("text-anchor", anchor)];
    let ink = [
        ("fill", fill),
        ("stroke", halo),
        ("stroke-width", "3.4"),
        ("stroke-linejoin", "round"),
        ("paint-order", "stroke"),
        ("font-weight", "bold"),
    ];
    svg.text("text", &[&place[..], &ink[..]].concat(), name);
}

/// The look of a zone: by its task's method when it is treated, else by its kind, and among setbacks by
/// the reason too.
fn look_of(visit: &Visit, zone: &Zone) -> Look {
    let task = match &zone.use_of {
        ZoneUse::Treated(id) => visit.tasks.iter().position(|task| task.id == *id),
        ZoneUse::NotTreated(_) => None,
    };
    let Some(task) = task else { return Look::Left(left_kind(zone.kind), reason_number(visit, zone)) };
    let method = visit.tasks[task].method;
    let number = visit.tasks[..task].iter().filter(|earlier| earlier.method == method).count();
    Look::Treated(method, number)
}

/// The place of its reason among the reasons of all untreated zones that would look the same.
fn reason_number(visit: &Visit, zone: &Zone) -> usize {
    let mut reasons: Vec<&ZoneUse> = Vec::new();
    let is_left =
        |other: &&Zone| matches!(other.use_of, ZoneUse::NotTreated(_)) && left_kind(other.kind) == left_kind(zone.kind);
    for other in visit.zones.iter().filter(is_left) {
        if !reasons.contains(&&other.use_of) {
            reasons.push(&other.use_of);
        }
    }
    reasons.iter().position(|reason| **reason == zone.use_of).unwrap_or(0)
}

/// A band that is not treated looks like the turf that it is left as.
const fn left_kind(kind: ZoneKind) -> ZoneKind {
    match kind {
        ZoneKind::Band => ZoneKind::Turf,
        other => other,
    }
}
