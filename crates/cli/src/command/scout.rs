//! `tussock scout`: what counts call for.

mod efficacy;
mod injury;
mod mounds;
mod precision;

use super::pest::{ProfilesArgs, profiles};
use super::plan::{listed, wrapped};
use crate::care::{REMINDER, examples_and_care};
use crate::console::{complain, say};
use crate::outcome::{CommandResult, Failure, Outcome};
use crate::reading::read_text;
use crate::writing::OutFolder;
use clap::Args;
use exchange::geojson_map::parse_property;
use exchange::scouting_json::{HotSpotsJson, Said, Scouted, write_scouting};
use exchange::survey_counts::{counted, counted_at};
use exchange::survey_file::{SurveyFile, outside_in, parse_survey};
use pest::{Meant, Profile};
use problem::{Problem, Problems, Severity};
use property::Property;
use quantity::{Area, AreaUnit};
use scouting::{
    Advice, ClumpingInterval, ClumpingK, CountAt, CountBasis, Counts, DispersionBasis, EXPECTED_CONTROL, IntervalDoubt,
    Judging, LineScatterBasis, Precision, ScoutedGround, SpotEvidence, Stop, Threshold, USUAL_PRECISION, advise,
    general_name, k_of_profile, only_published, way_for,
};
use sheet::{StopLinesPicture, SurfacePicture, stop_lines_svg, surface_svg};
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

