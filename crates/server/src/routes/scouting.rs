//! What counts call for: stop lines, and where the pests are.

use super::documents::seen;
use super::paper::file;
use super::pests::{profiles_judged_by, profiles_meant};
use super::plan::apart;
use crate::app::App;
use crate::http::document::{KeptSurvey, ScoutingDocument};
use crate::http::{Caller, JsonBody, Permission, ProblemDetails, Refusal, Routes};
use ::scouting::{
    Advice, ClumpingK, CountAt, CountBasis, Counts, Judging, Mounds, Precision, ScoutedGround, Threshold,
    USUAL_PRECISION, advise, general_name, k_of_profile, mounds, only_published, way_for,
};
use axum::extract::State;
use axum::response::Response;
use exchange::geojson_map::parse_property;
use exchange::how_counted::HowCounted;
use exchange::kept::{Kept, Property as KeptProperty, Survey, SurveyThreshold, SurveyThresholdOf};
use exchange::scouting_json::{HotSpotsJson, Said, Scouted, ScoutingJson, SurfaceSquaresJson};
use exchange::survey_counts::{counted, counted_at, wrong_places};
use ledger::{Kind, ThingId};
use pest::Meant;
use problem::{Problem, Problems, Severity};
use property::Property;
use serde::Deserialize;
use sheet::{StopLinesPicture, SurfacePicture, stop_lines_svg, surface_svg};
use utoipa::ToSchema;
use utoipa_axum::routes;

pub(super) fn routes() -> Routes {
    Routes::new()
        .with(Permission::SeeWork, routes!(scout))
        .with(Permission::SeeWork, routes!(lines))
        .with(Permission::SeeWork, routes!(surface))
}

/// Counts, and what they are to be held against.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
struct ScoutingOrder {
    /// The counts, as `schema/kept/survey.schema.json` says, whether they are kept or not. This, or `kept`.
    #[schema(value_type = Option<KeptSurvey>)]
    survey: Option<serde_json::Value>,
    /// A kept survey. This, or `survey`.
    #[schema(format = Uuid)]
    kept: Option<String>,
    /// The threshold; when nothing is said, the one that the survey has, else the one of the pest's profile that these counts
    /// can be held against.
    threshold: Option<ThresholdOrder>,
    /// The profile of the pest, by id or name; when nothing is said, the one by which the survey was judged, else that of the
    /// pest which it names.
    pest: Option<String>,
    /// The map of the property, as `docs/map.md` says: GeoJSON text; that of the kept property when nothing is said.
    map: Option<String>,
    /// Whether it is asked where the pests are: the map is needed then.
    #[serde(default)]
    ground: bool,
    /// Whether the surface is wanted in squares, beside the ground to treat.
    #[serde(default)]
    squares: bool,
    /// At which share of the threshold treating is in vain, above 0 and below 1; 0.707 when nothing is said. Leaving is wrong as far
    /// above it, at the threshold over this share.
    in_vain_at: Option<f64>,
    /// How often it may be treated at that share, above 0 and below 0.5; 0.1 when nothing is said.
    treat_in_vain: Option<f64>,
    /// How often it may be left as far above the threshold, above 0 and below 0.5; 0.1 when nothing is said.
    leave_wrongly: Option<f64>,
    /// Fewest counts before anything is decided, 1 or more; 5 when nothing is said.
    least: Option<u32>,
    /// Most counts, 500 at most; 50 when nothing is said.
    most: Option<u32>,
    /// k of the negative binomial where the counts are too few to fit it; when nothing is said that of the profile, where it is of
    /// counts on as much ground, else one at the clumped end of what is likely.
    k: Option<f64>,
    /// The share of the mean that its standard error is to be, above 0 and below 1: how many counts that takes is told; 0.25
    /// when nothing is said.
    precision: Option<f64>,
    /// The share of the infested ground that may stay untreated, 0 to below 1; 0.1 when nothing is said.
    may_stay: Option<f64>,
}

