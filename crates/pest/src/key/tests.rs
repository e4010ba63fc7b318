use super::*;
use crate::character::{CharacterState, Share};
use crate::profile::{PestKind, StatesSeen};
use crate::source::{Cited, Source};
use proptest::prelude::*;

fn character(id: &str, states: &[&str], error_rate: f64) -> Character {
    let state = |id: &&str| CharacterState { id: (*id).to_owned(), words: (*id).to_owned() };
    Character {
        id: id.to_owned(),
        question: format!("{id}?"),
        hint: None,
        needs: Needs::Specimen,
        error_rate: Share::new(error_rate).unwrap(),
        states: states.iter().map(state).collect(),
    }
}

fn profile(id: &str, group: &str, states: &[(&str, &[&str])]) -> Profile {
    let seen = |(character, states): &(&str, &[&str])| Cited {
        what: StatesSeen {
            character: (*character).to_owned(),
            states: states.iter().map(|state| (*state).to_owned()).collect(),
        },
        source: "s".to_owned(),
    };
    Profile {
        id: id.to_owned(),
        kind: PestKind::Insect,
        common_name: id.to_owned(),
        scientific_name: None,
        eppo_code: None,
        group: group.to_owned(),
        summary: String::new(),
        sources: vec![Source { id: "s".to_owned(), cite: "Invented".to_owned(), seen: true }],
        characters: states.iter().map(seen).collect(),
        stages: Vec::new(),
        signs: Vec::new(),
        samplings: Vec::new(),
        thresholds: Vec::new(),
        dispersion: None,
        development: None,
        enemies: Vec::new(),
        culture: Vec::new(),
        never: Vec::new(),
        look_alikes: Vec::new(),
    }
}

const FIVE: [&str; 5] = ["legs", "wings", "jaws", "spots", "sound"];

fn set() -> (Characters, Vec<Profile>) {
    let characters = FIVE.map(|id| character(id, &["a", "b", "c"], 0.05));
    let of = |id: &str, group: &str, states: [&'static str; 5]| {
        let states: Vec<(&str, Vec<&str>)> = FIVE.iter().zip(states).map(|(id, state)| (*id, vec![state])).collect();
        let states: Vec<(&str, &[&str])> = states.iter().map(|(id, states)| (*id, states.as_slice())).collect();
        profile(id, group, &states)
    };
    let profiles = vec![
        of("one", "hoppers", ["a", "a", "a", "a", "a"]),
        of("two", "hoppers", ["a", "a", "a", "b", "b"]),
        of("three", "grubs", ["b", "b", "b", "c", "c"]),
        of("four", "grubs", ["c", "b", "c", "b", "c"]),
    ];
    (Characters::new(characters.to_vec()).unwrap(), profiles)
}

fn answers(given: &[(&str, &str)]) -> Vec<Answer> {
    let one = |(character, state): &(&str, &str)| Answer {
        character: (*character).to_owned(),
        states: vec![(*state).to_owned()],
    };
    given.iter().map(one).collect()
}

#[test]
fn what_is_told_is_named_and_what_is_not_is_refused() {
    let (characters, profiles) = set();
    let key = Key::new(&characters, &profiles).unwrap();
    let ask = |given: &[(&str, &str)]| key.identify(&answers(given), &Needs::ALL, NAMED_FROM).unwrap();
    assert_eq!(ask(&[]).verdict, Verdict::Refused);
    // Of all questions the one that tells two of a kind apart asks least of the whole set.
    assert_eq!(ask(&[]).next.len(), 5);
    let hopper = ask(&[("legs", "a"), ("wings", "a")]);
    let Verdict::Group(group, chance) = hopper.verdict else { panic!("{hopper:?}") };
    assert!(group == "hoppers" && chance > 0.99);
    let telling = ["spots", "sound"];
    assert!(telling.contains(&hopper.next[0].character.id.as_str()), "only these two tell one from two");
    // Where one answer alone tells it from its like, that answer may be the wrong one.
    let by_one = ask(&[("legs", "a"), ("wings", "a"), ("sound", "b")]);
    assert!(by_one.candidates[0].chance > NAMED_FROM && matches!(by_one.verdict, Verdict::Group("hoppers", _)));
    for (place, state) in [(0, "a"), (1, "b")] {
        let found = ask(&[("legs", "a"), ("wings", "a"), ("spots", state), ("sound", state)]);
        assert_eq!(found.verdict, Verdict::Named(&profiles[place]), "whichever stands first in the set");
        assert!(found.candidates[0].against.is_empty());
    }
    // One wrong answer does not lose it.
    let slip = ask(&[("legs", "b"), ("wings", "a"), ("jaws", "a"), ("spots", "b"), ("sound", "b")]);
    assert_eq!(slip.verdict, Verdict::Named(&profiles[1]));
    assert_eq!(slip.candidates[0].against, answers(&[("legs", "b")]));
}

