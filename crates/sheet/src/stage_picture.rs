//! The shares of a pest's stages by day, one above the other, each with its word and hatch; the window of those that a
//! treatment reaches; and the dates ahead as ranges over past years.

use crate::markup::{Markup, coordinate, rings_path, shortened, text_width};
use jiff::civil::Date;
use phenology::{DateRange, StageCourse, StepDay};
use quantity::DegreeDayUnit;
use weather::degree_days::ReachedRange;

/// What is drawn.
#[derive(Debug, Clone, Copy)]
pub struct StagePicture<'a> {
    /// Of which pest.
    pub pest: &'a str,
    /// The stages over the days.
    pub course: &'a StageCourse,
    /// The unit in which heat is told.
    pub unit: DegreeDayUnit,
    /// Tints beside hatches and words; without, black and white only.
    pub colour: bool,
    /// Width of the picture in SVG user units (CSS pixels); at least 640 is used.
    pub width: u32,
}

const TEXT: f64 = 12.0;
const LEFT: f64 = 132.0;
const RIGHT: f64 = 20.0;
const TOP: f64 = 26.0;
const HIGH: f64 = 230.0;
const ROW: f64 = 22.0;

/// Papers, inks and strokes of the stages in order; a seventh begins again, its strokes further apart.
const HATCHES: [(&str, &str, &str); 6] = [
    ("#fdf6e3", "#7a5200", "M2 2h1.6v1.6h-1.6zM7 7h1.6v1.6h-1.6z"),
    ("#dff0d8", "#2e6b1f", "M0 10L10 0M-2 2L2 -2M8 12L12 8"),
    ("#cfe6f7", "#135a96", "M0 5H10"),
    ("#ffdfae", "#8a3d00", "M0 0L10 10M-2 8L2 12M8 -2L12 2"),
    ("#e8def6", "#4b2a85", "M5 0V10M0 5H10"),
    ("#f6e3d3", "#6e3410", "M2.5 5A2.5 2.5 0 1 0 7.5 5A2.5 2.5 0 1 0 2.5 5"),
];

/// The picture as an SVG document. Words and hatches say what the tints say.
pub fn stages_svg(picture: &StagePicture<'_>) -> String {
    let width = f64::from(picture.width.max(640));
    let chart = Chart::of(picture, width);
    let height = chart.foot() + 12.0;
    let title = format!("Stages of the {} by heat", picture.pest);
    let mut svg = Markup::picture("stages", (width, height), Some(TEXT), (&title, &description(picture)));
    write_patterns(&mut svg, picture);
    svg.paper((width, height));
    chart.write_scales(&mut svg);
    chart.write_areas(&mut svg);
    chart.write_window(&mut svg);
    chart.write_last(&mut svg);
    chart.write_key(&mut svg);
    chart.write_ranges(&mut svg);
    svg.finish()
}

fn pattern(stage: usize) -> String {
    format!("stages-{}", stage + 1)
}

fn write_patterns(svg: &mut Markup, picture: &StagePicture<'_>) {
    svg.open("defs", &[]);
    for stage in 0..picture.course.stages.len() {
        let (paper, ink, path) = HATCHES[stage % HATCHES.len()];
        let (paper, ink) = if picture.colour { (paper, ink) } else { ("#ffffff", "#222222") };
        let size = coordinate(10.0 + 8.0 * (stage / HATCHES.len()) as f64);
        svg.open(
            "pattern",
            &[("id", &pattern(stage)), ("patternUnits", "userSpaceOnUse"), ("width", &size), ("height", &size)],
        );
        svg.empty("rect", &[("width", &size), ("height", &size), ("fill", paper)]);
        svg.empty("path", &[("d", path), ("stroke", ink), ("stroke-width", "1.1"), ("fill", "none")]);
        svg.close();
    }
    svg.close();
}

