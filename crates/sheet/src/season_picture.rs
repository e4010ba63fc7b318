//! The programme of a season: weeks across, ground down, each application with its residue as a bar of its product's
//! hatch and its name in words; below it what pests would cost and what is left of that.

use crate::Units;
use crate::markup::{Markup, coordinate, line_path, rings_path, shortened, text_width};
use jiff::civil::Date;
use season::programme::{Planned, SeasonRequest, Week};

/// What is drawn.
#[derive(Debug, Clone, Copy)]
pub struct SeasonPicture<'a> {
    /// The season.
    pub request: &'a SeasonRequest,
    /// What is planned.
    pub planned: &'a [Planned],
    /// Tints beside words and hatches; without, black and white only.
    pub colour: bool,
    /// How dates are written.
    pub units: Units,
    /// Width of the picture in SVG user units (CSS pixels); at least 640 is used.
    pub width: u32,
}

const TEXT: f64 = 12.0;
const SMALL: f64 = 10.5;
const LEFT: f64 = 132.0;
const RIGHT: f64 = 10.0;
const TOP: f64 = 54.0;
const LANE: f64 = 27.0;
const PRESSURE: f64 = 34.0;
const GAP: f64 = 16.0;
const KEY: f64 = 20.0;

/// Hatches by product: a path on a tile of eight, and its tint.
const HATCHES: [(&str, &str); 8] = [
    ("M0 8L8 0M-2 2L2 -2M6 10L10 6", "#cfe3f5"),
    ("M0 0L8 8M-2 6L2 10M6 -2L10 2", "#f7ddc4"),
    ("M0 4H8", "#d9ecd0"),
    ("M4 0V8", "#eadcf0"),
    ("M0 4H8M4 0V8", "#f6f0c9"),
    ("M2 2h2v2h-2zM6 6h2v2h-2z", "#d5eeee"),
    ("M0 8L8 0M0 0L8 8", "#f3d6dc"),
    ("M0 2H8M0 6H8", "#e3e3e3"),
];

/// The picture as an SVG document; words say what tints and hatches say.
pub fn season_svg(picture: &SeasonPicture<'_>) -> String {
    let chart = Chart::of(picture);
    let size = (chart.width, chart.height);
    let told = (format!("Programme: {}", picture.request.name), description(picture));
    let mut svg = Markup::picture("season", size, Some(TEXT), (&told.0, &told.1));
    chart.write_hatches(&mut svg);
    svg.paper(size);
    chart.write_weeks(&mut svg);
    for ground in 0..picture.request.grounds.len() {
        chart.write_ground(&mut svg, ground);
    }
    chart.write_key(&mut svg);
    svg.finish()
}

fn description(picture: &SeasonPicture<'_>) -> String {
    let request = picture.request;
    let told: Vec<String> = picture
        .planned
        .iter()
        .map(|one| {
            format!(
                "{}: {} on {}",
                picture.units.date(request.weeks.date(one.week)),
                request.uses[one.product_use].id,
                request.grounds[one.ground].name
            )
        })
        .collect();
    if told.is_empty() {
        return "Nothing is planned.".to_owned();
    }
    format!("Dates to scout, and what is applied where counts call for it. {}.", told.join("; "))
}

/// An application with its place in the chart.
struct Bar {
    planned: Planned,
    lane: usize,
    x: f64,
    width: f64,
}

struct Chart<'a> {
    picture: &'a SeasonPicture<'a>,
    width: f64,
    height: f64,
    column: f64,
    /// By ground: its top and its bars.
    rows: Vec<(f64, usize, Vec<Bar>)>,
    /// The products planned, in the order of their hatches.
    labels: Vec<(&'a str, &'a str)>,
}

