//! `tussock scout --efficacy`: how well treatments worked, from surveys before and after them.

use super::ScoutArgs;
use crate::care::REMINDER;
use crate::command::plan::{listed, wrapped};
use crate::console::{complain, say};
use crate::outcome::{CommandResult, Failure, Outcome};
use crate::reading::read_text;
use crate::writing::OutFolder;
use exchange::efficacy_json::{TreatmentTold, write_efficacy};
use exchange::kept::{Station, SurveyTreatment};
use exchange::survey_file::{SurveyFile, parse_survey};
use problem::{Problem, Problems, Severity};
use quantity::counted;
use scouting::{
    Control, ControlAgainst, CountBasis, Counts, EfficacyFinding, EfficacyTrial, GroundCounts, IntervalBasis,
    PoorCause, Resistance, ResistanceSign, TreatmentResult, resistance,
};
use sheet::{EfficacyPicture, EfficacyPoint, efficacy_svg};
use std::fmt::Write as _;

/// Of several counts after one treatment resistance is told by the one nearest to this many days after it. Common practice,
/// no source.
const JUDGED_AFTER_DAYS: i32 = 7;

/// From this k on counts scatter hardly more than by chance.
const NOT_CLUMPED_FROM: f64 = 50.0;

/// A survey with the file that it stands in.
struct Told {
    file: String,
    survey: SurveyFile,
}

/// A survey after a treatment, with that treatment.
struct After<'t> {
    told: &'t Told,
    treatment: &'t SurveyTreatment,
}

/// Carries the command out.
pub(super) fn run(args: &ScoutArgs) -> CommandResult {
    let expected = Control::new(args.expected).filter(|expected| expected.share() > 0.0).ok_or_else(|| {
        Problem::error("scouting::expected", format!("`{}` as the control that is expected", args.expected))
            .expected("above 0, up to 1, such as 0.8")
            .at("--expected")
    })?;
    let (told, mut warnings) = read(args)?;
    let afters: Vec<After<'_>> =
        told.iter().filter_map(|told| Some(After { told, treatment: told.survey.treated.as_ref()? })).collect();
    if afters.is_empty() {
        return Err(Problem::error("scouting::no-treatment", "no survey tells that it follows a treatment")
            .expected("one survey or more with `[treated]` and its day")
            .mend("add `[treated]` and `on = …` to the survey that was made after the treatment")
            .into());
    }
    let mut treatments = Vec::new();
    let mut failed = Problems::new();
    for after in &afters {
        match trial(after, &told).and_then(|trial| trial.control()) {
            Ok(estimate) => {
                warnings.extend(estimate.doubt.map(|doubt| doubt.problem().in_file(&after.told.file)));
                treatments.push(TreatmentTold {
                    property: after.told.survey.property.clone(),
                    pest: after.told.survey.pest.clone(),
                    treated: after.treatment.on,
                    counted: after.told.survey.date,
                    group: after.treatment.group.clone(),
                    estimate,
                });
            }
            Err(problems) => failed.extend(problems.in_file(&after.told.file)),
        }
    }
    if treatments.is_empty() {
        warnings.extend(failed);
        return Err(warnings.into());
    }
    // One treatment that cannot be judged does not keep the others from it.
    warnings.extend(failed.into_iter().map(|one| Problem { severity: Severity::Warning, ..one }));
    treatments.sort_by(|one, other| {
        (&one.pest, one.counted, &one.property).cmp(&(&other.pest, other.counted, &other.property))
    });
    let signs = signs(&treatments, expected);
    let written = write_picture(args, &treatments, expected)?;
    complain(&warnings);
    if args.json {
        say(&write_efficacy(&treatments, &signs, expected, &warnings));
    } else {
        say(&words(&treatments, &signs, expected));
        if let Some(written) = written {
            say(&listed(&written));
        }
        say(&wrapped("\n", REMINDER));
    }
    Ok(Outcome::Done)
}

/// Every survey; what is wrong with any of them is told at once.
fn read(args: &ScoutArgs) -> Result<(Vec<Told>, Problems), Failure> {
    let (mut read, mut problems) = (Vec::new(), Problems::new());
    for path in &args.surveys {
        let file = path.display().to_string();
        match parse_survey(&file, &read_text(path, "a survey file (TOML)")?) {
            Ok((survey, found)) => {
                problems.extend(found);
                read.push(Told { file, survey });
            }
            Err(found) => problems.extend(found),
        }
    }
    for (index, one) in read.iter().enumerate() {
        let is_same = |other: &&Told| of_one_kind(&one.survey, &other.survey) && one.survey.date == other.survey.date;
        if let Some(other) = read[..index].iter().find(is_same) {
            problems.push(
                Problem::error(
                    "scouting::survey-twice",
                    format!("`{}` tells the same day as `{}`", one.file, other.file),
                )
                .expected("one survey of a pest on a property and day")
                .mend("leave one of the files out")
                .in_file(&one.file),
            );
        }
    }
    problems.unless_errors(read).map_err(Failure::from)
}

