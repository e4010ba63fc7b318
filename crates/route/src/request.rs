//! What a route is asked for.

use geometry::{Point, Region};
use problem::{Problem, Problems};
use quantity::{AreaUnit, Bearing, Length, LengthUnit};

/// The ground to spray and what is in the hand.
#[derive(Debug, Clone, PartialEq)]
pub struct RouteRequest {
    /// The ground to be covered; beds, house and trunks are holes in it.
    pub zone: Region,
    /// Ground beside it that may be walked and must not be sprayed, such as paving. What is neither zone nor this is
    /// walked by nobody.
    pub walkable: Region,
    /// Ground beyond the zone on which spray does no harm, such as gravel or a mown verge. An edge toward it is soft:
    /// passes may run out over it, and no pass is laid along it for the edge's sake.
    pub harmless: Region,
    /// Effective width of one pass.
    pub swath: Length,
    /// How far one tank sprays at that width.
    pub tank: Length,
    /// Where the tank is filled.
    pub tap: Point,
    /// Where the walk begins; at the tap without.
    pub start: Option<Point>,
    /// Where the wind comes from; without, nobody is asked to work upwind.
    pub wind_from: Option<Bearing>,
    /// The share of the zone that must be covered.
    pub coverage: CoverageShare,
    /// How long to look for a good order.
    pub effort: Effort,
}

/// A share of the zone, from 0.5 to 1.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct CoverageShare(f64);

impl CoverageShare {
    /// 99.5 %.
    pub const USUAL: Self = Self(0.995);

    /// A share; `None` for what is none: under a half, above the whole, or no number.
    pub fn new(share: f64) -> Option<Self> {
        (0.5..=1.0).contains(&share).then_some(Self(share))
    }

    /// The share, of 1.
    pub fn share(self) -> f64 {
        self.0
    }
}

/// How much work goes into the order, in steps of the search, so that the same request gives the same route on any
/// machine.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Effort(u32);

impl Effort {
    /// So many thousand changes of the order are tried.
    pub fn thousands(thousands: u16) -> Self {
        Self(u32::from(thousands) * 1000)
    }

    /// How many changes are tried.
    pub fn steps(self) -> u32 {
        self.0
    }
}

impl Default for Effort {
    fn default() -> Self {
        Self::thousands(300)
    }
}

/// The largest zone that is planned at once: larger ones are fields, and this is a walk.
const LARGEST_ZONE_M2: f64 = 20_000.0;
const SWATH_M: std::ops::RangeInclusive<f64> = 0.2..=6.0;
/// A tank must last for so many swaths of walking, or every pass is cut to bits.
const LEAST_TANK_SWATHS: f64 = 10.0;

impl RouteRequest {
    /// A request for a zone with nothing known but the sprayer and the tap.
    pub fn new(zone: Region, swath: Length, tank: Length, tap: Point) -> Self {
        Self {
            zone,
            walkable: Region::empty(),
            harmless: Region::empty(),
            swath,
            tank,
            tap,
            start: None,
            wind_from: None,
            coverage: CoverageShare::USUAL,
            effort: Effort::default(),
        }
    }

    /// Everything that is wrong with the request by itself.
    pub fn problems(&self) -> Problems {
        let mut problems = Problems::new();
        let area = self.zone.area().to(AreaUnit::SquareMetre);
        let swath = self.swath.to(LengthUnit::Metre);
        if self.zone.is_empty() || area <= 0.0 {
            problems.push(
                Problem::error("route::zone-empty", "a zone without ground")
                    .expected("ground to spray")
                    .mend("plan a route only for zones that get a task")
                    .at("zone"),
            );
        } else if area > LARGEST_ZONE_M2 {
            problems.push(
                Problem::error("route::zone-size", format!("a zone of `{area:.0} m²`"))
                    .expected(format!("at most {LARGEST_ZONE_M2:.0} m²"))
                    .mend("split the zone into parts that are walked one after the other")
                    .at("zone"),
            );
        }
        if !SWATH_M.contains(&swath) {
            problems.push(
                Problem::error("route::swath", format!("a swath of `{swath:.2} m`"))
                    .expected(format!("from {} to {} m", SWATH_M.start(), SWATH_M.end()))
                    .mend("give the width that one pass covers, and check its unit")
                    .at("swath"),
            );
        }
        let tank = self.tank.to(LengthUnit::Metre);
        if tank < LEAST_TANK_SWATHS * swath {
            problems.push(
                Problem::error("route::tank", format!("a tank that sprays `{tank:.1} m` of pass"))
                    .expected(format!("at least {:.1} m, ten swaths", LEAST_TANK_SWATHS * swath))
                    .mend("check tank size, rate and swath")
                    .at("tank"),
            );
        }
        if self.zone.intersection(&self.walkable).area().to(AreaUnit::SquareMetre) > 0.01 * area.max(1.0) {
            problems.push(
                Problem::error("route::walkable-overlap", "ground that is both to be sprayed and only to be walked")
                    .expected("zone and walkable ground side by side")
                    .mend("take the paving out of the zone")
                    .at("walkable"),
            );
        }
        problems
    }
}
