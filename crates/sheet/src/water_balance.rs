//! The water of a lawn from day to day: rain and waterings as bars, what is gone from the root zone as a line, the line that it may
//! not pass, and the days on which no water is given.

use crate::Units;
use crate::markup::{Markup, coordinate, line_path, text_width};
use jiff::civil::Date;
use quantity::{Length, LengthUnit};
use season::water_plan::{Permission, PlannedDay, WaterPlan};

/// How the balance is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WaterBalanceOptions {
    /// Tints beside the hatches; without, black and white only.
    pub colour: bool,
    /// The units of depths.
    pub units: Units,
    /// Width of the picture in SVG user units (CSS pixels); at least 560 is used, and 22 for each day.
    pub width: u32,
}

impl Default for WaterBalanceOptions {
    fn default() -> Self {
        Self { colour: true, units: Units::UsCustomary, width: 960 }
    }
}

const TEXT: f64 = 12.0;
const LEFT: f64 = 96.0;
const RIGHT: f64 = 12.0;
const TOP: f64 = 22.0;
const BARS: f64 = 120.0;
const BETWEEN: f64 = 26.0;
const STORE: f64 = 190.0;
const DAYS: f64 = 34.0;
const KEY: f64 = 52.0;

/// The balance of a lawn as an SVG document. Words, hatches and strokes say what the tints say.
pub fn water_balance_svg(lawn: &str, plan: &WaterPlan, options: WaterBalanceOptions) -> String {
    let days = plan.days.len().max(1) as f64;
    let width = f64::from(options.width.max(560)).max(LEFT + RIGHT + 22.0 * days);
    let height = TOP + BARS + BETWEEN + STORE + DAYS + KEY;
    let chart = Chart::new(plan, width, options);
    let told = (format!("Water of {lawn}"), description(plan, options.units));
    let mut svg = Markup::picture("water-balance", (width, height), Some(TEXT), (&told.0, &told.1));
    write_patterns(&mut svg, options.colour);
    svg.paper((width, height));
    chart.prohibited(&mut svg);
    chart.scales(&mut svg);
    chart.bars(&mut svg);
    chart.lines(&mut svg);
    chart.dates(&mut svg);
    chart.key(&mut svg, height - KEY + 16.0);
    svg.finish()
}

fn description(plan: &WaterPlan, units: Units) -> String {
    let mut parts: Vec<String> = plan
        .days
        .iter()
        .map(|day| {
            let balance = &day.balance;
            let mut words = vec![format!("{} gone", units.depth(balance.gone))];
            if balance.rain.is_positive() {
                words.insert(0, format!("rain {}", units.depth(balance.rain)));
            }
            if balance.given.is_positive() {
                words.insert(0, format!("watered {}", units.depth(balance.given)));
            }
            match day.permission {
                Permission::Prohibited(by) => {
                    let why = plan.request.no_watering.get(by).map_or("", |other| other.why.as_str());
                    words.push(format!("no water is given ({why})"));
                }
                Permission::NotThisWeekday => words.push("no day for watering".to_owned()),
                _ => {}
            }
            if balance.is_short {
                words.push("the grass is short of water".to_owned());
            }
            format!("{}: {}", units.date(balance.date), words.join(", "))
        })
        .collect();
    let zone = plan.request.root_zone;
    parts.push(format!(
        "The root zone holds {}, of which {} may be used",
        units.depth(zone.capacity()),
        units.depth(zone.allowance())
    ));
    parts.join(". ") + "."
}

