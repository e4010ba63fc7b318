//! Prints how a programme of an invented season of a real one's size stands beside calendars: protection, money,
//! active ingredient, time and gap.

#[path = "../tests/support/mod.rs"]
mod support;

use quantity::MassPerAreaUnit;
use season::programme::{
    Answer, Effort, Planned, SeasonRequest, calendar_every, gain, ingredients, protection, solve, spent, violations,
};
use std::time::Instant;

fn main() {
    for (name, request) in [("an invented season", support::realistic())] {
        println!(
            "\n{name}: {} weeks, {} grounds, {} uses, {} pests",
            request.weeks.count(),
            request.grounds.len(),
            request.uses.len(),
            request.pests.len()
        );
        println!(
            "{:<28}{:>8}{:>12}{:>11}{:>11}{:>12}{:>9}{:>8}",
            "", "visits", "prevented", "money", "gain", "a.i. lb/ac", "time s", "gap %"
        );
        let begun = Instant::now();
        let answer = solve(&request, Effort::default());
        let time = begun.elapsed().as_secs_f64();
        match answer {
            Ok(Answer::Programme(programme)) => {
                let gap = programme.proof.gap().map_or("open".to_owned(), |gap| format!("{:.2}", gap * 100.0));
                line("programme", &request, &programme.planned, &format!("{time:.1}"), &gap);
            }
            Ok(Answer::Conflict(conflict)) => println!("conflict of {} rules", conflict.rules.len()),
            Err(problems) => println!("{problems}"),
        }
        for weeks in [13, 8, 4] {
            let planned = calendar_every(&request, weeks);
            line(&format!("calendar, every {weeks} weeks"), &request, &planned, "", "");
        }
        line("nothing", &request, &[], "", "");
    }
}

fn line(name: &str, request: &SeasonRequest, planned: &[Planned], time: &str, gap: &str) {
    assert!(violations(request, planned).is_empty());
    let parts = protection(request, planned);
    let damage: f64 = parts.iter().map(|part| part.damage).sum();
    let prevented: f64 = parts.iter().map(|part| part.prevented).sum();
    // Over all ground, as one figure: weighed by area.
    let total: f64 = request.grounds.iter().map(|ground| ground.area.to(quantity::AreaUnit::Acre)).sum();
    let mass: f64 = ingredients(request, planned)
        .iter()
        .map(|(ground, _, mass)| {
            mass.to(MassPerAreaUnit::PoundPerAcre) * request.grounds[*ground].area.to(quantity::AreaUnit::Acre)
        })
        .fold(0.0, std::ops::Add::add);
    let mut visits: Vec<_> = planned.iter().map(|one| one.week).collect();
    visits.sort();
    visits.dedup();
    println!(
        "{name:<28}{:>8}{:>11.1}%{:>11.2}{:>11.2}{:>12.3}{time:>9}{gap:>8}",
        visits.len(),
        prevented / damage * 100.0,
        spent(request, planned).0 as f64 / 100.0,
        gain(request, planned) / 100.0,
        mass / total,
    );
}
