//! The uses that may be planned, what was applied, and what is in hand.

use super::{Names, money, percent, pests, place_of};
use crate::quantity_field as quantity_of;
use crate::toml_source::{Table, nearest, shown};
use business::Currency;
use label::{Label, UseRow, names_pest};
use problem::{Place, Problem, Problems};
use season::programme::{Control, CostPerArea, PastApplication, ProductUse, Share, Stock};

/// The uses, and whether every label that they name was found.
pub(super) fn read(
    root: &Table<'_>,
    names: &Names,
    labels: Option<&[Label]>,
    currency: Option<Currency>,
) -> (Option<Vec<ProductUse>>, bool) {
    let uses: Vec<_> = root.tables("use").into_iter().map(|table| read_use(table, names, labels, currency)).collect();
    (uses.into_iter().collect(), labels.is_some())
}

fn label_of<'a>(table: &Table<'_>, labels: Option<&'a [Label]>) -> Option<&'a Label> {
    let field = table.required_as("label", "the id of a label on the shelf")?;
    let text = field.text()?;
    let labels = labels?;
    let found = labels.iter().find(|label| label.id == text);
    if found.is_none() {
        let near = nearest(text, labels.iter().map(|label| label.id.as_str()));
        let problem = Problem::error("season::unknown-label", format!("no label on the shelf is `{}`", shown(text)));
        field.report(match near {
            Some(near) => problem.mend(format!("did you mean `{near}`?")),
            None => problem.mend("add its file to `labels`"),
        });
    }
    found
}

fn row_of<'a>(table: &Table<'_>, label: Option<&'a Label>) -> Option<&'a UseRow> {
    let field = table.required_as("row", "the id of a use row of the label")?;
    let text = field.text()?;
    let label = label?;
    let found = label.uses.iter().find(|row| row.id == text);
    if found.is_none() {
        let rows: Vec<&str> = label.uses.iter().map(|row| row.id.as_str()).collect();
        let problem =
            Problem::error("season::unknown-row", format!("the label `{}` has no use row `{}`", label.id, shown(text)));
        field.report(match nearest(text, rows.iter().copied()) {
            Some(near) => problem.mend(format!("did you mean `{near}`?")),
            None => problem.expected(format!("one of `{}`", rows.join("`, `"))),
        });
    }
    found
}

fn read_use(
    table: Table<'_>,
    names: &Names,
    labels: Option<&[Label]>,
    currency: Option<Currency>,
) -> Option<ProductUse> {
    let id = table.required_as("id", "the word by which the season names the use").and_then(|field| field.text());
    let label = label_of(&table, labels);
    let row = row_of(&table, label);
    let rate = match table.optional("rate") {
        Some(field) => quantity_of::rate(&field).map(Some),
        None => Some(None),
    };
    let cost = table
        .required_as("cost", "product and work, such as `{ money = \"3.10\", per = \"1,000 sq ft\" }`")
        .and_then(|field| field.table())
        .and_then(|table| cost(table, currency));
    let controls: Option<Vec<Control>> =
        table.tables("control").into_iter().map(|table| control(table, names, row)).collect();
    if controls.as_ref().is_some_and(Vec::is_empty) {
        table.report(
            Problem::error("season::no-control", "nothing says what the use controls")
                .expected("one `[[use.control]]` or more, with `pest` and `by_age`"),
        );
    }
    let made = match (id, label, row, rate, cost, controls) {
        (Some(id), Some(label), Some(row), Some(rate), Some(cost), Some(controls)) => {
            match ProductUse::of_label(id, label, row, rate, cost, controls) {
                Ok(made) => Some(made),
                Err(problems) => {
                    report_all(&table, problems);
                    None
                }
            }
        }
        _ => None,
    };
    table.finish();
    made
}

fn report_all(table: &Table<'_>, problems: Problems) {
    for problem in problems {
        table.report(Problem { place: Place::default(), ..problem });
    }
}

fn cost(table: Table<'_>, currency: Option<Currency>) -> Option<CostPerArea> {
    let amount = table.required("money").and_then(|field| money(&field, currency?));
    let per = table.required("per").and_then(|field| {
        let per = quantity_of::area(&field)?;
        if !per.is_positive() {
            field.report(Problem::error("season::no-area", "the area is nothing").expected("an area above zero"));
        }
        per.is_positive().then_some(per)
    });
    table.finish();
    Some(CostPerArea { cost: amount?, per: per? })
}

