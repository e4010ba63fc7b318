//! From counts at places on turf to the ground to treat, and to where counting on would tell most.

use geometry::{Point, Region};
use problem::{Problem, Problems};
use quantity::Area;

use crate::density::PestDensity;
use crate::dispersion::Dispersion;
use crate::hot_spots::{HotSpotAim, HotSpots, square_for};
use crate::surface::{CountAt, Surface};

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
    /// Where to count next, best first.
    pub next: Vec<Point>,
}

impl ScoutedGround {
    /// Looks at turf by counts, each on so much ground.
    ///
    /// # Errors
    /// As [`Surface::through`] and [`HotSpots::on`], and more than [`MOST_PLACES_FOR_SURFACE`] places.
    pub fn of(
        turf: &Region,
        counts: &[CountAt],
        basis: Area,
        dispersion: Dispersion,
        threshold: PestDensity,
        may_stay: f64,
    ) -> Result<Self, Problems> {
        if counts.len() > MOST_PLACES_FOR_SURFACE {
            return Err(Problem::error("scouting::surface-many", format!("counts at `{}` places", counts.len()))
                .expected(format!("{MOST_PLACES_FOR_SURFACE} places at most"))
                .mend("look at a part of the ground at a time")
                .into());
        }
        let surface = Surface::through(counts, basis, dispersion)?;
        let aim = HotSpotAim { threshold, may_stay, square: square_for(turf, SQUARES) };
        let spots = HotSpots::on(turf, &surface, aim)?;
        let places: Vec<Point> = counts.iter().map(|one| one.at).collect();
        // Half of the gap that as many counts leave when they are spread evenly.
        let apart = square_for(turf, u32::try_from(places.len()).unwrap_or(1)) * 0.5;
        let next = spots.next_places(&places, apart, NEXT);
        Ok(Self { spots, next })
    }
}
