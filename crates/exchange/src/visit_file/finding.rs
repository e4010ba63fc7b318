//! What was found, and who applies.

mod survey;

use super::link::unknown;
use super::reference::Shelf;
use crate::pest_file::{SHIPPED, parse_profile, shipped_characters, shipped_profile};
use crate::quantity_field as quantity_of;
use crate::toml_source::{Field, Table, shown};
use jiff::civil::Date;
use pest::{Observed, Profile, ThresholdCount};
use problem::Problem;
use property::Property;
use std::sync::Arc;
use survey::{Counted, read_survey};
use treatment::{Applicator, FindingRequest, Threshold};

/// What of a visit its findings are held against, as far as it could be read.
pub(super) struct Case<'r> {
    /// The day planned.
    pub(super) date: Option<Date>,
    /// The map.
    pub(super) property: Option<&'r Property>,
    /// What the visit is called; a map without a name is called so too.
    pub(super) name: Option<&'r str>,
}

pub(super) fn read_applicator(table: Table<'_>) -> Option<Applicator> {
    let name = table.required("name").and_then(|field| field.text());
    let certification = table.optional("certification").and_then(|field| field.text()).map(str::to_owned);
    let certified = table
        .required_as("certified", "whether the person is certified for this kind of work, `true` or `false`")
        .and_then(|field| field.flag());
    table.finish();
    Some(Applicator { name: name?.to_owned(), certification, certified: certified? })
}

/// The findings: one under `[finding]`, several under `[[finding]]`. `None` where one of them could not be read.
pub(super) fn read_findings(root: &Table<'_>, shelf: &mut Shelf<'_>, case: &Case<'_>) -> Option<Vec<FindingRequest>> {
    let Some(field) = root.optional("finding") else { return Some(Vec::new()) };
    if !field.is_list() {
        return field.table().and_then(|table| read_finding(table, false, shelf, case)).map(|finding| vec![finding]);
    }
    let tables = field.tables();
    let several = tables.len() > 1;
    let stated = tables.len();
    let mut findings: Vec<FindingRequest> = Vec::new();
    for table in tables {
        let id = table.entry("id");
        let Some(finding) = read_finding(table, several, shelf, case) else { continue };
        if let Some(id) = id.filter(|_| findings.iter().any(|before| before.id == finding.id)) {
            id.report(
                Problem::error("visit::finding-twice", format!("two findings are called `{}`", shown(&finding.id)))
                    .expected("a name for each finding that no other has")
                    .mend("rename one of them"),
            );
        }
        findings.push(finding);
    }
    (findings.len() == stated && stated > 0).then_some(findings)
}

fn read_finding(
    table: Table<'_>,
    is_one_of_several: bool,
    shelf: &mut Shelf<'_>,
    case: &Case<'_>,
) -> Option<FindingRequest> {
    let id = match table.optional("id") {
        Some(field) => field.text().map(|id| Some(id.to_owned())),
        None if is_one_of_several => {
            table.required_as("id", "its name, by which tasks say on which finding they rest");
            None
        }
        None => Some(None),
    };
    let pest = table.required_as("pest", "its common name, such as `chinch bug`").and_then(|field| field.text());
    let pest = pest.map(str::to_lowercase);
    let profile = match table.optional("profile") {
        Some(field) => read_profile(&field, shelf).map(Some),
        // Of the word for many kinds there is no profile, and none is guessed.
        None => Some(pest.as_deref().and_then(|pest| shipped_profile(pest).ok().flatten())),
    };
    let stage = table.optional("stage").and_then(|field| field.text()).map(str::to_owned);
    let basis = table.required_as("basis", "how it was identified").and_then(|field| field.text());
    let identified_by = table.optional("identified_by").and_then(|field| field.text()).map(str::to_owned);
    let known = survey::Known {
        pest: pest.as_deref(),
        profile: profile.as_ref().and_then(Option::as_ref),
        stage: stage.as_deref(),
    };
    let counted = read_counts(&table, shelf, case, &known);
    let chosen = counted.as_ref().and_then(|counted| counted.threshold.clone());
    let threshold = match (table.table("threshold"), chosen) {
        (Some(threshold), _) => read_threshold(threshold).map(Some),
        (None, Some(chosen)) => Some(Some(chosen)),
        (None, None) => Some(known.profile.and_then(|profile| of_profile(&table, profile))),
    };
    let preventive = table.optional("preventive").map_or(Some(false), |field| field.flag());
    table.finish();
    let (counted, profile, pest) = (counted?, profile?, pest?);
    Some(FindingRequest {
        id: id?.unwrap_or_else(|| pest.clone()),
        pest,
        profile: profile.map(Arc::new),
        stage: stage.or(counted.stage),
        basis: basis?.to_owned(),
        identified_by,
        counts: counted.counts,
        count_area: counted.count_area,
        survey: counted.survey,
        threshold: threshold?,
        preventive: preventive?,
    })
}

