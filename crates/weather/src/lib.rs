//! Hourly and daily series, the sun, degree days
