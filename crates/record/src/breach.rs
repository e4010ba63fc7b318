//! What was done against a label. A record of the truth is never refused for it: it is kept, and says so.

mod not_judged;
mod over_time;
mod place;
mod sites;

pub use not_judged::{not_judged, past_is_whole};

use crate::application::{ApplicationRecord, Breach, Leftover, Observed};
use crate::fact::Fact;
use crate::tank_check::used_of_tanks;
use crate::task::{ProductRecord, TaskRecord};
use label::{BufferedFeature, Clause, Label, Requirements, Strength, UseRow};
use property::{Kind, Property};
use quantity::{AmountPerArea, LengthUnit, Rate, Speed, SpeedUnit, TemperatureUnit};
use treatment::History;

/// Figures are compared with a hair's breadth, for conversions of units.
const HAIR: f64 = 1e-6;

/// The record with everything in it that was against the labels in hand, and what could not be held against them, in
/// the place of what it said of that before.
#[must_use]
pub fn with_breaches(record: ApplicationRecord, labels: &[Label], on: Option<Ground<'_>>) -> ApplicationRecord {
    let breaches = breaches(&record, labels, on);
    let not_judged = not_judged(&record, labels, on);
    ApplicationRecord { breaches, not_judged, ..record }
}

/// The ground of a record, by which distances and what counts over time are judged.
#[derive(Debug, Clone, Copy)]
pub struct Ground<'a> {
    /// The map.
    pub property: &'a Property,
    /// What lay there before, without the record itself.
    pub past: &'a History,
}

/// Everything in a record that was against a binding sentence of the labels in hand: rates and single
/// maxima, of the task, of each tank and of each place that several tasks treated, carrier, wind and temperature as
/// observed, sites that a label does not list; and where its ground is given, distances from features of the map, food
/// plants, bloom and paving in what was treated, caps, numbers and intervals over time, as far as its past is known.
///
/// Products whose label is not among `labels` are passed over.
pub fn breaches(record: &ApplicationRecord, labels: &[Label], on: Option<Ground<'_>>) -> Vec<Breach> {
    let mut found = Vec::new();
    for task in &record.tasks {
        for product in &task.products {
            let Some(label) = labels.iter().find(|label| label.id == product.label) else { continue };
            let judge = Judge { task, product, label };
            let Some(row) = judge.row() else {
                found.push(judge.site_not_listed());
                continue;
            };
            let required = label::requirements(label, row);
            let leftovers = record.leftover.value().map_or(&[][..], Vec::as_slice);
            found.extend(judge.rates(row, leftovers));
            found.extend(judge.carrier(&required));
            found.extend(judge.weather(&required, &record.weather_at_start, "at the start"));
            for (index, tank) in task.tanks.iter().enumerate().filter(|(_, tank)| tank.filled.is_some()) {
                found.extend(judge.weather(&required, &tank.weather, &format!("at tank {}", index + 1)));
            }
            found.extend(judge.weather(&required, &record.weather_at_end, "at the end"));
            if let Some(Ground { property, .. }) = on {
                found.extend(judge.distances(&required, record, property));
            }
        }
    }
    found.extend(place::breaches(record, labels));
    if let Some(ground) = on {
        found.extend(sites::breaches(record, labels, ground));
        found.extend(over_time::breaches(record, labels, ground));
    }
    found
}

/// One product of a task under its label.
struct Judge<'a> {
    task: &'a TaskRecord,
    product: &'a ProductRecord,
    label: &'a Label,
}

