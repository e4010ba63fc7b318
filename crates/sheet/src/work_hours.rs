//! The hours of a forecast for one task: a row for each day, a cell for each hour, with its strongest reason in a word and
//! a hatch.

use crate::Units;
use crate::hours::{HoursOptions, write_patterns};
use crate::markup::{Markup, coordinate, text_width};
use jiff::civil::{Date, DateTime};
use treatment::{HourReason, Status, TaskHours, WorkHour, WorkHours};

const TEXT: f64 = 12.0;
const LEFT: f64 = 124.0;
const ROW: f64 = 50.0;
const TOP: f64 = 24.0;
const FOOT: f64 = 34.0;

/// The hours of one task of the visit as an SVG document. Words and hatches say what the tints say.
pub fn work_hours_svg(hours: &WorkHours, task: &TaskHours, options: HoursOptions) -> String {
    let width = f64::from(options.width.max(720));
    let grid = Grid { column: (width - LEFT - 6.0) / 24.0, options };
    let height = TOP + hours.days.len() as f64 * ROW + FOOT;
    let told = (format!("Hours for {} of {}", task.task, hours.name), description(hours, task, options.units));
    let mut svg = Markup::picture("work-hours", (width, height), Some(TEXT), (&told.0, &told.1));
    write_patterns(&mut svg, options.colour);
    svg.paper((width, height));
    for hour in 0..24_i8 {
        let time = DateTime::default().with().hour(hour).build().unwrap_or_default();
        grid.centred(&mut svg, hour, TOP - 8.0, &options.units.hour(time), 10.0, "bold");
    }
    for (row, (date, sun)) in hours.days.iter().enumerate() {
        let y = TOP + row as f64 * ROW;
        let weekday = weekday(*date);
        svg.text(
            "text",
            &[("x", "4"), ("y", &coordinate(y + 16.0)), ("font-weight", "bold")],
            &format!("{weekday} {}", options.units.date(*date)),
        );
        let clock = |time: Option<DateTime>| time.map_or_else(|| "–".to_owned(), |time| options.units.clock(time));
        let light = format!("sun {}–{}", clock(sun.rise), clock(sun.set));
        svg.text("text", &[("x", "4"), ("y", &coordinate(y + 32.0)), ("font-size", "10.5")], &light);
        for hour in task.hours.iter().filter(|hour| hour.hour.start.date() == *date) {
            grid.cell(&mut svg, y, hour);
        }
        for start in task.starts.iter().filter(|start| start.start.date() == *date) {
            let is_best = task.best().is_some_and(|best| best.start == start.start);
            grid.start(&mut svg, y, (start.start, start.finish), is_best);
        }
    }
    grid.key(&mut svg, height - 14.0);
    svg.finish()
}

fn weekday(date: Date) -> &'static str {
    ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"][(date.weekday().to_monday_zero_offset().rem_euclid(7)) as usize]
}

/// One or two short words for a reason.
fn short(reason: &HourReason) -> (&'static str, &'static str) {
    match reason.rule {
        "hour::wind-high" => ("strong", "wind"),
        "hour::wind-low" => ("little", "wind"),
        "hour::wind-direction-unknown" => ("wind", "from ?"),
        "hour::blows-toward" => ("wind", "toward"),
        "hour::too-hot" => ("too", "hot"),
        "hour::too-cold" => ("too", "cold"),
        "hour::too-humid" => ("too", "humid"),
        "hour::too-dry" => ("too", "dry"),
        "hour::rain" => ("rain", ""),
        "hour::rain-possible" => ("rain", "perhaps"),
        "hour::soil-saturated" => ("wet", "soil"),
        "hour::inversion" | "hour::layered-air" => ("air in", "layers"),
        "hour::no-reading" => ("no", "reading"),
        "hour::drops-shrink" => ("drops", "shrink"),
        "hour::drops-last" => ("drops", "hang"),
        "hour::leaves-wet" => ("leaves", "wet"),
        "hour::dries-slowly" => ("dries", "slowly"),
        "hour::bees-fly" => ("bees", "fly"),
        "hour::dark" => ("dark", ""),
        _ => ("see", "list"),
    }
}

fn description(hours: &WorkHours, task: &TaskHours, units: Units) -> String {
    let mut parts = Vec::new();
    for (date, _) in &hours.days {
        // Hours in a row that have the same to say are told as one.
        let of_day = task.hours.iter().filter(|hour| hour.hour.start.date() == *date);
        let mut runs: Vec<(DateTime, DateTime, String)> = Vec::new();
        for hour in of_day {
            let why = hour.strongest().map(|reason| format!(", {}", reason.text)).unwrap_or_default();
            let words = format!("{}{why}", hour.hour.status.word());
            let end = hour.hour.start.saturating_add(jiff::Span::new().hours(1));
            match runs.last_mut() {
                Some((_, last, known)) if *known == words && *last == hour.hour.start => *last = end,
                _ => runs.push((hour.hour.start, end, words)),
            }
        }
        let told: Vec<String> = runs
            .iter()
            .map(|(from, to, words)| format!("{} to {}: {words}", units.clock(*from), units.clock(*to)))
            .collect();
        parts.push(format!("{} {}: {}", weekday(*date), units.date(*date), told.join("; ")));
    }
    if let Some(best) = task.best() {
        parts.push(format!("Best start {} at {}", units.date(best.start.date()), units.clock(best.start)));
    }
    parts.join(". ") + "."
}

