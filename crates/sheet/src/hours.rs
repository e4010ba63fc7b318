//! The hours of the day of a visit: verdict, wind, gusts, direction, temperature and rain in columns,
//! and under them one row for each reason against an hour.

use crate::Units;
use crate::markup::{Markup, coordinate, text_width, wrap};
use crate::number::direction;
use crate::words::plain;
use jiff::civil::DateTime;
use quantity::{Length, Speed, SpeedUnit};
use treatment::{Hour, Status, Visit};

/// How the hours are drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HoursOptions {
    /// Tints beside the hatches; without, black and white only.
    pub colour: bool,
    /// The units of wind, temperature and rain.
    pub units: Units,
    /// Width of the picture in SVG user units (CSS pixels); at least 480 is used.
    pub width: u32,
}

impl Default for HoursOptions {
    fn default() -> Self {
        Self { colour: true, units: Units::UsCustomary, width: 960 }
    }
}

const TEXT: f64 = 12.0;
const WORDS: f64 = 56.0;
const BARS: f64 = 64.0;
const LINE: f64 = 20.0;

/// The hours of the visit's date as an SVG document (all hours of the forecast when it has none on
/// that date). Words and hatches say what the tints say.
pub fn hours_svg(visit: &Visit, options: HoursOptions) -> String {
    let reasons = reasons(&hours_shown(visit));
    with_reasons(visit, options, &reasons)
}

/// The same without the rows of reasons, for a page on which these stand in words.
pub(crate) fn hours_strip(visit: &Visit, options: HoursOptions) -> String {
    with_reasons(visit, options, &[])
}

fn with_reasons(visit: &Visit, options: HoursOptions, reasons: &[&str]) -> String {
    let hours = hours_shown(visit);
    let width = f64::from(options.width.max(480));
    let chart = Chart::new(&hours, width, options);
    let reason_lines: Vec<Vec<String>> =
        reasons.iter().map(|reason| wrap(&plain(visit, reason), TEXT, chart.left - 12.0)).collect();
    let reasons_top = chart.reasons_top();
    let height = reasons_top
        + reason_lines.iter().map(|lines| row_height(lines)).sum::<f64>()
        + if reasons.is_empty() { 4.0 } else { 10.0 };
    let told = (format!("Hours of {} for {}", visit.date, visit.name), description(visit, &hours, options.units));
    let mut svg = Markup::picture("hours", (width, height), Some(TEXT), (&told.0, &told.1));
    write_patterns(&mut svg, options.colour);
    svg.paper((width, height));
    if hours.is_empty() {
        svg.text("text", &[("x", "4"), ("y", "40")], "No forecast was given: judge every hour on the spot.");
        return svg.finish();
    }
    chart.write_start(&mut svg, visit);
    chart.write_columns(&mut svg, &hours);
    let mut y = reasons_top;
    for (reason, lines) in reasons.iter().zip(&reason_lines) {
        let high = row_height(lines);
        for (index, line) in lines.iter().enumerate() {
            chart.label(&mut svg, line, y + 13.5 + index as f64 * (TEXT + 2.0));
        }
        for (column, hour) in hours.iter().enumerate() {
            if let Some(found) = hour.reasons.iter().find(|found| found.text == *reason) {
                chart.cell(&mut svg, column, y + 2.0, high - 4.0, found.status);
            }
        }
        y += high;
        chart.rule(&mut svg, y);
    }
    svg.finish()
}

/// The hours of the date, or all when none is of the date.
pub(crate) fn hours_shown(visit: &Visit) -> Vec<&Hour> {
    let on_date: Vec<&Hour> = visit.hours.iter().filter(|hour| hour.start.date() == visit.date).collect();
    if on_date.is_empty() { visit.hours.iter().take(48).collect() } else { on_date }
}

fn reasons<'a>(hours: &[&'a Hour]) -> Vec<&'a str> {
    let mut all: Vec<&str> = Vec::new();
    for reason in hours.iter().flat_map(|hour| &hour.reasons) {
        if !all.contains(&reason.text.as_str()) {
            all.push(&reason.text);
        }
    }
    all
}

fn row_height(lines: &[String]) -> f64 {
    (lines.len() as f64 * (TEXT + 2.0) + 5.0).max(LINE)
}