impl<'a> Chart<'a> {
    fn of(picture: &'a SeasonPicture<'a>) -> Self {
        let request = picture.request;
        let width = f64::from(picture.width.max(640));
        let column = (width - LEFT - RIGHT) / request.weeks.count() as f64;
        let mut labels: Vec<(&str, &str)> = Vec::new();
        for one in picture.planned {
            let of = &request.uses[one.product_use];
            if labels.iter().all(|(label, _)| *label != of.label) {
                labels.push((&of.label, &of.product));
            }
        }
        labels.sort_unstable();
        let mut rows = Vec::new();
        let mut y = TOP;
        for ground in 0..request.grounds.len() {
            let bars = bars(picture, ground, column);
            let lanes = bars.iter().map(|bar| bar.lane + 1).max().unwrap_or(1);
            rows.push((y, lanes, bars));
            y += lanes as f64 * LANE + PRESSURE + GAP;
        }
        let keys = labels.len() + 2;
        let mut chart = Self { picture, width, height: 0.0, column, rows, labels };
        chart.height = y + (keys.div_ceil(chart.keys_a_line()) as f64) * KEY + 8.0;
        chart
    }

    fn x(&self, week: usize) -> f64 {
        LEFT + week as f64 * self.column
    }

    fn bottom(&self) -> f64 {
        self.rows.last().map_or(TOP, |(y, lanes, _)| y + *lanes as f64 * LANE + PRESSURE)
    }

    fn keys_a_line(&self) -> usize {
        (((self.width - 16.0) / 300.0) as usize).max(1)
    }

    fn hatch(&self, label: &str) -> usize {
        self.labels.iter().position(|(known, _)| *known == label).unwrap_or(0) % HATCHES.len()
    }

    fn write_hatches(&self, svg: &mut Markup) {
        svg.open("defs", &[]);
        let tile = [("patternUnits", "userSpaceOnUse"), ("width", "8"), ("height", "8")];
        let mut write = |id: &str, paper: &str, ink: &str, path: &str| {
            svg.open("pattern", &[("id", id), tile[0], tile[1], tile[2]]);
            svg.empty("rect", &[("width", "8"), ("height", "8"), ("fill", paper)]);
            svg.empty("path", &[("d", path), ("stroke", ink), ("stroke-width", "1"), ("fill", "none")]);
            svg.close();
        };
        for (at, (path, tint)) in HATCHES.iter().enumerate().take(self.labels.len().max(1)) {
            let paper = if self.picture.colour { tint } else { "#ffffff" };
            write(&format!("season-{at}"), paper, "#222222", path);
        }
        let (paper, ink) = if self.picture.colour { ("#fbe1dd", "#a3271b") } else { ("#ffffff", "#555555") };
        write("season-left", paper, ink, "M0 8L8 0M-2 2L2 -2M6 10L10 6");
        write("season-closed", "#ffffff", "#777777", "M0 0h2v2h-2zM4 4h2v2h-2z");
        svg.close();
    }

    /// Months above, a line for each visit with its date.
    fn write_weeks(&self, svg: &mut Markup) {
        let request = self.picture.request;
        let mut month = None;
        for week in request.weeks.iter() {
            let date = request.weeks.date(week);
            if month != Some(date.month()) {
                month = Some(date.month());
                let x = self.x(week.index());
                let next = (week.index() + 1..request.weeks.count())
                    .find(|later| request.weeks.date(Week(*later as u16)).month() != date.month())
                    .unwrap_or(request.weeks.count());
                let room = self.x(next) - x - 4.0;
                let tick = format!("M{} 6V{}", coordinate(x), coordinate(self.bottom()));
                svg.empty("path", &[("d", &tick), ("stroke", "#cccccc"), ("stroke-width", "0.8"), ("fill", "none")]);
                if room > 18.0 {
                    let words = shortened(month_name(date), SMALL, room);
                    svg.text(
                        "text",
                        &[("x", &coordinate(x + 3.0)), ("y", "15"), ("font-weight", "bold"), ("font-size", "10.5")],
                        &words,
                    );
                }
            }
        }
        svg.text("text", &[("x", "4"), ("y", "38"), ("font-size", "10.5")], "dates to scout");
        let mut visits: Vec<Week> = self.picture.planned.iter().map(|one| one.week).collect();
        visits.dedup();
        let mut free = 0.0;
        for (number, week) in visits.into_iter().enumerate() {
            let x = self.x(week.index());
            let words = day_words(request.weeks.date(week));
            let width = text_width(&words, SMALL);
            // Dates near one another stand in two lines.
            let y = if x < free && number % 2 == 1 { 46.0 } else { 33.0 };
            let at = x.min(self.width - width - 2.0);
            svg.text("text", &[("x", &coordinate(at)), ("y", &coordinate(y)), ("font-size", "10.5")], &words);
            free = x + width + 3.0;
            let line = format!("M{} 49V{}", coordinate(x), coordinate(self.bottom()));
            svg.empty(
                "path",
                &[
                    ("d", &line),
                    ("stroke", "#111111"),
                    ("stroke-width", "0.9"),
                    ("stroke-dasharray", "3 3"),
                    ("fill", "none"),
                ],
            );
        }
    }