/// A threshold.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
struct ThresholdOrder {
    /// How many.
    count: f64,
    /// What it counts; what the method of the counts does when nothing is said.
    of: Option<ThresholdOf>,
    /// On what: an area such as `1 sq yd`, `flush`, `trap`, `trap night`, `100 ft of drag` or `plant`; mounds on an area.
    per: String,
    /// The life stage that it holds for; every one when nothing is said.
    stage: Option<String>,
    /// Where it was published, and for which place.
    source: String,
}

/// What a threshold counts.
#[derive(Debug, Clone, Copy, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
enum ThresholdOf {
    /// Animals.
    Animals,
    /// Live mounds of ants.
    Mounds,
}

/// An order with what it names.
struct Read {
    order: ScoutingOrder,
    /// The counts; what is wrong with them where they cannot be read.
    survey: Result<Survey, Problems>,
    /// The map of the kept property, where it is needed and was not sent.
    map: Option<String>,
}

/// What came of an order.
struct Judged {
    survey: Survey,
    counts: Counts,
    threshold: Threshold,
    says: Says,
    precision: Option<Precision>,
    ground: Option<OnMap>,
    problems: Problems,
    squares: bool,
}

/// What counts call for: of animals between stop lines, of mounds against a level.
enum Says {
    Lines(Box<Advice>),
    Mounds(Mounds),
}

/// The ground with its counts.
struct OnMap {
    property: Property,
    counts: Vec<CountAt>,
    scouted: ScoutedGround,
}

async fn read(app: &App, caller: &Caller, order: ScoutingOrder) -> Result<Read, Refusal> {
    let survey = match (&order.survey, &order.kept) {
        (Some(survey), None) => {
            Survey::read(&survey.to_string()).and_then(|survey| survey.check_anew().map(|()| survey))
        }
        (None, Some(thing)) => {
            let thing = ThingId::parse(thing).map_err(|problem| problem.at("kept"))?;
            let (_, entry) = seen(app, caller, Kind::Survey, thing).await?;
            if entry.discards {
                return Err(Refusal::nothing(Kind::Survey.word()));
            }
            Ok(Survey::read(&entry.body)?)
        }
        _ => {
            let found = Problem::error("scouting::no-counts", "neither counts nor a kept survey, or both")
                .expected("`survey` with the counts, or `kept` with the name of a kept survey");
            return Err(Refusal::unusable(found));
        }
    };
    let map = match (order.ground, &order.map) {
        (true, None) => match property_of(&order, &survey) {
            Some(named) => {
                let property = ThingId::parse(&named)
                    .map_err(|_| Problem::error("scouting::no-map", "the counts name no kept property"))
                    .map_err(|problem| problem.mend("send the map along as `map`"))?;
                match seen(app, caller, Kind::Property, property).await {
                    Ok((_, entry)) => Some(KeptProperty::read(&entry.body)?.map.0),
                    // What is wrong with the counts is told first.
                    Err(_) if survey.is_err() => None,
                    Err(refusal) => return Err(refusal),
                }
            }
            None => None,
        },
        _ => None,
    };
    Ok(Read { order, survey, map })
}

/// The property that the counts name, also where other faults keep them from being read.
fn property_of(order: &ScoutingOrder, survey: &Result<Survey, Problems>) -> Option<String> {
    match survey {
        Ok(survey) => Some(survey.property.as_str().to_owned()),
        Err(_) => {
            order.survey.as_ref()?["property"].as_str().filter(|text| ThingId::parse(text).is_ok()).map(str::to_owned)
        }
    }
}

/// Says of problems of a survey that they lie in the order's field.
fn within(problems: Problems) -> Problems {
    let placed = |mut problem: Problem| {
        let path = problem.place.path.take().unwrap_or_default();
        problem.at(format!("/survey{path}"))
    };
    problems.into_iter().map(placed).collect()
}

