//! Hot spots: the smallest ground whose treatment reaches what is to be reached, by the surface of the counts.

use geometry::{Point, Region};
use problem::{Problem, Problems};
use quantity::{Area, AreaUnit, Length, LengthUnit};

use crate::density::PestDensity;
use crate::stop_lines::Stop;
use crate::surface::Surface;

/// Ground that is less likely infested than this is not treated as a hot spot, whatever the aim. Common practice, no
/// source.
pub const LEAST_CHANCE: f64 = 0.1;

/// Where the lawn as a whole is not to be treated, ground that is less likely infested than this is not either: more likely so
/// than not.
pub const LIKELY_CHANCE: f64 = 0.5;

/// How likely infested ground is at least that is treated as a hot spot, by what the counts say of the lawn as a whole.
pub fn least_chance(whole: Stop) -> f64 {
    if whole.treats() == Some(true) { LEAST_CHANCE } else { LIKELY_CHANCE }
}

/// What treating hot spots is to reach.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HotSpotAim {
    /// Density from which ground counts as infested.
    pub threshold: PestDensity,
    /// The share of the infested ground that may stay untreated, as expected: 0 to below 1, such as 0.1.
    pub may_stay: f64,
    /// Ground less likely infested than this is not treated, whatever may stay ([`least_chance`]).
    pub least_chance: f64,
    /// Edge of the squares that are looked at; also the narrowest strip that is treated.
    pub square: Length,
}

/// A square of the turf and how likely it is infested.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SurfaceSquare {
    /// Its middle; of a square at the edge it may lie beside the turf.
    pub middle: Point,
    /// A place of it on the turf, its middle where that is.
    pub place: Point,
    /// The share of it that is turf, by nine places: above 0, up to 1.
    pub share: f64,
    /// How likely the density is at the threshold or above.
    pub chance: f64,
    /// The density that half of the chance lies above.
    pub median: Option<PestDensity>,
    /// Whether it is to be treated.
    pub is_treated: bool,
}

/// The ground to treat, and what that is expected to reach.
#[derive(Debug, Clone, PartialEq)]
pub struct HotSpots {
    /// The ground to treat, within the turf; empty where nothing is likely enough.
    pub ground: Region,
    /// The turf that was looked at.
    pub turf: Area,
    /// The ground expected to be infested.
    pub infested: Area,
    /// Infested ground expected to stay untreated.
    pub stays: Area,
    /// Whether the aim could be met without ground less likely than [`HotSpotAim::least_chance`].
    pub is_met: bool,
    /// The edge of a square.
    pub square: Length,
    /// Every square.
    pub squares: Vec<SurfaceSquare>,
}

impl HotSpots {
    /// The smallest ground: squares by falling chance, until what is expected to stay is no more than what may.
    ///
    /// # Errors
    /// A share that is not from 0 to below 1, a threshold of nothing, a turf that no square of this size lies on, or more
    /// than 20,000 squares.
    pub fn on(turf: &Region, surface: &Surface, aim: HotSpotAim) -> Result<Self, Problems> {
        let HotSpotAim { threshold, may_stay, least_chance, square } = aim;
        let mut problems = Problems::new();
        if !(0.0..1.0).contains(&may_stay) {
            problems.push(
                Problem::error("scouting::may-stay", format!("`{may_stay}` of the infested ground may stay"))
                    .expected("0 to below 1, such as 0.1"),
            );
        }
        if threshold <= PestDensity::known(0.0, Area::new(1.0, AreaUnit::SquareMetre)) {
            problems
                .push(Problem::error("scouting::threshold", "a threshold of nothing").expected("more than nothing"));
        }
        let mut squares = squares_of(turf, square).map_err(|problem| problems.push(problem)).unwrap_or_default();
        if problems.has_errors() {
            return Err(problems);
        }
        for one in &mut squares {
            let at = surface.at(one.place);
            (one.chance, one.median) = (at.chance_over(threshold), at.median());
        }
        let mut order: Vec<usize> = (0..squares.len()).collect();
        order.sort_by(|&one, &other| squares[other].chance.total_cmp(&squares[one].chance).then(one.cmp(&other)));
        let all: f64 = squares.iter().map(|one| one.chance * one.share).sum();
        let mut stays = all;
        for index in order {
            if stays <= may_stay * all || squares[index].chance < least_chance {
                break;
            }
            squares[index].is_treated = true;
            stays -= squares[index].chance * squares[index].share;
        }
        let each = square * square;
        let ground = joined(&squares, square).intersection(turf).without_slivers(each * 0.25, square * 0.25);
        Ok(Self {
            ground,
            turf: turf.area(),
            infested: each * all,
            stays: each * stays.max(0.0),
            is_met: stays <= may_stay * all * (1.0 + 1e-9),
            square,
            squares,
        })
    }

