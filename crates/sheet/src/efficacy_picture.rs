//! Control of treatments over time, with their intervals.

use crate::markup::{Markup, coordinate};
use jiff::civil::Date;
use scouting::{Control, EfficacyEstimate};

/// One count after a treatment.
#[derive(Debug, Clone)]
pub struct EfficacyPoint {
    /// The day of the count.
    pub day: Date,
    /// What stands beside it, such as the property and the group.
    pub label: String,
    /// What was reckoned.
    pub estimate: EfficacyEstimate,
}

/// What is drawn.
#[derive(Debug, Clone, Copy)]
pub struct EfficacyPicture<'a> {
    /// The counts, in the order of their days.
    pub points: &'a [EfficacyPoint],
    /// The control that is expected.
    pub expected: Control,
    /// Of what, in words, such as the pest.
    pub of: &'a str,
    /// Tints beside words and strokes; without, black and white only.
    pub colour: bool,
    /// Width of the picture in SVG user units (CSS pixels); at least 360 is used.
    pub width: u32,
}

const TEXT: f64 = 12.0;
const LEFT: f64 = 60.0;
const TOP: f64 = 18.0;
const BOTTOM: f64 = 44.0;
const RIGHT: f64 = 16.0;
/// Lower than this nothing is drawn: a bar that goes on below ends at the edge.
const LOWEST: f64 = -1.0;

/// The picture as an SVG document; words say what the tints say.
pub fn efficacy_svg(picture: &EfficacyPicture<'_>) -> String {
    let width = f64::from(picture.width.max(360));
    let size = (width, (width * 0.5).clamp(240.0, 400.0));
    let told = (format!("Control over time: {}", picture.of), description(picture));
    let mut svg = Markup::picture("efficacy", size, Some(TEXT), (&told.0, &told.1));
    svg.paper(size);
    let axes = Axes::of(picture, size);
    axes.write_scales(&mut svg, picture);
    for point in picture.points {
        axes.write_point(&mut svg, picture, point);
    }
    svg.finish()
}

fn description(picture: &EfficacyPicture<'_>) -> String {
    let of = |point: &EfficacyPoint| {
        let (low, high) = point.estimate.interval;
        format!(
            "{}, {}: {:.0} %, between {:.0} and {:.0} %, by {}",
            point.day,
            point.label,
            point.estimate.control.percent(),
            low.percent(),
            high.percent(),
            point.estimate.formula.words()
        )
    };
    let points: Vec<String> = picture.points.iter().map(of).collect();
    format!("Expected: {:.0} %. {}.", picture.expected.percent(), points.join("; "))
}

struct Axes {
    size: (f64, f64),
    first: Option<Date>,
    days: f64,
    lowest: f64,
}

impl Axes {
    fn of(picture: &EfficacyPicture<'_>, size: (f64, f64)) -> Self {
        let first = picture.points.iter().map(|point| point.day).min();
        let last = picture.points.iter().map(|point| point.day).max();
        let days = first.zip(last).map_or(0.0, |(first, last)| days_between(first, last)).max(1.0);
        let low = picture.points.iter().map(|point| point.estimate.interval.0.share()).fold(0.0_f64, f64::min);
        // Whole quarters, so that the scale has round numbers.
        Self { size, first, days, lowest: ((low * 4.0).floor() / 4.0).max(LOWEST) }
    }

    fn x(&self, day: Date) -> f64 {
        let from = self.first.map_or(0.0, |first| days_between(first, day));
        // Bars stand off the edges.
        LEFT + 24.0 + from / self.days * (self.size.0 - LEFT - RIGHT - 48.0)
    }

    fn y(&self, share: f64) -> f64 {
        let bottom = self.size.1 - BOTTOM;
        let part = (share.clamp(self.lowest, 1.0) - self.lowest) / (1.0 - self.lowest);
        bottom - part * (bottom - TOP)
    }

    fn line(svg: &mut Markup, from: (f64, f64), to: (f64, f64), (stroke, width, dash): (&str, &str, &str)) {
        svg.empty(
            "line",
            &[
                ("x1", &coordinate(from.0)),
                ("y1", &coordinate(from.1)),
                ("x2", &coordinate(to.0)),
                ("y2", &coordinate(to.1)),
                ("stroke", stroke),
                ("stroke-width", width),
                ("stroke-dasharray", dash),
            ],
        );
    }

