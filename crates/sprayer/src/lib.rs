//! Calibration, tanks, mixing and batches