/// The stages with their shares, in words.
fn told(course: &StageCourse, shares: &[f64]) -> String {
    let of = |(stage, share): (&String, &f64)| format!("{stage} {:.0} %", share * 100.0);
    course.stages.iter().zip(shares).map(of).collect::<Vec<_>>().join(", ")
}

fn description(picture: &StagePicture<'_>) -> String {
    let course = picture.course;
    let mut parts = Vec::new();
    // Once a month is enough to follow it by.
    for day in
        course.days.iter().filter(|day| day.date.day() == 1 || Some(day.date) == course.last().map(|last| last.date))
    {
        let heat = day.total.show(picture.unit);
        parts.push(format!("{}: {heat}, {}", day.date, told(course, day.shares.shares())));
    }
    if let Some((first, last)) = course.window.as_ref().and_then(|window| window.days) {
        parts.push(format!("{} the most from {first} to {last}", names(course)));
    }
    for step in &course.steps {
        parts.push(format!("{}: {}", step.to, step_words(step)));
    }
    parts.join(". ") + "."
}

fn names(course: &StageCourse) -> String {
    let stages = course.susceptible.iter().flat_map(|own| own.stages().iter());
    stages.filter_map(|stage| course.stages.get(*stage).map(String::as_str)).collect::<Vec<_>>().join(", ")
}

fn step_words(step: &StepDay) -> String {
    let text = |date: Option<Date>| date.map_or_else(|| "not before the year ends".to_owned(), |date| date.to_string());
    match step.reached {
        Some(ReachedRange::On(date)) => format!("half had become it by {date}"),
        Some(ReachedRange::Ahead { early, middle, late, years, .. }) => {
            format!("ahead, {} to {}, middle {}, over {years} past years", text(early), text(late), text(middle))
        }
        None => "not reached yet".to_owned(),
    }
}

/// A bar of dates ahead.
struct Row {
    name: String,
    early: Option<Date>,
    middle: Option<Date>,
    late: Option<Date>,
}

struct Chart<'a> {
    picture: &'a StagePicture<'a>,
    width: f64,
    first: Date,
    days: f64,
    rows: Vec<Row>,
}

impl<'a> Chart<'a> {
    fn of(picture: &'a StagePicture<'a>, width: f64) -> Self {
        let course = picture.course;
        let first = course.days.first().map_or(Date::MIN, |day| day.date);
        let rows = rows(course);
        let dates = rows.iter().flat_map(|row| [row.early, row.middle, row.late]).flatten();
        let last = dates.chain(course.last().map(|day| day.date)).max().unwrap_or(first);
        Self { picture, width, first, days: days_between(first, last).max(1.0), rows }
    }

    fn x(&self, date: Date) -> f64 {
        LEFT + days_between(self.first, date) / self.days * (self.width - LEFT - RIGHT)
    }

    /// Where the readings end.
    fn last_x(&self) -> f64 {
        self.picture.course.last().map_or(LEFT, |last| self.x(last.date))
    }

    fn y(share: f64) -> f64 {
        TOP + (1.0 - share.clamp(0.0, 1.0)) * HIGH
    }

    /// Below the areas and the months.
    fn key_top() -> f64 {
        TOP + HIGH + 48.0
    }

    fn ranges_top(&self) -> f64 {
        Self::key_top() + ROW * self.key_lines().len() as f64 + 24.0
    }

    fn foot(&self) -> f64 {
        if self.rows.is_empty() { self.ranges_top() - 14.0 } else { self.ranges_top() + ROW * self.rows.len() as f64 }
    }

