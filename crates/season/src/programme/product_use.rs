//! A use row of a label as a programme sees it: what it puts down, what it controls for how long, what its label
//! allows over time.

use super::money::CostPerArea;
use super::rule::Said;
use label::{CapAmount, Label, Method, Required, Requirements, Site, Statement, Strength, UseRow, Window};
use problem::{Problem, Problems};
use quantity::{AmountPerArea, MassPerArea, Rate};

/// A share from 0 to 1.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Share(f64);

impl Share {
    /// Nothing.
    pub const ZERO: Self = Self(0.0);

    /// A share; `None` for what is not from 0 to 1.
    pub fn new(part: f64) -> Option<Self> {
        (0.0..=1.0).contains(&part).then_some(Self(part))
    }

    /// The part of one.
    pub fn part(self) -> f64 {
        self.0
    }
}

/// What a use does to one pest.
#[derive(Debug, Clone, PartialEq)]
pub struct Control {
    /// Its place among the season's pests.
    pub pest: usize,
    /// The share controlled in the week of application, one week later, and so on.
    pub by_age: Vec<Share>,
    /// Whether the label permits it before the pest is there.
    pub preventive: bool,
}

/// What a limit over a window counts.
#[derive(Debug, Clone, PartialEq)]
pub enum LimitKind {
    /// Applications of the product.
    Number(u32),
    /// Product per area.
    Product(AmountPerArea),
    /// An active ingredient per area.
    Ingredient {
        /// Its name.
        name: String,
        /// The most.
        most: MassPerArea,
        /// Whether other products with it count too.
        counts_other_products: bool,
    },
}

/// A limit over a window of time.
#[derive(Debug, Clone, PartialEq)]
pub struct LabelLimit {
    /// What it counts, and how many or how much.
    pub kind: LimitKind,
    /// Over which time.
    pub window: Window,
    /// In which words.
    pub said: Said,
}

/// A use that a programme may plan.
#[derive(Debug, Clone, PartialEq)]
pub struct ProductUse {
    /// The word by which the season names it.
    pub id: String,
    /// The id of its label.
    pub label: String,
    /// The product's name.
    pub product: String,
    /// The use row.
    pub row: String,
    /// The sites of the row.
    pub sites: Vec<Site>,
    /// How.
    pub method: Method,
    /// The rate planned.
    pub rate: Rate,
    /// And what it comes to per area.
    pub per_area: AmountPerArea,
    /// Active ingredients of one application, per area.
    pub ingredients: Vec<(String, MassPerArea)>,
    /// Mode-of-action groups.
    pub groups: Vec<String>,
    /// What one application costs.
    pub cost: CostPerArea,
    /// What it controls.
    pub controls: Vec<Control>,
    /// Limits over windows.
    pub limits: Vec<LabelLimit>,
    /// Days between applications of the product before this use.
    pub interval_days: Vec<(u32, Said)>,
    /// Most applications in a row of one of its groups.
    pub in_a_row: Vec<(u32, Said)>,
    /// What the label says, and a programme cannot hold.
    pub cautions: Vec<String>,
}

/// What the user says of a use, beside its label.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Terms<'a> {
    pub(crate) id: &'a str,
    pub(crate) rate: Option<Rate>,
    pub(crate) cost: CostPerArea,
}

impl ProductUse {
    /// A use row of a label at a rate (the label's lowest where `None`), at a cost, with what it controls.
    ///
    /// # Errors
    /// All that keeps it out of a programme: `season::no-rate` where the label states none, `season::rate-basis` for a
    /// rate that is not per area, `season::rate` for one above the row's highest or the most of one application, or
    /// below a lowest that binds, `season::cap-not-reckoned` for a cap on an active ingredient that cannot be turned
    /// into product, `season::cap-measure` for a cap by another measure than the rate.
    pub fn of_label(
        id: &str,
        label: &Label,
        row: &UseRow,
        rate: Option<Rate>,
        cost: CostPerArea,
        controls: Vec<Control>,
    ) -> Result<Self, Problems> {
        let terms = Terms { id, rate, cost };
        let mut problems = Problems::new();
        let rated = rated(row, terms.rate, &mut problems);
        let requirements = label::requirements(label, row);
        let Some((rate, per_area)) = rated else { return Err(problems) };
        let mut ingredients = Vec::new();
        for ingredient in &label.product.active_ingredients {
            match label.product.ingredient_per_area(ingredient, per_area) {
                Some(mass) => ingredients.push((ingredient.name.clone(), mass)),
                None => problems.push(
                    Problem::error(
                        "season::cap-not-reckoned",
                        format!("how much `{}` an area gets cannot be reckoned for `{}`", ingredient.name, label.id),
                    )
                    .mend("add the density, or the content by the product's own measure, to the label file"),
                ),
            }
        }
        let limits = limits(label, &requirements, per_area, &mut problems);
        let mut groups: Vec<String> =
            label.product.active_ingredients.iter().filter_map(|ingredient| ingredient.group.clone()).collect();
        groups.sort();
        groups.dedup();
        let said = |required: &Required<u32>| (required.value, Said::new(&required.label, &required.clause));
        let made = Self {
            id: terms.id.to_owned(),
            label: label.id.clone(),
            product: label.product.name.clone(),
            row: row.id.clone(),
            sites: row.sites.clone(),
            method: row.method,
            rate,
            per_area,
            ingredients,
            groups,
            cost: terms.cost,
            controls,
            limits,
            interval_days: requirements.minimum_interval_days.iter().map(said).collect(),
            in_a_row: requirements.consecutive_same_group.iter().map(said).collect(),
            cautions: cautions(&requirements),
        };
        problems.unless_errors(made).map(|(made, _)| made)
    }

