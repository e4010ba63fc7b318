//! Treated ground that is another site on the map than the label allows: food plants, plants in bloom, paving, sites
//! that a label forbids.

use super::{Ground, Judge};
use crate::application::{ApplicationRecord, Breach};
use crate::ground::{laid_on, touch};
use label::{Clause, Label, Requirements, Site, Strength, UseRow, requirements};
use property::{Feature, Kind};
use quantity::{Area, AreaUnit};
use treatment::{is_put_on_paving, site_of_kind};

pub(super) fn breaches(record: &ApplicationRecord, labels: &[Label], on: Ground<'_>) -> Vec<Breach> {
    let mut found = Vec::new();
    for task in &record.tasks {
        let Some(ground) = laid_on(&task.region(), &record.plane(), on.property.plane()) else { continue };
        let treated: Vec<(&Feature, Area)> = on
            .property
            .features()
            .iter()
            .filter_map(|feature| Some((feature, feature.region()?.intersection(&ground).area())))
            .filter(|(_, area)| *area > touch())
            .collect();
        for product in &task.products {
            let Some(label) = labels.iter().find(|label| label.id == product.label) else { continue };
            let judge = Judge { task, product, label };
            let Some(row) = judge.row() else { continue };
            let required = requirements(label, row);
            found.extend(treated.iter().filter_map(|(feature, area)| judge.feature(row, &required, feature, *area)));
        }
    }
    found
}

impl Judge<'_> {
    /// What a label says against treating this much of a feature.
    fn feature(&self, row: &UseRow, required: &Requirements, feature: &Feature, area: Area) -> Option<Breach> {
        let site = site_of_kind(feature.kind().kind())?;
        let on = format!("{} of {}", area.show(AreaUnit::SquareFoot), feature.label());
        let bloom = required.bloom.iter().min_by_key(|rule| rule.clause.strength).map(|rule| &rule.clause);
        if let (true, Some(clause)) = (feature.kind().is_in_bloom(), bloom) {
            let text = format!("{on} was treated, which the map has in bloom");
            return Some(self.breach("breach::bloom", text, clause));
        }
        let forbidden = required.prohibited_sites.iter().find(|rule| rule.value == site);
        let clause: &Clause = forbidden.map_or(&row.clause, |rule| &rule.clause);
        let is_listed =
            row.sites.contains(&site) && forbidden.is_none_or(|rule| rule.clause.strength != Strength::Mandatory);
        match feature.kind().kind() {
            Kind::Edible if !is_listed => {
                let text = format!("{on} was treated, plants grown for food, of which this use says nothing or no");
                Some(self.breach("breach::food-plants", text, clause))
            }
            Kind::Paved if !is_listed || !is_put_on_paving(self.task.method) => {
                let text = format!("{on} was treated, which is paved; the label does not allow it so");
                Some(self.breach("breach::paving", text, clause))
            }
            _ if forbidden.is_some_and(|rule| rule.clause.strength == Strength::Mandatory) => {
                let text = format!("{on} was treated, {}, which the label forbids", Site::word(site));
                Some(self.breach("breach::prohibited-site", text, clause))
            }
            _ => None,
        }
    }
}
