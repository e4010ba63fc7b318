//! From a task as asked to the use row of the label that governs it.

use crate::finding::{finding_of_task, only_of_pest};
use crate::request::{FindingRequest, PartnerRequest, RateWish, Target, TaskRequest, VisitRequest};
use crate::sites::{TaskSite, sites_of};
use crate::stages;
use crate::targets::{check_kept_free, check_target};
use crate::verdict::{Origin, Status, Verdict};
use label::{Conflict, Fit, Label, Method, Reason, Requirements, RowMatch, UseClass, UseRow};
use pest::is_same_pest;
use problem::{Problem, Problems};
use sprayer::Sprayer;

/// A task with everything that it names looked up.
#[derive(Debug, Clone)]
pub(crate) struct Resolved<'a> {
    /// As asked.
    pub request: &'a TaskRequest,
    /// The product that the task names.
    pub main: Product<'a>,
    /// What else goes into the same tank.
    pub partners: Vec<Product<'a>>,
    /// The strictest of what all their labels require of the application.
    pub requirements: Requirements,
    /// Sprayer or spreader.
    pub equipment: &'a Sprayer,
    /// What the choice of the rows and the mixture have to say.
    pub verdicts: Vec<Verdict>,
}

/// One product of a task.
#[derive(Debug, Clone)]
pub(crate) struct Product<'a> {
    /// The label.
    pub label: &'a Label,
    /// The use row that governs it.
    pub row: &'a UseRow,
    /// What its own label and row require: limits over time count this product's own past.
    pub requirements: Requirements,
    /// The pest that it is meant for.
    pub pest: &'a str,
    /// The finding that justifies it; `None` where nothing written down does.
    pub finding: Option<&'a FindingRequest>,
    /// The rate wanted.
    pub rate: RateWish,
}

impl<'a> Resolved<'a> {
    /// The product that the task names, then its partners.
    pub(crate) fn products(&self) -> impl Iterator<Item = &Product<'a>> {
        std::iter::once(&self.main).chain(&self.partners)
    }

    /// The name of a product before a sentence on it, where the tank holds several.
    pub(crate) fn of_product(&self, product: &Product<'_>) -> String {
        if self.partners.is_empty() { String::new() } else { format!("{}: ", product.label.product.name) }
    }
}

/// A task that no use row permits.
#[derive(Debug, Clone)]
pub(crate) struct NoUse {
    /// Why.
    pub verdicts: Vec<Verdict>,
}

/// Looks up all tasks, in the order in which the work is done.
///
/// # Errors
/// Every name that leads nowhere (label, equipment, feature), and tasks of one name.
pub(crate) fn resolve(request: &VisitRequest) -> Result<(Vec<Resolved<'_>>, Vec<NoUse>), Problems> {
    let mut problems = Problems::new();
    let mut resolved = Vec::new();
    let mut without_use = Vec::new();
    if request.tasks.is_empty() {
        problems.push(
            Problem::error("visit::no-task", "the visit has no task")
                .expected("at least one task: a method, a label, a rate and a place")
                .mend("add a task to the visit request")
                .at("task"),
        );
    }
    for (index, task) in request.tasks.iter().enumerate() {
        let at = |field: &str| format!("task[{}].{field}", index + 1);
        if request.tasks[..index].iter().any(|earlier| earlier.id == task.id) {
            problems.push(
                Problem::error("visit::task-twice", format!("two tasks are called `{}`", task.id))
                    .mend("give each task a name of its own")
                    .at(at("id")),
            );
        }
        let label = request.labels.iter().find(|label| label.id == task.label);
        if label.is_none() {
            problems.push(unknown("visit::unknown-label", "label", &task.label, &label_names(request)).at(at("label")));
        }
        let equipment = request.equipment.iter().find(|equipment| equipment.id() == task.equipment);
        if equipment.is_none() {
            let known: Vec<String> = request.equipment.iter().map(|equipment| equipment.id().to_owned()).collect();
            problems
                .push(unknown("visit::unknown-equipment", "equipment", &task.equipment, &known).at(at("equipment")));
        }
        let finding = match finding_of_task(&request.findings, task) {
            Ok(finding) => finding,
            Err((field, problem)) => {
                problems.push(problem.at(at(field)));
                continue;
            }
        };
        let pest = task.pest.as_deref().or(finding.map(|finding| finding.pest.as_str()));
        let Some(pest) = pest else {
            problems.push(
                Problem::error(
                    "visit::no-pest",
                    format!("task `{}` names no pest and the visit has no finding", task.id),
                )
                .expected("the pest that was identified, such as `chinch bug`")
                .mend("identify the pest first, then write it under `[finding]`")
                .at(at("pest")),
            );
            continue;
        };
        check_target(&request.property, task, &at, &mut problems);
        let partners = partner_labels(request, task, &at, &mut problems);
        let (Some(label), Some(equipment)) = (label, equipment) else { continue };
        let of_partners = partners.into_iter().map(|(partner, label)| {
            let own = partner.pest.as_deref().filter(|own| !is_same_pest(own, pest));
            let finding = own.map_or(finding, |own| only_of_pest(request, own));
            (label, partner.pest.as_deref().unwrap_or(pest), finding, partner.rate)
        });
        let asked = std::iter::once((label, pest, finding, task.rate)).chain(of_partners);
        let mut products = Vec::new();
        let (mut verdicts, mut refusals) = (Vec::new(), Vec::new());
        let sites = sites_of(&request.property, task);
        for (label, pest, finding, rate) in asked {
            match governing(task, label, &sites, pest) {
                Ok(found) => {
                    let requirements = label::requirements(label, found.row);
                    let product = Product { label, row: found.row, requirements, pest, finding, rate };
                    verdicts.extend(row_verdicts(request, task, &found, &product));
                    products.push(product);
                }
                Err(refused) => refusals.extend(refused),
            }
        }
        if !refusals.is_empty() {
            without_use.push(NoUse { verdicts: refusals });
            continue;
        }
        let parts: Vec<(&Label, &UseRow)> = products.iter().map(|product| (product.label, product.row)).collect();
        let (requirements, conflicts) = label::combined(&parts);
        verdicts.extend(mixture_verdicts(task, &products, &requirements, conflicts));
        let mut products = products.into_iter();
        let Some(main) = products.next() else { continue };
        resolved.push(Resolved {
            request: task,
            main,
            partners: products.collect(),
            requirements,
            equipment,
            verdicts,
        });
    }
    check_kept_free(request, &resolved, &mut problems);
    if problems.has_errors() {
        return Err(problems);
    }
    resolved.sort_by_key(|task| order(task.request));
    Ok((resolved, without_use))
}

