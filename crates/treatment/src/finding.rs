//! What was found, and whether it justifies treating: a name is no reason to treat, and a client's wish is no threshold.
//!
//! Counts are held against the threshold as [`scouting::decide`] does. Below it, and while it is not decided, a task is
//! refused, unless its use is preventive and a sentence of its label permits that. Where nothing was counted nothing shows
//! that treating is needless either: that is a caution.

mod mounds;

use crate::request::{FindingRequest, TaskRequest, VisitRequest};
use crate::resolve::{Product, Resolved};
use crate::verdict::{Figure, Origin, Status, Verdict};
use crate::visit::{Call, Finding, Measure};
use crate::zones::TaskGround;
use mounds::Walked;
use pest::PestKind;
use problem::{Problem, Problems};
use quantity::{Area, AreaUnit, Length, LengthUnit, counted};
use scouting::{
    ClumpingK, CountBasis, Counts, Judging, SpotEvidence, Threshold, decide, k_of_profile, level_of, way_for,
};

/// Words that name no pest.
const NO_PEST: &[&str] = &["insect", "insects", "bug", "bugs", "pest", "pests", "unknown", ""];

/// The findings, what they mean, and their figures.
#[derive(Debug, Clone)]
pub(crate) struct Judged {
    /// As the visit keeps them.
    pub findings: Vec<Finding>,
    /// What they mean for treating.
    pub verdicts: Vec<Verdict>,
    /// Their figures.
    pub measures: Vec<Measure>,
}

/// The finding on which a task rests; `None` where none is of its pest.
///
/// # Errors
/// The field that is wrong, and why: a name that leads nowhere, a finding of another pest, several that could be meant.
pub fn finding_of_task<'a>(
    findings: &'a [FindingRequest],
    task: &TaskRequest,
) -> Result<Option<&'a FindingRequest>, (&'static str, Problem)> {
    let names = || findings.iter().map(|finding| format!("`{}`", finding.id)).collect::<Vec<_>>().join(", ");
    if let Some(id) = &task.finding {
        let Some(finding) = findings.iter().find(|finding| finding.id == *id) else {
            let known =
                if findings.is_empty() { "the visit has none".to_owned() } else { format!("one of {}", names()) };
            return Err((
                "finding",
                Problem::error("visit::unknown-finding", format!("no finding is called `{id}`"))
                    .expected(known)
                    .mend("correct the name, or write the finding under `[[finding]]`"),
            ));
        };
        return match &task.pest {
            Some(pest) if !finding.is_of(pest) => Err((
                "pest",
                Problem::error(
                    "visit::other-pest",
                    format!("task `{}` is against {pest}, and its finding `{id}` is of {}", task.id, finding.pest),
                )
                .expected("a finding of the pest that is treated")
                .mend("name the finding of this pest, or correct the pest"),
            )),
            _ => Ok(Some(finding)),
        };
    }
    let mut of_pest = findings.iter().filter(|finding| task.pest.as_ref().is_none_or(|pest| finding.is_of(pest)));
    match (of_pest.next(), of_pest.next()) {
        (Some(_), Some(_)) => Err((
            "finding",
            Problem::error(
                "visit::which-finding",
                format!("task `{}` does not say on which finding it rests", task.id),
            )
            .expected(format!("`finding`, one of {}", names()))
            .mend("name the finding that justifies the task"),
        )),
        (found, _) => Ok(found),
    }
}

/// The only finding of a pest.
pub(crate) fn only_of_pest<'a>(request: &'a VisitRequest, pest: &str) -> Option<&'a FindingRequest> {
    let mut found = request.findings.iter().filter(|finding| finding.is_of(pest));
    found.next().filter(|_| found.next().is_none())
}

/// The counts as scouting reads them, on the basis that the threshold is told on where they were made on that too; `None` when
/// nothing was counted.
pub(crate) fn scouting_counts(asked: &FindingRequest) -> Option<Result<(Counts, Problems), Problems>> {
    let first = *asked.counted_on.first().filter(|_| !asked.counts.is_empty())?;
    let threshold = scouting_threshold(asked).and_then(Result::ok);
    let basis = threshold.and_then(|threshold| way_for(&asked.counted_on, threshold.basis())).unwrap_or(first);
    Some(Counts::new(asked.counts.clone(), basis))
}

