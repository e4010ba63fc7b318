//! `tussock pest`: what is known of pests and of what is taken for them.

use super::plan::wrapped;
use super::stages::{figures_words, step_figures};
use crate::care::examples_and_care;
use crate::console::{complain, say};
use crate::outcome::{CommandResult, Failure, Outcome};
use crate::reading::read_text;
use clap::{Args, Subcommand};
use exchange::pest_file::{parse_characters, parse_profile, shipped_characters, shipped_profiles};
use exchange::pest_json::{PestProfileJson, PestsJson};
use exchange::problems_json::write_problems;
use pest::{Characters, Cited, Clumping, DegreeDayModel, Observed, Profile, Threshold, ThresholdCount, ThresholdOf};
use problem::{Problem, Problems};
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

/// Look up pests and what is taken for them; check profiles of one's own
#[derive(Debug, Args)]
#[command(after_long_help = examples_and_care!("tussock pest list", "tussock pest show two-striped-grasshopper"))]
pub(crate) struct PestArgs {
    #[command(subcommand)]
    what: What,
}

#[derive(Debug, Subcommand)]
enum What {
    /// List the profiles
    #[command(after_long_help = examples_and_care!("tussock pest list", "tussock pest list --json"))]
    List {
        #[command(flatten)]
        profiles: ProfilesArgs,
        /// Print one JSON document on standard output, and nothing else there
        #[arg(long)]
        json: bool,
    },
    /// Tell what is known of one, each fact with its source
    #[command(after_long_help = examples_and_care!(
        "tussock pest show two-striped-grasshopper",
        "tussock pest show \"southern chinch bug\" --json",
    ))]
    Show {
        /// Its id, or its common name
        name: String,
        #[command(flatten)]
        profiles: ProfilesArgs,
        /// Print one JSON document on standard output, and nothing else there
        #[arg(long)]
        json: bool,
    },
    /// Say what is wrong in profiles; a fact without a source is
    #[command(after_long_help = examples_and_care!("tussock pest check my-pests/leafhopper.toml"))]
    Check {
        /// Profiles (TOML)
        #[arg(required = true)]
        files: Vec<PathBuf>,
        /// The characters that they answer (TOML) [default: those of the program]
        #[arg(long, value_name = "FILE")]
        characters: Option<PathBuf>,
        /// Print one JSON document on standard output, and nothing else there
        #[arg(long)]
        json: bool,
    },
}

/// The profiles that a command works with.
#[derive(Debug, Args)]
pub(crate) struct ProfilesArgs {
    /// A profile of one's own (TOML), beside those of the program; one of the same id takes its place
    #[arg(long = "profile", value_name = "FILE")]
    files: Vec<PathBuf>,
}

impl PestArgs {
    /// Whether a failure is told as a document; the problems of a check are its answer.
    pub(crate) fn json(&self) -> bool {
        matches!(&self.what, What::List { json: true, .. } | What::Show { json: true, .. })
    }
}

/// The characters and the profiles of the program, and those that are named; with what should be looked at.
///
/// # Errors
/// Everything wrong with the files named.
pub(crate) fn profiles(args: &ProfilesArgs) -> Result<(Characters, Vec<Profile>, Problems), Failure> {
    let characters = shipped_characters()?;
    let mut profiles = shipped_profiles(&characters)?;
    let (mut warnings, mut wrong) = (Problems::new(), Problems::new());
    for file in &args.files {
        match read_profile(file, &characters) {
            Ok((profile, found)) => {
                warnings.extend(found);
                profiles.retain(|known| known.id != profile.id);
                profiles.push(profile);
            }
            Err(found) => wrong.extend(found),
        }
    }
    if wrong.has_errors() { Err(wrong.into()) } else { Ok((characters, profiles, warnings)) }
}

fn read_profile(file: &Path, characters: &Characters) -> Result<(Profile, Problems), Problems> {
    let text = read_text(file, "a pest profile (TOML)")?;
    parse_profile(&file.display().to_string(), &text, characters)
}

