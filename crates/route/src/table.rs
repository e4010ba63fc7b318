//! What lies between the ends of passes: how far it is, and over which passes' ground one walks.

use crate::ground::Ground;
use crate::nozzle::Run;
use crate::raster::NOWHERE;
use crate::vector::Vector;
use crate::walk_grid::{FAR, WalkGrid, is_clear};

/// Ways between ports. Port 2 k is where the line of pass k begins, port 2 k + 1 where it ends; two more are the start of
/// the walk and the tap.
pub(crate) struct Table {
    pub(crate) passes: usize,
    ports: usize,
    lengths: Vec<f32>,
    offsets: Vec<u32>,
    crossings: Vec<Crossing>,
    own_offsets: Vec<u32>,
    own: Vec<Crossing>,
    /// For each port the nearest ports of other passes.
    pub(crate) near: Vec<Vec<u16>>,
    /// For each pass those that should be sprayed before it, since they lie downwind.
    pub(crate) waits_for: Vec<Vec<u16>>,
    /// Metres that each pass sprays.
    pub(crate) sprayed: Vec<f64>,
    /// Metres that a tank sprays.
    pub(crate) tank: f64,
}

/// So many metres of a way lie on the ground of a pass.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Crossing {
    pub(crate) pass: u16,
    pub(crate) metres: f32,
}

/// No way at all.
pub(crate) const NO_WAY: f32 = 1e7;
const NEAREST: usize = 10;
/// How far apart places are at which the way asks whose ground it is on, in metres.
const SAMPLE: f64 = 0.3;
/// How far one looks for a straight way, in metres; beyond it the grid tells.
const SIGHT: f64 = 12.0;
/// Cells that all searches together may settle.
const SETTLED: usize = 3_000_000;

/// The passes whose swath covers a cell: the first two laid.
struct Owners {
    first: Vec<u16>,
    second: Vec<u16>,
}

const NOBODY: u16 = u16::MAX;

impl Owners {
    fn of(ground: &Ground, runs: &[Run]) -> Self {
        let mut owners = Self { first: vec![NOBODY; ground.frame.len()], second: vec![NOBODY; ground.frame.len()] };
        for (pass, run) in runs.iter().enumerate() {
            // A step counts as wet from a hand's breadth inside.
            let width = run.width - 0.1;
            for quad in crate::swath::quads(&run.line, width / 2.0, run.start_slope, run.end_slope) {
                ground.frame.fill(&[&quad], |cell| {
                    if owners.first[cell] == NOBODY {
                        owners.first[cell] = pass as u16;
                    } else if owners.first[cell] != pass as u16 {
                        owners.second[cell] = pass as u16;
                    }
                });
            }
        }
        owners
    }

    fn note(&self, ground: &Ground, place: Vector, metres: f64, into: &mut Vec<Crossing>) {
        let cell = ground.frame.at(place);
        if cell == NOWHERE {
            return;
        }
        for pass in [self.first[cell as usize], self.second[cell as usize]] {
            if pass == NOBODY {
                continue;
            }
            match into.iter_mut().find(|crossing| crossing.pass == pass) {
                Some(crossing) => crossing.metres += metres as f32,
                None => into.push(Crossing { pass, metres: metres as f32 }),
            }
        }
    }

    fn note_line(&self, ground: &Ground, from: Vector, to: Vector, into: &mut Vec<Crossing>) {
        let gap = from.gap(to);
        let steps = (gap / SAMPLE).ceil().max(1.0) as usize;
        for step in 0..steps {
            self.note(ground, from.toward(to, (step as f64 + 0.5) / steps as f64), gap / steps as f64, into);
        }
    }
}

