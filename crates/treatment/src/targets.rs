//! What a target names must be there, and must be something that can be treated.

use crate::request::{Target, TaskRequest, VisitRequest};
use crate::resolve::{Resolved, unknown};
use crate::sites::site_of_kind;
use geometry::Shape;
use label::{BufferedFeature, Method, Strength};
use problem::{Problem, Problems};
use property::{Feature, Kind, Property};

/// What speaks against a feature as a target.
type Check = fn(&Feature) -> Option<Problem>;

/// Reports every feature of a task's target that leads nowhere or cannot be treated so.
pub(crate) fn check_target(
    property: &Property,
    task: &TaskRequest,
    at: &impl Fn(&str) -> String,
    problems: &mut Problems,
) {
    let (ids, check): (&[String], Check) = match &task.target {
        Target::Features(ids) => (ids, as_ground),
        Target::Structures { features, .. } => (features, as_structure),
        Target::EntryPoints { features, .. } => (features, as_entry_point),
        _ => return,
    };
    for id in ids {
        match property.feature(id) {
            None => {
                let known: Vec<String> = property.features().iter().map(|feature| feature.id().to_owned()).collect();
                problems.push(unknown("visit::unknown-feature", "feature of the map", id, &known).at(at("target")));
            }
            Some(feature) => problems.extend(check(feature).map(|problem| problem.at(at("target")))),
        }
    }
    if !matches!(task.target, Target::EntryPoints { .. }) {
        return;
    }
    if !matches!(task.method, Method::CrackAndCrevice | Method::Spot) {
        problems.push(
            Problem::error(
                "visit::entry-point-method",
                format!("task `{}` treats entry points by {}", task.id, task.method.word()),
            )
            .expected("`crack-and-crevice` or `spot`")
            .mend("correct the method, or name another place")
            .at(at("method")),
        );
    }
    if ids.is_empty() {
        let mut drawn = property.of_kind(Kind::EntryPoint).peekable();
        if drawn.peek().is_none() {
            problems.push(
                Problem::error("visit::no-entry-point", "the map has no entry point")
                    .expected("a feature of kind `entry-point`, drawn as a line or a point")
                    .mend("draw the gaps on the map")
                    .at(at("target")),
            );
        }
        problems.extend(drawn.filter_map(as_entry_point).map(|problem| problem.at(at("target"))));
    }
}

fn as_structure(feature: &Feature) -> Option<Problem> {
    (!feature.is(Kind::Structure)).then(|| {
        Problem::error(
            "visit::not-a-structure",
            format!("`{}` is mapped as {}, and a band runs round a structure", feature.id(), feature.kind().word()),
        )
        .mend("name a structure, or correct the kind on the map")
    })
}

fn as_entry_point(feature: &Feature) -> Option<Problem> {
    let id = feature.id();
    if !feature.is(Kind::EntryPoint) {
        let found = format!("`{id}` is mapped as {}, and is no entry point", feature.kind().word());
        return Some(
            Problem::error("visit::not-an-entry-point", found)
                .expected("a feature of kind `entry-point`")
                .mend("name an entry point, or correct the kind on the map"),
        );
    }
    matches!(feature.shape(), Shape::Region(_)).then(|| {
        Problem::error("visit::entry-point-area", format!("entry point `{id}` is drawn as an area"))
            .expected("a line along the gap, or a point")
            .mend("draw the gap as a line: its length times the width is what is treated")
    })
}

fn as_ground(feature: &Feature) -> Option<Problem> {
    let (id, word) = (feature.id(), feature.kind().word());
    if site_of_kind(feature.kind().kind()).is_none() {
        let mend = match feature.kind().kind() {
            Kind::Structure => "name it under `structures`, for its walls and the band round it",
            Kind::EntryPoint => "name it under `entry_points`",
            _ => "leave it out of the target, or correct its kind on the map",
        };
        return Some(
            Problem::error(
                "visit::not-treatable",
                format!("`{id}` is mapped as {word}: that is not treated as ground"),
            )
            .expected("plants, soil, mulch, turf, paving or a tree")
            .mend(mend),
        );
    }
    (!matches!(feature.shape(), Shape::Region(_))).then(|| {
        Problem::error("visit::no-ground", format!("`{id}` is drawn as a point or a line and has no ground to treat"))
            .mend("draw it as an area, or count it as a place")
    })
}

/// Reports what is to be kept free and has no ground that could be: a no-go area drawn as a line or a
/// point, and a place of play or pets drawn as a point from which some task keeps no distance.
pub(crate) fn check_kept_free(request: &VisitRequest, tasks: &[Resolved<'_>], problems: &mut Problems) {
    let keeps_away = |task: &Resolved<'_>| {
        let by_label = task.requirements.buffers.iter().any(|buffer| {
            buffer.value.feature == BufferedFeature::PlayArea
                && buffer.clause.strength == Strength::Mandatory
                && buffer.value.distance.is_positive()
        });
        let by_business = request
            .setbacks
            .iter()
            .any(|setback| setback.feature == BufferedFeature::PlayArea && setback.distance.is_positive());
        by_label || by_business
    };
    for feature in request.property.features() {
        let (id, drawn) = match feature.shape() {
            Shape::Region(_) => continue,
            Shape::Line(_) => (feature.id(), "line"),
            Shape::Point(_) => (feature.id(), "point"),
        };
        let problem = match feature.kind().kind() {
            Kind::NoGo => {
                Problem::error("visit::no-go-line", format!("the no-go `{id}` is a {drawn} and has no ground"))
                    .mend("draw it as an area, as wide as is to be kept off")
            }
            Kind::PlayArea | Kind::PetArea if !tasks.iter().all(keeps_away) => {
                let word = feature.kind().word();
                Problem::error("visit::play-area-point", format!("the {word} `{id}` is a {drawn} and has no ground"))
                    .mend("draw it as an area, or state the distance kept from a play area under `[setbacks]`")
            }
            _ => continue,
        };
        problems.push(problem.expected("an area, so that it can be kept free").at("property"));
    }
}
