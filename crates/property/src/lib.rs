//! The mapped ground