/// The labels of what else goes into the tank.
fn partner_labels<'a>(
    request: &'a VisitRequest,
    task: &'a TaskRequest,
    at: &impl Fn(&str) -> String,
    problems: &mut Problems,
) -> Vec<(&'a PartnerRequest, &'a Label)> {
    if !task.partners.is_empty() && !task.method.is_sprayed() {
        problems.push(
            Problem::error(
                "visit::partner-without-tank",
                format!("task `{}` is done dry, and names a partner for the tank", task.id),
            )
            .expected("partners only where spray is mixed")
            .mend("make it a task of its own")
            .at(at("partner")),
        );
    }
    let mut found = Vec::new();
    for (index, partner) in task.partners.iter().enumerate() {
        let at = at(&format!("partner[{}].label", index + 1));
        let again =
            task.label == partner.label || task.partners[..index].iter().any(|held| held.label == partner.label);
        if again {
            problems.push(
                Problem::error("visit::partner-twice", format!("label `{}` is in the tank twice", partner.label))
                    .mend("name each product once, at the rate that it is to have in all")
                    .at(at.clone()),
            );
        }
        match request.labels.iter().find(|label| label.id == partner.label) {
            Some(label) => found.push((partner, label)),
            None => {
                problems.push(unknown("visit::unknown-label", "label", &partner.label, &label_names(request)).at(at));
            }
        }
    }
    found
}