fn control(table: Table<'_>, names: &Names, row: Option<&UseRow>) -> Option<Control> {
    let named = table.required("pest");
    let pest = named.as_ref().and_then(|field| pests::place(field, names));
    let by_age = table
        .required_as("by_age", "percent controlled in the week of application, a week later, and so on")
        .and_then(|field| field.each(|share| percent(share).and_then(Share::new)));
    if let (Some(row), Some(field), Some(at)) = (row, &named, pest) {
        let name = &names.pests[at];
        let excluded = row.pests_excluded.iter().any(|excluded| names_pest(excluded, name));
        let is_listed = !row.claims_against(name).is_empty();
        if excluded || (!is_listed && row.only_these_pests) {
            field.report(
                Problem::error("season::pest-excluded", format!("the use row `{}` is not for `{name}`", row.id))
                    .expected("a pest that the row names")
                    .mend("take another use for it: what the label excludes no programme may plan"),
            );
        } else if !is_listed {
            field.report(
                Problem::warning("season::unlisted-pest", format!("the use row `{}` does not name `{name}`", row.id))
                    .expected("a pest that the row names")
                    .mend("FIFRA section 2(ee) lets a pest that is not named be treated on a site that is, unless the label or the state forbids it: ask before"),
            );
        }
    }
    table.finish();
    let pest = pest?;
    let preventive = row.is_some_and(|row| row.permits_prevention(&names.pests[pest]).is_some());
    Some(Control { pest, by_age: by_age?, preventive })
}

/// What was applied before: a use of the season, or a label of the shelf at a rate.
pub(super) fn past(
    root: &Table<'_>,
    names: &Names,
    labels: Option<&[Label]>,
    uses: Option<&[ProductUse]>,
) -> Option<Vec<PastApplication>> {
    let past: Vec<_> = root.tables("applied").into_iter().map(|table| applied(table, names, labels, uses)).collect();
    past.into_iter().collect()
}

fn applied(
    table: Table<'_>,
    names: &Names,
    labels: Option<&[Label]>,
    uses: Option<&[ProductUse]>,
) -> Option<PastApplication> {
    let date = table.required("date").and_then(|field| field.date());
    let ground = table.required("ground").and_then(|field| place_of(&field, &names.grounds, "ground"));
    let rate = match table.optional("rate") {
        Some(field) => quantity_of::amount_per_area(&field).map(Some),
        None => Some(None),
    };
    let made = if let Some(field) = table.optional("use") {
        let at = place_of(&field, &names.uses, "use");
        at.zip(uses).zip(rate).map(|((at, uses), rate)| {
            let of = &uses[at];
            let times = rate.and_then(|rate| rate.ratio(of.per_area)).unwrap_or(1.0);
            PastApplication {
                date: date.unwrap_or_default(),
                ground: ground.unwrap_or_default(),
                product_use: Some(at),
                label: of.label.clone(),
                per_area: of.per_area.scaled(times),
                ingredients: of.ingredients.iter().map(|(name, mass)| (name.clone(), *mass * times)).collect(),
                groups: of.groups.clone(),
            }
        })
    } else {
        let label = label_of(&table, labels);
        if rate == Some(None) {
            table.report(
                Problem::error("season::no-rate", "it is not clear how much lay on the ground afterwards")
                    .expected("`use`, or both `label` and `rate`"),
            );
        }
        label.zip(rate.flatten()).map(|(label, per_area)| {
            let ingredients = &label.product.active_ingredients;
            let known = ingredients.iter().filter_map(|ingredient| {
                Some((ingredient.name.clone(), label.product.ingredient_per_area(ingredient, per_area)?))
            });
            PastApplication {
                date: date.unwrap_or_default(),
                ground: ground.unwrap_or_default(),
                product_use: None,
                label: label.id.clone(),
                per_area,
                ingredients: known.collect(),
                groups: ingredients.iter().filter_map(|ingredient| ingredient.group.clone()).collect(),
            }
        })
    };
    table.finish();
    (date.is_some() && ground.is_some()).then_some(made).flatten()
}

/// Product in hand, where no more is bought.
pub(super) fn stock(root: &Table<'_>, labels: Option<&[Label]>) -> Option<Vec<Stock>> {
    let stock: Vec<_> = root
        .tables("stock")
        .into_iter()
        .map(|table| {
            let label = label_of(&table, labels);
            let amount = table.required_as("amount", "how much is in hand, such as `12 fl oz`");
            let amount = amount.and_then(|field| quantity_of::amount(&field));
            table.finish();
            Some(Stock { label: label?.id.clone(), amount: amount? })
        })
        .collect();
    stock.into_iter().collect()
}