#[test]
fn a_wavering_answer_counts_for_each_of_its_states() {
    let (characters, profiles) = set();
    let key = Key::new(&characters, &profiles).unwrap();
    let waver = |character: &str| Answer { character: character.into(), states: vec!["b".into(), "c".into()] };
    let wavers = [waver("legs"), waver("wings")];
    let found = key.identify(&wavers, &Needs::ALL, NAMED_FROM).unwrap();
    assert_eq!(found.verdict, Verdict::Group("grubs", found.candidates[0].chance + found.candidates[1].chance));
    // An answer of no state tells nothing.
    let none = [Answer { character: "legs".into(), states: vec![] }];
    let found = key.identify(&none, &Needs::ALL, NAMED_FROM).unwrap();
    assert!(found.candidates.iter().all(|one| (one.chance - 0.25).abs() < 1e-12));
    assert_eq!(found.next.len(), 4, "and is not asked again");
}

#[test]
fn what_one_does_not_have_is_not_asked() {
    let (characters, profiles) = set();
    let key = Key::new(&characters, &profiles).unwrap();
    assert!(key.identify(&[], &[Needs::Damage], NAMED_FROM).unwrap().next.is_empty());
}

#[test]
fn everything_wrong_with_answers_and_profiles_is_told() {
    let (characters, mut profiles) = set();
    let key = Key::new(&characters, &profiles).unwrap();
    let wrong = answers(&[("legs", "z"), ("ears", "a"), ("legs", "a")]);
    let codes: Vec<_> =
        key.identify(&wrong, &Needs::ALL, NAMED_FROM).unwrap_err().iter().map(|problem| problem.code).collect();
    assert_eq!(codes, ["pest::unknown-state", "pest::unknown-character", "pest::answered-twice"]);
    profiles[1].id = "one".into();
    profiles[0].characters[0].source = String::new();
    profiles[2].characters[0].what.states = vec!["z".into()];
    let codes: Vec<_> = Key::new(&characters, &profiles).unwrap_err().iter().map(|problem| problem.code).collect();
    assert_eq!(codes, ["pest::no-source", "pest::profile-twice", "pest::unknown-state"]);
    assert_eq!(
        Key::new(&characters, &[]).unwrap_err().iter().map(|problem| problem.code).collect::<Vec<_>>(),
        ["pest::no-profile"]
    );
}

proptest! {
    /// Chances are shares of one, and no answer makes any of them nothing; the order of answers changes nothing.
    #[test]
    fn no_answer_excludes_anything(states in prop::collection::vec(0_usize..3, 5), turned in 0_usize..5) {
        let (characters, profiles) = set();
        let key = Key::new(&characters, &profiles).unwrap();
        let given: Vec<(&str, &str)> = FIVE.iter().zip(&states).map(|(id, state)| (*id, ["a", "b", "c"][*state])).collect();
        let found = key.identify(&answers(&given), &Needs::ALL, NAMED_FROM).unwrap();
        prop_assert!((found.candidates.iter().map(|one| one.chance).sum::<f64>() - 1.0).abs() < 1e-12);
        prop_assert!(found.candidates.iter().all(|one| one.chance > 0.0));
        prop_assert!(found.next.is_empty());
        let mut other = given.clone();
        other.rotate_left(turned);
        let again = key.identify(&answers(&other), &Needs::ALL, NAMED_FROM).unwrap();
        for (one, two) in found.candidates.iter().zip(&again.candidates) {
            prop_assert!((one.chance - two.chance).abs() < 1e-12);
        }
    }

    /// A question is expected to tell, and never to hide.
    #[test]
    fn a_question_never_costs(states in prop::collection::vec(0_usize..3, 0..4)) {
        let (characters, profiles) = set();
        let key = Key::new(&characters, &profiles).unwrap();
        let given: Vec<(&str, &str)> = FIVE.iter().zip(&states).map(|(id, state)| (*id, ["a", "b", "c"][*state])).collect();
        let found = key.identify(&answers(&given), &Needs::ALL, NAMED_FROM).unwrap();
        for pair in found.next.windows(2) {
            prop_assert!(pair[0].gain >= pair[1].gain - 2.0 * ALIKE && pair[1].gain > 0.0);
        }
    }
}