    /// The share of a pest that it controls so many weeks after the application.
    pub fn control(&self, pest: usize, age_weeks: usize) -> f64 {
        let of_pest = self.controls.iter().filter(|control| control.pest == pest);
        of_pest.filter_map(|control| control.by_age.get(age_weeks)).map(|share| share.part()).fold(0.0, f64::max)
    }

    /// Whether it shares a mode-of-action group with others.
    pub fn shares_group(&self, groups: &[String]) -> bool {
        self.groups.iter().any(|group| groups.contains(group))
    }
}

/// Rates are compared with a hair's breadth, for conversions of units.
pub(crate) const HAIR: f64 = 1e-9;

fn rated(row: &UseRow, asked: Option<Rate>, problems: &mut Problems) -> Option<(Rate, AmountPerArea)> {
    let Statement::Stated { value: range, .. } = &row.rate else {
        problems.push(
            Problem::error("season::no-rate", format!("the label states no rate for `{}`", row.id))
                .mend("read the label in hand again; without a rate there is no lawful use"),
        );
        return None;
    };
    let rate = asked.unwrap_or(range.lowest.unwrap_or(range.highest));
    let per_area = rate.per_area();
    let highest = range.highest.per_area();
    let (Some(per_area), Some(highest)) = (per_area, highest) else {
        problems.push(
            Problem::error("season::rate-basis", format!("`{}` of `{}` is no rate per area", rate.show(), row.id))
                .expected("a use row whose rate is per area")
                .mend("take another use row: what goes on mounds, plants or stations is planned by visit"),
        );
        return None;
    };
    let mut fail = |found: String, expected: String| {
        problems.push(Problem::error("season::rate", found).expected(expected));
    };
    match per_area.ratio(highest) {
        None => {
            fail(format!("`{}` is of another measure than the label's rate", rate.show()), range.highest.show());
            return None;
        }
        Some(times) if times > 1.0 + HAIR => {
            fail(
                format!("`{}` is over the label's highest rate", rate.show()),
                format!("at most {}", range.highest.show()),
            );
        }
        Some(_) => {}
    }
    let single = row.maximum_single.value().and_then(Rate::per_area);
    if let Some(most) = single
        && per_area.ratio(most).is_some_and(|times| times > 1.0 + HAIR)
    {
        let shown = row.maximum_single.value().map(Rate::show).unwrap_or_default();
        fail(format!("`{}` is over the most of one application", rate.show()), format!("at most {shown}"));
    }
    if range.below_lowest_prohibited
        && let Some(lowest) = &range.lowest
        && rate.ratio(lowest).is_some_and(|times| times < 1.0 - HAIR)
    {
        fail(
            format!("`{}` is below the lowest rate, which the label forbids", rate.show()),
            format!("at least {}", lowest.show()),
        );
    }
    Some((rate, per_area))
}

fn limits(
    label: &Label,
    requirements: &Requirements,
    per_area: AmountPerArea,
    problems: &mut Problems,
) -> Vec<LabelLimit> {
    let mut limits = Vec::new();
    for count in &requirements.maximum_applications {
        limits.push(LabelLimit {
            kind: LimitKind::Number(count.value.count),
            window: count.value.window,
            said: Said::new(&count.label, &count.clause),
        });
    }
    for cap in &requirements.caps {
        let kind = match cap.value.amount {
            CapAmount::Product(most) => {
                if per_area.ratio(most).is_none() {
                    problems.push(
                        Problem::error(
                            "season::cap-measure",
                            format!("the cap of `{}` is by another measure, fluid or weight, than the rate", label.id),
                        )
                        .mend("correct the label file"),
                    );
                    continue;
                }
                LimitKind::Product(most)
            }
            CapAmount::ActiveIngredient(most) => {
                let all = &label.product.active_ingredients;
                let named = cap.value.active_ingredient.as_deref();
                let ingredient = match named {
                    Some(name) => all.iter().find(|ingredient| same_name(&ingredient.name, name)),
                    None => all.first().filter(|_| all.len() == 1),
                };
                let Some(ingredient) = ingredient else {
                    problems.push(
                        Problem::error(
                            "season::cap-not-reckoned",
                            format!("it is not clear which active ingredient of `{}` a cap counts", label.id),
                        )
                        .mend("name it on the cap in the label file"),
                    );
                    continue;
                };
                LimitKind::Ingredient {
                    name: ingredient.name.clone(),
                    most,
                    counts_other_products: cap.value.counts_other_products,
                }
            }
        };
        limits.push(LabelLimit { kind, window: cap.value.window, said: Said::new(&cap.label, &cap.clause) });
    }
    // What only informs sets no limit.
    limits.retain(|limit| limit.said.strength != Strength::Descriptive);
    limits
}

/// Names of ingredients and labels are compared without regard to case.
pub(crate) fn same_name(a: &str, b: &str) -> bool {
    a.trim().eq_ignore_ascii_case(b.trim())
}

fn cautions(requirements: &Requirements) -> Vec<String> {
    let mut cautions = Vec::new();
    if requirements.minimum_interval_days.silent {
        cautions.push(
            "the label states no interval between applications: silence is no permission to repeat at once".to_owned(),
        );
    }
    if requirements.maximum_applications.is_empty() && requirements.caps.is_empty() {
        cautions.push("the label states no number and no cap over a year: ask the registrant".to_owned());
    }
    cautions
}
