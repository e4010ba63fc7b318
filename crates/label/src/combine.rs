//! The strictest of everything that restraints and use rows of one or several labels require.

use crate::clause::{Clause, Scope, Statement, Strength};
use crate::constraint::{ApplicationCount, BloomRule, Buffer, BufferedFeature, Cap, Constraints, Irrigation, PpeItem};
use crate::product::Label;
use crate::use_row::{Method, Site, UseRow};
use quantity::{Duration, Length, Speed, Temperature, VolumePerArea};

mod conflict;
mod partner;
mod strictest;

pub use conflict::Conflict;
pub use strictest::{Bound, RangeBound, Required};
use strictest::{add_all, add_each, add_flag, add_less, add_more, add_range, push};

/// Water that has to follow the application.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WateringIn {
    /// Depth of water.
    pub depth: Length,
    /// Deadline after the application.
    pub within: Duration,
}

/// What the labels in hand require of one application, each with its sentence. What belongs to one
/// product alone (its rate, its most per application) stays in its use row.
///
/// A statement for one state is taken like any other; use [`crate::for_state`] first to leave out
/// those of other states.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Requirements {
    /// Spray volume per area.
    pub carrier: RangeBound<VolumePerArea>,
    /// Every cap over a window; each binds.
    pub caps: Vec<Required<Cap>>,
    /// Every limit of the number of applications; each binds.
    pub maximum_applications: Vec<Required<ApplicationCount>>,
    /// Days between applications: the longest.
    pub minimum_interval_days: Bound<u32>,
    /// Most applications in a row of one mode-of-action group: the fewest.
    pub consecutive_same_group: Bound<u32>,
    /// Keep people and pets off at least so long: the longest.
    pub keep_off_at_least: Bound<Duration>,
    /// And until the spray has dried.
    pub keep_off_until_dry: Bound<bool>,
    /// And until it has been watered in and the surface has dried.
    pub keep_off_until_watered_in: Bound<bool>,
    /// Restricted-entry interval (agricultural uses only): the longest.
    pub restricted_entry: Bound<Duration>,
    /// Days from application to harvest: the most.
    pub harvest_interval_days: Bound<u32>,
    /// Days from application to seeding: the most.
    pub reseeding_interval_days: Bound<u32>,
    /// What becomes of clippings and grazing.
    pub clippings: Vec<Required<String>>,
    /// Time without rain after the application: the longest.
    pub rain_free: Bound<Duration>,
    /// No irrigation for so long: the longest.
    pub irrigation_prohibited_for: Bound<Duration>,
    /// Water that has to follow; every sentence.
    pub watering_in: Vec<Required<WateringIn>>,
    /// Not during rain.
    pub not_during_rain: Bound<bool>,
    /// Not on saturated soil.
    pub not_on_saturated_soil: Bound<bool>,
    /// Not on frozen soil.
    pub not_on_frozen_soil: Bound<bool>,
    /// Not to the point of runoff.
    pub not_to_runoff: Bound<bool>,
    /// Air temperature.
    pub temperature: RangeBound<Temperature>,
    /// Wind.
    pub wind: RangeBound<Speed>,
    /// Gusts: the lowest upper limit of wind against which gusts count.
    pub gusts_at_most: Bound<Speed>,
    /// Not during a temperature inversion.
    pub not_during_inversion: Bound<bool>,
    /// Relative humidity, 0 to 1.
    pub relative_humidity: RangeBound<f64>,
    /// Distances to keep: for each feature the largest that binds and the largest advised.
    pub buffers: Vec<Required<Buffer>>,
    /// On paving only as spot or crack-and-crevice treatment.
    pub impervious_spot_only: Bound<bool>,
    /// Steepest slope, rise over run: the least.
    pub slope: Bound<f64>,
    /// Plants in bloom; every rule binds.
    pub bloom: Vec<Required<BloomRule>>,
    /// Protective equipment: each piece once for each task.
    pub ppe: Vec<Required<PpeItem>>,
    /// Methods forbidden.
    pub prohibited_methods: Vec<Required<Method>>,
    /// Sites forbidden.
    pub prohibited_sites: Vec<Required<Site>>,
    /// Products or formulations not to be mixed with.
    pub prohibited_partners: Vec<Required<String>>,
    /// Adjuvant.
    pub adjuvant: Vec<Required<String>>,
    /// Mixing order.
    pub mixing_order: Vec<Required<String>>,
    /// Acidity of the water, pH.
    pub water_ph: RangeBound<f64>,
    /// Mix to be used within: the shortest.
    pub use_within: Bound<Duration>,
    /// Agitation.
    pub agitation: Vec<Required<String>>,
    /// Droplet class.
    pub droplet_class: Vec<Required<String>>,
    /// Certified applicators only.
    pub certified_only: Bound<bool>,
    /// Text to post.
    pub posting: Vec<Required<String>>,
    /// Endangered-species bulletin to be looked up.
    pub endangered_species_bulletin: Bound<bool>,
}