    fn write_scales(&self, svg: &mut Markup, picture: &EfficacyPicture<'_>) {
        let (right, bottom) = (self.size.0 - RIGHT, self.size.1 - BOTTOM);
        Self::line(svg, (LEFT, TOP), (LEFT, bottom), ("#111111", "1", "none"));
        let mut quarter = self.lowest;
        while quarter <= 1.0 {
            let y = self.y(quarter);
            let stroke = if quarter == 0.0 { "#111111" } else { "#cccccc" };
            Self::line(svg, (LEFT, y), (right, y), (stroke, "1", "none"));
            let text = format!("{:.0} %", quarter * 100.0);
            svg.text(
                "text",
                &[("x", &coordinate(LEFT - 7.0)), ("y", &coordinate(y + 4.0)), ("text-anchor", "end")],
                &text,
            );
            quarter += 0.25;
        }
        let expected = self.y(picture.expected.share());
        Self::line(svg, (LEFT, expected), (right, expected), ("#111111", "2", "6 4"));
        svg.text(
            "text",
            &[("x", &coordinate(LEFT + 6.0)), ("y", &coordinate(expected - 5.0)), ("font-weight", "600")],
            "expected",
        );
        let mut told = f64::NEG_INFINITY;
        for point in picture.points {
            let x = self.x(point.day);
            // Days that would stand on each other are left out; the description has them all.
            if x - told < 76.0 {
                continue;
            }
            told = x;
            svg.text(
                "text",
                &[("x", &coordinate(x)), ("y", &coordinate(bottom + 18.0)), ("text-anchor", "middle")],
                &point.day.to_string(),
            );
        }
        let middle = coordinate(f64::midpoint(LEFT, right));
        svg.text(
            "text",
            &[("x", &middle), ("y", &coordinate(self.size.1 - 8.0)), ("text-anchor", "middle")],
            "day of the count",
        );
        let (x, y) = (coordinate(14.0), coordinate(f64::midpoint(TOP, bottom)));
        let turn = format!("rotate(-90 {x} {y})");
        svg.text("text", &[("x", &x), ("y", &y), ("text-anchor", "middle"), ("transform", &turn)], "control");
    }

    fn write_point(&self, svg: &mut Markup, picture: &EfficacyPicture<'_>, point: &EfficacyPoint) {
        let x = self.x(point.day);
        let (low, high) = point.estimate.interval;
        let is_below = point.estimate.control < picture.expected;
        let stroke = match (picture.colour, is_below) {
            (true, true) => "#a3271a",
            (true, false) => "#0b4f9e",
            (false, _) => "#111111",
        };
        let (top, bottom) = (self.y(high.share()), self.y(low.share()));
        Self::line(svg, (x, top), (x, bottom), (stroke, "2", "none"));
        for (y, is_shown) in [(top, true), (bottom, low.share() >= self.lowest)] {
            if is_shown {
                Self::line(svg, (x - 5.0, y), (x + 5.0, y), (stroke, "2", "none"));
            }
        }
        // Open where it is below what is expected, so that it is told without tints.
        let fill = if is_below { "#ffffff" } else { stroke };
        let y = self.y(point.estimate.control.share());
        svg.empty(
            "circle",
            &[
                ("cx", &coordinate(x)),
                ("cy", &coordinate(y)),
                ("r", "4.5"),
                ("fill", fill),
                ("stroke", stroke),
                ("stroke-width", "2"),
            ],
        );
        svg.text(
            "text",
            &[("x", &coordinate(x + 8.0)), ("y", &coordinate(y + 4.0)), ("font-size", "11")],
            &format!("{:.0} %", point.estimate.control.percent()),
        );
    }
}

fn days_between(first: Date, last: Date) -> f64 {
    f64::from((last - first).get_days())
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;
    use scouting::{CountBasis, Counts, EXPECTED_CONTROL, EfficacyTrial, GroundCounts};

    fn point(day: Date, left: u32) -> EfficacyPoint {
        let ground = |count| GroundCounts {
            after: Counts::new(vec![count; 8], CountBasis::Plant).ok().map(|one| one.0),
            ..GroundCounts::default()
        };
        let estimate = EfficacyTrial { treated: ground(left), check: ground(20) }.control().unwrap();
        EfficacyPoint { day, label: "<Alder> Bend, 3A".into(), estimate }
    }

    #[test]
    fn the_picture_says_in_words_what_it_draws() {
        let points = [point(date(2026, 5, 4), 1), point(date(2026, 6, 8), 12), point(date(2026, 7, 6), 60)];
        let draw = |points: &[EfficacyPoint], colour| {
            let (expected, of) = (EXPECTED_CONTROL, "bugs");
            efficacy_svg(&EfficacyPicture { points, expected, of, colour, width: 640 })
        };
        let svg = draw(&points, true);
        assert!(svg.contains("Expected: 80 %. 2026-05-04, &lt;Alder&gt; Bend, 3A: 95 %, between"), "{svg}");
        assert_eq!(svg.matches("<circle").count(), 3);
        assert!(svg.contains("-100 %") && svg.contains("#a3271a"));
        assert_eq!(svg, draw(&points, true), "the same bytes");
        assert!(!draw(&points, false).contains("#a3271a"));
        assert_eq!(draw(&[], true).matches("<circle").count(), 0);
    }
}
