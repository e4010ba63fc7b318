//! The programme of a season in words.

use crate::care::REMINDER;
use crate::command::plan::wrapped;
use business::Currency;
use exchange::season_file::SeasonFile;
use exchange::season_json::used_words;
use season::programme::{Answer, Change, Conflict, MinorUnits, Planned, Programme, Proof, Rule, SeasonRequest, WhatIf};
use std::fmt::Write;

/// Money in words of its currency.
#[derive(Clone, Copy)]
pub(super) struct Money(pub(super) Currency);

impl Money {
    /// Whole minor units.
    pub(super) fn told(self, minor: MinorUnits) -> String {
        let money = business::Money::new(minor.0.abs(), self.0);
        let sign = if minor.0 < 0 { "-" } else { "" };
        format!("{sign}{money}")
    }

    /// A figure of minor units, rounded to a whole one.
    fn of(self, minor: f64) -> String {
        self.told(MinorUnits(minor.round() as i64))
    }
}

/// The answer in words.
pub(super) fn words(file: &SeasonFile, answer: &Answer, changes: &[WhatIf]) -> String {
    let mut out = String::new();
    let money = Money(file.currency);
    let request = &file.request;
    let weeks = request.weeks.count();
    let _ = writeln!(out, "{}: {weeks} weeks from {}", request.name, request.weeks.first());
    if file.invented {
        out.push_str("Invented, for practice only.\n");
    }
    match answer {
        Answer::Programme(programme) => {
            of_programme(&mut out, request, programme, money);
            of_changes(&mut out, programme, changes, money);
        }
        Answer::Conflict(conflict) => of_conflict(&mut out, conflict),
    }
    out.push('\n');
    out.push_str(&wrapped(
        "",
        "A planned date is a date to scout: counts decide on the day. Below the threshold nothing is applied: write the \
         count into the file, and solve again. Plan the visit for its own day before going.",
    ));
    out.push_str(&wrapped("", REMINDER));
    out
}

fn of_programme(out: &mut String, request: &SeasonRequest, programme: &Programme, money: Money) {
    out.push('\n');
    if programme.planned.is_empty() {
        out.push_str(&wrapped(
            "",
            "Nothing is planned: no lawful application prevents more than it costs. Scout all the same.",
        ));
    } else {
        out.push_str("Dates to scout, and what to apply where counts call for it\n");
    }
    for week in programme.visits() {
        let _ = writeln!(out, "  {}", request.weeks.date(week));
        for one in programme.planned.iter().filter(|one| one.week == week) {
            out.push_str(&wrapped("    ", &application_words(request, *one, money)));
        }
    }
    let share = programme.share_prevented().map_or(String::new(), |share| {
        format!(" It prevents {:.0} % of what the pests expected would cost.", share * 100.0)
    });
    out.push('\n');
    out.push_str(&wrapped(
        "",
        &format!(
            "Cost: {} for {} and {} for the way. {}{share}",
            money.told(programme.applications_cost),
            quantity::counted(programme.planned.len() as u32, "application", "applications"),
            money.told(programme.travel_cost),
            gain_words(programme, money),
        ),
    ));
    out.push_str(&wrapped("", &proof_words(programme.proof, money)));
    out.push_str("\nActive ingredients put down by the programme\n");
    for (ground, name, mass) in &programme.ingredients {
        let shown = mass.show(quantity::MassPerAreaUnit::PoundPerAcre);
        let _ = writeln!(out, "  {}: {shown} {name}", request.grounds[*ground].name);
    }
    out.push_str("\nWhat the labels leave on each ground after it\n");
    for room in &programme.room {
        let (counts, used, most, _) = used_words(room, request);
        let (first, last) = room.window;
        out.push_str(&wrapped(
            "  ",
            &format!(
                "{}, {}: {counts} {used} of {most} ({first} to {last})",
                request.grounds[room.ground].name, room.product
            ),
        ));
    }
    out.push_str("\nWhat binds: without it this one application more would gain\n");
    if programme.bindings.is_empty() {
        out.push_str("  nothing does\n");
    }
    for binding in programme.bindings.iter().take(10) {
        let one = binding.example;
        out.push_str(&wrapped(
            "  ",
            &format!(
                "{} ({} on {} on {} would gain {})",
                rule_words(&binding.rule),
                request.uses[one.product_use].id,
                request.grounds[one.ground].name,
                request.weeks.date(one.week),
                money.of(binding.gain)
            ),
        ));
    }
    if programme.bindings.len() > 10 {
        let _ = writeln!(out, "  and {} more (all of them with --json)", programme.bindings.len() - 10);
    }
    for caution in &programme.cautions {
        out.push_str(&wrapped("  ! ", caution));
    }
}

