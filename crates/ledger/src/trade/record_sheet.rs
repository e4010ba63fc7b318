//! A record as those who live there are told of it: what was applied where, and what the labels ask afterwards.

use super::OfKind;
use crate::{Book, Filter, LedgerError};
use business::{Applied, AppliedProduct, TreatedPlace};
use exchange::kept::{self, Kept};
use jiff::civil::DateTime;
use jurisdiction::Jurisdiction;
use label::{Label, UseRow};
use problem::{Problem, Problems};
use property::Property;
use quantity::{Amount, AreaUnit};
use record::{ApplicationRecord, Fact, Moment, ProductRecord, TargetCounts, TaskRecord, misapplied, place_name};
use std::collections::BTreeMap;
use treatment::{Applicator, LabelCare, label_care};

/// What a record tells of the work, without what only the business needs. `property` has the names of the places;
/// without it they are called as the record does.
///
/// # Errors
/// `record::no-time` when it does not say when the work began or ended: all times of the labels count from the end.
pub fn applied_of(record: &ApplicationRecord, property: Option<&Property>) -> Result<Applied, Problems> {
    let mut problems = Problems::new();
    let mut time = |moment: &Fact<Moment>, what: &str, field: &str| -> DateTime {
        let local = moment.value().map(|moment| moment.local);
        local.unwrap_or_else(|| {
            problems.push(
                Problem::error("record::no-time", format!("the record does not say when the work {what}"))
                    .expected("the time, since what the labels ask counts from the end of the work")
                    .mend(format!("amend the record with `{field} = \"07:05\"` in an as-applied file"))
                    .at(field),
            );
            DateTime::MIN
        })
    };
    let (start, end) = (time(&record.started, "began", "started"), time(&record.ended, "ended", "ended"));
    if problems.has_errors() {
        return Err(problems);
    }
    Ok(Applied {
        visit: record.name.clone(),
        property: record.property.name.clone(),
        start,
        end,
        places: put_down(record).map(|task| place(task, property)).collect(),
        products: products(record),
        by: people(record),
        why: reasons(record),
        misapplied: misapplied(record, &|task| place(task, property).places.join(", ")),
    })
}

/// The tasks of which anything was put down.
fn put_down(record: &ApplicationRecord) -> impl Iterator<Item = &TaskRecord> {
    record.tasks.iter().filter(|task| task.was_put_down())
}

fn place(task: &TaskRecord, property: Option<&Property>) -> TreatedPlace {
    let mut places: Vec<String> = Vec::new();
    for zone in &task.zones {
        let name = place_name(property, zone);
        if !places.contains(&name) {
            places.push(name);
        }
    }
    if places.is_empty() {
        places.push(task.id.replace('-', " "));
    }
    TreatedPlace {
        places,
        method: task.method,
        products: task.products.iter().map(|product| product.name.clone()).collect(),
        pests: task.pest.value().cloned().into_iter().collect(),
        ground: task.ground,
        wall: task.wall,
    }
}

/// Every product with what was put down of it in all.
fn products(record: &ApplicationRecord) -> Vec<AppliedProduct> {
    let mut all: Vec<(&ProductRecord, Option<Amount>)> = Vec::new();
    for product in put_down(record).flat_map(|task| &task.products) {
        match all.iter_mut().find(|(known, _)| known.label == product.label) {
            Some((_, total)) => *total = total.and_then(|total| total.checked_add(product.amount)),
            None => all.push((product, Some(product.amount))),
        }
    }
    let product = |(product, amount): (&ProductRecord, Option<Amount>)| AppliedProduct {
        name: product.name.clone(),
        registration_number: product.registration_number.value().cloned(),
        active_ingredients: product
            .active_ingredients
            .value()
            .into_iter()
            .flatten()
            .map(|ingredient| ingredient.name.clone())
            .collect(),
        amount,
    };
    all.into_iter().map(product).collect()
}

/// Whose hands did it, then who answers for it.
fn people(record: &ApplicationRecord) -> Vec<Applicator> {
    let certification = record.certification_number.value();
    let mut all: Vec<Applicator> = Vec::new();
    let mut add = |name: Option<&String>, is_certified: bool| {
        if let Some(name) = name
            && !all.iter().any(|known| known.name == *name)
        {
            let certification = certification.filter(|_| is_certified).cloned();
            all.push(Applicator { name: name.clone(), certified: certification.is_some(), certification });
        }
    };
    let noncertified = record.noncertified_applicator.value();
    let supervisor = record.supervisor.value();
    add(noncertified, false);
    // The number on a record is of whoever applied, or else of the one who answers for somebody without one.
    add(record.applicator.value(), noncertified.is_none() || supervisor.is_none());
    add(supervisor, noncertified.is_some());
    all
}