impl Table {
    pub(crate) fn of(
        ground: &Ground,
        grid: &WalkGrid,
        runs: &[Run],
        start: Vector,
        tap: Vector,
        tank: f64,
        wind: Option<Vector>,
    ) -> Self {
        let sprayed = runs.iter().map(|run| crate::vector::line_length(&run.line)).collect();
        let owners = Owners::of(ground, runs);
        let mut places: Vec<Vector> = runs.iter().flat_map(|run| [run.line[0], run.line[run.line.len() - 1]]).collect();
        places.extend([start, tap]);
        let ports = places.len();
        let cells: Vec<Option<usize>> = places.iter().map(|place| grid.nearest(*place).map(|near| near.0)).collect();
        let most = (SETTLED / ports).max(2000);
        let mut lengths = vec![NO_WAY; ports * ports];
        let mut lists: Vec<Vec<Crossing>> = vec![Vec::new(); ports * ports];
        for from in 0..ports {
            lengths[from * ports + from] = 0.0;
            let mut distances = None;
            for to in from + 1..ports {
                let mut list = Vec::new();
                let is_near = places[from].gap(places[to]) < SIGHT;
                let length = if is_near && is_clear(ground, places[from], places[to]) {
                    owners.note_line(ground, places[from], places[to], &mut list);
                    places[from].gap(places[to]) as f32
                } else if let (Some(source), Some(target)) = (cells[from], cells[to]) {
                    let distances = distances.get_or_insert_with(|| grid.distances(source, None, most, |_| false));
                    if distances.steps[target] == FAR && distances.is_complete {
                        NO_WAY
                    } else if distances.steps[target] == FAR {
                        // Farther than was looked: the order goes there only when there is nothing nearer.
                        owners.note_line(ground, places[from], places[to], &mut list);
                        (1.5 * places[from].gap(places[to]) + 20.0) as f32
                    } else {
                        for cell in grid.way_back(distances, target) {
                            owners.note(ground, grid.spot(cell), grid.frame.cell, &mut list);
                        }
                        // Pulled straight, a way over a grid of eight directions is some 4 % shorter.
                        (grid.metres(distances.steps[target]) * 0.96).max(places[from].gap(places[to])) as f32
                    }
                } else {
                    NO_WAY
                };
                lengths[from * ports + to] = length;
                lengths[to * ports + from] = length;
                lists[from * ports + to] = list;
            }
        }
        let mut offsets = vec![0];
        let mut crossings = Vec::new();
        for from in 0..ports {
            for to in 0..ports {
                crossings.extend_from_slice(&lists[from.min(to) * ports + from.max(to)]);
                offsets.push(crossings.len() as u32);
            }
        }
        let (mut own_offsets, mut own) = (vec![0], Vec::new());
        for (pass, run) in runs.iter().enumerate() {
            let mut list = Vec::new();
            for pair in run.line.windows(2) {
                owners.note_line(ground, pair[0], pair[1], &mut list);
            }
            own.extend(list.into_iter().filter(|crossing| usize::from(crossing.pass) != pass));
            own_offsets.push(own.len() as u32);
        }
        let near = nearest_ports(&lengths, ports, runs.len());
        let waits_for =
            wind.map_or_else(|| vec![Vec::new(); runs.len()], |wind| downwind_neighbours(ground, runs, wind));
        Self {
            passes: runs.len(),
            ports,
            lengths,
            offsets,
            crossings,
            own_offsets,
            own,
            near,
            waits_for,
            sprayed,
            tank,
        }
    }

    /// Ways between beds whose visits end where they begin, each with what it takes from the tank: distances of all beds,
    /// the start and the tap to each other.
    pub(crate) fn of_stops(gaps: &[Vec<f64>], sprayed: Vec<f64>, tank: f64) -> Self {
        let beds = gaps.len() - 2;
        let ports = 2 * beds + 2;
        let bed_of = |port: usize| if port < 2 * beds { port / 2 } else { port - beds };
        let mut lengths = vec![0.0; ports * ports];
        for from in 0..ports {
            for to in 0..ports {
                lengths[from * ports + to] = gaps[bed_of(from)][bed_of(to)] as f32;
            }
        }
        let near = nearest_ports(&lengths, ports, beds);
        Self {
            passes: beds,
            ports,
            lengths,
            offsets: vec![0; ports * ports + 1],
            crossings: Vec::new(),
            own_offsets: vec![0; beds + 1],
            own: Vec::new(),
            near,
            waits_for: vec![Vec::new(); beds],
            sprayed,
            tank,
        }
    }

