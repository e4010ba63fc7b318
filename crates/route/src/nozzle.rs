//! Where along a track the nozzle is on: the runs that are worth the most, each with the part of the swath and the turn
//! of the wand at its ends that suit it.
//!
//! # Method
//! Ground that still needs spray is worth 1 a square metre, ground that another pass covers costs the price of overlap,
//! ground beyond the zone the price of off-target, and each run a price. On a track the best set of runs is found exactly
//! by dynamic programming over its samples. Each run then drops sixteenths of its swath that cost more than they bring, and
//! its ends move and turn to where they bring most.

use crate::ground::{Ground, Kind};
use crate::raster::NOWHERE;
use crate::route::PassKind;
use crate::swath;
use crate::track::{PARTS, Track};
use crate::vector::{Vector, line_length};

/// What the nozzle weighs, in square metres of ground that needs spray.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Prices {
    pub(crate) overlap: f64,
    pub(crate) off: f64,
    /// For one run, in parts of the squared swath.
    pub(crate) run: f64,
    /// For the length of a run, as a part of the ground that a full swath covers.
    pub(crate) length: f64,
}

/// The nozzle is on from one arc length to another.
#[derive(Debug, Clone)]
pub(crate) struct Run {
    pub(crate) kind: PassKind,
    pub(crate) line: Vec<Vector>,
    pub(crate) width: f64,
    pub(crate) start_slope: f64,
    pub(crate) end_slope: f64,
    /// The cells under it; one that lies under two of its quadrilaterals stands twice.
    pub(crate) cells: Vec<u32>,
}

/// Turns of the wand that are tried, as tangents.
const SLOPES: [f64; 9] = [0.0, -0.25, 0.25, -0.5, 0.5, -0.75, 0.75, -1.0, 1.0];
/// What turning the wand by 45 degrees costs, in parts of the squared swath: it is not done for nothing.
const SLOPE_PRICE: f64 = 0.01;
/// What a narrowed swath must bring, in parts of the squared swath.
const NARROW_PRICE: f64 = 0.06;
/// Fewest sixteenths of a swath that a nozzle held low still covers evenly.
const LEAST_PARTS: usize = 6;

/// What a track is worth sample by sample.
struct Worth {
    /// Sums along each column: `across` of each sample boundary, from the start.
    along: Vec<f32>,
    across: usize,
    samples: usize,
}

impl Worth {
    fn of(ground: &Ground, track: &Track, prices: Prices) -> Self {
        let (across, samples) = (track.across, track.samples());
        let piece = (track.step * track.width / across as f64) as f32;
        let (need, overlap, off) = (piece, -(prices.overlap as f32) * piece, -(prices.off as f32) * piece);
        let mut along = vec![0.0_f32; (samples + 1) * across];
        for sample in 0..samples {
            let (done, rest) = along.split_at_mut((sample + 1) * across);
            let (before, now) = (&done[sample * across..], &mut rest[..across]);
            let cells = &track.cells[sample * across..(sample + 1) * across];
            for column in 0..across {
                let worth = match cells[column] {
                    NOWHERE => off,
                    cell => match ground.kind[cell as usize] {
                        Kind::Zone if ground.count[cell as usize] == 0 => need,
                        Kind::Zone => overlap,
                        Kind::Harmless => 0.02 * off,
                        Kind::Walkable | Kind::Blocked => off,
                    },
                };
                now[column] = before[column] + worth;
            }
        }
        Self { along, across, samples }
    }

    fn column(&self, column: usize, from: usize, to: usize) -> f32 {
        self.along[to * self.across + column] - self.along[from * self.across + column]
    }

    /// By how many samples each column leans off a boundary that leans by a slope, in samples a column, about the middle.
    fn shifts(lean: f64, columns: (usize, usize)) -> Vec<isize> {
        let middle = f64::midpoint(columns.0 as f64, columns.1 as f64) - 0.5;
        (columns.0..columns.1).map(|column| (lean * (column as f64 - middle)).round() as isize).collect()
    }

