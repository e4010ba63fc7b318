//! A planned visit in words, for the terminal.

use super::Look;
use super::words::{active, amount, area, minutes, on_the_measure, percent, spray, unrounded, wrapped};
use crate::care::REMINDER;
use jiff::civil::DateTime;
use label::PpeTask;
use quantity::Mass;
use quantity::counted;
use sheet::Units;
use std::fmt::Write;
use treatment::{Batch, Call, SideBySide, Status, Task, TaskProduct, Verdict, Visit, ZoneUse};

/// The summary of a visit.
pub(crate) fn summary(visit: &Visit, look: Look) -> String {
    let units = look.units();
    let mut out = String::new();
    let _ = writeln!(out, "{}, {}", visit.name, visit.date);
    let _ = writeln!(out, "Verdict: {}", verdict_words(visit.verdict()));
    if visit.verdict() == Status::Refused {
        out.push_str("Nothing is to be applied as planned; what follows shows what was asked for.\n");
    }
    verdicts(&mut out, "Refused", visit, Status::Refused);
    found(&mut out, visit);
    when(&mut out, visit);
    ground(&mut out, visit, units);
    for task in &visit.tasks {
        one_task(&mut out, task, units);
    }
    for both in &visit.side_by_side {
        side_by_side(&mut out, both, units);
    }
    job(&mut out, visit, units);
    care(&mut out, visit);
    directions(&mut out, visit);
    verdicts(&mut out, "Cautions", visit, Status::Caution);
    out.push('\n');
    out.push_str(&wrapped("", REMINDER));
    out
}

/// The verdict of a visit in words. No visit is ever called harmless.
pub(super) fn verdict_words(status: Status) -> &'static str {
    match status {
        Status::Allowed => "allowed, within the stated limits",
        Status::Caution => "allowed with cautions, within the stated limits as far as they are known",
        Status::Refused => "REFUSED",
    }
}

fn verdicts(out: &mut String, heading: &str, visit: &Visit, status: Status) {
    let mut found = visit.all_verdicts().filter(|verdict| verdict.status == status).peekable();
    if found.peek().is_none() {
        return;
    }
    let _ = writeln!(out, "\n{heading}");
    for verdict in found {
        one_verdict(out, "  ", verdict);
    }
}

/// One verdict with its sentence and its mend, each line after an indent.
pub(crate) fn one_verdict(out: &mut String, indent: &str, verdict: &Verdict) {
    let concerns = verdict.concerns.as_ref().map(|concerns| format!("{concerns}: ")).unwrap_or_default();
    out.push_str(&wrapped(&format!("{indent}- "), &format!("{concerns}{} [{}]", verdict.text, verdict.rule)));
    if let Some(clause) = &verdict.clause {
        let page = verdict.page.map(|page| format!(", page {page}")).unwrap_or_default();
        out.push_str(&wrapped(&format!("{indent}  label: "), &format!("\"{clause}\"{page}")));
    }
    if let Some(mend) = &verdict.mend {
        out.push_str(&wrapped(&format!("{indent}  mend: "), mend));
    }
}

/// What was found, and which tasks rest on it.
fn found(out: &mut String, visit: &Visit) {
    if visit.findings.is_empty() {
        return;
    }
    out.push_str("\nFound\n");
    for finding in &visit.findings {
        let stage = finding.stage.as_ref().map(|stage| format!(", {stage}")).unwrap_or_default();
        let survey = finding.survey.as_ref().map(|(name, date)| format!(" of {date} ({name})")).unwrap_or_default();
        let counts = match &finding.density {
            Some((mean, _)) => format!("; {} in {}{survey}", mean.show(), counted(finding.counts, "count", "counts")),
            None => String::new(),
        };
        let threshold = finding.threshold.as_ref();
        let threshold = threshold.map(|(limit, source)| format!("; threshold {} ({source})", limit.show()));
        let call = match finding.call {
            Call::Treat => ": treat".to_owned(),
            Call::Broadcast => ": broadcast".to_owned(),
            Call::MoundsAlone => ": treat the mounds alone".to_owned(),
            Call::DoNotTreat => ": do not treat".to_owned(),
            Call::CountOn(more) => format!(": count on, about {more} more"),
            Call::NotShown => ": not shown to be needed".to_owned(),
        };
        let tasks: Vec<&str> = visit
            .tasks
            .iter()
            .filter(|task| task.finding.as_ref() == Some(&finding.id))
            .map(|task| task.id.as_str())
            .collect();
        let tasks = if tasks.is_empty() { "no task".to_owned() } else { tasks.join(", ") };
        let text = format!("{}{stage}{counts}{}{call}. For {tasks}", finding.pest, threshold.unwrap_or_default());
        out.push_str(&wrapped("  ", &text));
    }
}

