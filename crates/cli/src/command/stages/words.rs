//! Stages by heat in words.

use crate::command::plan::wrapped;
use jiff::civil::Date;
use pest::{DegreeDayModel, HeatStart, Source, StepSpread};
use phenology::{ASSUMED_SPREAD, DateRange, StageCourse, StepDay};
use quantity::DegreeDays;
use std::fmt::Write as _;
use weather::degree_days::{Evidence, ReachedRange};

const CARE: &str = "Degree-days hold where they were found, and shade, slope and bare soil differ from a station: they say \
                    when to look. Counts on the spot decide.";

/// Everything, as a terminal shows it.
pub(super) fn told(name: &str, (model, sources): (&DegreeDayModel, &[Source]), course: &StageCourse) -> String {
    let mut out = String::new();
    let heat = |heat: DegreeDays| heat.show_digits(model.scale.degree_days(), 4);
    let _ = writeln!(out, "{name}: stages by heat");
    if let (Some(first), Some(last)) = (course.days.first(), course.last()) {
        let _ = writeln!(out, "\n{} from {} through {}", heat(last.total), first.date, last.date);
    }
    out.push_str(&wrapped("  ", &figures_words(model)));
    let method = model.method.map_or("not told how where the figures were found".to_owned(), |method| {
        format!("where the figures were found: {}", method.word())
    });
    out.push_str(&wrapped("  ", &format!("counted by {} ({method})", course.by.words())));
    let filled = course.days.iter().filter(|day| day.evidence == Evidence::Filled).count();
    if filled > 0 {
        let _ = writeln!(out, "  {filled} days rest on temperatures put between those of their neighbours");
    }
    shares(&mut out, course);
    window(&mut out, course);
    steps(&mut out, model, course);
    if let Some(found) = &course.correction {
        let (low, high) = found.interval();
        let (word, factor) =
            if found.factor() >= 1.0 { ("ahead of", found.factor()) } else { ("behind", found.factor()) };
        let text = format!(
            "By own sightings they are {word} the figures: heat counts {factor:.2} times as much here (between {low:.2} and \
             {high:.2} with a chance of nine in ten); shares and dates above are after that."
        );
        out.push('\n');
        out.push_str(&wrapped("", &text));
    }
    out.push_str("\nFigures from\n");
    let named: Vec<&str> = model.sources().into_iter().flat_map(|(_, ids)| ids).collect();
    for source in sources.iter().filter(|source| named.contains(&source.id.as_str())) {
        let read = if source.seen { "" } else { " (not read)" };
        out.push_str(&wrapped("  ", &format!("[{}] {}{read}", source.id, source.cite)));
    }
    if course.is_spread_assumed {
        let text = format!(
            "How far individuals lie apart is not published with them: a standard deviation of {:.0} % of each step's \
             degree-days is assumed, without source.",
            ASSUMED_SPREAD * 100.0
        );
        out.push_str(&wrapped("  ", &text));
    }
    out.push('\n');
    out.push_str(&wrapped("", CARE));
    out
}

/// Base, threshold and start in a line.
pub(crate) fn figures_words(model: &DegreeDayModel) -> String {
    let upper = model.upper.map_or_else(String::new, |(upper, cutoff)| {
        format!(" and below {} ({} cutoff)", upper.show(model.scale), cutoff.word())
    });
    let start = match &model.start {
        HeatStart::Day { month, day } => format!("{month:02}-{day:02} of each year"),
        HeatStart::Biofix(seen) => format!("a biofix: {seen}"),
    };
    let note = model.note.as_ref().map_or_else(String::new, |note| format!("; {note}"));
    format!(
        "degree-days above {}{upper}, from {start}; {}{note} [{}]",
        model.base.show(model.scale),
        model.place,
        model.source
    )
}

/// The step with its spread and source in a line.
pub(crate) fn step_figures(model: &DegreeDayModel, number: usize) -> String {
    let Some(step) = model.steps.get(number) else { return String::new() };
    let unit = model.scale.degree_days();
    let spread = match (&step.what.spread, &model.variance_per_degree_day) {
        (Some(StepSpread::LogisticScale(scale)), _) => {
            format!(", logistic scale {} [{}]", scale.what.show(unit), scale.source)
        }
        (Some(StepSpread::StandardDeviation(deviation)), _) => {
            format!(", standard deviation {} [{}]", deviation.what.show(unit), deviation.source)
        }
        (None, Some(variance)) => {
            format!(", variance {} for each degree-day [{}]", variance.what.show(unit), variance.source)
        }
        (None, None) => String::new(),
    };
    let note = step.what.note.as_ref().map_or_else(String::new, |note| format!("; {note}"));
    format!("{} at {}{spread}{note} [{}]", step.what.to, step.what.middle.show_digits(unit, 4), step.source)
}

