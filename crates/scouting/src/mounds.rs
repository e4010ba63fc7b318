//! Live mounds of ants on a lawn: whether to treat them one by one, or to broadcast.

use problem::{Problem, Problems};
use quantity::{Area, AreaUnit, counted};

use crate::count::{CountBasis, Counts};
use crate::density::PestDensity;
use crate::threshold::{Threshold, level_of};

/// From this share of a lawn on its mounds are taken as counted whole. Common practice, no source.
const WHOLE_FROM: f64 = 0.95;

/// What counts of mounds call for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum MoundCall {
    /// No live mound was found.
    LeaveBe,
    /// As many as the level or fewer: each by itself.
    Singly,
    /// More than the level: the whole ground, then single mounds that stay.
    Broadcast,
}

/// Mounds that were counted, held against the level above which to broadcast.
#[derive(Debug, Clone, PartialEq)]
pub struct Mounds {
    /// What they call for.
    pub call: MoundCall,
    /// Live mounds in all.
    pub found: u64,
    /// The ground that was walked, all parts together.
    pub ground: Area,
    /// Mounds over ground.
    pub density: PestDensity,
    /// The level above which to broadcast.
    pub level: PestDensity,
    /// The same as so many mounds on so much ground, as it was told.
    pub level_on: (f64, Area),
    /// What the parts say of the whole lawn, at 95 %; `None` of one part alone.
    pub interval: Option<(PestDensity, PestDensity)>,
}

/// Live mounds against the level above which to broadcast, whose source says "more than": at the level itself they are
/// treated one by one.
///
/// # Errors
/// Counts or a level that are not of mounds.
pub fn mounds(counts: &Counts, threshold: &Threshold) -> Result<Mounds, Problems> {
    level_of(counts.basis(), threshold)?;
    let (CountBasis::Mounds(part), CountBasis::Mounds(on)) = (counts.basis(), threshold.basis()) else {
        return Err(Problem::error("scouting::mounds", "these counts are not of mounds")
            .expected("mounds on a lawn, or on measured parts of it")
            .into());
    };
    let found = counts.total();
    let ground = part * counts.stations() as f64;
    let (density, level) = (PestDensity::known(found as f64, ground), PestDensity::known(threshold.count(), on));
    // Held as counts, so that five mounds on the ground of five are at the level whatever the unit.
    let call = match found as f64 - threshold.count() * ground.ratio(on) {
        _ if found == 0 => MoundCall::LeaveBe,
        over if over > 1e-9 => MoundCall::Broadcast,
        _ => MoundCall::Singly,
    };
    let interval =
        counts.interval(0.95).map(|interval| [interval.low, interval.high].map(|end| PestDensity::known(end, part)));
    let (level_on, interval) = ((threshold.count(), on), interval.map(|[low, high]| (low, high)));
    Ok(Mounds { call, found, ground, density, level, level_on, interval })
}

impl Mounds {
    /// Whether a lawn was walked whole.
    pub fn is_whole(&self, lawn: Area) -> bool {
        lawn.is_positive() && self.ground.ratio(lawn) >= WHOLE_FROM
    }

    /// Whether they tell what the whole of a lawn calls for: it was walked whole, or in parts that leave the level out.
    pub fn tell_of(&self, lawn: Area) -> bool {
        self.is_whole(lawn) || self.interval.is_some() && self.open().is_none()
    }

    /// The interval of the parts, where the level lies in it.
    fn open(&self) -> Option<(PestDensity, PestDensity)> {
        self.interval.filter(|(low, high)| *low <= self.level && self.level < *high)
    }

