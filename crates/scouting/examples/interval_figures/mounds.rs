//! The interval of mounds: what parts of a lawn say of all of it.

use crate::{by_two, clumped, heading, percent};
use quantity::{Area, AreaUnit};
use scouting::{CountBasis, Counts, CountsByLot, Draws, Threshold, mounds};

/// Lawns for each figure.
const LAWNS: u32 = 1_000;
/// Parts of a lawn, each of a twentieth of an acre.
const PARTS: usize = 20;
const WALKED: [usize; 5] = [2, 4, 8, 12, 16];

/// How often the interval holds the mounds of the lawn, by how many of its parts were walked.
pub(crate) fn table() {
    println!("\nHow often the interval of mounds holds those of the whole lawn of {PARTS} parts, of {LAWNS} lawns.\n");
    heading("k | mounds a part", WALKED.iter().map(|walked| format!("{walked} parts walked")));
    let rows: Vec<(Option<f64>, f64)> = [Some(0.5), Some(1.0), Some(3.0), None]
        .into_iter()
        .flat_map(|k| [0.3, 1.0, 3.0, 10.0].map(|mean| (k, mean)))
        .collect();
    let found = by_two(&rows, |number, (k, mean)| {
        let mut draws = Draws::of_seed(1_600 + number as u64);
        let by_lot = CountsByLot::about(clumped(*k).0, *mean);
        WALKED.map(|walked| {
            let holds = (0..LAWNS).filter(|_| {
                let lawn: Vec<u32> = (0..PARTS).map(|_| by_lot.draw(&mut draws)).collect();
                holds_the_lawn(&lawn, walked).unwrap_or(false)
            });
            percent(holds.count() as u32, LAWNS)
        })
    });
    for ((k, mean), cells) in rows.iter().zip(found) {
        println!("| {} | {mean} | {} |", clumped(*k).1, cells.join(" | "));
    }
}

fn holds_the_lawn(lawn: &[u32], walked: usize) -> Option<bool> {
    let part = Area::new(0.05, AreaUnit::Acre);
    let counts = Counts::new(lawn[..walked].to_vec(), CountBasis::Mounds(part)).ok()?.0;
    let level = CountBasis::Area(Area::new(0.25, AreaUnit::Acre));
    let level = Threshold::new(5.0, level, "invented").ok()?.of_mounds();
    let (low, high) = mounds(&counts, &level).ok()?.interval?;
    let truth = lawn.iter().copied().map(f64::from).sum::<f64>() / lawn.len() as f64;
    Some((low.on(part)..=high.on(part)).contains(&truth))
}