/// What one label requires of one of its uses: the strictest of its restraints and the use row.
pub fn requirements(label: &Label, use_row: &UseRow) -> Requirements {
    let mut all = Requirements::default();
    all.add(&label.restraints, &label.id);
    all.add(&use_row.constraints, &label.id);
    all
}

/// What several labels require of one application of all of them together (a tank mixture): the
/// strictest of each field; and what stands against mixing them.
#[must_use]
pub fn combined(parts: &[(&Label, &UseRow)]) -> (Requirements, Vec<Conflict>) {
    let mut all = Requirements::default();
    for (label, use_row) in parts {
        all.add(&label.restraints, &label.id);
        all.add(&use_row.constraints, &label.id);
    }
    let mut conflicts = conflict::between(&all);
    conflicts.extend(partner::prohibited(parts));
    (all, conflicts)
}

impl Requirements {
    fn add(&mut self, from: &Constraints, label: &str) {
        add_range(&mut self.carrier, &from.carrier, label);
        add_all(&mut self.caps, &from.caps, label);
        add_each(&mut self.maximum_applications, &from.maximum_applications, label);
        add_more(&mut self.minimum_interval_days, &from.minimum_interval_days, label);
        add_less(&mut self.consecutive_same_group, &from.consecutive_same_group, label);
        self.add_keep_off(from, label);
        add_more(&mut self.restricted_entry, &from.restricted_entry, label);
        add_more(&mut self.harvest_interval_days, &from.harvest_interval_days, label);
        add_more(&mut self.reseeding_interval_days, &from.reseeding_interval_days, label);
        add_each(&mut self.clippings, &from.clippings, label);
        add_more(&mut self.rain_free, &from.rain_free, label);
        self.add_irrigation(from, label);
        add_flag(&mut self.not_during_rain, &from.not_during_rain, label);
        add_flag(&mut self.not_on_saturated_soil, &from.not_on_saturated_soil, label);
        add_flag(&mut self.not_on_frozen_soil, &from.not_on_frozen_soil, label);
        add_flag(&mut self.not_to_runoff, &from.not_to_runoff, label);
        add_range(&mut self.temperature, &from.temperature, label);
        self.add_wind(from, label);
        add_flag(&mut self.not_during_inversion, &from.not_during_inversion, label);
        add_range(&mut self.relative_humidity, &from.relative_humidity, label);
        self.add_buffers(from, label);
        add_flag(&mut self.impervious_spot_only, &from.impervious_spot_only, label);
        add_less(&mut self.slope, &from.slope, label);
        add_each(&mut self.bloom, &from.bloom, label);
        self.add_ppe(from, label);
        add_all(&mut self.prohibited_methods, &from.prohibited_methods, label);
        add_all(&mut self.prohibited_sites, &from.prohibited_sites, label);
        add_all(&mut self.prohibited_partners, &from.prohibited_partners, label);
        add_each(&mut self.adjuvant, &from.adjuvant, label);
        add_each(&mut self.mixing_order, &from.mixing_order, label);
        add_range(&mut self.water_ph, &from.water_ph, label);
        add_less(&mut self.use_within, &from.use_within, label);
        add_each(&mut self.agitation, &from.agitation, label);
        add_each(&mut self.droplet_class, &from.droplet_class, label);
        add_flag(&mut self.certified_only, &from.certified_only, label);
        add_each(&mut self.posting, &from.posting, label);
        add_flag(&mut self.endangered_species_bulletin, &from.endangered_species_bulletin, label);
    }

