//! Many visits and the care between them