    fn write_ground(&self, svg: &mut Markup, ground: usize) {
        let request = self.picture.request;
        let (top, lanes, bars) = &self.rows[ground];
        let foot = top + *lanes as f64 * LANE;
        for (line, words) in
            crate::markup::wrap(&request.grounds[ground].name, TEXT, LEFT - 12.0).iter().enumerate().take(3)
        {
            let y = coordinate(top + 14.0 + line as f64 * 14.0);
            svg.text("text", &[("x", "4"), ("y", &y), ("font-weight", "bold")], words);
        }
        self.write_closed(svg, ground, *top, foot);
        self.write_pressure(svg, ground, foot);
        for bar in bars {
            let of = &request.uses[bar.planned.product_use];
            let y = top + bar.lane as f64 * LANE;
            svg.empty(
                "rect",
                &[
                    ("x", &coordinate(bar.x)),
                    ("y", &coordinate(y + 13.0)),
                    ("width", &coordinate(bar.width)),
                    ("height", "11"),
                    ("fill", &format!("url(#season-{})", self.hatch(&of.label))),
                    ("stroke", "#111111"),
                    ("stroke-width", "0.9"),
                ],
            );
            let width = text_width(&of.id, SMALL);
            let x = bar.x.min(self.width - width - 2.0);
            // Words stand on white, so that no line runs through them.
            svg.empty(
                "rect",
                &[
                    ("x", &coordinate(x)),
                    ("y", &coordinate(y + 1.0)),
                    ("width", &coordinate(width)),
                    ("height", "11"),
                    ("fill", "#ffffff"),
                ],
            );
            svg.text("text", &[("x", &coordinate(x)), ("y", &coordinate(y + 10.0)), ("font-size", "10.5")], &of.id);
        }
    }

    fn write_closed(&self, svg: &mut Markup, ground: usize, top: f64, foot: f64) {
        let request = self.picture.request;
        for week in request.weeks.iter() {
            let date = request.weeks.date(week);
            let is_closed = request.blackouts.iter().any(|closed| {
                closed.product_use.is_none()
                    && closed.ground.is_none_or(|closed| closed == ground)
                    && (closed.from..=closed.to).contains(&date)
            });
            if is_closed {
                svg.empty(
                    "rect",
                    &[
                        ("x", &coordinate(self.x(week.index()))),
                        ("y", &coordinate(top)),
                        ("width", &coordinate(self.column)),
                        ("height", &coordinate(foot - top)),
                        ("fill", "url(#season-closed)"),
                    ],
                );
            }
        }
    }

    /// What pests would cost in each week as an outline, and what is left of it hatched.
    fn write_pressure(&self, svg: &mut Markup, ground: usize, foot: f64) {
        let request = self.picture.request;
        let by_week: Vec<(f64, f64)> = request.weeks.iter().map(|week| self.damage(ground, week)).collect();
        let most = by_week.iter().map(|(all, _)| *all).fold(0.0, f64::max);
        let base = foot + PRESSURE;
        let axis = format!("M{} {}H{}", coordinate(LEFT), coordinate(base), coordinate(self.width - RIGHT));
        svg.empty("path", &[("d", &axis), ("stroke", "#777777"), ("stroke-width", "0.8"), ("fill", "none")]);
        if most <= 0.0 {
            return;
        }
        let height = |value: f64| base - value / most * (PRESSURE - 6.0);
        let steps = |of: &dyn Fn(&(f64, f64)) -> f64| -> Vec<(f64, f64)> {
            by_week
                .iter()
                .enumerate()
                .flat_map(|(week, figures)| {
                    [(self.x(week), height(of(figures))), (self.x(week + 1), height(of(figures)))]
                })
                .collect()
        };
        let mut left = vec![(LEFT, base)];
        left.extend(steps(&|figures| figures.1));
        left.push((self.x(by_week.len()), base));
        svg.empty("path", &[("d", &rings_path(&[left])), ("fill", "url(#season-left)")]);
        let outline = line_path(&steps(&|figures| figures.0));
        svg.empty("path", &[("d", &outline), ("stroke", "#111111"), ("stroke-width", "1"), ("fill", "none")]);
    }

