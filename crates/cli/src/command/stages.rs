//! `tussock stages`: which stages of a pest are there on which day, by heat.

mod words;

pub(super) use words::{figures_words, step_figures};

use super::pest::{ProfilesArgs, meant, profiles};
use super::weather_series::{SeriesArgs, read_series};
use crate::argument::percent;
use crate::care::examples_and_care;
use crate::console::{complain, say};
use crate::outcome::{CommandResult, Failure, Outcome};
use crate::reading::read_text;
use crate::writing::OutFolder;
use clap::{Args, ValueEnum};
use exchange::development_file::parse_development;
use exchange::label_file::parse_label;
use exchange::sighting_file::{parse_sighting, parse_sightings};
use exchange::stages_json::StagesJson;
use exchange::station_series::WeatherSeries;
use jiff::civil::Date;
use pest::{DegreeDayModel, HeatMethod, Profile, Source};
use phenology::{
    HeatBy, Prior, Readings, StageQuestion, StageSighting, commonly_reached, no_development, stage_course,
};
use problem::{Problem, Problems};
use sheet::{StagePicture, stages_svg};
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

/// Tell which stages of a pest are there by the heat so far, and when those that a treatment reaches are the most
///
/// From a station's daily or hourly weather: degree-days so far, the share in each stage by day, the window in which the
/// susceptible stages are the most, and, over the station's own past years (five or more), the dates ahead as ranges. Own
/// sightings correct it. Writes stages.json and a picture (SVG).
///
/// Degree-days of a profile come from a publication for some place, and may not hold here: they say when to look, and
/// counts on the spot decide. Of a profile that has none, or for another publication, `--development` names a file.
///
/// Exit codes: 0 done, 1 bad input, 2 wrong use of the command.
#[derive(Debug, Args)]
#[command(after_long_help = examples_and_care!(
    "tussock stages annual-bluegrass-weevil --weather station.csv",
    "tussock stages black-cutworm --weather USC00000001.dly --biofix 2026-04-18 --stage larva",
    "tussock stages \"annual bluegrass weevil\" --weather log.csv --columns \"Day=date,Hi=highest_f,Lo=lowest_f\" --dates mdy",
    "tussock stages annual-bluegrass-weevil --weather station.csv --sighting \"2026-05-12: small larva 14, large larva 2\"",
    "tussock stages --development grasshopper.toml --weather station.csv --json",
))]
pub(crate) struct StagesArgs {
    /// The pest: the id or a name of its profile
    #[arg(required_unless_present = "development")]
    pest: Option<String>,
    /// The weather, by the hour or the day, in a form of docs/weather.md
    #[arg(long, value_name = "FILE")]
    weather: PathBuf,
    /// The station's past years, where they stand in a file of their own
    #[arg(long, value_name = "FILE")]
    past: Option<PathBuf>,
    /// Its stages by heat (TOML), in place of those of the profile
    #[arg(long, value_name = "FILE")]
    development: Option<PathBuf>,
    #[command(flatten)]
    profiles: ProfilesArgs,
    /// The day from which heat is counted, where it is counted from something seen, or in place of the model's day
    #[arg(long, value_name = "DATE")]
    biofix: Option<Date>,
    /// The year [default: that of the biofix, or of the last day of the weather]
    #[arg(long, value_name = "YEAR")]
    year: Option<i16>,
    /// The last day [default: the last one of the weather]
    #[arg(long, value_name = "DATE")]
    through: Option<Date>,
    /// How the heat of a day is counted [default: as where the figures were found; where that is not told, by hours, or by
    /// a single sine where there are days only]
    #[arg(long, value_enum)]
    method: Option<MethodWord>,
    /// A stage that the treatment reaches; may stand several times [default: what the profile calls susceptible]
    #[arg(long, value_name = "STAGE")]
    stage: Vec<String>,
    /// A label file (TOML): the stages that it claims
    #[arg(long, value_name = "FILE", conflicts_with = "stage")]
    label: Option<PathBuf>,
    /// What was found on a day, such as `2026-05-12: egg 3, nymph 12`; may stand several times
    #[arg(long, value_name = "DAY: STAGE COUNT, ...", help_heading = "Own sightings")]
    sighting: Vec<String>,
    /// The same as a table (CSV) with the columns date, stage, count
    #[arg(long, value_name = "FILE", help_heading = "Own sightings")]
    sightings: Option<PathBuf>,
    /// By how much heat may count more or less here than where the figures were found, two years in three; an assumption
    #[arg(long, value_name = "PERCENT", default_value = "10", value_parser = percent, help_heading = "Own sightings")]
    scale_spread: f64,
    /// By how many times counts vary more than if each individual were found by itself, since those of one clutch are of
    /// one age; an assumption
    #[arg(long, value_name = "TIMES", default_value_t = 2.0, help_heading = "Own sightings")]
    clumping: f64,
    #[command(flatten)]
    series: SeriesArgs,
    /// The folder to write to [default: out/stages/ and the pest; with --json nothing is written]
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// Print one JSON document on standard output, and nothing else there
    #[arg(long)]
    json: bool,
    /// Draw in black and white only
    #[arg(long)]
    black_and_white: bool,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum MethodWord {
    /// The mean of the extremes
    Average,
    /// The mean of the extremes, each held to the thresholds first
    AverageOfClipped,
    /// A sine from the lowest to the highest and back
    SingleSine,
    /// A half sine up, another down to the next day's lowest
    DoubleSine,
    /// Straight from the lowest to the highest and back
    SingleTriangle,
    /// Straight up, and down to the next day's lowest
    DoubleTriangle,
    /// Each hour at its own temperature
    Hourly,
}

impl MethodWord {
    fn by(self) -> HeatBy {
        HeatBy::from(match self {
            Self::Average => HeatMethod::Average,
            Self::AverageOfClipped => HeatMethod::AverageOfClipped,
            Self::SingleSine => HeatMethod::SingleSine,
            Self::DoubleSine => HeatMethod::DoubleSine,
            Self::SingleTriangle => HeatMethod::SingleTriangle,
            Self::DoubleTriangle => HeatMethod::DoubleTriangle,
            Self::Hourly => HeatMethod::Hourly,
        })
    }
}

impl StagesArgs {
    /// Whether one JSON document is asked for.
    pub(crate) fn json(&self) -> bool {
        self.json
    }
}

/// Of what the stages are told, and by which figures.
struct Subject {
    name: String,
    profile: Option<Profile>,
    model: DegreeDayModel,
    sources: Vec<Source>,
}

/// Carries the command out.
pub(crate) fn run(args: &StagesArgs) -> CommandResult {
    let (mut warnings, mut wrong) = (Problems::new(), Problems::new());
    let subject = subject(args, &mut warnings).map_err(|Failure(found)| wrong.extend(found)).ok();
    let map = args.series.map().map_err(|found| wrong.extend(found)).ok();
    let mut series = |file: &Path| -> Option<WeatherSeries> {
        let read = read_series(file, map.clone()?, args.year, None);
        let (series, found) = read.map_err(|found| wrong.extend(found)).ok()?;
        warnings.extend(found);
        Some(series)
    };
    let weather = series(&args.weather);
    let past = args.past.as_deref().map(&mut series);
    let sightings = sightings(args, &mut wrong);
    let prior = Prior::new(args.scale_spread, args.clumping).map_err(|found| wrong.extend(found)).ok();
    let reached = subject.as_ref().and_then(|subject| reached(args, subject, &mut warnings, &mut wrong));
    let (Some(subject), Some(weather), Some(prior), Some(reached), false) =
        (subject, weather, prior, reached, wrong.has_errors())
    else {
        complain(&warnings);
        return Err(wrong.into());
    };
    let question = StageQuestion {
        model: &subject.model,
        readings: match &weather.hours {
            Some(hours) => Readings::Hours(hours, &weather.days),
            None => Readings::Days(&weather.days),
        },
        past: past.as_ref().and_then(|past| past.as_ref().map(|past| &past.days)),
        biofix: args.biofix,
        year: args.year,
        through: args.through,
        by: args.method.map(MethodWord::by),
        susceptible: &reached,
        sightings: &sightings,
        prior,
    };
    let found = stage_course(&question);
    let (course, found) = found.inspect_err(|_| complain(&warnings))?;
    warnings.extend(found);
    complain(&warnings);
    let text = StagesJson::new(&subject.name, (&subject.model, &subject.sources), &course, &warnings).text();
    let out = args.out.clone().or_else(|| (!args.json).then(|| Path::new("out/stages").join(file_safe(&subject.name))));
    let mut written = String::new();
    if let Some(folder) = out {
        let mut folder = OutFolder::new(folder);
        folder.write("stages.json", "the stages as data", text.as_bytes())?;
        let picture = StagePicture {
            pest: &subject.name,
            course: &course,
            unit: subject.model.scale.degree_days(),
            colour: !args.black_and_white,
            width: 960,
        };
        folder.write("stages.svg", "shares by day, drawn", stages_svg(&picture).as_bytes())?;
        for (path, what) in folder.written() {
            let _ = writeln!(written, "  {} ({what})", path.display());
        }
    }
    if args.json {
        say(&text);
    } else {
        say(&words::told(&subject.name, (&subject.model, &subject.sources), &course));
        say(&format!("Written:\n{written}"));
    }
    Ok(Outcome::Done)
}

fn file_safe(name: &str) -> String {
    name.to_lowercase().chars().map(|c| if c.is_alphanumeric() { c } else { '-' }).collect()
}

/// The pest, and its figures: those of the file named, else of its profile.
fn subject(args: &StagesArgs, warnings: &mut Problems) -> Result<Subject, Failure> {
    let mut wrong = Problems::new();
    let read = args.development.as_ref().map(|file| {
        let text = read_text(file, "stages by heat (TOML)")?;
        parse_development(&file.display().to_string(), &text)
    });
    let file = match read {
        None => None,
        Some(Ok((file, found))) => {
            warnings.extend(found);
            Some(file)
        }
        Some(Err(found)) => {
            wrong.extend(found);
            None
        }
    };
    let profile = match (&args.pest, profiles(&args.profiles)) {
        (_, Err(Failure(found))) => {
            wrong.extend(found);
            None
        }
        (None, Ok(_)) => None,
        (Some(name), Ok((_, known, found))) => {
            warnings.extend(found);
            match meant(&known, name) {
                Ok(profile) => Some(profile.clone()),
                // A pest of which there is a file need not have a profile.
                Err(_) if args.development.is_some() => None,
                Err(problem) => {
                    wrong.push(problem);
                    None
                }
            }
        }
    };
    if wrong.has_errors() {
        return Err(wrong.into());
    }
    if let Some(file) = file {
        let name = profile.as_ref().map(|profile| profile.common_name.clone()).or_else(|| args.pest.clone());
        return Ok(Subject { name: name.unwrap_or(file.name), profile, model: file.model, sources: file.sources });
    }
    let Some(profile) = profile else { return Err(no_development("pest").into()) };
    let Some(model) = profile.development.clone() else {
        return Err(no_development(&profile.common_name).into());
    };
    let (name, sources) = (profile.common_name.clone(), profile.sources.clone());
    Ok(Subject { name, profile: Some(profile), model, sources })
}

fn sightings(args: &StagesArgs, wrong: &mut Problems) -> Vec<StageSighting> {
    let mut sightings = Vec::new();
    for line in &args.sighting {
        match parse_sighting(line) {
            Ok(sighting) => sightings.push(sighting),
            Err(found) => wrong.extend(found.into_iter().map(|problem| problem.at(format!("--sighting \"{line}\"")))),
        }
    }
    if let Some(file) = &args.sightings {
        let read = read_text(file, "sightings (CSV)").map_err(Problems::from);
        match read.and_then(|text| parse_sightings(&file.display().to_string(), &text)) {
            Ok(found) => sightings.extend(found),
            Err(found) => wrong.extend(found),
        }
    }
    sightings
}

/// The words for the stages that the treatment reaches: as named, as a label claims, or what is commonly reached.
fn reached(args: &StagesArgs, subject: &Subject, warnings: &mut Problems, wrong: &mut Problems) -> Option<Vec<String>> {
    if !args.stage.is_empty() {
        return Some(args.stage.clone());
    }
    let commonly = || {
        let stages = subject.profile.as_ref().map_or(&[][..], |profile| &profile.stages);
        commonly_reached(&subject.model, stages).into_iter().map(str::to_owned).collect::<Vec<_>>()
    };
    let Some(file) = &args.label else {
        let words = commonly();
        if words.is_empty() {
            warnings.push(
                Problem::warning("stages::no-susceptible", "nothing tells which stages a treatment reaches")
                    .expected("`susceptible` in the figures, a profile that says so, a label, or `--stage`")
                    .mend("name them with --stage to have the window told"),
            );
        }
        return Some(words);
    };
    let shown = file.display().to_string();
    let read = read_text(file, "a label file (TOML)").map_err(Problems::from);
    let (label, found) = match read.and_then(|text| parse_label(&shown, &text)) {
        Ok(read) => read,
        Err(found) => {
            wrong.extend(found);
            return None;
        }
    };
    warnings.extend(found);
    let Some(claimed) = label.stages_claimed(&subject.name) else {
        wrong.push(
            Problem::error("stages::not-claimed", format!("the label claims nothing against the {}", subject.name))
                .expected("a use row that names the pest, or the general word of its kind")
                .mend("name another label, or the stages with --stage")
                .in_file(shown),
        );
        return None;
    };
    if claimed.is_empty() {
        return Some(commonly());
    }
    let (known, other): (Vec<&str>, Vec<&str>) =
        claimed.into_iter().partition(|stage| !subject.model.stages_meant(stage).is_empty());
    let all: Vec<&str> = subject.model.stages().collect();
    if known.is_empty() {
        wrong.push(
            Problem::error(
                "stages::not-claimed",
                format!("the label claims {}, of which there is no stage", other.join(", ")),
            )
            .expected(format!("one of {}", all.join(", ")))
            .mend("name the stages with --stage")
            .in_file(shown),
        );
        return None;
    }
    if !other.is_empty() {
        warnings.push(
            Problem::warning("stages::claim-left-out", format!("the label also claims {}", other.join(", ")))
                .expected(format!("one of {}", all.join(", ")))
                .in_file(shown),
        );
    }
    Some(known.into_iter().map(str::to_owned).collect())
}