/// Carries the command out.
pub(crate) fn run(args: &PestArgs) -> CommandResult {
    match &args.what {
        What::List { profiles: files, json } => {
            let (_, profiles, warnings) = profiles(files)?;
            complain(&warnings);
            say(&if *json { PestsJson::new(&profiles).text() } else { list_words(&profiles) });
            Ok(Outcome::Done)
        }
        What::Show { name, profiles: files, json } => {
            let (_, profiles, warnings) = profiles(files)?;
            complain(&warnings);
            let profile = meant(&profiles, name)?;
            say(&if *json { PestProfileJson::new(profile).text() } else { words(profile) });
            Ok(Outcome::Done)
        }
        What::Check { files, characters, json } => check(files, characters.as_deref(), *json),
    }
}

pub(crate) fn meant<'p>(profiles: &'p [Profile], name: &str) -> Result<&'p Profile, Problem> {
    let is_it = |profile: &&Profile| {
        profile.id.eq_ignore_ascii_case(name)
            || profile.common_name.eq_ignore_ascii_case(name)
            || profile.scientific_name.as_ref().is_some_and(|scientific| scientific.eq_ignore_ascii_case(name))
    };
    profiles.iter().find(is_it).ok_or_else(|| {
        let word = name.to_lowercase();
        let alike: Vec<&str> = profiles
            .iter()
            .filter(|profile| word.split_whitespace().any(|word| profile.common_name.to_lowercase().contains(word)))
            .map(|profile| profile.id.as_str())
            .collect();
        let expected = if alike.is_empty() {
            "one of those that `tussock pest list` lists".to_owned()
        } else {
            format!("one of {}, or another that `tussock pest list` lists", alike.join(", "))
        };
        Problem::error("pest::unknown", format!("there is no profile `{name}`")).expected(expected)
    })
}

fn check(files: &[PathBuf], characters: Option<&Path>, json: bool) -> CommandResult {
    let characters = match characters {
        None => shipped_characters()?,
        Some(file) => {
            let text = read_text(file, "the characters of a key (TOML)")?;
            parse_characters(&file.display().to_string(), &text)?
        }
    };
    let mut all = Problems::new();
    for file in files {
        match read_profile(file, &characters) {
            Ok((profile, warnings)) => {
                if !json && warnings.is_empty() {
                    say(&format!("{}: nothing is wrong with {}\n", file.display(), profile.common_name));
                }
                all.extend(warnings);
            }
            Err(found) => all.extend(found),
        }
    }
    if json {
        say(&write_problems(&all));
    } else {
        complain(&all);
    }
    Ok(if all.has_errors() { Outcome::BadInput } else { Outcome::Done })
}

fn list_words(profiles: &[Profile]) -> String {
    let mut out = String::new();
    let mut sorted: Vec<&Profile> = profiles.iter().collect();
    sorted.sort_by(|one, other| (&one.group, &one.common_name).cmp(&(&other.group, &other.common_name)));
    for group in sorted.chunk_by(|one, other| one.group == other.group) {
        let Some(first) = group.first() else { continue };
        let gap = if out.is_empty() { "" } else { "\n" };
        let _ = writeln!(out, "{gap}{}", first.group);
        for profile in group {
            let scientific = profile.scientific_name.as_deref().unwrap_or("no organism, or several");
            let _ = writeln!(out, "  {:<28} {} ({scientific})", profile.id, profile.common_name);
        }
    }
    out
}

