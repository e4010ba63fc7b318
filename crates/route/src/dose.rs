//! How evenly a walk doses the ground: an expected dose for each cell of a grid, from the pattern across a swath.
//!
//! # Method
//! Across a pass the dose is 1 up to (1 - taper) / 2 of the swath from its middle and falls in a straight line to 0 at
//! (1 + taper) / 2, so that passes a swath apart add to 1 everywhere, whatever the taper. A pass that is narrowed is walked
//! faster by as much, and doses the same. Where a line bends the outer side of a swath is longer than the inner one, and
//! gets less. An error of walking is assumed for each pass: so far to the side, so much faster or slower.

use crate::draws::Draws;
use crate::raster::Frame;
use crate::swath::mitred_normals;
use crate::vector::Vector;
use crate::{Pass, Route, RouteRequest};
use quantity::{Length, LengthUnit};

/// How a nozzle's pattern falls off to its sides: from 0, an even fan, to 1, a triangle two swaths wide.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Taper(f64);

impl Taper {
    /// An even fan with sharp edges.
    pub const EVEN: Self = Self(0.0);
    /// A pattern that falls from the middle to a swath on either side.
    pub const FULL: Self = Self(1.0);

    /// A taper; `None` for what is none: under 0, over 1, or no number.
    pub fn new(taper: f64) -> Option<Self> {
        (0.0..=1.0).contains(&taper).then_some(Self(taper))
    }

    /// Dose at a distance from the middle of a pass, in swaths; the full dose is 1.
    fn at(self, off: f64) -> f64 {
        if self.0 <= 0.0 {
            return if off <= 0.5 { 1.0 } else { 0.0 };
        }
        ((0.5 + self.0 / 2.0 - off) / self.0).clamp(0.0, 1.0)
    }
}

/// How a person strays from the plan; assumed, not measured.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WalkingError {
    /// Standard deviation to the side of each pass.
    pub aside: Length,
    /// Standard deviation of the pace of each pass, as a share of it.
    pub pace: f64,
    /// The seed of the draws.
    pub seed: u64,
}

/// Expected dose over a zone. Shares are of 1; the intended dose is 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DoseFigures {
    /// Mean dose.
    pub mean: f64,
    /// Standard deviation of the dose over its mean.
    pub variation: f64,
    /// The same over the ground farther than a swath from the edge; `None` where there is none.
    pub interior_variation: Option<f64>,
    /// The same over blocks of a quarter of a metre: what a collector of that size would catch.
    pub block_variation: f64,
    /// Ground with less than three quarters of the dose.
    pub under_three_quarters: f64,
    /// Ground with more than five quarters of the dose.
    pub over_five_quarters: f64,
    /// Of what is sprayed, what falls beyond the zone.
    pub outside: f64,
}

const CELL: f64 = 0.05;
/// Cells along the side of a block of a quarter of a metre.
const BLOCK: usize = 5;

/// The expected dose of a route. Without an error the plan's own; with one, that of one walk drawn by lot.
pub fn dose(request: &RouteRequest, route: &Route, taper: Taper, error: Option<WalkingError>) -> DoseFigures {
    let map = DoseMap::of(request, route, taper, error);
    map.figures()
}

struct DoseMap {
    frame: Frame,
    zone: Vec<bool>,
    interior: Vec<bool>,
    dose: Vec<f32>,
}

impl DoseMap {
    fn of(request: &RouteRequest, route: &Route, taper: Taper, error: Option<WalkingError>) -> Self {
        let swath = request.swath.to(LengthUnit::Metre);
        let places = crate::raster::rings_of(&request.zone).into_iter().flatten().flatten();
        let frame = Frame::around(places, 1.6 * swath, CELL);
        let zone = frame.mask(&request.zone);
        let depth = crate::raster::squared_distances(&frame, &zone);
        let reach = (swath / CELL) as f32;
        let interior = depth.iter().map(|depth| *depth > reach * reach).collect();
        let mut map = Self { dose: vec![0.0; frame.len()], zone, interior, frame };
        let mut draws = Draws::of_seed(error.map_or(0, |error| error.seed));
        for pass in route.passes() {
            let (aside, pace) = error.map_or((0.0, 1.0), |error| {
                let aside = error.aside.to(LengthUnit::Metre) * draws.normal();
                (aside, (1.0 + error.pace * draws.normal()).max(0.3))
            });
            map.spray(pass, taper, aside, 1.0 / pace);
        }
        map
    }