fn at_survey(mut problem: Problem) -> Problem {
    let field = problem.place.path.take().unwrap_or_default();
    problem.at(format!("/survey/{field}"))
}

impl Read {
    fn judged(self) -> Result<Judged, Refusal> {
        let Self { order, survey, map } = self;
        let mut problems = Problems::new();
        let property = match order.map.as_deref().or(map.as_deref()) {
            Some(text) if order.ground => {
                parse_property("map", text).map_err(|found| problems.extend(found)).ok().map(|(property, _)| property)
            }
            _ => None,
        };
        let survey = match survey {
            Ok(survey) => survey,
            Err(found) => return Err(unreadable(&order, found, property.as_ref(), problems)),
        };
        let meant = profiles_of(&order, &survey, &mut problems)?;
        let ways = survey.how_counted().ways().map_err(at_survey);
        let ways = ways.map_err(|problem| problems.push(problem)).unwrap_or_default();
        let threshold = threshold_of(&order, &survey, &meant, &ways, &mut problems);
        let threshold = threshold.map_err(|found| problems.extend(found)).ok();
        let stage = threshold.as_ref().map(|threshold| threshold.held_against_stage(survey.stage.as_deref()));
        match stage {
            Some(Ok(doubt)) => problems.extend(doubt.map(|problem| problem.at("/survey/stage"))),
            Some(Err(problem)) => problems.push(problem.at("/survey/stage")),
            None => {}
        }
        let judging = judging_of(&order, &mut problems);
        let basis = match &threshold {
            Some(threshold) => way_for(&ways, threshold.basis()),
            None => ways.first().copied(),
        };
        let counts =
            counted(&survey.stations).and_then(|counts| Counts::new(counts, basis.unwrap_or(CountBasis::Plant)));
        let counts = counts.map_err(|found| problems.extend(within(found))).ok();
        let places = property.as_ref().map(|property| counted_at(&survey.stations, property));
        let places = places.transpose().map_err(|found| problems.extend(within(found))).ok().flatten();
        let (Some(threshold), Some((counts, found)), false) = (threshold, counts, problems.has_errors()) else {
            return Err(Refusal::unusable(problems));
        };
        problems.extend(found);
        if let CountBasis::Mounds(_) = counts.basis() {
            let found = mounds(&counts, &threshold).map_err(Refusal::unusable)?;
            problems.extend(found.doubts(property.as_ref().map(|property| property.lawn().area())));
            if order.ground {
                let found = Problem::warning("scouting::surface-basis", "mounds have no surface");
                problems.push(found.expected("counts of animals and a threshold on an area"));
            }
            let says = Says::Mounds(found);
            return Ok(Judged {
                survey,
                counts,
                threshold,
                says,
                precision: None,
                ground: None,
                problems,
                squares: false,
            });
        }
        let (of_profile, said) = match (judging.told_k, meant.only()) {
            (None, Some(profile)) => k_of_profile(profile, &counts),
            _ => (None, None),
        };
        problems.extend(said.map(|problem| problem.at("k")));
        let judging = Judging { told_k: judging.told_k.or(of_profile), ..judging };
        let advice = advise(&counts, &threshold, judging).map_err(Refusal::unusable)?;
        problems.extend(advice.warnings.clone());
        let wanted = order.precision.unwrap_or(USUAL_PRECISION);
        let precision = Precision::of(&counts, &[], wanted, judging.told_k).map_err(|found| {
            Refusal::unusable(found.into_iter().map(|one| one.at("precision")).collect::<Problems>())
        })?;
        let mut ground = None;
        if let (Some(property), Some(places)) = (property, places) {
            let scouted = scouted(&order, &property, &places, (&counts, &threshold), (&advice, judging));
            // Why there is no surface is told; what the counts call for is known all the same.
            match scouted {
                Ok(scouted) => ground = Some(OnMap { property, counts: places, scouted }),
                Err(found) => {
                    let told = found.into_iter().map(|problem| Problem { severity: Severity::Warning, ..problem });
                    problems.extend(told);
                }
            }
        }
        let (says, precision) = (Says::Lines(Box::new(advice)), Some(precision));
        Ok(Judged { survey, counts, threshold, says, precision, ground, problems, squares: order.squares })
    }
}