fn description(visit: &Visit, hours: &[&Hour], units: Units) -> String {
    let mut parts: Vec<String> = hours
        .iter()
        .map(|hour| {
            let reasons: Vec<&str> = hour.reasons.iter().map(|reason| reason.text.as_str()).collect();
            let why = if reasons.is_empty() { String::new() } else { format!(" ({})", reasons.join("; ")) };
            format!("{}: {}{why}", units.hour(hour.start), hour.status.word())
        })
        .collect();
    if let Some(window) = visit.start_window {
        parts.push(format!("Start between {} and {}", units.clock(window.first), units.clock(window.last)));
    }
    parts.join(". ") + "."
}

/// The hatches of hours.
pub(crate) fn write_patterns(svg: &mut Markup, colour: bool) {
    svg.open("defs", &[]);
    let tiles = [
        ("hours-caution", "#fff0bf", "#7a5200", "M2 2h2v2h-2zM7 7h2v2h-2z", "10"),
        ("hours-refused", "#fbe1dd", "#a3271b", "M0 8L8 0M-2 2L2 -2M6 10L10 6", "8"),
    ];
    for (id, paper, ink, path, size) in tiles {
        let (paper, ink) = if colour { (paper, ink) } else { ("#ffffff", "#444444") };
        svg.open("pattern", &[("id", id), ("patternUnits", "userSpaceOnUse"), ("width", size), ("height", size)]);
        svg.empty("rect", &[("width", size), ("height", size), ("fill", paper)]);
        svg.empty("path", &[("d", path), ("stroke", ink), ("stroke-width", "1"), ("fill", "none")]);
        svg.close();
    }
    svg.close();
}

struct Chart {
    left: f64,
    column: f64,
    count: usize,
    first: DateTime,
    strongest: f64,
    options: HoursOptions,
}

impl Chart {
    fn new(hours: &[&Hour], width: f64, options: HoursOptions) -> Self {
        let left = (width * 0.2).clamp(120.0, 210.0);
        let count = hours.len().max(1);
        let strongest = hours
            .iter()
            .flat_map(|hour| [hour.wind, hour.gust])
            .flatten()
            .map(|speed| speed.to(SpeedUnit::MetrePerSecond))
            .fold(3.0, f64::max);
        let first = hours.first().map_or_else(DateTime::default, |hour| hour.start);
        let column = ((width - left - 6.0) / count as f64).min(64.0);
        Self { left, column, count, first, strongest, options }
    }

    const START: f64 = 34.0;
    const NUMBERS: f64 = Self::START + 18.0;
    const VERDICTS: f64 = Self::NUMBERS + 6.0;
    const WIND: f64 = Self::VERDICTS + 36.0;

    fn reasons_top(&self) -> f64 {
        Self::WIND + BARS + 6.0 + 4.0 * LINE + self.words_height() + 8.0
    }

    /// Columns too narrow for a word carry the sign alone, and the words stand in a key below.
    fn words_height(&self) -> f64 {
        if self.column >= WORDS { 0.0 } else { LINE }
    }

    fn x(&self, column: usize) -> f64 {
        self.left + column as f64 * self.column
    }

    /// Where a time of day lies.
    fn at(&self, time: DateTime) -> f64 {
        let hours = f64::from((time.duration_since(self.first)).as_secs() as i32) / 3600.0;
        self.left + hours.clamp(0.0, self.count as f64) * self.column
    }

    fn label(&self, svg: &mut Markup, text: &str, y: f64) {
        let x = coordinate(self.left - 8.0);
        svg.text("text", &[("x", &x), ("y", &coordinate(y)), ("text-anchor", "end")], text);
    }

    fn centred(&self, svg: &mut Markup, column: usize, y: f64, text: &str, weight: &str) {
        let x = self.x(column) + self.column / 2.0;
        // Never wider than its column.
        let size = (TEXT * (self.column - 2.0) / text_width(text, TEXT)).clamp(7.0, TEXT);
        svg.text(
            "text",
            &[
                ("x", &coordinate(x)),
                ("y", &coordinate(y)),
                ("text-anchor", "middle"),
                ("font-size", &coordinate(size)),
                ("font-weight", weight),
            ],
            text,
        );
    }

    fn rule(&self, svg: &mut Markup, y: f64) {
        let path = format!("M4 {}H{}", coordinate(y), coordinate(self.x(self.count)));
        svg.empty("path", &[("d", &path), ("stroke", "#999999"), ("stroke-width", "0.6")]);
    }