    fn add_keep_off(&mut self, from: &Constraints, label: &str) {
        self.keep_off_at_least.heed(&from.keep_off);
        self.keep_off_until_dry.heed(&from.keep_off);
        self.keep_off_until_watered_in.heed(&from.keep_off);
        let Statement::Stated { value, clause } = &from.keep_off else { return };
        if let Some(at_least) = value.at_least {
            self.keep_off_at_least.take(at_least, clause, label, |new, held| new > held);
        }
        if value.until_dry {
            self.keep_off_until_dry.take(true, clause, label, |_, _| false);
        }
        if value.until_watered_in {
            self.keep_off_until_watered_in.take(true, clause, label, |_, _| false);
        }
    }

    fn add_irrigation(&mut self, from: &Constraints, label: &str) {
        self.irrigation_prohibited_for.heed(&from.irrigation);
        match &from.irrigation {
            Statement::Stated { value: Irrigation::ProhibitedFor(time), clause } => {
                self.irrigation_prohibited_for.take(*time, clause, label, |new, held| new > held);
            }
            Statement::Stated { value: Irrigation::WaterIn { depth, within }, clause } => {
                let value = WateringIn { depth: *depth, within: *within };
                push(&mut self.watering_in, value, clause, label);
            }
            _ => {}
        }
    }

    fn add_wind(&mut self, from: &Constraints, label: &str) {
        // An end that a sentence leaves open is as silent as before.
        self.wind.at_least.heed_if(&from.wind, |limit| limit.at_least.is_some());
        self.wind.at_most.heed_if(&from.wind, |limit| limit.at_most.is_some());
        self.gusts_at_most.heed_if(&from.wind, |limit| limit.at_most.is_some());
        let Statement::Stated { value, clause } = &from.wind else { return };
        if let Some(speed) = value.at_least {
            self.wind.at_least.take(speed, clause, label, |new, held| new > held);
        }
        if let Some(speed) = value.at_most {
            self.wind.at_most.take(speed, clause, label, |new, held| new < held);
            if value.gusts_count {
                self.gusts_at_most.take(speed, clause, label, |new, held| new < held);
            }
        }
    }

    fn add_buffers(&mut self, from: &Constraints, label: &str) {
        for statement in &from.buffers {
            let Statement::Stated { value, clause } = statement else { continue };
            let held = self
                .buffers
                .iter_mut()
                .find(|held| held.value.feature == value.feature && held.clause.strength == clause.strength);
            match held {
                Some(held) if value.distance > held.value.distance => {
                    *held = Required { value: *value, clause: clause.clone(), label: label.to_owned() };
                }
                Some(_) => {}
                None => push(&mut self.buffers, *value, clause, label),
            }
        }
    }

    /// A piece already asked for a task is not asked for again, unless it now becomes mandatory.
    fn add_ppe(&mut self, from: &Constraints, label: &str) {
        for statement in &from.ppe {
            let Statement::Stated { value, clause } = statement else { continue };
            let covers = |held: &Required<PpeItem>, task| {
                held.value.item.eq_ignore_ascii_case(&value.item)
                    && held.value.tasks.contains(task)
                    && held.clause.strength <= clause.strength
            };
            let tasks: Vec<_> =
                value.tasks.iter().filter(|task| !self.ppe.iter().any(|held| covers(held, task))).copied().collect();
            if !tasks.is_empty() {
                push(&mut self.ppe, PpeItem { item: value.item.clone(), tasks }, clause, label);
            }
        }
    }

    /// The strictest distance that binds from a feature, when one is stated.
    pub fn buffer(&self, feature: BufferedFeature) -> Option<&Required<Buffer>> {
        self.buffers.iter().find(|held| held.value.feature == feature && held.clause.strength == Strength::Mandatory)
    }
}

/// The label as it holds in one state or province: without the statements made for others. Where the
/// state is not known, what binds in any is kept, and a use that only one permits is none.
#[must_use]
pub fn for_state(label: &Label, state: Option<&str>) -> Label {
    let made_for_other = |clause: &Clause| match (&clause.scope, state) {
        (Scope::State(other), Some(state)) => !other.eq_ignore_ascii_case(state),
        _ => false,
    };
    let permitted_elsewhere = |clause: &Clause| match (&clause.scope, state) {
        (Scope::State(other), Some(state)) => !other.eq_ignore_ascii_case(state),
        (Scope::State(_), None) => true,
        _ => false,
    };
    let mut label = label.clone();
    label.restraints.forget(made_for_other);
    label.uses.retain(|row| !permitted_elsewhere(&row.clause));
    for row in &mut label.uses {
        row.constraints.forget(made_for_other);
    }
    label
}
