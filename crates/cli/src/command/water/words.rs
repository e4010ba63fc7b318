//! The watering of a lawn as a terminal shows it.

use crate::care::REMINDER;
use crate::command::plan::{both_depths, wrapped};
use quantity::{Length, LengthUnit, VolumeUnit, significant};
use season::sprinkler::{Program, SprinklerZone};
use season::water_plan::{Permission, PlannedDay, UnmetReason, WaterPlan};
use sheet::Units;
use std::fmt::Write;

/// A lowest-quarter uniformity below which longer runs no longer help (poor sprays and rotors of irrigation audits, from memory).
const POOR_UNIFORMITY: f64 = 0.55;

pub(super) fn of(lawn: &str, plan: &WaterPlan, units: Units) -> String {
    let mut out = String::new();
    let request = &plan.request;
    let last = plan.days.last().map_or(request.plan_from, |day| day.weather.date);
    let _ = writeln!(out, "{lawn}: watering from {} to {last}", request.plan_from);
    let zone = request.root_zone;
    let depth = |depth| both_depths(depth, units);
    out.push_str(&wrapped(
        "  ",
        &format!(
            "The root zone holds {} of water for the grass, of which {} may go before more is given.",
            depth(zone.capacity()),
            depth(zone.allowance())
        ),
    ));
    waterings(&mut out, plan, units);
    table(&mut out, plan, units);
    audits(&mut out, plan, units);
    plain_rule(&mut out, plan, units);
    prohibitions(&mut out, plan);
    out.push('\n');
    out.push_str(&wrapped("", REMINDER));
    out
}

fn waterings(out: &mut String, plan: &WaterPlan, units: Units) {
    if plan.programs().next().is_none() {
        out.push_str("\nNo watering is needed on these days.\n");
    }
    for program in plan.programs() {
        let date = program.start.date();
        let what = match plan.watered_in(program) {
            Some(asked) => format!("to water in {}", asked.visit),
            None => "for the grass".to_owned(),
        };
        let (from, until) = (program.start.strftime("%H:%M"), program.end.strftime("%H:%M"));
        let clock = if program.runs.is_empty() { format!("from {from}") } else { format!("{from} to {until}") };
        let depth = both_depths(program.depth, units);
        let _ = writeln!(out, "\nWater on {} {date}, {clock}, {what}: {depth} at the roots", date.strftime("%A"));
        runs(out, plan, program, units);
    }
    for unmet in &plan.unmet {
        let Some(asked) = plan.request.water_in.get(unmet.water_in) else { continue };
        let why = match &unmet.reason {
            UnmetReason::TooSlow { minutes } => {
                format!("the sprinklers take {minutes} minutes, longer than the label gives")
            }
            UnmetReason::Prohibited(by) => {
                let why = plan.request.no_watering.get(*by).map_or("", |other| other.why.as_str());
                format!("no water may be given before that ({why})")
            }
            UnmetReason::Over => "its time is over, and no watering is told that did it".to_owned(),
        };
        let text = format!(
            "REFUSED: {} has to be watered in with {} by {}, and {why}.",
            asked.visit,
            both_depths(asked.depth, units),
            asked.by.strftime("%Y-%m-%d %H:%M")
        );
        out.push('\n');
        out.push_str(&wrapped("", &text));
    }
}

fn runs(out: &mut String, plan: &WaterPlan, program: &Program, units: Units) {
    for (index, zone) in plan.request.controller.zones().iter().enumerate() {
        let own = zone.runs_for(program.depth);
        let starts: Vec<String> = program
            .runs
            .iter()
            .filter(|run| run.zone == index)
            .map(|run| run.start.strftime("%H:%M").to_string())
            .collect();
        let many = if own.cycles == 1 { "1 run".to_owned() } else { format!("{} runs", own.cycles) };
        let water = zone.water_for(own).map_or_else(String::new, |water| {
            let (us, metric) = (water.show(VolumeUnit::UsGallon), water.show(VolumeUnit::Litre));
            match units {
                Units::UsCustomary => format!(", {us} ({metric})"),
                Units::Metric => format!(", {metric} ({us})"),
            }
        });
        let text = format!("{}: {many} of {} min, at {}{water}", zone.name(), own.minutes, starts.join(", "));
        out.push_str(&wrapped("    ", &text));
    }
}

