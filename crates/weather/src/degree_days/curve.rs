//! The course of a temperature between two ends, as far as sums of heat ask for it: how warm it is on the average
//! above a threshold, and for what share of the time it is above it.

use std::f64::consts::{FRAC_PI_2, PI};

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Shape {
    Mean,
    Ends,
    Sine,
    Triangle,
}

/// Temperatures in degrees Celsius.
#[derive(Debug, Clone, Copy)]
pub(super) struct Curve {
    shape: Shape,
    low: f64,
    high: f64,
}

impl Curve {
    pub(super) const fn new(shape: Shape, low: f64, high: f64) -> Self {
        Self { shape, low, high }
    }

    /// Mean over the time of the degrees above a threshold, nothing where it is below.
    pub(super) fn above(&self, threshold: f64) -> f64 {
        let mean = f64::midpoint(self.low, self.high);
        match self.shape {
            Shape::Mean => (mean - threshold).max(0.0),
            Shape::Ends => f64::midpoint((self.low - threshold).max(0.0), (self.high - threshold).max(0.0)),
            _ if self.low >= threshold => mean - threshold,
            _ if self.high <= threshold => 0.0,
            Shape::Sine => {
                // Baskerville and Emin 1969, equation 3: from the angle at which the curve passes the threshold.
                let amplitude = (self.high - self.low) / 2.0;
                let sine = ((threshold - mean) / amplitude).clamp(-1.0, 1.0);
                let cosine = ((1.0 - sine) * (1.0 + sine)).sqrt();
                ((mean - threshold) * (FRAC_PI_2 - sine.asin()) + amplitude * cosine) / PI
            }
            Shape::Triangle => (self.high - threshold).powi(2) / (self.high - self.low) / 2.0,
        }
    }

    /// Share of the time in which it is above a threshold.
    pub(super) fn share_above(&self, threshold: f64) -> f64 {
        let whole = |temperature: f64| f64::from(u8::from(temperature > threshold));
        match self.shape {
            Shape::Mean => whole(f64::midpoint(self.low, self.high)),
            Shape::Ends => f64::midpoint(whole(self.low), whole(self.high)),
            _ if self.low > threshold => 1.0,
            _ if self.high <= threshold => 0.0,
            Shape::Sine => {
                let (mean, amplitude) = (f64::midpoint(self.low, self.high), (self.high - self.low) / 2.0);
                0.5 - ((threshold - mean) / amplitude).clamp(-1.0, 1.0).asin() / PI
            }
            Shape::Triangle => (self.high - threshold) / (self.high - self.low),
        }
    }
}