/// Whether two surveys are of one pest on one property, counted on one area.
fn of_one_kind(one: &SurveyFile, other: &SurveyFile) -> bool {
    one.property.to_lowercase() == other.property.to_lowercase()
        && one.pest == other.pest
        && (one.count_area.value().ratio(other.count_area.value()) - 1.0).abs() < 1e-9
}

/// The counts after a treatment with those of the last survey before it.
fn trial(after: &After<'_>, told: &[Told]) -> Result<EfficacyTrial, Problems> {
    let (survey, treated) = (&after.told.survey, after.treatment.on);
    let is_before =
        |other: &SurveyFile| other.date <= treated && other.treated.as_ref().is_none_or(|earlier| earlier.on < treated);
    let before = told
        .iter()
        .map(|told| &told.survey)
        .filter(|other| of_one_kind(survey, other) && is_before(other))
        .max_by_key(|other| other.date);
    let mut problems = Problems::new();
    let mut ground = |is_check: bool| {
        let of = |survey: &SurveyFile| -> Vec<Station> {
            survey.stations.iter().filter(|station| station.is_check == is_check).cloned().collect()
        };
        let basis = CountBasis::Area(survey.count_area.value());
        let mut counts = |values: Vec<u64>| -> Option<Counts> {
            let values: Option<Vec<u32>> = values.into_iter().map(|value| u32::try_from(value).ok()).collect();
            match values.map(|values| Counts::new(values, basis)) {
                Some(Ok((counts, _))) => Some(counts),
                Some(Err(_)) => None,
                None => {
                    problems.push(super::too_many());
                    None
                }
            }
        };
        let after = of(survey);
        let dead: Option<Vec<u64>> = after.iter().map(|station| station.dead).collect();
        GroundCounts {
            before: before.and_then(|before| counts(of(before).iter().map(|station| station.count).collect())),
            after: counts(after.iter().map(|station| station.count).collect()),
            dead: dead.and_then(&mut counts),
        }
    };
    let trial = EfficacyTrial { treated: ground(false), check: ground(true) };
    problems.unless_errors(trial).map(|(trial, _)| trial)
}

/// What the treatments say of resistance, pest by pest and group by group.
fn signs(treatments: &[TreatmentTold], expected: Control) -> Vec<(String, Resistance)> {
    let days_after = |one: &TreatmentTold| (one.counted.date() - one.treated.date()).get_days();
    let mut judged: Vec<&TreatmentTold> = Vec::new();
    for one in treatments.iter().filter(|one| one.group.is_some()) {
        let is_same = |other: &&mut &TreatmentTold| {
            (&other.property, &other.pest, other.treated) == (&one.property, &one.pest, one.treated)
        };
        match judged.iter_mut().find(is_same) {
            Some(other) => {
                let off = |one: &TreatmentTold| (days_after(one) - JUDGED_AFTER_DAYS).abs();
                if off(one) < off(other) {
                    *other = one;
                }
            }
            None => judged.push(one),
        }
    }
    let mut pests: Vec<&str> = judged.iter().map(|one| one.pest.as_str()).collect();
    pests.sort_unstable();
    pests.dedup();
    let of_pest = |pest: &str| {
        let results: Vec<TreatmentResult> = judged
            .iter()
            .filter(|one| one.pest == pest)
            .filter_map(|one| {
                Some(TreatmentResult {
                    day: one.treated.date(),
                    property: one.property.clone(),
                    group: one.group.clone()?,
                    estimate: one.estimate,
                })
            })
            .collect();
        let found = resistance(&results, expected);
        found.into_iter().map(|one| (pest.to_owned(), one)).collect::<Vec<_>>()
    };
    pests.into_iter().flat_map(of_pest).collect()
}

fn write_picture(
    args: &ScoutArgs,
    treatments: &[TreatmentTold],
    expected: Control,
) -> Result<Option<OutFolder>, Failure> {
    let Some(folder) = &args.out else { return Ok(None) };
    let mut out = OutFolder::new(folder);
    let mut points: Vec<EfficacyPoint> = treatments
        .iter()
        .map(|one| EfficacyPoint { day: one.counted.date(), label: label(one), estimate: one.estimate })
        .collect();
    points.sort_by_key(|point| point.day);
    let mut pests: Vec<&str> = treatments.iter().map(|one| one.pest.as_str()).collect();
    pests.dedup();
    let of = pests.join(", ");
    let picture = EfficacyPicture { points: &points, expected, of: &of, colour: true, width: 720 };
    out.write("efficacy.svg", "control over time, with the intervals", efficacy_svg(&picture).as_bytes())?;
    Ok(Some(out))
}

