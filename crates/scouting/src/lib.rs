//! Counts and what they say