/// Tell what counts call for: treat, do not treat, or count on
///
/// The counts of a survey file are held against a threshold in the order in which they were made, between two stop lines.
/// Where their places and the map are given, it tells as well where the pests are likely, the smallest ground to treat,
/// and where counting on would tell most.
///
/// Of live mounds that were counted (`method = "mounds"`) it tells whether to treat them one by one or to broadcast.
///
/// With `--efficacy` it tells instead how well treatments worked, from surveys before and after them, of one property or
/// many: control against ground left untreated, with its interval, what to check where it is poor, and over many treatments
/// whether the pests come to stand a group of action.
///
/// Exit codes: 0 decided, 1 bad input, 2 wrong use of the command, 3 not decided yet: count on.
#[derive(Debug, Args)]
#[command(after_long_help = examples_and_care!(
    "tussock scout demo/alder-bend/survey.toml --threshold \"8 per 1 sq yd\" --source \"rangeland, Parker 1930\"",
    "tussock scout my-survey.toml --pest southern-chinch-bug --map my-map.geojson --out scouted",
    "tussock scout demo/alder-bend/survey.toml demo/alder-bend/after-treatment.toml --efficacy --out scouted",
))]
pub(crate) struct ScoutArgs {
    /// A survey file (TOML); with `--efficacy` those of before and after
    #[arg(value_name = "SURVEY", required = true)]
    surveys: Vec<PathBuf>,
    /// Tell how well treatments worked, and not what the counts call for
    #[arg(long, conflicts_with_all = ["threshold", "cost", "map"])]
    efficacy: bool,
    /// The control that is expected of a treatment, with `--efficacy`
    #[arg(long, value_name = "SHARE", default_value_t = EXPECTED_CONTROL.share())]
    expected: f64,
    /// The threshold, such as `8 per 1 sq yd`, `15 nymphs per 1 sq yd`, `2 per flush`, `5 mounds per 0.25 acre`; without it,
    /// the one of the survey, else the one of the pest's profile
    #[arg(long, value_name = "COUNT per WHAT", requires = "source")]
    threshold: Option<String>,
    /// Where the threshold was published, and for which place
    #[arg(long, value_name = "TEXT", requires = "threshold")]
    source: Option<String>,
    /// What treating costs, such as `9.60 USD per 1000 sq ft`: the threshold is then where treating pays
    #[arg(long, value_name = "MONEY per AREA", requires_all = ["worth", "loss"], conflicts_with = "threshold")]
    cost: Option<String>,
    /// What the ground is worth that pests can spoil, as `--cost`
    #[arg(long, value_name = "MONEY per AREA", requires = "cost")]
    worth: Option<String>,
    /// The share of that worth which each pest takes, such as `0.5 % per 1 sq ft`
    #[arg(long, value_name = "SHARE per AREA", requires = "cost")]
    loss: Option<String>,
    /// The share of the loss that treating prevents
    #[arg(long, value_name = "SHARE", default_value_t = EXPECTED_CONTROL.share(), requires = "cost")]
    prevented: f64,
    /// The profile of the pest, by id or name [default: the pest that the survey names]
    #[arg(long, value_name = "PEST")]
    pest: Option<String>,
    #[command(flatten)]
    profiles: ProfilesArgs,
    /// The map of the property (GeoJSON), for the places of the counts
    #[arg(long, value_name = "FILE")]
    map: Option<PathBuf>,
    /// At which share of the threshold treating is in vain; leaving is wrong as far above it, at the threshold over this share
    #[arg(long, value_name = "SHARE", default_value_t = Judging::default().in_vain_at)]
    in_vain_at: f64,
    /// How often it may be treated at that share
    #[arg(long, value_name = "SHARE", default_value_t = 0.1)]
    treat_in_vain: f64,
    /// How often it may be left as far above the threshold
    #[arg(long, value_name = "SHARE", default_value_t = 0.1)]
    leave_wrongly: f64,
    /// Fewest counts before anything is decided
    #[arg(long, value_name = "NUMBER", default_value_t = 5)]
    least: u32,
    /// Most counts
    #[arg(long, value_name = "NUMBER", default_value_t = 50)]
    most: u32,
    /// k of the negative binomial, where the counts are too few to fit it [default: the profile's, where it is of counts on as
    /// much ground, else one at the clumped end of what is likely]
    #[arg(long, value_name = "K", value_parser = k)]
    k: Option<ClumpingK>,
    /// The share of the mean that its standard error is to be: how many counts that takes is told
    #[arg(long, value_name = "SHARE", default_value_t = USUAL_PRECISION)]
    precision: f64,
    /// An earlier survey of the pest with the same area of a count; may be named several times: with two or more, how the
    /// scatter goes with the mean is taken from all of them (Taylor's law, and Iwao's line beside it)
    #[arg(long, value_name = "SURVEY", conflicts_with = "efficacy")]
    earlier: Vec<PathBuf>,
    /// The share of the infested ground that may stay untreated when hot spots are
    #[arg(long, value_name = "SHARE", default_value_t = 0.1)]
    may_stay: f64,
    /// Write the pictures (SVG) into this folder
    #[arg(long, value_name = "FOLDER")]
    out: Option<PathBuf>,
    /// Print one JSON document on standard output, and nothing else there
    #[arg(long)]
    json: bool,
}

fn k(text: &str) -> Result<ClumpingK, String> {
    text.parse().ok().and_then(ClumpingK::new).ok_or_else(|| "no k; expected a number above nothing".to_owned())
}

impl ScoutArgs {
    /// Whether one JSON document is asked for.
    pub(crate) fn json(&self) -> bool {
        self.json
    }
}

/// Counts at places on a map, with what follows from them.
struct OnMap {
    property: Property,
    counts: Vec<CountAt>,
    scouted: ScoutedGround,
}