    /// The next places where a count would tell most: undecided squares, apart from each other and from those counted.
    pub fn next_places(&self, counted: &[Point], apart: Length, most: usize) -> Vec<Point> {
        let mut order: Vec<&SurfaceSquare> = self.squares.iter().collect();
        let doubt = |one: &SurfaceSquare| one.chance * (1.0 - one.chance);
        order.sort_by(|one, other| doubt(other).total_cmp(&doubt(one)));
        let mut places: Vec<Point> = Vec::new();
        for one in order {
            if places.len() == most {
                break;
            }
            let is_far = |other: &Point| one.place.distance_to(*other) >= apart;
            if counted.iter().all(is_far) && places.iter().all(is_far) {
                places.push(one.place);
            }
        }
        places
    }
}

/// The edge of squares of which about so many lie on the turf.
pub fn square_for(turf: &Region, count: u32) -> Length {
    Length::new((turf.area().to(AreaUnit::SquareMetre) / f64::from(count.max(1))).sqrt(), LengthUnit::Metre)
}

const MOST_SQUARES: f64 = 20_000.0;

fn squares_of(turf: &Region, edge: Length) -> Result<Vec<SurfaceSquare>, Problem> {
    let edge = edge.to(LengthUnit::Metre);
    let none = || {
        Problem::error("scouting::squares", "no square lies on the turf")
            .expected("turf, and squares that fit on it")
            .mend("take smaller squares, or draw the turf")
    };
    let bounds = turf.bounds().filter(|_| edge > 0.0).ok_or_else(none)?;
    let ((west, south), (east, north)) = (bounds.south_west().metres(), bounds.north_east().metres());
    let (columns, rows) = (((east - west) / edge).ceil(), ((north - south) / edge).ceil());
    if columns * rows > MOST_SQUARES {
        return Err(Problem::error("scouting::squares", format!("`{}` squares", columns * rows))
            .expected(format!("{MOST_SQUARES} at most"))
            .mend("take larger squares"));
    }
    let (columns, rows) = (columns as u32, rows as u32);
    let middles = (0..rows).flat_map(|row| (0..columns).map(move |column| (row, column))).map(|(row, column)| {
        Point::from_metres(west + (f64::from(column) + 0.5) * edge, south + (f64::from(row) + 0.5) * edge)
    });
    let third = Length::new(edge / 3.0, LengthUnit::Metre);
    let square = |middle: Point| {
        // The middle first: where it is turf, the density is told there.
        let steps = [0.0, -1.0, 1.0];
        let around = steps.iter().flat_map(|north| steps.iter().map(move |east| (third * *east, third * *north)));
        let places: Vec<Point> =
            around.map(|(east, north)| middle.moved(east, north)).filter(|place| turf.contains(*place)).collect();
        let share = places.len() as f64 / 9.0;
        let place = *places.first()?;
        Some(SurfaceSquare { middle, place, share, chance: 0.0, median: None, is_treated: false })
    };
    let found: Vec<SurfaceSquare> = middles.filter_map(square).collect();
    if found.is_empty() { Err(none()) } else { Ok(found) }
}

/// The treated squares as ground: runs of a row first, so that few pieces are joined.
fn joined(squares: &[SurfaceSquare], edge: Length) -> Region {
    let half = edge * 0.5;
    let mut runs: Vec<(Point, Point)> = Vec::new();
    for one in squares.iter().filter(|one| one.is_treated) {
        let corners = (one.middle.moved(half * -1.0, half * -1.0), one.middle.moved(half, half));
        match runs.last_mut() {
            Some((_, last)) if is_beside(*last, corners, edge) => *last = corners.1,
            _ => runs.push(corners),
        }
    }
    let pieces: Vec<Region> = runs.iter().filter_map(|(from, to)| Region::rectangle(*from, *to).ok()).collect();
    Region::union_all(&pieces)
}

