//! How many counts a mean takes to be known, by these counts and by earlier surveys.

use super::{ScoutArgs, as_warnings, placed};
use crate::outcome::Failure;
use crate::reading::read_text;
use exchange::pest_file::known_name;
use exchange::survey_counts::counted;
use exchange::survey_file::{SurveyFile, parse_survey};
use pest::is_same_pest;
use problem::{Problem, Problems};
use scouting::{ClumpingK, Counts, Precision, PrecisionBy, VarianceLaw, fits_earlier, way_for};
use std::path::Path;

/// How many counts the mean takes. What is wrong with earlier surveys is told, and those that cannot be used are left out: what
/// the counts of today call for is known all the same.
pub(super) fn known(
    args: &ScoutArgs,
    (survey, counts): (&SurveyFile, &Counts),
    told_k: Option<ClumpingK>,
    warnings: &mut Problems,
) -> Result<Precision, Problems> {
    let mut usable = Vec::new();
    for path in &args.earlier {
        match earlier(path, (survey, counts)) {
            Ok((lot, found)) => {
                warnings.extend(found);
                usable.push(lot);
            }
            Err(Failure(found)) => warnings.extend(as_warnings(found)),
        }
    }
    Precision::of(counts, &usable, args.precision, told_k).or_else(|found| {
        let by_these = Precision::of(counts, &[], args.precision, told_k)?;
        warnings.extend(as_warnings(found));
        Ok(by_these)
    })
}

/// The counts of an earlier survey, made on what those of now are made on where they can be taken so.
fn earlier(path: &Path, (today, now): (&SurveyFile, &Counts)) -> Result<(Counts, Problems), Failure> {
    let shown = path.display().to_string();
    let (survey, mut warnings) = parse_survey(&shown, &read_text(path, "a survey file (TOML)")?)?;
    if !is_same_pest(&known_name(&survey.pest), &known_name(&today.pest)) {
        return Err(Problem::error(
            "scouting::earlier-pest",
            format!("an earlier survey is of `{}`, and this one of `{}`", survey.pest, today.pest),
        )
        .expected("surveys of one pest: the scatter goes with it")
        .mend("leave it out")
        .in_file(&shown)
        .into());
    }
    let ways = survey.how_counted().ways().map_err(|problem| problem.in_file(&shown))?;
    let basis = way_for(&ways, now.basis()).unwrap_or(now.basis());
    let counts = counted(&survey.stations).map_err(|problems| placed(problems, &survey, &shown))?;
    let (counts, found) = Counts::new(counts, basis).map_err(|problems| problems.in_file(&shown))?;
    warnings.extend(found.in_file(&shown));
    fits_earlier(now, &counts).map_err(|problem| problem.in_file(&shown))?;
    Ok((counts, warnings))
}

/// More pests than this nobody counts for a mean.
const MOST_FOR_A_MEAN: f64 = 1e5;

/// How many counts it takes to know the mean, and by what.
pub(super) fn words(precision: &Precision, counts: &Counts) -> String {
    let Precision { share, by, by_iwao, lots, silent_lots } = precision;
    let share = share * 100.0;
    let silent = match silent_lots {
        0 => String::new(),
        1 => " (one more tells nothing)".to_owned(),
        more => format!(" ({more} more tell nothing)"),
    };
    let (by_what, power) = match by.law {
        VarianceLaw::Taylor { factor, power } => {
            (format!("by Taylor's law of {lots} surveys{silent}, a = {factor:.2} and b = {power:.2}"), power)
        }
        _ => ("by the scatter of these counts".to_owned(), 1.0),
    };
    let Some(needed) = by.counts else {
        return format!("how many counts a mean known to {share:.0} % takes is not told where nothing was found");
    };
    let made = counts.stations();
    let line = match (by.is_reached, by.total) {
        (true, _) => "these know it".to_owned(),
        (false, Some(total)) if total <= MOST_FOR_A_MEAN => {
            format!("{made} counts would know it with {total:.0} found in all")
        }
        (false, None) if power >= 2.0 => {
            format!("{made} counts do not know it, and with a b of 2 or more they would not at a higher density either")
        }
        (false, _) => format!("{made} counts cannot know it"),
    };
    let beside = by_iwao.map_or_else(String::new, |beside| iwao_words(&beside));
    format!(
        "a mean known to {share:.0} % (its standard error) takes {needed} counts at this density, {by_what}; {line}{beside}"
    )
}

fn iwao_words(beside: &PrecisionBy) -> String {
    let VarianceLaw::Iwao { crowding, patchiness } = beside.law else { return String::new() };
    let line = format!("by Iwao's line, α = {crowding:.2} and β = {patchiness:.2}");
    match beside.counts {
        Some(needed) => format!("; {line}, it takes {needed}"),
        None => format!("; {line}, there is no variance at this density"),
    }
}