/// Carries the command out.
pub(crate) fn run(args: &ScoutArgs) -> CommandResult {
    if args.efficacy {
        return efficacy::run(args);
    }
    let [path] = args.surveys.as_slice() else {
        return Err(Problem::error("scouting::several-surveys", format!("`{}` survey files", args.surveys.len()))
            .expected("one, whose counts are held against a threshold")
            .mend("name one, or add `--efficacy` to tell how well a treatment worked")
            .into());
    };
    let shown = path.display().to_string();
    let (survey, mut warnings) = read_survey(args, path)?;
    let (_, profiles, found) = profiles(&args.profiles)?;
    warnings.extend(found);
    let meant = meant_by(args, &survey, &profiles)?;
    let ways = survey.how_counted().ways().map_err(|problem| problem.in_file(&shown))?;
    let threshold = threshold(args, &survey, &meant, &ways, &mut warnings)?;
    let stage = threshold.held_against_stage(survey.stage.as_deref()).map_err(|problem| problem.in_file(&shown))?;
    warnings.extend(stage.map(|problem| problem.in_file(&shown)));
    let basis = way_for(&ways, threshold.basis());
    let counts = counted(&survey.stations).map_err(|problems| placed(problems, &survey, &shown))?;
    let basis = basis.unwrap_or(CountBasis::Plant);
    let (counts, found) = Counts::new(counts, basis).map_err(|problems| problems.in_file(&shown))?;
    warnings.extend(found);
    if let CountBasis::Mounds(_) = counts.basis() {
        return mounds::run(args, &survey, (&counts, &threshold), warnings);
    }
    warnings.extend(counts.interval_doubt().map(IntervalDoubt::problem));
    let (of_profile, said) = match (args.k, meant.only()) {
        (None, Some(profile)) => k_of_profile(profile, &counts),
        _ => (None, None),
    };
    warnings.extend(said.map(|problem| problem.in_file(&shown)));
    let told_k = args.k.or(of_profile);
    let judging = Judging {
        in_vain_at: args.in_vain_at,
        treat_in_vain: args.treat_in_vain,
        leave_wrongly: args.leave_wrongly,
        least: args.least,
        most: args.most,
        told_k,
    };
    let advice = advise(&counts, &threshold, judging)?;
    warnings.extend(advice.warnings.clone());
    let precision = precision::known(args, (&survey, &counts), told_k, &mut warnings)?;
    let on_map = match &args.map {
        Some(map) => {
            let found = on_map(args, map, &survey, (&counts, &threshold), (&advice, judging))?;
            found.map_err(|found| warnings.extend(found)).ok()
        }
        None => None,
    };
    let written = write_pictures(args, &survey, &counts, &advice, on_map.as_ref())?;
    if args.json {
        let scouted = Scouted {
            pest: &survey.pest,
            counts: &counts,
            density: counts.density(0.95),
            threshold: &threshold,
            said: Said::Lines(&advice),
            precision: Some(precision),
            hot_spots: on_map.as_ref().map(|on| HotSpotsJson::new(&on.scouted, on.property.plane())),
            problems: &warnings,
        };
        complain(&warnings);
        say(&write_scouting(&scouted));
    } else {
        complain(&warnings);
        say(&words(&survey, &counts, &threshold, (&advice, &precision), on_map.as_ref()));
        if let Some(written) = written {
            say(&listed(&written));
        }
        say(&wrapped("\n", REMINDER));
    }
    Ok(if advice.stop.is_end() { Outcome::Done } else { Outcome::Refused })
}

/// The survey; what is wrong with it, and with the places of its counts on the map, is told at once.
fn read_survey(args: &ScoutArgs, path: &Path) -> Result<(SurveyFile, Problems), Failure> {
    let shown = path.display().to_string();
    let text = read_text(path, "a survey file (TOML)")?;
    parse_survey(&shown, &text).map_err(|mut problems| {
        let map = args.map.as_ref().and_then(|map| Some((map, read_text(map, "a map (GeoJSON)").ok()?)));
        let property = map.and_then(|(map, text)| parse_property(&map.display().to_string(), &text).ok());
        problems.extend(property.map(|(property, _)| outside_in(&shown, &text, &property)).unwrap_or_default());
        problems.into()
    })
}

/// What keeps a part of the answer from being told, and not the rest.
fn as_warnings(problems: Problems) -> Problems {
    problems.into_iter().map(|one| Problem { severity: Severity::Warning, ..one }).collect()
}

/// Problems of stations, where they stand in the file.
fn placed(problems: Problems, survey: &SurveyFile, file: &str) -> Problems {
    problems.into_iter().map(|problem| survey.placed(problem).in_file(file)).collect()
}

