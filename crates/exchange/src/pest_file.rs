//! Profiles of pests and the characters by which the key tells them apart, as TOML files. The fields are told in
//! `docs/pest-profile.md`. The files in `pests/` come with the program: [`shipped_characters`], [`SHIPPED`].

pub(crate) mod development;
mod shipped;

pub use shipped::{CHARACTERS, SHIPPED};

use crate::business_file::{all, text, whole};
use crate::quantity_field as quantity_of;
use crate::toml_source::{Field, Source, Table};
use pest::{
    Character, CharacterState, Characters, Cited, Clumping, Fact, LifeStage, LookAlike, Months, Needs, Observed,
    PestKind, Profile, Sampling, Share, StatesSeen, Threshold, ThresholdCount, ThresholdOf,
};
use problem::{Problem, Problems};
use scouting::CountBasis;

/// The first line of a profile.
pub const FORMAT: &str = "tussock.pest-profile/1";

/// The first line of the file of characters.
pub const CHARACTERS_FORMAT: &str = "tussock.pest-characters/1";

/// Reads a file of characters. `file` only serves messages.
///
/// # Errors
/// Everything wrong with the file, each with its line, column and field.
pub fn parse_characters(file: &str, text: &str) -> Result<Characters, Problems> {
    let source = Source::parse(file, text)?;
    let characters = read_characters(&source);
    let (characters, _) = match characters {
        Some(characters) => source.into_problems().unless_errors(characters)?,
        None => return Err(source.into_problems()),
    };
    Characters::new(characters).map_err(|problems| problems.in_file(file))
}

/// Reads a profile and holds it against the characters. `file` only serves messages.
///
/// # Errors
/// Everything wrong with the file; a fact without a source among it.
pub fn parse_profile(file: &str, text: &str, characters: &Characters) -> Result<(Profile, Problems), Problems> {
    let source = Source::parse(file, text)?;
    let Some(profile) = read_profile(&source) else { return Err(source.into_problems()) };
    for problem in profile.check(characters) {
        source.report(source.placed(problem));
    }
    source.into_problems().unless_errors(profile)
}

/// The characters that come with the program.
///
/// # Errors
/// None: a test reads them.
pub fn shipped_characters() -> Result<Characters, Problems> {
    parse_characters("pests/characters.toml", CHARACTERS)
}

/// The profiles that come with the program.
///
/// # Errors
/// None: a test reads them.
pub fn shipped_profiles(characters: &Characters) -> Result<Vec<Profile>, Problems> {
    let mut profiles = Vec::new();
    let mut problems = Problems::new();
    for (file, text) in SHIPPED {
        match parse_profile(file, text, characters) {
            Ok((profile, _)) => profiles.push(profile),
            Err(found) => problems.extend(found),
        }
    }
    problems.unless_errors(profiles).map(|(profiles, _)| profiles)
}

/// The profile of this id, common or scientific name that comes with the program; no other one is read for it.
///
/// # Errors
/// None: a test reads them.
pub fn shipped_profile(name: &str) -> Result<Option<Profile>, Problems> {
    let key = pest::name_key(name);
    let is_it = |(file, text): &&(&str, &str)| names_of(file, text).any(|own| pest::name_key(own) == key);
    let Some((file, text)) = SHIPPED.iter().find(is_it) else { return Ok(None) };
    parse_profile(file, text, &shipped_characters()?).map(|(profile, _)| Some(profile))
}

/// The profiles that a name means which come with the program: the one of that name, else those of the kinds of a general
/// word; none of a name that is not known.
///
/// # Errors
/// None: a test reads them.
pub fn shipped_meant(name: &str) -> Result<Vec<Profile>, Problems> {
    if let Some(profile) = shipped_profile(name)? {
        return Ok(vec![profile]);
    }
    let characters = shipped_characters()?;
    let is_kind =
        |(_, text): &&(&str, &str)| line_of(text, "common_name").is_some_and(|own| pest::is_kind_of(own, name));
    let read = |(file, text): &(&str, &str)| parse_profile(file, text, &characters).map(|(profile, _)| profile);
    SHIPPED.iter().filter(is_kind).map(read).collect()
}

/// By what a pest is called here: the common name of the profile that has this id, common or scientific name, else the name
/// as it stands, in small letters.
pub fn known_name(name: &str) -> String {
    let key = pest::name_key(name);
    let is_it = |(file, text): &&(&str, &str)| names_of(file, text).any(|own| pest::name_key(own) == key);
    let common = SHIPPED.iter().find(is_it).and_then(|(_, text)| line_of(text, "common_name"));
    common.unwrap_or_else(|| name.trim()).to_lowercase()
}

fn line_of<'t>(text: &'t str, key: &str) -> Option<&'t str> {
    let quoted = text.lines().find_map(|line| line.strip_prefix(key)?.strip_prefix(" = "))?;
    Some(quoted.trim().trim_matches('"'))
}

