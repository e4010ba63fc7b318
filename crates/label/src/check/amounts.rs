//! Rates, maxima and caps against each other.

use crate::clause::Statement;
use crate::constraint::{Cap, CapAmount};
use crate::product::{Formulation, Label};
use crate::use_row::UseRow;
use problem::Problem;
use quantity::{
    AmountPerArea, AmountUnit, Area, AreaUnit, Basis, MassPerArea, MassPerAreaUnit, Rate, Substance, System,
    VolumePerArea, significant,
};

use super::slip::{likely_slips, slip, times, times_words};
use super::use_path;

/// Above so much active ingredient per area in one application a slip is likely.
/// Common practice, no source.
const UNUSUAL_LB_PER_ACRE: f64 = 5.0;
/// Room for the rounding of printed figures.
const ROUNDING: f64 = 1.0 + 1e-6;

pub(super) fn check(label: &Label, list: &mut Vec<Problem>) {
    for (index, row) in label.uses.iter().enumerate() {
        let path = use_path(index);
        let Some(rates) = row.rate.value() else {
            if row.rate.is_silent() {
                list.push(
                    Problem::warning("label::no-rate", format!("use `{}` gives no rate", row.id))
                        .expected("a rate; one is never inferred from another use")
                        .mend("copy it from the printed label; without it the use cannot be planned")
                        .at(format!("{path}.rate")),
                );
            }
            continue;
        };
        let checker = Row { label, uses: row, path: &path };
        let highest_path = format!("{path}.rate.highest");
        checker.rate(&rates.highest, &highest_path, list);
        if let Some(lowest) = &rates.lowest {
            checker.rate(lowest, &format!("{path}.rate.lowest"), list);
            order(lowest, &rates.highest, &path, list);
        }
        checker.maximum(&rates.highest, list);
        checker.dilution(rates.lowest.as_ref(), &rates.highest, list);
        checker.caps(rates.lowest.as_ref(), list);
        let maximum = row.maximum_single.value().and_then(|maximum| times(&rates.highest, maximum));
        if maximum.is_none_or(|times| times <= ROUNDING) {
            checker.plausible(&rates.highest, &highest_path, list);
        }
    }
    systems(label, list);
}

fn order(lowest: &Rate, highest: &Rate, path: &str, list: &mut Vec<Problem>) {
    match times(lowest, highest) {
        None => list.push(
            Problem::error("label::rate-basis", format!("the lowest rate is `{lowest}` and the highest `{highest}`"))
                .expected("both as the same kind of amount per the same kind of basis")
                .mend("write both as the printed label does; never convert one of them by hand")
                .at(format!("{path}.rate")),
        ),
        Some(times) if times > ROUNDING => list.push(
            Problem::error("label::rate-order", format!("the lowest rate `{lowest}` is above the highest `{highest}`"))
                .expected("the lowest at most as high as the highest")
                .mend("exchange the two, or compare them with the printed label")
                .at(format!("{path}.rate.lowest")),
        ),
        Some(_) => {}
    }
}

struct Row<'a> {
    label: &'a Label,
    uses: &'a UseRow,
    path: &'a str,
}