/// The profile of the pest, or those of the kinds of a general word.
fn meant_by<'p>(args: &ScoutArgs, survey: &SurveyFile, profiles: &'p [Profile]) -> Result<Meant<'p>, Failure> {
    let Some(name) = &args.pest else {
        return Ok(pest::meant_by(profiles, &survey.pest, survey.profile.as_deref()));
    };
    match pest::meant(profiles, name) {
        Meant::Unknown => Ok(Meant::One(super::pest::meant(profiles, name)?)),
        meant => Ok(meant),
    }
}

/// The threshold that is stated, the injury level of money values, the one that was chosen when it was counted, or the only
/// one of the profile on ground.
fn threshold(
    args: &ScoutArgs,
    survey: &SurveyFile,
    meant: &Meant<'_>,
    ways: &[CountBasis],
    warnings: &mut Problems,
) -> Result<Threshold, Failure> {
    if let Some(of_injury) = injury::threshold(args) {
        return Ok(of_injury?);
    }
    if let (Some(text), Some(source)) = (&args.threshold, &args.source) {
        return Ok(stated(text, source)?.for_counts_on(ways));
    }
    if let Some(chosen) = &survey.threshold {
        let within = |problems: Problems| problems.in_file(&survey_path(args));
        return Ok(chosen.threshold(survey.how_counted()).map_err(within)?);
    }
    if *meant == Meant::Unknown {
        return Err(Problem::error("scouting::no-threshold", format!("there is no profile of `{}`", survey.pest))
            .expected("a threshold with its source, or the profile of the pest")
            .mend("name `--threshold` and `--source`, or `--pest`; `tussock pest list` lists the profiles")
            .into());
    }
    let of_kinds = matches!(meant, Meant::Kinds(kinds) if kinds.len() > 1);
    let named = |problem: Problem| {
        problem.mend(if of_kinds {
            "name the kind with `--pest`, or the threshold with `--threshold` and `--source`"
        } else {
            "name it with `--threshold` and `--source`"
        })
    };
    if let Meant::Kinds(kinds) = meant {
        let named = args.pest.as_ref().unwrap_or(&survey.pest);
        warnings.push(general_name(named, kinds).mend("name the kind with `--pest`"));
    }
    let found = only_published(&meant.profiles(), ways, survey.stage.as_deref());
    Ok(found.map_err(|found| found.into_iter().map(named).collect::<Problems>())?)
}

/// A threshold as the command line states it: a number, `mounds` or the life stage where there is one, `per`, and on what.
fn stated(text: &str, source: &str) -> Result<Threshold, Problems> {
    let wrong = || {
        Problem::error("scouting::threshold", format!("`{text}` is no threshold"))
            .expected(
                "a number, `per` and on what, such as `8 per 1 sq yd`, `15 nymphs per 1 sq yd`, `2 per flush`, `5 mounds per \
                 0.25 acre`",
            )
            .at("--threshold")
    };
    let (of, per) = text.split_once(" per ").ok_or_else(wrong)?;
    let (count, of) = of.trim().split_once(' ').unwrap_or((of.trim(), ""));
    let count = count.parse().map_err(|_| wrong())?;
    let basis = CountBasis::parse(per).map_err(|_| wrong())?;
    let threshold = Threshold::new(count, basis, source)?.written_per(per);
    match (of.trim(), basis) {
        ("mounds" | "mound", CountBasis::Area(_)) => Ok(threshold.of_mounds()),
        ("mounds" | "mound", _) => Err(wrong().into()),
        (stage, _) => Ok(threshold.for_stage(Some(stage.to_owned()))),
    }
}

fn area_of(text: &str) -> Option<Area> {
    match CountBasis::parse(text) {
        Ok(CountBasis::Area(area)) => Some(area),
        _ => None,
    }
}

fn survey_path(args: &ScoutArgs) -> String {
    args.surveys.first().map(|path| path.display().to_string()).unwrap_or_default()
}

