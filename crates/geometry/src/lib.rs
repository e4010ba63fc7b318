//! Shapes in a local metric plane