impl Row<'_> {
    fn rate(&self, rate: &Rate, path: &str, list: &mut Vec<Problem>) {
        if rate.value() == 0.0 {
            list.push(
                Problem::error("label::rate-nothing", format!("the rate is `{rate}`"))
                    .expected("a rate above nothing")
                    .mend("copy it from the printed label, or delete the field where the label is silent")
                    .at(path),
            );
        }
        if rate.substance() == Substance::ActiveIngredient {
            return;
        }
        let formulation = self.label.product.formulation;
        let is_weighed = matches!(rate.unit(), AmountUnit::Mass(_));
        if formulation.is_applied_dry() && !is_weighed {
            list.push(
                Problem::error(
                    "label::rate-dimension",
                    format!("the product is dry ({}), and its rate is a volume: `{rate}`", formulation.code()),
                )
                .expected("a weight, such as `lb/1,000 sq ft` or `oz (weight)/1,000 sq ft`")
                .mend("write ounces of weight as `oz (weight)`; a fluid ounce is another measure")
                .at(path),
            );
        } else if is_liquid(formulation) && is_weighed {
            list.push(
                Problem::warning(
                    "label::rate-dimension",
                    format!("the product is a liquid ({}), and its rate is a weight: `{rate}`", formulation.code()),
                )
                .expected("a volume, such as `fl oz/1,000 sq ft`")
                .mend("write `fl oz` if fluid ounces are meant; `oz (weight)` are weighed")
                .at(path),
            );
        } else if is_powder(formulation) && !is_weighed {
            list.push(
                Problem::warning(
                    "label::rate-dimension",
                    format!("the product is dry ({}), and its rate is a volume: `{rate}`", formulation.code()),
                )
                .expected("a weight, such as `oz (weight)/1,000 sq ft`")
                .mend("compare with the printed label whether ounces of weight are meant")
                .at(path),
            );
        }
    }

    /// The highest rate against the most that one application may put on a place.
    fn maximum(&self, highest: &Rate, list: &mut Vec<Problem>) {
        let Some(maximum) = self.uses.maximum_single.value() else { return };
        let is_per_area = matches!(maximum.basis(), Basis::Area(..));
        match times(highest, maximum) {
            Some(times) if times > ROUNDING => {
                let slip = slip(times).map_or_else(
                    || "compare both with the printed label".to_owned(),
                    |slip| format!("{slip}; compare both with the printed label"),
                );
                list.push(
                    Problem::error(
                        "label::rate-above-maximum",
                        format!(
                            "the highest rate `{highest}` is {} the most that one application may put on a place, `{maximum}`",
                            times_words(times)
                        ),
                    )
                    .expected(format!("`{maximum}` at most"))
                    .mend(slip)
                    .at(format!("{}.rate.highest", self.path)),
                );
            }
            None if !is_per_area || matches!(highest.basis(), Basis::Area(..)) => list.push(
                Problem::error(
                    "label::maximum-basis",
                    format!(
                        "the most of one application is `{maximum}`, which cannot be compared with the rate `{highest}`"
                    ),
                )
                .expected("a most per area, or one of the rate's own kind")
                .mend("write it as the printed label does, by the same kind of amount as the rate")
                .at(format!("{}.maximum_single", self.path)),
            ),
            _ => {}
        }
    }

    /// A dilution reaches a place through the spray volume.
    fn dilution(&self, lowest: Option<&Rate>, highest: &Rate, list: &mut Vec<Problem>) {
        let Some(maximum) = self.uses.maximum_single.value().and_then(Rate::per_area) else { return };
        let carriers = [&self.uses.constraints.carrier, &self.label.restraints.carrier];
        let Some(carrier) = carriers.iter().find_map(|said| said.value()) else { return };
        let on_place = |rate: &Rate, spray: VolumePerArea| {
            let one = Area::new(1.0, AreaUnit::SquareMetre);
            rate.in_spray(spray * one)?.per_area(one).ratio(maximum)
        };
        let least = lowest.unwrap_or(highest);
        if let Some(times) = carrier.at_least.and_then(|spray| on_place(least, spray)).filter(|times| *times > ROUNDING)
        {
            list.push(
                Problem::error(
                    "label::dilution-above-maximum",
                    format!(
                        "even `{least}` in the least spray volume is {} the most of one application",
                        times_words(times)
                    ),
                )
                .expected("a dilution and a spray volume that together stay within the most of one application")
                .mend("compare the three with the printed label")
                .at(format!("{}.rate", self.path)),
            );
        } else if let Some(times) =
            carrier.at_most.and_then(|spray| on_place(highest, spray)).filter(|times| *times > ROUNDING)
        {
            list.push(
                Problem::warning(
                    "label::dilution-above-maximum",
                    format!(
                        "`{highest}` in the greatest spray volume is {} the most of one application",
                        times_words(times)
                    ),
                )
                .expected("both limits to be kept: the dilution and the most per area")
                .mend("nothing to do if the printed label reads so: plans lower the dilution or the spray volume")
                .at(format!("{}.rate.highest", self.path)),
            );
        }
    }

    fn caps(&self, lowest: Option<&Rate>, list: &mut Vec<Problem>) {
        let maximum = self.uses.maximum_single.value().or_else(|| self.uses.rate.value().map(|rates| &rates.highest));
        let own = self.uses.constraints.caps.iter().map(|cap| (self.path.to_owned(), cap));
        let all = self.label.restraints.caps.iter().map(|cap| ("restraints".to_owned(), cap));
        let mut index_at = std::collections::BTreeMap::<String, usize>::new();
        for (path, cap) in own.chain(all) {
            let index = index_at.entry(path.clone()).or_insert(0);
            *index += 1;
            let path = format!("{path}.cap[{index}]");
            let Statement::Stated { value: cap, .. } = cap else { continue };
            if let Some(times) = maximum.and_then(|maximum| self.share_of_cap(maximum, cap)).filter(|t| *t > ROUNDING) {
                let highest = maximum.map(ToString::to_string).unwrap_or_default();
                list.push(
                    Problem::error(
                        "label::cap-below-maximum",
                        format!(
                            "one application of use `{}` at `{highest}` is {} the cap of {}",
                            self.uses.id,
                            times_words(times),
                            self.cap_words(cap)
                        ),
                    )
                    .expected("a cap that leaves room for one application at its most")
                    .mend("compare the cap, its unit and the most of one application with the printed label")
                    .at(path),
                );
                continue;
            }
            self.count_at_lowest(lowest, cap, &path, list);
        }
    }

    fn count_at_lowest(&self, lowest: Option<&Rate>, cap: &Cap, path: &str, list: &mut Vec<Problem>) {
        let counts = [&self.uses.constraints.maximum_applications, &self.label.restraints.maximum_applications];
        let count = counts
            .iter()
            .filter_map(|said| said.value())
            .filter(|said| said.window == cap.window)
            .map(|said| said.count)
            .min();
        let share = lowest.and_then(|lowest| self.share_of_cap(lowest, cap));
        let (Some(count), Some(share)) = (count, share) else { return };
        if share * f64::from(count) > ROUNDING {
            list.push(
                Problem::warning(
                    "label::count-beyond-cap",
                    format!(
                        "use `{}`: {count} applications even at the lowest rate pass the cap of {}",
                        self.uses.id,
                        self.cap_words(cap)
                    ),
                )
                .expected("both limits to be kept; the cap ends the season first")
                .mend("nothing to do if the printed label reads so; otherwise correct the cap, the number or the rate")
                .at(path),
            );
        }
    }

    /// How much of a cap one application takes; `None` when it cannot be said.
    fn share_of_cap(&self, rate: &Rate, cap: &Cap) -> Option<f64> {
        let per_area = rate.per_area()?;
        match (cap.amount, rate.substance()) {
            (CapAmount::Product(most), Substance::Product) => per_area.ratio(most),
            (CapAmount::ActiveIngredient(most), Substance::ActiveIngredient) => Some(per_area.mass()?.ratio(most)),
            (CapAmount::ActiveIngredient(most), Substance::Product) => {
                let product = &self.label.product;
                let ingredient = match &cap.active_ingredient {
                    Some(name) => {
                        product.active_ingredients.iter().find(|held| held.name.eq_ignore_ascii_case(name))?
                    }
                    None => product.active_ingredients.first()?,
                };
                Some(product.ingredient_per_area(ingredient, per_area)?.ratio(most))
            }
            (CapAmount::Product(_), Substance::ActiveIngredient) => None,
        }
        .filter(|share| share.is_finite())
    }

    /// The highest rate against what is ever applied, and against the label's other uses.
    fn plausible(&self, highest: &Rate, path: &str, list: &mut Vec<Problem>) {
        let Some(per_area) = highest.per_area() else { return };
        let heaviest = self.heaviest_ingredient(highest, per_area);
        let Some(pounds) = heaviest.map(|mass| mass.to(MassPerAreaUnit::PoundPerAcre)) else { return };
        if pounds <= UNUSUAL_LB_PER_ACRE {
            self.against_other_uses(highest, path, list);
            return;
        }
        let hints = likely_slips(highest, pounds / UNUSUAL_LB_PER_ACRE);
        let hint =
            if hints.is_empty() { "compare the unit with the printed label".to_owned() } else { hints.join("; ") };
        let found = format!("`{highest}` puts `{} lb` of active ingredient on an acre", significant(pounds, 3));
        // Mineral dusts and soaps go far above: unusual is a warning, never proof.
        list.push(
            Problem::warning("label::rate-implausible", found)
                .expected(format!("rarely above {UNUSUAL_LB_PER_ACRE} lb of active ingredient per acre"))
                .mend(hint)
                .at(path),
        );
    }

    fn against_other_uses(&self, highest: &Rate, path: &str, list: &mut Vec<Problem>) {
        let others = self.label.uses.iter().filter(|other| !std::ptr::eq(*other, self.uses));
        for other in others {
            let Some(times) = other.rate.value().and_then(|rates| times(highest, &rates.highest)) else { continue };
            if times > 1.0
                && let Some(slip) = slip(times)
            {
                list.push(
                    Problem::warning(
                        "label::rate-implausible",
                        format!("`{highest}` is {} the rate of use `{}`", times_words(times), other.id),
                    )
                    .expected("rates of one product within a factor of ten or so")
                    .mend(slip)
                    .at(path),
                );
                return;
            }
        }
    }

    /// The cap in the unit of the use's own rate.
    fn cap_words(&self, cap: &Cap) -> String {
        let rate = self.uses.rate.value().map(|rates| rates.highest);
        let is_metric = rate.is_some_and(|rate| match rate.unit() {
            AmountUnit::Volume(unit) => unit.system() == System::Metric,
            AmountUnit::Mass(unit) => unit.system() == System::Metric,
        });
        let amount = match cap.amount {
            CapAmount::Product(most) => match rate.and_then(|rate| rate.like_per_area(most)) {
                Some(most) => most.to_string(),
                None => "so much product".to_owned(),
            },
            CapAmount::ActiveIngredient(most) if is_metric => {
                format!("{} of active ingredient", most.show(MassPerAreaUnit::KilogramPerHectare))
            }
            CapAmount::ActiveIngredient(most) => {
                format!("{} of active ingredient", most.show(MassPerAreaUnit::PoundPerAcre))
            }
        };
        format!("`{amount}` ({})", cap.window.word())
    }

    fn heaviest_ingredient(&self, rate: &Rate, per_area: AmountPerArea) -> Option<MassPerArea> {
        if rate.substance() == Substance::ActiveIngredient {
            return per_area.mass();
        }
        let product = &self.label.product;
        product
            .active_ingredients
            .iter()
            .filter_map(|held| product.ingredient_per_area(held, per_area))
            .reduce(MassPerArea::max)
    }
}

