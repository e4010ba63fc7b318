//! The survey on which a finding rests: its counts, held against what the finding and the visit say.

use super::Case;
use crate::how_counted::HowCounted;
use crate::kept::SurveyThreshold;
use crate::named_file::Shelf;
use crate::survey_counts::{counted, counted_at};
use crate::survey_file::{SurveyFile, parse_survey};
use crate::toml_source::{Field, shown};
use pest::{Profile, StageFit};
use problem::Problem;
use property::Property;
use scouting::CountBasis;
use treatment::{SurveyTold, Threshold};

/// Counts as a finding takes them.
#[derive(Default)]
pub(super) struct Counted {
    pub(super) counts: Vec<u32>,
    pub(super) ways: Vec<CountBasis>,
    pub(super) survey: Option<SurveyTold>,
    pub(super) stage: Option<String>,
    /// The id of the profile by which they were judged then.
    pub(super) profile: Option<String>,
    /// What they were held against when they were counted.
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
    // Where a problem lies in the survey is said in its own words; the field here is that which names it.
    let mut here = |problem: Problem| {
        let path = survey.placed(problem.clone()).place.path.unwrap_or_default();
        let found = format!("{} (`{path}` of the survey)", problem.found);
        field.report(Problem { found, place: problem::Place::default(), ..problem });
        sound = false;
    };
    let counts = counted(&survey.stations).map_err(|found| found.into_iter().for_each(&mut here)).unwrap_or_default();
    let places = case.property.map_or(Ok(Vec::new()), |property| counted_at(&survey.stations, property));
    let places = places.map_err(|found| found.into_iter().for_each(&mut here)).unwrap_or_default();
    let counted_on = survey.how_counted().ways().map_err(&mut here).unwrap_or_default();
    if sound && counts.is_empty() {
        field.report(
            Problem::error("visit::survey-without-counts", "every station of the survey is an untreated check")
                .expected("one station or more on the ground that is to be judged"),
        );
        sound = false;
    }
    let threshold = survey.threshold.as_ref().and_then(|told| chosen(told, survey.how_counted()));
    let SurveyFile { date, method, by, stage, profile, .. } = survey;
    sound.then(|| Counted {
        counts,
        ways: counted_on,
        survey: Some(SurveyTold { name, date: date.date(), method, by, places }),
        stage,
        profile,
        threshold,
    })
}

fn chosen(told: &SurveyThreshold, how: HowCounted<'_>) -> Option<Threshold> {
    Some(Threshold {
        count: told.count,
        basis: told.threshold(how).ok()?.basis(),
        stage: told.stage.clone(),
        place: told.place.clone(),
        source: told.source.clone(),
    })
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
    if let Some(pest) = known.pest.filter(|pest| !pest::is_known_as(&survey.pest, pest, known.profile)) {
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
        && pest::stage_fit(counted, told) != StageFit::Same
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