impl Judge<'_> {
    /// The use row under which it was applied: the one named, or one for site and method.
    fn row(&self) -> Option<&UseRow> {
        let uses = &self.label.uses;
        match &self.product.use_row {
            Fact::Recorded(id) => uses.iter().find(|row| row.id == *id),
            _ => uses.iter().find(|row| {
                let sites = self.task.sites.value();
                row.method == self.task.method
                    && sites.is_some_and(|sites| sites.iter().all(|site| row.sites.contains(site)))
            }),
        }
    }

    fn breach(&self, rule: &str, text: String, clause: &Clause) -> Breach {
        Breach {
            rule: rule.to_owned(),
            task: self.task.id.clone(),
            label: self.label.id.clone(),
            text,
            clause: clause.text.clone(),
            page: clause.page,
        }
    }

    fn site_not_listed(&self) -> Breach {
        let sites: Vec<&str> = self.task.sites.value().into_iter().flatten().map(|site| site.word()).collect();
        let text = format!("the label lists no use by {} on {}", self.task.method.word(), sites.join(" and "));
        let lists: Vec<&str> = self.label.uses.iter().map(|row| row.clause.text.as_str()).collect();
        Breach {
            rule: "breach::site".to_owned(),
            task: self.task.id.clone(),
            label: self.label.id.clone(),
            text,
            clause: lists.join(" "),
            page: None,
        }
    }

    fn rates(&self, row: &UseRow, leftovers: &[Leftover]) -> Vec<Breach> {
        let mut found = Vec::new();
        let rate = self.product.rate.value();
        if let (Some(range), Some(clause), Some(rate)) = (row.rate.value(), row.rate.clause(), rate) {
            if is_above(rate.ratio(&range.highest)) {
                let text = format!("{rate} was applied, over the label's {}", range.highest);
                found.push(self.breach("breach::rate-above-label", text, clause));
            }
            if let Some(lowest) = range.lowest.filter(|_| range.below_lowest_prohibited)
                && rate.ratio(&lowest).is_some_and(|times| times < 1.0 - HAIR)
            {
                let text = format!("{rate} was applied, under the label's {lowest}, and the label forbids less");
                found.push(self.breach("breach::rate-below-label", text, clause));
            }
        }
        if let (Some(most), Some(clause)) = (row.maximum_single.value(), row.maximum_single.clause()) {
            match most.per_area() {
                Some(per_area) => found.extend(self.single_maximum(most, per_area, clause, leftovers)),
                None if rate.is_some_and(|rate| is_above(rate.ratio(most))) => {
                    let text = rate.map_or_else(String::new, |rate| {
                        format!("{rate} was applied, over the maximum of {most} for one application")
                    });
                    found.push(self.breach("breach::maximum-single", text, clause));
                }
                None => {}
            }
        }
        found
    }

    /// The most for one application, on the whole ground and under each tank.
    fn single_maximum(
        &self,
        most: &Rate,
        per_area: AmountPerArea,
        clause: &Clause,
        leftovers: &[Leftover],
    ) -> Vec<Breach> {
        let shown = |lies: AmountPerArea| most.like_per_area(lies).map_or_else(String::new, |rate| rate.to_string());
        let mut found = Vec::new();
        if let Some(lies) = self.task.per_area(self.product)
            && is_above(lies.ratio(per_area))
        {
            let text = format!("{} lies on its ground, over the maximum of {most} for one application", shown(lies));
            found.push(self.breach("breach::maximum-single", text, clause));
        }
        let index = self.task.products.iter().position(|product| product.label == self.product.label);
        for (number, used) in used_of_tanks(self.task, leftovers) {
            let under = index.and_then(|index| {
                let covered = *used.covered.value()?;
                let amount = *used.products.get(index)?;
                covered.is_positive().then(|| amount.per_area(covered))
            });
            if let Some(lies) = under.filter(|lies| is_above(lies.ratio(per_area))) {
                let text = format!(
                    "tank {number} put down {} where it went, over the maximum of {most} for one application",
                    shown(lies)
                );
                found.push(self.breach("breach::maximum-single-of-tank", text, clause));
            }
        }
        found
    }

    fn carrier(&self, required: &Requirements) -> Vec<Breach> {
        use quantity::VolumePerAreaUnit::UsGallonPer1000SquareFeet as Gallons;
        let Some(spray) = self.task.carrier.value().filter(|_| self.task.area().is_positive()) else {
            return Vec::new();
        };
        let spray = *spray / self.task.area();
        let mut found = Vec::new();
        if let Some(least) = required.carrier.at_least.mandatory.as_ref()
            && spray.ratio(least.value) < 1.0 - HAIR
        {
            let text = format!("spray of {}, under the label's {}", spray.show(Gallons), least.value.show(Gallons));
            found.push(self.breach("breach::carrier", text, &least.clause));
        }
        if let Some(most) = required.carrier.at_most.mandatory.as_ref()
            && is_above(Some(spray.ratio(most.value)))
        {
            let text = format!("spray of {}, over the label's {}", spray.show(Gallons), most.value.show(Gallons));
            found.push(self.breach("breach::carrier", text, &most.clause));
        }
        found
    }

    fn weather(&self, required: &Requirements, seen: &Observed, when: &str) -> Vec<Breach> {
        let mut found = Vec::new();
        let mph = |speed: Speed| speed.show(SpeedUnit::MilePerHour);
        if let Some(wind) = seen.wind.value().copied() {
            if let Some(least) = required.wind.at_least.mandatory.as_ref()
                && wind.ratio(least.value) < 1.0 - HAIR
            {
                let text = format!("wind of {} {when}, under the label's {}", mph(wind), mph(least.value));
                found.push(self.breach("breach::wind-low", text, &least.clause));
            }
            if let Some(most) = required.wind.at_most.mandatory.as_ref()
                && is_above(Some(wind.ratio(most.value)))
            {
                let text = format!("wind of {} {when}, over the label's {}", mph(wind), mph(most.value));
                found.push(self.breach("breach::wind-high", text, &most.clause));
            }
        }
        if let (Some(gust), Some(most)) = (seen.gust.value().copied(), required.gusts_at_most.mandatory.as_ref())
            && is_above(Some(gust.ratio(most.value)))
        {
            let text = format!("gusts of {} {when}, over the label's {}", mph(gust), mph(most.value));
            found.push(self.breach("breach::gust", text, &most.clause));
        }
        if let Some(temperature) = seen.temperature.value().copied() {
            let shown = |temperature: quantity::Temperature| temperature.show(TemperatureUnit::Fahrenheit);
            if let Some(least) = required.temperature.at_least.mandatory.as_ref()
                && temperature.to(TemperatureUnit::Celsius) < least.value.to(TemperatureUnit::Celsius) - HAIR
            {
                let text = format!("{} {when}, under the label's {}", shown(temperature), shown(least.value));
                found.push(self.breach("breach::temperature-low", text, &least.clause));
            }
            if let Some(most) = required.temperature.at_most.mandatory.as_ref()
                && temperature.to(TemperatureUnit::Celsius) > most.value.to(TemperatureUnit::Celsius) + HAIR
            {
                let text = format!("{} {when}, over the label's {}", shown(temperature), shown(most.value));
                found.push(self.breach("breach::temperature-high", text, &most.clause));
            }
        }
        found
    }

    /// Treated ground nearer to a feature than the label allows. The property line has no feature: it is
    /// told by the map's check for ground outside.
    fn distances(&self, required: &Requirements, record: &ApplicationRecord, property: &Property) -> Vec<Breach> {
        let Some(ground) = crate::ground::laid_on(&self.task.region(), &record.plane(), property.plane()) else {
            return Vec::new();
        };
        let mut found = Vec::new();
        for buffer in required.buffers.iter().filter(|buffer| buffer.clause.strength == Strength::Mandatory) {
            for feature in property.features().iter().filter(|feature| is_guarded(buffer.value.feature, feature)) {
                let Some((here, there)) = ground.nearest_approach(feature.shape()) else { continue };
                let distance = here.distance_to(there);
                if distance < buffer.value.distance * (1.0 - HAIR) {
                    let feet = |length: quantity::Length| length.show(LengthUnit::Foot);
                    let text = format!(
                        "ground was treated {} from {} ({}), nearer than {}",
                        feet(distance),
                        feature.label(),
                        buffer.value.feature.word(),
                        feet(buffer.value.distance)
                    );
                    found.push(self.breach("breach::distance", text, &buffer.clause));
                }
            }
        }
        found
    }
}

fn is_guarded(guarded: BufferedFeature, feature: &property::Feature) -> bool {
    match guarded {
        BufferedFeature::Water => feature.is(Kind::Water),
        BufferedFeature::Drain => feature.is(Kind::Drain),
        BufferedFeature::Well => feature.is(Kind::Well),
        BufferedFeature::Hive => feature.is(Kind::Hive),
        BufferedFeature::FoodPlants => feature.is(Kind::Edible),
        BufferedFeature::BloomingPlants => feature.kind().is_in_bloom(),
        BufferedFeature::PlayArea => feature.is(Kind::PlayArea),
        BufferedFeature::PropertyLine => false,
    }
}

fn is_above(times: Option<f64>) -> bool {
    times.is_some_and(|times| times > 1.0 + HAIR)
}
