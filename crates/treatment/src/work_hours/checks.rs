//! What no forecast knows: to be looked at and measured on the spot, before starting.

use crate::hours::{HourLimits, Sourced};
use crate::sensitive::SensitiveSector;
use label::{Clause, Requirements};
use quantity::{SpeedUnit, TemperatureUnit};

/// One thing to look at or to measure before starting.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SpotCheck {
    /// What to do.
    pub what: String,
    /// What it has to be, where there is a limit.
    pub limit: Option<String>,
    /// The label's sentence behind it.
    pub clause: Option<String>,
    /// Its page.
    pub page: Option<u32>,
}

impl SpotCheck {
    fn new(what: &str) -> Self {
        Self { what: what.to_owned(), limit: None, clause: None, page: None }
    }

    fn limit(mut self, limit: String) -> Self {
        self.limit = Some(limit);
        self
    }

    fn by(mut self, clause: Option<&Clause>) -> Self {
        self.clause = clause.map(|clause| clause.text.clone());
        self.page = clause.and_then(|clause| clause.page);
        self
    }
}

/// The list for one task. What is asked beyond labels is common practice, no source.
pub(super) fn of(
    limits: &HourLimits,
    requirements: &Requirements,
    is_sprayed: bool,
    bees_at: &[SensitiveSector],
    may_bloom: bool,
) -> Vec<SpotCheck> {
    let mut checks = Vec::new();
    for limit in &limits.wind {
        let what = if limit.value.gusts_count {
            "measure wind and gusts at the height of the nozzle"
        } else {
            "measure the wind at the height of the nozzle"
        };
        let ends = [
            limit.value.at_least.map(|least| format!("at least {}", mph(least))),
            limit.value.at_most.map(|most| format!("at most {}", mph(most))),
        ];
        for end in ends.into_iter().flatten() {
            let clause = limit.clause.as_ref().map(|clause| clause.text.as_str());
            // Both ends of a range are limits of their own, and one thing to measure.
            match checks.iter_mut().find(|known: &&mut SpotCheck| {
                clause.is_some() && known.clause.as_deref() == clause && known.what.contains("nozzle")
            }) {
                Some(known) => {
                    let limit = known.limit.get_or_insert_default();
                    if !limit.contains(&end) {
                        limit.push_str(", ");
                        limit.push_str(&end);
                    }
                    if what.contains("gusts") {
                        what.clone_into(&mut known.what);
                    }
                }
                None => checks.push(SpotCheck::new(what).limit(end).by(limit.clause.as_ref())),
            }
        }
    }
    for sector in &limits.sectors {
        checks.push(SpotCheck::new("see where the wind goes").limit(format!(
            "not toward {}, {} away",
            sector.name,
            sector.distance_words()
        )));
    }
    for limit in &limits.temperature {
        let fahrenheit = |air: quantity::Temperature| {
            format!("{} °F", quantity::significant(air.to(TemperatureUnit::Fahrenheit), 3))
        };
        let range = [
            limit.value.at_least.map(|least| format!("at least {}", fahrenheit(least))),
            limit.value.at_most.map(|most| format!("at most {}", fahrenheit(most))),
        ];
        checks.push(
            SpotCheck::new("measure the temperature in the shade")
                .limit(range.into_iter().flatten().collect::<Vec<_>>().join(", "))
                .by(limit.clause.as_ref()),
        );
    }
    for limit in &limits.relative_humidity {
        let percent = |humidity: f64| format!("{} %", quantity::significant(humidity * 100.0, 2));
        let range = [
            limit.value.at_least.map(|least| format!("at least {}", percent(least))),
            limit.value.at_most.map(|most| format!("at most {}", percent(most))),
        ];
        checks.push(
            SpotCheck::new("measure the humidity of the air")
                .limit(range.into_iter().flatten().collect::<Vec<_>>().join(", "))
                .by(limit.clause.as_ref()),
        );
    }
    if is_sprayed {
        checks.push(
            SpotCheck::new("look whether smoke or dust rises and thins, or hangs in a layer")
                .limit("where it hangs, wait".to_owned())
                .by(stated(&limits.not_during_inversion)),
        );
    }
    checks.push(
        SpotCheck::new("look at the soil")
            .limit("no water stands on it, and none comes up under a foot".to_owned())
            .by(stated(&limits.not_on_saturated_soil)),
    );
    checks.push(
        SpotCheck::new("look at the sky and at the radar")
            .limit("no rain now and none on its way".to_owned())
            .by(stated(&limits.not_during_rain)),
    );
    checks.push(SpotCheck::new("feel the leaves").limit("dry, unless the label wants them wet".to_owned()));
    if may_bloom || !bees_at.is_empty() {
        let clause = requirements.bloom.first().map(|rule| &rule.clause);
        checks.push(
            SpotCheck::new("look for flowers, weeds in bloom among them, and for bees on them")
                .limit("none on what is treated or where spray may drift".to_owned())
                .by(clause),
        );
    }
    checks.push(
        SpotCheck::new("see that people, pets, toys, dishes and laundry are off, and windows shut")
            .limit("nobody on the ground or next to it".to_owned()),
    );
    checks
}

/// The sentence of a requirement that a label states.
fn stated<T>(limit: &Sourced<T>) -> Option<&Clause> {
    limit.clause.as_ref()
}

fn mph(speed: quantity::Speed) -> String {
    format!("{} mph", quantity::significant(speed.to(SpeedUnit::MilePerHour), 3))
}