    /// What speaks against holding them for the whole of a lawn; of a lawn that is not known, by the parts alone.
    pub fn doubts(&self, lawn: Option<Area>) -> Problems {
        let mut problems = Problems::new();
        problems.extend(self.by_reckoning());
        let lawn = lawn.filter(|lawn| lawn.is_positive());
        let share = lawn.map(|lawn| self.ground.ratio(lawn));
        if let (Some(lawn), Some(share)) = (lawn, share)
            && share > 2.0 - WHOLE_FROM
        {
            problems.push(
                Problem::warning(
                    "scouting::mounds-ground",
                    format!(
                        "mounds were counted on {}, and the lawn has {}",
                        self.ground.show(AreaUnit::SquareFoot),
                        lawn.show(AreaUnit::SquareFoot)
                    ),
                )
                .expected("the lawn, or parts of it")
                .mend("look for a slip in the area of one count, or in the map"),
            );
        }
        if lawn.is_some_and(|lawn| self.is_whole(lawn)) {
            return problems;
        }
        if self.interval.is_none() {
            let walked = self.ground.show(AreaUnit::SquareFoot);
            let (found, mend) = match lawn {
                Some(lawn) => {
                    let lawn = lawn.show(AreaUnit::SquareFoot);
                    (
                        format!("mounds were counted on one part of {walked}, and the lawn has {lawn}"),
                        "walk the rest as well",
                    )
                }
                None => (
                    format!("mounds were counted on {walked}, and nobody says whether that is the whole lawn"),
                    "give the map, which tells how large the lawn is",
                ),
            };
            problems.push(
                Problem::warning("scouting::mounds-part", found)
                    .expected("the whole lawn, or several parts: one part says nothing of how they differ")
                    .mend(mend),
            );
        }
        if let Some((low, high)) = self.open() {
            problems.push(
                Problem::warning(
                    "scouting::mounds-open",
                    format!(
                        "by these parts there are {:.1} to {:.1} mounds per acre with 95 % confidence: the level of {:.1} lies between",
                        low.per(AreaUnit::Acre),
                        high.per(AreaUnit::Acre),
                        self.level.per(AreaUnit::Acre)
                    ),
                )
                .expected("parts that leave the level out, or the whole lawn")
                .mend("walk the whole lawn: mounds are seen from far"),
            );
        }
        problems
    }

    /// What is to be known of the interval of the parts; `None` of a lawn that was walked whole, and of one part alone. What was
    /// walked is part of the lawn, so that it holds in more than 97 of a hundred cases, by simulation (`docs/scouting.md`).
    pub fn interval_doubt(&self, lawn: Option<Area>) -> Option<Problem> {
        let (low, high) = self.interval.filter(|_| !lawn.is_some_and(|lawn| self.is_whole(lawn)))?;
        Some(
            Problem::warning(
                "scouting::mounds-interval-wide",
                format!(
                    "the 95 % interval of `{:.1}` to `{:.1}` mounds per acre on the whole lawn is wider than need be",
                    low.per(AreaUnit::Acre),
                    high.per(AreaUnit::Acre)
                ),
            )
            .expected("an interval of the lawn: what was walked is part of it, and is reckoned with as if it were not")
            .mend("walk the whole lawn to know"),
        )
    }

    /// On less ground than the level is told on fewer mounds are over it than the level counts.
    fn by_reckoning(&self) -> Option<Problem> {
        let (count, on) = self.level_on;
        (self.call == MoundCall::Broadcast && self.found as f64 <= count).then(|| {
            Problem::warning(
                "scouting::mounds-small",
                format!(
                    "{} on {}, and the level counts {count} on {}: it is passed by reckoning alone",
                    counted(self.found, "live mound was found", "live mounds were found"),
                    self.ground.show(AreaUnit::SquareFoot),
                    on.show(AreaUnit::SquareFoot)
                ),
            )
            .expected("as much ground as the level is told on")
            .mend("walk more ground; where the lawn is no larger, treating them one by one does as well")
        })
    }