/// Broadcast and spots, column by column.
fn side_by_side(out: &mut String, both: &SideBySide, units: Units) {
    let (broadcast, spots) =
        if both.is_by_spots { ("broadcast", "spots, as planned") } else { ("broadcast, as planned", "spots") };
    let _ = writeln!(out, "\nSide by side, {}", both.task);
    let mut rows = vec![
        [String::new(), broadcast.to_owned(), spots.to_owned()],
        ["ground".to_owned(), area(both.broadcast.ground, units), area(both.spots.ground, units)],
    ];
    for (all, part) in both.broadcast.products.iter().zip(&both.spots.products) {
        rows.push([all.product.clone(), amount(all.amount, units), amount(part.amount, units)]);
        for ((name, all), (_, part)) in all.active_ingredients.iter().zip(&part.active_ingredients) {
            let shown = |mass: &Option<Mass>| mass.map_or_else(|| "not told".to_owned(), |mass| active(mass, units));
            rows.push([format!("  {name}"), shown(all), shown(part)]);
        }
        if let (Some(all), Some(part)) = (&all.cost, &part.cost) {
            rows.push(["  cost".to_owned(), all.clone(), part.clone()]);
        }
    }
    let width = |column: usize| rows.iter().map(|row| row[column].chars().count()).max().unwrap_or(0);
    let (first, second) = (width(0), width(1));
    for [head, all, part] in &rows {
        let _ = writeln!(out, "  {head:first$}  {all:second$}  {part}");
    }
    let text = format!(
        "expected to be infested {}; spots leave {} of it untreated",
        area(both.infested, units),
        area(both.stays, units)
    );
    out.push_str(&wrapped("  ", &text));
}

fn when(out: &mut String, visit: &Visit) {
    out.push_str("\nWhen\n");
    match &visit.start_window {
        Some(window) => {
            let _ = writeln!(
                out,
                "  start from {} to {}; the job takes {} and ends between {} and {} (UTC{})",
                clock(window.first, visit),
                clock(window.last, visit),
                minutes(visit.duration),
                clock(window.finish_if_first, visit),
                clock(window.finish_if_last, visit),
                visit.offset
            );
            for other in visit.start_windows.iter().filter(|other| *other != window) {
                let _ = writeln!(out, "  or start from {} to {}", clock(other.first, visit), clock(other.last, visit));
            }
        }
        None => {
            let _ = writeln!(out, "  no lawful start on this date is known; the job takes {}", minutes(visit.duration));
        }
    }
}

fn ground(out: &mut String, visit: &Visit, units: Units) {
    let _ = writeln!(out, "\nGround, {} in all", area(visit.property.boundary().area(), units));
    let rows: Vec<[String; 4]> = visit
        .zones
        .iter()
        .map(|zone| {
            let what = match &zone.use_of {
                ZoneUse::Treated(task) => format!("treated by {task}"),
                ZoneUse::NotTreated(reason) => format!("not treated: {reason}"),
            };
            [zone.id.clone(), zone.kind.word().to_owned(), area(zone.area, units), what]
        })
        .collect();
    let width = |column: usize| rows.iter().map(|row| row[column].chars().count()).max().unwrap_or(0);
    let (first, second, third) = (width(0), width(1), width(2));
    for [id, kind, area, what] in &rows {
        let _ = writeln!(out, "  {id:first$}  {kind:second$}  {area:>third$}  {what}");
    }
}

fn one_task(out: &mut String, task: &Task, units: Units) {
    let _ = writeln!(out, "\nTask {}: {} against {}", task.id, task.method.word(), task.product.pest);
    if task.ground.is_positive() || task.wall.is_positive() {
        let wall = if task.wall.is_positive() { format!(", wall {}", area(task.wall, units)) } else { String::new() };
        let _ = writeln!(out, "  treated    ground {}{wall}", area(task.ground, units));
    }
    if let Some(all) = task.spray {
        let spread = task
            .output_variation
            .map(|variation| format!(" (runs vary by {})", percent(variation)))
            .unwrap_or_default();
        let _ = writeln!(out, "  spray      {} from {}{spread}", spray(all, units), task.equipment);
    } else {
        let _ = writeln!(out, "  spreader   {}", task.equipment);
    }
    for product in task.products() {
        one_product(out, task, product, units);
    }
}