    /// The sum up to a boundary that leans.
    fn up_to(&self, boundary: usize, shifts: &[isize], columns: (usize, usize)) -> f64 {
        let last = self.samples.cast_signed();
        let pairs = (columns.0..columns.1).zip(shifts);
        let sum: f32 = pairs
            .map(|(column, shift)| {
                let at = (boundary.cast_signed() + shift).clamp(0, last) as usize;
                self.along[at * self.across + column]
            })
            .sum();
        f64::from(sum)
    }
}

/// The runs of a track that are worth the most, given what the other passes cover.
pub(crate) fn runs(ground: &Ground, track: &Track, prices: Prices) -> Vec<Run> {
    let worth = Worth::of(ground, track, prices);
    let run_price = prices.run * ground.swath * ground.swath;
    let part = track.across / PARTS;
    let usual = (0, track.across);
    let spans = best_spans(&worth, ground, track, prices);
    let mut runs = Vec::with_capacity(spans.len());
    let mut free_from = 0;
    for (number, found) in spans.iter().enumerate() {
        let (from, to) = (found.from, found.to);
        // Where the swath only changes its width, the run goes on from there.
        let joins_before = number > 0 && spans[number - 1].to == from;
        let joins_after = spans.get(number + 1).is_some_and(|next| next.from == to);
        let free_to = spans.get(number + 1).map_or(track.samples(), |next| usize::midpoint(to, next.from));
        let free = Free {
            from: if joins_before { from } else { free_from },
            to: if joins_after { to } else { free_to },
            joins_before,
            joins_after,
        };
        let mut columns = narrowed(&worth, (from, to), usual, part, ground.swath);
        let mut span = ends(&worth, ground, track, (from, to), columns, &free);
        let mut run = made(ground, track, &span, columns);
        let is_shifted = columns.0 + columns.1 != found.columns.0 + found.columns.1;
        if is_shifted && !is_walkable(ground, &run.line) {
            columns = found.columns;
            span = ends(&worth, ground, track, (from, to), columns, &free);
            run = made(ground, track, &span, columns);
        }
        let length = (span.to - span.from) as f64 * track.step;
        let price = if joins_before { JOINT * run_price } else { run_price };
        if span.worth > price + prices.length * ground.swath * length {
            free_from = span.to;
            runs.push(run);
        }
    }
    runs
}

/// What changing the width of a run costs, as a part of what a run of its own costs.
const JOINT: f64 = 0.7;

/// Whether a line can be walked; its very ends may stand on an edge.
fn is_walkable(ground: &Ground, line: &[Vector]) -> bool {
    let total = line_length(line);
    let mut walked = 0.0;
    line.windows(2).all(|pair| {
        let gap = pair[0].gap(pair[1]);
        let steps = (gap / ground.frame.cell).ceil().max(1.0);
        let open = (0..=steps as usize).all(|step| {
            let share = step as f64 / steps;
            let at = walked + share * gap;
            let is_end = at < 1.5 * ground.frame.cell || total - at < 1.5 * ground.frame.cell;
            is_end || ground.may_walk(pair[0].toward(pair[1], share))
        });
        walked += gap;
        open
    })
}

/// A stretch of a track on which the nozzle is on, with a part of the swath.
struct Found {
    from: usize,
    to: usize,
    columns: (usize, usize),
}

/// Parts of the swath among which a run may change, in sixteenths from the right edge.
const PART_CHOICES: [(usize, usize); 7] = [(0, 16), (0, 12), (0, 9), (0, 6), (4, 16), (7, 16), (10, 16)];