/// The counts on the map; the inner error tells why there is no surface, which is no reason to stop.
fn on_map(
    args: &ScoutArgs,
    map: &Path,
    survey: &SurveyFile,
    (counts, threshold): (&Counts, &Threshold),
    (advice, judging): (&Advice, Judging),
) -> Result<Result<OnMap, Problems>, Failure> {
    let file = map.display().to_string();
    let (property, _) = parse_property(&file, &read_text(map, "a map (GeoJSON)")?)?;
    let places = counted_at(&survey.stations, &property);
    let places = places.map_err(|problems| placed(problems, survey, &survey_path(args)))?;
    let found = ScoutedGround::of(property.lawn(), &places, (counts, threshold), (advice, judging), args.may_stay);
    Ok(found.map(|scouted| OnMap { property, counts: places, scouted }).map_err(as_warnings))
}

fn write_pictures(
    args: &ScoutArgs,
    survey: &SurveyFile,
    counts: &Counts,
    advice: &Advice,
    on_map: Option<&OnMap>,
) -> Result<Option<OutFolder>, Failure> {
    let Some(folder) = &args.out else { return Ok(None) };
    let mut out = OutFolder::new(folder);
    let of = format!("{}, {} a count", survey.pest, survey.one_count());
    let picture = StopLinesPicture { plan: &advice.plan, counts: counts.counts(), of: &of, colour: true, width: 720 };
    out.write("stop-lines.svg", "the walk of the counts between the stop lines", stop_lines_svg(&picture).as_bytes())?;
    if let Some(on) = on_map {
        let picture = SurfacePicture {
            turf: on.property.lawn(),
            spots: &on.scouted.spots,
            counts: &on.counts,
            next: &on.scouted.next,
            of: &survey.pest,
            colour: true,
            width: 720,
        };
        out.write("surface.svg", "where the pests are likely, and what to treat", surface_svg(&picture).as_bytes())?;
    }
    Ok(Some(out))
}

