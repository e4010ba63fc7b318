//! The walk of counts between the two stop lines.

use crate::markup::{Markup, coordinate};
use scouting::{Stop, StopLinePlan};

/// What is drawn: the plan, and the counts in the order in which they were made.
#[derive(Debug, Clone, Copy)]
pub struct StopLinesPicture<'a> {
    /// The plan.
    pub plan: &'a StopLinePlan,
    /// The counts.
    pub counts: &'a [u32],
    /// Of what, in words, such as `grasshoppers on 1 sq ft a count`.
    pub of: &'a str,
    /// Tints beside words and strokes; without, black and white only.
    pub colour: bool,
    /// Width of the picture in SVG user units (CSS pixels); at least 360 is used.
    pub width: u32,
}

const TEXT: f64 = 12.0;
const LEFT: f64 = 52.0;
const TOP: f64 = 14.0;
const BOTTOM: f64 = 40.0;
const RIGHT: f64 = 12.0;

/// The picture as an SVG document; words say what the tints say.
pub fn stop_lines_svg(picture: &StopLinesPicture<'_>) -> String {
    let width = f64::from(picture.width.max(360));
    let height = (width * 0.6).clamp(240.0, 460.0);
    let axes = Axes::of(picture, width, height);
    let told = (format!("Stop lines: {}", picture.of), description(picture));
    let mut svg = Markup::picture("stop-lines", (width, height), Some(TEXT), (&told.0, &told.1));
    svg.paper((width, height));
    axes.write_ground(&mut svg, picture);
    axes.write_scales(&mut svg);
    axes.write_walk(&mut svg, picture.counts);
    svg.finish()
}

fn description(picture: &StopLinesPicture<'_>) -> String {
    let lines = picture.plan.lines();
    let (stop, at) = picture.plan.walk(picture.counts);
    let total: u64 = picture.counts.iter().take(at as usize).copied().map(u64::from).sum();
    let outcome = match stop {
        Stop::Treat => "at or above the upper line: treat",
        Stop::DoNotTreat => "at or below the lower line: do not treat",
        Stop::CountOn => "between the lines: count on",
        Stop::MostReachedTreat => "between the lines at the most counts; the mean is at the threshold or above: treat",
        Stop::MostReachedDoNotTreat => {
            "between the lines at the most counts; the mean is below the threshold: do not treat"
        }
    };
    format!(
        "After {at} counts {total} were found, {outcome}. Upper line: {:.2} for each count plus {:.2}; lower line: {:.2} \
         for each count less {:.2}, and where there is next to nothing {:.2} for each count less {:.2}.",
        lines.slope,
        lines.upper_intercept,
        lines.slope,
        -lines.lower_intercept,
        lines.clean_slope,
        -lines.clean_intercept
    )
}

struct Axes {
    width: f64,
    height: f64,
    stations: f64,
    total: f64,
}

impl Axes {
    fn of(picture: &StopLinesPicture<'_>, width: f64, height: f64) -> Self {
        let (least, most) = picture.plan.stations();
        let counted = picture.counts.len() as f64;
        // Not the whole way to the most where the walk is far from it.
        let stations =
            (counted * 1.3 + 2.0).max(f64::from(least) * 2.0).max(10.0).min(f64::from(most).max(counted)).ceil();
        let walked: u64 = picture.counts.iter().copied().map(u64::from).sum();
        let line = picture.plan.lines().upper_at(stations);
        Self { width, height, stations, total: line.max(walked as f64) * 1.05 }
    }

    fn x(&self, stations: f64) -> f64 {
        LEFT + stations / self.stations * (self.width - LEFT - RIGHT)
    }

    fn y(&self, total: f64) -> f64 {
        let bottom = self.height - BOTTOM;
        bottom - total.clamp(0.0, self.total) / self.total * (bottom - TOP)
    }

    fn line(&self, svg: &mut Markup, (from, to): ((f64, f64), (f64, f64)), dash: &str) {
        svg.empty(
            "line",
            &[
                ("x1", &coordinate(self.x(from.0))),
                ("y1", &coordinate(self.y(from.1))),
                ("x2", &coordinate(self.x(to.0))),
                ("y2", &coordinate(self.y(to.1))),
                ("stroke", "#111111"),
                ("stroke-width", "2"),
                ("stroke-dasharray", dash),
            ],
        );
    }

    fn write_ground(&self, svg: &mut Markup, picture: &StopLinesPicture<'_>) {
        let lines = picture.plan.lines();
        let least = f64::from(picture.plan.stations().0);
        let upper = lines.upper_corners(least, self.stations);
        let upper_end = lines.upper_at(self.stations);
        let lower = lines.lower_corners(least, self.stations);
        let (begins, lower_end) = (lower[0].0, lines.lower_at(self.stations));
        let area = |corners: &[(f64, f64)]| -> String {
            let corner = |(x, y): &(f64, f64)| format!("{},{}", coordinate(self.x(*x)), coordinate(self.y(*y)));
            corners.iter().map(corner).collect::<Vec<_>>().join(" ")
        };
        if picture.colour {
            let over = area(&[upper.as_slice(), &[(self.stations, self.total), (least, self.total)]].concat());
            svg.empty("polygon", &[("points", &over), ("fill", "#fbe1dd")]);
            let under = area(&[lower.as_slice(), &[(self.stations, 0.0), (begins, 0.0)]].concat());
            svg.empty("polygon", &[("points", &under), ("fill", "#dcefe0")]);
        }
        for way in upper.windows(2).chain(lower.windows(2)) {
            self.line(svg, (way[0], way[1]), "none");
        }
        let mut say = |x: f64, y: f64, text: &str| {
            svg.text(
                "text",
                &[("x", &coordinate(x)), ("y", &coordinate(y)), ("font-weight", "600"), ("text-anchor", "end")],
                text,
            );
        };
        say(self.width - RIGHT - 6.0, self.y(upper_end) - 8.0, "treat");
        say(self.width - RIGHT - 6.0, self.y(f64::midpoint(upper_end, lower_end)) + 4.0, "count on");
        say(self.width - RIGHT - 6.0, self.height - BOTTOM - 6.0, "do not treat");
    }

