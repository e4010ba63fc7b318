//! The legend: a key letter, a swatch, what it is, its area, and what is done there.

use crate::Units;
use crate::map::frame::Frame;
use crate::map::hatch::Look;
use crate::map::{look_of, write_disc};
use crate::markup::{Markup, coordinate, shortened, text_width, wrap};
use crate::words::{plain, zone_name};
use quantity::Area;
use treatment::{Status, Task, Visit, ZoneUse};

/// One look with the zones that have it for one reason.
pub(crate) struct Entry {
    /// The letter on map and legend.
    pub(crate) key: String,
    pub(crate) look: Look,
    /// Numbers of its zones in the visit.
    pub(crate) zones: Vec<usize>,
    /// Names of the zones.
    names: String,
    /// What is done there.
    done: String,
    /// Its area, in words.
    area: String,
    is_treated: bool,
}

/// The entries in the order in which their ground comes first in the visit, treated ground before
/// what is left.
pub(crate) fn entries(visit: &Visit, units: Units) -> Vec<Entry> {
    let mut groups: Vec<(Look, &ZoneUse, Vec<usize>)> = Vec::new();
    for (index, zone) in visit.zones.iter().enumerate() {
        let look = look_of(visit, zone);
        match groups.iter_mut().find(|(held, use_of, _)| *held == look && **use_of == zone.use_of) {
            Some((_, _, zones)) => zones.push(index),
            None => groups.push((look, &zone.use_of, vec![index])),
        }
    }
    groups.sort_by_key(|(look, _, _)| matches!(look, Look::Left(..)));
    groups
        .into_iter()
        .enumerate()
        .map(|(index, (look, use_of, zones))| {
            let area: Area = zones.iter().map(|zone| visit.zones[*zone].area).sum();
            let names: Vec<String> = zones.iter().map(|zone| zone_name(visit, &visit.zones[*zone])).collect();
            let area = match task_of(visit, use_of).filter(|task| task.wall.is_positive()) {
                Some(task) => format!("{} and {} of wall", units.area(area), units.area(task.wall)),
                None => units.area(area),
            };
            Entry {
                key: key(index),
                look,
                names: names.join(", "),
                done: done(visit, use_of, &names),
                zones,
                area,
                is_treated: matches!(look, Look::Treated(..)),
            }
        })
        .collect()
}

/// The whole legend in words, for those who do not see the map.
pub(crate) fn description(entries: &[Entry], status: Status) -> String {
    let lines: Vec<String> = entries
        .iter()
        .map(|entry| {
            let what = if entry.is_treated { "treated" } else { "not treated" };
            let done = [what, &entry.done].into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(": ");
            format!("{}: {}: {done}, {}.", entry.key, entry.names, entry.area)
        })
        .collect();
    format!(
        "Plan of the ground, north up, with the ground of each task hatched. Verdict: {}. {}",
        status.word(),
        lines.join(" ")
    )
}

fn task_of<'a>(visit: &'a Visit, use_of: &ZoneUse) -> Option<&'a Task> {
    let ZoneUse::Treated(id) = use_of else { return None };
    visit.tasks.iter().find(|task| task.id == *id)
}

/// What is done, without what the names and the headings of the legend tell already.
fn done(visit: &Visit, use_of: &ZoneUse, names: &[String]) -> String {
    let id = match use_of {
        ZoneUse::NotTreated(reason) => return plain(visit, reason),
        ZoneUse::Treated(id) => id,
    };
    let Some(task) = task_of(visit, use_of) else { return id.clone() };
    let mut parts = Vec::new();
    let method = task.method.word().replace('-', " ");
    if !names.contains(&method) {
        parts.push(method);
    }
    for (rule, words) in [("ground::band-width", "wide"), ("ground::wall-height", "up the wall")] {
        let held = visit.all_verdicts().find(|verdict| {
            verdict.rule == rule && verdict.concerns.as_ref().is_none_or(|concerned| *concerned == task.id)
        });
        if let Some(figure) = held.and_then(|verdict| verdict.measured.as_ref()) {
            let number = quantity::significant(figure.value, 3);
            let number =
                if number.contains('.') { number.trim_end_matches('0').trim_end_matches('.') } else { &number };
            parts.push(format!("{number} {} {words}", figure.unit));
        }
    }
    if common_products(visit).is_none() {
        parts.push(format!("with {}", products(task)));
    }
    parts.join(", ")
}