/// The best set of stretches, each charged with the price of a run.
fn best_spans(worth: &Worth, ground: &Ground, track: &Track, prices: Prices) -> Vec<Found> {
    let price = prices.run * ground.swath * ground.swath;
    let length = prices.length * ground.swath * track.step;
    let part = track.across / PARTS;
    let bands: Vec<(usize, usize)> = if track.width > 0.99 * ground.swath {
        PART_CHOICES.iter().map(|band| (band.0 * part, band.1 * part)).collect()
    } else {
        vec![(0, track.across)]
    };
    let narrow_price = |band: usize| if band == 0 { 0.0 } else { NARROW_PRICE * ground.swath * ground.swath };
    // State 0 is off, state k + 1 on with band k. For each sample and state, the state before.
    let states = bands.len() + 1;
    let mut before = vec![0_u8; worth.samples * states];
    let mut sums = vec![f64::MIN; states];
    sums[0] = 0.0;
    let mut across = vec![0.0_f64; track.across + 1];
    for sample in 0..worth.samples {
        for column in 0..track.across {
            across[column + 1] = across[column] + f64::from(worth.column(column, sample, sample + 1));
        }
        let (best_state, best_sum) = (0..states)
            .fold((0, f64::MIN), |best, state| if sums[state] > best.1 { (state, sums[state]) } else { best });
        let off_sum = sums[0];
        let mut next = vec![f64::MIN; states];
        next[0] = best_sum;
        before[sample * states] = best_state as u8;
        for (index, band) in bands.iter().enumerate() {
            if !is_open(ground, track, sample, *band) {
                continue;
            }
            let state = index + 1;
            let offers = [
                (state, sums[state]),
                (0, off_sum - price - narrow_price(index)),
                (best_state, if best_state == 0 { f64::MIN } else { best_sum - JOINT * price - narrow_price(index) }),
            ];
            let best =
                offers.into_iter().fold((0, f64::MIN), |best, offer| if offer.1 > best.1 { offer } else { best });
            if best.1 > f64::MIN {
                next[state] = best.1 + across[band.1] - across[band.0] - length;
                before[sample * states + state] = best.0 as u8;
            }
        }
        sums = next;
    }
    let mut state = (0..states).fold(0, |best, state| if sums[state] > sums[best] { state } else { best });
    let mut spans: Vec<Found> = Vec::new();
    let mut end = worth.samples;
    for sample in (0..worth.samples).rev() {
        let earlier = usize::from(before[sample * states + state]);
        if earlier != state {
            if state > 0 {
                spans.push(Found { from: sample, to: end, columns: bands[state - 1] });
            }
            end = sample;
            state = earlier;
        }
    }
    if state > 0 {
        spans.push(Found { from: 0, to: end, columns: bands[state - 1] });
    }
    spans.reverse();
    spans
}

/// Whether one can walk in the middle of a part of the swath.
fn is_open(ground: &Ground, track: &Track, sample: usize, columns: (usize, usize)) -> bool {
    let cell = track.cells[sample * track.across + usize::midpoint(columns.0, columns.1)];
    cell != NOWHERE && ground.walk[cell as usize]
}

/// The columns without the sixteenths at either side that cost more than they bring.
fn narrowed(worth: &Worth, span: (usize, usize), usual: (usize, usize), part: usize, swath: f64) -> (usize, usize) {
    let (first, last) = (usual.0 / part, usual.1 / part);
    let sums: Vec<f64> = (first..last)
        .map(|sixteenth| {
            (sixteenth * part..(sixteenth + 1) * part)
                .map(|column| f64::from(worth.column(column, span.0, span.1)))
                .sum()
        })
        .collect();
    let count = sums.len();
    let all: f64 = sums.iter().sum();
    let mut best = (all + NARROW_PRICE * swath * swath, 0, count);
    let least = LEAST_PARTS.min(count);
    for from in 0..=count - least {
        let mut sum = 0.0;
        for (to, sixteenth) in sums.iter().enumerate().skip(from).map(|(index, sum)| (index + 1, sum)) {
            sum += sixteenth;
            // A sixteenth may be no wider than a cell, which is too little to tell by.
            if to >= from + least && sum > best.0 && from != 1 && to + 1 != count {
                best = (sum, from, to);
            }
        }
    }
    ((first + best.1) * part, (first + best.2) * part)
}

/// A stretch with its ends settled.
struct Span {
    from: usize,
    to: usize,
    start_slope: f64,
    end_slope: f64,
    worth: f64,
}