    fn write_scales(&self, svg: &mut Markup) {
        let bottom = self.height - BOTTOM;
        let mut rule = |x1: f64, y1: f64, x2: f64, y2: f64| {
            svg.empty(
                "line",
                &[
                    ("x1", &coordinate(x1)),
                    ("y1", &coordinate(y1)),
                    ("x2", &coordinate(x2)),
                    ("y2", &coordinate(y2)),
                    ("stroke", "#111111"),
                ],
            );
        };
        rule(LEFT, TOP, LEFT, bottom);
        rule(LEFT, bottom, self.width - RIGHT, bottom);
        for tick in ticks(self.stations) {
            let x = self.x(tick);
            rule_and_word(svg, (x, bottom, x, bottom + 4.0), (x, bottom + 17.0, "middle"), tick);
        }
        for tick in ticks(self.total) {
            let y = self.y(tick);
            rule_and_word(svg, (LEFT - 4.0, y, LEFT, y), (LEFT - 7.0, y + 4.0, "end"), tick);
        }
        let middle = coordinate(f64::midpoint(LEFT, self.width - RIGHT));
        svg.text(
            "text",
            &[("x", &middle), ("y", &coordinate(self.height - 6.0)), ("text-anchor", "middle")],
            "counts made",
        );
        let (x, y) = (coordinate(12.0), coordinate(f64::midpoint(TOP, bottom)));
        svg.text(
            "text",
            &[("x", &x), ("y", &y), ("text-anchor", "middle"), ("transform", &format!("rotate(-90 {x} {y})"))],
            "found in all",
        );
    }

    fn write_walk(&self, svg: &mut Markup, counts: &[u32]) {
        let mut total = 0.0;
        let mut points = vec![format!("{},{}", coordinate(self.x(0.0)), coordinate(self.y(0.0)))];
        for (station, count) in (1_u32..).zip(counts) {
            total += f64::from(*count);
            points.push(format!("{},{}", coordinate(self.x(f64::from(station))), coordinate(self.y(total))));
        }
        let path = points.join(" ");
        svg.empty("polyline", &[("points", &path), ("fill", "none"), ("stroke", "#0b4f9e"), ("stroke-width", "2.5")]);
        for point in points.iter().skip(1) {
            let (x, y) = point.split_once(',').unwrap_or_default();
            svg.empty(
                "circle",
                &[
                    ("cx", x),
                    ("cy", y),
                    ("r", "3.5"),
                    ("fill", "#ffffff"),
                    ("stroke", "#0b4f9e"),
                    ("stroke-width", "2"),
                ],
            );
        }
    }
}

fn rule_and_word(
    svg: &mut Markup,
    (x1, y1, x2, y2): (f64, f64, f64, f64),
    (x, y, anchor): (f64, f64, &str),
    tick: f64,
) {
    svg.empty(
        "line",
        &[
            ("x1", &coordinate(x1)),
            ("y1", &coordinate(y1)),
            ("x2", &coordinate(x2)),
            ("y2", &coordinate(y2)),
            ("stroke", "#111111"),
        ],
    );
    svg.text("text", &[("x", &coordinate(x)), ("y", &coordinate(y)), ("text-anchor", anchor)], &coordinate(tick));
}

/// Round steps up to a length, five to ten of them.
fn ticks(length: f64) -> Vec<f64> {
    let rough = length / 6.0;
    let decade = 10.0_f64.powf(rough.max(0.5).log10().floor());
    let step = [1.0, 2.0, 5.0, 10.0].iter().map(|times| times * decade).find(|step| *step >= rough).unwrap_or(rough);
    let step = step.max(1.0);
    (0..=12).map(|number| f64::from(number) * step).filter(|tick| *tick <= length).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use scouting::{Dispersion, StopLineAim};

    #[test]
    fn the_picture_says_in_words_what_it_draws() {
        let plan = StopLinePlan::new(StopLineAim {
            lower: 2.0,
            threshold: 2.83,
            upper: 4.0,
            dispersion: Dispersion::clumped(1.0).unwrap(),
            treat_in_vain: 0.1,
            leave_wrongly: 0.1,
            least: 5,
            most: 50,
        })
        .unwrap();
        let draw = |counts: &[u32], colour| {
            stop_lines_svg(&StopLinesPicture { plan: &plan, counts, of: "bugs <on> 1 sq ft", colour, width: 640 })
        };
        let svg = draw(&[2, 5, 1, 4, 3], true);
        assert!(svg.contains("After 5 counts 15 were found, between the lines: count on."), "{svg}");
        // The upper line, and two lower ones of which the higher counts.
        assert_eq!(svg.matches("stroke-dasharray=\"none\"").count(), 3);
        assert!(svg.contains("bugs &lt;on&gt; 1 sq ft") && svg.matches("<circle").count() == 5);
        assert_eq!(svg, draw(&[2, 5, 1, 4, 3], true), "the same bytes");
        assert!(!draw(&[2, 5], false).contains("#fbe1dd"));
        assert!(draw(&[], true).contains("After 0 counts 0 were found"));
        assert_eq!(ticks(12.0), [0.0, 2.0, 4.0, 6.0, 8.0, 10.0, 12.0]);
    }
}