fn words(profile: &Profile) -> String {
    let mut out = String::new();
    let _ = writeln!(out, "{}", profile.common_name);
    let code = profile.eppo_code.as_ref().map(|code| format!("EPPO {} [{}]", code.what, code.source));
    let names = [profile.scientific_name.clone(), code];
    let names: Vec<String> = names.into_iter().flatten().collect();
    let _ = writeln!(
        out,
        "  {}; {}",
        profile.group,
        if names.is_empty() { "no organism".to_owned() } else { names.join("; ") }
    );
    out.push_str(&wrapped("  ", &profile.summary));
    let mut part = |title: &str, lines: Vec<String>| {
        if lines.is_empty() {
            return;
        }
        let _ = writeln!(out, "\n{title}");
        for line in lines {
            out.push_str(&wrapped("  - ", &line));
        }
    };
    let fact = |facts: &[Cited<String>]| facts.iter().map(|one| format!("{} [{}]", one.what, one.source)).collect();
    part(
        "When",
        profile
            .stages
            .iter()
            .map(|one| {
                let stage = &one.what;
                let reached =
                    if stage.is_susceptible { "commonly reached by treatment" } else { "not commonly reached" };
                let note = stage.note.as_ref().map_or_else(String::new, |note| format!("; {note}"));
                format!("{}: {} ({}); {reached}{note} [{}]", stage.name, stage.seen, stage.place, one.source)
            })
            .collect(),
    );
    part("Signs", fact(&profile.signs));
    part(
        "How to count",
        profile
            .samplings
            .iter()
            .map(|one| {
                let unit = one.what.unit_words.as_ref().map_or_else(String::new, |unit| format!(", {unit} a count"));
                format!("{}{unit}: {} [{}]", one.what.method, one.what.text, one.source)
            })
            .collect(),
    );
    part("From how many on", profile.thresholds.iter().map(threshold_words).collect());
    part("How clumped", profile.dispersion.iter().map(clumping_words).collect());
    part("Stages by heat", profile.development.iter().flat_map(development_words).collect());
    part("Enemies worth keeping", fact(&profile.enemies));
    part("Without products", fact(&profile.culture));
    part("What does not work, or does harm", fact(&profile.never));
    part(
        "Mistaken for",
        profile
            .look_alikes
            .iter()
            .map(|one| format!("{}: {} [{}]", one.what.profile, one.what.how, one.source))
            .collect(),
    );
    part(
        "Sources",
        profile
            .sources
            .iter()
            .map(|source| {
                let read = if source.seen { "" } else { " (not read for this profile)" };
                format!("[{}] {}{read}", source.id, source.cite)
            })
            .collect(),
    );
    out.push('\n');
    out.push_str(&wrapped("", LOCAL));
    out
}

fn development_words(model: &DegreeDayModel) -> Vec<String> {
    let steps = (0..model.steps.len()).map(|step| step_figures(model, step));
    std::iter::once(format!("{} at the start; {}", model.first, figures_words(model))).chain(steps).collect()
}

fn clumping_words(one: &Cited<Clumping>) -> String {
    let Clumping { k, unit_words, place, host, note, .. } = &one.what;
    let note = note.as_ref().map_or_else(String::new, |note| format!("; {note}"));
    format!("k of the negative binomial {k}, of counts on {unit_words} ({place}, {host}){note} [{}]", one.source)
}

fn threshold_words(one: &Cited<Threshold>) -> String {
    let threshold = &one.what;
    let count = match threshold.count {
        ThresholdCount::One(count) => format!("{count}"),
        ThresholdCount::Between(low, high) => format!("{low} to {high}"),
    };
    let per = match &threshold.per {
        Observed::Ground(_, words) => words.trim_start_matches("1 ").to_owned(),
        Observed::Each(words) => words.clone(),
    };
    let stage = threshold.stage.as_ref().map_or_else(String::new, |stage| format!(" of {stage}"));
    let of = match threshold.of {
        ThresholdOf::Animals => "",
        ThresholdOf::Mounds => " mounds",
    };
    let note = threshold.note.as_ref().map_or_else(String::new, |note| format!("; {note}"));
    format!("{count}{of} per {per}{stage}: {}, {}{note} [{}]", threshold.place, threshold.host, one.source)
}

const LOCAL: &str = "Times and thresholds hold where their source found them, and may not hold here: ask the extension office of the place.";