    /// What to do, in words.
    pub fn words(&self) -> String {
        let level = format!("{:.1} per acre", self.level.per(AreaUnit::Acre));
        let found = format!("{:.1} mounds per acre", self.density.per(AreaUnit::Acre));
        match self.call {
            MoundCall::LeaveBe => "no live mound was found: there is nothing to treat".to_owned(),
            MoundCall::Singly => {
                format!("{found} are not more than {level}: treat the mounds one by one, and nothing beside them")
            }
            MoundCall::Broadcast => {
                format!("{found} are more than {level}: broadcast over the lawn, then treat single mounds that stay")
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(counts: &[u32], acres: f64) -> Mounds {
        let basis = CountBasis::Mounds(Area::new(acres, AreaUnit::Acre));
        let counts = Counts::new(counts.to_vec(), basis).unwrap().0;
        let quarter = CountBasis::Area(Area::new(0.25, AreaUnit::Acre));
        // Five on a quarter acre: county extension columns after Texas A&M AgriLife Extension.
        let level = Threshold::new(5.0, quarter, "invented").unwrap().of_mounds();
        mounds(&counts, &level).unwrap()
    }

    fn codes(problems: Problems) -> Vec<&'static str> {
        problems.into_iter().map(|one| one.code).collect()
    }

    /// 12 / 0.1451 = 82.70 mounds on an acre, of 20.
    #[test]
    fn twelve_mounds_on_a_small_lawn_call_for_broadcasting() {
        let many = told(&[12], 0.1451);
        assert_eq!(many.call, MoundCall::Broadcast);
        assert!((many.density.per(AreaUnit::Acre) - 82.70).abs() < 0.005);
        assert!((many.level.per(AreaUnit::Acre) - 20.0).abs() < 1e-9);
        assert!(
            many.words().contains("82.7 mounds per acre are more than 20.0 per acre: broadcast"),
            "{}",
            many.words()
        );
        assert_eq!(codes(many.doubts(Some(Area::new(0.1451, AreaUnit::Acre)))), [""; 0]);
    }

    /// On 0.1451 acre the level is 2.9 mounds; on a quarter acre five, and at five the source says "more than".
    #[test]
    fn up_to_the_level_they_are_treated_one_by_one() {
        let call = |count, acres| told(&[count], acres).call;
        assert_eq!(
            [call(0, 0.1451), call(2, 0.1451), call(3, 0.1451)],
            [MoundCall::LeaveBe, MoundCall::Singly, MoundCall::Broadcast]
        );
        assert_eq!(
            [call(5, 0.25), call(6, 0.25), call(20, 1.0), call(21, 1.0)],
            [MoundCall::Singly, MoundCall::Broadcast, MoundCall::Singly, MoundCall::Broadcast]
        );
    }

    #[test]
    fn parts_that_do_not_settle_it_say_so() {
        let parts = told(&[0, 3, 1, 0], 0.05);
        assert_eq!((parts.call, parts.found), (MoundCall::Singly, 4));
        assert_eq!(codes(parts.doubts(None)), ["scouting::mounds-open"]);
        assert_eq!(codes(parts.doubts(Some(Area::new(2.0, AreaUnit::Acre)))), ["scouting::mounds-open"]);
        // The same parts as a whole lawn leave nothing out.
        assert_eq!(codes(parts.doubts(Some(Area::new(0.2, AreaUnit::Acre)))), [""; 0]);
        let one = told(&[4], 0.2);
        assert_eq!(codes(one.doubts(Some(Area::new(1.0, AreaUnit::Acre)))), ["scouting::mounds-part"]);
        assert_eq!(codes(one.doubts(Some(Area::new(0.1, AreaUnit::Acre)))), ["scouting::mounds-ground"]);
        // Without a map nobody knows whether it was the whole lawn.
        assert_eq!(codes(one.doubts(None)), ["scouting::mounds-part"]);
    }

    #[test]
    fn the_interval_of_parts_is_told_as_wide() {
        let acres = |acres: f64| Some(Area::new(acres, AreaUnit::Acre));
        let code = |mounds: &Mounds, lawn| mounds.interval_doubt(lawn).map(|doubt| doubt.code);
        let parts = told(&[30, 28, 31, 29, 33, 27], 0.05);
        let wide = Some("scouting::mounds-interval-wide");
        assert_eq!([code(&parts, None), code(&parts, acres(2.0)), code(&parts, acres(0.3))], [wide, wide, None]);
        assert_eq!(code(&told(&[12], 0.05), acres(2.0)), None);
        // 178 on 0.3 acre are 593 on an acre.
        let found = parts.interval_doubt(None).unwrap().found;
        let ends: Vec<f64> = found.split('`').filter_map(|word| word.parse().ok()).collect();
        assert!(matches!(ends[..], [low, high] if low < 593.3 && 593.3 < high), "{found}");
    }

    #[test]
    fn a_part_tells_of_a_lawn_only_where_it_leaves_the_level_out() {
        let acres = |acres: f64| Area::new(acres, AreaUnit::Acre);
        let one = told(&[4], 0.1);
        assert_eq!([one.tell_of(acres(0.1)), one.tell_of(acres(1.0))], [true, false]);
        assert_eq!([one.is_whole(acres(0.1)), one.is_whole(acres(1.0))], [true, false]);
        let open = told(&[0, 3, 1, 0], 0.05);
        assert!(!open.tell_of(acres(2.0)) && open.tell_of(acres(0.2)));
        assert!(told(&[30, 28, 31, 29, 33, 27], 0.05).tell_of(acres(2.0)));
    }

    /// Three on 0.1451 acre are over five on a quarter acre, and fewer than five.
    #[test]
    fn fewer_mounds_than_the_level_counts_are_over_it_by_reckoning_alone() {
        let whole = Some(Area::new(0.1451, AreaUnit::Acre));
        assert_eq!(codes(told(&[3], 0.1451).doubts(whole)), ["scouting::mounds-small"]);
        assert_eq!(codes(told(&[2], 0.1451).doubts(whole)), [""; 0]);
        assert_eq!(codes(told(&[6], 0.1451).doubts(whole)), [""; 0]);
    }

    #[test]
    fn animals_are_no_mounds() {
        let basis = CountBasis::Area(Area::new(1.0, AreaUnit::SquareFoot));
        let counts = Counts::new(vec![1, 2, 3], basis).unwrap().0;
        assert!(mounds(&counts, &Threshold::new(1.0, basis, "invented").unwrap()).is_err());
    }
}