/// What is wrong with counts that cannot be read: with them, with the places of those that can, and with the rest of the
/// order.
fn unreadable(order: &ScoutingOrder, found: Problems, property: Option<&Property>, mut problems: Problems) -> Refusal {
    let places = order.survey.as_ref().map(|survey| wrong_places(&survey["stations"], property)).unwrap_or_default();
    let mut all = found;
    all.extend_untold(places);
    problems.extend(within(all));
    let method = order.survey.as_ref().and_then(|survey| survey["method"].as_str());
    let how = method.map(|method| HowCounted { method, area: None, per: None });
    problems.extend(order.threshold.as_ref().and_then(|told| stated(told, how).err()).unwrap_or_default());
    judging_of(order, &mut problems);
    Refusal::unusable(problems)
}

fn profiles_of(order: &ScoutingOrder, survey: &Survey, problems: &mut Problems) -> Result<Meant<'static>, Refusal> {
    let found = match &order.pest {
        Some(named) => profiles_meant(named),
        None => profiles_judged_by(&survey.pest, survey.profile.as_deref()),
    }?;
    if let (Some(name), Meant::Unknown) = (&order.pest, &found) {
        problems.push(
            Problem::error("pest::unknown", format!("there is no profile `{}`", name.escape_debug()))
                .expected("one of those that `/api/pests` lists")
                .at("pest"),
        );
    }
    Ok(found)
}

/// The threshold that is stated, that of the survey, or the only one of the profiles that these counts can be held against.
fn threshold_of(
    order: &ScoutingOrder,
    survey: &Survey,
    meant: &Meant<'_>,
    ways: &[CountBasis],
    problems: &mut Problems,
) -> Result<Threshold, Problems> {
    if let Some(told) = &order.threshold {
        return stated(told, Some(survey.how_counted()));
    }
    if let Some(chosen) = &survey.threshold {
        let how = survey.how_counted();
        problems.extend(chosen.of_untold(how).map(|untold| untold.at("/survey/threshold/of")));
        return chosen.threshold(how).map_err(within_threshold);
    }
    if let Meant::Kinds(kinds) = meant {
        let named = order.pest.as_ref().unwrap_or(&survey.pest);
        problems.push(general_name(named, kinds).mend("send the kind as `pest`").at("pest"));
    }
    match meant.profiles().as_slice() {
        [] => Err(Problem::error(
            "scouting::no-threshold",
            format!("there is no profile of `{}`", survey.pest.escape_debug()),
        )
        .expected("a threshold with its source, or the profile of the pest")
        .mend("send `threshold`, or `pest`; `/api/pests` lists the profiles")
        .at("threshold")
        .into()),
        profiles => only_published(profiles, ways, survey.stage.as_deref()).map_err(at_threshold),
    }
}

/// The threshold that an order states for counts that were made so; where nobody knows how, what it counts is not asked.
fn stated(told: &ThresholdOrder, how: Option<HowCounted<'_>>) -> Result<Threshold, Problems> {
    let ThresholdOrder { count, of, per, stage, source } = told.clone();
    let of = how.and(of).map(|of| match of {
        ThresholdOf::Animals => SurveyThresholdOf::Animals,
        ThresholdOf::Mounds => SurveyThresholdOf::Mounds,
    });
    let how = how.unwrap_or(HowCounted { method: "", area: None, per: None });
    let placed = |mut problem: Problem| {
        let field = problem.place.path.take().unwrap_or_default();
        problem.at(format!("threshold.{field}"))
    };
    SurveyThreshold { count, of, per, stage, place: None, source }
        .threshold(how)
        .map_err(|found| found.into_iter().map(placed).collect())
}

