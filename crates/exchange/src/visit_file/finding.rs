//! What was found, and who applies.

mod survey;

use super::link::unknown;
use crate::how_counted::{AREA_FIELD, HowCounted, PER_FIELD};
use crate::named_file::Shelf;
use crate::pest_file::{SHIPPED, parse_profile, shipped_characters, shipped_meant, shipped_profile};
use crate::quantity_field as quantity_of;
use crate::toml_source::{Field, Table, shown};
use jiff::civil::Date;
use pest::{Profile, ThresholdOf};
use problem::{Problem, Severity};
use property::Property;
use scouting::{CountBasis, general_name, only_published};
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
    // By which profile counts were judged their survey tells, where the finding tells none.
    let profile = profile.map(|named| {
        let judged_by = counted.as_ref().and_then(|counted| counted.profile.as_deref());
        let is_of = |profile: &Profile| {
            pest.as_deref().is_none_or(|pest| pest::is_known_as(pest, &profile.common_name, Some(profile)))
        };
        named.or_else(|| shipped_profile(judged_by?).ok().flatten().filter(is_of))
    });
    let known = survey::Known {
        pest: pest.as_deref(),
        profile: profile.as_ref().and_then(Option::as_ref),
        stage: stage.as_deref(),
    };
    let chosen = counted.as_ref().and_then(|counted| counted.threshold.clone());
    let (threshold, unheld) = match (table.table("threshold"), chosen) {
        (Some(threshold), _) => {
            let ways = counted.as_ref().map_or(&[][..], |counted| &counted.ways);
            (read_threshold(threshold, ways).map(Some), None)
        }
        (None, Some(chosen)) => (Some(Some(chosen)), None),
        (None, None) => {
            let found = counted.as_ref().map(|counted| of_profiles(&table, &known, counted)).unwrap_or_default();
            (Some(found.threshold), found.unheld)
        }
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
        counted_on: counted.ways,
        survey: counted.survey,
        threshold: threshold?,
        unheld,
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
    let (count_area, count_per) = (table.optional(AREA_FIELD), table.optional(PER_FIELD));
    let method = table.optional("method");
    if let Some(survey) = &survey {
        if has_counts || count_area.is_some() || count_per.is_some() || method.is_some() {
            survey.report(
                Problem::error("visit::counts-twice", "counts are told beside the survey that has them")
                    .expected("either `survey`, or `counts` with `count_area` or `count_per`")
                    .mend("delete `counts`, `count_area`, `count_per` and `method`"),
            );
            return None;
        }
        return read_survey(survey, shelf, case, known);
    }
    let area = count_area.as_ref().and_then(quantity_of::area);
    let per = count_per.as_ref().and_then(Field::text);
    let method = method.as_ref().map_or(Some(""), Field::text);
    let could_be_read = count_area.is_none() == area.is_none() && count_per.is_none() == per.is_none();
    let has_any = counts.as_ref().is_none_or(|counts| !counts.is_empty());
    if count_area.is_none() && count_per.is_none() {
        if has_any {
            table.report(
                Problem::error("visit::no-count-area", "`count_area` is missing beside `counts`")
                    .expected("the area that one count covers, such as `count_area = \"1 sq ft\"`, or `count_per`")
                    .mend("add the area of the frame or can, or take the counts away")
                    .at(table.path_of(AREA_FIELD)),
            );
        }
        return Some(Counted { counts: counts?, ..Counted::default() });
    }
    let counted_on = match (HowCounted { method: method?, area, per }).ways() {
        Ok(ways) => ways,
        Err(_) if !could_be_read => Vec::new(),
        Err(mut problem) => {
            let at_per = problem.place.path.take().as_deref() == Some(PER_FIELD);
            let field = if at_per { count_per.or(count_area) } else { count_area.or(count_per) };
            if let Some(field) = field {
                field.report(problem);
            }
            Vec::new()
        }
    };
    Some(Counted { counts: counts?, ways: counted_on, ..Counted::default() })
}

/// What profiles publish for counts.
#[derive(Default)]
struct Published {
    threshold: Option<Threshold>,
    /// Why the counts can be held against none of several.
    unheld: Option<Problem>,
}