/// What stands against the products in one tank, and what a person has to read for it.
fn mixture_verdicts(
    task: &TaskRequest,
    products: &[Product<'_>],
    requirements: &Requirements,
    conflicts: Vec<Conflict>,
) -> Vec<Verdict> {
    let mut verdicts = Vec::new();
    for conflict in conflicts {
        let verdict = Verdict::new(conflict.rule, Status::Refused, Origin::Label, conflict.text);
        let others: Vec<String> =
            conflict.sentences.iter().skip(1).map(|clause| format!("“{}”", clause.text)).collect();
        let mut verdict = match conflict.sentences.first() {
            Some(clause) => verdict.by(clause),
            None => verdict,
        };
        if !others.is_empty() {
            verdict.text = format!("{}; the other says {}", verdict.text, others.join(", "));
        }
        verdicts.push(verdict.on(&task.id).mend(conflict.mend));
    }
    if products.len() < 2 {
        return verdicts;
    }
    for partner in &requirements.prohibited_partners {
        let text = format!(
            "label `{}` forbids a partner in these words; see that no other product in the tank is meant: {}",
            partner.label, partner.value
        );
        verdicts.push(
            Verdict::new("mix::partner-words", Status::Caution, Origin::Label, text)
                .by(&partner.clause)
                .on(&task.id)
                .mend("read the labels in hand side by side"),
        );
    }
    // Common practice: a tank mixture that no label names is tried in a jar first.
    verdicts.push(
        Verdict::new(
            "mix::tank-mixture",
            Status::Caution,
            Origin::Default,
            "several products in one tank: the strictest of their labels is held, and no label is known to forbid it",
        )
        .on(&task.id)
        .mend("read each label on mixing, and try the mixture in a jar before filling a tank"),
    );
    verdicts
}

pub(crate) fn unknown(code: &'static str, what: &str, name: &str, known: &[String]) -> Problem {
    let list = if known.is_empty() { "none".to_owned() } else { known.join("`, `") };
    Problem::error(code, format!("no {what} is called `{name}`"))
        .expected(format!("one of `{list}`"))
        .mend(format!("correct the name, or add the {what} to the visit request"))
}

fn label_names(request: &VisitRequest) -> Vec<String> {
    request.labels.iter().map(|label| label.id.clone()).collect()
}

/// The order of the work: entry points, walls and band, ornamentals, single places, then the rest.
///
/// # Source
/// Common practice, no source.
fn order(task: &TaskRequest) -> u8 {
    match (&task.target, task.method) {
        (_, Method::CrackAndCrevice) | (Target::EntryPoints { .. }, _) => 0,
        (Target::Structures { .. }, _) => 1,
        (Target::Features(_), _) => 2,
        (Target::Ground(_) | Target::HotSpots { .. }, _) => 3,
        (Target::Places { .. }, _) => 5,
        (Target::Turf, _) => 4,
    }
}

/// The use row of a label that permits a task on every one of its sites.
///
/// # Errors
/// What refuses it: no row for the main site, none for another one, or no single row for all of them:
/// rates and distances of different rows cannot govern one task.
fn governing<'a>(
    task: &TaskRequest,
    label: &'a Label,
    sites: &[TaskSite],
    pest: &str,
) -> Result<RowMatch<'a>, Vec<Verdict>> {
    let Some((main, others)) = sites.split_first() else { return Err(Vec::new()) };
    let rows = label::rows_for(label, main.site, pest, task.method);
    let Some(first) = rows.iter().find(|row| row.is_permitted()) else {
        return Err(rejection(task, label, &rows, main, pest));
    };
    let elsewhere: Vec<(&TaskSite, Vec<RowMatch<'a>>)> =
        others.iter().map(|other| (other, label::rows_for(label, other.site, pest, task.method))).collect();
    let permits = |rows: &[RowMatch<'a>], row: &UseRow| {
        rows.iter().any(|other| other.is_permitted() && std::ptr::eq(other.row, row))
    };
    let of_all =
        rows.iter().find(|found| found.is_permitted() && elsewhere.iter().all(|(_, rows)| permits(rows, found.row)));
    if let Some(found) = of_all {
        return Ok(found.clone());
    }
    let mut refusals = Vec::new();
    for (other, rows) in &elsewhere {
        match rows.iter().find(|row| row.is_permitted()) {
            None => refusals.extend(rejection(task, label, rows, other, pest)),
            Some(row) if !permits(rows, first.row) => {
                let text = format!(
                    "{} is under use `{}` of `{}`, and {} under use `{}`: their rates and distances differ",
                    main.words(),
                    first.row.id,
                    label.product.name,
                    other.words(),
                    row.row.id
                );
                refusals.push(
                    Verdict::new("use::site", Status::Refused, Origin::Label, text)
                        .by(&row.row.clause)
                        .on(task.id.clone())
                        .mend("make a task of its own for each site"),
                );
            }
            Some(_) => {}
        }
    }
    Err(refusals)
}

