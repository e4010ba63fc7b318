//! Limits that contradict each other.

use crate::clause::Statement;
use crate::constraint::{Constraints, Irrigation, Range};
use crate::product::Label;
use crate::use_row::{Claim, Method, PreventiveUse, UseRow};
use problem::Problem;

use super::use_path;

pub(super) fn check(label: &Label, list: &mut Vec<Problem>) {
    ranges("restraints", &label.restraints, list);
    ingredients("restraints", label, &label.restraints, list);
    for (index, row) in label.uses.iter().enumerate() {
        let path = use_path(index);
        ranges(&path, &row.constraints, list);
        ingredients(&path, label, &row.constraints, list);
        prohibited(&path, label, row, list);
        prevention(&path, row, list);
        looser(&path, label, row, list);
        count_in_window(&path, label, row, list);
        formulation(&path, label, row, list);
    }
}

/// A claim to prevent in a use that is for pests that are there.
fn prevention(path: &str, row: &UseRow, list: &mut Vec<Problem>) {
    if row.preventive.value() != Some(&PreventiveUse::OnlyWhenPresent) {
        return;
    }
    for (index, claim) in row.pests.iter().enumerate().filter(|(_, claim)| claim.claim == Claim::Preventive) {
        list.push(
            Problem::error(
                "label::prevents-what-is-there",
                format!("use `{}` claims to prevent {}, and is for pests that are there only", row.id, claim.pest),
            )
            .expected("`claim = \"preventive\"`, or `preventive` as `\"only-when-present\"`, not both")
            .mend("compare the two with the printed label")
            .at(format!("{path}.pest[{}].claim", index + 1)),
        );
    }
}

fn ranges(path: &str, said: &Constraints, list: &mut Vec<Problem>) {
    reversed(path, "carrier", &said.carrier, list);
    reversed(path, "temperature", &said.temperature, list);
    reversed(path, "relative_humidity", &said.relative_humidity, list);
    reversed(path, "water_ph", &said.water_ph, list);
    let wind = match &said.wind {
        Statement::Stated { value, clause } => Statement::Stated {
            value: Range { at_least: value.at_least, at_most: value.at_most },
            clause: clause.clone(),
        },
        _ => Statement::Silent,
    };
    reversed(path, "wind", &wind, list);
}

fn reversed<T: PartialOrd>(path: &str, key: &str, statement: &Statement<Range<T>>, list: &mut Vec<Problem>) {
    if let Some(Range { at_least: Some(least), at_most: Some(most) }) = statement.value()
        && least > most
    {
        list.push(
            Problem::error(
                "label::range-order",
                format!("`at_least` of {} is above its `at_most`", key.replace('_', " ")),
            )
            .expected("the lower end first")
            .mend("exchange the two, or compare them with the printed label")
            .at(format!("{path}.{key}")),
        );
    }
}

/// A cap that counts an ingredient which the product does not hold, or leaves open which.
fn ingredients(path: &str, label: &Label, said: &Constraints, list: &mut Vec<Problem>) {
    let held = &label.product.active_ingredients;
    let names: Vec<String> = held.iter().map(|ingredient| format!("`{}`", ingredient.name)).collect();
    for (index, cap) in said.caps.iter().enumerate() {
        let Some(cap) = cap.value() else { continue };
        let counts_ingredient = matches!(cap.amount, crate::CapAmount::ActiveIngredient(_));
        let found = match &cap.active_ingredient {
            Some(name) if !held.iter().any(|ingredient| ingredient.name.eq_ignore_ascii_case(name)) => {
                format!("the cap counts `{name}`, which the product does not hold")
            }
            None if counts_ingredient && held.len() > 1 => {
                "the cap does not say which active ingredient it counts".to_owned()
            }
            _ => continue,
        };
        list.push(
            Problem::error("label::unknown-ingredient", found)
                .expected(format!("one of {}", names.join(", ")))
                .mend("write `of = \"…\"` with the name under which the product lists it")
                .at(format!("{path}.cap[{}]", index + 1)),
        );
    }
}

/// A restraint beats a permission: a row that permits what a restraint forbids can never be used.
fn prohibited(path: &str, label: &Label, row: &UseRow, list: &mut Vec<Problem>) {
    for site in label.restraints.prohibited_sites.iter().filter_map(Statement::value) {
        if row.sites.contains(site) {
            list.push(
                Problem::error(
                    "label::permits-prohibited",
                    format!("use `{}` lists the site `{}`, which a restraint forbids", row.id, site.word()),
                )
                .expected("a use that no restraint forbids; the restraint governs")
                .mend("take the site out of the use, or correct the restraint if the printed label differs")
                .at(format!("{path}.sites")),
            );
        }
    }
    if label.restraints.prohibited_methods.iter().filter_map(Statement::value).any(|method| *method == row.method) {
        list.push(
            Problem::error(
                "label::permits-prohibited",
                format!("use `{}` has the method `{}`, which a restraint forbids", row.id, row.method.word()),
            )
            .expected("a use that no restraint forbids; the restraint governs")
            .mend("take the use out, or correct the restraint if the printed label differs")
            .at(format!("{path}.method")),
        );
    }
    if let Some(claim) = row
        .pests
        .iter()
        .find(|claim| row.pests_excluded.iter().any(|excluded| excluded.eq_ignore_ascii_case(&claim.pest)))
    {
        list.push(
            Problem::error(
                "label::permits-prohibited",
                format!("use `{}` both claims and excludes `{}`", row.id, claim.pest),
            )
            .expected("a pest either claimed or excluded")
            .mend("compare both lists with the printed label")
            .at(format!("{path}.pests_excluded")),
        );
    }
}

