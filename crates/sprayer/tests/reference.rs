//! Published values that this crate must reach, each with its source, and published slips that it
//! must not repeat.
//!
//! Tolerances: `EXACT` where the printed number is exact or was worked out to all digits from the
//! printed inputs; otherwise half of the last printed digit, said beside the check.

#[path = "reference/calibration.rs"]
mod calibration;
#[path = "reference/ground_speed.rs"]
mod ground_speed;
#[path = "reference/nozzles.rs"]
mod nozzles;
#[path = "reference/spreaders.rs"]
mod spreaders;
#[path = "reference/travel.rs"]
mod travel;

/// Relative room for the rounding of the arithmetic itself.
const EXACT: f64 = 1e-12;

#[track_caller]
fn close(found: f64, expected: f64, within: f64) {
    assert!((found - expected).abs() <= within, "{found} is not {expected} within {within}");
}

#[track_caller]
fn exact(found: f64, expected: f64) {
    close(found, expected, EXACT * expected.abs().max(1.0));
}