struct Grid {
    column: f64,
    options: HoursOptions,
}

impl Grid {
    fn x(&self, hour: i8) -> f64 {
        LEFT + f64::from(hour) * self.column
    }

    /// Where a time of the day lies.
    fn at(&self, time: DateTime) -> f64 {
        LEFT + (f64::from(time.hour()) + f64::from(time.minute()) / 60.0) * self.column
    }

    fn centred(&self, svg: &mut Markup, hour: i8, y: f64, text: &str, size: f64, weight: &str) {
        let size = (size * (self.column - 3.0) / text_width(text, size)).clamp(7.0, size);
        svg.text(
            "text",
            &[
                ("x", &coordinate(self.x(hour) + self.column / 2.0)),
                ("y", &coordinate(y)),
                ("text-anchor", "middle"),
                ("font-size", &coordinate(size)),
                ("font-weight", weight),
            ],
            text,
        );
    }

    fn fill(&self, status: Status) -> &'static str {
        match (status, self.options.colour) {
            (Status::Allowed, true) => "#e2f1d6",
            (Status::Allowed, false) => "#ffffff",
            (Status::Caution, _) => "url(#hours-caution)",
            (Status::Refused, _) => "url(#hours-refused)",
        }
    }

    fn cell(&self, svg: &mut Markup, y: f64, hour: &WorkHour) {
        let column = hour.hour.start.hour();
        svg.empty(
            "rect",
            &[
                ("x", &coordinate(self.x(column) + 0.5)),
                ("y", &coordinate(y)),
                ("width", &coordinate(self.column - 1.0)),
                ("height", &coordinate(ROW - 12.0)),
                ("fill", self.fill(hour.hour.status)),
                ("stroke", "#333333"),
                ("stroke-width", "0.8"),
            ],
        );
        let (first, second) = match hour.strongest() {
            Some(reason) => short(reason),
            None => ("good", ""),
        };
        // Words on a hatch stand on white, so that they can be read.
        if hour.hour.status != Status::Allowed {
            let lines = if second.is_empty() { 1.0 } else { 2.0 };
            svg.empty(
                "rect",
                &[
                    ("x", &coordinate(self.x(column) + 2.0)),
                    ("y", &coordinate(y + (ROW - 12.0 - lines * 11.0 - 2.0) / 2.0)),
                    ("width", &coordinate(self.column - 4.0)),
                    ("height", &coordinate(lines * 11.0 + 2.0)),
                    ("fill", "#ffffff"),
                ],
            );
        }
        let weight = if hour.hour.status == Status::Refused { "bold" } else { "normal" };
        if second.is_empty() {
            self.centred(svg, column, y + 23.0, first, 10.0, weight);
        } else {
            self.centred(svg, column, y + 17.5, first, 10.0, weight);
            self.centred(svg, column, y + 28.5, second, 10.0, weight);
        }
    }

    /// The bar of the best start of a day, thick for the best of all.
    fn start(&self, svg: &mut Markup, y: f64, (from, to): (DateTime, DateTime), is_best: bool) {
        let end = if to.date() == from.date() { self.at(to) } else { self.x(23) + self.column };
        let below = y + ROW - 7.0;
        let bar = format!("M{} {}v-4v8v-4H{}", coordinate(self.at(from)), coordinate(below), coordinate(end));
        let wide = if is_best { "4" } else { "1.6" };
        svg.empty("path", &[("d", &bar), ("fill", "none"), ("stroke", "#111111"), ("stroke-width", wide)]);
    }

    fn key(&self, svg: &mut Markup, y: f64) {
        let mut x = LEFT;
        for (status, words) in [
            (Status::Allowed, "within the limits"),
            (Status::Caution, "with care"),
            (Status::Refused, "not to be worked in"),
        ] {
            svg.empty(
                "rect",
                &[
                    ("x", &coordinate(x)),
                    ("y", &coordinate(y - 10.0)),
                    ("width", "16"),
                    ("height", "13"),
                    ("fill", self.fill(status)),
                    ("stroke", "#333333"),
                    ("stroke-width", "0.8"),
                ],
            );
            svg.text("text", &[("x", &coordinate(x + 21.0)), ("y", &coordinate(y))], words);
            x += 40.0 + text_width(words, TEXT);
        }
        let bar = format!("M{} {}v-4v8v-4h22", coordinate(x), coordinate(y - 4.0));
        svg.empty("path", &[("d", &bar), ("fill", "none"), ("stroke", "#111111"), ("stroke-width", "4")]);
        svg.text(
            "text",
            &[("x", &coordinate(x + 28.0)), ("y", &coordinate(y))],
            "best start and its work (thin: of its day)",
        );
    }
}
