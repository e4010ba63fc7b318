//! How long a surface of 60 counts with its ground to treat takes, and 10,000 walks between stop lines. Prints one JSON
//! object with the counts; `crates/bench/peers/counts.py` puts it beside its peers.

use geometry::{Point, Region};
use quantity::{Area, AreaUnit};
use scouting::{
    CountAt, CountsByLot, Dispersion, Draws, HotSpotAim, HotSpots, LEAST_CHANCE, PestDensity, StopLineAim,
    StopLinePlan, Surface, square_for,
};
use std::time::{Duration, Instant};

const WALKS: u32 = 10_000;

/// Median time of a piece of work over two seconds, in seconds.
fn median<T>(mut work: impl FnMut() -> T) -> f64 {
    let mut times = Vec::new();
    let begin = Instant::now();
    while begin.elapsed() < Duration::from_secs(2) || times.len() < 5 {
        let start = Instant::now();
        std::hint::black_box(work());
        times.push(start.elapsed().as_secs_f64());
    }
    times.sort_by(f64::total_cmp);
    times[times.len() / 2]
}

fn main() -> Result<(), problem::Problems> {
    let clumped = Dispersion::clumped(2.0).unwrap_or(Dispersion::Poisson);
    let mut draws = Draws::of_seed(31);
    let counts: Vec<CountAt> = (0..10)
        .flat_map(|column| (0..6).map(move |row| (column, row)))
        .map(|(column, row)| {
            let (x, y) = (1.5 + 3.0 * f64::from(column), 2.0 + 4.2 * f64::from(row));
            let mean = 0.3 + 12.0 / (1.0 + ((x - 12.0) / 2.0).exp());
            CountAt { at: Point::from_metres(x, y), count: CountsByLot::about(clumped, mean).draw(&mut draws) }
        })
        .collect();
    let turf = Region::rectangle(Point::from_metres(0.0, 0.0), Point::from_metres(30.0, 25.0))
        .unwrap_or_else(|_| Region::empty());
    let basis = Area::new(1.0, AreaUnit::SquareFoot);
    let threshold = PestDensity::new(4.0, basis).unwrap_or_else(|| unreachable!("four on a square foot"));
    let aim = HotSpotAim { threshold, may_stay: 0.1, least_chance: LEAST_CHANCE, square: square_for(&turf, 1_000) };
    let spots = || -> Result<HotSpots, problem::Problems> {
        HotSpots::on(&turf, &Surface::through(&counts, basis, clumped)?, aim)
    };
    let found = spots()?;
    let surface_s = median(|| spots().map(|spots| spots.squares.len()));
    let plan = StopLinePlan::new(StopLineAim {
        lower: 2.0,
        threshold: 2.83,
        upper: 4.0,
        dispersion: Dispersion::clumped(1.0).unwrap_or(Dispersion::Poisson),
        treat_in_vain: 0.1,
        leave_wrongly: 0.1,
        least: 5,
        most: 100,
    })?;
    let by_lot = CountsByLot::about(Dispersion::clumped(1.0).unwrap_or(Dispersion::Poisson), 4.0);
    let walks = || {
        let mut draws = Draws::of_seed(7);
        (0..WALKS).filter(|_| plan.walk_of(|| by_lot.draw(&mut draws)).0.treats() == Some(true)).count()
    };
    let treated = walks();
    let (walks_s, reckoned_s) = (median(walks), median(|| plan.characteristic(4.0)));
    let places: Vec<String> = counts
        .iter()
        .map(|one| {
            let (x, y) = one.at.metres();
            format!("[{x},{y},{}]", one.count)
        })
        .collect();
    println!(
        "{{\"counts\":[{}],\"squares\":{},\"treated_share\":{},\"surface_s\":{surface_s},\"walks_s\":{walks_s},\
         \"walks_treat\":{},\"reckoned_s\":{reckoned_s},\"reckoned_treat\":{}}}",
        places.join(","),
        found.squares.len(),
        found.ground.area().ratio(found.turf),
        treated as f64 / f64::from(WALKS),
        plan.characteristic(4.0).treats,
    );
    Ok(())
}