/// A profile by its id or name, or by the name of its file.
fn read_profile(field: &Field<'_>, shelf: &mut Shelf<'_>) -> Option<Profile> {
    let name = field.text()?;
    if std::path::Path::new(name).extension().is_some_and(|ending| ending.eq_ignore_ascii_case("toml")) {
        let (file, text) = shelf.fetch(field)?;
        let characters = shipped_characters().ok()?;
        return shelf.keep(parse_profile(&file, &text, &characters));
    }
    if let Some(profile) = shipped_profile(name).ok()? {
        return Some(profile);
    }
    let id = |file: &'static str| file.trim_start_matches("pests/").trim_end_matches(".toml");
    let ids: Vec<&str> = SHIPPED.iter().map(|(file, _)| id(file)).collect();
    // Nearest first: kinds of the pest that was named.
    let (mut alike, others): (Vec<&str>, Vec<&str>) =
        ids.into_iter().partition(|id| name.to_lowercase().split([' ', '-']).any(|word| id.contains(word)));
    alike.extend(others);
    field.report(unknown("visit::unknown-profile", "profile", name, &alike, "name the file of one of your own"));
    None
}

/// Counts of a survey, or those that the request tells itself.
fn read_counts(
    table: &Table<'_>,
    shelf: &mut Shelf<'_>,
    case: &Case<'_>,
    known: &survey::Known<'_>,
) -> Option<Counted> {
    let survey = table.optional("survey");
    let counts: Option<Vec<u32>> = match table.optional("counts") {
        Some(list) => list.each(Field::whole),
        None => Some(Vec::new()),
    };
    let has_counts = table.has("counts");
    let count_area = table.optional("count_area");
    if let Some(survey) = &survey {
        if has_counts || count_area.is_some() {
            survey.report(
                Problem::error("visit::counts-twice", "counts are told beside the survey that has them")
                    .expected("either `survey`, or `counts` with `count_area`")
                    .mend("delete `counts` and `count_area`"),
            );
            return None;
        }
        return read_survey(survey, shelf, case, known);
    }
    let area = count_area.as_ref().and_then(|field| {
        let area = quantity_of::area(field)?;
        if area.is_positive() {
            return Some(area);
        }
        field.report(Problem::error("visit::count-area", "one count covers no ground").expected("an area above zero"));
        None
    });
    if count_area.is_none() && counts.as_ref().is_none_or(|counts| !counts.is_empty()) {
        table.report(
            Problem::error("visit::no-count-area", "`count_area` is missing beside `counts`")
                .expected("the area that one count covers, such as `count_area = \"1 sq ft\"`")
                .mend("add the area of the frame or can, or take the counts away")
                .at(table.path_of("count_area")),
        );
    }
    Some(Counted { counts: counts?, count_area: area, survey: None, stage: None, threshold: None })
}

/// The only threshold on ground of a profile; of several none is guessed.
fn of_profile(table: &Table<'_>, profile: &Profile) -> Option<Threshold> {
    let on_ground = profile.thresholds.iter().filter_map(|one| match &one.what.per {
        Observed::Ground(area, words) => Some((one, *area, words)),
        Observed::Each(_) => None,
    });
    let told: Vec<(Threshold, String)> = on_ground
        .map(|(one, area, words)| {
            // Of a range the lower figure: the ground that stands least.
            let (ThresholdCount::One(count) | ThresholdCount::Between(count, _)) = one.what.count;
            let place = format!("{}, {}", one.what.place, one.what.host);
            let in_words = format!("{count} per {words} ({place})");
            let source = profile.source(&one.source).map_or_else(String::new, |source| source.cite.clone());
            (Threshold { count, area, place: Some(place), source }, in_words)
        })
        .collect();
    if let [(only, _)] = told.as_slice() {
        return Some(only.clone());
    }
    if told.len() > 1 {
        let all: Vec<&str> = told.iter().map(|(_, words)| words.as_str()).collect();
        table.report(
            Problem::warning(
                "visit::several-thresholds",
                format!("the profile of {} has {} thresholds on ground", profile.common_name, told.len()),
            )
            .expected(format!("one that holds where the counts were made: {}", all.join("; ")))
            .mend("write it as `threshold`, with its place and source")
            .at(table.path_of("threshold")),
        );
    }
    None
}

fn read_threshold(table: Table<'_>) -> Option<Threshold> {
    let count = table.required_as("count", "so many of the pest").and_then(|field| field.number_between(0.0, 1e9));
    let area_field = table.required_as("area", "on so much ground, such as `1 sq ft`");
    let area = area_field.as_ref().and_then(quantity_of::area);
    if let (Some(field), Some(area)) = (&area_field, area)
        && !area.is_positive()
    {
        field.report(
            Problem::error("visit::threshold-area", "the threshold covers no ground").expected("an area above zero"),
        );
    }
    let place = table.optional("place").and_then(|field| field.text()).map(str::to_owned);
    let source = table.required_as("source", "the publication that states it").and_then(|field| field.text());
    table.finish();
    Some(Threshold { count: count?, area: area?, place, source: source?.to_owned() })
}
