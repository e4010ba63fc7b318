//! Watering treatments in: as soon as the work is done, and before the label's time is over.

use super::{WaterRequest, index_of};
use crate::prohibition::minute_up;
use crate::sprinkler::Program;
use jiff::civil::DateTime;

/// A treatment that cannot be watered in as it needs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unmet {
    /// Which one, by its place among those of the request.
    pub water_in: usize,
    /// Why not.
    pub reason: UnmetReason,
}

/// Why a treatment cannot be watered in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum UnmetReason {
    /// The sprinklers take longer than the label gives.
    TooSlow {
        /// Minutes that they take.
        minutes: i64,
    },
    /// No water may be given, by the prohibition of this place in the request.
    Prohibited(usize),
    /// The time for it was over before the first planned day.
    Over,
}

/// The program of each treatment that has to be watered in, by its place in the request, and those for which there is none.
pub(super) fn place(request: &WaterRequest) -> (Vec<(usize, Program)>, Vec<Unmet>) {
    let mut placed: Vec<(usize, Program)> = Vec::new();
    let mut unmet = Vec::new();
    let today = request.plan_from.to_datetime(jiff::civil::Time::midnight());
    let mut order: Vec<usize> = (0..request.water_in.len()).collect();
    order.sort_by_key(|index| (request.water_in[*index].by, *index));
    for index in order {
        let asked = &request.water_in[index];
        if asked.by < today {
            // Told only while its day is among those of the readings; earlier ones are of the past.
            if index_of(request, asked.by.date()).is_some() && !was_given(request, index) {
                unmet.push(Unmet { water_in: index, reason: UnmetReason::Over });
            }
            continue;
        }
        match first_start(request, index, &placed, asked.not_before.max(today)) {
            Ok(start) => placed.push((index, request.controller.program(asked.depth, start))),
            Err(reason) => unmet.push(Unmet { water_in: index, reason }),
        }
    }
    (placed, unmet)
}

/// Whether waterings that are told are those that the treatment needed.
fn was_given(request: &WaterRequest, index: usize) -> bool {
    let asked = &request.water_in[index];
    let days = asked.not_before.date()..=asked.by.date();
    let given: quantity::Length =
        request.given.iter().filter(|given| days.contains(&given.0)).map(|given| given.1).sum();
    given >= asked.depth * (1.0 - 1e-9)
}

fn first_start(
    request: &WaterRequest,
    index: usize,
    placed: &[(usize, Program)],
    from: DateTime,
) -> Result<DateTime, UnmetReason> {
    let asked = &request.water_in[index];
    let minutes = {
        let program = request.controller.program(asked.depth, from);
        program.start.duration_until(program.end).as_secs() / 60
    };
    let mut start = minute_up(from);
    let mut in_the_way = None;
    loop {
        let end = start.saturating_add(jiff::SignedDuration::from_mins(minutes.max(1)));
        if end > asked.by {
            return Err(in_the_way.map_or(UnmetReason::TooSlow { minutes }, UnmetReason::Prohibited));
        }
        let prohibited = request.no_watering.iter().position(|other| other.touches(start, end));
        let busy = placed.iter().map(|(_, other)| other).find(|other| other.start < end && start < other.end);
        start = match (prohibited, busy) {
            (Some(by), _) => {
                in_the_way = Some(by);
                minute_up(request.no_watering[by].until)
            }
            (None, Some(other)) => other.end,
            (None, None) => return Ok(start),
        };
    }
}