    fn write_scales(&self, svg: &mut Markup) {
        let right = self.width - RIGHT;
        for quarter in 0..=4 {
            let share = f64::from(quarter) / 4.0;
            line(svg, (LEFT, Self::y(share)), (right, Self::y(share)), ("#cccccc", "1", "none"));
            let text = format!("{:.0} %", share * 100.0);
            svg.text(
                "text",
                &[("x", &coordinate(LEFT - 7.0)), ("y", &coordinate(Self::y(share) + 4.0)), ("text-anchor", "end")],
                &text,
            );
        }
        for (row, words) in ["share in", "each stage"].iter().enumerate() {
            svg.text("text", &[("x", "4"), ("y", &coordinate(TOP + 20.0 + 15.0 * row as f64))], words);
        }
        let mut month = self.first.first_of_month();
        let mut told = f64::NEG_INFINITY;
        loop {
            if month >= self.first {
                let x = self.x(month);
                if x > right + 0.5 {
                    break;
                }
                line(svg, (x, TOP + HIGH), (x, TOP + HIGH + 5.0), ("#111111", "1", "none"));
                let text = month.strftime("%b").to_string();
                if x - told > 30.0 && x + text_width(&text, TEXT) / 2.0 < self.width {
                    svg.text(
                        "text",
                        &[("x", &coordinate(x)), ("y", &coordinate(TOP + HIGH + 19.0)), ("text-anchor", "middle")],
                        &text,
                    );
                    told = x;
                }
            }
            let Ok(next) = month.checked_add(jiff::Span::new().months(1)) else { break };
            month = next;
        }
    }

    /// The areas, the first stage at the top.
    fn write_areas(&self, svg: &mut Markup) {
        let days = &self.picture.course.days;
        let is_there = |stage: &usize| days.iter().any(|day| day.shares.shares()[*stage] > 0.002);
        for stage in (0..self.picture.course.stages.len()).filter(is_there) {
            let beyond = |shares: &[f64], from: usize| shares.get(from..).map_or(0.0, |rest| rest.iter().sum());
            let upper = days.iter().map(|day| (self.x(day.date), Self::y(beyond(day.shares.shares(), stage))));
            let lower =
                days.iter().rev().map(|day| (self.x(day.date), Self::y(beyond(day.shares.shares(), stage + 1))));
            let ring: Vec<(f64, f64)> = upper.chain(lower).collect();
            let fill = format!("url(#{})", pattern(stage));
            svg.empty(
                "path",
                &[
                    ("d", &rings_path(&[ring])),
                    ("fill", &fill),
                    ("stroke", "#111111"),
                    ("stroke-width", "1.2"),
                    ("stroke-linejoin", "round"),
                ],
            );
        }
        for stage in 0..self.picture.course.stages.len() {
            self.write_name(svg, stage);
        }
    }

    /// The name of a stage where its share is the largest and the word fits; the key has all of them.
    fn write_name(&self, svg: &mut Markup, stage: usize) {
        let course = self.picture.course;
        let name = course.stages[stage].as_str();
        let wide = text_width(name, TEXT) + 8.0;
        let share = |at: usize| course.days[at].shares.shares()[stage];
        let larger = |best: usize, at: usize| if share(at) > share(best) { at } else { best };
        let Some(best) = (0..course.days.len()).reduce(larger) else { return };
        // Of days alike the middle one.
        let alike: Vec<usize> = (0..course.days.len()).filter(|at| share(*at) > share(best) - 0.02).collect();
        let at = alike.get(alike.len() / 2).copied().unwrap_or(best);
        let day = &course.days[at];
        let above: f64 = day.shares.shares()[stage + 1..].iter().sum();
        let (x, y) = (self.x(day.date), Self::y(above + share(at) / 2.0));
        let from = (x - wide / 2.0).clamp(LEFT + 2.0, (self.last_x() - wide - 3.0).max(LEFT + 2.0));
        if share(at) * HIGH < 24.0 {
            return;
        }
        svg.empty(
            "rect",
            &[
                ("x", &coordinate(from)),
                ("y", &coordinate(y - 9.0)),
                ("width", &coordinate(wide)),
                ("height", "18"),
                ("rx", "2"),
                ("fill", "#ffffff"),
                ("stroke", "#111111"),
                ("stroke-width", "0.6"),
            ],
        );
        svg.text(
            "text",
            &[
                ("x", &coordinate(from + wide / 2.0)),
                ("y", &coordinate(y + 4.0)),
                ("text-anchor", "middle"),
                ("font-weight", "bold"),
            ],
            name,
        );
    }