    /// Ways of given lengths over ground drawn for each.
    #[cfg(test)]
    pub(crate) fn scattered(
        passes: usize,
        length: impl Fn(usize, usize) -> f64,
        mut ground: impl FnMut() -> Option<(u16, f64)>,
    ) -> Self {
        let ports = 2 * passes + 2;
        let mut table = Self::of_stops(&vec![vec![0.0; passes + 2]; passes + 2], vec![0.0; passes], 1.0);
        let mut drawn = || ground().map(|(pass, metres)| Crossing { pass, metres: metres as f32 });
        table.offsets.truncate(1);
        table.own_offsets.truncate(1);
        for from in 0..ports {
            for to in 0..ports {
                table.lengths[from * ports + to] = length(from, to) as f32;
                table.crossings.extend(drawn());
                table.offsets.push(table.crossings.len() as u32);
            }
        }
        for pass in 0..passes {
            table.own.extend(drawn().filter(|crossing| usize::from(crossing.pass) != pass));
            table.own_offsets.push(table.own.len() as u32);
        }
        table.near = nearest_ports(&table.lengths, ports, passes);
        table
    }

    pub(crate) fn start(&self) -> usize {
        2 * self.passes
    }

    pub(crate) fn tap(&self) -> usize {
        2 * self.passes + 1
    }

    pub(crate) fn length(&self, from: usize, to: usize) -> f64 {
        f64::from(self.lengths[from * self.ports + to])
    }

    /// The ground that the way between two ports lies on.
    pub(crate) fn crossings(&self, from: usize, to: usize) -> &[Crossing] {
        let pair = from * self.ports + to;
        &self.crossings[self.offsets[pair] as usize..self.offsets[pair + 1] as usize]
    }

    /// The ground of other passes that a pass itself lies on.
    pub(crate) fn own(&self, pass: usize) -> &[Crossing] {
        &self.own[self.own_offsets[pass] as usize..self.own_offsets[pass + 1] as usize]
    }
}

/// For each port the nearest ports of other passes.
fn nearest_ports(lengths: &[f32], ports: usize, passes: usize) -> Vec<Vec<u16>> {
    (0..ports)
        .map(|from| {
            let mut others: Vec<u16> = (0..2 * passes).filter(|to| to / 2 != from / 2).map(|to| to as u16).collect();
            let length = |to: u16| lengths[from * ports + usize::from(to)];
            others.sort_by(|one, other| length(*one).total_cmp(&length(*other)).then(one.cmp(other)));
            others.truncate(NEAREST);
            others
        })
        .collect()
}

/// For each pass the neighbours downwind of it: `wind` is the step toward where the wind blows.
fn downwind_neighbours(ground: &Ground, runs: &[Run], wind: Vector) -> Vec<Vec<u16>> {
    let middle = |run: &Run| run.line[0].toward(run.line[run.line.len() - 1], 0.5);
    let near = |one: &Run, other: &Run| {
        let reach = 1.2 * ground.swath;
        let touches = |line: &[Vector], place: Vector| {
            line.windows(2).any(|pair| crate::vector::distance_to_segment(place, pair[0], pair[1]) < reach)
        };
        touches(&one.line, middle(other)) || touches(&other.line, middle(one))
    };
    runs.iter()
        .map(|run| {
            let waits = runs
                .iter()
                .enumerate()
                .filter(|(_, other)| (middle(other) - middle(run)).dot(wind) > 0.3 * ground.swath && near(run, other));
            waits.map(|(index, _)| index as u16).collect()
        })
        .collect()
}
