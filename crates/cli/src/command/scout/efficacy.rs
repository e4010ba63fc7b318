//! `tussock scout --efficacy`: how well treatments worked, from surveys before and after them.

use super::ScoutArgs;
use crate::care::REMINDER;
use crate::command::plan::{listed, wrapped};
use crate::console::{complain, say};
use crate::outcome::{CommandResult, Failure, Outcome};
use crate::reading::read_text;
use crate::writing::OutFolder;
use exchange::efficacy_json::{CountTold, EfficacyTold, TreatmentTold, resistance_doubt, write_efficacy};
use exchange::pest_file::known_name;
use exchange::survey_counts::counted_day;
use exchange::survey_file::{SurveyFile, parse_survey};
use pest::is_same_pest;
use problem::{Problem, Problems, Severity};
use quantity::counted;
use scouting::{
    Control, ControlAgainst, CountedDay, EfficacyEstimate, EfficacyFinding, FollowUp, Followed, IntervalBasis,
    PoorCause, Resistance, ResistanceSign, TreatmentDay, counted_twice, follow_up, resistance_of,
};
use sheet::{EfficacyPicture, EfficacyPoint, efficacy_svg};
use std::fmt::Write as _;

/// From this k on counts scatter hardly more than by chance.
const NOT_CLUMPED_FROM: f64 = 50.0;

/// A survey with the file that it stands in.
struct Told {
    file: String,
    survey: SurveyFile,
}

/// Surveys with the treatments that they name.
struct Trials {
    treatments: Vec<TreatmentTold>,
    counted: Vec<CountTold>,
}

/// Carries the command out.
pub(super) fn run(args: &ScoutArgs) -> CommandResult {
    let expected = Control::new(args.expected).filter(|expected| expected.share() > 0.0).ok_or_else(|| {
        Problem::error("scouting::expected", format!("`{}` as the control that is expected", args.expected))
            .expected("above 0, up to 1, such as 0.8")
            .at("--expected")
    })?;
    let (files, mut warnings) = read(args)?;
    let trials = trials(&files, &mut warnings)?;
    let (days, counted) = (trials.days(), trials.counted());
    let told = follow_up(&days, &counted);
    let mut failed = Problems::new();
    let mut is_any_told = false;
    for count in told.iter().flat_map(|one| &one.counts) {
        let file = &files[count.after].file;
        warnings.extend(count.names.clone().in_file(file));
        match &count.control {
            Ok(estimate) => {
                is_any_told = true;
                warnings.extend(estimate.doubt.map(|doubt| doubt.problem().in_file(file)));
            }
            Err(problems) => failed.extend(problems.clone().in_file(file)),
        }
    }
    if !is_any_told {
        warnings.extend(failed);
        return Err(warnings.into());
    }
    // One treatment that cannot be judged does not keep the others from it.
    warnings.extend(failed.into_iter().map(|one| Problem { severity: Severity::Warning, ..one }));
    let signs = resistance_of(&days, &told, expected);
    warnings.extend(signs.iter().filter_map(resistance_doubt));
    let all = Reckoned { trials: &trials, told: &told, signs: &signs, expected };
    let written = write_picture(args, &all)?;
    complain(&warnings);
    if args.json {
        let Trials { treatments, counted } = &trials;
        let problems = &warnings;
        say(&write_efficacy(&EfficacyTold {
            treatments,
            counted,
            told: &told,
            resistance: &signs,
            expected,
            problems,
        }));
    } else {
        say(&words(&all));
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
    problems.unless_errors(read).map_err(Failure::from)
}

impl Trials {
    fn days(&self) -> Vec<TreatmentDay> {
        self.treatments.iter().map(|one| one.treatment.clone()).collect()
    }

    fn counted(&self) -> Vec<CountedDay> {
        self.counted.iter().map(|one| one.counted.clone()).collect()
    }
}

/// The counts of the surveys, and each treatment that they name once.
fn trials(files: &[Told], warnings: &mut Problems) -> Result<Trials, Problems> {
    let mut problems = Problems::new();
    let mut counted = Vec::new();
    let mut treatments: Vec<TreatmentTold> = Vec::new();
    for Told { file, survey } in files {
        // Names are one whether in capitals or not.
        let property = survey.property.to_lowercase();
        let follows = survey.treated.as_ref().map(|treated| treated.on);
        let of = (property.as_str(), survey.pest.as_str());
        match counted_day(of, survey.date, survey.how_counted(), &survey.stations, follows) {
            Ok(day) => counted.push(CountTold { counted: day, survey: None }),
            Err(found) => problems.extend(super::placed(found, survey, file)),
        }
        let Some(treated) = &survey.treated else { continue };
        let treatment = TreatmentDay {
            property,
            pest: known_name(&survey.pest),
            day: treated.on.date(),
            group: treated.group.clone(),
        };
        let is_it = |one: &&mut TreatmentTold| {
            let other = &one.treatment;
            (&other.property, other.day) == (&treatment.property, treatment.day)
                && is_same_pest(&other.pest, &treatment.pest)
        };
        match treatments.iter_mut().find(is_it) {
            Some(known) if known.treatment.group != treatment.group => {
                warnings.push(groups_differ(&known.treatment, &treatment).in_file(file));
                known.treatment.group = None;
            }
            Some(_) => {}
            None => treatments.push(TreatmentTold {
                treatment,
                property: survey.property.clone(),
                property_thing: None,
                products: Vec::new(),
                record: None,
            }),
        }
    }
    if problems.has_errors() {
        return Err(problems);
    }
    let days: Vec<CountedDay> = counted.iter().map(|one| one.counted.clone()).collect();
    for (first, second) in counted_twice(&days) {
        let (one, other) = (&files[second].file, &files[first].file);
        problems.push(
            Problem::error("scouting::survey-twice", format!("`{one}` tells the same day as `{other}`"))
                .expected("one survey of a pest on a property and day")
                .mend("leave one of the files out")
                .in_file(one),
        );
    }
    if treatments.is_empty() && !problems.has_errors() {
        problems.push(
            Problem::error("scouting::no-treatment", "no survey tells that it follows a treatment")
                .expected("one survey or more with `[treated]` and its day")
                .mend("add `[treated]` and `on = …` to the survey that was made after the treatment"),
        );
    }
    problems.unless_errors(Trials { treatments, counted }).map(|(trials, _)| trials)
}

fn groups_differ(one: &TreatmentDay, other: &TreatmentDay) -> Problem {
    let told = |day: &TreatmentDay| day.group.as_ref().map_or_else(|| "none".to_owned(), |group| format!("`{group}`"));
    Problem::warning(
        "scouting::groups-differ",
        format!("the treatment of {} is told with group {} and with {}", one.day, told(one), told(other)),
    )
    .expected("one group of one treatment; without it nothing is told of resistance")
    .mend("correct `group` in one of the surveys")
}

/// What was reckoned, with what it was reckoned from.
struct Reckoned<'r> {
    trials: &'r Trials,
    told: &'r [FollowUp],
    signs: &'r [(String, Resistance)],
    expected: Control,
}

