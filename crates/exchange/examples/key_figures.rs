//! How well the key tells the profiles apart: answers drawn with their rates of error, the next question by what it is
//! expected to tell against the same questions in the fixed order of the file: by the same chances, and as a printed key has them,
//! which strikes out whatever an answer does not fit. Prints a table.
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

/// How the next question is found, and what an answer does.
#[derive(Clone, Copy)]
enum Order {
    /// By what it is expected to tell.
    ByGain,
    /// As the file has them; chances as before.
    Fixed,
    /// As the file has them; an answer strikes out what it does not fit.
    StrikingOut,
}

impl Order {
    fn words(self) -> &'static str {
        match self {
            Self::ByGain => "by what tells most",
            Self::Fixed => "fixed order",
            Self::StrikingOut => "fixed order, striking out",
        }
    }
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

    /// What a printed key leaves: one is named, several of one group are that group, none or others are nothing.
    fn count_left(&mut self, truth: &Profile, left: &[&Profile], questions: usize) {
        self.tries += 1;
        self.questions += questions as u32;
        let group = left.first().map(|one| &one.group).filter(|group| left.iter().all(|one| one.group == **group));
        match (left, group) {
            ([one], _) if one.id == truth.id => self.right += 1,
            ([_], _) => self.wrong += 1,
            (_, Some(group)) if *group == truth.group => self.right_group += 1,
            (_, Some(_)) => self.wrong += 1,
            (_, None) => {}
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

/// What somebody answers; wrong where it is to be, and can be.
fn answer_of(truth: &Profile, character: &Character, is_wrong: &mut bool, draws: &mut Draws) -> Option<Answer> {
    let told = answer(truth, character, draws);
    let wrong = truth.states(&character.id).filter(|_| *is_wrong);
    let wrong = wrong.and_then(|occurs| character.states.iter().find(|state| !occurs.contains(&state.id)));
    match wrong {
        Some(state) => {
            *is_wrong = false;
            Some(Answer { character: character.id.clone(), states: vec![state.id.clone()] })
        }
        None => told,
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
        let told = answer_of(truth, character, &mut is_wrong, draws);
        asked += usize::from(told.is_some());
        answers.push(told.unwrap_or_else(|| Answer { character: character.id.clone(), states: Vec::new() }));
    }
}

/// One identification as a printed key has it: every question that parts those which are left, in the order of the file, and what an
/// answer does not fit is struck out for good. What does not say, or nobody knows, stays.
fn strike_out(key: &Key<'_>, truth: &Profile, wrong_first: bool, draws: &mut Draws, tally: &mut Tally) {
    let mut left: Vec<&Profile> = key.profiles().iter().collect();
    let (mut asked, mut is_wrong) = (0, wrong_first);
    for character in key.characters().all() {
        let shows = |profile: &Profile, state: &str| {
            profile.states(&character.id).is_none_or(|occurs| occurs.iter().any(|one| one == state))
        };
        let parts = |state: &str| left.iter().any(|one| shows(one, state)) && left.iter().any(|one| !shows(one, state));
        if left.len() <= 1 || !character.states.iter().any(|state| parts(&state.id)) {
            continue;
        }
        let Some(told) = answer_of(truth, character, &mut is_wrong, draws) else { continue };
        asked += 1;
        left.retain(|one| told.states.iter().any(|state| shows(one, state)));
    }
    tally.count_left(truth, &left, asked);
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
    let rows =
        [("pests", false, false), ("look-alikes", true, false), ("pests", false, true), ("look-alikes", true, true)];
    for (of, is_look_alike, wrong_first) in rows {
        let more = if wrong_first { ", the first answer wrong" } else { "" };
        for order in [Order::ByGain, Order::Fixed, Order::StrikingOut] {
            let mut tally = Tally::default();
            let mut draws = Draws::of_seed(1);
            for profile in of_kind(is_look_alike) {
                for _ in 0..ROUNDS {
                    match order {
                        Order::ByGain => identify(&key, profile, true, wrong_first, &mut draws, &mut tally),
                        Order::Fixed => identify(&key, profile, false, wrong_first, &mut draws, &mut tally),
                        Order::StrikingOut => {
                            strike_out(&key, profile, wrong_first, &mut draws, &mut tally);
                        }
                    }
                }
            }
            tally.print(&format!("{of}, {}{more}", order.words()));
        }
    }
    Ok(())
}