fn application_words(request: &SeasonRequest, one: Planned, money: Money) -> String {
    let (of, ground) = (&request.uses[one.product_use], &request.grounds[one.ground]);
    let pests: Vec<&str> = of.controls.iter().map(|control| request.pests[control.pest].name.as_str()).collect();
    format!(
        "{}: {} ({}), {}, {}; count {} first",
        ground.name,
        of.product,
        of.id,
        of.rate.show(),
        money.told(of.cost.on(ground.area)),
        pests.join(", ")
    )
}

fn gain_words(programme: &Programme, money: Money) -> String {
    format!(
        "At the worth that the file states for the pests it gains {} over doing nothing more.",
        money.of(programme.proof.gain)
    )
}

/// How well it is proven.
pub(super) fn proof_words(proof: Proof, money: Money) -> String {
    if proof.is_optimal() {
        return "Proven: no lawful programme gains more.".to_owned();
    }
    let more = money.of(proof.bound - proof.gain);
    match proof.gap() {
        Some(gap) => format!("Proven to within {:.2} %: no lawful programme gains over {more} more.", gap * 100.0),
        None => {
            format!("Not proven best: a lawful programme might gain {more}, and none was found that gains anything.")
        }
    }
}

fn rule_words(rule: &Rule) -> String {
    match &rule.said {
        Some(said) => {
            let page = said.page.map(|page| format!(", page {page}")).unwrap_or_default();
            let advice = if said.strength == label::Strength::Advisory { ", advice" } else { "" };
            format!("{} [label {}{page}{advice}: “{}”]", rule.words, said.label, said.text)
        }
        None => rule.words.clone(),
    }
}

fn of_changes(out: &mut String, programme: &Programme, changes: &[WhatIf], money: Money) {
    if changes.is_empty() {
        return;
    }
    out.push_str("\nWhat one change would bring, each solved again\n");
    for what in changes {
        let change = match &what.change {
            Change::MoreBudget(more) => format!("{} more of budget", money.told(*more)),
            Change::WithoutLabel(label) => format!("without {label}"),
        };
        let brings = match what.proof {
            None => "no programme keeps all demands".to_owned(),
            Some(proof) => {
                let difference = proof.gain - programme.proof.gain;
                let word = if difference < -0.5 { "less" } else { "more" };
                let gains = if difference.abs() < 0.5 {
                    "gains no more and no less".to_owned()
                } else {
                    format!("gains {} {word}", money.of(difference.abs()))
                };
                let proven = match proof.gap() {
                    Some(gap) if !proof.is_optimal() => format!(", proven to within {:.2} %", gap * 100.0),
                    _ => String::new(),
                };
                let count = quantity::counted(what.planned.len() as u32, "application", "applications");
                format!("{gains}, for {} in {count}{proven}", money.told(what.cost))
            }
        };
        out.push_str(&wrapped("  ", &format!("{change}: {brings}")));
    }
}

fn of_conflict(out: &mut String, conflict: &Conflict) {
    out.push('\n');
    out.push_str(&wrapped("", "There is no programme: these rules stand against each other."));
    for one in &conflict.rules {
        let mark = if one.is_asked { "asked" } else { "rule" };
        out.push_str(&wrapped(&format!("  {mark:>5}  "), &rule_words(&one.rule)));
    }
    out.push_str(&wrapped(
        "",
        if conflict.is_irreducible {
            "The set is irreducible: without any one of them the others can be kept. Take back one that is asked."
        } else {
            "The effort did not suffice to leave out all that could be left out. Take back one that is asked."
        },
    ));
}