/// Where the ends of a run may go.
struct Free {
    from: usize,
    to: usize,
    /// Another run of the same track ends where this one begins: the joint stays as it is.
    joins_before: bool,
    joins_after: bool,
}

/// Moves and turns both ends to where the run is worth most, within the free part of the track.
fn ends(
    worth: &Worth,
    ground: &Ground,
    track: &Track,
    span: (usize, usize),
    columns: (usize, usize),
    free: &Free,
) -> Span {
    let reach = (1.2 * ground.swath / track.step).ceil() as usize;
    let middle = usize::midpoint(span.0, span.1);
    let lean = track.width / track.across as f64 / track.step;
    let shifts = SLOPES.map(|slope| Worth::shifts(lean * slope, columns));
    let slope_price = SLOPE_PRICE * ground.swath * ground.swath;
    let mut best_end = (f64::MIN, span.1, 0.0);
    let mut best_start = (f64::MIN, span.0, 0.0);
    let look = |boundary: usize, is_end: bool, best: &mut (f64, usize, f64)| {
        let sample = if is_end { boundary - 1 } else { boundary };
        for (slope, shifts) in SLOPES.iter().zip(&shifts) {
            let slope = *slope;
            if slope != 0.0 && !track.straight[sample] {
                continue;
            }
            let sum = worth.up_to(boundary, shifts, columns);
            let value = if is_end { sum } else { -sum } - slope_price * slope.abs();
            if value > best.0 + 1e-9 {
                *best = (value, boundary, slope);
            }
        }
    };
    let is_shut = |sample: usize| !is_open(ground, track, sample, columns);
    if free.joins_after {
        best_end = (worth.up_to(span.1, &shifts[0], columns), span.1, 0.0);
    } else {
        for boundary in (middle + 1).max(span.1.saturating_sub(reach))..=(span.1 + reach).min(free.to) {
            if boundary > span.1 && is_shut(boundary - 1) {
                break;
            }
            look(boundary, true, &mut best_end);
        }
    }
    if free.joins_before {
        best_start = (-worth.up_to(span.0, &shifts[0], columns), span.0, 0.0);
    } else {
        for boundary in (span.0.saturating_sub(reach).max(free.from)..=middle.min(span.0 + reach)).rev() {
            if boundary < span.0 && is_shut(boundary) {
                break;
            }
            look(boundary, false, &mut best_start);
        }
    }
    let (from, to) = (best_start.1, best_end.1.max(best_start.1 + 1));
    Span { from, to, start_slope: best_start.2, end_slope: best_end.2, worth: best_end.0 + best_start.0 }
}

fn made(ground: &Ground, track: &Track, span: &Span, columns: (usize, usize)) -> Run {
    let column = track.width / track.across as f64;
    let width = (columns.1 - columns.0) as f64 * column;
    let off = f64::midpoint(columns.0 as f64, columns.1 as f64) * column - track.width / 2.0;
    let clear = (span.start_slope.abs() * width / 2.0, span.end_slope.abs() * width / 2.0);
    let line = track.part(span.from as f64 * track.step, span.to as f64 * track.step, off, clear);
    Run::new(ground, track.kind, line, width, (span.start_slope, span.end_slope))
}

impl Run {
    pub(crate) fn new(ground: &Ground, kind: PassKind, line: Vec<Vector>, width: f64, slopes: (f64, f64)) -> Self {
        let mut cells = Vec::new();
        for quad in swath::quads(&line, width / 2.0, slopes.0, slopes.1) {
            ground.frame.fill(&[&quad], |cell| cells.push(cell as u32));
        }
        Self { kind, line, width, start_slope: slopes.0, end_slope: slopes.1, cells }
    }
}

impl Ground {
    pub(crate) fn lay(&mut self, run: &Run) {
        for cell in &run.cells {
            self.count[*cell as usize] = self.count[*cell as usize].saturating_add(1);
        }
    }

    pub(crate) fn lift(&mut self, run: &Run) {
        for cell in &run.cells {
            self.count[*cell as usize] = self.count[*cell as usize].saturating_sub(1);
        }
    }
}
