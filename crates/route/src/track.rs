//! A line along which a pass may run, sampled along and across.

use crate::ground::Ground;
use crate::route::PassKind;
use crate::swath::mitred_normals;
use crate::vector::Vector;

/// Columns of samples across a swath come in sixteenths, so that a swath can be narrowed by sixteenths.
pub(crate) const PARTS: usize = 16;

/// A line that passes may take, with the cells that lie under its swath.
#[derive(Debug, Clone)]
pub(crate) struct Track {
    pub(crate) kind: PassKind,
    pub(crate) line: Vec<Vector>,
    /// Arc length at each place of the line.
    pub(crate) at: Vec<f64>,
    normals: Vec<Vector>,
    /// Distance of samples along the line.
    pub(crate) step: f64,
    /// Samples across.
    pub(crate) across: usize,
    /// The cell of each sample, `across` for each step, from the right edge to the left.
    pub(crate) cells: Vec<u32>,
    /// Whether the wand may be turned: the line is straight for half a swath round the sample.
    pub(crate) straight: Vec<bool>,
    /// The widest swath along it, in metres.
    pub(crate) width: f64,
}

impl Track {
    pub(crate) fn new(ground: &Ground, kind: PassKind, line: Vec<Vector>, width: f64) -> Option<Self> {
        let mut at = vec![0.0];
        for pair in line.windows(2) {
            at.push(at[at.len() - 1] + pair[0].gap(pair[1]));
        }
        let total = at[at.len() - 1];
        if line.len() < 2 || total < ground.frame.cell {
            return None;
        }
        let samples = (total / ground.frame.cell).ceil() as usize;
        let step = total / samples as f64;
        let across = PARTS * (width / (PARTS as f64 * ground.frame.cell * 1.2)).ceil().max(1.0) as usize;
        let normals = mitred_normals(&line);
        let mut cells = Vec::with_capacity(samples * across);
        let mut directions = Vec::with_capacity(samples);
        let mut segment = 0;
        for sample in 0..samples {
            let along = (sample as f64 + 0.5) * step;
            while segment + 2 < at.len() && at[segment + 1] < along {
                segment += 1;
            }
            let share = (along - at[segment]) / (at[segment + 1] - at[segment]).max(1e-9);
            let middle = line[segment].toward(line[segment + 1], share);
            let normal = normals[segment].toward(normals[segment + 1], share);
            directions.push((line[segment + 1] - line[segment]).unit());
            for column in 0..across {
                let off = ((column as f64 + 0.5) / across as f64 - 0.5) * width;
                cells.push(ground.frame.at(middle + normal * off));
            }
        }
        let near = ((0.5 * width / step).ceil() as usize).max(1);
        let straight = (0..samples)
            .map(|sample| {
                let (from, to) = (sample.saturating_sub(near), (sample + near).min(samples - 1));
                directions[sample].dot(directions[from]) > 0.98 && directions[sample].dot(directions[to]) > 0.98
            })
            .collect();
        Some(Self { kind, line, at, normals, step, across, cells, straight, width })
    }

    pub(crate) fn samples(&self) -> usize {
        self.straight.len()
    }

    fn place(&self, along: f64, off: f64) -> Vector {
        let segment = self.at[1..self.at.len() - 1].partition_point(|at| *at < along);
        let share = (along - self.at[segment]) / (self.at[segment + 1] - self.at[segment]).max(1e-9);
        let normal = self.normals[segment].toward(self.normals[segment + 1], share);
        self.line[segment].toward(self.line[segment + 1], share) + normal * off
    }

    /// The middle of a part of the swath from one arc length to another; `clear` of corners near the ends.
    pub(crate) fn part(&self, from: f64, to: f64, off: f64, clear: (f64, f64)) -> Vec<Vector> {
        let mut part = vec![self.place(from, off)];
        let (low, high) = (from + clear.0.max(1e-3), to - clear.1.max(1e-3));
        for (index, at) in self.at.iter().enumerate() {
            if *at > low && *at < high {
                part.push(self.line[index] + self.normals[index] * off);
            }
        }
        part.push(self.place(to, off));
        part
    }
}