fn at_threshold(problems: Problems) -> Problems {
    problems.into_iter().map(|one| one.at("threshold")).collect()
}

/// Says of problems of a survey's threshold where they lie.
fn within_threshold(problems: Problems) -> Problems {
    let placed = |mut problem: Problem| {
        let field = problem.place.path.take().unwrap_or_default();
        problem.at(format!("/survey/threshold/{field}"))
    };
    problems.into_iter().map(placed).collect()
}

/// How an order wants counts judged; of the k of a profile it knows nothing.
fn judging_of(order: &ScoutingOrder, problems: &mut Problems) -> Judging {
    let usual = Judging::default();
    let told_k = order.k.and_then(|k| {
        let read = ClumpingK::new(k);
        if read.is_none() {
            problems
                .push(Problem::error("scouting::k", format!("`{k}` as k")).expected("a number above nothing").at("k"));
        }
        read
    });
    let in_vain_at = order.in_vain_at.unwrap_or(usual.in_vain_at);
    if !(in_vain_at > 0.0 && in_vain_at < 1.0) {
        problems.push(
            Problem::error("scouting::in-vain-at", format!("treating in vain at `{in_vain_at}` of the threshold"))
                .expected("above 0 and below 1, such as 0.7")
                .at("in_vain_at"),
        );
    }
    let may_stay = order.may_stay.unwrap_or(MAY_STAY);
    if !(0.0..1.0).contains(&may_stay) {
        problems.push(
            Problem::error("scouting::may-stay", format!("`{may_stay}` of the infested ground may stay"))
                .expected("0 to below 1, such as 0.1")
                .at("may_stay"),
        );
    }
    Judging {
        in_vain_at,
        treat_in_vain: order.treat_in_vain.unwrap_or(usual.treat_in_vain),
        leave_wrongly: order.leave_wrongly.unwrap_or(usual.leave_wrongly),
        least: order.least.unwrap_or(usual.least),
        most: order.most.unwrap_or(usual.most),
        told_k,
    }
}

/// The share of the infested ground that may stay untreated where nothing is said. Common practice, no source.
const MAY_STAY: f64 = 0.1;

fn scouted(
    order: &ScoutingOrder,
    property: &Property,
    places: &[CountAt],
    (counts, threshold): (&Counts, &Threshold),
    (advice, judging): (&Advice, Judging),
) -> Result<ScoutedGround, Problems> {
    let may_stay = order.may_stay.unwrap_or(MAY_STAY);
    ScoutedGround::of(property.lawn(), places, (counts, threshold), (advice, judging), may_stay)
}

impl Judged {
    fn document(&self) -> ScoutingJson {
        let hot_spots = self.ground.as_ref().map(|on| {
            let plane = on.property.plane();
            let told = HotSpotsJson::new(&on.scouted, plane);
            let surface = self.squares.then(|| SurfaceSquaresJson::new(&on.scouted.spots, plane));
            HotSpotsJson { surface, ..told }
        });
        ScoutingJson::from(&Scouted {
            pest: &self.survey.pest,
            counts: &self.counts,
            density: self.counts.density(0.95),
            threshold: &self.threshold,
            said: match &self.says {
                Says::Lines(advice) => Said::Lines(advice),
                Says::Mounds(mounds) => Said::Mounds(mounds),
            },
            precision: self.precision,
            hot_spots,
            problems: &self.problems,
        })
    }

    fn of(&self) -> String {
        format!("{}, {} a count", self.survey.pest, self.survey.one_count())
    }
}

async fn judged(app: &App, caller: &Caller, order: ScoutingOrder) -> Result<Judged, Refusal> {
    let read = read(app, caller, order).await?;
    apart(move || read.judged()).await?
}

