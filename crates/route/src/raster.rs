//! The planner's raster: cells of the plane, and filling shapes into them.

use crate::vector::Vector;
use geometry::Region;

/// Where the cells lie.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Frame {
    pub(crate) low: Vector,
    pub(crate) cell: f64,
    pub(crate) columns: usize,
    pub(crate) rows: usize,
}

/// No cell: outside the frame.
pub(crate) const NOWHERE: u32 = u32::MAX;

impl Frame {
    /// Cells of a side, over all the places and a margin.
    pub(crate) fn around(places: impl IntoIterator<Item = Vector>, margin: f64, cell: f64) -> Self {
        let (mut low, mut high) = (Vector::new(f64::MAX, f64::MAX), Vector::new(f64::MIN, f64::MIN));
        for place in places {
            low = Vector::new(low.x.min(place.x), low.y.min(place.y));
            high = Vector::new(high.x.max(place.x), high.y.max(place.y));
        }
        let low = Vector::new(low.x - margin, low.y - margin);
        let count = |extent: f64| ((extent + margin) / cell).ceil().max(1.0) as usize;
        Self { low, cell, columns: count(high.x - low.x), rows: count(high.y - low.y) }
    }

    pub(crate) fn len(&self) -> usize {
        self.columns * self.rows
    }

    /// The cell in which a place lies.
    pub(crate) fn at(&self, place: Vector) -> u32 {
        let (x, y) = ((place.x - self.low.x) / self.cell, (place.y - self.low.y) / self.cell);
        if x < 0.0 || y < 0.0 || x >= self.columns as f64 || y >= self.rows as f64 {
            return NOWHERE;
        }
        (y as usize * self.columns + x as usize) as u32
    }

    pub(crate) fn centre(&self, cell: usize) -> Vector {
        let (column, row) = (cell % self.columns, cell / self.columns);
        Vector::new(self.low.x + (column as f64 + 0.5) * self.cell, self.low.y + (row as f64 + 0.5) * self.cell)
    }

    /// Every cell whose centre is inside the rings, by the even-odd rule, in order.
    pub(crate) fn fill(&self, rings: &[&[Vector]], mut set: impl FnMut(usize)) {
        let (mut low, mut high) = (f64::MAX, f64::MIN);
        for place in rings.iter().copied().flatten() {
            low = low.min(place.y);
            high = high.max(place.y);
        }
        let row_of = |y: f64| ((y - self.low.y) / self.cell - 0.5).ceil().max(0.0) as usize;
        let mut crossings: Vec<f64> = Vec::with_capacity(8);
        for row in row_of(low)..row_of(high).min(self.rows) {
            let y = self.low.y + (row as f64 + 0.5) * self.cell;
            crossings.clear();
            for ring in rings {
                let mut from = ring[ring.len() - 1];
                for &to in *ring {
                    if (from.y <= y) != (to.y <= y) {
                        crossings.push(from.x + (y - from.y) / (to.y - from.y) * (to.x - from.x));
                    }
                    from = to;
                }
            }
            crossings.sort_by(f64::total_cmp);
            for pair in crossings.chunks_exact(2) {
                let column_of = |x: f64| ((x - self.low.x) / self.cell - 0.5).ceil().max(0.0) as usize;
                for column in column_of(pair[0])..column_of(pair[1]).min(self.columns) {
                    set(row * self.columns + column);
                }
            }
        }
    }

    /// The cells of a piece of ground.
    pub(crate) fn mask(&self, ground: &Region) -> Vec<bool> {
        let mut mask = vec![false; self.len()];
        for outline in rings_of(ground) {
            let rings: Vec<&[Vector]> = outline.iter().map(Vec::as_slice).collect();
            self.fill(&rings, |cell| mask[cell] = true);
        }
        mask
    }
}

/// The rings of each polygon, the outer one first.
pub(crate) fn rings_of(ground: &Region) -> Vec<Vec<Vec<Vector>>> {
    let ring = |points: &[geometry::Point]| points.iter().copied().map(Vector::of).collect::<Vec<_>>();
    ground
        .outlines()
        .map(|outline| std::iter::once(ring(outline.exterior())).chain(outline.holes().map(ring)).collect())
        .collect()
}

/// For each cell the squared distance, in cells, to the nearest cell that is not in the mask; the frame's outside counts
/// as in it.
///
/// # Source
/// Felzenszwalb and Huttenlocher 2012, Theory of Computing 8: 415-428 (from memory).
pub(crate) fn squared_distances(frame: &Frame, mask: &[bool]) -> Vec<f32> {
    let far = (frame.columns + frame.rows) as f32 * (frame.columns + frame.rows) as f32;
    let mut field: Vec<f32> = mask.iter().map(|inside| if *inside { far } else { 0.0 }).collect();
    let longest = frame.columns.max(frame.rows);
    let (mut line, mut out) = (vec![0.0_f32; longest], vec![0.0_f32; longest]);
    let (mut hulls, mut bounds) = (vec![0_usize; longest], vec![0.0_f32; longest + 1]);
    for column in 0..frame.columns {
        for row in 0..frame.rows {
            line[row] = field[row * frame.columns + column];
        }
        lower_envelope(&line[..frame.rows], &mut out, &mut hulls, &mut bounds);
        for row in 0..frame.rows {
            field[row * frame.columns + column] = out[row];
        }
    }
    for row in 0..frame.rows {
        let start = row * frame.columns;
        line[..frame.columns].copy_from_slice(&field[start..start + frame.columns]);
        lower_envelope(&line[..frame.columns], &mut out, &mut hulls, &mut bounds);
        field[start..start + frame.columns].copy_from_slice(&out[..frame.columns]);
    }
    field
}

fn lower_envelope(line: &[f32], out: &mut [f32], hulls: &mut [usize], bounds: &mut [f32]) {
    let mut top = 0;
    hulls[0] = 0;
    bounds[0] = f32::MIN;
    bounds[1] = f32::MAX;
    for here in 1..line.len() {
        loop {
            let there = hulls[top];
            let (a, b) = (here as f32, there as f32);
            let meet = ((line[here] + a * a) - (line[there] + b * b)) / (2.0 * (a - b));
            if meet > bounds[top] || top == 0 {
                if meet > bounds[top] {
                    top += 1;
                }
                hulls[top] = here;
                if top > 0 {
                    bounds[top] = meet;
                } else {
                    bounds[0] = f32::MIN;
                }
                bounds[top + 1] = f32::MAX;
                break;
            }
            top -= 1;
        }
    }
    let mut hull = 0;
    for (here, value) in out.iter_mut().enumerate().take(line.len()) {
        while bounds[hull + 1] < here as f32 {
            hull += 1;
        }
        let off = here as f32 - hulls[hull] as f32;
        *value = off * off + line[hulls[hull]];
    }
}
