//! `tussock identify`: what an animal or a damage is, by questions that may be answered in any order.

use super::pest::{ProfilesArgs, profiles};
use super::plan::wrapped;
use crate::care::examples_and_care;
use crate::console::{complain, remark, say};
use crate::outcome::{CommandResult, Outcome};
use clap::Args;
use exchange::identification_json::IdentificationJson;
use pest::{Answer, Candidate, Character, Identification, Key, NAMED_FROM, Needs, PestKind, Verdict};
use std::fmt::Write as _;
use std::io::{BufRead, IsTerminal, stdin};

/// Tell what an animal or a damage is, by questions
///
/// The question that tells most comes first. Each answer has its rate of error, so that one wrong answer does not lose
/// the truth; what you do not know is left out. Drought, disease and other look-alikes that no insecticide mends stay
/// on the list until they are told apart. Below the chance asked for nothing is named, and the command says what to
/// collect.
///
/// Without `--answer` the questions are asked here. With it, or with `--json`, the answers given are judged and the next
/// questions are told.
///
/// Exit codes: 0 something is named, 1 bad input, 2 wrong use of the command, 3 nothing can be named yet.
#[derive(Debug, Args)]
#[command(after_long_help = examples_and_care!(
    "tussock identify",
    "tussock identify --answer hind-legs=jumping --answer feelers=short-thread",
    "tussock identify --answer hind-legs=jumping --without specimen --json",
))]
pub(crate) struct IdentifyArgs {
    /// An answer: the question and what it is, such as `legs=six`; several states with commas where it may be any of
    /// them, none where you do not know
    #[arg(long, value_name = "QUESTION=STATE", value_parser = answer)]
    answer: Vec<Answer>,
    /// What you do not have: specimen, damage, place, time or trap-or-flush; its questions are not asked
    #[arg(long, value_name = "WHAT", value_parser = needs)]
    without: Vec<Needs>,
    /// The chance from which on something is named
    #[arg(long, value_name = "CHANCE", default_value_t = NAMED_FROM, value_parser = chance)]
    named_from: f64,
    #[command(flatten)]
    profiles: ProfilesArgs,
    /// Print one JSON document on standard output, and nothing else there
    #[arg(long)]
    json: bool,
}

fn answer(text: &str) -> Result<Answer, String> {
    let (character, states) =
        text.split_once('=').ok_or("no answer; expected the question, `=` and its state, such as `legs=six`")?;
    let states = states.split(',').map(str::trim).filter(|state| !state.is_empty());
    Ok(Answer { character: character.trim().to_owned(), states: states.map(str::to_owned).collect() })
}

fn needs(text: &str) -> Result<Needs, String> {
    let known = || Needs::ALL.map(Needs::word).join(", ");
    Needs::ALL
        .into_iter()
        .find(|needs| needs.word() == text)
        .ok_or_else(|| format!("nothing that questions need; expected one of {}", known()))
}

fn chance(text: &str) -> Result<f64, String> {
    let chance = text.parse().ok().filter(|chance| *chance > 0.5 && *chance < 1.0);
    chance.ok_or_else(|| "no chance to name something by; expected between 0.5 and 1, such as 0.9".to_owned())
}

impl IdentifyArgs {
    /// Whether one JSON document is asked for.
    pub(crate) fn json(&self) -> bool {
        self.json
    }
}

/// Carries the command out.
pub(crate) fn run(args: &IdentifyArgs) -> CommandResult {
    let (characters, profiles, warnings) = profiles(&args.profiles)?;
    complain(&warnings);
    let key = Key::new(&characters, &profiles)?;
    let has: Vec<Needs> = Needs::ALL.into_iter().filter(|needs| !args.without.contains(needs)).collect();
    let mut answers = args.answer.clone();
    if answers.is_empty() && !args.json {
        ask(&key, &mut answers, &has, args.named_from)?;
    }
    let found = key.identify(&answers, &has, args.named_from)?;
    if args.json {
        say(&IdentificationJson::new(&found, &answers, args.named_from, usize::MAX).text());
    } else {
        say(&words(&found, &key));
    }
    Ok(if found.verdict == Verdict::Refused { Outcome::Refused } else { Outcome::Done })
}

/// Asks until something is named, nothing more can be told, or the person ends it.
fn ask(key: &Key<'_>, answers: &mut Vec<Answer>, has: &[Needs], named_from: f64) -> Result<(), problem::Problems> {
    if stdin().is_terminal() {
        remark(
            "Answer with the number; several with commas where it may be any of them; nothing where you do not know; \
             `back` takes the last answer back, `end` ends.",
        );
    }
    let mut lines = stdin().lock().lines();
    loop {
        let found = key.identify(answers, has, named_from)?;
        let Some(question) = found.next.first() else { return Ok(()) };
        if matches!(found.verdict, Verdict::Named(_)) {
            return Ok(());
        }
        let character = question.character;
        let mut text = format!("\n{}. {}\n", answers.len() + 1, character.question);
        if let Some(hint) = &character.hint {
            text.push_str(&wrapped("   ", hint));
        }
        for (number, state) in (1..).zip(&character.states) {
            let _ = writeln!(text, "   {number:>2}  {}", state.words);
        }
        remark(text.trim_end());
        let Some(Ok(line)) = lines.next() else { return Ok(()) };
        match line.trim() {
            "end" => return Ok(()),
            "back" => drop(answers.pop()),
            given => match chosen(character, given) {
                Ok(states) => answers.push(Answer { character: character.id.clone(), states }),
                Err(mend) => remark(&mend),
            },
        }
    }
}