/// The id, the common and the scientific name of a profile's file.
fn names_of<'t>(file: &'t str, text: &'t str) -> impl Iterator<Item = &'t str> {
    let id = file.strip_prefix("pests/").and_then(|file| file.strip_suffix(".toml"));
    [id, line_of(text, "common_name"), line_of(text, "scientific_name")].into_iter().flatten()
}

/// Every field that the readers asked for in this text, without the numbers of list entries. For comparing with what
/// is told about the files.
pub fn fields_asked(text: &str) -> Vec<String> {
    Source::parse("", text).map_or_else(
        |_| Vec::new(),
        |source| {
            read_profile(&source);
            source.asked().into_iter().collect()
        },
    )
}

fn required(table: &Table<'_>, key: &'static str, meaning: &str) -> Option<String> {
    table.required_as(key, meaning)?.text().map(str::to_owned)
}

fn read_characters(source: &Source<'_>) -> Option<Vec<Character>> {
    let root = source.root();
    if !crate::format_line::check(&root, CHARACTERS_FORMAT) {
        return None;
    }
    let characters = all(root.tables("character"), |table| {
        let id = required(&table, "id", "the word by which profiles name the character");
        let question = required(&table, "question", "what a person is asked");
        let hint = self::text(&table, "hint");
        let needs = table
            .required_as("needs", "what one must have to answer")
            .and_then(|field| field.word(&Needs::ALL, Needs::word));
        let error_rate = table.required_as("error_rate", "how often it is answered wrong").and_then(|field| {
            let share = Share::new(field.number()?);
            if share.is_none() {
                field.report(
                    Problem::error("pest::error-rate", "the rate of error is not between 0 and 1")
                        .expected("a share such as 0.05: no answer is certain"),
                );
            }
            share
        });
        let states = all(table.tables("state"), |state| {
            let id = required(&state, "id", "the word by which profiles name the state");
            let words = required(&state, "words", "what a person reads");
            state.finish();
            Some(CharacterState { id: id?, words: words? })
        });
        table.finish();
        Some(Character {
            id: id?,
            question: question?,
            hint: hint.ok()?,
            needs: needs?,
            error_rate: error_rate?,
            states: states?,
        })
    });
    root.finish();
    characters
}

fn read_profile(source: &Source<'_>) -> Option<Profile> {
    let root = source.root();
    if !crate::format_line::check(&root, FORMAT) {
        return None;
    }
    let id = required(&root, "id", "the word by which other profiles name it");
    let kind = root.required_as("kind", "what it is").and_then(|field| field.word(&PestKind::ALL, PestKind::word));
    let common_name = required(&root, "common_name", "its common name");
    let scientific_name = text(&root, "scientific_name");
    let eppo_code = text(&root, "eppo_code");
    let eppo_source = text(&root, "eppo_source");
    let group = required(&root, "group", "of which group it is, such as `grasshoppers and crickets`");
    let summary = required(&root, "summary", "what it is, in a sentence or two");
    let sources = read_sources(&root);
    let characters = cited(&root, "character", |table| {
        let character = required(table, "id", "the character");
        let states = table
            .required_as("states", "the states that occur")
            .and_then(|field| field.each(|state| state.text().map(str::to_owned)));
        Some(StatesSeen { character: character?, states: states? })
    });
    let stages = cited(&root, "stage", read_stage);
    let signs = facts(&root, "sign");
    let samplings = cited(&root, "sampling", read_sampling);
    let thresholds = cited(&root, "threshold", read_threshold);
    let dispersion = whole(root.table("dispersion"), |table| {
        let k = table.required_as("k", "k of the negative binomial").and_then(|field| field.number());
        let unit = table.required_as("unit_area", "the ground of one count, such as `1 sq ft`: k goes with it");
        let unit_area = unit.and_then(|field| Some((quantity_of::area(&field)?, field.text()?.to_owned())));
        let place = required(&table, "place", "where it was found");
        let host = required(&table, "host", "on which plants or ground: k is another on other ground");
        let note = text(&table, "note");
        let source = source_of(&table);
        table.finish();
        let (unit_area, unit_words) = unit_area?;
        let what = Clumping { k: k?, unit_area, unit_words, place: place?, host: host?, note: note.ok()? };
        Some(Cited { what, source: source? })
    });
    let development = whole(root.table("development"), development::read);
    let enemies = facts(&root, "enemy");
    let culture = facts(&root, "culture");
    let never = facts(&root, "never");
    let look_alikes = cited(&root, "look_alike", |table| {
        let profile = required(table, "id", "the other profile");
        let how = required(table, "how", "how to tell them apart");
        Some(LookAlike { profile: profile?, how: how? })
    });
    root.finish();
    Some(Profile {
        id: id?,
        kind: kind?,
        common_name: common_name?,
        scientific_name: scientific_name.ok()?,
        eppo_code: eppo_code.ok()?.map(|what| Cited { what, source: eppo_source.ok().flatten().unwrap_or_default() }),
        group: group?,
        summary: summary?,
        sources: sources?,
        characters: characters?,
        stages: stages?,
        signs: signs?,
        samplings: samplings?,
        thresholds: thresholds?,
        dispersion: dispersion.ok()?,
        development: development.ok()?,
        enemies: enemies?,
        culture: culture?,
        never: never?,
        look_alikes: look_alikes?,
    })
}