    /// Adds a pass that is walked so far to the left of its line, at so many times the dose.
    fn spray(&mut self, pass: &Pass, taper: Taper, aside: f64, times: f64) {
        let width = pass.swath.to(LengthUnit::Metre);
        let line: Vec<Vector> = pass.line.iter().copied().map(Vector::of).collect();
        let normals = mitred_normals(&line);
        let line: Vec<Vector> = line.iter().zip(&normals).map(|(place, normal)| *place + *normal * aside).collect();
        let half = width * (0.5 + taper.0 / 2.0);
        let quads = crate::swath::quads(&line, half, pass.start_skew.slope(), pass.end_skew.slope());
        for (index, quad) in quads.into_iter().enumerate() {
            let (from, to) = (line[index], line[index + 1]);
            let along = (to - from).unit();
            let length = from.gap(to);
            // How much longer the piece is for each metre farther left.
            let (left, right) = ((quad[1] - quad[0]).dot(along), (quad[2] - quad[3]).dot(along));
            let is_inner = index > 0 && index + 2 < line.len();
            let (frame, dose) = (&self.frame, &mut self.dose);
            frame.fill(&[&quad], |cell| {
                let off = along.cross(frame.centre(cell) - from);
                let here = f64::midpoint(left, right) + (left - right) / 2.0 * (off / half);
                // A skewed end shifts both ends of a strip alike; only bends make it longer or shorter.
                let stretch = if is_inner { (length / here.max(0.2 * length)).min(3.0) } else { 1.0 };
                dose[cell] += (taper.at(off.abs() / width) * times * stretch) as f32;
            });
        }
    }

    fn figures(&self) -> DoseFigures {
        let zone = || self.zone.iter().zip(&self.dose).filter(|(zone, _)| **zone).map(|(_, dose)| f64::from(*dose));
        let count = zone().count().max(1) as f64;
        let (mean, variation) = mean_and_variation(zone());
        let inner = || {
            let pairs = self.interior.iter().zip(&self.dose).filter(|(interior, _)| **interior);
            pairs.map(|(_, dose)| f64::from(*dose))
        };
        let total: f64 = self.dose.iter().map(|dose| f64::from(*dose)).sum();
        let inside: f64 = zone().sum();
        DoseFigures {
            mean,
            variation,
            interior_variation: inner().next().map(|_| mean_and_variation(inner()).1),
            block_variation: mean_and_variation(self.blocks().into_iter()).1,
            under_three_quarters: zone().filter(|dose| *dose < 0.75).count() as f64 / count,
            over_five_quarters: zone().filter(|dose| *dose > 1.25).count() as f64 / count,
            outside: if total > 0.0 { 1.0 - inside / total } else { 0.0 },
        }
    }

    /// Means of blocks that lie in the zone whole.
    fn blocks(&self) -> Vec<f64> {
        let mut blocks = Vec::new();
        for row in (0..self.frame.rows.saturating_sub(BLOCK)).step_by(BLOCK) {
            for column in (0..self.frame.columns.saturating_sub(BLOCK)).step_by(BLOCK) {
                let cells = || {
                    (0..BLOCK * BLOCK).map(|index| (row + index / BLOCK) * self.frame.columns + column + index % BLOCK)
                };
                if cells().all(|cell| self.zone[cell]) {
                    blocks.push(cells().map(|cell| f64::from(self.dose[cell])).sum::<f64>() / (BLOCK * BLOCK) as f64);
                }
            }
        }
        blocks
    }
}

fn mean_and_variation(values: impl Iterator<Item = f64> + Clone) -> (f64, f64) {
    let count = values.clone().count().max(1) as f64;
    let mean = values.clone().sum::<f64>() / count;
    let square = values.map(|value| (value - mean) * (value - mean)).sum::<f64>() / count;
    (mean, if mean > 0.0 { square.sqrt() / mean } else { 0.0 })
}

/// What an even fan's variation must be when so much is covered twice and so much missed.
///
/// With dose 0 on a missed share m, 2 on a doubled share p and 1 elsewhere the mean is 1 + p - m and the variance
/// p (1 - p) + m (1 - m) + 2 p m.
pub fn variation_of_even_fan(twice: f64, missed: f64) -> f64 {
    let variance = twice * (1.0 - twice) + missed * (1.0 - missed) + 2.0 * twice * missed;
    variance.sqrt() / (1.0 + twice - missed)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn passes_a_swath_apart_add_to_one_for_every_taper() {
        for taper in [0.0, 0.25, 0.5, 0.8, 1.0] {
            let taper = Taper::new(taper).unwrap();
            for step in 0..100 {
                let place = f64::from(step) / 100.0 + 0.003;
                let sum: f64 = (-3..=3).map(|pass| taper.at((place - f64::from(pass)).abs())).sum();
                assert!((sum - 1.0).abs() < 1e-9, "{taper:?} {place} {sum}");
            }
        }
        assert_eq!(Taper::new(f64::NAN), None);
        assert_eq!(Taper::new(1.01), None);
    }

    #[test]
    fn the_closed_form_is_what_the_doses_say() {
        // 2 of 20 pieces doubled, 1 missed.
        let doses = [2.0, 2.0, 0.0].into_iter().chain([1.0; 17]);
        let (mean, variation) = mean_and_variation(doses);
        assert!((mean - 1.05).abs() < 1e-12);
        assert!((variation - variation_of_even_fan(0.1, 0.05)).abs() < 1e-12);
    }
}