fn shares(out: &mut String, course: &StageCourse) {
    let Some(last) = course.last() else { return };
    // The last fortnight is what a round is planned by; stages.json has every day.
    let from = course.days.len().saturating_sub(15);
    let widths: Vec<usize> = course.stages.iter().map(|stage| stage.chars().count().max(5)).collect();
    let row = |out: &mut String, first: &str, cells: Vec<String>| {
        let cells: Vec<String> = cells.iter().zip(&widths).map(|(cell, width)| format!("{cell:>width$}")).collect();
        let _ = writeln!(out, "  {first:<10}  {}", cells.join("  "));
    };
    let _ = writeln!(out, "\nShare in each stage, to {}", last.date);
    row(out, "", course.stages.clone());
    for (index, day) in course.days.iter().enumerate().skip(from) {
        // Each second day, counted from the last.
        if (course.days.len() - 1 - index).is_multiple_of(2) {
            let cells = day.shares.shares().iter().map(|share| format!("{:.0} %", share * 100.0)).collect();
            row(out, &day.date.to_string(), cells);
        }
    }
}

fn window(out: &mut String, course: &StageCourse) {
    let (Some(susceptible), Some(_)) = (&course.susceptible, &course.window) else { return };
    let names: Vec<&str> =
        susceptible.stages().iter().filter_map(|stage| course.stages.get(*stage).map(String::as_str)).collect();
    let _ = writeln!(out, "\nWindow for {} (when they are the most)", names.join(", "));
    if let Some(window) = &course.window {
        let share = window.best_share * 100.0;
        let text = match (window.days, window.is_open) {
            (Some((first, last)), false) => {
                format!("{first} to {last}, the best {} ({share:.0} %)", window.best)
            }
            (Some((first, _)), true) => {
                format!(
                    "open since {first}, and not over by the last day read; so far the best {} ({share:.0} %)",
                    window.best
                )
            }
            (None, true) => format!("not open yet: {share:.0} % by the last day read"),
            (None, false) => {
                format!("none: they never are the most; the largest share was {share:.0} % on {}", window.best)
            }
        };
        out.push_str(&wrapped("  ", &text));
    }
    if let Some(ahead) = &course.window_ahead {
        let is_past = |range: &DateRange| {
            range.early == range.late && course.last().zip(range.late).is_some_and(|(last, late)| late <= last.date)
        };
        let parts = [("opens", ahead.first), ("is best", ahead.best), ("closes", ahead.last)];
        let parts: Vec<_> = parts.into_iter().filter(|(_, dates)| !is_past(dates)).collect();
        if !parts.is_empty() {
            for (word, dates) in parts {
                out.push_str(&wrapped("  ", &format!("{word} {}", range(dates))));
            }
            let text = format!(
                "as it would by the weather of each of {} past years of the station ({}); it opened in {} of them",
                ahead.years,
                years(&course.past_years),
                ahead.opens
            );
            out.push_str(&wrapped("    ", &text));
        }
    }
}

fn steps(out: &mut String, model: &DegreeDayModel, course: &StageCourse) {
    out.push_str("\nHalf of them have become\n");
    for (number, step) in course.steps.iter().enumerate() {
        out.push_str(&wrapped("  ", &format!("{}: {}", step.to, step_date(step))));
        out.push_str(&wrapped("    ", &step_figures(model, number)));
    }
}

fn step_date(step: &StepDay) -> String {
    match step.reached {
        Some(ReachedRange::On(date)) => format!("by {date}"),
        Some(ReachedRange::Ahead { early, middle, late, reached, years }) => {
            let dates = range(DateRange { early, middle, late });
            format!("ahead, {dates}, reached in {reached} of {years} past years")
        }
        None => "ahead; without five past years no date is told".to_owned(),
    }
}

/// A range of dates; never one alone unless all years agree.
fn range(range: DateRange) -> String {
    let text = |date: Option<Date>| date.map_or_else(|| "after the year ends".to_owned(), |date| date.to_string());
    match (range.early, range.middle, range.late) {
        (None, _, _) => "in none of the past years before the year ends".to_owned(),
        (Some(early), Some(middle), Some(late)) if early == middle && middle == late => format!("on {early}"),
        (early, middle, late) => {
            format!(
                "between {} (one year in ten is earlier) and {} (one in ten is later), middle {}",
                text(early),
                text(late),
                text(middle)
            )
        }
    }
}

fn years(years: &[i16]) -> String {
    match years {
        [] => "none".to_owned(),
        [only] => only.to_string(),
        [first, .., last] => format!("{first} to {last}"),
    }
}