/// The publications that a file names.
pub(crate) fn read_sources(root: &Table<'_>) -> Option<Vec<pest::Source>> {
    all(root.tables("source"), |table| {
        let id = required(&table, "id", "the word by which facts name it");
        let cite = required(&table, "cite", "author or institution, title, year");
        let seen = table.required_as("seen", "whether it was read for this file").and_then(|field| field.flag());
        table.finish();
        Some(pest::Source { id: id?, cite: cite?, seen: seen? })
    })
}

/// The source that an entry names. One without is read all the same, so that the check of the profile says what is
/// missing along with everything else.
fn source_of(table: &Table<'_>) -> Option<String> {
    text(table, "source").ok().map(Option::unwrap_or_default)
}

fn cited<T>(
    root: &Table<'_>,
    key: &'static str,
    mut read: impl FnMut(&Table<'_>) -> Option<T>,
) -> Option<Vec<Cited<T>>> {
    all(root.tables(key), |table| {
        let what = read(&table);
        let source = source_of(&table);
        table.finish();
        Some(Cited { what: what?, source: source? })
    })
}

fn facts(root: &Table<'_>, key: &'static str) -> Option<Vec<Fact>> {
    cited(root, key, |table| required(table, "text", "the fact, in a sentence"))
}

fn read_stage(table: &Table<'_>) -> Option<LifeStage> {
    let name = required(table, "name", "egg, nymph, larva, pupa or adult");
    let seen = required(table, "seen", "when, in words");
    let months = table.required_as("months", "the numbers of the months").and_then(|field| {
        let numbers = field.each(|month| month.whole().map(i64::from))?;
        let months = Months::new(numbers);
        if months.is_none() {
            field.report(
                Problem::error("pest::month", "a month is not one of the twelve").expected("numbers from 1 to 12"),
            );
        }
        months
    });
    let place = required(table, "place", "where that holds");
    let is_susceptible =
        table.required_as("susceptible", "whether treatment commonly reaches it").and_then(|field| field.flag());
    let note = text(table, "note");
    Some(LifeStage {
        name: name?,
        seen: seen?,
        months: months?,
        place: place?,
        is_susceptible: is_susceptible?,
        note: note.ok()?,
    })
}

fn read_sampling(table: &Table<'_>) -> Option<Sampling> {
    let method = required(table, "method", "frame, ring, can, sod-cut, flush, trap and so on");
    let unit_words = text(table, "unit_area");
    let unit_area = whole(table.optional("unit_area"), |field| quantity_of::area(&field));
    let text = required(table, "text", "how");
    Some(Sampling { method: method?, unit_area: unit_area.ok()?, unit_words: unit_words.ok()?, text: text? })
}

fn read_threshold(table: &Table<'_>) -> Option<Threshold> {
    let number = |key| whole(table.optional(key), |field: Field<'_>| field.number());
    let (count, low, high) = (number("count"), number("low"), number("high"));
    let meaning = "on what: an area such as `1 sq yd`, or `flush`, `trap`, `trap night`, `100 ft of drag`, `plant`";
    let per = table.required_as("per", meaning).and_then(|field| {
        let words = field.text()?;
        match CountBasis::parse(words) {
            Ok(CountBasis::Area(area)) => Some(Observed::Ground(area, words.to_owned())),
            Ok(_) => Some(Observed::Each(words.to_owned())),
            Err(problem) => {
                field.report(problem);
                None
            }
        }
    });
    let of = table
        .optional("of")
        .map_or(Some(ThresholdOf::Animals), |field| field.word(&ThresholdOf::ALL, ThresholdOf::word));
    let stage = text(table, "stage");
    let place = required(table, "place", "where it was found to hold");
    let host = required(table, "host", "on which plants");
    let note = text(table, "note");
    let count = match (count.ok()?, low.ok()?, high.ok()?) {
        (Some(count), None, None) => Some(ThresholdCount::One(count)),
        (None, Some(low), Some(high)) => Some(ThresholdCount::Between(low, high)),
        _ => {
            table.report(
                Problem::error("pest::threshold", "the threshold has not one figure or a range of two")
                    .expected("`count`, or `low` and `high`")
                    .at(table.path()),
            );
            None
        }
    };
    Some(Threshold {
        count: count?,
        per: per?,
        of: of?,
        stage: stage.ok()?,
        place: place?,
        host: host?,
        note: note.ok()?,
    })
}
