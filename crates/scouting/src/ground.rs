//! From counts at places on turf to the ground to treat, and to where counting on would tell most.

use geometry::{Point, Region};
use problem::{Problem, Problems};

use crate::advice::{Advice, Judging};
use crate::count::{CountBasis, Counts};
use crate::density::PestDensity;
use crate::hot_spots::{HotSpotAim, HotSpots, least_chance, square_for};
use crate::spot_evidence::SpotEvidence;
use crate::surface::{CountAt, Surface};
use crate::threshold::Threshold;

/// Squares that are looked at on one property, about. Common practice, no source.
const SQUARES: u32 = 1_000;

/// Places that are told for the next counts.
const NEXT: usize = 4;

/// More places than this have no surface: its reckoning grows with their cube.
pub const MOST_PLACES_FOR_SURFACE: usize = 200;

/// What counts at places say of the ground.
#[derive(Debug, Clone, PartialEq)]
pub struct ScoutedGround {
    /// Where the pests are likely, and what to treat.
    pub spots: HotSpots,
    /// What speaks for treating that alone; `None` where nothing is to be treated.
    pub evidence: Option<SpotEvidence>,
    /// Where to count next, best first.
    pub next: Vec<Point>,
}

impl ScoutedGround {
    /// Looks at turf by counts at places, by what they say of the whole of it.
    ///
    /// # Errors
    /// As [`Surface::through`] and [`HotSpots::on`]; more than [`MOST_PLACES_FOR_SURFACE`] places; counts or a threshold that
    /// are not on ground.
    pub fn of(
        turf: &Region,
        places: &[CountAt],
        (counts, threshold): (&Counts, &Threshold),
        (advice, judging): (&Advice, Judging),
        may_stay: f64,
    ) -> Result<Self, Problems> {
        let (CountBasis::Area(basis), CountBasis::Area(on)) = (counts.basis(), threshold.basis()) else {
            return Err(Problem::error("scouting::surface-basis", "counts that are not on ground have no surface")
                .expected("counts and a threshold on an area")
                .into());
        };
        let level = PestDensity::new(threshold.count(), on)
            .ok_or_else(|| Problem::error("scouting::threshold", "a threshold of nothing"))?;
        if places.len() > MOST_PLACES_FOR_SURFACE {
            return Err(Problem::error("scouting::surface-many", format!("counts at `{}` places", places.len()))
                .expected(format!("{MOST_PLACES_FOR_SURFACE} places at most"))
                .mend("look at a part of the ground at a time")
                .into());
        }
        let surface = Surface::through(places, basis, advice.dispersion.dispersion)?;
        let square = square_for(turf, SQUARES);
        let aim = HotSpotAim { threshold: level, may_stay, least_chance: least_chance(advice.stop), square };
        let spots = HotSpots::on(turf, &surface, aim)?;
        let evidence = spots.evidence(places, counts, threshold, judging)?;
        let points: Vec<Point> = places.iter().map(|one| one.at).collect();
        // Half of the gap that as many counts leave when they are spread evenly.
        let apart = square_for(turf, u32::try_from(points.len()).unwrap_or(1)) * 0.5;
        let next = spots.next_places(&points, apart, NEXT);
        Ok(Self { spots, evidence, next })
    }
}