fn label(one: &TreatmentTold) -> String {
    let group = one.group.as_ref().map_or_else(String::new, |group| format!(", group {group}"));
    format!("{}, {}, treated {}{group}", one.pest, one.property, one.treated.date())
}

fn words(treatments: &[TreatmentTold], signs: &[(String, Resistance)], expected: Control) -> String {
    let mut out = String::new();
    for one in treatments {
        let estimate = &one.estimate;
        let verdict = match (estimate.finding, estimate.against(expected)) {
            (EfficacyFinding::Increased, _) => "MORE PESTS than on the check",
            (EfficacyFinding::NotShown, _) => "NOT SHOWN to have done anything",
            (_, ControlAgainst::Below) => "BELOW what is expected",
            (_, ControlAgainst::PerhapsBelow) => "perhaps below what is expected",
            (EfficacyFinding::NoneLeft, _) => "none left where it was counted",
            (EfficacyFinding::Reduced, ControlAgainst::Reached) => "as expected",
        };
        let _ = writeln!(out, "{}, counted {}: {verdict}", label(one), one.counted.date());
        let mut line = |text: String| out.push_str(&wrapped("  ", &text));
        line(format!(
            "control {:.0} %, between {:.0} and {:.0} % with 95 % confidence, by {}; expected {:.0} %",
            estimate.control.percent(),
            estimate.interval.0.percent(),
            estimate.interval.1.percent(),
            estimate.formula.words(),
            expected.percent(),
        ));
        let basis = match estimate.basis {
            IntervalBasis::Delta { freedom } => {
                format!("interval from the variance of the counts, {freedom} degrees of freedom")
            }
            IntervalBasis::ByLot { draws, seed } => {
                format!("interval by lot, since the counts are few ({draws} draws, seed {seed})")
            }
        };
        let k = estimate.scatter.k.map_or_else(String::new, |k| {
            if k.value() < NOT_CLUMPED_FROM {
                format!("; negative binomial, one k of {:.2} for all counts", k.value())
            } else {
                "; the counts are hardly clumped".to_owned()
            }
        });
        let over = estimate
            .scatter
            .overdispersion
            .map_or_else(String::new, |over| format!("; dead shares vary {over:.1} times as by chance"));
        line(format!("{basis}{k}{over}"));
        if estimate.against(expected) != ControlAgainst::Reached {
            line("check, in this order (common practice, no source):".to_owned());
            for (number, cause) in (1..).zip(PoorCause::IN_ORDER) {
                out.push_str(&wrapped(&format!("    {number} "), cause.words()));
            }
        }
    }
    for (pest, one) in signs {
        out.push('\n');
        out.push_str(&wrapped("", &sign_words(pest, one, expected)));
    }
    out
}

fn sign_words(pest: &str, one: &Resistance, expected: Control) -> String {
    let of = format!(
        "Resistance of {pest} to group {}, {} on {}, {}:",
        one.group,
        counted(one.treatments, "treatment", "treatments"),
        counted(one.days, "day", "days"),
        counted(one.properties, "property", "properties"),
    );
    let says = match (one.sign, &one.trend) {
        (ResistanceSign::TooFew, _) | (_, None) => {
            format!("nothing is told of fewer than {0} treatments on {0} days", scouting::TREATMENTS_FOR_RESISTANCE)
        }
        (sign, Some(trend)) => {
            let growth = format!(
                "survival grows {:.2} times from day to day (between {:.2} and {:.2}); by the line control was {:.0} % at the \
                 first and is {:.0} % at the last (between {:.0} and {:.0} %), expected {:.0} %",
                trend.growth,
                trend.growth_interval.0,
                trend.growth_interval.1,
                trend.first.percent(),
                trend.last.percent(),
                trend.last_interval.0.percent(),
                trend.last_interval.1.percent(),
                expected.percent(),
            );
            match sign {
                ResistanceSign::Signal => format!(
                    "A SIGN: {growth}. Rule out stage, coverage, water, rain and rate first; then change the group and ask the \
                     extension service for a test"
                ),
                ResistanceSign::Falling => format!("control falls, and may still be enough: {growth}"),
                _ => format!("no sign: {growth}"),
            }
        }
    };
    format!("{of} {says}")
}