/// The hatches: rain, water given, days without water.
fn write_patterns(svg: &mut Markup, colour: bool) {
    svg.open("defs", &[]);
    let tiles = [
        ("water-rain", "#d6e6f5", "#1d4f80", "M0 8L8 0M-2 2L2 -2M6 10L10 6", "8"),
        ("water-given", "#bfe3d0", "#0b5a3a", "M0 3h6", "6"),
        ("water-none", "#f4e6e3", "#a3271b", "M0 0L9 9M-2 7L2 11M7 -2L11 2", "9"),
    ];
    for (id, paper, ink, path, size) in tiles {
        let (paper, ink) = if colour { (paper, ink) } else { ("#ffffff", "#555555") };
        svg.open("pattern", &[("id", id), ("patternUnits", "userSpaceOnUse"), ("width", size), ("height", size)]);
        svg.empty("rect", &[("width", size), ("height", size), ("fill", paper)]);
        svg.empty("path", &[("d", path), ("stroke", ink), ("stroke-width", "1"), ("fill", "none")]);
        svg.close();
    }
    svg.close();
}

struct Chart<'p> {
    plan: &'p WaterPlan,
    units: Units,
    width: f64,
    column: f64,
    /// Depth at the top of the bars, in the units shown.
    most: f64,
    /// Depth at the bottom of the store, in the units shown.
    holds: f64,
}

impl<'p> Chart<'p> {
    fn new(plan: &'p WaterPlan, width: f64, options: WaterBalanceOptions) -> Self {
        let units = options.units;
        let mut chart = Self {
            plan,
            units,
            width,
            column: (width - LEFT - RIGHT) / plan.days.len().max(1) as f64,
            most: 0.0,
            holds: 0.0,
        };
        let most =
            plan.days.iter().map(|day| chart.number(day.balance.rain.max(day.balance.given))).fold(0.0, f64::max);
        chart.most = ticks(most.max(chart.number(Length::new(5.0, LengthUnit::Millimetre)))).1;
        chart.holds = chart.number(plan.request.root_zone.capacity());
        chart
    }

    /// A depth in the units shown.
    fn number(&self, depth: Length) -> f64 {
        depth.to(match self.units {
            Units::UsCustomary => LengthUnit::Inch,
            Units::Metric => LengthUnit::Millimetre,
        })
    }

    fn tick(&self, value: f64) -> String {
        match self.units {
            Units::UsCustomary => format!("{value:.2} in"),
            Units::Metric => format!("{value:.0} mm"),
        }
    }

    fn x(&self, day: usize) -> f64 {
        LEFT + day as f64 * self.column
    }

    fn bar_y(&self, depth: Length) -> f64 {
        TOP + BARS - self.number(depth) / self.most * BARS
    }

    fn store_y(&self, gone: Length) -> f64 {
        TOP + BARS + BETWEEN + (self.number(gone) / self.holds).clamp(0.0, 1.0) * STORE
    }

    fn days(&self) -> impl Iterator<Item = (usize, &'p PlannedDay)> {
        self.plan.days.iter().enumerate()
    }

    /// Days on which no water is given, over the whole height.
    fn prohibited(&self, svg: &mut Markup) {
        for (index, _) in self.days().filter(|(_, day)| matches!(day.permission, Permission::Prohibited(_))) {
            svg.empty(
                "rect",
                &[
                    ("x", &coordinate(self.x(index) + 0.5)),
                    ("y", &coordinate(TOP)),
                    ("width", &coordinate(self.column - 1.0)),
                    ("height", &coordinate(BARS + BETWEEN + STORE)),
                    ("fill", "url(#water-none)"),
                ],
            );
        }
        let planned = self.plan.days.iter().position(|day| day.weather.date >= self.plan.request.plan_from);
        if let Some(first) = planned.filter(|first| *first > 0) {
            let x = coordinate(self.x(first));
            let foot = coordinate(TOP + BARS + BETWEEN + STORE);
            let line = format!("M{x} {}V{foot}", coordinate(TOP - 12.0));
            svg.empty("path", &[("d", &line), ("stroke", "#111111"), ("stroke-width", "1.4"), ("fill", "none")]);
            svg.text("text", &[("x", &coordinate(self.x(first) + 4.0)), ("y", &coordinate(TOP - 8.0))], "planned");
            svg.text(
                "text",
                &[("x", &coordinate(self.x(first) - 4.0)), ("y", &coordinate(TOP - 8.0)), ("text-anchor", "end")],
                "so far",
            );
        }
    }