/// The threshold as scouting reads it.
pub(crate) fn scouting_threshold(asked: &FindingRequest) -> Option<Result<Threshold, Problems>> {
    let told = asked.threshold.as_ref()?;
    let threshold = Threshold::new(told.count, told.basis, told.told());
    Some(threshold.map(|threshold| threshold.for_stage(told.stage.clone())))
}

/// How the pest clumps, where its profile tells it of counts like these.
pub(crate) fn told_k(asked: &FindingRequest) -> Option<ClumpingK> {
    let (counts, _) = scouting_counts(asked)?.ok()?;
    k_of_profile(asked.profile.as_ref()?, &counts).0
}

/// How the counts of a finding are judged.
pub(crate) fn judging_of(asked: &FindingRequest) -> Judging {
    Judging { told_k: told_k(asked), ..Judging::default() }
}

/// The findings as the visit keeps them, and what they mean for each task.
///
/// `grounds` are those of the tasks, in their order.
pub(crate) fn judge(request: &VisitRequest, tasks: &[Resolved<'_>], grounds: &[TaskGround]) -> Judged {
    let mut judged = Judged { findings: Vec::new(), verdicts: Vec::new(), measures: Vec::new() };
    if request.findings.is_empty() {
        judged.verdicts.push(
            Verdict::new(
                "finding::none",
                Status::Caution,
                Origin::Assumed,
                "nothing is written down of what was found: a date on the calendar is no reason to treat",
            )
            .mend("identify the pest, count it, and write the finding into the request"),
        );
        return judged;
    }
    for asked in &request.findings {
        of_finding(request, asked, (tasks, grounds), &mut judged);
    }
    for (task, product) in tasks.iter().flat_map(|task| task.products().map(move |product| (task, product))) {
        if product.finding.is_none() {
            let text = format!("nothing that is written down says that treating against {} is needed", product.pest);
            let verdict = Verdict::new("finding::none", Status::Caution, Origin::Assumed, text)
                .on(&task.request.id)
                .mend("identify the pest, count it, and write the finding into the request");
            if !judged.verdicts.contains(&verdict) {
                judged.verdicts.push(verdict);
            }
        }
    }
    judged
}

fn of_finding(
    request: &VisitRequest,
    asked: &FindingRequest,
    (tasks, grounds): (&[Resolved<'_>], &[TaskGround]),
    judged: &mut Judged,
) {
    // Of one finding alone nobody asks which.
    let named = (request.findings.len() > 1).then_some(asked.id.as_str());
    let on = |verdict: Verdict| match named {
        Some(name) => verdict.on(name),
        None => verdict,
    };
    let look_alike = asked.profile.as_ref().filter(|profile| profile.kind == PestKind::LookAlike);
    if let Some(profile) = look_alike {
        judged.verdicts.push(on(Verdict::new(
            "finding::no-pest",
            Status::Refused,
            Origin::Default,
            format!("{} is taken for a pest and is none: no product against pests mends it", profile.common_name),
        )
        .mend("mend its cause; what never works stands in its profile (`tussock pest show`)")));
    }
    if NO_PEST.contains(&asked.pest.trim().to_lowercase().as_str()) {
        judged.verdicts.push(on(Verdict::new(
            "finding::no-pest",
            Status::Refused,
            Origin::Default,
            format!("`{}` is no pest that a label could name", asked.pest),
        )
        .mend("identify the pest and its stage first; drought, disease and dog spots look alike")));
    }
    let mut found = Vec::new();
    let counts = match scouting_counts(asked) {
        Some(Ok((counts, warnings))) => {
            found.extend(warnings.into_iter().map(caution));
            Some(counts)
        }
        Some(Err(problems)) => {
            found.extend(problems.into_iter().map(caution));
            None
        }
        None => None,
    };
    let told = call(asked, counts.as_ref(), request.property.lawn().area(), &mut found);
    found.extend(age(request, asked));
    judged.verdicts.extend(found.into_iter().map(on));
    let users =
        tasks.iter().zip(grounds).flat_map(|(task, ground)| task.products().map(move |one| (task, ground, one)));
    for (task, ground, product) in users {
        if product.finding.is_some_and(|finding| std::ptr::eq(finding, asked)) {
            let evidence =
                counts.as_ref().and_then(|counts| Some((counts, evidence_of(asked, &told, counts, ground)?)));
            let shown = evidence.as_ref().and_then(|(counts, evidence)| of_spots(&told, task, counts, evidence));
            let verdict = match shown {
                Some(verdict) if !asked.preventive => Some(verdict),
                _ => {
                    let not_shown = evidence.map(|(counts, evidence)| of_evidence(&evidence, counts));
                    of_use((request, asked), &told, (task, tasks, ground), (product, not_shown))
                }
            };
            if let Some(verdict) = verdict.filter(|verdict| !judged.verdicts.contains(verdict)) {
                judged.verdicts.push(verdict);
            }
        }
    }
    judged.measures.extend(measures(counts.as_ref(), named));
    judged.findings.push(kept(asked, counts.as_ref(), told.call));
}

const NO_THRESHOLD: &str = "no count is held against a threshold: whether treating is needed is not shown";

/// What the counts call for, and in which words.
struct Told {
    call: Call,
    text: String,
    compared: Option<(Figure, Figure)>,
    /// What was walked, where mounds were counted.
    walked: Option<Walked>,
}

/// Holds the counts against the threshold.
fn call(asked: &FindingRequest, counts: Option<&Counts>, lawn: Area, found: &mut Vec<Verdict>) -> Told {
    let not_shown = |text: &str| Told { call: Call::NotShown, text: text.to_owned(), compared: None, walked: None };
    let (Some(counts), Some(threshold)) = (counts, scouting_threshold(asked)) else {
        // A preventive use is judged by its label.
        if !asked.preventive {
            found.push(match counts {
                Some(counts) if counts.total() == 0 => nothing_found(counts),
                _ => Verdict::new("finding::no-threshold", Status::Caution, Origin::Assumed, NO_THRESHOLD)
                    .mend("count at several stations, and give a threshold with its place and source"),
            });
        }
        return not_shown("nothing is held against a threshold");
    };
    let shows_nothing = |problem: Problem| shows_nothing(asked, problem);
    let threshold = match threshold {
        Ok(threshold) => threshold,
        Err(problems) => {
            found.extend(problems.into_iter().map(shows_nothing));
            return not_shown("the counts cannot be held against the threshold");
        }
    };
    // What is wrong with the basis is told together with what is wrong with the stage.
    let other_basis = level_of(counts.basis(), &threshold).err();
    let stage = threshold.held_against_stage(asked.stage.as_deref());
    let of_another = match (&other_basis, &stage) {
        (Some(_), _) => Some("the counts are on another basis than the threshold"),
        (None, Err(_)) => Some("the counts are of another stage than the threshold"),
        (None, Ok(_)) => None,
    };
    found.extend(other_basis.into_iter().flatten().map(shows_nothing));
    match stage {
        Ok(doubt) => found.extend(doubt.map(caution)),
        Err(problem) => found.push(shows_nothing(problem)),
    }
    if let Some(text) = of_another {
        return not_shown(text);
    }
    if let CountBasis::Mounds(_) = counts.basis() {
        return match mounds::held(asked, counts, &threshold, lawn, found) {
            Ok(told) => told,
            Err(problems) => {
                found.extend(problems.into_iter().map(shows_nothing));
                not_shown("the mounds cannot be held against the threshold")
            }
        };
    }
    let decided = match decide(counts, &threshold, judging_of(asked)) {
        Ok(decided) => decided,
        Err(problems) => {
            found.extend(problems.into_iter().map(shows_nothing));
            return not_shown("the counts cannot be held against the threshold");
        }
    };
    found.extend(decided.doubts(counts.stations(), judging_of(asked)).into_iter().map(errs));
    let call = match decided.stop.treats() {
        Some(true) => Call::Treat,
        Some(false) => Call::DoNotTreat,
        None => Call::CountOn(decided.more(counts).unwrap_or(1)),
    };
    // No line crosses the threshold: what is treated has a mean at it or above, and what is left one below it.
    let against = match call {
        Call::Treat => "reaches",
        Call::DoNotTreat => "is under",
        _ => "is neither clearly over nor clearly under",
    };
    let measured = figure_of(counts.mean(), counts.basis());
    let limit = figure_of(threshold.count(), threshold.basis());
    let of = asked.survey.as_ref().map(|survey| format!(" of {} ({})", survey.date, survey.name));
    let text = format!(
        "{} from {}{} {against} the threshold of {} ({})",
        measured.show(),
        counted(counts.stations(), "count", "counts"),
        of.unwrap_or_default(),
        limit.show(),
        threshold.source(),
    );
    if call == Call::Treat {
        found.push(
            Verdict::new("finding::threshold", Status::Allowed, Origin::Measured, text.clone())
                .comparing(measured.clone(), limit.clone()),
        );
    }
    Told { call, text, compared: Some((measured, limit)), walked: None }
}

/// The stop lines err more often than stated, or may: what is stated is told with it.
fn errs(problem: Problem) -> Verdict {
    let rule = if problem.code == "scouting::k-assumed" { "finding::k-assumed" } else { "finding::errs-more" };
    let stated = problem.expected.map_or_else(String::new, |stated| format!("; expected: {stated}"));
    Verdict::new(rule, Status::Caution, Origin::Measured, format!("{}{stated}", problem.found))
        .mend("count at more stations, or take the answer for less sure than that")
}

/// Counts that show nothing of what the threshold is for are no reason to treat; a preventive use needs none.
fn shows_nothing(asked: &FindingRequest, problem: Problem) -> Verdict {
    let text = format!("{}: whether treating is needed is not shown", problem.found);
    let told = caution(Problem { found: text, ..problem });
    if asked.preventive { told } else { Verdict { status: Status::Refused, ..told } }
}

/// Whatever the threshold would be, counts of nothing do not reach it.
fn nothing_found(counts: &Counts) -> Verdict {
    let made = counted(counts.stations(), "count", "counts");
    Verdict::new("finding::nothing-found", Status::Refused, Origin::Measured, format!("none was found in {made}"))
        .mend("do not treat; count at more stations where it may be all the same, and give a threshold with its source")
}

/// What speaks for spots alone, where a task goes by them and the lawn as a whole is not to be treated.
fn evidence_of(asked: &FindingRequest, told: &Told, counts: &Counts, ground: &TaskGround) -> Option<SpotEvidence> {
    let (spots, _) = ground.hot_spots.as_ref()?;
    if !matches!(told.call, Call::DoNotTreat | Call::CountOn(_)) {
        return None;
    }
    let places = &asked.survey.as_ref()?.places;
    let threshold = scouting_threshold(asked)?.ok()?;
    spots.evidence(places, counts, &threshold, judging_of(asked)).ok().flatten()
}

/// What was counted in the spots, in words.
fn of_evidence(evidence: &SpotEvidence, counts: &Counts) -> String {
    let mean = figure_of(evidence.mean, counts.basis()).show();
    let (number, infested) = (counted(evidence.counts, "count", "counts"), percent(evidence.infested).show());
    match evidence.counts {
        0 => format!("nobody counted in the spots; {infested} of their ground is expected to be at the threshold"),
        _ => format!(
            "{number} of {} in the spots alone {} to {mean}, and {infested} of their ground is expected to be at the threshold",
            evidence.of,
            if evidence.counts == 1 { "comes" } else { "come" }
        ),
    }
}

/// A lawn under the threshold as a whole may reach it in spots: what that means for a task that goes by them alone.
fn of_spots(told: &Told, task: &Resolved<'_>, counts: &Counts, evidence: &SpotEvidence) -> Option<Verdict> {
    evidence.is_shown().then(|| {
        let text = format!("{} for the lawn as a whole; {}", told.text, of_evidence(evidence, counts));
        Verdict::new("finding::spots", Status::Caution, Origin::Measured, text)
            .on(&task.request.id)
            .mend("count in the spots once more before starting, and treat nothing beside them")
    })
}

/// What the finding means for one product of a task.
fn of_use(
    (request, asked): (&VisitRequest, &FindingRequest),
    told: &Told,
    (task, tasks, ground): (&Resolved<'_>, &[Resolved<'_>], &TaskGround),
    (product, not_shown): (&Product<'_>, Option<String>),
) -> Option<Verdict> {
    let on = |verdict: Verdict| {
        let verdict = verdict.on(&task.request.id);
        match &told.compared {
            Some((measured, limit)) => verdict.comparing(measured.clone(), limit.clone()),
            None => verdict,
        }
    };
    match told.call {
        Call::Treat => return None,
        Call::Broadcast => return mounds::beside_broadcast(told, task, tasks).map(on),
        Call::MoundsAlone => {
            if let Some(verdict) = mounds::alone(told, &request.property, task, ground) {
                return Some(on(verdict));
            }
        }
        _ => {}
    }
    if asked.preventive {
        return Some(on(prevention(told, task, product)));
    }
    let text = match not_shown {
        Some(spots) => format!("{}; spots are not shown either: {spots}", told.text),
        None => told.text.clone(),
    };
    let refused = |rule, mend: String| Verdict::new(rule, Status::Refused, Origin::Measured, text.clone()).mend(mend);
    match told.call {
        Call::DoNotTreat => {
            let instead =
                if told.walked.is_some() { "walk the lawn again later" } else { "mow, water and count again" };
            Some(on(refused(
                "finding::threshold",
                format!("do not treat: {instead}; only a preventive use that the label permits needs no count"),
            )))
        }
        Call::CountOn(more) => Some(on(refused(
            "finding::count-on",
            format!(
                "count at about {}, where nobody counted yet, and plan again",
                counted(more, "more station", "more stations")
            ),
        ))),
        Call::MoundsAlone => Some(on(refused("finding::mounds", mounds::mend(told)))),
        Call::Treat | Call::Broadcast | Call::NotShown => None,
    }
}

/// Whether a product may be used before the pest is there: only a sentence of its label permits that.
fn prevention(told: &Told, task: &Resolved<'_>, product: &Product<'_>) -> Verdict {
    const RULE: &str = "finding::preventive";
    let (name, pest) = (&product.label.product.name, product.pest);
    if let Some(clause) = product.row.permits_prevention(pest) {
        let text =
            format!("{}; the use is preventive, and the label of `{name}` permits that against {pest}", told.text);
        return Verdict::new(RULE, Status::Allowed, Origin::Label, text).by(clause);
    }
    let why = format!("the use is said to be preventive, and no sentence of use `{}` permits that", product.row.id);
    let text = format!("{}{}; {why} against {pest}", task.of_product(product), told.text);
    let verdict = Verdict::new(RULE, Status::Refused, Origin::Label, text)
        .mend("count until the threshold is reached, or choose a product whose label permits preventive use");
    match product.row.preventive.clause() {
        Some(clause) => verdict.by(clause),
        None => verdict.by(&product.row.clause),
    }
}

/// Counts that are old no longer tell what is there.
fn age(request: &VisitRequest, asked: &FindingRequest) -> Option<Verdict> {
    let survey = asked.survey.as_ref()?;
    let days = crate::limits::days_between(survey.date, request.date);
    let most = request.practice.survey_valid_days;
    (days > most).then(|| {
        let text = format!(
            "counted on {}, {} before the visit: counts are taken to hold for {} (common practice, no source)",
            survey.date,
            counted(days, "day", "days"),
            counted(most, "day", "days"),
        );
        Verdict::new("finding::survey-old", Status::Caution, Origin::Default, text)
            .comparing(days_figure(days), days_figure(most))
            .mend("count again before treating")
    })
}

fn days_figure(days: i32) -> Figure {
    Figure::new(f64::from(days), "d", "d")
}

fn caution(problem: Problem) -> Verdict {
    let verdict = Verdict::new("finding::counts", Status::Caution, Origin::Measured, problem.found);
    match problem.mend {
        Some(mend) => verdict.mend(mend),
        None => verdict,
    }
}

fn kept(asked: &FindingRequest, counts: Option<&Counts>, call: Call) -> Finding {
    let mean = counts.map(|counts| figure_of(counts.mean(), counts.basis()));
    let error = counts.and_then(|counts| Some(figure_of(counts.standard_error()?, counts.basis())));
    let threshold = scouting_threshold(asked).and_then(Result::ok);
    Finding {
        id: asked.id.clone(),
        pest: asked.pest.clone(),
        profile: asked.profile.as_ref().map(|profile| profile.id.clone()),
        stage: asked.stage.clone(),
        basis: asked.basis.clone(),
        identified_by: asked.identified_by.clone(),
        density: mean.map(|mean| (mean, error)),
        counts: asked.counts.len(),
        survey: asked.survey.as_ref().map(|survey| (survey.name.clone(), survey.date)),
        threshold: threshold
            .map(|threshold| (figure_of(threshold.count(), threshold.basis()), threshold.source().to_owned())),
        call,
        preventive: asked.preventive,
    }
}

/// The figures of a finding, with its name in theirs where there are several.
fn measures(counts: Option<&Counts>, named: Option<&str>) -> Vec<Measure> {
    let Some(counts) = counts else { return Vec::new() };
    let measure = |name: &str, words: &str, figure: Figure| Measure {
        name: named.map_or_else(|| name.to_owned(), |id| format!("{name} {id}")),
        words: words.to_owned(),
        figure,
        origin: Origin::Measured,
    };
    let mean = figure_of(counts.mean(), counts.basis());
    let error = counts.standard_error().map(|error| figure_of(error, counts.basis()));
    let variance = counts.sample_variance().map(Figure::count);
    let mut all = vec![measure("density", "mean count", mean)];
    all.extend(error.map(|error| measure("density-standard-error", "its standard error", error)));
    all.extend(variance.map(|variance| measure("sample-variance", "variance of the counts", variance)));
    all
}

fn percent(share: f64) -> Figure {
    Figure::new(share * 100.0, "%", "%")
}

/// So many on a basis as a figure: per square yard of ground, per acre where they are mounds, per 100 m of a drag.
fn figure_of(count: f64, basis: CountBasis) -> Figure {
    let per =
        |one: CountBasis, unit: &str, ucum: &str| Figure::new(count / basis.ratio(one).unwrap_or(1.0), unit, ucum);
    match basis {
        CountBasis::Area(_) => per(CountBasis::Area(Area::new(1.0, AreaUnit::SquareYard)), "per sq yd", "/[syd_i]"),
        CountBasis::Mounds(_) => {
            per(CountBasis::Mounds(Area::new(1.0, AreaUnit::Acre)), "mounds per acre", "{mounds}/[acr_us]")
        }
        CountBasis::Drag(_) => per(CountBasis::Drag(Length::new(100.0, LengthUnit::Metre)), "per 100 m of drag", "/hm"),
        CountBasis::TrapNights(_) => per(CountBasis::TrapNights(1), "per trap night", "/{trap night}"),
        CountBasis::Flush => Figure::new(count, "per flush", "/{flush}"),
        CountBasis::Trap => Figure::new(count, "per trap", "/{trap}"),
        CountBasis::Plant => Figure::new(count, "per plant", "/{plant}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_are_told_in_the_unit_of_the_trade() {
        let show = |count, basis| figure_of(count, basis).show();
        // A square yard has 9 square feet, an acre 43,560.
        assert_eq!(show(2.0, CountBasis::Area(Area::new(1.0, AreaUnit::SquareFoot))), "18.0 per sq yd");
        assert_eq!(show(12.0, CountBasis::Mounds(Area::new(6_320.0, AreaUnit::SquareFoot))), "82.7 mounds per acre");
        assert_eq!(show(1.25, CountBasis::Drag(Length::new(25.0, LengthUnit::Metre))), "5.00 per 100 m of drag");
        assert_eq!(show(3.0, CountBasis::TrapNights(6)), "0.500 per trap night");
        assert_eq!(show(2.0, CountBasis::Flush), "2.00 per flush");
    }
}