fn is_beside(last: Point, (south_west, north_east): (Point, Point), edge: Length) -> bool {
    let hair = edge * 1e-6;
    let far = |one: Length, other: Length| (one - other).to(LengthUnit::Metre).abs() > hair.to(LengthUnit::Metre);
    !far(last.x(), south_west.x()) && !far(last.y(), north_east.y())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::dispersion::Dispersion;
    use crate::surface::{CountAt, Variation};
    use proptest::prelude::*;

    fn lawn(width: f64, depth: f64) -> Region {
        Region::rectangle(Point::from_metres(0.0, 0.0), Point::from_metres(width, depth)).unwrap()
    }

    fn front() -> Surface {
        // Pests come in from the west.
        let counts = (0..6).flat_map(|column| (0..4).map(move |row| (column, row))).map(|(column, row)| CountAt {
            at: Point::from_metres(2.5 + 5.0 * f64::from(column), 2.5 + 5.0 * f64::from(row)),
            count: [14, 9, 4, 1, 0, 0][column as usize],
        });
        let basis = Area::new(1.0, AreaUnit::SquareFoot);
        Surface::through(&counts.collect::<Vec<_>>(), basis, Dispersion::clumped(2.0).unwrap()).unwrap()
    }

    #[test]
    fn k_fitted_with_a_surface_does_not_take_a_front_for_scatter() {
        let counts: Vec<CountAt> = (0..6)
            .flat_map(|column| (0..4).map(move |row| (column, row)))
            .map(|(column, row)| CountAt {
                at: Point::from_metres(2.5 + 5.0 * f64::from(column), 2.5 + 5.0 * f64::from(row)),
                count: [14, 9, 4, 1, 0, 0][column as usize],
            })
            .collect();
        let basis = Area::new(1.0, AreaUnit::SquareFoot);
        let values = counts.iter().map(|one| one.count).collect();
        let of_all = crate::Counts::new(values, crate::CountBasis::Area(basis)).unwrap().0.dispersion(None).dispersion;
        let Dispersion::NegativeBinomial(of_all) = of_all else { panic!("clumped as a whole") };
        let Dispersion::NegativeBinomial(k) = Surface::with_fitted_k(&counts, basis, of_all).unwrap().dispersion()
        else {
            panic!("a k is fitted")
        };
        assert!(k.value() > 3.0 * of_all.value(), "{k:?} against {of_all:?}");
    }

    fn aim(per_square_foot: f64, may_stay: f64) -> HotSpotAim {
        HotSpotAim {
            threshold: PestDensity::new(per_square_foot, Area::new(1.0, AreaUnit::SquareFoot)).unwrap(),
            may_stay,
            least_chance: LEAST_CHANCE,
            square: Length::new(1.0, LengthUnit::Metre),
        }
    }

    #[test]
    fn a_front_is_treated_where_it_stands() {
        let turf = lawn(30.0, 20.0);
        let found = HotSpots::on(&turf, &front(), aim(5.0, 0.1)).unwrap();
        assert!(found.is_met && found.stays <= found.infested * 0.1 * 1.000_001);
        let share = found.ground.area().ratio(turf.area());
        assert!((0.2..0.7).contains(&share), "{share}");
        assert!(found.ground.contains(Point::from_metres(1.5, 10.0)));
        assert!(!found.ground.contains(Point::from_metres(28.5, 10.0)));
        // The middle of the way is where one would count next, and never where somebody counted.
        let next = found.next_places(&[Point::from_metres(12.5, 2.5)], Length::new(3.0, LengthUnit::Metre), 3);
        assert_eq!(next.len(), 3);
        assert!(next.iter().all(|place| (5.0..22.0).contains(&place.metres().0)), "{next:?}");
    }

    #[test]
    fn too_few_places_have_no_surface() {
        let counts: Vec<CountAt> =
            (0..5_u32).map(|x| CountAt { at: Point::from_metres(f64::from(x.min(3)), 0.0), count: 0 }).collect();
        let found = Surface::through(&counts, Area::ZERO, Dispersion::Poisson).unwrap_err();
        let codes: Vec<_> = found.iter().map(|one| one.code).collect();
        assert_eq!(
            codes,
            ["scouting::surface-few", "scouting::same-place", "scouting::surface-nothing", "scouting::count-area"]
        );
    }

    #[test]
    fn wrong_aims_are_told() {
        let surface = front();
        let mut wrong = aim(5.0, 1.0);
        wrong.square = Length::new(0.01, LengthUnit::Metre);
        let found = HotSpots::on(&lawn(30.0, 20.0), &surface, wrong).unwrap_err();
        assert_eq!(found.iter().map(|one| one.code).collect::<Vec<_>>(), ["scouting::may-stay", "scouting::squares"]);
        assert!(HotSpots::on(&Region::empty(), &surface, aim(5.0, 0.1)).is_err());
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(12))]
        /// Asking for less to stay treats more, within the turf; a higher threshold treats no more.
        #[test]
        fn less_may_stay_more_is_treated(
            counts in prop::collection::vec(0_u32..20, 12..20), less in 0.02_f64..0.2, more in 0.2_f64..0.6,
        ) {
            prop_assume!(counts.iter().any(|count| *count > 0));
            let counts: Vec<CountAt> = (0_u32..).zip(&counts).map(|(index, &count)| CountAt {
                at: Point::from_metres(f64::from(index % 4) * 4.0 + 2.0, f64::from(index / 4) * 4.0 + 2.0),
                count,
            }).collect();
            let basis = Area::new(1.0, AreaUnit::SquareFoot);
            let surface = Surface::with_variation(
                &counts, basis, Dispersion::clumped(1.5).unwrap(),
                Variation { spread: 0.9, range: Length::new(5.0, LengthUnit::Metre) },
            ).unwrap();
            let turf = lawn(16.0, 20.0);
            let treats = |aim| HotSpots::on(&turf, &surface, aim).unwrap();
            let (little, much) = (treats(aim(4.0, more)), treats(aim(4.0, less)));
            prop_assert!(much.ground.area() >= little.ground.area() * (1.0 - 1e-9));
            prop_assert!(much.ground.difference(&turf).area() <= turf.area() * 1e-9);
            prop_assert!(much.squares.iter().all(|one| (0.0..=1.0).contains(&one.chance)));
            prop_assert!(little.is_met || little.squares.iter().all(|one| one.is_treated || one.chance < LEAST_CHANCE));
        }
    }
}