/// The only threshold of the profile, or of all kinds of a general word alike, that the counts can be held against; of
/// several none is guessed.
fn of_profiles(table: &Table<'_>, known: &survey::Known<'_>, counted: &Counted) -> Published {
    // A general word is looked up for counts alone: without them nothing is held against a threshold.
    let is_counted = !counted.counts.is_empty();
    let kinds = match (known.profile, known.pest) {
        (None, Some(pest)) if is_counted => shipped_meant(pest).unwrap_or_default(),
        _ => Vec::new(),
    };
    let profiles: Vec<&Profile> = known.profile.into_iter().chain(&kinds).collect();
    if let (Some(pest), false) = (known.pest, kinds.is_empty()) {
        let kinds: Vec<&Profile> = kinds.iter().collect();
        let told = Problem { code: "visit::general-name", ..general_name(pest, &kinds) };
        table.report(told.mend("name the kind as `pest`, or its `profile`").at(table.path_of("pest")));
    }
    if profiles.is_empty() || profiles.iter().all(|profile| profile.thresholds.is_empty()) {
        return Published::default();
    }
    // Where nothing was counted there is nothing to choose by but the ground.
    let ground = [CountBasis::Area(quantity::Area::new(1.0, quantity::AreaUnit::SquareFoot))];
    let ways = if counted.ways.is_empty() { &ground[..] } else { &counted.ways };
    match only_published(&profiles, ways, known.stage.or(counted.stage.as_deref())) {
        Ok(only) => {
            let (count, basis, source) = (only.count(), only.basis(), only.source().to_owned());
            let stage = only.stage().map(str::to_owned);
            Published { threshold: Some(Threshold { count, basis, stage, place: None, source }), unheld: None }
        }
        Err(problems) => {
            let mut unheld = None;
            for problem in problems {
                let code = match problem.code {
                    "scouting::several-thresholds" => "visit::several-thresholds",
                    _ if !is_counted => continue,
                    "scouting::other-stage" => "visit::threshold-other-stage",
                    _ => "visit::no-threshold",
                };
                let mend = "write it as `threshold`, with its place and source".to_owned();
                let told = Problem { code, severity: Severity::Warning, mend: Some(mend), ..problem };
                if is_counted && code != "visit::several-thresholds" {
                    unheld = Some(told.clone());
                }
                table.report(told.at(table.path_of("threshold")));
            }
            Published { threshold: None, unheld }
        }
    }
}

/// The threshold that a finding states, for counts that were made in these ways.
fn read_threshold(table: Table<'_>, ways: &[CountBasis]) -> Option<Threshold> {
    let count = table.required_as("count", "so many of the pest").and_then(|field| field.number_between(0.0, 1e9));
    let area_field = table.optional("area");
    let per_field = table.optional("per");
    if area_field.is_none() && per_field.is_none() {
        table.required_as("area", "on so much ground, such as `1 sq ft`; or `per`, such as `flush`");
    }
    if let (Some(_), Some(per)) = (&area_field, &per_field) {
        per.report(
            Problem::error("visit::threshold-per", "the threshold is told on ground and on something else")
                .expected("either `area` or `per`"),
        );
        return None;
    }
    let of_area = area_field.as_ref().and_then(|field| {
        let area = quantity_of::area(field)?;
        if !area.is_positive() {
            field.report(
                Problem::error("visit::threshold-area", "the threshold covers no ground")
                    .expected("an area above zero"),
            );
        }
        Some(CountBasis::Area(area))
    });
    let of_per = per_field
        .as_ref()
        .and_then(|field| CountBasis::parse(field.text()?).map_err(|problem| field.report(problem)).ok());
    let of_field = table.optional("of");
    let of = match &of_field {
        Some(field) => field.word(&ThresholdOf::ALL, ThresholdOf::word),
        // Of what nobody says it counts it is what was counted; mounds have no stage.
        None if ways.iter().any(|way| matches!(way, CountBasis::Mounds(_))) && !table.has("stage") => {
            Some(ThresholdOf::Mounds)
        }
        None => Some(ThresholdOf::Animals),
    };
    let stage = table.optional("stage").and_then(|field| field.text()).map(str::to_owned);
    let place = table.optional("place").and_then(|field| field.text()).map(str::to_owned);
    let source = table.required_as("source", "the publication that states it").and_then(|field| field.text());
    table.finish();
    let basis = match (of?, of_area.or(of_per)?) {
        (ThresholdOf::Mounds, CountBasis::Area(area)) => CountBasis::Mounds(area),
        (ThresholdOf::Mounds, on) if of_field.is_some() => {
            if let Some(field) = &of_field {
                let found = format!("the threshold counts mounds, and is told {}", on.words());
                field.report(
                    Problem::error("visit::threshold-of", found).expected("so many mounds on an area, as `area`"),
                );
            }
            return None;
        }
        (_, basis) => basis,
    };
    Some(Threshold { count: count?, basis, stage, place, source: source?.to_owned() })
}