/// Hold counts against a threshold: treat, do not treat, or count on
///
/// In the order in which they were made, between two stop lines. With `ground` and 8 to 200 places it tells as well where the
/// pests are likely, the smallest ground to treat, and where counting on would tell most; why it does not is told among
/// the problems. Live mounds (`method` `mounds`) are held against the level above which to broadcast.
#[utoipa::path(post, path = "/api/scouting", operation_id = "scouting", tag = "scouting", request_body = ScoutingOrder,
    responses(
        (status = 200, description = "What the counts call for", body = ScoutingDocument),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 403, description = "Not for this role", body = ProblemDetails),
        (status = 404, description = "No such survey or property that the caller may see", body = ProblemDetails),
        (status = 422, description = "Counts, threshold or map cannot be used", body = ProblemDetails),
    ))]
async fn scout(
    State(app): State<App>,
    caller: Caller,
    JsonBody(order): JsonBody<ScoutingOrder>,
) -> Result<JsonBody<ScoutingJson>, Refusal> {
    let judged = judged(&app, &caller, order).await?;
    Ok(JsonBody(apart(move || judged.document()).await?))
}

/// The walk of counts between the stop lines, as a picture
#[utoipa::path(post, path = "/api/scouting/lines", operation_id = "scouting_lines", tag = "scouting", request_body = ScoutingOrder,
    responses(
        (status = 200, description = "The picture", body = String, content_type = "image/svg+xml"),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 403, description = "Not for this role", body = ProblemDetails),
        (status = 404, description = "No such survey or property that the caller may see", body = ProblemDetails),
        (status = 422, description = "Counts, threshold or map cannot be used", body = ProblemDetails),
    ))]
async fn lines(
    State(app): State<App>,
    caller: Caller,
    JsonBody(order): JsonBody<ScoutingOrder>,
) -> Result<Response, Refusal> {
    let order = ScoutingOrder { ground: false, ..order };
    let judged = judged(&app, &caller, order).await?;
    let of = judged.of();
    let Says::Lines(advice) = &judged.says else {
        let found = Problem::error("scouting::no-lines", "mounds are counted whole, and not between stop lines")
            .expected("counts of animals");
        return Err(Refusal::unusable(found));
    };
    let (plan, counts) = (&advice.plan, judged.counts.counts());
    let svg = stop_lines_svg(&StopLinesPicture { plan, counts, of: &of, colour: true, width: WIDTH });
    Ok(file("image/svg+xml", "stop-lines.svg", svg.into_bytes()))
}

/// Where the pests are likely and what to treat, as a picture
#[utoipa::path(post, path = "/api/scouting/surface", operation_id = "scouting_surface", tag = "scouting", request_body = ScoutingOrder,
    responses(
        (status = 200, description = "The picture", body = String, content_type = "image/svg+xml"),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 403, description = "Not for this role", body = ProblemDetails),
        (status = 404, description = "No such survey or property that the caller may see", body = ProblemDetails),
        (status = 422, description = "Counts, threshold or map cannot be used, or there is no surface", body = ProblemDetails),
    ))]
async fn surface(
    State(app): State<App>,
    caller: Caller,
    JsonBody(order): JsonBody<ScoutingOrder>,
) -> Result<Response, Refusal> {
    let order = ScoutingOrder { ground: true, ..order };
    let judged = judged(&app, &caller, order).await?;
    let svg = apart(move || {
        let Some(on) = &judged.ground else { return Err(judged.problems) };
        let of = judged.survey.pest.as_str();
        let (turf, spots, next) = (on.property.lawn(), &on.scouted.spots, on.scouted.next.as_slice());
        Ok(surface_svg(&SurfacePicture { turf, spots, counts: &on.counts, next, of, colour: true, width: WIDTH }))
    });
    let svg = svg.await?.map_err(|found| {
        Refusal::unusable(
            found.into_iter().map(|one| Problem { severity: Severity::Error, ..one }).collect::<Problems>(),
        )
    })?;
    Ok(file("image/svg+xml", "surface.svg", svg.into_bytes()))
}

const WIDTH: u32 = 720;