    fn cell(&self, svg: &mut Markup, column: usize, y: f64, high: f64, status: Status) {
        let fill = match (status, self.options.colour) {
            (Status::Allowed, true) => "#e2f1d6",
            (Status::Allowed, false) => "#ffffff",
            (Status::Caution, _) => "url(#hours-caution)",
            (Status::Refused, _) => "url(#hours-refused)",
        };
        svg.empty(
            "rect",
            &[
                ("x", &coordinate(self.x(column) + 0.5)),
                ("y", &coordinate(y)),
                ("width", &coordinate(self.column - 1.0)),
                ("height", &coordinate(high)),
                ("fill", fill),
                ("stroke", "#333333"),
                ("stroke-width", "0.8"),
            ],
        );
    }

    /// The sign of a status on a white disc.
    fn sign(svg: &mut Markup, x: f64, y: f64, status: Status) {
        let (x, y) = (coordinate(x), coordinate(y));
        svg.empty("circle", &[("cx", &x), ("cy", &y), ("r", "8"), ("fill", "#ffffff")]);
        let path = match status {
            Status::Allowed => "M-4.5 0L-1.5 4L4.5 -4",
            Status::Caution => "M0 -5V1.5M0 3.6V5.4",
            Status::Refused => "M-4 -4L4 4M4 -4L-4 4",
        };
        let place = format!("translate({x} {y})");
        svg.empty(
            "path",
            &[("d", path), ("transform", &place), ("fill", "none"), ("stroke", "#111111"), ("stroke-width", "2.2")],
        );
    }

    /// The bracket of start times and the finish, and sunrise and sunset.
    fn write_start(&self, svg: &mut Markup, visit: &Visit) {
        let units = self.options.units;
        let y = Self::START - 6.0;
        let mut words = (f64::INFINITY, f64::NEG_INFINITY);
        if let Some(window) = visit.start_window {
            let (from, to, finish) = (self.at(window.first), self.at(window.last), self.at(window.finish_if_last));
            let bar = format!("M{} {}v-8H{}v8", coordinate(from), coordinate(y), coordinate(to.max(from + 2.0)));
            svg.empty("path", &[("d", &bar), ("fill", "none"), ("stroke", "#111111"), ("stroke-width", "2.6")]);
            let on = format!("M{} {}H{}", coordinate(to), coordinate(y - 8.0), coordinate(finish));
            svg.empty(
                "path",
                &[("d", &on), ("stroke", "#111111"), ("stroke-width", "1.2"), ("stroke-dasharray", "3 3")],
            );
            let text = format!(
                "start {}–{}, done by {}",
                units.clock(window.first),
                units.clock(window.last),
                units.clock(window.finish_if_last)
            );
            let wide = text_width(&text, TEXT);
            let x = from.min(self.x(self.count) - wide).max(self.left);
            svg.text("text", &[("x", &coordinate(x)), ("y", &coordinate(y - 13.0)), ("font-weight", "bold")], &text);
            words = (x, x + wide);
        }
        for (word, time) in [("sunrise", visit.sun.rise), ("sunset", visit.sun.set)] {
            let Some(time) = time.filter(|time| time.date() == self.first.date()) else { continue };
            let x = self.at(time);
            let text = format!("{word} {}", units.clock(time));
            let wide = text_width(&text, TEXT);
            if x <= self.left || x >= self.x(self.count) {
                continue;
            }
            let mark = format!("M{0} {1}l-4 -7h8z", coordinate(x), coordinate(y + 6.0));
            svg.empty("path", &[("d", &mark), ("fill", "#111111")]);
            // Over its mark, or else to the left of it, where the start times leave room.
            let is_free = |at: &f64| *at > 4.0 && (*at + wide + 8.0 < words.0 || *at > words.1 + 8.0);
            let over = (x - wide / 2.0).min(self.x(self.count) - wide);
            if let Some(at) = [over, x - wide - 8.0].iter().find(|at| is_free(at)) {
                svg.text("text", &[("x", &coordinate(*at)), ("y", &coordinate(y - 3.0))], &text);
            }
        }
    }