    /// What pests would cost on a ground in a week, and what is left of it with the programme.
    fn damage(&self, ground: usize, week: Week) -> (f64, f64) {
        let request = self.picture.request;
        let (mut all, mut left) = (0.0, 0.0);
        for pest in 0..request.pests.len() {
            let damage = request.damage(ground, pest, week);
            all += damage;
            left += damage * (1.0 - request.control(self.picture.planned, ground, pest, week));
        }
        (all, left)
    }

    fn write_key(&self, svg: &mut Markup) {
        let mut entries: Vec<(String, String)> = self
            .labels
            .iter()
            .map(|(label, product)| (format!("url(#season-{})", self.hatch(label)), (*product).to_owned()))
            .collect();
        entries.push(("url(#season-left)".to_owned(), "what pests still cost (outline: without treating)".to_owned()));
        entries.push(("url(#season-closed)".to_owned(), "closed".to_owned()));
        let wide = (self.width - 16.0) / self.keys_a_line() as f64;
        for (at, (fill, words)) in entries.iter().enumerate() {
            let x = 8.0 + (at % self.keys_a_line()) as f64 * wide;
            let y = self.bottom() + GAP + (at / self.keys_a_line()) as f64 * KEY + 12.0;
            svg.empty(
                "rect",
                &[
                    ("x", &coordinate(x)),
                    ("y", &coordinate(y - 10.0)),
                    ("width", "18"),
                    ("height", "12"),
                    ("fill", fill),
                    ("stroke", "#333333"),
                    ("stroke-width", "0.8"),
                ],
            );
            let words = shortened(words, SMALL, wide - 30.0);
            svg.text("text", &[("x", &coordinate(x + 24.0)), ("y", &coordinate(y)), ("font-size", "10.5")], &words);
        }
    }
}

/// The bars of a ground, each in the first lane where neither bars nor words meet.
fn bars(picture: &SeasonPicture<'_>, ground: usize, column: f64) -> Vec<Bar> {
    let request = picture.request;
    let mut ends: Vec<f64> = Vec::new();
    let mut bars = Vec::new();
    for one in picture.planned.iter().filter(|one| one.ground == ground) {
        let of = &request.uses[one.product_use];
        let ages = of.controls.iter().map(|control| control.by_age.len()).max().unwrap_or(1).max(1);
        let last = (one.week.index() + ages).min(request.weeks.count());
        let x = LEFT + one.week.index() as f64 * column;
        let width = (last - one.week.index()) as f64 * column;
        let end = x + width.max(text_width(&of.id, SMALL)) + 4.0;
        let lane = ends.iter().position(|free| *free <= x).unwrap_or(ends.len());
        match ends.get_mut(lane) {
            Some(free) => *free = end,
            None => ends.push(end),
        }
        bars.push(Bar { planned: *one, lane, x, width });
    }
    bars
}

fn month_name(date: Date) -> &'static str {
    [
        "January",
        "February",
        "March",
        "April",
        "May",
        "June",
        "July",
        "August",
        "September",
        "October",
        "November",
        "December",
    ][usize::from(date.month().unsigned_abs() - 1)]
}

/// Day and month, short.
fn day_words(date: Date) -> String {
    let month: String = month_name(date).chars().take(3).collect();
    format!("{month} {}", date.day())
}