fn words(
    survey: &SurveyFile,
    counts: &Counts,
    threshold: &Threshold,
    (advice, precision): (&Advice, &Precision),
    on_map: Option<&OnMap>,
) -> String {
    let mut out = String::new();
    let verdict = match advice.stop {
        Stop::Treat => "TREAT: the counts reach the upper line".to_owned(),
        Stop::DoNotTreat => "DO NOT TREAT: the counts fall to the lower line".to_owned(),
        Stop::CountOn => {
            let more = advice.more.unwrap_or(1);
            format!("COUNT ON: not decided yet; about {more} more counts on average")
        }
        Stop::MostReachedTreat => {
            "TREAT: the most counts are made, between the lines, and their mean is at the threshold or above".to_owned()
        }
        Stop::MostReachedDoNotTreat => {
            "DO NOT TREAT: the most counts are made, between the lines, and their mean is below the threshold"
                .to_owned()
        }
    };
    let _ = writeln!(out, "{} on {}: {verdict}", survey.pest, survey.date.date());
    let mut line = |text: String| out.push_str(&wrapped("  ", &text));
    line(format!(
        "{} counts of {} each, {} found in all{}",
        counts.stations(),
        survey.one_count(),
        counts.total(),
        if advice.stop.is_end() { format!("; decided at count {}", advice.at) } else { String::new() }
    ));
    // Counts that are held against a threshold can be told on what it is told on.
    if let Some((mean, interval)) = threshold.mean_of(counts, 0.95) {
        let interval = interval.map_or_else(String::new, |interval| {
            format!(", between {:.2} and {:.2} with 95 % confidence", interval.low, interval.high)
        });
        line(format!("{mean:.2} {}{interval}", threshold.per_words()));
    }
    line(format!("threshold: {} {} ({})", threshold.count(), threshold.per_words(), threshold.source()));
    let scatter = match advice.dispersion.basis {
        DispersionBasis::Fitted => "fitted to these counts",
        DispersionBasis::NotClumped => "the counts are not clumped",
        DispersionBasis::Told => "as told, since the counts are too few to fit it",
        DispersionBasis::Default => {
            "taken for want of better, since the counts are too few to fit it and nobody tells it"
        }
    };
    let interval = counts.k_interval(0.95).map_or_else(String::new, |interval| k_interval_words(&interval));
    match advice.dispersion.dispersion {
        scouting::Dispersion::Poisson => line(format!("scatter: {scatter}{interval}")),
        scouting::Dispersion::NegativeBinomial(k) => {
            line(format!("scatter: k = {:.2}, {scatter}{interval}", k.value()));
        }
    }
    let by = match advice.line_scatter.basis {
        LineScatterBasis::Told => "as told, since the counts are too few to fit it",
        LineScatterBasis::Believed => {
            "the clumped end of what is likely, since the counts are too few to fit it and nobody tells it"
        }
        LineScatterBasis::Counted => "the clumped end of what these counts make likely",
    };
    line(format!("stop lines: those of k = {:.2}, {by}", advice.line_scatter.k.value()));
    let [lower, at, upper] = &advice.characteristic;
    line(format!(
        "with that k they treat in vain in {:.0} % of cases at {:.2} of the threshold ({:.2} a count), and leave wrongly in \
         {:.0} % at {:.2} times the threshold ({:.2}); near the threshold itself either answer is right",
        lower.treats * 100.0,
        lower.mean / at.mean,
        lower.mean,
        (1.0 - upper.treats) * 100.0,
        upper.mean / at.mean,
        upper.mean,
    ));
    line(format!(
        "{:.0} counts on average at the one, {:.0} at the other and {:.0} between them, at the threshold{}",
        lower.stations,
        upper.stations,
        at.stations,
        advice.fixed_stations.map_or_else(String::new, |fixed| format!(", where a fixed number would be {fixed}")),
    ));
    line(precision::words(precision, counts));
    if let Some(on) = on_map {
        let feet = |area: Area| area.show(AreaUnit::SquareFoot);
        out.push_str("\nWhere\n");
        let ScoutedGround { spots, evidence, next } = &on.scouted;
        let share = spots.ground.area().ratio(spots.turf) * 100.0;
        let mut line = |text: String| out.push_str(&wrapped("  ", &text));
        line(format!(
            "{} of {} of turf would be treated ({share:.0} %): {} are expected to be at the threshold or above, {} of them stay \
             untreated",
            feet(spots.ground.area()),
            feet(spots.turf),
            feet(spots.infested),
            feet(spots.stays)
        ));
        if !spots.is_met {
            line("what may stay is passed all the same: the rest lies on ground where it is unlikely".to_owned());
        }
        if let Some(evidence) = evidence.filter(|_| advice.stop.treats() != Some(true)) {
            line(spots_alone(&evidence));
        }
        for (number, place) in (1..).zip(next) {
            let position = on.property.plane().to_position(*place);
            line(format!("count next at {number}: {:.6}, {:.6}", position.latitude(), position.longitude()));
        }
    }
    out
}

fn k_interval_words(interval: &ClumpingInterval) -> String {
    let ClumpingInterval { low, high, is_wide } = interval;
    let ends = match high {
        Some(high) => format!("between {:.2} and {:.2}", low.value(), high.value()),
        None => format!("{:.2} or more", low.value()),
    };
    let wide = if *is_wide { ", which is wider than need be of so few counts or pests" } else { "" };
    format!("; k {ends} with 95 % confidence{wide}")
}

/// Whether a lawn that is not to be treated as a whole may be treated in spots.
fn spots_alone(evidence: &SpotEvidence) -> String {
    let SpotEvidence { counts, of, mean, infested, .. } = evidence;
    let found = format!(
        "{counts} of {of} counts lie in it and come to {mean:.2} on average; {:.0} % of it is expected to be at the threshold",
        infested * 100.0
    );
    if evidence.is_shown() {
        format!("spots alone may be treated, though the lawn as a whole is not: {found}")
    } else {
        format!("spots are not shown either: {found}. Treat none before more is counted there")
    }
}