fn table(out: &mut String, plan: &WaterPlan, units: Units) {
    let (unit, decimals, symbol) = match units {
        Units::UsCustomary => (LengthUnit::Inch, 2, "in"),
        Units::Metric => (LengthUnit::Millimetre, 1, "mm"),
    };
    let number = |depth: Length| format!("{:.decimals$}", depth.to(unit));
    let _ = writeln!(out, "\n  day            rain    used   given    gone  ({symbol})");
    for day in &plan.days {
        let rain = if day.weather.rain.is_some() { number(day.balance.rain) } else { "?".to_owned() };
        let _ = writeln!(
            out,
            "  {} {} {rain:>6}  {:>6}  {:>6}  {:>6}{}",
            day.weather.date.strftime("%a"),
            day.weather.date,
            number(day.balance.used),
            number(day.balance.given),
            number(day.balance.gone),
            remark(day)
        );
    }
}

fn remark(day: &PlannedDay) -> String {
    let mut words = Vec::new();
    match day.permission {
        Permission::Past => words.push("so far".to_owned()),
        Permission::Prohibited(_) => words.push("no water is given".to_owned()),
        Permission::NotThisWeekday => words.push("no day for watering".to_owned()),
        Permission::Within(_) | Permission::WateringIn => {}
    }
    if day.balance.is_short {
        words.push("the grass is short of water".to_owned());
    }
    if words.is_empty() { String::new() } else { format!("  {}", words.join(", ")) }
}

fn audits(out: &mut String, plan: &WaterPlan, units: Units) {
    if plan.request.controller.zones().is_empty() {
        return;
    }
    out.push_str("\nSprinklers\n");
    for zone in plan.request.controller.zones() {
        out.push_str(&wrapped("  ", &audit(zone, units)));
        let uniformity = zone.cans().map(season::watering::CatchCans::lowest_quarter_uniformity);
        if uniformity.is_some_and(|uniformity| uniformity < POOR_UNIFORMITY) {
            out.push_str(&wrapped(
                "    ! ",
                "It waters very unevenly: mend heads, pressure and spacing before running it longer.",
            ));
        }
    }
}

fn audit(zone: &SprinklerZone, units: Units) -> String {
    let rate = format!("{} an hour", both_depths(zone.rate().per_hour(), units));
    match zone.cans() {
        None => format!("{}: {rate} by its flow; how evenly is not known, set out catch cans", zone.name()),
        Some(cans) => format!(
            "{}: {rate} by {} catch cans; the lowest quarter has {} % of the mean, so that it runs {} times as long",
            zone.name(),
            cans.depths().len(),
            significant(100.0 * cans.lowest_quarter_uniformity(), 2),
            significant(zone.multiplier(), 3)
        ),
    }
}

fn plain_rule(out: &mut String, plan: &WaterPlan, units: Units) {
    let rule = &plan.plain;
    let depth = |depth| both_depths(depth, units);
    let (given, lost) = (plan.sum_ahead(|day| day.given), plan.sum_ahead(|day| day.lost));
    out.push_str("\nBeside it: an inch a week in the morning, less the rain of the week before\n");
    let text = format!(
        "It would give {}, the plan gives {}; {} of all water would run through below the roots, {} by the plan; the grass would be short \
         on {}, by the plan on {}.",
        depth(rule.sum(|day| day.given)),
        depth(given),
        depth(rule.sum(|day| day.lost)),
        depth(lost),
        quantity::counted(rule.short_days() as u64, "day", "days"),
        quantity::counted(plan.short_days() as u64, "day", "days"),
    );
    out.push_str(&wrapped("  ", &text));
    for watering in &rule.waterings {
        let Some(by) = watering.prohibited_by.and_then(|by| plan.request.no_watering.get(by)) else { continue };
        out.push_str(&wrapped(
            "  ! ",
            &format!("Its watering of {} falls into a time in which no water is given ({}).", watering.date, by.why),
        ));
    }
}

fn prohibitions(out: &mut String, plan: &WaterPlan) {
    for (index, other) in plan.request.no_watering.iter().enumerate() {
        if index == 0 {
            out.push_str("\nNo water is given\n");
        }
        let at = |time: jiff::civil::DateTime| time.strftime("%Y-%m-%d %H:%M").to_string();
        out.push_str(&wrapped("  ", &format!("{} to {}: {}", at(other.from), at(other.until), other.why)));
        for sentence in &other.sentences {
            let page = sentence.page.map(|page| format!(", page {page}")).unwrap_or_default();
            out.push_str(&wrapped("    ", &format!("(label{page}: “{}”)", sentence.text)));
        }
    }
}