/// The products, where every task has the same.
fn common_products(visit: &Visit) -> Option<String> {
    let (first, others) = visit.tasks.split_first()?;
    let all = products(first);
    others.iter().all(|task| products(task) == all).then_some(all)
}

/// What stands over the treated ground, and over the rest.
pub(crate) fn headings(visit: &Visit) -> [String; 2] {
    let with = common_products(visit).map_or_else(String::new, |all| format!(" with {all}"));
    let planned = if visit.verdict() == Status::Refused { "Planned, and refused" } else { "Treated" };
    [format!("{planned}{with}"), "Not treated".to_owned()]
}

fn products(task: &Task) -> String {
    task.products().map(|product| product.name.as_str()).collect::<Vec<_>>().join(" and ")
}

/// A, B, … Z, AA, AB, …
fn key(index: usize) -> String {
    let letter = |number: usize| char::from(b'A' + (number % 26) as u8);
    if index < 26 { letter(index).to_string() } else { format!("{}{}", letter(index / 26 - 1), letter(index)) }
}

/// The legend laid out.
pub(crate) struct Legend {
    rows: Vec<Row>,
    bottom: f64,
    title: (f64, f64),
    refused: bool,
}

struct Row {
    at: (f64, f64),
    /// The heading of the group that it begins, and where that stands.
    heading: Option<(Vec<String>, f64)>,
    /// Lines of text, and whether each is bold.
    lines: Vec<(String, bool)>,
}

const SIZE: f64 = 12.5;
const LINE: f64 = 16.0;
const SWATCH: (f64, f64) = (32.0, 24.0);
/// From the left edge of a row to its text.
const INDENT: f64 = SWATCH.0 + 30.0;

impl Legend {
    /// Beside the map in one column, or under it in two.
    pub(crate) fn arranged(
        entries: &[Entry],
        headings: &[String; 2],
        frame: &Frame,
        picture: f64,
        status: Status,
    ) -> Self {
        let (left, top, columns) = if frame.legend_beside {
            (frame.left + frame.width + 16.0, frame.top, 1.0)
        } else {
            (frame.left, frame.bottom() + 10.0, 2.0)
        };
        let column = ((picture - 4.0 - left) - (columns - 1.0) * 20.0) / columns;
        let text = column - INDENT;
        let blocks: Vec<Vec<(String, bool)>> = entries
            .iter()
            .map(|entry| {
                // Names of any length leave room for the rest; the area is never cut.
                let head = format!("{}, {}", shortened(&entry.names, SIZE * 1.06, text * 2.0), entry.area);
                let head = wrap(&head, SIZE * 1.06, text).into_iter().map(|line| (line, true));
                head.chain(
                    wrap(&shortened(&entry.done, SIZE, text * 4.0), SIZE, text).into_iter().map(|line| (line, false)),
                )
                .collect()
            })
            .collect();
        let height = |lines: &Vec<(String, bool)>| (lines.len() as f64 * LINE).max(SWATCH.1) + 9.0;
        let whole: f64 = blocks.iter().map(height).sum();
        let longest = whole / columns;
        let mut rows = Vec::new();
        let start = top + if status == Status::Refused { 54.0 } else { 24.0 };
        let (mut x, mut y) = (left, start);
        let mut bottom = start;
        for (index, lines) in blocks.into_iter().enumerate() {
            if columns > 1.0 && index > 0 && x == left && y + height(&lines) / 2.0 > start + longest {
                x += column + 20.0;
                y = start;
            }
            let treated = entries[index].is_treated;
            let begins = index == 0 || entries[index - 1].is_treated != treated;
            let heading = begins.then(|| {
                let words = shortened(&headings[usize::from(!treated)], SIZE, column * 2.0);
                (wrap(&words, SIZE, column), y)
            });
            y += heading.as_ref().map_or(0.0, |(lines, _)| lines.len() as f64 * LINE + 4.0);
            let at = (x, y);
            y += height(&lines);
            bottom = bottom.max(y);
            rows.push(Row { at, heading, lines });
        }
        Self { rows, bottom: bottom + 34.0, title: (left, top + 12.0), refused: status == Status::Refused }
    }