fn one_product(out: &mut String, task: &Task, product: &TaskProduct, units: Units) {
    let number = product.registration_number.as_ref().map(|number| format!(", reg. no. {number}")).unwrap_or_default();
    let _ = writeln!(out, "  product    {}{number}, use row {}", product.name, product.use_row);
    let per_area = product.area_rate.map(|rate| format!(" (comes to {})", rate.show())).unwrap_or_default();
    let rounded = product.rate_as_measured.show();
    let _ = writeln!(out, "  rate       {}{per_area}; {rounded} as measured", product.rate);
    let _ = writeln!(out, "  measure    {} in all", amount(product.measured, units));
    batches(out, task, product, units);
    for left in &product.remaining {
        let _ = writeln!(
            out,
            "  left       {}: {} until {}; {} more at this rate, {} at the lowest ({})",
            left.place,
            left.left.show(),
            left.window_ends,
            left.more_at_todays,
            left.more_at_lowest,
            left.limit
        );
    }
    match (product.next_lawful, product.earliest_repeat) {
        (Some(date), Some(interval)) if date > interval => {
            let _ = writeln!(
                out,
                "  repeat     interval ends {interval}; with all that the label counts not before {date}"
            );
        }
        (Some(date), _) | (None, Some(date)) => {
            let _ = writeln!(out, "  repeat     not before {date}");
        }
        (None, None) => {}
    }
}

fn batches(out: &mut String, task: &Task, product: &TaskProduct, units: Units) {
    let vessel = if task.spray.is_some() { "tank" } else { "load" };
    let mut rest = product.batches.as_slice();
    while let Some(first) = rest.first() {
        let count = rest.iter().take_while(|batch| *batch == first).count();
        let Batch { spray: in_it, product: exact, measured, .. } = first;
        let of = in_it.map(|volume| format!(" of {}", spray(volume, units))).unwrap_or_default();
        let many = if count == 1 { format!("1 {vessel}") } else { format!("{count} {vessel}s") };
        let each = if count == 1 { "" } else { " each" };
        let _ = writeln!(
            out,
            "             {many}{of}: {}{each} (unrounded {})",
            on_the_measure(*measured, product.graduation),
            unrounded(*exact)
        );
        rest = &rest[count..];
    }
}

fn job(out: &mut String, visit: &Visit, units: Units) {
    out.push_str("\nWhole job\n");
    if visit.spray.is_positive() {
        let tanks = if visit.tanks == 1 { "tank" } else { "tanks" };
        let _ = writeln!(out, "  {} {tanks}, {} of spray", visit.tanks, spray(visit.spray, units));
    }
    for total in &visit.products {
        let _ = writeln!(out, "  {}: {} measured", total.product, amount(total.measured, units));
    }
}

fn care(out: &mut String, visit: &Visit) {
    if !visit.ppe.is_empty() {
        out.push_str("\nWear\n");
        for ppe in &visit.ppe {
            let tasks: Vec<&str> = ppe.tasks.iter().copied().map(PpeTask::word).collect();
            let _ = writeln!(out, "  {} ({})", ppe.item, tasks.join(", "));
        }
    }
    out.push_str("\nKeep people and pets off\n");
    match visit.keep_off.not_before {
        Some(time) => {
            let _ = writeln!(out, "  not back before {}, for a finish at the latest lawful minute", moment(time));
        }
        None => out.push_str("  until the conditions below are met\n"),
    }
    for condition in &visit.keep_off.conditions {
        out.push_str(&wrapped("  and not before: ", condition));
    }
    if visit.irrigation.first_permitted.is_some() || !visit.irrigation.water_in.is_empty() {
        out.push_str("\nWater\n");
        if let Some(first) = visit.irrigation.first_permitted {
            let _ = writeln!(out, "  no irrigation before {}, for a finish at the latest lawful minute", moment(first));
        }
        for (depth, by) in &visit.irrigation.water_in {
            let depth = depth.show(quantity::LengthUnit::Inch);
            match by {
                Some(by) => {
                    let _ = writeln!(out, "  water in with {depth} by {}", moment(*by));
                }
                None => {
                    let _ = writeln!(out, "  water in with {depth}");
                }
            }
        }
    }
}

/// What only a person on the spot can keep.
fn directions(out: &mut String, visit: &Visit) {
    if visit.directions.is_empty() {
        return;
    }
    out.push_str("\nThe labels say\n");
    for direction in &visit.directions {
        let sentence = &direction.sentence;
        let label = sentence.label.as_deref().unwrap_or_default();
        let page = sentence.page.map(|page| format!(", page {page}")).unwrap_or_default();
        out.push_str(&wrapped("  ", &format!("“{}” ({label}{page})", sentence.text)));
    }
}

/// The hour, and the day when it is not the visit's.
fn clock(time: DateTime, visit: &Visit) -> String {
    if time.date() == visit.date { time.strftime("%H:%M").to_string() } else { moment(time) }
}

fn moment(time: DateTime) -> String {
    time.strftime("%Y-%m-%d %H:%M").to_string()
}
