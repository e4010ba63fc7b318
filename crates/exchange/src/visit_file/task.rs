//! The tasks wanted.

use super::link::Known;
use super::target::read_target;
use crate::quantity_field as quantity_of;
use crate::toml_source::{Field, Table};
use geometry::LocalPlane;
use label::Method;
use problem::Problem;
use treatment::{Overlap, PartnerRequest, RateWish, TaskRequest};

/// Reads one task; `before` are the names of those read before it.
pub(super) fn read_task(
    table: Table<'_>,
    plane: Option<&LocalPlane>,
    known: &Known<'_>,
    before: &mut Vec<String>,
) -> Option<TaskRequest> {
    let id = table.required_as("id", "its name, which no other task has").and_then(|field| {
        let id = field.text()?.to_owned();
        if before.contains(&id) {
            field.report(
                Problem::error("visit::task-twice", format!("two tasks are called `{id}`"))
                    .expected("a name for each task that no other has")
                    .mend("rename one of them"),
            );
        }
        before.push(id.clone());
        Some(id)
    });
    let method = table.required("method").and_then(|field| field.word(Method::ALL, |method: Method| method.word()));
    let finding = table.optional("finding").map(|field| field.text().map(str::to_owned));
    let product = read_product(&table, known);
    let partners = table.tables("partner").into_iter().map(|table| read_partner(table, known)).collect::<Vec<_>>();
    let equipment = table.required_as("equipment", "the id of a sprayer or spreader");
    let calibration = table.optional("calibration");
    let (equipment, calibration) = read_equipment(equipment.as_ref(), calibration.as_ref(), known);
    let spray = table.optional("spray").map(|field| {
        let spray = quantity_of::volume(&field)?;
        if !spray.is_positive() {
            field.report(Problem::error("visit::no-spray", "the spray is nothing").expected("a volume above zero"));
            return None;
        }
        Some(spray)
    });
    let target = table
        .required_as("target", "where, such as `{ site = \"turf\" }`")
        .and_then(|field| read_target(&field, plane, known));
    let overlap = match table.optional("overlap") {
        Some(field) => field.word(&["resolved", "unresolved"], |word| word).map(|word| match word {
            "resolved" => Overlap::Resolved,
            _ => Overlap::Unresolved,
        }),
        None => Some(Overlap::Resolved),
    };
    table.finish();
    let PartnerRequest { label, rate, pest } = product?;
    Some(TaskRequest {
        id: id?,
        method: method?,
        finding: finding.map_or(Some(None), |finding| finding.map(Some))?,
        pest,
        label,
        rate,
        partners: partners.into_iter().collect::<Option<Vec<_>>>()?,
        equipment: equipment?,
        calibration,
        spray: spray.map_or(Some(None), |spray| spray.map(Some))?,
        target: target?,
        overlap: overlap?,
    })
}

/// What else goes into the same tank.
fn read_partner(table: Table<'_>, known: &Known<'_>) -> Option<PartnerRequest> {
    let product = read_product(&table, known);
    table.finish();
    product
}

/// A product with its rate, and the pest where it is meant for one of its own.
fn read_product(table: &Table<'_>, known: &Known<'_>) -> Option<PartnerRequest> {
    let label = table.required_as("label", "the id of a label on the shelf").and_then(|field| {
        let label = field.text()?;
        known.check_label(&field, label);
        Some(label.to_owned())
    });
    let rate = table
        .required_as("rate", "a rate with its basis, `\"lowest\"`, or `\"highest lawful\"`")
        .and_then(|field| read_rate(&field));
    let pest = table.optional("pest").and_then(|field| field.text()).map(str::to_lowercase);
    Some(PartnerRequest { label: label?, rate: rate?, pest })
}

fn read_rate(field: &Field<'_>) -> Option<RateWish> {
    match field.text()?.to_lowercase().as_str() {
        "lowest" => Some(RateWish::Lowest),
        "highest lawful" => Some(RateWish::HighestLawful),
        "highest" => {
            field.report(
                Problem::error("visit::rate-wish", "`highest` leaves open what it is measured against")
                    .expected("`highest lawful`: the highest that label, limits and history allow")
                    .mend("write `rate = \"highest lawful\"`"),
            );
            None
        }
        _ => {
            let rate = quantity_of::rate(field)?;
            if rate.value() > 0.0 {
                return Some(RateWish::Stated(rate));
            }
            field.report(Problem::error("visit::no-rate", "the rate is nothing").expected("a rate above zero"));
            None
        }
    }
}

fn read_equipment(
    equipment: Option<&Field<'_>>,
    calibration: Option<&Field<'_>>,
    known: &Known<'_>,
) -> (Option<String>, Option<String>) {
    let id = equipment.and_then(Field::text);
    let sprayer = equipment.zip(id).and_then(|(field, id)| known.equipment(field, id));
    let name = calibration.and_then(Field::text);
    if let (Some(sprayer), Some(field), Some(name)) = (sprayer, calibration, name)
        && let Err(problems) = sprayer.calibration(Some(name))
    {
        for problem in problems {
            field.report(problem);
        }
    }
    (id.map(str::to_owned), name.map(str::to_owned))
}