/// A row that is looser than a restraint on the same subject.
fn looser(path: &str, label: &Label, row: &UseRow, list: &mut Vec<Problem>) {
    let (all, own) = (&label.restraints, &row.constraints);
    let mut tell = |key: &str, is_looser: bool| {
        if is_looser {
            list.push(
                Problem::warning(
                    "label::looser-than-restraint",
                    format!("use `{}` is looser on `{key}` than the restraint of the product", row.id),
                )
                .expected("a use as strict as the restraint, or stricter; the stricter governs")
                .mend("nothing to do if the printed label reads so; otherwise correct one of the two")
                .at(format!("{path}.{key}")),
            );
        }
    };
    tell("rain_free", less(&own.rain_free, &all.rain_free));
    tell("minimum_interval_days", less(&own.minimum_interval_days, &all.minimum_interval_days));
    tell("restricted_entry", less(&own.restricted_entry, &all.restricted_entry));
    tell("harvest_interval_days", less(&own.harvest_interval_days, &all.harvest_interval_days));
    tell("reseeding_interval_days", less(&own.reseeding_interval_days, &all.reseeding_interval_days));
    tell("use_within", less(&all.use_within, &own.use_within));
    tell("temperature", wider(&own.temperature, &all.temperature));
    tell("carrier", wider(&own.carrier, &all.carrier));
    tell("relative_humidity", wider(&own.relative_humidity, &all.relative_humidity));
    let of_wind = |said: &Constraints| said.wind.value().map(|wind| (wind.at_least, wind.at_most));
    let wind_is_wider = of_wind(own).zip(of_wind(all)).is_some_and(|((least, most), (all_least, all_most))| {
        least.zip(all_least).is_some_and(|(a, b)| a < b) || most.zip(all_most).is_some_and(|(a, b)| a > b)
    });
    tell("wind", wind_is_wider);
    let more_often = own.maximum_applications.value().zip(all.maximum_applications.value());
    tell("maximum_applications", more_often.is_some_and(|(a, b)| a.window == b.window && a.count > b.count));
    let prohibition = |said: &Constraints| match said.irrigation.value() {
        Some(Irrigation::ProhibitedFor(time)) => Some(*time),
        _ => None,
    };
    tell("irrigation", prohibition(own).zip(prohibition(all)).is_some_and(|(a, b)| a < b));
    for buffer in own.buffers.iter().filter_map(Statement::value) {
        let nearer = all
            .buffers
            .iter()
            .filter_map(Statement::value)
            .any(|other| other.feature == buffer.feature && other.distance > buffer.distance);
        tell("buffer", nearer);
    }
}

fn less<T: PartialOrd>(a: &Statement<T>, b: &Statement<T>) -> bool {
    a.value().zip(b.value()).is_some_and(|(a, b)| a < b)
}

fn wider<T: PartialOrd>(own: &Statement<Range<T>>, all: &Statement<Range<T>>) -> bool {
    own.value().zip(all.value()).is_some_and(|(own, all)| {
        own.at_least.as_ref().zip(all.at_least.as_ref()).is_some_and(|(a, b)| a < b)
            || own.at_most.as_ref().zip(all.at_most.as_ref()).is_some_and(|(a, b)| a > b)
    })
}

/// A number of applications that the interval cannot fit into the window.
fn count_in_window(path: &str, label: &Label, row: &UseRow, list: &mut Vec<Problem>) {
    let (own, all) = (&row.constraints, &label.restraints);
    let counts = [&own.maximum_applications, &all.maximum_applications];
    let intervals = [&own.minimum_interval_days, &all.minimum_interval_days];
    let Some(count) = counts.iter().filter_map(|said| said.value()).map(|said| said.count).min() else { return };
    let Some(days) = intervals.iter().filter_map(|said| said.value()).max() else { return };
    // A calendar year has room for a first application on its first day and a last one 365 days later at most.
    let fitting = 365_u32.checked_div(*days).map_or(u32::MAX, |spans| spans + 1);
    if count > fitting {
        list.push(
            Problem::warning(
                "label::count-beyond-window",
                format!(
                    "use `{}`: {count} applications {} apart do not fit into a year",
                    row.id,
                    quantity::counted(*days, "day", "days")
                ),
            )
            .expected(format!("{fitting} at most"))
            .mend("compare the number and the interval with the printed label; days may stand for weeks")
            .at(format!("{path}.maximum_applications")),
        );
    }
}

fn formulation(path: &str, label: &Label, row: &UseRow, list: &mut Vec<Problem>) {
    let formulation = label.product.formulation;
    let dry_method = matches!(row.method, Method::GranularBroadcast | Method::BaitBroadcast | Method::BaitStation);
    let does_not_fit = if formulation.is_applied_dry() {
        row.method.is_sprayed() || row.method == Method::Injection
    } else {
        dry_method
    };
    if does_not_fit {
        list.push(
            Problem::error(
                "label::formulation-method",
                format!("a product of formulation {} cannot go out by `{}`", formulation.code(), row.method.word()),
            )
            .expected(if formulation.is_applied_dry() {
                "a method for dry products, such as `granular-broadcast` or `bait-broadcast`"
            } else {
                "a method for products that go out in water"
            })
            .mend("correct the method, or the formulation of the product")
            .at(format!("{path}.method")),
        );
    }
}