/// The states that a line names by their numbers.
fn chosen(character: &Character, line: &str) -> Result<Vec<String>, String> {
    let numbers = line.split([',', ' ']).map(str::trim).filter(|number| !number.is_empty());
    let state = |number: &str| {
        let place = number.parse::<usize>().ok().and_then(|number| number.checked_sub(1));
        let state = place.and_then(|place| character.states.get(place));
        state.map(|state| state.id.clone()).ok_or_else(|| {
            format!("`{number}` is none of the answers; expected a number from 1 to {}", character.states.len())
        })
    };
    numbers.map(state).collect()
}

fn percent(chance: f64) -> String {
    match chance {
        chance if chance > 0.995 => "over 99 %".to_owned(),
        chance if chance < 0.01 => "under 1 %".to_owned(),
        chance => format!("{:.0} %", chance * 100.0),
    }
}

fn name(candidate: &Candidate<'_>) -> String {
    let profile = candidate.profile;
    match &profile.scientific_name {
        Some(scientific) => format!("{} ({scientific})", profile.common_name),
        None => profile.common_name.clone(),
    }
}

fn words(found: &Identification<'_>, key: &Key<'_>) -> String {
    let mut out = String::new();
    let Some(first) = found.candidates.first() else { return out };
    match &found.verdict {
        Verdict::Named(profile) => {
            let _ = writeln!(out, "{}: {}", name(first), percent(first.chance));
            out.push_str(&wrapped("  ", &profile.summary));
            if profile.kind == PestKind::LookAlike {
                out.push_str(&wrapped("  ", "This is no pest that an insecticide reaches: treating would be in vain."));
            }
        }
        Verdict::Group(group, chance) => {
            let _ = writeln!(out, "one of the {group}: {}; which one is not certain", percent(*chance));
        }
        Verdict::Refused => {
            out.push_str("nothing can be named yet: no profile is likely enough\n");
        }
    }
    let standing: Vec<&Candidate<'_>> = match found.verdict {
        Verdict::Named(_) => found.standing().take(6).collect(),
        _ => std::iter::once(first).chain(found.standing()).take(6).collect(),
    };
    if !standing.is_empty() {
        out.push_str("\nStill standing\n");
        for one in standing {
            let _ = writeln!(out, "  {:>9}  {}", percent(one.chance), name(one));
            if let Some(how) = first.profile.told_from(one.profile) {
                out.push_str(&wrapped("             ", how));
            }
        }
    }
    if !first.against.is_empty() {
        out.push_str("\nAnswers that speak against the likeliest: look again\n");
        for answer in &first.against {
            let character = key.characters().place(&answer.character).map(|place| &key.characters().all()[place]);
            let question = character.map_or(answer.character.as_str(), |character| character.question.as_str());
            out.push_str(&wrapped("  ", &format!("{question} {}", answer.states.join(", "))));
        }
    }
    if !matches!(found.verdict, Verdict::Named(_)) {
        out.push_str("\nWhat would tell most\n");
        for question in found.next.iter().take(3) {
            let character = question.character;
            out.push_str(&wrapped("  ", &format!("{} (`{}`)", character.question, character.id)));
        }
        if found.next.is_empty() {
            out.push_str(&wrapped("  ", NOTHING_LEFT));
        }
    }
    let may_be = |kind: PestKind| found.candidates.iter().any(|one| one.profile.kind == kind && one.chance >= 0.1);
    out.push('\n');
    if may_be(PestKind::Tick) {
        out.push_str(&wrapped("", TICKS));
    }
    out.push_str(&wrapped("", BEFORE_TREATING));
    out
}

const NOTHING_LEFT: &str = "No question is left. Collect several specimens of all sizes in a closed jar with a little \
    alcohol, and a square foot of turf from the edge of the damage with its roots, and have an extension office or a \
    plant clinic look at them.";

/// Common practice, no source.
const TICKS: &str = "Ticks carry disease: look people and pets over after every stay outdoors, take a tick out with fine \
    tweezers close to the skin, and ask a doctor about a bite that is followed by fever or a rash.";

const BEFORE_TREATING: &str = "A name is no reason to treat: count first, and hold the counts against a threshold. Where \
    it matters, have a specimen confirmed by an extension office or a plant clinic.";
