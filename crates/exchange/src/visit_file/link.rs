//! Names in a request that must lead somewhere.

use super::parts::Listed;
use crate::toml_source::{Field, Table, nearest, shown};
use label::Label;
use problem::Problem;
use property::{Kind, Property};
use sprayer::Sprayer;
use treatment::{FindingRequest, TaskRequest, finding_of_task};

/// What names may lead to; a list that is not whole proves nothing.
pub(super) struct Known<'r> {
    pub(super) property: Option<&'r Property>,
    pub(super) labels: &'r Listed<Label>,
    pub(super) equipment: &'r Listed<Sprayer>,
}

impl Known<'_> {
    pub(super) fn check_label(&self, field: &Field<'_>, id: &str) {
        let names: Vec<&str> = self.labels.entries.iter().map(|label| label.id.as_str()).collect();
        if self.labels.is_whole && !names.contains(&id) {
            field.report(unknown("visit::unknown-label", "label", id, &names, "add its file to `labels`"));
        }
    }

    /// The equipment of a name, which may have been reported as unknown.
    pub(super) fn equipment(&self, field: &Field<'_>, id: &str) -> Option<&Sprayer> {
        let found = self.equipment.entries.iter().find(|sprayer| sprayer.id() == id);
        if found.is_none() && self.equipment.is_whole {
            let names: Vec<&str> = self.equipment.entries.iter().map(Sprayer::id).collect();
            field.report(unknown("visit::unknown-equipment", "equipment", id, &names, "add it to the equipment"));
        }
        found
    }

    pub(super) fn check_feature(&self, field: &Field<'_>) {
        check_feature(field, self.property);
    }

    /// A feature round which a band is to run.
    pub(super) fn check_structure(&self, field: &Field<'_>) {
        let (Some(property), Some(id)) = (self.property, field.text()) else { return };
        match property.feature(id) {
            Some(feature) if !feature.is(Kind::Structure) => field.report(
                Problem::error(
                    "visit::not-a-structure",
                    format!(
                        "`{}` is mapped as `{}`, and a band runs round a structure",
                        shown(id),
                        feature.kind().word()
                    ),
                )
                .expected("a feature of kind `structure`")
                .mend("name a structure, or correct the kind on the map"),
            ),
            _ => check_feature(field, self.property),
        }
    }
}

/// A feature of the map; nothing can be said when the map could not be read.
pub(super) fn check_feature(field: &Field<'_>, property: Option<&Property>) {
    let (Some(property), Some(id)) = (property, field.text()) else { return };
    if property.feature(id).is_none() {
        let names: Vec<&str> = property.features().iter().map(property::Feature::id).collect();
        field.report(unknown("visit::unknown-feature", "feature of the map", id, &names, "draw it on the map"));
    }
}

pub(super) fn unknown(code: &'static str, what: &str, id: &str, names: &[&str], otherwise: &str) -> Problem {
    // A long list helps nobody; the nearest names stand first in it.
    const SHOWN: usize = 12;
    let mut list: Vec<String> = names.iter().take(SHOWN).map(|name| format!("`{}`", shown(name))).collect();
    if names.len() > SHOWN {
        list.push("…".to_owned());
    }
    let expected =
        if list.is_empty() { "there is none to name".to_owned() } else { format!("one of {}", list.join(", ")) };
    let mend = match nearest(id, names.iter().copied()) {
        Some(near) => format!("did you mean `{near}`? If not, {otherwise}"),
        None => format!("correct the name, or {otherwise}"),
    };
    Problem::error(code, format!("no {what} is called `{}`", shown(id))).expected(expected).mend(mend)
}

/// Each task rests on a finding of its pest; without any finding it must say against what it is. Nothing can be said when
/// the findings could not be read.
pub(super) fn report_findings_of_tasks(
    root: &Table<'_>,
    findings: Option<&[FindingRequest]>,
    tasks: &[(usize, TaskRequest)],
) {
    let Some(findings) = findings else { return };
    for (number, task) in tasks {
        match finding_of_task(findings, task) {
            Err((field, problem)) => root.report(problem.at(format!("task[{number}].{field}"))),
            Ok(None) if task.pest.is_none() => root.report(
                Problem::error(
                    "visit::no-pest",
                    format!("task `{}` names no pest and the visit has no finding", shown(&task.id)),
                )
                .expected("the pest that was identified, such as `chinch bug`")
                .mend("identify the pest first, then write it under `[finding]`")
                .at(format!("task[{number}].pest")),
            ),
            Ok(_) => {}
        }
    }
}