fn reasons(record: &ApplicationRecord) -> Vec<String> {
    let mut all = Vec::new();
    let counted = record.target_counts.value();
    all.extend(counted.map(counts_words));
    for pest in put_down(record).filter_map(|task| task.pest.value()) {
        let is_told = counted.is_some_and(|counted| counted.pest.eq_ignore_ascii_case(pest));
        let words = format!("{pest}, without a count on record");
        if !is_told && !all.contains(&words) {
            all.push(words);
        }
    }
    all
}

fn counts_words(counted: &TargetCounts) -> String {
    let total: u64 = counted.counts.iter().copied().map(u64::from).sum();
    let stations = quantity::counted(counted.counts.len(), "station", "stations");
    let area = counted.count_area.map(|area| format!(" of {} each", area.show(AreaUnit::SquareFoot)));
    format!("{}, {total} counted at {stations}{}", counted.pest, area.unwrap_or_default())
}

impl Book {
    /// What the labels ask after the work of a record, by the labels that the books keep, each in the version that
    /// was on the container. Where a record does not name the use row, every row of its method counts.
    ///
    /// # Errors
    /// `record::no-label` for every label that the books do not keep; the database fails.
    pub async fn care_after(
        &self,
        record: &ApplicationRecord,
        place: Option<&Jurisdiction>,
    ) -> Result<(LabelCare, Problems), LedgerError> {
        let mut problems = Problems::new();
        // Labels print states of the United States.
        let state = place.filter(|place| place.country_code() == "US").and_then(Jurisdiction::division_code);
        let mut labels = Labels::new();
        for product in put_down(record).flat_map(|task| &task.products) {
            let container = container(product);
            if labels.contains_key(&container) {
                continue;
            }
            let label = match self.label_on(product).await? {
                Ok((label, doubt)) => {
                    problems.extend(doubt);
                    Some(label::for_state(&label, state))
                }
                Err(problem) => {
                    problems.push(problem);
                    None
                }
            };
            labels.insert(container, label);
        }
        if problems.has_errors() {
            return Err(problems.into());
        }
        let tasks: Vec<Vec<(&Label, &UseRow)>> = put_down(record).map(|task| parts(task, &labels)).collect();
        Ok((label_care(&tasks), problems))
    }

    /// The label that was on the container, or why there is none; beside it what is not sure of it.
    async fn label_on(
        &self,
        product: &ProductRecord,
    ) -> Result<Result<(Label, Option<Problem>), Problem>, LedgerError> {
        let all = self.all(&Filter::of(kept::Label::KIND)).await?;
        let Some(newest) = all.into_iter().find(|entry| entry.indexed.title == product.label) else {
            return Ok(Err(Problem::error("record::no-label", format!("the books keep no label `{}`", product.label))
                .expected("the label that was on the container: what people are told afterwards stands on it")
                .mend("keep it: `tussock label keep FILE`")));
        };
        let wanted = product.label_version.value();
        let read = |body: &str| -> Result<Label, Problems> { kept::Label::read(body)?.parsed() };
        for entry in self.versions(newest.thing).await?.iter().rev().filter(|entry| !entry.discards) {
            let label = read(&entry.body)?;
            if wanted.is_none_or(|version| *version == label.product.label_version) {
                return Ok(Ok((label, None)));
            }
        }
        let label = read(&newest.body)?;
        let doubt = Problem::warning(
            "record::label-version",
            format!(
                "the record names version `{}` of `{}`, and the books keep `{}`",
                wanted.map_or("", String::as_str),
                product.label,
                label.product.label_version
            ),
        )
        .expected("the label that was on the container")
        .mend("compare the sheet with that label, or keep it: `tussock label keep FILE`");
        Ok(Ok((label, Some(doubt))))
    }
}

/// The labels by what stands on the containers: identifier and version.
type Labels<'r> = BTreeMap<(&'r str, Option<&'r str>), Option<Label>>;

fn container(product: &ProductRecord) -> (&str, Option<&str>) {
    (&product.label, product.label_version.value().map(String::as_str))
}

/// The labels of a task with the rows that govern it.
fn parts<'l>(task: &'l TaskRecord, labels: &'l Labels<'_>) -> Vec<(&'l Label, &'l UseRow)> {
    let mut all = Vec::new();
    for product in &task.products {
        let Some(Some(label)) = labels.get(&container(product)) else { continue };
        let named = product.use_row.value().and_then(|id| label.uses.iter().find(|row| row.id == *id));
        match named {
            Some(row) => all.push((label, row)),
            None => all.extend(label.uses.iter().filter(|row| row.method == task.method).map(|row| (label, row))),
        }
    }
    all
}
