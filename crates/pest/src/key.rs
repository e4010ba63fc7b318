//! The key: from answers to how likely each profile is, and to the question that tells most.

use crate::character::{Character, Characters, Needs};
use crate::profile::Profile;
use problem::{Problem, Problems};
use std::collections::BTreeSet;

/// From this chance on the key names one profile. Below it, it does not. Common practice, no source.
pub const NAMED_FROM: f64 = 0.9;

/// Profiles below this chance are not told as still standing.
pub const STANDING_FROM: f64 = 0.02;

/// A question that is expected to tell less than this, in bits, is not asked.
pub const LEAST_GAIN: f64 = 1e-3;

/// What differs by less is alike: the last bits of a figure hang on the order in which it was added up.
const ALIKE: f64 = 1e-9;

/// The key over a set of profiles.
#[derive(Debug, Clone)]
pub struct Key<'p> {
    characters: &'p Characters,
    profiles: &'p [Profile],
    /// The chance of each state, by profile and character.
    chances: Vec<Vec<Vec<f64>>>,
}

/// An answer: a state of a character, by their ids.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Answer {
    /// The character.
    pub character: String,
    /// The states that it may be: one, or several where the person wavers.
    pub states: Vec<String>,
}

/// How likely a profile is.
#[derive(Debug, Clone, PartialEq)]
pub struct Candidate<'p> {
    /// The profile.
    pub profile: &'p Profile,
    /// Its chance.
    pub chance: f64,
    /// Answers that its profile speaks against.
    pub against: Vec<Answer>,
}

/// The next question.
#[derive(Debug, Clone, PartialEq)]
pub struct Question<'p> {
    /// What to ask.
    pub character: &'p Character,
    /// By how much its answer is expected to lower the uncertainty, in bits.
    pub gain: f64,
}

/// What the answers come to.
#[derive(Debug, Clone, PartialEq)]
pub enum Verdict<'p> {
    /// One profile is at least as likely as was asked for, and no single answer carries it.
    Named(&'p Profile),
    /// No one profile is, and one group of profiles is.
    Group(&'p str, f64),
    /// Neither is: nothing is named.
    Refused,
}

/// What the key says after some answers.
#[derive(Debug, Clone, PartialEq)]
pub struct Identification<'p> {
    /// What it names.
    pub verdict: Verdict<'p>,
    /// The profiles by falling chance.
    pub candidates: Vec<Candidate<'p>>,
    /// The questions that tell most, best first; none that tells nothing.
    pub next: Vec<Question<'p>>,
}

impl<'p> Identification<'p> {
    /// The profiles that still stand beside the first.
    pub fn standing(&self) -> impl Iterator<Item = &Candidate<'p>> {
        self.candidates.iter().skip(1).filter(|candidate| candidate.chance >= STANDING_FROM)
    }

    /// Whether it is no animal at all, or may well be none: how likely the look-alikes are together.
    pub fn chance_of_none(&self) -> f64 {
        let is_none = |candidate: &&Candidate<'_>| candidate.profile.kind == crate::profile::PestKind::LookAlike;
        self.candidates.iter().filter(is_none).map(|candidate| candidate.chance).sum()
    }
}

impl<'p> Key<'p> {
    /// The key over profiles whose characters are these.
    ///
    /// # Errors
    /// No profile, two of one id, and everything that [`Profile::check`] refuses.
    pub fn new(characters: &'p Characters, profiles: &'p [Profile]) -> Result<Self, Problems> {
        let mut problems = Problems::new();
        if profiles.is_empty() {
            problems.push(Problem::error("pest::no-profile", "there is no profile").expected("one or more"));
        }
        let mut ids = BTreeSet::new();
        for profile in profiles {
            if !ids.insert(&profile.id) {
                problems.push(
                    Problem::error("pest::profile-twice", format!("two profiles are called `{}`", profile.id))
                        .expected("an id of its own for each"),
                );
            }
            problems
                .extend(profile.check(characters).into_iter().filter(|one| one.severity == problem::Severity::Error));
        }
        for profile in profiles {
            for one in profile.look_alikes.iter().filter(|one| !ids.contains(&one.what.profile)) {
                problems.push(
                    Problem::error(
                        "pest::unknown-look-alike",
                        format!(
                            "profile `{}` names the look-alike `{}`, of which there is no profile",
                            profile.id, one.what.profile
                        ),
                    )
                    .expected("the id of another profile"),
                );
            }
        }
        if problems.has_errors() {
            return Err(problems);
        }
        let of = |profile: &Profile| characters.all().iter().map(|one| chances(profile, one)).collect();
        Ok(Self { characters, profiles, chances: profiles.iter().map(of).collect() })
    }

