//! How well the key tells the profiles apart: answers drawn with their rates of error, the next question by what it is
//! expected to tell against the same questions in the fixed order of the file. Prints a table.
//!
//! It measures the key against the profiles that it was made from, and not what people see in the field.

use exchange::pest_file::{shipped_characters, shipped_profiles};
use pest::{Answer, Character, Key, NAMED_FROM, Needs, PestKind, Profile, Verdict};
use scouting::Draws;

/// Rounds of each profile.
const ROUNDS: u32 = 40;
/// More questions than this nobody answers.
const MOST_QUESTIONS: usize = 20;

/// What somebody answers who has this before them; `None` where its profile does not say: they do not know.
fn answer(truth: &Profile, character: &Character, draws: &mut Draws) -> Option<Answer> {
    let occurs = truth.states(&character.id)?;
    let wrong: Vec<&str> = character
        .states
        .iter()
        .map(|state| state.id.as_str())
        .filter(|id| !occurs.iter().any(|one| one == id))
        .collect();
    let state = if !wrong.is_empty() && draws.share() < character.error_rate.value() {
        wrong[draws.below(wrong.len())].to_owned()
    } else {
        occurs[draws.below(occurs.len())].clone()
    };
    Some(Answer { character: character.id.clone(), states: vec![state] })
}

#[derive(Default)]
struct Tally {
    tries: u32,
    right: u32,
    right_group: u32,
    wrong: u32,
    questions: u32,
}

impl Tally {
    fn count(&mut self, truth: &Profile, verdict: &Verdict<'_>, questions: usize) {
        self.tries += 1;
        self.questions += questions as u32;
        match verdict {
            Verdict::Named(profile) if profile.id == truth.id => self.right += 1,
            Verdict::Group(group, _) if *group == truth.group => self.right_group += 1,
            Verdict::Named(_) | Verdict::Group(..) => self.wrong += 1,
            Verdict::Refused => {}
        }
    }

    fn print(&self, what: &str) {
        let share = |count: u32| format!("{:.1} %", f64::from(count) / f64::from(self.tries) * 100.0);
        println!(
            "| {what} | {} | {} | {} | {} | {:.1} |",
            self.tries,
            share(self.right),
            share(self.right_group),
            share(self.wrong),
            f64::from(self.questions) / f64::from(self.tries)
        );
    }
}

/// One identification; the questions in the order of what they tell, or of the file.
fn identify(key: &Key<'_>, truth: &Profile, by_gain: bool, wrong_first: bool, draws: &mut Draws, tally: &mut Tally) {
    let mut answers: Vec<Answer> = Vec::new();
    let mut asked = 0;
    let mut is_wrong = wrong_first;
    loop {
        let Ok(found) = key.identify(&answers, &Needs::ALL, NAMED_FROM) else { return };
        let is_known = |character: &Character| answers.iter().any(|known| known.character == character.id);
        let next = if by_gain {
            found.next.first().map(|question| question.character)
        } else {
            key.characters().all().iter().find(|character| !is_known(character))
        };
        let is_over = matches!(found.verdict, Verdict::Named(_)) || asked == MOST_QUESTIONS;
        let Some(character) = next.filter(|_| !is_over) else {
            tally.count(truth, &found.verdict, asked);
            return;
        };
        let mut told = answer(truth, character, draws);
        if is_wrong && let Some(occurs) = truth.states(&character.id) {
            let wrong = character.states.iter().find(|state| !occurs.contains(&state.id));
            if let Some(state) = wrong {
                told = Some(Answer { character: character.id.clone(), states: vec![state.id.clone()] });
                is_wrong = false;
            }
        }
        asked += usize::from(told.is_some());
        answers.push(told.unwrap_or_else(|| Answer { character: character.id.clone(), states: Vec::new() }));
    }
}

fn main() -> Result<(), problem::Problems> {
    let characters = shipped_characters()?;
    let profiles = shipped_profiles(&characters)?;
    let key = Key::new(&characters, &profiles)?;
    let of_kind = |is_look_alike: bool| {
        profiles.iter().filter(move |profile| (profile.kind == PestKind::LookAlike) == is_look_alike)
    };
    println!(
        "{} profiles, {} of them look-alikes; {} questions; named from {NAMED_FROM}; {ROUNDS} rounds each.\n",
        profiles.len(),
        of_kind(true).count(),
        characters.all().len()
    );
    println!("| | identifications | named right | right group | named wrong | questions answered |");
    println!("| --- | --- | --- | --- | --- | --- |");
    for (what, by_gain, wrong_first, is_look_alike) in [
        ("pests, by what tells most", true, false, false),
        ("pests, fixed order", false, false, false),
        ("look-alikes, by what tells most", true, false, true),
        ("look-alikes, fixed order", false, false, true),
        ("pests, the first answer wrong", true, true, false),
    ] {
        let mut tally = Tally::default();
        let mut draws = Draws::of_seed(1);
        for profile in of_kind(is_look_alike) {
            for _ in 0..ROUNDS {
                identify(&key, profile, by_gain, wrong_first, &mut draws, &mut tally);
            }
        }
        tally.print(what);
    }
    Ok(())
}