    /// A bracket over the days of the window.
    fn write_window(&self, svg: &mut Markup) {
        let Some(window) = &self.picture.course.window else { return };
        let Some((first, last)) = window.days else { return };
        let (from, to) = (self.x(first), self.x(last).max(self.x(first) + 2.0));
        let end = if window.is_open { String::new() } else { format!("V{}", coordinate(TOP)) };
        let (x, y) = (coordinate(from), coordinate(TOP - 7.0));
        let path = format!("M{x} {}V{y}H{}{end}", coordinate(TOP), coordinate(to));
        svg.empty("path", &[("d", &path), ("stroke", "#111111"), ("stroke-width", "2.5"), ("fill", "none")]);
        let text = if window.is_open { format!("window from {first}") } else { format!("window {first} to {last}") };
        let wide = text_width(&text, 11.0);
        let middle = f64::midpoint(from, to).clamp(LEFT + wide / 2.0, self.width - 4.0 - wide / 2.0);
        svg.text(
            "text",
            &[
                ("x", &coordinate(middle)),
                ("y", &coordinate(TOP - 12.0)),
                ("text-anchor", "middle"),
                ("font-size", "11"),
                ("font-weight", "bold"),
            ],
            &text,
        );
    }

    /// Where the readings end.
    fn write_last(&self, svg: &mut Markup) {
        let Some(last) = self.picture.course.last() else { return };
        let x = self.x(last.date);
        line(svg, (x, TOP), (x, TOP + HIGH), ("#111111", "2", "5 4"));
        let text = format!("read through {}: {}", last.date, last.total.show(self.picture.unit));
        let wide = text_width(&text, 11.0);
        // Below the months, so that no hatch lies under it.
        line(svg, (x, TOP + HIGH), (x, TOP + HIGH + 26.0), ("#111111", "2", "5 4"));
        let middle = x.clamp(LEFT, (self.width - 4.0 - wide / 2.0).max(LEFT));
        svg.text(
            "text",
            &[
                ("x", &coordinate(middle)),
                ("y", &coordinate(TOP + HIGH + 37.0)),
                ("text-anchor", "middle"),
                ("font-size", "11"),
            ],
            &text,
        );
    }

    /// Stages with the share of the last day, in lines of the width.
    fn key_lines(&self) -> Vec<Vec<(usize, String)>> {
        let course = self.picture.course;
        let shares = course.last().map(|day| day.shares.shares());
        let mut lines: Vec<Vec<(usize, String)>> = vec![Vec::new()];
        let mut used = LEFT;
        for (stage, name) in course.stages.iter().enumerate() {
            let share = shares.and_then(|shares| shares.get(stage)).map_or(0.0, |share| share * 100.0);
            let text = format!("{name} {share:.0} %");
            let wide = 30.0 + text_width(&text, TEXT) + 14.0;
            if used + wide > self.width - RIGHT && used > LEFT {
                lines.push(Vec::new());
                used = LEFT;
            }
            used += wide;
            if let Some(line) = lines.last_mut() {
                line.push((stage, text));
            }
        }
        lines
    }

    fn write_key(&self, svg: &mut Markup) {
        let Some(last) = self.picture.course.last() else { return };
        let top = Self::key_top();
        svg.text("text", &[("x", "4"), ("y", &coordinate(top + 14.0))], &format!("on {}", last.date));
        for (row, entries) in self.key_lines().iter().enumerate() {
            let y = top + ROW * row as f64;
            let mut x = LEFT;
            for (stage, text) in entries {
                let fill = format!("url(#{})", pattern(*stage));
                svg.empty(
                    "rect",
                    &[
                        ("x", &coordinate(x)),
                        ("y", &coordinate(y + 2.0)),
                        ("width", "24"),
                        ("height", "15"),
                        ("fill", &fill),
                        ("stroke", "#111111"),
                    ],
                );
                svg.text("text", &[("x", &coordinate(x + 30.0)), ("y", &coordinate(y + 14.0))], text);
                x += 30.0 + text_width(text, TEXT) + 14.0;
            }
        }
    }