    /// The characters.
    pub fn characters(&self) -> &'p Characters {
        self.characters
    }

    /// The profiles.
    pub fn profiles(&self) -> &'p [Profile] {
        self.profiles
    }

    /// The chance of each state of a character where the truth is a profile, both by their places.
    pub fn chances(&self, profile: usize, character: usize) -> Option<&[f64]> {
        Some(self.chances.get(profile)?.get(character)?)
    }

    /// What answers come to; `has` is what the person has to answer with, and `named_from` the chance from which one is
    /// named.
    ///
    /// Each profile is as likely as any before the first answer. An answer that a profile speaks against has the chance
    /// of an error, shared among the states that do not occur in it; so that no answer excludes any profile.
    ///
    /// # Errors
    /// Every answer to a character or with a state that is not there, every character answered twice.
    pub fn identify(&self, answers: &[Answer], has: &[Needs], named_from: f64) -> Result<Identification<'p>, Problems> {
        let answered = self.read(answers)?;
        let posterior = self.posterior(&answered);
        let against = |profile: usize| -> Vec<Answer> {
            let is_against = |(character, states): &(usize, Vec<usize>)| {
                let told = self.profiles[profile].states(&self.characters.all()[*character].id);
                told.is_some_and(|told| {
                    let occurs = |state: &usize| told.contains(&self.characters.all()[*character].states[*state].id);
                    !states.iter().any(occurs)
                })
            };
            answered
                .iter()
                .zip(answers)
                .filter(|(read, _)| is_against(read))
                .map(|(_, answer)| answer.clone())
                .collect()
        };
        let mut candidates: Vec<Candidate<'p>> = (0..self.profiles.len())
            .map(|index| Candidate {
                profile: &self.profiles[index],
                chance: posterior[index],
                against: against(index),
            })
            .collect();
        candidates
            .sort_by(|one, other| other.chance.total_cmp(&one.chance).then(one.profile.id.cmp(&other.profile.id)));
        let mut next = self.questions(&answered, &posterior, has);
        next.retain(|question| question.gain > LEAST_GAIN);
        let verdict = self.verdict(&answered, &candidates, named_from);
        Ok(Identification { verdict, candidates, next })
    }

    /// Answers as places of characters and states.
    fn read(&self, answers: &[Answer]) -> Result<Vec<(usize, Vec<usize>)>, Problems> {
        let mut problems = Problems::new();
        let mut read: Vec<(usize, Vec<usize>)> = Vec::new();
        for answer in answers {
            let Some(place) = self.characters.place(&answer.character) else {
                let known: Vec<&str> = self.characters.all().iter().map(|one| one.id.as_str()).collect();
                problems.push(
                    Problem::error("pest::unknown-character", format!("there is no question `{}`", answer.character))
                        .expected(format!("one of {}", known.join(", "))),
                );
                continue;
            };
            let character = &self.characters.all()[place];
            if read.iter().any(|(known, _)| *known == place) {
                problems.push(
                    Problem::error("pest::answered-twice", format!("`{}` is answered twice", answer.character))
                        .expected("one answer to a question")
                        .mend("put several states into one answer where it may be any of them"),
                );
            }
            let mut states = Vec::new();
            for state in &answer.states {
                if let Some(state) = character.state(state) {
                    // Named twice it is no likelier.
                    if !states.contains(&state) {
                        states.push(state);
                    }
                } else {
                    let known: Vec<&str> = character.states.iter().map(|one| one.id.as_str()).collect();
                    problems.push(
                        Problem::error("pest::unknown-state", format!("`{}` has no answer `{state}`", character.id))
                            .expected(format!("one of {}", known.join(", "))),
                    );
                }
            }
            read.push((place, states));
        }
        problems.unless_errors(read).map(|(read, _)| read)
    }

    fn posterior(&self, answered: &[(usize, Vec<usize>)]) -> Vec<f64> {
        let of = |profile: &Vec<Vec<f64>>| -> f64 {
            let one = |(character, states): &(usize, Vec<usize>)| -> f64 {
                if states.is_empty() {
                    return 0.0;
                }
                states.iter().map(|state| profile[*character][*state]).sum::<f64>().ln()
            };
            answered.iter().map(one).sum()
        };
        let logs: Vec<f64> = self.chances.iter().map(of).collect();
        let most = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let shares: Vec<f64> = logs.iter().map(|log| (log - most).exp()).collect();
        let sum: f64 = shares.iter().sum();
        shares.into_iter().map(|share| share / sum).collect()
    }

    /// What is likely enough to be named, and would alone stay the likeliest if any one of the answers were left out: where a
    /// single answer carries it, that answer may be the wrong one.
    fn verdict(&self, answered: &[(usize, Vec<usize>)], candidates: &[Candidate<'p>], named_from: f64) -> Verdict<'p> {
        let Some(first) = candidates.first() else { return Verdict::Refused };
        let leads_without = |index: usize, is_it: &dyn Fn(&Profile) -> bool| {
            let mut fewer = answered.to_vec();
            fewer.remove(index);
            let posterior = self.posterior(&fewer);
            let most = posterior.iter().copied().fold(0.0, f64::max);
            let mut leaders =
                posterior.iter().zip(self.profiles).filter(|(chance, _)| **chance >= most * (1.0 - ALIKE));
            leaders.all(|(_, profile)| is_it(profile))
        };
        let stands = |is_it: &dyn Fn(&Profile) -> bool| (0..answered.len()).all(|index| leads_without(index, is_it));
        if first.chance >= named_from && stands(&|profile| profile.id == first.profile.id) {
            return Verdict::Named(first.profile);
        }
        let group = first.profile.group.as_str();
        let of_group: f64 =
            candidates.iter().filter(|one| one.profile.group == group).map(|candidate| candidate.chance).sum();
        if of_group >= named_from && stands(&|profile| profile.group == group) {
            return Verdict::Group(group, of_group);
        }
        Verdict::Refused
    }

    fn questions(&self, answered: &[(usize, Vec<usize>)], posterior: &[f64], has: &[Needs]) -> Vec<Question<'p>> {
        let here = entropy(posterior.iter().copied());
        let is_open = |place: usize, character: &Character| {
            has.contains(&character.needs) && answered.iter().all(|(known, _)| *known != place)
        };
        let mut questions: Vec<Question<'p>> = self
            .characters
            .all()
            .iter()
            .enumerate()
            .filter(|(place, character)| is_open(*place, character))
            .map(|(place, character)| {
                let left: f64 = (0..character.states.len())
                    .map(|state| {
                        let joint: Vec<f64> =
                            posterior.iter().zip(&self.chances).map(|(share, of)| share * of[place][state]).collect();
                        let chance: f64 = joint.iter().sum();
                        if chance > 0.0 { chance * entropy(joint.iter().map(|one| one / chance)) } else { 0.0 }
                    })
                    .sum();
                Question { character, gain: here - left }
            })
            .collect();
        // Of questions that tell alike, the one that stands first in the file.
        let rank = |question: &Question<'_>| (question.gain / ALIKE).round();
        questions.sort_by(|one, other| rank(other).total_cmp(&rank(one)));
        questions
    }
}

/// The chance of each state of a character where the truth is a profile.
fn chances(profile: &Profile, character: &Character) -> Vec<f64> {
    let states = character.states.len() as f64;
    let Some(told) = profile.states(&character.id) else { return vec![1.0 / states; character.states.len()] };
    let occurs: Vec<bool> = character.states.iter().map(|state| told.contains(&state.id)).collect();
    let right = occurs.iter().filter(|occurs| **occurs).count() as f64;
    if right == states {
        return vec![1.0 / states; character.states.len()];
    }
    let wrong = character.error_rate.value();
    let of = |occurs: &bool| if *occurs { (1.0 - wrong) / right } else { wrong / (states - right) };
    occurs.iter().map(of).collect()
}

fn entropy(chances: impl Iterator<Item = f64>) -> f64 {
    chances.filter(|chance| *chance > 0.0).map(|chance| -chance * chance.log2()).sum()
}

#[cfg(test)]
mod tests;