fn is_liquid(formulation: Formulation) -> bool {
    matches!(
        formulation,
        Formulation::SuspensionConcentrate
            | Formulation::EmulsifiableConcentrate
            | Formulation::CapsuleSuspension
            | Formulation::SolubleConcentrate
            | Formulation::EmulsionOilInWater
            | Formulation::MicroEmulsion
            | Formulation::AnyOtherLiquid
    )
}

fn is_powder(formulation: Formulation) -> bool {
    matches!(
        formulation,
        Formulation::WaterDispersibleGranule
            | Formulation::WettablePowder
            | Formulation::WaterSolubleGranule
            | Formulation::WaterSolublePowder
    )
}

/// US and imperial measures of volume in one label.
/// A US and an imperial measure in one label: in one use they cannot both be right, since a maximum
/// would be held against a rate of another ounce.
fn systems(label: &Label, list: &mut Vec<Problem>) {
    let system = |rate: &Rate| match rate.unit() {
        AmountUnit::Volume(unit) => Some(unit.system()),
        AmountUnit::Mass(_) => None,
    };
    let mend = "an imperial fluid ounce is 4 % less than a US one, an imperial gallon 20 % more: compare with the printed label";
    let mut all: Vec<(String, &Rate)> = Vec::new();
    for (index, row) in label.uses.iter().enumerate() {
        let path = use_path(index);
        let rates = row.rate.value();
        let own: Vec<(String, &Rate)> = [
            ("rate.highest", rates.map(|rates| &rates.highest)),
            ("rate.lowest", rates.and_then(|rates| rates.lowest.as_ref())),
            ("maximum_single", row.maximum_single.value()),
        ]
        .into_iter()
        .filter_map(|(key, rate)| Some((format!("{path}.{key}"), rate?)))
        .collect();
        let of = |wanted: System| own.iter().find(|(_, rate)| system(rate) == Some(wanted));
        if let (Some((_, us)), Some((place, imperial))) = (of(System::UsCustomary), of(System::Imperial)) {
            let found = format!("use `{}` has `{us}` and `{imperial}`", row.id);
            list.push(
                Problem::error("label::mixed-systems", found)
                    .expected("one system of measures in one use")
                    .mend(mend)
                    .at(place.clone()),
            );
            continue;
        }
        all.extend(own);
    }
    let of = |wanted: System| all.iter().find(|(_, rate)| system(rate) == Some(wanted));
    if let (Some((_, us)), Some((place, imperial))) = (of(System::UsCustomary), of(System::Imperial)) {
        list.push(
            Problem::warning("label::mixed-systems", format!("one use has `{us}` and another `{imperial}`"))
                .expected("one system of measures in one label")
                .mend(mend)
                .at(place.clone()),
        );
    }
}