    fn scales(&self, svg: &mut Markup) {
        let (step, _) = ticks(self.most);
        let mut value = 0.0;
        while value <= self.most * 1.001 {
            let y = TOP + BARS - value / self.most * BARS;
            self.rule(svg, y, &self.tick(value));
            value += step;
        }
        let zone = self.plan.request.root_zone;
        let allowed = format!("may go {}", self.tick(self.number(zone.allowance())));
        for (gone, words) in [(Length::ZERO, "full".to_owned()), (zone.capacity(), "empty".to_owned())] {
            self.rule(svg, self.store_y(gone), &words);
        }
        label(svg, self.store_y(zone.allowance()) + 4.0, &allowed);
    }

    fn rule(&self, svg: &mut Markup, y: f64, words: &str) {
        let line = format!("M{} {}H{}", coordinate(LEFT), coordinate(y), coordinate(self.width - RIGHT));
        svg.empty("path", &[("d", &line), ("stroke", "#999999"), ("stroke-width", "0.7"), ("fill", "none")]);
        label(svg, y + 4.0, words);
    }

    fn bars(&self, svg: &mut Markup) {
        let wide = self.column / 2.0 - 3.0;
        for (index, day) in self.days() {
            for (depth, fill, x) in [
                (day.balance.rain, "url(#water-rain)", self.x(index) + 2.0),
                (day.balance.given, "url(#water-given)", self.x(index) + self.column / 2.0 + 1.0),
            ] {
                if !depth.is_positive() {
                    continue;
                }
                let y = self.bar_y(depth);
                svg.empty(
                    "rect",
                    &[
                        ("x", &coordinate(x)),
                        ("y", &coordinate(y)),
                        ("width", &coordinate(wide)),
                        ("height", &coordinate(TOP + BARS - y)),
                        ("fill", fill),
                        ("stroke", "#111111"),
                        ("stroke-width", "1"),
                    ],
                );
            }
        }
    }

    fn lines(&self, svg: &mut Markup) {
        let allowed = self.store_y(self.plan.request.root_zone.allowance());
        let line = format!("M{} {}H{}", coordinate(LEFT), coordinate(allowed), coordinate(self.width - RIGHT));
        stroke(svg, &line, "1.6", "7 4");
        let evening = |index: usize| self.x(index) + self.column;
        let first = self.plan.days.len() - self.plan.plain.days.len();
        let before = if first == 0 { self.plan.request.gone } else { self.plan.days[first - 1].balance.gone };
        let mut plain = vec![(self.x(first), self.store_y(before))];
        plain.extend(
            self.plan
                .plain
                .days
                .iter()
                .enumerate()
                .map(|(index, day)| (evening(first + index), self.store_y(day.gone))),
        );
        stroke(svg, &line_path(&plain), "1.3", "2 3");
        let mut gone = vec![(self.x(0), self.store_y(self.plan.request.gone))];
        gone.extend(self.days().map(|(index, day)| (evening(index), self.store_y(day.balance.gone))));
        stroke(svg, &line_path(&gone), "2.4", "none");
        for (index, _) in self.days().filter(|(_, day)| day.balance.is_short) {
            svg.text(
                "text",
                &[
                    ("x", &coordinate(self.x(index) + self.column / 2.0)),
                    ("y", &coordinate(TOP + BARS + BETWEEN + STORE - 6.0)),
                    ("text-anchor", "middle"),
                    ("font-size", "10"),
                    ("font-weight", "bold"),
                ],
                "short",
            );
        }
    }

