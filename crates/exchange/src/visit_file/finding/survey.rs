//! The survey on which a finding rests: its counts, held against what the finding and the visit say.

use super::super::reference::Shelf;
use super::Case;
use crate::kept::SurveyThreshold;
use crate::survey_file::{SurveyFile, parse_survey};
use crate::toml_source::{Field, shown};
use geometry::GeoPosition;
use pest::Profile;
use problem::Problem;
use property::Property;
use quantity::Area;
use scouting::{CountAt, CountBasis};
use treatment::{SurveyTold, Threshold, is_same_pest};

/// Counts as a finding takes them.
pub(super) struct Counted {
    pub(super) counts: Vec<u32>,
    pub(super) count_area: Option<Area>,
    pub(super) survey: Option<SurveyTold>,
    pub(super) stage: Option<String>,
    /// What they were held against when they were counted, where that is on ground.
    pub(super) threshold: Option<Threshold>,
}

/// What the finding says itself.
pub(super) struct Known<'k> {
    pub(super) pest: Option<&'k str>,
    pub(super) profile: Option<&'k Profile>,
    pub(super) stage: Option<&'k str>,
}

/// The counts of the survey that a field names.
pub(super) fn read_survey(
    field: &Field<'_>,
    shelf: &mut Shelf<'_>,
    case: &Case<'_>,
    known: &Known<'_>,
) -> Option<Counted> {
    let name = field.text()?.to_owned();
    let (file, text) = shelf.fetch(field)?;
    let survey = shelf.keep(parse_survey(&file, &text))?;
    let mut sound = check(field, &survey, case, known);
    let mut counts = Vec::new();
    let mut places = Vec::new();
    for (number, station) in (1..).zip(survey.stations.iter().filter(|station| !station.is_check)) {
        let Ok(count) = u32::try_from(station.count) else {
            field.report(
                Problem::error("visit::survey-count", format!("count {number} of the survey is `{}`", station.count))
                    .expected("at most 4,294,967,295"),
            );
            sound = false;
            continue;
        };
        counts.push(count);
        let position = station.position.as_ref();
        let position = position.and_then(|at| GeoPosition::from_degrees(at.longitude, at.latitude).ok());
        let Some((position, property)) = position.zip(case.property) else { continue };
        let at = property.plane().to_plane(position);
        if !property.boundary().contains(at) {
            field.report(outside(number));
            sound = false;
        }
        places.push(CountAt { at, count });
    }
    if counts.is_empty() {
        field.report(
            Problem::error("visit::survey-without-counts", "every station of the survey is an untreated check")
                .expected("one station or more on the ground that is to be judged"),
        );
        sound = false;
    }
    let threshold = survey.threshold.as_ref().and_then(on_ground);
    let SurveyFile { date, method, by, stage, count_area, .. } = survey;
    sound.then(|| Counted {
        counts,
        count_area: Some(count_area.value()),
        survey: Some(SurveyTold { name, date: date.date(), method, by, places }),
        stage,
        threshold,
    })
}

fn on_ground(told: &SurveyThreshold) -> Option<Threshold> {
    let CountBasis::Area(area) = CountBasis::parse(&told.per).ok()? else { return None };
    Some(Threshold { count: told.count, area, place: told.place.clone(), source: told.source.clone() })
}

fn outside(number: usize) -> Problem {
    Problem::error("visit::survey-outside", format!("count {number} of the survey was made outside the property"))
        .expected("a place within the boundary of the map")
        .mend("look for a slip in longitude or latitude, or name the survey of this property")
}

/// Whether the survey is of this pest, this stage and a day before the visit; a name of another property is a warning.
fn check(field: &Field<'_>, survey: &SurveyFile, case: &Case<'_>, known: &Known<'_>) -> bool {
    let mut sound = true;
    let mut wrong = |problem: Problem| {
        field.report(problem);
        sound = false;
    };
    if let Some(date) = case.date.filter(|date| survey.date.date() > *date) {
        wrong(
            Problem::error(
                "visit::survey-later",
                format!("the survey is of {}, after the day planned, {date}", survey.date.date()),
            )
            .expected("counts made before the visit, or on its day")
            .mend("name an earlier survey, or correct one of the two dates"),
        );
    }
    let is_of = |pest: &str| {
        let profile = known.profile.is_some_and(|profile| {
            is_same_pest(&profile.common_name, &survey.pest) || profile.id.eq_ignore_ascii_case(&survey.pest)
        });
        profile || is_same_pest(pest, &survey.pest)
    };
    if let Some(pest) = known.pest.filter(|pest| !is_of(pest)) {
        wrong(
            Problem::error(
                "visit::other-pest",
                format!("the finding is of {}, and its survey counted {}", shown(pest), shown(&survey.pest)),
            )
            .expected("a survey of the pest that was found")
            .mend("name the survey of this pest, or correct the pest"),
        );
    }
    if let Some((told, counted)) = known.stage.zip(survey.stage.as_deref())
        && !told.eq_ignore_ascii_case(counted)
    {
        wrong(
            Problem::error(
                "visit::other-stage",
                format!("the finding says {}, and its survey {}", shown(told), shown(counted)),
            )
            .expected("the stage that was counted")
            .mend("leave `stage` out: the survey tells it"),
        );
    }
    let is_here = |property: &Property| {
        property.name().eq_ignore_ascii_case(&survey.property) || case.name == Some(property.name())
    };
    if let Some(property) = case.property.filter(|property| !is_here(property)) {
        field.report(
            Problem::warning(
                "visit::survey-elsewhere",
                format!("the survey says that it is of `{}`", shown(&survey.property)),
            )
            .expected(format!("`{}`, as the map is called", shown(property.name())))
            .mend("see that it is the survey of this property"),
        );
    }
    sound
}