    fn write_columns(&self, svg: &mut Markup, hours: &[&Hour]) {
        let units = self.options.units;
        self.label(svg, "hour from", Self::NUMBERS);
        self.label(svg, "verdict", Self::VERDICTS + 18.0);
        self.label(svg, &format!("wind (bar), gust (line), {}", units.wind_symbol()), Self::WIND + BARS / 2.0);
        let below = Self::WIND + BARS + 16.0;
        let rows = ["wind / gust", "from", "temperature", "rain"];
        let symbols =
            [units.wind_symbol(), "", units.degrees_symbol(), if units == Units::Metric { "mm" } else { "in" }];
        for (row, (name, symbol)) in rows.iter().zip(symbols).enumerate() {
            let text = if symbol.is_empty() { (*name).to_owned() } else { format!("{name}, {symbol}") };
            self.label(svg, &text, below + row as f64 * LINE);
        }
        for (column, hour) in hours.iter().enumerate() {
            self.centred(svg, column, Self::NUMBERS, &units.hour(hour.start), "bold");
            self.cell(svg, column, Self::VERDICTS, 26.0, hour.status);
            let middle = self.x(column) + self.column / 2.0;
            if self.column >= WORDS {
                self.write_word(svg, column, hour.status);
            } else {
                Self::sign(svg, middle, Self::VERDICTS + 13.0, hour.status);
            }
            self.write_wind(svg, column, hour.wind, hour.gust);
            let speed = |speed: Option<Speed>| speed.map_or_else(|| "–".to_owned(), |speed| units.wind(speed));
            self.centred(svg, column, below, &format!("{} / {}", speed(hour.wind), speed(hour.gust)), "normal");
            let from = hour.wind_from.map_or_else(|| "–".to_owned(), direction);
            let from = from.split(' ').next().unwrap_or_default().to_owned();
            self.centred(svg, column, below + LINE, &from, "normal");
            let degrees = hour.temperature.map_or_else(|| "–".to_owned(), |temperature| units.degrees(temperature));
            self.centred(svg, column, below + 2.0 * LINE, &degrees, "normal");
            let rain = hour.rain.map_or_else(|| "–".to_owned(), |rain| rain_number(units, rain));
            self.centred(svg, column, below + 3.0 * LINE, &rain, "normal");
        }
        for row in 0..4 {
            self.rule(svg, below + 5.0 + f64::from(row) * LINE);
        }
        if self.column < WORDS {
            let mut x = self.left + 8.0;
            for status in [Status::Allowed, Status::Caution, Status::Refused] {
                let y = below + 4.0 * LINE;
                Self::sign(svg, x, y - 4.0, status);
                svg.text("text", &[("x", &coordinate(x + 11.0)), ("y", &coordinate(y))], status.word());
                x += 34.0 + text_width(status.word(), TEXT);
            }
            self.rule(svg, below + 5.0 + 4.0 * LINE);
        }
    }

    fn write_word(&self, svg: &mut Markup, column: usize, status: Status) {
        let wide = text_width(status.word(), 11.0) + 4.0;
        let x = self.x(column) + (self.column - wide) / 2.0;
        svg.empty(
            "rect",
            &[
                ("x", &coordinate(x)),
                ("y", &coordinate(Self::VERDICTS + 5.0)),
                ("width", &coordinate(wide)),
                ("height", "16"),
                ("fill", "#ffffff"),
            ],
        );
        self.centred(svg, column, Self::VERDICTS + 17.0, status.word(), "bold");
    }

    fn write_wind(&self, svg: &mut Markup, column: usize, wind: Option<Speed>, gust: Option<Speed>) {
        let foot = Self::WIND + BARS;
        let high = |speed: Speed| speed.to(SpeedUnit::MetrePerSecond) / self.strongest * (BARS - 6.0);
        let (x, wide) = (self.x(column) + self.column * 0.28, self.column * 0.44);
        if let Some(wind) = wind {
            let high = high(wind);
            let fill = if self.options.colour { "#34618f" } else { "#555555" };
            svg.empty(
                "rect",
                &[
                    ("x", &coordinate(x)),
                    ("y", &coordinate(foot - high)),
                    ("width", &coordinate(wide)),
                    ("height", &coordinate(high)),
                    ("fill", fill),
                ],
            );
        }
        if let Some(gust) = gust {
            let (middle, top) = (x + wide / 2.0, foot - high(gust));
            let path = format!(
                "M{0} {1}V{2}M{3} {2}H{4}",
                coordinate(middle),
                coordinate(foot - wind.map_or(0.0, high)),
                coordinate(top),
                coordinate(middle - wide * 0.5),
                coordinate(middle + wide * 0.5)
            );
            svg.empty("path", &[("d", &path), ("stroke", "#111111"), ("stroke-width", "1.8"), ("fill", "none")]);
        }
        let base = format!("M{} {}h{}", coordinate(self.x(column)), coordinate(foot), coordinate(self.column));
        svg.empty("path", &[("d", &base), ("stroke", "#111111"), ("stroke-width", "1")]);
    }
}

fn rain_number(units: Units, rain: Length) -> String {
    if rain.is_positive() { units.depth(rain).split(' ').next().unwrap_or_default().to_owned() } else { "0".to_owned() }
}