    /// The dates ahead: a bar from the early to the late one, a tick at the middle.
    fn write_ranges(&self, svg: &mut Markup) {
        if self.rows.is_empty() {
            return;
        }
        let top = self.ranges_top();
        let years = self.picture.course.past_years.len();
        let text =
            format!("dates ahead over {years} past years: bar from one year in ten to nine in ten, stroke at half");
        svg.text("text", &[("x", "4"), ("y", &coordinate(top - 8.0)), ("font-size", "11")], &text);
        for (index, row) in self.rows.iter().enumerate() {
            let y = top + ROW * index as f64;
            let name = shortened(&row.name, TEXT, LEFT - 10.0);
            svg.text("text", &[("x", "4"), ("y", &coordinate(y + 15.0))], &name);
            self.write_range(svg, y, row);
        }
    }

    fn write_range(&self, svg: &mut Markup, y: f64, row: &Row) {
        let Some(early) = row.early else {
            svg.text(
                "text",
                &[("x", &coordinate(LEFT)), ("y", &coordinate(y + 15.0)), ("font-size", "11")],
                "in none of them before the year ends",
            );
            return;
        };
        let right = self.width - RIGHT;
        let (from, to) = (self.x(early), row.late.map_or(right, |late| self.x(late)));
        let fill = if self.picture.colour { "#cfe6f7" } else { "#ffffff" };
        let dash = if row.late.is_some() { "none" } else { "4 3" };
        svg.empty(
            "rect",
            &[
                ("x", &coordinate(from)),
                ("y", &coordinate(y + 6.0)),
                ("width", &coordinate((to - from).max(2.0))),
                ("height", "10"),
                ("fill", fill),
                ("stroke", "#111111"),
                ("stroke-dasharray", dash),
            ],
        );
        if let Some(middle) = row.middle {
            let x = self.x(middle);
            line(svg, (x, y + 3.0), (x, y + 19.0), ("#111111", "3", "none"));
        }
        let short = |date: Date| date.strftime("%b %-d").to_string();
        let late = row.late.map_or_else(|| "not every year".to_owned(), short);
        let text = match (row.early, row.late) {
            (Some(early), Some(late)) if early == late => short(early),
            _ => format!("{} to {late}", short(early)),
        };
        let wide = text_width(&text, 11.0);
        let (x, anchor) = if to + wide + 8.0 < self.width { (to + 6.0, "start") } else { (from - 6.0, "end") };
        let attributes = [
            ("x", coordinate(x)),
            ("y", coordinate(y + 15.0)),
            ("text-anchor", anchor.to_owned()),
            ("font-size", "11".to_owned()),
        ];
        let attributes: Vec<(&'static str, &str)> =
            attributes.iter().map(|(key, value)| (*key, value.as_str())).collect();
        svg.text("text", &attributes, &text);
    }
}

fn rows(course: &StageCourse) -> Vec<Row> {
    let mut rows: Vec<Row> = course
        .steps
        .iter()
        .filter_map(|step| match step.reached {
            Some(ReachedRange::Ahead { early, middle, late, .. }) => {
                Some(Row { name: format!("half {}", step.to), early, middle, late })
            }
            _ => None,
        })
        .collect();
    if let Some(ahead) = &course.window_ahead {
        let row = |name: &str, range: DateRange| Row {
            name: format!("window {name}"),
            early: range.early,
            middle: range.middle,
            late: range.late,
        };
        let is_past = |range: &DateRange| {
            range.early == range.late && course.last().zip(range.late).is_some_and(|(last, late)| late <= last.date)
        };
        for (name, range) in [("opens", ahead.first), ("is best", ahead.best), ("closes", ahead.last)] {
            if !is_past(&range) {
                rows.push(row(name, range));
            }
        }
    }
    rows
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

fn days_between(first: Date, last: Date) -> f64 {
    f64::from((last - first).get_days())
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::ToSpan;
    use jiff::civil::date;
    use pest::{Cited, DegreeDayModel, HeatStart, StageStep};
    use phenology::{Prior, Readings, StageQuestion, stage_course};
    use quantity::{DegreeDays, Temperature, TemperatureUnit};
    use weather::{DailyReading, DailySeries};

    fn model() -> DegreeDayModel {
        let step = |to: &str, middle| {
            let middle = DegreeDays::new(middle, DegreeDayUnit::Celsius);
            Cited { what: StageStep { to: to.into(), middle, spread: None, note: None }, source: "a".into() }
        };
        DegreeDayModel {
            base: Temperature::new(10.0, TemperatureUnit::Celsius),
            scale: TemperatureUnit::Celsius,
            upper: None,
            method: None,
            start: HeatStart::Day { month: 3, day: 1 },
            first: "egg".into(),
            steps: vec![step("<young> nymph", 100.0), step("old nymph", 200.0), step("adult", 400.0)],
            variance_per_degree_day: None,
            susceptible: Vec::new(),
            place: "nowhere, invented".into(),
            note: None,
            source: "a".into(),
        }
    }

    fn course(past: i16, last: Date) -> StageCourse {
        let all = date(2026 - past, 1, 1).series(1.day()).take_while(|day| *day <= last);
        let reading = |day: Date| {
            let air = Some(Temperature::new(14.0 + f64::from(day.year() % 5), TemperatureUnit::Celsius));
            DailyReading { lowest: air, highest: air, ..DailyReading::unknown(day) }
        };
        let days = DailySeries::new(all.map(reading).collect()).unwrap().0;
        let asked = StageQuestion {
            model: &model(),
            readings: Readings::Days(&days),
            past: None,
            biofix: None,
            year: None,
            through: None,
            by: None,
            susceptible: &["nymph".to_owned()],
            sightings: &[],
            prior: Prior::new(0.1, 1.0).unwrap(),
        };
        stage_course(&asked).unwrap().0
    }

    fn draw(course: &StageCourse, colour: bool) -> String {
        stages_svg(&StagePicture { pest: "hopper", course, unit: DegreeDayUnit::Celsius, colour, width: 960 })
    }

    #[test]
    fn the_picture_says_in_words_what_it_draws() {
        let course = course(6, date(2026, 4, 10));
        let svg = draw(&course, true);
        for stage in 1..=4 {
            assert!(svg.contains(&format!("id=\"stages-{stage}\"")) && svg.contains(&format!("url(#stages-{stage})")));
        }
        assert!(svg.contains("Stages of the hopper by heat") && svg.contains("2026-04-01: "), "{svg}");
        assert!(svg.contains("&lt;young&gt; nymph") && !svg.contains("<young>"));
        assert!(svg.contains("window from 2026-03-") && svg.contains("dates ahead over 6 past years"), "{svg}");
        assert!(svg.contains("half adult") && svg.contains("window closes") && !svg.contains("window opens"), "{svg}");
        assert_eq!(svg, draw(&course, true), "the same bytes");
        let plain = draw(&course, false);
        assert!(!plain.contains("#dff0d8") && plain.contains("url(#stages-2)"));
    }

    #[test]
    fn a_day_alone_and_no_past_years_are_drawn_too() {
        let svg = draw(&course(0, date(2026, 3, 1)), true);
        assert!(svg.contains("not reached yet") && !svg.contains("NaN") && !svg.contains("dates ahead over"), "{svg}");
    }

    #[test]
    fn no_two_hatches_are_alike() {
        let mut paths: Vec<&str> = HATCHES.iter().map(|(_, _, path)| *path).collect();
        paths.sort_unstable();
        paths.dedup();
        assert_eq!(paths.len(), HATCHES.len());
    }
}