/// Every use row with the sentence that rejects it, the nearest to what was asked first.
fn rejection(task: &TaskRequest, label: &Label, rows: &[RowMatch<'_>], site: &TaskSite, pest: &str) -> Vec<Verdict> {
    let what = format!("{} on {} against {pest}", task.method.word(), site.words());
    let mend = "choose a product whose label lists this use (`tussock choose`)";
    let mut rejected: Vec<_> = rows
        .iter()
        .filter_map(|row| match &row.fit {
            Fit::Rejected(rejection) => Some((row, rejection)),
            _ => None,
        })
        .collect();
    rejected.sort_by_key(|(row, rejection)| {
        let forbidden = matches!(rejection.reason, Reason::SiteProhibited | Reason::MethodProhibited);
        let forbidden_pest = matches!(rejection.reason, Reason::PestExcluded | Reason::OnlyListedPests);
        (!forbidden, !forbidden_pest, row.row.method != task.method, !row.row.sites.contains(&site.site))
    });
    if rejected.is_empty() {
        let text = format!("`{}` lists no use at all, so no {what}", label.product.name);
        return vec![Verdict::new("use::site", Status::Refused, Origin::Label, text).on(task.id.clone()).mend(mend)];
    }
    let mut verdicts: Vec<Verdict> = Vec::new();
    for (row, rejection) in rejected {
        let rule = match rejection.reason {
            Reason::SiteProhibited | Reason::SiteNotListed => "use::site",
            Reason::FoodPlants => "use::food-plants",
            Reason::MethodProhibited | Reason::MethodNotListed => "use::method",
            Reason::PestExcluded | Reason::OnlyListedPests => "use::pest",
        };
        let text = if verdicts.is_empty() {
            format!("`{}` permits no {what}: {}", label.product.name, rejection.why)
        } else {
            format!("nor does its use `{}`: {}", row.row.id, rejection.why)
        };
        // One sentence that forbids it all is said once.
        let said =
            verdicts.iter().any(|held| held.rule == rule && held.clause.as_ref() == Some(&rejection.clause.text));
        if !said {
            let verdict = Verdict::new(rule, Status::Refused, Origin::Label, text).by(&rejection.clause);
            verdicts.push(verdict.on(task.id.clone()).mend(mend));
        }
    }
    verdicts
}

fn row_verdicts(
    request: &VisitRequest,
    task: &TaskRequest,
    found: &RowMatch<'_>,
    product: &Product<'_>,
) -> Vec<Verdict> {
    let mut verdicts = Vec::new();
    let pest = product.pest;
    match &found.fit {
        Fit::Listed { claim, .. } => {
            let text = format!("the label lists {pest} on this site by this method ({})", claim.word());
            verdicts.push(
                Verdict::new("use::listed", Status::Allowed, Origin::Label, text).by(&found.row.clause).on(&task.id),
            );
        }
        Fit::UnlistedPest | Fit::Rejected(_) => {
            let text = found.caution().unwrap_or("the label does not name this pest");
            verdicts.push(
                Verdict::new("use::unlisted-pest", Status::Caution, Origin::Rule, format!("{pest}: {text}"))
                    .by(&found.row.clause)
                    .on(&task.id)
                    .mend("check the state's rule, or choose a product whose label names the pest"),
            );
        }
    }
    if let Some(kind) = found.row.pests_excluded.iter().find(|name| label::names_kind_of(name, pest)) {
        let text = format!("the label excludes `{kind}`, which is a kind of {pest}");
        verdicts.push(
            Verdict::new("use::excluded-kind", Status::Caution, Origin::Label, text)
                .by(&found.row.clause)
                .on(&task.id)
                .mend("identify which kind it is, and treat it with this only where it is another one"),
        );
    }
    verdicts.extend(stages::judge(request.date, &task.id, product));
    verdicts.extend(authority(request, task, product.label));
    verdicts
}

/// Registration in the state, and who may use the product.
fn authority(request: &VisitRequest, task: &TaskRequest, label: &Label) -> Vec<Verdict> {
    let mut verdicts = Vec::new();
    let product = &label.product;
    match &request.state {
        Some(state) if !product.registered_in.is_empty() => {
            if !product.registered_in.iter().any(|known| known.eq_ignore_ascii_case(state)) {
                let text = format!("`{}` is not registered in {state}", product.name);
                verdicts.push(
                    Verdict::new("use::registration", Status::Refused, Origin::Rule, text)
                        .on(&task.id)
                        .mend("choose a product registered there"),
                );
            }
        }
        _ => {
            let text = "registration in the state is not known from the files: confirm it";
            verdicts.push(Verdict::new("use::registration", Status::Caution, Origin::Assumed, text).on(&task.id));
        }
    }
    if product.use_class == UseClass::Restricted {
        let certified = request.applicator.as_ref().is_some_and(|applicator| applicator.certified);
        let (status, text) = if certified {
            (Status::Allowed, "restricted use product, certified applicator named")
        } else {
            (Status::Refused, "restricted use product without a certified applicator")
        };
        let verdict = Verdict::new("use::restricted", status, Origin::Rule, text).on(&task.id);
        verdicts.push(if certified { verdict } else { verdict.mend("name a certified applicator for this category") });
    }
    verdicts
}