/// A treatment, the count after it, and what it comes to.
struct Line<'r> {
    treatment: &'r TreatmentTold,
    counted: &'r CountedDay,
    estimate: &'r EfficacyEstimate,
    followed: &'r Followed,
}

impl<'r> Reckoned<'r> {
    /// What each count after a treatment tells, by pest and day.
    fn lines(&self) -> Vec<Line<'r>> {
        let Trials { treatments, counted } = self.trials;
        let of = |one: &'r FollowUp| {
            one.counts.iter().filter_map(move |count| {
                let counted = &counted[count.after].counted;
                let estimate = count.control.as_ref().ok()?;
                Some(Line { treatment: &treatments[one.treatment], counted, estimate, followed: count })
            })
        };
        let mut lines: Vec<Line<'r>> = self.told.iter().flat_map(of).collect();
        lines.sort_by(|one, other| {
            let key = |line: &Line<'r>| (line.counted.pest.clone(), line.counted.day, line.treatment.property.clone());
            key(one).cmp(&key(other))
        });
        lines
    }
}

fn write_picture(args: &ScoutArgs, all: &Reckoned<'_>) -> Result<Option<OutFolder>, Failure> {
    let Some(folder) = &args.out else { return Ok(None) };
    let mut out = OutFolder::new(folder);
    let lines = all.lines();
    let mut points: Vec<EfficacyPoint> = lines
        .iter()
        .map(|one| EfficacyPoint { day: one.counted.day, label: label(one), estimate: *one.estimate })
        .collect();
    points.sort_by_key(|point| point.day);
    let mut pests: Vec<&str> = lines.iter().map(|one| one.counted.pest.as_str()).collect();
    pests.dedup();
    let of = pests.join(", ");
    let picture = EfficacyPicture { points: &points, expected: all.expected, of: &of, colour: true, width: 720 };
    out.write("efficacy.svg", "control over time, with the intervals", efficacy_svg(&picture).as_bytes())?;
    Ok(Some(out))
}

fn label(line: &Line<'_>) -> String {
    let TreatmentTold { treatment, property, .. } = line.treatment;
    let group = treatment.group.as_ref().map_or_else(String::new, |group| format!(", group {group}"));
    format!("{}, {property}, treated {}{group}", treatment.pest, treatment.day)
}

fn words(all: &Reckoned<'_>) -> String {
    let mut out = String::new();
    let expected = all.expected;
    for one in all.lines() {
        let estimate = one.estimate;
        let verdict = match (estimate.finding, estimate.against(expected)) {
            (EfficacyFinding::Increased, _) => "MORE PESTS than on the check",
            (EfficacyFinding::NotShown, _) => "NOT SHOWN to have done anything",
            (_, ControlAgainst::Below) => "BELOW what is expected",
            (_, ControlAgainst::PerhapsBelow) => "perhaps below what is expected",
            (EfficacyFinding::NoneLeft, _) => "none left where it was counted",
            (EfficacyFinding::Reduced, ControlAgainst::Reached) if estimate.interval.0 >= expected => "as expected",
            (EfficacyFinding::Reduced, ControlAgainst::Reached) => {
                "as expected; that it reached what is expected is likely, and not sure"
            }
        };
        let _ = writeln!(out, "{}, counted {}: {verdict}", label(&one), one.counted.day);
        let mut line = |text: String| out.push_str(&wrapped("  ", &text));
        line(format!(
            "control {:.0} %, between {:.0} and {:.0} % with 95 % confidence, by {}; expected {:.0} %",
            estimate.control.percent(),
            estimate.interval.0.percent(),
            estimate.interval.1.percent(),
            estimate.formula.words(),
            expected.percent(),
        ));
        line(format!("by that formula, since {}", estimate.formula.because()));
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
        for next in one.followed.count_next(expected) {
            out.push_str(&wrapped("  ", &format!("count next time: {}", next.words())));
        }
    }
    for (pest, one) in all.signs {
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
                "survival grows {:.2} times from one day of treatment to the next (between {:.2} and {:.2}); by the line control was \
                 {:.0} % at the first and is {:.0} % at the last (between {:.0} and {:.0} %), expected {:.0} %",
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
