//! A route as SVG, for looking at it.

use geometry::{Point, Region};
use quantity::LengthUnit;
use route::{Leg, PassKind, Route, RouteRequest};
use std::fmt::Write as _;

/// The picture of a route: swaths by kind, the walk with its refills, the order as numbers.
pub(crate) fn svg(request: &RouteRequest, route: &Route) -> String {
    let bounds = request.zone.bounds().expect("a zone has ground");
    let (low, high) = (bounds.south_west().metres(), bounds.north_east().metres());
    let margin = 3.0;
    let (width, height) = (high.0 - low.0 + 2.0 * margin, high.1 - low.1 + 2.0 * margin);
    let scale = 1400.0 / width.max(height);
    let at = |place: (f64, f64)| ((place.0 - low.0 + margin) * scale, (high.1 + margin - place.1) * scale);
    let path = |line: &[Point]| {
        let mut path = String::new();
        for place in line {
            let (x, y) = at(place.metres());
            let _ = write!(path, "{}{x:.1},{y:.1} ", if path.is_empty() { "M" } else { "L" });
        }
        path
    };
    let ground = |region: &Region| {
        let mut all = String::new();
        for outline in region.outlines() {
            for ring in std::iter::once(outline.exterior()).chain(outline.holes()) {
                let _ = write!(all, "{}Z ", path(ring));
            }
        }
        all
    };
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{:.0}\" height=\"{:.0}\"><rect width=\"100%\" height=\"100%\" fill=\"#fff\"/>",
        width * scale,
        height * scale
    );
    let _ = write!(out, "<path d=\"{}\" fill=\"#ddd\" fill-rule=\"evenodd\"/>", ground(&request.walkable));
    let _ =
        write!(out, "<path d=\"{}\" fill=\"#e4f2d8\" stroke=\"#333\" fill-rule=\"evenodd\"/>", ground(&request.zone));
    let mut number = 0;
    for leg in &route.legs {
        match leg {
            Leg::Spray(pass) => {
                number += 1;
                let colour = match pass.kind {
                    PassKind::Ring => "#2266cc",
                    PassKind::Narrow => "#aa33aa",
                    PassKind::Row => "#228833",
                    PassKind::Patch => "#dd7700",
                };
                let corners: Vec<(f64, f64)> = outline(pass).into_iter().map(at).collect();
                let points: String = corners.iter().fold(String::new(), |mut text, (x, y)| {
                    let _ = write!(text, "{x:.1},{y:.1} ");
                    text
                });
                let _ = write!(
                    out,
                    "<polygon points=\"{points}\" fill=\"{colour}\" fill-opacity=\"0.25\" stroke=\"{colour}\" stroke-width=\"0.5\"/>"
                );
                let _ = write!(
                    out,
                    "<path d=\"{}\" fill=\"none\" stroke=\"{colour}\" stroke-width=\"1.2\"/>",
                    path(&pass.line)
                );
                let (x, y) = at(pass.line[0].metres());
                let _ = write!(
                    out,
                    "<circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"2\"/><text x=\"{x:.1}\" y=\"{y:.1}\" font-size=\"11\">{number}</text>"
                );
            }
            Leg::Walk(line) => {
                let _ =
                    write!(out, "<path d=\"{}\" fill=\"none\" stroke=\"#cc2222\" stroke-width=\"1.4\"/>", path(line));
            }
            Leg::Refill { to_tap, back } => {
                for line in [to_tap, back] {
                    let _ = write!(
                        out,
                        "<path d=\"{}\" fill=\"none\" stroke=\"#cc8800\" stroke-width=\"1.2\" stroke-dasharray=\"5 4\"/>",
                        path(line)
                    );
                }
            }
        }
    }
    let (x, y) = at(request.tap.metres());
    let _ = write!(out, "<circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"6\" fill=\"#cc8800\"/></svg>");
    out
}

/// The edge of a swath, roughly: without mitres.
fn outline(pass: &route::Pass) -> Vec<(f64, f64)> {
    let half = pass.swath.to(LengthUnit::Metre) / 2.0;
    let line: Vec<(f64, f64)> = pass.line.iter().map(|place| place.metres()).collect();
    let last = line.len() - 1;
    let edge = |index: usize, side: f64| {
        let (from, to) = (line[index.saturating_sub(1)], line[(index + 1).min(last)]);
        let length = (to.0 - from.0).hypot(to.1 - from.1);
        let (dx, dy) = ((to.0 - from.0) / length, (to.1 - from.1) / length);
        let lead = match index {
            0 => pass.start_skew.slope(),
            index if index == last => pass.end_skew.slope(),
            _ => 0.0,
        };
        let place = line[index];
        (place.0 + side * half * (lead * dx - dy), place.1 + side * half * (lead * dy + dx))
    };
    (0..=last).map(|index| edge(index, 1.0)).chain((0..=last).rev().map(|index| edge(index, -1.0))).collect()
}