    fn dates(&self, svg: &mut Markup) {
        let y = TOP + BARS + BETWEEN + STORE + 15.0;
        // A day needs the width of two digits, its month that of three letters.
        let mut month = None;
        for (index, day) in self.days() {
            let date: Date = day.weather.date;
            let middle = coordinate(self.x(index) + self.column / 2.0);
            svg.text(
                "text",
                &[("x", &middle), ("y", &coordinate(y)), ("text-anchor", "middle")],
                &date.day().to_string(),
            );
            if month != Some(date.month()) {
                month = Some(date.month());
                svg.text(
                    "text",
                    &[("x", &middle), ("y", &coordinate(y + 14.0)), ("text-anchor", "middle"), ("font-weight", "bold")],
                    &date.strftime("%b").to_string(),
                );
            }
        }
    }

    fn key(&self, svg: &mut Markup, y: f64) {
        let mut x = LEFT;
        let mut row = y;
        let mut next = |words: &str| {
            let wide = 34.0 + text_width(words, TEXT);
            if x + wide > self.width - RIGHT && x > LEFT {
                x = LEFT;
                row += 20.0;
            }
            let at = (x, row);
            x += wide + 8.0;
            at
        };
        for (fill, words) in [
            ("url(#water-rain)", "rain that reaches the roots"),
            ("url(#water-given)", "water given"),
            ("url(#water-none)", "no water is given"),
        ] {
            let (x, y) = next(words);
            svg.empty(
                "rect",
                &[
                    ("x", &coordinate(x)),
                    ("y", &coordinate(y - 10.0)),
                    ("width", "22"),
                    ("height", "13"),
                    ("fill", fill),
                    ("stroke", "#111111"),
                    ("stroke-width", "0.8"),
                ],
            );
            svg.text("text", &[("x", &coordinate(x + 28.0)), ("y", &coordinate(y))], words);
        }
        for (wide, dash, words) in [
            ("2.4", "none", "gone from the root zone"),
            ("1.3", "2 3", "the same by an inch a week"),
            ("1.6", "7 4", "as much may go"),
        ] {
            let (x, y) = next(words);
            stroke(svg, &format!("M{} {}h22", coordinate(x), coordinate(y - 4.0)), wide, dash);
            svg.text("text", &[("x", &coordinate(x + 28.0)), ("y", &coordinate(y))], words);
        }
    }
}

/// Words at the left of a chart.
fn label(svg: &mut Markup, y: f64, words: &str) {
    let size = (TEXT * (LEFT - 10.0) / text_width(words, TEXT)).clamp(8.5, TEXT - 1.0);
    svg.text(
        "text",
        &[
            ("x", &coordinate(LEFT - 6.0)),
            ("y", &coordinate(y)),
            ("text-anchor", "end"),
            ("font-size", &coordinate(size)),
        ],
        words,
    );
}

fn stroke(svg: &mut Markup, path: &str, wide: &str, dash: &str) {
    svg.empty(
        "path",
        &[("d", path), ("stroke", "#111111"), ("stroke-width", wide), ("stroke-dasharray", dash), ("fill", "none")],
    );
}

/// The step between marks of a scale up to at least `most`, and its end.
fn ticks(most: f64) -> (f64, f64) {
    let power = 10f64.powf((most / 4.0).max(1e-9).log10().floor());
    let step = [1.0, 2.0, 2.5, 5.0, 10.0]
        .into_iter()
        .map(|times| times * power)
        .find(|step| step * 4.0 >= most * (1.0 - 1e-9));
    let step = step.unwrap_or(10.0 * power);
    (step, step * (most / step - 1e-9).ceil().max(1.0))
}

#[cfg(test)]
mod tests {
    use super::ticks;

    #[test]
    fn a_scale_has_few_round_marks() {
        let close = |(step, end): (f64, f64), expected: (f64, f64)| {
            (step - expected.0).abs() < 1e-9 && (end - expected.1).abs() < 1e-9
        };
        assert!(close(ticks(1.0), (0.25, 1.0)));
        assert!(close(ticks(23.0), (10.0, 30.0)));
        assert!(close(ticks(0.55), (0.2, 0.6)));
    }
}
