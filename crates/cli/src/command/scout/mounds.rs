//! `tussock scout` of live mounds: one by one, or the whole lawn.

use super::ScoutArgs;
use crate::care::REMINDER;
use crate::command::plan::wrapped;
use crate::console::{complain, say};
use crate::outcome::{CommandResult, Outcome};
use crate::reading::read_text;
use exchange::geojson_map::parse_property;
use exchange::scouting_json::{Said, Scouted, write_scouting};
use exchange::survey_file::SurveyFile;
use problem::Problems;
use quantity::{AreaUnit, counted};
use scouting::{Counts, MoundCall, Mounds, Threshold, mounds};
use std::fmt::Write as _;

/// Tells what mounds call for. The map tells how much of the lawn was walked; there are no pictures of it.
pub(super) fn run(
    args: &ScoutArgs,
    survey: &SurveyFile,
    (counts, threshold): (&Counts, &Threshold),
    mut warnings: Problems,
) -> CommandResult {
    let found = mounds(counts, threshold)?;
    let lawn = match &args.map {
        Some(map) => {
            let (property, _) = parse_property(&map.display().to_string(), &read_text(map, "a map (GeoJSON)")?)?;
            Some(property.lawn().area())
        }
        None => None,
    };
    warnings.extend(found.doubts(lawn));
    complain(&warnings);
    if args.json {
        say(&write_scouting(&Scouted {
            pest: &survey.pest,
            counts,
            density: None,
            threshold,
            said: Said::Mounds(&found),
            precision: None,
            hot_spots: None,
            problems: &warnings,
        }));
    } else {
        say(&words(survey, counts, threshold, &found));
        say(&wrapped("\n", REMINDER));
    }
    Ok(Outcome::Done)
}

fn words(survey: &SurveyFile, counts: &Counts, threshold: &Threshold, found: &Mounds) -> String {
    let verdict = match found.call {
        MoundCall::LeaveBe => "DO NOT TREAT",
        MoundCall::Singly => "THE MOUNDS ALONE",
        MoundCall::Broadcast => "BROADCAST",
    };
    let mut out = String::new();
    let _ = writeln!(out, "{} on {}: {verdict}", survey.pest, survey.date.date());
    let mut line = |text: String| out.push_str(&wrapped("  ", &text));
    line(found.words());
    line(format!(
        "{} on {} in {}",
        counted(found.found, "live mound", "live mounds"),
        found.ground.show(AreaUnit::SquareFoot),
        counted(counts.stations(), "part", "parts"),
    ));
    if let Some((low, high)) = found.interval {
        let acre = |density: scouting::PestDensity| density.per(AreaUnit::Acre);
        line(format!(
            "by these parts the whole lawn has {:.1} to {:.1} mounds per acre with 95 % confidence, which is wider than need be",
            acre(low),
            acre(high)
        ));
    }
    line(format!("level: {} {} ({})", threshold.count(), threshold.per_words(), threshold.source()));
    out
}