    /// Its lower edge.
    pub(crate) fn bottom(&self) -> f64 {
        self.bottom
    }

    /// Writes it; the entries are those that it was arranged for.
    pub(crate) fn write(&self, svg: &mut Markup, entries: &[Entry], colour: bool) {
        let (x, y) = self.title;
        svg.text(
            "text",
            &[("x", &coordinate(x)), ("y", &coordinate(y)), ("font-size", "14"), ("font-weight", "bold")],
            "Legend",
        );
        if self.refused {
            let words = "REFUSED: DO NOT APPLY";
            let wide = coordinate(text_width(words, 14.0) + 12.0);
            let place = [("x", coordinate(x)), ("y", coordinate(y + 8.0))];
            svg.empty(
                "rect",
                &[("x", &place[0].1), ("y", &place[1].1), ("width", &wide), ("height", "24"), ("fill", "#111111")],
            );
            svg.text(
                "text",
                &[
                    ("x", &coordinate(x + 8.0)),
                    ("y", &coordinate(y + 25.0)),
                    ("font-size", "14"),
                    ("font-weight", "bold"),
                    ("fill", "#ffffff"),
                ],
                words,
            );
        }
        for (row, entry) in self.rows.iter().zip(entries) {
            let (x, y) = row.at;
            if let Some((heading, top)) = &row.heading {
                for (index, line) in heading.iter().enumerate() {
                    let down = coordinate(top + 10.0 + index as f64 * LINE);
                    svg.text("text", &[("x", &coordinate(x)), ("y", &down), ("font-size", &coordinate(SIZE))], line);
                }
            }
            write_disc(svg, &entry.key, x + 9.0, y + SWATCH.1 / 2.0);
            let place = [x + 22.0, y, SWATCH.0, SWATCH.1].map(coordinate);
            let [left, top, wide, high] = [&place[0], &place[1], &place[2], &place[3]];
            let outline = [("x", left.as_str()), ("y", top), ("width", wide), ("height", high)];
            svg.empty("rect", &[&outline[..], &[("fill", entry.look.paper(colour))][..]].concat());
            let hatch = format!("url(#{})", entry.look.id());
            let drawn = [("fill", hatch.as_str()), ("stroke", "#111111"), ("stroke-width", "1")];
            svg.empty("rect", &[&outline[..], &drawn[..]].concat());
            for (index, (line, bold)) in row.lines.iter().enumerate() {
                svg.text(
                    "text",
                    &[
                        ("x", &coordinate(x + INDENT)),
                        ("y", &coordinate(y + 12.0 + index as f64 * LINE)),
                        ("font-size", &coordinate(SIZE)),
                        ("font-weight", if *bold { "bold" } else { "normal" }),
                    ],
                    line,
                );
            }
        }
        let left = self.title.0;
        let y = self.bottom - 20.0;
        svg.empty(
            "path",
            &[
                ("d", &format!("M{} {}h28", coordinate(left), coordinate(y))),
                ("stroke", "#111111"),
                ("stroke-width", "2.6"),
            ],
        );
        svg.text(
            "text",
            &[("x", &coordinate(left + 34.0)), ("y", &coordinate(y + 4.0)), ("font-size", "11.5")],
            "boundary",
        );
        svg.empty(
            "path",
            &[
                ("d", &format!("M{} {}h28", coordinate(left + 104.0), coordinate(y))),
                ("stroke", "#111111"),
                ("stroke-width", "1.4"),
                ("stroke-dasharray", "7 4"),
            ],
        );
        svg.text(
            "text",
            &[("x", &coordinate(left + 138.0)), ("y", &coordinate(y + 4.0)), ("font-size", "11.5")],
            "distance kept",
        );
    }
}

#[cfg(test)]
mod tests {
    use super::key;

    #[test]
    fn keys_never_repeat() {
        assert_eq!([key(0), key(25), key(26), key(52)], ["A", "Z", "AA", "BA"]);
    }
}
